package drains

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestGroupOfFixtures: by the IPC a private bathroom with a closet of 1.6 gal is 5 dfu, while its closet (3), lavatory (1)
// and tub (2) are 6; two of them are 10 for 12. What is not alike, not private or not of a bathroom makes no group.
func TestGroupOfFixtures(t *testing.T) {
	const gal = units.USGallon
	code := mustCode(t, "ipc-2021")
	shelf, err := tables.Embedded().With(fstest.MapFS{ // a town where a group is as much as its fixtures
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"ipc-2021/fixtures.csv": {Data: []byte("# id: ipc-2021/fixtures\n# source: town\n" +
			"op,row,load[dfu],section,src,status\nset,bathroom-group-1.6,6,1,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	dear := codeOn(t, shelf, "ipc-2021")
	closet := tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * gal}
	large, valve := closet, closet
	large.Flush, valve.Control = 3.5*gal, tables.Valve
	private := func(kind string) tables.Fixture { return tables.Fixture{Kind: kind, Count: 1, Use: tables.Private} }
	lavatory, tub, shower, public, two := private("lavatory"), private("bathtub"), private("shower"), private("lavatory"),
		private("lavatory")
	public.Use, two.Count = tables.Public, 2
	type list = []tables.Fixture
	for _, c := range []struct {
		name  string
		of    list
		group dwv.FixtureUnits // nought: none
	}{
		{"a bathroom", list{closet, lavatory, tub}, 5}, {"with a shower", list{closet, lavatory, shower}, 5},
		{"two bathrooms", list{closet, lavatory, tub, closet, lavatory, shower}, 10},
		{"closets of other flushes", list{closet, lavatory, tub, large, lavatory, shower}, 0},
		{"closets of other controls", list{closet, lavatory, tub, valve, lavatory, shower}, 0},
		{"no closet", list{lavatory, tub}, 0}, {"no lavatory", list{closet, tub}, 0}, {"no tub", list{closet, lavatory}, 0},
		{"a lavatory more", list{closet, lavatory, lavatory, tub}, 0}, {"a tub more", list{closet, lavatory, tub, shower}, 0},
		{"a public lavatory", list{closet, public, tub}, 0}, {"two lavatories on one drain", list{closet, two, tub}, 0},
		{"a kitchen sink", list{closet, lavatory, tub, private("kitchen-sink")}, 0},
		{"a bathroom with a bidet", list{closet, lavatory, tub, private("bidet")}, 5},
		{"with two bidets", list{closet, lavatory, tub, private("bidet"), private("bidet")}, 5},
		{"with three", list{closet, lavatory, tub, private("bidet"), private("bidet"), private("bidet")}, 0},
		{"three bathrooms", list{closet, closet, closet, lavatory, lavatory, lavatory, tub, tub, tub}, 0},
	} {
		sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in}}
		for i := range c.of {
			sys.Points = append(sys.Points, Point{ID: fmt.Sprint("P", i), To: "O", Fixture: &c.of[i],
				Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}})
		}
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{sys}}), code)
		r := &rater{code: code, known: map[tables.Fixture]int32{}, refused: map[tables.Fixture]error{}, rated: s.rated}
		g, ok := s.group(s.tree.of(0), r)
		if ok != (c.group > 0) || ok && g.load.Units != c.group*dwv.FixtureUnit {
			t.Errorf("%s: %v, a group %v; want %d dfu", c.name, g.load.Units, ok, c.group)
		}
		if even, ok := s.group(s.tree.of(0), &rater{code: dear, known: map[tables.Fixture]int32{},
			refused: map[tables.Fixture]error{}}); ok && even.load.Units >= even.singly {
			t.Errorf("%s: a group of %v where it saves nothing", c.name, even.load.Units)
		}
		if want := len(c.of) / 3; ok && (g.rooms != want || g.singly != dwv.FixtureUnits(6*want+len(c.of)%3)*dwv.FixtureUnit) {
			t.Errorf("%s: %d rooms, singly %v", c.name, g.rooms, g.singly)
		}
	}
}

