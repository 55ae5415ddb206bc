package supply

import (
	"math"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// enlarger enlarges runs step by step until each fixture that pipe can serve is served.
// It always helps the one that lacks most, and no step looks at how far the pressure of
// the street reaches: with less pressure the same steps are taken and then some more, so
// that less pressure never makes a pipe smaller.
type enlarger struct {
	h            *calculation
	s            *Sizing
	sizes, drawn []int
	need         []float64 // at each point, less than zero: nothing that pipe can bring

	points     []int32 // each with all that it feeds behind it
	place, end []int32 // in points, of each point and all that it feeds
}

// enlarge brings up the pressure of each fixture that lacks it and that pipe can serve.
// A fixture that the greatest pipe would not serve changes no size.
func (h *calculation) enlarge(s *Sizing, sizes, drawn []int) error {
	e := &enlarger{h: h, s: s, sizes: sizes, drawn: drawn, need: make([]float64, h.l.Len())}
	lacking := false
	for i := range e.need {
		e.need[i] = -1
	}
	for fix := range s.fixtures {
		f := &s.fixtures[fix]
		lacking = lacking || f.Margin() < 0
		for _, p := range [...]int32{h.l.cold[fix], h.l.hot[fix]} {
			if p >= 0 {
				e.need[p] = max(e.need[p], float64(f.Most))
			}
		}
	}
	for i := range h.l.data.Points {
		p := &h.l.data.Points[i]
		if p.Needs > 0 {
			e.need[i] = max(e.need[i], float64(p.Needs))
		}
		if p.Needs > 0 || p.Device.booster() {
			lacking = lacking || s.runs[i].Out < p.Needs || s.runs[i].Out+s.runs[i].Reduced < 0
		}
	}
	if !lacking {
		return nil
	}
	e.dropHopeless()
	e.branches()
	// Behind a regulator or a booster the street plays no part.
	for k := len(h.l.order) - 1; k >= 0; k-- {
		i := h.l.order[k]
		d := h.l.data.Points[i].Device
		if !d.parts() {
			continue
		}
		if err := e.serve(i, float64(d.behind(e.h.flows[i].flow))); err != nil {
			return err
		}
		if d.booster() {
			// It only has to be fed, whatever stands behind it needs.
			for _, at := range e.points[e.place[i]:e.end[i]] {
				e.need[at] = -1
			}
			e.need[i] = 0
		}
	}
	return e.serve(-1, float64(h.street))
}

// dropHopeless forgets what points need that lack it with the greatest sizes too.
func (e *enlarger) dropHopeless() {
	l := e.h.l
	greatest := e.greatest()
	best := make([]float64, l.Len()) // pressure at each point
	for _, i := range l.order {
		loss := math.Inf(1)
		for k := e.sizes[i]; k <= greatest[i]; k++ {
			var r RunResult
			if e.h.run(int(i), k, &r) == nil {
				loss = min(loss, float64(r.loss()))
			}
		}
		best[i] = float64(e.h.street) - loss
		if p := l.parent[i]; p >= 0 {
			best[i] = best[p] - loss
		}
		best[i] = float64(l.data.Points[i].Device.held(units.Pressure(best[i]), e.h.flows[i].flow))
		if e.need[i] > best[i]+pressureSlack {
			e.need[i] = -1
		}
	}
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
			var r RunResult
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
	w := e.behind(root)
	for w != nil {
		point, need := w.top()
		if need <= pressure+pressureSlack {
			return nil
		}
		changed, err := e.step(root, point)
		if err != nil {
			return err
		}
		if changed == nil {
			w.drop(point) // nothing on its way can grow that would help it
		}
		for i, gain := range changed {
			w.ease(i, gain)
		}
	}
	return nil
}

// step enlarges the run on the way from root to a point that gains most by its next
// size, and what feeds it where it must follow. It returns what each run gained.
func (e *enlarger) step(root, point int32) (map[int32]float64, error) {
	h, runs := e.h, e.s.runs
	best, bestGain := int32(-1), units.Pressure(0)
	for i := point; i != root; i = h.l.parent[i] {
		if e.drawn[i] >= 0 || e.sizes[i]+1 >= len(h.families[i].sizes) {
			continue
		}
		var next RunResult
		if !h.hasFigures(i, e.sizes[i]+1, &next) || !e.canFollow(i) {
			continue // no figures for fittings at that size
		}
		if gain := runs[i].loss() - next.loss(); gain > bestGain {
			best, bestGain = i, gain
		}
	}
	if best < 0 {
		return nil, nil
	}
	changed := map[int32]float64{}
	set := func(i int32, k int, basis SizeBasis) error {
		before := runs[i].loss()
		e.sizes[i], e.s.basis[i], e.s.cites[i] = k, basis, tables.Citation{}
		err := h.run(int(i), k, &runs[i])
		changed[i] = float64(before - runs[i].loss())
		return err
	}
	if err := set(best, e.sizes[best]+1, ByPressure); err != nil {
		return nil, err
	}
	// A line never feeds a greater one: what is upstream follows.
	for i := best; h.l.parent[i] >= 0 && e.drawn[h.l.parent[i]] < 0; i = h.l.parent[i] {
		p := h.l.parent[i]
		if k := h.atLeastAs(p, e.sizes[p], &h.families[i].sizes[e.sizes[i]]); k > e.sizes[p] {
			if err := set(p, k, ByDownstream); err != nil {
				return nil, err
			}
		}
	}
	return changed, nil
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

// canFollow reports whether the runs upstream of one that is enlarged by a size
// can follow it: there must be figures for their fittings. A drawn run has not to.
func (e *enlarger) canFollow(i int32) bool {
	h := e.h
	size := &h.families[i].sizes[e.sizes[i]+1]
	for p := h.l.parent[i]; p >= 0 && e.drawn[p] < 0; p = h.l.parent[p] {
		k := h.atLeastAs(p, e.sizes[p], size)
		if k == e.sizes[p] {
			return true
		}
		var next RunResult
		if !h.hasFigures(p, k, &next) {
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
	size, next := make([]int32, n), make([]int32, n)
	for k := n - 1; k >= 0; k-- {
		i := l.order[k]
		size[i]++
		if p := l.parent[i]; p >= 0 {
			size[p] += size[i]
		}
	}
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
func (e *enlarger) behind(root int32) *worst {
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
		lost[k] = float64(e.s.runs[i].loss())
		if p := e.h.l.parent[i]; p != root {
			lost[k] += lost[e.place[p]-w.lo]
		}
		needs[k] = math.Inf(-1)
		if e.need[i] >= 0 {
			needs[k] = e.need[i] + lost[k]
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
func (a *Analysis) short() []int {
	var list []int
	for i := range a.fixtures {
		if f := &a.fixtures[i]; inPSI(f.Available) < inPSI(f.Most) {
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
