package drains

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// joinBelow judges a run larger than the pipe it joins: at the crown or the
// springline its invert comes to lie below the other's, and what is below that never
// drains. That is no rule of a code.
func (j *judge) joinBelow(i, p int32) {
	low := j.levels.upper[p] - j.levels.lower[i]
	if low <= 0 {
		return
	}
	j.Add(tables.Finding{Rule: "join-level", Place: j.id(i), Verdict: tables.Fail, Value: -low, Limit: units.Length(0),
		Margin: -low,
		Reason: j.Text("The %v pipe from %s joins the %v one with its invert %v below the other's, and stands full to "+
			"that height.", nominal(j.sizing.size[i]), j.id(i), nominal(j.sizing.size[p]), low),
		Fix: "Join it at the invert, or lay the pipe downstream as large."})
}

// isDoubleTee tells a double sanitary tee, or cross, by its name.
func isDoubleTee(name string) bool {
	return strings.Contains(name, "double") && strings.Contains(name, "tee") || strings.Contains(name, "sanitary-cross")
}

// doubleFittings judges the double sanitary tees of a system: where a run enters a stack
// by one, what comes in at its sides.
func (j *judge) doubleFittings() {
	t := j.tree
	for i := range j.points() {
		doubled := false
		for k := t.first[i]; k >= 0; k = t.next[k] {
			doubled = doubled || isDoubleTee(t.point(k).Run.Into)
		}
		if doubled {
			j.doubleTee(i)
		}
	}
}

// doubleTee judges the double sanitary tee at a node.
func (j *judge) doubleTee(i int32) {
	t := j.tree
	var largest units.Length
	for k := t.first[i]; k >= 0; k = t.next[k] {
		if pt := t.point(k); isDoubleTee(pt.Run.Into) {
			largest = max(largest, j.sizing.size[k])
			j.doubleTeeInlet(i, k, pt)
		}
	}
	if over, cite, ok := j.number("double-tee-oversize", "pipe sizes"); ok {
		j.doubleTeeBarrel(i, int(over), largest, cite)
	}
}

// doubleTeeBarrel judges the barrel of a double sanitary tee. Which sizes count is recalled
// for a code that has a step of its own; what hangs on it is asked.
func (j *judge) doubleTeeBarrel(i int32, over int, largest units.Length, cite tables.Citation) {
	const fix = "Use a larger barrel, a double fixture fitting, or two single fittings."
	least := largest
	for range over {
		least = j.code.MadeSize(least, true)
	}
	if step, _, ok := j.length("double-tee-size-step"); ok {
		if counted := largest + units.Length(over)*step; j.sizing.size[i] >= counted &&
			(least == 0 || j.sizing.size[i] < least) {
			j.Ask("double-fitting", j.id(i), tables.Book,
				j.Text("The barrel of the double sanitary tee at %s is %v, over inlets of %v: %d pipe sizes larger only "+
					"if sizes count in steps of %v.", j.id(i), nominal(j.sizing.size[i]), nominal(largest), over, step),
				fix, cite)
			return
		} else if least == 0 {
			least = counted
		}
	}
	j.sizeAtLeast(on("double-fitting", j.id(i), cite), j.sizing.size[i], max(least, largest), func() finding.Words {
		return finding.Words{What: j.Text("The barrel of the double sanitary tee, %d pipe sizes over its largest inlet "+
			"of %v,", over, nominal(largest)), Fix: fix}
	})
}

