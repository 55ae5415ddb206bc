package draw

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestBoxes: boxes that share an edge do not meet; a box holds itself, and none that sticks out by a hair.
func TestBoxes(t *testing.T) {
	b := box{10, 20, 30, 40}
	for _, c := range []struct {
		name         string
		other        box
		meets, holds bool
	}{
		{"itself", b, true, true},
		{"within", box{11, 21, 29, 39}, true, true},
		{"on its right edge", box{30, 20, 50, 40}, false, false}, {"a hair over it", box{29, 20, 50, 40}, true, false},
		{"on its left edge", box{0, 20, 10, 40}, false, false}, {"a hair over it", box{0, 20, 11, 40}, true, false},
		{"on its upper edge", box{10, 0, 30, 20}, false, false}, {"a hair over it", box{10, 0, 30, 21}, true, false},
		{"on its lower edge", box{10, 40, 30, 60}, false, false}, {"a hair over it", box{10, 39, 30, 60}, true, false},
		{"out at the left", box{9, 20, 30, 40}, true, false}, {"out at the top", box{10, 19, 30, 40}, true, false},
		{"out at the right", box{10, 20, 31, 40}, true, false}, {"out at the bottom", box{10, 20, 30, 41}, true, false},
	} {
		if b.meets(c.other) != c.meets || c.other.meets(b) != c.meets || b.holds(c.other) != c.holds {
			t.Errorf("%s: meets %v, holds %v", c.name, b.meets(c.other), b.holds(c.other))
		}
	}
	if got := around(spot{5, 7}, 2); got != (box{3, 5, 7, 9}) {
		t.Errorf("2 about 5, 7: %v", got)
	}
	if got := (box{0, 0, 10, 20}).corners(); !slices.Equal(got, []spot{{0, 0}, {10, 0}, {10, 20}, {0, 20}}) {
		t.Errorf("corners in turn: %v", got)
	}
}

// TestRoomCells: a sheet of 4 by 2 cells and a bit has 5 columns and 3 rows; what lies beyond it counts to the
// cells at its edge.
func TestRoomCells(t *testing.T) {
	r := newRoom(box{100, 200, 100 + 4*cell + 10, 200 + 2*cell + 10})
	if r.columns != 5 || r.rows != 3 || len(r.cells) != 15 {
		t.Fatalf("%d columns, %d rows, %d cells", r.columns, r.rows, len(r.cells))
	}
	for _, c := range []struct {
		name string
		b    box
		want [4]int
	}{
		{"the first cell", box{100, 200, 100 + cell - 1, 200 + cell - 1}, [4]int{0, 0, 0, 0}},
		{"to the next", box{100, 200, 100 + cell, 200 + cell}, [4]int{0, 1, 0, 1}},
		{"in the middle", box{100 + 2*cell, 200 + cell, 100 + 3*cell, 200 + cell}, [4]int{2, 3, 1, 1}},
		{"beyond the right", box{100 + 9*cell, 200, 100 + 11*cell, 200}, [4]int{4, 4, 0, 0}},
		{"above and left of it", box{-5 * cell, -5 * cell, -4 * cell, -4 * cell}, [4]int{0, 0, 0, 0}},
		{"below it", box{100, 200 + 8*cell, 100, 200 + 9*cell}, [4]int{0, 0, 2, 2}},
		{"over all", box{-cell, -cell, 20 * cell, 20 * cell}, [4]int{0, 4, 0, 2}},
	} {
		x0, x1, y0, y1 := r.span(c.b)
		if got := [4]int{x0, x1, y0, y1}; got != c.want {
			t.Errorf("%s: columns and rows %v, want %v", c.name, got, c.want)
		}
	}
	var cells []box
	r.over(box{100 + cell, 200 + cell, 100 + 2*cell, 200 + cell}, func(i int, c box) bool {
		cells = append(cells, box{i, 0, 0, 0}, c)
		return true
	})
	want := []box{{6, 0, 0, 0}, {100 + cell, 200 + cell, 100 + 2*cell, 200 + 2*cell},
		{7, 0, 0, 0}, {100 + 2*cell, 200 + cell, 100 + 3*cell, 200 + 2*cell}}
	if !slices.Equal(cells, want) {
		t.Errorf("cells %v, want %v", cells, want)
	}
}

