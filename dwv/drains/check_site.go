package drains

import (
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// site judges pipe, fittings, footings and stubs: what the crew meets in the trench.
func (j *judge) site() {
	for i, pt := range j.points() {
		j.fittings(i, pt)
		j.riserTop(i, pt)
		if pt.ThroughWall {
			j.sewerStart(i, pt)
		}
	}
	j.stubs()
	j.stackBases()
}

// stubs judges how high the stubs of a system stand above the floor.
func (j *judge) stubs() {
	var open openStubs
	for _, pt := range j.points() {
		if pt.StubUp > 0 {
			j.stubUp(pt, &open)
		}
	}
	j.askStubs(&open)
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
	if !j.otherAsSewer(i, pt) {
		j.Assume("drain-becomes-sewer", pt.ID, j.Text("all of the %v beyond the wall is building drain; as a building "+
			"sewer it comes out the same", pt.Run.Length), "part of the run, ground")
		return
	}
	j.Ask("drain-becomes-sewer", pt.ID, tables.Designer,
		j.Text("The run that leaves the building at %s is %v long; from %v beyond the wall on the code calls it a "+
			"building sewer.", pt.ID, pt.Run.Length, most),
		"If it goes farther than that, draw the rest as a sewer, so that the rules of sewers are held to it.", cite)
}

// otherAsSewer tells whether a drain would come out otherwise if it were marked as a sewer:
// in size, grade, water closets or material, or because a cover is then asked of it.
func (j *judge) otherAsSewer(i int32, pt *Point) bool {
	s := j.sizing
	if _, _, ok := j.length("sewer-min-cover"); ok || j.layout.Ground != nil || j.layout.SewerCover > 0 {
		return true
	}
	q := dwv.DrainQuery{Part: s.part[i], Load: s.drainLoad(i), Grade: pt.Run.Grade, Closets: int(s.closets[i]),
		BelowGround: true, MinSize: s.size[i]}
	drain, ok, _ := j.code.NearestDrainSize(q)
	q.Part = dwv.Sewer
	if sewer, okSewer, _ := j.code.NearestDrainSize(q); ok != okSewer || drain.Size != sewer.Size {
		return true
	}
	least, err := j.code.MinGrade(s.part[i], s.size[i])
	leastSewer, errSewer := j.code.MinGrade(dwv.Sewer, s.size[i])
	if (err == nil) != (errSewer == nil) || least.Least != leastSewer.Least {
		return true
	}
	family, ok := s.pipes.Family(pt.Run.Material)
	if !ok {
		return false // the material is asked about anyway
	}
	standard, err := j.code.PipeStandard(family.Standard)
	return err == nil && standard.BelowSlab != standard.Sewer
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
		finding.AtLeast(j.Judge, finding.Case{Rule: "footing-clearance", Place: f.ID}, under-top, f.Clear,
			finding.Say("The clearance from the underside of the footing down to the pipe from "+f.Run, "too little",
				"Lay the pipe deeper, or pass through the footing in a sleeve with the designer's consent."))
	case FootingThickening:
		finding.AtLeast(j.Judge, finding.Case{Rule: "slab-thickening", Place: f.ID}, under-top, j.layout.MinimumCover,
			finding.Say("The clearance from the underside of the thickened slab down to the pipe from "+f.Run, "too little",
				"Lay the pipe deeper there, or sleeve it through with the designer's consent."))
	case FootingThrough:
		if top <= under {
			j.Ask("footing-sleeve", f.ID, tables.Designer,
				j.Text("The pipe from %s is drawn through %s, and its top lies %v below the underside, %v below the floor.",
					f.Run, f.ID, under-top, f.Bottom),
				"Correct the depth of the underside (bottom), or draw it as passing under.")
		}
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
	least := size
	words := func() finding.Words {
		return finding.Words{What: j.Text("The sleeve around the %v pipe from %s", nominal(size), f.Run),
			Fix: j.Text("Set a sleeve of %v or more.", nominal(least))}
	}
	if f.Sleeve == 0 {
		j.fails(on("footing-sleeve", f.ID, cite), j.Text("The %v pipe from %s passes through concrete at %s with no sleeve.",
			nominal(size), f.Run, f.ID), "Set a sleeve or a relieving arch, with the designer's consent.")
		return
	}
	if !ok {
		j.sizeAtLeast(finding.Case{Rule: "footing-sleeve", Place: f.ID}, f.Sleeve, size, words)
		return
	}
	for range int(sizes) {
		if least = j.code.MadeSize(least, true); least == 0 {
			j.Ask("footing-sleeve", f.ID, tables.Authority,
				j.Text("The sleeve around the %v pipe from %s is %v; it must be %v sizes larger than the pipe, and the "+
					"code names none so large.", nominal(size), f.Run, nominal(f.Sleeve), sizes),
				"Ask the authority which sleeve it takes.", cite)
			return
		}
	}
	j.sizeAtLeast(on("footing-sleeve", f.ID, cite), f.Sleeve, least, words)
}

// noPlane says why a trench beside a footing is a question where no row of the code is known.
const noPlane = " Our tables do not hold this code's rule for it; other codes keep a trench out of the plane that " +
	"falls at 45 degrees from the edge of a footing."

// beside keeps a trench out of the plane that falls from the edge of a footing.
func (j *judge) beside(f *Footing, trench, under units.Length) {
	deeper := under - trench
	degrees, cite, ok := j.number("footing-plane", "deg")
	if !ok {
		if deeper > slope.OneIn(1).Over(f.Distance) {
			j.Ask("footing-plane", f.ID, tables.Authority,
				j.Text("The trench of %s goes %v below the footing %v away."+noPlane, f.Run, deeper, f.Distance),
				"Move the trench away, or shore and backfill as the designer says.")
		}
		return
	}
	if degrees != 45 {
		j.Ask("footing-plane", f.ID, tables.Designer,
			j.Text("The trench goes %v below footing %s at a distance of %v, and the code's plane falls at %v degrees.",
				deeper, f.ID, f.Distance, degrees), "Hold the trench to that plane.", cite)
		return
	}
	// At 45 degrees the plane falls by the distance: grade 1 in 1.
	allowed := slope.OneIn(1).Over(f.Distance)
	finding.AtMost(j.Judge, on("footing-plane", f.ID, cite), max(deeper, 0), allowed, func() finding.Words {
		return finding.Words{What: j.Text("The depth of the trench of %s below the footing %v away", f.Run, f.Distance),
			Off: "too deep", Fix: "Move the trench away, or shore and backfill as the designer says."}
	})
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
	const remedy = "Lay it deeper, or protect it from load and frost as the designer says."
	byTheCode := finding.Say("The cover over the pipe outside", "too little", remedy)
	byTheJob := finding.Say("The cover over the pipe outside, by the job,", "too little", remedy)
	least, byCode := cell.Get()
	var runs someRuns
	lowest := units.Length(0)
	beyond := j.beyondWall()
	for i, pt := range j.points() {
		sewer := j.levels.outside(i)
		// A drain that leaves the building unmarked is asked about only if the job wants a
		// cover, or tells the ground.
		bare := beyond[i] && !sewer && (job > 0 || j.layout.Ground != nil)
		if !sewer && !bare || j.sizing.above[i] || pt.Run.Vertical {
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
			finding.AtLeast(j.Judge, on("sewer-cover", id, cite), Depth(cover), Depth(least), byTheCode)
		}
		if job > 0 {
			finding.AtLeast(j.Judge, finding.Case{Rule: "sewer-cover", Place: id}, Depth(cover), Depth(job), byTheJob)
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
			capital(j.Text("%v lie outside, and the layout does not say how high the ground is.", &runs)),
			"Give the elevation of the ground, so that the cover can be held against what the locality asks.", cite)
	default:
		j.Ask("sewer-cover", place, tables.Designer, capital(j.Text(
			"%v lie outside under %v of cover at the least, and the code leaves it to the locality how much there "+
				"must be.", &runs, Depth(lowest))),
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
	const remedy = "Leave the stub longer: concrete and water must not get in, and the test cap needs a grip."
	least, cite, ok := j.length("stub-up-min-height")
	if ok {
		finding.AtLeast(j.Judge, on("stub-up", pt.ID, cite), pt.StubUp, least,
			finding.Say("The height of the stub above the floor", "too short", remedy))
	}
	if least := j.layout.MinimumStubUp; least > 0 {
		finding.AtLeast(j.Judge, finding.Case{Rule: "stub-up", Place: pt.ID}, pt.StubUp, least,
			finding.Say("The height of the stub above the floor, by the job,", "too short", remedy))
		ok = true
	}
	if !ok {
		if open.runs.count == 0 || pt.StubUp < open.lowest {
			open.lowest = pt.StubUp
		}
		open.runs.add(pt.ID)
	}
}

// askStubs says, once for a system, that nothing is asked of how high its stubs stand.
func (j *judge) askStubs(open *openStubs) {
	if open.runs.count == 0 {
		return
	}
	j.Assume("stub-up", j.layout.Systems[j.system].ID, j.Text("the stubs of %v may stand as drawn, %v above the floor at "+
		"their lowest: neither the code nor the job says how high they must", &open.runs, open.lowest), "minimum_stub_up")
}

// stubSlack is how far a stub may be said to stand higher than its riser reaches: joins at
// other levels than the invert, and pipe cut to the inch, make as much (practice).
const stubSlack = units.Inch

// highKinds are, with lavatories, the fixtures whose trap hangs over the floor, wherever they are set up: that of a
// closet, a shower or a sink that stands on the floor may lie below it.
var highKinds = []string{"kitchen-sink", "bar-sink", "drinking-fountain"}

// riserTop holds the top of a riser, as its length makes it, against the floor and the height
// at which its stub is said to stand: a riser keyed for another outlet or drain leaves the
// stub below the floor.
func (j *judge) riserTop(i int32, pt *Point) {
	isHigh := pt.Fixture != nil && (pt.AboveFloor ||
		fixture.IsLavatory(pt.Fixture.Kind) || slices.Contains(highKinds, pt.Fixture.Kind))
	if !pt.Run.Vertical || pt.StubUp == 0 && !isHigh {
		return
	}
	top := j.levels.upper[i] - j.layout.FinishedFloor
	short := pt.StubUp - top
	if short <= stubSlack {
		return
	}
	reason := j.Text("The riser at %s, %v long, ends %v below the floor", pt.ID, pt.Run.Length, -top)
	if top >= 0 {
		reason = j.Text("The riser at %s, %v long, ends %v above the floor", pt.ID, pt.Run.Length, top)
	}
	if pt.StubUp > 0 {
		reason += j.Text(", and the stub is to stand %v above it", pt.StubUp)
	}
	fix := j.Text("Make the riser %v longer, or say how high the stub stands (stub_up).", short)
	if pt.Run.Top != nil {
		fix = j.Text("Let its top stand %v higher, or say how high the stub stands (stub_up).", short)
	}
	j.Add(tables.Finding{Rule: "stub-up", Place: pt.ID, Side: "riser", Verdict: tables.Fail, Value: top,
		Limit: pt.StubUp, Margin: -short, Reason: reason + ".",
		Fix: fix})
}
