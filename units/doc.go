// Package units holds the quantities of plumbing work: lengths exact to the
// nanometre, and flows, pressures, temperatures and the like as float64 in SI,
// with the notation of the trade going in and coming out.
//
// Make a value with a constant and read it in one:
//
//	run := 37*units.Foot + 6*units.Inch + 3*units.Inch/8
//	q := 25 * units.USGallonPerMinute
//	q.In(units.LitrePerSecond)
//
// A number that is only known at run time is converted to the type first
// (units.Flow(x)*units.LitrePerSecond) or, for a length, handed to [Inches],
// [Feet], [Millimetres] or [Metres]. Temperatures come from [Celsius],
// [Fahrenheit] and [Kelvin]; a difference between two is a type of its own, counted
// in [FahrenheitDifference] or [KelvinDifference].
//
// Which function for which need:
//
//   - text to a typed quantity: [Parse], as Parse[Flow]("25 gpm");
//   - a typed quantity to text: String, which is exact, or fmt verbs (%.1f), or a [Notation] for lengths;
//   - JSON, CSV, flags: every type has the text methods, and its text form carries the unit;
//   - sums and products of lengths from user data: [Length.Add], [Sum], [Length.Mul], [Length.Scale];
//   - a unit picked at run time: [In]; text in any unit to another: [ParseQuantity] and [Quantity.In];
//   - digits without end: [Convert] and [Quantity.Decimal]; the list of units: [Units].
//
// # Exact, and not
//
// A [Length] is an integer. 1/64 in is 396 875 nm, 0.001 ft is 304 800 nm, a
// millimetre is a million: what is written on a drawing is held exactly,
// and + - < == are exact. A quotient goes through 128 bits and is rounded once, half to even.
// The other quantities are float64: their values are results of powers and
// logarithms, and 60 psi has no finite number of decimals in pascals. Do
// not compare them with ==; round both to the digits that matter.
//
// Factors between units are exact ratios of integers wherever the definition is
// exact. The constants of this package are the float64 nearest to those. Text
// of up to 15 digits is read as Go reads number times constant, so "1.6 gal" is
// 1.6*[USGallon] to the last bit. [Convert] and [Quantity] use the ratios themselves.
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
//
// # Conventions
//
// Pressures are gauge; psig is psi, and psia is refused. A [Head] is the height of the water it is in, at the
// density that water has: turning it into a pressure takes that density, and is done where
// temperature is known, not here. The pressure units ft of water and in of water are
// conventional: water of 1000 kg/m3 under standard gravity (9.80665 m/s2). The inch of mercury is
// conventional too, at 13 595.1 kg/m3, mercury at 0 °C. Columns at a stated temperature
// (water at 39.2 °F or 60 °F, mercury at 60 °F) differ from these by up to 0.3 % and are
// not offered. The Btu is that of the International Table, 1055.05585262 J. The foot is the
// international one; a length in US survey feet is converted (ftUS), never assumed.
//
// Sources of the definitions: NIST SP 811 (2008), Appendix B, and NIST Handbook
// 44, Appendix C, both from memory; the factors that follow from them are tested against two other programs
// and against the digits those documents print.
//
// # Limits
//
// Types catch a flow handed in for a pressure. They do not catch a bare constant (Length(12) is 12
// nanometres), a product of two lengths that stays a Length, or a head that was
// meant as a difference. Angles, counts, fixture units and grades are not
// quantities of this package.
//
// A conversion is arithmetic. Whether 60 psi at a fixture is right is for the code in
// force and the engineer or plumber who answers for the job; a temperature that is safe in one unit and
// scalds when read in another is a reason to print the unit, which every text form here does.
package units
