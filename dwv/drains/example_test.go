package drains_test

import (
	"context"
	"fmt"
	"log"
	"strings"
	"time"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A layout is read from JSON, sized under a code and checked; every finding says
// what was compared and which row decided.
func ExampleParse() {
	text := `{
	 "finished_floor": "100 ft", "slab": "5 in", "bedding": "4 in",
	 "systems": [{"id": "soil", "kind": "soil",
	  "outlet": {"id": "street", "kind": "sewer", "invert": "97 ft", "size": "4 in"},
	  "points": [
	   {"id": "main", "to": "street", "run": {"length": "9 ft", "grade": "1/4 in/ft"}, "cleanout": {"main": true, "two_way": true}},
	   {"id": "stub", "to": "main", "run": {"length": "6 ft", "grade": "1/4 in/ft"}},
	   {"id": "closet", "to": "stub", "run": {"length": "2 ft", "grade": "1/4 in/ft", "size": "4 in", "closet_bend": true},
	    "fixture": {"fixture": "water-closet", "use": "private", "flush": "1.6 gal"}}
	  ]}],
	 "vents": [{"id": "v", "kind": "individual", "from": "stub", "size": "2 in",
	  "runs": [{"length": "14 ft", "direction": "up"}], "terminal": {"above_roof": "12 in"}}]
	}`
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := drains.Parse("cabin.json", []byte(text), code)
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for i := range sizing.Len() {
		r := sizing.At(i)
		fmt.Printf("%s: %v on %v, by %v\n", r.Point, r.Load, r.Size, r.Decided)
	}
	findings, err := sizing.Check(drains.CheckOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Rule == "trap-arm-length" || f.Rule == "size-reduction" || f.Verdict == tables.Fail {
			fmt.Println(f)
		}
	}
	// Output:
	// main: 3 dfu on 4", by main cleanout
	// stub: 3 dfu on 3", by water closets
	// closet: 3 dfu on 4", by water closets
	// pass size-reduction at closet: 3", limit 3": The closet bend at closet shrinks from 4" to 3", which is no reduction. [International Plumbing Code 2021, 704.2: outlet of the closet connection that may shrink: no reduction]
	// pass trap-arm-length at closet: 2'-0": The trap arm at closet is 2'-0" to its vent; the code sets no limit for this fixture. [International Plumbing Code 2021, 909.1 exception: developed length from the weir of a self-siphoning fixture, such as a water closet, to its vent]
}

// All faults of a layout come back together, each with its place.
func ExampleTally() {
	text := `{"finished_floor": "100 ft", "slab": "5 in", "bedding": "4 in",
	 "systems": [{"id": "soil", "kind": "soil", "outlet": {"id": "street", "kind": "sewer", "invert": "97 ft", "size": "4 in"},
	  "points": [
	   {"id": "main", "to": "street", "run": {"length": "9 ft", "grade": "1/4 in/ft"}, "cleanout": {"main": true, "two_way": true}},
	   {"id": "far", "to": "main", "run": {"length": "40 ft", "grade": "1/4 in/ft"}}]}]}`
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := drains.Parse("yard.json", []byte(text), code)
	if err != nil {
		log.Fatal(err)
	}
	var passes tables.Tally
	sizing, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	if _, err := sizing.Check(drains.CheckOptions{Tally: &passes}); err != nil {
		log.Fatal(err)
	}
	for _, p := range passes.Rules() {
		if p.Rule == "drain-cover" {
			fmt.Printf("%s passes at %s; least margin %v at %s\n", p.Rule, strings.Join(p.Places, " "), p.Least.Margin,
				p.Least.Place)
		}
	}
	// Output:
	// drain-cover passes at far main; least margin 1'-4" at far
}

func ExampleParse_faults() {
	_, err := drains.Parse("hall.json", []byte(`{
 "finished_floor": "100 ft",
 "systems": [{"id": "soil", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "97 ft"}, "points": [
  {"id": "W1", "to": "O", "run": {"length": "-4 ft", "grade": "2%"}},
  {"id": "W2", "to": "W9", "run": {"length": "4 ft"}}]}]}`))
	fmt.Println(err)
	// Output:
	// hall.json:4:45: point "W1": length: -4'-0" is negative
	// hall.json:5:3: point "W2": grade: missing or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft
	// hall.json:5:22: point "W2": to: no point or outlet "W9"
}

// Elevations follow from the outlet, the grades and the bores of the pipes.
func ExampleSizing_Levels() {
	layout, err := drains.New(drains.Data{
		FinishedFloor: 100 * units.Foot, Slab: 5 * units.Inch, Bedding: 4 * units.Inch,
		Systems: []drains.System{{
			ID: "waste", Kind: drains.Waste,
			Outlet: drains.Outlet{ID: "O", Kind: drains.ToDrain, Invert: 97 * units.Foot},
			Points: []drains.Point{
				{ID: "A", To: "O", Run: drains.Run{Length: 24 * units.Foot, Grade: slope.PerFoot(units.Inch / 4),
					Size: 3 * units.Inch, Material: "pvc-dwv"}},
			},
		}},
	})
	if err != nil {
		log.Fatal(err)
	}
	code, err := dwv.LoadCode(tables.Embedded(), "upc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	a := sizing.Levels().At(0)
	fmt.Println("invert", a.Lower.Invert, "to", a.Upper.Invert)
	fmt.Println("depth below floor", a.Upper.InvertDepth)
	fmt.Printf("trench bottom %.3f ft\n", a.Upper.TrenchBottom.Feet())
	// Output:
	// invert 97'-0" to 97'-6"
	// depth below floor 2'-6"
	// trench bottom 97.149 ft
}

// Where points and outlets have plan coordinates, pipes that cross are held apart.
func ExampleSizing_Check_crossing() {
	text := `{
	 "finished_floor": "100 ft", "minimum_clearance": "1 in",
	 "systems": [
	  {"id": "soil", "kind": "soil", "outlet": {"id": "street", "kind": "sewer", "invert": "96 ft", "at": {"x": "0 ft", "y": "0 ft"}},
	   "points": [{"id": "S1", "to": "street", "at": {"x": "20 ft", "y": "0 ft"}, "run": {"length": "20 ft", "grade": "1/4 in/ft", "size": "4 in", "material": "pvc-dwv"}}]},
	  {"id": "waste", "kind": "waste", "outlet": {"id": "drain", "kind": "drain", "invert": "96 ft 5 in", "at": {"x": "10 ft", "y": "-10 ft"}},
	   "points": [{"id": "W1", "to": "drain", "at": {"x": "10 ft", "y": "10 ft"}, "run": {"length": "20 ft", "grade": "1/4 in/ft", "size": "2 in", "material": "pvc-dwv"}}]}
	 ]
	}`
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := drains.Parse("yard.json", []byte(text), code)
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	findings, err := sizing.Check(drains.CheckOptions{ProblemsOnly: true})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Rule == "drain-crossing" {
			fmt.Println(f)
		}
	}
	// Output:
	// fail drain-crossing at W1: 9/16", limit 1": The 2" pipe from W1 crosses over the 4" pipe from S1 with 9/16" clear between them; at least 1".
}

// A layout is put together in Go, sized, edited and sized again.
func ExampleNew() {
	data := drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
			Points: []drains.Point{{ID: "sink", To: "street",
				Run:     drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
				Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
		}},
	}
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	for _, count := range []int{1, 20} {
		data.Systems[0].Points[0].Fixture.Count = count
		layout, err := drains.New(data, code)
		if err != nil {
			log.Fatal(err)
		}
		sizing, err := layout.Size(code, drains.Options{})
		if err != nil {
			log.Fatal(err)
		}
		for _, run := range sizing.All() {
			fmt.Printf("%s: %v on %v\n", run.Point, run.Load, run.Size)
		}
	}
	// Output:
	// sink: 2 dfu on 1 1/2"
	// sink: 40 dfu on 3"
}

