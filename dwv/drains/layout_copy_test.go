package drains

import (
	"encoding/json"
	"errors"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// fullData is a layout in which every field that may be absent is there, as often as need be.
func fullData(t *testing.T) *Data {
	full := mustLayout(t, "workshop.json")
	full.Ground = new(units.Length)
	full.Job, full.Amendments = "job", []string{"town"}
	sys := &full.Systems[0]
	sys.Outlet.At, sys.Admits, sys.Refuses = &Position{}, []string{"lavatory"}, []string{"clay"}
	p := &sys.Points[0]
	p.Fixture, p.Trap, p.Cleanout, p.Interceptor, p.At = &dwv.Fixture{}, &Trap{}, &Cleanout{}, &Interceptor{}, &Position{}
	p.Receptor, p.Run.Fittings = &Receptor{Indirect: []dwv.Fixture{{}}}, []string{"quarter-bend"}
	full.Vents = full.Vents[:1]
	full.Vents[0].Terminal, full.Vents[0].At, full.Vents[0].Runs = &Terminal{}, &VentJoin{}, []VentRun{{}}
	full.Footings = []Footing{{}}
	full.Systems, sys.Points = full.Systems[:1], sys.Points[:1]
	return full
}

// TestLayoutCopied changes every field of a layout, one at a time. A copy must keep what
// it had.
func TestLayoutCopied(t *testing.T) {
	full := fullData(t)
	kept, want := full.clone(), full.clone()
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
	if _, err := l.Size(nil, Options{}); !errors.Is(err, dwv.ErrQuery) {
		t.Errorf("sized by no code: %v", err)
	}
	if _, err := l.SizeEuropean(nil, EuropeanOptions{}); !errors.Is(err, dwv.ErrQuery) {
		t.Errorf("sized by no standard: %v", err)
	}
	if _, err := New(l.Data(), nil); !errors.Is(err, dwv.ErrQuery) {
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
