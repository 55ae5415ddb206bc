package supply

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The flush valve at the end of C4 draws 25 gpm: stopped in 1-1/4 in type L tube it adds
// rho a v, worked here from the modulus of the shelf, 120 GPa, and water at 50 degF.
func TestSurges(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.Surges()
	if err != nil || len(list) != 2 {
		t.Fatalf("%+v, %v", list, err)
	}
	x := list[0]
	r := &s.runs[x.port]
	w, err := hydraulics.WaterAt(units.Fahrenheit(50))
	if err != nil {
		t.Fatal(err)
	}
	flow, err := s.code.Outlet(tables.Fixture{Kind: "water-closet", Count: 1, Control: tables.Valve, Style: "siphonic"})
	if err != nil {
		t.Fatal(err)
	}
	v := float64(flow.Flow) / (math.Pi / 4 * r.Bore.Metres() * r.Bore.Metres())
	k := float64(w.BulkModulus)
	a := math.Sqrt(k / float64(w.Density) / (1 + k/120e9*1.265/0.055))
	if s.layout.Point(x.port).ID != "C4" || r.Bore != units.MustParse[units.Length]("1.265 in") || math.Abs(float64(x.Velocity)/v-1) > 1e-9 ||
		math.Abs(float64(x.WaveSpeed)/a-1) > 1e-9 || math.Abs(float64(x.Rise)/(float64(w.Density)*a*v)-1) > 1e-9 || x.Peak != r.Static+x.Rise {
		t.Errorf("%+v, want %v m/s stopped, wave %v m/s", x, v, a)
	}
	if got, want := float64(x.Critical), 2*r.Length.Metres()/a; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("critical time %v, want %v", got, want)
	}
	found := findingsOf(t, s, "water-hammer")
	if len(found) != 1 || found[0].Verdict != tables.Ask || found[0].Place != "UR-1" || !strings.Contains(found[0].Reason, "WC-1") {
		t.Errorf("%v", found)
	}
	// Machines have solenoid valves.
	for _, kind := range []string{"clothes-washer", "dishwasher"} {
		d := room("residential", "lavatory", kind)
		if got := findingsOf(t, sized(t, mustCode(t, "din1988-300"), d), "water-hammer"); len(got) != 1 || got[0].Place != "F1" {
			t.Errorf("%s: %v", kind, got)
		}
	}
	// What stops is the flow of the run where none is known of the outlet; a run of no
	// length has no critical time; of equal waves the first is named, and others only
	// where there are some.
	d := room("", "clothes-washer", "lavatory")
	d.Fixtures[0].Use, d.Fixtures[1].Use = tables.Private, tables.Private
	d.Points = append(d.Points, Point{ID: "B", From: "A", Size: 22 * units.Millimetre})
	d.Fixtures[0].Cold = "B"
	s = sized(t, mustCode(t, "ipc-2021"), d)
	if list, err := s.Surges(); err != nil || len(list) != 1 || list[0].Velocity != s.runs[1].Velocity || list[0].Velocity <= 0 || list[0].Critical != 0 || list[0].Rise <= 0 {
		t.Errorf("%+v, %v", list, err)
	}
	if got := findingsOf(t, s, "water-hammer"); len(got) != 1 || got[0].Place != "F0" || strings.Contains(got[0].Reason, "Lower waves") {
		t.Errorf("%v", got)
	}
	d = room("residential", "dishwasher", "dishwasher", "dishwasher")
	if got := findingsOf(t, sized(t, mustCode(t, "din1988-300"), d), "water-hammer"); len(got) != 1 || got[0].Place != "F0" || !strings.Contains(got[0].Reason, "Lower waves at F1; F2") {
		t.Errorf("%v", got)
	}
	// Without quick valves nothing is asked.
	d = room("residential", "lavatory")
	if got := findingsOf(t, sized(t, mustCode(t, "din1988-300"), d), "water-hammer"); got != nil {
		t.Errorf("%v", got)
	}
}

