package drains

import (
	"errors"
	"fmt"
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

// onCombination tells the fixtures that a combination drain and vent may serve (IPC 915.1,
// from memory: floor drains, sinks, lavatories and drinking fountains).
func onCombination(kind string) bool {
	switch kind {
	case "floor-drain", "emergency-floor-drain", "sink", "kitchen-sink", "bar-sink", "laundry-sink", "lavatory",
		"drinking-fountain":
		return true
	}
	return false
}

// combination judges a trap without a vent of its own that drains into a line vented farther
// up as one of a combination drain and vent, where the code has such; it tells whether it is
// one.
func (j *judge) combination(i int32, pt *Point) bool {
	at := j.routes.lineAt[i]
	if j.routes.line[i] < 0 || at == i || !onCombination(pt.Fixture.Kind) || j.tree.point(at).Run.Vertical {
		return false
	}
	if j.notCombination == nil {
		j.notCombination = j.strangers(onCombination)
	}
	if j.notCombination[at] >= 0 {
		return false
	}
	branch, limit, err := j.code.CombinationVentLimits(j.sizing.size[at])
	switch {
	case errors.Is(err, tables.ErrNotInCode):
		return j.combinationBySize(i, at, pt)
	case err != nil:
		return false
	case j.sizing.part[at] == dwv.Branch:
		limit = branch
	}
	j.combinationLoad(at, pt, limit)
	j.combinationLie(i, at, pt)
	return true
}

// combinationLoad holds the load of the line against the table of combinations.
func (j *judge) combinationLoad(at int32, pt *Point, limit dwv.LoadLimit) {
	load, size := j.sizing.load[at], nominal(j.sizing.size[at])
	f := tables.Finding{Rule: "combination-vent", Place: pt.ID, Verdict: tables.Pass, Value: load,
		Citation: limit.Citation,
		Reason: j.text("the trap has no vent of its own; the line at %s, vented farther up, serves it as a "+
			"combination drain and vent: %v on %v", j.id(at), load, size)}
	if most, ok := limit.Max.Get(); ok {
		f.Limit, f.Margin = most, most-load
		f.Reason += j.text(", which may carry %v", most)
	}
	if !limit.Holds(load) {
		f.Verdict, f.Fix = tables.Fail, j.text("Enlarge the line from %s down, or vent the trap on its own.", j.id(at))
	}
	j.add(f)
}

// combinationLie judges how the line lies and how far the drain of the fixture drops into it.
func (j *judge) combinationLie(i, at int32, pt *Point) {
	run := &j.tree.point(at).Run
	if most, cite, err := j.code.RuleGrade("combination-vent-max-grade"); err == nil && run.Grade.Compare(most) > 0 {
		j.add(tables.Finding{Rule: "combination-vent", Place: pt.ID, Side: "grade", Verdict: tables.Fail,
			Value: run.Grade, Limit: most, Citation: cite,
			Reason: j.text("the combination drain and vent at %s falls %v, and may fall %v", j.id(at), run.Grade, most),
			Fix:    "Lay it flatter, or vent the trap on its own."})
	}
	most, cite, ok := j.length("combination-vent-max-drop")
	if !ok {
		return
	}
	drop := units.Length(0)
	for n := i; n != at; n = j.tree.parent[n] {
		if r := &j.tree.point(n).Run; r.Vertical {
			drop += r.Length
		} else {
			drop += r.Drop
		}
	}
	if drop > most {
		j.add(tables.Finding{Rule: "combination-vent", Place: pt.ID, Side: "drop", Verdict: tables.Fail, Value: drop,
			Limit: most, Margin: most - drop, Citation: cite,
			Reason: j.text("the drain of this fixture drops %v into the combination drain and vent at %s, and may "+
				"drop %v", drop, j.id(at), most), Fix: "Raise the line, or vent the trap on its own."})
	}
}

// combinationBySize asks about a combination under a code that has no table of loads, but
// pipe so many sizes larger than the trap and the authority's leave: what is drawn smaller is
// none.
func (j *judge) combinationBySize(i, at int32, pt *Point) bool {
	over, cite, ok := j.number("combination-oversize", "pipe sizes")
	if !ok {
		return false
	}
	trap, _ := j.trapSize(i)
	least := trap
	for range int(over) {
		least = j.code.MadeSize(least, true)
	}
	if least == 0 || min(j.sizing.size[i], j.sizing.size[at]) < least {
		return false
	}
	j.Ask("combination-vent", pt.ID, tables.Authority,
		j.text("the trap has no vent of its own; the line at %s, vented farther up, might serve it as a combination "+
			"waste and vent: its drain and the line are %d sizes over a trap of %v", j.id(at), int(over),
			nominal(trap)),
		"Have the authority approve it, or vent the trap on its own.", cite)
	return true
}

// washerBatteries asks, where clothes washers enough for a battery drain through one run, for
// the load that some codes then count for each of them. What makes a group of washers a
// battery the layout does not say, and several dwellings on one drain are none.
func (j *judge) washerBatteries() {
	least, cite, ok := j.number("washer-battery-count", "count")
	rule, has := j.code.Rule("washer-battery-load")
	if !ok || !has {
		return
	}
	each, err := dwv.ParseFixtureUnits(rule.String())
	if err != nil {
		return
	}
	washers, battery := j.work.node(0, j.system), j.work.flag(0, j.system)
	load := make(map[int32]dwv.FixtureUnits) // of the washers, as counted singly
	for _, i := range j.order {
		if n := washersAt(j.tree.point(i)); n > 0 {
			washers[i] += int32(n)
			load[i] += j.sizing.ownLoad(i)
		}
		p := j.tree.parent[i]
		if washers[i] >= int32(least) {
			if !battery[i] {
				j.washerBattery(i, int(washers[i]), load[i], each, weakestOf(cite, rule.Cite))
			}
			battery[p] = true
			continue
		}
		if washers[i] > 0 {
			washers[p] += washers[i]
			load[p] += load[i]
		}
	}
}

// washerBattery asks about the washers that drain through the run of a node.
func (j *judge) washerBattery(i int32, n int, single, each dwv.FixtureUnits, cite tables.Citation) {
	more := dwv.FixtureUnits(n)*each - single
	if more <= 0 {
		return
	}
	as := ""
	r, err := j.code.DrainSize(dwv.DrainQuery{Part: j.sizing.part[i], Load: j.sizing.load[i] + more,
		Grade:   j.tree.point(i).Run.Grade,
		Closets: int(j.sizing.closets[i]), Intervals: int(j.sizing.intervals[i]), MinSize: j.sizing.required[i]})
	if err == nil {
		as = j.text(" and asks for %v in place of %v", nominal(r.Size), nominal(j.sizing.required[i]))
	}
	j.Ask("washer-battery", j.id(i), tables.Book,
		j.text("%d clothes washers drain through %s: as a battery (three or more in a group) they count %v each on "+
			"the drain that they share, so that it carries %v in place of %v%s", n, j.id(i), each,
			j.sizing.load[i]+more, j.sizing.load[i], as),
		"If they stand as one group, lay this run and those downstream for the higher load.", cite)
}

// washersAt counts the clothes washers that drain in at a point, of which a standpipe that
// names none takes one.
func washersAt(pt *Point) (n int) {
	f := pt.Fixture
	if f == nil {
		return 0
	}
	if pt.Receptor != nil {
		for k := range pt.Receptor.Indirect {
			if in := &pt.Receptor.Indirect[k]; in.Kind == "clothes-washer" {
				n += in.Count
			}
		}
	}
	if n == 0 && (f.Kind == "clothes-washer" || f.Kind == "standpipe") {
		n = f.Count
	}
	return n
}

// stackLengths judges how long each vertical drain is, where the code limits it by
// its size. Vertical runs of one size that follow each other are one drain; where
// two come together the longer one counts.
func (j *judge) stackLengths() {
	if _, _, err := j.code.StackLength(units.Inch); errors.Is(err, dwv.ErrNotInCode) {
		return // whatever the size
	}
	t, size := j.tree, j.sizing.size
	length := j.work.length(0, j.system)
	for _, i := range j.order {
		run := &t.point(i).Run
		if !run.Vertical {
			continue
		}
		length[i] += run.Length
		p := t.parent[i]
		if next := t.point(p); next != nil && next.Run.Vertical && size[p] == size[i] {
			length[p] = max(length[p], length[i])
			continue
		}
		j.stackLength(i, length[i])
	}
}

// stackLength judges one vertical drain by its lowest run.
func (j *judge) stackLength(i int32, length units.Length) {
	size := j.sizing.size[i]
	most, cite, err := j.code.StackLength(size)
	switch {
	case err != nil:
		j.Ask("stack-length", j.id(i), tables.Authority, j.text("the vertical drain is %v long, and %v", length, err),
			"Ask the authority how long it may be.", tables.Citation{})
	case most.Kind == tables.NotPermitted:
		j.add(tables.Finding{Rule: "stack-length", Place: j.id(i), Verdict: tables.Fail, Value: length,
			Reason: j.text("%v pipe may not stand as a drain", nominal(size)), Fix: "Enlarge it.", Citation: cite})
	case most.Kind != tables.Value || j.quiet(most.Value-length, cite):
	default:
		j.atMost("stack-length", j.id(i), length, most.Value, cite, j.text("the vertical drain of %v", nominal(size)),
			"Enlarge it: the next size may be longer.")
	}
}

// bathrooms says which fixtures on a wet vent count as one bathroom group.
func (j *judge) bathrooms() {
	for v := range int32(len(j.layout.Vents)) {
		g, ok := j.sizing.bathGroups[v]
		if !ok || !g.load.Citation.Status().Firm() || j.skips(g.load.Citation) {
			continue
		}
		var names someRuns
		for _, i := range g.points {
			names.add(j.id(i))
		}
		j.add(tables.Finding{Rule: "bathroom-group", Place: j.layout.Vents[v].ID, Verdict: tables.Pass,
			Value: g.load.Units, Citation: g.load.Citation,
			Reason: j.text("%v count as one bathroom group from %s down: %v, and %v one by one", &names, j.id(g.merge),
				g.load.Units, g.singly)})
	}
}
