package supply

import (
	"errors"
	"strings"
	"testing"
)

// Nothing that was not made answers as if it were, and nothing panics.
func TestNotMade(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, l := range []*Layout{nil, {}} {
		if _, err := l.Size(code, Options{}); !errors.Is(err, ErrQuery) {
			t.Errorf("Size: %v", err)
		}
		if _, err := l.Analyse(code, Options{}); !errors.Is(err, ErrQuery) {
			t.Errorf("Analyse: %v", err)
		}
		if _, ok := l.Find("x"); ok || l.Len() != 0 || len(l.Data().Points) != 0 {
			t.Error("a layout of nothing has points")
		}
	}
	l := lodge(t)
	if _, err := l.Size(nil, Options{}); !errors.Is(err, ErrQuery) {
		t.Errorf("sized by no code: %v", err)
	}
	if _, err := New(l.Data(), nil); !errors.Is(err, ErrQuery) {
		t.Errorf("made for no code: %v", err)
	}
	for _, s := range []*Sizing{nil, {}, {Analysis: &Analysis{}}} {
		calls := map[string]func() error{
			"Check":     func() error { _, err := s.Check(CheckOptions{}); return err },
			"TestPlans": func() error { _, err := s.TestPlans(); return err },
			"TakeOff":   func() error { _, err := s.TakeOff(TakeOffOptions{}); return err },
			"Draw":      func() error { _, err := s.Draw(DrawOptions{}); return err },
		}
		for name, call := range calls {
			if err := call(); !errors.Is(err, ErrQuery) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if _, ok := s.Of("x"); ok || s.Len() != 0 {
			t.Error("a sizing of nothing has runs")
		}
		for range s.All() {
			t.Error("a sizing of nothing has runs")
		}
	}
}

// What a layout hands out is a copy: an edit of it reaches nothing.
func TestHandedOut(t *testing.T) {
	l := lodge(t)
	id := l.Point(0).ID
	d, p := l.Data(), l.Point(0)
	d.Points[0].ID, p.ID = "x", "y"
	if l.Point(0).ID != id {
		t.Errorf("point %q is now %q", id, l.Point(0).ID)
	}
}

// A fixture that no code on the shelf knows is named where it stands, with what may have
// been meant; one that only another code knows is left to the check, and so is one that
// brings its own flow.
func TestMisspeltFixture(t *testing.T) {
	text := func(fixture string) []byte {
		return []byte(`{"source": {"id": "main", "pressure": "60 psi"}, "water": {"cold": "50 F"}, "pipe": {"cold": "copper-l", "hot": "copper-l"},
"points": [{"id": "A", "from": "main", "length": "10 ft"}],
"fixtures": [{"id": "one", ` + fixture + `, "count": 1, "use": "private", "cold": "A"}]}`)
	}
	code := mustCode(t, "ipc-2021")
	for fixture, want := range map[string]string{
		`"fixture": "lavatori"`:                       `f:3:`,
		`"fixture": "samovar", "load_as": "lavatori"`: `load_as`,
		`"fixture": "samovar", "load_as": "lavatory"`: "",
		`"fixture": "samovar", "flow": "1 gpm"`:       "",
		`"fixture": "lavatory"`:                       "",
	} {
		_, err := Parse("f", text(fixture), code)
		switch {
		case want == "" && err != nil:
			t.Errorf("%s: %v", fixture, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "lavatory")):
			t.Errorf("%s: %v", fixture, err)
		}
	}
}
