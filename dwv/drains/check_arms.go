package drains

import (
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// armGrades judges how steep each trap arm is, where the code prints a greatest
// grade beside its length. What stands over its own trap, as a water closet does, is
// not held to that table.
func (j *judge) armGrades() {
	if !j.code.CapsArms() {
		return
	}
	t, r := j.tree, j.routes
	// The steepest run on the way from a node down to its vent, -1 for none.
	steepest := j.work.node(0, j.system)
	steepest[j.system] = -1
	for _, i := range slices.Backward(j.order) {
		steepest[i] = -1
		if r.serving[i] < 0 || r.vent[i] >= 0 {
			continue
		}
		steepest[i] = steepest[t.parent[i]]
		run := &t.point(i).Run
		if s := steepest[i]; !run.Vertical && (s < 0 || run.Grade.Compare(t.point(s).Run.Grade) > 0) {
			steepest[i] = i
		}
	}
	for i := j.lo; i < j.hi; i++ {
		pt := t.point(i)
		if pt.Fixture == nil || pt.Fixture.Kind == "water-closet" || r.serving[i] < 0 {
			continue
		}
		j.armGrade(i, pt, steepest[i])
	}
}

func (j *judge) armGrade(i int32, pt *Point, steepest int32) {
	size := j.sizing.size[i]
	if pt.Trap != nil && pt.Trap.Size > 0 {
		size = min(size, pt.Trap.Size)
	}
	arm, err := j.code.TrapArm(size)
	if err != nil || arm.MaxGrade.IsLevel() {
		return // trap-arm-length says that the table has no such size
	}
	var g slope.Grade
	if steepest >= 0 {
		g = j.tree.point(steepest).Run.Grade
	}
	// What lies before the run has the run's grade if its own fall is not given.
	if tr := pt.Trap; tr != nil && tr.Arm > 0 {
		own := pt.Run.Grade
		if tr.Fall > 0 {
			own, err = slope.Of(tr.Fall, tr.Arm)
		}
		if err == nil && own.Compare(g) > 0 {
			g = own
		}
	}
	if g.IsLevel() {
		return // no grade is given: the arm ends at its riser
	}
	over := g.Compare(arm.MaxGrade) > 0
	if !over && j.skips(arm.Citation) {
		return
	}
	f := tables.Finding{Rule: "trap-arm-grade", Place: pt.ID, Verdict: tables.Pass, Value: g, Limit: arm.MaxGrade,
		Citation: arm.Citation}
	if over || !j.brief(arm.Citation) {
		f.Reason = j.text("the trap arm to the vent at %s falls %v at its steepest, and may fall %v",
			j.id(j.routes.reached[i]), g, arm.MaxGrade)
	}
	if m, err := arm.MaxGrade.Sub(g); err == nil {
		f.Margin = m
	}
	if over {
		f.Verdict, f.Fix = tables.Fail,
			"Lay the arm flatter, or move the vent nearer to the trap: a steep arm empties its trap."
	}
	j.add(f)
}

// armTurns judges how much each trap arm turns in plan, where the code limits it. A
// turn at a cleanout does not count, nor does one at the vent; what a water closet
// stands on is no arm.
func (j *judge) armTurns() {
	most, cite, ok := j.number("trap-arm-turn", "deg")
	if !ok {
		return
	}
	wide, wideCite, hasWide := j.number("trap-arm-turn-large", "deg")
	from, _, _ := j.length("trap-arm-turn-large-from")
	t, r := j.tree, j.routes
	// The turns from the upper end of a run down to its vent, and whether they are
	// all known.
	turned, known := j.work.node(0, j.system), j.work.flag(0, j.system)
	for _, i := range slices.Backward(j.order) {
		known[i] = true
		p := t.parent[i]
		if r.serving[i] < 0 {
			continue
		}
		run := &t.point(i).Run
		for _, name := range run.Fittings {
			mdeg := bendAngle(name)
			known[i] = known[i] && mdeg > 0
			turned[i] += max(mdeg, 0)
		}
		if r.vent[p] >= 0 {
			continue
		}
		turned[i] += turned[p]
		known[i] = known[i] && known[p]
		if next := t.point(p); next != nil && next.Cleanout == nil && !run.Vertical && !next.Run.Vertical {
			turn := j.sizing.turn(i, p)
			known[i] = known[i] && turn >= 0
			turned[i] += max(turn, 0)
		}
	}
	for i := j.lo; i < j.hi; i++ {
		pt := t.point(i)
		if pt.Fixture == nil || pt.Fixture.Kind == "water-closet" || r.serving[i] < 0 || r.vent[i] >= 0 {
			continue
		}
		limit, c := angle(most*1000), cite
		if hasWide && j.sizing.size[i] >= from {
			limit, c = angle(wide*1000), wideCite
		}
		j.armTurn(i, angle(turned[i]), limit, known[i], c)
	}
}

func (j *judge) armTurn(i int32, turn, limit angle, known bool, cite tables.Citation) {
	over := turn > limit
	if !over && (!known || j.skips(cite)) {
		return // what is not drawn is not judged
	}
	f := tables.Finding{Rule: "trap-arm-turn", Place: j.id(i), Verdict: tables.Pass, Value: turn, Limit: limit,
		Margin: limit - turn, Citation: cite}
	if over || !j.brief(cite) {
		f.Reason = j.text("the trap arm to the vent at %s turns by %v, and may turn by %v without a cleanout",
			j.id(j.routes.reached[i]), turn, limit)
	}
	if over {
		f.Verdict, f.Fix = tables.Fail, "Run the arm straighter, set a cleanout at a turn, or move the vent nearer."
	}
	j.add(f)
}

// bendAngle returns the angle of a bend by its name, in thousandths of a degree, -1
// for a fitting that is none.
func bendAngle(kind string) int32 {
	for _, b := range bends {
		if b.kind == kind {
			return b.mdeg
		}
	}
	return -1
}

// armFigures are the rules of a code about trap arms.
type armFigures struct {
	most      float64 // fall, in pipe diameters
	mostCite  tables.Citation
	hasMost   bool
	closet    tables.Rule // that the fall of a water closet's drain is limited too
	hasCloset bool
	reach     tables.Cell[units.Length] // of unvented emergency floor drains
	reachCite tables.Citation
}

func (j *judge) armFigures() armFigures {
	var a armFigures
	a.most, a.mostCite, a.hasMost = j.number("trap-arm-max-fall", "pipe diameters")
	a.closet, a.hasCloset = j.code.Rule("trap-arm-fall-closet")
	var err error
	if a.reach, a.reachCite, err = j.code.RuleLength("floor-drain-unvented-reach"); err != nil {
		a.reach.Kind = tables.NotPermitted
	}
	return a
}

// arm judges the way from a trap weir to its vent.
func (j *judge) arm(i int32, pt *Point, a *armFigures) {
	r := j.routes
	f := pt.Fixture
	closet := f.Kind == "water-closet"
	if r.serving[i] < 0 || f.Kind == "emergency-floor-drain" && a.reach.Kind == tables.Value && r.joinsVentedLine(i) {
		j.unvented(i, pt, a)
		return
	}
	at := j.id(r.reached[i])
	length, fall := r.arm[i], r.fall[i]
	if t := pt.Trap; t != nil {
		length += t.Arm
		switch {
		case t.Fall > 0:
			fall += t.Fall
		case !pt.Run.Vertical:
			fall += pt.Run.Grade.Over(t.Arm)
		}
	}
	size, sure := j.armSize(i)
	if length == 0 && !closet {
		j.armUnstated(pt, size, at)
	} else {
		j.armLength(i, size, length, at)
	}
	fallCite := a.mostCite
	if closet {
		if a.closet.Cite.Status() < fallCite.Status() {
			fallCite = a.closet.Cite
		}
		// A drop is not fall by slope, and the trap of a closet is not emptied by one.
		fall -= j.drops(i)
	}
	if a.hasMost && (!closet || a.hasCloset) {
		most := scale(size, a.most)
		if !j.quiet(most-fall, fallCite) {
			what := ""
			if !j.wordless(most-fall, fallCite) {
				what = "the fall of the trap arm to the vent at " + at
			}
			if !sure && fall > most && fall <= scale(j.sizing.size[i], a.most) {
				j.Ask("trap-arm-fall", pt.ID, tables.Designer,
					j.text("the trap arm falls %v to the vent at %s, more than the bore of a trap of %v, and the "+
						"layout does not state the trap", fall, at, nominal(size)),
					"State the size of the trap (trap: size).", fallCite)
			} else {
				j.atMost("trap-arm-fall", pt.ID, fall, most, fallCite, what,
					"Move the vent nearer or lay the arm flatter: more than a bore of fall and the opening of the "+
						"vent lies below the trap weir.")
			}
		}
	}
	if r.risers[i] && !closet {
		j.armDrops(pt, a, size, fall, at)
	}
	if n := r.shared[i]; n > 0 {
		v := &j.layout.Vents[r.serving[i]]
		if v.Kind != VentCommon || n > 1 {
			j.Ask("trap-arm-shared", pt.ID, tables.Designer,
				j.text("other drains join the trap arm before or at its vent at %s, and vent %q is drawn as %s", at,
					v.ID, v.Kind),
				"Vent each trap before it joins, or say how they are vented together: common, wet or circuit.",
				tables.Citation{})
		}
	}
}

// armSize returns the size by which the trap arm of a fixture is judged: that of its run,
// or of its trap if that is less. Where the fixture stands on a riser its run is the riser
// and tells nothing of the arm: the trap's size counts, and sure is false where it is not
// stated, for the code's trap of the fixture is only the least.
func (j *judge) armSize(i int32) (size units.Length, sure bool) {
	pt := j.tree.point(i)
	size = j.sizing.size[i]
	if t := pt.Trap; t != nil && t.Size > 0 {
		return min(size, t.Size), true
	}
	if !pt.Run.Vertical || pt.Fixture.Kind == "water-closet" {
		return size, true
	}
	trap, _ := j.trapSize(i)
	return min(size, trap), pt.outletSize() > 0
}

// armDrops judges a trap arm that drops before its vent. Codes that limit its fall to a bore
// forbid it by that; of others the tables do not tell.
func (j *judge) armDrops(pt *Point, a *armFigures, size, fall units.Length, at string) {
	reason := "the trap arm drops before it reaches its vent at " + at + ": an S-trap, which siphons itself dry"
	const fix = "Take the vent off before the drop."
	if !a.hasMost {
		j.Ask("trap-arm-riser", pt.ID, tables.Authority,
			reason+"; codes forbid it, and the tables of this code lack the rule",
			fix+" Leave it so only if the authority allows it.", tables.Citation{})
		return
	}
	most := scale(size, a.most)
	j.add(tables.Finding{Rule: "trap-arm-riser", Place: pt.ID, Verdict: tables.Fail, Value: fall, Limit: most,
		Margin: most - fall,
		Reason: reason, Fix: fix, Citation: a.mostCite})
}

// drops adds up what the way from a fixture to its vent falls upright.
func (j *judge) drops(i int32) units.Length {
	var sum units.Length
	for n := i; n != j.routes.reached[i]; n = j.tree.parent[n] {
		run := &j.tree.point(n).Run
		sum += run.Drop
		if run.Vertical {
			sum += run.Length
		}
	}
	return sum
}

// armUnstated asks for the length of a trap arm that is not drawn, for its vent takes off
// where the fixture stands, and that the layout does not state.
func (j *judge) armUnstated(pt *Point, size units.Length, at string) {
	const remedy = "State the developed length from the trap weir to the vent (trap: arm)."
	reason := j.text("the layout does not say how long the trap arm to the vent at %s is", at)
	arm, err := j.code.TrapArm(size)
	if err == nil && arm.MinLength > 0 {
		j.Ask("trap-arm-min-length", pt.ID, tables.Designer, reason, remedy, arm.MinCitation)
	}
	j.Ask("trap-arm-length", pt.ID, tables.Designer, reason, remedy, arm.Citation)
}

// armLength sets the developed length against the code's table, or against its
// rule for fixtures that empty their own trap.
func (j *judge) armLength(i int32, size, length units.Length, at string) {
	pt := j.tree.point(i)
	closet := pt.Fixture.Kind == "water-closet"
	var limit tables.Cell[units.Length]
	var cite tables.Citation
	var err error
	if closet {
		limit, cite, err = j.code.ClosetArm()
	} else {
		var arm dwv.TrapArm
		arm, err = j.code.TrapArm(size)
		limit, cite = arm.MaxLength, arm.Citation
		if err == nil {
			j.armLeast(i, &arm, length, at)
		}
	}
	switch {
	case err != nil:
		j.Ask("trap-arm-length", pt.ID, tables.Authority,
			j.text("the trap arm to the vent at %s is %v, and %v", at, length, err),
			"Ask the authority for the length.", cite)
	case closet && limit.Kind == tables.Value:
		j.armAtMost(i, size, length, limit.Value, cite, at)
	case limit.Kind == tables.Value:
		j.armByTrap(i, size, length, at)
	case limit.Kind == tables.Unlimited:
		if !j.skips(cite) {
			j.add(tables.Finding{Rule: "trap-arm-length", Place: pt.ID, Verdict: tables.Pass, Value: length,
				Reason: j.text("the way to the vent at %s is %v, and the code sets no limit for this fixture", at,
					length), Citation: cite})
		}
	default:
		j.Ask("trap-arm-length", pt.ID, tables.Authority,
			j.text("the way to the vent at %s is %v, and the code gives no figure for this fixture", at, length),
			"Ask the authority for the length.", cite)
	}
}

// armLeast judges that an arm is no crown vent. Where the trap is not stated, one as large
// as the riser it enters might need more.
func (j *judge) armLeast(i int32, arm *dwv.TrapArm, length units.Length, at string) {
	least, cite := arm.MinLength, arm.MinCitation
	if least == 0 {
		return
	}
	if _, sure := j.armSize(i); !sure && length >= least {
		if large, err := j.code.TrapArm(j.sizing.size[i]); err == nil && length < large.MinLength {
			j.Ask("trap-arm-min-length", j.id(i), tables.Designer,
				j.text("the way from the trap weir to the vent at %s is %v, less than the %v of a trap as large as "+
					"the riser, and the "+
					"layout does not state the trap", at, length, large.MinLength),
				"State the size of the trap (trap: size), or set the vent farther from it.", cite)
			return
		}
	}
	if j.quiet(length-least, cite) {
		return
	}
	what := ""
	if !j.wordless(length-least, cite) {
		what = "the way from the trap weir to the vent at " + at
	}
	j.atLeast("trap-arm-min-length", j.id(i), length, least, cite, what,
		"Set the vent farther from the trap: so near it would be a crown vent.")
}

// armAtMost sets the developed length of an arm against its limit, that of its trap where
// size is not the arm's.
func (j *judge) armAtMost(i int32, size, length, limit units.Length, cite tables.Citation, at string) {
	pt, what := j.tree.point(i), ""
	switch {
	case j.wordless(limit-length, cite):
	case size == j.sizing.size[i]:
		what = j.text("the way from the trap weir along the %v arm to the vent at %s", nominal(size), at)
	default:
		what = j.text("the way from the trap weir along the trap arm to the vent at %s, for a trap of %v,", at,
			nominal(size))
	}
	j.atMost("trap-arm-length", pt.ID, length, limit, cite, what,
		"Move the vent nearer to the trap, or run a larger arm if its trap allows.")
}

// ruleArmBy says whether a code's table of trap arms goes by the trap or by the arm.
const ruleArmBy = "trap-arm-by"

// armByTrap judges the length of an arm as the code's table is headed: by the arm, or by
// the trap. There an arm larger than its trap is a question, if the answer hangs on which
// of the two counts; and so is a trap that neither the layout nor the code gives, if it
// hangs on the smallest there may be. Where the code's heading is not known the smaller
// counts.
func (j *judge) armByTrap(i int32, size, length units.Length, at string) {
	pt, pipe := j.tree.point(i), j.sizing.size[i]
	if pt.Run.Vertical {
		j.armIntoRiser(i, size, length, at)
		return
	}
	small, _ := j.code.TrapArm(size)
	large, err := j.code.TrapArm(pipe)
	by, known := j.code.Rule(ruleArmBy)
	if known && by.String() == "arm" && err == nil && large.MaxLength.Kind == tables.Value {
		j.armAtMost(i, pipe, length, large.MaxLength.Value, large.Citation, at)
		return
	}
	trap, stated := j.trapSize(i)
	if known && by.String() == "trap" && trap < size {
		if arm, err := j.code.TrapArm(trap); err == nil && arm.MaxLength.Kind == tables.Value {
			small, size = arm, trap
		}
	}
	most := small.MaxLength.Value
	if !known || err != nil || large.MaxLength.Kind != tables.Value || length <= most ||
		length > large.MaxLength.Value {
		if !stated && length <= most {
			size, most, small = pipe, large.MaxLength.Value, large // nothing hangs on the trap
		}
		j.armAtMost(i, size, length, most, small.Citation, at)
		return
	}
	reason := "the trap arm to the vent at %s is %v: a trap of %v may be %v from its vent, and the arm is of %v, " +
		"which as a trap might be %v"
	remedy := j.text("The table goes by the trap: move the vent to within %v, or ask whether a larger arm earns the "+
		"longer way.", most)
	if !stated {
		reason = "the trap arm to the vent at %s is %v, and the size of the trap is not stated: one of %v may be %v " +
			"from its vent, one of %v %v"
		remedy = "State the size of the trap (trap: size)."
	}
	j.Ask("trap-arm-length", pt.ID, tables.Designer,
		j.text(reason, at, length, nominal(size), most, nominal(pipe), large.MaxLength.Value), remedy, small.Citation)
}

// armIntoRiser judges the length of an arm that enters a riser, by its trap; a trap that
// the layout does not state is a question, if one as large as the riser would do.
func (j *judge) armIntoRiser(i int32, size, length units.Length, at string) {
	arm, _ := j.code.TrapArm(size)
	_, sure := j.armSize(i)
	most := arm.MaxLength.Value
	large, err := j.code.TrapArm(j.sizing.size[i])
	if sure || length <= most || err == nil && large.MaxLength.Kind == tables.Value && length > large.MaxLength.Value {
		j.armAtMost(i, size, length, most, arm.Citation, at)
		return
	}
	j.Ask("trap-arm-length", j.id(i), tables.Designer,
		j.text("the trap arm to the vent at %s is %v, and the size of its trap is not stated: one of %v may be %v "+
			"from its vent", at, length, nominal(size), most),
		"State the size of the trap (trap: size), or move the vent nearer to it.", arm.Citation)
}

// trapSize returns the trap of a fixture, as stated or as the code has it for the
// fixture; where neither gives one, the smallest there may be.
func (j *judge) trapSize(i int32) (trap units.Length, stated bool) {
	trap = j.tree.point(i).outletSize()
	if k := j.sizing.fixture[i]; trap == 0 && k >= 0 {
		trap = j.sizing.rated[k].TrapSize
	}
	if trap == 0 {
		return j.code.LeastTrapArm(), false
	}
	return trap, true
}

// unvented judges a fixture whose drain meets no vent of its own.
func (j *judge) unvented(i int32, pt *Point, a *armFigures) {
	way, at := j.routes.line[i], "the outlet"
	if way >= 0 {
		at = j.id(j.routes.lineAt[i])
	}
	if pt.Trap != nil && way >= 0 {
		way += pt.Trap.Arm
	}
	receives := pt.Receptor != nil || pt.Drip || pt.Continuous > 0
	switch {
	case pt.Fixture.Kind == "emergency-floor-drain" && receives:
		j.add(tables.Finding{Rule: "floor-drain-unvented", Place: pt.ID, Verdict: tables.Fail,
			Reason: "this floor drain takes waste or a steady drip, so it is no emergency drain and must be vented",
			Fix:    "Vent it, or lead the drip elsewhere."})
	case pt.Fixture.Kind == "emergency-floor-drain" && a.reach.Kind == tables.Value && way >= 0:
		j.atMost("floor-drain-unvented", pt.ID, way, a.reach.Value, a.reachCite,
			"the way from this unvented emergency floor drain to the vented line at "+at,
			"Vent the floor drain, or bring it nearer to a vented line.")
	case pt.Fixture.Kind == "emergency-floor-drain" && a.reach.Kind == tables.Value:
		j.add(tables.Finding{Rule: "floor-drain-unvented", Place: pt.ID, Verdict: tables.Fail, Limit: a.reach.Value,
			Reason: "this unvented emergency floor drain reaches the outlet without meeting a vented line",
			Fix:    "Vent the floor drain.", Citation: a.reachCite})
	case pt.Fixture.Kind == "emergency-floor-drain":
		v := tables.Finding{Rule: "floor-drain-unvented", Place: pt.ID, Verdict: tables.Fail,
			Reason: "this emergency floor drain has no vent, and the code in force gives no distance within which " +
				"it may do without",
			Fix:      "Vent it, or ask whether the locality allows an unvented emergency drain near a vented line.",
			Citation: a.reachCite}
		if way >= 0 {
			v.Value = way
		}
		j.add(v)
	case pt.Capped: // see future
	case j.combination(i, pt):
	case j.commonUnnamed(i, pt):
	default:
		f := tables.Finding{Rule: "trap-vented", Place: pt.ID, Verdict: tables.Fail,
			Reason: "the trap reaches " + at + " without meeting a vent of its own", Fix: "Vent the trap."}
		// The table that gives the way to the vent is where the code asks for one. That a
		// vent is missing does not hang on the figure.
		arm, err := j.code.TrapArm(j.sizing.size[i])
		table := j.code.TrapArmTable()
		switch {
		case err != nil && table.Status().Firm():
			f.Citation = table // of a size that the table does not have
		case err == nil && arm.Citation.Status().Firm():
			f.Citation = arm.Citation
			if most, ok := arm.MaxLength.Get(); ok && pt.Fixture.Kind != "water-closet" {
				f.Fix = j.text("Vent the trap within %v of its weir.", most)
			}
		}
		j.add(f)
	}
}

// commonUnnamed asks whether a trap is the lower of the two of a common vent that takes off
// above it for one fixture and does not say what it vents below.
func (j *judge) commonUnnamed(i int32, pt *Point) bool {
	g := &j.tree.vents
	for v := range j.layout.Vents {
		x := &j.layout.Vents[v]
		if x.Kind != VentCommon || g.thru[v] >= 0 || j.sizing.vents[v].Fixtures > 1 || int(g.from[v]) < j.tree.outlets {
			continue
		}
		joint := j.tree.parent[g.from[v]]
		for int(joint) >= j.tree.outlets && j.tree.point(joint).Fixture == nil && j.tree.next[j.tree.first[joint]] < 0 {
			joint = j.tree.parent[joint]
		}
		n := i
		for int(n) >= j.tree.outlets && n != joint {
			n = j.tree.parent[n]
		}
		if int(joint) < j.tree.outlets || n != joint {
			continue
		}
		j.Ask("trap-vented", pt.ID, tables.Designer,
			j.text("common vent %q takes off above this trap and names no lower fixture", x.ID),
			j.text("Name the lower fixture, or where it joins (vents: %s: through), if the two share the vent; if "+
				"not, vent the trap.", x.ID), tables.Citation{})
		return true
	}
	return false
}

// scale returns a number of diameters of a pipe, to the nearest nanometre.
func scale(size units.Length, diameters float64) units.Length {
	return units.Length(float64(size)*diameters + 0.5)
}
