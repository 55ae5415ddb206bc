package draw

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/trapweir/trapweir/internal/patience"
)

// Plan draws a scene from above, X to the right and Y ahead, with figures of the grid on
// two edges. It returns one sheet, or more where the labels need a larger scale: then
// the first is a key sheet that shows which part stands where. Lists follow if notes or
// labels find no room. The error wraps [ErrInput].
func Plan(sc *Scene, o Options) ([]Sheet, error) { return PlanContext(context.Background(), sc, o) }

// PlanContext is [Plan] that stops once the context is done, with its error and how far it was.
func PlanContext(ctx context.Context, sc *Scene, o Options) ([]Sheet, error) {
	return show(newWork(ctx), sc, o, onPlan, true)
}

// Isometric draws a scene with X up to the right and Y up to the left, both at 30
// degrees, and Z up, to one scale; where upright pipes would lie over one another Y runs up at another
// angle. Sheets are as those of [Plan].
func Isometric(sc *Scene, o Options) ([]Sheet, error) {
	return IsometricContext(context.Background(), sc, o)
}

// IsometricContext is [Isometric] that stops once the context is done, with its error and how far it was.
func IsometricContext(ctx context.Context, sc *Scene, o Options) ([]Sheet, error) {
	w := newWork(ctx)
	return show(w, sc, o, aslant(sc.slant(w)), false)
}

// newWork is a drawing in the making.
func newWork(ctx context.Context) *patience.Work { return patience.NewWork(ctx, "draw") }

// picture is a scene before it is scaled.
type picture struct {
	*Scene
	*patience.Work
	o      *Options
	axes   bool
	areas  [][]flat
	lines  [][]flat
	marks  []flat
	toward []flat
	notes  [][]flat
	all    extent
	used   used
	again  bool  // a line is named on each part that it runs through, not in its middle alone
	text   int64 // room that all labels take, in square points
	labels int
}

func show(work *patience.Work, sc *Scene, o Options, look func(Point) flat, axes bool) ([]Sheet, error) {
	if err := sc.check(); err != nil {
		return nil, err
	}
	try, err := o.choose()
	if err != nil {
		return nil, err
	}
	p := flatten(work, sc, &o, look, axes && !sc.Schematic)
	one, missing := p.single(try)
	if one == nil || missing*10 > p.labels {
		if sheets := p.parts(try[len(try)-1], missing); sheets != nil {
			return sheets, nil
		}
	}
	if p.Err() != nil {
		return nil, p.Err()
	}
	return finish([]*sheet{one}, []string{"1"}, &o, &p.used, sc), nil
}

// single draws the scene on one sheet, the first of the papers that holds all labels, or
// the last, and returns how many labels that leaves out or places poorly; none if there are more
// labels than a sheet holds.
func (p *picture) single(try []Paper) (s *sheet, missing int) {
	const many = 600
	if p.labels > many {
		return nil, p.labels
	}
	for i, paper := range try {
		if !p.Goes(i, len(try), "papers tried") {
			break
		}
		s = p.whole(paper)
		if missing = len(s.missing) + s.poor; missing == 0 {
			break
		}
	}
	return s, missing
}

