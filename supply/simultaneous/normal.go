package simultaneous

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// HunterNumber returns the mean number of fixtures in use, the sum of n p. It
// tells how far the normal approximations hold.
func HunterNumber(groups []Group) (float64, error) {
	if err := checkGroups(groups); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, g := range groups {
		sum += float64(float64(g.Count) * g.Probability)
	}
	return sum, nil
}

// NormalFlow returns Wistort's approximation to the flow that is not exceeded
// with the given confidence,
//
//	Q = Σ n p q + z √( Σ n p (1-p) q² )
//
// where z is the normal quantile of the confidence, 2.326 at 99 %. It is
// beside the exact [Flow], not instead of it.
//
// Valid: a confidence of 0.5 and more, under 1; about [HunterNumber] 5 and more; under that it can be far off. It may
// be
// more than all fixtures together draw.
//
// Source: R. Wistort, A New Look at Determining Water Demands in Buildings, ASPE
// convention (1994), as recalled.
func NormalFlow(groups []Group, confidence float64) (units.Flow, error) {
	z, err := normalQuantile(groups, confidence)
	if err != nil {
		return 0, err
	}
	mean, variance, _ := moments(groups)
	return units.Flow(mean + float64(z*math.Sqrt(variance))), nil
}

// NormalFlowInUse is [NormalFlow] given that at least one fixture is in use,
//
//	Q = ( M + (1+P0) z √( (1-P0) S - P0 M² ) ) / (1-P0)
//
// with M the mean, S the variance of the flow and P0 the probability that nothing
// flows. Where nothing is ever in use the error matches [units.ErrNoSolution].
//
// Valid: about [HunterNumber] 1.25 to 5.
//
// Source: S. Buchberger and others, Peak Water Demand Study (2017), as recalled.
func NormalFlowInUse(groups []Group, confidence float64) (units.Flow, error) {
	z, err := normalQuantile(groups, confidence)
	if err != nil {
		return 0, err
	}
	mean, variance, none := moments(groups)
	p0, some := math.Exp(none), -math.Expm1(none)
	if some == 0 {
		return 0, argument.NoSolution("demand in use: nothing is ever in use")
	}
	// A variance, times (1-P0)²: negative by rounding only.
	r := max(0, float64(some*variance)-float64(p0*mean*mean))
	return units.Flow((mean + float64((1+p0)*z*math.Sqrt(r))) / some), nil
}

// normalQuantile checks the arguments and returns the z of the confidence.
func normalQuantile(groups []Group, confidence float64) (float64, error) {
	s := argument.Between(0.5, 1-1e-15, "") // under a half z is negative, and soon the flow
	if err := errors.Join(checkGroups(groups), s.Check("confidence", confidence)); err != nil {
		return 0, err
	}
	return -math.Sqrt2 * math.Erfcinv(2*confidence), nil
}

func checkGroups(groups []Group) error {
	if len(groups) == 0 {
		return fmt.Errorf("groups: there are none: %w", units.ErrRange)
	}
	var list []error
	for i, g := range groups {
		if err := g.check(); err != nil {
			list = append(list, fmt.Errorf("group %d: %w", i, err))
		}
	}
	return errors.Join(list...)
}
