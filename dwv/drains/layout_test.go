package drains

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/jsonedit"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// mustLayout reads a layout from testdata.
func mustLayout(t testing.TB, name string, codes ...*dwv.Code) *Data {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	l, err := parse(name, data, codes...)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLayoutRoundTrip(t *testing.T) {
	l := mustLayout(t, "hall.json")
	text, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	var again Layout
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	opts := cmp.Options{cmp.Comparer(func(a, b slope.Grade) bool { return a == b }),
		cmp.Comparer(func(a, b Bearing) bool { return a == b })}
	if diff := cmp.Diff(*l, again.Data(), opts); diff != "" {
		t.Errorf("(-first +again):\n%s", diff)
	}
	text2, err := json.Marshal(&again)
	if err != nil || string(text) != string(text2) {
		t.Errorf("second text differs: %v\n%s\n%s", err, text, text2)
	}
}

// A layout made in Go is the same, to the last field, once it has been text: lists that are
// not there stay so.
func TestGoLayoutRoundTrip(t *testing.T) {
	l := mustBuild(t, straight(Point{ID: "A", Run: Run{Length: 9 * ft}}))
	text, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	again, err := parse("f", text)
	if err != nil {
		t.Fatal(err)
	}
	opts := cmp.Options{cmp.Comparer(func(a, b slope.Grade) bool { return a == b }),
		cmp.Comparer(func(a, b Bearing) bool { return a == b })}
	if diff := cmp.Diff(l, again, opts); diff != "" {
		t.Errorf("(-made +read):\n%s", diff)
	}
}

// TestBuildInGo builds a layout without JSON; its faults name no file.
func TestBuildInGo(t *testing.T) {
	l := &Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []System{{
			ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 97 * units.Foot},
			Points: []Point{{ID: "A", To: "O", Run: Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Private}}},
		}},
	}
	if err := buildErr(l); err != nil {
		t.Fatal(err)
	}
	s, err := sizeOf(l, mustCode(t, "ipc-2021"))
	if err != nil {
		t.Fatal(err)
	}
	// Two lavatories of 1 dfu each; 1-1/2 in carries 3 dfu at 1/4 in/ft
	// (IPC 2021 Tables 709.1 and 710.1(1)).
	if r := s.At(0); r.Load != 2*dwv.FixtureUnit || r.Size != units.Inch*3/2 {
		t.Errorf("got %v on %v", r.Load, r.Size)
	}
	l.Systems[0].Points[0].Run.Length = -1
	err = buildErr(l)
	if want := `point "A": length: `; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s...", err, want)
	}
	if _, again := sizeOf(l, mustCode(t, "ipc-2021")); again == nil || again.Error() != err.Error() {
		t.Errorf("Build gives %v and Size %v", err, again)
	}
}

