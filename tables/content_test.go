package tables_test

import (
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// TestContent keeps the figures from changing in silence.
func TestContent(t *testing.T) {
	sum, err := tables.Embedded().Sum()
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprintf("version %s\nsha256 %s\n", tables.DataVersion, sum)
	const file = "testdata/content.golden"
	// If it is meant: a line under "Tables" in CHANGELOG.md that says which answers move,
	// before and after; DataVersion raised if one does; then -update.
	golden.Keep(t, file, got)
}
