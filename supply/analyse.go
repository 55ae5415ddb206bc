package supply

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Options chooses how a layout is worked out. The zero Options takes losses by
// Hazen-Williams, as American plumbing does.
type Options struct {
	Method hydraulics.LossMethod
	Units  UnitSystem
	// FeedsAny lets a line be smaller than one it feeds: sizes do not follow, and a drawn
	// one is not asked about.
	FeedsAny bool
	// CapAtOutlets holds the demand of each run to what all the fixtures that it serves
	// draw together, where the layout or the code's table of outlets states that of each.
	// Without it only a run that serves one fixture is held so, as codes go by their tables.
	CapAtOutlets bool
}

// UnitSystem is the system of units that findings, reasons and workings are put in.
type UnitSystem uint8

// The systems of units.
const (
	UnitsOfLayout UnitSystem = iota // that in which the pressure of the source reads short
	Customary                       // psi, gpm, ft/s, feet and inches
	Metric                          // kPa, L/s, m/s, metres
)

var unitSystems = enum.Words[UnitSystem]{What: "system of units",
	Words: []string{"of the layout", "customary", "metric"}}

// String returns "of the layout", "customary" or "metric".
func (u UnitSystem) String() string { return unitSystems.String(u) }

// MarshalText returns the text of String.
func (u UnitSystem) MarshalText() ([]byte, error) { return unitSystems.Marshal(u) }

// UnmarshalText reads the text of String.
func (u *UnitSystem) UnmarshalText(text []byte) error { return unitSystems.Unmarshal(text, u) }

func (o Options) method() hydraulics.LossMethod {
	if o.Method == 0 {
		return hydraulics.HazenWilliams
	}
	return o.Method
}

// Analysis is a layout worked out under a code: what each run carries and costs,
// and the pressure at each point. Every run is taken at its own demand, so that the
// losses along a way add up to more than would happen at one moment. It never changes and may
// be used by many at once.
type Analysis struct {
	layout     *Layout
	code       *Code
	opt        Options
	worked     *calculation         // that it was worked out with, never written to again
	street     units.Pressure       // of the source while the building draws
	runs       []run                // by point
	circulates map[int32]units.Flow // by point, kept up by the recirculations; none where that is not known
	basis      []SizeBasis          // by point: what set the size; nil: the layout
	cites      []tables.Citation    // by point: the row that did
	fixtures   []FixtureResult      // by fixture
	sizedLinks []bool               // by link: not drawn
	governing  int                  // the fixture with the least to spare; -1: none asks for a pressure that is known
}

// run is a run of pipe as it is worked out: [RunResult] without what the layout and the pipe
// say of it.
type run struct {
	*runFlow
	family     *PipeFamily
	bore       *PipeSize
	Size, Bore units.Length
	Velocity   units.Velocity

	Length, Equivalent    units.Length
	FittingRow            tables.Citation
	Friction, Fittings    units.Pressure
	Rise, Device, Reduced units.Pressure
	Elevation             units.Length
	Out, Static           units.Pressure
	Upper                 bool
	unfit                 bool // a fitting is not counted
	NotCounted            string
	cost                  *DeviceCost // nil without a device
}

// deviceLoss is what the device at the end of the run costs.
func (r *run) deviceLoss() (cost DeviceCost) {
	if r.cost != nil {
		cost = *r.cost
	}
	return cost
}

// RunResult is one run of pipe, named by the point at its end.
type RunResult struct {
	Point      string     `json:"point"` // at its end
	From       string     `json:"from"`  // the point or source that feeds it
	Load       CodeLoad   `json:"load"`
	System     System     `json:"system"`
	Basis      FlowBasis  `json:"basis"`
	Flow       units.Flow `json:"flow"` // with Continuous and Unlisted
	Continuous units.Flow `json:"continuous"`
	// Unlisted is the flow of fixtures for which the code gives no load: their own, all
	// at once.
	Unlisted units.Flow `json:"unlisted"`
	// Circulates is the flow kept up by the recirculations through the run, beside what
	// is drawn; zero where there are none or where it does not follow from the layout.
	Circulates units.Flow `json:"circulates"`
	// Demand is the row that turned the load into flow, DemandNext the row above it
	// where the load lies between two.
	Demand     tables.Citation `json:"demand,omitzero"`
	DemandNext tables.Citation `json:"demand_next,omitzero"`

	Pipe       string         `json:"pipe"` // id of the family
	Size       units.Length   `json:"size"` // nominal
	Name       string         `json:"name"` // of the size, as it is bought
	Bore       units.Length   `json:"bore"`
	Velocity   units.Velocity `json:"velocity"`
	Length     units.Length   `json:"length"`
	Equivalent units.Length   `json:"equivalent"` // of the fittings, beside Length
	// FittingRow is the row of the first fitting whose length is from a table.
	FittingRow tables.Citation `json:"fitting_row,omitzero"`

	Friction units.Pressure `json:"friction"` // of the length
	Fittings units.Pressure `json:"fittings"` // of the fittings
	Rise     units.Pressure `json:"rise"`     // lost to height; negative where the run falls
	Device   units.Pressure `json:"device"`   // lost in the device at its end
	Reduced  units.Pressure `json:"reduced"`  // taken off by a regulator at its end; negative: added by a booster

	Elevation units.Length   `json:"elevation"` // of the point, from the source
	Out       units.Pressure `json:"out"`       // at the point while water flows
	Static    units.Pressure `json:"static"`    // at the point while nothing flows
	// Upper says that a run on the way has a flow that is not known, or something that is
	// NotCounted, so that Out is more than there will be: the friction of that run, and what
	// its device loses by flow, are not in it.
	Upper bool `json:"upper,omitzero"`
	// NotCounted says of which fitting or device there is no figure; empty: of none.
	NotCounted string `json:"not_counted,omitzero"`

	DeviceLoss DeviceCost `json:"device_loss"`
	// Decided says what set the size, Citation by which row; an analysis of drawn sizes
	// leaves them.
	Decided  SizeBasis       `json:"decided"`
	Citation tables.Citation `json:"citation,omitzero"`
	family   *PipeFamily
}