// FuzzParseLayout: whatever is read can be written and read again, and judged. Edits
// put values of the text in place of others, so that the judges are reached.
func FuzzParseLayout(f *testing.F) {
	data, err := os.ReadFile("testdata/hall.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(data), []byte{})
	f.Add(string(data), []byte{3, 1, 40, 90, 7, 200})
	for _, s := range []string{``, `{}`, `[]`, `{"systems":[{}]}`, `{"systems":[{"points":[{}]}]}`,
		`{"vents":[{"runs":[{}]}],"footings":[{}]}`, `{"systems":[{"id":"s","outlet":null,"points":null}]}`,
		`{"finished_floor":"1000 km","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-1000 km"},"points":[{"id":"A","to":"O","run":{"length":"1000 km","grade":"1:1","drop":"1000 km"}},{"id":"B","to":"A","run":{"length":"1000 km","vertical":true}}]}]}`} {
		f.Add(s, []byte{})
	}
	code := mustCode(f, "ipc-2021")
	f.Fuzz(func(t *testing.T, text string, edits []byte) {
		text = jsonedit.Apply(text, edits)
		l, err := parse("f", []byte(text))
		if err != nil {
			if l != nil {
				t.Fatal("a layout and an error")
			}
			return
		}
		out, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parse("again", out); err != nil {
			t.Fatalf("%v\nfrom %s\nof %s", err, out, text)
		}
		// Whatever can be read can be judged, or says why not.
		if findings, err := checkOf(l, code, CheckOptions{}); err == nil {
			for _, x := range findings {
				if x.Rule == "" || x.Verdict == 0 || ruleOrder(x.Rule) == len(rules()) {
					t.Fatalf("finding %+v", x)
				}
			}
		}
	})
}

// fullData is a layout in which every field that may be absent is there, as often as need be.
func fullData(t *testing.T) *Data {
	full := mustLayout(t, "workshop.json")
	full.Ground, full.UpstreamManhole = new(units.Length), new(units.Length)
	full.Walls, full.Obstacles = []Wall{{}}, []Obstacle{{}}
	full.European = &EuropeanOptions{As: []EuropeanAppliance{{}}}
	full.Job, full.Amendments = "job", []string{"town"}
	sys := &full.Systems[0]
	sys.Outlet.At, sys.Admits, sys.Refuses = &Position{}, []string{"lavatory"}, []string{"clay"}
	p := &sys.Points[0]
	p.Fixture, p.Trap, p.Cleanout, p.Interceptor, p.At = &tables.Fixture{}, &Trap{}, &Cleanout{}, &Interceptor{},
		&Position{}
	p.Receptor, p.Run.Fittings = &Receptor{Indirect: []tables.Fixture{{}}}, []string{"quarter-bend"}
	p.Run.Top = new(units.Length)
	full.Vents = full.Vents[:1]
	sys.Outlet.Sump = &Sump{HighWater: new(units.Length)}
	v := &full.Vents[0]
	v.Terminal, v.At, v.Runs, v.Valve = &Terminal{}, &VentJoin{Station: new(units.Length)}, []VentRun{{End: &Position{}}}, &VentValve{}
	full.Footings = []Footing{{}}
	full.Defaults, full.SkipSizes, sys.Defaults = &Defaults{Material: "pvc-dwv"}, []units.Length{in},
		&Defaults{OnPlan: true}
	full.Systems, sys.Points = full.Systems[:1], sys.Points[:1]
	return full
}

// TestLayoutCopied changes every field of a layout, one at a time. A copy must keep what
// it had.
func TestLayoutCopied(t *testing.T) {
	full := fullData(t)
	kept, want := full.clone(nil), full.clone(nil)
	if !reflect.DeepEqual(full, kept) {
		t.Fatal("a copy is not the same")
	}
	fields := 0
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			if v.NumField() > 0 && v.Type().Field(0).IsExported() {
				for i := range v.NumField() {
					walk(path+"."+v.Type().Field(i).Name, v.Field(i))
				}
				return
			}
		case reflect.Pointer:
			walk(path, v.Elem())
		case reflect.Slice:
			if v.Len() == 0 {
				t.Fatalf("%s: the test has none to change", path)
			}
			walk(path+"[0]", v.Index(0))
		}
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		alter(t, path, v)
		fields++
		if !reflect.DeepEqual(kept, want) {
			t.Fatalf("%s: the copy changed too", path)
		}
		v.Set(was)
	}
	walk("Data", reflect.ValueOf(full).Elem())
	if fields < 80 {
		t.Errorf("only %d fields were changed", fields)
	}
}

// alter gives a field another value than it has.
func alter(t *testing.T, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int32, reflect.Int64:
		v.SetInt(v.Int() + 1)
	case reflect.Uint8:
		v.SetUint(v.Uint() + 1)
	case reflect.Float64:
		v.SetFloat(v.Float() + 1)
	case reflect.Slice:
		v.Set(v.Slice(0, 0))
	case reflect.Pointer:
		v.SetZero()
	case reflect.Struct:
		switch x := v.Addr().Interface().(type) {
		case *slope.Grade:
			*x = slope.OneIn(7)
		case *Bearing:
			*x = Degrees(7)
		default:
			t.Fatalf("%s: a %v: the test does not know how to change it", path, v.Type())
		}
	default:
		t.Fatalf("%s: a %v: the test does not know how to change it", path, v.Kind())
	}
}

