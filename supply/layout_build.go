package supply

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/clone"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// MaxPoints is the greatest number of points of a layout: two million.
const MaxPoints = 2_000_000

// maxLength bounds lengths of a layout, so that sums along any tree stay exact.
const maxLength = 4000 * units.Metre

// faulter records what is wrong with an item of the layout: by index, where the
// layout knows its place in a file.
type faulter func(list string, i int, item, field string, err error)

// of returns what records the faults of one item, each worded as by Errorf; all are
// [tables.ErrQuery].
func (fault faulter) of(list string, i int, item string) func(field, format string, args ...any) {
	return func(field, format string, args ...any) {
		fault(list, i, item, field, fmt.Errorf("%w: "+format, append([]any{tables.ErrQuery}, args...)...))
	}
}

// New checks a layout and prepares it for use. All faults come back together
// in one error. What it is given is copied: a change to it later changes no answer. If
// codes are given, the pipes must be known to each of them, and the kinds of fixtures to
// it or to another code on its shelf.
func New(data Data, codes ...*Code) (*Layout, error) {
	return NewContext(context.Background(), data, codes...)
}

// NewContext is [New] that stops once the context is done, with its error and how far it was.
func NewContext(ctx context.Context, data Data, codes ...*Code) (*Layout, error) {
	var list faults.List
	w := patience.NewWork(ctx, "layout")
	l := &Layout{data: data.clone(w)}
	if err := l.buildFor(w, codes, func(_ string, _ int, item, field string, err error) {
		list.Add(units.Fault{Item: item, Field: field, Err: err})
	}); err != nil {
		return nil, err
	}
	return faults.Result(l, list.Err())
}

// clone copies the data with all that it points to.
func (d Data) clone(w *patience.Work) Data {
	d.Stock = slices.Clone(d.Stock)
	for i := range d.Stock {
		s := &d.Stock[i]
		s.Sizes, s.Walls = slices.Clone(s.Sizes), slices.Clone(s.Walls)
	}
	d.Points = slices.Clone(d.Points)
	for i := range w.Each(len(d.Points), "points copied") {
		d.Points[i].own()
	}
	d.Fixtures, d.Sleeves, d.Recirculation = slices.Clone(d.Fixtures), slices.Clone(d.Sleeves),
		slices.Clone(d.Recirculation)
	d.Links = slices.Clone(d.Links)
	for i := range w.Each(len(d.Links), "links copied") {
		d.Links[i].Fittings = slices.Clone(d.Links[i].Fittings)
	}
	d.Test = clone.Of(d.Test)
	if d.Defaults = clone.Of(d.Defaults); d.Defaults != nil {
		d.Defaults.Insulation = clone.Of(d.Defaults.Insulation)
	}
	d.Source.At, d.Source.Elevation = clone.Of(d.Source.At), clone.Of(d.Source.Elevation)
	return d
}

// own makes copies of what a point shares with the one it was copied from.
func (p *Point) own() {
	p.Fittings, p.Insulation = slices.Clone(p.Fittings), clone.Of(p.Insulation)
	p.Beside, p.Device = clone.Of(p.Beside), clone.Of(p.Device)
	p.At, p.Elevation = clone.Of(p.At), clone.Of(p.Elevation)
	if p.Device != nil {
		p.Device.Curve, p.Device.Holds = slices.Clone(p.Device.Curve), slices.Clone(p.Device.Holds)
	}
}

// buildFor prepares the layout and checks that the codes know what it names.
func (l *Layout) buildFor(w *patience.Work, codes []*Code, fault faulter) error {
	for _, code := range codes {
		if code == nil {
			return fmt.Errorf("layout: %w: a code is nil", tables.ErrQuery)
		}
	}
	l.build(w, fault)
	for _, code := range codes {
		l.checkPipes(w, code, fault)
		l.checkFixtures(w, code, fault)
		l.checkDevices(w, code, fault)
	}
	w.Goes(l.Len(), l.Len(), "points") // places of faults are not looked for once it stops
	return w.Err()
}

// checkFixtures refuses kinds of fixtures that neither a code nor another one on its shelf
// knows. What another one knows is a gap of this one, and left to the check; so is what
// brings its own flow or load.
func (l *Layout) checkFixtures(w *patience.Work, code *Code, fault faulter) {
	refused := map[string]error{}
	for i := range w.Each(len(l.data.Fixtures), "fixtures known to the code") {
		f := &l.data.Fixtures[i]
		kind, field := f.Kind, "fixture"
		if f.LoadAs != "" {
			kind, field = f.LoadAs, "load_as"
		}
		if kind == "" || f.Flow > 0 || f.Load != "" {
			continue
		}
		err, asked := refused[kind]
		if !asked {
			if !code.knows(kind) {
				err = code.unlisted(kind, code.lists()...)
				if f.LoadAs == "" {
					err = fmt.Errorf("%w; a fixture that no code lists states its flow, its load, or load_as", err)
				}
			}
			refused[kind] = err
		}
		if err != nil {
			fault("fixtures", i, "fixture "+visible.Quote(f.ID), field, err)
		}
	}
}

