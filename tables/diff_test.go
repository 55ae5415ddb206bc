package tables_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// TestDiffFindings: a finding comes, goes or changes by its id; other words alone are no change.
func TestDiffFindings(t *testing.T) {
	was := []tables.Finding{
		{Rule: "grade", Place: "A", Verdict: tables.Pass},
		{Rule: "grade", Place: "B", Verdict: tables.Fail, Reason: "flat"},
		{Rule: "size", Place: "A", Verdict: tables.Fail},
	}
	is := []tables.Finding{
		{Rule: "cover", Place: "A", Verdict: tables.Ask, SettledBy: tables.Designer},
		{Rule: "grade", Place: "A", Verdict: tables.Fail},
		{Rule: "grade", Place: "B", Verdict: tables.Fail, Reason: "too flat"},
	}
	diff := tables.Diff{Findings: tables.DiffFindings(was, is)}
	var got []string
	for _, f := range diff.Findings {
		got = append(got, f.ID+" "+f.Change.String())
	}
	if d := cmp.Diff([]string{"cover/A came", "grade/A altered", "size/A went"}, got); d != "" {
		t.Error(d)
	}
	if none := tables.DiffFindings(was, was); none != nil {
		t.Errorf("a check differs from itself: %v", none)
	}

	b, err := json.Marshal(diff)
	if err != nil {
		t.Fatal(err)
	}
	var back tables.Diff
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if len(back.Findings) != 3 || back.Findings[1].Was.Verdict != tables.Pass || back.Findings[2].Is != nil {
		t.Errorf("read back as %s", b)
	}
}