// doubleTeeInlet judges what comes in at a side of a double sanitary tee: water closets
// throw their flow across into the other side, and so does what is pumped.
func (j *judge) doubleTeeInlet(i, k int32, pt *Point) {
	r, ok := j.code.Rule("double-tee-closets")
	if !ok || r.Kind != tables.NotPermitted {
		return
	}
	what := "No water closet and no pump"
	switch {
	case j.sizing.closets[k] > 0:
		what = "A water closet"
	case pt.Fixture != nil && isPumped(pt.Fixture.Kind):
		what = "A pump (" + spaced(pt.Fixture.Kind) + ")"
	default:
		j.Holds(true, on("double-fitting", pt.ID, r.Cite), func() finding.Words {
			return finding.Words{Reason: j.Text("%s discharges from %s into the double sanitary tee at %s.", what, pt.ID,
				j.id(i))}
		})
		return
	}
	text := j.Text("%s discharges from %s into a side of the double sanitary tee at %s.", what, pt.ID, j.id(i))
	const fix = "Use a double combination or a double fixture fitting made for it, or two single fittings one above " +
		"the other."
	least, _, apart := j.length("double-tee-closet-distance")
	if pt.Fixture != nil && dwv.ClosetsOf(pt.Fixture.Kind) > 0 && apart && pt.Run.Length >= least {
		j.Ask("double-fitting", pt.ID, tables.Authority,
			text+j.Text(" Newer editions may let a closet in from %v away (it is %v), an exception recalled and not "+
				"seen.", least, pt.Run.Length), fix, r.Cite)
		return
	}
	j.fails(on("double-fitting", pt.ID, r.Cite), text, fix)
}

// deadEnds looks for pipe that serves nothing: at the upper end of which there is no
// fixture, no load kept for later, no cleanout and no vent. A length of it that the code
// calls a dead end fails; under a code without that rule it is asked about, since a
// fixture may have been forgotten. Each tree of dead pipe is told once, at its far end.
func (j *judge) deadEnds() {
	t := j.tree
	way, end, served := j.work.length(0, j.system), j.work.node(0, j.system), j.work.flag(0, j.system)
	j.markServed(served)
	for _, i := range j.order {
		p := t.parent[i]
		if t.first[i] < 0 {
			end[i] = i
		}
		if served[i] {
			served[p] = true
			continue
		}
		way[i] += t.point(i).Run.Length
		if reach := way[i]; end[p] == 0 || reach > way[p] || reach == way[p] && j.id(end[i]) < j.id(end[p]) {
			way[p], end[p] = reach, end[i]
		}
	}
	for i := range j.points() {
		if p := t.parent[i]; !served[i] && (served[p] || int(p) < t.outlets) {
			j.deadEnd(end[i], p, way[i])
		}
	}
}

// markServed marks the nodes of the system in hand that have something to drain or to
// do of their own. A plain riser with a vent on top is the dry top of a stack.
func (j *judge) markServed(served []bool) {
	t := j.tree
	for i, pt := range j.points() {
		served[i] = pt.Fixture != nil || pt.Cleanout != nil || pt.Reserved > 0 || pt.Continuous > 0 ||
			t.vents.takeoff != nil && t.vents.takeoff[i] >= 0
	}
}

// deadEnd judges dead pipe from its far end down to the drain it joins.
func (j *judge) deadEnd(end, to int32, length units.Length) {
	const fix = "Take it out, or draw what it is for: a fixture, a load reserved for later, or a cleanout."
	limit, cite, ok := j.length("dead-end-length")
	id := j.id(end)
	switch {
	case j.tree.point(end).Carries != "":
		j.Ask("dead-end", id, tables.Designer,
			j.Text("The drain at %s carries %s, and neither a fixture nor a load or a flow is given for it: it counts nothing.",
				id, j.tree.point(end).Carries), "State the fixture, the load or the flow that drains in there.", cite)
	case j.tree.point(end).Capped:
		j.Ask("dead-end", id, tables.Designer,
			j.Text("The capped drain at %s, %v from %s, has nothing reserved for it.", id, length, j.id(to)),
			"Reserve the load of the fixture to come; without one it is a dead end.", cite)
	case !ok:
		j.Ask("dead-end", id, tables.Designer,
			j.Text("The drain at %s, %v from %s, serves nothing.", id, length, j.id(to)), fix)
	default:
		finding.Compare(j.Judge, on("dead-end", id, cite), finding.Compared[units.Length]{Value: length, Limit: limit,
			Margin: limit - length, Passes: length < limit, Left: float64(limit - length)}, func() finding.Words {
			if length < limit {
				return finding.Words{Reason: j.Text("The stub at %s serves nothing and is %v long, shorter than a dead end of "+
					"%v.", id, length, limit)}
			}
			return finding.Words{Reason: j.Text("The drain at %s serves nothing and is %v long from %s; from %v on it is a "+
				"dead end.", id, length, j.id(to), limit), Fix: fix}
		})
	}
}

