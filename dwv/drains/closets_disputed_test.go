package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// UPC Table 703.2 note 4: sources have three closets on a flat 3 in drain, and five.
// Three pass by both; of four the figures differ, so the drawn pipe is asked about with
// both said; what is not drawn is laid by the three.
func TestClosetsOfWhichSourcesDisagree(t *testing.T) {
	code := mustCode(t, "upc-2021")
	for _, tt := range []struct {
		closets int
		drawn   units.Length
		size    units.Length
		verdict tables.Verdict
	}{
		{3, 3 * in, 3 * in, tables.Pass},
		{4, 3 * in, 4 * in, tables.Ask},
		{4, 0, 4 * in, tables.Pass},
	} {
		l := mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 4 * in},
			Points: []Point{{ID: "P", To: "O", Fixture: &dwv.Fixture{Kind: "water-closet", Count: tt.closets, Use: dwv.Private, Control: dwv.Tank, Flush: 1.6 * units.USGallon},
				Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4), Size: tt.drawn, Material: "pvc-dwv"}}}}}})
		s := mustSize(t, l, code)
		if r, _ := s.Of("P"); r.Required != tt.size {
			t.Errorf("%d closets require %v, want %v", tt.closets, r.Required, tt.size)
		}
		found := 0
		for _, f := range mustCheck(t, l, code) {
			if f.Rule != "drain-closets" || f.Place != "P" {
				continue
			}
			found++
			if f.Verdict != tt.verdict || f.Verdict == tables.Ask && !(strings.Contains(f.Reason, "takes 3") && strings.Contains(f.Reason, "five")) {
				t.Errorf("%d closets on %v: %v, want %v", tt.closets, tt.drawn, f, tt.verdict)
			}
		}
		if found != 1 {
			t.Errorf("%d closets: %d findings", tt.closets, found)
		}
	}
	// A question without a layout keeps its size.
	if r, err := code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 12 * dwv.FixtureUnit, Closets: 4, Grade: slope.PerFoot(in / 4)}); err != nil || r.Size != 4*in {
		t.Errorf("four closets by themselves: %v, %v", r.Size, err)
	}
}
