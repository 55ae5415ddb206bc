package drains

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func mustLevels(t testing.TB, l *Data, s *Sizing) *Levels {
	t.Helper()
	return s.Levels()
}

// TestLevels holds inverts to sums done by hand: 1/4 in a foot over 6, 8, 8, 3 and
// 2 ft is 1 1/2, 2, 2, 3/4 and 1/2 in, and 1/8 in a foot over 20 ft 2 1/2 in.
func TestLevels(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	hundredths := func(feet, inches float64) units.Length { return units.Feet(feet) + units.Inches(inches) }
	for _, tt := range []struct {
		point        string
		lower, upper units.Length
		above        bool
	}{
		{"S1", hundredths(97, 0), hundredths(97, 1.5), false},
		{"S2", hundredths(97, 1.5), hundredths(97, 3.5), false},
		{"S3", hundredths(97, 3.5), hundredths(97, 5.5), false},
		{"WV", hundredths(97, 3.5), hundredths(97, 4.25), false},
		{"WC", hundredths(97, 4.25), hundredths(97, 4.75), false},
		{"FD", hundredths(97, 3.5), hundredths(97, 6), false},
		{"LT", hundredths(97, 5.5), hundredths(102, 5.5), false},
		{"LA", hundredths(102, 5.5), hundredths(102, 6.25), true},
		// The interceptor at C1 drops 2 in.
		{"C1", hundredths(97, 0), hundredths(97, 1.25), false},
		{"SPT", hundredths(97, 3.25), hundredths(97, 4), false},
		{"SP", hundredths(97, 4), hundredths(100, 4), false},
	} {
		v, ok := lv.Of(tt.point)
		if !ok || v.Lower.Invert != tt.lower || v.Upper.Invert != tt.upper || v.AboveFloor != tt.above {
			t.Errorf("%s: %v to %v (above %v), want %v to %v (%v)", tt.point, v.Lower.Invert, v.Upper.Invert, v.AboveFloor, tt.lower, tt.upper, tt.above)
		}
	}
	// S1: 4 in pipe has a bore of 4.026 and a wall of 0.237 in (pipes/pvc-dwv), the
	// slab 5 in and the bedding 4 in.
	v, _ := lv.Of("S1")
	want := slope.Levels{
		Invert: hundredths(97, 1.5), Springline: hundredths(97, 3.513), Crown: hundredths(97, 5.526), Top: hundredths(97, 5.763),
		Bottom: hundredths(97, 1.263), TrenchBottom: hundredths(96, 9.263), InvertDepth: units.Inches(34.5),
		Cover: units.Inches(30.237), SlabClearance: units.Inches(25.237), TrenchDepth: units.Inches(33.737),
	}
	if diff := cmp.Diff(want, v.Upper); diff != "" {
		t.Errorf("S1 (-want +got):\n%s", diff)
	}
	// 2 in of cover are asked for.
	if want := units.Inches(23.237); v.Spare != want {
		t.Errorf("S1 may rise %v, want %v", v.Spare, want)
	}
	if spare, at, ok := lv.Spare("soil"); !ok || at != "FD" || spare != units.Inches(19.716) {
		t.Errorf("the soil system may rise %v at %s", spare, at)
	}
	if _, _, ok := lv.Spare("storm"); ok {
		t.Error("a system that is not there has depth to spare")
	}
}

// TestJoinAtCrown: bores of 4.026 and 3.068 in differ by 0.958 in.
func TestJoinAtCrown(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	pt(l, "S2").Run.Join = slope.AtCrown
	mustBuild(t, l)
	lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	v, _ := lv.Of("S2")
	if want := 97*units.Foot + units.Inches(2.458); v.Lower.Invert != want {
		t.Errorf("joined at %v, want %v", v.Lower.Invert, want)
	}
	down, _ := lv.Of("S1")
	if v.Lower.Crown != down.Upper.Crown {
		t.Errorf("crowns at %v and %v", v.Lower.Crown, down.Upper.Crown)
	}
}

