package drains

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ventGraph is the index over the vents: each vent flows to at most one other
// vent, or ends in a stack or in the open air.
type ventGraph struct {
	parent []int32 // vent it joins; -1 if it ends
	order  []int32 // each after all that join it
	from   []int32 // node of its take-off, -1 if it has none
	serves []int32 // node where it vents what joins: that, or under it where a riser or stack goes on dry
	end    []int32 // node where its wet or circuit section ends, -1 if none
	stack  []int32 // node of the stack it ends in, -1 if none
	// byNode lists take-offs by node: takeoff[i] is the first vent that leaves
	// node i, -1 if none; then follow nextAt.
	takeoff []int32
	nextAt  []int32
	length  []units.Length // developed length of its own runs
	// stretched tells that some vent vents a stretch of drain.
	stretched bool
}

func (g *ventGraph) plant(l *Data, t *tree, c *checker) {
	n := len(l.Vents)
	if n == 0 {
		return
	}
	for _, list := range [...]*[]int32{&g.parent, &g.from, &g.serves, &g.end, &g.stack, &g.nextAt} {
		*list = none(n)
	}
	g.takeoff = none(t.len())
	g.length = make([]units.Length, n)
	index := c.vents(l, g)
	joined := make([]bool, n)
	for i := n - 1; i >= 0; i-- {
		if !c.GoesBetween(n-1-i, n, "vents joined") {
			return
		}
		v := &l.Vents[i]
		at := c.ofVent(i, v)
		node := func(path, id string) int32 {
			k, ok := t.index[id]
			if !ok || int(k) < t.outlets {
				c.fault(at, path, because(ErrReference, "no point %q", id))
				return -1
			}
			return k
		}
		if v.From != "" {
			if g.from[i] = node("from", v.From); g.from[i] >= 0 {
				g.nextAt[i], g.takeoff[g.from[i]] = g.takeoff[g.from[i]], int32(i)
				g.serves[i] = t.underDryTop(g.from[i], v.Kind == VentStackVent)
			}
		}
		section := v.Kind == VentWet || v.Kind == VentCircuit || v.Kind == VentWasteStack
		switch {
		case v.Kind == VentCommon && v.Through == "":
		case section && v.Through == "":
			c.missing(at, "through", fmt.Sprintf(": a %s vent names the last point it vents", v.Kind))
		case !section && v.Kind != VentCommon && v.Through != "":
			c.fault(at, "through",
				because(ErrChoice, "only a common, a wet, a circuit or a waste stack vent vents a stretch of drain"))
		case section || v.Kind == VentCommon:
			g.end[i] = node("through", v.Through)
			g.stretched = true
			if s := g.serves[i]; s >= 0 && s != g.end[i] && t.drainsBy(g.end[i], s) {
				g.serves[i] = g.from[i] // what is vented ends in the dry riser itself
			}
		}
		c.ventEnd(l, i, index, t, g, joined)
		if v.At != nil {
			c.ventJoin(l, i, g)
		}
		if v.Drains != "" {
			node("drains", v.Drains)
		}
		if v.Kind != VentIsland && (v.Drains != "" || v.Cleanout) {
			c.fault(at, "kind", because(ErrChoice, "only an island vent drains at its low end or has a cleanout"))
		}
	}
	for i := range l.Vents {
		if l.Vents[i].From == "" && !joined[i] {
			c.missing(c.ofVent(i, &l.Vents[i]), "from",
				": it vents nothing: name a point of take-off or join another vent to it")
		}
	}
	g.order = forest.LeavesFirst(g.parent, 0)
	if cycles := forest.Cycles(g.parent); cycles != nil {
		first := int(cycles[0][0])
		c.fault(c.ofVent(first, &l.Vents[first]), "to",
			fmt.Errorf("%w: the vents that join it never reach the open air", ErrCycle))
	}
}

// at goes through the vents that take off at a node.
func (g *ventGraph) at(i int32) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		if g.takeoff == nil {
			return
		}
		for v := g.takeoff[i]; v >= 0 && yield(v); v = g.nextAt[v] {
		}
	}
}

// none is for each of n that it has none: no vent, no node.
func none(n int) []int32 { return slices.Repeat([]int32{-1}, n) }

