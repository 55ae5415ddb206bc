package drains

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

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
			j.atLeast("sewer-cover", id, cover, least, cite, what, remedy)
		}
		if job > 0 {
			j.atLeast("sewer-cover", id, cover, job, tables.Citation{}, what+", by the job,", remedy)
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
				"must be", &runs, lowest),
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
