package supply

import (
	"errors"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A fitting with a coefficient loses k v2/2g: 27 gpm in 1-1/4 in of copper run at 6.892
// ft/s, 0.738 ft or 0.3197 psi of 60 degF water for k of 1; three of k 2 six times that.
func TestFittingCoefficient(t *testing.T) {
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: units.Inch * 5 / 4, Fittings: []FittingItem{{Fitting: "strainer", Count: 3, K: 2}}}}, []string{"A"}, nil)
	s := sized(t, mustCode(t, "ipc-2021"), d)
	if got := float64(s.runs[0].Fittings / units.PoundForcePerSquareInch); got < 6*0.3192 || got > 6*0.3202 || s.runs[0].Equivalent != 0 {
		t.Errorf("%v psi, and %v of pipe", got, s.runs[0].Equivalent)
	}
}

// Of the two ports of a fixture the one with less pressure counts: here the cold one, the
// first point, for the hot line falls by 20 ft.
func TestLesserPort(t *testing.T) {
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	for rise, want := range map[units.Length]string{-20 * ft: "A", 20 * ft: "H"} {
		d := Data{Source: Source{ID: "main", Pressure: 80 * psi}, Water: Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(60)},
			Pipe: LinePipes{Cold: "copper-l", Hot: "copper-l"},
			Points: []Point{{ID: "A", From: "main", Length: ft, Size: units.Inch}, {ID: "WH", From: "A", Length: ft, Size: units.Inch, Device: &Device{Kind: "storage-heater", Loss: psi}},
				{ID: "H", From: "WH", Length: 20 * ft, Rise: rise, Size: units.Inch}},
			Fixtures: []LayoutFixture{{ID: "L", Cold: "A", Hot: "H", Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}}}}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		f := s.fixtures[0]
		if got := s.layout.Point(f.at).ID; got != want || f.Available != s.runs[f.at].Out {
			t.Errorf("hot line rises %v: %v at %s, want %s", rise, f.Available, got, want)
		}
	}
}

// The fixture with least to spare governs, the first of two alike, and none that asks
// for no pressure.
func TestGoverning(t *testing.T) {
	points := []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "main", Length: units.Foot}, {ID: "C", From: "main", Length: 90 * units.Foot, Rise: 90 * units.Foot}}
	washer := LayoutFixture{ID: "CW", Cold: "C", Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}}
	d := closets(80, points, []string{"A", "B"}, nil)
	d.Fixtures = append(d.Fixtures, washer)
	if s := sized(t, mustCode(t, "ipc-2021"), d); s.governing != 0 {
		t.Errorf("fixture %d governs", s.governing)
	}
	d = closets(80, points, nil, nil)
	d.Fixtures = []LayoutFixture{washer}
	if s := sized(t, mustCode(t, "ipc-2021"), d); s.governing != -1 {
		t.Errorf("fixture %d governs, and asks for nothing", s.governing)
	}
}

// A layout may rise or fall by 1000 km in all: 250 runs of 4 km.
func TestElevationLimit(t *testing.T) {
	for _, tc := range []struct {
		runs int
		rise units.Length
		more units.Length
		ok   bool
	}{{250, 4000 * units.Metre, 0, true}, {250, -4000 * units.Metre, 0, true}, {250, 4000 * units.Metre, units.Millimetre, false}, {250, -4000 * units.Metre, -units.Millimetre, false}} {
		d := closets(80, nil, nil, nil)
		for i := range tc.runs {
			p := Point{ID: fmt.Sprint(i), From: "main", Length: 4000 * units.Metre, Rise: tc.rise}
			if i > 0 {
				p.From = fmt.Sprint(i - 1)
			}
			d.Points = append(d.Points, p)
		}
		d.Points = append(d.Points, Point{ID: "end", From: fmt.Sprint(tc.runs - 1), Length: units.Metre, Rise: tc.more})
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.prepare(mustCode(t, "ipc-2021"), Options{}, nil); (err == nil) != tc.ok || err != nil && !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%d runs of %v and %v more: %v", tc.runs, tc.rise, tc.more, err)
		}
	}
}

// Sizes and walls of the stock: the smallest of a family is one of it, and one that the
// family does not have is refused.
func TestStockSizes(t *testing.T) {
	mm := units.Millimetre
	for _, tc := range []struct {
		stock Stock
		want  string
	}{
		{Stock{Pipe: "copper-l", Sizes: []units.Length{units.Inch / 4, 2 * units.Inch}}, ""},
		{Stock{Pipe: "copper-l", Sizes: []units.Length{7 * units.Inch}}, "stock of copper-l: size"},
		{Stock{Pipe: "copper-en1057", Sizes: []units.Length{10 * mm, 35 * mm}, Walls: []units.Length{mm, mm}}, ""},
		{Stock{Pipe: "copper-en1057", Sizes: []units.Length{10 * mm, 35 * mm}, Walls: []units.Length{2 * mm, mm}}, "stock of copper-en1057: size 10 mm: wall 2 mm: it comes in 1 mm"},
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, []Stock{tc.stock})
		d.Pipe.Cold = tc.stock.Pipe
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.Size(mustCode(t, "ipc-2021"), Options{}); (err == nil) != (tc.want == "") || err != nil && (!strings.Contains(err.Error(), tc.want) || !errors.Is(err, tables.ErrNotInCode)) {
			t.Errorf("%+v: %v", tc.stock, err)
		}
	}
}

