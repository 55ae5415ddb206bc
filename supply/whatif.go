package supply

import (
	"cmp"
	"errors"
	"maps"
	"slices"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

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
// be worked out it may.
func (k *checker) moves(other answer) bool {
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
	if out.verdicts, err = s.verdicts(); err != nil {
		return nil
	}
	return out
}

// answered sizes the layout with an answer: the runs that were sized are sized anew.
func (k *checker) answered(other answer) (*Sizing, error) {
	l := *k.layout
	l.data.Points = slices.Clone(l.data.Points)
	for i := range l.data.Points {
		if k.runs[i].Decided != Drawn {
			l.data.Points[i].Size = 0
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
	s, _, err := h.greedy()
	return s, err
}

// onceEach are rules that ask once of many places, at one that a flow may move.
var onceEach = map[string]bool{"water-hammer": true}

// verdicts are the fails and questions of an analysis by rule and place, without those about
// what is left open, and about the standing of figures.
func (a *Analysis) verdicts() (map[string]string, error) {
	k := a.checker(finding.Options{ProblemsOnly: true})
	k.plain = true
	for _, check := range checks() {
		if err := check(k); err != nil {
			return nil, err
		}
	}
	out := map[string]string{}
	for _, f := range k.Findings() {
		i := slices.IndexFunc(rules, func(r tables.CheckRule) bool { return r.ID == f.Rule })
		if i >= 0 && rules[i].Family == "standing of figures" {
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

// openKinds finds the fixtures whose kind the layout leaves open, as the code tells kinds
// apart, and on which of them something hangs: on one alone, or on all together.
func (k *checker) openKinds(items []item) map[int]bool {
	kinds := map[int][]tables.Fixture{}
	var open []int
	for i := range items {
		if errors.Is(items[i].loadErr, tables.ErrNotStated) {
			open, kinds[i] = append(open, i), k.kindsOf(i)
		}
	}
	hangs := map[int]bool{}
	quiet := 0
	for _, i := range open {
		hangs[i] = len(kinds[i]) == 0 || slices.ContainsFunc(kinds[i], func(kind tables.Fixture) bool {
			return k.moves(answer{fixtures: func(list []LayoutFixture) { list[i].Fixture = kind }})
		})
		if !hangs[i] {
			quiet++
		}
	}
	least := answer{fixtures: func(list []LayoutFixture) {
		for _, i := range open {
			if !hangs[i] {
				list[i].Fixture = kinds[i][0]
			}
		}
	}}
	if quiet > 1 && k.moves(least) {
		for _, i := range open {
			hangs[i] = true
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
	items, err := k.layout.items(k.code)
	if err != nil {
		return true // the analysis has been through the same items
	}
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
