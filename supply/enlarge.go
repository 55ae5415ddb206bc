package supply

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// enlarger enlarges runs step by step until each fixture that pipe can serve is served.
// It always helps the one that lacks most, and no step looks at how far the pressure of
// the street reaches: with less pressure the same steps are taken and then some more, so
// that less pressure never makes a pipe smaller.
//
// Where links close rings it looks at the layout twice: with the links shut, and with them
// open. A ring grows as one, so that its steps are the same at any pressure too.
type enlarger struct {
	h            *calculation
	s            *Analysis
	b            *bounds
	sizes, drawn []int
	// Of each way of looking: what each point needs, less than zero: nothing that pipe can
	// bring.
	need [ways][]float64
	// Of each way of looking: boosters that no pipe feeds.
	starved [ways]map[int32]bool
	ways    int // that there are: without links, one

	rings *ringSizer
	step  []int     // of each ring
	open  []float64 // what each run loses with the links open, from the point that feeds it

	points     []int32 // each with all that it feeds behind it
	place, end []int32 // in points, of each point and all that it feeds
}

// The ways of looking at a layout.
const (
	linksShut = iota
	linksOpen
	ways
)

// enlarge brings up the pressure of each fixture that lacks it and that pipe can serve.
// A fixture that the greatest pipe would not serve changes no size.
func (h *calculation) enlarge(s *Analysis, b *bounds, drawn []int) error {
	e := &enlarger{h: h, s: s, b: b, sizes: b.least, drawn: drawn, rings: h.rings, ways: 1}
	need := make([]float64, h.l.Len())
	lacking := false
	for i := range need {
		need[i] = -1
	}
	for fix := range s.fixtures {
		f := &s.fixtures[fix]
		lacking = lacking || f.Margin() < 0
		for p := range h.l.ports(fix) {
			need[p] = max(need[p], float64(f.Most))
		}
	}
	for i := range h.l.data.Points {
		p := &h.l.data.Points[i]
		if p.Needs > 0 {
			need[i] = max(need[i], float64(p.Needs))
		}
		if p.Needs > 0 || p.Device.booster() {
			lacking = lacking || s.runs[i].Out < p.Needs || s.runs[i].Out+s.runs[i].Reduced < 0
		}
	}
	if e.rings != nil {
		e.openRings()
	}
	if e.rings != nil && e.rings.lines != nil {
		lacking, e.ways = true, ways
	}
	if !lacking {
		return nil
	}
	for way := range e.ways {
		e.need[way] = slices.Clone(need)
		e.dropHopeless(way)
	}
	e.branches()
	// Behind a regulator or a booster the street plays no part.
	for _, i := range slices.Backward(h.l.order) {
		d := h.l.data.Points[i].Device
		if !d.parts() {
			continue
		}
		if err := e.serve(i, float64(d.behind(e.h.flows[i].Flow))); err != nil {
			return err
		}
		if d.booster() {
			// It only has to be fed, whatever stands behind it needs.
			for way := range e.ways {
				for _, at := range e.points[e.place[i]:e.end[i]] {
					e.need[way][at] = -1
				}
				if !e.starved[way][i] {
					e.need[way][i] = 0
				}
			}
		}
	}
	return e.serve(-1, float64(h.street))
}

// dropHopeless forgets what points need that lack it with the greatest sizes too, and notes the
// boosters that would suck with them.
func (e *enlarger) dropHopeless(way int) {
	l := e.h.l
	greatest := e.greatest()
	best := make([]float64, l.Len()) // pressure at each point
	e.starved[way] = map[int32]bool{}
	for _, i := range l.order {
		from, loss := l.parent[i], math.Inf(1)
		if r := l.ringOf(i); r >= 0 && way == linksOpen {
			from, loss = l.rings[r].top, e.leastOpen(i, int(r))
		} else {
			for k := e.sizes[i]; k <= greatest[i]; k++ {
				var r run
				if e.h.run(int(i), k, &r) == nil {
					loss = min(loss, float64(r.loss()))
				}
			}
		}
		best[i] = float64(e.h.street) - loss
		if from >= 0 {
			best[i] = best[from] - loss
		}
		if l.data.Points[i].Device.booster() && best[i] < -pressureSlack {
			e.starved[way][i] = true
		}
		best[i] = float64(l.data.Points[i].Device.held(units.Pressure(best[i]), e.h.flows[i].Flow))
		if e.need[way][i] > best[i]+pressureSlack {
			e.need[way][i] = -1
		}
	}
}

