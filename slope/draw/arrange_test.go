package draw_test

import (
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// TestArrange: a comb of ten teeth takes three rows, teeth to either side of the trunk, and a
// riser stands over its foot.
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
	if got := draw.Arrange([]int32{1, 0}, make([]units.Length, 2)); got[0] != got[1] {
		t.Error("nodes of a cycle do not stay at the origin")
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