// FixtureResult is the pressure at a fixture.
type FixtureResult struct {
	Fixture   string         `json:"fixture"`
	Point     string         `json:"point"`     // with the least pressure of its ports; empty: it has none
	Available units.Pressure `json:"available"` // there, while water flows
	Static    units.Pressure `json:"static"`    // the greatest at its ports while nothing flows
	// Least and Most are the flowing pressures that the code's rows ask for, equal
	// unless it tells styles apart that the layout does not state. Zero: none asked.
	Least    units.Pressure `json:"least"`
	Most     units.Pressure `json:"most"`
	Required Outlet         `json:"required"`        // the row of Most
	Stated   bool           `json:"stated,omitzero"` // the layout states the pressure
	// Upper says that Available is more than there will be; see [RunResult].
	Upper bool `json:"upper,omitzero"`

	at int // index of Point, -1 without
}

// Family returns the pipe of the run; nil of a run that was read from JSON.
func (r *RunResult) Family() *PipeFamily { return r.family }

// Margin is what the fixture has above the most that may be asked of it.
func (f *FixtureResult) Margin() units.Pressure { return f.Available - f.Most }

// calculation holds what the runs of a layout are worked out with.
type calculation struct {
	l        *Layout
	c        *Code
	opt      Options
	items    []item // by fixture
	flows    []runFlow
	families []*PipeFamily       // by run
	water    [3]hydraulics.Water // by service
	perKm    map[perKmKey]*hydraulics.Resistance
	last     perKmKey
	lastR    *hydraulics.Resistance
	offer    func(*PipeFamily, units.Length) bool // nil: every size
	elevate  []units.Length
	street   units.Pressure // of the source while the building draws

	linkFamilies []*PipeFamily // by link
	rings        *ringSizer    // once asked for

	ctx context.Context // of the call at work, not of what it leaves behind
}

// within has the work stop once a context is done, until the call is over that it is of.
func (h *calculation) within(ctx context.Context) (over func()) {
	h.ctx = ctx
	return func() { h.ctx = context.Background() }
}

// pointsBetween is after how many points work that is short at each looks whether it is to go on.
const pointsBetween = 1000

// stopped says how many runs were done when the context ended, nil if the work goes on.
func (h *calculation) stopped(work string, done int) error {
	if done%pointsBetween != 0 || h.ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("%s: stopped after %d of %d runs: %w", work, done, h.l.Len(), h.ctx.Err())
}

// endedIn says that the context ended in some work, in which rings may then have stopped; nil if it did not.
func (h *calculation) endedIn(work string) error {
	if err := h.ctx.Err(); err != nil {
		return fmt.Errorf("%s: stopped in its last pass: %w", work, err)
	}
	return nil
}

type perKmKey struct {
	family *PipeFamily
	size   int
	s      Service
}

// prepare finds the flows, the families of pipe and the water of each run. Faults
// of all runs come together.
func (l *Layout) prepare(c *Code, opt Options, offer func(*PipeFamily, units.Length) bool) (*calculation, error) {
	if l == nil || len(l.data.Points) == 0 {
		return nil, fmt.Errorf("layout: %w: New or Parse makes one", tables.ErrQuery)
	}
	if c == nil {
		return nil, fmt.Errorf("layout: %w: no code", tables.ErrQuery)
	}
	if r, ok := c.Rule("friction-method"); ok && opt.Method == 0 {
		if err := opt.Method.UnmarshalText([]byte(r.Value)); err != nil {
			return nil, fmt.Errorf("%v: %w", r.Cite, err)
		}
	}
	if _, err := opt.method().MarshalText(); err != nil {
		return nil, err
	}
	if _, err := opt.Units.MarshalText(); err != nil {
		return nil, err
	}
	h := &calculation{l: l, c: c, opt: opt, perKm: map[perKmKey]*hydraulics.Resistance{}, offer: offer,
		ctx: context.Background()}
	var err error
	if h.items, err = l.items(c); err != nil {
		return nil, err
	}
	if h.flows, err = l.flows(c, h.items, opt.CapAtOutlets); err != nil {
		return nil, err
	}
	if h.street, err = l.street(h.flows); err != nil {
		return nil, err
	}
	w := l.data.Water
	if h.water[Cold], err = hydraulics.WaterAt(w.Cold); err != nil {
		return nil, fmt.Errorf("water: cold: %w", err)
	}
	h.water[Hot] = h.water[Cold]
	if w.Hot != 0 {
		if h.water[Hot], err = hydraulics.WaterAt(w.Hot); err != nil {
			return nil, fmt.Errorf("water: hot: %w", err)
		}
	}
	h.water[Recirculated] = h.water[Hot]
	if err := h.findFamilies(); err != nil {
		return nil, err
	}
	n := l.Len()
	h.elevate = make([]units.Length, n)
	for _, i := range l.order {
		h.elevate[i] = l.riseOf(int(i))
		if p := l.parent[i]; p >= 0 {
			h.elevate[i] += h.elevate[p]
		}
		if e := h.elevate[i]; e > 1000*units.Metre*1000 || -e > 1000*units.Metre*1000 {
			return nil, fmt.Errorf("point %q: %w: elevation %v", l.data.Points[i].ID, tables.ErrQuery, e)
		}
	}
	return h, nil
}

