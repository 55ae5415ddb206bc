package drains

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// LimitKind is a question of how far one figure of a layout can go.
type LimitKind string

// What [Sizing.Limit] is asked.
const (
	// HighestOutlet is the highest invert of the outlet of a system, LowestOutlet the
	// lowest: the deepest connection to a sewer.
	HighestOutlet LimitKind = "highest-outlet"
	LowestOutlet  LimitKind = "lowest-outlet"
	// SteepestGrade and FlattestGrade are of every run of a system below the floor, all
	// laid at that one grade between the outlet and the slab.
	SteepestGrade LimitKind = "steepest-grade"
	FlattestGrade LimitKind = "flattest-grade"
	// ThickestSlab is the greatest thickness of the slab over the drains as they lie.
	ThickestSlab LimitKind = "thickest-slab"
	// FarthestPoint is how long the run from a point can be at the grade it has: how far
	// from where it joins a fixture at its upper end can stand.
	FarthestPoint LimitKind = "farthest-point"
)

// Limits are what [FitOptions] may be asked, in order: of a layout, a system or a point.
func limitKinds() []LimitKind {
	return []LimitKind{HighestOutlet, LowestOutlet, SteepestGrade, FlattestGrade, ThickestSlab, FarthestPoint}
}

// FitOptions sets what limits and fixes are worked out to.
type FitOptions struct {
	// Step is the smallest step of a length: a limit is a whole number of them, a change a
	// crew makes is rounded up to one. Zero: 1/16 in, or 1 mm where the layout is metric.
	Step units.Length
	// GradeStep is the smallest step of a grade. Level: 1/64 in per foot, or 1 mm per metre.
	GradeStep slope.Grade
	// Print writes a quantity in texts, as [CheckOptions] has it.
	Print func(fmt.Stringer) string
	// Tried is called after each layout that was tried, to show that long work goes on; nil: nothing is.
	Tried func()
}

// Limit is how far one figure of a layout can go, all else left as it is, before it makes
// a finding fail. Every limit was tried: the layout was sized and judged with it, and with
// one step more.
//
// What fails whatever the figure is does not count while it is no worse than it must be, and
// stands in Regardless as it is at its best.
type Limit struct {
	Kind  LimitKind `json:"kind"`
	Place string    `json:"place,omitzero"` // system or point; none: the layout
	// Found tells whether there is such a figure at all, within forty feet of the floor
	// or up to three hundred feet of run. If not, the figure given is one with which the
	// fewest findings fail, and Binds are they.
	Found bool `json:"found"`
	// Length is the invert, the thickness or the length of run, Grade the grade; Now and
	// NowGrade are what the layout has, level where its runs have several grades.
	Length   units.Length `json:"length,omitzero"`
	Grade    slope.Grade  `json:"grade,omitzero"`
	Now      units.Length `json:"now,omitzero"`
	NowGrade slope.Grade  `json:"now_grade,omitzero"`
	// Depth is, of the invert of an outlet, how far below the finished floor it lies.
	Depth units.Length `json:"depth,omitzero"`
	// Binds is what fails one step farther; it is empty if nothing does as far as was
	// looked. Stops is why the layout cannot be drawn one step farther.
	Binds []tables.Finding `json:"binds,omitempty"`
	Stops string           `json:"stops,omitzero"`
	// Lower is, of a grade that does not do, how far the outlet must be lowered for it to.
	Lower units.Length `json:"lower,omitzero"`
	// Questions are what is asked at the limit and not of the layout as it is.
	Questions  []tables.Finding `json:"questions,omitempty"`
	Regardless []tables.Finding `json:"regardless,omitempty"`
}

// Limit finds how far one figure can go. place is the id of a system, of a point for
// [FarthestPoint], and empty for [ThickestSlab]. Where an outlet or a grade moves, risers
// are cut so that what stands above the floor stays where it is.
//
// An unknown kind or place is an error, and so is a context that is done.
func (s *Sizing) Limit(ctx context.Context, kind LimitKind, place string, opt FitOptions) (Limit, error) {
	f, err := s.newFit(ctx, opt)
	if err != nil {
		return Limit{}, err
	}
	return f.limit(kind, place)
}

