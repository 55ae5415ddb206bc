package supply

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FlowBasis says how the flow of a run was had from its load.
type FlowBasis uint8

// The bases of a run's flow. A load under the first row of a table goes by what
// the outlets draw, and no run is taken to carry less than its greatest outlet. A
// fixture for which the code gives no load adds its own flow to that of the rest.
const (
	NoFlow         FlowBasis = iota // nothing is served
	FromTable                       // the code's table of demand
	FromOutlets                     // the sum of the outlets' flows: the load lies under the table
	FromLargest                     // the greatest single outlet
	Recirculates                    // the flow kept up in a recirculated line
	FromFormula                     // the code's peak flow formula
	FromSum                         // the sum of the outlets' flows, which the formula does not go above
	FromUsageUnits                  // the greatest outlets of each usage unit, less than the formula gives
	NotKnown                        // the code sizes by loading units and gives no flow for them
	// The first row of the table: the load lies under it, and an outlet's flow is not known.
	FromFirstRow
	BeyondTable  // the table carried on by a straight line: the load is over it, or in a gap of it
	FromUnlisted // the flow of fixtures for which the code gives no load
	FromOnly     // the one fixture served, which draws no more
	FromAll      // all fixtures served, which together draw no more
)

var flowBases = enum.Words[FlowBasis]{What: "basis of a flow", Err: tables.ErrQuery,
	Words: []string{"nothing served", "table of demand", "sum of outlets, load under the table",
		"greatest single outlet", "recirculated flow", "peak flow formula",
		"sum of outlets, no more than the formula gives", "greatest outlets of each usage unit",
		"not known: loading units, and no table of demand", "first row of the table, load under it",
		"table of demand carried on by a straight line", "fixtures without a load in the code, at their own flow",
		"its one fixture, which draws no more", "all its fixtures, which draw no more"}}

// String says the basis in words.
func (b FlowBasis) String() string { return flowBases.String(b) }

// MarshalText returns the text of String.
func (b FlowBasis) MarshalText() ([]byte, error) { return flowBases.Marshal(b) }

// UnmarshalText reads the text of String.
func (b *FlowBasis) UnmarshalText(text []byte) error { return flowBases.Unmarshal(text, b) }

// runFlow is what a run carries, as [RunResult] tells it.
type runFlow struct {
	Load       FixtureUnits
	Flow       units.Flow
	Continuous units.Flow
	Unlisted   units.Flow
	System     System
	Basis      FlowBasis
	Demand     tables.Citation
	DemandNext tables.Citation
	single     FixtureUnits // the greatest that one outlet puts on it, where a code sizes by that
}

// demanded is what its load makes it carry.
func (r *runFlow) demanded() units.Flow { return r.Flow - r.Continuous - r.Unlisted }

// by is the flow of the run by another demand of its load.
func (r *runFlow) by(d *Demand) units.Flow { return d.Flow + r.Continuous + r.Unlisted }

// item is a fixture of the layout as the code counts it.
type item struct {
	entry
	outlet  units.Flow // of one, 0: not known
	flowErr error      // why it is not known
	flowRow tables.Citation
	most    Outlet // what one draws at most, by the layout or the code's own table; no flow: not known
	loadErr error  // why the code gives no load, or which of several; nil: it gives one
	own     bool   // it has no load, and its own flow counts whole
}

