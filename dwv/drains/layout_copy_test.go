package drains

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestLayoutChanged changes every field of a layout, one at a time. A copy must keep
// what it had, and must no longer say the same.
func TestLayoutChanged(t *testing.T) {
	full := mustLayout(t, "workshop.json")
	full.Ground = new(units.Length)
	full.Job, full.Amendments = "job", []string{"town"}
	sys := &full.Systems[0]
	sys.Outlet.At, sys.Admits, sys.Refuses = &Position{}, []string{"lavatory"}, []string{"clay"}
	p := &sys.Points[0]
	p.Fixture, p.Trap, p.Cleanout, p.Interceptor, p.At = &dwv.Fixture{}, &Trap{}, &Cleanout{}, &Interceptor{}, &Position{}
	p.Receptor, p.Run.Fittings = &Receptor{Indirect: []dwv.Fixture{{}}}, []string{"quarter-bend"}
	full.Vents = full.Vents[:1]
	full.Vents[0].Terminal, full.Vents[0].Runs = &Terminal{}, []VentRun{{}}
	full.Footings = []Footing{{}}
	full.Systems, sys.Points = full.Systems[:1], sys.Points[:1]
	kept := full.clone()
	if !full.same(kept) || !reflect.DeepEqual(full, kept) {
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
		if full.same(kept) {
			t.Errorf("%s: a change is not seen", path)
		}
		v.Set(was)
		if !full.same(kept) {
			t.Fatalf("%s: the copy changed too", path)
		}
	}
	walk("Layout", reflect.ValueOf(full).Elem())
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

// TestEditedLayout edits a layout that was read, without a call between, in ways that
// move its points, its vents and its loads. What is asked of it then must be what a
// copy made from the start gives.
func TestEditedLayout(t *testing.T) {
	code := townCode(t, "ipc-2021")
	edits := map[string]func(l *Layout){
		"nothing":  func(*Layout) {},
		"a load":   func(l *Layout) { pt(l, "LA").Fixture.Count = 7 },
		"a way":    func(l *Layout) { pt(l, "S3").To = "SO" },
		"no vents": func(l *Layout) { l.Vents = nil },
		"a vent": func(l *Layout) {
			vent(l, "VP").Runs = append(vent(l, "VP").Runs, VentRun{Length: 90 * ft, Direction: VentUp})
		},
		"a point": func(l *Layout) {
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "new", To: "S1", Run: pt(l, "S2").Run})
		},
		"a system":   func(l *Layout) { l.Systems, l.Vents = slices.Clone(l.Systems[:1]), nil },
		"a new name": func(l *Layout) { pt(l, "LA").ID = "other" },
	}
	for name, edit := range edits {
		l := mustLayout(t, "workshop.json")
		l.Footings = nil
		before := mustSize(t, l, code)
		levels, err := l.Levels(before)
		if err != nil {
			t.Fatal(err)
		}
		edit(l)
		fresh := l.clone()
		if diff := cmp.Diff(texts(mustCheck(t, fresh, code)), texts(mustCheck(t, l, code))); diff != "" {
			t.Errorf("%s: (-made so +edited):\n%s", name, diff)
		}
		if name == "nothing" {
			continue
		}
		calls := map[string]func() error{
			"Levels":    func() error { _, err := l.Levels(before); return err },
			"Check":     func() error { _, err := l.Check(code, CheckOptions{Sizing: before}); return err },
			"TestPlans": func() error { _, err := l.TestPlans(code, levels, TestOptions{}); return err },
			"TakeOff":   func() error { _, err := l.TakeOff(levels, TakeOffOptions{}); return err },
		}
		for call, do := range calls {
			if err := do(); !errors.Is(err, ErrOtherLayout) || !strings.Contains(err.Error(), "call Size again") {
				t.Errorf("%s: %s with the sizes from before: %v", name, call, err)
			}
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
	got, ok := s.Of("LA")
	if diff := cmp.Diff(was, got, cmp.Comparer(func(a, b tables.Citation) bool { return a == b }), cmp.Comparer(func(a, b slope.Grade) bool { return a == b })); !ok || diff != "" {
		t.Errorf("(-before +after):\n%s", diff)
	}
}
