package job

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// TestPictures keeps the drawings that the README and the guides of packages show: of the
// demonstration a part of its plan, and the profile of its soil system from the outlet on, as figures, which
// are read on a page, and its isometric of the soil system, water lines and pressure line, with what fails.
func TestPictures(t *testing.T) {
	r := reportOf(t, "", newPrinter(false, false))
	r.Findings.found = findings{slices.DeleteFunc(slices.Concat(r.made.findings...), func(f tables.Finding) bool {
		return f.Verdict == tables.Ask
	})}
	list, err := figures(r, false)
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	for _, f := range list {
		if slices.Contains([]string{"isometric-soil", "water", "pressure"}, f.name) {
			kept++
			golden.Keep(t, "../underslab/pictures/"+f.name+".svg", string(f.sheets[0].SVG))
		}
	}
	if kept != 3 {
		t.Errorf("%d pictures, want three", kept)
	}
	clay, profile := small(t, r)
	for name, sheets := range map[string][]draw.Sheet{"plan": clay, "profile-soil": profile} {
		if sheets[0].Unplaced > 0 {
			t.Errorf("%s: %d sheets, %d labels without room", name, len(sheets), sheets[0].Unplaced)
		}
		legible.Check(t, name, sheets[0].SVG)
		golden.Keep(t, "../underslab/pictures/"+name+".svg", string(sheets[0].SVG))
	}
}

// small draws a part of the demonstration's plan, and the profile of its soil system, as figures.
func small(t *testing.T, r *Report) (clay, profile []draw.Sheet) {
	t.Helper()
	d := &drawer{g: r.made, r: r}
	d.notes, d.first = notes(&r.Findings, false)
	drawn, err := d.g.drains.sizing.Draw(drains.DrawOptions{Rows: d.rods()})
	if err != nil {
		t.Fatal(err)
	}
	d.attach(drawn, new(supply.Drawings))
	at := []string{"SP1", "SP2", "W7", "GL1", "GL2", "W6", "CB1", "CB2", "VSP", "VGL", "VCB", "W5"}
	plan := drawn.Plan
	plan.Lines = slices.DeleteFunc(plan.Lines, func(l draw.Line) bool {
		return !slices.Contains(at[:len(at)-1], l.ID)
	})
	plan.Marks = slices.DeleteFunc(plan.Marks, func(m draw.Mark) bool { return !slices.Contains(at, m.ID) })
	o := d.options("", "Plan below the slab, where the glaze sink stands")
	o.Figure = true
	if clay, err = draw.Plan(plan, o); err != nil {
		t.Fatal(err)
	}
	for _, s := range drawn.Systems {
		if s.System == "soil" {
			o.Title.Drawing = "Profile of the soil drain"
			if profile, err = draw.Profile(s.Profile, o); err != nil {
				t.Fatal(err)
			}
		}
	}
	return clay, profile
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