// TestTreesInTurn: the first tree has a branch on either side of its trunk, 5 ft off. So its rows are at 0, 5
// and 10 ft, one row stays free, and the second tree begins at 20 ft; the third, after one row, at 30 ft.
func TestTreesInTurn(t *testing.T) {
	const ft = units.Foot
	parent := []int32{-1, 0, 1, 1, 1, -1, 5, -1}
	step := []units.Length{0, 10 * ft, 30 * ft, 8 * ft, 6 * ft, 0, 9 * ft, 0}
	want := []Point{{}, {X: 10}, {X: 40}, {X: 18, Y: 5}, {X: 16, Y: -5}, {Y: 15}, {X: 9, Y: 15}, {Y: 25}}
	at := Arrange(parent, step)
	for i, w := range want {
		if w = (Point{X: w.X * ft, Y: (w.Y + 5) * ft}); at[i] != w {
			t.Errorf("node %d stands at %v, want %v", i, at[i], w)
		}
	}
	height := make([]units.Length, len(parent))
	height[2] = 3 * ft
	for left, sign := range map[bool]units.Length{false: 1, true: -1} {
		at := ArrangeInHeight(parent, step, height, left)
		if at[2] != (Point{X: sign * 40 * ft, Y: at[0].Y, Z: 3 * ft}) {
			t.Errorf("left %v: the end of the trunk stands at %v", left, at[2])
		}
	}
}

// TestRowsTurnOff: the nearest row takes a branch if nothing lies there within 5 ft of its stretch; it is passed
// if what lies there turned off at the same node or lies elsewhere along it, and shut if the branch would cross it.
func TestRowsTurnOff(t *testing.T) {
	const ft = units.Foot
	type stretches = map[int][]stretch
	s := func(from, to units.Length, off int32) stretch { return stretch{from * ft, to * ft, off} }
	for _, c := range []struct {
		name string
		rows stretches
		want int
	}{
		{"nothing there", stretches{}, 1},
		{"6 ft before it", stretches{1: {s(0, 4, 1)}}, 1},
		{"5 ft before it", stretches{1: {s(0, 5, 1)}, -1: {s(0, 5, 1)}}, 2},
		{"6 ft behind it", stretches{1: {s(26, 30, 1)}}, 1},
		{"5 ft behind it", stretches{1: {s(25, 30, 1)}, -1: {s(25, 30, 1)}}, 2},
		{"one row taken", stretches{1: {s(12, 30, 1)}}, -1},
		{"from the same node", stretches{1: {s(10, 30, 7)}, -1: {s(10, 30, 7)}}, 2},
		{"crossed above, passed below", stretches{1: {s(5, 30, 1)}, -1: {s(10, 30, 7)}}, -2},
		{"ends where it would be crossed", stretches{1: {s(5, 10, 1)}, -1: {s(5, 9, 1)}}, -2},
		{"begins where it would be crossed", stretches{1: {s(10, 30, 1)}, -1: {s(11, 30, 1)}}, -2},
		{"crossed on either side", stretches{1: {s(5, 30, 1)}, -1: {s(5, 30, 2)}, 3: {}}, 4},
	} {
		a := &arrangement{rows: c.rows, hi: 3}
		if got := a.free(0, s(10, 20, 7)); got != c.want {
			t.Errorf("%s: row %d, want %d", c.name, got, c.want)
		}
	}
}

