package slope_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func pt(x, y float64) slope.Point { return slope.Point{X: units.Feet(x), Y: units.Feet(y)} }

var (
	fourInch = slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch / 4} // 4 1/2 in outside
	twoInch  = slope.Pipe{Bore: 2 * units.Inch, Wall: units.Inch / 4} // 2 1/2 in outside
)

// main40 runs 40 ft along X, from invert 96 ft up at 1/4 in/ft to 96 ft 10 in.
func main40() slope.Course {
	return slope.Course{Name: "main", Lower: pt(0, 0), Upper: pt(40, 0), LowerInvert: 96 * units.Foot,
		UpperInvert: mustLength("96'-10\""), Pipe: fourInch, Into: -1}
}

func conflicts(t *testing.T, courses []slope.Course, solids []slope.Solid, lim slope.Limits) []slope.Conflict {
	t.Helper()
	got, err := slope.Conflicts(courses, solids, lim)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestConflictJoins(t *testing.T) {
	// At 20 ft the main's invert is 96 ft 5 in; a 2 in branch at springline belongs
	// an inch above it.
	branch := slope.Course{Name: "branch", Lower: pt(20, 0), Upper: pt(20, 15), LowerInvert: mustLength("96'-6\""),
		UpperInvert: mustLength("97'"), Pipe: twoInch, Into: 0, Join: slope.AtSpringline}
	lim := slope.Limits{Meet: units.Inch / 16}
	if got := conflicts(t, []slope.Course{main40(), branch}, nil, lim); len(got) != 0 {
		t.Errorf("a good join: %v", got)
	}
	low, high, apart, within := branch, branch, branch, branch
	low.LowerInvert = mustLength("96'-5 1/2\"")
	high.LowerInvert = mustLength("96'-9\"")
	apart.Lower = pt(20, 0.5)
	within.LowerInvert = mustLength("96'-6 1/16\"")
	got := conflicts(t, []slope.Course{main40(), low, high, apart, within}, nil, slope.Limits{Meet: units.Inch / 16})
	var joins []slope.Conflict
	for _, c := range got {
		if c.Kind != slope.TooClose { // they share a place
			joins = append(joins, c)
		}
	}
	want := []slope.Conflict{
		{Kind: slope.JoinsLow, First: 1, Second: 0, At: pt(20, 0), Found: units.Inch / 2, Wanted: units.Inch},
		{Kind: slope.JoinsHigh, First: 2, Second: 0, At: pt(20, 0), Found: 4 * units.Inch, Wanted: units.Inch},
		{Kind: slope.JoinsApart, First: 3, Second: 0, At: pt(20, 0.5), Found: 6 * units.Inch},
	}
	if diff := cmp.Diff(want, joins, cmpopts.IgnoreFields(slope.Conflict{}, "Text")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for i, text := range []string{`pipe 2 "low" meets`, "3 in (76.2 mm) too high", "ends 6 in (152.4 mm) away"} {
		text = strings.Replace(text, `"low"`, `"branch"`, 1)
		if !strings.Contains(joins[i].Text, text) {
			t.Errorf("%q has no %q", joins[i].Text, text)
		}
	}
	// At the upper end of a main the branch runs on.
	on := slope.Course{Name: "on", Lower: pt(40, 0), Upper: pt(60, 0), LowerInvert: mustLength("96'-10\""),
		UpperInvert: mustLength("97'-3\""), Pipe: fourInch, Into: 0}
	if got := conflicts(t, []slope.Course{main40(), on}, nil, lim); len(got) != 0 {
		t.Errorf("a line that runs on: %v", got)
	}
}

// At 20 ft the main has its invert at 96 ft 5 in and its centre 2 in higher. A
// level 2 in pipe crosses there with its invert at 97 ft, its centre an inch
// higher: 6 in plumb between centres, square to the main 6 in times
// cos(atan 1/48), less half of each outside diameter.
func TestConflictCrossing(t *testing.T) {
	cross := slope.Course{Name: "cross", Lower: pt(20, -10), Upper: pt(20, 10), LowerInvert: 97 * units.Foot,
		UpperInvert: 97 * units.Foot, Pipe: twoInch, Into: -1}
	free := 6*math.Cos(math.Atan(1.0/48)) - 2.25 - 1.25
	got := conflicts(t, []slope.Course{main40(), cross}, nil, slope.Limits{Pipes: 3 * units.Inch})
	if len(got) != 1 || got[0].Kind != slope.TooClose || math.Abs(got[0].Found.Inches()-free) > 4e-5 {
		t.Fatalf("got %+v, want %v in", got, free)
	}
	if x := got[0].At; math.Abs(x.X.Feet()-20) > 0.02 || x.Y != 0 {
		t.Errorf("at %v", x)
	}
	if got := conflicts(t, []slope.Course{main40(), cross}, nil,
		slope.Limits{Pipes: mustLength("2 7/16 in")}); len(got) != 0 {
		t.Errorf("with room to spare: %v", got)
	}
	// Lower it by 5 in and the two collide.
	cross.LowerInvert -= 5 * units.Inch
	cross.UpperInvert -= 5 * units.Inch
	got = conflicts(t, []slope.Course{main40(), cross}, nil, slope.Limits{})
	if len(got) != 1 || got[0].Found >= 0 {
		t.Errorf("a collision: %+v", got)
	}
}

func TestConflictParallel(t *testing.T) {
	// A foot apart on centres, less 4 1/2 in, leaves 7 1/2 in.
	beside := main40()
	beside.Name = "beside"
	beside.Lower.Y, beside.Upper.Y = units.Foot, units.Foot
	if got := conflicts(t, []slope.Course{main40(), beside}, nil,
		slope.Limits{Pipes: mustLength("7 1/2 in")}); len(got) != 0 {
		t.Errorf("just enough: %v", got)
	}
	got := conflicts(t, []slope.Course{main40(), beside}, nil, slope.Limits{Pipes: mustLength("7 9/16 in")})
	if len(got) != 1 || got[0].Found != mustLength("7 1/2 in") {
		t.Errorf("a sixteenth short: %+v", got)
	}
	// End to end, 6 ft on: 72 in less two round ends.
	after := main40()
	after.Lower.X, after.Upper.X, after.LowerInvert, after.UpperInvert = 46*units.Foot, 50*units.Foot,
		mustLength("96'-10\""), mustLength("96'-10\"")
	if got := conflicts(t, []slope.Course{main40(), after}, nil, slope.Limits{Pipes: 6 * units.Foot}); len(got) != 1 ||
		got[0].Found != mustLength("67 1/2 in") {
		t.Errorf("end to end: %+v", got)
	}
}

// Pipes that meet at fittings close together are not called too close.
func TestConflictSharedFittings(t *testing.T) {
	invert := func(c *slope.Course, in string) {
		c.LowerInvert, c.UpperInvert = mustLength(in), mustLength(in)
	}
	a := slope.Course{Name: "left", Lower: pt(20, 0), Upper: pt(20, 10), Pipe: fourInch, Into: 0}
	b := slope.Course{Name: "right", Lower: pt(20, 0), Upper: pt(20, -10), Pipe: fourInch, Into: 0}
	piece := slope.Course{Name: "piece", Lower: pt(40, 0), Upper: pt(40.5, 0), Pipe: fourInch, Into: 0}
	end := slope.Course{Name: "end", Lower: pt(40.5, 0), Upper: pt(40.5, 10), Pipe: fourInch, Into: 3}
	invert(&a, "96'-5\"")
	invert(&b, "96'-5\"")
	invert(&piece, "96'-10\"")
	invert(&end, "96'-10\"")
	if got := conflicts(t, []slope.Course{main40(), a, b, piece, end}, nil,
		slope.Limits{Pipes: 6 * units.Inch}); len(got) != 0 {
		t.Errorf("%v", got)
	}
	// Nor does it matter in which order they come.
	end.Into, piece.Into = 1, 2
	if got := conflicts(t, []slope.Course{end, piece, main40()}, nil,
		slope.Limits{Pipes: 6 * units.Inch}); len(got) != 0 {
		t.Errorf("%v", got)
	}
	// Two branches of one main 4 in apart are too close, not joined.
	b.Lower, b.Upper = pt(20, 0), pt(20.4, 10)
	b.Lower.X += 5 * units.Inch
	b.LowerInvert = mustLength("96'-5.104166666 in")
	b.UpperInvert = b.LowerInvert
	if got := conflicts(t, []slope.Course{main40(), a, b}, nil,
		slope.Limits{Pipes: 6 * units.Inch, Meet: units.Inch}); len(got) != 1 || got[0].Kind != slope.TooClose {
		t.Errorf("%v", got)
	}
}

// A thickened edge, 2 ft wide along Y at X = 10 ft, from 98 ft down to 97 ft. The
// main comes nearest to its lower edge towards the upper end, at 11 ft: there its
// centre lies at 96 ft + 2 3/4 in + 2 in, 7 1/4 in plumb below the edge. Square to
// the pipe that is 7 1/4 in times cos(atan 1/48), and the barrel takes 2 1/4 in.
func TestConflictSolid(t *testing.T) {
	edge := slope.Solid{Name: "edge", A: pt(10, -5), B: pt(10, 5), Width: 2 * units.Foot, Top: 98 * units.Foot,
		Bottom: 97 * units.Foot}
	free := 7.25*math.Cos(math.Atan(1.0/48)) - 2.25
	got := conflicts(t, []slope.Course{main40()}, []slope.Solid{edge}, slope.Limits{Solids: 6 * units.Inch})
	if len(got) != 1 || got[0].Kind != slope.NearSolid || math.Abs(got[0].Found.Inches()-free) > 4e-5 ||
		math.Abs(got[0].At.X.Inches()-132-7.25/48) > 1e-2 || got[0].Wanted != 6*units.Inch {
		t.Errorf("%+v", got)
	}
	if got := conflicts(t, []slope.Course{main40()}, []slope.Solid{edge},
		slope.Limits{Solids: mustLength("4.998 in")}); len(got) != 0 {
		t.Errorf("just enough: %v", got)
	}
	// Beside it: a pipe along Y at X = 13 ft passes 2 ft from its face.
	beside := slope.Course{Name: "beside", Lower: pt(13, -20), Upper: pt(13, 20), LowerInvert: mustLength("97'-4\""),
		UpperInvert: mustLength("97'-4\""), Pipe: fourInch, Into: -1}
	if got := conflicts(t, []slope.Course{beside}, []slope.Solid{edge},
		slope.Limits{Solids: 2 * units.Foot}); len(got) != 1 || got[0].Found != mustLength("21 3/4 in") {
		t.Errorf("beside: %+v", got)
	}
	if got := conflicts(t, []slope.Course{beside}, []slope.Solid{edge},
		slope.Limits{Solids: mustLength("21 3/4 in")}); len(got) != 0 {
		t.Errorf("beside, just enough: %v", got)
	}
	// Through it.
	beside.Lower.X, beside.Upper.X = 10*units.Foot, 10*units.Foot
	if got := conflicts(t, []slope.Course{beside}, []slope.Solid{edge}, slope.Limits{}); len(got) != 1 ||
		got[0].Found >= 0 {
		t.Errorf("through: %+v", got)
	}
	// A square pad, given as a point.
	pad := slope.Solid{A: pt(20, 3), B: pt(20, 3), Width: 2 * units.Foot, Top: 98 * units.Foot, Bottom: 96 * units.Foot}
	if got := conflicts(t, []slope.Course{main40()}, []slope.Solid{pad},
		slope.Limits{Solids: 2 * units.Foot}); len(got) != 1 || got[0].Found != mustLength("21 3/4 in") {
		t.Errorf("pad: %+v", got)
	}
	// The pad spans 1 ft to each side of its point: a pipe along Y at 23 ft, and one
	// at 17 ft, both keep 2 ft less the radius.
	for _, x := range []float64{17, 23} {
		by := slope.Course{Lower: pt(x, -20), Upper: pt(x, 20), LowerInvert: 97 * units.Foot,
			UpperInvert: 97 * units.Foot, Pipe: fourInch, Into: -1}
		if got := conflicts(t, []slope.Course{by}, []slope.Solid{pad},
			slope.Limits{Solids: 2 * units.Foot}); len(got) != 1 || got[0].Found != mustLength("21 3/4 in") {
			t.Errorf("pad from %v ft: %+v", x, got)
		}
	}
}

// A footing 2 ft wide with its bottom at 97 ft. The trench bottom of a level pipe
// at invert 95 ft with 4 in of bedding lies 2 ft 4 1/4 in below; at 45 degrees the
// near side of the barrel must keep as far out from the edge.
func TestConflictSpread(t *testing.T) {
	footing := slope.Solid{Name: "footing", A: pt(0, 0), B: pt(0, 30), Width: 2 * units.Foot, Top: 98 * units.Foot,
		Bottom: 97 * units.Foot, Spread: slope.OneIn(1)}
	lim := slope.Limits{Bedding: 4 * units.Inch}
	at := func(x string) slope.Course {
		d := mustLength(x)
		return slope.Course{Lower: slope.Point{X: d, Y: 5 * units.Foot}, Upper: slope.Point{X: d, Y: 25 * units.Foot},
			LowerInvert: 95 * units.Foot, UpperInvert: 95 * units.Foot, Pipe: fourInch, Into: -1}
	}
	// Centre at 1 ft + 28 1/4 in + 2 1/4 in = 42 1/2 in.
	if got := conflicts(t, []slope.Course{at("42 1/2 in")}, []slope.Solid{footing}, lim); len(got) != 0 {
		t.Errorf("on the plane: %v", got)
	}
	got := conflicts(t, []slope.Course{at("40 in")}, []slope.Solid{footing}, lim)
	if len(got) != 1 || got[0].Kind != slope.UnderSpread || got[0].Found != mustLength("-2 1/2 in") {
		t.Errorf("below the plane: %+v", got)
	}
	footing.Spread = slope.Grade{}
	if got := conflicts(t, []slope.Course{at("40 in")}, []slope.Solid{footing}, lim); len(got) != 0 {
		t.Errorf("no plane: %v", got)
	}
}

func TestConflictFaultsComeTogether(t *testing.T) {
	bad := main40()
	bad.Into, bad.Join, bad.Pipe.Bore, bad.LowerInvert = 0, 9, 0, math.MaxInt64
	_, err := slope.Conflicts([]slope.Course{bad},
		[]slope.Solid{{Name: "s", Bottom: units.Foot, Spread: slope.OneIn(-1)}}, slope.Limits{Pipes: -1})
	for _, want := range []string{"limits: pipes", `pipe 1 "main": into`, `pipe 1 "main": out of range: join 9`,
		`pipe 1 "main": bore`, `pipe 1 "main": lower invert`, `solid 1 "s": width`, `solid 1 "s": top`,
		`solid 1 "s": spread`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
	if !errors.Is(err, units.ErrRange) {
		t.Errorf("%v", err)
	}
}

// Among many pipes the sweep finds what measuring every pair finds, each once.
func TestConflictSweepMissesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	lim := slope.Limits{Pipes: 4 * units.Inch}
	for range 6 {
		var courses []slope.Course
		for range 30 {
			a := pt(r.Float64()*60, r.Float64()*60)
			b := slope.Point{X: a.X + units.Feet(r.Float64()*20-10), Y: a.Y + units.Feet(r.Float64()*20-10)}
			courses = append(courses,
				slope.Course{Lower: a, Upper: b, LowerInvert: units.Feet(r.Float64() * 3),
					UpperInvert: units.Feet(r.Float64() * 3), Pipe: fourInch, Into: -1})
		}
		want := map[string]units.Length{}
		for i := range courses {
			for j := i + 1; j < len(courses); j++ {
				for _, c := range conflicts(t, []slope.Course{courses[i], courses[j]}, nil, lim) {
					want[fmt.Sprint(i, j)] = c.Found
				}
				// By sampling: no two points may be nearer than what was found.
				if d := sampled(courses[i], courses[j]); d < units.Inch*17/2-units.Inch/100 {
					if f, ok := want[fmt.Sprint(i, j)]; !ok || f > d-mustLength("4 1/2 in")+units.Micrometre {
						t.Fatalf("pipes %d and %d come within %v in, found %v in", i, j, d.Inches(), f.Inches())
					}
				}
			}
		}
		got := map[string]units.Length{}
		for _, c := range conflicts(t, courses, nil, lim) {
			got[fmt.Sprint(c.First, c.Second)] = c.Found
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("(-pairs +sweep):\n%s", diff)
		}
	}
}

// sampled is the least distance between points on two centre lines.
func sampled(a, b slope.Course) units.Length {
	const n = 40
	at := func(c slope.Course, i int) (x, y, z float64) {
		t := float64(i) / n
		x = c.Lower.X.Inches() + t*(c.Upper.X-c.Lower.X).Inches()
		y = c.Lower.Y.Inches() + t*(c.Upper.Y-c.Lower.Y).Inches()
		return x, y, c.LowerInvert.Inches() + t*(c.UpperInvert-c.LowerInvert).Inches()
	}
	least := math.Inf(1)
	for i := range n + 1 {
		x, y, z := at(a, i)
		for j := range n + 1 {
			u, v, w := at(b, j)
			least = min(least, math.Sqrt((x-u)*(x-u)+(y-v)*(y-v)+(z-w)*(z-w)))
		}
	}
	return units.Inches(least)
}

// A 12 in rough-in off 1/2 in board on a 3 1/2 in stud wall: 12 1/2 in from the
// face of the stud, 14 1/4 in from its centre, 16 in from the far face.
func TestStubUps(t *testing.T) {
	for _, tt := range []struct {
		line slope.WallLine
		side slope.Side
		want string
	}{
		{slope.WallLeftFace, slope.Left, "12 1/2 in"}, {slope.WallCentre, slope.Left, "14 1/4 in"},
		{slope.WallRightFace, slope.Left, "16 in"},
		{slope.WallLeftFace, slope.Right, "16 1/8 in"}, {slope.WallCentre, slope.Right, "14 3/8 in"},
		{slope.WallRightFace, slope.Right, "12 5/8 in"},
	} {
		w := slope.Wall{A: pt(10, 10), B: pt(30, 10), Line: tt.line, Frame: mustLength("3 1/2 in"),
			FinishLeft: mustLength("1/2 in"), FinishRight: mustLength("5/8 in")}
		got, err := w.FromLine(tt.side, 12*units.Inch)
		if err != nil || got != mustLength(tt.want) {
			t.Errorf("%+v: %v in, %v", tt, got.Inches(), err)
		}
		p, err := w.StubUp(3*units.Foot, tt.side, 12*units.Inch)
		out := mustLength(tt.want)
		if tt.side == slope.Right {
			out = -out
		}
		if want := (slope.Point{X: 13 * units.Foot, Y: 10*units.Foot + out}); err != nil || p != want {
			t.Errorf("%+v: at %v, %v, want %v", tt, p, err, want)
		}
	}
	w := slope.Wall{A: pt(0, 0), B: pt(0, 10), Frame: 4 * units.Inch}
	// Facing up, left is towards smaller X; walked the other way it is the right.
	if p, err := w.StubUp(2*units.Foot, slope.Left, 10*units.Inch); err != nil || p != pt(-1, 2) {
		t.Errorf("%v, %v", p, err)
	}
	w.A, w.B = w.B, w.A
	if p, err := w.StubUp(8*units.Foot, slope.Right, 10*units.Inch); err != nil || p != pt(-1, 2) {
		t.Errorf("%v, %v", p, err)
	}
	// A 3-4-5 wall: 10 ft along it are 6 and 8 ft; left of it by 5 ft, -4 and 3 ft.
	w = slope.Wall{A: pt(1, 1), B: pt(4, 5)}
	if p, err := w.StubUp(10*units.Foot, slope.Left, 5*units.Foot); err != nil || p != pt(3, 12) {
		t.Errorf("%v, %v", p, err)
	}
	for _, tt := range []struct {
		line slope.WallLine
		want string
		side slope.Side
	}{{slope.WallCentre, "0 in", slope.Left}, {slope.WallLeftFace, "2 in", slope.Right},
		{slope.WallRightFace, "2 in", slope.Left}} {
		if d, side, err := (slope.Wall{Line: tt.line, Frame: 4 * units.Inch}).InWall(); err != nil ||
			d != mustLength(tt.want) || side != tt.side {
			t.Errorf("in the wall from %v: %v, %v, %v", tt.line, d, side, err)
		}
	}
	_, err1 := slope.Wall{}.StubUp(0, slope.Left, 0)
	_, err2 := slope.Wall{Line: 9}.FromLine(slope.Left, 0)
	_, err3 := slope.Wall{}.FromLine(9, 0)
	_, err4 := slope.Wall{Frame: -1}.FromLine(slope.Left, 0)
	_, _, err5 := slope.Wall{Line: 9}.InWall()
	_, _, err6 := slope.Wall{Frame: -1}.InWall()
	for i, err := range []error{err1, err2, err3, err4, err5, err6} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("refusal %d: %v", i+1, err)
		}
	}
}

