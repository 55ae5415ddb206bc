package drains

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// tree is the index over the points of a layout: one forest with a root for
// each outlet. Nodes 0 to outlets-1 are the outlets, in the order of the
// systems; the points follow in input order. Everything that sizes, grades or
// checks runs over these slices once or a few times, so the cost is linear.
type tree struct {
	outlets int
	placed  int     // points with plan coordinates
	tops    bool    // there are risers that say where their tops stand
	parent  []int32 // node it drains to; -1 for an outlet
	order   []int32 // points only, system after system, each after all that drain to it
	start   []int32 // where each system begins in order, and the end
	first   []int32 // first of the nodes that drain to it, -1 if none
	next    []int32 // next node that drains to the same one, -1 if none
	system  []int32 // index of its system
	points  []*Point
	index   map[string]int32 // by id, points and outlets
	systems map[string]int32 // by id

	// rises is what the lengths of such risers take joins to add to drops, nil for nothing.
	rises []units.Length

	vents ventGraph
}

// len returns how many nodes there are, outlets included.
func (t *tree) len() int { return len(t.parent) }

// point returns the point of a node, nil for an outlet.
func (t *tree) point(i int32) *Point {
	if int(i) < t.outlets {
		return nil
	}
	return t.points[int(i)-t.outlets]
}

// plant makes the forest. Faults go to c; a layout with faults has no use for
// the tree it returns.
func plant(l *Data, c *checker) *tree {
	n := len(l.Systems)
	for i := range l.Systems {
		n += len(l.Systems[i].Points)
	}
	t := &tree{
		outlets: len(l.Systems),
		parent:  make([]int32, n),
		first:   make([]int32, n),
		next:    make([]int32, n),
		system:  make([]int32, n),
		points:  make([]*Point, 0, n-len(l.Systems)),
		index:   make(map[string]int32, n),
		systems: make(map[string]int32, len(l.Systems)),
	}
	at := int32(t.outlets)
	for s := range c.Each(len(l.Systems), "systems indexed") {
		sys := &l.Systems[s]
		t.parent[s], t.first[s], t.next[s], t.system[s] = -1, -1, -1, int32(s)
		t.systems[sys.ID] = int32(s)
		if id := sys.Outlet.ID; id != "" {
			if _, twice := t.index[id]; twice {
				c.fault(c.ofSystem(s, sys), "outlet.id", because(ErrDuplicate, "%q is the id of two points", id))
			}
			t.index[id] = int32(s)
		}
		for p := range sys.Points {
			if !c.GoesBetween(len(t.points), cap(t.points), "points indexed") {
				return t
			}
			pt := &sys.Points[p]
			t.points = append(t.points, pt)
			t.tops = t.tops || pt.Run.Top != nil
			if pt.At != nil {
				t.placed++
			}
			t.first[at], t.next[at], t.parent[at], t.system[at] = -1, -1, -1, int32(s)
			if pt.ID != "" {
				if _, twice := t.index[pt.ID]; twice {
					c.fault(c.ofPoint(s, p, pt), "id", because(ErrDuplicate, "%q is the id of two points", pt.ID))
				} else {
					t.index[pt.ID] = at
				}
			}
			at++
		}
	}
	t.link(l, c)
	t.order = forest.LeavesFirst(t.parent, t.outlets)
	if len(t.order) < len(t.points) {
		t.reportCycles(l, c)
		return t
	}
	t.group()
	return t
}

// link gives each point its parent. Children are linked from the last to the first, so
// that each list comes out in input order.
func (t *tree) link(l *Data, c *checker) {
	same := visible.SameID(maps.Keys(t.index))
	at := int32(t.len())
	for s := len(l.Systems) - 1; s >= 0; s-- {
		sys := &l.Systems[s]
		for p := len(sys.Points) - 1; p >= 0; p-- {
			if !c.GoesBetween(t.len()-int(at), len(t.points), "points joined") {
				return
			}
			at--
			pt := &sys.Points[p]
			switch to, ok := t.index[pt.To]; {
			case pt.To == "":
				c.missing(c.ofPoint(s, p, pt), "to", ", and a system has one outlet: name the point or the outlet it drains to")
			case !ok:
				c.fault(c.ofPoint(s, p, pt), "to", because(ErrOrphan, "no point or outlet %q%s", pt.To, same(pt.To)))
			case t.system[to] != int32(s):
				c.fault(c.ofPoint(s, p, pt), "to", because(ErrOrphan, "%q belongs to system %q", pt.To, l.Systems[t.system[to]].ID))
			default:
				t.parent[at] = to
				t.next[at] = t.first[to]
				t.first[to] = at
			}
		}
	}
}

// group brings order into blocks, one a system, keeping the order within each.
func (t *tree) group() {
	t.start = make([]int32, t.outlets+1)
	for _, i := range t.order {
		t.start[t.system[i]+1]++
	}
	for s := range t.outlets {
		t.start[s+1] += t.start[s]
	}
	at := append([]int32(nil), t.start...)
	grouped := make([]int32, len(t.order))
	for _, i := range t.order {
		s := t.system[i]
		grouped[at[s]] = i
		at[s]++
	}
	t.order = grouped
}

