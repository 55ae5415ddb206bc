package api

import (
	"go/build"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
)

const module = "github.com/trapweir/trapweir/"

// arrows lists, for each package, the packages of this module that it may import
// outside its tests. Formulas load no tables but those of the water, codes know no
// layout, and drainage and water meet in programs alone.
var arrows = map[string]string{
	"units":               "internal/visible",
	"slope":               "units internal/*",
	"slope/draw":          "units internal/enum internal/patience",
	"slope/plan":          "units", // both halves draw on it, and their layouts say places in one type
	"tables":              "units internal/*",
	"dwv":                 "dwv/gravity slope tables units internal/*",
	"dwv/drains":          "dwv dwv/en12056 dwv/gravity slope slope/draw slope/plan tables units internal/*",
	"dwv/en12056":         "dwv slope tables units internal/*",
	"dwv/gravity":         "slope units internal/argument internal/solve",
	"supply":              "slope/draw slope/plan supply/hydraulics supply/heat supply/simultaneous tables units internal/*",
	"supply/heat":         "supply/hydraulics units internal/argument internal/enum internal/faults",
	"supply/simultaneous": "units internal/argument internal/patience",
	"supply/hydraulics":   "tables units internal/argument internal/enum internal/faults internal/forest internal/solve",

	"internal/api":                 "",
	"internal/angle":               "",
	"internal/argument":            "units",
	"internal/cost":                "",
	"internal/edition":             "",
	"internal/enum":                "internal/visible",
	"internal/faults":              "units",
	"internal/figures":             "",
	"internal/files":               "",
	"internal/finding":             "tables units",
	"internal/finding/findingtest": "tables",
	"internal/fixture":             "internal/faults internal/pipes tables units",
	"internal/forest":              "",
	"internal/golden":              "",
	"internal/patience":            "",
	"internal/grouped":             "",
	"internal/codes":               "internal/enum internal/visible tables",
	"internal/jsonedit":            "",
	"internal/clone":               "",
	"internal/command":             "internal/visible",
	"internal/pipes":               "slope tables units",
	"internal/legible":             "",
	"internal/proof":               "internal/golden",
	"internal/proof/edges":         "tables",
	"internal/solve":               "",
	"internal/strictjson":          "internal/faults internal/visible units",
	"internal/visible":             "",
}

// folders returns the folders of the module that hold Go, programs left out.
func folders(t *testing.T) (out []string) {
	t.Helper()
	err := fs.WalkDir(os.DirFS("../.."), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			if name != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || name == "examples") {
				return fs.SkipDir
			}
		case strings.HasSuffix(name, ".go") && !slices.Contains(out, path.Dir(name)):
			out = append(out, path.Dir(name))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// public returns the packages that users import, in the order of the map in DEVELOPERS.md.
func public(t *testing.T) []string {
	t.Helper()
	out := slices.DeleteFunc(folders(t), func(s string) bool { return strings.HasPrefix(s, "internal/") })
	order := []string{"units", "slope", "tables", "dwv", "supply"}
	rank := func(s string) int {
		top, _, _ := strings.Cut(s, "/")
		return slices.Index(order, top)
	}
	slices.SortStableFunc(out, func(a, b string) int { return rank(a) - rank(b) })
	return out
}

// TestArrows: every package imports only what it may. A new arrow is a decision: it
// goes down, and into the list.
func TestArrows(t *testing.T) {
	for _, folder := range folders(t) {
		allowed, ok := arrows[folder]
		if !ok {
			t.Errorf("%s: the list of arrows does not have it", folder)
			continue
		}
		pkg, err := build.ImportDir("../../"+folder, 0)
		if err != nil {
			t.Errorf("%s: %v", folder, err)
			continue
		}
		for _, imported := range pkg.Imports {
			ours, ok := strings.CutPrefix(imported, module)
			if ok && !slices.ContainsFunc(strings.Fields(allowed), func(pattern string) bool {
				match, err := path.Match(pattern, ours)
				return match && err == nil
			}) {
				t.Errorf("%s imports %s, and may import %q", folder, ours, allowed)
			}
		}
	}
	for folder := range arrows {
		if _, err := os.Stat("../../" + folder); err != nil {
			t.Error(err)
		}
	}
}
