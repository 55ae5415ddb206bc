package api

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestWordsOffered: what drains.Choices offers of a type of words is what its constants are.
func TestWordsOffered(t *testing.T) {
	values := constants(t, "dwv/drains")
	for name, offered := range map[string][]tables.Choice{
		"SystemKind": drains.Choices[drains.SystemKind](), "OutletKind": drains.Choices[drains.OutletKind](),
		"TrapGuard": drains.Choices[drains.TrapGuard](), "VentKind": drains.Choices[drains.VentKind](),
		"VentDirection": drains.Choices[drains.VentDirection](), "ValveType": drains.Choices[drains.ValveType](),
		"FootingKind": drains.Choices[drains.FootingKind](), "ObstacleKind": drains.Choices[drains.ObstacleKind](),
	} {
		got, want := tables.IDs(offered), values[name]
		slices.Sort(got)
		slices.Sort(want)
		if len(want) == 0 || !slices.Equal(got, want) {
			t.Errorf("%s: offers %q, the constants are %q", name, got, want)
		}
	}
}

// constants returns the values of the constants of a package that are texts, by their types.
func constants(t *testing.T, pkg string) map[string][]string {
	t.Helper()
	list := map[string][]string{}
	files, err := filepath.Glob(filepath.Join("../..", pkg, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range files {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok || len(v.Values) != 1 {
				return true
			}
			typ, ok := v.Type.(*ast.Ident)
			if word, isText := v.Values[0].(*ast.BasicLit); ok && isText {
				text, err := strconv.Unquote(word.Value)
				if err != nil {
					t.Fatal(err)
				}
				list[typ.Name] = append(list[typ.Name], text)
			}
			return true
		})
	}
	return list
}

// every lists fixtures of a kind with all that may be stated of one, sizes among it.
func every(kind string, sizes []units.Length) (list []tables.Fixture) {
	for use := range tables.Use(len(tables.Uses())) {
		for control := range tables.Control(len(tables.Controls())) {
			for _, gallons := range []float64{0, 0.5, 1, 1.28, 1.6, 2, 3.5, 5} {
				for _, size := range sizes {
					list = append(list, tables.Fixture{Kind: kind, Count: 1, Use: use, Control: control,
						Flush: units.Volume(gallons) * units.USGallon, Size: size})
				}
			}
		}
	}
	return list
}

var fixtureSizes = []units.Length{0, units.Inch / 2, 3 * units.Inch / 4, units.Inch, units.Inches(1.25), units.Inches(1.5),
	2 * units.Inch, units.Inches(2.5), 3 * units.Inch, 4 * units.Inch, 15 * units.Millimetre, 20 * units.Millimetre,
	25 * units.Millimetre}

// TestFixturesOffered: each fixture that a code offers has a load in it, and each load that any
// fixture of the kind has is that of one offered.
func TestFixturesOffered(t *testing.T) {
	shelf := tables.Embedded()
	drainCodes, err := dwv.Codes(shelf)
	if err != nil {
		t.Fatal(err)
	}
	for _, info := range drainCodes {
		code, err := dwv.LoadCode(shelf, info.ID)
		if err != nil {
			t.Fatal(err)
		}
		offered(t, code, func(f tables.Fixture) (any, error) {
			l, err := code.FixtureLoad(f)
			return l.Each, err
		})
	}
	waterCodes, err := supply.Codes(shelf)
	if err != nil {
		t.Fatal(err)
	}
	for _, info := range waterCodes {
		code, err := supply.LoadCode(shelf, info.ID)
		if err != nil {
			t.Fatal(err)
		}
		offered(t, code, func(f tables.Fixture) (any, error) {
			l, err := code.FixtureLoad(f)
			return l.Each, err
		})
	}
}

// offered holds what a code offers against what it takes.
func offered(t *testing.T, code interface {
	ID() string
	Fixtures() []tables.Choice
	FixturesOf(string) []tables.Fixture
}, load func(tables.Fixture) (any, error)) {
	t.Helper()
	for _, kind := range code.Fixtures() {
		loads := map[any]bool{}
		for _, f := range code.FixturesOf(kind.ID) {
			l, err := load(f)
			if err != nil {
				t.Errorf("%s offers %+v: %v", code.ID(), f, err)
			}
			loads[l] = true
		}
		if len(loads) == 0 {
			t.Errorf("%s offers the kind %s in no way", code.ID(), kind.ID)
		}
		for _, f := range every(kind.ID, fixtureSizes) {
			if l, err := load(f); err == nil && !loads[l] {
				t.Errorf("%s takes %+v for %v, and offers no such fixture", code.ID(), f, l)
			}
		}
	}
}

