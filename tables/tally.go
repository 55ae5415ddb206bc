package tables

import (
	"encoding/json"
	"slices"
)

// Tally is what passes, rule by rule, for who wants to know where and how nearly, and
// not why at every place: to keep and word each pass is most of the work of a check.
// The zero Tally is empty. It is not to be shared while a check writes into it.
type Tally struct {
	rules []*Passes
	index map[string]*Passes
}

// Passes is where a layout passes one rule.
type Passes struct {
	Rule   string   `json:"rule"`
	Count  int      `json:"count"`  // passes: a place may be judged more than once
	Places []string `json:"places"` // each once, in order; rules may share a list, which is not to be changed
	// Least is the pass with the least margin, the first of them by place; it has no
	// place if no pass has a margin that is a number. Its reason is left out.
	Least Finding `json:"least"`
	// Citations are the rows that decided, each once, in the order they were met.
	Citations []Citation `json:"citations"`

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

// Count counts a pass that has no margin.
func (t *Tally) Count(rule, place string, c Citation) { t.count(rule, place, c) }

func (t *Tally) count(rule, place string, c Citation) *Passes {
	p := t.index[rule]
	if p == nil {
		p = &Passes{Rule: rule}
		t.add(p)
	}
	p.Count++
	if n := len(p.Places); n == 0 || p.Places[n-1] != place {
		if n == cap(p.Places) {
			p.Places = slices.Grow(p.Places, n+1) // append adds a quarter, and copies that often
		}
		p.Places = append(p.Places, place)
	}
	p.cite(c)
	return p
}

// add takes in a rule that is not there.
func (t *Tally) add(p *Passes) {
	if t.index == nil {
		t.index = map[string]*Passes{}
	}
	t.rules, t.index[p.Rule] = append(t.rules, p), p
}

// CountLeast counts a pass with its margin as a number, in the unit of its rule. finding
// is called only if none so far has a lesser margin.
func (t *Tally) CountLeast(rule, place string, margin float64, c Citation, finding func() Finding) {
	p := t.count(rule, place, c)
	if finding != nil && p.less(margin, place) {
		p.left, p.Least = margin, finding()
		p.Least.Reason = ""
	}
}

// less tells whether a margin at a place is the least so far.
func (p *Passes) less(margin float64, place string) bool {
	return p.Least.Place == "" || margin < p.left || margin == p.left && place < p.Least.Place
}

// cite notes a row; rules rest on few, and mostly on the one they rested on last.
func (p *Passes) cite(c Citation) {
	if n := len(p.Citations); !c.IsZero() && (n == 0 || p.Citations[n-1] != c) && !slices.Contains(p.Citations, c) {
		p.Citations = append(p.Citations, c)
	}
}

// Merge counts what u has counted as well. u is not to be used after it.
func (t *Tally) Merge(u *Tally) {
	if u == nil {
		return
	}
	for _, q := range u.rules {
		p := t.index[q.Rule]
		if p == nil {
			t.add(q)
			continue
		}
		p.Count += q.Count
		p.Places = append(p.Places, q.Places...)
		for _, c := range q.Citations {
			p.cite(c)
		}
		if q.Least.Place != "" && p.less(q.left, q.Least.Place) {
			p.left, p.Least = q.left, q.Least
		}
	}
}

// Sort brings rules into the order of compare and places into theirs, and names no
// place twice. Many rules judge the same places in the same order: those are sorted
// once, and share the list.
func (t *Tally) Sort(compare func(rule, other string) int) {
	slices.SortStableFunc(t.rules, func(a, b *Passes) int { return compare(a.Rule, b.Rule) })
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

// MarshalJSON writes the list of [Tally.Rules]; who reads it reads a []Passes.
func (t *Tally) MarshalJSON() ([]byte, error) {
	return json.Marshal(append([]*Passes{}, t.Rules()...)) // of none an empty list
}
