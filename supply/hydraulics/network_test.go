package hydraulics_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// gridNetwork returns side x side nodes joined in squares, fed at one corner or, if
// two, at two, with random bores, lengths and demands: (side-1)² loops.
func gridNetwork(r *rand.Rand, side int, method hydraulics.LossMethod, two bool) hydraulics.Network {
	var n hydraulics.Network
	id := func(i, j int) string { return fmt.Sprintf("%d,%d", i, j) }
	w, _ := hydraulics.WaterAt(units.Celsius(12))
	pipe := func(from, to string) {
		n.Pipes = append(n.Pipes, hydraulics.NetworkPipe{
			ID: from + "-" + to, From: from, To: to,
			Friction: hydraulics.Friction{
				Method: method, Bore: units.Millimetres(20 + 130*r.Float64()), Length: units.Metres(5 + 200*r.Float64()),
				C: 100 + 50*r.Float64(), Roughness: units.Millimetres(0.2 * r.Float64()), K: float64(r.IntN(2)) * 3, Water: w,
			},
		})
	}
	for i := range side {
		for j := range side {
			node := hydraulics.NetworkNode{ID: id(i, j), Demand: units.Flow(2e-3 * r.Float64())}
			if i+j == 0 || two && i+j == 2*side-2 {
				node = hydraulics.NetworkNode{ID: id(i, j), Fixed: true, Head: units.Head(50 + 10*r.Float64())}
			}
			n.Nodes = append(n.Nodes, node)
			if i > 0 {
				pipe(id(i-1, j), id(i, j))
			}
			if j > 0 {
				pipe(id(i, j-1), id(i, j))
			}
		}
	}
	return n
}

// checkNetwork judges a solution by the laws alone: flow balances at every node, and
// every pipe loses the difference of the heads at its ends.
func checkNetwork(t *testing.T, n hydraulics.Network, s *hydraulics.NetworkSolution) {
	t.Helper()
	index := map[string]int{}
	if s.Rounds < 1 {
		t.Errorf("%d rounds", s.Rounds)
	}
	net := make([]float64, len(n.Nodes))
	lowest, highest := math.Inf(1), math.Inf(-1)
	for i, node := range n.Nodes {
		index[node.ID] = i
		net[i] = float64(node.Demand)
		lowest, highest = min(lowest, float64(s.Heads[i])), max(highest, float64(s.Heads[i]))
	}
	most := 0.0
	// Heads are held to what a float64 can tell, too.
	allowed := max(1e-9*(highest-lowest), 1e-14*max(math.Abs(highest), math.Abs(lowest)), 2e-15)
	for j, pipe := range n.Pipes {
		from, to := index[pipe.From], index[pipe.To]
		q := float64(s.Flows[j])
		net[from] += q
		net[to] -= q
		most = max(most, math.Abs(q))
		r, err := pipe.Friction.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		h, err := r.HeadLoss(units.Flow(math.Abs(q)))
		if err != nil {
			t.Fatal(err)
		}
		loss := math.Copysign(float64(h), q) - float64(pipe.Lift)
		if off := float64(s.Heads[from]-s.Heads[to]) - loss; math.Abs(off) > allowed {
			t.Errorf("pipe %s: heads differ by %g more than its loss %g", pipe.ID, off, loss)
		}
	}
	for i, v := range net {
		if n.Nodes[i].Fixed {
			if math.Abs(v-float64(s.Inflows[i])) > 1e-9*most {
				t.Errorf("node %s gives %g, said to give %g", n.Nodes[i].ID, v, float64(s.Inflows[i]))
			}
			if n.Nodes[i].Head != s.Heads[i] {
				t.Errorf("node %s: head moved from %v to %v", n.Nodes[i].ID, n.Nodes[i].Head, s.Heads[i])
			}
			continue
		}
		if math.Abs(v) > 1e-9*most {
			t.Errorf("node %s is off by %g of %g", n.Nodes[i].ID, v, most)
		}
	}
}

func TestNetworkRandomGrids(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 30 {
		for _, method := range []hydraulics.LossMethod{hydraulics.HazenWilliams, hydraulics.DarcyWeisbach} {
			n := gridNetwork(r, 2+r.IntN(8), method, r.IntN(2) == 0)
			s, err := n.Solve()
			if err != nil {
				t.Fatal(err)
			}
			checkNetwork(t, n, s)
		}
	}
}

