package drains

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Options is what sizing and checking need to know beyond layout and code.
type Options struct {
	Frost bool // the place has frost or snow, which vent terminals must bear
}

// Decision says what decided the size of a run.
type Decision uint8

// The decisions, from the code's tables and from the tree.
const (
	DecidedByLoad         Decision = iota + 1 // its load
	DecidedByClosets                          // the water closets on it
	DecidedByBelowGround                      // the least size below ground
	DecidedByTrap                             // the trap of the fixture
	DecidedByFixtureDrain                     // the least drain, or branch, the code asks for a fixture
	DecidedByUpstream                         // the pipe upstream, since no drain shrinks downstream
	DecidedByStackFoot                        // the stack below, of which the upper part keeps a share
	DecidedByMainCleanout                     // the main cleanout, up to which the drain keeps its full size
	DecidedByVenting                          // what it vents: it is a wet vent, or vents the lower of two fixtures
	DecidedByInterval                         // what enters the stack in one branch interval
)

var decisions = enum.Words[Decision]{What: "decision", Err: dwv.ErrQuery, Blank: true,
	Words: []string{"", "load", "water closets", "least size below ground", "trap size",
		"least drain of the fixture", "pipe upstream", "foot of the stack", "main cleanout", "what it vents",
		"load in one branch interval"}}

// String returns a few words, "" for none.
func (d Decision) String() string { return decisions.String(d) }

// MarshalText returns the text of String.
func (d Decision) MarshalText() ([]byte, error) { return decisions.Marshal(d) }

// UnmarshalText reads the text of String.
func (d *Decision) UnmarshalText(text []byte) error { return decisions.Unmarshal(text, d) }

// Sizing is the loads and sizes of a layout under a code. It is made by
// [Layout.Size] and never changes.
type Sizing struct {
	of     *Layout
	layout *Data // what it says
	opt    Options
	levels *Levels
	tree   *tree
	code   *dwv.Code
	pipes  *pipes.Shelf
	// By node. size is the one laid, as drawn or as required; an outlet has
	// that of the pipe there.
	part      []dwv.Part
	decided   []Decision
	above     []bool
	straight  []bool // enters the next run without a turn
	load      []dwv.FixtureUnits
	closets   []int32
	intervals []int16
	arm       []bool // trap arms that the code does not hold to the loads of drains
	required  []units.Length
	need      []units.Length // as required, were no size drawn and no main cleanout marked
	size      []units.Length
	pipe      []slope.Pipe
	cite      []tables.Citation
	// lower and upper are the inverts of the ends of each run as if all joined at
	// the invert.
	lower, upper []units.Length
	fixture      []int32                    // index in rated of what stands at the node, -1 for nothing
	rated        []dwv.Load                 // the different fixtures, each rated as one entry of a layout
	failed       map[int32]error            // runs that the code's tables cannot size
	unrated      map[int32]error            // nodes at which something stands that the code gives no load for
	short        []int32                    // by node: one of those at or upstream of it, -1 for none; nil: there are none
	bathGroups   map[int32]bathGroup        // by wet vent
	grouped      map[int32]dwv.FixtureUnits // by node: how much less the groups that end there count than their fixtures
	routes       *routes
	vents        []VentSize
}

