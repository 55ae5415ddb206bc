package supply

import (
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Runs that name no fittings lose what half as much pipe again would, where the job says
// so, and nothing where it does not; a run that names its own has those alone.
func TestFittingsAllowance(t *testing.T) {
	ft := units.Foot
	run := func(share float64, fittings ...FittingItem) *Analysis {
		d := closets(80, []Point{{ID: "A", From: "main", Length: 40 * ft, Size: units.Inch * 3 / 2, Fittings: fittings}}, []string{"A"}, nil)
		d.FittingsAllowance = share
		return sized(t, mustCode(t, "ipc-2021"), d).Analysis
	}
	none, half := &run(0).Runs[0], &run(0.5).Runs[0]
	if none.Fittings != 0 || none.Equivalent != 0 {
		t.Errorf("without: %v of %v", none.Fittings, none.Equivalent)
	}
	if half.Equivalent != 20*ft || math.Abs(float64(half.Fittings/none.Friction)-0.5) > 1e-9 || half.Friction != none.Friction {
		t.Errorf("half: %v of %v beside %v", half.Fittings, half.Equivalent, half.Friction)
	}
	if got := &run(0.5, FittingItem{Fitting: "elbow-90", Count: 1, Length: ft}).Runs[0]; got.Equivalent != ft {
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
		if _, err := NewLayout(d); err == nil || !strings.Contains(err.Error(), "fittings_allowance") {
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
		{ID: "LV", Cold: "A", Flow: gpm / 2, Fixture: Fixture{Kind: "lavatory", Count: 2, Use: Private}},
		{ID: "WC", Cold: "A", Flow: 3 * gpm, Fixture: Fixture{Kind: "water-closet", Count: 1, Use: Private, Control: Tank, Style: "close coupled"}}}
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	flow := func(capped bool) *RunResult {
		s, err := l.Size(mustCode(t, "ipc-2021"), Options{CapAtOutlets: capped})
		if err != nil {
			t.Fatal(err)
		}
		return &s.Runs[0]
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