// findFamilies finds the family of pipe of each run. A run that has no size drawn
// gets the family with only the sizes it may be given.
func (h *calculation) findFamilies() error {
	l := h.l
	h.families = make([]*PipeFamily, l.Len())
	type pair struct{ all, stocked *PipeFamily }
	var errs []error
	known := map[string]pair{}
	find := func(item, id, name string) pair {
		f, ok := known[name]
		if !ok {
			var err error
			if f.all, err = l.family(h.c, name); err == nil {
				f.stocked, err = h.inStock(f.all)
			}
			if err != nil {
				errs = append(errs, fmt.Errorf("%s %q: pipe: %w", item, id, err))
			}
			known[name] = f
		}
		return f
	}
	lastName, last := "", pair{}
	for i := range h.families {
		p := &l.data.Points[i]
		if name := l.pipeOf(i); name != lastName || last.all == nil {
			lastName, last = name, find("point", p.ID, name)
		}
		h.families[i] = last.all
		if p.Size == 0 {
			h.families[i] = last.stocked
		}
	}
	h.linkFamilies = make([]*PipeFamily, len(l.data.Links))
	for k := range h.linkFamilies {
		x := &l.data.Links[k]
		f := find("link", x.ID, l.linkPipeName(x))
		h.linkFamilies[k] = f.all
		if x.Size == 0 {
			h.linkFamilies[k] = f.stocked
		}
	}
	return errors.Join(errs...)
}

// stockOf returns the index of the stock of a family of pipe, -1 if none is listed.
func (l *Layout) stockOf(pipe string) int {
	return slices.IndexFunc(l.data.Stock, func(s Stock) bool { return s.Pipe == pipe })
}

// family returns a family of pipe with one wall for each size: that of the stock, or
// the thickest that counters sell.
func (l *Layout) family(c *Code, name string) (*PipeFamily, error) {
	f, err := c.Pipe(name)
	if err != nil {
		return nil, err
	}
	var stock Stock
	if at := l.stockOf(name); at >= 0 {
		stock = l.data.Stock[at]
	}
	var wanted []PipeSize
	for i := range stock.Walls {
		var walls []string
		at := slices.IndexFunc(f.sizes, func(s PipeSize) bool {
			if s.Size == stock.Sizes[i] {
				walls = append(walls, s.wall().String())
			}
			return s.Size == stock.Sizes[i] && s.wall() == stock.Walls[i]
		})
		if at < 0 {
			if walls == nil {
				continue // the size itself is refused where the stock is gone through
			}
			return nil, fmt.Errorf("%w: stock of %s: size %v: wall %v: it comes in %s", tables.ErrNotInCode, name,
				stock.Sizes[i], stock.Walls[i], strings.Join(walls, ", "))
		}
		wanted = append(wanted, f.sizes[at])
	}
	out := *f
	out.sizes = nil
	for _, s := range f.sizes { // by rising bore, so that the thickest comes first
		ofStock := func(w PipeSize) bool { return w.Size == s.Size && w.Bore == s.Bore }
		switch {
		case c.pipes.odd()[oddSize{f.id, s.Size, s.wall()}] && !slices.ContainsFunc(wanted, ofStock):
		case slices.ContainsFunc(out.sizes, func(t PipeSize) bool { return t.Size == s.Size }):
		case slices.ContainsFunc(wanted, func(w PipeSize) bool { return w.Size == s.Size && w.Bore != s.Bore }):
		default:
			out.sizes = append(out.sizes, s)
		}
	}
	return &out, nil
}

// inStock returns a family with the sizes that runs may be given: those of the stock, those
// with a price, or where the layout lists none those that counters sell.
func (h *calculation) inStock(f *PipeFamily) (*PipeFamily, error) {
	at := h.l.stockOf(f.id)
	if at < 0 && h.offer == nil {
		return h.c.sold(f, 0), nil
	}
	out := *f
	out.sizes = nil
	if at >= 0 {
		for _, s := range h.l.data.Stock[at].Sizes {
			if f.size(s) < 0 {
				return nil, fmt.Errorf("stock of %s: size: %w", f.id, f.noSize(s))
			}
		}
	}
	for _, s := range f.sizes {
		if (at < 0 || slices.Contains(h.l.data.Stock[at].Sizes, s.Size)) && (h.offer == nil || h.offer(f, s.Size)) {
			out.sizes = append(out.sizes, s)
		}
	}
	if len(out.sizes) == 0 {
		return nil, fmt.Errorf("%w: %s: no size is in stock and has a price", tables.ErrNotStated, f.id)
	}
	return &out, nil
}

