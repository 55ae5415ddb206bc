package hydraulics

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// A PressureBudget is the arithmetic of the uniform-loss method of the code
// appendices: what is left for friction of the pressure in the street once the
// rise, the devices and the outlet have had theirs.
type PressureBudget struct {
	Street   units.Pressure `json:"street"`
	Rise     units.Length   `json:"rise"`   // of the outlet over the street, negative if under it
	Losses   []NamedLoss    `json:"losses"` // devices
	Required units.Pressure `json:"required"`
	Length   units.Length   `json:"length"` // of pipe with the equivalent lengths of its fittings
	Density  units.Density  `json:"density"`
}

// A NamedLoss is what something takes from the pressure.
type NamedLoss struct {
	Name string         `json:"name"`
	Loss units.Pressure `json:"loss"`
}

// A PressureLeft is the outcome of a [PressureBudget].
type PressureLeft struct {
	Static   units.Pressure `json:"static"`    // taken by the rise; negative where the outlet lies lower
	Losses   units.Pressure `json:"losses"`    // taken by the devices
	Left     units.Pressure `json:"left"`      // for friction; negative where there is not enough
	PerMetre units.Pressure `json:"per_metre"` // Left for each metre of the equivalent length
}

// Left works the budget out:
//
//	left = street - rho g rise - losses - required
//
// A negative answer is an answer: the street is too weak. All faults are
// reported together.
func (b PressureBudget) Left() (PressureLeft, error) {
	err := errors.Join(
		argument.Pressure.Check("street", float64(b.Street)),
		argument.Pressure.Check("required", float64(b.Required)),
		argument.PositiveLength.Check("length", b.Length.Metres()),
		argument.Density.Check("density", float64(b.Density)),
	)
	if !b.Rise.Valid() {
		err = errors.Join(err, argument.Refuse("rise", b.Rise.Metres(), "m", "within 1000 km"))
	}
	var out PressureLeft
	for i, l := range b.Losses {
		if e := argument.Pressure.Check("loss", float64(l.Loss)); e != nil {
			err = errors.Join(err, fmt.Errorf("loss %d %q: %w", i, l.Name, e))
		}
		out.Losses += l.Loss
	}
	if err != nil {
		return PressureLeft{}, err
	}
	out.Static = units.Pressure(b.Rise.Metres() * float64(b.Density) * units.StandardGravity)
	out.Left = b.Street - out.Static - out.Losses - b.Required
	out.PerMetre = out.Left / units.Pressure(b.Length.Metres())
	return out, nil
}

// streetExponent is the power of the flow by which a street falls off, as flow tests of
// hydrants are read: that of Hazen-Williams, rounded.
const streetExponent = 1.85

// streetFall is what a main loses at a share of the flow of its test, which took drop.
func streetFall(drop units.Pressure, share units.Flow) float64 {
	return float64(drop) * math.Pow(float64(share), streetExponent)
}

// StreetPressure returns the pressure of a main at a flow, from a test of it: static while
// nothing flows, and residual at the flow tested,
//
//	p = static - (static - residual) (flow / tested)^1.85
//
// static must not be under residual, and tested must be above zero. Beyond the flow tested the
// main is carried on by the same law, and may come out under zero: it does not give the flow.
//
// Source: practice of hydrant flow tests, NFPA 291 (recalled).
func StreetPressure(static, residual units.Pressure, tested, flow units.Flow) (units.Pressure, error) {
	err := errors.Join(
		argument.Pressure.Check("static", float64(static)),
		argument.Pressure.Check("residual", float64(residual)),
		argument.PositiveFlow.Check("tested", float64(tested)),
		argument.Flow.Check("flow", float64(flow)),
	)
	if err == nil && static < residual {
		err = argument.Refuse("static", float64(static), "Pa", "not under the residual pressure, "+
			argument.Text(float64(residual), "Pa"))
	}
	if err != nil {
		return 0, err
	}
	fall := streetFall(static-residual, flow/tested)
	return static - units.Pressure(fall), argument.CheckResult("pressure", fall)
}