// openRings works the rings out open at their sizes.
func (e *enlarger) openRings() {
	l := e.h.l
	e.open = make([]float64, l.Len())
	for i := range e.open {
		e.open[i] = float64(e.s.runs[i].loss())
	}
	e.step = make([]int, len(l.rings))
	for r := range l.rings {
		if e.rings.lead[r] != nil {
			e.step[r] = e.rings.step(e.b, r)
		}
		e.openRing(r)
	}
}

// openRing fills in what the runs of a ring lose at its step.
func (e *enlarger) openRing(r int) {
	l := e.h.l
	m, lost := &l.rings[r], e.rings.try(r, e.step[r]).lost
	for n, i := range m.runs {
		e.open[i] = float64(e.s.runs[i].loss())
		if lost == nil {
			continue
		}
		e.open[i] = float64(lost[n])
		if p := l.parent[i]; p != m.top {
			e.open[i] -= float64(lost[e.rings.place[p]])
		}
	}
}

// leastOpen is the least that is lost from the top of a ring to one of its points while it is
// open, at this size of the ring or a greater one.
func (e *enlarger) leastOpen(i int32, r int) float64 {
	least := math.Inf(1)
	for step := e.step[r]; step == e.step[r] || step < e.rings.steps(r); step++ {
		if t := e.rings.try(r, step); t.lost != nil && (t.fits || step == e.step[r]) {
			least = min(least, float64(t.lost[e.rings.place[i]]))
		}
	}
	return least
}

// greatest returns the greatest size that each run can have, with figures for its
// fittings and with all that feeds it at theirs.
func (e *enlarger) greatest() []int {
	l := e.h.l
	out := make([]int, l.Len())
	for _, i := range l.order {
		out[i] = e.sizes[i]
		if e.drawn[i] >= 0 {
			continue
		}
		sizes := e.h.families[i].sizes
		var limit *PipeSize // of the run that feeds it
		if p := l.parent[i]; p >= 0 && e.drawn[p] < 0 && out[p]+1 < len(e.h.families[p].sizes) {
			limit = &e.h.families[p].sizes[out[p]]
		}
		for k := out[i] + 1; k < len(sizes) && (limit == nil || !e.h.opt.smaller(limit, &sizes[k])); k++ {
			var r run
			if !e.h.hasFigures(i, k, &r) {
				break
			}
			out[i] = k
		}
	}
	return out
}

// serve enlarges runs behind a point, or behind the source, until what every point
// needs there is no more than the pressure.
func (e *enlarger) serve(root int32, pressure float64) error {
	var sight [ways]*worst
	for way := range e.ways {
		if sight[way] = e.behind(root, way); sight[way] == nil {
			return nil
		}
	}
	for steps := 0; ; steps++ {
		if err := e.h.ctx.Err(); err != nil {
			return fmt.Errorf("sizes for pressure: stopped after %d runs were enlarged: %w", steps, err)
		}
		way := linksShut
		point, need := sight[way].top()
		if e.ways > 1 {
			if p, n := sight[linksOpen].top(); n > need {
				way, point, need = linksOpen, p, n
			}
		}
		if need <= pressure+pressureSlack {
			return nil
		}
		gains, err := e.grow(root, point, way)
		if err != nil {
			return err
		}
		if gains == nil {
			sight[way].drop(point) // nothing on its way can grow that would help it
		}
		for i, gain := range gains {
			for way := range e.ways {
				sight[way].ease(i, gain[way])
			}
		}
	}
}

