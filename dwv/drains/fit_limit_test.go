package drains

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestAllLimits: all limits of a line, one after the other, are those of TestLimits.
func TestAllLimits(t *testing.T) {
	list, err := mustSize(t, sinkLine(), mustCode(t, "ipc-2021")).Limits(t.Context(), FitOptions{})
	if err != nil || len(list) != 6 {
		t.Fatalf("%d limits, %v", len(list), err)
	}
	for k, want := range []struct {
		kind   LimitKind
		place  string
		length units.Length
	}{{HighestOutlet, "soil", 98*ft + 11*in}, {LowestOutlet, "soil", 60 * ft}, {SteepestGrade, "soil", 0},
		{FlattestGrade, "soil", 0}, {FarthestPoint, "B", 26 * ft}, {ThickestSlab, "", 9 * in}} {
		if x := list[k]; x.Kind != want.kind || x.Place != want.place || x.Length != want.length || !x.Found {
			t.Errorf("%+v, want %+v", x, want)
		}
	}
	// A system of which all lies over the floor has no farthest point.
	l := sinkLine()
	for k := range l.Systems[0].Points {
		l.Systems[0].Points[k].AboveFloor = true
	}
	l.Systems[0].Outlet.Invert = 100 * ft
	if list, err := mustSize(t, l, mustCode(t, "ipc-2021")).Limits(t.Context(), FitOptions{}); err != nil || len(list) != 5 {
		t.Errorf("%d limits, %v", len(list), err)
	}
}

// TestNoSlab: with the outlet 4 in over the highest of TestLimits, 98'-11", the crown at B is as high as the cover of
// 2 in lets it under no slab at all. An inch higher it is an inch too high whatever the slab: none is the least bad.
func TestNoSlab(t *testing.T) {
	for _, step := range []units.Length{0, in} {
		for outlet, lacks := range map[units.Length]string{99*ft + 3*in: "", 99*ft + 4*in: `1" too `} {
			l := sinkLine()
			l.Systems[0].Outlet.Invert = outlet
			x, err := mustSize(t, l, mustCode(t, "ipc-2021")).Limit(t.Context(), ThickestSlab, "", FitOptions{Step: step})
			if err != nil || !x.Found || x.Length != 0 || (len(x.Regardless) > 0) != (lacks != "") {
				t.Errorf("an outlet at %v: %+v, %v", outlet, x, err)
			}
			for _, f := range x.Regardless {
				if !strings.Contains(f.Reason, lacks) {
					t.Errorf("an outlet at %v: %v", outlet, f)
				}
			}
		}
	}
}

// TestStepsRefused: a step is a length: not less than nothing, no number without a unit, and no more than there is.
func TestStepsRefused(t *testing.T) {
	s := mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))
	for _, step := range []units.Length{-in, 5, units.MaxLength + 1} {
		if _, err := s.Limit(t.Context(), ThickestSlab, "", FitOptions{Step: step}); !errors.Is(err, units.ErrRange) {
			t.Errorf("a step of %d nm: %v", int64(step), err)
		}
	}
}

// TestTried: a variant is sized with its risers cut, unless they are to stand, and each counts as one layout tried.
func TestTried(t *testing.T) {
	l := sinkLine()
	l.Systems[0].Points[1].Reserved = 0
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Reserved: 4 * dwv.FixtureUnit,
		Run: Run{Length: 20 * in, Vertical: true, Size: 3 * in}})
	told := 0
	f := mustFit(t, l, FitOptions{Tried: func() { told++ }})
	for n, standing := range []bool{false, true} {
		d := f.of.of.Data()
		d.Systems[0].Outlet.Invert += 8 * in
		s, _, err := f.try(d, standing)
		if err != nil {
			t.Fatal(err)
		}
		want := 12 * in
		if standing {
			want = 20 * in
		}
		if got := pt(s.layout, "R").Run.Length; got != want || f.tried != n+1 || told != n+1 {
			t.Errorf("standing %v: a riser of %v, %d tried, %d told", standing, got, f.tried, told)
		}
	}
	q, err := f.question(HighestOutlet, "soil")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.variant(q, int64((101*ft)/f.opt.Step)); !errors.Is(err, errRiser) {
		t.Errorf("an outlet a foot over the floor: %v", err)
	}
}

// TestGradeQuestion: of the ways of the layout that by R is the longest that is laid at a grade: 9 ft and 12 ft
// behind a riser, and 3 ft of trap arm. A step of 1/64 in a foot moves its end by 24/64 in, and a nanometre for
// rounding. The runs at 1/4 have 16 steps; where they differ no one grade is what the layout has.
func TestGradeQuestion(t *testing.T) {
	for _, c := range []struct {
		last units.Length // grade of the last run in a foot
		now  slope.Grade
		n    int64
	}{{in / 4, slope.PerFoot(in / 4), 16}, {in / 2, slope.Grade{}, 0}} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "R", Run: Run{Length: ft, Vertical: true}},
			lavatory("B", Run{Length: 12 * ft}, &Trap{Arm: 3 * ft}), Point{ID: "C", Run: Run{Length: 2 * ft}})
		pt(l, "R").Run.Grade, pt(l, "C").To, pt(l, "C").Run.Grade = slope.Grade{}, "O", slope.PerFoot(c.last)
		f := mustFit(t, l)
		q, err := f.question(SteepestGrade, "s")
		if err != nil {
			t.Fatal(err)
		}
		if q.limit.NowGrade != c.now || q.rate != 24*in/64+nm || c.n > 0 && q.now != c.n {
			t.Errorf("%v: now %v in %d steps, %v a step", c.last, q.limit.NowGrade, q.now, q.rate)
		}
		if q, err = f.question(FarthestPoint, "A"); err != nil || q.now != 9*12*16 || q.limit.Now != 9*ft {
			t.Errorf("%d steps, %v", q.now, err) // of 1/16 in
		}
	}
}

