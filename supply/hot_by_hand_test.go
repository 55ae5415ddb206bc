package supply

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestHotLinesShortEnough: NSPC 10.15.2 wants hot water kept up to within 25 ft of each outlet where the line from
// the heater to its farthest outlet is longer than 100 ft. From a heater at the end of 50 ft of cold line 60 ft and
// 40 ft more are 100: the basin at 100 ft passes, and the near one by the same line; a hair longer, and both are
// judged by their own 60 and 100 ft.
func TestHotLinesShortEnough(t *testing.T) {
	const ft = units.Foot
	for far, want := range map[units.Length]string{40 * ft: "L1 pass of 100'-0\"; L2 pass of 100'-0\"; ",
		40*ft + 1: "L1 fail of 25'-0\"; L2 fail of 25'-0\"; "} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Points[0].Length, d.Points[3].Length = 49*ft, 60*ft
		d.Points = append(d.Points, Point{ID: "H2", From: "H1", Length: far, Size: units.Inch})
		second := d.Fixtures[0]
		second.ID, second.Hot = "L2", "H2"
		d.Fixtures = append(d.Fixtures, second)
		for range d.Points { // whichever is listed first
			d.Points = slices.Concat(d.Points[1:], d.Points[:1])
			got := ""
			for _, f := range findingsOf(t, sized(t, mustCode(t, "nspc-2018"), d), "hot-length") {
				got += f.Place + " " + f.Verdict.String() + " of " + f.Limit.String() + "; "
			}
			if got != want {
				t.Errorf("%v farther: %s, want %s", far, got, want)
			}
		}
	}
}

// TestEnergyLengthAtItsLimit: the table of lengths of the energy code, taken here as read in print, lets a public
// lavatory have 2 ft of 1/2 in pipe: 2 ft pass by it, and a hair more asks.
func TestEnergyLengthAtItsLimit(t *testing.T) {
	code, err := LoadCode(edges.FirmShelf(t, nil, "ipc-2021", "materials", "hot-water", "pipes", "devices", "iecc-2021"),
		"ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for length, want := range map[units.Length]tables.Verdict{2 * units.Foot: tables.Pass, 2*units.Foot + 1: tables.Ask} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Fixtures[0].Use = tables.Public
		d.Points[3].Length, d.Points[3].Size = length, units.Inch/2
		k := sized(t, code, d).checker(t.Context(), finding.Options{})
		waits, err := k.HotWater()
		if err != nil || len(waits) != 1 {
			t.Fatal(waits, err)
		}
		if f, judged := k.energyLength(&waits[0]); !judged || f.Verdict != want || f.Limit.String() != "2'-0\"" {
			t.Errorf("%v: %v of %v", length, f.Verdict, f.Limit)
		}
	}
}