// TestCellsOfWay: a way of three cells, up, along and aslant, goes through each of them, and ends at its end.
func TestCellsOfWay(t *testing.T) {
	const c = int64(seenCell)
	for _, way := range [][]flat{
		{{c / 2, c / 2}, {c / 2, 3*c + c/2}}, {{c / 2, c / 2}, {3*c + c/2, c / 2}}, {{c / 2, c / 2}, {3*c + c/2, 3*c + c/2}},
		{{c / 2, 3*c + c/2}, {c / 2, c / 2}}, {{3*c + c/2, 0}, {c / 2, 0}},
	} {
		seen := map[flat]bool{}
		var last flat
		cellsOf(way, func(cell, at flat) bool {
			if cell != (flat{at.u / c, at.v / c}) {
				t.Errorf("%v lies in %v", at, cell)
			}
			seen[cell], last = true, at
			return true
		})
		for k := range int64(4) {
			u, v := way[0].u+(way[1].u-way[0].u)*k/3, way[0].v+(way[1].v-way[0].v)*k/3
			if cell := (flat{u / c, v / c}); !seen[cell] {
				t.Errorf("%v: the cell %v is not seen", way, cell)
			}
		}
		if last != way[1] || len(seen) != 4 {
			t.Errorf("%v: ends at %v after %d cells", way, last, len(seen))
		}
	}
	n := 0
	cellsOf([]flat{{0, 0}, {9 * c, 0}}, func(flat, flat) bool { n++; return n < 3 })
	if n != 3 {
		t.Errorf("told to stop at the third, it went on to %d", n)
	}
	if !within(flat{}, flat{int64(besideOff) - 1, 1 - int64(besideOff)}) || within(flat{}, flat{int64(besideOff), 0}) ||
		within(flat{}, flat{0, -int64(besideOff)}) {
		t.Error("6 ft are not near, less are")
	}
}

// TestHeadings: an arrow that points 90 degrees from ahead points right, 12 points long, its word below it; one of
// 30 degrees goes 3 points right and 5.2 up from its middle (600 times a half and 0.866).
func TestHeadings(t *testing.T) {
	for _, c := range []struct {
		degrees float64
		want    string
	}{
		{0, "M100 206L100 194"}, {90, "M94 200L106 200"}, {180, "M100 194L100 206"},
		{30, "M97 205.2L103 194.8"}, {-90, "M106 200L94 200"},
	} {
		s := newSheet(Letter, new(Options), true)
		s.heading(spot{10000, 20000}, &Heading{c.degrees, "north"})
		marks := string(s.groups[frame].marks)
		if !strings.HasPrefix(marks, `<path d="`+c.want+`"/>`) {
			t.Errorf("%g degrees: %s", c.degrees, marks)
		}
		// "north": 556 + 556 + 333 + 278 + 556 thousandths of 6 points, 13.68; half of it left of the middle
		if !strings.Contains(marks, `<text x="93.16" y="213"`) {
			t.Errorf("%g degrees: the word stands elsewhere: %s", c.degrees, marks)
		}
	}
	s := newSheet(Letter, new(Options), false)
	head := string(s.arrow(nil, frame, spot{1000, 1000}, 1, 0)) // 4.2 points long and 3 wide
	if head != `<path class="f" d="M10 10L5.8 11.5L5.8 8.5Z"/>` {
		t.Errorf("an arrow to the right: %s", head)
	}
}

// TestScaleBars: at 1/4 in to a foot 2 ft are 36 points long: bars at 9, 45, 81 and, not over what stands at the
// right of a cell of 150, no more than have room. Every other is open.
func TestScaleBars(t *testing.T) {
	s := newSheet(Letter, new(Options), true)
	barOf(48, false)(s, box{0, 0, 15000, 6600})
	marks := string(s.groups[frame].marks)
	for i, want := range []string{
		`<path class="f" d="M9 56L45 56L45 58.5L9 58.5Z"/>`, `<path class="w" d="M45 56L81 56L81 58.5L45 58.5Z"/>`,
		`<path class="f" d="M81 56L117 56L117 58.5L81 58.5Z"/>`,
	} {
		if strings.Contains(marks, want) != true {
			t.Errorf("bar %d is not %s: %s", i, want, marks)
		}
	}
	if strings.Contains(marks, "8'") || !strings.Contains(marks, "6&#39;") {
		t.Errorf("figures of the bar: %s", marks)
	}
}