// TestOpenWithValves: where a vent ends in an air admittance valve one at least must end in the open air. A vent that
// joins another counts as neither.
func TestOpenWithValves(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	point := func(id string) Point {
		return Point{ID: id, To: "M", Fixture: lavatory, Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}}
	}
	up := []VentRun{{Length: 12 * ft, Direction: VentUp}}
	valve := Vent{ID: "V1", Kind: VentIndividual, From: "L1", Runs: up, Valve: &VentValve{Type: ValveBranch}}
	open := Vent{ID: "V2", Kind: VentIndividual, From: "L2", Runs: up, Terminal: &Terminal{AboveRoof: 12 * in}}
	joined := Vent{ID: "V2", Kind: VentIndividual, From: "L2", Runs: up, To: "V1"}
	for _, c := range []struct {
		name  string
		vents []Vent
		fails bool
	}{
		{"a valve and an open vent", []Vent{valve, open}, false}, {"a valve and one that joins it", []Vent{valve, joined}, true},
		{"a valve alone", []Vent{valve}, true}, {"an open vent alone", []Vent{open}, false},
	} {
		d := &Data{FinishedFloor: 100 * ft, Vents: c.vents, Systems: []System{{ID: "S", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in},
			Points: []Point{{ID: "M", To: "O", Run: Run{Length: 9 * ft, Grade: slope.PerFoot(in / 4)}}, point("L1"), point("L2")}}}}
		fails := false
		for _, f := range mustCheck(t, mustBuild(t, d), code) {
			fails = fails || f.Rule == ruleValve && f.Side == "open" &&
				(f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail) // the row is from memory
		}
		if fails != c.fails {
			t.Errorf("%s: fails %v", c.name, fails)
		}
	}
}

// TestOwnClosets: two closets stand at the lower of two points, one at the upper: the lower run carries three, of which
// two are its own, and the outlet adds none.
func TestOwnClosets(t *testing.T) {
	closets := func(n int) *tables.Fixture {
		return &tables.Fixture{Kind: "water-closet", Count: n, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
	}
	run := Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}
	s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in}, Points: []Point{
			{ID: "low", To: "O", Run: run, Fixture: closets(2)}, {ID: "high", To: "low", Run: run, Fixture: closets(1)}}}}}),
		mustCode(t, "ipc-2021"))
	for at, want := range []int{0, 2, 1} { // the outlet, then the points in their order
		if got := s.ownClosets(int32(at)); got != want {
			t.Errorf("node %d adds %d closets, want %d", at, got, want)
		}
	}
}

// TestDoubleFittingOnRiser: two branches that meet over an upright drain take a double fixture fitting if they come
// from opposite sides, or nobody says from where; at a square to one another they do not.
func TestDoubleFittingOnRiser(t *testing.T) {
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	level := slope.PerFoot(in / 4)
	for _, c := range []struct {
		name     string
		from, to *Bearing
		double   bool
	}{
		{"opposite", bearing(90), bearing(270), true}, {"not said", nil, nil, true}, {"one not said", bearing(90), nil, true},
		{"square", bearing(90), bearing(180), false},
	} {
		branch := func(id string, b *Bearing) Point {
			p := Point{ID: id, To: "T", AboveFloor: true, Fixture: lavatory,
				Run: Run{Length: 3 * ft, Grade: level, Size: 2 * in, Material: "pvc-dwv"}}
			if b != nil {
				p.Run.Bearing = *b
			}
			return p
		}
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 97 * ft, Size: 4 * in}, Points: []Point{
				{ID: "D", To: "O", Run: Run{Length: 9 * ft, Grade: level, Size: 3 * in, Material: "pvc-dwv"}},
				{ID: "T", To: "D", AboveFloor: true, Run: Run{Length: 5 * ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}},
				branch("L1", c.from), branch("L2", c.to)}}}}), mustCode(t, "ipc-2021"))
		off, err := s.TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range off.Fittings {
			if f.Kind == "double-fixture-fitting" {
				n += f.Count
			}
		}
		if (n == 1) != c.double || n > 1 {
			t.Errorf("%s: %d double fixture fittings of %+v", c.name, n, off.Fittings)
		}
	}
}

