package draw

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"

	"github.com/trapweir/trapweir/internal/patience"
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
	return ProfileContext(context.Background(), sec, o)
}

// ProfileContext is [Profile] that stops once the context is done, with its error and how far it was.
func ProfileContext(ctx context.Context, sec *Section, o Options) ([]Sheet, error) {
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
	f := &profile{Section: sec, Work: newWork(ctx), o: &o, cell: sec.cellWidth()}
	for i, paper := range try {
		f.paper = paper
		if cut := f.cut(); len(cut) == 1 || i == len(try)-1 {
			sheets := f.sheets(cut)
			if f.Err() != nil {
				return nil, f.Err()
			}
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
	*patience.Work
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
	all := flatten(f.Work, &f.Scene, f.o, steeper(1, gap{}), false)
	f.used = all.used
	tiles := f.deal(all, cut)
	for i, c := range cut {
		if !f.Goes(i, len(cut), "sheets of a profile") {
			break
		}
		s := newSheet(f.paper, f.o, false)
		table := box{s.area.x0, s.area.y1 - tableRow*len(f.Rows) - fan - 200, s.area.x1 - 300, s.area.y1 - 200}
		if len(f.Rows) == 0 {
			table.y0 = table.y1
		}
		s.area.x0 += rowHead
		s.area.y1 = table.y0
		s.room = newRoom(s.area)
		f.draw(s, all.only(&tiles[i]), c, table, f.part(s, all, &tiles[i], c, i, len(cut)))
		out = append(out, s)
	}
	return out
}

// deal gives each part of a section, as a tile, what may lie in it by how far along it lies.
func (f *profile) deal(p *picture, cut [][2]int) []tile {
	if len(cut) == 1 {
		return []tile{p.everything(p.all)}
	}
	tiles := make([]tile, len(cut))
	give := func(path []flat, add func(*tile)) {
		about := extentOf(path)
		i := sort.Search(len(cut)-1, func(i int) bool { return int64(f.Stations[cut[i][1]]) >= about.lo.u })
		for ; i < len(cut) && (i == 0 || int64(f.Stations[cut[i][0]]) <= about.hi.u); i++ {
			add(&tiles[i])
		}
	}
	for i, path := range p.areas {
		give(path, func(t *tile) { t.areas = append(t.areas, i) })
	}
	for i := range f.Each(len(p.lines), "lines dealt to sheets") {
		give(p.lines[i], func(t *tile) { t.lines = append(t.lines, i) })
	}
	for i := range f.Each(len(p.marks), "marks dealt to sheets") {
		give(p.marks[i:i+1], func(t *tile) { t.marks = append(t.marks, i) })
	}
	for i, list := range p.notes {
		for k := range list {
			give(list[k:k+1], func(t *tile) { t.places = append(t.places, notePlace{i, k}) })
		}
	}
	return tiles
}

// only is the scene with nothing but what may lie in a tile.
func (p *picture) only(t *tile) *Scene {
	sc := *p.Scene
	sc.Areas, sc.Lines, sc.Marks, sc.Notes = nil, nil, nil, nil
	for _, i := range t.areas {
		sc.Areas = append(sc.Areas, p.Areas[i])
	}
	for _, i := range t.lines {
		sc.Lines = append(sc.Lines, p.Lines[i])
	}
	for _, i := range t.marks {
		sc.Marks = append(sc.Marks, p.Marks[i])
	}
	last := -1
	for _, at := range t.places {
		n := p.Notes[at.note]
		if at.note != last {
			last, n.Places = at.note, nil
			sc.Notes = append(sc.Notes, n)
		}
		here := &sc.Notes[len(sc.Notes)-1]
		here.Places = append(here.Places, p.Notes[at.note].Places[at.place])
	}
	return &sc
}

// stretchUp is a part of a section: how far it goes, between what heights, and what of these is
// left out; how often it is higher drawn than it is, and to what scale.
type stretchUp struct {
	from, to     int64
	lo, hi       int64
	gap          gap
	times, scale int64
}

// gap is a range of heights in which nothing lies, drawn less high than it is.
type gap struct{ lo, hi, keep int64 }

// at is the height on the drawing of a true one.
func (g gap) at(z int64) int64 {
	switch {
	case z <= g.lo || g.hi == g.lo:
		return z
	case z >= g.hi:
		return z - (g.hi - g.lo) + g.keep
	}
	return g.lo + int64(float64(z-g.lo)/float64(g.hi-g.lo)*float64(g.keep))
}

// high is how high the part is drawn, before it is exaggerated.
func (p *stretchUp) high() int64 { return p.gap.at(p.hi) - p.gap.at(p.lo) }

// part finds between what heights the part from one station to another lies. Where more than
// half of it is empty, most of that is left out.
func (f *profile) part(s *sheet, all *picture, t *tile, c [2]int, i, of int) *stretchUp {
	p := &stretchUp{from: all.all.lo.u, to: all.all.hi.u}
	if i > 0 {
		p.from = int64(f.Stations[c[0]])
	}
	if i < of-1 {
		p.to = int64(f.Stations[c[1]])
	}
	heights := all.taken(t, p)
	if len(heights) == 0 {
		heights = [][2]int64{{all.all.lo.v, all.all.hi.v}}
	}
	slices.SortFunc(heights, func(a, b [2]int64) int { return cmp.Compare(a[0], b[0]) })
	top := heights[0][1]
	p.lo = heights[0][0]
	for _, h := range heights {
		if h[0]-top > p.gap.hi-p.gap.lo {
			p.gap.lo, p.gap.hi = top, h[0]
		}
		top = max(top, h[1])
	}
	p.hi = top
	if empty := p.gap.hi - p.gap.lo; empty*2 > p.hi-p.lo {
		p.gap.keep = max((p.hi-p.lo-empty)/3, 1)
	} else {
		p.gap = gap{}
	}
	f.cutOut(s, p)
	return p
}

// taken lists the heights between which anything lies in a part.
func (p *picture) taken(t *tile, part *stretchUp) (list [][2]int64) {
	lo, hi := flat{part.from, math.MinInt64 / 4}, flat{part.to, math.MaxInt64 / 4}
	add := func(path []flat) {
		for k := range len(path) - 1 {
			if a, b, ok := clip(path[k], path[k+1], lo, hi); ok {
				list = append(list, [2]int64{min(a.v, b.v), max(a.v, b.v)})
			}
		}
	}
	for _, i := range t.areas {
		add(p.areas[i])
	}
	for _, i := range t.lines {
		add(p.lines[i])
	}
	var places []flat
	for _, i := range t.marks {
		places = append(places, p.marks[i])
	}
	for _, n := range t.places {
		places = append(places, p.notes[n.note][n.place])
	}
	for _, at := range places {
		if at.u >= part.from && at.u <= part.to {
			list = append(list, [2]int64{at.v, at.v})
		}
	}
	return list
}

// cutOut settles how steep and to what scale a part is drawn, and what of its heights is left out:
// nothing if it is nearly as steep without, else no more than it takes.
func (f *profile) cutOut(s *sheet, p *stretchUp) {
	whole := *p
	whole.gap = gap{}
	f.steepest(s, p)
	if f.steepest(s, &whole); whole.times*3 >= p.times*2 {
		*p = whole
		return
	}
	g := &p.gap
	free := drawn(s.high(), p.scale)/p.times - p.high()
	if g.keep = min(g.keep+max(free, 0), g.hi-g.lo); g.keep == g.hi-g.lo {
		*g = gap{}
	}
}

// high is how much of the drawing area a profile fills.
func (s *sheet) high() int { return s.area.y1 - s.area.y0 - 6000 }

// steepest finds how steep and to what scale a part can be drawn.
func (f *profile) steepest(s *sheet, p *stretchUp) {
	all := picture{o: f.o, all: extent{flat{p.from, 0}, flat{p.to, 0}, true}}
	p.scale = all.fit(s, 3000).scale
	p.times = int64(f.o.Exaggerate)
	if p.times < 1 {
		p.times = 12
	}
	for p.times > 1 && paper(p.high()*p.times, p.scale) > s.high() {
		p.times--
	}
	if p.times == 1 {
		all.all = extent{flat{p.from, p.gap.at(p.lo)}, flat{p.to, p.gap.at(p.hi)}, true}
		p.scale = all.fit(s, 3000).scale
	}
}

// draw draws the part from one station to another, of which a scene has all that lies there.
func (f *profile) draw(s *sheet, sc *Scene, c [2]int, table box, part *stretchUp) {
	times, scale := part.times, part.scale
	p := flatten(f.Work, sc, f.o, steeper(times, part.gap), false)
	p.again = true
	whole := extent{flat{part.from, part.gap.at(part.lo) * times}, flat{part.to, part.gap.at(part.hi) * times}, true}
	w := p.window(s, scale, whole)
	if part.gap.keep > 0 {
		s.tear(w.spot(flat{0, (part.gap.lo + part.gap.keep/2) * times}).y)
	}
	p.draw(s, w, p.everything(whole))
	s.scale = fmt.Sprintf("Along: %s. Vertical exaggeration %d:1", scaleName(scale, f.o.Metric), times)
	s.heights(&w, times, part.gap, f.o.Metric)
	f.table(s, &w, c, table)
}

// tear draws the line across the drawing at which heights are left out.
func (s *sheet) tear(y int) {
	const wave, half = 2400, 150
	a := s.area
	at := []spot{{a.x0, y}}
	for x := a.x0 + wave; x < a.x1-wave; x += 4 * wave {
		at = append(at, spot{x, y}, spot{x + wave/8, y - half}, spot{x + wave/4, y + half}, spot{x + wave*3/8, y})
	}
	at = append(at, spot{a.x1, y})
	for k := range len(at) - 1 {
		s.room.addLine(stroke, at[k], at[k+1], nobody)
	}
	g := &s.groups[frame]
	g.lines = path(g.lines, "h", false, at...)
}

// steeper looks at a section from the side.
func steeper(times int64, left gap) func(Point) flat {
	return func(p Point) flat { return flat{int64(p.X), left.at(int64(p.Z)) * times} }
}

// heights writes elevations along the left edge.
func (s *sheet) heights(w *window, times int64, left gap, metric bool) {
	a := s.area
	s.hair(spot{a.x0, a.y0}, spot{a.x0, a.y1})
	s.hair(spot{a.x0, a.y1}, spot{a.x1, a.y1})
	step, name := heightStep(w.scale, times, metric)
	size := int64(step)
	bottom := w.top - drawn(a.y1-a.y0, w.scale)
	top := w.top/times + left.hi - left.lo
	var ends [2]string // of the heights that are left out
	for n := bottom/times/size - 1; n*size < top; n++ {
		z := n * size
		t := name(n)
		if left.keep > 0 && z > left.lo && z < left.hi {
			if ends[1] = t; ends[0] == "" {
				ends[0] = t
			}
			continue
		}
		if y := a.y0 + paper(w.top-left.at(z)*times, w.scale); y-ascent > a.y0 && y < a.y1 {
			s.hair(spot{a.x0 - 250, y}, spot{a.x0, y})
			s.say(spot{a.x0 - 350 - width(t, small, false), y + 200}, t, small, false, rowHead)
		}
	}
	if left.keep > 0 {
		y := a.y0 + paper(w.top-(left.lo+left.keep/2)*times, w.scale)
		what := "left out"
		if ends[0] != "" {
			what = ends[0] + " to " + ends[1] + " left out"
		}
		s.say(spot{a.x0 - 350 - width(what, small, false), y + 200}, what, small, false, rowHead)
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
	top := b.y0 + fan
	n := c[1] - c[0] + 1
	from := make([]int, n)
	for i := range n {
		from[i] = w.spot(flat{int64(f.Stations[c[0]+i]), 0}).x
	}
	at := spread(from, f.cell, b.x0+rowHead+f.cell/2, b.x1-f.cell/2)
	for i := range n {
		s.hair(spot{from[i], b.y0}, spot{from[i], b.y0 + 300}, spot{at[i], top - 300}, spot{at[i], top})
	}
	for k, r := range f.Rows {
		y := top + k*tableRow
		s.hair(spot{b.x0 + 300, y}, spot{b.x1, y})
		s.say(spot{b.x0 + 500, y + 680}, r.Name, small, true, rowHead-600)
		for i := range n {
			if len(r.Cells) > 0 {
				t := fit(clean(r.Cells[c[0]+i]), small, false, f.cell-300)
				s.say(spot{at[i] - width(t, small, false)/2, y + 680}, t, small, false, f.cell)
			}
		}
	}
	y := top + len(f.Rows)*tableRow
	s.hair(spot{b.x0 + 300, y}, spot{b.x1, y})
	for i := range n {
		s.hair(spot{at[i] + f.cell/2, top}, spot{at[i] + f.cell/2, y})
		if i == 0 || at[i]-at[i-1] > f.cell {
			s.hair(spot{at[i] - f.cell/2, top}, spot{at[i] - f.cell/2, y})
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
