package findingtest

import (
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// Settled fails where a question does not say who can answer it, or something that is
// no question does.
func Settled(t testing.TB, list []tables.Finding) {
	t.Helper()
	for i := range list {
		if f := &list[i]; (f.Verdict == tables.Ask) != (f.SettledBy != 0) {
			t.Errorf("settled by %q: %v", f.SettledBy, f)
		}
	}
}
