package drains

import (
	"errors"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// stackLengths judges how long each vertical drain is, where the code limits it by
// its size. Vertical runs of one size that follow each other are one drain; where
// two come together the longer one counts.
func (j *judge) stackLengths() {
	if _, _, err := j.code.StackLength(units.Inch); errors.Is(err, dwv.ErrNotInCode) {
		return // whatever the size
	}
	t, size := j.tree, j.sizing.size
	length := j.work.length(0, j.system)
	for _, i := range j.order {
		run := &t.point(i).Run
		if !run.Vertical {
			continue
		}
		length[i] += run.Length
		p := t.parent[i]
		if next := t.point(p); next != nil && next.Run.Vertical && size[p] == size[i] {
			length[p] = max(length[p], length[i])
			continue
		}
		j.stackLength(i, length[i])
	}
}

// stackLength judges one vertical drain by its lowest run.
func (j *judge) stackLength(i int32, length units.Length) {
	size := j.sizing.size[i]
	most, cite, err := j.code.StackLength(size)
	switch {
	case err != nil:
		j.Ask("stack-length", j.id(i), tables.Authority, j.text("the vertical drain is %v long, and %v", length, err),
			"Ask the authority how long it may be.", tables.Citation{})
	case most.Kind == tables.NotPermitted:
		j.add(tables.Finding{Rule: "stack-length", Place: j.id(i), Verdict: tables.Fail, Value: length,
			Reason: j.text("%v pipe may not stand as a drain", nominal(size)), Fix: "Enlarge it.", Citation: cite})
	case most.Kind != tables.Value || j.quiet(most.Value-length, cite):
	default:
		j.atMost("stack-length", j.id(i), length, most.Value, cite, j.text("the vertical drain of %v", nominal(size)),
			"Enlarge it: the next size may be longer.")
	}
}
