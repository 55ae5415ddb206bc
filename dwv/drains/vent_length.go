package drains

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ruleVentLengthTo says how far the developed length of a vent is measured: to the stack
// vent or vent stack that it joins, or on to the open air.
const ruleVentLengthTo = "vent-length-to"

// ventJoinSlack is how far the end of a vent may be drawn above or below what it joins and
// still be meant to meet it: flat vents have some fall that layouts leave out, and take-offs
// some height of their own (practice).
const ventJoinSlack = 6 * units.Inch

// ventHeights are the elevations at which each vent starts and ends.
type ventHeights struct{ start, end []units.Length }

// ventHeights finds them from the take-offs, whose runs start at upper, and the rises of
// the vents. A vent without a take-off starts where others join it: at the highest of them,
// or at the lowest if it rises from there.
func (s *Sizing) ventHeights(upper []units.Length) ventHeights {
	g, vents := &s.tree.vents, s.layout.Vents
	n := len(g.order)
	h := ventHeights{make([]units.Length, n), make([]units.Length, n)}
	has := make([]bool, n)
	for _, v := range g.order {
		if f := g.from[v]; f >= 0 {
			h.start[v] = upper[f]
			if !s.tree.point(f).Run.Vertical {
				h.start[v] += s.pipe[f].Bore / 2
			}
		}
		at := h.start[v]
		for k := range vents[v].Runs {
			at += rise(&vents[v].Runs[k])
		}
		h.end[v] = at
		p := g.parent[v]
		if p < 0 || g.from[p] >= 0 {
			continue
		}
		rises := len(vents[p].Runs) > 0 && vents[p].Runs[0].Direction == VentUp
		if !has[p] || rises && at < h.start[p] || !rises && at > h.start[p] {
			h.start[p], has[p] = at, true
		}
	}
	return h
}

// stationOf finds where along its runs a vent that starts at an elevation comes to a height,
// at the first such place; ok is false if it never does, within the slack of a join.
func stationOf(x *Vent, start, height units.Length) (station units.Length, ok bool) {
	if height <= start {
		return 0, height >= start-ventJoinSlack
	}
	at := start
	for k := range x.Runs {
		r := &x.Runs[k]
		up := rise(r)
		if at+up >= height {
			return station + units.Length(float64(r.Length)*float64(height-at)/float64(up)), true
		}
		at, station = at+up, station+r.Length
	}
	return station, height <= at+ventJoinSlack
}

// heightAt is the elevation of a vent that starts at an elevation, at a station of its runs.
func heightAt(x *Vent, start, station units.Length) units.Length {
	at := start
	for k := range x.Runs {
		r := &x.Runs[k]
		if station <= r.Length {
			return at + units.Length(float64(rise(r))*float64(station)/float64(r.Length))
		}
		at, station = at+rise(r), station-r.Length
	}
	return at
}

// ventStation returns how far along the vent that it joins vent v meets it: as stated, or as
// high as its runs end. Where the two do not meet it is the start, which is never too short.
func (s *Sizing) ventStation(v int32, h ventHeights) units.Length {
	p := s.tree.vents.parent[v]
	x := &s.layout.Vents[v]
	height := h.end[v]
	switch at := x.At; {
	case at == nil:
	case at.Station > 0:
		return at.Station
	default:
		height = s.layout.FinishedFloor + at.Height
	}
	station, ok := stationOf(&s.layout.Vents[p], h.start[p], height)
	if !ok {
		return 0
	}
	return station
}

// ventWays are, by vent, the developed lengths from the farthest take-off that drains into it
// to its own end, and from there on: to the air, and to where the code ends the measure.
type ventWays struct{ upstream, toAir, onward []units.Length }

// developed measures the vents. endsAtStack is as the code has it.
func (s *Sizing) developed(endsAtStack bool) ventWays {
	g, vents := &s.tree.vents, s.layout.Vents
	h := s.ventHeights(s.upper)
	n := len(vents)
	w := ventWays{make([]units.Length, n), make([]units.Length, n), make([]units.Length, n)}
	station := make([]units.Length, n)
	for _, v := range g.order {
		w.upstream[v] = max(w.upstream[v], g.length[v])
		p := g.parent[v]
		if p < 0 {
			continue
		}
		station[v] = s.ventStation(v, h)
		if !(endsAtStack && isStackVent(&vents[p]) && g.from[p] >= 0) {
			w.upstream[p] = max(w.upstream[p], w.upstream[v]+g.length[p]-station[v])
		}
	}
	for k := len(g.order) - 1; k >= 0; k-- {
		v := g.order[k]
		p := g.parent[v]
		if p < 0 {
			continue
		}
		w.toAir[v] = g.length[p] - station[v] + w.toAir[p]
		if !(endsAtStack && isStackVent(&vents[p])) {
			w.onward[v] = g.length[p] - station[v] + w.onward[p]
		}
	}
	if !endsAtStack {
		s.pastStacks(&w)
	}
	return w
}

// isStackVent tells the vents at which some codes end the measure of the others.
func isStackVent(x *Vent) bool { return x.Kind == VentStackVent || x.Kind == VentStack }

