package draw

import (
	"math"
	"slices"
)

// box is an upright rectangle on paper, in hundredths of a point.
type box struct{ x0, y0, x1, y1 int }

func (a box) meets(b box) bool { return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 }
func (a box) holds(b box) bool { return a.x0 <= b.x0 && b.x1 <= a.x1 && a.y0 <= b.y0 && b.y1 <= a.y1 }
func (a box) grown(d int) box  { return box{a.x0 - d, a.y0 - d, a.x1 + d, a.y1 + d} }
func about(p, q spot) box      { return box{min(p.x, q.x), min(p.y, q.y), max(p.x, q.x), max(p.y, q.y)} }
func around(p spot, d int) box { return box{p.x, p.y, p.x, p.y}.grown(d) }

// corners are those of the box, in turn.
func (a box) corners() []spot { return []spot{{a.x0, a.y0}, {a.x1, a.y0}, {a.x1, a.y1}, {a.x0, a.y1}} }

// met reports whether the way from p to q enters the box.
func (a box) met(p, q spot) bool {
	if max(p.x, q.x) <= a.x0 || min(p.x, q.x) >= a.x1 || max(p.y, q.y) <= a.y0 || min(p.y, q.y) >= a.y1 {
		return false
	}
	dx, dy := int64(q.x-p.x), int64(q.y-p.y)
	side := func(x, y int) int64 { return dx*int64(y-p.y) - dy*int64(x-p.x) }
	s1, s2, s3, s4 := side(a.x0, a.y0), side(a.x1, a.y0), side(a.x0, a.y1), side(a.x1, a.y1)
	return !(s1 > 0 && s2 > 0 && s3 > 0 && s4 > 0) && !(s1 < 0 && s2 < 0 && s3 < 0 && s4 < 0)
}

// crosses reports whether the ways from a to b and from c to d cross.
func crosses(a, b, c, d spot) bool {
	side := func(p, q, r spot) int64 {
		return int64(q.x-p.x)*int64(r.y-p.y) - int64(q.y-p.y)*int64(r.x-p.x)
	}
	s1, s2, s3, s4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	return (s1 < 0) != (s2 < 0) && (s3 < 0) != (s4 < 0)
}

// thing is what a label must keep clear of.
type thing struct {
	kind  kind
	owner int // group it belongs to
	box   box // of a line: from (x0, y0) to (x1, y1)
	about box // the upright rectangle about it
	// more are the groups of further lines of the drawing from and to the same places, or of further symbols in the
	// same box, and cells where all of these lie: where thousands of runs come to one outlet, as many lines lie over
	// one another.
	more, cells []int32
}

// others are how many of the lines are not of an owner.
func (t *thing) others(owner int) (n int) {
	if t.owner != owner {
		n = 1
	}
	for _, by := range t.more {
		if int(by) != owner {
			n++
		}
	}
	return n
}

// ofOthers tells whether any of the lines is not of an owner.
func (t *thing) ofOthers(owner int) bool {
	return t.owner != owner || slices.ContainsFunc(t.more, func(by int32) bool { return int(by) != owner })
}

type kind uint8

const (
	solid  kind = iota // text: nothing may touch it
	symbol             // a symbol: only a leader from its own place may touch it
	stroke             // a line of the drawing: a leader may cross it
	leader             // from a label to its place
)

// room knows what lies where on a sheet: things by cells of a grid.
type room struct {
	area    box
	columns int
	rows    int
	cells   [][]int32
	count   []int32 // things in each cell, with those that lie over one another
	things  []thing
	drawn   map[drawnAt]int32 // symbols and lines of the drawing, by where they lie
	// looks are how many more things may be looked at for places at the end of leaders: on a
	// sheet with more lines than anybody can read, labels soon go into the list.
	looks int
}

// drawnAt is where a symbol lies, or a line runs.
type drawnAt struct {
	kind kind
	box  box
}

// mostLooks is what all sheets of a drawing may look at together.
const mostLooks = 40_000_000

const cell = 1500 // side of a cell of the grid

func newRoom(area box) *room {
	r := &room{area: area, looks: mostLooks, columns: (area.x1-area.x0)/cell + 1, rows: (area.y1-area.y0)/cell + 1}
	r.cells, r.count = make([][]int32, r.columns*r.rows), make([]int32, r.columns*r.rows)
	r.drawn = map[drawnAt]int32{}
	return r
}

// span returns the cells that a stretch of the sheet lies in.
func span(lo, hi, n int) (int, int) { return max(0, min(lo/cell, n-1)), max(0, min(hi/cell, n-1)) }

// span returns the columns and rows of cells that a box lies in.
func (r *room) span(b box) (x0, x1, y0, y1 int) {
	x0, x1 = span(b.x0-r.area.x0, b.x1-r.area.x0, r.columns)
	y0, y1 = span(b.y0-r.area.y0, b.y1-r.area.y0, r.rows)
	return x0, x1, y0, y1
}