// Faults of many runs come together, the first hundred and one of them: of runs without
// a size, of fittings that the table does not know.
func TestFaultsOfRunsTogether(t *testing.T) {
	for _, n := range []int{2, 101, 150} {
		for what, p := range map[string]Point{
			"no size":    {},
			"no fitting": {Pipe: "pex-sdr9", Size: units.Inch, Fittings: []FittingItem{{Fitting: "elbow-9O", Count: 1}}},
		} {
			d := closets(80, nil, nil, nil)
			for i := range n {
				p.ID, p.From, p.Length = fmt.Sprint("P", i), "main", units.Foot
				d.Points = append(d.Points, p)
			}
			l, err := New(d)
			if err != nil {
				t.Fatal(err)
			}
			_, err = l.Analyse(mustCode(t, "upc-2021"), Options{})
			if err == nil {
				t.Fatalf("%s: no error", what)
			}
			if got := strings.Count(err.Error(), "\n") + 1; got != min(n, 101) {
				t.Errorf("%s: %d faults of %d", what, got, n)
			}
		}
	}
}

// A fitting or a device of which there is no figure is asked about, and what flows past it
// is no pass: no elbow of PEX is listed over 1 in, no tap under the UPC. With a figure of
// the layout's own the fixture passes.
func TestLossesNotCounted(t *testing.T) {
	in, psi := units.Inch, units.PoundForcePerSquareInch
	for _, tc := range []struct {
		what, code string
		p          Point
		ask        bool
	}{
		{"elbow", "ipc-2021", Point{Pipe: "pex-sdr9", Size: 2 * in, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}, true},
		{"elbow of a length", "ipc-2021", Point{Pipe: "pex-sdr9", Size: 2 * in, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1, Length: units.Foot}}}, false},
		{"tap", "upc-2021", Point{Size: 2 * in, Device: &Device{Kind: "tap", Size: in}}, true},
		{"tap of a loss", "upc-2021", Point{Size: 2 * in, Device: &Device{Kind: "tap", Size: in, Loss: psi}}, false},
	} {
		tc.p.ID, tc.p.From, tc.p.Length = "A", "main", units.Foot
		d := closets(80, []Point{tc.p, {ID: "B", From: "A", Length: units.Foot}}, []string{"B"}, nil)
		s := sized(t, mustCode(t, tc.code), d)
		asked, pressure := findingsOf(t, s, "loss-not-counted"), findingsOf(t, s, "fixture-pressure")
		if (len(asked) == 1 && asked[0].Place == "A") != tc.ask || len(asked) > 1 {
			t.Errorf("%s: %v", tc.what, asked)
		}
		if len(pressure) != 1 || (pressure[0].Verdict == tables.Pass) == tc.ask || s.fixtures[0].Upper != tc.ask {
			t.Errorf("%s: %v", tc.what, pressure)
		}
	}
}

// Runs that name no fittings lose what half as much pipe again would, where the job says
// so, and nothing where it does not; a run that names its own has those alone.
func TestFittingsAllowance(t *testing.T) {
	ft := units.Foot
	run := func(share float64, fittings ...FittingItem) *Analysis {
		d := closets(80, []Point{{ID: "A", From: "main", Length: 40 * ft, Size: units.Inch * 3 / 2, Fittings: fittings}}, []string{"A"}, nil)
		d.FittingsAllowance = share
		return sized(t, mustCode(t, "ipc-2021"), d).Analysis
	}
	none, half := &run(0).runs[0], &run(0.5).runs[0]
	if none.Fittings != 0 || none.Equivalent != 0 {
		t.Errorf("without: %v of %v", none.Fittings, none.Equivalent)
	}
	if half.Equivalent != 20*ft || math.Abs(float64(half.Fittings/none.Friction)-0.5) > 1e-9 || half.Friction != none.Friction {
		t.Errorf("half: %v of %v beside %v", half.Fittings, half.Equivalent, half.Friction)
	}
	if got := &run(0.5, FittingItem{Fitting: "elbow-90", Count: 1, Length: ft}).runs[0]; got.Equivalent != ft {
		t.Errorf("with an elbow: %v", got.Equivalent)
	}
	got, err := run(0.5).Check(CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range got {
		if f.Rule == "fittings-not-given" && (f.Verdict != tables.Pass || !strings.Contains(f.Reason, "adds 50 %")) {
			t.Errorf("%v", f)
		}
	}
	for _, share := range []float64{-0.1, 3.01, 50, math.NaN(), math.Inf(1)} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: ft}}, []string{"A"}, nil)
		d.FittingsAllowance = share
		if _, err := New(d); err == nil || !strings.Contains(err.Error(), "fittings_allowance") {
			t.Errorf("%g: %v", share, err)
		}
	}
}

