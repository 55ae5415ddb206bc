package draw_test

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// legibleAll measures every sheet and returns all ids on them.
func legibleAll(t *testing.T, sheets []draw.Sheet) map[string]bool {
	t.Helper()
	ids := map[string]bool{}
	for _, s := range sheets {
		for _, id := range legible.Check(t, "sheet "+s.Name, s.SVG).IDs {
			ids[id] = true
		}
	}
	return ids
}

// TestRightToLeftInList: words written from right to left stand in the list of notes as they are,
// and no mark that steers them turns into another character.
func TestRightToLeftInList(t *testing.T) {
	sc := &draw.Scene{Notes: []draw.Note{{Key: "1", Text: "Turn at \u05d0\u05d1 \u05d2\u05d3: 90 deg"}},
		Marks: []draw.Mark{{ID: "a"}, {ID: "b", At: draw.Point{X: 10 * units.Foot}}}}
	sheets, err := draw.Plan(sc, draw.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if svg := string(sheets[0].SVG); strings.Contains(svg, "\ufffd") || !strings.Contains(svg, "\u05d2\u05d3\u200e: 90 deg") {
		t.Error("the note is changed")
	}
}
