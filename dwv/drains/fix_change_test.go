package drains

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// mustFit is what proposes changes to a layout under the IPC.
func mustFit(t *testing.T, l *Data, opt ...FitOptions) *fit {
	t.Helper()
	f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), append(opt, FitOptions{})[0])
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// said is what some changes say.
func said(list []change) (all []string) {
	for _, c := range list {
		all = append(all, c.do)
	}
	return all
}

// with is the data of a layout with a change made.
func (f *fit) with(c change) *Data {
	d := f.of.of.Data()
	c.edit(&d)
	return &d
}

// lavatory is one on a drain of its own.
func lavatory(id string, run Run, trap *Trap) Point {
	return Point{ID: id, Run: run, Trap: trap, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}}
}

// TestMoveOutlet: what lacks an inch is put right by an outlet an inch lower, or by half the bore of its 3 in more; a
// trap that hangs an inch too deep by one an inch higher.
func TestMoveOutlet(t *testing.T) {
	f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 8 * ft}}))
	for rule, want := range map[string][]string{
		"drain-cover": {`Lower the outlet O by 1", to 93'-11".`, `Lower the outlet O by 2 1/2", to 93'-9 1/2".`},
		"trap-tail":   {`Raise the outlet O by 1", to 94'-1".`}, "sump-inlet": {`Raise the outlet O by 1", to 94'-1".`},
	} {
		if got := said(moveOutlet(f.problem(&tables.Finding{Rule: rule, Place: "A", Margin: -in}))); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", rule, got, want)
		}
	}
}

// TestPassObstacle: where 3 in are asked and 1 in is there, the drains go 2 in lower, or higher; where nothing lacks,
// nowhere.
func TestPassObstacle(t *testing.T) {
	f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 8 * ft}}))
	for value, want := range map[units.Length][]string{
		in: {`Lower the outlet O by 2", to 93'-10".`, `Raise the outlet O by 2", to 94'-2".`}, 3 * in: nil,
	} {
		got := said(passObstacle(f.problem(&tables.Finding{Rule: "drain-crossing", Place: "A", Value: value, Limit: 3 * in})))
		if !slices.Equal(got, want) {
			t.Errorf("%v: %q, want %q", value, got, want)
		}
	}
}

// TestFlatten: 10 ft of 3 in at 1/4 in/ft fall 2-1/2 in, and half of that at 1/8, the least of its size: 1-1/4 in
// won. 8 ft of 2 in at 3/8 fall 3 in, and 2 at their least of 1/4 (IPC Table 704.1): 1 in won, so they come second.
// What lies at the least already wins nothing.
func TestFlatten(t *testing.T) {
	l := straight(Point{ID: "E", Run: Run{Length: 9 * ft}}, Point{ID: "A", Run: Run{Length: 10 * ft}},
		Point{ID: "B", Run: Run{Length: 8 * ft, Size: 2 * in}}, Point{ID: "C", Run: Run{Length: 2 * ft, Size: 2 * in}})
	pt(l, "E").Run.Grade, pt(l, "B").Run.Grade = slope.PerFoot(in/8), slope.PerFoot(3*in/8)
	f := mustFit(t, l)
	want := []string{"Lay A to E at 1/8 in/ft.", "Lay A to E at 1/8 in/ft, B to A at 1/4 in/ft."}
	if got := said(flatten(f.problem(&tables.Finding{Rule: "drain-cover", Place: "C"}))); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// Of four runs one, two, three or all are laid; of five one, two, three or all.
	for n, last := range map[int]int{4: 4, 5: 5} {
		points := []Point{{ID: "A"}, {ID: "B"}, {ID: "C"}, {ID: "D"}, {ID: "E"}}[:n]
		for k := range points {
			points[k].Run.Length = units.Length(20-k) * ft
		}
		f := mustFit(t, straight(points...))
		list := flatten(f.problem(&tables.Finding{Rule: "drain-cover", Place: points[n-1].ID}))
		if len(list) != 4 || strings.Count(list[0].do, " at ") != 1 || strings.Count(list[3].do, " at ") != last {
			t.Errorf("of %d runs: %q", n, said(list))
		}
	}
}

// TestArmToGrade: of an arm the runs steeper than the limit are laid at it, and not those that have it.
func TestArmToGrade(t *testing.T) {
	l := straight(Point{ID: "V", Run: Run{Length: 9 * ft}}, Point{ID: "C", Run: Run{Length: ft}},
		Point{ID: "B", Run: Run{Length: ft}}, lavatory("A", Run{Length: ft}, nil))
	pt(l, "A").Run.Grade, pt(l, "C").Run.Grade = slope.PerFoot(in/2), slope.PerFoot(in/2)
	l.Vents = []Vent{{ID: "VA", Kind: VentIndividual, From: "V", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
	f := mustFit(t, l)
	want := []string{"Lay A to B at 1/4 in/ft.", "Lay A to B at 1/4 in/ft, C to V at 1/4 in/ft."}
	p := &tables.Finding{Rule: "trap-arm-grade", Place: "A", Limit: slope.PerFoot(in / 4)}
	if got := said(toGrade(f.problem(p))); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	p.Rule = "drain-grade" // of the run alone
	if got := said(toGrade(f.problem(p))); !slices.Equal(got, want[:1]) {
		t.Errorf("%q, want %q", got, want[:1])
	}
}

// TestSteeper: by IPC Table 710.1(1) 3 in carries 36 dfu at 1/8 in/ft, 42 at 1/4 and 50 at 1/2: of a run at 1/8 the
// flattest of those that carries its load, and none for a unit more. 4 in is the next size, and carries 180 there.
func TestSteeper(t *testing.T) {
	for load, want := range map[dwv.FixtureUnits][]string{36: {"Lay A to O at 1/4 in/ft."}, 42: {"Lay A to O at 1/4 in/ft."},
		43: {"Lay A to O at 1/2 in/ft."}, 50: {"Lay A to O at 1/2 in/ft."}, 51: nil} {
		l := straight(Point{ID: "A", Reserved: load * dwv.FixtureUnit, Run: Run{Length: 9 * ft}})
		pt(l, "A").Run.Grade = slope.PerFoot(in / 8)
		f := mustFit(t, l)
		if got := said(steeper(f.problem(&tables.Finding{Rule: "drain-load", Place: "A"}))); !slices.Equal(got, want) {
			t.Errorf("%d dfu: %q, want %q", load, got, want)
		}
		if r, _ := f.of.Of("A"); r.NextGrade != slope.PerFoot(in/4) || r.NextGradeLoad != 42*dwv.FixtureUnit ||
			r.NextSize != 4*in || r.NextSizeLoad != 180*dwv.FixtureUnit {
			t.Errorf("%d dfu: %+v", load, r)
		}
	}
	riser := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft, Vertical: true}})
	pt(riser, "B").Run.Grade = slope.Grade{}
	f := mustFit(t, riser)
	if got := steeper(f.problem(&tables.Finding{Rule: "drain-load", Place: "B"})); got != nil {
		t.Errorf("a riser: %q", said(got))
	}
}

