package heat

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

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
	Flow       units.Flow             `json:"flow"`
	Resistance *hydraulics.Resistance `json:"-"`
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
	return faults.Result(total, errors.Join(list...))
}
