package drains

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// joinBelow judges a run larger than the pipe it joins: at the crown or the
// springline its invert comes to lie below the other's, and what is below that never
// drains. That is no rule of a code.
func (j *judge) joinBelow(i, p int32) {
	low := j.levels.upper[p] - j.levels.lower[i]
	if low <= 0 {
		return
	}
	j.add(tables.Finding{Rule: "join-level", Place: j.id(i), Verdict: tables.Fail, Value: -low, Limit: units.Length(0),
		Margin: -low,
		Reason: j.text("the %v pipe joins the %v one with its invert %v below the other's, and stands full to that "+
			"height", nominal(j.sizing.size[i]), nominal(j.sizing.size[p]), low),
		Fix: "Join it at the invert, or lay the pipe downstream as large."})
}
