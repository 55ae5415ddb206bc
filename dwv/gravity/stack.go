package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// Stack is a flow that falls down a vertical stack as a sheet on its wall.
type Stack struct {
	Bore units.Length `json:"bore"`
	Fill float64      `json:"fill"` // part of the cross-section that is water
	Flow units.Flow   `json:"flow"`
	// TerminalVelocity is where the weight of the sheet and the friction of the
	// wall balance; TerminalLength is the fall by which it is reached. A taller
	// stack gains no speed.
	TerminalVelocity units.Velocity `json:"terminal_velocity"`
	TerminalLength   units.Length   `json:"terminal_length"`
	// TerminalMetres is TerminalLength before it is rounded to a nanometre.
	TerminalMetres float64 `json:"terminal_metres"`
}

// StackCapacity returns the flow with which a stack is filled to a fraction of
// its cross-section. Codes that were made from it take 1/4 to 7/24 for stacks
// and 1/3 as the limit beyond which the air core breaks up.
//
//	Q = 27.8 r^(5/3) d^(8/3)    Q in gpm, d in inches
//
// Units: as given above, converted inside. Valid: 0 < fill <= 1; the formula
// stands for fills up to about 1/3, in rough (cast-iron) pipe.
// Source: Wyly and Eaton, Capacities of plumbing stacks in buildings, National
// Bureau of Standards BMS 132 (1952) and Monograph 31 (1961) (recalled).
func StackCapacity(bore units.Length, fill float64) (Stack, error) {
	if err := errors.Join(boreInRange(bore), fillInRange(fill)); err != nil {
		return Stack{}, err
	}
	d := bore.Inches()
	q := stackFactor * cubeRootPower(fill, 5) * cubeRootPower(d, 8)
	return stackFlow(bore, fill, q), nil
}

// StackFill returns how far a flow fills a stack; the inverse of
// [StackCapacity]. A flow that would need more than the whole bore is a
// [units.RangeError].
func StackFill(bore units.Length, q units.Flow) (Stack, error) {
	if err := boreAndFlow(bore, q); err != nil {
		return Stack{}, err
	}
	d := bore.Inches()
	gpm := float64(q / units.USGallonPerMinute)
	fill := fifthRootCubed(gpm / (stackFactor * cubeRootPower(d, 8)))
	if fill > 1 {
		most := units.Flow(stackFactor*cubeRootPower(d, 8)) * units.USGallonPerMinute
		return Stack{}, argument.Outside("flow", argument.Litres(q),
			"at most "+argument.Litres(most)+", which fills the stack")
	}
	return stackFlow(bore, fill, gpm), nil
}

// StackBoreFor returns the bore that a flow fills to a fraction of its
// cross-section.
func StackBoreFor(q units.Flow, fill float64) (units.Length, error) {
	if err := errors.Join(fillInRange(fill), argument.CheckPositiveFlow(q)); err != nil {
		return 0, err
	}
	x := math.Cbrt(float64(q/units.USGallonPerMinute) / (stackFactor * cubeRootPower(fill, 5))) // d^(8/9)
	bore := units.Inches(x * math.Sqrt(math.Sqrt(math.Sqrt(x))))
	return bore, boreInRange(bore)
}

// The factors of the three formulas, for gpm, inches, feet per second and feet.
const (
	stackFactor    = 27.8
	terminalFactor = 3.0
	lengthFactor   = 0.052
)

// stackFlow adds terminal velocity and length.
//
//	V = 3.0 (Q/d)^(2/5)    L = 0.052 V^2    V in ft/s, Q in gpm, d in inches, L in ft
//
// Source: as [StackCapacity].
func stackFlow(bore units.Length, fill, gpm float64) Stack {
	v := terminalFactor * math.Pow(gpm/bore.Inches(), 2.0/5)
	return Stack{
		Bore: bore, Fill: fill,
		Flow:             units.Flow(gpm) * units.USGallonPerMinute,
		TerminalVelocity: units.Velocity(v) * units.FootPerSecond,
		TerminalLength:   units.Feet(lengthFactor * v * v),
		TerminalMetres:   lengthFactor * v * v * float64(units.Foot) / float64(units.Metre),
	}
}

// cubeRootPower returns x^(n/3) by way of the cube root, which gives the same
// bits on every machine.
func cubeRootPower(x float64, n int) float64 {
	c := math.Cbrt(x)
	p := 1.0
	for range n {
		p *= c
	}
	return p
}

// fifthRootCubed returns x^(3/5).
func fifthRootCubed(x float64) float64 { return math.Pow(x, 3.0/5) }

func fillInRange(fill float64) error {
	if fill > 0 && fill <= 1 {
		return nil
	}
	return argument.Outside("fill", argument.Number(fill), "greater than 0 and at most 1")
}

func boreInRange(bore units.Length) error {
	if bore > 0 && bore.Valid() {
		return nil
	}
	return argument.Outside("bore", argument.Number(bore.Metres())+" m", "positive and at most 1000 km")
}

func boreAndFlow(bore units.Length, q units.Flow) error {
	return errors.Join(boreInRange(bore), argument.CheckPositiveFlow(q))
}
