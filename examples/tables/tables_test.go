package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// output runs the program and returns what it prints.
func output(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := command(args, &out, &errs); status != 0 {
		t.Fatalf("%q gives status %d: %s", args, status, &errs)
	}
	return out.String()
}

func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"trap-arm.txt":   {"irc-2021/trap-arm"},
		"trap-arm.csv":   {"-format", "csv", "irc-2021/trap-arm"},
		"trap-arm.md":    {"-format", "markdown", "irc-2021/trap-arm"},
		"trap-arm.json":  {"-format", "json", "irc-2021/trap-arm"},
		"stacks.txt":     {"adh-2015/stacks"},
		"compare.txt":    {"-compare", "trap-arm-2-in"},
		"facts.txt":      {"-compare", "list"},
		"amended.txt":    {"-with", "testdata/county", "irc-2021/trap-arm"},
		"two-tables.txt": {"minnesota-4715/trap-arm", "nspc-2018/trap-arm"},
	} {
		t.Run(name, func(t *testing.T) {
			golden.Keep(t, filepath.Join("testdata", name), output(t, args...))
		})
	}
}

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

func TestList(t *testing.T) {
	ids, err := tables.Embedded().IDs()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(output(t)), "\n")
	if len(lines) != len(ids) {
		t.Fatalf("%d lines for %d tables", len(lines), len(ids))
	}
	for i, id := range ids {
		if !strings.HasPrefix(lines[i], id+" ") {
			t.Errorf("line %d is %q, not of %s", i, lines[i], id)
		}
	}
	if got := output(t, "-sources"); !strings.Contains(got, "International Plumbing Code 2021") {
		t.Errorf("no plumbing code among\n%s", got)
	}
}

// TestAudit checks the sums, and that what is declared is listed.
func TestAudit(t *testing.T) {
	got := output(t, "-audit")
	audit, err := tables.Embedded().Audit()
	if err != nil {
		t.Fatal(err)
	}
	rows, tablesCount := 0, 0
	for _, set := range audit.Sets {
		sum := 0
		for _, n := range set.ByStatus {
			sum += n
		}
		if sum != set.Rows {
			t.Errorf("%s: %d rows by status, %d rows", set.Set, sum, set.Rows)
		}
		rows += set.Rows
		tablesCount += set.Tables
	}
	ids, _ := tables.Embedded().IDs()
	if tablesCount != len(ids) || rows == 0 {
		t.Errorf("%d tables counted of %d", tablesCount, len(ids))
	}
	for _, want := range []string{
		"Data version " + tables.DataVersion,
		"pipes/copper-l 4|nominal-wall, wall: here 0.114, 0.110 in Engineering Data Book",
		"fittings/lengths-copper length, fitting check-valve, size 3-1/2 in",
		"that decide the demonstration", "that decide the job files", "that decide the published problems",
		"wet vents: a rule of one code beyond what the checks tell apart\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in the audit", want)
		}
	}
}

// TestCodesInReadme wants the README to show what each code answers, as the program
// prints it.
func TestCodesInReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if got := output(t, "-codes", "-format", "markdown"); !strings.Contains(string(text), got) {
		t.Errorf("README.md does not have the table of codes; it is\n%s", got)
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

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{[]string{"no/such"}, 1, `table "no/such": not on the shelf: the sets are adh-2015,`},
		{[]string{"ipc-2021/traparm"}, 1, `did you mean "ipc-2021/trap-arm"?`},
		{[]string{"irc-2021"}, 1, `irc-2021 has irc-2021/branches-and-stacks,`},
		{[]string{"-verify", "ipc-2012"}, 1, `ipc-2012: no row in doubt`},
		{[]string{"-verify", "ipc-2012"}, 1, `ipc-2021, `},
		{[]string{"-h"}, 0, ""},
		{[]string{"ipc-2021/trap-arm", "-format", "csv"}, 0, ""},
		{[]string{"-compare", "color"}, 1, `no fact "color"`},
		{[]string{"-format", "pdf"}, 2, `no format "pdf"`},
		{[]string{"-with", "testdata/nowhere"}, 1, "no such file"},
		{[]string{"-color"}, 2, "not defined"},
	} {
		var out, errs bytes.Buffer
		// Systems differ in how they spell a file that is missing.
		if status := command(c.args, &out, &errs); status != c.status ||
			!strings.Contains(strings.ToLower(errs.String()), strings.ToLower(c.want)) {
			t.Errorf("%q gives status %d and %q", c.args, status, &errs)
		}
	}
}
