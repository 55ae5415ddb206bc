package gravity

import (
	"math"

	"github.com/trapweir/trapweir/internal/solve"
	"github.com/trapweir/trapweir/units"
)

// MaxFlowRatio is the greatest flow that runs free in a circular pipe with n
// constant with depth, over the flow of the full pipe: the maximum of
//
//	(theta - sin theta)^(5/3) / (2 pi theta^(2/3))
//
// where 3 theta - 5 theta cos theta + 2 sin theta = 0, at 0.93818 of the bore.
const MaxFlowRatio = 1.0757061294004648

// The angle of that maximum, and the second and third derivatives of the
// logarithm of the flow there.
const (
	maxFlowAngle  = 5.2781071379337955
	maxFlowSecond = -0.21545791375154617
	maxFlowThird  = 0.19055315246356895
)

// angleForFlow returns the central angle at which the flow is ratio times that
// of the full pipe, the smaller of two where there are two, and the number of
// evaluations used.
//
// It solves ln Q(theta) = ln ratio by Halley's method from a closed form within
// 2 % of the root.
//
//	Q/Q full = (theta - sin theta)^(5/3) / (2 pi theta^(2/3))
//
// Source: Manning's formula for a circular section.
func angleForFlow(ratio float64) (theta float64, evaluations int, err error) {
	if !(ratio > 0 && ratio <= MaxFlowRatio) {
		return 0, 0, units.ErrRange
	}
	target := math.Log(2 * math.Pi * ratio)
	start := flowAngleStart(ratio, target)
	if ratio > MaxFlowRatio*(1-1e-9) {
		// Here the flow hardly changes with depth, a step would be made of rounding
		// errors, and the series that starts the search is good to 1e-12.
		return start, 0, nil
	}
	return solve.Rising(segmentPower(target, 5.0/3, 2.0/3), 0, maxFlowAngle, start, 1e-5)
}

// flowAngleStart returns the central angle within 2 %, within 0.4 % under a ratio of
// 0.03, given the flow ratio and ln(2 pi ratio). Its three ranges only save steps; the
// answer does not depend on them.
//
// Source: shallow, the leading terms of the series of the flow in theta; middle,
// theta = 3 pi/2 sqrt(1 - sqrt(1 - sqrt(pi K))), K = Q n/(D^(8/3) S^(1/2)),
// Saatci, J. Environ. Eng. 116 (1990) (recalled); near the greatest flow, the
// series of ln Q about its maximum.
func flowAngleStart(ratio, target float64) float64 {
	switch {
	case ratio < 0.03:
		// 2 pi Q = theta^(13/3) / 6^(5/3) (1 - theta^2/20)^(5/3)
		const five3Ln6 = 5.0 / 3 * 1.791759469228055
		theta := math.Exp((target + five3Ln6) * 3 / 13)
		return theta * (1 + theta*theta/52)
	case ratio < 0.95:
		const piKFull = 0.9791887755499511 // pi K of the full pipe: pi^2 / 4^(5/3)
		x := math.Sqrt(piKFull * ratio)
		return 1.5 * math.Pi * math.Sqrt(x/(1+math.Sqrt(1-x)))
	}
	short := math.Log(2*math.Pi*MaxFlowRatio) - target
	u := math.Sqrt(max(0, 2*short/-maxFlowSecond))
	return maxFlowAngle - u + u*u*maxFlowThird/(6*-maxFlowSecond)
}
