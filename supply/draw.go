package supply

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// Drawings are the drawings of a water layout as plain geometry, to be drawn by package
// draw or by other tools. Every point, fixture, link and the source are in the isometric by their ids; a
// fixture, or link, that has the id of a point is called "fixture ", or "link ", and its id.
type Drawings struct {
	// Isometric shows all lines: by their places where the layout places the source and every
	// point on plan, else by their order. Heights are true.
	Isometric *draw.Scene
	// Plan shows from above the points that have a place on plan; nil if none has.
	Plan *draw.Scene
	// Pressure is the pressure along the way to the fixture that has least to spare, and what is
	// left at each fixture; nil if the code asks no fixture for a pressure.
	Pressure *draw.Chart
	// Rings are the losses of pressure round the rings that links close, link by link, with what
	// each part of a ring carries: of twenty links, and of none if the ring cannot be worked out.
	Rings []*draw.Chart
}

// DrawOptions are what is asked of drawings of a layout.
type DrawOptions struct {
	Metric bool // texts in metres, litres a second and kilopascals
	// Print writes flows, velocities and pressures, so that a drawing reads as the report
	// beside it; nil: as the drawing does.
	Print func(fmt.Stringer) string
}

// Draw returns the drawings of an analysis made by [Layout.Analyse] or [Layout.Size].
func (a *Analysis) Draw(opt DrawOptions) (*Drawings, error) {
	return a.DrawContext(context.Background(), opt)
}

// DrawContext is [Analysis.Draw] that stops once the context is done, with its error and how far it was.
func (a *Analysis) DrawContext(ctx context.Context, opt DrawOptions) (*Drawings, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	if len(a.runs) != a.layout.Len() {
		return nil, errors.New("drawings: nothing was analysed")
	}
	d := &drawing{Analysis: a, Work: patience.NewWork(ctx, "drawings"), metric: opt.Metric, print: opt.Print,
		returned: map[string][]string{}}
	for k := range a.layout.data.Recirculation {
		x := &a.layout.data.Recirculation[k]
		d.returned[x.Return] = append(d.returned[x.Return], x.ID+": back to "+x.Heater)
	}
	if !d.Goes(0, a.Len(), "points") {
		return nil, d.Err()
	}
	d.arrange()
	if len(a.layout.data.Links) > 0 {
		d.open, d.closed = a.RingContext(ctx)
	}
	out := &Drawings{Isometric: d.isometric(), Plan: d.plan(), Pressure: d.pressures(), Rings: d.rings()}
	if !d.Goes(a.Len(), a.Len(), "points") { // what it stopped in is not whole
		return nil, d.Err()
	}
	return out, nil
}

// drawing is a layout being drawn.
type drawing struct {
	*Analysis
	*patience.Work
	metric bool
	print  func(fmt.Stringer) string
	spot   []draw.Point // of each point
	placed bool         // spot holds the places of the layout

	returned map[string][]string // by the last point of returns, where each of them goes
	open     *Ring               // the layout with its links open
	closed   error               // why it cannot be worked out so
}

const (
	leastStep = 5 * units.Foot
	mostStep  = 16 * units.Foot
)

// step is how far apart a schematic sets the ends of a run.
func (d *drawing) step(i int) units.Length {
	return min(max(d.layout.Point(i).Length, leastStep), mostStep)
}

// arrange sets the points where the layout has them, or by their order, at their true
// heights; the source comes last.
func (d *drawing) arrange() {
	l, n := d.layout, d.layout.Len()
	spot, known := d.places()
	if d.placed = !slices.Contains(known, false); d.placed {
		for i := range n {
			spot[i].Z = d.runs[i].Elevation
		}
		d.spot = spot
		return
	}
	parent, steps, heights := make([]int32, n+1), make([]units.Length, n+1), make([]units.Length, n+1)
	parent[n] = -1
	for i := range n {
		parent[i], steps[i], heights[i] = int32(n), d.step(i), d.runs[i].Elevation
		if p := l.Parent(i); p >= 0 {
			parent[i] = int32(p)
		}
	}
	d.spot = draw.ArrangeInHeight(parent, steps, heights, false)
}

