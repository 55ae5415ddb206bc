package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/units"
)

// A LossMethod is a formula for the loss of head along a pipe.
type LossMethod uint8

const (
	// HazenWilliams is the formula of [HazenWilliamsHeadLoss], in common use in
	// American plumbing and fire work.
	HazenWilliams LossMethod = iota + 1
	// DarcyWeisbach is h = f L/d V²/2g with the friction factor of
	// [FrictionFactor]; it holds at any temperature.
	DarcyWeisbach
)

var lossMethods = enum.Words[LossMethod]{What: "loss method", Words: []string{"", "hazen-williams", "darcy-weisbach"}}

// String returns "hazen-williams" or "darcy-weisbach".
func (m LossMethod) String() string { return lossMethods.String(m) }

// MarshalText gives the form of String.
func (m LossMethod) MarshalText() ([]byte, error) { return lossMethods.Marshal(m) }

// UnmarshalText reads the form of String.
func (m *LossMethod) UnmarshalText(text []byte) error { return lossMethods.Unmarshal(text, m) }

// Friction describes how a length of pipe resists flow. Its [Resistance] is the
// prepared form that answers.
type Friction struct {
	Method    LossMethod
	Bore      units.Length // inside diameter
	Length    units.Length // with equivalent lengths of fittings added, where those are used
	C         float64      // Hazen-Williams coefficient; [HazenWilliams] only
	Roughness units.Length // absolute roughness; [DarcyWeisbach] only
	K         float64      // sum of the minor-loss coefficients of the fittings, each h = K V²/2g
	Water     Water        // as [WaterAt] gives it; fields may be set by hand where a source fixes its own
}

// A Loss is what a flow loses in a pipe.
type Loss struct {
	Head           units.Head
	Pressure       units.Pressure // Head at the density of the water
	Velocity       units.Velocity // mean
	Reynolds       float64
	FrictionFactor float64 // Darcy, not Fanning; 0 for Hazen-Williams and where nothing flows
	Notes          Notes
}

// A Resistance is a [Friction] prepared for many flows. It is immutable and safe
// for concurrent use; the zero Resistance is not usable.
type Resistance struct {
	method         LossMethod
	bore, length   float64
	area           float64 // m2
	c              float64
	friction       float64 // Hazen-Williams: h = friction q^1.85; Darcy: h = f friction q²
	minor          float64 // h = minor q²
	reynolds       float64 // Reynolds number per m3/s
	relative       float64 // roughness over bore
	f4000          float64 // Colebrook factor at Reynolds number 4000
	density        float64
	weight         float64 // Pa per m of head
	standing       Notes   // notes that hold at any flow
	fastVelocity   float64 // above it Hazen-Williams is noted
	gravityVelHead float64 // 1/(2 g area²)
}

// Resistance prepares f. Every argument out of range is named in the error,
// which matches [units.ErrRange]: bore more than 0 and at most 100 m, length 0 to 1000
// km, C 1 to 200, roughness 0 to 0.05 of the bore, K 0 to 1e9, density and (for
// Darcy-Weisbach) kinematic viscosity of the water more than 0.
func (f Friction) Resistance() (Resistance, error) {
	d, l := f.Bore.Metres(), f.Length.Metres()
	err := errors.Join(
		argument.Bore.Check("bore", d),
		argument.Length.Check("length", l),
		argument.K.Check("k", f.K),
		argument.Density.Check("density", float64(f.Water.Density)),
	)
	if err != nil {
		return Resistance{}, errors.Join(err, f.checkMethod())
	}
	if err := f.checkMethod(); err != nil {
		return Resistance{}, err
	}
	area := math.Pi / 4 * d * d
	r := Resistance{
		method: f.Method, bore: d, length: l, area: area, c: f.C,
		density: float64(f.Water.Density),
		weight:  float64(f.Water.Density) * units.StandardGravity,
	}
	r.gravityVelHead = 1 / (2 * units.StandardGravity * area * area)
	r.minor = f.K * r.gravityVelHead
	if nu := float64(f.Water.KinematicViscosity); nu > 0 {
		r.reynolds = d / (area * nu)
	}
	switch f.Method {
	case HazenWilliams:
		r.friction = hazenWilliams(1, d, l, f.C)
		limits, err := frictionLimits()
		if err != nil {
			return Resistance{}, err
		}
		r.standing, r.fastVelocity = limits.notes(f)
	case DarcyWeisbach:
		r.friction = l / d * r.gravityVelHead
		r.relative = f.Roughness.Metres() / d
		x := colebrook(turbulentReynolds, r.relative)
		r.f4000 = 1 / (x * x)
	}
	return r, argument.CheckResult("Reynolds number at unit flow", r.reynolds)
}

