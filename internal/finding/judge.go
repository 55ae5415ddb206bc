// Package finding is the one judge of layouts. Checks of drains and of water lines
// tell it what they measured and against what; it alone knows whether a pass is left
// out, counted or kept, when words are made, in whose units they are written, what
// the standing of a figure makes of a verdict, and in what order findings come.
package finding

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Options say what is done with the findings of a check.
type Options struct {
	ProblemsOnly bool                      // leave out the passes, and count none
	Tally        *tables.Tally             // if not nil, counts the passes, and they are no findings
	Print        func(fmt.Stringer) string // writes a quantity in the texts; nil: as Trade gives it
	// Trade writes quantities without Print, and then the figures of findings come so too; nil:
	// as they were measured.
	Trade   *Trade
	Assumed *[]tables.Assumption // if not nil, takes what was assumed
	// Millimetres is the row by which the limits of the code stand in whole millimetres beside
	// the inches; zero: they do not.
	Millimetres tables.Citation
}

// Trade gives quantities as the trade reads them, in the system of the layout.
type Trade struct {
	Round func(fmt.Stringer) fmt.Stringer
	Names map[string]bool // rules whose figures are nominal sizes: names, which are not rounded
}

// Judge gathers the findings of one check. It is not to be shared.
type Judge struct {
	opt     Options
	order   Order
	list    pile
	assumed []tables.Assumption
}

// pile keeps findings in blocks, each up to the seventh twice as long as the one before, so
// that none is moved when more come.
type pile [][]tables.Finding

func (p *pile) add(f *tables.Finding) {
	last := len(*p) - 1
	if last < 0 || len((*p)[last]) == cap((*p)[last]) {
		*p = append(*p, make([]tables.Finding, 0, 16<<min(len(*p), 6)))
		last++
	}
	(*p)[last] = append((*p)[last], *f)
}

// Order is where each rule stands among those that are declared.
type Order map[string]int

// OrderOf returns the order of rules. Whoever judges often makes it once.
func OrderOf(rules []tables.CheckRule) Order {
	order := make(Order, len(rules))
	for i, r := range rules {
		order[r.ID] = i
	}
	return order
}

// New returns a judge by the rules of an order; what opt.Tally held before is lost.
func New(order Order, opt Options) *Judge {
	j := &Judge{opt: opt, order: order}
	if opt.Tally != nil {
		*opt.Tally = tables.Tally{}
	}
	if opt.ProblemsOnly {
		j.opt.Tally = nil // emptied, and nothing is counted
	}
	return j
}

// Second returns a judge of the same rules for another goroutine; [Judge.Merge] brings
// its findings in.
func (j *Judge) Second() *Judge {
	k := &Judge{opt: j.opt, order: j.order}
	if j.opt.Tally != nil {
		k.opt.Tally = new(tables.Tally)
	}
	return k
}

// Merge adds what another judge found.
func (j *Judge) Merge(k *Judge) {
	j.list = append(j.list, k.list...)
	j.assumed = append(j.assumed, k.assumed...)
	if j.opt.Tally != nil {
		j.opt.Tally.Merge(k.opt.Tally)
	}
}

// Tally is where the judge counts passes, nil if it does not.
func (j *Judge) Tally() *tables.Tally { return j.opt.Tally }

// Grow makes room for findings where passes are kept.
func (j *Judge) Grow(n int) {
	if !j.opt.ProblemsOnly && j.opt.Tally == nil {
		j.list = append(j.list, make([]tables.Finding, 0, n))
	}
}

// unread tells whether a pass that cites c is a pass that nobody will read: a figure
// that is not firm makes it a question.
func (j *Judge) unread(c tables.Citation) bool {
	return (j.opt.ProblemsOnly || j.opt.Tally != nil) && (c.IsZero() || c.Status().Firm())
}

// Whole is the place of a finding about the layout as a whole.
const Whole = "the layout"

// Case is what is judged: a rule, the place where, and the row of the code that sets the
// limit. Side tells apart two findings of one rule at one place.
type Case struct {
	Rule, Place, Side string
	Citation          tables.Citation
}

// Words are the words of a finding, made only if they are read: "What at place is value;
// limit limit: difference Off." of a value that is set against a limit, or a Reason of its
// own; and what makes a fail pass. Value and Limit are what was measured where nothing is
// compared. Placed says that What names the place itself, as a way from one place to another.
type Words struct {
	What, Off, Reason, Fix string
	Value, Limit           fmt.Stringer
	Placed                 bool
}

