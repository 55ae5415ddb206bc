package drains

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func (x *problem) hasTrap() bool { return x.known&aPoint != 0 && x.of.tree.point(x.at).Trap != nil }

func (x *problem) hasReceptor() bool { return x.of.tree.point(x.at).Receptor != nil }

func (x *problem) hasSump() bool { return x.of.layout.Systems[x.sys].Outlet.Sump != nil }

// isServed tells whether a vent serves the trap at the point.
func (x *problem) isServed() bool { return x.of.routes.serving[x.at] >= 0 }

// trap is what the layout tells of the trap at the point.
func (x *problem) trap() Trap {
	if x.hasTrap() {
		return *x.of.tree.point(x.at).Trap
	}
	return Trap{}
}

// isOfSize tells whether what is wrong with the end of a vent is its size.
func (x *problem) isOfSize() bool { return x.Value == fmt.Stringer(x.of.vents[x.vent].Size) }

func (x *problem) startsFlat() bool {
	return x.of.layout.Vents[x.vent].Runs[0].Direction == VentHorizontal
}

// overInsulation tells whether a finding is of how high a valve stands over the insulation.
func (x *problem) overInsulation() bool {
	if x.known&aVent == 0 || x.known&aLimit == 0 || x.Side != "" {
		return false
	}
	valve := x.of.layout.Vents[x.vent].Valve
	return valve != nil && valve.Insulation > 0
}

// branch are the runs of an unventilated or ventilated branch under EN 12056-2, down from the finding.
func (x *problem) branch() iter.Seq[int32] {
	return func(yield func(int32) bool) {
		end := x.of.european.end
		for n := range x.of.tree.down(x.at) {
			if end[n] != end[x.at] || !yield(n) {
				return
			}
		}
	}
}

// enlarge lays the run, and what is smaller downstream of it, as large as the code asks
// for; where that is no larger, one size larger. Cleanouts on the way grow with it.
func enlarge(x *problem) []change { return x.enlarged(x.at) }

// enlargeWetVent enlarges the drain that is a wet vent, from where the vent takes off.
func enlargeWetVent(x *problem) []change { return x.enlarged(x.of.tree.vents.from[x.vent]) }

// enlargeNext enlarges what a run enters.
func enlargeNext(x *problem) []change {
	next := x.of.tree.parent[x.at]
	if int(next) < x.of.tree.outlets {
		return nil
	}
	return x.enlarged(next)
}

// enlarged tries for a run none (as the code asks), the size it has, the limit of the finding,
// and the next two that are made.
func (x *problem) enlarged(i int32) (list []change) {
	if i < 0 {
		return nil
	}
	size := x.of.size[i]
	sizes := []units.Length{0, size}
	if x.limit > size {
		sizes = append(sizes, x.of.sold(x.limit))
	}
	for _, least := range append(sizes, x.larger(size, 2)...) {
		if c, ok := x.laid(i, least); ok {
			list = append(list, c)
		}
	}
	return list
}

// laid makes the change that lays a run and what follows it large enough, and the run not
// under least.
func (f *fit) laid(i int32, least units.Length) (c change, ok bool) {
	t, was := f.of.tree, f.of.size
	way := slices.Collect(t.down(i))
	d := f.of.of.Data()
	for _, n := range way {
		f.point(&d, n).Run.Size = 0
	}
	if len(way) > 0 && least > 0 {
		f.point(&d, i).Run.Size = max(least, was[i])
	}
	s, err := f.sized(d)
	if err != nil {
		return c, false
	}
	f.tried++
	sizes := map[int32]units.Length{} // of what grows
	for _, n := range way {
		if x := max(s.size[n], s.required[n]); x > was[n] {
			sizes[n] = x
		}
	}
	var said []string
	for from := 0; from < len(way); {
		size, to := sizes[way[from]], from
		for to < len(way) && sizes[way[to]] == size {
			to++
		}
		if size > 0 {
			said = append(said, f.say("%v from %s to %s", nominal(size), f.name(way[from]), f.name(t.parent[way[to-1]])))
		}
		from = to
	}
	last := f.of.largestInto(i) // of what enters the outlet
	if len(way) > 0 {
		last = max(sizes[way[len(way)-1]], was[way[len(way)-1]])
	}
	outlet := f.of.layout.Systems[t.system[i]].Outlet
	if outlet.Size > 0 && outlet.Size < last {
		said = append(said, f.say("the outlet %s at %v", inText(outlet.ID), nominal(last)))
	}
	return change{do: "Lay " + strings.Join(said, ", ") + ".", of: "size", edit: func(d *Data) {
		if outlet.Size > 0 {
			d.Systems[t.system[i]].Outlet.Size = max(outlet.Size, last)
		}
		for n, size := range sizes {
			pt := f.point(d, n)
			pt.Run.Size = size
			if o := pt.Cleanout; o != nil && o.Size > 0 {
				if need, _, err := f.of.code.CleanoutSize(size); err == nil {
					o.Size = max(o.Size, need)
				}
			}
		}
	}}, len(said) > 0
}

// enlargeWasteStack runs all of a waste stack that vents itself, what follows it and its vent
// in one larger size.
func enlargeWasteStack(x *problem) (list []change) {
	v, t, s := x.ventOf(), x.of.tree, x.of
	if v < 0 || s.layout.Vents[v].Kind != VentWasteStack || x.Side == "fixtures" || x.Side == "straight" {
		return nil
	}
	from, foot := t.vents.from[v], t.vents.end[v]
	if from < 0 {
		return nil
	}
	sizes := x.larger(s.size[foot], 4)
	if x.Side == "size" {
		sizes = append([]units.Length{s.size[foot]}, x.larger(s.size[foot], 3)...)
	}
	for _, large := range sizes {
		list = append(list, change{do: x.say("Run the waste stack from %s to %s, what follows it and its vent in %v.",
			x.name(from), x.name(foot), nominal(large)), of: "size", edit: func(d *Data) {
			for n := range t.down(from) {
				if s.size[n] < large {
					x.fit.point(d, n).Run.Size = large
				}
			}
			if v := &d.Vents[v]; v.Size > 0 {
				v.Size = max(v.Size, large)
			}
		}})
	}
	return list
}

// doubleFixtureFitting joins what comes in at both sides of a riser by the fitting made for it.
func doubleFixtureFitting(x *problem) []change {
	t := x.of.tree
	was, joint := t.point(x.at).Run.Into, t.parent[x.at]
	return []change{{do: x.say("Use a double fixture fitting at %s.", x.name(joint)), edit: func(d *Data) {
		for k := range t.into(joint) {
			if run := &x.fit.point(d, k).Run; run.Into == was {
				run.Into = "double-fixture-fitting"
			}
		}
	}}}
}

// laying is a run and the grade to lay it at.
type laying struct {
	run   int32
	grade slope.Grade
}

