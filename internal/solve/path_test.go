package solve

import (
	"errors"
	"math"
	"testing"
)

// visit runs Rising and returns where it evaluated f, too.
func visit(t *testing.T, f fn, lo, hi, start, tol float64) (root float64, at []float64, err error) {
	t.Helper()
	root, n, err := Rising(func(x float64) (float64, float64, float64) {
		at = append(at, x)
		return f(x)
	}, lo, hi, start, tol)
	if err == nil || errors.Is(err, ErrNoConvergence) {
		if n != len(at) {
			t.Errorf("says %d evaluations, made %d", n, len(at))
		}
	}
	return root, at, err
}

// line is x - root; with lies its derivative has the wrong sign, so that every step
// leaves the bracket and the search bisects.
func line(root float64, lies bool) fn {
	dy := 1.0
	if lies {
		dy = -1
	}
	return func(x float64) (float64, float64, float64) { return x - root, dy, 0 }
}

// Where the search looks, step by step, worked out by hand.
func TestPath(t *testing.T) {
	// Of x^4 with a sign a Newton step is -x/4: three quarters of the one before, so
	// that from the third on it bisects.
	quartic := func(x float64) (float64, float64, float64) {
		return x * x * x * math.Abs(x), 4 * x * x * math.Abs(x), 0
	}
	// Of x^2 with a sign it is -x/2: half of the one before, which is enough.
	square := func(x float64) (float64, float64, float64) { return x * math.Abs(x), 2 * math.Abs(x), 0 }
	for _, c := range []struct {
		name          string
		f             fn
		lo, hi, start float64
		tol           float64
		want          []float64 // the first places
		root          float64   // NaN: not compared
		only          bool
	}{
		{"steps that do not halve", quartic, -3, 1.5, 1, 1e-9,
			[]float64{1, 0.75, 0.5625, -1.21875, -0.9140625, -0.17578125, -0.1318359375}, math.NaN(), false},
		{"steps that halve", square, -3, 1.5, 1, 1e-9, []float64{1, 0.5, 0.25, 0.125, 0.0625}, math.NaN(), false},
		{"start on the left end", line(1.25, false), 0, 4, 0, 1e-9, []float64{2, 1.25}, 1.25, true},
		{"start on the right end", line(1.25, false), 0, 4, 4, 1e-9, []float64{2, 1.25}, 1.25, true},
		{"a bracket off zero", line(3, false), 2, 8, 1, 1e-9, []float64{5, 3}, 3, true},
		{"a step onto the left end", line(0, false), 0, 2, 1, 1e-9, []float64{1, 0}, 0, true},
		{"a step onto the right end", line(2, false), 0, 2, 1, 1e-9, []float64{1, 2}, 2, true},
		{"a step as long as the tolerance", line(0.5, false), 0, 2, 1, 0.5, []float64{1}, 0.5, true},
		{"a bisection as long as the tolerance", line(3.1, true), 0, 4, 2, 0.5, []float64{2, 4}, 3, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			root, at, err := visit(t, c.f, c.lo, c.hi, c.start, c.tol)
			if !math.IsNaN(c.root) && (err != nil || root != c.root) {
				t.Errorf("root %v, %v; want %v", root, err, c.root)
			}
			if len(at) < len(c.want) || c.only && len(at) != len(c.want) {
				t.Fatalf("looked at %v, want %v", at, c.want)
			}
			for i, x := range c.want {
				if at[i] != x {
					t.Fatalf("looked at %v, want %v", at[:len(c.want)], c.want)
				}
			}
		})
	}
}

// A search that can only bisect ends at the tolerance, or, with none to speak of,
// where two neighbouring numbers leave no room; the middle then is one of the two,
// sometimes the left, sometimes the right.
func TestBisection(t *testing.T) {
	for _, root := range []float64{0.1, 0.3, 0.7, 1.1, 1.3, 1.7, 1.9} {
		got, at, err := visit(t, line(root, true), 0, 2, 0.9, 1e-9)
		if err != nil || math.Abs(got-root) > 2e-9*root || len(at) > 36 {
			t.Errorf("%v: %v after %d, %v", root, got, len(at), err)
		}
		got, at, err = visit(t, func(x float64) (float64, float64, float64) {
			return math.Copysign(1, x-root*(1+1e-16)), -1, 0 // never 0
		}, 0, 2, 0.9, 1e-300)
		if err != nil || math.Abs(got-root) > 4e-16 || len(at) > 60 {
			t.Errorf("%v: %v after %d, %v", root, got, len(at), err)
		}
	}
}

// A root at 0 between ends of unlike size is never met, and relative to x no step
// gets small: the search gives up after MaxEvaluations.
func TestGivesUp(t *testing.T) {
	_, at, err := visit(t, line(0, true), -1, 2, 0.5, 1e-9)
	if !errors.Is(err, ErrNoConvergence) || len(at) != MaxEvaluations {
		t.Errorf("%d evaluations, %v", len(at), err)
	}
}

// The ends are looked at last: a root there is found, and none if both sides agree.
func TestEnds(t *testing.T) {
	step := func(at float64) fn { // -1 left of it, 0 on it, 1 right of it
		return func(x float64) (float64, float64, float64) {
			switch {
			case x < at:
				return -1, -1, 0
			case x > at:
				return 1, -1, 0
			}
			return 0, -1, 0
		}
	}
	for _, c := range []struct {
		at   float64
		want float64
		err  error
	}{{1, 1, nil}, {2, 2, nil}, {0.99, 0, ErrNoRoot}, {2.01, 0, ErrNoRoot}} {
		got, _, err := visit(t, step(c.at), 1, 2, 1.3, 1e-9)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("change of sign at %v: %v, %v", c.at, got, err)
		}
	}
}