// RunSize is the size of one run and what decided it.
type RunSize struct {
	Point    string           `json:"point"`
	To       string           `json:"to"`
	Part     dwv.Part         `json:"part"`
	Load     dwv.FixtureUnits `json:"load"`
	Closets  int              `json:"closets,omitzero"` // water closets, and traps counted alike
	Size     units.Length     `json:"size"`             // as drawn, or else as required
	Drawn    bool             `json:"drawn,omitzero"`
	Required units.Length     `json:"required"` // the smallest that the code and the tree allow
	Decided  Decision         `json:"decided"`  // what Required rests on
	// Capacity is the greatest load of the size laid, Used the share of it that
	// Load takes; both are zero where the code's tables have no such row.
	Capacity dwv.FixtureUnits `json:"capacity,omitzero"`
	Used     float64          `json:"used,omitzero"`
	// The next larger size, and the next steeper grade that carries more, and
	// what each would carry.
	NextSize      units.Length     `json:"next_size,omitzero"`
	NextSizeLoad  dwv.FixtureUnits `json:"next_size_load,omitzero"`
	NextGrade     slope.Grade      `json:"next_grade,omitzero"`
	NextGradeLoad dwv.FixtureUnits `json:"next_grade_load,omitzero"`
	// Citation is the row that decided Required, CapacityCitation that of Capacity.
	Citation         tables.Citation `json:"citation,omitzero"`
	CapacityCitation tables.Citation `json:"capacity_citation,omitzero"`
	// Problem says why the code's tables cannot size the run; Required then
	// rests on the rest alone.
	Problem string `json:"problem,omitzero"`
}

// Size sums the loads down every tree and finds the size of every run: the
// smallest that carries its load and its water closets, is not under what the code
// asks below ground, for the fixture or of a drain that vents, and does not shrink
// downstream. From the outlet up to a main cleanout the drain keeps its full size. A
// drawn size is kept and the one required stands beside it; [Sizing.Check] compares
// the two.
//
// What the code gives no load for, such as a fixture it does not rate or whose size it
// must know, counts for nothing: [RunSize].Problem says so there and downstream, and
// [Sizing.Check] asks.
func (l *Layout) Size(code *dwv.Code, opt Options) (*Sizing, error) {
	if err := l.made(); err != nil {
		return nil, err
	}
	if code == nil {
		return nil, fmt.Errorf("size: %w: no code", dwv.ErrQuery)
	}
	s, err := newSizing(l, code, opt)
	if err != nil {
		return nil, err
	}
	joined, err := s.fill()
	if err != nil {
		return nil, err
	}
	s.sizeVents()
	s.levels, err = s.grade(joined)
	return s, err
}

// newSizing makes room for the sizes of a layout.
func newSizing(of *Layout, code *dwv.Code, opt Options) (s *Sizing, err error) {
	l, t := of.data, of.tree
	n := t.len()
	s = &Sizing{
		of: of, layout: l, tree: t, code: code, opt: opt,
		part: make([]dwv.Part, n), decided: make([]Decision, n), above: make([]bool, n), straight: make([]bool, n),
		load: make([]dwv.FixtureUnits, n), closets: make([]int32, n),
		intervals: make([]int16, n), arm: make([]bool, n), required: make([]units.Length, n),
		need: make([]units.Length, n), size: make([]units.Length, n),
		pipe: make([]slope.Pipe, n), cite: make([]tables.Citation, n), lower: make([]units.Length, n),
		upper:   make([]units.Length, n),
		fixture: make([]int32, n), failed: map[int32]error{}, unrated: map[int32]error{}, routes: newRoutes(t),
	}
	s.pipes, err = pipes.New(code.Shelf())
	return s, err
}

// fill finds loads and sizes, system after system; joined tells that some run joins above
// the invert.
func (s *Sizing) fill() (joined bool, err error) {
	l, t, code := s.layout, s.tree, s.code
	w := newWork(t)
	w.share, w.shareCite, w.hasShare = code.FindNumber("stack-upper-min-fraction", "ratio")
	w.vents = s.ventingRuns()
	r := rater{code: code, known: make(map[dwv.Fixture]int32), refused: make(map[dwv.Fixture]error)}
	g := grader{layout: l, tree: t}
	// All of one system, then all of the next: what a pass reads is then still at
	// hand from the pass before.
	for sys := range int32(t.outlets) {
		if err := g.inverts(sys, nil, s.lower, s.upper); err != nil {
			return false, err
		}
		s.aboveFloor(sys, w)
		s.parts(sys, w)
		s.branchIntervals(sys, w)
		if s.loads(sys, &r); r.faults.Len() > 0 {
			continue // the loads of the rest are still added up, so that all faults are told
		}
		s.rated = r.rated
		s.routes.fill(l, t, sys, w)
		s.groups(sys, &r, w)
		s.arms(sys, w)
		s.sizes(sys, w)
		s.stackTops(sys, w)
		s.undiminished(sys, w)
		if err := s.dimensions(sys); err != nil {
			return false, err
		}
	}
	if err := r.faults.Err(); err != nil {
		return false, err
	}
	return g.joined, nil
}

