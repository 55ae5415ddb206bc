package supply

import (
	"context"
	"fmt"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
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
	k := a.checker(finding.Options{ProblemsOnly: opt.ProblemsOnly, Tally: opt.Tally, Print: opt.Print,
		Assumed: opt.Assumed})
	list := checks()
	for i, check := range list {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("check: stopped after %d of %d subjects: %w", i, len(list), err)
		}
		if err := check(k); err != nil {
			return nil, err
		}
	}
	return k.Findings(), nil
}

// checker prepares a check.
func (a *Analysis) checker(opt finding.Options) *checker {
	k := &checker{Judge: finding.New(rules, opt), Analysis: a, system: a.system()}
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
	system unitSystem
	choice []columnChoice // by point: where the column of demand is open
	trial  *calculation   // larger pipe is tried in it
	trials int
	tank   *Analysis // with the flows of the tank column there; nil: nowhere
	plain  bool      // nothing is asked about what the layout leaves open
	asItIs *outcome  // of the layout as it is, once asked for
	named  [2][]int  // points and fixtures by their names, once asked for
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
	for n := len(l.order) - 1; n >= 0; n-- {
		if i := l.order[n]; l.parent[i] >= 0 {
			count[l.parent[i]] += count[i]
		}
	}
	return count
}
