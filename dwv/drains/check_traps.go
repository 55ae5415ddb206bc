package drains

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// traps judges every fixture's trap and the way from it to its vent.
func (j *judge) traps() {
	a := j.armFigures()
	for i, pt := range j.points() {
		if pt.Trap != nil {
			j.trapItself(pt)
			j.trapLeast(i, pt)
		}
		j.outletAboveWeir(i, pt)
		j.rimAboveWeir(i, pt)
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
			j.receptor(i, pt)
		}
		j.arm(i, pt, &a)
		j.flatArm(i, pt)
	}
}

func (j *judge) trapItself(pt *Point) {
	if least, cite, ok := j.length("trap-seal-min"); ok && pt.Trap.Seal > 0 {
		finding.AtLeast(j.Judge, on("trap-seal", pt.ID, cite), pt.Trap.Seal, least,
			finding.Say("The trap seal", "too shallow", "Fit a trap with a deeper seal."))
	}
	if most, cite, ok := j.length("trap-seal-max"); ok && pt.Trap.Seal > most {
		finding.AtMost(j.Judge, on("trap-seal", pt.ID, cite), pt.Trap.Seal, most,
			finding.Say("The trap seal", "too deep",
				"Fit a trap with a shallower seal, or ask the authority for a deep one."))
	}
	if most, cite, ok := j.length("outlet-to-weir-max"); ok && pt.Trap.Tail > 0 &&
		!(pt.Receptor != nil && pt.Receptor.Standpipe > 0) {
		finding.AtMost(j.Judge, on("trap-tail", pt.ID, cite), pt.Trap.Tail, most,
			finding.Say("The drop from fixture outlet to trap weir", "too much", "Raise the trap."))
	}
	if most, cite, ok := j.length("outlet-to-trap-max"); ok && pt.Trap.Offset > 0 {
		finding.AtMost(j.Judge, sided("trap-tail", pt.ID, "offset", cite),
			pt.Trap.Offset, most, finding.Say("The level distance from fixture outlet to trap inlet", "too far",
				"Set the trap nearer under the outlet."))
	}
}

// trapLeast sets the size that is given of a trap against the least that the code has for its
// fixture.
func (j *judge) trapLeast(i int32, pt *Point) {
	if f, size := pt.Fixture, pt.Trap.Size; f != nil && f.Size > 0 && size > 0 && f.Size != size &&
		!oneSize(f.Size, size) {
		j.Ask("trap-size", pt.ID, tables.Designer,
			j.Text("The trap of the %s at %s is given twice, as %v with the fixture and as %v with the trap; its load goes "+
				"by the first.", spaced(f.Kind), pt.ID, nominal(f.Size), nominal(size)),
			"Say which is right: fixture: size or trap: size.")
	}
	k := j.sizing.fixture[i]
	if k < 0 || pt.Trap.Size == 0 || j.sizing.rated[k].TrapSize == 0 {
		return
	}
	load := &j.sizing.rated[k]
	j.sizeAtLeast(on("trap-size", pt.ID, load.Citation), pt.Trap.Size, load.TrapSize,
		finding.Say(j.Text("The trap of the %s", spaced(pt.Fixture.Kind)), "",
			j.Text("Fit a trap of %v.", nominal(load.TrapSize))))
}

