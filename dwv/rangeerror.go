package dwv

import (
	"math"

	"github.com/trapweir/trapweir/units"
)

func outside(quantity, value, allowed string) error {
	return &units.RangeError{Name: quantity, Value: value, Allowed: allowed}
}

// positive tells whether x is a finite number greater than 0.
func positive(x float64) bool { return x > 0 && x <= math.MaxFloat64 }
