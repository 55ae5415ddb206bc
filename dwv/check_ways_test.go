package dwv

import (
	"math/rand/v2"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// checkAllWays checks a layout, and holds the check to what it promises: asked for
// problems alone, or with a tally, it gives the same problems in the same words, the
// tally counts what passes, and the order in which points and vents are drawn is all
// one.
func checkAllWays(t *testing.T, l *Layout, c *Code, opt CheckOptions) []tables.Finding {
	t.Helper()
	check := func(l *Layout, opt CheckOptions) []tables.Finding {
		t.Helper()
		f, err := l.Check(c, opt)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	all := check(l, opt)
	var problems []tables.Finding
	for _, f := range all {
		if f.Verdict != tables.Pass {
			problems = append(problems, f)
		}
	}
	only := opt
	only.ProblemsOnly = true
	if diff := gocmp.Diff(texts(problems), texts(check(l, only))); diff != "" {
		t.Errorf("problems (-of all +asked for alone):\n%s", diff)
	}
	tallied := opt
	tallied.Tally = new(tables.Tally)
	if diff := gocmp.Diff(texts(problems), texts(check(l, tallied))); diff != "" {
		t.Errorf("problems (-of all +beside a tally):\n%s", diff)
	}
	if n := len(all) - len(problems); tallied.Tally.Passes() != n {
		t.Errorf("%d passes counted, %d found", tallied.Tally.Passes(), n)
	}
	r := rand.New(rand.NewPCG(9, 9))
	for range 3 {
		if diff := gocmp.Diff(texts(all), texts(check(mustBuild(t, shuffled(r, l)), opt))); diff != "" {
			t.Errorf("drawn in another order (-before +after):\n%s", diff)
		}
	}
	return all
}

// linesOf returns the findings of a rule at a place, written as in TestCheck: what is
// not among them was not found.
func linesOf(found []tables.Finding, rule, place string) (lines []string) {
	for _, f := range found {
		if f.Rule == rule && f.Place == place {
			lines = append(lines, line(f))
		}
	}
	return lines
}

// reasonOf returns what the only finding of a rule at a place says.
func reasonOf(t *testing.T, found []tables.Finding, rule, place string) (reason string) {
	t.Helper()
	n := 0
	for _, f := range found {
		if f.Rule == rule && f.Place == place {
			reason = f.Reason
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d findings of %s at %s", n, rule, place)
	}
	return reason
}
