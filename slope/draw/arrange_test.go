package draw_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// TestArrange: a comb of ten teeth takes three rows, teeth to either side of the trunk, and a
// riser stands over its foot; so does a stack with branches, but no second one on the same foot.
func TestArrange(t *testing.T) {
	parent, step := []int32{-1}, []units.Length{0}
	add := func(p int32, s units.Length) int32 {
		parent, step = append(parent, p), append(step, s)
		return int32(len(parent) - 1)
	}
	trunk := int32(0)
	for range 10 {
		trunk = add(trunk, 10*units.Foot)
		add(trunk, 4*units.Foot)
	}
	riser := add(trunk, 0)
	at := draw.Arrange(parent, step)
	rows := map[units.Length]bool{}
	for i, p := range parent {
		rows[at[i].Y] = true
		if p >= 0 && at[i].X-at[p].X != step[i] {
			t.Errorf("node %d stands %v from its parent, want %v", i, at[i].X-at[p].X, step[i])
		}
	}
	if len(rows) > 3 {
		t.Errorf("the comb takes %d rows", len(rows))
	}
	if at[riser].X != at[trunk].X {
		t.Error("the riser does not stand over its foot")
	}
	parent, step = []int32{-1}, []units.Length{0}
	foot := add(0, 10*units.Foot)
	add(foot, 30*units.Foot) // goes straight on
	var stacks [2][3]int32   // each of two lengths, with a branch
	for i := range stacks {
		low := add(foot, 0)
		stacks[i] = [3]int32{low, add(low, 0)}
		stacks[i][2] = add(stacks[i][1], 5*units.Foot)
	}
	at = draw.Arrange(parent, step)
	for _, n := range stacks[0][:2] {
		if at[n] != at[foot] {
			t.Errorf("node %d of a stack stands at %v, its foot at %v", n, at[n], at[foot])
		}
	}
	if at[stacks[0][2]].Y == at[foot].Y || at[stacks[1][0]].Y == at[foot].Y {
		t.Error("the branch of a stack, or a second stack, lies over the drain")
	}
	parent, step = []int32{-1}, []units.Length{0}
	foot = add(0, 10*units.Foot) // where the drain ends, with two stacks
	first, second := add(foot, 0), add(foot, 0)
	add(first, 6*units.Foot)
	add(second, 5*units.Foot)
	if at = draw.Arrange(parent, step); at[first] != at[foot] || at[second] == at[foot] {
		t.Errorf("two stacks hide each other, or none stands on its foot: %v and %v on %v", at[first], at[second],
			at[foot])
	}
	if got := draw.Arrange([]int32{1, 0}, make([]units.Length, 2)); got[0] != got[1] {
		t.Error("nodes of a cycle do not stay at the origin")
	}
}

// TestArrangeInHeight: the branches of a stack of two storeys, four to a storey, lie beside one
// another as one looks at them from aslant: no end of one lies on another, and no two run over one
// another. At the places of a plan the upper storey hides a part of the lower one.
func TestArrangeInHeight(t *testing.T) {
	const ft = units.Foot
	parent := []int32{-1, 0, 1, 2, 3}
	step := []units.Length{0, 10 * ft, 12 * ft, 0, 0}
	height := []units.Length{0, ft / 5, ft / 2, 4 * ft, 13 * ft}
	for _, off := range []int32{3, 4} {
		for k := range units.Length(4) {
			parent, step = append(parent, off), append(step, (4+2*k)*ft)
			height = append(height, height[off]+ft/10)
		}
	}
	type place struct{ u, v float64 }
	look := func(p draw.Point) place { // X up to the right, Y up to the left, Z up
		x, y, z := p.X.Feet(), p.Y.Feet(), p.Z.Feet()
		return place{float64((x - y) * math.Sqrt(3) / 2), float64((x+y)/2) + z}
	}
	distance := func(p, a, b place) float64 {
		du, dv := b.u-a.u, b.v-a.v
		at := max(0, min(1, (float64((p.u-a.u)*du)+float64((p.v-a.v)*dv))/(float64(du*du)+float64(dv*dv))))
		return math.Hypot(p.u-a.u-float64(at*du), p.v-a.v-float64(at*dv))
	}
	nearest := func(at []draw.Point) float64 {
		least := math.Inf(1)
		for i := 5; i < len(at); i++ {
			for k := 5; k < len(at); k++ {
				foot := draw.Point{X: at[parent[k]].X, Y: at[k].Y, Z: height[parent[k]]}
				if i != k {
					least = min(least, distance(look(at[i]), look(foot), look(at[k])))
				}
				if parent[i] != parent[k] {
					least = min(least, distance(look(at[i]), look(at[parent[k]]), look(foot)))
				}
			}
		}
		return least
	}
	for _, left := range []bool{false, true} {
		at := draw.ArrangeInHeight(parent, step, height, left)
		if d := nearest(at); d < 1.5 {
			t.Errorf("left %v: a branch ends %.2f ft from another", left, d)
		}
		plan := draw.Arrange(parent, step)
		for i := range plan {
			plan[i].Z = height[i]
			if left {
				plan[i].X = -plan[i].X
			}
		}
		if d := nearest(plan); d >= 1.5 {
			t.Errorf("left %v: at the places of a plan nothing is hidden: this stack shows nothing", left)
		}
	}
}

