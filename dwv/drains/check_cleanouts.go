package drains

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// cleanouts judges where a cable can get in and how far it must go.
func (j *judge) cleanouts() {
	j.cleanoutSizes()
	j.cleanoutSpacing()
	j.cleanoutEnds()
	j.cleanoutTurns()
	j.cleanoutStackBases()
	j.cleanoutExits()
	j.cleanoutReach()
}

func (j *judge) cleanoutSizes() {
	for i, pt := range j.points() {
		o := pt.Cleanout
		if o == nil {
			continue
		}
		if size, cite, err := j.code.CleanoutSize(j.sizing.size[i]); err == nil && o.Size > 0 {
			j.sizeAtLeast(on("cleanout-size", pt.ID, cite), o.Size, size, func() finding.Words {
				return finding.Words{What: "The cleanout", Fix: j.Text("Fit a cleanout of %v.", nominal(size))}
			})
		}
		if clear, cite, err := j.code.CleanoutClearance(j.sizing.size[i]); err == nil && o.Clearance > 0 {
			finding.AtLeast(j.Judge, on("cleanout-clearance", pt.ID, cite), o.Clearance, clear,
				finding.Say("The clearance in front of the cleanout", "too little",
					"Move the cleanout, or keep the space in front of it free."))
		}
	}
}

// cleanoutSpacing looks, at each cleanout and at each outlet, up the drain to the
// farthest cleanout or upper end that has none between, for each limit that a size sets.
func (j *judge) cleanoutSpacing() {
	j.spacing(j.system)
	for i, pt := range j.points() {
		if pt.Cleanout != nil && j.sizing.drains(i) {
			j.spacing(i)
		}
	}
}

func (j *judge) spacing(i int32) {
	if j.access.above[i] == 0 {
		return
	}
	part := dwv.Drain
	if j.tree.point(j.access.end[i]).Run.Part == dwv.Sewer {
		part = dwv.Sewer
	}
	ways := j.waysUp(j.spacings[:0], i, part)
	for k := range ways {
		x := &ways[k]
		finding.AtMost(j.Judge, on("cleanout-spacing", j.id(x.at), x.cite), x.length, x.limit, func() finding.Words {
			what := j.Text("The way up the drain from %s to %s, with no cleanout between,", j.id(x.at), j.id(x.end))
			if x.at != i {
				what = j.Text("The way up from %s to %s in pipe of no more than %v, with no cleanout between,", j.id(x.at),
					j.id(x.end), nominal(x.size))
			}
			return finding.Words{What: what, Placed: true, Off: "too long", Fix: "Set a cleanout between the two."}
		})
	}
	j.spacings = ways
}

// cleanoutWay is a way up a drain without a cleanout between: from a node in pipe of a size
// or less to a cleanout or an upper end.
type cleanoutWay struct {
	at, end             int32
	length, size, limit units.Length
	cite                tables.Citation
}

// waysUp adds the longest way under each limit that drains into root without a cleanout
// between. Where the limit goes by the size of the pipe, a way in smaller pipe is held
// against its own as far as that size goes, and the whole against that of the pipe it ends
// in: a short branch does not set the limit of the main that it enters.
func (j *judge) waysUp(ways []cleanoutWay, root int32, part dwv.Part) []cleanoutWay {
	t := j.tree
	for c := t.first[root]; c >= 0; {
		on := j.sizing.drains(c)
		if on {
			ways = j.wayUp(ways, root, c, part)
			on = t.point(c).Cleanout == nil
		}
		if on && t.first[c] >= 0 {
			c = t.first[c]
			continue
		}
		for c != root && t.next[c] < 0 {
			c = t.parent[c]
		}
		if c == root {
			break
		}
		c = t.next[c]
	}
	return ways
}

