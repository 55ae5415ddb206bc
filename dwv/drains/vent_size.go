package drains

import (
	"errors"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// VentSize is the size of one vent and what it serves.
type VentSize struct {
	Vent      string           `json:"vent"`
	Kind      VentKind         `json:"kind"`
	Load      dwv.FixtureUnits `json:"load"`             // of the traps it serves, with those of the vents that join it
	Fixtures  int              `json:"fixtures"`         // its own, without those of the vents that join it
	Closets   int              `json:"closets,omitzero"` // with those of the vents that join it
	Drain     units.Length     `json:"drain"`            // the largest drain it serves, as required were none drawn
	Length    units.Length     `json:"length"`           // developed, from the farthest take-off to where the code ends the measure: the air, or a stack vent or vent stack
	Flat      units.Length     `json:"flat"`             // of its own runs that are not risers
	Size      units.Length     `json:"size"`             // as drawn, or else as required
	Drawn     bool             `json:"drawn,omitzero"`
	Required  units.Length     `json:"required"`
	Decided   dwv.VentReason   `json:"decided"`             // what Required rests on
	MaxLength units.Length     `json:"max_length,omitzero"` // greatest developed length of Required; zero: the code gives none
	Citation  tables.Citation  `json:"citation,omitzero"`
	Err       error            `json:"-"` // why the code cannot size it
	rims      floodRims        // of what it serves
	short     string           // a point it serves whose load the code does not give
}

// Vents returns the size of each vent, in input order.
func (s *Sizing) Vents() []VentSize {
	if s.made() != nil {
		return nil
	}
	return slices.Clone(s.vents)
}

// Vent returns the size of the vent of that id.
func (s *Sizing) Vent(id string) (VentSize, bool) {
	if s.made() != nil {
		return VentSize{}, false
	}
	for i := range s.vents {
		if s.vents[i].Vent == id {
			return s.vents[i], true
		}
	}
	return VentSize{}, false
}

var errNoDrain = errors.New("it serves no drain")

// floodRims are the flood rims of what a vent serves.
type floodRims struct {
	highest units.Length // elevation of the highest that is given
	stated  bool         // some fixture has one that is given
	floor   bool         // some floor drain has its own, where it stands
	missing bool         // some fixture has none
}

// add takes in the rims of something more.
func (r *floodRims) add(more floodRims) {
	if more.stated || more.floor {
		if !r.stated && !r.floor || more.highest > r.highest {
			r.highest = more.highest
		}
	}
	r.stated, r.floor, r.missing = r.stated || more.stated, r.floor || more.floor, r.missing || more.missing
}

// known tells whether the highest is one to judge by: floor drains alone do not speak for
// fixtures whose rim is not given.
func (r *floodRims) known() bool { return r.stated || r.floor && !r.missing }

// rimsAt is the flood rim of what stands at a point: as given, that of a standpipe by its
// heights, and that of a floor drain by where it lies.
func rimsAt(l *Data, pt *Point) floodRims {
	floor := l.FinishedFloor
	switch r := pt.Receptor; {
	case pt.FloodRim > 0:
		return floodRims{highest: floor + pt.FloodRim, stated: true}
	case pt.Fixture == nil:
		return floodRims{}
	case r != nil && r.Standpipe > 0 && r.TrapAboveFloor > 0:
		return floodRims{highest: floor + r.TrapAboveFloor + r.Standpipe, stated: true}
	case isFloorDrain(pt.Fixture) && !pt.AboveFloor:
		return floodRims{highest: floor - pt.RimBelow, floor: true}
	}
	return floodRims{missing: true}
}

// sizeVents gives each trap to the vent its arm reaches first, gathers the loads down
// the vents, and sizes each by load and developed length.
func (s *Sizing) sizeVents() {
	l, t, r := s.layout, s.tree, s.routes
	g := &t.vents
	s.vents = make([]VentSize, len(l.Vents))
	for i := int32(t.outlets); int(i) < t.len(); i++ {
		pt := t.point(i)
		// A load kept for later needs its vent as much as a fixture does, and a steady
		// flow its air, though it is no fixture.
		if !pt.drainsIn() || r.serving[i] < 0 {
			continue
		}
		v := &s.vents[r.serving[i]]
		v.Load += s.ownLoad(i)
		switch {
		case pt.Fixture != nil:
			v.Fixtures += pt.Fixture.Count
		case pt.Reserved > 0:
			v.Fixtures++
		}
		v.Closets = min(v.Closets+s.ownClosets(i), dwv.MaxClosets)
		v.Drain = max(v.Drain, s.need[i])
		if s.unrated[i] != nil && (v.short == "" || pt.ID < v.short) {
			v.short = pt.ID
		}
		v.rims.add(rimsAt(l, pt))
	}
	for _, i := range g.order {
		v := &s.vents[i]
		p := g.parent[i]
		if p < 0 {
			continue
		}
		up := &s.vents[p]
		up.Load += v.Load
		up.Closets = min(up.Closets+v.Closets, dwv.MaxClosets)
		up.Drain = max(up.Drain, v.Drain)
		if v.short != "" && (up.short == "" || v.short < up.short) {
			up.short = v.short
		}
		up.rims.add(v.rims)
	}
	tops := s.dryTops()
	to, _ := s.code.Rule(ruleVentLengthTo)
	w := s.developed(to.String() == "stack")
	for k := len(g.order) - 1; k >= 0; k-- {
		i := g.order[k]
		s.sizeVent(i, w.upstream[i]+w.onward[i], tops)
		if w.onward[i] < w.toAir[i] {
			s.hangsOnEnd(i, w.toAir[i]-w.onward[i], to.Cite)
		}
	}
}

// hangsOnEnd has the size of a vent cite the rule that ends its measure short of the air, if
// it would be another, or none, with the way that is left out.
func (s *Sizing) hangsOnEnd(i int32, more units.Length, cite tables.Citation) {
	v := &s.vents[i]
	if v.Err != nil {
		return
	}
	far := *v
	far.Length += more
	s.askVent(&far, isStackVent(&s.layout.Vents[i]))
	if far.Err != nil || far.Required != v.Required {
		v.Citation = weakestOf(v.Citation, cite)
	}
}

// dryTops are the tops of stacks that nothing drains into: they are vent already, drawn as
// drain. Where there is no stack vent nobody asks for them.
type dryTops struct {
	foot   []int32        // by node: the first at or below it that something drains through
	length []units.Length // from the node down to there
}

// dryTops finds them for the stack vents of a layout.
func (s *Sizing) dryTops() (d dryTops) {
	if !slices.ContainsFunc(s.layout.Vents, func(v Vent) bool { return v.Kind == VentStackVent }) {
		return d
	}
	t := s.tree
	flows := make([]bool, t.len())
	for _, i := range t.order {
		flows[i] = flows[i] || t.point(i).drainsIn()
		p := t.parent[i]
		flows[p] = flows[p] || flows[i]
	}
	d = dryTops{make([]int32, t.len()), make([]units.Length, t.len())}
	for _, i := range slices.Backward(t.order) {
		p := t.parent[i]
		d.foot[i] = i
		if run := &t.point(i).Run; run.Vertical && !flows[i] && t.point(p) != nil {
			d.foot[i], d.length[i] = d.foot[p], d.length[p]+run.Length
		}
	}
	return d
}

// carryDown gives a dry top the size of the stack vent that it is part of.
func (s *Sizing) carryDown(from, foot int32, v *VentSize) {
	for i := from; i != foot && s.required[i] < v.Required; i = s.tree.parent[i] {
		run := &s.tree.point(i).Run
		s.enlarge(i, v.Required, DecidedByVenting, v.Citation)
		if p, err := s.pipes.Find(run.Material, s.size[i]); err == nil {
			s.pipe[i] = p
		}
	}
}

// ownLoad returns what the point of a node adds to its run.
func (s *Sizing) ownLoad(i int32) dwv.FixtureUnits {
	own := s.load[i] + s.grouped[i]
	for k := s.tree.first[i]; k >= 0; k = s.tree.next[k] {
		own -= s.load[k]
	}
	return own
}

// ownClosets returns the closets that the point of a node adds.
func (s *Sizing) ownClosets(i int32) int {
	own := s.closets[i]
	for k := s.tree.first[i]; k >= 0; k = s.tree.next[k] {
		own -= s.closets[k]
	}
	return int(own)
}

func (s *Sizing) sizeVent(i int32, length units.Length, tops dryTops) {
	x, v := &s.layout.Vents[i], &s.vents[i]
	v.Vent, v.Kind, v.Length, v.Size, v.Drawn = x.ID, x.Kind, length, x.Size, x.Size > 0
	for k := range x.Runs {
		if x.Runs[k].Direction != VentUp {
			v.Flat += x.Runs[k].Length
		}
	}
	from := s.tree.vents.from[i]
	stack := isStackVent(x)
	top := from
	if x.Kind == VentStackVent && from >= 0 {
		v.Length += tops.length[from]
		from = tops.foot[from]
	}
	if from >= 0 && (stack || v.Drain == 0) {
		v.Drain = max(v.Drain, s.need[from])
	}
	if from >= 0 && stack {
		v.Load = max(v.Load, s.load[from])
	}
	if v.Drain == 0 {
		v.Err = errNoDrain
		return
	}
	s.askVent(v, stack)
	if v.Size == 0 {
		v.Size = v.Required
	}
	if top != from {
		s.carryDown(top, from, v)
	}
}

// askVent asks the code for the size of a vent.
func (s *Sizing) askVent(v *VentSize, stack bool) {
	q := dwv.VentQuery{Part: dwv.IndividualVent, Drain: v.Drain, Load: v.Load, Length: v.Length, Closets: v.Closets}
	if stack {
		q.Part = dwv.StackVent
	}
	r, err := s.code.VentSize(q)
	if err != nil {
		v.Err = err
		return
	}
	v.Required, v.Decided, v.Citation, v.MaxLength = r.Size, r.DecidedBy, r.Citation, r.MaxLength
}
