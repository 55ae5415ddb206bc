package api

import (
	"context"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// sinkDrain is a kitchen sink 10 ft from the street.
func sinkDrain() drains.Data {
	return drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{ID: "soil", Kind: drains.Soil,
			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
			Points: []drains.Point{{ID: "sink", To: "street",
				Run:     drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
				Trap:    &drains.Trap{Arm: 3 * units.Foot},
				Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
		}},
	}
}

// sinkWater is its water.
func sinkWater() supply.Data {
	return supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  supply.Waters{Cold: units.Celsius(10)},
		Pipe:   supply.LinePipes{Cold: "copper-l", Hot: "copper-l"},
		Points: []supply.Point{{ID: "sink", From: "main", Length: 40 * units.Foot}},
		Fixtures: []supply.LayoutFixture{{ID: "kitchen", Cold: "sink",
			Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}}},
	}
}

// refusedWith wants an error that says what to do.
func refusedWith(t *testing.T, what, want string, err error) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%s: got %v, want %q in it", what, err, want)
	}
}

// TestMisuseOfDrains: what compiles and is not meant is refused, with what to write.
func TestMisuseOfDrains(t *testing.T) {
	const bare = "*units.Foot"
	point := func(d *drains.Data) *drains.Point { return &d.Systems[0].Points[0] }
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := drains.New(sinkDrain(), code); err != nil {
		t.Fatal(err)
	}
	for what, tc := range map[string]struct {
		edit func(*drains.Data)
		want string
	}{
		"a length without its unit":     {func(d *drains.Data) { point(d).Run.Length = 10 }, "40 ft are 40" + bare},
		"a size":                        {func(d *drains.Data) { point(d).Run.Size = 3 }, bare},
		"a trap":                        {func(d *drains.Data) { point(d).Trap.Size = 2 }, bare},
		"a trap arm":                    {func(d *drains.Data) { point(d).Trap.Arm = 5 }, bare},
		"a fixture":                     {func(d *drains.Data) { point(d).Fixture.Size = 2 }, bare},
		"the floor":                     {func(d *drains.Data) { d.FinishedFloor = 100 }, bare},
		"an invert":                     {func(d *drains.Data) { d.Systems[0].Outlet.Invert = -3 }, bare},
		"the slab":                      {func(d *drains.Data) { d.Slab = 4 }, bare},
		"a cover":                       {func(d *drains.Data) { d.MinimumCover = 12 }, bare},
		"a place":                       {func(d *drains.Data) { point(d).At = &drains.Position{X: 12} }, bare},
		"a load":                        {func(d *drains.Data) { point(d).Reserved = 12 }, "7*dwv.FixtureUnit"},
		"a flush":                       {func(d *drains.Data) { point(d).Fixture.Flush = 1 }, "1.6*units.USGallon"},
		"a grade of nothing":            {func(d *drains.Data) { point(d).Run.Grade = slope.PerFoot(0) }, "such as 1/4 in/ft"},
		"no count":                      {func(d *drains.Data) { point(d).Fixture.Count = 0 }, "between 1 and"},
		"a use that is none":            {func(d *drains.Data) { point(d).Fixture.Use = 9 }, "use"},
		"a kind in other words":         {func(d *drains.Data) { point(d).Fixture.Kind = "Toilet" }, `"water-closet"`},
		"a material that is none":       {func(d *drains.Data) { point(d).Run.Material = "pvc" }, "write one of"},
		"a fitting that is none":        {func(d *drains.Data) { point(d).Run.Fittings = []string{"90"} }, "write one of"},
		"a kind of system that is none": {func(d *drains.Data) { d.Systems[0].Kind = "sewage" }, "write one of soil"},
	} {
		d := sinkDrain()
		tc.edit(&d)
		_, err := drains.New(d, code)
		refusedWith(t, what, tc.want, err)
	}
}

