package slope

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
)

// Course is a straight pipe in plan and height.
type Course struct {
	Name string `json:"name"`
	// Lower and Upper are the ends in plan; water flows to Lower.
	Lower Point `json:"lower"`
	Upper Point `json:"upper"`
	// LowerInvert and UpperInvert are the inverts there.
	LowerInvert units.Length `json:"lower_invert"`
	UpperInvert units.Length `json:"upper_invert"`
	Pipe        Pipe         `json:"pipe"`
	// Into is the index of the course it drains into, or -1.
	Into int `json:"into"`
	// Join is how it should meet that course in height.
	Join Join `json:"join"`
}

// Solid is a footing, a grade beam, a slab thickening or another body that pipes
// must keep clear of: a straight strip in plan with a top and a bottom.
type Solid struct {
	Name string `json:"name"`
	// A and B are the ends of its centre line, Width its full width across it.
	A     Point        `json:"a"`
	B     Point        `json:"b"`
	Width units.Length `json:"width"`
	// Top and Bottom are elevations.
	Top    units.Length `json:"top"`
	Bottom units.Length `json:"bottom"`
	// Spread is the grade of the planes, down and out from its lower edges, under
	// which nothing may be dug: 1:1 for 45 degrees. Level stands for no such plane.
	Spread Grade `json:"spread"`
}

// Limits are the distances that conflicts are judged by.
type Limits struct {
	// Pipes is the least clear distance between the outsides of two pipes that do
	// not join, Solids that between a pipe and a solid.
	Pipes  units.Length `json:"pipes"`
	Solids units.Length `json:"solids"`
	// Meet is how far two pipes that join may be from their proper height, and
	// from each other in plan.
	Meet units.Length `json:"meet"`
	// Bedding is how far trenches go below the barrel, for the planes of footings.
	Bedding units.Length `json:"bedding"`
}

// Conflict is a place where a layout cannot be built as drawn.
type Conflict struct {
	Kind ConflictKind `json:"kind"`
	// First is the index of the course; Second that of the other course, or of the
	// solid where Kind is about one.
	First  int `json:"first"`
	Second int `json:"second"`
	// At is the place in plan on the first course.
	At Point `json:"at"`
	// Found is the distance there, and Wanted what it should be: clear distances
	// between outsides (negative where the two run into each other), heights of
	// inverts above that of the course joined, distances in plan.
	Found  units.Length `json:"found"`
	Wanted units.Length `json:"wanted"`
	// Text says it in words.
	Text string `json:"text,omitzero"`
}

// ConflictKind tells what is wrong.
type ConflictKind uint8

// The kinds of conflict.
const (
	// JoinsLow: a pipe meets another lower than its join wants, so that it drains
	// against a step or is flooded.
	JoinsLow ConflictKind = iota
	// JoinsHigh: it meets it higher.
	JoinsHigh
	// JoinsApart: it does not come to it in plan.
	JoinsApart
	// TooClose: two pipes that do not join come too close, or collide.
	TooClose
	// NearSolid: a pipe comes too close to a solid, or runs into it.
	NearSolid
	// UnderSpread: the trench of a pipe cuts below the plane down from a footing.
	UnderSpread
)

// Conflicts finds where pipes meet at the wrong height, and where they come too
// close to each other or to solids. Pipes that share a fitting are not measured
// against each other: one that drains into the other, two that drain into a third
// within their outside diameters of the same place, and two with only a piece
// between them that is no longer than the distance wanted between their centres.
//
// Pipes are taken as round bodies with round ends. Distances are in space,
// computed in float64 and rounded to the micrometre. All faults of the input are
// reported together. Conflicts come in order of First, Kind and Second.
func Conflicts(courses []Course, solids []Solid, lim Limits) ([]Conflict, error) {
	return ConflictsContext(context.Background(), courses, solids, lim)
}

// ConflictsContext is [Conflicts] that stops once the context is done, with its error and how far it was.
func ConflictsContext(ctx context.Context, courses []Course, solids []Solid, lim Limits) ([]Conflict, error) {
	f := finder{Work: patience.NewWork(ctx, "conflicts"), courses: courses, solids: solids, lim: lim}
	if err := f.checkPlan(); err != nil {
		return nil, err
	}
	for i := range f.Each(len(courses), "pipes met") {
		if courses[i].Into >= 0 {
			f.meeting(i)
		}
	}
	f.sweep()
	if f.Err() != nil {
		return nil, f.Err()
	}
	slices.SortStableFunc(f.found, func(a, b Conflict) int {
		return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Second, b.Second))
	})
	return f.found, nil
}