// TestEditedLayout edits what a layout says in ways that move its points, its vents and
// its loads. The layout itself stays as it was made, and so does what was made of it.
func TestEditedLayout(t *testing.T) {
	code := townCode(t, "ipc-2021")
	edits := map[string]func(l *Data){
		"a load":   func(l *Data) { pt(l, "LA").Fixture.Count = 7 },
		"a way":    func(l *Data) { pt(l, "S3").To = "SO" },
		"no vents": func(l *Data) { l.Vents = nil },
		"a vent": func(l *Data) {
			vent(l, "VP").Runs = append(vent(l, "VP").Runs, VentRun{Length: 90 * ft, Direction: VentUp})
		},
		"a point": func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "new", To: "S1", Run: pt(l, "S2").Run})
		},
		"a system":   func(l *Data) { l.Systems, l.Vents = slices.Clone(l.Systems[:1]), nil },
		"a new name": func(l *Data) { pt(l, "LA").ID = "other" },
	}
	for name, edit := range edits {
		d := mustLayout(t, "workshop.json")
		d.Footings = nil
		l := mustNew(t, d)
		s, err := l.Size(code, Options{})
		if err != nil {
			t.Fatal(err)
		}
		before, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		given := l.Data()
		edit(d)      // what New was given
		edit(&given) // and what it gave
		after, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(texts(before), texts(after)); diff != "" {
			t.Errorf("%s: an edit of the data reached the sizing: (-before +after):\n%s", name, diff)
		}
		if !reflect.DeepEqual(*d, given) {
			t.Errorf("%s: two copies edited alike differ", name)
		}
		if cmp.Diff(texts(before), texts(mustCheck(t, &given, code))) == "" {
			t.Errorf("%s: the edit is not seen by a new layout", name)
		}
	}
}

// A sizing answers for the layout as it was.
func TestSizingKeepsItsLayout(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	was, _ := s.Of("LA")
	p := pt(l, "LA")
	p.ID, p.To, p.Run.Size, p.Fixture.Count = "x", "y", 9*units.Inch, 99
	if got, ok := s.Of("LA"); !ok || !reflect.DeepEqual(was, got) {
		t.Errorf("before %+v\nafter %+v", was, got)
	}
	i, ok := s.Layout().Find("LA")
	if q := s.Layout().Point(i); !ok || q.ID != "LA" || q.Fixture.Count == 99 {
		t.Errorf("the layout has %+v at %d", q, i)
	} else if q.Fixture.Count = 98; s.Layout().Point(i).Fixture.Count == 98 {
		t.Error("a point that was handed out is the layout's own")
	}
}

