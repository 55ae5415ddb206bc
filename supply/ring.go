package supply

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"slices"

	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Ring is a layout worked out with its links open, so that water reaches points by
// more than one way.
//
// A larger pipe in a ring may lower a pressure, for it brings more water round by its own
// side. Three points are enough: A feeds B and C, all is drawn at B, and a link from C to B
// brings some of it by C; the larger the link, the more is lost on the way to C. A ring that is
// larger all round lowers none.
type Ring struct {
	// Links are the flows in the links, in their order, positive from the first point
	// of Between to the second.
	Links []RingFlow `json:"links"`
	// Runs are the flows in the runs of the tree, by point, negative where water runs
	// back. Lines without a link are as in the analysis.
	Runs []units.Flow `json:"runs"`
	// Out is the pressure at each point while water flows.
	Out []units.Pressure `json:"out"`
	// Continuity and Energy are what the solution leaves unbalanced, as shares; see
	// [hydraulics.NetworkSolution].
	Continuity float64 `json:"continuity"`
	Energy     float64 `json:"energy"`

	lost []units.Pressure // by each run, and from where its ring begins if it lies on one
}

// RingFlow is what a link carries.
type RingFlow struct {
	ID       string         `json:"id"`
	Flow     units.Flow     `json:"flow"`
	Velocity units.Velocity `json:"velocity"`
	Loss     units.Pressure `json:"loss"` // between its ends, in the direction of the flow
}

// Ring works out the lines that links close into rings, all loops at once. The
// demand of a line is shared out among the points it serves by their loads, since a
// ring does not say which way a point's water comes; continuous flows are drawn
// where they are. A run on no ring carries its share of the whole demand, which may be less than
// its own. Devices cost what they do in the analysis. [Layout.Analyse] itself
// takes links as shut, which a ring main must also stand while one side is repaired.
//
// A regulator parts its line: what lies behind it is fed at its pressure, less its
// fall-off, or at what reaches it if that is less, and is a line of its own, with or
// without links. A link from before a regulator to behind it is refused: a regulator
// passes water one way, and what it holds behind it would be set by the link. Put both
// ends on one side, or the regulator on the run that feeds the ring.
func (a *Analysis) Ring() (*Ring, error) { return a.RingContext(context.Background()) }

// RingContext is [Analysis.Ring] that stops once the context is done, with its error and the round of
// the solution that it was in; see [hydraulics.Network.SolveContext] for what grids cost.
func (a *Analysis) RingContext(ctx context.Context) (*Ring, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	w, err := a.openLines(ctx)
	if err != nil {
		return nil, err
	}
	l := a.layout
	out := &Ring{Links: make([]RingFlow, len(l.data.Links)), Runs: make([]units.Flow, l.Len()),
		Out: make([]units.Pressure, l.Len()), lost: make([]units.Pressure, l.Len())}
	for i := range a.runs {
		out.Runs[i] = a.runs[i].Flow
		out.lost[i] = a.runs[i].loss()
		if w.linked[l.lineOf(int32(i), w.valves)] && l.service[i] != Recirculated {
			out.Runs[i] = w.below[i]
		}
	}
	for r := range l.rings {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("ring: stopped after %d of %d: %w", r, len(l.rings), err)
		}
		if err := w.round(&l.rings[r], out); err != nil {
			return nil, err
		}
	}
	for _, i := range l.order {
		lost := out.lost[i]
		if l.ringOf(i) < 0 && out.Runs[i] != a.runs[i].Flow {
			if lost, err = w.loss(i, out.Runs[i]); err != nil {
				return nil, err
			}
		}
		out.Out[i] = a.regulated(i, a.before(i, out.Out)-lost)
	}
	return out, nil
}

// before is the pressure where the run to a point begins, of pressures by point, and where its
// ring begins if it lies on one.
func (a *Analysis) before(i int32, at []units.Pressure) units.Pressure {
	from := a.layout.parent[i]
	if r := a.layout.ringOf(i); r >= 0 {
		from = a.layout.rings[r].top
	}
	if from < 0 {
		return a.street
	}
	return at[from]
}

