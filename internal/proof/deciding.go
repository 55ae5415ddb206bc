package proof

import (
	"bytes"
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// Deciding counts which rows of the shelf decide answers, by where the answers are
// from.
type Deciding struct{ times map[[3]string]int }

// NewDeciding returns an empty count.
func NewDeciding() *Deciding { return &Deciding{map[[3]string]int{}} }

// Row counts a row of a table once more; without a table it counts nothing.
func (d *Deciding) Row(where, table, row string) {
	if table != "" {
		d.times[[3]string{where, table, row}]++
	}
}

// Keep fails the test where a file does not name the rows that decide, by the places
// given, but for a tenth of them; other places in it are left as they are. With -update
// it writes the file. How often a row decides is written and not compared.
func (d *Deciding) Keep(t testing.TB, path string, places ...string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	old, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	known := map[[3]string]bool{}
	for i, r := range old {
		if i > 0 && !slices.Contains(places, r[0]) {
			rows = append(rows, r)
		} else if i > 0 {
			known[[3]string{r[0], r[1], r[2]}] = true
		}
	}
	apart := len(known)
	for k, n := range d.times {
		if known[k] {
			apart--
		} else {
			apart++
		}
		rows = append(rows, []string{k[0], k[1], k[2], strconv.Itoa(n)})
	}
	if 10*apart <= len(known) && !golden.Updating() {
		return
	}
	slices.SortFunc(rows, slices.Compare)
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(append([][]string{{"where", "table", "row", "times"}}, rows...)); err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, path, b.String())
}
