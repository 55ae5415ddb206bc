package job

import (
	"fmt"
	"iter"
	"math"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/angle"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// RodSection is the crew's sheet: what a grade rod reads to the beam at every
// station.
type RodSection struct {
	Beam string       `json:"beam"`
	Runs []RodRow     `json:"runs"`
	Rods []RodReading `json:"readings"`
}

// RodRow is what becomes of one run that is laid by the beam.
type RodRow struct {
	From    string   `json:"from"`
	To      string   `json:"to"`
	Bearing string   `json:"bearing"`
	Grade   Quantity `json:"grade"`
	Beam    Quantity `json:"beam_grade"` // what the beam does along the run
	Lay     string   `json:"lay"`        // with, across or against the beam, or that it is level
	// What the reading must grow by in ten feet, or in three metres, going down the pipe.
	PerTen  Quantity `json:"per_10"`
	Warning string   `json:"warning,omitempty"`
}

// RodReading is one station.
type RodReading struct {
	Run     string   `json:"run"`
	Station Quantity `json:"station"` // from the lower end
	Invert  Quantity `json:"invert"`
	Reading Quantity `json:"reading"` // of a rod held on the invert
	Trench  Quantity `json:"trench_reading"`
}

// rodReadings follows the trees upward from the point the beam stands over. The
// beam is a plane, so its height over a point depends on where the point lies on
// plan; a run's bearing and length say that, and so does a riser, which lies over
// one spot.
func rodReadings(g *drainsJudged, l *laser, p printer) (*RodSection, error) {
	if l == nil {
		return nil, nil
	}
	plane := slope.Plane{Ahead: l.Grade} // ahead: the way it falls
	where := siteOf(g)
	under, ok := where(l.Over.Point)
	start, known := invertAt(g, l.Over.Point)
	if !known {
		return nil, fmt.Errorf("laser: beam_over: point: no point or outlet %q", l.Over.Point)
	}
	if !ok {
		return nil, fmt.Errorf("laser: beam_over: point %q has no place on plan: give it \"at\", or bearings from "+
			"there on", l.Over.Point)
	}
	beamAt := func(q drains.Position) units.Length {
		// The plane falls toward its bearing: turn the way from its start into
		// ahead and right of that bearing.
		dx, dy := q.X-under.X, q.Y-under.Y
		ahead, right := turn(dx, dy, l.Toward.Degrees())
		return start + l.Over.Height - plane.FallTo(ahead, right)
	}
	s := &RodSection{Beam: fmt.Sprintf("falls %s toward %v, %s above the invert of %s", p.grade(l.Grade), l.Toward,
		p.rod(l.Over.Height), l.Over.Point)}
	if l.Grade.IsLevel() {
		s.Beam = fmt.Sprintf("is level, %s above the invert of %s", p.rod(l.Over.Height), l.Over.Point)
	}
	s.Runs = make([]RodRow, 0, g.sizing.Len())
	s.Rods = make([]RodReading, 0, 2*g.sizing.Len())
	headings := map[heading]followed{}
	station, elevation := remembered(p.run), remembered(p.elevation)
	var err error
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		lv := g.levels.At(i)
		if lv.Vertical || lv.AboveFloor || err != nil {
			return
		}
		lower, placed := where(pt.To)
		if !placed || pt.At == nil || pt.Run.Bearing.IsZero() {
			s.Runs = append(s.Runs, RodRow{From: pt.ID, To: pt.To, Grade: p.grade(pt.Run.Grade),
				Warning: "no place or bearing on plan: set this run by its elevations"})
			return
		}
		name := pt.ID + " > " + pt.To
		way := heading{pt.Run.Bearing, pt.Run.Grade}
		seen, ok := headings[way]
		if !ok {
			if seen, err = follow(plane, l.Toward, way, p); err != nil {
				return
			}
			headings[way] = seen
		}
		row := seen.row
		row.From, row.To = pt.ID, pt.To
		if p.full || row.Lay == "" {
			seen.following.Name = name
			row.Warning = seen.following.Warning()
		}
		s.Runs = append(s.Runs, row)
		for d := range stations(pt.Run.Length, l.Station) {
			inv := lv.Lower.Invert + pt.Run.Grade.Over(d)
			q := between(lower, *pt.At, d, pt.Run.Length)
			bottom := inv - (lv.Lower.Invert - lv.Lower.TrenchBottom)
			s.Rods = append(s.Rods, RodReading{Run: name, Station: station(d), Invert: elevation(inv),
				Reading: p.rod(beamAt(q) - inv), Trench: p.rod(beamAt(q) - bottom)})
		}
	})
	return faults.Result(s, err)
}

