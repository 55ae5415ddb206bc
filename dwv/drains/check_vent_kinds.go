package drains

import (
	"errors"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// specialVents judges air admittance valves, island vents and waste stacks that vent
// themselves.
func (j *judge) specialVents() {
	g, vents := &j.tree.vents, j.layout.Vents
	var heights ventHeights
	var spans []armSpan
	for v := range int32(len(vents)) {
		x := &vents[v]
		if x.Valve == nil && x.Kind != VentIsland && x.Kind != VentWasteStack {
			continue
		}
		if spans == nil {
			heights, spans = j.sizing.ventHeights(j.levels.upper), j.armSpans()
		}
		if x.Valve != nil {
			j.valve(v, heights, spans[v])
		}
		switch {
		case x.Kind == VentIsland:
			j.island(v, heights)
		case x.Kind == VentWasteStack && g.from[v] >= 0:
			j.wasteStack(v)
		}
	}
	j.openWithValves()
}

// armSpan is between which elevations the traps that a vent serves, with those of the
// vents that join it, reach their vents.
type armSpan struct {
	low, high units.Length
	any       bool
}

func (a *armSpan) add(b armSpan) {
	if !b.any {
		return
	}
	if !a.any {
		*a = b
		return
	}
	a.low, a.high = min(a.low, b.low), max(a.high, b.high)
}

// armSpans finds them, by vent.
func (j *judge) armSpans() []armSpan {
	g := &j.tree.vents
	spans := make([]armSpan, len(j.layout.Vents))
	for i, pt := range j.tree.all() {
		if v := j.routes.serving[i]; v >= 0 && pt.drainsIn() {
			at := j.levels.upper[j.routes.reached[i]]
			spans[v].add(armSpan{at, at, true})
		}
	}
	for _, v := range g.order {
		if p := g.parent[v]; p >= 0 {
			spans[p].add(spans[v])
		}
	}
	return spans
}

// sided is what a finding is about of which there are several at a place.
func sided(rule, place, side string, c tables.Citation) finding.Case {
	return finding.Case{Rule: rule, Place: place, Side: side, Citation: c}
}

// ruleValve is the rule about air admittance valves.
const ruleValve = "air-admittance-valve"

// valve judges the air admittance valve that a vent ends in.
func (j *judge) valve(v int32, heights ventHeights, span armSpan) {
	x := &j.layout.Vents[v]
	const open = "Carry the vent up to the open air, or have the authority approve the valve."
	if allowed, ok := j.code.Rule("aav-allowed"); ok {
		j.fails(sided(ruleValve, x.ID, "allowed", allowed.Cite),
			"Vent "+x.ID+" ends in an air admittance valve, and the code has no place for one.", open)
		return
	}
	least, cite, ok := j.length("aav-height")
	if !ok {
		j.Ask(ruleValve, x.ID, tables.Authority, "Vent "+x.ID+
			" ends in an air admittance valve, and the tables of this code say nothing of such valves.", open)
		return
	}
	if span.any {
		finding.AtLeast(j.Judge, on(ruleValve, x.ID, cite), heights.end[v]-span.high, least,
			finding.Say("Height of the air admittance valve over the drain that it vents", "too low", "Set the valve higher."))
	}
	j.valveUse(x, span)
	j.valvePlace(x)
	if x.Valve.Type == ValveStack {
		j.stackValve(v)
	} else {
		j.branchValve(v)
	}
}

// valveUse judges what a valve vents: one floor, and no relief vent or vent stack.
func (j *judge) valveUse(x *Vent, span armSpan) {
	storey, _, ok := j.length(ruleBranchInterval)
	if r, has := j.code.Rule("aav-same-floor"); has && ok && x.Valve.Type != ValveStack && span.high-span.low >= storey {
		j.Holds(false, sided(ruleValve, x.ID, "floor", r.Cite), func() finding.Words {
			return finding.Words{Value: span.high - span.low,
				Reason: j.Text("Branch valve %s vents fixtures %v apart in height; it may vent those of one floor.", x.ID,
					span.high-span.low),
				Fix: "Give each floor a valve of its own, or carry the vent to the open air."}
		})
	}
	if r, has := j.code.Rule("aav-no-relief"); has && (x.Kind == VentRelief || x.Kind == VentStack) {
		kind := "Vent stack "
		if x.Kind == VentRelief {
			kind = "Relief vent "
		}
		j.fails(sided(ruleValve, x.ID, "kind", r.Cite), kind+x.ID+" ends in an air admittance valve; it has to let air out "+
			"as well as in.", "Carry it to the open air.")
	}
}

// valvePlace judges where a valve stands.
func (j *judge) valvePlace(x *Vent) {
	if least, cite, ok := j.length("aav-insulation-height"); ok && x.Valve.Insulation > 0 {
		finding.AtLeast(j.Judge, on(ruleValve, x.ID, cite), x.Valve.Insulation, least,
			finding.Say("Height of the air admittance valve above the insulation", "too low", "Set the valve higher."))
	}
	if r, ok := j.code.Rule("aav-access"); ok && !x.Valve.Accessible {
		j.Ask(ruleValve, x.ID, tables.Designer, "The layout does not say that air admittance valve "+x.ID+
			" can be reached and has air about it.",
			"Set it where it can be replaced and air comes to it, and say so (valve: accessible).", r.Cite)
	}
}

// stackValve judges the valve at the top of a drainage stack.
func (j *judge) stackValve(v int32) {
	x, from := &j.layout.Vents[v], j.tree.vents.from[v]
	most, cite, ok := j.number("aav-stack-intervals", "count")
	if !ok || from < 0 || !j.tree.point(from).Run.Vertical {
		return
	}
	j.counts(sided(ruleValve, x.ID, "stack", cite), int(j.sizing.intervals[from]), int(most), func() finding.Words {
		return finding.Words{What: "branch intervals of the stack that valve " + x.ID + " ends",
			Fix: "Carry the stack vent to the open air."}
	})
}

// branchValve asks for a relief vent where the branch of a valve enters a stack far below
// its top.
func (j *judge) branchValve(v int32) {
	most, cite, ok := j.number("aav-relief-intervals", "count")
	stack := j.tree.vents.from[v]
	if !ok || stack < 0 {
		return
	}
	for int(stack) >= j.tree.outlets && !j.isStack(stack) {
		stack = j.tree.parent[stack]
	}
	if int(stack) < j.tree.outlets {
		return
	}
	above := j.intervalsAbove(stack)
	if above <= int(most) {
		return
	}
	for k := range j.layout.Vents {
		if x := &j.layout.Vents[k]; x.Kind == VentRelief && x.Valve == nil && j.leadsTo(j.tree.vents.from[k], stack) {
			return
		}
	}
	j.counts(sided(ruleValve, j.layout.Vents[v].ID, "relief", cite), above, int(most), func() finding.Words {
		return finding.Words{What: "branch intervals from the top of the stack down to " + j.id(stack) +
			", where the branch of valve " + j.layout.Vents[v].ID + " enters with no relief vent",
			Fix: "Relieve the branch by a vent to the vent stack or the open air."}
	})
}

// isStack tells whether a node is part of a stack, into which branches come.
func (j *judge) isStack(i int32) bool {
	return j.tree.point(i).Run.Vertical && j.tree.first[i] >= 0 && j.sizing.intervals[i] > 1
}

// intervalsAbove counts the branch intervals of a stack from a node to its top.
func (j *judge) intervalsAbove(i int32) int {
	storey, _, ok := j.length(ruleBranchInterval)
	if !ok {
		return 0
	}
	n, far := 1, units.Length(0)
	for k := i; ; {
		k = j.tree.uprightAbove(k)
		if k < 0 {
			return n
		}
		if far += j.tree.point(k).Run.Length; far >= storey {
			n, far = n+1, 0
		}
	}
}

// leadsTo tells whether what enters at a node enters a stack at another.
func (j *judge) leadsTo(i, stack int32) bool {
	for int(i) >= j.tree.outlets && i != stack && !j.tree.point(i).Run.Vertical {
		i = j.tree.parent[i]
	}
	return i == stack
}

// openWithValves asks that each system with valves has vents in the open air.
func (j *judge) openWithValves() {
	least, cite, ok := j.number("aav-open-vent", "count")
	if !ok {
		return
	}
	systems := j.tree.vents.systems(j.tree)
	use := make([]struct{ valves, open int }, j.tree.outlets)
	for v := range j.layout.Vents {
		switch x := &j.layout.Vents[v]; {
		case x.Valve != nil:
			use[systems[v]].valves++
		case x.Terminal != nil:
			use[systems[v]].open++
		}
	}
	for s, u := range use {
		if u.valves == 0 {
			continue
		}
		place := j.layout.Systems[s].ID
		finding.AtLeast(j.Judge, sided(ruleValve, place, "open", cite), count(u.open), count(least), func() finding.Words {
			return finding.Words{Fix: "Carry a stack vent or vent stack up to the open air.",
				Reason: j.Text("Vents of system %s that end in the open air beside its air admittance valves: %d; at least %d.",
					place, u.open, int(least))}
		})
	}
}

// ruleIsland is the rule about the vents of fixtures that stand free.
const ruleIsland = "island-vent"

// island judges the vent of a fixture that stands free.
func (j *judge) island(v int32, heights ventHeights) {
	x := &j.layout.Vents[v]
	fixtures, known := j.code.Rule("island-vent-fixtures")
	if !known {
		j.Ask(ruleIsland, x.ID, tables.Authority, "Vent "+x.ID+" is that of an island, and the tables of this code say "+
			"nothing of such vents.", "Ask the authority, or vent it at the nearest wall.")
		return
	}
	for i, pt := range j.tree.all() {
		if f := pt.Fixture; j.routes.serving[i] == v && f != nil && !onIsland(f.Kind) {
			j.islandSays(sided(ruleIsland, x.ID, "fixtures"+j.id(i), fixtures.Cite), false, j.id(i)+" ("+spaced(f.Kind)+
				") is vented as an island; only sinks and lavatories may be.", "Vent it in another way.")
		}
	}
	j.islandRise(v, heights)
	if r, ok := j.code.Rule("island-vent-drains"); ok {
		j.islandDrains(v, heights, r)
	}
	if r, ok := j.code.Rule("island-vent-cleanout"); ok {
		said := "a cleanout lets it be rodded."
		if !x.Cleanout {
			said = "no cleanout is drawn by which it can be rodded."
		}
		j.islandSays(sided(ruleIsland, x.ID, "cleanout", r.Cite), x.Cleanout, said,
			"Set a cleanout in its upright part (cleanout).")
	}
	if clear, cite, ok := j.length("vent-rim-clearance"); ok && x.Terminal == nil && x.Valve == nil {
		if rims := &j.sizing.vents[v].rims; rims.known() {
			finding.AtLeast(j.Judge, on(ruleIsland, x.ID, cite), heights.end[v]-rims.highest, clear,
				finding.Say("Height over the flood rim where the island vent joins the other", "too low",
					"Carry it higher before it joins."))
		}
	}
}

// islandSays records what a rule of islands that is no figure finds.
func (j *judge) islandSays(m finding.Case, ok bool, said, fix string) {
	j.Holds(ok, m, func() finding.Words {
		return finding.Words{Reason: "Island vent " + m.Place + ": " + said, Fix: fix}
	})
}

// islandDrains judges where the low end of an island vent drains: into a drain that is drawn,
// not lower than the middle of that drain, and by some codes downstream of the fixture.
func (j *judge) islandDrains(v int32, heights ventHeights, r tables.Rule) {
	x, t := &j.layout.Vents[v], j.tree
	at, low, below, down := heights.start[v], units.Length(0), false, false
	for k := range x.Runs {
		at += rise(&x.Runs[k])
		below = below || x.Runs[k].Direction == VentBelowFloor
		switch {
		case down:
			low = min(low, at)
		case x.Runs[k].Direction == VentDown:
			low, down = at, true
		}
	}
	if floor := j.layout.FinishedFloor; down && below && low > floor {
		j.Ask(ruleIsland, x.ID, tables.Designer, j.Text("The part of island vent %s that is drawn below the floor lies %v "+
			"above it by the runs before it.", x.ID, low-floor), "Give the run that goes down its whole length.", r.Cite)
	}
	ok, fix, under := false, "Name the drain that its low end runs into (drains).", units.Length(0)
	said := "the low end drains into nothing that is drawn."
	if x.Drains != "" {
		d, lead := t.index[x.Drains], "Lead it into the flat drain downstream of the fixture."
		ok, fix = true, "Let it turn down less far, or lead it into a drain that lies lower."
		middle := j.levels.upper[d] + j.sizing.pipe[d].Bore/2
		if t.point(d).Run.Vertical {
			middle = j.levels.lower[d]
		}
		said = "the low end drains at " + x.Drains + "."
		switch {
		case r.String() == "downstream" && (t.point(d).Run.Vertical || !t.drainsBy(t.vents.from[v], d)):
			ok, fix = false, lead
			said = "the low end drains at " + x.Drains + ", which is no flat drain downstream of the fixture."
		case down && low < middle:
			ok, under = false, middle-low
			said = j.Text("the low end lies %v lower than the drain at %s that it is to run into.", under, x.Drains)
		case t.point(d).Run.Vertical && low > j.levels.upper[d]:
			ok, fix = false, "Name the drain that it runs into."
			said = j.Text("the low end lies %v above the upper end of the drain at %s.", low-j.levels.upper[d], x.Drains)
		}
	}
	j.Holds(ok, sided(ruleIsland, x.ID, "drains", r.Cite), func() finding.Words {
		w := finding.Words{Reason: "Island vent " + x.ID + ": " + said, Fix: fix}
		if under > 0 {
			w.Value = under
		}
		return w
	})
}

// islandRise judges how high the vent of an island rises before it turns down: over the
// outlet of its fixture, which lies below the flood rim.
func (j *judge) islandRise(v int32, heights ventHeights) {
	x := &j.layout.Vents[v]
	r, ok := j.code.Rule("island-vent-rise")
	if !ok {
		return
	}
	peak, at, down := heights.start[v], heights.start[v], false
	for k := range x.Runs {
		if down = down || x.Runs[k].Direction == VentDown; down {
			break
		}
		at += rise(&x.Runs[k])
		peak = max(peak, at)
	}
	if !down {
		j.Ask(ruleIsland, x.ID, tables.Designer, "Vent "+x.ID+" is drawn as that of an island and never turns down.",
			"Draw the way it takes (direction: down, below-floor, up), or call it an individual vent.", r.Cite)
		return
	}
	outlet, known := j.islandOutlet(v)
	switch rims := &j.sizing.vents[v].rims; {
	case known:
		over := peak - outlet
		finding.Compare(j.Judge, sided(ruleIsland, x.ID, "rise", r.Cite), finding.Compared[units.Length]{Value: over,
			Margin: over, Passes: over > 0, Left: float64(over), Called: "above"}, func() finding.Words {
			w := finding.Words{Fix: "Carry it as high under the drainboard as it goes before it turns.",
				Reason: j.Text("Island vent %s turns down %v above the outlet of its fixture.", x.ID, over)}
			if over <= 0 {
				w.Reason = j.Text("Island vent %s turns down %v below the outlet of its fixture; it has to rise above it.",
					x.ID, -over)
			}
			return w
		})
	case rims.known() && peak >= rims.highest:
	default:
		j.Ask(ruleIsland, x.ID, tables.Designer, j.Text("Island vent %s rises %v before it turns down, and the layout does "+
			"not say how high the outlet of its fixture lies.", x.ID, peak-heights.start[v]),
			"Give the tail of the trap: outlet to weir (trap: tail).", r.Cite)
	}
}

// islandOutlet is the elevation of the highest outlet that an island vent serves, if every
// trap says how far its weir lies below the outlet.
func (j *judge) islandOutlet(v int32) (at units.Length, known bool) {
	for i, pt := range j.tree.all() {
		if j.routes.serving[i] != v || pt.Fixture == nil {
			continue
		}
		if pt.Trap == nil || pt.Trap.Tail == 0 {
			return 0, false
		}
		if outlet := j.weir(i, pt) + pt.Trap.Tail; !known || outlet > at {
			at, known = outlet, true
		}
	}
	return at, known
}

// onIsland tells the fixtures that stand free: sinks and lavatories.
func onIsland(kind string) bool {
	return fixture.IsLavatory(kind) || fixture.IsSink(kind)
}

// ruleWasteStackSize is the rule that a waste stack that vents itself, and its stack vent,
// keep one size.
const ruleWasteStackSize = "waste-stack-undiminished"

// ruleWasteStack is the rule about waste stacks that vent themselves.
const ruleWasteStack = "waste-stack-vent"

// wasteStack judges a waste stack that vents the fixtures which join it.
func (j *judge) wasteStack(v int32) {
	g, x := &j.tree.vents, &j.layout.Vents[v]
	foot, load := g.end[v], j.sizing.load[g.end[v]]
	_, limit, err := j.code.WasteStackVentLimits(j.sizing.size[foot])
	switch {
	case errors.Is(err, tables.ErrNotInCode):
		j.Ask(ruleWasteStack, x.ID, tables.Authority, "The waste stack of vent "+x.ID+" is to vent the fixtures that join "+
			"it: "+lacks(err, "waste stack vent")+".", "Ask the authority, or vent the fixtures on their own.")
		return
	case err != nil:
		j.Ask(ruleWasteStack, x.ID, tables.Authority, "Waste stack of vent "+x.ID+": "+lacks(err, "limit of a waste stack")+
			".",
			"Ask the authority which size it takes.")
		return
	}
	if from := j.sizing.shortAt(foot); from >= 0 && limit.Holds(load) {
		j.Ask(ruleWasteStack, x.ID, tables.Designer, j.Text("The self-vented waste stack of vent %s carries %v so far; %s.",
			x.ID, load, j.uncounted(from)), "Settle the load there first.",
			limit.Citation)
	} else {
		j.wasteStackLoad(sided(ruleWasteStack, x.ID, "load", limit.Citation), load, limit,
			j.Text("Load on the self-vented waste stack of %v", nominal(j.sizing.size[foot])))
	}
	j.wasteStackRuns(v)
	j.wasteStackFixtures(v)
}

// wasteStackLoad sets a load on a waste stack that vents itself against its table.
func (j *judge) wasteStackLoad(m finding.Case, load dwv.FixtureUnits, limit dwv.LoadLimit, what string) {
	if most, ok := limit.Max.Get(); ok {
		finding.AtMost(j.Judge, m, load, most,
			finding.Say(what, "too much", "Enlarge the stack, or vent some of the fixtures on their own."))
	}
}

// wasteStackRuns judges the pipe of a waste stack that vents itself: upright, of one size,
// and with no more in one branch interval than its table lets in.
func (j *judge) wasteStackRuns(v int32) {
	t, g, x := j.tree, &j.tree.vents, &j.layout.Vents[v]
	size := j.sizing.size[g.end[v]]
	straight, hasStraight := j.code.Rule("waste-stack-straight")
	same, hasSame := j.code.Rule(ruleWasteStackSize)
	for i := g.from[v]; int(i) >= t.outlets; i = t.parent[i] {
		if hasStraight && !t.point(i).Run.Vertical {
			j.fails(sided(ruleWasteStack, j.id(i), "straight", straight.Cite), j.Text("The waste stack of vent %s lies flat "+
				"from %s on; it has to stand upright between its lowest and highest fixture drain.", x.ID, j.id(i)),
				"Vent the fixtures above and below the offset apart.")
		}
		if hasSame && j.sizing.size[i] != size {
			j.Holds(false, sided(ruleWasteStack, j.id(i), "size", same.Cite), func() finding.Words {
				return finding.Words{Value: nominal(j.sizing.size[i]), Limit: nominal(size),
					Reason: j.Text("The waste stack of vent %s is %v at %s and %v at its foot; it keeps one size.",
						x.ID, nominal(j.sizing.size[i]), j.id(i), nominal(size)),
					Fix: "Lay all of it as large as its foot."}
			})
		}
		if i == g.end[v] {
			break
		}
	}
	j.wasteStackIntervals(v, size)
}

// wasteStackIntervals sets what enters a waste stack within one branch interval against
// its table.
func (j *judge) wasteStackIntervals(v int32, size units.Length) {
	t, g, x := j.tree, &j.tree.vents, &j.layout.Vents[v]
	limit, _, err := j.code.WasteStackVentLimits(size)
	if most, ok := limit.Max.Get(); err != nil || !ok || most == 0 {
		return
	}
	storey, _, ok := j.length(ruleBranchInterval)
	if !ok {
		storey = units.MaxLength
	}
	var in dwv.FixtureUnits // within a storey above the place in hand
	low, way := g.from[v], units.Length(0)
	enters := func(i int32) dwv.FixtureUnits {
		own := j.sizing.load[i]
		for k := t.first[i]; k >= 0; k = t.next[k] {
			if t.point(k).Run.Vertical && i != g.from[v] {
				own -= j.sizing.load[k]
			}
		}
		return own
	}
	for i := g.from[v]; int(i) >= t.outlets; i = t.parent[i] {
		in += enters(i)
		for ; way >= storey; low = t.parent[low] {
			in -= enters(low)
			way -= t.point(low).Run.Length
		}
		if !limit.Holds(in) {
			j.wasteStackLoad(sided(ruleWasteStack, x.ID, "interval", limit.Citation), in, limit, j.Text(
				"Load into one branch interval of the self-vented waste stack of %v, at %s,", nominal(size), j.id(i)))
			return
		}
		if way += t.point(i).Run.Length; i == g.end[v] {
			return
		}
	}
}

// wasteStackFixtures keeps water closets and urinals off a waste stack that vents itself.
func (j *judge) wasteStackFixtures(v int32) {
	r, ok := j.code.Rule("waste-stack-fixtures")
	if !ok {
		return
	}
	i := j.notOnWasteStack()[j.tree.vents.end[v]]
	if i < 0 {
		return
	}
	x := &j.layout.Vents[v]
	j.fails(sided(ruleWasteStack, x.ID, "fixtures", r.Cite), j.id(i)+" ("+spaced(j.tree.point(i).Fixture.Kind)+") drains "+
		"into the self-vented waste stack of vent "+x.ID+", which takes no water closet or urinal.",
		"Lead it into another stack, or vent the fixtures on their own.")
}

// onWasteStack tells the fixtures that may drain into a waste stack which vents itself.
func onWasteStack(kind string) bool { return dwv.ClosetsOf(kind) == 0 && !carriesSoil(kind) }

// wetUse is what one wet vent serves.
type wetUse struct {
	fixtures                   int
	closets, lavatories, baths int
	heaviest                   dwv.FixtureUnits // load of one fixture
	heaviestAt                 int32            // its node; an outlet stands for none
	upper                      int32            // the last of the points that drain in at its take-off
	uppers                     int              // how many there are
}

// wetVents judges each wet vent by how many bathrooms hang on it, and one that
// stands upright by the rules some codes have for those.
func (j *judge) wetVents() {
	use := j.wetUses()
	if use == nil {
		return
	}
	groups, groupsCite, hasGroups := j.number(ruleWetGroups, "count")
	for v := range use {
		if use[v].fixtures == 0 {
			continue
		}
		if hasGroups {
			j.wetGroups(&j.layout.Vents[v], &use[v], int(groups), groupsCite)
		}
		j.uprightWet(int32(v), &use[v])
	}
	j.flatWets(use)
}

// wetOrder is what joins a wet vent where, by how far down its stretch of drain.
type wetOrder struct {
	closet, other     int32 // nodes of the closet that joins highest and of the other fixture that joins lowest
	closetAt, otherAt int32
	upstream          int   // fixtures that have met before they reach the dry-vented one
	first             int32 // the first of them by id
}

// flatWets judges wet vents that lie flat: what joins them in which order, and by which arms
// and at which grade, as far as a code says.
func (j *judge) flatWets(use []wetUse) {
	last, lastCite := j.says("wet-vent-closets-last")
	upstream, upstreamCite, hasUpstream := j.number("wet-vent-upstream", "count")
	closets, closetsCite, hasClosets := j.number("wet-vent-max-closets", "count")
	arm, armCite, hasArm := j.length("wet-vent-max-trap-arm")
	grade, gradeCite, noGrade := j.code.RuleGrade("wet-vent-min-grade")
	g, t := &j.tree.vents, j.tree
	order := j.wetOrders()
	for v := range use {
		x, u := &j.layout.Vents[v], &use[v]
		if u.fixtures == 0 || j.upright(int32(v)) {
			continue
		}
		if o := &order[v]; last && o.closetAt > 0 && o.otherAt > 0 {
			j.closetsLast(x, o, lastCite)
		}
		if o := &order[v]; hasUpstream && o.upstream > int(upstream) {
			j.Add(tables.Finding{Rule: "wet-vent-order", Place: x.ID, Verdict: tables.Fail, Value: count(o.upstream),
				Limit: count(int(upstream)), Citation: upstreamCite,
				Reason: j.Text("%d fixtures, %s one of them, drain into wet vent %s upstream of the dry-vented one; limit %d.",
					o.upstream, j.id(o.first), x.ID, int(upstream)),
				Fix: "Lead the others in downstream of the fixture that has the dry vent, or vent them apart."})
		}
		if u.uppers == 1 {
			j.dryVented(x, u.upper)
		}
		if hasClosets {
			j.counts(on("wet-vent-closets", x.ID, closetsCite), u.closets, int(closets), func() finding.Words {
				return finding.Words{What: "water closets on wet vent " + x.ID, Fix: "Vent the others apart."}
			})
		}
		for i := g.from[v]; noGrade == nil && i >= 0 && i != g.end[v]; i = t.parent[i] {
			if run := &t.point(i).Run; !run.Vertical {
				j.leastGrade(on("wet-vent-grade", j.id(i), gradeCite), run.Grade, dwv.GradeLimit{Least: grade,
					Citation: gradeCite})
			}
		}
	}
	if hasArm {
		j.wetArms(arm, armCite)
	}
}

// dryVented judges whether the vent of the fixture that drains in where the dry vent of a wet vent
// takes off may be that vent.
func (j *judge) dryVented(x *Vent, upper int32) {
	r, ok := j.code.Rule("wet-vent-dry-vented")
	kind := j.tree.point(upper).Fixture.Kind
	if !ok || slices.ContainsFunc(strings.Fields(r.Value), func(may string) bool { return fixture.IsMake(kind, may) }) {
		return
	}
	j.fails(sided("wet-vent-order", x.ID, "dry", r.Cite), "The dry vent of wet vent "+x.ID+" is that of the "+spaced(kind)+
		" at "+j.id(upper)+"; of these it may be that of one: "+strings.NewReplacer(" ", ", ", "-", " ").Replace(r.Value)+".",
		"Take the dry vent off the drain of one of these.")
}

// closetsLast judges whether closets drain into a wet vent below all else that does.
func (j *judge) closetsLast(x *Vent, o *wetOrder, cite tables.Citation) {
	holds := o.closetAt >= o.otherAt
	j.Holds(holds, on("wet-vent-order", x.ID, cite), func() finding.Words {
		if holds {
			return finding.Words{Reason: j.Text("The water closet at %s drains into wet vent %s downstream of its other "+
				"fixtures.", j.id(o.closet), x.ID)}
		}
		return finding.Words{Reason: j.Text("The water closet at %s drains into wet vent %s upstream of the %s at %s.",
			j.id(o.closet), x.ID, spaced(j.tree.point(o.other).Fixture.Kind), j.id(o.other)),
			Fix: "Lead the closet in downstream of all the others, or vent it on its own."}
	})
}

// wetArms keeps large trap arms off wet vents, but those of closets and of floor drains for
// emergencies.
func (j *judge) wetArms(most units.Length, cite tables.Citation) {
	for i, pt := range j.tree.all() {
		v := j.routes.serving[i]
		if v < 0 || j.layout.Vents[v].Kind != VentWet || pt.Fixture == nil || dwv.ClosetsOf(pt.Fixture.Kind) > 0 ||
			isFloorDrain(pt.Fixture) {
			continue
		}
		if size, sure := j.armSize(i); sure && size > most && !oneSize(size, most) {
			j.Add(tables.Finding{Rule: "wet-vent-arm", Place: pt.ID, Verdict: tables.Fail, Value: size, Limit: most,
				Margin: most - size, Citation: cite, Fix: "Vent it on its own.",
				Reason: j.Text("The trap arm at %s, of %v, drains into wet vent %s, which takes arms to %v.", pt.ID,
					nominal(size), j.layout.Vents[v].ID, nominal(most))})
		}
	}
}

// wetOrders finds, by vent, what joins each wet vent where.
func (j *judge) wetOrders() []wetOrder {
	g, t := &j.tree.vents, j.tree
	order := make([]wetOrder, len(j.layout.Vents))
	place := make([]int32, t.len()) // along the stretch that a wet vent vents, from 1
	for v := range order {
		if j.layout.Vents[v].Kind != VentWet || g.from[v] < 0 || g.end[v] < 0 {
			continue
		}
		n := int32(1)
		for i := g.from[v]; int(i) >= t.outlets; i = t.parent[i] {
			place[i] = n
			n++
			if i == g.end[v] {
				break
			}
		}
	}
	first := j.firstOnWet(place)
	for i, pt := range t.all() {
		v := j.routes.serving[i]
		if v < 0 || j.layout.Vents[v].Kind != VentWet || pt.Fixture == nil {
			continue
		}
		o, at := &order[v], place[j.routes.reached[i]]
		switch {
		case dwv.ClosetsOf(pt.Fixture.Kind) > 0:
			if o.closetAt == 0 || at < o.closetAt || at == o.closetAt && pt.ID < j.id(o.closet) {
				o.closet, o.closetAt = i, at
			}
		case at > o.otherAt || at == o.otherAt && pt.ID < j.id(o.other):
			o.other, o.otherAt = i, at
		}
		if j.routes.reached[i] == first[v] && j.routes.shared[i] > 0 {
			if o.upstream == 0 || pt.ID < j.id(o.first) {
				o.first = i
			}
			o.upstream += pt.Fixture.Count
		}
	}
	return order
}

// firstOnWet finds, by vent, the place on a flat wet vent where other fixtures first meet the
// drain of the dry-vented one, which may run a while on its own; -1 if none do.
func (j *judge) firstOnWet(place []int32) []int32 {
	t, from := j.tree, j.tree.vents.serves
	first := none(len(from))
	for i, pt := range t.all() {
		v := j.routes.serving[i]
		if v < 0 || j.layout.Vents[v].Kind != VentWet || pt.Fixture == nil {
			continue
		}
		at := j.routes.reached[i]
		if at != from[v] && !t.point(at).Run.Vertical && (first[v] < 0 || place[at] < place[first[v]]) {
			first[v] = at
		}
	}
	return first
}

// wetUses counts what each wet vent serves, by vent; nil if there is none.
func (j *judge) wetUses() []wetUse {
	vents, g, t := j.layout.Vents, &j.tree.vents, j.tree
	if !slices.ContainsFunc(vents, func(x Vent) bool { return x.Kind == VentWet }) {
		return nil
	}
	use := make([]wetUse, len(vents))
	for i, pt := range t.all() {
		v := j.routes.serving[i]
		if v < 0 || vents[v].Kind != VentWet || pt.Fixture == nil {
			continue
		}
		u, f := &use[v], pt.Fixture
		u.fixtures += f.Count
		switch {
		case f.Kind == "water-closet":
			u.closets += f.Count
		case fixture.IsLavatory(f.Kind):
			u.lavatories += f.Count
		case f.Kind == "bathtub", fixture.IsShower(f.Kind):
			u.baths += f.Count
		}
		full, half := dwv.Bathrooms(f.Kind)
		u.closets += (full + half) * f.Count
		u.lavatories += (full + half) * f.Count
		u.baths += full * f.Count
		if k := j.sizing.fixture[i]; k >= 0 {
			if each := j.sizing.rated[k].Each; int(u.heaviestAt) < t.outlets || each > u.heaviest ||
				each == u.heaviest && pt.ID < j.id(u.heaviestAt) {
				u.heaviest, u.heaviestAt = each, i
			}
		}
		if j.routes.reached[i] == g.serves[v] {
			u.upper = i
			u.uppers++
		}
	}
	return use
}

// wetGroups judges how many bathrooms drain through a wet vent: at least as many as
// there are fixtures of the kind of which each has one.
func (j *judge) wetGroups(x *Vent, u *wetUse, most int, cite tables.Citation) {
	n, what := u.closets, [...]string{"water closet", "water closets"}
	if u.lavatories > n {
		n, what = u.lavatories, [...]string{"lavatory", "lavatories"}
	}
	if u.baths > n {
		n, what = u.baths, [...]string{"bath or shower", "baths and showers"}
	}
	j.counts(on("wet-vent-groups", x.ID, cite), n, most, func() finding.Words {
		return finding.Words{What: what[min(max(n, 1), 2)-1] + " on wet vent " + x.ID + ", one to a bathroom",
			Fix: "Vent the fixtures of the other bathrooms apart."}
	})
}

// uprightWet judges a wet vent all of whose drain stands upright, under a code that
// has rules of its own for it.
func (j *judge) uprightWet(v int32, u *wetUse) {
	if !j.code.LimitsUprightWet() || !j.upright(v) {
		return
	}
	t, g, x := j.tree, &j.tree.vents, &j.layout.Vents[v]
	if most, cite, ok := j.length("wet-vent-vertical-length"); ok {
		way := units.Length(0)
		for i := g.serves[v]; i != g.end[v]; i = t.parent[i] {
			way += t.point(i).Run.Length
		}
		finding.AtMost(j.Judge, on("wet-vent-vertical-length", x.ID, cite), way, most,
			finding.Say("The length of the upright wet vent", "too long", "Vent the lower fixtures apart."))
	}
	if most, cite, ok := j.number("wet-vent-vertical-fixtures", "count"); ok {
		j.counts(on("wet-vent-vertical-fixtures", x.ID, cite), u.fixtures, int(most), func() finding.Words {
			return finding.Words{What: "fixtures on upright wet vent " + x.ID, Fix: "Vent the others apart."}
		})
	}
	if most, cite, ok := j.units("wet-vent-vertical-fixture-load"); ok {
		finding.AtMost(j.Judge, on("wet-vent-vertical-load", x.ID, cite), u.heaviest, most, func() finding.Words {
			return finding.Words{What: j.Text("The load of the heaviest fixture, %s, on the upright wet vent",
				j.id(u.heaviestAt)), Off: "too much", Fix: "Vent it apart."}
		})
	}
	if least, cite, ok := j.length(ruleUprightWetSize); ok {
		if u.uppers == 1 { // and a size more than the drain of the upper fixture
			least = max(least, j.code.MadeSize(j.sizing.fixtureDrain(u.upper), true))
		}
		size := units.MaxLength
		for i := g.serves[v]; i != g.end[v]; i = t.parent[i] {
			size = min(size, j.sizing.size[i])
		}
		j.sizeAtLeast(on("wet-vent-vertical-size", x.ID, cite), size, least,
			finding.Say("The upright wet vent", "", ""))
	}
}

// upright tells whether all the drain that a vent vents stands upright.
func (j *judge) upright(v int32) bool {
	g := &j.tree.vents
	i := g.serves[v]
	if i < 0 || i == g.end[v] {
		return false
	}
	for ; i != g.end[v]; i = j.tree.parent[i] {
		if int(i) < j.tree.outlets || !j.tree.point(i).Run.Vertical {
			return false
		}
	}
	return true
}

// circuitUse is what hangs on one circuit vent.
type circuitUse struct {
	fixtures int // all that it vents
	closets  int
	above    int // fixtures at and upstream of its take-off
	places   int // points at which those stand
}

// circuits judges where each circuit vent leaves its branch, and whether a branch
// with many closets has the relief vent that the code asks for before a stack.
func (j *judge) circuits() {
	use := j.circuitUses()
	if use == nil {
		return
	}
	takeOff, hasTakeOff := j.code.Rule("circuit-vent-take-off")
	most, mostCite, hasRelief := j.number("circuit-relief-closets", "count")
	var relief *reliefs
	for v := range use {
		if j.layout.Vents[v].Kind != VentCircuit || use[v].fixtures == 0 {
			continue
		}
		if hasTakeOff {
			j.circuitTakeOff(int32(v), &use[v], takeOff.Cite)
		}
		if hasRelief && use[v].closets >= int(most) {
			if relief == nil {
				relief = j.reliefs()
			}
			j.circuitRelief(int32(v), use[v].closets, most == 0, relief, mostCite)
		}
	}
}

// circuitUses counts what each circuit vent serves, by vent; nil if there is none.
func (j *judge) circuitUses() []circuitUse {
	vents, g := j.layout.Vents, &j.tree.vents
	if !slices.ContainsFunc(vents, func(x Vent) bool { return x.Kind == VentCircuit }) {
		return nil
	}
	use := make([]circuitUse, len(vents))
	for i, pt := range j.tree.all() {
		v := j.routes.serving[i]
		if v < 0 || vents[v].Kind != VentCircuit || pt.Fixture == nil && pt.Reserved == 0 {
			continue
		}
		n := 1
		if f := pt.Fixture; f != nil {
			n = f.Count
			use[v].closets += n * dwv.ClosetsOf(f.Kind)
		}
		use[v].fixtures += n
		if j.routes.reached[i] == g.serves[v] {
			use[v].above += n
			use[v].places++
		}
	}
	return use
}

// circuitTakeOff wants one fixture drain upstream of a circuit vent and the others
// downstream, so that all air and all flushing water pass it.
func (j *judge) circuitTakeOff(v int32, u *circuitUse, cite tables.Citation) {
	x, from := &j.layout.Vents[v], j.id(j.tree.vents.serves[v])
	const remedy = "Take the vent off between the two fixture drains farthest upstream."
	m := on("circuit-vent-take-off", x.ID, cite)
	switch {
	case u.fixtures == 1:
		j.Ask(m.Rule, x.ID, tables.Designer, "Circuit vent "+x.ID+" serves one fixture only.",
			"Draw it as an individual vent, or say what else it vents.", cite)
		return
	case u.above > 1 && u.places == 1:
		j.Ask(m.Rule, x.ID, tables.Designer,
			j.Text("%d fixtures are drawn at one point upstream of circuit vent %s at %s, and only one may drain in there.",
				u.above, x.ID, from), remedy, cite)
		return
	}
	words := func() finding.Words {
		w := finding.Words{Fix: remedy}
		switch u.above {
		case 0:
			w.Reason = j.Text("Circuit vent %s leaves the branch at %s, upstream of every fixture drain it vents.", x.ID,
				from)
		case 1:
			w.Reason = j.Text("Circuit vent %s leaves the branch at %s, between the two fixture drains farthest upstream.",
				x.ID, from)
		default:
			w.Reason = j.Text("%d of the fixtures on circuit vent %s drain in at or upstream of %s, where it leaves the "+
				"branch; limit 1: %d too many.", u.above, x.ID, from, u.above-1)
		}
		return w
	}
	finding.Compare(j.Judge, m, finding.Compared[count]{Value: count(u.above), Limit: 1, Margin: count(1 - u.above),
		Passes: u.above == 1}, words)
}

// reliefs tells where branches enter stacks, and which relief vents lie on the way.
// A relief vent leaves the branch itself, or a drain that joins it; one of those is
// marked as wet, since that drain flows through it.
type reliefs struct {
	foot []int32 // by node: the last node before the stack, -1 if none lies downstream
	vent []int32 // by node: the first relief vent from there down to the stack, -1 for none
	at   []int32 // by node: the relief vent there, -1 for none
}

// wetRelief marks, in reliefs, a vent through which a drain flows.
const wetRelief = 1 << 30

func (j *judge) reliefs() *reliefs {
	t, g := j.tree, &j.tree.vents
	n := t.len()
	all := none(3 * n)
	r := &reliefs{foot: all[:n], vent: all[n : 2*n], at: all[2*n:]}
	put := func(node, vent int32) {
		// Of two at one node a dry one counts before a wet one, then the id.
		if was := r.at[node]; was < 0 || was&wetRelief > vent&wetRelief ||
			was&wetRelief == vent&wetRelief && j.layout.Vents[vent&^wetRelief].ID < j.layout.Vents[was&^wetRelief].ID {
			r.at[node] = vent
		}
	}
	for v := range int32(len(j.layout.Vents)) {
		if i := g.from[v]; i >= 0 && j.layout.Vents[v].Kind == VentRelief {
			put(i, v)
			put(t.parent[i], v|wetRelief)
		}
	}
	for _, i := range slices.Backward(t.order) {
		next := t.point(t.parent[i])
		switch {
		case t.point(i).Run.Vertical, next == nil:
			// on a stack, or at an outlet: no branch into a stack
		case next.Run.Vertical:
			r.foot[i] = i
		default:
			r.foot[i], r.vent[i] = r.foot[t.parent[i]], r.vent[t.parent[i]]
		}
		if r.at[i] >= 0 {
			r.vent[i] = r.at[i]
		}
	}
	return r
}

// relief returns the relief vent between the end of a stretch that is vented by
// circuit and the stack, -1 for none.
func (j *judge) relief(r *reliefs, end int32) int32 {
	at := r.at[end]
	if at >= wetRelief && !j.tree.point(j.tree.vents.from[at-wetRelief]).Run.Vertical {
		at = -1 // it may leave the stretch itself, upstream of the last fixture drain
	}
	if at < 0 && end != r.foot[end] {
		at = r.vent[j.tree.parent[end]]
	}
	return at
}

// circuitRelief asks for a relief vent between the last fixture drain of a branch
// with many closets and the stack it enters, if waste from above comes down there; or
// always, downstream of the last fixture drain, where the code does.
func (j *judge) circuitRelief(v int32, closets int, always bool, r *reliefs, cite tables.Citation) {
	t, x := j.tree, &j.layout.Vents[v]
	end := t.vents.end[v]
	why := j.Text("The branch vented by circuit vent %s", x.ID)
	if !always {
		foot := r.foot[end]
		if foot < 0 || !j.takesFromAbove(t.parent[foot]) {
			return
		}
		why += j.Text(" takes %d water closets to the stack at %s, where waste from above comes down; it", closets,
			j.id(t.parent[foot]))
	}
	at := j.relief(r, end)
	j.Holds(at >= 0, on("circuit-vent-relief", x.ID, cite), func() finding.Words {
		if at >= 0 {
			return finding.Words{Value: count(closets),
				Reason: why + " is relieved by vent " + j.layout.Vents[at&^wetRelief].ID + "."}
		}
		return finding.Words{Value: count(closets),
			Reason: why + " has no relief vent downstream of its last fixture drain.",
			Fix:    j.Text("Take a relief vent off downstream of %s, before the stack.", x.Through)}
	})
	if at >= wetRelief {
		j.reliefLoad(&j.layout.Vents[at&^wetRelief], t.vents.from[at&^wetRelief])
	}
}

// takesFromAbove reports whether waste comes down a stack to a node from above.
func (j *judge) takesFromAbove(stack int32) bool {
	for k := j.tree.first[stack]; k >= 0; k = j.tree.next[k] {
		if j.tree.point(k).Run.Vertical && j.sizing.load[k] > 0 {
			return true
		}
	}
	return false
}

// reliefLoad judges the waste that drains into a relief vent.
func (j *judge) reliefLoad(x *Vent, from int32) {
	if most, cite, ok := j.units("circuit-relief-max-load"); ok {
		finding.AtMost(j.Judge, on("circuit-relief-load", x.ID, cite), j.sizing.load[from], most,
			finding.Say("The load that drains into the relief vent", "too much",
				"Lead the waste in elsewhere, or relieve the branch by a dry vent."))
	}
}
