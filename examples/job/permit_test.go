package job

import (
	"strings"
	"testing"
	"testing/fstest"
)

// TestPermit: the sheet of the demonstration, its figures counted by hand from the layout:
// three sinks at 2 dfu each, 14 dfu on the soil drain, a 2 in service with a 1-1/2 in meter.
func TestPermit(t *testing.T) {
	var b strings.Builder
	if err := reportOf(t, "", newPrinter(false, false)).PrintPermit(&b); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(b.String()), " ")
	for _, want := range []string{
		"International Plumbing Code 2021", "sink 3 6 dfu 9 wsfu", "lavatory 2 2 dfu 4 wsfu", "soil soil sewer 14 dfu 4 in pvc-dwv 2 %",
		"clay waste drain 11.2 dfu 4 in", "2 in copper-k for 41 wsfu, 46.4 gpm", "meter 1 1/2 in", "62.0 psi residual, 76.0 psi static",
		"A calculation, not an approval.", "1 fail",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet lacks %q:\n%s", want, b.String())
		}
	}
	for l := range strings.Lines(b.String()) {
		if len([]rune(l)) > frontWidth+1 {
			t.Errorf("wider than a sheet: %s", l)
		}
	}
}

// TestPermitOfDrains: a job without water has no service on its sheet, one whose fixture the
// code does not rate no load for it.
func TestPermitOfDrains(t *testing.T) {
	j, err := Read(fstest.MapFS{"steep.json": {Data: []byte(steep(2))}}, "steep.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s := r.Permit; s.Water != nil || len(s.Fixtures) != 1 || s.Fixtures[0].Count != 2 || len(s.Drains) != 1 {
		t.Errorf("%+v", s)
	}
	stages := ""
	for _, x := range r.Inspections {
		stages += x.Stage + "; "
	}
	if stages != "before backfill; water test; before the pour; " {
		t.Errorf("stages %s", stages)
	}
}

// TestSplitOutside: notes in brackets keep their semicolons.
func TestSplitOutside(t *testing.T) {
	got := strings.Join(splitOutside("A, 1: x (recalled; note); B: y"), "|")
	if got != "A, 1: x (recalled; note)|B: y" {
		t.Error(got)
	}
}
