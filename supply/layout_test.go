package supply

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

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
		Fixtures     []tables.Fixture
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
		if err != nil || got.Total.FixtureUnits != tc.Total {
			t.Errorf("%s:\ngot %v, %v; want %v", tc.Source, got.Total, err, tc.Total)
			continue
		}
		title, _, _ := strings.Cut(tc.Source, ": ")
		name := fmt.Sprintf("load %d by %s", i+1, tc.Code)
		ledger.Add(proof.Value{Source: title, Case: name, Answer: "total", Ours: got.Total.Units(),
			Printed: strings.Fields(tc.Total.String())[0]})
		if tc.Demand == 0 {
			continue
		}
		d, err := c.Demand(got.Total.FixtureUnits, tc.System)
		if err != nil || math.Abs(float64(d.Flow/tc.Demand)-1) > tc.Within {
			t.Errorf("%s: got %v, %v; want %v within %v", tc.Source, d.Flow, err, tc.Demand, tc.Within)
		}
		ledger.Add(proof.Value{Source: title, Case: name, Answer: "demand, gpm", Ours: d.Flow.In(units.USGallonPerMinute),
			Printed: fmt.Sprint(tc.Demand.In(units.USGallonPerMinute))})
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
	again, err := Parse("again", data)
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

func TestParseFaults(t *testing.T) {
	if _, err := Parse("base.json", []byte(base)); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ name, old, new, want string }{
		{"unknown field", `"length": "8 ft"`, `"lenght": "8 ft"`,
			`base.json:8:28: point "B": lenght: unknown field: did you mean "length"?` + "\n" +
				`base.json:8:3: point "B": length: missing`},
		{"no unit", `"length": "8 ft"`, `"length": 8`, `base.json:8:38: point "B": length: wrong type: 8 is a bare number: write a text with its unit`},
		{"wrong unit", `"length": "8 ft"`, `"length": "8 psi"`, `base.json:8:38: point "B": length: `},
		{"negative length", `"length": "8 ft"`, `"length": "-8 ft"`,
			`base.json:8:38: point "B": length: not possible: -8'-0" is negative`},
		{"rise over length", `"length": "8 ft"`, `"length": "8 ft", "rise": "9 ft"`,
			`point "B": rise: not possible: 9'-0" is more than the length of the run, 8'-0"`},
		{"unknown parent", `"from": "WH"`, `"from": "XX"`,
			`base.json:9:23: point "H": from: not possible: no point or source "XX"`},
		{"cycle", `{"id": "A", "from": "street"`, `{"id": "Z", "from": "street", "length": "1 ft"}, {"id": "A", "from": "B"`,
			`point "A": from: not possible: feeds itself through "B"` + "\n" +
				`base.json:8:23: point "B": from: not possible: feeds itself through "A"`},
		{"nothing fed", `"id": "street"`, `"id": "main"`,
			`base.json:6:23: point "A": from: not possible: no point or source "street"`},
		{"twice", `"id": "B"`, `"id": "A"`, `base.json:8:10: point "A": id: not possible: the id is given twice`},
		{"hot on cold", `"from": "A", "length": "8 ft"`, `"from": "A", "line": "hot", "length": "8 ft"`,
			`point "B": line: not possible: hot, but the water that reaches it is cold: a line is ` +
				`cold up to a heater, and hot below it`},
		{"port on the wrong line", `"hot": "H"`, `"hot": "B"`,
			`base.json:11:87: fixture "L": hot: not possible: point "B" carries cold water`},
		{"port at the heater", `"hot": "H"`, `"hot": "WH"`, `fixture "L": hot: not possible: point "WH" is a heater, whose own ` +
			`run is cold: name the end of a run that it feeds`},
		{"cable on a cold line", `"length": "8 ft"`, `"length": "8 ft", "traced": true`,
			`point "B": traced: not possible: the run carries cold water: a cable keeps hot lines warm`},
		{"port nowhere", `"hot": "H"`, `"hot": "HH"`, `fixture "L": hot: not possible: no point "HH"`},
		{"no ports", `, "cold": "B", "hot": "H"`, ``, `fixture "L": cold: not possible: neither a cold nor a hot port is at a point`},
		{"use", `"use": "public"`, `"use": "pubic"`, `fixture "L": use: not possible: use "pubic": did you mean public?`},
		{"no hot temperature", `, "hot": "120 degF"`, ``,
			`water: hot: not possible: there are hot lines, and no temperature for them`},
		{"boiling", `"hot": "120 degF"`, `"hot": "220 degF"`, `water: hot: not possible: 220 degF is outside 0 to 100 degC`},
		{"no pipe", `"pipe": {"cold": "copper-l", "hot": "copper-l"},`, ``,
			`point "A": pipe: not possible: no pipe named here, and none for the cold lines of the layout`},
		{"regulator without set", `"kind": "storage-heater", "loss": "1 psi"`, `"kind": "regulator"`,
			`point "WH": device: not possible: set: a regulator states the pressure it is set to`},
		{"sleeve", `"length": "8 ft"`, `"length": "8 ft", "sleeve": "S9"`, `point "B": sleeve: not possible: no sleeve "S9"`},
		{"no source pressure", `, "pressure": "60 psi"`, ``, `base.json:2:12: source: pressure: missing`},
		{"repeated", `"length": "8 ft"`, `"length": "8 ft", "length": "9 ft"`,
			`base.json:8:46: point "B": length: given twice`},
		{"count", `"use": "public"`, `"use": "public", "count": 0`,
			`fixture "L": count: wrong type: 0 where a whole number from 1 to 1000000 is needed`},
		{"truncated", `}]
}`, ``, `base.json:11:`},
	} {
		text := strings.Replace(base, tc.old, tc.new, 1)
		if text == base {
			t.Errorf("%s: nothing replaced", tc.name)
			continue
		}
		l, err := Parse("base.json", []byte(text))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s:\n got %v\nwant %s", tc.name, err, tc.want)
		}
		if tc.name == "count" && strings.Count(err.Error(), "count: ") != 1 {
			t.Errorf("told twice: %v", err)
		}
		if l != nil {
			t.Errorf("%s: a layout with faults came back", tc.name)
		}
	}
}

// Faults of many points come together, and by their types.
func TestParseAllFaultsAtOnce(t *testing.T) {
	text := strings.NewReplacer(`"length": "8 ft"`, `"length": "-8 ft"`, `"length": "9 ft"`,
		`"length": "9 ft", "size": "-1 in"`, `"hot": "H"`, `"hot": "Q"`).Replace(base)
	_, err := Parse("base.json", []byte(text))
	all, ok := errors.AsType[*units.Faults](err)
	if !ok || len(all.Faults) != 3 {
		t.Fatalf("want three faults, got %v", err)
	}
	if !errors.Is(err, tables.ErrQuery) {
		t.Errorf("%v is no tables.ErrQuery", err)
	}
	_, err = Parse("base.json", []byte(`{"points": [`+strings.Repeat("x", 10)))
	if !errors.Is(err, strictjson.ErrSyntax) {
		t.Errorf("%v is no ErrSyntax", err)
	}
}

