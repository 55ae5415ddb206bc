package units

import "math/bits"

// Rounding says where a value goes that lies between two steps. All of them
// treat negative values as the mirror image of positive ones.
type Rounding uint8

const (
	HalfEven Rounding = iota // to the nearest step, a half to the even one
	HalfUp                   // to the nearest step, a half away from zero
	HalfDown                 // to the nearest step, a half toward zero
	Up                       // away from zero
	Down                     // toward zero: what is over is cut off
)

// up reports whether a quotient goes up one, where rest of den is left over.
func (r Rounding) up(quotient, rest, den uint64) bool {
	below := den - rest // rest < den; compares rest with den/2 without overflow
	switch r {
	case HalfUp:
		return rest >= below
	case HalfDown:
		return rest > below
	case Up:
		return rest > 0
	case Down:
		return false
	}
	return rest > below || rest == below && quotient&1 == 1
}

// divide returns v/step rounded; step is not 0.
func divide(v, step uint64, r Rounding) uint64 {
	q, rest := v/step, v%step
	if r.up(q, rest, step) {
		q++ // cannot wrap: a rest needs a step of at least 2
	}
	return q
}

// mulDiv returns a·b/c through 128 bits, rounded once, half to even; ok is false
// where the result does not fit or c is 0.
func mulDiv(a, b, c uint64) (q uint64, exact, ok bool) {
	hi, lo := bits.Mul64(a, b)
	if hi >= c {
		return 0, false, false
	}
	q, rest := bits.Div64(hi, lo, c)
	if HalfEven.up(q, rest, c) {
		if q++; q == 0 {
			return 0, false, false
		}
	}
	return q, rest == 0, true
}
