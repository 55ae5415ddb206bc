package proof

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What rounding leaves open, and what it does not.
func TestLedger(t *testing.T) {
	for _, c := range []struct {
		name   string
		value  Value
		class  string // "" for rounding
		faulty bool
	}{
		{"last digit", Value{Ours: 2.074999, Printed: "2.07"}, "", false},
		{"beyond it", Value{Ours: 2.0751, Printed: "2.07", Class: Chart, Why: "a chart"}, "chart reading", false},
		{"beyond it below", Value{Ours: 2.0649, Printed: "2.07", Class: Chart, Why: "a chart"}, "chart reading", false},
		{"no class", Value{Ours: 2.0751, Printed: "2.07", Why: "a chart"}, "", true},
		{"no reason", Value{Ours: 2.0751, Printed: "2.07", Class: Chart, Why: " "}, "", true},
		{"unknown class", Value{Ours: 2.0751, Printed: "2.07", Class: "luck", Why: "a chart"}, "", true},
		{"whole number", Value{Ours: 57.5, Printed: "58"}, "", false},
		{"whole number beyond", Value{Ours: 57.4, Printed: "58", Class: Steps, Why: "whole kPa"}, "rounded steps", false},
		{"exponent", Value{Ours: 2.5449e-5, Printed: "2.54E-05"}, "", false},
		{"exponent beyond", Value{Ours: 2.546e-5, Printed: "2.54E-05"}, "", true},
		{"within", Value{Ours: 10.2, Printed: "10.123456", Within: 0.1}, "", false},
		{"no number", Value{Ours: 1, Printed: "one"}, "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.value.Source, c.value.Case = "book", "page"
			var l Ledger
			l.Add(c.value)
			if (len(l.faults) > 0) != c.faulty {
				t.Fatalf("faults %q", l.faults)
			}
			if c.faulty {
				return
			}
			rows := l.rows()
			if len(rows) != 2 && c.class == "" || len(rows) == 3 && rows[2][1] != c.class || len(rows) == 2 && c.class != "" {
				t.Errorf("%v", rows)
			}
		})
	}
}

func TestRows(t *testing.T) {
	var l Ledger
	l.Add(Value{Source: "book", Case: "2", Answer: "flow", Ours: 4, Printed: "4"})
	l.Add(Value{Source: "book", Case: "1", Answer: "flow", Ours: 5, Printed: "4", Class: Chart, Why: "a chart"})
	l.Add(Value{Source: "book", Case: "1", Answer: "depth", Ours: 9, Printed: "8", Class: Chart, Why: "a chart"})
	l.Add(Value{Source: "article", Case: "1", Ours: -1.01, Printed: "-1.0"})
	want := [][]string{columns,
		{"article", "all", "1", "1", "1", "1", "-1.0", "-1.01", ""},
		{"book", "all", "2", "3", "25", "1, flow", "4", "5", ""},
		{"book", "chart reading", "1", "2", "25", "1, flow", "4", "5", "a chart"},
	}
	if diff := cmp.Diff(want, l.rows()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if l.Add(Value{Source: "", Case: "1", Printed: "1"}); len(l.faults) != 1 || !strings.Contains(l.faults[0], `source ""`) {
		t.Errorf("faults %q", l.faults)
	}
}