// Say returns the words of a comparison that has them at hand.
func Say(what, off, fix string) func() Words {
	return func() Words { return Words{What: what, Off: off, Fix: fix} }
}

// Rounded returns f with its figures as the trade reads them, and a margin that agrees with
// the other two.
func (t *Trade) Rounded(f tables.Finding) tables.Finding {
	if t.Names[f.Rule] {
		return f
	}
	exact := f.Margin
	for _, q := range [...]*fmt.Stringer{&f.Value, &f.Limit, &f.Margin} {
		if *q != nil {
			*q = t.Round(*q)
		}
	}
	if g, ok := exact.(grade); ok {
		f.Margin = left(g)
		return f
	}
	value, limit, kind := reflect.ValueOf(f.Value), reflect.ValueOf(f.Limit), reflect.TypeOf(f.Margin)
	if kind == nil || kind.Kind() != reflect.Int64 || reflect.TypeOf(f.Value) != kind ||
		reflect.TypeOf(f.Limit) != kind {
		return f
	}
	between := max(value.Int()-limit.Int(), limit.Int()-value.Int())
	if reflect.ValueOf(exact).Int() < 0 {
		between = -between
	}
	if f.Margin = exact; between != 0 || reflect.ValueOf(exact).IsZero() { // what rounds away keeps its sign
		f.Margin = reflect.ValueOf(between).Convert(kind).Interface().(fmt.Stringer)
	}
	return f
}

// grade is a grade, of which the margin may be one that nobody lays.
type grade interface {
	fmt.Stringer
	IsLevel() bool
	Percent() float64
}

// left is what is left of a grade: nothing is 0 and not level, and what is no fraction of an
// inch per foot is told in percent.
func left(g grade) fmt.Stringer {
	switch {
	case g.IsLevel():
		return Word("0 %")
	case strings.Contains(g.String(), ":"):
		return Word(strconv.FormatFloat(g.Percent(), 'f', 2, 64) + " %")
	}
	return g
}

// rounded is [Trade.Rounded] where the options ask for it.
func (j *Judge) rounded(f tables.Finding) tables.Finding {
	if j.opt.Print != nil || j.opt.Trade == nil {
		return f
	}
	return j.opt.Trade.Rounded(f)
}

// Add records a finding. A pass or a fail on a figure nobody saw in print turns into a
// question. A pass needs no fix.
func (j *Judge) Add(f tables.Finding) {
	if f.Verdict == tables.Pass {
		f.Fix = ""
	}
	if f = f.Settle(); f.Verdict == tables.Pass {
		switch {
		case j.opt.ProblemsOnly:
			return
		case j.opt.Tally != nil:
			if margin, ok := number(f.Margin); ok {
				j.opt.Tally.CountLeast(f.Rule, f.Place, margin, f.Citation, func() tables.Finding { return j.rounded(f) })
			} else {
				j.opt.Tally.Count(f.Rule, f.Place, f.Citation)
			}
			return
		}
	}
	f = j.rounded(f)
	j.list.add(&f)
}

// number returns a margin as a number; margins of one rule are in one unit. Exact
// quantities are int64, those of flow float64, a grade tells its ratio. Counts and
// angles, which are neither, say little of how nearly a place passes.
func number(x fmt.Stringer) (float64, bool) {
	if x == nil {
		return 0, false
	}
	if ratio, ok := x.(interface{ Float() float64 }); ok {
		return ratio.Float(), true
	}
	switch v := reflect.ValueOf(x); v.Kind() {
	case reflect.Int64:
		return float64(v.Int()), true
	case reflect.Float64:
		return v.Float(), true
	}
	return 0, false
}

// Ask records a question and who can answer it; c is the row that it is about, if there is one.
func (j *Judge) Ask(rule, place string, by tables.Settler, reason, fix string, c ...tables.Citation) {
	j.list.add(&tables.Finding{Rule: rule, Place: place, Verdict: tables.Ask, SettledBy: by, Reason: reason,
		Fix: fix, Citation: cmp.Or(c...)})
}

// Assume records what the layout leaves open and no verdict hangs on: what was taken, and
// the field that states it.
func (j *Judge) Assume(rule, place, taken, field string) {
	if j.opt.Assumed != nil {
		j.assumed = append(j.assumed, tables.Assumption{Rule: rule, Place: place, Taken: taken, Field: field})
	}
}

// Text is Sprintf with quantities written as the options say.
func (j *Judge) Text(format string, args ...any) string {
	if j.opt.Print == nil && j.opt.Trade == nil {
		return fmt.Sprintf(format, args...) // quantities write themselves
	}
	for i, a := range args {
		if q, ok := a.(fmt.Stringer); ok {
			args[i] = j.print(q)
		}
	}
	return fmt.Sprintf(format, args...)
}

