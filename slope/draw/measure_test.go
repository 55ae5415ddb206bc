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
