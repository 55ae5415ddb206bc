package hydraulics

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/units"
)

// A NetworkNode is a point of a network: one whose head is fixed, such as a main
// or a tank, or one where a demand is drawn.
type NetworkNode struct {
	ID     string     `json:"id"`
	Fixed  bool       `json:"fixed,omitzero"` // the head is given
	Head   units.Head `json:"head"`           // if Fixed
	Demand units.Flow `json:"demand"`         // drawn out, if not Fixed; negative where water comes in
}

// A NetworkPipe joins two nodes. Flow is positive from From to To.
type NetworkPipe struct {
	ID       string   `json:"id"`
	From     string   `json:"from,omitzero"`
	To       string   `json:"to,omitzero"`
	Friction Friction `json:"friction"`
	// Lift is head that a pump in the pipe adds from From to To, the same at every
	// flow; 0 for none.
	Lift units.Head `json:"lift"`
}

// A Network is pipes that may form loops: ring mains, circulation, two mains. Every
// connected part of it must have a fixed head.
type Network struct {
	Nodes []NetworkNode `json:"nodes"`
	Pipes []NetworkPipe `json:"pipes"`
}

// A NetworkSolution holds the flows and heads of a network, in the order of its
// pipes and nodes.
type NetworkSolution struct {
	Flows []units.Flow `json:"flows"` // positive from From to To
	Heads []units.Head `json:"heads"`
	// Inflows is what each fixed head gives to the network; 0 for other nodes.
	Inflows []units.Flow `json:"inflows"`
	Notes   []Notes      `json:"notes"` // of each pipe at its flow
	// Continuity is the greatest imbalance of flow at a node as a share of the
	// greatest flow; Energy the greatest difference between the loss of a pipe and
	// the heads at its ends, as a share of the greatest difference of head.
	Continuity float64 `json:"continuity"`
	Energy     float64 `json:"energy"`
	Rounds     int     `json:"rounds"` // of Newton's method
}

// ErrNoConvergence is matched by the refusal of a network whose flows did not
// settle.
var ErrNoConvergence = errors.New("the solution did not converge")

const (
	networkTolerance = 1e-9
	networkRounding  = 1e-15 // beyond it there is nothing to gain
	networkRounds    = 200
	// maxHead bounds the fixed heads, either way, in metres.
	maxHead = 1e6
)

// Solve finds the flows at which every node balances and the losses along every
// loop add to nothing, both to 1e-9 or better, by Newton's method on the loop
// flows. Flows that balance at every node are corrected around the loops until
// the heads agree; a step that would overshoot is halved. The problem is convex, so
// there is one solution and it is found.
//
// All faults of the network are reported together.
//
// Source: H. Cross, Univ. of Illinois Bulletin 286 (1936), for the loop flows; R.
// Epp and A. G. Fowler, J. Hydraulics Division ASCE 96 (1970) 43, for Newton's
// method on all loops at once; E. Todini and S. Pilati (1988) for solving its step
// over the nodes.
func (n Network) Solve() (*NetworkSolution, error) { return n.SolveContext(context.Background()) }

// SolveContext is [Network.Solve] that stops once the context is done, with its error and the
// round that it was in. A square grid of four thousand nodes takes a tenth of a second; its time grows as
// the square of the nodes, for the equations of a step are solved line by line of a band as wide as a side of
// the grid. Networks of few loops cost as their nodes do.
func (n Network) SolveContext(ctx context.Context) (*NetworkSolution, error) {
	s, err := n.prepare()
	if err != nil {
		return nil, err
	}
	return s.run(ctx)
}

// prepare checks the network and brings it into index form.
func (n Network) prepare() (*networkSolver, error) {
	var list faults.List
	s := &networkSolver{
		head:   make([]float64, len(n.Nodes)),
		fixed:  make([]bool, len(n.Nodes)),
		demand: make([]float64, len(n.Nodes)),
		pipes:  make([]solverPipe, len(n.Pipes)),
	}
	s.takePipes(n.Pipes, s.takeNodes(n.Nodes, &list), &list)
	if err := list.Err(); err != nil {
		return nil, err
	}
	// Small losses would drown in the rounding of heads counted from far away.
	if i := slices.Index(s.fixed, true); i >= 0 {
		s.datum = s.head[i]
	}
	s.given = slices.Clone(s.head)
	for i := range s.head {
		if s.fixed[i] {
			s.head[i] -= s.datum
		}
	}
	for _, i := range s.grow() {
		list.Addf(fmt.Sprintf("node %q", n.Nodes[i].ID), "", "%w: no fixed head feeds the part of the network it is in",
			units.ErrNoSolution)
	}
	return s, list.Err()
}

