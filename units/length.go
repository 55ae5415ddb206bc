package units

import "math"

// Length is a length, an elevation or a diameter, as a whole number of nanometres.
//
// An inch is 25 400 000 nm, 1/64 in is 396 875 nm, 0.001 ft is 304 800 nm and a
// millimetre is 1 000 000 nm, so everything written on a drawing is exact and
// + - < == are exact too. Values a caller or a file may hand in lie within
// ±[MaxLength]; [Length.Valid] tells.
//
// # Overflow
//
// The operators on Length wrap as all Go integers do, at 9.2 million kilometres.
// Parsers accept up to [MaxLength], 1000 km, so that sums of a few thousand
// lengths cannot get there. Add, Sum, Mul, Scale and FromDecimal never wrap: they
// return an error matching [ErrRange] for a result beyond MaxLength. Abs
// and Round saturate at the greatest or least Length. [Inches], [Feet],
// [Millimetres] and [Metres] return a length that is not [Length.Valid] for NaN,
// infinities and what is too long; such a length does not marshal.
type Length int64

// Units of length. The inch is 25.4 mm exactly (international yard and pound
// agreement, 1959).
const (
	Nanometre  Length = 1
	Micrometre        = 1000 * Nanometre
	Millimetre        = 1000 * Micrometre
	Centimetre        = 10 * Millimetre
	Metre             = 1000 * Millimetre
	Inch              = 25_400_000 * Nanometre
	Foot              = 12 * Inch
	Yard              = 3 * Foot
)

// MaxLength is the greatest length that parsers and layouts accept: 1000 km.
// Sums of a few thousand of them cannot overflow.
const MaxLength = 1_000_000 * Metre

// Valid reports whether l lies within ±MaxLength.
func (l Length) Valid() bool { return -MaxLength <= l && l <= MaxLength }

// invalidLength marks the result of a float constructor that was handed a value
// it cannot hold. It is far outside ±MaxLength, so every door refuses it.
const invalidLength Length = math.MinInt64

func fromFloat(x float64, unit Length) Length {
	v := math.RoundToEven(x * float64(unit))
	if !(math.Abs(v) <= float64(MaxLength)) {
		return invalidLength
	}
	return Length(v)
}

// Inches makes a length from inches, to the nearest nanometre. A value that is
// not a number or lies outside ±MaxLength gives a length that is not [Length.Valid].
func Inches(x float64) Length { return fromFloat(x, Inch) }

// Feet makes a length from international feet, as [Inches] does.
func Feet(x float64) Length { return fromFloat(x, Foot) }

// Millimetres makes a length from millimetres, as [Inches] does.
func Millimetres(x float64) Length { return fromFloat(x, Millimetre) }

// Metres makes a length from metres, as [Inches] does.
func Metres(x float64) Length { return fromFloat(x, Metre) }

// Inches returns l in inches.
func (l Length) Inches() float64 { return float64(l) / float64(Inch) }

// Feet returns l in international feet.
func (l Length) Feet() float64 { return float64(l) / float64(Foot) }

// Millimetres returns l in millimetres.
func (l Length) Millimetres() float64 { return float64(l) / float64(Millimetre) }

// Metres returns l in metres.
func (l Length) Metres() float64 { return float64(l) / float64(Metre) }
