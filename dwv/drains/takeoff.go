package drains

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TakeOffOptions sets the allowances of a material list.
type TakeOffOptions struct {
	WastePercent int          // added to the length of pipe, 0 to 100
	Stick        units.Length // length pipe comes in, for couplings; zero: none are counted
	MetricStick  units.Length // the same of pipe in metric sizes; zero: as Stick
	Batter       slope.Grade  // how far trench walls lean out; level: they stand upright
	Initial      units.Length // backfill placed by hand over the pipe
	ByPlace      bool         // list the fittings by place too
}

// TakeOff is the material list of a layout: what is to be bought and dug. Fittings
// are inferred from the angles of the tree where the layout does not name them.
type TakeOff struct {
	Pipe     []PipeItem    `json:"pipe"`
	Fittings []FittingItem `json:"fittings"`
	// Pipe from the drains up to the floor: closets, floor drains, stubs, cleanouts.
	Risers   []PipeItem  `json:"risers,omitempty"`
	Vents    []PipeItem  `json:"vents,omitempty"`
	Joints   []JointItem `json:"joints"`
	Trenches Earthwork   `json:"trenches"`

	// Places are the fittings once more, by the point, vent or run with a sleeve where
	// each stands; couplings between lengths of pipe are in no place. Empty unless
	// asked for.
	Places []PlacedFitting `json:"places,omitempty"`
}

// PlacedFitting is fittings at one point.
type PlacedFitting struct {
	Place string `json:"place"`
	FittingItem
}

// PipeItem is pipe of one material and size.
type PipeItem struct {
	Material string       `json:"material"` // "" where the layout does not say
	Size     units.Length `json:"size"`
	Net      units.Length `json:"net"`   // as laid
	Gross    units.Length `json:"gross"` // with waste
	Sticks   int          `json:"sticks,omitzero"`
}

// FittingItem is fittings of one kind, material and size.
type FittingItem struct {
	Kind     string       `json:"kind"`
	Material string       `json:"material"`
	Size     units.Length `json:"size"`            // of the through, or the larger, end
	Branch   units.Length `json:"branch,omitzero"` // of the side, or the smaller, end
	Count    int          `json:"count"`
}

