package draw

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
)

// Chart is a graph of curves over one another, with bars beside it.
type Chart struct {
	X, Y    Axis
	Curves  []Curve
	Spots   []Spot
	Bars    []Bar
	BarHead string // what the bars show
	Remarks []string
	Names   map[string]string // as of [Scene]
}

// Axis is what one way of a graph measures, with its unit: "developed length, ft".
type Axis struct{ Name string }

// XY is a place on a graph.
type XY struct{ X, Y float64 }

// Curve is a line of straight pieces.
type Curve struct {
	ID    string
	Style Style
	At    []XY // two or more
	Label string
	Tip   string
}

// Spot is a labelled place of a graph.
type Spot struct {
	ID    string
	At    XY
	Shape Shape
	Label []string
	Tip   string
}

// Bar is a value set against what is needed.
type Bar struct {
	ID          string
	Label, Text string  // before and behind the bar
	Value, Need float64 // Need 0: nothing is needed
	Bad         bool    // drawn open instead of filled
	Tip         string
}

// Graph draws a chart. The axes begin at nought, or below it where a value does. The error wraps [ErrInput].
func Graph(c *Chart, o Options) ([]Sheet, error) { return GraphContext(context.Background(), c, o) }

// GraphContext is [Graph] that stops once the context is done, with its error and how far it was.
func GraphContext(ctx context.Context, c *Chart, o Options) ([]Sheet, error) {
	try, err := o.choose()
	if err != nil {
		return nil, err
	}
	if err := c.check(); err != nil {
		return nil, err
	}
	paper := try[0]
	s := newSheet(paper, &o, false)
	s.scale = "no scale; figures along the edges"
	bars := s.area
	s.area.x0 += 3500
	s.area.y0 += 1500
	s.area.y1 -= 2800
	if len(c.Bars) > 0 {
		bars.x0 = s.area.x1 - (s.area.x1-s.area.x0)*2/5
		s.area.x1 = bars.x0 - 1500
	}
	s.room = newRoom(s.area)
	p := c.draw(newWork(ctx), s, &o)
	if p.Err() != nil {
		return nil, p.Err()
	}
	left := s.bars(c, c.Bars, bars)
	sheets, names := []*sheet{s}, []string{"1"}
	for len(left) > 0 {
		s := newSheet(paper, &o, false)
		s.scale = "no scale"
		left = s.bars(c, left, s.area)
		sheets, names = append(sheets, s), append(names, strconv.Itoa(len(names)+1))
	}
	return finish(sheets, names, &o, &p.used, &Scene{Remarks: c.Remarks, Names: c.Names}), nil
}

const greatest = 1e9 // of a value on a graph

func (c *Chart) check() error {
	ok := func(v ...float64) bool {
		for _, x := range v {
			if !(x > -greatest && x < greatest) {
				return false
			}
		}
		return true
	}
	for _, k := range c.Curves {
		if len(k.At) < 2 || k.Style >= styleCount {
			return fmt.Errorf("%w: curve %q: %d points, style %d", ErrInput, k.ID, len(k.At), k.Style)
		}
		for _, at := range k.At {
			if !ok(at.X, at.Y) {
				return fmt.Errorf("%w: curve %q: (%g, %g)", ErrInput, k.ID, at.X, at.Y)
			}
		}
	}
	for _, m := range c.Spots {
		if !ok(m.At.X, m.At.Y) || m.Shape >= shapeCount {
			return fmt.Errorf("%w: spot %q: (%g, %g), shape %d", ErrInput, m.ID, m.At.X, m.At.Y, m.Shape)
		}
	}
	for _, b := range c.Bars {
		if !ok(b.Value, b.Need) {
			return fmt.Errorf("%w: bar %q: %g, %g", ErrInput, b.ID, b.Value, b.Need)
		}
	}
	return nil
}

// ends returns the least and greatest value of a chart one way, nought among them.
func (c *Chart) ends(of func(XY) float64) (lo, hi float64) {
	for _, k := range c.Curves {
		for _, at := range k.At {
			lo, hi = min(lo, of(at)), max(hi, of(at))
		}
	}
	for _, m := range c.Spots {
		lo, hi = min(lo, of(m.At)), max(hi, of(m.At))
	}
	if lo == hi {
		hi = lo + 1
	}
	return lo, hi
}

// ruler turns values into places along an edge.
type ruler struct {
	lo, hi float64
	length int
}

func (r ruler) at(v float64) int {
	return int(math.Round((v - r.lo) / (r.hi - r.lo) * float64(r.length)))
}

// step is the distance of the figures: one, two or five, or tens or tenths of it, that
// take at least so much room.
func (r ruler) step(least int) (float64, int) {
	for places := 6; ; places-- {
		for _, m := range [...]float64{1, 2, 5} {
			step := m * math.Pow10(-places)
			if (r.hi-r.lo)/step*float64(least) <= float64(r.length) || places < -9 {
				return step, max(places, 0)
			}
		}
	}
}

