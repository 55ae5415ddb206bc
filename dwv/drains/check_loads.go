package drains

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// drains judges loads, sizes, grades and levels run by run.
func (j *judge) drains() {
	greasy := j.aboveGrease()
	for i, pt := range j.points() {
		j.load(i, pt)
		j.intervalLoad(i, pt)
		j.closets(i, pt)
		j.smallStack(i, pt)
		j.leastSize(i, pt)
		j.reduction(i, pt)
		j.grade(i, pt, greasy[i])
		j.apart(i, pt)
		j.onPlan(i, pt)
		if pt.Interceptor != nil {
			j.interceptor(i, pt)
		}
	}
	j.outlet(j.system)
	j.mainDrains()
	j.gravity()
	j.storm()
}

// storm says that the tables of fixture units size no drain of storm water: no run of it passes
// by its load.
func (j *judge) storm() {
	if !j.isStorm() {
		return
	}
	sys := j.layout.Systems[j.system].ID
	j.Ask("drain-load", sys, tables.Authority, "System "+sys+" carries storm water: its drains go by roof area and "+
		"rainfall, which the tables of fixture units do not know; its sizes are not judged by load.",
		"Size it by the code's tables for storm drains.")
}

func (j *judge) isStorm() bool { return j.layout.Systems[j.system].Kind == Storm }

// smallStack keeps sinks, urinals and dishwashers of more than a figure of the code off an
// upright drain of 1-1/2 in.
func (j *judge) smallStack(i int32, pt *Point) {
	const small = 3 * units.Inch / 2
	if !pt.Run.Vertical || j.sizing.size[i] != small {
		return
	}
	most, cite, ok := j.units("small-stack-sink-load")
	if !ok {
		return
	}
	for k := i; k >= 0; k = j.smallAbove(i, k) {
		f, r := j.tree.point(k).Fixture, j.sizing.fixture[k]
		if f == nil || r < 0 || j.sizing.rated[r].Each <= most ||
			!strings.Contains(f.Kind, "sink") && !fixture.IsUrinal(f.Kind) && !strings.HasPrefix(f.Kind, "dishwasher") {
			continue
		}
		finding.AtMost(j.Judge, sided("small-stack-load", pt.ID, j.id(k), cite),
			j.sizing.rated[r].Each, most, finding.Say(j.Text("The load of the %s %s on the upright drain of %v",
				spaced(f.Kind), j.id(k), nominal(small)), "too much",
				j.Text("Lay the upright drain in %v.", nominal(j.code.MadeSize(small, true)))))
	}
}

// smallAbove walks what drains straight into a riser: the riser itself, then the runs that
// join it; -1 ends it.
func (j *judge) smallAbove(riser, at int32) int32 {
	if at == riser {
		return j.tree.first[riser]
	}
	return j.tree.next[at]
}

// load sets the load of a run against what the size laid may carry.
func (j *judge) load(i int32, pt *Point) {
	s := j.sizing
	from := s.shortAt(i)
	if from == i {
		j.wait(i, 0, "")
	}
	if j.isStorm() {
		return
	}
	if s.arm[i] {
		j.armLoad(i, pt)
		return
	}
	k, short, err := j.capacity(i)
	load := s.load[i]
	switch {
	case errors.Is(err, tables.ErrOutsideTable) && j.underTables(i, pt):
	case err != nil:
		on, fix := j.Text("on %v and cannot be judged", nominal(s.size[i])),
			"Choose a size and grade the code has, or ask the authority."
		if s.size[i] == 0 {
			on = "and cannot be sized"
		}
		if errors.Is(err, tables.ErrNotOnShelf) {
			fix = "Look up in the code what it may carry, or ask the authority."
		}
		j.Ask("drain-load", pt.ID, tables.Authority,
			j.Text("The run at %s carries %v %s: %s.", pt.ID, load, on, lacks(err, "loads of a "+s.part[i].String())), fix)
	case short && from < 0 && k.Holds(load) && j.gradeShort(i):
		// the fault is the grade, and drain-grade tells it
	case !k.Permitted && j.smallBranch(i, pt):
	case !k.Permitted || short && k.Holds(load) && !j.gradeShort(i):
		j.Add(tables.Finding{Rule: "drain-load", Place: pt.ID, Verdict: tables.Fail, Value: load,
			Reason: j.Text("The run at %s is %v pipe at %v: that size may not be laid at that grade at all.", pt.ID,
				nominal(s.size[i]), pt.Run.Grade),
			Fix: "Lay it steeper, or larger.", Citation: k.Citation})
	default:
		j.loadOn(i, pt, *k)
	}
}

// smallBranch judges a branch of the building drain of 1-1/2 in by how many fixtures it takes,
// where the code's table has no load for it and a note lets it take so many.
func (j *judge) smallBranch(i int32, pt *Point) bool {
	n, most, cite, ok := j.sizing.smallBranch(i)
	if ok {
		j.counts(on("drain-load", pt.ID, cite), n, most, func() finding.Words {
			what := "waste fixtures"
			if n == 1 {
				what = "waste fixture"
			}
			return finding.Words{What: j.Text("%s on the %v branch from %s", what, nominal(j.sizing.size[i]), pt.ID),
				Fix: "Lay 2 in."}
		})
	}
	return ok
}

