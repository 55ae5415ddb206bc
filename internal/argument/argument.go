// Package argument holds the ranges that the formulas of this module accept, and
// words the refusal of a number that lies outside one: always a [units.RangeError].
package argument

import (
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/units"
)

// Outside says that a number, written with its unit, is not what is allowed.
func Outside(name, value, allowed string) error {
	return &units.RangeError{Name: name, Value: value, Allowed: allowed}
}

// Refuse is [Outside] for a number in SI, or in the unit that is named.
func Refuse(name string, v float64, unit, allowed string) error {
	return Outside(name, Text(v, unit), allowed)
}

// Text writes a number with its unit, which may be empty, for a refusal.
func Text(v float64, unit string) string {
	if unit != "" {
		return Number(v) + " " + unit
	}
	return Number(v)
}

// Number writes a number without a unit for a refusal.
func Number(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// Litres writes a flow for a refusal.
func Litres(q units.Flow) string { return Number(float64(q/units.LitrePerSecond)) + " L/s" }

// Positive tells whether x is a finite number greater than 0.
func Positive(x float64) bool { return x > 0 && x <= math.MaxFloat64 }

// CheckPositive refuses a number in SI, or in the unit that is named, that is not [Positive].
func CheckPositive(name string, v float64, unit string) error {
	if Positive(v) {
		return nil
	}
	return Refuse(name, v, unit, "positive")
}

// CheckPositiveFlow refuses a flow that is not [Positive].
func CheckPositiveFlow(q units.Flow) error {
	if Positive(float64(q)) {
		return nil
	}
	return Outside("flow", Litres(q), "positive")
}

// A Range is what an argument must lie in.
type Range struct {
	Low, High float64
	open      bool // Low itself is refused
	unit      string
}

// Between is the range from low to high, both included.
func Between(low, high float64, unit string) Range { return Range{low, high, false, unit} }

// Above is the range of what is more than low and at most high.
func Above(low, high float64, unit string) Range { return Range{low, high, true, unit} }

// The ranges of common arguments. They are far wider than any building; they exist to
// stop slips of unit and overflow.
var (
	Bore             = Above(0, 100, "m")
	Length           = Between(0, 1e6, "m")
	PositiveLength   = Above(0, 1e6, "m")
	Flow             = Between(0, 1e5, "m3/s")
	PositiveFlow     = Above(0, 1e5, "m3/s")
	Velocity         = Between(0, 1e4, "m/s")
	PositiveVelocity = Above(0, 1e4, "m/s")
	WaveSpeed        = Above(0, 1e6, "m/s")
	PositiveHead     = Above(0, 1e7, "m")
	Pressure         = Between(0, 1e11, "Pa")
	PositivePressure = Above(0, 1e11, "Pa")
	C                = Between(1, 200, "") // of Hazen and Williams
	Density          = Above(0, 1e5, "kg/m3")
	Viscosity        = Above(0, 1, "m2/s")
	Reynolds         = Between(1e-300, 1e15, "")
	RelativeRough    = Between(0, 0.05, "") // height of the wall's roughness over the bore
	K                = Between(0, 1e9, "")  // of a fitting
	Water            = Between(273.15, 373.15, "K")
	Probability      = Between(0, 1, "")
	Confidence       = Above(0, 1, "")
	Wall             = Above(0, 10, "m") // of a pipe
)

// Check returns nil if v lies in the range, else a [units.RangeError].
func (r *Range) Check(name string, v float64) error {
	if v <= r.High && (v > r.Low || v == r.Low && !r.open) {
		return nil
	}
	return r.refuse(name, v)
}

func (r *Range) refuse(name string, v float64) error {
	low := "at least "
	if r.open {
		low = "more than "
	}
	return Refuse(name, v, r.unit, low+Text(r.Low, r.unit)+" and at most "+Text(r.High, r.unit))
}

// Bare says of a length that is a number without its unit what to write, "" of any other. Lengths are
// counted in nanometres, so that 40 of them, where 40 ft were meant, would pass for nothing at
// all. No pipe, depth or place is drawn to less than a hundredth of a millimetre.
func Bare(x units.Length) string {
	if x == 0 || x <= -units.Millimetre/100 || x >= units.Millimetre/100 {
		return ""
	}
	return fmt.Sprintf("%v is a number without its unit: 40 ft are 40*units.Foot", x)
}

// CheckBare is [Bare] as an error.
func CheckBare(name string, x units.Length) error {
	if text := Bare(x); text != "" {
		return fmt.Errorf("%s: %w: %s", name, units.ErrRange, text)
	}
	return nil
}

// CheckWater refuses a temperature, in K, that liquid water does not have at the
// pressure of the air. It says so in the degrees that people use.
func CheckWater(k float64) error {
	if k >= Water.Low && k <= Water.High {
		return nil
	}
	return Refuse("temperature", k-Water.Low, "degC", "at least 0 degC and at most 100 degC")
}

// CheckFinite refuses what is not a number and what is infinite.
func CheckFinite(name string, v float64, unit string) error {
	if v-v == 0 {
		return nil
	}
	return Refuse(name, v, unit, "a finite number")
}

// CheckResult refuses a result that overflowed.
func CheckResult(name string, v float64) error {
	if math.Abs(v) <= math.MaxFloat64 {
		return nil
	}
	return Refuse(name, v, "", "within the range of float64")
}

// NoSolution says that a question has no answer.
func NoSolution(format string, args ...any) error {
	return fmt.Errorf("%s: %w", fmt.Sprintf(format, args...), units.ErrNoSolution)
}

// RoundToEnd takes a value that differs from an end of a range by rounding only,
// such as 212 degF turned into kelvins, for that end.
func RoundToEnd(v, low, high float64) float64 {
	for _, end := range [...]float64{low, high} {
		if math.Abs(v-end) <= 1e-12*end {
			return end
		}
	}
	return v
}