// FuzzParse: whatever is read can be written, sized and checked. Edits put
// values of the text in place of others, so that the sizing is reached.
func FuzzParse(f *testing.F) {
	f.Add([]byte(base), []byte{})
	f.Add([]byte(base), []byte{3, 1, 40, 90, 7, 200})
	for _, name := range []string{"testdata/lodge.json", "testdata/refuge.json"} {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data, []byte{})
		}
	}
	f.Add([]byte(`{"source":{"id":"s","pressure":"1 psi"},"water":{"cold":"1 degC"},"points":[{"id":"a","from":"a","length":"0 m"}]}`),
		[]byte{})
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
		l, err := Parse("fuzz", []byte(jsonedit.Apply(string(data), edits)))
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
			for i := range s.runs {
				if r := &s.runs[i]; math.IsNaN(float64(r.Out)) || math.IsNaN(float64(r.Velocity)) {
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
func randomHouse(r *rand.Rand, points int, code string) Data {
	d := Data{
		Source: Source{ID: "street", Pressure: 90 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(50), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(70)},
		Pipe:   LinePipes{Cold: "copper-l", Hot: "copper-l", Recirc: "copper-l"},
	}
	d.Points = append(d.Points, Point{ID: "C0", From: "street", Length: 9 * units.Foot},
		Point{ID: "WH", From: "C0", Length: 2 * units.Foot,
			Device: &Device{Kind: "storage-heater", Loss: units.PoundForcePerSquareInch}},
		Point{ID: "H0", From: "WH", Length: 2 * units.Foot})
	cold, hot := 1, 1
	for range points {
		if r.IntN(2) == 0 {
			d.Points = append(d.Points, Point{ID: fmt.Sprintf("C%d", cold), From: fmt.Sprintf("C%d", r.IntN(cold)),
				Length: units.Length(r.IntN(30)) * units.Foot})
			cold++
		} else {
			d.Points = append(d.Points, Point{ID: fmt.Sprintf("H%d", hot), From: fmt.Sprintf("H%d", r.IntN(hot)),
				Length: units.Length(r.IntN(30)) * units.Foot})
			hot++
		}
	}
	r.Shuffle(len(d.Points), func(i, j int) { d.Points[i], d.Points[j] = d.Points[j], d.Points[i] })
	for i := range points {
		f := LayoutFixture{ID: fmt.Sprintf("F%d", i), Cold: fmt.Sprintf("C%d", r.IntN(cold))}
		switch r.IntN(5) {
		case 0:
			f.Fixture = tables.Fixture{Kind: "water-closet", Count: 1 + r.IntN(3), Use: tables.Public, Control: tables.Valve,
				Style: "siphonic"}
		case 1:
			f.Fixture = tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank,
				Flush: 1.6 * units.USGallon}
		case 2:
			f.Fixture = tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}
			f.Hot = fmt.Sprintf("H%d", r.IntN(hot))
		default:
			f.Fixture = tables.Fixture{Kind: "lavatory", Count: 1 + r.IntN(3), Use: tables.Public}
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
			l, err := New(randomHouse(r, 2+r.IntN(40), id))
			if err != nil {
				t.Fatal(err)
			}
			h, err := l.prepare(c, Options{}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i := range h.flows {
				if want := loadByPorts(t, l, c, i); h.flows[i].Load != want {
					t.Fatalf("%s: point %s: %v, want %v", id, l.Point(i).ID, h.flows[i].Load, want)
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
	var both, cold, hot []tables.Fixture
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
		list []tables.Fixture
		of   func(Loads) FixtureUnits
	}{{both, func(l Loads) FixtureUnits { return l.Total.FixtureUnits }},
		{cold, func(l Loads) FixtureUnits { return l.Cold.FixtureUnits }},
		{hot, func(l Loads) FixtureUnits { return l.Hot.FixtureUnits }}} {
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
	l, err := Parse("base.json", []byte(strings.Replace(base, `"use": "public"`, `"use": "private", "count": 10`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"A": "7", "B": "5", "WH": "5", "H": "5"} {
		i, _ := l.Find(id)
		if s.runs[i].Load != fu(want) {
			t.Errorf("%s: load %v, want %s", id, s.runs[i].Load, want)
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
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.runs {
			run := &s.runs[i]
			limit, err := c.VelocityLimit("copper", l.Service(i),
				map[Service]units.Temperature{Cold: d.Water.Cold, Hot: d.Water.Hot}[l.Service(i)])
			if err != nil || !within(run.Velocity, limit.Velocity) {
				t.Errorf("%s: %v over %v, %v", l.Point(i).ID, run.Velocity, limit, err)
			}
			if p := l.Parent(i); p >= 0 && s.runs[p].Size < run.Size {
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
		for _, f := range s.fixtures {
			if f.Margin() < 0 && len(s.unserved) == 0 {
				t.Errorf("a fixture lacks %v and none is called short", -f.Margin())
			}
		}
		more := d
		more.Fixtures = append(append([]LayoutFixture(nil), d.Fixtures...),
			LayoutFixture{ID: "extra", Fixture: tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Public}, Cold: "C0",
				Hot: "H0"})
		m, err := New(more)
		if err != nil {
			t.Fatal(err)
		}
		before, err1 := l.prepare(c, Options{}, nil)
		after, err2 := m.prepare(c, Options{}, nil)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		for i := range before.flows {
			if was, is := before.flows[i].Flow, after.flows[i].Flow; is < was-1e-15 {
				t.Errorf("%s: flow falls from %v to %v with one more bathtub", l.Point(i).ID, was, is)
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
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.runs {
			if round == 0 {
				byID[l.Point(i).ID] = s.runs[i].Out
			} else if byID[l.Point(i).ID] != s.runs[i].Out {
				t.Errorf("%s: %v, then %v", l.Point(i).ID, byID[l.Point(i).ID], s.runs[i].Out)
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
	l, err := Parse("base.json", []byte(strings.Replace(base, `"use": "public"`, `"use": "private"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		code    string
		fixture tables.Fixture
		point   string
		gpm     float64
		basis   FlowBasis
	}{
		{"ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}, "A", 0.8, FromOutlets},
		{"upc-2021", tables.Fixture{Kind: "drinking-fountain", Count: 3, Use: tables.Public}, "A", 2, FromOutlets},
		// IPC row 2.2 units gives 5.3 gpm; a maker's 12 gpm is more.
		{"ipc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank}, "A", 12,
			FromLargest},
	} {
		d := l.data
		d.Fixtures = []LayoutFixture{{ID: "X", Fixture: tc.fixture, Cold: "B"}}
		if tc.fixture.Kind == "lavatory" {
			d.Fixtures[0].Hot = "H"
		}
		if tc.basis == FromLargest {
			d.Fixtures[0].Flow = 12 * units.USGallonPerMinute
		}
		m, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := m.Size(mustCode(t, tc.code), Options{})
		if err != nil {
			t.Fatal(err)
		}
		i, _ := m.Find(tc.point)
		if r := s.runs[i]; roundTo(float64(r.Flow/units.USGallonPerMinute)) != tc.gpm || r.Basis != tc.basis {
			t.Errorf("%s %s: %v, %v; want %v gpm, %v", tc.code, tc.fixture.Kind, r.Flow, r.Basis, tc.gpm, tc.basis)
		}
	}
}

// A cycle of many points, with tails that lead into it, is told once a point and in no
// more than a moment; the tails are not on it.
func TestLongCycle(t *testing.T) {
	d := Data{Source: Source{ID: "s", Pressure: 1e5}, Water: Waters{Cold: units.Celsius(10)},
		Pipe: LinePipes{Cold: "copper-l"}}
	const n = 50_000
	for i := range n {
		d.Points = append(d.Points, Point{ID: fmt.Sprint(i), From: fmt.Sprint((i + 1) % n), Length: units.Metre})
	}
	d.Points = append(d.Points, Point{ID: "tail", From: "7", Length: units.Metre},
		Point{ID: "end", From: "tail", Length: units.Metre})
	_, err := New(d)
	all, ok := errors.AsType[*units.Faults](err)
	if !ok || len(all.Faults)+all.More != n {
		t.Fatalf("want a fault for each of %d points on the cycle, got %d", n, len(all.Faults)+all.More)
	}
	if got, want := all.Faults[0].Error(), `point "0": from: not possible: feeds itself through "1"`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// A way of 50 000 points with a fixture at each is no slower than any other layout.
func TestLongWay(t *testing.T) {
	d := Data{Source: Source{ID: "s", Pressure: 90 * units.Megapascal},
		Water: Waters{Cold: units.Celsius(10), Hot: units.Celsius(50), Ambient: units.Celsius(20)},
		Pipe:  LinePipes{Cold: "copper-l", Hot: "copper-l"}}
	d.Points = append(d.Points, Point{ID: "WH", From: "s", Length: units.Metre, Size: 8 * units.Inch,
		Device: &Device{Kind: "storage-heater"}})
	const n = 50_000
	for i := range n {
		from := "WH"
		if i > 0 {
			from = fmt.Sprint(i - 1)
		}
		d.Points = append(d.Points, Point{ID: fmt.Sprint(i), From: from, Length: units.Millimetre, Size: 8 * units.Inch})
		if i%20 == 0 {
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: fmt.Sprint("F", i),
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}, Hot: fmt.Sprint(i)})
		}
	}
	l, err := New(d)
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

// TestAbsentObjects: an object that is not there is missing, and not blamed for what
// it would have held.
func TestAbsentObjects(t *testing.T) {
	_, err := Parse("x", []byte(`{"points": [{"id": "A", "from": "s", "length": "5 m"}], "fixtures": []}`))
	if err == nil {
		t.Fatal("no error")
	}
	for _, never := range []string{"degC", "degF", "psi", "kPa", "above zero"} {
		if strings.Contains(err.Error(), never) {
			t.Errorf("%q stands in:\n%v", never, err)
		}
	}
	for _, want := range []string{"x:1:1: source: missing", "x:1:1: water: missing"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
}

// wipe puts nothing in place of all that data lead to.
func wipe(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			wipe(v.Elem())
			v.Elem().SetZero()
		}
	case reflect.Slice:
		for i := range v.Len() {
			wipe(v.Index(i))
			v.Index(i).SetZero()
		}
	case reflect.Struct:
		for i := range v.NumField() {
			wipe(v.Field(i))
		}
	}
}

// richLayout has something of everything that a layout can hold.
func richLayout(t *testing.T) Data {
	d := lodge(t).data.clone(nil)
	d.Links = []Link{{ID: "K", Between: [2]string{"C4", "C5"}, Length: units.Metre, Size: units.Inch,
		Fittings: []FittingItem{{Fitting: "elbow-90", Count: 2}}}}
	d.Stock = []Stock{{Pipe: "copper-l", Sizes: []units.Length{units.Inch}, Walls: []units.Length{units.Millimetre}}}
	d.Points[2].Device = &Device{Kind: "other", Curve: []CurvePoint{{0, 1}, {1, 2}}}
	d.Points[3].Insulation, d.Points[3].Beside = &Insulation{Thickness: units.Inch, Conductivity: 0.04},
		&Separation{Clear: units.Foot}
	d.Test = &PressureTest{Pressure: units.Megapascal, Medium: "water"}
	return d
}

// What is done to the data after a layout was made of them changes none of it.
func TestLayoutIsItsOwn(t *testing.T) {
	d := richLayout(t)
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	before, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	wipe(reflect.ValueOf(&d).Elem())
	if after, err := json.Marshal(l); err != nil || string(after) != string(before) {
		t.Errorf("the layout is now %s (%v)", after, err)
	}
}

// A layout is read by encoding/json as by Parse, or not at all.
func TestLayoutByJSON(t *testing.T) {
	d := richLayout(t)
	want, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var l Layout
	var data Data
	if err := json.Unmarshal(text, &l); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &data); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.data, l.data) + cmp.Diff(want.data, data); diff != "" {
		t.Error(diff)
	}
	if _, found := l.Find("C4"); !found || l.Len() != len(d.Points) || l.Parent(1) < 0 {
		t.Error("the layout was read and not prepared")
	}
	for _, bad := range []string{`{}`, `null`, strings.Replace(string(text), `"points"`, `"dots"`, 1),
		strings.Replace(string(text), `"from":"`, `"from":"not-`, 1)} {
		if err := json.Unmarshal([]byte(bad), &l); err == nil || cmp.Diff(want.data, l.data) != "" {
			t.Errorf("%.80s: %v, and the layout is now %+v", bad, err, l.data)
		}
	}
	if err := json.Unmarshal([]byte(`{"points": [{"id": "A", "size": 1}]}`), &data); err == nil ||
		cmp.Diff(want.data, data) != "" {
		t.Errorf("%v, and the data are now %+v", err, data)
	}
}

// A loss stated as zero is stated: no table answers in its place, and it is written and
// read again.
func TestNoLossIsStated(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	softener := func(loss string) Device {
		l, err := Parse("x", []byte(`{"source": {"id": "M", "pressure": "50 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"},
			"points": [{"id": "A", "from": "M", "length": "9 ft", "device": {"kind": "softener"`+loss+`}}]}`))
		if err != nil {
			t.Fatal(err)
		}
		var again Layout
		if text, err := json.Marshal(l); err != nil || json.Unmarshal(text, &again) != nil ||
			cmp.Diff(l.data, again.data) != "" {
			t.Errorf("%s: %v: %s", loss, err, cmp.Diff(l.data, again.data))
		}
		return *l.data.Points[0].Device
	}
	none, unsaid := softener(`, "loss": "0 psi"`), softener("")
	cost, err := c.DeviceLoss(&none, 1e-4)
	if want := (DeviceCost{Stated: true}); err != nil || cost != want {
		t.Errorf("no loss: %+v, %v", cost, err)
	}
	if cost, err = c.DeviceLoss(&unsaid, 1e-4); err != nil || cost.Stated || cost.Loss == 0 {
		t.Errorf("loss not stated: %+v, %v", cost, err)
	}
	none.Loss = 1
	if none.check() == nil {
		t.Error("no loss, and one of 1 Pa")
	}
}

// TestLayoutDoors puts one thing into a good layout that cannot be, and wants the
// field and the reason named; the value beside it that still can be is taken.
func TestLayoutDoors(t *testing.T) {
	const nm, psi = units.Length(1), units.PoundForcePerSquareInch
	nan, inf := math.NaN(), math.Inf(1)
	point := func(d *Data, id string) *Point {
		for i := range d.Points {
			if d.Points[i].ID == id {
				return &d.Points[i]
			}
		}
		t.Fatalf("no point %s", id)
		return nil
	}
	device := func(dev Device) func(d *Data) {
		return func(d *Data) { point(d, "C2").Device = &dev }
	}
	fitting := func(f FittingItem) func(d *Data) {
		return func(d *Data) { point(d, "C2").Fittings = []FittingItem{f} }
	}
	link := func(k Link) func(d *Data) {
		return func(d *Data) {
			if k.ID == "" {
				k.ID = "K"
			}
			if k.Between == [2]string{} {
				k.Between = [2]string{"C4", "C5"}
			}
			d.Links = []Link{k}
		}
	}
	noID := func(d *Data) {
		d.Links = []Link{{Between: [2]string{"C4", "C5"}, Size: units.Inch}}
	}
	for _, c := range []struct {
		want string // "" where the layout is taken
		edit func(d *Data)
	}{
		{"source: id: ", func(d *Data) { d.Source.ID = "" }},
		{"pressure: not possible: ", func(d *Data) { d.Source.Pressure = 0 }},
		{"pressure: not possible: ", func(d *Data) { d.Source.Pressure = units.Pressure(nan) }},
		{"static: not possible: ", func(d *Data) { d.Source.Static = d.Source.Pressure - psi }},
		{"", func(d *Data) { d.Source.Static = d.Source.Pressure }},
		{"cold: not possible: ", func(d *Data) { d.Water.Cold = units.Celsius(-0.01) }},
		{"", func(d *Data) { d.Water.Cold = units.Celsius(0) }},
		{"hot: not possible: ", func(d *Data) { d.Water.Hot = units.Celsius(100.01) }},
		{"ambient: not possible: ", func(d *Data) { d.Water.Ambient = units.Celsius(-60.01) }},
		{"stock[3]: pipe: not possible: names no pipe", func(d *Data) {
			d.Stock = append(d.Stock,
				Stock{Sizes: []units.Length{units.Inch}})
		}},
		{"stock[3]: sizes: not possible: there are none",
			func(d *Data) { d.Stock = append(d.Stock, Stock{Pipe: "cpvc-sdr11"}) }},
		{"is listed twice", func(d *Data) { d.Stock = append(d.Stock, d.Stock[0]) }},
		{"points: not possible: there are none", func(d *Data) { d.Points = nil }},
		{"medium: not possible: ", func(d *Data) { d.Test.Medium = "steam" }},
		{"test: pressure: not possible: ", func(d *Data) { d.Test.Pressure = 0 }},

		{"length: not possible: ", func(d *Data) { point(d, "C2").Length = -nm }},
		{"", func(d *Data) { point(d, "C2").Length = 0 }},
		{"length: not possible: ", func(d *Data) { point(d, "C2").Length = maxLength + nm }},
		{"rise: not possible: ", func(d *Data) { p := point(d, "C2"); p.Rise = p.Length + nm }},
		{"", func(d *Data) { p := point(d, "C2"); p.Rise = p.Length }},
		{"", func(d *Data) { p := point(d, "C2"); p.Rise = -p.Length }},
		{"size: not possible: ", func(d *Data) { point(d, "C2").Size = -nm }},
		{"size: not possible: ", func(d *Data) { point(d, "C2").Size = 2*units.Metre + nm }},
		{"continuous: not possible: ", func(d *Data) { point(d, "C2").Continuous = 10.001 }},
		{"continuous: not possible: ", func(d *Data) { point(d, "C2").Continuous = units.Flow(nan) }},
		{"thickness: ", func(d *Data) { point(d, "H3").Insulation = &Insulation{0, 0.04} }},
		{"thickness: ", func(d *Data) { point(d, "H3").Insulation = &Insulation{units.Metre + nm, 0.04} }},
		{"conductivity: ", func(d *Data) { point(d, "H3").Insulation = &Insulation{units.Inch, 0} }},
		{"conductivity: ", func(d *Data) { point(d, "H3").Insulation = &Insulation{units.Inch, 10.001} }},
		{"clear: ", func(d *Data) { point(d, "C8").Beside.Clear = -nm }},
		{"", func(d *Data) { point(d, "C8").Beside.Clear = 0 }},

		{"no fitting named", fitting(FittingItem{Count: 1})},
		{"elbow-90: count: 0", fitting(FittingItem{Fitting: "elbow-90"})},
		{"elbow-90: count: 10001", fitting(FittingItem{Fitting: "elbow-90", Count: 10_001})},
		{"elbow-90: length: ", fitting(FittingItem{Fitting: "elbow-90", Count: 1, Length: -nm})},
		{"elbow-90: k: ", fitting(FittingItem{Fitting: "elbow-90", Count: 1, K: -1})},
		{"both a length and a k", fitting(FittingItem{Fitting: "elbow-90", Count: 1, Length: nm, K: 0.1})},
		{"", fitting(FittingItem{Fitting: "elbow-90", Count: 10_000, K: 0.1})},

		{"no kind", device(Device{})},
		{"device: not possible: loss: ", device(Device{Kind: "filter", Loss: -psi})},
		{"device: not possible: loss: ", device(Device{Kind: "filter", Loss: units.Pressure(inf)})},
		{"device: not possible: size: ", device(Device{Kind: "meter", Size: -nm})},
		{"both a loss and a curve", device(Device{Kind: "filter", Loss: psi, Curve: []CurvePoint{{0, 0}, {1, psi}}})},
		{"curve[1]: ", device(Device{Kind: "filter", Curve: []CurvePoint{{0, 0}, {units.Flow(nan), psi}}})},
		{"flow must rise and loss must not fall", device(Device{Kind: "filter", Curve: []CurvePoint{{1, 0}, {1, psi}}})},
		{"flow must rise and loss must not fall", device(Device{Kind: "filter", Curve: []CurvePoint{{0, psi}, {1, 0}}})},
		{"one point is no curve", device(Device{Kind: "filter", Curve: []CurvePoint{{1, psi}}})},
		{"", device(Device{Kind: "filter", Curve: []CurvePoint{{0, psi}, {1, psi}}})},
		{"set: ", device(Device{Kind: "regulator"})},
		{"fall_off: ", device(Device{Kind: "regulator", Set: psi, FallOff: psi})},
		{"", device(Device{Kind: "regulator", Set: psi, FallOff: 0})},
		{"both a fall_off and a chart", device(Device{Kind: "regulator", Set: 2 * psi, FallOff: psi,
			Holds: []HeldPoint{{0, 2 * psi}, {1, psi}}})},
		{"one point is no chart", device(Device{Kind: "regulator", Set: 2 * psi, Holds: []HeldPoint{{1, psi}}})},
		{"holds[0]: ", device(Device{Kind: "regulator", Set: 2 * psi, Holds: []HeldPoint{{0, psi}, {1, psi}}})},
		{"holds[1]: flow must rise", device(Device{Kind: "regulator", Set: 2 * psi,
			Holds: []HeldPoint{{1, 2 * psi}, {1, psi}}})},
		{"holds[0]: flow must rise, and pressure must not",
			device(Device{Kind: "regulator", Set: 2 * psi, Holds: []HeldPoint{{1, 3 * psi}, {2, psi}}})},
		{"holds[1]: ", device(Device{Kind: "regulator", Set: 2 * psi, Holds: []HeldPoint{{1, psi}, {units.Flow(nan), psi}}})},
		{"holds is of a regulator, not of a filter", device(Device{Kind: "filter", Loss: psi,
			Holds: []HeldPoint{{0, 2 * psi}, {1, psi}}})},
		{"", device(Device{Kind: "regulator", Set: 2 * psi, Holds: []HeldPoint{{0, 2 * psi}, {1, psi}}})},
		{"set is of a regulator or booster, not of a filter", device(Device{Kind: "filter", Set: psi})},

		{"line: ", func(d *Data) { point(d, "C2").Line = "steam" }},
		{"a heater on a return", func(d *Data) { point(d, "R1").Device = &Device{Kind: "storage-heater"} }},
		{"fixtures[0]: id: not possible: no id", func(d *Data) { d.Fixtures[0].ID = "" }},
		{"the id is given twice", func(d *Data) { d.Fixtures[0].ID = d.Fixtures[1].ID }},
		{"flow: not possible: ", func(d *Data) { d.Fixtures[0].Flow = units.Flow(nan) }},
		{"flow: not possible: ", func(d *Data) { d.Fixtures[0].Flow = 10.001 }},
		{"pressure: not possible: ", func(d *Data) { d.Fixtures[0].Pressure = -psi }},
		{"is a heater", func(d *Data) { d.Fixtures[2].Cold = "WH" }},

		{"id: not possible: missing, or given twice", func(d *Data) { d.Sleeves[0].ID = "" }},
		{"bore: not possible: ", func(d *Data) { d.Sleeves[0].Bore, d.Sleeves[0].Rope = 0, 0 }},
		{"bore: not possible: ", func(d *Data) { d.Sleeves[0].Bore = 2*units.Metre + nm }},
		{"length: not possible: ", func(d *Data) { d.Sleeves[0].Length = -nm }},
		{"bends: not possible: ", func(d *Data) { d.Sleeves[0].Bends = 1001 }},
		{"bends: not possible: ", func(d *Data) { d.Sleeves[0].Bends = -1 }},
		{"rope: not possible: ", func(d *Data) { d.Sleeves[0].Rope = d.Sleeves[0].Bore + nm }},
		{"", func(d *Data) { d.Sleeves[0].Rope = d.Sleeves[0].Bore }},

		{"id: not possible: missing, or given twice", func(d *Data) { d.Recirculation[0].ID = "" }},
		{`heater: not possible: point "C1" is no heater`, func(d *Data) { d.Recirculation[0].Heater = "C1" }},
		{`return: not possible: no point "X"`, func(d *Data) { d.Recirculation[0].Return = "X" }},
		{`return: not possible: point "H1" carries hot water`, func(d *Data) { d.Recirculation[0].Return = "H1" }},
		{"flow: not possible: ", func(d *Data) { d.Recirculation[0].Flow = -1 }},
		{"drop: not possible: ", func(d *Data) { d.Recirculation[0].Drop = 100.1 }},
		{"state how far the water may cool, or the flow", func(d *Data) { d.Recirculation[0].Drop = 0 }},
		{"", func(d *Data) { d.Recirculation[0].Drop, d.Recirculation[0].Flow = 0, 0.001 }},

		{"id: not possible: missing, or given twice", noID},
		{"id: not possible: missing, or given twice", link(Link{ID: "C1", Size: units.Inch})},
		{`no point "X": a link joins two points`, link(Link{Between: [2]string{"C4", "X"}, Size: units.Inch})},
		{`joins "C4" to itself`, link(Link{Between: [2]string{"C4", "C4"}, Size: units.Inch})},
		{"joins a cold line to a hot line", link(Link{Between: [2]string{"C4", "H1"}, Size: units.Inch})},
		{"length: not possible: ", link(Link{Length: -nm, Size: units.Inch})},
		{"", link(Link{Length: units.Foot})},
		{"size: not possible: ", link(Link{Length: units.Foot, Size: -nm})},
		{"fittings[0]: not possible: elbow-90: count: 0",
			link(Link{Size: units.Inch, Fittings: []FittingItem{{Fitting: "elbow-90"}}})},
		{"", link(Link{Length: units.Foot, Size: units.Inch, Pipe: "copper-l"})},
	} {
		d := lodge(t).Data()
		if d.Test != nil { // what is behind a pointer is the file's own
			test := *d.Test
			d.Test = &test
		}
		c.edit(&d)
		_, err := New(d)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("refused: %v", err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// Each figure of a layout at the end of what is taken for possible, and a step past it.
func TestLayoutLimits(t *testing.T) {
	const nm, m = units.Length(1), units.Metre
	const pa, mpa = units.Pressure(1), 100 * units.Megapascal
	point := func(d *Data) *Point { return &d.Points[2] } // B
	sleeve := func(s Sleeve) func(d *Data) {
		return func(d *Data) { s.ID = "S"; d.Sleeves = []Sleeve{s} }
	}
	link := func(k Link) func(d *Data) {
		return func(d *Data) { k.ID, k.Between = "K", [2]string{"A", "B"}; d.Links = []Link{k} }
	}
	loop := func(r Loop) func(d *Data) {
		return func(d *Data) {
			d.Points = append(d.Points, Point{ID: "R", From: "H", Line: "recirc", Length: m, Pipe: "copper-l"})
			r.ID, r.Heater, r.Return = "RC", "WH", "R"
			d.Recirculation = []Loop{r}
		}
	}
	device := func(x Device) func(d *Data) { return func(d *Data) { point(d).Device = &x } }
	fitting := func(f FittingItem) func(d *Data) {
		return func(d *Data) { f.Fitting = "elbow-90"; point(d).Fittings = []FittingItem{f} }
	}
	atLimits(t, []limit{
		{"source", func(d *Data) { d.Source.Pressure = mpa }, func(d *Data) { d.Source.Pressure = mpa + pa },
			"source: pressure"},
		{"static", func(d *Data) { d.Source.Static = mpa }, func(d *Data) { d.Source.Static = mpa + pa }, "source: static"},
		{"static as flowing", func(d *Data) { d.Source.Static = d.Source.Pressure },
			func(d *Data) { d.Source.Static = d.Source.Pressure - pa }, "source: static"},
		{"test", func(d *Data) { d.Test = &PressureTest{mpa, "air"} },
			func(d *Data) { d.Test = &PressureTest{mpa + pa, "air"} }, "test: pressure"},
		{"hot", func(d *Data) { d.Water.Hot = units.Celsius(100) }, func(d *Data) { d.Water.Hot = units.Celsius(100.001) },
			"water: hot"},
		{"cold", func(d *Data) { d.Water.Cold = units.Celsius(0) }, func(d *Data) { d.Water.Cold = units.Celsius(-0.001) },
			"water: cold"},
		{"warm air", func(d *Data) { d.Water.Ambient = units.Celsius(100) },
			func(d *Data) { d.Water.Ambient = units.Celsius(100.001) }, "water: ambient"},
		{"cold air", func(d *Data) { d.Water.Ambient = units.Celsius(-60) },
			func(d *Data) { d.Water.Ambient = units.Celsius(-60.001) }, "water: ambient"},
		{"length", func(d *Data) { point(d).Length = 4000 * m }, func(d *Data) { point(d).Length = 4000*m + nm },
			`point "B": length`},
		{"no length", func(d *Data) { point(d).Length, point(d).Rise = 0, 0 },
			func(d *Data) { point(d).Length, point(d).Rise = 0, nm }, `point "B": rise`},
		{"fall", func(d *Data) { point(d).Length, point(d).Rise = m, -m },
			func(d *Data) { point(d).Length, point(d).Rise = m, -m-nm }, `point "B": rise`},
		{"size", func(d *Data) { point(d).Size = 2 * m }, func(d *Data) { point(d).Size = 2*m + nm }, `point "B": size`},
		{"continuous", func(d *Data) { point(d).Continuous = 10 }, func(d *Data) { point(d).Continuous = 10.001 },
			`point "B": continuous`},
		{"insulation", func(d *Data) { point(d).Insulation = &Insulation{m, 10} },
			func(d *Data) { point(d).Insulation = &Insulation{m + nm, 10} }, `point "B": insulation: `},
		{"conductivity", func(d *Data) { point(d).Insulation = &Insulation{units.Millimetre, 10} },
			func(d *Data) { point(d).Insulation = &Insulation{nm, 10.001} }, `point "B": insulation: `},
		{"fitting's length", fitting(FittingItem{Count: 1, Length: 4000 * m}),
			fitting(FittingItem{Count: 1, Length: 4000*m + nm}), `point "B": fittings[0]`},
		{"fitting's k", fitting(FittingItem{Count: 1, K: 1e6}), fitting(FittingItem{Count: 1, K: 1e6 + 1}),
			`point "B": fittings[0]`},
		{"fittings", fitting(FittingItem{Count: 10000}), fitting(FittingItem{Count: 10001}), `point "B": fittings[0]`},
		{"device's loss", device(Device{Kind: "other", Loss: mpa}), device(Device{Kind: "other", Loss: mpa + pa}),
			`point "B": device`},
		{"device's curve", device(Device{Kind: "other", Curve: []CurvePoint{{0, 0}, {10, mpa}}}),
			device(Device{Kind: "other", Curve: []CurvePoint{{0, 0}, {10.001, mpa}}}), `point "B": device`},
		{"regulator", device(Device{Kind: "regulator", Set: mpa}), device(Device{Kind: "regulator", Set: mpa + pa}),
			`point "B": device`},
		{"fixture's flow", func(d *Data) { d.Fixtures[0].Flow = 10 }, func(d *Data) { d.Fixtures[0].Flow = 10.001 },
			`fixture "L": flow`},
		{"fixture's pressure", func(d *Data) { d.Fixtures[0].Pressure = mpa },
			func(d *Data) { d.Fixtures[0].Pressure = mpa + pa }, `fixture "L": pressure`},
		{"sleeve's bore", sleeve(Sleeve{Bore: 2 * m, Bends: 1000}), sleeve(Sleeve{Bore: 2*m + nm}), `sleeve "S": bore`},
		{"sleeve's length", sleeve(Sleeve{Bore: m, Length: 4000 * m}), sleeve(Sleeve{Bore: m, Length: 4000*m + nm}),
			`sleeve "S": length`},
		{"sleeve's bends", sleeve(Sleeve{Bore: m, Bends: 1000}), sleeve(Sleeve{Bore: m, Bends: 1001}), `sleeve "S": bends`},
		{"no sleeve's length", sleeve(Sleeve{Bore: m}), sleeve(Sleeve{Bore: m, Length: -nm}), `sleeve "S": length`},
		{"sleeve's rope", sleeve(Sleeve{Bore: m, Rope: m}), sleeve(Sleeve{Bore: m, Rope: m + nm}), `sleeve "S": rope`},
		{"link's length", link(Link{Length: 4000 * m, Size: m}), link(Link{Length: 4000*m + nm, Size: m}),
			`link "K": length`},
		{"link of no length", link(Link{Size: m}), link(Link{Length: -nm, Size: m}), `link "K": length`},
		{"link's size", link(Link{Size: 2 * m}), link(Link{Size: 2*m + nm}), `link "K": size`},
		{"loop's flow", loop(Loop{Flow: 10}), loop(Loop{Flow: 10.001}), `recirculation "RC": flow`},
		{"loop's drop", loop(Loop{Drop: 100}), loop(Loop{Drop: 100.001}), `recirculation "RC": drop`},
	})
}

// A limit is a figure of a layout at the end of what is taken for possible, and a step past it.
type limit struct {
	what     string
	at, past func(d *Data)
	want     string // where the fault is
}

func atLimits(t *testing.T, list []limit) {
	t.Helper()
	for _, tc := range list {
		for _, past := range []bool{false, true} {
			l, err := Parse("base.json", []byte(base))
			if err != nil {
				t.Fatal(err)
			}
			d := l.data
			edit := tc.at
			if past {
				edit = tc.past
			}
			edit(&d)
			_, err = New(d)
			if !past && err != nil {
				t.Errorf("%s at the limit: %v", tc.what, err)
			}
			if past && (!errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), tc.want)) {
				t.Errorf("%s past the limit: %v", tc.what, err)
			}
		}
	}
}

// TestDeviceLimits: what a device, a source and a place may state at most and at least, and a step past it. A pressure of
// less than a kilopascal, a loss of less than 50 Pa, is taken for a number without its unit.
func TestDeviceLimits(t *testing.T) {
	const pa, kpa, mpa, m, in = units.Pressure(1), units.Kilopascal, 100 * units.Megapascal, units.Metre, units.Inch
	device := func(x Device) func(d *Data) { return func(d *Data) { d.Points[2].Device = &x } }
	regulator := func(fall units.Pressure, holds ...HeldPoint) func(d *Data) {
		return device(Device{Kind: "regulator", Set: 300 * kpa, FallOff: fall, Holds: holds})
	}
	booster := func(set, out units.Pressure) func(d *Data) {
		return device(Device{Kind: "booster", Set: set, CutOut: out})
	}
	curve := func(points ...CurvePoint) func(d *Data) { return device(Device{Kind: "other", Curve: points}) }
	hydrant := func(flow units.Flow) func(d *Data) {
		return func(d *Data) { d.Source.Static, d.Source.ResidualFlow = d.Source.Pressure, flow }
	}
	needs := func(p units.Pressure) func(d *Data) {
		return func(d *Data) { d.Points[2].Continuous, d.Points[2].Needs = 1e-4, p }
	}
	tested := func(p units.Pressure) func(d *Data) { return func(d *Data) { d.Test = &PressureTest{p, "water"} } }
	share := func(x float64) func(d *Data) { return func(d *Data) { d.FittingsAllowance = x } }
	walls := func(n int) func(d *Data) {
		return func(d *Data) {
			d.Stock = []Stock{{Pipe: "copper-l", Sizes: []units.Length{in / 2, in}, Walls: make([]units.Length, n)}}
		}
	}
	// A run of 10 m whose ends lie as far apart as it is long, a hundredth of it and half an inch.
	apart := func(x units.Length) func(d *Data) {
		return func(d *Data) {
			d.Points[0].At, d.Points[2].At = &Place{}, &Place{X: x}
			d.Points[2].From, d.Points[2].Length, d.Points[2].Rise = d.Points[0].ID, 10*m, 0
		}
	}
	atLimits(t, []limit{
		{"allowance", share(3), share(3.001), "fittings_allowance"}, {"no allowance", share(0), share(-0.001), "fittings_allowance"},
		{"walls", walls(2), walls(1), "walls"}, {"no walls", walls(0), walls(3), "walls"},
		{"hot over cold", func(d *Data) { d.Water.Hot = units.Fahrenheit(50.1) }, func(d *Data) { d.Water.Hot = d.Water.Cold },
			"water: hot"},
		{"flow of the street", hydrant(10), hydrant(10.001), "residual_flow"},
		{"no flow of the street", hydrant(0), hydrant(-0.001), "residual_flow"},
		{"needs", needs(mpa), needs(mpa + pa), `point "B": needs`}, {"no needs", needs(0), needs(-pa), `point "B": needs`},
		{"least test", tested(kpa), tested(kpa - pa), "test: pressure"}, {"test", tested(mpa), tested(0), "test: pressure"},
		{"least source", func(d *Data) { d.Source.Pressure = kpa }, func(d *Data) { d.Source.Pressure = kpa - pa }, "source: pressure"},
		{"least loss", device(Device{Kind: "other", Loss: 50}), device(Device{Kind: "other", Loss: 49}), `point "B": device`},
		{"no loss", device(Device{Kind: "other"}), device(Device{Kind: "other", Loss: -1}), `point "B": device`},
		{"no size", device(Device{Kind: "other"}), device(Device{Kind: "other", Size: -1}), `point "B": device: `},
		{"said to be none", device(Device{Kind: "other", NoLoss: true}), device(Device{Kind: "other", NoLoss: true, Loss: kpa}),
			"states both no loss and one of"},
		{"a loss alone", device(Device{Kind: "other", Loss: kpa}),
			device(Device{Kind: "other", Loss: kpa, Curve: []CurvePoint{{0, 0}, {1, kpa}}}), "states both a loss and a curve"},
		{"none alone", device(Device{Kind: "other", NoLoss: true}),
			device(Device{Kind: "other", NoLoss: true, Curve: []CurvePoint{{0, 0}, {1, kpa}}}), "states both a loss and a curve"},
		{"curve of two", curve(CurvePoint{0, 0}, CurvePoint{1, kpa}), curve(CurvePoint{1, kpa}), "one point is no curve"},
		{"level curve", curve(CurvePoint{0, kpa}, CurvePoint{1, kpa}), curve(CurvePoint{0, kpa}, CurvePoint{1, kpa - pa}),
			"loss must not fall"},
		{"rising curve", curve(CurvePoint{0, 0}, CurvePoint{1, kpa}), curve(CurvePoint{1, 0}, CurvePoint{1, kpa}), "flow must rise"},
		{"first of a curve", curve(CurvePoint{0, 0}, CurvePoint{1, kpa}), curve(CurvePoint{-0.001, 0}, CurvePoint{1, kpa}), "curve[0]"},
		{"greatest loss of a curve", curve(CurvePoint{0, 0}, CurvePoint{1, mpa}), curve(CurvePoint{0, 0}, CurvePoint{1, mpa + pa}),
			"curve[1]"},
		{"fall", regulator(300*kpa - pa), regulator(300 * kpa), "fall_off"}, {"no fall", regulator(0), regulator(-pa), "fall_off"},
		{"regulator that is set", regulator(0), device(Device{Kind: "regulator"}), "a regulator states"},
		{"chart", regulator(0, HeldPoint{0, 300 * kpa}, HeldPoint{10, pa}), regulator(0, HeldPoint{0, 300 * kpa}, HeldPoint{10.001, pa}),
			"holds[1]"},
		{"chart to nothing", regulator(0, HeldPoint{0, 300 * kpa}, HeldPoint{1, pa}), regulator(0, HeldPoint{0, 300 * kpa}, HeldPoint{1, 0}),
			"holds[1]"},
		{"chart alone", regulator(0, HeldPoint{1, 290 * kpa}, HeldPoint{2, 290 * kpa}),
			regulator(kpa, HeldPoint{1, 290 * kpa}, HeldPoint{2, 290 * kpa}), "both a fall_off and a chart"},
		{"chart of two", regulator(0, HeldPoint{1, 300 * kpa}, HeldPoint{2, 290 * kpa}), regulator(0, HeldPoint{1, 300 * kpa}),
			"one point is no chart"},
		{"chart from its set", regulator(0, HeldPoint{0, 300 * kpa}, HeldPoint{2, 290 * kpa}),
			regulator(0, HeldPoint{0, 299 * kpa}, HeldPoint{2, 290 * kpa}), "at no flow"},
		{"chart that rises", regulator(0, HeldPoint{1, 290 * kpa}, HeldPoint{2, 290 * kpa}),
			regulator(0, HeldPoint{1, 290 * kpa}, HeldPoint{2, 290*kpa + pa}), "flow must rise"},
		{"chart over its set", regulator(0, HeldPoint{1, 300 * kpa}, HeldPoint{2, 290 * kpa}),
			regulator(0, HeldPoint{1, 300*kpa + pa}, HeldPoint{2, 290 * kpa}), "flow must rise"},
		{"chart of one flow", regulator(0, HeldPoint{1, 300 * kpa}, HeldPoint{2, 290 * kpa}),
			regulator(0, HeldPoint{1, 300 * kpa}, HeldPoint{1, 290 * kpa}), "flow must rise"},
		{"booster", booster(mpa, 0), booster(mpa+pa, 0), "a booster states"},
		{"booster that stops", booster(kpa, mpa), booster(kpa, mpa+pa), "cut_out"},
		{"booster that stops as it starts", booster(kpa, kpa), booster(kpa, kpa-pa), "cut_out"},
		{"tank", device(Device{Kind: "expansion-tank", Volume: 100}), device(Device{Kind: "expansion-tank", Volume: 100.001}), "volume"},
		{"no tank", device(Device{Kind: "expansion-tank"}), device(Device{Kind: "expansion-tank", Volume: -0.001}), "volume"},
		{"mixed hot", device(Device{Kind: "mixing-valve", Temperature: units.Celsius(100)}),
			device(Device{Kind: "mixing-valve", Temperature: units.Celsius(100.001)}), "temperature"},
		{"ends apart", apart(10*m + m/10 + in/2), apart(10*m + m/10 + in/2 + units.Micrometre), `point "B": length`},
	})
}

// A link names two points by their ids.
func TestLinkFaults(t *testing.T) {
	for between, want := range map[string]string{
		`["A", "B"]`:      "",
		`["A"]`:           `link "K": between: wrong type: a list of 1 where one of 2 is needed`,
		`["A", "B", "A"]`: `link "K": between: wrong type: a list of 3 where one of 2 is needed`,
		`["A", 2]`:        `link "K": between: `,
		`["A", "A"]`:      `link "K": between: not possible: joins "A" to itself`,
	} {
		text := strings.Replace(base, ` "fixtures"`, ` "links": [{"id": "K", "between": `+between+
			`, "length": "1 ft", "size": "1 in"}],`+"\n"+` "fixtures"`, 1)
		_, err := Parse("base.json", []byte(text))
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", between, err, want)
		}
	}
}

// The fixtures at a point, in the order of the layout, whatever point it is.
func TestFixturesAt(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	for range 20 {
		l, err := New(randomHouse(r, 2+r.IntN(20), "ipc-2021"))
		if err != nil {
			t.Fatal(err)
		}
		for i := range l.Len() {
			var want []int32
			for k, f := range l.data.Fixtures {
				if id := l.Point(i).ID; f.Cold == id || f.Hot == id {
					want = append(want, int32(k))
				}
			}
			if diff := cmp.Diff(want, l.FixturesAt(i), cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("%s (-want +got):\n%s", l.Point(i).ID, diff)
			}
		}
	}
}

// Places follow from coordinates, or from bearing and length; rises from elevations. What
// contradicts itself is told: a rise that elevations deny, a run shorter than the way.
func TestPlaces(t *testing.T) {
	ft, in := units.Foot, units.Inch
	at := func(x, y units.Length) *Place { return &Place{X: x * ft, Y: y * ft} }
	level := func(l units.Length) *units.Length { return &l }
	base := func(edit func(d *Data)) Data {
		d := closets(60, []Point{{ID: "A", From: "main", Length: 30 * ft, At: at(0, 30), Elevation: level(100 * ft)},
			{ID: "B", From: "A", Length: 13 * ft, Rise: 3 * ft, Bearing: Degrees(90)},
			{ID: "C", From: "B", Length: 8 * ft, Rise: 8 * ft},
			{ID: "D", From: "C", Length: 5 * ft}}, []string{"B"}, nil)
		d.Source.At, d.Source.Elevation = &Position{}, level(98*ft)
		if edit != nil {
			edit(&d)
		}
		return d
	}
	d := base(func(d *Data) { d.Points[0].Length = 31 * ft })
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	// A at its coordinates, 2 ft up; B 10 ft to the right, for 3 of its 13 ft rise; C over it;
	// D not known.
	for i, want := range []string{`0" 30'-0" 100'-0"`, `10'-0" 30'-0" 103'-0"`, `10'-0" 30'-0" 111'-0"`, `? 111'-0"`} {
		got := "?"
		if p, ok := l.Place(i); ok {
			got = p.X.String() + " " + p.Y.String()
		}
		e, _ := l.Level(i)
		if got += " " + e.String(); got != want {
			t.Errorf("%s: %s, want %s", d.Points[i].ID, got, want)
		}
	}
	a, err := l.Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil || a.runs[0].Elevation != 2*ft || a.runs[2].Elevation != 13*ft {
		t.Fatalf("%v, %v over the source, %v", a.runs[0].Elevation, a.runs[2].Elevation, err)
	}
	// The same height without an elevation of the source: it follows from the first point's.
	d.Source.Elevation, d.Points[0].Rise = nil, 2*ft
	if l, err = New(d); err != nil || l.sourceAt != 98*ft {
		t.Errorf("%v, %v", l.sourceAt, err)
	}
	for _, tc := range []struct {
		what string
		edit func(d *Data)
	}{
		{`length: not possible: 30'-0" is shorter than the 31'-0 1/2" between`,
			func(d *Data) { d.Points[0].At = at(0, 31); d.Points[0].Length = 30 * ft }},
		{`rise: not possible: 1'-0", and the elevations of its ends make it 2'-0"`, func(d *Data) { d.Points[0].Rise = ft }},
		{"is more than the length of the run", func(d *Data) { d.Points[0].Elevation = level(140 * ft) }},
	} {
		d := base(func(d *Data) { d.Points[0].Length = 31 * ft })
		tc.edit(&d)
		if _, err := New(d); err == nil || !strings.Contains(err.Error(), tc.what) {
			t.Errorf("want %s\ngot %v", tc.what, err)
		}
	}
	// An eighth of an inch, and half an inch with a hundredth of the length, are drawing.
	if _, err := New(base(func(d *Data) {
		d.Points[0].Length, d.Points[0].Rise, d.Points[0].At = 31*ft, 2*ft+in/8, at(0, 31)
	})); err != nil {
		t.Error(err)
	}
}

// TestDefaults: what is said once goes to fixtures and hot runs that do not say it; a run that is
// bare stays so, and one with insulation of its own keeps it.
func TestDefaults(t *testing.T) {
	l, err := Parse("d.json", []byte(`{"source": {"id": "S", "pressure": "60 psi", "at": {"x": "0 ft", "y": "0 ft"}},
 "water": {"cold": "50 degF", "hot": "120 degF"}, "pipe": {"cold": "pex-sdr9", "hot": "pex-sdr9"},
 "defaults": {"use": "public", "below_slab": true, "insulation": {"thickness": "1/2 in", "conductivity": "0.04 W/m-K"}},
 "points": [{"id": "C", "from": "S", "length": "plan", "rise": "-2 ft", "at": {"x": "30 ft", "y": "40 ft"}},
  {"id": "WH", "from": "C", "length": "5 ft", "above_slab": true, "device": {"kind": "storage-heater"}},
  {"id": "H1", "from": "WH", "length": "8 ft"},
  {"id": "H2", "from": "H1", "length": "8 ft", "bare": true},
  {"id": "H3", "from": "H1", "length": "8 ft", "insulation": {"thickness": "1 in", "conductivity": "0.04 W/m-K"}}],
 "fixtures": [{"id": "L", "fixture": "lavatory", "cold": "C", "hot": "H2"},
  {"id": "P", "fixture": "lavatory", "use": "private", "cold": "C", "hot": "H3"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	d := l.Data()
	if got := d.Points[0].Length; got != 52*units.Foot { // 30, 40, 50, and two down
		t.Errorf("the run by plan is %v long, want 52 ft", got)
	}
	for i, want := range []units.Length{0, 0, units.Inch / 2, 0, units.Inch} {
		got := units.Length(0)
		if in := d.Points[i].Insulation; in != nil {
			got = in.Thickness
		}
		if got != want {
			t.Errorf("%s has insulation of %v, want %v", d.Points[i].ID, got, want)
		}
		if below := d.Points[i].ID != "WH"; d.Points[i].BelowSlab != below {
			t.Errorf("%s: below the slab %v, want %v", d.Points[i].ID, !below, below)
		}
	}
	if d.Fixtures[0].Use != tables.Public || d.Fixtures[1].Use != tables.Private {
		t.Errorf("uses %v and %v", d.Fixtures[0].Use, d.Fixtures[1].Use)
	}
	for text, want := range map[string]string{
		`"length": "plan"`: `"plan" takes it from the places`,
		`"length": "8 ft", "above_slab": true, "below_slab": true`:                                          "it is below the slab too",
		`"length": "8 ft", "bare": true, "insulation": {"thickness": "1 in", "conductivity": "0.04 W/m-K"}`: "insulation of its own",
	} {
		_, err := Parse("d.json", []byte(`{"source": {"id": "S", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "pex-sdr9"},
 "points": [{"id": "C", "from": "S", `+text+`}]}`))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "d.json:2:") {
			t.Errorf("%s: %v", text, err)
		}
	}
}