func pipeOf(id, from, to string) hydraulics.NetworkPipe {
	return hydraulics.NetworkPipe{ID: id, From: from, To: to, Friction: hydraulics.Friction{
		Method: hydraulics.HazenWilliams, Bore: units.Inch, Length: 100 * units.Foot, C: 150,
		Water: hydraulics.Water{Density: 999}}}
}

func TestNetworkPlainCases(t *testing.T) {
	one := pipeOf("p", "main", "tap").Friction
	r, err := one.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	const q = 5e-4
	loss, _ := r.HeadLoss(q)
	half, _ := r.HeadLoss(q / 2)

	t.Run("one pipe", func(t *testing.T) {
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "tap", Demand: q}, {ID: "main", Fixed: true, Head: 40}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("p", "main", "tap")},
		}
		s, err := n.Solve()
		if err != nil || s.Flows[0] != q || !proof.Near(float64(s.Heads[0]), float64(40-loss), 1e-13) ||
			!proof.Near(float64(s.Inflows[1]), -q, 1e-12) && !proof.Near(float64(s.Inflows[1]), q, 1e-12) {
			t.Errorf("%+v, %v", s, err)
		}
	})
	t.Run("two equal pipes share", func(t *testing.T) {
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "main", Fixed: true, Head: 40}, {ID: "tap", Demand: q}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("a", "main", "tap"), pipeOf("b", "tap", "main")},
		}
		s, err := n.Solve()
		if err != nil || !proof.Near(float64(s.Flows[0]), q/2, 1e-9) || !proof.Near(float64(s.Flows[1]), -q/2, 1e-9) ||
			!proof.Near(float64(s.Heads[1]), float64(40-half), 1e-9) {
			t.Errorf("%+v, %v", s, err)
		}
	})
	t.Run("nothing drawn", func(t *testing.T) {
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "main", Fixed: true, Head: 40}, {ID: "x"}, {ID: "y"}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("a", "main", "x"), pipeOf("b", "x", "y"), pipeOf("c", "y", "main")},
		}
		s, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		for j, f := range s.Flows {
			if math.Abs(float64(f)) > 1e-9 {
				t.Errorf("pipe %d flows %g", j, float64(f))
			}
		}
	})
	t.Run("pump drives a loop", func(t *testing.T) {
		out := pipeOf("out", "heater", "far")
		out.Lift = 2 * loss
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "heater", Fixed: true, Head: 30}, {ID: "far"}},
			Pipes: []hydraulics.NetworkPipe{out, pipeOf("back", "far", "heater")},
		}
		s, err := n.Solve()
		if err != nil || !proof.Near(float64(s.Flows[0]), q, 1e-9) || !proof.Near(float64(s.Flows[1]), q, 1e-9) {
			t.Errorf("%+v, %v, want %v", s, err, q)
		}
	})
	t.Run("two mains", func(t *testing.T) {
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "high", Fixed: true, Head: 40 + loss}, {ID: "low", Fixed: true, Head: 40}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("p", "high", "low")},
		}
		s, err := n.Solve()
		if err != nil || !proof.Near(float64(s.Flows[0]), q, 1e-9) {
			t.Errorf("%+v, %v, want %v", s, err, q)
		}
	})
}

// A mountain of head in common does not drown what seeps: the flows are those without
// it, and the sum of the two pipes is what is drawn.
func TestNetworkFarFromZero(t *testing.T) {
	flows := func(head units.Head) []units.Flow {
		n := hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "main", Fixed: true, Head: head}, {ID: "tap", Demand: 1e-8}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("a", "main", "tap"), pipeOf("b", "main", "tap")},
		}
		n.Pipes[1].Friction.Bore = 2 * units.Inch
		s, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		return s.Flows
	}
	near0, far := flows(0), flows(1e6)
	// Twice the bore carries 2^2.63 as much.
	if share := float64(near0[1] / near0[0]); !proof.Near(share, math.Pow(2, 2.63), 1e-9) {
		t.Errorf("the pipes carry %v", near0)
	}
	for j := range far {
		if !proof.Near(float64(far[j]), float64(near0[j]), 1e-9) {
			t.Errorf("pipe %d carries %v, with a head of 1000 km %v", j, near0[j], far[j])
		}
	}
}

