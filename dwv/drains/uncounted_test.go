package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestNotCounted: the residential code states no load of a steady flow and lists no clinical sink, no samovar and no floor sink;
// it rates the lavatory and the kitchen sink. The IPC counts a steady flow by the gallon. What is not counted is named, whatever
// else at the point is, and never taken for something that changes nothing.
func TestNotCounted(t *testing.T) {
	const flow = 10 * units.USGallonPerMinute
	into := func(kinds ...string) *Receptor {
		var r Receptor
		for _, kind := range kinds {
			r.Indirect = append(r.Indirect, tables.Fixture{Kind: kind, Count: 1, Use: tables.Private})
		}
		return &r
	}
	for _, c := range []struct {
		name, code, kind string
		flow             units.Flow
		receptor         *Receptor
		want             string
	}{
		{"a flow", "irc-2021", "", flow, nil, "Nothing is counted for the steady flow at K: "},
		{"a flow into what is counted", "irc-2021", "lavatory", flow, nil, "Nothing is counted for the steady flow at K: "},
		{"a flow into what counts nothing", "irc-2021", "floor-drain", flow, nil, "Nothing is counted for the steady flow at K: "},
		{"neither", "irc-2021", "samovar", flow, nil, "Nothing is counted for the samovar and steady flow at K: "},
		{"a flow alone is counted", "ipc-2021", "samovar", flow, nil, "Nothing is counted for the samovar at K: "},
		{"all is counted", "ipc-2021", "lavatory", flow, nil, ""},
		{"what drains into a receptor", "irc-2021", "floor-sink", 0, into("kitchen-sink", "lavatory"),
			"Only a part is counted of the floor sink at K and what drains into it: "},
		{"that and no flow", "irc-2021", "floor-sink", flow, into("kitchen-sink", "lavatory"),
			"Only a part is counted of the floor sink and steady flow at K and what drains into it: "},
		{"nothing of a receptor", "irc-2021", "floor-sink", 0, into("samovar"), "Nothing is counted for the floor sink at K: "},
	} {
		k := Point{ID: "K", Run: Run{Length: 9 * ft, Size: 3 * in}, Continuous: c.flow, Receptor: c.receptor}
		if c.kind != "" {
			k.Fixture = &tables.Fixture{Kind: c.kind, Count: 1, Use: tables.Private}
		}
		var assumed []tables.Assumption
		found, err := checkOf(straight(k), mustCode(t, c.code), CheckOptions{Assumed: &assumed})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		got := ""
		for _, f := range found {
			if f.Rule == "drain-load" && f.Verdict == tables.Ask && strings.Contains(f.Reason, "counted") {
				got = f.Reason
			}
		}
		if (got == "") != (c.want == "") || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		for _, a := range assumed {
			if a.Rule == "drain-load" {
				t.Errorf("%s: assumed: %s", c.name, a.Taken)
			}
		}
	}
}
