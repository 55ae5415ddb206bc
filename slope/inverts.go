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
	Parent []int32 `json:"parent"`
	// Order lists the points to be computed, each after the one it drains to. Nil
	// means 0, 1, 2, ... A part of a layout is done by listing that part.
	Order []int32 `json:"order"`
	// Run is the horizontal length of the run below each point, zero or more.
	Run []units.Length `json:"run"`
	// Grade is the grade of the run below each point, falling towards the outlet.
	Grade []Grade `json:"grade"`
	// Drop is what the lower end of each run lies above the invert it comes to,
	// at a manhole, a fitting, or a join above the invert. Nil means none.
	Drop []units.Length `json:"drop"`
}

// Inverts computes every invert of a tree in one pass from the outlet upward:
//
//	lower[i] = upper[Parent[i]] + Drop[i]     (outlet + Drop[i] where Parent[i] is -1)
//	upper[i] = lower[i] + Grade[i].Over(Run[i])
//
// upper[i] is the invert at point i, lower[i] the invert of its run at the other
// end. lower and upper have the length of Parent; entries not in Order are left
// alone, and a listed point may drain to one of them, whose upper invert is then
// taken as it stands.
//
// Falls are summed to 1/4096 nm and rounded once, so that a run cut in pieces
// reaches the same invert as the whole: three runs of 1 in at 1/4 in/ft rise
// 1/16 in exactly. The work is linear in the number of points and allocates
// nothing. The first faulty point is named by its index, with upper and lower
// then holding nothing of use; the error matches [ErrTree].
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
	for k := range count {
		i := t.point(k)
		if i < 0 || i >= n {
			return fmt.Errorf("%w: order names point %d of %d", ErrTree, i, n)
		}
		upper[i] = unset
	}
	for k := range count {
		i := t.point(k)
		if upper[i] != unset {
			return fmt.Errorf("%w: order names point %d twice", ErrTree, i)
		}
		at := int64(outlet) << fineBits
		if p := t.Parent[i]; p != -1 {
			if p < 0 || int(p) >= n {
				return fmt.Errorf("%w: point %d drains to point %d of %d", ErrTree, i, p, n)
			}
			switch up := upper[p]; {
			case up == unset:
				return fmt.Errorf("%w: point %d comes before point %d, to which it drains", ErrTree, i, p)
			case up > units.MaxLength:
				at = int64(up) - fineMark
			case up < -units.MaxLength:
				return fmt.Errorf("%w: point %d drains to point %d, whose invert is out of range", ErrTree, i, p)
			default:
				at = int64(up) << fineBits
			}
		}
		if t.Drop != nil {
			d := t.Drop[i]
			if !d.Valid() {
				return fmt.Errorf("%w: point %d: drop of %d nm is out of range", ErrTree, i, int64(d))
			}
			at += int64(d) << fineBits
		}
		run := t.Run[i]
		if run < 0 || run > units.MaxLength {
			return fmt.Errorf("%w: point %d: run of %d nm is negative or out of range", ErrTree, i, int64(run))
		}
		fall := int64(t.Grade[i].Over(run << fineBits))
		if !isFine(fall) || !isFine(at) || !isFine(at+fall) {
			return fmt.Errorf("%w: point %d: its invert is out of range", ErrTree, i)
		}
		lower[i], upper[i] = fromFine(at), units.Length(at+fall+fineMark)
	}
	for k := range count {
		i := t.point(k)
		upper[i] = fromFine(int64(upper[i]) - fineMark)
	}
	return nil
}

// point is the point that is computed in its turn.
func (t *Tree) point(turn int) int {
	if t.Order != nil {
		return int(t.Order[turn])
	}
	return turn
}

// While the pass runs, an invert is held in 1/4096 nm. A valid length leaves room
// for that in its 64 bits, so that the output serves as the only store: an upper
// invert under way has fineMark added, which puts it beyond every valid length
// and so apart from one that an earlier call finished. A point whose parent is
// still unset comes too early, or on a cycle.
const (
	fineBits              = 12
	fineMark              = 1 << 62
	fineMax               = int64(units.MaxLength) << fineBits
	unset    units.Length = math.MinInt64
)

func isFine(x int64) bool { return -fineMax <= x && x <= fineMax }

// fromFine rounds 1/4096 nm to nanometres, half to even.
func fromFine(x int64) units.Length {
	const half = 1 << (fineBits - 1)
	q := x >> fineBits
	if r := x & (1<<fineBits - 1); r > half || r == half && q&1 == 1 {
		q++
	}
	return units.Length(q)
}
