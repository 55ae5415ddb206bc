package dwv

// venting is what a run of drain does for traps beside draining them.
type venting uint8

const (
	ventsWet    venting = 1 << iota // it is part of a wet vent
	ventsCommon                     // it vents the lower of two fixtures
	ventsTop                        // it is the uppermost run of a wet vent
)

// ventingRuns tells by node what runs vent: codes limit the load of such a run by its
// size. It is nil if there is none.
func (s *Sizing) ventingRuns() []venting {
	g, t := &s.tree.vents, s.tree
	if !g.stretched {
		return nil
	}
	does := make([]venting, t.len())
	for v := range s.layout.Vents {
		var what venting
		switch s.layout.Vents[v].Kind {
		case VentWet:
			what = ventsWet
		case VentCommon:
			what = ventsCommon
		}
		if what == 0 || g.from[v] < 0 || g.thru[v] < 0 {
			continue
		}
		for i := g.from[v]; i != g.thru[v] && int(i) >= t.outlets; i = t.parent[i] {
			does[i] |= what
		}
		if what == ventsWet {
			does[g.from[v]] |= ventsTop
		}
	}
	return does
}

// raiseVenting raises the least size of a run to what it needs to vent as well. A load
// that the code's table holds in no size is left to the check.
func (s *Sizing) raiseVenting(least *demand, i int32, does venting) {
	if does&ventsWet != 0 {
		if s.code.uprightWet() && s.tree.point(i).Run.Vertical {
			r := s.code.lengths[ruleUprightWetSize]
			size := r.cell.Value
			// And a size more than the drain of the upper fixture.
			if up := s.tree.first[i]; does&ventsTop != 0 && up >= 0 && s.tree.next[up] < 0 {
				size = max(size, s.code.madeSize(s.required[up], true))
			}
			least.raise(size, DecidedByVenting, r.cite)
		} else {
			s.raiseTo(least, i, &s.code.sized.wet)
		}
	}
	if does&ventsCommon != 0 {
		s.raiseTo(least, i, &s.code.sized.common)
	}
}

func (s *Sizing) raiseTo(least *demand, i int32, t *limitTable) {
	if size, limit, err := s.code.smallest(t, s.load[i], 0); err == nil {
		least.raise(size, DecidedByVenting, limit.Citation)
	}
}

// ruleUprightWetSize is the least size of an upright wet vent.
const ruleUprightWetSize = "wet-vent-vertical-min-size"
