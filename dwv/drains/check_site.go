package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// site judges pipe, fittings, footings and stubs: what the crew meets in the trench.
func (j *judge) site() {
	var open openStubs
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		j.fittings(i, pt)
		if pt.StubUp > 0 {
			j.stubUp(pt, &open)
		}
		j.riserTop(i, pt)
		if pt.ThroughWall {
			j.sewerStart(i, pt)
		}
	}
	j.askStubs(&open)
	j.stackBases()
}

func (j *judge) footings() {
	for k := range j.layout.Footings {
		j.footing(&j.layout.Footings[k])
	}
}

// sewerStart asks about a run that leaves the building and goes on as a drain
// farther than the code lets it.
func (j *judge) sewerStart(i int32, pt *Point) {
	most, cite, ok := j.length("drain-beyond-wall")
	if !ok || j.sizing.part[i] == dwv.Sewer || pt.Run.Length <= most {
		return
	}
	j.Ask("drain-becomes-sewer", pt.ID, tables.Designer,
		j.text("the run that leaves the building here is %v long; from %v beyond the wall on the code calls it a "+
			"building sewer", pt.Run.Length, most),
		"If it goes farther than that, draw the rest as a sewer, so that the rules of sewers are held to it.", cite)
}

// footing judges one meeting of a run with a footing or thickening.
func (j *judge) footing(f *Footing) {
	i := j.tree.index[f.Run]
	run := &j.tree.point(i).Run
	pipe := j.sizing.pipe[i]
	invert := j.levels.upper[i]
	if !run.Vertical {
		invert -= run.Grade.Over(f.Along)
	} else {
		invert -= f.Along
	}
	top, bottom := invert+pipe.Bore+pipe.Wall, invert-pipe.Wall
	under := j.layout.FinishedFloor - f.Bottom
	switch f.Kind {
	case FootingUnder:
		j.atLeast("footing-clearance", f.ID, under-top, f.Clear, tables.Citation{},
			j.text("the room between the underside of the footing and the top of the pipe from %s", f.Run),
			"Lay the pipe deeper, or pass through the footing in a sleeve with the designer's consent.")
	case FootingThickening:
		j.atLeast("slab-thickening", f.ID, under-top, j.layout.MinimumCover, tables.Citation{},
			j.text("the room between the underside of the thickened slab and the top of the pipe from %s", f.Run),
			"Lay the pipe deeper there, or sleeve it through with the designer's consent.")
	case FootingThrough:
		j.sleeve(f, i)
	case FootingBeside:
		j.beside(f, bottom-j.layout.Bedding, under)
	}
}

// sleeve sets a sleeve against the pipe in it. A code counts in pipe sizes: a sleeve
// of so many sizes more.
func (j *judge) sleeve(f *Footing, i int32) {
	size := j.sizing.size[i]
	sizes, cite, ok := j.number("wall-sleeve-oversize", "pipe sizes")
	if f.Sleeve == 0 {
		j.add(tables.Finding{Rule: "footing-sleeve", Place: f.ID, Verdict: tables.Fail, Citation: cite,
			Reason: j.text("the %v pipe from %s passes through concrete with no sleeve", nominal(size), f.Run),
			Fix:    "Set a sleeve or a relieving arch, with the designer's consent."})
		return
	}
	if !ok {
		j.sizeAtLeast("footing-sleeve", f.ID, f.Sleeve, size, tables.Citation{},
			j.text("the sleeve around the %v pipe from %s", nominal(size), f.Run), "Set a wider sleeve.")
		return
	}
	least := size
	for range int(sizes) {
		if least = j.code.MadeSize(least, true); least == 0 {
			j.Ask("footing-sleeve", f.ID, tables.Authority,
				j.text("the sleeve around the %v pipe from %s is %v; it must be %v sizes larger than the pipe, and "+
					"the code names none so large", nominal(size), f.Run, nominal(f.Sleeve), sizes),
				"Ask the authority which sleeve it takes.", cite)
			return
		}
	}
	j.sizeAtLeast("footing-sleeve", f.ID, f.Sleeve, least, cite,
		j.text("the sleeve around the %v pipe from %s", nominal(size), f.Run), "Set a wider sleeve.")
}

// beside keeps a trench out of the plane that falls from the edge of a footing.
func (j *judge) beside(f *Footing, trench, under units.Length) {
	deeper := under - trench
	degrees, cite, ok := j.number("footing-plane", "deg")
	if !ok {
		return
	}
	if degrees != 45 {
		j.Ask("footing-plane", f.ID, tables.Designer,
			j.text("the trench goes %v below the footing at a distance of %v, and the code's plane falls at %v degrees",
				deeper, f.Distance, degrees), "Hold the trench to that plane.", cite)
		return
	}
	// At 45 degrees the plane falls by the distance: grade 1 in 1.
	allowed := slope.OneIn(1).Over(f.Distance)
	j.atMost("footing-plane", f.ID, max(deeper, 0), allowed, cite,
		j.text("the depth of the trench of %s below the underside of the footing, %v away from it,", f.Run, f.Distance),
		"Move the trench away, or shore and backfill as the designer says.")
}

