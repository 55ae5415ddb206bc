package api

import (
	"bytes"
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/dwv/gravity"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// noData are the exported types that are no plain data, with the reason. What a program
// shows of them it takes from their methods.
var noData = map[string]string{
	"dwv/drains.CheckOptions": "options", "dwv/drains.DrawOptions": "options", "dwv/drains.EuropeanOptions": "options",
	"dwv/drains.FitOptions": "options", "dwv/drains.LaidOptions": "options", "dwv/drains.Options": "options", "dwv/drains.TakeOffOptions": "options",
	"dwv/drains.TestOptions": "options", "supply.Options": "options", "supply.CheckOptions": "options",
	"supply.DrawOptions": "options", "supply.CheapestOptions": "options", "supply.TakeOffOptions": "options",
	"supply.TestOptions": "options",
	"slope.Notation":     "how a grade is written", "slope.Survey": "has a profile",

	"dwv/drains.Drawings": "scenes", "dwv/drains.SystemDrawing": "scenes", "dwv/drains.DrawRow": "scenes",
	"supply.Drawings": "scenes",

	"dwv.Code": "written as its id", "supply.Code": "written as its id", "supply.PipeFamily": "written as its id",
	"dwv/en12056.Standard": "written as its id",
	"dwv/drains.Layout":    "written as its Data, and read by Parse", "supply.Layout": "written as its Data, and read by Parse",
	"dwv/drains.Sizing": "written as SizingData", "supply.Sizing": "written as SizingData",
	"supply.Analysis": "written as SizingData", "supply.Cheapest": "has a sizing", "supply.UniformLoss": "has a sizing",
	"dwv/drains.Levels": "written as a list of Level, and read from it", "slope.Profile": "written as a list of stations",

	"tables.LoadKind": "a constraint", "dwv/drains.Word": "a constraint", "tables.DrainLoad": "what a load is of", "tables.WaterLoad": "what a load is of",
	"tables.DischargeLoad": "what a load is of",
	"tables.Rows":          "a table that was read", "tables.RuleSet": "a table that was read", "tables.Table": "a table that was read",
	"tables.Shelf": "the tables themselves", "tables.Tally": "written as a list of Passes",
	"supply/hydraulics.Resistance": "a pipe worked out", "supply/hydraulics.LossCurve": "a curve worked out",
	"supply/hydraulics.FlowLoss": "an interface", "supply/simultaneous.Flow": "a distribution",
}

// data are the exported types that are plain data: they read back from their JSON.
var data = []reflect.Type{
	reflect.TypeFor[slope.Shot](),
	reflect.TypeFor[slope.AsBuilt](),
	reflect.TypeFor[slope.SurveyedPoint](),
	reflect.TypeFor[slope.Fall](),
	reflect.TypeFor[slope.Stretch](),
	reflect.TypeFor[slope.Belly](),
	reflect.TypeFor[slope.Mend](),
	reflect.TypeFor[slope.Branch](),
	reflect.TypeFor[slope.Course](),
	reflect.TypeFor[slope.Solid](),
	reflect.TypeFor[slope.Limits](),
	reflect.TypeFor[slope.Conflict](),
	reflect.TypeFor[slope.ConflictKind](),
	reflect.TypeFor[slope.Grade](),
	reflect.TypeFor[slope.Tree](),
	reflect.TypeFor[slope.Join](),
	reflect.TypeFor[slope.Setup](),
	reflect.TypeFor[slope.Circuit](),
	reflect.TypeFor[slope.LevelSetup](),
	reflect.TypeFor[slope.Levelled](),
	reflect.TypeFor[slope.CutSheet](),
	reflect.TypeFor[slope.CutRow](),
	reflect.TypeFor[slope.Reach](),
	reflect.TypeFor[slope.Line](),
	reflect.TypeFor[slope.Station](),
	reflect.TypeFor[slope.Offset](),
	reflect.TypeFor[slope.RollingOffset](),
	reflect.TypeFor[slope.Pipe](),
	reflect.TypeFor[slope.Surface](),
	reflect.TypeFor[slope.Levels](),
	reflect.TypeFor[slope.Point](),
	reflect.TypeFor[slope.Wall](),
	reflect.TypeFor[slope.WallLine](),
	reflect.TypeFor[slope.Side](),
	reflect.TypeFor[slope.Plane](),
	reflect.TypeFor[slope.Heading](),
	reflect.TypeFor[slope.Following](),
	reflect.TypeFor[slope.Follow](),
	reflect.TypeFor[slope.Room](),
	reflect.TypeFor[slope.Trench](),
	reflect.TypeFor[slope.Depth](),
	reflect.TypeFor[slope.Fill](),
	reflect.TypeFor[slope.Filling](),
	reflect.TypeFor[tables.Change](),
	reflect.TypeFor[tables.Assumption](),
	reflect.TypeFor[tables.Audit](),
	reflect.TypeFor[tables.SetAudit](),
	reflect.TypeFor[tables.DeclaredBreach](),
	reflect.TypeFor[tables.Choice](),
	reflect.TypeFor[tables.CodeInfo](),
	reflect.TypeFor[tables.Half](),
	reflect.TypeFor[tables.Unjudged](),
	reflect.TypeFor[tables.Citation](),
	reflect.TypeFor[tables.CitedCell](),
	reflect.TypeFor[tables.Diff](),
	reflect.TypeFor[tables.Difference](),
	reflect.TypeFor[tables.ItemChange](),
	reflect.TypeFor[tables.FieldChange](),
	reflect.TypeFor[tables.FindingChange](),
	reflect.TypeFor[units.Fault](),
	reflect.TypeFor[units.Faults](),
	reflect.TypeFor[tables.Verdict](),
	reflect.TypeFor[tables.Settler](),
	reflect.TypeFor[tables.CheckRule](),
	reflect.TypeFor[tables.Finding](),
	reflect.TypeFor[tables.Boundary](),
	reflect.TypeFor[tables.Interpolation](),
	reflect.TypeFor[tables.CellKind](),
	reflect.TypeFor[tables.Cell[units.Length]](),
	reflect.TypeFor[tables.Rule](),
	reflect.TypeFor[tables.Source](),
	reflect.TypeFor[tables.Status](),
	reflect.TypeFor[tables.Column](),
	reflect.TypeFor[tables.Passes](),
	reflect.TypeFor[dwv.Turn](),
	reflect.TypeFor[dwv.PipeStandard](),
	reflect.TypeFor[tables.Fixture](),
	reflect.TypeFor[tables.Use](),
	reflect.TypeFor[tables.Control](),
	reflect.TypeFor[dwv.FixtureUnits](),
	reflect.TypeFor[dwv.Load](),
	reflect.TypeFor[dwv.ManningRange](),
	reflect.TypeFor[dwv.NearestSize](),
	reflect.TypeFor[dwv.LoadLimit](),
	reflect.TypeFor[dwv.Part](),
	reflect.TypeFor[dwv.DrainQuery](),
	reflect.TypeFor[dwv.SizeReason](),
	reflect.TypeFor[dwv.SizeResult](),
	reflect.TypeFor[dwv.Capacity](),
	reflect.TypeFor[dwv.GradeLimit](),
	reflect.TypeFor[dwv.TrapArm](),
	reflect.TypeFor[dwv.VentPart](),
	reflect.TypeFor[dwv.VentQuery](),
	reflect.TypeFor[dwv.VentReason](),
	reflect.TypeFor[dwv.VentResult](),
	reflect.TypeFor[drains.Depth](),
	reflect.TypeFor[drains.Shortage](),
	reflect.TypeFor[drains.Data](),
	reflect.TypeFor[drains.SystemKind](),
	reflect.TypeFor[drains.System](),
	reflect.TypeFor[drains.OutletKind](),
	reflect.TypeFor[drains.Outlet](),
	reflect.TypeFor[drains.Sump](),
	reflect.TypeFor[drains.Point](),
	reflect.TypeFor[drains.Run](),
	reflect.TypeFor[drains.Trap](),
	reflect.TypeFor[drains.TrapGuard](),
	reflect.TypeFor[drains.Cleanout](),
	reflect.TypeFor[drains.Interceptor](),
	reflect.TypeFor[drains.Receptor](),
	reflect.TypeFor[plan.Position](),
	reflect.TypeFor[drains.VentKind](),
	reflect.TypeFor[drains.Vent](),
	reflect.TypeFor[drains.VentJoin](),
	reflect.TypeFor[drains.Terminal](),
	reflect.TypeFor[drains.VentValve](),
	reflect.TypeFor[drains.ValveType](),
	reflect.TypeFor[drains.VentDirection](),
	reflect.TypeFor[drains.VentRun](),
	reflect.TypeFor[drains.FootingKind](),
	reflect.TypeFor[drains.Footing](),
	reflect.TypeFor[plan.Bearing](),
	reflect.TypeFor[drains.Wall](),
	reflect.TypeFor[drains.ObstacleKind](),
	reflect.TypeFor[drains.Obstacle](),
	reflect.TypeFor[drains.EuropeanRun](),
	reflect.TypeFor[drains.LimitKind](),
	reflect.TypeFor[drains.Level](),
	reflect.TypeFor[drains.Decision](),
	reflect.TypeFor[drains.RunSize](),
	reflect.TypeFor[drains.Limit](),
	reflect.TypeFor[drains.EuropeanAppliance](),
	reflect.TypeFor[drains.Defaults](),
	reflect.TypeFor[drains.Tie](),
	reflect.TypeFor[drains.LaidLine](),
	reflect.TypeFor[drains.LaidPoint](),
	reflect.TypeFor[drains.AsLaid](),
	reflect.TypeFor[drains.LaidShot](),
	reflect.TypeFor[drains.Fix](),
	reflect.TypeFor[drains.Way](),
	reflect.TypeFor[drains.SizingData](),
	reflect.TypeFor[drains.TakeOff](),
	reflect.TypeFor[drains.PlacedFitting](),
	reflect.TypeFor[drains.PipeItem](),
	reflect.TypeFor[drains.FittingItem](),
	reflect.TypeFor[drains.JointItem](),
	reflect.TypeFor[drains.Earthwork](),
	reflect.TypeFor[drains.TestPlan](),
	reflect.TypeFor[drains.TestPoint](),
	reflect.TypeFor[drains.VentSize](),
	reflect.TypeFor[en12056.DischargeUnits](),
	reflect.TypeFor[en12056.Appliance](),
	reflect.TypeFor[en12056.ApplianceLoad](),
	reflect.TypeFor[en12056.Load](),
	reflect.TypeFor[en12056.Flow](),
	reflect.TypeFor[en12056.Pipe](),
	reflect.TypeFor[en12056.BranchLimits](),
	reflect.TypeFor[en12056.SystemIIIBranch](),
	reflect.TypeFor[en12056.Way](),
	reflect.TypeFor[gravity.Elements](),
	reflect.TypeFor[gravity.Pipe](),
	reflect.TypeFor[gravity.PartFull](),
	reflect.TypeFor[gravity.Stack](),
	reflect.TypeFor[gravity.StackBase](),
	reflect.TypeFor[supply.UnitSystem](),
	reflect.TypeFor[supply.RunResult](),
	reflect.TypeFor[supply.FixtureResult](),
	reflect.TypeFor[supply.BudgetLine](),
	reflect.TypeFor[supply.SizingData](),
	reflect.TypeFor[supply.Bundle](),
	reflect.TypeFor[supply.Centre](),
	reflect.TypeFor[supply.BundleFit](),
	reflect.TypeFor[supply.Price](),
	reflect.TypeFor[supply.SleeveFill](),
	reflect.TypeFor[supply.StandIn](),
	reflect.TypeFor[supply.System](),
	reflect.TypeFor[supply.Demand](),
	reflect.TypeFor[supply.PeakFlow](),
	reflect.TypeFor[supply.HunterFixture](),
	reflect.TypeFor[supply.FixtureUse](),
	reflect.TypeFor[supply.DemandComparison](),
	reflect.TypeFor[supply.DeviceCost](),
	reflect.TypeFor[tables.Fixture](),
	reflect.TypeFor[tables.Use](),
	reflect.TypeFor[tables.Control](),
	reflect.TypeFor[supply.FlowBasis](),
	reflect.TypeFor[supply.HotWait](),
	reflect.TypeFor[supply.RunHeat](),
	reflect.TypeFor[supply.BurnTime](),
	reflect.TypeFor[supply.Circulation](),
	reflect.TypeFor[supply.Data](),
	reflect.TypeFor[supply.Source](),
	reflect.TypeFor[supply.Waters](),
	reflect.TypeFor[supply.LinePipes](),
	reflect.TypeFor[supply.Defaults](),
	reflect.TypeFor[supply.Stock](),
	reflect.TypeFor[supply.Point](),
	reflect.TypeFor[supply.FittingItem](),
	reflect.TypeFor[supply.Insulation](),
	reflect.TypeFor[supply.Separation](),
	reflect.TypeFor[supply.Place](),
	reflect.TypeFor[supply.Device](),
	reflect.TypeFor[supply.CurvePoint](),
	reflect.TypeFor[supply.HeldPoint](),
	reflect.TypeFor[supply.ManifoldResult](),
	reflect.TypeFor[supply.LayoutFixture](),
	reflect.TypeFor[supply.Sleeve](),
	reflect.TypeFor[supply.Loop](),
	reflect.TypeFor[supply.Link](),
	reflect.TypeFor[supply.PressureTest](),
	reflect.TypeFor[supply.FixtureUnits](),
	reflect.TypeFor[supply.Load](),
	reflect.TypeFor[supply.CodeLoad](),
	reflect.TypeFor[supply.FixtureLoad](),
	reflect.TypeFor[supply.Loads](),
	reflect.TypeFor[supply.ProgressiveLoad](),
	reflect.TypeFor[supply.Outlet](),
	reflect.TypeFor[supply.MinSize](),
	reflect.TypeFor[supply.PipeSize](),
	reflect.TypeFor[supply.Service](),
	reflect.TypeFor[supply.VelocityLimit](),
	reflect.TypeFor[supply.PipeByLoad](),
	reflect.TypeFor[supply.LoadSize](),
	reflect.TypeFor[supply.HotLength](),
	reflect.TypeFor[supply.UnitPipe](),
	reflect.TypeFor[supply.Ring](),
	reflect.TypeFor[supply.RingFlow](),
	reflect.TypeFor[supply.SizeBasis](),
	reflect.TypeFor[supply.LayoutSurge](),
	reflect.TypeFor[supply.TakeOff](),
	reflect.TypeFor[supply.TakeOffLine](),
	reflect.TypeFor[supply.TestPlan](),
	reflect.TypeFor[hydraulics.PressureBudget](),
	reflect.TypeFor[hydraulics.NamedLoss](),
	reflect.TypeFor[hydraulics.PressureLeft](),
	reflect.TypeFor[hydraulics.LossMethod](),
	reflect.TypeFor[hydraulics.Friction](),
	reflect.TypeFor[hydraulics.Loss](),
	reflect.TypeFor[hydraulics.PipeBore](),
	reflect.TypeFor[hydraulics.FixedLoss](),
	reflect.TypeFor[hydraulics.RatedLoss](),
	reflect.TypeFor[hydraulics.LossPoint](),
	reflect.TypeFor[hydraulics.NetworkNode](),
	reflect.TypeFor[hydraulics.NetworkPipe](),
	reflect.TypeFor[hydraulics.Network](),
	reflect.TypeFor[hydraulics.NetworkSolution](),
	reflect.TypeFor[hydraulics.Notes](),
	reflect.TypeFor[hydraulics.MainTest](),
	reflect.TypeFor[hydraulics.SurgePipe](),
	reflect.TypeFor[hydraulics.Water](),
	reflect.TypeFor[heat.InsulationCase](),
	reflect.TypeFor[heat.InsulationVerdict](),
	reflect.TypeFor[heat.Surroundings](),
	reflect.TypeFor[heat.Pipe](),
	reflect.TypeFor[heat.CirculationPart](),
	reflect.TypeFor[simultaneous.Group](),
	reflect.TypeFor[simultaneous.Quantile]()}

// TestPlainData writes each exported type that is data as JSON, filled and empty, and reads
// it back. A type that the lists do not have fails.
func TestPlainData(t *testing.T) {
	listed := map[string]bool{}
	for _, typ := range data {
		name := strings.TrimPrefix(typ.PkgPath(), module) + "." + strings.Split(typ.Name(), "[")[0]
		listed[name] = true
		t.Run(name, func(t *testing.T) { readBack(t, typ) })
	}
	for _, pkg := range public(t) {
		if pkg == "units" || pkg == "slope/draw" {
			continue // quantities, which the others hold; drawings, which are SVG
		}
		for _, name := range exportedTypes(t, pkg) {
			name = pkg + "." + name
			switch reason := noData[name]; {
			case reason == "" && !listed[name]:
				t.Errorf("%s: is it data? The lists do not say", name)
			case reason != "" && listed[name]:
				t.Errorf("%s: listed as data, and as none: %s", name, reason)
			}
			delete(listed, name)
		}
	}
}

// exportedTypes lists the types that a package exports, aliases left out.
func exportedTypes(t *testing.T, pkg string) (names []string) {
	t.Helper()
	dir := path.Join("../..", pkg)
	files, err := filepath.Glob(path.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if s, ok := n.(*ast.TypeSpec); ok && s.Name.IsExported() && !s.Assign.IsValid() {
				names = append(names, s.Name.Name)
			}
			_, body := n.(*ast.FuncDecl)
			return !body
		})
	}
	return names
}

