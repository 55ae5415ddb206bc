package drains

import (
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
)

// TestVentSizes: what vents serve, and what drain their size rests on.
func TestVentSizes(t *testing.T) {
	up := []VentRun{{Length: 10 * ft, Direction: VentUp}}
	quarter := slope.PerFoot(in / 4)
	l := mustLayout(t, "workshop.json")
	// Two closets more on a vent of their own that joins VW, and one that waits for a
	// third and has no drain but the one it leaves.
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "W2", To: "S2", Run: Run{Length: 3 * ft, Grade: quarter, Size: 4 * in}, Fixture: &dwv.Fixture{Kind: "water-closet", Count: 2, Use: dwv.Public, Control: dwv.Valve, Flush: pt(l, "WC").Fixture.Flush}})
	l.Vents = append(l.Vents,
		Vent{ID: "V2", Kind: VentIndividual, From: "W2", To: "VW", Runs: up},
		Vent{ID: "VR", Kind: VentRelief, From: "S3", To: "VW", Size: in * 3 / 2, Runs: up},
		Vent{ID: "VS", Kind: VentStackVent, From: "LT", Terminal: &Terminal{AboveRoof: ft}})
	vent(l, "VL").From = "LA"
	type served struct {
		fixtures, closets int
		load              dwv.FixtureUnits
	}
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		s := mustSize(t, mustBuild(t, l), mustCode(t, id))
		required := func(id string) (r RunSize) {
			r, ok := s.Of(id)
			if !ok {
				t.Fatalf("no %s", id)
			}
			return r
		}
		for _, tt := range []struct {
			vent  string
			want  served
			drain string // the point whose run it serves
			drawn bool
		}{
			{"VW", served{1, 3, required("WC").Load + required("W2").Load + required("LA").Load}, "W2", true},
			{"V2", served{2, 2, required("W2").Load}, "W2", false},
			{"VL", served{1, 0, required("LA").Load}, "LA", false},
			{"VR", served{0, 0, 0}, "S3", true},
			{"VS", served{0, 0, required("LT").Load}, "LT", false},
		} {
			v, _ := s.Vent(tt.vent)
			if got := (served{v.Fixtures, v.Closets, v.Load}); got != tt.want {
				t.Errorf("%s: %s serves %+v, want %+v", id, tt.vent, got, tt.want)
			}
			if want := s.need[s.tree.index[tt.drain]]; v.Drain != want || v.Drawn != tt.drawn || v.Err != nil {
				t.Errorf("%s: %s serves a drain of %v (drawn %v, %v), want what %s needs, %v", id, tt.vent, v.Drain, v.Drawn, v.Err, tt.drain, want)
			}
		}
	}
}
