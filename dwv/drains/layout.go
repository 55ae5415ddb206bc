package drains

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/clone"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Layout is one drainage job, checked: every point drains to one outlet, every vent
// leads somewhere, and every figure is possible. It is made by [New], by [Parse] or
// from JSON, never changes, and may be shared between goroutines. To change one, take
// its [Layout.Data] and give that to New. The zero Layout holds nothing: what is asked
// of it is an error.
type Layout struct {
	data *Data
	tree *tree
}

// New checks a layout put together in Go and keeps a copy of it; every fault is
// reported at once, and then there is no layout. If codes are given, each kind of
// fixture, and each word that a system admits or refuses, must be known to some code of
// their shelves, or carried by a point.
func New(d Data, codes ...*dwv.Code) (*Layout, error) {
	return NewContext(context.Background(), d, codes...)
}

// NewContext is [New] that stops once the context is done, with its error and how far it was.
func NewContext(ctx context.Context, d Data, codes ...*dwv.Code) (*Layout, error) {
	w := patience.NewWork(ctx, "layout")
	return newLayout(w, d.clone(w), new(source), codes)
}

// newLayout keeps what it is given.
func newLayout(w *patience.Work, d *Data, src *source, codes []*dwv.Code) (*Layout, error) {
	for _, code := range codes {
		if code == nil {
			return nil, fmt.Errorf("layout: %w: a code is nil", tables.ErrQuery)
		}
	}
	d.fill(w)
	t, err := d.index(w, src, codes)
	w.Goes(d.count(), d.count(), "points") // places of faults are not looked for once it stops
	if err := cmp.Or(w.Err(), err); err != nil {
		return nil, err
	}
	return &Layout{data: d, tree: t}, nil
}

// made tells whether there is a layout at all.
func (l *Layout) made() error {
	if l == nil || l.data == nil {
		return fmt.Errorf("layout: %w: New or Parse makes one", ErrMissing)
	}
	return nil
}

// there returns l, or an empty layout for one that nobody made.
func (l *Layout) there() *Layout {
	if l.made() != nil {
		return &Layout{data: new(Data), tree: new(tree)}
	}
	return l
}

// Data returns a copy of all the layout says, to edit and to give to [New] again.
func (l *Layout) Data() Data { return *l.there().data.clone(nil) }

// Len returns how many points there are, in all systems together.
func (l *Layout) Len() int { return len(l.there().tree.points) }

// Find returns the place of the point of that id, as [Layout.Point] and [Sizing.At]
// count: through the systems in their order.
func (l *Layout) Find(id string) (i int, ok bool) { return l.there().tree.find(id) }

// Point returns a copy of the i-th point, from 0 to Len()-1.
func (l *Layout) Point(i int) Point {
	if l.Len() == 0 {
		return Point{} // nobody made it
	}
	p := *l.tree.points[i]
	p.own()
	return p
}

// find returns the place of a point among the points.
func (t *tree) find(id string) (i int, ok bool) {
	k, ok := t.index[id]
	if !ok || int(k) < t.outlets {
		return 0, false
	}
	return int(k) - t.outlets, true
}

// MarshalJSON writes the layout as [Parse] reads it; the zero Layout is null.
func (l Layout) MarshalJSON() ([]byte, error) {
	if l.data == nil || !l.tree.tops {
		return json.Marshal(l.data)
	}
	d := l.Data()
	for i := range d.Systems {
		for p := range d.Systems[i].Points {
			if run := &d.Systems[i].Points[p].Run; run.Top != nil {
				run.Length = 0
			}
		}
	}
	return json.Marshal(d)
}

// UnmarshalJSON reads a layout as [Parse] does.
func (l *Layout) UnmarshalJSON(data []byte) error {
	m, err := Parse("", data)
	if err != nil {
		return err
	}
	*l = *m
	return nil
}