// items finds the loads of the layout's fixtures. All faults come together.
func (l *Layout) items(c *Code) ([]item, error) {
	out := make([]item, len(l.data.Fixtures))
	var errs []error
	type answer struct {
		item
		err error
	}
	type question struct {
		tables.Fixture // with a count of 1
		loadAs         string
	}
	var sum FixtureUnits // all together are a load still
	cache := map[question]answer{}
	for i := range l.data.Fixtures {
		f := &l.data.Fixtures[i]
		key := question{f.Fixture, f.LoadAs}
		key.Count = 1
		a, known := cache[key]
		if !known {
			own, ask := key.Fixture, key.Fixture
			if f.LoadAs != "" {
				ask.Kind, ask.Style = f.LoadAs, ""
			}
			a.entry, a.err = c.entry(&ask)
			o, err := c.outletFlow(&own)
			a.outlet, a.flowErr, a.flowRow = o.Flow, err, o.Citation
			a.most = c.mostOf(&own)
			if a.err != nil && c.answersWithout(&ask, &a.item, a.err) {
				a.err = nil
			}
			cache[key] = a
		}
		stated := l.statedLoad(i, c)
		// A fixture of the user's own, with its load or its flow, needs no row.
		own := f.Flow > 0 && f.LoadAs == "" && (c.fixtures == nil || errors.Is(a.err, tables.ErrNotInCode))
		if a.err != nil && (own || stated.loadErr != nil || stated.Each.Total > 0) {
			a.err = nil
		}
		if a.err != nil {
			errs = append(errs, fmt.Errorf("fixture %q: %w", f.ID, a.err))
			continue
		}
		out[i] = a.item
		if stated.loadErr != nil {
			out[i].loadErr, out[i].own = stated.loadErr, out[i].Each.Total == 0 && out[i].ladder < 0
		} else if stated.Each.Total > 0 {
			out[i].entry, out[i].loadErr, out[i].own = stated.entry, nil, false
			a.ladder = -1
		}
		out[i].Fixture = f.Fixture
		if c.peak != nil && !a.own {
			out[i].outlet, out[i].flowErr = flowOf(max(a.Each.Cold, a.Each.Hot)), nil
		}
		if f.Flow > 0 {
			out[i].outlet, out[i].flowErr, out[i].flowRow = f.Flow, nil, tables.Citation{}
			out[i].most = Outlet{Flow: f.Flow}
			if c.peak != nil {
				out[i].rate(f.Flow)
			}
		}
		out[i].whole(c.unit == fixtureUnit, l.cold[i] < 0, l.hot[i] < 0)
		if a.ladder < 0 {
			n, err := out[i].Each.times(f.Count)
			if err != nil {
				errs = append(errs, fmt.Errorf("fixture %q: %w", f.ID, err))
			}
			out[i].loads = n
		}
		var over error
		if sum, over = sum.Add(out[i].Cold + out[i].Hot); over != nil {
			return nil, fmt.Errorf("fixture %q: %w", f.ID, over)
		}
	}
	return out, errors.Join(errs...)
}

// whole gives a fixture that is fed by one supply alone its whole load there: where the
// code knows it with both and parts a load of fixture units, for the lesser parts are for
// each of two; and where the code knows it with the other supply alone, for it draws no less.
func (it *item) whole(parts, noCold, noHot bool) {
	e := &it.Each
	both := parts && e.Cold > 0 && e.Hot > 0
	switch {
	case noHot && !noCold && (both || it.ports == "hot"):
		e.Cold, e.Hot = e.Total, 0
	case noCold && !noHot && (both || it.ports == "cold"):
		e.Cold, e.Hot = 0, e.Total
	}
}

// rate puts a maker's flow, to the next thousandth of a litre a second, in place of
// the code's calculation flow on each line that the fixture has.
func (it *item) rate(flow units.Flow) {
	load := FixtureUnits(math.Ceil(roundTo(float64(flow/units.LitrePerSecond*1000)))) * thousandth
	e := &it.Each
	e.Total = 0
	for _, side := range [...]*FixtureUnits{&e.Cold, &e.Hot} {
		if *side > 0 {
			*side = load
			e.Total += load
		}
	}
}