// wayUp adds the way up a run, if that ends at its lower end.
func (j *judge) wayUp(ways []cleanoutWay, root, c int32, part dwv.Part) []cleanoutWay {
	size := j.sizing.size[c]
	x := cleanoutWay{at: j.tree.parent[c], end: c, length: j.tree.point(c).Run.Length, size: size}
	if x.at != root && j.sizing.size[x.at] == size {
		return ways // it goes on in pipe of this size
	}
	if j.tree.point(c).Cleanout == nil {
		x.length, x.end = x.length+j.access.above[c], j.access.end[c]
	}
	var err error
	if x.limit, x.cite, err = j.code.CleanoutSpacing(part, size); err != nil {
		return ways
	}
	k := slices.IndexFunc(ways, func(w cleanoutWay) bool { return w.limit == x.limit })
	switch {
	case k < 0:
		ways = append(ways, x)
	case x.length > ways[k].length || x.length == ways[k].length && j.sizing.carriesOn(x.end, ways[k].end):
		ways[k] = x
	}
	return ways
}

// cleanoutEnds asks for a cleanout at the upper end of each horizontal drain where
// the code does.
func (j *judge) cleanoutEnds() {
	n, cite, ok := j.number("cleanout-upper-terminal", "count")
	if !ok || n < 1 {
		return
	}
	omit, _, _ := j.length("cleanout-omit-length")
	twoWay, twoWayAtExit := j.twoWayExit()
	for i := range j.points() {
		// An upper end is a drain that nothing horizontal drains into.
		if !j.sizing.drains(i) {
			continue
		}
		end := true
		for k := j.tree.first[i]; k >= 0; k = j.tree.next[k] {
			end = end && !j.sizing.drains(k)
		}
		if !end {
			continue
		}
		length, covered, sink := j.line(i)
		pt := j.tree.point(i)
		switch {
		case covered && length == 0:
			j.Holds(true, on("cleanout-upper-end", pt.ID, cite), func() finding.Words {
				return finding.Words{Reason: "A cleanout stands at the upper end of the drain at " + pt.ID + "."}
			})
		case length < omit && !sink:
			finding.AtMost(j.Judge, on("cleanout-upper-end", pt.ID, cite), length, omit, func() finding.Words {
				if covered {
					return finding.Words{Reason: j.Text("A cleanout stands %v down the drain from its upper end at %s; so much, "+
						"under %v, needs none of its own.", length, pt.ID, omit)}
				}
				return finding.Words{Reason: j.Text("The drain at %s is %v long and needs no cleanout under %v.", pt.ID,
					length, omit)}
			})
		case covered && length <= omit:
			// The rule says the upper end, and gives no distance. What goes without is shorter than
			// the limit, and serves no sink or urinal.
			j.Ask("cleanout-upper-end", pt.ID, tables.Authority,
				j.Text("The cleanout stands %v down the drain from its upper end at %s, and the rule gives no distance.", length,
					pt.ID), "Ask whether it stands near enough, or set it at the upper end.", cite)
		case pt.Fixture != nil && (pt.Fixture.Kind == "water-closet" || pt.Fixture.Kind == mobileHome ||
			isFloorDrain(pt.Fixture)):
			j.Ask("cleanout-upper-end", pt.ID, tables.Authority,
				j.Text("The drain of %v at %s has no cleanout at its upper end; whether the way in through the fixture "+
					"counts is for the authority to say.", length, pt.ID),
				"Ask the authority, or set a cleanout at the upper end.", cite)
		case twoWayAtExit:
			j.Ask("cleanout-upper-end", pt.ID, tables.Authority,
				j.Text("The drain of %v at %s has no cleanout at its upper end; a two-way cleanout where the drain leaves "+
					"may take the place of one.", length, pt.ID),
				"Ask whether the authority approves it, or set a cleanout at the upper end.", twoWay)
		default:
			f := tables.Finding{Rule: "cleanout-upper-end", Place: pt.ID, Verdict: tables.Fail, Value: length,
				Reason: j.Text("The drain of %v at %s has no cleanout at its upper end.", length, pt.ID),
				Fix:    "Set a cleanout at the upper end.", Citation: cite}
			if length < omit {
				f.Reason += j.Text(" It is shorter than %v, but serves a sink or urinal.", omit)
			}
			j.Add(f)
		}
	}
}

// twoWayExit tells whether a two-way cleanout stands where the system leaves, if the
// code lets one take the place of a cleanout at an upper end.
func (j *judge) twoWayExit() (cite tables.Citation, has bool) {
	r, ok := j.code.Rule("cleanout-two-way")
	if at, _ := j.exit(j.system); ok && at >= 0 && j.access.last[at] >= 0 {
		has = j.tree.point(j.access.last[at]).Cleanout.TwoWay
	}
	return r.Cite, has
}

