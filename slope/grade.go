// Package slope lays pipe to grade: falls, inverts, offsets, laser planes and
// rod readings, trench depths.
package slope

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"github.com/trapweir/trapweir/units"
)

// Grade is a fall over a run, an exact ratio in lowest terms: 1/4 in per ft is
// 1/48, 2 % is 1/50. The zero value is level. Grades compare with == and with
// [Grade.Compare]; a negative grade rises.
type Grade struct{ rise, run int64 }

// ErrGrade is wrapped by every error about a grade that cannot be.
var ErrGrade = errors.New("grade out of range")

// Ratio returns the grade that falls rise over run, both in the same unit.
// The run must be positive.
func Ratio(rise, run int64) (Grade, error) {
	if run <= 0 || rise == math.MinInt64 {
		return Grade{}, fmt.Errorf("%w: %d over %d: the run must be positive", ErrGrade, rise, run)
	}
	if rise == 0 {
		return Grade{}, nil
	}
	a, b := rise, run
	if a < 0 {
		a = -a
	}
	for b != 0 {
		a, b = b, a%b
	}
	return Grade{rise / a, run / a}, nil
}

// Of returns the grade of a fall over a run.
func Of(fall, run units.Length) (Grade, error) { return Ratio(int64(fall), int64(run)) }

// PerFoot returns the grade that falls by fall in each foot of run.
func PerFoot(fall units.Length) Grade {
	g, _ := Ratio(int64(fall), int64(units.Foot))
	return g
}

// OneIn returns the grade that falls one in n. It is level for n <= 0.
func OneIn(n int64) Grade {
	g, _ := Ratio(1, n)
	return g
}

// IsLevel reports whether g neither falls nor rises.
func (g Grade) IsLevel() bool { return g.rise == 0 }

// Over returns the fall over a run, to the nearest nanometre, half to even.
func (g Grade) Over(run units.Length) units.Length {
	if g.rise == 0 {
		return 0
	}
	return units.Length(mulDiv(int64(run), g.rise, g.run))
}

// Float returns fall over run as a number: 0.02 for 2 %.
func (g Grade) Float() float64 {
	if g.rise == 0 {
		return 0
	}
	return float64(g.rise) / float64(g.run)
}

// Percent returns the grade in percent.
func (g Grade) Percent() float64 { return 100 * g.Float() }

// Compare returns -1, 0 or +1 as g is flatter than, equal to or steeper than h.
func (g Grade) Compare(h Grade) int {
	a, b, c, d := g.rise, max(g.run, 1), h.rise, max(h.run, 1)
	switch sa, sc := sign(a), sign(c); {
	case sa != sc:
		return sign(int64(sa - sc))
	case sa < 0:
		a, c = -c, -a
		b, d = d, b
	}
	h1, l1 := bits.Mul64(uint64(a), uint64(d))
	h2, l2 := bits.Mul64(uint64(c), uint64(b))
	switch {
	case h1 < h2 || h1 == h2 && l1 < l2:
		return -1
	case h1 > h2 || l1 > l2:
		return 1
	}
	return 0
}

func sign(x int64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

// mulDiv returns x*m/d through 128 bits, rounded half to even; d > 0. A result
// too big for int64 is the int64 farthest from zero on its side.
func mulDiv(x, m, d int64) int64 {
	neg := (x < 0) != (m < 0)
	hi, lo := bits.Mul64(abs(x), abs(m))
	if hi >= uint64(d) {
		if neg {
			return math.MinInt64
		}
		return math.MaxInt64
	}
	q, r := bits.Div64(hi, lo, uint64(d))
	if half := uint64(d) - r; r > half || r == half && q&1 == 1 {
		q++
	}
	if q > math.MaxInt64 {
		if neg {
			return math.MinInt64
		}
		return math.MaxInt64
	}
	if neg {
		return -int64(q)
	}
	return int64(q)
}

func abs(x int64) uint64 {
	if x < 0 {
		return -uint64(x)
	}
	return uint64(x)
}
