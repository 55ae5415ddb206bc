package supply

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestLadderAtTheFirst: of two runs in a row with the same load, 70 units of two valves by the ladder of the UPC,
// the question of the curve is put at the first by name, however the points are listed.
func TestLadderAtTheFirst(t *testing.T) {
	points := []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "A", Length: units.Foot}}
	for range 2 {
		d := closets(80, points, []string{"B"}, nil)
		d.Fixtures[0].Count = 2
		if got := findingsOf(t, sized(t, mustCode(t, "upc-2021"), d), "ladder-curve"); len(got) != 1 || got[0].Place != "A" {
			t.Errorf("%v", got)
		}
		slices.Reverse(points)
	}
}

// TestUnlistedByTanks: C5 of the lodge in 1 in runs at 6.6 ft/s by the tank column (17 gpm, see TestMixedClosets).
// A tap of which the IPC lists no load adds its own 3 gpm to either column: 7.8 ft/s, so that the choice decides; 5
// gpm make it 8.5, which fails either way.
func TestUnlistedByTanks(t *testing.T) {
	for own, want := range map[units.Flow]tables.Verdict{3: tables.Ask, 5: tables.Fail} {
		code := mustCode(t, "ipc-2021")
		first, err := lodge(t).Size(code, Options{})
		if err != nil {
			t.Fatal(err)
		}
		d := lodge(t).Data()
		for i := range d.Points {
			d.Points[i].Size = first.runs[i].Size
			if d.Points[i].ID == "C5" {
				d.Points[i].Size = units.Inch
			}
		}
		d.Fixtures = append(slices.Clone(d.Fixtures), LayoutFixture{ID: "HB", Cold: "C5", Flow: own * units.USGallonPerMinute,
			Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}})
		asked := false
		for _, f := range checked(t, code, d) {
			asked = asked || f.Place == "C5" && f.Rule == "mixed-closets"
			if f.Place == "C5" && f.Rule == "water-velocity" && f.Verdict != want {
				t.Errorf("%g gpm of its own: %v, %s", float64(own), f.Verdict, f.Reason)
			}
		}
		if asked != (want == tables.Ask) {
			t.Errorf("%g gpm of its own: asked about the column %v", float64(own), asked)
		}
	}
}

// checked are the findings of a layout that is drawn.
func checked(t *testing.T, c *Code, d Data) []tables.Finding {
	t.Helper()
	a, err := mustNew(t, d).Analyse(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := a.Check(CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestOwnFlowsHang: a tap of which the IPC lists no load draws 20 gpm, in 1 in of copper 7.8 ft/s of the 8 allowed.
// With a basin beside it the line is too fast, and would not be without the tap: that is asked. In 2 in nothing is
// too fast; nor is it a question of who draws from a line that serves the tap alone, of 22 gpm, which is too fast
// for what it draws itself.
func TestOwnFlowsHang(t *testing.T) {
	const gpm, in, ft = units.USGallonPerMinute, units.Inch, units.Foot
	for _, c := range []struct {
		first, second units.Length
		tap           units.Flow
		asked         bool
	}{{in, 2 * in, 20, true}, {2 * in, 2 * in, 20, false}, {2 * in, in, 22, false}} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: ft, Size: c.first}, {ID: "B", From: "A", Length: ft,
			Size: c.second}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "L", Cold: "A", Fixture: tables.Fixture{Kind: "lavatory", Count: 2,
			Use: tables.Private}},
			{ID: "HB", Cold: "B", Flow: c.tap * gpm, Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}}
		asked := slices.ContainsFunc(checked(t, mustCode(t, "ipc-2021"), d), func(f tables.Finding) bool {
			return f.Rule == "load-not-given" && f.Place == "HB" && f.Verdict == tables.Ask
		})
		if asked != c.asked {
			t.Errorf("%+v: asked %v", c, asked)
		}
	}
}

// TestOwnFlowOnce: a tap of 3 gpm with a cold and a hot port draws 3 gpm in all: so does the first run, where its
// two ways meet.
func TestOwnFlowOnce(t *testing.T) {
	d := basin(60 * units.PoundForcePerSquareInch)
	d.Fixtures[0] = LayoutFixture{ID: "HB", Cold: "C2", Hot: "H1", Flow: 3 * units.USGallonPerMinute,
		Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}
	s := sized(t, mustCode(t, "ipc-2021"), d)
	for i := range s.runs {
		if got := float64(s.runs[i].Flow / units.USGallonPerMinute); math.Abs(got-3) > 1e-9 {
			t.Errorf("%s carries %g gpm", s.layout.Point(i).ID, got)
		}
	}
}

// TestCapWhereWaysMeet: two basins draw 0.8 gpm each by Table 604.3, hot, cold or mixed: held to its outlets the
// run where their ways meet carries 1.6 gpm, and not 3.2, which is over what the table of demand has of their load.
func TestCapWhereWaysMeet(t *testing.T) {
	d := basin(60 * units.PoundForcePerSquareInch)
	d.CapAtOutlets, d.Fixtures[0].Count = true, 2
	s := sized(t, mustCode(t, "ipc-2021"), d)
	for i := range s.runs {
		if got := float64(s.runs[i].Flow / units.USGallonPerMinute); math.Abs(got-1.6) > 1e-9 {
			t.Errorf("%s carries %g gpm", s.layout.Point(i).ID, got)
		}
	}
}