// work is what the passes over a system need and nobody keeps: room by node, and the
// fixtures rated so far.
type work struct {
	tree    *tree
	lengths [3][]units.Length
	nodes   [2][]int32
	flags   [2][]bool
	// share is what the upper part of a stack keeps of its foot, if the code says.
	share     float64
	shareCite tables.Citation
	hasShare  bool
	// vents counts what runs vent, nil if none does.
	vents []stretches
}

func newWork(t *tree) *work {
	w, n := &work{tree: t}, t.len()
	for k := range w.lengths {
		w.lengths[k] = make([]units.Length, n)
	}
	for k := range w.nodes {
		w.nodes[k] = make([]int32, n)
	}
	for k := range w.flags {
		w.flags[k] = make([]bool, n)
	}
	return w
}

// length returns room k for lengths, cleared for a system; node and flag likewise.
func (w *work) length(k int, sys int32) []units.Length { return cleared(w.tree, w.lengths[k], sys) }
func (w *work) node(k int, sys int32) []int32          { return cleared(w.tree, w.nodes[k], sys) }
func (w *work) flag(k int, sys int32) []bool           { return cleared(w.tree, w.flags[k], sys) }

func cleared[T any](t *tree, room []T, sys int32) []T {
	lo, hi := t.span(sys)
	clear(room[sys : sys+1])
	clear(room[lo:hi])
	return room
}

// ruleOffsetAsDrain is there in a code that sizes the horizontal offset of a stack
// as a building drain.
const ruleOffsetAsDrain = "stack-offset-as-drain"

// parts tells which table each run is sized by. A horizontal run that reaches a
// stack further down is a branch, but for one that carries a stack on, which the
// code may size as a drain; what lies along the building drain is a drain.
func (s *Sizing) parts(sys int32, w *work) {
	t := s.tree
	stack := s.stacksAbove(sys, w)
	offset := w.flag(1, sys)
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		run := &t.point(i).Run
		below := s.part[p]
		branch := below == dwv.Stack || below == dwv.Branch || offset[p]
		offset[i] = branch && below != dwv.Branch && !run.Vertical && stack != nil && stack[i]
		switch {
		case run.Part != 0:
			s.part[i] = run.Part
		case run.Vertical:
			s.part[i] = dwv.Stack
		case branch && !offset[i]:
			s.part[i] = dwv.Branch
		default:
			s.part[i] = dwv.Drain
		}
	}
}

// stacksAbove tells for each horizontal run whether it takes on a stack that passes
// at least one storey, nil where the code does not size offsets of stacks apart.
func (s *Sizing) stacksAbove(sys int32, w *work) []bool {
	t := s.tree
	if s.code == nil { // sized by another method
		return nil
	}
	if _, ok := s.code.Rule(ruleOffsetAsDrain); !ok {
		return nil
	}
	storey, _, ok := s.code.FindLength(ruleBranchInterval)
	if !ok {
		return nil
	}
	has := w.flag(0, sys)
	height := w.length(0, sys) // of the vertical pipe that ends at the lower end of a run
	for _, i := range t.of(sys) {
		p, next := t.parent[i], t.point(t.parent[i])
		run := &t.point(i).Run
		if run.Vertical {
			height[i] += run.Length
		}
		if next == nil {
			continue
		}
		switch {
		case run.Vertical && next.Run.Vertical:
			height[p] = max(height[p], height[i])
		case run.Vertical:
			has[p] = has[p] || height[i] >= storey
		case !next.Run.Vertical:
			has[p] = has[p] || has[i]
		}
	}
	return has
}

