package drains

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// traps judges every fixture's trap and the way from it to its vent.
func (j *judge) traps() {
	a := j.armFigures()
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		if pt.Trap != nil {
			j.trapItself(pt)
		}
		j.outletAboveWeir(i, pt)
		if pt.Capped {
			j.future(i, pt)
		}
		f := pt.Fixture
		if f == nil {
			continue
		}
		if isFloorDrain(f) {
			j.floorDrain(pt)
		}
		if pt.Receptor != nil {
			j.receptor(pt)
		}
		j.arm(i, pt, &a)
	}
}

func (j *judge) trapItself(pt *Point) {
	if least, cite, ok := j.length("trap-seal-min"); ok && pt.Trap.Seal > 0 {
		j.atLeast("trap-seal", pt.ID, pt.Trap.Seal, least, cite, "the seal of the trap",
			"Fit a trap with a deeper seal.")
	}
	if most, cite, ok := j.length("trap-seal-max"); ok && pt.Trap.Seal > most {
		j.atMost("trap-seal", pt.ID, pt.Trap.Seal, most, cite, "the seal of the trap",
			"Fit a trap with a shallower seal, or ask the authority for a deep one.")
	}
	if most, cite, ok := j.length("outlet-to-weir-max"); ok && pt.Trap.Tail > 0 &&
		!(pt.Receptor != nil && pt.Receptor.Standpipe > 0) {
		j.atMost("trap-tail", pt.ID, pt.Trap.Tail, most, cite, "the drop from the fixture outlet to the trap weir",
			"Raise the trap.")
	}
}

// outletAboveWeir measures how far the outlet of a fixture that stands on the floor lies
// above its trap weir, where the layout does not state it: the weir is as high as the
// drain of the fixture begins.
func (j *judge) outletAboveWeir(i int32, pt *Point) {
	f := pt.Fixture
	stated := pt.Trap != nil && pt.Trap.Tail > 0
	if f == nil || stated || pt.AboveFloor || pt.Run.Vertical || !isFloorDrain(f) && f.Kind != "bathtub" &&
		f.Kind != "shower" {
		return
	}
	weir := j.levels.upper[i]
	if t := pt.Trap; t != nil {
		weir += cmp.Or(t.Fall, pt.Run.Grade.Over(t.Arm))
	}
	tail := j.layout.FinishedFloor - pt.RimBelow - weir
	j.trapRoom(pt, tail)
	most, cite, ok := j.length("outlet-to-weir-max")
	if !ok || tail <= most {
		return // the trap may hang higher than the drain lets it: only too low is certain
	}
	j.atMost("trap-tail", pt.ID, tail, most, cite,
		"the drop from the fixture outlet at the floor to the trap weir at its drain",
		"Lay the drain of the fixture higher, or set the trap under the outlet and vent it there.")
}

// trapRoom judges whether the body of a floor drain and its trap go in between the rim and the
// drain, which begins at the weir.
func (j *judge) trapRoom(pt *Point, room units.Length) {
	if !isFloorDrain(pt.Fixture) {
		return
	}
	rules, err := j.code.Shelf().Rules("floor-drains")
	if err != nil {
		return // a shelf of its own
	}
	least, cite, err := tables.RuleValue[units.Length](rules, "rim-to-weir-min")
	if err != nil || room >= least {
		return // that it fits is the trade's word, and no finding
	}
	at := finding.Case{Rule: "trap-room", Place: pt.ID, Citation: cite}
	finding.AtLeast(j.Judge, at, room, least, func() finding.Words {
		return finding.Words{Reason: j.text(
			"from the rim of this floor drain to the weir of its trap is %v; its body and a 2 in trap need %v", room,
			least),
			Fix: "Lay its drain deeper, or choose a shallow body with its trap to the maker's figures."}
	})
}

// future judges the vent of a fixture to come.
func (j *judge) future(i int32, pt *Point) {
	v := j.routes.serving[i]
	if v < 0 {
		j.Ask("future-vent", pt.ID, tables.Designer, "no vent is roughed in for this fixture to come",
			"Rough in its vent now, while the floor is open.", tables.Citation{})
		return
	}
	if share, cite, ok := j.number("future-vent-min-fraction", "ratio"); ok {
		j.sizeAtLeast("future-vent", pt.ID, j.sizing.vents[v].Size, scale(j.sizing.size[i], share), cite,
			j.text("the vent %s roughed in for a %v drain", j.sizing.vents[v].Vent, nominal(j.sizing.size[i])),
			"Rough in a larger vent.")
	}
}

