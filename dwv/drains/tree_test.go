package drains

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestOverlappingWetVents: where two drains that vent wet come together, the one that
// vents farther down goes on venting, whichever is drawn first.
func TestOverlappingWetVents(t *testing.T) {
	run := Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}
	basin := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	points := []Point{
		{ID: "Q", To: "O", Run: run},
		{ID: "P", To: "Q", Run: run},
		{ID: "A", To: "P", Run: run, Fixture: basin},
		{ID: "B", To: "P", Run: run, Fixture: basin},
		{ID: "F", To: "Q", Run: run, Fixture: basin},
	}
	vent := func(id, from, through string) Vent {
		return Vent{ID: id, Kind: VentWet, From: from, Through: through, Terminal: &Terminal{AboveRoof: units.Foot},
			Runs: []VentRun{{Length: 9 * units.Foot, Direction: VentUp}}}
	}
	for k := range 4 {
		swap := k%2 == 1
		l := &Data{FinishedFloor: 100 * units.Foot, Systems: []System{{ID: "s", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * units.Foot}, Points: slices.Clone(points)}},
			Vents: []Vent{vent("short", "A", "P"), vent("long", "B", "Q")}}
		if swap {
			p := l.Systems[0].Points
			p[2], p[3] = p[3], p[2]
		}
		if k > 1 {
			slices.Reverse(l.Vents)
		}
		l = mustBuild(t, l)
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		serving := s.routes.serving[s.tree.index["F"]]
		if serving < 0 || l.Vents[serving].ID != "long" {
			t.Errorf("drawn in the other order %v: F is vented by vent %d, want the one that vents as far as Q", swap, serving)
		}
		if f := findingsOf(t, l, "trap-vented"); len(f) != 0 {
			t.Errorf("drawn in the other order %v: %v", swap, f)
		}
	}
}

// Of two stretches that end at one place one vent vents the rest, and of two vents that
// leave one place one serves what comes there; in whatever order points and vents are
// drawn. A vent of its own serves a place on a stretch. Of two of a kind the larger, then
// the shorter, then the first by name serves.
func TestVentOfEqualStretches(t *testing.T) {
	run := Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}
	basin := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	points := []Point{
		{ID: "Q", To: "O", Run: run},
		{ID: "P", To: "Q", Run: run},
		{ID: "A", To: "P", Run: run, Fixture: basin},
		{ID: "B", To: "P", Run: run, Fixture: basin},
		{ID: "F", To: "P", Run: run, Fixture: basin},
	}
	vent := func(id string, kind VentKind, from, through string) Vent {
		return Vent{ID: id, Kind: kind, From: from, Through: through, Terminal: &Terminal{AboveRoof: units.Foot},
			Runs: []VentRun{{Length: 9 * units.Foot, Direction: VentUp}}}
	}
	larger := func(v Vent) Vent { v.Size = 2 * units.Inch; return v }
	shorter := func(v Vent) Vent { v.Runs = []VentRun{{Length: 8 * units.Foot, Direction: VentUp}}; return v }
	for _, tt := range []struct {
		name  string
		vents []Vent
		want  string // what serves F
	}{
		{"a first", []Vent{vent("a", VentWet, "A", "Q"), vent("b", VentWet, "B", "Q")}, "a"},
		{"b first", []Vent{vent("b", VentWet, "B", "Q"), vent("a", VentWet, "A", "Q")}, "a"},
		{"two at P", []Vent{vent("x", VentIndividual, "P", ""), vent("y", VentIndividual, "P", "")}, "x"},
		{"two at P, the other first", []Vent{vent("y", VentIndividual, "P", ""), vent("x", VentIndividual, "P", "")}, "x"},
		{"two at P, one larger", []Vent{vent("x", VentIndividual, "P", ""), larger(vent("y", VentIndividual, "P", ""))}, "y"},
		{"two at P, one shorter", []Vent{vent("x", VentIndividual, "P", ""), shorter(vent("y", VentIndividual, "P", ""))},
			"y"},
		{"an individual before a wet one", []Vent{vent("a", VentWet, "P", "Q"), vent("x", VentIndividual, "P", "")}, "x"},
		{"a wet one first", []Vent{vent("a", VentWet, "A", "Q"), vent("x", VentIndividual, "P", "")}, "x"},
		{"its own first", []Vent{vent("x", VentIndividual, "P", ""), vent("a", VentWet, "A", "Q")}, "x"},
		{"a relief vent takes nothing over", []Vent{vent("r", VentRelief, "P", ""), vent("a", VentWet, "A", "Q")}, "a"},
	} {
		for seed := range uint64(10) {
			l := &Data{FinishedFloor: 100 * units.Foot, Systems: []System{{ID: "s", Kind: Soil,
				Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * units.Foot}, Points: slices.Clone(points)}}, Vents: tt.vents}
			p := l.Systems[0].Points
			rand.New(rand.NewPCG(seed, 1)).Shuffle(len(p), func(i, j int) { p[i], p[j] = p[j], p[i] })
			s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
			if v := s.routes.serving[s.tree.index["F"]]; v < 0 || l.Vents[v].ID != tt.want {
				t.Fatalf("%s, seed %d: F is vented by vent %d, want %s", tt.name, seed, v, tt.want)
			}
		}
	}
}

