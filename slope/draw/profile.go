package draw

import (
	"fmt"
	"strconv"

	"github.com/trapweir/trapweir/units"
)

// Section is a drawing of heights along a line, with a table below it. In its scene X is
// the station, how far along the line, and Z the height; Y means nothing.
type Section struct {
	Scene
	Stations []units.Length // of the columns of the table, ascending
	Rows     []Row
}

// Row is a row of the table below a section.
type Row struct {
	Name  string
	Cells []string // one for each station; none: a row to fill in by hand
}

// Profile draws a section, heights exaggerated, stations growing to the right. Where
// the table does not fit on one sheet the section is cut at a station. The error wraps [ErrInput].
func Profile(sec *Section, o Options) ([]Sheet, error) {
	if err := sec.check(); err != nil {
		return nil, err
	}
	for _, r := range sec.Rows {
		if len(r.Cells) != 0 && len(r.Cells) != len(sec.Stations) {
			return nil, fmt.Errorf("%w: row %q: %d cells for %d stations", ErrInput, r.Name, len(r.Cells),
				len(sec.Stations))
		}
	}
	for i, at := range sec.Stations {
		if i > 0 && at < sec.Stations[i-1] {
			return nil, fmt.Errorf("%w: station %d lies before the one ahead of it", ErrInput, i+1)
		}
	}
	if o.Exaggerate < 0 || o.Exaggerate > 1000 {
		return nil, fmt.Errorf("%w: exaggeration %d: from 1 to 1000, or 0", ErrInput, o.Exaggerate)
	}
	try, err := o.choose()
	if err != nil {
		return nil, err
	}
	f := &profile{Section: sec, o: &o, cell: sec.cellWidth()}
	for i, paper := range try {
		f.paper = paper
		if cut := f.cut(); len(cut) == 1 || i == len(try)-1 {
			sheets := f.sheets(cut)
			names := make([]string, len(sheets))
			for k := range sheets {
				names[k] = strconv.Itoa(k + 1)
			}
			return finish(sheets, names, &o, &f.used, &sec.Scene), nil
		}
	}
	return nil, nil
}

// profile is a section being drawn.
type profile struct {
	*Section
	o     *Options
	paper Paper
	cell  int // width of a column of the table
	used  used
}

const (
	rowHead  = 9500 // the names of the rows
	tableRow = 950
	fan      = 2400 // between graph and table, where stations lead to their columns
)

// cellWidth is the width of a column: of its widest text, shortened if need be.
func (s *Section) cellWidth() int {
	w := 2200
	for _, r := range s.Rows {
		for _, c := range r.Cells {
			w = max(w, width(clean(c), small, false)+500)
		}
	}
	return min(w, 7000)
}

// cut returns the first and last station of each sheet.
func (f *profile) cut() [][2]int {
	s := newSheet(f.paper, f.o, false)
	n := max((s.area.x1-s.area.x0-rowHead)/f.cell, 2)
	last := len(f.Stations) - 1
	var out [][2]int
	for at := 0; at < last; at += n - 1 {
		out = append(out, [2]int{at, min(at+n-1, last)})
	}
	if len(out) == 0 {
		out = [][2]int{{0, last}}
	}
	return out
}

func (f *profile) sheets(cut [][2]int) []*sheet {
	var out []*sheet
	for i, c := range cut {
		s := newSheet(f.paper, f.o, false)
		table := box{s.area.x0, s.area.y1 - tableRow*len(f.Rows) - fan - 200, s.area.x1 - 300, s.area.y1 - 200}
		if len(f.Rows) == 0 {
			table.y0 = table.y1
		}
		s.area.x0 += rowHead
		s.area.y1 = table.y0
		s.room = newRoom(s.area)
		f.draw(s, c, i, len(cut), table)
		out = append(out, s)
	}
	return out
}

// draw draws the part from one station to another.
func (f *profile) draw(s *sheet, c [2]int, i, of int, table box) {
	times, scale, e := f.measure(s, c, i, of)
	p := flatten(&f.Scene, f.o, steeper(times), false)
	f.used = p.used
	whole := p.all
	whole.lo.u, whole.hi.u = e.lo.u, e.hi.u
	w := p.window(s, scale, whole)
	p.draw(s, w, whole)
	s.scale = fmt.Sprintf("Along: %s. Vertical exaggeration %d:1", scaleName(scale, f.o.Metric), times)
	s.heights(&w, times, f.o.Metric)
	f.table(s, &w, c, table)
}

// steeper looks at a section from the side.
func steeper(times int64) func(Point) flat {
	return func(p Point) flat { return flat{int64(p.X), int64(p.Z) * times} }
}

