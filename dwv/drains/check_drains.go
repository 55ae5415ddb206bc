package drains

import (
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// drains judges loads, sizes, grades and levels run by run.
func (j *judge) drains() {
	greasy := j.aboveGrease()
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		j.load(i, pt)
		j.intervalLoad(i, pt)
		j.closets(i, pt)
		j.leastSize(i, pt)
		j.reduction(i, pt)
		j.grade(i, pt, greasy[i])
		j.apart(i, pt)
		j.onPlan(i, pt)
		if pt.Interceptor != nil {
			j.interceptor(pt)
		}
	}
	j.outlet(j.system)
	j.mainDrains()
	j.gravity()
}

// load sets the load of a run against what the size laid may carry.
func (j *judge) load(i int32, pt *Point) {
	s := j.sizing
	from := s.shortAt(i)
	if from == i {
		j.Ask("drain-load", pt.ID, tables.Designer,
			j.text("nothing is counted for what stands here: %s", oneLine(s.unrated[i])),
			"State what the code asks for, or ask the authority what it counts.", tables.Citation{})
	}
	if s.arm[i] {
		j.armLoad(i, pt)
		return
	}
	k, short, err := j.capacity(i)
	load := s.load[i]
	switch {
	case err != nil:
		j.Ask("drain-load", pt.ID, tables.Authority,
			j.text("the run carries %v on %v and cannot be judged by the tables: %v", load, nominal(s.size[i]), err),
			"Choose a size and grade the code has, or ask the authority.", tables.Citation{})
	case short && from < 0 && k.Holds(load) && j.gradeShort(i):
		// the fault is the grade, and drain-grade tells it
	case !k.Permitted || short && k.Holds(load) && !j.gradeShort(i):
		j.add(tables.Finding{Rule: "drain-load", Place: pt.ID, Verdict: tables.Fail, Value: load,
			Reason: j.text("%v pipe may not be laid at %v at all", nominal(s.size[i]), pt.Run.Grade),
			Fix:    "Lay it steeper, or larger.", Citation: k.Citation})
	default:
		cite, taken := weakestOf(k.Citation, k.Factor), k.Grade
		if !k.Nominal.IsZero() {
			var flatter dwv.Capacity
			flatter, cite = j.nominalLoad(i, pt, *k)
			k = &flatter
		}
		ok := k.Holds(load)
		if ok && (from == i || from < 0 && j.skips(cite)) {
			return
		}
		if ok && from < 0 && j.brief(cite) {
			passed(j.opt.Tally, "drain-load", pt.ID, load, k.Max, k.Max-load, float64(k.Max-load), cite)
			return
		}
		at := ""
		switch {
		case !k.Nominal.IsZero():
			at = j.text(" at %v, taken as %v", pt.Run.Grade, taken)
		case !k.Grade.IsLevel():
			at = j.text(" at %v", k.Grade)
		}
		f := tables.Finding{Rule: "drain-load", Place: pt.ID, Verdict: tables.Pass, Value: load, Limit: k.Max,
			Margin: k.Max - load, Citation: cite,
			Reason: j.text("%v on a %v %v%s, which carries up to %v", load, nominal(s.size[i]), s.part[i], at, k.Max)}
		if !ok {
			f.Verdict = tables.Fail
			f.Fix = j.largerOrSteeper(i)
		} else if from >= 0 {
			f.Verdict, f.SettledBy, f.Fix = tables.Ask, tables.Designer, "Settle the load there first."
			f.Reason += j.text("; nothing is counted for what stands at %s", j.id(from))
		}
		j.add(f)
	}
}

// laid is a pipe as the tables of loads see it.
type laid struct {
	part      dwv.Part
	intervals int16
	size      units.Length
	grade     slope.Grade
}

// answered is what the code said of a pipe.
type answered struct {
	laid
	capacity dwv.Capacity
	short    bool
	err      error
}