// isometric draws runs, points and fixtures, farthest first.
func (d *drawing) isometric() *draw.Scene {
	l, n := d.layout, d.layout.Len()
	remark := "SCHEMATIC, not to scale: the layout gives lengths and heights of water lines, not their places. " +
		"Heights of points are true; lengths are those written. Fixtures at one point stand over one another."
	if d.placed {
		remark = "Places and heights are those of the layout. Fixtures at one point stand over one another."
	}
	sc := &draw.Scene{Names: map[string]string{draw.Outlet.Key(): "source"}, Schematic: !d.placed, Remarks: []string{
		remark, "Along a run: size, flow, velocity, developed length. At a point: pressure left while water flows.",
	}}
	for k := len(l.order) - 1; k >= 0; k-- {
		if !d.GoesBetween(len(l.order)-1-k, len(l.order), "points of an isometric") {
			return nil
		}
		i := int(l.order[k])
		from := n
		if p := l.Parent(i); p >= 0 {
			from = p
		}
		d.run(sc, i, d.spot[from])
		sc.Marks = append(sc.Marks, d.mark(i))
		d.drawFixtures(sc, i)
	}
	if len(l.data.Links) > 0 {
		d.links(sc, d.spot, nil, d.linkTag())
	}
	d.returns(sc, d.spot, nil)
	d.sleeves(sc)
	sc.Marks = append(sc.Marks, d.source(d.spot[n]))
	return sc
}

// source is the mark of the source.
func (d *drawing) source(at draw.Point) draw.Mark {
	id := d.layout.data.Source.ID
	return draw.Mark{ID: id, At: at, Shape: draw.Outlet, Tip: "source " + id,
		Label: []string{id, d.psi(d.street) + " flowing"}}
}

// returns draws the way of each recirculation from the end of its return back to the heater,
// or into the return that it runs into, if the places of both are known; all are if known is nil.
func (d *drawing) returns(sc *draw.Scene, spot []draw.Point, known []bool) {
	l := d.layout
	for k := range l.data.Recirculation {
		x := &l.data.Recirculation[k]
		from, to := l.index[x.Return], l.index[x.Heater]
		if x.Into != "" {
			to = l.index[x.Into]
		}
		if (known == nil || known[from] && known[to]) && spot[from] != spot[to] {
			sc.Lines = append(sc.Lines, draw.Line{ID: d.free("return ", x.ID), Style: draw.Return, Arrow: true,
				Path: d.back(spot[from], spot[to]), Label: []string{x.ID}, Tip: "return " + x.ID + " to " +
					l.data.Points[to].ID})
		}
	}
}

// back is the way of a return: straight, or in a schematic beside the row that it comes from, so
// that it does not lie over the line to there.
func (d *drawing) back(from, to draw.Point) []draw.Point {
	if d.placed {
		return []draw.Point{from, to}
	}
	beside := from
	beside.Y += leastStep / 2
	corner := draw.Point{X: to.X, Y: beside.Y, Z: beside.Z}
	foot := draw.Point{X: to.X, Y: to.Y, Z: beside.Z}
	return []draw.Point{from, beside, corner, foot, to}
}

// plan draws what has a place on plan: points with their fixtures, and the runs, sleeves, links
// and returns of which both ends have one. What has none is named.
func (d *drawing) plan() *draw.Scene {
	l, n := d.layout, d.layout.Len()
	if l.place == nil {
		return nil
	}
	sc := &draw.Scene{Names: map[string]string{draw.Outlet.Key(): "source"}, Remarks: []string{
		"At each water point: its id, line, depth of the centre of the pipe below the finished floor, what it " +
			"serves. Along a water run: size, flow. Runs are drawn straight between the places of the layout."}}
	spot, known := d.places()
	var left []string
	for k := n - 1; k >= 0; k-- {
		if !d.GoesBetween(n-1-k, n, "points of a plan") {
			return nil
		}
		i := int(l.order[k])
		if !known[i] {
			left = append(left, l.data.Points[i].ID)
			continue
		}
		from := l.Parent(i)
		if from < 0 {
			from = n
		}
		m := d.markOnPlan(i, spot[i])
		switch {
		case !known[from]:
			m.Label = append(m.Label, "from "+l.data.Points[i].From+", place not given")
		case spot[from] != spot[i]: // one that only rises is a point
			sc.Lines = append(sc.Lines, draw.Line{ID: m.ID, Style: style(l.Service(i)), Tip: m.Tip, Arrow: true,
				Path: []draw.Point{spot[from], spot[i]}, Label: d.tag(i)[:1]})
		}
		sc.Marks = append(sc.Marks, m)
	}
	if sc.Marks == nil {
		return nil
	}
	if known[n] {
		sc.Marks = append(sc.Marks, d.source(spot[n]))
	}
	if left != nil {
		slices.Sort(left)
		sc.Remarks = append(sc.Remarks, "Without a place on plan, and in the isometric alone: "+shortList(left)+".")
	}
	d.returns(sc, spot, known)
	d.sleeves(sc)
	d.links(sc, spot, known, func(_ int, x *Link) []string { return []string{x.ID, d.size(x.Size)} })
	return sc
}

