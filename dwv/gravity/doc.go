// Package gravity computes the flow of water that runs by its own weight in pipes and
// stacks. It knows no code, no table and no layout.
//
//		drain := gravity.Pipe{Bore: units.Inches(3.042), Grade: slope.OneIn(50), Roughness: 0.009}
//		flow, err := drain.AtFlow(15 * units.USGallonPerMinute) // its depth, velocity, Froude number
//
//	  - [Pipe] is Manning's formula for a circular pipe, full and part full; [BoreFor],
//	    [GradeFor], [GradeForVelocity] and [GradeForTraction] solve it for the pipe.
//	  - [PartFull] is what runs in it, [ElementsAt] the geometry of a depth.
//	  - [CriticalDepth] and [CriticalGrade] part slow flow from fast.
//	  - [StackCapacity], [StackFill] and [StackBoreFor] are for the sheet that falls down a
//	    stack, [StackBaseFlow] for what happens where it turns into a drain.
//	  - [ColebrookWhiteFlow] is the formula behind European tables of drains.
//
// A bore is the inside diameter, not the nominal size, and Manning's n comes from
// whoever asks: dwv.ManningRoughness has what the shelf holds.
//
// A number that a formula cannot take is a [units.RangeError] that names it and what
// is taken; all of one call come together. Nothing is clamped or extrapolated.
//
// Results are calculations, not approvals: have them checked by a licensed plumber or
// engineer against the code in force and the rulings of its authority.
package gravity