// TestHeatersBehindOneCheck: two storage heaters of 40 gal behind one double check are one closed system of 80,
// which is told once and names both; with a check of its own before each they are two. The tanks are those of their
// system. From 60 to 120 degF water grows by 1.06 % (densities 0.9990 and 0.9886), 0.85 gal of 80; from 60 psi at
// rest to 80, in absolute pressures 74.7 and 94.7, a tank takes up 21 % of itself: 4 gal, or 2 for each alone.
// Tanks of 5 gal are large enough, of 1 gal too small.
func TestHeatersBehindOneCheck(t *testing.T) {
	const psi, ft, in, gal = units.PoundForcePerSquareInch, units.Foot, units.Inch, units.USGallon
	check := func() *Device { return &Device{Kind: "double-check", Loss: 5 * psi} }
	for _, c := range []struct {
		own  bool
		tank units.Volume
		want string
	}{
		{false, 5, "pass The tank at TA is large enough for the closed system. There are 2 tanks: TA; TB. " +
			"There are 2 storage heaters: WA; WB. 80 gal"},
		{false, 1, "fail The tank at TA is too small for the closed system. There are 2 tanks: TA; TB. " +
			"There are 2 storage heaters: WA; WB. 80 gal"},
		{true, 5, "pass The tank at TA is large enough for the closed system. 40 gal; " +
			"pass The tank at TB is large enough for the closed system. 40 gal"},
		{true, 1, "fail The tank at TA is too small for the closed system. 40 gal; " +
			"fail The tank at TB is too small for the closed system. 40 gal"},
	} {
		d := closets(60, []Point{{ID: "C", From: "main", Length: ft, Size: 2 * in},
			{ID: "A", From: "C", Length: ft, Size: in}, {ID: "B", From: "C", Length: ft, Size: in}}, []string{"C"}, nil)
		d.Water.Hot, d.Pipe.Hot, d.Source.Static = units.Fahrenheit(120), "copper-l", 60*psi
		for _, x := range []string{"A", "B"} {
			d.Points = append(d.Points, Point{ID: "W" + x, From: x, Length: ft, Size: in,
				Device: &Device{Kind: "storage-heater", Loss: psi, Volume: 40 * gal}},
				Point{ID: "T" + x, From: x, Length: ft, Size: in, Device: &Device{Kind: "expansion-tank", Volume: c.tank * gal}},
				Point{ID: "H" + x, From: "W" + x, Length: 9 * ft, Size: in})
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "L" + x, Cold: x, Hot: "H" + x,
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}})
		}
		d.Points[0].Device = check()
		if c.own {
			d.Points[0].Device, d.Points[1].Device, d.Points[2].Device = nil, check(), check()
		}
		var got []string
		for _, f := range findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "thermal-expansion") {
			says, _, _ := strings.Cut(f.Reason, " heated from ")
			got = append(got, f.Verdict.String()+" "+says)
		}
		if all := strings.Join(got, "; "); all != c.want {
			t.Errorf("a check for each %v, tanks of %v gal: %s, want %s", c.own, float64(c.tank), all, c.want)
		}
	}
}

// TestWaitsInWords: to the second under two minutes, and in minutes from there, one of them where both ends round
// to it.
func TestWaitsInWords(t *testing.T) {
	for _, c := range []struct {
		least, most units.Duration
		want        string
	}{{50.4, 75.6, "50 s to 76 s"}, {119, 178, "119 s to 178 s"}, {120, 140, "About 2 min"}, {120, 180,
		"About 2 to 3 min"}, {240, 360, "About 4 to 6 min"}} {
		if got := waits(c.least, c.most); got != c.want {
			t.Errorf("%g to %g s: %q, want %q", float64(c.least), float64(c.most), got, c.want)
		}
	}
}

// TestLongestWait: what stands in the pipe takes its volume by the flow, 10 s here, and the pipe that it has to
// warm up to the half more that the shelf has as practice, which the answer says.
func TestLongestWait(t *testing.T) {
	d := basin(60 * units.PoundForcePerSquareInch)
	list, err := sized(t, mustCode(t, "ipc-2021"), d).HotWater()
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	d.Fixtures[0].Flow = units.Flow(float64(list[0].Volume) / 10)
	list, err = sized(t, mustCode(t, "ipc-2021"), d).HotWater()
	rules, err2 := tables.Embedded().Rules("hot-water/supply-rules")
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	most, _ := rules.Rule("wait-most")
	times, _ := most.Number()
	if w := list[0]; math.Abs(float64(w.Wait)-10) > 1e-9 || math.Abs(float64(w.WaitMost)-10*times) > 1e-9 || times <= 1 {
		t.Errorf("%v to %v", w.Wait, w.WaitMost)
	}
}

// TestLoopsOnACommonReturn: left without valves, loops whose returns run together flow so that each loses the same
// from the heater round to it: the flow of a run is the sum of those of the loops through it, by whose losses the
// head of each is added up here.
func TestLoopsOnACommonReturn(t *testing.T) {
	s := sized(t, mustCode(t, "ipc-2021"), plant(3, true))
	list, err := s.Circulations()
	if err != nil || len(list) != 3 {
		t.Fatal(list, err)
	}
	flow, most := map[int32]units.Flow{}, units.Head(0)
	for k := range list {
		most = max(most, list[k].Head)
		for _, i := range s.layout.loopWay(k) {
			flow[i] += list[k].Unbalanced
		}
	}
	for k := range list {
		head := 0.0
		for _, i := range s.layout.loopWay(k) {
			r, err := s.loopFriction(i, s.worked.water[Hot]).Resistance()
			if err != nil {
				t.Fatal(err)
			}
			h, err := r.HeadLoss(flow[i])
			if err != nil {
				t.Fatal(err)
			}
			head += float64(h)
		}
		if list[k].Unbalanced <= 0 || math.Abs(head/float64(most)-1) > 1e-6 {
			t.Errorf("%s carries %v and loses %g m, the pump adds %v", list[k].ID, list[k].Unbalanced, head, most)
		}
	}
}