// Two lavatories and a closet, one line: 0.5 + 0.5 + 3 = 4 gpm by Table 604.3 where the
// table of demand gives 4.6 for 3.6 units. Held to its outlets the line carries 4 gpm;
// with a fixture whose flow is nowhere it goes by the table; three units off, too.
func TestCapAtOutlets(t *testing.T) {
	gpm := units.USGallonPerMinute
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
	d.Fixtures = []LayoutFixture{
		{ID: "LV", Cold: "A", Flow: gpm / 2, Fixture: tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Private}},
		{ID: "WC", Cold: "A", Flow: 3 * gpm, Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Style: "close coupled"}}}
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	flow := func(capped bool) *run {
		s, err := l.Size(mustCode(t, "ipc-2021"), Options{CapAtOutlets: capped})
		if err != nil {
			t.Fatal(err)
		}
		d.CapAtOutlets = capped // the layout may say it too
		if same := sized(t, mustCode(t, "ipc-2021"), d); same.runs[0].Flow != s.runs[0].Flow {
			t.Errorf("by the layout %v, by the options %v", same.runs[0].Flow, s.runs[0].Flow)
		}
		return &s.runs[0]
	}
	if r := flow(false); r.Flow <= 4*gpm || r.Basis != FromTable {
		t.Errorf("by the table: %v, %v", r.Flow, r.Basis)
	}
	if r := flow(true); math.Abs(float64(r.Flow/gpm)-4) > 1e-9 || r.Basis != FromAll {
		t.Errorf("capped: %v, %v", r.Flow, r.Basis)
	}
}

// Pipe in millimetres is called as it is bought: by diameter and wall of metal tube, by
// diameter of plastic, by DN where the size is a name. Inches stay.
func TestMetricName(t *testing.T) {
	c := mustCode(t, "en806-3")
	for _, tc := range []struct {
		family, size, want string
	}{
		{"copper-en1057", "10 mm", "10 x 1.0 mm"}, {"copper-b88m-a", "22 mm", "22 x 1.6 mm"}, {"ppr-s2-5", "25 mm", "d25"},
		{"pex-s5", "20 mm", "d20"}, {"steel-en10255", "25 mm", "DN 25"}, {"copper-l", "3/4 in", ""}, {"ppr-s2-5", "26 mm", ""},
	} {
		f, err := c.Pipe(tc.family)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := f.MetricName(units.MustParse[units.Length](tc.size)); got != tc.want || ok != (tc.want != "") {
			t.Errorf("%s %s: %q, %v", tc.family, tc.size, got, ok)
		}
	}
}

// TestUnitsOption: findings, reasons and workings come in the units asked for, whatever
// the layout is written in.
func TestUnitsOption(t *testing.T) {
	american := regexp.MustCompile(`\d (psi|gpm|ft/s|degF|gal|Btu/h)\b`)
	metric := regexp.MustCompile(`\d (kPa|bar|L/s|m/s|degC|L|W)\b`)
	refuge, err := os.ReadFile("testdata/refuge.json")
	if err != nil {
		t.Fatal(err)
	}
	metricLayout, err := Parse("refuge.json", refuge)
	if err != nil {
		t.Fatal(err)
	}
	for code, l := range map[string]*Layout{"ipc-2021": lodge(t), "din1988-300": metricLayout} {
		for _, tt := range []struct {
			units         UnitSystem
			wanted, never *regexp.Regexp
		}{{Customary, american, metric}, {Metric, metric, american}} {
			s, err := l.Size(mustCode(t, code), Options{Units: tt.units})
			if err != nil {
				t.Fatal(err)
			}
			list, err := s.Check(CheckOptions{})
			if err != nil {
				t.Fatal(err)
			}
			var text []string
			for _, f := range list {
				text = append(text, f.Reason, f.Fix)
				for _, q := range []any{f.Value, f.Limit, f.Margin} {
					if q, ok := q.(interface{ String() string }); ok {
						text = append(text, q.String())
					}
				}
			}
			for i := range s.runs {
				text = append(text, s.Reason(i))
				text = append(text, s.Working(i)...)
			}
			seen := 0
			for _, x := range text {
				if i := strings.Index(x, ", by "); i > 0 {
					x = x[:i] // a citation names its row as the table does
				}
				if strings.HasPrefix(x, "load: ") {
					continue // in what the code counts
				}
				if at := tt.never.FindString(x); at != "" {
					t.Errorf("units %d: %q stands in %q", tt.units, at, x)
				}
				if tt.wanted.MatchString(x) {
					seen++
				}
			}
			if seen < 20 {
				t.Errorf("units %d: only %d texts hold a quantity", tt.units, seen)
			}
		}
	}
}

