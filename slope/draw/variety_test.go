package draw_test

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// variety are drawings that among them use all that a drawing may have: papers, metric and figures, every
// style and shape, headings, shaded areas, measured distances, rings in rows, lists, sheets of parts, heights
// that are left out, values below nought.
func variety() map[string]func() ([]draw.Sheet, error) {
	title := draw.Title{Job: "Potting shed, a job with a name that is too long for one line of its block",
		Drawing: "Plan of the drains", Fields: []draw.Field{
			{Name: "Code", Value: "IPC 2021"}, {Name: "Datum", Value: "finished floor at 100.00 ft"},
			{Name: "Remark", Value: "one that runs on and on over more lines than the block has for it, so that the " +
				"end of it is cut off where the fourth line would have begun, and there is a good deal more of it to say"},
			{Name: "Sheet", Value: "as listed"}, {Name: "Drawn", Value: "1"}, {Name: "Checked", Value: "2"},
			{Name: "Issue", Value: "3"}, {Name: "Revision", Value: "4"}, {Name: "Place", Value: "5"},
			{Name: "Owner", Value: "6"}, {Name: "Permit", Value: "7"}}}
	random := func(seed uint64, n int) *draw.Scene { return tree(rand.New(rand.NewPCG(seed, 3)), n) }
	plan, isometric := draw.Plan, draw.Isometric
	return map[string]func() ([]draw.Sheet, error){
		"plan, metric": func() ([]draw.Sheet, error) {
			return plan(random(1, 25), draw.Options{Metric: true, Title: title})
		},
		"plan, figure": func() ([]draw.Sheet, error) {
			return plan(random(2, 8), draw.Options{Figure: true, Title: title})
		},
		"plan, A3": func() ([]draw.Sheet, error) {
			return plan(random(3, 40), draw.Options{Paper: draw.A3, Title: title})
		},
		"plan, parts": func() ([]draw.Sheet, error) {
			return plan(random(4, 300), draw.Options{Metric: true, Paper: draw.A4, Prefix: "p-", Title: title})
		},
		"plan, everything": func() ([]draw.Sheet, error) { return plan(everything(), draw.Options{Title: title}) },
		"isometric, everything": func() ([]draw.Sheet, error) {
			return isometric(everything(), draw.Options{Metric: true, Title: title})
		},
		"isometric, parts": func() ([]draw.Sheet, error) {
			return isometric(random(5, 250), draw.Options{Paper: draw.Letter, Title: title})
		},
		"isometric, schematic": func() ([]draw.Sheet, error) {
			sc := random(6, 20)
			sc.Schematic = true
			return isometric(sc, draw.Options{Title: title})
		},
		"plan, crowded": func() ([]draw.Sheet, error) {
			return plan(crowded(), draw.Options{Paper: draw.Letter, Title: title})
		},
		"profile, steep": func() ([]draw.Sheet, error) {
			return draw.Profile(longDrain(12), draw.Options{Exaggerate: 5, Title: title})
		},
		"profile, metric": func() ([]draw.Sheet, error) {
			return draw.Profile(longDrain(70), draw.Options{Metric: true, Exaggerate: 20, Title: title})
		},
		"profile, heights left out": func() ([]draw.Sheet, error) {
			return draw.Profile(deepSewer(), draw.Options{Title: title})
		},
		"profile, heights left out, metric": func() ([]draw.Sheet, error) {
			return draw.Profile(deepSewer(), draw.Options{Metric: true, Title: title})
		},
		"graph": func() ([]draw.Sheet, error) {
			return draw.Graph(suctionChart(), draw.Options{Metric: true, Title: title})
		},
		"graph, bars over sheets": func() ([]draw.Sheet, error) {
			return draw.Graph(pressureChart(90), draw.Options{Figure: true, Title: title})
		},
	}
}

