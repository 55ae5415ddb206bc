package draw

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestWayThroughBox: a way that only touches a box, or passes its corner, does not enter it.
func TestWayThroughBox(t *testing.T) {
	b := box{10, 10, 30, 20}
	for _, c := range []struct {
		name string
		p, q spot
		want bool
	}{
		{"across", spot{0, 15}, spot{40, 15}, true},
		{"up", spot{20, 0}, spot{20, 40}, true},
		{"ends inside", spot{0, 15}, spot{11, 15}, true},
		{"wholly inside", spot{15, 12}, spot{25, 18}, true},
		{"ends on the left side", spot{0, 15}, spot{10, 15}, false},
		{"begins on the right side", spot{30, 15}, spot{40, 15}, false},
		{"ends on the top", spot{20, 0}, spot{20, 10}, false},
		{"begins on the bottom", spot{20, 20}, spot{20, 40}, false},
		{"along the top", spot{0, 10}, spot{40, 10}, false},
		{"past the upper left corner", spot{0, 19}, spot{19, 0}, false},    // x + y = 19; the corner has 20
		{"over the upper left corner", spot{0, 21}, spot{21, 0}, true},     // x + y = 21
		{"past the lower right corner", spot{21, 30}, spot{40, 11}, false}, // x + y = 51; the corner has 50
		{"over the lower right corner", spot{19, 30}, spot{40, 9}, true},   // x + y = 49
		// the very corners, which labels keep off: x + y = 20 and 50, y - x = 10, x - y = 20
		{"through the upper left corner", spot{0, 20}, spot{20, 0}, true},
		{"through the lower right corner", spot{20, 30}, spot{40, 10}, true},
		{"through the lower left corner", spot{0, 10}, spot{40, 50}, true},
		{"through the upper right corner", spot{10, -10}, spot{50, 30}, true},
		{"past the lower left corner", spot{0, 11}, spot{40, 51}, false},    // y - x = 11; the corner has 10
		{"over the lower left corner", spot{0, 9}, spot{40, 49}, true},      // y - x = 9
		{"past the upper right corner", spot{10, -11}, spot{50, 29}, false}, // x - y = 21; the corner has 20
		{"over the upper right corner", spot{10, -9}, spot{50, 31}, true},   // x - y = 19
	} {
		if b.met(c.p, c.q) != c.want || b.met(c.q, c.p) != c.want {
			t.Errorf("%s: from %v to %v: %v, want %v", c.name, c.p, c.q, !c.want, c.want)
		}
	}
}

func TestWaysCross(t *testing.T) {
	for _, c := range []struct {
		name       string
		a, b, c, d spot
		want       bool
	}{
		{"a cross", spot{0, 0}, spot{10, 10}, spot{0, 10}, spot{10, 0}, true},
		{"side by side", spot{0, 0}, spot{10, 0}, spot{0, 5}, spot{10, 5}, false},
		{"a tee that ends short", spot{0, 0}, spot{10, 0}, spot{5, 9}, spot{5, 1}, false},
		{"ahead of the end", spot{0, 0}, spot{10, 0}, spot{12, -5}, spot{12, 5}, false},
		{"behind the beginning", spot{0, 0}, spot{10, 0}, spot{-2, -5}, spot{-2, 5}, false},
	} {
		if crosses(c.a, c.b, c.c, c.d) != c.want || crosses(c.d, c.c, c.a, c.b) != c.want {
			t.Errorf("%s: %v, want %v", c.name, !c.want, c.want)
		}
	}
}

