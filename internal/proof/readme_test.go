package proof_test

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// TestReadmeCounts holds what the README says of the size and the standing of the
// shelf to the shelf, its lists about itself left out: within 50 rows and 5 tables, the share recalled to the tenth.
func TestReadmeCounts(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`some ([\d ]+) rows in (\d+) tables, more than (\w+) in ten are recalled`).FindStringSubmatch(strings.ReplaceAll(string(text), "\n", " "))
	if m == nil {
		t.Fatal("README.md does not say how many rows of how many tables the shelf has, and how many in ten are recalled")
	}
	count, rows, recalled := 0, 0, 0
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		if table.Set() == "comparison" {
			continue // lists about the shelf
		}
		count++
		rows += table.Len()
		for row := range table.Len() {
			if table.Cite(row).Status() == tables.Memory {
				recalled++
			}
		}
	}
	said := func(s string) float64 {
		n, err := strconv.Atoi(strings.ReplaceAll(s, " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		return float64(n)
	}
	if got := said(m[1]); math.Abs(got-float64(rows)) > 50 {
		t.Errorf("README.md, \"some … rows in … tables\": it says %v rows, the shelf has %d", got, rows)
	}
	if got := said(m[2]); math.Abs(got-float64(count)) > 5 {
		t.Errorf("README.md, \"some … rows in … tables\": it says %v tables, the shelf has %d", got, count)
	}
	words := []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
	if want := words[10*recalled/rows]; m[3] != want {
		t.Errorf("README.md says that more than %s in ten are recalled; %d of %d are: %s", m[3], recalled, rows, want)
	}
}