// TestTextRoom: a line of ten signs, three points each and six beside them, takes 36 by 11 points; of two lines
// the longer counts, and the height of both; none is reckoned wider than 125 points.
func TestTextRoom(t *testing.T) {
	for _, c := range []struct {
		lines []string
		want  int64
	}{
		{[]string{"0123456789"}, 36 * 11}, {[]string{"01", "0123456789"}, 36 * 18}, {[]string{"0123456789", "0"}, 36 * 18},
		{[]string{strings.Repeat("0", 60)}, 131 * 11},
	} {
		if got := textRoom(c.lines); got != c.want {
			t.Errorf("%q: %d, want %d", c.lines, got, c.want)
		}
	}
}

// TestSheetNumber: the number of a part stands in its middle; where a line runs there, as near to it as it can.
func TestSheetNumber(t *testing.T) {
	part := box{10000, 10000, 26000, 26000} // steps of 1000 from its middle, 18000
	for _, c := range []struct {
		name  string
		lines []int // upright lines at these places
		x     int   // the middle of the number
		ok    bool
	}{
		{"nothing there", nil, 18000, true},
		{"a line in the middle", []int{18000}, 17000, true},
		{"free at the left alone", []int{18000, 19000, 20000, 21000, 22000, 23000, 24000, 25000}, 17000, true},
		{"free at the right alone", []int{11000, 12000, 13000, 14000, 15000, 16000, 17000, 18000}, 19000, true},
		{"lines everywhere", []int{11000, 12000, 13000, 14000, 15000, 16000, 17000, 18000, 19000, 20000, 21000, 22000,
			23000, 24000, 25000}, 18000, false},
	} {
		s := newSheet(Letter, new(Options), false)
		for _, x := range c.lines {
			s.room.addLine(stroke, spot{x, 10000}, spot{x, 26000}, nobody)
		}
		b, ok := s.number("7", part)
		if ok != c.ok || (b.x0+b.x1)/2 != c.x {
			t.Errorf("%s: about %d, %v; want about %d, %v", c.name, (b.x0+b.x1)/2, ok, c.x, c.ok)
		}
	}
	s := newSheet(Letter, new(Options), false)
	if _, ok := s.number("12", box{10000, 10000, 10100, 10100}); !ok || !slices.Equal(s.missing, []string{"sheet 12"}) {
		t.Errorf("a part of one point: %v, missing %q", ok, s.missing)
	}
}

// TestLeftOutHeights: an axis from 30 to 110 ft of which 40 to 100 ft are drawn as 10 has a figure each at 30 and
// 110, none between 40 and 100 and says so.
func TestLeftOutHeights(t *testing.T) {
	const ft = int64(units.Foot)
	s := newSheet(Letter, new(Options), false)
	s.area = box{10000, 0, 50000, 40000}
	g := gap{lo: 40 * ft, hi: 100 * ft, keep: 10 * ft}
	// At 1:48 a foot is 18 points: 400 points are 22.2 ft; the top is at 61 ft as drawn, 111 ft as it is.
	s.heights(&window{scale: 48, top: 61 * ft, at: spot{10000, 0}}, 1, g, false)
	marks := string(s.groups[frame].marks)
	for _, c := range []struct {
		word string
		want bool
	}{{">110&#39;<", true}, {">100&#39;<", true}, {">40&#39;<", true}, {">42&#39;<", false}, {">98&#39;<", false},
		{">42&#39; to 98&#39; left out<", true}, {">38&#39;<", false}} { // 38 ft lie 23 ft below the top
		if strings.Contains(marks, c.word) != c.want {
			t.Errorf("%s: %v", c.word, !c.want)
		}
	}
	s = newSheet(Letter, new(Options), false) // the axis ends at 40 ft, 11 ft below its top
	s.area = box{10000, 0, 50000, 19800}
	s.heights(&window{scale: 48, top: 51 * ft, at: spot{10000, 0}}, 1, gap{}, false)
	if m := string(s.groups[frame].marks); strings.Contains(m, ">40&#39;<") || !strings.Contains(m, ">42&#39;<") {
		t.Errorf("a figure in the corner, or none above it: %s", m)
	}
	// 110 ft stand one foot below the top, 100 ft eleven, 40 ft twenty-one.
	for _, y := range []string{"18", "198", "378"} {
		if !strings.Contains(marks, fmt.Sprintf(`d="M97.5 %sL100 %s"`, y, y)) {
			t.Errorf("no figure at %s points", y)
		}
	}
}