// TestRoomTaken: what a box, and a leader, may touch. A line goes down the middle of the sheet, a symbol of
// another stands left of it, and text right of it.
func TestRoomTaken(t *testing.T) {
	const mine, other = 1, 2
	r := newRoom(box{0, 0, 10000, 10000})
	r.addLine(stroke, spot{5000, 0}, spot{5000, 10000}, mine)
	r.add(symbol, box{1000, 1000, 2000, 2000}, other)
	r.add(solid, box{8000, 8000, 9000, 9000}, other)
	for _, c := range []struct {
		name       string
		b          box
		owner, gap int
		own, want  bool
	}{
		{"nothing there", box{6000, 3000, 7000, 4000}, mine, 0, false, true},
		{"over the edge", box{9500, 3000, 10001, 4000}, mine, 0, false, false},
		{"to the very edge", box{9500, 3000, 10000, 4000}, mine, 0, false, true},
		{"on its own line", box{4500, 3000, 5500, 4000}, mine, 0, false, false},
		{"on its own line, if need be", box{4500, 3000, 5500, 4000}, mine, 0, true, true},
		{"on the line of another", box{4500, 3000, 5500, 4000}, other, 0, true, false},
		{"150 from the line of another, which 200 is asked", box{5150, 3000, 5500, 4000}, other, 200, false, false},
		{"250 from it", box{5250, 3000, 5500, 4000}, other, 200, false, true},
		{"150 from its own line", box{5150, 3000, 5500, 4000}, mine, 200, false, true},
		{"on a symbol", box{1900, 1900, 2500, 2500}, other, 0, true, false},
		{"beside a symbol, nearer than lines may be", box{2050, 1900, 2500, 2500}, mine, 200, false, true},
		{"on text", box{8900, 8900, 9500, 9500}, other, 0, true, false},
	} {
		if got := r.free(c.b, c.owner, c.gap, c.own); got != c.want {
			t.Errorf("%s: free %v", c.name, got)
		}
	}
	r.addLine(leader, spot{3000, 4000}, spot{3000, 6000}, other)
	for _, c := range []struct {
		name     string
		p, q     spot
		owner    int
		across   bool
		over     int
		want     bool
		wantOver bool
	}{
		{"nothing there", spot{6000, 3000}, spot{7000, 4000}, mine, false, 0, true, true},
		{"over its own line", spot{4500, 3000}, spot{5500, 4000}, mine, false, 0, true, true},
		{"over the line of another", spot{4500, 3000}, spot{5500, 4000}, other, false, 1, true, true},
		{"through a symbol", spot{500, 1500}, spot{2500, 1500}, mine, false, 0, false, false},
		{"from within a symbol", spot{1500, 1500}, spot{2500, 1500}, mine, false, 0, true, true},
		{"through text", spot{7500, 8500}, spot{9500, 8500}, mine, false, 0, false, false},
		{"from within text", spot{8500, 8500}, spot{9500, 8500}, mine, false, 0, false, false},
		{"over another leader", spot{2500, 5000}, spot{3500, 5000}, mine, false, 0, false, false},
		{"over another leader, if need be", spot{2500, 5000}, spot{3500, 5000}, mine, true, 0, true, true},
		{"beside another leader", spot{3100, 4500}, spot{3100, 5500}, mine, false, 0, true, true},
	} {
		over, ok := r.clear(c.p, c.q, c.owner, c.across)
		if ok != c.want || c.wantOver && over != c.over {
			t.Errorf("%s: clear %v over %d lines", c.name, ok, over)
		}
	}
	for _, c := range []struct {
		name  string
		p, q  spot
		owner int
		want  bool
	}{
		{"on the line", spot{5000, 1000}, spot{5000, 3000}, other, true},
		{"150 beside it", spot{5150, 3000}, spot{5150, 1000}, other, true},
		{"200 beside it", spot{5200, 3000}, spot{5200, 1000}, other, false},
		{"150 beside it on the other side", spot{4850, 1000}, spot{4850, 3000}, other, true},
		{"250 beside it", spot{5250, 1000}, spot{5250, 3000}, other, false},
		{"250 beside it on the other side", spot{4750, 1000}, spot{4750, 3000}, other, false},
		{"on its own line", spot{5000, 1000}, spot{5000, 3000}, mine, false},
		{"across it", spot{4000, 2000}, spot{6000, 2000}, other, false},
		{"on it for 700", spot{5000, -1300}, spot{5000, 700}, other, true},
		{"on it for 500", spot{5000, -1500}, spot{5000, 500}, other, false},
		{"on it for 500 at the far end", spot{5000, 9500}, spot{5000, 11500}, other, false},
		{"on a leader", spot{3000, 4000}, spot{3000, 6000}, mine, false},
	} {
		if got := r.along(c.p, c.q, c.owner); got != c.want {
			t.Errorf("%s: along %v", c.name, got)
		}
	}
}

