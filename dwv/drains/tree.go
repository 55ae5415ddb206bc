package drains

import (
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/internal/strictjson"
)

// tree is the index over the points of a layout: one forest with a root for
// each outlet. Nodes 0 to outlets-1 are the outlets, in the order of the
// systems; the points follow in input order. Everything that sizes, grades or
// checks runs over these slices once or a few times, so the cost is linear.
type tree struct {
	outlets int
	placed  int     // points with plan coordinates
	parent  []int32 // node it drains to; -1 for an outlet
	order   []int32 // points only, system after system, each after all that drain to it
	start   []int32 // where each system begins in order, and the end
	first   []int32 // first of the nodes that drain to it, -1 if none
	next    []int32 // next node that drains to the same one, -1 if none
	system  []int32 // index of its system
	points  []*Point
	index   map[string]int32 // by id, points and outlets
	systems map[string]int32 // by id

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
func plant(l *Data, src *source, c *checker) *tree {
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
	for s := range l.Systems {
		sys := &l.Systems[s]
		t.parent[s], t.first[s], t.next[s], t.system[s] = -1, -1, -1, int32(s)
		t.systems[sys.ID] = int32(s)
		if id := sys.Outlet.ID; id != "" {
			if _, twice := t.index[id]; twice {
				c.fault(src.system(s), sysItem(sys), "outlet.id",
					because(ErrDuplicate, "%q is the id of two points", id))
			}
			t.index[id] = int32(s)
		}
		for p := range sys.Points {
			pt := &sys.Points[p]
			t.points = append(t.points, pt)
			if pt.At != nil {
				t.placed++
			}
			t.first[at], t.next[at], t.parent[at], t.system[at] = -1, -1, -1, int32(s)
			if pt.ID != "" {
				if _, twice := t.index[pt.ID]; twice {
					c.fault(src.point(s, p), pointItem(pt, s, p), "id",
						because(ErrDuplicate, "%q is the id of two points", pt.ID))
				} else {
					t.index[pt.ID] = at
				}
			}
			at++
		}
	}
	// Children are linked from the last to the first, so that each list comes
	// out in input order.
	for s := len(l.Systems) - 1; s >= 0; s-- {
		sys := &l.Systems[s]
		for p := len(sys.Points) - 1; p >= 0; p-- {
			at--
			pt := &sys.Points[p]
			if pt.To == "" {
				c.missing(src.point(s, p), pointItem(pt, s, p), "to",
					", and a system has one outlet: name the point or the outlet it drains to")
				continue
			}
			to, ok := t.index[pt.To]
			switch {
			case !ok:
				c.fault(src.point(s, p), pointItem(pt, s, p), "to", because(ErrOrphan, "no point or outlet %q", pt.To))
				continue
			case t.system[to] != int32(s):
				c.fault(src.point(s, p), pointItem(pt, s, p), "to",
					because(ErrOrphan, "%q belongs to system %q", pt.To, l.Systems[t.system[to]].ID))
				continue
			}
			t.parent[at] = to
			t.next[at] = t.first[to]
			t.first[to] = at
		}
	}
	t.order = forest.LeavesFirst(t.parent, t.outlets)
	if len(t.order) < len(t.points) {
		t.reportCycles(l, src, c)
		return t
	}
	t.group()
	return t
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

// span returns the nodes of the points of a system, from lo up to and without hi.
func (t *tree) span(system int32) (lo, hi int32) {
	o := int32(t.outlets)
	return o + t.start[system], o + t.start[system+1]
}

// reportCycles names each cycle once, starting from its first point in input
// order. Points that only hang on a cycle are not named.
func (t *tree) reportCycles(l *Data, src *source, c *checker) {
	const shown = 12 // points of a cycle that a message names
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
		p := t.indexInSystem(l, first)
		c.fault(src.point(int(s), p), pointItem(t.point(first), int(s), p), "to",
			fmt.Errorf("%w: %s", ErrCycle, b.String()))
	}
}

// indexInSystem returns where in its system's Points a point node stands.
func (t *tree) indexInSystem(l *Data, i int32) int {
	k := int(i) - t.outlets
	for s := range t.system[i] {
		k -= len(l.Systems[s].Points)
	}
	return k
}

// source remembers where in the JSON text each part of a layout stands. A nil
// source belongs to a layout put together in Go.
type source struct {
	doc      *strictjson.Document
	systems  []strictjson.Place
	points   [][]strictjson.Place
	vents    []strictjson.Place
	footings []strictjson.Place
}

// sourceOf finds what was read in its document.
func sourceOf(doc *strictjson.Document, l *Data) *source {
	s := &source{doc: doc, systems: doc.Places("systems"), vents: doc.Places("vents"), footings: doc.Places("footings")}
	for i := range l.Systems {
		s.points = append(s.points, doc.Places(fmt.Sprintf("systems.%d.points", i)))
	}
	return s
}

func (s *source) layout() strictjson.Place {
	if s == nil {
		return 0
	}
	return s.doc.Top()
}

func (s *source) system(i int) strictjson.Place {
	if s == nil {
		return 0
	}
	return s.systems[i]
}

func (s *source) point(sys, i int) strictjson.Place {
	if s == nil {
		return 0
	}
	return s.points[sys][i]
}

func (s *source) vent(i int) strictjson.Place {
	if s == nil {
		return 0
	}
	return s.vents[i]
}

// run returns where a run of a vent stands.
func (s *source) run(vent, i int) strictjson.Place {
	if s == nil {
		return 0
	}
	return s.doc.PlaceOf(s.vents[vent], fmt.Sprintf("runs.%d", i))
}

func (s *source) footing(i int) strictjson.Place {
	if s == nil {
		return 0
	}
	return s.footings[i]
}
