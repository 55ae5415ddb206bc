package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// darcyWeisbachFormula is h = f L/d V²/2g, laminar, transitional and turbulent as in
// [FrictionFactor].
var darcyWeisbachFormula = formula{
	name: "darcy-weisbach",
	check: func(f Friction) error {
		return errors.Join(
			argument.Viscosity.Check("kinematic viscosity", float64(f.Water.KinematicViscosity)),
			f.checkRoughness(),
		)
	},
	prepare: func(f Friction) (law, Notes, error) {
		d := f.Bore.Metres()
		area := math.Pi / 4 * d * d
		k := law{relative: f.Roughness.Metres() / d}
		k.friction = f.Length.Metres() / d * (1 / (2 * units.StandardGravity * area * area))
		x := colebrook(turbulentReynolds, k.relative)
		k.f4000 = 1 / (x * x)
		return k, 0, nil
	},
	loss: func(k law, minor, q float64) float64 {
		return (float64(k.factorFlow(q)*k.friction) + float64(minor*q)) * q
	},
	slope: darcySlope,
	flow:  darcyFlow,
	leastBore: func(f Friction) float64 {
		return max(1e-6, f.Roughness.Metres()/argument.RelativeRough.High)
	},
	atBore: func(f Friction, q, d float64) (h, power float64) {
		area := math.Pi / 4 * d * d
		re := q * d / (area * float64(f.Water.KinematicViscosity))
		factor, change := factorAtBore(re, f.Roughness.Metres()/d)
		return factor * f.Length.Metres() / d * q * q / (2 * units.StandardGravity * area * area), change - 5
	},
	notes: func(k law, q float64, l Loss) (factor float64, n Notes) {
		switch {
		case l.Reynolds <= laminarReynolds:
			n = NoteLaminar
		case l.Reynolds < turbulentReynolds:
			n = NoteTransitional
		}
		return k.factorFlow(q) / q, n
	},
}

func (f Friction) checkRoughness() error {
	// In whole nanometres: a twentieth of the bore is one, however it rounds in metres.
	if f.Roughness < 0 || f.Roughness > f.Bore/20 && f.Bore > 0 {
		return argument.Refuse("roughness", f.Roughness.Metres(), "m",
			"at least 0 and at most a twentieth of the bore, "+argument.Text(argument.RelativeRough.High*f.Bore.Metres(), "m"))
	}
	return nil
}

// factorFlow returns the Darcy friction factor times the flow, which stays finite as the
// flow goes to nothing.
func (k law) factorFlow(q float64) float64 {
	re := float64(k.reynolds * q)
	switch {
	case re <= laminarReynolds:
		return 64 / k.reynolds
	case re < turbulentReynolds:
		return transitional(re, k.f4000) * q
	}
	x := colebrook(re, k.relative)
	return q / (x * x)
}

func darcySlope(k law, q float64) (h, dh float64) {
	re := float64(k.reynolds * q)
	switch {
	case re <= laminarReynolds:
		dh = 64 / k.reynolds * k.friction
		return dh * q, dh
	case re < turbulentReynolds:
		f := transitional(re, k.f4000)
		df := (k.f4000 - 64.0/laminarReynolds) / (turbulentReynolds - laminarReynolds) * k.reynolds
		return k.friction * f * q * q, k.friction * q * (2*f + float64(df*q))
	}
	x := colebrook(re, k.relative)
	h = k.friction * q * q / (x * x)
	// d ln f / d ln Re from the implicit equation.
	b := twoByLn10 * 2.51 / re
	return h, h / q * (2 - 2*b/(k.relative/3.7+float64(2.51/re*x)+b))
}

func darcyFlow(k law, h float64) (low, high float64) {
	// f Re² does not depend on the flow, so Colebrook is explicit in it.
	w := k.reynolds * math.Sqrt(h/k.friction) // Re √f
	if re := w * w / 64; re <= laminarReynolds {
		return re / k.reynolds, re / k.reynolds
	}
	x := -twoByLn10 * math.Log(k.relative/3.7+2.51/w)
	if re := w * x; re >= turbulentReynolds {
		return re / k.reynolds, re / k.reynolds
	}
	const margin = 1e-9 // the ends are known to rounding only
	return laminarReynolds / k.reynolds * (1 - margin), turbulentReynolds / k.reynolds * (1 + margin)
}

// factorAtBore returns the friction factor and its power of the bore, at a given
// flow and roughness: d ln f / d ln d.
func factorAtBore(re, relative float64) (factor, power float64) {
	if re <= laminarReynolds {
		return 64 / re, 1
	}
	// Colebrook's a falls and its b rises as the bore does; below the turbulent
	// limit the factor at the limit is meant, where b stands still.
	a, b := relative/3.7, 2.51/max(re, turbulentReynolds)
	x := colebrook(max(re, turbulentReynolds), relative)
	factor = 1 / (x * x)
	rise := float64(b*x) - a
	if re < turbulentReynolds {
		rise = -a
	}
	power = 2 * twoByLn10 * rise / (x * (a + float64(b*(x+twoByLn10))))
	if re < turbulentReynolds {
		f4000 := factor
		factor = transitional(re, f4000)
		const low = 64.0 / laminarReynolds
		share := (re - laminarReynolds) / (turbulentReynolds - laminarReynolds)
		power = (float64(power*f4000*share) - float64((f4000-low)*re/(turbulentReynolds-laminarReynolds))) / factor
	}
	return factor, power
}
