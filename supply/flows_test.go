package supply

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Under UPC's table, which starts at 2 units, outlets count by their flows. A fountain of
// 0.5 units draws 0.75 gpm (Hunter's table of the shelf); of a bar sink, 1 unit, no flow is
// known, so that the two together are not known either.
func TestFlowNotKnownUnderTable(t *testing.T) {
	c := mustCode(t, "upc-2021")
	fountain := LayoutFixture{ID: "DF", Cold: "A", Fixture: Fixture{Kind: "drinking-fountain", Count: 1, Use: Private}}
	sink := LayoutFixture{ID: "BS", Cold: "A", Fixture: Fixture{Kind: "bar-sink", Count: 1, Use: Private}}
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
		if r := s.Runs[0]; roundTo(float64(r.Flow/units.USGallonPerMinute)) != tc.gpm || r.Basis != tc.basis {
			t.Errorf("%v: %v, %v; want %v gpm, %v", tc.fixtures, r.Flow, r.Basis, tc.gpm, tc.basis)
		}
		if got := findingsOf(t, s, "demand-first-row"); (len(got) == 1 && got[0].Place == "A") != (tc.basis == FromFirstRow) {
			t.Errorf("%v: %v", tc.fixtures, got)
		}
	}
}

// The first ladder of UPC 610.10, of clinical sinks: 20, 15, 10, 8 and 5 for each further.
func TestFirstLadder(t *testing.T) {
	c := mustCode(t, "upc-2021")
	if got, err := c.Loads([]Fixture{{Kind: "lavatory", Count: 1, Use: Private}}); err != nil || got.Progressive != nil {
		t.Errorf("a lavatory is on no ladder: %+v, %v", got, err)
	}
	f := Fixture{Kind: "clinical-sink", Count: 1, Control: Valve}
	two := f
	two.Count = 2
	if got, err := c.Loads([]Fixture{f, two}); err != nil || got.Total != fu("45") {
		t.Errorf("one and two: %v, %v", got.Total, err)
	}
	for n, want := range map[int]string{1: "20", 2: "35", 3: "45", 5: "58", 7: "68"} {
		f.Count = n
		if got, err := c.Loads([]Fixture{f}); err != nil || got.Total != fu(want) {
			t.Errorf("%d: %v, %v", n, got.Total, err)
		}
		if got, err := c.FixtureLoad(f); err != nil || got.Total != fu(want) {
			t.Errorf("%d, one entry: %v, %v", n, got.Total, err)
		}
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "CS", Cold: "A", Fixture: f}}
		s := sized(t, c, d)
		if s.Runs[0].Load != fu(want) || s.Runs[0].System != ValveSystem {
			t.Errorf("%d on a line: %v, %v", n, s.Runs[0].Load, s.Runs[0].System)
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
		if r := s.Runs[0]; r.Basis != want || math.Abs(float64(r.Flow/units.LitrePerSecond)-11.37) > 0.01 {
			t.Errorf("%d: %v by %v, want %v", count, r.Flow, r.Basis, want)
		}
		if got := findingsOf(t, s, "demand-beyond-table"); (len(got) == 1) != (want == BeyondTable) {
			t.Errorf("%d: %v", count, got)
		}
	}
}

