package shelf

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestEveryTable prints each table in each format, and reads back those that a
// program reads.
func TestEveryTable(t *testing.T) {
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		for name, write := range writers {
			var b bytes.Buffer
			if err := write(&b, table); err != nil {
				t.Errorf("%s as %s: %v", table.ID(), name, err)
				continue
			}
			switch name {
			case "csv":
				records, err := csv.NewReader(&b).ReadAll()
				if err != nil || len(records) != table.Len()+1 {
					t.Errorf("%s: %d records, %v", table.ID(), len(records), err)
				}
			case "json":
				var doc struct {
					ID   string
					Rows []struct {
						Cells    []string
						Citation struct{ Table, Status, Text string }
					}
				}
				if err := json.Unmarshal(b.Bytes(), &doc); err != nil || doc.ID != table.ID() ||
					len(doc.Rows) != table.Len() {
					t.Errorf("%s: %d rows of %q, %v", table.ID(), len(doc.Rows), doc.ID, err)
					continue
				}
				for i, row := range doc.Rows {
					if row.Citation.Table != table.ID() || row.Citation.Status != table.Cite(i).Status().String() ||
						row.Cells[0] != table.Cell(i, 0) {
						t.Errorf("%s row %d: %+v", table.ID(), i, row)
					}
				}
			case "markdown":
				rows := 0
				for line := range strings.Lines(b.String()) {
					if !strings.HasPrefix(line, "| ") {
						continue
					}
					rows++
					if n := strings.Count(line, "|") - strings.Count(line, `\|`); n != len(figures(table))+3 {
						t.Errorf("%s: %d bars in %q", table.ID(), n, line)
					}
				}
				if rows != table.Len()+2 {
					t.Errorf("%s: %d lines", table.ID(), rows)
				}
			}
		}
	}
}

// TestCompareAgrees compares each row of the comparison with the row of the set it
// speaks of, as lengths where both are lengths.
func TestCompareAgrees(t *testing.T) {
	facts, err := tables.Load[fact](tables.Embedded(), "comparison/facts")
	if err != nil {
		t.Fatal(err)
	}
	agreed := 0
	for i := range facts.Len() {
		f := facts.At(i)
		l, ok := lives[f.Fact]
		if !ok {
			continue
		}
		a, ok := l.find(tables.Embedded(), f.Code)
		if !ok {
			continue
		}
		agreed++
		printed := quantity(f.Value, f.Unit)
		x, err1 := units.Parse[units.Length](printed)
		y, err2 := units.Parse[units.Length](a.value)
		if same := printed == a.value || err1 == nil && err2 == nil && x == y; !same {
			t.Errorf("%s of %s: %s in the comparison, %s in %s", f.Fact, f.Code, printed, a.value, a.cite.Table())
		}
	}
	if agreed < 15 {
		t.Errorf("%d facts stand in a table too", agreed)
	}
}

// What is not there is told, and nothing panics.
func TestNothing(t *testing.T) {
	if err := Write(io.Discard, nil, "text"); err == nil {
		t.Error("no table is printed")
	}
	table, err := tables.Embedded().Table("ipc-2021/trap-arm")
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(io.Discard, table, "pdf"); err == nil || !strings.Contains(err.Error(), "markdown") {
		t.Error(err)
	}
	for name, f := range map[string]func(io.Writer, *tables.Shelf) error{"Audit": Audit, "List": List, "Sources": Sources,
		"Facts": Facts, "Codes": func(w io.Writer, s *tables.Shelf) error { return Codes(w, s, true) },
		"Compare": func(w io.Writer, s *tables.Shelf) error { return Compare(w, s, "trap-arm-2-in") },
		"Book":    func(w io.Writer, s *tables.Shelf) error { _, err := Book(t.TempDir(), s); return err },
		"Verify": func(w io.Writer, s *tables.Shelf) error {
			return Verify(strings.NewReader(""), w, s, Reading{Set: "ipc-2021"})
		}} {
		for _, s := range []*tables.Shelf{nil, {}} {
			if err := f(io.Discard, s); err == nil {
				t.Errorf("%s of no shelf", name)
			}
		}
	}
}

// The codes that are offered are those under which a layout is sized, and no others; of a
// code of which the shelf has a few rules, the table shows what it has.
func TestCodes(t *testing.T) {
	var b bytes.Buffer
	if err := Codes(&b, tables.Embedded(), false); err != nil {
		t.Fatal(err)
	}
	sized := map[string]bool{}
	rows := 0
	for line := range strings.Lines(b.String()) {
		f := strings.Fields(line)
		if len(f) > 2 && (f[1] == "x" || f[2] == "x") {
			sized[f[0]] = true
		}
		rows++
	}
	for _, id := range []string{"ipc-2021", "upc-2021", "en12056-2", "en806-3", "bs6700", "npc-canada"} {
		if !sized[id] {
			t.Errorf("no layout is sized under %s", id)
		}
	}
	for _, id := range []string{"louisiana-lac51", "ontario-obc", "minnesota-4715", "massachusetts-248cmr"} {
		if sized[id] || !strings.Contains(b.String(), id) {
			t.Errorf("%s is offered, or is not in the table", id)
		}
	}
	for _, id := range []string{"bs5572-1978", "wisconsin-sps382", "new-york-city-2014", "pipes"} {
		if strings.Contains(b.String(), id) {
			t.Errorf("%s answers nothing by itself and is in the table", id)
		}
	}
	if rows < 12 {
		t.Errorf("%d rows", rows)
	}
}