// twin is two runs of one size to one outlet, 10 ft and some more long.
func twin(t *testing.T, first, second string, more [2]units.Length) (*Data, *Levels, *dwv.Code) {
	t.Helper()
	l := straight(Point{ID: first, Run: Run{Length: 10*ft + more[0]}}, Point{ID: second, Run: Run{Length: 10*ft + more[1]}})
	l.Systems[0].Points[1].To = "O"
	mustBuild(t, l)
	code := mustCode(t, "ipc-2021")
	return l, mustLevels(t, l, mustSize(t, l, code)), code
}

// Where two points are the highest, the lowest or the ones that decide, the id that comes
// first is named; where one is higher, that one.
func TestTies(t *testing.T) {
	for _, tt := range []struct {
		first, second string
		more          [2]units.Length
		highest       string
	}{
		{"A", "B", [2]units.Length{}, "A"}, {"B", "A", [2]units.Length{}, "A"},
		{"A", "B", [2]units.Length{0, ft}, "B"}, {"B", "A", [2]units.Length{ft, 0}, "B"}, {"B", "A", [2]units.Length{0, ft}, "A"},
	} {
		_, lv, _ := twin(t, tt.first, tt.second, tt.more)
		// The crown of 3 in pipe 10 or 11 ft up is 72 - 3 - 2 1/2 or 2 3/4 in down.
		want := 66*in + in/2
		if tt.more != [2]units.Length{} {
			want -= in / 4
		}
		if spare, at, ok := lv.Spare("s"); !ok || at != tt.highest || spare != want {
			t.Errorf("%+v: %v to spare at %s", tt, spare, at)
		}
		plans, err := lv.sizing.TestPlans(TestOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if p := plans[0]; p.Highest != tt.highest || p.Lowest != "O" {
			t.Errorf("%+v: highest %s, lowest %s", tt, p.Highest, p.Lowest)
		}
	}
}

// What lies beyond a riser is above the floor from the level of the floor on.
func TestAboveFloor(t *testing.T) {
	for riser, above := range map[units.Length]bool{5*ft + 9*in + in/2: true, 5*ft + 9*in + in/2 - nm: false} {
		// D ends 6 ft less 2 1/2 in under the floor.
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}}, Point{ID: "R", Run: Run{Length: riser}}, Point{ID: "X", Run: Run{Length: 3 * ft}})
		pt(l, "R").Run.Vertical, pt(l, "R").Run.Grade = true, slope.Grade{}
		mustBuild(t, l)
		lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
		if v, ok := lv.Of("X"); !ok || v.AboveFloor != above {
			t.Errorf("a riser of %v: above %v at %v", riser, v.AboveFloor, v.Lower.Invert)
		}
	}
}

