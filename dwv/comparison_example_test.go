package dwv_test

import (
	"fmt"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/dwv/gravity"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The same dwellings (closet, bath, basin, sink, washer) under an American code,
// which counts fixture units and hides the simultaneity in its table, and by two
// European documents, which name a flow; with the building drain that each asks
// for, at 1/4 in per foot and at 2 %.
func Example_codesSideBySide() {
	shelf := tables.Embedded()
	ipc, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	en, err := en12056.LoadStandard(shelf)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range []int{1, 5, 10, 20} {
		fixtures := []tables.Fixture{
			{Kind: "water-closet", Count: n, Use: tables.Private, Control: tables.Tank, Flush: 6 * units.Litre},
			{Kind: "bathtub", Count: n, Use: tables.Private},
			{Kind: "lavatory", Count: n, Use: tables.Private},
			{Kind: "kitchen-sink", Count: n, Use: tables.Private},
			{Kind: "clothes-washer", Count: n, Use: tables.Private},
		}
		load, err := ipc.Loads(fixtures)
		if err != nil {
			fmt.Println(err)
			return
		}
		american, err := ipc.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: load, Grade: slope.PerFoot(units.Inch / 4), Closets: n})
		if err != nil {
			fmt.Println(err)
			return
		}
		appliances := make([]en12056.Appliance, len(fixtures))
		for i, f := range fixtures {
			appliances[i] = en12056.Appliance{Fixture: f, Variant: map[string]string{"clothes-washer": "to-6-kg"}[f.Kind]}
		}
		du, err := en.Load("I", appliances)
		if err != nil {
			fmt.Println(err)
			return
		}
		flow, err := en.DesignFlow(du, "intermittent", 0, 0)
		if err != nil {
			fmt.Println(err)
			return
		}
		european, err := en.Drain(0.5, slope.OneIn(50), flow.Total)
		if err != nil {
			fmt.Println(err)
			return
		}
		english, _, err := dwv.DwellingFlow(shelf, n)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2d dwellings: %v, %.0f in; %v, %.2f L/s, DN %.0f; England %.1f L/s\n", n,
			load, american.Size.Inches(), du.Sum, float64(flow.Total/units.LitrePerSecond), european.Size.Millimetres(), float64(english/units.LitrePerSecond))
	}
	// Output:
	//  1 dwellings: 10 dfu, 3 in; 4.9 du, 2.00 L/s, DN 100; England 2.5 L/s
	//  5 dwellings: 50 dfu, 4 in; 24.5 du, 2.47 L/s, DN 100; England 3.5 L/s
	// 10 dwellings: 100 dfu, 4 in; 49 du, 3.50 L/s, DN 100; England 4.1 L/s
	// 20 dwellings: 200 dfu, 4 in; 98 du, 4.95 L/s, DN 125; England 5.1 L/s
}

// What the fixture units of a building drain stand for in flow, by Manning's
// formula at half depth on the nominal bore, n = 0.013. A unit is worth less the
// more of them there are, since fewer run at once; the small load of the 3 in drain
// comes from water closets, not from its capacity.
func Example_fixtureUnitsAndFlow() {
	ipc, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	grade := slope.PerFoot(units.Inch / 4)
	for _, size := range []units.Length{2 * units.Inch, 3 * units.Inch, 4 * units.Inch, 6 * units.Inch, 8 * units.Inch} {
		k, err := ipc.Capacity(dwv.Drain, size, grade, 0)
		if err != nil {
			fmt.Println(err)
			return
		}
		pipe := gravity.Pipe{Bore: size, Grade: grade, Roughness: 0.013}
		half, err := pipe.AtDepth(0.5)
		if err != nil {
			fmt.Println(err)
			return
		}
		gpm := float64(half.Flow / units.USGallonPerMinute)
		fmt.Printf("%.0f in: %v, half full %.0f gpm, %.2f gpm a unit\n", size.Inches(), k.Max, gpm, gpm/k.Max.Units())
	}
	// Output:
	// 2 in: 21 dfu, half full 10 gpm, 0.46 gpm a unit
	// 3 in: 42 dfu, half full 29 gpm, 0.68 gpm a unit
	// 4 in: 216 dfu, half full 62 gpm, 0.29 gpm a unit
	// 6 in: 840 dfu, half full 182 gpm, 0.22 gpm a unit
	// 8 in: 1920 dfu, half full 391 gpm, 0.20 gpm a unit
}