func (f *fit) limit(kind LimitKind, place string) (Limit, error) {
	q, err := f.question(kind, place)
	if err != nil {
		return Limit{}, err
	}
	x, err := f.answer(q)
	x.Binds, x.Questions, x.Regardless = f.shown(x.Binds), f.shown(x.Questions), f.shown(x.Regardless)
	return x, err
}

// shown returns findings with their figures as a check without Print has them.
func (f *fit) shown(list []tables.Finding) []tables.Finding {
	if f.trade == nil {
		return list
	}
	list = slices.Clone(list)
	for k := range list {
		list[k] = f.trade.Rounded(list[k])
	}
	return list
}

// Limits finds every limit of the layout: of each system its outlet, its grade and its
// farthest upper end, and of the slab.
func (s *Sizing) Limits(ctx context.Context, opt FitOptions) ([]Limit, error) {
	f, err := s.newFit(ctx, opt)
	if err != nil {
		return nil, err
	}
	var list []Limit
	add := func(kind LimitKind, place string) error {
		x, err := f.limit(kind, place)
		list = append(list, x)
		return err
	}
	for sys := range s.layout.Systems {
		id := s.layout.Systems[sys].ID
		for _, kind := range limitKinds()[:4] {
			if err := add(kind, id); err != nil {
				return nil, err
			}
		}
		if i := s.farthest(int32(sys)); i >= 0 {
			if err := add(FarthestPoint, s.tree.point(i).ID); err != nil {
				return nil, err
			}
		}
	}
	return list, add(ThickestSlab, "")
}

// farthest returns the upper end below the floor that has the longest way to its outlet,
// -1 for none.
func (s *Sizing) farthest(sys int32) int32 {
	t, best := s.tree, int32(-1)
	way := make(map[int32]units.Length)
	for _, i := range slices.Backward(t.of(sys)) {
		run := &t.point(i).Run
		way[i] = way[t.parent[i]] + run.Length
		below := !s.above[i] && !run.Vertical && !s.levels.outside(i)
		if below && (best < 0 || way[i] > way[best] || way[i] == way[best] && t.point(i).ID < t.point(best).ID) {
			best = i
		}
	}
	return best
}

// fit tries variants of a layout.
type fit struct {
	ctx   context.Context
	tried int // layouts
	of    *Sizing
	opt   FitOptions
	base  []tables.Finding // problems of the layout as it is
	// trade rounds the figures of what is returned, nil where the options have a Print.
	trade *finding.Trade
}

// checkStep refuses what is no length to count by; zero is one that is not stated.
func checkStep(name string, x units.Length) error {
	if err := argument.CheckBare(name, x); err != nil {
		return err
	}
	if x < 0 || !x.Valid() {
		return argument.Outside(name, x.String(), "a length")
	}
	return nil
}

func (s *Sizing) newFit(ctx context.Context, opt FitOptions) (*fit, error) {
	if err := cmp.Or(s.made(), checkStep("step", opt.Step)); err != nil {
		return nil, err
	}
	metric := s.metric
	if opt.Step == 0 {
		if opt.Step = units.Inch / 16; metric {
			opt.Step = units.Millimetre
		}
	}
	if opt.GradeStep.IsLevel() || !opt.GradeStep.Valid() {
		if opt.GradeStep = slope.PerFoot(units.Inch / 64); metric {
			opt.GradeStep = slope.OneIn(1000)
		}
	}
	f := &fit{ctx: ctx, of: s}
	if opt.Print == nil { // the figures themselves are worked with as they are
		f.trade = s.trade()
		opt.Print = func(q fmt.Stringer) string { return f.trade.Round(q).String() }
	}
	f.opt = opt
	var err error
	f.base, err = s.CheckContext(ctx, CheckOptions{ProblemsOnly: true, Print: opt.Print, plain: true})
	return f, err
}

// metric tells whether the runs of a layout are given in whole millimetres rather than in
// fractions of an inch.
func (l *Data) metric() bool {
	votes := 0
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			run := &l.Systems[s].Points[p].Run
			x := run.Length
			if run.Top != nil {
				x = *run.Top
			}
			mm, inch := x%units.Millimetre == 0, x%(units.Inch/64) == 0
			switch {
			case mm && !inch:
				votes++
			case inch && !mm:
				votes--
			}
		}
	}
	return votes > 0
}

