package drains

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// TestHalves: a large layout checked in two halves at once gives the problems that it
// gives checked in one go, and the same list every time.
func TestHalves(t *testing.T) {
	l := mustBuild(t, villageLayout(3*manyPoints))
	code := townCode(t, "upc-2021")
	byText := gocmp.Comparer(func(a, b tables.Citation) bool { return a == b })
	once, err := checkOf(l, code, CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	var last []tables.Finding
	for range 3 {
		all, err := checkOf(l, code, CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if last != nil {
			if diff := gocmp.Diff(last, all, byText); diff != "" {
				t.Fatalf("another list (-first +now):\n%.1000s", diff)
			}
		}
		last = all
	}
	var problems []tables.Finding
	rules := map[string]bool{}
	for _, f := range last {
		if rules[f.Rule] = true; f.Verdict != tables.Pass {
			problems = append(problems, f)
		}
	}
	if diff := gocmp.Diff(once, problems, byText); diff != "" || len(once) < 100 {
		t.Errorf("%d problems (-in one go +of two halves):\n%.1000s", len(once), diff)
	}
	for _, rule := range strings.Fields("drain-load drain-cover trap-arm-length cleanout-reach vent-size vent-open") {
		if !rules[rule] {
			t.Errorf("no finding of %s", rule)
		}
	}
}
