package proof

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// hearer keeps what a check says instead of failing the test.
type hearer struct {
	testing.TB
	said []string
}

func (h *hearer) Helper() {}

func (h *hearer) Errorf(format string, args ...any) {
	h.said = append(h.said, fmt.Sprintf(format, args...))
}

// TestDecidingKept: of twenty rows of a place two may go or come without the file being written anew, not three; what
// other places have in it plays no part, nor how often a row decides, nor what names no table.
func TestDecidingKept(t *testing.T) {
	const head = "where,table,row,times\n"
	file := filepath.Join(t.TempDir(), "deciding.csv")
	var text strings.Builder
	text.WriteString(head)
	for i := range 20 {
		fmt.Fprintf(&text, "demo,rules,row %02d,2\n", i)
	}
	for i := range 30 {
		fmt.Fprintf(&text, "jobs,rules,row %02d,1\n", i)
	}
	if err := os.WriteFile(file, []byte(text.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name     string
		from, to int // the rows that decide now
		said     bool
	}{
		{"the same", 0, 20, false}, {"two went", 2, 20, false}, {"two came", 0, 22, false}, {"one went, one came", 1, 21, false},
		{"three went", 3, 20, true}, {"three came", 0, 23, true}, {"two went, one came", 2, 21, true}, {"none is left", 0, 0, true},
	} {
		d := NewDeciding()
		for i := c.from; i < c.to; i++ {
			d.Row("demo", "rules", fmt.Sprintf("row %02d", i))
			d.Row("demo", "rules", fmt.Sprintf("row %02d", i)) // once more: how often is not compared
		}
		d.Row("demo", "", "of no table")
		h := &hearer{TB: t}
		d.Keep(h, file, "demo")
		if (len(h.said) > 0) != c.said {
			t.Errorf("%s: %q", c.name, h.said)
		}
		if c.name == "three came" { // the new text has all of it, the rows of other places as they were
			all := strings.Join(h.said, "")
			if strings.Contains(all, "jobs,") || !strings.Contains(all, "demo,rules,row 22,2") || strings.Contains(all, head) {
				t.Errorf("it would be written otherwise: %s", all)
			}
		}
	}
}

// TestFaultsOfValues: a value is refused without its document, its case or a number of ours, and told how far it
// is off where it lacks a reason: 4.8 is 20 % more than 4.
func TestFaultsOfValues(t *testing.T) {
	for name, v := range map[string]Value{
		"no document": {Case: "1", Ours: 1, Printed: "1"}, "no case": {Source: "book", Ours: 1, Printed: "1"},
		"not a number": {Source: "book", Case: "1", Ours: math.NaN(), Printed: "1"},
		"without end":  {Source: "book", Case: "1", Ours: math.Inf(-1), Printed: "1"},
		"not printed":  {Source: "book", Case: "1", Ours: 1},
	} {
		var l Ledger
		if l.Add(v); len(l.faults) != 1 || len(l.groups) > 0 {
			t.Errorf("%s: faults %q, %d groups", name, l.faults, len(l.groups))
		}
	}
	var l Ledger
	if l.Add(Value{Source: "book", Case: "1", Ours: 4.8, Printed: "4"}); len(l.faults) != 1 || !strings.Contains(l.faults[0], "(+20 %)") {
		t.Errorf("faults %q", l.faults)
	}
	// Of two that are as far off the first by name stands for them, whichever came first.
	for _, order := range [][2]string{{"a", "b"}, {"b", "a"}} {
		var l Ledger
		for _, name := range order {
			l.Add(Value{Source: "book", Case: name, Ours: 5, Printed: "4", Class: Chart, Why: "a chart"})
		}
		l.Add(Value{Source: "book", Case: "0", Ours: 4, Printed: "4"})
		if rows := l.rows(); rows[1][5] != "a" || rows[1][4] != "25" {
			t.Errorf("%v: %v", order, rows)
		}
	}
	for _, c := range []struct {
		got, want, tolerance float64
		near                 bool
	}{{101, 100, 0.01, true}, {99, 100, 0.01, true}, {101.1, 100, 0.01, false}, {98.9, 100, 0.01, false}, {-101, -100, 0.01, true},
		{100, -100, 0.01, false}, {50.5, 50, 0.01, true}, {50.6, 50, 0.01, false}} {
		if got := Near(c.got, c.want, c.tolerance); got != c.near {
			t.Errorf("%g near %g by %g: %v", c.got, c.want, c.tolerance, got)
		}
	}
}
