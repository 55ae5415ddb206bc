package supply_test

import (
	"fmt"
	"log"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func ExampleCode_Loads() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	got, err := code.Loads([]supply.Fixture{
		{Kind: "lavatory", Count: 10, Use: supply.Private},
		{Kind: "water-closet", Count: 2, Use: supply.Public, Control: supply.Valve},
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("cold", got.Cold)
	fmt.Println("hot", got.Hot)
	fmt.Println("total", got.Total, "- ten times 0.7 is 7, and two closets are 20")
	// Output:
	// cold 25 wsfu
	// hot 5 wsfu
	// total 27 wsfu - ten times 0.7 is 7, and two closets are 20
}

// Nothing is assumed: what the code tells apart is asked for.
func ExampleCode_FixtureLoad() {
	code, err := supply.LoadCode(tables.Embedded(), "upc-2021")
	if err != nil {
		log.Fatal(err)
	}
	_, err = code.FixtureLoad(supply.Fixture{Kind: "water-closet", Count: 1, Use: supply.Private, Control: supply.Tank})
	fmt.Println(err)
	// Output:
	// fixture "water-closet": flush: not stated, and the code tells apart: choose at most 1.6 gal, over 1.6 gal
}

func ExampleCode_Demand() {
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		code, err := supply.LoadCode(tables.Embedded(), id)
		if err != nil {
			log.Fatal(err)
		}
		d, err := code.Demand(10*supply.FixtureUnit, supply.TankSystem)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%s: %.1f gpm, from %s\n", id, d.Flow.In(units.USGallonPerMinute), d.Citation.Table())
	}
	// Output:
	// ipc-2021: 14.6 gpm, from ipc-2021/supply-demand
	// upc-2021: 8.0 gpm, from illinois-890/supply-demand
}

const cabin = `{
  "source": {"id": "well tank", "pressure": "50 psi"},
  "water": {"cold": "50 degF", "hot": "120 degF", "ambient": "68 degF"},
  "pipe": {"cold": "copper-l", "hot": "copper-l"},
  "stock": [{"pipe": "copper-l", "sizes": ["1/2 in", "3/4 in", "1 in"]}],
  "points": [
    {"id": "C1", "from": "well tank", "length": "30 ft", "rise": "4 ft"},
    {"id": "C2", "from": "C1", "length": "12 ft", "fittings": [{"fitting": "elbow-90", "count": 2}]},
    {"id": "WH", "from": "C1", "length": "6 ft", "device": {"kind": "storage-heater", "loss": "1 psi"}},
    {"id": "H1", "from": "WH", "length": "20 ft"}
  ],
  "fixtures": [
    {"id": "bath", "fixture": "bathtub", "use": "private", "cold": "C2", "hot": "H1"},
    {"id": "closet", "fixture": "water-closet", "use": "private", "control": "tank", "style": "close coupled", "cold": "C2"}
  ]
}`

func ExampleLayout_Size() {
	layout, err := supply.Parse("cabin.json", []byte(cabin))
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
	for i := range sizing.Runs {
		r := &sizing.Runs[i]
		fmt.Printf("%s: %v, %.1f gpm, %v, %.1f ft/s, %.1f psi: %v\n", sizing.Layout.Point(i).ID, r.Load, r.Flow.In(units.USGallonPerMinute),
			r.Size, r.Velocity.In(units.FootPerSecond), r.Out.In(units.PoundForcePerSquareInch), sizing.Basis[i])
	}
	f := sizing.Fixtures[sizing.Governing]
	fmt.Printf("%s has %.1f psi to spare\n", sizing.Layout.Data().Fixtures[sizing.Governing].ID, f.Margin().In(units.PoundForcePerSquareInch))
	// Output:
	// C1: 3.6 wsfu, 7.4 gpm, 3/4", 4.9 ft/s, 46.5 psi: velocity limit
	// C2: 3.2 wsfu, 6.8 gpm, 3/4", 4.5 ft/s, 45.7 psi: velocity limit
	// WH: 1 wsfu, 4.0 gpm, 3/4", 2.7 ft/s, 45.4 psi: not less than the run it feeds
	// H1: 1 wsfu, 4.0 gpm, 3/4", 2.7 ft/s, 45.0 psi: velocity limit
	// bath has 25.0 psi to spare
}

func ExampleAnalysis_Check() {
	layout, err := supply.Parse("cabin.json", []byte(cabin))
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
	findings, err := sizing.Check(supply.CheckOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Rule == "fixture-pressure" {
			fmt.Printf("%s %v: %v against %v, by %s\n", f.Place, f.Verdict, f.Value, f.Limit, f.Citation)
		}
	}
	// Output:
	// bath pass: 44.99 psi against 20 psi, by International Plumbing Code 2021, Table 604.3: fixture bathtub
	// closet pass: 45.66 psi against 20 psi, by International Plumbing Code 2021, Table 604.3: fixture water-closet, control tank, style close coupled
}

func ExampleLayout_Cheapest() {
	layout, err := supply.Parse("cabin.json", []byte(cabin))
	if err != nil {
		log.Fatal(err)
	}
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	prices := []supply.Price{
		{Pipe: "copper-l", Size: units.Inch / 2, PerFoot: decimal.RequireFromString("2.10")},
		{Pipe: "copper-l", Size: 3 * units.Inch / 4, PerFoot: decimal.RequireFromString("3.45")},
		{Pipe: "copper-l", Size: units.Inch, PerFoot: decimal.RequireFromString("5.20")},
	}
	got, err := layout.Cheapest(code, prices, supply.CheapestOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("cost", got.Cost.StringFixed(2), "gap", got.Gap)
	// Output:
	// cost 234.60 gap 0
}

func ExampleParseLayout_faults() {
	_, err := supply.Parse("shed.json", []byte(`{
  "source": {"id": "main", "pressure": "60 psi"},
  "water": {"cold": "50 degF"},
  "pipe": {"cold": "copper-l"},
  "points": [
    {"id": "W1", "from": "main", "length": "-4 ft"},
    {"id": "W2", "from": "W9", "length": 12}
  ]
}`))
	fmt.Println(err)
	// Output:
	// shed.json:7:42: point "W2": length: wrong type: 12 is a bare number: write a text with its unit
	// shed.json:7:26: point "W2": from: not possible: no point or source "W9"
	// shed.json:6:44: point "W1": length: not possible: -4'-0" is negative
}