// takeNodes checks the nodes and returns them by id.
func (s *networkSolver) takeNodes(nodes []NetworkNode, list *faults.List) map[string]int32 {
	index := make(map[string]int32, len(nodes))
	for i, node := range nodes {
		item := fmt.Sprintf("node %q", node.ID)
		if _, twice := index[node.ID]; twice {
			list.Addf(item, "id", "is there twice: %w", units.ErrRange)
		}
		index[node.ID] = int32(i)
		head, demand := argument.Between(-maxHead, maxHead, "m"),
			argument.Between(-argument.Flow.High, argument.Flow.High, "m3/s")
		list.Note(item, "", head.Check("head", float64(node.Head)), demand.Check("demand", float64(node.Demand)))
		if node.Fixed && node.Demand != 0 {
			list.Addf(item, "demand", "its head is fixed, so it gives and takes what balances: %w", units.ErrRange)
		}
		if !node.Fixed && node.Head != 0 {
			list.Addf(item, "head", "is given but not fixed: %w", units.ErrRange)
		}
		s.fixed[i], s.head[i], s.demand[i] = node.Fixed, float64(node.Head), float64(node.Demand)
	}
	return index
}

// takePipes checks the pipes between the nodes of an index.
func (s *networkSolver) takePipes(pipes []NetworkPipe, index map[string]int32, list *faults.List) {
	seen := make(map[string]bool, len(pipes))
	for i, pipe := range pipes {
		item := fmt.Sprintf("pipe %q", pipe.ID)
		if seen[pipe.ID] {
			list.Addf(item, "id", "is there twice: %w", units.ErrRange)
		}
		seen[pipe.ID] = true
		p := &s.pipes[i]
		var okFrom, okTo bool
		p.from, okFrom = index[pipe.From]
		p.to, okTo = index[pipe.To]
		if !okFrom {
			list.Addf(item, "from", "there is no node %q: %w", pipe.From, units.ErrRange)
		}
		if !okTo {
			list.Addf(item, "to", "there is no node %q: %w", pipe.To, units.ErrRange)
		}
		if okFrom && okTo && p.from == p.to {
			list.Addf(item, "to", "both ends are node %q: %w", pipe.To, units.ErrRange)
		}
		lift := argument.Between(-maxHead, maxHead, "m")
		list.Note(item, "", lift.Check("lift", float64(pipe.Lift)))
		p.lift = float64(pipe.Lift)
		r, err := pipe.Friction.Resistance()
		if list.Note(item, "", err) && !(r.law.friction > 0 || r.minor > 0) {
			list.Addf(item, "length", "a pipe without length and without K loses no head: %w", units.ErrRange)
		}
		p.resistance = r
	}
}

// A networkSolver is a network in index form with its state.
//
// The nodes hang on a forest whose roots are the fixed heads; the pipes outside the
// forest close the loops, real ones and those between two fixed heads. Flow in the
// forest follows from the demands and the flows outside it, so every state
// balances at every node; heads follow down the forest, so only the loops
// can disagree.
type networkSolver struct {
	datum        float64   // the first fixed head, from which heads are counted
	head, demand []float64 // head over the datum
	given        []float64 // fixed heads as they were given
	fixed        []bool
	pipes        []solverPipe
	order        []int32 // nodes, each after its parent in the forest
	up           []int32 // the pipe to the parent of each node; -1 at the roots
	inForest     []bool  // of pipes
	unknown      []int32 // row of each node in the equations; -1 if fixed
}

type solverPipe struct {
	from, to   int32
	lift       float64
	resistance Resistance
	q          float64
	loss, rate float64 // loss at q, less the lift, and its derivative
	step       float64 // change of q
	// least keeps a pipe in which nothing flows, whose loss has no slope there, from
	// upsetting the equations. It is far too small to matter where water flows.
	least float64
}

// grow builds the forest of the pipes of least resistance from the fixed heads, and
// returns the nodes it cannot reach. A pipe of great resistance is better kept out of
// it: its flow is then a number of its own, not a small difference of great ones.
func (s *networkSolver) grow() (lost []int) {
	n := len(s.head)
	s.up = make([]int32, n)
	s.inForest = make([]bool, len(s.pipes))
	s.choose()
	start, pipesAt := s.adjacency()
	reached := make([]bool, n)
	for i := range n {
		s.up[i] = -1
		if s.fixed[i] {
			reached[i] = true
			s.order = append(s.order, int32(i))
		}
	}
	for k := 0; k < len(s.order); k++ {
		i := s.order[k]
		for _, j := range pipesAt[start[i]:start[i+1]] {
			other := s.pipes[j].from + s.pipes[j].to - i
			if s.inForest[j] && !reached[other] {
				reached[other] = true
				s.up[other] = j
				s.order = append(s.order, other)
			}
		}
	}
	for i, r := range reached {
		if !r {
			lost = append(lost, i)
		}
	}
	return lost
}

