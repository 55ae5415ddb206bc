package heat

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// Surroundings say what the outside of a pipe gives its heat to.
type Surroundings uint8

const (
	// SurfaceAtAmbient holds the outer surface at the ambient temperature: the
	// greatest loss that the wall and the insulation let through.
	SurfaceAtAmbient Surroundings = iota
	// InAir passes the heat through a film of a given coefficient.
	InAir
	// Buried passes the heat through the ground to its surface.
	Buried
)

var surroundings = enum.Words[Surroundings]{What: "surroundings",
	Words: []string{"surface at ambient", "in air", "buried"}}

// String returns "surface at ambient", "in air" or "buried".
func (s Surroundings) String() string { return surroundings.String(s) }

// MarshalText returns the text of String.
func (s Surroundings) MarshalText() ([]byte, error) { return surroundings.Marshal(s) }

// UnmarshalText reads the text of String.
func (s *Surroundings) UnmarshalText(text []byte) error { return surroundings.Unmarshal(text, s) }

// A Pipe describes a pipe that loses heat, or gains it where the water is
// colder than what is around it. The water is at one temperature over the whole
// length and there is no film inside: next to the rest its resistance is nothing.
type Pipe struct {
	Bore         units.Length       `json:"bore"`
	Wall         units.Length       `json:"wall"` // thickness of the pipe wall
	Conductivity units.Conductivity `json:"conductivity"`
	Insulation   units.Length       `json:"insulation"` // thickness; 0 for a bare pipe
	// InsulationConductivity is needed where Insulation is not 0.
	InsulationConductivity units.Conductivity `json:"insulation_conductivity"`
	Length                 units.Length       `json:"length"`

	Surroundings Surroundings                  `json:"surroundings"`
	Film         units.HeatTransferCoefficient `json:"film"` // outer, [InAir]
	// Surface of the ground to the centre of the pipe, [Buried].
	BurialDepth      units.Length       `json:"burial_depth"`
	SoilConductivity units.Conductivity `json:"soil_conductivity"` // [Buried]
}

var (
	spanInsulation   = argument.Between(0, 10, "m")
	spanConductivity = argument.Above(0, 1e4, "W/(m K)")
	spanFilm         = argument.Above(0, 1e6, "W/(m2 K)")
	spanKelvin       = argument.Above(0, 5000, "K")
)

// Resistance returns the temperature difference that drives one watt out of a
// metre of pipe, in m K/W:
//
//	R = ln(r2/r1)/(2 pi k) + ln(r3/r2)/(2 pi ki) + outer
//
// for the wall and the insulation, with outer 0, 1/(2 pi r3 h) for a film of
// coefficient h, or acosh(2 z/D)/(2 pi ks) for a pipe of outer diameter D whose
// centre lies z under the surface of ground of conductivity ks. Depth counts from
// the surface to the centre and must be more than half the outer diameter.
//
// Source: conduction through cylinders, J. B. J. Fourier (1822); the shape factor
// of a cylinder in a half space as in any handbook of heat transfer.
func (p Pipe) Resistance() (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	r1 := p.Bore.Metres() / 2
	r2 := r1 + p.Wall.Metres()
	r3 := r2 + p.Insulation.Metres()
	r := math.Log(r2/r1) / float64(p.Conductivity)
	if p.Insulation > 0 {
		r += math.Log(r3/r2) / float64(p.InsulationConductivity)
	}
	switch p.Surroundings {
	case InAir:
		r += 1 / (r3 * float64(p.Film))
	case Buried:
		r += math.Acosh(p.BurialDepth.Metres()/r3) / float64(p.SoilConductivity)
	}
	return r / (2 * math.Pi), argument.CheckResult("thermal resistance", r)
}

