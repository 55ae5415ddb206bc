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
	golden.Keep(t, file, got)
	if t.Failed() {
		t.Log(`The shelf has changed. If that is meant: a line under "Tables" in CHANGELOG.md that says which answers ` +
			`move, before and after; tables.DataVersion raised if one does; then ` +
			`go test ./tables -run TestContent -update`)
	}
}
