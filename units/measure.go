package units

import (
	"fmt"
	"math"
)

// Measure is a float64 in the SI unit of a quantity: a [Flow], a [Pressure] and so
// on are each a Measure of their own, and one is not taken for another. Multiply a
// number by a constant to make one (25*units.USGallonPerMinute), and read it in a
// unit by In. Zero is zero; a negative value means what it means (suction, a rise,
// the other direction) and is for the receiver to judge, as are NaN and infinities,
// which parsers never give and text methods refuse.
type Measure[D dimension] float64

// In returns m in a unit: q.In(units.LitrePerSecond). A unit that is known by name
// only is for the function [In].
func (m Measure[D]) In(unit Measure[D]) float64 { return float64(m / unit) }

func (Measure[D]) kind() kind {
	var d D
	return d.kind()
}

// String returns the text that people read, in the unit that m was written in, or the
// customary one: as it is with up to eight digits, which reads back as the same value; what
// has more, such as a velocity that was worked out, rounded to six. The text methods lose
// nothing.
func (m Measure[D]) String() string {
	return string(appendShown(make([]byte, 0, 32), m.kind(), float64(m)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (m Measure[D]) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, m.kind(), float64(m))
}

// AppendText appends the shortest text that reads back as the same value; it fails for a
// value that is not finite.
func (m Measure[D]) AppendText(b []byte) ([]byte, error) {
	return appendText(b, m.kind(), float64(m))
}

// MarshalText returns the text of AppendText.
func (m Measure[D]) MarshalText() ([]byte, error) { return appendText(nil, m.kind(), float64(m)) }

// UnmarshalText sets m by [Parse].
func (m *Measure[D]) UnmarshalText(text []byte) error {
	v, err := parse(m.kind(), string(text))
	if err == nil {
		*m = Measure[D](v)
	}
	return err
}

// Typed is any type that holds one kind of quantity: a [Length], a [Temperature] or
// a [Measure].
type Typed interface {
	~int64 | ~float64
	kind() kind
}

// Parse reads a quantity of type T: Parse[units.Flow]("12.5 gpm"), a number (12,
// 12.5, 1.2e-3, 3/8, 2 1/2) and a unit, to the nearest float64. A temperature below
// absolute zero is refused, and so is an absolute pressure (psia).
//
// A [Length] is read as it is written on a drawing or a data sheet:
//
//	37'-6 3/8"   37' 6-3/8   37 ft 6 3/8 in   6⅜"   3/8   -0'-3"   37′ 6″
//	37.53 ft   450.375 in   11.44 m   50 mm   1.5e-6 m
//
// Feet are ' or ft, inches " or in (also ′ ’ ″ ” and two apostrophes); any other
// unit of length goes with one number. One sign may stand in front and holds for the
// whole. After whole feet, inches below 12 may follow, their mark may be left out. A
// fraction is below one. A number with a fraction and no mark (3/4, 6 3/8) is in
// inches, as the trade writes it; any other number without a unit is refused, and so
// are grouped thousands and decimal commas. A length is exact; decimals finer than a
// nanometre are rounded to it, half to even; a fraction that is no whole number of
// nanometres (1/128 in, 1/3 in) is refused. A [Head] is also read in feet and inches.
//
// The error is a *[ParseError].
//
// # Text that is read
//
// A number is 12, 12.5, .5, 1.2e-3, 3/8, 6 3/8, 6-3/8 or 6⅜, then comes a unit.
// Decimals are marked by a point. A comma is refused, and so is anything between
// thousands: 1,200 has two readings in two countries. A fraction is below one, since 63/8 is more often 6 3/8
// with a lost space than seven and seven eighths. All of the text is read or none of it.
//
// A length may be feet and inches (37'-6 3/8"), with ' ft ′ ’ and " in ″ ” or two
// apostrophes as marks. One sign stands in front and holds for the whole. Inches
// after feet are below 12. A bare fraction (3/4, 6 3/8) is in inches by custom of the trade; any other
// bare number is refused.
//
// A bare gal, qt, pt, oz (of volume), gpm, gph, gpd or mgd is of the US liquid gallon
// of 231 in3. The imperial gallon of 4.54609 L is imp gal or UK gal, imp gpm or
// UK gpm. Units of the trade may stand in capitals (GPM, PSI); metric symbols may not, since
// m and M differ.
//
// Errors are of type *[ParseError], with the byte offset and what to write
// instead, and match [ErrSyntax], [ErrAmbiguous], [ErrUnit] or [ErrRange].
func Parse[T Typed](s string) (T, error) {
	var zero T
	k := zero.kind()
	if k == kindLength {
		l, err := parseLength(s)
		return T(l), err
	}
	v, err := parse(k, s)
	return T(v), err
}

// MustParse is [Parse] for constants in tests and examples; it panics on an error.
func MustParse[T Typed](s string) T { return must(Parse[T](s)) }

// In returns a typed quantity in a unit that is known by name only at run time,
// such as one picked from a list: In(flow, "m3/h"). Where the unit is known
// beforehand flow.In(units.CubicMetrePerHour) cannot fail. The error matches
// [ErrUnit] for an unknown unit or one of another kind, and [ErrRange] for a value
// that is not finite or a length that is not [Length.Valid].
func In[T Typed](v T, unit string) (float64, error) {
	k := v.kind()
	u, ok := lookup(k, unit)
	switch {
	case ok:
	case kindsOf(unit) == "":
		return 0, fmt.Errorf("%s in %q: not a unit this package knows: %w", k, unit, ErrUnit)
	default:
		return 0, fmt.Errorf("%s in %q: a unit of %s: %w", k, unit, kindsOf(unit), ErrUnit)
	}
	if k == kindLength {
		if l := Length(v); l.Valid() {
			return quantityOfLength(l).In(unit)
		}
		return 0, errLengthRange()
	}
	si := float64(v)
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return 0, fmt.Errorf("%s %v: %w", k, si, ErrRange)
	}
	return inUnit(si, u), nil
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
