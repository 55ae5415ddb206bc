package supply

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Waits are graded at 10 and 30 s, each by its row, and what is longer by the last; the
// order of the points in the layout plays no part, so that the hot line may be the first.
func TestHotWaitGrades(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	// 4 ft of 1/2 in copper of 0.545 in bore hold 48 x pi/4 x 0.545^2 = 11.198 in3.
	held := 11.19757 / 231 * 60 // gpm that clear it in a second
	for _, tc := range []struct {
		seconds float64
		grade   string
		row     string
	}{
		{9.99, "acceptable", "grade acceptable"}, {10.01, "marginal", "grade marginal"},
		{29.99, "marginal", "grade marginal"}, {30.01, "poor", "grade marginal"},
	} {
		d := LayoutData{Source: Source{ID: "main", Pressure: 80 * psi}, Water: Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(60)},
			Pipe:     LinePipes{Cold: "copper-l", Hot: "copper-l"},
			Points:   []Point{{ID: "H", From: "WH", Length: 4 * ft, Size: units.Inch / 2}, {ID: "WH", From: "main", Length: ft, Size: units.Inch, Device: &Device{Kind: "storage-heater", Loss: psi}}},
			Fixtures: []LayoutFixture{{ID: "L", Hot: "H", Flow: units.Flow(held/tc.seconds) * units.USGallonPerMinute, Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Public}}}}
		waits, err := sized(t, c, d).HotWater()
		if err != nil || len(waits) != 1 || waits[0].Grade != tc.grade || waits[0].Citation.Row() != tc.row {
			t.Errorf("%v s: %+v, %v", tc.seconds, waits, err)
		}
	}
}

// No flow, no wait: the code gives none for a clothes washer.
func TestHotWaitUnknownFlow(t *testing.T) {
	l := lodge(t)
	d := l.Data()
	d.Fixtures = append(d.Fixtures[:len(d.Fixtures):len(d.Fixtures)], LayoutFixture{ID: "CW", Fixture: Fixture{Kind: "clothes-washer", Count: 1, Use: Private}, Cold: "C7", Hot: "H2"})
	waits, err := sized(t, mustCode(t, "ipc-2021"), d).HotWater()
	if err != nil {
		t.Fatal(err)
	}
	if w := waits[len(waits)-1]; w.Flow != 0 || w.Wait != 0 || w.Grade != "" || w.Volume == 0 || !w.Citation.IsZero() {
		t.Errorf("%+v", w)
	}
}

func TestHeatLossesInsulated(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.HeatLosses()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, h := range list {
		got[h.Point] = h.Insulated
	}
	if diff := cmp.Diff(map[string]bool{"H1": false, "H2": false, "H3": true, "H4": false, "R1": true}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A loop is the same whatever the order of its points, the return first among them.
func TestLoopsInAnyOrder(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := loops()
	want, err := sized(t, c, d).Circulations()
	if err != nil {
		t.Fatal(err)
	}
	d = loops()
	d.Points[0], d.Points[3] = d.Points[3], d.Points[0]
	got, err := sized(t, c, d).Circulations()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// What hangs on a line that is kept hot has no pipe to wait for, whatever the tables of
// lengths rest on.
func TestHotLengthOnLoop(t *testing.T) {
	got := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), loops()), "hot-length-energy")
	if len(got) != 2 {
		t.Fatalf("%v", got)
	}
	for i, at := range []string{"A", "B"} {
		if f := got[i]; f.Verdict != tables.Pass || f.Value.String() != "0 m" || f.Reason != "It hangs on the line at "+at+", which is kept hot." {
			t.Errorf("%v", f)
		}
	}
}