// TestRoomFarAway: a thing is found in whichever cell of the grid a label looks for it.
func TestRoomFarAway(t *testing.T) {
	r := newRoom(box{1000, 2000, 1000 + 7*cell, 2000 + 3*cell})
	for row := range 3 {
		for column := range 7 {
			at := spot{1000 + column*cell + cell/2, 2000 + row*cell + cell/2}
			if b := around(at, 100); !r.free(b, 0, 0, false) {
				t.Fatalf("row %d, column %d is taken", row, column)
			}
			r.add(solid, around(at, 50), 0)
			if b := around(spot{at.x + 120, at.y}, 100); r.free(b, 0, 0, false) {
				t.Errorf("row %d, column %d: the text there is not seen", row, column)
			}
		}
	}
	r.addLine(stroke, spot{1000, 2000}, spot{1000 + 7*cell, 2000 + 3*cell}, 1) // falls 3 in 7
	for k := range 20 {                                                        // on the line, away from the text
		on := spot{1000 + 7*cell*k/20, 2000 + 3*cell*k/20}
		if b := around(on, 10); r.area.holds(b) && r.free(b, 0, 0, false) {
			t.Errorf("at %v: the line is not seen", on)
		}
	}
}

func TestClip(t *testing.T) {
	lo, hi := flat{20, 0}, flat{60, 40}
	for _, c := range []struct {
		name       string
		p, q, a, b flat
		ok         bool
	}{
		{"slope 1 in 2", flat{0, 0}, flat{100, 50}, flat{20, 10}, flat{60, 30}, true},
		{"the other way", flat{100, 50}, flat{0, 0}, flat{60, 30}, flat{20, 10}, true},
		{"out at the top", flat{30, 20}, flat{50, 60}, flat{30, 20}, flat{40, 40}, true},
		{"in at the bottom", flat{30, -20}, flat{50, 20}, flat{40, 0}, flat{50, 20}, true},
		{"wholly inside", flat{30, 10}, flat{50, 20}, flat{30, 10}, flat{50, 20}, true},
		{"upright on the side", flat{60, -10}, flat{60, 50}, flat{60, 0}, flat{60, 40}, true},
		{"level on the bottom", flat{0, 0}, flat{100, 0}, flat{20, 0}, flat{60, 0}, true},
		{"upright beside it", flat{61, -10}, flat{61, 50}, flat{}, flat{}, false},
		{"level below it", flat{0, -1}, flat{100, -1}, flat{}, flat{}, false},
		{"past a corner", flat{0, 30}, flat{30, 60}, flat{}, flat{}, false}, // v = u + 30: at 20 already 50
		{"short of it", flat{0, 10}, flat{19, 10}, flat{}, flat{}, false},
	} {
		a, b, ok := clip(c.p, c.q, lo, hi)
		if ok != c.ok || ok && (a != c.a || b != c.b) {
			t.Errorf("%s: from %v to %v, %v; want from %v to %v, %v", c.name, a, b, ok, c.a, c.b, c.ok)
		}
	}
}

