package drains

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/units"
)

// ventGraph is the index over the vents: each vent flows to at most one other
// vent, or ends in a stack or in the open air.
type ventGraph struct {
	parent []int32 // vent it joins; -1 if it ends
	order  []int32 // each after all that join it
	from   []int32 // node of its take-off, -1 if it has none
	thru   []int32 // node where its wet or circuit section ends, -1 if none
	stack  []int32 // node of the stack it ends in, -1 if none
	// byNode lists take-offs by node: takeoff[i] is the first vent that leaves
	// node i, -1 if none; then follow nextAt.
	takeoff []int32
	nextAt  []int32
	length  []units.Length // developed length of its own runs
	// stretched tells that some vent vents a stretch of drain.
	stretched bool
}

func (g *ventGraph) plant(l *Data, t *tree, src *source, c *checker) {
	n := len(l.Vents)
	if n == 0 {
		return
	}
	none := func(n int) []int32 {
		s := make([]int32, n)
		for i := range s {
			s[i] = -1
		}
		return s
	}
	g.parent, g.from, g.thru, g.stack, g.nextAt = none(n), none(n), none(n), none(n), none(n)
	g.takeoff = none(t.len())
	g.length = make([]units.Length, n)
	index := make(map[string]int32, n)
	for i := range l.Vents {
		v := &l.Vents[i]
		jv, at := src.vent(i), ventItem(v, i)
		c.id(jv, at, "id", v.ID)
		if _, twice := index[v.ID]; twice && v.ID != "" {
			c.fault(jv, at, "id", because(ErrDuplicate, "%q is the id of two vents", v.ID))
		}
		index[v.ID] = int32(i)
		oneOf(c, jv, at, "kind", v.Kind, VentIndividual, VentCommon, VentWet, VentCircuit, VentRelief, VentBranch,
			VentStackVent, VentStack)
		c.size(jv, at, "size", v.Size)
		g.length[i] = c.ventRuns(l, i)
	}
	joined := make([]bool, n)
	for i := n - 1; i >= 0; i-- {
		v := &l.Vents[i]
		jv, at := src.vent(i), ventItem(v, i)
		node := func(path, id string) int32 {
			k, ok := t.index[id]
			if !ok || int(k) < t.outlets {
				c.fault(jv, at, path, because(ErrReference, "no point %q", id))
				return -1
			}
			return k
		}
		if v.From != "" {
			if g.from[i] = node("from", v.From); g.from[i] >= 0 {
				g.nextAt[i], g.takeoff[g.from[i]] = g.takeoff[g.from[i]], int32(i)
			}
		}
		section := v.Kind == VentWet || v.Kind == VentCircuit
		switch {
		case v.Kind == VentCommon && v.Through == "":
		case section && v.Through == "":
			c.missing(jv, at, "through", fmt.Sprintf(": a %s vent names the last point it vents", v.Kind))
		case !section && v.Kind != VentCommon && v.Through != "":
			c.fault(jv, at, "through",
				because(ErrChoice, "only a common, a wet or a circuit vent vents a stretch of drain"))
		case section || v.Kind == VentCommon:
			g.thru[i] = node("through", v.Through)
			g.stretched = true
		}
		switch {
		case v.To != "" && v.Terminal != nil:
			c.fault(jv, at, "to", because(ErrChoice, "it ends in the open air and in %q: name one", v.To))
		case v.To == "" && v.Terminal == nil:
			c.missing(jv, at, "to", ": a vent joins another vent or a stack, or ends in a terminal")
		case v.To != "":
			if k, ok := index[v.To]; ok {
				g.parent[i] = k
				joined[k] = true
			} else if k, ok := t.index[v.To]; ok && int(k) >= t.outlets {
				g.stack[i] = k
				if !t.point(k).Run.Vertical {
					c.fault(jv, at, "to", because(ErrChoice, "point %q is not on a stack", v.To))
				}
			} else {
				c.fault(jv, at, "to", because(ErrReference, "no vent or stack %q", v.To))
			}
		}
		if v.At != nil {
			c.ventJoin(l, i, g)
		}
		if t := v.Terminal; t != nil {
			c.length(jv, at, "terminal.above_roof", t.AboveRoof)
		}
	}
	for i := range l.Vents {
		if l.Vents[i].From == "" && !joined[i] {
			c.missing(src.vent(i), ventItem(&l.Vents[i], i), "from",
				": it vents nothing: name a point of take-off or join another vent to it")
		}
	}
	g.order = forest.LeavesFirst(g.parent, 0)
	if cycles := forest.Cycles(g.parent); cycles != nil {
		first := int(cycles[0][0])
		c.fault(src.vent(first), ventItem(&l.Vents[first], first), "to",
			fmt.Errorf("%w: the vents that join it never reach the open air", ErrCycle))
	}
}

