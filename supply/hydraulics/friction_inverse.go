package hydraulics

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/solve"
	"github.com/trapweir/trapweir/units"
)

// FlowForHeadLoss returns the flow that loses head h: the inverse of
// [Resistance.HeadLoss], in which the loss rises without a break. h must be
// positive, and the pipe must have a length or a K.
func (r *Resistance) FlowForHeadLoss(h units.Head) (units.Flow, error) {
	if err := r.made(); err != nil {
		return 0, err
	}
	if err := argument.PositiveHead.Check("head loss", float64(h)); err != nil {
		return 0, err
	}
	if !(r.law.friction > 0 || r.minor > 0) {
		return 0, argument.NoSolution("flow: a pipe without length loses no head")
	}
	q, err := r.flow(float64(h))
	if err != nil {
		return 0, err
	}
	if err := argument.PositiveFlow.Check("flow", q); err != nil {
		return 0, errors.Join(err, argument.NoSolution("flow for the head loss"))
	}
	return units.Flow(q), nil
}

// FlowForPressureLoss returns the flow that loses pressure p at the density of
// the water. p must be positive.
func (r *Resistance) FlowForPressureLoss(p units.Pressure) (units.Flow, error) {
	if err := r.made(); err != nil {
		return 0, err
	}
	if err := argument.PositivePressure.Check("pressure loss", float64(p)); err != nil {
		return 0, err
	}
	return r.FlowForHeadLoss(units.Head(float64(p) / r.weight))
}

func (r *Resistance) flow(h float64) (float64, error) {
	if r.minor > 0 {
		return r.flowWithMinor(h)
	}
	low, high := r.formula.flow(r.law, h)
	if low == high {
		return low, nil
	}
	return r.flowBetween(low, high, h)
}

// flowWithMinor solves the sum of friction and minor losses. Each alone gives a
// flow that is too large.
func (r *Resistance) flowWithMinor(h float64) (float64, error) {
	bare := *r
	bare.minor = 0
	q, err := bare.flow(h) // without length +Inf
	if err != nil {
		return 0, err
	}
	high := min(q, math.Sqrt(h/r.minor))
	return r.flowBetween(0, high*(1+1e-9), h)
}

// flowBetween finds the flow that loses h in a bracket, by Newton's method.
func (r *Resistance) flowBetween(low, high, h float64) (float64, error) {
	q, _, err := solve.Rising(func(q float64) (y, dy, ddy float64) {
		y, dy = r.slope(q)
		return y - h, dy, 0
	}, low, high, high*(1-1e-9), 1e-8)
	if err != nil {
		return 0, argument.NoSolution("flow for a head loss of %.6g m: %v", h, err)
	}
	return q, nil
}

// A PipeBore is a bore that was solved for.
type PipeBore struct {
	Bore     units.Length   `json:"bore"`   // to the nearest nanometre
	Metres   float64        `json:"metres"` // the root itself, before it is rounded to Bore
	Velocity units.Velocity `json:"velocity"`
}

// BoreForHeadLoss returns the bore at which flow q loses head h along f; f.Bore is
// ignored. Where K is not 0 it is held constant, whatever the bore. The loss falls
// without a break as the bore grows, so the answer is the least bore that keeps
// within h.
func (f Friction) BoreForHeadLoss(q units.Flow, h units.Head) (PipeBore, error) {
	l := f.Length.Metres()
	err := errors.Join(
		argument.PositiveFlow.Check("flow", float64(q)),
		argument.PositiveHead.Check("head loss", float64(h)),
		argument.PositiveLength.Check("length", l),
		argument.K.Check("k", f.K),
	)
	// Every roughness goes with some bore.
	any := f
	any.Bore = units.Length(argument.Bore.High * float64(units.Metre))
	if err = errors.Join(err, any.checkMethod()); err != nil {
		return PipeBore{}, err
	}
	var d float64
	if bore := f.Method.formula().bore; bore != nil && f.K == 0 {
		d = bore(f, float64(q), float64(h))
	} else if d, err = f.solveBore(float64(q), float64(h)); err != nil {
		return PipeBore{}, err
	}
	if err := argument.Bore.Check("bore", d); err != nil {
		return PipeBore{}, errors.Join(err, argument.NoSolution("bore for the head loss"))
	}
	return PipeBore{
		Bore:     units.Metres(d),
		Metres:   d,
		Velocity: units.Velocity(float64(q) / (math.Pi / 4 * d * d)),
	}, nil
}

// BoreForPressureLoss is [Friction.BoreForHeadLoss] for a loss of pressure p at the
// density of f.Water.
func (f Friction) BoreForPressureLoss(q units.Flow, p units.Pressure) (PipeBore, error) {
	err := errors.Join(
		argument.PositivePressure.Check("pressure loss", float64(p)),
		argument.Density.Check("density", float64(f.Water.Density)),
	)
	if err != nil {
		return PipeBore{}, err
	}
	return f.BoreForHeadLoss(q, units.Head(float64(p)/(float64(f.Water.Density)*units.StandardGravity)))
}

// solveBore finds the bore by the logarithm of the loss, which is nearly straight
// in the logarithm of the bore.
func (f Friction) solveBore(q, h float64) (float64, error) {
	least, l := f.Method.formula().leastBore(f), f.Length.Metres()
	start := 0.2 * math.Log(0.02*8*l*q*q/(math.Pi*math.Pi*units.StandardGravity*h))
	lnD, _, err := solve.Rising(func(lnD float64) (y, dy, ddy float64) {
		loss, power := f.headAtBore(q, math.Exp(lnD))
		return math.Log(h / loss), -power, 0
	}, math.Log(least), math.Log(argument.Bore.High), start, 1e-8)
	if err != nil {
		return 0, argument.NoSolution("bore: none from %.4g m to %.4g m loses %.6g m of head", least, argument.Bore.High, h)
	}
	return math.Exp(lnD), nil
}

// headAtBore returns the loss at a bore of d metres, and the power of the bore by
// which it changes there: d ln h / d ln d.
func (f Friction) headAtBore(q, d float64) (h, power float64) {
	area := math.Pi / 4 * d * d
	minor := f.K * q * q / (2 * units.StandardGravity * area * area)
	friction, frictionPower := f.Method.formula().atBore(f, q, d)
	h = friction + minor
	return h, (float64(friction*frictionPower) - float64(4*minor)) / h
}
