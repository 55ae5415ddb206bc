package supply

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// basin is a lavatory that draws cold from C2 and, after a heater, hot from H1; both lie behind C1.
func basin(street units.Pressure) Data {
	const ft, in = units.Foot, units.Inch
	return Data{Source: Source{ID: "street", Pressure: street},
		Water: Waters{Cold: units.Fahrenheit(50), Hot: units.Fahrenheit(120)},
		Pipe:  LinePipes{Cold: "pex-sdr9", Hot: "pex-sdr9"}, Points: []Point{
			{ID: "C1", From: "street", Length: 10 * ft, Size: in}, {ID: "C2", From: "C1", Length: 10 * ft, Size: in},
			{ID: "WH", From: "C1", Length: ft, Size: in, Device: &Device{Kind: "storage-heater", Loss: 6895 * units.Pascal}},
			{ID: "H1", From: "WH", Length: 10 * ft, Size: in}},
		Fixtures: []LayoutFixture{{ID: "L1", Cold: "C2", Hot: "H1",
			Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}}}}
}

// TestMostOnceWhereLinesMeet: a basin draws 0.15 L/s under BS 6700 whether its water is hot, cold or mixed: so does
// the line that feeds both of its ports, which no more can flow through.
func TestMostOnceWhereLinesMeet(t *testing.T) {
	a := sized(t, mustCode(t, "bs6700"), basin(60*units.PoundForcePerSquareInch)).Analyse()
	for i, r := range a.All() {
		if got := r.Flow.In(units.LitrePerSecond); math.Abs(got-0.15) > 1e-9 {
			t.Errorf("run %d, %s: %g L/s", i, r.Point, got)
		}
	}
}

// TestRatingAtRest: tube rated for 160 psi at 73 degF, with 100 psi of the source while the building draws and none
// given at rest: half as much again is 150 psi, which it bears; of 110 psi it is 165, which is asked about.
func TestRatingAtRest(t *testing.T) {
	for street, ask := range map[units.Pressure]bool{100 * units.PoundForcePerSquareInch: false, 110 * units.PoundForcePerSquareInch: true} {
		d := basin(street)
		d.Fixtures[0].Hot, d.Points = "", d.Points[:2]
		a := sized(t, mustCode(t, "bs6700"), d).Analyse()
		found, err := a.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		got := slices.ContainsFunc(found, func(f tables.Finding) bool {
			return f.Rule == "pipe-rating" && f.Verdict == tables.Ask && strings.Contains(f.Reason, "half as much again")
		})
		if got != ask {
			t.Errorf("%.0f psi: asked %v", street.In(units.PoundForcePerSquareInch), got)
		}
	}
}

// TestFlowsOnDrawings: tenths of a gallon a minute; hundredths of a litre a second, thousandths of what keeps a return
// warm, less than a twentieth of a litre. 1 L/s is 15.85 gpm.
func TestFlowsOnDrawings(t *testing.T) {
	for _, c := range []struct {
		flow       units.Flow
		us, metric string
	}{
		{units.LitrePerSecond, "15.9 gpm", "1.00 L/s"}, {0.04 * units.LitrePerSecond, "0.6 gpm", "0.040 L/s"},
		{0.05 * units.LitrePerSecond, "0.8 gpm", "0.05 L/s"}, {0, "0.0 gpm", "0.00 L/s"},
	} {
		if got := (&drawing{}).flow(c.flow); got != c.us {
			t.Errorf("%v: %s, want %s", c.flow, got, c.us)
		}
		if got := (&drawing{metric: true}).flow(c.flow); got != c.metric {
			t.Errorf("%v: %s, want %s", c.flow, got, c.metric)
		}
	}
}

// TestVerdictsByPlace: what two analyses are compared by is each rule at each place, but hammer once, wherever the
// flow moves it; without what tells of figures alone.
func TestVerdictsByPlace(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := s.Analyse()
	of, err := a.verdicts(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	found, err := a.Check(CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	places, figures := 0, map[string]bool{}
	for _, r := range Rules() {
		figures[r.ID] = r.Family == "standing of figures"
	}
	for key := range of {
		rule, place, at := strings.Cut(key, "\x00")
		if figures[rule] || at == (rule == "water-hammer") || at && strings.HasPrefix(place, "\x00") {
			t.Errorf("%q", key)
		}
		if at {
			places++
		}
	}
	if _, once := of["water-hammer"]; !once || places < 2 {
		t.Errorf("%d places, hammer %v", places, once)
	}
	for _, f := range found {
		if f.Rule == "water-hammer" && f.Verdict == tables.Pass {
			t.Error("hammer passes: this lodge shows nothing")
		}
	}
}
