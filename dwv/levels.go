package dwv

import (
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Levels are the elevations of a sized layout: inverts, crowns, depths and
// trench bottoms. It is made by [Layout.Levels] and never changes.
type Levels struct {
	layout *Layout
	tree   *tree
	sizing *Sizing
	// By node: invert of the run's lower and upper end. At an outlet upper is
	// the outlet's invert.
	lower, upper []units.Length
}

// Level is where one run lies. For a run above the floor the slab means nothing.
type Level struct {
	Point string       `json:"point"` // upper end
	To    string       `json:"to"`    // lower end
	Upper slope.Levels `json:"upper"`
	Lower slope.Levels `json:"lower"`
	// Spare is the least clearance to the underside of the slab beyond what the
	// job asks: how far the run could be lifted. Negative: it lies too high by
	// that much. Of a vertical run only the lower end counts.
	Spare      units.Length `json:"spare"`
	AboveFloor bool         `json:"above_floor,omitzero"`
	Outside    bool         `json:"outside,omitzero"` // beyond the building, where no slab is
	Vertical   bool         `json:"vertical,omitzero"`
}

// Levels computes every elevation from the outlets upward. Where a run joins at
// the springline or the crown its drop grows by the difference of the bores.
//
// Crowns take the bore, and covers and trench bottoms the wall, of the pipe named
// as the run's material; where the material is not on the shelf, the nominal
// size stands for the bore and the wall counts as nothing.
func (l *Layout) Levels(s *Sizing) (*Levels, error) {
	t, err := l.tree()
	if err != nil {
		return nil, err
	}
	if s == nil || s.tree != t {
		return nil, fmt.Errorf("%w: the sizes are not those of this layout", ErrNotBuilt)
	}
	n := t.len()
	lv := &Levels{layout: l, tree: t, sizing: s, lower: make([]units.Length, n), upper: make([]units.Length, n)}
	err = inverts(l, t, func(i int32) (units.Length, error) {
		return t.point(i).Run.Join.Rise(s.bore(t.parent[i]), s.bore(i))
	}, lv.lower, lv.upper)
	if err != nil {
		return nil, err
	}
	return lv, nil
}

// inverts fills lower and upper; rise gives what the way a run joins adds to its
// drop.
func inverts(l *Layout, t *tree, rise func(int32) (units.Length, error), lower, upper []units.Length) error {
	n := t.len()
	st := slope.Tree{
		Parent: make([]int32, n),
		Order:  make([]int32, 0, len(t.order)),
		Run:    make([]units.Length, n),
		Grade:  make([]slope.Grade, n),
		Drop:   make([]units.Length, n),
	}
	for s := range t.outlets {
		upper[s] = l.Systems[s].Outlet.Invert
		lower[s] = upper[s]
	}
	for k := len(t.order) - 1; k >= 0; k-- {
		i := t.order[k]
		pt := t.point(i)
		run := &pt.Run
		st.Parent[i] = t.parent[i]
		st.Drop[i] = run.Drop
		if run.Join != slope.AtInvert && !run.Vertical {
			r, err := rise(i)
			if err != nil {
				return fmt.Errorf("point %q: join: %w", pt.ID, err)
			}
			st.Drop[i] += r
		}
		if p := t.point(t.parent[i]); p != nil && p.Interceptor != nil {
			st.Drop[i] += p.Interceptor.Drop
		}
		if run.Vertical {
			st.Drop[i] += run.Length
			continue
		}
		st.Run[i] = run.Length
		st.Grade[i] = run.Grade
	}
	for s := range int32(t.outlets) {
		// One call an outlet: the points of its system, from the outlet up.
		st.Order = st.Order[:0]
		for _, i := range slices.Backward(t.of(s)) {
			st.Order = append(st.Order, i)
			if t.parent[i] == s {
				st.Parent[i] = -1
			}
		}
		if err := slope.Inverts(st, l.Systems[s].Outlet.Invert, lower, upper); err != nil {
			return fmt.Errorf("system %q: %w", l.Systems[s].ID, err)
		}
	}
	// A riser went in as a drop, so its lower end came out at its top.
	for _, i := range t.order {
		if run := &t.point(i).Run; run.Vertical {
			lower[i] -= run.Length
		}
	}
	return nil
}

// aboveFloor tells for each node whether its run lies above the slab. What can
// be reached from the outlet without climbing a riser is below, however high the
// outlet was set, so that an outlet set too high is found and not believed.
func aboveFloor(l *Layout, t *tree) ([]bool, error) {
	n := t.len()
	lower, upper := make([]units.Length, n), make([]units.Length, n)
	if err := inverts(l, t, func(int32) (units.Length, error) { return 0, nil }, lower, upper); err != nil {
		return nil, err
	}
	above := make([]bool, n)
	climbed := make([]bool, n)
	for k := len(t.order) - 1; k >= 0; k-- {
		i := t.order[k]
		p := t.parent[i]
		pt := t.point(i)
		climbed[i] = climbed[p] || pt.Run.Vertical
		above[i] = pt.AboveFloor || above[p] || climbed[p] && lower[i] >= l.FinishedFloor
	}
	return above, nil
}

// Len returns how many runs there are.
func (lv *Levels) Len() int { return len(lv.tree.points) }

// At returns the level of the i-th point, in input order through the systems.
func (lv *Levels) At(i int) Level { return lv.level(int32(i + lv.tree.outlets)) }

// Of returns the level of the run from the point of that id.
func (lv *Levels) Of(id string) (Level, bool) {
	i, ok := lv.tree.index[id]
	if !ok || int(i) < lv.tree.outlets {
		return Level{}, false
	}
	return lv.level(i), true
}

func (lv *Levels) level(i int32) Level {
	pt := lv.tree.point(i)
	pipe := lv.sizing.pipe[i]
	on := lv.surface(i)
	// The layout's figures were checked when it was built and the inverts when
	// they were computed, so neither can fail.
	upper, _ := pipe.Levels(lv.upper[i], on)
	lower, _ := pipe.Levels(lv.lower[i], on)
	v := Level{
		Point: pt.ID, To: pt.To, Upper: upper, Lower: lower,
		AboveFloor: lv.sizing.above[i], Outside: lv.outside(i), Vertical: pt.Run.Vertical,
	}
	v.Spare = lv.clearance(i)
	return v
}

// clearance returns how far a run could be lifted before it comes too near the slab.
func (lv *Levels) clearance(i int32) units.Length {
	high := lv.lower[i]
	if !lv.tree.point(i).Run.Vertical {
		high = max(high, lv.upper[i])
	}
	pipe := &lv.sizing.pipe[i]
	on := lv.surface(i)
	return on.Level - on.Slab - (high + pipe.Bore + pipe.Wall) - lv.layout.MinimumCover
}

// surface returns what lies over a run.
func (lv *Levels) surface(i int32) slope.Surface {
	l := lv.layout
	on := slope.Surface{Level: l.FinishedFloor, Slab: l.Slab, Bedding: l.Bedding}
	if lv.outside(i) {
		on.Slab = 0
	}
	return on
}

// Spare returns how far the whole of a system could be lifted, negative if its
// outlet is too high for gravity by that much, and the point that decides; ok is
// false if the system has no run below the floor.
func (lv *Levels) Spare(system string) (spare units.Length, point string, ok bool) {
	for s := range lv.tree.outlets {
		if lv.layout.Systems[s].ID == system {
			return lv.spare(int32(s))
		}
	}
	return 0, "", false
}

func (lv *Levels) spare(system int32) (spare units.Length, point string, ok bool) {
	t := lv.tree
	for _, i := range t.of(system) {
		pt := t.point(i)
		if lv.sizing.above[i] || pt.Run.Vertical || lv.outside(i) {
			continue
		}
		if v := lv.clearance(i); !ok || v < spare || v == spare && pt.ID < point {
			spare, point, ok = v, pt.ID, true
		}
	}
	return spare, point, ok
}

// outside tells whether a run lies outside the building, where no slab is.
func (lv *Levels) outside(i int32) bool { return lv.tree.point(i).Run.Part == Sewer }