// gather holds what flows together toward the source, by point.
type gather struct {
	load       []FixtureUnits
	counts     [][]int32  // by ladder, then by point; nil where none is used
	outlets    []exactSum // sum of the outlets' flows
	unlisted   []exactSum // sum of the flows of fixtures without a load
	largest    []float64  // greatest single outlet's flow
	continuous []exactSum
	valve      []bool // a flushometer valve of a closet is served
	urinals    []bool // that of a urinal is; nil where the code lets such lines go by the tank column
	unknown    []int32
	fixtures   []int32        // number of fixtures served, one with two ports once
	only       []int32        // one of them
	most       []exactSum     // sum of what the fixtures draw at most; nil unless it caps
	boundless  []int32        // number of fixtures of which that is not known
	single     []FixtureUnits // greatest load of one outlet; nil unless the code sizes by it
	outletsOf  []int32        // number of outlets; nil likewise
	usage      *usageUnits    // nil where there are none
	peak       int            // row of the code's peak flow formula
}

// flows works out what each run carries; capped, no run more than its outlets draw
// together.
func (l *Layout) flows(c *Code, items []item, capped bool) (out []runFlow, err error) {
	capped = capped || l.data.CapAtOutlets
	n := len(l.data.Points)
	g := gather{
		load: make([]FixtureUnits, n), outlets: make([]exactSum, n), largest: make([]float64, n),
		unlisted: make([]exactSum, n),
		fixtures: make([]int32, n), only: make([]int32, n),
		continuous: make([]exactSum, n), valve: make([]bool, n), unknown: make([]int32, n),
		counts: make([][]int32, len(c.ladders)),
	}
	if _, tanks := c.Rule(tankWithoutClosetValves); !tanks {
		g.urinals = make([]bool, n)
	}
	if capped {
		g.most, g.boundless = make([]exactSum, n), make([]int32, n)
	}
	if c.peak != nil {
		if g.peak, err = c.peak.row(l.data.Building); err != nil {
			return nil, err
		}
		g.usage = l.usageUnits(c, items)
	}
	if c.sizesByUnits() {
		g.single, g.outletsOf = make([]FixtureUnits, n), make([]int32, n)
	}
	for i := range n {
		g.continuous[i].sum = float64(l.data.Points[i].Continuous)
		g.unknown[i] = -1
	}
	meet := l.newMeet()
	for i := range items {
		g.add(l, meet, int32(i), &items[i])
	}
	for _, i := range slices.Backward(l.order) {
		if p := l.parent[i]; p >= 0 {
			g.pass(i, p)
		}
	}
	out = make([]runFlow, n)
	var errs []error
	for i := range n {
		if err := g.demand(c, i, items, &out[i]); err != nil {
			errs = append(errs, fmt.Errorf("point %q: %w", l.data.Points[i].ID, err))
			if len(errs) > 100 {
				break
			}
		}
	}
	return out, errors.Join(errs...)
}

// pass adds what flows to a point to the next one toward the source.
func (g *gather) pass(i, p int32) {
	g.load[p] += g.load[i]
	g.outlets[p].join(g.outlets[i])
	g.fixtures[p] += g.fixtures[i]
	g.only[p] = max(g.only[p], g.only[i])
	g.unlisted[p].join(g.unlisted[i])
	g.continuous[p].join(g.continuous[i])
	g.largest[p] = max(g.largest[p], g.largest[i])
	g.valve[p] = g.valve[p] || g.valve[i]
	if g.urinals != nil {
		g.urinals[p] = g.urinals[p] || g.urinals[i]
	}
	g.unknown[p] = max(g.unknown[p], g.unknown[i])
	if g.most != nil {
		g.most[p].join(g.most[i])
		g.boundless[p] += g.boundless[i]
	}
	if g.single != nil {
		g.single[p] = max(g.single[p], g.single[i])
		g.outletsOf[p] += g.outletsOf[i]
	}
	for _, counts := range g.counts {
		if counts != nil {
			counts[p] += counts[i]
		}
	}
}