func flatten(work *patience.Work, sc *Scene, o *Options, look func(Point) flat, axes bool) *picture {
	p := &picture{
		Work:   work,
		Scene:  sc,
		o:      o,
		axes:   axes,
		lines:  make([][]flat, len(sc.Lines)),
		marks:  make([]flat, len(sc.Marks)),
		toward: make([]flat, len(sc.Marks)),
		notes:  make([][]flat, len(sc.Notes)),
	}
	seen := func(path []Point) []flat {
		at := make([]flat, len(path))
		for k, q := range path {
			at[k] = look(q)
			p.all.take(at[k])
		}
		return at
	}
	for i := range sc.Areas {
		p.areas = append(p.areas, seen(sc.Areas[i].Path))
	}
	for i := range sc.Lines {
		if !p.GoesBetween(i, len(sc.Lines), "lines looked at") {
			break
		}
		l := &sc.Lines[i]
		p.lines[i] = seen(l.Path)
		p.used.styles[l.Style][max(0, min(l.Set, 2))] = true
		p.weigh(l.Label)
	}
	for i := range sc.Marks {
		if !p.GoesBetween(i, len(sc.Marks), "marks looked at") {
			break
		}
		m := &sc.Marks[i]
		p.marks[i] = look(m.At)
		p.all.take(p.marks[i])
		if m.Toward != nil {
			p.toward[i] = look(*m.Toward)
		}
		p.used.shapes[m.Shape] = true
		p.weigh(m.Label)
	}
	for i := range sc.Notes {
		for _, at := range sc.Notes[i].Places {
			f := look(at.At)
			p.all.take(f)
			p.notes[i] = append(p.notes[i], f)
		}
	}
	return p
}

// weigh counts a label and the room it takes.
func (p *picture) weigh(lines []string) {
	if len(lines) == 0 {
		return
	}
	p.labels++
	p.text += textRoom(lines)
}

func textRoom(lines []string) int64 {
	n := 0
	for _, l := range lines {
		n = max(n, len(l))
	}
	return int64(min(n*3, widest/100)+6) * int64(7*len(lines)+4)
}

// whole draws all of the scene on one sheet, to the largest scale that leaves room
// about it for labels.
func (p *picture) whole(paper Paper) *sheet {
	s := newSheet(paper, p.o, p.axes)
	w := p.fit(s, 5000)
	p.draw(s, w, p.everything(p.all))
	return s
}

// fit returns the window that shows everything, in the middle of the area.
func (p *picture) fit(s *sheet, about int) window {
	list := scales(p.o.Metric)
	a := s.area
	wide, high := a.x1-a.x0, a.y1-a.y0
	scale := list[len(list)-1]
	for _, k := range list {
		if paper(p.all.hi.u-p.all.lo.u, k) <= wide-about && paper(p.all.hi.v-p.all.lo.v, k) <= high-about {
			scale = k
			break
		}
	}
	return p.window(s, scale, p.all)
}

// window shows an extent in the middle of the area.
func (p *picture) window(s *sheet, scale int64, e extent) window {
	a := s.area
	return window{scale: scale, at: spot{a.x0, a.y0},
		left: (e.lo.u+e.hi.u)/2 - drawn((a.x1-a.x0)/2, scale), top: (e.lo.v+e.hi.v)/2 + drawn((a.y1-a.y0)/2, scale)}
}

// tile is the part of a scene that one sheet shows, with what of the scene may lie in it, by
// index and in its order.
type tile struct {
	extent
	areas, lines, marks []int
	places              []notePlace
}

// notePlace is a place of a note, both by index.
type notePlace struct{ note, place int }

// everything is a tile of all that there is.
func (p *picture) everything(e extent) tile {
	t := tile{extent: e}
	for i := range p.areas {
		t.areas = append(t.areas, i)
	}
	for i := range p.lines {
		t.lines = append(t.lines, i)
	}
	for i := range p.marks {
		t.marks = append(t.marks, i)
	}
	for i, list := range p.notes {
		for k := range list {
			t.places = append(t.places, notePlace{i, k})
		}
	}
	return t
}

// orient tells a sheet which way its picture looks, and writes its axes along the edges.
func (p *picture) orient(s *sheet, w *window) {
	if s.ahead, s.north, s.beam = p.axes, p.North, p.Beam; p.axes {
		s.edges(w, p.o.Metric)
	}
}

