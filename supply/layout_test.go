package supply

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/jsonedit"
	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func TestPublishedLoads(t *testing.T) {
	data, err := os.ReadFile("testdata/published_loads.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Source, Code string
		Fixtures     []Fixture
		Total        FixtureUnits
		System       System
		Demand       units.Flow
		Within       float64
	}
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	var ledger proof.Ledger
	for i, tc := range cases {
		c := mustCode(t, tc.Code)
		got, err := c.Loads(tc.Fixtures)
		if err != nil || got.Total != tc.Total {
			t.Errorf("%s:\ngot %v, %v; want %v", tc.Source, got.Total, err, tc.Total)
			continue
		}
		title, _, _ := strings.Cut(tc.Source, ": ")
		name := fmt.Sprintf("load %d by %s", i+1, tc.Code)
		ledger.Add(proof.Value{Source: title, Case: name, Answer: "total", Ours: float64(got.Total) / 1000, Printed: strings.Fields(tc.Total.String())[0]})
		if tc.Demand == 0 {
			continue
		}
		d, err := c.Demand(got.Total, tc.System)
		if err != nil || math.Abs(float64(d.Flow/tc.Demand)-1) > tc.Within {
			t.Errorf("%s: got %v, %v; want %v within %v", tc.Source, d.Flow, err, tc.Demand, tc.Within)
		}
		ledger.Add(proof.Value{Source: title, Case: name, Answer: "demand, gpm", Ours: d.Flow.In(units.USGallonPerMinute), Printed: fmt.Sprint(tc.Demand.In(units.USGallonPerMinute))})
	}
	ledger.Keep(t, "testdata/proof-loads.csv")
}

// A layout goes to JSON and back unchanged.
func TestLayoutRoundTrip(t *testing.T) {
	l := lodge(t)
	data, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	again, err := ParseLayout("again", data)
	if err != nil {
		t.Fatalf("%v\n%s", err, data)
	}
	if diff := cmp.Diff(l.data, again.data); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// base is a small layout that parses; each fault changes a piece of it.
const base = `{
 "source": {"id": "street", "pressure": "60 psi"},
 "water": {"cold": "50 degF", "hot": "120 degF"},
 "pipe": {"cold": "copper-l", "hot": "copper-l"},
 "points": [
  {"id": "A", "from": "street", "length": "10 ft"},
  {"id": "WH", "from": "A", "length": "5 ft", "device": {"kind": "storage-heater", "loss": "1 psi"}},
  {"id": "B", "from": "A", "length": "8 ft"},
  {"id": "H", "from": "WH", "length": "9 ft"}
 ],
 "fixtures": [{"id": "L", "fixture": "lavatory", "use": "public", "cold": "B", "hot": "H"}]
}`

func TestParseLayoutFaults(t *testing.T) {
	if _, err := ParseLayout("base.json", []byte(base)); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ name, old, new, want string }{
		{"unknown field", `"length": "8 ft"`, `"lenght": "8 ft"`,
			`base.json:8:28: point "B": lenght: unknown field: did you mean "length"?` + "\n" + `base.json:8:3: point "B": length: missing`},
		{"no unit", `"length": "8 ft"`, `"length": 8`, `base.json:8:38: point "B": length: wrong type: 8 is a bare number: write a text with its unit`},
		{"wrong unit", `"length": "8 ft"`, `"length": "8 psi"`, `base.json:8:38: point "B": length: `},
		{"negative length", `"length": "8 ft"`, `"length": "-8 ft"`, `base.json:8:38: point "B": length: not possible: -8'-0" is negative`},
		{"rise over length", `"length": "8 ft"`, `"length": "8 ft", "rise": "9 ft"`, `point "B": rise: not possible: 9'-0" is more than the length of the run, 8'-0"`},
		{"unknown parent", `"from": "WH"`, `"from": "XX"`, `base.json:9:23: point "H": from: not possible: no point or source "XX"`},
		{"cycle", `{"id": "A", "from": "street"`, `{"id": "Z", "from": "street", "length": "1 ft"}, {"id": "A", "from": "B"`,
			`point "A": from: not possible: feeds itself through "B"` + "\n" + `base.json:8:23: point "B": from: not possible: feeds itself through "A"`},
		{"nothing fed", `"id": "street"`, `"id": "main"`, `base.json:6:23: point "A": from: not possible: no point or source "street"`},
		{"twice", `"id": "B"`, `"id": "A"`, `base.json:8:10: point "A": id: not possible: the id is given twice`},
		{"hot on cold", `"from": "A", "length": "8 ft"`, `"from": "A", "line": "hot", "length": "8 ft"`, `point "B": line: not possible: hot, but the water that reaches it is cold`},
		{"port on the wrong line", `"hot": "H"`, `"hot": "B"`, `base.json:11:87: fixture "L": hot: not possible: point "B" carries cold water`},
		{"port nowhere", `"hot": "H"`, `"hot": "HH"`, `fixture "L": hot: not possible: no point "HH"`},
		{"no ports", `, "cold": "B", "hot": "H"`, ``, `fixture "L": cold: not possible: neither a cold nor a hot port is at a point`},
		{"use", `"use": "public"`, `"use": "pubic"`, `fixture "L": use: not possible: use "pubic": did you mean public?`},
		{"no hot temperature", `, "hot": "120 degF"`, ``, `water: hot: not possible: there are hot lines, and no temperature for them`},
		{"boiling", `"hot": "120 degF"`, `"hot": "220 degF"`, `water: hot: not possible: 220 degF is outside 0 to 100 degC`},
		{"no pipe", `"pipe": {"cold": "copper-l", "hot": "copper-l"},`, ``, `point "A": pipe: not possible: no pipe named here, and none for the cold lines of the layout`},
		{"regulator without set", `"kind": "storage-heater", "loss": "1 psi"`, `"kind": "regulator"`, `point "WH": device: not possible: set: a regulator states the pressure it is set to`},
		{"sleeve", `"length": "8 ft"`, `"length": "8 ft", "sleeve": "S9"`, `point "B": sleeve: not possible: no sleeve "S9"`},
		{"no source pressure", `, "pressure": "60 psi"`, ``, `base.json:2:12: source: pressure: missing`},
		{"repeated", `"length": "8 ft"`, `"length": "8 ft", "length": "9 ft"`, `base.json:8:46: point "B": length: given twice`},
		{"count", `"use": "public"`, `"use": "public", "count": 0`, `fixture "L": not possible: fixture "lavatory": count: 0 is outside 1 to 1000000`},
		{"truncated", `}]
}`, ``, `base.json:11:`},
	} {
		text := strings.Replace(base, tc.old, tc.new, 1)
		if text == base {
			t.Errorf("%s: nothing replaced", tc.name)
			continue
		}
		l, err := ParseLayout("base.json", []byte(text))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s:\n got %v\nwant %s", tc.name, err, tc.want)
		}
		if l != nil {
			t.Errorf("%s: a layout with faults came back", tc.name)
		}
	}
}

