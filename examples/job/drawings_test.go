package job

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/legible"
)

// reportOf judges the demonstration.
func reportOf(t testing.TB, code string, p printer) *Report {
	t.Helper()
	j, err := Read(hall, "hall/hall.json", code)
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, code, p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// onSheets reports whether an item is on any of the drawings.
func onSheets(list []figure, id string) bool {
	for _, f := range list {
		for i := range f.sheets {
			if _, ok := f.sheets[i].Anchor(id); ok {
				return true
			}
		}
	}
	return false
}

// TestDrawingsHoldAll: every point, vent and footing of the demonstration, every water point and
// fixture, and every finding that names one of them is on a drawing by its id.
func TestDrawingsHoldAll(t *testing.T) {
	for _, si := range []bool{false, true} {
		r := reportOf(t, "", newPrinter(si, false))
		list, err := figures(r, true)
		if err != nil {
			t.Fatal(err)
		}
		holdAll(t, "hall", r, list)
		for _, f := range list {
			for _, s := range f.sheets {
				legible.Check(t, f.name+" "+s.Name, s.SVG)
				if s.Unplaced > 5 {
					t.Errorf("%s, sheet %s: %d labels found no room", f.name, s.Name, s.Unplaced)
				}
			}
		}
	}
}

// holdAll fails the test if a point, vent, footing, water point or fixture, or a finding about one of
// them, is on no drawing by its id.
func holdAll(t *testing.T, job string, r *Report, list []figure) {
	t.Helper()
	want := func(what, id string) {
		if !onSheets(list, id) {
			t.Errorf("%s: no %s %q on any drawing", job, what, id)
		}
	}
	if d := r.made.drains; d != nil {
		ids := map[string]bool{}
		d.points(func(_ int, _ *drains.System, pt *drains.Point) {
			want("point", pt.ID)
			ids[pt.ID] = true
		})
		for _, v := range d.layout.Vents {
			if ids[v.ID] {
				want("vent", "vent "+v.ID)
				continue
			}
			want("vent", v.ID)
		}
		for _, f := range d.layout.Footings {
			want("footing", f.ID)
		}
	}
	if w := r.made.water; w != nil {
		water := w.layout.Data()
		ids := map[string]bool{water.Source.ID: true}
		for i := range water.Points {
			want("water point", water.Points[i].ID)
			ids[water.Points[i].ID] = true
		}
		for i := range water.Fixtures {
			if id := water.Fixtures[i].ID; ids[id] {
				want("water fixture", "fixture "+id)
			} else {
				want("water fixture", id)
			}
		}
	}
	for _, f := range append(r.Findings.Fail(), r.Findings.Ask()...) {
		if onSheets(list, f.Place) {
			want("finding", f.ID)
		}
	}
}

// TestVentTurnsFlat: by hand, the vent of the urinals leaves the riser at 98.57 + 2'-9", goes up 4 ft
// and turns flat 5'-3.98" above, told as 5'-3 3/4", the floor; the lavatory that joins it floods at 32 in, so 38 in is the least.
func TestVentTurnsFlat(t *testing.T) {
	list, err := figures(reportOf(t, "", newPrinter(false, false)), false)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		if f.name == "isometric-soil" {
			want := strings.NewReplacer(`'`, "&#39;", `"`, "&#34;").Replace(`flat at 5'-3 3/4", least 3'-2" above floor`)
			if !strings.Contains(string(f.sheets[0].SVG), want) {
				t.Errorf("the isometric does not say %s", want)
			}
			return
		}
	}
	t.Error("no isometric of the soil system")
}

// TestDrawingsOfWideHall: a crowded layout, whose points lie a foot apart, is legible as well.
func TestDrawingsOfWideHall(t *testing.T) {
	j, err := Read(fstest.MapFS{"wide.json": {Data: wideHall(80)}}, "wide.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(false, false))
	if err != nil {
		t.Fatal(err)
	}
	list, err := figures(r, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		for _, s := range f.sheets {
			legible.Check(t, f.name+" "+s.Name, s.SVG)
		}
	}
}

// TestSVGFolder: each sheet goes into a file of its own, well formed, the same bytes each time.
func TestSVGFolder(t *testing.T) {
	var first map[string][]byte
	for range 2 {
		dir := t.TempDir()
		if _, err := reportOf(t, "", newPrinter(false, false)).WriteDrawings(dir); err != nil {
			t.Fatal(err)
		}
		files := map[string][]byte{}
		names, err := filepath.Glob(filepath.Join(dir, "*.svg"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files[filepath.Base(name)] = data
			wellFormed(t, name, data)
		}
		if first == nil {
			first = files
			continue
		}
		for name, data := range files {
			if !bytes.Equal(data, first[name]) {
				t.Errorf("%s differs from run to run", name)
			}
		}
	}
	for _, want := range []string{"plan", "profile-soil", "profile-clay", "isometric-soil", "isometric-clay", "water",
		"pressure"} {
		found := false
		for name := range first {
			found = found || strings.HasPrefix(name, want)
		}
		if !found {
			t.Errorf("no drawing %s", want)
		}
	}
}

func wellFormed(t *testing.T, name string, data []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(data))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
}

// BenchmarkDrawings is all drawings of the demonstration.
func BenchmarkDrawings(b *testing.B) {
	r := reportOf(b, "", newPrinter(false, false))
	for b.Loop() {
		if _, err := figures(r, true); err != nil {
			b.Fatal(err)
		}
	}
}

// TestPlanOfWater: every water point that has a place is on the plan of the drains by its id, with "water "
// before it where a drain has that id; so are the return, the sleeve and what lies in it.
func TestPlanOfWater(t *testing.T) {
	data, err := os.ReadFile("testdata/plan/house.json")
	if err != nil {
		t.Fatal(err)
	}
	j, err := Read(fstest.MapFS{"house.json": {Data: data}}, "house.json", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, si := range []bool{false, true} {
		r, err := report(context.Background(), j, "", newPrinter(si, false))
		if err != nil {
			t.Fatal(err)
		}
		list, err := figures(r, false)
		if err != nil {
			t.Fatal(err)
		}
		if list[0].name != "plan" || len(list[0].sheets) != 1 || list[0].sheets[0].Unplaced != 0 {
			t.Fatalf("%s: %d sheets, %d labels without room", list[0].name, len(list[0].sheets), list[0].sheets[0].Unplaced)
		}
		plan := &list[0].sheets[0]
		legible.Check(t, "plan", plan.SVG)
		for _, p := range r.made.water.layout.Data().Points {
			id := p.ID
			if id == "A" { // a drain's as well
				id = "water A"
			}
			if _, ok := plan.Anchor(id); ok != (p.At != nil) {
				t.Errorf("water point %s: on the plan %v, has a place %v", id, ok, p.At != nil)
			}
		}
		for _, id := range []string{"A", "SL1", "wall north", "obstacle C1"} {
			if _, ok := plan.Anchor(id); !ok {
				t.Errorf("%s is not on the plan", id)
			}
		}
		for _, text := range []string{">LOOP<", ">C2 cold<", ">H1 hot<", "from MAIN, place not given",
			`class="cold"`, `class="hot"`, `class="return"`, ">hot water return<", "isometric alone: CX."} {
			if !bytes.Contains(plan.SVG, []byte(text)) {
				t.Errorf("the plan does not say %s", text)
			}
		}
	}
}