// TestSplit: the run from A, at 12 and 9 ft, to the outlet at 0 and 0 is 15 ft long; 5 ft from A is a third of the
// way, at 8 and 6 ft. What the run has at its lower end goes with the lower part, and so does a footing beyond 5 ft.
// Without a place at either end there is none on the way.
func TestSplit(t *testing.T) {
	for _, c := range []struct {
		upper, outlet, want *Position
	}{
		{&Position{X: 12 * ft, Y: 9 * ft}, &Position{}, &Position{X: 8 * ft, Y: 6 * ft}},
		{&Position{X: 2 * ft, Y: 19 * ft}, &Position{X: 14 * ft, Y: 10 * ft}, &Position{X: 6 * ft, Y: 16 * ft}},
		{nil, &Position{}, nil}, {&Position{X: 12 * ft, Y: 9 * ft}, nil, nil},
	} {
		l := straight(Point{ID: "A", At: c.upper, Run: Run{Length: 15 * ft, Drop: in, Into: "wye"}},
			Point{ID: "A+", Run: Run{Length: ft}})
		l.Systems[0].Outlet.At = c.outlet
		l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "A", Along: 5 * ft, Bottom: ft},
			{ID: "G", Kind: FootingThrough, Run: "A", Along: 5*ft + nm, Bottom: ft}}
		f := mustFit(t, l)
		d := f.of.of.Data()
		lower := *f.split(&d, f.of.tree.index["A"], 5*ft)
		if (lower.At == nil) != (c.want == nil) || c.want != nil && *lower.At != *c.want {
			t.Errorf("from %v to %v: at %v, want %v", c.upper, c.outlet, lower.At, c.want)
		}
		upper := pt(&d, "A")
		if lower.ID != "A++" || lower.To != "O" || upper.To != "A++" || upper.Run.Length != 5*ft || lower.Run.Length != 10*ft ||
			upper.Run.Drop != 0 || lower.Run.Drop != in || upper.Run.Into != "" || lower.Run.Into != "wye" {
			t.Errorf("%+v over %+v", upper, lower)
		}
		if f, g := d.Footings[0], d.Footings[1]; f.Run != "A" || f.Along != 5*ft || g.Run != "A++" || g.Along != nm {
			t.Errorf("footings at %+v and %+v", f, g)
		}
	}
}

// TestSplitBends: of the bends of a run that is split the first stays above, and the rest come below.
func TestSplitBends(t *testing.T) {
	for _, bends := range [][]string{nil, {"quarter-bend"}, {"quarter-bend", "eighth-bend"},
		{"quarter-bend", "eighth-bend", "long-sweep"}} {
		f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 15 * ft, Fittings: bends}}))
		d := f.of.of.Data()
		lower := f.splitBends(&d, f.of.tree.index["A"], 5*ft)
		upper, first := pt(&d, "A").Run.Fittings, min(1, len(bends))
		if !slices.Equal(upper, bends[:first]) || !slices.Equal(lower.Run.Fittings, bends[first:]) {
			t.Errorf("%q: %q above, %q below", bends, upper, lower.Run.Fittings)
		}
	}
}

// TestLead: a drain led from 3 and 4 ft to a point at 0 and 0 is 5 ft long and lies on its way there; to one at its
// own place, or at none, it stays as it is.
func TestLead(t *testing.T) {
	for _, c := range []struct {
		from, to *Position
		want     units.Length
	}{
		{&Position{X: 3 * ft, Y: 4 * ft}, &Position{}, 5 * ft}, {&Position{}, &Position{}, 9 * ft},
		{nil, &Position{}, 9 * ft}, {&Position{X: 3 * ft}, nil, 9 * ft},
	} {
		l := straight(Point{ID: "A", At: c.to, Run: Run{Length: 6 * ft}}, Point{ID: "B", Run: Run{Length: 6 * ft}},
			Point{ID: "C", At: c.from, Run: Run{Length: 9 * ft, Bearing: Degrees(90)}})
		f := mustFit(t, l)
		d := f.of.of.Data()
		f.lead(&d, f.of.tree.index["C"], "A")
		run := pt(&d, "C").Run
		if off := run.Length - c.want; pt(&d, "C").To != "A" || max(off, -off) > in/8 || (run.Bearing == Bearing{}) != (c.want == 5*ft) {
			t.Errorf("from %v to %v: %+v, want %v", c.from, c.to, run, c.want)
		}
	}
}

// TestLargerTrap: a trap as large as its drain of 2 in is fitted alone; a larger one takes a larger drain as well.
func TestLargerTrap(t *testing.T) {
	for limit, with := range map[units.Length]bool{3 * in / 2: false, 2 * in: false, 3 * in: true} {
		f := mustFit(t, straight(lavatory("A", Run{Length: 9 * ft, Size: 2 * in}, &Trap{Size: 5 * in / 4})))
		list := largerTrap(f.problem(&tables.Finding{Rule: "trap-size", Place: "A", Limit: limit}))
		if len(list) > 1 != with || pt(f.with(list[0]), "A").Trap.Size != limit {
			t.Errorf("%v: %q", limit, said(list))
		}
		if with && (list[1].do != `Fit at A a trap of 3". Lay 3" from A to O.` || pt(f.with(list[1]), "A").Run.Size != 3*in ||
			pt(f.with(list[1]), "A").Trap.Size != 3*in) {
			t.Errorf("%v: %q", limit, said(list))
		}
	}
}