// branchIntervals counts the stretches of each stack into which branches come, one
// for every story height or part of it; where the code gives no such height the
// stack counts as having one, which never allows it more.
func (s *Sizing) branchIntervals(sys int32, w *work) {
	t := s.tree
	height, _, ok := s.code.FindLength(ruleBranchInterval)
	since := w.length(0, sys) // height above the last interval counted
	for _, i := range t.of(sys) {
		if !t.point(i).Run.Vertical {
			continue
		}
		joined, count, far := t.first[i] < 0, int16(0), units.Length(0)
		for k := t.first[i]; k >= 0; k = t.next[k] {
			run := &t.point(k).Run
			if !run.Vertical {
				joined = true
				continue
			}
			// Of two stacks with as many intervals the nearer counts, which allows less.
			if d := since[k] + run.Length; s.intervals[k] > count || s.intervals[k] == count && d < far {
				count, far = s.intervals[k], d
			}
		}
		if joined && (count == 0 || ok && far >= height) && count < 1000 {
			count, far = count+1, 0
		}
		s.intervals[i], since[i] = max(count, 1), far
	}
	// All of a stack counts as what its foot does.
	for _, i := range slices.Backward(t.of(sys)) {
		if p := t.point(t.parent[i]); t.point(i).Run.Vertical && p != nil && p.Run.Vertical {
			s.intervals[i] = s.intervals[t.parent[i]]
		}
	}
}

// ruleBranchInterval is the least height of a branch interval.
const ruleBranchInterval = "branch-interval-height"

// rater rates the different fixtures of a layout, each once.
type rater struct {
	code    *dwv.Code
	known   map[dwv.Fixture]int32
	refused map[dwv.Fixture]error
	last    dwv.Fixture // the one asked for last, and its place
	lastAt  int32
	rated   []dwv.Load
	faults  faults.List
}

// rate returns the place of a fixture in rated, or why the code does not rate it.
func (r *rater) rate(f *dwv.Fixture) (int32, error) {
	if *f == r.last {
		return r.lastAt, nil
	}
	if err := r.refused[*f]; err != nil {
		return -1, err
	}
	k, ok := r.known[*f]
	if !ok {
		load, err := r.code.FixtureLoad(*f)
		if err != nil {
			r.refused[*f] = err
			return -1, err
		}
		k = int32(len(r.rated))
		r.rated = append(r.rated, load)
		r.known[*f] = k
	}
	r.last, r.lastAt = *f, k
	return k, nil
}

// indirect returns the load of what discharges into a receptor; the receptor
// counts as that, and as itself at least.
func (r *rater) indirect(pt *Point) (sum dwv.FixtureUnits, err error) {
	if pt.Receptor == nil {
		return 0, nil
	}
	for k := range pt.Receptor.Indirect {
		n, refused := r.rate(&pt.Receptor.Indirect[k])
		if refused != nil {
			err = refused
			continue
		}
		sum += r.rated[n].Units
	}
	return sum, err
}

// own rates what stands at a node and returns what it adds to its run.
func (s *Sizing) own(i int32, r *rater) dwv.FixtureUnits {
	pt := s.tree.point(i)
	own := pt.Reserved
	s.fixture[i] = -1
	if f := pt.Fixture; f != nil {
		through, err := r.indirect(pt)
		k, refused := r.rate(f)
		if refused == nil {
			s.fixture[i] = k
			through = max(through, r.rated[k].Units)
			s.closets[i] += int32(min(r.rated[k].Closets, dwv.MaxClosets))
		} else {
			err = refused
			s.closets[i] += int32(min(f.Count*dwv.ClosetsOf(f.Kind), dwv.MaxClosets))
		}
		own += through
		s.missing(i, err)
	}
	if pt.Continuous > 0 {
		load, err := s.code.ContinuousLoad(pt.Continuous)
		own += load.Units
		s.missing(i, err)
	}
	return own
}