// places are the places on plan of the points and then of the source, and which have one.
func (d *drawing) places() (spot []draw.Point, known []bool) {
	l, n := d.layout, d.layout.Len()
	spot, known = make([]draw.Point, n+1), make([]bool, n+1)
	if at := l.data.Source.At; at != nil {
		spot[n], known[n] = draw.Point{X: at.X, Y: at.Y}, true
	}
	for i := range n {
		at, ok := l.Place(i)
		spot[i], known[i] = draw.Point{X: at.X, Y: at.Y}, ok
	}
	return spot, known
}

// markOnPlan is a point from above, with what stands there.
func (d *drawing) markOnPlan(i int, at draw.Point) draw.Mark {
	l, pt := d.layout, d.layout.Point(i)
	m := draw.Mark{ID: pt.ID, At: at, Shape: d.mark(i).Shape, Tip: d.tip(i), Label: []string{pt.ID, d.service(i)}}
	if pt.At != nil && pt.At.Below > 0 {
		m.Label[1] += ", " + d.depth(pt.At.Below) + " down"
	}
	if pt.Device != nil {
		m.Label = append(m.Label, strings.ReplaceAll(pt.Device.Kind, "-", " "))
	}
	if pt.Manifold {
		m.Label = append(m.Label, "manifold")
	}
	for _, f := range l.FixturesAt(i) {
		m.Label = append(m.Label, "to "+l.data.Fixtures[f].ID)
	}
	return m
}

// service is the line of a point, as a drawing calls it.
func (d *drawing) service(i int) string {
	if d.layout.Service(i) == Recirculated {
		return "return"
	}
	return d.layout.Service(i).String()
}

// sleeves marks each sleeve half way along the first run in it that is drawn.
func (d *drawing) sleeves(sc *draw.Scene) {
	drawn := map[string]*draw.Line{}
	for i := range sc.Lines {
		if l := &sc.Lines[i]; l.Arrow {
			drawn[l.ID] = l
		}
	}
	for _, s := range d.Sleeves() {
		var lines []string
		for _, id := range s.Lines {
			lines = append(lines, id+" "+d.service(int(d.layout.index[id])))
		}
		for _, id := range s.Lines {
			run := drawn[id]
			if run == nil {
				continue
			}
			a, b := run.Path[0], run.Path[1]
			sc.Marks = append(sc.Marks, draw.Mark{ID: d.free("sleeve ", s.Sleeve.ID), Shape: draw.Sleeve,
				At:    draw.Point{X: a.X + (b.X-a.X)/2, Y: a.Y + (b.Y-a.Y)/2, Z: a.Z + (b.Z-a.Z)/2},
				Label: append([]string{s.Sleeve.ID, d.size(s.Sleeve.Bore) + " sleeve with"}, lines...),
				Tip:   "sleeve " + s.Sleeve.ID + " with " + strings.Join(lines, ", ")})
			break
		}
	}
}

