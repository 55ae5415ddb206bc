package units

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
)

// shown lists the units text output chooses from, per kind, by index in
// unitTable: the one the trade reads in the United States, the metric one, others.
var shown = [kinds][]uint8{
	kindLength:                  {2, 3},
	kindArea:                    {2, 0, 1, 3},
	kindVolume:                  {1, 2, 3, 4, 0},
	kindFlow:                    {1, 2, 0},
	kindVelocity:                {1, 0},
	kindPressure:                {1, 2, 0},
	kindHead:                    {1, 0},
	kindMass:                    {1, 0},
	kindDensity:                 {1, 0},
	kindDynamicViscosity:        {0},
	kindKinematicViscosity:      {1, 0},
	kindPower:                   {1, 0},
	kindHeatFlowPerLength:       {1, 0},
	kindConductivity:            {1, 0, 2},
	kindHeatTransferCoefficient: {1, 0},
	kindSpecificHeat:            {1, 2, 0},
	kindDuration:                {0},
	kindTemperature:             {1, 2, 0},
	kindTemperatureDifference:   {1, 0},
}

const (
	// fewDigits is the precision up to which a value counts as one somebody wrote.
	fewDigits = 12
	// plainDigits is that up to which the customary unit is kept without looking
	// for a shorter text in another.
	plainDigits = 6
	// shownDigits is that up to which String writes a value as it is.
	shownDigits = 8
	allDigits   = 19
)

// appendShown appends v as people read it: a value that takes more digits than anybody
// writes came out of a calculation, and is rounded.
func appendShown(b []byte, k kind, v float64) []byte {
	return appendDigits(b, k, v, shownDigits)
}

// appendDigits appends a text that reads back as exactly v: in the customary
// unit if that takes few digits; else in the one of the shown units that takes
// fewest, which is the one v was written in; and for a value that came out of a
// calculation in the customary one again. Where it takes more digits than most it is rounded to plainDigits.
func appendDigits(b []byte, k kind, v float64, most int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		b = strconv.AppendFloat(b, v, 'g', -1, 64)
		return append(append(b, ' '), unitTable[k][0].symbol...)
	}
	in := &unitTable[k][shown[k][0]]
	best, found := shortest(v, in, plainDigits)
	if !found {
		for _, i := range shown[k] {
			u := &unitTable[k][i]
			if d, ok := shortest(v, u, fewDigits); ok && (!found || d.n < best.n) {
				best, in, found = d, u, true
			}
		}
	}
	for _, i := range shown[k] {
		if !found {
			in = &unitTable[k][i]
			best, found = shortest(v, in, allDigits)
		}
	}
	if best.n > most {
		var buf [32]byte
		best.set(strconv.AppendFloat(buf[:0], inUnit(v, in), 'e', plainDigits-1, 64))
	}
	b = best.append(b)
	return append(append(b, ' '), in.symbol...)
}

// decimalText is a number as digits d.ddd·10^exp.
type decimalText struct {
	buf [24]byte
	n   int
	exp int
	neg bool
}

func (d *decimalText) digits() []byte { return d.buf[:d.n] }

// set takes over the digits of a number in the form 1.234e+05.
func (d *decimalText) set(text []byte) {
	*d = decimalText{}
	for i, c := range text {
		switch {
		case c == '-':
			d.neg = true
		case c == 'e':
			d.exp, _ = strconv.Atoi(string(text[i+1:]))
			for d.n > 1 && d.buf[d.n-1] == '0' {
				d.n--
			}
			return
		case c != '.':
			d.buf[d.n] = c
			d.n++
		}
	}
}

// number returns d as scanNumber reads what append writes, but for zeros.
func (d *decimalText) number() (n number) {
	for _, c := range d.digits() {
		n.mant = n.mant*10 + uint64(c-'0')
	}
	n.exp, n.neg = int16(d.exp+1-d.n), d.neg
	return n
}

// append writes d without exponent from 1e-7 to below 1e15, with one elsewhere.
func (d *decimalText) append(b []byte) []byte {
	if d.neg {
		b = append(b, '-')
	}
	digits := d.digits()
	switch {
	case d.exp < -7 || d.exp >= 15:
		b = append(b, digits[0])
		if len(digits) > 1 {
			b = append(append(b, '.'), digits[1:]...)
		}
		b = append(b, 'e')
		return strconv.AppendInt(b, int64(d.exp), 10)
	case d.exp < 0:
		b = append(b, "0.000000"[:1-d.exp]...)
		return append(b, digits...)
	}
	for i := range max(len(digits), d.exp+1) {
		if i == d.exp+1 {
			b = append(b, '.')
		}
		if i < len(digits) {
			b = append(b, digits[i])
		} else {
			b = append(b, '0')
		}
	}
	return b
}