// underDryTop returns the node below a riser into which nothing drains: what stands over it,
// though drawn as drain, is vent. Of a stack it is the highest node into which something drains.
func (t *tree) underDryTop(i int32, stack bool) int32 {
	for n := i; ; n = t.parent[n] {
		pt, up, below := t.point(n), t.first[n], t.parent[n]
		switch {
		case !pt.Run.Vertical || pt.drainsIn() || up >= 0 && (n == i || t.next[up] >= 0):
			return n
		case int(below) < t.outlets, below == i:
			return i // dry down to the outlet, or in a circle, which is told elsewhere
		case stack && !t.point(below).Run.Vertical:
			return n
		}
	}
}

// vents checks each vent by itself, and returns where each stands by its id.
func (c *checker) vents(l *Data, g *ventGraph) map[string]int32 {
	index := make(map[string]int32, len(l.Vents))
	for i := range c.Each(len(l.Vents), "vents checked") {
		v := &l.Vents[i]
		at := c.ofVent(i, v)
		c.id(at, "id", v.ID)
		if _, twice := index[v.ID]; twice && v.ID != "" {
			c.fault(at, "id", because(ErrDuplicate, "%q is the id of two vents", v.ID))
		}
		index[v.ID] = int32(i)
		oneOf(c, at, "kind", v.Kind, kindsOfVents)
		c.size(at, "size", v.Size)
		g.length[i] = c.ventRuns(l, i)
	}
	return index
}

// ventEnd checks where a vent ends, and notes what it joins.
func (c *checker) ventEnd(l *Data, i int, index map[string]int32, t *tree, g *ventGraph, joined []bool) {
	v := &l.Vents[i]
	at := c.ofVent(i, v)
	ends := 0
	for _, has := range [...]bool{v.To != "", v.Terminal != nil, v.Valve != nil} {
		if has {
			ends++
		}
	}
	switch {
	case ends > 1:
		c.fault(at, "to", because(ErrChoice,
			"name one end: what it joins (to), the open air (terminal) or an air admittance valve (valve)"))
	case ends == 0:
		c.missing(at, "to", ": a vent joins another vent or a stack, or ends in a terminal or a valve")
	case v.To != "":
		if k, ok := index[v.To]; ok {
			g.parent[i] = k
			joined[k] = true
		} else if k, ok := t.index[v.To]; ok && int(k) >= t.outlets {
			g.stack[i] = k
			if !t.point(k).Run.Vertical {
				c.fault(at, "to", because(ErrChoice, "point %q is not on a stack", v.To))
			}
		} else {
			c.fault(at, "to", because(ErrReference, "no vent or stack %q", v.To))
		}
	}
	if t := v.Terminal; t != nil {
		c.lengths(at, field{"terminal.above_roof", t.AboveRoof}, field{"terminal.from_opening", t.FromOpening},
			field{"terminal.from_lot_line", t.FromLotLine}, field{"terminal.from_wall", t.FromWall})
		c.elevation(at, "terminal.above_opening", &t.AboveOpening)
	}
	if x := v.Valve; x != nil {
		if x.Type != "" {
			oneOf(c, at, "valve.type", x.Type, valveTypes)
		}
		c.length(at, "valve.insulation", x.Insulation)
	}
}

// ventJoin checks what a vent says of where it joins another.
func (c *checker) ventJoin(l *Data, i int, g *ventGraph) {
	v := &l.Vents[i]
	at := c.ofVent(i, v)
	c.length(at, "at.height", v.At.Height)
	station := v.At.Station
	if station != nil {
		c.length(at, "at.station", *station)
	}
	p := g.parent[i]
	switch {
	case v.At.Height != 0 && station != nil:
		c.fault(at, "at", because(ErrChoice, "name a height or a station, not both"))
	case v.At.Height == 0 && station == nil:
		c.missing(at, "at", ": name a height above the floor or a station along the vent joined")
	case p < 0:
		c.fault(at, "at", because(ErrChoice, "only a vent that joins another vent has a place on it"))
	case station != nil && *station > g.length[p]:
		c.fault(at, "at.station", because(units.ErrRange, "vent %q is %v long", v.To, g.length[p]))
	}
}

