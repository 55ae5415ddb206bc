package slope_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Hand-checked: from an outlet at 96 ft, 20 ft at 1/4 in/ft (5 in), then a
// manhole with 1 in of drop, then 30 ft at 1/8 in/ft (3 3/4 in), and a branch of
// 10 ft at 1/2 in/ft (5 in) joined 2 in up.
func TestInverts(t *testing.T) {
	tree := slope.Tree{
		Parent: []int32{-1, 0, 1, 1},
		Run:    []units.Length{0, 20 * units.Foot, 30 * units.Foot, 10 * units.Foot},
		Grade:  []slope.Grade{{}, slope.OneIn(48), slope.OneIn(96), slope.OneIn(24)},
		Drop:   []units.Length{0, 0, units.Inch, 2 * units.Inch},
	}
	lower, upper := make([]units.Length, 4), make([]units.Length, 4)
	if err := slope.Inverts(tree, 96*units.Foot, lower, upper); err != nil {
		t.Fatal(err)
	}
	base := 96 * units.Foot
	wantLower := []units.Length{base, base, base + 6*units.Inch, base + 7*units.Inch}
	wantUpper := []units.Length{base, base + 5*units.Inch, base + 6*units.Inch + 15*units.Inch/4, base + 12*units.Inch}
	for i := range lower {
		if lower[i] != wantLower[i] || upper[i] != wantUpper[i] {
			t.Errorf("point %d: %v to %v ft, want %v to %v ft", i, lower[i].Feet(), upper[i].Feet(),
				wantLower[i].Feet(), wantUpper[i].Feet())
		}
	}
}

func TestInvertsRefusals(t *testing.T) {
	const ft = units.Foot
	huge := units.Length(math.MaxInt64)
	tests := []struct {
		name   string
		tree   slope.Tree
		outlet units.Length
		want   string
	}{
		{"lengths", slope.Tree{Parent: []int32{-1}, Run: []units.Length{}, Grade: []slope.Grade{{}}}, 0, "entries"},
		{"outlet", slope.Tree{Parent: []int32{-1}, Run: []units.Length{0}, Grade: []slope.Grade{{}}}, huge, "outlet"},
		{"cycle", slope.Tree{Parent: []int32{1, 0}, Run: []units.Length{ft, ft}, Grade: []slope.Grade{{}, {}}}, 0,
			"before point 1"},
		{"self", slope.Tree{Parent: []int32{0}, Run: []units.Length{ft}, Grade: []slope.Grade{{}}}, 0,
			"before point 0"},
		{"late parent", slope.Tree{Parent: []int32{-1, 0}, Order: []int32{1, 0}, Run: []units.Length{0, ft},
			Grade: []slope.Grade{{}, {}}}, 0, "before point 0"},
		{"twice", slope.Tree{Parent: []int32{-1}, Order: []int32{0, 0}, Run: []units.Length{0},
			Grade: []slope.Grade{{}}}, 0, "twice"},
		{"no such parent", slope.Tree{Parent: []int32{7}, Run: []units.Length{ft}, Grade: []slope.Grade{{}}}, 0,
			"point 7 of 1"},
		{"no such point", slope.Tree{Parent: []int32{-1}, Order: []int32{3}, Run: []units.Length{ft},
			Grade: []slope.Grade{{}}}, 0, "point 3 of 1"},
		{"negative run", slope.Tree{Parent: []int32{-1}, Run: []units.Length{-ft}, Grade: []slope.Grade{{}}}, 0,
			"negative"},
		{"huge run", slope.Tree{Parent: []int32{-1}, Run: []units.Length{huge}, Grade: []slope.Grade{{}}}, 0, "run of"},
		{"huge drop", slope.Tree{Parent: []int32{-1}, Run: []units.Length{ft}, Grade: []slope.Grade{{}},
			Drop: []units.Length{huge}}, 0, "drop of"},
		{"no grade", slope.Tree{Parent: []int32{-1}, Run: []units.Length{ft}, Grade: []slope.Grade{slope.OneIn(0)}}, 0,
			"out of range"},
		{"summed out of range", slope.Tree{Parent: []int32{-1}, Run: []units.Length{units.MaxLength},
			Grade: []slope.Grade{slope.OneIn(1)}}, ft, "out of range"},
	}
	for _, tt := range tests {
		n := len(tt.tree.Parent)
		err := slope.Inverts(tt.tree, tt.outlet, make([]units.Length, n), make([]units.Length, n))
		if !errors.Is(err, slope.ErrTree) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want one with %q", tt.name, err, tt.want)
		}
	}
}

