package drains_test

import (
	"context"
	"fmt"
	"log"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// sink is a kitchen sink 10 ft from the street.
func sink() *drains.Sizing {
	layout, err := drains.New(drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
			Points: []drains.Point{{ID: "sink", To: "street",
				Run:     drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4), Material: "pvc-dwv"},
				Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
		}},
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
	return sizing
}

// What to order: pipe as laid and with its waste.
func ExampleSizing_TakeOff() {
	list, err := sink().TakeOff(drains.TakeOffOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range list.Pipe {
		fmt.Printf("%s %v: %v\n", p.Material, p.Size, p.Net)
	}
	// Output:
	// pvc-dwv 1 1/2": 10'-0"
}

// The water test: how high the water stands, and what it presses at the lowest point.
func ExampleSizing_TestPlans() {
	plans, err := sink().TestPlans(drains.TestOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range plans {
		fmt.Printf("%s: %v of water over %s, held %.0f min\n", p.System, p.Head, p.Highest, p.Hold.In(units.Minute))
	}
	// Output:
	// soil: 10'-0" of water over sink, held 15 min
}

// bathroom is a closet and a lavatory on one drain, drawn without a vent or a cleanout and at
// half the fall that a 3 in drain has at least.
func bathroom() *drains.Layout {
	layout, err := drains.New(drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
			Points: []drains.Point{
				{ID: "drain", To: "street", Run: drains.Run{Length: 20 * units.Foot, Grade: slope.PerFoot(units.Inch / 16)}},
				{ID: "closet", To: "drain", Run: drains.Run{Length: 4 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
					Fixture: &tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}},
				{ID: "lavatory", To: "drain", Run: drains.Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
					Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}},
			},
		}},
	})
	if err != nil {
		log.Fatal(err)
	}
	return layout
}

// Loads and sizes of every run.
func ExampleLayout_Size() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := bathroom().Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, run := range sizing.All() {
		fmt.Printf("%s to %s: %v on %v\n", run.Point, run.To, run.Load, run.Size)
	}
	// Output:
	// drain to street: 4 dfu on 3"
	// closet to drain: 3 dfu on 3"
	// lavatory to drain: 1 dfu on 1 1/4"
}

// What fails, with the rule that says so.
func ExampleSizing_Check() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := bathroom().Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	findings, err := sizing.Check(drains.CheckOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Verdict == tables.Fail {
			fmt.Println(f)
		}
	}
	// Output:
	// fail drain-grade at drain: 1/16 in/ft, limit 1/8 in/ft: The run at drain falls 1/16 in/ft; at least 1/8 in/ft: 50 % too flat. [International Plumbing Code 2021, Table 704.1: part drain, size from 3 in]
	// fail trap-vented at closet: The trap of closet reaches the outlet without meeting a vent of its own. [International Plumbing Code 2021, Table 909.1: size 3 in]
	// fail trap-vented at lavatory: The trap of lavatory reaches the outlet without meeting a vent of its own. [International Plumbing Code 2021, Table 909.1: size 1.25 in]
	// fail cleanout-junction at street: No cleanout stands on the building drain within 10'-0" upstream of its junction with the sewer at street. [International Plumbing Code 2021, 708.1.3: cleanout at the junction of drain and sewer, or upstream within]
}