// TestStackOnBranch: a stack of two lengths on a branch in the next row, 5 ft off, stands on the branch's end.
func TestStackOnBranch(t *testing.T) {
	const ft = units.Foot
	//                  trunk     branch, a run beyond it, the stack, its branch
	parent := []int32{-1, 0, 1, 1, 3, 3, 5, 6}
	step := []units.Length{0, 10 * ft, 90 * ft, 10 * ft, 40 * ft, 0, 0, 6 * ft}
	at := Arrange(parent, step)
	if at[3].Y != at[1].Y+5*ft || at[3].X != 20*ft || at[5] != at[3] || at[6] != at[3] {
		t.Errorf("branch %v, stack %v and %v", at[3], at[5], at[6])
	}
	if at[7].X != 26*ft || at[7].Y == at[3].Y {
		t.Errorf("the branch of the stack stands at %v", at[7])
	}
	a := &arrangement{step: []units.Length{0, ft}, height: make([]units.Length, 2), at: make([]Point, 2), right: 1,
		main: []int32{-1, -1}, hi: 50, used: map[rowOf]bool{}, seen: map[flat]int32{}}
	for r := -mostRows; r <= mostRows; r++ { // all used by ways from the same node: one row more
		a.used[rowOf{r, 0}] = true
	}
	if got, ok := a.nearest(1, 0, 0); got != 51 || ok {
		t.Errorf("past 40 rows in use the next is %d, free %v", got, ok)
	}
	delete(a.used, rowOf{-mostRows, 0})
	if got, ok := a.nearest(1, 0, 0); got != -mostRows || !ok {
		t.Errorf("with the last row to try free: %d, free %v", got, ok)
	}
}