// servingKinds are the kinds of vents in the order in which they serve the traps that
// reach a place at which several take off.
var servingKinds = []VentKind{VentIndividual, VentCommon, VentIsland, VentWet, VentCircuit,
	VentWasteStack, VentBranch, VentStack, VentStackVent, VentRelief}

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
	at := c.ofVent(i, v)
	if len(v.Runs) == 0 && v.Kind != VentStackVent && v.Kind != VentWasteStack {
		c.missing(at, "runs", "")
	}
	var total units.Length
	for k := range v.Runs {
		if k > 0 && !c.GoesBetween(k, len(v.Runs), "runs of a vent checked") {
			return total
		}
		r := &v.Runs[k]
		where := at
		where.run = k + 1
		if r.Length <= 0 || !r.Length.Valid() {
			if r.Length == 0 {
				c.missing(where, "length", " or zero")
			} else {
				c.length(where, "length", r.Length)
			}
			continue
		}
		c.length(where, "rise", r.Rise)
		if r.Rise > r.Length {
			c.fault(where, "rise", because(units.ErrRange, "it rises %v over a length of %v", r.Rise, r.Length))
		}
		oneOf(c, where, "direction", r.Direction, ventDirections)
		if r.Direction == VentDown && v.Kind != VentIsland {
			c.fault(where, "direction", because(ErrChoice, "only an island vent goes down again"))
		}
		c.position(where, "end", r.End)
		if total += r.Length; total > units.MaxLength {
			c.fault(at, "runs", because(units.ErrRange, "longer than 1000 km"))
			return 0
		}
	}
	return total
}

// ruleVentLengthTo says how far the developed length of a vent is measured: to the stack
// vent or vent stack that it joins, or on to the open air.
const ruleVentLengthTo = "vent-length-to"

// ventJoinSlack is how far the end of a vent may be drawn above or below what it joins and
// still be meant to meet it: flat vents have some fall that layouts leave out, and take-offs
// some height of their own (practice).
const ventJoinSlack = 6 * units.Inch

// ventHeights are the elevations at which each vent starts and ends.
type ventHeights struct{ start, end []units.Length }

// ventHeights finds them from the take-offs, whose runs start at upper, and the rises of
// the vents. A vent without a take-off starts where others join it: at the highest of them,
// or at the lowest if it rises from there.
func (s *Sizing) ventHeights(upper []units.Length) ventHeights {
	g, vents := &s.tree.vents, s.layout.Vents
	n := len(g.order)
	h := ventHeights{make([]units.Length, n), make([]units.Length, n)}
	has := make([]bool, n)
	for _, v := range g.order {
		if f := g.from[v]; f >= 0 {
			h.start[v] = upper[f]
			switch pt := s.tree.point(f); {
			case !pt.Run.Vertical:
				h.start[v] += s.pipe[f].Bore / 2
			case pt.StubUp > 0:
				// Risers are keyed to the inch; where the stub stands is measured.
				top := s.layout.FinishedFloor + pt.StubUp
				if off := top - upper[f]; max(off, -off) <= stubSlack {
					h.start[v] = top
				}
			}
		}
		at := h.start[v]
		for k := range vents[v].Runs {
			at += rise(&vents[v].Runs[k])
		}
		h.end[v] = at
		p := g.parent[v]
		if p < 0 || g.from[p] >= 0 {
			continue
		}
		rises := len(vents[p].Runs) > 0 && vents[p].Runs[0].Direction == VentUp
		if !has[p] || rises && at < h.start[p] || !rises && at > h.start[p] {
			h.start[p], has[p] = at, true
		}
	}
	return h
}

// stationOf finds where along its runs a vent that starts at an elevation comes to a height,
// at the first such place; ok is false if it never does, within the slack of a join.
func stationOf(x *Vent, start, height units.Length) (station units.Length, ok bool) {
	if height <= start {
		return 0, height >= start-ventJoinSlack
	}
	at := start
	for k := range x.Runs {
		r := &x.Runs[k]
		up := rise(r)
		if at+up >= height {
			return station + units.Length(float64(r.Length)*float64(height-at)/float64(up)), true
		}
		at, station = at+up, station+r.Length
	}
	return station, height <= at+ventJoinSlack
}