// run draws a run: in a schematic to its row, then along on the level of its beginning, then up or
// down. Its label is on the first part that leads to it.
func (d *drawing) run(sc *draw.Scene, i int, from draw.Point) {
	to, row := d.spot[i], from
	if !d.placed {
		row.Y = to.Y
	}
	way := []draw.Point{from, row, {X: to.X, Y: to.Y, Z: from.Z}, to}
	run := draw.Line{ID: d.layout.data.Points[i].ID, Style: style(d.layout.Service(i)), Tip: d.tip(i)}
	labelled := false
	for k := range way[1:] {
		if way[k] == way[k+1] {
			continue
		}
		line := run
		if line.Path = way[k : k+2 : k+2]; k > 0 && !labelled {
			line.Arrow, line.Label, labelled = true, d.tag(i), true
		}
		sc.Lines = append(sc.Lines, line)
	}
}

func style(s Service) draw.Style {
	switch s {
	case Hot:
		return draw.Hot
	case Recirculated:
		return draw.Return
	}
	return draw.Cold
}

// links draws the runs that close rings, of which the places of both ends are known; all are if known is nil.
func (d *drawing) links(sc *draw.Scene, spot []draw.Point, known []bool, label func(k int, link *Link) []string) {
	l := d.layout
	for k := range l.data.Links {
		x := &l.data.Links[k]
		a, b := l.index[x.Between[0]], l.index[x.Between[1]]
		if known == nil || known[a] && known[b] {
			sc.Lines = append(sc.Lines, draw.Line{ID: d.free("link ", x.ID), Style: style(l.Service(int(a))),
				Path: []draw.Point{spot[a], spot[b]}, Label: label(k, x), Tip: "link " + x.ID})
		}
	}
}

// linkTag returns what stands along a link: its size, and what it carries if that is known.
func (d *drawing) linkTag() func(k int, link *Link) []string {
	return func(k int, x *Link) []string {
		tag := []string{x.ID + "  " + d.size(x.Size)}
		if d.closed == nil {
			f := &d.open.Links[k]
			tag = append(tag, d.flow(f.Flow)+"  "+d.psi(f.Loss)+" lost")
		}
		return tag
	}
}

// free is an id in the drawing that no point has.
func (d *drawing) free(word, id string) string {
	if _, taken := d.layout.Find(id); taken || id == d.layout.data.Source.ID {
		return word + id
	}
	return id
}

// tag is what stands along a run.
func (d *drawing) tag(i int) []string {
	r := &d.runs[i]
	flow, velocity := d.flow(r.Flow), r.Velocity
	if q := d.circulates[int32(i)]; r.Flow == 0 && q != 0 {
		flow = d.flow(q) + " circulates"
		if v, err := hydraulics.Velocity(q, r.Bore); err == nil {
			velocity = v
		}
	}
	return []string{d.size(r.Size) + ", " + flow, d.velocity(velocity) + ", " + d.length(r.Length)}
}

func (d *drawing) tip(i int) string {
	pt, r := d.layout.Point(i), &d.runs[i]
	return strings.Join([]string{pt.From + " to " + pt.ID, d.layout.Service(i).String(), d.size(r.Size), d.flow(r.Flow),
		d.velocity(r.Velocity), d.length(r.Length), "leaves " + d.psi(r.Out)}, ", ")
}

// mark is the symbol of a point, with the pressure there.
func (d *drawing) mark(i int) draw.Mark {
	pt, r := d.layout.Point(i), &d.runs[i]
	m := draw.Mark{ID: pt.ID, At: d.spot[i], Shape: draw.Joint, Label: []string{pt.ID}}
	if pt.Device != nil {
		m.Shape = draw.Device
		m.Label = append(m.Label, strings.ReplaceAll(pt.Device.Kind, "-", " "))
	}
	if pt.Manifold {
		m.Shape, m.Label = draw.Device, append(m.Label, "manifold")
	}
	if d.layout.Service(i) != Recirculated {
		m.Label = append(m.Label, d.left(r.Out, r.Upper))
	}
	m.Label = append(m.Label, d.returned[pt.ID]...)
	return m
}

func (d *drawing) left(p units.Pressure, upper bool) string {
	if upper {
		return "at most " + d.psi(p)
	}
	return d.psi(p)
}