// Nothing that was not made answers as if it were, and nothing panics.
func TestNotMade(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, l := range []*Layout{nil, {}} {
		if _, err := l.Size(code, Options{}); !errors.Is(err, ErrMissing) {
			t.Errorf("Size: %v", err)
		}
		if _, err := l.SizeEuropean(nil, EuropeanOptions{}); !errors.Is(err, ErrMissing) {
			t.Errorf("SizeEuropean: %v", err)
		}
		if _, ok := l.Find("x"); ok || l.Len() != 0 || len(l.Data().Systems) != 0 {
			t.Error("a layout of nothing has points")
		}
		if out, err := json.Marshal(l); err != nil || string(out) != "null" {
			t.Errorf("JSON %s, %v", out, err)
		}
	}
	l := mustNew(t, mustLayout(t, "workshop.json"))
	if _, err := l.Size(nil, Options{}); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("sized by no code: %v", err)
	}
	if _, err := l.SizeEuropean(nil, EuropeanOptions{}); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("sized by no standard: %v", err)
	}
	if _, err := New(l.Data(), nil); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("read by no code: %v", err)
	}
	for _, s := range []*Sizing{nil, {}} {
		calls := map[string]func() error{
			"Check":     func() error { _, err := s.Check(CheckOptions{}); return err },
			"TestPlans": func() error { _, err := s.TestPlans(TestOptions{}); return err },
			"TakeOff":   func() error { _, err := s.TakeOff(TakeOffOptions{}); return err },
			"Draw":      func() error { _, err := s.Draw(DrawOptions{}); return err },
		}
		for name, call := range calls {
			if err := call(); !errors.Is(err, ErrMissing) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if s.Len() != 0 || s.Code() != nil || s.Layout() != nil || s.Vents() != nil || s.Levels().Len() != 0 {
			t.Error("a sizing of nothing has something")
		}
		_, sized := s.Of("x")
		_, vented := s.Vent("x")
		_, _, summed := s.Total("x")
		_, level := s.Levels().Of("x")
		_, _, spare := s.Levels().Spare("x")
		_, _, _, outlet := s.Levels().Outlet("x")
		if sized || vented || summed || level || spare || outlet {
			t.Error("a sizing of nothing knows x")
		}
		for range s.All() {
			t.Error("a sizing of nothing has runs")
		}
	}
}

