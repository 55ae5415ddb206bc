package supply

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// Losses of 27 gpm, one flushometer closet, in 100 ft by 4.52 Q^1.852 / (C^1.852 d^4.8704)
// with C 145 for copper and 150 for PEX: type L copper 1-1/4 in (1.265) 6.40 psi, 1-1/2 in
// (1.505) 2.74, 2 in (1.985) 0.71; PEX 1-1/2 in (1.244) 6.52, 2 in (1.629) 1.75. At 8 ft/s
// 27 gpm ask 1-1/4 in of copper and 1-1/2 in of PEX. 35 gpm, two closets, lose
// (35/27)^1.852 = 1.62 times as much: 4.44 psi in 1-1/2 in of copper, the least at 8 ft/s.
func TestUniformLossSizes(t *testing.T) {
	ft, in := units.Foot, units.Inch
	copper := Stock{Pipe: "copper-l", Sizes: []units.Length{in * 5 / 4, in * 3 / 2}}
	run := func(id, from string, p Point) Point {
		p.ID, p.From, p.Length = id, from, 100*ft
		return p
	}
	for _, tc := range []struct {
		what   string
		source float64 // psi
		points []Point
		at     []string // a closet at each
		stock  []Stock
		want   string
		rounds int
		short  bool
	}{
		{what: "6.5 psi to lose in 100 ft", source: 15 + 6.5, points: []Point{run("A", "main", Point{})}, at: []string{"A"},
			want: `A 1 1/4" velocity limit`, rounds: 1},
		{what: "6.3 psi", source: 15 + 6.3, points: []Point{run("A", "main", Point{})}, at: []string{"A"},
			want: `A 1 1/2" pressure at the fixtures`, rounds: 2},
		{what: "2.7 psi", source: 15 + 2.7, points: []Point{run("A", "main", Point{})}, at: []string{"A"},
			want: `A 2" pressure at the fixtures`, rounds: 2},
		{what: "2.7 psi, and no 2 in to be had", source: 15 + 2.7, points: []Point{run("A", "main", Point{})}, at: []string{"A"}, stock: []Stock{copper},
			want: `A 1 1/2" pressure at the fixtures`, rounds: 2, short: true},
		{what: "a drawn size stays", source: 15 + 2.7, points: []Point{run("A", "main", Point{Size: in * 5 / 4})}, at: []string{"A"},
			want: `A 1 1/4" drawn`, rounds: 1, short: true},
		{what: "3 psi in 100 ft: 1-1/2 in of copper, but it feeds 2 in of PEX", source: 15 + 6, points: []Point{run("A", "main", Point{}), run("B", "A", Point{Pipe: "pex-sdr9"})}, at: []string{"B"},
			want: `A 2" pressure at the fixtures; B 2" pressure at the fixtures`, rounds: 2},
		{what: "no greater copper to be had", source: 15 + 6, points: []Point{run("A", "main", Point{}), run("B", "A", Point{Pipe: "pex-sdr9"})}, at: []string{"B"}, stock: []Stock{copper},
			want: `A 1 1/2" pressure at the fixtures; B 2" pressure at the fixtures`, rounds: 2},
		{what: "the smallest size there is, drawn", source: 15 + 6, points: []Point{run("A", "main", Point{Size: in / 4}), run("B", "A", Point{})}, at: []string{"B"},
			want: `A 1/4" drawn; B 1 1/2" pressure at the fixtures`, rounds: 2, short: true},
		// 40 elbows of 1-1/2 in are 40 x 4 ft: 10.5 psi over 360 ft are 2.92 in 100 ft, which
		// makes A 2 in and B 1-1/2 in. Of 2 in they are 40 x 5.5 ft: 10.5 psi over 420 ft are
		// 2.5, too little for 1-1/2 in in B.
		{what: "fittings grow with their run", source: 15 + 10.5, points: []Point{
			run("A", "main", Point{Fittings: []FittingItem{{Fitting: "elbow-90", Count: 40}}}), run("B", "A", Point{}), {ID: "C", From: "A", Length: ft}}, at: []string{"B", "C"},
			want: `A 2" pressure at the fixtures; B 2" pressure at the fixtures; C 2" pressure at the fixtures`, rounds: 3},
	} {
		l, err := NewLayout(closets(tc.source, tc.points, tc.at, tc.stock))
		if err != nil {
			t.Fatal(err)
		}
		u, err := l.UniformLoss(mustCode(t, "ipc-2021"), Options{})
		if err != nil {
			t.Errorf("%s: %v", tc.what, err)
			continue
		}
		if got := chosenSizes(u.Sizing); got != tc.want || u.Rounds != tc.rounds || (len(u.Short) == 1) != tc.short || u.Governing != 0 {
			t.Errorf("%s: by fixture %d in %d rounds, short %v:\n got %s\nwant %s", tc.what, u.Governing, u.Rounds, u.Short, got, tc.want)
		}
	}
}

