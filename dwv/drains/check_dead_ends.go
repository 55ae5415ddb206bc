package drains

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// deadEnds looks for pipe that serves nothing: at the upper end of which there is no
// fixture, no load kept for later, no cleanout and no vent. A length of it that the code
// calls a dead end fails; under a code without that rule it is asked about, since a
// fixture may have been forgotten. Each tree of dead pipe is told once, at its far end.
func (j *judge) deadEnds() {
	t := j.tree
	way, end, served := j.work.length(0, j.system), j.work.node(0, j.system), j.work.flag(0, j.system)
	j.markServed(served)
	for _, i := range j.order {
		p := t.parent[i]
		if t.first[i] < 0 {
			end[i] = i
		}
		if served[i] {
			served[p] = true
			continue
		}
		way[i] += t.point(i).Run.Length
		if reach := way[i]; end[p] == 0 || reach > way[p] || reach == way[p] && j.id(end[i]) < j.id(end[p]) {
			way[p], end[p] = reach, end[i]
		}
	}
	for i := j.lo; i < j.hi; i++ {
		if p := t.parent[i]; !served[i] && (served[p] || int(p) < t.outlets) {
			j.deadEnd(end[i], p, way[i])
		}
	}
}

// markServed marks the nodes of the system in hand that have something to drain or to
// do of their own. A plain riser with a vent on top is the dry top of a stack.
func (j *judge) markServed(served []bool) {
	t := j.tree
	for i := j.lo; i < j.hi; i++ {
		pt := t.point(i)
		served[i] = pt.Fixture != nil || pt.Cleanout != nil || pt.Reserved > 0 || pt.Continuous > 0 ||
			t.vents.takeoff != nil && t.vents.takeoff[i] >= 0
	}
}

// deadEnd judges dead pipe from its far end down to the drain it joins.
func (j *judge) deadEnd(end, to int32, length units.Length) {
	const fix = "Take it out, or draw what it is for: a fixture, a load reserved for later, or a cleanout."
	limit, cite, ok := j.length("dead-end-length")
	id := j.id(end)
	switch {
	case j.tree.point(end).Capped:
		j.Ask("dead-end", id, tables.Designer,
			j.text("the capped drain at %s, %v from %s, has nothing reserved for it", id, length, j.id(to)),
			"Reserve the load of the fixture to come; without one it is a dead end.", cite)
	case !ok:
		j.Ask("dead-end", id, tables.Designer,
			j.text("the drain at %s, %v from %s, serves nothing", id, length, j.id(to)), fix, tables.Citation{})
	case j.Passed(length < limit, "dead-end", id, cite):
	default:
		f := tables.Finding{Rule: "dead-end", Place: id, Verdict: tables.Fail, Value: length, Limit: limit,
			Margin: limit - length, Citation: cite,
			Reason: j.text("the drain at %s serves nothing and is %v long from %s; from %v on it is a dead end", id,
				length, j.id(to), limit), Fix: fix}
		if length < limit {
			f.Verdict, f.Reason = tables.Pass,
				j.text("the stub at %s serves nothing and is %v long, shorter than a dead end of %v", id, length, limit)
		}
		j.add(f)
	}
}
