package main

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/dwv"
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
	From    string `json:"from"`
	To      string `json:"to"`
	Bearing string `json:"bearing"`
	Grade   string `json:"grade"`
	Beam    string `json:"beam_grade"` // what the beam does along the run
	Lay     string `json:"lay"`        // with, across or against the beam
	PerTen  string `json:"per_10"`     // what the reading must grow by in ten feet, or in three metres, going up the pipe: less is up
	Warning string `json:"warning,omitempty"`
}

// RodReading is one station.
type RodReading struct {
	Run     string `json:"run"`
	Station string `json:"station"` // from the lower end
	Invert  string `json:"invert"`
	Reading string `json:"reading"` // of a rod held on the invert
	Trench  string `json:"trench_reading"`
}

// rodReadings follows the trees upward from the point the beam stands over. The
// beam is a plane, so its height over a point depends on where the point lies on
// plan; a run's bearing and length say that, and so does a riser, which lies over
// one spot.
func rodReadings(g *judged, p printer) (*RodSection, error) {
	l := g.job.laser
	if l == nil {
		return nil, nil
	}
	plane := slope.Plane{Ahead: l.grade} // ahead: the way it falls
	where := siteOf(g)
	under, ok := where[l.point]
	if !ok {
		return nil, fmt.Errorf("laser: beam_over: point: no point or outlet %q", l.point)
	}
	if !under.placed {
		return nil, fmt.Errorf("laser: beam_over: point %q has no place on plan: give it \"at\", or bearings from there on", l.point)
	}
	beamAt := func(q dwv.Position) units.Length {
		// The plane falls toward its bearing: turn the way from its start into
		// ahead and right of that bearing.
		dx, dy := q.X-under.at.X, q.Y-under.at.Y
		ahead, right := turn(dx, dy, l.toward.Degrees())
		return under.invert + l.height - plane.FallTo(ahead, right)
	}
	s := &RodSection{Beam: fmt.Sprintf("falls %s toward %v, %s above the invert of %s", p.grade(l.grade), l.toward, p.rod(l.height), l.point)}
	s.Runs = make([]RodRow, 0, g.sizing.Len())
	s.Rods = make([]RodReading, 0, 2*g.sizing.Len())
	var err error
	g.points(func(i int, sys *dwv.System, pt *dwv.Point) {
		lv := g.levels.At(i)
		if lv.Vertical || lv.AboveFloor || err != nil {
			return
		}
		lower := where[pt.To]
		if !lower.placed || pt.At == nil || pt.Run.Bearing.IsZero() {
			s.Runs = append(s.Runs, RodRow{From: pt.ID, To: pt.To, Grade: p.grade(pt.Run.Grade), Warning: "no place or bearing on plan: set this run by its elevations"})
			return
		}
		heading := slope.Heading{Name: pt.ID + " > " + pt.To, Bearing: pt.Run.Bearing.Degrees() - l.toward.Degrees(), Grade: pt.Run.Grade}
		follow, e := plane.Follow([]slope.Heading{heading})
		if e != nil {
			err = e
			return
		}
		f := follow[0]
		row := RodRow{From: pt.ID, To: pt.To, Bearing: pt.Run.Bearing.String(), Grade: p.grade(pt.Run.Grade),
			Beam: round(f.Percent, 2) + " %", Lay: lay(f)}
		if p.full || row.Lay == "" {
			row.Warning = f.Warning()
		}
		per := 10 * units.Foot
		if p.si {
			per = 3 * units.Metre
		}
		row.PerTen = p.rod(units.Length(f.PerRun / 100 * float64(per)))
		s.Runs = append(s.Runs, row)
		for _, d := range stations(pt.Run.Length, l.station) {
			inv := lv.Lower.Invert + pt.Run.Grade.Over(d)
			q := between(lower.at, *pt.At, d, pt.Run.Length)
			bottom := inv - (lv.Lower.Invert - lv.Lower.TrenchBottom)
			s.Rods = append(s.Rods, RodReading{Run: heading.Name, Station: p.run(d), Invert: p.elevation(inv),
				Reading: p.rod(beamAt(q) - inv), Trench: p.rod(beamAt(q) - bottom)})
		}
	})
	if err != nil {
		return nil, err
	}
	return s, nil
}