// Three kitchen sinks and three lavatories of dwellings, by EN 12056-2: 3 x 0.8 + 3 x 0.5 =
// 3.9 discharge units, of which 0.5 x root 3.9 = 0.99 L/s is likely. The branch of the sinks
// carries what one of them sends, 0.8 L/s, which is more than 0.5 x root 2.4.
func ExampleLayout_SizeEuropean() {
	grade := slope.OneIn(50)
	layout, err := drains.New(drains.Data{
		Systems: []drains.System{{
			ID: "waste", Kind: drains.Waste,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: -units.Metre},
			Points: []drains.Point{
				{ID: "drain", To: "street", Run: drains.Run{Length: 5 * units.Metre, Grade: grade}},
				{ID: "sinks", To: "drain", Run: drains.Run{Length: units.Metre, Grade: grade},
					Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 3, Use: tables.Private}},
				{ID: "lavatories", To: "drain", Run: drains.Run{Length: units.Metre, Grade: grade},
					Fixture: &tables.Fixture{Kind: "lavatory", Count: 3, Use: tables.Private}},
			},
		}},
	})
	if err != nil {
		log.Fatal(err)
	}
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.SizeEuropean(standard, drains.EuropeanOptions{System: "I", Usage: "intermittent", Filling: 0.5})
	if err != nil {
		log.Fatal(err)
	}
	for _, run := range sizing.European() {
		fmt.Printf("%s: %v, %.2f L/s, DN %.0f\n", run.Point, run.Sum, run.Flow.In(units.LitrePerSecond), run.Required.Millimetres())
	}
	// Output:
	// drain: 3.9 du, 0.99 L/s, DN 100
	// sinks: 2.4 du, 0.80 L/s, DN 50
	// lavatories: 1.5 du, 0.61 L/s, DN 50
}

// How far the job can go: the highest outlet, and the farthest that the sink can stand.
func ExampleSizing_Limit() {
	for _, ask := range []struct {
		kind  drains.LimitKind
		place string
	}{{drains.HighestOutlet, "soil"}, {drains.FarthestPoint, "sink"}} {
		limit, err := sink().Limit(context.Background(), ask.kind, ask.place, drains.FitOptions{})
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%s of %s: %v, now %v\n", limit.Kind, limit.Place, limit.Length, limit.Now)
		for _, f := range limit.Binds {
			fmt.Println("  then", f.Rule, "fails at", f.Place)
		}
	}
	// Output:
	// highest-outlet of soil: 99'-7 11/16", now 97'-0"
	//   then gravity-depth fails at soil
	//   then drain-cover fails at sink
	// farthest-point of sink: 100'-0", now 10'-0"
	//   then cleanout-spacing fails at street
}

// What puts right what fails, one change after the other, each tried.
func ExampleSizing_FixAll() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := bathroom().Size(code, drains.Options{})
	if err != nil {
		log.Fatal(err)
	}
	changes, after, err := sizing.FixAll(context.Background(), drains.FitOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, way := range changes {
		fmt.Println(way.Do)
	}
	findings, err := after.Check(drains.CheckOptions{ProblemsOnly: true})
	if err != nil {
		log.Fatal(err)
	}
	fails := 0
	for _, f := range findings {
		if f.Verdict == tables.Fail {
			fails++
		}
	}
	fmt.Println(fails, "fail after that")
	// Output:
	// Lay drain to street at 1/8 in/ft.
	// Vent the trap of closet from closet straight up through the roof (the roof taken as 10'-0" above the floor).
	// Vent the trap of lavatory from drain straight up through the roof (as high as the vent "vent of closet").
	// Set a cleanout on the run from drain to street, 10'-0" from drain.
	// 0 fail after that
}

// What was laid against what was drawn: rod readings turned into inverts.
func ExampleSizing_AsLaid() {
	laid, err := sink().AsLaid([]drains.LaidShot{
		{Run: "sink", Invert: 97 * units.Foot},
		{Run: "sink", Along: 5 * units.Foot, Invert: 97*units.Foot + 5*units.Inch/8},
		{Run: "sink", Along: 10 * units.Foot, Invert: 97*units.Foot + 5*units.Inch/2},
	}, drains.LaidOptions{Tolerance: units.Inch / 4, Resolution: units.Inch / 16})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range laid.Points {
		fmt.Printf("at %v: off by %v, within: %v\n", p.Along, p.Off, p.Within)
	}
	// Output:
	// at 0": off by 0", within: true
	// at 5'-0": off by -5/8", within: false
	// at 10'-0": off by 0", within: true
}

// The elevations of a run, from the outlet up.
func ExampleLevels_Of() {
	sizing := sink()
	level, _ := sizing.Levels().Of("sink")
	fmt.Println("invert", level.Upper.Invert, "at the sink,", level.Lower.Invert, "at the street")
	fmt.Println("could be lifted", sizing.Text(level.Spare)) // as the trade rounds it
	// Output:
	// invert 97'-2 1/2" at the sink, 97'-0" at the street
	// could be lifted 2'-7 3/4"
}