// someRuns counts runs and keeps those with the least ids, to name a few of many
// without holding them all.
type someRuns struct {
	count int
	ids   [shownRuns + 1]string // ascending, the first count of them
}

// shownRuns is how many of many runs a text names.
const shownRuns = 3

func (s *someRuns) add(id string) {
	at := min(s.count, len(s.ids))
	s.count++
	if at == len(s.ids) {
		if at--; id >= s.ids[at] {
			return
		}
	}
	for ; at > 0 && id < s.ids[at-1]; at-- {
		s.ids[at] = s.ids[at-1]
	}
	s.ids[at] = id
}

// String names the runs in the order of their ids; of more than four it names three
// and tells how many more there are.
func (s *someRuns) String() string { return s.list("runs") }

// list is String for what is called otherwise.
func (s *someRuns) list(what string) string {
	if s.count > len(s.ids) {
		return fmt.Sprintf("%s and %d more %s", strings.Join(s.ids[:shownRuns], ", "), s.count-shownRuns, what)
	}
	return strings.Join(s.ids[:s.count], ", ")
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
	j.Holds(true, finding.Case{Rule: "join-level", Place: j.id(i)}, func() finding.Words {
		return finding.Words{Value: main - crown,
			Reason: j.Text("The %v pipe from %s joins the %v one with its crown %v below the other's, so it lies in its "+
				"flow; joined at the springline or the crown it would stay clear.", nominal(j.sizing.size[i]), j.id(i),
				nominal(j.sizing.size[p]), main-crown)}
	})
}

// rated tells whether the code knows the fixture at a node.
func (j *judge) rated(i int32) bool {
	return j.sizing.fixture[i] >= 0 || j.sizing.european != nil && j.sizing.unrated[i] == nil
}

// apart judges whether a fixture may drain into its system, and what a drain without one
// carries.
func (j *judge) apart(i int32, pt *Point) {
	sys := &j.layout.Systems[j.tree.system[i]]
	if pt.Fixture == nil {
		if pt.Carries != "" && (slices.Contains(sys.Refuses, pt.Carries) ||
			len(sys.Admits) > 0 && !slices.Contains(sys.Admits, pt.Carries)) {
			j.fails(finding.Case{Rule: "system-apart", Place: pt.ID}, j.Text("System %s does not take the %s that drains in "+
				"at %s.", sys.ID, pt.Carries, pt.ID), "Drain it into another system.")
		}
		return
	}
	kind := pt.Fixture.Kind
	why := ""
	switch {
	case slices.Contains(sys.Refuses, kind):
		why = j.Text("system %s refuses what it drains", sys.ID)
	case pt.Carries != "" && slices.Contains(sys.Refuses, pt.Carries):
		why = j.Text("system %s refuses %s, which it drains", sys.ID, pt.Carries)
	case len(sys.Admits) > 0 && !slices.Contains(sys.Admits, kind) &&
		(pt.Carries == "" || !slices.Contains(sys.Admits, pt.Carries)):
		why = j.Text("system %s does not admit it", sys.ID)
	case sys.Kind != Soil && carriesSoil(kind):
		why = j.Text("it drains human waste, and system %s is %s", sys.ID, sys.Kind)
	case (sys.Kind == ClearWater || sys.Kind == Storm) && j.rated(i) && !takesClearWater(kind) &&
		!slices.Contains(sys.Admits, kind):
		why = j.Text("what people wash with drains there, and system %s is %s", sys.ID, sys.Kind)
	default:
		why = j.apartIndirect(pt, sys)
	}
	j.Holds(why == "", finding.Case{Rule: "system-apart", Place: pt.ID}, func() finding.Words {
		if why == "" {
			return finding.Words{Reason: j.Text("System %s takes the %s at %s.", sys.ID, spaced(kind), pt.ID)}
		}
		return finding.Words{Reason: j.Text("The %s at %s does not belong here: %s.", spaced(kind), pt.ID, why),
			Fix: "Drain it into another system."}
	})
}