// missing notes that the code gives no load for something at a node, if err says why.
func (s *Sizing) missing(i int32, err error) {
	if err == nil {
		return
	}
	if s.short == nil {
		s.short = make([]int32, s.tree.len())
		for k := range s.short {
			s.short[k] = -1
		}
	}
	s.short[i] = i
	s.unrated[i] = err
}

// shortAt returns a node at or upstream of a node whose load is missing there, -1 if
// none is.
func (s *Sizing) shortAt(i int32) int32 {
	if s.short == nil {
		return -1
	}
	return s.short[i]
}

// passShort tells the next node downstream what is missing; of two places the first by id.
func (s *Sizing) passShort(i, p int32) {
	if s.short == nil || s.short[i] < 0 {
		return
	}
	was := s.short[p]
	if was < 0 || s.tree.point(s.short[i]).ID < s.tree.point(was).ID {
		s.short[p] = s.short[i]
	}
}

// loads rates every fixture and sums the load and the closets of every run.
func (s *Sizing) loads(sys int32, r *rater) {
	t := s.tree
	for _, i := range t.of(sys) {
		s.load[i] += s.own(i, r)
		if !s.load[i].Valid() {
			r.faults.Add(faults.Fault{Item: fmt.Sprintf("point %q", t.point(i).ID), Field: "load",
				Err: because(units.ErrRange, "the loads add up to more than %v", dwv.MaxFixtureUnits)})
			break
		}
		p := t.parent[i]
		s.load[p] += s.load[i]
		s.closets[p] = min(s.closets[p]+s.closets[i], dwv.MaxClosets)
		s.passShort(i, p)
	}
}

// ruleArmLoads is there in a code whose greatest loads leave trap arms out.
const ruleArmLoads = "trap-arm-load-excepted"

// arms marks the runs of trap arms, from one fixture down to its vent, where the
// code leaves them out of the loads of drains: there the trap decides.
func (s *Sizing) arms(sys int32, w *work) {
	t := s.tree
	if _, ok := s.code.Rule(ruleArmLoads); !ok {
		return
	}
	single := w.flag(0, sys)
	for _, i := range t.of(sys) {
		pt, up := t.point(i), t.first[i]
		switch {
		case up < 0:
			single[i] = pt.Fixture != nil && pt.Fixture.Count == 1 && pt.Reserved == 0 && pt.Continuous == 0
		case t.next[up] < 0:
			single[i] = single[up] && pt.Fixture == nil && pt.Reserved == 0 && pt.Continuous == 0
		}
		s.arm[i] = single[i] && !pt.Run.Vertical && s.routes.vent[i] < 0 && s.routes.serving[i] >= 0
	}
}

// drainLoad returns the load that the code's table is asked to carry on a run.
func (s *Sizing) drainLoad(i int32) dwv.FixtureUnits {
	if s.arm[i] {
		return 0
	}
	return s.load[i]
}

// demand is the least size of a run and what asks for it.
type demand struct {
	size units.Length
	by   Decision
	cite tables.Citation
}

func (d *demand) raise(size units.Length, by Decision, cite tables.Citation) {
	if size > d.size {
		*d = demand{size, by, cite}
	}
}

