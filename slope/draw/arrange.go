package draw

import "github.com/trapweir/trapweir/units"

// rowApart is how far apart Arrange sets rows.
const rowApart = 5 * units.Foot

// Arrange gives places to the nodes of trees that have none, for a schematic: X grows away
// from the root, by the steps; the longest way from a node goes straight on, each other way turns off into the
// nearest row along Y where it lies over no other. parent is the node that each hangs on, -1 for a
// root; step how far apart the two are set, nought for one over the other. Trees stand in turn along Y.
// A node of a cycle stays at the origin.
func Arrange(parent []int32, step []units.Length) []Point {
	a := &arrangement{step: step, kids: make([][]int32, len(parent)), long: make([]units.Length, len(parent)),
		at: make([]Point, len(parent))}
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
	step   []units.Length
	kids   [][]int32
	long   []units.Length // longest way beyond each node
	at     []Point
	rows   map[int][]stretch
	lo, hi int          // rows in use
	base   units.Length // of row 0 of the tree in hand
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
		for _, c := range a.kids[order[k]] {
			a.long[order[k]] = max(a.long[order[k]], a.long[c]+a.step[c])
		}
	}
	a.rows, a.lo, a.hi = map[int][]stretch{}, 0, 0
	type turn struct {
		node, off int32
		row       int
	}
	for queue := []turn{{root, -1, 0}}; len(queue) > 0; queue = queue[1:] {
		t := queue[0]
		x := units.Length(0)
		if t.off >= 0 {
			x = a.at[t.off].X
			t.row = a.free(t.row, stretch{x, x + a.step[t.node] + a.long[t.node], t.off})
		} else {
			a.take(0, stretch{0, a.long[t.node], -1})
		}
		for n := t.node; n >= 0; {
			if n != root {
				x += a.step[n]
			}
			a.at[n] = Point{X: x, Y: units.Length(t.row) * rowApart}
			main := a.main(n)
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

// main is the node that goes straight on from another, -1 if none does.
func (a *arrangement) main(n int32) int32 {
	best := int32(-1)
	for _, c := range a.kids[n] {
		if best < 0 || a.long[c]+a.step[c] > a.long[best]+a.step[best] {
			best = c
		}
	}
	return best
}

// free takes the nearest row to a row where a stretch lies over no other and the way to it
// crosses none.
func (a *arrangement) free(row int, s stretch) int {
	const most = 40 // rows to try on either side
	open := [2]bool{true, true}
	for d := 1; d <= most && (open[0] || open[1]); d++ {
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

func (a *arrangement) take(row int, s stretch) int {
	a.rows[row] = append(a.rows[row], s)
	a.lo, a.hi = min(a.lo, row), max(a.hi, row)
	return row
}
