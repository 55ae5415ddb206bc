package supply

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// outcomes puts findings in words: place, verdict, margin.
func outcomes(list []tables.Finding) []string {
	var out []string
	for _, f := range list {
		s := fmt.Sprintf("%s %v", f.Place, f.Verdict)
		if f.Margin != nil {
			s += fmt.Sprintf(" by %v", f.Margin)
		}
		out = append(out, s)
	}
	return out
}

// amended is a code with a table of its shelf changed by an office.
func amended(t *testing.T, id, table, rows string) *Code {
	t.Helper()
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv":  &fstest.MapFile{Data: []byte("id,title,publisher,edition,year,url,note\noffice,Design sheet of the office,,,2026,,\n")},
		table + ".csv": &fstest.MapFile{Data: []byte("# id: " + table + "\n# source: office\n" + rows)},
	})
	if err != nil {
		t.Fatal(err)
	}
	c, err := LoadCode(shelf, id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// IPC Table 604.3 asks 35 psi of a siphonic closet and 45 of a blowout: one of no stated
// style is asked about from 35 up to 45 psi.
func TestPressureOfUnstatedStyle(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	psi := units.PoundForcePerSquareInch
	at := func(psi float64) *Sizing {
		d := closets(psi, []Point{{ID: "A", From: "main", Length: 100 * units.Foot, Size: units.Inch * 3 / 2}}, []string{"A"}, nil)
		d.Fixtures[0].Pressure = 0
		return sized(t, c, d)
	}
	lost := 80 - float64(at(80).fixtures[0].Available/psi)
	for _, tc := range []struct {
		have float64
		want []string
	}{
		{45, []string{"WC-A pass by 0 psi"}},
		{44.99, []string{"WC-A ask by -0.01 psi"}},
		{35, []string{"WC-A ask by -10 psi"}},
		{34.99, []string{"WC-A fail by -10.01 psi"}},
	} {
		if diff := cmp.Diff(tc.want, outcomes(findingsOf(t, at(tc.have+lost), "fixture-pressure"))); diff != "" {
			t.Errorf("%v psi (-want +got):\n%s", tc.have, diff)
		}
	}
}

// The remedy of too little pressure names what costs most on the way: of 27 gpm 50 ft of
// 1-1/2 in copper cost 1.37 psi, 20 ft of height 8.66, 100 ft of 1-1/4 in 6.41, of 1-1/2 in 2.74,
// which is 3.67 less. Where height
// and devices alone leave less than the 15 psi asked, it says how much is short before
// any friction, and what would bring all of it in these sizes.
func TestPressureRemedy(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	in, ft, psi := units.Inch, units.Foot, units.PoundForcePerSquareInch
	filter := func(loss units.Pressure) *Device { return &Device{Kind: "filter", Loss: loss * psi} }
	for _, tc := range []struct {
		street      float64
		device      *Device
		why, remedy string
	}{
		{15 + 9 + 8.66 + 5, filter(9), "", "The greatest loss on the way is filter at A, 9 psi. Lay 1 1/2\" at B: then it has 15.87 psi."},
		{15 + 5 + 8.66 + 5, filter(5), "", "The greatest loss on the way is rise at B, 8.66 psi. Lay 1 1/2\" at B: then it has 15.87 psi."},
		{20, filter(9), "leave 2.34 psi before any friction, 12.66 psi too little,",
			"It takes 20.45 psi more at the street, in these sizes, or a booster pump that adds it. The filter at A takes 9 psi; one that takes less brings a part of it."},
		{15 + 14 + 8.66 - 4, filter(14), "leave 11 psi before any friction, 4 psi too little,",
			"It takes 11.79 psi more at the street, in these sizes, or a booster pump that adds it. The filter at A takes 14 psi; one that takes less by 11.79 psi would do."},
		{80, &Device{Kind: "regulator", Set: 20 * psi}, "leave 11.34 psi before any friction, 3.66 psi too little,",
			"Set the regulator at A 10.07 psi higher, in these sizes, if the pressure before it allows, or set a booster pump that adds it."},
	} {
		d := closets(tc.street, []Point{{ID: "A", From: "main", Length: 50 * ft, Size: in * 3 / 2, Device: tc.device}, {ID: "B", From: "A", Length: 100 * ft, Rise: 20 * ft, Size: in * 5 / 4}}, []string{"B"}, nil)
		got := findingsOf(t, sized(t, c, d), "fixture-pressure")
		if len(got) != 1 || got[0].Verdict != tables.Fail || !strings.HasPrefix(got[0].Fix, tc.remedy) || !strings.Contains(got[0].Reason, tc.why) {
			t.Errorf("want %s\n%s\ngot %v\n%s", tc.why, tc.remedy, got, got[0].Fix)
		}
	}
}

// Pressure that no pipe can bring enlarges none: of 45 psi 14 are the backflow
// preventer's and 1.73 height's, and 35 are asked; 5.73 psi are short before any friction.
// With 60 psi there are 9.27 to lose.
func TestPressureNoPipeBrings(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	ft, psi := units.Foot, units.PoundForcePerSquareInch
	points := []Point{{ID: "SV", From: "main", Length: 80 * ft, Rise: 4 * ft}, {ID: "RP", From: "SV", Length: 4 * ft, Device: &Device{Kind: "reduced-pressure", Loss: 14 * psi}},
		{ID: "M", From: "RP", Length: 90 * ft}, {ID: "B", From: "M", Length: 8 * ft}}
	for _, tc := range []struct {
		street float64
		short  string
	}{{45, "[0]"}, {60, "[]"}} {
		d := closets(tc.street, points, []string{"B"}, nil)
		d.Fixtures[0].Pressure, d.Fixtures[0].Count = 35*psi, 3
		s := sized(t, c, d)
		if got := fmt.Sprint(s.unserved); got != tc.short || slices.Contains(s.basis, ByPressure) != (tc.short == "[]") {
			t.Errorf("%v psi: short %s; %s", tc.street, got, chosenSizes(s))
		}
	}
}

// IPC asks no pressure of a clothes washer. It passes without a word while there is as much as
// it asks of others, 20 psi; with less it asks, and it fails where the height takes more than
// all: 80 psi lift water 184.6 ft, and 60 psi 138.5.
func TestNoPressureAsked(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tc := range []struct {
		rise  units.Length
		want  []string
		short int
	}{{138 * units.Foot, nil, 0}, {139 * units.Foot, []string{"CW ask"}, 0}, {180 * units.Foot, []string{"CW ask"}, 0}, {190 * units.Foot, []string{"CW fail"}, 1}} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: 200 * units.Foot, Rise: tc.rise, Size: 4 * units.Inch}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "CW", Cold: "A", Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}}}
		s := sized(t, c, d)
		got := findingsOf(t, s, "fixture-pressure")
		for i := range got {
			if got[i].Verdict == tables.Ask && got[i].Limit.String() == "20 psi" {
				got[i].Margin = nil
				continue
			}
			if got[i].Margin.String() != got[i].Value.String() || got[i].Limit.String() != "0 psi" || !strings.Contains(got[i].Reason, "asks for none in particular") {
				t.Errorf("%v under %v, by %v", got[i].Value, got[i].Limit, got[i].Margin)
			}
			got[i].Margin = nil
		}
		if diff := cmp.Diff(tc.want, outcomes(got)); diff != "" || len(s.unserved) != tc.short {
			t.Errorf("%v up, short %v (-want +got):\n%s", tc.rise, s.unserved, diff)
		}
	}
}

