package draw

import (
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/units"
)

// Paper is a size of sheet, always with its long side across.
type Paper uint8

// The papers.
const (
	Letter  Paper = iota + 1 // 11 by 8-1/2 in
	A4                       // 297 by 210 mm
	Tabloid                  // 17 by 11 in
	A3                       // 420 by 297 mm
)

var paperNames = enum.Words[Paper]{What: "paper", Err: ErrInput, Blank: true,
	Words: []string{"", "letter", "a4", "tabloid", "a3"}}

// String returns the name of the paper: "letter", "a4", "tabloid", "a3".
func (p Paper) String() string { return paperNames.String(p) }

// MarshalText returns the name of the paper.
func (p Paper) MarshalText() ([]byte, error) { return paperNames.Marshal(p) }

// UnmarshalText reads a paper by its name; blank is none named. The error wraps [ErrInput].
func (p *Paper) UnmarshalText(text []byte) error { return paperNames.Unmarshal(text, p) }

// called is the paper with its measures, as a sheet says on what it has its scale.
func (p Paper) called() string {
	return [...]string{"", `letter, 11" x 8 1/2"`, "A4, 297 x 210 mm", `tabloid, 17" x 11"`, "A3, 420 x 297 mm"}[p]
}

// figureSize is the size of a figure.
var figureSize = spot{50400, 32400}

var papers = map[Paper]spot{Letter: {79200, 61200}, A4: {84189, 59528}, Tabloid: {122400, 79200}, A3: {119055, 84189}}

// choose returns the papers to try, small first.
func (o *Options) choose() ([]Paper, error) {
	switch {
	case o.Paper > A3:
		return nil, fmt.Errorf("%w: no paper %d", ErrInput, o.Paper)
	case o.Paper != 0:
		return []Paper{o.Paper}, nil
	case o.Metric:
		return []Paper{A4, A3}, nil
	}
	return []Paper{Letter, Tabloid}, nil
}

// Measures of a sheet, in hundredths of a point.
const (
	margin     = 2400 // about the sheet, for printers that do not reach the edge
	blockHigh  = 6600 // title block
	edge       = 1800 // figures of the grid, beside the drawing area
	titleWide  = 17000
	scaleWide  = 15000
	signWide   = 12500
	rowHigh    = 1150
	keySample  = 2800
	noteIndent = 1300
)

// sheet is one sheet in the making.
type sheet struct {
	*canvas
	room    *room
	size    spot
	area    box      // where the drawing stands
	side    box      // the column beside it
	block   box      // the title block below both
	missing []string // labels that found no room
	notes   []Note   // whose rings stand on it
	poor    int      // labels across others, or on their own lines
	scale   string
	bar     func(s *sheet, b box)
	ahead   bool // an arrow shows which way Y grows
	north   *float64
	beam    *Heading
}

// newSheet lays out a sheet. With axes the area leaves room for figures on two edges.
func newSheet(p Paper, o *Options, axes bool) *sheet {
	s := &sheet{canvas: newCanvas(o.Prefix), size: papers[p]}
	wide := 19000
	if p == Tabloid || p == A3 {
		wide = 25000
	}
	high := blockHigh
	if o.Figure {
		s.size, wide, high = figureSize, 12500, 1400
	}
	in := box{margin, margin, s.size.x - margin, s.size.y - margin}
	s.block = box{in.x0, in.y1 - high, in.x1, in.y1}
	s.side = box{in.x1 - wide, in.y0, in.x1, s.block.y0}
	s.area = box{in.x0, in.y0, s.side.x0, s.block.y0}
	if axes {
		s.area.x0 += edge
		s.area.y1 -= edge * 2 / 3
	}
	s.room = newRoom(s.area.grown(-200)) // labels keep clear of the frame
	return s
}

// rectangle draws a box into the frame.
func (s *sheet) rectangle(b box, class string) {
	g := &s.groups[frame]
	g.marks = path(g.marks, class, true, b.corners()...)
}

// hair draws a hair line into the frame.
func (s *sheet) hair(at ...spot) {
	g := &s.groups[frame]
	g.marks = path(g.marks, "h", false, at...)
}

// say writes a text into the frame, shortened to the room it has.
func (s *sheet) say(at spot, t string, size int, bold bool, room int) {
	class := ""
	if bold {
		class = "b"
	}
	g := &s.groups[frame]
	g.marks = text(g.marks, at, fit(clean(t), size, bold, room), size, class)
}

