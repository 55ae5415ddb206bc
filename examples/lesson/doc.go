// Package lesson answers, works, marks and sets problems of the trade, written as
// lines of JSON: the engine of examples/problems, for whoever teaches or asks for one
// number.
//
//	e := lesson.New(tables.Embedded())
//	reply, ok := e.Answer([]byte(`{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`), lesson.Options{})
//
// A line names a kind of problem and its inputs: quantities as texts with units ("37 ft 6 in"),
// what is counted as a plain number (a load 42, an angle 45, a share 0.95). The reply is a line
// with its answers, or with an error that names the field. Run answers a stream of lines,
// Kinds lists what can be asked, Quiz draws fresh problems with their answers, and the
// kind "mark" tells a student's answers right or wrong.
//
// Where a problem could be read in two ways, these are the readings taken:
//
//   - A grade may be level in fall and inverts; one that rises is refused there, and
//     belongs in cut-sheet or plane, where a sign has a meaning.
//   - The invert of a cut-sheet is that of its first station; stations stand in order.
//   - demand gives nothing for no load; a load under the first row is outside the table.
//   - drain-size and vent-size take water_closets as absent where it is not given. Traps
//     that the code counts as closets belong to it.
//   - heat-loss is negative where the surroundings are warmer than the water.
//   - With viscosity in place of a temperature, the density is that of water at 60 degF.
//   - demand-exact and in-use take a sum within 1e-13 of the confidence for one that
//     reaches it.
//   - mark judges an answer by what it is. Inverts, rod readings, cuts and the height of
//     instrument: within a length, 0.01 ft or 3 mm unless tolerance is a length. Sizes,
//     counts, fixture units and what a table allows: exactly. All else: within a share of
//     the right answer, 1 % unless tolerance is a share. A slip is named where the answer
//     is wrong and the slip gives it.
//   - A whole number may be written 100, 100.0 or 1e2; null stands for an absent field.
//
// The answers are calculations. What is built is decided by the code in force,
// the local authority and a licensed practitioner.
package lesson