// JointItem is the cemented or coupled joints of one material and size. Cement and
// Primer are zero where the shelf does not say how many joints a quart makes, or
// the material is not cemented.
type JointItem struct {
	Material string          `json:"material"`
	Size     units.Length    `json:"size"`
	Count    int             `json:"count"`
	Cement   units.Volume    `json:"cement,omitzero"`
	Primer   units.Volume    `json:"primer,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// Earthwork is the digging and filling of the trenches below the floor, from the
// underside of the slab down.
type Earthwork struct {
	Length     units.Length `json:"length"`
	Excavation units.Volume `json:"excavation"` // in the bank
	Bedding    units.Volume `json:"bedding"`
	Initial    units.Volume `json:"initial,omitzero"`
	Final      units.Volume `json:"final"`
	Deepest    units.Length `json:"deepest"` // trench depth below the underside of the slab
	DeepestAt  string       `json:"deepest_at"`
	// Runs whose trench is too shallow for the initial backfill asked: it ends at the underside of the
	// slab.
	Shallow []string `json:"shallow,omitempty"`
	// Runs that the volumes do not count: the layout gives no width of trench, or the trench cannot hold
	// bedding and pipe.
	Missing []string `json:"missing,omitempty"`
}

type pipeKey struct {
	material string
	size     units.Length
}

type fittingKey struct {
	kind, material string
	size, branch   units.Length
}

// TakeOff lists the material of the drains and vents and the earth to be moved.
func (s *Sizing) TakeOff(opt TakeOffOptions) (*TakeOff, error) {
	return s.TakeOffContext(context.Background(), opt)
}

// TakeOffContext is [Sizing.TakeOff] that stops once the context is done, with its error and how many
// points it had counted.
func (s *Sizing) TakeOffContext(ctx context.Context, opt TakeOffOptions) (*TakeOff, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	if opt.WastePercent < 0 || opt.WastePercent > 100 {
		return nil, argument.Outside("waste", strconv.Itoa(opt.WastePercent)+" percent", "between 0 and 100")
	}
	if err := errors.Join(checkStep("stick", opt.Stick), checkStep("metric stick", opt.MetricStick),
		argument.CheckBare("initial backfill", opt.Initial)); err != nil {
		return nil, err
	}
	t := s.tree
	c := counter{Sizing: s, opt: opt, acc: s.access(), pipe: map[pipeKey]units.Length{},
		vent: map[pipeKey]units.Length{}, riser: map[pipeKey]units.Length{}, fitting: map[fittingKey]int{},
		joint: map[pipeKey]int{}}
	for i, pt := range t.all() {
		if done := int(i) - t.outlets; done%pointsBetween == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("take-off: stopped after %d of %d points: %w", done, len(t.points), ctx.Err())
		}
		c.at = pt.ID
		c.run(i)
		c.node(i)
		c.rises(i)
	}
	c.vents()
	c.sleeves()
	c.plugs()
	out := new(TakeOff)
	var errs [5]error
	out.Pipe, errs[0] = c.pipes(c.pipe)
	out.Risers, errs[1] = c.pipes(c.riser)
	out.Vents, errs[2] = c.pipes(c.vent)
	out.Fittings, out.Places = c.fittings(), c.placed
	out.Joints, errs[3] = c.joints()
	out.Trenches, errs[4] = c.earthwork()
	if err := cmp.Or(errs[:]...); err != nil {
		return nil, err
	}
	return out, nil
}

// pointsBetween is after how many points work that is short at each looks whether it is to go on.
const pointsBetween = 1000

// counter gathers a take-off.
type counter struct {
	*Sizing
	opt     TakeOffOptions
	acc     *access
	pipe    map[pipeKey]units.Length
	vent    map[pipeKey]units.Length
	riser   map[pipeKey]units.Length
	fitting map[fittingKey]int
	joint   map[pipeKey]int
	at      string          // where it counts
	placed  []PlacedFitting // if asked for
	joins   []int32         // by vent the first that joins it; see firstInto
}

// metricKinds are what fittings in metric sizes are bought as, by what they are called here:
// they go by their angle.
var metricKinds = map[string]string{
	"thirty-second-bend": "bend-11-deg", "sixteenth-bend": "bend-22-deg", "eighth-bend": "bend-45-deg",
	"sixth-bend": "bend-67-deg", "quarter-bend": "bend-87-deg", "short-sweep": "bend-87-deg",
	"long-sweep": "pair-of-bends-45-deg", "wye": "branch-45-deg", "sanitary-tee": "branch-87-deg",
	"combination-wye-eighth-bend": "branch-45-deg-with-bend", "double-wye": "double-branch-45-deg",
	"double-fixture-fitting":             "double-branch-87-deg",
	"double-combination-wye-eighth-bend": "double-branch-45-deg-with-bends", "closet-bend": "pan-connector-bend",
	"vent-bend": "bend-87-deg", "vent-tee": "branch-87-deg", "closet-flange": "pan-connector",
}

// IsMetric tells a nominal size in millimetres, such as DN 100, from one in inches.
func IsMetric(size units.Length) bool { return size%(units.Inch/16) != 0 }

// fit counts fittings that come without joints of their own.
func (c *counter) fit(k fittingKey, n int) {
	if kind := metricKinds[k.kind]; kind != "" && IsMetric(k.size) {
		k.kind = kind
	}
	c.fitting[k] += n
	if c.opt.ByPlace {
		c.placed = append(c.placed, PlacedFitting{c.at, FittingItem{Kind: k.kind, Material: k.material, Size: k.size,
			Branch: k.branch, Count: n}})
	}
}

func (c *counter) add(kind, material string, size, branch units.Length, joints int) {
	if branch == size {
		branch = 0
	}
	c.fit(fittingKey{kind, material, size, branch}, 1)
	c.joint[pipeKey{material, size}] += joints
}

// run counts the pipe of a run and the bends that it names.
func (c *counter) run(i int32) {
	pt := c.tree.point(i)
	r := &pt.Run
	c.pipe[pipeKey{r.Material, c.size[i]}] += r.Length
	for _, f := range r.Fittings {
		c.add(f, r.Material, c.size[i], 0, 2)
	}
	if f := pt.Fixture; f != nil && f.Kind == "water-closet" && !pt.Capped {
		c.fit(fittingKey{"closet-flange", r.Material, c.size[i], 0}, f.Count)
		c.joint[pipeKey{r.Material, c.size[i]}] += f.Count
	}
	if pt.Backwater {
		c.add("backwater-valve", r.Material, c.size[i], 0, 2)
	}
	if pt.Capped {
		c.add("cap", r.Material, c.size[i], 0, 1)
	}
	if o := pt.Cleanout; o != nil {
		size := cmp.Or(o.Size, c.size[i])
		if o.TwoWay {
			c.add("two-way-cleanout", r.Material, c.size[i], size, 2)
		}
		c.add("cleanout", r.Material, c.size[i], size, 2) // the adapter with its plug
		if r.Vertical {
			c.add("cleanout-tee", r.Material, c.size[i], size, 2)
			c.fit(fittingKey{"cleanout-wall-plate", "", size, 0}, 1)
		} else {
			c.fit(fittingKey{"cleanout-cover", "", size, 0}, 1)
		}
	}
}

// node counts the fittings where runs come together at a point: a bend where the
// line turns, a reducer where it grows, and a branch fitting for each that joins.
func (c *counter) node(i int32) {
	t := c.tree
	down := t.point(i)
	through := c.acc.primary[i]
	vented := t.vents.takeoff != nil && t.vents.takeoff[i] >= 0
	one, other, teed := c.doubled(i)
	for k := range t.into(i) {
		up := t.point(k)
		if k == one || k == other {
			continue
		}
		switch {
		case up.Run.Into != "":
			joints := 2
			if k != through {
				joints = 3
			}
			c.add(up.Run.Into, down.Run.Material, c.size[i], c.size[k], joints)
		case vented && !teed && down.Run.Vertical && !up.Run.Vertical:
			// The arm comes in at the side, the vent goes on up.
			teed = true
			c.add("sanitary-tee", down.Run.Material, c.size[i], c.size[k], 3)
		case k != through && c.eccentric(i, k):
			c.add(branchFitting(up, down, c.turn(k, i)), down.Run.Material, c.size[i], 0, 3)
		case k != through:
			c.add(branchFitting(up, down, c.turn(k, i)), down.Run.Material, c.size[i], c.size[k], 3)
		default:
			c.inLine(i, k)
		}
	}
	switch {
	case !vented || teed:
	case down.Run.Vertical && down.Fixture != nil && down.Fixture.Count > 1:
		c.add("double-fixture-fitting", down.Run.Material, c.size[i], 0, 4)
	case down.Run.Vertical:
		c.add("sanitary-tee", down.Run.Material, c.size[i], 0, 3)
	default:
		c.add("wye", down.Run.Material, c.size[i], c.Sizing.vents[t.vents.takeoff[i]].Size, 3)
	}
}

// inLine counts the fittings by which run k carries on into run i.
func (c *counter) inLine(i, k int32) {
	up, down := c.tree.point(k), c.tree.point(i)
	if up.Run.ClosetBend && c.size[k] > c.size[i] {
		c.add("closet-bend", down.Run.Material, c.size[k], c.size[i], 2)
		return
	}
	if kind := bend(up, down, c.turn(k, i)); kind != "" {
		if o := down.Cleanout; o != nil && !o.TwoWay && !up.Run.Vertical && !down.Run.Vertical {
			// The cleanout stands on the straight end, and the line turns in at the branch.
			c.add(branchFitting(up, down, c.turn(k, i)), down.Run.Material, c.size[i], c.size[k], 3)
			return
		}
		c.add(kind, down.Run.Material, c.size[i], 0, 2)
	}
	if c.size[k] != c.size[i] && !c.eccentric(i, k) {
		c.add("reducer", down.Run.Material, max(c.size[i], c.size[k]), min(c.size[i], c.size[k]), 2)
	}
}

// eccentric counts the eccentric reducer that joins a smaller flat run to a flat one at the
// invert, where the layout asks for that: wyes and concentric reducers meet centre to centre.
// It tells whether there is one.
func (c *counter) eccentric(i, k int32) bool {
	up, down := c.tree.point(k), c.tree.point(i)
	if up.Run.Join != slope.AtInvert || up.Run.Vertical || down.Run.Vertical || c.size[k] >= c.size[i] {
		return false
	}
	c.add("eccentric-reducer", down.Run.Material, c.size[i], c.size[k], 2)
	return true
}

// turn returns the change of direction from run k into run i, in thousandths of
// a degree, -1 if it is not known.
func (s *Sizing) turn(k, i int32) int32 {
	if m, ok := s.bearing(k).Turn(s.bearing(i)); ok {
		return m
	}
	return -1
}

// bends are the fittings that turn a line in plan, by the angle that gives each its
// name; of two of one angle the wider comes first.
var bends = [...]struct {
	mdeg int32
	kind string
}{
	{11_250, "thirty-second-bend"}, {22_500, "sixteenth-bend"}, {45_000, "eighth-bend"}, {60_000, "sixth-bend"},
	{90_000, "long-sweep"}, {90_000, "short-sweep"}, {90_000, "quarter-bend"},
}

// bend names the fitting by which a line turns, "" for none.
func bend(up, down *Point, turn int32) string {
	switch {
	case up.Run.Vertical && down.Run.Vertical:
		return ""
	case up.Run.Vertical:
		return "long-sweep" // from vertical to horizontal
	case down.Run.Vertical:
		return "quarter-bend"
	}
	for _, b := range bends {
		if turn == b.mdeg {
			return b.kind
		}
	}
	if turn <= 0 {
		return ""
	}
	return "bend of " + strconv.FormatFloat(float64(turn)/1000, 'f', -1, 64) + " deg"
}

// branchFitting names the fitting by which a branch joins a line.
func branchFitting(up, down *Point, turn int32) string {
	switch {
	case down.Run.Vertical && !up.Run.Vertical:
		return "sanitary-tee"
	case turn > 45_000 || up.Run.Vertical:
		return "combination-wye-eighth-bend"
	}
	return "wye"
}

func (c *counter) vents() {
	for v := range c.layout.Vents {
		x, size := &c.layout.Vents[v], c.Sizing.vents[v].Size
		c.at = x.ID
		for k := range x.Runs {
			c.vent[pipeKey{x.Material, size}] += x.Runs[k].Length
			if k > 0 {
				c.add("vent-bend", x.Material, size, 0, 2)
			}
		}
		if from := c.tree.vents.from[v]; from >= 0 && c.drains(from) {
			c.fit(fittingKey{"test-cap", "", size, 0}, 1) // it rises through the floor
		}
		if from := c.larger(x); from > size {
			c.add("reducer", x.Material, from, size, 2)
		}
		switch {
		case x.To != "":
			c.ventTee(int32(v), size)
		case x.Valve != nil:
			c.add("air-admittance-valve", x.Material, size, 0, 1)
		default:
			c.fit(fittingKey{"vent-flashing", "", size, 0}, 1)
		}
		if x.Drains != "" {
			c.add("wye", x.Material, size, 0, 3)
		}
		if x.Cleanout {
			c.add("cleanout", x.Material, size, 0, 2)
		}
	}
}

// ventTee counts the tee by which a vent comes into what it joins, which may be larger. A vent
// that only gathers others begins at the first of them, by a bend that is a reducer where it
// grows.
func (c *counter) ventTee(v int32, size units.Length) {
	x, g, into := &c.layout.Vents[v], &c.tree.vents, size
	if p := g.parent[v]; p >= 0 {
		into = c.Sizing.vents[p].Size
		if g.from[p] < 0 && c.firstInto(p) == v {
			c.add("vent-bend", x.Material, size, 0, 1)
			if into > size {
				c.add("reducer", x.Material, into, size, 2)
			}
			return
		}
	} else if n := g.stack[v]; n >= 0 {
		into = c.size[n]
	}
	c.add("vent-tee", x.Material, max(into, size), size, 2)
	c.joint[pipeKey{x.Material, size}]++
}

// firstInto returns the vent at which one that has no take-off begins.
func (c *counter) firstInto(p int32) int32 {
	if c.joins == nil {
		parent := c.tree.vents.parent
		c.joins = make([]int32, len(parent))
		for v, to := range slices.Backward(parent) {
			if to >= 0 {
				c.joins[to] = int32(v)
			}
		}
	}
	return c.joins[p]
}

func (c *counter) pipes(m map[pipeKey]units.Length) ([]PipeItem, error) {
	out := make([]PipeItem, 0, len(m))
	for k, net := range m {
		p := PipeItem{Material: k.material, Size: k.size, Net: net}
		// Rounded up to the next nanometre: more never hurts.
		p.Gross = net + net/100*units.Length(c.opt.WastePercent) + (net%100*units.Length(c.opt.WastePercent)+99)/100
		stick := c.opt.Stick
		if IsMetric(k.size) {
			stick = cmp.Or(c.opt.MetricStick, stick)
		}
		if stick > 0 {
			n := (p.Gross + stick - 1) / stick
			if n > math.MaxInt32 {
				return nil, argument.Outside("stick", stick.String(), "long enough for the pipe there is")
			}
			p.Sticks = int(n)
			if whole := int((net - 1) / stick); whole > 0 {
				c.fitting[fittingKey{"coupling", k.material, k.size, 0}] += whole
				c.joint[k] += 2 * whole
			}
		}
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b PipeItem) int { return byMaterial(a.Material, b.Material, a.Size, b.Size) })
	return out, nil
}

// byMaterial is the order of what is listed by material and then by size.
func byMaterial(a, b string, sizeA, sizeB units.Length) int {
	return cmp.Or(cmp.Compare(a, b), cmp.Compare(sizeA, sizeB))
}

func (c *counter) fittings() []FittingItem {
	out := make([]FittingItem, 0, len(c.fitting))
	for k, n := range c.fitting {
		out = append(out, FittingItem{Kind: k.kind, Material: k.material, Size: k.size, Branch: k.branch, Count: n})
	}
	slices.SortFunc(out, func(a, b FittingItem) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), byMaterial(a.Material, b.Material, a.Size, b.Size),
			cmp.Compare(a.Branch, b.Branch))
	})
	return out
}

func (c *counter) joints() ([]JointItem, error) {
	out := make([]JointItem, 0, len(c.joint))
	for k, n := range c.joint {
		out = append(out, JointItem{Material: k.material, Size: k.size, Count: n})
	}
	slices.SortFunc(out, func(a, b JointItem) int { return byMaterial(a.Material, b.Material, a.Size, b.Size) })
	for i := range out {
		j := &out[i]
		each, err := c.Sizing.pipes.Cement(j.Material, j.Size)
		if err != nil {
			return nil, err
		}
		j.Cement, j.Primer = each.Cement*units.Volume(j.Count), each.Primer*units.Volume(j.Count)
		j.Citation = each.Citation
	}
	return out, nil
}

func (c *counter) earthwork() (Earthwork, error) {
	var out Earthwork
	l := c.layout
	for i, pt := range c.tree.all() {
		if !c.drains(i) {
			continue
		}
		v := c.levels.level(i)
		run := &pt.Run
		out.Length += run.Length
		d, at := v.Upper.TrenchDepth, v.Point
		if v.Lower.TrenchDepth > d {
			d, at = v.Lower.TrenchDepth, v.To
		}
		if d > out.Deepest || d == out.Deepest && at < out.DeepestAt {
			out.Deepest, out.DeepestAt = d, at
		}
		if l.TrenchWidth == 0 {
			out.Missing = append(out.Missing, v.Point)
			continue
		}
		trench := slope.Trench{Length: run.Length, Width: l.TrenchWidth, DepthLower: v.Lower.TrenchDepth,
			DepthUpper: v.Upper.TrenchDepth, Batter: c.opt.Batter}
		fill := slope.Fill{Pipe: c.Sizing.pipe[i], Bedding: l.Bedding, Initial: c.opt.Initial}
		room := min(trench.DepthLower, trench.DepthUpper) - fill.Bedding - fill.Pipe.OutsideDiameter()
		if room < fill.Initial {
			out.Shallow = append(out.Shallow, v.Point)
			fill.Initial = max(room, 0)
		}
		f, err := trench.Filling(fill)
		switch {
		case errors.Is(err, units.ErrRange):
			out.Missing = append(out.Missing, v.Point)
			continue
		case err != nil:
			return out, fmt.Errorf("point %q: %w", v.Point, err)
		}
		out.Excavation += f.Trench
		out.Bedding += f.Bedding
		out.Initial += f.Initial
		out.Final += f.Final
	}
	return out, nil
}

// doubled counts the double fitting by which two runs come in at one point from opposite
// sides, and returns the two; vented tells that a vent may go on from its top. Without one
// they are -1. Two that name one double fitting share it.
func (c *counter) doubled(i int32) (one, other int32, vented bool) {
	t := c.tree
	down, runs := t.point(i), 0
	for k := t.first[i]; k >= 0 && runs <= mostRuns; k = t.next[k] {
		runs++
	}
	for a := t.first[i]; a >= 0 && runs <= mostRuns; a = t.next[a] {
		for b := t.next[a]; b >= 0; b = t.next[b] {
			kind := c.doubleFitting(i, a, b)
			if kind == "" {
				continue
			}
			joints := 4
			if t.next[t.first[i]] == b && t.next[b] < 0 && !down.Run.Vertical {
				joints = 3 // nothing comes from straight behind
			}
			c.add(kind, down.Run.Material, c.size[i], max(c.size[a], c.size[b]), joints)
			return a, b, down.Run.Vertical
		}
	}
	return -1, -1, false
}

// mostRuns is how many runs may come into one fitting; more are drawn together and not
// built so.
const mostRuns = 4

// doubleFitting names the double fitting of two runs, "" if they do not share one.
func (c *counter) doubleFitting(i, a, b int32) string {
	t := c.tree
	x, y, down := t.point(a), t.point(b), t.point(i)
	switch {
	case x.Run.Into != "" || y.Run.Into != "":
		if x.Run.Into == y.Run.Into && strings.Contains(x.Run.Into, "double") {
			return x.Run.Into
		}
		return ""
	case x.Run.Vertical || y.Run.Vertical:
		return ""
	case down.Run.Vertical:
		if m, ok := c.bearing(a).Turn(c.bearing(b)); !ok || m == 180_000 {
			return "double-fixture-fitting"
		}
		return ""
	}
	turn := c.turn(a, i)
	if turn <= 0 || turn != c.turn(b, i) || c.bearing(a) == c.bearing(b) {
		return ""
	}
	if branchFitting(x, down, turn) == "wye" {
		return "double-wye"
	}
	return "double-combination-wye-eighth-bend"
}

// rises counts what stands on the drain at a point: the trap below the slab, the pipe up
// to the floor with the bend under it, the cap for the test.
func (c *counter) rises(i int32) {
	pt := c.tree.point(i)
	size, material := c.size[i], pt.Run.Material
	upper := c.tree.first[i] < 0
	if !c.drains(i) {
		p := c.tree.parent[i]
		if pt.Run.Vertical && !pt.Capped && !c.above[p] && !c.isUpright(p) && c.levels.upper[i] > c.layout.FinishedFloor {
			c.fit(fittingKey{"test-cap", "", size, 0}, 1) // where it comes through the floor
		}
		return
	}
	if o := pt.Cleanout; o != nil {
		top := c.layout.FinishedFloor
		if pt.ThroughWall && c.layout.Ground != nil {
			top = *c.layout.Ground
		}
		c.rise(pipeKey{material, size}, top-c.levels.upper[i], 1)
		switch {
		case upper && pt.Fixture == nil:
			c.add("long-sweep", material, size, 0, 2)
		case !o.TwoWay && !c.turnsAt(i):
			c.add("combination-wye-eighth-bend", material, size, 0, 3)
		}
	}
	if pt.Primer {
		c.fit(fittingKey{"trap-primer-connection", "", c.trapSize(i), 0}, 1)
		c.fit(fittingKey{"trap-primer", "", 0, 0}, 1)
	}
	if pt.Trap != nil && pt.Trap.Guard == GuardBarrier {
		c.fit(fittingKey{"trap-barrier", "", c.trapSize(i), 0}, 1)
	}
	f := pt.Fixture
	if f == nil || !upper || f.Count < 1 {
		return
	}
	if fixture.IsShower(f.Kind) || slices.Contains(trapInFloor, f.Kind) {
		// Trap, pipe up and body are of the trap's size, which the drain may exceed.
		trap := c.trapSize(i)
		c.fit(fittingKey{"p-trap", material, trap, 0}, f.Count)
		c.joint[pipeKey{material, trap}] += 2 * f.Count
		if trap != size {
			c.fit(fittingKey{"reducer", material, max(trap, size), min(trap, size)}, f.Count)
			c.joint[pipeKey{material, max(trap, size)}] += 2 * f.Count
		}
		size = trap
	} else if !pt.Run.ClosetBend { // which is that bend
		c.fit(fittingKey{"long-sweep", material, size, 0}, f.Count)
		c.joint[pipeKey{material, size}] += 2 * f.Count
	}
	if isFloorDrain(f) {
		c.fit(fittingKey{"floor-drain-body", "", size, 0}, f.Count)
	}
	c.rise(pipeKey{material, size}, c.layout.FinishedFloor-pt.RimBelow+pt.StubUp-c.levels.upper[i], f.Count)
	if !pt.Capped {
		c.fit(fittingKey{"test-cap", "", size, 0}, f.Count)
	}
}

// trapInFloor are, with showers, the fixtures whose trap lies below the slab.
var trapInFloor = []string{"floor-drain", "emergency-floor-drain", "floor-sink", "bathtub"}

// isUpright tells a riser, or a piece of a stack.
func (c *counter) isUpright(i int32) bool {
	pt := c.tree.point(i)
	return pt != nil && pt.Run.Vertical
}

// rise counts so many upright pipes of a height.
func (c *counter) rise(k pipeKey, height units.Length, n int) {
	if height > 0 {
		c.riser[k] += height * units.Length(n)
	}
}

// turnsAt tells whether the line turns where it comes to a point.
func (c *counter) turnsAt(i int32) bool {
	k := c.acc.primary[i]
	return k >= 0 && bend(c.tree.point(k), c.tree.point(i), c.turn(k, i)) != ""
}

// trapSize is the trap at a point: as drawn, or as the code asks, or as its drain.
func (c *counter) trapSize(i int32) units.Length {
	pt := c.tree.point(i)
	if pt.Trap != nil && pt.Trap.Size > 0 {
		return pt.Trap.Size
	}
	if pt.Fixture != nil {
		if load, err := c.code.FixtureLoad(*pt.Fixture); err == nil && load.TrapSize > 0 {
			return max(load.TrapSize, pt.Fixture.Size)
		}
	}
	return c.size[i]
}

// larger returns the size of the upright drain that a vent goes on from; zero if it
// leaves another way.
func (c *counter) larger(x *Vent) units.Length {
	i, ok := c.tree.index[x.From]
	if pt := c.tree.point(i); !ok || pt == nil || !pt.Run.Vertical {
		return 0
	}
	return c.size[i]
}

// sleeves counts the sleeves through footings.
func (c *counter) sleeves() {
	for k := range c.layout.Footings {
		if f := &c.layout.Footings[k]; f.Kind == FootingThrough && f.Sleeve > 0 {
			c.at = f.Run
			c.fit(fittingKey{"sleeve", "", f.Sleeve, 0}, 1)
		}
	}
}

// plugs counts the test plug at each outlet.
func (c *counter) plugs() {
	for sys := range int32(c.tree.outlets) {
		c.at = c.layout.Systems[sys].Outlet.ID
		c.fit(fittingKey{"test-plug", "", c.size[sys], 0}, 1)
	}
}