// A tree in any order that puts parents first gives the same inverts, and an
// untouched part stays untouched.
func TestInvertsOrder(t *testing.T) {
	tree := randomTree(rand.New(rand.NewPCG(1, 2)), 500)
	n := len(tree.Parent)
	lower, upper := make([]units.Length, n), make([]units.Length, n)
	if err := slope.Inverts(tree, units.Foot, lower, upper); err != nil {
		t.Fatal(err)
	}
	// Depth first instead of by index.
	children := make([][]int32, n)
	for i := 1; i < n; i++ {
		children[tree.Parent[i]] = append(children[tree.Parent[i]], int32(i))
	}
	stack := []int32{0}
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = append(stack[:len(stack)-1], children[i]...)
		tree.Order = append(tree.Order, i)
	}
	l2, u2 := make([]units.Length, n), make([]units.Length, n)
	if err := slope.Inverts(tree, units.Foot, l2, u2); err != nil {
		t.Fatal(err)
	}
	for i := range n {
		if l2[i] != lower[i] || u2[i] != upper[i] {
			t.Fatalf("point %d differs by order", i)
		}
	}
	tree.Order = []int32{0}
	clear(l2)
	clear(u2)
	u2[1] = 42
	if err := slope.Inverts(tree, units.Foot, l2, u2); err != nil || u2[1] != 42 {
		t.Errorf("a point that is not listed was written: %v, %v", u2[1], err)
	}
}

// Three runs of 1 in at 1/4 in/ft rise 1/48 in each, which no whole number of
// nanometres is; together they rise 1/16 in exactly, and so do 3000 of them
// 62 1/2 in.
func TestInvertsSumExactly(t *testing.T) {
	const n = 3001
	tree := slope.Tree{Parent: make([]int32, n), Run: make([]units.Length, n), Grade: make([]slope.Grade, n)}
	for i := range n {
		tree.Parent[i], tree.Run[i], tree.Grade[i] = int32(i-1), units.Inch, slope.OneIn(48)
	}
	tree.Run[0] = 0
	for _, outlet := range []units.Length{0, -17 * units.Inch, 5000 * units.Foot} {
		lower, upper := make([]units.Length, n), make([]units.Length, n)
		if err := slope.Inverts(tree, outlet, lower, upper); err != nil {
			t.Fatal(err)
		}
		for i := 0; i < n; i += 3 {
			if want := outlet + units.Length(i)*units.Inch/48; upper[i] != want {
				t.Fatalf("from %d, point %d: %d nm, want %d", outlet, i, upper[i], want)
			}
			if i > 0 && lower[i] != upper[i-1] {
				t.Fatalf("point %d starts at %d, not at %d", i, lower[i], upper[i-1])
			}
		}
	}
}

// Half a nanometre goes to the even neighbour, above and below zero.
func TestInvertsRounding(t *testing.T) {
	for _, tt := range []struct {
		outlet, run units.Length
		n           int64
		want        units.Length
	}{
		{0, 1, 2, 0}, {1, 1, 2, 2}, {2, 1, 2, 2}, {-1, 1, 2, 0}, {-2, 1, 2, -2}, {-3, 1, 2, -2}, {0, 2, 3, 1},
		{0, 1, 3, 0}, {-1, 1, 3, -1}, {-1, 2, 3, 0},
	} {
		lower, upper := make([]units.Length, 1), make([]units.Length, 1)
		tree := slope.Tree{Parent: []int32{-1}, Run: []units.Length{tt.run}, Grade: []slope.Grade{slope.OneIn(tt.n)}}
		err := slope.Inverts(tree, tt.outlet, lower, upper)
		if err != nil || upper[0] != tt.want || lower[0] != tt.outlet {
			t.Errorf("%+v: %d, %v", tt, int64(upper[0]), err)
		}
	}
}