// A system that is no system leaves what was there.
func TestSystemText(t *testing.T) {
	for _, s := range []System{TankSystem, ValveSystem} {
		text, err := s.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		for _, was := range []System{TankSystem, ValveSystem} {
			got := was
			if err := got.UnmarshalText(text); err != nil || got != s {
				t.Errorf("%s over %v reads as %v, %v", text, was, got, err)
			}
			if got = was; got.UnmarshalText([]byte("pump")) == nil || got != was {
				t.Errorf("pump over %v reads as %v", was, got)
			}
		}
	}
}

// Nothing that was not made answers as if it were, and nothing panics.
func TestNotMade(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, l := range []*Layout{nil, {}} {
		if _, err := l.Size(code, Options{}); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("Size: %v", err)
		}
		if _, err := l.Analyse(code, Options{}); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("Analyse: %v", err)
		}
		if _, ok := l.Find("x"); ok || l.Len() != 0 || len(l.Data().Points) != 0 {
			t.Error("a layout of nothing has points")
		}
	}
	l := lodge(t)
	if _, err := l.Size(nil, Options{}); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("sized by no code: %v", err)
	}
	if _, err := New(l.Data(), nil); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("made for no code: %v", err)
	}
	for _, s := range []*Sizing{nil, {}, {Analysis: &Analysis{}}} {
		calls := map[string]func() error{
			"Check":     func() error { _, err := s.Check(CheckOptions{}); return err },
			"TestPlans": func() error { _, err := s.TestPlans(TestOptions{}); return err },
			"TakeOff":   func() error { _, err := s.TakeOff(TakeOffOptions{}); return err },
			"Draw":      func() error { _, err := s.Draw(DrawOptions{}); return err },
		}
		for name, call := range calls {
			if err := call(); !errors.Is(err, tables.ErrQuery) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if _, ok := s.Of("x"); ok || s.Len() != 0 {
			t.Error("a sizing of nothing has runs")
		}
		for range s.All() {
			t.Error("a sizing of nothing has runs")
		}
	}
}

// What a layout hands out is a copy: an edit of it reaches nothing.
func TestHandedOut(t *testing.T) {
	l := lodge(t)
	id := l.Point(0).ID
	d, p := l.Data(), l.Point(0)
	d.Points[0].ID, p.ID = "x", "y"
	if l.Point(0).ID != id {
		t.Errorf("point %q is now %q", id, l.Point(0).ID)
	}
}

// A fixture that no code on the shelf knows is named where it stands, with what may have
// been meant; one that only another code knows is left to the check, and so is one that
// brings its own flow.
func TestMisspeltFixture(t *testing.T) {
	text := func(fixture string) []byte {
		return []byte(`{"source": {"id": "main", "pressure": "60 psi"}, "water": {"cold": "50 F"}, "pipe": {"cold": "copper-l", "hot": "copper-l"},
"points": [{"id": "A", "from": "main", "length": "10 ft"}],
"fixtures": [{"id": "one", ` + fixture + `, "count": 1, "use": "private", "cold": "A"}]}`)
	}
	code := mustCode(t, "ipc-2021")
	for fixture, want := range map[string]string{
		`"fixture": "lavatori"`:                       `f:3:`,
		`"fixture": "samovar", "load_as": "lavatori"`: `load_as`,
		`"fixture": "samovar", "load_as": "lavatory"`: "",
		`"fixture": "samovar", "flow": "1 gpm"`:       "",
		`"fixture": "lavatory"`:                       "",
	} {
		_, err := Parse("f", text(fixture), code)
		switch {
		case want == "" && err != nil:
			t.Errorf("%s: %v", fixture, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "lavatory")):
			t.Errorf("%s: %v", fixture, err)
		}
	}
}