// gained is what each run loses less than before, in each way of looking.
type gained map[int32][ways]float64

// grow enlarges the run on the way from root to a point that gains most by its next
// size, or the ring, and what feeds it where it must follow.
func (e *enlarger) grow(root, point int32, way int) (gained, error) {
	h, l, runs := e.h, e.h.l, e.s.runs
	best, bestGain := int32(-1), units.Pressure(0)
	last := int32(-1) // the ring looked at last
	for i := point; i != root; i = l.parent[i] {
		if r := l.ringOf(i); r >= 0 && e.rings.lead[r] != nil {
			if r != last {
				if gain := e.ringGain(i, int(r), way); gain > bestGain && e.ringFollows(int(r)) {
					best, bestGain = i, gain
				}
			}
			last = r
			continue
		}
		if e.drawn[i] >= 0 || e.sizes[i]+1 >= len(h.families[i].sizes) {
			continue
		}
		var next run
		if !h.hasFigures(i, e.sizes[i]+1, &next) || !e.canFollow(i, &h.families[i].sizes[e.sizes[i]+1]) {
			continue // no figures for fittings at that size
		}
		if gain := runs[i].loss() - next.loss(); gain > bestGain {
			best, bestGain = i, gain
		}
	}
	if best < 0 {
		return nil, nil
	}
	gains := gained{}
	k := e.sizes[best] + 1
	if r := l.ringOf(best); r >= 0 && e.rings.lead[r] != nil {
		return gains, e.growRing(int(r), e.rings.next(int(r), e.step[r]), ByPressure, gains)
	}
	return gains, e.growRun(best, k, ByPressure, gains)
}

// growRun gives a run a size, and what feeds it one that is no smaller.
func (e *enlarger) growRun(i int32, k int, basis SizeBasis, gains gained) error {
	before := e.s.runs[i].loss()
	e.sizes[i], e.s.basis[i], e.s.cites[i] = k, basis, tables.Citation{}
	if err := e.h.run(int(i), k, &e.s.runs[i]); err != nil {
		return err
	}
	gain := float64(before - e.s.runs[i].loss())
	of := gains[i]
	gains[i] = [ways]float64{of[linksShut] + gain, of[linksOpen] + gain}
	if e.open != nil {
		e.open[i] = float64(e.s.runs[i].loss())
	}
	return e.follow(i, gains)
}

// follow sees that the run which feeds a run is not the smaller.
func (e *enlarger) follow(i int32, gains gained) error {
	p := e.h.l.parent[i]
	if p < 0 || e.drawn[p] >= 0 {
		return nil
	}
	k := e.h.atLeastAs(p, e.sizes[p], &e.h.families[i].sizes[e.sizes[i]])
	if k == e.sizes[p] {
		return nil
	}
	if r := e.h.l.ringOf(p); r >= 0 {
		return e.growRing(int(r), e.rings.reaching(int(r), e.step[r], p, k), ByDownstream, gains)
	}
	return e.growRun(p, k, ByDownstream, gains)
}

// growRing takes a ring to a step, and what feeds it to no smaller a size.
func (e *enlarger) growRing(r, step int, basis SizeBasis, gains gained) error {
	if step <= e.step[r] {
		return nil
	}
	m := &e.h.l.rings[r]
	before := make([][ways]float64, len(m.runs))
	for n, i := range m.runs {
		before[n] = [ways]float64{float64(e.s.runs[i].loss()), e.open[i]}
	}
	e.step[r] = step
	e.rings.set(e.b, r, step, basis, tables.Citation{})
	for _, i := range m.runs {
		if err := e.h.run(int(i), e.sizes[i], &e.s.runs[i]); err != nil {
			return err
		}
	}
	e.openRing(r)
	for n, i := range m.runs {
		of := gains[i]
		of[linksShut] += before[n][linksShut] - float64(e.s.runs[i].loss())
		of[linksOpen] += before[n][linksOpen] - e.open[i]
		gains[i] = of
	}
	for _, i := range m.runs {
		if e.h.l.parent[i] == m.top {
			if err := e.follow(i, gains); err != nil {
				return err
			}
		}
	}
	return nil
}