// draw draws axes, curves and spots.
func (c *Chart) draw(work *patience.Work, s *sheet, o *Options) *picture {
	a := s.area
	xlo, xhi := c.ends(func(p XY) float64 { return p.X })
	ylo, yhi := c.ends(func(p XY) float64 { return p.Y })
	x, y := ruler{xlo, xhi, a.x1 - a.x0 - 3500}, ruler{ylo, yhi + (yhi-ylo)/12, a.y1 - a.y0}
	// A scene at the scale of the paper: a hundredth of a point for a micrometre.
	place := func(p XY) Point {
		return Point{X: units.Length(x.at(p.X)) * 1000, Z: units.Length(y.at(p.Y)) * 1000}
	}
	var sc Scene
	for _, k := range c.Curves {
		l := Line{ID: k.ID, Style: k.Style, Tip: k.Tip}
		if k.Label != "" {
			l.Label = []string{k.Label}
		}
		for _, at := range k.At {
			l.Path = append(l.Path, place(at))
		}
		sc.Lines = append(sc.Lines, l)
	}
	for _, m := range c.Spots {
		sc.Marks = append(sc.Marks, Mark{ID: m.ID, At: place(m.At), Shape: m.Shape, Label: m.Label, Tip: m.Tip})
	}
	p := flatten(work, &sc, o,
		func(q Point) flat { return flat{int64(q.X) * 31750 / 9 / 1000, int64(q.Z) * 31750 / 9 / 1000} }, false)
	scale := s.scale
	p.draw(s, window{scale: 1, at: spot{a.x0, a.y1}},
		p.everything(extent{flat{-1 << 50, -1 << 50}, flat{1 << 50, 1 << 50}, true}))
	s.scale, s.bar = scale, nil
	c.axes(s, x, y)
	return p
}

// axes writes the figures and names along the edges.
func (c *Chart) axes(s *sheet, x, y ruler) {
	a := s.area
	s.hair(spot{a.x0, a.y0}, spot{a.x0, a.y1}, spot{a.x1, a.y1})
	step, places := x.step(2600)
	for n := math.Ceil(x.lo / step); n*step <= x.hi; n++ {
		v := float64(n * step) // rounded, so that no machine fuses it into what follows
		t := strconv.FormatFloat(v, 'f', places, 64)
		at := a.x0 + x.at(v)
		s.hair(spot{at, a.y1}, spot{at, a.y1 + 250})
		s.say(spot{at - width(t, small, false)/2, a.y1 + 900}, t, small, false, 4000)
	}
	step, places = y.step(2000)
	for n := math.Ceil(y.lo / step); n*step <= y.hi; n++ {
		v := float64(n * step)
		t := strconv.FormatFloat(v, 'f', places, 64)
		at := a.y1 - y.at(v)
		s.hair(spot{a.x0 - 250, at}, spot{a.x0, at})
		s.say(spot{a.x0 - 350 - width(t, small, false), at + 200}, t, small, false, 4000)
	}
	name := clean(c.X.Name)
	s.say(spot{a.x1 - width(name, small, true), a.y1 + 2000}, name, small, true, a.x1-a.x0)
	s.say(spot{margin + 500, a.y0 - 500}, c.Y.Name, small, true, a.x1-a.x0)
}

// bars draws as many bars as there is room for and returns the rest.
func (s *sheet) bars(c *Chart, list []Bar, b box) []Bar {
	if len(list) == 0 {
		return nil
	}
	const high = 1150
	name, word := min(7500, (b.x1-b.x0)*3/8), min(5200, (b.x1-b.x0)*2/7) // narrower in a figure
	most := 0.0
	for _, k := range c.Bars {
		most = max(most, k.Value, k.Need)
	}
	r := ruler{0, max(most, 1e-9), b.x1 - b.x0 - name - word - 1200}
	s.say(spot{b.x0, b.y0 + 1000}, c.BarHead, small, true, b.x1-b.x0-500)
	y := b.y0 + 2400
	for i, k := range list {
		if y > b.y1-1500 {
			return list[i:]
		}
		g := &s.groups[s.group(k.ID, clean(k.Tip))]
		label := fit(clean(k.Label), small, false, name-300)
		g.marks = text(g.marks, spot{b.x0, y}, label, small, "")
		x0, x1 := b.x0+name, b.x0+name+r.at(max(k.Value, 0))
		class := "f"
		if k.Bad {
			class = "w"
		}
		g.lines = path(g.lines, class, true, spot{x0, y - 420}, spot{x1, y - 420}, spot{x1, y - 20}, spot{x0, y - 20})
		need := x0 + r.at(max(k.Need, 0))
		if k.Need != 0 {
			g.marks = path(g.marks, "needle", false, spot{need, y - 620}, spot{need, y + 180})
		}
		g.marks = text(g.marks, spot{max(x1, need) + 300, y}, fit(clean(k.Text), small, false, word), small, "")
		y += high
	}
	return nil
}
