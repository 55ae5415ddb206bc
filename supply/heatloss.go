package supply

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
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

// A HeatLoss describes a pipe that loses heat, or gains it where the water is
// colder than what is around it. The water is at one temperature over the whole
// length and there is no film inside: next to the rest its resistance is nothing.
type HeatLoss struct {
	Bore         units.Length
	Wall         units.Length // thickness of the pipe wall
	Conductivity units.Conductivity
	Insulation   units.Length // thickness; 0 for a bare pipe
	// InsulationConductivity is needed where Insulation is not 0.
	InsulationConductivity units.Conductivity
	Length                 units.Length

	Surroundings     Surroundings
	Film             units.HeatTransferCoefficient // outer, [InAir]
	BurialDepth      units.Length                  // surface of the ground to the centre of the pipe, [Buried]
	SoilConductivity units.Conductivity            // [Buried]
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
func (p HeatLoss) Resistance() (float64, error) {
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
func (p HeatLoss) PerLength(water, ambient units.Temperature) (units.HeatFlowPerLength, error) {
	r, err := p.Resistance()
	err = errors.Join(err, spanKelvin.Check("water", float64(water)), spanKelvin.Check("ambient", float64(ambient)))
	if err != nil {
		return 0, err
	}
	return units.HeatFlowPerLength(float64(water-ambient) / r), nil
}

// Total returns what the whole length loses: [HeatLoss.PerLength] times Length.
func (p HeatLoss) Total(water, ambient units.Temperature) (units.Power, error) {
	w, err := p.PerLength(water, ambient)
	if err = errors.Join(err, argument.Length.Check("length", p.Length.Metres())); err != nil {
		return 0, err
	}
	return units.Power(float64(w) * p.Length.Metres()), nil
}

func (p HeatLoss) check() error {
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
// Source: the derivative of the resistance of [HeatLoss.Resistance].
func CriticalRadius(k units.Conductivity, h units.HeatTransferCoefficient) (units.Length, error) {
	if err := errors.Join(spanConductivity.Check("conductivity", float64(k)), spanFilm.Check("film", float64(h))); err != nil {
		return 0, err
	}
	return units.Metres(float64(k) / float64(h)), nil
}

// CoolingTime returns how long water that stands in the pipe takes to cool from
// one temperature to another,
//
//	t = rho cp A R ln( (from - ambient)/(to - ambient) )
//
// with the resistance R of [HeatLoss.Resistance] and the heat held by the water
// alone, at its density and specific heat at from: heat held by the wall and the
// insulation makes it longer. to must lie between from and ambient.
//
// Source: the heat balance of a well-mixed length of pipe.
func (p HeatLoss) CoolingTime(from, to, ambient units.Temperature) (units.Duration, error) {
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

// An InsulationCase compares a pipe bare and insulated between two draws of hot
// water.
type InsulationCase struct {
	Bare, Insulated units.Duration // until the standing water is no longer usable
	// Verdict says whether insulation changes what the next draw finds.
	Verdict InsulationVerdict
	// Saved is the heat kept in the pipe while hot water runs or circulates
	// through it.
	Saved units.Power
}

// An InsulationVerdict says what insulation does for a pipe that is drawn from at
// intervals.
type InsulationVerdict uint8

const (
	// HotEitherWay: bare or insulated, the next draw finds usable water; what is
	// saved is heat.
	HotEitherWay InsulationVerdict = iota + 1
	// InsulationKeepsHot: the next draw finds usable water only if insulated.
	InsulationKeepsHot
	// PurgedEitherWay: bare or insulated, the water has cooled before the next
	// draw and is run off: insulation saves neither the wait nor the water.
	PurgedEitherWay
	// BareKeepsHot: the next draw finds usable water only if bare. Insulation under the
	// [CriticalRadius] lets more heat through than none.
	BareKeepsHot
)

// String says in a few words what the verdict means.
func (v InsulationVerdict) String() string {
	switch v {
	case HotEitherWay:
		return "usable at the next draw, bare or insulated"
	case InsulationKeepsHot:
		return "usable at the next draw only if insulated"
	case PurgedEitherWay:
		return "cold at the next draw, bare or insulated: the pipe is purged either way"
	case BareKeepsHot:
		return "usable at the next draw only if bare: so little insulation cools the pipe"
	}
	return "no verdict"
}

// CompareInsulation tells when insulation pays on a pipe that holds water of
// temperature hot after a draw and is drawn from again after interval, where
// water under usable is run off. p describes the insulated pipe.
func (p HeatLoss) CompareInsulation(hot, usable, ambient units.Temperature, interval units.Duration) (InsulationCase, error) {
	bare := p
	bare.Insulation = 0
	var c InsulationCase
	var e1, e2, e3, e4 error
	c.Insulated, e1 = p.CoolingTime(hot, usable, ambient)
	if e1 != nil {
		return InsulationCase{}, e1
	}
	c.Bare, e2 = bare.CoolingTime(hot, usable, ambient)
	kept, e3 := p.Total(hot, ambient)
	lost, e4 := bare.Total(hot, ambient)
	s := argument.Between(0, 1e9, "s")
	if err := errors.Join(e2, e3, e4, s.Check("interval", float64(interval))); err != nil {
		return InsulationCase{}, err
	}
	c.Saved = lost - kept
	switch {
	case c.Bare >= interval && c.Insulated >= interval:
		c.Verdict = HotEitherWay
	case c.Insulated >= interval:
		c.Verdict = InsulationKeepsHot
	case c.Bare >= interval:
		c.Verdict = BareKeepsHot
	default:
		c.Verdict = PurgedEitherWay
	}
	return c, nil
}
