// Package slope lays pipe to grade. It is the arithmetic of a trench: falls and
// grades, inverts, offsets, laser planes and rod readings, as-built checks, trench
// volumes. It needs nothing but package units, and no table.
//
// Lengths and grades are exact. A [Grade] is a ratio of two integers, so that
// 1/4 in per ft is 1/48, 2 % is 1/50, and neither is the other; 37 ft 6 in at
// 1/4 in per ft falls 9 3/8 in and nothing else:
//
//	g := slope.MustParse("1/4 in/ft")
//	fall := g.Over(37*units.Foot + 6*units.Inch) // 9 3/8 in
//
// What must be rounded is rounded once, to the nearest nanometre, half to even.
//
// # Which function for which need
//
// Grades: [Parse], [PerFoot], [OneIn], [Percent], [Of] make them; [Grade.Over] is
// the fall over a run, [Grade.RunFor] the run for a fall, [Between] the grade
// between two elevations; [Grade.Text] writes one in any notation.
//
// Lines: [Line] goes from an outlet invert upward and [Line.Inverts] is its short
// answer; [Line.Profile] gives stations anywhere. [Pipe.Levels] turns an invert
// into crown, cover, depth below floor, slab clearance and trench bottom. [Join]
// says how a branch meets a main; [Profiles] and [Inverts] work a tree of lines.
//
// Plan: [Conflicts] finds joins at the wrong height and pipes too close to each other, to
// footings and to slab thickenings. [Wall.StubUp] places stub-ups from wall lines.
//
// Levels and lasers: [InstrumentHeight], [Reading], [CutSheet], [CutRows], [Circuit],
// [Setup]; [Plane] is a laser plane of one or two grades.
//
// As-built: [Survey.AsBuilt] names what is flat, back-graded or holds water, and
// the shortest stretch that mends it.
//
// Depth left and offsets: [Room], [NewOffset], [NewRollingOffset], [ParallelOffset],
// [CutLength]. Trenches: [Trench], [Trench.Filling], [Spoil], [WaterToFill],
// [WaterTestHead].
//
// # Conventions
//
// Runs and stations are horizontal, as on a plan; a grade falls towards the outlet; a
// negative one rises. Elevations and inverts grow upward. Plan angles are in degrees.
//
// What cannot be is refused with an error that matches [units.ErrRange], [ErrGrade],
// [ErrTree] or [ErrOffLine]; functions that take a list report every fault in it together.
//
// # What it does not do
//
// It knows no code: least grades, covers, clearances and bedding depths are the
// caller's to give. Nominal sizes are not diameters; give it bores and walls.
// Conflicts are judged between straight pipes and straight strips, without
// fittings, hubs, or the bends of a pipe. Belly and mend answers are as good as the
// shots are close; between shots a pipe is taken as straight.
//
// # Cautions
//
// Trench walls kill. Nothing here says whether a trench stands: see [Trench]. A line under
// test holds the force of its head on every plug: stand clear, and see [WaterTestHead].
//
// The results are calculations to be checked by a licensed plumber or engineer
// against the code in force and the rulings of the local authority.
package slope