// checkDevices refuses kinds of devices that are not known.
func (l *Layout) checkDevices(w *patience.Work, code *Code, fault faulter) {
	for i := range w.Each(len(l.data.Points), "devices known to the code") {
		p := &l.data.Points[i]
		if p.Device == nil || p.Device.Kind == "" {
			continue
		}
		if err := code.knowsDevice(p.Device.Kind); err != nil {
			fault("points", i, pointItem(p.ID), "device", err)
		}
	}
}

func (l *Layout) build(w *patience.Work, fault faulter) {
	d := &l.data
	l.checkSource(fault)
	l.checkIDs(w, fault)
	stocked := make(map[string]bool, len(d.Stock))
	for i, s := range d.Stock {
		bad := fault.of("stock", i, fmt.Sprintf("stock[%d]", i))
		if s.Pipe == "" {
			bad("pipe", "names no pipe")
		}
		if stocked[s.Pipe] {
			bad("pipe", "%q is listed twice", visible.Shorten(s.Pipe))
		}
		stocked[s.Pipe] = true
		if len(s.Sizes) == 0 {
			bad("sizes", "there are none")
		}
		if n := len(s.Walls); n > 0 && n != len(s.Sizes) {
			bad("walls", "%d walls for %d sizes", n, len(s.Sizes))
		}
	}
	switch bad := fault.of("", 0, ""); {
	case len(d.Points) == 0:
		bad("points", "there are none")
		return
	case len(d.Points) > MaxPoints:
		bad("points", "%d points are more than %d", len(d.Points), MaxPoints)
		return
	}
	good := l.connect(w, fault)
	if good {
		l.levels(fault)
	}
	for i := range w.Each(len(d.Points), "points checked") {
		l.checkPoint(i, fault)
	}
	if !good || w.Err() != nil {
		return
	}
	l.places(w, fault)
	l.carry(w, fault)
	if w.Err() != nil { // what each run carries is not known
		return
	}
	l.fill(w, fault)
	l.attach(w, fault)
	l.checkSleeves(w, fault)
	l.checkLoops(w, fault)
	l.checkLinks(w, fault)
	if w.Err() != nil { // the ends of links may be anything
		return
	}
	l.findRings()
	if d.Test != nil {
		d.Test.check(func(field string, err error) { fault("", 0, "test", field, err) })
	}
}

// check calls with each fault of a test.
func (t *PressureTest) check(fault func(field string, err error)) {
	if t.Medium != "water" && t.Medium != "air" {
		fault("medium", fmt.Errorf("%w: %q: choose water, air", tables.ErrQuery, visible.Shorten(t.Medium)))
	}
	if !(t.Pressure > 0 && t.Pressure <= maxPressure) {
		fault("pressure", fmt.Errorf("%w: %v", tables.ErrQuery, t.Pressure))
	} else if err := notBare(t.Pressure, leastAsked); err != nil {
		fault("pressure", err)
	}
}

// The least pressures that are not taken for a number without its unit: what a source has, an outlet or a
// test asks for, and what a device costs.
const (
	leastAsked = units.Kilopascal
	leastLoss  = 50 * units.Pascal
)

// notBare refuses a pressure that was written without its unit: 60 would be 60 pascals.
func notBare(p, least units.Pressure) error {
	if p <= 0 || p >= least {
		return nil
	}
	return fmt.Errorf("%w: %v is next to nothing: %.4g psi are %.4g*units.PoundForcePerSquareInch", tables.ErrQuery, p,
		float64(p), float64(p))
}

func (in *Insulation) check() error {
	if in.Thickness <= 0 || in.Thickness > units.Metre {
		return fmt.Errorf("%w: thickness: %v", tables.ErrQuery, in.Thickness)
	}
	if text := argument.Bare(in.Thickness); text != "" {
		return fmt.Errorf("%w: thickness: %s", tables.ErrQuery, text)
	}
	if !(in.Conductivity > 0 && in.Conductivity <= 10) {
		return fmt.Errorf("%w: conductivity: %v", tables.ErrQuery, in.Conductivity)
	}
	return nil
}

// maxUsageUnit is the greatest number of fixtures in a usage unit.
const maxUsageUnit = 100

const maxPressure = 100 * units.Megapascal

// maxAllowance bounds the share of its length that is added to a run for fittings.
const maxAllowance = 3