// pastStacks carries the measure of vents that end in a stack on through its top and its
// stack vent, and that of the vents that join them with it.
func (s *Sizing) pastStacks(w *ventWays) {
	g := &s.tree.vents
	way := make([]units.Length, len(g.order)) // on from where a vent's last ends in a stack
	known := map[int32]units.Length{}
	for k := len(g.order) - 1; k >= 0; k-- {
		v := g.order[k]
		if p := g.parent[v]; p >= 0 {
			way[v] = way[p]
		} else if g.stack[v] >= 0 {
			way[v] = s.stackWay(g.stack[v], v, known)
		}
		w.toAir[v] += way[v]
		w.onward[v] += way[v]
	}
}

// stackWay is the way from a node of a stack through the pipe above it and the stack vent on
// top, 0 if none is drawn but the vent that asks.
func (s *Sizing) stackWay(from, asks int32, known map[int32]units.Length) (way units.Length) {
	if way, ok := known[from]; ok {
		return way
	}
	for i := from; i >= 0; i = s.tree.uprightAbove(i) {
		if i != from {
			way += s.tree.point(i).Run.Length
		}
		if top := s.stackVentAt(i); top >= 0 && top != asks {
			known[from] = way + s.tree.vents.length[top]
			return known[from]
		}
	}
	return 0
}

// stackVentAt is the stack vent that takes off at a node, -1 if there is none.
func (s *Sizing) stackVentAt(i int32) int32 {
	g := &s.tree.vents
	for v := g.takeoff[i]; v >= 0; v = g.nextAt[v] {
		if s.layout.Vents[v].Kind == VentStackVent {
			return v
		}
	}
	return -1
}

// uprightAbove is the run that goes on upward from a node, -1 if there is none.
func (t *tree) uprightAbove(i int32) int32 {
	for k := t.first[i]; k >= 0; k = t.next[k] {
		if t.point(k).Run.Vertical {
			return k
		}
	}
	return -1
}

// ventJoins judges whether each vent ends where what it is said to join is.
func (j *judge) ventJoins(h ventHeights, tops dryTops) {
	g, vents := &j.tree.vents, j.layout.Vents
	for v := range int32(len(vents)) {
		switch p := g.parent[v]; {
		case p >= 0:
			j.joinsVent(v, p, h, tops)
		case g.stack[v] >= 0:
			j.joinsStack(v, h)
		}
	}
}

// joinsVent judges the join of vent v with vent p.
func (j *judge) joinsVent(v, p int32, h ventHeights, tops dryTops) {
	x, on := &j.layout.Vents[v], &j.layout.Vents[p]
	floor, g := j.layout.FinishedFloor, &j.tree.vents
	low, high, end := h.start[p], h.end[p], h.end[v]
	if f := g.from[p]; f >= 0 && tops.length != nil {
		low -= tops.length[f] // vent already, though drawn as drain
	}
	if at := x.At; at != nil {
		place := floor + at.Height
		if at.Station > 0 {
			place = heightAt(on, h.start[p], at.Station)
		}
		if off := max(place-end, end-place); off > ventJoinSlack {
			j.Ask("vent-join", x.ID, tables.Designer,
				j.text("this vent is said to join vent %q %v above the floor, and its runs end %v above it", on.ID,
					place-floor, end-floor),
				"Mend the lengths of its runs, or where it joins (at).", tables.Citation{})
			return
		}
	}
	switch {
	case end < low-ventJoinSlack && g.from[p] >= 0:
		j.add(tables.Finding{Rule: "vent-join", Place: x.ID, Verdict: tables.Fail, Value: end - floor,
			Limit: low - floor, Margin: end - low,
			Reason: j.text("the runs of this vent end %v above the floor, and vent %q, which it is to join, begins "+
				"%v above it: so low it meets the drain and no vent", end-floor, on.ID, low-floor),
			Fix: j.text("Carry it up by %v more before it joins, or join another vent.", low-end)})
	case end < low-ventJoinSlack, end > high+ventJoinSlack:
		j.Ask("vent-join", x.ID, tables.Designer,
			j.text("the runs of this vent end %v above the floor, and vent %q, which it is to join, runs from %v to "+
				"%v above it: the two do not meet", end-floor, on.ID, low-floor, high-floor),
			"Mend the lengths of the runs; until they agree the vent counts as joining where the other begins.",
			tables.Citation{})
	}
}

// joinsStack judges the join of a vent with a stack, at the point that it names.
func (j *judge) joinsStack(v int32, h ventHeights) {
	x, k := &j.layout.Vents[v], j.tree.vents.stack[v]
	low, high, end, floor := j.levels.lower[k], j.levels.upper[k], h.end[v], j.layout.FinishedFloor
	if above := j.tree.uprightAbove(k); above >= 0 {
		high = j.levels.upper[above]
	}
	if end < low-ventJoinSlack || end > high+ventJoinSlack {
		j.Ask("vent-join", x.ID, tables.Designer,
			j.text("the runs of this vent end %v above the floor, and the stack at %s, which it is to join, stands "+
				"from %v to %v above it: the two do not meet", end-floor, j.id(k), low-floor, high-floor),
			"Mend the lengths of the runs, or name the point of the stack that it joins.", tables.Citation{})
	}
}
