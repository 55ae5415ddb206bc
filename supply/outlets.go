package supply

import (
	"errors"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Outlet is what a code asks of the water at an outlet.
type Outlet struct {
	// Flow is the flow at the outlet, zero where the code gives none.
	Flow units.Flow `json:"flow"`
	// Pressure is the least flowing pressure at the outlet, zero where the code gives none.
	Pressure units.Pressure `json:"pressure"`
	// Style is the kind the row holds for, such as "siphonic"; empty for all.
	Style    string          `json:"style,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
}

type outletRow struct {
	Style    string                      `table:"style"`
	Flow     tables.Cell[units.Flow]     `table:"flow,optional"`
	Pressure tables.Cell[units.Pressure] `table:"pressure,optional"`
	Control  string                      `table:"control,optional"`
}

func outletAt(t *rated[outletRow], i int) Outlet {
	r := t.At(i)
	return Outlet{r.Flow.Value, r.Pressure.Value, r.Style, t.Cite(i)}
}

// anyFixture is the fixture id of a row that holds for all that are not listed.
const anyFixture = "any"

// withFallback asks for the fixture, then for the row that holds for any.
func withFallback[T any](f *tables.Fixture, ask func(*tables.Fixture) (T, error)) (T, error) {
	v, err := ask(f)
	if errors.Is(err, tables.ErrNotInCode) {
		other := tables.Fixture{Kind: anyFixture, Count: 1}
		if w, err2 := ask(&other); err2 == nil {
			return w, nil
		}
	}
	return v, err
}

// Outlet returns the flow and the least flowing pressure at a fixture. Where the
// code tells styles apart and the query states none, the error is [tables.ErrNotStated]
// and names them; [Code.Outlets] returns all rows that fit.
func (c *Code) Outlet(f tables.Fixture) (Outlet, error) {
	c = c.there()
	if c.outlets == nil {
		return Outlet{}, c.missing("flows and pressures at outlets")
	}
	return withFallback(&f, func(f *tables.Fixture) (Outlet, error) {
		i, err := c.rowFor(c.outlets.keys, f, func(a, b int) bool {
			x, y := c.outlets.At(a), c.outlets.At(b)
			return x.Flow == y.Flow && x.Pressure == y.Pressure
		})
		if err != nil {
			return Outlet{}, err
		}
		return outletAt(c.outlets, i), nil
	})
}

// Outlets returns every row of flow and pressure that fits what the query states.
func (c *Code) Outlets(f tables.Fixture) ([]Outlet, error) {
	c = c.there()
	if c.outlets == nil {
		return nil, c.missing("flows and pressures at outlets")
	}
	return withFallback(&f, func(f *tables.Fixture) ([]Outlet, error) { return fitting(c, c.outlets, f, outletAt) })
}

// outletFlow returns the flow that a fixture draws at least, whatever its style: of
// the code's own rows, else of those that stand in for them.
func (c *Code) outletFlow(f *tables.Fixture) (Outlet, error) {
	var err error
	for _, t := range [...]*rated[outletRow]{c.outlets, c.flows} {
		if t == nil {
			continue
		}
		var list []Outlet
		if list, err = fitting(c, t, f, outletAt); err != nil {
			continue
		}
		best := list[0]
		for _, o := range list[1:] {
			if o.Flow > 0 && (o.Flow < best.Flow || best.Flow == 0) {
				best = o
			}
		}
		if best.Flow > 0 {
			return best, nil
		}
		err = fmt.Errorf("%w: fixture %q: no flow given", tables.ErrNotInCode, f.Kind)
	}
	if err == nil { // it has no such table
		err = c.missing("flows at outlets")
	}
	return Outlet{}, err
}

// mostAsked returns the outlet of which the code asks the most pressure, flush valves apart;
// zero where it asks none of any.
func (c *Code) mostAsked() (most Outlet) {
	if c.outlets == nil {
		return most
	}
	for i, r := range c.outlets.All() {
		if r.Pressure.Value > most.Pressure && r.Control != tables.Valve.String() {
			most = outletAt(c.outlets, i)
		}
	}
	return most
}

// usualOfValve returns the least pressure that the IPC asks of a flush valve, where the
// code itself has no row of one, only of any outlet: what its makers ask is of that order.
func (c *Code) usualOfValve(f *tables.Fixture) Outlet {
	if f.Control != tables.Valve {
		return Outlet{}
	}
	var own error = tables.ErrNotInCode
	key := *f
	key.Count = 1
	if c.outlets != nil {
		_, own = fitting(c, c.outlets, &key, outletAt)
	}
	t, err := loadRated[outletRow](c.pipes.shelf, "ipc-2021/supply-outlet-flow")
	if own == nil || err != nil {
		return Outlet{}
	}
	list, err := fitting(c, t, &key, outletAt)
	if err != nil {
		return Outlet{}
	}
	var least Outlet
	for _, o := range list {
		if least.Pressure == 0 || o.Pressure < least.Pressure {
			least = o
		}
	}
	return least
}

// mostOf returns the greatest flow of a fixture by the code's own rows, whatever its
// style; none where they give none.
func (c *Code) mostOf(f *tables.Fixture) Outlet {
	var most Outlet
	if c.outlets == nil {
		return most
	}
	list, err := fitting(c, c.outlets, f, outletAt)
	if err != nil {
		return most
	}
	for _, o := range list {
		if o.Flow == 0 {
			return Outlet{} // of one style nothing is known
		}
		if o.Flow > most.Flow {
			most = o
		}
	}
	return most
}

// residual returns the flowing pressure that the code asks at every outlet, for those
// whose row gives none.
func (c *Code) residual() (Outlet, bool) {
	r, ok := c.Rule("residual-min")
	o := Outlet{Citation: r.Cite}
	return o, ok && r.Into(&o.Pressure)
}

type sizeRow struct {
	Style string       `table:"style"`
	Size  units.Length `table:"size"`
}

// MinSize is the least nominal size of the supply to a fixture.
type MinSize struct {
	Size     units.Length    `json:"size"`
	Style    string          `json:"style,omitzero"` // the kind the row holds for; empty for all
	Citation tables.Citation `json:"citation,omitzero"`
}

// loadSizes loads rows whose size answers, and does not choose.
func loadSizes(shelf *tables.Shelf, id string) (*rated[sizeRow], error) {
	t, err := loadRated[sizeRow](shelf, id)
	if err != nil {
		return nil, err
	}
	t.keys, err = fixture.Load(shelf, id, "size")
	return t, err
}

func minSizeAt(t *rated[sizeRow], i int) MinSize {
	r := t.At(i)
	return MinSize{r.Size, r.Style, t.Cite(i)}
}

// MinSizes returns every row of least supply size that fits what the query states:
// one, unless the code tells apart what the query leaves open.
func (c *Code) MinSizes(f tables.Fixture) ([]MinSize, error) {
	c = c.there()
	if c.sizes == nil {
		return nil, c.missing("least supply sizes")
	}
	return fitting(c, c.sizes, &f, minSizeAt)
}

// MinSize returns the least nominal size of the supply to a fixture. Where the
// code tells styles apart and the query states none, the error is [tables.ErrNotStated].
func (c *Code) MinSize(f tables.Fixture) (MinSize, error) {
	c = c.there()
	if c.sizes == nil {
		return MinSize{}, c.missing("least supply sizes")
	}
	i, err := c.rowFor(c.sizes.keys, &f, func(a, b int) bool { return c.sizes.At(a).Size == c.sizes.At(b).Size })
	if err != nil {
		return MinSize{}, err
	}
	return minSizeAt(c.sizes, i), nil
}

// portsServed counts, for each run, the outlets that it serves.
func (l *Layout) portsServed() []int {
	count := make([]int, l.Len())
	for i := range l.data.Fixtures {
		for at := range l.ports(i) {
			count[at] += l.data.Fixtures[i].Count
		}
	}
	sumUp(l, count)
	return count
}

// homeRuns tells which supplies are home runs from a manifold, and what size a code then
// lets them have.
type homeRuns struct {
	*calculation
	outlets []int          // served by each run
	most    units.Length   // developed length up to which a home run may be smaller
	least   units.Pressure // at the meter, for that
}

// newHomeRuns is nil where the code lets no home run be smaller.
func newHomeRuns(work *calculation) *homeRuns {
	far, _ := work.c.Rule("home-run-length-max")
	low, _ := work.c.Rule("home-run-pressure-min")
	h := &homeRuns{calculation: work}
	if work.c.homeRuns == nil || !far.Into(&h.most) || !low.Into(&h.least) {
		return nil
	}
	h.outlets = work.l.portsServed()
	return h
}

// homeRun is one of them.
type homeRun struct {
	manifold string
	length   units.Length   // developed, from the manifold
	pressure units.Pressure // at the meter while water flows, at the source where none is drawn
	allowed  bool           // to be smaller
}

// of returns the home run to a port; false if it is none.
func (h *homeRuns) of(port int32) (run homeRun, ok bool) {
	if h == nil || port < 0 {
		return run, false
	}
	l, at := h.l, port
	for ; at >= 0 && h.outlets[at] == 1 && !l.data.Points[at].Manifold; at = l.parent[at] {
		run.length += l.data.Points[at].Length
	}
	if at < 0 || at == port || !l.data.Points[at].Manifold {
		return run, false
	}
	run.manifold = l.data.Points[at].ID
	var up units.Length // of the first meter, from the source
	for i, metered := at, false; i >= 0; i = l.parent[i] {
		if d := l.data.Points[i].Device; d != nil && d.Kind == "meter" {
			metered, up = true, 0
		}
		if metered {
			up += l.riseOf(int(i))
		}
	}
	run.pressure = h.street - units.Pressure(up.Metres()*h.weight(Cold))
	run.allowed = run.length <= h.most && inPSI(run.pressure) >= inPSI(h.least)
	return run, true
}

// sizes puts what a home run may have in place of the rows of least sizes.
func (h *homeRuns) sizes(f tables.Fixture, list []MinSize) []MinSize {
	fit, err := h.c.fit(h.c.homeRuns.keys, &f)
	if err != nil {
		return list
	}
	out := slices.Clone(list)
	for i := range out {
		for r := range fit.All() {
			row := minSizeAt(h.c.homeRuns, r)
			if (row.Style == "" || row.Style == out[i].Style) && row.Size < out[i].Size {
				out[i].Size, out[i].Citation = row.Size, row.Citation
			}
		}
	}
	return out
}

// ManifoldResult is a manifold with the home runs that go from it.
type ManifoldResult struct {
	Point    string       `json:"point"`
	Size     units.Length `json:"size"` // of the run to it
	Flow     units.Flow   `json:"flow"`
	HomeRuns int          `json:"home_runs"`
	// Longest is the developed length of the longest home run, To the fixture that it serves.
	Longest units.Length `json:"longest"`
	To      string       `json:"to,omitzero"`
}

// Manifolds returns the manifolds of the layout, in its order.
func (a *Analysis) Manifolds() []ManifoldResult {
	if a.made() != nil {
		return nil
	}
	l := a.layout
	var list []ManifoldResult
	at := map[string]int{}
	for i := range l.data.Points {
		if l.data.Points[i].Manifold {
			r, id := &a.runs[i], l.data.Points[i].ID
			at[id] = len(list)
			list = append(list, ManifoldResult{Point: id, Size: r.Size, Flow: r.Flow, HomeRuns: int(l.kids[i])})
		}
	}
	if list == nil {
		return nil
	}
	runs := &homeRuns{calculation: a.worked, outlets: l.portsServed()}
	for fix := range l.data.Fixtures {
		for p := range l.ports(fix) {
			run, ok := runs.of(p)
			if m := at[run.manifold]; ok && run.length > list[m].Longest {
				list[m].Longest, list[m].To = run.length, l.data.Fixtures[fix].ID
			}
		}
	}
	return list
}
