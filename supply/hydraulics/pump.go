package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// PumpPower returns the power at the shaft of a pump,
//
//	P = rho g Q H / efficiency
//
// with the efficiency of the pump above 0 and at most 1; 1 gives the power that the
// water takes up.
func PumpPower(q units.Flow, head units.Head, efficiency float64, density units.Density) (units.Power, error) {
	share := argument.Above(0, 1, "")
	err := errors.Join(argument.Flow.Check("flow", float64(q)), argument.PositiveHead.Check("head", float64(head)),
		share.Check("efficiency", efficiency), argument.Density.Check("density", float64(density)))
	if err != nil {
		return 0, err
	}
	p := float64(density) * units.StandardGravity * float64(q) * float64(head) / efficiency
	return units.Power(p), argument.CheckResult("power", p)
}

// A MainTest is a flow test of a main: its pressure with nothing drawn, and its
// pressure while a flow is drawn.
type MainTest struct {
	Static   units.Pressure `json:"static"`
	Residual units.Pressure `json:"residual"`
	At       units.Flow     `json:"at"` // drawn while Residual was read
}

// Pressure returns what is left in the main while the flow wanted is drawn,
//
//	P = static - (static - residual) (wanted/at)^1.85
//
// A flow that would leave less than nothing is refused; the error names the greatest.
// [StreetPressure] carries the law on.
//
// Source: practice, the N^1.85 paper on which hydrant flow tests are drawn.
func (t MainTest) Pressure(wanted units.Flow) (units.Pressure, error) {
	err := errors.Join(
		argument.PositivePressure.Check("static", float64(t.Static)),
		argument.Pressure.Check("residual", float64(t.Residual)),
		argument.PositiveFlow.Check("at", float64(t.At)),
		argument.Flow.Check("wanted", float64(wanted)),
	)
	if err == nil && t.Residual > t.Static {
		err = argument.Refuse("residual", float64(t.Residual), "Pa", "at most the static pressure, "+
			argument.Text(float64(t.Static), "Pa"))
	}
	if err != nil {
		return 0, err
	}
	drop := t.Static - t.Residual
	left := float64(t.Static) - streetFall(drop, wanted/t.At)
	if left < 0 {
		most := float64(t.At) * math.Pow(float64(t.Static/drop), 1/streetExponent)
		return 0, argument.Outside("wanted", argument.Litres(wanted), "at most "+argument.Litres(units.Flow(most))+
			", the flow that leaves no pressure")
	}
	return units.Pressure(left), nil
}
