package proof

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// ReadCSV reads a file of testdata: comment lines start with #, the first other
// line names the columns.
func ReadCSV(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, cell := range record {
			row[records[0][i]] = cell
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return rows
}

// Number reads a number of a file.
func Number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Near reports whether got differs from want by at most tolerance, relative.
func Near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

// Document is a source without its place on the net.
func Document(source string) string {
	name, _, _ := strings.Cut(source, ", http")
	name, _, _ = strings.Cut(name, " (http")
	name, _, _ = strings.Cut(name, ", public data repository")
	return name
}