// TestAttach: a ring stands at the middle of the first piece of a line, or at its mark; what is nowhere comes back.
func TestAttach(t *testing.T) {
	sc := &Scene{Lines: []Line{{ID: "run", Path: []Point{{2, 4, 6}, {12, 24, 36}, {90, 90, 90}}}, {ID: "dot", Path: []Point{{}}}},
		Marks: []Mark{{ID: "sink", At: Point{1, 2, 3}}}}
	left := sc.Attach([]Note{{Key: "1", Places: []Place{{ID: "a", On: "run"}, {ID: "b", On: "none"}, {ID: "c", On: "sink"}}},
		{Key: "2", Places: []Place{{ID: "d", On: "dot"}}}, {Key: "3"}})
	if len(left) != 2 || left[0].Key != "2" || left[1].Key != "3" || len(sc.Notes) != 1 {
		t.Fatalf("left %v, attached %v", left, sc.Notes)
	}
	want := []Place{{"a", "run", Point{7, 14, 21}}, {"c", "sink", Point{1, 2, 3}}}
	if got := sc.Notes[0].Places; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestColumnOfNotes: a note of one line takes 9 points, the first line standing 7 below the top: four fit into
// 35.6 (7 + 3 x 9 + 1.6). One longer than the column is cut to as many lines as it has, the last of them an ellipsis.
func TestColumnOfNotes(t *testing.T) {
	five := []Note{{Text: "one"}, {Text: "two"}, {Text: "three"}, {Text: "four"}, {Text: "five"}}
	for high, want := range map[int]int{3559: 2, 3560: 1, 4459: 1, 4460: 0} {
		if left := newSheet(Letter, new(Options), false).column(five, box{0, 0, 10000, high}); len(left) != want {
			t.Errorf("%d high: %d left, want %d", high, len(left), want)
		}
	}
	for words, cut := range map[int]bool{4: false, 5: true, 9: true} { // one word to a line; room for four: 4440/740-2
		s := newSheet(Letter, new(Options), false)
		s.column([]Note{{Text: strings.Repeat("0123456789 ", words)}}, box{0, 0, noteIndent + 3400, 4440})
		marks := string(s.groups[frame].marks)
		if n := strings.Count(marks, "<text"); n != 4 || strings.Contains(marks, ">…<") != cut {
			t.Errorf("%d words: %d lines, cut %v", words, n, !cut)
		}
	}
	for high, want := range map[int]int{3999: 5, 4000: 2} { // less is no room for a list, and 9 points go for the words below it
		if left := newSheet(Letter, new(Options), false).below(five, box{0, 0, 10000, high}, "more"); len(left) != want {
			t.Errorf("below the key %d high: %d left, want %d", high, len(left), want)
		}
	}
}

// TestBesideLines: a dimension whose way and both ways 6 points beside it are taken is drawn 12 points beside it,
// first on its right, as it goes.
func TestBesideLines(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to spot
		off      spot // of one gap, first side
	}{
		{"level", spot{8000, 10000}, spot{16000, 10000}, spot{0, 600}},
		{"upright", spot{12000, 6000}, spot{12000, 14000}, spot{-600, 0}},
		{"aslant", spot{8000, 10000}, spot{14000, 18000}, spot{-480, 360}}, // 6 by 8 in 10: 600 x 0.8 and 0.6
	} {
		s := newSheet(Letter, new(Options), false)
		for _, k := range []int{0, 1, -1} {
			s.room.addLine(stroke, spot{c.from.x + k*c.off.x, c.from.y + k*c.off.y}, spot{c.to.x + k*c.off.x, c.to.y + k*c.off.y}, nobody)
		}
		a, b := s.besides(s.group("d", ""), c.from, c.to)
		if a != (spot{c.from.x + 2*c.off.x, c.from.y + 2*c.off.y}) || b != (spot{c.to.x + 2*c.off.x, c.to.y + 2*c.off.y}) {
			t.Errorf("%s: from %v to %v", c.name, a, b)
		}
	}
}

// TestBlockRings: five rings stand in a row; the sixth begins another.
func TestBlockRings(t *testing.T) {
	for n, want := range map[int][2]int{1: {1000, 1000}, 4: {4000, 1000}, 5: {5000, 1000}, 6: {5000, 2000}, 11: {5000, 3000}} {
		l := label{rings: make([]Note, n)}
		if w, h := l.size(); w != want[0] || h != want[1] {
			t.Errorf("%d rings: %d by %d, want %v", n, w, h, want)
		}
	}
}

// TestAxesOfGraph: an axis from -30 to 60, 200 points long, has figures of ten from its very beginning on; a chart
// without values goes from nought to one.
func TestAxesOfGraph(t *testing.T) {
	s := newSheet(Letter, new(Options), false)
	s.area = box{10000, 10000, 30000, 30000}
	(&Chart{X: Axis{"x"}, Y: Axis{"y"}}).axes(s, ruler{-30, 60, 20000}, ruler{-20, 180, 20000})
	marks := string(s.groups[frame].marks)
	if n := strings.Count(marks, "<text"); n != 5+11+2 || !strings.Contains(marks, ">-20<") || strings.Contains(marks, ">-40<") {
		t.Errorf("%d texts: %s", n, marks) // -20, 0, 20, 40, 60; -20 to 180 by 20; two names
	}
	lo, hi := new(Chart).ends(func(p XY) float64 { return p.X })
	if lo != 0 || hi != 1 {
		t.Errorf("without values from %g to %g", lo, hi)
	}
	for v, ok := range map[float64]bool{1e9: false, 999_999_999: true, -1e9: false, -999_999_999: true} {
		if err := (&Chart{Bars: []Bar{{Value: v}}}).check(); (err == nil) != ok {
			t.Errorf("a bar of %g: %v", v, err)
		}
	}
}