func (l *Layout) checkSource(fault faulter) {
	s, w := &l.data.Source, &l.data.Water
	bad := fault.of("", 0, "source")
	if s.ID == "" {
		bad("id", "no id")
	}
	if s.Pressure == 0 {
		bad("pressure", "missing")
	} else if !(s.Pressure > 0 && s.Pressure <= maxPressure) {
		bad("pressure", "%v is not above zero", s.Pressure)
	} else if err := notBare(s.Pressure, leastAsked); err != nil {
		fault("", 0, "source", "pressure", err)
	}
	if s.Static != 0 && !(s.Static >= s.Pressure && s.Static <= maxPressure) {
		bad("static", "%v is below the pressure under flow, %v", s.Static, s.Pressure)
	}
	if s.ResidualFlow != 0 && !(s.ResidualFlow > 0 && s.ResidualFlow <= 10) {
		bad("residual_flow", "%v is outside 0 to 10 m3/s", s.ResidualFlow)
	} else if s.ResidualFlow > 0 && s.Static == 0 {
		bad("residual_flow", "the pressure at a flow says how the street falls off only beside the static pressure")
	}
	if x := l.data.FittingsAllowance; !(x >= 0 && x <= maxAllowance) {
		fault.of("", 0, "")("fittings_allowance", "%g is a share of the length from 0 to %d, such as 0.5", x, maxAllowance)
	}
	bad = fault.of("", 0, "water")
	if w.Cold == 0 {
		bad("cold", "missing: the temperature of the cold water, such as 50 degF")
	} else if !ofWater(w.Cold) {
		bad("cold", "%v is outside 0 to 100 degC", w.Cold)
	}
	if w.Hot != 0 && !ofWater(w.Hot) {
		bad("hot", "%v is outside 0 to 100 degC", w.Hot)
	}
	if w.Hot != 0 && w.Hot <= w.Cold {
		bad("hot", "%v is no warmer than the cold water, %v", w.Hot, w.Cold)
	}
	if a := w.Ambient; a != 0 && !(roundTo(a.Celsius()) >= -60 && roundTo(a.Celsius()) <= 100) {
		bad("ambient", "%v is outside -60 to 100 degC", a)
	}
}

// ofWater reports whether a temperature is one of liquid water.
func ofWater(t units.Temperature) bool { c := roundTo(t.Celsius()); return c >= 0 && c <= 100 }

func pointItem(id string) string { return fmt.Sprintf("point %q", visible.Shorten(id)) }

// connect finds the parent of each point and an order in which each comes after
// its parent. It reports whether the points form one tree.
func (l *Layout) connect(w *patience.Work, fault faulter) bool {
	points := l.data.Points
	n := len(points)
	l.index = make(map[string]int32, n)
	good := true
	for i := range w.Each(n, "points named") {
		p := &points[i]
		switch _, twice := l.index[p.ID]; {
		case p.ID == "":
			fault.of("points", i, fmt.Sprintf("points[%d]", i))("id", "no id")
			good = false
		case twice, p.ID == l.data.Source.ID:
			fault.of("points", i, pointItem(p.ID))("id", "the id is given twice")
			good = false
		default:
			l.index[p.ID] = int32(i)
		}
	}
	l.parent = make([]int32, n)
	l.kids = make([]int32, n)
	same := visible.SameID(maps.Keys(l.index))
	for i := range w.Each(n, "points joined") {
		p := &points[i]
		l.parent[i] = -1
		if p.From == l.data.Source.ID && p.From != "" {
			continue
		}
		j, ok := l.index[p.From]
		if !ok {
			if bad := fault.of("points", i, pointItem(p.ID)); p.From == "" {
				bad("from", "names no point that feeds it")
			} else {
				bad("from", "no point or source %q%s", visible.Shorten(p.From), same(p.From))
			}
			good = false
			continue
		}
		l.parent[i] = j
		l.kids[j]++
	}
	if !good || w.Err() != nil {
		return false
	}
	l.order = forest.RootsFirst(l.parent)
	if len(l.order) < n {
		for _, i := range slices.Sorted(slices.Values(slices.Concat(forest.Cycles(l.parent)...))) {
			fault.of("points", int(i), pointItem(points[i].ID))("from", "feeds itself through %q",
				visible.Shorten(points[i].From))
		}
		return false
	}
	return true
}

// riseOf is how far a point is above the one that feeds it.
func (l *Layout) riseOf(i int) units.Length {
	if l.rise == nil {
		return l.data.Points[i].Rise
	}
	return l.rise[i]
}

// levelTolerance is how far a rise may be from what elevations say.
const levelTolerance = units.Inch / 8

// levels works out rises and elevations where the layout states any elevation. A rise that is
// not stated follows from them.
func (l *Layout) levels(fault faulter) {
	d := &l.data
	datum := d.Source.Elevation
	n, first := len(d.Points), 0
	for first < n && d.Points[first].Elevation == nil {
		first++
	}
	if datum == nil && first == n {
		return
	}
	l.rise, l.level = make([]units.Length, n), make([]units.Length, n)
	if datum == nil { // from the first point that has one, by the rises on the way
		at := *d.Points[first].Elevation
		for i := int32(first); i >= 0; i = l.parent[i] {
			at -= d.Points[i].Rise
		}
		datum = &at
	}
	l.sourceAt = *datum
	for _, i := range l.order {
		p := &d.Points[i]
		below := l.sourceAt
		if up := l.parent[i]; up >= 0 {
			below = l.level[up]
		}
		l.rise[i] = p.Rise
		if p.Elevation != nil {
			rise := *p.Elevation - below
			if off := rise - p.Rise; p.Rise != 0 && max(off, -off) > levelTolerance {
				fault.of("points", int(i), pointItem(p.ID))("rise", "%v, and the elevations of its ends make it %v",
					p.Rise, rise)
			}
			l.rise[i] = rise
		}
		l.level[i] = below + l.rise[i]
	}
}

