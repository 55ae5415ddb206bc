package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

// washerBatteries asks, where clothes washers enough for a battery drain through one run, for
// the load that some codes then count for each of them. What makes a group of washers a
// battery the layout does not say, and several dwellings on one drain are none.
func (j *judge) washerBatteries() {
	least, cite, ok := j.number("washer-battery-count", "count")
	rule, has := j.code.Rule("washer-battery-load")
	if !ok || !has {
		return
	}
	each, err := dwv.ParseFixtureUnits(rule.String())
	if err != nil {
		return
	}
	washers, battery := j.work.node(0, j.system), j.work.flag(0, j.system)
	load := make(map[int32]dwv.FixtureUnits) // of the washers, as counted singly
	for _, i := range j.order {
		if n := washersAt(j.tree.point(i)); n > 0 {
			washers[i] += int32(n)
			load[i] += j.sizing.ownLoad(i)
		}
		p := j.tree.parent[i]
		if washers[i] >= int32(least) {
			if !battery[i] {
				j.washerBattery(i, int(washers[i]), load[i], each, weakestOf(cite, rule.Cite))
			}
			battery[p] = true
			continue
		}
		if washers[i] > 0 {
			washers[p] += washers[i]
			load[p] += load[i]
		}
	}
}

// washerBattery asks about the washers that drain through the run of a node.
func (j *judge) washerBattery(i int32, n int, single, each dwv.FixtureUnits, cite tables.Citation) {
	more := dwv.FixtureUnits(n)*each - single
	if more <= 0 {
		return
	}
	as := ""
	r, err := j.code.DrainSize(dwv.DrainQuery{Part: j.sizing.part[i], Load: j.sizing.load[i] + more,
		Grade:   j.tree.point(i).Run.Grade,
		Closets: int(j.sizing.closets[i]), Intervals: int(j.sizing.intervals[i]), MinSize: j.sizing.required[i]})
	if err == nil {
		as = j.text(" and asks for %v in place of %v", nominal(r.Size), nominal(j.sizing.required[i]))
	}
	j.Ask("washer-battery", j.id(i), tables.Book,
		j.text("%d clothes washers drain through %s: as a battery (three or more in a group) they count %v each on "+
			"the drain that they share, so that it carries %v in place of %v%s", n, j.id(i), each,
			j.sizing.load[i]+more, j.sizing.load[i], as),
		"If they stand as one group, lay this run and those downstream for the higher load.", cite)
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
