package draw

import "github.com/trapweir/trapweir/units"

// rowApart is how far apart Arrange sets rows.
const rowApart = 5 * units.Foot

const mostRows = 40 // to try on either side

// Arrange gives places to the nodes of trees that have none, for a schematic: X grows away
// from the root, by the steps; the longest way from a node goes straight on, each other way turns off into the
// nearest row along Y where it lies over no other. parent is the node that each hangs on, -1 for a
// root; step how far apart the two are set, nought for one over the other. Trees stand in turn along Y.
// A node of a cycle stays at the origin.
func Arrange(parent []int32, step []units.Length) []Point {
	return (&arrangement{step: step}).all(parent)
}

// ArrangeInHeight is [Arrange] for an isometric, of nodes at these heights: a way turns off into
// the nearest row where it lies over no other as one looks at it from aslant, for there a row that
// is higher up hides one that is farther off. X grows away from the root, or with left falls.
func ArrangeInHeight(parent []int32, step, height []units.Length, left bool) []Point {
	a := &arrangement{step: step, height: height, right: 1}
	if left {
		a.right = -1
	}
	at := a.all(parent)
	for i := range at {
		at[i].X, at[i].Z = a.right*at[i].X, height[i]
	}
	return at
}

func (a *arrangement) all(parent []int32) []Point {
	a.stood = map[int32]bool{}
	a.kids, a.long, a.at = make([][]int32, len(parent)), make([]units.Length, len(parent)), make([]Point, len(parent))
	a.main = make([]int32, len(parent))
	for i, p := range parent {
		if p >= 0 {
			a.kids[p] = append(a.kids[p], int32(i))
		}
	}
	for i, p := range parent {
		if p < 0 {
			a.tree(int32(i))
		}
	}
	return a.at
}

type arrangement struct {
	step []units.Length
	// height of each node, nil for a plan. Then seen are the cells of the picture that are taken,
	// each with the node where the way there turned off, and right tells which way X grows in it.
	height []units.Length
	seen   map[flat]int32
	right  units.Length

	kids   [][]int32
	long   []units.Length // longest way beyond each node
	main   []int32        // the node that goes straight on from each, -1 if none does
	at     []Point
	rows   map[int][]stretch // of a plan
	used   map[rowOf]bool    // of an isometric
	stood  map[int32]bool    // nodes that a riser stands on
	lo, hi int               // rows in use
	base   units.Length      // of row 0 of the tree in hand
}

// rowOf is a row into which a way turned off at a node.
type rowOf struct {
	row int
	off int32
}

// stretch is a part of a row that is taken, by a way that turned off at a node.
type stretch struct {
	from, to units.Length
	off      int32
}

func (a *arrangement) tree(root int32) {
	order := []int32{root}
	for k := 0; k < len(order); k++ {
		order = append(order, a.kids[order[k]]...)
	}
	for k := len(order) - 1; k >= 0; k-- {
		n, best := order[k], int32(-1)
		for _, c := range a.kids[n] {
			if best < 0 || a.long[c]+a.step[c] > a.long[best]+a.step[best] {
				best = c
			}
		}
		if a.main[n] = best; best >= 0 {
			a.long[n] = a.long[best] + a.step[best]
		}
	}
	a.rows, a.lo, a.hi, a.seen, a.used = map[int][]stretch{}, 0, 0, map[flat]int32{}, map[rowOf]bool{}
	type turn struct {
		node, off int32
		row       int
	}
	for queue := []turn{{root, -1, 0}}; len(queue) > 0; queue = queue[1:] {
		t := queue[0]
		x := units.Length(0)
		if t.off >= 0 {
			x = a.at[t.off].X
		}
		switch {
		case t.off < 0:
			a.take(0, stretch{0, a.long[t.node], -1})
			a.see(a.way(root, -1, 0), -1, root)
		case a.height != nil:
			t.row = a.apart(t.node, t.off, t.row)
		case a.step[t.node]+a.long[t.node] == 0 && a.stand(t.off): // a riser, seen from above
		case a.stack(t.node, t.off): // what enters it turns off
			a.at[t.node] = Point{X: x, Y: units.Length(t.row) * rowApart}
			for _, c := range a.kids[t.node] {
				queue = append(queue, turn{c, t.node, t.row})
			}
			continue
		default:
			t.row = a.free(t.row, stretch{x, x + a.step[t.node] + a.long[t.node], t.off})
		}
		for n := t.node; n >= 0; {
			if n != root {
				x += a.step[n]
			}
			a.at[n] = Point{X: x, Y: units.Length(t.row) * rowApart}
			main := a.main[n]
			for _, c := range a.kids[n] {
				if c != main {
					queue = append(queue, turn{c, n, t.row})
				}
			}
			n = main
		}
	}
	a.base -= units.Length(a.lo) * rowApart
	for _, n := range order {
		a.at[n].Y += a.base
	}
	a.base += units.Length(a.hi+2) * rowApart
}

// stand reports whether a riser can stand on a node, and takes the place: no other stands there.
func (a *arrangement) stand(off int32) bool {
	main := a.main[off]
	if a.stood[off] || a.height != nil && main >= 0 && a.step[main] == 0 {
		return false
	}
	a.stood[off] = true
	return true
}

