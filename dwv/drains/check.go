package drains

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// CheckOptions sets what a check looks at.
type CheckOptions struct {
	// ProblemsOnly leaves out the passes, and counts none.
	ProblemsOnly bool
	// Tally, if not nil, counts the passes, and they are no findings. What it held
	// before is lost.
	Tally *tables.Tally
	// Print writes a quantity in the texts of the findings, such as in another system of
	// units; the figures of the findings are then as they were measured. Nil: both are in the
	// system of the layout, rounded as the trade does; see [Sizing.Text]. Nominal sizes come
	// as a type that prints their name and is no [units.Length]; covers and depths as
	// [Depth], what they lack as [Shortage]. It may be called from two goroutines at once.
	Print func(fmt.Stringer) string
	// Assumed, if not nil, is set to what the layout leaves open and no verdict hangs on.
	Assumed *[]tables.Assumption

	plain bool // no question is tried whether an answer to it would change anything
}

// Check judges the layout by the code it was sized by, rule by rule, and returns the
// findings ordered by rule and place. A drawn size is judged as drawn, one that is absent
// as [Layout.Size] fills it. What rests on a figure nobody has seen in print, and what the
// layout does not tell, comes out as [tables.Ask]. A sizing that [Layout.Size] did not
// make is an error.
//
// The findings do not depend on the order of the points in the layout, and
// renaming the points renames the findings and changes nothing else.
func (s *Sizing) Check(opt CheckOptions) ([]tables.Finding, error) {
	return s.CheckContext(context.Background(), opt)
}

// inMillimetres returns the row by which the code prints its limits in whole millimetres
// beside the inches, if it does.
func (s *Sizing) inMillimetres() tables.Citation {
	if r, _ := s.code.Rule("limits-in-millimetres"); r.Value == "yes" {
		return r.Cite
	}
	return tables.Citation{}
}

// CheckContext is [Sizing.Check] that stops, with the error of the context, once that is
// done.
func (s *Sizing) CheckContext(ctx context.Context, opt CheckOptions) ([]tables.Finding, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	found := finding.New(order(), finding.Options{ProblemsOnly: opt.ProblemsOnly, Tally: opt.Tally, Print: opt.Print,
		Trade: s.trade(), Assumed: opt.Assumed, Millimetres: s.inMillimetres()})
	l, t := s.layout, s.tree
	j := &judge{
		Judge: found, layout: l, tree: t, code: s.code, sizing: s, levels: s.levels, opt: opt,
		ctx: ctx, work: newWork(t), routes: s.routes, access: newAccess(t),
	}
	j.notBathroom = sync.OnceValue(func() []int32 { return j.strangers(inBathroom) })
	j.notCombination = sync.OnceValue(func() []int32 { return j.strangers(j.onCombination) })
	j.notOnWasteStack = sync.OnceValue(func() []int32 { return j.strangers(onWasteStack) })
	j.ventsAbove = sync.OnceValue(func() []units.Length { return j.largestAbove(func(int32) bool { return true }) })
	j.openAbove = sync.OnceValue(j.largestOpenAbove)
	j.ventedAbove = sync.OnceValue(j.servesVented)
	switch {
	case s.european != nil:
		j.europeanSystems()
	case opt.ProblemsOnly || len(t.points) < manyPoints:
		j.systems(true, true)
		j.whole()
	default:
		// Most of the work is to keep what passes: it is done in two halves at once.
		half := *j
		half.Judge, half.work = j.Second(), newWork(t)
		half.opt.Tally = half.Tally()
		j.Grow(8 * len(t.points))
		half.Grow(4 * len(t.points))
		var wg sync.WaitGroup
		wg.Go(func() { half.systems(false, true) })
		j.systems(true, false)
		j.whole()
		wg.Wait()
		j.Merge(half.Judge)
	}
	j.undersized()
	if err := t.stopped(ctx, "check", j.system, 0, 0, ""); err != nil {
		return nil, err
	}
	return j.Findings(), nil
}

// manyPoints is from how many points on a check that keeps its passes is worth two
// goroutines.
const manyPoints = 500

// systems judges each system: its pipe, and its traps and cleanouts.
func (j *judge) systems(pipe, traps bool) {
	for sys := range int32(j.tree.outlets) {
		if j.ctx.Err() != nil {
			return
		}
		j.system, j.order = sys, j.tree.of(sys)
		j.lo, j.hi = j.tree.span(sys)
		if pipe {
			j.each((*judge).drains, (*judge).site, (*judge).stackLengths, (*judge).washerBatteries, (*judge).armGrades,
				(*judge).stackVents, (*judge).drainVent, (*judge).sewerCover, (*judge).sump, (*judge).backwater,
				(*judge).deadEnds, (*judge).grease, (*judge).doubleFittings)
		}
		if traps {
			j.access.fill(j.sizing, sys)
			j.each((*judge).traps, (*judge).cleanouts, (*judge).armTurns, (*judge).urinals)
		}
	}
}

