package job

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// waterJudged is a water layout under one code.
type waterJudged struct {
	layout   *supply.Layout
	code     *supply.Code
	sizing   *supply.Sizing
	findings []tables.Finding
	assumed  []tables.Assumption
	ring     *supply.Ring // with the links open, if there are any
	noRing   error        // why it cannot be worked out so
}

func judgeWater(ctx context.Context, j *Job, drained *drainsJudged, id string, p printer) (*waterJudged,
	error) {
	code, err := j.supplyCode(id)
	if err != nil {
		return nil, err
	}
	opt := supply.Options{Units: either(p, supply.Customary, supply.Metric)}
	layout, err := besideDrains(ctx, j.water, drained, code)
	if err != nil {
		return nil, err
	}
	w := &waterJudged{layout: layout, code: code}
	if w.sizing, err = layout.SizeContext(ctx, code, opt); err != nil {
		return nil, err
	}
	w.findings, err = w.sizing.CheckContext(ctx, supply.CheckOptions{Print: p.text, Assumed: &w.assumed})
	if err != nil {
		return nil, err
	}
	w.findings = append(w.findings, drained.besideObstacles(ctx, layout, p)...)
	if len(layout.Data().Links) > 0 {
		w.ring, w.noRing = w.sizing.RingContext(ctx)
	}
	return w, nil
}

// besideObstacles measures the water lines of a job whose places are known against what else
// lies in the ground.
func (d *drainsJudged) besideObstacles(ctx context.Context, l *supply.Layout, p printer) (list []tables.Finding) {
	if d == nil || len(d.layout.Obstacles) == 0 {
		return nil
	}
	data := l.Data()
	for i := range data.Points {
		if ctx.Err() != nil {
			return nil // who called it says where the work stopped
		}
		pt := &data.Points[i]
		water, level, ok := waterCourse(l, &data, i, d.layout.FinishedFloor)
		if !ok {
			continue
		}
		for k := range d.layout.Obstacles {
			o := &d.layout.Obstacles[k]
			wanted := cmp.Or(o.Clear, d.layout.MinimumClearance)
			if !level { // how it lies on plan alone
				water.UpperInvert, water.LowerInvert = o.Bottom, o.Bottom
			}
			clear, near := o.Clearance(water, wanted)
			f := tables.Finding{Rule: "obstacle-clearance", Place: pt.ID, Side: o.ID, Verdict: tables.Fail, Value: clear,
				Limit: wanted, Margin: clear - wanted, Fix: "Lead the water line past it, over it or under it."}
			switch {
			case !near:
				continue
			case !level:
				f.Verdict, f.SettledBy, f.Value, f.Margin = tables.Ask, tables.Designer, nil, nil
				f.Fix = "Give the elevation, or below_floor, of both ends of the line."
				f.Reason = fmt.Sprintf("The water line to %s crosses %s %s on plan, and its height is not given.", pt.ID, o.Kind,
					o.ID)
			case clear < 0:
				f.Reason = fmt.Sprintf("The water line to %s runs %s into %s %s.", pt.ID, p.text(-clear), o.Kind, o.ID)
			default:
				f.Reason = fmt.Sprintf("The water line to %s passes %s %s with %s clear between them; at least %s.", pt.ID, o.Kind,
					o.ID, p.text(clear), p.text(wanted))
			}
			list = append(list, f)
		}
	}
	return list
}

// besideDrains measures how far the water lines below the slab lie from the drains of the
// same job, where both have places, and returns the layout with the distances in it. What
// states its distance itself keeps it.
func besideDrains(ctx context.Context, l *supply.Layout, d *drainsJudged, code *supply.Code) (*supply.Layout, error) {
	rule, ok := code.Rule("water-sewer-horizontal")
	if d == nil || !ok {
		return l, nil
	}
	limit, err := units.Parse[units.Length](rule.String())
	if err != nil {
		return l, nil // a sentence, and no distance
	}
	data := l.Data()
	var courses []slope.Course // of the drains; made with the first water line that has a place
	var names []string
	changed := false
	for i := range data.Points {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("lines beside drains: stopped after %d of %d points: %w", i, len(data.Points), err)
		}
		pt := &data.Points[i]
		if pt.Beside != nil || !pt.BelowSlab {
			continue
		}
		water, level, ok := waterCourse(l, &data, i, d.layout.FinishedFloor)
		if !ok {
			continue
		}
		if courses == nil {
			courses, names = d.courses()
		}
		if pt.Beside = nearestDrain(water, courses, names, limit); pt.Beside != nil {
			changed = true
			if !level {
				pt.Beside.Above = 0
			}
		}
	}
	if !changed {
		return l, nil
	}
	return supply.New(data)
}

