// Package heat computes what hot water lines lose and how they answer: the loss of a
// pipe, the time it takes to cool, what circulates, the wait at an outlet, the mix of
// hot and cold, and how water and pipe expand. It knows no code and no layout.
//
//		line := heat.Pipe{Bore: units.Inches(0.785), Wall: units.Inches(0.045), Conductivity: 400,
//			Insulation: units.Inch, InsulationConductivity: 0.04, Length: 40 * units.Foot,
//			Surroundings: heat.InAir, Film: 10}
//		lost, err := line.Total(units.Fahrenheit(140), units.Fahrenheit(70))
//
//	  - [Pipe] loses heat to the air or the ground; [Pipe.CoolingTime] and
//	    [Pipe.CompareInsulation] say when the water in it is cold, [CriticalRadius] where
//	    insulation does harm.
//	  - [RecirculationFlow] carries a loss, [CirculationHead] is what the pump must give.
//	  - [WaitTime] is how long an outlet runs before hot water comes.
//	  - [HotFraction] and [MixedTemperature] are for mixing valves.
//	  - [WaterExpansion], [ExpansionVolume] and [ExpansionTank] are for closed systems,
//	    [Expansion] is how much longer a pipe grows.
//
// Arguments that a formula cannot take come back as errors that match [units.ErrRange]
// and name each of them.
//
// Results are calculations to be checked by a licensed plumber or engineer against the
// code in force. Hot water scalds, within seconds at 60 degC, and lukewarm lines breed
// legionella: the temperatures that keep from both are not decided here.
package heat
