package supply

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestLadderAtTheFirst: of two runs in a row with the same load, 70 units of two valves by the ladder of the UPC, the question of the
// curve is put at the first by name, however the points are listed.
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

// TestUnlistedByTanks: C5 of the lodge in 1 in runs at 6.6 ft/s by the tank column (17 gpm, see TestMixedClosets). A tap of which the IPC
// lists no load adds its own 3 gpm to either column: 7.8 ft/s, so that the choice decides; 5 gpm make it 8.5, which fails either way.
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

// TestOwnFlowsHang: a tap of which the IPC lists no load draws 20 gpm, in 1 in of copper 7.8 ft/s of the 8 allowed. With a basin beside it the line is
// too fast, and would not be without the tap: that is asked. In 2 in nothing is too fast; nor is it a question of who draws from a line
// that serves the tap alone, of 22 gpm, which is too fast for what it draws itself.
func TestOwnFlowsHang(t *testing.T) {
	const gpm, in, ft = units.USGallonPerMinute, units.Inch, units.Foot
	for _, c := range []struct {
		first, second units.Length
		tap           units.Flow
		asked         bool
	}{{in, 2 * in, 20, true}, {2 * in, 2 * in, 20, false}, {2 * in, in, 22, false}} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: ft, Size: c.first}, {ID: "B", From: "A", Length: ft, Size: c.second}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "L", Cold: "A", Fixture: tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Private}},
			{ID: "HB", Cold: "B", Flow: c.tap * gpm, Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}}
		asked := slices.ContainsFunc(checked(t, mustCode(t, "ipc-2021"), d), func(f tables.Finding) bool {
			return f.Rule == "load-not-given" && f.Place == "HB" && f.Verdict == tables.Ask
		})
		if asked != c.asked {
			t.Errorf("%+v: asked %v", c, asked)
		}
	}
}

// TestOwnFlowOnce: a tap of 3 gpm with a cold and a hot port draws 3 gpm in all: so does the first run, where its two ways meet.
func TestOwnFlowOnce(t *testing.T) {
	d := basin(60 * units.PoundForcePerSquareInch)
	d.Fixtures[0] = LayoutFixture{ID: "HB", Cold: "C2", Hot: "H1", Flow: 3 * units.USGallonPerMinute, Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}
	s := sized(t, mustCode(t, "ipc-2021"), d)
	for i := range s.runs {
		if got := float64(s.runs[i].Flow / units.USGallonPerMinute); math.Abs(got-3) > 1e-9 {
			t.Errorf("%s carries %g gpm", s.layout.Point(i).ID, got)
		}
	}
}

// TestCapWhereWaysMeet: two basins draw 0.8 gpm each by Table 604.3, hot, cold or mixed: held to its outlets the run where their ways meet
// carries 1.6 gpm, and not 3.2, which is over what the table of demand has of their load.
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

// TestStatedLoadWithoutShare: a code that prints no share for two supplies, the NSPC, has all of a stated load on each of them. At the
// first point of the file, cold or hot, it counts as anywhere.
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

// TestRingDecidesVelocity: 27 gpm run at 10.5 ft/s in 1 in of copper (0.4085 x 27 / 1.025²), and half of it at 5.25: the entry A fails, B and D
// fail with the link shut alone, which is for the owner, C and the link carry half and pass. Of 45 gpm half is 8.75 ft/s, and all fail.
func TestRingDecidesVelocity(t *testing.T) {
	for gpm, want := range map[units.Flow]string{27: "A fail; B ask owner; C pass; D ask owner; K pass; ", 45: "A fail; B fail; C fail; D fail; K fail; "} {
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

// TestServiceOfEachLine: each run from the source is held to 3/4 in, and not the runs behind it, whatever lies between them in the file.
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

// TestManifoldsOfLayout: from the manifold M go runs of 10 ft and, in two parts, of 20 ft, and one of 30 that serves two sinks and is no home
// run: the longest is that of 20. At the second manifold nothing hangs. Of nothing analysed nothing is told.
func TestManifoldsOfLayout(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	d := closets(60, []Point{{ID: "K", From: "M", Length: 12 * ft, Size: in / 2}, {ID: "M", From: "main", Length: 5 * ft, Size: in, Manifold: true},
		{ID: "X", From: "M", Length: 10 * ft, Size: in / 2}, {ID: "Y", From: "K", Length: 8 * ft, Size: in / 2},
		{ID: "Z", From: "M", Length: 30 * ft, Size: in / 2}, {ID: "N", From: "main", Length: ft, Size: in / 2, Manifold: true}}, nil, nil)
	for id, at := range map[string]string{"SX": "X", "SY": "Y", "S1": "Z", "S2": "Z"} {
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: id, Cold: at, Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}})
	}
	a := sized(t, mustCode(t, "ipc-2021"), d).Analyse()
	got := a.Manifolds()
	want := []ManifoldResult{{Point: "M", Size: in, Flow: a.runs[1].Flow, HomeRuns: 3, Longest: 20 * ft, To: "SY"}, {Point: "N", Size: in / 2}}
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

// TestOfNothing: what is asked of no layout and no analysis, of a point that is not there or a link beyond the last has no answer.
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
		if f, err := a.LinkPipe(link); (err == nil) != ok || ok && f.id != "copper-l" || !ok && !errors.Is(err, tables.ErrQuery) {
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

// TestRoundedInMetric: a wave to 50 kPa or 5 psi, a bore to a tenth of a millimetre or a thousandth of an inch: 20.44 mm are 0.8047 in.
func TestRoundedInMetric(t *testing.T) {
	metric, us := unitSystem{true}, unitSystem{}
	for got, want := range map[string]string{
		metric.hammer(774 * units.Kilopascal).String(): "750 kPa", metric.hammer(776 * units.Kilopascal).String(): "800 kPa",
		us.hammer(107 * units.PoundForcePerSquareInch).String(): "105 psi",
		metric.bore(units.Millimetres(20.44)).String():          "20.4 mm", us.bore(units.Millimetres(20.44)).String(): "0.805 in",
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
		if why := d.Why(); strings.HasPrefix(why, "between two rows: ") != between || !strings.HasPrefix(strings.TrimPrefix(why, "between two rows: "), d.Citation.String()) {
			t.Errorf("%s units: %s", load, why)
		}
	}
}

// TestStillDevices: nothing flows through a meter or a tap: it takes nothing, of a size that no table has too. A backflow preventer takes what it
// takes at any flow, for a spring holds it shut.
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
		if f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "water-drain-separation"); len(f) != 1 || !strings.Contains(f[0].Reason, want) {
			t.Errorf("%q: %v", drain, f)
		}
	}
}

// TestExactSum: ten thousand times a tenth on 1e16, whose last digit is 2: what each addition rounds off is kept, 1000 in all.
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
		if err == nil || strings.Contains(err.Error(), "which of ") != want || want && !strings.Contains(err.Error(), "which of copper-") {
			t.Errorf("%q: %v", name, err)
		}
	}
}
