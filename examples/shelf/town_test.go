package shelf

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// townShelf is a shelf of one invented town, small enough to say by hand what is printed of it.
func townShelf(t *testing.T) *tables.Shelf {
	t.Helper()
	table := func(id, key, more, rows string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("# id: " + id + "\n# title: T of " + id + "\n# source: town\n# key: " + key +
			"\n" + more + rows)}
	}
	shelf := tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Town Code,Town Press,,2020,,\n" +
			"page,A page,,,2021,,\n")},
		"comparison/questions.csv": table("comparison/questions", "fact", "", "fact,what,src,status\n"+
			"slope,least slope,,practice\ntrap-arm-2-in,longest 2 in trap arm,,practice\n"),
		"comparison/facts.csv": table("comparison/facts", "fact, code", "", "fact,code,value,unit,si_value,si_unit,note,"+
			"src,status\nslope,town,48,1:n,2.1,%,,,read\ntrap-arm-2-in,city,6,ft,,,by hearsay,,memory\n"+
			"trap-arm-2-in,town,8,ft,2.44,m,,,read\n"),
		"comparison/disagreements.csv": table("comparison/disagreements", "table, row, column, there", "",
			"table,row,column,here,there,reason,src,status\ntown/trap-arm,2,max_length,8,5,the page is older,page,read\n"),
		"comparison/not-judged.csv": table("comparison/not-judged", "rows", "", "rows,family,src,status\n"+
			"town/rules:pump,pumps,,practice\ntown/wet-vent,vents,,practice\n"),
		"comparison/not-judged-families.csv": table("comparison/not-judged-families", "family", "",
			"family,of,why,src,status\npumps,drains,no pump is drawn,,practice\nvents,drains,not drawn either,,practice\n"),
		"town/rules.csv": table("town/rules", "rule", "", "rule,value,unit,section,what,note,src,status\n"+
			"cleanout-spacing,100,ft,10.2,between cleanouts,,,read\npump,yes,,9.1,a pump,,,read\n"),
		"town/trap-arm.csv": table("town/trap-arm", "size", "# section: Table 9\n# monotone: max_length up with size\n"+
			"# except: max_length at 3: printed so (page)\n# column size: nominal\n# note: as printed\n",
			"size[in],max_length[ft],note,src,status\n2,8,,,read2\n3,6,first|second,page,read\n4,12,,,practice\n"),
		"town/wet-vent.csv": table("town/wet-vent", "size", "", "size[in],max_load[dfu],src,status\n2,4,,read\n"),
	})
	return shelf
}

// printed is what a function prints, without the blanks at the ends of lines and the runs of them within.
func printed(t *testing.T, f func(*bytes.Buffer) error) []string {
	t.Helper()
	var b bytes.Buffer
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.Lines(b.String()) {
		if words := strings.Join(strings.Fields(line), " "); words != "" {
			lines = append(lines, words)
		}
	}
	return lines
}

