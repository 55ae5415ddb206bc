package tables_test

import (
	"flag"
	"fmt"
	"os"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

var update = flag.Bool("update", false, "write the golden file")

// TestContent keeps the figures from changing in silence.
func TestContent(t *testing.T) {
	sum, err := tables.Embedded().Sum()
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprintf("version %s\nsha256 %s\n", tables.DataVersion, sum)
	const file = "testdata/content.golden"
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("the tables changed:\n%s\nwas\n%s\n"+
			"Add a line under \"Tables\" in CHANGELOG.md that says which answers move, before and after; raise "+
			"DataVersion if one does; then run\n\tgo test ./tables -run TestContent -update", got, want)
	}
}