// lay is the change of runs to grades.
func (f *fit) lay(runs ...laying) []change {
	if len(runs) == 0 {
		return nil
	}
	var said []string
	for _, r := range runs {
		said = append(said, f.say("%s to %s at %v", f.name(r.run), f.name(f.of.tree.parent[r.run]), r.grade))
	}
	return []change{{do: "Lay " + strings.Join(said, ", ") + ".", edit: func(d *Data) {
		for _, r := range runs {
			f.point(d, r.run).Run.Grade = r.grade
		}
	}}}
}

// steeper lays a run at the flattest grade of the table at which it carries its load.
func steeper(x *problem) []change {
	s, i := x.of, x.at
	next, ok := s.next(i, s.tree.point(i).Run.Grade)
	for ok && !next.NextGrade.IsLevel() {
		if s.load[i] <= next.NextGradeMaxLoad {
			return x.lay(laying{i, next.NextGrade})
		}
		next, ok = s.next(i, next.NextGrade)
	}
	return nil
}

// toGrade lays a run at the grade that is its limit, or all of a trap arm that are steeper.
func toGrade(x *problem) []change {
	g, ok := x.Limit.(slope.Grade)
	if !ok {
		return nil
	}
	var arm []laying
	if end := x.of.routes.reached[x.at]; x.Rule == "trap-arm-grade" && end >= 0 {
		for n := range x.of.tree.until(x.at, end) {
			if x.of.tree.point(n).Run.Grade.Compare(g) > 0 {
				arm = append(arm, laying{n, g})
			}
		}
	}
	return append(x.lay(laying{x.at, g}), x.lay(arm...)...)
}

// flatten lays the way to what comes too near the slab at the least grades of the code: the
// longest run of it that suffices, or all.
func flatten(x *problem) (list []change) {
	t, s, i := x.of.tree, x.of, x.at
	if sys, isSystem := t.systems[x.Place]; isSystem {
		i = -1
		if _, id, below := s.levels.spare(sys); below {
			i = t.index[id]
		}
	}
	if i < 0 {
		return nil
	}
	var runs []laying
	for n := range t.down(i) {
		run := &t.point(n).Run
		limit, err := s.code.MinGrade(s.part[n], s.size[n])
		if err == nil && run.Grade.Compare(limit.Least) > 0 {
			runs = append(runs, laying{n, limit.Least})
		}
	}
	gain := func(r laying) units.Length {
		run := &t.point(r.run).Run
		return run.Grade.Over(run.Length) - r.grade.Over(run.Length)
	}
	slices.SortStableFunc(runs, func(a, b laying) int {
		return cmp.Compare(gain(b)/units.Millimetre, gain(a)/units.Millimetre)
	})
	for n := 1; n <= len(runs); n++ {
		list = append(list, x.lay(runs[:n]...)...)
		if n == 3 && len(runs) > 4 {
			return append(list, x.lay(runs...)...)
		}
	}
	return list
}

// steepestLaid is the steepest grade that is proposed: steeper, and a level trap arm becomes
// a drop (practice).
var steepestLaid = slope.PerFoot(units.Inch / 2)

// steepen lifts the upper end of the drain of a fixture whose trap hangs too deep.
func steepen(x *problem) []change {
	run := &x.of.tree.point(x.at).Run
	if run.Vertical {
		return nil
	}
	g, err := slope.Of(run.Grade.Over(run.Length)+x.by, run.Length)
	if err != nil {
		return nil
	}
	steps := int64(g.Float()/x.opt.GradeStep.Float()) + 1
	if g, err = x.opt.GradeStep.Scale(steps, 1); err != nil || g.Compare(steepestLaid) > 0 {
		return nil
	}
	return x.lay(laying{x.at, g})
}

// outletBy moves an outlet up, or down.
func (f *fit) outletBy(sys int32, by units.Length, of string) change {
	word, outlet := "Raise", &f.of.layout.Systems[sys].Outlet
	if by < 0 {
		word = "Lower"
	}
	return change{do: f.say(word+" the outlet %s by %v, to %v.", inText(outlet.ID), by.Abs(), outlet.Invert+by), of: of,
		edit: func(d *Data) { d.Systems[sys].Outlet.Invert += by }}
}

// moveOutlet lowers the outlet by what lacks, or lifts it where a trap hangs too deep. Where
// it is not said how pipes join, a little more may be needed: half the widest bore.
func moveOutlet(x *problem) []change {
	if x.Rule == "trap-tail" || x.Rule == "sump-inlet" {
		return []change{x.outletBy(x.sys, x.by, "outlet")}
	}
	return []change{x.outletBy(x.sys, -x.by, "outlet"), x.outletBy(x.sys, -x.by-x.up(x.of.size[x.sys]/2), "outlet")}
}

// passObstacle moves the drains below an obstacle, or above it; of a plane how far it is cut.
func passObstacle(x *problem) []change {
	by := x.up((x.limit - x.value).Abs())
	if by == 0 {
		return nil
	}
	return []change{x.outletBy(x.sys, -by, ""), x.outletBy(x.sys, by, "")}
}

// inSleeve passes a footing in a sleeve two sizes larger than the pipe.
func inSleeve(x *problem) []change {
	o, sizes := x.obstacle(), x.larger(x.of.size[x.at], 2)
	if o == nil || o.Kind != ObstacleFooting || len(sizes) < 2 {
		return nil
	}
	return []change{{do: x.say("Pass the footing %s in a %v sleeve on the run from %s, if its designer agrees.",
		inText(o.ID), nominal(sizes[1]), inText(x.Place)), edit: func(d *Data) {
		d.Footings = append(d.Footings, Footing{ID: o.ID + " at " + x.Place, Kind: FootingThrough, Run: x.Place,
			Bottom: x.of.layout.FinishedFloor - o.Bottom, Sleeve: sizes[1]})
	}}}
}

// obstacle returns the obstacle that a finding names, nil for none.
func (x *problem) obstacle() *Obstacle {
	all := x.of.layout.Obstacles
	if k := slices.IndexFunc(all, func(o Obstacle) bool { return o.ID == x.Side }); k >= 0 {
		return &all[k]
	}
	return nil
}

// setFooting sets a sleeve, or the distance of a trench, to what it must be.
func setFooting(x *problem) (list []change) {
	k := slices.IndexFunc(x.of.layout.Footings, func(f Footing) bool { return f.ID == x.Place })
	if k < 0 {
		return nil
	}
	f := &x.of.layout.Footings[k]
	if x.Rule == "footing-plane" && x.known&aLack != 0 {
		return []change{{do: x.say("Move the trench of %s %v farther from %s.", inText(f.Run), x.by, inText(f.ID)),
			edit: func(d *Data) { d.Footings[k].Distance += x.by }}}
	}
	for _, wide := range x.larger(max(f.Sleeve, x.of.size[x.of.tree.index[f.Run]]), 4) {
		list = append(list, change{do: x.say("Set a %v sleeve at %s.", nominal(wide), inText(f.ID)), of: "sleeve",
			edit: func(d *Data) { d.Footings[k].Sleeve = wide }})
	}
	return list
}