// courses are the drains of a job that have places at both ends, as they lie.
func (d *drainsJudged) courses() (list []slope.Course, names []string) {
	at := map[string]*drains.Position{}
	for s := range d.layout.Systems {
		sys := &d.layout.Systems[s]
		at[sys.Outlet.ID] = sys.Outlet.At
		for p := range sys.Points {
			at[sys.Points[p].ID] = sys.Points[p].At
		}
	}
	list = []slope.Course{}
	d.points(func(i int, _ *drains.System, pt *drains.Point) {
		lv, from, to := d.levels.At(i), at[pt.ID], at[pt.To]
		if wide := lv.Upper.Top - lv.Upper.Bottom; from != nil && to != nil && wide > 0 && !lv.AboveFloor {
			list = append(list, slope.Course{Upper: slope.Point{X: from.X, Y: from.Y}, UpperInvert: lv.Upper.Bottom,
				Lower: slope.Point{X: to.X, Y: to.Y}, LowerInvert: lv.Lower.Bottom, Pipe: slope.Pipe{Bore: wide}, Into: -1})
			names = append(names, pt.ID)
		}
	})
	return list, names
}

// waterCourse is a water line between two places, as wide as its size, or as an inch where
// that is not drawn, and an eighth. level says that the heights of both ends are known.
func waterCourse(l *supply.Layout, data *supply.Data, i int, floor units.Length) (c slope.Course, level, ok bool) {
	to, ok := l.Place(i)
	if !ok {
		return c, false, false
	}
	var from supply.Position
	upper, lower := units.Length(0), units.Length(0)
	lower, level = waterLevel(l, data, i, floor)
	if up := l.Parent(i); up >= 0 {
		if from, ok = l.Place(up); !ok {
			return c, false, false
		}
		var known bool
		upper, known = waterLevel(l, data, up, floor)
		level = level && known
	} else if data.Source.At == nil {
		return c, false, false
	} else {
		from = *data.Source.At
		rise, known := l.Rise(i)
		upper, level = lower-rise, level && known
	}
	pt := &data.Points[i]
	wide := cmp.Or(pt.Size, units.Inch) + units.Inch/8
	return slope.Course{Upper: slope.Point{X: from.X, Y: from.Y}, UpperInvert: upper - wide/2,
		Lower: slope.Point{X: to.X, Y: to.Y}, LowerInvert: lower - wide/2,
		Pipe: slope.Pipe{Bore: wide}, Into: -1}, level, true
}

// waterLevel is the elevation of the centre of the pipe at a point: below the floor as its
// place says, or by the elevations of the layout.
func waterLevel(l *supply.Layout, data *supply.Data, i int, floor units.Length) (units.Length, bool) {
	if at := data.Points[i].At; at != nil && at.Below != 0 {
		return floor - at.Below, true
	}
	return l.Level(i)
}

// nearestDrain measures a water line against the drains: how far it keeps clear of the
// nearest on plan, and how far it lies over the highest of those within the limit. It is nil
// if there is none to measure.
func nearestDrain(water slope.Course, courses []slope.Course, names []string, limit units.Length) *supply.Separation {
	const far = 1000 * units.Foot
	const placeNoise = units.Millimetre / 20 // places are no more exact
	step := units.Inch / 4
	if limit%step != 0 {
		step = 5 * units.Millimetre
	}
	var s *supply.Separation
	near := false
	for n, drain := range courses {
		flat := [2]slope.Course{water, drain}
		for k := range flat {
			flat[k].UpperInvert, flat[k].LowerInvert = -flat[k].Pipe.Bore/2, -flat[k].Pipe.Bore/2
		}
		found, err := slope.Conflicts(flat[:], nil, slope.Limits{Pipes: far})
		if err != nil || len(found) == 0 {
			continue
		}
		clear := max(found[0].Found+placeNoise, 0) / step * step
		if s == nil {
			s = &supply.Separation{Clear: clear, Drain: names[n]}
		}
		if clear < s.Clear {
			s.Clear, s.Drain = clear, names[n]
		}
		if clear >= limit {
			continue
		}
		above := undersideAt(&water, found[0].At) - undersideAt(&drain, found[0].At) - drain.Pipe.Bore
		above = max(above+placeNoise, 0) / step * step
		if !near || above < s.Above {
			s.Above, s.Drain, near = above, names[n], true
		}
	}
	return s
}