// add puts a fixture's load on its ports. Where both are served from one point the
// total counts there, and not the sum of the two.
func (g *gather) add(l *Layout, meet *meet, i int32, it *item) {
	cold, hot := l.cold[i], l.hot[i]
	count := it.Count
	flow := float64(float64(it.outlet) * float64(count)) // rounded, so that no machine fuses it into a sum
	both := meet.of(cold, hot)                           // -1 unless it has both
	for at := range l.ports(int(i)) {
		g.fixtures[at] += int32(count)
		g.only[at] = max(g.only[at], i)
	}
	if both >= 0 {
		g.fixtures[both] -= int32(count) // it counts once where the ways to its ports run together
	}
	if g.most != nil && !it.own {
		g.bound(l, i, it, both)
	}
	if it.own {
		for at := range l.ports(int(i)) {
			g.unlisted[at].add(flow)
		}
		if both >= 0 {
			g.unlisted[both].add(-flow)
		}
		return
	}
	for _, port := range [...]struct {
		at         int32
		load, each FixtureUnits
	}{{cold, it.Cold, it.Each.Cold}, {hot, it.Hot, it.Each.Hot}} {
		if port.at < 0 {
			continue
		}
		if g.single != nil {
			g.single[port.at] = max(g.single[port.at], port.each)
			g.outletsOf[port.at] += int32(count)
		}
		g.load[port.at] += port.load
		g.outlets[port.at].add(flow)
		g.largest[port.at] = max(g.largest[port.at], float64(it.outlet))
		if it.flowErr != nil {
			g.unknown[port.at] = i
		}
	}
	switch {
	case cold < 0 || it.Control != tables.Valve:
	case it.Kind != urinal:
		g.valve[cold] = true
	case g.urinals != nil:
		g.urinals[cold] = true
	}
	if at := max(cold, hot); it.ladder >= 0 {
		if cold >= 0 { // on a hot line alone it draws no less
			at = cold
		}
		if g.counts[it.ladder] == nil {
			g.counts[it.ladder] = make([]int32, len(g.load))
		}
		g.counts[it.ladder][at] += int32(count)
		return
	}
	if both >= 0 {
		g.load[both] += it.Total - it.Cold - it.Hot
		g.outlets[both].add(-flow)
	}
}

// urinal is the fixture whose flush valve alone leaves open which column of demand a line
// goes by: the column of valves, which gives more, is taken unless the code says otherwise.
const urinal = "urinal"

// tankWithoutClosetValves is the rule of a code that lets lines which feed no closet with a
// flush valve go by the tank column.
const tankWithoutClosetValves = "tank-column-without-closet-valves"

// bound adds what a fixture draws at most on the ways to its ports, once where they run
// together.
func (g *gather) bound(l *Layout, i int32, it *item, both int32) {
	most, unknown := float64(float64(it.most.Flow)*float64(it.Count)), int32(0)
	if most == 0 {
		unknown = 1
	}
	for at := range l.ports(int(i)) {
		g.most[at].add(most)
		g.boundless[at] += unknown
	}
	if both >= 0 {
		g.most[both].add(-most)
		g.boundless[both] -= unknown
	}
}

// demand turns the load of a run into flow.
func (g *gather) demand(c *Code, i int, items []item, out *runFlow) error {
	load := g.load[i]
	for k, counts := range g.counts {
		if counts != nil && counts[i] > 0 {
			v, _ := c.ladders[k].of(int(counts[i]))
			load += v
		}
	}
	out.Load = load
	out.Continuous = units.Flow(g.continuous[i].value())
	if g.valve[i] || g.urinals != nil && g.urinals[i] {
		out.System = ValveSystem
	}
	var flow float64
	switch {
	case load == 0:
	case c.peak != nil:
		flow = float64(g.peakFlow(c, i, load, out))
	case g.single != nil:
		// One outlet draws what it draws; for more the code gives no flow.
		out.Basis, out.single = NotKnown, g.single[i]
		if g.outletsOf[i] == 1 && g.largest[i] > 0 {
			out.Basis, flow = FromLargest, g.largest[i]
		}
	default:
		fromTable, err := g.fromTable(c, i, load, out)
		if err != nil {
			return err
		}
		flow = float64(fromTable)
		// One fixture draws no more than it can, whatever the table gives.
		if g.fixtures[i] == 1 {
			if most := &items[g.only[i]].most; most.Flow > 0 && float64(most.Flow) < flow {
				flow, out.Basis, out.Demand, out.DemandNext = float64(most.Flow), FromOnly, most.Citation, most.Citation
			}
		}
		if g.most != nil && g.boundless[i] == 0 && g.most[i].value() < flow {
			flow, out.Basis = g.most[i].value(), FromAll
		}
	}
	if unlisted := g.unlisted[i].value(); unlisted > 0 {
		if out.Unlisted = units.Flow(unlisted); out.Basis == NoFlow {
			out.Basis = FromUnlisted
		}
	}
	out.Flow = units.Flow(flow) + out.Unlisted + out.Continuous
	return nil
}