// heightAt is the elevation of a vent that starts at an elevation, at a station of its runs.
func heightAt(x *Vent, start, station units.Length) units.Length {
	at := start
	for k := range x.Runs {
		r := &x.Runs[k]
		if station <= r.Length {
			return at + units.Length(float64(rise(r))*float64(station)/float64(r.Length))
		}
		at, station = at+rise(r), station-r.Length
	}
	return at
}

// ventStation returns how far along the vent that it joins vent v meets it: as stated, or as
// high as its runs end. Where the two do not meet it is the start, which is never too short.
func (s *Sizing) ventStation(v int32, h ventHeights) units.Length {
	p := s.tree.vents.parent[v]
	x := &s.layout.Vents[v]
	height := h.end[v]
	switch at := x.At; {
	case at == nil:
	case at.Station != nil:
		return *at.Station
	default:
		height = s.layout.FinishedFloor + at.Height
	}
	station, ok := stationOf(&s.layout.Vents[p], h.start[p], height)
	if !ok {
		return 0
	}
	return station
}

// ventWays are, by vent, the developed lengths from the farthest take-off that drains into it
// to its own end, and from there on: to the air, and to where the code ends the measure.
type ventWays struct{ upstream, toAir, onward []units.Length }

// developed measures the vents. endsAtStack is as the code has it; a header is measured from the
// base of the stacks that it gathers.
func (s *Sizing) developed(endsAtStack bool, stacks headers) ventWays {
	g, vents := &s.tree.vents, s.layout.Vents
	h := s.ventHeights(s.upper)
	n := len(vents)
	w := ventWays{make([]units.Length, n), make([]units.Length, n), make([]units.Length, n)}
	station := make([]units.Length, n)
	for _, v := range g.order {
		w.upstream[v] = max(w.upstream[v], g.length[v])
		p := g.parent[v]
		from := w.upstream[v]
		if stacks.height != nil {
			from += stacks.height[v]
		}
		if p < 0 {
			continue
		}
		station[v] = s.ventStation(v, h)
		if !(endsAtStack && isStackVent(&vents[p]) && g.from[p] >= 0) {
			w.upstream[p] = max(w.upstream[p], from+g.length[p]-station[v])
		}
	}
	for _, v := range slices.Backward(g.order) {
		p := g.parent[v]
		if p < 0 {
			continue
		}
		w.toAir[v] = g.length[p] - station[v] + w.toAir[p]
		if !(endsAtStack && isStackVent(&vents[p])) {
			w.onward[v] = g.length[p] - station[v] + w.onward[p]
		}
	}
	if !endsAtStack {
		s.pastStacks(&w)
	}
	return w
}

// isStackVent tells the vents at which some codes end the measure of the others.
func isStackVent(x *Vent) bool {
	return x.Kind == VentStackVent || x.Kind == VentStack || x.Kind == VentWasteStack
}

// pastStacks carries the measure of vents that end in a stack on through its top and its
// stack vent, and that of the vents that join them with it.
func (s *Sizing) pastStacks(w *ventWays) {
	g := &s.tree.vents
	way := make([]units.Length, len(g.order)) // on from where a vent's last ends in a stack
	known := map[int32]units.Length{}
	for _, v := range slices.Backward(g.order) {
		if p := g.parent[v]; p >= 0 {
			way[v] = way[p]
		} else if g.stack[v] >= 0 {
			way[v] = s.stackWay(g.stack[v], v, known)
		}
		w.toAir[v] += way[v]
		w.onward[v] += way[v]
	}
}

// stackWay is the way from a node of a stack through the pipe above it and the stack vent on
// top, 0 if none is drawn but the vent that asks.
func (s *Sizing) stackWay(from, asks int32, known map[int32]units.Length) (way units.Length) {
	if way, ok := known[from]; ok {
		return way
	}
	for i := from; i >= 0; i = s.tree.uprightAbove(i) {
		if i != from {
			way += s.tree.point(i).Run.Length
		}
		if top := s.stackVentAt(i); top >= 0 && top != asks {
			known[from] = way + s.tree.vents.length[top]
			return known[from]
		}
	}
	return 0
}