// underTables fails a run that is smaller than the least size of each of the code's tables of
// drains, branches and stacks: none lets it carry anything. It returns false for others, and
// where the code's loads of branches, which come in the smallest pipe, are not on the shelf.
func (j *judge) underTables(i int32, pt *Point) bool {
	q := dwv.DrainQuery{Part: dwv.Branch, Grade: pt.Run.Grade, Intervals: int(j.sizing.intervals[i])}
	least, err := j.code.DrainSize(q)
	if err != nil {
		return false
	}
	for _, q.Part = range [...]dwv.Part{j.sizing.part[i], dwv.Drain, dwv.Stack} {
		if r, err := j.code.DrainSize(q); err == nil && r.Size < least.Size {
			least = r
		}
	}
	if least.Size <= j.sizing.size[i] {
		return false
	}
	j.sizeAtLeast(on("drain-load", pt.ID, least.Capacity), j.sizing.size[i], least.Size,
		finding.Say("The pipe, by the least size for which the code has a load,", "", ""))
	return true
}

// loadOn sets the load of a run against a capacity; where what stands upstream is not
// counted, that it holds is a question.
func (j *judge) loadOn(i int32, pt *Point, k dwv.Capacity) {
	s := j.sizing
	load, from := s.load[i], s.shortAt(i)
	cite, taken := weakestOf(k.Citation, k.Factor), k.Grade
	if !k.Nominal.IsZero() {
		k, cite = j.nominalLoad(i, pt, k)
	}
	words := func() finding.Words {
		at := ""
		switch {
		case !k.Nominal.IsZero():
			at = j.Text(" at %v, taken as %v,", pt.Run.Grade, taken)
		case !k.Grade.IsLevel():
			at = j.Text(" at %v", k.Grade)
		}
		w := finding.Words{What: j.Text("The load of the %v %v%s", nominal(s.size[i]), s.part[i], at),
			Off: "too much", Fix: j.largerOrSteeper(i)}
		if load < k.Min {
			w.Reason = j.Text("%s at %s is %v, less than the %v from which the code lets that size be laid so.", w.What,
				pt.ID, load, k.Min)
		}
		return w
	}
	switch holds := k.Holds(load); {
	case !holds && load > k.Max && j.bathroomsTold(i, pt, k, cite):
	case from < 0 || !holds:
		finding.Compare(j.Judge, on("drain-load", pt.ID, cite), finding.Compared[dwv.FixtureUnits]{Value: load,
			Limit: k.Max, Margin: k.Max - load, Passes: holds, Left: float64(k.Max - load), Called: "limit"}, words)
	case from != i:
		j.wait(from, 0, pt.ID)
	}
	j.bathroomsAssumed(i, pt)
}

// asGroups returns what a run would carry with the fixtures of bathrooms, each with a vent of
// its own, counted as groups.
func (j *judge) asGroups(i int32) dwv.FixtureUnits {
	s := j.sizing
	if s.closets[i] == 0 {
		return s.load[i]
	}
	if j.ungrouped == nil || j.ungroupedOf != j.system {
		j.ungrouped, j.ungroupedCite = s.ungrouped(j.system)
		j.ungroupedOf = j.system
	}
	return s.load[i] - j.ungrouped[i]
}

// bathroomsTold asks, where a run carries too much, whether bathrooms whose fixtures have vents
// of their own count as groups, if the run then carries no more than it may.
func (j *judge) bathroomsTold(i int32, pt *Point, k dwv.Capacity, cite tables.Citation) bool {
	s := j.sizing
	load, less := s.load[i], j.asGroups(i)
	if less == load || !k.Holds(less) {
		return false
	}
	j.Add(tables.Finding{Rule: "drain-load", Place: pt.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
		Value: load, Limit: k.Max, Margin: k.Max - load, Citation: weakestOf(cite, j.ungroupedCite),
		Reason: j.Text("The load of the %v %v at %s is %v with the fixtures of bathrooms one by one; limit %v. As bathroom "+
			"groups they make it %v, which it takes.", nominal(s.size[i]), s.part[i], pt.ID, load, k.Max, less),
		Fix: "Draw what is a bathroom as one bathroom group. Otherwise: " + j.largerOrSteeper(i)})
	return true
}

// bathroomsAssumed says where a size that is not drawn rests on bathrooms counted one by one.
func (j *judge) bathroomsAssumed(i int32, pt *Point) {
	s := j.sizing
	if pt.Run.Size > 0 || s.decided[i] != DecidedByLoad || s.closets[i] == 0 {
		return
	}
	less := j.asGroups(i)
	if less == s.load[i] {
		return
	}
	if f, ok, _ := s.code.NearestDrainSize(s.query(i, less)); ok && f.Size < s.required[i] {
		j.Assume("bathroom-group", pt.ID, j.Text("the fixtures of bathrooms count one by one, %v; as bathroom groups "+
			"they make %v, and %v would do", s.load[i], less, nominal(f.Size)), "fixture: bathroom-group")
	}
}

