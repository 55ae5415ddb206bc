package drains

import (
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

// stackLayout makes a stack with a branch of lavatories every so many feet.
func stackLayout(t *testing.T, every units.Length, lavatories ...int) *Data {
	t.Helper()
	quarter := slope.PerFoot(in / 4)
	l := &Data{FinishedFloor: 0, Slab: 5 * in, Systems: []System{{ID: "s", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -6 * ft}, Points: []Point{
			{ID: "D", To: "O", Run: Run{Length: 20 * ft, Grade: quarter}},
		}}}}
	to := "D"
	for k, n := range lavatories {
		id := fmt.Sprintf("T%d", k)
		length := every
		if k == 0 {
			length = 8 * ft
		}
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: id, To: to, Run: Run{Length: length, Vertical: true}},
			Point{ID: fmt.Sprintf("B%d", k), To: id, Run: Run{Length: 3 * ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: n, Use: tables.Public}})
		to = id
	}
	return mustBuild(t, l)
}

// TestBranchIntervals: IPC 2021 Table 710.1(2) lets a 3 in stack carry 48 units with
// up to three branch intervals and 72 with more. Branches 9 ft apart make an
// interval each, 7 ft apart every second one.
func TestBranchIntervals(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		every units.Length
		want  dwv.FixtureUnits
	}{{9 * ft, 72 * dwv.FixtureUnit}, {8 * ft, 72 * dwv.FixtureUnit}, {7 * ft, 48 * dwv.FixtureUnit}} {
		l := stackLayout(t, tt.every, 5, 5, 5, 5)
		for s := range l.Systems[0].Points {
			if p := &l.Systems[0].Points[s]; p.Run.Vertical {
				p.Run.Size = 3 * in
			}
		}
		mustBuild(t, l)
		for _, id := range []string{"T0", "T3"} {
			if r, _ := mustSize(t, l, code).Of(id); r.Capacity != tt.want {
				t.Errorf("every %v: %s carries %v, want %v", tt.every, id, r.Capacity, tt.want)
			}
		}
	}
}

// TestStackTop: a stack may shrink upward, but not under half of its foot (Table
// 710.1(2) note b). 100 units ask for 4 in at the foot; the one lavatory on top would
// do with 1-1/2 in and gets 2.
func TestStackTop(t *testing.T) {
	l := stackLayout(t, 9*ft, 50, 49, 1)
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	foot, _ := s.Of("T0")
	top, _ := s.Of("T2")
	if foot.Required != 4*in || top.Required != 2*in || top.Decided != DecidedByStackFoot {
		t.Errorf("foot %v, top %v by %v", foot.Required, top.Required, top.Decided)
	}
}

// TestReceptorLoad: a receptor counts as what drains into it, and as itself at
// least (IPC 709.4). The standpipe by its 2 in trap is 3 units (Table 709.2), a
// commercial washer 3 (Table 709.1).
func TestReceptorLoad(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for n, want := range map[int]dwv.FixtureUnits{1: 3 * dwv.FixtureUnit, 3: 9 * dwv.FixtureUnit} {
		l := mustLayout(t, "workshop.json")
		pt(l, "SP").Receptor.Indirect[0].Count = n
		mustBuild(t, l)
		if r, _ := mustSize(t, l, code).Of("SP"); r.Load != want {
			t.Errorf("%d washers: %v, want %v", n, r.Load, want)
		}
	}
}

// TestStackBaseBranch: a branch joins ten pipe diameters below the foot of a stack or
// more (IPC 704.3): 40 in for a 4 in stack.
func TestStackBaseBranch(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		way  units.Length
		want string
	}{
		{39 * in, `fail|stack-base-branch|X|3'-3"|3'-4"|-1"`},
		{40 * in, `pass|stack-base-branch|X|3'-4"|3'-4"|0"`},
	} {
		l := stackLayout(t, 9*ft, 50, 50)
		l.Systems[0].Points[0].Run.Length = tt.way
		quarter := slope.PerFoot(in / 4)
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "E", To: "O", Run: Run{Length: 5 * ft, Grade: quarter}},
			Point{ID: "X", To: "E", Run: Run{Length: 5 * ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		l.Systems[0].Points[0].To = "E"
		mustBuild(t, l)
		found := false
		for _, f := range mustCheck(t, l, code) {
			found = found || line(f) == tt.want
		}
		if !found {
			t.Errorf("%v: no %s", tt.way, tt.want)
		}
	}
}