// pick takes one of a list.
func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// drainForm is what a form for a run of drain fills in: every field by a list of the module.
func drainForm(t *testing.T, r *rand.Rand, code *dwv.Code, fixture tables.Fixture) drains.Data {
	t.Helper()
	materials, err := code.Materials()
	if err != nil {
		t.Fatal(err)
	}
	material := pick(r, materials).ID
	sizes, err := code.Sizes(material)
	if err != nil {
		t.Fatal(err)
	}
	data := drains.Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []drains.System{{
			ID: "system", Kind: drains.SystemKind(pick(r, drains.Choices[drains.SystemKind]()).ID),
			Outlet: drains.Outlet{ID: "outlet", Kind: drains.OutletKind(pick(r, drains.Choices[drains.OutletKind]()).ID),
				Invert: 95 * units.Foot, Material: material},
			Points: []drains.Point{
				{ID: "drain", To: "outlet", Run: drains.Run{Length: 20 * units.Foot, Grade: slope.PerFoot(units.Inch / 4),
					Material: material, Into: pick(r, drains.Fittings(code)).ID}},
				{ID: "fixture", To: "drain", Fixture: &fixture, Run: drains.Run{Length: 5 * units.Foot,
					Grade: slope.PerFoot(units.Inch / 4), Material: material, Fittings: []string{pick(r, drains.Fittings(code)).ID}},
					Trap: &drains.Trap{Guard: drains.TrapGuard(pick(r, drains.Choices[drains.TrapGuard]()).ID)}},
			},
		}},
		Vents: []drains.Vent{{ID: "vent", Kind: drains.VentIndividual, From: "fixture", Material: pick(r, materials).ID,
			Valve: &drains.VentValve{Type: drains.ValveType(pick(r, drains.Choices[drains.ValveType]()).ID)},
			Runs:  []drains.VentRun{{Length: 8 * units.Foot, Direction: drains.VentUp}}}},
	}
	if r.IntN(2) == 0 {
		data.Systems[0].Points[0].Run.Size = pick(r, sizes)
	}
	return data
}

