package slope

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/units"
)

// Grade is a fall over a run, an exact ratio in lowest terms: 1/4 in per ft is
// 1/48, 2 % is 1/50. The zero value is level. Grades compare with == and with
// [Grade.Compare]; a negative grade rises.
//
// Runs are horizontal: [Grade.SlopeLength] gives the length along the pipe, at 1/4 in per ft
// longer by 1 part in 4600. [Grade.Over] has no error: beyond the range of int64 it returns
// a Length that is not valid, and never wraps round.
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
	a, b := reduce(abs(rise), uint64(run))
	return Grade{sign(rise) * int64(a), int64(b)}, nil
}

// Of returns the grade of a fall over a run.
func Of(fall, run units.Length) (Grade, error) { return Ratio(int64(fall), int64(run)) }

// invalidGrade is the answer of constructors without an error that were handed
// what no grade can be. Every door refuses it.
var invalidGrade = Grade{1, 0}

// Valid reports whether g is a grade. Only OneIn(0) and PerFoot of the least
// Length are not.
func (g Grade) Valid() bool { return g.run > 0 || g.rise == 0 }

// PerFoot returns the grade that falls by fall in each foot of run.
func PerFoot(fall units.Length) Grade {
	g, err := Ratio(int64(fall), int64(units.Foot))
	if err != nil {
		return invalidGrade
	}
	return g
}

// OneIn returns the grade that falls one in n: OneIn(48) is 1/4 in per ft, and
// OneIn(-48) rises as much. OneIn(0) is no grade: see [Grade.Valid].
func OneIn(n int64) Grade {
	switch {
	case n == 0 || n == math.MinInt64:
		return invalidGrade
	case n < 0:
		return Grade{-1, -n}
	}
	return Grade{1, n}
}

// Percent returns the grade of x in a hundred, exactly as x is written in
// decimals: Percent(1.04) is 13/1250. It refuses NaN, infinities and numbers
// that no ratio of two int64 holds.
func Percent(x float64) (Grade, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Grade{}, fmt.Errorf("%w: %v %% is not a number", ErrGrade, x)
	}
	return Parse(strconv.FormatFloat(x, 'f', -1, 64) + " %")
}

// FromDecimal returns the grade whose fall over run is d: 0.02 for 2 %. It
// refuses a decimal that no ratio of two int64 holds, and one written with more
// than a thousand digits or places.
func FromDecimal(d decimal.Decimal) (Grade, error) {
	const most = 1000
	if d.Exponent() < -most || d.Exponent() > most || d.NumDigits() > most {
		return Grade{}, fmt.Errorf("%w: a decimal of %d digits and exponent %d is too long", ErrGrade, d.NumDigits(),
			d.Exponent())
	}
	r := d.Rat()
	if !r.Num().IsInt64() || !r.Denom().IsInt64() {
		return Grade{}, fmt.Errorf("%w: %s does not fit a ratio of two int64", ErrGrade, d)
	}
	return Ratio(r.Num().Int64(), r.Denom().Int64())
}

// IsLevel reports whether g neither falls nor rises.
func (g Grade) IsLevel() bool { return g.rise == 0 }

// Equal reports whether g and h are the same grade, as == does.
func (g Grade) Equal(h Grade) bool { return g == h }

// Over returns the fall over a run, to the nearest nanometre, half to even. A
// fall beyond the int64 range is the Length farthest from zero on its side,
// which is not [units.Length.Valid]; it never wraps.
func (g Grade) Over(run units.Length) units.Length {
	if g.rise == 0 {
		return 0
	}
	return units.Length(mulDiv(int64(run), g.rise, g.run))
}

// Float returns fall over run as a number: 0.02 for 2 %.
func (g Grade) Float() float64 { return g.scaled(1) }

// RunFor returns the run in which the grade falls by fall, to the nearest
// nanometre, half to even. It is the inverse of [Grade.Over]: for grades up to
// 100 %, g.Over(g.RunFor(fall)) is fall again. A level grade, and a fall of the
// other sign than the grade, are errors; a fall of zero needs no run.
func (g Grade) RunFor(fall units.Length) (units.Length, error) {
	switch {
	case !g.Valid() || !fall.Valid():
		return 0, fmt.Errorf("%w: run of %v for a fall of %d nm", ErrGrade, g, int64(fall))
	case g.rise == 0:
		return 0, fmt.Errorf("%w: a level run never falls", ErrGrade)
	case fall == 0:
		return 0, nil
	case (fall < 0) != (g.rise < 0):
		return 0, fmt.Errorf("%w: a run at %v does not reach a fall of %s", ErrGrade, g, show(fall))
	}
	run := mulDiv(int64(fall), sign(g.rise)*g.run, int64(abs(g.rise)))
	if !units.Length(run).Valid() {
		return 0, fmt.Errorf("%w: at %v the run for a fall of %s is over %v km", ErrGrade, g, show(fall),
			units.MaxLength.Metres()/1000)
	}
	return units.Length(run), nil
}

// Ratio returns g as rise over run in lowest terms; level is 0 over 1.
func (g Grade) Ratio() (rise, run int64) {
	if g.rise == 0 {
		return 0, 1
	}
	return g.rise, g.run
}

// Percent returns the grade in percent.
func (g Grade) Percent() float64 { return g.scaled(100) }

// PerMille returns the grade in per mille, which is also millimetres per metre.
func (g Grade) PerMille() float64 { return g.scaled(1000) }

// scaled is infinite for what is no grade, as Float is.
func (g Grade) scaled(n float64) float64 {
	if g.rise == 0 {
		return 0
	}
	return float64(g.rise) * n / float64(g.run)
}

