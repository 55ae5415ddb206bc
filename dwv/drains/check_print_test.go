package drains

import (
	"fmt"
	"regexp"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// TestPrint: every length and grade in the texts of a check is written as the options
// say, and every nominal size keeps its name.
func TestPrint(t *testing.T) {
	write := func(x fmt.Stringer) string {
		switch x.(type) {
		case units.Length:
			return "LENGTH"
		case slope.Grade:
			return "GRADE"
		}
		return x.String()
	}
	l := mustBuild(t, villageLayout(300))
	l.Systems[0].Points[3].Run.Length = 40 * units.Foot // a stack that climbs far
	l.Systems[0].Outlet.Invert = 99 * units.Foot        // and an outlet too high
	l = mustBuild(t, l)
	lengths := regexp.MustCompile(`\d+'-\d|\d in/ft| (is|at most|at least|than|left|keeps) -?\d[^ ]*"`)
	seen := 0
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		code := townCode(t, id)
		plain, err := checkOf(l, code, CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		list, err := checkOf(l, code, CheckOptions{Print: write})
		if err != nil {
			t.Fatal(err)
		}
		if len(plain) != len(list) {
			t.Fatalf("%s: %d findings, printed otherwise %d", id, len(plain), len(list))
		}
		sizes := map[string]bool{"below-ground-size": true, "fixture-drain-size": true, "vent-size": true, "cleanout-size": true, "vent-open": true, "main-drain-undiminished": true, "outlet-size": true}
		for _, f := range list {
			text := f.Reason + " " + f.Fix
			if at := lengths.FindString(text); at != "" && !sizes[f.Rule] {
				t.Errorf("%s %s at %s: %q stands in %q", id, f.Rule, f.Place, at, text)
			}
			if f.Rule == "vent-size" && regexp.MustCompile(`drain, is LENGTH`).MatchString(text) {
				t.Errorf("%s: a nominal size was written as a length: %q", id, text)
			}
			if regexp.MustCompile(`LENGTH|GRADE`).MatchString(text) {
				seen++
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d texts hold a length or a grade", seen)
	}
}