// TestOwnLimitOfShowers: a town that holds showers to 115 degF is judged by its own 115 and nobody else's 120; a
// code without a limit, the EN 806-3, by that of the IPC, which is said. Of a lavatory in a house neither says
// anything.
func TestOwnLimitOfShowers(t *testing.T) {
	town := amended(t, "upc-2021", "upc-2021/supply-rules",
		"op,rule,value,unit,status\nset,shower-valve-max,115,degF,read\n")
	for _, c := range []struct {
		code  *Code
		water float64
		kind  string
		want  string
	}{
		{town, 118, "shower", "Hot water of 118 degF comes to its valve; limit 115 degF. Hot water scalds."}, {town, 115,
			"shower", ""},
		{mustCode(t, "en806-3"), 130, "shower",
			"Hot water of 130 degF comes to its valve; limit 120 degF. Hot water scalds. " +
				"No limit of the code in hand is known; this is that of IPC 2021."},
		{mustCode(t, "en806-3"), 120, "shower", ""}, {mustCode(t, "en806-3"), 130, "lavatory", ""}, {town, 130, "lavatory",
			""},
	} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Pipe = LinePipes{Cold: "copper-l", Hot: "copper-l"}
		d.Water.Hot, d.Fixtures[0].Kind = units.Fahrenheit(c.water), c.kind
		got := ""
		for _, rule := range []string{"scald", "tempered-water"} {
			for _, f := range findingsOf(t, sized(t, c.code, d), rule) {
				got += f.Reason
			}
		}
		if got != c.want {
			t.Errorf("%s, %g degF, %s: %q, want %q", c.code.id, c.water, c.kind, got, c.want)
		}
	}
}

// TestWaitsAreAsked: a wait that is acceptable passes, another is asked of the owner, and where no flow is known
// there is no wait.
func TestWaitsAreAsked(t *testing.T) {
	k := sized(t, mustCode(t, "ipc-2021"), basin(60*units.PoundForcePerSquareInch)).checker(t.Context(), finding.Options{})
	for grade, want := range map[string]tables.Verdict{"acceptable": tables.Pass, "marginal": tables.Ask,
		"poor": tables.Ask, "": 0} {
		f := k.wait(&HotWait{Fixture: "L1", From: "WH", Grade: grade, Wait: 20})
		if f.Verdict != want || (f.SettledBy == tables.Owner) != (want == tables.Ask) ||
			(f.Fix != "") != (want == tables.Ask) {
			t.Errorf("%q: %+v", grade, f)
		}
	}
}

