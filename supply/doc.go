// Package supply sizes and checks water lines: what fixtures draw, what is lost on the
// way to them, sizes, hot water and surge.
//
//	layout, err := supply.New(supply.Data{
//		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
//		Water:  supply.Waters{Cold: units.Celsius(10)},
//		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l"},
//		Points: []supply.Point{{ID: "sink", From: "main", Length: 40 * units.Foot}},
//		Fixtures: []supply.LayoutFixture{{ID: "kitchen", Cold: "sink",
//			Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
//	})
//	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
//	sizing, err := layout.Size(code, supply.Options{})
//	findings, err := sizing.Check(supply.CheckOptions{ProblemsOnly: true})
//	for _, f := range findings {
//		fmt.Println(f)
//	}
//
// A layout is a source, a tree of points with the runs that feed them, and fixtures with
// a cold and a hot port. [New] checks what is put together in Go, [Parse] reads a file. It
// never changes: to edit one, take its [Layout.Data] and make another. [Layout.Size] fills
// in what is not drawn, [Layout.Cheapest] finds the cheapest sizes for a price list and
// [Layout.Analyse] works out lines that are all drawn. Of these follow the rest:
// [Analysis.Check] judges, [Analysis.TakeOff] lists the material, [Analysis.TestPlans] the
// test, [Analysis.Draw] the drawings; [Analysis.Budget] and [Analysis.Working] say where
// pressure goes, [Analysis.HotWater], [Analysis.HeatLosses] and [Analysis.Circulations]
// answer for hot lines, [Analysis.Ring] for rings and [Analysis.Surges] for valves that
// shut in an instant. Layouts and codes may be shared between goroutines.
//
// # Codes
//
// [LoadCode] binds the tables of a code to lookups, each answer with its row:
// [Code.FixtureLoad], [Code.Demand], [Code.Outlet], [Code.MinSize], [Code.VelocityLimit],
// [Code.PipeByLoad], [Code.HotLength] and [Code.Rule]; [Codes] lists what is there. Where a
// code tells apart what a query leaves open, the error names the field and the choices. A
// code that prints no table is answered by that of another document: [Code.StandIns].
// Lists to choose from are [Code.Fixtures] and [Code.FixturesOf], [Code.Materials] with
// [Code.Sizes] and [Code.Fittings], [Code.Devices] with [Code.DeviceSizes], [Code.Buildings].
//
// Most codes turn fixture units into flow by a table of demand. din1988-300 adds up the
// flows of outlets and takes the peak by a formula for the kind of building. en806-3
// prints pipes by loading units and no flows: runs of several outlets have no friction
// ([NotKnown]), and Check asks about their pressures.
//
// # Limits
//
// Every run is taken at its own demand at once, as is customary; real losses along a way
// are less. Arguments that a formula cannot take match [units.ErrRange]; nothing is
// clamped or carried beyond a table in silence. A check that rests on a row nobody saw in
// print comes out as ask.
//
// # Cautions
//
// Results are calculations, not approvals: have them checked by a licensed plumber or
// engineer against the code in force and the rulings of its authority. Hot water scalds,
// within seconds at 60 degC: limits at outlets and mixing valves are not decided here, nor
// is protection against backflow at cross-connections. See [Cautions].
package supply
