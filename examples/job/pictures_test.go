package job

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// TestPictures keeps the drawings that the README and the guides of packages show: of the
// demonstration its plan, profile and isometric of the soil system, water lines and pressure line, with what fails.
func TestPictures(t *testing.T) {
	r := reportOf(t, "", newPrinter(false, false))
	r.Findings.Ask = nil
	list, err := figures(r, false)
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	for _, f := range list {
		if slices.Contains([]string{"plan", "profile-soil", "isometric-soil", "water", "pressure"}, f.name) {
			kept++
			golden.Keep(t, "../underslab/pictures/"+f.name+".svg", string(f.sheets[0].SVG))
		}
	}
	if kept != 5 {
		t.Errorf("%d pictures, want five", kept)
	}
}

// TestGuidesShow: each picture that a README shows is there, with words for those who cannot see it, and is one that a
// test keeps.
func TestGuidesShow(t *testing.T) {
	picture := regexp.MustCompile(`!\[([^\]]*)\]\(([^)]*)\)`)
	shown := 0
	for _, name := range append(filesLike(t, "../../README.md"), append(filesLike(t, "../../*/README.md"),
		filesLike(t, "../../*/*/README.md")...)...) {
		for _, m := range picture.FindAllStringSubmatch(string(contents(t, name)), -1) {
			shown++
			file := filepath.Join(filepath.Dir(name), m[2])
			if _, err := os.Stat(file); err != nil || len(m[1]) < 20 || filepath.Base(filepath.Dir(file)) != "pictures" {
				t.Errorf("%s shows %s, %q: %v", name, m[2], m[1], err)
			}
		}
	}
	if shown < 10 {
		t.Errorf("%d pictures are shown", shown)
	}
}