// stack reports whether a node is a riser, with more on it, that can stand where it turned off, and
// takes the place. Two stacks on one point would hide each other.
func (a *arrangement) stack(node, off int32) bool {
	main := a.main[off]
	return a.step[node] == 0 && (main == node || a.step[main] != 0) && a.stand(off)
}

// free takes the nearest row to a row where a stretch lies over no other and the way to it
// crosses none.
func (a *arrangement) free(row int, s stretch) int {
	open := [2]bool{true, true}
	for d := 1; d <= mostRows && (open[0] || open[1]); d++ {
		for side, r := range [...]int{row + d, row - d} {
			if !open[side] {
				continue
			}
			clear, pass := true, true
			for _, t := range a.rows[r] {
				clear = clear && (s.from > t.to+rowApart || t.from > s.to+rowApart)
				pass = pass && (t.off == s.off || s.from > t.to || t.from > s.from)
			}
			if clear {
				return a.take(r, s)
			}
			open[side] = pass
		}
	}
	return a.take(a.hi+1, s)
}

const (
	seenCell  = 18 * units.Inch // ways keep so far apart, at least
	besideOff = 4 * seenCell    // from where a way turns off it may be nearer to others
)

// apart takes the nearest row where the way from a node on lies, in the picture, beside all
// others. If there is none it takes a new row: the line to that goes over much in any case, so that its
// cells, which would be ever more, are not taken.
func (a *arrangement) apart(node, off int32, row int) int {
	best, ok := a.nearest(node, off, row)
	way := a.way(node, off, best)
	if ok {
		a.see(way[:2], off, off)
	}
	a.see(way[1:], off, node)
	a.used[rowOf{best, off}] = true
	a.lo, a.hi = min(a.lo, best), max(a.hi, best)
	return best
}

func (a *arrangement) nearest(node, off int32, row int) (best int, ok bool) {
	riser := a.step[node] == 0 // what goes straight up stands over where it turns off, if it can
	if riser && (a.long[node] == 0 || a.beside(a.way(node, off, row), off)) && a.stand(off) {
		return row, true
	}
	for d := 1; d <= mostRows; d++ {
		for _, r := range [...]int{row + d, row - d} {
			if !a.used[rowOf{r, off}] && a.beside(a.way(node, off, r), off) {
				return r, true
			}
		}
	}
	return a.hi + 1, false
}

// way is where the nodes that go straight on from a node lie in the picture, if that turns
// off into a row; none for a plan.
func (a *arrangement) way(node, off int32, row int) (way []flat) {
	if a.height == nil {
		return nil
	}
	at := Point{}
	next := func(n int32) {
		at.Z = a.height[n]
		way = append(way, inIsometric(Point{X: a.right * at.X, Y: at.Y, Z: at.Z}))
	}
	if off >= 0 {
		at = a.at[off]
		next(off)
		at.Y = units.Length(row) * rowApart
		next(off)
	}
	for n := node; n >= 0; n = a.main[n] {
		if off >= 0 || n != node {
			at.X += a.step[n]
		}
		next(n)
	}
	return way
}

// cellsOf calls do for the cells that a way goes through, until it is false.
func cellsOf(way []flat, do func(cell, at flat) bool) {
	for i := 1; i < len(way); i++ {
		p, q := way[i-1], way[i]
		du, dv := q.u-p.u, q.v-p.v
		n := 2*max(du, -du, dv, -dv)/int64(seenCell) + 1
		for k := range n + 1 {
			at := flat{p.u + du*k/n, p.v + dv*k/n}
			if !do(flat{at.u / int64(seenCell), at.v / int64(seenCell)}, at) {
				return
			}
		}
	}
}

// within tells whether a place lies near another.
func within(p, q flat) bool {
	return max(p.u-q.u, q.u-p.u, p.v-q.v, q.v-p.v) < int64(besideOff)
}

// beside reports whether a way lies beside all others; those that turn off with it may share the
// line to their rows.
func (a *arrangement) beside(way []flat, off int32) bool {
	ok := true
	cellsOf(way, func(cell, at flat) bool {
		other, taken := a.seen[cell]
		ok = !taken || other == off || within(at, way[0])
		return ok
	})
	return ok
}

// see takes the cells of a way and those about them for itself; where it begins, for all that turn off
// there.
func (a *arrangement) see(way []flat, off, node int32) {
	cellsOf(way, func(cell, at flat) bool {
		by := node
		if off >= 0 && within(at, way[0]) {
			by = off
		}
		for u := cell.u - 1; u <= cell.u+1; u++ {
			for v := cell.v - 1; v <= cell.v+1; v++ {
				if _, taken := a.seen[flat{u, v}]; !taken {
					a.seen[flat{u, v}] = by
				}
			}
		}
		return true
	})
}

func (a *arrangement) take(row int, s stretch) int {
	a.rows[row] = append(a.rows[row], s)
	a.lo, a.hi = min(a.lo, row), max(a.hi, row)
	return row
}