// TestClipArea: a square that sticks out at a corner keeps a square; a diamond of half diagonal 100 about
// the origin keeps, right of u = 50, a triangle of the corners (50, 50), (100, 0), (50, -50).
func TestClipArea(t *testing.T) {
	square := []flat{{0, 0}, {100, 0}, {100, 100}, {0, 100}}
	for _, c := range []struct {
		name string
		at   []flat
		e    extent
		want []flat
	}{
		{"a corner", square, extent{flat{60, 70}, flat{200, 200}, true}, []flat{{60, 70}, {60, 100}, {100, 70}, {100, 100}}},
		{"the other corner", square, extent{flat{-50, -50}, flat{40, 30}, true}, []flat{{0, 0}, {0, 30}, {40, 0}, {40, 30}}},
		{"all of it", square, extent{flat{0, 0}, flat{100, 100}, true}, square},
		{"none of it", square, extent{flat{101, 0}, flat{200, 100}, true}, nil},
		{"a diamond", []flat{{0, -100}, {100, 0}, {0, 100}, {-100, 0}}, extent{flat{50, -100}, flat{100, 100}, true},
			[]flat{{50, -50}, {50, 50}, {100, 0}}},
	} {
		order := func(a, b flat) int { return int((a.u-b.u)*1000 + a.v - b.v) }
		got, want := slices.Clone(clipArea(c.at, c.e)), slices.Clone(c.want)
		slices.SortFunc(got, order)
		slices.SortFunc(want, order)
		if !slices.Equal(slices.Compact(got), want) {
			t.Errorf("%s: %v, want %v", c.name, got, want)
		}
	}
}

// TestPiecesOutside: a way of 100 through boxes at 20 to 30 and 60 to 80 leaves three pieces.
func TestPiecesOutside(t *testing.T) {
	over := []box{{0, 6, 100, 9}, {20, -5, 30, 5}, {60, -5, 80, 5}}
	at := func(a, b int) [2]spot { return [2]spot{{a, 0}, {b, 0}} }
	for _, c := range []struct {
		a, b int
		want [][2]spot
	}{
		{0, 100, [][2]spot{at(0, 20), at(30, 60), at(80, 100)}},
		{100, 0, [][2]spot{at(100, 80), at(60, 30), at(20, 0)}},
		{25, 70, [][2]spot{at(30, 60)}},
		{31, 59, [][2]spot{at(31, 59)}},
		{62, 78, nil},
	} {
		got := outside(spot{c.a, 0}, spot{c.b, 0}, over)
		if !slices.Equal(got, c.want) {
			t.Errorf("from %d to %d: %v, want %v", c.a, c.b, got, c.want)
		}
	}
}

func TestSpread(t *testing.T) {
	for _, c := range []struct{ from, want []int }{
		{[]int{50}, []int{50}},
		{[]int{20, 50, 80}, []int{20, 50, 80}}, // far enough apart
		{[]int{0, 0, 0}, []int{5, 15, 25}},     // held at the left end
		{[]int{99, 99, 99}, []int{75, 85, 95}}, // held at the right end
		{[]int{40, 42, 44}, []int{40, 50, 60}}, // each moves right of the one before it
		{[]int{10, 90, 91}, []int{10, 85, 95}}, // and left again at the end
	} {
		if got := spread(c.from, 10, 5, 95); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.from, got, c.want)
		}
	}
}

// TestGapInHeights: of heights from 10 to 110, in which nothing lies, 20 are kept: half way up stands half way.
func TestGapInHeights(t *testing.T) {
	g := gap{lo: 10, hi: 110, keep: 20}
	for z, want := range map[int64]int64{0: 0, 10: 10, 60: 20, 85: 25, 110: 30, 150: 70} {
		if got := g.at(z); got != want {
			t.Errorf("at %d: %d, want %d", z, got, want)
		}
	}
	if got := (gap{}).at(70); got != 70 {
		t.Errorf("with no gap: %d", got)
	}
}