// stackVentAt is the stack vent that takes off at a node, -1 if there is none.
func (s *Sizing) stackVentAt(i int32) int32 {
	for v := range s.tree.vents.at(i) {
		if s.layout.Vents[v].Kind == VentStackVent {
			return v
		}
	}
	return -1
}

// uprightAbove is the run that goes on upward from a node, -1 if there is none.
func (t *tree) uprightAbove(i int32) int32 {
	for k := t.first[i]; k >= 0; k = t.next[k] {
		if t.point(k).Run.Vertical {
			return k
		}
	}
	return -1
}

// VentSize is the size of one vent and what it serves.
type VentSize struct {
	Vent     string           `json:"vent"`
	Kind     VentKind         `json:"kind"`
	Load     dwv.FixtureUnits `json:"load"`             // of the traps it serves, with those of the vents that join it
	Fixtures int              `json:"fixtures"`         // its own, without those of the vents that join it
	Closets  int              `json:"closets,omitzero"` // with those of the vents that join it
	Drain    units.Length     `json:"drain"`            // the largest drain it serves, as required were none drawn
	// Developed, from the farthest take-off to where the code ends the measure: the air, or a stack vent
	// or vent stack.
	Length   units.Length   `json:"length"`
	Flat     units.Length   `json:"flat"` // of its own runs that are not risers
	Size     units.Length   `json:"size"` // as drawn, or else as required
	Drawn    bool           `json:"drawn,omitzero"`
	Required units.Length   `json:"required"`
	Decided  dwv.VentReason `json:"decided"` // what Required rests on
	// Greatest developed length of Required; zero: the code gives none.
	MaxLength units.Length    `json:"max_length,omitzero"`
	Citation  tables.Citation `json:"citation,omitzero"`
	Err       error           `json:"-"`                   // why the code cannot size it
	NotSized  string          `json:"not_sized,omitempty"` // the same as text
	rims      floodRims       // of what it serves
	traps     trapSizes       // of what it serves
	ownRims   floodRims       // of what it serves itself, and not by vents that join it
	short     string          // a point it serves whose load the code does not give
	// What drains into the stack that it is the vent of, where a header gathers it.
	stack dwv.FixtureUnits
}

// Vents returns the size of each vent, in input order.
func (s *Sizing) Vents() []VentSize {
	list := slices.Clone(s.there().vents)
	for i := range list {
		list[i].tellWhy()
	}
	return list
}

// tellWhy writes the reason why a vent has no size.
func (v *VentSize) tellWhy() {
	if v.Err != nil {
		v.NotSized = v.Err.Error()
	}
}

// Vent returns the size of the vent of that id.
func (s *Sizing) Vent(id string) (VentSize, bool) {
	for _, v := range s.there().vents {
		if v.Vent == id {
			v.tellWhy()
			return v, true
		}
	}
	return VentSize{}, false
}

var (
	errNoDrain   = errors.New("it serves no drain")
	errNoSizeYet = errors.New("the drain that it serves has no size")
)

// floodRims are the flood rims of what a vent serves.
type floodRims struct {
	highest units.Length // elevation of the highest that is given
	stated  bool         // some fixture has one that is given
	floor   bool         // some floor drain has its own, where it stands
	missing bool         // some fixture has none
}

// add takes in the rims of something more.
func (r *floodRims) add(more floodRims) {
	if more.stated || more.floor {
		if !r.stated && !r.floor || more.highest > r.highest {
			r.highest = more.highest
		}
	}
	r.stated, r.floor, r.missing = r.stated || more.stated, r.floor || more.floor, r.missing || more.missing
}

// known tells whether the highest is one to judge by: floor drains alone do not speak for
// fixtures whose rim is not given.
func (r *floodRims) known() bool { return r.stated || r.floor && !r.missing }

