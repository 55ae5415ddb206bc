package supply_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A layout put together in Go is sized: the run is the water service, which is 3/4 in at
// least (International Plumbing Code 2021, 603.1).
func ExampleNew() {
	layout, err := supply.New(supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  supply.Waters{Cold: units.Celsius(10)},
		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l"},
		Points: []supply.Point{{ID: "sink", From: "main", Length: 40 * units.Foot}},
		Fixtures: []supply.LayoutFixture{{ID: "kitchen", Cold: "sink",
			Fixture: supply.Fixture{Kind: "kitchen-sink", Count: 1, Use: supply.Private}}},
	})
	if err != nil {
		log.Fatal(err)
	}
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for i, run := range sizing.All() {
		fmt.Printf("%s: %v\n", layout.Point(i).ID, run.Size)
	}
	// Output:
	// sink: 3/4"
}
