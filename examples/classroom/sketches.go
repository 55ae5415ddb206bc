package main

import (
	"encoding/json"
	"fmt"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// sketch is a figure that is not to scale: what is known stands beside its line, and a question mark
// where something is asked.
type sketch struct {
	draw.Scene
	count int
}

// at is a place of a sketch, in feet to the right and up.
func at(x, y float64) draw.Point {
	return draw.Point{X: units.Length(x * float64(units.Foot)), Y: units.Length(y * float64(units.Foot))}
}

// line adds a line with its words.
func (s *sketch) line(style draw.Style, arrow bool, path []draw.Point, words ...string) {
	s.count++
	s.Lines = append(s.Lines,
		draw.Line{ID: fmt.Sprint("line ", s.count), Style: style, Arrow: arrow, Path: path, Label: words})
}

// mark adds a symbol with its words.
func (s *sketch) mark(shape draw.Shape, place draw.Point, words ...string) {
	s.count++
	s.Marks = append(s.Marks, draw.Mark{ID: fmt.Sprint("mark ", s.count), Shape: shape, At: place, Label: words})
}

// sheets draws the sketch.
func (s *sketch) sheets(o draw.Options, names map[string]string, remark string) ([]draw.Sheet, error) {
	s.Schematic, s.Names, s.Remarks = true, names, []string{remark, "A sketch: not to scale."}
	return draw.Plan(&s.Scene, o)
}

// drawTrench shows a trench along and across; its volume is for the student to find.
func drawTrench(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	length, err := units.Parse[units.Length](p.Length)
	if err != nil {
		return nil, err
	}
	deeper := max(p.DepthLower, p.DepthUpper)
	low := 8 * float64(p.DepthLower) / float64(max(deeper, 1))
	up := 8 * float64(p.DepthUpper) / float64(max(deeper, 1))
	var s sketch
	s.line(draw.Ground, false, []draw.Point{at(-4, 0), at(34, 0)}, "ground")
	s.line(draw.Trench, false, []draw.Point{at(0, 0), at(0, -low), at(30, -up), at(30, 0)}, "trench bottom")
	s.line(draw.Dimension, false, []draw.Point{at(-2, 0), at(-2, -low)}, fmt.Sprintf("%v deep", p.DepthLower))
	s.line(draw.Dimension, false, []draw.Point{at(32, 0), at(32, -up)}, fmt.Sprintf("%v deep", p.DepthUpper))
	s.line(draw.Dimension, false, []draw.Point{at(0, 3), at(30, 3)}, fmt.Sprintf("%v long", length))
	s.line(draw.Ground, false, []draw.Point{at(40, 0), at(60, 0)})
	s.line(draw.Trench, false, []draw.Point{at(44, 0), at(44, -low), at(56, -low), at(56, 0)}, "volume ?")
	s.line(draw.Dimension, false, []draw.Point{at(44, 3), at(56, 3)}, fmt.Sprintf("%v wide", p.Width))
	return s.sheets(o, map[string]string{draw.Trench.Key(): "side and bottom of the trench"},
		"Left: along the trench. Right: across its lower end. A trench can close on whoever is in it.")
}

// drawRod shows a level's beam and the rod that is read.
func drawRod(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	var s sketch
	s.line(draw.Static, false, []draw.Point{at(0, 10), at(30, 10)}, fmt.Sprintf("beam at %v", p.InstrumentHeight))
	s.line(draw.Wall, false, []draw.Point{at(0, 10), at(-3, 2)})
	s.line(draw.Wall, false, []draw.Point{at(0, 10), at(3, 2)})
	s.line(draw.Ground, false, []draw.Point{at(-5, 2), at(18, 2), at(20, 0), at(32, 0)}, "ground and trench")
	s.line(draw.Concrete, false, []draw.Point{at(26, 0), at(26, 13)}, "rod")
	s.line(draw.Dimension, false, []draw.Point{at(28, 0), at(28, 10)}, "reading ?")
	s.mark(draw.Device, at(0, 10), "level")
	s.mark(draw.Joint, at(26, 0), fmt.Sprintf("point at %v", p.Elevation))
	return s.sheets(o, map[string]string{draw.Static.Key(): "beam", draw.Wall.Key(): "tripod",
		draw.Concrete.Key(): "rod", draw.Device.Key(): "level or laser", draw.Ground.Key(): "ground"},
		"The rod is held on the point and read where the beam meets it.")
}

// drawTrapArm shows a trap, its weir, the arm from there and the vent.
func drawTrapArm(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	var s sketch
	s.line(draw.Drain, true, []draw.Point{at(0, 9), at(0, 1)}, "tailpiece")
	s.line(draw.Drain, false, []draw.Point{at(0, 1), at(0.5, 0), at(2.5, 0), at(3, 1), at(3, 2.6), at(4, 3)})
	s.line(draw.Drain, true, []draw.Point{at(4, 3), at(22, 2)}, "arm of "+p.Size, "grade ?")
	s.line(draw.Vent, false, []draw.Point{at(22, 2), at(22, 14)}, "vent, up and out")
	s.line(draw.Drain, true, []draw.Point{at(22, 2), at(22, -6)}, "to the drain")
	s.line(draw.Dimension, false, []draw.Point{at(4, 5), at(22, 5)}, "length ?, from weir to vent")
	s.mark(draw.Fixture, at(0, 9), "fixture")
	s.mark(draw.Joint, at(4, 3), "trap weir")
	s.mark(draw.TakeOff, at(22, 2))
	return s.sheets(o, map[string]string{draw.Drain.Key(): "waste pipe", draw.TakeOff.Key(): "where the vent begins"},
		"The arm is measured from the weir of the trap to where the vent begins.")
}

// drawStack shows a stack with its branch intervals; problems of other parts have no figure.
func drawStack(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	const most = 12
	if p.Part != "stack" || p.Intervals < 1 || p.Intervals > most {
		return nil, nil
	}
	var s sketch
	high := 6 * float64(p.Intervals)
	s.line(draw.Drain, false, []draw.Point{at(0, high), at(0, 6)})
	s.line(draw.Drain, true, []draw.Point{at(0, 6), at(0, 0)}, "size ?") // below all branches, where it carries all
	s.line(draw.Drain, true, []draw.Point{at(0, 0), at(20, -1)}, fmt.Sprintf("carries %v dfu in all", p.Load))
	s.line(draw.Vent, false, []draw.Point{at(0, high), at(0, high+6)}, "stack vent")
	s.mark(draw.Terminal, at(0, high+6), "to the open air")
	for i := range p.Intervals {
		y := 6*float64(i) + 6
		s.line(draw.Drain, true, []draw.Point{at(-12, y+0.6), at(0, y)}, fmt.Sprintf("branch of interval %d", i+1))
		s.line(draw.Dimension, false, []draw.Point{at(6, y-6), at(6, y)}, fmt.Sprintf("interval %d", i+1))
	}
	return s.sheets(o, map[string]string{draw.Drain.Key(): "stack, branches and drain"},
		"A branch interval is a height of the stack, about a storey, within which branches of one floor enter it.")
}

// drawBudget shows where the pressure goes from the street to the highest fixture, step by step.
func drawBudget(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	street := string(p.Street)
	var figure string
	var tested struct{ Static, Residual, At string }
	if json.Unmarshal(p.Street, &figure) == nil {
		street = figure
	} else if json.Unmarshal(p.Street, &tested) == nil {
		street = tested.Residual + " at " + tested.At + ", " + tested.Static + " at rest"
	}
	var s sketch
	x, y := 0.0, 24.0
	s.mark(draw.Outlet, at(x, y), "street", street)
	step := func(words ...string) {
		s.line(draw.Pressure, false, []draw.Point{at(x, y), at(x+5, y)})
		s.line(draw.Pressure, true, []draw.Point{at(x+5, y), at(x+5, y-4)}, words...)
		x, y = x+5, y-4
	}
	for _, l := range p.Losses {
		step(l.Name, l.Loss)
	}
	step("height "+p.Rise, "takes ?")
	end := y - 5
	s.line(draw.Pressure, true, []draw.Point{at(x, y), at(x+14, end)}, "friction in pipe and fittings", "?")
	s.line(draw.Needed, false, []draw.Point{at(0, end), at(x+14, end)}, "needed at the fixture: "+p.Required)
	s.mark(draw.Fixture, at(x+14, end), "highest fixture")
	return s.sheets(o, map[string]string{draw.Outlet.Key(): "street"},
		"The pressure falls from left to right; upright: what a device or the height takes.")
}