// Faults of many points come together, and by their types.
func TestParseLayoutAllFaultsAtOnce(t *testing.T) {
	text := strings.NewReplacer(`"length": "8 ft"`, `"length": "-8 ft"`, `"length": "9 ft"`, `"length": "9 ft", "size": "-1 in"`, `"hot": "H"`, `"hot": "Q"`).Replace(base)
	_, err := ParseLayout("base.json", []byte(text))
	all, ok := errors.AsType[*faults.Errors](err)
	if !ok || len(all.Faults) != 3 {
		t.Fatalf("want three faults, got %v", err)
	}
	if !errors.Is(err, ErrQuery) {
		t.Errorf("%v is no ErrQuery", err)
	}
	_, err = ParseLayout("base.json", []byte(`{"points": [`+strings.Repeat("x", 10)))
	if !errors.Is(err, strictjson.ErrSyntax) {
		t.Errorf("%v is no ErrSyntax", err)
	}
}

// FuzzParseLayout: whatever is read can be written, sized and checked. Edits put
// values of the text in place of others, so that the sizing is reached.
func FuzzParseLayout(f *testing.F) {
	f.Add([]byte(base), []byte{})
	f.Add([]byte(base), []byte{3, 1, 40, 90, 7, 200})
	for _, name := range []string{"testdata/lodge.json", "testdata/refuge.json"} {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data, []byte{})
		}
	}
	f.Add([]byte(`{"source":{"id":"s","pressure":"1 psi"},"water":{"cold":"1 degC"},"points":[{"id":"a","from":"a","length":"0 m"}]}`), []byte{})
	f.Add([]byte(`{"points":[{"id":"a","from":"s","length":"1e9 m","fittings":[{"fitting":"x","count":-1}]}]}`), []byte{})
	var codes []*Code
	for _, id := range []string{"ipc-2021", "din1988-300", "en806-3"} {
		c, err := LoadCode(tables.Embedded(), id)
		if err != nil {
			f.Fatal(err)
		}
		codes = append(codes, c)
	}
	f.Fuzz(func(t *testing.T, data, edits []byte) {
		l, err := ParseLayout("fuzz", []byte(jsonedit.Apply(string(data), edits)))
		if err != nil {
			return
		}
		if _, err := json.Marshal(l); err != nil {
			t.Fatalf("a layout that was read cannot be written: %v", err)
		}
		for _, c := range codes {
			s, err := l.Size(c, Options{})
			if err != nil {
				continue
			}
			for i := range s.Runs {
				if r := &s.Runs[i]; math.IsNaN(float64(r.Out)) || math.IsNaN(float64(r.Velocity)) {
					t.Fatalf("point %d: %+v", i, r)
				}
				s.Reason(i)
				s.Working(i)
			}
			if ring, err := s.Ring(); err == nil {
				for i, p := range ring.Out {
					if math.IsNaN(float64(p)) {
						t.Fatalf("ring: point %d: %v", i, p)
					}
				}
			}
			if list, err := s.Check(CheckOptions{}); err == nil && len(list) > 0 {
				s.lines()
			}
		}
	})
}