// TestFartherVent: the vent of a trap goes farther from it by what lacks: along the arm that the trap has, or along
// its drain; a riser makes no arm longer.
func TestFartherVent(t *testing.T) {
	for _, c := range []struct {
		trap     *Trap
		vertical bool
		arm, run units.Length // nought: not proposed
	}{
		{&Trap{Arm: 2 * in}, false, 5 * in, 9 * ft}, {&Trap{Arm: 2 * in}, true, 5 * in, 9 * ft},
		{&Trap{}, false, 0, 9*ft + 3*in}, {nil, false, 0, 9*ft + 3*in}, {nil, true, 0, 0}, {&Trap{}, true, 0, 0},
	} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, c.trap))
		if run := &pt(l, "A").Run; c.vertical {
			run.Vertical, run.Grade = true, slope.Grade{}
		}
		f := mustFit(t, l)
		p := tables.Finding{Rule: "trap-arm-min-length", Place: "A", Limit: 5 * in, Margin: -3 * in}
		list := slices.Collect(f.problem(&p).changes())
		if len(list) != 1 {
			if len(list) > 0 || c.run > 0 {
				t.Errorf("%+v: %q", c, said(list))
			}
			continue
		}
		a := pt(f.with(list[0]), "A")
		if list[0].do != `Set the vent of A 3" farther from the trap.` || a.Run.Length != c.run || a.Trap != nil && a.Trap.Arm != c.arm {
			t.Errorf("%+v: %q, %+v", c, said(list), a)
		}
	}
}

// TestNearerVent: the trap of A has an arm of 3 ft that falls 3 in, to the vent at A. What is 1 ft too long, or falls
// an inch too much, at 1 in a foot, is 2 ft and falls 2 in with the vent a foot nearer. Of all the arm nothing can be
// taken.
func TestNearerVent(t *testing.T) {
	for _, c := range []struct {
		rule      string
		fall      units.Length
		lacks     units.Length
		arm, left units.Length // nought: not proposed
	}{
		{"trap-arm-length", 3 * in, ft, 2 * ft, 2 * in}, {"trap-arm-length", 0, ft, 2 * ft, 0},
		{"trap-arm-length", 3 * in, 3*ft - in/16, in / 16, 132292}, // a twelfth of 1/16 in
		{"trap-arm-length", 3 * in, 3 * ft, 0, 0},
		{"trap-arm-fall", 3 * in, in, 2 * ft, 2 * in},
		{"trap-arm-fall", 0, in / 4, 2 * ft, 0}, // at the grade of its drain, 1/4 in a foot
	} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, &Trap{Arm: 3 * ft, Fall: c.fall}))
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		f := mustFit(t, l)
		list := nearer(f.problem(&tables.Finding{Rule: c.rule, Place: "A", Margin: -c.lacks}))
		if len(list) > 0 != (c.arm > 0) {
			t.Errorf("%+v: %q", c, said(list))
			continue
		}
		if len(list) > 0 {
			if trap := pt(f.with(list[0]), "A").Trap; trap.Arm != c.arm || trap.Fall != c.left {
				t.Errorf("%+v: %q, %+v", c, said(list), trap)
			}
		}
	}
}

// TestTakenOffNearer: from A 3 ft of drain lead to B and 4 ft on to C, where the vent is: 1 ft nearer it leaves 3 ft
// below B, 4 ft nearer at B itself, 5 ft nearer 2 ft below A, 7 ft nearer at A; no vent is 8 ft nearer, or on a
// riser.
func TestTakenOffNearer(t *testing.T) {
	for _, c := range []struct {
		by     units.Length
		riser  bool
		do     string
		from   string
		length units.Length // of the run above it
	}{
		{ft, false, `Take the vent V off 1'-0" nearer to A, on the run from B to C.`, "B+", 3 * ft},
		{4 * ft, false, `Take the vent V off 4'-0" nearer to A, at B.`, "B", 0},
		{5 * ft, false, `Take the vent V off 5'-0" nearer to A, on the run from A to B.`, "A+", 2 * ft},
		{7 * ft, false, `Take the vent V off 7'-0" nearer to A, at A.`, "A", 0}, {by: 8 * ft}, {by: ft, riser: true},
	} {
		l := straight(Point{ID: "C", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 4 * ft, Vertical: c.riser}},
			lavatory("A", Run{Length: 3 * ft}, nil))
		if c.riser {
			pt(l, "B").Run.Grade = slope.Grade{}
		}
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "C", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		f := mustFit(t, l)
		list := nearer(f.problem(&tables.Finding{Rule: "trap-arm-length", Place: "A", Margin: -c.by}))
		if got := strings.Join(said(list), " "); got != c.do {
			t.Errorf("%v: %q, want %q", c.by, got, c.do)
			continue
		}
		if len(list) > 0 {
			d := f.with(list[0])
			if got := d.Vents[0].From; got != c.from || c.length > 0 && pt(d, c.from[:1]).Run.Length != c.length {
				t.Errorf("%v: from %s, %+v", c.by, got, d.Systems[0].Points)
			}
		}
	}
}