// findingsOf returns the findings of a rule under IPC 2021.
func findingsOf(t *testing.T, l *Data, rule string) (out []string) {
	t.Helper()
	list, err := checkOf(l, mustCode(t, "ipc-2021"), CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		if f.Rule == rule {
			out = append(out, f.String())
		}
	}
	return out
}

// A town lets an emergency floor drain within 25 ft of a vented line go without a vent.
// The floor drain F joins the main at M, 14 ft away, which the lavatory's own vent vents
// from above. Where the closet's vent takes off is no matter of F: on the closet's drain,
// at the point where it joins the main, or on the main beyond M. A closet that has its
// vent where others drain in is asked about.
func TestWhereAnotherVentStands(t *testing.T) {
	code := firmCode(t, "ipc-2021") // its town gives 25 ft
	quarter := slope.PerFoot(units.Inch / 4)
	run := func(feet int64, size units.Length) Run {
		return Run{Length: units.Length(feet) * units.Foot, Grade: quarter, Size: size, Material: "pvc-dwv"}
	}
	vent := func(id, from string) Vent {
		return Vent{ID: id, Kind: VentIndividual, From: from, Terminal: &Terminal{AboveRoof: units.Foot},
			Runs: []VentRun{{Length: 12 * units.Foot, Direction: VentUp}}}
	}
	for from, shared := range map[string]bool{"CB": false, "P": true, "X": true} {
		l := mustBuild(t, &Data{FinishedFloor: 100 * units.Foot, Slab: 4 * units.Inch,
			Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 98 * units.Foot},
				Points: []Point{
					{ID: "X", To: "O", Run: run(6, 3*units.Inch)},
					{ID: "M", To: "X", Run: run(6, 3*units.Inch)},
					{ID: "F", To: "M", Run: run(14, 2*units.Inch), Fixture: &tables.Fixture{Kind: "emergency-floor-drain", Count: 1},
						RimBelow: units.Inch / 4, Primer: true},
					{ID: "P", To: "M", Run: run(9, 3*units.Inch)},
					{ID: "CB", To: "P", Run: run(4, 3*units.Inch)},
					{ID: "C", To: "CB", Run: run(3, 3*units.Inch), Fixture: &tables.Fixture{Kind: "water-closet", Count: 1,
						Use: tables.Public, Control: tables.Tank, Flush: 1.6 * units.USGallon}},
					{ID: "L", To: "P", Run: run(4, 2*units.Inch), Fixture: &tables.Fixture{Kind: "lavatory", Count: 1,
						Use: tables.Public}},
				}}}, Vents: []Vent{vent("VL", "L"), vent("VC", from)}})
		asked := false
		for _, f := range mustCheck(t, l, code) {
			if f.Place == "F" && (f.Verdict == tables.Fail || f.Rule == "trap-arm-length") {
				t.Errorf("closet vented at %s: %v", from, f)
			}
			asked = asked || f.Place == "C" && f.Rule == "trap-arm-shared" && f.Verdict == tables.Ask
		}
		if asked != shared {
			t.Errorf("closet vented at %s: asked %v, want %v", from, asked, shared)
		}
	}
}