// outletAboveWeir measures how far the outlet of a fixture that stands on the floor lies
// above its trap weir, where the layout does not state it: the weir is as high as the
// drain of the fixture begins.
func (j *judge) outletAboveWeir(i int32, pt *Point) {
	f := pt.Fixture
	stated := pt.Trap != nil && pt.Trap.Tail > 0
	if f == nil || pt.AboveFloor || pt.Run.Vertical || stated && (f.Kind == "bathtub" || f.Kind == floorSink) ||
		!isFloorDrain(f) && f.Kind != "bathtub" && f.Kind != floorSink && !fixture.IsShower(f.Kind) {
		return
	}
	tail := j.layout.FinishedFloor - pt.RimBelow - j.weir(i, pt)
	most, cite, ok := j.length("outlet-to-weir-max")
	if stated {
		if ok && tail > most && pt.Trap.Tail <= most {
			j.Add(tables.Finding{Rule: "trap-tail", Place: pt.ID, Side: "levels", Verdict: tables.Ask,
				SettledBy: tables.Designer, Citation: cite,
				Reason: j.Text("The trap weir at %s is given as %v below the outlet; by the levels of its drain it lies %v below.",
					pt.ID, pt.Trap.Tail, tail),
				Fix: "Draw the riser that lies between, and the vent of the trap above it, or lay the drain higher."})
		}
		return
	}
	j.trapRoom(pt, tail)
	if !ok {
		j.tailUnlimited(pt, tail)
		return
	}
	switch {
	case tail <= most:
		return // the trap may hang higher than the drain lets it: only too low is certain
	case f.Kind == floorSink: // its outlet is at the bottom of a body of some depth
		j.Ask("trap-tail", pt.ID, tables.Designer,
			j.Text("The rim of the floor sink at %s lies %v above its trap weir, and the drop from its outlet is not given; "+
				"limit %v.", pt.ID, tail, most),
			"Give the drop from its outlet to the trap weir (trap: tail), or lay its drain higher.", cite)
		return
	}
	finding.AtMost(j.Judge, on("trap-tail", pt.ID, cite), tail, most,
		finding.Say("The drop from the outlet in the floor to the trap weir", "too much",
			"Lay the drain of the fixture higher, or set the trap under the outlet and vent it there."))
}

// floorSink is a receptor whose body hangs in the floor.
const floorSink = "floor-sink"

// rimAboveWeir holds the flood rim that a layout states of a fixture on a riser against its
// trap: no water leaves a fixture whose rim lies below the weir.
func (j *judge) rimAboveWeir(i int32, pt *Point) {
	if pt.Fixture == nil || pt.FloodRim == 0 || !pt.Run.Vertical {
		return
	}
	height := j.weir(i, pt) - j.layout.FinishedFloor
	if pt.FloodRim > height {
		return
	}
	j.Ask("trap-tail", pt.ID, tables.Designer,
		j.Text("The flood rim of the %s at %s is given as %v above the floor, and its trap weir, as its riser makes it, "+
			"stands %v above it: the water would run over the rim.", spaced(pt.Fixture.Kind), pt.ID, pt.FloodRim, height),
		"Say which is right: the top of the riser, where the trap arm comes in, or flood_rim.")
}

// tailUnlimited asks about a long drop onto a trap where the tables of the code have no
// figure; that of the IPC is the usual one.
func (j *judge) tailUnlimited(pt *Point, tail units.Length) {
	usual, cite, ok := j.lengthOf("ipc-2021", "outlet-to-weir-max")
	if !ok || tail <= usual {
		return
	}
	j.Ask("trap-tail", pt.ID, tables.Authority, j.Text("The drop from the outlet in the floor to the trap weir at %s is "+
		"%v, and the tables of this code have no figure for it; usual is %v (%s).", pt.ID, tail, usual, cite.Source()),
		"Lay the drain of the fixture higher, or ask the authority.")
}

// trapRoom judges whether the body of a floor drain and its trap go in between the rim and the
// drain, which begins at the weir.
func (j *judge) trapRoom(pt *Point, room units.Length) {
	if !isFloorDrain(pt.Fixture) {
		return
	}
	least, cite, ok := j.lengthOf("floor-drains", "rim-to-weir-min")
	if !ok || room >= least {
		return // that it fits is the trade's word, and no finding
	}
	finding.AtLeast(j.Judge, on("trap-room", pt.ID, cite), room, least,
		finding.Say("The room from rim to trap weir, for the body and a 2 in trap,", "too little",
			"Lay its drain deeper, or choose a shallow body with its trap to the maker's figures."))
}

// future judges the vent of a fixture to come.
func (j *judge) future(i int32, pt *Point) {
	v := j.routes.serving[i]
	if v < 0 {
		j.Ask("future-vent", pt.ID, tables.Designer, "No vent is roughed in for the fixture to come at "+pt.ID+".",
			"Rough in its vent now, while the floor is open.")
		return
	}
	if share, cite, ok := j.number("future-vent-min-fraction", "ratio"); ok {
		vent, drain := &j.sizing.vents[v], j.sizing.size[i]
		j.sizeAtLeast(on("future-vent", pt.ID, cite), vent.Size, scale(drain, share), func() finding.Words {
			return finding.Words{What: j.Text("The vent %s roughed in for a %v drain", vent.Vent, nominal(drain)),
				Fix: "Rough in a larger vent."}
		})
	}
}