// openPressures are the pressures at the points with the links open, and every run that is on
// no ring at its own demand, as the check of fixtures takes it; nil where there are no
// links, or none that can be worked out open.
func (a *Analysis) openPressures(ctx context.Context) []units.Pressure {
	if len(a.layout.rings) == 0 {
		return nil
	}
	ring, err := a.RingContext(ctx)
	if err != nil {
		return nil
	}
	return a.pressuresOf(ring)
}

// pressuresOf are the open pressures of a ring worked out.
func (a *Analysis) pressuresOf(ring *Ring) []units.Pressure {
	out := make([]units.Pressure, a.Len())
	for _, i := range a.layout.order {
		out[i] = a.regulated(i, a.before(i, out)-ring.lost[i])
	}
	return out
}

// leastOpen is the least of such pressures at the ports of a fixture.
func (a *Analysis) leastOpen(fixture int, open []units.Pressure) units.Pressure {
	l := a.layout
	cold, hot := l.cold[fixture], l.hot[fixture]
	if cold < 0 || hot >= 0 && open[hot] < open[cold] {
		cold = hot
	}
	if cold < 0 {
		return a.fixtures[fixture].Available
	}
	return open[cold]
}

// regulated is the pressure at a point when p reaches the regulator there, if it has
// one.
func (a *Analysis) regulated(i int32, p units.Pressure) units.Pressure {
	return a.layout.data.Points[i].Device.held(p, a.runs[i].Flow)
}

// isAbove reports whether a way from the source to point b passes point a.
func (l *Layout) isAbove(a, b int32) bool {
	for ; b >= 0; b = l.parent[b] {
		if b == a {
			return true
		}
	}
	return false
}

// line is a connected part of the tree that carries one kind of water at one
// pressure: its service, the heater that feeds it, -1 for the source, and the regulator
// that does, -1 for none.
type line struct {
	service       Service
	heater, valve int32
}

// lineOf is the line of a point; without the regulators its valve is left out.
func (l *Layout) lineOf(i int32, valves []int32) line {
	x := line{service: Cold, heater: -1}
	if l.service[i] != Cold {
		x.service, x.heater = Hot, l.heaterOf[i]
	}
	if valves != nil {
		x.valve = valves[i]
	}
	return x
}

// regulators returns, for each point, the regulator that the water passed last on its
// line, -1 for none. That at a point itself does not count: its run ends before it.
func (l *Layout) regulators() []int32 {
	out := make([]int32, l.Len())
	for _, i := range l.order {
		out[i] = -1
		switch up := l.parent[i]; {
		case up < 0 || l.heaterOf[i] == up:
		case l.data.Points[up].Device.parts():
			out[i] = up
		default:
			out[i] = out[up]
		}
	}
	return out
}

const ringRoot = "\x00root"

// ringMain is a part of a line in which water goes round: the runs and the links that lie on
// loops with one another, and hang on one point. What flows in it hangs on its own pipes and
// on what is drawn at its points, and on no other pipe.
type ringMain struct {
	top   int32   // the point that it hangs on; -1: the source
	runs  []int32 // each after the one that feeds it
	links []int
}

// ringOf returns the ring main that the run to a point is part of, -1 for none.
func (l *Layout) ringOf(i int32) int32 {
	if l.inRing == nil {
		return -1
	}
	return l.inRing[i]
}

