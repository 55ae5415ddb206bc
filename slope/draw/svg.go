package draw

import (
	"html"
	"slices"
	"strconv"
)

// canvas gathers a sheet: groups in the order they were first named, each with the
// fragments drawn into it. All figures are whole hundredths of a point, so that every
// machine writes the same bytes.
type canvas struct {
	prefix string
	groups []group
	byID   map[string]int
}

// group is one item of the layout.
type group struct {
	id, tip, link string
	lines, marks  []byte
}

// frame is the group of all that is no item: border, title block, key.
const frame = 0

// nobody owns what no label may touch.
const nobody = -1

func newCanvas(prefix string) *canvas {
	return &canvas{prefix: prefix, groups: make([]group, 1), byID: map[string]int{}}
}

// group returns the index of the group of an id, made if need be.
func (c *canvas) group(id, tip string) int {
	if id == "" {
		c.groups = append(c.groups, group{tip: tip})
		return len(c.groups) - 1
	}
	g, ok := c.byID[id]
	if !ok {
		g = len(c.groups)
		c.groups = append(c.groups, group{id: id})
		c.byID[id] = g
	}
	if c.groups[g].tip == "" {
		c.groups[g].tip = tip
	}
	return g
}

// num writes hundredths as a decimal number.
func num(b []byte, v int) []byte {
	if v < 0 {
		b, v = append(b, '-'), -v
	}
	b = strconv.AppendInt(b, int64(v/100), 10)
	if r := v % 100; r != 0 {
		b = append(b, '.', byte('0'+r/10))
		if r%10 != 0 {
			b = append(b, byte('0'+r%10))
		}
	}
	return b
}

// spot is a place on paper, in hundredths of a point from the upper left corner.
type spot struct{ x, y int }

// path writes a polyline.
func path(b []byte, class string, closed bool, at ...spot) []byte {
	b = append(b, `<path`...)
	if class != "" {
		b = append(append(append(b, ` class="`...), class...), '"')
	}
	b = append(b, ` d="`...)
	for i, p := range at {
		if i == 0 {
			b = append(b, 'M')
		} else {
			b = append(b, 'L')
		}
		b = num(append(num(b, p.x), ' '), p.y)
	}
	if closed {
		b = append(b, 'Z')
	}
	return append(b, `"/>`...)
}

// circle writes a circle as a path, so that one style holds for all that is drawn.
func circle(b []byte, class string, at spot, r int) []byte {
	b = append(append(append(b, `<path class="`...), class...), `" d="M`...)
	b = num(append(num(b, at.x-r), ' '), at.y)
	for _, dx := range [...]int{2 * r, -2 * r} {
		b = num(append(num(append(b, 'a'), r), ' '), r)
		b = append(num(append(b, " 0 0 1 "...), dx), " 0"...)
	}
	return append(b, `Z"/>`...)
}

// text writes a text that begins at a spot of its base line.
func text(b []byte, at spot, s string, size int, class string) []byte {
	if s == "" {
		return b
	}
	b = num(append(b, `<text x="`...), at.x)
	b = num(append(b, `" y="`...), at.y)
	if size != small {
		b = num(append(b, `" font-size="`...), size)
	}
	if class != "" {
		b = append(append(b, `" class="`...), class...)
	}
	b = num(append(b, `" textLength="`...), width(s, size, class == "b" || class == "k"))
	b = append(b, `" lengthAdjust="spacingAndGlyphs">`...)
	return append(escape(b, s), `</text>`...)
}

// escape writes text so that it is nothing but text, in content and in attributes.
func escape(b []byte, s string) []byte {
	return append(b, html.EscapeString(s)...)
}

// document writes the sheet.
func (c *canvas) document(size spot, title, description string) []byte {
	n := 2048
	for i := range c.groups {
		n += len(c.groups[i].lines) + len(c.groups[i].marks) + len(c.groups[i].tip) + 64
	}
	b := make([]byte, 0, n)
	role := "img"
	if slices.ContainsFunc(c.groups, func(g group) bool { return g.link != "" }) {
		role = "group" // an image hides its links from readers of the screen
	}
	b = append(b, `<svg xmlns="http://www.w3.org/2000/svg" class="twd" role="`+role+`" viewBox="0 0 `...)
	b = num(append(num(b, size.x), ' '), size.y)
	b = append(num(append(b, `" width="`...), size.x), "pt"...)
	b = append(num(append(b, `" height="`...), size.y), "pt"...)
	b = append(b, "\">\n<title>"...)
	b = append(escape(b, title), "</title>\n<desc>"...)
	b = append(escape(b, description), "</desc>\n<style>"...)
	b = append(append(b, sheetStyle...), "</style>\n"...)
	for i := range c.groups {
		b = c.item(b, &c.groups[i])
	}
	return append(b, "</svg>\n"...)
}

func (c *canvas) item(b []byte, g *group) []byte {
	if len(g.lines)+len(g.marks) == 0 {
		return b
	}
	b = append(b, "<g"...)
	if g.id != "" {
		b = escape(escape(append(b, ` id="`...), strip(c.prefix)), Anchor(g.id))
		b = append(b, '"')
	}
	b = append(b, '>')
	if g.link != "" {
		b = append(escape(append(b, `<a href="`...), strip(g.link)), `">`...)
	}
	if g.tip != "" { // within the link, so that it is what a reader of the screen calls the link
		b = append(escape(append(b, "<title>"...), g.tip), "</title>"...)
	}
	b = append(append(b, g.lines...), g.marks...)
	if g.link != "" {
		b = append(b, "</a>"...)
	}
	return append(b, "</g>\n"...)
}