// sizes finds what each run requires, from the upper ends down.
func (s *Sizing) sizes(sys int32, w *work) {
	t := s.tree
	// The least size of the next run that others share, still to be applied, and
	// the fixture that asks for it.
	branch, asks := w.length(0, sys), w.node(0, sys)
	upstream, needed := w.length(1, sys), w.length(2, sys)
	flows := w.flag(0, sys) // something drains in at or upstream of a node
	var upper []int32
	if w.vents != nil {
		upper = s.upperFixtures(sys, w)
	}
	for _, i := range t.of(sys) {
		pt, p := t.point(i), t.parent[i]
		var least demand
		if k := s.fixture[i]; k >= 0 {
			load := &s.rated[k]
			least.raise(max(load.TrapSize, pt.outletSize()), DecidedByTrap, load.Citation)
			least.raise(load.MinDrain, DecidedByFixtureDrain, load.DrainCitation)
			if load.MinBranch > branch[i] {
				branch[i], asks[i] = load.MinBranch, k
			}
		} else if pt.Fixture != nil {
			least.raise(pt.outletSize(), DecidedByTrap, tables.Citation{})
		}
		if branch[i] > 0 {
			// The drain of the fixture goes on until something joins it.
			if s.joining(i, flows) > 1 {
				least.raise(branch[i], DecidedByFixtureDrain, s.rated[asks[i]].DrainCitation)
			} else if branch[i] > branch[p] {
				branch[p], asks[p] = branch[i], asks[i]
			}
		}
		if w.vents != nil {
			s.raiseVenting(&least, i, w.vents[i], upper[i])
		}
		s.raiseInterval(&least, i)
		s.sizeRun(i, pt, least, upstream[i], needed[i])
		down, need := s.size[i], s.need[i]
		if pt.Run.ClosetBend {
			down, need = s.closetBendOutlet(down), s.closetBendOutlet(need)
		}
		upstream[p], needed[p] = max(upstream[p], down), max(needed[p], need)
		flows[i] = flows[i] || pt.drainsIn()
		flows[p] = flows[p] || flows[i]
	}
	s.need[sys] = needed[sys]
	s.size[sys] = max(s.layout.Systems[sys].Outlet.Size, 0)
	if s.size[sys] == 0 {
		s.size[sys] = upstream[sys]
	}
}

// joining returns how many drains come together at a node: those of the fixtures that
// stand there and those that something flows in. A dead stub brings nothing.
func (s *Sizing) joining(i int32, flows []bool) int {
	n, pt := 0, s.tree.point(i)
	if pt.Fixture != nil {
		n = pt.Fixture.Count
	} else if pt.drainsIn() {
		n = 1
	}
	for k := s.tree.first[i]; k >= 0; k = s.tree.next[k] {
		if flows[k] {
			n++
		}
	}
	return n
}

// drainsIn tells whether something drains in at a point, now or later.
func (p *Point) drainsIn() bool { return p.Fixture != nil || p.Reserved > 0 || p.Continuous > 0 }

// outletSize returns the size of the fixture's outlet and trap as far as they are given.
func (p *Point) outletSize() units.Length {
	size := p.Fixture.Size
	if p.Trap != nil {
		size = max(size, p.Trap.Size)
	}
	return size
}

// raiseInterval raises the least size of a vertical run to what the code lets in at one
// place.
func (s *Sizing) raiseInterval(least *demand, i int32) {
	in := s.enters(i)
	if in == 0 {
		return
	}
	q := dwv.DrainQuery{Part: dwv.StackInterval, Load: in, Intervals: int(s.intervals[i])}
	if f, ok, _ := s.code.NearestDrainSize(q); ok {
		least.raise(f.Size, DecidedByInterval, f.Row)
	}
}

// enters returns what comes into a vertical run at its upper end other than from the
// stack above: the branches that join there and what stands on it. The riser of one
// fixture is its drain and no stack.
func (s *Sizing) enters(i int32) dwv.FixtureUnits {
	t, pt := s.tree, s.tree.point(i)
	if !pt.Run.Vertical || t.first[i] < 0 && pt.Fixture != nil && pt.Fixture.Count == 1 && pt.Reserved == 0 &&
		pt.Continuous == 0 {
		return 0
	}
	in := s.load[i]
	for k := t.first[i]; k >= 0; k = t.next[k] {
		if t.point(k).Run.Vertical {
			in -= s.load[k]
		}
	}
	return in
}