// largerTrap fits the trap that the code asks for, on a drain that is no smaller.
func largerTrap(x *problem) []change {
	do := x.words("Fit at {place} a trap of {size}.")
	list := []change{{do: do, edit: func(d *Data) { x.point(d).Trap.Size = x.limit }}}
	if x.of.size[x.at] < x.limit {
		for _, c := range enlarge(x) {
			list = append(list, change{do: do + " " + c.do,
				edit: func(d *Data) { x.point(d).Trap.Size = x.limit; c.edit(d) }})
		}
	}
	return list
}

// largerArm runs the trap and its arm a size larger.
func largerArm(x *problem) (list []change) {
	t, s, i := x.of.tree, x.of, x.at
	size, _ := (&judge{layout: s.layout, tree: t, code: s.code, sizing: s}).armSize(i)
	for _, large := range x.larger(size, 2) {
		list = append(list, change{do: x.say("Run the trap of %s and its arm in %v.", inText(x.Place), nominal(large)),
			of: "arm",
			edit: func(d *Data) {
				pt := x.point(d)
				if pt.Trap == nil {
					pt.Trap = &Trap{}
				}
				pt.Trap.Size = large
				if pt.Fixture.Size > 0 {
					pt.Fixture.Size = max(pt.Fixture.Size, large)
				}
				for n := range t.down(i) {
					if run := &x.fit.point(d, n).Run; run.Size > 0 {
						run.Size = max(run.Size, large)
					}
				}
			}})
	}
	return list
}

// raiseTrap sets the trap of a fixture higher, under its outlet, and lets its drain drop behind
// it: where the drain vents it as it is, and else behind a vent of its own.
func raiseTrap(x *problem) []change {
	run := x.of.tree.point(x.at).Run
	if run.Vertical {
		return nil
	}
	arm := min(run.Length/2, units.Foot).Round(x.opt.Step, units.Down)
	raise := func(d *Data) {
		foot := x.split(d, x.at, arm)
		top := Point{ID: foot.ID + "+", To: foot.ID, At: foot.At,
			Run: Run{Length: x.by, Vertical: true, Size: run.Size, Material: run.Material}}
		points := &d.Systems[x.of.tree.system[x.at]].Points
		*points = append(*points, top)
		x.point(d).To = top.ID
	}
	do := x.say("Set the trap of %s %v higher, and let its drain drop that much %v behind it.", inText(x.Place), x.by, arm)
	vent := x.ventFrom(x.at, x.at, 0, 0)
	return []change{{do: do, of: "trap", edit: raise},
		{do: do + " " + vent.do, of: "trap", edit: func(d *Data) { raise(d); vent.edit(d) }}}
}

// nearer brings the vent of a trap nearer to it by what the arm is too long, or falls too
// much.
func nearer(x *problem) []change {
	s, pt, by := x.of, x.of.tree.point(x.at), x.by
	v := s.routes.serving[x.at]
	vent, trap := &s.layout.Vents[v], x.trap()
	if x.Rule == "trap-arm-fall" {
		g := pt.Run.Grade
		if trap.Fall > 0 && trap.Arm > 0 {
			g, _ = slope.Of(trap.Fall, trap.Arm)
		}
		run, err := g.RunFor(by)
		if err != nil {
			return nil
		}
		by = x.up(run)
	}
	switch {
	case s.routes.reached[x.at] == x.at && trap.Arm > by:
		return []change{{do: x.say("Move the vent %s of %s %v nearer to the trap.", inText(vent.ID), inText(pt.ID), by),
			edit: func(d *Data) {
				trap := x.point(d).Trap
				if trap.Fall > 0 {
					trap.Fall, _ = trap.Fall.Scale(int64(trap.Arm-by), int64(trap.Arm))
				}
				trap.Arm -= by
			}}}
	case s.routes.reached[x.at] == x.at, vent.Through != "":
		return nil
	}
	return x.takeOffAt(by, int(v))
}

// takeOffAt moves the take-off of a vent up the arm from a fixture by a length: to the point
// there, or to one of its own along the run.
func (x *problem) takeOffAt(by units.Length, v int) []change {
	t := x.of.tree
	left := by
	arm := slices.Collect(t.until(x.at, x.of.routes.reached[x.at]))
	vent, place := inText(x.of.layout.Vents[v].ID), inText(x.Place)
	for _, n := range slices.Backward(arm) { // from the vent up
		run := t.point(n).Run
		switch {
		case left > run.Length:
			left -= run.Length
		case left == run.Length:
			return []change{{do: x.say("Take the vent %s off %v nearer to %s, at %s.", vent, by, place, x.name(n)),
				edit: func(d *Data) { d.Vents[v].From = x.id(n) }}}
		case run.Vertical:
			return nil
		default:
			return []change{{do: x.say("Take the vent %s off %v nearer to %s, on %s.", vent, by, place, x.run(n)),
				edit: func(d *Data) { d.Vents[v].From = x.split(d, n, run.Length-left).ID }}}
		}
	}
	return nil
}

// beforeDrop takes the vent of an S-trap off before the arm drops.
func beforeDrop(x *problem) []change {
	r := x.of.routes
	v := r.serving[x.at]
	if r.reached[x.at] == x.at || !r.risers[x.at] {
		return nil
	}
	return []change{{do: x.say("Take the vent %s off at %s, before the arm drops.", inText(x.of.layout.Vents[v].ID),
		inText(x.Place)), edit: func(d *Data) { d.Vents[v].From = x.Place }}}
}

// beforeTurn takes the vent of a trap off before the arm has turned as much as it may not.
func beforeTurn(x *problem) (list []change) {
	t, v := x.of.tree, x.of.routes.serving[x.at]
	vent := inText(x.of.layout.Vents[v].ID)
	for n := range t.until(x.at, x.of.routes.reached[x.at]) {
		if n != x.at {
			list = append(list, change{do: x.say("Take the vent %s off at %s, before the arm turns on.", vent, x.name(n)),
				of: "turn", edit: func(d *Data) { d.Vents[v].From = x.id(n) }})
		}
		if run := &t.point(n).Run; len(run.Fittings) > 1 && run.Length > 2*x.opt.Step {
			half := (run.Length / 2).Round(x.opt.Step, units.Down)
			list = append(list, change{do: x.say("Take the vent %s off between the bends of %s.", vent, x.run(n)),
				of: "turn", edit: func(d *Data) { d.Vents[v].From = x.splitBends(d, n, half).ID }})
		}
	}
	return list
}

// split puts a point on a run, so far from its upper end, and returns it. Points found before
// are then no longer those of the data.
func (f *fit) split(d *Data, n int32, along units.Length) *Point {
	upper := f.point(d, n)
	lower := Point{ID: upper.ID + "+", To: upper.To, Run: upper.Run, AboveFloor: upper.AboveFloor}
	for {
		if _, taken := f.of.tree.index[lower.ID]; !taken {
			break
		}
		lower.ID += "+"
	}
	if to := d.positions()[upper.To]; upper.At != nil && to != nil {
		x, _ := (to.X - upper.At.X).Scale(int64(along), int64(upper.Run.Length))
		y, _ := (to.Y - upper.At.Y).Scale(int64(along), int64(upper.Run.Length))
		lower.At = &Position{X: upper.At.X + x, Y: upper.At.Y + y}
	}
	lower.Run.Length -= along
	lower.Run.Fittings = nil
	upper.To, upper.Run.Length, upper.Run.Drop, upper.Run.Into = lower.ID, along, 0, ""
	for k := range d.Footings {
		if x := &d.Footings[k]; x.Run == upper.ID && x.Along > along {
			x.Run, x.Along = lower.ID, x.Along-along
		}
	}
	points := &d.Systems[f.of.tree.system[n]].Points
	*points = append(*points, lower)
	return &(*points)[len(*points)-1]
}