func (j *judge) floorDrain(pt *Point) {
	if pt.RimBelow == 0 {
		j.Ask("floor-drain-rim", pt.ID, tables.Designer, "The rim of "+pt.ID+" is drawn level with the finished floor.",
			"Set the rim below the floor, so that the floor can fall to it.")
	} else {
		j.Holds(true, finding.Case{Rule: "floor-drain-rim", Place: pt.ID}, func() finding.Words {
			return finding.Words{Value: pt.RimBelow,
				Reason: j.Text("The rim of %s lies %v below the finished floor.", pt.ID, pt.RimBelow)}
		})
	}
	if pt.Fixture.Kind == "emergency-floor-drain" && pt.Drip && j.routes.serving[j.tree.index[pt.ID]] >= 0 {
		j.Ask("floor-drain-receptor", pt.ID, tables.Designer,
			"Floor drain "+pt.ID+" is drawn for emergencies, with no load, and takes a steady drip.",
			"Draw it as a floor drain, which counts what such a drain does, or lead the drip elsewhere.")
	}
	r, ok := j.code.Rule("floor-drain-primer")
	if guard := pt.guard(); ok && guard != "" {
		j.Holds(true, on("floor-drain-primer", pt.ID, r.Cite), func() finding.Words {
			return finding.Words{Reason: guard + " keeps sewer gas back at " + pt.ID + " when the floor stays dry."}
		})
		return
	}
	if !ok {
		return
	}
	j.Ask("floor-drain-primer", pt.ID, tables.Authority,
		"Nothing is drawn that keeps the trap seal of "+pt.ID+" wet.",
		"Ask whether the trap may dry out; if so fit a trap seal primer or another protection the code accepts.",
		r.Cite)
}

// guard says what keeps sewer gas back at a floor drain that gets no water, "" for nothing.
func (pt *Point) guard() string {
	switch {
	case pt.Primer:
		return "A trap seal primer"
	case pt.Drip || pt.Continuous > 0:
		return "The water that drips into it"
	case pt.Receptor != nil:
		return "The waste that it receives"
	case pt.Trap == nil:
		return ""
	case pt.Trap.Guard == GuardBarrier:
		return "A barrier in the drain"
	case pt.Trap.Guard == GuardWaste:
		return "The tailpiece that feeds its trap"
	}
	return ""
}

func (j *judge) receptor(i int32, pt *Point) {
	if h := pt.Receptor.Standpipe; h > 0 {
		if least, cite, ok := j.length("standpipe-min-height"); ok {
			finding.AtLeast(j.Judge, on("standpipe-height", pt.ID, cite), h, least,
				finding.Say("The standpipe above its trap weir", "too short", "Lengthen the standpipe."))
		}
		if most, cite, ok := j.length("standpipe-max-height"); ok {
			finding.AtMost(j.Judge, on("standpipe-height", pt.ID, cite), h, most,
				finding.Say("The standpipe above its trap weir", "too long", "Shorten the standpipe."))
		}
		j.standpipeTrap(i, pt)
	}
	if pt.Fixture != nil && isFloorDrain(pt.Fixture) && j.routes.serving[j.tree.index[pt.ID]] >= 0 {
		j.Holds(true, finding.Case{Rule: "floor-drain-receptor", Place: pt.ID}, func() finding.Words {
			return finding.Words{Reason: "Floor drain " + pt.ID + " takes waste from elsewhere and is vented."}
		})
	}
}

// standpipeTrap judges how high the trap of a standpipe stands, as the layout says or as the
// riser that takes its arm makes it.
func (j *judge) standpipeTrap(i int32, pt *Point) {
	least, atLeast, low := j.length("standpipe-trap-min-height")
	most, atMost, high := j.length("standpipe-trap-max-height")
	if !low && !high {
		return
	}
	height, what := pt.Receptor.TrapAboveFloor, "The trap above the floor"
	if height == 0 && pt.AboveFloor && pt.Run.Vertical {
		height, what = j.weir(i, pt)-j.layout.FinishedFloor, "The trap above the floor, as its riser makes it,"
	}
	if height == 0 {
		cite := atLeast
		if !low {
			cite = atMost
		}
		j.Ask("standpipe-trap-height", pt.ID, tables.Designer,
			"How high the trap of the standpipe "+pt.ID+" stands above the floor is not given.",
			"State it (trap_above_floor).", cite)
		return
	}
	if low {
		finding.AtLeast(j.Judge, on("standpipe-trap-height", pt.ID, atLeast), height, least,
			finding.Say(what, "too low", "Raise the trap; it may not lie below the floor."))
	}
	if high {
		finding.AtMost(j.Judge, on("standpipe-trap-height", pt.ID, atMost), height, most,
			finding.Say(what, "too high", "Lower the trap."))
	}
}