// measure returns how steep and to what scale a part is drawn, and its extent at true heights.
func (f *profile) measure(s *sheet, c [2]int, i, of int) (times, scale int64, e extent) {
	p := flatten(&f.Scene, f.o, steeper(1), false)
	e = p.all
	if of > 1 {
		if i > 0 {
			e.lo.u = int64(f.Stations[c[0]])
		}
		if i < of-1 {
			e.hi.u = int64(f.Stations[c[1]])
		}
	}
	part := *p
	part.all = extent{flat{e.lo.u, 0}, flat{e.hi.u, 0}, true}
	scale = part.fit(s, 3000).scale
	times = int64(f.o.Exaggerate)
	if times < 1 {
		times = 12
	}
	high := s.area.y1 - s.area.y0 - 6000
	for times > 1 && paper((e.hi.v-e.lo.v)*times, scale) > high {
		times--
	}
	if times == 1 {
		part.all = e
		scale = part.fit(s, 3000).scale
	}
	return times, scale, e
}

// heights writes elevations along the left edge.
func (s *sheet) heights(w *window, times int64, metric bool) {
	a := s.area
	g := &s.groups[frame]
	g.marks = path(g.marks, "h", false, spot{a.x0, a.y0}, spot{a.x0, a.y1})
	g.marks = path(g.marks, "h", false, spot{a.x0, a.y1}, spot{a.x1, a.y1})
	step, name := heightStep(w.scale, times, metric)
	bottom := w.top - drawn(a.y1-a.y0, w.scale)
	for n := bottom/times/int64(step) - 1; n*int64(step)*times < w.top; n++ {
		y := a.y0 + paper(w.top-n*int64(step)*times, w.scale)
		if t := name(n); y-ascent > a.y0 && y < a.y1 {
			g.marks = path(g.marks, "h", false, spot{a.x0 - 250, y}, spot{a.x0, y})
			s.say(spot{a.x0 - 350 - width(t, small, false), y + 200}, t, small, false, rowHead)
		}
	}
}

// heightStep is the distance of the figures of elevation, and how they are written.
func heightStep(scale, times int64, metric bool) (units.Length, func(int64) string) {
	unit, word, tenths := units.Foot, "'", 1
	if metric {
		unit, word = units.Metre, " m"
	}
	if paper(int64(unit)*times, scale) > 12000 {
		unit, tenths = unit/10, 10
	}
	n := int64(1)
	for _, m := range [...]int64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if n = m; paper(int64(unit)*times*m, scale) >= 2000 {
			break
		}
	}
	return unit * units.Length(n), func(i int64) string {
		if tenths == 1 {
			return strconv.FormatInt(i*n, 10) + word
		}
		return strconv.FormatFloat(float64(i*n)/10, 'f', 1, 64) + word
	}
}

// table writes the rows below the graph. Columns stand as near below their stations as
// they can; a line leads from each station to its column.
func (f *profile) table(s *sheet, w *window, c [2]int, b box) {
	if len(f.Rows) == 0 || len(f.Stations) == 0 {
		return
	}
	g := &s.groups[frame]
	top := b.y0 + fan
	n := c[1] - c[0] + 1
	from := make([]int, n)
	for i := range n {
		from[i] = w.spot(flat{int64(f.Stations[c[0]+i]), 0}).x
	}
	at := spread(from, f.cell, b.x0+rowHead+f.cell/2, b.x1-f.cell/2)
	for i := range n {
		g.marks = path(g.marks, "h", false, spot{from[i], b.y0}, spot{from[i], b.y0 + 300}, spot{at[i], top - 300},
			spot{at[i], top})
	}
	for k, r := range f.Rows {
		y := top + k*tableRow
		g.marks = path(g.marks, "h", false, spot{b.x0 + 300, y}, spot{b.x1, y})
		s.say(spot{b.x0 + 500, y + 680}, r.Name, small, true, rowHead-600)
		for i := range n {
			if len(r.Cells) > 0 {
				t := fit(clean(r.Cells[c[0]+i]), small, false, f.cell-300)
				s.say(spot{at[i] - width(t, small, false)/2, y + 680}, t, small, false, f.cell)
			}
		}
	}
	y := top + len(f.Rows)*tableRow
	g.marks = path(g.marks, "h", false, spot{b.x0 + 300, y}, spot{b.x1, y})
	for i := range n {
		g.marks = path(g.marks, "h", false, spot{at[i] + f.cell/2, top}, spot{at[i] + f.cell/2, y})
		if i == 0 || at[i]-at[i-1] > f.cell {
			g.marks = path(g.marks, "h", false, spot{at[i] - f.cell/2, top}, spot{at[i] - f.cell/2, y})
		}
	}
}

// spread moves places apart until they are a width from one another, none out of lo to hi.
func spread(from []int, wide, lo, hi int) []int {
	at := append([]int(nil), from...)
	for i := range at {
		at[i] = max(at[i], lo+i*wide)
		if i > 0 {
			at[i] = max(at[i], at[i-1]+wide)
		}
	}
	for i := len(at) - 1; i >= 0; i-- {
		at[i] = min(at[i], hi-(len(at)-1-i)*wide)
		if i < len(at)-1 {
			at[i] = min(at[i], at[i+1]-wide)
		}
	}
	return at
}
