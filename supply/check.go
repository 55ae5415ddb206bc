package supply

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// CheckOptions sets what becomes of the findings of a check.
type CheckOptions struct {
	// ProblemsOnly leaves out the passes, and counts none.
	ProblemsOnly bool
	// Tally, if not nil, counts the passes, and they are no findings. What it held
	// before is lost.
	Tally *tables.Tally
	// Print writes a quantity in the texts of the findings; nil: as it prints itself.
	// Quantities come in the system of [Options.Units], rounded as the trade does; see
	// [Sizing.Text].
	// Nominal sizes come as a type that prints their name and is no [units.Length].
	Print func(fmt.Stringer) string
	// Assumed, if not nil, is set to what the layout leaves open and no verdict hangs on.
	Assumed *[]tables.Assumption
}

// Check judges the layout against the code: velocities, pressures, sizes, hot
// water, what lies below the slab, tests. Findings are ordered by rule, as [Rules]
// lists them, and place. A finding whose limit rests on a row that nobody has seen in
// print is an ask; so is each such row that a load or a flow came from, once. Results
// are calculations for the engineer and the inspector, and no approval.
func (a *Analysis) Check(opt CheckOptions) ([]tables.Finding, error) {
	return a.CheckContext(context.Background(), opt)
}

// CheckContext is [Analysis.Check] that stops, with the error of the context, once that is
// done.
func (a *Analysis) CheckContext(ctx context.Context, opt CheckOptions) ([]tables.Finding, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	k := a.checker(ctx, finding.Options{ProblemsOnly: opt.ProblemsOnly, Tally: opt.Tally, Print: opt.Print,
		Assumed: opt.Assumed})
	if err := k.judge(); err != nil {
		return nil, err
	}
	return k.Findings(), nil
}

// judge makes every check, until the context is done.
func (k *checker) judge() error {
	list := checks()
	for done := 0; ; done++ {
		if err := k.ctx.Err(); err != nil { // after the last too, which may have left questions untried
			return fmt.Errorf("check: stopped after %d of %d subjects: %w", done, len(list), err)
		}
		if done == len(list) {
			return nil
		}
		if err := list[done](k); err != nil {
			return err
		}
	}
}

// checker prepares a check.
func (a *Analysis) checker(ctx context.Context, opt finding.Options) *checker {
	k := &checker{Judge: finding.New(order(), opt), Analysis: a, ctx: ctx, system: a.system()}
	k.Grow(len(a.runs) + 3*len(a.fixtures)) // velocities of runs; fixtures' pressures, supplies and hot lines
	k.choice = k.columnChoices()
	k.tank = k.byTankCurve()
	return k
}

// checks are what a layout is checked for. Those that look at findings stand last. They are a
// function, for some work the layout out in another way and check that.
func checks() []func(*checker) error {
	return []func(*checker) error{
		sure((*checker).velocities),
		(*checker).unitPipes,
		sure((*checker).fixturePressures),
		sure((*checker).drawnNeeds),
		sure((*checker).staticPressures),
		sure((*checker).supplySizes),
		sure((*checker).serviceSize),
		sure((*checker).lineSizes),
		sure((*checker).manifolds),
		sure((*checker).devicesAtFlow),
		(*checker).hotWater,
		sure((*checker).slab),
		sure((*checker).thinCopper),
		(*checker).sleeves,
		sure((*checker).separation),
		sure((*checker).test),
		(*checker).surges,
		sure((*checker).expansions),
		sure((*checker).scalds),
		sure((*checker).regulators),
		sure((*checker).ports),
		sure((*checker).servesNothing),
		sure((*checker).fittingsUnsaid),
		sure((*checker).mixedClosets),
		sure((*checker).ladderCurve),
		(*checker).pipeRatings,
		sure((*checker).lossMethod),
		sure((*checker).loadsNotGiven),
		sure((*checker).demandsBeside),
		sure((*checker).lossesNotCounted),
		sure((*checker).standings),
		(*checker).droppedRows,
	}
}

// sure is a check that cannot fail.
func sure(check func(*checker)) func(*checker) error {
	return func(k *checker) error {
		check(k)
		return nil
	}
}

type checker struct {
	*finding.Judge
	*Analysis
	ctx    context.Context
	system unitSystem
	choice []columnChoice // by point: where the column of demand is open
	trial  *calculation   // larger pipe is tried in it
	trials int
	tank   *Analysis        // with the flows of the tank column there; nil: nowhere
	open   []units.Pressure // by point with the links open; nil: none, or not to be worked out
	plain  bool             // nothing is asked about what the layout leaves open
	asItIs *outcome         // of the layout as it is, once asked for
	named  [2][]int         // points and fixtures by their names, once asked for
}

// Text is [finding.Judge.Text].
func (k *checker) Text(format string, args ...any) string { return k.Judge.Text(format, args...) }

