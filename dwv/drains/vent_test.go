package drains

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
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

// TestEndOfTheMeasureCited: by the IPC a vent is measured to the stack vent, and no farther (906.2): VL is 14 ft long, and
// VX, which joins it at its start, 5 and 14. The row decides where the way on to the air, from 5 ft 7 in along the stack
// vent, would take them past 40 ft and so to a larger size: of a stack vent of 50 ft, 44 ft 5 in more; of one of 15 ft,
// which has 9 ft 5 in more, both stay within it, and of one of 26 ft, by 20 ft 5 in.
func TestEndOfTheMeasureCited(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for long, cited := range map[units.Length]bool{50 * ft: true, 15 * ft: false, 26 * ft: false} {
		l := mustLayout(t, "jobs/vent-to-stack-vent-40-ft.json", code)
		second := *pt(l, "LV")
		second.ID = "LX"
		l.Systems[0].Points = append(l.Systems[0].Points, second)
		vent(l, "SV").Runs[0].Length, vent(l, "VL").Runs[1].Length = long, 10*ft
		l.Vents = append(l.Vents, Vent{ID: "VX", Kind: VentIndividual, From: "LX", To: "VL", At: &VentJoin{Station: new(0 * ft)},
			Runs: []VentRun{{Length: 5 * ft, Direction: VentHorizontal}}})
		s := mustSize(t, mustBuild(t, l), code)
		for id, want := range map[string]units.Length{"VL": 19 * ft, "VX": 19 * ft} {
			v, _ := s.Vent(id)
			if v.Length != want || (v.Citation.Row() == "rule "+ruleVentLengthTo) != cited {
				t.Errorf("%s below a stack vent of %v is %v long, by %v", id, long, v.Length, v.Citation)
			}
		}
	}
}

// TestVentStartsAtItsStub: the riser LT is made so long that it ends half an inch above the floor, and its vent starts
// there; where the layout says how high the stub stands it starts at that, if it is no more than an inch off.
func TestVentStartsAtItsStub(t *testing.T) {
	for stub, want := range map[units.Length]units.Length{0: in / 2, in: in, in * 3 / 2: in * 3 / 2, in*3/2 + nm: in / 2} {
		l := mustLayout(t, "workshop.json")
		pt(l, "LT").Run.Length, pt(l, "LT").StubUp = 31*in, stub // its foot lies 30-1/2 in below the floor
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		if got := s.ventHeights(s.upper).start[1] - l.FinishedFloor; got != want {
			t.Errorf("a stub of %v: the vent starts %v above the floor, want %v", stub, got, want)
		}
	}
	// A stack vent drawn without a take-off and without runs is where what joins it ends.
	l := mustLayout(t, "workshop.json")
	l.Vents = append(l.Vents, Vent{ID: "SV", Kind: VentStackVent, Terminal: &Terminal{AboveRoof: ft}})
	vent(l, "VL").To = "SV"
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	if h := s.ventHeights(s.upper); h.start[4] != h.end[1] || h.end[4] != h.end[1] {
		t.Errorf("a stack vent without runs from %v to %v, joined at %v", h.start[4], h.end[4], h.end[1])
	}
}

// TestStationOfAHeight: a vent from 100 ft rises 4 ft, runs 6 ft flat and rises 3 ft in a slanting run of 5 ft. It comes to
// a height at the first place that is so high; 6 in short of it, and above its end, it is still taken to.
func TestStationOfAHeight(t *testing.T) {
	x := &Vent{Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}, {Length: 6 * ft, Direction: VentHorizontal},
		{Length: 5 * ft, Rise: 3 * ft, Direction: VentUp}}}
	for _, tt := range []struct {
		height, station units.Length // height above the start
		ok              bool
	}{
		{-6*in - nm, 0, false}, {-6 * in, 0, true}, {0, 0, true}, {ft, ft, true}, {4 * ft, 4 * ft, true},
		{11 * ft / 2, 25 * ft / 2, true}, {7 * ft, 15 * ft, true}, {7*ft + 6*in, 15 * ft, true}, {7*ft + 6*in + nm, 15 * ft, false},
	} {
		if station, ok := stationOf(x, 100*ft, 100*ft+tt.height); ok != tt.ok || station != tt.station {
			t.Errorf("%v up: %v along it, %v; want %v, %v", tt.height, station, ok, tt.station, tt.ok)
		}
	}
}

// TestOnlyIslandsDrain: a low end that drains, and a cleanout, are of island vents alone.
func TestOnlyIslandsDrain(t *testing.T) {
	for _, edit := range []func(v *Vent){func(v *Vent) { v.Cleanout = true }, func(v *Vent) { v.Drains = "S3" }} {
		l := mustLayout(t, "workshop.json")
		edit(vent(l, "VW"))
		if err := buildErr(l); !errors.Is(err, ErrChoice) || !strings.Contains(err.Error(), "only an island vent") {
			t.Error(err)
		}
	}
}

// TestRimsAt: the floor lies at 100 ft. A standpipe of 30 in over a trap 8 in up overflows 38 in over the floor, a floor drain set
// 2 in deep that much under it; what is given goes before what is reckoned, and of a sink without a rim nothing is known.
func TestRimsAt(t *testing.T) {
	pipe := &Receptor{Standpipe: 30 * in, TrapAboveFloor: 8 * in}
	washer, drain := &tables.Fixture{Kind: "clothes-washer", Count: 1}, &tables.Fixture{Kind: "floor-drain", Count: 1}
	for _, tt := range []struct {
		pt   Point
		want floodRims
	}{
		{Point{Fixture: washer, Receptor: pipe}, floodRims{highest: 100*ft + 38*in, stated: true}},
		{Point{Fixture: washer, Receptor: pipe, FloodRim: 40 * in}, floodRims{highest: 100*ft + 40*in, stated: true}},
		{Point{Fixture: washer, Receptor: &Receptor{Standpipe: 30 * in}}, floodRims{missing: true}},
		{Point{Fixture: drain, RimBelow: 2 * in}, floodRims{highest: 100*ft - 2*in, floor: true}},
		{Point{Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1}}, floodRims{missing: true}},
		{Point{Receptor: pipe}, floodRims{}},
	} {
		if got := rimsAt(&Data{FinishedFloor: 100 * ft}, &tt.pt); got != tt.want {
			t.Errorf("%+v: %+v, want %+v", tt.pt, got, tt.want)
		}
	}
}