// TestCableFromBothEnds: 30 ft of cable from each end cover a run of 60 ft, and not
// one of 61.
func TestCableFromBothEnds(t *testing.T) {
	for length, want := range map[units.Length]tables.Verdict{60 * ft: tables.Pass, 61 * ft: tables.Fail} {
		l := mustBuild(t, &Data{CableReach: 30 * ft, Systems: []System{{ID: "s", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -9 * ft}, Points: []Point{
				{ID: "A", To: "O", Run: Run{Length: ft, Grade: slope.OneIn(48)}, Cleanout: &Cleanout{TwoWay: true}},
				{ID: "B", To: "A", Run: Run{Length: length, Grade: slope.OneIn(48)}, Cleanout: &Cleanout{}},
			}}}})
		for _, f := range mustCheck(t, l, mustCode(t, "ipc-2021")) {
			if f.Rule == "cleanout-reach" && f.Place == "B" && f.Verdict != want {
				t.Errorf("%v: %v", length, f)
			}
		}
	}
}

// TestFixtureBranch: a clothes washer drains by 2 in pipe, and what that joins is 3 in
// (IPC 406.2). The 2 in drain goes on past a turn until another joins it. Load alone
// would ask for 1-1/2 in (3 units at 1/4 in a foot, Table 710.1(1)).
func TestFixtureBranch(t *testing.T) {
	quarter := slope.PerFoot(in / 4)
	l := mustBuild(t, &Data{Systems: []System{{ID: "s", Kind: Waste,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -4 * ft}, Points: []Point{
			{ID: "D", To: "O", Run: Run{Length: 9 * ft, Grade: quarter}},
			{ID: "J", To: "D", Run: Run{Length: 9 * ft, Grade: quarter}},
			{ID: "L", To: "J", Run: Run{Length: 9 * ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}},
			{ID: "X", To: "J", Run: Run{Length: 9 * ft, Grade: quarter}},
			{ID: "W", To: "X", Run: Run{Length: 9 * ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}},
		}}}})
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	for _, tt := range []struct {
		point string
		size  units.Length
		by    Decision
		row   string
	}{
		{"L", 5 * in / 4, DecidedByLoad, "size 1.25 in, grade 0.25 in/ft"},
		{"W", 2 * in, DecidedByTrap, "row clothes-washer-residential"}, // the trap is 2 in of itself
		{"X", 2 * in, DecidedByUpstream, ""},
		{"J", 3 * in, DecidedByFixtureDrain, "row clothes-washer-residential"},
		{"D", 3 * in, DecidedByUpstream, ""},
	} {
		r, _ := s.Of(tt.point)
		if r.Required != tt.size || r.Decided != tt.by || tt.row != "" && r.Citation.Row() != tt.row {
			t.Errorf("%s: %v by %v (%s), want %v by %v", tt.point, dwv.FormatSize(r.Required), r.Decided, r.Citation.Row(),
				dwv.FormatSize(tt.size), tt.by)
		}
	}
	if r, _ := s.Of("J"); r.Citation.Table() != "ipc-2021/fixture-drain-minima" {
		t.Errorf("J cites %v", r.Citation)
	}
}

// A steady flow counts at the rate of the code, 2 units for each gallon a minute (IPC
// 709.3), and where none is drawn no rate is asked for.
func TestContinuousInLayout(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	before, _ := s.Of("S1")
	pt(l, "S3").Continuous = 10 * units.USGallonPerMinute
	mustBuild(t, l)
	s = mustSize(t, l, mustCode(t, "ipc-2021"))
	if after, _ := s.Of("S1"); after.Load != before.Load+20*dwv.FixtureUnit {
		t.Errorf("10 gpm bring %v to %v", before.Load, after.Load)
	}
	noRate := amendedCode(t, "ipc-2021", "drop,continuous-flow-load,,,,,\n")
	if r, _ := mustSize(t, l, noRate).Of("S3"); !strings.Contains(r.Problem, "no load for a continuous flow") {
		t.Errorf("no rate for the flow: %q", r.Problem)
	}
	pt(l, "S3").Continuous = 0
	mustBuild(t, l)
	mustSize(t, l, noRate)
}

// The first fixture that is rated counts as any other where it drains into a receptor: a
// lavatory of 1 unit and a washer of 3 come to 4 (IPC Table 709.1).
func TestReceptorOfTheFirstFixture(t *testing.T) {
	lavatory := tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}},
		Point{ID: "R", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "floor-sink", Count: 1, Size: 2 * in},
			Receptor: &Receptor{Indirect: []tables.Fixture{lavatory, {Kind: "clothes-washer", Count: 1, Use: tables.Public}}}},
		Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: &lavatory})
	pt(l, "L").To = "R"
	mustBuild(t, l)
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	if r, _ := s.Of("D"); r.Load != 5*dwv.FixtureUnit {
		t.Errorf("%v, want 4 and the lavatory's 1", r.Load)
	}
}

