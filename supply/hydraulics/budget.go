package hydraulics

import (
	"errors"
	"fmt"

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