// TestBeforeTurn: the vent of an arm is taken off where a run of it begins, and between the bends of a run that is
// longer than two steps, here of a foot each.
func TestBeforeTurn(t *testing.T) {
	bends := []string{"eighth-bend", "eighth-bend"}
	for _, c := range []struct {
		length units.Length
		bends  []string
		want   []string
	}{
		{2 * ft, bends, nil}, {2*ft + in, bends, []string{"Take the vent V off between the bends of the run from A to B."}},
		{9 * ft, bends[:1], nil},
	} {
		l := straight(Point{ID: "C", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: ft}},
			lavatory("A", Run{Length: c.length, Fittings: c.bends}, nil))
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "C", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		f := mustFit(t, l, FitOptions{Step: ft})
		list := beforeTurn(f.problem(&tables.Finding{Rule: "trap-arm-turn", Place: "A"}))
		want := append(c.want, "Take the vent V off at B, before the arm turns on.")
		if got := said(list); !slices.Equal(got, want) {
			t.Errorf("%v with %d bends: %q, want %q", c.length, len(c.bends), got, want)
			continue
		}
		if d := f.with(list[0]); len(list) > 1 && (pt(d, "A").Run.Length != ft || d.Vents[0].From != "A+") {
			t.Errorf("%+v", d.Systems[0].Points)
		}
	}
}

// TestTurnsDownLess: an island vent that ends in a riser of 5 ft comes down 2 ft less and ends where it did; a riser
// that is no longer than that is left, and so is a last run that lies flat.
func TestTurnsDownLess(t *testing.T) {
	for _, c := range []struct {
		last, want VentRun
	}{
		{VentRun{Length: 5 * ft, Direction: VentUp}, VentRun{Length: 3 * ft, Direction: VentUp}},
		{VentRun{Length: 2*ft + nm, Direction: VentUp}, VentRun{Length: nm, Direction: VentUp}},
		{VentRun{Length: 2 * ft, Direction: VentUp}, VentRun{Length: 2 * ft, Direction: VentUp}},
		{VentRun{Length: 5 * ft, Direction: VentBelowFloor}, VentRun{Length: 5 * ft, Direction: VentBelowFloor}},
	} {
		v := &Vent{Runs: []VentRun{{Length: 6 * ft, Direction: VentUp}, {Length: 9 * ft, Direction: VentDown}, c.last}}
		turnDownLess(v, 2*ft)
		if v.Runs[0].Length != 6*ft || v.Runs[1].Length != 7*ft || v.Runs[2] != c.want {
			t.Errorf("%+v: %+v", c.last, v.Runs)
		}
	}
}

// TestShortenBranch: an appliance 10 mm too far is brought nearer on a run that is longer than that, and no run is
// taken away whole; one that drops too much drops less where its run does, or hangs on a shorter riser.
func TestShortenBranch(t *testing.T) {
	const mm = units.Millimetre
	code := mustCode(t, "en12056-2")
	for _, c := range []struct {
		job, rule string
		lacks     units.Length
		drop      units.Length // of the run from LV
		want      []string
		length    units.Length // of the run from LV then
	}{
		{"european-branch-401-cm", "branch-length", 10 * mm, 0, []string{"Shorten the run from LV to D by 10 mm."}, 4000 * mm},
		{"european-branch-401-cm", "branch-length", 4009 * mm, 0, []string{"Shorten the run from LV to D by 4.009 m."}, mm},
		{"european-branch-401-cm", "branch-length", 4010 * mm, 0, nil, 0},
		{"european-branch-401-cm", "branch-drop", 10 * mm, 10*mm - nm, nil, 0},
		{"european-branch-401-cm", "branch-drop", 10 * mm, 10 * mm, []string{"Let the run from LV drop 10 mm less."}, 4010 * mm},
		{"european-drop-101-cm", "branch-drop", 10 * mm, 0, []string{"Shorten the run from LV to B by 10 mm."}, 1000 * mm},
		{"european-drop-101-cm", "branch-length", 10 * mm, 0, []string{"Shorten the run from B to D by 10 mm."}, 1010 * mm},
	} {
		l := mustLayout(t, "jobs/"+c.job+".json", code)
		pt(l, "LV").Run.Drop = c.drop
		f, err := mustSize(t, mustBuild(t, l), code).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		f.base = []tables.Finding{{Rule: c.rule, Place: "LV", Verdict: tables.Fail, Margin: -c.lacks}}
		list := shortenBranch(f.problem(&f.base[0]))
		if got := said(list); !slices.Equal(got, c.want) {
			t.Errorf("%s, %s: %q, want %q", c.job, c.rule, got, c.want)
			continue
		}
		if len(list) > 0 {
			run := pt(f.with(list[0]), "LV").Run
			if run.Length != c.length || c.drop > 0 && run.Drop != 0 {
				t.Errorf("%s, %s: %q: %+v", c.job, c.rule, c.want, run)
			}
		}
	}
}

// TestFartherFromFoot: a branch that joins 1 in too near is led 1 in down the next run, if that is longer, no riser,
// and there is one.
func TestFartherFromFoot(t *testing.T) {
	for _, c := range []struct {
		lacks units.Length
		riser bool
		to    string // where the branch joins
		want  string
	}{
		{in, false, "D", `Join the branch from B 1" farther down, on the run from D to O.`}, {9*ft - in, false, "D",
			`Join the branch from B 8'-11" farther down, on the run from D to O.`},
		{9 * ft, false, "D", ""}, {in, true, "D", ""}, {in, false, "O", ""},
	} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft, Vertical: c.riser}}, Point{ID: "B", Run: Run{Length: 4 * ft}})
		if pt(l, "B").To = c.to; c.riser {
			pt(l, "D").Run.Grade = slope.Grade{}
		}
		f := mustFit(t, l)
		list := fartherFromFoot(f.problem(&tables.Finding{Rule: "stack-base-branch", Place: "B", Margin: -c.lacks}))
		if got := strings.Join(said(list), " "); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
		if len(list) > 0 {
			if d := f.with(list[0]); pt(d, "B").To != "D+" || pt(d, "D").Run.Length != c.lacks {
				t.Errorf("%+v: %+v", c, d.Systems[0].Points)
			}
		}
	}
}