// wait notes that the load of a drain (0) or the size of a vent (1) waits for what is not
// counted at a node; no id: that there is such a node.
func (j *judge) wait(from int32, what int, id string) {
	if j.waiting == nil {
		j.waiting = map[int32]*[2][]string{}
	}
	w := j.waiting[from]
	if w == nil {
		w = new([2][]string)
		j.waiting[from] = w
	}
	if id != "" {
		w[what] = append(w[what], id)
	}
}

// askUncounted asks about what is not counted, once for all that is so for one reason, and
// says what waits for it.
func (j *judge) askUncounted() {
	type cause struct {
		at    []int32
		waits [2][]string
	}
	causes := map[string]*cause{}
	for _, i := range slices.Sorted(maps.Keys(j.waiting)) {
		why := j.sizing.notCounted(i) + "\x00" + lacks(j.sizing.unrated[i], "load for it")
		if j.sizing.partly(i) {
			why += "\x00"
		}
		c := causes[why]
		if c == nil {
			c = &cause{}
			causes[why] = c
		}
		c.at = append(c.at, i)
		for k := range c.waits {
			c.waits[k] = append(c.waits[k], j.waiting[i][k]...)
		}
	}
	for _, why := range slices.Sorted(maps.Keys(causes)) {
		c := causes[why]
		var at []string
		for _, i := range c.at {
			at = append(at, j.id(i))
		}
		what, lack, _ := strings.Cut(strings.TrimSuffix(why, "\x00"), "\x00")
		reason := j.Text("Nothing is counted for the %s at %s: %s.", what, idList(at), lack)
		if j.sizing.partly(c.at[0]) {
			reason = j.Text("Only a part is counted of the %s at %s and what drains into it: %s.", what, idList(at), lack)
		}
		switch drains, vents := idList(c.waits[0]), idList(c.waits[1]); {
		case drains != "" && vents != "":
			reason += j.Text(" What the drains at %s carry and the size of vents %s wait for it.", drains, vents)
		case drains != "":
			reason += j.Text(" What the drains at %s carry waits for it.", drains)
		case vents != "":
			reason += j.Text(" The size of vents %s waits for it.", vents)
		}
		slices.Sort(at)
		if j.sameWhichever(c.at) {
			j.Assume("drain-load", at[0], j.Text("no load of the %s at %s (%s), which the loads printed leave out; whichever "+
				"it is, no size and no verdict changes", what, idList(at), lack), "use, control or flush of the fixture")
			continue
		}
		j.Ask("drain-load", at[0], tables.Designer, reason,
			"State what the code asks for, or ask the authority what it counts.")
	}
}

// sameWhichever tells whether all comes out as it is, questions included, whatever the fixtures
// at some nodes turn out to be of what the code tells apart: it is tried with the least load that
// they can have, and with the greatest.
func (j *judge) sameWhichever(at []int32) bool {
	s := j.sizing
	if j.opt.plain {
		return false
	}
	kinds := make([][2]tables.Fixture, len(at)) // the least and the greatest
	for n, i := range at {
		var ok bool
		if kinds[n][0], kinds[n][1], ok = s.whichever(i); !ok {
			return false
		}
	}
	least, most := s.of.Data(), s.of.Data()
	for n, i := range at {
		sys := s.tree.system[i]
		lo, _ := s.tree.span(sys)
		least.Systems[sys].Points[i-lo].Fixture = &kinds[n][0]
		most.Systems[sys].Points[i-lo].Fixture = &kinds[n][1]
	}
	is := s.outcome(j.ctx)
	for _, d := range [...]Data{least, most} {
		l, err := New(d)
		if err != nil {
			return false
		}
		if other, err := s.again(j.ctx, l); err != nil || other.outcome(j.ctx) != is {
			return false
		}
	}
	return true
}

// whichever returns what a fixture can be, of the least load and of the greatest, if all that
// the code lacks of it is its use, its control or its flush. Of a fixture with a steady flow it may be
// the flow.
func (s *Sizing) whichever(i int32) (least, most tables.Fixture, ok bool) {
	pt := s.tree.point(i)
	f := pt.Fixture
	if pt.Continuous > 0 || s.partly(i) {
		return least, most, false
	}
	var low, high dwv.FixtureUnits
	uses, controls := []tables.Use{f.Use}, []tables.Control{f.Control}
	if f.Use == tables.UseNotStated {
		uses = []tables.Use{tables.Private, tables.Public, tables.Assembly}
	}
	if f.Control == tables.ControlNotStated {
		controls = []tables.Control{f.Control, tables.Tank, tables.Valve, tables.PressureTank}
	}
	flushes := []units.Volume{f.Flush}
	if f.Flush == 0 {
		flushes = []units.Volume{0, units.USGallon / 4, 10 * units.USGallon}
	}
	for _, use := range uses {
		for _, control := range controls {
			for _, flush := range flushes {
				x := *f
				x.Use, x.Control, x.Flush = use, control, flush
				load, err := s.code.FixtureLoad(x)
				if err != nil {
					continue
				}
				if !ok || load.Each < low {
					low, least = load.Each, x
				}
				if !ok || load.Each > high {
					high, most = load.Each, x
				}
				ok = true
			}
		}
	}
	return least, most, ok
}

