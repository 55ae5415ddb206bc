package drains

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Options is what sizing and checking need to know beyond layout and code.
type Options struct {
	Frost bool // the place has frost or snow, which vent terminals must bear
	// SkipSizes are taken for those of a layout that names none, see [SeldomSold].
	SkipSizes []units.Length
}

// SeldomSold returns the sizes of drain and vent pipe that codes have and that counters seldom
// sell, for [Options]; that they do not is practice of the trade. A shelf without that list
// has none.
func SeldomSold(shelf *tables.Shelf) (list []units.Length) {
	rows, err := tables.Load[struct {
		Size units.Length `table:"size"`
	}](shelf, "materials/drain-odd-sizes")
	if err != nil {
		return nil
	}
	for _, r := range rows.All() {
		list = append(list, r.Size)
	}
	return list
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

var decisions = enum.Words[Decision]{What: "decision", Err: tables.ErrQuery, Blank: true,
	Words: []string{"", "load", "water closets", "minimum size underground", "trap size",
		"minimum drain for this fixture", "not smaller than the pipe above it", "foot of the stack", "main cleanout",
		"what it vents",
		"load in one branch interval"}}

// String returns a few words, "" for none.
func (d Decision) String() string { return decisions.String(d) }

// MarshalText returns the text of String.
func (d Decision) MarshalText() ([]byte, error) { return decisions.Marshal(d) }

// UnmarshalText reads the text of String.
func (d *Decision) UnmarshalText(text []byte) error { return decisions.Unmarshal(text, d) }

// Sizing is the loads and sizes of a layout under a code. It is made by
// [Layout.Size], never changes, and may be used by many at once.
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
	fixture      []int32         // index in rated of what stands at the node, -1 for nothing
	rated        []dwv.Load      // the different fixtures, each rated as one entry of a layout
	failed       map[int32]error // runs that the code's tables cannot size
	unrated      map[int32]error // nodes at which something stands that the code gives no load for
	short        []int32         // by node: one of those at or upstream of it, -1 for none; nil: there are none
	bathGroups   []bathGroup
	grouped      map[int32]dwv.FixtureUnits // by node: how much less the groups that end there count than their fixtures
	routes       *routes
	vents        []VentSize
	european     *european // nil of a code in fixture units
	metric       bool      // see [Data.metric]
	// bendInlet and bendOutlet are the sizes of the one closet bend that may shrink.
	bendInlet, bendOutlet units.Length
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
	return l.SizeContext(context.Background(), code, opt)
}

// SizeContext is [Layout.Size] that stops once the context is done, with its error and the system
// that it was in.
func (l *Layout) SizeContext(ctx context.Context, code *dwv.Code, opt Options) (*Sizing, error) {
	if err := l.made(); err != nil {
		return nil, err
	}
	if code == nil {
		return nil, fmt.Errorf("size: %w: no code", tables.ErrQuery)
	}
	p, err := pipes.New(code.Shelf())
	if err != nil {
		return nil, err
	}
	return l.size(ctx, code, opt, p)
}

// size is Size by a list of pipes that was read.
func (l *Layout) size(ctx context.Context, code *dwv.Code, opt Options, p *pipes.Shelf) (*Sizing, error) {
	return l.atTheirTops(func(l *Layout) (_ *Sizing, err error) {
		s := newSizing(l, code, p)
		s.opt = opt
		if err := s.fill(ctx); err != nil {
			return nil, err
		}
		s.sizeVents()
		s.levels, err = s.grade()
		return s, err
	})
}

// atTheirTops sizes a layout. How long risers are that say where their tops stand follows
// from where drains lie, and that from their sizes: it is sized again with risers cut so,
// until they fit.
func (l *Layout) atTheirTops(size func(*Layout) (*Sizing, error)) (*Sizing, error) {
	s, err := size(l)
	for n := 0; err == nil && n < 4 && l.tree.tops && !slices.Equal(s.levels.rises, l.tree.rises); n++ {
		d := l.data.clone(nil)
		t, err := d.checked(&checker{src: new(source), faults: new(faults.List), rises: s.levels.rises})
		if err != nil {
			return nil, err
		}
		l = &Layout{data: d, tree: t}
		if s, err = size(l); err != nil {
			return nil, err
		}
	}
	return s, err
}