// print writes a quantity as the options say.
func (j *Judge) print(q fmt.Stringer) string {
	if j.opt.Print != nil {
		return j.opt.Print(q)
	}
	if j.opt.Trade != nil {
		q = j.opt.Trade.Round(q)
	}
	return q.String()
}

// Quantity is what can be set against a limit of its kind.
type Quantity interface {
	~int64 | ~float64 | ~int | ~int32
	fmt.Stringer
}

// AtMost judges a value that may not exceed a limit.
func AtMost[Q Quantity](j *Judge, at Case, value, limit Q, words func() Words) {
	margin := limit - value
	Compare(j, at, Compared[Q]{value, limit, margin, margin >= 0, float64(margin), "limit"}, words)
}

// AtLeast judges a value that may not fall short of a limit.
func AtLeast[Q Quantity](j *Judge, at Case, value, limit Q, words func() Words) {
	margin := value - limit
	Compare(j, at, Compared[Q]{value, limit, margin, margin >= 0, float64(margin), "at least"}, words)
}

// Compared is a value set against a limit.
type Compared[Q fmt.Stringer] struct {
	Value, Limit, Margin Q
	Passes               bool
	Left                 float64 // the margin as a number, in the unit of its rule
	Called               string  // what the limit is called, "limit" or "at least"
}

// inMillimetres tells whether a length is a limit of a code as that prints it in whole
// millimetres: 1067 mm are 42 in to it, and a fifth of a millimetre more.
func inMillimetres(value, limit any) bool {
	v, ok := value.(units.Length)
	l, ok2 := limit.(units.Length)
	const mm = units.Millimetre
	return ok && ok2 && v%mm == 0 && l%mm != 0 && max(v-l, l-v) <= mm/2
}

// Compare judges what was compared, where [AtMost] and [AtLeast] cannot.
func Compare[Q fmt.Stringer](j *Judge, at Case, c Compared[Q], words func() Words) {
	if by := j.opt.Millimetres; !c.Passes && !by.IsZero() && !at.Citation.IsZero() && inMillimetres(c.Value, c.Limit) {
		var none Q
		c.Passes, c.Margin, c.Left = true, none, 0
		if by.Status() < at.Citation.Status() {
			at.Citation = by
		}
	}
	if c.Passes && j.unread(at.Citation) {
		switch kind := reflect.TypeFor[Q]().Kind(); {
		case j.opt.Tally == nil:
		case kind == reflect.Int, kind == reflect.Int32: // see number
			j.opt.Tally.Count(at.Rule, at.Place, at.Citation)
		default:
			j.opt.Tally.CountLeast(at.Rule, at.Place, c.Left, at.Citation, func() tables.Finding {
				return j.rounded(tables.Finding{Rule: at.Rule, Place: at.Place, Side: at.Side, Verdict: tables.Pass,
					Value: c.Value, Limit: c.Limit, Margin: c.Margin, Citation: at.Citation})
			})
		}
		return
	}
	w := words()
	f := at.finding(c.Passes, w)
	f.Value, f.Limit, f.Margin = c.Value, c.Limit, c.Margin
	if w.Reason == "" {
		what := w.What
		if at.Place != Whole && !w.Placed {
			what += " at " + at.Place
		}
		f.Reason = j.Sentence(&f, what, c.Called, w.Off)
	}
	j.Add(f)
}

// Sentence says what a finding compared, and of a fail by how much it lies beyond the limit:
// "What is value; limit limit: difference off." What the limit is called is "limit" or "at least".
func (j *Judge) Sentence(f *tables.Finding, what, called, off string) string {
	beyond := ""
	if f.Verdict == tables.Fail {
		beyond = ": " + j.beyond(f.Value, f.Limit, f.Margin) + off
	}
	return what + " is " + j.print(f.Value) + "; " + called + " " + j.print(f.Limit) + beyond + "."
}

// Move is how far something must be moved that a value keeps its limit: as much as the sentence about the two says
// is lacking, and never less than that is.
func (j *Judge) Move(value, limit units.Length) string {
	exact := max(value-limit, limit-value)
	if told, ok := j.between(value, limit); ok && told >= exact {
		return j.print(told)
	}
	for more := exact; ; more += units.Millimetre / 2 { // up to the next that is printed
		text := j.print(more)
		if told, err := units.Parse[units.Length](text); err != nil || told >= exact {
			return text
		}
	}
}

