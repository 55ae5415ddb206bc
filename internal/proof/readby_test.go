package proof_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// Which checks rest on each table of the shelf, or on a single figure of its rules, is
// kept beside the program that prints the shelf.
func TestReadBy(t *testing.T) {
	data, err := os.ReadFile("rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for _, r := range readCSV(t, data) {
		for rests := range strings.FieldsSeq(r["rests_on"]) {
			name, rule, single := strings.Cut(rests, ":")
			for table, err := range tables.Embedded().All() {
				if err != nil {
					t.Fatal(err)
				}
				id := table.ID()
				if id != name && path.Base(id) != name || single && !hasRule(table, rule) {
					continue
				}
				if single {
					id += ":" + rule
				}
				rows = append(rows, []string{id, r["rule"]})
			}
		}
	}
	slices.SortFunc(rows, slices.Compare)
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(append([][]string{{"rows", "check"}}, rows...)); err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, "../../examples/shelf/read-by.csv", b.String())
}

func hasRule(table *tables.Table, rule string) bool {
	_, ok := table.Find(rule)
	return ok && table.Column("rule") >= 0
}
