package tables_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
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
	words := `came: ask cover at A
altered: fail grade at A, was pass grade at A
went: fail size at A`
	if got := diff.String(); got != words {
		t.Error(got)
	}
	run := tables.ItemChange{Kind: "run", ID: "W1", Change: tables.Altered, Fields: []tables.FieldChange{
		{Field: "size", Was: 2 * units.Inch, Is: 3 * units.Inch}, {Field: "invert", Is: units.Foot},
		{Field: "load", Was: tables.Came}}}
	if got := run.String(); got != `run W1 altered: size 3", was 2"; invert 1'-0"; no load, was came` {
		t.Error(got)
	}
	if got := (tables.Diff{}).String(); got != "no change" {
		t.Error(got)
	}
	data, err := json.Marshal(run)
	var same tables.ItemChange
	if err != nil || json.Unmarshal(data, &same) != nil || same.String() != run.String() {
		t.Errorf("%s reads back as %v, %v", data, same, err)
	}
	if err := json.Unmarshal([]byte(`{"field":1}`), new(tables.FieldChange)); err == nil {
		t.Error("a field that is a number is taken for a name")
	}
	if none := tables.DiffFindings(was, was); none != nil {
		t.Errorf("a check differs from itself: %v", none)
	}

	// A value or a limit that is another is a change; quantities that print alike are alike.
	one := tables.Finding{Rule: "cover", Place: "A", Verdict: tables.Fail, Value: units.Foot, Limit: 2 * units.Foot}
	alike, value, limit := one, one, one
	alike.Value, value.Value, limit.Limit = 12*units.Inch, units.Inch, 3*units.Foot
	for want, is := range map[string]tables.Finding{"": alike,
		"altered: fail cover at A: 1\", limit 2'-0\", was fail cover at A: 1'-0\", limit 2'-0\"":    value,
		"altered: fail cover at A: 1'-0\", limit 3'-0\", was fail cover at A: 1'-0\", limit 2'-0\"": limit} {
		got := ""
		for _, c := range tables.DiffFindings([]tables.Finding{one}, []tables.Finding{is}) {
			got += c.String()
		}
		if got != want {
			t.Errorf("%v to %v: %q, want %q", one, is, got, want)
		}
	}
	if got := (tables.FindingChange{ID: "cover/A", Change: tables.Went}).String(); got != "went: cover/A" {
		t.Error(got)
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