// assumedOf returns what a check took for granted by a rule.
func assumedOf(t *testing.T, s *Sizing, rule string) (out []tables.Assumption) {
	t.Helper()
	var list []tables.Assumption
	if _, err := s.Check(CheckOptions{Assumed: &list}); err != nil {
		t.Fatal(err)
	}
	for _, a := range list {
		if a.Taken == "" || a.Field == "" || a.Place == "" {
			t.Errorf("an assumption says too little: %+v", a)
		}
		if a.Rule == rule {
			out = append(out, a)
		}
	}
	return out
}

func findingsOf(t *testing.T, s *Sizing, rule string) []tables.Finding {
	t.Helper()
	list, err := s.Check(CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	findingtest.Settled(t, list)
	var out []tables.Finding
	for _, f := range list {
		if f.Reason == "" || (f.Verdict == tables.Pass) != (f.Fix == "") {
			t.Errorf("a finding says too little, or a remedy where nothing is wrong: %+v", f)
		}
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// A tank beside a flush valve makes the main a line of both; the code's tank column
// gives less for its load.
func TestMixedClosets(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	s, err := lodge(t).Size(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	// C5 feeds a urinal's flush valve, and no closet with one: 14 units are 17 gpm by the
	// tank column, 30.2 by that of the valves, which is taken: at 8 ft/s 1-1/4 in in place of 1.
	if got := findingsOf(t, s, "mixed-closets"); len(got) != 1 || got[0].Place != "C5" || got[0].Value.String() != "30.2 gpm" || got[0].Limit.String() != "17 gpm" || !strings.Contains(got[0].Reason, `1" would be large enough`) {
		t.Errorf("a urinal's valve alone: %v", got)
	}
	// Drawn in 1 in it runs at 11.7 ft/s by the valve column and 6.6 by that of tanks: while
	// the question is open that is no fail.
	drawn := lodge(t).Data()
	for i := range drawn.Points {
		if drawn.Points[i].ID == "C5" {
			drawn.Points[i].Size = units.Inch
		}
	}
	fast := ""
	for _, f := range findingsOf(t, sized(t, c, drawn), "water-velocity") {
		if f.Place == "C5" {
			fast = f.Verdict.String() + ": " + f.Reason
		}
	}
	if !strings.HasPrefix(fast, "ask: ") || !strings.Contains(fast, "by the tank column (17 gpm)") {
		t.Errorf("1 in to a urinal: %s", fast)
	}
	// A code that says so sends lines without a closet's valve by the tanks, and asks nothing.
	town := amended(t, "ipc-2021", "ipc-2021/supply-rules", "op,rule,value,unit,section,what,note,src,status\nadd,tank-column-without-closet-valves,,,,a line that feeds no closet valve goes by the tanks,,,read\n")
	s = sized(t, town, lodge(t).Data())
	if i, _ := s.layout.Find("C5"); s.runs[i].System != TankSystem || len(findingsOf(t, s, "mixed-closets")) != 0 {
		t.Errorf("the town's tank column: %v", s.runs[i].System)
	}
	mixed := lodge(t).Data()
	mixed.Fixtures = append([]LayoutFixture{{ID: "WC-2", Fixture: tables.Fixture{Kind: "water-closet", Count: 2, Use: tables.Public, Control: tables.Tank, Style: "close coupled"}, Cold: "C7"}}, mixed.Fixtures...)
	s = sized(t, c, mixed)
	got := findingsOf(t, s, "mixed-closets")
	if len(got) != 2 || got[0].Place != "C1" || got[1].Place != "C5" || got[0].Verdict != tables.Ask || !strings.Contains(got[0].Reason, "2 closets with tanks") {
		t.Fatalf("%v", got)
	}
	// One tank is enough to be mixed. From 1000 units on both columns are one: the first
	// line on which anything hangs is then one farther in.
	for _, tt := range []struct {
		valves int
		places string
	}{{1, "C1 C5"}, {100, "C5"}} {
		d := s.layout.Data()
		d.Fixtures = append([]LayoutFixture(nil), d.Fixtures...)
		d.Fixtures[0].Count, d.Fixtures[1].Count = 1, tt.valves
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		// Of drawn pipe that is large enough by both nothing is asked, and what was taken is said.
		var assumed []tables.Assumption
		list, err := a.Check(CheckOptions{Assumed: &assumed})
		if err != nil {
			t.Fatal(err)
		}
		places := ""
		for _, x := range assumed {
			if x.Rule == "mixed-closets" {
				places += x.Place + " "
			}
		}
		for _, f := range list {
			if f.Rule == "mixed-closets" {
				places += f.Place + " "
			}
		}
		if places != tt.places+" " {
			t.Errorf("%d flush valves: asked at %s", tt.valves, places)
		}
	}
	tank, err := c.Demand(s.runs[0].Load, TankSystem)
	if err != nil || got[0].Limit.String() != (unitSystem{}).flow(tank.Flow).String() {
		t.Errorf("by the tank column %v, said %v (%v)", tank.Flow, got[0].Limit, err)
	}
}

// Hazen-Williams in building pipe is outside the sizes it was fitted to; the finding
// passes while Darcy-Weisbach comes out the same, and asks where it does not.
func TestLossMethod(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	s, err := lodge(t).Size(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := assumedOf(t, s, "loss-method")
	if len(got) != 1 || len(findingsOf(t, s, "loss-method")) != 0 || !strings.Contains(got[0].Taken, "smaller than those") {
		t.Fatalf("%v", got)
	}
	other, err := s.layout.Analyse(c, Options{Method: hydraulics.DarcyWeisbach})
	if err != nil {
		t.Fatal(err)
	}
	widest := 0.0
	for i := range s.fixtures {
		if s.fixtures[i].Most > 0 {
			widest = max(widest, math.Abs(float64(s.fixtures[i].Available-other.fixtures[i].Available)))
		}
	}
	named := false
	for i := range s.fixtures {
		if math.Abs(float64(s.fixtures[i].Available-other.fixtures[i].Available)) == widest {
			named = named || strings.Contains(got[0].Taken, s.layout.Data().Fixtures[i].ID+" has "+(unitSystem{}).pressure(other.fixtures[i].Available).String())
		}
	}
	if !named {
		t.Errorf("the widest difference is not in: %s", got[0].Taken)
	}
	// A fixture that asks for no more than the lower of the two has it by both; for a
	// thousandth of a psi more it passes by one only.
	lower := min(s.fixtures[0].Available, other.fixtures[0].Available)
	for _, tt := range []struct {
		asks units.Pressure
		want tables.Verdict
	}{{lower, tables.Pass}, {lower + units.PoundForcePerSquareInch/1000, tables.Ask}} {
		d := s.layout.Data()
		d.Fixtures = append([]LayoutFixture(nil), d.Fixtures...)
		d.Fixtures[0].Pressure = tt.asks
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		asked := findingsOf(t, &Sizing{Analysis: a}, "loss-method")
		if tt.want == tables.Pass && len(asked) > 0 || tt.want == tables.Ask && (len(asked) != 1 ||
			asked[0].Verdict != tables.Ask || !strings.Contains(asked[0].Reason, "change verdict by it: WC-1")) {
			t.Errorf("asks %v, has at least %v: %v", tt.asks, lower, asked)
		}
	}
	// Darcy-Weisbach itself says nothing.
	if s, err = lodge(t).Size(c, Options{Method: hydraulics.DarcyWeisbach}); err != nil {
		t.Fatal(err)
	}
	if got := findingsOf(t, s, "loss-method"); got != nil {
		t.Errorf("%v", got)
	}
}

// The energy code's volumes go by what stands at the end of the line and what feeds
// it: 2 fl oz to a public lavatory, 24 from a recirculated line, 64 from a heater.
func TestHotVolumeLimits(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tc := range []struct {
		old, new, place string
		ounces          float64
	}{
		{`"id": "H2", "from": "H1", "length": "16 ft"`, `"id": "H2", "from": "H1", "length": "16 ft"`, "LAV-1", 2},
		{`{"id": "H4", "from": "H3", "length": "4 ft"`, `{"id": "H4", "from": "H3", "length": "90 ft"`, "SK-1", 24},
		{`"recirculation": [{"id": "RC-1", "heater": "WH", "return": "R1", "drop": "10 degF"}],`, ``, "SK-1", 64},
	} {
		s, err := lodgeWith(t, tc.old, tc.new).Size(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := (unitSystem{}).volume(units.Volume(tc.ounces) * units.USGallon / 128)
		found := false
		for _, f := range findingsOf(t, s, "hot-volume-energy") {
			if f.Place == tc.place || strings.Contains(f.Reason, " The same at "+tc.place) {
				found = true
				if f.Limit != want {
					t.Errorf("%s: limit %v, want %v", tc.place, f.Limit, want)
				}
			}
		}
		if !found {
			t.Errorf("%s with %s: its volume is not judged", tc.place, tc.new)
		}
	}
}

// What a layout leaves unsaid is said: a regulator without fall-off and runs without
// fittings, as questions where the usual figure would leave a fixture short; a static
// pressure that is not given; a check valve among the fittings before a heater; a
// closet on the hot line, a shower without it; scalding under a code without a limit.
func TestQuietAssumptions(t *testing.T) {
	ft, psi := units.Foot, units.PoundForcePerSquareInch
	house := func(edit func(d *Data)) Data {
		d := closets(60, []Point{{ID: "A", From: "main", Length: 10 * ft, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}},
			{ID: "WH", From: "A", Length: ft, Device: &Device{Kind: "storage-heater", Loss: psi}, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}},
			{ID: "H", From: "WH", Length: 10 * ft, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}}, nil, nil)
		d.Source.Static = 70 * psi
		d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
		d.Fixtures = []LayoutFixture{{ID: "SH", Cold: "A", Hot: "H", Fixture: tables.Fixture{Kind: "shower", Count: 1, Use: tables.Private, Style: "mixing valve"}},
			{ID: "WC", Cold: "A", Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Style: "close coupled", Flush: 1.28 * units.USGallon}}}
		if edit != nil {
			edit(&d)
		}
		return d
	}
	regulator := func(set, fall units.Pressure) func(d *Data) {
		return func(d *Data) {
			d.Points[0].Device = &Device{Kind: "regulator", Set: set * psi, FallOff: fall * psi}
		}
	}
	for _, tc := range []struct {
		what, code, rule string
		edit             func(d *Data)
		place            string // empty: no such finding
		verdict          tables.Verdict
		says             string
	}{
		{"no regulator", "ipc-2021", "regulator-fall-off", nil, "", 0, ""},
		{"fall-off stated", "ipc-2021", "regulator-fall-off", regulator(50, 5), "", 0, ""},
		// 20 psi are asked; 20 less of 50 leave 30 less a little, of 40 less than 20.
		{"plenty behind it", "ipc-2021", "regulator-fall-off", regulator(50, 0), "A", tables.Pass, "holds 50 psi at any flow"},
		{"too little behind it", "ipc-2021", "regulator-fall-off", regulator(40, 0), "A", tables.Ask, "too little at SH"},
		{"static given", "ipc-2021", "static-pressure", nil, "SH", tables.Pass, ""},
		{"no static given", "ipc-2021", "static-pressure", func(d *Data) { d.Source.Static = 0 }, "SH", tables.Ask, "while nothing flows is not given"},
		{"none, behind a regulator", "ipc-2021", "static-pressure", func(d *Data) { d.Source.Static = 0; regulator(50, 5)(d) }, "SH", tables.Pass, ""},
		{"an open street", "ipc-2021", "thermal-expansion", nil, "", 0, ""},
		{"a check valve drawn as a fitting", "ipc-2021", "thermal-expansion", func(d *Data) {
			d.Points[1].Fittings = []FittingItem{{Fitting: "check-valve", Count: 1}}
		}, "WH", tables.Ask, "behind the check valve at WH"},
		{"ports as they should be", "ipc-2021", "fixture-ports", nil, "", 0, ""},
		{"a shower without hot water", "ipc-2021", "fixture-ports", func(d *Data) { d.Fixtures[0].Hot = "" }, "SH", tables.Ask, "cold water only"},
		{"a closet on the hot line", "ipc-2021", "fixture-ports", func(d *Data) { d.Fixtures[1].Cold, d.Fixtures[1].Hot = "", "H" }, "WC", tables.Ask, "hot port at H"},
		{"a line to a fixture", "ipc-2021", "line-serves-nothing", nil, "", 0, ""},
		{"a line to nothing", "ipc-2021", "line-serves-nothing", func(d *Data) {
			d.Points = append(d.Points, Point{ID: "X", From: "A", Length: 20 * ft})
		}, "X", tables.Ask, "nothing is counted there"},
		{"a line that draws on", "ipc-2021", "line-serves-nothing", func(d *Data) {
			d.Points = append(d.Points, Point{ID: "X", From: "A", Length: 20 * ft, Continuous: units.USGallonPerMinute})
		}, "", 0, ""},
		{"120 degF", "upc-2021", "scald", nil, "", 0, ""},
		{"140 degF under the UPC", "upc-2021", "scald", func(d *Data) { d.Water.Hot = units.Fahrenheit(140) }, "SH", tables.Ask, "Hot water of 140 degF comes to its valve; limit 120 degF"},
		{"140 degF under a code without a limit", "hunter", "scald", func(d *Data) { d.Water.Hot = units.Fahrenheit(140) }, "SH", tables.Ask, "that of IPC 2021"},
		{"and a mixing valve that holds 120", "upc-2021", "scald", func(d *Data) {
			d.Water.Hot = units.Fahrenheit(140)
			d.Points[2].Device = &Device{Kind: "mixing-valve", Loss: psi, Temperature: units.Fahrenheit(120)}
		}, "", 0, ""},
		{"or 121", "upc-2021", "scald", func(d *Data) {
			d.Water.Hot = units.Fahrenheit(140)
			d.Points[2].Device = &Device{Kind: "mixing-valve", Loss: psi, Temperature: units.Fahrenheit(121)}
		}, "SH", tables.Ask, "Hot water of 121 degF comes to its valve; limit 120 degF"},
		{"lavatories of a hall", "ipc-2021", "tempered-water", func(d *Data) {
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "HALL", Cold: "A", Hot: "H",
				Fixture: tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Assembly}})
		}, "HALL", tables.Ask, "The hot water is 120 degF; limit 110 degF at such a lavatory: HALL"},
		{"fittings on every run", "ipc-2021", "fittings-not-given", nil, "", 0, ""},
		{"none on one", "ipc-2021", "fittings-not-given", func(d *Data) { d.Points[2].Fittings = nil }, "main", tables.Pass, "none are named: 1 run"},
		// 100 ft of 1/2 in take about 4 psi of 2.5 gpm, and half of that is more than is left.
		{"and little to spare", "ipc-2021", "fittings-not-given", func(d *Data) {
			d.Points[2].Fittings, d.Points[2].Length, d.Points[2].Size, d.Source.Pressure = nil, 100*ft, units.Inch/2, 26*psi
		}, "main", tables.Ask, "too little at SH"},
	} {
		s := sized(t, mustCode(t, tc.code), house(tc.edit))
		got := findingsOf(t, s, tc.rule)
		switch {
		case tc.verdict == tables.Pass && tc.rule != "static-pressure":
			if a := assumedOf(t, s, tc.rule); len(got) != 0 || len(a) != 1 || a[0].Place != tc.place || !strings.Contains(a[0].Taken, tc.says) {
				t.Errorf("%s: %v, assumed %v", tc.what, got, a)
			}
		case tc.place == "" && len(got) == 0:
		case len(got) != 1 || got[0].Place != tc.place || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says):
			t.Errorf("%s: %v", tc.what, got)
		}
	}
}

