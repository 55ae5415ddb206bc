package drains

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sort"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// bathGroup is a bathroom drawn out over several points, which the code rates as one group.
type bathGroup struct {
	vent   int32 // a wet vent of it
	rooms  int   // bathrooms, more than one where their fixtures share a branch
	points []int32
	merge  int32 // where the last of them has joined
	singly dwv.FixtureUnits
	load   dwv.Load // as a group
}

// groups finds the private bathrooms of a system that are drawn fixture by fixture: a closet,
// a lavatory, a tub or shower, and perhaps a bidet and an emergency floor drain, on a wet vent
// of their own, or with a wet vent among their vents and nothing else where they have met.
// Where the code rates a bathroom group as less, the runs from where the last of them joins
// carry that.
func (s *Sizing) groups(sys int32, r *rater, w *work) {
	if !s.tree.vents.stretched {
		return
	}
	on := map[int32][]int32{}
	for i, pt := range s.tree.in(sys) {
		v := s.routes.serving[i]
		if v >= 0 && s.layout.Vents[v].Kind == VentWet && pt.drainsIn() {
			on[v] = append(on[v], i)
		}
	}
	if len(on) == 0 {
		return
	}
	depth := w.node(0, sys) // how many runs lie between each node and its outlet
	for _, i := range slices.Backward(s.tree.of(sys)) {
		depth[i] = depth[s.tree.parent[i]] + 1
	}
	for _, v := range slices.Sorted(maps.Keys(on)) {
		if g, ok := s.group(on[v], r); ok {
			g.merge = s.tree.meet(g.points, depth) // on the wet vent, or before it
			g.vent = v
			s.keepGroup(g)
		}
	}
	s.groupsOfBranches(sys, on, r)
	s.severalGroups(sys, r)
	s.rated = r.rated
	if len(s.grouped) == 0 {
		return
	}
	less := make(map[int32]dwv.FixtureUnits, len(s.grouped)) // at or upstream of a node
	for _, i := range s.tree.of(sys) {
		if d := less[i] + s.grouped[i]; d > 0 {
			s.load[i] -= d
			less[s.tree.parent[i]] += d
		}
	}
	s.load[sys] -= less[sys]
}

// keepGroup counts a bathroom as a group.
func (s *Sizing) keepGroup(g bathGroup) {
	if s.grouped == nil {
		s.grouped = map[int32]dwv.FixtureUnits{}
	}
	s.bathGroups = append(s.bathGroups, g)
	s.grouped[g.merge] += g.singly - g.load.Units
}

// groupsOf returns the bathrooms of a system: they are kept system by system.
func (s *Sizing) groupsOf(sys int32) []bathGroup {
	from := sort.Search(len(s.bathGroups), func(k int) bool { return s.tree.system[s.bathGroups[k].merge] >= sys })
	to := from
	for to < len(s.bathGroups) && s.tree.system[s.bathGroups[to].merge] == sys {
		to++
	}
	return s.bathGroups[from:to]
}

// inGroups returns the points that count in a bathroom of a system.
func (s *Sizing) inGroups(sys int32) map[int32]bool {
	done := map[int32]bool{}
	for _, g := range s.groupsOf(sys) {
		for _, i := range g.points {
			done[i] = true
		}
	}
	return done
}

// groupsOfBranches finds the bathrooms that no one wet vent has to itself: on is what each
// wet vents. They are the first branches, from the fixtures down, with whole bathrooms of one
// storey and nothing else.
func (s *Sizing) groupsOfBranches(sys int32, on map[int32][]int32, r *rater) {
	done := s.inGroups(sys)
	wet := map[int32]bool{}
	for _, points := range on {
		for _, i := range points {
			if !done[i] {
				wet[i] = true
			}
		}
	}
	if len(wet) == 0 {
		return
	}
	s.branchGroups(sys, done, wet, r, func(g bathGroup) {
		g.vent = s.wetVentOf(g.points, wet)
		s.keepGroup(g)
	})
}

