package slope

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/units"
)

// ErrTree is wrapped by every error about a tree of runs that cannot be graded.
var ErrTree = errors.New("tree of runs")

// Tree is a drainage tree as index slices. Point i drains to point Parent[i]
// through a run of length Run[i] laid at Grade[i]; Parent[i] is -1 at the outlet.
type Tree struct {
	// Parent holds, for each point, the point it drains to, or -1.
	Parent []int32
	// Order lists the points to be computed, each after the one it drains to. Nil
	// means 0, 1, 2, ... A part of a layout is done by listing that part.
	Order []int32
	// Run is the horizontal length of the run below each point, zero or more.
	Run []units.Length
	// Grade is the grade of the run below each point, falling towards the outlet.
	Grade []Grade
	// Drop is what the lower end of each run lies above the invert it comes to,
	// at a manhole, a fitting, or a join above the invert. Nil means none.
	Drop []units.Length
}

// Inverts computes every invert of a tree in one pass from the outlet upward:
//
//	lower[i] = upper[Parent[i]] + Drop[i]     (outlet + Drop[i] where Parent[i] is -1)
//	upper[i] = lower[i] + Grade[i].Over(Run[i])
//
// upper[i] is the invert at point i, lower[i] the invert of its run at the other
// end. lower and upper have the length of Parent; entries not in Order are left
// alone. Each fall is rounded once, to the nearest nanometre. The work is linear
// in the number of points and allocates nothing. The first faulty point is named
// by its index; the error matches [ErrTree].
func Inverts(t Tree, outlet units.Length, lower, upper []units.Length) error {
	n := len(t.Parent)
	if len(t.Run) != n || len(t.Grade) != n || len(lower) != n || len(upper) != n || t.Drop != nil && len(t.Drop) != n {
		return fmt.Errorf("%w: parent, run, grade, drop, lower and upper have %d, %d, %d, %d, %d, %d entries",
			ErrTree, n, len(t.Run), len(t.Grade), len(t.Drop), len(lower), len(upper))
	}
	if !outlet.Valid() {
		return fmt.Errorf("%w: outlet invert of %d nm is out of range", ErrTree, int64(outlet))
	}
	count := n
	if t.Order != nil {
		count = len(t.Order)
	}
	// A point whose parent is still unset comes too early, or on a cycle.
	const unset units.Length = math.MinInt64
	for k := range count {
		i := k
		if t.Order != nil {
			i = int(t.Order[k])
			if i < 0 || i >= n {
				return fmt.Errorf("%w: order names point %d of %d", ErrTree, i, n)
			}
		}
		upper[i] = unset
	}
	for k := range count {
		i := k
		if t.Order != nil {
			i = int(t.Order[k])
		}
		at := outlet
		if p := t.Parent[i]; p != -1 {
			if p < 0 || int(p) >= n {
				return fmt.Errorf("%w: point %d drains to point %d of %d", ErrTree, i, p, n)
			}
			at = upper[p]
			if at == unset {
				return fmt.Errorf("%w: point %d comes before point %d, to which it drains", ErrTree, i, p)
			}
			if !at.Valid() {
				return fmt.Errorf("%w: point %d drains to point %d, whose invert is out of range", ErrTree, i, p)
			}
		}
		if t.Drop != nil {
			d := t.Drop[i]
			if !d.Valid() {
				return fmt.Errorf("%w: point %d: drop of %d nm is out of range", ErrTree, i, int64(d))
			}
			at += d
		}
		run := t.Run[i]
		if run < 0 || run > units.MaxLength {
			return fmt.Errorf("%w: point %d: run of %d nm is negative or out of range", ErrTree, i, int64(run))
		}
		fall := t.Grade[i].Over(run)
		if !fall.Valid() || !at.Valid() || !(at + fall).Valid() {
			return fmt.Errorf("%w: point %d: its invert is out of range", ErrTree, i)
		}
		lower[i], upper[i] = at, at+fall
	}
	return nil
}
