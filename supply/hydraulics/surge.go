package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// A SurgePipe describes a pipe in which a pressure wave runs.
type SurgePipe struct {
	Bore    units.Length   `json:"bore"`
	Wall    units.Length   `json:"wall"`
	Modulus units.Pressure `json:"modulus"` // Young's modulus of the wall
	// 0 to 2: 1 free to lengthen, 0 a rigid wall, 1 - nu² held along its length.
	Restraint   float64        `json:"restraint"`
	BulkModulus units.Pressure `json:"bulk_modulus"` // of the water; [Water] has it
	Density     units.Density  `json:"density"`      // of the water
}

// WaveSpeed returns the speed of a pressure wave,
//
//	a² = (K/rho) / (1 + K D c/(E e))
//
// with bulk modulus K and density rho of the water, bore D, wall thickness e and
// modulus E of the pipe, and c its restraint. A little air in the water makes it
// much less.
//
// Source: D. J. Korteweg (1878), N. Joukowsky (1898).
func (p SurgePipe) WaveSpeed() (units.Velocity, error) {
	sr, sm := argument.Between(0, 2, ""), argument.Above(0, 1e13, "Pa")
	err := errors.Join(
		argument.Bore.Check("bore", p.Bore.Metres()),
		argument.Wall.Check("wall", p.Wall.Metres()),
		sm.Check("modulus", float64(p.Modulus)),
		sr.Check("restraint", p.Restraint),
		sm.Check("bulk modulus", float64(p.BulkModulus)),
		argument.Density.Check("density", float64(p.Density)),
	)
	if err != nil {
		return 0, err
	}
	k := float64(p.BulkModulus)
	give := float64(k / float64(p.Modulus) * (p.Bore.Metres() / p.Wall.Metres()) * p.Restraint)
	a := math.Sqrt(k / float64(p.Density) / (1 + give))
	if err := argument.WaveSpeed.Check("wave speed", a); err != nil {
		return 0, err
	}
	return units.Velocity(a), nil
}

// PressureRise returns the pressure that a sudden change of velocity adds,
//
//	dp = rho a dV
//
// Sudden is a closure within [SurgePipe.CriticalTime]. Add it to the pressure that
// stood before. A water hammer arrester is chosen by the standard it is listed to
// and by its maker; this is not that choice.
//
// Source: N. Joukowsky (1898).
func (p SurgePipe) PressureRise(change units.Velocity) (units.Pressure, error) {
	a, err := p.WaveSpeed()
	if err = errors.Join(err, argument.Velocity.Check("velocity change", float64(change))); err != nil {
		return 0, err
	}
	return units.Pressure(float64(p.Density) * float64(a) * float64(change)), nil
}

// CriticalTime returns the time in which a wave runs the length of the pipe and
// back, 2 L/a. A valve that closes within it causes the whole [SurgePipe.PressureRise].
func (p SurgePipe) CriticalTime(length units.Length) (units.Duration, error) {
	a, err := p.WaveSpeed()
	if err = errors.Join(err, argument.PositiveLength.Check("length", length.Metres())); err != nil {
		return 0, err
	}
	return units.Duration(2 * length.Metres() / float64(a)), nil
}

// SlowPressureRise returns the pressure that a closure in time closing adds: that of
// [SurgePipe.PressureRise] up to the critical time, and beyond it less in the ratio
// of the critical time to the closing time,
//
//	dp = rho a dV (2 L/a)/t
//
// a common rule for a valve that slows the water evenly; valves do not, so the
// real figure lies above it.
//
// Source: common practice, after L. Allievi and E. B. Strowger.
func (p SurgePipe) SlowPressureRise(change units.Velocity, length units.Length,
	closing units.Duration) (units.Pressure, error) {
	full, e1 := p.PressureRise(change)
	critical, e2 := p.CriticalTime(length)
	s := argument.Between(0, 1e9, "s")
	if err := errors.Join(e1, e2, s.Check("closing time", float64(closing))); err != nil {
		return 0, err
	}
	if closing <= critical {
		return full, nil
	}
	return units.Pressure(float64(full) * float64(critical) / float64(closing)), nil
}