// TestKnownOfProblem: what a finding tells: where it stands, and which of its figures are lengths. No margin, or one
// of nought, is nothing that lacks.
func TestKnownOfProblem(t *testing.T) {
	f := mustFit(t, straight(lavatory("A", Run{Length: 9 * ft}, nil)))
	for _, c := range []struct {
		p    tables.Finding
		want need
	}{
		{tables.Finding{Place: "A", Value: in, Limit: 2 * in, Margin: -in}, aPoint | aSystem | aLimit | aValue | aLack},
		{tables.Finding{Place: "A", Value: in, Limit: in, Margin: 0 * in}, aPoint | aSystem | aLimit | aValue},
		{tables.Finding{Place: "A", Value: 3 * in, Limit: in, Margin: 2 * in}, aPoint | aSystem | aLimit | aValue},
		{tables.Finding{Place: "A", Value: count(3), Limit: count(2), Margin: count(-1)}, aPoint | aSystem},
		{tables.Finding{Place: "O"}, aSystem}, {tables.Finding{Place: "s"}, aSystem}, {tables.Finding{Place: "Z"}, 0},
	} {
		if got := f.problem(&c.p).known; got != c.want {
			t.Errorf("%v: %b, want %b", c.p, got, c.want)
		}
	}
}

// TestChangeOfWhatIsTooHigh: an outlet is to be lowered by the most that drains of its system lack under the slab, in steps of 1/16
// in, if that is all that is wrong and of one system.
func TestChangeOfWhatIsTooHigh(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}})
	l.Systems = append(l.Systems, System{ID: "t", Kind: Soil, Outlet: Outlet{ID: "P", Kind: ToSewer, Invert: 94 * ft},
		Points: []Point{{ID: "B", To: "P", Run: Run{Length: 9 * ft, Grade: slope.PerFoot(in / 4)}}}})
	f := mustFit(t, l)
	lacks := func(rule, place string, margin units.Length) tables.Finding {
		return tables.Finding{Rule: rule, Place: place, Margin: margin}
	}
	cover, depth := lacks("drain-cover", "A", -2*in+nm), lacks("gravity-depth", "s", -in)
	for _, c := range []struct {
		wrong []tables.Finding
		sys   int32 // -1: something else is wrong
		by    units.Length
	}{
		{[]tables.Finding{depth}, 0, in}, {[]tables.Finding{cover, depth}, 0, 2 * in}, {[]tables.Finding{depth, cover}, 0, 2 * in},
		{[]tables.Finding{lacks("drain-cover", "A+", -in)}, 0, in}, {[]tables.Finding{lacks("gravity-depth", "t", -in)}, 1, in},
		{nil, -1, 0}, {[]tables.Finding{depth, lacks("drain-cover", "B", -in)}, -1, 0},
		{[]tables.Finding{lacks("drain-cover", "B", -in), depth}, -1, 0},
		{[]tables.Finding{lacks("drain-cover", "A", 0)}, -1, 0}, {[]tables.Finding{{Rule: "drain-cover", Place: "A"}}, -1, 0},
		{[]tables.Finding{lacks("drain-cover", "Z", -in)}, -1, 0}, {[]tables.Finding{lacks("sump-inlet", "A", -in)}, -1, 0},
	} {
		if sys, by, ok := f.tooHigh(c.wrong); sys != c.sys || by != c.by || ok != (c.sys >= 0) {
			t.Errorf("%v: system %d by %v, %v; want %d by %v", c.wrong, sys, by, ok, c.sys, c.by)
		}
	}
}

// TestHeld: a change puts A right, leaves B, and is wrong where something fails that did not: by the same rule on
// another side, elsewhere, or by more than it did. What is only asked then, or fails no longer, is settled.
func TestHeld(t *testing.T) {
	f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}}))
	fail := func(rule, place, side string, margin units.Length) tables.Finding {
		return tables.Finding{Rule: rule, Place: place, Side: side, Verdict: tables.Fail, IfConfirmed: tables.Fail, Margin: margin}
	}
	a, b := fail("drain-grade", "A", "", -in), fail("drain-cover", "B", "arm", -in)
	passes, asks := b, b
	passes.Verdict, passes.IfConfirmed = tables.Pass, tables.Pass
	asks.Verdict, asks.IfConfirmed = tables.Ask, 0
	f.base = []tables.Finding{a, b}
	for _, c := range []struct {
		name    string
		found   []tables.Finding
		settles []string
		wrong   int
	}{
		{"nothing else", nil, []string{a.ID(), b.ID()}, 0}, {"B as it was", []tables.Finding{b}, []string{a.ID()}, 0},
		{"B is asked", []tables.Finding{asks}, []string{a.ID(), b.ID()}, 0},
		{"B passes", []tables.Finding{passes}, []string{a.ID(), b.ID()}, 0},
		{"B lacks less", []tables.Finding{fail("drain-cover", "B", "arm", -in/2)}, []string{a.ID()}, 0},
		{"B lacks more", []tables.Finding{fail("drain-cover", "B", "arm", -2*in)}, []string{a.ID()}, 1},
		{"a part of B as it was", []tables.Finding{fail("drain-cover", "B+", "arm", -in)}, []string{a.ID()}, 0},
		{"B on another side", []tables.Finding{b, fail("drain-cover", "B", "", -in)}, []string{a.ID()}, 1},
		{"by another rule", []tables.Finding{b, fail("drain-size", "B", "arm", -in)}, []string{a.ID()}, 1},
		{"elsewhere", []tables.Finding{b, fail("drain-cover", "A", "arm", -in)}, []string{a.ID()}, 1},
		{"a part of A fails still", []tables.Finding{b, fail("drain-grade", "A+", "", -in)}, nil, 1},
	} {
		w, wrong := f.held(&a, "do", f.of, c.found)
		if w.sizing == nil || !slices.Equal(w.Settles, c.settles) || len(wrong) != c.wrong {
			t.Errorf("%s: settles %v, want %v; wrong %v, want %d", c.name, w.Settles, c.settles, wrong, c.wrong)
		}
	}
	if w, _ := f.held(&a, "do", f.of, []tables.Finding{a}); w.sizing != nil {
		t.Error("A fails as it did, and is put right")
	}
}