// try draws a variant, sizes it and judges it. Unless they are to stay as long as they are, risers
// are cut for what stands on them to stay at its height. problems is nil where it cannot be drawn
// or sized, and why says then why not.
func (f *fit) try(d Data, standing bool) (s *Sizing, problems []tables.Finding, why error) {
	s, why = f.sized(d)
	if why == nil && !standing {
		var cut bool
		if cut, why = f.cutRisers(&d, s); cut {
			s, why = f.sized(d)
		}
	}
	if why != nil {
		return nil, nil, why
	}
	problems, why = s.CheckContext(f.ctx, CheckOptions{ProblemsOnly: true, Print: f.opt.Print, plain: true})
	if f.tried++; f.opt.Tried != nil {
		f.opt.Tried()
	}
	return s, problems, why
}

// sized draws a variant and sizes it.
func (f *fit) sized(d Data) (*Sizing, error) {
	l, err := New(d)
	if err != nil {
		return nil, err
	}
	return f.of.again(f.ctx, l)
}

// again sizes another layout by the method and under the code of this sizing.
func (s *Sizing) again(ctx context.Context, l *Layout) (*Sizing, error) {
	if s.european != nil {
		return l.sizeEuropean(ctx, s.european.standard, s.european.stated, s.code, s.pipes)
	}
	return l.size(ctx, s.code, s.opt, s.pipes)
}

// stopped says how far the work was when its context ended, nil if it goes on.
func (f *fit) stopped() error {
	if err := f.ctx.Err(); err != nil {
		return fmt.Errorf("stopped after %d layouts were tried: %w", f.tried, err)
	}
	return nil
}

// fails tells whether a finding stands against a variant: it fails, or would if the book
// agrees.
func fails(f *tables.Finding) bool {
	return f.Verdict == tables.Fail || f.Verdict == tables.Ask && f.IfConfirmed == tables.Fail
}

// same tells two findings that say the same, figures included.
func same(a, b *tables.Finding) bool {
	return a.ID() == b.ID() && a.Verdict == b.Verdict && a.Reason == b.Reason
}

func hasID(list []tables.Finding, id string) bool {
	return slices.ContainsFunc(list, func(x tables.Finding) bool { return x.ID() == id })
}

func contains(list []tables.Finding, f *tables.Finding) bool {
	return slices.ContainsFunc(list, func(x tables.Finding) bool { return same(&x, f) })
}

// question is a figure that is varied: a whole number of steps, from one end of what is
// looked through to the other.
type question struct {
	limit    Limit
	from, to int64 // from the far end, that surely goes too far, toward the near one
	now      int64 // about what the layout has
	vary     func(d *Data, k int64)
	value    func(x *Limit, k int64)
	// rate is the most by which one step moves any clearance.
	rate  units.Length
	risen bool // the variant lies otherwise in height: risers are cut
}

// Steps that are looked through: forty feet of depth, three hundred of run.
const (
	fitDepth  = 40 * units.Foot
	fitLength = 300 * units.Foot
	fitSlab   = 10 * units.Foot
)

// question makes the figure of a kind at a place.
func (f *fit) question(kind LimitKind, place string) (*question, error) {
	s := f.of
	if !slices.Contains(limitKinds(), kind) {
		return nil, fmt.Errorf("limit %q: %w: %v", string(kind), ErrChoice, limitKinds())
	}
	q := &question{limit: Limit{Kind: kind, Place: place}}
	switch kind {
	case ThickestSlab:
		if place != "" {
			return nil, fmt.Errorf("limit %q: %w: it is of the layout, and %q was named", string(kind), ErrReference, place)
		}
		f.slab(q)
		return q, nil
	case FarthestPoint:
		i, ok := s.tree.find(place)
		if !ok {
			return nil, fmt.Errorf("limit %q: %w: %q", string(kind), ErrReference, place)
		}
		if err := f.length(q, int32(i+s.tree.outlets)); err != nil {
			return nil, err
		}
		return q, nil
	}
	sys, ok := s.tree.systems[place]
	if !ok {
		return nil, fmt.Errorf("limit %q: %w: no system %q", string(kind), ErrReference, place)
	}
	if kind == SteepestGrade || kind == FlattestGrade {
		f.grades(q, sys)
	} else {
		f.outlet(q, sys)
	}
	return q, nil
}

