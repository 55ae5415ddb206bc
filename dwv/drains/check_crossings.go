package drains

import (
	"cmp"
	"math"
	"slices"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// listedCrossing is up to how much more than the job asks a crossing is worth a line
// among the passes, or a question if the runs are not drawn straight. What crosses
// farther above is on another floor.
const listedCrossing = units.Foot

// crossings judges the clear distance between pipes that cross or pass each other,
// where the plan coordinates of both ends are known. Pipes that meet at a fitting
// are not held apart.
func (j *judge) crossings() {
	bodies := j.bodies()
	if len(bodies) < 2 {
		return
	}
	g := newGrid(bodies, j.layout.MinimumClearance+listedCrossing)
	if g == nil {
		j.Ask("drain-crossing", j.job(), tables.Designer,
			j.text("of %d runs so many are drawn in one place that they cannot be told apart", len(bodies)),
			"Look at the plan coordinates of the points, and judge the crossings on a drawing.", tables.Citation{})
		return
	}
	var pairs []meeting
	g.pairs(func(a, b int32) {
		if m, ok := j.meeting(&bodies[a], &bodies[b]); ok {
			pairs = append(pairs, m)
		}
	})
	slices.SortFunc(pairs, func(a, b meeting) int {
		return cmp.Or(cmp.Compare(a.over, b.over),
			cmp.Compare(a.under, b.under))
	})
	for k, m := range pairs {
		if k == 0 || m.over != pairs[k-1].over || m.under != pairs[k-1].under {
			j.crossing(m)
		}
	}
}

// bodies returns the runs whose place in space is known.
func (j *judge) bodies() []body {
	t := j.tree
	if t.placed < 2 {
		return nil
	}
	bodies := make([]body, 0, t.placed)
	for i := int32(t.outlets); int(i) < t.len(); i++ {
		upper, lower := j.at(i), j.at(t.parent[i])
		pipe := j.sizing.pipe[i]
		if upper == nil || lower == nil || pipe.Bore <= 0 {
			continue
		}
		r := pipe.Bore / 2
		bodies = append(bodies, body{
			node: i, r: r + pipe.Wall,
			p: [3]units.Length{lower.X, lower.Y, j.levels.lower[i] + r},
			q: [3]units.Length{upper.X, upper.Y, j.levels.upper[i] + r},
		})
	}
	return bodies
}

// at returns where a node lies in plan, nil if that is not known.
func (j *judge) at(i int32) *Position {
	if pt := j.tree.point(i); pt != nil {
		return pt.At
	}
	return j.layout.Systems[i].Outlet.At
}

// meeting is two runs that cross or pass each other.
type meeting struct {
	over, under int32 // nodes; which lies higher where they cross
	crosses     bool  // in plan; else they pass
	clear       units.Length
	straight    bool // both run straight from point to point, as far as the layout tells
}

// meeting measures two bodies; ok is false if they are one line or far enough apart
// not to be told of.
func (j *judge) meeting(a, b *body) (m meeting, ok bool) {
	p := j.tree.parent
	if p[a.node] == b.node || p[b.node] == a.node || p[a.node] == p[b.node] {
		return m, false
	}
	wanted := j.layout.MinimumClearance
	plumb, crosses := crossing(a, b)
	m = meeting{over: a.node, under: b.node, crosses: crosses}
	if crosses {
		m.clear = max(plumb, -plumb) - a.r - b.r
		passes := j.opt.ProblemsOnly && m.clear >= wanted && j.straight(a) && j.straight(b)
		if passes || m.clear >= wanted+listedCrossing {
			return m, false
		}
	} else {
		if !boxesNear(a, b, wanted) {
			return m, false // as most are: to measure them is dear
		}
		found, err := slope.Conflicts([]slope.Course{a.course(), b.course()}, nil, slope.Limits{Pipes: wanted})
		if err != nil || len(found) == 0 {
			return m, false // beyond what is measured, or far enough apart
		}
		m.clear, plumb = found[0].Found, (a.p[2]+a.q[2])/2-(b.p[2]+b.q[2])/2
	}
	if j.joined(a, b) {
		return m, false
	}
	if plumb < 0 || plumb == 0 && j.id(b.node) < j.id(a.node) {
		m.over, m.under = m.under, m.over
	}
	m.straight = j.straight(a) && j.straight(b)
	return m, true
}

// course is the body as package slope measures it.
func (b *body) course() slope.Course {
	r := b.r
	return slope.Course{
		Lower: slope.Point{X: b.p[0], Y: b.p[1]}, LowerInvert: b.p[2] - r,
		Upper: slope.Point{X: b.q[0], Y: b.q[1]}, UpperInvert: b.q[2] - r,
		Pipe: slope.Pipe{Bore: 2 * r}, Into: -1,
	}
}

// joined tells whether only a piece of pipe shorter than they must keep clear lies
// between two runs of one system, so that their fittings meet.
func (j *judge) joined(a, b *body) bool {
	if j.tree.system[a.node] != j.tree.system[b.node] {
		return false
	}
	reach := a.r + b.r + j.layout.MinimumClearance
	var nodes [maxPieces]int32
	var ways [maxPieces]units.Length
	n := 0
	// The nodes from the lower end of a downward, then those from that of b.
	j.downFrom(a.node, reach, func(i int32, way units.Length) bool {
		nodes[n], ways[n] = i, way
		n++
		return i == b.node
	})
	if nodes[n-1] == b.node { // the first is its parent, so there is one
		return true
	}
	met := false
	j.downFrom(b.node, reach, func(i int32, way units.Length) bool {
		met = i == a.node
		for k := range n {
			met = met || nodes[k] == i && ways[k]+way <= reach
		}
		return met
	})
	return met
}

// maxPieces is how many short pieces between two runs are followed.
const maxPieces = 16

// downFrom calls with each node from the lower end of a run downward, as long as it
// is within reach, until the call returns true.
func (j *judge) downFrom(run int32, reach units.Length, call func(node int32, way units.Length) bool) {
	way := units.Length(0)
	for range maxPieces {
		i := j.tree.parent[run]
		if call(i, way) || int(i) < j.tree.outlets {
			return
		}
		if way += j.tree.point(i).Run.Length; way > reach {
			return
		}
		run = i
	}
}

// straight tells whether a run can be taken to go straight from point to point: no
// bend along it, and as long as that is.
func (j *judge) straight(b *body) bool {
	run := &j.tree.point(b.node).Run
	dx, dy, dz := (b.q[0] - b.p[0]).Metres(), (b.q[1] - b.p[1]).Metres(), (b.q[2] - b.p[2]).Metres()
	flat := float64(dx*dx) + float64(dy*dy)
	least, most := units.Metres(math.Sqrt(flat)), units.Metres(math.Sqrt(flat+float64(dz*dz)))
	// Coordinates are given to the inch or so.
	slack := most/50 + 2*units.Inch
	return len(run.Fittings) == 0 && run.Length <= most+slack && run.Length >= least-slack
}

// crossing judges two runs that come near each other.
func (j *judge) crossing(m meeting) {
	wanted := j.layout.MinimumClearance
	f := tables.Finding{Rule: "drain-crossing", Place: j.id(m.over), Verdict: tables.Pass, Value: m.clear,
		Limit: wanted, Margin: m.clear - wanted}
	how := "passes"
	if m.crosses {
		how = "crosses over"
	}
	clear := j.text("%v clear between them", m.clear)
	if m.clear < 0 {
		clear = j.text("the two running %v into each other", -m.clear)
	}
	f.Reason = j.text("the %v pipe from %s %s the %v pipe from %s with %s", nominal(j.sizing.size[m.over]), f.Place,
		how, nominal(j.sizing.size[m.under]), j.id(m.under), clear)
	if wanted > 0 {
		f.Reason += j.text(", and must keep %v", wanted)
	}
	if m.clear < wanted {
		f.Verdict, f.Fix = tables.Fail, "Move one of them, or lower one as far as its outlet lets it."
	}
	if !m.straight {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason += "; that is so if both run straight from point to point, which their lengths or bends do not say"
		f.Fix = "Give the points at which they bend, or measure it on a drawing."
	}
	j.add(f)
}