// TestAsLaid holds a survey of the line of sinkLine against working by hand. As drawn, at
// 1/4 in/ft from 98'-6": B at 98'-8 1/2" at its lower end (98'-6" + 2 1/2") and 98'-10" at
// its upper. The crew laid A with a belly: 4 ft up it lies at 98'-5 3/4", 1/4 in below the
// outlet and 1 1/4 in below its design of 98'-7"; 10 ft up it is as it should be. B rises
// only 3/8 in in 6 ft: 1/16 in/ft, and ends 1 1/8 in low.
func TestAsLaid(t *testing.T) {
	s := mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))
	shots := []LaidShot{
		{Run: "A", Along: 0, Invert: 98*ft + 6*in},
		{Run: "A", Along: 4 * ft, Invert: 98*ft + 5*in + 3*in/4},
		{Run: "A", Along: 10 * ft, Invert: 98*ft + 8*in + in/2},
		{Run: "B", Along: 6 * ft, Invert: 98*ft + 8*in + 7*in/8},
	}
	a, err := s.AsLaid(shots, LaidOptions{Tolerance: in / 4})
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range [...]units.Length{0, -in - in/4, 0, -in - in/8} {
		if p := a.Points[k]; p.Off != want || p.Within != (want == 0) {
			t.Errorf("shot %d lies %v off, within %v; want %v", k+1, p.Off, p.Within, want)
		}
	}
	if len(a.Lines) != 1 || len(a.Lines[0].Survey.Bellies) != 1 {
		t.Fatalf("%+v", a.Lines)
	}
	l := &a.Lines[0]
	if b := l.Survey.Bellies[0]; b.Depth != in/4 || b.Low != 4*ft || b.From != 0 || b.Open {
		t.Errorf("belly %v", b)
	}
	for station, want := range map[units.Length]string{0: `A 0"`, 10 * ft: `A 10'-0"`, 13 * ft: `B 3'-0"`, 20 * ft: `B 10'-0"`} {
		if run, along := l.At(station); fmt.Sprint(run, " ", along) != want {
			t.Errorf("%v up is %s, %v; want %s", station, run, along, want)
		}
	}
	// Again: all of it from the outlet to the end of B, 2 7/8 in over 16 ft, which is 23/32 in
	// at 4 ft: up by 31/32 in there.
	if m := l.Survey.Mends[0]; !m.Possible || m.From != 0 || m.To != 16*ft || m.Raise != 31*in/32 || m.RaiseAt != 4*ft {
		t.Errorf("lay again: %+v", m)
	}
	laid := a.Sizing()
	if v, _ := laid.Levels().Of("B"); v.Upper.Invert != 98*ft+8*in+7*in/8 || v.Lower.Invert != 98*ft+8*in+in/2 {
		t.Errorf("B as laid %v to %v", v.Upper.Invert, v.Lower.Invert)
	}
	found, err := laid.Check(CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	wantFinding(t, found, `fail|drain-grade|B|1/16 in/ft|1/8 in/ft|-1/16 in/ft`)

	// Pipe that falls backward is judged as it lies: B ends 1/2 in below where it starts, 6 ft
	// farther down.
	shots[3].Invert = 98*ft + 8*in
	if a, err = s.AsLaid(shots, LaidOptions{}); err != nil {
		t.Fatal(err)
	}
	if found, err = a.Sizing().Check(CheckOptions{ProblemsOnly: true}); err != nil {
		t.Fatal(err)
	}
	wantFinding(t, found, `fail|drain-grade|B|-1:144|1/8 in/ft|-1.74 %`)
}

// TestAsLaidFaults tells all that is wrong with a survey.
// What was laid under EN 12056-2 is judged by it too: an unventilated branch of 4.0 m at 1 % at
// least (Table 5, system I), laid at 30 mm on 4 m, which is 0.75 %.
func TestAsLaidEuropean(t *testing.T) {
	e, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	s, err := mustNew(t, mustLayout(t, "jobs/european-branch-4-m.json")).SizeEuropean(e, EuropeanOptions{})
	if err != nil {
		t.Fatal(err)
	}
	v, _ := s.Levels().Of("LV")
	a, err := s.AsLaid([]LaidShot{
		{Run: "LV", Invert: v.Lower.Invert},
		{Run: "LV", Along: 4 * units.Metre, Invert: v.Lower.Invert + 30*units.Millimetre},
	}, LaidOptions{})
	if err != nil {
		t.Fatal(err)
	}
	// 10 mm lack of the 40 that 1 % asks.
	if st := a.Lines[0].Survey.Stretches; len(st) != 1 || st[0].Kind != slope.Shallow || st[0].Short != 10*units.Millimetre {
		t.Errorf("stretches %+v", st)
	}
	found, err := a.Sizing().Check(CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	wantFinding(t, found, `fail|drain-grade|LV|0.75 %|1 %|-0.25 %`)
}

func TestAsLaidFaults(t *testing.T) {
	l := sinkLine()
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Reserved: dwv.FixtureUnit,
		Run: Run{Length: 20 * in, Vertical: true, Size: 3 * in}})
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	_, err := s.AsLaid([]LaidShot{
		{Run: "Z", Invert: 98 * ft}, {Run: "O", Invert: 98 * ft}, {Run: "R", Invert: 99 * ft},
		{Run: "A", Along: 11 * ft, Invert: 98 * ft}, {Run: "A", Along: -1, Invert: 98 * ft},
		{Run: "B", Along: ft, Invert: 98 * ft}, {Run: "B", Along: ft, Invert: 98 * ft},
		{Run: "B", Along: 2 * ft, Invert: 2 * units.MaxLength},
	}, LaidOptions{})
	all, ok := errors.AsType[*units.Faults](err)
	if !ok || len(all.Faults) != 7 {
		t.Fatalf("%v", err)
	}
	for _, want := range []error{ErrReference, ErrDuplicate, units.ErrRange} {
		if !errors.Is(err, want) {
			t.Errorf("%v is not among %v", want, err)
		}
	}
	var none *Sizing
	if _, err := none.AsLaid(nil, LaidOptions{}); err == nil {
		t.Error("a survey of nothing")
	}
	if all.Faults[0].Item != "shot 1" || all.Faults[6].Item != "shot 8" {
		t.Errorf("%v", err)
	}
	if a, err := s.AsLaid([]LaidShot{{Run: "A", Invert: 98 * ft}, {Run: "A", Along: 10 * ft, Invert: 99 * ft}},
		LaidOptions{}); err != nil || len(a.Lines) != 1 || !slices.Equal(a.Lines[0].Runs, []string{"A"}) {
		t.Errorf("a survey of A alone: %+v, %v", a, err) // and not of what drains into it
	}
	if a, err := s.AsLaid(nil, LaidOptions{}); err != nil || len(a.Lines) != 0 || a.Sizing() == nil {
		t.Errorf("no shots: %+v, %v", a, err)
	}
}

