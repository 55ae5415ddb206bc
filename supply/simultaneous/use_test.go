package simultaneous

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// A flush valve runs 9 s once in 300 s: Hunter's 0.03.
func TestUseProbability(t *testing.T) {
	if p, err := UseProbability(9, 300); err != nil || p != 0.03 {
		t.Errorf("%v, %v", p, err)
	}
	for _, c := range [][2]units.Duration{{10, 5}, {-1, 5}, {1, 0}} {
		if _, err := UseProbability(c[0], c[1]); !errors.Is(err, units.ErrRange) {
			t.Errorf("%v: %v", c, err)
		}
	}
}