// choose marks the pipes of the forest: from the least resistance up, each that joins
// two parts not joined yet, all fixed heads counting as one part.
//
// Source: J. B. Kruskal, Proc. American Mathematical Society 7 (1956) 48.
func (s *networkSolver) choose() {
	part := make([]int32, len(s.head))
	first := int32(-1)
	for i := range part {
		part[i] = int32(i)
		if s.fixed[i] {
			if first < 0 {
				first = int32(i)
			}
			part[i] = first
		}
	}
	const flow = 1e-3 // m3/s, at which resistances are compared
	resistance := make([]float64, len(s.pipes))
	byResistance := make([]int32, len(s.pipes))
	for j := range s.pipes {
		resistance[j] = s.pipes[j].resistance.head(flow)
		byResistance[j] = int32(j)
	}
	slices.SortStableFunc(byResistance, func(a, b int32) int { return cmp.Compare(resistance[a], resistance[b]) })
	for _, j := range byResistance {
		if a, b := forest.Root(part, s.pipes[j].from), forest.Root(part, s.pipes[j].to); a != b {
			part[max(a, b)] = min(a, b)
			s.inForest[j] = true
		}
	}
}

// adjacency lists the pipes at each node i: pipesAt[start[i]:start[i+1]].
func (s *networkSolver) adjacency() (start, pipesAt []int32) {
	start = make([]int32, len(s.head)+1)
	for _, p := range s.pipes {
		start[p.from+1]++
		start[p.to+1]++
	}
	for i := range s.head {
		start[i+1] += start[i]
	}
	pipesAt = make([]int32, 2*len(s.pipes))
	at := append([]int32(nil), start...)
	for j, p := range s.pipes {
		pipesAt[at[p.from]] = int32(j)
		at[p.from]++
		pipesAt[at[p.to]] = int32(j)
		at[p.to]++
	}
	return start, pipesAt
}

func (s *networkSolver) run(ctx context.Context) (*NetworkSolution, error) {
	eq, err := s.equations()
	if err != nil {
		return nil, err
	}
	// Start: losses taken as straight lines through a common velocity.
	const commonVelocity = 0.5
	for j := range s.pipes {
		p := &s.pipes[j]
		q := commonVelocity * p.resistance.area
		p.rate = p.resistance.head(q) / q
		p.least = 1e-8 * p.rate
		p.q = 0
	}
	s.balance(s.demand)
	for j := range s.pipes {
		s.pipes[j].loss = float64(s.pipes[j].rate*s.pipes[j].q) - s.pipes[j].lift
	}
	s.heads()
	if err := s.newton(ctx, eq); err != nil {
		return nil, s.stopped(ctx, 1, err)
	}
	s.advance(1)
	s.evaluate()

	rounds, best := 1, math.Inf(1)
	for ; rounds < networkRounds; rounds++ {
		if err := s.stopped(ctx, rounds, nil); err != nil {
			return nil, err
		}
		s.heads()
		energy := s.energy()
		// Go on past the tolerance while it still gains digits.
		if energy <= networkRounding || energy <= networkTolerance && energy >= best/2 {
			break
		}
		best = min(best, energy)
		if err := s.newton(ctx, eq); err != nil {
			return nil, s.stopped(ctx, rounds, err)
		}
		s.search()
	}
	return s.solution(rounds)
}

// stopped says in which round the work was when its context ended, else what it is told.
func (s *networkSolver) stopped(ctx context.Context, round int, otherwise error) error {
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("network: stopped in round %d of at most %d: %w", round, networkRounds, err)
	}
	return otherwise
}

// evaluate works out losses and their derivatives.
func (s *networkSolver) evaluate() {
	for j := range s.pipes {
		p := &s.pipes[j]
		p.loss, p.rate = p.resistance.slope(math.Abs(p.q))
		p.loss = math.Copysign(p.loss, p.q) - p.lift
	}
}

// heads carries the heads of the roots down the forest.
func (s *networkSolver) heads() {
	for _, i := range s.order {
		if s.up[i] < 0 {
			continue
		}
		p := &s.pipes[s.up[i]]
		if p.to == i {
			s.head[i] = s.head[p.from] - p.loss
		} else {
			s.head[i] = s.head[p.to] + p.loss
		}
	}
}

// balance sets the flow of the forest's pipes so that each node takes in what it
// draws, given the flows of the others. It works on q or, for the change of
// flow, on step with no demands.
func (s *networkSolver) balance(demand []float64) {
	need := make([]float64, len(s.head))
	copy(need, demand)
	for j := range s.pipes {
		if p := &s.pipes[j]; !s.inForest[j] {
			need[p.from] += p.q
			need[p.to] -= p.q
		}
	}
	for k := len(s.order) - 1; k >= 0; k-- {
		i := s.order[k]
		if s.up[i] < 0 {
			continue
		}
		p := &s.pipes[s.up[i]]
		if p.to == i {
			p.q = need[i]
			need[p.from] += need[i]
		} else {
			p.q = -need[i]
			need[p.to] += need[i]
		}
	}
}