// title draws border and title block.
func (s *sheet) title(o *Options, name string, number, of int) {
	if o.Figure {
		line := join(o.Title.Job, o.Title.Drawing) + "; " + s.scale + ". A calculation, not an approval."
		s.rectangle(box{s.block.x0, s.side.y0, s.block.x1, s.block.y0}, "h")
		s.say(spot{s.block.x0, s.block.y0 + 1000}, line, small, false, s.block.x1-s.block.x0)
		return
	}
	s.rectangle(box{margin, margin, s.size.x - margin, s.size.y - margin}, "")
	s.rectangle(s.side, "")
	s.rectangle(s.block, "")
	b := s.block
	const pad = 500
	y := b.y0 + 1250
	for _, line := range wrap(clean(o.Title.Job), large, (titleWide-2*pad)*14/15) { // bold is wider by a fourteenth
		if y > b.y0+2500 {
			break
		}
		s.say(spot{b.x0 + pad, y}, line, large, true, titleWide-2*pad)
		y += 1150
	}
	for _, line := range wrap(clean(o.Title.Drawing), medium+100, titleWide-2*pad) {
		if y+300 > b.y1 {
			break
		}
		s.say(spot{b.x0 + pad, y + 100}, line, medium+100, false, titleWide-2*pad)
		y += 1000
	}
	right := b.x1 - signWide
	s.sign(box{right, b.y0, b.x1, b.y1}, name, number, of)
	s.scaleCell(box{right - scaleWide, b.y0, right, b.y1})
	s.fields(o.Title.Fields, box{b.x0 + titleWide, b.y0, right - scaleWide, b.y1})
}

// fields writes the named entries of the title block, column after column, each on as
// many lines as it takes and there are.
func (s *sheet) fields(list []Field, b box) {
	s.rectangle(b, "")
	const rows, most = 7, 4
	columns := 2
	if b.x1-b.x0 > 50000 {
		columns = 3
	}
	wide := (b.x1 - b.x0) / columns
	row, column := 0, 0
	for _, f := range list {
		lines := wrap(clean(f.Name+": "+f.Value), small, wide-700)
		if len(lines) > most {
			lines = append(lines[:most-1], fit(lines[most-1]+" …", small, false, wide-700))
		}
		if row+len(lines) > rows {
			row, column = 0, column+1
		}
		for _, line := range lines {
			if column < columns {
				s.say(spot{b.x0 + wide*column + 400, b.y0 + 850 + row*860}, line, small, false, wide-600)
			}
			row++
		}
	}
}

// scaleCell states the scale, with a bar.
func (s *sheet) scaleCell(b box) {
	s.rectangle(b, "")
	lines := append(wrap(s.scale, small, scaleWide-800), "Paper: "+paperOf(s).called())
	for i, line := range lines {
		s.say(spot{b.x0 + 400, b.y0 + 900 + i*800}, line, small, false, scaleWide-800)
	}
	if s.bar != nil {
		s.bar(s, b)
	}
	if s.ahead {
		at := spot{b.x1 - 900, b.y1 - 2300}
		g := &s.groups[frame]
		tip := spot{at.x, at.y - 1500}
		g.marks = s.arrow(path(g.marks, "", false, at, tip), frame, tip, 0, -1)
		s.say(spot{at.x - 1000, at.y + 800}, "ahead", small, false, 2000)
	}
	if s.ahead && s.north != nil {
		s.heading(spot{b.x1 - 3300, b.y1 - 3500}, &Heading{*s.north, "north"})
	}
	if s.ahead && s.beam != nil {
		s.heading(spot{b.x1 - 6600, b.y1 - 3500}, s.beam)
	}
}

// heading draws an arrow that points some degrees clockwise from ahead, with its word below it.
func (s *sheet) heading(at spot, h *Heading) {
	sin, cos := math.Sincos(h.Degrees * math.Pi / 180)
	g := &s.groups[frame]
	tip := spot{at.x + along(sin, 600), at.y - along(cos, 600)}
	tail := spot{at.x - along(sin, 600), at.y + along(cos, 600)}
	g.marks = s.arrow(path(g.marks, "", false, tail, tip), frame, tip, sin, -cos)
	const room = 3800
	word := fit(clean(h.Name), small, false, room)
	s.say(spot{at.x - width(word, small, false)/2, at.y + 1300}, word, small, false, room)
}