// each makes one check after the other, until the context ends.
func (j *judge) each(checks ...func(*judge)) {
	for _, check := range checks {
		if j.ctx.Err() != nil {
			return
		}
		check(j)
	}
}

// points goes through the points of the system in hand, until the context ends: what was found by
// then is thrown away.
func (j *judge) points() iter.Seq2[int32, *Point] {
	return func(yield func(int32, *Point) bool) {
		for i, pt := range j.tree.in(j.system) {
			if j.endedAt(int(i-j.lo)) || !yield(i, pt) {
				return
			}
		}
	}
}

// endedAt tells, for one of many that are judged in turn, whether the context ended: it looks now and then.
func (j *judge) endedAt(k int) bool { return k%pointsBetween == pointsBetween-1 && j.ctx.Err() != nil }

// whole judges what lies across systems.
func (j *judge) whole() {
	j.each((*judge).assumedJoins, (*judge).apartWords, (*judge).droppedRows, (*judge).ventChecks, (*judge).specialVents,
		(*judge).circuits, (*judge).wetVents, (*judge).bathrooms, (*judge).materials, (*judge).footings, (*judge).crossings,
		(*judge).obstacles, (*judge).askUncounted)
}

// judge gathers the findings of one check.
type judge struct {
	*finding.Judge
	ctx    context.Context
	layout *Data
	tree   *tree
	code   *dwv.Code
	sizing *Sizing
	levels *Levels
	routes *routes
	access *access
	opt    CheckOptions
	work   *work
	// The system in hand, its points from lo up to and without hi, and the same
	// points each after all that drain to it.
	system int32
	lo, hi int32
	order  []int32

	answers [16]answered

	// By node, made when first asked for: see strangers and servesVented; and the largest vent that
	// takes off there or upstream, of all and of those that lead to the open air.
	notBathroom, notCombination, notOnWasteStack func() []int32
	ventedAbove                                  func() []bool
	ventsAbove, openAbove                        func() []units.Length

	// waiting is what is sized for less than it may carry, by the node at which something is
	// not counted; see askUncounted.
	waiting map[int32]*[2][]string

	// ungrouped is how much less runs of a system carry with bathrooms as groups; see asGroups.
	ungrouped     map[int32]dwv.FixtureUnits
	ungroupedCite tables.Citation
	ungroupedOf   int32

	wholeStack []int16        // by node, branch intervals of stacks with their offsets; see stackVents
	drainVents []units.Length // by node; see nearHead
	spacings   []cleanoutWay  // room for those of one cleanout; see spacing
}

// nominal is a size that is a name: it is never converted.
type nominal units.Length

// String writes it in inches however large it is, for nobody sells a pipe of 1'-0", and one of whole
// millimetres as DN.
func (n nominal) String() string {
	size := units.Length(n)
	switch inches := size%(units.Inch/16) == 0; {
	case inches && size >= units.Foot:
		return strings.NewReplacer(" in", `"`, "-", " ").Replace(dwv.FormatSize(size))
	case !inches && size%units.Millimetre == 0:
		return fmt.Sprintf("DN %d", int64(size/units.Millimetre))
	}
	return size.String()
}

// sizeList names sizes.
func sizeList(sizes []units.Length) string {
	var names []string
	for _, x := range sizes {
		names = append(names, nominal(x).String())
	}
	return strings.Join(names, ", ")
}

// Depth is a cover, or a depth that is left: who rounds it rounds down, so that no trench
// is dug by more cover than there is. The values and margins of such rules are Depths.
type Depth units.Length

// String writes it as a length.
func (d Depth) String() string { return units.Length(d).String() }

// Shortage is what a [Depth] lacks: who rounds it rounds up.
type Shortage units.Length

// String writes it as a length.
func (s Shortage) String() string { return units.Length(s).String() }

// Text writes a quantity as findings and fixes do: in the system of units that the layout is
// drawn in, rounded as the trade does. Lengths are to 1/16 in or to the millimetre, a [Depth]
// to the 1/4 in or the millimetre below; what is no quantity prints itself.
func (s *Sizing) Text(q fmt.Stringer) string {
	if q == nil {
		return ""
	}
	if s.made() != nil {
		return q.String()
	}
	return s.trade().Round(q).String()
}