// branchGroups finds the first branches, from the fixtures down, with whole bathrooms of one
// storey and nothing else, among them a fixture of those that are named; nil: whichever. What
// is done is in no group.
func (s *Sizing) branchGroups(sys int32, done, named map[int32]bool, r *rater, keep func(bathGroup)) {
	t := s.tree
	storey, _, ok := s.code.FindLength(ruleBranchInterval)
	lo, hi := t.span(sys)
	type joined struct {
		fixtures []int32 // at and upstream of a node
		mixed    bool    // something else joins there, or upstream
	}
	nodes := make([]joined, hi-lo+1) // that of the outlet last
	for _, i := range t.of(sys) {
		pt, n, p := t.point(i), &nodes[i-lo], &nodes[hi-lo]
		if t.parent[i] != sys {
			p = &nodes[t.parent[i]-lo]
		}
		if pt.drainsIn() && !done[i] {
			n.fixtures = append(n.fixtures, i)
		}
		n.mixed = n.mixed || ok && pt.Run.Vertical && pt.Run.Length >= storey
		if points := n.fixtures; !n.mixed &&
			(named == nil || slices.ContainsFunc(points, func(k int32) bool { return named[k] })) {
			if g, ok := s.group(points, r); ok {
				g.merge = i
				keep(g)
				n.fixtures = nil
			}
		}
		p.mixed = p.mixed || n.mixed || len(n.fixtures)+len(p.fixtures) > mostOfBathrooms
		switch {
		case p.mixed:
		case p.fixtures == nil:
			p.fixtures = n.fixtures
		default:
			p.fixtures = append(p.fixtures, n.fixtures...)
		}
		n.fixtures = nil
	}
}

// ungrouped returns, by node of a system, how much less its run would carry if bathrooms whose
// fixtures have vents of their own counted as groups, as they do in a code that rates groups
// however they are vented; nothing that the layout draws says which fixtures are a bathroom.
func (s *Sizing) ungrouped(sys int32) (less map[int32]dwv.FixtureUnits, cite tables.Citation) {
	done := s.inGroups(sys)
	less = map[int32]dwv.FixtureUnits{}
	r := rater{code: s.code, known: map[tables.Fixture]int32{}, refused: map[tables.Fixture]error{}}
	s.branchGroups(sys, done, nil, &r, func(g bathGroup) {
		less[g.merge] += g.singly - g.load.Units
		cite = g.load.Citation
	})
	for _, i := range s.tree.of(sys) {
		if d := less[i]; d > 0 {
			less[s.tree.parent[i]] += d
		}
	}
	return less, cite
}

// severalGroups counts, where bathrooms have come together, what a code has for so many of them
// together: a row of two or three bathrooms, which is less than so many times one.
func (s *Sizing) severalGroups(sys int32, r *rater) {
	rooms := map[int32]int{} // at or upstream of a node
	var flush tables.Fixture
	for _, g := range s.groupsOf(sys) {
		for _, i := range g.points {
			if f := s.tree.point(i).Fixture; f.Kind == "water-closet" {
				if flush.Count > 0 && (flush.Flush != f.Flush || flush.Control != f.Control) {
					return // no row is of both
				}
				flush = tables.Fixture{Count: 1, Use: tables.Private, Control: f.Control, Flush: f.Flush}
			}
		}
		rooms[g.merge] += g.rooms
	}
	less := func(n int) dwv.FixtureUnits { // than n times one
		if n < 2 {
			return 0
		}
		one, all := flush, flush
		one.Kind, all.Kind = "bathroom-group", fmt.Sprintf("bathroom-groups-%d", min(n, 3))
		a, err := r.rate(&one)
		b, errAll := r.rate(&all)
		if err != nil || errAll != nil {
			return 0
		}
		return max(0, dwv.FixtureUnits(min(n, 3))*r.rated[a].Units-r.rated[b].Units)
	}
	if less(2) == 0 {
		return
	}
	told := map[int32]dwv.FixtureUnits{} // by what joins upstream
	for _, i := range s.tree.of(sys) {
		n := rooms[i]
		if n == 0 {
			continue
		}
		more := less(n)
		if d := more - told[i]; d > 0 {
			s.grouped[i] += d
		}
		p := s.tree.parent[i]
		rooms[p] += n
		told[p] += max(more, told[i])
	}
}

// wetVentOf returns the wet vent of some fixtures, of several the first by id.
func (s *Sizing) wetVentOf(points []int32, wet map[int32]bool) int32 {
	first := int32(-1)
	for _, i := range points {
		if v := s.routes.serving[i]; wet[i] && (first < 0 || s.layout.Vents[v].ID < s.layout.Vents[first].ID) {
			first = v
		}
	}
	return first
}

// Two bathrooms back to back may have their fixtures on one branch in any order. More are not
// looked for; so many fixtures two have at most.
const (
	mostBathrooms   = 2
	mostOfBathrooms = 10
)