// TestFiguresAlongEdges: the least step of one, two or five that takes 30 points, or for heights 20. A
// foot at 1/4 in is 18 points, a metre at 1:50 is 56.7, at 1:1000 2.83; twelve times as high 1:480 makes of a
// foot 21.6, 1:200 of a metre 170, and of a tenth of it 17.
func TestFiguresAlongEdges(t *testing.T) {
	for _, c := range []struct {
		scale  int64
		metric bool
		step   units.Length
		third  string
	}{
		{48, false, 2 * units.Foot, "6'"}, {24, false, units.Foot, "3'"}, {96, false, 5 * units.Foot, "15'"},
		{480, false, 20 * units.Foot, "60'"}, {50, true, units.Metre, "3 m"}, {1000, true, 20 * units.Metre, "60 m"},
	} {
		step, name := steps(c.scale, c.metric, 3000)
		if step != c.step || name(3) != c.third {
			t.Errorf("1:%d: %v, %s; want %v, %s", c.scale, step, name(3), c.step, c.third)
		}
	}
	for _, c := range []struct {
		scale, times int64
		metric       bool
		step         units.Length
		third        string
	}{
		{480, 12, false, units.Foot, "3'"},
		{480, 6, false, 2 * units.Foot, "6'"},
		{72, 10, false, units.Foot, "3'"},        // a foot is 120 points, no more
		{48, 12, false, units.Foot / 10, "0.3'"}, // a foot is 216 points, more than 120
		{200, 12, true, 2 * units.Metre / 10, "0.6 m"},
		{500, 12, true, units.Metre, "3 m"}, // a metre is 68 points
		{1000, 1, true, 10 * units.Metre, "30 m"},
	} {
		step, name := heightStep(c.scale, c.times, c.metric)
		if step != c.step || name(3) != c.third {
			t.Errorf("1:%d, %d times: %v, %s; want %v, %s", c.scale, c.times, step, name(3), c.step, c.third)
		}
	}
	for _, c := range []struct {
		r      ruler
		step   float64
		places int
	}{
		{ruler{0, 76, 20000}, 10, 0},    // ten figures at most, so 7.6 at least
		{ruler{0, 50, 20000}, 5, 0},     // 5 is just enough
		{ruler{0, 0.5, 20000}, 0.05, 2}, // 0.05 is just enough
		{ruler{-5, 15, 20000}, 2, 0},    // 20 over ten figures
		{ruler{0, 1900, 20000}, 200, 0},
	} {
		if step, places := c.r.step(2000); step != c.step || places != c.places {
			t.Errorf("%+v: %g with %d places, want %g with %d", c.r, step, places, c.step, c.places)
		}
	}
	if r := (ruler{-5, 15, 2000}); r.at(-5) != 0 || r.at(0) != 500 || r.at(15) != 2000 {
		t.Errorf("-5, 0 and 15 stand at %d, %d and %d of 2000", r.at(-5), r.at(0), r.at(15))
	}
}

// TestOnPaper: an inch at 1:1 is 72 points; a way back is as long as one forth.
func TestOnPaper(t *testing.T) {
	inch := int64(units.Inch)
	for _, c := range []struct {
		nm, scale int64
		want      int
	}{{inch, 1, 7200}, {-inch, 1, -7200}, {12 * inch, 48, 1800}, {inch / 8, 48, 19}, {-inch / 8, 48, -19}} { // 18.75
		if got := paper(c.nm, c.scale); got != c.want {
			t.Errorf("%d nm at 1:%d: %d, want %d", c.nm, c.scale, got, c.want)
		}
	}
	if got := drawn(1800, 48); got != 12*inch {
		t.Errorf("18 points at 1:48: %d nm, want a foot", got)
	}
	w := window{scale: 48, left: 12 * inch, top: 24 * inch, at: spot{100, 200}}
	if got := w.spot(flat{36 * inch, 12 * inch}); got != (spot{100 + 3600, 200 + 1800}) {
		t.Errorf("two feet right of the edge and one below the top: %v", got)
	}
	for _, c := range []struct {
		scale  int64
		metric bool
		want   string
	}{
		{48, false, `1/4" = 1'-0" (1:48)`}, {192, false, `1/16" = 1'-0" (1:192)`}, {240, false, "1 in = 20 ft (1:240)"},
		{50, true, "1:50"}, {200, true, "1:200"},
	} {
		if got := scaleName(c.scale, c.metric); got != c.want {
			t.Errorf("1:%d: %s, want %s", c.scale, got, c.want)
		}
	}
	for _, list := range [][]int64{scales(true), scales(false)} {
		if !slices.IsSorted(list) {
			t.Errorf("scales are not from large to small: %v", list)
		}
	}
	// 100 in parts of 40 at most, both ends in: three of 34.
	for _, c := range [][3]int64{{100, 40, 34}, {39, 40, 40}, {0, 40, 1}, {80, 40, 27}} {
		if got := evenly(c[0], c[1]); got != c[2] {
			t.Errorf("%d in parts of %d at most: %d, want %d", c[0], c[1], got, c[2])
		}
	}
}

