package proof_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Every published value and every whole job of the later gatherings is run somewhere, as
// the ledgers beside the tests tell, or it is said why not.
func TestGathered(t *testing.T) {
	held := map[[2]string]int{} // folder and source, to values
	for _, folder := range []string{"dwv/drains", "examples/lesson", "supply"} {
		names, err := filepath.Glob("../../" + folder + "/testdata/proof*.csv")
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: no ledger, %v", folder, err)
		}
		for _, name := range names {
			f, err := os.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			rows, err := csv.NewReader(f).ReadAll()
			f.Close()
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range rows[1:] {
				if n, err := strconv.Atoi(r[3]); err == nil && r[1] == "all" {
					held[[2]string{folder, r[0]}] += n
				}
			}
		}
	}
	data, err := os.ReadFile("gathered.csv")
	if err != nil {
		t.Fatal(err)
	}
	number := map[string]int{}
	for _, r := range readCSV(t, data) {
		n, err := strconv.Atoi(r["number"])
		if err != nil {
			t.Errorf("%s: %v", r["what"], err)
		}
		number[r["gathering"]] += n
		if (r["ledger"] == "") == (r["why_not"] == "") {
			t.Errorf("%s is run, or it is said why not: one of the two", r["what"])
		}
		if r["ledger"] == "" {
			continue
		}
		least, err := strconv.Atoi(r["values"])
		if got := held[[2]string{r["ledger"], r["source"]}]; err != nil || got < least {
			t.Errorf("%s: %d values of %q are held in %s, of %d, %v", r["what"], got, r["source"], r["ledger"], least, err)
		}
	}
	if number["values"] != 105 || number["jobs"] != 24 {
		t.Errorf("%d values and %d jobs, of 105 and 24", number["values"], number["jobs"])
	}
}