// TestWorse: a clearance is worse that lacks more than it did; what is no length is not.
func TestWorse(t *testing.T) {
	less, more, none := &tables.Finding{Margin: -in}, &tables.Finding{Margin: -2 * in}, &tables.Finding{}
	for _, c := range []struct {
		now, was *tables.Finding
		want     bool
	}{{more, less, true}, {less, more, false}, {less, less, false}, {more, none, false}, {none, more, false}, {none, none, false}} {
		if got := worse(c.now, c.was); got != c.want {
			t.Errorf("%v after %v: %v", c.now.Margin, c.was.Margin, got)
		}
	}
}

// TestCostOfWays: a question is as dear as an outlet to be lowered, and both are dearer than one.
func TestCostOfWays(t *testing.T) {
	asks := []tables.Finding{{}}
	for want, w := range []Way{{}, {lowered: true}, {lowered: true, Questions: asks}} {
		if got := w.cost(); got != want {
			t.Errorf("%+v: %d, want %d", w, got, want)
		}
	}
	if got := (&Way{Questions: asks}).cost(); got != 1 {
		t.Errorf("a question: %d", got)
	}
}

// TestFixAllPastNoWay: a lavatory into clear water has no way out (see noWay); what stands behind it has, and is put
// right.
func TestFixAllPastNoWay(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/lavatory-in-clear-water.json", code)
	done, _, err := mustSize(t, l, code).FixAll(t.Context(), FitOptions{})
	if err != nil || len(done) != 0 {
		t.Fatalf("%v, %v", done, err)
	}
	pt(l, "A").Run.Grade = slope.PerFoot(in / 16)
	done, s, err := mustSize(t, l, code).FixAll(t.Context(), FitOptions{})
	if err != nil || len(done) != 1 {
		t.Fatalf("%v, %v", done, err)
	}
	for _, f := range problemsOf(t, s) {
		if fails(&f) && f.Rule != "system-apart" {
			t.Error(f)
		}
	}
}

// TestOverInsulation: of a valve that stands over insulation, a length that is asked is its height over that; of the
// sides of the rule, of a valve on none, or of the layout, it is not.
func TestOverInsulation(t *testing.T) {
	for _, c := range []struct {
		p          tables.Finding
		insulation units.Length
		want       bool
	}{
		{tables.Finding{Place: "V", Limit: 6 * in}, in, true}, {tables.Finding{Place: "V", Limit: 6 * in}, 0, false},
		{tables.Finding{Place: "V"}, in, false}, {tables.Finding{Place: "V", Side: "relief", Limit: 6 * in}, in, false},
		{tables.Finding{Place: "s", Limit: 6 * in}, in, false}, {tables.Finding{Place: "s", Limit: count(1)}, in, false},
	} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, nil))
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Valve: &VentValve{Insulation: c.insulation},
			Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		if got := mustFit(t, l).problem(&c.p).overInsulation(); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// TestEnlargeNext: what a run enters is laid larger, if that is no outlet.
func TestEnlargeNext(t *testing.T) {
	f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}}))
	for place, want := range map[string]string{"B": `Lay 4" from A to O.`, "A": ""} {
		got := ""
		if list := enlargeNext(f.problem(&tables.Finding{Rule: "double-fitting", Place: place})); len(list) > 0 {
			got = list[0].do
		}
		if got != want {
			t.Errorf("from %s: %q, want %q", place, got, want)
		}
	}
}

// TestLaidLarger: 3 in runs that are laid in 4 in have cleanouts of 4 in then (IPC 708.4, as large as the pipe), but
// for those whose size nobody states; the outlet grows to 4 in if it is stated as less.
func TestLaidLarger(t *testing.T) {
	for _, outlet := range []units.Length{0, 3 * in, 4 * in, 6 * in} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{Size: 2 * in}},
			Point{ID: "B", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{}},
			Point{ID: "C", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{Size: 6 * in}})
		l.Systems[0].Outlet.Size = outlet
		f := mustFit(t, l)
		c, ok := f.laid(f.of.tree.index["C"], 4*in)
		do := `Lay 4" from C to O.`
		if outlet == 3*in {
			do = `Lay 4" from C to O, the outlet O at 4".`
		}
		if !ok || c.do != do {
			t.Errorf("%q, want %q", c.do, do)
		}
		d := f.with(c)
		want := outlet
		if outlet > 0 {
			want = max(outlet, 4*in)
		}
		if pt(d, "A").Cleanout.Size != 4*in || pt(d, "B").Cleanout.Size != 0 || pt(d, "C").Cleanout.Size != 6*in ||
			pt(d, "A").Run.Size != 4*in || pt(d, "C").Run.Size != 4*in || d.Systems[0].Outlet.Size != want {
			t.Errorf("an outlet of %v: %+v", outlet, d.Systems[0])
		}
	}
}

// TestInSleeve: the drain of 3 in passes the footing in a sleeve two sizes larger, 5 in; what is no footing it does
// not.
func TestInSleeve(t *testing.T) {
	for side, want := range map[string]string{
		"F": `Pass the footing F in a 5" sleeve on the run from A, if its designer agrees.`, "C": "", "none": ""} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}})
		body := Obstacle{ID: "F", Kind: ObstacleFooting, From: Position{Y: 50 * ft}, To: Position{X: 9 * ft, Y: 50 * ft}, Width: ft,
			Top: 99 * ft, Bottom: 98 * ft}
		conduit := body
		conduit.ID, conduit.Kind = "C", ObstacleConduit
		l.Obstacles = []Obstacle{body, conduit}
		f := mustFit(t, l)
		list := inSleeve(f.problem(&tables.Finding{Rule: "obstacle-clearance", Place: "A", Side: side}))
		if got := strings.Join(said(list), " "); got != want {
			t.Errorf("%s: %q, want %q", side, got, want)
			continue
		}
		if want != "" {
			if got := f.with(list[0]).Footings[0]; got.Kind != FootingThrough || got.Run != "A" || got.Bottom != 2*ft || got.Sleeve != 5*in {
				t.Errorf("%+v", got)
			}
		}
	}
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Size: 12 * in}}) // and IPC Table 710.1(1) has one size more, 15 in
	l.Obstacles = []Obstacle{{ID: "F", Kind: ObstacleFooting, From: Position{Y: 50 * ft}, To: Position{X: 9 * ft, Y: 50 * ft},
		Width: ft, Top: 99 * ft, Bottom: 98 * ft}}
	if got := inSleeve(mustFit(t, l).problem(&tables.Finding{Rule: "obstacle-clearance", Place: "A", Side: "F"})); got != nil {
		t.Errorf("%q", said(got))
	}
}