// residual is what the heads at the ends of a pipe leave over after its loss.
func (s *networkSolver) residual(p *solverPipe) float64 {
	return s.head[p.from] - s.head[p.to] - p.loss
}

// newton finds the step of all flows from the losses and rates.
func (s *networkSolver) newton(ctx context.Context, eq *equations) error {
	eq.clear()
	for j := range s.pipes {
		p := &s.pipes[j]
		g := 1 / max(p.rate, p.least)
		push := float64(s.residual(p) * g)
		eq.addPipe(s.unknown[p.from], s.unknown[p.to], g, push)
	}
	if !eq.solve(ctx) {
		return fmt.Errorf("network: the equations of a step are singular: %w", ErrNoConvergence)
	}
	for j := range s.pipes {
		p := &s.pipes[j]
		r := s.residual(p)
		if i := s.unknown[p.from]; i >= 0 {
			r += eq.x[i]
		}
		if i := s.unknown[p.to]; i >= 0 {
			r -= eq.x[i]
		}
		p.step = r / max(p.rate, p.least)
	}
	return nil
}

// advance moves all flows by a share of the step: those outside the forest as the
// step says, those in it by balance.
func (s *networkSolver) advance(share float64) {
	for j := range s.pipes {
		s.pipes[j].q += float64(share * s.pipes[j].step)
	}
	s.balance(s.demand)
}

// search advances by the step, or by as much of it as keeps from overshooting: the
// slope of the energy of the network along the step must not turn up by more
// than half of what it fell with.
func (s *networkSolver) search() {
	before := make([]float64, len(s.pipes))
	between := make([]float64, len(s.pipes))
	first := 0.0
	for j := range s.pipes {
		p := &s.pipes[j]
		before[j] = p.q
		between[j] = s.head[p.from] - s.head[p.to]
		first += float64((p.loss - between[j]) * p.step)
	}
	for share := 1.0; ; share /= 2 {
		for j := range s.pipes {
			s.pipes[j].q = before[j]
		}
		s.advance(share)
		s.evaluate()
		last := 0.0
		for j := range s.pipes {
			last += float64((s.pipes[j].loss - between[j]) * s.pipes[j].step)
		}
		if last <= math.Abs(first)/2 || share < 1e-6 {
			return
		}
	}
}

const (
	// leastHeadScale, in metres, is what disagreements of head are measured by where
	// all losses are less.
	leastHeadScale = 1e-6
	// roundingShare of the greatest head over the datum is too, so that the rounding
	// of a float64 is never taken for a disagreement.
	roundingShare = 1e-5
)

// energy returns the greatest disagreement of heads, as a share of the greatest
// difference of head along a pipe.
func (s *networkSolver) energy() float64 {
	worst, scale := 0.0, leastHeadScale
	for j := range s.pipes {
		p := &s.pipes[j]
		worst = max(worst, math.Abs(s.residual(p)))
		scale = max(scale, math.Abs(p.loss))
	}
	for _, h := range s.head {
		scale = max(scale, roundingShare*math.Abs(h))
	}
	return worst / scale
}

func (s *networkSolver) solution(rounds int) (*NetworkSolution, error) {
	out := &NetworkSolution{
		Flows:   make([]units.Flow, len(s.pipes)),
		Heads:   make([]units.Head, len(s.head)),
		Inflows: make([]units.Flow, len(s.head)),
		Notes:   make([]Notes, len(s.pipes)),
		Energy:  s.energy(),
		Rounds:  rounds,
	}
	net := append([]float64(nil), s.demand...)
	most := 1e-12
	for j := range s.pipes {
		p := &s.pipes[j]
		out.Flows[j] = units.Flow(p.q)
		most = max(most, math.Abs(p.q))
		net[p.from] += p.q
		net[p.to] -= p.q
		loss, err := p.resistance.Loss(units.Flow(math.Abs(p.q)))
		if err != nil {
			return nil, fmt.Errorf("network: %w: %w", err, ErrNoConvergence)
		}
		out.Notes[j] = loss.Notes
	}
	for i, h := range s.head {
		out.Heads[i] = units.Head(s.datum + h)
		if s.fixed[i] {
			out.Heads[i] = units.Head(s.given[i])
			out.Inflows[i] = units.Flow(net[i])
			continue
		}
		out.Continuity = max(out.Continuity, math.Abs(net[i])/most)
	}
	if !(out.Energy <= networkTolerance && out.Continuity <= networkTolerance) {
		return nil, fmt.Errorf("network: after %d rounds energy is off by %.2g and continuity by %.2g: %w", rounds,
			out.Energy, out.Continuity, ErrNoConvergence)
	}
	return out, nil
}