// places works out where points stand on plan: by their coordinates, or by the bearing and
// the length of their run from a point that has a place. A run is no shorter than the
// straight way between its ends.
func (l *Layout) places(w *patience.Work, fault faulter) {
	d := &l.data
	stated := d.Source.At != nil
	for i := range d.Points {
		stated = stated || d.Points[i].At != nil
	}
	if !stated {
		return
	}
	l.place = make([]*Position, len(d.Points))
	for k := range w.Each(len(l.order), "points placed") {
		i := l.order[k]
		p := &d.Points[i]
		from := d.Source.At
		if up := l.parent[i]; up >= 0 {
			from = l.place[up]
		}
		rise := l.riseOf(int(i))
		level := p.Length - max(rise, -rise) // what is left for the way along
		switch {
		case p.At != nil:
			l.place[i] = &Position{X: p.At.X, Y: p.At.Y}
			if from == nil {
				continue
			}
			way := math.Hypot(float64(from.To(*l.place[i])), float64(rise))
			if short := units.Length(way) - p.Length; short > placeTolerance+p.Length/100 {
				fault.of("points", int(i), pointItem(p.ID))("length", "%v is shorter than the %v between its ends", p.Length,
					units.Length(way)/placeTolerance*placeTolerance)
			}
		case from != nil && !p.Bearing.IsZero():
			to := from.Toward(p.Bearing, level)
			l.place[i] = &to
		case from != nil && level == 0:
			l.place[i] = from
		}
	}
}

// placeTolerance is what coordinates may be off by, beside a hundredth of the length.
const placeTolerance = units.Inch / 2

// Place returns where point i stands on plan, by its coordinates or by the bearings on the
// way to it; false if that is not known.
func (l *Layout) Place(i int) (Position, bool) {
	if l == nil || l.place == nil || l.place[i] == nil {
		return Position{}, false
	}
	return *l.place[i], true
}

// Rise returns how far point i is above the one that feeds it, as stated or by elevations;
// false if the layout states no elevation.
func (l *Layout) Rise(i int) (units.Length, bool) {
	if l == nil || l.level == nil {
		return 0, false
	}
	return l.rise[i], true
}

// Level returns the elevation of point i over the datum of the layout; false if the layout
// states no elevation.
func (l *Layout) Level(i int) (units.Length, bool) {
	if l == nil || l.level == nil {
		return 0, false
	}
	return l.level[i], true
}

// checkIDs refuses ids that are there and cannot be ids.
func (l *Layout) checkIDs(w *patience.Work, fault faulter) {
	d := &l.data
	check := func(list string, i int, what, id string) {
		if err := visible.ID(id); err != nil {
			fault.of(list, i, what+" "+visible.Quote(id))("id", "%w", err)
		}
	}
	if err := visible.ID(d.Source.ID); err != nil {
		fault.of("", 0, "source")("id", "%w", err)
	}
	for i := range w.Each(len(d.Points), "ids of points read") {
		check("points", i, "point", d.Points[i].ID)
	}
	for i := range w.Each(len(d.Fixtures), "ids of fixtures read") {
		check("fixtures", i, "fixture", d.Fixtures[i].ID)
	}
	for i := range w.Each(len(d.Sleeves), "ids of sleeves read") {
		check("sleeves", i, "sleeve", d.Sleeves[i].ID)
	}
	for i := range w.Each(len(d.Recirculation), "ids of returns read") {
		check("recirculation", i, "recirculation", d.Recirculation[i].ID)
	}
	for i := range w.Each(len(d.Links), "ids of links read") {
		check("links", i, "link", d.Links[i].ID)
	}
}

func (l *Layout) checkPoint(i int, fault faulter) {
	p := &l.data.Points[i]
	bad := func(field string, format string, args ...any) {
		fault.of("points", i, pointItem(p.ID))(field, format, args...) // the item is worded only for a fault
	}
	checkPipe(p.Length, p.Size, p.Fittings, bad)
	if text := argument.Bare(p.Rise); text != "" {
		bad("rise", "%s", text)
	}
	if rise := l.riseOf(i); p.Length >= 0 && (rise > p.Length || rise < -p.Length) {
		bad("rise", "%v is more than the length of the run, %v", rise, p.Length)
	}
	if !(p.Needs >= 0 && p.Needs <= maxPressure) {
		bad("needs", "%v", p.Needs)
	} else if p.Needs > 0 && p.Continuous == 0 {
		bad("needs", "nothing is drawn here without end: the pressure that a fixture asks is its own")
	}
	if !(p.Continuous >= 0 && p.Continuous <= 10) {
		bad("continuous", "%v", p.Continuous)
	}
	if in := p.Insulation; in != nil {
		if err := in.check(); err != nil {
			fault("points", i, pointItem(p.ID), "insulation", err)
		}
	}
	if at := p.At; at != nil && (!at.X.Valid() || !at.Y.Valid() || !at.Below.Valid()) {
		bad("at", "a coordinate must lie within ±1000 km")
	}
	if s := p.Beside; s != nil && s.Clear < 0 {
		bad("beside_drain", "clear: %v is negative", s.Clear)
	}
	if s := p.Beside; s != nil && s.Listed && s.NotListed {
		bad("beside_drain", "listed: says both that the drain is approved and that it is not")
	}
	if d := p.Device; d != nil {
		for _, err := range d.check() {
			bad("device", "%w", err)
		}
	}
}