// A layout is edited as data, made and sized again; the two results are set side by side.
func ExampleSizing_Diff() {
	text := `{
	 "finished_floor": "100 ft", "slab": "5 in", "bedding": "4 in",
	 "systems": [{"id": "soil", "kind": "soil",
	  "outlet": {"id": "street", "kind": "sewer", "invert": "97 ft", "size": "4 in"},
	  "points": [
	   {"id": "main", "to": "street", "run": {"length": "9 ft", "grade": "1/4 in/ft"}, "cleanout": {"main": true, "two_way": true}},
	   {"id": "stub", "to": "main", "run": {"length": "6 ft", "grade": "1/4 in/ft"}},
	   {"id": "closet", "to": "stub", "run": {"length": "2 ft", "grade": "1/4 in/ft", "size": "3 in"},
	    "fixture": {"fixture": "water-closet", "use": "private", "flush": "1.6 gal"}}
	  ]}]
	}`
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := drains.Parse("cabin.json", []byte(text), code)
	if err != nil {
		log.Fatal(err)
	}
	before, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}

	data := layout.Data()
	points := data.Systems[0].Points
	points[1].Run.Length = 10 * units.Foot // the closet moves away
	points[2].Run.Size = 2 * units.Inch    // and its drain is drawn too small
	edited, err := drains.New(data, code)
	if err != nil {
		log.Fatal(err)
	}
	after, err := edited.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	diff, err := before.Diff(after, drains.CheckOptions{ProblemsOnly: true})
	if err != nil {
		log.Fatal(err)
	}
	for _, x := range diff.Items {
		fmt.Println(x)
	}
	for _, f := range diff.Findings {
		if f.Change == tables.Came && f.Is.Verdict == tables.Fail {
			fmt.Println(f.ID, f.Change)
		}
	}
	// Output:
	// run stub altered: length 10'-0", was 6'-0"; invert 97'-5 1/4", was 97'-4 1/4"
	// run closet altered: size 2", was 3"; invert 97'-6 1/4", was 97'-4 3/4"
	// drain-closets/closet came
}

