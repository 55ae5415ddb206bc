package drains

import (
	"fmt"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// The IRC rates several bathrooms as one (Table P3004.1, recalled): two and a half are
// three closets. No closet goes on less than 3 in, nor into a waste system.
func TestBathroomGroups(t *testing.T) {
	code := mustCode(t, "irc-2021")
	closets := map[string]int{
		"bathroom-group": 1, "half-bathroom-group": 1, "bathroom-groups-1-5": 2, "bathroom-groups-2": 2, "bathroom-groups-2-5": 3,
		"bathroom-groups-3": 3, "bathroom-groups-3-5": 4, "lavatory": 0, "kitchen-group": 0, "laundry-group": 0,
	}
	for _, kind := range code.FixtureKinds() {
		if _, ok := closets[kind]; !ok && strings.Contains(kind, "bath") && kind != "bathtub" {
			t.Errorf("what of %s?", kind)
		}
	}
	for kind, want := range closets {
		f := dwv.Fixture{Kind: kind, Count: 1, Flush: 1.6 * units.USGallon}
		if want == 0 {
			f.Flush = 0
		}
		load, err := code.FixtureLoad(f)
		if err != nil || load.Closets != want {
			t.Errorf("%s: %d closets, %v; want %d", kind, load.Closets, err, want)
		}
		for _, size := range []units.Length{2 * in, 0} {
			l := mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Waste, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 4 * in},
				Points: []Point{{ID: "P", To: "O", Fixture: &f, Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4), Size: size, Material: "pvc-dwv"}}}}}})
			s := mustSize(t, l, code)
			r, _ := s.Of("P")
			if r.Closets != want || want > 0 && r.Required != 3*in {
				t.Errorf("%s: %d closets, %v required", kind, r.Closets, r.Required)
			}
			says := map[string]bool{}
			for _, f := range mustCheck(t, l, code) {
				if f.Place == "P" && failed(&f) {
					says[f.Rule] = true
				}
			}
			if says["drain-closets"] != (want > 0 && size > 0) || says["system-apart"] != (want > 0) {
				t.Errorf("%s on %v: %v", kind, size, says)
			}
		}
	}
}

// Names that count bathrooms, and names that do not.
func TestBathroomsOfAKind(t *testing.T) {
	for kind, want := range map[string]string{"bathroom-groups-2": "2 0", "bathroom-groups-2-5": "2 1", "bathroom-groups-x": "0 0", "bathroom-groups-0": "0 0", "bathtub": "0 0"} {
		full, half := dwv.Bathrooms(kind)
		if got := fmt.Sprintf("%d %d", full, half); got != want {
			t.Errorf("%s: %s, want %s", kind, got, want)
		}
	}
}
