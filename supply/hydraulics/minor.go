package hydraulics

import (
	"errors"
	"fmt"
	"sort"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

var spanFactor = argument.Above(0, 1e3, "")

// MinorHeadLoss returns the head that a fitting of coefficient k loses at mean
// velocity v,
//
//	h = K V²/2g
//
// Published coefficients scatter by a quarter and more from maker to maker.
//
// Source: J. Weisbach (1845).
func MinorHeadLoss(k float64, v units.Velocity) (units.Head, error) {
	if err := errors.Join(argument.K.Check("k", k), argument.Velocity.Check("velocity", float64(v))); err != nil {
		return 0, err
	}
	return units.Head(k * float64(v) * float64(v) / (2 * units.StandardGravity)), nil
}

// EquivalentLength returns the length of pipe that loses as much as a fitting of
// coefficient k, K d/f, with the Darcy friction factor f of the pipe. It depends on
// f and so on the flow: a length found for one is not exact for another.
func EquivalentLength(k, f float64, bore units.Length) (units.Length, error) {
	err := errors.Join(argument.K.Check("k", k), spanFactor.Check("friction factor", f),
		argument.Bore.Check("bore", bore.Metres()))
	if err != nil {
		return 0, err
	}
	l := units.Metres(k * bore.Metres() / f)
	if !l.Valid() {
		return 0, argument.Refuse("k", k, "", "small enough for the length to be at most 1000 km")
	}
	return l, nil
}

// CoefficientOfLength returns the coefficient of a fitting that loses as much as a
// length of pipe, f L/d: the inverse of [EquivalentLength].
func CoefficientOfLength(length units.Length, f float64, bore units.Length) (float64, error) {
	err := errors.Join(argument.Length.Check("length", length.Metres()), spanFactor.Check("friction factor", f),
		argument.Bore.Check("bore", bore.Metres()))
	if err != nil {
		return 0, err
	}
	return f * length.Metres() / bore.Metres(), nil
}

// A FlowLoss is what a meter, backflow preventer, softener, filter, mixing valve
// or regulator takes from the pressure at a flow.
type FlowLoss interface {
	PressureLoss(q units.Flow) (units.Pressure, error)
}

// A FixedLoss is the same at every flow, none included: what a maker's sheet gives
// as one figure.
type FixedLoss units.Pressure

// PressureLoss returns the fixed loss.
func (l FixedLoss) PressureLoss(q units.Flow) (units.Pressure, error) {
	if err := errors.Join(argument.Pressure.Check("loss", float64(l)),
		argument.Flow.Check("flow", float64(q))); err != nil {
		return 0, err
	}
	return units.Pressure(l), nil
}

// A RatedLoss is known at one flow and goes with the square of the flow.
type RatedLoss struct {
	Flow units.Flow     `json:"flow"`
	Loss units.Pressure `json:"loss"`
}

// PressureLoss returns Loss (q/Flow)².
func (l RatedLoss) PressureLoss(q units.Flow) (units.Pressure, error) {
	err := errors.Join(
		argument.PositiveFlow.Check("rated flow", float64(l.Flow)),
		argument.Pressure.Check("rated loss", float64(l.Loss)),
		argument.Flow.Check("flow", float64(q)),
	)
	if err != nil {
		return 0, err
	}
	x := float64(q / l.Flow)
	p := float64(l.Loss) * x * x
	return units.Pressure(p), argument.CheckResult("loss", p)
}

// A LossCurve is a maker's curve: straight between its points, and nothing beyond
// them. Make one with [NewLossCurve]; it never changes and may be used by many at once.
type LossCurve struct {
	flow []units.Flow
	loss []units.Pressure
}

// LossPoint is a point of a curve.
type LossPoint struct {
	Flow units.Flow     `json:"flow"`
	Loss units.Pressure `json:"loss"`
}

// NewLossCurve makes a curve of at least two points whose flows rise.
func NewLossCurve(points []LossPoint) (LossCurve, error) {
	var list []error
	if len(points) < 2 {
		list = append(list, fmt.Errorf("points: %d of them, want at least 2: %w", len(points), units.ErrRange))
	}
	c := LossCurve{}
	for i, p := range points {
		err := errors.Join(argument.Flow.Check("flow", float64(p.Flow)), argument.Pressure.Check("loss", float64(p.Loss)))
		if err == nil && i > 0 && p.Flow <= points[i-1].Flow {
			err = fmt.Errorf("flow: is not above that of the point before: %w", units.ErrRange)
		}
		if err != nil {
			list = append(list, fmt.Errorf("point %d: %w", i, err))
		}
		c.flow, c.loss = append(c.flow, p.Flow), append(c.loss, p.Loss)
	}
	return faults.Result(c, errors.Join(list...))
}

// PressureLoss returns the loss at q, straight between the points around it. A flow
// outside the curve is an error that names its range.
func (c LossCurve) PressureLoss(q units.Flow) (units.Pressure, error) {
	n := len(c.flow)
	if n == 0 {
		return 0, fmt.Errorf("loss curve: has no points: %w", units.ErrRange)
	}
	s := argument.Between(float64(c.flow[0]), float64(c.flow[n-1]), "m3/s")
	x := argument.RoundToEnd(float64(q), s.Low, s.High)
	if err := s.Check("flow", x); err != nil {
		return 0, err
	}
	i := sort.Search(n-2, func(i int) bool { return float64(c.flow[i+1]) >= x })
	share := (x - float64(c.flow[i])) / float64(c.flow[i+1]-c.flow[i])
	return c.loss[i] + units.Pressure(share*float64(c.loss[i+1]-c.loss[i])), nil
}