// TestLayoutDoors puts one thing into a good layout that cannot be, and wants the
// field and the reason named; the value beside it that still can be is taken.
func TestLayoutDoors(t *testing.T) {
	const far = units.MaxLength
	nan := math.NaN()
	for _, c := range []struct {
		want string // "" where the layout is taken
		edit func(l *Data)
	}{
		{"layout: finished_floor: ", func(l *Data) { l.FinishedFloor = far + nm }},
		{"layout: slab: ", func(l *Data) { l.Slab = -nm }},
		{"layout: bedding: ", func(l *Data) { l.Bedding = far + nm }},
		{"", func(l *Data) { l.Bedding = 0 }},
		{"layout: trench_width: ", func(l *Data) { l.TrenchWidth = -nm }},
		{"layout: cable_reach: ", func(l *Data) { l.CableReach = -nm }},
		{"", func(l *Data) { l.CableReach = far }},
		{"layout: minimum_cover: ", func(l *Data) { l.MinimumCover = -nm }},
		{"systems: missing", func(l *Data) { l.Systems = nil }},
		{"id: two systems", func(l *Data) { l.Systems[1].ID = l.Systems[0].ID }},
		{"id: missing", func(l *Data) { l.Systems[1].ID = "" }},
		{"id: an id of 201 bytes", func(l *Data) { l.Systems[1].ID = strings.Repeat("x", 201) }},
		{"", func(l *Data) { l.Systems[1].ID = strings.Repeat("x", 200) }},
		{"kind: missing", func(l *Data) { l.Systems[1].Kind = "" }},
		{"outlet: missing", func(l *Data) { l.Systems[1].Outlet = Outlet{} }},
		{"outlet.invert: ", func(l *Data) { l.Systems[1].Outlet.Invert = -far - nm }},
		{"outlet.size: ", func(l *Data) { l.Systems[1].Outlet.Size = maxSize + nm }},
		{"outlet.size: ", func(l *Data) { l.Systems[1].Outlet.Size = -nm }},
		{"points: missing", func(l *Data) { l.Systems[1].Points = nil }},

		{"length: ", func(l *Data) { pt(l, "S3").Run.Length = far + nm }},
		{"is negative", func(l *Data) { pt(l, "S3").Run.Length = -nm }},
		{"length: missing or zero", func(l *Data) { pt(l, "S3").Run.Length = 0 }},
		{"grade: missing or zero", func(l *Data) { pt(l, "S3").Run.Grade = slope.Grade{} }},
		{"rises in the direction of flow", func(l *Data) { pt(l, "S3").Run.Grade = slope.OneIn(48).Neg() }},
		{"is steeper than 45 degrees", func(l *Data) { pt(l, "S3").Run.Grade = slope.PerFoot(ft + nm) }},
		{"", func(l *Data) { pt(l, "S3").Run.Grade = slope.OneIn(1) }},
		{"a vertical run has none", func(l *Data) { pt(l, "LT").Run.Grade = slope.OneIn(48) }},
		{"drop: ", func(l *Data) { pt(l, "S3").Run.Drop = -nm }},
		{"size: ", func(l *Data) { pt(l, "S3").Run.Size = maxSize + nm }},
		{"stub_up: ", func(l *Data) { pt(l, "S3").StubUp = -nm }},
		{"rim_below: ", func(l *Data) { pt(l, "FD").RimBelow = -nm }},
		{"flood_rim: ", func(l *Data) { pt(l, "WC").FloodRim = far + nm }},
		{"join: ", func(l *Data) { pt(l, "S3").Run.Join = 99 }},
		{"part: ", func(l *Data) { pt(l, "S3").Run.Part = dwv.Stack }},
		{"part: ", func(l *Data) { pt(l, "LT").Run.Part = dwv.Branch }},
		{"part: ", func(l *Data) { pt(l, "LT").Run.Part = dwv.StackInterval }},
		{"", func(l *Data) { pt(l, "LT").Run.Part = dwv.Stack }},
		{"size: ", func(l *Data) { pt(l, "S3").Run.Size = -nm }},
		{"", func(l *Data) { pt(l, "S3").Run.Size = maxSize }},
		{"", func(l *Data) { l.Systems[1].Outlet.Size = maxSize }},
		{"id: an id of 201 bytes", func(l *Data) { pt(l, "WC").ID = strings.Repeat("x", 201) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = -1 }},
		{"", func(l *Data) { pt(l, "S3").Continuous = units.Flow(math.Nextafter(1e6, 0)) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = 1e6 }},
		// A point with nothing else on it.
		{"trap.size: ", func(l *Data) { pt(l, "S3").Trap = &Trap{Size: -nm} }},
		{"a receptor is a fixture", func(l *Data) { pt(l, "S3").Receptor = new(Receptor) }},
		{"cleanout.size: ", func(l *Data) { pt(l, "S3").Cleanout = &Cleanout{Size: -nm} }},
		{"interceptor.kind: missing", func(l *Data) { pt(l, "S3").Interceptor = new(Interceptor) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = units.Flow(nan) }},
		{"reserved: ", func(l *Data) { pt(l, "S3").Reserved = -dwv.FixtureUnit }},
		{"reserved: ", func(l *Data) { pt(l, "S3").Reserved = 250 }},
		{"reserved: ", func(l *Data) { pt(l, "S3").Reserved = dwv.MaxFixtureUnits + 1 }},

		{"fixture.fixture: missing", func(l *Data) { pt(l, "WC").Fixture.Kind = "" }},
		{"fixture.count: 0", func(l *Data) { pt(l, "WC").Fixture.Count = 0 }},
		{"fixture.count: ", func(l *Data) { pt(l, "WC").Fixture.Count = tables.MaxFixtures + 1 }},
		{"", func(l *Data) { pt(l, "WC").Fixture.Count = tables.MaxFixtures }},
		{"trap.size: ", func(l *Data) { pt(l, "LA").Trap.Size = -nm }},
		{"trap.arm: ", func(l *Data) { pt(l, "LA").Trap.Arm = -nm }},
		{"trap.fall: ", func(l *Data) { pt(l, "LA").Trap.Fall = -nm }},
		{"trap.seal: ", func(l *Data) { pt(l, "LA").Trap.Seal = -nm }},
		{"trap.tail: ", func(l *Data) { pt(l, "LA").Trap.Tail = -nm }},
		{"cleanout.size: ", func(l *Data) { pt(l, "S1").Cleanout.Size = -nm }},
		{"cleanout.clearance: ", func(l *Data) { pt(l, "S1").Cleanout.Clearance = -nm }},
		{"interceptor.kind: missing", func(l *Data) { pt(l, "C1").Interceptor.Kind = "" }},
		{"interceptor.rated: ", func(l *Data) { pt(l, "C1").Interceptor.Rated = -1 }},
		{"interceptor.inflow: ", func(l *Data) { pt(l, "C1").Interceptor.Inflow = units.Flow(nan) }},
		{"interceptor.volume: ", func(l *Data) { pt(l, "C1").Interceptor.Volume = 1e9 }},
		{"interceptor.retention: ", func(l *Data) { pt(l, "C1").Interceptor.Retention = -1 }},
		{"interceptor.drop: ", func(l *Data) { pt(l, "C1").Interceptor.Drop = -nm }},
		{"receptor.standpipe: ", func(l *Data) { pt(l, "SP").Receptor.Standpipe = -nm }},
		{"receptor.trap_above_floor: ", func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = far + nm }},
		{"a receptor is a fixture", func(l *Data) { pt(l, "SP").Fixture = nil }},
		{"at.x: ", func(l *Data) { pt(l, "S3").At = &Position{X: far + nm} }},
		{"at.y: ", func(l *Data) { pt(l, "S3").At = &Position{Y: -far - nm} }},
		{"", func(l *Data) { pt(l, "S3").At = &Position{X: far, Y: -far} }},

		{"vent 2: id: missing", func(l *Data) { vent(l, "VL").ID = "" }},
		{"length: missing or zero", func(l *Data) { vent(l, "VW").Runs[0].Length = 0 }},
		{"length: -16'-0\" is negative", func(l *Data) { vent(l, "VW").Runs[0].Length = -16 * ft }},
		{"", func(l *Data) { vent(l, "VW").Runs[0].Rise = 16 * ft }},
		{"rise: ", func(l *Data) { vent(l, "VW").Runs[0].Rise = 16*ft + nm }},
		{"", func(l *Data) { vent(l, "VL").Runs[0].Length, vent(l, "VL").Runs[1].Length = 4*ft, far-4*ft }},
		{"runs: longer than", func(l *Data) {
			vent(l, "VL").Runs[0].Length, vent(l, "VL").Runs[1].Length = 4*ft,
				far-4*ft+nm
		}},
		{"no vent or stack \"SO\"", func(l *Data) { vent(l, "VL").To = "SO" }},
		{"point \"S1\" is not on a stack", func(l *Data) { vent(l, "VL").To = "S1" }},
		{"", func(l *Data) { vent(l, "VL").To = "LT" }},
		{"", func(l *Data) { // the first point there is
			vent(l, "VL").To = "LT"
			p := l.Systems[0].Points
			for i := range p {
				if p[i].ID == "LT" {
					p[0], p[i] = p[i], p[0]
				}
			}
		}},
		{"no point \"SO\"", func(l *Data) { vent(l, "VL").From = "SO" }},

		{"two footings", func(l *Data) { l.Footings[1].ID = l.Footings[0].ID }},
		{"run: missing", func(l *Data) { l.Footings[1].Run = "" }},
		{"along: ", func(l *Data) { l.Footings[0].Along = -nm }},
		{"", func(l *Data) { l.Footings[0].Along = pt(l, l.Footings[0].Run).Run.Length }},
		{"is beyond the end of the run", func(l *Data) { l.Footings[0].Along = pt(l, l.Footings[0].Run).Run.Length + nm }},
		{"bottom: missing", func(l *Data) { l.Footings[0].Bottom = 0 }},
		{"distance: ", func(l *Data) { l.Footings[1].Distance = -nm }},
		{"sleeve: ", func(l *Data) { l.Footings[0].Sleeve = maxSize + nm }},
		{"clear: ", func(l *Data) { l.Footings[0].Clear = -nm }},
	} {
		l := mustLayout(t, "workshop.json")
		c.edit(l)
		err := buildErr(l)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("refused: %v", err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// TestLongestSystem: the runs of a system may add up to a million km. The run that
// passes it is named, and no other.
func TestLongestSystem(t *testing.T) {
	for _, tt := range []struct {
		more []units.Length // after a thousand runs of 1000 km
		want []string
	}{
		{nil, nil},
		{[]units.Length{units.Millimetre}, []string{`point "1000": length: the runs of the system add up to more than a million km`}},
		{[]units.Length{units.Millimetre, units.MaxLength, units.Millimetre}, []string{`point "1000": length: the runs of the system add up to more than a million km`}},
	} {
		var points []Point
		for i := range 1000 + len(tt.more) {
			r := Run{Length: units.MaxLength, Grade: slope.OneIn(48)}
			if i >= 1000 {
				r.Length = tt.more[i-1000]
			}
			points = append(points, Point{ID: fmt.Sprint(i), To: "O", Run: r})
		}
		err := buildErr(&Data{Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer},
			Points: points}}})
		var got []string
		if err != nil {
			got = strings.Split(err.Error(), "\n")
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%d more (-want +got):\n%s", len(tt.more), diff)
		}
	}
}

