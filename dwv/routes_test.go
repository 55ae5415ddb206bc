package dwv

import (
	"slices"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// TestOverlappingWetVents: where two drains that vent wet come together, the one that
// vents farther down goes on venting, whichever is drawn first.
func TestOverlappingWetVents(t *testing.T) {
	run := Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}
	basin := &Fixture{Kind: "lavatory", Count: 1, Use: Private}
	points := []Point{
		{ID: "Q", To: "O", Run: run},
		{ID: "P", To: "Q", Run: run},
		{ID: "A", To: "P", Run: run, Fixture: basin},
		{ID: "B", To: "P", Run: run, Fixture: basin},
		{ID: "F", To: "Q", Run: run, Fixture: basin},
	}
	vent := func(id, from, through string) Vent {
		return Vent{ID: id, Kind: VentWet, From: from, Through: through, Terminal: &Terminal{AboveRoof: units.Foot}, Runs: []VentRun{{Length: 9 * units.Foot, Direction: VentUp}}}
	}
	for _, swap := range []bool{false, true} {
		l := &Layout{FinishedFloor: 100 * units.Foot, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * units.Foot}, Points: slices.Clone(points)}},
			Vents: []Vent{vent("short", "A", "P"), vent("long", "B", "Q")}}
		if swap {
			p := l.Systems[0].Points
			p[2], p[3] = p[3], p[2]
		}
		l = mustBuild(t, l)
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		serving := s.routes.serving[l.built.index["F"]]
		if serving < 0 || l.Vents[serving].ID != "long" {
			t.Errorf("drawn in the other order %v: F is vented by vent %d, want the one that vents as far as Q", swap, serving)
		}
		if f := findingsOf(t, l, "trap-vented"); len(f) != 0 {
			t.Errorf("drawn in the other order %v: %v", swap, f)
		}
	}
}

// findingsOf returns the findings of a rule under IPC 2021.
func findingsOf(t *testing.T, l *Layout, rule string) (out []string) {
	t.Helper()
	list, err := l.Check(mustCode(t, "ipc-2021"), CheckOptions{ProblemsOnly: true})
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

// TestArmDecidedByTrap: under a code that leaves trap arms out of the loads of drains,
// the trap decides the arm even where the least pipe would carry the load.
func TestArmDecidedByTrap(t *testing.T) {
	run := Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}
	l := mustBuild(t, &Layout{FinishedFloor: 100 * units.Foot, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * units.Foot}, Points: []Point{
		{ID: "V", To: "O", Run: run},
		{ID: "L", To: "V", Run: run, Fixture: &Fixture{Kind: "lavatory", Count: 1, Use: Private}},
	}}}, Vents: []Vent{{ID: "v", Kind: VentIndividual, From: "V", Terminal: &Terminal{AboveRoof: units.Foot}, Runs: []VentRun{{Length: 9 * units.Foot, Direction: VentUp}}}}})
	s := mustSize(t, l, mustCode(t, "upc-2021"))
	r, ok := s.Of("L")
	if !ok || r.Decided != DecidedByTrap || r.Required != 5*units.Inch/4 {
		t.Errorf("the arm of a lavatory needs %v, by its %v; want 1-1/4 in, by its trap", r.Required, r.Decided)
	}
}
