package slope

import (
	"encoding/json"
	"errors"
	"fmt"
	"sort"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// Reach is a straight part of a line, at one grade.
type Reach struct {
	// Name names the upper end of the reach: a fitting, a manhole, a fixture.
	Name string `json:"name"`
	// Run is the horizontal length, more than zero.
	Run units.Length `json:"run"`
	// Grade is the fall towards the outlet. A negative grade rises; only
	// as-built lines have any use for one.
	Grade Grade `json:"grade"`
	// Drop is how far the lower end of the reach lies above the invert below it:
	// a drop at a manhole, at a fitting, at a trap arm, a join above the invert.
	Drop units.Length `json:"drop"`
	// Pipe is the pipe of the reach.
	Pipe Pipe `json:"pipe"`
}

// Line is a run of pipe from an outlet invert upward, one reach after another.
type Line struct {
	// Outlet is the invert at the lower end of the first reach.
	Outlet  units.Length `json:"outlet"`
	Reaches []Reach      `json:"reaches"`
}

// Station is a place on a line.
type Station struct {
	// Name is that of the reach whose upper end this is, if it is one.
	Name string `json:"name"`
	// Distance is the horizontal distance from the outlet along the line.
	Distance units.Length `json:"distance"`
	// Leaving is the invert of the pipe that goes on to the outlet, Arriving that
	// of the pipe that comes from above. They differ by the drop there.
	Leaving  units.Length `json:"leaving"`
	Arriving units.Length `json:"arriving"`
	// Pipe is the pipe that leaves; at the outlet, the first one.
	Pipe Pipe `json:"pipe"`
}

// Levels returns the levels of the leaving pipe at the station.
func (s Station) Levels(over Surface) (Levels, error) { return s.Pipe.Levels(s.Leaving, over) }

// Profile is a line with its inverts. It is safe for concurrent use.
type Profile struct {
	line Line
	// One entry a reach, in order from the outlet.
	spans []span
}

// span is what a reach needs to give an invert anywhere on it. Reaches that
// follow each other at one grade without a drop share a base, so that their
// falls are rounded as one and do not depend on where the line is cut.
type span struct {
	start, end   units.Length // distances from the outlet
	base         units.Length // invert at distance from
	from         units.Length
	lower, upper units.Length
}

// Profile computes the inverts of a line. All faults of the line are reported
// together. Each fall is rounded once, from the last change of grade or drop.
func (l Line) Profile() (*Profile, error) {
	var list faults.List
	list.Note("outlet", "", check("invert", l.Outlet))
	for i, r := range l.Reaches {
		note(&list, "reach", i, r.Name, "", checkPositive("run", r.Run), checkGrade(r.Grade), check("drop", r.Drop))
		note(&list, "reach", i, r.Name, "pipe", r.Pipe.check())
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	p := &Profile{line: Line{l.Outlet, append([]Reach(nil), l.Reaches...)}, spans: make([]span, len(l.Reaches))}
	var at span
	at.base, at.upper = l.Outlet, l.Outlet
	for i, r := range l.Reaches {
		at.start, at.end = at.end, at.end+r.Run
		if i == 0 || r.Drop != 0 || r.Grade != l.Reaches[i-1].Grade {
			at.base, at.from = at.upper+r.Drop, at.start
		}
		at.lower = at.upper + r.Drop
		fall := r.Grade.Over(at.end - at.from)
		if !at.end.Valid() || !fall.Valid() || !at.lower.Valid() || !(at.base + fall).Valid() {
			list.Addf(itemName("reach", i, r.Name), "", "upper end: %w: its distance or invert is more than %v km from zero",
				units.ErrRange, units.MaxLength.Metres()/1000)
			return nil, list.Err()
		}
		at.upper = at.base + fall
		p.spans[i] = at
	}
	return p, nil
}

// Inverts returns the inverts at the upper ends of the reaches, in order from
// the outlet: each is the one below it plus drop plus fall.
func (l Line) Inverts() ([]units.Length, error) {
	p, err := l.Profile()
	if err != nil {
		return nil, err
	}
	out := make([]units.Length, len(p.spans))
	for i, s := range p.spans {
		out[i] = s.upper
	}
	return out, nil
}

// Length returns the horizontal length of the line.
func (p *Profile) Length() units.Length {
	if p == nil || len(p.spans) == 0 {
		return 0
	}
	return p.spans[len(p.spans)-1].end
}

// ErrOffLine is wrapped by the error about a distance that is not on the line.
var ErrOffLine = errors.New("not on the line")

// At returns the station at a distance from the outlet, 0 to Length.
func (p *Profile) At(distance units.Length) (Station, error) {
	if p == nil {
		return Station{}, fmt.Errorf("%w: there is no line; Line.Profile makes one", ErrOffLine)
	}
	if distance < 0 || distance > p.Length() {
		return Station{}, fmt.Errorf("%w: %v from the outlet of a line of %v", ErrOffLine, distance, p.Length())
	}
	i := sort.Search(len(p.spans), func(i int) bool { return p.spans[i].end >= distance })
	return p.on(i, distance), nil
}

// on returns the station at a distance that lies on reach i, the lower of two at
// a joint.
func (p *Profile) on(i int, distance units.Length) Station {
	s := Station{Distance: distance, Leaving: p.line.Outlet, Arriving: p.line.Outlet}
	if len(p.spans) == 0 {
		return s
	}
	a := &p.spans[i]
	s.Pipe = p.line.Reaches[i].Pipe
	switch distance {
	case 0: // the outlet
		s.Arriving = a.lower
	case a.end:
		s.Name = p.line.Reaches[i].Name
		s.Leaving, s.Arriving = a.upper, a.upper
		if i+1 < len(p.spans) {
			s.Arriving = p.spans[i+1].lower
		}
	default:
		s.Leaving = a.base + p.line.Reaches[i].Grade.Over(distance-a.from)
		s.Arriving = s.Leaving
	}
	return s
}

// Stations returns the outlet and the upper end of every reach.
func (p *Profile) Stations() []Station {
	if p == nil {
		return nil
	}
	out := make([]Station, 0, len(p.spans)+1)
	out = append(out, p.on(0, 0))
	for i, s := range p.spans {
		out = append(out, p.on(i, s.end))
	}
	return out
}

// maxStations bounds what Every and [Stakes] make.
const maxStations = 1_000_000

// Every returns the stations at every multiple of an interval and at the end of
// every reach, each once, from the outlet upward. The interval must be positive
// and not so short as to make over a million.
func (p *Profile) Every(interval units.Length) ([]Station, error) {
	marks, err := Stakes(0, p.Length(), interval)
	if err != nil {
		return nil, err
	}
	out := make([]Station, 0, len(marks)+len(p.spans))
	k := 0
	for i := range p.spans {
		for ; k < len(marks) && marks[k] < p.spans[i].end; k++ {
			if i == 0 || marks[k] > p.spans[i].start {
				out = append(out, p.on(i, marks[k]))
			}
		}
		out = append(out, p.on(i, p.spans[i].end))
	}
	if len(p.spans) == 0 {
		out = append(out, p.on(0, 0))
	}
	return out, nil
}

// Stakes returns the distances from first to last at every multiple of an
// interval, with first and last themselves.
func Stakes(first, last, interval units.Length) ([]units.Length, error) {
	if err := firstOf(check("first station", first), check("last station", last),
		checkPositive("interval", interval)); err != nil {
		return nil, err
	}
	if last < first {
		return nil, fmt.Errorf("%w: the last station lies before the first", units.ErrRange)
	}
	if (last-first)/interval >= maxStations {
		return nil, fmt.Errorf("interval: %w: over %d stations", units.ErrRange, maxStations)
	}
	out := []units.Length{first}
	next := first - first%interval
	if next <= first {
		next += interval
	}
	for ; next < last; next += interval {
		out = append(out, next)
	}
	if last > first {
		out = append(out, last)
	}
	return out, nil
}

// MarshalJSON writes the list of [Profile.Stations].
func (p *Profile) MarshalJSON() ([]byte, error) { return json.Marshal(p.Stations()) }