// Were the ratings read, they would pass and fail: SDR 9 stands 160 psi at 73.4 degF and
// 100 at 180, so 130 half way between; at 200 degF it ends. PVC carries no hot water.
// While they are from memory a pass is no finding and a fail is a question.
func TestPipeRatings(t *testing.T) {
	firm := edges.FirmShelf(t, nil, "ipc-2021", "materials", "pipes", "hunter", "devices", "illinois-890")
	read, err := LoadCode(firm, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	const half = (73.4 + 180) / 2
	record := edges.ReadRecord(t, "../internal/proof/rules.csv", "supply")
	for _, tc := range []struct {
		pipe       string
		degF, psi  float64
		verdict    tables.Verdict
		asks, says string
	}{
		{"pex-sdr9", 73.4, 160, tables.Pass, "", ""},
		{"pex-sdr9", 73.4, 160.001, tables.Fail, "H", "psi"},
		{"pex-sdr9", 50, 160, tables.Pass, "", ""},
		{"pex-sdr9", half, 130, tables.Pass, "", ""},
		{"pex-sdr9", half, 130.001, tables.Fail, "H", "psi"},
		{"pex-sdr9", 200, 80, tables.Pass, "", ""},
		{"pex-sdr9", 200.01, 40, tables.Fail, "H", "not rated for water as hot"},
		{"pvc-40", 100, 40, tables.Fail, "H", "not listed for hot water"},
		{"ppr-s3-2", 140, 115, tables.Pass, "", ""},
		{"ppr-s3-2", 140, 117, tables.Fail, "H", "PP-R"}, // 8 bar at 60 degC: 116.03 psi
		{"copper-l", 200, 160, 0, "", ""},
	} {
		d := closets(tc.psi, []Point{{ID: "C", From: "main", Length: units.Foot, Pipe: "copper-l"},
			{ID: "WH", From: "C", Length: units.Foot, Pipe: "copper-l", Device: &Device{Kind: "storage-heater", NoLoss: true}},
			{ID: "H", From: "WH", Length: units.Foot, Pipe: tc.pipe}}, nil, nil)
		d.Water.Hot = units.Fahrenheit(tc.degF)
		d.Water.Cold = min(d.Water.Cold, units.Fahrenheit(40))
		d.Fixtures = []LayoutFixture{{ID: "LV", Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}, Cold: "C", Hot: "H"}}
		got := findingsOf(t, sized(t, read, d), "pipe-rating")
		switch {
		case tc.verdict == 0 && len(got) == 0:
		case len(got) != 1 || got[0].Verdict != tc.verdict || got[0].Place != "H" || !strings.Contains(got[0].String(), tc.says):
			t.Errorf("%+v: %v", tc, got)
		case !record.Holds("pipe-rating", got[0].Citation):
			t.Errorf("rests on %v, which internal/proof/rules.csv does not name", got[0].Citation)
		}
		recalled := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "pipe-rating")
		if len(recalled) != len(tc.asks) || len(recalled) == 1 && (recalled[0].Verdict != tables.Ask || recalled[0].IfConfirmed != tables.Fail) {
			t.Errorf("from memory: %+v: %v", tc, recalled)
		}
	}
}