// findRings finds the parts of the layout that its links close into rings. The way between
// the ends of a link makes one ring with it, and rings that share a run are one.
func (l *Layout) findRings() {
	n := int32(l.Len())
	if len(l.data.Links) == 0 {
		return
	}
	depth := make([]int32, n)
	for _, i := range l.order {
		if p := l.parent[i]; p >= 0 {
			depth[i] = depth[p] + 1
		}
	}
	// Runs, by their points, and links after them, each in a part with a point that the part
	// hangs on.
	top := slices.Clone(l.parent)
	for k := range l.data.Links {
		a, b := l.index[l.data.Links[k].Between[0]], l.index[l.data.Links[k].Between[1]]
		if depth[a] < depth[b] {
			a, b = b, a
		}
		top = append(top, a)
	}
	part := make([]int32, len(top))
	for i := range part {
		part[i] = int32(i)
	}
	above := func(a, b int32) bool { return a < 0 || b >= 0 && depth[a] < depth[b] }
	for k := range l.data.Links {
		own := n + int32(k)
		a, b := l.index[l.data.Links[k].Between[0]], l.index[l.data.Links[k].Between[1]]
		for a != b {
			if above(a, b) {
				a, b = b, a
			}
			up, mine := forest.Root(part, a), forest.Root(part, own)
			a = top[up] // all of that part is one ring with this link
			if part[up] = mine; above(a, top[mine]) {
				top[mine] = a
			}
		}
	}
	l.numberRings(func(i int32) (at, hangs int32) { r := forest.Root(part, i); return r, top[r] })
}

// numberRings lists the rings by the part that each run and each link is in.
func (l *Layout) numberRings(part func(i int32) (part, top int32)) {
	n := int32(l.Len())
	number := map[int32]int32{}
	l.rings, l.inRing = nil, make([]int32, n)
	for k := range l.data.Links {
		at, top := part(n + int32(k))
		r, ok := number[at]
		if !ok {
			r = int32(len(l.rings))
			number[at] = r
			l.rings = append(l.rings, ringMain{top: top})
		}
		l.rings[r].links = append(l.rings[r].links, k)
	}
	for _, i := range l.order {
		at, _ := part(i)
		r, ok := number[at]
		if l.inRing[i] = -1; ok {
			l.inRing[i] = r
			l.rings[r].runs = append(l.rings[r].runs, i)
		}
	}
}

// openLines is what lines with links draw, which hangs on no size.
type openLines struct {
	a      *Analysis
	ctx    context.Context // of the call at work
	valves []int32
	linked map[line]bool
	below  []units.Flow // drawn at each point of such a line and at all that it feeds there
	water  [3]hydraulics.Water
}

// openLines tells whether the layout can be worked out with its links open.
func (a *Analysis) openLines(ctx context.Context) (*openLines, error) {
	l := a.layout
	for i := range a.runs {
		if a.runs[i].Basis == NotKnown {
			return nil, notKnown(l, a.code, i)
		}
	}
	w := &openLines{a: a, ctx: ctx, valves: l.regulators(), linked: map[line]bool{}, below: make([]units.Flow, l.Len())}
	for i := range l.data.Links {
		k := &l.data.Links[i]
		from, to := l.lineOf(l.index[k.Between[0]], w.valves), l.lineOf(l.index[k.Between[1]], w.valves)
		switch {
		case from.service != to.service || from.heater != to.heater:
			return nil, fmt.Errorf("link %q: %w: joins the lines of two heaters", k.ID, tables.ErrQuery)
		case from != to:
			valve := max(from.valve, to.valve)
			if below := min(from.valve, to.valve); below >= 0 && l.isAbove(valve, below) {
				valve = below
			}
			return nil, fmt.Errorf("link %q: %w: joins the two sides of the %s at %q, which passes water one "+
				"way: put both ends on one side of it, or it on the run that feeds the ring",
				k.ID, tables.ErrQuery, l.data.Points[valve].Device.Kind, l.data.Points[valve].ID)
		}
		if !w.linked[from] {
			w.linked[from] = true
			w.draw(from)
		}
	}
	w.water = a.worked.water
	return w, nil
}