// everything is a scene with a line of each style, a mark of each shape, and one of all else.
func everything() *draw.Scene {
	ft := func(x, y, z units.Length) draw.Point {
		return draw.Point{X: x * units.Foot, Y: y * units.Foot, Z: z * units.Foot}
	}
	north := 30.0
	sc := &draw.Scene{North: &north, Beam: &draw.Heading{Degrees: 200, Name: "beam"}, Remarks: []string{
		"A remark that is long enough to be broken over more than one line of the column beside the drawing.", "Short."},
		Names: map[string]string{"drain.1": "storm drain", "drain.2": "grease drain", "guide": "grid line",
			"joint": "joint of two lengths, called so in words that take more than one line of the key"}}
	for st := draw.Drain; st <= draw.Dimension; st++ {
		y := units.Length(st) * 4
		line := draw.Line{ID: "line " + st.Key(), Style: st, Set: int(st) % 4, Arrow: st%2 == 0,
			Path: []draw.Point{ft(0, y, 0), ft(9, y+2, 0), ft(20, y, 1)}, Label: []string{st.Key(), "second line"}}
		sc.Lines = append(sc.Lines, line)
	}
	sc.Lines = append(sc.Lines,
		draw.Line{ID: "measured", Style: draw.Dimension, Path: []draw.Point{ft(0, 0, 0), ft(9, 2, 0)}, Label: []string{"9'-3\""}},
		draw.Line{ID: "second", Style: draw.Drain, Set: 1, Path: []draw.Point{ft(-6, 0, 0), ft(-6, 30, 0)}},
		draw.Line{ID: "third", Style: draw.Drain, Set: 2, Path: []draw.Point{ft(-9, 0, 0), ft(-9, 30, 0)}},
		draw.Line{ID: "up", Style: draw.Vent, Path: []draw.Point{ft(3, 3, 0), ft(3, 3, 8)}},
		draw.Line{ID: "up beside it", Style: draw.Vent, Path: []draw.Point{ft(7, 7, 0), ft(7, 7, 8)}})
	for sh := draw.Joint; sh <= draw.Cap; sh++ {
		m := draw.Mark{ID: "mark " + sh.Key(), Shape: sh, At: ft(28, units.Length(sh)*5, 0), Label: []string{sh.Key()}}
		if sh%3 == 0 {
			to := ft(34, units.Length(sh)*5-6, 0)
			m.Toward = &to
		}
		sc.Marks = append(sc.Marks, m)
	}
	at := ft(40, 20, 0)
	sc.Marks = append(sc.Marks, draw.Mark{ID: "sink", At: at, Shape: draw.Fixture, Label: []string{"S1", "sink"}},
		draw.Mark{ID: "its vent", At: at, Shape: draw.TakeOff, Label: []string{"V1"}})
	sc.Areas = []draw.Area{{ID: "pad", Path: []draw.Point{ft(36, 0, 0), ft(44, 0, 0), ft(44, 8, 0), ft(36, 8, 0)}}}
	for i := range 7 { // two rows of rings, one of them with a second place
		n := draw.Note{Key: fmt.Sprint(9 + 100*i), Bad: i%2 == 0, Text: fmt.Sprintf("Finding %d at the sink.", i),
			Link:   fmt.Sprint("#", i),
			Places: []draw.Place{{ID: fmt.Sprint("ring", i), At: at}, {ID: fmt.Sprint("again", i), At: at}}}
		if i == 3 {
			n.Places[1].At = ft(0, 60, 0)
		}
		sc.Notes = append(sc.Notes, n)
	}
	return sc
}

// crowded is a place with so many marks about it that not all their labels find room.
func crowded() *draw.Scene {
	sc := new(draw.Scene)
	for i := range 240 {
		at := draw.Point{X: units.Length(i%16) * units.Foot / 4, Y: units.Length(i/16) * units.Foot / 4}
		id := fmt.Sprint("M", i)
		sc.Marks = append(sc.Marks, draw.Mark{ID: id, At: at, Shape: draw.Fixture,
			Label: []string{id, "floor drain of the hall"}})
		sc.Notes = append(sc.Notes, draw.Note{Key: fmt.Sprint(i + 1), Text: "Finding at " + id + ".",
			Places: []draw.Place{{ID: "ring " + id, At: at}}})
	}
	sc.Lines = append(sc.Lines, draw.Line{ID: "far", Path: []draw.Point{{}, {X: 900 * units.Foot, Y: 600 * units.Foot}}})
	return sc
}