// line follows a drain from its upper end as long as it carries its line on, and
// returns its length, whether a cleanout stands at the end of that, and whether a
// sink or urinal is at the upper end. It looks no farther than the first cleanout, which
// may be on a riser over the upper end, as in the wall below a sink.
func (j *judge) line(i int32) (length units.Length, covered, sink bool) {
	sink = j.over(i, func(pt *Point) bool {
		return pt.Fixture != nil && (fixture.IsUrinal(pt.Fixture.Kind) || fixture.IsSink(pt.Fixture.Kind))
	})
	if j.over(i, func(pt *Point) bool { return pt.Cleanout != nil }) {
		return 0, true, sink
	}
	for {
		pt := j.tree.point(i)
		if pt.Cleanout != nil {
			return length, true, sink
		}
		length += pt.Run.Length
		p := j.tree.parent[i]
		if int(p) < j.tree.outlets || j.access.primary[p] != i || !j.sizing.drains(p) {
			return length, false, sink
		}
		i = p
	}
}

// over tells whether something is at the upper end of a drain, or on a riser or what else lies
// above the floor over it.
func (j *judge) over(i int32, is func(*Point) bool) bool {
	if is(j.tree.point(i)) {
		return true
	}
	for k := j.tree.first[i]; k >= 0; k = j.tree.next[k] {
		if !j.sizing.drains(k) && j.over(k, is) {
			return true
		}
	}
	return false
}

// mobileHome is the inlet that a home on wheels drains into.
const mobileHome = "mobile-home"

// isRemovable tells whether a fixture, or its trap, can be taken out without altering
// concealed pipe.
func isRemovable(kind string) bool {
	return fixture.IsSink(kind) || fixture.IsUrinal(kind) || fixture.IsLavatory(kind) || kind == "dental-lavatory" ||
		dwv.ClosetsOf(kind) > 0
}

func isFloorDrain(f *tables.Fixture) bool {
	return f.Kind == "floor-drain" || f.Kind == "emergency-floor-drain"
}

// cleanoutTurns looks at the bends of each line in plan: where a run enters the next one, and
// the fittings along a run. Trap arms, which codes rule on apart, are not looked at.
func (j *judge) cleanoutTurns() {
	single, singleCite, hasSingle := j.number("cleanout-turn-single", "deg")
	total, totalCite, hasTotal := j.number("cleanout-turn-total", "deg")
	reach, _, hasReach := j.length("cleanout-turn-reach")
	if !hasSingle && !hasTotal {
		return
	}
	if !hasReach {
		reach = -1
	}
	sum := func(i int32, side string, bends int32) {
		m := sided("cleanout-turn", j.id(i), side, totalCite)
		finding.AtMost(j.Judge, m, angle(bends), angle(total*1000), finding.Say("The sum of the bends since the last "+
			"cleanout", "too much", "Set a cleanout at or before this bend."))
	}
	for i, pt := range j.points() {
		if !j.sizing.drains(i) || j.routes.ventsAbove[i] == 0 && j.routes.serving[i] >= 0 {
			continue
		}
		most, along := bendsAlong(&pt.Run)
		c := j.access.primary[i]
		turn := int32(-1) // unknown
		if c >= 0 && j.sizing.drains(c) {
			turn = j.access.turn[c]
		}
		switch {
		case turn <= 0: // unknown, or straight on
		case hasSingle && turn > int32(single*1000):
			j.singleTurn(i, angle(turn), angle(single*1000), reach, singleCite)
		case hasTotal && pt.Cleanout == nil && j.access.bends[i] > int32(total*1000):
			sum(i, "", j.access.bends[i])
		}
		switch {
		case most <= 0:
		case hasSingle && most > int32(single*1000):
			j.turnAlong(i, angle(most), angle(single*1000), reach, singleCite)
		case hasTotal && j.access.bends[i]+along > int32(total*1000):
			sum(i, "run", j.access.bends[i]+along)
		}
	}
}

// bendsAlong returns the sharpest bend along a run, and the sum of all, in thousandths of a
// degree.
func bendsAlong(run *Run) (most, sum int32) {
	for _, name := range run.Fittings {
		mdeg := max(bendAngle(name), 0)
		most, sum = max(most, mdeg), sum+mdeg
	}
	return most, sum
}