// The static pressure is judged where it is greatest, once: 80 psi at the street, and
// 0.433 psi more for each foot below it (0.4334 of water at 60 degF less a little).
func TestStaticPressurePlace(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tc := range []struct {
		a, b units.Length
		want []string
	}{
		{-10 * units.Foot, 5 * units.Foot, []string{"WC-A fail by -4.33 psi"}},
		{0, -10 * units.Foot, []string{"WC-B fail by -4.33 psi"}},
		{0, 10 * units.Foot, []string{"WC-A pass by 0 psi"}},
		{10 * units.Foot, -10 * units.Foot, []string{"WC-B pass by 0 psi"}},
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: 50 * units.Foot, Rise: tc.a}, {ID: "B", From: "A", Length: 50 * units.Foot, Rise: tc.b}}, []string{"A", "B"}, nil)
		d.Source.Static = d.Source.Pressure
		if diff := cmp.Diff(tc.want, outcomes(findingsOf(t, sized(t, c, d), "static-pressure"))); diff != "" {
			t.Errorf("rises %v, %v (-want +got):\n%s", tc.a, tc.b, diff)
		}
	}
}

// IPC Table 604.5 asks 3/8 in of a close coupled tank and 1/2 in of one piece; the run
// from the source 3/4 in, and only that run.
func TestSupplyAndServiceSizes(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	in, ft := units.Inch, units.Foot
	for _, tc := range []struct {
		a, b             units.Length
		supply, service  []string
		greater, atMains []string // line-feeds-greater; supply-size where both hang on A
	}{
		{in * 3 / 4, in / 2, []string{`WC-B pass by 0"`}, []string{`A pass by 0"`}, nil, []string{`WC-A pass by 1/4"`}},
		{in / 2, in * 3 / 8, []string{`WC-B ask by -1/8"`}, []string{`A fail by -1/4"`}, nil, []string{`WC-A pass by 0"`}},
		{in * 3 / 8, in / 4, []string{`WC-B fail by -1/4"`}, []string{`A fail by -3/8"`}, nil, []string{`WC-A ask by -1/8"`}},
		{in * 3 / 4, in, []string{`WC-B pass by 1/2"`}, []string{`A pass by 0"`}, []string{"B ask"}, []string{`WC-A pass by 1/4"`}},
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: ft, Size: tc.a}, {ID: "B", From: "A", Length: ft, Size: tc.b}}, []string{"B"}, nil)
		d.Fixtures[0].Fixture = tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank}
		s := sized(t, c, d)
		d.Fixtures = slices.Clone(d.Fixtures)
		d.Fixtures[0].ID, d.Fixtures[0].Cold = "WC-A", "A"
		for _, x := range []struct {
			s    *Sizing
			rule string
			want []string
		}{{s, "supply-size", tc.supply}, {s, "service-size", tc.service}, {s, "line-feeds-greater", tc.greater}, {sized(t, c, d), "supply-size", tc.atMains}} {
			if diff := cmp.Diff(x.want, outcomes(findingsOf(t, x.s, x.rule))); diff != "" {
				t.Errorf("%v, then %v: %s (-want +got):\n%s", tc.a, tc.b, x.rule, diff)
			}
		}
	}
}

