package heat

import (
	"errors"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// HotFraction returns the share of hot water in a mix of hot and cold,
//
//	x = (mixed - cold) / (hot - cold)
//
// hot must be above cold, and mixed from cold to hot. Density and specific heat
// are taken as equal, which is within 2 % for plumbing.
//
// Source: heat balance.
func HotFraction(hot, cold, mixed units.Temperature) (float64, error) {
	if err := checkMix(hot, cold); err != nil {
		return 0, errors.Join(err, spanKelvin.Check("mixed", float64(mixed)))
	}
	s := argument.Between(float64(cold), float64(hot), "K")
	m := argument.RoundToEnd(float64(mixed), s.Low, s.High)
	if err := s.Check("mixed", m); err != nil {
		return 0, err
	}
	return (m - float64(cold)) / float64(hot-cold), nil
}

// MixedTemperature returns the temperature of a mix in which fraction, 0 to 1, is
// hot water: the inverse of [HotFraction].
func MixedTemperature(hot, cold units.Temperature, fraction float64) (units.Temperature, error) {
	if err := errors.Join(checkMix(hot, cold), argument.Probability.Check("hot fraction", fraction)); err != nil {
		return 0, err
	}
	return cold + units.Temperature(fraction*float64(hot-cold)), nil
}

func checkMix(hot, cold units.Temperature) error {
	if err := errors.Join(spanKelvin.Check("hot", float64(hot)), spanKelvin.Check("cold", float64(cold))); err != nil {
		return err
	}
	if hot <= cold {
		return argument.Refuse("hot", float64(hot), "K", "above cold, "+argument.Text(float64(cold), "K"))
	}
	return nil
}
