package supply

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Ring is a layout worked out with its links open, so that water reaches points by
// more than one way.
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
// where they are. Devices cost what they do in the analysis. [Layout.Analyse] itself
// takes links as shut, which a ring main must also stand while one side is repaired.
//
// A regulator parts its line: what lies behind it is fed at its pressure, less its
// fall-off, or at what reaches it if that is less, and is a line of its own, with or
// without links. A link from before a regulator to behind it is refused: a regulator
// passes water one way, and what it holds behind it would be set by the link. Put both
// ends on one side, or the regulator on the run that feeds the ring.
func (a *Analysis) Ring() (*Ring, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	l := a.layout
	out := &Ring{Links: make([]RingFlow, len(l.data.Links)), Runs: make([]units.Flow, l.Len()),
		Out: make([]units.Pressure, l.Len())}
	for i := range a.runs {
		if a.runs[i].Basis == NotKnown {
			return nil, notKnown(l, a.code, i)
		}
		out.Runs[i] = a.runs[i].Flow
	}
	valves := l.regulators()
	// Each line with links is one network, hung on what feeds it.
	linked := map[line]bool{}
	for i := range l.data.Links {
		k := &l.data.Links[i]
		from, to := l.lineOf(l.index[k.Between[0]], valves), l.lineOf(l.index[k.Between[1]], valves)
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
		linked[from] = true
	}
	solved := map[line]bool{}
	for _, i := range l.order {
		which := l.lineOf(i, valves)
		if l.service[i] == Recirculated || !linked[which] {
			in := a.street
			if p := l.parent[i]; p >= 0 {
				in = out.Out[p]
			}
			out.Out[i] = a.regulated(i, in-a.runs[i].loss())
			continue
		}
		if !solved[which] {
			solved[which] = true
			if err := a.ring(which, valves, out); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// ringSizes makes runs that have no size drawn as great as the velocity limit asks for what
// they carry with the links open, and the runs that feed them no smaller. It reports whether
// one grew: the water then takes other ways, and the ring is to be solved anew. A ring that
// cannot be solved sizes nothing; what judges it says why.
func (h *calculation) ringSizes(a *Analysis, b *bounds, drawn []int) (grown bool, err error) {
	ring, err := a.Ring()
	if err != nil {
		return false, nil
	}
	lim := &limits{h: h}
	for n := len(drawn) - 1; n >= 0; n-- {
		i := int(h.l.order[n])
		limit, ok := lim.of(i)
		open := max(ring.Runs[i], -ring.Runs[i])
		if drawn[i] >= 0 || !ok || h.l.service[i] == Recirculated {
			continue
		}
		list, k := h.families[i].sizes, b.least[i]
		for k+1 < len(list) {
			v, err := hydraulics.Velocity(open, list[k].Bore)
			if err != nil {
				return false, fmt.Errorf("point %q: %w", h.l.data.Points[i].ID, err)
			}
			if within(v, limit.Velocity) {
				break
			}
			k++
		}
		var next RunResult
		if k > b.least[i] && h.hasFigures(int32(i), k, &next) {
			b.least[i], b.basis[i], b.cite[i], grown = k, ByRing, limit.Citation, true
		}
		if p := h.l.parent[i]; p >= 0 && drawn[p] < 0 {
			before := b.least[p]
			h.raise(b, i)
			grown = grown || b.least[p] > before
		}
	}
	return grown, nil
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

func (l *Layout) lineOf(i int32, valves []int32) line {
	if l.service[i] == Cold {
		return line{Cold, -1, valves[i]}
	}
	return line{Hot, l.heaterOf[i], valves[i]}
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

// ringNet is a line of pipe with its loops as a network.
type ringNet struct {
	hydraulics.Network
	which   line
	valves  []int32
	weight  float64 // of a cubic metre of its water
	members []int32 // the points of the first pipes
	links   []int   // those of the pipes after them
}

// ring solves one line of pipe with its loops.
func (a *Analysis) ring(which line, valves []int32, out *Ring) error {
	l := a.layout
	temperature := l.data.Water.Cold
	if which.service != Cold {
		temperature = l.data.Water.Hot
	}
	water, err := hydraulics.WaterAt(temperature)
	if err != nil {
		return err
	}
	net := &ringNet{which: which, valves: valves, weight: float64(water.Density) * units.StandardGravity}
	a.ringRuns(net, water, out)
	if err := a.ringLinks(net, water, out); err != nil {
		return err
	}
	solved, err := net.Solve()
	if err != nil {
		return fmt.Errorf("ring: %w", err)
	}
	for k, i := range net.members {
		out.Runs[i] = solved.Flows[k]
		out.Out[i] = units.Pressure((float64(solved.Heads[k+1]) - a.runs[i].Elevation.Metres()) * net.weight)
	}
	ahead := func(i int32) float64 { return float64(out.Out[i]) + float64(a.runs[i].Elevation.Metres()*net.weight) }
	for n, k := range net.links {
		link := &l.data.Links[k]
		pipe := len(net.members) + n
		q := solved.Flows[pipe]
		loss := ahead(l.index[link.Between[0]]) - ahead(l.index[link.Between[1]])
		out.Links[k].Flow, out.Links[k].Loss = q, units.Pressure(max(loss, -loss))
		if out.Links[k].Velocity, err = hydraulics.Velocity(max(q, -q), net.Pipes[pipe].Friction.Bore); err != nil {
			return err
		}
	}
	for _, i := range net.members {
		out.Out[i] = a.regulated(i, out.Out[i])
	}
	out.Continuity, out.Energy = max(out.Continuity, solved.Continuity), max(out.Energy, solved.Energy)
	return nil
}

// ringRuns puts the head that a line hangs on, and its runs, into the network.
func (a *Analysis) ringRuns(net *ringNet, water hydraulics.Water, out *Ring) {
	l := a.layout
	root := a.street
	rootLevel := units.Length(0)
	above := net.which.heater // the point that the line hangs on
	if net.which.valve >= 0 {
		above = net.which.valve
	}
	if above >= 0 {
		root, rootLevel = out.Out[above], a.runs[above].Elevation
	}
	net.Nodes = []hydraulics.NetworkNode{{ID: ringRoot, Fixed: true,
		Head: units.Head(float64(root)/net.weight + rootLevel.Metres())}}
	draws := a.draws(net.which, net.valves)
	for _, i := range l.order {
		if l.service[i] == Recirculated || l.lineOf(i, net.valves) != net.which {
			continue
		}
		net.members = append(net.members, i)
		p, r := &l.data.Points[i], &a.runs[i]
		from := ringRoot
		if up := l.parent[i]; up >= 0 && up != above {
			from = l.data.Points[up].ID
		}
		net.Nodes = append(net.Nodes, hydraulics.NetworkNode{ID: p.ID, Demand: draws[i]})
		net.Pipes = append(net.Pipes, hydraulics.NetworkPipe{ID: p.ID, From: from, To: p.ID,
			Friction: a.ringFriction(r.family, r.Bore, r.Length+r.Equivalent, fittingK(p.Fittings), water),
			Lift:     units.Head(-float64(r.Device) / net.weight)})
	}
}

// ringLinks puts the links of a line into the network.
func (a *Analysis) ringLinks(net *ringNet, water hydraulics.Water, out *Ring) error {
	l := a.layout
	var errs []error
	for k := range l.data.Links {
		link := &l.data.Links[k]
		if l.lineOf(l.index[link.Between[0]], net.valves) != net.which {
			continue
		}
		f, err := a.linkFriction(link, water)
		if err != nil {
			errs = append(errs, fmt.Errorf("link %q: %w", link.ID, err))
			continue
		}
		out.Links[k] = RingFlow{ID: link.ID}
		net.Pipes = append(net.Pipes,
			hydraulics.NetworkPipe{ID: ringRoot + link.ID, From: link.Between[0], To: link.Between[1], Friction: f})
		net.links = append(net.links, k)
	}
	return errors.Join(errs...)
}

func fittingK(list []FittingItem) float64 {
	k := 0.0
	for i := range list {
		k += float64(list[i].K * float64(list[i].Count))
	}
	return k
}

func (a *Analysis) ringFriction(f *PipeFamily, bore, length units.Length, k float64,
	water hydraulics.Water) hydraulics.Friction {
	if length == 0 && k == 0 {
		length = units.Millimetre // two points in one place: next to no loss, and a network needs some
	}
	return hydraulics.Friction{Method: a.opt.method(), Bore: bore, Length: length, C: f.c, Roughness: f.roughness,
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

func (l *Layout) linkPipe(c *Code, link *Link) (*PipeFamily, error) {
	name := link.Pipe
	if name == "" {
		name = l.pipeOf(int(l.index[link.Between[0]]))
	}
	return l.family(c, name)
}

func (a *Analysis) linkFriction(link *Link, water hydraulics.Water) (hydraulics.Friction, error) {
	f, err := a.layout.linkPipe(a.code, link)
	if err != nil {
		return hydraulics.Friction{}, err
	}
	at := f.size(link.Size)
	if at < 0 {
		return hydraulics.Friction{}, fmt.Errorf("size: %w", f.noSize(link.Size))
	}
	length := link.Length
	if len(link.Fittings) == 0 {
		length += a.layout.allowance(length)
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
			if each, _, err = f.lengths.of(t.Fitting, link.Size, f.sizes[at].Bore); err != nil {
				return hydraulics.Friction{}, fmt.Errorf("fittings[%d]: %w", i, err)
			}
		}
		length += each * units.Length(t.Count)
	}
	bore := f.sizes[at].Bore
	return a.ringFriction(f, bore, length, fittingK(link.Fittings), water), nil
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
	lineOf := func(i int32) line {
		if l.service[i] == Cold {
			return line{Cold, -1, which.valve}
		}
		return line{Hot, l.heaterOf[i], which.valve}
	}
	share := make(map[int32]FixtureUnits)
	var sum FixtureUnits
	var top exactSum // demand where the line begins, without continuous flows
	items, err := l.items(a.code)
	if err != nil {
		return nil // the analysis has been through the same items
	}
	put := func(i int32, load FixtureUnits) {
		if i >= 0 && lineOf(i) == which {
			share[i] += load
			sum += load
		}
	}
	for i := range items {
		load := items[i].Load
		if items[i].ladder >= 0 {
			load.Cold, _ = a.code.ladders[items[i].ladder].of(items[i].Count)
		}
		put(l.cold[i], load.Cold)
		put(l.hot[i], load.Hot)
		if which.service == Cold && l.hot[i] >= 0 {
			put(l.outermostHeater(l.hot[i]), load.Hot)
		}
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
		if at >= 0 && lineOf(at) == which {
			out[at] += items[i].outlet * units.Flow(items[i].Count)
		}
	}
	for _, i := range l.order {
		c := l.data.Points[i].Continuous
		if lineOf(i) != which {
			if h := l.outermostHeater(i); which.service == Cold && h >= 0 {
				out[h] += c
			}
			continue
		}
		if l.service[i] == Recirculated {
			continue
		}
		if up := l.parent[i]; up < 0 || up == which.heater {
			top.add(float64(a.runs[i].Flow - a.runs[i].Continuous - a.runs[i].Unlisted))
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
