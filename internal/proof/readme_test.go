package proof_test

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// TestReadmeCounts holds what the README says of the size and the standing of the shelf to the shelf, its
// lists about itself left out: within 50 rows and 5 tables, the share recalled to the tenth.
func TestReadmeCounts(t *testing.T) {
	const file = "../../README.md"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?s)^(.* some )([\d ]+)( rows\s+in\s+)(\d+)(\s+tables,\s+more\s+than\s+)(\w+)(\s+in\s+ten\s+are\s+recalled.*)$`).
		FindStringSubmatch(string(text))
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
	// The number that stands there is left while it is near; another is a round one.
	near := func(there string, is, by int) string {
		if n, err := strconv.Atoi(strings.ReplaceAll(there, " ", "")); err == nil && max(n-is, is-n) <= by {
			return there
		}
		if is = (is + by/2) / by * by; is < 1000 {
			return strconv.Itoa(is)
		}
		return fmt.Sprintf("%d %03d", is/1000, is%1000)
	}
	words := []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
	m[2], m[4], m[6] = near(m[2], rows, 50), near(m[4], count, 5), words[10*recalled/rows]
	golden.Keep(t, file, strings.Join(m[1:], ""))
}
