package argument

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// What is no number, infinite or not above nothing is not positive.
func TestPositive(t *testing.T) {
	for x, want := range map[float64]bool{
		math.MaxFloat64: true, 1: true, math.SmallestNonzeroFloat64: true, 0: false, -1: false, math.Inf(1): false,
		math.Inf(-1): false,
	} {
		if Positive(x) != want {
			t.Errorf("%v: %v", x, !want)
		}
	}
	if Positive(math.NaN()) {
		t.Error("NaN")
	}
}

// A bound belongs to a range unless the range is open there; what is no number belongs to none.
func TestRange(t *testing.T) {
	some, open := Between(1, 200, ""), Above(0, 100, "m")
	for _, c := range []struct {
		err  error
		want string
	}{
		{some.Check("c", 1), ""},
		{some.Check("c", 200), ""},
		{some.Check("c", 0.5), "c: 0.5 is not at least 1 and at most 200"},
		{open.Check("bore", 100), ""},
		{open.Check("bore", 0), "bore: 0 m is not more than 0 m and at most 100 m"},
		{open.Check("bore", math.NaN()), "bore: NaN m is not more than 0 m and at most 100 m"},
		{CheckWater(373.15), ""},
		{CheckWater(273.15), ""},
		{CheckWater(272.15), "temperature: -1 degC is not at least 0 degC and at most 100 degC"},
		{CheckResult("loss", -math.MaxFloat64), ""},
		{CheckFinite("head", -5, "m"), ""},
		{CheckWater(374.15), "temperature: 101 degC is not at least 0 degC and at most 100 degC"},
		{CheckFinite("head", math.Inf(1), "m"), "head: +Inf m is not a finite number"},
		{CheckResult("loss", math.MaxFloat64), ""},
		{CheckResult("loss", math.NaN()), "loss: NaN is not within the range of float64"},
	} {
		if c.want == "" {
			if c.err != nil {
				t.Error(c.err)
			}
			continue
		}
		if _, ok := errors.AsType[*units.RangeError](c.err); !ok || c.err.Error() != c.want ||
			!errors.Is(c.err, units.ErrRange) {
			t.Errorf("%v, want %s", c.err, c.want)
		}
	}
}

// TestRoundToEnd: a millionth of a millionth is rounding, more is a value of its own.
func TestRoundToEnd(t *testing.T) {
	for _, c := range []struct{ v, want float64 }{
		{300, 300}, {300 + 2e-10, 300}, {300 - 2e-10, 300}, {300 + 4e-10, 300 + 4e-10}, {400 + 3e-10, 400}, {350, 350},
	} {
		if got := RoundToEnd(c.v, 300, 400); got != c.want {
			t.Errorf("%v: %v, want %v", c.v, got, c.want)
		}
	}
}

func TestLitres(t *testing.T) {
	if got := Litres(units.LitrePerSecond / 8); got != "0.125 L/s" {
		t.Error(got)
	}
}

// TestBare: a length under a hundredth of a millimetre is a number whose unit was forgotten; none is none.
func TestBare(t *testing.T) {
	for x, bare := range map[units.Length]bool{0: false, 40: true, -40: true, 9_999: true, -9_999: true, 10_000: false, -10_000: false,
		units.Inch: false, -units.Foot: false} {
		if got := Bare(x) != ""; got != bare {
			t.Errorf("%d nm: %v", int64(x), got)
		}
		if err := CheckBare("length", x); (err != nil) != bare || bare && !errors.Is(err, units.ErrRange) {
			t.Errorf("%d nm: %v", int64(x), err)
		}
	}
}
