package units

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// Quantity is a number and a unit as they were written, of any kind this package
// knows. It is for converting between units; to calculate, use the typed
// quantities. The zero Quantity has no unit and converts to nothing.
type Quantity struct {
	n    number
	unit string
}

// ParseQuantity reads a number and a unit of any kind, or a length in feet and
// inches. What the number belongs to is settled when it is converted: 5 ft is a
// length or a head, 10 degF a temperature, or a difference if the other unit is
// one (delta degC). The error is a *[ParseError].
func ParseQuantity(s string) (Quantity, error) {
	var f, g fault
	n, i, number := scanAnyUnit(s, &f)
	if number {
		unit := s[i:trimSpace(s)]
		for k := range kinds {
			u, ok := lookup(k, unit)
			switch {
			case !ok:
				continue
			case k == kindTemperature && onlyTemperature(unit) && n.si(u).Sign() < 0:
				f.set(ErrRange, 0, "below absolute zero")
				return Quantity{}, f.parseError("quantity", s)
			}
			return Quantity{n, strings.Clone(unit)}, nil
		}
	}
	l, ok := scanLength(s, &g)
	switch {
	case ok:
		return quantityOfLength(l), nil
	case number && isAbsolute(s[i:]):
		f.set(ErrUnit, i, hintAbsolute)
	case number && g.err == ErrUnit:
		f.set(ErrUnit, i, "not a unit this package knows")
	case number:
		f = g // it began like a length
	}
	return Quantity{}, f.parseError("quantity", s)
}

// MustParseQuantity is [ParseQuantity] for constants in tests and examples; it
// panics on an error.
func MustParseQuantity(s string) Quantity { return must(ParseQuantity(s)) }

func quantityOfLength(l Length) Quantity {
	n := number{mant: uint64(l), neg: l < 0}
	if l < 0 {
		n.mant = -n.mant
	}
	return Quantity{n, "nm"}
}

// onlyTemperature reports whether a spelling cannot mean a difference.
func onlyTemperature(unit string) bool {
	_, ok := lookup(kindTemperatureDifference, unit)
	return !ok
}

// Rat returns q in another unit of the same kind, exactly.
func (q Quantity) Rat(unit string) (*big.Rat, error) {
	if q.unit == "" {
		return nil, fmt.Errorf("convert to %q: the quantity has no unit: %w", unit, ErrUnit)
	}
	return convert(q.n.rat(), q.unit, unit)
}

// In returns q in another unit of the same kind, as the nearest float64.
func (q Quantity) In(unit string) (float64, error) {
	r, err := q.Rat(unit)
	if err != nil {
		return 0, err
	}
	v, _ := r.Float64()
	if math.IsInf(v, 0) {
		return 0, fmt.Errorf("convert %s to %q: %w", q, unit, ErrRange)
	}
	return v, nil
}

// Decimal returns q in another unit of the same kind, to a number of decimal
// places (0 to 1000), rounded once, half to even.
func (q Quantity) Decimal(unit string, places int) (decimal.Decimal, error) {
	r, err := q.Rat(unit)
	if err != nil {
		return decimal.Decimal{}, err
	}
	return roundRat(r, places)
}

// Unit returns the unit q was written in, nm for feet and inches.
func (q Quantity) Unit() string { return q.unit }

// String returns q as it was written, but for spaces and zeros; a length in feet
// and inches as [Length.String] writes it. It reads back as the same value.
func (q Quantity) String() string {
	if q.unit == "nm" && q.n.isWhole() && q.n.mant <= uint64(MaxLength) {
		l := Length(q.n.mant)
		if q.n.neg {
			l = -l
		}
		return l.String()
	}
	b := make([]byte, 0, 32)
	if q.n.den != 0 {
		if q.n.neg {
			b = append(b, '-')
		}
		if q.n.mant != 0 {
			b = append(strconv.AppendUint(b, q.n.mant, 10), ' ')
		}
		b = append(strconv.AppendUint(b, uint64(q.n.num), 10), '/')
		b = strconv.AppendUint(b, uint64(q.n.den), 10)
	} else {
		d := decimalText{neg: q.n.neg}
		d.n = len(strconv.AppendUint(d.buf[:0], q.n.mant, 10))
		d.exp = int(q.n.exp) + d.n - 1
		b = d.append(b)
	}
	if q.unit != "" {
		b = append(append(b, ' '), q.unit...)
	}
	return string(b)
}

// AppendText appends [Quantity.String] to b; it fails for a quantity without unit.
func (q Quantity) AppendText(b []byte) ([]byte, error) {
	if q.unit == "" {
		return b, fmt.Errorf("quantity without unit: %w", ErrUnit)
	}
	return append(b, q.String()...), nil
}

// MarshalText returns [Quantity.String] as text; it fails for a quantity without unit.
func (q Quantity) MarshalText() ([]byte, error) { return q.AppendText(nil) }

