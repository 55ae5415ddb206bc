package hydraulics

import (
	"math"
	"sync"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// Water is the state of liquid water at one temperature and one atmosphere.
// [WaterAt] makes one. The fields may be set by hand where a source fixes its own
// density or viscosity; a function names those it needs and finds missing.
type Water struct {
	Temperature        units.Temperature        `json:"temperature"`
	Density            units.Density            `json:"density"`
	Viscosity          units.DynamicViscosity   `json:"viscosity"`
	KinematicViscosity units.KinematicViscosity `json:"kinematic_viscosity"`
	VapourPressure     units.Pressure           `json:"vapour_pressure"` // absolute
	SpecificHeat       units.SpecificHeat       `json:"specific_heat"`
	Conductivity       units.Conductivity       `json:"conductivity"`
	SoundSpeed         units.Velocity           `json:"sound_speed"`
	// Adiabatic: density times the square of the speed of sound.
	BulkModulus units.Pressure `json:"bulk_modulus"`
	Notes       Notes          `json:"notes"`
}

// WaterAt returns the properties of liquid water at temperature t and 101.325 kPa.
//
// Valid: 0 to 100 degC (273.15 to 373.15 K); outside, the error matches
// [units.ErrRange]. Against the scientific formulation IAPWS-95 with the viscosity
// release R12-08 and the conductivity release R15-11, on every whole degree:
// density within 1e-7, viscosity and specific heat within 4e-5, conductivity
// within 4e-5, speed of sound within 5e-6 and vapour pressure within 8e-5, all
// relative. Pressures in buildings change none of them by more than the fourth
// digit.
//
// Source: IAPWS SR6-08 (2011), liquid water at 0.1 MPa, density carried from
// there to 101.325 kPa by its own pressure derivative; vapour pressure IAPWS
// R7-97 (2012), equation 30. The coefficients are in the tables water/liquid and
// water/saturation.
func WaterAt(t units.Temperature) (Water, error) {
	k := argument.RoundToEnd(float64(t), argument.Water.Low, argument.Water.High)
	if err := argument.CheckWater(k); err != nil {
		return Water{}, err
	}
	model, err := waterModel()
	if err != nil {
		return Water{}, err
	}
	return model.at(k), nil
}

// waterModel holds the coefficients, read when first needed.
var waterModel = sync.OnceValues(loadWater)

// atmosphere is the pressure that WaterAt refers to, in Pa.
const atmosphere = 101_325.0

// A power is a term coefficient · x^exponent.
type power struct{ exponent, coefficient float64 }

// An integral is a term coefficient · x^exponent with a whole exponent.
type integral struct {
	exponent    int
	coefficient float64
}

type liquidModel struct {
	gasConstant float64 // J/(kg K)
	pressure    float64 // Pa, reference pressure of the equations
	reducing    float64 // K
	alphaPole   float64 // K
	betaPole    float64 // K
	transport   float64 // K, reducing temperature of viscosity and conductivity

	gibbsAlpha, gibbsBeta       []integral
	gibbsLog                    float64 // factor of tau ln tau
	volume0                     float64
	volumeAlpha, volumeBeta     []integral
	pressureAlpha, pressureBeta []integral
	viscosity, conductivity     []power
	saturation                  [10]float64
}

func (m *liquidModel) at(t float64) Water {
	tau := t / m.reducing
	alpha := m.reducing / (m.alphaPole - t)
	beta := m.reducing / (t - m.betaPole)
	rt := m.gasConstant * m.reducing / m.pressure

	v0 := float64(rt * (m.volume0 + sum(m.volumeAlpha, alpha, 0) + sum(m.volumeBeta, beta, 0)))
	vp := float64(rt / m.pressure * (sum(m.pressureAlpha, alpha, 0) + sum(m.pressureBeta, beta, 0))) // dv/dp
	vt := m.gasConstant / m.pressure * (sum(m.volumeAlpha, alpha, 1) - sum(m.volumeBeta, beta, 1))
	cp := -m.gasConstant * (m.gibbsLog + float64(tau*(sum(m.gibbsAlpha, alpha, 2)+sum(m.gibbsBeta, beta, 2))))
	// Speed of sound from the volume and its derivatives at the reference pressure.
	w := v0 / math.Sqrt(-vp-t*vt*vt/cp)
	v := v0 + float64(vp*(atmosphere-m.pressure))

	out := Water{
		Temperature:    units.Temperature(t),
		Density:        units.Density(1 / v),
		Viscosity:      units.DynamicViscosity(1e-6 * powers(m.viscosity, t/m.transport)),
		VapourPressure: units.Pressure(m.saturationPressure(t)),
		SpecificHeat:   units.SpecificHeat(cp),
		Conductivity:   units.Conductivity(powers(m.conductivity, t/m.transport)),
		SoundSpeed:     units.Velocity(w),
	}
	out.KinematicViscosity = units.KinematicViscosity(float64(out.Viscosity) * v)
	out.BulkModulus = units.Pressure(w * w / v)
	if float64(out.VapourPressure) >= atmosphere {
		out.Notes |= NoteBoiling
	}
	return out
}

// sum returns the sum of terms c x^n, or of the terms that their derivatives by
// temperature lead to: n c x^(n+1) for order 1, n(n+1) c x^(n+2) for order 2.
func sum(terms []integral, x float64, order int) float64 {
	total := 0.0
	for _, t := range terms {
		c := t.coefficient
		for k := range order {
			c *= float64(t.exponent + k)
		}
		for range t.exponent + order {
			c *= x
		}
		total += c
	}
	return total
}

func powers(terms []power, x float64) float64 {
	total, ln := 0.0, math.Log(x)
	for _, t := range terms {
		total += float64(t.coefficient * math.Exp(t.exponent*ln))
	}
	return total
}

// saturationPressure returns the vapour pressure in Pa.
func (m *liquidModel) saturationPressure(t float64) float64 {
	n := &m.saturation
	theta := t + n[8]/(t-n[9])
	a := float64(theta*theta) + float64(n[0]*theta) + n[1]
	b := float64(n[2]*theta*theta) + float64(n[3]*theta) + n[4]
	c := float64(n[5]*theta*theta) + float64(n[6]*theta) + n[7]
	r := 2 * c / (math.Sqrt(float64(b*b)-float64(4*a*c)) - b)
	return 1e6 * r * r * r * r
}
