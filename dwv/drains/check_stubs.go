package drains

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// openStubs are the stubs of a system that nothing says the height of.
type openStubs struct {
	runs   someRuns
	lowest units.Length
}

// stubUp holds the height of a stub against the code's and the job's. Where there is
// neither it is left open.
func (j *judge) stubUp(pt *Point, open *openStubs) {
	const what, remedy = "the stub above the floor",
		"Leave the stub longer: concrete and water must not get in, and the test cap needs a grip."
	least, cite, ok := j.length("stub-up-min-height")
	if ok {
		j.atLeast("stub-up", pt.ID, pt.StubUp, least, cite, what, remedy)
	}
	if least := j.layout.MinimumStubUp; least > 0 {
		j.atLeast("stub-up", pt.ID, pt.StubUp, least, tables.Citation{}, what+", by the job,", remedy)
		ok = true
	}
	if !ok {
		if open.runs.count == 0 || pt.StubUp < open.lowest {
			open.lowest = pt.StubUp
		}
		open.runs.add(pt.ID)
	}
}

// askStubs asks, once for a system, how high its stubs must stand.
func (j *judge) askStubs(open *openStubs) {
	if open.runs.count == 0 {
		return
	}
	j.Ask("stub-up", j.layout.Systems[j.system].ID, tables.Designer,
		j.text("the stubs of %v stand %v above the floor at their lowest, and neither the code nor the job says how "+
			"high they must", &open.runs, open.lowest),
		"Agree on a height that the pour and the test caps need, and set it as the job's least.", tables.Citation{})
}

// stubSlack is how far a stub may be said to stand higher than its riser reaches: joins at
// other levels than the invert, and pipe cut to the inch, make as much (practice).
const stubSlack = units.Inch

// riserTop holds the top of a riser, as its length makes it, against the floor and the height
// at which its stub is said to stand: a riser keyed for another outlet or drain leaves the
// stub below the floor.
func (j *judge) riserTop(i int32, pt *Point) {
	if !pt.Run.Vertical || pt.StubUp == 0 && !(pt.AboveFloor && pt.Fixture != nil) {
		return
	}
	top := j.levels.upper[i] - j.layout.FinishedFloor
	short := pt.StubUp - top
	if short <= stubSlack {
		return
	}
	reason := j.text("the riser of %v ends %v below the floor", pt.Run.Length, -top)
	if top >= 0 {
		reason = j.text("the riser of %v ends %v above the floor", pt.Run.Length, top)
	}
	if pt.StubUp > 0 {
		reason += j.text(", and the stub is to stand %v above it", pt.StubUp)
	}
	j.add(tables.Finding{Rule: "stub-up", Place: pt.ID, Side: "riser", Verdict: tables.Fail, Value: top,
		Limit: pt.StubUp, Margin: -short, Reason: reason,
		Fix: j.text("Make the riser %v longer, or say how high the stub stands (stub_up).", short)})
}