// trade returns what gives a quantity as the trade reads it.
func (s *Sizing) trade() *finding.Trade {
	metric := s.metric
	round := func(l, step units.Length, r units.Rounding) units.Length {
		if metric {
			step = units.Millimetre
		}
		return l.Round(step, r)
	}
	return &finding.Trade{Names: nominals(), Round: func(q fmt.Stringer) fmt.Stringer {
		switch q := q.(type) {
		case units.Length:
			if q = round(q, units.Inch/16, units.HalfEven); metric {
				return metricLength(q)
			}
			return q
		case Depth: // what only arithmetic took from it stays
			l := units.Length(q) + units.Inch/1000
			if l = round(l, units.Inch/4, downward(l)); metric {
				return metricLength(l)
			}
			return Depth(l)
		case Shortage:
			l := units.Length(q) - units.Inch/1000
			if l = round(l, units.Inch/4, downward(-l)); metric {
				return metricLength(l)
			}
			return Shortage(l)
		case units.Flow:
			return decimals(q, units.USGallonPerMinute, units.LitrePerSecond, metric || s.european != nil)
		case units.Pressure:
			return decimals(q, units.PoundForcePerSquareInch, units.Kilopascal, metric)
		case units.Volume:
			return decimals(q, units.USGallon, units.Litre, metric)
		case units.Velocity:
			return decimals(q, units.FootPerSecond, units.MetrePerSecond, metric)
		}
		return q
	}}
}

// downward is the rounding that takes l down, a negative one too.
func downward(l units.Length) units.Rounding {
	if l < 0 {
		return units.Up
	}
	return units.Down
}

// decimals rounds a quantity to two decimals of a unit, but never to nothing.
func decimals[M interface {
	~float64
	fmt.Stringer
}](q, customary, metric M, inMetric bool) fmt.Stringer {
	if inMetric {
		customary = metric
	}
	if x := math.Round(float64(q/customary)*100) / 100; x != 0 {
		return M(x) * customary
	}
	return q
}

// metricLength prints in metres or millimetres, which a [units.Length] need not.
type metricLength units.Length

func (m metricLength) String() string {
	if l := units.Length(m); l.Abs() < 2*units.Metre {
		return strconv.FormatInt(int64(l/units.Millimetre), 10) + " mm"
	}
	return strconv.FormatFloat(units.Length(m).Metres(), 'f', -1, 64) + " m"
}

// fails records what is not so, without a figure.
func (j *judge) fails(m finding.Case, reason, fix string) {
	j.Holds(false, m, func() finding.Words { return finding.Words{Reason: reason, Fix: fix} })
}

// unheld makes a question of a fail by a rule that our tables do not hold of this code.
func unheld(f *tables.Finding) {
	f.Verdict, f.SettledBy = tables.Ask, tables.Authority
	f.Reason += " Our tables do not hold this code's rule for it; other codes bar it."
}

// on is what a finding is about; see [finding.Case].
func on(rule, place string, c tables.Citation) finding.Case {
	return finding.Case{Rule: rule, Place: place, Citation: c}
}

// gradeAtMost judges a grade that may not be steeper than a limit.
func (j *judge) gradeAtMost(m finding.Case, g, limit slope.Grade, words func() finding.Words) {
	margin, _ := limit.Sub(g) // of grades that pipe is laid at there is one
	passes := g.Compare(limit) <= 0
	said := func() finding.Words {
		w := words()
		w.Reason = j.Text("%s at %s is %v; limit %v", w.What, m.Place, g, limit)
		if !passes {
			w.Reason += fmt.Sprintf(": %.3g %% %s", 100*(g.Float()/limit.Float()-1), w.Off)
		}
		w.Reason += "."
		return w
	}
	finding.Compare(j.Judge, m, finding.Compared[slope.Grade]{Value: g, Limit: limit, Margin: margin, Passes: passes,
		Left: margin.Float()}, said)
}

// counts judges a number of things, which the words name: "3 lavatories on vent V".
func (j *judge) counts(m finding.Case, n, most int, words func() finding.Words) {
	finding.AtMost(j.Judge, m, count(n), count(most), func() finding.Words {
		w := words()
		w.Reason = fmt.Sprintf("%d %s; limit %d", n, w.What, most)
		if n > most {
			w.Reason += fmt.Sprintf(": %d too many", n-most)
		}
		w.Reason += "."
		return w
	})
}