// outcome is what a layout comes to, in one text: its sizes, and what it is faulted for and
// asked, but for what is not counted.
func (s *Sizing) outcome(ctx context.Context) string {
	var b strings.Builder
	found, err := s.CheckContext(ctx, CheckOptions{ProblemsOnly: true, plain: true})
	if err != nil {
		return ""
	}
	for k := range found {
		if f := &found[k]; f.Rule != "drain-load" || f.SettledBy != tables.Designer {
			fmt.Fprintln(&b, f.ID(), f.Verdict, f.IfConfirmed)
		}
	}
	fmt.Fprintln(&b, s.size, s.required)
	for v := range s.vents {
		fmt.Fprintln(&b, s.vents[v].Size, s.vents[v].Required)
	}
	return b.String()
}

// partly tells whether some is counted of a receptor that is not counted in full: the code gives
// no load for it, or for some of what drains into it.
func (s *Sizing) partly(i int32) bool {
	return s.tree.point(i).Receptor != nil && s.counts(i)
}

// counts tells whether anything is counted at a node but what is to come.
func (s *Sizing) counts(i int32) bool { return s.ownLoad(i) > s.tree.point(i).Reserved }

// uncounted says what a load lacks by what stands at a node.
func (j *judge) uncounted(i int32) string {
	if j.sizing.counts(i) {
		return j.Text("only a part is counted of what stands at %s", j.id(i))
	}
	return j.Text("nothing is counted for what stands at %s", j.id(i))
}

// listedIDs is how many ids a list names before it counts the rest.
const listedIDs = 10

// idList names ids in their order, the first of many.
func idList(ids []string) string {
	slices.SortFunc(ids, visible.Counted)
	more := ""
	if n := len(ids) - listedIDs; n > 1 {
		ids, more = ids[:listedIDs], fmt.Sprintf(" and %d more", n)
	}
	return strings.Join(ids, ", ") + more
}

// notCounted names what stands at a node and has no load by the code, or not in full.
func (s *Sizing) notCounted(i int32) string {
	pt := s.tree.point(i)
	steady := false
	if pt.Continuous > 0 {
		_, err := s.code.ContinuousLoad(pt.Continuous)
		steady = err != nil
	}
	switch {
	case !steady:
		return spaced(pt.Fixture.Kind)
	case pt.Fixture == nil || s.fixture[i] >= 0 && pt.Receptor == nil:
		return "steady flow"
	}
	return spaced(pt.Fixture.Kind) + " and steady flow"
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
	j.Holds(true, on("drain-load", pt.ID, r.Cite), func() finding.Words {
		return finding.Words{Value: j.sizing.load[i],
			Reason: j.Text("The %v trap arm at %s carries %v; the code does not limit trap arms by load.",
				nominal(j.sizing.size[i]), pt.ID, j.sizing.load[i])}
	})
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
	if err != nil {
		return // the code sets no such limit
	}
	m := on("stack-interval-load", pt.ID, weakestOf(k.Citation, k.Factor))
	finding.AtMost(j.Judge, m, in, k.Max, func() finding.Words {
		return finding.Words{What: j.Text("The load into one branch interval of the %v stack", nominal(j.sizing.size[i])),
			Off: "too much", Fix: "Enlarge the stack, or lead some of it in lower down."}
	})
}

