package hydraulics

import (
	"errors"
	"math"
	"sync"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Hazen-Williams has one definition here,
//
//	V = 1.318 C R^0.63 S^0.54   (V in ft/s, R in ft, S head lost per length)
//
// and everything else is derived from it. With R = d/4 and Q = V pi d²/4,
//
//	h = K L (Q/C)^(1/0.54) d^-(2.63/0.54)
//
// where K, in metres and m³/s, is
// (4/pi)^(1/0.54) 4^(0.63/0.54) (1.318 · 0.3048^0.37)^-(1/0.54).
// The digits are that expression worked out; a test works it out again.
const (
	hazenWilliamsQ = 1 / 0.54
	hazenWilliamsD = 2.63 / 0.54
	hazenWilliamsK = 10.66991720584561370663187
)

// hazenWilliamsFormula is the formula of [HazenWilliamsHeadLoss].
var hazenWilliamsFormula = formula{
	name:  "hazen-williams",
	check: func(f Friction) error { return argument.C.Check("c", f.C) },
	prepare: func(f Friction) (law, Notes, error) {
		limits, err := frictionLimits()
		if err != nil {
			return law{}, 0, err
		}
		k := law{friction: hazenWilliams(1, f.Bore.Metres(), f.Length.Metres(), f.C)}
		var n Notes
		n, k.fast = limits.notes(f)
		return k, n, nil
	},
	loss: func(k law, minor, q float64) float64 {
		return float64(k.friction*math.Exp(hazenWilliamsQ*math.Log(q))) + float64(minor*q*q)
	},
	slope: func(k law, q float64) (h, dh float64) {
		h = k.friction * math.Exp(hazenWilliamsQ*math.Log(q))
		if q > 0 {
			dh = hazenWilliamsQ * h / q
		}
		return h, dh
	},
	flow: func(k law, h float64) (low, high float64) {
		q := math.Exp(0.54 * math.Log(h/k.friction))
		return q, q
	},
	bore:      func(f Friction, q, h float64) float64 { return hazenWilliamsBore(q, h, f.Length.Metres(), f.C) },
	leastBore: func(Friction) float64 { return 1e-6 },
	atBore: func(f Friction, q, d float64) (h, power float64) {
		return hazenWilliams(q, d, f.Length.Metres(), f.C), -hazenWilliamsD
	},
	notes: func(k law, _ float64, l Loss) (factor float64, n Notes) {
		if k.reynolds > 0 && l.Reynolds < turbulentReynolds {
			n |= NoteHazenWilliamsNotTurbulent
		}
		if float64(l.Velocity) > k.fast {
			n |= NoteHazenWilliamsVelocity
		}
		return 0, n
	},
}

// HazenWilliamsHeadLoss returns the head that a flow loses in a pipe of the
// given bore and length with Hazen-Williams coefficient c:
//
//	V = 1.318 C R^0.63 S^0.54
//
// with V in ft/s, R a quarter of the bore in ft, and S the head lost per length,
// solved exactly: the exponent of the flow is 1/0.54 = 1.85185..., that of the
// bore 2.63/0.54 = 4.87037..., and the constant 10.669917 in SI. Published forms
// round them (1.85 or 1.852, 4.87 or 4.8655, 10.67, 4.52 psi/ft) and differ by
// up to half a percent over plumbing sizes as long as constant and exponents
// come as a set.
//
// Valid: turbulent flow of cool water. The formula knows neither viscosity nor
// temperature; [Friction] reports notes where it is stretched.
//
// Errors match [units.ErrRange] and name every argument that is out of its range.
//
// Source: A. Hazen and G. S. Williams, Hydraulic Tables (1905), in the form V =
// 1.318 C R^0.63 S^0.54.
func HazenWilliamsHeadLoss(q units.Flow, bore, length units.Length, c float64) (units.Head, error) {
	d, l := bore.Metres(), length.Metres()
	err := errors.Join(argument.Bore.Check("bore", d), argument.Length.Check("length", l), argument.C.Check("c", c),
		argument.Flow.Check("flow", float64(q)))
	if err != nil {
		return 0, err
	}
	return units.Head(hazenWilliams(float64(q), d, l, c)), nil
}

func hazenWilliams(q, d, l, c float64) float64 {
	// ln 0 is -Inf and exp(-Inf) is 0, so no flow loses nothing.
	e := float64(hazenWilliamsQ*math.Log(q/c)) - float64(hazenWilliamsD*math.Log(d))
	return hazenWilliamsK * l * math.Exp(e)
}

// hazenWilliamsBore inverts hazenWilliams in the bore: closed form.
func hazenWilliamsBore(q, h, l, c float64) float64 {
	e := float64(0.54*math.Log(hazenWilliamsK*l/h)) + math.Log(q/c)
	return math.Exp(e / 2.63)
}

// hazenWilliamsLimits are the conditions the formula was found in.
type hazenWilliamsLimits struct {
	bore      units.Length
	velocity  units.Velocity
	cold, hot units.Temperature
}

// frictionLimits reads them when they are first needed.
var frictionLimits = sync.OnceValues(func() (hazenWilliamsLimits, error) {
	rules, err := tables.Embedded().Rules("friction")
	if err != nil {
		return hazenWilliamsLimits{}, err
	}
	bore, _, e1 := tables.RuleValue[units.Length](rules, "hazen-williams-least-bore")
	velocity, _, e2 := tables.RuleValue[units.Velocity](rules, "hazen-williams-most-velocity")
	cold, _, e3 := tables.RuleValue[units.Temperature](rules, "hazen-williams-least-temperature")
	hot, _, e4 := tables.RuleValue[units.Temperature](rules, "hazen-williams-most-temperature")
	return hazenWilliamsLimits{bore, velocity, cold, hot}, errors.Join(e1, e2, e3, e4)
})

// notes returns the notes that hold for a pipe at any flow, and the velocity
// above which another is due.
func (l hazenWilliamsLimits) notes(f Friction) (Notes, float64) {
	var n Notes
	if f.Bore < l.bore {
		n |= NoteHazenWilliamsBore
	}
	if t := f.Water.Temperature; t != 0 && (t < l.cold || t > l.hot) {
		n |= NoteHazenWilliamsTemperature
	}
	// A velocity that differs by rounding only is not above.
	return n, float64(l.velocity) * (1 + 1e-9)
}