// TestStatedLoadWithoutShare: a code that prints no share for two supplies, the NSPC, has all of a stated load on
// each of them. At the first point of the file, cold or hot, it counts as anywhere.
func TestStatedLoadWithoutShare(t *testing.T) {
	for turn := range 4 {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Points = slices.Concat(d.Points[turn:], d.Points[:turn])
		d.Fixtures[0].Load = "4 wsfu"
		for code, each := range map[string]string{"nspc-2018": "4", "ipc-2021": "3"} {
			s := sized(t, mustCode(t, code), d)
			for id, want := range map[string]string{"C1": "4", "C2": each, "WH": each, "H1": each} {
				if i, _ := s.layout.Find(id); s.runs[i].Load != fu(want) {
					t.Errorf("%s, turned by %d: %s has %v, want %s", code, turn, id, s.runs[i].Load, want)
				}
			}
		}
	}
}

// TestRingDecidesVelocity: 27 gpm run at 10.5 ft/s in 1 in of copper (0.4085 x 27 / 1.025²), and half of it at
// 5.25: the entry A fails, B and D fail with the link shut alone, which is for the owner, C and the link carry half
// and pass. Of 45 gpm half is 8.75 ft/s, and all fail.
func TestRingDecidesVelocity(t *testing.T) {
	for gpm, want := range map[units.Flow]string{27: "A fail; B ask owner; C pass; D ask owner; K pass; ",
		45: "A fail; B fail; C fail; D fail; K fail; "} {
		d := square()
		d.Points[0].Device, d.Fixtures, d.Source.Pressure = nil, nil, 120*units.PoundForcePerSquareInch
		d.Points[3].Continuous = gpm * units.USGallonPerMinute
		got := ""
		for _, f := range checked(t, mustCode(t, "ipc-2021"), d) {
			if f.Rule != "water-velocity" {
				continue
			}
			got += f.Place + " " + f.Verdict.String()
			if f.Verdict == tables.Ask {
				got += " " + f.SettledBy.String()
				if !strings.Contains(f.Reason, "with them open it carries 13.5 gpm at 5.25 ft/s, which passes") {
					t.Errorf("%s", f.Reason)
				}
			}
			got += "; "
		}
		if got != want {
			t.Errorf("%g gpm: %s, want %s", float64(gpm), got, want)
		}
	}
}

// TestServiceOfEachLine: each run from the source is held to 3/4 in, and not the runs behind it, whatever lies
// between them in the file.
func TestServiceOfEachLine(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	d := closets(80, []Point{{ID: "A", From: "main", Length: ft, Size: in}, {ID: "B", From: "A", Length: ft, Size: in / 2},
		{ID: "C", From: "main", Length: ft, Size: in / 2}}, []string{"B", "C"}, nil)
	got := ""
	for _, f := range checked(t, mustCode(t, "ipc-2021"), d) {
		if f.Rule == "service-size" {
			got += f.Place + " " + f.Verdict.String() + "; "
		}
	}
	if got != "A pass; C fail; " {
		t.Errorf("%s", got)
	}
}

// TestManifoldsOfLayout: from the manifold M go runs of 10 ft and, in two parts, of 20 ft, and one of 30 that
// serves two sinks and is no home run: the longest is that of 20. At the second manifold nothing hangs. Of nothing
// analysed nothing is told.
func TestManifoldsOfLayout(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	d := closets(60, []Point{{ID: "K", From: "M", Length: 12 * ft, Size: in / 2}, {ID: "M", From: "main", Length: 5 * ft,
		Size: in, Manifold: true},
		{ID: "X", From: "M", Length: 10 * ft, Size: in / 2}, {ID: "Y", From: "K", Length: 8 * ft, Size: in / 2},
		{ID: "Z", From: "M", Length: 30 * ft, Size: in / 2}, {ID: "N", From: "main", Length: ft, Size: in / 2,
			Manifold: true}}, nil, nil)
	for id, at := range map[string]string{"SX": "X", "SY": "Y", "S1": "Z", "S2": "Z"} {
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: id, Cold: at, Fixture: tables.Fixture{Kind: "kitchen-sink",
			Count: 1, Use: tables.Private}})
	}
	a := sized(t, mustCode(t, "ipc-2021"), d).Analyse()
	got := a.Manifolds()
	want := []ManifoldResult{{Point: "M", Size: in, Flow: a.runs[1].Flow, HomeRuns: 3, Longest: 20 * ft, To: "SY"},
		{Point: "N", Size: in / 2}}
	if !slices.Equal(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := (&Analysis{}).Manifolds(); got != nil {
		t.Errorf("%v", got)
	}
	if got := sized(t, mustCode(t, "ipc-2021"), basin(60*units.PoundForcePerSquareInch)).Manifolds(); got != nil {
		t.Errorf("%v", got)
	}
}

// TestOfNothing: what is asked of no layout and no analysis, of a point that is not there or a link beyond the last
// has no answer.
func TestOfNothing(t *testing.T) {
	if l, ok := (*Layout)(nil).Rise(0); l != 0 || ok {
		t.Errorf("%v, %v", l, ok)
	}
	if p := (*Analysis)(nil).Street(); p != 0 {
		t.Errorf("%v", p)
	}
	a, _ := ringOf(t, square())
	if _, ok := a.Of("nowhere"); ok {
		t.Error("a run to nowhere")
	}
	if r, ok := a.Of("A"); !ok || r.Point != "A" {
		t.Errorf("%+v, %v", r, ok)
	}
	for link, ok := range map[int]bool{-1: false, 0: true, 1: false} {
		if f, err := a.LinkPipe(link); (err == nil) != ok || ok && f.id != "copper-l" || !ok && !errors.Is(err,
			tables.ErrQuery) {
			t.Errorf("link %d: %v", link, err)
		}
	}
}

