package supply

import (
	"errors"
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
	three.Count = 3 // 0.75 units each on the cold line
	for _, tc := range []struct {
		fixtures []LayoutFixture
		gpm      float64 // 0: refused
	}{
		{[]LayoutFixture{fountain}, 0.75},
		{[]LayoutFixture{sink}, 0},
		{[]LayoutFixture{fountain, sink}, 0},
		{[]LayoutFixture{sink, fountain}, 0},
		{[]LayoutFixture{fountain, stated}, 1.95},
		{[]LayoutFixture{three}, 2.125}, // 2.25 units are in the table: 2 gpm at 2, 3 at 4
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Fixtures = tc.fixtures
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		flows, err := l.flows(c)
		if tc.gpm == 0 {
			if err == nil || !strings.Contains(err.Error(), `point "A": load `) || !strings.Contains(err.Error(), `fixture "BS" has no flow: state its flow`) {
				t.Errorf("%v: %v", tc.fixtures, err)
			}
			continue
		}
		if err != nil || roundTo(float64(flows[0].flow/units.USGallonPerMinute)) != tc.gpm {
			t.Errorf("%v: %v, %v; want %v gpm", tc.fixtures, flows, err, tc.gpm)
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

// DIN 1988-300's constants hold up to 500 L/s drawn together.
func TestPeakFlowLimit(t *testing.T) {
	c := mustCode(t, "din1988-300")
	for flow, want := range map[float64]error{500: nil, 500.001: ErrOutsideTable} {
		d := room("hospital", "lavatory")
		d.Fixtures[0].Flow = units.Flow(flow) * units.LitrePerSecond
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.flows(c); !errors.Is(err, want) {
			t.Errorf("%v L/s: %v, want %v", flow, err, want)
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
