package supply

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/units"
)

// FlowForHeadLoss returns the flow that loses head h: the inverse of
// [Resistance.HeadLoss], in which the loss rises without a break. h must be
// positive, and the pipe must have a length or a K.
func (r *Resistance) FlowForHeadLoss(h units.Head) (units.Flow, error) {
	if err := spanSomeHead.check("head loss", float64(h)); err != nil {
		return 0, err
	}
	if !(r.friction > 0 || r.minor > 0) {
		return 0, noSolution("flow: a pipe without length loses no head")
	}
	q := r.flow(float64(h))
	if err := spanSomeFlow.check("flow", q); err != nil {
		return 0, errors.Join(err, noSolution("flow for the head loss"))
	}
	return units.Flow(q), nil
}

// FlowForPressureLoss returns the flow that loses pressure p at the density of
// the water. p must be positive.
func (r *Resistance) FlowForPressureLoss(p units.Pressure) (units.Flow, error) {
	if err := spanSomePressure.check("pressure loss", float64(p)); err != nil {
		return 0, err
	}
	return r.FlowForHeadLoss(units.Head(float64(p) / r.weight))
}

func (r *Resistance) flow(h float64) float64 {
	if r.minor > 0 {
		return r.flowWithMinor(h)
	}
	if r.method == HazenWilliams {
		return math.Exp(0.54 * math.Log(h/r.friction))
	}
	// f Re² does not depend on the flow, so Colebrook is explicit in it.
	w := r.reynolds * math.Sqrt(h/r.friction) // Re √f
	if q := w * w / (64 * r.reynolds); q*r.reynolds <= laminarReynolds {
		return q
	}
	x := -twoByLn10 * math.Log(r.relative/3.7+2.51/w)
	if re := w * x; re >= turbulentReynolds {
		return re / r.reynolds
	}
	return increasingRoot(laminarReynolds/r.reynolds, turbulentReynolds/r.reynolds, h, r.slope)
}

// flowWithMinor solves the sum of friction and minor losses. Each alone gives a
// flow that is too large.
func (r *Resistance) flowWithMinor(h float64) float64 {
	high := math.Sqrt(h / r.minor)
	if r.friction > 0 {
		bare := *r
		bare.minor = 0
		high = min(high, bare.flow(h))
	}
	return increasingRoot(0, high, h, r.slope)
}

// A PipeBore is a bore that was solved for.
type PipeBore struct {
	Bore     units.Length // to the nearest nanometre
	Metres   float64      // the root itself, before it is rounded to Bore
	Velocity units.Velocity
}

// BoreForHeadLoss returns the bore at which flow q loses head h along f; f.Bore is
// ignored. Where K is not 0 it is held constant, whatever the bore. The loss falls
// without a break as the bore grows, so the answer is the least bore that keeps
// within h.
func (f Friction) BoreForHeadLoss(q units.Flow, h units.Head) (PipeBore, error) {
	l := f.Length.Metres()
	err := errors.Join(
		spanSomeFlow.check("flow", float64(q)),
		spanSomeHead.check("head loss", float64(h)),
		spanSomeLength.check("length", l),
		spanK.check("k", f.K),
	)
	// Every roughness goes with some bore.
	any := f
	any.Bore = units.Length(spanBore.high * float64(units.Metre))
	if err = errors.Join(err, any.checkMethod()); err != nil {
		return PipeBore{}, err
	}
	var d float64
	if f.Method == HazenWilliams && f.K == 0 {
		d = hazenWilliamsBore(float64(q), float64(h), l, f.C)
	} else if d, err = f.solveBore(float64(q), float64(h)); err != nil {
		return PipeBore{}, err
	}
	if err := spanBore.check("bore", d); err != nil {
		return PipeBore{}, errors.Join(err, noSolution("bore for the head loss"))
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
		spanSomePressure.check("pressure loss", float64(p)),
		spanDensity.check("density", float64(f.Water.Density)),
	)
	if err != nil {
		return PipeBore{}, err
	}
	return f.BoreForHeadLoss(q, units.Head(float64(p)/(float64(f.Water.Density)*units.StandardGravity)))
}

// solveBore finds the bore by the logarithm of the loss, which is nearly straight
// in the logarithm of the bore.
func (f Friction) solveBore(q, h float64) (float64, error) {
	least := 1e-6
	if f.Method == DarcyWeisbach {
		least = max(least, f.Roughness.Metres()/spanRelative.high)
	}
	loss := func(lnD float64) float64 {
		return -math.Log(f.headAtBore(q, math.Exp(lnD)) / h)
	}
	low, high := math.Log(least), math.Log(spanBore.high)
	if loss(low) > 0 || loss(high) < 0 {
		return 0, noSolution("bore: none from %.4g m to %.4g m loses %.6g m of head", least, spanBore.high, h)
	}
	return math.Exp(bracketedRoot(low, high, loss)), nil
}

// headAtBore returns the loss at a bore in metres.
func (f Friction) headAtBore(q, d float64) float64 {
	area := math.Pi / 4 * d * d
	vel := q * q / (2 * units.StandardGravity * area * area)
	if f.Method == HazenWilliams {
		return hazenWilliams(q, d, f.Length.Metres(), f.C) + float64(f.K*vel)
	}
	re := q * d / (area * float64(f.Water.KinematicViscosity))
	relative := f.Roughness.Metres() / d
	var ff float64
	switch {
	case re <= laminarReynolds:
		ff = 64 / re
	default:
		x := colebrook(max(re, turbulentReynolds), relative)
		ff = 1 / (x * x)
		if re < turbulentReynolds {
			ff = transitional(re, ff)
		}
	}
	return (float64(ff*f.Length.Metres()/d) + f.K) * vel
}