// outlet varies the invert of an outlet.
func (f *fit) outlet(q *question, sys int32) {
	l, step := f.of.layout, f.opt.Step
	q.rate, q.risen = step, true
	at := func(k int64) units.Length { return units.Length(k) * step }
	down := func(x units.Length) int64 {
		k := int64(x / step)
		if x%step < 0 {
			k--
		}
		return k
	}
	invert := l.Systems[sys].Outlet.Invert
	q.limit.Now, q.now = invert, down(invert)
	q.from, q.to = down(l.FinishedFloor), down(l.FinishedFloor-fitDepth)
	if spare, _, ok := f.of.levels.spare(sys); ok {
		q.from = min(q.from, down(invert+spare)+1)
	}
	if q.limit.Kind == LowestOutlet {
		q.from, q.to = q.to, q.from
	}
	q.vary = func(d *Data, k int64) { d.Systems[sys].Outlet.Invert = at(k) }
	q.value = func(x *Limit, k int64) { x.Length, x.Depth = at(k), l.FinishedFloor-at(k) }
}

// grades varies the grade of all runs of a system below the floor.
func (f *fit) grades(q *question, sys int32) {
	s, t := f.of, f.of.tree
	lo, hi := t.span(sys)
	graded := func(i int32) bool { return !s.above[i] && !t.point(i).Run.Vertical }
	var longest units.Length
	var now slope.Grade
	one, way := true, map[int32]units.Length{}
	for _, i := range slices.Backward(t.of(sys)) {
		way[i] = way[t.parent[i]]
		if !graded(i) {
			continue
		}
		run := &t.point(i).Run
		way[i] += run.Length
		arm := units.Length(0) // which lies at the grade of its drain, up to the weir
		if trap := t.point(i).Trap; trap != nil {
			arm = trap.Arm
		}
		longest = max(longest, way[i]+arm)
		one = one && (now.IsLevel() || now == run.Grade)
		now = run.Grade
	}
	if one {
		q.limit.NowGrade = now
	}
	// A nanometre more, for the fall is rounded: a clearance of two steps may be a hair over two of them.
	q.rate, q.risen = f.opt.GradeStep.Over(longest)+1, true
	grade := func(k int64) slope.Grade {
		g, _ := f.opt.GradeStep.Scale(k, 1) // of a few thousand steps
		return g
	}
	q.now = max(1, int64(now.Float()/f.opt.GradeStep.Float()))
	q.from, q.to = int64(maxFitGrade/f.opt.GradeStep.Float()), 1
	if q.limit.Kind == FlattestGrade {
		q.from, q.to = q.to, q.from
	}
	q.vary = func(d *Data, k int64) {
		for i := lo; i < hi; i++ {
			if graded(i) {
				f.point(d, i).Run.Grade = grade(k)
			}
		}
	}
	q.value = func(x *Limit, k int64) { x.Grade = grade(k) }
}

// maxFitGrade is the steepest grade looked at: 6 in per foot.
const maxFitGrade = 0.5

// slab varies the thickness of the slab.
func (f *fit) slab(q *question) {
	step, now := f.opt.Step, f.of.layout.Slab
	q.limit.Now, q.now, q.rate = now, int64(now/step), step
	q.from, q.to = int64(fitSlab/step), 0
	q.vary = func(d *Data, k int64) { d.Slab = units.Length(k) * step }
	q.value = func(x *Limit, k int64) { x.Length = units.Length(k) * step }
}

// length varies the length of a run; what stands at and above its upper end then has no
// place on plan.
func (f *fit) length(q *question, i int32) error {
	t, step := f.of.tree, f.opt.Step
	pt := t.point(i)
	if pt.Run.Vertical {
		return fmt.Errorf("limit %q: %w whose run lies flat: the run from %q is a riser",
			string(q.limit.Kind), ErrReference, pt.ID)
	}
	sys := t.system[i]
	lo, hi := t.span(sys)
	now := pt.Run.Length
	q.limit.Now, q.now, q.rate, q.risen = now, int64(now/step), step, true
	q.from, q.to = int64(fitLength/step), 1
	moved := make([]bool, t.len())
	moved[i] = true
	for _, k := range slices.Backward(t.of(sys)) {
		moved[k] = moved[k] || moved[t.parent[k]]
	}
	q.vary = func(d *Data, k int64) {
		for n := lo; n < hi; n++ {
			if moved[n] {
				f.point(d, n).At = nil
			}
		}
		run := &f.point(d, i).Run
		for n := range d.Footings {
			if d.Footings[n].Run == pt.ID { // counted from the upper end
				d.Footings[n].Along += units.Length(k)*step - run.Length
			}
		}
		run.Length = units.Length(k) * step
	}
	q.value = func(x *Limit, k int64) { x.Length = units.Length(k) * step }
	return nil
}