// randomHouse makes a tree with hot and cold lines and fixtures on both.
func randomHouse(r *rand.Rand, points int, code string) LayoutData {
	d := LayoutData{
		Source: Source{ID: "street", Pressure: 90 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(50), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(70)},
		Pipe:   LinePipes{Cold: "copper-l", Hot: "copper-l", Recirc: "copper-l"},
	}
	d.Points = append(d.Points, Point{ID: "C0", From: "street", Length: 9 * units.Foot},
		Point{ID: "WH", From: "C0", Length: 2 * units.Foot, Device: &Device{Kind: "storage-heater", Loss: units.PoundForcePerSquareInch}},
		Point{ID: "H0", From: "WH", Length: 2 * units.Foot})
	cold, hot := 1, 1
	for range points {
		if r.IntN(2) == 0 {
			d.Points = append(d.Points, Point{ID: fmt.Sprintf("C%d", cold), From: fmt.Sprintf("C%d", r.IntN(cold)), Length: units.Length(r.IntN(30)) * units.Foot})
			cold++
		} else {
			d.Points = append(d.Points, Point{ID: fmt.Sprintf("H%d", hot), From: fmt.Sprintf("H%d", r.IntN(hot)), Length: units.Length(r.IntN(30)) * units.Foot})
			hot++
		}
	}
	r.Shuffle(len(d.Points), func(i, j int) { d.Points[i], d.Points[j] = d.Points[j], d.Points[i] })
	for i := range points {
		f := LayoutFixture{ID: fmt.Sprintf("F%d", i), Cold: fmt.Sprintf("C%d", r.IntN(cold))}
		switch r.IntN(5) {
		case 0:
			f.Fixture = Fixture{Kind: "water-closet", Count: 1 + r.IntN(3), Use: Public, Control: Valve, Style: "siphonic"}
		case 1:
			f.Fixture = Fixture{Kind: "water-closet", Count: 1, Use: Private, Control: Tank, Flush: 1.6 * units.USGallon}
		case 2:
			f.Fixture = Fixture{Kind: "bathtub", Count: 1, Use: Private}
			f.Hot = fmt.Sprintf("H%d", r.IntN(hot))
		default:
			f.Fixture = Fixture{Kind: "lavatory", Count: 1 + r.IntN(3), Use: Public}
			f.Hot = fmt.Sprintf("H%d", r.IntN(hot))
		}
		d.Fixtures = append(d.Fixtures, f)
	}
	return d
}

// The load of a run is that of the fixtures it serves, counted by which of their
// ports it serves: both ports count the total, never the sum of the two.
func TestLoadsTravelAsSetsOfPorts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		c := mustCode(t, id)
		for range 60 {
			l, err := NewLayout(randomHouse(r, 2+r.IntN(40), id))
			if err != nil {
				t.Fatal(err)
			}
			flows, err := l.flows(c, false)
			if err != nil {
				t.Fatal(err)
			}
			for i := range flows {
				if want := loadByPorts(t, l, c, i); flows[i].load != want {
					t.Fatalf("%s: point %s: %v, want %v", id, l.Point(i).ID, flows[i].load, want)
				}
			}
		}
	}
}