// TestRefusedOfTakeOff: waste from nothing to all of it, and a test of a pressure.
func TestRefusedOfTakeOff(t *testing.T) {
	a, _ := ringOf(t, square())
	for percent, ok := range map[int]bool{-1: false, 0: true, 100: true, 101: false} {
		if _, err := a.TakeOff(TakeOffOptions{WastePercent: percent}); (err == nil) != ok {
			t.Errorf("%d percent: %v", percent, err)
		}
	}
	if plans, err := a.TestPlans(TestOptions{}); err != nil || len(plans) != 1 || plans[0].Stated != nil {
		t.Errorf("%+v, %v", plans, err)
	}
	for _, x := range []struct {
		test PressureTest
		ok   bool
	}{{PressureTest{100 * units.PoundForcePerSquareInch, "water"}, true}, {PressureTest{-1, "water"}, false}} {
		if plans, err := a.TestPlans(TestOptions{Test: &x.test}); (err == nil) != x.ok || x.ok && *plans[0].Stated != x.test {
			t.Errorf("%+v: %+v, %v", x.test, plans, err)
		}
	}
	for name, want := range map[string]string{"22 x 1.0 mm": "22 mm", "d25": "d25", "": ""} {
		if got := anyWall(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
	if got := a.metricName("copper-en1057", 10*units.Millimetre); got != "10 x 1.0 mm" {
		t.Errorf("%q", got)
	}
	if got := a.metricName("no-such", 10*units.Millimetre); got != "" {
		t.Errorf("%q", got)
	}
}

// TestRoundedInMetric: a wave to 50 kPa or 5 psi, a bore to a tenth of a millimetre or a thousandth of an inch:
// 20.44 mm are 0.8047 in.
func TestRoundedInMetric(t *testing.T) {
	metric, us := unitSystem{true}, unitSystem{}
	for got, want := range map[string]string{
		metric.hammer(774 * units.Kilopascal).String(): "750 kPa", metric.hammer(776 * units.Kilopascal).String(): "800 kPa",
		us.hammer(107 * units.PoundForcePerSquareInch).String(): "105 psi",
		metric.bore(units.Millimetres(20.44)).String():          "20.4 mm",
		us.bore(units.Millimetres(20.44)).String():              "0.805 in",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestWhyOfDemand: 20 and 25 units stand in the IPC's table of valves; 22 lies between them, and both rows are told.
func TestWhyOfDemand(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for load, between := range map[string]bool{"20": false, "25": false, "22": true} {
		d, err := c.Demand(fu(load), ValveSystem)
		if err != nil {
			t.Fatal(err)
		}
		if why := d.Why(); strings.HasPrefix(why, "between two rows: ") != between ||
			!strings.HasPrefix(strings.TrimPrefix(why, "between two rows: "), d.Citation.String()) {
			t.Errorf("%s units: %s", load, why)
		}
	}
}

// TestStillDevices: nothing flows through a meter or a tap: it takes nothing, of a size that no table has too. A
// backflow preventer takes what it takes at any flow, for a spring holds it shut.
func TestStillDevices(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, kind := range []string{"meter", "tap"} {
		for _, size := range []units.Length{units.Inch, 11 * units.Inch} {
			if cost, err := c.DeviceLoss(&Device{Kind: kind, Size: size}, 0); err != nil || cost.Loss != 0 || !cost.Stated {
				t.Errorf("%s of %v: %+v, %v", kind, size, cost, err)
			}
		}
	}
	if cost, err := c.DeviceLoss(&Device{Kind: "reduced-pressure"}, 0); err != nil || cost.Loss <= 0 || cost.Stated {
		t.Errorf("%+v, %v", cost, err)
	}
}

// TestNamesTheDrain: the finding on a water line beside a drain names the drain where the layout does.
func TestNamesTheDrain(t *testing.T) {
	for drain, want := range map[string]string{"": "to the drain and less", "BD2": "to drain BD2 and less"} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: units.Foot, Size: 2 * units.Inch, BelowSlab: true,
			Beside: &Separation{Clear: units.Inch, Drain: drain}}}, []string{"A"}, nil)
		if f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "water-drain-separation"); len(f) != 1 ||
			!strings.Contains(f[0].Reason, want) {
			t.Errorf("%q: %v", drain, f)
		}
	}
}

// TestExactSum: ten thousand times a tenth on 1e16, whose last digit is 2: what each addition rounds off is kept,
// 1000 in all.
func TestExactSum(t *testing.T) {
	var all, part exactSum
	all.add(1e16)
	for range 5000 {
		all.add(0.1)
		part.add(0.1)
	}
	part.add(1e17)
	all.join(part)
	all.add(-1e17)
	all.add(-1e16)
	if got := all.value(); math.Abs(got-1000) > 1e-9 {
		t.Errorf("%.17g", got)
	}
}

