package drains

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestVentSizes: what vents serve, and what drain their size rests on.
func TestVentSizes(t *testing.T) {
	up := []VentRun{{Length: 10 * ft, Direction: VentUp}}
	quarter := slope.PerFoot(in / 4)
	l := mustLayout(t, "workshop.json")
	// Two closets more on a vent of their own that joins VW, and one that waits for a
	// third and has no drain but the one it leaves.
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "W2", To: "S2", Run: Run{Length: 3 * ft, Grade: quarter, Size: 4 * in}, Fixture: &tables.Fixture{Kind: "water-closet", Count: 2, Use: tables.Public, Control: tables.Valve, Flush: pt(l, "WC").Fixture.Flush}})
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

// TestVentLengths: VW starts 97 ft 5.784 in up, at half the bore over the invert of its
// drain, and runs 16 ft to the air. VL starts at 102 ft 5-1/2 in, rises 4 ft and runs 6 ft
// flat: it joins 107.716 in along VW and has 84.284 in more to go, 204.28 in in all, which
// is also the longest way through VW. VX starts at 97 ft 6.534 in and rises 2 ft: it joins
// 24.75 in along and goes 191.25 in. VW carries 4 + 1 units.
func TestVentLengths(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	l.Vents = append(l.Vents, Vent{ID: "VX", Kind: VentRelief, From: "S3", To: "VW", Runs: []VentRun{{Length: 2 * ft, Direction: VentUp}}})
	for range 2 { // whatever joins last
		mustBuild(t, l)
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		for id, want := range map[string]units.Length{"VW": 20428 * in / 100, "VL": 20428 * in / 100, "VX": 19125 * in / 100, "VC": 12 * ft} {
			if v, ok := s.Vent(id); !ok || max(v.Length-want, want-v.Length) > in/100 {
				t.Errorf("%s is %v long, want %v", id, v.Length, want)
			}
		}
		if v, _ := s.Vent("VW"); v.Load != 5*dwv.FixtureUnit || v.Closets != 1 || v.Drain != 3*in {
			t.Errorf("VW serves %v with %d closets from %v", v.Load, v.Closets, v.Drain)
		}
		slices.Reverse(l.Vents)
	}
}

// TestVentOfReservedLoad: a capped branch with 2 units kept for it has them on its vent
// and, where its flood rim is known, holds the vent to it.
func TestVentOfReservedLoad(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "SH", To: "S3", Capped: true, Reserved: 2 * dwv.FixtureUnit, FloodRim: 4 * in,
		Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4)}})
	l.Vents = append(l.Vents, Vent{ID: "VS", Kind: VentIndividual, From: "SH", To: "VW", Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}, {Length: ft, Direction: VentHorizontal}}})
	mustBuild(t, l)
	if v, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Vent("VS"); v.Load != 2*dwv.FixtureUnit || v.Fixtures != 1 {
		t.Errorf("VS serves %v of %d", v.Load, v.Fixtures)
	}
	for _, f := range mustCheck(t, l, mustCode(t, "ipc-2021")) {
		if f.Rule == "vent-flat" && f.Place == "VS" && f.Verdict != tables.Pass {
			t.Errorf("%v", f)
		}
	}
}

// TestVentNotSized: a vent that the code cannot size says why in its JSON, and reads back.
func TestVentNotSized(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	l.Vents = append(l.Vents, Vent{ID: "VN", Kind: VentRelief, From: "LT", Size: in * 3 / 2,
		Runs: []VentRun{{Length: 10 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}})
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	s.vents[len(s.vents)-1].Err = errNoDrain
	b, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var back SizingData
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	v, _ := s.Vent("VN")
	if got := back.Vents[len(back.Vents)-1].NotSized; got != "it serves no drain" || v.NotSized != got {
		t.Errorf("%q, %q: %s", got, v.NotSized, b)
	}
}