// newSizing makes room for the sizes of a layout.
func newSizing(of *Layout, code *dwv.Code, p *pipes.Shelf) *Sizing {
	l, t := of.data, of.tree
	n := t.len()
	s := &Sizing{
		of: of, layout: l, tree: t, code: code, pipes: p,
		part: make([]dwv.Part, n), decided: make([]Decision, n), above: make([]bool, n), straight: make([]bool, n),
		load: make([]dwv.FixtureUnits, n), closets: make([]int32, n),
		intervals: make([]int16, n), arm: make([]bool, n), required: make([]units.Length, n),
		need: make([]units.Length, n), size: make([]units.Length, n),
		pipe: make([]slope.Pipe, n), cite: make([]tables.Citation, n), lower: make([]units.Length, n),
		upper:   make([]units.Length, n),
		fixture: make([]int32, n), failed: map[int32]error{}, unrated: map[int32]error{}, routes: newRoutes(t),
		metric: l.metric(),
	}
	s.bendInlet, _, _ = code.FindLength("closet-bend-inlet")
	s.bendOutlet, _, _ = code.FindLength("closet-bend-outlet")
	return s
}

// fill finds loads and sizes, system after system.
func (s *Sizing) fill(ctx context.Context) error {
	l, t, code := s.layout, s.tree, s.code
	w := newWork(t)
	w.share, w.shareCite, w.hasShare = code.FindNumber("stack-upper-min-fraction", "ratio")
	w.vents = s.ventingRuns()
	r := rater{code: code, known: make(map[tables.Fixture]int32), refused: make(map[tables.Fixture]error)}
	g := grader{layout: l, tree: t}
	rate := []pass{
		func(sys int32) error { return g.inverts(sys, nil, s.lower, s.upper) },
		w.of(s.aboveFloor), w.of(s.parts), w.of(s.branchIntervals),
		func(sys int32) error { return s.loads(ctx, sys, &r) },
	}
	size := []pass{
		w.of(s.branchesOff),
		func(sys int32) error { s.routes.fill(l, t, sys, w); return nil },
		func(sys int32) error { s.groups(sys, &r, w); return nil },
		w.of(s.arms),
		func(sys int32) error { return s.sizes(ctx, sys, w) },
		w.of(s.stackTops), w.of(s.undiminished), s.dimensions,
	}
	// All of one system, then all of the next: what a pass reads is then still at
	// hand from the pass before.
	for sys := range int32(t.outlets) {
		if err := t.passes(ctx, sys, rate); err != nil {
			return err
		}
		if r.faults.Len() > 0 {
			continue // the loads of the rest are still added up, so that all faults are told
		}
		s.rated = r.rated
		if err := t.passes(ctx, sys, size); err != nil {
			return err
		}
	}
	return r.faults.Err()
}

// pass goes once over a system that is being sized.
type pass func(sys int32) error

// of makes a pass of a walk that needs only its room, and cannot fail.
func (w *work) of(walk func(sys int32, w *work)) pass {
	return func(sys int32) error {
		walk(sys, w)
		return nil
	}
}

// passes takes one pass after the other over a system, until the context ends.
func (t *tree) passes(ctx context.Context, sys int32, list []pass) error {
	for k, pass := range list {
		if err := t.stopped(ctx, "size", sys, k, len(list), "passes"); err != nil {
			return err
		}
		if err := pass(sys); err != nil {
			return err
		}
	}
	return nil
}

// stopped says in which system work was when its context ended, and what of that was done; nil if it goes on.
func (t *tree) stopped(ctx context.Context, work string, sys int32, done, of int, what string) error {
	err := ctx.Err()
	if err == nil {
		return nil
	}
	after := ""
	if done > 0 {
		after = fmt.Sprintf(", after %d of %d %s", done, of, what)
	}
	return fmt.Errorf("%s: stopped in system %d of %d%s: %w", work, sys+1, t.outlets, after, err)
}

// stoppedAt is stopped for one of the many points of a system: it looks at the context now and then.
func (t *tree) stoppedAt(ctx context.Context, sys int32, k int) error {
	if k == 0 || k%pointsBetween != 0 {
		return nil
	}
	return t.stopped(ctx, "size", sys, k, len(t.of(sys)), "points")
}

