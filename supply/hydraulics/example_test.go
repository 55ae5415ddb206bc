package hydraulics_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// Water hammer: 8 ft/s stopped in 1/2 in copper tube, at once and within half a second.
func ExampleSurgePipe() {
	water, err := hydraulics.WaterAt(units.Fahrenheit(60))
	if err != nil {
		log.Fatal(err)
	}
	pipe := hydraulics.SurgePipe{Bore: units.Inches(0.545), Wall: units.Inches(0.040), Modulus: 117 * units.Gigapascal,
		Restraint: 1, BulkModulus: water.BulkModulus, Density: water.Density}
	length, change := 60*units.Foot, 8*units.FootPerSecond
	sudden, err := pipe.PressureRise(change)
	if err != nil {
		log.Fatal(err)
	}
	critical, err := pipe.CriticalTime(length)
	if err != nil {
		log.Fatal(err)
	}
	slow, err := pipe.SlowPressureRise(change, length, units.Second/2)
	if err != nil {
		log.Fatal(err)
	}
	const psi = units.PoundForcePerSquareInch
	fmt.Printf("within %.0f ms: %.0f psi; in half a second: %.0f psi\n", 1000*float64(critical), sudden.In(psi), slow.In(psi))
	// Output:
	// within 28 ms: 464 psi; in half a second: 26 psi
}
