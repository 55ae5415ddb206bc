package heat_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// A bare 3/4 in copper line of 40 ft at 140 degF in a room at 70 degF: what it loses, and what must circulate
// for the water to come back 10 degF cooler.
func ExampleRecirculationFlow() {
	line := heat.Pipe{Bore: units.Inches(0.785), Wall: units.Inches(0.045), Conductivity: 339,
		Length: 40 * units.Foot, Surroundings: heat.InAir, Film: 9}
	lost, err := line.Total(units.Fahrenheit(140), units.Fahrenheit(70))
	if err != nil {
		log.Fatal(err)
	}
	water, err := hydraulics.WaterAt(units.Fahrenheit(135))
	if err != nil {
		log.Fatal(err)
	}
	flow, err := heat.RecirculationFlow(lost, 10*units.FahrenheitDifference, water)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.0f Btu/h: %.2f gpm\n", lost.In(units.BtuPerHour), flow.In(units.USGallonPerMinute))
	// Output:
	// 1017 Btu/h: 0.21 gpm
}

// How much of a shower at 105 degF is hot water of 140 degF, and what a mix half and half would be.
func ExampleHotFraction() {
	hot, cold := units.Fahrenheit(140), units.Fahrenheit(55)
	share, err := heat.HotFraction(hot, cold, units.Fahrenheit(105))
	if err != nil {
		log.Fatal(err)
	}
	half, err := heat.MixedTemperature(hot, cold, 0.5)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.0f %% hot; half and half is %.1f degF\n", 100*share, half.Fahrenheit())
	// Output:
	// 59 % hot; half and half is 97.5 degF
}

// The wait for 1 gal of cold water to run off at a lavatory of 0.5 gpm.
func ExampleWaitTime() {
	wait, err := heat.WaitTime(units.USGallon, 0.5*units.USGallonPerMinute)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(wait)
	// Output:
	// 120 s
}