// capacity is that of the sizing; the runs of a layout ask for few pipes over and
// over, so the last answers are kept.
func (j *judge) capacity(i int32) (k *dwv.Capacity, short bool, err error) {
	s := j.sizing
	q := laid{s.part[i], s.intervals[i], s.size[i], j.tree.point(i).Run.Grade}
	num, den := q.grade.Ratio()
	h := (uint64(q.size) ^ uint64(num)<<20 ^ uint64(den)<<8 ^ uint64(q.part)<<4 ^ uint64(
		q.intervals)) * 0x9e3779b97f4a7c15
	a := &j.answers[h>>60]
	if a.laid != q {
		a.laid = q
		a.capacity, a.short, a.err = s.capacity(i)
	}
	return &a.capacity, a.short, a.err
}

// armLoad passes a trap arm that the code does not hold to the loads of drains.
func (j *judge) armLoad(i int32, pt *Point) {
	r, _ := j.code.Rule(ruleArmLoads)
	if j.skips(r.Cite) {
		return
	}
	j.add(tables.Finding{Rule: "drain-load", Place: pt.ID, Verdict: tables.Pass, Value: j.sizing.load[i],
		Citation: r.Cite,
		Reason: j.text("%v on a %v trap arm, which the code does not hold to the loads of drains", j.sizing.load[i],
			nominal(j.sizing.size[i]))})
}

// nominalLoad settles what a run carries that counts as steeper than it is only
// because the code prints its grade as equal to a steeper one. A load that the next
// flatter column takes as well needs no such favour; and where the least grade rests
// on the same favour, the question is asked there and not twice.
func (j *judge) nominalLoad(i int32, pt *Point, k dwv.Capacity) (dwv.Capacity, tables.Citation) {
	s := j.sizing
	if k.Nominal.Status().Firm() {
		return k, weakestOf(k.Citation, k.Factor)
	}
	if flatter, err := pt.Run.Grade.Scale(9, 10); err == nil {
		if f, err := s.code.Capacity(s.part[i], s.size[i], flatter, int(s.intervals[i])); err == nil &&
			f.Holds(s.load[i]) {
			return f, weakestOf(f.Citation, f.Factor)
		}
	}
	if limit, err := s.code.MinGrade(s.part[i], s.size[i]); err == nil && limit.Least == k.Grade {
		return k, weakestOf(k.Citation, k.Factor)
	}
	return k, weakestOf(k.Citation, k.Factor, k.Nominal)
}

// intervalLoad sets what enters a stack at one place against what the code lets into
// one branch interval.
func (j *judge) intervalLoad(i int32, pt *Point) {
	in := j.sizing.enters(i)
	if in == 0 {
		return
	}
	k, err := j.code.Capacity(dwv.StackInterval, j.sizing.size[i], pt.Run.Grade, int(j.sizing.intervals[i]))
	if err != nil || !k.Permitted {
		return // the code sets no such limit
	}
	cite := weakestOf(k.Citation, k.Factor)
	if in <= k.Max && j.skips(cite) {
		return
	}
	f := tables.Finding{Rule: "stack-interval-load", Place: pt.ID, Verdict: tables.Pass, Value: in, Limit: k.Max,
		Margin: k.Max - in, Citation: cite,
		Reason: j.text("%v enter the %v stack here, and %v may in one branch interval", in, nominal(j.sizing.size[i]),
			k.Max)}
	if in > k.Max {
		f.Verdict, f.Fix = tables.Fail, "Enlarge the stack, or lead some of it in lower down."
	}
	j.add(f)
}

// largerOrSteeper says what would carry the load.
func (j *judge) largerOrSteeper(i int32) string {
	s := j.sizing
	if s.required[i] > s.size[i] && s.failed[i] == nil {
		return j.text("Lay %v.", nominal(s.required[i]))
	}
	return "Lay a larger pipe, or a steeper one."
}

