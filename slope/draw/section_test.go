package draw_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// longDrain is a drain of n runs of 5 ft at 2 %, seen from the side.
func longDrain(n int) *draw.Section {
	sec := new(draw.Section)
	at := func(i int, up units.Length) draw.Point {
		return draw.Point{X: units.Length(i) * 5 * units.Foot, Z: 90*units.Foot + units.Length(i)*units.Foot/10 + up}
	}
	sec.Areas = []draw.Area{
		{ID: "thin", Path: []draw.Point{at(0, 0), at(n, 0), at(n, units.Foot), at(0, units.Foot)}},
	}
	rows := []draw.Row{{Name: "station"}, {Name: "invert, ft"}, {Name: "as built"}}
	for i := range n + 1 {
		sec.Stations = append(sec.Stations, at(i, 0).X)
		rows[0].Cells = append(rows[0].Cells, fmt.Sprintf("0+%02d", 5*i))
		rows[1].Cells = append(rows[1].Cells, fmt.Sprintf("%.2f", 90+float64(i)/10))
		if i > 0 {
			id := fmt.Sprint("R", i)
			sec.Lines = append(sec.Lines, draw.Line{ID: id, Path: []draw.Point{at(i, 0), at(i-1, 0)},
				Label: []string{`4" @ 2 %`}})
			sec.Marks = append(sec.Marks, draw.Mark{ID: id, At: at(i, 0), Label: []string{id}})
		}
	}
	sec.Rows = rows
	return sec
}

// TestProfile: a short section stands on one sheet, a long one is cut at stations, and
// every station is in a table once or, where it is cut, twice.
func TestProfile(t *testing.T) {
	for _, n := range []int{1, 8, 25, 120} {
		sec := longDrain(n)
		sheets, err := draw.Profile(sec, draw.Options{Title: draw.Title{Job: "Job", Drawing: "Profile"}})
		if err != nil {
			t.Fatal(err)
		}
		ids := legibleAll(t, sheets)
		for _, l := range sec.Lines {
			if !ids[l.ID] {
				t.Errorf("%d runs: no group %s", n, l.ID)
			}
		}
		all := ""
		for _, s := range sheets {
			all += string(s.SVG)
		}
		for _, station := range sec.Rows[0].Cells {
			if k := strings.Count(all, ">"+station+"<"); k < 1 || k > 2 {
				t.Errorf("%d runs: station %s stands %d times", n, station, k)
			}
		}
		if (n > 30) != (len(sheets) > 1) {
			t.Errorf("%d runs on %d sheets", n, len(sheets))
		}
	}
	bad := longDrain(3)
	bad.Rows[0].Cells = bad.Rows[0].Cells[:2]
	if _, err := draw.Profile(bad, draw.Options{}); !errors.Is(err, draw.ErrInput) {
		t.Errorf("cells missing: %v", err)
	}
	if _, err := draw.Profile(longDrain(3), draw.Options{Exaggerate: -1}); !errors.Is(err, draw.ErrInput) {
		t.Errorf("exaggerated backwards: %v", err)
	}
	for times, refused := range map[int]bool{1000: false, 1001: true} {
		if _, err := draw.Profile(longDrain(3), draw.Options{Exaggerate: times}); errors.Is(err, draw.ErrInput) != refused {
			t.Errorf("exaggerated %d times: %v", times, err)
		}
	}
	bad = longDrain(3)
	bad.Stations[2] = 0
	if _, err := draw.Profile(bad, draw.Options{}); !errors.Is(err, draw.ErrInput) {
		t.Errorf("stations not in order: %v", err)
	}
}

// TestNotesOfCutProfile: of a profile over several sheets each ring stands on the sheet of its station, in
// whatever order the notes come; and a profile that is not to be exaggerated is not. Two stations may be one place.
func TestNotesOfCutProfile(t *testing.T) {
	sec := longDrain(70)
	for i, run := range []int{70, 1, 35} {
		id := fmt.Sprint("R", run)
		sec.Notes = append(sec.Notes, draw.Note{Key: fmt.Sprint(i + 1), Text: "Finding at " + id,
			Places: []draw.Place{{ID: "ring " + id, At: sec.Marks[run-1].At}}})
	}
	sec.Stations[1] = 0
	sheets, err := draw.Profile(sec, draw.Options{Paper: draw.Letter, Exaggerate: 1})
	if err != nil || len(sheets) < 2 {
		t.Fatalf("%d sheets, %v", len(sheets), err)
	}
	for _, id := range []string{"R70", "R1", "R35"} {
		found := 0
		for _, s := range sheets {
			_, ring := s.Anchor("ring " + id)
			if _, run := s.Anchor(id); ring && run {
				found++
			} else if ring {
				t.Errorf("sheet %s has the ring of %s and not the run", s.Name, id)
			}
		}
		if found == 0 {
			t.Errorf("no ring of %s", id)
		}
	}
	if !strings.Contains(string(sheets[0].SVG), "Vertical exaggeration 1:1<") {
		t.Error("drawn higher than it is")
	}
}