func (f *finder) checkPlan() error {
	courses, lim := f.courses, f.lim
	var list faults.List
	list.Note("limits", "", checkSize("pipes", lim.Pipes), checkSize("solids", lim.Solids), checkSize("meet", lim.Meet),
		checkSize("bedding", lim.Bedding))
	for i := range f.Each(len(courses), "pipes checked") {
		c := courses[i]
		item := itemName("pipe", i, c.Name)
		list.Note(item, "", c.Lower.check("lower"), c.Upper.check("upper"), check("lower invert", c.LowerInvert),
			check("upper invert", c.UpperInvert),
			c.Pipe.check(), checkPositive("bore", c.Pipe.Bore))
		if c.Into < -1 || c.Into >= len(courses) || c.Into == i {
			list.Addf(item, "into", "%w: pipe %d of %d", units.ErrRange, c.Into, len(courses))
		}
		list.Note(item, "", joins.Check(c.Join))
	}
	for i := range f.Each(len(f.solids), "solids checked") {
		s := f.solids[i]
		item := itemName("solid", i, s.Name)
		list.Note(item, "", s.A.check("a"), s.B.check("b"), checkPositive("width", s.Width), check("top", s.Top),
			check("bottom", s.Bottom), checkGrade(s.Spread))
		if s.Top < s.Bottom {
			list.Addf(item, "top", "%w: it lies below the bottom", units.ErrRange)
		}
		if s.Spread.rise < 0 {
			list.Addf(item, "spread", "%w: %v rises", ErrGrade, s.Spread)
		}
	}
	return cmp.Or(f.Err(), list.Err())
}

type finder struct {
	*patience.Work
	courses []Course
	solids  []Solid
	lim     Limits
	found   []Conflict
}

func (f *finder) name(i int) string { return itemName("pipe", i, f.courses[i].Name) }

func (f *finder) add(c Conflict, format string, args ...any) {
	c.Text = fmt.Sprintf(format, args...)
	f.found = append(f.found, c)
}

// meeting judges the height and place at which course i joins the one it drains
// into.
func (f *finder) meeting(i int) {
	c := f.courses[i]
	m := f.courses[c.Into]
	// The nearest place on the main, in plan.
	p := vec{c.Lower.X.Metres() - m.Lower.X.Metres(), c.Lower.Y.Metres() - m.Lower.Y.Metres(), 0}
	d := vec{m.Upper.X.Metres() - m.Lower.X.Metres(), m.Upper.Y.Metres() - m.Lower.Y.Metres(), 0}
	_, t, away := closest(p, vec{}, vec{}, d)
	apart := micrometres(away)
	if apart > f.lim.Meet {
		f.add(Conflict{Kind: JoinsApart, First: i, Second: c.Into, At: c.Lower, Found: apart},
			"%s ends %s away from %s, into which it drains", f.name(i), show(apart), f.name(c.Into))
		return
	}
	main := m.LowerInvert
	switch t {
	case 0:
	case 1:
		main = m.UpperInvert
	default:
		main += units.Length(math.RoundToEven(t * float64(m.UpperInvert-m.LowerInvert)))
	}
	rise, err := c.Join.Rise(m.Pipe.Bore, c.Pipe.Bore)
	if err != nil {
		return // checked at the door
	}
	found := c.LowerInvert - main
	k := Conflict{First: i, Second: c.Into, At: c.Lower, Found: found, Wanted: rise}
	switch {
	case found < rise-f.lim.Meet:
		k.Kind = JoinsLow
		f.add(k, "%s meets %s %s too low", f.name(i), f.name(c.Into), show(rise-found))
	case found > rise+f.lim.Meet:
		k.Kind = JoinsHigh
		f.add(k, "%s meets %s %s too high", f.name(i), f.name(c.Into), show(found-rise))
	}
}

// box is the extent of a body in X, widened by what must be kept clear.
type box struct {
	left, right units.Length
	course      int // or -1
	solid       int
}