// What governs is the way with the least to lose in a length of pipe; a regulator that
// holds is the source of what is behind it, the run to it being on the other side.
func TestUniformLossGoverning(t *testing.T) {
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	regulator := func(set units.Pressure) *Device { return &Device{Kind: "regulator", Set: set * psi, FallOff: 5 * psi} }
	closet := func(id, cold string) LayoutFixture {
		return LayoutFixture{ID: id, Cold: cold, Pressure: 15 * psi, Fixture: Fixture{Kind: "water-closet", Count: 1, Use: Public, Control: Valve}}
	}
	sink := LayoutFixture{ID: "SK", Cold: "A", Hot: "H", Pressure: 8 * psi, Fixture: Fixture{Kind: "service-sink", Count: 1}}
	washer := LayoutFixture{ID: "CW", Cold: "B", Fixture: Fixture{Kind: "clothes-washer", Count: 1, Use: Private}}
	for _, tc := range []struct {
		what      string
		code      string
		points    []Point
		fixtures  []LayoutFixture
		governing string
		// psi, and ft
		source, rise, devices, left, length float64
	}{
		// 50 psi less 5 are 45 behind the regulator; 10 ft x 0.433, and 15 for the closet.
		{"a regulator that holds", "ipc-2021", []Point{{ID: "A", From: "main", Length: 50 * ft, Rise: 5 * ft, Device: regulator(50)}, {ID: "B", From: "A", Length: 100 * ft, Rise: 10 * ft}},
			[]LayoutFixture{closet("WC", "B")}, "WC", 45, 4.33, 0, 25.67, 100},
		{"a regulator set over the main", "ipc-2021", []Point{{ID: "A", From: "main", Length: 50 * ft, Rise: 5 * ft, Device: regulator(100)}, {ID: "B", From: "A", Length: 100 * ft, Rise: 10 * ft}},
			[]LayoutFixture{closet("WC", "B")}, "WC", 80, 6.495, 0, 58.505, 150},
		{"height priced by another code", "upc-2021", []Point{{ID: "A", From: "main", Length: 100 * ft, Rise: 10 * ft}},
			[]LayoutFixture{closet("WC", "A")}, "WC", 80, 5, 0, 60, 100},
		{"two alike: the first", "ipc-2021", []Point{{ID: "A", From: "main", Length: 50 * ft}, {ID: "B", From: "main", Length: 50 * ft}},
			[]LayoutFixture{closet("WC-1", "A"), closet("WC-2", "B")}, "WC-1", 80, 0, 0, 65, 50},
		{"the farther of two", "ipc-2021", []Point{{ID: "A", From: "main", Length: 50 * ft}, {ID: "B", From: "main", Length: 51 * ft}},
			[]LayoutFixture{closet("WC-1", "A"), closet("WC-2", "B")}, "WC-2", 80, 0, 0, 65, 51},
		// 80 less 3 in the heater and 8 for the sink, over 30 + 20 + 40 ft of its hot way.
		{"the hot port of a sink", "ipc-2021", []Point{{ID: "A", From: "main", Length: 30 * ft}, {ID: "WH", From: "A", Length: 20 * ft, Device: &Device{Kind: "storage-heater", Loss: 3 * psi}}, {ID: "H", From: "WH", Length: 40 * ft}},
			[]LayoutFixture{sink}, "SK", 80, 0, 3, 69, 90},
		{"one that asks for no pressure, far off", "ipc-2021", []Point{{ID: "A", From: "main", Length: 50 * ft}, {ID: "B", From: "main", Length: 5000 * ft}},
			[]LayoutFixture{washer, closet("WC", "A")}, "WC", 80, 0, 0, 65, 50},
	} {
		l, err := NewLayout(LayoutData{Source: Source{ID: "main", Pressure: 80 * psi}, Water: Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(60)},
			Pipe: LinePipes{Cold: "copper-l", Hot: "copper-l"}, Points: tc.points, Fixtures: tc.fixtures})
		if err != nil {
			t.Fatal(err)
		}
		u, err := l.UniformLoss(mustCode(t, tc.code), Options{})
		if err != nil {
			t.Errorf("%s: %v", tc.what, err)
			continue
		}
		if id := l.data.Fixtures[u.Governing].ID; id != tc.governing {
			t.Errorf("%s: %s governs, want %s", tc.what, id, tc.governing)
		}
		for _, v := range []struct {
			what string
			got  units.Pressure
			want float64
		}{{"source", u.Source, tc.source}, {"rise", u.Rise, tc.rise}, {"devices", u.Devices, tc.devices}, {"left", u.Left, tc.left}, {"in 100 ft", u.Per100, tc.left / tc.length * 100}} {
			if got := float64(v.got / psi); math.Abs(got-v.want) > 1e-9 {
				t.Errorf("%s: %s %v psi, want %v", tc.what, v.what, got, v.want)
			}
		}
		if u.Length != units.Length(tc.length)*ft {
			t.Errorf("%s: over %v, want %v ft", tc.what, u.Length, tc.length)
		}
	}
}