// TestRiserTop: a riser whose top is stated stays so written and read, edited from a sizing,
// and as laid; lowered with the outlet it grows by as much.
func TestRiserTop(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	s := mustSize(t, mustLayout(t, "jobs/riser-top-18-in.json", code), code)
	text, err := json.Marshal(s.Layout())
	if err != nil {
		t.Fatal(err)
	}
	read, err := Parse("", text, code)
	if err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	d := s.Layout().Data()
	d.Systems[0].Outlet.Invert -= 3 * in
	lower, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	const foot = 97*ft + 4*in + in/2000 // 2-1/2 in of fall, 0.5005 in of the join, 1 in of fall
	i, _ := s.Layout().Find("L")
	for _, c := range []struct {
		l    *Layout
		foot units.Length
	}{{s.Layout(), foot}, {read, foot}, {lower, foot - 3*in}} {
		s, err := c.l.Size(code, Options{})
		if err != nil {
			t.Fatal(err)
		}
		at, run := s.Levels().At(i), s.Layout().Point(i).Run
		if at.Upper.Invert != 101*ft+6*in || run.Length != 101*ft+6*in-c.foot {
			t.Errorf("it is %v long and ends at %v; want %v long from %v", run.Length, at.Upper.Invert, 101*ft+6*in-c.foot, c.foot)
		}
	}
}

// TestAsLaidDrop: the line of sinkLine enters its outlet 2 in above it. The crew's first shot, at 98'-9" where
// 98'-8" is drawn, shows the outlet an inch high as well: at 98'-7".
func TestAsLaidDrop(t *testing.T) {
	l := sinkLine()
	pt(l, "A").Run.Drop = 2 * in
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	a, err := s.AsLaid([]LaidShot{
		{Run: "A", Along: 0, Invert: 98*ft + 9*in},
		{Run: "A", Along: 10 * ft, Invert: 98*ft + 11*in + in/2},
	}, LaidOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if off := a.Points[0].Off; off != in {
		t.Errorf("the first shot lies %v off", off)
	}
	laid := a.Sizing()
	if v, _ := laid.Levels().Of("A"); v.Lower.Invert != 98*ft+9*in || v.Upper.Invert != 98*ft+11*in+in/2 {
		t.Errorf("A as laid %v to %v", v.Lower.Invert, v.Upper.Invert)
	}
	if got := laid.Layout().Data().Systems[0].Outlet.Invert; got != 98*ft+7*in {
		t.Errorf("the outlet lies at %v", got)
	}
}

// TestLaidBetweenShots: A was surveyed up to 4 ft, where it lies at 98'-7" as drawn, and goes on at its grade: 1-1/2 in more
// over 6 ft. Of a riser that ends at the floor the top stays there, whatever lies under it an inch lower than drawn; what
// stands on the floor keeps its length.
func TestLaidBetweenShots(t *testing.T) {
	l := sinkLine()
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Run: Run{Length: 14 * in, Vertical: true,
		Size: 3 * in}},
		Point{ID: "R2", To: "R", Reserved: dwv.FixtureUnit, Run: Run{Length: 3 * ft, Vertical: true, Size: 3 * in}})
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	a, err := s.AsLaid([]LaidShot{{Run: "A", Invert: 98*ft + 6*in}, {Run: "A", Along: 4 * ft, Invert: 98*ft + 7*in}},
		LaidOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := a.Sizing().Levels().Of("A"); v.Upper.Invert != 98*ft+17*in/2 {
		t.Errorf("A ends at %v", v.Upper.Invert)
	}
	if v, _ := a.Sizing().Levels().Of("B"); v.Upper.Invert != 98*ft+10*in { // 1-1/2 in over 6 ft, as drawn
		t.Errorf("B ends at %v", v.Upper.Invert)
	}
	a, err = s.AsLaid([]LaidShot{{Run: "A", Invert: 98*ft + 5*in}, {Run: "A", Along: 10 * ft, Invert: 98*ft + 15*in/2}},
		LaidOptions{})
	if err != nil {
		t.Fatal(err)
	}
	laid := a.Sizing().Layout().Data()
	if r, up := pt(&laid, "R").Run.Length, pt(&laid, "R2").Run.Length; r != 15*in || up != 3*ft {
		t.Errorf("the riser to the floor is %v long, the one on it %v", r, up)
	}
}

