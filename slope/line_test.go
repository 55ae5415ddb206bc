package slope_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func lengths(texts ...string) []units.Length {
	out := make([]units.Length, len(texts))
	for i, s := range texts {
		out[i] = mustLength(s)
	}
	return out
}

// house is worked by hand. Bores and walls are round figures for easy sums.
//
//	outlet                       96 ft 0 in
//	manhole  40 ft at 1/4 in/ft  + 10 in        96 ft 10 in
//	         2 in drop                          97 ft 0 in
//	wye      24 ft at 1/8 in/ft  + 3 in         97 ft 3 in
//	arm      6 ft at 1/4 in/ft   + 1 1/2 in     97 ft 4 1/2 in
func house() slope.Line {
	four, three := slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch / 4},
		slope.Pipe{Bore: 3 * units.Inch, Wall: units.Inch / 4}
	return slope.Line{Outlet: 96 * units.Foot, Reaches: []slope.Reach{
		{Name: "manhole", Run: 40 * units.Foot, Grade: slope.OneIn(48), Pipe: four},
		{Name: "wye", Run: 24 * units.Foot, Grade: slope.OneIn(96), Drop: 2 * units.Inch, Pipe: four},
		{Name: "arm", Run: 6 * units.Foot, Grade: slope.OneIn(48), Pipe: three},
	}}
}