// largerOrSteeper says what would carry the load.
func (j *judge) largerOrSteeper(i int32) string {
	s := j.sizing
	if s.required[i] > s.size[i] && s.failed[i] == nil {
		return j.Text("Lay %v.", nominal(s.required[i]))
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
	size, required := j.sizing.size[i], j.sizing.required[i]
	most, cite := j.code.ClosetLimit(j.sizing.part[i], size)
	if most.Kind == tables.Blank {
		return
	}
	m := on("drain-closets", pt.ID, cite)
	over := most.Kind == tables.NotPermitted || most.Kind == tables.Value && n > most.Value
	words := func() finding.Words {
		w := finding.Words{Value: count(n), Fix: j.Text("Lay %v.", nominal(max(required, size)))}
		switch {
		case most.Kind == tables.NotPermitted:
			w.Reason = j.Text("The drain at %s is %v: too small for any water closet.", pt.ID, nominal(size))
		case most.Kind == tables.Unlimited:
			w.Reason = j.Text("The %v drain at %s carries %s, which the code does not limit.", nominal(size), pt.ID,
				closetWords(n))
		default:
			w.Reason = j.Text("The %v drain at %s carries %s; limit %d", nominal(size), pt.ID, closetWords(n), most.Value)
			if over {
				w.Reason += fmt.Sprintf(": %d too many", n-most.Value)
			}
			w.Reason += "."
		}
		return w
	}
	switch {
	case over && oneSize(size, required):
		f := tables.Finding{Rule: m.Rule, Place: pt.ID, Verdict: tables.Fail, Value: count(n), Citation: cite,
			Reason: words().Reason}
		if most.Kind == tables.Value {
			f.Limit, f.Margin = count(most.Value), count(most.Value-n)
		}
		named(&f, size, required)
		j.Add(f)
	case most.Kind == tables.Value:
		finding.AtMost(j.Judge, m, count(n), count(most.Value), words)
	default:
		j.Holds(!over, m, words)
	}
}

// closetWords counts water closets, with them the large traps that count as one.
func closetWords(n int) string {
	if n == 1 {
		return "one water closet (or large trap that counts as one)"
	}
	return fmt.Sprintf("%d water closets (large traps that count as one included)", n)
}

// leastSize judges a drawn size against the least ones: below ground and for the
// fixture. What is not drawn was sized to them.
func (j *judge) leastSize(i int32, pt *Point) {
	s := j.sizing
	if !s.above[i] {
		if least, cite := j.code.MinSizeBelowGround(); least.Kind == tables.Value {
			j.sizeAtLeast(on("below-ground-size", pt.ID, cite), s.size[i], least.Value,
				finding.Say("The pipe below ground", "", ""))
		}
	}
	if pt.Run.Size == 0 || s.size[i] >= s.required[i] {
		return
	}
	switch s.decided[i] {
	case DecidedByTrap, DecidedByFixtureDrain:
		j.sizeAtLeast(on("fixture-drain-size", pt.ID, s.cite[i]), s.size[i], s.required[i],
			finding.Say("The drain of the fixture", "", j.Text("Lay %v.", nominal(s.required[i]))))
	}
}

// undersized speaks of each drawn run that is smaller than required and of which no
// other finding does.
func (j *judge) undersized() {
	s := j.sizing
	var told map[string]bool
	for i := range j.tree.all() {
		if s.size[i] >= s.required[i] {
			continue
		}
		if told == nil {
			told = make(map[string]bool)
			j.Problems(func(f *tables.Finding) {
				switch {
				case f.IfConfirmed == tables.Pass: // of another figure than the size
				case f.Rule == "size-reduction": // it speaks of the run downstream
					below := j.tree.parent[j.tree.index[f.Place]]
					// A question of whether it may shrink says nothing of what else makes it too small.
					if f.Verdict == tables.Fail || s.decided[below] == DecidedByUpstream {
						told[j.id(below)] = true
					}
				case slices.Contains(drainSizeRules[:], f.Rule):
					told[f.Place] = true
				}
			})
		}
		if !told[j.id(i)] {
			what := "The drain (" + s.decided[i].String() + ")"
			if s.decided[i] == DecidedByVenting {
				what = "The drain, which vents what joins it below,"
			}
			j.sizeAtLeast(on("drain-size", j.id(i), s.cite[i]), s.size[i], s.required[i],
				finding.Say(what, "", j.Text("Lay %v.", nominal(s.required[i]))))
		}
	}
}

// drainSizeRules are the rules that speak of a run that is too small.
var drainSizeRules = [...]string{
	"drain-load", "drain-flow", "stack-interval-load", "drain-closets", "fixture-drain-size", "below-ground-size",
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
		finding.AtLeast(j.Judge, on("size-reduction", pt.ID, bendCite), next, out, func() finding.Words {
			return finding.Words{Reason: j.Text("The closet bend at %s shrinks from %v to %v, which is no reduction.",
				pt.ID, nominal(down), nominal(next))}
		})
		return
	}
	r, known := j.code.Rule("size-reduction")
	f := tables.Finding{Rule: "size-reduction", Place: pt.ID, Verdict: tables.Fail, Value: next, Limit: down,
		Margin: next - down, Citation: r.Cite,
		Reason: j.Text("The drain shrinks from %v to %v at %s, downstream of %s.", nominal(down), nominal(next), j.id(p),
			pt.ID),
		Fix: j.Text("Lay %v from there on.", nominal(down))}
	if int(p) < j.tree.outlets {
		f.Rule, f.Place = "outlet-size", j.id(p)
	}
	if !known {
		unheld(&f)
	}
	if out < down && j.onlyCloset(i, pt) {
		f.Citation = bendCite
		f.Reason += " It serves a closet alone but is not marked as a closet bend."
		f.Fix = "If it is the closet bend, mark it so; else " + lowerFirst(f.Fix)
	}
	named(&f, next, down)
	j.Add(f)
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
	largest := j.sizing.largestInto(s)
	o := &j.layout.Systems[s].Outlet
	if o.Kind == ToDrain && o.Size == 0 && largest > 0 {
		j.Ask("outlet-size", o.ID, tables.Designer, j.Text("The layout does not say how large the drain at %s is, which is "+
			"there already; a pipe of %v runs into it.", o.ID, nominal(largest)),
			"Uncover and measure it, state its size (outlet: size), and find out what drains into it already.")
	}
	if largest == 0 || o.Size < largest {
		return // a shrinking drain is reported with the run that does
	}
	j.sizeAtLeast(finding.Case{Rule: "outlet-size", Place: o.ID}, o.Size, largest, finding.Say("The outlet", "", ""))
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
				Reason: j.Text("The drain at %s is %v, on the way from a main cleanout to the outlet, where it is %v.",
					j.id(i), nominal(s.size[i]), nominal(full)),
				Fix: j.Text("Keep %v up to the main cleanout.", nominal(full))}
			named(&f, s.size[i], full)
			j.Add(f)
		}
		if o := t.point(i).Cleanout; o != nil && o.Main && !narrow[i] {
			m := finding.Case{Rule: "main-drain-undiminished", Place: j.id(i)}
			finding.AtLeast(j.Judge, m, s.size[i], full, func() finding.Words {
				return finding.Words{Reason: j.Text("The drain keeps %v from the outlet up to the main cleanout %s.",
					nominal(full), m.Place)}
			})
		}
	}
	if sys := &j.layout.Systems[j.system]; !held[j.system] && sys.Outlet.Kind == ToSewer && s.european == nil {
		if main, ok := j.fullSizeToCleanout(narrow); ok {
			j.Assume("cleanout-main", sys.ID, main, "main of a cleanout")
			return
		}
		j.Ask("cleanout-main", sys.ID, tables.Designer, "No cleanout of system "+sys.ID+" is marked as its main one.",
			"Mark the main cleanout: up to it the drain keeps its full size.")
	}
}

