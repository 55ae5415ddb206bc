// Package forest orders trees that are given as the parent of each node, -1 for a
// root: outlets, sources, mains and vents that end in the open air.
package forest

import "slices"

// RootsFirst returns the nodes that hang on a root, each after its parent: first the
// roots, then what hangs on them, all in the order of their numbers. What hangs on a
// cycle is not there.
func RootsFirst(parent []int32) []int32 {
	n := len(parent)
	first := make([]int32, n+2) // children of node i-1 (0: the roots) start here
	for _, p := range parent {
		first[p+2]++
	}
	for i := 1; i < len(first); i++ {
		first[i] += first[i-1]
	}
	child := make([]int32, n)
	next := slices.Clone(first[:n+1])
	for i, p := range parent {
		child[next[p+1]] = int32(i)
		next[p+1]++
	}
	order := make([]int32, 0, n)
	order = append(order, child[first[0]:first[1]]...)
	for k := 0; k < len(order); k++ {
		p := order[k]
		order = append(order, child[first[p+1]:first[p+2]]...)
	}
	return order
}

// Root returns the number by which the part that a node belongs to is known, and shortens the way
// there; part holds for each node another of its part, or itself. To join two parts, one root is
// put in the place of the other.
func Root(part []int32, i int32) int32 {
	for part[i] != i {
		part[i] = part[part[i]]
		i = part[i]
	}
	return i
}

// LeavesFirst returns the nodes from a number on, each after all its children, the
// leaves in the order of their numbers. The nodes of a cycle are not there.
func LeavesFirst(parent []int32, from int) []int32 {
	pending := make([]int32, len(parent)) // children that are not in order yet
	for _, p := range parent {
		if p >= 0 {
			pending[p]++
		}
	}
	order := make([]int32, 0, len(parent)-from)
	for i := from; i < len(parent); i++ {
		if pending[i] == 0 {
			order = append(order, int32(i))
		}
	}
	for k := 0; k < len(order); k++ {
		p := parent[order[k]]
		if p < 0 {
			continue
		}
		if pending[p]--; pending[p] == 0 && int(p) >= from {
			order = append(order, p)
		}
	}
	return order
}

// Cycles returns each cycle once, as its nodes from the least on, the cycle of the least
// node first. Nodes that only hang on a cycle are not named.
func Cycles(parent []int32) (cycles [][]int32) {
	walk := make([]int32, len(parent)) // the walk that passed first, from 1
	for start := range parent {
		at := int32(start)
		for at >= 0 && walk[at] == 0 {
			walk[at] = int32(start) + 1
			at = parent[at]
		}
		if at < 0 || walk[at] != int32(start)+1 {
			continue
		}
		least := at
		for k := parent[at]; k != at; k = parent[k] {
			least = min(least, k)
		}
		cycle := []int32{least}
		for k := parent[least]; k != least; k = parent[k] {
			cycle = append(cycle, k)
		}
		cycles = append(cycles, cycle)
	}
	slices.SortFunc(cycles, func(a, b []int32) int { return int(a[0] - b[0]) })
	return cycles
}
