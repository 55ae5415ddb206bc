package tables_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

const drains = head + `# monotone: max_load up with size
size[in],grade[in/ft],max_load[dfu],note,src,status
2,0.25,21,,,read2
3,0.25,42,printed so,page,memory
4,0.25,216,,,read
`

const townSources = "sources.csv"

// amendment makes a directory that amends town/drain under an ordinance.
func amendment(id, rows string) fstest.MapFS {
	return fstest.MapFS{
		townSources: {Data: []byte("id,title,publisher,edition,year,url,note\n" + id + ",Ordinance " + id +
			",Town,,2024,,\n")},
		"town/drain.csv": {Data: []byte("# id: town/drain\n# source: " + id + "\n# section: Section 3\n" + rows)},
	}
}

func rowsOf(t *tables.Table) []string {
	var list []string
	for i := range t.Len() {
		var b []string
		for j := range t.Columns() {
			b = append(b, t.Cell(i, j))
		}
		list = append(list, strings.Join(b, ",")+" | "+t.Cite(i).String())
	}
	return list
}

func TestAmendment(t *testing.T) {
	base := shelfOf(drains)
	shelf, err := base.With(amendment("seven", `op,size[in],grade[in/ft],max_load[dfu],status
drop,2,0.25,,
set,3,0.250,40,read
add,6,0.25,-,read
`))
	if err != nil {
		t.Fatal(err)
	}
	table, err := shelf.Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"3,0.250,40,,,read | Ordinance seven (2024), Section 3: size 3 in, grade 0.250 in/ft (amends Town Plumbing " +
			"Code 3rd)",
		"4,0.25,216,,,read | Town Plumbing Code 3rd: size 4 in, grade 0.25 in/ft",
		"6,0.25,-,,,read | Ordinance seven (2024), Section 3: size 6 in, grade 0.25 in/ft (amends Town Plumbing " +
			"Code 3rd)",
	}
	if diff := cmp.Diff(want, rowsOf(table)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	was := table.Cite(0).Original()
	if got, want := was.String(), "A page (2021): size 3 in, grade 0.25 in/ft (recalled, not seen in print; printed so)"; got != want {
		t.Errorf("the original is %q, want %q", got, want)
	}
	if added := table.Cite(2); !added.Amended() || !added.Original().IsZero() {
		t.Errorf("the added row: amended %v, original %v", added.Amended(), added.Original())
	}
	if table.Cite(1).Amended() {
		t.Error("a row that was kept is called amended")
	}
	if d, want := table.Dropped()[0].String(),
		"Ordinance seven (2024), Section 3: size 2 in, grade 0.25 in/ft (amends Town Plumbing Code 3rd)"; d != want {
		t.Errorf("dropped by %q, want %q", d, want)
	}
	if d := table.Dropped(); len(d) != 1 || d[0].Row() != "size 2 in, grade 0.25 in/ft" || d[0].Source().ID != "seven" {
		t.Errorf("dropped %v", d)
	}
	if file, line := table.Cite(0).File(); file != "amendment 1: town/drain.csv" || line != 6 {
		t.Errorf("row read from %s:%d", file, line)
	}
	if plain, _ := base.Table("town/drain"); plain.Amended() || plain.Len() != 3 {
		t.Error("the shelf below changed")
	}
}