// points lists the points by their names, so that what is said of several does not go by the
// order of the file.
func (k *checker) points() []int {
	if k.named[0] == nil {
		k.named[0] = byName(k.layout.Len(), func(i int) string { return k.layout.data.Points[i].ID })
	}
	return k.named[0]
}

// outlets lists the fixtures by their names.
func (k *checker) outlets() []int {
	if k.named[1] == nil {
		k.named[1] = byName(len(k.layout.data.Fixtures), func(i int) string { return k.layout.data.Fixtures[i].ID })
	}
	return k.named[1]
}

// atMost is a finding about a value that may not exceed a limit, both put as told; ok says
// whether it keeps to it, for some are compared as they are printed.
func atMost[Q finding.Quantity](at finding.Case, ok bool, value, limit Q, told func(Q) fmt.Stringer) tables.Finding {
	return tables.Finding{Rule: at.Rule, Place: at.Place, Side: at.Side, Citation: at.Citation, Verdict: passOrFail(ok),
		Value: told(value), Limit: told(limit), Margin: told(limit - value)}
}

// atLeast is [atMost] for a value that may not fall short of its limit.
func atLeast[Q finding.Quantity](at finding.Case, ok bool, value, limit Q, told func(Q) fmt.Stringer) tables.Finding {
	f := atMost(at, ok, value, limit, told)
	f.Margin = told(value - limit)
	return f
}

// asks is [finding.Judge.Ask] with what was measured and what it is set against; nil: nothing.
func (k *checker) asks(at finding.Case, by tables.Settler, value, limit fmt.Stringer, reason, fix string) {
	k.Add(tables.Finding{Rule: at.Rule, Place: at.Place, Side: at.Side, Citation: at.Citation, Verdict: tables.Ask,
		SettledBy: by, Value: value, Limit: limit, Reason: reason, Fix: fix})
}

// passOrFail is Pass or Fail.
func passOrFail(ok bool) tables.Verdict {
	if ok {
		return tables.Pass
	}
	return tables.Fail
}

// served counts, for each run, the fixtures of a kind that it serves by their cold ports.
func (k *checker) served(kind func(int, *LayoutFixture) bool) []int {
	l := k.layout
	count := make([]int, l.Len())
	for i := range l.data.Fixtures {
		if f := &l.data.Fixtures[i]; l.cold[i] >= 0 && kind(i, f) {
			count[l.cold[i]] += f.Count
		}
	}
	sumUp(l, count)
	return count
}

// sumUp adds what is at each point to all those that feed it.
func sumUp[N int | int32](l *Layout, count []N) {
	for _, i := range slices.Backward(l.order) {
		if p := l.parent[i]; p >= 0 {
			count[p] += count[i]
		}
	}
}

// What a layout leaves open is a question only where an answer could move a size or a
// verdict: the layout is worked out with another answer, and set beside itself.

// answer is another answer to what a layout leaves open: what fixtures say of themselves, or
// what runs carry; nil: nothing.
type answer struct {
	fixtures func([]LayoutFixture)
	flows    func([]runFlow)
}

// outcome is what may hang on an answer.
type outcome struct {
	sizes    []units.Length
	verdicts map[string]string
}

// moves reports whether an answer moves a size that was chosen, or a verdict. Where it cannot
// be worked out, or the check was called off, it may.
func (k *checker) moves(other answer) bool {
	if k.ctx.Err() != nil {
		return true
	}
	if k.asItIs == nil {
		k.asItIs = k.outcome(answer{})
	}
	with := k.outcome(other)
	return k.asItIs == nil || with == nil || !slices.Equal(k.asItIs.sizes, with.sizes) ||
		!maps.Equal(k.asItIs.verdicts, with.verdicts)
}

// outcome works the layout out with an answer; nil if it cannot be.
func (k *checker) outcome(other answer) *outcome {
	s, err := k.answered(other)
	if err != nil {
		return nil
	}
	out := &outcome{sizes: make([]units.Length, len(s.runs))}
	for i := range s.runs {
		out.sizes[i] = s.runs[i].Size
	}
	if out.verdicts, err = s.verdicts(k.ctx); err != nil {
		return nil
	}
	return out
}

// answered sizes the layout with an answer: the runs that were sized are sized anew.
func (k *checker) answered(other answer) (*Sizing, error) {
	l := *k.layout
	l.data.Points = slices.Clone(l.data.Points)
	for i := range l.data.Points {
		if k.decided(i) != Drawn {
			l.data.Points[i].Size = 0
		}
	}
	l.data.Links = slices.Clone(l.data.Links)
	for i := range l.data.Links {
		if k.sizedLinks[i] {
			l.data.Links[i].Size = 0
		}
	}
	if other.fixtures != nil {
		l.data.Fixtures = slices.Clone(l.data.Fixtures)
		other.fixtures(l.data.Fixtures)
	}
	h, err := l.prepare(k.code, k.opt, nil)
	if err != nil {
		return nil, err
	}
	if other.flows != nil {
		other.flows(h.flows)
	}
	if h.street, err = l.street(h.flows); err != nil {
		return nil, err
	}
	defer h.within(k.ctx)()
	s, _, err := h.greedy()
	return s, err
}