func bearing(degrees float64) *Bearing {
	b := Degrees(degrees)
	return &b
}

// TestValveOverTheHighestArm: the drain of L2 is 5 ft longer than that of L1 and so reaches its vent 1-1/4 in higher, at
// 1/4 in per ft. A valve that serves both stands that much less over what it vents, whichever vent is drawn first.
func TestValveOverTheHighestArm(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	level := slope.PerFoot(in / 4)
	up := []VentRun{{Length: 12 * ft, Direction: VentUp}}
	valve := Vent{ID: "V1", Kind: VentIndividual, From: "L1", Runs: up, Valve: &VentValve{Type: ValveBranch}}
	joined := Vent{ID: "V2", Kind: VentIndividual, From: "L2", Runs: up, To: "V1"}
	height := func(vents ...Vent) units.Length {
		point := func(id string, length units.Length) Point {
			return Point{ID: id, To: "M", Fixture: lavatory, Run: Run{Length: length, Grade: level, Size: 2 * in}}
		}
		d := &Data{FinishedFloor: 100 * ft, Vents: vents, Systems: []System{{ID: "S", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in},
			Points: []Point{{ID: "M", To: "O", Run: Run{Length: 9 * ft, Grade: level, Size: 2 * in}},
				point("L1", 5*ft), point("L2", 10*ft)}}}}
		for _, f := range mustCheck(t, mustBuild(t, d), code) {
			if v, ok := f.Value.(units.Length); ok && f.Rule == ruleValve && f.Place == "V1" && f.Limit == 4*in {
				return v
			}
		}
		t.Fatal("no height of the valve")
		return 0
	}
	alone := height(valve)
	for _, vents := range [][]Vent{{valve, joined}, {joined, valve}} {
		if got := height(vents...); alone-got != 5*in/4 {
			t.Errorf("%v over the lower, %v over the higher", alone, got)
		}
	}
}

// TestCommonVentUnnamed: VL takes off at LT, above where the trap of LB comes in at L2. If it may be the vent of both
// and does not say so, that is asked; of a trap that comes in elsewhere, or under a vent of two fixtures, it is not.
func TestCommonVentUnnamed(t *testing.T) {
	for _, c := range []struct {
		name  string
		edit  func(l *Data)
		asked bool
	}{
		{"a run above the joint", func(*Data) {}, true},
		{"two runs above it", func(l *Data) {
			pt(l, "LB").To = "LC"
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "LC", To: "L2", Run: pt(l, "LB").Run})
		}, true},
		{"at the joint", func(l *Data) { pt(l, "L2").Fixture, pt(l, "LB").Fixture = pt(l, "LB").Fixture, nil }, true},
		{"past a coupling", func(l *Data) {
			pt(l, "LT").To = "LC"
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "LC", To: "L2", Run: pt(l, "L2").Run})
		}, true},
		{"a joint at the last run", func(l *Data) { pt(l, "LT").To, pt(l, "LB").To = "S1", "S1" }, true},
		{"below the joint", func(l *Data) { pt(l, "LB").To = "S3" }, false},
		{"each to the outlet", func(l *Data) { pt(l, "LT").To, pt(l, "LB").To = "SO", "SO" }, false},
		{"another vent", func(l *Data) { vent(l, "VL").Kind = VentIndividual }, false},
		{"named", func(l *Data) { vent(l, "VL").Through = "L2" }, false},
		{"two fixtures above", func(l *Data) { pt(l, "LA").Fixture.Count = 2 }, false},
	} {
		l := mustLayout(t, "workshop.json")
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "L2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 2 * in}},
			Point{ID: "LX", To: "L2", Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4)}, Reserved: dwv.FixtureUnit},
			Point{ID: "LB", To: "L2", Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4)},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		pt(l, "LT").To, vent(l, "VL").Kind = "L2", VentCommon
		c.edit(l)
		asked := false
		for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
			asked = asked || f.Rule == "trap-vented" && strings.Contains(f.Reason, "names no lower fixture")
		}
		if asked != c.asked {
			t.Errorf("%s: asked %v", c.name, asked)
		}
	}
}