// turnAlong judges a bend somewhere along a run, as singleTurn does one at its upper end: the
// last cleanout upstream is farther from it by no more than the run.
func (j *judge) turnAlong(i int32, turn, limit angle, reach units.Length, cite tables.Citation) {
	m := sided("cleanout-turn", j.id(i), "run", cite)
	last, length := j.access.last[i], j.tree.point(i).Run.Length
	since := j.access.since[i] + length // more than any reach if there is none
	switch {
	case since <= reach && j.bent(last, limit):
		j.Holds(true, m, func() finding.Words {
			return finding.Words{Value: turn, Limit: limit,
				Reason: j.Text("The drain turns %v along the run from %s; the cleanout at the bend %s, no more than %v "+
					"upstream, serves every bend within %v.", turn, m.Place, j.id(last), since, reach)}
		})
	case since-length <= reach:
		j.Add(tables.Finding{Rule: m.Rule, Place: m.Place, Side: m.Side, Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: turn, Limit: limit, Margin: limit - turn, Citation: cite,
			Reason: j.Text("The drain turns %v along the run from %s; the nearest cleanout upstream, %s, stands as much as "+
				"%v from it.", turn, m.Place, j.id(last), since),
			Fix: "Ask whether that cleanout serves this bend, or set one at the bend."})
	case j.servedByFixture(i, length, turn, limit, reach, m):
	default:
		finding.AtMost(j.Judge, m, turn, limit, finding.Say("The turn along the run, with no cleanout to serve the bend,",
			"too much", "Set a cleanout at the bend, or turn in two bends of less."))
	}
}

// singleTurn judges a turn of a line that wants a cleanout at the bend, or at a bend within
// reach upstream.
func (j *judge) singleTurn(i int32, turn, limit angle, reach units.Length, cite tables.Citation) {
	m := on("cleanout-turn", j.id(i), cite)
	last, since := j.access.last[i], j.access.since[i]
	switch within := since <= reach; {
	case j.tree.point(i).Cleanout != nil:
		j.Holds(true, m, func() finding.Words {
			return finding.Words{Value: turn, Limit: limit,
				Reason: j.Text("The drain turns %v at %s and has a cleanout there.", turn, m.Place)}
		})
	case within && j.bent(last, limit):
		j.Holds(true, m, func() finding.Words {
			return finding.Words{Value: turn, Limit: limit,
				Reason: j.Text("The drain turns %v at %s; the cleanout at the bend %s, %v upstream, serves every bend within "+
					"%v.", turn, m.Place, j.id(last), since, reach)}
		})
	case within:
		j.Add(tables.Finding{Rule: m.Rule, Place: m.Place, Verdict: tables.Ask, SettledBy: tables.Authority, Value: turn,
			Limit: limit, Margin: limit - turn, Citation: cite,
			Reason: j.Text("The drain turns %v at %s; the cleanout %s stands %v upstream, within %v, but not at a bend.",
				turn, m.Place, j.id(last), since, reach),
			Fix: "Ask whether that cleanout serves this bend, or set one here."})
	case j.servedByFixture(i, 0, turn, limit, reach, m):
	default:
		finding.AtMost(j.Judge, m, turn, limit, finding.Say("The turn of the drain, with no cleanout to serve the bend,",
			"too much", "Set a cleanout at the bend, or turn in two bends of less."))
	}
}

// ruleCleanoutEquivalent is there in a code that takes a fixture for a cleanout, if it or its
// trap can be taken out and no concealed pipe need be altered.
const ruleCleanoutEquivalent = "cleanout-equivalent"

// servedByFixture passes a bend, as far as so much below a node, that is reached from the
// fixture at the upper end of its line, where the code lets that serve as a cleanout.
func (j *judge) servedByFixture(i int32, below units.Length, turn, limit angle, reach units.Length,
	m finding.Case) bool {
	end, way, ok := j.fixtureAbove(i, below, reach)
	if !ok {
		return false
	}
	r, _ := j.code.Rule(ruleCleanoutEquivalent)
	m.Citation = r.Cite
	j.Holds(true, m, func() finding.Words {
		return finding.Words{Value: turn, Limit: limit,
			Reason: j.Text("The drain turns %v at %s without a cleanout; the fixture %s, %v upstream, can be taken out and "+
				"serves as one.", turn, m.Place, j.id(end), way)}
	})
	return true
}