// unwritten are the fields that JSON leaves out, with the reason.
var unwritten = map[string]string{
	"drains.VentSize.Err":             "an error; written as not_sized",
	"supply.Separation.NotListed":     "written as listed false",
	"supply.Device.NoLoss":            "written as a loss of zero",
	"heat.CirculationPart.Resistance": "a pipe worked out",
}

// strict are read as layout files are, which say more than nothing.
var strict = map[reflect.Type]bool{reflect.TypeFor[drains.Data](): true, reflect.TypeFor[supply.Data](): true}

var snake = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)

func readBack(t *testing.T, typ reflect.Type) {
	empty := reflect.New(typ)
	if b, err := json.Marshal(empty.Elem().Interface()); err != nil {
		t.Errorf("the zero value: %v", err)
	} else if err := json.Unmarshal(b, reflect.New(typ).Interface()); err != nil && !strict[typ] {
		t.Errorf("the zero value does not read back from %s: %v", b, err)
	}
	v := reflect.New(typ)
	fill(t, v.Elem(), 0)
	b, err := json.Marshal(v.Elem().Interface())
	if err != nil {
		t.Fatal(err)
	}
	if string(b) == "{}" || bytes.Contains(b, []byte(":{}")) {
		t.Errorf("says nothing: %s", b)
	}
	if typ.Kind() == reflect.Uint8 && b[0] != '"' {
		t.Errorf("written as %s, and not as a word", b)
	}
	var tree any
	if err := json.Unmarshal(b, &tree); err != nil {
		t.Fatal(err)
	}
	checkKeys(t, tree)
	checkNumbers(t, v.Elem().Interface(), tree)
	back := reflect.New(typ)
	if err := json.Unmarshal(b, back.Interface()); err != nil {
		t.Fatalf("%s: %v", b, err)
	}
	again, err := json.Marshal(back.Elem().Interface())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b, again) {
		t.Errorf("written\n%s\nread back\n%s", b, again)
	}
	if typ.Kind() == reflect.Struct {
		for i := range typ.NumField() {
			name := typ.String() + "." + typ.Field(i).Name
			if typ.Field(i).Tag.Get("json") == "-" && unwritten[name] == "" {
				t.Errorf("%s is not written, and no reason is given", name)
			}
		}
		if object, ok := tree.(map[string]any); ok && len(object) < exportedFields(typ) {
			t.Errorf("%d of %d fields are written: %s", len(object), exportedFields(typ), b)
		}
	}
}