// splitBends is split with the first of the bends of the run above, and the others below.
func (f *fit) splitBends(d *Data, n int32, along units.Length) *Point {
	bends := f.of.tree.point(n).Run.Fittings
	lower, first := f.split(d, n, along), min(1, len(bends))
	f.point(d, n).Run.Fittings, lower.Run.Fittings = bends[:first], bends[first:]
	return lower
}

// lead lets the run of a point end at another point; where the plan tells how far that is, it
// is as long.
func (f *fit) lead(d *Data, i int32, to string) {
	pt := f.point(d, i)
	pt.To = to
	if end := d.positions()[to]; pt.At != nil && end != nil && *pt.At != *end {
		pt.Run.Length, pt.Run.Bearing = lengthOnPlan(*pt.At, *end, pt.Run.Grade.Float()), Bearing{}
	}
}

// addCleanout sets a cleanout where one lacks: at the place itself, along the way up or
// down from it, or on the run.
func addCleanout(x *problem) (list []change) {
	t, i := x.of.tree, x.at
	if sys, isSystem := t.systems[x.Place]; isSystem {
		i = sys
	}
	if i < 0 {
		return nil
	}
	at := slices.Collect(t.down(i))
	at = at[:min(len(at), 3)]
	up := []int32{i}
	for k := 0; k < len(up) && len(up) < 24; k++ { // the nearer first
		for c := range t.into(up[k]) {
			up = append(up, c)
		}
	}
	at = append(at, up[1:]...)
	for _, n := range at {
		if t.point(n).Cleanout == nil {
			list = append(list, x.cleanoutAt(n))
		}
	}
	limit := x.limit
	if x.Rule == "cleanout-junction" && x.known&aLimit == 0 { // near it, and no figure says how near
		limit, _, _ = x.of.code.FindLength("cleanout-junction-straight")
	}
	for _, n := range at {
		run := t.point(n).Run
		if run.Vertical || run.Length < 2*units.Foot {
			continue
		}
		list = append(list, x.cleanoutOn(n, run.Length/2))
		if 0 < limit && limit+units.Foot < run.Length { // counted from its lower end
			list = append(list, x.cleanoutOn(n, x.up(run.Length-limit)))
		}
	}
	return list
}

func (f *fit) cleanoutAt(n int32) change {
	return change{do: f.say("Set a cleanout at %s.", f.name(n)),
		edit: func(d *Data) { f.point(d, n).Cleanout = &Cleanout{} }}
}

// cleanoutOn sets a cleanout on a run, so far from its upper end or a little nearer, or between
// its bends.
func (f *fit) cleanoutOn(n int32, along units.Length) change {
	along = along.Round(f.opt.Step, units.Down)
	do := f.say("Set a cleanout on %s, %v from %s.", f.run(n), along, f.name(n))
	if len(f.of.tree.point(n).Run.Fittings) > 1 {
		do = f.say("Set a cleanout between the bends of %s.", f.run(n))
	}
	return change{do: do, of: "on " + f.id(n),
		edit: func(d *Data) { f.splitBends(d, n, along).Cleanout = &Cleanout{} }}
}

// higherStub lets a stub stand as high as it must, and makes the riser below it longer.
func higherStub(x *problem) []change {
	do := x.words("Let the stub at {place} stand {limit} above the floor.")
	list := []change{{do: do, edit: func(d *Data) { x.point(d).StubUp = x.limit }}}
	high := x.of.levels.upper[x.at] - x.of.layout.FinishedFloor
	if x.of.tree.point(x.at).Run.Vertical && high < x.limit {
		longer := x.up(x.limit - high)
		list = append(list, change{do: strings.TrimSuffix(do, ".") + x.say(", its riser %v longer.", longer), standing: true,
			edit: func(d *Data) { x.point(d).Run.lengthen(longer); x.point(d).StubUp = x.limit }})
	}
	return list
}

// lengthen makes a riser longer.
func (r *Run) lengthen(by units.Length) {
	if r.Length += by; r.Top != nil {
		*r.Top += by
	}
}

// otherFitting turns the flow with a fitting that the code takes for it.
func otherFitting(x *problem) (list []change) {
	if x.Value == nil {
		return nil
	}
	bad := x.Value.String()
	for _, name := range [...]string{"combination-wye-eighth-bend", "wye", "long-sweep"} {
		list = append(list, change{do: x.say("Use a %s at %s.", spaced(name), inText(x.Place)),
			edit: func(d *Data) {
				run := &x.point(d).Run
				if run.Into == bad {
					run.Into = name
				}
				for k := range run.Fittings {
					if run.Fittings[k] == bad {
						run.Fittings[k] = name
					}
				}
			}})
	}
	return list
}

// eighth is the bend of 45 degrees.
const eighth = "eighth-bend"

// gentlerTurn turns along a run in two eighth bends where one bend turns too sharply.
func gentlerTurn(x *problem) []change {
	limit, _ := x.Limit.(angle)
	var bends []string
	for _, name := range x.of.tree.point(x.at).Run.Fittings {
		if bendAngle(name) > int32(limit) {
			bends = append(bends, eighth)
			name = eighth
		}
		bends = append(bends, name)
	}
	return []change{{do: x.words("Turn by two eighth bends, apart from each other, in place of each bend of the run " +
		"from {place}."), edit: func(d *Data) { x.point(d).Run.Fittings = bends }}}
}

// straighten turns a branch in two gentler bends where one too many turns square.
func straighten(x *problem) (list []change) {
	for n := range x.branch() {
		bends := x.of.tree.point(n).Run.Fittings
		k := slices.IndexFunc(bends, func(name string) bool { return bendAngle(name) >= squareTurn })
		if k < 0 {
			continue
		}
		list = append(list, change{do: x.say("Turn by two eighth bends, apart from each other, in place of one %s of the "+
			"run from %s.", spaced(bends[k]), x.name(n)), of: "bend", edit: func(d *Data) {
			x.fit.point(d, n).Run.Fittings = slices.Replace(slices.Clone(bends), k, k+1, eighth, eighth)
		}})
	}
	return list
}