// fixtures adds the fixtures with a port at a point: one stands there, several over one
// another above it.
func (d *drawing) drawFixtures(sc *draw.Scene, i int) {
	const apart = 3 * units.Foot
	list := d.layout.FixturesAt(i)
	at := d.spot[i]
	if len(list) > 1 {
		top := draw.Point{X: at.X, Y: at.Y, Z: at.Z + apart*units.Length(len(list))}
		sc.Lines = append(sc.Lines,
			draw.Line{ID: d.layout.Point(i).ID, Style: draw.Guide, Path: []draw.Point{at, top}})
	}
	for _, f := range list {
		if len(list) > 1 {
			at.Z += apart
		}
		m := d.fixture(int(f), i)
		m.At = at
		sc.Marks = append(sc.Marks, m)
	}
}

// fixture is a fixture at one of its ports.
func (d *drawing) fixture(f, at int) draw.Mark {
	x, r := &d.layout.data.Fixtures[f], &d.fixtures[f]
	m := draw.Mark{ID: d.free("fixture ", x.ID), At: d.spot[at], Shape: draw.Fixture, Label: []string{x.ID, d.name(f)}}
	if x.Later {
		m.Shape = draw.Cap
	}
	if r.Most != 0 && r.at == at {
		m.Label = append(m.Label, "needs "+d.psi(r.Most)+": "+d.spare(r))
	}
	m.Tip = strings.Join(m.Label, ", ")
	return m
}

func (d *drawing) name(f int) string {
	x := &d.layout.data.Fixtures[f]
	name := spaced(x.Kind)
	if x.Count > 1 {
		name += fmt.Sprintf(" x%d", x.Count)
	}
	return name
}

// spare is what a fixture has beyond its need, with its sign.
func (d *drawing) spare(r *FixtureResult) string {
	text := d.psi(r.Margin())
	switch {
	case r.Margin() < 0:
		return text
	case r.Upper:
		return "at most +" + text
	}
	return "+" + text
}

// size is a nominal size.
func (d *drawing) size(l units.Length) string {
	switch {
	case l == 0:
		return "?"
	case l%(units.Inch/16) != 0:
		return units.Notation{Form: units.DecimalMillimetres}.Format(l)
	}
	return units.Notation{Form: units.FractionalInches}.Format(l)
}

func (d *drawing) length(l units.Length) string {
	if d.metric {
		return units.Notation{Form: units.DecimalMetres, Places: 2}.Format(l)
	}
	return units.Notation{Nearest: 1}.Format(l)
}

// depth is a small height.
func (d *drawing) depth(l units.Length) string {
	if d.metric {
		return units.Notation{Form: units.DecimalMillimetres}.Format(l)
	}
	return units.Notation{Nearest: 4, NoZeroFeet: true}.Format(l)
}

func (d *drawing) flow(f units.Flow) string {
	if d.print != nil && !(d.metric && f < units.LitrePerSecond/20) {
		return d.print(f)
	}
	if d.metric {
		if f > 0 && f < units.LitrePerSecond/20 {
			return fmt.Sprintf("%.3f L/s", float64(f/units.LitrePerSecond)) // what keeps a return warm
		}
		return fmt.Sprintf("%.2f L/s", float64(f/units.LitrePerSecond))
	}
	return fmt.Sprintf("%.1f gpm", float64(f/units.USGallonPerMinute))
}

// printed writes a quantity as the options have it, else so in the units of the drawing.
func (d *drawing) printed(q fmt.Stringer, metric, us string) string {
	switch {
	case d.print != nil:
		return d.print(q)
	case d.metric:
		return metric
	}
	return us
}

func (d *drawing) velocity(v units.Velocity) string {
	return d.printed(v, fmt.Sprintf("%.2f m/s", float64(v)), fmt.Sprintf("%.1f ft/s", float64(v/units.FootPerSecond)))
}

func (d *drawing) psi(p units.Pressure) string {
	return d.printed(p, fmt.Sprintf("%.0f kPa", float64(p/units.Kilopascal)),
		fmt.Sprintf("%.1f psi", float64(p/units.PoundForcePerSquareInch)))
}

