package gravity

import (
	"math"

	"github.com/trapweir/trapweir/internal/solve"
)

// sectionOf returns the section with a wetted area over the square of the bore,
// up to the depth of greatest flow.
func sectionOf(area float64) (Elements, error) {
	return sectionAt(math.Log(8*area), 1, 0)
}

// sectionOfTraction returns the section with a r^(1/6) = k, a = A/D2, r = R/D, up
// to the depth of greatest flow.
func sectionOfTraction(k float64) (Elements, error) {
	// a r^(1/6) = s^(7/6) theta^(-1/6) / (8 * 4^(1/6)), s = theta - sin theta
	return sectionAt(math.Log(k)+math.Log(8)+math.Log(4)/6, 7.0/6, 1.0/6)
}

// sectionAt solves p ln(theta - sin theta) - m ln theta = target for the angle.
func sectionAt(target, p, m float64) (Elements, error) {
	theta, _, err := angleForPower(target, p, m)
	if err != nil {
		return Elements{}, err
	}
	return elementsOfAngle(theta), nil
}

// angleForPower is sectionAt without the section, and the number of evaluations used.
func angleForPower(target, p, m float64) (theta float64, evaluations int, err error) {
	// The series theta - sin theta = theta^3/6 starts the search.
	start := math.Exp((target + float64(p*math.Log(6))) / (3*p - m))
	return solve.Rising(segmentPower(target, p, m), 0, maxFlowAngle, min(start, 4.5), 1e-6)
}

// segmentPower returns ln((theta - sin theta)^p / theta^m) less a target, with its
// derivatives: area, flow and tractive force are such powers of the angle.
func segmentPower(target, p, m float64) func(theta float64) (y, dy, ddy float64) {
	return func(theta float64) (y, dy, ddy float64) {
		s, c := math.Sincos(theta / 2)
		a := segment(theta, s, c)
		u, w := 2*s*s/a, 1/theta // 2 sin^2(theta/2) is the derivative of theta - sin theta
		y = float64(p*math.Log(a)) - float64(m*math.Log(theta)) - target
		dy = float64(p*u) - float64(m*w)
		ddy = float64(p*(float64(2*s*c)/a-float64(u*u))) + float64(m*w*w)
		return y, dy, ddy
	}
}
