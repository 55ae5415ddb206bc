package drains_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
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
				Run:     drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4), Material: "pvc-40"},
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
	// pvc-40 1 1/2": 10'-0"
}

// The water test: how high the water stands, and what it presses at the lowest point.
func ExampleSizing_TestPlans() {
	plans, err := sink().TestPlans(drains.TestOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range plans {
		fmt.Printf("%s: %v of water over %s, held %v\n", p.System, p.Head, p.Highest, p.Hold)
	}
	// Output:
	// soil: 10'-0" of water over sink, held 900 s
}
