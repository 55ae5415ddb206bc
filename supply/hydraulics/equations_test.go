package hydraulics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// Numbered so that neighbours are close, a square grid goes diagonal by diagonal, and a
// row reaches back over one: the squares of the diagonals add to 2/3 side³. So 50 000
// nodes stay well under maxEquations.
func TestEquationsAreShort(t *testing.T) {
	const side = 40
	r := rand.New(rand.NewPCG(51, 52))
	var n Network
	name := r.Perm(side * side)
	for i := range name {
		n.Nodes = append(n.Nodes, NetworkNode{ID: fmt.Sprint(i)})
	}
	pipe := func(a, b int) {
		n.Pipes = append(n.Pipes, NetworkPipe{ID: fmt.Sprint(len(n.Pipes)), From: fmt.Sprint(name[a]),
			To: fmt.Sprint(name[b]),
			Friction: Friction{Method: HazenWilliams, Bore: units.Inch, Length: units.Metre, C: 100,
				Water: Water{Density: 999}}})
	}
	for i := range side {
		for j := range side {
			if i > 0 {
				pipe((i-1)*side+j, i*side+j)
			}
			if j > 0 {
				pipe(i*side+j-1, i*side+j)
			}
		}
	}
	n.Nodes[name[0]].Fixed = true
	s, err := n.prepare()
	if err != nil {
		t.Fatal(err)
	}
	eq, err := s.equations()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(eq.a), 2*side*side*side/3; got > want*21/20 {
		t.Errorf("%d entries for %d nodes, want about %d", got, side*side, want)
	}
}

// A step that would overshoot is halved until the slope along it turns up by no more than
// half of what it fell with. In a laminar pipe between two tanks the slope is straight:
// at n times the step to the solution it comes to n - 1 of what it was.
func TestSearchHalves(t *testing.T) {
	n := Network{
		Nodes: []NetworkNode{{ID: "high", Fixed: true, Head: 11}, {ID: "low", Fixed: true, Head: 10}},
		Pipes: []NetworkPipe{{ID: "p", From: "high", To: "low",
			Friction: Friction{Method: DarcyWeisbach, Bore: 20 * units.Millimetre, Length: 10 * units.Metre,
				Water: Water{Density: 999, KinematicViscosity: 1}}}},
	}
	solved, err := n.Solve()
	if err != nil {
		t.Fatal(err)
	}
	right := float64(solved.Flows[0])
	for _, c := range []struct{ times, lands float64 }{
		{1, 1}, {1.45, 1.45}, {1.55, 0.775}, {5.9, 1.475}, {6.1, 0.7625}, {8, 1}, {1 << 20, 1},
		{1 << 40, 1 << 20}, // given up at a millionth of the step
	} {
		s, err := n.prepare()
		if err != nil {
			t.Fatal(err)
		}
		start := right / 2
		s.pipes[0].q = start
		s.evaluate()
		s.heads()
		s.pipes[0].step = c.times * (right - start)
		s.search()
		if got := (s.pipes[0].q - start) / (right - start); math.Abs(got-c.lands) > 1e-9*c.lands {
			t.Errorf("a step %v times too long lands at %v of the way, want %v", c.times, got, c.lands)
		}
	}
}