// shortenBranch brings an appliance nearer to the end of its branch, or lets it drop less, by
// what that is too long. Where more than one is too far, what they share is shortened first, for
// all of them at once.
func shortenBranch(x *problem) (list []change) {
	drop := x.Rule == "branch-drop"
	far, runs := x.tooFar(), slices.Collect(x.branch())
	slices.SortStableFunc(runs, func(a, b int32) int { return far[b].count - far[a].count })
	for _, n := range runs {
		run, by := &x.of.tree.point(n).Run, far[n].by
		switch {
		case run.Vertical == drop && run.Length > by:
			list = append(list, change{do: x.say("Shorten %s by %v.", x.run(n), by), of: "short", standing: drop,
				edit: func(d *Data) { x.fit.point(d, n).Run.lengthen(-by) }})
		case drop && run.Drop >= by:
			list = append(list, change{do: x.say("Let the run from %s drop %v less.", x.name(n), by), of: "short",
				edit: func(d *Data) { x.fit.point(d, n).Run.Drop -= by }})
		}
	}
	return list
}

// lack is for how many findings a run is too long, and the most that one of them lacks.
type lack struct {
	count int
	by    units.Length
}

// tooFar is, by node on the way of each finding that fails by the rule of the problem, what is lacking there.
func (x *problem) tooFar() map[int32]lack {
	far := map[int32]lack{}
	for k := range x.base {
		b := &x.base[k]
		if b.Rule != x.Rule || !fails(b) {
			continue
		}
		at, ok := x.of.tree.index[b.Place]
		margin, isLength := asLength(b.Margin)
		if !ok || !isLength {
			continue
		}
		for n := range x.of.tree.down(at) {
			far[n] = lack{far[n].count + 1, max(far[n].by, x.up(-margin))}
		}
	}
	return far
}

// takeOut takes a dead end out, or makes it the way in for a cable.
func takeOut(x *problem) []change {
	out := func(d *Data) {
		points := &d.Systems[x.of.tree.system[x.at]].Points
		*points = slices.DeleteFunc(*points, func(p Point) bool { return p.ID == x.Place })
	}
	do := x.say("Take out the dead end from %s to %s.", inText(x.Place), x.name(x.of.tree.parent[x.at]))
	return []change{{do: do, standing: true, edit: out}, x.cleanoutAt(x.at)}
}

// fartherFromFoot lets a branch join farther down from the foot of a stack, on the next run.
func fartherFromFoot(x *problem) []change {
	t, n := x.of.tree, x.of.tree.parent[x.at]
	if int(n) < t.outlets || t.point(n).Run.Vertical || t.point(n).Run.Length <= x.by {
		return nil
	}
	return []change{{do: x.say("Join the branch from %s %v farther down, on %s.", inText(x.Place), x.by, x.run(n)),
		edit: func(d *Data) { x.lead(d, x.at, x.split(d, n, x.by).ID) }}}
}

// pastInterceptor leads what must not pass a grease interceptor into the drain below it: the
// branch that it comes by, or its own drain.
func pastInterceptor(x *problem) (list []change) {
	t := x.of.tree
	for n := range t.down(x.at) {
		in := t.parent[n]
		if int(in) < t.outlets || t.point(in).Interceptor == nil || t.point(in).Interceptor.Kind != "grease" {
			continue
		}
		to := t.point(in).To
		for _, k := range []int32{n, x.at} {
			do := x.say("Lead the drain from %s past the interceptor %s, to %s.", x.name(k), x.name(in),
				inText(to))
			list = append(list, change{do: do, edit: func(d *Data) { x.lead(d, k, to) }})
		}
		return list
	}
	return nil
}

// setInterceptor sets a grease interceptor in the way of greasy waste that meets none.
func setInterceptor(x *problem) (list []change) {
	for n := range x.of.tree.down(x.at) {
		if x.of.tree.point(n).Interceptor != nil {
			return nil
		}
		if n == x.at {
			continue
		}
		list = append(list, change{of: "interceptor",
			do:   x.say("Set a grease interceptor at %s, made for the flow of %s, and vent it.", x.name(n), inText(x.Place)),
			edit: func(d *Data) { x.fit.point(d, n).Interceptor = &Interceptor{Kind: "grease", Vented: true} }})
	}
	return list
}

// largerInterceptor takes an interceptor made for the flow, or one that holds it.
func largerInterceptor(x *problem) []change {
	flow, isFlow := x.Value.(units.Flow)
	switch limit := x.Limit.(type) {
	case units.Flow:
		if !isFlow {
			return nil
		}
		return []change{{do: x.say("Set an interceptor made for %v at %s.", flow, inText(x.Place)), edit: func(d *Data) {
			in := x.point(d).Interceptor
			if in.Rated = flow; in.Volume > 0 {
				in.Volume = max(in.Volume, tidy(units.Volume(float64(in.Inflow)*float64(in.Retention)), units.USGallon))
			}
		}}}
	case units.Volume:
		return []change{{do: x.say("Set an interceptor that holds %v at %s.", limit, inText(x.Place)),
			edit: func(d *Data) { x.point(d).Interceptor.Volume = limit }}}
	}
	return nil
}

// setBackwater sets a backwater valve in each branch that drains only what a sewer could flood,
// and takes out those through which others drain.
func setBackwater(x *problem) []change {
	flood, t := x.of.layout.UpstreamManhole, x.of.tree
	if flood == nil {
		return nil
	}
	low, high := make([]bool, t.len()), make([]bool, t.len())
	for _, i := range t.of(x.sys) { // each after all that drain to it
		if pt := t.point(i); pt.Fixture != nil {
			rim := rimsAt(x.of.layout, pt)
			given, below := rim.stated || rim.floor, rim.highest < *flood
			low[i], high[i] = low[i] || given && below, high[i] || given && !below
		}
		p := t.parent[i]
		low[p], high[p] = low[p] || low[i], high[p] || high[i]
	}
	lo, hi := t.span(x.sys)
	valve := map[int32]bool{}
	var said, out []string
	for i := lo; i < hi; i++ {
		has, up := t.point(i).Backwater, t.parent[i]
		wants := low[i] && !high[i] && (int(up) < t.outlets || high[up])
		switch {
		case wants && !has:
			said = append(said, x.name(i))
		case has && high[i]:
			out = append(out, x.name(i))
		default:
			continue
		}
		valve[i] = wants
	}
	do := ""
	if len(said) > 0 {
		do = "Set a backwater valve at " + strings.Join(said, ", ") + ". "
	}
	if len(out) > 0 {
		do += "Take out the backwater valve at " + strings.Join(out, ", ") + "."
	}
	return []change{{do: strings.TrimSpace(do), edit: func(d *Data) {
		for i, on := range valve {
			x.fit.point(d, i).Backwater = on
		}
	}}}
}

// vented gives a trap a vent of its own from where it stands or a little way down, up
// through the roof as the vents of the layout are; within a limit of its weir, 0 for none.
func (f *fit) vented(i int32, limit units.Length) (list []change) {
	t, s := f.of.tree, f.of
	sizes := []units.Length{0}
	if len(s.layout.Vents) == 0 { // it is the one that must be as large as the code asks of one
		sizes = append(sizes, s.size[t.system[i]])
	}
	steps := 0
	for n := range t.down(i) {
		for _, size := range sizes {
			list = append(list, f.ventFrom(i, n, 0, size))
		}
		pt := t.point(n)
		if steps == 0 && limit < pt.Run.Length && !pt.Run.Vertical {
			if pt.Trap != nil {
				limit -= pt.Trap.Arm
			}
			if limit = limit.Round(f.opt.Step, units.Down); limit > 0 {
				list = append(list, f.ventFrom(i, n, limit, 0))
			}
		}
		if steps++; steps == 3 {
			break
		}
	}
	return list
}