// TestMisuseOfWater is TestMisuseOfDrains for water lines.
func TestMisuseOfWater(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	const bare = "*units.Foot"
	const barePressure = "*units.PoundForcePerSquareInch"
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := supply.New(sinkWater(), code); err != nil {
		t.Fatal(err)
	}
	for what, tc := range map[string]struct {
		edit func(*supply.Data)
		want string
	}{
		"a length":              {func(d *supply.Data) { d.Points[0].Length = 40 }, "40 ft are 40" + bare},
		"a rise":                {func(d *supply.Data) { d.Points[0].Rise = 3 }, bare},
		"insulation":            {func(d *supply.Data) { d.Points[0].Insulation = &supply.Insulation{Thickness: 1, Conductivity: 0.04} }, bare},
		"the street":            {func(d *supply.Data) { d.Source.Pressure = 60 }, "60 psi are 60" + barePressure},
		"pressure of a fixture": {func(d *supply.Data) { d.Fixtures[0].Pressure = 20 }, barePressure},
		"the loss of a device":  {func(d *supply.Data) { d.Points[0].Device = &supply.Device{Kind: "softener", Loss: 3} }, barePressure},
		"a temperature":         {func(d *supply.Data) { d.Water.Cold = 50 }, "0 to 100 degC"},
		"degrees of another":    {func(d *supply.Data) { d.Water.Hot = units.Celsius(140) }, "0 to 100 degC"},
		"static below flowing":  {func(d *supply.Data) { d.Source.Static = 50 * psi }, "below the pressure under flow"},
		"a load of drains":      {func(d *supply.Data) { d.Fixtures[0].Load = "3 dfu" }, "wsfu"},
		"a line that is none":   {func(d *supply.Data) { d.Points[0].Line = "Cold" }, "did you mean cold?"},
		"a pipe that is none":   {func(d *supply.Data) { d.Pipe.Cold = "copper" }, "copper-l"},
		"a drain pipe":          {func(d *supply.Data) { d.Pipe.Cold = "pvc-dwv" }, "the shelf has"},
		"percent for a share":   {func(d *supply.Data) { d.FittingsAllowance = 50 }, "such as 0.5"},
	} {
		d := sinkWater()
		tc.edit(&d)
		_, err := supply.New(d, code)
		refusedWith(t, what, tc.want, err)
	}
}

