package draw_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope/draw"
)

// stroke is a straight piece of an item, in points on paper.
type stroke struct{ x0, y0, x1, y1 float64 }

// words is a text on the sheet with the room it takes.
type words struct {
	item           string
	group          int
	text           string
	size           float64
	x0, y0, x1, y1 float64
}

// picture is a sheet as a viewer would read it.
type picture struct {
	ids     []string
	texts   []words
	strokes []stroke
	owner   []int // group of each stroke
	wide    float64
	high    float64
}

// read parses a sheet, strictly, and measures what is on it.
func read(t *testing.T, svg []byte) *picture {
	t.Helper()
	p := new(picture)
	d := xml.NewDecoder(bytes.NewReader(svg))
	group, item := 0, ""
	var text *words
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return p
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			a := map[string]string{}
			for _, x := range e.Attr {
				if _, twice := a[x.Name.Local]; twice {
					t.Fatalf("attribute %s twice", x.Name.Local)
				}
				a[x.Name.Local] = x.Value
			}
			switch e.Name.Local {
			case "svg":
				if _, err := fmt.Sscanf(a["viewBox"], "0 0 %g %g", &p.wide, &p.high); err != nil {
					t.Fatal(err)
				}
			case "g":
				group, item = group+1, a["id"]
				if item != "" {
					p.ids = append(p.ids, item)
				}
			case "path":
				if s := strokes(t, a["d"]); a["class"] != "s" {
					p.strokes = append(p.strokes, s...)
					for range s {
						p.owner = append(p.owner, group)
					}
				}
			case "text":
				text = &words{item: item, group: group, size: number(t, a["font-size"], 6)}
				text.x0 = number(t, a["x"], 0)
				text.x1 = text.x0 + number(t, a["textLength"], 0)
				text.y0, text.y1 = number(t, a["y"], 0)-0.72*text.size, number(t, a["y"], 0)+0.2*text.size
			}
		case xml.EndElement:
			if e.Name.Local == "text" {
				p.texts = append(p.texts, *text)
				text = nil
			}
		case xml.CharData:
			if text != nil {
				text.text += string(e)
			}
		}
	}
}

func number(t *testing.T, s string, none float64) float64 {
	if s == "" {
		return none
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// strokes reads the straight pieces of a path; circles have none.
func strokes(t *testing.T, d string) []stroke {
	if strings.Contains(d, "a") {
		return nil
	}
	closed := strings.HasSuffix(d, "Z")
	var at [][2]float64
	for part := range strings.SplitSeq(strings.TrimSuffix(strings.TrimPrefix(d, "M"), "Z"), "L") {
		x, y, ok := strings.Cut(part, " ")
		if !ok {
			t.Fatalf("path %q", d)
		}
		at = append(at, [2]float64{number(t, x, 0), number(t, y, 0)})
	}
	if closed {
		at = append(at, at[0])
	}
	var out []stroke
	for i := range len(at) - 1 {
		out = append(out, stroke{at[i][0], at[i][1], at[i+1][0], at[i+1][1]})
	}
	return out
}

// hair is what texts and lines may be too near by, in points, for rounding.
const hair = 0.05

// enters reports whether a stroke enters a text by more than a hair.
func (s stroke) enters(w *words) bool {
	x0, y0, x1, y1 := w.x0+hair, w.y0+hair, w.x1-hair, w.y1-hair
	t0, t1 := 0.0, 1.0
	for _, e := range [...][2]float64{{s.x0 - s.x1, s.x0 - x0}, {s.x1 - s.x0, x1 - s.x0}, {s.y0 - s.y1, s.y0 - y0},
		{s.y1 - s.y0, y1 - s.y0}} {
		switch {
		case e[0] == 0 && e[1] < 0:
			return false
		case e[0] < 0:
			t0 = max(t0, e[1]/e[0])
		case e[0] > 0:
			t1 = min(t1, e[1]/e[0])
		}
	}
	return t0 < t1
}

// legible fails the test if a text meets another, or a line that is not its own, is
// smaller than six points or leaves the sheet.
func legible(t *testing.T, name string, svg []byte) *picture {
	t.Helper()
	p := read(t, svg)
	seen := map[string]bool{}
	for _, id := range p.ids {
		if seen[id] {
			t.Errorf("%s: two groups have the id %q", name, id)
		}
		seen[id] = true
	}
	bad := 0
	fail := func(format string, args ...any) {
		if bad++; bad < 6 {
			t.Errorf(name+": "+format, args...)
		}
	}
	for i := range p.texts {
		a := &p.texts[i]
		if a.size < 6 {
			fail("%q is %g points high", a.text, a.size)
		}
		if a.x0 < 0 || a.y0 < 0 || a.x1 > p.wide || a.y1 > p.high {
			fail("%q leaves the sheet", a.text)
		}
		for k := range i {
			if b := &p.texts[k]; a.x0+hair < b.x1 && b.x0+hair < a.x1 && a.y0+hair < b.y1 && b.y0+hair < a.y1 {
				fail("%v lies over %v", *a, *b)
			}
		}
		for k, s := range p.strokes {
			if p.owner[k] != a.group && s.enters(a) {
				fail("a line (%.2f) runs through %q (%v)", s, a.text, *a)
			}
		}
	}
	return p
}

// legibleAll measures every sheet and returns all ids on them.
func legibleAll(t *testing.T, sheets []draw.Sheet) map[string]bool {
	t.Helper()
	ids := map[string]bool{}
	for _, s := range sheets {
		for _, id := range legible(t, "sheet "+s.Name, s.SVG).ids {
			ids[id] = true
		}
	}
	return ids
}