// fromTable is the flow of a load by the code's table of demand. Under its first row
// the outlets answer if all are known, over its last the line through the last two; where
// there is no such table all outlets run at once.
func (g *gather) fromTable(c *Code, i int, load FixtureUnits, out *runFlow) (units.Flow, error) {
	curve := c.curves[out.System]
	if curve == nil {
		out.Basis = FromAll
		return units.Flow(g.outlets[i].value()), nil
	}
	var flow float64
	if load < curve.loads[0] {
		out.Basis, flow = FromOutlets, min(g.outlets[i].value(), curve.flows[0])
		if g.unknown[i] >= 0 {
			out.Basis, flow = FromFirstRow, curve.flows[0]
		}
		out.Demand, out.DemandNext = curve.rows.Cite(curve.index[0]), curve.rows.Cite(curve.index[0])
	} else {
		d, err := c.Demand(load, out.System)
		out.Basis = FromTable
		if errors.Is(err, tables.ErrOutsideTable) {
			out.Basis, d, err = BeyondTable, curve.carriedOn(load), nil
		}
		if err != nil {
			return 0, err
		}
		flow, out.Demand, out.DemandNext = float64(d.Flow), d.Citation, d.Next
	}
	if g.largest[i] > flow {
		out.Basis, flow = FromLargest, g.largest[i]
	}
	return units.Flow(flow), nil
}

// peakFlow is the peak flow of a run by the code's formula of the sum that counts:
// never more than its outlets draw together, each usage unit at its greatest few, and
// never less than the greatest outlet.
func (g *gather) peakFlow(c *Code, i int, load FixtureUnits, out *runFlow) units.Flow {
	row := c.peak.rows.At(g.peak)
	if g.usage != nil {
		load = g.usage.sum[i]
	}
	out.Load = load
	sum, most := flowOf(load), flowOf(load)
	out.Basis, out.Demand = FromSum, tables.Citation{}
	if u := g.usage; u != nil && u.most[i] < load {
		most = flowOf(u.most[i])
		out.Basis, out.Demand = FromUsageUnits, u.cite
	}
	flow := most
	if !row.under(sum) {
		out.DemandNext = c.peak.rows.Cite(g.peak)
		if peak := row.peak(sum); peak < most {
			out.Basis, flow = FromFormula, peak
			if inLitres(sum) > inLitres(row.MaxSum) {
				out.Basis = BeyondTable
			}
			out.Demand = out.DemandNext
		} else if out.Demand.IsZero() {
			out.Demand = out.DemandNext
		}
	}
	if g.largest[i] > float64(flow) {
		out.Basis, flow = FromLargest, units.Flow(g.largest[i])
	}
	return flow
}

// flowOf reads a load that is a sum of flows in L/s.
func flowOf(load FixtureUnits) units.Flow { return units.Flow(load.Units()) * units.LitrePerSecond }

// flowsKnown is an error that names the first run whose flow is not known.
func (h *calculation) flowsKnown() error {
	for i := range h.flows {
		if h.flows[i].Basis == NotKnown {
			return notKnown(h.l, h.c, i)
		}
	}
	return nil
}

