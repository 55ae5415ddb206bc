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

// A layout is put together in Go, sized, edited and sized again.
func ExampleNew() {
	data := drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
			Points: []drains.Point{{ID: "sink", To: "street",
				Run:     drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
				Fixture: &dwv.Fixture{Kind: "kitchen-sink", Count: 1, Use: dwv.Private}}},
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