// between is the difference of two lengths as they are printed.
func (j *Judge) between(value, limit fmt.Stringer) (told units.Length, ok bool) {
	v, err := units.Parse[units.Length](j.print(value))
	l, err2 := units.Parse[units.Length](j.print(limit))
	return max(v-l, l-v), err == nil && err2 == nil
}

// beyond says by how much a value lies beyond its limit: the difference of the two as they are
// printed, and of what is too little to print nothing.
func (j *Judge) beyond(value, limit, margin fmt.Stringer) string {
	if told, ok := j.between(value, limit); ok {
		if told == 0 {
			return "just "
		}
		return j.print(told) + " "
	}
	x, unit, ok := tables.NumberOf(j.print(value))
	y, same, ok2 := tables.NumberOf(j.print(limit))
	_, of, _ := tables.NumberOf(j.print(margin))
	if !ok || !ok2 || unit != same || of != unit {
		return strings.TrimPrefix(j.print(margin), "-") + " "
	}
	_, decimals, _ := strings.Cut(strings.Fields(j.print(value))[0], ".")
	if text := strconv.FormatFloat(math.Abs(x-y), 'f', len(decimals), 64); strings.Trim(text, "0.") != "" {
		return text + " " + unit + " "
	}
	return "just "
}

// Holds judges what is or is not so, without a figure.
func (j *Judge) Holds(ok bool, at Case, words func() Words) {
	if ok && j.unread(at.Citation) {
		if j.opt.Tally != nil {
			j.opt.Tally.Count(at.Rule, at.Place, at.Citation)
		}
		return
	}
	j.Add(at.finding(ok, words()))
}

func (at Case) finding(passes bool, w Words) tables.Finding {
	f := tables.Finding{Rule: at.Rule, Place: at.Place, Side: at.Side, Verdict: tables.Pass, Citation: at.Citation,
		Reason: w.Reason, Fix: w.Fix, Value: w.Value, Limit: w.Limit}
	if !passes {
		f.Verdict = tables.Fail
	}
	return f
}

// Problems calls f for each fail and each question so far.
func (j *Judge) Problems(f func(*tables.Finding)) {
	for _, block := range j.list {
		for i := range block {
			if block[i].Verdict != tables.Pass {
				f(&block[i])
			}
		}
	}
}

func (j *Judge) rank(rule string) int {
	if n, ok := j.order[rule]; ok {
		return n
	}
	return len(j.order)
}

// ranked is a finding, the rank of its rule, and how many were found before it.
type ranked struct {
	rank, before int
	*tables.Finding
}

// byRank is the order of findings: by rule, place, side and text, else as they were found.
func byRank(a, b ranked) int {
	if a.rank != b.rank {
		return cmp.Compare(a.rank, b.rank)
	}
	if a.Place != b.Place {
		return strings.Compare(a.Place, b.Place)
	}
	return cmp.Or(strings.Compare(a.Side, b.Side), strings.Compare(a.Reason, b.Reason), cmp.Compare(a.before, b.before))
}

// Findings returns what was found, by rule, place, side and text, each with an id of
// its own: where one rule has several findings at a place and no side tells them
// apart, they are numbered. It closes the judge.
func (j *Judge) Findings() []tables.Finding {
	n := 0
	for _, block := range j.list {
		n += len(block)
	}
	order := make([]ranked, 0, n)
	for _, block := range j.list {
		for i := range block {
			order = append(order, ranked{j.rank(block[i].Rule), len(order), &block[i]})
		}
	}
	slices.SortFunc(order, byRank)
	list := make([]tables.Finding, n)
	for i, f := range order {
		list[i] = *f.Finding
	}
	first := 0 // of those with the same id
	for i := 1; i < n; i++ {
		if !sameID(&list[first], &list[i]) {
			first = i
			continue
		}
		list[i].Side += "#" + strconv.Itoa(i-first+1)
	}
	if j.opt.Assumed != nil {
		slices.SortStableFunc(j.assumed, func(a, b tables.Assumption) int {
			return cmp.Or(cmp.Compare(j.rank(a.Rule), j.rank(b.Rule)), strings.Compare(a.Place, b.Place),
				strings.Compare(a.Field, b.Field))
		})
		*j.opt.Assumed = j.assumed
	}
	if j.opt.Tally != nil {
		j.opt.Tally.Sort(func(a, b string) int { return cmp.Compare(j.rank(a), j.rank(b)) })
	}
	j.list = nil
	return list
}

func sameID(a, b *tables.Finding) bool {
	return a.Rule == b.Rule && a.Place == b.Place && a.Side == b.Side
}
