package hydraulics

import (
	"errors"
	"fmt"
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

// A formula is all that there is to know of one way to reckon friction. Another is
// another entry of formulas and another [LossMethod].
type formula struct {
	name string
	// check checks what only this formula needs of a pipe.
	check func(f Friction) error
	// prepare works out what does not depend on the flow, and the notes that hold at any.
	prepare func(f Friction) (law, Notes, error)
	// loss is the head that a flow loses, with minor q².
	loss func(k law, minor, q float64) float64
	// slope is the head that a flow loses by friction, and its derivative.
	slope func(k law, q float64) (h, dh float64)
	// flow brackets the flow that loses a head by friction; the ends are equal where it
	// is known in closed form.
	flow func(k law, h float64) (low, high float64)
	// bore is the bore in which a flow loses a head by friction, in closed form; nil if
	// there is none.
	bore func(f Friction, q, h float64) float64
	// leastBore is where a search for the bore begins.
	leastBore func(f Friction) float64
	// atBore is the loss by friction at a bore of d metres, and d ln h / d ln d there.
	atBore func(f Friction, q, d float64) (h, power float64)
	// notes gives the Darcy friction factor, 0 if there is none, and what to remark.
	notes func(k law, q float64, l Loss) (factor float64, n Notes)
}

// A law is a [formula] with the numbers of one pipe.
type law struct {
	friction float64 // what multiplies the power of the flow, or its square and the friction factor
	reynolds float64 // Reynolds number per m3/s
	relative float64 // roughness over bore
	f4000    float64 // friction factor at Reynolds number 4000
	fast     float64 // m/s, above which the formula is stretched
}

// formulas are the entries by [LossMethod].
var formulas = [...]*formula{
	HazenWilliams: &hazenWilliamsFormula,
	DarcyWeisbach: &darcyWeisbachFormula,
}

// formula returns the entry of a method, nil if there is none.
func (m LossMethod) formula() *formula {
	if int(m) >= len(formulas) {
		return nil
	}
	return formulas[m]
}

// lossMethods are the names of the formulas.
var lossMethods = enum.Words[LossMethod]{What: "loss method", Words: formulaNames()}

func formulaNames() []string {
	names := make([]string, len(formulas))
	for m, f := range formulas {
		if f != nil {
			names[m] = f.name
		}
	}
	return names
}

// String returns "hazen-williams" or "darcy-weisbach".
func (m LossMethod) String() string { return lossMethods.String(m) }

// MarshalText gives the form of String.
func (m LossMethod) MarshalText() ([]byte, error) { return lossMethods.Marshal(m) }

// UnmarshalText reads the form of String.
func (m *LossMethod) UnmarshalText(text []byte) error { return lossMethods.Unmarshal(text, m) }

// Friction describes how a length of pipe resists flow. Its [Resistance] is the
// prepared form that answers.
type Friction struct {
	Method    LossMethod   `json:"method"`
	Bore      units.Length `json:"bore"`      // inside diameter
	Length    units.Length `json:"length"`    // with equivalent lengths of fittings added, where those are used
	C         float64      `json:"c"`         // Hazen-Williams coefficient; [HazenWilliams] only
	Roughness units.Length `json:"roughness"` // absolute roughness; [DarcyWeisbach] only
	K         float64      `json:"k"`         // sum of the minor-loss coefficients of the fittings, each h = K V²/2g
	// As [WaterAt] gives it; fields may be set by hand where a source fixes its own.
	Water Water `json:"water"`
}

// A Loss is what a flow loses in a pipe.
type Loss struct {
	Head     units.Head     `json:"head"`
	Pressure units.Pressure `json:"pressure"` // Head at the density of the water
	Velocity units.Velocity `json:"velocity"` // mean
	Reynolds float64        `json:"reynolds"`
	// Darcy, not Fanning; 0 for Hazen-Williams and where nothing flows.
	FrictionFactor float64 `json:"friction_factor"`
	Notes          Notes   `json:"notes"`
}

// A Resistance is a [Friction] prepared for many flows. It is immutable and safe
// for concurrent use; the zero Resistance is not usable.
type Resistance struct {
	formula  *formula
	law      law
	area     float64 // m2
	minor    float64 // h = minor q²
	weight   float64 // Pa per m of head
	standing Notes   // notes that hold at any flow
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
		f.checkMethod(),
	)
	if err != nil {
		return Resistance{}, err
	}
	area := math.Pi / 4 * d * d
	r := Resistance{
		formula: f.Method.formula(), area: area,
		minor:  f.K * (1 / (2 * units.StandardGravity * area * area)),
		weight: float64(f.Water.Density) * units.StandardGravity,
	}
	if r.law, r.standing, err = r.formula.prepare(f); err != nil {
		return Resistance{}, err
	}
	if nu := float64(f.Water.KinematicViscosity); nu > 0 {
		r.law.reynolds = d / (area * nu)
	}
	return r, argument.CheckResult("Reynolds number at unit flow", r.law.reynolds)
}

// checkMethod checks what only one method needs.
func (f Friction) checkMethod() error {
	if err := lossMethods.Check(f.Method); err != nil {
		return err
	}
	return f.Method.formula().check(f)
}

// made tells whether there is a pipe at all.
func (r *Resistance) made() error {
	if r == nil || r.formula == nil {
		return fmt.Errorf("resistance: %w: Friction.Resistance makes one", units.ErrRange)
	}
	return nil
}

// HeadLoss returns the head that flow q loses, friction and minor losses
// together. It is the quick form of [Resistance.Loss].
func (r *Resistance) HeadLoss(q units.Flow) (units.Head, error) {
	if err := r.made(); err != nil {
		return 0, err
	}
	if err := argument.Flow.Check("flow", float64(q)); err != nil {
		return 0, err
	}
	return units.Head(r.head(float64(q))), nil
}

// PressureLoss returns the pressure that flow q loses: [Resistance.HeadLoss] at
// the density of the water.
func (r *Resistance) PressureLoss(q units.Flow) (units.Pressure, error) {
	h, err := r.HeadLoss(q)
	if err != nil {
		return 0, err
	}
	return units.Pressure(float64(h) * r.weight), nil
}

// head returns the loss of a flow that has been checked.
func (r *Resistance) head(q float64) float64 { return r.formula.loss(r.law, r.minor, q) }

// slope returns the loss of flow q and its derivative.
func (r *Resistance) slope(q float64) (h, dh float64) {
	h, dh = r.formula.slope(r.law, q)
	minor := float64(r.minor * q)
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
		Reynolds: r.law.reynolds * float64(q),
		Notes:    r.standing,
	}
	if q == 0 {
		out.Notes |= NoteNoFlow
		return out, nil
	}
	factor, notes := r.formula.notes(r.law, float64(q), out)
	out.FrictionFactor = factor
	out.Notes |= notes
	return out, nil
}

// Velocity returns the mean velocity of flow q in the pipe.
func (r *Resistance) Velocity(q units.Flow) units.Velocity {
	if r.made() != nil {
		return 0
	}
	return units.Velocity(float64(q) / r.area)
}
