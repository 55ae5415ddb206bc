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