// rimsAt is the flood rim of what stands at a point: as given, that of a standpipe by its
// heights, and that of a floor drain by where it lies.
func rimsAt(l *Data, pt *Point) floodRims {
	floor := l.FinishedFloor
	switch r := pt.Receptor; {
	case pt.FloodRim > 0:
		return floodRims{highest: floor + pt.FloodRim, stated: true}
	case pt.Fixture == nil:
		return floodRims{}
	case r != nil && r.Standpipe > 0 && r.TrapAboveFloor > 0:
		return floodRims{highest: floor + r.TrapAboveFloor + r.Standpipe, stated: true}
	case isFloorDrain(pt.Fixture) && !pt.AboveFloor:
		return floodRims{highest: floor - pt.RimBelow, floor: true}
	}
	return floodRims{missing: true}
}

// trapSizes is the largest of some traps, as far as they are known.
type trapSizes struct {
	largest units.Length
	missing bool // one is not known
}

func (t *trapSizes) add(more trapSizes) {
	t.largest, t.missing = max(t.largest, more.largest), t.missing || more.missing
}

// trapSize is the trap of what drains in at a node: as given, or else as the code has it.
func (s *Sizing) trapSize(i int32) trapSizes {
	pt := s.tree.point(i)
	size := units.Length(0)
	if pt.Fixture != nil {
		size = pt.outletSize()
		if k := s.fixture[i]; size == 0 && k >= 0 {
			size = s.rated[k].TrapSize
		}
	}
	return trapSizes{largest: size, missing: size == 0}
}

// sizeVents gives each trap to the vent its arm reaches first, gathers the loads down
// the vents, and sizes each by load and developed length.
func (s *Sizing) sizeVents() {
	l, t, r := s.layout, s.tree, s.routes
	g := &t.vents
	s.vents = make([]VentSize, len(l.Vents))
	for i, pt := range t.all() {
		// A load kept for later needs its vent as much as a fixture does, and a steady
		// flow its air, though it is no fixture.
		if !pt.drainsIn() || r.serving[i] < 0 {
			continue
		}
		v := &s.vents[r.serving[i]]
		v.Load += s.ownLoad(i)
		switch {
		case pt.Fixture != nil:
			v.Fixtures += pt.Fixture.Count
		case pt.Reserved > 0:
			v.Fixtures++
		}
		v.Closets = min(v.Closets+s.ownClosets(i), dwv.MaxClosets)
		v.Drain = max(v.Drain, s.need[i])
		v.traps.add(s.trapSize(i))
		if s.unrated[i] != nil && (v.short == "" || pt.ID < v.short) {
			v.short = pt.ID
		}
		v.rims.add(rimsAt(l, pt))
	}
	s.rimsOfRelief()
	for i := range s.vents {
		s.vents[i].ownRims = s.vents[i].rims
	}
	heads := s.headers()
	for _, i := range g.order {
		v := &s.vents[i]
		v.Load = max(v.Load, v.stack)
		p := g.parent[i]
		if p < 0 {
			continue
		}
		up := &s.vents[p]
		up.Load += v.Load
		up.Closets = min(up.Closets+v.Closets, dwv.MaxClosets)
		up.Drain = max(up.Drain, v.Drain)
		up.traps.add(v.traps)
		if v.short != "" && (up.short == "" || v.short < up.short) {
			up.short = v.short
		}
		up.rims.add(v.rims)
	}
	tops := s.dryTops()
	to, _ := s.code.Rule(ruleVentLengthTo)
	w := s.developed(to.String() == "stack", heads)
	for _, i := range slices.Backward(g.order) {
		s.sizeVent(i, w.upstream[i]+w.onward[i], tops, heads)
		if w.onward[i] < w.toAir[i] {
			s.citeEnd(i, w.toAir[i]-w.onward[i], to.Cite)
		}
	}
}

// rimsOfRelief gives each relief vent, to which no trap is counted, the rims of what drains
// past where it is taken off: from there it would fill with their waste.
func (s *Sizing) rimsOfRelief() {
	l, t := s.layout, s.tree
	if !slices.ContainsFunc(l.Vents, func(v Vent) bool { return v.Kind == VentRelief }) {
		return
	}
	rims := make([]floodRims, t.len()) // by node: of what drains past it
	for _, i := range t.order {
		if pt := t.point(i); pt != nil {
			rims[i].add(rimsAt(l, pt))
			rims[t.parent[i]].add(rims[i])
		}
	}
	for v := range l.Vents {
		if from := t.vents.from[v]; l.Vents[v].Kind == VentRelief && from >= 0 {
			s.vents[v].rims.add(rims[from])
		}
	}
}