// TestHoldNotStated: a code that names no time for which the water is held has a plan without one.
func TestHoldNotStated(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,test-water-hold,-,min,1,town,read\n")
	plans, err := mustSize(t, sinkLine(), code).TestPlans(TestOptions{})
	if err != nil || plans[0].Hold != 0 || plans[0].Head != 10*ft {
		t.Errorf("%+v, %v", plans, err)
	}
	// Without a head there is none, unless one is asked for.
	code = amendedCode(t, "ipc-2021", "set,test-water-head,-,ft of water,1,town,read\n")
	s := mustSize(t, sinkLine(), code)
	if _, err := s.TestPlans(TestOptions{}); !errors.Is(err, tables.ErrNotOnShelf) {
		t.Errorf("%v", err)
	}
	if plans, err := s.TestPlans(TestOptions{Head: 5 * ft}); err != nil || plans[0].Head != 5*ft {
		t.Errorf("%+v, %v", plans, err)
	}
}

// TestLowestOfTheTest: X ends at the outlet, A 6 in over it. Wherever it is drawn, the pressure is greatest at the lower:
// under the
// head and what the crown of the highest pipe lies over 94 ft.
func TestLowestOfTheTest(t *testing.T) {
	for _, ids := range [][3]string{{"X", "A", "B"}, {"A", "B", "X"}, {"B", "A", "X"}} {
		l := straight(Point{ID: "X", Run: Run{Length: 10 * ft}}, Point{ID: "A", Run: Run{Length: 10 * ft, Drop: 6 * in}},
			Point{ID: "B", Run: Run{Length: 10 * ft}})
		pt(l, "A").To = "O"
		var points []Point
		for _, id := range ids {
			points = append(points, *pt(l, id))
		}
		l.Systems[0].Points = points
		plans, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).TestPlans(TestOptions{Head: 10 * ft})
		if err != nil {
			t.Fatal(err)
		}
		// B ends 6 + 5 in over 94 ft, its crown 3 in higher.
		p := plans[0]
		if p.Lowest != "O" || p.Highest != "B" || p.Surface != 94*ft+14*in+10*ft || p.Pressure != hydrostatic(p.Surface-94*ft) {
			t.Errorf("%v: %+v", ids, p)
		}
	}
}

// TestTolerance: an invert that lies off by the tolerance is within it, above or below, and by a nanometre more is
// not.
func TestTolerance(t *testing.T) {
	s := mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))
	for off, within := range map[units.Length]bool{in / 4: true, -in / 4: true, in/4 + nm: false, -in/4 - nm: false} {
		a, err := s.AsLaid([]LaidShot{{Run: "A", Invert: 98*ft + 6*in + off}}, LaidOptions{Tolerance: in / 4})
		if err != nil || a.Points[0].Within != within {
			t.Errorf("%v off: %+v, %v", off, a.Points, err)
		}
	}
}