// fixtureAbove returns the fixture at the upper end of a line, and the way up to it from a
// bend, which lies so much below a node, where the code lets it serve as a cleanout: it can be
// taken out, and lies within reach if the code gives one (less than 0: none).
func (j *judge) fixtureAbove(i int32, below, reach units.Length) (end int32, way units.Length, ok bool) {
	if _, has := j.code.Rule(ruleCleanoutEquivalent); !has {
		return 0, 0, false
	}
	way = below
	for end = i; end >= 0; end = j.access.primary[end] {
		pt := j.tree.point(end)
		if end != i {
			way += pt.Run.Length
		}
		if reach >= 0 && way > reach {
			return 0, 0, false
		}
		if f := pt.Fixture; f != nil && j.access.primary[end] < 0 {
			return end, way, isRemovable(f.Kind) && !pt.Capped
		}
	}
	return 0, 0, false
}

// bent tells whether the line turns by more than the limit at a node.
func (j *judge) bent(i int32, limit angle) bool {
	c := j.access.primary[i]
	return c >= 0 && angle(j.access.turn[c]) > limit
}

func (j *judge) cleanoutStackBases() {
	r, ok := j.code.Rule("cleanout-stack-base")
	if !ok || r.Kind != tables.Value || r.Value == "0" {
		return
	}
	for i, pt := range j.points() {
		p := j.tree.point(j.tree.parent[i])
		if !pt.Run.Vertical || p != nil && p.Run.Vertical {
			continue
		}
		has := pt.Cleanout != nil || p != nil && p.Cleanout != nil
		j.Holds(has, on("cleanout-stack-base", pt.ID, r.Cite), func() finding.Words {
			if has {
				return finding.Words{Reason: "The base of stack " + pt.ID + " has a cleanout."}
			}
			return finding.Words{Reason: "The base of stack " + pt.ID + " has no cleanout.",
				Fix: "Set a cleanout in the stack just above its base, or in the drain at its foot."}
		})
	}
}

// cleanoutExits looks where the system leaves the building.
func (j *judge) cleanoutExits() {
	sys := &j.layout.Systems[j.system]
	if sys.Outlet.Kind != ToSewer && sys.Outlet.Kind != ToTank {
		return
	}
	at, junction := j.exit(j.system)
	if at < 0 {
		return
	}
	since, last, end := j.access.since[at], j.access.last[at], "the junction of building drain and sewer"
	if way, from, wall, beyond := j.sewerBegins(at); wall != "" {
		since, last, junction = way, from, wall
		end = j.Text("where the sewer begins, %v beyond the wall", beyond)
	}
	within, cite, ok := j.length("cleanout-junction-within")
	near := !ok
	if near {
		var straight tables.Citation
		if within, straight, cite, ok = j.nearJunction(); ok && since <= within {
			cite = straight // near enough whatever the book says of the junction
		}
	}
	switch {
	case !ok:
		j.noCleanout()
	case since < far:
		if near && since > within {
			j.Ask("cleanout-junction", junction, tables.Authority,
				j.Text("The last cleanout, %s, stands %v upstream of %s at %s; the code wants one near it and gives no "+
					"length.", j.id(last), since, end, junction),
				"Ask whether it is near enough, or set a cleanout at the junction.", cite)
			break
		}
		finding.AtMost(j.Judge, on("cleanout-junction", junction, cite), since, within, func() finding.Words {
			return finding.Words{What: j.Text("The way from cleanout %s down to %s", j.id(last), end),
				Off: "too long", Fix: "Set a cleanout at the junction, or nearer to it."}
		})
	case near && j.cleanoutBelow(at):
		j.Holds(true, on("cleanout-junction", junction, cite), func() finding.Words {
			return finding.Words{Reason: "A cleanout stands on the sewer, at the lower end of the building drain at " +
				junction + "."}
		})
	default:
		f := tables.Finding{Rule: "cleanout-junction", Place: junction, Verdict: tables.Fail, Limit: within,
			Reason: j.Text("No cleanout stands on the building drain within %v upstream of its junction with the sewer at "+
				"%s.", within, junction),
			Fix: "Set a cleanout at the junction.", Citation: cite}
		if near {
			f.Limit, f.Reason = nil, "No cleanout stands near the junction of building drain and sewer at "+junction+"."
		}
		j.Add(f)
	}
	j.bothWays(at)
}

