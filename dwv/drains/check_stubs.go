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
	const what, remedy = "the stub above the floor", "Leave the stub longer: concrete and water must not get in, and the test cap needs a grip."
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
	j.Ask("stub-up", j.layout.Systems[j.system].ID, tables.Designer, j.text("the stubs of %v stand %v above the floor at their lowest, and neither the code nor the job says how high they must", &open.runs, open.lowest),
		"Agree on a height that the pour and the test caps need, and set it as the job's least.", tables.Citation{})
}
