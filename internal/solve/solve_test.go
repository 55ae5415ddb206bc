package solve

import (
	"errors"
	"math"
	"testing"
)

type fn = func(float64) (float64, float64, float64)

func TestRising(t *testing.T) {
	// Roots known in closed form.
	cases := []struct {
		name          string
		f             fn
		lo, hi, start float64
		want          float64
	}{
		{"square root of two", func(x float64) (float64, float64, float64) { return x*x - 2, 2 * x, 2 }, 0, 2, 1,
			math.Sqrt2},
		{"cube root of ten", func(x float64) (float64, float64, float64) { return x*x*x - 10, 3 * x * x, 6 * x }, 0, 10,
			9, math.Cbrt(10)},
		{"natural logarithm of three",
			func(x float64) (float64, float64, float64) { e := math.Exp(x); return e - 3, e, e }, -50, 50, 49,
			math.Log(3)},
		{"pi as a zero of the sine",
			func(x float64) (float64, float64, float64) { return -math.Sin(x), -math.Cos(x), math.Sin(x) }, 2, 4, 3,
			math.Pi},
		// Newton from 3 would leave for infinity; the bracket holds it.
		{"arctangent", func(x float64) (float64, float64, float64) { d := 1 / (1 + x*x); return math.Atan(x), d, 0 },
			-10, 20, 3, 0},
		{"start outside", func(x float64) (float64, float64, float64) { return x - 1, 1, 0 }, 0, 4, 17, 1},
		{"start not a number", func(x float64) (float64, float64, float64) { return x - 1, 1, 0 }, 0, 4, math.NaN(), 1},
		{"root at the left end", func(x float64) (float64, float64, float64) { return x + x*x, 1 + 2*x, 2 }, 0, 1, 0.5,
			0},
		{"derivatives that lie", func(x float64) (float64, float64, float64) { return x - 0.3, -1, 0 }, 0, 1, 0.9, 0.3},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			for _, newton := range []bool{false, true} {
				f := c.f
				if newton {
					f = func(x float64) (float64, float64, float64) { y, dy, _ := c.f(x); return y, dy, 0 }
				}
				got, n, err := Rising(f, c.lo, c.hi, c.start, 1e-9)
				if err != nil || math.Abs(got-c.want) > 1e-9*math.Max(1, math.Abs(c.want)) {
					t.Errorf("newton=%v: got %v after %d, %v; want %v", newton, got, n, err, c.want)
				}
			}
		})
	}
}

func TestRisingLastDigits(t *testing.T) {
	// Halley with the tolerance that the doc comment names reaches the last digits
	// in few evaluations.
	f := func(x float64) (float64, float64, float64) { return x*x*x - 10, 3 * x * x, 6 * x }
	got, n, err := Rising(f, 0, 10, 2, 1e-6)
	if err != nil || n > 4 || math.Abs(got-math.Cbrt(10)) > 4e-16*got {
		t.Errorf("Halley: %v after %d, %v", got, n, err)
	}
	g := func(x float64) (float64, float64, float64) { return x*x*x - 10, 3 * x * x, 0 }
	got, n, err = Rising(g, 0, 10, 2, 1e-8)
	if err != nil || n > 5 || math.Abs(got-math.Cbrt(10)) > 4e-16*got {
		t.Errorf("Newton: %v after %d, %v", got, n, err)
	}
}

func TestSecondDerivativeSavesSteps(t *testing.T) {
	halley := func(x float64) (float64, float64, float64) { return x*x*x - 10, 3 * x * x, 6 * x }
	newton := func(x float64) (float64, float64, float64) { return x*x*x - 10, 3 * x * x, 0 }
	_, h, err := Rising(halley, 0, 10, 9, 1e-6)
	if err != nil {
		t.Fatal(err)
	}
	_, n, err := Rising(newton, 0, 10, 9, 1e-6)
	if err != nil {
		t.Fatal(err)
	}
	if h >= n {
		t.Errorf("Halley took %d evaluations, Newton %d", h, n)
	}
}

func TestRisingErrors(t *testing.T) {
	line := func(x float64) (float64, float64, float64) { return x, 1, 0 }
	nan := func(x float64) (float64, float64, float64) { return math.NaN(), 1, 0 }
	cases := []struct {
		name        string
		f           fn
		lo, hi, tol float64
		want        error
	}{
		{"all positive", line, 1, 2, 1e-9, ErrNoRoot},
		{"all negative", line, -2, -1, 1e-9, ErrNoRoot},
		{"empty bracket", line, 1, 1, 1e-9, ErrInput},
		{"bracket reversed", line, 2, -1, 1e-9, ErrInput},
		{"bracket not a number", line, math.NaN(), 1, 1e-9, ErrInput},
		{"bracket infinite", line, 0, math.Inf(1), 1e-9, ErrInput},
		{"no tolerance", line, -1, 1, 0, ErrInput},
		{"value not a number", nan, -1, 1, 1e-9, ErrInput},
	}
	for _, c := range cases {
		if _, _, err := Rising(c.f, c.lo, c.hi, (c.lo+c.hi)/2, c.tol); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

func TestRisingAllocatesNothing(t *testing.T) {
	want := 7.0
	if n := testing.AllocsPerRun(100, func() {
		_, _, err := Rising(func(x float64) (float64, float64, float64) { return x*x - want, 2 * x, 2 }, 0, 10, 1, 1e-6)
		if err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