// TestAuditOfTown: ten rows about the shelf and six of the town, counted by hand by their standing; of the rows without the
// lists about the shelf none is recalled of 6.
func TestAuditOfTown(t *testing.T) {
	got := printed(t, func(b *bytes.Buffer) error { return Audit(b, townShelf(t)) })
	want := []string{"Data version " + tables.DataVersion,
		"set tables rows read2 read computed disputed practice memory amended",
		"comparison 5 10 0 3 0 0 6 1 0", "town 3 6 1 4 0 0 1 0 0", "all 8 16 1 7 0 0 7 1 0",
		"Recalled and not seen in print:",
		"0.0 % 0 of 6 all rows but lists about the shelf", "0.0 % 0 of 0 that decide the demonstration",
		"0.0 % 0 of 0 that decide the job files", "0.0 % 0 of 0 that decide the published problems",
		"1 rows break a rule that their table declares, as printed:",
		"town/trap-arm max_length, size 3 in: printed so (A page (2021))",
		"1 cells on which sources disagree:",
		"town/trap-arm 2, max_length: here 8, 5 in A page (2021) (read): the page is older",
		"2 tables and single rows that no answer reads:", "pumps: no pump is drawn", "town/rules:pump",
		"vents: not drawn either", "town/wet-vent"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if got, want := share(1, 8), "12.5 %      1 of     8"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestListsOfTown(t *testing.T) {
	shelf := townShelf(t)
	for name, c := range map[string]struct {
		print func(*bytes.Buffer) error
		want  []string
	}{
		"facts":   {func(b *bytes.Buffer) error { return Facts(b, shelf) }, []string{"slope least slope", "trap-arm-2-in longest 2 in trap arm"}},
		"sources": {func(b *bytes.Buffer) error { return Sources(b, shelf) }, []string{"page A page (2021)", "town Town Code (2020) Town Press"}},
		"arm": {func(b *bytes.Buffer) error { return Compare(b, shelf, "trap-arm-2-in") },
			[]string{"Longest 2 in trap arm", "code printed metric status note", "~ city 6 ft memory by hearsay",
				"town 8 ft 2.44 m read", "On the shelf:", "town: 8 ft", "Town Code (2020), Table 9: size 2 in",
				"~ not seen in print: ask before relying on it. Loads and capacities are in units of each code, " +
					"which do not compare."}},
		"slope": {func(b *bytes.Buffer) error { return Compare(b, shelf, "slope") },
			[]string{"Least slope", "code printed metric status note", "town 1:48 2.1 % read",
				"~ not seen in print: ask before relying on it. Loads and capacities are in units of each code, " +
					"which do not compare."}},
		"codes": {func(b *bytes.Buffer) error { return Codes(b, shelf, false) },
			[]string{"set drains sized water sized loads drains stacks grades arms vents wet cleanouts turns units demand " +
				"outlets rules read", "town . . . . . . x . . . . . . . 1 of 2"}},
	} {
		if d := cmp.Diff(c.want, printed(t, c.print)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	list := printed(t, func(b *bytes.Buffer) error { return List(b, shelf) })
	if len(list) != 8 || !slices.Contains(list, "town/trap-arm 3 rows T of town/trap-arm") {
		t.Errorf("%q", list)
	}
	if err := Compare(new(bytes.Buffer), shelf, "nothing"); err == nil || !strings.Contains(err.Error(), `"nothing"`) {
		t.Error(err)
	}
	if a, ok := lives["cleanout-spacing-4-in"].find(shelf, "town"); !ok || a.value != "100 ft" {
		t.Errorf("the spacing of cleanouts is %q, %v", a.value, ok)
	}
	if _, ok := lives["capacity-3-in-drain"].find(shelf, "town"); ok {
		t.Error("a table that is not there is found")
	}
}

// TestTextOfTown: rows that an ordinance changed are starred, those nobody saw in print are marked, and what is
// gone is told.
func TestTextOfTown(t *testing.T) {
	shelf := townShelf(t)
	text := func(shelf *tables.Shelf, format string) []string {
		table, err := shelf.Table("town/trap-arm")
		if err != nil {
			t.Fatal(err)
		}
		return printed(t, func(b *bytes.Buffer) error { return Write(b, table, format) })
	}
	head := []string{"T of town/trap-arm (town/trap-arm)", "Town Code (2020), Table 9", "size: nominal",
		"boundary: at most; interpolation: none", "note: as printed", "size[in] max_length[ft] note status"}
	want := append(slices.Clone(head), "2 8 read2", "3 6 first|second read", "~ 4 12 practice",
		"~ not seen in print, or common practice: ask before relying on it")
	if d := cmp.Diff(want, text(shelf, "text")); d != "" {
		t.Error(d)
	}
	amended, err := shelf.With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nseven,Ordinance 7,Town,,2024,,\n")},
		"town/trap-arm.csv": {Data: []byte("# id: town/trap-arm\n# source: seven\nop,size[in],max_length[ft],status\n" +
			"set,2,7,read\ndrop,4,,\n")}})
	if err != nil {
		t.Fatal(err)
	}
	want = append(slices.Clone(head), "* 2 7 read", "3 6 first|second read",
		"* Ordinance 7 (2024): size 2 in (amends Town Code (2020))", "* dropped: Ordinance 7 (2024): size 4 in (amends Town Code (2020))")
	if d := cmp.Diff(want, text(amended, "text")); d != "" {
		t.Error(d)
	}
	markdown := text(shelf, "markdown")
	if !slices.Contains(markdown, `| 3 | 6 | first\|second | read | A page (2021), Table 9: size 3 in |`) ||
		!slices.Contains(markdown, "| --- | --- | --- | --- | --- |") {
		t.Errorf("%q", markdown)
	}
	var b bytes.Buffer
	if err := Codes(&b, shelf, true); err != nil || strings.Contains(b.String(), "rules read") ||
		!strings.Contains(b.String(), "\n| --- | :-: | :-: |") {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// TestOrderOfSections: as a book has them, numbers by size and tables with their sections.
func TestOrderOfSections(t *testing.T) {
	order := []string{"", "9", "9.1", "Table 9.2", "9.2.1", "9.10", "10", "Table 101.4", "A", "A1", "A2", "A10", "B"}
	for i, a := range order {
		for k, b := range order {
			if got := compareSections(a, b); (got < 0) != (i < k) || (got > 0) != (i > k) {
				t.Errorf("%q to %q: %d", a, b, got)
			}
		}
	}
	if compareSections("009", "9") != 0 {
		t.Error("009 is not 9")
	}
}

// TestPagesOfTown: what the pages say of a set's tables and single figures, worked by hand.
func TestPagesOfTown(t *testing.T) {
	b, err := newBook(townShelf(t))
	if err != nil {
		t.Fatal(err)
	}
	sets, err := b.sets()
	if err != nil || len(sets) != 2 {
		t.Fatalf("%d sets, %v", len(sets), err)
	}
	if sets[0].Name() != "Comparison" || sets[1].Name() != "Town Code (2020)" {
		t.Errorf("sets %q and %q", sets[0].Name(), sets[1].Name())
	}
	rules, arm, wet := sets[1].Tables[0], sets[1].Tables[1], sets[1].Tables[2]
	spacing, pump := rules.Rows[0], rules.Rows[1]
	if spacing.ID != "rules.cleanout-spacing" || spacing.Rule != "cleanout spacing" || spacing.Section != "10.2" ||
		spacing.What != "between cleanouts" || spacing.Unread != "" || pump.Unread != "no pump is drawn" || !rules.HasNotes {
		t.Errorf("%+v\n%+v", spacing, pump)
	}
	if arm.HasNotes != true || arm.Rows[1].Note != "first|second" || !slices.Equal(arm.Rows[1].Sources, []string{"page"}) ||
		arm.Rows[0].Standing != "seen twice" || arm.Rows[0].Doubt || !arm.Rows[2].Doubt || arm.Rows[0].ID != "" ||
		len(arm.Heads) != 2 || arm.Heads[1] != (bookHead{"max length", "ft", ""}) || arm.Heads[0].About != "nominal" ||
		arm.Read != "a value equal to a limit fits, only what is printed counts" ||
		!slices.Equal(arm.Disagreements, []string{"2, max_length: here 8, 5 in A page (2021): the page is older"}) {
		t.Errorf("%+v", arm)
	}
	if wet.Unread != "not drawn either" || wet.ReadBy != nil || wet.HasNotes {
		t.Errorf("%+v", wet)
	}
	find := func(list []bookEntry, word string) []bookPlace {
		for _, e := range list {
			if e.Word == word {
				return e.Places
			}
		}
		return nil
	}
	subjects := bySubject(sets)
	if got := find(subjects, "trap arm"); !slices.Equal(got, []bookPlace{{"town", "town.html#trap-arm"}}) {
		t.Errorf("trap arm: %v", got)
	}
	if got := find(subjects, "cleanout spacing"); !slices.Equal(got, []bookPlace{{"town", "town.html#rules.cleanout-spacing"}}) {
		t.Errorf("cleanout spacing: %v", got)
	}
	want := []bookPlace{{"Table 9, T of town/trap-arm", "town.html#trap-arm"}, {"9.1, a pump", "town.html#rules.pump"},
		{"10.2, between cleanouts", "town.html#rules.cleanout-spacing"}}
	if got := find(bySection(sets), "Town Code (2020)"); !slices.Equal(got, want) {
		t.Errorf("sections of the code: %v", got)
	}
}
