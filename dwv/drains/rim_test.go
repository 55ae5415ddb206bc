package drains

import (
	"os"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// TestRimOfRiser: a riser to 20 in with an arm that falls 1/2 in has its trap weir 20-1/2 in above the floor. A rim at
// that very height, or lower, is asked about; one a sixteenth higher is not, nor what is no fixture or has no rim.
func TestRimOfRiser(t *testing.T) {
	text, err := os.ReadFile("testdata/jobs/rim-below-its-trap.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		edit func(l *Point)
		ask  bool
	}{
		{"a sixteenth above the weir", func(l *Point) { l.FloodRim = 20*in + 9*in/16 }, false},
		{"at the weir", func(l *Point) { l.FloodRim = 20*in + in/2 }, true},
		{"below it", func(l *Point) { l.FloodRim = 10 * in }, true},
		{"no rim", func(l *Point) { l.FloodRim = 0 }, false},
		{"no fixture", func(l *Point) { l.Fixture, l.Trap, l.Capped = nil, nil, true }, false},
	} {
		d, err := parse("rim-below-its-trap.json", text)
		if err != nil {
			t.Fatal(err)
		}
		k := slices.IndexFunc(d.Systems[0].Points, func(p Point) bool { return p.ID == "L" })
		c.edit(&d.Systems[0].Points[k])
		d.Vents = slices.DeleteFunc(d.Vents, func(v Vent) bool { return v.ID == "VL" && d.Systems[0].Points[k].Fixture == nil })
		found := slices.ContainsFunc(mustCheck(t, d, mustCode(t, "ipc-2021")), func(f tables.Finding) bool {
			return f.Rule == "trap-tail" && f.Place == "L"
		})
		if found != c.ask {
			t.Errorf("%s: asked %v", c.name, found)
		}
	}
}
