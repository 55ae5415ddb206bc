package draw_test

import (
	"testing"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
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

// TestCleanTwice: a text that is clean stays as it is.
func TestCleanTwice(t *testing.T) {
	for _, s := range []string{"\u05d0\u05d1 12", "A \u05d0\u05d1\u05d2", "\u0627\u0628 \u05d0 x", "plain"} {
		once := clean(s)
		if twice := clean(once); twice != once {
			t.Errorf("%q becomes %q, then %q", s, once, twice)
		}
	}
}