// How high may the outlet lie, and what is to be done about what fails?
func ExampleSizing_Fixes() {
	quarter := slope.PerFoot(units.Inch / 4)
	layout, err := drains.New(drains.Data{
		FinishedFloor: 100 * units.Foot, Slab: 5 * units.Inch, MinimumCover: units.Inch,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 98 * units.Foot},
			Points: []drains.Point{
				{ID: "main", To: "street", Run: drains.Run{Length: 30 * units.Foot, Grade: quarter},
					Cleanout: &drains.Cleanout{Main: true}},
				{ID: "shower", To: "main", Run: drains.Run{Length: 12 * units.Foot, Grade: quarter},
					Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Private}},
			},
		}},
		Vents: []drains.Vent{{ID: "V", Kind: drains.VentIndividual, From: "main", Terminal: &drains.Terminal{},
			Runs: []drains.VentRun{{Length: 14 * units.Foot, Direction: drains.VentUp}}}},
	})
	if err != nil {
		log.Fatal(err)
	}
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	ctx := context.Background()
	limit, err := sizing.Limit(ctx, drains.HighestOutlet, "soil", drains.FitOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("the outlet may lie at %v, %v below the floor\n", limit.Length, limit.Depth)
	fixes, err := sizing.Fixes(ctx, drains.FitOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range fixes {
		for _, way := range f.Ways {
			fmt.Println(f.Finding.Rule, "at", f.Finding.Place+":", way.Do)
		}
	}
	// Output:
	// the outlet may lie at 98'-6", 1'-6" below the floor
	// trap-arm-length at shower: Take the vent V off 6'-0" nearer to shower, on the run from shower to main.
	// trap-arm-length at shower: Vent the trap of shower from the run from shower to main, 6'-0" from shower, straight up through the roof (as high as the vent V).
	// trap-arm-fall at shower: Take the vent V off 6'-0" nearer to shower, on the run from shower to main.
	// cleanout-junction at street: Set a cleanout on the run from main to street, 20'-0" from main.
}

// A program that has no more time for a layout than so much, or whose user may call it off.
func ExampleLayout_SizeContext() {
	layout, err := drains.New(drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 98 * units.Foot},
			Points: []drains.Point{{ID: "main", To: "street", Run: drains.Run{Length: 30 * units.Foot,
				Grade: slope.PerFoot(units.Inch / 4)}}},
		}},
	})
	if err != nil {
		log.Fatal(err)
	}
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	sizing, err := layout.SizeContext(ctx, code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("runs:", sizing.Len())
	stop() // called off before the next layout
	_, err = layout.SizeContext(ctx, code, drains.Options{})
	fmt.Println(err)
	// Output:
	// runs: 1
	// size: stopped in system 1 of 1: context canceled
}

// The lists of a form for vents.
func ExampleChoices() {
	for _, kind := range drains.Choices[drains.ValveType]() {
		fmt.Printf("<option value=%q>%s</option>\n", kind.ID, kind.Label)
	}
	// Output:
	// <option value="branch">Branch</option>
	// <option value="stack">Stack</option>
}