// ventFrom vents the trap at a node from another one, or from so far down the run there.
func (f *fit) ventFrom(i, n int32, along, size units.Length) change {
	v, as := f.straightUp(n, "vent of "+f.id(i), VentIndividual)
	v.Size = size
	from, in := f.id(n), ""
	if along > 0 {
		from = f.say("%s, %v from %s,", f.run(n), along, f.name(n))
	}
	if size > 0 {
		in = f.say(" in %v", nominal(size))
	}
	return change{do: f.say("Vent the trap of %s%s from %s straight up through the roof (%s).", f.name(i), in, from, as),
		of: f.say("%s %v", f.id(n), along), edit: func(d *Data) {
			v := v
			if along > 0 {
				v.From = f.split(d, n, along).ID
				v.Runs = slices.Clone(v.Runs)
				v.Runs[0].Length += f.of.tree.point(n).Run.Grade.Over(along)
			}
			d.Vents = append(d.Vents, v)
		}}
}

// straightUp is a vent from a point up through the roof, as high as the vents of the layout
// are, and how that is said.
func (f *fit) straightUp(n int32, id string, kind VentKind) (v Vent, as string) {
	s := f.of
	storey := 10 * units.Foot
	if s.metric {
		storey = 3 * units.Metre
	}
	roof, as := s.layout.FinishedFloor+storey, f.say("the roof taken as %v above the floor", storey)
	terminal := Terminal{}
	if x, _, ok := s.code.FindLength("vent-above-roof"); ok {
		terminal.AboveRoof = x
	}
	heights := s.ventHeights(s.levels.upper)
	for k := range s.layout.Vents {
		if x := &s.layout.Vents[k]; x.Terminal != nil {
			roof, as, terminal = heights.end[k], "as high as the vent "+inText(x.ID), *x.Terminal
			break
		}
	}
	for f.ventIndex(id) >= 0 {
		id += " too"
	}
	v = Vent{ID: id, Kind: kind, From: f.id(n), Terminal: &terminal,
		Runs: []VentRun{{Length: max(roof-s.levels.upper[n], units.Foot), Direction: VentUp}}}
	if len(s.layout.Vents) > 0 {
		v.Material = s.layout.Vents[0].Material
	}
	return v, as
}

// adds is the change that sets vents.
func adds(do, of string, vents ...Vent) change {
	return change{do: do, of: of, edit: func(d *Data) { d.Vents = append(d.Vents, vents...) }}
}

// relieveBranch takes a relief vent off the branch that a vent vents.
func relieveBranch(x *problem) (list []change) {
	for n := range x.of.tree.down(x.of.tree.vents.from[x.vent]) {
		vent, as := x.straightUp(n, "relief vent of "+x.id(n), VentRelief)
		list = append(list, adds(x.say("Relieve the branch by a vent from %s up through the roof (%s).", x.name(n), as),
			"relief", vent))
		if len(list) == 3 || x.of.tree.point(n).Run.Vertical {
			break
		}
	}
	return list
}

// relieveCircuit relieves a branch with a circuit vent where the last of its fixtures joins.
func relieveCircuit(x *problem) []change {
	end := x.of.tree.vents.end[x.vent]
	vent, as := x.straightUp(end, "relief vent of "+x.id(end), VentRelief)
	return []change{adds(x.say("Relieve the branch by a vent from %s up through the roof (%s).", x.name(end), as),
		"relief", vent)}
}

// besideStack runs a vent stack beside a tall stack, from its foot up.
func besideStack(x *problem) []change {
	foot := x.at
	if below := x.of.tree.parent[x.at]; int(below) >= x.of.tree.outlets {
		foot = below
	}
	vent, as := x.straightUp(foot, "vent stack of "+x.Place, VentStack)
	return []change{adds(x.say("Run a vent stack beside the stack, from its foot %s up through the roof (%s).",
		x.name(foot), as), "", vent)}
}

// relieveStack relieves a stack at every so many branch intervals, counted from its top.
func relieveStack(x *problem) []change {
	var vents []Vent
	var said []string
	s, t := x.of, x.of.tree
	has, _ := x.Value.(count)
	least, _ := x.Limit.(count)
	number, _, _ := s.code.FindNumber("stack-relief-intervals", "count")
	every := max(int(number), 1)
	j, last := &judge{layout: s.layout, tree: t, code: s.code, sizing: s}, 0
	for n := x.at; n >= 0 && len(vents) < int(least-has); n = t.uprightAbove(n) {
		above := j.intervalsAbove(n)
		relieved := func(v int32) bool { return s.layout.Vents[v].Kind == VentRelief }
		if above == last || above%every != 0 || above/every > int(least) ||
			slices.ContainsFunc(slices.Collect(t.vents.at(n)), relieved) {
			continue
		}
		last = above
		vent, _ := x.straightUp(n, "relief vent of "+x.id(n), VentRelief)
		vents, said = append(vents, vent), append(said, x.name(n))
	}
	if len(vents) == 0 {
		return nil
	}
	return []change{adds(x.say("Relieve the stack by vents from %s up through the roof.", strings.Join(said, ", ")), "",
		vents...)}
}

// ventHead vents a drain at its head, or enlarges the vents that are too small for that.
func ventHead(x *problem) (list []change) {
	var own []change
	if far := x.of.farthest(x.sys); far >= 0 {
		own = x.vented(far, x.limit)
	}
	for _, rule := range [...]string{"drain-vent-size-to-30", "drain-vent-size-over-30"} {
		size, _, _ := x.of.code.FindLength(rule)
		for v := range x.of.layout.Vents {
			if x.of.tree.vents.from[v] >= 0 && x.of.vents[v].Size < size {
				list = append(list, x.ventIn(v, size, "vent"))
			}
		}
		for _, c := range own {
			list = append(list, change{do: strings.TrimSuffix(c.do, ".") + x.say(", in %v.", nominal(size)),
				edit: func(d *Data) { c.edit(d); d.Vents[len(d.Vents)-1].Size = size }})
		}
	}
	return list
}

// ventIn runs a vent in a size.
func (f *fit) ventIn(v int, size units.Length, of string) change {
	return change{do: f.say("Run the vent %s in %v.", inText(f.of.layout.Vents[v].ID), nominal(size)), of: of,
		edit: func(d *Data) { d.Vents[v].Size = size }}
}

// largerVent runs a vent a size or more larger.
func largerVent(x *problem) (list []change) {
	for _, large := range x.larger(x.of.vents[x.vent].Size, 4) {
		list = append(list, x.ventIn(x.vent, large, "vent"))
	}
	return list
}

