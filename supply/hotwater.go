package supply

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// WaitTime returns how long an outlet of flow q runs before it has drawn off
// volume v: the wait for hot water that the volume of the pipe stands for. The
// first hot water mixes with the cold and warms the pipe, so the real wait is
// longer, by half again or more in common practice.
func WaitTime(v units.Volume, q units.Flow) (units.Duration, error) {
	s := argument.Between(0, 1e9, "m3")
	if err := errors.Join(s.Check("volume", float64(v)), argument.PositiveFlow.Check("flow", float64(q))); err != nil {
		return 0, err
	}
	t := float64(v) / float64(q)
	return units.Duration(t), argument.CheckResult("time", t)
}

// RecirculationFlow returns the flow that carries a heat loss with a fall of
// temperature of drop,
//
//	q = heat / (rho cp drop)
//
// with density and specific heat of w, the water that circulates.
//
// Source: heat balance.
func RecirculationFlow(heat units.Power, drop units.TemperatureDifference, w hydraulics.Water) (units.Flow, error) {
	sh, sd, sc := argument.Between(0, 1e12, "W"), argument.Above(0, 100, "K"), argument.Above(0, 1e5, "J/(kg K)")
	err := errors.Join(
		sh.Check("heat loss", float64(heat)),
		sd.Check("drop", float64(drop)),
		argument.Density.Check("density", float64(w.Density)),
		sc.Check("specific heat", float64(w.SpecificHeat)),
	)
	if err != nil {
		return 0, err
	}
	q := float64(heat) / (float64(w.Density) * float64(w.SpecificHeat) * float64(drop))
	if err := argument.Flow.Check("flow", q); err != nil {
		return 0, err
	}
	return units.Flow(q), nil
}

// A CirculationPart is a part of a circulation loop: a pipe and what flows in it.
type CirculationPart struct {
	Flow       units.Flow
	Resistance *hydraulics.Resistance
}

// CirculationHead returns the head that the pump of a circulation loop must give:
// the losses of its parts, out and back, added. Height does not count, since the
// water comes back to where it started.
func CirculationHead(loop []CirculationPart) (units.Head, error) {
	var total units.Head
	var list []error
	for i, part := range loop {
		if part.Resistance == nil || *part.Resistance == (hydraulics.Resistance{}) {
			list = append(list, fmt.Errorf("part %d: resistance is not prepared: %w", i, units.ErrRange))
			continue
		}
		h, err := part.Resistance.HeadLoss(part.Flow)
		if err != nil {
			list = append(list, fmt.Errorf("part %d: %w", i, err))
		}
		total += h
	}
	if err := errors.Join(list...); err != nil {
		return 0, err
	}
	return total, nil
}

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
