package slope_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// level is a 4 in pipe, 4 1/2 in outside, with both inverts at one height.
func level(lower, upper slope.Point, invert string) slope.Course {
	return slope.Course{Lower: lower, Upper: upper, LowerInvert: mustLength(invert), UpperInvert: mustLength(invert),
		Pipe: fourInch, Into: -1}
}

// wantConflicts compares all but the words.
func wantConflicts(t *testing.T, what string, got []slope.Conflict, want ...slope.Conflict) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(slope.Conflict{}, "Text"), cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// A main of 30 by 40 ft in plan is 50 ft long and rises 12 1/2 in at 1/4 in/ft. At
// 20 ft, 12 by 16 ft on, its invert is 5 in up, and a 2 in branch at springline
// belongs an inch above that.
func TestConflictJoinsAskew(t *testing.T) {
	main := slope.Course{Name: "main", Lower: pt(10, 20), Upper: pt(40, 60), LowerInvert: mustLength("96'"),
		UpperInvert: mustLength("97'-1/2\""), Pipe: fourInch, Into: -1}
	branch := slope.Course{Lower: pt(22, 36), Upper: pt(2, 51), LowerInvert: mustLength("96'-6\""),
		UpperInvert: mustLength("97'"), Pipe: twoInch, Into: 0, Join: slope.AtSpringline}
	lim := slope.Limits{Meet: units.Inch / 16}
	wantConflicts(t, "good", conflicts(t, []slope.Course{main, branch}, nil, lim))
	low, apart := branch, branch
	low.LowerInvert -= units.Inch / 2
	got := conflicts(t, []slope.Course{main, low}, nil, lim)
	wantConflicts(t, "low", got, slope.Conflict{Kind: slope.JoinsLow, First: 1, At: pt(22, 36), Found: units.Inch / 2,
		Wanted: units.Inch})
	if want := `pipe 2 meets pipe 1 "main" 0.5 in (12.7 mm) too low`; len(got) != 1 || got[0].Text != want {
		t.Errorf("%+v, want %q", got, want)
	}
	apart.Lower = pt(21.6, 36.3) // square to the main, 4 by 3 tenths of a foot
	wantConflicts(t, "apart", conflicts(t, []slope.Course{main, apart}, nil, lim),
		slope.Conflict{Kind: slope.JoinsApart, First: 1, At: pt(21.6, 36.3), Found: 6 * units.Inch})
	// A riser is a point in plan.
	main.Upper, branch.Join, branch.LowerInvert = main.Lower, slope.AtInvert, main.LowerInvert
	for _, c := range []struct {
		y    float64
		want []slope.Conflict
	}{{20, nil}, {20.5, []slope.Conflict{{Kind: slope.JoinsApart, First: 1, At: pt(10, 20.5),
		Found: 6 * units.Inch}}}} {
		branch.Lower = pt(10, c.y)
		wantConflicts(t, "riser", conflicts(t, []slope.Course{main, branch}, nil, lim), c.want...)
	}
}

// Whatever end comes towards the main, and a piece of no length, 12 in from its
// centre 10 ft along, leaves 12 in less 4 1/2.
func TestConflictNearestEnd(t *testing.T) {
	main := level(pt(100, 50), pt(140, 50), "96'")
	tip, far := pt(110, 51), pt(116, 59)
	for _, c := range []struct {
		what   string
		a, b   slope.Course
		at     slope.Point
		wanted units.Length
	}{
		{"upper end", main, level(far, tip, "96'"), pt(110, 50), 8 * units.Inch},
		{"lower end", main, level(tip, far, "96'"), pt(110, 50), 8 * units.Inch},
		{"upper end, main last", level(far, tip, "96'"), main, tip, 8 * units.Inch},
		{"lower end, main last", level(tip, far, "96'"), main, tip, 8 * units.Inch},
		{"a point", main, level(tip, tip, "96'"), pt(110, 50), 8 * units.Inch},
		{"a point, main last", level(tip, tip, "96'"), main, tip, 8 * units.Inch},
		{"two points", level(pt(110, 50), pt(110, 50), "96'"), level(tip, tip, "96'"), pt(110, 50), 8 * units.Inch},
	} {
		wantConflicts(t, c.what, conflicts(t, []slope.Course{c.a, c.b}, nil, slope.Limits{Pipes: c.wanted}),
			slope.Conflict{Kind: slope.TooClose, Second: 1, At: c.at, Found: mustLength("7 1/2 in"), Wanted: c.wanted})
	}
}

// Two branches share a fitting while their ends are no farther apart than half of
// both outside diameters, 2 1/4 and 1 1/4 in. Their centres lie at one height.
func TestConflictWidestFitting(t *testing.T) {
	main := level(pt(0, 0), pt(0, 40), "96'")
	for _, c := range []struct {
		apart string
		want  []slope.Conflict
	}{
		{"3 1/2 in", nil},
		{"3 3/4 in", []slope.Conflict{{Kind: slope.TooClose, First: 1, Second: 2, At: pt(0, 20), Found: units.Inch / 4,
			Wanted: 6 * units.Inch}}},
	} {
		a := level(pt(0, 20), pt(-10, 20), "96'")
		b := level(slope.Point{Y: 20*units.Foot + mustLength(c.apart)},
			slope.Point{X: 10 * units.Foot, Y: 20*units.Foot + mustLength(c.apart)}, "96'-1\"")
		a.Into, b.Into, b.Pipe = 0, 0, twoInch
		wantConflicts(t, c.apart, conflicts(t, []slope.Course{main, a, b}, nil,
			slope.Limits{Pipes: 6 * units.Inch, Meet: units.Inch}), c.want...)
	}
}

