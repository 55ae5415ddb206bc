package drains

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Levels are the elevations of a sized layout: inverts, crowns, depths and
// trench bottoms. It is made by [Sizing.Levels], or read from JSON, and never changes; many
// may use it at once. Levels that were read list each run and know no outlets.
type Levels struct {
	list   []Level // of levels that were read
	layout *Data
	tree   *tree
	sizing *Sizing
	// By node: invert of the run's lower and upper end. At an outlet upper is
	// the outlet's invert.
	lower, upper []units.Length
	rises        []units.Length // by node: what the way a run joins adds to its drop; nil: nothing
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

// Levels returns every elevation, from the outlets upward. Where a run joins at
// the springline or the crown its drop grows by the difference of the bores; a flat run that
// does not say how it joins a flat one at least as large meets it centre to centre.
//
// Crowns take the bore, and covers and trench bottoms the wall, of the pipe named
// as the run's material; where the material is not on the shelf, the nominal
// size stands for the bore and the wall counts as nothing.
func (s *Sizing) Levels() *Levels { return s.there().levels }

// grade computes the levels of a sizing that lacks nothing else.
func (s *Sizing) grade() (*Levels, error) {
	l, t := s.layout, s.tree
	lv := &Levels{layout: l, tree: t, sizing: s, lower: s.lower, upper: s.upper}
	n := t.len()
	var rises []units.Length
	for i := int32(t.outlets); int(i) < n; i++ {
		rise, err := s.joinRise(i)
		if err != nil {
			return nil, fmt.Errorf("point %q: join: %w", t.point(i).ID, err)
		}
		if rise == 0 {
			continue
		}
		if rises == nil {
			rises = make([]units.Length, n)
		}
		rises[i] = rise
	}
	if lv.rises = rises; rises == nil {
		return lv, nil
	}
	lv.lower, lv.upper = make([]units.Length, n), make([]units.Length, n)
	g := grader{layout: l, tree: t}
	for sys := range int32(t.outlets) {
		if err := g.inverts(sys, rises, lv.lower, lv.upper); err != nil {
			return nil, err
		}
	}
	return lv, nil
}

// joinRise returns how much higher than the invert it joins, drop apart, the lower end of a
// run lies. Wyes and concentric reducers, as they are sold, meet centre to centre: that is
// how a flat run joins a flat one at least as large, if the layout does not say (practice).
// Where the pipe entered is smaller inverts stay level, and a vertical pipe has no invert to
// lie above.
func (s *Sizing) joinRise(i int32) (units.Length, error) {
	t := s.tree
	run, p := &t.point(i).Run, t.parent[i]
	next := t.point(p)
	if run.Vertical || next != nil && next.Run.Vertical {
		return 0, nil
	}
	join := run.Join
	if join == slope.JoinNotStated {
		if s.bore(p) < s.bore(i) || next != nil && next.Interceptor != nil {
			return 0, nil
		}
		join = slope.AtSpringline
	}
	return join.Rise(s.bore(p), s.bore(i))
}

// grader computes inverts, system after system. It holds the tree of one system
// for [slope.Inverts], its points counted from the outlet up.
type grader struct {
	layout       *Data
	tree         *tree
	place        []int32 // of each node in the tree below
	runs         slope.Tree
	lower, upper []units.Length
}

// inverts fills lower and upper for a system; rises is what the way a run joins adds to its
// drop, nil for nothing. At an outlet both are the outlet's invert.
func (g *grader) inverts(sys int32, rises, lower, upper []units.Length) error {
	t, outlet := g.tree, g.layout.Systems[sys].Outlet.Invert
	order := t.of(sys)
	n := len(order)
	if cap(g.lower) < n {
		g.runs = slope.Tree{Parent: make([]int32, n), Run: make([]units.Length, n), Grade: make([]slope.Grade, n),
			Drop: make([]units.Length, n)}
		g.lower, g.upper = make([]units.Length, n), make([]units.Length, n)
	}
	if g.place == nil {
		g.place = make([]int32, t.len())
	}
	r := slope.Tree{Parent: g.runs.Parent[:n], Run: g.runs.Run[:n], Grade: g.runs.Grade[:n], Drop: g.runs.Drop[:n]}
	g.place[sys] = -1
	for k, i := range slices.Backward(order) {
		at := n - 1 - k
		g.place[i] = int32(at)
		pt, p := t.point(i), t.parent[i]
		run := &pt.Run
		drop := run.Drop
		if rises != nil {
			drop += rises[i]
		}
		if next := t.point(p); next != nil && next.Interceptor != nil {
			drop += next.Interceptor.Drop
		}
		r.Parent[at] = g.place[p]
		if run.Vertical {
			r.Drop[at], r.Run[at], r.Grade[at] = drop+run.Length, 0, slope.Grade{}
		} else {
			r.Drop[at], r.Run[at], r.Grade[at] = drop, run.Length, run.Grade
		}
	}
	if err := slope.Inverts(r, outlet, g.lower[:n], g.upper[:n]); err != nil {
		return fmt.Errorf("system %q: %w", g.layout.Systems[sys].ID, err)
	}
	lower[sys], upper[sys] = outlet, outlet
	for k, i := range order {
		at := n - 1 - k
		lower[i], upper[i] = g.lower[at], g.upper[at]
		if run := &t.point(i).Run; run.Vertical {
			lower[i] -= run.Length // a riser went in as a drop, so its lower end came out at its top
		}
	}
	return nil
}

// aboveFloor tells for each node of a system whether its run lies above the slab, and
// whether it goes straight on into the next.
// What can be reached from the outlet without climbing a riser is below, however
// high the outlet was set, so that an outlet set too high is found and not believed.
func (s *Sizing) aboveFloor(sys int32, w *work) {
	t, floor := s.tree, s.layout.FinishedFloor
	climbed := w.flag(0, sys)
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		pt := t.point(i)
		climbed[i] = climbed[p] || pt.Run.Vertical
		s.straight[i] = s.goesStraight(i)
		s.above[i] = pt.AboveFloor || s.above[p] || climbed[p] && s.lower[i] >= floor
	}
}

