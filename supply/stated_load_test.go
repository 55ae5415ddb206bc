package supply

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A fixture that no table has takes the load and the flow that the layout states, in the
// unit of the code; in another unit its flow counts whole and a question says so. A load
// without a unit is refused, and so is an unknown fixture without a load.
func TestStatedLoad(t *testing.T) {
	layout := func(kind, load string) Data {
		d := closets(60, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Building = "residential"
		d.Fixtures = []LayoutFixture{{ID: "X", Cold: "A", Load: load, Flow: 2 * units.USGallonPerMinute, Fixture: Fixture{Kind: kind, Count: 3, Use: Public}}}
		return d
	}
	for _, tc := range []struct {
		code, kind, load, sum string
		verdict               tables.Verdict
		says                  string
	}{
		{"ipc-2021", "steam-table", "2.5 wsfu", "7.5", tables.Pass, "layout's own"},
		{"ipc-2021", "steam-table", "2.5 lu", "0", tables.Ask, "counts wsfu"},
		{"ipc-2021", "lavatory", "2.5 wsfu", "7.5", tables.Pass, "layout's own"},
		{"ipc-2021", "lavatory", "2.5 lu", "6", tables.Ask, "that the code lists is taken"}, // on cold alone the whole 2 of each
		{"en806-3", "steam-table", "2 lu", "6", tables.Pass, "layout's own"},
		{"din1988-300", "steam-table", "2 lu", "0", tables.Ask, "counts L/s"},
	} {
		s := sized(t, mustCode(t, tc.code), layout(tc.kind, tc.load))
		got := findingsOf(t, s, "load-not-given")
		if len(got) != 1 || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says) {
			t.Errorf("%s %s of %s: %v", tc.code, tc.kind, tc.load, got)
		}
		if load := s.Runs[0].Load; load != fu(tc.sum) {
			t.Errorf("%s %s of %s: %v on the line, want %s", tc.code, tc.kind, tc.load, load, tc.sum)
		}
		if s.Runs[0].Flow <= 0 && s.Runs[0].Basis != NotKnown { // EN 806-3 gives no flow for three
			t.Errorf("%s %s of %s: no flow", tc.code, tc.kind, tc.load)
		}
	}
	for _, load := range []string{"2.5", "2.5 dfu", "-1 wsfu", "0 wsfu", "0.2 L/s", "wsfu"} {
		if _, err := New(layout("lavatory", load)); err == nil || !strings.Contains(err.Error(), "load") {
			t.Errorf("%q: %v", load, err)
		}
	}
	l, err := New(layout("steam-table", ""))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Size(mustCode(t, "ipc-2021"), Options{}); err == nil {
		t.Error("an unknown fixture without a load is sized")
	}
}
