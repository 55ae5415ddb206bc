package dwv

import (
	"math"

	"github.com/trapweir/trapweir/internal/solve"
)

// MaxFlowRatio is the greatest flow that runs free in a circular pipe with n
// constant with depth, over the flow of the full pipe. It is the maximum of
// (theta - sin theta)^(5/3) / (2 pi theta^(2/3)), which lies at a depth of
// 0.93818 of the bore.
const MaxFlowRatio = 1.0757061140865217

// The angle of greatest flow, where 3 theta - 5 theta cos theta + 2 sin theta is
// 0, and two derivatives of ln Q there.
const (
	maxFlowAngle     = 5.278106888904163
	maxFlowCurvature = 0
	maxFlowThird     = 0
)

// smallFlowRatio is where the closed form of the middle range hands over to the
// one for shallow flow.
const smallFlowRatio = 0.02

// angleForFlow returns the central angle at which the flow is ratio times that
// of the full pipe, the smaller of two where there are two, and the number of
// evaluations used.
//
// It solves ln Q(theta) = ln ratio by Halley's method, from a closed form that
// is within a few percent.
//
//	Q/Q full = (theta - sin theta)^(5/3) / (2 pi theta^(2/3))
//
// Source: Manning's formula for a circular section; start for the middle range
// theta = 3 pi/2 sqrt(1 - sqrt(1 - sqrt(pi K))) with K = Q n/(D^(8/3) S^(1/2)),
// Saatci, Velocity and depth of flow calculations in partially filled pipes, J.
// Environ. Eng. 116 (1990) (recalled).
func angleForFlow(ratio float64) (theta float64, evaluations int, err error) {
	if !(ratio > 0 && ratio <= MaxFlowRatio) {
		return 0, 0, ErrRange
	}
	target := math.Log(2 * math.Pi * ratio)
	f := func(theta float64) (y, dy, ddy float64) {
		s, c := math.Sincos(theta / 2)
		a := segment(theta, s, c)
		da := 2 * s * s // derivative of theta - sin theta
		u, w := da/a, 1/theta
		y = float64(5*math.Log(a)-2*math.Log(theta))/3 - target
		dy = (float64(5*u) - float64(2*w)) / 3
		ddy = (float64(5*(float64(2*s*c)/a-float64(u*u))) + float64(2*w*w)) / 3
		return y, dy, ddy
	}
	return solve.Rising(f, 0, maxFlowAngle, flowAngleStart(ratio, target), 1e-5)
}
