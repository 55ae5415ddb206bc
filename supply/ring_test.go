package supply

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// square is a ring of four equal sides with one draw at the far corner.
func square(fixtures ...LayoutFixture) Data {
	side := Point{Length: 100 * units.Foot, Size: units.Inch}
	at := func(id, from string) Point { p := side; p.ID, p.From = id, from; return p }
	entry := at("A", "street")
	entry.Device = &Device{Kind: "other", Loss: 3 * units.PoundForcePerSquareInch}
	return Data{
		Source: Source{ID: "street", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(60)},
		Pipe:   LinePipes{Cold: "copper-l"},
		Points: []Point{entry, at("B", "A"), at("C", "A"), at("D", "B")},
		Fixtures: append([]LayoutFixture{{ID: "F", Fixture: tables.Fixture{Kind: "water-closet", Count: 2,
			Use: tables.Public, Control: tables.Tank, Style: "close coupled"}, Cold: "D"}},
			fixtures...),
		Links: []Link{{ID: "K", Between: [2]string{"C", "D"}, Length: 100 * units.Foot, Size: units.Inch}},
	}
}

func ringOf(t *testing.T, d Data) (*Analysis, *Ring) {
	t.Helper()
	return ringUnder(t, mustCode(t, "ipc-2021"), d)
}

func ringUnder(t *testing.T, c *Code, d Data) (*Analysis, *Ring) {
	t.Helper()
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := a.Ring()
	if err != nil {
		t.Fatal(err)
	}
	return a, r
}

// Even sides carry half each, and half the flow loses 2^-1.85 of the head (1/0.54).
func TestRingSquare(t *testing.T) {
	a, r := ringOf(t, square())
	q := a.runs[3].Flow
	if got := float64(r.Links[0].Flow / q); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("the link carries %v of the flow", got)
	}
	for i, want := range []float64{1, 0.5, 0.5, 0.5} {
		if got := float64(r.Runs[i] / q); math.Abs(got-want) > 1e-9 {
			t.Errorf("run %s carries %v of the flow, want %v", a.layout.Point(i).ID, got, want)
		}
	}
	// All of the flow passes the device at A, either way.
	if math.Abs(float64(r.Out[0]-a.runs[0].Out)) > 1e-3 {
		t.Errorf("%v at A, %v in the analysis", r.Out[0], a.runs[0].Out)
	}
	tree, ring := a.runs[0].Out-a.runs[3].Out, r.Out[0]-r.Out[3]
	if got, want := float64(ring/tree), math.Pow(0.5, 1/0.54); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the ring loses %v of the tree's loss, want %v", got, want)
	}
	if r.Continuity > 1e-9 || r.Energy > 1e-9 {
		t.Errorf("left unbalanced: %v, %v", r.Continuity, r.Energy)
	}
}

// Draws are shared out by load: what goes in comes out, and no point is worse off
// than with the link shut.
func TestRingDraws(t *testing.T) {
	d := square(LayoutFixture{ID: "G", Fixture: tables.Fixture{Kind: "lavatory", Count: 3, Use: tables.Public}, Cold: "B"})
	d.Points[1].Continuous = 2 * units.USGallonPerMinute
	a, r := ringOf(t, d)
	if got, want := float64(r.Runs[0]), float64(a.runs[0].Flow); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the main carries %v, demand is %v", got, want)
	}
	for _, i := range []int{0, 2, 3} {
		if r.Out[i] < a.runs[i].Out-1e-6 && i != 2 {
			t.Errorf("%s: %v with the ring open, %v with it shut", a.layout.Point(i).ID, r.Out[i], a.runs[i].Out)
		}
	}
}

// regulated is the square with a regulator at the entry.
func regulated(set units.Pressure) Data {
	d := square()
	d.Points[0].Device = &Device{Kind: "regulator", Set: set, FallOff: 2 * units.PoundForcePerSquareInch}
	return d
}

// A ring behind a regulator hangs on its pressure; the flows are those of the ring
// without it. One that is set above what reaches it changes nothing.
func TestRingBehindRegulator(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	free := square()
	free.Points[0].Device = nil
	_, plain := ringOf(t, free)
	_, held := ringOf(t, regulated(40*psi))
	_, idle := ringOf(t, regulated(80*psi))
	if got := held.Out[0]; got != 38*psi {
		t.Errorf("behind the regulator %v", got)
	}
	for i := range plain.Out {
		if want := plain.Out[i] - plain.Out[0] + 38*psi; math.Abs(float64(held.Out[i]-want)) > 1e-3 {
			t.Errorf("point %d: %v, want %v", i, held.Out[i], want)
		}
		if math.Abs(float64(idle.Out[i]-plain.Out[i])) > 1e-3 || math.Abs(float64(idle.Runs[i]/plain.Runs[i]-1)) > 1e-9 {
			t.Errorf("point %d: an idle regulator: %v and %v, without %v and %v", i, idle.Out[i], idle.Runs[i], plain.Out[i],
				plain.Runs[i])
		}
	}
	if math.Abs(float64(held.Links[0].Flow/plain.Links[0].Flow-1)) > 1e-9 {
		t.Errorf("the link carries %v, without a regulator %v", held.Links[0].Flow, plain.Links[0].Flow)
	}
}