// PerFoot returns the fall in a foot of run, to the nearest nanometre.
func (g Grade) PerFoot() units.Length { return g.Over(units.Foot) }

// OneIn returns n of "one in n": 48 for 1/4 in per ft, -48 where it rises as
// much. A level grade has no such n and is an error.
func (g Grade) OneIn() (float64, error) {
	switch {
	case !g.Valid():
		return 0, checkGrade(g)
	case g.rise == 0:
		return 0, fmt.Errorf("%w: level is not one in any number", ErrGrade)
	}
	return float64(g.run) / float64(g.rise), nil
}

// Degrees returns the angle of g below the horizontal in degrees.
func (g Grade) Degrees() float64 {
	return math.Atan2(float64(g.rise), float64(g.run)) * 180 / math.Pi
}

// Decimal returns fall over run to a number of decimal places, half to even.
// places is brought to 0..1000.
func (g Grade) Decimal(places int32) decimal.Decimal {
	rise, run := g.Ratio()
	return divide(big.NewInt(rise), big.NewInt(run), places)
}

// ExactDecimal returns fall over run as a decimal where one ends: 0.02 for 2 %;
// 1/4 in per ft has none.
func (g Grade) ExactDecimal() (decimal.Decimal, bool) {
	places, exact := big.NewRat(g.Ratio()).FloatPrec()
	if !exact {
		return decimal.Decimal{}, false
	}
	return g.Decimal(int32(places)), true
}

func divide(num, den *big.Int, places int32) decimal.Decimal {
	places = min(max(places, 0), 1000)
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	q, r := new(big.Int).QuoRem(new(big.Int).Abs(new(big.Int).Mul(num, scale)), den, new(big.Int))
	if c := r.Lsh(r, 1).Cmp(den); c > 0 || c == 0 && q.Bit(0) == 1 {
		q.Add(q, big.NewInt(1))
	}
	if num.Sign() < 0 {
		q.Neg(q)
	}
	return decimal.NewFromBigInt(q, -places)
}

// Neg returns the grade that rises as g falls.
func (g Grade) Neg() Grade { return Grade{-g.rise, g.run} }

// Abs returns g without its sign.
func (g Grade) Abs() Grade { return Grade{int64(abs(g.rise)), g.run} }

// Add returns the sum of two grades, the difference a rod reads per run when the
// beam falls against the pipe. It refuses a sum that no ratio of two int64 holds.
func (g Grade) Add(h Grade) (Grade, error) {
	if !g.Valid() || !h.Valid() {
		return Grade{}, fmt.Errorf("%w: sum of %v and %v", ErrGrade, g, h)
	}
	a, b := g.Ratio()
	c, d := h.Ratio()
	const half = 1 << 31 // products of two below it fit, and the sum of two such
	if max(a, -a, b, c, -c, d) < half {
		return Ratio(a*d+c*b, b*d)
	}
	sum := new(big.Int).Mul(big.NewInt(a), big.NewInt(d))
	sum.Add(sum, new(big.Int).Mul(big.NewInt(c), big.NewInt(b)))
	return fromBig(sum, new(big.Int).Mul(big.NewInt(b), big.NewInt(d)), "sum")
}

// Sub returns the difference of two grades, refused as by [Grade.Add].
func (g Grade) Sub(h Grade) (Grade, error) { return g.Add(h.Neg()) }

// Scale returns g times num over den; den must be positive.
func (g Grade) Scale(num, den int64) (Grade, error) {
	if !g.Valid() || den <= 0 {
		return Grade{}, fmt.Errorf("%w: %v times %d over %d", ErrGrade, g, num, den)
	}
	a, b := g.Ratio()
	return fromBig(new(big.Int).Mul(big.NewInt(a), big.NewInt(num)), new(big.Int).Mul(big.NewInt(b), big.NewInt(den)),
		"product")
}

func fromBig(rise, run *big.Int, what string) (Grade, error) {
	d := new(big.Int).GCD(nil, nil, new(big.Int).Abs(rise), run) // run is positive, and so is d
	rise.Quo(rise, d)
	run.Quo(run, d)
	if !rise.IsInt64() || !run.IsInt64() {
		return Grade{}, fmt.Errorf("%w: the %s %s/%s does not fit a ratio of two int64", ErrGrade, what, rise, run)
	}
	return Ratio(rise.Int64(), run.Int64())
}

// Compare returns -1, 0 or +1 as g is flatter than, equal to or steeper than h.
func (g Grade) Compare(h Grade) int {
	a, b := g.Ratio()
	c, d := h.Ratio()
	switch sa, sc := sign(a), sign(c); {
	case sa != sc:
		return cmp.Compare(sa, sc)
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

func sign(x int64) int64 { return int64(cmp.Compare(x, 0)) }

// mulDiv returns x*m/d through 128 bits, rounded half to even; d > 0. A result
// too big for int64 is the int64 farthest from zero on its side.
func mulDiv(x, m, d int64) int64 {
	neg, q := (x < 0) != (m < 0), uint64(math.MaxUint64)
	if hi, lo := bits.Mul64(abs(x), abs(m)); hi < uint64(d) {
		var r uint64
		q, r = bits.Div64(hi, lo, uint64(d))
		if half := uint64(d) - r; q <= math.MaxInt64 && (r > half || r == half && q&1 == 1) {
			q++
		}
	}
	switch {
	case q > math.MaxInt64 && neg:
		return math.MinInt64
	case q > math.MaxInt64:
		return math.MaxInt64
	case neg:
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