// The remedy of too great a velocity is the next size that keeps to it: 27 gpm run at 10.5
// ft/s in 1 in, 6.89 in 1-1/4 in (1.265), and 3027 gpm at 9.2 in 12 in (11.565), the greatest.
func TestVelocityRemedy(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tc := range []struct {
		size units.Length
		more units.Flow
		want string
	}{{units.Inch, 0, `Take 1 1/4": 6.89 ft/s.`},
		{12 * units.Inch, 3000 * units.USGallonPerMinute, "No copper-l is large enough: take another pipe, or part the line."}} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: tc.size, Continuous: tc.more}}, []string{"A"}, nil)
		if got := findingsOf(t, sized(t, c, d), "water-velocity"); len(got) != 1 || got[0].Verdict != tables.Fail || got[0].Fix != tc.want {
			t.Errorf("%v: %v, want %s", tc.size, got, tc.want)
		}
	}
}

// Runs of a material for which the code gives no velocity are asked about together.
func TestVelocityNotGiven(t *testing.T) {
	c := amended(t, "ipc-2021", "materials/supply-velocity", "op,material,service,max_temperature[degF],status\ndrop,any,cold,,\n")
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: 2 * units.Inch}, {ID: "B", From: "A", Length: units.Foot, Size: 2 * units.Inch, Pipe: "hdpe-sdr11"},
		{ID: "C", From: "B", Length: units.Foot, Size: 2 * units.Inch, Pipe: "hdpe-sdr11"}, {ID: "D", From: "C", Length: units.Foot, Size: 2 * units.Inch, Pipe: "hdpe-sdr11"}}, []string{"D"}, nil)
	got := findingsOf(t, sized(t, c, d), "water-velocity")
	if diff := cmp.Diff([]string{"A pass by 5.2 ft/s", "B ask", "main ask"}, outcomes(got)); diff != "" {
		t.Fatalf("(-want +got):\n%s", diff)
	}
	if !strings.Contains(got[1].Reason, "no velocity limit of this code for HDPE on the cold line: ") || !strings.HasSuffix(got[1].Reason, "3 runs, B; C; D.") {
		t.Errorf("%s", got[1].Reason)
	}
}