// TestLongHead: a head of bars wider than its column, and a cell wider than it, are shortened.
func TestLongHead(t *testing.T) {
	s := newSheet(Letter, new(Options), false)
	s.bars(&Chart{BarHead: strings.Repeat("0123456789", 10)}, []Bar{{}}, box{0, 0, 20000, 20000})
	_, long, _ := strings.Cut(string(s.groups[frame].marks), `textLength="`)
	var w float64
	if _, err := fmt.Sscanf(long, "%g", &w); err != nil || w > 195 || w < 185 {
		t.Errorf("the head is %g wide, of 200, less 5: %v", w, err)
	}
	f := &profile{Section: &Section{Stations: []units.Length{0, units.Foot}}, cell: 7000}
	f.Rows = []Row{{Name: "row", Cells: []string{strings.Repeat("0123456789", 10), "1"}}}
	s = newSheet(Letter, new(Options), false)
	f.table(s, &window{scale: 48, at: spot{10000, 0}}, [2]int{0, 1}, box{0, 0, 50000, 10000})
	_, long, _ = strings.Cut(string(s.groups[frame].marks), `0123`)
	if n := len(long[:strings.Index(long, "<")]); n > 4+20 { // of 67 points 20 figures of 3.3
		t.Errorf("the cell has %d signs: %s", n, long)
	}
}

// TestLastKeys: a style or shape past the last has no key; a script of wide signs begins at U+1100.
func TestLastKeys(t *testing.T) {
	if styleCount.Key() != "" || shapeCount.Key() != "" || (styleCount-1).Key() != "dimension" || (shapeCount-1).Key() != "cap" {
		t.Error("keys past the last")
	}
	if a, b := width("\u10ff", small, false), width("\u1100", small, false); a != 401 || b != 600 { // 667 x 0.6, rounded up
		t.Errorf("%d and %d wide", a, b)
	}
	far := []Point{{X: -farthest, Y: farthest}, {}}
	if _, err := Plan(&Scene{Lines: []Line{{Path: far}}}, Options{}); err != nil {
		t.Errorf("100 km away, to the nanometre: %v", err)
	}
}

// TestManyInHeight: of a schematic four times as large about four times as much of the picture is taken, also
// where forty rows on either side do not do: no line to a row grows with the drawing.
func TestManyInHeight(t *testing.T) {
	taken := func(n int) int {
		rng := rand.New(rand.NewPCG(3, 4))
		a := &arrangement{step: []units.Length{0}, height: []units.Length{0}, right: 1}
		parent := []int32{-1}
		for i := 1; i < n; i++ {
			parent = append(parent, int32(max(0, i-1-rng.IntN(10))))
			a.step = append(a.step, units.Length(4+rng.IntN(12))*units.Foot)
			a.height = append(a.height, units.Length(i)*units.Foot/100)
		}
		a.all(parent)
		if a.hi < mostRows {
			t.Errorf("%d points take %d rows: this tree shows nothing", n, a.hi)
		}
		return len(a.seen)
	}
	if few, many := taken(500), taken(2000); many > 6*few {
		t.Errorf("500 points take %d cells, 2000 take %d", few, many)
	}
}

// TestFieldsOfBlock: a block of two columns of seven lines holds fourteen entries of a line; what is left is not
// drawn over what stands beside it.
func TestFieldsOfBlock(t *testing.T) {
	var list []Field
	for i := range 20 {
		list = append(list, Field{Name: fmt.Sprint("field ", i), Value: "x"})
	}
	s := newSheet(Letter, new(Options), false)
	s.fields(list, box{0, 0, 30000, 6600})
	marks := string(s.groups[frame].marks)
	if n := strings.Count(marks, "<text"); n != 14 || !strings.Contains(marks, "field 13: x") || strings.Contains(marks, "field 14") {
		t.Errorf("%d entries: %s", n, marks)
	}
}