// pressures is the pressure from the source to the fixture that has least to spare.
func (d *drawing) pressures() *draw.Chart {
	if d.governing < 0 {
		return nil
	}
	g := &d.fixtures[d.governing]
	c := d.chart("developed length from "+d.layout.data.Source.ID, "pressure")
	c.Names = map[string]string{draw.Outlet.Key(): "source"}
	c.BarHead = "Pressure at each fixture, and what it has to spare. Line: needed."
	c.Remarks = []string{"The way to " + g.Fixture + " (" + d.name(d.governing) + "), the critical fixture: " +
		d.psi(g.Available) + " of " + d.psi(g.Most) +
		" needed. Along a run: friction, fittings and height; upright: what a device or regulator takes."}
	d.curves(c, g)
	for f := range d.fixtures {
		if !d.GoesBetween(f, len(d.fixtures), "fixtures") {
			return nil
		}
		c.Bars = append(c.Bars, d.bar(f))
	}
	return c
}

// chart is an empty chart of pressure by length.
func (d *drawing) chart(x, y string) *draw.Chart {
	f := d.figures()
	return &draw.Chart{X: draw.Axis{Name: x + ", " + f.length}, Y: draw.Axis{Name: y + ", " + f.pressure.name}}
}

// curves draws flowing and static pressure, and what is needed at the end.
func (d *drawing) curves(c *draw.Chart, g *FixtureResult) {
	src := &d.layout.data.Source
	at := units.Length(0)
	flowing := []draw.XY{d.xy(0, d.street)}
	static := []draw.XY{d.xy(0, cmp.Or(src.Static, d.street))}
	var spots []draw.Spot
	for _, i := range d.layout.wayTo(g.at) {
		r, pt := &d.runs[i], d.layout.Point(i)
		at += r.Length
		flowing = append(flowing, d.xy(at, r.Out+r.Device+r.Reduced))
		if r.Device+r.Reduced != 0 {
			flowing = append(flowing, d.xy(at, r.Out))
		}
		static = append(static, d.xy(at, r.Static))
		spots = append(spots,
			draw.Spot{ID: pt.ID, At: d.xy(at, r.Out), Shape: d.mark(i).Shape, Label: d.taken(i), Tip: d.tip(i)})
	}
	c.Curves = []draw.Curve{
		{ID: "pressure-flowing", Style: draw.Pressure, At: flowing, Tip: "pressure while water flows"},
		{ID: "pressure-static", Style: draw.Static, At: static, Tip: "pressure while nothing flows"},
		{ID: "pressure-needed", Style: draw.Needed, At: []draw.XY{d.xy(at*9/10, g.Most), d.xy(at, g.Most)},
			Tip: "pressure needed at the fixture", Label: "needed " + d.psi(g.Most)},
	}
	c.Spots = append(spots, draw.Spot{ID: src.ID, At: d.xy(0, d.street), Shape: draw.Outlet,
		Label: []string{src.ID, d.psi(d.street)}})
}

// taken labels a point of the pressure line, with what the device or regulator there takes.
func (d *drawing) taken(i int) []string {
	r, lines := &d.runs[i], d.mark(i).Label
	if r.Device != 0 {
		lines = append(lines, "device takes "+d.psi(r.Device))
	}
	if r.Reduced != 0 {
		lines = append(lines, "regulator takes "+d.psi(r.Reduced))
	}
	return lines
}

// bar is what a fixture has of what it needs.
func (d *drawing) bar(f int) draw.Bar {
	x, r := &d.layout.data.Fixtures[f], &d.fixtures[f]
	b := draw.Bar{ID: d.free("fixture ", x.ID), Label: x.ID + " " + d.name(f), Value: d.number(r.Available),
		Need: d.number(r.Most), Text: d.spare(r), Bad: r.Margin() < 0}
	if r.Most == 0 {
		b.Bad, b.Text = false, "no figure"
	}
	b.Tip = b.Label + ": " + d.left(r.Available, r.Upper) + ", needs " + d.psi(r.Most) + ", " + b.Text
	return b
}

func (d *drawing) xy(at units.Length, p units.Pressure) draw.XY {
	return draw.XY{X: ratio(at, d.figures().perLength), Y: d.number(p)}
}

func (d *drawing) number(p units.Pressure) float64 { return float64(p / d.figures().pressure.unit) }

// figures are the units of the drawing.
func (d *drawing) figures() *figures { return unitSystem{d.metric}.figures() }

// mostRings are how many rings are drawn.
const mostRings = 20

