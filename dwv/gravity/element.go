package gravity

import (
	"math"

	"github.com/trapweir/trapweir/internal/argument"
)

// Elements are the hydraulic elements of a circular section that is filled to
// some depth, for a bore of 1: multiply a length by the bore and an area by its
// square.
type Elements struct {
	Depth float64 `json:"depth"` // depth over bore, 0 < Depth <= 1
	// Angle that the water surface subtends at the centre, radians, to 2 pi when full.
	Angle           float64 `json:"angle"`
	Area            float64 `json:"area"`             // wetted area over the square of the bore, pi/4 when full
	WettedPerimeter float64 `json:"wetted_perimeter"` // over the bore
	// Wetted area over wetted perimeter, over the bore: 1/4 when half full and when full.
	HydraulicRadius float64 `json:"hydraulic_radius"`
	TopWidth        float64 `json:"top_width"` // width of the water surface, over the bore; 0 when full
}

// ElementsAt returns the hydraulic elements of a circular section at a
// depth given as a ratio to the bore.
//
//	theta = 4 asin(sqrt(y/D))    A/D2 = (theta - sin theta)/8
//	P/D = theta/2    R = A/P    T/D = sin(theta/2)
//
// Units: none; every element is a ratio. Valid: 0 < depth <= 1, otherwise a
// [units.RangeError].
// Source: geometry of the circular segment; Chow, Open-Channel Hydraulics
// (1959), Table 2-1.
func ElementsAt(depth float64) (Elements, error) {
	if !(depth > 0 && depth <= 1) {
		return Elements{}, argument.Outside("depth ratio", argument.Number(depth), "greater than 0 and at most 1")
	}
	if depth == 1 {
		return fullElements, nil
	}
	e := elementsOfAngle(4 * math.Asin(math.Sqrt(depth)))
	e.Depth = depth
	return e, nil
}

var fullElements = Elements{Depth: 1, Angle: 2 * math.Pi, Area: math.Pi / 4, WettedPerimeter: math.Pi,
	HydraulicRadius: 0.25}

// elementsOfAngle returns the elements for a central angle in (0, 2 pi).
func elementsOfAngle(theta float64) Elements {
	s, c := math.Sincos(theta / 2)
	a := segment(theta, s, c)
	q := math.Sin(theta / 4)
	return Elements{
		Depth:           q * q,
		Angle:           theta,
		Area:            a / 8,
		WettedPerimeter: theta / 2,
		HydraulicRadius: a / (4 * theta),
		TopWidth:        s,
	}
}

// segment returns theta - sin theta, given sine and cosine of theta/2. The
// difference loses its digits below a radian, where the series is used instead.
func segment(theta, s, c float64) float64 {
	if theta > 0.75 {
		return theta - float64(2*s*c)
	}
	x := theta * theta
	return theta * x / 6 * (1 - float64(x/20*(1-float64(x/42*(1-float64(x/72*(1-float64(x/110*(1-x/156)))))))))
}

// VelocityRatio returns the velocity at this depth over the velocity of the full
// pipe at the same grade and roughness: (R/R full)^(2/3). It is 1 when half full
// and greatest, 1.14, at 0.81 of the bore.
func (e Elements) VelocityRatio() float64 {
	r := 4 * e.HydraulicRadius
	return math.Cbrt(r * r)
}

// FlowRatio returns the flow at this depth over the flow of the full pipe at the
// same grade and roughness. It passes 1 at 0.82 of the bore, is greatest,
// [MaxFlowRatio], at 0.938 and comes back to 1.
func (e Elements) FlowRatio() float64 { return e.AreaRatio() * e.VelocityRatio() }

// AreaRatio returns the wetted area over the area of the bore.
func (e Elements) AreaRatio() float64 { return e.Area * (4 / math.Pi) }