// sizeRun finds what one run requires, not under least and not under the pipe upstream:
// as that is laid, and as it would need to be were nothing drawn.
func (s *Sizing) sizeRun(i int32, pt *Point, least demand, upstream, needed units.Length) {
	with := demand{size: needed, by: DecidedByUpstream}
	with.raise(least.size, least.by, least.cite)
	needs := s.fitRun(i, pt, with)
	s.need[i] = needs.size
	if upstream != needed {
		with = demand{size: upstream, by: DecidedByUpstream}
		with.raise(least.size, least.by, least.cite)
		needs = s.fitRun(i, pt, with)
	}
	s.required[i], s.decided[i], s.cite[i] = needs.size, needs.by, needs.cite
	if s.size[i] = needs.size; pt.Run.Size > 0 {
		s.size[i] = pt.Run.Size
	}
}

// fitRun returns what the load and the closets of a run demand beyond a least size.
func (s *Sizing) fitRun(i int32, pt *Point, least demand) demand {
	q := dwv.DrainQuery{Part: s.part[i], Load: s.drainLoad(i), Grade: pt.Run.Grade, Closets: int(s.closets[i]),
		BelowGround: !s.above[i], Intervals: int(s.intervals[i]), MinSize: least.size}
	f, ok, err := s.code.NearestDrainSize(q)
	if err != nil {
		s.failed[i] = err
	}
	if !ok {
		return least
	}
	switch {
	case f.DecidedBy == dwv.ByClosets:
		least.by, least.cite = DecidedByClosets, f.Citation
	case f.DecidedBy == dwv.ByBelowGround:
		least.by, least.cite = DecidedByBelowGround, f.Citation
	case f.DecidedBy == dwv.ByLoad && !(s.arm[i] && least.size > 0):
		least.by, least.cite = DecidedByLoad, f.Citation
	}
	least.size = max(least.size, f.Size)
	return least
}

// closetBendOutlet returns the size that the pipe after a closet bend must have: a
// bend of the size the code names may shrink to the outlet it names.
func (s *Sizing) closetBendOutlet(bend units.Length) units.Length {
	in, _, _ := s.code.FindLength("closet-bend-inlet")
	if out, _, ok := s.code.FindLength("closet-bend-outlet"); ok && bend == in {
		return out
	}
	return bend
}

// stackTops keeps the upper part of a stack at the share of its foot that the code
// asks for.
func (s *Sizing) stackTops(sys int32, w *work) {
	if !w.hasShare {
		return
	}
	t, share, cite := s.tree, w.share, w.shareCite
	foot, needs := w.length(0, sys), w.length(2, sys)
	for _, i := range slices.Backward(t.of(sys)) {
		if !t.point(i).Run.Vertical {
			continue
		}
		p := t.parent[i]
		foot[i], needs[i] = s.required[i], s.need[i]
		if t.point(p) != nil && t.point(p).Run.Vertical {
			foot[i], needs[i] = foot[p], needs[p]
		}
		if least := scale(foot[i], share); s.required[i] < least {
			s.enlarge(i, s.stackTop(i, least), DecidedByStackFoot, cite)
		}
		if least := scale(needs[i], share); s.need[i] < least {
			s.need[i] = s.stackTop(i, least)
		}
	}
}

// stackTop returns the size of a part of a stack that is not under a least one.
func (s *Sizing) stackTop(i int32, least units.Length) units.Length {
	f, ok, err := s.code.NearestDrainSize(dwv.DrainQuery{Part: dwv.Stack, Load: s.load[i], Closets: int(s.closets[i]),
		Intervals: int(s.intervals[i]), MinSize: least})
	if err != nil {
		s.failed[i] = err
	}
	if !ok {
		return least
	}
	return max(least, f.Size)
}

// enlarge raises what a run requires, and its size unless that is drawn.
func (s *Sizing) enlarge(i int32, size units.Length, by Decision, cite tables.Citation) {
	s.required[i], s.decided[i], s.cite[i] = size, by, cite
	if s.tree.point(i).Run.Size == 0 {
		s.size[i] = size
	}
}

