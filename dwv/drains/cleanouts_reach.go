package drains

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/units"
)

// access holds how a cleaning cable gets about the drains below the floor. Every
// slice is indexed by node and filled in a few passes over the tree.
type access struct {
	// primary is the node upstream of each whose run carries the line on, -1 at
	// an upper end; the other runs that come in there are branches.
	primary []int32
	// turn is the change of direction, in thousandths of a degree, where the
	// run of a node enters the next one along the same line; -1 if unknown.
	turn []int32
	// above is the longest way upstream of a node to a cleanout or an upper
	// end, and end is that place.
	above []units.Length
	end   []int32
	// down is the length from the nearest cleanout or opened fixture upstream, along the
	// flow; up from the nearest two-way cleanout downstream, against it. From far
	// on there is none.
	down, up []units.Length
	// bends is the sum of the turns since the last cleanout upstream.
	bends []int32
	// since is the length down the line from the last cleanout upstream, from far on
	// if there is none; last is the cleanout's node.
	since []units.Length
	last  []int32
}

// far is more than any developed length, and stays so with one added to it.
const far = 2 * maxTotal

// drains tells whether the run of a node is one that the cleanout rules for
// horizontal drains look at: horizontal and below the floor.
func (s *Sizing) drains(i int32) bool {
	return !s.tree.point(i).Run.Vertical && !s.above[i]
}

func newAccess(t *tree) *access {
	n := t.len()
	return &access{
		primary: make([]int32, n), turn: make([]int32, n), above: make([]units.Length, n), end: make([]int32, n),
		down: make([]units.Length, n), up: make([]units.Length, n), bends: make([]int32, n),
		since: make([]units.Length, n), last: make([]int32, n),
	}
}

// access finds the ways of a cable in every system.
func (s *Sizing) access() *access {
	a := newAccess(s.tree)
	for sys := range int32(s.tree.outlets) {
		a.fill(s, sys)
	}
	return a
}

func (a *access) none(i int32) {
	a.primary[i], a.turn[i], a.last[i] = -1, -1, -1
	a.end[i] = i
	a.down[i], a.up[i], a.since[i] = far, far, far
}

// fill finds the ways of a cable in a system.
func (a *access) fill(s *Sizing, sys int32) {
	t := s.tree
	order := t.of(sys)
	a.none(sys)
	for i, hi := t.span(sys); i < hi; i++ {
		a.none(i)
	}
	for _, i := range order {
		p := t.parent[i]
		if b := a.primary[p]; b < 0 || s.carriesOn(i, b) {
			a.primary[p] = i
		}
	}
	for _, i := range order {
		pt := t.point(i)
		p := t.parent[i]
		if c := a.primary[i]; c >= 0 && s.drains(i) && s.drains(c) {
			if m, ok := s.bearing(c).turn(s.bearing(i)); ok {
				a.turn[c] = m
			}
			if pt.Cleanout == nil {
				a.last[i], a.since[i] = a.last[c], a.since[c]+t.point(c).Run.Length
				a.bends[i] = a.bends[c] + max(a.turn[c], 0)
			}
		}
		if pt.Cleanout != nil {
			a.since[i], a.last[i] = 0, i
			a.bends[i] = 0
			// The way upstream is measured up to here; above this point the
			// check at the cleanout itself looks.
		}
		if pt.Cleanout != nil || pt.Fixture != nil {
			a.down[i] = 0
		}
		a.down[p] = min(a.down[p], a.down[i]+pt.Run.Length)
		if !s.drains(i) {
			continue
		}
		from, end := a.above[i], a.end[i]
		if pt.Cleanout != nil {
			from, end = 0, i
		}
		if reach := from + pt.Run.Length; reach > a.above[p] || reach == a.above[p] && s.carriesOn(end, a.end[p]) {
			a.above[p], a.end[p] = reach, end
		}
	}
	if c := a.primary[sys]; c >= 0 && s.drains(c) {
		a.last[sys], a.since[sys] = a.last[c], a.since[c]+t.point(c).Run.Length
	}
	for _, i := range slices.Backward(order) {
		pt := t.point(i)
		switch p := t.parent[i]; {
		case pt.Cleanout != nil && pt.Cleanout.TwoWay:
			a.up[i] = 0
		case s.drains(i):
			a.up[i] = a.up[p] + pt.Run.Length
		}
	}
}

// carriesOn tells whether, of two runs, i carries the
// line on rather than j: one that comes straight on does, else the one with the
// greater load. It looks at what the runs are, not at their ids or order, as far as
// that tells them apart.
func (s *Sizing) carriesOn(i, j int32) bool {
	a, b := s.tree.point(i), s.tree.point(j)
	if s.straight[i] != s.straight[j] {
		return s.straight[i]
	}
	if c := cmp.Compare(s.load[i], s.load[j]); c != 0 {
		return c > 0
	}
	if c := cmp.Compare(s.size[i], s.size[j]); c != 0 {
		return c > 0
	}
	if c := cmp.Compare(a.Run.Length, b.Run.Length); c != 0 {
		return c > 0
	}
	if c := a.Run.Grade.Compare(b.Run.Grade); c != 0 {
		return c > 0
	}
	if c := cmp.Compare(a.Run.Bearing.mdegPlus1, b.Run.Bearing.mdegPlus1); c != 0 {
		return c > 0
	}
	return b.ID > a.ID
}

// goesStraight tells whether a run enters the next without a turn.
func (s *Sizing) goesStraight(i int32) bool {
	p := s.tree.parent[i]
	pt, next := s.tree.point(i), s.tree.point(p)
	if next == nil || pt.Run.Vertical != next.Run.Vertical {
		return false
	}
	if pt.Run.Vertical {
		return true
	}
	m, ok := s.bearing(i).turn(s.bearing(p))
	return ok && m == 0
}

// bearing returns the direction of flow of a run: as stated, or from the plan
// coordinates of its ends.
func (s *Sizing) bearing(i int32) Bearing {
	pt := s.tree.point(i)
	if !pt.Run.Bearing.IsZero() || pt.Run.Vertical {
		return pt.Run.Bearing
	}
	if next := s.tree.point(s.tree.parent[i]); next != nil && pt.At != nil && next.At != nil {
		return bearingOf(*pt.At, *next.At)
	}
	return Bearing{}
}
