package drains

import (
	"math"
	"slices"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// place finds where the nodes of a system lie on plan: as the layout says, or by the
// bearing and length of a run from where it ends; a riser stands over its foot. It
// reports false if a point below the floor has no place.
func (d *drawing) place(sys int32) bool {
	known := make([]bool, d.tree.len())
	o := &d.layout.Systems[sys].Outlet
	if o.At != nil {
		d.spot[sys], known[sys] = *o.At, true
	}
	order := d.tree.of(sys)
	for _, i := range order { // an outlet lies down the run of the point that drains to it
		pt := d.tree.point(i)
		if !known[sys] && d.tree.parent[i] == sys && pt.At != nil && !pt.Run.Bearing.IsZero() {
			d.spot[sys], known[sys] = moved(*pt.At, pt.Run.Bearing, pt.Run.Length), true
		}
	}
	if !known[sys] && d.tree.outlets == 1 && d.tree.placed == 0 {
		known[sys] = true // bearings and lengths alone: the outlet is the origin
	}
	all := known[sys]
	for _, i := range slices.Backward(order) {
		pt, p := d.tree.point(i), d.tree.parent[i]
		switch {
		case pt.At != nil:
			d.spot[i], known[i] = *pt.At, true
		case known[p] && pt.Run.Vertical:
			d.spot[i], known[i] = d.spot[p], true
		case known[p] && !pt.Run.Bearing.IsZero():
			d.spot[i], known[i] = moved(d.spot[p], pt.Run.Bearing, -pt.Run.Length), true
		}
		all = all && known[i]
	}
	return all
}

// moved is the place so far along a bearing.
func moved(from Position, b Bearing, by units.Length) Position {
	sin, cos := math.Sincos(b.Degrees() * math.Pi / 180)
	const micron = 1000
	// Rounded to the micron, so that every machine finds the same place.
	return Position{
		X: from.X + micron*units.Length(math.Round(float64(by)*sin/micron)),
		Y: from.Y + micron*units.Length(math.Round(float64(by)*cos/micron)),
	}
}

const leastStep = 4 * units.Foot // between the ends of a run in a schematic

// arrange sets the nodes of a system by their order: the outlet to the right, risers over
// their feet.
func (d *drawing) arrange(sys int32) {
	if d.arranged == nil {
		steps := make([]units.Length, d.tree.len())
		for i := int32(d.tree.outlets); int(i) < len(steps); i++ {
			steps[i] = d.step(i)
		}
		d.arranged = draw.Arrange(d.tree.parent, steps)
	}
	d.rows[sys] = true
	for _, i := range append([]int32{sys}, d.tree.of(sys)...) {
		d.spot[i] = Position{X: -d.arranged[i].X, Y: d.arranged[i].Y}
	}
}

// step is how far apart a schematic sets the ends of a run.
func (d *drawing) step(i int32) units.Length {
	run := &d.tree.point(i).Run
	if run.Vertical {
		return 0
	}
	return min(max(run.Length, leastStep), 4*leastStep)
}
