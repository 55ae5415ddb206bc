package supply

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// pricesOf prices the stock of a layout by the square of the size, dearer by the family, so
// that no two sets cost the same by accident.
func pricesOf(d *Data) []Price {
	var list []Price
	for k, s := range d.Stock {
		for _, size := range s.Sizes {
			in := size.Inches()
			cents := int64((100*in*in+77*in)*(1+float64(k)/7) + 31)
			list = append(list, Price{Pipe: s.Pipe, Size: size, PerFoot: decimal.New(cents, -2)})
		}
	}
	return list
}

// everyChoice tries every set of sizes of the stock against what Cheapest promises, looked
// up here from the code's own answers and not from the bounds of the search.
type everyChoice struct {
	h       *calculation
	drawn   []int
	allowed [][]bool // by run and size: velocities, least supplies, the service, manifolds
	need    []units.Pressure
	price   [][]decimal.Decimal
	sizes   []int
	runs    []run
	best    decimal.Decimal
	found   bool
}

func newEveryChoice(t *testing.T, l *Layout, c *Code, prices []Price) *everyChoice {
	t.Helper()
	list, err := priceList(prices)
	if err != nil {
		t.Fatal(err)
	}
	h, err := l.prepare(c, Options{}, func(f *PipeFamily, size units.Length) bool { _, ok := list[priceKey{f.id, size}]; return ok })
	if err != nil {
		t.Fatal(err)
	}
	n := l.Len()
	e := &everyChoice{h: h, need: make([]units.Pressure, n), sizes: make([]int, n), runs: make([]run, n)}
	if e.drawn, err = h.drawnSizes(false); err != nil {
		t.Fatal(err)
	}
	lim := &limits{h: h}
	for i := range n {
		f := h.families[i]
		ok := make([]bool, len(f.sizes))
		price := make([]decimal.Decimal, len(f.sizes))
		for k := range ok {
			ok[k] = e.drawn[i] < 0 || e.drawn[i] == k
			p := list[priceKey{f.id, f.sizes[k].Size}]
			price[k] = p.of(l.data.Points[i].Length)
		}
		if e.drawn[i] < 0 {
			e.hold(t, lim, i, ok)
		}
		for k := range ok {
			ok[k] = ok[k] && (k == 0 || e.drawn[i] >= 0 || l.service[i] != Recirculated)
		}
		e.allowed, e.price = append(e.allowed, ok), append(e.price, price)
	}
	a, err := h.analyse(e.start())
	if err != nil {
		t.Fatal(err)
	}
	for i := range e.need {
		if e.need[i] = units.Pressure(math.Inf(-1)); l.data.Points[i].Needs > 0 {
			e.need[i] = l.data.Points[i].Needs
		}
	}
	for i, f := range a.fixtures {
		for _, p := range [...]int32{l.cold[i], l.hot[i]} {
			if p >= 0 {
				e.need[p] = max(e.need[p], f.Most)
			}
		}
	}
	return e
}

// start are the drawn sizes, and the first of the rest.
func (e *everyChoice) start() []int {
	out := make([]int, len(e.sizes))
	for i := range out {
		out[i] = max(e.drawn[i], 0)
	}
	return out
}