// A piece runs on from the main, and a line leans back from its end, 3-4-5: it
// passes the end of the main at 0.8 of the piece. With 7 1/2 in wanted between
// outsides, a piece of 12 in still makes one place of its two fittings.
func TestConflictLongestPiece(t *testing.T) {
	for _, c := range []struct {
		piece string
		want  []slope.Conflict
	}{
		{"12 in", nil},
		{"12 1/2 in", []slope.Conflict{{Kind: slope.TooClose, First: 1, Second: 2, At: pt(40, 0),
			Found: mustLength("5 1/2 in"), Wanted: mustLength("7 1/2 in")}}},
	} {
		end := slope.Point{X: 40*units.Foot + mustLength(c.piece)}
		piece, main, line := level(pt(40, 0), end, "96'"), level(pt(0, 0), pt(40, 0), "96'"),
			level(end, slope.Point{X: end.X - 6*units.Foot, Y: 8 * units.Foot}, "96'")
		piece.Into, line.Into = 1, 0
		wantConflicts(t, c.piece, conflicts(t, []slope.Course{piece, main, line}, nil,
			slope.Limits{Pipes: mustLength("7 1/2 in")}), c.want...)
	}
}

// A strip 2 ft wide and 50 ft long, askew as 3-4-5. Whether a pipe runs along it 3
// ft from its centre line, or across 2 ft beyond an end, 2 ft less 2 1/4 in are free.
func TestConflictStripAskew(t *testing.T) {
	strip := slope.Solid{A: pt(10, 20), B: pt(40, 60), Width: 2 * units.Foot, Top: 98 * units.Foot,
		Bottom: 95 * units.Foot}
	for _, c := range []struct {
		what string
		a, b slope.Point
	}{
		{"left", pt(13.6, 29.8), pt(19.6, 37.8)},
		{"right", pt(18.4, 26.2), pt(24.4, 34.2)},
		{"beyond B", pt(37.2, 64.6), pt(45.2, 58.6)},
		{"beyond A", pt(4.8, 21.4), pt(12.8, 15.4)},
	} {
		got := conflicts(t, []slope.Course{level(c.a, c.b, "96'")}, []slope.Solid{strip},
			slope.Limits{Solids: 2 * units.Foot})
		if len(got) != 1 || got[0].Kind != slope.NearSolid || got[0].Found != mustLength("21 3/4 in") {
			t.Errorf("%s: %+v", c.what, got)
		}
		wantConflicts(t, c.what, conflicts(t, []slope.Course{level(c.a, c.b, "96'")}, []slope.Solid{strip},
			slope.Limits{Solids: mustLength("21 3/4 in")}))
	}
}

// A wall 10 ft long, 4 ft wide and 4 ft high, its top at 100 ft. How far a pipe is
// in it is told from the deepest point of its centre line to the nearest face, and
// half its outside diameter, 2 1/4 in, more.
func TestConflictDepthInSolid(t *testing.T) {
	wall := slope.Solid{A: pt(0, 0), B: pt(10, 0), Width: 4 * units.Foot, Top: 100 * units.Foot,
		Bottom: 96 * units.Foot}
	const middle = "97'-10\"" // the centre 2 in higher, at 98 ft
	for _, c := range []struct {
		what, invert string
		a, b         slope.Point
		want         string
	}{
		{"across, by A", middle, pt(1, -20), pt(1, 20), "-14 1/4 in"},
		{"across, by B", middle, pt(9, -20), pt(9, 20), "-14 1/4 in"},
		{"along, on the left", middle, pt(-20, 1.25), pt(30, 1.25), "-11 1/4 in"},
		{"along, on the right", middle, pt(-20, -1.25), pt(30, -1.25), "-11 1/4 in"},
		{"along, low", "96'-4\"", pt(-20, 0), pt(30, 0), "-8 1/4 in"},
		{"along, high", "99'-4\"", pt(-20, 0), pt(30, 0), "-8 1/4 in"},
		{"on the face", middle, pt(-20, 2), pt(30, 2), "-2 1/4 in"},
		{"ends in it", middle, pt(30, 0), pt(9.5, 0), "-8 1/4 in"},
	} {
		got := conflicts(t, []slope.Course{level(c.a, c.b, c.invert)}, []slope.Solid{wall}, slope.Limits{})
		if len(got) != 1 || got[0].Kind != slope.NearSolid || got[0].Found != mustLength(c.want) {
			t.Errorf("%s: %+v, want %s", c.what, got, c.want)
		}
	}
}