// Len returns how many runs there are.
func (lv *Levels) Len() int {
	switch {
	case lv == nil:
		return 0
	case lv.tree == nil:
		return len(lv.list)
	}
	return len(lv.tree.points)
}

// All returns each level with its place.
func (lv *Levels) All() iter.Seq2[int, Level] { return each(lv.Len(), lv.At) }

// At returns the level of the i-th point, from 0 to Len()-1, in input order through the
// systems.
func (lv *Levels) At(i int) Level {
	switch {
	case lv.Len() == 0:
		return Level{} // nobody made it
	case lv.tree == nil:
		return lv.list[i]
	}
	return lv.level(int32(i + lv.tree.outlets))
}

// Of returns the level of the run from the point of that id.
func (lv *Levels) Of(id string) (Level, bool) {
	if lv.Len() == 0 {
		return Level{}, false
	}
	if lv.tree == nil {
		i := slices.IndexFunc(lv.list, func(v Level) bool { return v.Point == id })
		if i < 0 {
			return Level{}, false
		}
		return lv.list[i], true
	}
	i, ok := lv.tree.find(id)
	if !ok {
		return Level{}, false
	}
	return lv.At(i), true
}

// Outlet returns where the pipe lies at the outlet of a system, and its nominal size
// there: as the outlet gives it, or as wide as what drains to it. An outlet that only
// sewers drain to lies outside, where no slab is; ok is false if there is no such system.
func (lv *Levels) Outlet(system string) (at slope.Levels, size units.Length, outside, ok bool) {
	if lv.Len() == 0 || lv.tree == nil {
		return at, 0, false, false
	}
	s, ok := lv.tree.systems[system]
	if !ok {
		return at, 0, false, false
	}
	outside = lv.tree.first[s] >= 0
	for i := range lv.tree.into(s) {
		outside = outside && lv.outside(i)
	}
	on := lv.floor()
	if outside {
		on.Slab = 0
	}
	at, _ = lv.sizing.pipe[s].Levels(lv.upper[s], on)
	return at, lv.sizing.size[s], outside, true
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
	on := lv.floor()
	if lv.outside(i) {
		on.Slab = 0
	}
	return on
}

