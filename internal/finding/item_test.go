package finding_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func TestChanges(t *testing.T) {
	run := func(id string, size units.Length, pipe string) finding.Item {
		x := finding.Item{Kind: "run", ID: id, Fields: []finding.Field{{Name: "size", Value: size}, {Name: "pipe"}}}
		if pipe != "" {
			x.Fields[1].Value = finding.Word(pipe)
		}
		return x
	}
	was := []finding.Item{run("a", units.Inch, ""), run("b", units.Inch, "copper"), run("gone", units.Inch, "copper"),
		{Kind: "vent", ID: "a"}}
	is := []finding.Item{run("new", 2*units.Inch, ""), run("a", units.Inch, "copper"), run("b", units.Inch, "copper"),
		{Kind: "vent", ID: "a"}}
	want := []tables.ItemChange{
		{Kind: "run", ID: "new", Change: tables.Came, Fields: []tables.FieldChange{{Field: "size", Is: 2 * units.Inch}}},
		{Kind: "run", ID: "a", Change: tables.Altered,
			Fields: []tables.FieldChange{{Field: "pipe", Is: finding.Word("copper")}}},
		{Kind: "run", ID: "gone", Change: tables.Went, Fields: []tables.FieldChange{{Field: "size", Was: units.Inch},
			{Field: "pipe", Was: finding.Word("copper")}}},
	}
	if d := cmp.Diff(want, finding.Changes(was, is)); d != "" {
		t.Error(d)
	}
}
