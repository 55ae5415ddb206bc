package supply

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/units"
)

// ErrNoSolution is matched by the refusal of a question that has no answer in
// the range of the formula, such as a bore for a loss that no pipe can have.
var ErrNoSolution = errors.New("no solution in the range of the formula")

// refuse says that a formula cannot take an argument, given in SI (a temperature
// in degC), and what it takes.
func refuse(argument string, v float64, unit, allowed string) error {
	return &units.RangeError{Name: argument, Value: withUnit(v, unit), Allowed: allowed}
}

func withUnit(v float64, unit string) string {
	s := strconv.FormatFloat(v, 'g', 6, 64)
	if unit != "" {
		s += " " + unit
	}
	return s
}

// span is a range that an argument must lie in.
type span struct {
	low, high float64
	open      bool // low itself is refused
	unit      string
}

// The ranges that the formulas of this package accept. They are far wider than
// any building; they exist to stop slips of unit and overflow.
var (
	spanBore         = span{0, 100, true, "m"}
	spanLength       = span{0, 1e6, false, "m"}
	spanSomeLength   = span{0, 1e6, true, "m"}
	spanFlow         = span{0, 1e5, false, "m3/s"}
	spanSomeFlow     = span{0, 1e5, true, "m3/s"}
	spanVelocity     = span{0, 1e4, false, "m/s"}
	spanSomeVelocity = span{0, 1e4, true, "m/s"}
	spanWaveSpeed    = span{0, 1e6, true, "m/s"}
	spanSomeHead     = span{0, 1e7, true, "m"}
	spanPressure     = span{0, 1e11, false, "Pa"}
	spanSomePressure = span{0, 1e11, true, "Pa"}
	spanC            = span{1, 200, false, ""}
	spanDensity      = span{0, 1e5, true, "kg/m3"}
	spanViscosity    = span{0, 1, true, "m2/s"}
	spanReynolds     = span{1e-300, 1e15, false, ""}
	spanRelative     = span{0, 0.05, false, ""}
	spanK            = span{0, 1e9, false, ""}
	spanWater        = span{273.15, 373.15, false, "K"} // see checkWater
	spanProbability  = span{0, 1, false, ""}
	spanConfidence   = span{0, 1, true, ""}
)

// check returns nil if v lies in s, else an *units.RangeError.
func (s *span) check(argument string, v float64) error {
	if v <= s.high && (v > s.low || v == s.low && !s.open) {
		return nil
	}
	return s.refuse(argument, v)
}

func (s *span) refuse(argument string, v float64) error {
	low := "at least "
	if s.open {
		low = "more than "
	}
	text := low + withUnit(s.low, s.unit) + " and at most " + withUnit(s.high, s.unit)
	return refuse(argument, v, s.unit, text)
}

// checkWater refuses a temperature, in K, that liquid water does not have at the
// pressure of the air. It says so in the degrees that people use.
func checkWater(k float64) error {
	if k >= spanWater.low && k <= spanWater.high {
		return nil
	}
	return refuse("temperature", k-spanWater.low, "degC", "at least 0 degC and at most 100 degC")
}

// checkFinite refuses what is not a number and what is infinite.
func checkFinite(argument string, v float64, unit string) error {
	if v-v == 0 {
		return nil
	}
	return refuse(argument, v, unit, "a finite number")
}

// noSolution says that a question has no answer.
func noSolution(format string, args ...any) error {
	return fmt.Errorf("%s: %w", fmt.Sprintf(format, args...), ErrNoSolution)
}

// finite refuses a result that overflowed.
func finite(what string, v float64) error {
	if math.Abs(v) <= math.MaxFloat64 {
		return nil
	}
	return refuse(what, v, "", "within the range of float64")
}