// TestDrainsOffered fills a form for a run of drain at random with what the lists of a code offer,
// and reads it back as a layout file: it is taken, sized and judged, and the load of the fixture counts.
func TestDrainsOffered(t *testing.T) {
	shelf, r := tables.Embedded(), rand.New(rand.NewPCG(1, 2))
	infos, err := dwv.Codes(shelf)
	if err != nil {
		t.Fatal(err)
	}
	for _, info := range infos {
		code, err := dwv.LoadCode(shelf, info.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range code.Fixtures() {
			for _, fixture := range code.FixturesOf(kind.ID) {
				layout := filled(t, drainForm(t, r, code, fixture), code)
				sizing, err := layout.Size(code, drains.Options{})
				if err != nil {
					t.Fatal(err)
				}
				load, _ := code.FixtureLoad(fixture)
				if run, _ := sizing.Of("fixture"); run.Load != load.Units {
					t.Errorf("%s: %+v: the run carries %v: %s", info.ID, fixture, run.Load, run.Problem)
				}
				if _, err := sizing.Check(drains.CheckOptions{}); err != nil {
					t.Error(err)
				}
			}
		}
	}
}

// filled writes a layout as a file and reads it.
func filled(t *testing.T, data drains.Data, codes ...*dwv.Code) *drains.Layout {
	t.Helper()
	layout, err := drains.New(data, codes...)
	if err != nil {
		t.Fatal(err)
	}
	text, err := layout.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	again, err := drains.Parse("form.json", text, codes...)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return again
}

// TestEuropeanOffered is TestDrainsOffered for EN 12056-2: every appliance in every system and use.
func TestEuropeanOffered(t *testing.T) {
	shelf, r := tables.Embedded(), rand.New(rand.NewPCG(3, 4))
	standard, err := en12056.LoadStandard(shelf)
	if err != nil {
		t.Fatal(err)
	}
	code, err := dwv.LoadRules(shelf, en12056.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, system := range standard.Systems() {
		for _, kind := range standard.Fixtures() {
			for _, a := range standard.Appliances(system.ID, kind.ID) {
				data := drainForm(t, r, code, a.Fixture)
				data.European = &drains.EuropeanOptions{System: system.ID, Usage: pick(r, standard.Usages()).ID}
				if a.Variant != "" {
					data.European.As = []drains.EuropeanAppliance{{Fixture: kind.ID, Variant: a.Variant}}
				}
				sizing, err := filled(t, data, code).SizeEuropean(standard, drains.EuropeanOptions{})
				if err != nil {
					t.Fatal(err)
				}
				want, _, err := standard.DischargeUnits(system.ID, a)
				if err != nil {
					t.Errorf("%s offers %+v: %v", system.ID, a, err)
				}
				if run := sizing.European()[1]; run.Own != want {
					t.Errorf("%s: %+v: %v: %s", system.ID, a, run.Own, run.Problem)
				}
				if _, err := sizing.Check(drains.CheckOptions{}); err != nil {
					t.Error(err)
				}
			}
		}
	}
}

// TestWaterOffered fills a form for a water line at random with what the lists of a code offer, and
// reads it back as a layout file: it is taken, sized and judged, and the load of the fixture counts.
func TestWaterOffered(t *testing.T) {
	shelf, r := tables.Embedded(), rand.New(rand.NewPCG(5, 6))
	infos, err := supply.Codes(shelf)
	if err != nil {
		t.Fatal(err)
	}
	for _, info := range infos {
		code, err := supply.LoadCode(shelf, info.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range code.Fixtures() {
			for _, fixture := range code.FixturesOf(kind.ID) {
				layout := waterForm(t, r, code, fixture)
				sizing, err := layout.Size(code, supply.Options{})
				if err != nil {
					t.Errorf("%s: %+v: %v", info.ID, fixture, err)
					continue
				}
				want, _ := code.FixtureLoad(fixture)
				if run, _ := sizing.Of("house"); run.Load != want.Total {
					t.Errorf("%s: %+v: the run carries %v, not %v", info.ID, fixture, run.Load, want.Total)
				}
				if _, err := sizing.Check(supply.CheckOptions{}); err != nil {
					t.Errorf("%s: %+v: %v", info.ID, fixture, err)
				}
			}
		}
	}
}

// waterForm is what a form for a water line fills in.
func waterForm(t *testing.T, r *rand.Rand, code *supply.Code, fixture tables.Fixture) *supply.Layout {
	t.Helper()
	materials, err := code.Materials()
	if err != nil {
		t.Fatal(err)
	}
	pipe := pick(r, materials).ID
	sizes, err := code.Sizes(pipe)
	if err != nil {
		t.Fatal(err)
	}
	fittings, err := code.Fittings(pipe)
	if err != nil {
		t.Fatal(err)
	}
	data := supply.Data{
		Source: supply.Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  supply.Waters{Cold: units.Celsius(10), Hot: units.Celsius(60)},
		Pipe:   supply.LinePipes{Cold: pipe, Hot: pipe},
		Points: []supply.Point{
			{ID: "house", From: "main", Length: 20 * units.Foot},
			{ID: "heater", From: "house", Length: 5 * units.Foot, Device: &supply.Device{Kind: "storage-heater"}},
			{ID: "cold", From: "house", Length: 20 * units.Foot},
			{ID: "hot", From: "heater", Length: 20 * units.Foot},
		},
		Fixtures: []supply.LayoutFixture{{ID: "fixture", Fixture: fixture, Cold: "cold", Hot: "hot"}},
	}
	if buildings := code.Buildings(); len(buildings) > 0 {
		data.Building = pick(r, buildings)
	}
	if l, err := code.FixtureLoad(fixture); err == nil && l.Each.Hot.FixtureUnits == 0 {
		data.Fixtures[0].Hot = ""
	} else if l.Each.Cold.FixtureUnits == 0 {
		data.Fixtures[0].Cold = ""
	}
	if len(fittings) > 0 {
		data.Points[0].Fittings = []supply.FittingItem{{Fitting: pick(r, fittings).ID, Count: 2}}
	}
	if r.IntN(2) == 0 {
		data.Points[0].Size = pick(r, sizes)
	}
	layout, err := supply.New(data, code)
	if err != nil {
		t.Fatal(err)
	}
	text, err := layout.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	again, err := supply.Parse("form.json", text, code)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return again
}

// TestDevicesOffered: each kind of device that a code offers is taken at the end of a run, with each of its
// sizes; a kind that is not offered is not.
func TestDevicesOffered(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	code, err := supply.LoadCode(tables.Embedded(), "upc-2021")
	if err != nil {
		t.Fatal(err)
	}
	devices, err := code.Devices()
	if err != nil {
		t.Fatal(err)
	}
	sized := 0
	for _, kind := range append(devices, tables.Choice{ID: "flux"}) {
		sizes, err := code.DeviceSizes(kind.ID)
		if offered := kind.ID != "flux"; (err == nil) != offered {
			t.Errorf("%s: sizes %v, %v", kind.ID, sizes, err)
		}
		sized += len(sizes)
		for _, size := range append(sizes, 0) {
			device := supply.Device{Kind: kind.ID, Size: size}
			switch {
			case kind.ID == "regulator" || kind.ID == "booster":
				device.Set = 50 * psi
			case size == 0:
				device.Loss = psi
			}
			_, err := code.DeviceLoss(&device, 10*units.USGallonPerMinute)
			if offered := kind.ID != "flux"; (err == nil) != offered {
				t.Errorf("%+v: %v", device, err)
			}
		}
	}
	if len(devices) < 15 || sized < 20 {
		t.Errorf("%d kinds of devices, %d sizes", len(devices), sized)
	}
}