// floor is the floor of the layout.
func (lv *Levels) floor() slope.Surface {
	l := lv.layout
	return slope.Surface{Level: l.FinishedFloor, Slab: l.Slab, Bedding: l.Bedding}
}

// Spare returns how far the whole of a system could be lifted, negative if its
// outlet is too high for gravity by that much, and the point that decides; ok is
// false if the system has no run below the floor.
func (lv *Levels) Spare(system string) (spare units.Length, point string, ok bool) {
	if lv.Len() == 0 || lv.tree == nil {
		return 0, "", false
	}
	s, ok := lv.tree.systems[system]
	if !ok {
		return 0, "", false
	}
	return lv.spare(s)
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
func (lv *Levels) outside(i int32) bool { return lv.tree.point(i).Run.Part == dwv.Sewer }

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
	System   string         `json:"system"`
	Surface  units.Length   `json:"surface"`       // elevation the water must stand at
	Head     units.Length   `json:"head"`          // of it above the crown of the highest pipe
	Hold     units.Duration `json:"hold,omitzero"` // zero: the code's rule says nothing
	Highest  string         `json:"highest"`       // point of the highest crown
	Lowest   string         `json:"lowest"`        // point or outlet where the pressure is greatest
	Pressure units.Pressure `json:"pressure"`      // there
	// Of water in the pipes filled, the riser it is filled through not counted.
	Volume   units.Volume    `json:"volume"`
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
	if err := argument.CheckBare("head", opt.Head); err != nil {
		return nil, err
	}
	head, hold, cite := opt.Head, units.Duration(0), tables.Citation{}
	if r, ok := code.Rule("test-water-head"); head == 0 {
		if !ok || r.Kind != tables.Value {
			return nil, fmt.Errorf("test head: %w: no head of the code, and none is asked for", tables.ErrNotOnShelf)
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

// LaidShot is an invert found in the trench: the elevation of the beam, or of the level
// (see [slope.Circuit]), less the reading of a rod held on the invert.
type LaidShot struct {
	Run    string       `json:"run"`            // the point at its upper end
	Along  units.Length `json:"along"`          // from the lower end of the run up; its length is the upper end
	Invert units.Length `json:"invert"`         // elevation
	Fixed  bool         `json:"fixed,omitzero"` // the pipe cannot be moved there any more
}

// LaidOptions say how a survey is judged.
type LaidOptions struct {
	Tolerance  units.Length // how far an invert may lie from its design
	Resolution units.Length // smallest difference of height that the readings tell
}

// AsLaid is what a survey of the drains shows, held against their design.
type AsLaid struct {
	Points []LaidPoint `json:"points"` // as the shots were given
	Lines  []LaidLine  `json:"lines"`  // the ways that were surveyed, the longest first

	sizing *Sizing
}

// LaidPoint is a shot against the design.
type LaidPoint struct {
	LaidShot
	Design units.Length `json:"design"` // invert that was to be
	Off    units.Length `json:"off"`    // how far above it the pipe lies; negative: below
	Within bool         `json:"within"` // of the tolerance
}

// LaidLine is a way that was surveyed, along runs of one least grade. Stations of the survey
// count from the lower end of its first run.
type LaidLine struct {
	Runs   []string       `json:"runs"` // from the lowest up
	Ends   []units.Length `json:"ends"` // station of the upper end of each
	Survey slope.AsBuilt  `json:"survey"`
}

// At returns where a station of the survey is: on which run, and how far up from its lower end.
func (l *LaidLine) At(station units.Length) (run string, along units.Length) {
	var from units.Length
	for k, end := range l.Ends {
		if station <= end || k == len(l.Ends)-1 {
			return l.Runs[k], station - from
		}
		from = end
	}
	return "", station
}

// Sizing returns the layout with its pipe where it was found, sized: its [Sizing.Check] judges
// what was laid. A run has there the grade between its ends; of what was not surveyed the
// design is kept, on top of what it drains to. Risers are as long as it takes for what stands
// on them to be at its height. It is nil of an AsLaid that was read from JSON.
func (a *AsLaid) Sizing() *Sizing { return a.sizing }

// AsLaid holds a survey against the layout. It tells off by how much each shot lies, how each
// stretch between two of them falls, where water stands, and what to lay again. A shot on an
// unknown run or a riser, beyond the ends of its run, or twice at one place, is an error; all
// of them are told.
func (s *Sizing) AsLaid(shots []LaidShot, opt LaidOptions) (*AsLaid, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	v := survey{of: s, opt: opt, on: map[int32][]LaidShot{}}
	if err := v.sort(shots); err != nil {
		return nil, err
	}
	a := &AsLaid{Points: make([]LaidPoint, 0, len(shots)), Lines: []LaidLine{}}
	for _, x := range shots {
		design := v.design(s.tree.index[x.Run], x.Along)
		off := x.Invert - design
		a.Points = append(a.Points, LaidPoint{x, design, off, off.Abs() <= opt.Tolerance})
	}
	for _, line := range v.lines() {
		l, err := v.line(line)
		if err != nil {
			return nil, err
		}
		if l != nil {
			a.Lines = append(a.Lines, *l)
		}
	}
	var err error
	a.sizing, err = v.laid()
	return a, err
}

// survey is the shots of a layout.
type survey struct {
	of  *Sizing
	opt LaidOptions
	on  map[int32][]LaidShot // by run, from its lower end up
}

// sort puts the shots on their runs.
func (v *survey) sort(shots []LaidShot) error {
	var all faults.List
	for k, x := range shots {
		bad := func(field string, err error) {
			all.Add(units.Fault{Item: fmt.Sprintf("shot %d", k+1), Field: field, Err: err})
		}
		i, ok := v.of.tree.index[x.Run]
		pt := v.of.tree.point(i)
		switch {
		case !ok || pt == nil:
			bad("run", because(ErrReference, "no run from a point %q", x.Run))
			continue
		case pt.Run.Vertical:
			bad("run", because(ErrReference, "the run from %q is a riser", x.Run))
		case x.Along < 0 || x.Along > pt.Run.Length:
			bad("along", because(units.ErrRange, "%v is not on the run from %q, which is %v long", x.Along, x.Run,
				pt.Run.Length))
		case !x.Invert.Valid():
			bad("invert", because(units.ErrRange, "an elevation must lie within ±1000 km"))
		case slices.ContainsFunc(v.on[i], func(y LaidShot) bool { return y.Along == x.Along }):
			bad("along", because(ErrDuplicate, "two shots at %v on the run from %q", x.Along, x.Run))
		}
		v.on[i] = append(v.on[i], x)
	}
	for _, list := range v.on {
		slices.SortFunc(list, func(a, b LaidShot) int { return cmp.Compare(a.Along, b.Along) })
	}
	return all.Err()
}

// design returns the design invert on a run, so far from its lower end.
func (v *survey) design(i int32, along units.Length) units.Length {
	return v.of.levels.lower[i] + v.of.tree.point(i).Run.Grade.Over(along)
}

// lines returns the ways that were surveyed: each from an upper end down to where it joins
// one that is longer, cut where the least grade is another or a riser comes.
func (v *survey) lines() (lines [][]int32) {
	t := v.of.tree
	way := make([]units.Length, t.len())
	var tops []int32
	for sys := range int32(t.outlets) {
		for _, i := range slices.Backward(t.of(sys)) {
			way[i] = way[t.parent[i]] + t.point(i).Run.Length
			if len(v.on[i]) > 0 {
				tops = append(tops, i)
			}
		}
	}
	slices.SortStableFunc(tops, func(a, b int32) int { return cmp.Compare(way[b], way[a]) })
	told := make([]bool, t.len())
	for _, top := range tops {
		var line []int32
		cut := func() {
			if slices.Reverse(line); len(line) > 0 {
				lines = append(lines, line)
			}
			line = nil
		}
		for i := top; int(i) >= t.outlets && !told[i]; i = t.parent[i] {
			told[i] = true
			if t.point(i).Run.Vertical {
				break // what was surveyed below it is a way of its own
			}
			if n := len(line); n > 0 && v.least(line[n-1]) != v.least(i) {
				cut()
			}
			line = append(line, i)
		}
		cut()
	}
	return lines
}

// least returns the least grade of a run, level if the code has none.
func (v *survey) least(i int32) slope.Grade {
	s := v.of
	if u := s.european; u != nil && s.part[i] == dwv.Branch {
		limit, _ := u.standard.BranchLimits(u.stated.choices().System, s.ventedBranch(i))
		g, _, _ := s.code.RuleGrade(limit.MinGrade.ID)
		return g
	}
	limit, _ := s.code.MinGrade(s.part[i], s.size[i])
	return limit.Least
}

// line surveys a way; nil if fewer than two shots tell of it.
func (v *survey) line(runs []int32) (*LaidLine, error) {
	t, lv := v.of.tree, v.of.levels
	for len(runs) > 0 && len(v.on[runs[0]]) == 0 {
		runs = runs[1:]
	}
	if len(runs) == 0 {
		return nil, nil
	}
	l := &LaidLine{}
	design := slope.Line{Outlet: lv.lower[runs[0]]}
	sv := slope.Survey{Tolerance: v.opt.Tolerance, Resolution: v.opt.Resolution, Least: v.least(runs[0])}
	var from units.Length
	for k, i := range runs {
		pt := t.point(i)
		r := slope.Reach{Name: pt.ID, Run: pt.Run.Length, Grade: pt.Run.Grade}
		if k > 0 {
			r.Drop = lv.lower[i] - lv.upper[runs[k-1]]
		}
		design.Reaches = append(design.Reaches, r)
		for _, x := range v.on[i] {
			sv.Shots = append(sv.Shots, slope.Shot{Station: from + x.Along, Invert: x.Invert, Fixed: x.Fixed})
		}
		from += pt.Run.Length
		l.Runs, l.Ends = append(l.Runs, pt.ID), append(l.Ends, from)
	}
	if len(sv.Shots) < 2 {
		return nil, nil
	}
	var err error
	if sv.Design, err = design.Profile(); err != nil {
		return nil, fmt.Errorf("line from %q: %w", l.Runs[len(l.Runs)-1], err)
	}
	found, err := sv.AsBuilt()
	if err != nil {
		return nil, fmt.Errorf("line from %q: %w", l.Runs[len(l.Runs)-1], err)
	}
	l.Survey = *found
	return l, nil
}

// laid sizes the layout with its pipe where it was found.
func (v *survey) laid() (*Sizing, error) {
	s, t, lv := v.of, v.of.tree, v.of.levels
	d := s.of.Data()
	upper := make([]units.Length, t.len())
	for sys := range int32(t.outlets) {
		lo, _ := t.span(sys)
		upper[sys] = d.Systems[sys].Outlet.Invert
		for _, i := range slices.Backward(t.of(sys)) {
			p, run := t.parent[i], &d.Systems[sys].Points[i-lo].Run
			lower := upper[p] + lv.lower[i] - lv.upper[p]
			shots := v.on[i]
			if len(shots) > 0 && shots[0].Along == 0 {
				lower = shots[0].Invert
				if p == sys && t.next[t.first[sys]] < 0 { // it shows where the outlet is
					upper[sys] = lower - (lv.lower[i] - lv.upper[p])
					d.Systems[sys].Outlet.Invert = upper[sys]
				}
			}
			if run.Vertical {
				top := lv.upper[i]
				if lv.lower[i] >= s.layout.FinishedFloor || top < s.layout.FinishedFloor || top <= lower {
					top = lower + run.Length
				}
				run.Length, run.Top, upper[i] = top-lower, nil, top
				continue
			}
			if len(shots) == 0 {
				upper[i] = lower + run.Grade.Over(run.Length)
				continue
			}
			last := shots[len(shots)-1]
			upper[i] = last.Invert + run.Grade.Over(run.Length-last.Along)
			g, err := slope.Of(upper[i]-lower, run.Length)
			if err != nil {
				return nil, fmt.Errorf("run from %q: %w", t.point(i).ID, err)
			}
			run.Grade, run.Join, run.Drop = g, slope.AtInvert, lower-upper[p]
			if next := t.point(p); next != nil && next.Interceptor != nil {
				run.Drop -= next.Interceptor.Drop
			}
		}
	}
	c := &checker{src: new(source), faults: new(faults.List), laid: true}
	made, err := d.checked(c)
	if err != nil {
		return nil, err
	}
	return s.again(context.Background(), &Layout{data: &d, tree: made})
}