// openVent enlarges a vent that ends in the open air until there is section enough.
func openVent(x *problem) (list []change) {
	for v := range x.of.layout.Vents {
		vent := &x.of.layout.Vents[v]
		if vent.Terminal == nil {
			continue
		}
		for _, large := range x.larger(x.of.vents[v].Size, 4) {
			c := x.ventIn(v, large, vent.ID)
			c.do = strings.TrimSuffix(c.do, ".") + " up to the open air."
			list = append(list, c)
		}
	}
	return list
}

// throughRoof carries a vent that ends in a valve on to the open air, or any where the finding
// is of none; where the air lacks section, in a larger size.
func throughRoof(x *problem) (list []change) {
	above, _, ok := x.of.code.FindLength("vent-above-roof")
	for v := range x.of.layout.Vents {
		vent := &x.of.layout.Vents[v]
		if !ok || vent.Valve == nil || x.vent >= 0 && x.vent != v {
			continue
		}
		sizes := []units.Length{0}
		least := units.Length(0)
		if x.Rule == "vent-open" {
			sizes, least = append(sizes, x.larger(x.of.vents[v].Size, 4)...), x.limit
		}
		for _, size := range sizes {
			in := ""
			if size > 0 {
				in = x.say(" in %v", nominal(size))
			}
			list = append(list, change{do: x.say("Carry the vent %s on through the roof%s, in place of its valve.",
				inText(vent.ID), in), of: vent.ID, edit: func(d *Data) {
				vent := &d.Vents[v]
				vent.Valve, vent.Terminal = nil, &Terminal{AboveRoof: above}
				if vent.Size > 0 || size > 0 {
					vent.Size = max(vent.Size, least, size)
				}
				higher(vent, 10*units.Foot)
			}})
		}
	}
	return list
}

// setTerminal moves the open end of a vent as far away, or as high, as it must be.
func setTerminal(x *problem) (list []change) {
	end := x.of.layout.Vents[x.vent].Terminal
	if end == nil {
		return nil
	}
	for _, way := range [...]struct {
		do    string
		field func(*Terminal) *units.Length
	}{
		{"Set the open end of {place} {limit} from the opening.", func(t *Terminal) *units.Length { return &t.FromOpening }},
		{"Carry the open end of {place} to {limit} above the opening.",
			func(t *Terminal) *units.Length { return &t.AboveOpening }},
		{"Set the open end of {place} {limit} from the lot line.", func(t *Terminal) *units.Length { return &t.FromLotLine }},
		{"Set the open end of {place} {limit} from the wall.", func(t *Terminal) *units.Length { return &t.FromWall }},
	} {
		if *way.field(end) == x.value {
			list = append(list, change{do: x.words(way.do),
				edit: func(d *Data) { *way.field(d.Vents[x.vent].Terminal) = x.limit }})
		}
	}
	return list
}

// higher lengthens the first rising run of a vent.
func higher(v *Vent, by units.Length) {
	if !lengthenFirst(v, VentUp, by) {
		v.Runs = slices.Insert(v.Runs, 0, VentRun{Length: by, Direction: VentUp})
	}
}

// fromFlow lets a vent that is taken off a drain which carries nothing rise from where that
// joins one that does. The pipe between is left for nothing, and taken out.
func fromFlow(x *problem) []change {
	dry, foot := x.dryDrain()
	joint := x.id(foot)
	return []change{{do: x.say("Let the vent %s rise from %s, and take out the drain that leads to it.", inText(x.Place),
		x.name(foot)), standing: true, edit: func(d *Data) {
		d.Vents[x.vent].From = joint
		dropPoints(d, dry)
	}}}
}

// dryDrain finds the points at and below the take-off of a vent through which nothing drains, and
// the first through which something does.
func (x *problem) dryDrain() (dry map[string]bool, foot int32) {
	t := x.of.tree
	flows, i := t.flows(), t.vents.from[x.vent]
	dry = map[string]bool{}
	for ; int(i) >= t.outlets && !flows[i]; i = t.parent[i] {
		dry[x.id(i)] = true
	}
	return dry, i
}

func dropPoints(d *Data, ids map[string]bool) {
	for k := range d.Systems {
		sys := &d.Systems[k]
		sys.Points = slices.DeleteFunc(sys.Points, func(pt Point) bool { return ids[pt.ID] })
	}
}

// betweenFirst takes a circuit vent off between the two fixture drains farthest upstream: below
// the one from which it is farthest to the end of what the vent serves, before another joins.
func betweenFirst(x *problem) []change {
	t, r := x.of.tree, x.of.routes
	top, farthest := int32(-1), units.Length(-1)
	past := make(map[int32]int) // by node: how many of those that it serves drain past
	for i, pt := range t.all() {
		if int(r.serving[i]) != x.vent || !pt.drainsIn() {
			continue
		}
		way := units.Length(0)
		for n := range t.until(i, t.vents.end[x.vent]) {
			way += t.point(n).Run.Length
			past[n]++
		}
		if way > farthest {
			top, farthest = i, way
		}
	}
	if top < 0 {
		return nil
	}
	last := top
	for next := t.parent[last]; past[next] == 1; next = t.parent[last] {
		last = next
	}
	run := &t.point(last).Run
	if run.Vertical || past[last] != 1 {
		return nil
	}
	dry, _ := x.dryDrain()
	return []change{{do: x.say("Take the vent %s off between %s and %s.", inText(x.Place), x.name(last),
		x.name(t.parent[last])), standing: true, edit: func(d *Data) {
		from := x.id(last)
		if last == top {
			from = x.split(d, last, run.Length/2).ID
		}
		d.Vents[x.vent].From = from
		dropPoints(d, dry)
	}}}
}

// joinHigher carries all that join a vent which only gathers others up to one height, above the
// highest of their rims: it begins where they meet.
func joinHigher(x *problem) []change {
	s, g := x.of, &x.of.tree.vents
	p := g.parent[x.vent]
	if p < 0 || g.from[p] >= 0 {
		return nil
	}
	high := s.vents[p].rims.highest + x.limit
	ends := s.ventHeights(s.levels.upper).end
	lift := func(d *Data) {
		for v := range d.Vents {
			if by := high - ends[v]; g.parent[v] == p && by > 0 {
				higher(&d.Vents[v], x.up(by))
			}
		}
	}
	return []change{{do: x.say("Carry the vents that join %s up to %v above the floor before they do.",
		s.layout.Vents[p].ID, high-s.layout.FinishedFloor), edit: lift}}
}

// lengthenFirst lengthens the first run of a vent that lies so.
func lengthenFirst(v *Vent, lies VentDirection, by units.Length) bool {
	k := slices.IndexFunc(v.Runs, func(r VentRun) bool { return r.Direction == lies })
	if k >= 0 {
		v.Runs[k].lengthen(by)
	}
	return k >= 0
}

// lengthen makes a run of a vent longer, and what it rises.
func (r *VentRun) lengthen(by units.Length) {
	if r.Length += by; r.Rise > 0 {
		r.Rise += by
	}
}