// weight is what a metre of the water in a line weighs on a square metre.
func (h *calculation) weight(s Service) float64 {
	return float64(h.water[s].Density) * units.StandardGravity
}

// forget drops the resistances worked out so far.
func (h *calculation) forget() {
	h.perKm, h.lastR = map[perKmKey]*hydraulics.Resistance{}, nil
}

// resistance returns that of a kilometre of pipe; both methods are linear in length.
func (h *calculation) resistance(f *PipeFamily, size int, s Service) (*hydraulics.Resistance, error) {
	key := perKmKey{f, size, s}
	if key == h.last && h.lastR != nil {
		return h.lastR, nil
	}
	r := h.perKm[key]
	if r == nil {
		made, err := hydraulics.Friction{Method: h.opt.method(), Bore: f.sizes[size].Bore, Length: 1000 * units.Metre,
			C: f.c, Roughness: f.roughness, Water: h.water[s]}.Resistance()
		if err != nil {
			return nil, err
		}
		r = &made
		h.perKm[key] = r
	}
	h.last, h.lastR = key, r
	return r, nil
}

// run works out one run at a size afresh: everything but the pressures at its ends.
func (h *calculation) run(i int, size int, out *run) error {
	p := &h.l.data.Points[i]
	f, s, flow := h.families[i], h.l.service[i], &h.flows[i]
	bore := &f.sizes[size]
	*out = run{runFlow: flow, family: f, bore: bore, Size: bore.Size, Bore: bore.Bore, Length: p.Length,
		Elevation: h.elevate[i]}
	r, err := h.resistance(f, size, s)
	if err != nil {
		return err
	}
	perMetre := 0.0
	if flow.Flow > 0 {
		loss, err := r.PressureLoss(flow.Flow)
		if err != nil {
			return err
		}
		perMetre = float64(loss) / 1000
		d := out.Bore.Metres()
		out.Velocity = units.Velocity(float64(flow.Flow) / (math.Pi / 4 * d * d))
	}
	out.Friction = units.Pressure(perMetre * p.Length.Metres())
	density := float64(h.water[s].Density)
	out.Rise = units.Pressure(h.weight(s) * h.l.riseOf(i).Metres())
	for k := range p.Fittings {
		t := &p.Fittings[k]
		if t.K > 0 {
			v := float64(out.Velocity)
			out.Fittings += units.Pressure(t.K * float64(t.Count) * density * v * v / 2)
			continue
		}
		each := t.Length
		if each == 0 {
			var row tables.Citation
			each, row, err = f.fittingLength(t.Fitting, out.Size, out.Bore)
			switch {
			case errors.Is(err, tables.ErrOutsideTable):
				out.NotCounted, out.unfit = err.Error(), true
				continue
			case err != nil:
				return fmt.Errorf("fittings[%d]: %w", k, err)
			case out.FittingRow.IsZero():
				out.FittingRow = row
			}
		}
		out.Equivalent += each * units.Length(t.Count)
	}
	if len(p.Fittings) == 0 {
		out.Equivalent = h.l.allowance(p.Length)
	}
	out.Fittings += units.Pressure(perMetre * out.Equivalent.Metres())
	if p.Device != nil {
		cost, err := h.c.DeviceLoss(p.Device, flow.Flow)
		switch {
		case errors.Is(err, tables.ErrNotInCode):
			out.NotCounted = fmt.Sprintf("%s: %v", p.Device.Kind, err)
		case err != nil:
			return fmt.Errorf("device: %w", err)
		}
		out.Device, out.cost = cost.Loss, &cost
	}
	return nil
}

// allowance is what the layout adds to a length of pipe that names no fittings.
func (l *Layout) allowance(length units.Length) units.Length {
	return units.Metres(l.data.FittingsAllowance * length.Metres())
}

// hasFigures works out one run at a size, and reports whether there are figures for its
// fittings.
func (h *calculation) hasFigures(i int32, size int, out *run) bool {
	return h.run(int(i), size, out) == nil && !out.unfit
}

// loss is what the run costs, but for a regulator.
func (r *run) loss() units.Pressure { return r.Friction + r.Fittings + r.Rise + r.Device }