// sweep takes the bodies from left to right and measures those that overlap in X.
func (f *finder) sweep() {
	boxes := make([]box, 0, len(f.courses)+len(f.solids))
	gap := max(f.lim.Pipes, f.lim.Solids)
	deepest, widest := units.MaxLength, units.Length(0)
	for i, c := range f.courses {
		deepest = min(deepest, min(c.LowerInvert, c.UpperInvert)-c.Pipe.Wall-f.lim.Bedding)
		widest = max(widest, c.Pipe.OutsideDiameter())
		w := half(c.Pipe.OutsideDiameter()+gap) + 1
		boxes = append(boxes, box{min(c.Lower.X, c.Upper.X) - w, max(c.Lower.X, c.Upper.X) + w, i, -1})
	}
	for i, s := range f.solids {
		w := s.Width + gap
		if s.Spread.rise > 0 {
			// Out as far as the deepest trench is under the plane.
			if run, err := s.Spread.RunFor(max(s.Bottom-deepest, 0)); err == nil {
				w += run + widest
			} else {
				w = units.MaxLength
			}
		}
		boxes = append(boxes, box{min(s.A.X, s.B.X) - w, max(s.A.X, s.B.X) + w, -1, i})
	}
	slices.SortStableFunc(boxes, func(a, b box) int { return cmp.Compare(a.left, b.left) })
	var open []box
	measured := 0
	for k, b := range boxes {
		open = slices.DeleteFunc(open, func(o box) bool { return o.right < b.left })
		for _, o := range open {
			if measured%patience.Between == 0 && !f.Goes(k, len(boxes), "pipes and solids") {
				return
			}
			measured++
			switch {
			case o.course >= 0 && b.course >= 0:
				f.pair(min(o.course, b.course), max(o.course, b.course))
			case o.course >= 0:
				f.near(o.course, b.solid)
			case b.course >= 0:
				f.near(b.course, o.solid)
			}
		}
		open = append(open, b)
	}
}

// axis returns the centre line of a course, from its lower end, relative to o.
func (c *Course) axis(o Point) (start, along vec) {
	r := c.Pipe.Bore.Metres() / 2
	start = vec{(c.Lower.X - o.X).Metres(), (c.Lower.Y - o.Y).Metres(), c.LowerInvert.Metres() + r}
	along = vec{(c.Upper.X - c.Lower.X).Metres(), (c.Upper.Y - c.Lower.Y).Metres(),
		(c.UpperInvert - c.LowerInvert).Metres()}
	return start, along
}

func (c *Course) length() units.Length {
	_, d := c.axis(c.Lower)
	return micrometres(math.Sqrt(d.dot(d)))
}

// place returns the point in plan at a part of the course, 0 to 1, between its
// ends to the tenth of a millimetre: where a distance is least is known less
// closely than how small it is.
func (c *Course) place(t float64) Point {
	switch t {
	case 0:
		return c.Lower
	case 1:
		return c.Upper
	}
	const step = units.Millimetre / 10
	on := func(a, b units.Length) units.Length {
		return units.Length(math.RoundToEven((float64(a)+float64(t*float64(b-a)))/float64(step))) * step
	}
	return Point{on(c.Lower.X, c.Upper.X), on(c.Lower.Y, c.Upper.Y)}
}

func micrometres(metres float64) units.Length {
	return units.Length(math.RoundToEven(metres*1e6)) * units.Micrometre
}

// pair measures two pipes.
func (f *finder) pair(i, j int) {
	a, b := &f.courses[i], &f.courses[j]
	if f.shareFitting(i, j) {
		return
	}
	p, d := a.axis(a.Lower)
	q, e := b.axis(a.Lower)
	s, _, away := closest(p, d, q, e)
	free := micrometres(away) - half(a.Pipe.OutsideDiameter()) - half(b.Pipe.OutsideDiameter())
	if free >= f.lim.Pipes {
		return
	}
	f.add(Conflict{Kind: TooClose, First: i, Second: j, At: a.place(s), Found: free, Wanted: f.lim.Pipes},
		"%s and %s are %s apart, less than %s", f.name(i), f.name(j), show(free), show(f.lim.Pipes))
}

// shareFitting tells whether two pipes meet at a fitting, or at two fittings with
// hardly a piece between them, and so cannot be apart.
func (f *finder) shareFitting(i, j int) bool {
	a, b := &f.courses[i], &f.courses[j]
	if a.Into == j || b.Into == i {
		return true
	}
	wanted := f.lim.Pipes + half(a.Pipe.OutsideDiameter()) + half(b.Pipe.OutsideDiameter())
	if a.Into >= 0 && a.Into == b.Into {
		at := hypot((a.Lower.X - b.Lower.X).Metres(), (a.Lower.Y - b.Lower.Y).Metres())
		return micrometres(at) <= wanted-f.lim.Pipes
	}
	short := func(k, end int) bool { return k >= 0 && f.courses[k].Into == end && f.courses[k].length() <= wanted }
	return short(a.Into, j) || short(b.Into, i)
}