// lacks says in a clause why a code gave no answer: what our tables lack of it, what the
// code has not, or which row was out of reach.
func lacks(err error, what string) string {
	switch {
	case errors.Is(err, tables.ErrNotOnShelf):
		return "our tables do not hold this code's " + what
	case errors.Is(err, tables.ErrNotInCode):
		return "this code has no " + what
	}
	lines := strings.Split(strings.TrimSuffix(err.Error(), "."), "\n")
	for i, text := range lines {
		if _, detail, ok := strings.Cut(text, tables.ErrOutsideTable.Error()+": "); ok {
			lines[i] = detail
		} else if _, detail, ok := strings.Cut(text, ": "); ok {
			lines[i] = detail // after the code and what was asked of it
		}
	}
	return strings.Join(lines, "; ")
}

// sentence ends what an error or another text may end with a full stop of its own.
func sentence(text string) string { return strings.TrimSuffix(text, ".") + "." }

// capital begins an error or another text as a sentence begins.
func capital(text string) string {
	r, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(r)) + text[n:]
}

// oneSize tells whether two different sizes are near enough to be two names of one,
// such as 4 in and DN 100: made sizes lie at least a tenth apart, names in inches and
// in millimetres less than a sixteenth.
func oneSize(a, b units.Length) bool {
	return a != b && 16*max(a-b, b-a) < max(a, b)
}

// named turns a fail over two sizes that may be two names of one into a question.
func named(f *tables.Finding, a, b units.Length) {
	if f.Verdict == tables.Fail && oneSize(a, b) {
		f.Verdict, f.SettledBy, f.Reason = tables.Ask, tables.Designer, f.Reason+" These may be two names of one size."
		f.Fix = "If they are one size, write it as the code does."
	}
}

// sizeAtLeast judges a nominal size that may not be smaller than another. Two names of one
// size are a question.
func (j *judge) sizeAtLeast(m finding.Case, value, limit units.Length, words func() finding.Words) {
	sized := func() finding.Words {
		w := words()
		w.Reason = j.Text("%s is %v; at least %v", placed(w.What, m.Place), nominal(value), nominal(limit))
		if value < limit {
			w.Reason += ": too small"
			if w.Fix == "" {
				w.Fix = j.Text("Lay %v.", nominal(limit))
			}
		}
		w.Reason += "."
		return w
	}
	if value >= limit || !oneSize(value, limit) {
		finding.AtLeast(j.Judge, m, value, limit, sized)
		return
	}
	f := tables.Finding{Rule: m.Rule, Place: m.Place, Verdict: tables.Fail, Value: value, Limit: limit,
		Margin: value - limit, Reason: sized().Reason, Citation: m.Citation}
	named(&f, value, limit)
	j.Add(f)
}

// length looks up a rule of the code that is a length; ok is false if the code
// has none or sets no limit.
func (j *judge) length(id string) (x units.Length, c tables.Citation, ok bool) {
	return j.code.FindLength(id)
}

// number looks up a rule that is a plain number in the unit.
func (j *judge) number(id, unit string) (x float64, c tables.Citation, ok bool) {
	return j.code.FindNumber(id, unit)
}

// units looks up a rule that is a load, in the units of the code's loads.
func (j *judge) units(id string) (x dwv.FixtureUnits, c tables.Citation, ok bool) {
	r, ok := j.code.Rule(id)
	x, err := dwv.ParseFixtureUnits(r.String())
	return x, r.Cite, ok && err == nil
}

// lengthOf looks up a length among the rules of another set; a shelf of its own may lack it.
func (j *judge) lengthOf(set, id string) (x units.Length, c tables.Citation, ok bool) {
	rules, err := j.code.Shelf().Rules(set)
	if err == nil {
		x, c, err = tables.RuleValue[units.Length](rules, id)
	}
	return x, c, err == nil
}

// placed says what was measured, and where; of all of the layout no place is named.
func placed(what, place string) string {
	if place == finding.Whole {
		return what
	}
	return what + " at " + place
}

// job is the place of a finding about all of the layout. It hangs on no name that the next
// revision may change.
func (j *judge) job() string { return finding.Whole }

// id returns what a node is called.
func (j *judge) id(i int32) string { return j.sizing.id(i) }

func (s *Sizing) id(i int32) string {
	if pt := s.tree.point(i); pt != nil {
		return pt.ID
	}
	return s.layout.Systems[i].Outlet.ID
}

// count is a plain whole number that prints itself.
type count int

func (c count) String() string { return strconv.Itoa(int(c)) }

// angle is an angle in thousandths of a degree.
type angle int32

func (a angle) String() string { return strconv.FormatFloat(float64(a)/1000, 'f', -1, 64) + " deg" }

// word is a value that is no quantity, such as a material.
type word string

func (w word) String() string { return string(w) }