// onceEach are rules that ask once of many places, at one that a flow may move.
var onceEach = map[string]bool{"water-hammer": true}

// verdicts are the fails and questions of an analysis by rule and place, without those about
// what is left open, and about the standing of figures.
func (a *Analysis) verdicts(ctx context.Context) (map[string]string, error) {
	k := a.checker(ctx, finding.Options{ProblemsOnly: true})
	k.plain = true
	if err := k.judge(); err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, f := range k.Findings() {
		i := slices.IndexFunc(rules, func(r rule) bool { return r.id == f.Rule })
		if i >= 0 && rules[i].family == "standing of figures" {
			continue
		}
		key := f.Rule
		if !onceEach[f.Rule] {
			key += "\x00" + f.Place + "\x00" + f.Side
		}
		verdict := f.Verdict.String() + " " + f.IfConfirmed.String()
		out[key] = max(out[key], verdict)
	}
	return out, nil
}

// mostKinds is how many kinds of open fixtures are tried, each by working out the whole
// layout; the rest is asked about untried.
const mostKinds = 32

// openKinds finds the fixtures whose kind the layout leaves open, as the code tells kinds
// apart, and on which of them something hangs. Those that say the same of themselves are tried
// as one: they are asked about as one.
func (k *checker) openKinds(items []item) map[int]bool {
	type said struct {
		loadAs string
		tables.Fixture
	}
	var alike grouped.By[said, int]
	for _, i := range k.outlets() {
		if errors.Is(items[i].loadErr, tables.ErrNotStated) {
			f := &k.layout.data.Fixtures[i]
			as := said{f.LoadAs, f.Fixture}
			as.Count = 1
			alike.Add(as, i)
		}
	}
	be := func(list []LayoutFixture, fixtures []int, kind tables.Fixture) {
		for _, i := range fixtures {
			kind.Count = list[i].Count
			list[i].Fixture = kind
		}
	}
	hangs := map[int]bool{}
	ask := func(fixtures []int) {
		for _, i := range fixtures {
			hangs[i] = true
		}
	}
	type untold struct {
		fixtures []int
		least    tables.Fixture
	}
	var quiet []untold
	for n, fixtures := range alike.Lists {
		kinds := k.kindsOf(fixtures[0])
		if n >= mostKinds || len(kinds) == 0 || slices.ContainsFunc(kinds, func(kind tables.Fixture) bool {
			return k.moves(answer{fixtures: func(list []LayoutFixture) { be(list, fixtures, kind) }})
		}) {
			ask(fixtures)
			continue
		}
		quiet = append(quiet, untold{fixtures, kinds[0]})
	}
	if len(quiet) > 1 && k.moves(answer{fixtures: func(list []LayoutFixture) {
		for _, q := range quiet {
			be(list, q.fixtures, q.least)
		}
	}}) {
		for _, q := range quiet {
			ask(q.fixtures)
		}
	}
	return hangs
}

// kindsOf returns what a fixture may be that the layout leaves open, as the code's rows of
// loads tell it: that of the least load first.
func (k *checker) kindsOf(i int) []tables.Fixture {
	f := &k.layout.data.Fixtures[i]
	ask := f.Fixture
	ask.Kind = cmp.Or(f.LoadAs, f.Kind)
	fit, err := k.code.fit(k.code.keys, &ask)
	if err != nil {
		return nil
	}
	type kind struct {
		tables.Fixture
		load FixtureUnits
	}
	var list []kind
	for row := range fit.All() {
		made := fit.As(f.Fixture, row)
		if e, err := k.code.entryAt(&made, row); err == nil {
			list = append(list, kind{made, max(e.Each.Total, e.Each.Cold, e.Each.Hot)})
		}
	}
	slices.SortStableFunc(list, func(a, b kind) int { return cmp.Compare(a.load, b.load) })
	out := make([]tables.Fixture, len(list))
	for n := range list {
		out[n] = list[n].Fixture
	}
	return out
}

// flowsHang reports whether anything hangs on what outlets draw whose flow is not known: half
// of the first row of the table of demand, or twice it.
func (k *checker) flowsHang(row units.Flow) bool {
	items := k.worked.items
	for _, share := range [...]float64{0.5, 2} {
		if k.moves(answer{fixtures: func(list []LayoutFixture) {
			for i := range items {
				if items[i].flowErr != nil && !items[i].own {
					list[i].Flow = units.Flow(share * float64(row))
				}
			}
		}}) {
			return true
		}
	}
	return false
}

// ownFlowsHang reports whether anything hangs on the flows of fixtures that the code does not
// list, which are added whole to the lines that others draw from too: without them.
func (k *checker) ownFlowsHang() bool {
	return k.moves(answer{flows: func(flows []runFlow) {
		for i := range flows {
			if f := &flows[i]; f.Load > 0 {
				f.Flow -= f.Unlisted
			}
		}
	}})
}