// TestListedLabel: a label without room is listed by its id, once, and what else it says.
func TestListedLabel(t *testing.T) {
	s := newSheet(Letter, new(Options), false)
	named, tag := s.group("L1", ""), s.group("", "")
	for _, c := range []struct {
		group int
		lines []string
		want  string
	}{
		{named, []string{"L1", "lavatory", "98.42"}, "L1: lavatory  98.42"}, {named, []string{"L1"}, "L1"},
		{named, []string{`2" @ 2 %`}, `L1: 2" @ 2 %`}, {tag, []string{"a level"}, "a level"},
	} {
		if got := s.listed(&label{group: c.group, lines: c.lines}); got != c.want {
			t.Errorf("%q is listed as %q, want %q", c.lines, got, c.want)
		}
	}
}

// TestUprights: pipe that goes straight up is upright, and neither pipe that falls nor a step to the side nor a point.
func TestUprights(t *testing.T) {
	const ft = units.Foot
	for _, c := range []struct {
		name string
		to   Point
		want int
	}{
		{"up", Point{Z: 9 * ft}, 1}, {"down", Point{Z: -9 * ft}, 1}, {"along and up", Point{X: ft, Z: 9 * ft}, 0},
		{"ahead and up", Point{Y: ft, Z: 9 * ft}, 0}, {"along", Point{X: ft}, 0}, {"nowhere", Point{}, 0},
	} {
		sc := &Scene{Lines: []Line{{Path: []Point{{}, c.to}}}}
		if got := len(sc.uprights(aslant(0))); got != c.want {
			t.Errorf("%s: %d upright pieces", c.name, got)
		}
	}
}

// TestHeightsTaken: a part of a section from 10 to 30 counts what lies in it and at its very ends, and of a line
// the piece that lies in it: half way up from 0 to 40 it is at 20 of 40, so that 10 to 30 stand between 10 and 30.
func TestHeightsTaken(t *testing.T) {
	p := &picture{lines: [][]flat{{{0, 0}, {40, 40}}}, marks: []flat{{9, 1}, {10, 2}, {30, 3}, {31, 4}},
		notes: [][]flat{{{10, 5}, {35, 6}}}}
	all := p.everything(extent{})
	got := p.taken(&all, &stretchUp{from: 10, to: 30})
	if want := [][2]int64{{10, 30}, {2, 2}, {3, 3}, {5, 5}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestDealtAlong: a section with stations at 0, 10, 20, 20 and 30, cut into parts of one station each: 0 to 10, 10 to
// 20, 20 to 20 and 20 to 30. What touches a part lies in it; the first has what lies before its station too, and the
// last what lies beyond.
func TestDealtAlong(t *testing.T) {
	at := func(u ...int64) (path []flat) {
		for _, x := range u {
			path = append(path, flat{u: x})
		}
		return path
	}
	f := &profile{Section: &Section{Stations: []units.Length{0, 10, 20, 20, 30}}}
	p := &picture{Scene: new(Scene), areas: [][]flat{at(11, 19, 12)}, lines: [][]flat{at(-9, 99), at(10, 10), at(25, 21),
		at(-9, -5), at(31, 99)}, marks: at(20, 9), notes: [][]flat{at(5, 35)}}
	tiles := f.deal(p, [][2]int{{0, 1}, {1, 2}, {2, 3}, {3, 4}})
	for i, want := range []tile{
		{lines: []int{0, 1, 3}, marks: []int{1}, places: []notePlace{{0, 0}}},
		{areas: []int{0}, lines: []int{0, 1}, marks: []int{0}},
		{lines: []int{0}, marks: []int{0}},
		{lines: []int{0, 2, 4}, marks: []int{0}, places: []notePlace{{0, 1}}},
	} {
		if got := tiles[i]; !reflect.DeepEqual(got, want) {
			t.Errorf("part %d: %+v, want %+v", i+1, got, want)
		}
	}
	if one := f.deal(p, [][2]int{{0, 4}}); len(one) != 1 || len(one[0].lines) != 5 || len(one[0].places) != 2 {
		t.Errorf("in one part: %+v", one)
	}
}