// loadByPorts finds the load of a run the slow way.
func loadByPorts(t *testing.T, l *Layout, c *Code, point int) FixtureUnits {
	t.Helper()
	below := func(p int32) bool {
		for ; p >= 0; p = l.parent[p] {
			if int(p) == point {
				return true
			}
		}
		return false
	}
	var both, cold, hot []Fixture
	for i, f := range l.data.Fixtures {
		onCold, onHot := l.cold[i] >= 0 && below(l.cold[i]), l.hot[i] >= 0 && below(l.hot[i])
		switch {
		case onCold && onHot:
			both = append(both, f.Fixture)
		case onCold:
			cold = append(cold, f.Fixture)
		case onHot:
			hot = append(hot, f.Fixture)
		}
	}
	sum := FixtureUnits(0)
	// A ladder counts all of its fixtures on the line together; in these layouts they
	// have a cold port alone.
	for _, part := range []struct {
		list []Fixture
		of   func(Loads) FixtureUnits
	}{{both, func(l Loads) FixtureUnits { return l.Total }}, {cold, func(l Loads) FixtureUnits { return l.Cold }}, {hot, func(l Loads) FixtureUnits { return l.Hot }}} {
		got, err := c.Loads(part.list)
		if err != nil {
			t.Fatal(err)
		}
		sum += part.of(got)
	}
	return sum
}

