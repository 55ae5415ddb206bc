package drains

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
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
	for i, pt := range j.points() {
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
	j.gradeAtMost(on("trap-arm-grade", pt.ID, arm.Citation), g, arm.MaxGrade,
		finding.Say("The steepest grade of the trap arm", "too steep",
			"Lay the arm flatter, or move the vent nearer to the trap: a steep arm empties its trap."))
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
	for i, pt := range j.points() {
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
	if turn <= limit && !known {
		return // what is not drawn is not judged
	}
	finding.AtMost(j.Judge, on("trap-arm-turn", j.id(i), cite), turn, limit,
		finding.Say("The turn of the trap arm, without a cleanout,", "too much",
			"Run the arm straighter, set a cleanout at a turn, or move the vent nearer."))
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
	by        string // what the table of trap arms goes by, "trap" or "arm"; "": the code does not say
}

func (j *judge) armFigures() armFigures {
	var a armFigures
	a.most, a.mostCite, a.hasMost = j.number("trap-arm-max-fall", "pipe diameters")
	a.closet, a.hasCloset = j.code.Rule("trap-arm-fall-closet")
	var err error
	if a.reach, a.reachCite, err = j.code.RuleLength("floor-drain-unvented-reach"); err != nil {
		a.reach.Kind = tables.NotPermitted
	}
	if by, ok := j.code.Rule(ruleArmBy); ok {
		a.by = by.String()
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
	if (r.shared[i] > 0 || r.risers[i]) && j.unventedPipe(i, pt) {
		return // it may join the drain first, and drop on its way
	}
	at := j.id(r.reached[i])
	length, fall := r.arm[i], r.fall[i]
	if t := pt.Trap; t != nil {
		length, fall = length+t.Arm, fall+cmp.Or(t.Fall, pt.Run.Grade.Over(t.Arm))
	}
	size, sure := j.armSize(i)
	if length == 0 && !closet {
		j.armUnstated(pt, size, at)
	} else {
		j.armLength(i, size, length, a.by)
	}
	fallCite := a.mostCite
	if closet {
		if a.closet.Cite.Status() < fallCite.Status() {
			fallCite = a.closet.Cite
		}
		// A drop is not fall by slope, and the trap of a closet is not emptied by one.
		fall -= j.drops(i)
	}
	if most := scale(size, a.most); a.hasMost && (!closet || a.hasCloset) {
		if !sure && fall > most && (fall <= scale(j.sizing.size[i], a.most) || j.sizing.size[i] == 0) {
			j.Ask("trap-arm-fall", pt.ID, tables.Designer,
				j.Text("The trap arm at %s falls %v to its vent, more than the bore of a %v trap; the layout does not "+
					"state the trap.", pt.ID, fall, nominal(size)),
				"State the size of the trap (trap: size).", fallCite)
		} else {
			finding.AtMost(j.Judge, on("trap-arm-fall", pt.ID, fallCite), fall, most,
				finding.Say("The fall of the trap arm to its vent", "too much",
					"Move the vent nearer or lay the arm flatter: more than a bore of fall and the opening of the "+
						"vent lies below the trap weir."))
		}
	}
	if r.risers[i] && !closet {
		j.armDrops(pt, a, size, fall)
	}
	j.manyOnArm(i, pt)
	if n := r.shared[i]; n > 0 {
		v := &j.layout.Vents[r.serving[i]]
		if (v.Kind != VentCommon || n > 1) && !j.unventedPipe(i, pt) {
			fix := "Vent each trap before it joins, or say how they are vented together: common, wet or circuit."
			if v.Kind == VentCircuit || v.Kind == VentWet {
				fix = j.Text("Take vent %s off upstream of where they join, or vent this trap before they do.", v.ID)
			}
			j.Ask("trap-arm-shared", pt.ID, tables.Designer,
				j.Text("Other drains join the trap arm at %s before or at its vent, and vent %q is drawn as %s.", pt.ID,
					v.ID, v.Kind), fix)
		}
	}
}

// onOneTrap is how many sinks or lavatories side by side may share a trap.
const onOneTrap = 3

// manyOnArm asks about several fixtures that are drawn as one on one trap arm to a dry vent.
// What a common vent serves is counted with the vent, and a few basins share a trap.
func (j *judge) manyOnArm(i int32, pt *Point) {
	n, v := pt.Fixture.Count, &j.layout.Vents[j.routes.serving[i]]
	basin := fixture.IsSink(pt.Fixture.Kind) || fixture.IsLavatory(pt.Fixture.Kind)
	if n < 2 || v.Kind == VentCommon || n <= onOneTrap && basin || v.Kind == VentCircuit ||
		v.Kind == VentWet && !basin {
		return
	}
	j.Ask("trap-arm-shared", pt.ID, tables.Designer,
		j.Text("%d x %s are drawn as one at %s, with one trap arm to vent %s.", n, spaced(pt.Fixture.Kind), pt.ID, v.ID),
		"Draw each with its own trap arm, or say how they are vented together: common (two), wet or circuit.")
}

// armSize returns the size by which the trap arm of a fixture is judged: that of its run,
// or of its trap if that is less. Where the fixture stands on a riser its run is the riser
// and tells nothing of the arm: the trap's size counts, and sure is false where it is not
// stated, for the code's trap of the fixture is only the least.
func (j *judge) armSize(i int32) (size units.Length, sure bool) {
	pt := j.tree.point(i)
	size = j.sizing.size[i]
	trap, _ := j.trapSize(i)
	if size == 0 { // a run that could not be sized tells nothing of the arm
		return trap, pt.outletSize() > 0
	}
	if t := pt.Trap; t != nil && t.Size > 0 {
		return min(size, t.Size), true
	}
	if !pt.Run.Vertical || pt.Fixture.Kind == "water-closet" {
		return size, true
	}
	return min(size, trap), pt.outletSize() > 0
}

// armDrops judges a trap arm that drops before its vent. Codes that limit its fall to a bore
// forbid it by that; of others the tables do not tell.
func (j *judge) armDrops(pt *Point, a *armFigures, size, fall units.Length) {
	reason := "The trap arm at " + pt.ID + " drops before it reaches its vent: an S-trap, which siphons itself dry."
	const fix = "Take the vent off before the drop."
	if !a.hasMost {
		j.Ask("trap-arm-riser", pt.ID, tables.Authority,
			reason+" Codes forbid it, and our tables do not hold this code's rule.",
			fix+" Leave it so only if the authority allows it.")
		return
	}
	most := scale(size, a.most)
	j.Add(tables.Finding{Rule: "trap-arm-riser", Place: pt.ID, Verdict: tables.Fail, Value: fall, Limit: most,
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
	reason := j.Text("The layout does not say how long the trap arm at %s is, to the vent at %s.", pt.ID, at)
	arm, err := j.code.TrapArm(size)
	if err == nil && arm.MinLength > 0 {
		j.Ask("trap-arm-min-length", pt.ID, tables.Designer, reason, remedy, arm.MinCitation)
	}
	j.Ask("trap-arm-length", pt.ID, tables.Designer, reason, remedy, arm.Citation)
}

// armLength sets the developed length against the code's table, or against its
// rule for fixtures that empty their own trap.
func (j *judge) armLength(i int32, size, length units.Length, by string) {
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
			j.armLeast(i, &arm, length)
		}
	}
	switch {
	case err != nil && closet && length == 0: // its vent stands where it does
	case err != nil:
		j.Ask("trap-arm-length", pt.ID, tables.Authority,
			j.Text("The trap arm at %s is %v to its vent: %s.", pt.ID, length, lacks(err, "limit for such an arm")),
			"Ask the authority for the length.", cite)
	case closet && limit.Kind == tables.Value:
		j.armAtMost(i, size, length, limit.Value, cite)
	case limit.Kind == tables.Value:
		j.armByTrap(i, size, length, by)
	case limit.Kind == tables.Unlimited:
		j.Holds(true, on("trap-arm-length", pt.ID, cite), func() finding.Words {
			return finding.Words{Value: length,
				Reason: j.Text("The trap arm at %s is %v to its vent; the code sets no limit for this fixture.", pt.ID,
					length)}
		})
	default:
		j.Ask("trap-arm-length", pt.ID, tables.Authority,
			j.Text("The trap arm at %s is %v to its vent; our tables hold no limit for this fixture.", pt.ID, length),
			"Ask the authority for the length.", cite)
	}
}

// armLeast judges that an arm is no crown vent. Where the trap is not stated, one as large
// as the riser it enters might need more.
func (j *judge) armLeast(i int32, arm *dwv.TrapArm, length units.Length) {
	least, cite := arm.MinLength, arm.MinCitation
	if least == 0 {
		return
	}
	if _, sure := j.armSize(i); !sure && length >= least {
		if large, err := j.code.TrapArm(j.sizing.size[i]); err == nil && length < large.MinLength {
			j.Ask("trap-arm-min-length", j.id(i), tables.Designer,
				j.Text("The trap arm at %s is %v from trap weir to vent, less than the %v of a trap as large as the "+
					"riser; the layout does not state the trap.", j.id(i), length, large.MinLength),
				"State the size of the trap (trap: size), or set the vent farther from it.", cite)
			return
		}
	}
	finding.AtLeast(j.Judge, on("trap-arm-min-length", j.id(i), cite), length, least,
		finding.Say("The trap arm from trap weir to vent", "too short",
			"Set the vent farther from the trap: so near it would be a crown vent."))
}

// armAtMost sets the developed length of an arm against its limit, that of its trap where
// size is not the arm's.
func (j *judge) armAtMost(i int32, size, length, limit units.Length, cite tables.Citation) {
	finding.AtMost(j.Judge, on("trap-arm-length", j.id(i), cite), length, limit, func() finding.Words {
		w := finding.Words{What: j.Text("The %v trap arm from trap weir to vent", nominal(size)), Off: "too long",
			Fix: j.Text("Move the vent %v nearer to the trap, or run a larger arm if its trap allows.",
				finding.Word(j.Move(length, limit)))}
		by, _ := j.code.Rule(ruleArmBy)
		if by.String() == "trap" || dwv.ClosetsOf(j.tree.point(i).Fixture.Kind) > 0 { // a larger arm gains nothing
			w.Fix = j.Text("Move the vent %v nearer to the trap, or vent the trap on the way.",
				finding.Word(j.Move(length, limit)))
		}
		if size != j.sizing.size[i] {
			w.What = j.Text("The trap arm from the weir of a %v trap to its vent", nominal(size))
		}
		return w
	})
}

// ruleArmBy says whether a code's table of trap arms goes by the trap or by the arm.
const ruleArmBy = "trap-arm-by"

// armByTrap judges the length of an arm as the code's table is headed: by the arm, or by
// the trap. There an arm larger than its trap is a question, if the answer hangs on which
// of the two counts; and so is a trap that neither the layout nor the code gives, if it
// hangs on the smallest there may be. Where the code's heading is not known the smaller
// counts.
func (j *judge) armByTrap(i int32, size, length units.Length, by string) {
	pt, pipe := j.tree.point(i), j.sizing.size[i]
	if pt.Run.Vertical || pipe == 0 {
		j.armIntoRiser(i, size, length)
		return
	}
	small, _ := j.code.TrapArm(size)
	large, _ := j.code.TrapArm(pipe)
	farthest, ok := large.MaxLength.Get()
	if by == "arm" && ok {
		j.armAtMost(i, pipe, length, farthest, large.Citation)
		return
	}
	trap, stated := j.trapSize(i)
	if by == "trap" && trap < size {
		if arm, _ := j.code.TrapArm(trap); arm.MaxLength.Kind == tables.Value {
			small, size = arm, trap
		}
	}
	most := small.MaxLength.Value
	if by == "" || !ok || length <= most || length > farthest {
		if !stated && length <= most && ok {
			size, most, small = pipe, farthest, large // nothing hangs on the trap
		}
		j.armAtMost(i, size, length, most, small.Citation)
		return
	}
	reason := "The trap arm at %s is %v: a trap of %v may be %v from its vent, and the arm is of %v, which as a trap " +
		"might be %v."
	remedy := j.Text("The table goes by the trap: move the vent to within %v, or ask whether a larger arm earns the "+
		"longer way.", most)
	settler := tables.Authority
	if !stated {
		reason = "The trap arm at %s is %v, and the size of the trap is not stated: one of %v may be %v from its " +
			"vent, one of %v %v."
		remedy, settler = "State the size of the trap (trap: size).", tables.Designer
	}
	j.Ask("trap-arm-length", pt.ID, settler,
		j.Text(reason, pt.ID, length, nominal(size), most, nominal(pipe), farthest), remedy, small.Citation)
}

// armIntoRiser judges the length of an arm that enters a riser, or a pipe without a size, by its
// trap; a trap that the layout does not state is a question, if one as large as the riser would do.
func (j *judge) armIntoRiser(i int32, size, length units.Length) {
	arm, _ := j.code.TrapArm(size)
	_, sure := j.armSize(i)
	most := arm.MaxLength.Value
	large, _ := j.code.TrapArm(j.sizing.size[i])
	farthest, ok := large.MaxLength.Get()
	if sure || length <= most || ok && length > farthest {
		j.armAtMost(i, size, length, most, arm.Citation)
		return
	}
	farther := ""
	if ok {
		farther = j.Text(", one of %v %v", nominal(j.sizing.size[i]), farthest)
	}
	j.Ask("trap-arm-length", j.id(i), tables.Designer,
		j.Text("The trap arm at %s is %v, and the size of its trap is not stated: one of %v may be %v from its vent%s.",
			j.id(i), length, nominal(size), most, farther),
		"State the size of the trap (trap: size), or move the vent nearer to it.", arm.Citation)
}

// trapSize returns the trap of a fixture, as stated or as the code has it for the
// fixture; where neither gives one, the smallest there may be.
func (j *judge) trapSize(i int32) (trap units.Length, stated bool) {
	size := j.sizing.trapSize(i)
	if size.missing {
		return j.code.LeastTrapArm(), false
	}
	return size.largest, true
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
		j.fails(finding.Case{Rule: "floor-drain-unvented", Place: pt.ID}, "Floor drain "+pt.ID+" takes waste or a steady "+
			"drip, so it is no emergency drain and must be vented.", "Vent it, or lead the drip elsewhere.")
	case isFloorDrain(pt.Fixture) && j.unventedFloorDrain(i, pt):
	case pt.Fixture.Kind == "emergency-floor-drain" && a.reach.Kind == tables.Value && way >= 0:
		finding.AtMost(j.Judge, on("floor-drain-unvented", pt.ID, a.reachCite), way, a.reach.Value,
			finding.Say("The way to a vented line from the unvented emergency floor drain", "too long",
				"Vent the floor drain, or bring it nearer to a vented line."))
	case pt.Fixture.Kind == "emergency-floor-drain" && a.reach.Kind == tables.Value:
		j.Add(tables.Finding{Rule: "floor-drain-unvented", Place: pt.ID, Verdict: tables.Fail, Limit: a.reach.Value,
			Reason: "Unvented emergency floor drain " + pt.ID + " reaches the outlet without meeting a vented line.",
			Fix:    "Vent the floor drain.", Citation: a.reachCite})
	case pt.Fixture.Kind == "emergency-floor-drain":
		v := tables.Finding{Rule: "floor-drain-unvented", Place: pt.ID, Verdict: tables.Fail,
			Reason: "Emergency floor drain " + pt.ID + " has no vent, and our tables hold no distance within which " +
				"this code lets it do without.",
			Fix:      "Vent it, or ask whether the locality allows an unvented emergency drain near a vented line.",
			Citation: a.reachCite}
		if way >= 0 {
			v.Value = way
		}
		j.Add(v)
	case pt.Capped: // see future
	case j.combination(i, pt):
	case j.commonUnnamed(i, pt):
	case j.unventedPipe(i, pt):
	default:
		j.ventless(i, pt, at)
	}
}

// unventedFloorDrain judges a floor drain without a vent under a code that lets it go so by the
// size of its trap, the length of its drain and the fall on it.
func (j *judge) unventedFloorDrain(i int32, pt *Point) bool {
	least, cite, ok := j.length("floor-drain-unvented-min-trap")
	if !ok {
		return false
	}
	m := func(side string, c tables.Citation) finding.Case {
		return sided("floor-drain-unvented", pt.ID, side, c)
	}
	const fix = "Vent the floor drain, or let it do without: "
	trap, _ := j.trapSize(i)
	j.sizeAtLeast(m("trap", cite), trap, least, finding.Say("The trap of the unvented floor drain", "",
		fix+"with a larger trap."))
	way, fall := j.ownDrain(i, pt)
	if length, cite, ok := j.length("floor-drain-unvented-min-length"); ok {
		finding.AtLeast(j.Judge, m("length", cite), way, length, finding.Say("The drain of the unvented floor drain",
			"too short", fix+"with a longer drain before it joins another."))
	}
	if most, cite, ok := j.number("floor-drain-unvented-max-fall", "pipe diameters"); ok {
		finding.AtMost(j.Judge, m("fall", cite), fall, scale(j.sizing.size[i], most),
			finding.Say("The fall on the drain of the unvented floor drain", "too much", fix+"with a flatter drain."))
	}
	return true
}

// ownDrain is the length of the drain of a fixture from its trap to where another joins, and
// the fall on it.
func (j *judge) ownDrain(i int32, pt *Point) (way, fall units.Length) {
	t := j.tree
	if pt.Trap != nil {
		way = pt.Trap.Arm
		fall = cmp.Or(pt.Trap.Fall, pt.Run.Grade.Over(pt.Trap.Arm))
	}
	for n := i; int(n) >= t.outlets; n = t.parent[n] {
		run := &t.point(n).Run
		way += run.Length
		if run.Vertical {
			fall += run.Length
		} else {
			fall += run.Grade.Over(run.Length)
		}
		p := t.parent[n]
		if next := t.point(p); next == nil || next.Fixture != nil || t.next[t.first[p]] >= 0 {
			break
		}
	}
	return way, fall
}

// ventless finds a trap without a vent. The table that gives the way to the vent is where a
// code asks for one; that a vent is missing does not hang on the figure.
func (j *judge) ventless(i int32, pt *Point, at string) {
	if pt.Fixture.Kind == mobileHome {
		j.Ask("trap-vented", pt.ID, tables.Authority, "The drain of the mobile home at "+pt.ID+" reaches "+at+
			" without meeting a vent. A home has traps and vents of its own; whether its inlet needs them too is for the "+
			"authority to say.", "Ask the authority, or vent the inlet.")
		return
	}
	f := tables.Finding{Rule: "trap-vented", Place: pt.ID, Verdict: tables.Fail,
		Reason: "The trap of " + pt.ID + " reaches " + at + " without meeting a vent of its own.",
		Fix:    j.Text("Vent the trap at %s, before its drain joins another.", pt.ID)}
	arm, err := j.code.TrapArm(j.sizing.size[i])
	table := j.code.TrapArmTable()
	if most, ok := arm.MaxLength.Get(); ok && pt.Fixture.Kind != "water-closet" {
		f.Fix = j.Text("Vent the trap within %v of its weir, at %s or on the way to it.", most, pt.ID)
	}
	r, ok := j.code.Rule("trap-vented")
	switch {
	case err != nil && table.Status().Firm():
		f.Citation = table // of a size that the table does not have
	case err == nil && arm.Citation.Status().Firm():
		f.Citation = arm.Citation
	case ok:
		f.Citation = r.Cite
	default:
		unheld(&f)
	}
	j.Add(f)
}

// unventedPipe judges the trap of a fixture under a code that lets pipe of some length go
// without a vent to the drain it joins.
func (j *judge) unventedPipe(i int32, pt *Point) bool {
	most, cite, ok := units.Length(0), tables.Citation{}, false
	if _, has := j.code.Rule("unvented-discharge-pipe"); !has {
		return false
	}
	if arm, err := j.code.TrapArm(j.sizing.size[i]); err == nil {
		most, ok = arm.MaxLength.Get()
		cite = arm.Citation
	}
	if closet, c, has := j.length("trap-arm-closet"); has && dwv.ClosetsOf(pt.Fixture.Kind) > 0 {
		most, cite, ok = closet, c, true
	}
	if !ok {
		return false
	}
	way, _ := j.ownDrain(i, pt)
	finding.AtMost(j.Judge, on("trap-vented", pt.ID, cite), way, most, finding.Say("The way of the unvented pipe from "+
		"the trap to the drain it joins", "too long", "Vent the trap, or bring it nearer to that drain."))
	return true
}

// commonUnnamed asks whether a trap is the lower of the two of a common vent that takes off
// above it for one fixture and does not say what it vents below.
func (j *judge) commonUnnamed(i int32, pt *Point) bool {
	g := &j.tree.vents
	for v := range j.layout.Vents {
		x := &j.layout.Vents[v]
		if x.Kind != VentCommon || g.end[v] >= 0 || j.sizing.vents[v].Fixtures > 1 || int(g.from[v]) < j.tree.outlets {
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
			j.Text("Common vent %q takes off above the trap of %s and names no lower fixture.", x.ID, pt.ID),
			j.Text("Name the lower fixture, or where it joins (vents: %s: through), if the two share the vent; if "+
				"not, vent the trap.", x.ID))
		return true
	}
	return false
}

// scale returns a number of diameters of a pipe, to the nearest nanometre.
func scale(size units.Length, diameters float64) units.Length {
	return units.Length(float64(size)*diameters + 0.5)
}
