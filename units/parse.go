package units

import (
	"math"
	"math/big"
	"strings"
)

// parse reads one quantity of kind k in its SI unit, to the nearest float64.
func parse(k kind, s string) (float64, error) {
	var f fault
	v, ok := scanQuantity(k, s, &f)
	if !ok {
		return 0, f.parseError(k.String(), s)
	}
	return v, nil
}

func scanQuantity(k kind, s string, f *fault) (float64, bool) {
	n, u, ok := scanWithUnit(k, s, f)
	if !ok {
		if k == kindHead && !strings.HasPrefix(f.reason, unitMissing) {
			var g fault
			if l, ok := scanLength(s, &g); ok {
				return l.Metres(), true
			}
			if g.err != ErrUnit { // it began like a length
				*f = g
			}
		}
		return 0, false
	}
	v := n.float(u)
	if math.IsInf(v, 0) {
		return 0, f.set(ErrRange, 0, "the number is too great")
	}
	if k == kindTemperature && v < 0 {
		return 0, f.set(ErrRange, 0, "below absolute zero")
	}
	return v, true
}

func scanWithUnit(k kind, s string, f *fault) (n number, u *unit, ok bool) {
	n, i, ok := scanAnyUnit(s, f)
	switch {
	case ok:
		s = s[:trimSpace(s)]
		if u, ok = lookup(k, s[i:]); !ok {
			return n, nil, wrongUnit(k, s, i, f)
		}
	case f.reason == unitMissing:
		f.reason += ": write " + unitList(k) + " after the number"
	}
	return n, u, ok
}

const unitMissing = "a unit is missing"

// scanAnyUnit reads a number and returns where the text of its unit begins.
func scanAnyUnit(s string, f *fault) (n number, i int, ok bool) {
	if len(s) > maxText {
		return n, 0, f.set(ErrSyntax, maxText, "the text is too long for a quantity")
	}
	end := trimSpace(s)
	s = s[:end]
	if i = skipSpace(s, 0); i >= end {
		return n, 0, f.set(ErrSyntax, end, "there is no text")
	}
	i, n.neg = scanSign(s, i)
	if i, ok = scanNumber(s, i, &n, f); !ok {
		return n, 0, false
	}
	if i = skipSpace(s, i); i == end {
		return n, 0, f.set(ErrUnit, i, unitMissing)
	}
	return n, i, true
}

func wrongUnit(k kind, s string, i int, f *fault) bool {
	text := s[i:]
	switch c := text[0]; {
	case c-'0' <= 9 || dash(text, 0) > 0:
		return f.set(ErrAmbiguous, i, "two numbers: write one number and a unit")
	case c == ',':
		return f.set(ErrSyntax, i, hintComma)
	}
	if k == kindPressure && isAbsolute(text) {
		return f.set(ErrUnit, i, hintAbsolute)
	}
	for other := range kinds {
		if _, ok := lookup(other, text); ok && other != k {
			return f.set(ErrUnit, i, "a unit of "+other.String()+", not of "+k.String()+": use "+unitList(k))
		}
	}
	return f.set(ErrUnit, i, "not a unit of "+k.String()+": use "+unitList(k))
}

// unitList names the units that Parse takes.
func unitList(k kind) string {
	var list []string
	for i := range unitTable[k] {
		if u := &unitTable[k][i]; k != kindLength || u.length() != 0 {
			list = append(list, u.symbol)
		}
	}
	return strings.Join(list, ", ")
}

// factor returns the size of u in the SI unit, as the exported constants hold it.
func (u *unit) factor() float64 { return float64(u.num) / float64(u.den) }

// float returns the SI value of n units of u.
//
// A number of up to 15 digits is taken as Go takes it: the float64 nearest to it
// times the constant of the unit, so that 1.6 gal read is 1.6*USGallon to the
// last bit. A longer one comes from a calculation: the float64 nearest to the
// exact product, so that every value has a text in every unit. Degrees with an
// offset zero are always taken exactly.
func (n *number) float(u *unit) float64 {
	if u.offset != 0 {
		return n.degrees(u)
	}
	if n.mant < 1e15 {
		return n.nearest() * u.factor()
	}
	r := n.rat()
	v, _ := r.Mul(r, new(big.Rat).SetFloat64(u.factor())).Float64()
	return v
}

// nearest returns the float64 nearest to n, of which mant is below 1e15.
func (n *number) nearest() (v float64) {
	m := float64(n.mant) // below 2^53 and exact, as are the powers of ten to 22
	switch {
	case n.den != 0 && n.mant < 1<<32:
		v = (m*float64(n.den) + float64(n.num)) / float64(n.den)
	case n.den == 0 && -22 <= n.exp && n.exp <= 0:
		v = m / tenTo(-n.exp)
	case n.den == 0 && 0 < n.exp && n.exp <= 22:
		v = m * tenTo(n.exp)
	default:
		v, _ = n.rat().Float64()
		return v
	}
	if n.neg && v != 0 {
		return -v
	}
	return v
}

// degrees returns the float64 nearest to n on a scale with an offset zero.
func (n *number) degrees(u *unit) float64 {
	if n.den == 0 && n.exp <= 0 && n.exp >= -8 && n.mant < 1e13 {
		p := int64(powersOfTen[-n.exp])
		m := int64(n.mant)
		if n.neg {
			m = -m
		}
		// Both sides are whole numbers below 2^53: the greater is at most
		// (1e13·100 + 45967·1e8)·5, so that the quotient is rounded once.
		return float64((m*100+u.offset*p)*u.num) / float64(100*p*u.den)
	}
	v, _ := n.si(u).Float64()
	return v
}

// si returns the exact SI value of n in u.
func (n *number) si(u *unit) *big.Rat {
	r := n.rat()
	if u.offset != 0 {
		r.Add(r, big.NewRat(u.offset, 100))
	}
	return r.Mul(r, big.NewRat(u.num, u.den))
}

func tenTo(e int16) float64 {
	if int(e) < len(powersOfTen) {
		return float64(powersOfTen[e])
	}
	return 1e19 * float64(powersOfTen[e-19])
}
