// Package hydraulics computes the flow of water in pipes under pressure. It knows no
// code and no layout, and of tables only those of water and of the limits of a formula.
//
//		water, err := hydraulics.WaterAt(units.Celsius(10))
//		pipe := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Inches(0.785),
//			Length: 40 * units.Foot, C: 150, Water: water}
//		r, err := pipe.Resistance()
//		loss, err := r.Loss(8 * units.USGallonPerMinute) // head, pressure, velocity, notes
//
//	  - [WaterAt] gives the properties of water at a temperature.
//	  - [Friction] and its [Resistance] answer for a pipe: the loss of a flow, the
//	    flow or the bore for a loss, by [HazenWilliams] or [DarcyWeisbach].
//	    [HazenWilliamsHeadLoss], [Colebrook] and [FrictionFactor] are the bare formulas.
//	  - [MinorHeadLoss], [EquivalentLength] and the kinds of [FlowLoss] ([FixedLoss],
//	    [RatedLoss], [LossCurve]) answer for fittings and devices.
//	  - [Velocity], [BoreForVelocity], [PressureOfHead], [PipeVolume] are what their
//	    names say; [PressureBudget] is the arithmetic of the codes' appendix method.
//	  - [Network] solves loops and several sources at once.
//	  - [SurgePipe] gives the pressure of a stop.
//
// Arguments that a formula cannot take come back as errors that match [units.ErrRange]
// and name each of them, a question without an answer as [units.ErrNoSolution]; a
// result that leans on a formula outside the conditions it was found in says so in its
// [Notes]. Nothing is clamped or extrapolated in silence.
//
// Results are calculations to be checked by a licensed plumber or engineer against the
// code in force and the rulings of the local authority.
package hydraulics