// weakestOf returns the citation of least standing.
func weakestOf(list ...tables.Citation) (least tables.Citation) {
	for _, c := range list {
		if !c.IsZero() && (least.IsZero() || c.Status() < least.Status()) {
			least = c
		}
	}
	return least
}

func (j *judge) closets(i int32, pt *Point) {
	n := int(j.sizing.closets[i])
	if n == 0 {
		return
	}
	most, cite := j.code.ClosetLimit(j.sizing.part[i], j.sizing.size[i])
	over := most.Kind == tables.NotPermitted || most.Kind == tables.Value && n > most.Value
	if most.Kind == tables.Blank || !over && j.skips(cite) {
		return
	}
	f := tables.Finding{Rule: "drain-closets", Place: pt.ID, Verdict: tables.Pass, Value: count(n), Citation: cite}
	switch most.Kind {
	case tables.Unlimited:
		f.Reason = j.text("%s on %v, which the code does not limit", closetWords(n), nominal(j.sizing.size[i]))
	case tables.NotPermitted:
		f.Reason = j.text("%v is too small for any water closet", nominal(j.sizing.size[i]))
	default:
		f.Limit, f.Margin = count(most.Value), count(most.Value-n)
		f.Reason = j.text("%s on %v, which takes %d", closetWords(n), nominal(j.sizing.size[i]), most.Value)
	}
	if over {
		f.Verdict, f.Fix = tables.Fail, j.text("Lay %v.", nominal(max(j.sizing.required[i], j.sizing.size[i])))
		named(&f, j.sizing.size[i], j.sizing.required[i])
	}
	j.add(f)
}

func closetWords(n int) string {
	if n == 1 {
		return "one water closet, or trap counted alike,"
	}
	return fmt.Sprintf("%d water closets, or traps counted alike,", n)
}

// leastSize judges a drawn size against the least ones: below ground and for the
// fixture. What is not drawn was sized to them.
func (j *judge) leastSize(i int32, pt *Point) {
	s := j.sizing
	if !s.above[i] {
		if least, cite := j.code.MinSizeBelowGround(); least.Kind == tables.Value {
			j.sizeAtLeast("below-ground-size", pt.ID, s.size[i], least.Value, cite, "the pipe below ground",
				"Lay it larger.")
		}
	}
	if pt.Run.Size == 0 || s.size[i] >= s.required[i] {
		return
	}
	switch s.decided[i] {
	case DecidedByTrap, DecidedByFixtureDrain:
		j.sizeAtLeast("fixture-drain-size", pt.ID, s.size[i], s.required[i], s.cite[i], "the drain of the fixture",
			j.text("Lay %v.", nominal(s.required[i])))
	}
}

// undersized speaks of each drawn run that is smaller than required and of which no
// other finding does.
func (j *judge) undersized() {
	s := j.sizing
	var told map[string]bool
	for i := int32(j.tree.outlets); int(i) < j.tree.len(); i++ {
		if s.size[i] >= s.required[i] {
			continue
		}
		if told == nil {
			told = make(map[string]bool)
			j.Problems(func(f *tables.Finding) {
				switch {
				case f.Rule == "size-reduction": // it speaks of the run downstream
					told[j.id(j.tree.parent[j.tree.index[f.Place]])] = true
				case slices.Contains(drainSizeRules[:], f.Rule):
					told[f.Place] = true
				}
			})
		}
		if !told[j.id(i)] {
			j.sizeAtLeast("drain-size", j.id(i), s.size[i], s.required[i], s.cite[i],
				"the drain ("+s.decided[i].String()+")", j.text("Lay %v.", nominal(s.required[i])))
		}
	}
}

// drainSizeRules are the rules that speak of a run that is too small.
var drainSizeRules = [...]string{
	"drain-load", "stack-interval-load", "drain-closets", "fixture-drain-size", "below-ground-size",
	"main-drain-undiminished",
	"wet-vent-load", "common-vent-load", "stack-length",
}

