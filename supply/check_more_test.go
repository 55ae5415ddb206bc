package supply

import (
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/finding/findingtest"
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
	r := &s.Runs[x.Point]
	w, err := hydraulics.WaterAt(units.Fahrenheit(50))
	if err != nil {
		t.Fatal(err)
	}
	flow, err := s.Code.Outlet(Fixture{Kind: "water-closet", Count: 1, Control: Valve, Style: "siphonic"})
	if err != nil {
		t.Fatal(err)
	}
	v := float64(flow.Flow) / (math.Pi / 4 * r.Bore.Metres() * r.Bore.Metres())
	k := float64(w.BulkModulus)
	a := math.Sqrt(k / float64(w.Density) / (1 + k/120e9*1.265/0.055))
	if s.Layout.Point(x.Point).ID != "C4" || r.Bore != units.MustParse[units.Length]("1.265 in") || math.Abs(float64(x.Velocity)/v-1) > 1e-9 ||
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
	d.Fixtures[0].Use, d.Fixtures[1].Use = Private, Private
	d.Points = append(d.Points, Point{ID: "B", From: "A", Size: 22 * units.Millimetre})
	d.Fixtures[0].Cold = "B"
	s = sized(t, mustCode(t, "ipc-2021"), d)
	if list, err := s.Surges(); err != nil || len(list) != 1 || list[0].Velocity != s.Runs[1].Velocity || list[0].Velocity <= 0 || list[0].Critical != 0 || list[0].Rise <= 0 {
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
	// tank column, 30.2 by that of the valves.
	if got := findingsOf(t, s, "mixed-closets"); len(got) != 1 || got[0].Place != "C5" || got[0].Value.String() != "17 gpm" || got[0].Limit.String() != "30.2 gpm" {
		t.Errorf("a urinal's valve alone: %v", got)
	}
	mixed := lodge(t).Data()
	mixed.Fixtures = append([]LayoutFixture{{ID: "WC-2", Fixture: Fixture{Kind: "water-closet", Count: 2, Use: Public, Control: Tank, Style: "close coupled"}, Cold: "C7"}}, mixed.Fixtures...)
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
		d := s.Layout.Data()
		d.Fixtures = append([]LayoutFixture(nil), d.Fixtures...)
		d.Fixtures[0].Count, d.Fixtures[1].Count = 1, tt.valves
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		places := ""
		for _, f := range findingsOf(t, &Sizing{Analysis: a}, "mixed-closets") {
			places += f.Place + " "
		}
		if places != tt.places+" " {
			t.Errorf("%d flush valves: asked at %s", tt.valves, places)
		}
	}
	tank, err := c.Demand(s.Runs[0].Load, TankSystem)
	if err != nil || got[0].Limit.String() != (trade{}).flow(tank.Flow).String() {
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
	got := findingsOf(t, s, "loss-method")
	if len(got) != 1 || got[0].Verdict != tables.Pass || !strings.Contains(got[0].Reason, "smaller than those") || !strings.Contains(got[0].Reason, "no fixture") {
		t.Fatalf("%v", got)
	}
	other, err := s.Layout.Analyse(c, Options{Method: hydraulics.DarcyWeisbach})
	if err != nil {
		t.Fatal(err)
	}
	widest := 0.0
	for i := range s.Fixtures {
		if s.Fixtures[i].Most > 0 {
			widest = max(widest, math.Abs(float64(s.Fixtures[i].Available-other.Fixtures[i].Available)))
		}
	}
	named := false
	for i := range s.Fixtures {
		if math.Abs(float64(s.Fixtures[i].Available-other.Fixtures[i].Available)) == widest {
			named = named || strings.Contains(got[0].Reason, s.Layout.Data().Fixtures[i].ID+" has "+(trade{}).pressure(other.Fixtures[i].Available).String())
		}
	}
	if !named {
		t.Errorf("the widest difference is not in: %s", got[0].Reason)
	}
	// A fixture that asks for no more than the lower of the two has it by both; for a
	// thousandth of a psi more it passes by one only.
	lower := min(s.Fixtures[0].Available, other.Fixtures[0].Available)
	for _, tt := range []struct {
		asks units.Pressure
		want tables.Verdict
	}{{lower, tables.Pass}, {lower + units.PoundForcePerSquareInch/1000, tables.Ask}} {
		d := s.Layout.Data()
		d.Fixtures = append([]LayoutFixture(nil), d.Fixtures...)
		d.Fixtures[0].Pressure = tt.asks
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := findingsOf(t, &Sizing{Analysis: a}, "loss-method")
		if len(got) != 1 || got[0].Verdict != tt.want || (tt.want == tables.Ask) != strings.Contains(got[0].Reason, "Otherwise come out: WC-1") {
			t.Errorf("asks %v, has at least %v: %v", tt.asks, lower, got)
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
		want := (trade{}).volume(units.Volume(tc.ounces) * units.USGallon / 128)
		found := false
		for _, f := range findingsOf(t, s, "hot-volume-energy") {
			if f.Place == tc.place {
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