// The greatest flows that are accepted balance, though sums of them round.
func TestNetworkGreatestFlows(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	n := gridNetwork(r, 4, hydraulics.HazenWilliams, false)
	for j := range n.Pipes {
		n.Pipes[j].Friction.Bore = units.Length(20+80*r.Float64()) * units.Metre
	}
	for i := range n.Nodes {
		if !n.Nodes[i].Fixed {
			n.Nodes[i].Demand = units.Flow(6000 * r.Float64())
		}
	}
	s, err := n.Solve()
	if err != nil {
		t.Fatal(err)
	}
	checkNetwork(t, n, s)
	if s.Continuity > 1e-13 {
		t.Errorf("continuity %v", s.Continuity)
	}
}

func TestNetworkRefuses(t *testing.T) {
	good := func() hydraulics.Network {
		return hydraulics.Network{
			Nodes: []hydraulics.NetworkNode{{ID: "main", Fixed: true, Head: 40}, {ID: "a", Demand: 1e-4}, {ID: "b"}},
			Pipes: []hydraulics.NetworkPipe{pipeOf("1", "main", "a"), pipeOf("2", "a", "b")},
		}
	}
	for _, c := range []struct {
		name  string
		spoil func(n *hydraulics.Network)
		want  error
	}{
		{"no fixed head", func(n *hydraulics.Network) { n.Nodes[0] = hydraulics.NetworkNode{ID: "main"} },
			units.ErrNoSolution},
		{"part without a fixed head", func(n *hydraulics.Network) { n.Pipes = n.Pipes[:1] }, units.ErrNoSolution},
		{"node twice", func(n *hydraulics.Network) { n.Nodes[2].ID = "a" }, units.ErrRange},
		{"pipe twice", func(n *hydraulics.Network) { n.Pipes[1].ID = "1" }, units.ErrRange},
		{"no such node", func(n *hydraulics.Network) { n.Pipes[1].To = "c" }, units.ErrRange},
		{"both ends the same", func(n *hydraulics.Network) { n.Pipes[1].To = "a" }, units.ErrRange},
		{"fixed and drawn", func(n *hydraulics.Network) { n.Nodes[0].Demand = 1 }, units.ErrRange},
		{"head not fixed", func(n *hydraulics.Network) { n.Nodes[1].Head = 1 }, units.ErrRange},
		{"demand not a number", func(n *hydraulics.Network) { n.Nodes[1].Demand = units.Flow(math.NaN()) }, units.ErrRange},
		{"head infinite", func(n *hydraulics.Network) { n.Nodes[0].Head = units.Head(math.Inf(1)) }, units.ErrRange},
		{"bore", func(n *hydraulics.Network) { n.Pipes[0].Friction.Bore = 0 }, units.ErrRange},
		{"no length", func(n *hydraulics.Network) { n.Pipes[0].Friction.Length = 0 }, units.ErrRange},
		{"lift", func(n *hydraulics.Network) { n.Pipes[0].Lift = units.Head(math.NaN()) }, units.ErrRange},
	} {
		n := good()
		if _, err := n.Solve(); err != nil {
			t.Fatal(err)
		}
		c.spoil(&n)
		if _, err := n.Solve(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func BenchmarkNetwork(b *testing.B) {
	for _, side := range []int{15, 32} {
		for _, method := range []hydraulics.LossMethod{hydraulics.HazenWilliams, hydraulics.DarcyWeisbach} {
			b.Run(fmt.Sprintf("loops=%d/%v", (side-1)*(side-1), method), func(b *testing.B) {
				n := gridNetwork(rand.New(rand.NewPCG(7, 8)), side, method, true)
				b.ReportAllocs()
				for b.Loop() {
					s, err := n.Solve()
					if err != nil {
						b.Fatal(err)
					}
					sink = float64(s.Rounds)
				}
			})
		}
	}
}

// Networks of any shape: trees, rings, pipes side by side, pumps, several fixed heads,
// water that comes in at a node, parts that hang on a head of their own.
func TestNetworkRandomShapes(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	w, _ := hydraulics.WaterAt(units.Celsius(30))
	for range 400 {
		var n hydraulics.Network
		size := 2 + r.IntN(20)
		for i := range size {
			node := hydraulics.NetworkNode{ID: fmt.Sprint(i)}
			switch {
			case i == 0 || r.IntN(6) == 0:
				node.Fixed, node.Head = true, units.Head(80*r.Float64()-20)
			case r.IntN(3) > 0:
				node.Demand = units.Flow(1e-3 * (r.Float64() - 0.3))
			}
			n.Nodes = append(n.Nodes, node)
		}
		join := func(a, b int) {
			f := hydraulics.Friction{
				Method: hydraulics.LossMethod(1 + r.IntN(2)), Bore: units.Millimetres(8 + 60*r.Float64()),
				Length: units.Metres(0.5 + 60*r.Float64()),
				C:      80 + 70*r.Float64(), Roughness: units.Micrometre * units.Length(r.IntN(150)), Water: w,
			}
			if r.IntN(4) == 0 {
				f.K = 10 * r.Float64()
			}
			p := hydraulics.NetworkPipe{ID: fmt.Sprint(len(n.Pipes)), From: fmt.Sprint(a), To: fmt.Sprint(b), Friction: f}
			if r.IntN(8) == 0 {
				p.Lift = units.Head(15 * r.Float64())
			}
			n.Pipes = append(n.Pipes, p)
		}
		for i := 1; i < size; i++ {
			if !n.Nodes[i].Fixed || r.IntN(2) == 0 {
				join(r.IntN(i), i)
			}
		}
		for range r.IntN(size) {
			if a, b := r.IntN(size), r.IntN(size); a != b {
				join(a, b)
			}
		}
		s, err := n.Solve()
		if err != nil {
			t.Errorf("%+v: %v", n, err)
			continue
		}
		checkNetwork(t, n, s)
		if s.Rounds > 60 {
			t.Errorf("%d rounds for %d nodes and %d pipes", s.Rounds, len(n.Nodes), len(n.Pipes))
		}
	}
}

// Bores, lengths, heads and demands spread over powers of ten: most pipes are far
// too small or too large for what they carry, and the flow is anything from a seep to
// a torrent. Here full steps of Newton's method overshoot.
func TestNetworkExtremes(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	w, _ := hydraulics.WaterAt(units.Celsius(10))
	power := func(from, decades float64) float64 { return math.Pow(10, from+decades*r.Float64()) }
	for range 1500 {
		var n hydraulics.Network
		size := 2 + r.IntN(12)
		for i := range size {
			node := hydraulics.NetworkNode{ID: fmt.Sprint(i)}
			if i == 0 || r.IntN(3) == 0 {
				node.Fixed, node.Head = true, units.Head(power(-4, 6))
			} else if r.IntN(2) == 0 {
				node.Demand = units.Flow(power(-8, 6))
			}
			n.Nodes = append(n.Nodes, node)
		}
		join := func(a, b int) {
			n.Pipes = append(n.Pipes, hydraulics.NetworkPipe{ID: fmt.Sprint(len(n.Pipes)), From: fmt.Sprint(a),
				To: fmt.Sprint(b), Friction: hydraulics.Friction{
					Method: hydraulics.LossMethod(1 + r.IntN(2)), Bore: units.Metres(power(-2.2, 2)),
					Length: units.Metres(power(-2, 5)), C: 100, Water: w,
				}})
		}
		for i := 1; i < size; i++ {
			join(r.IntN(i), i)
		}
		for range r.IntN(2 * size) {
			if a, b := r.IntN(size), r.IntN(size); a != b {
				join(a, b)
			}
		}
		s, err := n.Solve()
		if err != nil {
			t.Errorf("%+v: %v", n, err)
			continue
		}
		checkNetwork(t, n, s)
	}
}

// More drawn at one node lowers the head there and nowhere raises it.
func TestNetworkMoreDrawnLowersHeads(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	for range 20 {
		n := gridNetwork(r, 5, hydraulics.DarcyWeisbach, true)
		before, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		i := 1 + r.IntN(len(n.Nodes)-2)
		n.Nodes[i].Demand += 1e-3
		after, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if after.Heads[i] >= before.Heads[i] {
			t.Errorf("head at %s went from %v to %v", n.Nodes[i].ID, before.Heads[i], after.Heads[i])
		}
		for j := range n.Nodes {
			if after.Heads[j] > before.Heads[j]+1e-8 {
				t.Errorf("head at %s rose from %v to %v", n.Nodes[j].ID, before.Heads[j], after.Heads[j])
			}
		}
	}
}

// The same network in another order has the same solution.
func TestNetworkOrderDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	n := gridNetwork(r, 6, hydraulics.HazenWilliams, true)
	a, err := n.Solve()
	if err != nil {
		t.Fatal(err)
	}
	m := hydraulics.Network{}
	at := r.Perm(len(n.Nodes))
	for _, i := range at {
		m.Nodes = append(m.Nodes, n.Nodes[i])
	}
	pipeAt := r.Perm(len(n.Pipes))
	for _, j := range pipeAt {
		p := n.Pipes[j]
		p.From, p.To = p.To, p.From
		m.Pipes = append(m.Pipes, p)
	}
	b, err := m.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for k, j := range pipeAt {
		if math.Abs(float64(a.Flows[j]+b.Flows[k])) > 1e-9*0.05 {
			t.Errorf("pipe %s: %v and, turned round, %v", n.Pipes[j].ID, float64(a.Flows[j]), float64(b.Flows[k]))
		}
	}
}

func ExampleNetwork_Solve() {
	w, err := hydraulics.WaterAt(units.Fahrenheit(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	ring := func(id, from, to string, feet float64) hydraulics.NetworkPipe {
		return hydraulics.NetworkPipe{ID: id, From: from, To: to, Friction: hydraulics.Friction{
			Method: hydraulics.HazenWilliams, Bore: units.Inches(2.067), Length: units.Feet(feet), C: 120, Water: w,
		}}
	}
	n := hydraulics.Network{
		Nodes: []hydraulics.NetworkNode{
			{ID: "main", Fixed: true, Head: 150 * units.FootOfHead},
			{ID: "east", Demand: 30 * units.USGallonPerMinute},
			{ID: "west", Demand: 45 * units.USGallonPerMinute},
		},
		Pipes: []hydraulics.NetworkPipe{
			ring("1", "main", "east", 100), ring("2", "main", "west", 100), ring("3", "east", "west", 80),
		},
	}
	s, err := n.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	for j, p := range n.Pipes {
		fmt.Printf("%s to %s: %.2f gpm\n", p.From, p.To, float64(s.Flows[j]/units.USGallonPerMinute))
	}
	fmt.Printf("head at west: %.2f ft\n", float64(s.Heads[2]/units.FootOfHead))
	// Output:
	// main to east: 37.13 gpm
	// main to west: 37.87 gpm
	// east to west: 7.13 gpm
	// head at west: 146.40 ft
}

// TestNetworkStops: a solution that was called off says so, and in which round.
func TestNetworkStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	n := gridNetwork(rand.New(rand.NewPCG(7, 8)), 5, hydraulics.HazenWilliams, true)
	if _, err := n.SolveContext(ctx); !errors.Is(err, context.Canceled) || !strings.Contains(err.Error(), "round 1 of") {
		t.Errorf("got %v", err)
	}
}

// TestRoundOfNetworkStops: one round of a great grid takes long, and is asked on its way whether it is to go on,
// beside once in each round. A node reaches back to as many others as lie along a side and adds to half the square of
// them: 80 a side are 6400*80*80/2 = 20.5 million, and so one look at 16.8 million; 40 a side, 1.3 million, have none.
func TestRoundOfNetworkStops(t *testing.T) {
	for side, looks := range map[int]int64{40: 0, 80: 1} {
		n := gridNetwork(rand.New(rand.NewPCG(7, 8)), side, hydraulics.HazenWilliams, true)
		whole := patience.Of(1 << 40)
		s, err := n.SolveContext(whole)
		if err != nil {
			t.Fatal(err)
		}
		rounds := int64(s.Rounds)
		if asked := whole.Asked(); asked != rounds+looks*rounds {
			t.Errorf("%d nodes a side: asked %d times in %d rounds, want %d in each besides", side, asked, rounds, looks)
		}
		if side == 80 {
			if _, err := n.SolveContext(patience.Of(0)); !errors.Is(err, context.Canceled) {
				t.Errorf("stopped in its first round: %v", err)
			}
		}
	}
}