// TestWhichPipe: half a name is asked back with those that begin so, and no name is not.
func TestWhichPipe(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for name, want := range map[string]bool{"copper": true, "Copper": true, "nonsense": false, "": false} {
		_, err := c.Pipe(name)
		if err == nil || strings.Contains(err.Error(), "which of ") != want || want && !strings.Contains(err.Error(),
			"which of copper-") {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// TestRingSteps: at a step of its ring a family has its first size that is not smaller both by name and by bore
// than the one which the ring goes by, its last at the last step or if all are smaller; the family that the ring
// goes by has its own.
func TestRingSteps(t *testing.T) {
	family := func(sizes ...float64) *PipeFamily { // name and bore, in inches
		f := &PipeFamily{}
		for i := 0; i < len(sizes); i += 2 {
			f.sizes = append(f.sizes, PipeSize{Size: units.Inches(sizes[i]), Bore: units.Inches(sizes[i+1])})
		}
		return f
	}
	lead := family(0.5, 0.5, 0.75, 0.75, 1, 1, 1.25, 1.25)
	s := &ringSizer{lead: []*PipeFamily{lead}}
	for _, c := range []struct {
		what string
		f    *PipeFamily
		want [4]int
	}{
		{"itself", lead, [4]int{0, 1, 2, 3}},
		{"narrower by bore", family(0.5, 0.45, 0.75, 0.7, 1, 0.9, 1.25, 1.2), [4]int{0, 1, 2, 3}},
		{"a name smaller, as wide", family(0.375, 0.5, 0.625, 0.75, 0.875, 1, 1.125, 1.25), [4]int{0, 1, 2, 3}},
		{"named otherwise", family(0.6, 0.4, 0.8, 0.6, 1.1, 0.8), [4]int{0, 1, 2, 2}},
		{"all smaller", family(0.25, 0.25, 0.375, 0.375), [4]int{1, 1, 1, 1}},
		{"one more at the end", family(0.5, 0.5, 0.75, 0.75, 1, 1, 1.25, 1.25, 1.5, 1.5), [4]int{0, 1, 2, 4}},
	} {
		for step, want := range c.want {
			if got := s.at(c.f, 0, step); got != want {
				t.Errorf("%s, step %d: %d, want %d", c.what, step, got, want)
			}
		}
	}
}

// TestRingFits: elbows of PEX are listed up to 1 in: at greater sizes a ring with one does not fit, and one without
// does.
func TestRingFits(t *testing.T) {
	for _, elbow := range []bool{false, true} {
		d := square()
		d.Pipe.Cold, d.Links[0].Size = "pex-sdr9", 0
		for i := range d.Points {
			d.Points[i].Size = 0
		}
		if elbow {
			d.Points[1].Fittings = []FittingItem{{Fitting: "elbow-90", Count: 1}}
		}
		s, err := calculated(t, mustCode(t, "ipc-2021"), d).ringSizer()
		if err != nil || s == nil {
			t.Fatal(s, err)
		}
		greater := 0
		for step, size := range s.lead[0].sizes {
			if got, want := s.try(0, step).fits, !elbow || size.Size <= units.Inch; got != want {
				t.Errorf("elbow %v, %v: fits %v", elbow, size.Size, got)
			}
			if size.Size > units.Inch {
				greater++
			}
		}
		if greater == 0 {
			t.Error("no size is greater than 1 in")
		}
	}
}

// TestLinkByVelocity: of a ring drawn in 1/2 in by B and D and in 2 in by C nearly all of 45 gpm goes by C and the
// link, which is to be sized: by 1-1/4 in (1.265) 41.7 gpm and 10.6 ft/s, by 1-1/2 (1.505) 42.7 gpm and 7.7 ft/s
// (losses as 1/d^4.87, flows as the 0.54th power of their ratio; 0.4085 gpm/d²). 8 ft/s are allowed.
func TestLinkByVelocity(t *testing.T) {
	const in = units.Inch
	d := square()
	d.Points[0].Device, d.Fixtures, d.Points[3].Continuous = nil, nil, 45*units.USGallonPerMinute
	d.Points[0].Size, d.Points[1].Size, d.Points[2].Size, d.Points[3].Size, d.Links[0].Size = 2*in, in/2, 2*in, in/2, 0
	if got := sized(t, mustCode(t, "ipc-2021"), d).layout.data.Links[0].Size; got != in*3/2 {
		t.Errorf("the link is %v", got)
	}
}

// TestRingOfOneHeater: a hot ring with 6 gpm drawn at its far corner carries 3 gpm on each side, whatever another
// heater's line draws beside it. A hot port at the first point of the file is as good as another: what it draws
// from the cold ring is drawn at its heater.
func TestRingOfOneHeater(t *testing.T) {
	const gpm, ft, in = units.USGallonPerMinute, units.Foot, units.Inch
	at := func(id, from string) Point { return Point{ID: id, From: from, Length: 100 * ft, Size: in} }
	heater := func(id, from string) Point {
		p := at(id, from)
		p.Device = &Device{Kind: "storage-heater", Loss: 7 * units.Kilopascal}
		return p
	}
	tap := func(id, hot string, flow units.Flow) LayoutFixture {
		return LayoutFixture{ID: id, Hot: hot, Flow: flow, Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}
	}
	d := square()
	d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), "copper-l"
	d.Points = []Point{at("A", "street"), heater("WH", "A"), at("HB", "WH"), at("HC", "WH"), at("HD", "HB"), heater("W2",
		"A"), at("H2", "W2")}
	d.Fixtures = []LayoutFixture{tap("F", "HD", 6*gpm), tap("G", "H2", 5*gpm)}
	d.Links = []Link{{ID: "HK", Between: [2]string{"HC", "HD"}, Length: 100 * ft, Size: in}}
	_, r := ringOf(t, d)
	for i, want := range map[int]float64{2: 3, 3: 3, 4: 3} {
		if got := float64(r.Runs[i] / gpm); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s carries %g gpm, want %g", d.Points[i].ID, got, want)
		}
	}
	e := square()
	e.Water.Hot, e.Pipe.Hot, e.Points[0].Device = units.Fahrenheit(120), "copper-l", nil
	e.Points = append([]Point{at("H", "WH")}, append(e.Points, heater("WH", "D"))...)
	e.Fixtures = []LayoutFixture{tap("F", "H", 6*gpm)}
	a, r := ringOf(t, e)
	for i, want := range []float64{6, 6, 3, 3, 3, 6} {
		if got := float64(r.Runs[i] / gpm); i > 0 && i < 5 && math.Abs(got-want) > 1e-6 {
			t.Errorf("%s carries %g gpm, want %g", a.layout.Point(i).ID, got, want)
		}
	}
}

// TestManifoldColumns: the table of manifolds has columns by velocity: with less than the least of them allowed it
// says nothing, with 8 ft/s it has a bore for 1 gpm, and none for 10000, which it says.
func TestManifoldColumns(t *testing.T) {
	const gpm, fps = units.USGallonPerMinute, units.FootPerSecond
	c := mustCode(t, "ipc-2021")
	for _, x := range []struct {
		flow  units.Flow
		limit units.Velocity
		ok    bool
		none  bool
	}{{gpm, 0.1 * fps, false, true}, {gpm, 8 * fps, true, false}, {10000 * gpm, 8 * fps, true, true}} {
		if bore, _, ok := c.manifold(x.flow, x.limit); ok != x.ok || (bore == 0) != x.none {
			t.Errorf("%v at %v: %v, %v", x.flow, x.limit, bore, ok)
		}
	}
}

// TestFaultsBesideOthers: a fault of one point or fixture hides none of the next: two points by plan without
// places, two from nowhere, a word that no code knows behind one that brings its own flow. The smallest size that a
// pipe comes in, 1/4 in, is none; and a regulator without a setting is not blamed for its fall-off too.
func TestFaultsBesideOthers(t *testing.T) {
	house := houseText("", "", "copper-l", "")
	for _, c := range []struct {
		old, new string
		want     []string
	}{
		{`"length": "20 ft"`, `"length": "plan"`, []string{`point "A": length: `, `point "H": length: `}},
		{`"from": "WH"`, `"from": "X"`, []string{`no point or source "X"`}},
		{`"from": "MAIN", "length": "20 ft", "below_slab": true}`,
			`"from": "Y", "length": "20 ft"}, {"id": "B", "from": "Z"}`,
			[]string{`no point or source "Y"`, `no point or source "Z"`}},
		{`"fixtures": [`, `"fixtures": [{"id": "O", "fixture": "foo", "flow": "1 gpm", "cold": "A"}, ` +
			`{"id": "P", "fixture": "bar", "cold": "A"}, `,
			[]string{`fixture "P"`}},
		{`"from": "MAIN", "length": "20 ft"`, `"from": "Y", "size": "1 in", "length": "20 ft"`,
			[]string{`no point or source "Y"`}},
		{`"id": "H",`, `"id": "H", "size": "1/4 in",`, nil},
		{`"id": "H",`, `"id": "H", "device": {"kind": "regulator"},`,
			[]string{"a regulator states the pressure it is set to"}},
	} {
		if !strings.Contains(house, c.old) {
			t.Fatalf("the house has no %s", c.old)
		}
		_, err := Parse("f", []byte(strings.ReplaceAll(house, c.old, c.new)), mustCode(t, "ipc-2021"))
		if (err == nil) != (c.want == nil) {
			t.Errorf("%s: %v", c.new, err)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want %s", c.new, err, want)
			}
		}
		if err != nil && strings.Contains(err.Error(), "fall_off") {
			t.Errorf("%v", err)
		}
	}
}

