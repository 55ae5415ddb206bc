package drains

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/tables"
)

// checkAllWays checks a layout, and holds the check to what it promises: asked for
// problems alone, or with a tally, it gives the same problems in the same words, the
// tally counts what passes, and the order in which points and vents are drawn is all
// one.
func checkAllWays(t *testing.T, l *Data, c *dwv.Code, opt CheckOptions, size ...Options) []tables.Finding {
	t.Helper()
	check := func(l *Data, opt CheckOptions) []tables.Finding {
		t.Helper()
		f, err := checkOf(l, c, opt, size...)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	all := check(l, opt)
	findingtest.Settled(t, all)
	var problems []tables.Finding
	for _, f := range all {
		if f.Verdict != tables.Pass {
			problems = append(problems, f)
		}
	}
	// The case itself says in which order it is drawn again, and which of the two ways
	// it is asked then: over the hundreds of cases every check meets both.
	h := fnv.New64a()
	fmt.Fprint(h, t.Name(), texts(all))
	r := rand.New(rand.NewPCG(h.Sum64(), 9))
	again := mustBuild(t, shuffled(r, l))
	if diff := gocmp.Diff(texts(all), texts(check(again, opt))); diff != "" {
		t.Errorf("drawn in another order (-before +after):\n%s", diff)
	}
	if r.IntN(2) == 0 {
		opt.ProblemsOnly = true
	} else {
		opt.Tally = new(tables.Tally)
	}
	if diff := gocmp.Diff(texts(problems), texts(check(again, opt))); diff != "" {
		t.Errorf("problems (-of all +asked for with %+v):\n%s", opt, diff)
	}
	if n := len(all) - len(problems); opt.Tally != nil && opt.Tally.Passes() != n {
		t.Errorf("%d passes counted, %d found", opt.Tally.Passes(), n)
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
