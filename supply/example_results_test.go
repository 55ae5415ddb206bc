package supply_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Lines that are all drawn are worked out as they are.
func ExampleLayout_Analyse() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := supply.New(supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  supply.Waters{Cold: units.Celsius(10), Hot: units.Celsius(60)},
		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l"},
		Points: []supply.Point{
			{ID: "heater", From: "main", Length: 10 * units.Foot, Size: 3 * units.Inch / 4,
				Device: &supply.Device{Kind: "storage-heater"}},
			{ID: "washer", From: "main", Length: 40 * units.Foot, Size: 3 * units.Inch / 4},
			{ID: "washer hot", From: "heater", Length: 40 * units.Foot, Size: 3 * units.Inch / 4},
		},
		Fixtures: []supply.LayoutFixture{{ID: "laundry", Cold: "washer", Hot: "washer hot",
			Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}}},
	}, code)
	if err != nil {
		log.Fatal(err)
	}
	analysis, err := layout.Analyse(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	washer, _ := analysis.Of("washer")
	fmt.Printf("%.1f gpm to the washer, %.1f ft/s\n", washer.Flow.In(units.USGallonPerMinute),
		washer.Velocity.In(units.FootPerSecond))
	waits, err := analysis.HotWater() // in the order of the layout
	if err != nil {
		log.Fatal(err)
	}
	for _, w := range waits {
		fmt.Printf("%s: %v of pipe from %s, %.2f gal run off cold\n", w.Fixture, w.Length, w.From,
			w.Volume.In(units.USGallon))
	}
	surges, err := analysis.Surges()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range surges {
		fmt.Printf("%s: a stop adds %.0f psi\n", s.Point, s.Rise.In(units.PoundForcePerSquareInch))
	}
	// Output:
	// 3.0 gpm to the washer, 2.0 ft/s
	// laundry: 40'-0" of pipe from heater, 1.01 gal run off cold
	// washer: a stop adds 111 psi
	// washer hot: a stop adds 116 psi
}