// checkMethod checks what only one method needs.
func (f Friction) checkMethod() error {
	switch f.Method {
	case HazenWilliams:
		return argument.C.Check("c", f.C)
	case DarcyWeisbach:
		return errors.Join(
			argument.Viscosity.Check("kinematic viscosity", float64(f.Water.KinematicViscosity)),
			f.checkRoughness(),
		)
	}
	return lossMethods.Check(f.Method)
}

func (f Friction) checkRoughness() error {
	// In whole nanometres: a twentieth of the bore is one, however it rounds in metres.
	if f.Roughness < 0 || f.Roughness > f.Bore/20 && f.Bore > 0 {
		return argument.Refuse("roughness", f.Roughness.Metres(), "m",
			"at least 0 and at most a twentieth of the bore, "+argument.Text(argument.RelativeRough.High*f.Bore.Metres(), "m"))
	}
	return nil
}

// HeadLoss returns the head that flow q loses, friction and minor losses
// together. It is the quick form of [Resistance.Loss].
func (r *Resistance) HeadLoss(q units.Flow) (units.Head, error) {
	if err := argument.Flow.Check("flow", float64(q)); err != nil {
		return 0, err
	}
	return units.Head(r.head(float64(q))), nil
}

// PressureLoss returns the pressure that flow q loses: [Resistance.HeadLoss] at
// the density of the water.
func (r *Resistance) PressureLoss(q units.Flow) (units.Pressure, error) {
	h, err := r.HeadLoss(q)
	return units.Pressure(float64(h) * r.weight), err
}

// head returns the loss of a flow that has been checked.
func (r *Resistance) head(q float64) float64 {
	if r.method == HazenWilliams {
		return float64(r.friction*math.Exp(hazenWilliamsQ*math.Log(q))) + float64(r.minor*q*q)
	}
	return (float64(r.fq(q)*r.friction) + float64(r.minor*q)) * q
}

// fq returns the Darcy friction factor times the flow, which stays finite as the
// flow goes to nothing.
func (r *Resistance) fq(q float64) float64 {
	re := float64(r.reynolds * q)
	switch {
	case re <= laminarReynolds:
		return 64 / r.reynolds
	case re < turbulentReynolds:
		return transitional(re, r.f4000) * q
	}
	x := colebrook(re, r.relative)
	return q / (x * x)
}

// slope returns the loss of flow q and its derivative.
func (r *Resistance) slope(q float64) (h, dh float64) {
	minor := float64(r.minor * q)
	if r.method == HazenWilliams {
		h = r.friction * math.Exp(hazenWilliamsQ*math.Log(q))
		if q > 0 {
			dh = hazenWilliamsQ * h / q
		}
		return h + float64(minor*q), dh + 2*minor
	}
	re := float64(r.reynolds * q)
	switch {
	case re <= laminarReynolds:
		dh = 64 / r.reynolds * r.friction
		h = dh * q
	case re < turbulentReynolds:
		f := transitional(re, r.f4000)
		df := (r.f4000 - 64.0/laminarReynolds) / (turbulentReynolds - laminarReynolds) * r.reynolds
		h = r.friction * f * q * q
		dh = r.friction * q * (2*f + float64(df*q))
	default:
		x := colebrook(re, r.relative)
		h = r.friction * q * q / (x * x)
		// d ln f / d ln Re from the implicit equation.
		b := twoByLn10 * 2.51 / re
		dh = h / q * (2 - 2*b/(r.relative/3.7+float64(2.51/re*x)+b))
	}
	return h + float64(minor*q), dh + 2*minor
}

// Loss returns what flow q, at least 0, loses and how it flows.
func (r *Resistance) Loss(q units.Flow) (Loss, error) {
	h, err := r.HeadLoss(q)
	if err != nil {
		return Loss{}, err
	}
	out := Loss{
		Head:     h,
		Pressure: units.Pressure(float64(h) * r.weight),
		Velocity: units.Velocity(float64(q) / r.area),
		Reynolds: r.reynolds * float64(q),
		Notes:    r.standing,
	}
	if q == 0 {
		out.Notes |= NoteNoFlow
		return out, nil
	}
	if r.method == HazenWilliams {
		if r.reynolds > 0 && out.Reynolds < turbulentReynolds {
			out.Notes |= NoteHazenWilliamsNotTurbulent
		}
		if float64(out.Velocity) > r.fastVelocity {
			out.Notes |= NoteHazenWilliamsVelocity
		}
		return out, nil
	}
	out.FrictionFactor = r.fq(float64(q)) / float64(q)
	switch {
	case out.Reynolds <= laminarReynolds:
		out.Notes |= NoteLaminar
	case out.Reynolds < turbulentReynolds:
		out.Notes |= NoteTransitional
	}
	return out, nil
}

// Velocity returns the mean velocity of flow q in the pipe.
func (r *Resistance) Velocity(q units.Flow) units.Velocity {
	return units.Velocity(float64(q) / r.area)
}
