package drains

import (
	"fmt"
	"slices"
)

// A sizing keeps a layout as it was when it was sized, so that what it answers never
// mixes that with what was changed since; and whoever hands a sizing back with a
// layout that has been changed is told so.

// keep returns a copy of the layout as it is now, checked, with its index.
func (l *Layout) keep() (*Layout, *tree, error) {
	if l == nil {
		return nil, nil, fmt.Errorf("layout: %w", ErrMissing)
	}
	c := l.clone()
	t, err := c.index(nil, nil)
	return c, t, err
}

// isOf tells whether the sizes are those of a layout as it is now.
func (s *Sizing) isOf(l *Layout) bool { return s != nil && s.of == l && l.same(s.layout) }

// isOf tells whether the levels are those of a layout as it is now.
func (lv *Levels) isOf(l *Layout) bool { return lv != nil && lv.sizing.isOf(l) }

// clone copies a layout with all it points to.
func (l *Layout) clone() *Layout {
	c := *l
	c.Ground = cloneOf(l.Ground)
	c.Amendments = slices.Clone(l.Amendments)
	c.Footings = slices.Clone(l.Footings)
	c.Systems = slices.Clone(l.Systems)
	for s := range c.Systems {
		sys := &c.Systems[s]
		sys.Outlet.At = cloneOf(sys.Outlet.At)
		sys.Admits, sys.Refuses = slices.Clone(sys.Admits), slices.Clone(sys.Refuses)
		sys.Points = slices.Clone(sys.Points)
		for p := range sys.Points {
			sys.Points[p].own()
		}
	}
	c.Vents = slices.Clone(l.Vents)
	for v := range c.Vents {
		c.Vents[v].Terminal = cloneOf(c.Vents[v].Terminal)
		c.Vents[v].Runs = slices.Clone(c.Vents[v].Runs)
	}
	return &c
}

// own makes copies of what a point shares with the one it was copied from.
func (p *Point) own() {
	p.Run.Fittings = slices.Clone(p.Run.Fittings)
	p.Fixture, p.Trap, p.Cleanout = cloneOf(p.Fixture), cloneOf(p.Trap), cloneOf(p.Cleanout)
	p.Interceptor, p.At = cloneOf(p.Interceptor), cloneOf(p.At)
	if p.Receptor = cloneOf(p.Receptor); p.Receptor != nil {
		p.Receptor.Indirect = slices.Clone(p.Receptor.Indirect)
	}
}

func cloneOf[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}

// same tells whether two layouts say the same in every field.
func (l *Layout) same(m *Layout) bool {
	return l.Job == m.Job && l.FinishedFloor == m.FinishedFloor && l.Slab == m.Slab && l.Bedding == m.Bedding &&
		l.TrenchWidth == m.TrenchWidth && l.CableReach == m.CableReach && l.MinimumCover == m.MinimumCover &&
		l.MinimumClearance == m.MinimumClearance && l.MinimumStubUp == m.MinimumStubUp && l.SewerCover == m.SewerCover &&
		sameValue(l.Ground, m.Ground) && slices.Equal(l.Amendments, m.Amendments) && slices.Equal(l.Footings, m.Footings) &&
		sameList(l.Systems, m.Systems, sameSystem) && sameList(l.Vents, m.Vents, sameVent)
}

func sameSystem(a, b *System) bool {
	x, y := a.Outlet, b.Outlet
	x.At, y.At = nil, nil
	return a.ID == b.ID && a.Kind == b.Kind && x == y && sameValue(a.Outlet.At, b.Outlet.At) &&
		slices.Equal(a.Admits, b.Admits) && slices.Equal(a.Refuses, b.Refuses) && sameList(a.Points, b.Points, samePoint)
}

func samePoint(a, b *Point) bool {
	return a.ID == b.ID && a.To == b.To && sameRun(&a.Run, &b.Run) && sameValue(a.Fixture, b.Fixture) &&
		sameValue(a.Trap, b.Trap) && sameValue(a.Cleanout, b.Cleanout) && sameValue(a.Interceptor, b.Interceptor) &&
		sameReceptor(a.Receptor, b.Receptor) && sameValue(a.At, b.At) && a.Reserved == b.Reserved &&
		a.Continuous == b.Continuous && a.StubUp == b.StubUp && a.RimBelow == b.RimBelow && a.FloodRim == b.FloodRim &&
		a.Carries == b.Carries && a.Capped == b.Capped && a.Primer == b.Primer && a.Drip == b.Drip &&
		a.ThroughWall == b.ThroughWall && a.AboveFloor == b.AboveFloor
}

func sameRun(a, b *Run) bool {
	return a.Length == b.Length && a.Grade == b.Grade && a.Drop == b.Drop && a.Size == b.Size && a.Material == b.Material &&
		a.Bearing == b.Bearing && slices.Equal(a.Fittings, b.Fittings) && a.Into == b.Into && a.Join == b.Join &&
		a.Part == b.Part && a.Vertical == b.Vertical && a.ClosetBend == b.ClosetBend
}

func sameReceptor(a, b *Receptor) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Standpipe == b.Standpipe && a.TrapAboveFloor == b.TrapAboveFloor && slices.Equal(a.Indirect, b.Indirect)
}

func sameVent(a, b *Vent) bool {
	return a.ID == b.ID && a.Kind == b.Kind && a.From == b.From && a.Through == b.Through && a.To == b.To &&
		sameValue(a.Terminal, b.Terminal) && a.Size == b.Size && a.Material == b.Material && slices.Equal(a.Runs, b.Runs)
}

// sameValue tells whether two pointers are both nil or point to equal values.
func sameValue[T comparable](a, b *T) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

func sameList[T any](a, b []T, same func(x, y *T) bool) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !same(&a[i], &b[i]) {
			return false
		}
	}
	return true
}