// ringGain is what a point of a ring gains by its next size.
func (e *enlarger) ringGain(point int32, r, way int) units.Pressure {
	l, s := e.h.l, e.rings
	next := s.next(r, e.step[r])
	if next < 0 {
		return 0
	}
	now, then := s.try(r, e.step[r]), s.try(r, next)
	if way == linksOpen {
		if now.lost == nil || then.lost == nil {
			return 0
		}
		return now.lost[s.place[point]] - then.lost[s.place[point]]
	}
	gain := units.Pressure(0)
	for i := point; i != l.rings[r].top; i = l.parent[i] {
		gain += e.s.runs[i].loss() - then.runs[s.place[i]].loss()
	}
	return gain
}

// ringFollows reports whether what feeds a ring can follow it to its next size.
func (e *enlarger) ringFollows(r int) bool {
	m, next := &e.h.l.rings[r], e.rings.next(r, e.step[r])
	for _, i := range m.runs {
		f := e.h.families[i]
		if e.h.l.parent[i] == m.top && e.drawn[i] < 0 && !e.canFollow(i, &f.sizes[e.rings.at(f, r, next)]) {
			return false
		}
	}
	return true
}

// atLeastAs returns the first size of a run's family, from k on, that may feed another
// size, or the greatest it has.
func (h *calculation) atLeastAs(run int32, k int, size *PipeSize) int {
	sizes := h.families[run].sizes
	for k+1 < len(sizes) && h.opt.smaller(&sizes[k], size) {
		k++
	}
	return k
}

// canFollow reports whether the runs upstream of one that is enlarged to a size
// can follow it: there must be figures for their fittings. A drawn run has not to.
func (e *enlarger) canFollow(i int32, size *PipeSize) bool {
	h := e.h
	for p := h.l.parent[i]; p >= 0 && e.drawn[p] < 0; p = h.l.parent[p] {
		k := h.atLeastAs(p, e.sizes[p], size)
		if k == e.sizes[p] {
			return true
		}
		var next run
		if r := h.l.ringOf(p); r >= 0 {
			if k = e.rings.at(h.families[p], int(r), max(0, e.rings.reaching(int(r), e.step[r], p, k))); k <= e.sizes[p] {
				return false
			}
		} else if !h.hasFigures(p, k, &next) {
			return false
		}
		size = &h.families[p].sizes[k]
	}
	return true
}

// worst finds the point behind a root that needs the most pressure there. The points
// stand as leaves under a tree of maxima, all that a run feeds side by side, so that
// what the run gains is taken off all of them at once.
type worst struct {
	e    *enlarger
	lo   int32     // place of the first leaf in the order of e
	n    int       // leaves
	most []float64 // greatest need below each node, with what was added at it and below
	add  []float64 // to all below each node
}

// branches lays out the points so that all that one feeds come next after it.
func (e *enlarger) branches() {
	l := e.h.l
	n := int32(l.Len())
	e.place, e.end, e.points = make([]int32, n), make([]int32, n), make([]int32, n)
	size, next := slices.Repeat([]int32{1}, int(n)), make([]int32, n)
	sumUp(l, size)
	first := int32(0)
	for _, i := range l.order {
		at := &first
		if p := l.parent[i]; p >= 0 {
			at = &next[p]
		}
		e.place[i], e.end[i], next[i] = *at, *at+size[i], *at+1
		*at += size[i]
		e.points[e.place[i]] = i
	}
}

