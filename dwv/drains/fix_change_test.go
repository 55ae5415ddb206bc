package drains

import (
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

// TestMoveOutlet: what lacks an inch is put right by an outlet an inch lower, or by half the bore of its 3 in more; a trap
// that hangs an inch too deep by one an inch higher.
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

// TestFlatten: 10 ft of 3 in at 1/4 in/ft fall 2-1/2 in, and half of that at 1/8, the least of its size: 1-1/4 in won. 8 ft
// of 2 in at 3/8 fall 3 in, and 2 at their least of 1/4 (IPC Table 704.1): 1 in won, so they come second. What lies at
// the least already wins nothing.
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

// TestSteeper: by IPC Table 710.1(1) 3 in carries 36 dfu at 1/8 in/ft, 42 at 1/4 and 50 at 1/2: of a run at 1/8 the flattest
// of those that carries its load, and none for a unit more. 4 in is the next size, and carries 180 there.
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

// TestSplit: the run from A, at 12 and 9 ft, to the outlet at 0 and 0 is 15 ft long; 5 ft from A is a third of the way, at
// 8 and 6 ft. What the run has at its lower end goes with the lower part, and so does a footing beyond 5 ft. Without a
// place at either end there is none on the way.
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

// TestLead: a drain led from 3 and 4 ft to a point at 0 and 0 is 5 ft long and lies on its way there; to one at its own
// place, or at none, it stays as it is.
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

// TestFartherVent: the vent of a trap goes farther from it by what lacks: along the arm that the trap has, or along its
// drain; a riser makes no arm longer.
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

// TestNearerVent: the trap of A has an arm of 3 ft that falls 3 in, to the vent at A. What is 1 ft too long, or falls an inch too
// much, at 1 in a foot, is 2 ft and falls 2 in with the vent a foot nearer. Of all the arm nothing can be taken.
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
// below B, 4 ft nearer at B itself, 5 ft nearer 2 ft below A, 7 ft nearer at A; no vent is 8 ft nearer, or on a riser.
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

// TestBeforeTurn: the vent of an arm is taken off where a run of it begins, and between the bends of a run that is longer
// than two steps, here of a foot each.
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

// TestTurnsDownLess: an island vent that ends in a riser of 5 ft comes down 2 ft less and ends where it did; a riser that
// is no longer than that is left, and so is a last run that lies flat.
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

// TestShortenBranch: an appliance 10 mm too far is brought nearer on a run that is longer than that, and no run is taken
// away whole; one that drops too much drops less where its run does, or hangs on a shorter riser.
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

// TestFartherFromFoot: a branch that joins 1 in too near is led 1 in down the next run, if that is longer, no riser, and
// there is one.
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