// TestArmLoads: UPC Table 703.2 note 1 leaves trap arms out of the greatest loads of
// drains. A bathtub is 2 units on a 1-1/2 in trap, which the table lets carry 1 as a
// drain. The arm runs from the tub down to the point whose vent serves it; what else
// comes in, drains or is kept on it ends it.
func TestArmLoads(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	for _, tt := range []struct {
		name string
		edit func(m *Point)
		want units.Length
	}{
		{"a turn", func(*Point) {}, 3 * in / 2},
		{"a lavatory", func(m *Point) { m.Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private} },
			2 * in},
		{"a load kept", func(m *Point) { m.Reserved = dwv.FixtureUnit / 1000 }, 2 * in},
		{"a steady flow", func(m *Point) { m.Continuous = 0.1 * units.USGallonPerMinute }, 2 * in},
	} {
		l := straight(Point{ID: "V", Run: Run{Length: 3 * ft}}, Point{ID: "M", Run: Run{Length: ft}},
			Point{ID: "T", Run: Run{Length: ft}, Fixture: &tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}})
		for _, id := range []string{"V", "M", "T"} {
			pt(l, id).Run.Size = 0
		}
		l.Vents = []Vent{{ID: "VT", Kind: VentIndividual, From: "V", Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}},
			Terminal: &Terminal{AboveRoof: ft}}}
		tt.edit(pt(l, "M"))
		mustBuild(t, l)
		s := mustSize(t, l, upc)
		for id, want := range map[string]units.Length{"T": 3 * in / 2, "M": tt.want, "V": 2 * in} {
			if r, _ := s.Of(id); r.Required != want {
				t.Errorf("%s at M: %s is %s by %v, want %s", tt.name, id, dwv.FormatSize(r.Required), r.Decided,
					dwv.FormatSize(want))
			}
		}
	}
	// On the tub's own point, too.
	for name, edit := range map[string]func(p *Point){
		"two tubs":      func(p *Point) { p.Fixture.Count = 2 },
		"a load kept":   func(p *Point) { p.Reserved = dwv.FixtureUnit / 1000 },
		"a steady flow": func(p *Point) { p.Continuous = 0.1 * units.USGallonPerMinute },
	} {
		l := straight(Point{ID: "V", Run: Run{Length: 3 * ft}},
			Point{ID: "T", Run: Run{Length: ft}, Fixture: &tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}})
		pt(l, "T").Run.Size = 0
		l.Vents = []Vent{{ID: "VT", Kind: VentIndividual, From: "V", Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}},
			Terminal: &Terminal{AboveRoof: ft}}}
		edit(pt(l, "T"))
		mustBuild(t, l)
		if r, _ := mustSize(t, l, upc).Of("T"); r.Required != 2*in {
			t.Errorf("%s: %s by %v, want 2 in", name, dwv.FormatSize(r.Required), r.Decided)
		}
	}
}

// A stretch of stack into which nothing comes makes no branch interval: branches at the
// foot and the top of four stretches are two, so that 3 in carries 48 (IPC Table
// 710.1(2)).
func TestIntervalsWithoutBranches(t *testing.T) {
	l := stackLayout(t, 9*ft, 5, 5, 5, 5)
	var points []Point
	for _, p := range l.Systems[0].Points {
		if p.ID == "B1" || p.ID == "B2" {
			continue
		}
		if p.Run.Vertical {
			p.Run.Size = 3 * in
		}
		points = append(points, p)
	}
	l.Systems[0].Points = points
	mustBuild(t, l)
	if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("T0"); r.Capacity != 48*dwv.FixtureUnit {
		t.Errorf("carries %v", r.Capacity)
	}
}

// A stack of more branch intervals than a query may name still has a size: 1002 units are
// within the 1100 of 5 in (IPC Table 710.1(2)).
func TestHighestTower(t *testing.T) {
	l := mustBuild(t, tower(1002))
	if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("T1"); r.Problem != "" || r.Required != 5*in {
		t.Errorf("%v: %s", dwv.FormatSize(r.Required), r.Problem)
	}
}

// What a run asks for of its own accord is not put down to the foot of the stack or to the
// main cleanout when these ask for no more.
func TestDecidedByItself(t *testing.T) {
	l := stackLayout(t, 9*ft, 50, 45, 5)
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	// 100 units ask for 4 in at the foot, 5 at the top for 2 in, half of it.
	foot, _ := s.Of("T0")
	if top, _ := s.Of("T2"); foot.Required != 4*in || top.Required != 2*in || top.Decided != DecidedByLoad {
		t.Errorf("foot %v, top %v by %v", foot.Required, top.Required, top.Decided)
	}
	l = straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{Main: true},
		Fixture: &tables.Fixture{Kind: "lavatory", Count: 5, Use: tables.Public}})
	pt(l, "A").Run.Size = 0
	mustBuild(t, l)
	if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("A"); r.Required != 2*in || r.Decided != DecidedByLoad {
		t.Errorf("A: %v by %v", dwv.FormatSize(r.Required), r.Decided)
	}
}