// deepSewer is a drain near the floor and a sewer 60 ft below it, joined by nothing that is drawn.
func deepSewer() *draw.Section {
	at := func(x, z units.Length) draw.Point { return draw.Point{X: x * units.Foot, Z: z * units.Foot} }
	sec := &draw.Section{Stations: []units.Length{0, 20 * units.Foot, 24 * units.Foot, 40 * units.Foot},
		Rows: []draw.Row{{Name: "invert", Cells: []string{"98.00", "98.40", "98.48", "98.80"}}}}
	sec.Areas = []draw.Area{{ID: "slab", Path: []draw.Point{at(0, 100), at(40, 100), at(40, 101), at(0, 101)}}}
	sec.Lines = []draw.Line{
		{ID: "drain", Path: []draw.Point{at(40, 99), at(0, 98)}, Label: []string{"4\" drain"}},
		{ID: "sewer", Path: []draw.Point{at(40, 37), at(0, 36)}, Label: []string{"8\" sewer"}},
	}
	sec.Marks = []draw.Mark{{ID: "OUT", At: at(0, 36), Shape: draw.Outlet, Label: []string{"OUT"}}}
	sec.Notes = []draw.Note{{Key: "1", Text: "Deep.", Places: []draw.Place{{ID: "deep", At: at(20, 36)}}}}
	return sec
}

// suctionChart has values below nought on both axes and bars that are not needed, bad, or below nought.
func suctionChart() *draw.Chart {
	return &draw.Chart{X: draw.Axis{Name: "length, m"}, Y: draw.Axis{Name: "pressure, kPa"}, BarHead: "Left over",
		Remarks: []string{"Below nought: suction."},
		Curves:  []draw.Curve{{ID: "c", Style: draw.Needed, At: []draw.XY{{-3, -7.5}, {0, 12}, {4.5, 3}}, Label: "needed"}},
		Spots:   []draw.Spot{{ID: "s", At: draw.XY{6, 14}, Shape: draw.Tick, Label: []string{"pump"}}},
		Bars: []draw.Bar{{ID: "a", Label: "pump", Text: "14", Value: 14},
			{ID: "b", Label: "sink", Text: "-2", Value: -2, Need: 10, Bad: true},
			{ID: "d", Label: "tub", Text: "5", Value: 5, Need: 4}}}
}

// TestVariety: every sheet of the variety can be read, has what was given, and has the bytes it had.
func TestVariety(t *testing.T) {
	want := map[string]string{ // how many sheets, and the sum of their bytes
		"graph":                             "1 63bd878e7834",
		"graph, bars over sheets":           "5 1ea9e0395e29",
		"isometric, everything":             "1 9adf7756b9e1",
		"isometric, parts":                  "29 552c55ab0a3e",
		"isometric, schematic":              "1 31d0beeb9f43",
		"plan, A3":                          "1 b93f4fc7458c",
		"plan, crowded":                     "5 02ba03eeee75",
		"plan, everything":                  "2 d3e7df6a4385",
		"plan, figure":                      "1 138c810895c5",
		"plan, metric":                      "1 ad3265e742cd",
		"plan, parts":                       "56 4425bea71bdc",
		"profile, heights left out":         "1 c3fedce474ed",
		"profile, heights left out, metric": "1 b91e87485371",
		"profile, metric":                   "2 2a7db785a536",
		"profile, steep":                    "1 a3126b6a7d6a",
	}
	for name, make := range variety() {
		sheets, err := make()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		sum := sha256.New()
		for _, s := range sheets {
			legible.Check(t, name+", sheet "+s.Name, s.SVG)
			sum.Write(s.SVG)
		}
		if got := fmt.Sprintf("%d %x", len(sheets), sum.Sum(nil)[:6]); got != want[name] {
			t.Errorf("%s: sheets and sum are %q, were %q: look at them, and say so in CHANGELOG.md if that is meant",
				name, got, want[name])
		}
	}
}