// TestLabelAlongWay: beside a way that is nearly level its label is tried above it, beside one that is nearly
// upright right of it, beside one aslant on the side that it leaves open; first in its middle.
func TestLabelAlongWay(t *testing.T) {
	for _, c := range []struct {
		name string
		b    spot
		side spot
	}{
		{"level", spot{6000, 0}, spot{0, -1}}, {"nearly level", spot{6000, 1400}, spot{0, -1}},
		{"upright", spot{0, 6000}, spot{1, 0}}, {"nearly upright", spot{-1400, 6000}, spot{1, 0}},
		{"down to the right", spot{6000, 1600}, spot{1, -1}}, {"up to the left", spot{-6000, -6000}, spot{1, -1}},
		{"up to the right", spot{6000, -1600}, spot{1, 1}}, {"down to the left", spot{-6000, 6000}, spot{1, 1}},
	} {
		at, first := spotsAlong(spot{}, c.b)
		if compass[first] != c.side || at[0] != (spot{c.b.x / 2, c.b.y / 2}) || len(at) != 5 {
			t.Errorf("%s: side %v first, at %v", c.name, compass[first], at)
		}
	}
	if b := beside(spot{1000, 1000}, spot{1, 0}, 100, 400, 200); b != (box{1100, 900, 1500, 1100}) {
		t.Errorf("right of its place: %v", b)
	}
	if b := beside(spot{1000, 1000}, spot{-1, 1}, 100, 400, 200); b != (box{500, 1070, 900, 1270}) {
		t.Errorf("below to the left of its place: %v", b)
	}
	if b := beside(spot{1000, 1000}, spot{0, -1}, 100, 400, 200); b != (box{800, 700, 1200, 900}) {
		t.Errorf("above its place: %v", b)
	}
}

// TestTextInRoom: a text that is too wide loses its middle, and no more of it than it must; lines are as full
// as they can be. Five figures of 556 thousandths at 6 points are 16.68 wide, the ellipsis 6 (a thousand).
func TestTextInRoom(t *testing.T) {
	if got := width("12345", small, false); got != 1668 {
		t.Errorf("12345 is %d wide", got)
	}
	if got := width("~", 1000, false); got != 584 { // as Helvetica's metrics have it; other signs of Latin take 667
		t.Errorf("~ is %d wide", got)
	}
	for _, text := range []string{"a\tb", "a\nb", "a\rb"} {
		if got := clean(text); got != clean("a b") {
			t.Errorf("%q is drawn as %q", text, got)
		}
	}
	if got := width("12345", small, true); got != 1787 { // 2780 and a fourteenth of it: 2978 x 0.6
		t.Errorf("12345 in bold is %d wide", got)
	}
	for _, c := range []struct {
		room int
		want string
	}{{3336, "0123456789"}, {3335, "0123…6789"}, {3269, "0123…6789"}, {3268, "0123…789"}, {700, "…"}} { // 8 x 333.6 + 600
		if got := fit("0123456789", small, false, c.room); got != c.want {
			t.Errorf("in %d: %q, want %q", c.room, got, c.want)
		}
	}
	for _, c := range []struct {
		room int
		want []string
	}{
		{3503, []string{"12345 6789"}}, // 9 figures and a blank of 278: 5282 x 0.6
		{3169, []string{"12345", "6789"}},
		{1668, []string{"12345", "6789"}},
	} {
		if got := wrap(" 12345  6789 ", small, c.room); !slices.Equal(got, c.want) {
			t.Errorf("in %d: %q, want %q", c.room, got, c.want)
		}
	}
}

