package drains

import (
	"slices"

	"github.com/trapweir/trapweir/units"
)

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
		if g.takeoff != nil {
			for v := g.takeoff[i]; v >= 0; v = g.nextAt[v] {
				r.ventsAbove[i]++
				if r.vent[i] < 0 || l.order(v, r.vent[i]) < 0 {
					r.vent[i] = v
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
	return r.shared[i] > 0 && r.line[i] >= 0 && r.lineAt[i] != r.reached[i]
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
		for v := g.takeoff[i]; v >= 0; v = g.nextAt[v] {
			carried[i] = longer(l, g, depth, carried[i]-1, v) + 1
		}
		v := carried[i] - 1
		if v < 0 {
			continue
		}
		if r.vent[i] < 0 || l.Vents[r.vent[i]].Kind == VentRelief {
			r.vent[i] = v // a relief vent on the stretch relieves it, and takes no traps over
		}
		if p := t.parent[i]; g.thru[v] != i && int(p) >= t.outlets {
			carried[p] = longer(l, g, depth, carried[p]-1, v) + 1
		}
	}
}

// longer returns the vent, of two that vent a stretch of drain, whose stretch
// ends farther down, of equals the one that serves first.
// A vent without a stretch does not count.
func longer(l *Data, g *ventGraph, depth []int32, a, b int32) int32 {
	switch {
	case b < 0 || g.thru[b] < 0:
		return a
	case a < 0:
		return b
	case depth[g.thru[b]] < depth[g.thru[a]]:
		return b
	case depth[g.thru[b]] > depth[g.thru[a]]:
		return a
	case l.order(b, a) < 0:
		return b
	}
	return a
}