// fullSizeToCleanout tells where a main cleanout may be taken to stand that no drawing marks:
// wherever no pipe on the way to the outlet is narrower than there, narrow by node. Codes know
// no main cleanout; where one cleanout can be it, nobody need be asked.
func (j *judge) fullSizeToCleanout(narrow []bool) (taken string, ok bool) {
	narrowed, at := false, ""
	for i, pt := range j.points() {
		narrowed = narrowed || narrow[i]
		if pt.Cleanout != nil && !narrow[i] && at == "" {
			at = pt.ID
		}
	}
	switch {
	case !narrowed:
		return "the drain keeps its full size up to wherever a main cleanout stands or may stand", true
	case at != "":
		return "the main cleanout is one up to which the drain keeps its full size, such as that at " + at, true
	}
	return "", false
}

// onCombination tells the fixtures that the code lets a combination drain and vent serve.
func (j *judge) onCombination(kind string) bool {
	r, ok := j.code.Rule("combination-vent-fixtures")
	return ok && slices.Contains(strings.Fields(r.Value), kind)
}

// combination judges a trap without a vent of its own that drains into a line vented farther
// up as one of a combination drain and vent, where the code has such; it tells whether it is
// one. The line itself is the combination if it may be, and else the branch that joins it.
func (j *judge) combination(i int32, pt *Point) bool {
	at := j.routes.lineAt[i]
	if j.routes.line[i] <= 0 || !j.onCombination(pt.Fixture.Kind) || j.tree.point(at).Run.Vertical {
		return false
	}
	limit, err := j.combinationLimit(at, at)
	if (j.notCombination()[at] >= 0 || err == nil && !limit.Holds(j.sizing.load[at])) && j.combinationBranch(i, at, pt) {
		return true
	}
	switch {
	case j.notCombination()[at] >= 0:
		return false
	case errors.Is(err, tables.ErrNotInCode):
		return j.combinationBySize(i, at, pt)
	case err != nil:
		return false
	}
	j.combinationLoad(at, pt, limit)
	j.combinationLie(i, at, pt)
	return true
}

// combinationLimit is the greatest load of a run as a combination by what the system joins at
// a node: a branch or a building drain.
func (j *judge) combinationLimit(i, joins int32) (dwv.LoadLimit, error) {
	branch, drain, err := j.code.CombinationVentLimits(j.sizing.size[i])
	if j.sizing.part[joins] == dwv.Branch {
		return branch, err
	}
	return drain, err
}

// combinationBranch judges the branch from a trap to a line of other fixtures as a combination
// that needs no dry vent, for the line serves vented fixtures of the same floor; it tells
// whether the code has that and the branch may be one.
func (j *judge) combinationBranch(i, at int32, pt *Point) bool {
	yes, cite := j.says("combination-vent-dry-vent")
	top := i
	for j.tree.parent[top] != at {
		top = j.tree.parent[top]
	}
	limit, err := j.combinationLimit(top, at)
	if !yes || err != nil || j.notCombination()[top] >= 0 || j.tree.point(top).Run.Vertical || !j.ventedAbove()[at] {
		return false
	}
	j.Holds(true, sided("combination-vent", pt.ID, "dry vent", cite), func() finding.Words {
		return finding.Words{Reason: j.Text("The branch from %s needs no dry vent as a combination drain and vent: it joins "+
			"a drain that serves vented fixtures at %s.", pt.ID, j.id(at))}
	})
	j.loadWithin(on("combination-vent", pt.ID, limit.Citation), top, limit, func() finding.Words {
		return finding.Words{
			What: j.Text("The branch from %s to the line at %s serves the trap at %s as a combination drain and vent: its "+
				"load on %v", j.id(top), j.id(at), pt.ID, nominal(j.sizing.size[top])),
			Off: "too much", Fix: j.Text("Enlarge the branch from %s down, or vent the trap on its own.", j.id(i))}
	})
	j.combinationLie(i, top, pt)
	return true
}

// servesVented tells, by node, whether a fixture with a vent of its own drains past it.
func (j *judge) servesVented() []bool {
	t := j.tree
	vented := make([]bool, t.len())
	for _, i := range t.order {
		vented[i] = vented[i] || t.point(i).Fixture != nil && j.routes.serving[i] >= 0
		vented[t.parent[i]] = vented[t.parent[i]] || vented[i]
	}
	return vented
}