// undersideAt is how high a pipe's underside lies beside a place on plan.
func undersideAt(c *slope.Course, at slope.Point) units.Length {
	dx, dy := (c.Upper.X - c.Lower.X).Metres(), (c.Upper.Y - c.Lower.Y).Metres()
	t, long := 0.0, float64(dx*dx)+float64(dy*dy)
	if long > 0 {
		x, y := (at.X - c.Lower.X).Metres(), (at.Y - c.Lower.Y).Metres()
		t = min(max((float64(x*dx)+float64(y*dy))/long, 0), 1)
	}
	return c.LowerInvert + units.Length(t*float64(c.UpperInvert-c.LowerInvert))
}

// WaterSection is the water schedule.
type WaterSection struct {
	Street   Quantity    `json:"street"`
	StreetAt string      `json:"street_at,omitempty"` // how it follows from what was measured
	Runs     []WaterRow  `json:"runs"`
	Fixtures []OutletRow `json:"fixtures"`
	Governs  string      `json:"governs"`
	Budget   []BudgetRow `json:"budget"`
	Links    []LinkRow   `json:"links,omitempty"`
	Rings    string      `json:"rings,omitempty"` // what the fixtures have with the links open
	Loops    []LoopRow   `json:"recirculation,omitempty"`
	Pumps    []PumpRow   `json:"pumps,omitempty"`
	ByLoad   string      `json:"by_load,omitempty"` // what the code's table of loads gives, beside
	Sleeves  []SleeveRow `json:"sleeves,omitempty"`
	// Manifolds are what home runs go from.
	Manifolds []ManifoldRow `json:"manifolds,omitempty"`
}

// ManifoldRow is a manifold with the home runs that go from it.
type ManifoldRow struct {
	At       string   `json:"at"`
	Size     Size     `json:"size"`
	Flow     Quantity `json:"flow"`
	HomeRuns int      `json:"home_runs"`
	Longest  Quantity `json:"longest,omitempty"`
	To       string   `json:"to,omitempty"`
}

// WaterRow is one run of the water schedule.
type WaterRow struct {
	Point    string   `json:"point"`
	From     string   `json:"from"`
	Line     string   `json:"line"`
	Length   Quantity `json:"length"`
	Load     Quantity `json:"load"`
	System   string   `json:"system"`
	Flow     Quantity `json:"flow"`
	Pipe     string   `json:"pipe"`
	Size     Size     `json:"size"`
	Bought   string   `json:"bought_as,omitempty"` // pipe in millimetres, such as 22 x 1.0 mm
	Velocity Quantity `json:"velocity"`
	Loss     Quantity `json:"loss"` // friction, fittings and device; height apart
	Out      Quantity `json:"pressure"`
	Why      string   `json:"why"`
	Source   string   `json:"source,omitempty"`
	Demand   string   `json:"demand_source,omitempty"`
}

// OutletRow is the pressure at a fixture.
type OutletRow struct {
	Fixture  string   `json:"fixture"`
	Kind     string   `json:"kind"`
	At       string   `json:"at"`
	Has      Quantity `json:"pressure"`
	Needs    Quantity `json:"needs"`
	Margin   Quantity `json:"margin"`
	Source   string   `json:"source,omitempty"`
	Capped   bool     `json:"later,omitempty"`
	NoFigure bool     `json:"no_figure,omitempty"`
}

// BudgetRow is one item of what is spent on the way to the governing fixture.
type BudgetRow struct {
	At   string   `json:"at"`
	What string   `json:"what"`
	Loss Quantity `json:"loss"`
	Left Quantity `json:"left"`
}

// load is a load in the unit of the code: fixture units, loading units, or a sum of flows.
func (w *waterJudged) load(u supply.FixtureUnits) Quantity { return Quantity(u.In(w.code.LoadUnit())) }

// loadOf is the load of a fixture, as the kind that the layout says it counts as.
func (w *waterJudged) loadOf(f *supply.LayoutFixture) (supply.FixtureLoad, error) {
	x := f.Fixture
	x.Kind = cmp.Or(f.LoadAs, x.Kind)
	return w.code.FixtureLoad(x)
}

// column names the column of demand that a run goes by, where the code has columns.
func (w *waterJudged) column(s supply.System) string {
	if w.code.LoadUnit() != "wsfu" {
		return ""
	}
	return s.String()
}

