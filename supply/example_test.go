package supply_test

import (
	"fmt"
	"log"
	"os"
	"testing/fstest"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A cottage: a service to a basin, a closet and a kitchen sink.
func cottage(pipe string) *supply.Layout {
	l, err := supply.New(supply.Data{
		Building: "residential",
		Source:   supply.Source{ID: "main", Pressure: 350 * units.Kilopascal},
		Water:    supply.Waters{Cold: units.Celsius(10)},
		Pipe:     supply.LinePipes{Cold: pipe},
		Points: []supply.Point{
			{ID: "service", From: "main", Length: 12 * units.Metre},
			{ID: "bath", From: "service", Length: 6 * units.Metre, Rise: 3 * units.Metre},
			{ID: "kitchen", From: "service", Length: 9 * units.Metre, Rise: units.Metre},
		},
		Fixtures: []supply.LayoutFixture{
			{ID: "basin", Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}, Cold: "bath", UsageUnit: "bathroom"},
			{ID: "closet", Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank}, Cold: "bath", UsageUnit: "bathroom"},
			{ID: "sink", Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private, Size: units.Inch / 2}, Cold: "kitchen", LoadAs: "sink"},
		},
	})
	if err != nil {
		log.Fatal(err)
	}
	return l
}

func printRuns(code *supply.Code, s *supply.Sizing) {
	for _, r := range s.All() {
		flow := "flow not known"
		if r.Basis != supply.NotKnown {
			flow = fmt.Sprintf("%#.2f", r.Flow)
		}
		fmt.Printf("%s: %s, %s, %v: %v\n", r.Point, r.Load.In(code.LoadUnit()), flow, r.Size, r.Decided)
	}
}

