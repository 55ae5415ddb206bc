package drains

import (
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// isDoubleTee tells a double sanitary tee, or cross, by its name.
func isDoubleTee(name string) bool {
	return strings.Contains(name, "double") && strings.Contains(name, "tee") || strings.Contains(name, "sanitary-cross")
}

// doubleFittings judges the double sanitary tees of a system: where a run enters a stack
// by one, what comes in at its sides.
func (j *judge) doubleFittings() {
	t := j.tree
	for i := j.lo; i < j.hi; i++ {
		doubled := false
		for k := t.first[i]; k >= 0; k = t.next[k] {
			doubled = doubled || isDoubleTee(t.point(k).Run.Into)
		}
		if doubled {
			j.doubleTee(i)
		}
	}
}

// doubleTee judges the double sanitary tee at a node.
func (j *judge) doubleTee(i int32) {
	t := j.tree
	var largest units.Length
	for k := t.first[i]; k >= 0; k = t.next[k] {
		if pt := t.point(k); isDoubleTee(pt.Run.Into) {
			largest = max(largest, j.sizing.size[k])
			j.doubleTeeInlet(i, k, pt)
		}
	}
	if over, cite, ok := j.number("double-tee-oversize", "pipe sizes"); ok {
		j.doubleTeeBarrel(i, int(over), largest, cite)
	}
}

// doubleTeeBarrel judges the barrel of a double sanitary tee. Which sizes count is recalled
// for a code that has a step of its own; what hangs on it is asked.
func (j *judge) doubleTeeBarrel(i int32, over int, largest units.Length, cite tables.Citation) {
	const fix = "Use a larger barrel, a double fixture fitting, or two single fittings."
	least := largest
	for range over {
		least = j.code.MadeSize(least, true)
	}
	if step, _, ok := j.length("double-tee-size-step"); ok {
		if counted := largest + units.Length(over)*step; j.sizing.size[i] >= counted &&
			(least == 0 || j.sizing.size[i] < least) {
			j.Ask("double-fitting", j.id(i), tables.Book,
				j.text("the barrel of the double sanitary tee is %v, over inlets of %v: %d pipe sizes larger only "+
					"if sizes count in steps of %v",
					nominal(j.sizing.size[i]), nominal(largest), over, step), fix, cite)
			return
		} else if least == 0 {
			least = counted
		}
	}
	j.sizeAtLeast("double-fitting", j.id(i), j.sizing.size[i], max(least, largest), cite,
		j.text("the barrel of the double sanitary tee, %d pipe sizes over its largest inlet of %v,", over,
			nominal(largest)), fix)
}

// doubleTeeInlet judges what comes in at a side of a double sanitary tee: water closets
// throw their flow across into the other side, and so does what is pumped.
func (j *judge) doubleTeeInlet(i, k int32, pt *Point) {
	r, ok := j.code.Rule("double-tee-closets")
	if !ok || r.Kind != tables.NotPermitted {
		return
	}
	what := ""
	switch {
	case j.sizing.closets[k] > 0:
		what = "a water closet"
	case pt.Fixture != nil && (pt.Fixture.Kind == "clothes-washer" || strings.HasPrefix(pt.Fixture.Kind, "dishwasher")):
		what = "a pump (" + pt.Fixture.Kind + ")"
	default:
		if !j.Passed(true, "double-fitting", pt.ID, r.Cite) {
			j.add(tables.Finding{Rule: "double-fitting", Place: pt.ID, Verdict: tables.Pass, Citation: r.Cite,
				Reason: j.text("no water closet and no pump discharges into this side of the double sanitary tee at %s",
					j.id(i))})
		}
		return
	}
	text := j.text("%s discharges into a side of the double sanitary tee at %s", what, j.id(i))
	const fix = "Use a double combination or a double fixture fitting made for it, or two single fittings one above " +
		"the other."
	least, _, apart := j.length("double-tee-closet-distance")
	if pt.Fixture != nil && dwv.ClosetsOf(pt.Fixture.Kind) > 0 && apart && pt.Run.Length >= least {
		j.Ask("double-fitting", pt.ID, tables.Authority,
			text+j.text("; newer editions may let a closet in from %v away (it is %v), an exception recalled and "+
				"not seen", least, pt.Run.Length), fix, r.Cite)
		return
	}
	j.add(tables.Finding{Rule: "double-fitting", Place: pt.ID, Verdict: tables.Fail, Reason: text, Fix: fix,
		Citation: r.Cite})
}
