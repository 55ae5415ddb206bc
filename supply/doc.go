// Package supply computes water supply piping: the demand of fixtures, the loss
// of pressure on the way to them, sizes, hot water and surge.
//
// # Formulas
//
// These take and return typed quantities and need no code and no layout:
//
//   - [WaterAt] gives the properties of water at a temperature.
//   - [Friction] and its [Resistance] answer for a pipe: the loss of a flow, the
//     flow or the bore for a loss, by [HazenWilliams] or [DarcyWeisbach].
//     [HazenWilliamsHeadLoss], [Colebrook] and [FrictionFactor] are the bare formulas.
//   - [Velocity], [BoreForVelocity], [PressureOfHead], [PipeVolume] are what their
//     names say.
//   - [FixturesInUse] is the probability of simultaneous use.
//
// Arguments that a formula cannot take come back as errors that match [ErrRange]
// and name each of them; a result that leans on a formula outside the conditions
// it was found in says so in its [Notes]. Nothing is clamped or extrapolated in
// silence.
//
// # Cautions
//
// Results are calculations to be checked by a licensed plumber or engineer
// against the code in force and the rulings of the local authority. Hot water
// scalds, within seconds at 60 degC: the limits at outlets and the mixing valves
// that keep them are not decided here. Neither is protection against backflow at
// cross-connections.
package supply
