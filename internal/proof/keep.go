package proof

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// Keep fails the test for values without a reason and where the account is not that
// of the file; with -update it writes the file.
func (l *Ledger) Keep(t testing.TB, path string) {
	t.Helper()
	for _, f := range l.faults {
		t.Error(f)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.WriteAll(l.rows()); err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, path, b.String())
}