// UnmarshalText sets q by [ParseQuantity].
func (q *Quantity) UnmarshalText(text []byte) error {
	v, err := ParseQuantity(string(text))
	if err == nil {
		*q = v
	}
	return err
}

// Convert converts a number between two units of one kind to a number of decimal
// places (0 to 1000). The factor is the exact ratio of the two definitions; the result is
// rounded once, half to even. Units of different kinds are refused with
// [ErrUnit]: psi is not ft of head without a density, a gauge pressure not an
// absolute one, a temperature not a difference.
//
// Conventional units are converted by their convention, see [Units].
func Convert(value decimal.Decimal, from, to string, places int) (decimal.Decimal, error) {
	if e := value.Exponent(); e > 400 || e < -1000 || value.Coefficient().BitLen() > 4000 {
		return decimal.Decimal{}, fmt.Errorf("convert %s to %s: the number is too great or too fine: %w", from, to,
			ErrRange)
	}
	r, err := convert(value.Rat(), from, to)
	if err != nil {
		return decimal.Decimal{}, err
	}
	return roundRat(r, places)
}

// convert takes x from one unit to another. A spelling that belongs to two kinds
// is of the kind it shares with the other one; the first such kind decides.
func convert(x *big.Rat, from, to string) (*big.Rat, error) {
	for k := range kinds {
		f, ok := lookup(k, from)
		if !ok {
			continue
		}
		t, ok := lookup(k, to)
		if !ok {
			continue
		}
		r := new(big.Rat).Add(x, big.NewRat(f.offset, 100))
		r.Mul(r, big.NewRat(f.num, f.den))
		if k == kindTemperature && r.Sign() < 0 {
			return nil, fmt.Errorf("convert %s to %s: below absolute zero: %w", from, to, ErrRange)
		}
		r.Mul(r, big.NewRat(t.den, t.num))
		return r.Sub(r, big.NewRat(t.offset, 100)), nil
	}
	is, want := kindsOf(from), kindsOf(to)
	switch {
	case isAbsolute(from) || isAbsolute(to):
		return nil, fmt.Errorf("convert %s to %s: %s: %w", from, to, hintAbsolute, ErrUnit)
	case is == "":
		return nil, fmt.Errorf("convert: %q is no unit this package knows: %w", from, ErrUnit)
	case want == "":
		return nil, fmt.Errorf("convert: %q is no unit this package knows: %w", to, ErrUnit)
	}
	return nil, fmt.Errorf("convert: %s is a unit of %s, %s of %s: %w", from, is, to, want, ErrUnit)
}

func kindsOf(unit string) string {
	var names []string
	for k := range kinds {
		if _, ok := lookup(k, unit); ok {
			names = append(names, k.String())
		}
	}
	return strings.Join(names, " or ")
}

const hintAbsolute = "an absolute pressure: pressures are gauge, take the local atmosphere off first"

func isAbsolute(unit string) bool {
	switch strings.ToLower(strings.ReplaceAll(unit, " ", "")) {
	case "psia", "bara", "kpaa", "psi(a)", "bar(a)", "kpa(a)", "kpaabs", "psiabs", "barabs":
		return true
	}
	return false
}

func roundRat(r *big.Rat, places int) (decimal.Decimal, error) {
	if places < 0 || places > 1000 {
		return decimal.Decimal{}, fmt.Errorf("%d decimal places, allowed are 0 to 1000: %w", places, ErrRange)
	}
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	scaled := new(big.Rat).Mul(r, new(big.Rat).SetInt(ten))
	return decimal.NewFromBigInt(roundToInt(scaled), int32(-places)), nil
}

// A Unit describes a unit that parsers and conversions know.
type Unit struct {
	Quantity  string   // the kind: length, flow, ...
	Symbol    string   // the spelling text output uses
	Spellings []string // other spellings that are read; trade units also in capitals
	Note      string   // the convention, where the name alone does not define the unit
	num, den  int64
	offset    int64
}

// Units lists every unit, kind by kind; the first of a kind is the SI unit.
func Units() []Unit {
	var all []Unit
	for k := range unitTable {
		for i := range unitTable[k] {
			u := &unitTable[k][i]
			v := Unit{Quantity: kind(k).String(), Symbol: u.symbol, Note: u.note, num: u.num, den: u.den,
				offset: u.offset}
			if u.also != "" {
				v.Spellings = strings.Split(u.also, "|")
			}
			all = append(all, v)
		}
	}
	return all
}

// Factor returns the size of the unit in the SI unit of its kind, exactly.
func (u Unit) Factor() *big.Rat { return big.NewRat(u.num, max(u.den, 1)) }

// Offset returns what is added to a reading before the factor is applied: 459.67
// for degF, 273.15 for degC, 0 for all but temperatures.
func (u Unit) Offset() *big.Rat { return big.NewRat(u.offset, 100) }
