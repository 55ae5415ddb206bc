package tables_test

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// TestTally: passes are counted rule by rule, each place and row once; of the least margin, the first by place
// stands, and a finding is worded only if it is the least so far.
func TestTally(t *testing.T) {
	table, err := shelfOf(drains).Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	worded := ""
	least := func(rule, place string) func() tables.Finding {
		return func() tables.Finding {
			worded += place
			return tables.Finding{Rule: rule, Place: place, Verdict: tables.Pass, Reason: "enough"}
		}
	}
	var tally tables.Tally
	tally.CountLeast("grade", "B", 0.5, table.Cite(0), least("grade", "B"))
	tally.CountLeast("grade", "C", 0.5, table.Cite(0), least("grade", "C")) // as little, and later by place
	tally.CountLeast("grade", "A", 0.5, table.Cite(1), least("grade", "A")) // as little, and earlier
	tally.CountLeast("grade", "D", 0.7, table.Cite(0), least("grade", "D"))
	tally.CountLeast("grade", "E", 0.1, table.Cite(0), nil) // no number
	tally.Count("cover", "B", table.Cite(1))
	tally.Count("cover", "B", table.Cite(1))
	tally.Count("cover", "A", tables.Citation{})
	tally.Count("cover", "B", table.Cite(1))
	type passes struct {
		count             int
		places, cites, at string
	}
	told := func(t *tables.Tally) map[string]passes {
		out := map[string]passes{}
		for _, p := range t.Rules() {
			cites := make([]string, len(p.Citations))
			for i, c := range p.Citations {
				cites[i] = c.Row()
			}
			out[p.Rule] = passes{p.Count, strings.Join(p.Places, " "), strings.Join(cites, "; "), p.Least.Place}
			if p.Least.Reason != "" {
				out["reason"] = passes{}
			}
		}
		return out
	}
	row := func(i int) string { return table.Cite(i).Row() }
	want := func(t *testing.T, tally *tables.Tally, want map[string]passes) {
		t.Helper()
		got := told(tally)
		for rule, w := range want {
			if got[rule] != w {
				t.Errorf("%s: %+v, want %+v", rule, got[rule], w)
			}
		}
		if len(got) != len(want) {
			t.Errorf("rules %v", got)
		}
	}
	want(t, &tally, map[string]passes{
		"grade": {5, "B C A D E", row(0) + "; " + row(1), "A"},
		"cover": {4, "B A B", row(1), ""},
	})
	if worded != "BA" || tally.Passes() != 9 {
		t.Errorf("worded at %q; %d passes", worded, tally.Passes())
	}

	var more tables.Tally
	more.Count("vent", "B", table.Cite(0)) // of which the other has none
	more.CountLeast("grade", "F", 0.4, table.Cite(1), least("grade", "F"))
	more.Count("cover", "A", table.Cite(0))
	tally.Merge(nil)
	tally.Merge(&more)
	var later tables.Tally // with more to spare, and so not the least
	later.CountLeast("grade", "A", 0.45, table.Cite(1), least("grade", "A"))
	tally.Merge(&later)
	tally.Sort(func(a, b string) int { return cmp.Compare(a, b) })
	want(t, &tally, map[string]passes{
		"cover": {5, "A B", row(1) + "; " + row(0), ""},
		"grade": {7, "A B C D E F", row(0) + "; " + row(1), "F"},
		"vent":  {1, "B", row(0), ""},
	})
	var order []string
	for _, p := range tally.Rules() {
		order = append(order, p.Rule)
	}
	if !slices.IsSorted(order) {
		t.Errorf("rules in the order %v", order)
	}

	var empty, copied tables.Tally
	later = tables.Tally{}
	later.Count("vent", "B", table.Cite(0))
	copied.Merge(&later)
	want(t, &copied, map[string]passes{"vent": {1, "B", row(0), ""}})
	for text, tally := range map[string]*tables.Tally{"[]": &empty, "one": &copied} {
		data, err := json.Marshal(tally)
		var back []tables.Passes
		if err != nil || json.Unmarshal(data, &back) != nil || len(back) != len(tally.Rules()) ||
			text == "[]" && string(data) != text || len(back) == 1 && (back[0].Rule != "vent" || back[0].Count != 1) {
			t.Errorf("%s is written %s, %v", text, data, err)
		}
	}
	if (*tables.Tally)(nil).Rules() != nil || (*tables.Tally)(nil).Passes() != 0 {
		t.Error("no tally has rules")
	}
}