// checkNumbers holds what tables.Numbers writes to what json.Marshal does: the same but for
// quantities, which are objects with the same text.
func checkNumbers(t *testing.T, v, tree any) {
	t.Helper()
	b, err := json.Marshal(tables.Numbers(v))
	if err != nil {
		t.Fatal(err)
	}
	var numbered any
	if err := json.Unmarshal(b, &numbered); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(tree, texts(numbered)); diff != "" {
		t.Errorf("with numbers %s\n(-text +numbers): %s", b, diff)
	}
}

// texts puts the text of each quantity in its place.
func texts(x any) any {
	switch x := x.(type) {
	case map[string]any:
		if _, ok := x["value"].(float64); ok && len(x) == 3 && x["text"] != nil && x["unit"] != nil {
			return x["text"]
		}
		for k := range x {
			x[k] = texts(x[k])
		}
	case []any:
		for i := range x {
			x[i] = texts(x[i])
		}
	}
	return x
}

// exportedFields counts the fields that JSON shall have.
func exportedFields(typ reflect.Type) (n int) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		switch {
		case !f.IsExported() || f.Tag.Get("json") == "-":
		case f.Anonymous && f.Type.Kind() == reflect.Struct && f.Tag.Get("json") == "":
			n += exportedFields(f.Type)
		default:
			n++
		}
	}
	return n
}

