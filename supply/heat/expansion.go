package heat

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// WaterExpansion returns by what share the volume of water grows as it is heated,
// rho(cold)/rho(hot) - 1, from [hydraulics.WaterAt]. Between 0 and 4 degC water shrinks and
// the share is negative.
func WaterExpansion(cold, hot units.Temperature) (float64, error) {
	c, e1 := hydraulics.WaterAt(cold)
	h, e2 := hydraulics.WaterAt(hot)
	if err := errors.Join(named("cold", e1), named("hot", e2)); err != nil {
		return 0, err
	}
	return float64(c.Density)/float64(h.Density) - 1, nil
}

// Expansion is the linear expansion of a pipe,
//
//	dL = alpha L dT
//
// with alpha the coefficient of linear expansion per kelvin. A negative change of
// temperature shortens the pipe. A pipe that is held fast does not move but pushes.
func Expansion(length units.Length, alpha float64, change units.TemperatureDifference) (units.Length, error) {
	sa := argument.Between(0, 1e-2, "1/K")
	err := errors.Join(
		argument.Length.Check("length", length.Metres()),
		sa.Check("alpha", alpha),
		argument.CheckFinite("temperature change", float64(change), "K"),
	)
	if err != nil {
		return 0, err
	}
	d := units.Metres(length.Metres() * alpha * float64(change))
	if !d.Valid() {
		return 0, argument.Refuse("temperature change", float64(change), "K", "small enough for the expansion to be a length")
	}
	return d, nil
}

// ExpansionLeg returns how long the leg of an offset must be that takes up a movement square
// to it by bending, so that the stress of bending stays at most as given:
//
//	L = sqrt(3 E D move / S)        the far end guided: its direction is held
//	L = sqrt(3 E D move / (2 S))    the far end free to turn
//
// with E the modulus of the pipe, D its outside diameter and S the stress. A leg between two
// runs is guided at both ends, which asks for the longer one. What the maker of the pipe
// prints comes first; plastics creep, and their makers print a constant instead.
//
// Source: the beam clamped at one end, small bending; the Copper Tube Handbook takes the
// guided form (from memory).
func ExpansionLeg(move, outside units.Length, modulus, stress units.Pressure, guided bool) (units.Length, error) {
	wall := argument.Above(0, 1e13, "Pa")
	err := errors.Join(
		argument.PositiveLength.Check("expansion", move.Metres()),
		argument.Bore.Check("diameter", outside.Metres()),
		wall.Check("modulus", float64(modulus)),
		wall.Check("stress", float64(stress)),
	)
	if err != nil {
		return 0, err
	}
	x := 3 * float64(modulus/stress) * outside.Metres() * move.Metres()
	if !guided {
		x /= 2
	}
	l := units.Metres(math.Sqrt(x))
	if !l.Valid() {
		return 0, argument.Refuse("stress", float64(stress), "Pa", "great enough for the leg to be a length")
	}
	return l, nil
}

// ExpansionVolume returns the water that a heated closed system of volume v must
// let out: the growth of the water less that of the vessel and pipes, whose
// linear expansion coefficient is alpha per kelvin (0 to leave it out),
//
//	dV = V ( rho(cold)/rho(hot) - 1 - 3 alpha (hot - cold) )
//
// A result under 0 lets nothing out. hot may not be below cold.
func ExpansionVolume(v units.Volume, cold, hot units.Temperature, alpha float64) (units.Volume, error) {
	sv, sa := argument.Between(0, 1e9, "m3"), argument.Between(0, 1e-2, "1/K")
	share, err := WaterExpansion(cold, hot)
	if err = errors.Join(err, sv.Check("volume", float64(v)), sa.Check("alpha", alpha)); err != nil {
		return 0, err
	}
	if hot < cold {
		return 0, argument.Refuse("hot", hot.Celsius(), "degC", "at least cold, "+argument.Text(cold.Celsius(), "degC"))
	}
	return units.Volume(float64(v) * (share - float64(3*alpha*float64(hot-cold)))), nil
}

// ExpansionTank returns the volume of a diaphragm tank that takes up expansion,
//
//	Vt = dV / (1 - Pf/Po)
//
// with the gauge pressures fill, to which the gas is charged, and highest, which
// must not be passed, both turned to absolute by adding atmosphere (101.325 kPa at
// sea level, and from 30 kPa, which is above every house, to 200). highest must be above fill.
//
// A storage heater behind a check valve, a regulator or a backflow preventer is a
// closed system: without a tank or a relief the pressure of the heated water opens
// the relief valve or breaks something.
//
// Source: the gas law of R. Boyle (1662) for the gas side of the tank.
func ExpansionTank(expansion units.Volume, fill, highest, atmosphere units.Pressure) (units.Volume, error) {
	sv, sa := argument.Between(0, 1e9, "m3"), argument.Between(3e4, 2e5, "Pa")
	err := errors.Join(
		sv.Check("expansion", float64(expansion)),
		argument.Pressure.Check("fill pressure", float64(fill)),
		argument.Pressure.Check("highest pressure", float64(highest)),
		sa.Check("atmosphere", float64(atmosphere)),
	)
	if err != nil {
		return 0, err
	}
	if highest <= fill {
		return 0, argument.Refuse("highest pressure", float64(highest), "Pa", "above the fill pressure, "+
			argument.Text(float64(fill), "Pa"))
	}
	v := float64(expansion) * float64(highest+atmosphere) / float64(highest-fill)
	return units.Volume(v), argument.CheckResult("tank volume", v)
}