// variant makes the layout with a figure of so many steps, and judges it.
func (f *fit) variant(q *question, k int64) ([]tables.Finding, error) {
	d := f.of.of.Data()
	q.vary(&d, k)
	_, problems, err := f.try(d, !q.risen)
	return problems, err
}

// errRiser is why a layout cannot be drawn with its risers cut.
var errRiser = errors.New("no room for the riser")

// cutRisers makes risers that come up through the floor as long as it takes for what stands on
// them to stay at its height, which is that of the sizing as they are, and tells whether any is
// cut.
func (f *fit) cutRisers(d *Data, s *Sizing) (cut bool, err error) {
	t, was := f.of.tree, f.of.levels
	floor := f.of.layout.FinishedFloor
	for i, pt := range t.all() {
		run := &pt.Run
		by := s.levels.upper[i] - was.upper[i]
		if by == 0 || !run.Vertical || run.Top != nil || was.lower[i] >= floor || was.upper[i] < floor {
			continue
		}
		run = &f.point(d, i).Run
		if run.Length -= by; run.Length <= 0 {
			return false, fmt.Errorf("%w from %q: what it drains to lies too high", errRiser, pt.ID)
		}
		cut = true
	}
	return cut, nil
}

// lacks returns by how many steps at least a variant with these fails goes too far.
func (q *question) lacks(against []tables.Finding) int64 {
	steps := int64(1)
	if q.limit.Kind == FlattestGrade {
		return steps // steeper pipe may be smaller, and then gains more than a step
	}
	for k := range against {
		m, _ := asLength(against[k].Margin)
		if r := ruleOf(against[k].Rule); r.rigid || r.length && q.limit.Kind == FarthestPoint {
			steps = max(steps, int64((-m+q.rate-1)/q.rate))
		}
	}
	return steps
}

// asLength returns a length, or a depth, that a finding holds.
func asLength(q fmt.Stringer) (units.Length, bool) {
	switch x := q.(type) {
	case units.Length:
		return x, true
	case Depth:
		return units.Length(x), true
	}
	return 0, false
}

// regardless returns what fails alike in the layout as it is and in three variants of it.
func (f *fit) regardless(q *question) (list []tables.Finding, err error) {
	for k := range f.base {
		if fails(&f.base[k]) {
			list = append(list, f.base[k])
		}
	}
	for _, k := range [...]int64{q.now + 1, q.now + 7, q.now - 1} {
		if len(list) == 0 {
			break
		}
		found, err := f.variant(q, max(k, min(q.from, q.to)))
		if stop := f.stopped(); stop != nil {
			return nil, stop
		}
		if err == nil {
			list = slices.DeleteFunc(list, func(x tables.Finding) bool { return !contains(found, &x) })
		}
	}
	return list, nil
}

// judged returns what fails of a variant and counts, all that is found in it, and why it
// cannot be drawn.
func (f *fit) judged(q *question, k int64, regardless []tables.Finding) (against, found []tables.Finding, why error) {
	found, why = f.variant(q, k)
	for i := range found {
		p := &found[i]
		excused := func(x tables.Finding) bool { return noWorse(p, &x) }
		if fails(p) && !slices.ContainsFunc(regardless, excused) {
			against = append(against, *p)
		}
	}
	return against, found, why
}

// noWorse tells whether a finding says what another said, or the same of a clearance that
// lacks no more.
func noWorse(now, was *tables.Finding) bool {
	_, isLength := asLength(now.Margin)
	return same(now, was) || isLength && now.ID() == was.ID() && !worse(now, was)
}

// answer finds a limit. If there is none because the layout has a fail that no figure takes
// away, it looks again for where that is no worse than it must be.
func (f *fit) answer(q *question) (Limit, error) {
	regardless, err := f.regardless(q)
	if err != nil {
		return q.limit, err
	}
	x, always, err := f.look(q, regardless)
	if err == nil && !x.Found && len(always) > 0 {
		x, _, err = f.look(q, append(regardless, always...))
	}
	return x, err
}