// TestRegardless: what fails of the layout as it is is tried with a step more, seven more and one less, and no
// farther than is looked.
func TestRegardless(t *testing.T) {
	for now, want := range map[int64][]int64{100: {101, 107, 99}, 1: {2, 8, 1}} {
		l := sinkLine()
		l.Systems[0].Points[0].Cleanout = nil // which no length of a run mends
		f := mustFit(t, l)
		q, err := f.question(FarthestPoint, "B")
		if err != nil {
			t.Fatal(err)
		}
		var tried []int64
		vary := q.vary
		q.now, q.vary = now, func(d *Data, k int64) { tried = append(tried, k); vary(d, k) }
		if list, err := f.regardless(q); err != nil || len(list) == 0 || !slices.Equal(tried, want) {
			t.Errorf("from %d: %v tried, %d found, %v", now, tried, len(list), err)
		}
	}
}

// TestLookStaysWithin: no figure beyond the ends of what is looked through is tried.
func TestLookStaysWithin(t *testing.T) {
	f := mustFit(t, sinkLine(), FitOptions{Step: ft, GradeStep: slope.PerFoot(in / 8)})
	for _, kind := range limitKinds() {
		q, err := f.question(kind, map[LimitKind]string{ThickestSlab: "", FarthestPoint: "B"}[kind])
		if kind != ThickestSlab && kind != FarthestPoint {
			q, err = f.question(kind, "soil")
		}
		if err != nil {
			t.Fatal(err)
		}
		vary := q.vary
		q.vary = func(d *Data, k int64) {
			if k < min(q.from, q.to) || k > max(q.from, q.to) {
				t.Errorf("%s: %d is not from %d to %d", kind, k, q.from, q.to)
			}
			vary(d, k)
		}
		if _, _, err := f.look(q, nil); err != nil {
			t.Fatal(err)
		}
	}
}

// TestNoWorse: a fail is excused by one of the same name that lacks as much or more, or that says the same.
func TestNoWorse(t *testing.T) {
	fail := func(place string, margin units.Length) *tables.Finding {
		return &tables.Finding{Rule: "drain-cover", Place: place, Verdict: tables.Fail, Margin: margin, Reason: margin.String()}
	}
	was := fail("A", -in)
	counted := &tables.Finding{Rule: "drain-cover", Place: "A", Verdict: tables.Fail, Margin: count(-1), Reason: "1 too many"}
	for _, c := range []struct {
		now  *tables.Finding
		want bool
	}{{fail("A", -in), true}, {fail("A", -in/2), true}, {fail("A", -2*in), false}, {fail("B", -in/2), false}, {counted, false}} {
		if got := noWorse(c.now, was); got != c.want {
			t.Errorf("%v after %v: %v", c.now, was, got)
		}
	}
	if !noWorse(counted, counted) {
		t.Error("what says the same")
	}
}

// TestStay: of what fails of the layout as it is that stays which fails with every figure, each as it lacks the
// least.
func TestStay(t *testing.T) {
	f := mustFit(t, straight(Point{ID: "A", Run: Run{Length: 9 * ft}}))
	fail := func(place string, margin units.Length) tables.Finding {
		return tables.Finding{Rule: "drain-cover", Place: place, Verdict: tables.Fail, Margin: margin}
	}
	f.base = []tables.Finding{fail("A", -in), fail("B", -in)}
	always := f.stay(nil, []tables.Finding{fail("A", -3*in), fail("B", -in), fail("C", -in)}, true)
	if len(always) != 2 {
		t.Fatalf("%v", always)
	}
	for _, c := range []struct{ now, want units.Length }{{-4 * in, -3 * in}, {-2 * in, -2 * in}, {-3 * in, -2 * in}} {
		always = f.stay(always, []tables.Finding{fail("C", -in), fail("A", c.now)}, false)
		if len(always) != 1 || always[0].Place != "A" || always[0].Margin != c.want {
			t.Errorf("A lacks %v: %v, want %v", -c.now, always, -c.want)
		}
	}
}

// TestNoGradeHowever: 1500 ft at 1/8 in/ft, the least of 3 in, rise 15 ft 7 in: no outlet 10 ft lower makes that do.
func TestNoGradeHowever(t *testing.T) {
	l := sinkLine()
	l.Systems[0].Points[1].Run.Length = 1500 * ft
	x, err := mustSize(t, l, mustCode(t, "ipc-2021")).Limit(t.Context(), FlattestGrade, "soil", FitOptions{})
	if err != nil || x.Found || x.Lower != 0 || len(x.Binds) == 0 {
		t.Errorf("%+v, %v", x, err)
	}
}