// The share of the total that each of two supplies carries is no more than all of it.
func TestSeparateShare(t *testing.T) {
	for share, want := range map[string]error{"1": nil, "0": nil, "1.001": ErrQuery, "much": ErrQuery} {
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
	tub := LayoutFixture{ID: "BT", Cold: "A", Fixture: Fixture{Kind: "bathtub", Count: 1, Use: Private}}
	bibb := LayoutFixture{ID: "HB", Cold: "A", Fixture: Fixture{Kind: "hose-bibb", Count: 1}}
	two, stated, washer, basin := bibb, bibb, bibb, bibb
	two.Count, stated.Flow, washer.Kind = 2, 4*units.USGallonPerMinute, "dental-unit"
	basin.Fixture = Fixture{Kind: "lavatory", Count: 1}
	for _, tc := range []struct {
		add     LayoutFixture
		gpm     float64
		says    string
		atUnits string
	}{
		{tub, 4, "", "1.4"}, // alone
		{bibb, 4 + 5, "its own flow is added whole", "1.4"},
		{two, 4 + 10, "its own flow is added whole", "1.4"},
		{stated, 4 + 4, "its own flow is added whole", "1.4"},
		{washer, 4, "counts for nothing", "1.4"},
		{basin, 6.5 + 0.4*1.5, "choose private, public); the greatest load is taken", "3.4"},
	} {
		d := closets(80, []Point{{ID: "M", From: "main", Length: units.Foot}, {ID: "A", From: "M", Length: units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{tub, tc.add}
		if tc.says == "" {
			d.Fixtures = d.Fixtures[:1]
		}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		for i := range s.Runs {
			if got := roundTo(float64(s.Runs[i].Flow / units.USGallonPerMinute)); got != tc.gpm || s.Runs[i].Load != fu(tc.atUnits) {
				t.Errorf("%s: %v gpm of %v, want %v of %s", tc.add.Kind, got, s.Runs[i].Load, tc.gpm, tc.atUnits)
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
	// A word that no code knows is a fault.
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
	bibb.Kind = "hosebib"
	d.Fixtures = []LayoutFixture{bibb}
	if l, err := NewLayout(d); err != nil {
		t.Error(err)
	} else if _, err := l.Size(mustCode(t, "ipc-2021"), Options{}); !errors.Is(err, ErrNotInCode) || !strings.Contains(err.Error(), `"hosebib"`) {
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
		d.Fixtures = []LayoutFixture{{ID: "WC", Cold: "A", Flow: tc.flow, Fixture: Fixture{Kind: "water-closet", Count: tc.count, Use: Private, Control: Tank, Style: tc.style}}}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		for i := range s.Runs {
			if got := roundTo(float64(s.Runs[i].Flow / gpm)); math.Abs(got-tc.want) > 0.005 || s.Runs[i].Basis != tc.basis {
				t.Errorf("%+v: %v gpm by %v", tc, got, s.Runs[i].Basis)
			}
		}
	}
	// A tub with both its ports on the main is one fixture there too: 4 gpm, not 4.7.
	d := closets(80, []Point{{ID: "M", From: "main", Length: units.Foot}, {ID: "WH", From: "M", Length: units.Foot, Device: &Device{Kind: "storage-heater", Loss: 1}},
		{ID: "H", From: "WH", Length: units.Foot}}, nil, nil)
	d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
	d.Fixtures = []LayoutFixture{{ID: "BT", Cold: "M", Hot: "H", Flow: 3.5 * gpm, Fixture: Fixture{Kind: "bathtub", Count: 1, Use: Private}}}
	if r := sized(t, mustCode(t, "ipc-2021"), d).Runs[0]; r.Basis != FromOnly || math.Abs(float64(r.Flow/gpm)-3.5) > 1e-9 {
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
			{ID: "WH", From: "A", Length: units.Foot, Device: &Device{Kind: "storage-heater", Loss: 1}}, {ID: "H", From: "WH", Length: units.Foot}}, nil, nil)
		d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
		for _, ports := range [][2]string{{"C", "H"}, {"C", ""}, {"", "H"}} {
			d.Fixtures = []LayoutFixture{{ID: "F", Cold: ports[0], Hot: ports[1], Fixture: Fixture{Kind: tc.kind, Count: 1, Use: Public}}}
			s := sized(t, mustCode(t, tc.code), d)
			each := map[bool]string{true: tc.both, false: tc.one}[ports[0] != "" && ports[1] != ""]
			want := map[string]string{"A": tc.one, "C": each, "H": each}
			for i := range s.Runs {
				id := s.Layout.Point(i).ID
				if (id == "C" && ports[0] == "") || (id == "H" && ports[1] == "") || id == "WH" {
					continue
				}
				if s.Runs[i].Load != fu(want[id]) {
					t.Errorf("%s %s at %v: %s carries %v, want %s", tc.code, tc.kind, ports, id, s.Runs[i].Load, want[id])
				}
			}
		}
	}
}
