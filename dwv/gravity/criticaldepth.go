package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/solve"
	"github.com/trapweir/trapweir/units"
)

// Froude returns the Froude number of the flow: above 1 it is fast and shallow
// (supercritical), below 1 slow and deep.
//
//	F = V / sqrt(g A/T)
//
// A full pipe has no free surface; its Froude number is given as 0.
//
// Source: Chow, Open-Channel Hydraulics (1959), section 3-3, with the hydraulic
// depth A/T as length.
func (f PartFull) Froude() float64 {
	return froude(float64(f.Velocity), f.Elements, f.Pipe.Bore.Metres())
}

func froude(v float64, e Elements, d float64) float64 {
	if e.TopWidth <= 0 || e.Depth == 1 {
		return 0
	}
	return v / math.Sqrt(units.StandardGravity*d*e.Area/e.TopWidth)
}

// CriticalDepth returns the section at which a flow has a Froude number of 1,
// the depth of least energy. It depends on bore and flow alone.
//
//	Q^2 / (g D^5) = (A/D2)^3 / (T/D)
//
// Units: SI inside. Valid: positive bore and flow; a great flow comes ever closer
// to filling the pipe.
// Source: Chow, Open-Channel Hydraulics (1959), section 4-3.
func CriticalDepth(bore units.Length, q units.Flow) (Elements, error) {
	if err := boreAndFlow(bore, q); err != nil {
		return Elements{}, err
	}
	d := bore.Metres()
	// The root of Q^2/(g D^5) keeps far from the ends of the number range.
	x := float64(q) / (d * d * math.Sqrt(units.StandardGravity*d))
	theta, _, err := criticalAngle(x)
	if err != nil {
		return Elements{}, argument.Outside("flow", argument.Litres(q), "one that leaves a free surface in this bore")
	}
	return elementsOfAngle(theta), nil
}

// criticalAngle returns the central angle of critical depth for x = Q/(g D^5)^(1/2), and
// the number of evaluations used. The depth is near 1.01 of the root of x.
func criticalAngle(x float64) (theta float64, evaluations int, err error) {
	return solve.Rising(criticalFlow(math.Log(512)+2*math.Log(x)), 0, 2*math.Pi,
		4*math.Asin(math.Sqrt(min(1.01*math.Sqrt(x), 0.96))), 1e-6)
}

// criticalFlow returns ln((theta - sin theta)^3 / sin(theta/2)), which is
// ln(512 Q^2/(g D^5)) at critical depth, less a target, with derivatives.
func criticalFlow(target float64) func(theta float64) (y, dy, ddy float64) {
	return func(theta float64) (y, dy, ddy float64) {
		s, c := math.Sincos(theta / 2)
		a := segment(theta, s, c)
		u := 2 * s * s / a
		w := c / (2 * s)
		y = float64(3*math.Log(a)) - math.Log(s) - target
		dy = float64(3*u) - w
		ddy = float64(3*(float64(2*s*c)/a-float64(u*u))) + 1/(4*s*s)
		return y, dy, ddy
	}
}

// CriticalGrade is the grade at which a flow would run at critical depth; a
// steeper pipe runs it fast and shallow. It is returned as a number, fall over run.
//
// Source: Manning's formula at the critical depth.
func CriticalGrade(bore units.Length, q units.Flow, roughness float64) (float64, error) {
	e, err := CriticalDepth(bore, q)
	if err := errors.Join(roughnessInRange(roughness), err); err != nil {
		return 0, err
	}
	d := bore.Metres()
	r := e.HydraulicRadius * d
	root := float64(q) / (e.Area * d * d) * roughness / math.Cbrt(r*r)
	return root * root, nil
}
