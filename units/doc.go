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
//   - text to a typed quantity: [Parse], as Parse[Flow]("25 gpm"), which tells what it reads;
//   - a typed quantity to text: String (what was worked out is rounded), fmt verbs (%.1f), or a [Notation] for lengths;
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
// # Conventions
//
// Pressures are gauge: see [Pressure] for the conventions of columns of water and mercury.
// The Btu is that of the International Table, 1055.05585262 J. The foot is the international
// one; a length in US survey feet is converted (ftUS), never assumed.
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