// reduction looks for pipe that grows smaller downstream.
func (j *judge) reduction(i int32, pt *Point) {
	s := j.sizing
	p := j.tree.parent[i]
	down, next := s.size[i], s.size[p]
	if next == 0 || down <= next {
		return
	}
	out := s.closetBendOutlet(s.size[i])
	_, bendCite, _ := j.code.RuleLength("closet-bend-outlet")
	if pt.Run.ClosetBend && out < down && next >= out {
		if !j.skips(bendCite) {
			j.add(tables.Finding{Rule: "size-reduction", Place: pt.ID, Verdict: tables.Pass, Value: next, Limit: out,
				Margin: next - out, Citation: bendCite,
				Reason: j.text("the closet bend shrinks from %v to %v, which is no reduction", nominal(down),
					nominal(next))})
		}
		return
	}
	r, _ := j.code.Rule("size-reduction")
	f := tables.Finding{Rule: "size-reduction", Place: pt.ID, Verdict: tables.Fail, Value: next, Limit: down,
		Margin: next - down, Citation: r.Cite,
		Reason: j.text("the drain shrinks from %v to %v at %s, downstream of %s", nominal(down), nominal(next), j.id(p),
			pt.ID),
		Fix: j.text("Lay %v from there on.", nominal(down))}
	if int(p) < j.tree.outlets {
		f.Rule, f.Place = "outlet-size", j.id(p)
	}
	if out < down && j.onlyCloset(i, pt) {
		f.Citation = bendCite
		f.Reason += "; it serves a closet alone but is not marked as a closet bend"
		f.Fix = "If it is the closet bend, mark it so; else " + lowerFirst(f.Fix)
	}
	named(&f, next, down)
	j.add(f)
}

// onlyCloset tells whether a run carries the closet at its upper end and nothing else.
func (j *judge) onlyCloset(i int32, pt *Point) bool {
	return j.tree.first[i] < 0 && pt.Fixture != nil && pt.Fixture.Kind == "water-closet"
}

func lowerFirst(s string) string {
	return string(s[0]|0x20) + s[1:]
}

// gradeByName asks about a run too flat for its size that is nearly the next one of the
// table, and has another limit there, such as 75 mm beside 3 in: the two may be names of one.
func (j *judge) gradeByName(i int32, pt *Point, limit dwv.GradeLimit) bool {
	size, part := j.sizing.size[i], j.sizing.part[i]
	next, err := j.code.MinGrade(part, size+size/16)
	if err != nil || next.Least == limit.Least {
		return false
	}
	if ok, _ := j.code.GradeReaches(pt.Run.Grade, limit.Least); ok {
		return false
	}
	j.Ask("drain-grade", pt.ID, tables.Designer,
		j.text("the run of %v falls %v, and must fall at least %v, or %v if that size is a name of the next of the "+
			"table",
			nominal(size), pt.Run.Grade, limit.Least, next.Least),
		"If they are one size, write it as the code does.", next.Citation)
	return true
}

// grade sets the grade of a horizontal run against the least one.
func (j *judge) grade(i int32, pt *Point, greasy bool) {
	if pt.Run.Vertical {
		return
	}
	g := pt.Run.Grade
	if limit, err := j.code.MinGrade(j.sizing.part[i], j.sizing.size[i]); err != nil {
		j.Ask("drain-grade", pt.ID, tables.Authority, j.text("the run falls %v, and %v", g, err),
			"Ask the authority for the least grade.", tables.Citation{})
	} else if !j.gradeByName(i, pt, limit) {
		j.leastGrade("drain-grade", pt.ID, g, limit)
	}
	if greasy {
		if least, cite, err := j.code.RuleGrade("grease-interceptor-min-grade"); err == nil {
			j.leastGrade("interceptor-grade", pt.ID, g, dwv.GradeLimit{Least: least, Citation: cite})
		}
	}
}