// ventJoin checks what a vent says of where it joins another.
func (c *checker) ventJoin(l *Data, i int, g *ventGraph) {
	v := &l.Vents[i]
	jv, at := c.src.vent(i), ventItem(v, i)
	c.length(jv, at, "at.height", v.At.Height)
	c.length(jv, at, "at.station", v.At.Station)
	p := g.parent[i]
	switch {
	case v.At.Height != 0 && v.At.Station != 0:
		c.fault(jv, at, "at", because(ErrChoice, "name a height or a station, not both"))
	case v.At.Height == 0 && v.At.Station == 0:
		c.missing(jv, at, "at", ": name a height above the floor or a station along the vent joined")
	case p < 0:
		c.fault(jv, at, "at", because(ErrChoice, "only a vent that joins another vent has a place on it"))
	case v.At.Station > g.length[p]:
		c.fault(jv, at, "at.station", because(units.ErrRange, "vent %q is %v long", v.To, g.length[p]))
	}
}

// servingKinds are the kinds of vents in the order in which they serve the traps that
// reach a place at which several take off.
var servingKinds = []VentKind{VentIndividual, VentCommon, VentWet, VentCircuit, VentBranch, VentStack, VentStackVent,
	VentRelief}

// order tells which of two vents serves at a place at which both take off, by what they
// are: the order in which they are listed says nothing.
func (l *Data) order(i, k int32) int {
	a, b := &l.Vents[i], &l.Vents[k]
	length := func(v *Vent) (sum units.Length) {
		for n := range v.Runs {
			sum += v.Runs[n].Length
		}
		return sum
	}
	return cmp.Or(
		cmp.Compare(slices.Index(servingKinds, a.Kind), slices.Index(servingKinds, b.Kind)),
		cmp.Compare(b.Size, a.Size), cmp.Compare(length(a), length(b)), strings.Compare(a.ID, b.ID))
}

// ventRuns checks the runs of a vent and returns their developed length.
func (c *checker) ventRuns(l *Data, i int) units.Length {
	v := &l.Vents[i]
	jv, at := c.src.vent(i), ventItem(v, i)
	if len(v.Runs) == 0 && v.Kind != VentStackVent {
		c.missing(jv, at, "runs", "")
	}
	var total units.Length
	for k := range v.Runs {
		r := &v.Runs[k]
		where := at
		where.run = k + 1
		jr := c.src.run(i, k)
		if r.Length <= 0 || !r.Length.Valid() {
			if r.Length == 0 {
				c.missing(jr, where, "length", " or zero")
			} else {
				c.length(jr, where, "length", r.Length)
			}
			continue
		}
		c.length(jr, where, "rise", r.Rise)
		if r.Rise > r.Length {
			c.fault(jr, where, "rise", because(units.ErrRange, "it rises %v over a length of %v", r.Rise, r.Length))
		}
		oneOf(c, jr, where, "direction", r.Direction, VentUp, VentHorizontal, VentBelowFloor)
		if total += r.Length; total > units.MaxLength {
			c.fault(jv, at, "runs", because(units.ErrRange, "longer than 1000 km"))
			return 0
		}
	}
	return total
}