// Where the code prices no height, a foot of water of 60 degF weighs 62.37 lb/ft2, or
// 0.4331 psi (handbooks of water properties, from memory).
func TestUniformLossHeightByDensity(t *testing.T) {
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	l, err := NewLayout(LayoutData{Source: Source{ID: "main", Pressure: 80 * psi}, Water: Waters{Cold: units.Fahrenheit(60)}, Pipe: LinePipes{Cold: "copper-l"},
		Points:   []Point{{ID: "A", From: "main", Length: 100 * ft, Rise: 20 * ft}},
		Fixtures: []LayoutFixture{{ID: "L", Cold: "A", Pressure: 8 * psi, Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Private}}}})
	if err != nil {
		t.Fatal(err)
	}
	u, err := l.UniformLoss(mustCode(t, "irc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := float64(u.Rise / psi); math.Abs(got-20*0.4331) > 0.002 || !u.PerFoot.IsZero() {
		t.Errorf("20 ft cost %v psi by %v", got, u.PerFoot)
	}
}

// With nothing at all left to lose there is no answer; a way without pipe has none to
// spread.
func TestUniformLossRefusals(t *testing.T) {
	psi := units.PoundForcePerSquareInch
	for _, tc := range []struct {
		source units.Pressure
		length units.Length
		want   error
	}{{15 * psi, 100 * units.Foot, units.ErrNoSolution}, {15.001 * psi, 100 * units.Foot, nil}, {60 * psi, 0, ErrNotStated}} {
		l, err := NewLayout(LayoutData{Source: Source{ID: "main", Pressure: tc.source}, Water: Waters{Cold: units.Fahrenheit(60)}, Pipe: LinePipes{Cold: "copper-l"},
			Points:   []Point{{ID: "A", From: "main", Length: tc.length}},
			Fixtures: []LayoutFixture{{ID: "L", Cold: "A", Pressure: 15 * psi, Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Private}}}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.UniformLoss(mustCode(t, "ipc-2021"), Options{}); !errors.Is(err, tc.want) {
			t.Errorf("%v over %v: %v, want %v", tc.source, tc.length, err, tc.want)
		}
	}
}
