package tables_test

import (
	"encoding/json"
	"errors"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func TestCitation(t *testing.T) {
	shelf := shelfOf(head + "# section: Table 4\nsize[in],grade[in/ft],max_load[dfu],note,src,status\n" +
		"2,0.25,21,as printed,code;page,read2\n3,0.25,42,,,memory\n4,0.25,216,,,practice\n")
	table, err := shelf.Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	c := table.Cite(0)
	if c != table.Cite(0) || c == table.Cite(1) {
		t.Error("citations do not compare by row")
	}
	if c.Table() != "town/drain" || c.Section() != "Table 4" || c.Row() != "size 2 in, grade 0.25 in/ft" ||
		c.Note() != "as printed" || c.Status() != tables.Read2 || c.Source().ID != "code" || len(c.Sources()) != 2 {
		t.Errorf("%+v", c)
	}
	for i, want := range []string{
		"Town Plumbing Code 3rd, Table 4: size 2 in, grade 0.25 in/ft",
		"Town Plumbing Code 3rd, Table 4: size 3 in, grade 0.25 in/ft (recalled, not seen in print)",
		"Town Plumbing Code 3rd, Table 4: size 4 in, grade 0.25 in/ft (common practice, no source)",
	} {
		if got := table.Cite(i).String(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if diff := cmp.Diff([]tables.CitedCell{{Column: table.Columns()[2], Text: "21"}}, c.Cells()); diff != "" {
		t.Errorf("cells (-want +got):\n%s", diff)
	}
	sections, err := shelfOf("# id: town/drain\n# title: Drains\n# source: code\n# section: 4\n# key: size\n" +
		"section,size[in],src,status\n4.1,2,,read\n,3,,read\n").Table("town/drain")
	if err != nil || sections.Cite(0).Section() != "4.1" || sections.Cite(1).Section() != "4" {
		t.Errorf("sections by row: %v, %v", sections, err)
	}
	// A single figure is called by what it limits, a row of a table by its key, whatever else the row says.
	rules, err := shelfWithRules(ruleHead + "a,1,1,4.2,most of it,,,read\nb,1,1,,,,,read\n").Table("town/rules")
	if err != nil || rules.Cite(0).Subject() != "most of it" || rules.Cite(1).Subject() != rules.Cite(1).Row() {
		t.Errorf("%q and %q, %v", rules.Cite(0).Subject(), rules.Cite(1).Subject(), err)
	}
	kinds, err := shelfOf("# id: town/drain\n# title: Drains\n# source: code\n# key: kind\n" +
		"kind,what,src,status\nwet,a vent that drains,,read\n").Table("town/drain")
	if err != nil || kinds.Cite(0).Subject() != "kind wet" {
		t.Errorf("%q, %v", kinds.Cite(0).Subject(), err)
	}
	got, err := json.Marshal(table.Cite(1))
	if err != nil {
		t.Fatal(err)
	}
	want := `{"text":"Town Plumbing Code 3rd, Table 4: size 3 in, grade 0.25 in/ft (recalled, not seen in print)",` +
		`"table":"town/drain","row":"size 3 in, grade 0.25 in/ft","section":"Table 4","source":"code",` +
		`"status":"memory"}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Errorf("JSON (-want +got):\n%s", diff)
	}
	if file, line := c.File(); file != "town/drain.csv" || line != 7 {
		t.Errorf("read from %s:%d", file, line)
	}
}

// TestZeroCitation: a citation of nothing answers everything with nothing.
func TestZeroCitation(t *testing.T) {
	var c tables.Citation
	if !c.IsZero() || c.String() != "" || c.Table() != "" || c.Section() != "" || c.Row() != "" || c.Note() != "" ||
		c.Status() != 0 || c.Source() != (tables.Source{}) || c.Sources() != nil || c.Amended() ||
		!c.Original().IsZero() || c.Cells() != nil {
		t.Errorf("%+v", c)
	}
	if got, err := json.Marshal(c); string(got) != "null" || err != nil {
		t.Errorf("%s %v", got, err)
	}
	table, err := shelfOf(drains).Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []int{-1, table.Len()} {
		if !table.Cite(row).IsZero() {
			t.Errorf("row %d cites %v", row, table.Cite(row))
		}
	}
}

func TestFinding(t *testing.T) {
	table, err := shelfOf(head + "size[in],grade[in/ft],max_load[dfu],note,src,status\n2,0.25,21,,,read\n" +
		"3,0.25,42,,,memory\n4,0.25,216,,,practice\n").Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	f := tables.Finding{Rule: "trap-arm-length", Place: "A3", Verdict: tables.Pass, Value: 4 * units.Foot,
		Limit: 5 * units.Foot, Margin: units.Foot, Reason: "4 ft is within 5 ft", Citation: table.Cite(0)}
	if f.Settle() != f {
		t.Errorf("a finding on a row that was read changed: %v", f.Settle())
	}
	if got, want := f.String(), `pass trap-arm-length at A3: 4'-0", limit 5'-0": 4 ft is within 5 ft [Town Plumbing `+
		`Code 3rd: size 2 in, grade 0.25 in/ft]`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	for row, words := range map[int][2]string{
		1: {"From memory; passes if the book agrees.", "From memory; fails if the book agrees."},
		2: {"Common practice, without a source; passes if the authority agrees.", "Common practice, without a source; fails if the authority agrees."},
	} {
		for i, v := range []tables.Verdict{tables.Pass, tables.Fail} {
			f.Verdict, f.Citation = v, table.Cite(row)
			got := f.Settle()
			if want := "4 ft is within 5 ft. " + words[i]; got.Verdict != tables.Ask || got.Reason != want || got.Fix == "" {
				t.Errorf("got %+v", got)
			}
			if got.Settle() != got {
				t.Error("settled twice, it changes again")
			}
		}
	}
	f = tables.Finding{Rule: "reduction", Verdict: tables.Fail, Value: 2 * units.Inch}
	got, err := json.Marshal(f.Settle())
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"id":"reduction","rule":"reduction","verdict":"fail","value":"2\""}`; string(got) != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// What a check says goes to another program and comes back saying the same.
func TestFindingComesBack(t *testing.T) {
	shelf := shelfOf(head + "size[in],grade[in/ft],max_load[dfu],note,src,status\n2,0.25,21,as printed,,memory\n")
	table, err := shelf.Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	f := tables.Finding{Rule: "drain-load", Place: "A3", Side: "upper", Verdict: tables.Fail, Value: 4 * units.Foot,
		Limit:  5 * units.Foot,
		Margin: units.Foot, Reason: "Too much.", Citation: table.Cite(0)}.Settle()
	if f.SettledBy != tables.Book || f.IfConfirmed != tables.Fail {
		t.Errorf("settled by %v, if confirmed %v", f.SettledBy, f.IfConfirmed)
	}
	data, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back tables.Finding
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(back)
	if err != nil || string(again) != string(data) {
		t.Errorf("went out as\n%s\nand came back as\n%s, %v", data, again, err)
	}
	c := back.Citation
	if c.String() != f.Citation.String() || c.Row() != "size 2 in, grade 0.25 in/ft" || c.Note() != "as printed" ||
		c.Status() != tables.Memory || c.Amended() || !c.Original().IsZero() || len(c.Cells()) != 0 {
		t.Errorf("the citation came back as %v: %q, %q, %v", c, c.Row(), c.Note(), c.Cells())
	}
	if name, line := c.File(); name != "" || line != 0 {
		t.Errorf("it is from %s:%d", name, line)
	}
	for _, s := range []tables.Settler{0, tables.Designer, tables.Book, tables.Authority, tables.Owner} {
		var back tables.Settler
		text, _ := s.MarshalText()
		if err := back.UnmarshalText(text); err != nil || back != s {
			t.Errorf("%v comes back as %v, %v", s, back, err)
		}
	}
}

func TestWords(t *testing.T) {
	for _, v := range []tables.Verdict{tables.Pass, tables.Fail, tables.Ask} {
		var back tables.Verdict
		text, _ := v.MarshalText()
		if err := back.UnmarshalText(text); err != nil || back != v {
			t.Errorf("%v comes back as %v, %v", v, back, err)
		}
	}
	firm := 0
	for s := tables.Memory; s <= tables.Read2; s++ {
		var back tables.Status
		text, _ := s.MarshalText()
		if err := back.UnmarshalText(text); err != nil || back != s {
			t.Errorf("%v comes back as %v, %v", s, back, err)
		}
		if s.Firm() {
			firm++
		}
	}
	if firm != 3 || tables.Memory.Firm() || tables.Practice.Firm() || tables.Status(0).Firm() {
		t.Error("what was not seen must not be firm")
	}
	var v tables.Verdict
	if err := v.UnmarshalText([]byte("maybe")); err == nil {
		t.Error("no error for maybe")
	}
	var s tables.Status
	if err := s.UnmarshalText([]byte("sure")); !errors.Is(err, tables.ErrStatus) {
		t.Errorf("got %v", err)
	}
	if tables.AtMost.String() != "at most" || tables.Below.String() != "below" {
		t.Errorf("boundaries %q, %q", tables.AtMost, tables.Below)
	}
	for _, got := range []string{tables.Verdict(9).String(), tables.Status(9).String()} {
		if !strings.HasSuffix(got, " 9") {
			t.Errorf("got %q", got)
		}
	}
}

// TestConcurrent asks one shelf for its tables from many sides at once: each comes
// back the same, and read once.
func TestConcurrent(t *testing.T) {
	shelf, err := shelfOf(drains).With(amendment("seven",
		"op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	got := make([]*tables.Table, 16)
	for i := range got {
		group.Go(func() {
			got[i], _ = shelf.Table("town/drain")
			got[i].Cite(1).Sources()
			shelf.Sources()
			shelf.Table("town/none")
		})
	}
	group.Wait()
	for _, table := range got {
		if table != got[0] || table == nil {
			t.Fatal("not the same table")
		}
	}
}