// draw draws what lies in a tile. Labels stand where their place lies.
func (p *picture) draw(s *sheet, w window, t tile) {
	s.scale, s.bar = "not to scale", nil
	if !p.Schematic {
		s.scale, s.bar = scaleName(w.scale, p.o.Metric), barOf(w.scale, p.o.Metric)
	}
	p.orient(s, &w)
	for _, i := range t.areas {
		if at := clipArea(p.areas[i], t.extent); len(at) > 2 {
			g := s.group(p.Areas[i].ID, clean(p.Areas[i].Tip))
			on := make([]spot, len(at))
			for k, f := range at {
				on[k] = w.spot(f)
			}
			s.groups[g].lines = path(s.groups[g].lines, "s", true, on...)
		}
	}
	var tags []label
	for _, measured := range [...]bool{false, true} { // dimensions keep off what lies there
		for k, i := range t.lines {
			if !p.GoesBetween(k, len(t.lines), "lines of a sheet") {
				return
			}
			if (p.Lines[i].Style == Dimension) != measured {
				continue
			}
			if l, ok := p.line(s, &w, i, t.extent); ok {
				tags = append(tags, l)
			}
		}
	}
	var flags []label
	for k, i := range t.marks {
		if !p.GoesBetween(k, len(t.marks), "marks of a sheet") {
			return
		}
		if l, ok := p.mark(s, &w, i, t.extent); ok {
			flags = append(flags, l)
		}
	}
	p.rings(s, &w, &t)
	for k, l := range stacked(flags) {
		if !p.goesLabel(k, len(flags), "flags of a sheet") {
			return
		}
		if len(l.with) == 0 || !s.near(&l, aside, false) && !s.lead(&l, false) {
			p.placeOrList(s, l.apart(), "flags of a place")
		}
	}
	p.placeOrList(s, tags, "labels of lines of a sheet")
	if p.axes {
		s.crosses(&w, p.o.Metric)
	}
}

// goesLabel reports whether the work goes on, as labels are placed, each of which takes longer than most else.
func (p *picture) goesLabel(done, of int, what string) bool {
	const between = 50
	return done%between != 0 && p.Err() == nil || p.Goes(done, of, what)
}

// placeOrList places labels, and lists those that find no room.
func (p *picture) placeOrList(s *sheet, list []label, what string) {
	for k, l := range list {
		if !p.goesLabel(k, len(list), what) {
			return
		}
		if !s.place(l) {
			s.missing = append(s.missing, s.listed(&l))
		}
	}
}

// listed is what the list says of a label that found no room.
func (s *sheet) listed(l *label) string {
	id, lines := clean(s.groups[l.group].id), l.lines
	if len(lines) > 0 && lines[0] == id {
		lines = lines[1:]
	}
	return join(id, strings.Join(lines, "  "))
}

func (e *extent) holds(f flat) bool {
	return f.u >= e.lo.u && f.u <= e.hi.u && f.v >= e.lo.v && f.v <= e.hi.v
}

// near reports whether the way from a to b may enter the extent.
func (e *extent) near(a, b flat) bool {
	return max(a.u, b.u) >= e.lo.u && min(a.u, b.u) <= e.hi.u && max(a.v, b.v) >= e.lo.v && min(a.v, b.v) <= e.hi.v
}

// line draws the part of a line that lies in the extent, and returns its label if that
// belongs there.
func (p *picture) line(s *sheet, w *window, i int, e extent) (label, bool) {
	at, l := p.lines[i], &p.Lines[i]
	g := -1
	longest, tag := -1, label{reach: 120}
	var tip [2]spot
	for k := range len(at) - 1 {
		a, b, ok := at[k], at[k+1], false
		if e.near(a, b) {
			a, b, ok = clip(a, b, e.lo, e.hi)
		}
		if !ok {
			continue
		}
		if g < 0 {
			g = s.group(l.ID, clean(l.Tip))
			tag.group = g
		}
		from, to := w.spot(a), w.spot(b)
		if l.Style == Dimension {
			from, to = s.besides(g, from, to)
		}
		s.groups[g].lines = path(s.groups[g].lines, class(l.Style, max(0, l.Set)), false, from, to)
		s.room.addLine(stroke, from, to, g)
		if l.Style == Dimension {
			s.slash(g, from)
			s.slash(g, to)
		}
		if n := max(abs(to.x-from.x), abs(to.y-from.y)); n > longest {
			longest, tip = n, [2]spot{from, to}
		}
	}
	if g < 0 {
		return tag, false
	}
	if l.Arrow && longest > 1000 {
		s.flow(g, tip[0], tip[1])
	}
	const plain = 6000 // long enough for its name to stand there once more
	if !e.holds(middle(at)) && (!p.again || longest < plain) {
		return tag, false
	}
	if tag.lines = shown(l.Label); len(tag.lines) == 0 {
		return tag, false
	}
	tag.at, tag.first = spotsAlong(tip[0], tip[1])
	return tag, true
}