// TestSteepness: by hand, 20 ft at 2 % fall 0.4 ft; at 1:64 and twelve times as steep the
// line is 270 points long and falls 64.8.
func TestSteepness(t *testing.T) {
	at := func(x, z units.Length) draw.Point { return draw.Point{X: x, Z: z} }
	sec := &draw.Section{Scene: draw.Scene{Lines: []draw.Line{{ID: "A",
		Path: []draw.Point{at(20*units.Foot, 2*units.Foot/5), at(0, 0)}},
		{Style: draw.Guide, Path: []draw.Point{at(0, 0), at(28*units.Foot, 0)}}}}}
	sheets, err := draw.Profile(sec, draw.Options{Paper: draw.Letter})
	if err != nil {
		t.Fatal(err)
	}
	p := legible.Read(t, sheets[0].SVG)
	found := false
	for _, s := range p.Strokes {
		dx, dy := math.Abs(s.X1-s.X0), math.Abs(s.Y1-s.Y0)
		found = found || math.Abs(dx-270) < 0.02 && math.Abs(dy-64.8) < 0.02
	}
	if !found || !strings.Contains(string(sheets[0].SVG), "(1:64). Vertical exaggeration 12:1") {
		t.Errorf("no line of 270 by 64.8 points at 1:64, 12:1")
	}
}

func pressureChart(bars int) *draw.Chart {
	c := &draw.Chart{X: draw.Axis{Name: "developed length, ft"}, Y: draw.Axis{Name: "pressure, psi"},
		BarHead: "Left over at each fixture",
		Curves: []draw.Curve{
			{
				ID:    "flowing",
				Style: draw.Pressure,
				At:    []draw.XY{{0, 62}, {58, 54.1}, {58, 48}, {90, 40.2}},
				Label: "flowing",
			},
			{ID: "static", Style: draw.Static, At: []draw.XY{{0, 76}, {90, 74.3}}, Label: "static"},
		},
		Spots: []draw.Spot{{ID: "C1", At: draw.XY{58, 48}, Shape: draw.Device, Label: []string{"C1", "meter"}}}}
	for i := range bars {
		c.Bars = append(c.Bars, draw.Bar{ID: fmt.Sprint("F", i), Label: fmt.Sprint("F", i, " water closet"),
			Text: "+6.8 psi", Value: 31.8, Need: 25, Bad: i == 1})
	}
	return c
}

func TestGraph(t *testing.T) {
	for _, bars := range []int{0, 3, 200} {
		c := pressureChart(bars)
		sheets, err := draw.Graph(c, draw.Options{Title: draw.Title{Job: "Job", Drawing: "Pressure line"}})
		if err != nil {
			t.Fatal(err)
		}
		ids := legibleAll(t, sheets)
		for _, want := range []string{"flowing", "static", "C1"} {
			if !ids[want] {
				t.Errorf("no group %s", want)
			}
		}
		for _, b := range c.Bars {
			if !ids[b.ID] {
				t.Errorf("%d bars: no group %s", bars, b.ID)
			}
		}
	}
	for name, bad := range map[string]*draw.Chart{
		"one point": {Curves: []draw.Curve{{At: []draw.XY{{}}}}},
		"not one":   {Curves: []draw.Curve{{At: []draw.XY{{}, {math.NaN(), 1}}}}},
		"infinite":  {Spots: []draw.Spot{{At: draw.XY{math.Inf(1), 0}}}},
		"bar":       {Bars: []draw.Bar{{Value: 1e300}}},
		"no shape":  {Spots: []draw.Spot{{Shape: draw.Cap + 1}}},
		"no style":  {Curves: []draw.Curve{{At: make([]draw.XY, 2), Style: draw.Dimension + 1}}},
	} {
		if _, err := draw.Graph(bad, draw.Options{}); !errors.Is(err, draw.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