// index checks the layout and lays an index over its points.
func (l *Data) index(w *patience.Work, src *source, codes []*dwv.Code) (*tree, error) {
	c := &checker{Work: w, src: src, faults: new(faults.List), codes: codes}
	if src.doc != nil {
		c.faults = &src.doc.Faults
	}
	return l.checked(c)
}

// checked checks the data and makes their index.
func (l *Data) checked(c *checker) (*tree, error) {
	c.layout(l)
	c.apart(l)
	c.words(l)
	t := plant(l, c)
	if c.Err() != nil { // what was indexed is not whole
		return nil, c.Err()
	}
	t.vents.plant(l, t, c)
	if t.tops && c.faults.Len() == 0 {
		c.raise(l, t)
	}
	c.footings(l, t)
	return faults.Result(t, c.faults.Err())
}

// raise makes the risers that say where their tops stand as long as that takes.
func (c *checker) raise(l *Data, t *tree) {
	t.rises = c.rises
	g := grader{layout: l, tree: t}
	lower, upper, higher := make([]units.Length, t.len()), make([]units.Length, t.len()), make([]units.Length, t.len())
	for sys := range int32(t.outlets) {
		lo, _ := t.span(sys)
		if err := g.inverts(sys, c.rises, lower, upper); err != nil {
			c.faults.Add(units.Fault{Item: c.ofSystem(int(sys), &l.Systems[sys]).String(), Err: err})
			return
		}
		for _, i := range slices.Backward(t.of(sys)) {
			higher[i] = higher[t.parent[i]]
			run := &t.point(i).Run
			if run.Top == nil {
				continue
			}
			foot := lower[i] + higher[i] - l.FinishedFloor
			if run.Length = *run.Top - foot; run.Length <= 0 {
				c.fault(c.ofPoint(int(sys), int(i-lo), t.point(i)), "run.top",
					because(units.ErrRange, "%v above the floor is no higher than the foot of the riser, at %v%s", *run.Top, foot,
						tooHigh(foot)))
			}
			higher[i] += run.Length
		}
	}
}

// tooHigh says where to look if the drain comes out above the floor of what stands on it: what
// lies there by a storey and more was hardly drawn so.
func tooHigh(foot units.Length) string {
	if foot < 5*units.Metre {
		return ""
	}
	return "; look at the elevations of floor and outlet and the lengths between: one may be in another unit"
}

// clone copies a layout with all it points to.
func (l *Data) clone(w *patience.Work) *Data {
	c := *l
	c.Ground = clone.Of(l.Ground)
	c.UpstreamManhole = clone.Of(l.UpstreamManhole)
	c.Walls, c.Obstacles = slices.Clone(l.Walls), slices.Clone(l.Obstacles)
	if c.European = clone.Of(l.European); c.European != nil {
		c.European.As = slices.Clone(l.European.As)
	}
	c.Amendments = slices.Clone(l.Amendments)
	c.Defaults, c.SkipSizes = clone.Of(l.Defaults), slices.Clone(l.SkipSizes)
	c.Footings = slices.Clone(l.Footings)
	c.Systems = slices.Clone(l.Systems)
	done, points := 0, l.count()
	for s := range w.Each(len(c.Systems), "systems copied") {
		sys := &c.Systems[s]
		sys.Outlet.At = clone.Of(sys.Outlet.At)
		if sys.Outlet.Sump = clone.Of(sys.Outlet.Sump); sys.Outlet.Sump != nil {
			sys.Outlet.Sump.HighWater = clone.Of(sys.Outlet.Sump.HighWater)
		}
		sys.Defaults = clone.Of(sys.Defaults)
		sys.Admits, sys.Refuses = slices.Clone(sys.Admits), slices.Clone(sys.Refuses)
		sys.Points = slices.Clone(sys.Points)
		for p := range sys.Points {
			if !w.GoesBetween(done, points, "points copied") {
				return &c
			}
			sys.Points[p].own()
			done++
		}
	}
	c.Vents = slices.Clone(l.Vents)
	for v := range w.Each(len(c.Vents), "vents copied") {
		c.Vents[v].Terminal = clone.Of(c.Vents[v].Terminal)
		if at := clone.Of(c.Vents[v].At); at != nil {
			at.Station = clone.Of(at.Station)
			c.Vents[v].At = at
		}
		c.Vents[v].Valve = clone.Of(c.Vents[v].Valve)
		c.Vents[v].Runs = slices.Clone(c.Vents[v].Runs)
		for r := range c.Vents[v].Runs {
			c.Vents[v].Runs[r].End = clone.Of(c.Vents[v].Runs[r].End)
		}
	}
	return &c
}

