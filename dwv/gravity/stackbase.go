package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/solve"
	"github.com/trapweir/trapweir/units"
)

// StackBase is what happens where a stack turns into a drain: the water arrives
// fast and shallow, and where the drain cannot keep it so it slows down in a
// hydraulic jump, a roller that can fill the pipe, trap air and blow the seals of
// traps that are connected there.
type StackBase struct {
	Stack    Stack    `json:"stack"`
	Entering Elements `json:"entering"` // section of the drain just after the bend
	Froude   float64  `json:"froude"`   // there
	Normal   PartFull `json:"normal"`   // where the flow has settled to the drain's grade
	// Jumps says that the settled flow is subcritical, so that a jump must stand
	// somewhere between. A steep drain only slows the water gradually.
	Jumps bool `json:"jumps,omitzero"`
	// Sequent is the depth right after a jump at the bend, over the bore. It is 1
	// where Fills is true: the jump then closes the pipe and air cannot pass.
	Sequent float64 `json:"sequent"`
	Fills   bool    `json:"fills,omitzero"`
}

// StackBaseFlow judges the base of a stack that carries a flow into a drain.
//
// It takes the velocity at the bend as the terminal velocity of the stack, which
// is an upper bound: a stack shorter than the terminal length, or two 45 degree
// bends, bring less. The depth after a jump follows from the momentum of the
// two sections,
//
//	M = A z + Q^2/(g A)    A z = D^3/24 (3 sin h - sin^3 h - 3 h cos h), h = theta/2
//
// The jump travels: keep branch and vent connections clear of the bend by the
// distance that the code in force asks for, whatever this says.
//
// Units: typed. Errors: a [units.RangeError] for flows that the stack or the drain
// cannot carry.
// Source: stack, [StackCapacity]; momentum and first moment of the circular
// section, Chow, Open-Channel Hydraulics (1959), sections 3-6 and 3-7.
func StackBaseFlow(stack units.Length, q units.Flow, drain Pipe) (StackBase, error) {
	fall, stackErr := StackFill(stack, q)
	normal, drainErr := drain.AtFlow(q)
	if err := errors.Join(stackErr, drainErr); err != nil {
		return StackBase{}, err
	}
	b := StackBase{Stack: fall, Normal: normal}
	d := drain.Bore.Metres()
	v := float64(fall.TerminalVelocity)
	area := float64(q) / (v * d * d)
	entering, err := sectionOf(area)
	if err != nil {
		return StackBase{}, argument.Outside("flow", argument.Litres(q),
			"small enough to enter the drain at terminal velocity and leave a free surface")
	}
	b.Entering = entering
	b.Froude = froude(v, entering, d)
	if b.Froude <= 1 {
		b.Sequent = entering.Depth
		return b, nil
	}
	b.Jumps = normal.Froude() < 1
	critical, err := CriticalDepth(drain.Bore, q)
	if err != nil {
		return StackBase{}, err
	}
	x := float64(q) / (d * d)
	k := x * x / (units.StandardGravity * d) // Q^2/(g D^5)
	force := momentum(k)
	target, _ := force(entering.Angle)
	if full, _ := force(2 * math.Pi); full < target {
		b.Sequent, b.Fills = 1, true
		return b, nil
	}
	// Critical depth, where the momentum is least, is the left end of the bracket and
	// no place to start: the search takes the middle.
	theta, _, err := solve.Rising(func(theta float64) (y, dy, ddy float64) {
		m, dm := force(theta)
		return m - target, dm, 0
	}, critical.Angle, 2*math.Pi, critical.Angle, 1e-9)
	if err != nil {
		return StackBase{}, err
	}
	b.Sequent = elementsOfAngle(theta).Depth
	return b, nil
}

// momentum returns the momentum of a section over the cube of the bore and its
// derivative, for k = Q^2/(g D^5).
func momentum(k float64) func(theta float64) (m, dm float64) {
	return func(theta float64) (m, dm float64) {
		s, c := math.Sincos(theta / 2)
		a := segment(theta, s, c)
		// The first moment grows by the wetted area as the surface rises, and the
		// surface by D/4 sin(theta/2) a radian.
		return firstMoment(theta) + 8*k/a, a*s/32 - 16*k*s*s/(a*a)
	}
}

// firstMoment returns wetted area times the depth of its centroid below the
// surface, over the cube of the bore. The series takes over where the closed
// form loses its digits.
func firstMoment(theta float64) float64 {
	h := theta / 2
	if h < 0.05 {
		x := h * h
		return h * x * x / 60 * (1 - float64(x*11/42) + float64(x*x*17/504))
	}
	s, c := math.Sincos(h)
	return (float64(3*s) - float64(s*s*s) - float64(3*h*c)) / 24
}