// checkPipe refuses lengths, sizes and fittings that no run, link or sleeve can have.
func checkPipe(length, size units.Length, fittings []FittingItem, bad func(field, format string, args ...any)) {
	if text := argument.Bare(length); text != "" {
		bad("length", "%s", text)
	}
	if length < 0 {
		bad("length", "%v is negative", length)
	} else if length > maxLength {
		bad("length", "%v is more than %v", length, maxLength)
	}
	if text := argument.Bare(size); text != "" {
		bad("size", "%s", text)
	}
	if size < 0 || size > 2*units.Metre {
		bad("size", "%v", size)
	}
	for k := range fittings {
		if err := fittings[k].check(); err != nil {
			bad(fmt.Sprintf("fittings[%d]", k), "%w", err)
		}
	}
}

// checkPipes refuses pipes that a code does not know by that name.
func (l *Layout) checkPipes(w *patience.Work, code *Code, fault faulter) {
	d := &l.data
	known := map[string]error{"": nil}
	check := func(list string, i int, item, field, name string) {
		err, asked := known[name]
		if !asked {
			_, err = code.Pipe(name)
			known[name] = err
		}
		if err != nil {
			fault(list, i, item, field, err)
		}
	}
	check("", 0, "pipe", "cold", d.Pipe.Cold)
	check("", 0, "pipe", "hot", d.Pipe.Hot)
	check("", 0, "pipe", "recirc", d.Pipe.Recirc)
	for i := range d.Stock {
		check("stock", i, fmt.Sprintf("stock[%d]", i), "pipe", d.Stock[i].Pipe)
	}
	for i := range w.Each(len(d.Points), "pipes known to the code") {
		p := &d.Points[i]
		if p.Pipe != "" {
			check("points", i, pointItem(p.ID), "pipe", p.Pipe)
		}
		if p.Size <= 0 || i >= len(l.service) {
			continue
		}
		if f, err := code.Pipe(l.pipeOf(i)); err == nil && f.size(p.Size) < 0 {
			fault("points", i, pointItem(p.ID), "size", f.noSize(p.Size))
		}
	}
	for i := range d.Links {
		if name := d.Links[i].Pipe; name != "" {
			check("links", i, "link "+visible.Quote(d.Links[i].ID), "pipe", name)
		}
	}
}

func (f *FittingItem) check() error {
	switch {
	case f.Fitting == "":
		return fmt.Errorf("no fitting named")
	case f.Count < 1 || f.Count > 10_000:
		return fmt.Errorf("%s: count: %d is outside 1 to 10000", f.Fitting, f.Count)
	case f.Length < 0 || f.Length > maxLength:
		return fmt.Errorf("%s: length: %v", f.Fitting, f.Length)
	case !(f.K >= 0 && f.K <= 1e6):
		return fmt.Errorf("%s: k: %v", f.Fitting, f.K)
	case f.Length > 0 && f.K > 0:
		return fmt.Errorf("%s: states both a length and a k", f.Fitting)
	}
	return argument.CheckBare("length", f.Length)
}

func (d *Device) check() (errs []error) {
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if d.Kind == "" {
		bad("no kind")
	}
	good := func(p units.Pressure) bool { return p >= 0 && p <= maxPressure }
	if !good(d.Loss) {
		bad("loss: %v", d.Loss)
	} else if err := notBare(d.Loss, leastLoss); err != nil {
		bad("loss: %w", err)
	}
	if d.Size < 0 {
		bad("size: %v is negative", d.Size)
	}
	if d.Loss != 0 && d.NoLoss {
		bad("states both no loss and one of %v", d.Loss)
	}
	if (d.Loss > 0 || d.NoLoss) && len(d.Curve) > 0 {
		bad("states both a loss and a curve")
	}
	for i, c := range d.Curve {
		if !(c.Flow >= 0 && c.Flow <= 10) || !good(c.Loss) {
			bad("curve[%d]: %v, %v", i, c.Flow, c.Loss)
		}
		if i > 0 && !(c.Flow > d.Curve[i-1].Flow && c.Loss >= d.Curve[i-1].Loss) {
			bad("curve[%d]: flow must rise and loss must not fall", i)
		}
	}
	if len(d.Curve) == 1 {
		bad("curve: one point is no curve")
	}
	switch {
	case d.regulator():
		if !(d.Set > 0 && d.Set <= maxPressure) {
			bad("set: a regulator states the pressure it is set to")
		}
		if d.Set > 0 && !(d.FallOff >= 0 && d.FallOff < d.Set) {
			bad("fall_off: %v is outside 0 to the set pressure %v", d.FallOff, d.Set)
		}
		d.checkHolds(bad)
	case d.booster():
		if !(d.Set > 0 && d.Set <= maxPressure) {
			bad("set: a booster states the pressure at which it starts")
		}
		if d.CutOut != 0 && !(d.CutOut >= d.Set && d.CutOut <= maxPressure) {
			bad("cut_out: %v is below the pressure at which it starts, %v", d.CutOut, d.Set)
		}
	}
	if d.Volume != 0 && !(d.Volume > 0 && d.Volume <= 100) { // cubic metres
		bad("volume: %v is outside 0 to 100 m3", d.Volume)
	}
	if d.Temperature != 0 && !ofWater(d.Temperature) {
		bad("temperature: %v is outside 0 to 100 degC", d.Temperature)
	}
	for _, x := range [...]struct {
		field string
		given bool
		of    string // the kinds of device that have it
	}{
		{"set", d.Set != 0, "regulator or booster"}, {"fall_off", d.FallOff != 0, "regulator"},
		{"holds", len(d.Holds) > 0, "regulator"}, {"cut_out", d.CutOut != 0, "booster"},
		{"volume", d.Volume != 0, "storage-heater or expansion-tank"}, {"temperature", d.Temperature != 0, "mixing-valve"},
	} {
		if x.given && !slices.Contains(strings.Split(x.of, " or "), d.Kind) {
			bad("%s is of a %s, not of a %s", x.field, x.of, d.Kind)
		}
	}
	return errs
}