// count is how many points there are.
func (l *Data) count() (points int) {
	for s := range l.Systems {
		points += len(l.Systems[s].Points)
	}
	return points
}

// over lays d over the defaults of a layout.
func (d *Defaults) over(all Defaults) Defaults {
	if d == nil {
		return all
	}
	if !d.Grade.IsLevel() {
		all.Grade = d.Grade
	}
	all.Material = cmp.Or(d.Material, all.Material)
	all.Join, all.Use = cmp.Or(d.Join, all.Join), cmp.Or(d.Use, all.Use)
	all.OnPlan = all.OnPlan || d.OnPlan
	return all
}

// fill gives to runs, fixtures, outlets and vents what the defaults say for them.
func (l *Data) fill(w *patience.Work) {
	all := l.Defaults.over(Defaults{})
	var at map[string]*Position
	done, points := 0, l.count()
	for s := range w.Each(len(l.Systems), "systems filled in") {
		sys := &l.Systems[s]
		d := sys.Defaults.over(all)
		if d.OnPlan && at == nil {
			at = l.positions()
		}
		sys.Outlet.Material = cmp.Or(sys.Outlet.Material, d.Material)
		for p := range sys.Points {
			if !w.GoesBetween(done, points, "points filled in") {
				return
			}
			done++
			pt := &sys.Points[p]
			run := &pt.Run
			run.Material = cmp.Or(run.Material, d.Material)
			if f := pt.Fixture; f != nil {
				f.Use = cmp.Or(f.Use, d.Use)
			}
			if r := pt.Receptor; r != nil {
				for i := range r.Indirect {
					r.Indirect[i].Use = cmp.Or(r.Indirect[i].Use, d.Use)
				}
			}
			if run.Vertical {
				continue
			}
			run.Join = cmp.Or(run.Join, d.Join)
			if run.Grade.IsLevel() {
				run.Grade = d.Grade
			}
			if to := at[pt.To]; d.OnPlan {
				run.onPlan(pt.At, to)
			}
		}
	}
	for v := range l.Vents {
		l.Vents[v].Material = cmp.Or(l.Vents[v].Material, all.Material)
	}
}

// onPlan takes what a flat run without bends does not say of its way from where its ends
// lie, if both are known and apart.
func (r *Run) onPlan(from, to *Position) {
	if len(r.Fittings) > 0 || from == nil || to == nil || *from == *to {
		return
	}
	if r.Length == 0 {
		r.Length = lengthOnPlan(*from, *to, r.Grade.Float())
	}
	if r.Bearing.IsZero() {
		r.Bearing = plan.BearingOf(*from, *to)
	}
}

// own makes copies of what a point shares with the one it was copied from.
func (p *Point) own() {
	p.Run.Fittings, p.Run.Top = slices.Clone(p.Run.Fittings), clone.Of(p.Run.Top)
	p.Fixture, p.Trap, p.Cleanout = clone.Of(p.Fixture), clone.Of(p.Trap), clone.Of(p.Cleanout)
	p.Interceptor, p.At = clone.Of(p.Interceptor), clone.Of(p.At)
	if p.Receptor = clone.Of(p.Receptor); p.Receptor != nil {
		p.Receptor.Indirect = slices.Clone(p.Receptor.Indirect)
	}
}

// layoutLimits bound a layout file. A point takes about 150 bytes and 20 values.
var layoutLimits = strictjson.Limits{Bytes: 1 << 30, Depth: 16, Values: 100_000_000}

