package drains

import (
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

// bathGroup is a bathroom drawn out over several points on one wet vent, which the code
// rates as one group.
type bathGroup struct {
	points []int32
	merge  int32 // where the last of them has joined
	singly dwv.FixtureUnits
	load   dwv.Load // as a group
}

// groups finds the private bathrooms of a system that are drawn fixture by fixture on a wet
// vent of their own: a closet, a lavatory, a tub or shower, and perhaps a bidet and an
// emergency floor drain. Where the code rates a bathroom group as less, the runs from where
// the last of them joins carry that.
func (s *Sizing) groups(sys int32, r *rater, w *work) {
	if !s.tree.vents.stretched {
		return
	}
	on := map[int32][]int32{}
	for i, hi := s.tree.span(sys); i < hi; i++ {
		v := s.routes.serving[i]
		if v >= 0 && s.layout.Vents[v].Kind == VentWet && s.tree.point(i).drainsIn() {
			on[v] = append(on[v], i)
		}
	}
	if len(on) == 0 {
		return
	}
	depth := w.node(0, sys) // how many runs lie between each node and its outlet
	for _, i := range slices.Backward(s.tree.of(sys)) {
		depth[i] = depth[s.tree.parent[i]] + 1
	}
	for v := range int32(len(s.layout.Vents)) {
		if g, ok := s.group(on[v], r); ok {
			g.merge = s.tree.meet(g.points, depth)
			if int(g.merge) < s.tree.outlets {
				continue
			}
			if s.bathGroups == nil {
				s.bathGroups, s.grouped = map[int32]bathGroup{}, map[int32]dwv.FixtureUnits{}
			}
			s.bathGroups[v] = g
			s.grouped[g.merge] += g.singly - g.load.Units
		}
	}
	s.rated = r.rated
	if len(s.grouped) == 0 {
		return
	}
	less := make(map[int32]dwv.FixtureUnits, len(s.grouped)) // at or upstream of a node
	for _, i := range s.tree.of(sys) {
		if d := less[i] + s.grouped[i]; d > 0 {
			s.load[i] -= d
			less[s.tree.parent[i]] += d
		}
	}
	s.load[sys] -= less[sys]
}

// group rates points as one bathroom group; ok is false if they are none, or if the code rates
// it no lower than the fixtures one by one.
func (s *Sizing) group(points []int32, r *rater) (g bathGroup, ok bool) {
	var closet *dwv.Fixture
	var lavatories, baths, more int
	for _, i := range points {
		pt := s.tree.point(i)
		f := pt.Fixture
		if f == nil || f.Count != 1 || f.Use != dwv.Private && f.Kind != "emergency-floor-drain" || pt.Reserved > 0 ||
			pt.Continuous > 0 || pt.Receptor != nil || s.unrated[i] != nil {
			return g, false
		}
		switch f.Kind {
		case "water-closet":
			if closet != nil {
				return g, false
			}
			closet = f
		case "lavatory":
			lavatories++
		case "bathtub", "shower":
			baths++
		case "bidet", "emergency-floor-drain":
			more++
		default:
			return g, false
		}
		g.singly += s.ownLoad(i)
	}
	if closet == nil || lavatories != 1 || baths != 1 || more > 2 {
		return g, false
	}
	k, err := r.rate(&dwv.Fixture{Kind: "bathroom-group", Count: 1, Use: dwv.Private, Control: closet.Control,
		Flush: closet.Flush})
	if err != nil || r.rated[k].Units >= g.singly {
		return g, false
	}
	g.points, g.load = points, r.rated[k]
	return g, true
}

// meet returns the node at which the ways down from some nodes of a system have all met.
func (t *tree) meet(nodes []int32, depth []int32) int32 {
	at := nodes[0]
	for _, i := range nodes[1:] {
		for at != i {
			if depth[at] >= depth[i] {
				at = t.parent[at]
			} else {
				i = t.parent[i]
			}
		}
	}
	return at
}

// bathrooms says which fixtures on a wet vent count as one bathroom group.
func (j *judge) bathrooms() {
	for v := range int32(len(j.layout.Vents)) {
		g, ok := j.sizing.bathGroups[v]
		if !ok || !g.load.Citation.Status().Firm() || j.skips(g.load.Citation) {
			continue
		}
		var names someRuns
		for _, i := range g.points {
			names.add(j.id(i))
		}
		j.add(tables.Finding{Rule: "bathroom-group", Place: j.layout.Vents[v].ID, Verdict: tables.Pass,
			Value: g.load.Units, Citation: g.load.Citation,
			Reason: j.text("%v count as one bathroom group from %s down: %v, and %v one by one", &names, j.id(g.merge),
				g.load.Units, g.singly)})
	}
}
