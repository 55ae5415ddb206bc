package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
)

// Limits of the flow regimes as this package takes them. Below the first the
// flow is laminar, from the second on it is turbulent and Colebrook holds.
const (
	laminarReynolds   = 2000
	turbulentReynolds = 4000
)

// twoByLn10 turns -2 log10 into natural logarithms.
const twoByLn10 = 2 / math.Ln10

// Colebrook returns the Darcy friction factor (four times the Fanning factor) of
// turbulent flow,
//
//	1/√f = -2 log10( (ε/d)/3.7 + 2.51/(Re √f) )
//
// solved to machine precision. re is the Reynolds number, relative the roughness
// ε over the bore d.
//
// Valid: re from 2000 (in use from 4000; below it see [FrictionFactor]), relative
// roughness from 0, hydraulically smooth, to 0.05.
//
// Source: C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133.
func Colebrook(re, relative float64) (float64, error) {
	if err := checkTurbulent(re, relative); err != nil {
		return 0, err
	}
	x := colebrook(re, relative)
	return 1 / (x * x), nil
}

func checkTurbulent(re, relative float64) error {
	s := argument.Between(laminarReynolds, argument.Reynolds.High, "")
	return errors.Join(s.Check("Reynolds number", re), argument.RelativeRough.Check("relative roughness", relative))
}

// colebrook returns 1/√f. With a = (ε/d)/3.7 and b = 2.51/Re it is the root of
// the increasing concave function x + 2 log10(a + b x).
func colebrook(re, relative float64) float64 {
	a, b := relative/3.7, 2.51/re
	// One round of the fixed-point form from a middling x errs by under 0.6
	// over the whole range; each Halley step then cubes the error.
	x := -twoByLn10 * math.Log(a+float64(7*b))
	for range 2 {
		u := a + float64(x*b)
		g := twoByLn10 * b / u // slope of the logarithm
		f := x + float64(twoByLn10*math.Log(u))
		d := 1 + g
		// Second derivative -g b/u.
		x -= 2 * f * d / (float64(2*d*d) + float64(f*g*b/u))
	}
	return x
}

// SwameeJain returns the explicit approximation of Swamee and Jain to the Darcy
// friction factor of [Colebrook],
//
//	f = 0.25 / log10( (ε/d)/3.7 + 5.74/Re^0.9 )²
//
// Valid: re 5000 to 1e8, relative roughness 1e-6 to 0.01, where it lies within
// about 1 % of Colebrook (up to 3 % at the corners); accepted on the range of
// [Colebrook].
//
// Source: P. K. Swamee and A. K. Jain, J. Hydraulics Division ASCE 102 (1976) 657.
func SwameeJain(re, relative float64) (float64, error) {
	if err := checkTurbulent(re, relative); err != nil {
		return 0, err
	}
	x := -twoByLn10 * math.Log(relative/3.7+float64(5.74*math.Exp(-0.9*math.Log(re))))
	return 1 / (x * x), nil
}

// Haaland returns the explicit approximation of Haaland to the Darcy friction
// factor of [Colebrook],
//
//	1/√f = -1.8 log10( ((ε/d)/3.7)^1.11 + 6.9/Re )
//
// Valid: re 4000 to 1e8, relative roughness 1e-6 to 0.05, where it lies within
// about 1.5 % of Colebrook; accepted on the range of [Colebrook].
//
// Source: S. E. Haaland, J. Fluids Engineering 105 (1983) 89.
func Haaland(re, relative float64) (float64, error) {
	if err := checkTurbulent(re, relative); err != nil {
		return 0, err
	}
	x := -1.8 * math.Log10(math.Pow(relative/3.7, 1.11)+6.9/re)
	return 1 / (x * x), nil
}

// FrictionFactor returns the Darcy friction factor (four times the Fanning
// factor) at any Reynolds number: 64/Re up to 2000, [Colebrook] from 4000, and
// between them linear in the Reynolds number, which joins the two without a jump
// but is not firm: there the flow itself switches to and fro. The notes say
// which of the three it was.
//
// Source: laminar G. Hagen (1839) and J. L. M. Poiseuille (1840); turbulent
// [Colebrook]; the limits 2000 and 4000 are common practice.
func FrictionFactor(re, relative float64) (float64, Notes, error) {
	if err := errors.Join(argument.Reynolds.Check("Reynolds number", re),
		argument.RelativeRough.Check("relative roughness", relative)); err != nil {
		return 0, 0, err
	}
	switch {
	case re <= laminarReynolds:
		return 64 / re, NoteLaminar, nil
	case re < turbulentReynolds:
		x := colebrook(turbulentReynolds, relative)
		return transitional(re, 1/(x*x)), NoteTransitional, nil
	}
	x := colebrook(re, relative)
	return 1 / (x * x), 0, nil
}

// transitional interpolates between the laminar factor at 2000 and the turbulent
// one, f4000, at 4000.
func transitional(re, f4000 float64) float64 {
	const low = 64.0 / laminarReynolds
	share := float64((re - laminarReynolds) / (turbulentReynolds - laminarReynolds))
	return low + float64((f4000-low)*share)
}