// sewerBegins tells how far the last cleanout of the drain, and which, stands upstream of where
// the code has a drain become the sewer, so far beyond the wall of the building, if the layout
// carries the drain farther than that and marks none of it as sewer; wall is the point at the
// wall, "" if not so.
func (j *judge) sewerBegins(at int32) (since units.Length, last int32, wall string, beyond units.Length) {
	most, _, ok := j.length("drain-beyond-wall")
	if !ok || j.access.since[at] >= far {
		return 0, -1, "", 0
	}
	way := units.Length(0)
	for i := j.access.primary[at]; i >= 0; i = j.access.primary[i] {
		pt := j.tree.point(i)
		if way += pt.Run.Length; !pt.ThroughWall {
			continue
		}
		if way <= most {
			break // the sewer begins at the outlet
		}
		n, left := i, most
		for ; j.tree.point(n).Run.Length <= left; n = j.tree.parent[n] {
			left -= j.tree.point(n).Run.Length
		}
		if since = j.access.since[n] + left; since > j.access.since[at] {
			break // a cleanout on the sewer is nearer to the outlet than one on the drain to the sewer
		}
		return since, j.access.last[n], pt.ID, most
	}
	return 0, -1, "", 0
}

// nearJunction returns the rule of a code that wants a cleanout near the junction of drain
// and sewer without saying how near; within is what the code lets a straight sewer go
// without one of its own, and as near as that is not asked about.
func (j *judge) nearJunction() (within units.Length, straight, cite tables.Citation, ok bool) {
	r, ok := j.code.Rule("cleanout-junction")
	within, straight, _ = j.length("cleanout-junction-straight")
	return within, straight, r.Cite, ok && r.Kind == tables.Value && r.Value != "0"
}

// cleanoutBelow tells whether a cleanout stands on the sewer downstream of a node.
func (j *judge) cleanoutBelow(at int32) bool {
	for i := at; j.tree.point(i) != nil; i = j.tree.parent[i] {
		if j.tree.point(i).Cleanout != nil {
			return true
		}
	}
	return false
}

// noCleanout asks about a system in which no cable can get in, under a code of which the
// shelf does not know where it wants cleanouts.
func (j *judge) noCleanout() {
	for _, pt := range j.points() {
		if pt.Cleanout != nil {
			return
		}
	}
	if _, _, ok := j.number("cleanout-upper-terminal", "count"); ok {
		return // asked for at each upper end
	}
	j.Ask("cleanout-junction", j.layout.Systems[j.system].ID, tables.Book,
		"System "+j.layout.Systems[j.system].ID+" has no cleanout at all, and our tables do not say where this code "+
			"wants one.",
		"Look up where the code wants cleanouts; set one where the drain leaves.")
}

// exit returns the node where the building drain of a system ends: the outlet, or
// the first sewer run up from it; and what the place is called.
func (j *judge) exit(s int32) (at int32, name string) {
	at = s
	for {
		c := j.access.primary[at]
		if c < 0 || j.tree.point(c).Run.Part != dwv.Sewer {
			break
		}
		at = c
	}
	if c := j.access.primary[at]; c < 0 {
		return -1, ""
	}
	return at, j.id(at)
}

// bothWays notes whether there is an access each way at the last cleanout of a system.
func (j *judge) bothWays(at int32) {
	for i := at; i >= 0; i = j.access.primary[i] {
		pt := j.tree.point(i)
		if pt == nil {
			continue
		}
		if o := pt.Cleanout; o != nil {
			if o.TwoWay {
				j.Holds(true, finding.Case{Rule: "cleanout-both-ways", Place: pt.ID}, func() finding.Words {
					return finding.Words{Reason: "A cable can enter both ways at " + pt.ID + ", where the drain leaves."}
				})
				return
			}
			j.Assume("cleanout-both-ways", pt.ID, "the cleanout where the drain leaves takes a cable one way only; two ways "+
				"are common practice, and no code asks for them", "two_way of the cleanout")
			return
		}
	}
}

