package drains

import (
	"encoding/json"
	"reflect"
	"regexp"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/tables"
)

// TestResultsAsJSON: whatever a layout gives can be written as JSON with names of small
// words, says something, and read back is the same text again.
func TestResultsAsJSON(t *testing.T) {
	l := mustNew(t, mustLayout(t, "workshop.json"))
	s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := s.Check(CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	order, err := s.TakeOff(TakeOffOptions{WastePercent: 10, Stick: 10 * ft})
	if err != nil {
		t.Fatal(err)
	}
	plans, err := s.TestPlans(TestOptions{})
	if err != nil {
		t.Fatal(err)
	}
	e, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	european, err := europeanRuns(mustNew(t, wholeJob(level("A", "SO", 4*ft, 0))), e, EuropeanOptions{System: "I", Usage: "intermittent", Filling: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []any{
		l, l.Data(), s, s.Data(), s.Levels(), s.At(0), s.Levels().At(0), s.Vents(), found, order, plans, european, Rules(),
	} {
		out, err := json.Marshal(v)
		if err != nil {
			t.Errorf("%T: %v", v, err)
			continue
		}
		if bad := regexp.MustCompile(`\{\}|"[^"]*[A-Z][^" ]*":`).Find(out); bad != nil {
			t.Errorf("%T: %s in %.400s", v, bad, out)
		}
		into := v
		switch v.(type) { // what knows its layout and code reads back as data
		case *Sizing:
			into = SizingData{}
		case *Levels:
			into = []Level{}
		}
		again := reflect.New(reflect.TypeOf(into))
		if err := json.Unmarshal(out, again.Interface()); err != nil {
			t.Errorf("%T does not read back: %v", v, err)
			continue
		}
		out2, err := json.Marshal(again.Elem().Interface())
		if err != nil || string(out2) != string(out) {
			t.Errorf("%T: read back it is\n%.600s\nnot\n%.600s, %v", v, out2, out, err)
		}
	}
}

// TestLevelsReadBack: levels read from their JSON answer as before, but for what hangs on
// the layout.
func TestLevelsReadBack(t *testing.T) {
	lv := mustSize(t, mustLayout(t, "workshop.json"), mustCode(t, "ipc-2021")).Levels()
	b, err := json.Marshal(lv)
	if err != nil {
		t.Fatal(err)
	}
	var back Levels
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if diff := gocmp.Diff(lv.Data(), back.Data()); diff != "" {
		t.Error(diff)
	}
	of, ok := lv.Of("FD")
	if got, found := back.Of("FD"); !ok || !found || got != of || got.Point != "FD" {
		t.Errorf("FD lies at %v", got)
	}
	if _, found := back.Of("nowhere"); found {
		t.Error("levels of nowhere")
	}
	if _, _, _, ok := back.Outlet("soil"); ok {
		t.Error("levels that were read know an outlet")
	}
	if _, _, ok := back.Spare("soil"); ok {
		t.Error("levels that were read know a system")
	}
}
