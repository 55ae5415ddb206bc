package units

import (
	"math/big"
	"math/bits"
)

// number is a number as it was written: mant·10^exp, or mant + num/den when it
// was written with a fraction. Nothing is rounded while it is read.
type number struct {
	mant     uint64
	num, den uint32 // den is 0 where there is no fraction; else exp is 0
	exp      int16
	wide     uint8 // digits of the whole part as written
	neg      bool
}

// isWhole reports that the number was written without fraction, point or exponent.
func (n *number) isWhole() bool { return n.den == 0 && n.exp == 0 }

// rat returns the exact value of n.
func (n *number) rat() *big.Rat {
	r := new(big.Rat).SetInt(new(big.Int).SetUint64(n.mant))
	if n.den != 0 {
		r.Add(r, big.NewRat(int64(n.num), int64(n.den)))
	}
	if n.exp != 0 {
		p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n.exp, -n.exp))), nil)
		if n.exp > 0 {
			r.Mul(r, new(big.Rat).SetInt(p))
		} else {
			r.Quo(r, new(big.Rat).SetInt(p))
		}
	}
	if n.neg {
		r.Neg(r)
	}
	return r
}

var powersOfTen = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
	1e17, 1e18, 1e19}

// times returns |n|·unit, rounded once to the nearest whole number, half to
// even. ok is false if that exceeds MaxLength. exact is false if it was rounded.
func (n *number) times(unit uint64) (v Length, exact, ok bool) {
	num, den, ok := n.fraction()
	if !ok {
		return 0, false, false
	}
	switch e := int(n.exp); {
	case num == 0 || e == 0:
	case e < 0 && -e < len(powersOfTen):
		den = powersOfTen[-e]
	case e > 0 && e < len(powersOfTen):
		hi, lo := bits.Mul64(num, powersOfTen[e])
		if hi != 0 {
			return 0, false, false
		}
		num = lo
	default:
		return n.timesWide(unit)
	}
	q, exact, ok := mulDiv(num, unit, den)
	if !ok || q > uint64(MaxLength) {
		return 0, false, false
	}
	return Length(q), exact, true
}

// fraction returns n without its exponent as a fraction; ok is false if 64 bits do not hold it.
func (n *number) fraction() (num, den uint64, ok bool) {
	if n.den == 0 {
		return n.mant, 1, true
	}
	hi, lo := bits.Mul64(n.mant, uint64(n.den))
	num, carry := bits.Add64(lo, uint64(n.num), 0)
	return num, uint64(n.den), hi+carry == 0
}

// timesWide is times for exponents that 128 bits do not hold.
func (n *number) timesWide(unit uint64) (v Length, exact, ok bool) {
	r := n.rat()
	r.Abs(r).Mul(r, new(big.Rat).SetInt(new(big.Int).SetUint64(unit)))
	exact = r.IsInt()
	q := roundToInt(r)
	if !q.IsInt64() || !Length(q.Int64()).Valid() {
		return 0, false, false
	}
	return Length(q.Int64()), exact, true
}

// roundToInt returns r to the nearest whole number, half to even.
func roundToInt(r *big.Rat) *big.Int {
	rest := new(big.Int)
	q, _ := new(big.Int).QuoRem(r.Num(), r.Denom(), rest)
	if c := rest.Lsh(rest, 1).CmpAbs(r.Denom()); c > 0 || c == 0 && q.Bit(0) == 1 {
		q.Add(q, big.NewInt(int64(r.Sign())))
	}
	return q
}

// CutNumber reads the number that s begins with, exactly as num/den, and returns
// what follows it: 12, 12.5, .5, 1.2e-3, 3/8, 6 3/8, 6-3/8 or 6⅜, without a sign. It
// is for texts in which a number stands beside something else, such as 1:48. The
// error is a *[ParseError]; it matches [ErrRange] for what 64 bits do not hold.
func CutNumber(s string) (num, den uint64, rest string, err error) {
	var n number
	var f fault
	i, ok := scanNumber(s, 0, &n, &f)
	if ok {
		if num, den, ok = n.ratio(); !ok {
			f.set(ErrRange, 0, "the number does not fit a ratio of two numbers of 64 bits")
		}
	}
	if !ok {
		return 0, 0, s, f.parseError("number", s)
	}
	return num, den, s[i:], nil
}

// ratio returns n as a fraction; ok is false if 64 bits do not hold it.
func (n *number) ratio() (num, den uint64, ok bool) {
	num, den, ok = n.fraction()
	if n.den != 0 {
		return num, den, ok
	}
	e := int(n.exp)
	for ; e < 0 && num%10 == 0 && num != 0; e++ {
		num /= 10
	}
	switch {
	case num == 0:
		return 0, 1, true
	case e <= -len(powersOfTen), e >= len(powersOfTen):
		return 0, 0, false
	case e < 0:
		return num, powersOfTen[-e], true
	}
	hi, lo := bits.Mul64(num, powersOfTen[e])
	return lo, 1, hi == 0
}