// Ids that are missing are not two of one kind.
func TestVentsWithoutIDs(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	vent(l, "VC").ID, vent(l, "VP").ID = "", ""
	if err := buildErr(l); err == nil || strings.Contains(err.Error(), "two vents") {
		t.Errorf("%v", err)
	}
	l = mustLayout(t, "workshop.json")
	vent(l, "VC").ID, vent(l, "VP").ID = "V", "V"
	if err := buildErr(l); err == nil || !strings.Contains(err.Error(), `"V" is the id of two vents`) {
		t.Errorf("%v", err)
	}
}

// drawnLayout is the text of a layout of n points.
func drawnLayout(n int) []byte {
	var b strings.Builder
	b.WriteString(`{"finished_floor": "900 ft", "slab": "5 in", "systems": [{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "100 ft"}, "points": [`)
	for i := range n {
		if i > 0 {
			b.WriteString(",\n")
		}
		fmt.Fprintf(&b, `{"id": "F%d", "to": "O", "at": {"x": "%d ft", "y": "4 ft"}, "fixture": {"fixture": "lavatory", "use": "private"}, "trap": {"size": "1 1/2 in", "arm": "3 ft 6 in"}, "run": {"length": "4 ft 3 in", "grade": "1/4 in/ft", "size": "2 in", "material": "pvc-dwv", "bearing": "180 deg"}}`,
			i, i)
	}
	b.WriteString("]}]}")
	return []byte(b.String())
}

// plainLayout is the Data of a layout that encoding/json reads by its tags.
type plainLayout Data

// BenchmarkDecode reads a layout of 10 000 points into its structs: ours, with every
// fault and place told, and encoding/json.
func BenchmarkDecode(b *testing.B) {
	data := drawnLayout(10_000)
	b.Run("ours", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			var l Data
			d, err := strictjson.Decode("l", "layout", data, &l, strictjson.Limits{})
			if err != nil || d.Faults.Err() != nil || len(l.Systems[0].Points) != 10_000 {
				b.Fatal(err, d.Faults.Err())
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			var l plainLayout
			if err := json.Unmarshal(data, &l); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// TestTooHigh: what comes out a storey over the floor, 5 m and more, is told as a likely mistake of unit.
func TestTooHigh(t *testing.T) {
	for foot, told := range map[units.Length]bool{-units.Metre: false, 5*units.Metre - 1: false, 5 * units.Metre: true} {
		if got := tooHigh(foot) != ""; got != told {
			t.Errorf("%v: told %v", foot, got)
		}
	}
}
