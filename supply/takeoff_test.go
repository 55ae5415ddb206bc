package supply

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/units"
)

// A link of a ring is of the pipe that it names, or of that of the line it joins.
func TestTakeOffLinks(t *testing.T) {
	for pipe, want := range map[string]map[string]units.Length{
		"":         {"copper-l": 500 * units.Foot},
		"copper-k": {"copper-l": 400 * units.Foot, "copper-k": 100 * units.Foot},
	} {
		d := square()
		d.Links[0].Pipe = pipe
		a, _ := ringOf(t, d)
		got := map[string]units.Length{}
		for _, line := range a.lines() {
			if line.Kind == "pipe" {
				got[line.Item] = line.Length
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("link of %q (-want +got):\n%s", pipe, diff)
		}
	}
}

// The wall is told of a size that comes in two or more: EN 1057 makes 10 mm in 1 mm
// alone, 66.7 mm in 1.2 and 2 mm, of which the thickest counts.
func TestTakeOffWalls(t *testing.T) {
	mm := units.Millimetre
	for size, want := range map[units.Length]units.Length{10 * mm: 0, units.Millimetres(66.7): 2 * mm, 12 * mm: mm} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: size, Pipe: "copper-en1057"}}, []string{"A"}, nil)
		if line := sized(t, mustCode(t, "ipc-2021"), d).lines()[0]; line.Wall != want || line.Size != size {
			t.Errorf("%v: %+v, want a wall of %v", size, line, want)
		}
	}
}