// apartIndirect says why something that discharges into the receptor at a point may not drain
// into its system, and asks about human waste, which no receptor should take.
func (j *judge) apartIndirect(pt *Point, sys *System) (why string) {
	if pt.Receptor == nil {
		return ""
	}
	for k := range pt.Receptor.Indirect {
		kind := pt.Receptor.Indirect[k].Kind
		clean := sys.Kind == ClearWater || sys.Kind == Storm
		switch {
		case slices.Contains(sys.Refuses, kind):
			return j.Text("system %s refuses the waste of the %s that discharges into it", sys.ID, spaced(kind))
		case carriesSoil(kind):
			j.Ask("system-apart", pt.ID, tables.Authority, j.Text("A %s is drawn as discharging into the receptor at %s by "+
				"an air gap; human waste drains by a closed pipe.", spaced(kind), pt.ID), "Connect it to a soil drain.")
		case clean && !takesClearWater(kind) && !slices.Contains(sys.Admits, kind):
			return j.Text("the waste of the %s discharges into it, and system %s is %s", spaced(kind), sys.ID, sys.Kind)
		}
	}
	return ""
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
			j.Text("System %s %s %q, which is no fixture of the code, and which no point carries: it holds nothing "+
				"apart.", sys.ID, field, word),
			"Write the fixture as the code names it, or the word as the points carry it.")
	})
}

// carriesSoil tells the fixtures whose waste makes a drain a soil drain.
func carriesSoil(kind string) bool {
	return dwv.ClosetsOf(kind) > 0 || fixture.IsUrinal(kind) || slices.Contains(soilKinds, kind)
}

// soilKinds carry human waste, as a closet and a urinal do.
var soilKinds = []string{
	"bidet", "macerating-toilet", "clinical-sink", "flushing-rim-sink", "slop-hopper", mobileHome,
}

// isPumped tells the fixtures that pump their waste out.
func isPumped(kind string) bool {
	return kind == "clothes-washer" || strings.HasPrefix(kind, "dishwasher")
}

// takesClearWater tells the fixtures that may stand in a system of clear or storm water: they
// take what drips, spills or rains.
func takesClearWater(kind string) bool { return slices.Contains(clearWaterKinds, kind) }

var clearWaterKinds = []string{"floor-drain", "emergency-floor-drain", "floor-sink", "drinking-fountain", "unlisted"}

// materialUse is one material used in one way in one system.
type materialUse struct {
	system   int32
	material string
	sewer    bool
}

// materials judges each pipe below the floor, once for each system and use. Runs
// that name no material are asked about, once for each system.
func (j *judge) materials() {
	var uses []materialUse
	var runs []someRuns
	at := make(map[materialUse]int)
	last := -1
	for i := range j.tree.all() {
		if j.sizing.above[i] {
			continue
		}
		pt := j.tree.point(i)
		m := pt.Run.Material
		u := materialUse{j.tree.system[i], m, m != "" && j.sizing.part[i] == dwv.Sewer}
		if last < 0 || u != uses[last] {
			k, ok := at[u]
			if !ok {
				k = len(uses)
				at[u], uses, runs = k, append(uses, u), append(runs, someRuns{})
			}
			last = k
		}
		runs[last].add(pt.ID)
	}
	for k := range uses {
		j.material(uses[k], &runs[k])
	}
	j.sizesSold()
}

// sizesSold asks about drawn pipe of a size that its material does not come in, once for each
// material and size.
func (j *judge) sizesSold() {
	type pipe struct {
		material string
		size     units.Length
	}
	drawn := map[pipe]*someRuns{} // of which the shelf has no wall
	for k, pt := range j.tree.points {
		of := pipe{pt.Run.Material, pt.Run.Size}
		if of.size == 0 || of.material == "" || j.sizing.pipe[k+j.tree.outlets].Wall != 0 {
			continue
		}
		if drawn[of] == nil {
			drawn[of] = new(someRuns)
		}
		drawn[of].add(pt.ID)
	}
	for of, runs := range drawn {
		sold := j.sizing.pipes.Sizes(of.material)
		made := func(x units.Length) bool { return x == of.size || oneSize(x, of.size) }
		if len(sold) == 0 || slices.ContainsFunc(sold, made) {
			continue
		}
		family, _ := j.sizing.pipes.Family(of.material)
		j.Add(tables.Finding{Rule: "drain-material", Place: runs.ids[0], Side: "size", Verdict: tables.Ask,
			SettledBy: tables.Designer, Value: word(nominal(of.size).String()),
			Reason: j.Text("%s of %v, drawn at %s, is not made; it comes in %s.", family.What, nominal(of.size), runs,
				sizeList(sold)),
			Fix: "Draw a size that it comes in, or name another pipe."})
	}
}

