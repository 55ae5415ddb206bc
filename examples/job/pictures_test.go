package job

import (
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// TestPictures keeps the drawings that the README shows: the demonstration's plan and the
// profile of its soil system, with what fails.
func TestPictures(t *testing.T) {
	r := reportOf(t, "", newPrinter(false, false))
	r.Findings.Ask = nil
	list, err := figures(r, false)
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	for _, f := range list {
		if f.name == "plan" || f.name == "profile-soil" {
			kept++
			golden.Keep(t, "../underslab/pictures/"+f.name+".svg", string(f.sheets[0].SVG))
		}
	}
	if kept != 2 {
		t.Errorf("%d pictures, want plan and profile", kept)
	}
}