// besides returns where a dimension between two places is drawn: from one to the other, or, where a
// line lies on that way, beside it between two witness lines.
func (s *sheet) besides(group int, from, to spot) (spot, spot) {
	const gap = 600 // past the symbol of a stub
	dx, dy := float64(to.x-from.x), float64(to.y-from.y)
	long := math.Hypot(dx, dy)
	if long == 0 || !s.room.along(from, to, group) {
		return from, to
	}
	for _, k := range [...]float64{1, -1, 2, -2, 3, -3, 4, -4} {
		off := spot{int(math.Round(-dy / long * k * gap)), int(math.Round(dx / long * k * gap))}
		a, b := spot{from.x + off.x, from.y + off.y}, spot{to.x + off.x, to.y + off.y}
		if !s.room.area.holds(about(a, b)) || s.room.along(a, b, group) {
			continue
		}
		for _, end := range [...][2]spot{{from, a}, {to, b}} {
			s.groups[group].lines = path(s.groups[group].lines, "h", false, end[0], end[1])
			s.room.addLine(stroke, end[0], end[1], group)
		}
		return a, b
	}
	return from, to
}

// slash ends a dimension.
func (s *sheet) slash(group int, at spot) {
	const half = 180
	g := &s.groups[group]
	g.lines = path(g.lines, "", false, spot{at.x - half, at.y + half}, spot{at.x + half, at.y - half})
	s.room.add(symbol, around(at, half), group)
}

// middle is where the label of a line belongs: half way along its longest part.
func middle(at []flat) flat {
	var best flat
	longest := int64(-1)
	for k := range len(at) - 1 {
		a, b := at[k], at[k+1]
		if n := max(abs(b.u-a.u), abs(b.v-a.v)); n > longest {
			longest, best = n, flat{a.u + (b.u-a.u)/2, a.v + (b.v-a.v)/2}
		}
	}
	return best
}

func abs[T int | int64](x T) T { return max(x, -x) }

// spotsAlong are the places where the label of a way may stand, and the side to try first.
func spotsAlong(a, b spot) ([]spot, int) {
	var at []spot
	for _, sixth := range [...]int{3, 2, 4, 1, 5} {
		at = append(at, spot{a.x + (b.x-a.x)*sixth/6, a.y + (b.y-a.y)*sixth/6})
	}
	dx, dy := b.x-a.x, b.y-a.y
	switch {
	case abs(dy)*4 < abs(dx):
		return at, 6
	case abs(dx)*4 < abs(dy):
		return at, 0
	case (dx < 0) == (dy < 0): // down to the right
		return at, 2
	}
	return at, 3
}

// flow draws an arrow at two thirds of a way, clear of the middle where labels stand.
func (s *sheet) flow(group int, a, b spot) {
	dx, dy := unit(b.x-a.x, b.y-a.y)
	tip := spot{a.x + (b.x-a.x)*2/3, a.y + (b.y-a.y)*2/3}
	g := &s.groups[group]
	g.lines = s.arrow(g.lines, group, tip, dx, dy)
}