// hold strikes out the sizes that a run may not have. The greatest of the stock stays where
// none will do.
func (e *everyChoice) hold(t *testing.T, lim *limits, i int, ok []bool) {
	t.Helper()
	h, f := e.h, e.h.families[i]
	last := len(ok) - 1
	if limit, known := lim.of(i); known && h.flows[i].Flow > 0 {
		for k := range last {
			v, err := hydraulics.Velocity(h.flows[i].Flow, f.sizes[k].Bore)
			if err != nil {
				t.Fatal(err)
			}
			ok[k] = ok[k] && within(v, limit.Velocity)
		}
	}
	if limit, known := lim.of(i); known && h.l.data.Points[i].Manifold {
		if bore, _, known := h.c.manifold(h.flows[i].Flow, limit.Velocity); known && f.sizes[last].Bore >= bore {
			for k := range ok {
				ok[k] = ok[k] && f.sizes[k].Bore >= bore
			}
		} else if known {
			for k := range last {
				ok[k] = false
			}
		}
	}
	home := newHomeRuns(h)
	reach := func(size units.Length) {
		if !h.c.reaches(&f.sizes[last], size) {
			return // nothing in stock reaches it, and the check says so
		}
		for k := range ok {
			ok[k] = ok[k] && h.c.reaches(&f.sizes[k], size)
		}
	}
	for _, fix := range h.l.FixturesAt(i) {
		one := h.l.data.Fixtures[fix].Fixture
		one.Count = 1
		if list, err := h.c.MinSizes(one); err == nil {
			if run, isHome := home.of(int32(i)); isHome && run.allowed {
				list = home.sizes(one, list)
			}
			for _, m := range list {
				reach(m.Size)
			}
		}
	}
	var least units.Length
	if r, known := h.c.Rule("service-size-min"); known && h.l.parent[i] < 0 && r.Into(&least) {
		reach(least)
	}
}

// returns is what the returns cost more than in their first sizes, once the hot lines are
// what they are.
func (e *everyChoice) returns() (more decimal.Decimal) {
	n := len(e.sizes)
	sizes := slices.Clone(e.sizes)
	if err := e.h.returns(sizes, e.drawn, make([]SizeBasis, n), make([]tables.Citation, n)); err != nil {
		return more
	}
	for i := range sizes {
		more = more.Add(e.price[i][sizes[i]]).Sub(e.price[i][e.sizes[i]])
	}
	return more
}

// try goes through the runs from the source down, each in every size.
func (e *everyChoice) try(k int, cost decimal.Decimal) {
	l := e.h.l
	if k == len(l.order) {
		if len(l.data.Recirculation) > 0 {
			cost = cost.Add(e.returns())
		}
		if !e.found || cost.LessThan(e.best) {
			e.best, e.found = cost, true
		}
		return
	}
	i := l.order[k]
	p := l.parent[i]
	for s := range e.allowed[i] {
		if !e.allowed[i][s] {
			continue
		}
		e.sizes[i] = s
		if p >= 0 && e.drawn[p] < 0 && e.sizes[p]+1 < len(e.allowed[p]) &&
			(l.service[i] != Recirculated || l.service[p] == Recirculated) &&
			e.h.opt.smaller(&e.h.families[p].sizes[e.sizes[p]], &e.h.families[i].sizes[s]) {
			continue // the line that feeds it is smaller, and there is a greater
		}
		if !e.h.hasFigures(i, s, &e.runs[i]) && e.drawn[i] < 0 {
			continue
		}
		e.h.pressures(i, e.runs)
		r := &e.runs[i]
		if float64(e.need[i]-r.Out) > pressureSlack ||
			l.data.Points[i].Device.booster() && float64(r.Out+r.Reduced) < -pressureSlack {
			continue
		}
		e.try(k+1, cost.Add(e.price[i][s]))
	}
}

