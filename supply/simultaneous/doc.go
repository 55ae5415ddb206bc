// Package simultaneous tells how many fixtures run at once, and how much they draw
// together. It knows no code, no table and no layout.
//
//		basins := simultaneous.Group{Count: 40, Probability: 0.02, Flow: 2 * units.USGallonPerMinute}
//		flow, err := simultaneous.New([]simultaneous.Group{basins}, units.USGallonPerMinute/100)
//		peak, err := flow.Quantile(0.99)
//
//	  - [New] is the exact distribution of the total [Flow] of groups of fixtures.
//	  - [FixturesInUse] is that of the number in use among like fixtures.
//	  - [NormalFlow] and [NormalFlowInUse] are the published approximations,
//	    [HunterNumber] the measure by which one of them is chosen.
//
// Every fixture is in use independently of the others. A queue after a break breaks
// that rule, and so does a household of one.
//
// Arguments that a formula cannot take come back as errors that match [units.ErrRange]
// and name each of them, a question without an answer as [units.ErrNoSolution].
//
// Results are calculations to be checked by a licensed plumber or engineer against the
// code in force and the rulings of the local authority.
package simultaneous