func (j *judge) floorDrain(pt *Point) {
	if pt.RimBelow == 0 {
		j.Ask("floor-drain-rim", pt.ID, tables.Designer, "the rim is drawn level with the finished floor",
			"Set the rim below the floor, so that the floor can fall to it.", tables.Citation{})
	} else if !j.opt.ProblemsOnly {
		j.add(tables.Finding{Rule: "floor-drain-rim", Place: pt.ID, Verdict: tables.Pass, Value: pt.RimBelow,
			Reason: j.text("the rim lies %v below the finished floor", pt.RimBelow)})
	}
	if pt.Primer || pt.Drip || pt.Continuous > 0 || pt.Receptor != nil {
		return
	}
	r, ok := j.code.Rule("floor-drain-primer")
	if !ok {
		return
	}
	j.Ask("floor-drain-primer", pt.ID, tables.Authority, "nothing is drawn that keeps the seal of this floor drain wet",
		"Ask whether the trap may dry out; if so fit a trap seal primer or another protection the code accepts.",
		r.Cite)
}

func (j *judge) receptor(pt *Point) {
	if h := pt.Receptor.Standpipe; h > 0 {
		if least, cite, ok := j.length("standpipe-min-height"); ok {
			j.atLeast("standpipe-height", pt.ID, h, least, cite, "the standpipe above its trap weir",
				"Lengthen the standpipe.")
		}
		if most, cite, ok := j.length("standpipe-max-height"); ok {
			j.atMost("standpipe-height", pt.ID, h, most, cite, "the standpipe above its trap weir",
				"Shorten the standpipe.")
		}
		if least, cite, ok := j.length("standpipe-trap-min-height"); ok {
			j.atLeast("standpipe-trap-height", pt.ID, pt.Receptor.TrapAboveFloor, least, cite,
				"the trap above the floor", "Raise the trap; it may not lie below the floor.")
		}
		if most, cite, ok := j.length("standpipe-trap-max-height"); ok {
			j.atMost("standpipe-trap-height", pt.ID, pt.Receptor.TrapAboveFloor, most, cite, "the trap above the floor",
				"Lower the trap.")
		}
	}
	if pt.Fixture != nil && isFloorDrain(pt.Fixture) && j.routes.serving[j.tree.index[pt.ID]] >= 0 &&
		!j.opt.ProblemsOnly {
		j.add(tables.Finding{Rule: "floor-drain-receptor", Place: pt.ID, Verdict: tables.Pass,
			Reason: "this floor drain takes waste from elsewhere and is vented"})
	}
}

// holdsGrease tells whether what flows past a point passes a grease interceptor there.
func (pt *Point) holdsGrease() bool {
	return pt.Interceptor != nil && isGrease(pt.Interceptor.Kind)
}

func isGrease(words string) bool { return strings.Contains(strings.ToLower(words), "grease") }

// grease judges what passes a grease interceptor and what should.
func (j *judge) grease() {
	t := j.tree
	passes := j.work.node(0, j.system) // the interceptor passed on the way to the outlet, 0 for none
	for _, i := range slices.Backward(j.order) {
		pt := t.point(i)
		if passes[i] = passes[t.parent[i]]; pt.holdsGrease() {
			passes[i] = i
		}
		switch {
		case pt.Fixture == nil:
		case passes[i] != 0:
			j.throughGrease(pt, j.id(passes[i]))
		case isGrease(pt.Carries) || slices.Contains(greasyKinds, pt.Fixture.Kind):
			j.pastGrease(pt)
		}
	}
}

// greasyKinds are fixtures of kitchens that serve the public, whatever they are said to carry.
var greasyKinds = []string{"pot-sink", "dishwasher-commercial", "potato-peeler"}

// cleanKinds let no grease be discharged, unless the layout says that they do.
var cleanKinds = []string{
	"lavatory", "shower", "bathtub", "drinking-fountain", "clothes-washer", "laundry-sink", "dental-unit",
	"dental-lavatory", "exam-sink",
}

// throughGrease judges a fixture that drains through a grease interceptor.
func (j *judge) throughGrease(pt *Point, at string) {
	soil := dwv.ClosetsOf(pt.Fixture.Kind) > 0 || carriesSoil(pt.Fixture.Kind)
	only, onlyCite := j.says("grease-only")
	none, noneCite := j.says("grease-no-soil")
	cite := onlyCite
	if soil && none {
		cite = noneCite
	}
	clean := slices.Contains(cleanKinds, pt.Fixture.Kind) && !isGrease(pt.Carries)
	f := tables.Finding{Rule: "grease-interceptor", Place: pt.ID, Verdict: tables.Fail, Citation: cite,
		Reason: j.text("the %s drains through the grease interceptor at %s", pt.Fixture.Kind, at),
		Fix:    "Join its drain downstream of the interceptor, or to a line of its own."}
	switch {
	case soil && (only || none):
		f.Reason += ", which takes greasy waste and never soil"
	case clean && only:
		f.Reason += ", which takes only what fixtures that discharge grease drain"
	case soil:
		j.Ask("grease-interceptor", pt.ID, tables.Book,
			f.Reason+"; the shelf has no rule of this code for it, and other codes bar it", f.Fix, tables.Citation{})
		return
	case j.Passed(true, "grease-interceptor", pt.ID, cite):
		return
	default:
		f.Verdict = tables.Pass
	}
	j.add(f)
}