// citeEnd has the size of a vent cite the rule that ends its measure short of the air, if
// it would be another, or none, with the way that is left out.
func (s *Sizing) citeEnd(i int32, more units.Length, cite tables.Citation) {
	v := &s.vents[i]
	if v.Err != nil {
		return
	}
	far := *v
	far.Length += more
	s.askVent(&far, isStackVent(&s.layout.Vents[i]))
	if far.Err != nil || far.Required != v.Required {
		v.Citation = weakestOf(v.Citation, cite)
	}
}

// flows tells of each node whether something drains through its run.
func (t *tree) flows() []bool {
	flows := make([]bool, t.len())
	for _, i := range t.order {
		flows[i] = flows[i] || t.point(i).drainsIn()
		p := t.parent[i]
		flows[p] = flows[p] || flows[i]
	}
	return flows
}

// dryTops are the tops of stacks and risers that nothing drains into: they are vent already, drawn as
// drain. Where no vent stands on one nobody asks for them.
type dryTops struct {
	foot   []int32        // by node: the first at or below it that something drains through
	length []units.Length // from the node down to there
}

// dryTops finds them for the vents of a layout.
func (s *Sizing) dryTops() (d dryTops) {
	t := s.tree
	g := &t.vents
	if slices.Equal(g.from, g.serves) {
		return d
	}
	flows := t.flows()
	d = dryTops{make([]int32, t.len()), make([]units.Length, t.len())}
	for _, i := range slices.Backward(t.order) {
		p := t.parent[i]
		d.foot[i] = i
		if run := &t.point(i).Run; run.Vertical && !flows[i] && t.point(p) != nil {
			d.foot[i], d.length[i] = d.foot[p], d.length[p]+run.Length
		}
	}
	return d
}

// carryDown gives a dry top the size of the stack vent that it is part of.
func (s *Sizing) carryDown(from, foot int32, v *VentSize) {
	for i := from; i != foot && s.required[i] < v.Required; i = s.tree.parent[i] {
		run := &s.tree.point(i).Run
		s.enlarge(i, v.Required, DecidedByVenting, v.Citation)
		if p, err := s.pipes.Find(run.Material, s.size[i]); err == nil {
			s.pipe[i] = p
		}
	}
}

// ownLoad returns what the point of a node adds to its run.
func (s *Sizing) ownLoad(i int32) dwv.FixtureUnits { return ownOf(s.tree, s.load, i) + s.grouped[i] }

// ownClosets returns the closets that the point of a node adds.
func (s *Sizing) ownClosets(i int32) int { return int(ownOf(s.tree, s.closets, i)) }

// ownOf returns what a node adds to sums that grow from run to run.
func ownOf[T dwv.FixtureUnits | int32](t *tree, sums []T, i int32) T {
	own := sums[i]
	for k := t.first[i]; k >= 0; k = t.next[k] {
		own -= sums[k]
	}
	return own
}

// ruleStackVent is there in a code that sizes a stack vent by the stack: by all that drains into
// it, and not by what stands at its top.
const ruleStackVent = "stack-vent-min-fraction"

// stackFoot returns the lowest run of the stack that passes a node: what is upright, and the
// offsets of the stack; the node itself under a code that does not size by the stack.
func (s *Sizing) stackFoot(i int32) int32 {
	t := s.tree
	if _, ok := s.code.Rule(ruleStackVent); !ok {
		return i
	}
	foot := i
	for n := i; int(n) >= t.outlets; n = t.parent[n] {
		switch {
		case t.point(n).Run.Vertical:
			foot = n
		case s.part[n] != dwv.Drain || !s.above[n]:
			return foot
		}
	}
	return foot
}

