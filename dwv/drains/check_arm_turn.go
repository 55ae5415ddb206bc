package drains

import (
	"slices"

	"github.com/trapweir/trapweir/tables"
)

// armTurns judges how much each trap arm turns in plan, where the code limits it. A
// turn at a cleanout does not count, nor does one at the vent; what a water closet
// stands on is no arm.
func (j *judge) armTurns() {
	most, cite, ok := j.number("trap-arm-turn", "deg")
	if !ok {
		return
	}
	wide, wideCite, hasWide := j.number("trap-arm-turn-large", "deg")
	from, _, _ := j.length("trap-arm-turn-large-from")
	t, r := j.tree, j.routes
	// The turns from the upper end of a run down to its vent, and whether they are
	// all known.
	turned, known := j.work.node(0, j.system), j.work.flag(0, j.system)
	for _, i := range slices.Backward(j.order) {
		known[i] = true
		p := t.parent[i]
		if r.serving[i] < 0 {
			continue
		}
		run := &t.point(i).Run
		for _, name := range run.Fittings {
			mdeg := bendAngle(name)
			known[i] = known[i] && mdeg > 0
			turned[i] += max(mdeg, 0)
		}
		if r.vent[p] >= 0 {
			continue
		}
		turned[i] += turned[p]
		known[i] = known[i] && known[p]
		if next := t.point(p); next != nil && next.Cleanout == nil && !run.Vertical && !next.Run.Vertical {
			turn := j.sizing.turn(i, p)
			known[i] = known[i] && turn >= 0
			turned[i] += max(turn, 0)
		}
	}
	for i := j.lo; i < j.hi; i++ {
		pt := t.point(i)
		if pt.Fixture == nil || pt.Fixture.Kind == "water-closet" || r.serving[i] < 0 || r.vent[i] >= 0 {
			continue
		}
		limit, c := angle(most*1000), cite
		if hasWide && j.sizing.size[i] >= from {
			limit, c = angle(wide*1000), wideCite
		}
		j.armTurn(i, angle(turned[i]), limit, known[i], c)
	}
}

func (j *judge) armTurn(i int32, turn, limit angle, known bool, cite tables.Citation) {
	over := turn > limit
	if !over && (!known || j.skips(cite)) {
		return // what is not drawn is not judged
	}
	f := tables.Finding{Rule: "trap-arm-turn", Place: j.id(i), Verdict: tables.Pass, Value: turn, Limit: limit,
		Margin: limit - turn, Citation: cite}
	if over || !j.brief(cite) {
		f.Reason = j.text("the trap arm to the vent at %s turns by %v, and may turn by %v without a cleanout",
			j.id(j.routes.reached[i]), turn, limit)
	}
	if over {
		f.Verdict, f.Fix = tables.Fail, "Run the arm straighter, set a cleanout at a turn, or move the vent nearer."
	}
	j.add(f)
}

// bendAngle returns the angle of a bend by its name, in thousandths of a degree, -1
// for a fitting that is none.
func bendAngle(kind string) int32 {
	for _, b := range bends {
		if b.kind == kind {
			return b.mdeg
		}
	}
	return -1
}