// draw adds up what is drawn on a line.
func (w *openLines) draw(which line) {
	l := w.a.layout
	draws := w.a.draws(which, w.valves)
	for _, i := range slices.Backward(l.order) {
		if l.service[i] == Recirculated || l.lineOf(i, w.valves) != which {
			continue
		}
		w.below[i] += draws[i]
		if p := l.parent[i]; p >= 0 && l.lineOf(p, w.valves) == which {
			w.below[p] += w.below[i]
		}
	}
}

func (w *openLines) pipe(i int32, r *run) hydraulics.Friction {
	l := w.a.layout
	return w.a.opt.friction(r.family, r.Bore, r.Length+r.Equivalent, fittingK(l.data.Points[i].Fittings),
		w.water[l.service[i]])
}

// loss is what a run costs at a flow.
func (w *openLines) loss(i int32, q units.Flow) (units.Pressure, error) {
	r := &w.a.runs[i]
	pipe, err := w.pipe(i, r).Resistance()
	if err != nil {
		return 0, err
	}
	lost, err := pipe.PressureLoss(q)
	return lost + r.Rise + r.Device, err
}

// ringFlow is a ring main worked out.
type ringFlow struct {
	*hydraulics.NetworkSolution                  // of its runs, then its links
	lost                        []units.Pressure // from its top to each of its points, before a regulator there
}

// solve works a ring main out, of runs and links as they are laid.
func (w *openLines) solve(m *ringMain, links []hydraulics.Friction, run func(n int) *run) (ringFlow, error) {
	l := w.a.layout
	name := func(i int32) string {
		if i == m.top {
			return ringRoot
		}
		return l.data.Points[i].ID
	}
	weight := w.a.worked.weight(l.service[m.runs[0]])
	drawn := map[int32]units.Flow{}
	for _, i := range m.runs {
		drawn[i] += w.below[i]
		drawn[l.parent[i]] -= w.below[i] // comes in by a pipe of the ring
	}
	net := hydraulics.Network{Nodes: []hydraulics.NetworkNode{{ID: ringRoot, Fixed: true}}}
	for n, i := range m.runs {
		net.Nodes = append(net.Nodes, hydraulics.NetworkNode{ID: name(i), Demand: drawn[i]})
		net.Pipes = append(net.Pipes, hydraulics.NetworkPipe{ID: name(i), From: name(l.parent[i]), To: name(i),
			Friction: w.pipe(i, run(n)), Lift: units.Head(-float64(run(n).Device) / weight)})
	}
	for n, k := range m.links {
		x := &l.data.Links[k]
		net.Pipes = append(net.Pipes, hydraulics.NetworkPipe{ID: ringRoot + x.ID, From: name(l.index[x.Between[0]]),
			To: name(l.index[x.Between[1]]), Friction: links[n]})
	}
	solved, err := net.SolveContext(w.ctx)
	if err != nil {
		return ringFlow{}, fmt.Errorf("ring: %w", err)
	}
	out := ringFlow{solved, make([]units.Pressure, len(m.runs))}
	for n, i := range m.runs {
		rise := w.a.runs[i].Elevation
		if m.top >= 0 {
			rise -= w.a.runs[m.top].Elevation
		}
		out.lost[n] = units.Pressure((rise.Metres() - float64(solved.Heads[n+1])) * weight)
	}
	return out, nil
}

// round works a ring main out as it is laid.
func (w *openLines) round(m *ringMain, out *Ring) error {
	l := w.a.layout
	pipes := make([]hydraulics.Friction, len(m.links))
	var errs []error
	for n, k := range m.links {
		x := &l.data.Links[k]
		f, err := l.linkPipe(w.a.code, x)
		if err == nil {
			pipes[n], err = w.link(x, f, f.size(x.Size))
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("link %q: %w", x.ID, err))
		}
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	solved, err := w.solve(m, pipes, func(n int) *run { return &w.a.runs[m.runs[n]] })
	if err != nil {
		return err
	}
	for n, i := range m.runs {
		out.Runs[i], out.lost[i] = solved.Flows[n], solved.lost[n]
	}
	for n, k := range m.links {
		q := solved.Flows[len(m.runs)+n]
		x := RingFlow{ID: l.data.Links[k].ID, Flow: q}
		res, err := pipes[n].Resistance()
		if err == nil {
			x.Loss, err = res.PressureLoss(max(q, -q))
		}
		if err == nil {
			x.Velocity, err = hydraulics.Velocity(max(q, -q), pipes[n].Bore)
		}
		if err != nil {
			return fmt.Errorf("link %q: %w", x.ID, err)
		}
		out.Links[k] = x
	}
	out.Continuity, out.Energy = max(out.Continuity, solved.Continuity), max(out.Energy, solved.Energy)
	return nil
}