func lay(f slope.Following) string {
	switch {
	case f.Result == slope.FollowsBackwards:
		return "AGAINST the beam"
	case f.Result == slope.FollowsLevel:
		return "across the beam"
	case f.Result == slope.FollowsDesign:
		return "with the beam"
	}
	return "with the beam, " + f.Result.String()
}

// turn returns how far a way on plan, dx right and dy ahead, leads in the
// direction of a bearing and to the right of it. Quarter turns are exact.
func turn(dx, dy units.Length, bearing float64) (ahead, right units.Length) {
	sin, cos := sinCos(bearing)
	x, y := float64(dx), float64(dy)
	return units.Length(math.RoundToEven(float64(x*sin) + float64(y*cos))), units.Length(math.RoundToEven(float64(x*cos) - float64(y*sin)))
}

// sinCos is exact at the quarter turns.
func sinCos(degrees float64) (sin, cos float64) {
	switch math.Mod(math.Mod(degrees, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

// site is where a point of a layout lies.
type site struct {
	invert units.Length
	at     dwv.Position
	placed bool // at is known
}

// siteOf reads the places off the layout. An outlet without one lies a run's length
// down the bearing of the first run into it.
func siteOf(g *judged) map[string]site {
	s := make(map[string]site, g.sizing.Len()+len(g.job.drains.Systems))
	for i := range g.job.drains.Systems {
		o := &g.job.drains.Systems[i].Outlet
		s[o.ID] = outletSite(o)
	}
	g.points(func(i int, sys *dwv.System, pt *dwv.Point) {
		here := site{invert: g.levels.At(i).Upper.Invert}
		if pt.At != nil {
			here.at, here.placed = *pt.At, true
		}
		s[pt.ID] = here
		if o := sys.Outlet.ID; pt.To == o && pt.At != nil && !s[o].placed && !pt.Run.Bearing.IsZero() {
			sin, cos := sinCos(pt.Run.Bearing.Degrees())
			run := float64(pt.Run.Length)
			s[o] = site{sys.Outlet.Invert, dwv.Position{X: pt.At.X + units.Length(run*sin), Y: pt.At.Y + units.Length(run*cos)}, true}
		}
	})
	return s
}

// outletSite is where an outlet lies, if the layout says so.
func outletSite(o *dwv.Outlet) site {
	if o.At == nil {
		return site{invert: o.Invert}
	}
	return site{o.Invert, *o.At, true}
}

// between returns the place d up a run of a length.
func between(lower, upper dwv.Position, d, length units.Length) dwv.Position {
	if length == 0 {
		return lower
	}
	part := float64(d) / float64(length)
	return dwv.Position{
		X: lower.X + units.Length(part*float64(upper.X-lower.X)),
		Y: lower.Y + units.Length(part*float64(upper.Y-lower.Y)),
	}
}

// stations are the ends of a run and every step between them.
func stations(length, step units.Length) []units.Length {
	out := []units.Length{0}
	if step > 0 {
		for d := step; d < length; d += step {
			out = append(out, d)
		}
	}
	return append(out, length)
}

func (r *Report) printRods(p *page) {
	if r.Rods == nil {
		return
	}
	p.section("Rod readings")
	p.printf("  The beam %s.\n", r.Rods.Beam)
	p.printf("  A run that lies with the beam at its grade keeps one reading. For any other the reading grows going down the pipe.\n\n")
	per := "10 ft"
	if r.Job.Units == "si" {
		per = "3 m"
	}
	g := grid{head: []string{"run", "flows toward", ">grade", ">beam along it", ">grows per " + per, ""}}
	for _, x := range r.Rods.Runs {
		note := x.Lay
		if note == "" {
			note = x.Warning
		}
		g.add(x.From+" > "+x.To, x.Bearing, x.Grade, x.Beam, x.PerTen, note)
	}
	p.grid(g)
	p.printf("\n")
	g = grid{head: []string{"run", ">up the run", ">invert", ">rod on invert", ">rod on trench bottom"}}
	last := ""
	for _, x := range r.Rods.Rods {
		name := x.Run
		if name == last {
			name = ""
		}
		last = x.Run
		g.add(name, x.Station, x.Invert, x.Reading, x.Trench)
	}
	p.grid(g)
}