// Two valves make 70 units by the ladder: the curve for valves and that of tanks are
// told, and which size would do by the second. One alone draws its own flow, and under
// a code with ten units for each there is no ladder.
func TestLadderCurve(t *testing.T) {
	at := []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "A", Length: units.Foot}}
	for _, tc := range []struct {
		code   string
		valves []string
		says   string
	}{
		{"upc-2021", []string{"B"}, ""},
		{"upc-2021", []string{"A", "B"}, "2 flush valves, loaded by the code's ladder (610.10 and Table 610.3) at 70 wsfu in all"},
		{"ipc-2021", []string{"A", "B"}, ""},
	} {
		got := findingsOf(t, sized(t, mustCode(t, tc.code), closets(80, at, tc.valves, nil)), "ladder-curve")
		switch {
		case tc.says == "" && len(got) == 0:
		case len(got) != 1 || got[0].Verdict != tables.Ask || got[0].SettledBy != tables.Book || got[0].Place != "A" || !strings.Contains(got[0].Reason, tc.says):
			t.Errorf("%s, %d valves: %v", tc.code, len(tc.valves), got)
		}
	}
}

// A check whose row an amendment drops asks, by its name and that of the amendment; other
// rows dropped, and rows set, leave it as it is. Under another code nothing is dropped.
func TestDroppedRows(t *testing.T) {
	const velocities = "op,material,service,max_temperature[degF],status\ndrop,any,cold,,\n"
	for _, tc := range []struct {
		rule, table, text, says string
	}{
		{"static-pressure", "ipc-2021/supply-rules", "op,rule,status\ndrop,static-pressure-max,\n", "greatest static pressure"},
		{"static-pressure", "ipc-2021/supply-rules", "op,rule,status\ndrop,service-size-min,\n", ""},
		{"service-size", "ipc-2021/supply-rules", "op,rule,status\ndrop,service-size-min,\n", "least size of the water service"},
		{"service-size", "ipc-2021/supply-rules", "op,rule,value,unit,status\nset,service-size-min,1,in,read\n", ""},
		{"water-velocity", "materials/supply-velocity", velocities, "material any"},
		{"static-pressure", "materials/supply-velocity", velocities, ""},
	} {
		d := closets(70, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
		asked := false
		for _, f := range findingsOf(t, sized(t, amended(t, "ipc-2021", tc.table, tc.text), d), tc.rule) {
			if f.Place == "main" && f.Verdict == tables.Ask && f.SettledBy == tables.Authority {
				asked = true
				if !strings.Contains(f.Reason, tc.says) || tc.says == "" {
					t.Errorf("%s: %v", tc.rule, f)
				}
			}
		}
		if asked != (tc.says != "") {
			t.Errorf("%s with %s: asked %v", tc.rule, tc.text, asked)
		}
	}
}

// What each check rests on is what the list of rules says; rules that speak of the layout
// or of the shelf alone need no row.
func TestRestsOn(t *testing.T) {
	f, err := os.Open("../internal/proof/rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want, got := map[string]string{}, map[string]string{}
	for _, r := range rows {
		if r[0] == "supply" && r[2] != "" {
			want[r[1]] = r[2]
		}
	}
	for _, standing := range []string{"load-row", "demand-row", "bore-row", "stand-in", "demand-first-row", "demand-beyond-table"} {
		delete(want, standing)
	}
	for _, r := range rules {
		if r.rests != "" {
			got[r.id] = r.rests
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("what rules of rule.go rest on is not what internal/proof/rules.csv says that checks rest on (-there +here):\n%s", diff)
	}
}

// TestRulesDeclared: every rule that a check judges by is declared, and every rule
// declared is judged by.
func TestRulesDeclared(t *testing.T) { findingtest.Declared(t, ".", Rules()) }

// TestCheckOptions: with passes left out or counted the problems are the same, the
// count is that of the passes kept, and texts print quantities as asked for.
func TestCheckOptions(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	check := func(opt CheckOptions) []tables.Finding {
		list, err := s.Check(opt)
		if err != nil {
			t.Fatal(err)
		}
		return list
	}
	passes := 0
	var problems, ids []string
	for _, f := range check(CheckOptions{}) {
		ids = append(ids, f.ID())
		if f.Verdict == tables.Pass {
			passes++
		} else {
			problems = append(problems, f.String())
		}
	}
	slices.Sort(ids)
	if once := slices.Compact(slices.Clone(ids)); len(once) != len(ids) || passes < 20 {
		t.Errorf("%d findings have %d ids; %d passes", len(ids), len(once), passes)
	}
	tally := new(tables.Tally)
	for _, opt := range []CheckOptions{{ProblemsOnly: true}, {Tally: tally}} {
		var got []string
		for _, f := range check(opt) {
			got = append(got, f.String())
		}
		if diff := cmp.Diff(problems, got); diff != "" {
			t.Errorf("%+v (-want +got):\n%s", opt, diff)
		}
	}
	if tally.Passes() != passes {
		t.Errorf("%d passes counted, %d kept", tally.Passes(), passes)
	}
	printed := 0
	for _, f := range check(CheckOptions{Print: func(q fmt.Stringer) string { return "<" + q.String() + ">" }}) {
		if strings.Contains(f.Reason, "psi>") {
			printed++
		}
		if strings.Contains(f.Reason, " psi ") {
			t.Errorf("%s: a pressure is not printed as asked for: %s", f.ID(), f.Reason)
		}
	}
	if printed == 0 {
		t.Error("no quantity was printed as asked for")
	}
}
