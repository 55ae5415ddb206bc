package supply

import (
	"fmt"
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
		n.Pipes = append(n.Pipes, NetworkPipe{ID: fmt.Sprint(len(n.Pipes)), From: fmt.Sprint(name[a]), To: fmt.Sprint(name[b]),
			Friction: Friction{Method: HazenWilliams, Bore: units.Inch, Length: units.Metre, C: 100, Water: Water{Density: 999}}})
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