// EN 806-3 lets water run at 4 m/s in the pipe to one fitting, be it the first of all.
func TestConnectionVelocity(t *testing.T) {
	d := room("", "lavatory")
	d.Pipe.Cold = "ppr-s2-5"
	if got := findingsOf(t, sized(t, mustCode(t, "en806-3"), d), "water-velocity"); len(got) != 1 || got[0].Limit.String() != "4 m/s" {
		t.Errorf("%v", got)
	}
}

// Where flows are not known the pressure of height alone may be too little: a basin and a
// shower ask 100 kPa.
func TestPressureWithoutFlow(t *testing.T) {
	c := mustCode(t, "en806-3")
	for kPa, want := range map[units.Pressure][]string{100: {"F0 ask by 0 kPa", "F1 ask by 0 kPa"}, 99.9: {"F0 fail by -0.1 kPa", "F1 fail by -0.1 kPa"}} {
		d := room("", "lavatory", "shower")
		d.Pipe.Cold = "ppr-s2-5"
		d.Source.Pressure = kPa * units.Kilopascal
		if diff := cmp.Diff(want, outcomes(findingsOf(t, sized(t, c, d), "fixture-pressure"))); diff != "" {
			t.Errorf("%v (-want +got):\n%s", kPa, diff)
		}
	}
}

// Where the code gives no flow, a meter and a device with a curve cannot be judged; one
// with a stated loss can.
func TestDevicesWithoutFlow(t *testing.T) {
	c := mustCode(t, "en806-3")
	kPa := units.Kilopascal
	for _, tc := range []struct {
		device Device
		want   []string
	}{
		{Device{Kind: "meter", Size: units.Inch}, []string{"A ask"}},
		{Device{Kind: "filter", Curve: []CurvePoint{{Flow: 0.001, Loss: 10 * kPa}, {Flow: 0.002, Loss: 40 * kPa}}}, []string{"A ask"}},
		{Device{Kind: "filter", Loss: 10 * kPa}, nil},
	} {
		d := room("", "lavatory", "shower")
		d.Pipe.Cold = "ppr-s2-5"
		d.Points[0].Device = &tc.device
		if diff := cmp.Diff(tc.want, outcomes(findingsOf(t, sized(t, c, d), "device-flow"))); diff != "" {
			t.Errorf("%+v (-want +got):\n%s", tc.device, diff)
		}
	}
	// A meter whose figures cover the flow passes; other devices of the shelf do not come up.
	want := []string{"C1 pass"}
	s, err := lodgeWith(t, `, "loss": "5 psi"`, ``).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, outcomes(findingsOf(t, s, "device-flow"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A tank and a valve on one run make 15 units, 17.5 gpm by the tank column. What flows
// without end is in neither column.
func TestMixedClosetsOnOneRun(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Continuous: 7 * units.USGallonPerMinute}}, []string{"A"}, nil)
	d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "T", Cold: "A", Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Public, Control: tables.Tank, Style: "one piece"}})
	valve, err := c.Demand(fu("15"), ValveSystem)
	if err != nil {
		t.Fatal(err)
	}
	got := findingsOf(t, sized(t, c, d), "mixed-closets")
	if len(got) != 1 || got[0].Place != "A" || got[0].Value != (unitSystem{}).flow(valve.Flow) || got[0].Limit.String() != "17.5 gpm" || !strings.Contains(got[0].Reason, "serves 1 closet with tanks") {
		t.Errorf("%v", got)
	}
	// From 1000 units on the columns are one, and there is nothing to ask.
	d.Fixtures = slices.Clone(d.Fixtures)
	d.Fixtures[0].Count = 100
	if got := findingsOf(t, sized(t, c, d), "mixed-closets"); got != nil {
		t.Errorf("%v", got)
	}
}

