package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/units"
)

// stretches counts the vents of a kind that a run of drain is part of.
type stretches struct {
	wet    int32 // wet vents
	common int32 // vents of which it vents the lower fixture
}

// ventingRuns counts by node what runs vent: codes limit the load of such a run by its
// size. It is nil if there is none.
func (s *Sizing) ventingRuns() []stretches {
	g, t := &s.tree.vents, s.tree
	if !g.stretched {
		return nil
	}
	count := make([]stretches, t.len())
	for v := range s.layout.Vents {
		from, thru := g.from[v], g.thru[v]
		if from < 0 || thru < 0 {
			continue
		}
		switch s.layout.Vents[v].Kind {
		case VentWet:
			count[from].wet++
			count[thru].wet--
		case VentCommon:
			count[from].common++
			count[thru].common--
		}
	}
	// A stretch goes on down to where it ends.
	for _, i := range t.order {
		p := t.parent[i]
		count[p].wet += count[i].wet
		count[p].common += count[i].common
	}
	return count
}

// several stands for more than one node.
const several = -1

// upperFixtures returns by node the fixture that reaches its vent where a wet vent takes
// off, several if there are more, nought if there is none.
func (s *Sizing) upperFixtures(sys int32, w *work) []int32 {
	t, r := s.tree, s.routes
	upper := w.node(1, sys)
	lo, hi := t.span(sys)
	for i := lo; i < hi; i++ {
		v, at := r.serving[i], r.reached[i]
		if t.point(i).Fixture == nil || v < 0 || s.layout.Vents[v].Kind != VentWet || at != t.vents.from[v] {
			continue
		}
		if upper[at] == 0 {
			upper[at] = i
		} else {
			upper[at] = several
		}
	}
	return upper
}

// raiseVenting raises the least size of a run to what it needs to vent as well; upper is
// of upperFixtures. A load that the code's table holds in no size gets its largest.
func (s *Sizing) raiseVenting(least *demand, i int32, does stretches, upper int32) {
	if does.wet > 0 {
		if s.code.LimitsUprightWet() && s.tree.point(i).Run.Vertical {
			size, cite, _ := s.code.FindLength(ruleUprightWetSize)
			if upper > 0 { // and a size more than the drain of the upper fixture
				size = max(size, s.code.MadeSize(s.fixtureDrain(upper), true))
			}
			least.raise(size, DecidedByVenting, cite)
		} else {
			s.raiseTo(least, i, s.code.WetVentSize)
		}
	}
	if does.common > 0 {
		s.raiseTo(least, i, s.code.CommonVentSize)
	}
}

// fixtureDrain returns the size of the drain of the fixture at a node: its run, or, where
// it stands on a riser, the trap arm that is not drawn.
func (s *Sizing) fixtureDrain(i int32) units.Length {
	pt, k := s.tree.point(i), s.fixture[i]
	if !pt.Run.Vertical || k < 0 {
		return s.required[i]
	}
	load := &s.rated[k]
	return max(load.TrapSize, load.MinDrain, pt.outletSize())
}

func (s *Sizing) raiseTo(
	least *demand, i int32, smallest func(dwv.FixtureUnits) (units.Length, dwv.LoadLimit, error),
) {
	size, limit, err := smallest(s.load[i])
	if err != nil && size > 0 {
		s.failed[i] = err
	}
	least.raise(size, DecidedByVenting, limit.Citation)
}

// ruleUprightWetSize is the least size of an upright wet vent.
const ruleUprightWetSize = "wet-vent-vertical-min-size"