// stay keeps of what failed with every figure so far what fails with one more, each as it is
// at its best. Only what fails of the layout as it is can stay.
func (f *fit) stay(always, against []tables.Finding, first bool) []tables.Finding {
	named := func(list []tables.Finding, p *tables.Finding) int {
		return slices.IndexFunc(list, func(x tables.Finding) bool { return x.ID() == p.ID() && fails(&x) })
	}
	if first {
		return slices.DeleteFunc(slices.Clone(against), func(p tables.Finding) bool { return named(f.base, &p) < 0 })
	}
	kept := always[:0]
	for k := range always {
		was := always[k]
		if i := named(against, &was); i >= 0 {
			if worse(&was, &against[i]) {
				was = against[i]
			}
			kept = append(kept, was)
		}
	}
	return kept
}

// look goes from the far end of what is looked through to the first figure with which
// nothing fails. If there is none, always is what failed with every figure that was tried.
func (f *fit) look(q *question, regardless []tables.Finding) (x Limit, always []tables.Finding, err error) {
	x = q.limit
	x.Regardless = regardless
	step := int64(1)
	if q.to < q.from {
		step = -1
	}
	last, fewest := q.from-step, -1
	var best []tables.Finding
	for k := q.from; (q.to-k)*step >= 0; {
		against, found, why := f.judged(q, k, x.Regardless)
		if err := f.stopped(); err != nil {
			return x, nil, err
		}
		if why == nil && len(against) == 0 {
			x.Found = true
			q.value(&x, k)
			x.Questions = f.newQuestions(found)
			if last != k-step {
				against, _, why = f.judged(q, k-step, x.Regardless)
				x.Binds, x.Stops = against, textOf(why)
			}
			return x, nil, nil
		}
		last = k
		x.Stops = textOf(why)
		if why == nil {
			always = f.stay(always, against, fewest < 0)
		}
		if why == nil && (fewest < 0 || len(against) < fewest) {
			fewest, best = len(against), against
			q.value(&x, k)
		}
		x.Binds = against
		next := k + step*q.lacks(against)
		if k != q.to && (q.to-next)*step < 0 {
			next = q.to // what fails there too is seen at its best
		}
		k = next
	}
	x.Binds = best
	f.lower(q, &x)
	return x, always, nil
}

// deepest is how far an outlet is lowered to see whether a grade would do at all.
const deepest = 10 * units.Foot

// steepestLowered is up to how many steps of grade that is tried: 3/4 in per foot.
const steepestLowered = 48

// lower tells of a single grade that does not do the flattest that would with the outlet
// lower, and how far that must go down.
func (f *fit) lower(q *question, x *Limit) {
	if x.Kind != SteepestGrade && x.Kind != FlattestGrade {
		return
	}
	does := func(k int64, by units.Length) ([]tables.Finding, bool) {
		deep := *q
		deep.vary = func(d *Data, k int64) {
			d.Systems[f.of.tree.systems[x.Place]].Outlet.Invert -= by
			q.vary(d, k)
		}
		against, _, why := f.judged(&deep, k, x.Regardless)
		return against, why == nil && len(against) == 0
	}
	for k := int64(1); k <= steepestLowered && f.ctx.Err() == nil; k++ {
		if _, ok := does(k, deepest); !ok {
			continue
		}
		low, high := int64(0), int64(deepest/f.opt.Step) // it does not, and does, with so many steps
		for high-low > 1 {
			if _, ok := does(k, units.Length((low+high)/2)*f.opt.Step); ok {
				high = (low + high) / 2
			} else {
				low = (low + high) / 2
			}
		}
		q.value(x, k)
		x.Lower = units.Length(high) * f.opt.Step
		if against, _ := does(k, 0); len(against) > 0 {
			x.Binds, x.Stops = against, ""
		}
		return
	}
}

func textOf(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// newQuestions returns what is asked that was not.
func (f *fit) newQuestions(found []tables.Finding) (list []tables.Finding) {
	for k := range found {
		if p := &found[k]; p.Verdict == tables.Ask && !hasID(f.base, p.ID()) {
			list = append(list, *p)
		}
	}
	return list
}
