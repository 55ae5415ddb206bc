package draw

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// Point is a place: X to the right and Y ahead on plan, Z up. A profile takes X as the
// station along the line.
type Point struct{ X, Y, Z units.Length }

// Line is a run of pipe, or any other line.
type Line struct {
	ID    string   // group that the line is drawn in; empty: none of its own
	Path  []Point  // two points or more
	Style Style    // pattern
	Set   int      // 0, 1 or 2: which of several systems of one style, told apart by weight
	Arrow bool     // an arrow in the middle, from the first point to the last
	Label []string // lines of text beside it
	Tip   string   // what the group is, in words, for those who cannot see it
}

// Mark is a symbol at a place.
type Mark struct {
	ID     string
	At     Point
	Shape  Shape
	Toward *Point   // the symbol points there, if it points anywhere
	Label  []string // lines of text beside it, the first in bold
	Tip    string
}

// Area is a shaded part of the drawing.
type Area struct {
	ID   string
	Path []Point // its corners in turn, three or more
	Tip  string
}

// Note is a numbered remark, such as what a check found: a ring with its key at each
// place, and the text in the list at the side.
type Note struct {
	Key    string // what stands in the ring: a number
	Bad    bool   // a filled ring
	Text   string // the line of the list
	Link   string // where the ring leads, such as "#finding-3"; empty: nowhere
	Places []Place
}

// Place is where a note stands.
type Place struct {
	ID string // group of the ring
	On string // the item that the note is about, for [Scene.Attach]
	At Point
}

// Scene is what a plan and an isometric show. Lines and marks that have one ID share a
// group. They are painted in their order, the lines of a group before its marks:
// give a pipe before the one it runs into.
type Scene struct {
	Areas []Area
	Lines []Line
	Marks []Mark
	Notes []Note
	// Schematic says that places are not true: there is then no scale, bar or grid.
	Schematic bool
	Remarks   []string          // sentences for the side of the sheet
	North     *float64          // of a plan: where north lies, in degrees clockwise from ahead; nil: not shown
	Beam      *Heading          // of a plan: which way a laser's beam falls; nil: not shown
	Names     map[string]string // what the key calls a style or shape, if not its own name, by Style.Key and Shape.Key
}

// Heading is a way on plan, in degrees clockwise from ahead, and what goes there.
type Heading struct {
	Degrees float64
	Name    string
}

// Attach adds notes to a scene: each ring stands at the mark that has the id in
// [Place.On], or on the line that has it. Places that the scene does not have are left out, and
// notes without any place are left out and returned.
func (s *Scene) Attach(notes []Note) (left []Note) {
	where := make(map[string]Point, len(s.Lines)+len(s.Marks))
	for i := range s.Lines {
		if l := &s.Lines[i]; len(l.Path) > 1 {
			a, b := l.Path[0], l.Path[1]
			where[l.ID] = Point{a.X + (b.X-a.X)/2, a.Y + (b.Y-a.Y)/2, a.Z + (b.Z-a.Z)/2}
		}
	}
	for i := range s.Marks {
		where[s.Marks[i].ID] = s.Marks[i].At
	}
	for _, n := range notes {
		var here []Place
		for _, p := range n.Places {
			at, ok := where[p.On]
			if ok {
				here = append(here, Place{p.ID, p.On, at})
			}
		}
		if here == nil {
			left = append(left, n)
			continue
		}
		n.Places = here
		s.Notes = append(s.Notes, n)
	}
	return left
}

// Options are what is asked of a drawing beside its content.
type Options struct {
	Title  Title
	Paper  Paper  // zero: Letter or A4 if all labels find room there, or else Tabloid or A3
	Metric bool   // grid, scale bar and zero paper in metres and ISO sizes
	Figure bool   // 7 by 4-1/2 in, for a page of text: a line below it in place of the title block
	Prefix string // before each id, to tell apart several drawings in one page
	// Exaggerate is how much steeper a profile is drawn than it is. Zero: 12, or less
	// where that does not fit.
	Exaggerate int
}

// Title is what the title block says.
type Title struct {
	Job     string // what the job is called
	Drawing string // what the drawing shows
	Fields  []Field
}

// Field is a named entry of the title block.
type Field struct{ Name, Value string }

// Sheet is one finished sheet.
type Sheet struct {
	Name string // "1", "2" ..., "key" or "list-1", "list-2" ...
	SVG  []byte // a whole document in UTF-8
	// Unplaced counts the labels that found no room beside their place and stand in a list instead.
	Unplaced int

	prefix string
	ids    map[string]int
}

// Anchor returns the id of the group that an item has on the sheet, with its prefix, to
// link to; ok is false if the item is not there. Of several sheets each has a prefix of its own
// if [Options.Prefix] is set.
func (s *Sheet) Anchor(id string) (anchor string, ok bool) {
	if _, ok = s.ids[id]; !ok {
		return "", false
	}
	return s.prefix + Anchor(id), true
}

// ErrInput is wrapped by all errors of this package.
var ErrInput = errors.New("draw: input")

// farthest is how far from the origin a place may lie: more than any building, and
// near enough for exact integer arithmetic on paper.
const farthest = 100_000 * units.Metre

func checkPath(what, id string, path []Point) error {
	for _, p := range path {
		if max(p.X, p.Y, p.Z) > farthest || min(p.X, p.Y, p.Z) < -farthest {
			return fmt.Errorf("%w: %s %q: a coordinate is more than 100 km from the origin", ErrInput, what, id)
		}
	}
	return nil
}

func (s *Scene) check() error {
	for i := range s.Areas {
		if err := checkPath("area", s.Areas[i].ID, s.Areas[i].Path); err != nil {
			return err
		}
	}
	for i := range s.Lines {
		if err := s.Lines[i].check(); err != nil {
			return err
		}
	}
	for i := range s.Marks {
		m := &s.Marks[i]
		if m.Shape >= shapeCount {
			return fmt.Errorf("%w: mark %q: no shape %d", ErrInput, m.ID, m.Shape)
		}
		at := []Point{m.At}
		if m.Toward != nil {
			at = append(at, *m.Toward)
		}
		if err := checkPath("mark", m.ID, at); err != nil {
			return err
		}
	}
	for i := range s.Notes {
		for _, p := range s.Notes[i].Places {
			if err := checkPath("note", p.ID, []Point{p.At}); err != nil {
				return err
			}
		}
	}
	return nil
}

func (l *Line) check() error {
	if l.Style >= styleCount {
		return fmt.Errorf("%w: line %q: no style %d", ErrInput, l.ID, l.Style)
	}
	if len(l.Path) < 2 {
		return fmt.Errorf("%w: line %q: %d points; a line has two or more", ErrInput, l.ID, len(l.Path))
	}
	return checkPath("line", l.ID, l.Path)
}