// TestAmendmentsInTurn lays a town's amendment over a state's.
func TestAmendmentsInTurn(t *testing.T) {
	state, err := shelfOf(drains).With(amendment("state",
		"op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,41,read\nset,4,0.25,210,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	town, err := state.With(amendment("town", "op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	table, err := town.Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	i, _ := table.Find("3", "0.25")
	c := table.Cite(i)
	chain := []string{c.Source().ID, c.Original().Source().ID, c.Original().Original().Source().ID,
		c.Original().Original().Original().Source().ID}
	if diff := cmp.Diff([]string{"town", "state", "page", ""}, chain); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if file, _ := c.File(); file != "amendment 2: town/drain.csv" {
		t.Errorf("the town's row was read from %q", file)
	}
	j, _ := table.Find("4", "0.25")
	if got := table.Cite(j); got.Source().ID != "state" || !got.Amended() {
		t.Errorf("the row the town left alone is from %q", got.Source().ID)
	}
}

func TestAmendmentFaults(t *testing.T) {
	const columns = "op,size[in],grade[in/ft],max_load[dfu],status\n"
	for _, c := range []struct {
		name, rows string
		cause      error
	}{
		{"no-rows", columns, tables.ErrAmendment},
		{"unknown-op", columns + "put,3,0.25,40,read\n", tables.ErrAmendment},
		{"set-nothing", columns + "set,5,0.25,40,read\n", tables.ErrAmendment},
		{"drop-nothing", columns + "drop,5,0.25,,read\n", tables.ErrAmendment},
		{"add-existing", columns + "add,3,0.25,40,read\n", tables.ErrAmendment},
		{"add-the-first", columns + "add,2,0.25,20,read\n", tables.ErrAmendment},
		{"conflict", columns + "set,3,0.25,40,read\nset,3,0.25,41,read\n", tables.ErrDuplicate},
		{"set-and-drop", columns + "set,3,0.25,40,read\ndrop,3,0.250,,read\n", tables.ErrDuplicate},
		{"disorder", columns + "set,4,0.25,200,read\nset,3,0.25,41,read\n", tables.ErrOrder},
		{"unknown-column", "op,size[in],grade[in/ft],load[dfu],status\nset,3,0.25,40,read\n", tables.ErrColumn},
		{"other-unit", "op,size[mm],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n", tables.ErrUnit},
		{"no-key", "op,size[in],max_load[dfu],status\nset,3,40,read\n", tables.ErrColumn},
		{"no-status", "op,size[in],grade[in/ft],max_load[dfu]\nset,3,0.25,40\n", tables.ErrColumn},
		{"own-key", "# key: size\n" + columns + "set,3,0.25,40,read\n", tables.ErrHeader},
		{"no-op", "size[in],grade[in/ft],max_load[dfu],status\n3,0.25,40,read\n", tables.ErrColumn},
		{"breaks-monotone", columns + "set,3,0.25,400,read\n", tables.ErrMonotone},
		{"no-number", columns + "set,3,0.25,few,read\n", tables.ErrCell},
		{"not-a-number", columns + "set,3,0.25,NaN,read\n", tables.ErrCell},
		{"infinite", columns + "set,3,0.25,1e309,read\n", tables.ErrCell},
		{"hexadecimal", columns + "set,3,0.25,0x28,read\n", tables.ErrCell},
		{"a-cell-of-100-kB", columns + "set,3,0.25," + strings.Repeat("9", 100_000) + ",read\n", tables.ErrTooLarge},
		{"a-null", columns + "set,3,0.25,\x00,read\n", tables.ErrSyntax},
		{"moves-the-cursor", columns + "\x1b[2J,3,0.25,40,read\n", tables.ErrSyntax},
		{"not-utf-8", columns + "set,3,0.25,\xff,read\n", tables.ErrSyntax},
		{"open-quote", columns + `set,3,0.25,"41,read` + "\n", tables.ErrSyntax},
		{"cells-missing", columns + "set,3,0.25\n", tables.ErrSyntax},
		{"cells-over", columns + "set,3,0.25,40,read,more\n", tables.ErrSyntax},
		{"a-formula", columns + "=set,3,0.25,40,read\n", tables.ErrAmendment},
		{"status-of-their-own", columns + "set,3,0.25,40,seen\n", tables.ErrStatus},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := shelfOf(drains).With(amendment("seven", c.rows)); !errors.Is(err, c.cause) {
				t.Errorf("got %v, want %v", err, c.cause)
			}
		})
	}
}

// An amendment may leave out columns, have notes and no src, and touch a table whose
// figures stand before its keys.
func TestAmendmentOfSomeColumns(t *testing.T) {
	const (
		top    = "# title: T\n# source: code\n# key: size\n# monotone: load up with size\n"
		excuse = "# except: load at 3: printed so (code)\n"
	)
	base := tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte(documents)},
		"town/t.csv": {Data: []byte("# id: town/t\n" + top + excuse +
			"load[dfu],size[in],vent[in],note,src,status\n21,2,1.5,first,,read\n20,3,2,,,read\n42,4,2,,,read\n")},
	})
	shelf, err := base.With(fstest.MapFS{
		"town/t.csv": {Data: []byte(
			"# id: town/t\n# source: page\n# except: load at 4: capped (page)\nop,size[in],load[dfu],note,status\n" +
				"set,2,60,capped,read\nset,3,61,,read\n")}})
	if err != nil {
		t.Fatal(err)
	}
	table, err := shelf.Table("town/t")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"60,2,1.5,capped,,read | A page (2021): size 2 in (amends Town Plumbing Code 3rd)",
		"61,3,2,,,read | A page (2021): size 3 in (amends Town Plumbing Code 3rd)",
		"42,4,2,,,read | Town Plumbing Code 3rd: size 4 in",
	}
	if diff := cmp.Diff(want, rowsOf(table)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	_, err = base.With(fstest.MapFS{
		"town/t.csv": {Data: []byte(
			"# id: town/t\n# source: page\nop,size[in],load[dfu],status\nset,4,60,read\nset,3,20,read\n")}})
	if !errors.Is(err, tables.ErrOrder) || !strings.Contains(err.Error(), "size 3 in comes after size 4 in") {
		t.Errorf("disorder: %v", err)
	}
	_, err = base.With(fstest.MapFS{
		"town/u.csv": {Data: []byte("# id: town/u\n# source: page\nop,size[in],load[dfu],status\nset,4,60,read\n")}})
	if !errors.Is(err, tables.ErrAmendment) || !strings.Contains(err.Error(), "a table that is not on the shelf") {
		t.Errorf("of no table: %v", err)
	}
}