// TestWaysOfFixtures: the IPC tells a lavatory apart by use, private and public among them, and each way has a load.
func TestWaysOfFixtures(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	uses := map[tables.Use]bool{}
	for _, f := range c.FixturesOf("lavatory") {
		if _, err := c.FixtureLoad(f); err != nil {
			t.Errorf("%+v: %v", f, err)
		}
		uses[f.Use] = true
	}
	if !uses[tables.Private] || !uses[tables.Public] {
		t.Errorf("%v", uses)
	}
}

// TestGrowsPastWhatCannot: the run at the end, of PEX with an elbow, of which figures are listed up to 1 in, cannot
// grow: the copper before it does. 9.4 gpm lose 5.52 psi in 100 ft of that, and in 100 ft of copper 2.53 in 1 in
// (see TestSizeByPressure), by the 4.87th power of the bore 0.91 in 1-1/4; the elbow takes some 0.6. Of 8 psi that
// may be lost 8.6 are too many and 7 are not.
func TestGrowsPastWhatCannot(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	d := closets(0, []Point{{ID: "A", From: "main", Length: 100 * ft}, {ID: "B", From: "A", Length: 100 * ft,
		Pipe:     "pex-sdr9",
		Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}}, []string{"B"},
		[]Stock{{Pipe: "copper-l", Sizes: []units.Length{in * 3 / 4, in, in * 5 / 4}}, {Pipe: "pex-sdr9",
			Sizes: []units.Length{in, in * 5 / 4}}})
	d.Fixtures, d.Source.Pressure = nil, 60*psi
	d.Points[1].Continuous = 9.4 * units.USGallonPerMinute
	d.Points[1].Needs = (60 - 8) * psi
	s := sized(t, mustCode(t, "ipc-2021"), d)
	if s.runs[0].Size != in*5/4 || s.runs[1].Size != in || s.basis[0] != ByPressure || s.runs[1].Out < d.Points[1].Needs {
		t.Errorf("%s: %v left of %v", chosenSizes(s), s.runs[1].Out, d.Points[1].Needs)
	}
}

// TestOneFixtureDrawsOnce: IPC Table 604.3 has 0.8 gpm for a private lavatory and 2.5 for a shower, whose 1.4 units are more
// by the table of demand. A line to one fixture carries no more: nor does the line that feeds both of its ports, at the
// first point of the file or at another.
func TestOneFixtureDrawsOnce(t *testing.T) {
	for kind, want := range map[string]float64{"lavatory": 0.8, "shower": 2.5} {
		for turn := range 4 {
			d := basin(60 * units.PoundForcePerSquareInch)
			d.Points = slices.Concat(d.Points[turn:], d.Points[:turn])
			d.Fixtures[0].Kind = kind
			s := sized(t, mustCode(t, "ipc-2021"), d)
			for i := range s.runs {
				if got := float64(s.runs[i].Flow / units.USGallonPerMinute); math.Abs(got-want) > 1e-9 {
					t.Errorf("%s, turned by %d: %s carries %g gpm", kind, turn, s.layout.Point(i).ID, got)
				}
			}
		}
	}
}