func (s *Sizing) sizeVent(i int32, length units.Length, tops dryTops, heads headers) {
	x, v := &s.layout.Vents[i], &s.vents[i]
	v.Vent, v.Kind, v.Length, v.Size, v.Drawn = x.ID, x.Kind, length, x.Size, x.Size > 0
	for k := range x.Runs {
		if x.Runs[k].flat() {
			v.Flat += x.Runs[k].Length
		}
	}
	from := s.tree.vents.from[i]
	stack := isStackVent(x)
	top := from
	if from >= 0 && tops.length != nil {
		v.Length += tops.length[from]
		from = tops.foot[from]
	}
	if from >= 0 && (stack || v.Drain == 0) {
		v.Drain = max(v.Drain, s.need[from])
	}
	if from >= 0 && stack {
		foot := s.stackFoot(from)
		v.Load, v.Drain = max(v.Load, s.load[foot]), max(v.Drain, s.need[foot])
	}
	if v.Drain == 0 {
		if v.Err = errNoDrain; v.Fixtures > 0 || from >= 0 && s.load[from] > 0 {
			v.Err = errNoSizeYet
		}
		return
	}
	header := heads.is != nil && heads.is[i] && !stack
	s.askVent(v, stack || header)
	if header && v.Err == nil {
		v.Citation = weakestOf(v.Citation, heads.cite)
	}
	if end := s.tree.vents.end[i]; x.Kind == VentWasteStack && end >= 0 {
		if r, ok := s.code.Rule(ruleWasteStackSize); ok && v.Required < s.size[end] {
			v.Required, v.Decided, v.Citation = s.size[end], dwv.VentByDrain, r.Cite
		}
	}
	if v.Size == 0 {
		v.Size = s.sold(max(v.Required, s.layout.MinimumVent))
	}
	if top != from {
		s.carryDown(top, from, v)
	}
}

// askVent asks the code for the size of a vent.
func (s *Sizing) askVent(v *VentSize, stack bool) {
	q := dwv.VentQuery{Part: dwv.IndividualVent, Drain: v.Drain, Load: v.Load, Length: v.Length, Closets: v.Closets}
	if !v.traps.missing {
		q.Trap = v.traps.largest
	}
	if stack {
		q.Part = dwv.StackVent
	}
	r, err := s.code.VentSize(q)
	if err != nil {
		v.Err = err
		return
	}
	v.Required, v.Decided, v.Citation, v.MaxLength = r.Size, r.DecidedBy, r.Citation, r.MaxLength
}

// systems tells, by vent, the system that it serves: that of its take-off, or of a vent that
// joins it. A vent that serves nothing counts with the first.
func (g *ventGraph) systems(t *tree) []int32 {
	of := none(len(g.from))
	for _, i := range g.order {
		if n := g.from[i]; n >= 0 {
			of[i] = t.system[n]
		}
		if p := g.parent[i]; p >= 0 && g.from[p] < 0 && of[p] < 0 {
			of[p] = of[i]
		}
	}
	for i, sys := range of {
		of[i] = max(sys, 0)
	}
	return of
}

// ruleVentHeader is there in a code that sizes a header, which gathers the vents of stacks, by
// all that drains into the stacks and from the base of the farthest.
const ruleVentHeader = "vent-header-as-stack"

// headers are the vents of stacks that a header gathers, under a code that sizes it so.
type headers struct {
	is     []bool // by vent: it gathers the vents of stacks, or vents that do
	height []units.Length
	cite   tables.Citation
}

// headers gives each vent of a stack, before it is gathered, the load of its stack.
func (s *Sizing) headers() (h headers) {
	r, ok := s.code.Rule(ruleVentHeader)
	if !ok {
		return h
	}
	g := &s.tree.vents
	for _, v := range g.order {
		x, from, p := &s.layout.Vents[v], g.from[v], g.parent[v]
		if p < 0 || isStackVent(&s.layout.Vents[p]) || !isStackVent(x) && (h.is == nil || !h.is[v]) {
			continue
		}
		if h.is == nil {
			h = headers{make([]bool, len(g.order)), make([]units.Length, len(g.order)), r.Cite}
		}
		h.is[p] = true
		if from < 0 || !isStackVent(x) {
			continue
		}
		foot := s.stackFoot(from)
		s.vents[v].stack = s.load[foot]
		for i := from; ; i = s.tree.parent[i] {
			h.height[v] += s.tree.point(i).Run.Length
			if i == foot {
				break
			}
		}
	}
	return h
}
