package shelf

import (
	"bufio"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// TestRowsInDoubt: a row is asked as often as it decides anywhere, if nobody saw it in print, and never if somebody
// did; the sets named are those that have such rows. Each line of the list of deciding rows is counted here once more.
func TestRowsInDoubt(t *testing.T) {
	shelf := tables.Embedded()
	all, err := decidingRows(shelf)
	if err != nil {
		t.Fatal(err)
	}
	total, decides := 0, map[string]int{}
	for _, d := range all {
		decides[d.where]++
	}
	seen := map[string]bool{}
	_, everywhere, err := doubtfulRows(shelf, "upc-2021")
	if err != nil || !slices.Contains(everywhere, "ipc-2021") || !slices.IsSorted(everywhere) {
		t.Fatalf("sets %v, %v", everywhere, err)
	}
	for _, set := range everywhere {
		list, _, err := doubtfulRows(shelf, set)
		if err != nil || len(list) == 0 {
			t.Errorf("%s is named and has %d rows, %v", set, len(list), err)
		}
		for _, d := range list {
			id := d.cite.Table() + " " + d.cite.Row()
			if s := d.cite.Status(); s == tables.Read || s == tables.Read2 || path.Dir(d.cite.Table()) != set || seen[id] {
				t.Errorf("%s: %s, %v", set, id, s)
			}
			seen[id] = true
			total += d.times
		}
	}
	want := 0
	for _, d := range all {
		switch d.cite.Status() {
		case tables.Read, tables.Read2, tables.Computed:
		default:
			want += d.times
		}
	}
	if total != want || want == 0 {
		t.Errorf("asked of rows that decide %d times, of %d", total, want)
	}
	var out strings.Builder
	if err := printShares(&out, shelf, 1, 4); err != nil || !strings.Contains(out.String(), "25.0 %      1 of     4  all rows") {
		t.Errorf("%v\n%s", err, out.String())
	}
	for _, w := range decidingPlaces {
		if lines := strings.Count("\n"+decidingText, "\n"+w.where+","); decides[w.where] != lines {
			t.Errorf("%d of %d rows of %s are on the shelf", decides[w.where], lines, w.name)
		}
		found := ""
		for line := range strings.Lines(out.String()) {
			if strings.HasSuffix(line, "that decide "+w.name+"\n") {
				found = line
			}
		}
		fields := strings.Fields(found) // share % n of n
		if len(fields) < 5 || fields[4] != strings.TrimSpace(share(0, decides[w.where])[len("  0.0 %      0 of "):]) {
			t.Errorf("%s: %q, want of %d", w.name, found, decides[w.where])
		}
	}
}

// TestRowAsked: a reader is told where a row stands in the book, its note and what it is about, each if there is any.
func TestRowAsked(t *testing.T) {
	shelf := tables.Embedded()
	for _, c := range []struct {
		table string
		key   []string
	}{{"upc-2021/rules", []string{"cleanout-spacing"}}, {"irc-2021/branches-and-stacks", []string{"branch", "0", "2"}}} {
		table, err := shelf.Table(c.table)
		if err != nil {
			t.Fatal(err)
		}
		row, ok := table.Find(c.key...)
		if !ok {
			t.Fatalf("%s has no row %v", c.table, c.key)
		}
		cite := table.Cite(row)
		var out strings.Builder
		r := &reader{in: bufio.NewScanner(strings.NewReader("")), out: &out, shelf: shelf}
		r.row(2, 9, decidingRow{times: 7, cite: cite})
		lines := strings.Split(out.String(), "\n")
		head := "2 of 9  " + cite.Source().String()
		if s := cite.Section(); s != "" {
			head += ", " + s
		}
		want := []string{"", head, "  " + c.table + ": " + cite.Row() + " (decides 7 times)"}
		if cite.Note() != "" {
			want = append(want, "  "+cite.Note())
		}
		if at := table.Column("what"); at >= 0 {
			want = append(want, "  unit: "+table.Cell(row, table.Column("unit")), "  what: "+table.Cell(row, at))
		}
		if len(lines) < len(want)+1 || !slices.Equal(lines[:len(want)], want) {
			t.Errorf("asked\n%s\nwant\n%s", out.String(), strings.Join(want, "\n"))
		} else if next := lines[len(want)]; strings.TrimSpace(next) == "" {
			t.Errorf("a blank line stands before the figures: %q", next)
		}
	}
}

// TestPlacesOfIndex: a row that has no place of its own in the book is indexed nowhere.
func TestPlacesOfIndex(t *testing.T) {
	sets := []bookSet{{ID: "town", Tables: []bookTable{{Anchor: "rules", Title: "Rules",
		Rows: []bookRow{{ID: "rules.depth", Rule: "depth"}, {Rule: "no place"}}}}}}
	got := places(sets, func(_ *bookSet, _ *bookTable, r *bookRow) (string, string) { return "word", r.Rule })
	want := []bookPlace{{"rules", "town.html#rules"}, {"depth", "town.html#rules.depth"}}
	if !slices.Equal(got["word"], want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestMarkdownHead: the rule below the head of a table has a dash for the first column and one in the middle for each other.
func TestMarkdownHead(t *testing.T) {
	var out strings.Builder
	err := markdownRows(&out, [][]string{{"set", "loads", "drains"}, {"ipc-2021", "x", "."}, {"irc-2021", "x", "x"}})
	const want = "| set | loads | drains |\n| --- | :-: | :-: |\n| ipc-2021 | x | . |\n| irc-2021 | x | x |\n"
	if err != nil || out.String() != want {
		t.Errorf("%v\n%s", err, out.String())
	}
	b, err := newBook(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	// By the list: rules of the UPC decide all three; of the loss of meters what stands there.
	for _, table := range []string{"upc-2021/rules", "devices/supply-meter-loss", "din1986-100/drain-capacity"} {
		var want []string
		for _, w := range decidingPlaces {
			if strings.Contains(decidingText, "\n"+w.where+","+table+",") {
				want = append(want, w.name)
			}
		}
		if got := b.decides[table]; !slices.Equal(got, want) || len(want) == 0 {
			t.Errorf("%s decides %q, want %q", table, got, want)
		}
	}
}