func (j *judge) material(u materialUse, runs *someRuns) {
	place := j.layout.Systems[u.system].ID
	if u.material == "" {
		j.Ask("drain-material", place, tables.Designer, j.Text("No material is given for %s.", runs),
			"Name the pipe of each run, so that it can be held against what the code takes below the slab.")
		return
	}
	family, ok := j.sizing.pipes.Family(u.material)
	if !ok {
		j.Ask("drain-material", place, tables.Authority,
			j.Text("Our tables do not hold the pipe %q of %s.", u.material, runs), "Ask whether the code takes it there.")
		return
	}
	standard, err := j.code.PipeStandard(family.Standard)
	if err != nil {
		j.Ask("drain-material", place, tables.Authority,
			j.Text("Whether the code takes %s (%s) of %s is not known: %s.", family.What, family.Standard, runs,
				lacks(err, "word on that standard")),
			"Ask whether the code takes it there.")
		return
	}
	verdict, where := standard.BelowSlab, "as a drain below the slab"
	if u.sewer {
		verdict, where = standard.Sewer, "as a building sewer"
	}
	pipe := j.Text("%s (%s wall) of %s", family.What, standard.Wall, runs)
	f := tables.Finding{Rule: "drain-material", Place: place, Verdict: verdict, Value: word(family.Standard),
		Citation: standard.Citation,
		Reason:   j.Text("The code takes %s %s.", pipe, where)}
	switch {
	case verdict == tables.Fail:
		f.Reason = j.Text("The code does not take %s %s.", pipe, where)
		f.Fix = "Lay pipe of a standard the code takes there."
	case verdict != tables.Pass:
		f.Verdict, f.SettledBy, f.Reason = tables.Ask, tables.Authority,
			j.Text("Our tables do not say whether the code takes %s %s.", pipe, where)
		f.Fix = "Ask the authority."
	case standard.Wall == "cellular" && !u.sewer:
		f.Verdict, f.SettledBy, f.Reason = tables.Ask, tables.Authority,
			f.Reason+" Some localities bar cellular core under a slab."
		f.Fix = "Ask whether the locality bars it."
	}
	j.Add(f)
}

// fittings judges each named fitting by the turn the flow makes in it, which may
// make of an allowed fitting one that is not.
func (j *judge) fittings(i int32, pt *Point) {
	if pt.Run.Into == "" && len(pt.Run.Fittings) == 0 {
		return
	}
	single := j.tree.first[i] < 0 && pt.Fixture != nil
	turn := dwv.HorizontalToHorizontal
	if !pt.Run.Vertical {
		for k, name := range pt.Run.Fittings {
			if slices.Contains(pt.Run.Fittings[:k], name) {
				continue
			}
			j.fitting(pt.ID, name, turn, j.sizing.size[i], single)
		}
	}
	if pt.Run.Into == "" {
		return
	}
	next := j.tree.point(j.tree.parent[i])
	switch {
	case next == nil:
		return
	case pt.Run.Vertical && !next.Run.Vertical:
		turn = dwv.VerticalToHorizontal
	case !pt.Run.Vertical && next.Run.Vertical:
		turn = dwv.HorizontalToVertical
	case pt.Run.Vertical:
		return // straight down a stack
	case slices.Contains(pt.Run.Fittings, pt.Run.Into):
		return // the same turn by the same fitting
	}
	j.fitting(pt.ID, pt.Run.Into, turn, j.sizing.size[i], single)
}