// TestIntervalsOfOneStorey: where an interval is 9 ft, each run of 9 ft is one. Of six stories the branch at the foot has six
// intervals from the top down to it, the one at the second five, at the third four, the most that a valve goes without relief
// (IPC 2021 918.3.1). Of an interval of 9 ft and a step two runs make one: three from the foot.
func TestIntervalsOfOneStorey(t *testing.T) {
	for _, c := range []struct {
		storey, from string
		want         string // intervals, nought: not told
	}{
		{"9,ft", "LT1", "6"}, {"9,ft", "LT2", "5"}, {"9,ft", "LT3", ""}, {"9.01,ft", "LT1", ""}, {"8.99,ft", "LT2", "5"},
	} {
		code := amendedCode(t, "ipc-2021", "set,branch-interval-height,"+c.storey+",1,town,read\n")
		l := tower(6)
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: c.from, Valve: &VentValve{Type: ValveBranch},
			Runs: []VentRun{{Length: 2 * ft, Direction: VentUp}}}}
		got := ""
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == ruleValve && f.Side == "relief" && f.Value != nil {
				got = f.Value.String()
			}
		}
		if got != c.want {
			t.Errorf("%s from %s: %q intervals, want %q", c.storey, c.from, got, c.want)
		}
	}
}

// TestFallOfAnArm: at 1/4 in per ft an arm of 8 ft falls 2 in. Three quarters of that, and whatever lacks 1/4 in at
// most, is level enough not to be told; an arm of 3 ft that falls 1/2 in lacks 1/4 in of its 3/4.
func TestFallOfAnArm(t *testing.T) {
	for _, c := range []struct {
		arm, fall units.Length
		told      bool
	}{
		{8 * ft, 3 * in / 2, false}, {8 * ft, 3*in/2 - nm, true}, {3 * ft, in / 2, false}, {3 * ft, in/2 - nm, true},
		{8 * ft, 2 * in, false},
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, "LA").Trap.Arm, pt(l, "LA").Trap.Fall = c.arm, c.fall
		told := false
		for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
			told = told || f.Rule == "drain-grade" && f.Place == "LA" && f.Side == "arm"
		}
		if told != c.told {
			t.Errorf("%v that falls %v: told %v", c.arm, c.fall, told)
		}
	}
}

// TestGentlerBendsOfABranch: a branch of two runs has one quarter bend too many, in the one or the other: that run may turn
// gentler. The drain that it enters is no part of it.
func TestGentlerBendsOfABranch(t *testing.T) {
	code := mustCode(t, "en12056-2")
	for upper := range 3 {
		l := mustLayout(t, "jobs/european-four-bends.json", code)
		bends := pt(l, "LV").Run.Fittings // four
		pt(l, "LV").To, pt(l, "LV").Run.Length = "LM", 1500*units.Millimetre
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "LM", To: "D", Run: pt(l, "LV").Run})
		pt(l, "LV").Run.Fittings, pt(l, "LM").Run.Fittings, pt(l, "D").Run.Fittings = bends[:upper], bends[upper:], bends[:1]
		all, err := mustSize(t, l, code).Fixes(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		want := "in place of one quarter bend of the run from LM."
		if upper > 0 {
			want = "in place of one quarter bend of the run from LV."
		}
		told := false
		for _, x := range all {
			told = told || x.Finding.Rule == "branch-bends" && len(x.Ways) > 0 && strings.HasSuffix(x.Ways[0].Do, want)
		}
		if !told {
			t.Errorf("%d bends in the upper run: want %q of %+v", upper, want, all)
		}
	}
}