// gradeShort tells whether the grade of a run is less than the code's least for its
// size, or cannot be judged; drain-grade says so.
func (j *judge) gradeShort(i int32) bool {
	limit, err := j.code.MinGrade(j.sizing.part[i], j.sizing.size[i])
	if err != nil {
		return true
	}
	ok, _ := j.code.GradeReaches(j.tree.point(i).Run.Grade, limit.Least)
	return !ok
}

// leastGrade compares a grade with a limit. A grade that a code prints as equal to
// the limit counts as it and says so; 2 % under 1/4 in per ft, where the code
// prints no such pair, is a question with the shortfall shown.
func (j *judge) leastGrade(rule, place string, g slope.Grade, limit dwv.GradeLimit) {
	ok, nominal := j.code.GradeReaches(g, limit.Least)
	cite := limit.Citation
	if ok {
		cite = weakestOf(limit.Citation, nominal)
		if j.skips(cite) {
			return
		}
	}
	margin, err := g.Sub(limit.Least)
	if ok && nominal.IsZero() && margin.Compare(slope.Grade{}) < 0 {
		margin = slope.Grade{} // rounding, see reaches
	}
	if ok && err == nil && nominal.IsZero() && j.brief(cite) {
		passed(j.opt.Tally, rule, place, g, limit.Least, margin, margin.Float(), cite)
		return
	}
	f := tables.Finding{Rule: rule, Place: place, Verdict: tables.Pass, Value: g, Limit: limit.Least, Citation: cite}
	// What passes for equal has nothing left, and a row that is not firm makes it a question.
	if err == nil && (!ok || nominal.IsZero() || !cite.Status().Firm()) {
		f.Margin = margin
	}
	short := 100 * (1 - g.Float()/limit.Least.Float())
	switch {
	case ok && !nominal.IsZero():
		f.Reason = j.text("the run falls %v, which the code prints as equal to %v; by arithmetic it is %.3g %% less", g,
			limit.Least, short)
	case ok:
		f.Reason = j.text("the run falls %v, and must fall at least %v", g, limit.Least)
	case !limit.WithApproval.IsLevel() && g.Compare(limit.WithApproval) >= 0:
		f.Verdict, f.SettledBy = tables.Ask, tables.Authority
		f.Reason = j.text("the run falls %v, less than %v; the authority may approve down to %v where the steeper "+
			"grade is impractical", g, limit.Least, limit.WithApproval)
		f.Fix = "Get the approval, or lay it steeper."
	case short <= nominalShortfall:
		f.Verdict, f.SettledBy = tables.Ask, tables.Authority
		f.Reason = j.text("the run falls %v, %.3g %% less than %v; many take the two as one, but this code does not "+
			"print them so", g, short, limit.Least)
		f.Fix = "Ask whether the authority takes the two as equal, or lay it at the full grade."
	default:
		f.Verdict = tables.Fail
		f.Reason = j.text("the run falls %v, %.3g %% less than %v", g, short, limit.Least)
		f.Fix = j.text("Lay it at %v.", limit.Least)
	}
	j.add(f)
}

// nominalShortfall is how many percent under a limit a grade may lie and still be
// asked about rather than failed: 2 % is 4 percent under 1/4 in per ft, 1 % under 1/8.
const nominalShortfall = 4.001

// aboveGrease tells which runs lie upstream of a grease interceptor.
func (j *judge) aboveGrease() []bool {
	t := j.tree
	above := j.work.flag(0, j.system)
	for _, i := range slices.Backward(j.order) {
		p := t.parent[i]
		pt := t.point(p)
		above[i] = above[p] || pt != nil && pt.holdsGrease()
	}
	return above
}