// TestArrestersByLoad: the shelf's table of arresters ends at 11 units for size A and at 32 for B, on lines of up
// to 20 ft, 6.1 m cut to tenths down. A flush valve of 10 units asks for A; of a washer under DIN 1988-300, which
// counts litres a second, no size is told.
func TestArrestersByLoad(t *testing.T) {
	us := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
	two := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
	two.Fixtures[0].Count = 2
	metric := room("residential", "dishwasher")
	for _, c := range []struct {
		data  Data
		code  string
		units UnitSystem
		want  string
	}{{us, "ipc-2021", Customary, `By fixture units, for lines of up to 20'-0" (`}, {us, "ipc-2021", Customary,
		"size A at A (10 wsfu)."},
		{us, "ipc-2021", Metric, "By fixture units, for lines of up to 6 m ("}, {two, "ipc-2021", Customary,
			"size B at A (20 wsfu)."}, {metric, "din1988-300", Metric, ""}} {
		s, err := mustNew(t, c.data).Size(mustCode(t, c.code), Options{Units: c.units})
		if err != nil {
			t.Fatal(err)
		}
		f := findingsOf(t, s, "water-hammer")
		if len(f) != 1 || strings.Contains(f[0].Fix, "By fixture units") != (c.want != "") || !strings.Contains(f[0].Fix,
			c.want) {
			t.Errorf("%s, %v: %v %s", c.code, c.want, f, f[0].Fix)
		}
	}
}

// TestJointsAreCited: the UPC has a rule on joints of copper below a slab, which the question cites; NSPC's is not
// on the shelf, and cites nothing. One length has nothing to count.
func TestJointsAreCited(t *testing.T) {
	for _, c := range []struct {
		code   string
		joints int
		cited  bool
	}{{"upc-2021", 2, true}, {"nspc-2018", 2, false}, {"upc-2021", 0, false}} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: units.Foot, Size: 2 * units.Inch, BelowSlab: true}},
			[]string{"A"}, nil)
		if c.joints > 0 {
			d.Points[0].Fittings = []FittingItem{{Fitting: "elbow-90", Count: c.joints, K: 0.1}}
		}
		f := findingsOf(t, sized(t, mustCode(t, c.code), d), "slab-joints")
		if len(f) != 1 || f[0].Citation.IsZero() == c.cited || (f[0].Verdict == tables.Pass) != (c.joints == 0) {
			t.Errorf("%+v: %v", c, f)
		}
	}
}

// TestDrainsAskedBelowSlab: which drains a line lies beside is asked of the line below the slab, B, and not of the
// one above it.
func TestDrainsAskedBelowSlab(t *testing.T) {
	d := closets(60, []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "A", Length: units.Foot,
		BelowSlab: true}}, []string{"B"}, nil)
	f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "water-drain-separation")
	if len(f) != 1 || f[0].Place != "B" || f[0].Reason != "1 water line below the slab: distance to the drains not given: B." {
		t.Errorf("%v", f)
	}
}

// TestGardenTapsApart: EN 806-2 lets 5 bar stand at draw-off points and 10 at garden and garage taps: of 7 bar a
// lavatory has too much and a hose bibb has not, of 11 both have; of 4 neither.
func TestGardenTapsApart(t *testing.T) {
	for bar, want := range map[units.Pressure]string{4: "F0 pass; F1 pass; ", 7: "F0 fail; F1 pass; ",
		11: "F0 fail; F1 fail; "} {
		d := room("", "lavatory", "hose-bibb")
		d.Pipe.Cold, d.Source.Pressure, d.Source.Static = "ppr-s2-5", bar*100*units.Kilopascal, bar*100*units.Kilopascal
		got := ""
		for _, f := range findingsOf(t, sized(t, mustCode(t, "en806-3"), d), "static-pressure") {
			got += f.Place + " " + cmpVerdict(f) + "; "
		}
		if got != want {
			t.Errorf("%v bar: %s, want %s", float64(bar), got, want)
		}
	}
}

// TestGardenTapsNotApart: the IPC lets no more than 80 psi stand at any outlet, a hose bibb among them (604.8).
func TestGardenTapsNotApart(t *testing.T) {
	for psi, want := range map[units.Pressure]tables.Verdict{80: tables.Pass, 81: tables.Fail} {
		d := room("", "hose-bibb")
		d.Pipe.Cold, d.Fixtures[0].Use = "copper-l", tables.Private
		d.Source.Pressure, d.Source.Static = 60*units.PoundForcePerSquareInch, psi*units.PoundForcePerSquareInch
		if f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "static-pressure"); len(f) != 1 || f[0].Verdict != want {
			t.Errorf("%v psi: %v, want %v", float64(psi), f, want)
		}
	}
}

// TestHomeRunOfFlushValve: Table 604.5, note a, lets the supply of a one-piece tank be 3/8 in on a home run, and
// not that of a flush valve, 1 in.
func TestHomeRunOfFlushValve(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	for _, c := range []struct {
		control tables.Control
		style   string
		want    string
	}{{tables.Valve, "siphonic", `fail 1"`}, {tables.Valve, "", `fail 1"`}, {tables.Tank, "one piece", `pass 3/8"`}} {
		d := closets(60, []Point{{ID: "M", From: "main", Length: ft, Size: 2 * in, Manifold: true}, {ID: "S", From: "M",
			Length: 9 * ft, Size: in * 3 / 8}},
			[]string{"S"}, nil)
		d.Fixtures[0].Control, d.Fixtures[0].Style = c.control, c.style
		got := ""
		for _, f := range findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "supply-size") {
			got += cmpVerdict(f) + " " + f.Limit.String()
		}
		if got != c.want {
			t.Errorf("%v %s: %s, want %s", c.control, c.style, got, c.want)
		}
	}
}

