package tables_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// records reads a file of testdata without its head.
func records(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	list, err := csv.NewReader(f).ReadAll()
	if err != nil || len(list) < 2 {
		t.Fatalf("%s: %d records, %v", name, len(list), err)
	}
	return list[1:]
}

// TestReadings compares the shelf with what later readings of prints and copies came to:
// each row that one supports has the figure that was seen, stands as it does by it and
// names its source; where a reading was not enough, or has another figure, the row stands
// no higher, and the file says why. A copy of the document's own page counts as seen,
// once; a sister code's page raises the sister's row alone; of two figures the safer acts.
func TestReadings(t *testing.T) {
	raised, kept := 0, 0
	for _, r := range records(t, "readings.csv") {
		id, key, column, seen, standing, source, why := r[0], r[1], r[2], r[3], r[4], r[5], r[6]
		table, err := tables.Embedded().Table(id)
		if err != nil {
			t.Error(err)
			continue
		}
		row, ok := find(t, table, key)
		if !ok {
			t.Errorf("%s has no row %s", id, key)
			continue
		}
		c := table.Cite(row)
		if c.Status().String() != standing {
			t.Errorf("%s %s stands as %v, by its readings it is %s (%s)", id, key, c.Status(), standing, why)
		}
		if why != "" {
			kept++
			continue
		}
		raised++
		if at := table.Column(column); at < 0 || !sameCell(table.Cell(row, at), seen) {
			t.Errorf("%s %s %s: not %s, which testdata/readings.csv says was read in %s: where the document has moved, "+
				"change that line to the later reading", id, key, column, seen, source)
		}
		if !slices.ContainsFunc(c.Sources(), func(s tables.Source) bool { return s.ID == source }) {
			t.Errorf("%s %s does not name %s, in which it was seen", id, key, source)
		}
	}
	if raised < 250 || kept < 100 {
		t.Errorf("%d rows raised and %d kept where they were are compared", raised, kept)
	}
}

// TestWeakSources wants no row called read on examination pages, quizzes and cards, or on
// a page that does not name its document, alone; and none called read2 with talk, a
// forum's quotation or an answer page as its second source.
func TestWeakSources(t *testing.T) {
	kind := map[string]string{}
	for _, r := range records(t, "weak-sources.csv") {
		kind[r[0]] = r[1]
	}
	itself := map[string]bool{} // documents of which a page was seen
	for _, table := range every(t) {
		for i := range table.Len() {
			c := table.Cite(i)
			if s := c.Sources(); c.Status() == tables.Read && len(s) == 1 && s[0].ID == table.Source().ID &&
				table.Column("stand_in") < 0 {
				itself[s[0].ID] = true
			}
		}
	}
	used := map[string]bool{}
	for _, table := range every(t) {
		for i := range table.Len() {
			c := table.Cite(i)
			strong, once, never := 0, 0, 0
			for _, s := range c.Sources() {
				used[s.ID] = true
				switch kind[s.ID] {
				case "questions", "unnamed":
					never++
				case "talk", "answers":
					once = 1
				case "":
					if s.ID != table.Source().ID || itself[s.ID] {
						strong++
					}
				default:
					t.Errorf("%s: no kind %q", s.ID, kind[s.ID])
				}
			}
			switch {
			case table.Set() == "comparison":
			case c.Status() == tables.Read && never > 0 && strong+once == 0:
				t.Errorf("%s %s is read on %v alone", table.ID(), c.Row(), c.Sources())
			case c.Status() == tables.Read2 && strong < 2 && once+never > 0:
				t.Errorf("%s %s is read2 and has one source that counts: %v", table.ID(), c.Row(), c.Sources())
			}
		}
	}
	for id := range kind {
		if !used[id] {
			t.Errorf("no row names %s", id)
		}
	}
}

// TestReadInItsEdition wants no row of a code called read that names another edition of the
// document and not its own, and no part of a water code answered by a table of another set
// unless it says so: a set copied for a new edition holds both until it is gone through.
func TestReadInItsEdition(t *testing.T) {
	for _, table := range every(t) {
		own, more := table.Source(), 0
		for i := range table.Len() {
			c := table.Cite(i)
			if s := c.Status(); s != tables.Read && s != tables.Read2 {
				continue
			}
			named := false
			other := ""
			for _, s := range c.Sources() {
				named = named || s.ID == own.ID
				if s.ID != own.ID && s.Title == own.Title && s.Publisher == own.Publisher {
					other = s.ID
				}
			}
			if other == "" || named {
				continue
			}
			if more++; more == 1 {
				t.Errorf("%s %s is %v in %s, another edition than %s: the row is memory until %s itself was seen",
					table.ID(), c.Row(), c.Status(), other, own.ID, own.ID)
			}
		}
		if more > 1 {
			t.Errorf("%s: %d rows more stand so", table.ID(), more-1)
		}
		at, standIn := table.Column("table"), table.Column("stand_in")
		if at < 0 || standIn < 0 {
			continue
		}
		for i := range table.Len() {
			id := table.Cell(i, at)
			if set, _, _ := strings.Cut(id, "/"); set != table.Set() && table.Cell(i, standIn) != "yes" {
				t.Errorf("%s %s: %s is of another set: name the table of %s, or say yes under stand_in",
					table.ID(), table.Cite(i).Row(), id, table.Set())
			}
		}
	}
}