// TestWasteStackByStorey: sinks of 2 dfu enter a waste stack of 2 in 9 ft apart, which takes 2 dfu within an interval
// (IPC 2021 Table 913.4, from memory). Of 9 ft an interval holds one of them, of a step more two.
func TestWasteStackByStorey(t *testing.T) {
	for storey, want := range map[string]string{"8.99": "", "9": "", "9.01": "4 dfu of 2 dfu", "18": "4 dfu of 2 dfu",
		"18.01": "4 dfu of 2 dfu"} {
		code := amendedCode(t, "ipc-2021", "set,branch-interval-height,"+storey+",ft,1,town,read\n")
		got := ""
		for _, f := range mustCheck(t, mustLayout(t, "jobs/waste-stack-of-6.json", code), code) {
			if f.Rule == ruleWasteStack && f.Side == "interval" {
				got = fmt.Sprint(f.Value, " of ", f.Limit)
			}
		}
		if got != want {
			t.Errorf("of %s ft: %q, want %q", storey, got, want)
		}
	}
}

// TestShareOfSection: where a town asks for half the section of the drain, that is 50 %.
func TestShareOfSection(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	twoInch(l)
	code := amendedCode(t, "upc-2021", "set,vent-area-ratio,0.5,ratio,1,town,read\n")
	if r := reasonOf(t, mustCheck(t, mustBuild(t, l), code), "vent-open", "the layout"); !strings.Contains(r, "at least 50 %") {
		t.Error(r)
	}
}

// TestHeightAlongAVent: a vent from 100 ft rises 4 ft, runs 6 ft flat, rises 3 ft in a slanting run of 5 ft and goes down 2.
func TestHeightAlongAVent(t *testing.T) {
	x := &Vent{Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}, {Length: 6 * ft, Direction: VentHorizontal},
		{Length: 5 * ft, Rise: 3 * ft, Direction: VentUp}, {Length: 2 * ft, Direction: VentDown}}}
	for station, want := range map[units.Length]units.Length{0: 0, ft: ft, 4 * ft: 4 * ft, 7 * ft: 4 * ft, 10 * ft: 4 * ft,
		25 * ft / 2: 11 * ft / 2, 15 * ft: 7 * ft, 16 * ft: 6 * ft, 17 * ft: 5 * ft, 99 * ft: 5 * ft} {
		if got := heightAt(x, 100*ft, station); got != 100*ft+want {
			t.Errorf("%v along it: %v, want %v", station, got, 100*ft+want)
		}
	}
}

// TestLengthOfPlan: up to 1 in 24 a pipe counts as long as its plan; 24 m at a step more are 24 x sqrt(1 + 1/576) =
// 24.0208 m long. A bearing points back from 175 degrees on, either way about.
func TestLengthOfPlan(t *testing.T) {
	const m = units.Metre
	for grade, want := range map[float64]units.Length{0: 24 * m, 1.0 / 24: 24 * m, 1.0/24 + 1e-9: 24*m + 20800*m/1_000_000} {
		if got := lengthOnPlan(Position{}, Position{X: 24 * m}, grade); got != want {
			t.Errorf("24 m at %v: %v, want %v", grade, got, want)
		}
	}
	for i := range 4 { // one coordinate that is none gives no length
		var ends [4]units.Length
		ends[i] = units.MaxLength + 1
		if got := lengthOnPlan(Position{X: ends[0], Y: ends[1]}, Position{X: ends[2], Y: ends[3]}, 0); got != 0 {
			t.Errorf("from a place that is none: %v", got)
		}
	}
	for degrees, back := range map[float64]bool{0: false, 90: false, 174.999: false, 175: false, 175.001: true, 180: true,
		184.999: true, 185: false} {
		if got := turnedAbout(Degrees(0), Degrees(degrees)); (got != "") != back {
			t.Errorf("%v degrees: %q", degrees, got)
		}
	}
}