// of returns the points of a system, each after all that drain to it.
func (t *tree) of(system int32) []int32 { return t.order[t.start[system]:t.start[system+1]] }

// all goes through the points, each with its node.
func (t *tree) all() iter.Seq2[int32, *Point] { return t.between(0, len(t.points)) }

// in goes through the points of a system.
func (t *tree) in(system int32) iter.Seq2[int32, *Point] {
	return t.between(int(t.start[system]), int(t.start[system+1]))
}

func (t *tree) between(from, to int) iter.Seq2[int32, *Point] {
	return func(yield func(int32, *Point) bool) {
		for k := from; k < to && yield(int32(t.outlets+k), t.points[k]); k++ {
		}
	}
}

// into goes through the nodes that drain to a node, in input order.
func (t *tree) into(i int32) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for k := t.first[i]; k >= 0 && yield(k); k = t.next[k] {
		}
	}
}

// down goes from a node down to its outlet, and leaves that out.
func (t *tree) down(i int32) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for n := i; int(n) >= t.outlets && yield(n); n = t.parent[n] {
		}
	}
}

// until goes from a node down to another and leaves that out.
func (t *tree) until(i, end int32) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for n := i; int(n) >= t.outlets && n != end && yield(n); n = t.parent[n] {
		}
	}
}

// drainsBy tells whether what drains from node i passes node d farther down.
func (t *tree) drainsBy(i, d int32) bool {
	for n := range t.down(i) {
		if n == d {
			return n != i
		}
	}
	return false
}

// span returns the nodes of the points of a system, from lo up to and without hi.
func (t *tree) span(system int32) (lo, hi int32) {
	o := int32(t.outlets)
	return o + t.start[system], o + t.start[system+1]
}

// reportCycles names each cycle once, starting from its first point in input
// order. Points that only hang on a cycle are not named.
func (t *tree) reportCycles(l *Data, c *checker) {
	const shown = 12                  // points of a cycle that a message names
	start := make([]int, t.outlets+1) // where the points of each system begin
	for s := range l.Systems {
		start[s+1] = start[s] + len(l.Systems[s].Points)
	}
	for _, cycle := range forest.Cycles(t.parent) {
		first := cycle[0]
		var b strings.Builder
		for _, k := range cycle[:min(len(cycle), shown)] {
			fmt.Fprintf(&b, "%s -> ", t.point(k).ID)
		}
		if len(cycle) > shown {
			fmt.Fprintf(&b, "%d more -> ", len(cycle)-shown)
		}
		b.WriteString(t.point(first).ID)
		s := t.system[first]
		p := int(first) - t.outlets - start[s]
		c.fault(c.ofPoint(int(s), p, t.point(first)), "to", fmt.Errorf("%w: %s", ErrCycle, b.String()))
	}
}

// source remembers where in the JSON text each part of a layout stands. That of a layout put
// together in Go has no document and no places.
type source struct {
	doc      *strictjson.Document
	systems  []strictjson.Place
	points   [][]strictjson.Place
	vents    []strictjson.Place
	footings []strictjson.Place

	walls, obstacles []strictjson.Place
}

// sourceOf finds what was read in its document.
func sourceOf(w *patience.Work, doc *strictjson.Document, l *Data) *source {
	s := &source{doc: doc, systems: doc.Places("systems"), vents: doc.Places("vents"), footings: doc.Places("footings"),
		walls: doc.Places("walls"), obstacles: doc.Places("obstacles")}
	for i := range w.Each(len(l.Systems), "systems found") {
		s.points = append(s.points, doc.Places(fmt.Sprintf("systems.%d.points", i)))
	}
	return s
}

// nth is the i-th of a list; of a layout put together in Go the lists of a source are empty.
func nth[T any](list []T, i int) (x T) {
	if i < len(list) {
		x = list[i]
	}
	return x
}

// routes holds what the way from each node down to its vent, and to the first
// vented line, looks like. Every slice is indexed by node and filled in two
// passes over the tree, so the work is linear however long the ways are.
type routes struct {
	// vent is the vent that serves a node: one that takes off here, or the wet
	// or circuit vent whose stretch of drain passes here. -1: none.
	vent []int32
	// serving is the vent that a trap arm starting at the node reaches first, -1
	// if it reaches the outlet without one.
	serving []int32
	// reached is the node where it reaches it.
	reached []int32
	// arm is the developed length down to there, fall the fall over it.
	arm, fall []units.Length
	// risers tells that a vertical run or a drop lies on the way.
	risers []bool
	// shared counts the joins on the way at which something else drains in; that at
	// the vent itself where it is an individual one.
	shared []int32
	// ventsAbove counts the take-offs at and upstream of a node.
	ventsAbove []int32
	// line is the developed length down to the first node that has a vent at or
	// upstream of it, -1 if there is none; lineAt is that node.
	line   []units.Length
	lineAt []int32
}