// flatLast puts the runs of a vent that lie flat below the floor behind those that rise.
func flatLast(v *Vent) {
	var up, flat []VentRun
	for _, r := range v.Runs {
		if r.Direction == VentBelowFloor {
			r.Direction, r.Rise = VentHorizontal, 0
			flat = append(flat, r)
		} else {
			up = append(up, r)
		}
	}
	v.Runs = append(up, flat...)
}

// ventPast lifts or lowers a flat run of a vent past what it comes too near.
func ventPast(x *problem) (list []change) {
	o := x.obstacle()
	if o == nil {
		return nil
	}
	by, deep := x.up(x.limit-x.value), x.up(o.Top-o.Bottom)
	runs := x.of.layout.Vents[x.vent].Runs
	for _, more := range [...]units.Length{by, -by, by + deep, -by - deep} {
		word := "higher"
		if more < 0 {
			word = "lower"
		}
		k := slices.IndexFunc(runs[:max(len(runs), 1)-1], func(r VentRun) bool {
			return r.Direction == VentUp && r.Length+more > 0
		})
		if k >= 0 {
			do := x.say("Lead the vent %s past %s, %v "+word+".", inText(x.Place), inText(o.ID), more.Abs())
			list = append(list, change{do: do, of: "past",
				edit: func(d *Data) { d.Vents[x.vent].Runs[k].lengthen(more) }})
		}
	}
	return list
}

// islandDrains lets an island vent turn down less far where its low end lies too low, or leads
// that into the drain farther down.
func islandDrains(x *problem) (list []change) {
	if by := x.up(x.value); x.value > 0 {
		list = append(list, change{do: x.say("Let the island vent %s turn down %v less.", x.Place, by), of: "down",
			edit: func(d *Data) { turnDownLess(&d.Vents[x.vent], by) }})
	}
	from := x.of.tree.vents.from[x.vent]
	for n := range x.of.tree.down(from) {
		if to := x.id(n); n != from && len(list) < 4 {
			list = append(list, change{do: x.say("Lead the low end of the island vent %s into the drain at %s.",
				inText(x.Place), inText(to)), of: "low end", edit: func(d *Data) { d.Vents[x.vent].Drains = to }})
		}
	}
	return list
}

// turnDownLess shortens the way down of an island vent and, as far as it goes, the way up at
// the wall, so that it ends where it did.
func turnDownLess(v *Vent, by units.Length) {
	lengthenFirst(v, VentDown, -by)
	if k := len(v.Runs) - 1; v.Runs[k].Direction == VentUp && v.Runs[k].Length > by {
		v.Runs[k].lengthen(-by)
	}
}

// islandHigher carries an island vent higher before it turns down, by what it lacks and a step.
func islandHigher(x *problem) []change {
	by := x.up(-x.value) + x.opt.Step
	return []change{{do: x.say("Carry the island vent %s %v higher before it turns down.", inText(x.Place), by),
		edit: func(d *Data) {
			lengthenFirst(&d.Vents[x.vent], VentDown, by)
			higher(&d.Vents[x.vent], by)
		}}}
}

// ownVent makes of a vent of a special kind that of its fixture alone, straight up.
func ownVent(x *problem) []change {
	was, from := &x.of.layout.Vents[x.vent], x.of.tree.vents.from[x.vent]
	if from < 0 {
		return nil
	}
	vent, as := x.straightUp(from, was.ID, VentIndividual)
	vent.ID, vent.Size = was.ID, was.Size
	return []change{{do: x.say("Carry the vent %s from %s straight up through the roof (%s), as that of its fixture "+
		"alone.", inText(was.ID), inText(was.From), as), edit: func(d *Data) { d.Vents[x.vent] = vent }}}
}

// ventOf returns the vent that a finding stands at, or that vents what it stands at, as a wet
// vent or a waste stack does; -1 for none.
func (x *problem) ventOf() int {
	t := x.of.tree
	if x.vent >= 0 {
		return x.vent
	}
	for v := range x.of.layout.Vents {
		end := t.vents.end[v]
		for n := range t.down(t.vents.from[v]) {
			if end >= 0 && n == x.at {
				return v
			}
			if end < 0 || n == end {
				break
			}
		}
	}
	return -1
}

// ventApart lets a vent of several fixtures serve the one at its take-off alone, and vents each
// of the others on its own.
func ventApart(x *problem) []change {
	v, t, r := x.ventOf(), x.of.tree, x.of.routes
	if v < 0 || x.of.layout.Vents[v].Through == "" {
		return nil
	}
	var own []change
	var said []string
	for i, pt := range t.all() {
		if int(r.serving[i]) == v && r.reached[i] != t.vents.from[v] && pt.drainsIn() {
			own, said = append(own, x.ventFrom(i, i, 0, 0)), append(said, x.name(i))
		}
	}
	if len(own) == 0 {
		return nil
	}
	vent := &x.of.layout.Vents[v]
	return []change{{do: x.say("Let the vent %s serve %s alone, and vent each on its own: %s.", inText(vent.ID),
		inText(vent.From), strings.Join(said, ", ")), edit: func(d *Data) {
		d.Vents[v].Kind, d.Vents[v].Through = VentIndividual, ""
		for _, c := range own {
			c.edit(d)
		}
	}}}
}

// pastWetVent leads what is of no bathroom into the drain downstream of a wet vent, and vents
// it on its own.
func pastWetVent(x *problem) []change {
	t, through, last := x.of.tree, x.of.tree.vents.end[x.vent], int32(-1)
	for n := range t.until(t.vents.from[x.vent], through) {
		last = n
	}
	if last < 0 {
		return nil
	}
	return x.leadPast(x.strangers(last, inBathroom), t.parent[through])
}

// pastWasteStack leads what a waste stack that vents itself may not take into the drain
// downstream of it, with a vent of its own.
func pastWasteStack(x *problem) []change {
	end := x.of.tree.vents.end[x.vent]
	return x.leadPast(x.strangers(end, onWasteStack), x.of.tree.parent[end])
}

// strangers are the fixtures that drain to a node and may not be there.
func (f *fit) strangers(end int32, may func(kind string) bool) (list []int32) {
	t := f.of.tree
	drains := make([]bool, t.len())
	for _, i := range slices.Backward(t.of(t.system[end])) {
		drains[i] = i == end || drains[t.parent[i]]
		if fixture := t.point(i).Fixture; drains[i] && fixture != nil && !may(fixture.Kind) {
			list = append(list, i)
		}
	}
	return list
}

// leadPast leads the drains of fixtures to a point or one further downstream, and vents each on
// its own.
func (f *fit) leadPast(which []int32, to int32) (list []change) {
	if len(which) == 0 {
		return nil
	}
	for n := range f.of.tree.down(to) {
		var said []string
		for _, i := range which {
			said = append(said, f.say("Lead the drain from %s to %s.", f.name(i), f.name(n)), f.ventFrom(i, i, 0, 0).do)
		}
		list = append(list, change{do: strings.Join(said, " "), of: "past", edit: func(d *Data) {
			for _, i := range which {
				f.lead(d, i, f.id(n))
				f.ventFrom(i, i, 0, 0).edit(d)
			}
		}})
		if len(list) == 2 {
			break
		}
	}
	return list
}