// checkHolds refuses what can be no chart of a regulator.
func (d *Device) checkHolds(bad func(string, ...any)) {
	if len(d.Holds) > 0 && d.FallOff > 0 {
		bad("states both a fall_off and a chart (holds)")
	}
	if len(d.Holds) == 1 {
		bad("holds: one point is no chart")
	}
	flow, pressure := units.Flow(-1), d.Set
	for i, h := range d.Holds {
		switch {
		case !(h.Flow >= 0 && h.Flow <= 10) || !(h.Pressure > 0 && h.Pressure <= maxPressure):
			bad("holds[%d]: %v, %v", i, h.Flow, h.Pressure)
		case h.Flow == 0 && h.Pressure != d.Set:
			bad("holds[%d]: %v at no flow, and it is set to %v", i, h.Pressure, d.Set)
		case !(h.Flow > flow && h.Pressure <= pressure):
			bad("holds[%d]: flow must rise, and pressure must not, from the %v it is set to", i, d.Set)
		}
		flow, pressure = h.Flow, h.Pressure
	}
}

// carry says what each run carries.
func (l *Layout) carry(w *patience.Work, fault faulter) {
	n := len(l.data.Points)
	l.service = make([]Service, n)
	l.heaterOf = make([]int32, n)
	needHot := false
	for k := range w.Each(n, "points told hot from cold") {
		i := l.order[k]
		p := &l.data.Points[i]
		from, heater := Cold, int32(-1)
		if up := l.parent[i]; up >= 0 {
			from, heater = l.service[up], l.heaterOf[up]
			if l.data.Points[up].Device.heater() {
				from, heater = Hot, up
			}
		}
		s := from
		if p.Line != "" {
			if err := s.UnmarshalText([]byte(p.Line)); err != nil {
				fault("points", int(i), pointItem(p.ID), "line", err)
			} else if s != from && !(s == Recirculated && from == Hot) {
				fault.of("points", int(i), pointItem(p.ID))("line", "%v, but the water that reaches it is %v: a line is cold "+
					"up to a heater, and hot below it", s, from)
			}
		}
		if p.Device.heater() && s == Recirculated {
			fault.of("points", int(i), pointItem(p.ID))("device", "a heater on a return")
		}
		needHot = needHot || s != Cold
		l.service[i], l.heaterOf[i] = s, heater
		if l.pipeOf(int(i)) == "" {
			fault.of("points", int(i), pointItem(p.ID))("pipe", "no pipe named here, and none for the %v lines of the layout", s)
		}
	}
	if needHot && l.data.Water.Hot == 0 {
		fault.of("", 0, "water")("hot", "there are hot lines, and no temperature for them")
	}
	l.mix()
}

// mix says by which mixing valve the water behind each point is kept cooler than the heater
// makes it.
func (l *Layout) mix() {
	if !slices.ContainsFunc(l.data.Points, func(p Point) bool { return p.Device != nil && p.Device.Temperature != 0 }) {
		return
	}
	l.mixer = make([]int32, len(l.data.Points))
	for _, i := range l.order {
		l.mixer[i] = -1
		d := l.data.Points[i].Device
		if l.service[i] == Cold || d.heater() {
			continue
		}
		if up := l.parent[i]; up >= 0 {
			l.mixer[i] = l.mixer[up]
		}
		if d != nil && d.Temperature != 0 && d.Temperature < l.waterIn(i) {
			l.mixer[i] = i
		}
	}
}

// waterIn is how warm the water in a run is.
func (l *Layout) waterIn(run int32) units.Temperature {
	if l.service[run] == Cold {
		return l.data.Water.Cold
	}
	return l.hotBehind(l.parent[run])
}

// hotBehind is how warm the hot water is that leaves a point; -1: the source.
func (l *Layout) hotBehind(point int32) units.Temperature {
	if point >= 0 && l.mixer != nil && l.mixer[point] >= 0 {
		return l.data.Points[l.mixer[point]].Device.Temperature
	}
	return l.data.Water.Hot
}