// TestRunSize: 21 units on 3 in at 1/4 in a foot, which carries 42; 4 in carries 216 and 1/2
// in a foot 50 (IPC Table 710.1(1)).
func TestRunSize(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		drawn, size units.Length
		want        RunSize
	}{
		{3 * in, 3 * in, RunSize{Drawn: true, Capacity: 42 * dwv.FixtureUnit, Used: 0.5, NextSize: 4 * in,
			NextSizeLoad: 216 * dwv.FixtureUnit, NextGrade: slope.PerFoot(in / 2), NextGradeLoad: 50 * dwv.FixtureUnit}},
		{0, 2 * in, RunSize{Capacity: 21 * dwv.FixtureUnit, Used: 1, NextSize: 5 * in / 2,
			NextSizeLoad: 24 * dwv.FixtureUnit, NextGrade: slope.PerFoot(in / 2), NextGradeLoad: 26 * dwv.FixtureUnit}},
		// The table has no such row.
		{7 * in / 2, 7 * in / 2, RunSize{Drawn: true}},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft},
			Fixture: &tables.Fixture{Kind: "lavatory", Count: 21, Use: tables.Public}})
		pt(l, "A").Run.Size = tt.drawn
		mustBuild(t, l)
		got, _ := mustSize(t, l, code).Of("A")
		tt.want.Point, tt.want.To, tt.want.Part, tt.want.Load = "A", "O", dwv.Drain, 21*dwv.FixtureUnit
		tt.want.Size, tt.want.Required, tt.want.Decided = tt.size, 2*in, DecidedByLoad
		tt.want.Citation, tt.want.CapacityCitation = got.Citation, got.CapacityCitation
		if got != tt.want {
			t.Errorf("drawn %v:\ngot  %+v\nwant %+v", tt.drawn, got, tt.want)
		}
		if got.Citation.IsZero() || got.CapacityCitation.IsZero() != (got.Capacity == 0) {
			t.Errorf("drawn %v: cites %v and %v", tt.drawn, got.Citation, got.CapacityCitation)
		}
	}
}

// Where two stacks of three branch intervals each come together, the nearer of their last
// branches counts, in whatever order they were drawn: 9 and 4 ft above the branch at the
// foot, so that this makes no fourth interval and 3 in carries 48 (IPC Table 710.1(2)).
func TestStacksThatJoin(t *testing.T) {
	quarter := slope.PerFoot(in / 4)
	arm := func(name string, lowest units.Length) []Point {
		var points []Point
		to := "T"
		for k, length := range []units.Length{lowest, 9 * ft, 9 * ft} {
			id := fmt.Sprintf("%s%d", name, k)
			points = append(points,
				Point{ID: id, To: to, Run: Run{Length: length, Vertical: true, Size: 3 * in}},
				Point{ID: "B" + id, To: id, Run: Run{Length: 3 * ft, Grade: quarter},
					Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			to = id
		}
		return points
	}
	for _, second := range []bool{false, true} {
		points := []Point{
			{ID: "D", To: "O", Run: Run{Length: 9 * ft, Grade: quarter}},
			{ID: "T", To: "D", Run: Run{Length: 9 * ft, Vertical: true, Size: 3 * in}},
			{ID: "BT", To: "T", Run: Run{Length: 3 * ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}},
		}
		far, near := arm("P", 9*ft), arm("Q", 4*ft)
		if second {
			far, near = near, far
		}
		l := mustBuild(t, &Data{Slab: 5 * in, Systems: []System{{ID: "s", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -6 * ft}, Points: append(append(points, far...), near...)}}})
		if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("T"); r.Capacity != 48*dwv.FixtureUnit {
			t.Errorf("the nearer drawn first %v: %v", second, r.Capacity)
		}
	}
}

// The load of a system is that at its outlet.
func TestSystemTotal(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	last, ok := s.Of("S1")
	load, closets, ok2 := s.Total("soil")
	if !ok || !ok2 || load != last.Load || closets != 1 || load == 0 {
		t.Errorf("%v and %d closets (%v), the last run carries %v (%v)", load, closets, ok2, last.Load, ok)
	}
	if _, _, ok := s.Total("none"); ok {
		t.Error("a system that is not there has a total")
	}
}

// TestSeldomSold: the shelf has sizes that counters seldom sell; one without that list has none.
func TestSeldomSold(t *testing.T) {
	if list := SeldomSold(tables.Embedded()); !slices.Contains(list, 5*in/2) {
		t.Errorf("%v", list)
	}
	if list := SeldomSold(tables.Open(fstest.MapFS{})); list != nil {
		t.Errorf("%v on an empty shelf", list)
	}
}