// TestHomeRunsShared: a run from the manifold that serves two sinks is asked about, at the first point of the file
// as anywhere.
func TestHomeRunsShared(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	d := closets(60, []Point{{ID: "M", From: "main", Length: ft, Size: in, Manifold: true}, {ID: "Z", From: "M",
		Length: 9 * ft, Size: in},
		{ID: "Y", From: "M", Length: 9 * ft, Size: in}}, nil, nil)
	for id, at := range map[string]string{"S1": "Z", "S2": "Z", "S3": "Y"} {
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: id, Cold: at, Fixture: tables.Fixture{Kind: "kitchen-sink",
			Count: 1, Use: tables.Private}})
	}
	for range d.Points {
		d.Points = slices.Concat(d.Points[1:], d.Points[:1])
		f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "home-run")
		if len(f) != 1 || f[0].Place != "M" || !strings.HasSuffix(f[0].Reason, "these serve more: Z.") {
			t.Errorf("%v", f)
		}
	}
}

// TestFiguresOfCodes: a check has what it rests on if the code has one of several rows, the first or a later one,
// or the shelf has it under any code. A table of outlets that gives flows alone, as EN 806-3's does, is none of
// pressures.
func TestFiguresOfCodes(t *testing.T) {
	for _, c := range []struct {
		code, rows string
		want       bool
	}{
		{"ipc-2021", "supply-rules:static-pressure-max", true}, {"ipc-2021", "supply-rules:static-pressure-garden", false},
		{"ipc-2021", "supply-rules:static-pressure-garden supply-rules:static-pressure-max", true}, {"en806-3",
			"supply-min-size", false},
		{"ipc-2021", "supply-min-size", true}, {"ipc-2021", "supply-outlet-flow", true}, {"en806-3", "supply-outlet-flow",
			false},
		{"en806-3", "supply-outlet-flow supply-rules:friction-allowance", true}, {"en806-3",
			"supply-rules:nothing materials/anything", true},
		{"ipc-2021", "supply-rules:hot-volume-other", true}, {"ipc-2021", "", false},
	} {
		if got := mustCode(t, c.code).hasAny(c.rows); got != c.want {
			t.Errorf("%s, %s: %v", c.code, c.rows, got)
		}
	}
}

// TestRingOfOneHeaterByLoad: basins at the far corner of a hot ring draw half of their demand from each side,
// whatever basins another heater serves.
func TestRingOfOneHeaterByLoad(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	at := func(id, from string) Point { return Point{ID: id, From: from, Length: 100 * ft, Size: in} }
	heater := func(id, from string) Point {
		p := at(id, from)
		p.Device = &Device{Kind: "storage-heater", Loss: 7 * units.Kilopascal}
		return p
	}
	d := square()
	d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), "copper-l"
	d.Points = []Point{at("A", "street"), heater("WH", "A"), at("HB", "WH"), at("HC", "WH"), at("HD", "HB"), heater("W2",
		"A"), at("H2", "W2")}
	for id, hot := range map[string]string{"F": "HD", "G": "H2"} {
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: id, Hot: hot, Fixture: tables.Fixture{Kind: "lavatory", Count: 4,
			Use: tables.Private}})
	}
	d.Fixtures = d.Fixtures[1:]
	d.Links = []Link{{ID: "HK", Between: [2]string{"HC", "HD"}, Length: 100 * ft, Size: in}}
	a, r := ringOf(t, d)
	for _, i := range []int{2, 3, 4} {
		if got := float64(r.Runs[i] / a.runs[4].Flow); math.Abs(got-0.5) > 1e-6 {
			t.Errorf("%s carries %g of the demand", d.Points[i].ID, got)
		}
	}
}

// TestRingNoLargerThanAsked: 20 gpm run at 7.8 ft/s in 1 in (0.4085 x 20 / 1.025²) of the 8 allowed: a ring of
// which nothing is drawn is of 1 in all round. A branch of 300 ft behind it needs 1-1/4 in for pressure: 20 gpm
// lose 10.2 psi in 100 ft of 1 in, as 9.4 gpm lose 2.53 (see TestSizeByPressure) and the 1.85th power has it, so
// that the entry, two sides and the branch lose 61 psi of the 50 that may be lost. The ring follows, all round, for
// no line feeds a greater one.
func TestRingNoLargerThanAsked(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	for _, branch := range []bool{false, true} {
		d := square()
		d.Points[0].Device, d.Fixtures, d.Source.Pressure, d.Links[0].Size = nil, nil, 100*psi, 0
		end, want := 3, units.Length(in)
		if branch {
			d.Points = append(d.Points, Point{ID: "E", From: "D", Length: 300 * ft})
			end, want = 4, in*5/4
			d.Points[end].Needs = 50 * psi
		}
		d.Points[end].Continuous = 20 * units.USGallonPerMinute
		for i := range d.Points {
			d.Points[i].Size = 0
		}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		for i := range s.runs {
			if s.runs[i].Size != want {
				t.Errorf("branch %v: %s is %v, want %v", branch, d.Points[i].ID, s.runs[i].Size, want)
			}
		}
		if got := s.layout.data.Links[0].Size; got != want {
			t.Errorf("branch %v: the link is %v, want %v", branch, got, want)
		}
	}
}

