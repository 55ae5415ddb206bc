package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// Velocity returns the mean velocity of flow q in a pipe of the given bore.
func Velocity(q units.Flow, bore units.Length) (units.Velocity, error) {
	d := bore.Metres()
	if err := errors.Join(argument.Flow.Check("flow", float64(q)), argument.Bore.Check("bore", d)); err != nil {
		return 0, err
	}
	return units.Velocity(float64(q) / (math.Pi / 4 * d * d)), nil
}

// FlowAtVelocity returns the flow that has mean velocity v in a pipe of the
// given bore.
func FlowAtVelocity(v units.Velocity, bore units.Length) (units.Flow, error) {
	d := bore.Metres()
	if err := errors.Join(argument.Velocity.Check("velocity", float64(v)), argument.Bore.Check("bore", d)); err != nil {
		return 0, err
	}
	return units.Flow(float64(v) * (math.Pi / 4 * d * d)), nil
}

// BoreForVelocity returns the bore in which flow q has mean velocity v: the
// least bore that keeps within a limit of v.
func BoreForVelocity(q units.Flow, v units.Velocity) (PipeBore, error) {
	err := errors.Join(argument.PositiveFlow.Check("flow", float64(q)),
		argument.PositiveVelocity.Check("velocity", float64(v)))
	if err != nil {
		return PipeBore{}, err
	}
	d := math.Sqrt(float64(q) / float64(v) * (4 / math.Pi))
	if err := argument.Bore.Check("bore", d); err != nil {
		return PipeBore{}, errors.Join(err, argument.NoSolution("bore for the velocity"))
	}
	return PipeBore{Bore: units.Metres(d), Metres: d, Velocity: v}, nil
}

// PressureOfHead returns the pressure under a column of water, with standard
// gravity (9.80665 m/s2). A head below a datum is negative.
func PressureOfHead(h units.Head, density units.Density) (units.Pressure, error) {
	if err := errors.Join(argument.CheckFinite("head", float64(h), "m"),
		argument.Density.Check("density", float64(density))); err != nil {
		return 0, err
	}
	p := float64(h) * float64(density) * units.StandardGravity
	return units.Pressure(p), argument.CheckResult("pressure", p)
}

// HeadOfPressure returns the height of a column of water that stands at gauge
// pressure p, with standard gravity.
func HeadOfPressure(p units.Pressure, density units.Density) (units.Head, error) {
	if err := errors.Join(argument.CheckFinite("pressure", float64(p), "Pa"),
		argument.Density.Check("density", float64(density))); err != nil {
		return 0, err
	}
	h := float64(p) / (float64(density) * units.StandardGravity)
	return units.Head(h), argument.CheckResult("head", h)
}

// PipeVolume returns what a length of pipe holds.
func PipeVolume(bore, length units.Length) (units.Volume, error) {
	d, l := bore.Metres(), length.Metres()
	if err := errors.Join(argument.Bore.Check("bore", d), argument.Length.Check("length", l)); err != nil {
		return 0, err
	}
	return units.Volume(math.Pi / 4 * d * d * l), nil
}

// PipeLengthForVolume returns the length of pipe that holds volume v: the longest
// run that keeps within a limit of volume.
func PipeLengthForVolume(bore units.Length, v units.Volume) (units.Length, error) {
	d := bore.Metres()
	s := argument.Between(0, 1e9, "m3")
	if err := errors.Join(argument.Bore.Check("bore", d), s.Check("volume", float64(v))); err != nil {
		return 0, err
	}
	l := units.Metres(float64(v) / (math.Pi / 4 * d * d))
	if !l.Valid() {
		return 0, argument.Refuse("volume", float64(v), "m3", "small enough for the length to be at most 1000 km")
	}
	return l, nil
}
