// Problems answers worked problems of the trade, one JSON object a line.
//
//	go run ./examples/problems < problems.jsonl
//	go run ./examples/problems -working lesson.jsonl
//	go run ./examples/problems -quiz 20 -seed 7 -ask fall -answers key.jsonl > quiz.jsonl
//
// It reads JSON Lines from standard input or from the files named, and writes one
// line an answer, in order. A line is answered as soon as it is read when no more
// input is waiting, so another program can ask and wait:
//
//	{"id":"a1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}
//	{"id":"a1","answer":{"fall":{"value":9.375,"unit":"in"}}}
//
// A line that cannot be answered gives {"id":…,"error":"…"}, the others still get
// their answers, and the exit status is 1. Blank lines and lines that start with
// # are skipped. -working adds the steps as a textbook would write them, -quiz
// makes fresh problems and a file with their answers, and the kind "mark" tells a
// student's answer right or wrong. -kinds lists the kinds with their fields.
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
package main