func waterSchedule(w *waterJudged, p printer) (*WaterSection, error) {
	a, l := w.sizing, w.layout
	s := &WaterSection{ByLoad: byLoad(w, p), Street: p.pressure(a.Street()), StreetAt: streetAt(w, p)}
	for i, r := range a.All() {
		pt := l.Point(i)
		row := WaterRow{
			Point: pt.ID, From: pt.From, Line: l.Service(i).String(), Length: p.run(r.Length),
			Load: Quantity(r.Load.String()), System: w.column(r.System), Flow: p.flow(r.Flow),
			Size:     p.pipeSize(r.Family(), r.Size),
			Velocity: p.velocity(r.Velocity), Loss: p.pressure(r.Friction + r.Fittings + r.Device),
			Out: p.pressure(r.Out),
			Why: r.Decided.String(), Source: r.Citation.String(), Demand: r.Demand.String(),
		}
		if r.Basis == supply.FromOnly {
			row.Demand = strings.TrimPrefix(r.Demand.String()+"; ",
				"; ") + "the run serves one fixture, which draws no more"
		}
		if r.Basis == supply.NotKnown {
			row.Flow, row.Velocity = "not known", ""
		}
		if r.Basis == supply.Recirculates {
			if err := row.circulates(&r, p); err != nil {
				return nil, err
			}
		}
		if f := r.Family(); f != nil {
			row.Pipe = r.Pipe
			row.Bought, _ = f.MetricName(r.Size)
		}
		s.Runs = append(s.Runs, row)
	}
	fixtures := l.Data().Fixtures
	for i, f := range a.Fixtures() {
		x := &fixtures[i]
		row := OutletRow{Fixture: x.ID, Kind: x.Kind, At: f.Point, Has: p.pressure(f.Available),
			Needs: p.pressure(f.Most), Margin: p.pressure(f.Margin()), Source: f.Required.Citation.String(),
			Capped: x.Later}
		if f.Most == 0 {
			row.NoFigure, row.Needs, row.Margin = true, "no figure", ""
		}
		s.Fixtures = append(s.Fixtures, row)
	}
	if f, ok := a.Critical(); ok {
		s.Governs = fmt.Sprintf("%s (%s): %s at %s, needs %s", f.Fixture, label(fixtureOf(fixtures, f.Fixture).Kind),
			p.pressure(f.Available),
			f.Point, p.pressure(f.Most))
		at, _ := l.Find(f.Point)
		for _, b := range a.Budget(at) {
			s.Budget = append(s.Budget,
				BudgetRow{At: b.Point, What: b.What, Loss: p.pressure(b.Loss), Left: p.pressure(b.Left)})
		}
	}
	s.Sleeves = sleeves(w, p)
	for _, m := range a.Manifolds() {
		row := ManifoldRow{At: m.Point, Size: p.size(m.Size), Flow: p.flow(m.Flow), HomeRuns: m.HomeRuns}
		if run, ok := a.Of(m.Point); ok {
			if name, metric := run.Family().MetricName(m.Size); metric {
				row.Size = Size(name)
			}
		}
		if m.To != "" {
			row.Longest, row.To = p.run(m.Longest), m.To
		}
		s.Manifolds = append(s.Manifolds, row)
	}
	s.Links, s.Rings = ringLinks(w, p)
	var err error
	s.Loops, s.Pumps, err = loops(w, p)
	return s, err
}

// byLoad says what the code's table of loads by pressure and length gives the building supply,
// beside the size that was worked out.
func byLoad(w *waterJudged, p printer) string {
	x, err := w.sizing.ByLoad()
	if errors.Is(err, tables.ErrNotInCode) {
		return ""
	}
	if x.Load.FixtureUnits == 0 {
		return ""
	}
	entry := fmt.Sprintf("%s over %s to the farthest outlet, at %s after height and devices", x.Load,
		p.run(x.Length), p.pressure(x.Pressure))
	if err != nil {
		return fmt.Sprintf("By the code's table of loads, beside: %s: no answer there.", entry)
	}
	if x.Valves {
		return "The code's table of loads by pressure and length is for flush tanks, and the service feeds flush " +
			"valves: it is not set beside."
	}
	run, _ := w.sizing.Of(x.Point)
	return fmt.Sprintf("By the code's table of loads, beside: %s: meter %s, building supply %s, good for %v (%s). Worked "+
		"out above: %s.", entry, p.size(x.Meter), p.size(x.Size), x.MaxLoad, p.cite(x.Citation),
		p.pipe(run.Family(), run.Size))
}

// streetAt says how the pressure of the street follows from a test of it.
func streetAt(w *waterJudged, p printer) string {
	src := w.layout.Data().Source
	if src.ResidualFlow == 0 {
		return ""
	}
	return fmt.Sprintf(", from %s at rest and %s at %s, at what the building draws", p.pressure(src.Static),
		p.pressure(src.Pressure), p.flow(src.ResidualFlow))
}