// TestGreaseToATank: a kitchen that drains to a septic tank of its own lacks an interceptor as surely as one that drains to
// the sewer; where the drain goes on into another, or is waste alone, one may stand beyond it, which is asked.
func TestGreaseToATank(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, c := range []struct {
		kind  SystemKind
		to    OutletKind
		fails bool
	}{{Soil, ToSewer, true}, {Soil, ToTank, true}, {Soil, ToDrain, false}, {Waste, ToSewer, false}, {Waste, ToTank, false}} {
		l := mustLayout(t, "jobs/greasy-sink-to-the-sewer.json", code)
		l.Systems[0].Kind, l.Systems[0].Outlet.Kind = c.kind, c.to
		var got []string
		for _, f := range mustCheck(t, l, code) {
			if f.Rule == "grease-interceptor" && f.Place == "F" {
				got = append(got, fmt.Sprint(f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail))
			}
		}
		if len(got) != 1 || got[0] != fmt.Sprint(c.fails) {
			t.Errorf("%v to %v: fails %v, want %v", c.kind, c.to, got, c.fails)
		}
	}
}

// TestTeeIntoAStack: a vent of 2 in that joins another of 2 in does so by a tee of 2 in, one that joins a stack of 4 in by
// a tee of 4 in.
func TestTeeIntoAStack(t *testing.T) {
	for to, want := range map[string]units.Length{"T2": 4 * in, "W": 2 * in} {
		l := tower(2)
		up := []VentRun{{Length: 12 * ft, Direction: VentUp}}
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "LT1", Size: 2 * in, To: to, Runs: up},
			{ID: "W", Kind: VentIndividual, From: "LT2", Size: 2 * in, Terminal: &Terminal{AboveRoof: ft}, Runs: up}}
		off, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		tees := 0
		for _, f := range off.Fittings {
			if f.Kind == "vent-tee" {
				if tees += f.Count; f.Size != want {
					t.Errorf("into %s: %+v, want one of %v", to, f, want)
				}
			}
		}
		if tees != 1 {
			t.Errorf("into %s: %d tees", to, tees)
		}
	}
}

