package supply

import (
	"fmt"
	"math"
	"slices"
)

// equations is a symmetric positive definite system over the nodes of a network,
// kept as the rows of its lower triangle from the first entry of each row on.
// Nodes are numbered so that neighbours are close (reverse Cuthill-McKee), which
// keeps the rows short.
//
// Source: E. Cuthill and J. McKee, Proc. 24th National Conference ACM (1969) 157;
// the decomposition is A.-L. Cholesky's.
type equations struct {
	start []int     // of each row in a
	first []int32   // column of the first entry of each row
	a     []float64 // rows, each up to the diagonal
	x     []float64 // right-hand side, then solution
}

// maxEquations bounds the memory of a system; a grid of 50 000 nodes fits.
const maxEquations = 1 << 26

// equations numbers the unknown heads and lays out their system.
func (s *networkSolver) equations() (*equations, error) {
	order := s.cuthillMcKee()
	s.unknown = make([]int32, len(s.head))
	for i := range s.unknown {
		s.unknown[i] = -1
	}
	for row, i := range order {
		s.unknown[i] = int32(row)
	}
	n := len(order)
	e := &equations{start: make([]int, n+1), first: make([]int32, n), x: make([]float64, n)}
	for row := range e.first {
		e.first[row] = int32(row)
	}
	for _, p := range s.pipes {
		a, b := s.unknown[p.from], s.unknown[p.to]
		if a >= 0 && b >= 0 {
			e.first[max(a, b)] = min(e.first[max(a, b)], min(a, b))
		}
	}
	for row := range n {
		e.start[row+1] = e.start[row] + row - int(e.first[row]) + 1
	}
	if e.start[n] > maxEquations {
		return nil, fmt.Errorf("network: its equations would hold %d entries, more than %d: %w", e.start[n], maxEquations, ErrRange)
	}
	e.a = make([]float64, e.start[n])
	return e, nil
}

// cuthillMcKee returns the nodes whose head is unknown in an order that keeps
// neighbours close.
func (s *networkSolver) cuthillMcKee() []int32 {
	start, pipesAt := s.adjacency()
	degree := func(i int32) int32 { return start[i+1] - start[i] }
	seen := make([]bool, len(s.head))
	var order, next []int32
	// spread appends the part of the network around root, nearest first.
	spread := func(root int32) (last int32) {
		from := len(order)
		order = append(order, root)
		seen[root] = true
		for k := from; k < len(order); k++ {
			i := order[k]
			next = next[:0]
			for _, j := range pipesAt[start[i]:start[i+1]] {
				other := s.pipes[j].from + s.pipes[j].to - i
				if !seen[other] && !s.fixed[other] {
					seen[other] = true
					next = append(next, other)
				}
			}
			slices.SortStableFunc(next, func(a, b int32) int { return int(degree(a) - degree(b)) })
			order = append(order, next...)
		}
		return order[len(order)-1]
	}
	for i := range s.head {
		if seen[i] || s.fixed[i] {
			continue
		}
		// The far end of a first pass is a better place to begin.
		from := len(order)
		last := spread(int32(i))
		for _, k := range order[from:] {
			seen[k] = false
		}
		order = order[:from]
		spread(last)
	}
	slices.Reverse(order)
	return order
}

func (e *equations) clear() {
	clear(e.a)
	clear(e.x)
}

func (e *equations) at(row, column int32) *float64 {
	return &e.a[e.start[row]+int(column-e.first[row])]
}

// addPipe adds a pipe of conductance g between two rows, -1 for a fixed head, in
// which push flows from one to the other besides.
func (e *equations) addPipe(from, to int32, g, push float64) {
	if from >= 0 {
		*e.at(from, from) += g
		e.x[from] -= push
	}
	if to >= 0 {
		*e.at(to, to) += g
		e.x[to] += push
	}
	if from >= 0 && to >= 0 {
		*e.at(max(from, to), min(from, to)) -= g
	}
}

// solve decomposes the system and replaces x by the solution. It reports whether
// the system is positive definite.
func (e *equations) solve() bool {
	for i := range e.first {
		row := e.a[e.start[i]:e.start[i+1]]
		fi := e.first[i]
		for k := range row {
			j := fi + int32(k)
			other := e.a[e.start[j]:e.start[j+1]]
			// Both rows from their first common column on, short of j.
			c := max(fi, e.first[j])
			sum := row[k]
			left, right := row[c-fi:k], other[c-e.first[j]:j-e.first[j]]
			right = right[:len(left)]
			for m, v := range left {
				sum -= float64(v * right[m])
			}
			if int(j) < i {
				row[k] = sum / other[len(other)-1]
				continue
			}
			if !(sum > 0) {
				return false
			}
			row[k] = math.Sqrt(sum)
		}
	}
	for i := range e.first {
		row := e.a[e.start[i]:e.start[i+1]]
		sum := e.x[i]
		for k, v := range row[:len(row)-1] {
			sum -= float64(v * e.x[int(e.first[i])+k])
		}
		e.x[i] = sum / row[len(row)-1]
	}
	for i := len(e.first) - 1; i >= 0; i-- {
		row := e.a[e.start[i]:e.start[i+1]]
		e.x[i] /= row[len(row)-1]
		for k, v := range row[:len(row)-1] {
			e.x[int(e.first[i])+k] -= float64(v * e.x[i])
		}
	}
	return true
}
