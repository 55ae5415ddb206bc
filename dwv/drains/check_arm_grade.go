package drains

import (
	"slices"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
)

// armGrades judges how steep each trap arm is, where the code prints a greatest
// grade beside its length. What stands over its own trap, as a water closet does, is
// not held to that table.
func (j *judge) armGrades() {
	if !j.code.CapsArms() {
		return
	}
	t, r := j.tree, j.routes
	// The steepest run on the way from a node down to its vent, -1 for none.
	steepest := j.work.node(0, j.system)
	steepest[j.system] = -1
	for _, i := range slices.Backward(j.order) {
		steepest[i] = -1
		if r.serving[i] < 0 || r.vent[i] >= 0 {
			continue
		}
		steepest[i] = steepest[t.parent[i]]
		run := &t.point(i).Run
		if s := steepest[i]; !run.Vertical && (s < 0 || run.Grade.Compare(t.point(s).Run.Grade) > 0) {
			steepest[i] = i
		}
	}
	for i := j.lo; i < j.hi; i++ {
		pt := t.point(i)
		if pt.Fixture == nil || pt.Fixture.Kind == "water-closet" || r.serving[i] < 0 {
			continue
		}
		j.armGrade(i, pt, steepest[i])
	}
}

func (j *judge) armGrade(i int32, pt *Point, steepest int32) {
	size := j.sizing.size[i]
	if pt.Trap != nil && pt.Trap.Size > 0 {
		size = min(size, pt.Trap.Size)
	}
	arm, err := j.code.TrapArm(size)
	if err != nil || arm.MaxGrade.IsLevel() {
		return // trap-arm-length says that the table has no such size
	}
	var g slope.Grade
	if steepest >= 0 {
		g = j.tree.point(steepest).Run.Grade
	}
	// What lies before the run has the run's grade if its own fall is not given.
	if tr := pt.Trap; tr != nil && tr.Arm > 0 {
		own := pt.Run.Grade
		if tr.Fall > 0 {
			own, err = slope.Of(tr.Fall, tr.Arm)
		}
		if err == nil && own.Compare(g) > 0 {
			g = own
		}
	}
	if g.IsLevel() {
		return // no grade is given: the arm ends at its riser
	}
	over := g.Compare(arm.MaxGrade) > 0
	if !over && j.skips(arm.Citation) {
		return
	}
	f := tables.Finding{Rule: "trap-arm-grade", Place: pt.ID, Verdict: tables.Pass, Value: g, Limit: arm.MaxGrade,
		Citation: arm.Citation}
	if over || !j.brief(arm.Citation) {
		f.Reason = j.text("the trap arm to the vent at %s falls %v at its steepest, and may fall %v",
			j.id(j.routes.reached[i]), g, arm.MaxGrade)
	}
	if m, err := arm.MaxGrade.Sub(g); err == nil {
		f.Margin = m
	}
	if over {
		f.Verdict, f.Fix = tables.Fail,
			"Lay the arm flatter, or move the vent nearer to the trap: a steep arm empties its trap."
	}
	j.add(f)
}