// A regulator on a branch of a ring: the ring feeds it as any draw, and what is behind
// it, here another ring, hangs on it.
func TestRingBeforeRegulator(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	d := square(LayoutFixture{ID: "G", Fixture: tables.Fixture{Kind: "lavatory", Count: 4, Use: tables.Public}, Cold: "H"})
	side := Point{Length: 50 * units.Foot, Size: units.Inch}
	for _, p := range [][2]string{{"E", "D"}, {"F", "E"}, {"G", "E"}, {"H", "F"}} {
		q := side
		q.ID, q.From = p[0], p[1]
		d.Points = append(d.Points, q)
	}
	branch, _ := ringOf(t, d)
	_, before := ringOf(t, d)
	d.Points[4].Device = &Device{Kind: "regulator", Set: 30 * psi}
	d.Links = append(d.Links, Link{ID: "K2", Between: [2]string{"G", "H"}, Length: 50 * units.Foot, Size: units.Inch})
	_, r := ringOf(t, d)
	if r.Out[4] != 30*psi {
		t.Errorf("behind the regulator %v", r.Out[4])
	}
	// What is upstream does not know of it.
	for i := range 4 {
		if math.Abs(float64(r.Runs[i]/before.Runs[i]-1)) > 1e-9 || math.Abs(float64(r.Out[i]-before.Out[i])) > 1e-3 {
			t.Errorf("%s: %v at %v, without a regulator %v at %v", branch.layout.Point(i).ID, r.Runs[i], r.Out[i],
				before.Runs[i], before.Out[i])
		}
	}
	// The second ring: even sides, all drawn at its far corner.
	if got := float64(r.Links[1].Flow / r.Runs[4]); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("the second link carries %v of what passes the regulator", got)
	}
	if r.Out[7] >= r.Out[4] || r.Continuity > 1e-9 || r.Energy > 1e-9 {
		t.Errorf("%v at the far corner; left unbalanced: %v, %v", r.Out[7], r.Continuity, r.Energy)
	}
}

// A line without links behind a ring starts from the ring's pressure.
func TestRingFeedsLine(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	d := square()
	d.Water.Hot = units.Fahrenheit(120)
	d.Pipe.Hot = "copper-l"
	d.Points = append(d.Points, Point{ID: "WH", From: "D", Length: units.Foot, Size: units.Inch,
		Device: &Device{Kind: "storage-heater", Loss: psi}},
		Point{ID: "H", From: "WH", Length: 20 * units.Foot, Size: units.Inch / 2})
	d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "L",
		Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, Hot: "H"})
	a, r := ringOf(t, d)
	if got, want := r.Out[5], r.Out[4]-a.runs[5].loss(); got != want || r.Out[5] <= a.runs[5].Out {
		t.Errorf("%v at the hot end, want %v; with the link shut %v", got, want, a.runs[5].Out)
	}
}

func TestRingRefusesRegulator(t *testing.T) {
	d := square()
	d.Points[1].Device = &Device{Kind: "regulator", Set: 40 * units.PoundForcePerSquareInch}
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Ring(); !errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), `regulator at "B"`) ||
		!strings.Contains(err.Error(), "put both ends") {
		t.Errorf("got %v", err)
	}
}

// checkRing judges a ring by the laws alone: along every run and every link pressure
// falls by friction, height and device, and what comes to a point less what leaves it
// is what is drawn there, by point in draws.
func checkRing(t *testing.T, a *Analysis, r *Ring, draws map[string]units.Flow) {
	t.Helper()
	l := a.layout
	left := map[string]float64{}
	waterOf := func(i int) hydraulics.Water {
		temperature := l.data.Water.Cold
		if l.service[i] != Cold {
			temperature = l.data.Water.Hot
		}
		w, err := hydraulics.WaterAt(temperature)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	loss := func(f *PipeFamily, bore, length units.Length, fittings []FittingItem, q units.Flow,
		w hydraulics.Water) float64 {
		k := 0.0
		for _, x := range fittings {
			k += x.K * float64(x.Count)
			length += x.Length * units.Length(x.Count)
		}
		res, err := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: bore, Length: length, C: f.c, K: k,
			Water: w}.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		p, err := res.PressureLoss(units.Flow(math.Abs(float64(q))))
		if err != nil {
			t.Fatal(err)
		}
		return math.Copysign(float64(p), float64(q))
	}
	for i := range a.runs {
		p, run := l.Point(i), &a.runs[i]
		w := waterOf(i)
		in := float64(l.data.Source.Pressure)
		if up := l.parent[i]; up >= 0 {
			in = float64(r.Out[up])
		}
		want := in - loss(run.family, run.Bore, p.Length, p.Fittings, r.Runs[i],
			w) - p.Rise.Metres()*float64(w.Density)*units.StandardGravity
		if d := p.Device; d != nil {
			if want -= float64(d.Loss); d.Kind == "regulator" {
				want = min(want, float64(d.Set-d.FallOff))
			}
		}
		if math.Abs(float64(r.Out[i])-want) > 0.01 {
			t.Errorf("%s: %v Pa, by the laws %v", p.ID, float64(r.Out[i]), want)
		}
		left[p.ID] += float64(r.Runs[i])
		left[p.From] -= float64(r.Runs[i])
	}
	for k := range l.data.Links {
		link, got := &l.data.Links[k], &r.Links[k]
		from, to := int(l.index[link.Between[0]]), int(l.index[link.Between[1]])
		family := a.runs[from].family
		bore := family.sizes[family.size(link.Size)].Bore
		w := waterOf(from)
		fall := loss(family, bore, link.Length, link.Fittings, got.Flow, w)
		head := float64(a.runs[to].Elevation-a.runs[from].Elevation) / float64(units.Metre) * float64(w.Density) * units.StandardGravity
		if off := float64(r.Out[from]) - float64(r.Out[to]) - fall - head; math.Abs(off) > 0.01 {
			t.Errorf("link %s: its ends are off by %v Pa", link.ID, off)
		}
		if math.Abs(float64(got.Loss)-math.Abs(fall)) > 0.01 {
			t.Errorf("link %s loses %v Pa, said to lose %v", link.ID, math.Abs(fall), float64(got.Loss))
		}
		area := math.Pi / 4 * bore.Metres() * bore.Metres()
		if want := math.Abs(float64(got.Flow)) / area; math.Abs(float64(got.Velocity)/want-1) > 1e-9 {
			t.Errorf("link %s: %v m/s, want %v", link.ID, float64(got.Velocity), want)
		}
		left[link.Between[0]] -= float64(got.Flow)
		left[link.Between[1]] += float64(got.Flow)
	}
	for id, want := range draws {
		if got := left[id]; math.Abs(got-float64(want)) > 1e-9*float64(r.Runs[l.index["A"]]) {
			t.Errorf("%s draws %v m3/s, want %v", id, got, float64(want))
		}
	}
}