// group rates points as a bathroom group, or two; ok is false if they are none, or if the code
// rates it no lower than the fixtures one by one.
func (s *Sizing) group(points []int32, r *rater) (g bathGroup, ok bool) {
	var closet *tables.Fixture
	var closets, lavatories, baths, more int
	for _, i := range points {
		pt := s.tree.point(i)
		f := pt.Fixture
		if f == nil || f.Count != 1 || f.Use != tables.Private && f.Kind != "emergency-floor-drain" || pt.Reserved > 0 ||
			pt.Continuous > 0 || pt.Receptor != nil || s.unrated[i] != nil {
			return g, false
		}
		switch f.Kind {
		case "water-closet":
			if closet != nil && (closet.Control != f.Control || closet.Flush != f.Flush) {
				return g, false
			}
			closet, closets = f, closets+1
		case "lavatory":
			lavatories++
		case "bathtub", "shower":
			baths++
		case "bidet", "emergency-floor-drain":
			more++
		default:
			return g, false
		}
		g.singly += s.ownLoad(i)
	}
	if closet == nil || closets > mostBathrooms || lavatories != closets || baths != closets || more > 2*closets {
		return g, false
	}
	k, err := r.rate(&tables.Fixture{Kind: "bathroom-group", Count: closets, Use: tables.Private, Control: closet.Control,
		Flush: closet.Flush})
	if err != nil || r.rated[k].Units >= g.singly {
		return g, false
	}
	g.points, g.load, g.rooms = points, r.rated[k], closets
	return g, true
}

// meet returns the node at which the ways down from some nodes of a system have all met.
func (t *tree) meet(nodes []int32, depth []int32) int32 {
	at := nodes[0]
	for _, i := range nodes[1:] {
		for at != i {
			if depth[at] >= depth[i] {
				at = t.parent[at]
			} else {
				i = t.parent[i]
			}
		}
	}
	return at
}

// ruleBranchesOff is there in a code whose table of building drains is for the main line
// alone: what joins it is a branch.
const ruleBranchesOff = "drain-branches-as-branches"

// branchesOff makes branches of the drains that join the building drain, where the code tells
// them apart. The building drain is the line from the outlet up that takes the most, as far as
// a stack or a water closet drains into it.
func (s *Sizing) branchesOff(sys int32, w *work) {
	t := s.tree
	if _, ok := s.code.Rule(ruleBranchesOff); !ok {
		return
	}
	soil, main := w.flag(0, sys), w.node(0, sys)
	for _, i := range t.of(sys) {
		p := t.parent[i]
		soil[i] = soil[i] || s.closets[i] > 0 || t.point(i).Run.Vertical && t.first[i] >= 0
		if soil[p] = soil[p] || soil[i]; soil[i] && (main[p] == 0 || s.load[i] > s.load[main[p]] ||
			s.load[i] == s.load[main[p]] && t.point(i).ID < t.point(main[p]).ID) {
			main[p] = i
		}
	}
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		if t.point(i).Run.Part == 0 && s.part[i] == dwv.Drain && int(p) >= t.outlets &&
			(main[p] != i || s.part[p] == dwv.Branch) {
			s.part[i] = dwv.Branch
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
	s.countIntervals(s.tree.of(sys), w.length(0, sys), s.intervals, s.upright)
}

func (s *Sizing) upright(i int32) bool { return s.tree.point(i).Run.Vertical }

// countIntervals counts them along the runs of which along is true; since is room for the height
// above the last interval counted, by node.
func (s *Sizing) countIntervals(order []int32, since []units.Length, counts []int16, along func(i int32) bool) {
	t := s.tree
	height, _, ok := s.code.FindLength(ruleBranchInterval)
	for _, i := range order {
		if !along(i) {
			continue
		}
		joined, count, far := t.first[i] < 0, int16(0), units.Length(0)
		for k := range t.into(i) {
			if !along(k) {
				joined = true
				continue
			}
			d := since[k]
			if run := &t.point(k).Run; run.Vertical {
				d += run.Length
			}
			// Of two stacks with as many intervals the nearer counts, which allows less.
			if counts[k] > count || counts[k] == count && d < far {
				count, far = counts[k], d
			}
		}
		if joined && (count == 0 || ok && far >= height) && count < 1000 {
			count, far = count+1, 0
		}
		counts[i], since[i] = max(count, 1), far
	}
	// All of a stack counts as what its foot does.
	for _, i := range slices.Backward(order) {
		if p := t.parent[i]; along(i) && int(p) >= t.outlets && along(p) {
			counts[i] = counts[p]
		}
	}
}

// offsets tells of a system which flat runs carry a stack on to its lower part.
func (s *Sizing) offsets(order []int32, is []bool) {
	t := s.tree
	for _, i := range slices.Backward(order) {
		p := t.parent[i]
		is[i] = !s.upright(i) && s.part[i] == dwv.Drain && int(p) >= t.outlets &&
			(is[p] || s.upright(p) && !s.dropsBelowFloor(p))
	}
}

// ruleBranchInterval is the least height of a branch interval.
const ruleBranchInterval = "branch-interval-height"

// rater rates the different fixtures of a layout, each once.
type rater struct {
	code    *dwv.Code
	known   map[tables.Fixture]int32
	refused map[tables.Fixture]error
	last    tables.Fixture // the one asked for last, and its place
	lastAt  int32
	rated   []dwv.Load
	faults  faults.List
}

// rate returns the place of a fixture in rated, or why the code does not rate it.
func (r *rater) rate(f *tables.Fixture) (int32, error) {
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
		var over error
		if sum, over = sum.Add(r.rated[n].Units); over != nil {
			return dwv.MaxFixtureUnits, over
		}
	}
	return sum, err
}