func fittingK(list []FittingItem) float64 {
	k := 0.0
	for i := range list {
		k += float64(list[i].K * float64(list[i].Count))
	}
	return k
}

func (o Options) friction(f *PipeFamily, bore, length units.Length, k float64,
	water hydraulics.Water) hydraulics.Friction {
	if length == 0 && k == 0 {
		length = units.Millimetre // two points in one place: next to no loss, and a network needs some
	}
	return hydraulics.Friction{Method: o.method(), Bore: bore, Length: length, C: f.c, Roughness: f.roughness,
		K: k, Water: water}
}

// LinkPipe returns the family of pipe of a link, by its index in the layout: that of the
// run to its first end where it names none.
func (a *Analysis) LinkPipe(link int) (*PipeFamily, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	if link < 0 || link >= len(a.layout.data.Links) {
		return nil, fmt.Errorf("%w: link %d of %d", tables.ErrQuery, link, len(a.layout.data.Links))
	}
	return a.layout.linkPipe(a.code, &a.layout.data.Links[link])
}

func (l *Layout) linkPipeName(link *Link) string {
	if link.Pipe != "" {
		return link.Pipe
	}
	return l.pipeOf(int(l.index[link.Between[0]]))
}

func (l *Layout) linkPipe(c *Code, link *Link) (*PipeFamily, error) {
	return l.family(c, l.linkPipeName(link))
}

// link is the pipe of a link at a size of its family.
func (w *openLines) link(link *Link, f *PipeFamily, at int) (hydraulics.Friction, error) {
	if at < 0 {
		return hydraulics.Friction{}, fmt.Errorf("size: %w", f.noSize(link.Size))
	}
	l := w.a.layout
	size := &f.sizes[at]
	length := link.Length
	if len(link.Fittings) == 0 {
		length += l.allowance(length)
	}
	for i := range link.Fittings {
		t := &link.Fittings[i]
		each := t.Length
		if each == 0 && t.K == 0 {
			if f.lengths == nil {
				return hydraulics.Friction{},
					fmt.Errorf("fittings[%d]: %w: %s has no table of fittings: state a length or a k", i, tables.ErrNotOnShelf,
						f.id)
			}
			var err error
			if each, _, err = f.lengths.of(t.Fitting, size.Size, size.Bore); err != nil {
				return hydraulics.Friction{}, fmt.Errorf("fittings[%d]: %w", i, err)
			}
		}
		length += each * units.Length(t.Count)
	}
	water := w.water[l.service[l.index[link.Between[0]]]]
	return w.a.opt.friction(f, size.Bore, length, fittingK(link.Fittings), water), nil
}

// ringSizer sizes ring mains. It is common practice that a ring has one size all round: every
// run and link of it that has none drawn takes the smallest on offer that works for all of it.
// What flows in the ring then hangs on that one size and on what is drawn, not on how far the
// pressure of the street reaches.
type ringSizer struct {
	h     *calculation
	lim   limits
	lines *openLines    // nil: not to be worked out open, and nothing is sized for that
	lead  []*PipeFamily // whose sizes each ring steps through; nil: all of it is drawn
	place []int         // of each point in its ring
	tried map[[2]int]*ringTrial
}

