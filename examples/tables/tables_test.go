package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// output runs the program and returns what it prints.
func output(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(args, &out, &errs); status != 0 {
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
	unread, err := tables.Embedded().Table("comparison/not-judged")
	if err != nil {
		t.Fatal(err)
	}
	for row := range unread.Len() {
		if id := unread.Cell(row, unread.Column("rows")); !strings.Contains(got, "\n    "+id+"\n") {
			t.Errorf("the audit does not list %s, which no answer reads", id)
		}
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

// TestCodesInReadme keeps the table of what each code answers in the README as the program
// prints it.
func TestCodesInReadme(t *testing.T) {
	golden.KeepPart(t, "../../README.md", "what a code answers", output(t, "-codes", "-format", "markdown"))
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
		if status := run(c.args, &out, &errs); status != c.status ||
			!strings.Contains(strings.ToLower(errs.String()), strings.ToLower(c.want)) {
			t.Errorf("%q gives status %d and %q", c.args, status, &errs)
		}
	}
}
