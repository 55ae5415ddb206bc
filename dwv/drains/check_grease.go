package drains

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

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
