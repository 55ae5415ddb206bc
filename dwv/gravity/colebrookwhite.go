package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// ColebrookWhiteFlow returns flow and velocity in a circular drain that runs part
// full, by the formula behind the drain tables of EN 12056-2 Annex B, where
// Manning's formula stands behind American ones.
//
//	V = -2 sqrt(8 g R S) log10( k/(14.8 R) + 2.51 nu / (4 R sqrt(8 g R S)) )
//
// roughness is the operational roughness k of the wall, viscosity the kinematic
// viscosity; the standard takes 1.0 mm and 1.31e-6 m2/s (rules drain-roughness and
// drain-viscosity of the set en12056-2).
//
// Units: typed. Valid: depth ratio over 0 and at most 1, roughness at most 1/20 of
// the bore.
// Source: Colebrook (1939) with the Darcy-Weisbach formula and the diameter of the
// full pipe replaced by four times the hydraulic radius.
func ColebrookWhiteFlow(bore units.Length, grade slope.Grade, roughness units.Length,
	viscosity units.KinematicViscosity, depth float64) (units.Flow, units.Velocity, error) {
	e, depthErr := ElementsAt(depth)
	errs := []error{boreInRange(bore), depthErr, gradeInRange(grade),
		argument.CheckPositive("viscosity", float64(viscosity), "m2/s")}
	if roughness < 0 || roughness > bore/20 {
		errs = append(errs, argument.Outside("roughness", argument.Number(roughness.Millimetres())+" mm",
			"between 0 and 1/20 of the bore"))
	}
	if err := errors.Join(errs...); err != nil {
		return 0, 0, err
	}
	d := bore.Metres()
	r := e.HydraulicRadius * d
	root := math.Sqrt(8 * units.StandardGravity * r * grade.Float())
	v := -2 * root * math.Log10(roughness.Metres()/(14.8*r)+2.51*float64(viscosity)/(4*r*root))
	if !(v > 0) {
		return 0, 0, argument.Outside("bore", argument.Number(d)+" m",
			"wide enough for turbulent flow at this grade and viscosity")
	}
	return units.Flow(e.Area * d * d * v), units.Velocity(v), nil
}
