package drains

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"github.com/trapweir/trapweir/internal/finding"
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
			j.Text("Of %d runs so many are drawn in one place that they cannot be told apart.", len(bodies)),
			"Look at the plan coordinates of the points, and judge the crossings on a drawing.")
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
	if t.placed == 0 {
		return nil
	}
	bodies := make([]body, 0, t.placed)
	for i := range t.all() {
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

// ventBodies returns the runs of vents whose place in space is known: from a take-off that has
// one, as far as bearings or ends tell the way.
func (j *judge) ventBodies() (list []body) {
	g, s := &j.tree.vents, j.sizing
	heights := s.ventHeights(j.levels.upper)
	for v := range j.layout.Vents {
		x := &j.layout.Vents[v]
		if g.from[v] < 0 || j.at(g.from[v]) == nil {
			continue
		}
		r := s.vents[v].Size / 2
		if p, err := s.pipes.Find(x.Material, s.vents[v].Size); err == nil {
			r = p.Bore/2 + p.Wall
		}
		at, z := *j.at(g.from[v]), heights.start[v]
		for k := range x.Runs {
			run := &x.Runs[k]
			to, up := at, z+rise(run)
			switch {
			case run.End != nil:
				to = *run.End
			case !run.flat():
			case !run.Bearing.IsZero():
				to = moved(at, run.Bearing, run.Length)
			default:
				r = 0 // nothing says which way it goes on
			}
			if r <= 0 {
				break
			}
			list = append(list, body{node: -1, vent: &s.vents[v], r: r, p: [3]units.Length{at.X, at.Y, z},
				q: [3]units.Length{to.X, to.Y, up}})
			at, z = to, up
		}
	}
	return list
}

// named returns what a body is in words, and the id of the run or the vent.
func (j *judge) named(b *body) (words, id string) {
	if b.vent != nil {
		return j.Text("The %v vent %s", nominal(b.vent.Size), b.vent.Vent), b.vent.Vent
	}
	id = j.id(b.node)
	return j.Text("The %v pipe from %s", nominal(j.sizing.size[b.node]), id), id
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
	if p[a.node] == b.node || p[b.node] == a.node {
		return m, false
	}
	if p[a.node] == p[b.node] {
		return j.inOneTrench(a, b)
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

// inOneTrench tells of two runs into one point that come from the same side, so that they lie in
// each other long before the fitting that joins them: where the shorter begins, its axis is nearer
// to that of the other than pipes can be.
func (j *judge) inOneTrench(a, b *body) (m meeting, ok bool) {
	if !j.straight(a) || !j.straight(b) {
		return m, false
	}
	way := func(x *body) (v [3]float64) {
		for k := range v {
			v[k] = (x.q[k] - x.p[k]).Metres()
		}
		return v
	}
	short, long := way(a), way(b)
	ls, ll := math.Hypot(short[0], short[1]), math.Hypot(long[0], long[1])
	if ls > ll {
		short, long, ls, ll = long, short, ll, ls
	}
	radii := (a.r + b.r).Metres()
	if ls < 4*radii {
		return m, false // within the fittings
	}
	along := (float64(short[0]*long[0]) + float64(short[1]*long[1])) / ll
	across := (float64(short[0]*long[1]) - float64(short[1]*long[0])) / ll
	rise := short[2] - float64(long[2]*(along/ll))
	if off := math.Hypot(across, rise); along > 0 && off < radii {
		m = meeting{over: min(a.node, b.node), under: max(a.node, b.node), clear: units.Metres(off - radii), straight: true}
		return m, true
	}
	return m, false
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
	if b.vent != nil {
		return true
	}
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
	clear := j.Text("%v clear between them", m.clear)
	if m.clear < 0 {
		clear = j.Text("the two running %v into each other", -m.clear)
	}
	f.Reason = j.Text("The %v pipe from %s %s the %v pipe from %s with %s", nominal(j.sizing.size[m.over]), f.Place,
		how, nominal(j.sizing.size[m.under]), j.id(m.under), clear)
	if wanted > 0 {
		f.Reason += j.Text("; at least %v", wanted)
	}
	f.Reason += "."
	if m.clear < wanted {
		f.Verdict, f.Fix = tables.Fail, "Move one of them, or lower one as far as its outlet lets it."
		if p := j.tree.parent[m.over]; p == j.tree.parent[m.under] {
			f.Fix = j.Text("Both enter %s from the same side: join one to the other where it begins, or lead it in from "+
				"aside.", j.id(p))
		}
	}
	if !m.straight {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason += " That is so if both run straight from point to point, which their lengths or bends do not say."
		f.Fix = "Give the points at which they bend, or measure it on a drawing."
	}
	j.Add(f)
}

// body is a straight run of pipe in space.
type body struct {
	node int32           // -1: it is a vent
	vent *VentSize       // nil: it is drain
	p, q [3]units.Length // lower and upper end of the centre line: x, y, elevation
	r    units.Length    // outside radius
}

// grid sorts bodies into cubes of space, so that those near each other can be found
// without setting each against each. Each body lies in every cube that it, widened by
// its radius and half the gap, may touch. Cubes share buckets by a hash, which
// makes for a few needless pairs and misses none.
type grid struct {
	bodies []body
	gap    units.Length // bodies farther apart than this need not be found
	bits   uint8        // a cube is 1<<bits nanometres long: coordinates are shifted, not divided
	shift  uint8        // of a hash, to leave a bucket
	start  []int32      // where each bucket begins in in, and the end
	in     []int32      // indexes of bodies, bucket after bucket
}

// maxPairs is how many pairs for each body a grid may have before it gives up: pipes
// of a real layout have a dozen neighbours.
const maxPairs = 200

// newGrid sorts the bodies. It is nil if so many lie in one place that setting them
// against each other would take too long.
func newGrid(bodies []body, gap units.Length) *grid {
	g := &grid{bodies: bodies, gap: gap}
	// A cube is as large as the bodies are long on average, and no body is wider: so
	// the cubes that all of them take up are a few for each.
	var total float64
	cube := units.Millimetre
	for i := range bodies {
		b := &bodies[i]
		a := b.axis()
		total += math.Abs(float64(b.q[a] - b.p[a]))
		cube = max(cube, 2*g.margin(b))
	}
	cube = max(cube, units.Length(total/float64(max(len(bodies), 1))))
	g.bits = uint8(bits.Len64(uint64(cube - 1)))
	buckets := 1
	for g.shift = 64; buckets < 2*len(bodies); buckets *= 2 {
		g.shift--
	}
	g.start = make([]int32, buckets+1)
	for i := range bodies {
		g.cubes(&bodies[i], func(h uint64) { g.start[h+1]++ })
	}
	pairs := int64(0)
	for h := range buckets {
		n := int64(g.start[h+1])
		pairs += n * (n - 1) / 2
		g.start[h+1] += g.start[h]
	}
	if pairs > maxPairs*int64(len(bodies)+1000) {
		return nil
	}
	g.in = make([]int32, g.start[buckets])
	for i := range bodies {
		g.cubes(&bodies[i], func(h uint64) {
			// Filled from the front: start moves on and is put back below.
			g.in[g.start[h]] = int32(i)
			g.start[h]++
		})
	}
	copy(g.start[1:], g.start[:buckets])
	g.start[0] = 0
	return g
}

// pairs calls with every two bodies that may be within the gap, the lower index
// first. A pair may come more than once.
func (g *grid) pairs(call func(a, b int32)) {
	for h := range len(g.start) - 1 {
		bucket := g.in[g.start[h]:g.start[h+1]]
		for k, a := range bucket {
			for _, b := range bucket[k+1:] {
				if a != b && boxesNear(&g.bodies[a], &g.bodies[b], g.gap) {
					call(min(a, b), max(a, b))
				}
			}
		}
	}
}

// boxesNear tells whether the boxes around two bodies come within a gap.
func boxesNear(a, b *body, gap units.Length) bool {
	reach := a.r + b.r + gap
	for k := range 3 {
		if min(a.p[k], a.q[k]) > max(b.p[k], b.q[k])+reach || min(b.p[k], b.q[k]) > max(a.p[k], a.q[k])+reach {
			return false
		}
	}
	return true
}

// axis returns the axis along which the body is longest.
func (b *body) axis() int {
	axis, longest := 0, units.Length(-1)
	for k := range 3 {
		if d := max(b.q[k]-b.p[k], b.p[k]-b.q[k]); d > longest {
			axis, longest = k, d
		}
	}
	return axis
}

// margin is how far around its centre line a body is sorted, with a little for
// rounding.
func (g *grid) margin(b *body) units.Length { return b.r + g.gap/2 + units.Micrometre }

// cubes calls with the bucket of each cube that the body may touch.
func (g *grid) cubes(b *body, call func(bucket uint64)) {
	m := g.margin(b)
	var from, to [3]int64
	small := true
	for k := range 3 {
		from[k], to[k] = g.index(min(b.p[k], b.q[k])-m), g.index(max(b.p[k], b.q[k])+m)
		small = small && to[k]-from[k] <= 1
	}
	if small { // the cubes of its box are few enough
		g.box(from, to, call)
		return
	}
	a := b.axis()
	along := float64(b.q[a] - b.p[a])
	for step, last := from[a], to[a]; step <= last; step++ {
		// The piece of the centre line from which this slice of space can be touched.
		t0, t1 := 0.0, 1.0
		if along != 0 {
			near := float64(units.Length(step<<g.bits)-m-b.p[a]) / along
			far := float64(units.Length((step+1)<<g.bits)+m-b.p[a]) / along
			t0, t1 = max(0, min(near, far)), min(1, max(near, far))
		}
		for k := range 3 {
			d := float64(b.q[k] - b.p[k])
			u, v := units.Length(t0*d), units.Length(t1*d)
			from[k], to[k] = g.index(b.p[k]+min(u, v)-m), g.index(b.p[k]+max(u, v)+m)
		}
		from[a], to[a] = step, step
		g.box(from, to, call)
	}
}

// box calls with the bucket of each cube of a box.
func (g *grid) box(from, to [3]int64, call func(bucket uint64)) {
	for x := from[0]; x <= to[0]; x++ {
		for y := from[1]; y <= to[1]; y++ {
			for z := from[2]; z <= to[2]; z++ {
				h := uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f ^ uint64(z)*0x165667b19e3779f9
				h ^= h >> 29
				call(h * 0xbf58476d1ce4e5b9 >> g.shift)
			}
		}
	}
}

// index returns the cube, along one axis, in which a coordinate lies.
func (g *grid) index(x units.Length) int64 { return int64(x) >> g.bits }

// crossing returns how far apart the centre lines of two bodies lie plumb where they
// cross in plan, to a tenth of a micrometre, a above b if it is positive; ok is false
// if they do not cross.
func crossing(a, b *body) (plumb units.Length, ok bool) {
	// In metres from the lower end of a: products of nanometres would overflow.
	x, y := (b.p[0] - a.p[0]).Metres(), (b.p[1] - a.p[1]).Metres()
	ax, ay := (a.q[0] - a.p[0]).Metres(), (a.q[1] - a.p[1]).Metres()
	bx, by := (b.q[0] - b.p[0]).Metres(), (b.q[1] - b.p[1]).Metres()
	den := float64(ax*by) - float64(ay*bx)
	const parallel = 1e-9 // of the product of their lengths
	if den*den <= parallel*parallel*float64((float64(ax*ax)+float64(ay*ay))*(float64(bx*bx)+float64(by*by))) {
		return 0, false
	}
	t := (float64(x*by) - float64(y*bx)) / den
	u := (float64(x*ay) - float64(y*ax)) / den
	if !(t >= 0 && t <= 1 && u >= 0 && u <= 1) {
		return 0, false
	}
	z := (a.p[2] - b.p[2]).Metres() + float64(t*(a.q[2]-a.p[2]).Metres()) - float64(u*(b.q[2]-b.p[2]).Metres())
	const step = units.Micrometre / 10
	return units.Length(math.RoundToEven(z/step.Metres())) * step, true
}

// obstacles judges the clear distance from pipe to what else lies in the ground, and keeps
// trenches along footings out of the plane that falls from their edge.
func (j *judge) obstacles() {
	list := j.layout.Obstacles
	if len(list) == 0 {
		return
	}
	bodies := append(j.bodies(), j.ventBodies()...)
	if len(bodies) == 0 {
		j.Ask("obstacle-clearance", j.job(), tables.Designer,
			j.Text("Obstacles: %d, and no run has coordinates at both ends to measure them from.", len(list)),
			"Give the points their places (at).")
		return
	}
	left := func(b *body) units.Length { return min(b.p[0], b.q[0]) - b.r }
	slices.SortFunc(bodies, func(a, b body) int { return cmp.Compare(left(&a), left(&b)) })
	longest := units.Length(0) // along x
	for i := range bodies {
		b := &bodies[i]
		longest = max(longest, max(b.p[0], b.q[0])+b.r-left(b))
	}
	for k := range list {
		o := &list[k]
		reach := j.obstacleReach(o)
		from := min(o.From.X, o.To.X) - reach - longest
		at, _ := slices.BinarySearchFunc(bodies, from, func(b body, x units.Length) int { return cmp.Compare(left(&b), x) })
		for ; at < len(bodies) && left(&bodies[at]) <= max(o.From.X, o.To.X)+reach; at++ {
			j.obstacle(&bodies[at], o)
		}
	}
}

// obstacleReach is how far from the centre line of an obstacle anything may matter.
func (j *judge) obstacleReach(o *Obstacle) units.Length {
	deepest := o.Top
	for s := range j.layout.Systems {
		deepest = min(deepest, j.layout.Systems[s].Outlet.Invert-j.layout.Bedding-units.Foot)
	}
	return max(o.Width, o.Top-o.Bottom) + max(o.Clear, j.layout.MinimumClearance) + max(o.Bottom-deepest, 0)
}

// obstacle judges one run against one obstacle.
func (j *judge) obstacle(b *body, o *Obstacle) {
	wanted := cmp.Or(o.Clear, j.layout.MinimumClearance)
	var spread slope.Grade
	degrees, _, ok := j.number("footing-plane", "deg")
	if (!ok || degrees == 45) && o.Kind == ObstacleFooting && b.vent == nil {
		spread = slope.OneIn(1)
	}
	for _, c := range o.conflicts(b.course(), wanted, j.layout.Bedding, spread) {
		switch c.Kind {
		case slope.TooClose, slope.NearSolid:
			j.nearObstacle(b, o, c.Found, wanted)
		case slope.UnderSpread:
			j.underFooting(b, o, -c.Found)
		}
	}
}

// conflicts measures a pipe against an obstacle; what is beyond what is measured is far away.
func (o *Obstacle) conflicts(pipe slope.Course, wanted, bedding units.Length, spread slope.Grade) []slope.Conflict {
	lim := slope.Limits{Pipes: wanted, Solids: wanted, Bedding: bedding}
	from, to := slope.Point{X: o.From.X, Y: o.From.Y}, slope.Point{X: o.To.X, Y: o.To.Y}
	var found []slope.Conflict
	if o.Width == 0 { // round
		other := slope.Course{Lower: from, Upper: to, LowerInvert: o.Bottom, UpperInvert: o.Bottom, Into: -1,
			Pipe: slope.Pipe{Bore: o.Top - o.Bottom}}
		found, _ = slope.Conflicts([]slope.Course{pipe, other}, nil, lim)
	} else {
		solid := slope.Solid{A: from, B: to, Width: o.Width, Top: o.Top, Bottom: o.Bottom, Spread: spread}
		found, _ = slope.Conflicts([]slope.Course{pipe}, []slope.Solid{solid}, lim)
	}
	return found
}

// Clearance returns how far a pipe of another trade keeps clear of an obstacle, negative if it
// runs into it; near is false if that is as much as is wanted.
func (o *Obstacle) Clearance(pipe slope.Course, wanted units.Length) (clear units.Length, near bool) {
	for _, c := range o.conflicts(pipe, wanted, 0, slope.Grade{}) {
		if c.Kind == slope.TooClose || c.Kind == slope.NearSolid {
			return c.Found, true
		}
	}
	return 0, false
}

// nearObstacle tells of a run that comes too near an obstacle.
func (j *judge) nearObstacle(b *body, o *Obstacle, found, wanted units.Length) {
	what, run := j.named(b)
	for k := range j.layout.Footings {
		if f := &j.layout.Footings[k]; o.Kind == ObstacleFooting && f.Run == run && f.Kind == FootingThrough {
			return // it passes in a sleeve, which is judged there
		}
	}
	reason := j.Text("%s passes %s %s with %v clear between them", what, o.Kind, o.ID, found)
	if found < 0 {
		reason = j.Text("%s runs %v into %s %s", what, -found, o.Kind, o.ID)
	}
	if wanted > 0 {
		reason += j.Text("; at least %v", wanted)
	}
	fix := "Move the run, or lower it as far as its outlet lets it."
	if b.vent != nil {
		fix = "Lead the vent past it."
	}
	if o.Kind == ObstacleFooting {
		fix = "Pass below it, or through it in a sleeve with the designer's consent (footings)."
	}
	j.tooNear(b, finding.Case{Rule: "obstacle-clearance", Place: run, Side: o.ID},
		finding.Words{Reason: reason, Fix: fix, Value: found, Limit: wanted})
}

// tooNear records what was measured too near between the ends of a run; if that does not run
// straight it is a question.
func (j *judge) tooNear(b *body, m finding.Case, w finding.Words) {
	if j.straight(b) {
		w.Reason += "."
		j.Holds(false, m, func() finding.Words { return w })
		return
	}
	j.Add(tables.Finding{Rule: m.Rule, Place: m.Place, Side: m.Side, Verdict: tables.Ask, SettledBy: tables.Designer,
		Value: w.Value, Limit: w.Limit, Citation: m.Citation,
		Reason: w.Reason + ". That is so if it runs straight from point to point, which its length or bends do not say.",
		Fix:    "Give the points at which it bends, or measure it on a drawing."})
}

// underFooting tells of a trench along a footing that cuts the plane down from its edge. A
// run that crosses below the footing, at more than 45 degrees to it, is no such trench.
func (j *judge) underFooting(b *body, o *Obstacle, deep units.Length) {
	_, cite, ok := j.number("footing-plane", "deg")
	ax, ay := (b.q[0] - b.p[0]).Metres(), (b.q[1] - b.p[1]).Metres()
	ox, oy := (o.To.X - o.From.X).Metres(), (o.To.Y - o.From.Y).Metres()
	along, across := math.Abs(float64(ax*ox)+float64(ay*oy)), math.Abs(float64(ax*oy)-float64(ay*ox))
	if across >= along {
		return
	}
	m := sided("footing-plane", j.id(b.node), o.ID, cite)
	w := finding.Words{Value: deep, Limit: units.Length(0),
		Reason: j.Text("The trench from %s cuts %v below the plane that falls at 45 degrees from the edge of footing %s",
			m.Place, deep, o.ID),
		Fix: "Move the trench away, or shore and backfill as the designer says."}
	if !ok {
		j.Add(tables.Finding{Rule: m.Rule, Place: m.Place, Side: m.Side, Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: deep, Reason: w.Reason + "." + noPlane, Fix: w.Fix})
		return
	}
	j.tooNear(b, m, w)
}
