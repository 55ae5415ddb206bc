package dwv

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Tally is what passes, rule by rule, for who wants to know where and how nearly, and
// not why at every place: to keep and word each pass is most of the work of a check.
type Tally struct {
	rules []*Passes
	index map[string]*Passes
}

// Passes is where a layout passes one rule.
type Passes struct {
	Rule   string
	Count  int      // passes: a place may be judged more than once
	Places []string // each once, in order; rules may share a list, which is not to be changed
	// Least is the pass with the least margin, the first of them by place; it has no
	// place if no pass has a margin in length, load or grade. Its reason is left out.
	Least tables.Finding
	// Citations are the rows that decided, each once, in the order they were met.
	Citations []tables.Citation

	left float64 // the least margin as a number
}

// Rules returns the rules that passed anywhere, in the order of findings. A nil Tally
// has none.
func (t *Tally) Rules() []*Passes {
	if t == nil {
		return nil
	}
	return t.rules
}

// Passes returns how many passes were counted.
func (t *Tally) Passes() int {
	n := 0
	for _, p := range t.Rules() {
		n += p.Count
	}
	return n
}

// at counts a pass, and tells whether its margin is the least so far.
func (t *Tally) at(rule, place string, left float64, c tables.Citation) (p *Passes, least bool) {
	if p = t.index[rule]; p == nil {
		if t.index == nil {
			t.index = map[string]*Passes{}
		}
		p = &Passes{Rule: rule}
		t.rules, t.index[rule] = append(t.rules, p), p
	}
	p.Count++
	if n := len(p.Places); n == 0 || p.Places[n-1] != place {
		p.Places = append(p.Places, place)
	}
	p.cite(c)
	return p, p.Least.Place == "" || left < p.left || left == p.left && place < p.Least.Place
}

// cite notes a row; rules rest on few, and mostly on the one they rested on last.
func (p *Passes) cite(c tables.Citation) {
	if n := len(p.Citations); !c.IsZero() && (n == 0 || p.Citations[n-1] != c) && !slices.Contains(p.Citations, c) {
		p.Citations = append(p.Citations, c)
	}
}

// count counts a pass that has no margin.
func (t *Tally) count(rule, place string, c tables.Citation) { t.at(rule, place, 0, c) }

// passed counts a pass of a value set against a limit; left is the margin as a number.
// Only the least so far is made a finding.
func passed[Q fmt.Stringer](t *Tally, rule, place string, value, limit, margin Q, left float64, c tables.Citation) {
	if p, least := t.at(rule, place, left, c); least {
		p.left = left
		p.Least = tables.Finding{Rule: rule, Place: place, Verdict: tables.Pass, Value: value, Limit: limit, Margin: margin, Citation: c}
	}
}

// add counts any pass.
func (t *Tally) add(f *tables.Finding) {
	left, ok := marginNumber(f.Margin)
	if p, least := t.at(f.Rule, f.Place, left, f.Citation); ok && least {
		p.left, p.Least = left, *f
		p.Least.Reason = ""
	}
}

// marginNumber returns a margin as a number; margins of one rule are in one unit. A
// margin in degrees or pieces says little: what turns too far passes with a cleanout.
func marginNumber(x fmt.Stringer) (float64, bool) {
	switch v := x.(type) {
	case units.Length:
		return float64(v), true
	case FixtureUnits:
		return float64(v), true
	case slope.Grade:
		return v.Float(), true
	}
	return 0, false
}

// merge counts what u has counted as well.
func (t *Tally) merge(u *Tally) {
	for _, q := range u.rules {
		p := t.index[q.Rule]
		if p == nil {
			if t.index == nil {
				t.index = map[string]*Passes{}
			}
			t.rules, t.index[q.Rule] = append(t.rules, q), q
			continue
		}
		p.Count += q.Count
		p.Places = append(p.Places, q.Places...)
		for _, c := range q.Citations {
			p.cite(c)
		}
		if q.Least.Place != "" && (p.Least.Place == "" || q.left < p.left || q.left == p.left && q.Least.Place < p.Least.Place) {
			p.left, p.Least = q.left, q.Least
		}
	}
}

// sort brings rules and places into order, and names no place twice. Many rules judge
// the same places in the same order: those are sorted once, and share the list.
func (t *Tally) sort() {
	slices.SortStableFunc(t.rules, func(a, b *Passes) int { return cmp.Compare(ruleOrder(a.Rule), ruleOrder(b.Rule)) })
	var met, sorted [][]string
	for _, p := range t.rules {
		i := slices.IndexFunc(met, func(m []string) bool { return slices.Equal(m, p.Places) })
		if i < 0 {
			i = len(met)
			places := slices.Clone(p.Places)
			slices.Sort(places)
			met, sorted = append(met, p.Places), append(sorted, slices.Compact(places))
		}
		p.Places = sorted[i]
	}
}