// waysOf are what would cure what is found of a rule at a place.
func waysOf(t *testing.T, d *Data, code *dwv.Code, rule, place string) (ways []string) {
	t.Helper()
	all, err := mustSize(t, mustBuild(t, d), code).Fixes(t.Context(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range all {
		for _, w := range x.Ways {
			if x.Finding.Rule == rule && x.Finding.Place == place {
				ways = append(ways, w.Do)
			}
		}
	}
	return ways
}

// TestValveToTakeOut: the floor drain at FD, under the cover of the manhole, has its valve at C. That at A, through which the
// lavatory drains, goes, and nothing is set.
func TestValveToTakeOut(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/manhole-over-the-rim-valve-for-all.json", code)
	pt(l, "C").Backwater = true
	if ways := waysOf(t, l, code, "backwater-valve", "sanitary"); len(ways) != 1 ||
		ways[0] != "Take out the backwater valve at A." {
		t.Errorf("%q", ways)
	}
}

// TestVentWithinReach: a trap of 1-1/2 in may be 6 ft from its vent (IPC 2021 Table 909.1). With 1 ft of arm before its drain
// of 20 ft the vent takes off 5 ft along that, without the arm 6 ft.
func TestVentWithinReach(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for arm, want := range map[units.Length]string{ft: "run from CS to CT, 5'-0\" from CS", 0: "run from CS to CT, 6'-0\" from CS"} {
		l := mustLayout(t, "workshop.json")
		pt(l, "CS").Run.Length, pt(l, "CS").Run.Size = 20*ft, in*3/2
		pt(l, "CS").Fixture.Size = in * 3 / 2
		pt(l, "CS").Trap = &Trap{Size: in * 3 / 2, Arm: arm, Fall: arm / 48}
		if ways := waysOf(t, l, code, "trap-arm-length", "CS"); !strings.Contains(strings.Join(ways, "\n"), want) {
			t.Errorf("with an arm of %v: %q, want a vent from the %s", arm, ways, want)
		}
	}
}

// TestRisersAsLaid: a drain found an inch lower than drawn takes along a riser that ends below the floor; one that comes up
// to the floor keeps its top and is an inch longer, and what stands on it keeps its length. Drawn, it is 5'-9 1/2" from the drain
// up to the floor.
func TestRisersAsLaid(t *testing.T) {
	const toFloor = 5*ft + 9*in + in/2
	for _, c := range []struct{ riser, second, laid, laidSecond units.Length }{
		{toFloor, 3 * ft, toFloor + in, 3 * ft}, {toFloor - nm, 3 * ft, toFloor - nm, 3*ft + in},
		{toFloor + ft, 3 * ft, toFloor + ft + in, 3 * ft}, {2 * ft, 3 * ft, 2 * ft, 3 * ft},
		{2 * ft, 4 * ft, 2 * ft, 4*ft + in},
	} {
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}}, Point{ID: "R", Run: Run{Length: c.riser}},
			Point{ID: "Q", Run: Run{Length: c.second}})
		for _, id := range []string{"R", "Q"} {
			pt(l, id).Run.Vertical, pt(l, id).Run.Grade = true, slope.Grade{}
		}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		v, _ := s.Levels().Of("D")
		a, err := s.AsLaid([]LaidShot{{Run: "D", Invert: v.Lower.Invert - in},
			{Run: "D", Along: 10 * ft, Invert: v.Upper.Invert - in}}, LaidOptions{})
		if err != nil {
			t.Fatal(err)
		}
		d := a.Sizing().Layout().Data()
		if r, q := pt(&d, "R").Run.Length, pt(&d, "Q").Run.Length; r != c.laid || q != c.laidSecond {
			t.Errorf("risers of %v and %v: laid %v and %v, want %v and %v", c.riser, c.second, r, q, c.laid, c.laidSecond)
		}
	}
}

// TestLoadOfAPoint: a point counts from nought; below that and from the last on there is none.
func TestLoadOfAPoint(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	p := l.Systems[0].Points
	k := slices.IndexFunc(p, func(x Point) bool { return x.ID == "LA" })
	p[0], p[k] = p[k], p[0]
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	if load, err := s.FixtureLoad(0); err != nil || load.Units != dwv.FixtureUnit { // a lavatory is 1 dfu
		t.Errorf("%v, %v", load, err)
	}
	for i, want := range map[int]error{-1: ErrReference, s.Len(): ErrReference, k: ErrMissing} {
		if _, err := s.FixtureLoad(i); !errors.Is(err, want) {
			t.Errorf("point %d: %v", i, err)
		}
	}
}

// TestWashWaterApart: what people wash with belongs into no drain of clear water or rain, unless that admits it; what the code
// does not know is not taken for such.
func TestWashWaterApart(t *testing.T) {
	for _, c := range []struct {
		kind    SystemKind
		fixture string
		admits  []string
		fails   bool
	}{
		{Soil, "lavatory", nil, false}, {Waste, "lavatory", nil, false}, {ClearWater, "lavatory", nil, true},
		{Storm, "lavatory", nil, true}, {ClearWater, "lavatory", []string{"lavatory"}, false}, {Storm, "samovar", nil, false},
	} {
		d := &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: c.kind, Admits: c.admits,
			Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 4 * in},
			Points: []Point{{ID: "L", To: "O", Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in},
				Fixture: &tables.Fixture{Kind: c.fixture, Count: 1, Use: tables.Public}}}}}}
		var got []bool
		for _, f := range mustCheck(t, mustBuild(t, d), mustCode(t, "ipc-2021")) {
			if f.Rule == "system-apart" && f.Place == "L" {
				got = append(got, f.Verdict == tables.Fail)
			}
		}
		if len(got) != 1 || got[0] != c.fails {
			t.Errorf("a %s into %v, which admits %v: fails %v, want %v", c.fixture, c.kind, c.admits, got, c.fails)
		}
	}
}

