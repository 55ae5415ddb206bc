package drains

import (
	"cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// traps judges every fixture's trap and the way from it to its vent.
func (j *judge) traps() {
	a := j.armFigures()
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		if pt.Trap != nil {
			j.trapItself(pt)
		}
		j.outletAboveWeir(i, pt)
		if pt.Capped {
			j.future(i, pt)
		}
		f := pt.Fixture
		if f == nil {
			continue
		}
		if isFloorDrain(f) {
			j.floorDrain(pt)
		}
		if pt.Receptor != nil {
			j.receptor(pt)
		}
		j.arm(i, pt, &a)
	}
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

func (j *judge) trapItself(pt *Point) {
	if least, cite, ok := j.length("trap-seal-min"); ok && pt.Trap.Seal > 0 {
		j.atLeast("trap-seal", pt.ID, pt.Trap.Seal, least, cite, "the seal of the trap",
			"Fit a trap with a deeper seal.")
	}
	if most, cite, ok := j.length("trap-seal-max"); ok && pt.Trap.Seal > most {
		j.atMost("trap-seal", pt.ID, pt.Trap.Seal, most, cite, "the seal of the trap",
			"Fit a trap with a shallower seal, or ask the authority for a deep one.")
	}
	if most, cite, ok := j.length("outlet-to-weir-max"); ok && pt.Trap.Tail > 0 &&
		!(pt.Receptor != nil && pt.Receptor.Standpipe > 0) {
		j.atMost("trap-tail", pt.ID, pt.Trap.Tail, most, cite, "the drop from the fixture outlet to the trap weir",
			"Raise the trap.")
	}
}

// outletAboveWeir measures how far the outlet of a fixture that stands on the floor lies
// above its trap weir, where the layout does not state it: the weir is as high as the
// drain of the fixture begins.
func (j *judge) outletAboveWeir(i int32, pt *Point) {
	f := pt.Fixture
	stated := pt.Trap != nil && pt.Trap.Tail > 0
	if f == nil || stated || pt.AboveFloor || pt.Run.Vertical || !isFloorDrain(f) && f.Kind != "bathtub" &&
		f.Kind != "shower" {
		return
	}
	weir := j.levels.upper[i]
	if t := pt.Trap; t != nil {
		weir += cmp.Or(t.Fall, pt.Run.Grade.Over(t.Arm))
	}
	tail := j.layout.FinishedFloor - pt.RimBelow - weir
	j.trapRoom(pt, tail)
	most, cite, ok := j.length("outlet-to-weir-max")
	if !ok || tail <= most {
		return // the trap may hang higher than the drain lets it: only too low is certain
	}
	j.atMost("trap-tail", pt.ID, tail, most, cite,
		"the drop from the fixture outlet at the floor to the trap weir at its drain",
		"Lay the drain of the fixture higher, or set the trap under the outlet and vent it there.")
}

// trapRoom judges whether the body of a floor drain and its trap go in between the rim and the
// drain, which begins at the weir.
func (j *judge) trapRoom(pt *Point, room units.Length) {
	if !isFloorDrain(pt.Fixture) {
		return
	}
	rules, err := j.code.Shelf().Rules("floor-drains")
	if err != nil {
		return // a shelf of its own
	}
	least, cite, err := tables.RuleValue[units.Length](rules, "rim-to-weir-min")
	if err != nil || room >= least {
		return // that it fits is the trade's word, and no finding
	}
	finding.AtLeast(j.Judge, "trap-room", pt.ID, room, least, cite, func() finding.Words {
		return finding.Words{Reason: j.text(
			"from the rim of this floor drain to the weir of its trap is %v; its body and a 2 in trap need %v", room,
			least),
			Fix: "Lay its drain deeper, or choose a shallow body with its trap to the maker's figures."}
	})
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

// future judges the vent of a fixture to come.
func (j *judge) future(i int32, pt *Point) {
	v := j.routes.serving[i]
	if v < 0 {
		j.Ask("future-vent", pt.ID, tables.Designer, "no vent is roughed in for this fixture to come",
			"Rough in its vent now, while the floor is open.", tables.Citation{})
		return
	}
	if share, cite, ok := j.number("future-vent-min-fraction", "ratio"); ok {
		j.sizeAtLeast("future-vent", pt.ID, j.sizing.vents[v].Size, scale(j.sizing.size[i], share), cite,
			j.text("the vent %s roughed in for a %v drain", j.sizing.vents[v].Vent, nominal(j.sizing.size[i])),
			"Rough in a larger vent.")
	}
}

// scale returns a number of diameters of a pipe, to the nearest nanometre.
func scale(size units.Length, diameters float64) units.Length {
	return units.Length(float64(size)*diameters + 0.5)
}

func (j *judge) floorDrain(pt *Point) {
	if pt.RimBelow == 0 {
		j.Ask("floor-drain-rim", pt.ID, tables.Designer, "the rim is drawn level with the finished floor",
			"Set the rim below the floor, so that the floor can fall to it.", tables.Citation{})
	} else if !j.opt.ProblemsOnly {
		j.add(tables.Finding{Rule: "floor-drain-rim", Place: pt.ID, Verdict: tables.Pass, Value: pt.RimBelow,
			Reason: j.text("the rim lies %v below the finished floor", pt.RimBelow)})
	}
	if pt.Primer || pt.Drip || pt.Continuous > 0 || pt.Receptor != nil {
		return
	}
	r, ok := j.code.Rule("floor-drain-primer")
	if !ok {
		return
	}
	j.Ask("floor-drain-primer", pt.ID, tables.Authority, "nothing is drawn that keeps the seal of this floor drain wet",
		"Ask whether the trap may dry out; if so fit a trap seal primer or another protection the code accepts.",
		r.Cite)
}

func (j *judge) receptor(pt *Point) {
	if h := pt.Receptor.Standpipe; h > 0 {
		if least, cite, ok := j.length("standpipe-min-height"); ok {
			j.atLeast("standpipe-height", pt.ID, h, least, cite, "the standpipe above its trap weir",
				"Lengthen the standpipe.")
		}
		if most, cite, ok := j.length("standpipe-max-height"); ok {
			j.atMost("standpipe-height", pt.ID, h, most, cite, "the standpipe above its trap weir",
				"Shorten the standpipe.")
		}
		if least, cite, ok := j.length("standpipe-trap-min-height"); ok {
			j.atLeast("standpipe-trap-height", pt.ID, pt.Receptor.TrapAboveFloor, least, cite,
				"the trap above the floor", "Raise the trap; it may not lie below the floor.")
		}
		if most, cite, ok := j.length("standpipe-trap-max-height"); ok {
			j.atMost("standpipe-trap-height", pt.ID, pt.Receptor.TrapAboveFloor, most, cite, "the trap above the floor",
				"Lower the trap.")
		}
	}
	if pt.Fixture != nil && isFloorDrain(pt.Fixture) && j.routes.serving[j.tree.index[pt.ID]] >= 0 &&
		!j.opt.ProblemsOnly {
		j.add(tables.Finding{Rule: "floor-drain-receptor", Place: pt.ID, Verdict: tables.Pass,
			Reason: "this floor drain takes waste from elsewhere and is vented"})
	}
}