// ringTrial is a ring main with its open parts at a size.
type ringTrial struct {
	runs  []run
	lost  []units.Pressure // as in ringFlow; nil where it is not worked out
	fits  bool             // there are figures for all fittings
	swift tables.Citation  // the limit that a velocity is over with the links open, of the parts that are sized
}

func (t *ringTrial) works() bool { return t.fits && t.swift.IsZero() }

// ringSizer returns what sizes the ring mains of the layout, nil where it has none.
func (h *calculation) ringSizer() (*ringSizer, error) {
	l := h.l
	if len(l.rings) == 0 || h.rings != nil {
		return h.rings, nil
	}
	s := &ringSizer{h: h, lead: make([]*PipeFamily, len(l.rings)), place: make([]int, l.Len()),
		tried: map[[2]int]*ringTrial{}}
	s.lim.h = h
	for r := range l.rings {
		for n, i := range l.rings[r].runs {
			s.place[i] = n
		}
		for f := range s.open(r, nil) {
			if x := s.lead[r]; x == nil || f.widest() > x.widest() || f.widest() == x.widest() && f.id < x.id {
				s.lead[r] = f
			}
		}
	}
	// The flows of an analysis do not hang on its sizes.
	a, err := h.analyse(make([]int, l.Len()))
	if err != nil {
		return nil, err
	}
	if s.lines, err = a.openLines(h.ctx); err != nil {
		s.lines = nil // the check says why
	}
	h.rings = s
	return s, nil
}

// widest is the greatest bore of a family.
func (f *PipeFamily) widest() units.Length {
	if len(f.sizes) == 0 {
		return 0
	}
	return f.sizes[len(f.sizes)-1].Bore
}

// open yields the families of the runs and links of a ring that are to be sized, and the least
// size asked of each; nil: nothing is asked yet.
func (s *ringSizer) open(r int, b *bounds) iter.Seq2[*PipeFamily, int] {
	return func(yield func(*PipeFamily, int) bool) {
		l, m := s.h.l, &s.h.l.rings[r]
		if b == nil {
			b = &bounds{least: make([]int, l.Len()), links: make([]int, len(l.data.Links))}
		}
		for _, i := range m.runs {
			if l.data.Points[i].Size == 0 && !yield(s.h.families[i], b.least[i]) {
				return
			}
		}
		for _, k := range m.links {
			if l.data.Links[k].Size == 0 && !yield(s.h.linkFamilies[k], b.links[k]) {
				return
			}
		}
	}
}

// at returns the size of a family for a step of a ring.
func (s *ringSizer) at(f *PipeFamily, r, step int) int {
	lead := s.lead[r]
	if f == lead {
		return step
	}
	k, last := 0, len(f.sizes)-1
	if step == len(lead.sizes)-1 {
		return last
	}
	for x := &lead.sizes[step]; k < last && f.sizes[k].Size < x.Size && f.sizes[k].Bore < x.Bore; {
		k++
	}
	return k
}

// try works a ring out at a step.
func (s *ringSizer) try(r, step int) *ringTrial {
	key := [2]int{r, step}
	if t := s.tried[key]; t != nil {
		return t
	}
	l, h, m := s.h.l, s.h, &s.h.l.rings[r]
	t := &ringTrial{runs: make([]run, len(m.runs)), fits: true}
	s.tried[key] = t
	for n, i := range m.runs {
		f := h.families[i]
		k := f.size(l.data.Points[i].Size)
		if l.data.Points[i].Size == 0 {
			k = s.at(f, r, step)
		}
		if err := h.run(int(i), k, &t.runs[n]); err != nil || l.data.Points[i].Size == 0 && t.runs[n].unfit {
			t.fits = false
		}
	}
	if s.lines == nil {
		return t
	}
	pipes := make([]hydraulics.Friction, len(m.links))
	for n, k := range m.links {
		x, f := &l.data.Links[k], h.linkFamilies[k]
		at := f.size(x.Size)
		if x.Size == 0 {
			at = s.at(f, r, step)
		}
		var err error
		if pipes[n], err = s.lines.link(x, f, at); err != nil {
			t.fits = false
			return t
		}
	}
	s.lines.ctx = h.ctx
	solved, err := s.lines.solve(m, pipes, func(n int) *run { return &t.runs[n] })
	if err != nil {
		return t // the check works the ring out too, and says why it is not judged
	}
	t.lost = solved.lost
	s.swift(m, t, pipes, solved.Flows)
	return t
}