func (r *room) over(b box, do func(cell int, c box) bool) {
	x0, x1, y0, y1 := r.span(b)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			left, top := r.area.x0+x*cell, r.area.y0+y*cell
			if !do(y*r.columns+x, box{left, top, left + cell, top + cell}) {
				return
			}
		}
	}
}

// add says that text, or a symbol, lies in a box.
func (r *room) add(k kind, b box, owner int) {
	r.put(thing{kind: k, owner: owner, box: b, about: b}, func(box) bool { return true })
}

// addLine says that a line, or a leader, goes from p to q.
func (r *room) addLine(k kind, p, q spot, owner int) {
	way := box{p.x, p.y, q.x, q.y}
	r.put(thing{kind: k, owner: owner, box: way, about: about(p, q)}, func(c box) bool { return c.grown(1).met(p, q) })
}

func (r *room) put(t thing, in func(box) bool) {
	kept, where := t.kind == stroke || t.kind == symbol, drawnAt{t.kind, t.box}
	if n, ok := r.drawn[where]; ok && kept {
		first := &r.things[n]
		first.more = append(first.more, int32(t.owner))
		for _, i := range first.cells {
			r.count[i]++
		}
		return
	}
	n := int32(len(r.things))
	r.things = append(r.things, t)
	if kept {
		r.drawn[where] = n
	}
	r.over(t.about, func(i int, c box) bool {
		if in(c) {
			r.cells[i] = append(r.cells[i], n)
			r.count[i]++
			if put := &r.things[n]; kept {
				put.cells = append(put.cells, int32(i))
			}
		}
		return true
	})
}

// free reports whether a box lies in the area and meets nothing, so far from the lines of
// others. With own, lines of that owner do not count.
func (r *room) free(b box, owner, gap int, own bool) bool {
	if !r.area.holds(b) {
		return false
	}
	wide := b.grown(gap)
	x0, x1, y0, y1 := r.span(wide)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			here := r.cells[y*r.columns+x]
			r.looks -= int(r.count[y*r.columns+x]) + 1
			for _, n := range here {
				t := &r.things[n]
				if !t.about.meets(wide) {
					continue // most that share a cell
				}
				p, q := spot{t.box.x0, t.box.y0}, spot{t.box.x1, t.box.y1}
				switch {
				case t.kind == solid || t.kind == symbol:
					if t.box.meets(b) {
						return false
					}
				case t.ofOthers(owner):
					if wide.met(p, q) {
						return false
					}
				case !own && b.met(p, q):
					return false
				}
			}
		}
	}
	return true
}

// along reports whether a line of others lies on the way from p to q for more than a short stretch.
func (r *room) along(p, q spot, owner int) bool {
	const near, short = 200, 600
	dx, dy := float64(q.x-p.x), float64(q.y-p.y)
	long := math.Hypot(dx, dy)
	// How far a place is along the way and beside it.
	where := func(x, y int) (float64, float64) {
		u, v := float64(x-p.x), float64(y-p.y)
		return (float64(u*dx) + float64(v*dy)) / long, (float64(v*dx) - float64(u*dy)) / long
	}
	found := false
	r.over(about(p, q).grown(near), func(i int, _ box) bool {
		for _, n := range r.cells[i] {
			t := &r.things[n]
			if t.kind != stroke || !t.ofOthers(owner) {
				continue
			}
			a0, s0 := where(t.box.x0, t.box.y0)
			a1, s1 := where(t.box.x1, t.box.y1)
			if max(s0, s1) < near && min(s0, s1) > -near && min(max(a0, a1), long)-max(min(a0, a1), 0) > short {
				found = true
				return false
			}
		}
		return true
	})
	return found
}

// clear reports whether a leader of an owner may go from its place to q, past all text and symbols but
// those about its place, and, unless it may go across, past all other leaders; and over how many lines
// of others it goes, as far as it may.
func (r *room) clear(p, q spot, owner int, across bool) (over int, ok bool) {
	ok = true
	r.over(about(p, q), func(i int, c box) bool {
		if !c.grown(1).met(p, q) {
			return true
		}
		r.looks -= int(r.count[i]) + 1
		for _, n := range r.cells[i] {
			t := &r.things[n]
			from, to := spot{t.box.x0, t.box.y0}, spot{t.box.x1, t.box.y1}
			switch t.kind {
			case solid:
				ok = !t.box.met(p, q)
			case symbol:
				ok = t.box.holds(around(p, 0)) || !t.box.met(p, q)
			case leader:
				ok = across || !crosses(p, q, from, to)
			case stroke:
				if p != from && p != to && crosses(p, q, from, to) {
					over += t.others(owner)
				}
			}
			if !ok {
				return false
			}
		}
		return true
	})
	return over, ok
}
