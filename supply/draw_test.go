package supply

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/legible"
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
	needed := d.Pressure.Curves[2].At // along the last tenth of 60 ft
	near("needed from", needed[0].X, 54)
	near("needed to", needed[1].X, 60)
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

// TestRingChart: four sides of 100 ft, drawn on at the corner D across from the entry A, by B and
// by the link through C. Each side carries half, so that D loses 2^-1.85 of what all of the flow loses on
// the way by B (Hazen-Williams: the power is 1/0.54), B half as much, and the water meets at D. How
// high D stands does not matter to what is lost, and no more does which end of the link is named first.
func TestRingChart(t *testing.T) {
	for name, edit := range map[string]func(*Data){"even": func(*Data) {},
		"D 10 ft up":   func(d *Data) { d.Points[3].Rise = 10 * units.Foot },
		"link from D":  func(d *Data) { d.Links[0].Between = [2]string{"D", "C"} },
		"C 10 ft down": func(d *Data) { d.Points[2].Rise = -10 * units.Foot; d.Points[3].Rise = 0 },
	} {
		data := square()
		edit(&data)
		a, r := ringOf(t, data)
		drawn, err := a.Draw(DrawOptions{})
		if err != nil || len(drawn.Rings) != 1 {
			t.Fatalf("%s: %d rings, %v", name, len(drawn.Rings), err)
		}
		c := drawn.Rings[0]
		near := func(what string, got, want float64) {
			t.Helper()
			if math.Abs(got-want) > 1e-6*max(1, want) {
				t.Errorf("%s: %s: %g, want %g", name, what, got, want)
			}
		}
		all := float64((a.runs[1].Friction + a.runs[1].Fittings + a.runs[3].Friction + a.runs[3].Fittings) /
			units.PoundForcePerSquareInch)
		at := map[string]draw.XY{}
		for _, s := range c.Spots {
			at[s.ID] = s.At
		}
		near("D is at", at["D"].X, 200)
		near("D loses", at["D"].Y, all*math.Pow(2, -1/0.54))
		near("B loses", at["B"].Y, at["D"].Y/2)
		near("C loses", at["C"].Y, at["D"].Y/2)
		end := c.Curves[3].At
		near("the way round", end[len(end)-1].X, 400)
		near("nothing is lost at the end", end[len(end)-1].Y, 0)
		flow := float64(max(r.Links[0].Flow, -r.Links[0].Flow) / units.USGallonPerMinute)
		names := map[string]bool{}
		for _, b := range c.Bars {
			near(b.Label+" carries", b.Value, flow)
			names[b.Label] = true
		}
		if diff := cmp.Diff(map[string]bool{"A to B": true, "B to D": true, "A to C": true, "C to D, link": true},
			names); diff != "" {
			t.Errorf("%s: bars (-want +got):\n%s", name, diff)
		}
		if !strings.HasSuffix(c.Remarks[0], "Water of both sides meets at D.") {
			t.Errorf("%s: %q", name, c.Remarks[0])
		}
		shut := 0.0 // all of it by B
		for _, k := range c.Curves[4:] {
			for _, p := range k.At {
				shut = max(shut, p.Y)
			}
		}
		near("with the link shut D loses", shut, all)
		sheets, err := draw.Graph(c, draw.Options{})
		if err != nil {
			t.Fatal(err)
		}
		legible.Check(t, name, sheets[0].SVG)
	}
}

// TestRingChartDevice: a device of 2 psi at the end of the run to B is a step there, and the
// water that it turns aside goes by C: what is lost at D is the same both ways.
func TestRingChartDevice(t *testing.T) {
	for _, between := range [][2]string{{"C", "D"}, {"D", "C"}} {
		data := square()
		data.Points[1].Device = &Device{Kind: "other", Loss: 2 * units.PoundForcePerSquareInch}
		data.Links[0].Between = between
		a, r := ringOf(t, data)
		drawn, err := a.Draw(DrawOptions{Metric: true})
		if err != nil || len(drawn.Rings) != 1 {
			t.Fatal(err)
		}
		for _, k := range drawn.Rings[0].Curves[:4] {
			if k.ID != "B" {
				continue
			}
			steps := 0
			for i := range len(k.At) - 1 {
				// By B first the way goes down with the water, which loses more and more; back by B it goes up.
				if more := k.At[i+1].Y > k.At[i].Y; more != (between[0] == "D") {
					t.Errorf("%v: %v kPa after %v", between, k.At[i+1].Y, k.At[i].Y)
				}
				if k.At[i].X == k.At[i+1].X {
					steps++
					if got := math.Abs(k.At[i].Y - k.At[i+1].Y); math.Abs(got-13.79) > 0.01 { // 2 psi
						t.Errorf("a step of %g kPa", got)
					}
				}
			}
			if steps != 1 {
				t.Errorf("%d steps", steps)
			}
		}
		for _, s := range drawn.Rings[0].Spots {
			i, _ := a.layout.Find(s.ID)
			if want := float64((r.Out[0] - r.Out[i]) / units.Kilopascal); math.Abs(s.At.Y-want) > 0.01 {
				t.Errorf("%s loses %g kPa, want %g", s.ID, s.At.Y, want)
			}
		}
	}
}
