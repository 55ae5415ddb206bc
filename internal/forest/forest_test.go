package forest

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Two trees, 0 with 2 and 4 on it and 3 on 4, and 1 alone; then the same with a cycle
// of 5, 7 and 6, on which 8 hangs.
func TestByHand(t *testing.T) {
	trees := []int32{-1, -1, 0, 4, 0}
	if diff := cmp.Diff([]int32{0, 1, 2, 4, 3}, RootsFirst(trees)); diff != "" {
		t.Error("roots first", diff)
	}
	if diff := cmp.Diff([]int32{1, 2, 3, 4, 0}, LeavesFirst(trees, 0)); diff != "" {
		t.Error("leaves first", diff)
	}
	if diff := cmp.Diff([]int32{2, 3, 4}, LeavesFirst(trees, 2)); diff != "" {
		t.Error("leaves first, the roots left out", diff)
	}
	if c := Cycles(trees); c != nil {
		t.Error(c)
	}
	round := append(slices.Clone(trees), 7, 5, 6, 5)
	if diff := cmp.Diff([]int32{0, 1, 2, 4, 3}, RootsFirst(round)); diff != "" {
		t.Error("roots first, a cycle aside", diff)
	}
	if diff := cmp.Diff([]int32{1, 2, 3, 8, 4, 0}, LeavesFirst(round, 0)); diff != "" {
		t.Error("leaves first, a cycle aside", diff)
	}
	if diff := cmp.Diff([][]int32{{5, 7, 6}}, Cycles(round)); diff != "" {
		t.Error("cycles", diff)
	}
	if diff := cmp.Diff([][]int32{{0}, {1, 2}}, Cycles([]int32{0, 2, 1})); diff != "" {
		t.Error("a node that is its own parent", diff)
	}
	if diff := cmp.Diff([][]int32{{1}, {2}}, Cycles([]int32{2, 1, 2})); diff != "" {
		t.Error("the cycle of the least node first", diff)
	}
	if RootsFirst(nil) == nil || LeavesFirst(nil, 0) == nil || Cycles(nil) != nil {
		t.Error("nothing")
	}
}

// Of any parents: both orders hold each node once at most and on its side of its
// parent, and what neither reaches is on a cycle or leads to one.
func TestOrders(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		parent := make([]int32, 1+r.IntN(40))
		for i := range parent {
			parent[i] = int32(r.IntN(len(parent)+1)) - 1
		}
		onCycle := map[int32]bool{}
		for _, c := range Cycles(parent) {
			for k, i := range c {
				onCycle[i] = true
				if parent[i] != c[(k+1)%len(c)] || i < c[0] {
					t.Fatalf("%v: no cycle %v", parent, c)
				}
			}
		}
		down, up := map[int32]int{}, map[int32]int{}
		for at, i := range RootsFirst(parent) {
			down[i] = at
		}
		for at, i := range LeavesFirst(parent, 0) {
			up[i] = at
		}
		for i := range int32(len(parent)) {
			at := i // where following the parents ends
			for range parent {
				if at = parent[at]; at < 0 {
					break
				}
			}
			rooted := at < 0
			if _, ok := down[i]; ok != rooted {
				t.Fatalf("%v: %d is rooted: %v, found from the roots: %v", parent, i, rooted, ok)
			}
			if onCycle[i] && rooted {
				t.Fatalf("%v: %d is on a cycle and on a root", parent, i)
			}
			if p := parent[i]; p >= 0 && rooted && down[p] >= down[i] {
				t.Fatalf("%v: %d comes before its parent", parent, i)
			}
			if p := parent[i]; p >= 0 {
				if _, ok := up[p]; ok && up[p] <= up[i] {
					t.Fatalf("%v: %d comes after its parent", parent, i)
				}
			}
			if _, ok := up[i]; ok == onCycle[i] {
				t.Fatalf("%v: %d is on a cycle: %v, in the order from the leaves: %v", parent, i, onCycle[i], ok)
			}
		}
		if len(down) != len(RootsFirst(parent)) || len(up) != len(LeavesFirst(parent, 0)) {
			t.Fatalf("%v: a node stands twice", parent)
		}
	}
}