// pressures fills in the pressures of one run from those of the point that feeds it.
func (h *calculation) pressures(i int32, runs []run) {
	r := &runs[i]
	in, static := h.street, max(h.l.data.Source.Pressure, h.l.data.Source.Static)
	if p := h.l.parent[i]; p >= 0 {
		in, static = runs[p].Out, runs[p].Static
	}
	r.Out, r.Static, r.Reduced = in-r.loss(), static-r.Rise, 0
	r.Upper = r.Basis == NotKnown || r.NotCounted != "" || h.l.parent[i] >= 0 && runs[h.l.parent[i]].Upper
	if d := h.l.data.Points[i].Device; d.parts() {
		out := d.held(r.Out, r.Flow)
		r.Reduced, r.Out = r.Out-out, out
		if d.booster() {
			r.Static = max(r.Static, d.Set, d.CutOut)
			// What it is fed decides nothing behind it, as long as it is fed.
			r.Upper = r.Upper && r.Reduced >= 0
		} else if r.Static = min(r.Static, d.Set); h.l.data.Source.Static == 0 {
			r.Static = d.Set // what stands before it is not known, and no more than this comes through
		}
	}
}

// Analyse works a layout out whose runs all have a size. A run without one is an
// error that names it; [Layout.Size] chooses sizes.
func (l *Layout) Analyse(c *Code, opt Options) (*Analysis, error) {
	return l.AnalyseContext(context.Background(), c, opt)
}

// AnalyseContext is [Layout.Analyse] that stops once the context is done, with its error and how
// many runs it had worked.
func (l *Layout) AnalyseContext(ctx context.Context, c *Code, opt Options) (*Analysis, error) {
	h, err := l.prepare(c, opt, nil)
	if err != nil {
		return nil, err
	}
	defer h.within(ctx)()
	sizes, err := h.drawnSizes(true)
	if err != nil {
		return nil, err
	}
	return h.analyse(sizes)
}

// errUnsized is the want of a size where a layout is worked out as drawn.
var errUnsized error = unsized{}

type unsized struct{}

func (unsized) Error() string { return "no size is drawn: state one, or take Size, which chooses it" }

// Is makes it a case of what a layout leaves open.
func (unsized) Is(target error) bool { return target == tables.ErrNotStated }

// drawnSizes returns the index of each run's size in its family, -1 where none is
// drawn.
func (h *calculation) drawnSizes(all bool) ([]int, error) {
	sizes := make([]int, h.l.Len())
	var errs []error
	index := func(item, id string, f *PipeFamily, size units.Length) int {
		at := -1
		if size != 0 {
			at = f.size(size)
		}
		switch {
		case size == 0 && all:
			errs = append(errs, fmt.Errorf("%s %q: size: %w", item, id, errUnsized))
		case size != 0 && at < 0:
			errs = append(errs, fmt.Errorf("%s %q: size: %w", item, id, f.noSize(size)))
		}
		return at
	}
	for i := range sizes {
		p := &h.l.data.Points[i]
		if sizes[i] = index("point", p.ID, h.families[i], p.Size); len(errs) > 100 {
			break
		}
	}
	for k := range h.l.data.Links {
		x := &h.l.data.Links[k]
		index("link", x.ID, h.linkFamilies[k], x.Size)
	}
	return sizes, errors.Join(errs...)
}