// Under UPC's table, which starts at 2 units, outlets count by their flows. A fountain of
// 0.5 units draws 0.75 gpm (Hunter's table of the shelf); of a bar sink, 1 unit, no flow is
// known, so that the two together are not known either.
func TestFlowNotKnownUnderTable(t *testing.T) {
	c := mustCode(t, "upc-2021")
	fountain := LayoutFixture{ID: "DF", Cold: "A", Fixture: tables.Fixture{Kind: "drinking-fountain", Count: 1, Use: tables.Private}}
	sink := LayoutFixture{ID: "BS", Cold: "A", Fixture: tables.Fixture{Kind: "bar-sink", Count: 1, Use: tables.Private}}
	stated := sink
	stated.Flow = 1.2 * units.USGallonPerMinute
	three := sink
	three.Count = 3 // 1 unit each, on the cold line alone
	for _, tc := range []struct {
		fixtures []LayoutFixture
		gpm      float64
		basis    FlowBasis
	}{
		{[]LayoutFixture{fountain}, 0.75, FromOutlets},
		{[]LayoutFixture{sink}, 2, FromFirstRow}, // 2 gpm at 2 units
		{[]LayoutFixture{fountain, sink}, 2, FromFirstRow},
		{[]LayoutFixture{sink, fountain}, 2, FromFirstRow},
		{[]LayoutFixture{fountain, stated}, 1.95, FromOutlets},
		{[]LayoutFixture{three}, 2.5, FromTable}, // 3 units are in the table: 2 gpm at 2, 3 at 4
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Fixtures = tc.fixtures
		s := sized(t, c, d)
		if r := s.runs[0]; roundTo(float64(r.Flow/units.USGallonPerMinute)) != tc.gpm || r.Basis != tc.basis {
			t.Errorf("%v: %v, %v; want %v gpm, %v", tc.fixtures, r.Flow, r.Basis, tc.gpm, tc.basis)
		}
		// Half or twice that flow moves nothing on a foot of pipe at 80 psi: it is said, and not asked.
		var assumed []tables.Assumption
		if _, err := s.Check(CheckOptions{Assumed: &assumed}); err != nil {
			t.Fatal(err)
		}
		assumed = slices.DeleteFunc(assumed, func(a tables.Assumption) bool { return a.Rule != "demand-first-row" })
		if (len(assumed) == 1 && assumed[0].Place == "A") != (tc.basis == FromFirstRow) {
			t.Errorf("%v: %v", tc.fixtures, assumed)
		}
	}
}

// The first ladder of UPC 610.10, of clinical sinks: 20, 15, 10, 8 and 5 for each further.
func TestFirstLadder(t *testing.T) {
	c := mustCode(t, "upc-2021")
	if got, err := c.Loads([]tables.Fixture{{Kind: "lavatory", Count: 1, Use: tables.Private}}); err != nil || got.Progressive != nil {
		t.Errorf("a lavatory is on no ladder: %+v, %v", got, err)
	}
	f := tables.Fixture{Kind: "clinical-sink", Count: 1, Control: tables.Valve}
	two := f
	two.Count = 2
	if got, err := c.Loads([]tables.Fixture{f, two}); err != nil || got.Total.FixtureUnits != fu("45") {
		t.Errorf("one and two: %v, %v", got.Total, err)
	}
	for n, want := range map[int]string{1: "20", 2: "35", 3: "45", 5: "58", 7: "68"} {
		f.Count = n
		if got, err := c.Loads([]tables.Fixture{f}); err != nil || got.Total.FixtureUnits != fu(want) {
			t.Errorf("%d: %v, %v", n, got.Total, err)
		}
		if got, err := c.FixtureLoad(f); err != nil || got.Total.FixtureUnits != fu(want) {
			t.Errorf("%d, one entry: %v, %v", n, got.Total, err)
		}
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "CS", Cold: "A", Fixture: f}}
		s := sized(t, c, d)
		if s.runs[0].Load != fu(want) || s.runs[0].System != ValveSystem {
			t.Errorf("%d on a line: %v, %v", n, s.runs[0].Load, s.runs[0].System)
		}
		// Neither the ladder's row nor the fixture's was seen in print.
		if got := findingsOf(t, s, "load-row"); len(got) != 2 || !strings.Contains(got[1].Reason, "ladder clinical-sink") {
			t.Errorf("%d: %v", n, got)
		}
	}
}

// DIN 1988-300's constants hold up to 500 L/s drawn together, 5000 basins of 0.1 L/s:
// 0.75 x 500^0.44 - 0.18 = 11.37 L/s. Past it they go on, and the place is asked about.
func TestPeakFlowLimit(t *testing.T) {
	c := mustCode(t, "din1988-300")
	for count, want := range map[int]FlowBasis{5000: FromFormula, 5001: BeyondTable} {
		d := room("hospital", "lavatory")
		d.Fixtures[0].Flow, d.Fixtures[0].Count, d.Fixtures[0].UsageUnit = 0.1*units.LitrePerSecond, count, ""
		s := sized(t, c, d)
		if r := s.runs[0]; r.Basis != want || math.Abs(float64(r.Flow/units.LitrePerSecond)-11.37) > 0.01 {
			t.Errorf("%d: %v by %v, want %v", count, r.Flow, r.Basis, want)
		}
		if got := findingsOf(t, s, "demand-beyond-table"); (len(got) == 1) != (want == BeyondTable) {
			t.Errorf("%d: %v", count, got)
		}
	}
}