// TestNumbersOnPaper: hundredths of a point as the sheet has them.
func TestNumbersOnPaper(t *testing.T) {
	for v, want := range map[int]string{0: "0", 5: "0.05", 50: "0.5", 1234: "12.34", -250: "-2.5", -100: "-1"} {
		if got := string(num(nil, v)); got != want {
			t.Errorf("%d: %s, want %s", v, got, want)
		}
	}
}

// TestListHoldsAll: findings that find no room beside a drawing go on to sheets of their own; each stands
// there once, none twice and none nowhere.
func TestListHoldsAll(t *testing.T) {
	for _, n := range []int{1, 5, 400} {
		sc := &Scene{Marks: []Mark{{ID: "a"}, {ID: "b", At: Point{X: 10 * units.Foot}}}}
		for i := range n {
			sc.Notes = append(sc.Notes, Note{Text: "finding " + strconv.Itoa(1000+i) + " of a long list that says little"})
		}
		sheets, err := Plan(sc, Options{})
		if err != nil || (n > 100) != (len(sheets) > 1) {
			t.Fatalf("%d findings: %d sheets, %v", n, len(sheets), err)
		}
		all := ""
		for _, s := range sheets {
			all += string(s.SVG)
		}
		for i := range n {
			if k := strings.Count(all, ">finding "+strconv.Itoa(1000+i)+" "); k != 1 {
				t.Errorf("of %d findings number %d stands %d times", n, i, k)
			}
		}
		if got := strings.Count(all, "continued on the list sheet"); (n > 100) != (got == 1) {
			t.Errorf("%d findings: %d times told that they go on", n, got)
		}
	}
}

// TestLinesOverOneAnother: three lines from and to the same places, two of group 1 and one of group 2, are three to
// those who go over them: over both others for group 2, over one for group 1, over three for group 3. What may lie on its
// own lines may not where another group has one. A look into their cell is at each of them, and one more.
func TestLinesOverOneAnother(t *testing.T) {
	r := newRoom(box{0, 0, 3000, 3000})
	from, to := spot{100, 700}, spot{1400, 700} // within the first cell
	for _, owner := range []int{1, 1, 2} {
		r.addLine(stroke, from, to, owner)
	}
	for owner, want := range map[int]int{1: 1, 2: 2, 3: 3} {
		if over, ok := r.clear(spot{700, 100}, spot{700, 1300}, owner, false); over != want || !ok {
			t.Errorf("a leader of group %d goes over %d lines, %v; want %d", owner, over, ok, want)
		}
	}
	on := box{600, 600, 800, 800}
	if r.free(on, 1, 0, true) || r.free(on, 2, 0, true) {
		t.Error("a label lies on the line of another group")
	}
	before := r.looks
	if r.free(box{600, 200, 800, 300}, 1, 0, false); before-r.looks != 4 {
		t.Errorf("%d looks, want 3 lines and 1", before-r.looks)
	}
	alone := newRoom(box{0, 0, 3000, 3000})
	alone.addLine(stroke, from, to, 1)
	alone.addLine(stroke, from, to, 1)
	if !alone.free(on, 1, 0, true) || alone.free(on, 1, 0, false) || alone.free(on, 2, 0, true) {
		t.Error("a label may lie on lines of its own, if it asks for that, and on no others")
	}
}