// combinationLoad holds the load of the line against the table of combinations.
func (j *judge) combinationLoad(at int32, pt *Point, limit dwv.LoadLimit) {
	size := nominal(j.sizing.size[at])
	j.loadWithin(on("combination-vent", pt.ID, limit.Citation), at, limit, func() finding.Words {
		return finding.Words{
			What: j.Text("The line at %s, vented farther up, serves the trap at %s as a combination drain and vent: "+
				"its load on %v", j.id(at), pt.ID, size),
			Off: "too much", Fix: j.Text("Enlarge the line from %s down, or vent the trap on its own.", j.id(at))}
	})
}

// loadWithin judges the load of a run by a limit, which may be none. A load that is not all
// counted passes nothing.
func (j *judge) loadWithin(m finding.Case, i int32, limit dwv.LoadLimit, words func() finding.Words) {
	load := j.sizing.load[i]
	if from := j.sizing.shortAt(i); from >= 0 && limit.Holds(load) {
		j.Ask(m.Rule, m.Place, tables.Designer, j.Text("%s is %v so far; %s.", words().What, load,
			j.uncounted(from)), "Settle the load there first.", m.Citation)
		return
	}
	sentence := func() finding.Words {
		w := words()
		w.Value = load
		w.Reason = j.Text("%s is %v", w.What, load)
		switch most, ok := limit.Max.Get(); {
		case ok && load > most:
			w.Reason += j.Text("; limit %v: %v %s", most, load-most, w.Off)
		case ok:
			w.Reason += j.Text("; limit %v", most)
		case !limit.Holds(load):
			w.Reason += ", which the code does not take at that size"
		default:
			w.Reason += ", which the code does not limit"
		}
		w.Reason += "."
		return w
	}
	if most, ok := limit.Max.Get(); ok {
		finding.AtMost(j.Judge, m, load, most, sentence)
		return
	}
	j.Holds(limit.Holds(load), m, sentence)
}

// combinationLie judges how the line lies and how far the drain of the fixture drops into it.
func (j *judge) combinationLie(i, at int32, pt *Point) {
	run := &j.tree.point(at).Run
	if most, cite, err := j.code.RuleGrade("combination-vent-max-grade"); err == nil && run.Grade.Compare(most) > 0 {
		j.gradeAtMost(sided("combination-vent", pt.ID, "grade", cite), run.Grade, most,
			finding.Say("The grade of the combination drain and vent", "too steep",
				"Lay it flatter, or vent the trap on its own."))
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
		finding.AtMost(j.Judge, sided("combination-vent", pt.ID, "drop", cite), drop,
			most, finding.Say("The drop of the fixture's drain into the combination drain and vent", "too much",
				"Raise the line, or vent the trap on its own."))
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
		j.Text("The trap of %s has no vent of its own; the line at %s, vented farther up, might serve it as a "+
			"combination waste and vent: its drain and the line are %d sizes over a trap of %v.", pt.ID, j.id(at),
			int(over), nominal(trap)),
		"Have the authority approve it, or vent the trap on its own.", cite)
	j.combinationReach(i, at, pt)
	return true
}

// combinationReach judges the branch to a combination waste and vent and the vent of that,
// where the code limits them.
func (j *judge) combinationReach(i, at int32, pt *Point) {
	m := finding.Case{Rule: "combination-vent", Place: pt.ID, Side: "branch"}
	if most, cite, ok := j.length("combination-branch-max"); ok {
		way := j.routes.line[i]
		if pt.Trap != nil {
			way += pt.Trap.Arm
		}
		m.Citation = cite
		finding.AtMost(j.Judge, m, way, most, finding.Say("The branch to the combination waste and vent", "too long",
			"Vent the branch on its own, or bring the fixture nearer."))
	}
	if share, cite, ok := j.number("combination-vent-area", "ratio"); ok {
		vent, drain := j.ventsAbove()[at], j.sizing.size[at]
		m.Side, m.Citation = "vent", cite
		j.Holds(float64(vent)*float64(vent) >= share*float64(drain)*float64(drain), m, func() finding.Words {
			return finding.Words{Value: nominal(vent),
				Reason: j.Text("The largest vent of the combination waste and vent at %s, which serves %s, is %v on a drain of "+
					"%v; at least %.4g of its section.", j.id(at), pt.ID, nominal(vent), nominal(drain), share),
				Fix: "Enlarge the vent of the line."}
		})
	}
}

// largestAbove returns by node the largest of the vents that count which takes off there or
// upstream.
func (j *judge) largestAbove(counts func(vent int32) bool) []units.Length {
	largest := make([]units.Length, j.tree.len())
	for v, from := range j.tree.vents.from {
		if from >= 0 && counts(int32(v)) {
			largest[from] = max(largest[from], j.sizing.vents[v].Size)
		}
	}
	for _, i := range j.tree.order {
		p := j.tree.parent[i]
		largest[p] = max(largest[p], largest[i])
	}
	return largest
}

