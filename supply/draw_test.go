package supply

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// TestDrawHasAll: on random layouts the source, every point, fixture and link is in the
// isometric by its id, every fixture has its bar, and all of it can be drawn.
func TestDrawHasAll(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for seed := range uint64(6) {
		l, err := New(randomHouse(rand.New(rand.NewPCG(seed, 3)), 25, "ipc-2021"))
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(code, Options{})
		if err != nil {
			t.Fatal(err)
		}
		d, err := s.Draw(DrawOptions{Metric: seed%2 == 1})
		if err != nil {
			t.Fatal(err)
		}
		has := map[string]bool{}
		for _, x := range d.Isometric.Lines {
			has[x.ID] = true
		}
		for _, x := range d.Isometric.Marks {
			has[x.ID] = true
		}
		want := func(kind, id string) {
			if !has[id] && !has[kind+" "+id] {
				t.Errorf("seed %d: no %s %s", seed, kind, id)
			}
		}
		want("source", l.Data().Source.ID)
		for i := range l.Len() {
			want("point", l.Point(i).ID)
		}
		for _, f := range l.Data().Fixtures {
			want("fixture", f.ID)
		}
		if _, err := draw.Isometric(d.Isometric, draw.Options{}); err != nil {
			t.Error(err)
		}
		if d.Pressure == nil {
			continue
		}
		if len(d.Pressure.Bars) != len(l.Data().Fixtures) {
			t.Errorf("%d bars for %d fixtures", len(d.Pressure.Bars), len(l.Data().Fixtures))
		}
		if _, err := draw.Graph(d.Pressure, draw.Options{}); err != nil {
			t.Error(err)
		}
	}
}

// TestPressureLine: the line begins at the street, ends at what the critical fixture has, and
// falls upright by what a device takes.
func TestPressureLine(t *testing.T) {
	l, err := Parse("line.json", []byte(`{"source": {"id": "street", "pressure": "60 psi", "static": "70 psi"},
		"water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"},
		"points": [
			{"id": "M", "from": "street", "length": "40 ft", "size": "1 in", "device": {"kind": "other", "loss": "9 psi"}},
			{"id": "E", "from": "M", "length": "20 ft", "rise": "10 ft", "size": "3/4 in"}],
		"fixtures": [{"id": "WC", "fixture": "water-closet", "use": "private", "control": "tank", "cold": "E"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := a.Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.05 {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	flowing := d.Pressure.Curves[0].At
	if len(flowing) != 4 { // street, before and behind the device, end
		t.Fatalf("the line has %d places", len(flowing))
	}
	near("at the street", flowing[0].Y, 60)
	near("the device is at", flowing[2].X, 40)
	near("the device takes", flowing[1].Y-flowing[2].Y, 9)
	near("the end is at", flowing[3].X, 60)
	near("at the end", flowing[3].Y, d.Pressure.Bars[0].Value)
	static := d.Pressure.Curves[1].At
	near("at rest the end is lower by 10 ft of water", static[0].Y-static[len(static)-1].Y, 4.33)
	if _, err := (&Analysis{}).Draw(DrawOptions{}); err == nil {
		t.Error("an empty analysis was drawn")
	}
}

// A link of a ring is of the pipe that it names, or of that of the line it joins.
func TestTakeOffLinks(t *testing.T) {
	for pipe, want := range map[string]map[string]units.Length{
		"":         {"copper-l": 500 * units.Foot},
		"copper-k": {"copper-l": 400 * units.Foot, "copper-k": 100 * units.Foot},
	} {
		d := square()
		d.Links[0].Pipe = pipe
		a, _ := ringOf(t, d)
		got := map[string]units.Length{}
		for _, line := range a.lines() {
			if line.Kind == "pipe" {
				got[line.Item] = line.Length
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("link of %q (-want +got):\n%s", pipe, diff)
		}
	}
}

// The wall is told of a size that comes in two or more: EN 1057 makes 10 mm in 1 mm
// alone, 66.7 mm in 1.2 and 2 mm, of which the thickest counts.
func TestTakeOffWalls(t *testing.T) {
	mm := units.Millimetre
	for size, want := range map[units.Length]units.Length{10 * mm: 0, units.Millimetres(66.7): 2 * mm, 12 * mm: mm} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: size, Pipe: "copper-en1057"}}, []string{"A"}, nil)
		if line := sized(t, mustCode(t, "ipc-2021"), d).lines()[0]; line.Wall != want || line.Size != size {
			t.Errorf("%v: %+v, want a wall of %v", size, line, want)
		}
	}
}