// cleanoutReach asks whether the crew's cable gets to every part of the drains.
func (j *judge) cleanoutReach() {
	reach := j.layout.CableReach
	if reach == 0 {
		return
	}
	for i := range j.points() {
		if !j.sizing.drains(i) {
			continue
		}
		pt := j.tree.point(i)
		down, up := j.access.down[i], j.access.up[j.tree.parent[i]]
		length := pt.Run.Length
		left := length
		if down <= reach {
			left -= reach - down
		}
		if up <= reach {
			left -= reach - up
		}
		c := finding.Compared[units.Length]{Value: length, Limit: reach, Margin: -left, Passes: left <= 0,
			Left: float64(-left)}
		finding.Compare(j.Judge, finding.Case{Rule: "cleanout-reach", Place: pt.ID}, c, func() finding.Words {
			if left <= 0 {
				return finding.Words{Reason: "A cable reaches the whole run from " + pt.ID + "."}
			}
			return finding.Words{Reason: j.Text("A cable of %v leaves %v of the run from %s out of reach of every cleanout "+
				"and fixture.", reach, min(left, length), pt.ID), Fix: "Set a cleanout nearer, or bring a longer cable."}
		})
	}
}

// access holds how a cleaning cable gets about the drains below the floor. Every
// slice is indexed by node and filled in a few passes over the tree.
type access struct {
	// primary is the node upstream of each whose run carries the line on, -1 at
	// an upper end; the other runs that come in there are branches.
	primary []int32
	// turn is the change of direction, in thousandths of a degree, where the
	// run of a node enters the next one along the same line; -1 if unknown.
	turn []int32
	// above is the longest way upstream of a node to a cleanout or an upper
	// end, and end is that place.
	above []units.Length
	end   []int32
	// down is the length from the nearest cleanout or opened fixture upstream, along the
	// flow; up from the nearest two-way cleanout downstream, against it. From far
	// on there is none.
	down, up []units.Length
	// bends is the sum of the turns since the last cleanout upstream.
	bends []int32
	// since is the length down the line from the last cleanout upstream, from far on
	// if there is none; last is the cleanout's node.
	since []units.Length
	last  []int32
}

// far is more than any developed length, and stays so with one added to it.
const far = 2 * maxTotal

// drains tells whether the run of a node is one that the cleanout rules for
// horizontal drains look at: horizontal and below the floor.
func (s *Sizing) drains(i int32) bool {
	return !s.tree.point(i).Run.Vertical && !s.above[i]
}

func newAccess(t *tree) *access {
	n := t.len()
	return &access{
		primary: make([]int32, n), turn: make([]int32, n), above: make([]units.Length, n), end: make([]int32, n),
		down: make([]units.Length, n), up: make([]units.Length, n), bends: make([]int32, n),
		since: make([]units.Length, n), last: make([]int32, n),
	}
}

// access finds the ways of a cable in every system.
func (s *Sizing) access() *access {
	a := newAccess(s.tree)
	for sys := range int32(s.tree.outlets) {
		a.fill(s, sys)
	}
	return a
}

func (a *access) none(i int32) {
	a.primary[i], a.turn[i], a.last[i] = -1, -1, -1
	a.end[i] = i
	a.down[i], a.up[i], a.since[i] = far, far, far
}