// near measures a pipe against a solid.
func (f *finder) near(i, k int) {
	c, s := &f.courses[i], &f.solids[k]
	start, along := c.axis(c.Lower)
	wall := c.Pipe.OutsideDiameter().Metres() / 2
	rect := newStrip(s, c.Lower)
	t, away := rect.distance(start, along)
	if free := micrometres(away - wall); free < f.lim.Solids {
		f.add(Conflict{Kind: NearSolid, First: i, Second: k, At: c.place(t), Found: free, Wanted: f.lim.Solids},
			"%s is %s from %s, less than %s", f.name(i), show(free), itemName("solid", k, s.Name), show(f.lim.Solids))
	}
	if s.Spread.rise <= 0 {
		return
	}
	// How far the trench bottom, under the near side of the barrel, goes below the
	// plane: greatest somewhere along the pipe.
	bottom := func(t float64) float64 {
		return start.z + float64(along.z*t) - c.Pipe.Bore.Metres()/2 - (c.Pipe.Wall + f.lim.Bedding).Metres()
	}
	grade := s.Spread.Float()
	below := func(t float64) float64 {
		out := max(rect.planDistance(start.plus(along, t))-wall, 0)
		return s.Bottom.Metres() - float64(grade*out) - bottom(t)
	}
	t = greatest(below)
	if deep := micrometres(below(t)); deep > 0 {
		f.add(Conflict{Kind: UnderSpread, First: i, Second: k, At: c.place(t), Found: -deep},
			"the trench of %s cuts %s below the plane down from %s", f.name(i), show(deep),
			itemName("solid", k, s.Name))
	}
}

// greatest returns where on 0..1 a concave function is greatest, by golden
// section: plan distance to a convex strip is convex along a line.
func greatest(f func(float64) float64) float64 {
	const r = 0.6180339887498949
	a, b := 0.0, 1.0
	x, y := 1-r, r
	fx, fy := f(x), f(y)
	for range 60 {
		if fx >= fy {
			b, y, fy = y, x, fx
			x = b - float64(r*(b-a))
			fx = f(x)
		} else {
			a, x, fx = x, y, fy
			y = a + float64(r*(b-a))
			fy = f(y)
		}
	}
	best, at := (a+b)/2, f((a+b)/2)
	for _, e := range [...]float64{0, 1} {
		if v := f(e); v >= at {
			best, at = e, v
		}
	}
	return best
}

// strip is a solid in its own axes: along its centre line, across it, and up.
type strip struct {
	origin        vec
	ux, uy        float64
	length, width float64 // width to each side
	bottom, top   float64
}

func newStrip(s *Solid, o Point) strip {
	dx, dy := (s.B.X - s.A.X).Metres(), (s.B.Y - s.A.Y).Metres()
	l := hypot(dx, dy)
	r := strip{origin: vec{(s.A.X - o.X).Metres(), (s.A.Y - o.Y).Metres(), 0}, ux: 1, length: l,
		width: s.Width.Metres() / 2, bottom: s.Bottom.Metres(), top: s.Top.Metres()}
	if l > 0 {
		r.ux, r.uy = dx/l, dy/l
	} else {
		// A pad: square about its point.
		r.origin.x -= r.width
		r.length = 2 * r.width
	}
	return r
}

// local returns p in the axes of the strip.
func (r strip) local(p vec) vec {
	q := p.minus(r.origin)
	return vec{float64(q.x*r.ux) + float64(q.y*r.uy), float64(q.y*r.ux) - float64(q.x*r.uy), q.z}
}

func beyond(x, lo, hi float64) float64 { return max(lo-x, x-hi, 0) }

// planDistance is how far a point lies outside of the strip in plan.
func (r strip) planDistance(p vec) float64 {
	q := r.local(p)
	return hypot(beyond(q.x, 0, r.length), beyond(q.y, -r.width, r.width))
}

// distance returns where the line comes nearest to the solid and how near, or,
// where it goes through, how deep its deepest point is inside, as a negative.
func (r strip) distance(start, along vec) (t, away float64) {
	signed := func(t float64) float64 {
		q := r.local(start.plus(along, t))
		x, y, z := beyond(q.x, 0, r.length), beyond(q.y, -r.width, r.width), beyond(q.z, r.bottom, r.top)
		if out := math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z)); out > 0 {
			return out
		}
		return -min(q.x, r.length-q.x, r.width-q.y, r.width+q.y, q.z-r.bottom, r.top-q.z)
	}
	// The signed distance to a convex body is convex along a line.
	t = greatest(func(t float64) float64 { return -signed(t) })
	return t, signed(t)
}