// Under EN 806-3 loading units become pipes without becoming flows. A run to one
// outlet carries what the outlet draws; for others the code gives no flow.
func ExampleLayout_Size_loadingUnits() {
	code, err := supply.LoadCode(tables.Embedded(), "en806-3")
	if err != nil {
		log.Fatal(err)
	}
	s, err := cottage("ppr-s2-5").Size(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	printRuns(code, s)
	findings, err := s.Check(supply.CheckOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Rule == "pipe-by-units" || f.Rule == "fixture-pressure" {
			fmt.Println(f.Rule, f.Place, f.Verdict)
		}
	}
	// Output:
	// service: 4 lu, flow not known, 25 mm: pipe for its loading units
	// bath: 2 lu, flow not known, 16 mm: pipe for its loading units
	// kitchen: 2 lu, 0.20 L/s, 16 mm: pipe for its loading units
	// pipe-by-units bath pass
	// pipe-by-units kitchen pass
	// pipe-by-units service pass
	// fixture-pressure basin pass
	// fixture-pressure closet pass
	// fixture-pressure sink pass
}

// DIN 1988-300 adds up the flows of the outlets; the constants of its formula were
// recalled, so that Check asks about them.
func ExampleLayout_Size_peakFlow() {
	code, err := supply.LoadCode(tables.Embedded(), "din1988-300")
	if err != nil {
		log.Fatal(err)
	}
	s, err := cottage("ppr-s2-5").Size(code, supply.Options{Method: hydraulics.DarcyWeisbach})
	if err != nil {
		log.Fatal(err)
	}
	printRuns(code, s)
	for _, line := range s.Working(0) {
		fmt.Println(line)
	}
	// Output:
	// service: 0.35 L/s, 0.27 L/s, 20 mm: velocity limit
	// bath: 0.2 L/s, 0.15 L/s, 16 mm: smallest of its kind
	// kitchen: 0.15 L/s, 0.15 L/s, 16 mm: smallest of its kind
	// load: 0.35 L/s on the cold line to service
	// demand: V = a (sum V)^b - c = 1.48 x 0.35^0.19 - 0.94 = 0.272 L/s, by Codes of practice for drinking water installations, pipe sizing DIN 1988-300, Table 3: building residential (recalled, not seen in print; also assisted living and homes for the elderly)
	// bore: d20 ppr-s2-5 has 13.2 mm, by Polypropylene systems for water, EN ISO 15874-2: size 20 mm, id rule minimum-wall (recalled, not seen in print)
	// velocity: v = 1273.2 Q/d2 = 1273.2 x 0.272 L/s / (13.2 mm)2 = 1.99 m/s
	// friction: Darcy-Weisbach, roughness 0.00152 mm, 0.272 L/s, 13.2 mm, 12.0 m: 47.0 kPa
	// pressure: 350.0 - 47.0 - 0.0 - 0.0 - 0.0 = 303.0 kPa (before, friction, rise, device, regulator)
}

// BS 6700 turns loading units into flow by a chart that the shelf does not hold. An
// office that has read the chart gives the code its reading: a table of demand, and a
// row that binds it to the part it plays. The figures here are made up.
func Example_demandCurve() {
	amendment := fstest.MapFS{ // on disk: os.DirFS of a directory with these files
		"sources.csv": {Data: []byte(`id,title,publisher,edition,year,url,note
office,Our reading of the chart,,,2026,,
`)},
		"bs6700/supply-demand.csv": {Data: []byte(`# id: bs6700/supply-demand
# title: Demand for a load of loading units, as the office reads the chart
# source: office
# key: system, load
# boundary: at most
# interpolation: linear
# monotone: demand up with load
system,load[lu],demand[L/s],src,status
tank,1,0.11,,read
tank,10,0.34,,read
tank,100,1.25,,read
`)},
		"bs6700/supply-tables.csv": {Data: []byte(`# id: bs6700/supply-tables
# source: office
op,part,table,stand_in,note,status
add,demand-tank,bs6700/supply-demand,yes,our own reading of the chart,read
`)},
	}
	shelf, err := tables.Embedded().With(amendment)
	if err != nil {
		log.Fatal(err)
	}
	code, err := supply.LoadCode(shelf, "bs6700")
	if err != nil {
		log.Fatal(err)
	}
	s, err := cottage("copper-b88m-b").Size(code, supply.Options{Method: hydraulics.DarcyWeisbach})
	if err != nil {
		log.Fatal(err)
	}
	printRuns(code, s)
	findings, err := s.Check(supply.CheckOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range findings {
		if f.Rule == "stand-in" {
			fmt.Println(f.Verdict, f.Reason)
		}
	}
	// Output:
	// service: 6.5 lu, 0.25 L/s, 15 mm: velocity limit
	// bath: 3.5 lu, 0.17 L/s, 12 mm: smallest of its kind
	// kitchen: 3 lu, 0.20 L/s, 12 mm: smallest of its kind
	// ask The demand curve for flush tanks is taken from "Demand for a load of loading units, as the office reads the chart": our own reading of the chart.
}

// A mountain refuge in metric pipe: what set each size, in the units of its drawings.
func ExampleSizing_Reason() {
	data, err := os.ReadFile("testdata/refuge.json")
	if err != nil {
		log.Fatal(err)
	}
	refuge, err := supply.Parse("refuge.json", data)
	if err != nil {
		log.Fatal(err)
	}
	code, err := supply.LoadCode(tables.Embedded(), "din1988-300")
	if err != nil {
		log.Fatal(err)
	}
	s, err := refuge.Size(code, supply.Options{Method: hydraulics.DarcyWeisbach})
	if err != nil {
		log.Fatal(err)
	}
	for _, id := range []string{"S2", "K1", "RC"} {
		i, _ := refuge.Find(id)
		fmt.Printf("%s: %s\n", id, s.Reason(i))
	}
	// Output:
	// S2: 0.763 L/s runs at 2.43 m/s in 22 x 1.0 mm; in 18 x 1.0 mm it would run at 3.79 m/s, over the limit.
	// K1: 12 x 1.0 mm is the smallest copper-en1057 on offer; 0.14 L/s runs at 1.78 m/s in it.
	// RC: loop loses 223 W over 33 m, and 0.011 L/s makes it up with a drop of 5 K. That runs at 0.14 m/s in 12 x 1.0 mm, within the limit; there is no smaller on offer.
}

func ExampleCode_Loads() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	got, err := code.Loads([]tables.Fixture{
		{Kind: "lavatory", Count: 10, Use: tables.Private},
		{Kind: "water-closet", Count: 2, Use: tables.Public, Control: tables.Valve},
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
	_, err = code.FixtureLoad(tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank})
	fmt.Println(err)
	// Output:
	// upc-2021 water-closet: flush: not stated, and the code tells apart: 1.6 gal or less, over 1.6 gal
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
	for _, r := range sizing.All() {
		fmt.Printf("%s: %v, %.1f gpm, %v, %.1f ft/s, %.1f psi: %v\n", r.Point, r.Load, r.Flow.In(units.USGallonPerMinute),
			r.Size, r.Velocity.In(units.FootPerSecond), r.Out.In(units.PoundForcePerSquareInch), r.Decided)
	}
	f, _ := sizing.Critical()
	fmt.Printf("%s has %.1f psi to spare\n", f.Fixture, f.Margin().In(units.PoundForcePerSquareInch))
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

func ExampleParse_faults() {
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

// A layout put together in Go is sized: the run is the water service, which is 3/4 in at
// least (International Plumbing Code 2021, 603.1).
func ExampleNew() {
	layout, err := supply.New(supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  supply.Waters{Cold: units.Celsius(10)},
		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l"},
		Points: []supply.Point{{ID: "sink", From: "main", Length: 40 * units.Foot}},
		Fixtures: []supply.LayoutFixture{{ID: "kitchen", Cold: "sink",
			Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
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

// Two revisions of a layout set side by side: the kitchen moved away, and a drawn size
// chokes the way to the bath.
func ExampleSizing_Diff() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	first := cottage("copper-l")
	before, err := first.Size(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	data := first.Data()
	data.Points[2].Length += 3 * units.Metre
	data.Points[1].Size = units.Inch / 2
	second, err := supply.New(data, code)
	if err != nil {
		log.Fatal(err)
	}
	after, err := second.Size(code, supply.Options{})
	if err != nil {
		log.Fatal(err)
	}
	diff, err := before.Diff(after, supply.CheckOptions{ProblemsOnly: true})
	if err != nil {
		log.Fatal(err)
	}
	for _, x := range diff.Items {
		fmt.Println(x)
	}
	for _, f := range diff.Findings {
		fmt.Println(f.ID, f.Change)
	}
	// Output:
	// run bath altered: size 1/2", was 3/4"; velocity 2.66 m/s, was 1.28 m/s
	// run kitchen altered: length 12 m, was 9 m
	// fixture basin altered: pressure 265.4 kPa, was 295.4 kPa
	// fixture closet altered: pressure 265.4 kPa, was 295.4 kPa
	// fixture sink altered: pressure 314.4 kPa, was 316.1 kPa
	// water-velocity/bath came
}

// The lists of a form for a device on a line: its kinds, and of the one chosen the sizes.
func ExampleCode_DeviceSizes() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	devices, err := code.Devices()
	if err != nil {
		log.Fatal(err)
	}
	for _, d := range devices {
		sizes, err := code.DeviceSizes(d.ID)
		if err != nil {
			log.Fatal(err)
		}
		if len(sizes) > 0 {
			fmt.Println(d.Label, sizes)
		}
	}
	// Output:
	// Meter [5/8" 3/4" 1" 1 1/2" 2" 3" 4"]
	// Tap [5/8" 3/4" 1" 1 1/4" 1 1/2" 2" 3"]
	// Double check [3/4" 1" 1 1/2" 2" 2 1/2" 3" 4" 6"]
	// Reduced pressure [3/4" 1" 1 1/2" 2" 2 1/2" 3" 4" 6" 8" 10"]
}