// flatArm judges the fall that a layout states of a trap arm, which is drain pipe that lies
// flat. A fall is told to a fraction of an inch: only what is plainly less is said.
func (j *judge) flatArm(i int32, pt *Point) {
	t := pt.Trap
	if t == nil || t.Arm == 0 || t.Fall == 0 || pt.Fixture.Kind == "water-closet" {
		return
	}
	size := j.sizing.size[i]
	if t.Size > 0 {
		size = min(size, t.Size)
	}
	limit, err := j.code.MinGrade(dwv.Branch, size)
	if err != nil {
		return // drain-grade asks
	}
	least := limit.Least.Over(t.Arm)
	if least-t.Fall <= units.Inch/4 || 4*t.Fall >= 3*least {
		return
	}
	finding.AtLeast(j.Judge, sided("drain-grade", pt.ID, "arm", limit.Citation), t.Fall, least,
		finding.Say(j.Text("The fall of the trap arm of %v", t.Arm), "too little",
			"Lay the arm at the code's least grade, or move the vent nearer to the trap."))
}

// weir is how high the trap weir of a fixture lies: its arm falls from there to where the
// drain of the fixture begins.
func (j *judge) weir(i int32, pt *Point) units.Length {
	weir := j.levels.upper[i]
	if t := pt.Trap; t != nil {
		weir += cmp.Or(t.Fall, pt.Run.Grade.Over(t.Arm))
	}
	return weir
}

// holdsGrease tells whether what flows past a point passes a grease interceptor there.
func (pt *Point) holdsGrease() bool {
	return pt.Interceptor != nil && isGrease(pt.Interceptor.Kind)
}

func isGrease(words string) bool { return strings.Contains(strings.ToLower(words), "grease") }