// outlet judges where a system ends.
func (j *judge) outlet(s int32) {
	var largest units.Length
	for k := j.tree.first[s]; k >= 0; k = j.tree.next[k] {
		largest = max(largest, j.sizing.size[k])
	}
	o := &j.layout.Systems[s].Outlet
	if largest == 0 || o.Size < largest || j.opt.ProblemsOnly {
		return // a shrinking drain is reported with the run that does
	}
	j.add(tables.Finding{Rule: "outlet-size", Place: o.ID, Verdict: tables.Pass, Value: o.Size, Limit: largest,
		Margin: o.Size - largest,
		Reason: j.text("the outlet of %v takes the drain of %v", nominal(o.Size), nominal(largest))})
}

// mainDrains looks whether the drain keeps its full size up to each main cleanout.
func (j *judge) mainDrains() {
	t, s := j.tree, j.sizing
	held := j.work.flag(0, j.system)
	t.belowMain(j.system, held)
	narrow := j.work.flag(1, j.system) // somewhere from here to the outlet
	full := s.fullSize(j.system)
	for _, i := range slices.Backward(j.order) {
		narrow[i] = narrow[t.parent[i]] || s.size[i] < full
		if held[i] && s.size[i] < full {
			f := tables.Finding{Rule: "main-drain-undiminished", Place: j.id(i), Verdict: tables.Fail, Value: s.size[i],
				Limit: full, Margin: s.size[i] - full,
				Reason: j.text("the drain is %v here, on the way from a main cleanout to the outlet, where it is %v",
					nominal(s.size[i]), nominal(full)),
				Fix: j.text("Keep %v up to the main cleanout.", nominal(full))}
			named(&f, s.size[i], full)
			j.add(f)
		}
		if o := t.point(i).Cleanout; o != nil && o.Main && !narrow[i] && !j.opt.ProblemsOnly {
			j.add(tables.Finding{Rule: "main-drain-undiminished", Place: j.id(i), Verdict: tables.Pass,
				Value: s.size[i], Limit: full, Margin: s.size[i] - full,
				Reason: j.text("the drain keeps %v from the outlet up to this main cleanout", nominal(full))})
		}
	}
	if sys := &j.layout.Systems[j.system]; !held[j.system] && sys.Outlet.Kind == ToSewer {
		j.Ask("cleanout-main", sys.ID, tables.Designer, "no cleanout of this system is marked as its main one",
			"Mark the main cleanout: up to it the drain keeps its full size.", tables.Citation{})
	}
}

// gravity asks whether every drain fits below the slab, and how deep the outlet
// would have to be.
func (j *judge) gravity() {
	j.spare(&j.layout.Systems[j.system])
	lifted := liftedJoins{most: j.widest() / 2}
	for i := j.lo; i < j.hi; i++ {
		if j.sizing.above[i] || j.levels.outside(i) {
			continue
		}
		if !j.coverByJoin(i, &lifted) {
			j.cover(i)
		}
		j.join(i)
	}
}

// spare says how deep the drains of the system lie.
func (j *judge) spare(sys *System) {
	spare, at, ok := j.levels.spare(j.system)
	if !ok || spare >= 0 && j.opt.ProblemsOnly {
		return
	}
	f := tables.Finding{Rule: "gravity-depth", Place: sys.ID, Verdict: tables.Pass, Value: spare, Margin: spare}
	if spare < 0 {
		f.Verdict = tables.Fail
		f.Reason = j.text("the outlet is %v too high: at %s the drain would come that much too near the slab", -spare,
			at)
		f.Fix = j.text("Lower the outlet by %v, shorten or flatten the way to %s within the code, or ask the "+
			"designer whether an ejector is needed. A backwater valve helps against the sewer, not against lack of "+
			"fall.", -spare, at)
	} else {
		f.Reason = j.text("%v of depth are left at %s, the highest drain under the slab", spare, at)
	}
	j.add(f)
}

