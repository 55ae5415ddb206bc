// Package legible measures drawings as a viewer would read them, for tests: whether a
// text lies over another, or a line that is not its own runs through it, or it is too small, or it leaves
// the sheet.
package legible

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
)

// Stroke is a straight piece of a group, in points on paper. Groups count from one, in
// the order of the sheet.
type Stroke struct {
	X0, Y0, X1, Y1 float64
	Group          int
	Item           string // id of the group, if it has one
}

// words is a text on the sheet with the room it takes.
type words struct {
	item           string
	group          int
	text           string
	size           float64
	x0, y0, x1, y1 float64
}

// Sheet is a drawing as a viewer would read it.
type Sheet struct {
	IDs        []string // of its groups
	Strokes    []Stroke
	texts      []words
	blank      []words // where lines of a group break off behind its text
	wide, high float64
}

// Read parses a sheet, strictly, and measures what is on it.
func Read(t testing.TB, svg []byte) *Sheet {
	t.Helper()
	p := new(Sheet)
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
					p.IDs = append(p.IDs, item)
				}
			case "path":
				s := strokes(t, a["d"])
				if a["class"] == "p" {
					p.blank = append(p.blank, words{group: group, x0: s[0].X0, y0: s[0].Y0, x1: s[1].X1, y1: s[1].Y1})
				}
				if a["class"] != "s" && a["class"] != "p" {
					for i := range s {
						s[i].Group, s[i].Item = group, item
					}
					p.Strokes = append(p.Strokes, s...)
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

func number(t testing.TB, s string, none float64) float64 {
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
func strokes(t testing.TB, d string) []Stroke {
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
	var out []Stroke
	for i := range len(at) - 1 {
		out = append(out, Stroke{at[i][0], at[i][1], at[i+1][0], at[i+1][1], 0, ""})
	}
	return out
}

// hair is what texts and lines may be too near by, in points, for rounding.
const hair = 0.05

// enters reports whether a stroke enters a text by more than a hair.
func (s Stroke) enters(w *words) bool {
	x0, y0, x1, y1 := w.x0+hair, w.y0+hair, w.x1-hair, w.y1-hair
	t0, t1 := 0.0, 1.0
	for _, e := range [...][2]float64{{s.X0 - s.X1, s.X0 - x0}, {s.X1 - s.X0, x1 - s.X0}, {s.Y0 - s.Y1, s.Y0 - y0},
		{s.Y1 - s.Y0, y1 - s.Y0}} {
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

// breaks tells whether the lines of its group break off behind a text.
func (p *Sheet) breaks(a *words) bool {
	for _, b := range p.blank {
		if b.group == a.group && b.x0 <= a.x0+hair && b.x1 >= a.x1-hair && b.y0 <= a.y0+hair && b.y1 >= a.y1-hair {
			return true
		}
	}
	return false
}

// Check fails the test if a text meets another, or a line that does not break off behind it, is
// smaller than six points or leaves the sheet.
func Check(t testing.TB, name string, svg []byte) *Sheet {
	t.Helper()
	p := Read(t, svg)
	seen := map[string]bool{}
	for _, id := range p.IDs {
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
		for _, s := range p.Strokes {
			if s.enters(a) && (s.Group != a.group || !p.breaks(a)) {
				fail("a line from %.2f %.2f to %.2f %.2f runs through %q (%v)", s.X0, s.Y0, s.X1, s.Y1, a.text, *a)
			}
		}
	}
	return p
}
