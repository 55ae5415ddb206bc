package proof

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"testing"
)

// Keep fails the test for values without a reason and where the account is not that
// of the file. With the test's own flag -update it writes the file.
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
	KeepFile(t, path, b.Bytes())
}

// KeepFile fails the test where a file does not hold the text; with -update it
// writes it.
func KeepFile(t testing.TB, path string, text []byte) {
	t.Helper()
	if f := flag.Lookup("update"); f != nil && f.Value.String() == "true" {
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(old, text) {
		a, b := bytes.Split(old, []byte("\n")), bytes.Split(text, []byte("\n"))
		for i := range min(len(a), len(b)) {
			if !bytes.Equal(a[i], b[i]) {
				t.Errorf("%s line %d is\n%s\nnow\n%s", path, i+1, a[i], b[i])
				break
			}
		}
		t.Errorf("%s has %d lines, now %d; if the change is meant, run the test with -update", path, len(a), len(b))
	}
}