// sign is where the sheet is dated and numbered.
func (s *sheet) sign(b box, name string, number, of int) {
	s.rectangle(b, "")
	const room = signWide - 800
	s.say(spot{b.x0 + 400, b.y0 + 900}, "CALCULATION, NOT AN APPROVAL", small, true, room)
	s.say(spot{b.x0 + 400, b.y0 + 2500}, "Date", small, false, room)
	s.say(spot{b.x0 + 400, b.y0 + 4100}, "By", small, false, room)
	for _, y := range [...]int{2600, 4200} {
		s.hair(spot{b.x0 + 2200, b.y0 + y}, spot{b.x1 - 500, b.y0 + y})
	}
	count := strconv.Itoa(number) + " of " + strconv.Itoa(of)
	if name != strconv.Itoa(number) && of > 1 { // as the key sheet and the lists call it
		count = name + " (" + count + ")"
	}
	s.say(spot{b.x0 + 400, b.y0 + 5800}, "Sheet "+count, medium, true, room)
}

// barOf draws a scale bar of whole units.
func barOf(scale int64, metric bool) func(*sheet, box) {
	return func(s *sheet, b box) {
		const least = 2000
		step, name := steps(scale, metric, least)
		at := spot{b.x0 + 900, b.y1 - 1000}
		if metric && at.x+paper(int64(step), scale) > b.x1-2500 {
			step, name = partsOfMetre(scale, least)
		}
		g := &s.groups[frame]
		for i := range int64(4) {
			x0, x1 := at.x+paper(int64(step)*i, scale), at.x+paper(int64(step)*(i+1), scale)
			t := name(i + 1)
			if x1+width(t, small, false)/2 > b.x1-2000 { // "ahead" stands there
				break
			}
			class := "f"
			if i%2 == 1 {
				class = "w"
			}
			g.marks = path(g.marks, class, true, spot{x0, at.y}, spot{x1, at.y}, spot{x1, at.y + 250}, spot{x0, at.y + 250})
			s.say(spot{x1 - width(t, small, false)/2, at.y - 200}, t, small, false, 4000)
		}
		s.say(spot{at.x - 150, at.y - 200}, "0", small, false, 1000)
	}
}

// partsOfMetre is the step of a bar in which not one whole metre finds room.
func partsOfMetre(scale int64, least int) (step units.Length, name func(n int64) string) {
	n := int64(100)
	for paper(n*int64(units.Millimetre), scale) < least {
		n *= 2
	}
	return units.Length(n) * units.Millimetre, func(i int64) string { return strconv.FormatInt(i*n, 10) + " mm" }
}

// finish makes sheets of what was drawn: the key beside each, beside the first the remarks
// and the list of all notes and of what found no room, and sheets for the rest of the list.
func finish(sheets []*sheet, names []string, o *Options, u *used, sc *Scene) []Sheet {
	var missing []string
	for i, s := range sheets {
		for _, m := range s.missing {
			if len(sheets) > 1 {
				m = "sheet " + names[i] + ": " + m
			}
			missing = append(missing, m)
		}
	}
	rest := sheets[0].key(u, sc, listed(sc.Notes, missing), "continued on the list sheet")
	for _, s := range sheets[1:] { // what is found there once more
		s.key(u, &Scene{Names: sc.Names}, listed(s.notes, nil), "more on the first sheet")
	}
	lists := listSheets(paperOf(sheets[0]), o, rest)
	for i := range lists {
		names = append(names, "list-"+strconv.Itoa(i+1))
	}
	sheets = append(sheets, lists...)
	out := make([]Sheet, len(sheets))
	for i, s := range sheets {
		s.title(o, names[i], i+1, len(sheets))
		what := o.Title.Drawing
		if len(sheets) > 1 {
			what += ", sheet " + names[i]
			if s.prefix != "" {
				s.prefix += names[i] + "."
			}
		}
		svg := s.document(s.size, clean(join(o.Title.Job, what)), clean(what+". Scale: "+s.scale))
		out[i] = Sheet{Name: names[i], SVG: svg, Unplaced: len(s.missing), prefix: strip(s.prefix), ids: s.byID}
	}
	return out
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ": " + b
}

func paperOf(s *sheet) Paper {
	for _, p := range []Paper{Letter, A4, Tabloid, A3} {
		if papers[p] == s.size {
			return p
		}
	}
	return Letter
}