// TestVentOfAnInterceptor: the vent drawn first vents an interceptor as any other.
func TestVentOfAnInterceptor(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	vent(l, "VC").From, pt(l, "C1").Interceptor.Vented = "C1", false
	k := slices.IndexFunc(l.Vents, func(v Vent) bool { return v.ID == "VC" })
	l.Vents[0], l.Vents[k] = l.Vents[k], l.Vents[0]
	wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), "pass|interceptor-vent|C1|-|-|-")
}

// TestVentBesideAnInterceptor: a vent at the next fitting vents an interceptor, be it the first point of the layout, unless
// another drain comes in there.
func TestVentBesideAnInterceptor(t *testing.T) {
	for _, other := range []bool{false, true} {
		l := straight(Point{ID: "A", Run: Run{Length: 5 * ft}}, Point{ID: "B", Run: Run{Length: 5 * ft},
			Interceptor: &Interceptor{Kind: "grease", Rated: units.USGallonPerMinute, Inflow: units.USGallonPerMinute}},
			Point{ID: "K", Run: Run{Length: 5 * ft}, Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Public}})
		if other {
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "X", To: "A", Run: pt(l, "B").Run})
		}
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}}}
		want := "pass|interceptor-vent|B|-|-|-"
		if other {
			want = "ask|interceptor-vent|B|-|-|-"
		}
		wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), want)
	}
}

// TestIslandsApart: an island vent answers for what it serves and no other; a shower with a vent of its own is none of its
// business. It is asked about its low end only where that is drawn below the floor and lies above it: 9 in up from the
// arm, at 101 ft 4 in, and 12 in down again.
func TestIslandsApart(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/island-9-in-up.json", code)
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "SH", To: "A", Run: Run{Length: 3 * ft, Size: 2 * in,
		Grade: slope.PerFoot(in / 4)}, Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Private}})
	l.Vents = append(l.Vents, Vent{ID: "VS", Kind: VentIndividual, From: "SH", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}})
	for down, asked := range map[units.Length]bool{30 * in: false, 12 * in: true} {
		vent(l, "VK").Runs[1].Length = down
		low := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == ruleIsland && strings.Contains(f.Reason, "SH") {
				t.Error(f)
			}
			low = low || f.Rule == ruleIsland && strings.Contains(f.Reason, "that is drawn below the floor")
		}
		if low != asked {
			t.Errorf("%v down: asked %v", down, low)
		}
	}
	// Nothing below the floor, nothing to ask: it goes down and on along the wall.
	vent(l, "VK").Runs[2].Direction = VentHorizontal
	for _, f := range mustCheck(t, mustBuild(t, l), code) {
		if f.Rule == ruleIsland && strings.Contains(f.Reason, "that is drawn below the floor") {
			t.Error(f)
		}
	}
	l = mustLayout(t, "jobs/island-outlet-unknown.json", code)
	for _, f := range mustCheck(t, l, code) {
		if f.Rule == ruleIsland && strings.Contains(f.Reason, "turns down") && !strings.Contains(f.Reason, `rises 9" before`) {
			t.Error(f)
		}
	}
}

// TestStackValveOnBranch: a valve of the stack type that ends no stack is held to no count of intervals.
func TestStackValveOnBranch(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for from, counted := range map[string]bool{"L1": true, "B": false} {
		l := mustLayout(t, "jobs/valve-4-in-over-arm.json", code)
		vent(l, "V1").From, vent(l, "V1").Valve.Type = from, ValveStack
		got := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			got = got || f.Rule == ruleValve && f.Place == "V1" && f.Side == "stack"
		}
		if got != counted {
			t.Errorf("from %s: counted %v", from, got)
		}
	}
}