// Parse reads a layout from JSON and builds it; name stands for the text
// in messages, as a file name does. All faults are reported together, each
// with line, column, point and field, and then there is no layout. If codes are
// given, the words for fixtures must be known to them, as [New] says. A text of over 1 GB, or of over
// 100 million values, is refused, and so is a value of over 1 MB. A million points, some 150 MB, take seconds: who
// may not wait so long calls [ParseContext], or bounds the text that it takes.
//
// A flat run without bends whose two ends have plan coordinates may have the length "plan":
// as they lie. A length that is not there at all is a fault, for it may be forgotten.
//
// See [Data] and the types it is made of for the fields. Quantities are texts
// with a unit; a field that is not known, or given twice, is a fault.
//
//	{"finished_floor": "100 ft", "defaults": {"grade": "1/4 in/ft", "use": "private"},
//	 "systems": [{"id": "soil", "kind": "soil",
//	   "outlet": {"id": "street", "kind": "sewer", "invert": "97 ft"},
//	   "points": [{"id": "sink", "to": "street", "run": {"length": "10 ft"},
//	     "fixture": {"fixture": "kitchen-sink"}, "trap": {"arm": "3 ft"}}]}],
//	 "vents": [{"id": "V1", "kind": "individual", "from": "sink", "terminal": {"above_roof": "12 in"},
//	   "runs": [{"length": "15 ft", "direction": "up"}]}]}
func Parse(name string, data []byte, codes ...*dwv.Code) (*Layout, error) {
	return ParseContext(context.Background(), name, data, codes...)
}

// ParseContext is [Parse] that stops once the context is done, with its error and how far it was.
func ParseContext(ctx context.Context, name string, data []byte, codes ...*dwv.Code) (*Layout, error) {
	w := patience.NewWork(ctx, "layout")
	d, src, err := decode(ctx, w, name, data)
	if err != nil {
		return nil, err
	}
	return newLayout(w, d, src, codes)
}

// UnmarshalJSON reads the data of a layout strictly: every field must be known and every
// quantity right. What lies across fields is left to [New].
func (l *Data) UnmarshalJSON(data []byte) error {
	d, _, err := decode(context.Background(), nil, "", data)
	if err != nil {
		return err
	}
	*l = *d
	return nil
}

// decode reads the data of a layout, with where each part stands in the text.
func decode(ctx context.Context, w *patience.Work, name string, data []byte) (*Data, *source, error) {
	d, limits := new(Data), layoutLimits
	limits.Context = ctx
	doc, err := strictjson.Decode(name, "layout", data, d, limits)
	if err != nil {
		return nil, nil, err
	}
	src := sourceOf(w, doc, d)
	src.measure(w, d)
	return d, src, nil
}

// byPlan stands for the length of a run that its ends on plan give; the tag of
// [Run.Length] names it.
const byPlan = "plan"

// measure gives a length to the runs that leave it to the coordinates of their ends.
func (s *source) measure(w *patience.Work, l *Data) {
	var at map[string]*Position
	done, points := 0, l.count()
	for sys := range w.Each(len(s.points), "systems measured") {
		for p := range l.Systems[sys].Points {
			if !w.GoesBetween(done, points, "points measured") {
				return
			}
			done++
			pt := &l.Systems[sys].Points[p]
			run := &pt.Run
			if run.Length != 0 {
				continue
			}
			length, stated := s.doc.Member(s.points[sys][p], "run.length")
			if !stated || s.doc.Text(length) != byPlan {
				continue
			}
			if at == nil {
				at = l.positions()
			}
			to := at[pt.To]
			if run.Vertical || len(run.Fittings) > 0 || pt.At == nil || to == nil || *pt.At == *to {
				continue // build says that the length is missing, and what "plan" needs
			}
			run.Length = lengthOnPlan(*pt.At, *to, run.Grade.Float())
		}
	}
}