// TestConflictsStop: of 60 pipes side by side, each within an inch of each, every two are measured, 1770 in all, so
// that it is asked twice whether to go on; before that once for pipes met, pipes checked and solids checked each, if
// there are any.
func TestConflictsStop(t *testing.T) {
	var pipes []slope.Course
	for i := range 60 {
		pipes = append(pipes, slope.Course{Name: fmt.Sprint("P", i), Upper: slope.Point{X: 9 * units.Foot, Y: units.Length(i)},
			Lower: slope.Point{Y: units.Length(i)}, Pipe: slope.Pipe{Bore: 3 * units.Inch}, Into: -1})
	}
	lim := slope.Limits{Pipes: units.Inch}
	want, err1 := slope.Conflicts(pipes, nil, lim)
	whole := patience.Of(1 << 40)
	got, err2 := slope.ConflictsContext(whole, pipes, nil, lim)
	if err := errors.Join(err1, err2); err != nil || len(want) != 1770 || !slices.Equal(want, got) {
		t.Fatalf("%d conflicts, %d within a context: %v", len(want), len(got), err)
	}
	said := []string{"0 of 60 pipes checked", "0 of 60 pipes met", "1 of 60 pipes and solids", "45 of 60 pipes and solids"}
	if whole.Asked() != int64(len(said)) {
		t.Errorf("asked %d times", whole.Asked())
	}
	for after, how := range said {
		got, err := slope.ConflictsContext(patience.Of(int64(after)), pipes, nil, lim)
		if text := fmt.Sprintf("conflicts: stopped after %s: context canceled", how); got != nil ||
			!errors.Is(err, context.Canceled) || err.Error() != text {
			t.Errorf("%v, want %s", err, text)
		}
	}
	late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer stop()
	if _, err := slope.ConflictsContext(late, pipes, nil, lim); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after its deadline: %v", err)
	}
}