func (p *picture) mark(s *sheet, w *window, i int, e extent) (label, bool) {
	if !e.holds(p.marks[i]) {
		return label{}, false
	}
	m := &p.Marks[i]
	g := s.group(m.ID, clean(m.Tip))
	at := w.spot(p.marks[i])
	var toward *spot
	if m.Toward != nil {
		t := w.spot(p.toward[i])
		toward = &t
	}
	s.drawMark(g, m.Shape, at, toward)
	if len(m.Label) == 0 {
		return label{}, false
	}
	return label{group: g, lines: shown(m.Label), bold: true, at: []spot{at}, reach: forms[m.Shape].reach}, true
}

// shown makes the lines of a label fit to print.
func shown(lines []string) []string {
	var out []string
	for i, l := range lines {
		if l = fit(clean(l), small, i == 0, widest); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// rings sets the rings of the notes, those of one place in one block, each key once.
func (p *picture) rings(s *sheet, w *window, t *tile) {
	type ringed struct {
		at  flat
		key string
	}
	blocks := map[flat]int{}
	seen := map[ringed]int{}
	var list []label
	last := -1
	for _, here := range t.places {
		n, at := &p.Notes[here.note], p.notes[here.note][here.place]
		if !t.holds(at) {
			continue
		}
		if here.note != last {
			last, s.notes = here.note, append(s.notes, *n)
		}
		b, ok := blocks[at]
		if !ok {
			b = len(list)
			blocks[at] = b
			list = append(list, label{group: s.group("", ""), at: []spot{w.spot(at)}, reach: 350, first: 4})
		}
		l, group := &list[b], s.group(n.Places[here.place].ID, clean(n.Key+": "+n.Text))
		if j, ok := seen[ringed{at, n.Key}]; ok {
			l.ids[j] = append(l.ids[j], group)
			continue
		}
		seen[ringed{at, n.Key}] = len(l.rings)
		l.rings, l.ids = append(l.rings, *n), append(l.ids, []int{group})
	}
	for k, l := range list {
		if !p.goesLabel(k, len(list), "rings of a sheet") {
			return
		}
		if !s.place(l) {
			p.noRoom(s, l)
		}
	}
}

// noRoom draws rings about their place without their keys, and lists them.
func (p *picture) noRoom(s *sheet, l label) {
	for k, n := range l.rings {
		for _, id := range l.ids[k] {
			g := &s.groups[id]
			s.missing = append(s.missing, "ring "+clean(n.Key)+" at "+clean(g.id))
			g.marks = circle(g.marks, "", l.at[0], ringLeast/2)
		}
	}
}

// edges writes the figures of the grid along the left and the lower edge.
func (s *sheet) edges(w *window, metric bool) {
	step, name := steps(w.scale, metric, 3000)
	a := s.area
	s.rectangle(a, "h")
	lo, hi := w.left, w.left+drawn(a.x1-a.x0, w.scale)
	for n := (lo + int64(step) - 1) / int64(step); n*int64(step) < hi; n++ {
		x := a.x0 + paper(n*int64(step)-w.left, w.scale)
		s.hair(spot{x, a.y1}, spot{x, a.y1 + 250})
		if t := name(n); x+width(t, small, false)/2 < a.x1 {
			s.say(spot{x - width(t, small, false)/2, a.y1 + 900}, t, small, false, edge)
		}
	}
	bottom := w.top - drawn(a.y1-a.y0, w.scale)
	for n := (bottom + int64(step) - 1) / int64(step); n*int64(step) < w.top; n++ {
		y := a.y0 + paper(w.top-n*int64(step), w.scale)
		s.hair(spot{a.x0 - 250, y}, spot{a.x0, y})
		if t := name(n); y-ascent > a.y0 {
			s.say(spot{a.x0 - 350 - width(t, small, false), y + 200}, t, small, false, edge)
		}
	}
}

// crosses marks the crossings of the grid where nothing else stands.
func (s *sheet) crosses(w *window, metric bool) {
	step, _ := steps(w.scale, metric, 3000)
	a := s.area
	st := int64(step)
	bottom := w.top - drawn(a.y1-a.y0, w.scale)
	for i := w.left/st + 1; i*st < w.left+drawn(a.x1-a.x0, w.scale); i++ {
		for k := bottom/st + 1; k*st < w.top; k++ {
			at := w.spot(flat{i * st, k * st})
			if s.room.free(around(at, 300), frame, 0, false) {
				s.hair(spot{at.x - 200, at.y}, spot{at.x + 200, at.y})
				s.hair(spot{at.x, at.y - 200}, spot{at.x, at.y + 200})
			}
		}
	}
}

// parts draws the scene over several sheets, after a key sheet: to a larger scale as long
// as many labels find no room, the sheets are few and each step halves what is left. It returns nil if
// one sheet, which leaves out so many, is as good.
func (p *picture) parts(paper Paper, missing int) []Sheet {
	const few = 24
	list := scales(p.o.Metric)
	scale, m := p.mesh(newSheet(paper, p.o, p.axes))
	if p.Err() != nil {
		return nil
	}
	var best []*sheet
	var shown []extent
	for i := slices.Index(list, scale); i >= 0; i-- {
		sheets, left := p.drawParts(paper, list[i], m)
		if p.Err() != nil {
			return nil
		}
		if left*2 <= missing || missing == p.labels && best == nil {
			best, shown, missing = sheets, m.extents(), left
		}
		if left*20 <= p.labels || i == 0 {
			break
		}
		if m, _ = p.split(sheets[0], list[i-1]); len(m.parts) > few {
			break
		}
	}
	if best == nil || p.Err() != nil {
		return nil
	}
	names := []string{"key"}
	for k := range shown {
		names = append(names, strconv.Itoa(k+1))
	}
	p.keySheet(best[0], shown)
	return finish(best, names, p.o, &p.used, p.Scene)
}

// drawParts draws each part on a sheet, after a blank one for the key, and counts the labels
// that found no room, or a poor one. No sheet asks anything of another, so they are drawn at once.
func (p *picture) drawParts(paper Paper, scale int64, m mesh) (sheets []*sheet, missing int) {
	tiles := p.deal(&m)
	sheets = make([]*sheet, 1+len(tiles))
	sheets[0] = newSheet(paper, p.o, p.axes)
	var wg sync.WaitGroup
	var drawn atomic.Int32
	for i, t := range tiles {
		wg.Go(func() {
			if !p.Goes(int(drawn.Load()), len(tiles), "sheets of 1:"+strconv.FormatInt(scale, 10)) {
				return
			}
			s := newSheet(paper, p.o, p.axes)
			s.room.looks = mostLooks / len(tiles)
			p.draw(s, p.window(s, scale, t.extent), t)
			sheets[i+1] = s
			drawn.Add(1)
		})
	}
	wg.Wait()
	if p.Err() != nil {
		return nil, 0
	}
	for _, s := range sheets {
		missing += len(s.missing) + s.poor
	}
	return sheets, missing
}

// mesh returns the scale and the parts that sheets show: the smallest scale at which
// no sheet is more than a quarter full of labels, beginning with that of one sheet, and the
// parts that hold anything.
func (p *picture) mesh(s *sheet) (int64, mesh) {
	const most = 160
	list := scales(p.o.Metric)
	scale := p.fit(s, 5000).scale // all on one sheet
	var m mesh
	for i := slices.Index(list, scale); i >= 0; i-- {
		finer, full := p.split(s, list[i])
		if m.parts != nil && len(finer.parts) > most {
			break
		}
		scale, m = list[i], finer
		if full <= 25 {
			break
		}
	}
	return scale, m
}

// part is where a sheet stands among the others.
type part struct{ row, column int64 }

// mesh cuts a scene into equal parts. Those that hold anything stand in parts, by row and column.
type mesh struct {
	all        extent
	wide, high int64
	parts      []part
}

// at is the part that a place lies in.
func (m *mesh) at(f flat) part { return part{(m.all.hi.v - f.v) / m.high, (f.u - m.all.lo.u) / m.wide} }

func (m *mesh) extents() []extent {
	list := make([]extent, len(m.parts))
	for i, q := range m.parts {
		left, top := m.all.lo.u+q.column*m.wide, m.all.hi.v-q.row*m.high
		list[i] = extent{flat{left, top - m.high + 1}, flat{left + m.wide - 1, top}, true}
	}
	return list
}

// deal gives each part of the scene, as a tile, what may lie in it.
func (p *picture) deal(m *mesh) []tile {
	tiles, index := make([]tile, len(m.parts)), make(map[part]int, len(m.parts))
	for i, e := range m.extents() {
		tiles[i].extent, index[m.parts[i]] = e, i
	}
	give := func(path []flat, add func(*tile)) {
		about := extentOf(path)
		first, last := m.at(flat{about.lo.u, about.hi.v}), m.at(flat{about.hi.u, about.lo.v})
		if (last.row-first.row+1)*(last.column-first.column+1) > int64(len(tiles)) { // most of them empty
			for k := range tiles {
				if t := &tiles[k]; t.near(about.lo, about.hi) {
					add(t)
				}
			}
			return
		}
		for row := first.row; row <= last.row; row++ {
			for column := first.column; column <= last.column; column++ {
				if k, ok := index[part{row, column}]; ok {
					add(&tiles[k])
				}
			}
		}
	}
	for i, path := range p.areas {
		give(path, func(t *tile) { t.areas = append(t.areas, i) })
	}
	for i, path := range p.lines {
		give(path, func(t *tile) { t.lines = append(t.lines, i) })
	}
	for i, f := range p.marks {
		t := &tiles[index[m.at(f)]]
		t.marks = append(t.marks, i)
	}
	for i, list := range p.notes {
		for k, f := range list {
			t := &tiles[index[m.at(f)]]
			t.places = append(t.places, notePlace{i, k})
		}
	}
	return tiles
}

// split cuts the scene into parts of a sheet each, and returns how full of labels the
// fullest is, in percent.
func (p *picture) split(s *sheet, scale int64) (mesh, int64) {
	const about = 3500 // left free about a part for labels
	m := mesh{all: p.all,
		wide: evenly(p.all.hi.u-p.all.lo.u, drawn(s.area.x1-s.area.x0-2*about, scale)),
		high: evenly(p.all.hi.v-p.all.lo.v, drawn(s.area.y1-s.area.y0-2*about, scale))}
	full := p.fill(&m)
	m.parts = slices.SortedFunc(maps.Keys(full), func(a, b part) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.column, b.column))
	})
	most := int64(0)
	for _, n := range full {
		most = max(most, n)
	}
	room := int64(s.area.x1-s.area.x0) / 100 * int64(s.area.y1-s.area.y0) / 100
	return m, most * 100 / room
}