// cover judges one run below the floor.
func (j *judge) cover(i int32) {
	v := j.levels.clearance(i)
	if least, cite, ok := j.length("slab-overlay"); ok && least >= j.layout.MinimumCover {
		j.atLeast("drain-cover", j.id(i), v+j.layout.MinimumCover, least, cite,
			"the overlay from the top of the pipe to the underside of the slab",
			"Lay it deeper, or ask the designer about the slab there.")
		return
	}
	switch least := j.layout.MinimumCover; {
	case v < 0:
	case j.quiet(v, tables.Citation{}):
		return
	case j.brief(tables.Citation{}):
		passed(j.opt.Tally, "drain-cover", j.id(i), v+least, least, v, float64(v), tables.Citation{})
		return
	default:
		j.add(tables.Finding{Rule: "drain-cover", Place: j.id(i), Verdict: tables.Pass, Value: v + least, Limit: least,
			Margin: v,
			Reason: j.text("the top of the pipe keeps %v to the underside of the slab", v+least)})
		return
	}
	f := tables.Finding{Rule: "drain-cover", Place: j.id(i), Verdict: tables.Fail, Value: v + j.layout.MinimumCover,
		Limit: j.layout.MinimumCover, Margin: v,
		Reason: j.text("the top of the pipe comes %v too near the underside of the slab", -v),
		Fix:    "Lay it deeper, or thicken the slab around it with the designer's consent."}
	switch into := -(v + j.layout.MinimumCover); {
	case into > j.layout.Slab:
		f.Reason = j.text("the top of the pipe stands %v above the floor", into-j.layout.Slab)
		f.Fix = "Lay it deeper."
	case into > 0:
		f.Reason = j.text("the top of the pipe stands %v into the slab", into)
	}
	j.add(f)
}

// join looks whether a smaller branch lies low enough in the pipe it joins to be
// flooded by it, and whether a larger one lies so deep that it does not empty.
func (j *judge) join(i int32) {
	p := j.tree.parent[i]
	run := &j.tree.point(i).Run
	next := j.tree.point(p)
	if run.Vertical || next != nil && next.Run.Vertical || j.sizing.size[i] == j.sizing.size[p] {
		return
	}
	if j.sizing.size[i] > j.sizing.size[p] {
		j.joinBelow(i, p)
		return
	}
	crown, main := j.levels.lower[i]+j.sizing.bore(i), j.levels.upper[p]+j.sizing.bore(p)
	if crown >= main-(j.sizing.bore(p)-j.sizing.bore(i))/2 {
		return
	}
	switch {
	case j.opt.ProblemsOnly:
	case j.opt.Tally != nil:
		j.Tally().Count("join-level", j.id(i), tables.Citation{})
	default:
		j.add(tables.Finding{Rule: "join-level", Place: j.id(i), Verdict: tables.Pass, Value: main - crown,
			Reason: j.text("the %v pipe joins the %v one with its crown %v below the other's, so it lies in its "+
				"flow; joined at the springline or the crown it would stay clear", nominal(j.sizing.size[i]),
				nominal(j.sizing.size[p]), main-crown)})
	}
}

// apart judges whether a fixture may drain into its system.
func (j *judge) apart(i int32, pt *Point) {
	if pt.Fixture == nil {
		return
	}
	sys := &j.layout.Systems[j.tree.system[i]]
	kind := pt.Fixture.Kind
	why := ""
	switch {
	case slices.Contains(sys.Refuses, kind):
		why = j.text("system %q refuses what a fixture of kind %s drains", sys.ID, kind)
	case pt.Carries != "" && slices.Contains(sys.Refuses, pt.Carries):
		why = j.text("system %q refuses %s, which this fixture (%s) drains", sys.ID, pt.Carries, kind)
	case len(sys.Admits) > 0 && !slices.Contains(sys.Admits, kind) &&
		(pt.Carries == "" || !slices.Contains(sys.Admits, pt.Carries)):
		why = j.text("system %q does not admit a fixture of kind %s", sys.ID, kind)
	case sys.Kind != Soil && carriesSoil(kind):
		why = j.text("a fixture of kind %s drains human waste, and system %q is %s", kind, sys.ID, sys.Kind)
	}
	switch {
	case why != "":
		j.add(tables.Finding{Rule: "system-apart", Place: pt.ID, Verdict: tables.Fail, Reason: why,
			Fix: "Drain it into another system."})
	case j.opt.ProblemsOnly:
	case j.opt.Tally != nil:
		j.Tally().Count("system-apart", pt.ID, tables.Citation{})
	default:
		j.add(tables.Finding{Rule: "system-apart", Place: pt.ID, Verdict: tables.Pass,
			Reason: j.text("system %q takes a fixture of kind %s", sys.ID, kind)})
	}
}