// sewerCover judges the cover of the pipe outside the building: of sewers, and by the
// job's own limit of any drain beyond the wall. Where the code leaves the figure to the
// locality, or the ground is not known, it asks once for the system.
func (j *judge) sewerCover() {
	cell, cite, err := j.code.RuleLength("sewer-min-cover")
	job := j.layout.SewerCover
	if err != nil && job == 0 || cell.Kind == tables.Unlimited && job == 0 {
		return
	}
	const what, remedy = "the cover over the pipe outside",
		"Lay it deeper, or protect it from load and frost as the designer says."
	least, byCode := cell.Get()
	var runs someRuns
	lowest := units.Length(0)
	beyond := j.beyondWall()
	for i := j.lo; i < j.hi; i++ {
		sewer := j.levels.outside(i)
		// A drain that leaves the building unmarked is asked about only if the job wants a
		// cover, or tells the ground.
		bare := beyond[i] && !sewer && (job > 0 || j.layout.Ground != nil)
		if !sewer && !bare || j.sizing.above[i] || j.tree.point(i).Run.Vertical {
			continue
		}
		id := j.id(i)
		if j.layout.Ground == nil {
			runs.add(id)
			continue
		}
		pipe := j.sizing.pipe[i]
		cover := *j.layout.Ground - (j.levels.upper[i] + pipe.Bore + pipe.Wall)
		if byCode && sewer {
			j.coverAtLeast("sewer-cover", id, cover, least, cite, what, remedy)
		}
		if job > 0 {
			j.coverAtLeast("sewer-cover", id, cover, job, tables.Citation{}, what+", by the job,", remedy)
		}
		if !byCode && job == 0 {
			if runs.count == 0 || cover < lowest {
				lowest = cover
			}
			runs.add(id)
		}
	}
	place := j.layout.Systems[j.system].ID
	switch {
	case runs.count == 0:
	case j.layout.Ground == nil:
		j.Ask("sewer-cover", place, tables.Designer,
			j.text("%v lie outside, and the layout does not say how high the ground is", &runs),
			"Give the elevation of the ground, so that the cover can be held against what the locality asks.", cite)
	default:
		j.Ask("sewer-cover", place, tables.Designer, j.text(
			"%v lie outside under %v of cover at the least, and the code leaves it to the locality how much there "+
				"must be", &runs, Depth(lowest)),
			"Ask the authority for the cover, frost counted in, and set it as the job's least.", cite)
	}
}

// beyondWall tells which runs lie downstream of where one leaves the building.
func (j *judge) beyondWall() []bool {
	beyond := j.work.flag(0, j.system)
	for _, i := range j.order {
		beyond[i] = beyond[i] || j.tree.point(i).ThroughWall
		if beyond[i] {
			beyond[j.tree.parent[i]] = true
		}
	}
	return beyond
}

// openStubs are the stubs of a system that nothing says the height of.
type openStubs struct {
	runs   someRuns
	lowest units.Length
}

// stubUp holds the height of a stub against the code's and the job's. Where there is
// neither it is left open.
func (j *judge) stubUp(pt *Point, open *openStubs) {
	const what, remedy = "the stub above the floor",
		"Leave the stub longer: concrete and water must not get in, and the test cap needs a grip."
	least, cite, ok := j.length("stub-up-min-height")
	if ok {
		j.atLeast("stub-up", pt.ID, pt.StubUp, least, cite, what, remedy)
	}
	if least := j.layout.MinimumStubUp; least > 0 {
		j.atLeast("stub-up", pt.ID, pt.StubUp, least, tables.Citation{}, what+", by the job,", remedy)
		ok = true
	}
	if !ok {
		if open.runs.count == 0 || pt.StubUp < open.lowest {
			open.lowest = pt.StubUp
		}
		open.runs.add(pt.ID)
	}
}

// askStubs asks, once for a system, how high its stubs must stand.
func (j *judge) askStubs(open *openStubs) {
	if open.runs.count == 0 {
		return
	}
	j.Ask("stub-up", j.layout.Systems[j.system].ID, tables.Designer,
		j.text("the stubs of %v stand %v above the floor at their lowest, and neither the code nor the job says how "+
			"high they must", &open.runs, open.lowest),
		"Agree on a height that the pour and the test caps need, and set it as the job's least.", tables.Citation{})
}

// stubSlack is how far a stub may be said to stand higher than its riser reaches: joins at
// other levels than the invert, and pipe cut to the inch, make as much (practice).
const stubSlack = units.Inch

// riserTop holds the top of a riser, as its length makes it, against the floor and the height
// at which its stub is said to stand: a riser keyed for another outlet or drain leaves the
// stub below the floor.
func (j *judge) riserTop(i int32, pt *Point) {
	if !pt.Run.Vertical || pt.StubUp == 0 && !(pt.AboveFloor && pt.Fixture != nil) {
		return
	}
	top := j.levels.upper[i] - j.layout.FinishedFloor
	short := pt.StubUp - top
	if short <= stubSlack {
		return
	}
	reason := j.text("the riser of %v ends %v below the floor", pt.Run.Length, -top)
	if top >= 0 {
		reason = j.text("the riser of %v ends %v above the floor", pt.Run.Length, top)
	}
	if pt.StubUp > 0 {
		reason += j.text(", and the stub is to stand %v above it", pt.StubUp)
	}
	j.add(tables.Finding{Rule: "stub-up", Place: pt.ID, Side: "riser", Verdict: tables.Fail, Value: top,
		Limit: pt.StubUp, Margin: -short, Reason: reason,
		Fix: j.text("Make the riser %v longer, or say how high the stub stands (stub_up).", short)})
}