// 0.5 and 0.5 are not 0.7: the run that feeds both ports of a private lavatory
// carries its total.
func TestTotalIsNotTheSum(t *testing.T) {
	l, err := ParseLayout("base.json", []byte(strings.Replace(base, `"use": "public"`, `"use": "private", "count": 10`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"A": "7", "B": "5", "WH": "5", "H": "5"} {
		i, _ := l.Find(id)
		if s.Runs[i].Load != fu(want) {
			t.Errorf("%s: load %v, want %s", id, s.Runs[i].Load, want)
		}
	}
}

// On random houses: what is drawn or bounded holds, pressure adds up along every way,
// and more fixtures never mean less flow anywhere.
func TestSizeOnRandomHouses(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	r := rand.New(rand.NewPCG(5, 8))
	for range 60 {
		d := randomHouse(r, 2+r.IntN(30), "ipc-2021")
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Runs {
			run := &s.Runs[i]
			limit, err := c.VelocityLimit("copper", l.Service(i), map[Service]units.Temperature{Cold: d.Water.Cold, Hot: d.Water.Hot}[l.Service(i)])
			if err != nil || !within(run.Velocity, limit.Velocity) {
				t.Errorf("%s: %v over %v, %v", l.Point(i).ID, run.Velocity, limit, err)
			}
			if p := l.Parent(i); p >= 0 && s.Runs[p].Size < run.Size {
				t.Errorf("%s is fed by a smaller line", l.Point(i).ID)
			}
			sum := l.data.Source.Pressure
			for _, line := range s.Budget(i) {
				sum -= line.Loss
			}
			if math.Abs(float64(sum-run.Out)) > 1e-6 {
				t.Errorf("%s: budget leaves %v, pressure is %v", l.Point(i).ID, sum, run.Out)
			}
		}
		for _, f := range s.Fixtures {
			if f.Margin() < 0 && len(s.Short) == 0 {
				t.Errorf("a fixture lacks %v and none is called short", -f.Margin())
			}
		}
		more := d
		more.Fixtures = append(append([]LayoutFixture(nil), d.Fixtures...), LayoutFixture{ID: "extra", Fixture: Fixture{Kind: "bathtub", Count: 1, Use: Public}, Cold: "C0", Hot: "H0"})
		m, err := NewLayout(more)
		if err != nil {
			t.Fatal(err)
		}
		before, err1 := l.flows(c, false)
		after, err2 := m.flows(c, false)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		for i := range before {
			if after[i].flow < before[i].flow-1e-15 {
				t.Errorf("%s: flow falls from %v to %v with one more bathtub", l.Point(i).ID, before[i].flow, after[i].flow)
			}
		}
	}
}

// The order of the points in a file does not matter.
func TestOrderDoesNotMatter(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	r := rand.New(rand.NewPCG(9, 1))
	d := randomHouse(r, 25, "ipc-2021")
	byID := map[string]units.Pressure{}
	for round := range 4 {
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Runs {
			if round == 0 {
				byID[l.Point(i).ID] = s.Runs[i].Out
			} else if byID[l.Point(i).ID] != s.Runs[i].Out {
				t.Errorf("%s: %v, then %v", l.Point(i).ID, byID[l.Point(i).ID], s.Runs[i].Out)
			}
		}
		r.Shuffle(len(d.Points), func(i, j int) { d.Points[i], d.Points[j] = d.Points[j], d.Points[i] })
	}
}

// A load under the table goes by the outlets: one lavatory of 0.7 units draws its 0.8
// gpm once, though both of its ports are served (IPC Table 604.3). Three fountains of
// 0.5 units would draw 2.25 gpm together; the first row of the table, 2 units at 2.0
// gpm, is enough for them.
func TestLoadUnderTheTable(t *testing.T) {
	l, err := ParseLayout("base.json", []byte(strings.Replace(base, `"use": "public"`, `"use": "private"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		code    string
		fixture Fixture
		point   string
		gpm     float64
		basis   FlowBasis
	}{
		{"ipc-2021", Fixture{Kind: "lavatory", Count: 1, Use: Private}, "A", 0.8, FromOutlets},
		{"upc-2021", Fixture{Kind: "drinking-fountain", Count: 3, Use: Public}, "A", 2, FromOutlets},
		// IPC row 2.2 units gives 5.3 gpm; a maker's 12 gpm is more.
		{"ipc-2021", Fixture{Kind: "water-closet", Count: 1, Use: Private, Control: Tank}, "A", 12, FromLargest},
	} {
		d := l.data
		d.Fixtures = []LayoutFixture{{ID: "X", Fixture: tc.fixture, Cold: "B"}}
		if tc.fixture.Kind == "lavatory" {
			d.Fixtures[0].Hot = "H"
		}
		if tc.basis == FromLargest {
			d.Fixtures[0].Flow = 12 * units.USGallonPerMinute
		}
		m, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := m.Size(mustCode(t, tc.code), Options{})
		if err != nil {
			t.Fatal(err)
		}
		i, _ := m.Find(tc.point)
		if r := s.Runs[i]; roundTo(float64(r.Flow/units.USGallonPerMinute)) != tc.gpm || r.Basis != tc.basis {
			t.Errorf("%s %s: %v, %v; want %v gpm, %v", tc.code, tc.fixture.Kind, r.Flow, r.Basis, tc.gpm, tc.basis)
		}
	}
}

// A cycle of many points, with tails that lead into it, is told once a point and in no
// more than a moment; the tails are not on it.
func TestLongCycle(t *testing.T) {
	d := LayoutData{Source: Source{ID: "s", Pressure: 1e5}, Water: Waters{Cold: units.Celsius(10)}, Pipe: LinePipes{Cold: "copper-l"}}
	const n = 50_000
	for i := range n {
		d.Points = append(d.Points, Point{ID: fmt.Sprint(i), From: fmt.Sprint((i + 1) % n), Length: units.Metre})
	}
	d.Points = append(d.Points, Point{ID: "tail", From: "7", Length: units.Metre}, Point{ID: "end", From: "tail", Length: units.Metre})
	_, err := NewLayout(d)
	all, ok := errors.AsType[*faults.Errors](err)
	if !ok || len(all.Faults)+all.More != n {
		t.Fatalf("want a fault for each of %d points on the cycle, got %d", n, len(all.Faults)+all.More)
	}
	if got, want := all.Faults[0].Error(), `point "0": from: not possible: feeds itself through "1"`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// A way of 50 000 points with a fixture at each is no slower than any other layout.
func TestLongWay(t *testing.T) {
	d := LayoutData{Source: Source{ID: "s", Pressure: 90 * units.Megapascal},
		Water: Waters{Cold: units.Celsius(10), Hot: units.Celsius(50), Ambient: units.Celsius(20)}, Pipe: LinePipes{Cold: "copper-l", Hot: "copper-l"}}
	d.Points = append(d.Points, Point{ID: "WH", From: "s", Length: units.Metre, Size: 8 * units.Inch, Device: &Device{Kind: "storage-heater"}})
	const n = 50_000
	for i := range n {
		from := "WH"
		if i > 0 {
			from = fmt.Sprint(i - 1)
		}
		d.Points = append(d.Points, Point{ID: fmt.Sprint(i), From: from, Length: units.Millimetre, Size: 8 * units.Inch})
		if i%20 == 0 {
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: fmt.Sprint("F", i), Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Private}, Hot: fmt.Sprint(i)})
		}
	}
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	waits, err := a.HotWater()
	if err != nil {
		t.Fatal(err)
	}
	last := waits[len(waits)-1]
	if want := units.Length(len(waits)*20-19) * units.Millimetre; last.From != "WH" || last.Length != want {
		t.Errorf("from %s over %v, want %v", last.From, last.Length, want)
	}
}