// heading is a way that runs are laid; few runs of a layout differ in it.
type heading struct {
	bearing drains.Bearing
	grade   slope.Grade
}

// followed is what the beam does along a heading, and its row but for the points.
type followed struct {
	following slope.Following
	row       RodRow
}

func follow(plane slope.Plane, toward drains.Bearing, way heading, p printer) (followed, error) {
	list, err := plane.Follow([]slope.Heading{{Bearing: way.bearing.Degrees() - toward.Degrees(), Grade: way.grade}})
	if err != nil {
		return followed{}, err
	}
	f := list[0]
	per := either(p, 10*units.Foot, 3*units.Metre)
	return followed{f, RodRow{Bearing: way.bearing.String(), Grade: p.grade(way.grade),
		Beam: round(f.Percent, 2) + " %", Lay: lay(f, way, plane),
		PerTen: p.rod(units.Length(f.PerRun / 100 * float64(per)))}}, nil
}

// asGood is by how much, in percent of the run, a beam may be off the grade of the pipe and
// still be followed: beams are set to hundredths of a percent, and a rod does not show less
// in a hundred feet.
const asGood = 0.005

func lay(f slope.Following, way heading, plane slope.Plane) string {
	switch {
	case plane.Ahead.IsLevel() && plane.Across.IsLevel():
		return "the beam is level"
	case f.Result == slope.FollowsBackwards:
		return "AGAINST the beam"
	case f.Result == slope.FollowsDesign, math.Abs(f.PerRun) < asGood:
		return "with the beam"
	case f.Result == slope.FollowsLevel:
		return "across the beam"
	}
	if f.Percent < way.grade.Percent() {
		return fmt.Sprintf("beam falls only %s %%: do NOT follow it", round(f.Percent, 2))
	}
	return fmt.Sprintf("beam falls %s %%, more than the pipe: do NOT follow it", round(f.Percent, 2))
}

// turn returns how far a way on plan, dx right and dy ahead, leads in the
// direction of a bearing and to the right of it. Quarter turns are exact.
func turn(dx, dy units.Length, bearing float64) (ahead, right units.Length) {
	sin, cos := angle.SinCos(bearing)
	x, y := float64(dx), float64(dy)
	return units.Length(math.RoundToEven(float64(x*sin) + float64(y*cos))),
		units.Length(math.RoundToEven(float64(x*cos) - float64(y*sin)))
}

// invertAt returns the invert of a point or outlet.
func invertAt(g *drainsJudged, id string) (units.Length, bool) {
	for i := range g.layout.Systems {
		if o := &g.layout.Systems[i].Outlet; o.ID == id {
			return o.Invert, true
		}
	}
	lv, ok := g.levels.Of(id)
	return lv.Upper.Invert, ok
}

// siteOf reads the places of points and outlets off the layout. An outlet without one lies a
// run's length down the bearing of the first run into it.
func siteOf(g *drainsJudged) func(id string) (drains.Position, bool) {
	outlets := map[string]drains.Position{}
	for i := range g.layout.Systems {
		if o := &g.layout.Systems[i].Outlet; o.At != nil {
			outlets[o.ID] = *o.At
		}
	}
	g.points(func(_ int, sys *drains.System, pt *drains.Point) {
		if o := sys.Outlet.ID; pt.At != nil && pt.To == o && !pt.Run.Bearing.IsZero() {
			if _, known := outlets[o]; !known {
				outlets[o] = pt.At.Toward(pt.Run.Bearing, pt.Run.Length)
			}
		}
	})
	return func(id string) (drains.Position, bool) {
		if i, ok := g.find(id); ok && g.list[i].At != nil {
			return *g.list[i].At, true
		}
		at, ok := outlets[id]
		return at, ok
	}
}

// between returns the place d up a run of a length.
func between(lower, upper drains.Position, d, length units.Length) drains.Position {
	if length == 0 {
		return lower
	}
	part := float64(d) / float64(length)
	return drains.Position{
		X: lower.X + units.Length(part*float64(upper.X-lower.X)),
		Y: lower.Y + units.Length(part*float64(upper.Y-lower.Y)),
	}
}

// stations are the ends of a run and every step between them.
func stations(length, step units.Length) iter.Seq[units.Length] {
	return func(yield func(units.Length) bool) {
		d := units.Length(0)
		for more := yield(d); more && step > 0 && d+step < length; more = yield(d) {
			d += step
		}
		yield(length)
	}
}