// grease judges what passes a grease interceptor and what should, and soil through any other.
func (j *judge) grease() {
	t := j.tree
	// The interceptor of grease, and the one of another kind, that is passed first on the way to
	// the outlet; 0 for none.
	passes, other := j.work.node(0, j.system), j.work.node(1, j.system)
	for _, i := range slices.Backward(j.order) {
		pt := t.point(i)
		passes[i], other[i] = passes[t.parent[i]], other[t.parent[i]]
		switch {
		case pt.holdsGrease():
			passes[i] = i
		case pt.Interceptor != nil:
			other[i] = i
		}
		if pt.Fixture != nil && other[i] != 0 {
			j.throughOther(pt, t.point(other[i]))
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
var greasyKinds = []string{"pot-sink", "commercial-sink", "dishwasher-commercial", "potato-peeler"}

// isClean tells the fixtures that let no grease be discharged, unless the layout says that they do.
func isClean(kind string) bool {
	return fixture.IsLavatory(kind) || fixture.IsShower(kind) || slices.Contains(cleanKinds, kind)
}

var cleanKinds = []string{
	"bathtub", "drinking-fountain", "clothes-washer", "laundry-sink", "dental-unit", "dental-lavatory", "exam-sink",
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
	clean := isClean(pt.Fixture.Kind) && !isGrease(pt.Carries)
	why := "."
	switch {
	case soil && (only || none):
		why = ", which takes greasy waste and never soil."
	case clean && only:
		why = ", which takes only what fixtures that discharge grease drain."
	}
	const fix = "Join its drain downstream of the interceptor, or to a line of its own."
	words := func() finding.Words {
		return finding.Words{Reason: j.Text("The %s at %s drains through the grease interceptor at %s%s",
			spaced(pt.Fixture.Kind), pt.ID, at, why), Fix: fix}
	}
	if soil && why == "." {
		j.Ask("grease-interceptor", pt.ID, tables.Authority,
			words().Reason+" Our tables do not hold this code's rule for it; other codes bar it.", fix)
		return
	}
	j.Holds(why == ".", on("grease-interceptor", pt.ID, cite), words)
}

// throughOther asks about soil that drains through an interceptor of oil, sand, hair or what else
// is not grease: the shelf has no row of any code for it.
func (j *judge) throughOther(pt, at *Point) {
	if !carriesSoil(pt.Fixture.Kind) {
		return
	}
	j.Ask("interceptor-soil", pt.ID, tables.Book,
		j.Text("The %s at %s drains through the interceptor at %s (%s), which is made to hold back something else than "+
			"soil. Our tables do not hold the code's rule for it.", spaced(pt.Fixture.Kind), pt.ID, at.ID,
			at.Interceptor.Kind),
		"Join its drain downstream of the interceptor, or to a line of its own.")
}

// pastGrease judges greasy waste that meets no grease interceptor before the outlet. What
// drains a system of waste, or leads to another drain or a sump, may meet one farther on.
func (j *judge) pastGrease(pt *Point) {
	sys := &j.layout.Systems[j.system]
	must, cite := j.says("grease-fixtures")
	what := j.Text("Grease from the %s at %s reaches %s with no grease interceptor in its way.",
		spaced(pt.Fixture.Kind), pt.ID, sys.Outlet.ID)
	const fix = "Set a grease interceptor in the kitchen's waste line, before soil joins it."
	switch {
	case pt.Fixture.Use == tables.Private:
		j.Ask("grease-interceptor", pt.ID, tables.Authority, what+" Codes leave dwellings free of one.",
			"Ask whether this kitchen needs one.", cite)
	case sys.Kind != Soil || sys.Outlet.Kind != ToSewer && sys.Outlet.Kind != ToTank:
		j.Ask("grease-interceptor", pt.ID, tables.Designer, what+" One may stand beyond it.",
			"Say what the outlet leads to: a grease interceptor must stand in the way.", cite)
	case !must:
		j.Ask("grease-interceptor", pt.ID, tables.Authority, what, fix)
	default:
		j.fails(on("grease-interceptor", pt.ID, cite), what, fix)
	}
}

// says tells whether a rule of the code that is yes or no says yes.
func (j *judge) says(id string) (bool, tables.Citation) {
	r, _ := j.code.Rule(id)
	return r.Value == "yes", r.Cite
}

// interceptor sets an interceptor against its own sizing inputs.
func (j *judge) interceptor(i int32, pt *Point) {
	n, m := pt.Interceptor, finding.Case{Rule: "interceptor-capacity", Place: pt.ID}
	flow, rated := tidy(n.Inflow, units.USGallonPerMinute), tidy(n.Rated, units.USGallonPerMinute)
	volume := tidy(n.Volume, units.USGallon)
	need := tidy(units.Volume(float64(n.Inflow)*float64(n.Retention)), units.USGallon)
	byLoad := j.gravityVolume(i, pt)
	switch {
	case n.Inflow == 0 && byLoad:
	case n.Inflow == 0:
		j.Ask(m.Rule, pt.ID, tables.Designer, j.Text("The flow into the %s interceptor at %s is not given.", n.Kind, pt.ID),
			"Ask the designer for the flow it must take.")
	case flow > rated && rated > 0:
		finding.Compare(j.Judge, m, finding.Compared[units.Flow]{Value: flow, Limit: rated,
			Margin: tidy(rated-flow, units.USGallonPerMinute), Called: "limit"},
			finding.Say("The flow into the "+n.Kind+" interceptor", "too much",
				"Choose a larger interceptor, or hold the flow back."))
	case need > volume && volume > 0:
		finding.Compare(j.Judge, m, finding.Compared[units.Volume]{Value: volume, Limit: need,
			Margin: tidy(volume-need, units.USGallon), Called: "at least"},
			finding.Say(j.Text("The volume of the %s interceptor, for %v over %v,", n.Kind, n.Inflow, n.Retention),
				"too little", "Choose a larger interceptor."))
	case n.Rated == 0 && (n.Volume == 0 || n.Retention == 0) && byLoad:
	case n.Rated == 0 && (n.Volume == 0 || n.Retention == 0):
		j.Ask(m.Rule, pt.ID, tables.Designer,
			j.Text("Neither a rated flow nor a volume and a time is given for the %s interceptor at %s.", n.Kind, pt.ID),
			"Ask the maker.")
	default:
		j.Holds(true, m, func() finding.Words {
			return finding.Words{Reason: j.Text("The %s interceptor at %s takes the flow of %v given for it.", n.Kind,
				pt.ID, n.Inflow)}
		})
	}
	j.interceptorVent(i, pt)
}

// gravityVolume holds the volume of a gravity grease interceptor, one that is not rated by
// its flow, against what the code asks for the load that drains into it; ok is false if the
// code has no such table or the layout no volume.
func (j *judge) gravityVolume(i int32, pt *Point) (ok bool) {
	n := pt.Interceptor
	if n.Volume == 0 || n.Rated > 0 || !isGrease(n.Kind) {
		return false
	}
	load := j.sizing.drainLoad(i)
	least, cite, err := j.code.GravityInterceptor(load)
	if errors.Is(err, tables.ErrNotInCode) {
		return false
	}
	const rule, side = "interceptor-capacity", "load"
	if err != nil {
		j.Ask(rule, pt.ID, tables.Authority, j.Text("The load into the %s interceptor at %s is %v, more than the code's "+
			"table of volumes holds.", n.Kind, pt.ID, load), "Ask the authority which volume it takes.", cite)
		return true
	}
	volume, least := tidy(n.Volume, units.USGallon), tidy(least, units.USGallon)
	margin := tidy(volume-least, units.USGallon)
	finding.Compare(j.Judge, sided(rule, pt.ID, side, cite), finding.Compared[units.Volume]{Value: volume, Limit: least,
		Margin: margin, Left: float64(margin), Passes: volume >= least, Called: "at least"},
		finding.Say(j.Text("The volume of the %s interceptor, for a load of %v,", n.Kind, load), "too little",
			"Choose a larger interceptor."))
	return true
}

// interceptorVent judges whether an interceptor has a vent, its own or one that takes off
// beside it, and whether its cover can be reached.
func (j *judge) interceptorVent(i int32, pt *Point) {
	t, kind := j.tree, pt.Interceptor.Kind
	vented := pt.Interceptor.Vented
	if takeoff := t.vents.takeoff; takeoff != nil && !vented {
		p := t.parent[i] // to the next fitting, if nothing else comes in there
		vented = takeoff[i] >= 0 || int(p) >= t.outlets && takeoff[p] >= 0 && t.next[t.first[p]] < 0
	}
	switch yes, cite := j.says("interceptor-vent"); {
	case !yes:
	case vented:
		j.Holds(true, on("interceptor-vent", pt.ID, cite), func() finding.Words {
			return finding.Words{Reason: j.Text("The %s interceptor at %s is vented.", kind, pt.ID)}
		})
	case pt.tightCover():
		j.Ask("interceptor-vent", pt.ID, tables.Designer, j.Text("No vent is drawn at the %s interceptor %s; one with a "+
			"tight cover becomes air-bound, or is siphoned, without.", kind, pt.ID),
			"Vent it on its outlet side, or say that it is or needs none (interceptor: vented).", cite)
	}
	below := pt.Interceptor.CoverBelow
	if below == 0 {
		return
	}
	reason := j.Text("The cover of the %s interceptor at %s lies %v below the floor, where nobody reaches it.", kind,
		pt.ID, below)
	const fix = "Bring it up to the floor by a riser of the maker's."
	if yes, cite := j.says("interceptor-access"); yes {
		j.Holds(false, on("interceptor-access", pt.ID, cite), func() finding.Words {
			return finding.Words{Reason: reason, Fix: fix, Value: below}
		})
	} else {
		j.Ask("interceptor-access", pt.ID, tables.Authority, reason, fix)
	}
}

// tightCover tells whether an interceptor has a cover that lets no air pass: one of grease or
// oil, whose smell or vapour it keeps in. The basket of a trap for solids or hair has none.
func (pt *Point) tightCover() bool {
	kind := strings.ToLower(pt.Interceptor.Kind)
	return isGrease(kind) || strings.Contains(kind, "oil") || strings.Contains(kind, "fuel")
}

// tidy rounds a quantity to 1e-9 of a unit, so that what was exact before it went
// through floating point is compared and printed so.
func tidy[T ~float64](x, unit T) T {
	return T(math.Round(float64(x/unit)*1e9)/1e9) * unit
}
