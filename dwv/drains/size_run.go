package drains

import (
	"cmp"
	"context"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// stretches counts the vents of a kind that a run of drain is part of.
type stretches struct {
	wet    int32 // wet vents
	common int32 // vents of which it vents the lower fixture
	waste  int32 // the foot of the waste stack that it is part of, 0 for none
}

// ventingRuns counts by node what runs vent: codes limit the load of such a run by its
// size. It is nil if there is none.
func (s *Sizing) ventingRuns() []stretches {
	g, t := &s.tree.vents, s.tree
	if !g.stretched {
		return nil
	}
	count := make([]stretches, t.len())
	lower := func(foot *int32, other int32) { // of two that overlap the foot that lies lower counts
		if *foot == 0 || t.drainsBy(*foot, other) {
			*foot = other
		}
	}
	for v := range s.layout.Vents {
		from, end := g.serves[v], g.end[v] // a dry riser over that is vent alone
		if from < 0 || end < 0 {
			continue
		}
		switch s.layout.Vents[v].Kind {
		case VentWet:
			count[from].wet++
			count[end].wet--
		case VentCommon:
			count[from].common++
			count[end].common--
		case VentWasteStack:
			lower(&count[from].waste, end)
		}
	}
	// A stretch goes on down to where it ends.
	for _, i := range t.order {
		p := t.parent[i]
		count[p].wet += count[i].wet
		count[p].common += count[i].common
		if foot := count[i].waste; foot != 0 && foot != i {
			lower(&count[p].waste, foot)
		}
	}
	return count
}

// several stands for more than one node.
const several = -1

// upperFixtures returns by node the fixture that reaches its vent where a wet vent takes
// off, several if there are more, nought if there is none.
func (s *Sizing) upperFixtures(sys int32, w *work) []int32 {
	t, r := s.tree, s.routes
	upper := w.node(1, sys)
	lo, hi := t.span(sys)
	for i := lo; i < hi; i++ {
		v, at := r.serving[i], r.reached[i]
		if t.point(i).Fixture == nil || v < 0 || s.layout.Vents[v].Kind != VentWet || at != t.vents.from[v] {
			continue
		}
		if upper[at] == 0 {
			upper[at] = i
		} else {
			upper[at] = several
		}
	}
	return upper
}

// raiseVenting raises the least size of a run to what it needs to vent as well; upper is
// of upperFixtures. A load that the code's table holds in no size gets its largest.
func (s *Sizing) raiseVenting(least *demand, i int32, does stretches, upper int32) {
	if does.wet > 0 {
		if s.code.LimitsUprightWet() && s.tree.point(i).Run.Vertical {
			size, cite, _ := s.code.FindLength(ruleUprightWetSize)
			if upper > 0 { // and a size more than the drain of the upper fixture
				size = max(size, s.code.MadeSize(s.fixtureDrain(upper), true))
			}
			least.raise(size, DecidedByVenting, cite)
		} else {
			s.raiseTo(least, i, s.code.WetVentSize)
		}
	}
	if does.common > 0 {
		s.raiseTo(least, i, s.code.CommonVentSize)
	}
	if foot := does.waste; foot > 0 && s.tree.point(i).Run.Vertical { // all of it as large as at its foot
		if size, limit, err := s.code.WasteStackVentSize(s.load[foot]); err == nil {
			least.raise(size, DecidedByVenting, limit.Citation)
		}
	}
}

// fixtureDrain returns the size of the drain of the fixture at a node: its run, or, where
// it stands on a riser, the trap arm that is not drawn.
func (s *Sizing) fixtureDrain(i int32) units.Length {
	pt, k := s.tree.point(i), s.fixture[i]
	if !pt.Run.Vertical || k < 0 {
		return s.required[i]
	}
	load := &s.rated[k]
	return max(load.TrapSize, load.MinDrain, pt.outletSize())
}

func (s *Sizing) raiseTo(
	least *demand, i int32, smallest func(dwv.FixtureUnits) (units.Length, dwv.LoadLimit, error),
) {
	size, limit, err := smallest(s.load[i])
	if err != nil && size > 0 {
		s.failed[i] = err
	}
	least.raise(size, DecidedByVenting, limit.Citation)
}

// ruleUprightWetSize is the least size of an upright wet vent.
const ruleUprightWetSize = "wet-vent-vertical-min-size"

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
func (s *Sizing) sizes(ctx context.Context, sys int32, w *work) error {
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
	for n, i := range t.of(sys) {
		if err := t.stoppedAt(ctx, sys, n); err != nil {
			return err
		}
		pt, p := t.point(i), t.parent[i]
		var least demand
		if k := s.fixture[i]; k >= 0 {
			load := &s.rated[k]
			least.raise(load.TrapSize, DecidedByTrap, load.Citation)
			least.raise(pt.outletSize(), DecidedByTrap, tables.Citation{})
			if !s.arm[i] {
				least.raise(load.MinDrain, DecidedByFixtureDrain, load.DrainCitation)
			}
			if load.MinBranch > branch[i] {
				branch[i], asks[i] = load.MinBranch, k
			}
		} else if pt.Fixture != nil {
			least.raise(pt.outletSize(), DecidedByTrap, tables.Citation{})
		}
		s.raiseBeyondArms(&least, i)
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
	s.size[sys] = cmp.Or(s.layout.Systems[sys].Outlet.Size, upstream[sys])
	return nil
}

// raiseBeyondArms raises the least size of a run to what the fixtures whose trap arms end at its
// upper end ask of their drains: an arm is no larger than its trap, and the drain begins at the vent.
func (s *Sizing) raiseBeyondArms(least *demand, i int32) {
	if s.arm[i] {
		return
	}
	for k := range s.tree.into(i) {
		top := k
		for s.arm[k] && s.tree.first[top] >= 0 {
			top = s.tree.first[top] // an arm serves one fixture
		}
		if f := s.fixture[top]; s.arm[k] && f >= 0 {
			least.raise(s.rated[f].MinDrain, DecidedByFixtureDrain, s.rated[f].DrainCitation)
		}
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
	for k := range s.tree.into(i) {
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
// stack above: the branches that join there and what stands on it. The offset of a stack is
// that stack. The riser of one fixture is its drain and no stack, nor is a drop below the floor.
func (s *Sizing) enters(i int32) dwv.FixtureUnits {
	t, pt := s.tree, s.tree.point(i)
	if !pt.Run.Vertical || t.first[i] < 0 && pt.Fixture != nil && pt.Fixture.Count == 1 && pt.Reserved == 0 &&
		pt.Continuous == 0 || s.dropsBelowFloor(i) {
		return 0
	}
	in := s.load[i]
	for k := range t.into(i) {
		if t.point(k).Run.Vertical || s.part[k] == dwv.Drain {
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
	needs := s.fitRun(i, with)
	s.need[i] = needs.size
	if upstream != needed {
		with = demand{size: upstream, by: DecidedByUpstream}
		with.raise(least.size, least.by, least.cite)
		needs = s.fitRun(i, with)
	}
	s.required[i], s.decided[i], s.cite[i] = needs.size, needs.by, needs.cite
	if s.size[i] = s.sold(needs.size); pt.Run.Size > 0 {
		s.size[i] = pt.Run.Size
		if n, most, cite, ok := s.smallBranch(i); ok && n <= most && s.required[i] > pt.Run.Size {
			s.required[i], s.need[i], s.cite[i] = pt.Run.Size, pt.Run.Size, cite
		}
	}
}

// skipped are the sizes that are not taken unless drawn: of the layout, or those that are
// assumed for one that names none.
func (s *Sizing) skipped() (sizes []units.Length, assumed bool) {
	if s.layout.SkipSizes != nil {
		return s.layout.SkipSizes, false
	}
	return s.opt.SkipSizes, true
}

// smallBranch returns how many fixtures drain through a run drawn of 1-1/2 in, and how many
// may, under a code whose table of building drains has no load for that size and a note that
// lets branches of it take so many, and fewer where one of them is pumped.
func (s *Sizing) smallBranch(i int32) (n, most int, cite tables.Citation, ok bool) {
	const small = 3 * units.Inch / 2
	pt := s.tree.point(i)
	if pt.Run.Size != small || pt.Run.Vertical || s.part[i] != dwv.Drain || s.closets[i] > 0 ||
		s.tree.point(s.tree.parent[i]) == nil {
		return 0, 0, cite, false
	}
	limit, cite, ok := s.code.FindNumber("small-branch-fixtures", "count")
	if !ok {
		return 0, 0, cite, false
	}
	n, pumps := s.fixturesOn(i)
	if fewer, c, has := s.code.FindNumber("small-branch-pumped", "count"); has && pumps > 0 {
		limit, cite = fewer, c
	}
	return n, int(limit), cite, true
}

// fixturesOn counts the fixtures at and upstream of a node, and those of them that are pumped.
func (s *Sizing) fixturesOn(i int32) (n, pumped int) {
	if f := s.tree.point(i).Fixture; f != nil {
		n = f.Count
		if isPumped(f.Kind) {
			pumped = f.Count
		}
	}
	for k := range s.tree.into(i) {
		more, pumps := s.fixturesOn(k)
		n, pumped = n+more, pumped+pumps
	}
	return n, pumped
}

// sold is a size, or the next one made that is not skipped.
func (s *Sizing) sold(size units.Length) units.Length {
	skip, _ := s.skipped()
	for slices.Contains(skip, size) {
		next := s.code.MadeSize(size, true)
		if next == 0 {
			break
		}
		size = next
	}
	return size
}

// query asks the code for the size of a run that carries a load.
func (s *Sizing) query(i int32, load dwv.FixtureUnits) dwv.DrainQuery {
	return dwv.DrainQuery{Part: s.part[i], Load: load, Grade: s.tree.point(i).Run.Grade, Closets: int(s.closets[i]),
		BelowGround: !s.above[i], Intervals: int(s.intervals[i])}
}

// fitRun returns what the load and the closets of a run demand beyond a least size.
func (s *Sizing) fitRun(i int32, least demand) demand {
	q := s.query(i, s.drainLoad(i))
	q.MinSize = least.size
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
	if s.bendOutlet > 0 && bend == s.bendInlet {
		return s.bendOutlet
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
		s.size[i] = s.sold(size)
	}
}

// undiminished keeps the drain from each outlet up to its main cleanouts at the full
// size it has at the outlet.
func (s *Sizing) undiminished(sys int32, w *work) {
	held, full := w.flag(0, sys), s.fullSize(sys)
	s.tree.belowMain(sys, held)
	for i := range s.tree.in(sys) {
		if held[i] && s.required[i] < full {
			s.enlarge(i, full, DecidedByMainCleanout, tables.Citation{})
		}
	}
}

// fullSize returns the size that the drain of a system has where it leaves: that of the
// outlet, or of the drain that comes there if the outlet is drawn too small for it.
func (s *Sizing) fullSize(sys int32) units.Length { return max(s.size[sys], s.largestInto(sys)) }

// largestInto returns the largest size of the runs that come into a node.
func (s *Sizing) largestInto(i int32) (size units.Length) {
	for k := range s.tree.into(i) {
		size = max(size, s.size[k])
	}
	return size
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
	for i, pt := range s.tree.in(sys) {
		if s.pipe[i], err = s.pipes.Find(pt.Run.Material, s.size[i]); err != nil {
			return err
		}
	}
	return nil
}
