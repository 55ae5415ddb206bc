// Package solve finds the root of a function of one variable inside a bracket
// by Halley's method (or Newton's), falling back on bisection.
//
// The hydraulic formulas of this module are smooth and rise steadily once they
// are written in logarithms, so three or four evaluations do; the bracket makes
// sure that a poor start costs time, never the answer.
package solve

import (
	"errors"
	"math"
)

// MaxEvaluations bounds the work of one call of [Rising]. Bisection alone
// needs fewer than this to exhaust the digits of a float64 in a bracket whose
// ends are within a factor 2^40 of the root.
const MaxEvaluations = 128

var (
	// ErrNoRoot means that the function has the same sign at both ends.
	ErrNoRoot = errors.New("no root in the bracket")
	// ErrInput means that the bracket, the tolerance or a value of the function is
	// not a usable number.
	ErrInput = errors.New("bracket, tolerance or function value is not a usable number")
	// ErrNoConvergence means that MaxEvaluations did not bring the step below the
	// tolerance.
	ErrNoConvergence = errors.New("no convergence")
)

// Rising returns the root in [lo, hi] of a function that is negative on its left
// and positive on its right, and how often f was called.
//
// f returns its value and its first and second derivatives at x; with a second
// derivative of 0 the steps are Newton's. The search starts at start (the middle
// of the bracket if start lies outside it) and ends when a step is at most tol
// times |x|, that step taken. Near a simple root a Halley step cubes the error, a
// Newton step squares it: tol = 1e-6 (Halley) or 1e-8 (Newton) reaches the last
// digits of a float64.
//
// The ends are evaluated only when the search runs into one of them, where
// [ErrNoRoot] is found. Nothing is allocated.
//
// Source: Halley's iteration x - 2 f f' / (2 f'^2 - f f”) as in any text on
// numerical analysis; the safeguard is the usual one of bisecting when a step
// leaves the bracket or does not halve.
func Rising(f func(x float64) (y, dy, ddy float64), lo, hi, start, tol float64) (root float64, evaluations int,
	err error) {
	if !(lo < hi) || !(tol > 0) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return 0, 0, ErrInput
	}
	x := start
	if !(lo < x && x < hi) {
		x = lo + (hi-lo)/2
	}
	a, b := lo, hi
	last := 0.0 // the step before, looked at from the third on
	for n := 1; n <= MaxEvaluations; n++ {
		y, dy, ddy := f(x)
		switch {
		case y == 0:
			return x, n, nil
		case y < 0:
			a = x
		case y > 0:
			b = x
		default:
			return 0, n, ErrInput
		}
		step := -2 * y * dy / (2*dy*dy - y*ddy)
		next := x + step
		if math.Abs(step) <= tol*math.Abs(x) {
			return min(max(next, lo), hi), n, nil
		}
		if !(a <= next && next <= b) || math.Abs(step) > last/2 && n > 2 {
			next = a + (b-a)/2
			step = next - x
			if next <= a || next >= b || math.Abs(step) <= tol*math.Abs(x) {
				return atEnd(f, lo, hi, a, b, n)
			}
		}
		last, x = math.Abs(step), next
	}
	return 0, MaxEvaluations, ErrNoConvergence
}

// atEnd settles a bracket [a, b] that has closed. A side that was never moved
// has not shown its sign yet.
func atEnd(f func(x float64) (y, dy, ddy float64), lo, hi, a, b float64, n int) (float64, int, error) {
	if a == lo {
		n++
		switch y, _, _ := f(lo); {
		case y == 0:
			return lo, n, nil
		case y > 0:
			return 0, n, ErrNoRoot
		}
	}
	if b == hi {
		n++
		switch y, _, _ := f(hi); {
		case y == 0:
			return hi, n, nil
		case y < 0:
			return 0, n, ErrNoRoot
		}
	}
	return a + (b-a)/2, n, nil
}