// undiminished keeps the drain from each outlet up to its main cleanouts at the full
// size it has at the outlet.
func (s *Sizing) undiminished(sys int32, w *work) {
	held, full := w.flag(0, sys), s.fullSize(sys)
	s.tree.belowMain(sys, held)
	for i, hi := s.tree.span(sys); i < hi; i++ {
		if held[i] && s.required[i] < full {
			s.enlarge(i, full, DecidedByMainCleanout, tables.Citation{})
		}
	}
}

// fullSize returns the size that the drain of a system has where it leaves: that of the
// outlet, or of the drain that comes there if the outlet is drawn too small for it.
func (s *Sizing) fullSize(sys int32) units.Length {
	full := s.size[sys]
	for k := s.tree.first[sys]; k >= 0; k = s.tree.next[k] {
		full = max(full, s.size[k])
	}
	return full
}

// belowMain marks the nodes of a system at which, or upstream of which, a main
// cleanout stands.
func (t *tree) belowMain(sys int32, held []bool) {
	for _, i := range t.of(sys) {
		if o := t.point(i).Cleanout; o != nil && o.Main {
			held[i] = true
		}
		if held[i] {
			held[t.parent[i]] = true
		}
	}
}

// dimensions looks up the bore and wall of every pipe of a system.
func (s *Sizing) dimensions(sys int32) (err error) {
	if s.pipe[sys], err = s.pipes.Find(s.layout.Systems[sys].Outlet.Material, s.size[sys]); err != nil {
		return err
	}
	for i, hi := s.tree.span(sys); i < hi; i++ {
		if s.pipe[i], err = s.pipes.Find(s.tree.point(i).Run.Material, s.size[i]); err != nil {
			return err
		}
	}
	return nil
}

func (s *Sizing) bore(i int32) units.Length { return s.pipe[i].Bore }

// capacity returns what the size laid may carry; short tells that it does so only at a
// steeper grade than its own, see [dwv.Code.NearestCapacity].
func (s *Sizing) capacity(i int32) (k dwv.Capacity, short bool, err error) {
	return s.code.NearestCapacity(s.part[i], s.size[i], s.tree.point(i).Run.Grade, int(s.intervals[i]))
}

func (s *Sizing) runSize(i int32) RunSize {
	pt := s.tree.point(i)
	r := RunSize{
		Point: pt.ID, To: pt.To, Part: s.part[i], Load: s.load[i], Closets: int(s.closets[i]),
		Size: s.size[i], Drawn: pt.Run.Size > 0, Required: s.required[i], Decided: s.decided[i], Citation: s.cite[i],
	}
	if err := cmp.Or(s.unrated[i], s.failed[i]); err != nil {
		r.Problem = oneLine(err)
	} else if from := s.shortAt(i); from >= 0 {
		r.Problem = fmt.Sprintf("the load of %s is not counted", s.tree.point(from).ID)
	}
	if k, _, err := s.capacity(i); err == nil && k.Permitted {
		r.Capacity, r.CapacityCitation = k.Max, k.Citation
		if k.Max > 0 {
			r.Used = float64(s.load[i]) / float64(k.Max)
		}
	}
	// What the size laid leads to, whatever was required.
	next, err := s.code.DrainSize(dwv.DrainQuery{Part: s.part[i], Load: s.drainLoad(i), Grade: pt.Run.Grade,
		Intervals: int(s.intervals[i]), MinSize: s.size[i]})
	if err == nil && next.Size == s.size[i] {
		r.NextSize, r.NextSizeLoad = next.NextSize, next.NextSizeMaxLoad
		r.NextGrade, r.NextGradeLoad = next.NextGrade, next.NextGradeMaxLoad
	}
	return r
}

// oneLine is the text of an error that may stand for several.
func oneLine(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