// ringPart is a run or link on the way round a ring, which goes from one point to the next.
type ringPart struct {
	id, from, to string
	link         bool
	run          int // index of the run, if it is one
	length, size units.Length
	flow         units.Flow     // less than nought: against the way
	rise, device units.Pressure // lost on the way
}

// rings draws each ring, of a link and the runs between its ends.
func (d *drawing) rings() (list []*draw.Chart) {
	links := d.layout.data.Links
	if len(links) == 0 {
		return nil
	}
	if d.closed != nil {
		return nil
	}
	for k := range links[:min(len(links), mostRings)] {
		if !d.Goes(k, min(len(links), mostRings), "rings") {
			return nil
		}
		if c := d.ring(k, d.open); c != nil {
			list = append(list, c)
		}
	}
	if left := len(links) - mostRings; left > 0 && len(list) > 0 {
		last := list[len(list)-1]
		last.Remarks = append(last.Remarks, fmt.Sprintf("The rings of %s more are not drawn.", counted(left, "link")))
	}
	return list
}

// partsOf goes round a ring: from where its two sides part to the first end of the link,
// through it, and back from its other end. It returns that place too.
func (d *drawing) partsOf(k int, ring *Ring) (parts []ringPart, top int) {
	l := d.layout
	x := &l.data.Links[k]
	a, b := int(l.index[x.Between[0]]), int(l.index[x.Between[1]])
	above := map[int]bool{}
	for i := a; i >= 0; i = l.Parent(i) {
		above[i] = true
	}
	for top = b; top >= 0 && !above[top]; {
		top = l.Parent(top)
	}
	run := func(i int) ringPart {
		r, pt := &d.runs[i], l.Point(i)
		return ringPart{id: pt.ID, from: pt.From, to: pt.ID, run: i, length: r.Length, size: r.Size,
			flow: ring.Runs[i], rise: r.Rise, device: r.Device}
	}
	for i := a; i != top; i = l.Parent(i) {
		parts = append(parts, run(i))
	}
	slices.Reverse(parts)
	parts = append(parts, ringPart{id: d.free("link ", x.ID), from: x.Between[0], to: x.Between[1], link: true,
		length: x.Length, size: x.Size, flow: ring.Links[k].Flow, rise: d.climb(top, b) - d.climb(top, a)})
	for i := b; i != top; i = l.Parent(i) {
		p := run(i)
		p.from, p.to, p.flow, p.rise, p.device = p.to, p.from, -p.flow, -p.rise, -p.device
		parts = append(parts, p)
	}
	return parts, top
}

// climb is what a way down from top loses to height.
func (d *drawing) climb(top, i int) (p units.Pressure) {
	for ; i != top; i = d.layout.Parent(i) {
		p += d.runs[i].Rise
	}
	return p
}

// ring draws what is lost round the ring that a link closes, and what each part of it carries;
// nil if a regulator stands on it.
func (d *drawing) ring(k int, ring *Ring) *draw.Chart {
	parts, top := d.partsOf(k, ring)
	start, first := d.layout.data.Source.ID, d.street
	if top >= 0 {
		start, first = d.layout.Point(top).ID, ring.Out[top]
	}
	x := &d.layout.data.Links[k]
	c := d.chart("developed length round the ring from "+start, "pressure lost since "+start+", heights left out")
	c.Names = map[string]string{draw.Pressure.Key(): "lost with the link open",
		draw.Static.Key(): "lost with the link shut"}
	c.BarHead = "Flow in each part, the way it runs, and what it loses."
	c.Remarks = []string{fmt.Sprintf("From %s by %s, through the link %s to %s and back. Water runs to where more "+
		"is lost. %s", start, x.Between[0], x.ID, x.Between[1], meeting(parts))}
	at, rise, out := units.Length(0), units.Pressure(0), first
	lost := func(p units.Pressure) units.Pressure { // a pascal is what the solution may leave
		if p = first - p - rise; max(p, -p) < units.Pascal {
			return 0
		}
		return p
	}
	place := map[string]draw.XY{start: d.xy(0, 0)}
	before := d.xy(0, 0)
	for _, p := range parts {
		from := out
		if out = first; p.to != start {
			i := d.layout.index[p.to]
			if d.layout.data.Points[i].Device.parts() {
				return nil
			}
			out = ring.Out[i]
		}
		at, rise = at+p.length, rise+p.rise
		path := []draw.XY{before}
		switch here := lost(out); {
		case p.device > 0: // at the end of the run
			path = append(path, d.xy(at, here-p.device), d.xy(at, here))
		case p.device < 0: // at its beginning here, for the way goes up the run
			path = append(path, draw.XY{X: before.X, Y: before.Y + d.number(p.device)}, d.xy(at, here))
		default:
			path = append(path, d.xy(at, here))
		}
		before = path[len(path)-1]
		place[p.to] = before
		d.ringPart(c, &p, path, from-out-p.rise)
		if p.to != start {
			c.Spots = append(c.Spots, draw.Spot{ID: p.to, At: before, Shape: d.mark(int(d.layout.index[p.to])).Shape,
				Label: []string{p.to, d.psi(out) + " left"}})
		}
	}
	c.Spots = append(c.Spots, draw.Spot{ID: start, At: place[start], Shape: draw.Joint,
		Label: []string{start, d.psi(first)}})
	d.shut(c, parts)
	return c
}