// The share of the total that each of two supplies carries is no more than all of it.
func TestSeparateShare(t *testing.T) {
	for share, want := range map[string]error{"1": nil, "0": nil, "1.001": tables.ErrQuery, "much": tables.ErrUnit} {
		shelf, err := tables.Embedded().With(fstest.MapFS{
			"sources.csv":               &fstest.MapFile{Data: []byte("id,title,publisher,edition,year,url,note\noffice,Design sheet of the office,,,2026,,\n")},
			"ipc-2021/supply-rules.csv": &fstest.MapFile{Data: []byte("# id: ipc-2021/supply-rules\n# source: office\nop,rule,value,unit,status\nset,separate-supply-share," + share + ",1,read\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := LoadCode(shelf, "ipc-2021"); !errors.Is(err, want) {
			t.Errorf("a share of %s: %v, want %v", share, err, want)
		}
	}
}

// What the code gives no load for counts by its own flow, whole: a hose bibb of the IPC
// draws the 5 gpm of Table 604.3 beside the 4 gpm of a bathtub, at the meter once.
// What has no flow either counts for nothing; both are asked about, and all else stands.
// Two rows that the layout does not choose between count as the greater.
func TestLoadsNotGiven(t *testing.T) {
	tub := LayoutFixture{ID: "BT", Cold: "A", Fixture: tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}}
	bibb := LayoutFixture{ID: "HB", Cold: "A", Fixture: tables.Fixture{Kind: "hose-bibb", Count: 1}}
	two, stated, washer, basin := bibb, bibb, bibb, bibb
	two.Count, stated.Flow, washer.Kind = 2, 14*units.USGallonPerMinute, "dental-unit"
	basin.Fixture = tables.Fixture{Kind: "lavatory", Count: 1}
	for _, tc := range []struct {
		add     LayoutFixture
		gpm     float64
		says    string
		atUnits string
	}{
		{tub, 4, "", "1.4"}, // alone
		{bibb, 4 + 5, "The code lists no load for it. Its own flow is added whole", "1.4"},
		{two, 4 + 10, "Its own flow is added whole", "1.4"},
		{stated, 4 + 14, "Its own flow is added whole", "1.4"},
		{washer, 4, "counts for nothing", "1.4"},
		{basin, 6.5 + 0.4*1.5, "(use: private, public); the greatest load is taken", "3.4"},
	} {
		d := closets(80, []Point{{ID: "M", From: "main", Length: units.Foot}, {ID: "A", From: "M", Length: units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{tub, tc.add}
		if tc.says == "" {
			d.Fixtures = d.Fixtures[:1]
		}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		for i := range s.runs {
			if got := roundTo(float64(s.runs[i].Flow / units.USGallonPerMinute)); got != tc.gpm || s.runs[i].Load != fu(tc.atUnits) {
				t.Errorf("%s: %v gpm of %v, want %v of %s", tc.add.Kind, got, s.runs[i].Load, tc.gpm, tc.atUnits)
			}
		}
		found := findingsOf(t, s, "load-not-given")
		if tc.says == "" && len(found) == 0 {
			continue
		}
		if len(found) != 1 || found[0].Place != "HB" || found[0].Verdict != tables.Ask || !strings.Contains(found[0].Reason, tc.says) {
			t.Errorf("%s: %v", tc.add.Kind, found)
		}
	}
	// A word that no code knows is a fault, and of two both are told.
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
	bibb.Kind = "hosebib"
	other := bibb
	other.ID, other.Kind = "KN", "kiln"
	d.Fixtures = []LayoutFixture{bibb, other}
	if l, err := New(d); err != nil {
		t.Error(err)
	} else if _, err := l.Size(mustCode(t, "ipc-2021"), Options{}); !errors.Is(err, tables.ErrNotInCode) ||
		!strings.Contains(err.Error(), `"hosebib"`) || !strings.Contains(err.Error(), `"kiln"`) {
		t.Errorf("hosebib: %v", err)
	}
}

// A run to one fixture carries no more than that draws: of Table 604.3 a close coupled
// closet 3 gpm, one piece 6, where 2.2 units give 5.3 by the table of demand; of no style
// anything up to 6. Two closets go by the table, a maker's flow by itself.
func TestOneFixtureDrawsNoMore(t *testing.T) {
	gpm := units.USGallonPerMinute
	for _, tc := range []struct {
		style string
		count int
		flow  units.Flow
		want  float64
		basis FlowBasis
	}{
		{"close coupled", 1, 0, 3, FromOnly},
		{"one piece", 1, 0, 6, FromLargest},
		{"", 1, 0, 5.3, FromTable},
		{"close coupled", 2, 0, 8.56, FromTable},
		{"close coupled", 1, 4 * gpm, 4, FromOnly},
	} {
		d := closets(80, []Point{{ID: "M", From: "main", Length: units.Foot}, {ID: "A", From: "M", Length: units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "WC", Cold: "A", Flow: tc.flow, Fixture: tables.Fixture{Kind: "water-closet", Count: tc.count, Use: tables.Private, Control: tables.Tank, Style: tc.style}}}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		for i := range s.runs {
			if got := roundTo(float64(s.runs[i].Flow / gpm)); math.Abs(got-tc.want) > 0.005 || s.runs[i].Basis != tc.basis {
				t.Errorf("%+v: %v gpm by %v", tc, got, s.runs[i].Basis)
			}
		}
	}
	// A tub with both its ports on the main is one fixture there too: 4 gpm, not 4.7.
	d := closets(80, []Point{{ID: "M", From: "main", Length: units.Foot}, {ID: "WH", From: "M", Length: units.Foot, Device: &Device{Kind: "storage-heater", NoLoss: true}},
		{ID: "H", From: "WH", Length: units.Foot}}, nil, nil)
	d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
	d.Fixtures = []LayoutFixture{{ID: "BT", Cold: "M", Hot: "H", Flow: 3.5 * gpm, Fixture: tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}}}
	if r := sized(t, mustCode(t, "ipc-2021"), d).runs[0]; r.Basis != FromOnly || math.Abs(float64(r.Flow/gpm)-3.5) > 1e-9 {
		t.Errorf("a tub by both ports: %v by %v", r.Flow, r.Basis)
	}
}

// A fixture that has both supplies and is fed by one takes its whole load there: of a
// service sink under the UPC 3 units and not 2.25, of the IPC's lavatory 2 and not 1.5.
func TestSingleSupplyTakesAll(t *testing.T) {
	for _, tc := range []struct {
		code, kind string
		both, one  string
	}{{"upc-2021", "service-sink", "2.25", "3"}, {"ipc-2021", "lavatory", "1.5", "2"}} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "C", From: "A", Length: units.Foot},
			{ID: "WH", From: "A", Length: units.Foot, Device: &Device{Kind: "storage-heater", NoLoss: true}}, {ID: "H", From: "WH", Length: units.Foot}}, nil, nil)
		d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
		for _, ports := range [][2]string{{"C", "H"}, {"C", ""}, {"", "H"}} {
			d.Fixtures = []LayoutFixture{{ID: "F", Cold: ports[0], Hot: ports[1], Fixture: tables.Fixture{Kind: tc.kind, Count: 1, Use: tables.Public}}}
			s := sized(t, mustCode(t, tc.code), d)
			each := map[bool]string{true: tc.both, false: tc.one}[ports[0] != "" && ports[1] != ""]
			want := map[string]string{"A": tc.one, "C": each, "H": each}
			for i := range s.runs {
				id := s.layout.Point(i).ID
				if (id == "C" && ports[0] == "") || (id == "H" && ports[1] == "") || id == "WH" {
					continue
				}
				if s.runs[i].Load != fu(want[id]) {
					t.Errorf("%s %s at %v: %s carries %v, want %s", tc.code, tc.kind, ports, id, s.runs[i].Load, want[id])
				}
			}
		}
	}
}

// branch is a street at 20 psi, a booster that starts at 50 and stops at 70, 100 ft of 1-1/4 in
// copper and a closet's valve that draws 27 gpm and needs 35 psi: 6.41 psi of friction by
// Hazen-Williams (see TestPressureRemedy).
func boosted(device *Device, street float64) Data {
	in, ft := units.Inch, units.Foot
	d := closets(street, []Point{{ID: "P", From: "main", Length: 10 * ft, Size: in * 5 / 4, Device: device},
		{ID: "B", From: "P", Length: 100 * ft, Size: in * 5 / 4}}, []string{"B"}, nil)
	d.Fixtures[0].Pressure, d.Fixtures[0].Count = 35*units.PoundForcePerSquareInch, 1
	return d
}

// What is too much behind a booster is not cured at the street, whose 20 psi are no fault: the
// booster that stops at 90 psi has to stop at 80, or a regulator follows it.
func TestBoosterTooHigh(t *testing.T) {
	c, psi := mustCode(t, "ipc-2021"), units.PoundForcePerSquareInch
	d := boosted(&Device{Kind: "booster", Set: 70 * psi, CutOut: 90 * psi}, 20)
	f := findingsOf(t, sized(t, c, d), "static-pressure")
	if len(f) != 1 || f[0].Verdict != tables.Fail ||
		f[0].Fix != "Let the booster at P stop at 80 psi or less, or set a pressure regulator behind it." {
		t.Errorf("%v", f)
	}
}

// A booster holds its cut-in behind it whatever the street does, as long as the street feeds
// it; at rest its cut-out stands there. With more in the street than it holds it stands still.
func TestBooster(t *testing.T) {
	c, psi := mustCode(t, "ipc-2021"), units.PoundForcePerSquareInch
	pump := func() *Device { return &Device{Kind: "booster", Set: 50 * psi, CutOut: 70 * psi} }
	for _, tc := range []struct {
		street, behind, static float64
		fed                    tables.Verdict // of booster-feed; 0: no finding
	}{{20, 50, 70, 0}, {60, 60 - 0.64, 70, 0}, {0.3, 50, 70, tables.Fail}} {
		s := sized(t, c, boosted(pump(), tc.street))
		r := &s.runs[0]
		if got := float64(r.Out / psi); math.Abs(got-tc.behind) > 0.05 || r.Static != units.Pressure(tc.static)*psi {
			t.Errorf("%v psi in the street: %v behind it, %v at rest", tc.street, got, r.Static)
		}
		switch got := findingsOf(t, s, "booster-feed"); {
		case tc.fed == 0 && len(got) == 0:
		case len(got) != 1 || got[0].Place != "P" || got[0].Verdict != tc.fed:
			t.Errorf("%v psi in the street: %v", tc.street, got)
		}
	}
	// At the very edge it is fed, and a little under it is not.
	edge := 20 - float64(sized(t, c, boosted(nil, 20)).runs[0].Out/psi)
	if got := findingsOf(t, sized(t, c, boosted(pump(), edge+1e-6)), "booster-feed"); len(got) != 0 {
		t.Errorf("fed with nothing to spare: %v", got)
	}
	if got := findingsOf(t, sized(t, c, boosted(pump(), edge-0.001)), "booster-feed"); len(got) != 1 {
		t.Errorf("not fed: %v", got)
	}
	// What lies behind it asks nothing of the street, and pipe grows there and not before it.
	d := boosted(&Device{Kind: "booster", Set: 40 * psi}, 20)
	d.Points[1].Size, d.Points[1].Length = 0, 300*units.Foot
	s := sized(t, c, d)
	if s.runs[1].Size <= units.Inch*5/4 || len(s.short(t.Context())) != 0 || s.basis[1] != ByPressure {
		t.Errorf("300 ft behind 40 psi: %v, short %v, %v", s.runs[1].Size, s.short(t.Context()), s.basis[1])
	}
	for _, bad := range []*Device{{Kind: "booster"}, {Kind: "booster", Set: 50 * psi, CutOut: 40 * psi},
		{Kind: "booster", Set: 50 * psi, FallOff: psi}, {Kind: "filter", Loss: psi, CutOut: psi}} {
		if _, err := New(boosted(bad, 20)); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// A street of 74 psi at rest and 62 at 500 gpm gives what the building draws all but the
// 74: 12 x (27/500)^1.85 = 0.054 psi less. At 62 psi measured at 27 gpm it gives just 62.
func TestStreetCurve(t *testing.T) {
	c, psi, gpm := mustCode(t, "ipc-2021"), units.PoundForcePerSquareInch, units.USGallonPerMinute
	at := func(flow units.Flow) *Sizing {
		d := boosted(nil, 62)
		d.Source.Static, d.Source.ResidualFlow = 74*psi, flow
		d.Fixtures[0].Flow = 27 * gpm
		return sized(t, c, d)
	}
	none := at(0)
	for _, tc := range []struct {
		flow units.Flow
		want float64
	}{{0, 62}, {27 * gpm, 62}, {500 * gpm, 74 - 0.0542}} {
		s := at(tc.flow)
		moved := float64((s.fixtures[0].Available - none.fixtures[0].Available) / psi)
		if got := float64(s.street / psi); math.Abs(got-tc.want) > 0.001 || math.Abs(moved-(tc.want-62)) > 0.001 {
			t.Errorf("62 psi at %v: %v in the street, %v more at the fixture", tc.flow, got, moved)
		}
	}
	for _, bad := range []func(d *Data){
		func(d *Data) { d.Source.Static, d.Source.ResidualFlow = 0, gpm },
		func(d *Data) { d.Source.Static, d.Source.ResidualFlow = 74*psi, -gpm },
	} {
		d := boosted(nil, 62)
		bad(&d)
		if _, err := New(d); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%+v: %v", d.Source, err)
		}
	}
}

// What is drawn without end may ask for a pressure: it is judged as a fixture's, and pipe
// grows for it.
func TestContinuousNeeds(t *testing.T) {
	c, psi := mustCode(t, "ipc-2021"), units.PoundForcePerSquareInch
	d := boosted(nil, 60)
	d.Fixtures = nil
	d.Points[1].Continuous, d.Points[1].Needs = 27*units.USGallonPerMinute, 30*psi
	left := sized(t, c, d).runs[1].Out
	for _, tc := range []struct {
		needs units.Pressure
		want  tables.Verdict
	}{{left, tables.Pass}, {left + psi/1000, tables.Fail}} {
		d.Points[1].Needs = tc.needs
		got := findingsOf(t, sized(t, c, d), "fixture-pressure")
		if len(got) != 1 || got[0].Place != "B" || got[0].Verdict != tc.want {
			t.Errorf("%v asked: %v", tc.needs, got)
		}
	}
	d.Points[1].Size = 0
	if s := sized(t, c, d); s.runs[1].Size != units.Inch*3/2 || s.runs[1].Out < d.Points[1].Needs {
		t.Errorf("left to be sized: %v, %v", s.runs[1].Size, s.runs[1].Out)
	}
	d.Points[1].Continuous = 0
	if _, err := New(d); !errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), "needs") {
		t.Errorf("nothing drawn: %v", err)
	}
}