// The finding on the method stands at the first run that is outside its sizes, and names
// the fixture for which the methods differ most, of those that ask for a pressure.
func TestLossMethodPlace(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	ft, psi := units.Foot, units.PoundForcePerSquareInch
	washer := LayoutFixture{ID: "CW", Cold: "C", Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}}
	line := []Point{{ID: "A", From: "main", Length: 100 * ft}, {ID: "B", From: "A", Length: 100 * ft}, {ID: "C", From: "B", Length: 300 * ft}}
	for _, tc := range []struct {
		what string
		at   []string
		edit func(d *Data)
		want string
	}{
		{"the far one first", []string{"B", "A"}, nil, " WC-B has "},
		{"the far one last", []string{"A", "B"}, nil, " WC-B has "},
		{"one that asks for none, farther off", []string{"A", "B"}, func(d *Data) { d.Fixtures = append(d.Fixtures, washer) }, " WC-B has "},
		{"two alike: the first", []string{"A", "B"}, func(d *Data) { d.Points[1].From = "main" }, " WC-A has "},
		{"behind a regulator all is the same, and just enough", []string{"A"}, func(d *Data) {
			d.Points[0].Device = &Device{Kind: "regulator", Set: 15 * psi}
		}, " By Darcy-Weisbach every fixture has the same to the last digit printed"},
	} {
		d := closets(80, slices.Clone(line), tc.at, nil)
		if tc.edit != nil {
			tc.edit(&d)
		}
		got := assumedOf(t, sized(t, c, d), "loss-method")
		if len(got) != 1 || got[0].Place != "A" || !strings.Contains(got[0].Taken, tc.want) {
			t.Errorf("%s: %v", tc.what, got)
		}
	}
}

// The short loop keeps up 0.087 L/s and the long one 0.327.
func TestBalanceShare(t *testing.T) {
	s := sized(t, mustCode(t, "ipc-2021"), loops())
	if got := findingsOf(t, s, "recirculation-balance"); len(got) != 1 || !strings.HasPrefix(got[0].Reason, "It circulates 0.087 L/s, 21 % of what the pump of WH moves") {
		t.Errorf("%v", got)
	}
}