// swift says which limit of velocity a ring is over while its links are open.
func (s *ringSizer) swift(m *ringMain, t *ringTrial, links []hydraulics.Friction, flows []units.Flow) {
	l := s.h.l
	over := func(q units.Flow, bore units.Length, limit VelocityLimit, ok bool) {
		v, err := hydraulics.Velocity(max(q, -q), bore)
		if ok && t.swift.IsZero() && (err != nil || !within(v, limit.Velocity)) {
			t.swift = limit.Citation
		}
	}
	for n, i := range m.runs {
		if l.data.Points[i].Size == 0 {
			limit, ok := s.lim.of(int(i))
			over(flows[n], t.runs[n].Bore, limit, ok)
		}
	}
	for n, k := range m.links {
		if l.data.Links[k].Size == 0 {
			limit, ok := s.lim.ofLink(&l.data.Links[k], s.h.linkFamilies[k])
			over(flows[len(m.runs)+n], links[n].Bore, limit, ok)
		}
	}
}

// step returns the first step of a ring at which none of its parts is smaller than asked.
func (s *ringSizer) step(b *bounds, r int) int {
	step := 0
	for f, least := range s.open(r, b) {
		for step+1 < s.steps(r) && s.at(f, r, step) < least {
			step++
		}
	}
	return step
}

// steps is how many sizes a ring may have.
func (s *ringSizer) steps(r int) int {
	if s.lead[r] == nil {
		return 0
	}
	return len(s.lead[r].sizes)
}

// next is the first greater step that works, or where none is within the velocity limits the
// first with figures for all fittings; -1 if there is none.
func (s *ringSizer) next(r, step int) int {
	swift := !s.try(r, step).swift.IsZero()
	for next := step + 1; next < s.steps(r); next++ {
		if t := s.try(r, next); t.works() || t.fits && swift {
			return next
		}
	}
	return -1
}

// reaching is the first such step at which a run of the ring has a size, -1 if there is none.
func (s *ringSizer) reaching(r, step int, run int32, k int) int {
	for step = s.next(r, step); step >= 0 && s.at(s.h.families[run], r, step) < k; {
		step = s.next(r, step)
	}
	return step
}

// set gives the open parts of a ring their sizes.
func (s *ringSizer) set(b *bounds, r, step int, basis SizeBasis, cite tables.Citation) {
	l, m := s.h.l, &s.h.l.rings[r]
	for _, i := range m.runs {
		if k := s.at(s.h.families[i], r, step); l.data.Points[i].Size == 0 && k > b.least[i] {
			b.least[i], b.basis[i], b.cite[i] = k, basis, cite
		}
	}
	for _, k := range m.links {
		if l.data.Links[k].Size == 0 {
			b.links[k] = max(b.links[k], s.at(s.h.linkFamilies[k], r, step))
		}
	}
}

// level gives each ring one size all round, no smaller than its velocities with the links open
// ask, and sees that what feeds it is no smaller.
func (s *ringSizer) level(b *bounds) {
	for grown := true; grown; {
		grown = false
		s.oneSize(b)
		for r := range s.lead {
			if s.lead[r] == nil {
				continue
			}
			step := s.step(b, r)
			swift := s.try(r, step).swift
			best := step
			for next := step + 1; !swift.IsZero() && next < s.steps(r); next++ {
				if t := s.try(r, next); t.fits {
					best = next
					if t.works() {
						break
					}
				}
			}
			if best > step {
				s.set(b, r, best, ByRing, swift)
				grown = true
			}
		}
	}
}