// meshed is two loops over four heights with fittings, a device, draws at every kind of
// place, and a heater on it whose hot line has a link or not.
func meshed(hotLink bool) Data {
	const ft, in, gpm = units.Foot, units.Inch, units.USGallonPerMinute
	d := Data{
		Source: Source{ID: "street", Pressure: 80 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120)},
		Pipe:   LinePipes{Cold: "copper-l", Hot: "copper-l"},
		Points: []Point{
			{ID: "A", From: "street", Length: 50 * ft, Rise: 2 * ft, Size: in,
				Device: &Device{Kind: "other", Loss: 3 * units.PoundForcePerSquareInch}, Continuous: gpm},
			{ID: "B", From: "A", Length: 40 * ft, Rise: 10 * ft, Size: in},
			{ID: "C", From: "A", Length: 60 * ft, Rise: -3 * ft, Size: in,
				Fittings: []FittingItem{{Fitting: "elbow", Count: 3, K: 2}}},
			{ID: "D", From: "B", Length: 30 * ft, Rise: ft, Size: in * 3 / 4,
				Fittings: []FittingItem{{Fitting: "elbow", Count: 2, Length: 4 * ft}}},
			{ID: "E", From: "C", Length: 20 * ft, Size: in},
			{ID: "WH", From: "E", Length: 6 * ft, Rise: 4 * ft, Size: in,
				Device: &Device{Kind: "storage-heater", Loss: units.PoundForcePerSquareInch}},
			{ID: "H", From: "WH", Length: 20 * ft, Rise: 5 * ft, Size: in * 3 / 4},
			{ID: "G", From: "H", Length: 20 * ft, Rise: -ft, Size: in * 3 / 4, Continuous: gpm / 2},
			{ID: "J", From: "H", Length: 30 * ft, Size: in / 2},
		},
		Fixtures: []LayoutFixture{
			{ID: "closet", Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Public, Control: tables.Tank},
				Cold: "A"},
			{ID: "basins", Fixture: tables.Fixture{Kind: "lavatory", Count: 3, Use: tables.Public}, Cold: "D", Hot: "G"},
			{ID: "sink", Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, Hot: "J"},
		},
		Links: []Link{
			{ID: "K1", Between: [2]string{"C", "D"}, Length: 25 * ft, Size: in / 2,
				Fittings: []FittingItem{{Fitting: "elbow", Count: 2, K: 1.5}, {Fitting: "tee", Count: 2, Length: 3 * ft}}},
			{ID: "K2", Between: [2]string{"E", "B"}, Length: 15 * ft, Size: in / 4},
		},
	}
	if hotLink {
		d.Links = []Link{{ID: "K3", Between: [2]string{"J", "G"}, Length: 10 * ft, Size: in / 2}}
	}
	return d
}

// rotated is a layout with its points in another order, which says nothing.
func rotated(d Data, by int) Data {
	d.Points = slices.Concat(d.Points[by:], d.Points[:by])
	return d
}

