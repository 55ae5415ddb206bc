package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A fitting is judged by the way it turns the flow: down a stack into a drain, along
// a branch into a stack, along a drain.
func TestFittingByTurn(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for _, c := range []struct{ run, fitting, turn string }{
		{"LT", "long-sweep", "vertical-to-horizontal"}, {"LA", "sanitary-tee", "horizontal-to-vertical"}, {"S3", "wye", "horizontal-to-horizontal"},
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, c.run).Run.Into = c.fitting
		var found *tables.Finding
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == "fitting-turn" && f.Place == c.run {
				found = &f
			}
		}
		if found == nil || found.Verdict != tables.Pass || !strings.Contains(found.Reason, c.turn) {
			t.Errorf("%s into the next by a %s: %v, want a pass for %s", c.run, c.fitting, found, c.turn)
		}
	}
}

// Along a vertical run a footing meets the pipe as far down as it says.
func TestFootingAlongRiser(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	clear := func(along units.Length) units.Length {
		l := mustLayout(t, "workshop.json")
		l.Footings = []Footing{{ID: "F", Kind: FootingUnder, Run: "LT", Along: along, Bottom: 10 * in, Clear: in}}
		return margin(t, l, code, "footing-clearance", "F")
	}
	if d := clear(2*ft) - clear(ft); d != ft {
		t.Errorf("a foot farther down the riser has %v more room", d)
	}
}

// The load of a system is that at its outlet.
func TestSystemTotal(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	last, ok := s.Of("S1")
	load, closets, ok2 := s.Total("soil")
	if !ok || !ok2 || load != last.Load || closets != 1 || load == 0 {
		t.Errorf("%v and %d closets (%v), the last run carries %v (%v)", load, closets, ok2, last.Load, ok)
	}
	if _, _, ok := s.Total("none"); ok {
		t.Error("a system that is not there has a total")
	}
}