// apartWords asks about words of the apart rule that are no fixture and that no point
// carries: the rule they stand for holds nothing apart.
func (j *judge) apartWords() {
	var c checker
	j.layout.apartWords(func(s int, field, word string) {
		if c.known(j.code, word) {
			return
		}
		sys := &j.layout.Systems[s]
		j.Ask("system-apart", sys.ID, tables.Designer,
			j.text("system %q %s %q, which is no fixture of the code, and which no point carries: it holds nothing "+
				"apart", sys.ID, field, word),
			"Write the fixture as the code names it, or the word as the points carry it.", tables.Citation{})
	})
}

// carriesSoil tells the fixtures whose waste makes a drain a soil drain.
func carriesSoil(kind string) bool {
	return dwv.ClosetsOf(kind) > 0 || kind == "urinal" || kind == "bidet"
}

// interceptor sets an interceptor against its own sizing inputs.
func (j *judge) interceptor(pt *Point) {
	n := pt.Interceptor
	f := tables.Finding{Rule: "interceptor-capacity", Place: pt.ID, Verdict: tables.Pass}
	switch {
	case n.Inflow == 0:
		f.Verdict, f.SettledBy, f.Reason, f.Fix = tables.Ask, tables.Designer,
			j.text("the flow into this %s interceptor is not given", n.Kind),
			"Ask the designer for the flow it must take."
	case n.Rated > 0 && n.Inflow > n.Rated:
		f.Verdict, f.Value, f.Limit, f.Margin = tables.Fail, n.Inflow, n.Rated,
			tidy(n.Rated-n.Inflow, units.USGallonPerMinute)
		f.Reason, f.Fix = j.text("%v flow into an interceptor made for %v", n.Inflow, n.Rated),
			"Choose a larger interceptor, or hold the flow back."
	case n.Retention > 0 && n.Volume > 0 &&
		tidy(units.Volume(float64(n.Inflow)*float64(n.Retention)), units.USGallon) > tidy(n.Volume, units.USGallon):
		need := tidy(units.Volume(float64(n.Inflow)*float64(n.Retention)), units.USGallon)
		f.Verdict, f.Value, f.Limit, f.Margin = tables.Fail, n.Volume, need, tidy(n.Volume-need, units.USGallon)
		f.Reason, f.Fix = j.text("%v hold the flow of %v for less than %v", n.Volume, n.Inflow, n.Retention),
			"Choose a larger interceptor."
	case n.Rated == 0 && (n.Volume == 0 || n.Retention == 0):
		f.Verdict, f.SettledBy, f.Reason, f.Fix = tables.Ask, tables.Designer,
			j.text("neither a rated flow nor a volume and a time is given for this %s interceptor", n.Kind),
			"Ask the maker."
	default:
		f.Reason = j.text("the %s interceptor takes the flow of %v given for it", n.Kind, n.Inflow)
	}
	if f.Verdict == tables.Pass && j.opt.ProblemsOnly {
		return
	}
	j.add(f)
}

// tidy rounds a quantity to 1e-9 of a unit, so that what was exact before it went
// through floating point is compared and printed so.
func tidy[T ~float64](x, unit T) T {
	return T(math.Round(float64(x/unit)*1e9)/1e9) * unit
}