// fill gives to fixtures and runs what the defaults say for them.
func (l *Layout) fill(w *patience.Work, fault faulter) {
	d := l.data.Defaults
	if d == nil {
		d = new(Defaults)
	}
	for i := range w.Each(len(l.data.Fixtures), "fixtures filled in") {
		f := &l.data.Fixtures[i]
		f.Use = cmp.Or(f.Use, d.Use)
	}
	if in := d.Insulation; in != nil {
		if err := in.check(); err != nil {
			fault("", 0, "defaults", "insulation", err)
		}
	}
	for i := range w.Each(len(l.data.Points), "points filled in") {
		p := &l.data.Points[i]
		switch {
		case p.Traced && l.service[i] != Hot:
			fault.of("points", i, pointItem(p.ID))("traced", "the run carries %v water: a cable keeps hot lines warm",
				l.service[i])
		case p.Bare && p.Insulation != nil:
			fault.of("points", i, pointItem(p.ID))("bare", "it has insulation of its own")
		case p.Insulation == nil && !p.Bare && l.service[i] != Cold:
			p.Insulation = clone.Of(d.Insulation)
		}
		switch {
		case p.AboveSlab && p.BelowSlab:
			fault.of("points", i, pointItem(p.ID))("above_slab", "it is below the slab too")
		case !p.AboveSlab:
			p.BelowSlab = p.BelowSlab || d.BelowSlab
		}
	}
}

// attach finds the points of the fixtures' ports.
func (l *Layout) attach(w *patience.Work, fault faulter) {
	fixtures := l.data.Fixtures
	l.cold, l.hot = make([]int32, len(fixtures)), make([]int32, len(fixtures))
	seen := make(map[string]bool, len(fixtures))
	together := map[string]int{} // fixtures by usage unit
	l.firstFix = make([]int32, len(l.data.Points)+1)
	for i := range w.Each(len(fixtures), "fixtures joined") {
		f := &fixtures[i]
		bad := func(field string, err error) {
			item := fmt.Sprintf("fixture %q", visible.Shorten(f.ID))
			if f.ID == "" {
				item = fmt.Sprintf("fixtures[%d]", i)
			}
			fault("fixtures", i, item, field, err)
		}
		if f.ID == "" {
			bad("id", fmt.Errorf("%w: no id", tables.ErrQuery))
		} else if seen[f.ID] {
			bad("id", fmt.Errorf("%w: the id is given twice", tables.ErrQuery))
		}
		seen[f.ID] = true
		if wrong, ok := errors.AsType[*units.Fault](f.Fixture.Check()); ok {
			bad(wrong.Field, wrong.Err)
		}
		if !(f.Flow >= 0 && f.Flow <= 10) {
			bad("flow", fmt.Errorf("%w: %v", tables.ErrQuery, f.Flow))
		}
		if !(f.Pressure >= 0 && f.Pressure <= maxPressure) {
			bad("pressure", fmt.Errorf("%w: %v", tables.ErrQuery, f.Pressure))
		} else if err := notBare(f.Pressure, leastAsked); err != nil {
			bad("pressure", err)
		}
		if f.Load != "" {
			if _, _, err := parseLoad(f.Load); err != nil {
				bad("load", err)
			}
		}
		if u := f.UsageUnit; u != "" {
			if together[u]++; together[u] == maxUsageUnit+1 {
				bad("usage_unit", fmt.Errorf("%w: %q has more than %d fixtures; it is a room of one household",
					tables.ErrQuery, visible.Shorten(u), maxUsageUnit))
			}
		}
		if f.Cold == "" && f.Hot == "" {
			bad("cold", fmt.Errorf("%w: neither a cold nor a hot port is at a point", tables.ErrQuery))
		}
		l.cold[i] = l.port(f.Cold, "cold", Cold, bad)
		l.hot[i] = l.port(f.Hot, "hot", Hot, bad)
		for p := range l.ports(i) {
			l.firstFix[p+1]++
		}
	}
	if w.Err() != nil { // the rest has no ports yet
		return
	}
	for i := 1; i < len(l.firstFix); i++ {
		l.firstFix[i] += l.firstFix[i-1]
	}
	l.portFix = make([]int32, l.firstFix[len(l.firstFix)-1])
	next := slices.Clone(l.firstFix)
	for i := range fixtures {
		for p := range l.ports(i) {
			l.portFix[next[p]] = int32(i)
			next[p]++
		}
	}
}

func (l *Layout) port(id, field string, service Service, bad func(string, error)) int32 {
	p, ok := l.index[id]
	switch {
	case id == "":
		return -1
	case !ok:
		bad(field, fmt.Errorf("%w: no point %q", tables.ErrQuery, visible.Shorten(id)))
		return -1
	case l.service[p] != service && l.data.Points[p].Device.heater() && service == Hot:
		bad(field, fmt.Errorf("%w: point %q is a heater, whose own run is cold: name the end of a run that it feeds",
			tables.ErrQuery, visible.Shorten(id)))
		return -1
	case l.service[p] != service:
		bad(field, fmt.Errorf("%w: point %q carries %v water", tables.ErrQuery, visible.Shorten(id), l.service[p]))
		return -1
	case l.data.Points[p].Device.heater():
		bad(field, fmt.Errorf("%w: point %q is a heater", tables.ErrQuery, visible.Shorten(id)))
		return -1
	}
	return p
}

