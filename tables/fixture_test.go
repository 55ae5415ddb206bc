package tables_test

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestFixtureCheck: what can be is taken to the very limit, what cannot be is named by its field.
func TestFixtureCheck(t *testing.T) {
	closet := func(change func(*tables.Fixture)) tables.Fixture {
		f := tables.Fixture{Kind: "water-closet", Count: 1}
		change(&f)
		return f
	}
	for _, f := range []tables.Fixture{
		closet(func(*tables.Fixture) {}),
		closet(func(f *tables.Fixture) { f.Count = 1_000_000 }),
		closet(func(f *tables.Fixture) { f.Flush = 100 * units.Litre }),
		closet(func(f *tables.Fixture) { f.Size = 10 * units.Metre }),
		closet(func(f *tables.Fixture) { f.Use, f.Control = tables.Assembly, tables.Hybrid }),
	} {
		if err := f.Check(); err != nil {
			t.Errorf("%+v: %v", f, err)
		}
	}
	for _, c := range []struct {
		field string
		f     tables.Fixture
	}{
		{"", closet(func(f *tables.Fixture) { f.Kind = "" })},
		{"count", closet(func(f *tables.Fixture) { f.Count = 0 })},
		{"count", closet(func(f *tables.Fixture) { f.Count = 1_000_001 })},
		{"use", closet(func(f *tables.Fixture) { f.Use = tables.Assembly + 1 })},
		{"control", closet(func(f *tables.Fixture) { f.Control = tables.Hybrid + 1 })},
		{"flush", closet(func(f *tables.Fixture) { f.Flush = -units.Litre })},
		{"flush", closet(func(f *tables.Fixture) { f.Flush = 100.1 * units.Litre })},
		{"flush", closet(func(f *tables.Fixture) { f.Flush = 1.6 })}, // cubic metres: its unit was left out
		{"flush", closet(func(f *tables.Fixture) { f.Flush = units.Volume(math.NaN()) })},
		{"size", closet(func(f *tables.Fixture) { f.Size = -1 })},
		{"size", closet(func(f *tables.Fixture) { f.Size = 10*units.Metre + 1 })},
		{"size", closet(func(f *tables.Fixture) { f.Size = 2 })}, // nanometres: its unit was left out
	} {
		err := c.f.Check()
		fault, ok := errors.AsType[*units.Fault](err)
		if !ok || !errors.Is(err, tables.ErrQuery) || fault.Field != c.field ||
			(fault.Item == "fixture") != (c.f.Kind == "") {
			t.Errorf("%+v: %v, want a fault of %q", c.f, err, c.field)
		}
	}
	for i, words := range [][]string{tables.Uses(), tables.Controls()} {
		if len(words) != []int{4, 7}[i] || words[0] != "" {
			t.Errorf("words %q", words)
		}
		words[0] = "changed"
	}
	for i, w := range tables.Uses() {
		var u tables.Use
		text, err := tables.Use(i).MarshalText()
		if err != nil || string(text) != w || u.UnmarshalText(text) != nil || int(u) != i || u.String() != w {
			t.Errorf("use %d is written %q, read back %v, %v", i, text, u, err)
		}
	}
	for i, w := range tables.Controls() {
		var c tables.Control
		text, err := tables.Control(i).MarshalText()
		if err != nil || string(text) != w || c.UnmarshalText(text) != nil || int(c) != i || c.String() != w {
			t.Errorf("control %d is written %q, read back %v, %v", i, text, c, err)
		}
	}
}

// TestNotJudged: of a set's rows that no check reads those of the half asked for are told, family by family in
// the order of the list, rules without the name of their table.
func TestNotJudged(t *testing.T) {
	list := "# id: comparison/not-judged\n# title: Not judged\n# source: code\n# key: rows\n" +
		"rows,family,src,status\ncity/rules:a,pumps,,read\ntown/grease,interceptors,,read\n" +
		"town/rules:pump-alarm,pumps,,read\ntown/rules:pump-lid,pumps,,read\ntown/supply-rules:hose,hoses,,read\n"
	families := "# id: comparison/not-judged-families\n# title: Families\n# source: code\n# key: family\n" +
		"family,of,why,src,status\nhoses,water,not drawn,,read\ninterceptors,drains,,,read\n" +
		"pumps,drains,no pump in a layout,,read\n"
	files := fstest.MapFS{"sources.csv": {Data: []byte(documents)}, "comparison/not-judged.csv": {Data: []byte(list)}}
	if _, err := tables.Open(files).NotJudged("town", tables.Drains); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("without the families: %v", err)
	}
	files["comparison/not-judged-families.csv"] = &fstest.MapFile{Data: []byte(families)}
	for half, want := range map[tables.Half][]tables.Unjudged{
		tables.Drains: {{Family: "interceptors", Rows: []string{"grease"}},
			{Family: "pumps", Why: "no pump in a layout", Rows: []string{"pump-alarm", "pump-lid"}}},
		tables.Water: {{Family: "hoses", Why: "not drawn", Rows: []string{"hose"}}},
	} {
		got, err := tables.Open(files).NotJudged("town", half)
		if diff := cmp.Diff(want, got); diff != "" || err != nil {
			t.Errorf("%s: %v\n%s", half, err, diff)
		}
	}
	delete(files, "comparison/not-judged.csv")
	if _, err := tables.Open(files).NotJudged("town", tables.Drains); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("without the list: %v", err)
	}
}