// TestTanksUntold: what is said of the closed system behind a check where something is not given, or no tank would
// do: IPC 604.8 ends at 80 psi, and with that at rest there is no room for any growth.
func TestTanksUntold(t *testing.T) {
	const psi, ft, in, gal = units.PoundForcePerSquareInch, units.Foot, units.Inch, units.USGallon
	for _, c := range []struct {
		heater, tank units.Volume
		tanked       bool
		static       units.Pressure
		says, fix    string
	}{
		{0, 0, false, 60, "so that no tank is sized.", "Ask where the expansion tank"},
		{0, 5, true, 60, "An expansion tank stands at T, and the volume of the heater is not given: its size is not judged.",
			"State the volume of the heater."},
		{40, 0, false, 80, "no tank is sized: the pressure at rest is no lower than the 80 psi allowed.",
			"Ask where the expansion tank"},
		{40, 0, false, 60, "from 60 psi at rest to no more than 80 psi that takes a tank of 2",
			"Ask where the expansion tank"},
		{40, 0, true, 60, "The volume of the tank at T is not given.", "State the volume of the tank."},
	} {
		d := basin(60 * psi)
		d.Source.Static = c.static * psi
		d.Points[0].Device = &Device{Kind: "double-check", Loss: psi}
		d.Points[2].Device.Volume = c.heater * gal
		if c.tanked {
			d.Points = append(d.Points, Point{ID: "T", From: "C1", Length: ft, Size: in,
				Device: &Device{Kind: "expansion-tank", Volume: c.tank * gal}})
		}
		f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "thermal-expansion")
		if len(f) != 1 || f[0].Place != "WH" || f[0].Verdict != tables.Ask || !strings.Contains(f[0].Reason, c.says) ||
			!strings.HasPrefix(f[0].Fix, c.fix) {
			t.Errorf("%+v: %v %s", c, f, f[0].Fix)
		}
	}
}

// TestTemperedTogether: IPC 419.5 limits lavatories of public toilet rooms to 110 degF: of 120 two of them are one
// question, at the first by name, and one in a home is none; of 110 there is nothing to ask.
func TestTemperedTogether(t *testing.T) {
	for degF, want := range map[float64]string{
		120: "L2 lavatory: The hot water is 120 degF; limit 110 degF at such a lavatory: L2; L3. Hot water scalds.", 110: ""} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Water.Hot = units.Fahrenheit(degF)
		for _, id := range []string{"L3", "L2"} {
			f := d.Fixtures[0]
			f.ID, f.Use = id, tables.Public
			d.Fixtures = append(d.Fixtures, f)
		}
		got := ""
		for _, f := range findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "tempered-water") {
			got += f.Place + " " + f.Side + ": " + f.Reason
		}
		if got != want {
			t.Errorf("%g degF: %s", degF, got)
		}
	}
}

// The line that one code gives a least size goes from the source to where the first branch leaves
// to a heater of more than one fixture: heaters behind that branch add nothing, nor does one with
// a line of its own or of one fixture.
func TestLineToFirstHeater(t *testing.T) {
	for _, tc := range []struct {
		what, points, hot string // points as "id from", heaters begin with W; hot is where two basins have theirs
		want              string
	}{
		{"a filter on the way", "S MAIN, F S, W F, C F, H W", "H H", "S F"},
		{"one fixture", "S MAIN, F S, W F, C F, H W", "H", ""},
		{"a heater behind another's branch", "S MAIN, A S, W1 A, B A, W2 B, C B, H1 W1, H2 W2", "H1 H1 H2 H2", "S A"},
		{"two lines of the house", "S MAIN, A S, W1 A, C A, B S, W2 B, D B, H1 W1, H2 W2", "H1 H1 H2 H2", "S A B"},
		{"nothing but the heater", "S MAIN, W S, H W", "H H", ""},
	} {
		d := Data{Source: Source{ID: "MAIN", Pressure: 400_000}, Pipe: LinePipes{Cold: "copper-l", Hot: "copper-l"},
			Water: Waters{Cold: units.Celsius(10), Hot: units.Celsius(60)}}
		for p := range strings.SplitSeq(tc.points, ", ") {
			id, from, _ := strings.Cut(p, " ")
			x := Point{ID: id, From: from, Length: units.Metre}
			if strings.HasPrefix(id, "W") {
				x.Device = &Device{Kind: "storage-heater", NoLoss: true}
			}
			d.Points = append(d.Points, x)
		}
		for i, hot := range strings.Fields(tc.hot) {
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: string(rune('a' + i)), Hot: hot,
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}})
		}
		l, err := New(d)
		if err != nil {
			t.Fatalf("%s: %v", tc.what, err)
		}
		var got []string
		for i, main := range l.heaterMains() {
			if main {
				got = append(got, l.Point(i).ID)
			}
		}
		if strings.Join(got, " ") != tc.want {
			t.Errorf("%s: %v, want %s", tc.what, got, tc.want)
		}
	}
}
