package supply

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/tables"
)

// TestRulesDeclared: every rule that a check judges by is declared, and every rule
// declared is judged by.
func TestRulesDeclared(t *testing.T) { findingtest.Declared(t, ".", Rules()) }

// TestCheckOptions: with passes left out or counted the problems are the same, the
// count is that of the passes kept, and texts print quantities as asked for.
func TestCheckOptions(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	check := func(opt CheckOptions) []tables.Finding {
		list, err := s.Check(opt)
		if err != nil {
			t.Fatal(err)
		}
		return list
	}
	passes := 0
	var problems, ids []string
	for _, f := range check(CheckOptions{}) {
		ids = append(ids, f.ID())
		if f.Verdict == tables.Pass {
			passes++
		} else {
			problems = append(problems, f.String())
		}
	}
	slices.Sort(ids)
	if once := slices.Compact(slices.Clone(ids)); len(once) != len(ids) || passes < 20 {
		t.Errorf("%d findings have %d ids; %d passes", len(ids), len(once), passes)
	}
	tally := new(tables.Tally)
	for _, opt := range []CheckOptions{{ProblemsOnly: true}, {Tally: tally}} {
		var got []string
		for _, f := range check(opt) {
			got = append(got, f.String())
		}
		if diff := cmp.Diff(problems, got); diff != "" {
			t.Errorf("%+v (-want +got):\n%s", opt, diff)
		}
	}
	if tally.Passes() != passes {
		t.Errorf("%d passes counted, %d kept", tally.Passes(), passes)
	}
	printed := 0
	for _, f := range check(CheckOptions{Print: func(q fmt.Stringer) string { return "<" + q.String() + ">" }}) {
		if strings.Contains(f.Reason, "psi>") {
			printed++
		}
		if strings.Contains(f.Reason, " psi ") {
			t.Errorf("%s: a pressure is not printed as asked for: %s", f.ID(), f.Reason)
		}
	}
	if printed == 0 {
		t.Error("no quantity was printed as asked for")
	}
}