// pastGrease judges greasy waste that meets no grease interceptor before the outlet. What
// drains a system of waste, or leads to another drain or a sump, may meet one farther on.
func (j *judge) pastGrease(pt *Point) {
	sys := &j.layout.Systems[j.system]
	must, cite := j.says("grease-fixtures")
	what := j.text("grease from the %s reaches %s with no grease interceptor in its way", pt.Fixture.Kind,
		sys.Outlet.ID)
	const fix = "Set a grease interceptor in the kitchen's waste line, before soil joins it."
	switch {
	case pt.Fixture.Use == dwv.Private:
		j.Ask("grease-interceptor", pt.ID, tables.Authority, what+"; codes leave dwellings free of one",
			"Ask whether this kitchen needs one.", cite)
	case sys.Kind != Soil || sys.Outlet.Kind != ToSewer && sys.Outlet.Kind != ToTank:
		j.Ask("grease-interceptor", pt.ID, tables.Designer, what+"; one may stand beyond it",
			"Say what the outlet leads to: a grease interceptor must stand in the way.", cite)
	case !must:
		j.Ask("grease-interceptor", pt.ID, tables.Authority, what, fix, tables.Citation{})
	default:
		j.add(tables.Finding{Rule: "grease-interceptor", Place: pt.ID, Verdict: tables.Fail, Reason: what, Fix: fix,
			Citation: cite})
	}
}

// says tells whether a rule of the code that is yes or no says yes.
func (j *judge) says(id string) (bool, tables.Citation) {
	r, ok := j.code.Rule(id)
	return ok && r.Kind == tables.Value && r.Value == "yes", r.Cite
}

// interceptor sets an interceptor against its own sizing inputs.
func (j *judge) interceptor(pt *Point) {
	n := pt.Interceptor
	f := tables.Finding{Rule: "interceptor-capacity", Place: pt.ID, Verdict: tables.Pass}
	switch {
	case n.Inflow == 0:
		f.Verdict, f.SettledBy, f.Reason, f.Fix = tables.Ask, tables.Designer,
			j.text("the flow into this %s interceptor is not given", n.Kind),
			"Ask the designer for the flow it must take."
	case n.Rated > 0 && n.Inflow > n.Rated:
		f.Verdict, f.Value, f.Limit, f.Margin = tables.Fail, n.Inflow, n.Rated,
			tidy(n.Rated-n.Inflow, units.USGallonPerMinute)
		f.Reason, f.Fix = j.text("%v flow into an interceptor made for %v", n.Inflow, n.Rated),
			"Choose a larger interceptor, or hold the flow back."
	case n.Retention > 0 && n.Volume > 0 &&
		tidy(units.Volume(float64(n.Inflow)*float64(n.Retention)), units.USGallon) > tidy(n.Volume, units.USGallon):
		need := tidy(units.Volume(float64(n.Inflow)*float64(n.Retention)), units.USGallon)
		f.Verdict, f.Value, f.Limit, f.Margin = tables.Fail, n.Volume, need, tidy(n.Volume-need, units.USGallon)
		f.Reason, f.Fix = j.text("%v hold the flow of %v for less than %v", n.Volume, n.Inflow, n.Retention),
			"Choose a larger interceptor."
	case n.Rated == 0 && (n.Volume == 0 || n.Retention == 0):
		f.Verdict, f.SettledBy, f.Reason, f.Fix = tables.Ask, tables.Designer,
			j.text("neither a rated flow nor a volume and a time is given for this %s interceptor", n.Kind),
			"Ask the maker."
	default:
		f.Reason = j.text("the %s interceptor takes the flow of %v given for it", n.Kind, n.Inflow)
	}
	if f.Verdict == tables.Pass && j.opt.ProblemsOnly {
		return
	}
	j.add(f)
}

// tidy rounds a quantity to 1e-9 of a unit, so that what was exact before it went
// through floating point is compared and printed so.
func tidy[T ~float64](x, unit T) T {
	return T(math.Round(float64(x/unit)*1e9)/1e9) * unit
}