// cheapestFault sets Cheapest beside every choice; "" if it is right.
func cheapestFault(t *testing.T, c *Code, d Data) (fault string, solved bool) {
	t.Helper()
	l, err := New(d)
	if err != nil {
		return "", false
	}
	prices := pricesOf(&d)
	got, err := l.Cheapest(c, prices, CheapestOptions{})
	e := newEveryChoice(t, l, c, prices)
	e.try(0, decimal.Zero)
	switch {
	case !e.found && errors.Is(err, units.ErrNoSolution):
		return "", false
	case !e.found && err == nil:
		return fmt.Sprintf("cost %v, and no set serves", got.Cost), false
	case err != nil:
		return fmt.Sprintf("%v, and a set of %v serves", err, e.best), true
	case len(d.Recirculation) > 0 && !got.Cost.LessThan(e.best.Sub(decimal.New(1, -4))) &&
		!got.Cost.Sub(got.Gap).GreaterThan(e.best.Add(decimal.New(1, -4))): // returns follow the search
	case got.Cost.Sub(e.best).Abs().GreaterThan(decimal.New(1, -4)):
		return fmt.Sprintf("cost %v, cheapest by trial %v (Size's set %v)", got.Cost, e.best, got.Greedy), true
	case !got.Gap.IsZero() && len(d.Recirculation) == 0:
		return fmt.Sprintf("gap %v where nothing was thinned", got.Gap), true
	case len(got.Sizing.unserved) > 0:
		return fmt.Sprintf("leaves %v short", got.Sizing.Short()), true
	}
	s, err := l.Size(c, Options{})
	if err != nil {
		return err.Error(), true
	}
	if len(s.unserved) == 0 && got.Greedy.LessThan(got.Cost) {
		return fmt.Sprintf("cost %v, dearer than Size's %v", got.Cost, got.Greedy), true
	}
	return "", true
}

// shrink makes a layout at fault smaller while it stays at fault.
func shrink(d Data, atFault func(Data) bool) Data {
	for again := true; again; {
		again = false
		var tries []Data
		for i := range d.Fixtures {
			x := d
			x.Fixtures = slices.Delete(slices.Clone(d.Fixtures), i, i+1)
			tries = append(tries, x)
		}
		for i := range d.Points {
			x := d
			x.Points = slices.Delete(slices.Clone(d.Points), i, i+1)
			for k := range x.Points {
				if x.Points[k].From == d.Points[i].ID {
					x.Points[k].From = d.Points[i].From
				}
			}
			tries = append(tries, x)
			for _, edit := range []func(p *Point){
				func(p *Point) { p.Device = nil }, func(p *Point) { p.Fittings = nil }, func(p *Point) { p.Rise = 0 },
				func(p *Point) { p.Size = 0 }, func(p *Point) { p.Continuous = 0 }, func(p *Point) { p.Needs = 0 },
			} {
				x := d
				x.Points = slices.Clone(d.Points)
				edit(&x.Points[i])
				before, _ := json.Marshal(d.Points[i])
				if after, _ := json.Marshal(x.Points[i]); string(after) != string(before) {
					tries = append(tries, x)
				}
			}
		}
		for _, x := range tries {
			if atFault(x) {
				d, again = x, true
				break
			}
		}
	}
	return d
}