// Hotter than its valve's limit is asked about at showers and bathtubs alone.
func TestScaldFixtures(t *testing.T) {
	l := lodgeWith(t, `"hot": "120 degF"`, `"hot": "130 degF"`)
	d := l.Data()
	d.Fixtures = append(slices.Clone(d.Fixtures), LayoutFixture{ID: "BT-1", Fixture: tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Public}, Cold: "C7", Hot: "H1"},
		LayoutFixture{ID: "BT-2", Fixture: tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Public}, Cold: "C7"})
	if diff := cmp.Diff([]string{"BT-1 ask", "SH-1 ask"}, outcomes(findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "scald"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Rows that nobody saw in print come up once a table. The lodge reads 25, 14, 9, 5, 6 and
// 7 units off rows of IPC Table E103.3(3) that are recalled, and three such loads.
func TestStandings(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	s, err := lodge(t).Size(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for rule, want := range map[string]string{"load-row": "3", "demand-row": "6"} {
		got := findingsOf(t, s, rule)
		if len(got) != 1 || got[0].Value.String() != want || !strings.Contains(got[0].Reason, " from memory: ") {
			t.Errorf("%s: want %s rows, got %v", rule, want, got)
		}
	}
	// What is common practice says so.
	c = amended(t, "ipc-2021", "ipc-2021/supply-fixture-units", "op,fixture,use,control,flush_over[gal],flush_to[gal],size[in],ports,status\nset,water-closet,public,valve,,,,cold,practice\n")
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
	if got := findingsOf(t, sized(t, c, d), "load-row"); len(got) != 1 || !strings.Contains(got[0].Reason, " of common practice without a source: ") {
		t.Errorf("%v", got)
	}
}

// Eight ids are told, of nine and more the rest is counted.
func TestShortList(t *testing.T) {
	ids := strings.Split("abcdefghijk", "")
	for n, want := range map[int]string{1: "a", 8: "a; b; c; d; e; f; g; h", 9: "a; b; c; d; e; f; g; h and 1 more", 11: "a; b; c; d; e; f; g; h and 3 more"} {
		if got := shortList(ids[:n]); got != want {
			t.Errorf("%d: %s", n, got)
		}
	}
}

// The working pressure of a test is the greatest static pressure, at the lowest point or
// at the source: 20 ft of water below 62 psi make 70.66. The gauge goes where it stands.
func TestTestPlanWorking(t *testing.T) {
	in, ft := units.Inch, units.Foot
	for _, tc := range []struct {
		static  float64
		a, b    units.Length
		working string
		lowest  string
	}{
		{0, 5 * ft, 5 * ft, "62 psi", "main"},
		{0, 0, 0, "62 psi", "main"},
		{74, 2 * ft, 3 * ft, "74 psi", "main"},
		{0, -10 * ft, -10 * ft, "70.66 psi", "B"},
		{0, -20 * ft, 10 * ft, "70.66 psi", "A"},
		{74, -10 * ft, -10 * ft, "82.66 psi", "B"},
	} {
		d := closets(62, []Point{{ID: "A", From: "main", Length: 50 * ft, Rise: tc.a, Size: in * 3 / 2}, {ID: "B", From: "A", Length: 50 * ft, Rise: tc.b, Size: in * 3 / 2}}, []string{"B"}, nil)
		d.Source.Static = units.Pressure(tc.static) * units.PoundForcePerSquareInch
		p := sized(t, amended(t, "ipc-2021", "ipc-2021/supply-rules", "op,rule,value,unit,status\nset,test-pressure,1.5,1,read\n"), d).testPlan(TestOptions{})
		if got := (unitSystem{}).pressure(p.Working).String(); got != tc.working || p.WorkingAt != tc.lowest || p.Lowest != tc.lowest || p.Least != p.Working*1.5 {
			t.Errorf("%+v: %s at %s, to be tested at %v", tc, got, p.WorkingAt, p.Least)
		}
	}
	// Behind a regulator the lowest point has less than the street: 40 psi and 20 ft of water.
	d := closets(62, []Point{{ID: "A", From: "main", Length: 50 * ft, Device: &Device{Kind: "regulator", Set: 40 * units.PoundForcePerSquareInch}}, {ID: "B", From: "A", Length: 50 * ft, Rise: -20 * ft}}, []string{"B"}, nil)
	if p := sized(t, mustCode(t, "ipc-2021"), d).testPlan(TestOptions{}); p.WorkingAt != "main" || p.Lowest != "B" || p.Highest != "main" {
		t.Errorf("%+v", p)
	}
	// Each kind of plastic pipe once.
	s, err := lodgeWith(t, `"recirc": "pex-sdr9"`, `"recirc": "cpvc-sdr11"`).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"cpvc-sdr11", "pex-sdr9"}, s.testPlan(TestOptions{}).Plastic); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
