package supply

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope/draw"
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

// TestFixturesOverOneAnother: three fixtures of one point stand 3, 6 and 9 ft over it on a line that ends at the last; one
// alone stands at its point, with no line.
func TestFixturesOverOneAnother(t *testing.T) {
	const ft = units.Foot
	for _, n := range []int{1, 3} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Points = d.Points[:2]
		d.Fixtures[0].Hot = ""
		for len(d.Fixtures) < n {
			next := d.Fixtures[0]
			next.ID = []string{"L1", "L2", "L3"}[len(d.Fixtures)]
			d.Fixtures = append(d.Fixtures, next)
		}
		drawn, err := sized(t, mustCode(t, "ipc-2021"), d).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		at := map[string]draw.Point{}
		for _, m := range drawn.Isometric.Marks {
			at[m.ID] = m.At
		}
		line := []draw.Point(nil)
		for _, l := range drawn.Isometric.Lines {
			if l.ID == "C2" && l.Style == draw.Guide {
				line = l.Path
			}
		}
		if n == 1 && (at["L1"] != at["C2"] || line != nil) {
			t.Errorf("one fixture stands at %v over %v, with a line %v", at["L1"], at["C2"], line)
		}
		for k, id := range []string{"L1", "L2", "L3"}[:n] {
			if want := at["C2"].Z + units.Length(3*(k+1))*ft; n > 1 && (at[id].Z != want || at[id].X != at["C2"].X) {
				t.Errorf("%s stands at %v, over %v", id, at[id], at["C2"])
			}
		}
		if n > 1 && (len(line) != 2 || line[1].Z != at["C2"].Z+9*ft) {
			t.Errorf("the line goes by %v", line)
		}
	}
}

// TestGreatestFlow: a run of a ring is held to the flow with the links open if that is more, whichever way it goes.
func TestGreatestFlow(t *testing.T) {
	const lps = units.LitrePerSecond
	bore := 20 * units.Millimetre // 3.1416e-4 m2: 1 L/s is 3.18 m/s
	for _, c := range []struct{ open, want units.Flow }{{2 * lps, 2 * lps}, {-2 * lps, 2 * lps}, {lps / 2, lps}, {lps, lps}} {
		r := &run{runFlow: new(runFlow)}
		r.Flow, r.Velocity, r.Bore = lps, 3.183, bore
		q, v := (&Ring{Runs: []units.Flow{c.open}}).greatest(r, 0)
		if q != c.want || math.Abs(float64(v)-3.183*float64(c.want/lps)) > 0.01 {
			t.Errorf("%v open: %v at %v", c.open, q, v)
		}
		if q, _ := (*Ring)(nil).greatest(r, 0); q != lps {
			t.Errorf("without a ring: %v", q)
		}
	}
}

// TestShortWithoutAFigure: a device of a kind of its own that nobody states the loss of is not counted. Where an outlet has enough without
// it, that is asked; where it has too little even so (5 psi at the street, of 8 psi that it needs), it fails.
func TestShortWithoutAFigure(t *testing.T) {
	for street, want := range map[units.Pressure]tables.Verdict{60: tables.Ask, 5: tables.Fail} {
		d := basin(street * units.PoundForcePerSquareInch)
		d.Fixtures[0].Hot, d.Points = "", d.Points[:2]
		d.Points[0].Device = &Device{Kind: "other"}
		a := sized(t, mustCode(t, "ipc-2021"), d).Analyse()
		found, err := a.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		k := slices.IndexFunc(found, func(f tables.Finding) bool { return f.Rule == "fixture-pressure" && f.Place == "L1" })
		if k < 0 || found[k].Verdict != want || want == tables.Ask && !strings.Contains(found[k].Reason, "no figure (other: ") {
			t.Errorf("%.0f psi at the street: %v", float64(street), found)
		}
	}
}

// TestSizeAfterNone: of three runs the first has no size, the others one that nobody makes: both are told.
func TestSizeAfterNone(t *testing.T) {
	text := `{"source": {"id": "street", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "pex-sdr9"},
 "points": [{"id": "C1", "from": "street", "length": "9 ft"}, {"id": "C2", "from": "C1", "length": "9 ft", "size": "7 in"},
  {"id": "C3", "from": "C2", "length": "9 ft", "size": "11 in"}],
 "fixtures": [{"id": "L1", "fixture": "lavatory", "use": "private", "cold": "C3"}]}`
	_, err := Parse("water.json", []byte(text), mustCode(t, "ipc-2021"))
	if err == nil || !strings.Contains(err.Error(), `"C2"`) || !strings.Contains(err.Error(), `"C3"`) {
		t.Errorf("%v", err)
	}
}

// TestToSpareOnDrawings: what an outlet has beyond what it needs, with its sign; "at most" where a loss on the way is
// not counted, unless it lacks something even so.
func TestToSpareOnDrawings(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	for left, want := range map[units.Pressure][2]string{3: {"+3.0 psi", "at most +3.0 psi"}, -3: {"-3.0 psi", "-3.0 psi"},
		0: {"+0.0 psi", "at most +0.0 psi"}} {
		for k, upper := range []bool{false, true} {
			r := &FixtureResult{Available: (8 + left) * psi, Most: 8 * psi, Upper: upper}
			if got := (&drawing{}).spare(r); got != want[k] {
				t.Errorf("%.0f psi left over, upper %v: %q, want %q", float64(left), upper, got, want[k])
			}
		}
	}
}
