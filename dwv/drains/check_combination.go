package drains

import (
	"errors"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// onCombination tells the fixtures that a combination drain and vent may serve (IPC 915.1,
// from memory: floor drains, sinks, lavatories and drinking fountains).
func onCombination(kind string) bool {
	switch kind {
	case "floor-drain", "emergency-floor-drain", "sink", "kitchen-sink", "bar-sink", "laundry-sink", "lavatory",
		"drinking-fountain":
		return true
	}
	return false
}

// combination judges a trap without a vent of its own that drains into a line vented farther
// up as one of a combination drain and vent, where the code has such; it tells whether it is
// one.
func (j *judge) combination(i int32, pt *Point) bool {
	at := j.routes.lineAt[i]
	if j.routes.line[i] < 0 || at == i || !onCombination(pt.Fixture.Kind) || j.tree.point(at).Run.Vertical {
		return false
	}
	if j.notCombination == nil {
		j.notCombination = j.strangers(onCombination)
	}
	if j.notCombination[at] >= 0 {
		return false
	}
	branch, limit, err := j.code.CombinationVentLimits(j.sizing.size[at])
	switch {
	case errors.Is(err, tables.ErrNotInCode):
		return j.combinationBySize(i, at, pt)
	case err != nil:
		return false
	case j.sizing.part[at] == dwv.Branch:
		limit = branch
	}
	j.combinationLoad(at, pt, limit)
	j.combinationLie(i, at, pt)
	return true
}

// combinationLoad holds the load of the line against the table of combinations.
func (j *judge) combinationLoad(at int32, pt *Point, limit dwv.LoadLimit) {
	load, size := j.sizing.load[at], nominal(j.sizing.size[at])
	f := tables.Finding{Rule: "combination-vent", Place: pt.ID, Verdict: tables.Pass, Value: load,
		Citation: limit.Citation,
		Reason: j.text("the trap has no vent of its own; the line at %s, vented farther up, serves it as a "+
			"combination drain and vent: %v on %v", j.id(at), load, size)}
	if most, ok := limit.Max.Get(); ok {
		f.Limit, f.Margin = most, most-load
		f.Reason += j.text(", which may carry %v", most)
	}
	if !limit.Holds(load) {
		f.Verdict, f.Fix = tables.Fail, j.text("Enlarge the line from %s down, or vent the trap on its own.", j.id(at))
	}
	j.add(f)
}

// combinationLie judges how the line lies and how far the drain of the fixture drops into it.
func (j *judge) combinationLie(i, at int32, pt *Point) {
	run := &j.tree.point(at).Run
	if most, cite, err := j.code.RuleGrade("combination-vent-max-grade"); err == nil && run.Grade.Compare(most) > 0 {
		j.add(tables.Finding{Rule: "combination-vent", Place: pt.ID, Side: "grade", Verdict: tables.Fail,
			Value: run.Grade, Limit: most, Citation: cite,
			Reason: j.text("the combination drain and vent at %s falls %v, and may fall %v", j.id(at), run.Grade, most),
			Fix:    "Lay it flatter, or vent the trap on its own."})
	}
	most, cite, ok := j.length("combination-vent-max-drop")
	if !ok {
		return
	}
	drop := units.Length(0)
	for n := i; n != at; n = j.tree.parent[n] {
		if r := &j.tree.point(n).Run; r.Vertical {
			drop += r.Length
		} else {
			drop += r.Drop
		}
	}
	if drop > most {
		j.add(tables.Finding{Rule: "combination-vent", Place: pt.ID, Side: "drop", Verdict: tables.Fail, Value: drop,
			Limit: most, Margin: most - drop, Citation: cite,
			Reason: j.text("the drain of this fixture drops %v into the combination drain and vent at %s, and may "+
				"drop %v", drop, j.id(at), most), Fix: "Raise the line, or vent the trap on its own."})
	}
}

// combinationBySize asks about a combination under a code that has no table of loads, but
// pipe so many sizes larger than the trap and the authority's leave: what is drawn smaller is
// none.
func (j *judge) combinationBySize(i, at int32, pt *Point) bool {
	over, cite, ok := j.number("combination-oversize", "pipe sizes")
	if !ok {
		return false
	}
	trap, _ := j.trapSize(i)
	least := trap
	for range int(over) {
		least = j.code.MadeSize(least, true)
	}
	if least == 0 || min(j.sizing.size[i], j.sizing.size[at]) < least {
		return false
	}
	j.Ask("combination-vent", pt.ID, tables.Authority,
		j.text("the trap has no vent of its own; the line at %s, vented farther up, might serve it as a combination "+
			"waste and vent: its drain and the line are %d sizes over a trap of %v", j.id(at), int(over),
			nominal(trap)),
		"Have the authority approve it, or vent the trap on its own.", cite)
	return true
}