func (l *Layout) checkSleeves(w *patience.Work, fault faulter) {
	ids := make(map[string]bool, len(l.data.Sleeves))
	for i := range w.Each(len(l.data.Sleeves), "sleeves checked") {
		s := &l.data.Sleeves[i]
		bad := fault.of("sleeves", i, fmt.Sprintf("sleeve %q", visible.Shorten(s.ID)))
		if s.ID == "" || ids[s.ID] {
			bad("id", "missing, or given twice")
		}
		ids[s.ID] = true
		if s.Bore <= 0 || s.Bore > 2*units.Metre {
			bad("bore", "%v", s.Bore)
		}
		checkPipe(s.Length, 0, nil, bad)
		if s.Bends < 0 || s.Bends > 1000 {
			bad("bends", "%d is outside 0 to 1000", s.Bends)
		}
		if s.Rope < 0 || s.Rope > s.Bore {
			bad("rope", "%v", s.Rope)
		}
	}
	for i := range l.data.Points {
		if s := l.data.Points[i].Sleeve; s != "" && !ids[s] {
			fault.of("points", i, pointItem(l.data.Points[i].ID))("sleeve", "no sleeve %q", visible.Shorten(s))
		}
	}
}

func (l *Layout) checkLoops(w *patience.Work, fault faulter) {
	ids := make(map[string]bool, len(l.data.Recirculation))
	into := make([]int32, len(l.data.Recirculation))
	for i := range into {
		if into[i] = -1; w.Goes(i, len(into), "returns joined") {
			into[i] = l.returnOf(i)
		}
	}
	l.into = into
	ends := make([]bool, len(into)) // following it into others leads to a heater, and not round in a ring
	for _, i := range forest.RootsFirst(into) {
		ends[i] = true
	}
	for i := range w.Each(len(into), "returns checked") {
		r := &l.data.Recirculation[i]
		bad := func(field, format string, args ...any) {
			fault.of("recirculation", i, fmt.Sprintf("recirculation %q", visible.Shorten(r.ID)))(field, format, args...)
		}
		if r.ID == "" || ids[r.ID] {
			bad("id", "missing, or given twice")
		}
		ids[r.ID] = true
		heater, ok := l.index[r.Heater]
		if !ok || !l.data.Points[heater].Device.heater() {
			bad("heater", "point %q is no heater", visible.Shorten(r.Heater))
			continue
		}
		end, ok := l.index[r.Return]
		switch {
		case !ok:
			bad("return", "no point %q", visible.Shorten(r.Return))
		case l.service[end] != Recirculated:
			bad("return", "point %q carries %v water", visible.Shorten(r.Return), l.service[end])
		case l.heaterOf[end] != heater:
			bad("return", "point %q is not fed from heater %q", visible.Shorten(r.Return), r.Heater)
		}
		if r.Into != "" && into[i] < 0 {
			bad("into", "point %q is not on the return of another loop of heater %q, before its end; returns that meet "+
				"at the heater say nothing",
				visible.Shorten(r.Into), r.Heater)
		} else if !ends[i] {
			bad("into", "the return comes back to itself")
		}
		if !(r.Flow >= 0 && r.Flow <= 10) {
			bad("flow", "%v", r.Flow)
		}
		if d := float64(r.Drop); !(d >= 0 && d <= 100) || math.IsNaN(d) {
			bad("drop", "%v", r.Drop)
		}
		if r.Flow == 0 && r.Drop == 0 {
			bad("drop", "state how far the water may cool, or the flow")
		}
	}
}

func (l *Layout) checkLinks(w *patience.Work, fault faulter) {
	ids := make(map[string]bool, len(l.data.Links))
	for i := range w.Each(len(l.data.Links), "links checked") {
		k := &l.data.Links[i]
		bad := func(field, format string, args ...any) {
			fault.of("links", i, fmt.Sprintf("link %q", visible.Shorten(k.ID)))(field, format, args...)
		}
		if _, isPoint := l.index[k.ID]; k.ID == "" || ids[k.ID] || isPoint {
			bad("id", "missing, or given twice")
		}
		ids[k.ID] = true
		a, okA := l.index[k.Between[0]]
		b, okB := l.index[k.Between[1]]
		switch {
		case !okA || !okB:
			for _, id := range k.Between {
				if _, ok := l.index[id]; !ok {
					bad("between", "no point %q: a link joins two points, and the source is none", visible.Shorten(id))
				}
			}
		case a == b:
			bad("between", "joins %q to itself", k.Between[0])
		case l.service[a] != l.service[b]:
			bad("between", "joins a %v line to a %v line", l.service[a], l.service[b])
		case l.service[a] == Recirculated:
			bad("between", "joins returns, which serve nothing: a loop whose return runs into another says so by into")
		}
		checkPipe(k.Length, k.Size, k.Fittings, bad)
	}
}