// oneSize gives each ring the size that the greatest of its parts asks.
func (s *ringSizer) oneSize(b *bounds) {
	l := s.h.l
	hung := map[int32][]int{}
	for r := range s.lead {
		if s.lead[r] != nil {
			hung[l.rings[r].top] = append(hung[l.rings[r].top], r)
		}
	}
	raise := func(i int32) {
		if p := l.parent[i]; p >= 0 && l.data.Points[p].Size == 0 {
			s.h.raise(b, int(i))
		}
	}
	level := func(at int32) {
		for _, r := range hung[at] {
			s.set(b, r, s.step(b, r), ByRest, tables.Citation{})
			for _, i := range l.rings[r].runs {
				if l.parent[i] == at {
					raise(i)
				}
			}
		}
	}
	for _, i := range slices.Backward(l.order) {
		level(i)
		raise(i)
	}
	level(-1)
}

// draws shares the demand of a line out among its points, by the loads of their
// ports; what a heater's hot line draws is drawn at the heater, and what lies behind a
// regulator of the line at the regulator.
func (a *Analysis) draws(which line, valves []int32) map[int32]units.Flow {
	whole := a.sharedOut(which)
	out := make(map[int32]units.Flow, len(whole))
	for _, i := range a.layout.order {
		q, ok := whole[i]
		if !ok {
			continue
		}
		at := i
		for at >= 0 && valves[at] != which.valve {
			at = valves[at]
		}
		if at >= 0 {
			out[at] += q
		}
	}
	return out
}

// sharedOut shares the demand of a line out, whatever regulators it has.
func (a *Analysis) sharedOut(which line) map[int32]units.Flow {
	l := a.layout
	on := func(i int32) bool { // behind whatever regulator
		x := l.lineOf(i, nil)
		return x.service == which.service && x.heater == which.heater
	}
	share := make(map[int32]FixtureUnits)
	var sum FixtureUnits
	var top exactSum // demand where the line begins, without continuous flows
	items := a.worked.items
	put := func(i int32, load FixtureUnits) {
		if i >= 0 && on(i) {
			share[i] += load
			sum += load
		}
	}
	for i := range items {
		load := items[i].loads
		if items[i].ladder >= 0 {
			load.Cold, _ = a.code.ladders[items[i].ladder].of(items[i].Count)
		}
		put(l.cold[i], load.Cold)
		put(l.hot[i], load.Hot)
		put(l.outermostHeater(l.hot[i]), load.Hot) // which is on a cold line, if on any
	}
	out := make(map[int32]units.Flow)
	for i := range items {
		if !items[i].own {
			continue
		}
		// Its flow is drawn once, by the cold port if it has one.
		at := l.cold[i]
		if at < 0 || which.service != Cold {
			at = l.hot[i]
		}
		if at >= 0 && which.service == Cold && l.service[at] != Cold {
			at = l.outermostHeater(at)
		}
		if at >= 0 && on(at) {
			out[at] += items[i].outlet * units.Flow(items[i].Count)
		}
	}
	for _, i := range l.order {
		c := l.data.Points[i].Continuous
		if !on(i) {
			if h := l.outermostHeater(i); which.service == Cold && h >= 0 {
				out[h] += c
			}
			continue
		}
		if l.service[i] == Recirculated {
			continue
		}
		if up := l.parent[i]; up < 0 || up == which.heater {
			top.add(float64(a.runs[i].demanded()))
		}
		out[i] += c
	}
	for i, s := range share {
		if sum > 0 {
			out[i] += units.Flow(top.value() * s.Units() / sum.Units())
		}
	}
	return out
}

// outermostHeater returns the first heater on the way from the source to a hot point.
func (l *Layout) outermostHeater(i int32) int32 {
	heater := int32(-1)
	for ; i >= 0; i = l.parent[i] {
		if l.data.Points[i].Device.heater() && l.service[i] == Cold {
			heater = i
		}
	}
	return heater
}