// evenly is the size of equal parts of a whole, none larger than most.
func evenly(whole, most int64) int64 { return whole/((whole+most)/most) + 1 }

// fill returns the parts that hold anything, each with the room that its labels take.
func (p *picture) fill(m *mesh) map[part]int64 {
	const most = 1000 // parts that one line may touch
	full := map[part]int64{}
	for i, line := range p.lines {
		if !p.GoesBetween(i, len(p.lines), "lines dealt to sheets") {
			break
		}
		full[m.at(middle(line))] += textRoom(p.Lines[i].Label)
		for k := range len(line) - 1 {
			a, b := line[k], line[k+1]
			n := min(2*max(abs(b.u-a.u)/m.wide, abs(b.v-a.v)/m.high)+1, most)
			for j := range n + 1 {
				full[m.at(flat{a.u + (b.u-a.u)/n*j, a.v + (b.v-a.v)/n*j})] += 0
			}
		}
	}
	for i, f := range p.marks {
		full[m.at(f)] += textRoom(p.Marks[i].Label)
	}
	for _, list := range p.notes {
		for _, f := range list {
			full[m.at(f)] += 100
		}
	}
	return full
}

// keySheet shows all pipe without words, and which part of it stands on which sheet.
func (p *picture) keySheet(s *sheet, tiles []extent) {
	e := p.all
	for _, t := range tiles {
		e.take(t.lo)
		e.take(t.hi)
	}
	whole := *p
	whole.all = e
	w := whole.fit(s, 1000)
	s.scale, s.bar = scaleName(w.scale, p.o.Metric)+", key to the sheets", barOf(w.scale, p.o.Metric)
	p.orient(s, &w)
	for _, at := range p.lines {
		for k := range len(at) - 1 {
			s.room.addLine(stroke, w.spot(at[k]), w.spot(at[k+1]), nobody)
		}
	}
	var over []box
	for i, t := range tiles {
		a, b := w.spot(flat{t.lo.u, t.hi.v}), w.spot(flat{t.hi.u, t.lo.v})
		part := box{a.x, a.y, b.x, b.y}
		s.rectangle(part, "h")
		if b, ok := s.number(strconv.Itoa(i+1), part); !ok {
			over = append(over, b)
		}
	}
	g := &s.groups[frame]
	for i, at := range p.lines {
		for k := range len(at) - 1 {
			for _, piece := range outside(w.spot(at[k]), w.spot(at[k+1]), over) {
				g.lines = path(g.lines, class(p.Lines[i].Style, 2), false, piece[0], piece[1])
			}
		}
	}
}