func (h *calculation) analyse(sizes []int) (*Analysis, error) {
	a := &Analysis{layout: h.l, code: h.c, opt: h.opt, street: h.street, worked: h, governing: -1}
	a.runs = make([]run, h.l.Len())
	a.sizedLinks = make([]bool, len(h.l.data.Links))
	for k := range a.sizedLinks {
		a.sizedLinks[k] = h.l.data.Links[k].Size == 0
	}
	var errs []error
	for k, i := range h.l.order {
		if err := h.stopped("pressures", k); err != nil {
			return nil, err
		}
		if err := h.run(int(i), sizes[i], &a.runs[i]); err != nil {
			if errs = append(errs, fmt.Errorf("point %q: %w", h.l.data.Points[i].ID, err)); len(errs) > 100 {
				break
			}
			continue
		}
		h.pressures(i, a.runs)
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	a.circulate()
	a.findFixtures()
	return a, nil
}

// circulate says what flow the recirculations keep up, where it can be known.
func (a *Analysis) circulate() {
	if len(a.layout.data.Recirculation) == 0 {
		return
	}
	_, flow, err := a.worked.loopHeats(a.pipeOf)
	if err != nil {
		return // [Analysis.Circulations] says why
	}
	a.circulates = flow
}

// again returns the calculation of the runs at their sizes, to work them out in another way.
func (a *Analysis) again() (h *calculation, sizes []int) {
	other := *a.worked
	other.l = a.layout
	other.flows = slices.Clone(other.flows)
	other.forget()
	sizes = make([]int, len(a.runs))
	for i := range a.runs {
		sizes[i] = a.runs[i].family.size(a.runs[i].Size)
	}
	return &other, sizes
}

// pipeOf returns the pipe of a run.
func (a *Analysis) pipeOf(i int32) (*PipeFamily, *PipeSize) { return a.runs[i].family, a.runs[i].bore }

// fixtures sets the pressure at each fixture beside what the code asks.
func (a *Analysis) findFixtures() {
	l := a.layout
	a.fixtures = make([]FixtureResult, len(l.data.Fixtures))
	type asked struct {
		least, most units.Pressure
		row         Outlet
	}
	cache := map[tables.Fixture]asked{}
	residual, hasResidual := a.code.residual()
	for i := range a.fixtures {
		f := &l.data.Fixtures[i]
		out := &a.fixtures[i]
		out.at, out.Fixture = -1, f.ID
		for p := range l.ports(i) {
			r := &a.runs[p]
			if out.at < 0 || r.Out < out.Available {
				out.at, out.Point, out.Available = int(p), l.data.Points[p].ID, r.Out
			}
			out.Upper = out.Upper || r.Upper
			out.Static = max(out.Static, r.Static)
		}
		if f.Pressure > 0 {
			out.Least, out.Most, out.Stated = f.Pressure, f.Pressure, true
		} else {
			key := f.one()
			need, known := cache[key]
			if !known {
				if list, err := a.code.Outlets(key); err == nil {
					byPressure := func(a, b Outlet) int { return cmp.Compare(a.Pressure, b.Pressure) }
					need.row = slices.MaxFunc(list, byPressure)
					need.least, need.most = slices.MinFunc(list, byPressure).Pressure, need.row.Pressure
				}
				if need.most == 0 && hasResidual {
					need = asked{residual.Pressure, residual.Pressure, residual}
				}
				cache[key] = need
			}
			out.Least, out.Most, out.Required = need.least, need.most, need.row
		}
		if out.Most > 0 && !out.Upper && (a.governing < 0 || a.fixtures[a.governing].governedBy(out)) {
			a.governing = i
		}
	}
}

// governedBy reports whether another fixture has less to spare, or as much and the lesser name,
// so that the order of the layout plays no part.
func (f *FixtureResult) governedBy(x *FixtureResult) bool {
	return x.Margin() < f.Margin() || x.Margin() == f.Margin() && x.Fixture < f.Fixture
}

// BudgetLine is one item of what pressure is spent on along a way.
type BudgetLine struct {
	Point    string          `json:"point"`         // at whose run it is lost
	What     string          `json:"what,omitzero"` // friction, fittings, rise, the kind of a device, or regulator
	Loss     units.Pressure  `json:"loss"`
	Left     units.Pressure  `json:"left"`
	Citation tables.Citation `json:"citation,omitzero"` // where a table gave the loss
}

// holder names what holds a pressure of its own behind it.
func holder(d *Device) string {
	if d.booster() {
		return boosterPump
	}
	return "regulator"
}

// street is the pressure of the source at what the layout draws, and the pressure that is
// stated where that does not follow.
func (l *Layout) street(flows []runFlow) (units.Pressure, error) {
	s := &l.data.Source
	if s.ResidualFlow == 0 {
		return s.Pressure, nil
	}
	var draws units.Flow
	for i := range flows {
		if l.parent[i] >= 0 {
			continue
		}
		if flows[i].Basis == NotKnown {
			return s.Pressure, nil
		}
		draws += flows[i].Flow
	}
	return hydraulics.StreetPressure(s.Static, s.Pressure, s.ResidualFlow, draws)
}

// Budget lists what the pressure of the source is spent on along the way to a
// point, in the order in which the water passes. The last line's Left is the
// pressure at the point. point counts as that of [Analysis.At]; any other panics, as
// the index of a slice does.
func (a *Analysis) Budget(point int) []BudgetLine {
	if a.made() != nil {
		return nil
	}
	left := a.street
	var list []BudgetLine
	for _, i := range a.layout.wayTo(point) {
		r := &a.runs[i]
		p := &a.layout.data.Points[i]
		device := ""
		if p.Device != nil {
			device = p.Device.Kind
		}
		for _, line := range [...]struct {
			what string
			loss units.Pressure
			cite tables.Citation
		}{{"friction", r.Friction, r.bore.Citation}, {"fittings", r.Fittings, r.FittingRow},
			{"rise", r.Rise, tables.Citation{}},
			{device, r.Device, r.deviceLoss().Citation}, {holder(p.Device), r.Reduced, tables.Citation{}}} {
			if line.loss == 0 || line.what == "" {
				continue
			}
			left -= line.loss
			list = append(list, BudgetLine{p.ID, line.what, line.loss, left, line.cite})
		}
	}
	return list
}

// Reason says in a sentence what set the size of a run: the basis, the figures that
// it was judged on, and for a recirculation return the loops, heat and flow. point
// counts as that of [Analysis.At]; any other panics, as the index of a slice does.
func (s *Sizing) Reason(point int) string {
	if s.Analyse().made() != nil {
		return ""
	}
	r := &s.runs[point]
	t := s.system()
	switch s.basis[point] {
	case Drawn:
		return fmt.Sprintf("%v %s is drawn.", r.name(), r.family.id)
	case ByUnits:
		return fmt.Sprintf("%s: the code's pipe for its loading units, with a bore of %v here.", r.Load.In(s.code.unit),
			r.Bore)
	case ByVelocity:
		return fmt.Sprintf("%v runs at %v in %v; %s", t.flow(r.Flow), t.velocity(r.Velocity), r.name(),
			s.lesser(r, r.Flow))
	case ByReturnFlow:
		return s.returnReason(point)
	case ByMinimum, ByService, ByManifold, ByHeaterMain:
		return fmt.Sprintf("%v is the %v.", r.name(), s.basis[point])
	case ByDownstream:
		return "A run that it feeds asks for it: no line is smaller than one it feeds."
	case ByRing:
		return "Its ring has one size all round, by the velocity limit for what flows in it while its links are open."
	case ByRest:
		return "Another part of its ring asks for it: a ring has one size all round."
	case ByPressure, ByCost:
		return fmt.Sprintf("Chosen for the %v.", s.basis[point])
	}
	if r.Flow > 0 {
		return fmt.Sprintf("%v is the smallest %s on offer; %v runs at %v in it.", r.name(), r.family.id, t.flow(r.Flow),
			t.velocity(r.Velocity))
	}
	return fmt.Sprintf("%v is the smallest %s on offer.", r.name(), r.family.id)
}

// lesser says what a flow would do in the size below a run's.
func (s *Sizing) lesser(r *run, flow units.Flow) string {
	t := s.system()
	i := r.family.size(r.Size)
	if i <= 0 {
		return "there is no smaller on offer."
	}
	below := &r.family.sizes[i-1]
	v, err := hydraulics.Velocity(flow, below.Bore)
	if err != nil {
		return "there is no smaller on offer."
	}
	return fmt.Sprintf("in %v it would run at %v, over the limit.", r.family.name(below), t.velocity(v))
}

func (s *Sizing) returnReason(point int) string {
	l := s.Analysis.layout
	t := s.system()
	r := &s.runs[point]
	loops, err := s.Circulations()
	if err != nil {
		return fmt.Sprintf("The %v.", s.basis[point])
	}
	text := ""
	var sum units.Flow
	for k := range loops {
		if !slices.Contains(l.loopWay(k), int32(point)) {
			continue
		}
		c := &loops[k]
		sum += c.Flow
		if c.Stated {
			text += fmt.Sprintf("%s keeps up %v, as the layout states. ", c.ID, t.flow(c.Flow))
		} else {
			text += fmt.Sprintf("%s loses %v over %v, and %v makes it up with a drop of %v. ", c.ID, t.power(c.Heat),
				t.length(c.Length), t.flow(c.Flow), t.difference(l.data.Recirculation[k].Drop))
		}
	}
	v, err := hydraulics.Velocity(sum, r.Bore)
	if err != nil {
		return text
	}
	return text + fmt.Sprintf("That runs at %v in %v, within the limit; %s", t.velocity(v), r.name(), s.lesser(r, sum))
}

// What follows from a sizing and from an analysis has the names it has with drains.

// made tells whether there is an analysis at all.
func (a *Analysis) made() error {
	if a == nil || a.layout == nil || a.code == nil {
		return fmt.Errorf("analysis: %w: Layout.Size or Layout.Analyse makes one", tables.ErrQuery)
	}
	return nil
}

// Layout returns the layout that was worked out, with the sizes that were chosen, all drawn. To
// edit a layout take that of the [Sizing], which has them open still.
func (a *Analysis) Layout() *Layout {
	if a.made() != nil {
		return nil
	}
	return a.layout
}

// Code returns the code that it was worked out under.
func (a *Analysis) Code() *Code {
	if a.made() != nil {
		return nil
	}
	return a.code
}

// Street returns the pressure of the source while the building draws: as stated, or where the
// layout says at which flow that was measured, by the fall-off of the street.
func (a *Analysis) Street() units.Pressure {
	if a == nil {
		return 0
	}
	return a.street
}

// Fixtures returns the pressure at each fixture, in the order of the layout.
func (a *Analysis) Fixtures() []FixtureResult {
	if a == nil {
		return nil
	}
	return slices.Clone(a.fixtures)
}

// Critical returns the fixture with the least to spare; ok is false if no fixture asks for
// a pressure whose own is known.
func (a *Analysis) Critical() (f FixtureResult, ok bool) {
	if a.made() != nil || a.governing < 0 {
		return FixtureResult{}, false
	}
	return a.fixtures[a.governing], true
}

// SizingData is a sizing, or an analysis, as plain data, as its JSON is written and reads back.
type SizingData struct {
	Code     string          `json:"code"`               // its id
	Runs     []RunResult     `json:"runs"`               // as [Sizing.At] counts
	Fixtures []FixtureResult `json:"fixtures"`           // in the order of the layout
	Critical string          `json:"critical,omitempty"` // the fixture with the least to spare
	Short    []string        `json:"short,omitempty"`    // as [Sizing.Short] lists them
}

// Data returns the analysis as plain data.
func (a *Analysis) Data() SizingData { return a.plain(nil) }

func (a *Analysis) plain(w *patience.Work) SizingData {
	if a.made() != nil {
		return SizingData{}
	}
	d := SizingData{Code: a.code.ID(), Runs: make([]RunResult, 0, a.Len()), Fixtures: a.Fixtures()}
	for i := range w.Each(a.Len(), "runs listed") {
		d.Runs = append(d.Runs, a.At(i))
	}
	if f, ok := a.Critical(); ok {
		d.Critical = f.Fixture
	}
	return d
}

// MarshalJSON writes the [SizingData]. Of 100 000 runs it takes seconds: who may not wait so long calls
// [Analysis.WriteJSON].
func (a Analysis) MarshalJSON() ([]byte, error) { return json.Marshal(a.Data()) }

// WriteJSON writes what MarshalJSON returns, run after run, and stops once the context is done, with its error and how
// far it was; what is written by then is no JSON.
func (a *Analysis) WriteJSON(ctx context.Context, out io.Writer) error {
	if err := a.made(); err != nil {
		return err
	}
	w := patience.NewWork(ctx, "analysis")
	return w.WriteJSON(out, a.plain(w), "runs or fixtures written")
}

// Len returns how many runs there are.
func (a *Analysis) Len() int {
	if a == nil {
		return 0
	}
	return len(a.runs)
}

// At returns the run to point i, from 0 to Len less one.
func (a *Analysis) At(i int) RunResult {
	if a.made() != nil {
		return RunResult{}
	}
	r, p := &a.runs[i], &a.layout.data.Points[i]
	out := RunResult{
		Point: p.ID, From: p.From, Load: a.code.counted(r.Load), System: r.System, Basis: r.Basis, Flow: r.Flow,
		Continuous: r.Continuous, Unlisted: r.Unlisted, Demand: r.Demand, DemandNext: r.DemandNext,
		Pipe: r.family.id, Size: r.Size, Name: r.name().String(), Bore: r.Bore, Velocity: r.Velocity, Length: r.Length,
		Equivalent: r.Equivalent, FittingRow: r.FittingRow, Friction: r.Friction, Fittings: r.Fittings, Rise: r.Rise,
		Device: r.Device, Reduced: r.Reduced, Elevation: r.Elevation, Out: r.Out, Static: r.Static, Upper: r.Upper,
		NotCounted: r.NotCounted, DeviceLoss: r.deviceLoss(), Decided: a.decided(i), family: r.family,
	}
	if q, known := a.circulates[int32(i)]; known {
		if out.Circulates = q; a.layout.service[i] == Recirculated {
			out.Basis = Recirculates
		}
	}
	if a.cites != nil {
		out.Citation = a.cites[i]
	}
	return out
}

// decided is what set the size of a run.
func (a *Analysis) decided(i int) SizeBasis {
	if a.basis == nil {
		return Drawn
	}
	return a.basis[i]
}

// Of returns the run to the point of that id.
func (a *Analysis) Of(id string) (RunResult, bool) {
	if a.made() != nil {
		return RunResult{}, false
	}
	i, ok := a.layout.Find(id)
	if !ok || i >= len(a.runs) {
		return RunResult{}, false
	}
	return a.At(i), true
}

// All returns each run with its place.
func (a *Analysis) All() iter.Seq2[int, RunResult] {
	return func(yield func(int, RunResult) bool) {
		for i := range a.Len() {
			if !yield(i, a.At(i)) {
				return
			}
		}
	}
}

// Diff returns in what a later analysis differs: of another revision of the layout, or of
// the same under another code. Runs are told by the points at their ends, links and
// fixtures by their ids, findings, those of a check of each, by theirs; nothing is tallied.
// Flows and pressures are rounded as the trade does.
func (a *Analysis) Diff(later *Analysis, opt CheckOptions) (tables.Diff, error) {
	return a.DiffContext(context.Background(), later, opt)
}

// DiffContext is [Analysis.Diff] that stops, with the error of the context, once that is done.
func (a *Analysis) DiffContext(ctx context.Context, later *Analysis, opt CheckOptions) (tables.Diff, error) {
	opt.Tally = nil
	was, err := a.CheckContext(ctx, opt)
	if err != nil {
		return tables.Diff{}, err
	}
	is, err := later.CheckContext(ctx, opt)
	if err != nil {
		return tables.Diff{}, err
	}
	t := later.system()
	return tables.Diff{Items: finding.Changes(a.items(t), later.items(t)), Findings: tables.DiffFindings(was, is)}, nil
}

// items lists what a comparison looks at.
func (a *Analysis) items(t unitSystem) (out []finding.Item) {
	d := &a.layout.data
	out = append(out, finding.Item{Kind: "source", ID: d.Source.ID, Fields: []finding.Field{
		{Name: "pressure", Value: t.pressure(d.Source.Pressure)}}})
	for i := range a.runs {
		r, p := &a.runs[i], &d.Points[i]
		out = append(out, finding.Item{Kind: "run", ID: p.ID, Fields: []finding.Field{
			{Name: "from", Value: finding.Word(p.From)}, {Name: "size", Value: finding.Word(r.name().String())},
			{Name: "material", Value: finding.Word(r.family.id)}, {Name: "length", Value: t.length(r.Length)},
			{Name: "flow", Value: t.flow(r.Flow)}, {Name: "velocity", Value: t.velocity(r.Velocity)}}})
	}
	for i := range d.Links {
		link := &d.Links[i]
		out = append(out, finding.Item{Kind: "link", ID: link.ID, Fields: []finding.Field{
			{Name: "size", Value: link.Size}, {Name: "material", Value: finding.Word(link.Pipe)},
			{Name: "length", Value: t.length(link.Length)}}})
	}
	for i := range a.fixtures {
		f := &a.fixtures[i]
		out = append(out, finding.Item{Kind: "fixture", ID: d.Fixtures[i].ID, Fields: []finding.Field{
			{Name: "pressure", Value: t.pressure(f.Available)}, {Name: "required", Value: t.pressure(f.Most)}}})
	}
	return out
}