// behind prepares the points behind a root.
func (e *enlarger) behind(root int32, way int) *worst {
	w := &worst{e: e, n: len(e.points)}
	if root >= 0 {
		w.lo, w.n = e.place[root]+1, int(e.end[root]-e.place[root]-1)
	}
	if w.n == 0 {
		return nil
	}
	lost := make([]float64, w.n) // from the root to each point
	needs := make([]float64, w.n)
	for k := range needs {
		i := e.points[int(w.lo)+k]
		if lost[k] = float64(e.s.runs[i].loss()); way == linksOpen {
			lost[k] = e.open[i]
		}
		if p := e.h.l.parent[i]; p != root {
			lost[k] += lost[e.place[p]-w.lo]
		}
		needs[k] = math.Inf(-1)
		if e.need[way][i] >= 0 {
			needs[k] = e.need[way][i] + lost[k]
		}
	}
	w.most, w.add = make([]float64, 4*w.n), make([]float64, 4*w.n)
	w.fill(1, 0, w.n, needs)
	return w
}

func (w *worst) fill(node, lo, hi int, needs []float64) {
	if hi-lo == 1 {
		w.most[node] = needs[lo]
		return
	}
	mid := (lo + hi) / 2
	w.fill(2*node, lo, mid, needs)
	w.fill(2*node+1, mid, hi, needs)
	w.most[node] = max(w.most[2*node], w.most[2*node+1])
}

// top returns the point that needs most, and what it needs at the root.
func (w *worst) top() (point int32, need float64) {
	node, lo, hi := 1, 0, w.n
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if node *= 2; w.most[node] >= w.most[node+1] {
			hi = mid
		} else {
			node, lo = node+1, mid
		}
	}
	return w.e.points[int(w.lo)+lo], w.most[1]
}

// ease takes what a run gains off all that it feeds.
func (w *worst) ease(run int32, gain float64) {
	from, to := int(w.e.place[run]-w.lo), int(w.e.end[run]-w.lo)
	if from >= 0 && to <= w.n {
		w.addTo(1, 0, w.n, from, to, -gain)
	}
}

// drop forgets what a point needs.
func (w *worst) drop(point int32) {
	at := int(w.e.place[point] - w.lo)
	w.addTo(1, 0, w.n, at, at+1, math.Inf(-1))
}

func (w *worst) addTo(node, lo, hi, from, to int, x float64) {
	if to <= lo || hi <= from {
		return
	}
	if from <= lo && hi <= to {
		w.most[node] += x
		w.add[node] += x
		return
	}
	mid := (lo + hi) / 2
	w.addTo(2*node, lo, mid, from, to, x)
	w.addTo(2*node+1, mid, hi, from, to, x)
	w.most[node] = max(w.most[2*node], w.most[2*node+1]) + w.add[node]
}

// short lists the fixtures that lack pressure, as [Analysis.Check] judges it.
func (a *Analysis) short(ctx context.Context) []int {
	var list []int
	open := a.openPressures(ctx)
	for i := range a.fixtures {
		f := &a.fixtures[i]
		if inPSI(f.Available) < inPSI(f.Most) || open != nil && inPSI(a.leastOpen(i, open)) < inPSI(f.Most) {
			list = append(list, i)
		}
	}
	return list
}

// unfed names the first point whose booster sucks, or where what is drawn without end lacks
// its pressure; empty: there is none.
func (a *Analysis) unfed() string {
	for i := range a.runs {
		p, r := &a.layout.data.Points[i], &a.runs[i]
		if p.Needs > 0 && inPSI(r.Out) < inPSI(p.Needs) || p.Device.booster() && inPSI(r.Out+r.Reduced) < 0 {
			return p.ID
		}
	}
	return ""
}

// inPSI is a pressure as it is compared: in psi, to a millionth.
func inPSI(p units.Pressure) float64 { return roundTo(float64(p / units.PoundForcePerSquareInch)) }