// number writes the number of a sheet into its part of the key sheet, as near to the middle as
// no line runs. If there is no such place it stands in the middle; ok is then false, and no line is
// drawn in the box.
func (s *sheet) number(name string, part box) (b box, ok bool) {
	const steps = 8 // from the middle to an edge
	l := label{group: frame, lines: []string{name}, bold: true}
	wide, high := l.size()
	at := func(i, k int) box {
		x := (part.x0+part.x1)/2 + (part.x1-part.x0)/2*i/steps - wide/2
		y := (part.y0+part.y1)/2 + (part.y1-part.y0)/2*k/steps - high/2
		return box{x, y, x + wide, y + high}
	}
	for d := range steps {
		for i := -d; i <= d; i++ {
			for k := -d; k <= d; k++ {
				if b = at(i, k); max(abs(i), abs(k)) == d && part.grown(-100).holds(b) &&
					s.room.free(b.grown(100), frame, 0, false) {
					s.write(&l, b)
					return b, true
				}
			}
		}
	}
	if b = at(0, 0); !part.holds(b) {
		s.missing = append(s.missing, "sheet "+name)
		return box{}, true
	}
	s.write(&l, b)
	return b.grown(60), false
}

// outside are the pieces of the way from a to b that lie in none of the boxes.
func outside(a, b spot, over []box) [][2]spot {
	for i, o := range over {
		if !o.met(a, b) {
			continue
		}
		in, out, ok := clip(flat{int64(a.x), int64(a.y)}, flat{int64(b.x), int64(b.y)},
			flat{int64(o.x0), int64(o.y0)}, flat{int64(o.x1), int64(o.y1)})
		if !ok {
			continue
		}
		var pieces [][2]spot
		if p := (spot{int(in.u), int(in.v)}); p != a {
			pieces = append(pieces, outside(a, p, over[i+1:])...)
		}
		if p := (spot{int(out.u), int(out.v)}); p != b {
			pieces = append(pieces, outside(p, b, over[i+1:])...)
		}
		return pieces
	}
	return [][2]spot{{a, b}}
}