// circulates shows what a return carries: nothing is drawn from it.
func (row *WaterRow) circulates(r *supply.RunResult, p printer) error {
	v, err := hydraulics.Velocity(r.Circulates, r.Bore)
	row.System, row.Flow, row.Velocity = "loop", p.smallFlow(r.Circulates), p.velocity(v)
	return err
}

func waterChanges(a, b *waterJudged, p printer) []string {
	var out []string
	for i, x := range a.sizing.All() {
		y := b.sizing.At(i)
		if x.Size != y.Size {
			out = append(out, fmt.Sprintf("%s: %s at %s (%s), now %s at %s (%s)", a.layout.Point(i).ID,
				p.pipe(x.Family(), x.Size), Quantity(x.Load.String()), p.flow(x.Flow), p.pipe(y.Family(), y.Size),
				Quantity(y.Load.String()),
				p.flow(y.Flow)))
		}
	}
	return out
}

// LinkRow is a run that closes a ring, with what it carries while every link is open.
type LinkRow struct {
	Link     string   `json:"link"`
	From     string   `json:"from"` // the end that the water comes from
	To       string   `json:"to"`
	Length   Quantity `json:"length"`
	Pipe     string   `json:"pipe"`
	Size     Size     `json:"size"`
	Flow     Quantity `json:"flow,omitempty"`
	Velocity Quantity `json:"velocity,omitempty"`
	Loss     Quantity `json:"loss,omitempty"`
}

// ringLinks lists the links and says what they do for the fixtures. The schedule of runs
// takes them as shut, which a ring must also stand.
func ringLinks(w *waterJudged, p printer) (rows []LinkRow, says string) {
	data := w.sizing.Analyse().Layout().Data() // the sizes of links are in it
	if len(data.Links) == 0 {
		return nil, ""
	}
	ring, err := w.ring, w.noRing
	for k := range data.Links {
		x := &data.Links[k]
		row := LinkRow{Link: x.ID, From: x.Between[0], To: x.Between[1], Length: p.run(x.Length)}
		if f, err := w.sizing.LinkPipe(k); err == nil {
			row.Pipe, row.Size = f.ID(), p.pipe(f, x.Size)
		}
		if err == nil {
			flow := &ring.Links[k]
			if flow.Flow < 0 {
				row.From, row.To = row.To, row.From
			}
			row.Flow, row.Velocity, row.Loss = p.flow(max(flow.Flow, -flow.Flow)), p.velocity(flow.Velocity),
				p.pressure(flow.Loss)
		}
		rows = append(rows, row)
	}
	if err != nil {
		return rows, fmt.Sprintf("The links were not worked out open: %v. Pressures are with the links shut.", err)
	}
	least, shut, open := -1, units.Pressure(0), units.Pressure(0)
	for i, f := range w.sizing.Fixtures() {
		at, ok := w.layout.Find(f.Point)
		if left := f.Margin(); ok && (least < 0 || left < shut) {
			least, shut, open = i, left, ring.Out[at]-f.Most
		}
	}
	if least < 0 {
		return rows, "Runs and pressures of the schedule are with the links shut, which a ring must stand while " +
			"they are repaired. With another part of it shut the ring was not worked out."
	}
	return rows, fmt.Sprintf("Runs and pressures of the schedule are with the links shut, which a ring must stand "+
		"while they are repaired: "+
		"%s then has %s to spare; with the links open, %s. With another part of it shut the ring was not "+
		"worked out.", data.Fixtures[least].ID, p.pressure(shut), p.pressure(open))
}

func (w *WaterSection) printLinks(p *page) {
	if len(w.Links) == 0 {
		return
	}
	p.printf("\n")
	g := grid{head: []string{"link", "from", "to", ">length", "pipe", ">size", ">flow", ">velocity", ">loss"}}
	for _, x := range w.Links {
		g.add(x.Link, x.From, x.To, string(x.Length), x.Pipe, string(x.Size), string(x.Flow), string(x.Velocity),
			string(x.Loss))
	}
	p.grid(g)
	p.paragraph("  Ring: ", "    ", w.Rings)
}

// fixtureOf returns the fixture of an id, which is there.
func fixtureOf(list []supply.LayoutFixture, id string) *supply.LayoutFixture {
	return &list[slices.IndexFunc(list, func(x supply.LayoutFixture) bool { return x.ID == id })]
}
