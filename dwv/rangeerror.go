package dwv

import (
	"errors"
	"math"
)

// ErrRange is matched by every error about a number outside the range in which
// a formula holds.
var ErrRange = errors.New("outside the valid range")

// RangeError names the quantity that is out of range, its value and the range.
type RangeError struct {
	Quantity string // "depth ratio"
	Value    string // "1.2"
	Allowed  string // "greater than 0 and at most 1"
}

// Error reads "depth ratio: 1.2 is not greater than 0 and at most 1".
func (e *RangeError) Error() string { return e.Quantity + ": " + e.Value + " is not " + e.Allowed }

// Unwrap returns [ErrRange].
func (e *RangeError) Unwrap() error { return ErrRange }

func outside(quantity, value, allowed string) error {
	return &RangeError{Quantity: quantity, Value: value, Allowed: allowed}
}

// positive tells whether x is a finite number greater than 0.
func positive(x float64) bool { return x > 0 && x <= math.MaxFloat64 }