// washerBatteries asks, where clothes washers enough for a battery drain through one run, for
// the load that some codes then count for each of them. What makes a group of washers a
// battery the layout does not say, and several dwellings on one drain are none.
func (j *judge) washerBatteries() {
	least, cite, ok := j.number("washer-battery-count", "count")
	each, eachCite, has := j.units("washer-battery-load")
	if !ok || !has {
		return
	}
	b := batteries{count: j.work.node(0, j.system), single: make(map[int32]dwv.FixtureUnits), each: each,
		cite: weakestOf(cite, eachCite)}
	var tops []int32 // where so many come together first
	battery := j.work.flag(0, j.system)
	for _, i := range j.order {
		if n := washersAt(j.tree.point(i)); n > 0 {
			b.count[i] += int32(n)
			b.single[i] += j.sizing.ownLoad(i)
		}
		p := j.tree.parent[i]
		if b.count[i] > 0 {
			b.count[p] += b.count[i]
			b.single[p] += b.single[i]
		}
		if b.count[i] >= int32(least) {
			if !battery[i] {
				tops = append(tops, i)
			}
			battery[p] = true
		}
	}
	for _, i := range tops {
		j.washerBattery(i, &b)
	}
}

// batteries are the clothes washers that drain past each node.
type batteries struct {
	count  []int32
	single map[int32]dwv.FixtureUnits // their load, as counted singly
	each   dwv.FixtureUnits           // what each of a battery counts
	cite   tables.Citation
}

// more is the load that the washers which drain past a node add as a battery.
func (b *batteries) more(i int32) dwv.FixtureUnits {
	return dwv.FixtureUnits(b.count[i])*b.each - b.single[i]
}

// washerBattery asks about the washers that drain through the run of a node, and those that
// join farther down.
func (j *judge) washerBattery(i int32, b *batteries) {
	if b.more(i) <= 0 {
		return
	}
	last := i // where the last of them has joined
	for n := range j.tree.down(i) {
		if b.count[n] > b.count[last] {
			last = n
		}
	}
	farther, carries := "", ""
	if last != i {
		farther = j.Text(" and %d through %s", b.count[last], j.id(last))
		carries = j.Text(", and %s %v in place of %v", j.id(last), j.sizing.load[last]+b.more(last), j.sizing.load[last])
	}
	moved, is, size := j.largerFor(i, b.more)
	as := "; every run takes that"
	if moved >= 0 {
		as = ""
	}
	if size > 0 {
		as = j.Text("; %s then needs %v in place of %v", j.id(moved), nominal(size), nominal(is))
	}
	j.Ask("washer-battery", j.id(i), tables.Book,
		j.Text("%d clothes washers drain through %s%s: as a battery (three or more in a group) they count %v each on "+
			"the drain that they share, so that it carries %v in place of %v%s%s.", b.count[i], j.id(i), farther, b.each,
			j.sizing.load[i]+b.more(i), j.sizing.load[i], carries, as),
		"If they stand as one group, lay this run and those downstream for the higher load.", b.cite)
}

// largerFor finds the first run from a node down to the outlet that more load makes
// too small, and the size that it is and the one it needs, zero where the code has none; -1
// if every run takes it.
func (j *judge) largerFor(from int32, more func(i int32) dwv.FixtureUnits) (node int32, is, needs units.Length) {
	s := j.sizing
	for i := range j.tree.down(from) {
		is = max(s.size[i], s.required[i])
		r, err := j.code.DrainSize(dwv.DrainQuery{Part: s.part[i], Load: s.load[i] + more(i),
			Grade: j.tree.point(i).Run.Grade, Closets: int(s.closets[i]), Intervals: int(s.intervals[i]),
			MinSize: s.required[i]})
		if err != nil || r.Size > is {
			return i, is, r.Size
		}
	}
	return -1, 0, 0
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
	if _, _, err := j.code.StackLength(units.Inch); errors.Is(err, tables.ErrNotInCode) {
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
		j.Ask("stack-length", j.id(i), tables.Authority,
			j.Text("The vertical drain at %s is %v long: %s.", j.id(i), length, lacks(err, "limit of its length")),
			"Ask the authority how long it may be.")
	case most.Kind == tables.NotPermitted:
		j.Add(tables.Finding{Rule: "stack-length", Place: j.id(i), Verdict: tables.Fail, Value: length,
			Reason: j.Text("The vertical drain at %s is %v: that size may not stand as a drain.", j.id(i), nominal(size)),
			Fix:    "Enlarge it.", Citation: cite})
	case most.Kind == tables.Value:
		finding.AtMost(j.Judge, on("stack-length", j.id(i), cite), length, most.Value, func() finding.Words {
			return finding.Words{What: j.Text("The %v vertical drain", nominal(size)), Off: "too long",
				Fix: "Enlarge it: the next size may be longer."}
		})
	}
}

// bathrooms says which fixtures count as one bathroom group.
func (j *judge) bathrooms() {
	for k := range j.sizing.bathGroups {
		g := &j.sizing.bathGroups[k]
		if !g.load.Citation.Status().Firm() {
			continue
		}
		j.Holds(true, on("bathroom-group", j.layout.Vents[g.vent].ID, g.load.Citation), func() finding.Words {
			var names someRuns
			for _, i := range g.points {
				names.add(j.id(i))
			}
			rooms := "One bathroom group"
			if g.rooms > 1 {
				rooms = j.Text("%d bathroom groups", g.rooms)
			}
			return finding.Words{Value: g.load.Units,
				Reason: j.Text("%s from %s down: %v count %v together, %v one by one.", rooms, j.id(g.merge), &names,
					g.load.Units, g.singly)}
		})
	}
}