// shortest finds few digits of v in u, at most limit, that read back as exactly
// v. With all digits only a temperature in degrees near absolute zero has none.
func shortest(v float64, u *unit, limit int) (d decimalText, ok bool) {
	var buf [32]byte
	x := inUnit(v, u)
	for _, digits := range [...]int{plainDigits, fewDigits, 15, 16, 17} {
		if digits > limit {
			return d, false
		}
		d.set(strconv.AppendFloat(buf[:0], x, 'e', digits-1, 64))
		if n := d.number(); n.float(u) == v {
			return d, true
		}
	}
	// The quotient itself was off by an ulp: take more digits of the exact one.
	r := new(big.Rat).SetFloat64(v)
	if u.offset != 0 {
		r.Mul(r, big.NewRat(u.den, u.num)).Sub(r, big.NewRat(u.offset, 100))
	} else {
		r.Quo(r, new(big.Rat).SetFloat64(u.factor()))
	}
	f := new(big.Float).SetPrec(128).SetRat(r)
	for _, digits := range [...]int{17, 18, allDigits} {
		d.set(f.Append(buf[:0], 'e', digits-1))
		if n := d.number(); n.float(u) == v {
			return d, true
		}
	}
	return d, false
}

// inUnit returns v in u, within an ulp or two of the larger of v and the offset.
func inUnit(v float64, u *unit) float64 {
	if u.offset != 0 {
		return (float64(v*float64(100*u.den)/float64(u.num)) - float64(u.offset)) / 100
	}
	return v / u.factor()
}

func appendText(b []byte, k kind, v float64) ([]byte, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return b, fmt.Errorf("%s %v: %w", k, v, ErrRange)
	}
	return appendDigits(b, k, v, allDigits), nil
}

// String returns l exactly, in the first of these forms that can: feet, inches
// and a fraction down to 1/64 in (37'-6 3/8"), feet and decimal inches (2.067",
// 97'-6.534"), millimetres (12.7001 mm). A length does not know in which system it was
// written: 1270 mm is 4'-2" and prints so. Layouts write it in theirs.
func (l Length) String() string { return string(l.append(make([]byte, 0, 24))) }

// AppendText appends [Length.String] to b. It fails for a length that is not
// [Length.Valid].
func (l Length) AppendText(b []byte) ([]byte, error) {
	if !l.Valid() {
		return b, fmt.Errorf("length: %s: %w", tooLong, ErrRange)
	}
	return l.append(b), nil
}

// MarshalText returns [Length.String] as text, for JSON, CSV and the like.
func (l Length) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText sets l by [Parse].
func (l *Length) UnmarshalText(text []byte) error {
	v, err := parseLength(string(text))
	if err == nil {
		*l = v
	}
	return err
}

func (Length) kind() kind { return kindLength }

func (l Length) append(b []byte) []byte {
	const tick = Inch / 64
	if l%tick == 0 {
		return Notation{Nearest: 64, NoZeroFeet: true}.Append(b, l)
	}
	if l < 0 {
		b = append(b, '-')
	}
	v := magnitude(int64(l))
	const step, places = 127, 6 // nm, which are 5e-6 in
	if v%step == 0 {
		if v >= uint64(Foot) {
			b = append(strconv.AppendUint(b, v/uint64(Foot), 10), "'-"...)
			v %= uint64(Foot)
		}
		b = appendPlaces(b, v/step*5, places)
		return append(b, '"')
	}
	b = appendPlaces(b, v, 6)
	return append(b, " mm"...)
}

// appendPlaces writes v/10^places without trailing zeros.
func appendPlaces(b []byte, v uint64, places int) []byte {
	p := powersOfTen[places]
	b = strconv.AppendUint(b, v/p, 10)
	if v %= p; v > 0 {
		b = append(b, '.')
		for v > 0 {
			p /= 10
			b = append(b, '0'+byte(v/p))
			v %= p
		}
	}
	return b
}