// TestOutletShown: where the only run into the outlet begins shows where that lies, an inch high: at 98'-7". Of two
// runs neither does, nor does a run that enters another.
func TestOutletShown(t *testing.T) {
	for _, c := range []struct {
		run  string
		two  bool
		want units.Length
	}{{"A", false, 98*ft + 7*in}, {"A", true, 98*ft + 6*in}, {"B", false, 98*ft + 6*in}} {
		l := sinkLine()
		if c.two {
			other := l.Systems[0].Points[1]
			other.ID, other.To = "C", "O"
			l.Systems[0].Points = append(l.Systems[0].Points, other)
		}
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		v, _ := s.Levels().Of(c.run)
		a, err := s.AsLaid([]LaidShot{{Run: c.run, Invert: v.Lower.Invert + in}}, LaidOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if got := a.Sizing().Layout().Data().Systems[0].Outlet.Invert; got != c.want {
			t.Errorf("%+v: the outlet lies at %v", c, got)
		}
	}
}

// TestRiserLaidTooHigh: the riser from the end of B, at 98'-10", up to the floor is 14 in long. Laid an inch higher
// at its foot it is an inch shorter; where B ends at the floor, or over it, the riser is as long as it was.
func TestRiserLaidTooHigh(t *testing.T) {
	for up, want := range map[units.Length]units.Length{in: 13 * in, 14*in - nm: nm, 14 * in: 14 * in, 15 * in: 14 * in} {
		l := sinkLine()
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Run: Run{Length: 14 * in, Vertical: true, Size: 3 * in}})
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		a, err := s.AsLaid([]LaidShot{{Run: "B", Along: 6 * ft, Invert: 98*ft + 10*in + up}}, LaidOptions{})
		if err != nil {
			t.Errorf("%v up: %v", up, err)
			continue
		}
		laid := a.Sizing().Layout().Data()
		if got := pt(&laid, "R").Run.Length; got != want {
			t.Errorf("%v up: a riser of %v, want %v", up, got, want)
		}
	}
}

// TestTopOfTheWater: D ends 2-1/2 in over 94 ft, and its crown of 3 in at 94'-5 1/2"; water 10 ft over that stands at
// 104'-5 1/2". A riser that ends there has no head over it, and one that ends higher is dry at its top.
func TestTopOfTheWater(t *testing.T) {
	for riser, points := range map[units.Length]int{123 * in: 2, 123*in + nm: 1} {
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}}, Point{ID: "R", Run: Run{Length: riser, Vertical: true}})
		pt(l, "R").Run.Grade, pt(l, "R").AboveFloor = slope.Grade{}, true
		plans, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).TestPlans(TestOptions{Head: 10 * ft})
		if err != nil || len(plans) != 1 || len(plans[0].Points) != points || points == 2 && plans[0].Points[1].Head != 0 {
			t.Errorf("a riser of %v: %+v, %v", riser, plans, err)
		}
	}
}

// TestLaidOverDrops: what was laid as drawn is so in the survey of the whole line too, where a run enters the next 2
// in over it, and below an interceptor that drops 2 in the layout as laid lies as it was drawn.
func TestLaidOverDrops(t *testing.T) {
	l := sinkLine()
	pt(l, "B").Run.Drop = 2 * in
	for run, l := range map[string]*Data{"B": l, "SPT": mustLayout(t, "workshop.json")} {
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		v, _ := s.Levels().Of(run)
		down, _ := s.Levels().Of(v.To)
		shots := []LaidShot{{Run: v.To, Invert: down.Lower.Invert}, {Run: v.To, Along: pt(l, v.To).Run.Length, Invert: down.Upper.Invert},
			{Run: run, Invert: v.Lower.Invert}, {Run: run, Along: pt(l, run).Run.Length, Invert: v.Upper.Invert}}
		a, err := s.AsLaid(shots, LaidOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range a.Lines {
			for _, p := range line.Survey.Points {
				if p.Off != 0 {
					t.Errorf("%s: %+v", run, p)
				}
			}
		}
		if laid, _ := a.Sizing().Levels().Of(run); laid.Lower.Invert != v.Lower.Invert || laid.Upper.Invert != v.Upper.Invert {
			t.Errorf("%s from %v to %v, drawn from %v to %v", run, laid.Lower.Invert, laid.Upper.Invert, v.Lower.Invert, v.Upper.Invert)
		}
	}
}