// The trench of a pipe that falls 5 in along a footing is deepest at its lower
// end: 28 1/4 in below, 25 3/4 in out from the edge.
func TestConflictSpreadAlongAFall(t *testing.T) {
	footing := slope.Solid{A: pt(0, 0), B: pt(0, 30), Width: 2 * units.Foot, Top: 98 * units.Foot,
		Bottom: 97 * units.Foot, Spread: slope.OneIn(1)}
	x := 40 * units.Inch
	pipe := slope.Course{Lower: slope.Point{X: x, Y: 5 * units.Foot}, Upper: slope.Point{X: x, Y: 25 * units.Foot},
		LowerInvert: mustLength("95'"), UpperInvert: mustLength("95'-5\""), Pipe: fourInch, Into: -1}
	got := conflicts(t, []slope.Course{pipe}, []slope.Solid{footing}, slope.Limits{Bedding: 4 * units.Inch})
	wantConflicts(t, "falling", got,
		slope.Conflict{Kind: slope.UnderSpread, At: pipe.Lower, Found: mustLength("-2 1/2 in")})
}

// A beam 4 in wide under which one may dig no steeper than one in ten. The trench
// of a 4 in pipe with a wall of 1 in and 12 in of bedding, its invert 2 ft below
// the beam, lies 37 in below it: its side must keep 370 in from the beam, its
// centre 375 in from the centre of the beam. An inch nearer, it cuts a tenth below.
func TestConflictFarFooting(t *testing.T) {
	beam := slope.Solid{A: pt(0, 0), B: pt(0, 30), Width: 4 * units.Inch, Top: -2 * units.Foot, Bottom: -3 * units.Foot,
		Spread: slope.OneIn(10)}
	lim := slope.Limits{Bedding: 12 * units.Inch}
	at := func(x string) slope.Course {
		c := level(slope.Point{X: mustLength(x), Y: 5 * units.Foot}, slope.Point{X: mustLength(x), Y: 25 * units.Foot},
			"-5'")
		c.Pipe.Wall = units.Inch
		return c
	}
	for x, want := range map[string]string{"375 in": "", "-375 in": "", "374 in": "-0.1 in", "-374 in": "-0.1 in"} {
		got := conflicts(t, []slope.Course{at(x)}, []slope.Solid{beam}, lim)
		if want == "" {
			wantConflicts(t, x, got)
		} else if len(got) != 1 || got[0].Kind != slope.UnderSpread || got[0].Found != mustLength(want) {
			t.Errorf("%s: %+v, want %s", x, got, want)
		}
	}
	// A plane as good as level is never out of reach.
	beam.Spread = slope.OneIn(1 << 40)
	if got := conflicts(t, []slope.Course{at("500 ft")}, []slope.Solid{beam}, lim); len(got) != 1 ||
		got[0].Found != -37*units.Inch {
		t.Errorf("under a level plane: %+v", got)
	}
}

// Conflicts come by course, then by kind, then by what it is in conflict with,
// wherever they lie in plan.
func TestConflictOrder(t *testing.T) {
	across := func(x float64) slope.Course { return level(pt(x, -10), pt(x, 10), "96'-6\"") }
	courses := []slope.Course{level(pt(0, 0), pt(40, 0), "96'"), across(30), across(10), across(-9), across(-8.5)}
	solids := []slope.Solid{{A: pt(5, -2), B: pt(5, 2), Width: units.Foot, Top: 97 * units.Foot,
		Bottom: mustLength("96'-6\"")}}
	var got [][3]int
	for _, c := range conflicts(t, courses, solids, slope.Limits{Pipes: 3 * units.Inch, Solids: 3 * units.Inch}) {
		got = append(got, [3]int{c.First, int(c.Kind), c.Second})
	}
	want := [][3]int{{0, int(slope.TooClose), 1}, {0, int(slope.TooClose), 2}, {0, int(slope.NearSolid), 0},
		{3, int(slope.TooClose), 4}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestConflictDoors(t *testing.T) {
	into := main40()
	for n, ok := range map[int]bool{-2: false, -1: true, 0: false, 1: true, 2: false} {
		into.Into = n
		_, err := slope.Conflicts([]slope.Course{into, main40()}, nil, slope.Limits{Meet: 100 * units.Foot})
		if ok != (err == nil) || !ok && !errors.Is(err, units.ErrRange) {
			t.Errorf("into %d of 2: %v", n, err)
		}
	}
	flat := slope.Solid{A: pt(0, 50), B: pt(9, 50), Width: units.Foot, Top: units.Foot, Bottom: units.Foot}
	if got := conflicts(t, []slope.Course{main40()}, []slope.Solid{flat}, slope.Limits{}); len(got) != 0 {
		t.Errorf("a sheet far off: %+v", got)
	}
	far := main40()
	far.LowerInvert = math.MaxInt64
	if _, err := slope.Conflicts([]slope.Course{far}, nil, slope.Limits{}); err == nil ||
		!strings.Contains(err.Error(), "lower invert: out of range: more than 1000 km from zero") {
		t.Errorf("%v", err)
	}
}