// TestArrangeApart: in random trees no two nodes share a place, unless a step is nought.
func TestArrangeApart(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		parent, step := []int32{-1, -1}, []units.Length{0, 0}
		for i := range 200 {
			parent = append(parent, int32(rng.IntN(i+2)))
			step = append(step, units.Length(4+rng.IntN(12))*units.Foot)
		}
		seen := map[draw.Point]int{}
		for i, at := range draw.Arrange(parent, step) {
			if was, ok := seen[at]; ok {
				t.Errorf("seed %d: nodes %d and %d share a place", seed, was, i)
			}
			seen[at] = i
		}
	}
}

// TestLineOverManySheets: a line stands on each sheet on which a mark stands beside it,
// whether the sheets fill the drawing or lie along the line alone.
func TestLineOverManySheets(t *testing.T) {
	const n = 60
	for _, everywhere := range []bool{true, false} {
		far := units.Length(n * 10 * units.Foot)
		sc := &draw.Scene{Lines: []draw.Line{{ID: "line", Path: []draw.Point{{}, {X: far, Y: far}}}}}
		for i := range n {
			for k := range n {
				if i != k && !(everywhere && i%3 == 0 && k%3 == 0) {
					continue
				}
				id := fmt.Sprintf("M%d-%d", i, k)
				sc.Marks = append(sc.Marks, draw.Mark{ID: id, Label: []string{id, "as drawn", "and told", "in four", "lines"},
					At: draw.Point{X: units.Length(i) * 10 * units.Foot, Y: units.Length(k) * 10 * units.Foot}})
			}
		}
		sheets, err := draw.Plan(sc, draw.Options{Paper: draw.Letter})
		if err != nil || len(sheets) < 4 {
			t.Fatalf("%d sheets, %v", len(sheets), err)
		}
		found := 0
		for _, s := range sheets {
			_, line := s.Anchor("line")
			for i := range n {
				if _, ok := s.Anchor(fmt.Sprintf("M%d-%d", i, i)); ok {
					if found++; !line {
						t.Errorf("everywhere %v: sheet %s has M%d-%d and not the line it lies on", everywhere, s.Name, i, i)
					}
				}
			}
		}
		if found != n {
			t.Errorf("everywhere %v: %d of %d marks on the line found", everywhere, found, n)
		}
	}
}

// TestRisersStandOverTheirBase: in a schematic a riser stands over the point that it rises from, seen from above
// and from aslant, and so does a stack whose branch on the next floor runs on; only a second riser there turns off.
func TestRisersStandOverTheirBase(t *testing.T) {
	// 0 is the outlet, 1 and 2 run on from it; 3 and 4 rise from 1, 5 rises from 2, and 6 runs on from 5.
	parent := []int32{-1, 0, 1, 1, 1, 2, 5, 2}
	step := []units.Length{0, 10 * units.Foot, 10 * units.Foot, 0, 0, 0, 4 * units.Foot, 12 * units.Foot}
	height := []units.Length{0, 0, 0, 3 * units.Foot, 3 * units.Foot, 9 * units.Foot, 9 * units.Foot, 0}
	for name, at := range map[string][]draw.Point{"plan": draw.Arrange(parent, step),
		"aslant": draw.ArrangeInHeight(parent, step, height, false)} {
		over := func(i, base int) bool { return at[i].X == at[base].X && at[i].Y == at[base].Y }
		if over(3, 1) == over(4, 1) {
			t.Errorf("%s: of two risers one stands over its base: %v", name, at)
		}
		if name == "aslant" && !over(5, 2) {
			t.Errorf("%s: the stack is drawn aside: %v", name, at)
		}
	}
}