// ringPart draws one part of a ring, and its bar.
func (d *drawing) ringPart(c *draw.Chart, p *ringPart, path []draw.XY, loss units.Pressure) {
	flow := max(p.flow, -p.flow)
	from, to := p.from, p.to
	if p.flow < 0 {
		from, to = to, from
	}
	name := from + " to " + to
	if p.link {
		name += ", link"
	}
	text := d.flow(flow) + ", " + d.psi(max(loss, -loss))
	c.Curves = append(c.Curves, draw.Curve{ID: p.id, Style: draw.Pressure, At: path,
		Label: d.size(p.size) + ", " + d.flow(flow), Tip: name + ", " + d.size(p.size) + ": " + text + " lost"})
	value := float64(flow / units.USGallonPerMinute)
	c.Bars = append(c.Bars, draw.Bar{Label: name, Value: value, Text: text, Tip: name + ": " + text + " lost"})
}

// shut draws what is lost on each side of a ring with its link shut.
func (d *drawing) shut(c *draw.Chart, parts []ringPart) {
	add := func(id, tip string, at []draw.XY) {
		if len(at) > 1 {
			c.Curves = append(c.Curves, draw.Curve{ID: id, Style: draw.Static, At: at, Tip: tip})
		}
	}
	whole := units.Length(0)
	for _, p := range parts {
		whole += p.length
	}
	side := func(parts []ringPart, at func(units.Length) units.Length) (way []draw.XY) {
		way = []draw.XY{d.xy(at(0), 0)}
		length, lost := units.Length(0), units.Pressure(0)
		for _, p := range parts {
			r := &d.runs[p.run]
			length, lost = length+p.length, lost+r.Friction+r.Fittings
			way = append(way, d.xy(at(length), lost))
			if lost += r.Device; r.Device != 0 {
				way = append(way, d.xy(at(length), lost))
			}
		}
		return way
	}
	link := slices.IndexFunc(parts, func(p ringPart) bool { return p.link })
	back := slices.Clone(parts[link+1:])
	slices.Reverse(back)
	add("shut-out", "out to the link, which is shut",
		side(parts[:link], func(l units.Length) units.Length { return l }))
	add("shut-back", "back from the link, which is shut",
		side(back, func(l units.Length) units.Length { return whole - l }))
}

// meeting says where the water of both sides of a ring meets.
func meeting(parts []ringPart) string {
	most := units.Flow(0)
	for _, p := range parts {
		most = max(most, p.flow, -p.flow)
	}
	if most == 0 {
		return "No water runs in it."
	}
	for i, p := range parts {
		if p.flow < most/1e6 {
			continue // it runs against the way, or stands
		}
		next := i + 1
		for next < len(parts) && max(parts[next].flow, -parts[next].flow) < most/1e6 {
			next++
		}
		switch {
		case next == len(parts) || parts[next].flow > 0:
		case next == i+1:
			return "Water of both sides meets at " + p.to + "."
		default:
			return "Water of both sides meets between " + p.to + " and " + parts[next].from + ", where it stands."
		}
	}
	return ""
}
