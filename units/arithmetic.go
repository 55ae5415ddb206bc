package units

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/bits"

	"github.com/shopspring/decimal"
)

// + - and comparison of lengths are the integer operators. They are exact, and
// they wrap as all integers of Go do, but not before the sum of 9223 lengths of
// MaxLength. The methods below never wrap: Add, Sum, Mul, Scale and FromDecimal
// return an error that matches ErrRange for a result that is not Valid; Abs and
// Round saturate, as the time package's do.

func errLengthRange() error { return fmt.Errorf("length: the result is %s: %w", tooLong, ErrRange) }

// Add returns l + m, or an error if an operand or the sum is not [Length.Valid].
func (l Length) Add(m Length) (Length, error) {
	if sum := l + m; l.Valid() && m.Valid() && sum.Valid() {
		return sum, nil
	}
	return 0, errLengthRange()
}

// Sum adds lengths. The total and every length must be [Length.Valid]; what the
// sum runs up to in between does not matter.
func Sum(lengths ...Length) (Length, error) {
	var hi, lo uint64 // 128 bits, two's complement
	for _, l := range lengths {
		if !l.Valid() {
			return 0, errLengthRange()
		}
		var carry uint64
		lo, carry = bits.Add64(lo, uint64(l), 0)
		hi, _ = bits.Add64(hi, uint64(l>>63), carry)
	}
	if total := Length(lo); hi == uint64(total>>63) && total.Valid() {
		return total, nil
	}
	return 0, errLengthRange()
}

// Mul returns l·n, or an error if l or the product is not [Length.Valid].
func (l Length) Mul(n int64) (Length, error) { return l.Scale(n, 1) }

// Scale returns l·num/den, rounded once to the nearest nanometre, half to even.
// It returns an error if den is 0 or if l or the result is not [Length.Valid].
func (l Length) Scale(num, den int64) (Length, error) {
	if den == 0 {
		return 0, errors.New("length: scaled by a ratio with denominator zero")
	}
	q, _, ok := mulDiv(magnitude(int64(l)), magnitude(num), magnitude(den))
	if !ok || q > uint64(MaxLength) || !l.Valid() {
		return 0, errLengthRange()
	}
	if (l < 0) != (num < 0) != (den < 0) {
		return -Length(q), nil
	}
	return Length(q), nil
}

func magnitude(v int64) uint64 {
	if v < 0 {
		return -uint64(v)
	}
	return uint64(v)
}

// Abs returns |l|; the most negative value, which has no opposite, gives the
// greatest.
func (l Length) Abs() Length {
	switch {
	case l >= 0:
		return l
	case l == math.MinInt64:
		return math.MaxInt64
	}
	return -l
}

// Round returns l as a whole number of steps, rounded as r says. A result that
// does not fit saturates at the greatest or least Length. A step of zero or less leaves l as it is.
func (l Length) Round(step Length, r Rounding) Length {
	if step <= 0 {
		return l
	}
	v := divide(magnitude(int64(l)), uint64(step), r) * uint64(step) // at most 2^63 + 2^63 - 1
	switch {
	case l >= 0 && v > math.MaxInt64:
		return math.MaxInt64
	case l < 0 && v >= 1<<63:
		return math.MinInt64
	case l < 0:
		return -Length(v)
	}
	return Length(v)
}

// Decimal returns l in a unit, exactly, or an error where that takes endlessly
// many digits (1 mm in inches). Round l first, or use [Quantity.Decimal] for a
// number of places.
func (l Length) Decimal(unit Length) (decimal.Decimal, error) {
	if unit == 0 {
		return decimal.Decimal{}, errors.New("length: counted in a unit of zero")
	}
	r := big.NewRat(int64(l), int64(unit))
	places, exact := r.FloatPrec()
	if !exact {
		return decimal.Decimal{}, fmt.Errorf("length %s: no finite number of decimals in units of %s: %w", l, unit,
			ErrRange)
	}
	return roundRat(r, places)
}

// FromDecimal returns d units as a length, or an error where that is no whole
// number of nanometres or not [Length.Valid].
func FromDecimal(d decimal.Decimal, unit Length) (Length, error) {
	if e := d.Exponent(); e > 20 || e < -40 || d.Coefficient().BitLen() > 256 {
		return 0, fmt.Errorf("length from decimal: the number is too great or too fine: %w", ErrRange)
	}
	r := d.Rat()
	r.Mul(r, new(big.Rat).SetInt64(int64(unit)))
	switch {
	case !r.IsInt():
		return 0, fmt.Errorf("length %s x %s: no whole number of nanometres: %w", d, unit, ErrRange)
	case !r.Num().IsInt64() || !Length(r.Num().Int64()).Valid():
		return 0, errLengthRange()
	}
	return Length(r.Num().Int64()), nil
}