// TestSetFooting: a trench 3 ft off a footing that is 1 in too near goes to 3 ft 1 in; a sleeve becomes the next
// sizes over it, and over the pipe of 3 in where that is the larger.
func TestSetFooting(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}})
	l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "A", Along: ft, Bottom: ft, Sleeve: 2 * in},
		{ID: "G", Kind: FootingBeside, Run: "A", Along: ft, Bottom: ft, Distance: 3 * ft},
		{ID: "H", Kind: FootingThrough, Run: "A", Along: ft, Bottom: ft, Sleeve: 5 * in}}
	f := mustFit(t, l)
	list := setFooting(f.problem(&tables.Finding{Rule: "footing-plane", Place: "G", Margin: -in}))
	if len(list) != 1 || list[0].do != `Move the trench of A 1" farther from G.` || f.with(list[0]).Footings[1].Distance != 3*ft+in {
		t.Errorf("%q", said(list))
	}
	for place, want := range map[string]string{"F": `Set a 4" sleeve at F.`, "H": `Set a 6" sleeve at H.`} {
		p := tables.Finding{Rule: "footing-sleeve", Place: place, Margin: -in}
		if list := setFooting(f.problem(&p)); len(list) != 4 || list[0].do != want {
			t.Errorf("%q, want %q", said(list), want)
		}
		p.Rule, p.Margin = "footing-plane", nil // by how much it is too near nobody knows
		if list := setFooting(f.problem(&p)); len(list) != 4 || list[0].do != want {
			t.Errorf("%q, want %q", said(list), want)
		}
	}
}

// TestLargerArm: the trap and the drawn runs down from it are laid a size larger; what is larger stays, and what is
// not drawn is left to be sized.
func TestLargerArm(t *testing.T) {
	for _, fixture := range []units.Length{0, 3 * in / 2, 3 * in} {
		l := straight(Point{ID: "C", Run: Run{Length: 9 * ft, Size: 4 * in}}, Point{ID: "B", Run: Run{Length: 9 * ft}},
			lavatory("A", Run{Length: 3 * ft, Size: 3 * in / 2}, nil))
		pt(l, "B").Run.Size, pt(l, "A").Fixture.Size = 0, fixture
		f := mustFit(t, l)
		list := largerArm(f.problem(&tables.Finding{Rule: "trap-arm-length", Place: "A"}))
		if len(list) != 2 || list[0].do != `Run the trap of A and its arm in 2".` {
			t.Fatalf("%q", said(list))
		}
		want := fixture
		if fixture > 0 {
			want = max(fixture, 2*in)
		}
		d := f.with(list[0])
		if a := pt(d, "A"); a.Trap.Size != 2*in || a.Fixture.Size != want || a.Run.Size != 2*in || pt(d, "B").Run.Size != 0 ||
			pt(d, "C").Run.Size != 4*in {
			t.Errorf("a fixture of %v: %+v", fixture, d.Systems[0].Points)
		}
	}
}

// TestWhereCleanoutsStop: of thirty runs in a row the nearest two dozen are tried. How near to a junction a cleanout
// stands that is to be near it, a figure of the code says: 10 ft by the UPC (719.2).
func TestWhereCleanoutsStop(t *testing.T) {
	var points []Point
	for k := range 30 {
		points = append(points, Point{ID: fmt.Sprint("P", k), Run: Run{Length: ft}})
	}
	f := mustFit(t, straight(points...))
	if n := len(addCleanout(f.problem(&tables.Finding{Rule: "cleanout-upper-end", Place: "P0"}))); n != 24 {
		t.Errorf("%d cleanouts", n)
	}
	l := straight(Point{ID: "A", Run: Run{Length: 30 * ft}})
	f, err := mustSize(t, mustBuild(t, l), mustCode(t, "upc-2021")).newFit(t.Context(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near := `Set a cleanout on the run from A to O, 20'-0" from A.`
	for _, c := range []struct {
		p    tables.Finding
		want bool
	}{
		{tables.Finding{Rule: "cleanout-junction", Place: "A"}, true}, {tables.Finding{Rule: "cleanout-upper-end", Place: "A"}, false},
		{tables.Finding{Rule: "cleanout-junction", Place: "A", Limit: 20 * ft}, false},
	} {
		if got := said(addCleanout(f.problem(&c.p))); slices.Contains(got, near) != c.want {
			t.Errorf("%+v: %q", c.p, got)
		}
	}
}

// TestHigherStub: a stub that must stand 6 in over the floor is said to; a riser that does not reach that is made
// longer as well, its top with it. The drain starts at 94 ft; its riser of 72 in ends at the floor, one of 78 in 6 in
// over it.
func TestHigherStub(t *testing.T) {
	for _, c := range []struct {
		riser  units.Length
		flat   bool
		longer units.Length // nought: not proposed
	}{{72 * in, false, 6 * in}, {78*in - nm, false, in / 16}, {78 * in, false, 0}, {72 * in, true, 0}} {
		l := straight(Point{ID: "R", Run: Run{Length: c.riser, Vertical: !c.flat}})
		if !c.flat {
			pt(l, "R").Run.Grade = slope.Grade{}
		}
		f := mustFit(t, l)
		list := higherStub(f.problem(&tables.Finding{Rule: "stub-up", Place: "R", Limit: 6 * in, Margin: -in}))
		if len(list) > 1 != (c.longer > 0) || pt(f.with(list[0]), "R").StubUp != 6*in {
			t.Errorf("%+v: %q", c, said(list))
			continue
		}
		if c.longer > 0 {
			if r := pt(f.with(list[1]), "R"); r.Run.Length != c.riser+c.longer || r.StubUp != 6*in {
				t.Errorf("%+v: %q, %+v", c, said(list), r)
			}
		}
	}
	r := &Run{Length: 4 * ft, Top: new(2 * ft)}
	if r.lengthen(in); r.Length != 49*in || *r.Top != 25*in {
		t.Errorf("%v up to %v", r.Length, *r.Top)
	}
	if r.lengthen(-2 * in); r.Length != 47*in || *r.Top != 23*in {
		t.Errorf("%v up to %v", r.Length, *r.Top)
	}
}

// TestGentlerTurn: of the bends of a run those over 45 degrees become two eighth bends; an eighth bend is no sharper.
func TestGentlerTurn(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Fittings: []string{"eighth-bend", "quarter-bend", "sixteenth-bend"}}})
	f := mustFit(t, l)
	list := gentlerTurn(f.problem(&tables.Finding{Rule: "cleanout-turn", Place: "A", Side: "run", Limit: angle(45000)}))
	want := []string{"eighth-bend", "eighth-bend", "eighth-bend", "sixteenth-bend"}
	if got := pt(f.with(list[0]), "A").Run.Fittings; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestChangeOfWhatIsTooFar: of the findings that fail by one rule, each counts for every run down from it, with the most that one
