package drains

import (
	"github.com/trapweir/trapweir/tables"
)

// urinals asks for a cleanout at each urinal, where the code does: at the urinal
// itself or where its drain joins another.
func (j *judge) urinals() {
	n, cite, ok := j.number("cleanout-urinal", "count")
	if !ok || n < 1 {
		return
	}
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		if pt.Fixture == nil || pt.Fixture.Kind != "urinal" {
			continue
		}
		next := j.tree.point(j.tree.parent[i])
		f := tables.Finding{Rule: "cleanout-urinal", Place: pt.ID, Verdict: tables.Pass, Citation: cite}
		switch {
		case pt.Cleanout == nil && (next == nil || next.Cleanout == nil):
			f.Verdict, f.Reason, f.Fix = tables.Fail, "no cleanout is drawn at this urinal or where its drain joins",
				"Set a cleanout above the connection of the urinal."
		case pt.Fixture.Count > 1:
			f.Verdict, f.SettledBy, f.Fix = tables.Ask, tables.Designer, "Draw each urinal with its cleanout."
			f.Reason = j.text("%d urinals are drawn at one point, and each needs a cleanout", pt.Fixture.Count)
		case j.skips(cite):
			continue
		default:
			f.Reason = "a cleanout stands at this urinal"
		}
		j.add(f)
	}
}
