package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Traction returns the mean shear that the water exerts on the wetted wall, the
// tractive force that carries solids along.
//
//	tau = rho g R S
//
// Units: SI; pass the density, 1000 kg/m3 for cold waste water.
// Source: Chow, Open-Channel Hydraulics (1959), section 7-12.
func (f PartFull) Traction(density units.Density) units.Pressure {
	return units.Pressure(
		float64(density) * units.StandardGravity * f.HydraulicRadius * f.Pipe.Bore.Metres() * f.Pipe.Grade.Float(),
	)
}

// GradeForVelocity returns the least grade at which a flow, at the depth it then
// has, reaches a velocity. Self-cleansing is judged at the flow that is likely to
// run, not at full pipe: a small flow in a big pipe is shallow and slow however
// good its full-pipe velocity looks.
//
// A flow that would need more than the depth of greatest flow to be so slow
// gives a [units.RangeError]: there, capacity decides the grade and any grade that
// carries the flow is fast enough.
//
// Source: Manning's formula with the wetted area Q/V.
func GradeForVelocity(bore units.Length, roughness float64, q units.Flow, v units.Velocity) (slope.Grade, error) {
	if err := errors.Join(Pipe{bore, slope.OneIn(1), roughness}.Validate(), argument.CheckPositiveFlow(q),
		argument.CheckPositive("velocity", float64(v), "m/s")); err != nil {
		return slope.Grade{}, err
	}
	d := bore.Metres()
	e, err := sectionOf(float64(q) / (float64(v) * d * d))
	if err != nil {
		return slope.Grade{}, capacityDecides(q)
	}
	return gradeForVelocity(float64(v), e.HydraulicRadius*d, roughness)
}

// GradeForTraction returns the least grade at which a flow, at the depth it then
// has, exerts a mean shear on the wall.
//
//	S = tau/(rho g R), so Q n = A R^(1/6) (tau/(rho g))^(1/2)
//
// Errors: as [GradeForVelocity]. Source: the two formulas, with [PartFull.Traction].
func GradeForTraction(bore units.Length, roughness float64, q units.Flow, traction units.Pressure,
	density units.Density) (slope.Grade, error) {
	if err := errors.Join(Pipe{bore, slope.OneIn(1), roughness}.Validate(), argument.CheckPositiveFlow(q),
		argument.CheckPositive("traction", float64(traction), "Pa"),
		argument.CheckPositive("density", float64(density), "kg/m3")); err != nil {
		return slope.Grade{}, err
	}
	d := bore.Metres()
	height := float64(traction) / (float64(density) * units.StandardGravity) // R S
	k := float64(q) * roughness / (math.Pow(d, 13.0/6) * math.Sqrt(height))  // a r^(1/6)
	e, err := sectionOfTraction(k)
	if err != nil {
		return slope.Grade{}, capacityDecides(q)
	}
	return gradeFromFloat(height / (e.HydraulicRadius * d))
}

func capacityDecides(q units.Flow) error {
	return argument.Outside(
		"flow",
		argument.Litres(q),
		"small enough to run free so gently in this bore; capacity decides the grade",
	)
}