func notKnown(l *Layout, c *Code, run int) error {
	return fmt.Errorf("point %q: %w; Size takes the code's pipe for its loading units, and an amendment can give "+
		"the code a table of demand",
		l.data.Points[run].ID, c.missing("demand"))
}

// meet finds the point at which two points' ways to the source come together, by
// heavy paths: each point knows the head of its path, and climbing skips whole
// paths, of which any way has few.
type meet struct {
	parent, head, depth []int32
}

func (l *Layout) newMeet() *meet {
	n := len(l.parent)
	m := &meet{l.parent, make([]int32, n), make([]int32, n)}
	size := slices.Repeat([]int32{1}, n)
	sumUp(l, size)
	heavy := make([]int32, n) // child of greatest size, plus one
	for _, i := range l.order {
		if p := l.parent[i]; p >= 0 && (heavy[p] == 0 || size[i] > size[heavy[p]-1]) {
			heavy[p] = i + 1
		}
	}
	for _, i := range l.order {
		p := l.parent[i]
		m.head[i] = i
		if p >= 0 {
			m.depth[i] = m.depth[p] + 1
			if heavy[p] == i+1 {
				m.head[i] = m.head[p]
			}
		}
	}
	return m
}

// of returns the lowest point above both, or -1 if only the source is.
func (m *meet) of(a, b int32) int32 {
	for a >= 0 && b >= 0 && m.head[a] != m.head[b] {
		if m.depth[m.head[a]] >= m.depth[m.head[b]] {
			a = m.parent[m.head[a]]
		} else {
			b = m.parent[m.head[b]]
		}
	}
	if a < 0 || b < 0 {
		return -1
	}
	if m.depth[a] < m.depth[b] {
		return a
	}
	return b
}

// A usage unit is a room of one household, such as its bathroom, whose outlets one
// person uses. A code that adds up the flows of outlets takes only the greatest few
// of each unit to run at once, and may leave some out of the sum, as a shower beside
// a bath.

// leftOutRow says how many of a fixture in one usage unit the sum of flows counts.
type leftOutRow struct {
	Fixture string `table:"fixture"`
	Beside  string `table:"beside"` // only beside this one; empty: always
	Counted int    `table:"counted"`
}

// unitDraw is what one fixture of a usage unit draws on a line, each of count.
type unitDraw struct {
	fixture int32
	count   int32
	each    FixtureUnits
}

// unitDraws are the draws on a line by usage unit, what the sum of flows counts of
// them, and what they come to if each unit runs only its greatest few.
type unitDraws struct {
	units     map[int32][]unitDraw
	sum, most FixtureUnits
}

// usageUnits works out, for every run, what the sum of flows counts of its outlets,
// and what they draw at most if each usage unit runs only its greatest few.
type usageUnits struct {
	l      *Layout
	left   *tables.Rows[leftOutRow]
	atOnce int
	cite   tables.Citation // of atOnce
	sum    []FixtureUnits  // by point
	most   []FixtureUnits  // by point
}

