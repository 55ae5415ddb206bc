package job

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCSV: schedules are written a file each, with a row for each of the report, and no
// cell is a formula.
func TestCSV(t *testing.T) {
	dir := t.TempDir()
	r := reportOf(t, "", newPrinter(false, false))
	r.Drains[0].Why = `=HYPERLINK("x")`
	if _, err := r.WriteCSV(dir); err != nil {
		t.Fatal(err)
	}
	for name, rows := range map[string]int{"drains": len(r.Drains), "stubs": len(r.Stubs), "water-runs": len(r.Water.Runs), "findings-fail": 1,
		"tests-water": 1, "cautions": len(r.Cautions),
		"materials-assemblies": len(r.Materials.Assemblies)} {
		f, err := os.Open(filepath.Join(dir, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		table, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil || len(table) != rows+1 {
			t.Errorf("%s: %d rows, want %d (%v)", name, len(table)-1, rows, err)
		}
		for i, cell := range table[min(1, len(table)-1)] {
			if strings.HasPrefix(cell, "[") || strings.HasPrefix(cell, "verdict") {
				t.Errorf("%s: %s is %q, no text for people", name, table[0][i], cell)
			}
		}
	}
	for text, want := range map[string]string{"=1": "'=1", "@x": "'@x", "+x": "'+x", "-x": "'-x", "-3/8 in": "-3/8 in", "S1": "S1", "": "", "'x": "''x"} {
		if got := plainCell(text); got != want {
			t.Errorf("%q is written %q, want %q", text, got, want)
		}
	}
}