// own rates what stands at a node and returns what it adds to its run.
func (s *Sizing) own(i int32, r *rater) dwv.FixtureUnits {
	pt := s.tree.point(i)
	own := pt.Reserved
	s.fixture[i] = -1
	if pt.Continuous > 0 {
		load, err := s.code.ContinuousLoad(pt.Continuous)
		own += load.Units
		s.missing(i, err)
	}
	if f := pt.Fixture; f != nil {
		through, err := r.indirect(pt)
		k, refused := r.rate(f)
		if errors.Is(refused, tables.ErrNotStated) && f.Size == 0 && pt.Trap != nil && pt.Trap.Size > 0 {
			sized := *f
			sized.Size = pt.Trap.Size // what the layout says of the trap answers for the fixture
			k, refused = r.rate(&sized)
		}
		if errors.Is(refused, tables.ErrNotInCode) && pt.Receptor != nil && len(pt.Receptor.Indirect) == 1 && err == nil {
			// What takes the waste of one fixture is the drain of that fixture, as the standpipe
			// of a washer is under codes that list the washer alone.
			k, refused = r.rate(&pt.Receptor.Indirect[0])
		}
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
	return own
}

// FixtureLoad returns the load of what stands at the i-th point, as [Sizing.At] counts: with
// the size of its trap where the code asks for a size that the fixture does not state. The
// error says why the code gives none; a point without a fixture is [ErrMissing].
func (s *Sizing) FixtureLoad(i int) (dwv.Load, error) {
	if err := s.made(); err != nil {
		return dwv.Load{}, err
	}
	if i < 0 || i >= s.Len() {
		return dwv.Load{}, fmt.Errorf("point %d of %d: %w", i, s.Len(), ErrReference)
	}
	n := int32(i + s.tree.outlets)
	if k := s.fixture[n]; k >= 0 {
		return s.rated[k], nil
	}
	if err := s.unrated[n]; err != nil {
		return dwv.Load{}, err
	}
	return dwv.Load{}, fmt.Errorf("point %q: fixture: %w", s.tree.point(n).ID, ErrMissing)
}

// missing notes that the code gives no load for something at a node, if err says why.
func (s *Sizing) missing(i int32, err error) {
	if err == nil {
		return
	}
	if s.short == nil {
		s.short = none(s.tree.len())
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
func (s *Sizing) loads(ctx context.Context, sys int32, r *rater) error {
	t := s.tree
	for n, i := range t.of(sys) {
		if err := t.stoppedAt(ctx, sys, n); err != nil {
			return err
		}
		s.load[i] += s.own(i, r)
		if !s.load[i].Valid() {
			r.faults.Add(units.Fault{Item: fmt.Sprintf("point %q", t.point(i).ID), Field: "load",
				Err: because(units.ErrRange, "the loads add up to more than %v", dwv.MaxFixtureUnits)})
			break
		}
		p := t.parent[i]
		s.load[p] += s.load[i]
		s.closets[p] = min(s.closets[p]+s.closets[i], dwv.MaxClosets)
		s.passShort(i, p)
	}
	return nil
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
