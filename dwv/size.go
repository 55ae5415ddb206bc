package dwv

import (
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// SizeOptions sets how a layout is sized.
type SizeOptions struct {
	// Shelf holds the dimensions of the pipes, the tables pipes/...; nil takes the
	// embedded shelf.
	Shelf *tables.Shelf
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
)

var decisionNames = [...]string{
	"", "load", "water closets", "least size below ground", "trap size", "least drain of the fixture",
	"pipe upstream", "foot of the stack", "main cleanout",
}

// String returns a few words, "" for none.
func (d Decision) String() string { return fixture.NameOf(decisionNames[:], int(d)) }

// MarshalText returns the text of String.
func (d Decision) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// Sizing is the loads and sizes of a layout under a code. It is made by
// [Layout.Size] and never changes.
type Sizing struct {
	layout *Layout
	tree   *tree
	code   *Code
	pipes  *pipeShelf
	// By node. size is the one laid, as drawn or as required; an outlet has
	// that of the pipe there.
	part      []Part
	decided   []Decision
	above     []bool
	load      []FixtureUnits
	closets   []int32
	intervals []int16
	arm       []bool // trap arms that the code does not hold to the loads of drains
	required  []units.Length
	size      []units.Length
	pipe      []slope.Pipe
	cite      []tables.Citation
	fixture   []int32         // index in rated of what stands at the node, -1 for nothing
	rated     []Load          // the different fixtures, each rated as one entry of a layout
	failed    map[int32]error // runs that the code's tables cannot size
	routes    *routes
	vents     []VentSize
}

// RunSize is the size of one run and what decided it.
type RunSize struct {
	Point    string       `json:"point"`
	To       string       `json:"to"`
	Part     Part         `json:"part"`
	Load     FixtureUnits `json:"load"`
	Closets  int          `json:"closets,omitzero"` // water closets, and traps counted alike
	Size     units.Length `json:"size"`             // as drawn, or else as required
	Drawn    bool         `json:"drawn,omitzero"`
	Required units.Length `json:"required"` // the smallest that the code and the tree allow
	Decided  Decision     `json:"decided"`  // what Required rests on
	// Capacity is the greatest load of the size laid, Used the share of it that
	// Load takes; both are zero where the code's tables have no such row.
	Capacity FixtureUnits `json:"capacity,omitzero"`
	Used     float64      `json:"used,omitzero"`
	// The next larger size, and the next steeper grade that carries more, and
	// what each would carry.
	NextSize      units.Length `json:"next_size,omitzero"`
	NextSizeLoad  FixtureUnits `json:"next_size_load,omitzero"`
	NextGrade     slope.Grade  `json:"next_grade,omitzero"`
	NextGradeLoad FixtureUnits `json:"next_grade_load,omitzero"`
	// Citation is the row that decided Required, CapacityCitation that of Capacity.
	Citation         tables.Citation `json:"citation,omitzero"`
	CapacityCitation tables.Citation `json:"capacity_citation,omitzero"`
	// Problem says why the code's tables cannot size the run; Required then
	// rests on the rest alone.
	Problem string `json:"problem,omitzero"`
}

// Size sums the loads down every tree and finds the size of every run: the
// smallest that carries its load and its water closets, is not under what the code
// asks below ground or for the fixture, and does not shrink downstream. From the
// outlet up to a main cleanout the drain keeps its full size. A drawn size is kept
// and the one required stands beside it; [Layout.Check] compares the two.
//
// Every fixture the code does not rate, and every flow it cannot turn into a load,
// is reported, all at once.
func (l *Layout) Size(code *Code, opt SizeOptions) (*Sizing, error) {
	t, err := l.tree()
	if err != nil {
		return nil, err
	}
	if code == nil {
		return nil, fmt.Errorf("size: %w: no code", ErrQuery)
	}
	if opt.Shelf == nil {
		opt.Shelf = tables.Embedded()
	}
	n := t.len()
	s := &Sizing{
		layout: l, tree: t, code: code,
		part: make([]Part, n), decided: make([]Decision, n), load: make([]FixtureUnits, n), closets: make([]int32, n),
		intervals: make([]int16, n), required: make([]units.Length, n), size: make([]units.Length, n),
		pipe: make([]slope.Pipe, n), cite: make([]tables.Citation, n), failed: map[int32]error{},
	}
	if s.pipes, err = newPipeShelf(opt.Shelf); err != nil {
		return nil, err
	}
	if s.above, err = aboveFloor(l, t); err != nil {
		return nil, err
	}
	s.parts()
	s.branchIntervals()
	if err := s.loads(); err != nil {
		return nil, err
	}
	s.routes = l.routes(t)
	s.arms()
	s.sizes()
	s.stackTops()
	s.undiminished()
	if err := s.dimensions(); err != nil {
		return nil, err
	}
	s.sizeVents()
	return s, nil
}

// ruleOffsetAsDrain is there in a code that sizes the horizontal offset of a stack
// as a building drain.
const ruleOffsetAsDrain = "stack-offset-as-drain"

// parts tells which table each run is sized by. A horizontal run that reaches a
// stack further down is a branch, but for one that carries a stack on, which the
// code may size as a drain; what lies along the building drain is a drain.
func (s *Sizing) parts() {
	t := s.tree
	stack := s.stacksAbove()
	offset := make([]bool, t.len())
	for _, i := range slices.Backward(t.order) {
		p := t.parent[i]
		run := &t.point(i).Run
		below := s.part[p]
		branch := below == Stack || below == Branch || offset[p]
		offset[i] = branch && below != Branch && !run.Vertical && stack[i]
		switch {
		case run.Part != 0:
			s.part[i] = run.Part
		case run.Vertical:
			s.part[i] = Stack
		case branch && !offset[i]:
			s.part[i] = Branch
		default:
			s.part[i] = Drain
		}
	}
}

// stacksAbove tells for each horizontal run whether it takes on a stack that passes
// at least one storey, where the code sizes offsets of stacks apart.
func (s *Sizing) stacksAbove() []bool {
	t := s.tree
	has := make([]bool, t.len())
	if s.code == nil { // sized by another method
		return has
	}
	if _, ok := s.code.Rule(ruleOffsetAsDrain); !ok {
		return has
	}
	cell, _, err := s.code.RuleLength(ruleBranchInterval)
	storey, ok := cell.Get()
	if err != nil || !ok {
		return has
	}
	height := make([]units.Length, t.len()) // of the vertical pipe that ends at the lower end of a run
	for _, i := range t.order {
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
func (s *Sizing) branchIntervals() {
	t := s.tree
	height, ok := units.Length(0), false
	if c, _, err := s.code.RuleLength(ruleBranchInterval); err == nil {
		height, ok = c.Get()
	}
	since := make([]units.Length, t.len()) // height above the last interval counted
	for _, i := range t.order {
		if !t.point(i).Run.Vertical {
			continue
		}
		joined, count, far := t.first[i] < 0, int16(0), units.Length(0)
		for k := t.first[i]; k >= 0; k = t.next[k] {
			if !t.point(k).Run.Vertical {
				joined = true
			} else if s.intervals[k] > count {
				count, far = s.intervals[k], since[k]+t.point(k).Run.Length
			}
		}
		if joined && (count == 0 || ok && far >= height) && count < 1000 {
			count, far = count+1, 0
		}
		s.intervals[i], since[i] = max(count, 1), far
	}
	// All of a stack counts as what its foot does.
	for _, i := range slices.Backward(t.order) {
		if p := t.point(t.parent[i]); t.point(i).Run.Vertical && p != nil && p.Run.Vertical {
			s.intervals[i] = s.intervals[t.parent[i]]
		}
	}
}

// ruleBranchInterval is the least height of a branch interval.
const ruleBranchInterval = "branch-interval-height"

// loads rates every fixture and sums the load and the closets of every run.
func (s *Sizing) loads() error {
	t := s.tree
	var list faults.List
	s.fixture = make([]int32, t.len())
	known := make(map[Fixture]int32)
	rate := func(pt *Point, f *Fixture) int32 {
		k, ok := known[*f]
		if ok {
			return k
		}
		load, err := s.code.FixtureLoad(*f)
		if err != nil {
			list.Add(faults.Fault{Item: fmt.Sprintf("point %q", pt.ID), Field: "fixture", Err: err})
			return -1
		}
		k = int32(len(s.rated))
		s.rated = append(s.rated, load)
		known[*f] = k
		return k
	}
	for _, i := range t.order {
		pt := t.point(i)
		own := pt.Reserved
		s.fixture[i] = -1
		if pt.Fixture != nil {
			k := rate(pt, pt.Fixture)
			if k >= 0 {
				s.fixture[i] = k
				load := &s.rated[k]
				own += max(load.Units, s.indirect(pt, rate))
				s.closets[i] += int32(min(load.Closets, maxClosets))
			}
		}
		if pt.Continuous > 0 {
			load, err := s.code.ContinuousLoad(pt.Continuous)
			if err != nil {
				list.Add(faults.Fault{Item: fmt.Sprintf("point %q", pt.ID), Field: "continuous", Err: err})
			}
			own += load.Units
		}
		s.load[i] += own
		if !s.load[i].Valid() {
			list.Add(faults.Fault{Item: fmt.Sprintf("point %q", pt.ID), Field: "load", Err: because(ErrRange, "the loads add up to more than %v", MaxFixtureUnits)})
			break
		}
		p := t.parent[i]
		s.load[p] += s.load[i]
		s.closets[p] = min(s.closets[p]+s.closets[i], maxClosets)
	}
	return list.Err()
}

// indirect returns the load of what discharges into a receptor; the receptor
// counts as that, and as itself at least.
func (s *Sizing) indirect(pt *Point, rate func(*Point, *Fixture) int32) (sum FixtureUnits) {
	if pt.Receptor == nil {
		return 0
	}
	for k := range pt.Receptor.Indirect {
		if n := rate(pt, &pt.Receptor.Indirect[k]); n >= 0 {
			sum += s.rated[n].Units
		}
	}
	return sum
}

// ruleArmLoads is there in a code whose greatest loads leave trap arms out.
const ruleArmLoads = "trap-arm-load-excepted"

// arms marks the runs of trap arms, from one fixture down to its vent, where the
// code leaves them out of the loads of drains: there the trap decides.
func (s *Sizing) arms() {
	t := s.tree
	s.arm = make([]bool, t.len())
	if _, ok := s.code.Rule(ruleArmLoads); !ok {
		return
	}
	single := make([]bool, t.len())
	for _, i := range t.order {
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
func (s *Sizing) drainLoad(i int32) FixtureUnits {
	if s.arm[i] {
		return 0
	}
	return s.load[i]
}

// sizes finds what each run requires, from the upper ends down.
func (s *Sizing) sizes() {
	t := s.tree
	// The least size of the next run that others share, still to be applied, and
	// the row that asks for it.
	branch := make([]units.Length, t.len())
	branchCite := map[int32]tables.Citation{}
	upstream := make([]units.Length, t.len())
	for _, i := range t.order {
		pt, p := t.point(i), t.parent[i]
		least, by, cite := upstream[i], DecidedByUpstream, tables.Citation{}
		raise := func(size units.Length, d Decision, c tables.Citation) {
			if size > least {
				least, by, cite = size, d, c
			}
		}
		if k := s.fixture[i]; k >= 0 {
			load, f := &s.rated[k], pt.Fixture
			trap := load.TrapSize
			if pt.Trap != nil && pt.Trap.Size > trap {
				trap = pt.Trap.Size
			}
			if f.Size > trap {
				trap = f.Size
			}
			raise(trap, DecidedByTrap, load.Citation)
			raise(load.MinDrain, DecidedByFixtureDrain, load.DrainCitation)
			if load.MinBranch > branch[i] {
				branch[i] = load.MinBranch
				branchCite[i] = load.DrainCitation
			}
		}
		if branch[i] > 0 {
			// The drain of the fixture goes on until something joins it.
			if t.first[i] >= 0 && t.next[t.first[i]] >= 0 {
				raise(branch[i], DecidedByFixtureDrain, branchCite[i])
			} else if branch[i] > branch[p] {
				branch[p], branchCite[p] = branch[i], branchCite[i]
			}
		}
		q := DrainQuery{Part: s.part[i], Load: s.drainLoad(i), Grade: pt.Run.Grade, Closets: int(s.closets[i]), BelowGround: !s.above[i], Intervals: int(s.intervals[i]), MinSize: least}
		r, err := s.code.DrainSize(q)
		switch {
		case err != nil:
			s.failed[i] = err
			s.required[i], s.decided[i], s.cite[i] = least, by, cite
		default:
			s.required[i], s.cite[i] = r.Size, r.Citation
			switch r.DecidedBy {
			case ByClosets:
				s.decided[i] = DecidedByClosets
			case ByBelowGround:
				s.decided[i] = DecidedByBelowGround
			case ByMinSize:
				s.decided[i], s.cite[i] = by, cite
			case ByLoad:
				s.decided[i] = DecidedByLoad
				if s.arm[i] && least > 0 {
					s.decided[i], s.cite[i] = by, cite
				}
			default:
				s.decided[i] = DecidedByLoad
			}
		}
		s.size[i] = s.required[i]
		if pt.Run.Size > 0 {
			s.size[i] = pt.Run.Size
		}
		down := s.size[i]
		if pt.Run.ClosetBend {
			down = s.closetBendOutlet(i)
		}
		upstream[p] = max(upstream[p], down)
	}
	for o := range t.outlets {
		s.size[o] = max(s.layout.Systems[o].Outlet.Size, 0)
		if s.size[o] == 0 {
			s.size[o] = upstream[o]
		}
	}
}

// closetBendOutlet returns the size that the pipe after a closet bend must have: a
// bend of the size the code names may shrink to the outlet it names.
func (s *Sizing) closetBendOutlet(i int32) units.Length {
	in, _, err1 := s.code.RuleLength("closet-bend-inlet")
	out, _, err2 := s.code.RuleLength("closet-bend-outlet")
	if err1 == nil && err2 == nil && in.Kind == tables.Value && out.Kind == tables.Value && s.size[i] == in.Value {
		return out.Value
	}
	return s.size[i]
}

// stackTops keeps the upper part of a stack at the share of its foot that the code
// asks for.
func (s *Sizing) stackTops() {
	share, cite, err := s.code.RuleNumber("stack-upper-min-fraction", "ratio")
	if err != nil {
		return
	}
	t := s.tree
	foot := make([]units.Length, t.len())
	for _, i := range slices.Backward(t.order) {
		if !t.point(i).Run.Vertical {
			continue
		}
		p := t.parent[i]
		if foot[i] = s.required[i]; t.point(p) != nil && t.point(p).Run.Vertical {
			foot[i] = foot[p]
		}
		if least := scale(foot[i], share); s.required[i] < least {
			r, err := s.code.DrainSize(DrainQuery{Part: Stack, Load: s.load[i], Closets: int(s.closets[i]), Intervals: int(s.intervals[i]), MinSize: least})
			if err != nil {
				s.failed[i] = err
				continue
			}
			s.enlarge(i, r.Size, DecidedByStackFoot, cite)
		}
	}
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
func (s *Sizing) undiminished() {
	for i, held := range s.tree.belowMain() {
		if full := s.size[s.tree.system[i]]; held && i >= s.tree.outlets && s.required[i] < full {
			s.enlarge(int32(i), full, DecidedByMainCleanout, tables.Citation{})
		}
	}
}

// belowMain tells for each node whether a main cleanout stands there or upstream.
func (t *tree) belowMain() []bool {
	held := make([]bool, t.len())
	for _, i := range t.order {
		if o := t.point(i).Cleanout; o != nil && o.Main {
			held[i] = true
		}
		if held[i] {
			held[t.parent[i]] = true
		}
	}
	return held
}

// dimensions looks up the bore and wall of every pipe.
func (s *Sizing) dimensions() error {
	var err error
	for i := range s.size {
		material := ""
		if pt := s.tree.point(int32(i)); pt != nil {
			material = pt.Run.Material
		} else {
			material = s.layout.Systems[i].Outlet.Material
		}
		if s.pipe[i], err = s.pipes.find(material, s.size[i]); err != nil {
			return err
		}
	}
	return nil
}

func (s *Sizing) bore(i int32) units.Length { return s.pipe[i].Bore }

// Code returns the code the sizes are by.
func (s *Sizing) Code() *Code { return s.code }

// Len returns how many runs there are.
func (s *Sizing) Len() int { return len(s.tree.points) }

// At returns the size of the run of the i-th point, in input order through the
// systems.
func (s *Sizing) At(i int) RunSize { return s.runSize(int32(i + s.tree.outlets)) }

// Of returns the size of the run from the point of that id.
func (s *Sizing) Of(id string) (RunSize, bool) {
	i, ok := s.tree.index[id]
	if !ok || int(i) < s.tree.outlets {
		return RunSize{}, false
	}
	return s.runSize(i), true
}

// Total returns the load of a whole system, and the water closets in it.
func (s *Sizing) Total(system string) (load FixtureUnits, closets int, ok bool) {
	for i := range s.tree.outlets {
		if s.layout.Systems[i].ID == system {
			return s.load[i], int(s.closets[i]), true
		}
	}
	return 0, 0, false
}

// capacity returns what the size laid may carry.
func (s *Sizing) capacity(i int32) (Capacity, error) {
	run := &s.tree.point(i).Run
	grade := run.Grade
	return s.code.Capacity(s.part[i], s.size[i], grade, int(s.intervals[i]))
}

func (s *Sizing) runSize(i int32) RunSize {
	pt := s.tree.point(i)
	r := RunSize{
		Point: pt.ID, To: pt.To, Part: s.part[i], Load: s.load[i], Closets: int(s.closets[i]),
		Size: s.size[i], Drawn: pt.Run.Size > 0, Required: s.required[i], Decided: s.decided[i], Citation: s.cite[i],
	}
	if err := s.failed[i]; err != nil {
		r.Problem = err.Error()
	}
	if k, err := s.capacity(i); err == nil && k.Permitted {
		r.Capacity, r.CapacityCitation = k.Max, k.Citation
		if k.Max > 0 {
			r.Used = float64(s.load[i]) / float64(k.Max)
		}
	}
	// What the size laid leads to, whatever was required.
	next, err := s.code.DrainSize(DrainQuery{Part: s.part[i], Load: s.drainLoad(i), Grade: pt.Run.Grade, Intervals: int(s.intervals[i]), MinSize: s.size[i]})
	if err == nil && next.Size == s.size[i] {
		r.NextSize, r.NextSizeLoad = next.NextSize, next.NextSizeMaxLoad
		r.NextGrade, r.NextGradeLoad = next.NextGrade, next.NextGradeMaxLoad
	}
	return r
}