// work is what the passes over a system need and nobody keeps: room by node, and the
// fixtures rated so far.
type work struct {
	tree    *tree
	lengths [3][]units.Length
	nodes   [2][]int32
	flags   [3][]bool
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

func (w *work) node(k int, sys int32) []int32 { return cleared(w.tree, w.nodes[k], sys) }

func (w *work) flag(k int, sys int32) []bool { return cleared(w.tree, w.flags[k], sys) }

func cleared[T any](t *tree, kept []T, sys int32) []T {
	lo, hi := t.span(sys)
	clear(kept[sys : sys+1])
	clear(kept[lo:hi])
	return kept
}

// ruleOffsetAsDrain is there in a code that sizes the horizontal offset of a stack
// as a building drain.
const ruleOffsetAsDrain = "stack-offset-as-drain"

// parts tells which table each run is sized by. A horizontal run that reaches a
// stack further down is a branch, but for one that carries a stack on, which the
// code may size as a drain; what lies along the building drain is a drain, a drop of
// that below the floor is no stack, and what drains into the drop goes by what is below it.
func (s *Sizing) parts(sys int32, w *work) {
	t := s.tree
	stack := s.stacksAbove(sys, w)
	offset, drop := w.flag(1, sys), w.flag(2, sys)
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		run := &t.point(i).Run
		drop[i] = s.dropsBelowFloor(i)
		for drop[p] {
			p = t.parent[p]
		}
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

// dropsBelowFloor tells whether an upright run is a drop of a drain below the floor: no fixture
// stands on it, and all that drains into it lies flat and below the floor.
func (s *Sizing) dropsBelowFloor(i int32) bool {
	pt := s.tree.point(i)
	if !pt.Run.Vertical || pt.Fixture != nil || s.tree.first[i] < 0 {
		return false
	}
	for k := range s.tree.into(i) {
		if !s.drains(k) {
			return false
		}
	}
	return true
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
	if next, ok := s.next(i, pt.Run.Grade); ok {
		r.NextSize, r.NextSizeLoad = next.NextSize, next.NextSizeMaxLoad
		r.NextGrade, r.NextGradeLoad = next.NextGrade, next.NextGradeMaxLoad
	}
	return r
}

// next returns what the size laid of a run leads to from a grade on, whatever it has to carry; ok is
// false if the code has no such size at that grade.
func (s *Sizing) next(i int32, from slope.Grade) (r dwv.SizeResult, ok bool) {
	r, err := s.code.DrainSize(dwv.DrainQuery{Part: s.part[i], Grade: from, Intervals: int(s.intervals[i]),
		MinSize: s.size[i]})
	return r, err == nil && r.Size == s.size[i]
}

// oneLine is the text of an error that may stand for several.
func oneLine(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }

// made tells whether there is a sizing at all.
func (s *Sizing) made() error {
	if s == nil || s.of == nil {
		return fmt.Errorf("sizing: %w: Layout.Size makes one", ErrMissing)
	}
	return nil
}

// there returns s, or an empty sizing for one that nobody made.
func (s *Sizing) there() *Sizing {
	if s.made() != nil {
		return &Sizing{tree: new(tree)}
	}
	return s
}

// Code returns the code the sizes are by; of EN 12056-2, which is none in fixture units, its
// single rules.
func (s *Sizing) Code() *dwv.Code { return s.there().code }

// Layout returns the layout that was sized.
func (s *Sizing) Layout() *Layout { return s.there().of }

// Len returns how many runs there are.
func (s *Sizing) Len() int { return len(s.there().tree.points) }

// At returns the size of the run of the i-th point, from 0 to Len()-1, in input order
// through the systems. Any other i panics, as the index of a slice does.
func (s *Sizing) At(i int) RunSize {
	if s.Len() == 0 {
		return RunSize{} // nobody made it
	}
	return s.runSize(int32(i + s.tree.outlets))
}

// Of returns the size of the run from the point of that id.
func (s *Sizing) Of(id string) (RunSize, bool) {
	i, ok := s.Layout().Find(id)
	if !ok {
		return RunSize{}, false
	}
	return s.At(i), true
}

// All returns each run with its place.
func (s *Sizing) All() iter.Seq2[int, RunSize] { return each(s.Len(), s.At) }

// each lists the first n of what at returns.
func each[T any](n int, at func(i int) T) iter.Seq2[int, T] {
	return func(yield func(int, T) bool) {
		for i := range n {
			if !yield(i, at(i)) {
				return
			}
		}
	}
}

// Total returns the load of a whole system, and the water closets in it.
func (s *Sizing) Total(system string) (load dwv.FixtureUnits, closets int, ok bool) {
	s = s.there()
	i, ok := s.tree.systems[system]
	if !ok {
		return 0, 0, false
	}
	return s.load[i], int(s.closets[i]), true
}

// SizingData is a sizing as plain data, as its JSON is written and reads back.
type SizingData struct {
	Code  string     `json:"code"` // its id
	Runs  []RunSize  `json:"runs"` // as [Sizing.At] counts
	Vents []VentSize `json:"vents,omitempty"`
}

// Data returns the sizing as plain data.
func (s *Sizing) Data() SizingData { return s.data(nil) }

func (s *Sizing) data(w *patience.Work) SizingData {
	if s.made() != nil {
		return SizingData{}
	}
	d := SizingData{Code: s.code.ID(), Runs: make([]RunSize, 0, s.Len()), Vents: s.Vents()}
	for i := range w.Each(s.Len(), "runs listed") {
		d.Runs = append(d.Runs, s.At(i))
	}
	return d
}

// MarshalJSON writes the [SizingData]. Of 100 000 points it takes seconds: who may not wait so long calls
// [Sizing.WriteJSON].
func (s Sizing) MarshalJSON() ([]byte, error) { return json.Marshal(s.Data()) }

// WriteJSON writes what MarshalJSON returns, run after run, and stops once the context is done, with its error and how
// far it was; what is written by then is no JSON.
func (s *Sizing) WriteJSON(ctx context.Context, out io.Writer) error {
	if err := s.made(); err != nil {
		return err
	}
	w := patience.NewWork(ctx, "sizing")
	return w.WriteJSON(out, s.data(w), "runs or vents written")
}

// Data returns the levels as plain data, as [Levels.At] counts.
func (lv *Levels) Data() []Level { return lv.data(nil) }

func (lv *Levels) data(w *patience.Work) []Level {
	list := make([]Level, 0, lv.Len())
	for i := range w.Each(lv.Len(), "levels listed") {
		list = append(list, lv.At(i))
	}
	return list
}

// MarshalJSON writes the list of each [Level]. Of 100 000 points it takes a second: see [Levels.WriteJSON].
func (lv Levels) MarshalJSON() ([]byte, error) { return json.Marshal(lv.Data()) }

// WriteJSON writes what MarshalJSON returns, level after level, and stops once the context is done, with its error and
// how far it was; what is written by then is no JSON.
func (lv *Levels) WriteJSON(ctx context.Context, out io.Writer) error {
	if lv.Len() == 0 {
		return fmt.Errorf("levels: %w: Sizing.Levels makes them", ErrMissing)
	}
	w := patience.NewWork(ctx, "levels")
	return w.WriteJSON(out, lv.data(w), "levels written")
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (lv *Levels) UnmarshalJSON(data []byte) error {
	var list []Level
	if err := json.Unmarshal(data, &list); err != nil {
		return err
	}
	*lv = Levels{list: list}
	return nil
}

// Diff returns in what a later sizing differs: of another revision of the layout, or of
// the same under another code. Runs are told by their upper ends, vents and systems by
// their ids, findings, those of a check of each, by theirs. Quantities are rounded as
// [Sizing.Text] does.
func (s *Sizing) Diff(later *Sizing, opt CheckOptions) (tables.Diff, error) {
	return s.DiffContext(context.Background(), later, opt)
}

// DiffContext is [Sizing.Diff] that stops, with the error of the context, once that is done.
func (s *Sizing) DiffContext(ctx context.Context, later *Sizing, opt CheckOptions) (tables.Diff, error) {
	opt.Tally = nil
	was, err := s.CheckContext(ctx, opt)
	if err != nil {
		return tables.Diff{}, err
	}
	is, err := later.CheckContext(ctx, opt)
	if err != nil {
		return tables.Diff{}, err
	}
	print := later.trade().Round
	return tables.Diff{Items: finding.Changes(s.items(print), later.items(print)),
		Findings: tables.DiffFindings(was, is)}, nil
}

// items lists what a comparison looks at.
func (s *Sizing) items(trade func(fmt.Stringer) fmt.Stringer) (out []finding.Item) {
	for i := range s.layout.Systems {
		sys := &s.layout.Systems[i]
		out = append(out, finding.Item{Kind: "system", ID: sys.ID, Fields: []finding.Field{
			{Name: "load", Value: s.load[i]}, {Name: "invert", Value: trade(sys.Outlet.Invert)}}})
	}
	for i, r := range s.All() {
		pt := s.of.Point(i)
		fields := []finding.Field{{Name: "to", Value: finding.Word(r.To)}, {Name: "size", Value: r.Size},
			{Name: "material", Value: finding.Word(pt.Run.Material)}, {Name: "length", Value: trade(pt.Run.Length)},
			{Name: "grade", Value: pt.Run.Grade}, {Name: "load", Value: r.Load},
			{Name: "invert", Value: trade(s.levels.At(i).Upper.Invert)}}
		if pt.Run.Vertical {
			fields[4].Value = finding.Word("vertical")
		}
		out = append(out, finding.Item{Kind: "run", ID: r.Point, Fields: fields})
	}
	for i := range s.vents {
		v := &s.vents[i]
		out = append(out, finding.Item{Kind: "vent", ID: v.Vent, Fields: []finding.Field{
			{Name: "kind", Value: finding.Word(v.Kind)}, {Name: "size", Value: v.Size},
			{Name: "length", Value: trade(v.Length)}}})
	}
	return out
}
