package slope_test

import (
	"testing"

	"github.com/trapweir/trapweir/slope"
)

// The grades of a layout are many: a good one is read without an allocation.
func TestParseAllocatesNothing(t *testing.T) {
	for _, text := range []string{"1/4 in/ft", "2 %", "1:48", "1/4 in per ft", "20.8 mm/m"} {
		if n := testing.AllocsPerRun(100, func() {
			if _, err := slope.Parse(text); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("%q: %v allocations", text, n)
		}
	}
}