// PerLength returns the heat that a metre of the pipe loses with the water at one
// temperature and the surroundings, or the surface of the ground, at another. It
// is negative where the water takes heat up.
func (p Pipe) PerLength(water, ambient units.Temperature) (units.HeatFlowPerLength, error) {
	r, err := p.Resistance()
	err = errors.Join(err, spanKelvin.Check("water", float64(water)), spanKelvin.Check("ambient", float64(ambient)))
	if err != nil {
		return 0, err
	}
	return units.HeatFlowPerLength(float64(water-ambient) / r), nil
}

// Total returns what the whole length loses: [Pipe.PerLength] times Length.
func (p Pipe) Total(water, ambient units.Temperature) (units.Power, error) {
	w, err := p.PerLength(water, ambient)
	if err = errors.Join(err, argument.Length.Check("length", p.Length.Metres())); err != nil {
		return 0, err
	}
	return units.Power(float64(w) * p.Length.Metres()), nil
}

func (p Pipe) check() error {
	err := errors.Join(
		argument.Bore.Check("bore", p.Bore.Metres()),
		argument.Wall.Check("wall", p.Wall.Metres()),
		spanConductivity.Check("conductivity", float64(p.Conductivity)),
		spanInsulation.Check("insulation thickness", p.Insulation.Metres()),
	)
	if p.Insulation > 0 {
		err = errors.Join(err, spanConductivity.Check("insulation conductivity", float64(p.InsulationConductivity)))
	}
	switch p.Surroundings {
	case SurfaceAtAmbient:
	case InAir:
		err = errors.Join(err, spanFilm.Check("film", float64(p.Film)))
	case Buried:
		half := p.Bore.Metres()/2 + p.Wall.Metres() + p.Insulation.Metres()
		deep := argument.Above(half, argument.Length.High, "m")
		err = errors.Join(err, deep.Check("burial depth", p.BurialDepth.Metres()),
			spanConductivity.Check("soil conductivity", float64(p.SoilConductivity)))
	default:
		err = errors.Join(err, fmt.Errorf("surroundings %d: %w", p.Surroundings, units.ErrRange))
	}
	return err
}

// CriticalRadius returns the outer radius at which insulation of conductivity k
// under a film of coefficient h lets most heat through: k/h. Insulation on a pipe
// of smaller radius raises the loss until it is passed.
//
// Source: the derivative of the resistance of [Pipe.Resistance].
func CriticalRadius(k units.Conductivity, h units.HeatTransferCoefficient) (units.Length, error) {
	if err := errors.Join(spanConductivity.Check("conductivity", float64(k)),
		spanFilm.Check("film", float64(h))); err != nil {
		return 0, err
	}
	return units.Metres(float64(k) / float64(h)), nil
}

// CoolingTime returns how long water that stands in the pipe takes to cool from
// one temperature to another,
//
//	t = rho cp A R ln( (from - ambient)/(to - ambient) )
//
// with the resistance R of [Pipe.Resistance] and the heat held by the water
// alone, at its density and specific heat at from: heat held by the wall and the
// insulation makes it longer. to must lie between from and ambient.
//
// Source: the heat balance of a well-mixed length of pipe.
func (p Pipe) CoolingTime(from, to, ambient units.Temperature) (units.Duration, error) {
	r, err := p.Resistance()
	w, werr := hydraulics.WaterAt(from)
	err = errors.Join(err, named("from", werr), spanKelvin.Check("ambient", float64(ambient)))
	if err != nil {
		return 0, err
	}
	ratio := float64(from-ambient) / float64(to-ambient)
	if !(ratio >= 1 && ratio <= math.MaxFloat64) {
		return 0, argument.Refuse("to", float64(to), "K",
			fmt.Sprintf("from %.6g K on towards, and short of, the ambient %.6g K", float64(from), float64(ambient)))
	}
	area := math.Pi / 4 * p.Bore.Metres() * p.Bore.Metres()
	return units.Duration(float64(w.Density) * float64(w.SpecificHeat) * area * r * math.Log(ratio)), nil
}

// named says which argument an error is about.
func named(argument string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", argument, err)
}
