package drains

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestOptions sets what the water test is to be.
type TestOptions struct {
	// Head is the height of the water above the highest pipe tested; zero takes the
	// code's.
	Head units.Length
	// WholeSystem tests the drainage above the floor with it; else only what
	// lies below the floor and the risers that come up from it are filled.
	WholeSystem bool
}

// TestPlan says what a water test of a system asks of the crew.
type TestPlan struct {
	System   string          `json:"system"`
	Surface  units.Length    `json:"surface"`           // elevation the water must stand at
	Head     units.Length    `json:"head"`              // of it above the crown of the highest pipe
	Hold     units.Duration  `json:"hold,omitzero"`     // zero: the code's rule says nothing
	Highest  string          `json:"highest"`           // point of the highest crown
	Lowest   string          `json:"lowest"`            // point or outlet where the pressure is greatest
	Pressure units.Pressure  `json:"pressure"`          // there
	Volume   units.Volume    `json:"volume"`            // of water in the pipes filled, the riser it is filled through not counted
	Points   []TestPoint     `json:"points"`            // in input order
	Citation tables.Citation `json:"citation,omitzero"` // of the head
}

// TestPoint is the water over one point while the test is on.
type TestPoint struct {
	Point    string         `json:"point"`
	Head     units.Length   `json:"head"`     // surface above the invert
	Pressure units.Pressure `json:"pressure"` // at the invert
}

// testDensity is that of water at its heaviest, near 4 degrees Celsius, so that
// no pressure is understated: a foot of it is the conventional foot of water.
const testDensity = 1000 // kg/m3

// hydrostatic returns the pressure under a depth of water, p = rho g h.
func hydrostatic(h units.Length) units.Pressure {
	return units.Pressure(testDensity * units.StandardGravity * h.Metres())
}

// TestPlans works out the water test of each system: the level to fill to, the
// head and pressure at every point, and the water it takes. A system of which nothing is
// tested, because all of it lies above the floor, has none.
//
// The level is measured from the highest pipe below the floor; risers that start there
// are filled as far as the water stands.
//
// A plug that lets go under a few feet of water can maim: nobody stands before
// it, and the water is let out before a plug is touched.
func (s *Sizing) TestPlans(opt TestOptions) ([]TestPlan, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	code, lv := s.code, s.levels
	if opt.Head < 0 || !opt.Head.Valid() {
		return nil, fmt.Errorf("%w: a test head of %v", units.ErrRange, opt.Head)
	}
	head, hold, cite := opt.Head, units.Duration(0), tables.Citation{}
	if r, ok := code.Rule("test-water-head"); head == 0 {
		if !ok || r.Kind != tables.Value {
			return nil, fmt.Errorf("test head: %w: the code gives none, and none is asked for", tables.ErrNotInCode)
		}
		if err := head.UnmarshalText([]byte(strings.TrimSuffix(r.String(), " of water"))); err != nil {
			return nil, fmt.Errorf("rule %q: %w", r.ID, err)
		}
		cite = r.Cite
	}
	if r, ok := code.Rule("test-water-hold"); ok && r.Kind == tables.Value {
		if err := hold.UnmarshalText([]byte(r.String())); err != nil {
			return nil, fmt.Errorf("rule %q: %w", r.ID, err)
		}
	}
	plans := make([]TestPlan, 0, lv.tree.outlets)
	filled := lv.filled(opt.WholeSystem)
	for sys := range int32(lv.tree.outlets) {
		p := TestPlan{System: s.layout.Systems[sys].ID, Head: head, Hold: hold, Citation: cite}
		if err := lv.test(sys, &p, filled, opt.WholeSystem); err != nil {
			return nil, err
		}
		if p.Lowest != "" {
			plans = append(plans, p)
		}
	}
	return plans, nil
}

// test fills the plan of a system in, if any of it is tested.
func (lv *Levels) test(s int32, p *TestPlan, filled []bool, whole bool) error {
	t := lv.tree
	var top, low units.Length
	for _, i := range t.of(s) {
		pt := t.point(i)
		if lv.sizing.above[i] && !whole {
			continue // a riser among these is filled, and is not what the head stands over
		}
		crown := lv.upper[i]
		if !pt.Run.Vertical {
			crown += lv.sizing.bore(i)
		}
		if p.Highest == "" || crown > top || crown == top && pt.ID < p.Highest {
			top, p.Highest = crown, pt.ID
		}
		if p.Lowest == "" || lv.lower[i] < low || lv.lower[i] == low && pt.To < p.Lowest {
			low, p.Lowest = lv.lower[i], pt.To
		}
	}
	if p.Lowest == "" {
		return nil
	}
	p.Surface = top + p.Head
	p.Pressure = hydrostatic(p.Surface - low)
	lo, hi := t.span(s)
	p.Points = make([]TestPoint, 0, hi-lo)
	for i := lo; i < hi; i++ {
		if h := p.Surface - lv.upper[i]; filled[i] && h >= 0 {
			p.Points = append(p.Points, TestPoint{t.point(i).ID, h, hydrostatic(h)})
		}
	}
	for _, i := range t.of(s) {
		run, bore := &t.point(i).Run, lv.sizing.bore(i)
		length := run.Length
		if run.Vertical {
			length = min(length, p.Surface-lv.lower[i])
		}
		if !filled[i] || length <= 0 || bore <= 0 {
			continue // dry, or of a size that nobody knows
		}
		v, err := slope.WaterToFill(bore, length)
		if err != nil {
			return fmt.Errorf("point %q: %w", t.point(i).ID, err)
		}
		p.Volume += v
	}
	return nil
}

// filled tells which runs the test fills: what lies below the floor and the risers that
// come up from there, or all of them.
func (lv *Levels) filled(whole bool) []bool {
	t := lv.tree
	filled := make([]bool, t.len())
	for s := range t.outlets {
		filled[s] = true
	}
	for _, i := range slices.Backward(t.order) {
		filled[i] = whole || !lv.sizing.above[i] || t.point(i).Run.Vertical && filled[t.parent[i]]
	}
	return filled
}