// An audit counts set by set.
func TestAuditOfSets(t *testing.T) {
	fsys := fstest.MapFS{"sources.csv": {Data: []byte(documents)}}
	for id, rows := range map[string]string{"a/one": "2,,read\n3,,memory\n", "a/two": "2,,read2\n",
		"b/one": "4,,read\n"} {
		fsys[id+".csv"] = &fstest.MapFile{Data: []byte("# id: " + id +
			"\n# title: T\n# source: code\n# key: size\nsize[in],src,status\n" + rows)}
	}
	audit, err := tables.Open(fsys).Audit()
	if err != nil {
		t.Fatal(err)
	}
	want := []tables.SetAudit{{Set: "a", Tables: 2, Rows: 3}, {Set: "b", Tables: 1, Rows: 1}}
	want[0].ByStatus[tables.Read], want[0].ByStatus[tables.Memory], want[0].ByStatus[tables.Read2],
		want[1].ByStatus[tables.Read] = 1, 1, 1, 1
	if diff := cmp.Diff(want, audit.Sets); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestAmendmentExceptionExcuses(t *testing.T) {
	a := amendment("seven", "# except: max_load at 4, 0.25: the ordinance caps the smaller pipe only (seven)\n"+
		"op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,400,read\n")
	if _, err := shelfOf(drains).With(a); err != nil {
		t.Error(err)
	}
}

// TestAmendmentsMeet checks that two amendments of one call must not touch the
// same row, and may touch others.
func TestAmendmentsMeet(t *testing.T) {
	const columns = "op,size[in],grade[in/ft],max_load[dfu],status\n"
	a := amendment("a", columns+"set,3,0.25,40,read\ndrop,4,0.25,,read\n")
	for name, rows := range map[string]string{
		"set-set":  "set,3,0.25,41,read\n",
		"set-drop": "drop,3,0.25,,read\n",
		"drop-add": "add,4,0.25,200,read\n",
		"spelled":  "set,3.0,1/4,41,read\n",
		"dropped":  "add,4.0,1/4,200,read\n",
	} {
		if _, err := shelfOf(drains).With(a, amendment("b", columns+rows)); !errors.Is(err, tables.ErrAmendment) {
			t.Errorf("%s gives %v", name, err)
		}
	}
	shelf, err := shelfOf(drains).With(a, amendment("b", columns+"set,2,0.25,20,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	table, _ := shelf.Table("town/drain")
	for row, want := range []string{"amendment 2: town/drain.csv", "amendment 1: town/drain.csv"} {
		if file, _ := table.Cite(row).File(); file != want {
			t.Errorf("row %d was read from %q, want %q", row, file, want)
		}
	}
	if table.Len() != 2 || table.Cite(0).Source().ID != "b" || table.Cite(1).Source().ID != "a" {
		t.Errorf("got %v", rowsOf(table))
	}
}

func TestAmendmentBringsTables(t *testing.T) {
	a := fstest.MapFS{
		"town/sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nown,Own notes,,,,,\n")},
		"town/vent.csv": {Data: []byte(
			"# id: town/vent\n# title: Vents\n# source: own\n# key: size\nsize[in],src,status\n2,,practice\n")},
	}
	shelf, err := shelfOf(drains).With(a)
	if err != nil {
		t.Fatal(err)
	}
	ids, err := shelf.IDs()
	if diff := cmp.Diff([]string{"town/drain", "town/vent"}, ids); diff != "" || err != nil {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
	if table, err := shelf.Table("town/vent"); err != nil || table.Cite(0).Amended() {
		t.Errorf("a new table: %v", err)
	}
	a["town/drain.csv"] = &fstest.MapFile{Data: []byte(strings.Replace(drains, "source: code", "source: own", 1))}
	if _, err := shelfOf(drains).With(a); !errors.Is(err, tables.ErrAmendment) {
		t.Errorf("a whole table over one that is there gives %v", err)
	}
}

// TestStrayFiles: a file that would be passed over in silence is a fault.
func TestStrayFiles(t *testing.T) {
	const rows = "op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n"
	for _, name := range []string{"drain.csv", "town/Drain.csv", "town/drain.CSV", "town/drain_.csv", "Town/drain.csv",
		"town_1/drain.csv", "town/.csv"} {
		a := amendment("seven", rows)
		a[name] = a["town/drain.csv"]
		if _, err := shelfOf(drains).With(a); !errors.Is(err, tables.ErrName) {
			t.Errorf("%s gives %v", name, err)
		}
	}
	a := amendment("seven", rows)
	for _, name := range []string{"README.md", "town/notes.txt", ".git/drain.csv", "town/old/drain.txt"} {
		a[name] = &fstest.MapFile{Data: []byte("not a table")}
	}
	if _, err := shelfOf(drains).With(a); err != nil {
		t.Error(err)
	}
	if _, err := shelfOf(drains).With(fstest.MapFS{"README.md": {}}); !errors.Is(err, tables.ErrAmendment) {
		t.Errorf("an amendment without tables gives %v", err)
	}
	if shelf, err := shelfOf(drains).With(); err != nil || shelf == nil {
		t.Errorf("no amendment gives %v", err)
	}
}