func newRoutes(t *tree) *routes {
	n := t.len()
	return &routes{
		vent: make([]int32, n), serving: make([]int32, n), reached: make([]int32, n), shared: make([]int32, n),
		ventsAbove: make([]int32, n), lineAt: make([]int32, n),
		arm: make([]units.Length, n), fall: make([]units.Length, n), line: make([]units.Length, n),
		risers: make([]bool, n),
	}
}

// fill finds the routes of a system.
func (r *routes) fill(l *Data, t *tree, sys int32, w *work) {
	g := &t.vents
	lo, hi := t.span(sys)
	r.none(sys)
	for i := lo; i < hi; i++ {
		r.none(i)
	}
	for i := lo; i < hi; i++ {
		for v := range g.at(i) {
			r.ventsAbove[i]++
			for _, at := range [...]int32{i, g.serves[v]} {
				if r.vent[at] < 0 || l.order(v, r.vent[at]) < 0 {
					r.vent[at] = v
				}
			}
		}
	}
	r.stretches(l, t, sys, w)
	// How many drains that carry something come together at each node: what stands
	// there, and the runs that join.
	joins := w.node(0, sys)
	for _, i := range t.of(sys) {
		pt, p := t.point(i), t.parent[i]
		r.ventsAbove[p] += r.ventsAbove[i]
		if pt.Fixture != nil || pt.Reserved > 0 || pt.Continuous > 0 {
			joins[i]++
		}
		if joins[i] > 0 {
			joins[p]++
		}
	}
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		run := &t.point(i).Run
		switch {
		case r.vent[i] >= 0:
			r.serving[i], r.reached[i] = r.vent[i], i
			if joins[i] > 1 && l.Vents[r.vent[i]].Kind == VentIndividual {
				r.shared[i] = 1
			}
		case r.serving[p] >= 0:
			r.serving[i], r.reached[i] = r.serving[p], r.reached[p]
			r.arm[i] = r.arm[p] + run.Length
			r.risers[i] = r.risers[p] || run.Vertical || run.Drop > 0
			r.shared[i] = r.shared[p]
			if r.vent[p] < 0 && joins[p] > 1 {
				r.shared[i]++
			}
			if run.Vertical {
				r.fall[i] = r.fall[p] + run.Length + run.Drop
			} else {
				r.fall[i] = r.fall[p] + run.Grade.Over(run.Length) + run.Drop
			}
		}
		switch {
		case r.ventsAbove[i] > 0:
			r.line[i], r.lineAt[i] = 0, i
		case int(p) >= t.outlets && r.line[p] >= 0:
			r.line[i], r.lineAt[i] = r.line[p]+run.Length, r.lineAt[p]
		}
	}
}

// joinsVentedLine tells whether what stands at a node comes to a line that is vented
// farther up before it comes to the vent that serves it: what may do without a vent of
// its own there is no matter of what takes off farther down.
func (r *routes) joinsVentedLine(i int32) bool {
	return r.shared[i] > 0 && r.lineAt[i] != r.reached[i]
}

func (r *routes) none(i int32) {
	r.vent[i], r.serving[i], r.reached[i], r.lineAt[i], r.line[i] = -1, -1, -1, -1, -1
}

// stretches carries each wet, common or circuit vent from where it takes off down
// to the node where its stretch of drain ends; where two overlap the one that ends
// farther down is carried.
func (r *routes) stretches(l *Data, t *tree, sys int32, w *work) {
	g := &t.vents
	if !g.stretched {
		return
	}
	depth := w.node(0, sys) // how many runs lie between each node and its outlet
	for _, i := range slices.Backward(t.of(sys)) {
		depth[i] = depth[t.parent[i]] + 1
	}
	carried := w.node(1, sys) // the vent carried, plus one
	for _, i := range t.of(sys) {
		for v := range g.at(i) {
			carried[i] = longer(l, g, depth, carried[i]-1, v) + 1
		}
		v := carried[i] - 1
		if v < 0 {
			continue
		}
		if r.vent[i] < 0 || l.Vents[r.vent[i]].Kind == VentRelief {
			r.vent[i] = v // a relief vent on the stretch relieves it, and takes no traps over
		}
		if p := t.parent[i]; g.end[v] != i && int(p) >= t.outlets {
			carried[p] = longer(l, g, depth, carried[p]-1, v) + 1
		}
	}
}

// longer returns the vent, of two that vent a stretch of drain, whose stretch
// ends farther down, of equals the one that serves first.
// A vent without a stretch does not count.
func longer(l *Data, g *ventGraph, depth []int32, a, b int32) int32 {
	switch {
	case b < 0 || g.end[b] < 0:
		return a
	case a < 0:
		return b
	case depth[g.end[b]] < depth[g.end[a]]:
		return b
	case depth[g.end[b]] > depth[g.end[a]]:
		return a
	case l.order(b, a) < 0:
		return b
	}
	return a
}