func checkKeys(t *testing.T, x any) {
	t.Helper()
	switch x := x.(type) {
	case map[string]any:
		for k, v := range x {
			if !snake.MatchString(k) {
				t.Errorf("key %q", k)
			}
			checkKeys(t, v)
		}
	case []any:
		for _, v := range x {
			checkKeys(t, v)
		}
	}
}

// fill puts something other than zero into everything exported.
func fill(t *testing.T, v reflect.Value, depth int) {
	t.Helper()
	if depth > 8 {
		return
	}
	switch p := v.Addr().Interface().(type) {
	case *tables.Citation:
		table, err := tables.Embedded().Table("ipc-2021/fixtures")
		if err != nil {
			t.Fatal(err)
		}
		*p = table.Cite(0)
		return
	case *decimal.Decimal:
		*p = decimal.New(15, -1)
		return
	case *slope.Grade:
		*p = slope.OneIn(48)
		return
	case *drains.Bearing:
		*p = drains.Degrees(45)
		return
	case *tables.Cell[units.Length]:
		*p = tables.Cell[units.Length]{Kind: tables.Value, Value: units.Inch}
		return
	case *error:
		*p = tables.ErrNotStated
		return
	case *units.Temperature:
		*p = units.Celsius(40)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				fill(t, v.Field(i), depth+1)
			}
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(t, v.Elem(), depth+1)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(t, v.Index(0), depth+1)
	case reflect.Array:
		for i := range v.Len() {
			fill(t, v.Index(i), depth+1)
		}
	case reflect.Map:
		k, e := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		fill(t, k, depth+1)
		fill(t, e, depth+1)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(k, e)
	case reflect.String:
		v.SetString("word")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int64:
		v.SetInt(1500)
		if v.Type() == reflect.TypeFor[units.Length]() {
			v.SetInt(int64(units.Inch))
		}
		if exact, ok := v.Interface().(interface{ Units() float64 }); ok && exact.Units() < 1 {
			v.SetInt(int64(dwv.FixtureUnit) * 3 / 2) // a load is a whole number of thousandths
		}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32:
		v.SetInt(1)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		v.SetUint(1)
	case reflect.Float64:
		v.SetFloat(math.Round(1.5))
	case reflect.Interface:
		if reflect.TypeFor[units.Length]().Implements(v.Type()) {
			v.Set(reflect.ValueOf(units.Inch))
		}
	}
}
