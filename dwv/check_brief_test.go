package dwv

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// TestBriefPasses: without words the findings are the same in all else.
func TestBriefPasses(t *testing.T) {
	l := mustBuild(t, villageLayout(300))
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		code := townCode(t, id)
		full, err := l.Check(code, CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		brief, err := l.Check(code, CheckOptions{BriefPasses: true})
		if err != nil {
			t.Fatal(err)
		}
		words := 0
		for i := range full {
			if full[i].Verdict == tables.Pass {
				full[i].Reason = ""
			}
		}
		for i := range brief {
			if brief[i].Verdict == tables.Pass && brief[i].Reason != "" {
				words++
				brief[i].Reason = ""
			}
		}
		byPlace := func(a, b tables.Finding) int {
			return cmp.Or(strings.Compare(a.Rule, b.Rule), strings.Compare(a.Place, b.Place), strings.Compare(a.Reason, b.Reason), strings.Compare(fmt.Sprint(a.Value), fmt.Sprint(b.Value)))
		}
		slices.SortFunc(full, byPlace)
		slices.SortFunc(brief, byPlace)
		if diff := gocmp.Diff(full, brief, gocmp.Comparer(func(a, b tables.Citation) bool { return a == b })); diff != "" {
			t.Errorf("%s (-full +brief):\n%.2000s", id, diff)
		}
		if words > len(brief)/2 {
			t.Errorf("%s: %d of %d brief findings still carry words", id, words, len(brief))
		}
	}
}