// of them lacks.
func TestChangeOfWhatIsTooFar(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}},
		Point{ID: "C", Run: Run{Length: 9 * ft}})
	pt(l, "C").To = "A"
	f := mustFit(t, l)
	of := func(rule, place string, verdict tables.Verdict, margin units.Length) tables.Finding {
		return tables.Finding{Rule: rule, Place: place, Verdict: verdict, Margin: margin}
	}
	f.base = []tables.Finding{of("branch-drop", "B", tables.Fail, -9*in), of("branch-length", "B", tables.Pass, -9*in),
		{Rule: "branch-length", Place: "B", Verdict: tables.Fail}, of("branch-length", "s", tables.Fail, -9*in),
		of("branch-length", "B", tables.Fail, -in), of("branch-length", "C", tables.Fail, -2*in)}
	far := f.problem(&f.base[4]).tooFar()
	for id, want := range map[string]lack{"A": {2, 2 * in}, "B": {1, in}, "C": {1, 2 * in}} {
		if got := far[f.of.tree.index[id]]; got != want {
			t.Errorf("%s: %+v, want %+v", id, got, want)
		}
	}
}

// TestPastInterceptor: what must not pass the grease interceptor G drains on from where that does: its branch B, or A
// by itself.
func TestPastInterceptor(t *testing.T) {
	for kind, want := range map[string][]string{"oil": nil, "grease": {"Lead the drain from B past the interceptor G, to O.",
		"Lead the drain from A past the interceptor G, to O."}} {
		l := straight(Point{ID: "G", Run: Run{Length: 9 * ft}, Interceptor: &Interceptor{Kind: kind}},
			Point{ID: "B", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil))
		f := mustFit(t, l)
		list := pastInterceptor(f.problem(&tables.Finding{Rule: "grease-interceptor", Place: "A"}))
		if got := said(list); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", kind, got, want)
		}
		if len(list) > 1 && (pt(f.with(list[0]), "B").To != "O" || pt(f.with(list[1]), "A").To != "O") {
			t.Errorf("%s: not led past it", kind)
		}
	}
}

// TestLargerInterceptor: one made for 20 gpm through which 30 come takes one of 30, and holds 2 minutes of that, 60
// gal, if what it holds is stated as less.
func TestLargerInterceptor(t *testing.T) {
	const gal, gpm = units.USGallon, units.USGallonPerMinute
	for holds, want := range map[units.Volume]units.Volume{0: 0, 40 * gal: 60 * gal, 90 * gal: 90 * gal} {
		l := straight(Point{ID: "G", Run: Run{Length: 9 * ft}, Interceptor: &Interceptor{Kind: "oil", Rated: 20 * gpm,
			Inflow: 30 * gpm, Volume: holds, Retention: 2 * units.Minute}})
		f := mustFit(t, l)
		list := largerInterceptor(f.problem(&tables.Finding{Rule: "interceptor-capacity", Place: "G", Value: 30 * gpm, Limit: 20 * gpm}))
		in := pt(f.with(list[0]), "G").Interceptor
		if off := in.Volume - want; in.Rated != 30*gpm || max(off, -off) > gal/100 {
			t.Errorf("one of %v: %+v, want %v", holds, in, want)
		}
	}
}

// TestLoweredInVain: B is laid steeper and comes too near the slab (see TestFixes), which an outlet 1/4 in lower
// mends; where that takes the cleanout with it, so that another thing fails, it is no way out.
func TestLoweredInVain(t *testing.T) {
	for _, spoils := range []bool{false, true} {
		l := sinkLine()
		l.Systems[0].Points[1].Run.Grade = slope.PerFoot(in / 16)
		l.Systems[0].Outlet.Invert = 99*ft + in/8
		l.Systems[0].Points[0].Run.Grade = slope.PerFoot(in / 8)
		l.MinimumCover = 3*in + in/8
		f := mustFit(t, l)
		k := slices.IndexFunc(f.base, func(p tables.Finding) bool { return p.ID() == "drain-grade/B" })
		w, ok := f.verify(&f.base[k], change{do: "Lay B steeper.", edit: func(d *Data) {
			pt(d, "B").Run.Grade = slope.PerFoot(in / 8)
			if spoils && d.Systems[0].Outlet.Invert < 99*ft+in/8 {
				pt(d, "A").Cleanout = nil
			}
		}})
		if ok == spoils || !w.lowered {
			t.Errorf("spoils %v: %+v, %v", spoils, w.Do, ok)
		}
	}
}
