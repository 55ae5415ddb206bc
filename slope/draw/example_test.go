package draw_test

import (
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// A 3 in drain of 24 ft at 2 %, under a slab, drawn from the side.
func ExampleProfile() {
	ft := units.MustParse[units.Length]
	at := func(station, height string) draw.Point { return draw.Point{X: ft(station), Z: ft(height)} }
	section := &draw.Section{
		Scene: draw.Scene{
			Lines: []draw.Line{
				{ID: "floor", Style: draw.Concrete, Path: []draw.Point{at("0 ft", "100 ft"), at("24 ft", "100 ft")},
					Label: []string{"finished floor"}},
				{
					ID:    "B",
					Style: draw.Drain,
					Path:  []draw.Point{at("24 ft", "98.48 ft"), at("14 ft", "98.28 ft")},
					Arrow: true,
					Label: []string{`3" @ 2 %`},
				},
				{
					ID:    "A",
					Style: draw.Drain,
					Path:  []draw.Point{at("14 ft", "98.28 ft"), at("0 ft", "98 ft")},
					Arrow: true,
					Label: []string{`3" @ 2 %`},
				},
			},
			Marks: []draw.Mark{
				{ID: "OUT", Shape: draw.Outlet, At: at("0 ft", "98 ft"), Label: []string{"OUT", "sewer"}},
				{ID: "B", Shape: draw.Cleanout, At: at("24 ft", "98.48 ft"), Label: []string{"B"},
					Tip: "B: cleanout at the upper end"},
			},
			Notes: []draw.Note{{Key: "1", Bad: true, Text: "Cover at A is too small",
				Places: []draw.Place{{ID: "cover@A", At: at("14 ft", "98.28 ft")}}}},
		},
		Stations: []units.Length{ft("0 ft"), ft("14 ft"), ft("24 ft")},
		Rows: []draw.Row{
			{Name: "invert, ft", Cells: []string{"98.00", "98.28", "98.48"}},
			{Name: "below floor", Cells: []string{`2'-0"`, `1'-8 5/8"`, `1'-6 1/4"`}},
			{Name: "as built"}, // to fill in by hand
		},
	}
	sheets, err := draw.Profile(section, draw.Options{Title: draw.Title{Job: "Potting shed",
		Drawing: "Profile of the drain"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	svg := string(sheets[0].SVG)
	fmt.Println(len(sheets), "sheet;", sheets[0].Unplaced, "labels without room")
	fmt.Println("a link to #B finds the run:",
		strings.Contains(svg, `<g id="B"><title>B: cleanout at the upper end</title>`))
	// Output:
	// 1 sheet; 0 labels without room
	// a link to #B finds the run: true
}

// Two closets on one drain, seen from above, with a finding at one of them.
func ExamplePlan() {
	ft := units.MustParse[units.Length]
	at := func(x, y string) draw.Point { return draw.Point{X: ft(x), Y: ft(y)} }
	run := func(id string, from, to draw.Point, tag string) draw.Line {
		return draw.Line{ID: id, Path: []draw.Point{from, to}, Arrow: true, Label: []string{tag}}
	}
	scene := &draw.Scene{
		Lines: []draw.Line{
			run("WC1", at("4 ft", "6 ft"), at("4 ft", "0 ft"), `3" @ 1/4 in/ft, 6'-0"`),
			run("WC2", at("12 ft", "6 ft"), at("12 ft", "0 ft"), `3" @ 1/4 in/ft, 6'-0"`),
			run("A", at("4 ft", "0 ft"), at("12 ft", "0 ft"), `4" @ 1/8 in/ft, 8'-0"`),
			run("B", at("12 ft", "0 ft"), at("24 ft", "0 ft"), `4" @ 1/8 in/ft, 12'-0"`),
		},
		Marks: []draw.Mark{
			{ID: "WC1", At: at("4 ft", "6 ft"), Shape: draw.Fixture, Label: []string{"WC1", "water closet"}},
			{ID: "WC2", At: at("12 ft", "6 ft"), Shape: draw.Fixture, Label: []string{"WC2", "water closet"}},
			{ID: "OUT", At: at("24 ft", "0 ft"), Shape: draw.Outlet, Label: []string{"OUT", "98.00"}},
		},
	}
	left := scene.Attach([]draw.Note{
		{Key: "1", Text: "WC2: where is its vent?", Places: []draw.Place{{ID: "vent@WC2", On: "WC2"}}},
		{Key: "2", Text: "WC9 is not on this floor", Places: []draw.Place{{ID: "vent@WC9", On: "WC9"}}},
	})
	sheets, err := draw.Plan(scene, draw.Options{Prefix: "plan.", Title: draw.Title{Job: "Village hall"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	anchor, ok := sheets[0].Anchor("vent@WC2")
	fmt.Println(len(sheets), "sheet; the ring is at", anchor, ok)
	fmt.Println("without a place:", left[0].Text)
	// Output:
	// 1 sheet; the ring is at plan.vent@WC2 true
	// without a place: WC9 is not on this floor
}

// A stack that takes a branch on each of two floors. Nothing says where the branches lie
// on plan, so they are set by their order, and the drawing says so.
func ExampleArrange() {
	names := []string{"base", "floor 1", "sink", "floor 2", "basin"}
	parent := []int32{-1, 0, 1, 1, 3}
	step := []units.Length{0, 0, 6 * units.Foot, 0, 4 * units.Foot} // what is vertical stands over its foot
	height := []units.Length{0, 3 * units.Foot, 3 * units.Foot, 13 * units.Foot, 13 * units.Foot}
	place := draw.Arrange(parent, step)
	scene := &draw.Scene{Schematic: true, Remarks: []string{"SCHEMATIC: heights are true, places are not."}}
	for i, name := range names {
		place[i].Z = height[i]
		scene.Marks = append(scene.Marks, draw.Mark{ID: name, At: place[i], Label: []string{name}})
		if p := parent[i]; p >= 0 {
			scene.Lines = append(scene.Lines, draw.Line{ID: name, Path: []draw.Point{place[i], place[p]}})
		}
	}
	sheets, err := draw.Isometric(scene, draw.Options{Title: draw.Title{Job: "Two flats", Drawing: "Stack"}})
	fmt.Println(len(sheets), err)
	fmt.Println("the basin stands", place[4].X.Feet(), "ft from the stack")
	// Output:
	// 1 <nil>
	// the basin stands 4 ft from the stack
}

// Pressure along a service to the closet at its end.
func ExampleGraph() {
	chart := &draw.Chart{
		X: draw.Axis{Name: "developed length, ft"}, Y: draw.Axis{Name: "pressure, psi"},
		Curves: []draw.Curve{
			{ID: "flowing", Style: draw.Pressure, At: []draw.XY{{X: 0, Y: 60}, {X: 40, Y: 56}, {X: 40, Y: 50}, {X: 90, Y: 41}}},
			{ID: "needed", Style: draw.Needed, At: []draw.XY{{X: 80, Y: 35}, {X: 90, Y: 35}}, Label: "needed 35 psi"},
		},
		Spots: []draw.Spot{{ID: "M", At: draw.XY{X: 40, Y: 50}, Shape: draw.Device, Label: []string{"M", "meter: 6 psi"}}},
		Bars:  []draw.Bar{{ID: "WC", Label: "WC", Value: 41, Need: 35, Text: "+6 psi"}}, BarHead: "What is left",
	}
	sheets, err := draw.Graph(chart, draw.Options{Title: draw.Title{Job: "Village hall", Drawing: "Pressure line"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, meter := sheets[0].Anchor("M")
	fmt.Println(len(sheets), "sheet, with the meter:", meter)
	// Output:
	// 1 sheet, with the meter: true
}