func (j *judge) fitting(place, name string, turn dwv.Turn, size units.Length, single bool) {
	ok, cite, err := j.code.FittingTurn(name, turn, size, single)
	if one, double := strings.CutPrefix(name, "double-"); double && errors.Is(err, tables.ErrNotInCode) {
		ok, cite, err = j.code.FittingTurn(one, turn, size, single) // what a double one may not is double-fitting's
	}
	if err != nil {
		j.Ask("fitting-turn", place, tables.Authority,
			j.Text("Whether the %v %s at %s may turn the flow from %s is not known: %s.", nominal(size), spaced(name), place,
				spaced(turn.String()), lacks(err, "word on that fitting")),
			"Ask whether the code takes this fitting for this turn.")
		return
	}
	j.Holds(ok, on("fitting-turn", place, cite), func() finding.Words {
		may := "may"
		if !ok {
			may = "may not"
		}
		return finding.Words{Value: word(name),
			Reason: j.Text("The %v %s at %s %s turn the flow from %s.", nominal(size), spaced(name), place, may,
				spaced(turn.String())),
			Fix: "Use a wye and an eighth bend, or a long sweep."}
	})
}

// stackBases keeps branches off the drain just downstream of the foot of a stack,
// where the flow jumps.
func (j *judge) stackBases() {
	diameters, cite, ok := j.number("stack-base-clearance", "pipe diameters")
	if !ok {
		return
	}
	t := j.tree
	// Of the stacks whose discharge passes a node foot is the one that wants the most
	// room there, and way the length down from its foot. A stack goes through a storey at
	// least: a riser to one fixture or to those of one floor, such as two closets back to back, is
	// none, unless a stack vent goes on from it. forked tells where more than one line comes
	// together, or upstream of there, and high how far what comes there falls, offsets or not.
	storey, _, _ := j.code.FindLength(ruleBranchInterval) // none: whatever is forked is a stack
	way, foot, forked := j.work.length(0, j.system), j.work.node(0, j.system), j.work.flag(0, j.system)
	high := j.work.length(1, j.system)
	foot[j.system] = -1
	for i := range j.points() {
		foot[i] = -1
	}
	room := func(stack int32) units.Length { return scale(j.sizing.size[stack], diameters) }
	for _, i := range j.order {
		pt, p := t.point(i), t.parent[i]
		if pt.Run.Vertical {
			high[i] += pt.Run.Length
			if j.sizing.stackVentAt(i) >= 0 {
				forked[i], high[i] = true, max(high[i], storey)
			}
		}
		if forked[i] || t.next[t.first[p]] >= 0 {
			forked[p] = true
		}
		high[p] = max(high[p], high[i]) // an offset makes no two stacks of one
		next := t.point(p)
		if next == nil || next.Run.Vertical {
			continue
		}
		stack, down := foot[i], way[i]+pt.Run.Length
		if pt.Run.Vertical {
			if stack, down = i, 0; !forked[i] || high[i] < storey {
				continue
			}
		}
		if stack < 0 {
			continue
		}
		wants := foot[p] < 0
		if !wants {
			more := cmp.Or(cmp.Compare(room(stack)-down, room(foot[p])-way[p]), cmp.Compare(way[p], down))
			wants = more > 0 || more == 0 && j.sizing.carriesOn(stack, foot[p])
		}
		if wants {
			way[p], foot[p] = down, stack
		}
	}
	for i := range j.points() {
		pt, p := t.point(i), t.parent[i]
		// A horizontal run that joins a drain which a stack's discharge passes.
		if pt.Run.Vertical || foot[p] < 0 || foot[i] == foot[p] || j.sizing.above[i] {
			continue
		}
		stack := foot[p]
		clear := room(stack)
		if way[p] == 0 {
			j.Ask("stack-base-branch", pt.ID, tables.Designer,
				j.Text("The branch from %s joins at the very foot of the stack %s.", pt.ID, j.id(stack)),
				j.Text("Join it %v or more downstream.", clear), cite)
			continue
		}
		finding.AtLeast(j.Judge, on("stack-base-branch", pt.ID, cite), way[p], clear, func() finding.Words {
			return finding.Words{What: j.Text("The way from the foot of the stack %s down to the join of the branch",
				j.id(stack)), Off: "too short", Fix: "Join the branch farther downstream."}
		})
	}
}