func profile(t *testing.T, l slope.Line) *slope.Profile {
	t.Helper()
	p, err := l.Profile()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestLineByHand(t *testing.T) {
	inverts, err := house().Inverts()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(lengths("96'-10\"", "97'-3\"", "97'-4 1/2\""), inverts); diff != "" {
		t.Errorf("inverts (-want +got):\n%s", diff)
	}
	four, three := house().Reaches[0].Pipe, house().Reaches[2].Pipe
	p := profile(t, house())
	want := []slope.Station{
		{Distance: 0, Leaving: mustLength("96'"), Arriving: mustLength("96'"), Pipe: four},
		{Name: "manhole", Distance: mustLength("40'"), Leaving: mustLength("96'-10\""), Arriving: mustLength("97'"),
			Pipe: four},
		{Name: "wye", Distance: mustLength("64'"), Leaving: mustLength("97'-3\""), Arriving: mustLength("97'-3\""),
			Pipe: four},
		{Name: "arm", Distance: mustLength("70'"), Leaving: mustLength("97'-4 1/2\""),
			Arriving: mustLength("97'-4 1/2\""), Pipe: three},
	}
	if diff := cmp.Diff(want, p.Stations()); diff != "" {
		t.Errorf("stations (-want +got):\n%s", diff)
	}
	if p.Length() != 70*units.Foot {
		t.Errorf("length %v", p.Length())
	}
	for _, tt := range []struct{ at, leaving, arriving string }{
		{"0 ft", "96'", "96'"}, {"10 ft", "96'-2 1/2\"", "96'-2 1/2\""}, {"40 ft", "96'-10\"", "97'"},
		{"48 ft", "97'-1\"", "97'-1\""}, {"70 ft", "97'-4 1/2\"", "97'-4 1/2\""},
	} {
		s, err := p.At(mustLength(tt.at))
		if err != nil || s.Leaving != mustLength(tt.leaving) || s.Arriving != mustLength(tt.arriving) {
			t.Errorf("at %s: %v, %v, %v", tt.at, s.Leaving, s.Arriving, err)
		}
	}
	for _, off := range lengths("-1 in", "70 ft 1 in") {
		if _, err := p.At(off); !errors.Is(err, slope.ErrOffLine) {
			t.Errorf("at %v: %v", off, err)
		}
	}
}

// A drop between two reaches of one grade: 2 1/2 in, 3 in, 2 1/2 in.
func TestLineDropWithinAGrade(t *testing.T) {
	reach := slope.Reach{Run: 10 * units.Foot, Grade: slope.OneIn(48)}
	dropped := reach
	dropped.Drop = 3 * units.Inch
	got, err := slope.Line{Reaches: []slope.Reach{reach, dropped, reach}}.Inverts()
	if diff := cmp.Diff(lengths("2 1/2 in", "8 in", "10 1/2 in"), got); err != nil || diff != "" {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
}

func TestLineEvery(t *testing.T) {
	p := profile(t, house())
	stations, err := p.Every(20 * units.Foot)
	if err != nil {
		t.Fatal(err)
	}
	var at, inverts []units.Length
	for _, s := range stations {
		at, inverts = append(at, s.Distance), append(inverts, s.Leaving)
	}
	if diff := cmp.Diff(lengths("0 ft", "20 ft", "40 ft", "60 ft", "64 ft", "70 ft"), at); diff != "" {
		t.Errorf("distances (-want +got):\n%s", diff)
	}
	// 60 ft is 20 ft past the drop: 97 ft + 2 1/2 in.
	if diff := cmp.Diff(lengths("96'", "96'-5\"", "96'-10\"", "97'-2 1/2\"", "97'-3\"", "97'-4 1/2\""),
		inverts); diff != "" {
		t.Errorf("inverts (-want +got):\n%s", diff)
	}
	if stations[2].Arriving != 97*units.Foot || stations[2].Name != "manhole" {
		t.Errorf("the manhole is %+v", stations[2])
	}
	if _, err := p.Every(0); !errors.Is(err, units.ErrRange) {
		t.Errorf("no interval: %v", err)
	}
	if _, err := p.Every(units.Micrometre); !errors.Is(err, units.ErrRange) {
		t.Errorf("a million stations: %v", err)
	}
	if _, err := p.Every(70 * units.Foot / 2_000_000); !errors.Is(err, units.ErrRange) {
		t.Errorf("two million stations: %v", err)
	}
	empty := profile(t, slope.Line{Outlet: units.Foot})
	if s, err := empty.Every(units.Foot); err != nil || len(s) != 1 || s[0].Leaving != units.Foot {
		t.Errorf("an empty line: %v, %v", s, err)
	}
	if s, err := empty.At(0); err != nil || s.Leaving != units.Foot {
		t.Errorf("an empty line: %v, %v", s, err)
	}
}

func TestStakes(t *testing.T) {
	tests := []struct {
		first, last, interval string
		want                  []units.Length
	}{
		{"0 ft", "60 ft", "25 ft", lengths("0 ft", "25 ft", "50 ft", "60 ft")},
		{"0 ft", "50 ft", "25 ft", lengths("0 ft", "25 ft", "50 ft")},
		{"1010 ft", "1110 ft", "50 ft", lengths("1010 ft", "1050 ft", "1100 ft", "1110 ft")},
		{"-30 ft", "20 ft", "25 ft", lengths("-30 ft", "-25 ft", "0 ft", "20 ft")},
		{"5 ft", "5 ft", "1 ft", lengths("5 ft")},
	}
	for _, tt := range tests {
		got, err := slope.Stakes(mustLength(tt.first), mustLength(tt.last), mustLength(tt.interval))
		if diff := cmp.Diff(tt.want, got); err != nil || diff != "" {
			t.Errorf("%+v: %v (-want +got):\n%s", tt, err, diff)
		}
	}
	if _, err := slope.Stakes(units.Foot, 0, units.Foot); !errors.Is(err, units.ErrRange) {
		t.Errorf("backwards: %v", err)
	}
}

func TestLineFaultsComeTogether(t *testing.T) {
	l := house()
	l.Outlet = math.MaxInt64
	l.Reaches[0].Run = 0
	l.Reaches[1].Grade = slope.OneIn(0)
	l.Reaches[2].Pipe.Wall = -units.Inch
	_, err := l.Profile()
	for _, want := range []string{"outlet: invert", `reach 1 "manhole": run`, `reach 2 "wye": grade`,
		`reach 3 "arm": pipe: wall`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
	if !errors.Is(err, units.ErrRange) || !errors.Is(err, slope.ErrGrade) {
		t.Errorf("%v", err)
	}
	l = slope.Line{Outlet: units.MaxLength, Reaches: []slope.Reach{{Run: units.Foot, Grade: slope.OneIn(48)}}}
	if _, err := l.Inverts(); !errors.Is(err, units.ErrRange) {
		t.Errorf("above the top: %v", err)
	}
}

// A 4 in pipe with a 1/4 in wall, invert 97 ft, under a floor at 100 ft 0 in with
// a 6 in slab, on 4 in of bedding.
func TestLevelsByHand(t *testing.T) {
	pipe := slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch / 4}
	got, err := pipe.Levels(97*units.Foot,
		slope.Surface{Level: 100 * units.Foot, Slab: 6 * units.Inch, Bedding: 4 * units.Inch})
	want := slope.Levels{
		Invert: mustLength("97'"), Springline: mustLength("97'-2\""), Crown: mustLength("97'-4\""),
		Top:    mustLength("97'-4 1/4\""),
		Bottom: mustLength("96'-11 3/4\""), TrenchBottom: mustLength("96'-7 3/4\""),
		InvertDepth: mustLength("3'"), Cover: mustLength("2'-7 3/4\""), SlabClearance: mustLength("2'-1 3/4\""),
		TrenchDepth: mustLength("2'-10 1/4\""),
	}
	if diff := cmp.Diff(want, got); err != nil || diff != "" {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
	if pipe.OutsideDiameter() != mustLength("4 1/2 in") {
		t.Errorf("outside %v", pipe.OutsideDiameter())
	}
	s, err := profile(t, house()).At(40 * units.Foot)
	if err != nil {
		t.Fatal(err)
	}
	if l, err := s.Levels(slope.Surface{Level: 100 * units.Foot}); err != nil ||
		l.InvertDepth != mustLength("3'-2\"") || l.SlabClearance != l.Cover {
		t.Errorf("at the manhole: %+v, %v", l, err)
	}
	for _, bad := range []slope.Surface{{Slab: -1}, {Bedding: -1}, {Level: math.MinInt64}} {
		if _, err := pipe.Levels(0, bad); !errors.Is(err, units.ErrRange) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

func TestJoinRise(t *testing.T) {
	four, two := 4*units.Inch, 2*units.Inch
	for _, tt := range []struct {
		join         slope.Join
		main, branch units.Length
		want         units.Length
	}{
		{slope.AtInvert, four, two, 0}, {slope.AtSpringline, four, two, units.Inch}, {slope.AtCrown, four, two, two},
		{slope.AtSpringline, two, four, -units.Inch}, {slope.AtCrown, four, four, 0}, {slope.AtSpringline, 3, 0, 2},
		{slope.AtSpringline, 5, 0, 2},
	} {
		if got, err := tt.join.Rise(tt.main, tt.branch); err != nil || got != tt.want {
			t.Errorf("%v of %v on %v: %v, %v, want %v", tt.join, tt.branch, tt.main, got, err, tt.want)
		}
	}
	if _, err := slope.Join(9).Rise(four, two); !errors.Is(err, units.ErrRange) {
		t.Errorf("unknown join: %v", err)
	}
	if _, err := slope.AtCrown.Rise(-1, two); !errors.Is(err, units.ErrRange) {
		t.Errorf("negative bore: %v", err)
	}
}

// A 2 in branch joins the house line 52 ft up, where its invert is 97 ft 1 1/2 in
// (12 ft at 1/8 in/ft past the drop): crown to crown it starts 2 in above that,
// and climbs 5 in over 20 ft. A second joins that one at its upper end.
func TestProfilesOfATree(t *testing.T) {
	two := slope.Pipe{Bore: 2 * units.Inch}
	branches := []slope.Branch{
		{Name: "far", Into: 2, At: 20 * units.Foot,
			Line: slope.Line{Reaches: []slope.Reach{{Run: 4 * units.Foot, Grade: slope.OneIn(48), Pipe: two}}}},
		{Name: "house", Into: -1, Line: house()},
		{Name: "near", Into: 1, At: 52 * units.Foot, Join: slope.AtCrown,
			Line: slope.Line{Reaches: []slope.Reach{{Run: 20 * units.Foot, Grade: slope.OneIn(48), Pipe: two}}}},
	}
	profiles, err := slope.Profiles(branches)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		line      int
		at, level string
	}{{1, "52 ft", "97'-1 1/2\""}, {2, "0 ft", "97'-3 1/2\""}, {2, "20 ft", "97'-8 1/2\""},
		{0, "4 ft", "97'-9 1/2\""}} {
		s, err := profiles[tt.line].At(mustLength(tt.at))
		if err != nil || s.Leaving != mustLength(tt.level) {
			t.Errorf("line %d at %s: %v ft, %v, want %s", tt.line, tt.at, s.Leaving.Feet(), err, tt.level)
		}
	}
	// At a manhole with a drop a branch joins the pipe that leaves.
	branches[2].At = 40 * units.Foot
	if profiles, err = slope.Profiles(branches); err != nil {
		t.Fatal(err)
	}
	if s, err := profiles[2].At(0); err != nil || s.Leaving != mustLength("97'") { // 96 ft 10 in and 2 in
		t.Errorf("at the manhole: %v ft, %v", s.Leaving.Feet(), err)
	}
	branches[2].At = 500 * units.Foot
	if _, err := slope.Profiles(branches); !errors.Is(err, slope.ErrOffLine) ||
		!strings.Contains(err.Error(), `line 3 "near": at`) {
		t.Errorf("joined beyond the end: %v", err)
	}
	branches[2].At, branches[2].Into = 0, 0
	if _, err := slope.Profiles(branches); !errors.Is(err, slope.ErrTree) ||
		!strings.Contains(err.Error(), `line 1 "far"`) || !strings.Contains(err.Error(), `line 3 "near"`) {
		t.Errorf("a circle: %v", err)
	}
	branches[2].Into = 3
	if _, err := slope.Profiles(branches); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "line 3 of 3") {
		t.Errorf("one past the last: %v", err)
	}
	branches[2].Into = 7
	if _, err := slope.Profiles(branches); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "line 7 of 3") {
		t.Errorf("no such line: %v", err)
	}
	// A circle is told of beside a line that joins nothing; what joins that is no circle.
	branches = append(branches, slope.Branch{Name: "a", Into: 4}, slope.Branch{Name: "b", Into: 3})
	_, err = slope.Profiles(branches)
	if !errors.Is(err, units.ErrRange) || !errors.Is(err, slope.ErrTree) || !strings.Contains(err.Error(), `"a"`) ||
		!strings.Contains(err.Error(), `"b"`) || strings.Contains(err.Error(), `"far"`) {
		t.Errorf("a circle and no such line: %v", err)
	}
}

// A main may come first, and a branch of no reaches is the point where it would join.
func TestProfilesOfALineThatHasNoReaches(t *testing.T) {
	profiles, err := slope.Profiles([]slope.Branch{{Into: -1, Line: house()},
		{Into: 0, At: 20 * units.Foot, Join: slope.AtCrown, Line: slope.Line{Outlet: units.Foot}}})
	if err != nil {
		t.Fatal(err)
	}
	// 20 ft at 1/4 in/ft, and a bore of 4 in up to the crown.
	if s, err := profiles[1].At(0); err != nil || s.Leaving != mustLength("96'-9\"") {
		t.Errorf("%v ft, %v", s.Leaving.Feet(), err)
	}
}