// TestCellJSON: a cell is written as its value or as the word for what it is instead, and reads back as it was.
func TestCellJSON(t *testing.T) {
	for want, c := range map[string]tables.Cell[float64]{
		"2.5": {Kind: tables.Value, Value: 2.5}, "null": {}, `"not permitted"`: {Kind: tables.NotPermitted},
		`"unlimited"`: {Kind: tables.Unlimited},
	} {
		data, err := json.Marshal(c)
		back := tables.Cell[float64]{Kind: tables.Unlimited, Value: 7}
		if err != nil || string(data) != want || json.Unmarshal(data, &back) != nil || back != c {
			t.Errorf("%+v is written %s, %v, read back %+v", c, data, err, back)
		}
		if v, ok := c.Get(); ok != (c.Kind == tables.Value) || v != c.Value {
			t.Errorf("%+v holds %v, %v", c, v, ok)
		}
		var kind tables.CellKind
		if text, err := c.Kind.MarshalText(); err != nil || kind.UnmarshalText(text) != nil || kind != c.Kind {
			t.Errorf("%v reads back as %v, %v", c.Kind, kind, err)
		}
	}
}

// TestRuleSetAsData: a set's rules go out as a list, none as an empty one; without a set nothing is found.
func TestRuleSetAsData(t *testing.T) {
	rs, err := shelfWithRules(ruleHead + "a,1,1,,what,,,read\nb,2,in,,,,,read\n").Rules("town")
	if err != nil {
		t.Fatal(err)
	}
	var none *tables.RuleSet
	for n, set := range map[int]*tables.RuleSet{2: rs, 0: none} {
		data, err := json.Marshal(&struct{ Rules *tables.RuleSet }{set})
		if n == 0 {
			data, err = none.MarshalJSON()
			data = slices.Concat([]byte(`{"Rules":`), data, []byte("}"))
		}
		var back struct{ Rules []map[string]any }
		if err != nil || json.Unmarshal(data, &back) != nil || back.Rules == nil || len(back.Rules) != n {
			t.Errorf("%d rules are written %s, %v", n, data, err)
		}
	}
	if _, ok := none.Rule("a"); ok || none.Len() != 0 || none.At(0).ID != "" || rs.At(1).ID != "b" {
		t.Error("no set has rules")
	}
	_, _, err = tables.RuleValue[float64](none, "a")
	if !errors.Is(err, tables.ErrNotFound) || !strings.Contains(err.Error(), `"a"`) {
		t.Errorf("of no set: %v", err)
	}
}

// TestWhereToLook: a question about a row says where to look it up, and its reason goes without what settling it
// added.
func TestWhereToLook(t *testing.T) {
	table, err := shelfOf(head + "size[in],grade[in/ft],max_load[dfu],note,src,status\n2,0.25,21,,,memory\n" +
		"3,0.25,42,,,practice\n4,0.25,216,by one page 180.,,disputed\n").Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	for row, fix := range map[int]string{
		-1: "Look up the figure in the code in force, or ask the authority.",
		0:  "Look up the figure in Town Plumbing Code 3rd, or ask the authority.",
		1:  "Ask the authority whether it goes by this figure.",
	} {
		cite := table.Cite(row)
		f := tables.Finding{Rule: "load", Verdict: tables.Fail, Reason: "Too much", Citation: cite}.Settle()
		if row < 0 {
			f.Fix = cite.LookUp()
		}
		if f.Fix != fix {
			t.Errorf("row %d: %q, want %q", row, f.Fix, fix)
		}
		if got := f.Compared(); strings.TrimSuffix(got, ".") != "Too much" {
			t.Errorf("row %d: compared %q of %q", row, got, f.Reason)
		}
	}
	disputed := tables.Finding{Rule: "load", Verdict: tables.Fail, Reason: "Too much.", Citation: table.Cite(2)}
	if got := disputed.Settle(); got.Reason !=
		"Too much. Sources disagree on the figure; by this one it fails: by one page 180." ||
		got.Verdict != tables.Ask || got.IfConfirmed != tables.Fail || got.Compared() != "Too much." {
		t.Errorf("%+v", got)
	}
	if disputed.Verdict = tables.Pass; disputed.Settle() != disputed { // by the other figure it passes too
		t.Errorf("%+v", disputed.Settle())
	}
	sections, err := shelfOf(head + "# section: Table 4\nsize[in],grade[in/ft],max_load[dfu],note,src,status\n" +
		"2,0.25,21,,,memory\n").Table("town/drain")
	if err != nil || sections.Cite(0).LookUp() != "Look up Table 4 in the code in force, or ask the authority." {
		t.Errorf("%q, %v", sections.Cite(0).LookUp(), err)
	}
	want := []tables.CitedCell{{Column: table.Columns()[0], Text: "3"}, {Column: table.Columns()[1], Text: "0.25"}}
	if diff := cmp.Diff(want, table.Cite(1).Keys()); diff != "" || (tables.Citation{}).Keys() != nil {
		t.Errorf("keys:\n%s", diff)
	}
}

// TestNoShelf: a shelf that nobody made is an error, whatever it is asked.
func TestNoShelf(t *testing.T) {
	for _, s := range []*tables.Shelf{nil, new(tables.Shelf)} {
		for what, err := range map[string]error{
			"table": second(s.Table("town/drain")), "ids": second(s.IDs()), "sum": second(s.Sum()),
			"audit": second(s.Audit()), "rules": second(s.Rules("town")), "sources": second(s.Sources()),
			"source": second(s.Source("code")), "amended": second(s.Amended()), "with": second(s.With(fstest.MapFS{})),
		} {
			if !errors.Is(err, tables.ErrNotFound) || !strings.Contains(err.Error(), "no shelf") {
				t.Errorf("%s: %v", what, err)
			}
		}
	}
}

func second[T any](_ T, err error) error { return err }