// Loads by hand, IPC Table E103.3(2): closet 5; lavatory 1.5, 1.5 and 2 in all, which one
// fed by the hot line alone takes there. A ring shares 5 at A, 3 x 1.5 at D and, for the
// hot line, 3 x 1.5 + 2 at the heater: 16.
func TestRingLaws(t *testing.T) {
	const gpm = units.USGallonPerMinute
	for _, turn := range []string{"K1", "K2", ""} {
		for by := range 9 {
			d := rotated(meshed(false), by)
			for k := range d.Links {
				if x := &d.Links[k]; x.ID == turn {
					x.Between[0], x.Between[1] = x.Between[1], x.Between[0]
				}
			}
			a, r := ringOf(t, d)
			at := func(id string) int { i, _ := a.layout.Find(id); return i }
			peak := a.runs[at("A")].Flow - gpm*3/2
			share := func(load float64) units.Flow { return peak * units.Flow(load/16) }
			checkRing(t, a, r, map[string]units.Flow{
				"A": share(5) + gpm, "B": 0, "C": 0, "D": share(4.5), "E": 0,
			})
			if got, want := r.Runs[at("WH")], share(6.5)+gpm/2; math.Abs(float64(got/want-1)) > 1e-9 {
				t.Errorf("the heater draws %v m3/s, want %v", float64(got), float64(want))
			}
			if r.Continuity > 1e-9 || r.Energy > 1e-9 {
				t.Errorf("left unbalanced: %v, %v", r.Continuity, r.Energy)
			}
		}
	}
	// A link on the hot line: the cold line is as in the analysis, and at the heater's
	// outlet the ring begins.
	for by := range 9 {
		a, r := ringOf(t, rotated(meshed(true), by))
		at := func(id string) int { i, _ := a.layout.Find(id); return i }
		for _, id := range []string{"A", "B", "C", "D", "E", "WH"} {
			if i := at(id); r.Out[i] != a.runs[i].Out || r.Runs[i] != a.runs[i].Flow {
				t.Errorf("%s: %v at %v, in the analysis %v at %v", id, r.Runs[i], r.Out[i], a.runs[i].Flow, a.runs[i].Out)
			}
		}
		peak := a.runs[at("H")].Flow - gpm/2
		checkRing(t, a, r, map[string]units.Flow{"H": 0, "G": peak*4.5/6.5 + gpm/2, "J": peak * 2 / 6.5})
	}
}

// Behind a regulator at a height the ring hangs on what it holds, at that height.
func TestRingLawsBehindRegulator(t *testing.T) {
	for by := range 9 {
		d := meshed(false)
		d.Points[0].Device = &Device{Kind: "regulator", Set: 45 * units.PoundForcePerSquareInch,
			FallOff: units.PoundForcePerSquareInch}
		a, r := ringOf(t, rotated(d, by))
		checkRing(t, a, r, map[string]units.Flow{"B": 0, "C": 0, "E": 0})
	}
}

// A branch with a regulator draws at the regulator what lies behind it: a lavatory more,
// 2 of 18 units.
func TestRingLawsBeforeRegulator(t *testing.T) {
	const ft, in, gpm = units.Foot, units.Inch, units.USGallonPerMinute
	d := meshed(false)
	d.Points = append(d.Points, Point{ID: "P", From: "E", Length: 5 * ft, Size: in,
		Device: &Device{Kind: "regulator", Set: 20 * units.PoundForcePerSquareInch}},
		Point{ID: "Q", From: "P", Length: 5 * ft, Rise: ft, Size: in / 2})
	d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "behind",
		Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, Cold: "Q"})
	for by := range d.Points {
		a, r := ringOf(t, rotated(d, by))
		i, _ := a.layout.Find("P")
		k, _ := a.layout.Find("A")
		checkRing(t, a, r, map[string]units.Flow{"B": 0, "C": 0, "E": 0})
		if want := (a.runs[k].Flow - gpm*3/2) * 2 / 18; math.Abs(float64(r.Runs[i]/want-1)) > 1e-9 {
			t.Errorf("turned by %d: the branch draws %v m3/s, want %v", by, float64(r.Runs[i]), float64(want))
		}
	}
}

