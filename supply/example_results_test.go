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

// laundry is a washing machine and a basin, with a heater whose hot line is kept warm up to a tee near them.
func laundry() *supply.Sizing {
	const psi = units.PoundForcePerSquareInch
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	layout, err := supply.New(supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * psi, Static: 75 * psi},
		Water:  supply.Waters{Cold: units.Celsius(10), Hot: units.Celsius(60), Ambient: units.Celsius(20)},
		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l", Recirc: "copper-l"},
		Points: []supply.Point{
			{ID: "heater", From: "main", Length: 10 * units.Foot, Device: &supply.Device{Kind: "storage-heater"}},
			{ID: "washer", From: "main", Length: 40 * units.Foot, Rise: 3 * units.Foot},
			{ID: "tee", From: "heater", Length: 40 * units.Foot, Rise: 3 * units.Foot},
			{ID: "washer hot", From: "tee", Length: 2 * units.Foot,
				Fittings: []supply.FittingItem{{Fitting: "elbow-90", Count: 2}}},
			{ID: "basin hot", From: "tee", Length: 12 * units.Foot},
			{ID: "pump", From: "tee", Line: "recirc", Length: 40 * units.Foot},
		},
		Fixtures: []supply.LayoutFixture{
			{ID: "machine", Cold: "washer", Hot: "washer hot",
				Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}},
			{ID: "basin", Cold: "washer", Hot: "basin hot",
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}},
		},
		Recirculation: []supply.Loop{{ID: "loop", Heater: "heater", Return: "pump",
			Drop: 5 * units.KelvinDifference}},
	}, code)
	if err != nil {
		log.Fatal(err)
	}
	sizing, err := layout.Size(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	return sizing
}

// How long the far outlet waits: a recirculation keeps the line hot up to its return.
func ExampleAnalysis_HotWater() {
	waits, err := laundry().HotWater()
	if err != nil {
		log.Fatal(err)
	}
	for _, w := range waits {
		fmt.Printf("%s: %v of pipe from %s, %.2f gal run off cold", w.Fixture, w.Length, w.From,
			w.Volume.In(units.USGallon))
		if w.Flow > 0 {
			fmt.Printf(" in %.0f s or more: %s", float64(w.Wait), w.Grade)
		}
		fmt.Println()
	}
	// Output:
	// machine: 2'-0" of pipe from tee, 0.02 gal run off cold
	// basin: 12'-0" of pipe from tee, 0.09 gal run off cold in 7 s or more: acceptable
}

// What the pump of a recirculation gives.
func ExampleAnalysis_Circulations() {
	loops, err := laundry().Circulations()
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range loops {
		fmt.Printf("%s: %v loses %.0f Btu/h; the pump gives %.2f gpm at %.2f ft of head\n", c.ID, c.Length,
			c.Heat.In(units.BtuPerHour), c.Flow.In(units.USGallonPerMinute), c.Head.In(units.FootOfHead))
	}
	// Output:
	// loop: 80'-0" loses 1826 Btu/h; the pump gives 0.41 gpm at 0.52 ft of head
}

// What a valve that shuts in an instant does to the pipe that feeds it.
func ExampleAnalysis_Surges() {
	surges, err := laundry().Surges()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range surges {
		fmt.Printf("%s: stopped from %.1f ft/s it gains %.0f psi, %.0f in all\n", s.Point,
			s.Velocity.In(units.FootPerSecond), s.Rise.In(units.PoundForcePerSquareInch),
			s.Peak.In(units.PoundForcePerSquareInch))
	}
	// Output:
	// washer: stopped from 2.7 ft/s it gains 148 psi, 222 in all
	// washer hot: stopped from 4.1 ft/s it gains 247 psi, 321 in all
}

// What to order. Fittings are those that the layout names.
func ExampleAnalysis_TakeOff() {
	list, err := laundry().TakeOff(supply.TakeOffOptions{WastePercent: 10})
	if err != nil {
		log.Fatal(err)
	}
	for _, line := range list.Lines {
		switch line.Kind {
		case "pipe":
			fmt.Printf("%s %v: %v, with waste %v\n", line.Item, line.Size, line.Length, line.Gross)
		case "fitting":
			fmt.Printf("%d %s %v for %s\n", line.Count, line.Item, line.Size, line.Pipe)
		default:
			fmt.Println(line.Count, line.Item)
		}
	}
	// Output:
	// copper-l 3/8": 52'-0", with waste 57'-2.4"
	// copper-l 1/2": 2'-0", with waste 2'-2.4"
	// copper-l 3/4": 90'-0", with waste 99'-0"
	// 2 elbow-90 1/2" for copper-l
	// 1 storage-heater
}

// The pressure test: at least what the code asks, and what that is at the highest and the lowest point.
func ExampleAnalysis_TestPlans() {
	const psi = units.PoundForcePerSquareInch
	plans, err := laundry().TestPlans(supply.TestOptions{Test: &supply.PressureTest{Pressure: 100 * psi, Medium: "water"}})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range plans {
		fmt.Printf("at least %.0f psi by section %s; %.1f at %s, %.1f at %s; %.1f gal to fill\n", p.Least.In(psi),
			p.LeastCitation.Section(), p.AtLowest.In(psi), p.Lowest, p.AtHighest.In(psi), p.Highest,
			p.Volume.In(units.USGallon))
	}
	// Output:
	// at least 75 psi by section 312.5; 100.0 at main, 98.7 at washer; 2.7 gal to fill
}

// What the pressure of the street is spent on, on the way to the washing machine.
func ExampleAnalysis_Budget() {
	s := laundry()
	i, _ := s.Layout().Find("washer hot")
	for _, line := range s.Budget(i) {
		fmt.Printf("%-10s %-14s %5.2f psi, leaves %.1f\n", line.Point, line.What,
			line.Loss.In(units.PoundForcePerSquareInch), line.Left.In(units.PoundForcePerSquareInch))
	}
	// Output:
	// heater     friction        0.19 psi, leaves 59.8
	// heater     storage-heater  3.00 psi, leaves 56.8
	// tee        friction        0.75 psi, leaves 56.1
	// tee        rise            1.28 psi, leaves 54.8
	// washer hot friction        0.13 psi, leaves 54.6
	// washer hot fittings        0.13 psi, leaves 54.5
}
