package hydraulics

import (
	"context"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/units"
)

// equations is the balance of flow at the nodes of a network for the heads that
// are not fixed: conductances between nodes, and of each node to the fixed heads.
// They are kept as the rows of the lower triangle, from the first entry of each row
// to short of the diagonal. Nodes are numbered so that neighbours are close (reverse
// Cuthill-McKee), which keeps the rows short.
//
// The diagonal is never stored but summed from what is left of its row, so that
// nothing is subtracted and conductances may differ by any power of ten.
//
// Source: E. Cuthill and J. McKee, Proc. 24th National Conference ACM (1969) 157; W.
// K. Grassmann, M. I. Taksar, D. P. Heyman, Operations Research 33 (1985) 1107, for
// elimination without subtraction.
type equations struct {
	start  []int     // of each row in a
	first  []int32   // column of the first entry of each row
	until  []int32   // last row that reaches back to each column
	a      []float64 // conductances
	ground []float64 // conductance of each node to fixed heads
	x      []float64 // flow that must go in, then the solution
	column []float64 // work space
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
	e := &equations{
		start: make([]int, n+1), first: make([]int32, n), until: make([]int32, n),
		ground: make([]float64, n), x: make([]float64, n), column: make([]float64, n),
	}
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
		e.start[row+1] = e.start[row] + row - int(e.first[row])
		for k := int(e.first[row]); k < row; k++ {
			e.until[k] = int32(row)
		}
	}
	if e.start[n] > maxEquations {
		return nil, fmt.Errorf("network: its equations would hold %d entries, more than %d: %w", e.start[n], maxEquations,
			units.ErrRange)
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
	clear(e.ground)
	clear(e.x)
}

// addPipe adds a pipe of conductance g between two rows, -1 for a fixed head, in
// which push flows from one to the other besides.
func (e *equations) addPipe(from, to int32, g, push float64) {
	if from >= 0 {
		e.x[from] -= push
	}
	if to >= 0 {
		e.x[to] += push
	}
	switch {
	case from >= 0 && to >= 0:
		row, column := max(from, to), min(from, to)
		e.a[e.start[row]+int(column-e.first[row])] += g
	case from >= 0:
		e.ground[from] += g
	case to >= 0:
		e.ground[to] += g
	}
}

// solveBetween is how many conductances are added to between two looks at the context: some hundredths of a second.
const solveBetween = 1 << 24

// solve replaces x by the heads that let x flow in at each node. It reports whether
// there are any, and the context let it end. A node asks for as much work as the square of how many
// others it reaches back to: in a square grid of n nodes that is one for each along a side, so that all of
// them together cost n times n, and two, four times the nodes two, four times the time for each.
func (e *equations) solve(ctx context.Context) bool {
	added := 0
	// Eliminate node i: what it carried between its neighbours, and between them and the
	// fixed heads, is added to what they carry themselves.
	for i := range e.first {
		until := int(e.until[i])
		if added += (until - i) * (until - i) / 2; added > solveBetween {
			if added = 0; ctx.Err() != nil {
				return false
			}
		}
		sum := e.ground[i]
		for j := i + 1; j <= until; j++ {
			e.column[j] = 0
			if int(e.first[j]) <= i {
				e.column[j] = e.a[e.start[j]+i-int(e.first[j])]
				sum += e.column[j]
			}
		}
		if !(sum > 0) {
			return false
		}
		for j := i + 1; j <= until; j++ {
			if e.column[j] == 0 {
				continue
			}
			share := e.column[j] / sum
			e.ground[j] += float64(share * e.ground[i])
			e.x[j] += float64(share * e.x[i])
			at := e.start[j] + i - int(e.first[j])
			row := e.a[at+1 : at+j-i]
			neighbours := e.column[i+1 : j]
			neighbours = neighbours[:len(row)]
			for k, w := range neighbours {
				row[k] += float64(share * w)
			}
			e.a[at] = share
		}
		e.x[i] /= sum
	}
	for i := len(e.first) - 1; i >= 0; i-- {
		for j := i + 1; j <= int(e.until[i]); j++ {
			if int(e.first[j]) <= i {
				e.x[i] += float64(e.a[e.start[j]+i-int(e.first[j])] * e.x[j])
			}
		}
	}
	return true
}