// TestLesserPortOpen: of the pressures with the links open a fixture has that of its lesser port, at the first
// point of the file as at another.
func TestLesserPortOpen(t *testing.T) {
	for turn := range 4 {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Points = slices.Concat(d.Points[turn:], d.Points[:turn])
		for _, c := range []struct{ cold, hot, want units.Pressure }{{5, 3, 3}, {3, 5, 3}} {
			a := sized(t, mustCode(t, "ipc-2021"), d).Analyse()
			open := []units.Pressure{9, 9, 9, 9}
			open[a.layout.cold[0]], open[a.layout.hot[0]] = c.cold, c.hot
			if got := a.leastOpen(0, open); got != c.want {
				t.Errorf("turned by %d, cold %v, hot %v: %v", turn, c.cold, c.hot, got)
			}
		}
	}
}

// TestLevelAsksOfNeeds: a storey lower 8.66 psi of 10 would be gone from the end of a line 20 ft up, where nothing
// is asked for: nobody lacks it, and only the basin at its foot, that has its 8 psi and would have 5.7, is named.
func TestLevelAsksOfNeeds(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	zero := units.Length(0)
	d := closets(10, []Point{{ID: "A", From: "main", Length: in, Size: 4 * in, Elevation: &zero}, {ID: "B", From: "A",
		Length: 20 * ft, Rise: 20 * ft, Size: 4 * in}}, nil, nil)
	d.Fixtures = []LayoutFixture{{ID: "L", Cold: "A", Fixture: tables.Fixture{Kind: "lavatory", Count: 1,
		Use: tables.Private}}}
	_, texts := askedAt(t, sized(t, mustCode(t, "ipc-2021"), d).Analyse(), "loss-not-counted")
	if len(texts) != 1 || !strings.HasSuffix(texts[0], "would leave too little at L.") {
		t.Errorf("%v", texts)
	}
}

// TestUrinalsWithValves: a line to one urinal with a flush valve and two with tanks has one with a valve.
func TestUrinalsWithValves(t *testing.T) {
	d := lodge(t).Data()
	d.Fixtures = append(slices.Clone(d.Fixtures), LayoutFixture{ID: "U2", Cold: "C5",
		Fixture: tables.Fixture{Kind: "urinal", Count: 2, Use: tables.Public, Control: tables.Tank}})
	f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "mixed-closets")
	if len(f) != 1 || !strings.Contains(f[0].Reason, "It serves 1 urinal with flush valves and no closet with one.") {
		t.Errorf("%v", f)
	}
}

// TestLinesThatCannotBe: a cold line is fed by no hot one, a return by no cold one; returns that run into one
// another lead round in a ring, of which one alone runs into the other does not.
func TestLinesThatCannotBe(t *testing.T) {
	const m = units.Metre
	for _, c := range []struct {
		from, line string
		ok         bool
	}{{"H1", "cold", false}, {"C2", "recirc", false}, {"C2", "hot", false}, {"C2", "cold", true}, {"H1", "hot", true},
		{"H1", "recirc", true}} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Pipe.Recirc = "pex-sdr9"
		d.Points = append(d.Points, Point{ID: "X", From: c.from, Line: c.line, Length: m})
		if _, err := New(d); (err == nil) != c.ok {
			t.Errorf("a %s line from %s: %v", c.line, c.from, err)
		}
	}
	for _, both := range []bool{false, true} {
		d := loops()
		d.Points[3].From, d.Points[5].From = "RA0", "RB0"
		d.Points = append(d.Points, Point{ID: "RA0", From: "A", Line: "recirc", Length: m}, Point{ID: "RB0", From: "B",
			Line: "recirc", Length: m})
		d.Points[3].Line, d.Points[5].Line = "", ""
		d.Recirculation[0].Into = "RB0"
		if both {
			d.Recirculation[1].Into = "RA0"
		}
		if _, err := New(d); both != (err != nil && strings.Contains(err.Error(), "the return comes back to itself")) ||
			!both && err != nil {
			t.Errorf("both %v: %v", both, err)
		}
	}
}

// TestTitlesOfTables: a table of the shelf is told by its title, what is none by its id.
func TestTitlesOfTables(t *testing.T) {
	k := sized(t, mustCode(t, "ipc-2021"), basin(60*units.PoundForcePerSquareInch)).checker(t.Context(), finding.Options{})
	for id, want := range map[string]string{
		"ipc-2021/supply-outlet-flow": `"Flow and least flowing pressure at outlets"`, "no/such": "no/such"} {
		if got := k.titleOf(id); got != want {
			t.Errorf("%s: %s, want %s", id, got, want)
		}
	}
}

// TestLadderOfClinicalSinks: UPC 610.10, from memory, counts 20, 15 and 10 units for the first three clinical sinks with
// flush valves: the question of the curve is put for them as for closets. 10 gpm would run at
// 6.6 ft/s in 3/4 in (0.4085 x 10 / 0.785²) and at 13.8 in 1/2 in (0.545) of the 8 allowed; what no pipe carries has no size to name.
func TestLadderOfClinicalSinks(t *testing.T) {
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
	d.Fixtures[0].Kind, d.Fixtures[0].Count = "clinical-sink", 3
	s := sized(t, mustCode(t, "upc-2021"), d)
	f := findingsOf(t, s, "ladder-curve")
	if len(f) != 1 || !strings.Contains(f[0].Reason, "3 flush valves, loaded by the code's ladder") ||
		!strings.Contains(f[0].Reason, " at 45 wsfu in all") {
		t.Errorf("%v", f)
	}
	k := s.checker(t.Context(), finding.Options{})
	for flow, want := range map[units.Flow]string{1e6: "", 10: `, for which 3/4" would be large enough`} {
		if got := k.sizedFor(0, flow*units.USGallonPerMinute); got != want {
			t.Errorf("%g gpm: %q, want %q", float64(flow), got, want)
		}
	}
}