// stockFew draws three or four sizes of each family for the stock.
func stockFew(r *rand.Rand, c *Code, d *Data) {
	pipes := map[string]bool{d.Pipe.Cold: true, d.Pipe.Hot: true, d.Pipe.Recirc: true}
	sizes := map[string][]units.Length{}
	for _, p := range d.Points {
		if p.Pipe != "" {
			pipes[p.Pipe] = true
		}
	}
	var names []string
	for name := range pipes {
		if name != "" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	d.Stock = nil
	for _, name := range names {
		f, err := c.Pipe(name)
		if err != nil {
			continue
		}
		sold := c.sold(f, 0).sizes
		n := 3 + r.IntN(2)
		first := r.IntN(3)
		for k := first; k < len(sold) && k < first+n; k++ {
			if !slices.Contains(sizes[name], sold[k].Size) {
				sizes[name] = append(sizes[name], sold[k].Size)
			}
		}
		d.Stock = append(d.Stock, Stock{Pipe: name, Sizes: sizes[name]})
	}
	for i := range d.Points {
		p := &d.Points[i]
		if p.Size != 0 {
			name := p.Pipe
			if name == "" {
				name = d.Pipe.Cold
			}
			p.Size = sizes[name][r.IntN(len(sizes[name]))]
		}
	}
}

// mixPipes lays some runs in other pipe, draws some sizes, which stockFew then chooses, puts
// in manifolds and pressures for what flows without end.
func mixPipes(r *rand.Rand, d *Data) {
	if r.IntN(2) == 0 {
		d.Pipe.Hot = "pex-sdr9"
	}
	for i := range d.Points {
		p := &d.Points[i]
		hot := p.ID[0] == 'H'
		if r.IntN(6) == 0 && !(hot && len(p.Fittings) > 0) {
			p.Pipe = []string{"copper-k", "pex-sdr9"}[r.IntN(2)]
		}
		if p.Pipe == "pex-sdr9" || hot && p.Pipe == "" && d.Pipe.Hot == "pex-sdr9" {
			p.Fittings = nil
			if r.IntN(2) == 0 {
				p.Fittings = []FittingItem{{Fitting: "elbow", Count: 1 + r.IntN(3), K: 1.5}}
			}
		}
		if r.IntN(7) == 0 {
			p.Size = units.Inch
			if p.Pipe == "" {
				p.Pipe = map[bool]string{true: d.Pipe.Hot, false: d.Pipe.Cold}[hot]
			}
		}
		if p.Continuous > 0 && r.IntN(2) == 0 {
			p.Needs = units.Pressure(10+r.IntN(30)) * units.PoundForcePerSquareInch
		}
		p.Manifold = r.IntN(10) == 0
	}
	if r.IntN(3) == 0 {
		var hot []string
		for i := range d.Points {
			if id := d.Points[i].ID; id[0] == 'H' {
				hot = append(hot, id)
			}
		}
		d.Points = append(d.Points, Point{ID: "R", From: hot[r.IntN(len(hot))], Line: "recirc", Length: 40 * units.Foot})
		d.Recirculation = []Loop{{ID: "L", Heater: "WH", Return: "R", Drop: units.TemperatureDifference(1+r.IntN(5)) * units.KelvinDifference}}
	}
}

// On small houses of both lines with devices, regulators, boosters, drawn sizes and several
// outlets, under every code that gives flows, no set of sizes is cheaper than Cheapest, and
// it is never dearer than Size. What was ever at fault is kept in testdata/cheapest.
func TestCheapestAgainstEveryChoice(t *testing.T) {
	files, err := filepath.Glob("testdata/cheapest/*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		code, _, _ := strings.Cut(filepath.Base(name), "_")
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		l, err := Parse(name, data)
		if err != nil {
			t.Fatal(err)
		}
		if fault, _ := cheapestFault(t, mustCode(t, code), l.Data()); fault != "" {
			t.Errorf("%s: %s", name, fault)
		}
	}
	rounds, seed := 8, uint64(61)
	if s := os.Getenv("TRAPWEIR_CHEAPEST"); s != "" {
		fmt.Sscan(s, &rounds, &seed)
	}
	solved := 0
	houses(t, seed, rounds, func(r *rand.Rand, c *Code, d Data) {
		if c.sizesByUnits() || t.Failed() {
			return
		}
		d = fittedHouse(r, 1+r.IntN(5))
		mixSides(r, &d, c.LoadUnit())
		if c.ID() == "irc-2021" {
			for i := range d.Fixtures {
				if f := &d.Fixtures[i]; f.Control == tables.Valve {
					f.Control, f.Style, f.Use = tables.Tank, "", tables.Private
				}
			}
		}
		if len(d.Points) > 8 {
			return
		}
		mixPipes(r, &d)
		stockFew(r, c, &d)
		fault, ok := cheapestFault(t, c, d)
		if ok {
			solved++
		}
		if fault == "" {
			return
		}
		small := shrink(d, func(x Data) bool { f, _ := cheapestFault(t, c, x); return f != "" })
		l, err := New(small)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.MarshalIndent(l, "", " ")
		if err != nil {
			t.Fatal(err)
		}
		fault, _ = cheapestFault(t, c, small)
		t.Errorf("%s: %s\n%s", c.ID(), fault, text)
	})
	if solved < rounds {
		t.Errorf("%d houses solved", solved)
	}
}