// usageUnits returns nil where no fixture states a usage unit, or the code has no
// rule about them or does not let their peaks add up.
func (l *Layout) usageUnits(c *Code, items []item) *usageUnits {
	rule, _ := c.Rule("usage-unit-outlets")
	n, _ := rule.Number() // 0 without the rule
	if add, has := c.Rule("usage-units-add"); !has || add.Value != "yes" {
		return nil
	}
	if n < 1 || !slices.ContainsFunc(l.data.Fixtures,
		func(f LayoutFixture) bool { return f.UsageUnit != "" }) {
		return nil
	}
	u := &usageUnits{l: l, left: c.leftOut, atOnce: int(n), cite: rule.Cite, sum: make([]FixtureUnits, l.Len()),
		most: make([]FixtureUnits, l.Len())}
	units := map[string]int32{}
	held := make([]unitDraws, l.Len())
	alone := make([]FixtureUnits, l.Len()) // of fixtures in no unit
	for i := range items {
		name := l.data.Fixtures[i].UsageUnit
		if _, known := units[name]; !known && name != "" {
			units[name] = int32(len(units))
		}
		for _, port := range [...]struct {
			at   int32
			each FixtureUnits
		}{{l.cold[i], items[i].Each.Cold}, {l.hot[i], items[i].Each.Hot}} {
			if port.at < 0 || port.each == 0 {
				continue
			}
			if name == "" {
				alone[port.at] += FixtureUnits(items[i].Count) * port.each
				continue
			}
			u.put(&held[port.at], units[name], unitDraw{int32(i), int32(items[i].Count), port.each})
		}
	}
	for _, i := range slices.Backward(l.order) {
		u.sum[i], u.most[i] = alone[i]+held[i].sum, alone[i]+held[i].most
		p := l.parent[i]
		if p < 0 {
			continue
		}
		alone[p] += alone[i]
		// The lesser of the two goes into the greater.
		into, from := &held[p], &held[i]
		if len(into.units) < len(from.units) {
			*into, *from = *from, *into
		}
		for unit, draws := range from.units {
			for _, d := range draws {
				u.put(into, unit, d)
			}
		}
		*from = unitDraws{}
	}
	return u
}

// put adds a draw; a fixture that is there already draws more, by its other port.
func (u *usageUnits) put(on *unitDraws, unit int32, d unitDraw) {
	if on.units == nil {
		on.units = map[int32][]unitDraw{}
	}
	list := on.units[unit]
	sum, most := u.of(list)
	on.sum, on.most = on.sum-sum, on.most-most
	i := slices.IndexFunc(list, func(x unitDraw) bool { return x.fixture == d.fixture })
	if i >= 0 {
		list[i].each += d.each
	} else {
		list = append(list, d)
		on.units[unit] = list
	}
	sum, most = u.of(list)
	on.sum, on.most = on.sum+sum, on.most+most
}

// of returns the sum of what is counted of the draws of one usage unit, and that of the
// greatest few. Of like fixtures the greatest count.
func (u *usageUnits) of(draws []unitDraw) (sum, most FixtureUnits) {
	sorted := slices.Clone(draws)
	slices.SortFunc(sorted, func(a, b unitDraw) int { return cmp.Compare(b.each, a.each) })
	counted := u.counted(draws)
	left := u.atOnce
	for _, d := range sorted {
		n := int(d.count)
		kind := u.l.data.Fixtures[d.fixture].Kind
		if k, limited := counted[kind]; limited {
			n = min(n, k)
			counted[kind] -= n
		}
		sum += FixtureUnits(n) * d.each
		n = min(n, left)
		left -= n
		most += FixtureUnits(n) * d.each
	}
	return sum, most
}

// counted returns how many of a fixture count, for those that are not all counted.
func (u *usageUnits) counted(draws []unitDraw) map[string]int {
	out := map[string]int{}
	if u.left == nil {
		return out
	}
	has := func(kind string) bool {
		return slices.ContainsFunc(draws, func(d unitDraw) bool { return u.l.data.Fixtures[d.fixture].Kind == kind })
	}
	for _, r := range u.left.All() {
		if r.Beside == "" || has(r.Beside) {
			out[r.Fixture] = r.Counted
		}
	}
	return out
}

// exactSum adds numbers with what each addition rounds off kept beside, so that the sum of
// many does not go by their order: it errs by less than a part in ten to the thirty.
type exactSum struct{ sum, rest float64 }

// add adds a number.
func (s *exactSum) add(x float64) {
	sum := s.sum + x
	part := sum - s.sum
	s.rest += (s.sum - (sum - part)) + (x - part)
	s.sum = sum
}

// join adds another sum.
func (s *exactSum) join(t exactSum) {
	s.add(t.sum)
	s.rest += t.rest
}

// value is the sum.
func (s exactSum) value() float64 { return s.sum + s.rest }