// TestMisuseOfAnswers: options, queries and arguments that compile and are not meant.
func TestMisuseOfAnswers(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	shelf := tables.Embedded()
	code, err1 := dwv.LoadCode(shelf, "ipc-2021")
	waterCode, err2 := supply.LoadCode(shelf, "ipc-2021")
	standard, err3 := en12056.LoadStandard(shelf)
	layout, err4 := drains.New(sinkDrain())
	lines, err5 := supply.New(sinkWater())
	sizing, err6 := layout.Size(code, drains.Options{})
	water, err7 := lines.Size(waterCode, supply.Options{})
	for _, err := range []error{err1, err2, err3, err4, err5, err6, err7} {
		if err != nil {
			t.Fatal(err)
		}
	}
	text, err := lines.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		what, want string
		ask        func() (any, error)
	}{
		{"a title for an id", `"ipc-2021"`, func() (any, error) { return dwv.LoadCode(shelf, "IPC 2021") }},
		{"a code of water", "supply.LoadCode", func() (any, error) { return dwv.LoadCode(shelf, "hunter") }},
		{"a code of flows", "SizeEuropean", func() (any, error) { return dwv.LoadCode(shelf, en12056.ID) }},
		{"a code of drains", "package dwv", func() (any, error) { return supply.LoadCode(shelf, "asnzs3500-2") }},
		{"no code", "no code", func() (any, error) { return layout.Size(nil, drains.Options{}) }},
		{"no code of water", "no code", func() (any, error) { return lines.Size(nil, supply.Options{}) }},
		{"a layout nobody made", "New or Parse", func() (any, error) { return new(drains.Layout).Size(code, drains.Options{}) }},
		{"a sizing nobody made", "Layout.Size", func() (any, error) { return sizing.Diff(new(drains.Sizing), drains.CheckOptions{}) }},
		{"water for drains", "finished_floor", func() (any, error) { return drains.Parse("water.json", text) }},
		{"a bare load", "250*dwv.FixtureUnit", func() (any, error) {
			return code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 250, Grade: slope.PerFoot(units.Inch / 4)})
		}},
		{"a bare length of vent", "40*units.Foot", func() (any, error) {
			return code.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Load: 5 * dwv.FixtureUnit, Drain: 3 * units.Inch, Length: 40})
		}},
		{"a drain of no grade", "1/4 in/ft", func() (any, error) {
			return code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 5 * dwv.FixtureUnit})
		}},
		{"millimetres for inches", "1-1/2 in", func() (any, error) { return code.TrapArm(50 * units.Millimetre) }},
		{"a bare demand", "10*supply.FixtureUnit", func() (any, error) { return waterCode.Demand(10, supply.TankSystem) }},
		{"a material in other letters", "PEX", func() (any, error) { return waterCode.VelocityLimit("pex", supply.Cold, units.Celsius(10)) }},
		{"a method that is none", "hazen-williams", func() (any, error) { return lines.Size(waterCode, supply.Options{Method: 99}) }},
		{"units that are none", "99", func() (any, error) { return lines.Size(waterCode, supply.Options{Units: 99}) }},
		{"lines without sizes", "take Size", func() (any, error) { return lines.Analyse(waterCode, supply.Options{}) }},
		{"a bare stick", "40*units.Foot", func() (any, error) { return sizing.TakeOff(drains.TakeOffOptions{Stick: 20}) }},
		{"waste of drains", "0 and 100", func() (any, error) { return sizing.TakeOff(drains.TakeOffOptions{WastePercent: 110}) }},
		{"waste of water", "0 and 100", func() (any, error) { return water.TakeOff(supply.TakeOffOptions{WastePercent: -1}) }},
		{"a bare head", "40*units.Foot", func() (any, error) { return sizing.TestPlans(drains.TestOptions{Head: 10}) }},
		{"a bare test pressure", "100*units.Pound", func() (any, error) {
			return water.TestPlans(supply.TestOptions{Test: &supply.PressureTest{Pressure: 100, Medium: "water"}})
		}},
		{"a test with steam", "water, air", func() (any, error) {
			return water.TestPlans(supply.TestOptions{Test: &supply.PressureTest{Pressure: 100 * psi, Medium: "steam"}})
		}},
		{"a limit of nothing", "highest-outlet", func() (any, error) {
			return sizing.Limit(context.Background(), "highest", "soil", drains.FitOptions{})
		}},
		{"a step backward", "step", func() (any, error) {
			return sizing.Limit(context.Background(), drains.HighestOutlet, "soil", drains.FitOptions{Step: -1})
		}},
		{"a point that is not there", "point 7 of 1", func() (any, error) { return sizing.FixtureLoad(7) }},
		{"a point before the first", "point -1 of 1", func() (any, error) { return sizing.FixtureLoad(-1) }},
		{"a link that is not there", "link 7 of 0", func() (any, error) { return water.LinkPipe(7) }},
		{"no such system", "choose I, II", func() (any, error) {
			return standard.Load("1", []en12056.Appliance{{Fixture: tables.Fixture{Kind: "lavatory", Count: 1}}})
		}},
		{"gallons for litres a second", "at most", func() (any, error) {
			return standard.Drain(0.5, slope.MustParse("1%"), 2.5)
		}},
		{"hot and cold the wrong way", "cold", func() (any, error) {
			return heat.ExpansionVolume(80*units.USGallon, units.Celsius(60), units.Celsius(10), 0)
		}},
		{"a bare atmosphere", "Pa", func() (any, error) { return heat.ExpansionTank(units.USGallon, 60*psi, 125*psi, 14.7) }},
		{"a row without tags", "tag", func() (any, error) {
			return tables.Load[struct{ Size units.Length }](shelf, "ipc-2021/trap-arm")
		}},
		{"a number without a unit", "size[in]", func() (any, error) {
			return tables.Load[struct {
				Size float64 `table:"size"`
			}](shelf, "ipc-2021/trap-arm")
		}},
	} {
		_, err := tc.ask()
		refusedWith(t, tc.what, tc.want, err)
	}
}