// fill finds the ways of a cable in a system.
func (a *access) fill(s *Sizing, sys int32) {
	t := s.tree
	order := t.of(sys)
	a.none(sys)
	for i := range t.in(sys) {
		a.none(i)
	}
	for _, i := range order {
		p := t.parent[i]
		if b := a.primary[p]; b < 0 || s.carriesOn(i, b) {
			a.primary[p] = i
		}
	}
	for _, i := range order {
		pt := t.point(i)
		p := t.parent[i]
		if c := a.primary[i]; c >= 0 && s.drains(i) && s.drains(c) {
			if m, ok := s.bearing(c).Turn(s.bearing(i)); ok {
				a.turn[c] = m
			}
			if pt.Cleanout == nil {
				a.last[i], a.since[i] = a.last[c], a.since[c]+t.point(c).Run.Length
				_, along := bendsAlong(&t.point(c).Run)
				a.bends[i] = a.bends[c] + along + max(a.turn[c], 0)
			}
		}
		if pt.Cleanout != nil {
			a.since[i], a.last[i] = 0, i
			a.bends[i] = 0
			// The way upstream is measured up to here; above this point the
			// check at the cleanout itself looks.
		}
		if pt.Cleanout != nil || pt.Fixture != nil {
			a.down[i] = 0
		}
		a.down[p] = min(a.down[p], a.down[i]+pt.Run.Length)
		if !s.drains(i) {
			continue
		}
		from, end := a.above[i], a.end[i]
		if pt.Cleanout != nil {
			from, end = 0, i
		}
		if reach := from + pt.Run.Length; reach > a.above[p] || reach == a.above[p] && s.carriesOn(end, a.end[p]) {
			a.above[p], a.end[p] = reach, end
		}
	}
	if c := a.primary[sys]; c >= 0 && s.drains(c) {
		a.last[sys], a.since[sys] = a.last[c], a.since[c]+t.point(c).Run.Length
	}
	for _, i := range slices.Backward(order) {
		pt := t.point(i)
		switch p := t.parent[i]; {
		case pt.Cleanout != nil && pt.Cleanout.TwoWay:
			a.up[i] = 0
		case s.drains(i):
			a.up[i] = a.up[p] + pt.Run.Length
		}
	}
}

// carriesOn tells whether, of two runs, i carries the
// line on rather than j: one that comes straight on does, else the one with the
// greater load. It looks at what the runs are, not at their ids or order, as far as
// that tells them apart.
func (s *Sizing) carriesOn(i, j int32) bool {
	a, b := s.tree.point(i), s.tree.point(j)
	if s.straight[i] != s.straight[j] {
		return s.straight[i]
	}
	if c := cmp.Compare(s.load[i], s.load[j]); c != 0 {
		return c > 0
	}
	return cmp.Or(cmp.Compare(s.size[i], s.size[j]), cmp.Compare(a.Run.Length, b.Run.Length),
		a.Run.Grade.Compare(b.Run.Grade), a.Run.Bearing.Compare(b.Run.Bearing), cmp.Compare(b.ID, a.ID)) > 0
}

// goesStraight tells whether a run enters the next without a turn.
func (s *Sizing) goesStraight(i int32) bool {
	p := s.tree.parent[i]
	pt, next := s.tree.point(i), s.tree.point(p)
	if next == nil || pt.Run.Vertical != next.Run.Vertical {
		return false
	}
	if pt.Run.Vertical {
		return true
	}
	m, ok := s.bearing(i).Turn(s.bearing(p))
	return ok && m == 0
}

// bearing returns the direction of flow of a run: as stated, or from the plan
// coordinates of its ends.
func (s *Sizing) bearing(i int32) Bearing {
	pt := s.tree.point(i)
	if !pt.Run.Bearing.IsZero() || pt.Run.Vertical {
		return pt.Run.Bearing
	}
	if next := s.tree.point(s.tree.parent[i]); next != nil && pt.At != nil && next.At != nil {
		return plan.BearingOf(*pt.At, *next.At)
	}
	return Bearing{}
}

// urinals asks for a cleanout at each urinal, where the code does: at the urinal
// itself or where its drain joins another.
func (j *judge) urinals() {
	n, cite, ok := j.number("cleanout-urinal", "count")
	if !ok || n < 1 {
		return
	}
	for i, pt := range j.points() {
		if pt.Fixture == nil || !fixture.IsUrinal(pt.Fixture.Kind) {
			continue
		}
		next := j.tree.point(j.tree.parent[i])
		has := pt.Cleanout != nil || next != nil && next.Cleanout != nil
		if has && pt.Fixture.Count > 1 {
			j.Ask("cleanout-urinal", pt.ID, tables.Designer,
				j.Text("%d urinals are drawn at %s, and each needs a cleanout.", pt.Fixture.Count, pt.ID),
				"Draw each urinal with its cleanout.", cite)
			continue
		}
		j.Holds(has, on("cleanout-urinal", pt.ID, cite), func() finding.Words {
			if has {
				return finding.Words{Reason: "A cleanout stands at urinal " + pt.ID + "."}
			}
			return finding.Words{Reason: "No cleanout is drawn at urinal " + pt.ID + " or where its drain joins.",
				Fix: "Set a cleanout above the connection of the urinal."}
		})
	}
}