func ringLayout(t *testing.T, d Data) *Layout {
	t.Helper()
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A ring has one size all round, by what flows in it while its links are open too. Twenty
// closets at each side of it: by the long side, 200 ft against 20 ft, next to nothing goes, and
// the short one carries 53 gpm where its own closets ask 43.5. In 1-1/2 in that is 9.6 ft/s, over
// the 8 ft/s of cold copper, which each side alone keeps; in 2 in it is 5.5.
func TestRingSizesAgree(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, opt := range []Options{{}, {FeedsAny: true}} {
		l := ringLayout(t, lopsided())
		sized, err := l.Size(c, opt)
		if err != nil {
			t.Fatal(err)
		}
		rated, err := l.UniformLoss(c, opt)
		if err != nil {
			t.Fatal(err)
		}
		cheap, err := l.Cheapest(c, copperPrices(), CheapestOptions{Options: opt})
		if err != nil {
			t.Fatal(err)
		}
		for by, s := range map[string]*Sizing{"Size": sized, "UniformLoss": rated.Sizing, "Cheapest": cheap.Sizing} {
			for _, id := range []string{"B", "C"} {
				if r, _ := s.Of(id); r.Decided != ByRing || r.Size != 2*units.Inch || r.Citation.IsZero() {
					t.Errorf("%s: %s: %v, %v, %v", by, id, r.Size, r.Decided, r.Citation)
				}
			}
			if got := s.Analyse().Layout().Data().Links[0].Size; got != 2*units.Inch {
				t.Errorf("%s: the link is %v", by, got)
			}
			if got := s.Layout().Data().Links[0].Size; by == "Size" && got != 0 {
				t.Errorf("the layout as given has %v for the link", got)
			}
			for _, f := range findingsOf(t, s, "water-velocity") {
				if f.Verdict != tables.Pass {
					t.Errorf("%s: %v %s: %s %s", by, f.Verdict, f.Place, f.Reason, f.Fix)
				}
			}
		}
		if cheap.Cost.GreaterThan(cheap.Greedy) {
			t.Errorf("cheapest %v, greedy %v", cheap.Cost, cheap.Greedy)
		}
		for _, x := range sized.lines() { // 100 ft of the service and 220 ft of ring
			if x.Kind == "pipe" && x.Length != 320*units.Foot {
				t.Errorf("%v of %v ordered", x.Length, x.Size)
			}
		}
	}
	// A drawn size stays as drawn, and its check says that it is too fast.
	d := lopsided()
	d.Points[2].Size = units.Inch
	s, err := ringLayout(t, d).Size(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r, _ := s.Of("C"); r.Size != units.Inch || r.Decided != Drawn {
		t.Errorf("drawn C: %v, %v", r.Size, r.Decided)
	}
	for _, f := range findingsOf(t, s, "water-velocity") {
		if (f.Verdict == tables.Pass) == (f.Place == "C") {
			t.Errorf("%v %s: %s", f.Verdict, f.Place, f.Reason)
		}
	}
}

// lopsided is a ring without sizes, with twenty closets at the end of its long side and twenty
// at that of its short one.
func lopsided() Data {
	d := square()
	d.Points = d.Points[:3]
	for i := range d.Points {
		d.Points[i].Size = 0
	}
	d.Points[1].Length, d.Points[2].Length = 200*units.Foot, 10*units.Foot
	d.Fixtures[0].Count, d.Fixtures[0].Cold = 20, "B"
	other := d.Fixtures[0]
	other.ID, other.Cold = "G", "C"
	d.Fixtures = append(d.Fixtures, other)
	d.Links = []Link{{ID: "K", Between: [2]string{"B", "C"}, Length: 10 * units.Foot}}
	d.Source.Pressure = 80 * units.PoundForcePerSquareInch
	return d
}

// Fixtures that a town counts for nothing draw nothing from a ring.
func TestRingWithoutLoad(t *testing.T) {
	c := amendedCode(t, "ipc-2021", "ipc-2021/supply-fixture-units",
		"fixture,use,control,flush_over[gal],flush_to[gal],size[in],ports,cold[wsfu],hot[wsfu],total[wsfu],src,status",
		"set,lavatory,public,,,,,both,0,1.5,1.5,,read")
	d := square()
	d.Fixtures[0] = LayoutFixture{ID: "F", Fixture: tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Public},
		Cold: "D"}
	a, r := ringUnder(t, c, d)
	for i, q := range r.Runs {
		if math.Abs(float64(q)) > 1e-9 || math.Abs(float64(r.Out[i]-a.runs[i].Out)) > 1 {
			t.Errorf("%s: %v m3/s, %v, in the analysis %v", a.layout.Point(i).ID, float64(q), r.Out[i], a.runs[i].Out)
		}
	}
}

// Of fixtures whose load falls with their number the ring takes what they add together:
// UPC 610.10, three clinical sinks 20 + 15 + 10; eight public lavatories of one unit, fed by
// the cold line alone, 8.
func TestRingSharesLadder(t *testing.T) {
	d := square(LayoutFixture{ID: "G", Fixture: tables.Fixture{Kind: "lavatory", Count: 8, Use: tables.Public}, Cold: "D"})
	d.Fixtures[0] = LayoutFixture{ID: "sinks", Fixture: tables.Fixture{Kind: "clinical-sink", Count: 3,
		Control: tables.Valve}, Cold: "C"}
	a, r := ringUnder(t, mustCode(t, "upc-2021"), d)
	whole := a.runs[0].Flow
	checkRing(t, a, r, map[string]units.Flow{"B": 0, "C": whole * 45 / 53, "D": whole * 8 / 53})
}

// A link across regulators one behind the other is refused for the lower one, in
// whatever order they are listed.
func TestRingNamesRegulator(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	side := Point{Length: 50 * units.Foot, Size: units.Inch}
	at := func(id, from string) Point { p := side; p.ID, p.From = id, from; return p }
	r1, r2 := at("R1", "M0"), at("R2", "M1")
	r1.Device, r2.Device = &Device{Kind: "regulator", Set: 50 * psi}, &Device{Kind: "regulator", Set: 30 * psi}
	points := []Point{at("M0", "street"), r1, at("M1", "R1"), r2, at("M2", "R2"), at("X", "M0")}
	for by := range points {
		for _, c := range []struct {
			between [2]string
			want    string
		}{
			{[2]string{"M1", "M2"}, "R2"}, {[2]string{"M2", "M1"}, "R2"}, {[2]string{"X", "M1"}, "R1"},
		} {
			d := rotated(square(), 0)
			d.Points = slices.Concat(points[by:], points[:by])
			d.Fixtures[0].Cold = "M2"
			d.Links = []Link{{ID: "K", Between: c.between, Length: 100 * units.Foot, Size: units.Inch}}
			l, err := New(d)
			if err != nil {
				t.Fatal(err)
			}
			a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := a.Ring(); !errors.Is(err, tables.ErrQuery) ||
				!strings.Contains(err.Error(), `regulator at "`+c.want+`"`) {
				t.Errorf("%v, turned by %d: %v", c.between, by, err)
			}
		}
	}
}

// calculated is a layout up to its least sizes.
func calculated(t *testing.T, c *Code, d Data) *calculation {
	t.Helper()
	h, err := ringLayout(t, d).prepare(c, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	drawn, err := h.drawnSizes(false)
	if err == nil {
		_, err = h.bounds(drawn)
	}
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// linkedHouses calls f with random houses whose links close rings, under codes of each kind.
// Most links have no size; some runs and links have one drawn.
func linkedHouses(t *testing.T, seed uint64, n int, f func(r *rand.Rand, c *Code, d Data)) {
	t.Helper()
	houses(t, seed, n, func(r *rand.Rand, c *Code, d Data) {
		s := sized(t, c, d)
		l := s.layout
		valves := l.regulators()
		for k := range 1 + r.IntN(4) {
			i, j := r.IntN(len(d.Points)), r.IntN(len(d.Points))
			if i == j || l.lineOf(int32(i), valves) != l.lineOf(int32(j), valves) || l.service[i] != l.service[j] {
				continue
			}
			x := Link{ID: fmt.Sprint("K", k), Between: [2]string{d.Points[i].ID, d.Points[j].ID},
				Length: units.Length(5+r.IntN(50)) * units.Foot}
			if r.IntN(4) == 0 {
				x.Size = s.runs[i].Size
			}
			d.Links = append(d.Links, x)
		}
		if len(d.Links) == 0 {
			return
		}
		if at := r.IntN(len(d.Points)); r.IntN(3) == 0 {
			d.Points[at].Size = s.runs[at].Size
		}
		f(r, c, d)
	})
}

// Less pressure in the street never makes a pipe smaller on rings either, for what flows in a
// ring hangs on its one size and on what is drawn, and a drawn pipe in it is the same at every
// pressure. (Sized run by run it did: with more pressure another side of the ring was smaller,
// and the water went this way.)
func TestLessPressureNeverSmallerOnRings(t *testing.T) {
	pairs := 0
	for _, seed := range []uint64{922, 31} {
		linkedHouses(t, seed, 12, func(r *rand.Rand, c *Code, d Data) {
			high := units.Pressure(50+r.IntN(80)) * units.PoundForcePerSquareInch
			before, served := sizesAt(t, c, d, high)
			for steps := 0; served && steps < 10; steps++ {
				high -= units.Pressure(1+r.IntN(8)) * units.PoundForcePerSquareInch
				if high <= 0 {
					return
				}
				var now []units.Length
				if now, served = sizesAt(t, c, d, high); !served {
					return
				}
				pairs++
				for i := range now {
					if now[i] < before[i] {
						t.Fatalf("%s: size %d is %v at %v, and %v with more pressure", c.ID(), i, now[i], high, before[i])
					}
				}
				before = now
			}
		})
	}
	if pairs < 150 {
		t.Errorf("%d pairs of pressures", pairs)
	}
}

// What sizes a ring and what judges it agree: one size all round, no line smaller than one it
// feeds, no open part over its limit of velocity while there is a greater, and no fixture short
// that was not given up.
func TestRingSizedIsJudged(t *testing.T) {
	rings, open := 0, 0
	linkedHouses(t, 33, 20, func(_ *rand.Rand, c *Code, d Data) {
		s := sized(t, c, d)
		l := s.layout
		for r := range l.rings {
			m := &l.rings[r]
			of := map[string]units.Length{}
			same := func(pipe string, size, drawn units.Length) {
				if before, ok := of[pipe]; drawn == 0 && ok && before != size {
					t.Fatalf("%s: %v and %v of %s in one ring", c.ID(), before, size, pipe)
				} else if drawn == 0 {
					of[pipe] = size
				}
			}
			for _, i := range m.runs {
				same(s.runs[i].family.id, s.runs[i].Size, d.Points[i].Size)
			}
			for _, k := range m.links {
				f, err := s.LinkPipe(k)
				if err != nil {
					t.Fatal(err)
				}
				same(f.id, l.data.Links[k].Size, d.Links[k].Size)
			}
			rings++
			if rings := calculated(t, c, d).rings; rings.steps(r) == 0 || !rings.try(r, rings.steps(r)-1).works() {
				continue // all drawn, or the greatest is too small
			}
			for _, f := range findingsOf(t, s, "water-velocity") {
				i, isRun := l.Find(f.Place)
				k := slices.IndexFunc(d.Links, func(x Link) bool { return x.ID == f.Place })
				sized := isRun && d.Points[i].Size == 0 && l.ringOf(int32(i)) == int32(r) ||
					k >= 0 && d.Links[k].Size == 0 && slices.Contains(m.links, k)
				if sized && f.Verdict == tables.Fail {
					t.Fatalf("%s: %s: %s", c.ID(), f.Place, f.Reason)
				}
			}
		}
		if _, err := s.Ring(); err == nil {
			open++
		}
		for _, f := range findingsOf(t, s, "fixture-pressure") {
			if f.Verdict == tables.Fail && !slices.Contains(s.Short(), f.Place) &&
				slices.ContainsFunc(d.Fixtures, func(x LayoutFixture) bool { return x.ID == f.Place }) {
				t.Fatalf("%s: %s is said to be served: %s", c.ID(), f.Place, f.Reason)
			}
		}
	})
	if rings < 60 || open < 40 {
		t.Errorf("%d rings, %d layouts worked out open", rings, open)
	}
}

// The order of points and links in a file says nothing of a ring, and the sizes chosen for it,
// once drawn, are judged as they were.
func TestRingOrderSaysNothing(t *testing.T) {
	linkedHouses(t, 41, 5, func(r *rand.Rand, c *Code, d Data) {
		s := sized(t, c, d)
		turned := d
		turned.Points, turned.Links = slices.Clone(d.Points), slices.Clone(d.Links)
		r.Shuffle(len(turned.Points), func(i, j int) {
			turned.Points[i], turned.Points[j] = turned.Points[j], turned.Points[i]
		})
		slices.Reverse(turned.Links)
		other := sized(t, c, turned)
		for i := range s.runs {
			x, _ := other.Of(d.Points[i].ID)
			if was := s.At(i); x.Size != was.Size || x.Decided != was.Decided {
				t.Fatalf("%s: %s is %v, %v; in another order %v, %v", c.ID(), x.Point, was.Size, was.Decided,
					x.Size, x.Decided)
			}
		}
		drawn, err := s.Analyse().Layout().Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		was, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		is, err := drawn.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		verdicts := map[string]tables.Verdict{}
		for _, f := range was {
			verdicts[f.ID()] = f.Verdict
		}
		for _, f := range is {
			if before, ok := verdicts[f.ID()]; f.Rule == "fixture-pressure" || f.Rule == "water-velocity" {
				if !ok || before != f.Verdict {
					t.Fatalf("%s: %s: %v, and drawn %v: %s", c.ID(), f.ID(), before, f.Verdict, f.Reason)
				}
			}
		}
	})
}

// A larger pipe may lower a pressure on a ring: the smallest is three points. All is drawn at
// B; a link from C to B that opens, or grows, brings the water round by C, and C, at which
// nothing flowed, has less. A whole ring that grows lowers none.
func TestLargerLinkLowersPressure(t *testing.T) {
	d := square()
	d.Points = d.Points[:3]
	d.Fixtures[0].Cold = "B"
	d.Links[0].Between = [2]string{"C", "B"}
	at := func(link, ring units.Length) *Ring {
		d.Links[0].Size = link
		d.Points[1].Size, d.Points[2].Size = ring, ring
		_, r := ringOf(t, d)
		return r
	}
	in := units.Inch
	small, large, all := at(in/2, in), at(in, in), at(in*5/4, in*5/4)
	if !(large.Out[2] < small.Out[2]-100) || !(large.Out[1] > small.Out[1]) {
		t.Errorf("C has %v, and with the larger link %v; B %v and %v", small.Out[2], large.Out[2], small.Out[1], large.Out[1])
	}
	for i := range all.Out {
		if all.Out[i] < large.Out[i] {
			t.Errorf("point %d has %v, and in the larger ring %v", i, large.Out[i], all.Out[i])
		}
	}
}

// C has 57 psi with the link shut and less with it open, for half of the water then comes by
// it; a fixture there that asks for as much as it has with the link shut is judged by the
// less. A ring that is to be sized is sized for it.
func TestRingJudgedOpen(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := square(LayoutFixture{ID: "G", Fixture: tables.Fixture{Kind: "drinking-fountain", Count: 1}, Cold: "C"})
	a, r := ringUnder(t, c, d)
	shut, open := a.runs[2].Out, r.Out[2]
	if open > shut-200 {
		t.Fatalf("%v at C open, %v shut", open, shut)
	}
	d.Fixtures[1].Pressure = (shut + open) / 2
	s := sized(t, c, d)
	for _, f := range findingsOf(t, s, "fixture-pressure") {
		if (f.Place == "G") != (f.Verdict == tables.Fail) || f.Place == "G" && !strings.Contains(f.Reason, "links of the ring open") {
			t.Errorf("%v %s: %s %s", f.Verdict, f.Place, f.Reason, f.Fix)
		}
	}
	if got := s.Short(); !slices.Equal(got, []string{"G"}) {
		t.Errorf("short: %v", got)
	}
	for i := 1; i < 4; i++ {
		d.Points[i].Size = 0
	}
	d.Links[0].Size = 0
	s = sized(t, c, d)
	if got := s.Short(); len(got) > 0 || s.layout.data.Links[0].Size != s.runs[2].Size ||
		s.runs[2].Size != 5*units.Inch/4 {
		t.Errorf("short: %v; the link is %v, its ring %v", got, s.layout.data.Links[0].Size, s.runs[2].Size)
	}
}

// A ring that cannot be worked out open says so, and is sized as far as it can be.
func TestRingNotWorkedOut(t *testing.T) {
	d := square()
	d.Links[0].Size = 0
	for i := range d.Points {
		d.Points[i].Size = 0
	}
	d.Points[1].Device = &Device{Kind: "regulator", Set: 40 * units.PoundForcePerSquareInch}
	basins := lopsided()
	for i := range basins.Fixtures {
		basins.Fixtures[i].Fixture = tables.Fixture{Kind: "lavatory", Count: 10, Use: tables.Private}
	}
	for _, c := range []struct {
		code string
		d    Data
		want string
	}{{"ipc-2021", d, `regulator at "B"`}, {"en806-3", basins, "loading units"}} {
		s := sized(t, mustCode(t, c.code), c.d)
		list := findingsOf(t, s, "water-velocity")
		if !slices.ContainsFunc(list, func(f tables.Finding) bool {
			return f.Verdict == tables.Ask && f.Place == "K" && strings.Contains(f.Reason, c.want) &&
				strings.Contains(f.Reason, "links not at all")
		}) {
			t.Errorf("%s: %v", c.code, list)
		}
		if got := s.layout.data.Links[0].Size; got == 0 || got != s.runs[2].Size {
			t.Errorf("%s: the link is %v, its ring %v", c.code, got, s.runs[2].Size)
		}
	}
}

// Rings on random houses conserve flow at every point and lose as much by every way, under
// every code that gives flows.
func TestRandomRings(t *testing.T) {
	solved := 0
	houses(t, 29, 8, func(r *rand.Rand, c *Code, d Data) {
		if c.sizesByUnits() {
			return // no flows, and Ring says so
		}
		s := sized(t, c, d)
		d = s.layout.Data()
		l := s.layout
		valves := l.regulators()
		for k := range 1 + r.IntN(4) {
			i, j := r.IntN(len(d.Points)), r.IntN(len(d.Points))
			if i != j && l.lineOf(int32(i), valves) == l.lineOf(int32(j), valves) && l.service[i] == l.service[j] {
				d.Links = append(d.Links, Link{ID: fmt.Sprint("K", k), Between: [2]string{d.Points[i].ID, d.Points[j].ID},
					Length: units.Length(5+r.IntN(50)) * units.Foot, Size: units.Inch})
			}
		}
		if len(d.Links) == 0 {
			return
		}
		solved++
		a, ring := ringUnder(t, c, d)
		if ring.Continuity > 1e-9 || ring.Energy > 1e-8 {
			t.Fatalf("%s: left unbalanced: %v, %v", c.ID(), ring.Continuity, ring.Energy)
		}
		// What comes into all points less what leaves them is never less than nothing: a point
		// gives no water; and the source gives what all points draw.
		drawn := map[string]float64{}
		fed := 0.0
		for i := range ring.Runs {
			q := float64(ring.Runs[i])
			drawn[a.layout.data.Points[i].ID] += q
			if a.layout.parent[i] < 0 {
				fed += q
			} else if up := a.layout.parent[i]; a.layout.lineOf(int32(i), valves) == a.layout.lineOf(up, valves) {
				drawn[a.layout.data.Points[i].From] -= q
			}
		}
		for k := range ring.Links {
			x := &a.layout.data.Links[k]
			drawn[x.Between[0]] -= float64(ring.Links[k].Flow)
			drawn[x.Between[1]] += float64(ring.Links[k].Flow)
		}
		linked := map[line]bool{}
		for k := range a.layout.data.Links {
			linked[a.layout.lineOf(a.layout.index[a.layout.data.Links[k].Between[0]], valves)] = true
		}
		for i := range ring.Runs {
			id := a.layout.data.Points[i].ID
			if linked[a.layout.lineOf(int32(i), valves)] && drawn[id] < -1e-9*max(fed, 1e-3) {
				t.Fatalf("%s: point %s gives %v m3/s", c.ID(), id, -drawn[id])
			}
		}
	})
	if solved < 15 {
		t.Errorf("%d rings", solved)
	}
}

// ringGrid is a square grid of points with a loop for each field of it, and one fixture
// at the far corner.
func ringGrid(side int) Data {
	in := units.Inch
	d := Data{Source: Source{ID: "main", Pressure: 200 * units.PoundForcePerSquareInch},
		Water: Waters{Cold: units.Fahrenheit(50)},
		Pipe:  LinePipes{Cold: "copper-l"}}
	id := func(x, y int) string { return fmt.Sprintf("P%d-%d", x, y) }
	for y := range side {
		for x := range side {
			p := Point{ID: id(x, y), From: "main", Length: 10 * units.Foot, Size: 4 * in}
			switch {
			case x > 0:
				p.From = id(x-1, y)
			case y > 0:
				p.From = id(x, y-1)
			}
			d.Points = append(d.Points, p)
			if x > 0 && y > 0 {
				d.Links = append(d.Links, Link{ID: "L" + p.ID, Between: [2]string{id(x, y-1), p.ID}, Length: 10 * units.Foot,
					Size: 2 * in})
			}
		}
	}
	d.Fixtures = []LayoutFixture{{ID: "F", Cold: id(side-1, side-1),
		Fixture: tables.Fixture{Kind: "water-closet", Count: 50, Use: tables.Public, Control: tables.Tank}}}
	return d
}

// A grid of four thousand points with a loop for each is balanced.
func TestGreatRing(t *testing.T) {
	if _, r := ringOf(t, ringGrid(64)); r.Continuity > 1e-9 || r.Energy > 1e-8 {
		t.Errorf("left unbalanced: %v, %v", r.Continuity, r.Energy)
	}
}