// The bounds themselves are in range.
func TestInvertsBounds(t *testing.T) {
	lower, upper := make([]units.Length, 2), make([]units.Length, 2)
	tree := slope.Tree{Parent: []int32{-1, 0}, Run: []units.Length{0, units.MaxLength},
		Grade: []slope.Grade{{}, slope.OneIn(-1)}}
	for _, g := range []slope.Grade{slope.OneIn(1), slope.OneIn(-1)} {
		tree.Grade[1] = g
		if err := slope.Inverts(tree, 0, lower, upper); err != nil || upper[1] != g.Over(units.MaxLength) {
			t.Errorf("%v: %v, %v", g, upper[1], err)
		}
	}
	for _, end := range []units.Length{units.MaxLength, -units.MaxLength} {
		tree.Grade[1] = slope.Grade{}
		if err := slope.Inverts(tree, end, lower, upper); err != nil || upper[1] != end {
			t.Errorf("from %v: %v, %v", end, upper[1], err)
		}
		tree.Order = []int32{1} // from what an earlier call left at the bound
		if err := slope.Inverts(tree, 0, lower, upper); err != nil || upper[1] != end {
			t.Errorf("on from %v: %v, %v", end, upper[1], err)
		}
		upper[0] = -units.MaxLength - 1
		if err := slope.Inverts(tree, 0, lower, upper); !errors.Is(err, slope.ErrTree) {
			t.Errorf("on from beyond: %v, %v", upper[1], err)
		}
		tree.Order = nil
	}
	one := slope.Tree{Parent: []int32{1}, Run: []units.Length{0}, Grade: []slope.Grade{{}}}
	if err := slope.Inverts(one, 0, lower[:1], upper[:1]); !errors.Is(err, slope.ErrTree) {
		t.Errorf("draining to point 1 of 1: %v", err)
	}
	one.Parent, one.Order = []int32{-1}, []int32{1}
	if err := slope.Inverts(one, 0, lower[:1], upper[:1]); !errors.Is(err, slope.ErrTree) {
		t.Errorf("ordering point 1 of 1: %v", err)
	}
}

// A part of a tree is done again from inverts that an earlier call left.
func TestInvertsOfAPart(t *testing.T) {
	tree := randomTree(rand.New(rand.NewPCG(7, 8)), 200)
	lower, upper := make([]units.Length, 200), make([]units.Length, 200)
	if err := slope.Inverts(tree, 12*units.Foot, lower, upper); err != nil {
		t.Fatal(err)
	}
	want := upper[199]
	tree.Order = []int32{199}
	if err := slope.Inverts(tree, 12*units.Foot, lower, upper); err != nil {
		t.Fatal(err)
	}
	if d := upper[199] - want; d < -1 || d > 1 {
		t.Errorf("the last point moved by %d nm", d)
	}
}

func TestInvertsAllocatesNothing(t *testing.T) {
	tree := randomTree(rand.New(rand.NewPCG(3, 4)), 1000)
	lower, upper := make([]units.Length, 1000), make([]units.Length, 1000)
	if n := testing.AllocsPerRun(10, func() {
		if err := slope.Inverts(tree, 0, lower, upper); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func randomTree(r *rand.Rand, n int) slope.Tree {
	t := slope.Tree{Parent: make([]int32, n), Run: make([]units.Length, n), Grade: make([]slope.Grade, n),
		Drop: make([]units.Length, n)}
	t.Parent[0] = -1
	for i := 1; i < n; i++ {
		t.Parent[i] = int32(max(0, i-1-r.IntN(10)))
		t.Run[i] = units.Length(r.Int64N(int64(30 * units.Foot)))
		t.Grade[i] = slope.OneIn(int64(24 * (1 + r.IntN(8))))
		t.Drop[i] = units.Length(r.IntN(3)) * units.Inch
	}
	return t
}

func BenchmarkInverts(b *testing.B) {
	for _, n := range []int{1000, 100_000} {
		tree := randomTree(rand.New(rand.NewPCG(5, 6)), n)
		lower, upper := make([]units.Length, n), make([]units.Length, n)
		b.Run(fmt.Sprintf("n=%d/ours", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := slope.Inverts(tree, 0, lower, upper); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
		// The floor: the same pass over plain integers, with neither rounding nor checks.
		b.Run(fmt.Sprintf("n=%d/floor", n), func(b *testing.B) {
			for b.Loop() {
				for i, p := range tree.Parent {
					at := tree.Drop[i]
					if p >= 0 {
						at += upper[p]
					}
					lower[i], upper[i] = at, at+tree.Run[i]/48
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
	}
}

var sinkLength units.Length

func BenchmarkGradeOver(b *testing.B) {
	g, run := slope.OneIn(48), 37*units.Foot+6*units.Inch
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sinkLength = g.Over(run)
		}
	})
	// The floor: a 64-bit quotient, neither rounded nor safe from overflow.
	rise, over := g.Ratio()
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			sinkLength = run * units.Length(rise) / units.Length(over)
		}
	})
}

func BenchmarkGradeCompare(b *testing.B) {
	g, h := slope.OneIn(48), slope.OneIn(50)
	b.ReportAllocs()
	for b.Loop() {
		sinkInt = g.Compare(h)
	}
}

var sinkInt int

func BenchmarkGradeAppendText(b *testing.B) {
	g := slope.OneIn(48)
	b.ReportAllocs()
	var buf [32]byte
	for b.Loop() {
		if _, err := g.AppendText(buf[:0]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := slope.Parse("1/4 in/ft"); err != nil {
			b.Fatal(err)
		}
	}
}
