package draw

import "strings"

// used says which patterns and symbols a drawing has, and so what its key lists.
type used struct {
	styles [styleCount][3]bool
	shapes [shapeCount]bool
}

// key writes the column beside the drawing: the key, remarks and a list of notes. It
// returns those that found no room, of which the words in more tell.
func (s *sheet) key(u *used, sc *Scene, list []Note, more string) []Note {
	b := s.side
	y := b.y0 + 1100
	s.say(spot{b.x0 + 500, y}, "Key", medium, true, 5000)
	y += 1100
	for st := range styleCount {
		for set, is := range u.styles[st] {
			if is && (st != Guide || sc.Names[Guide.Key()] != "") {
				s.keyLine(st, set, sc.name(pens[st].key, set, pens[st].name), spot{b.x0 + 500, y})
				y += rowHigh
			}
		}
	}
	for sh := range shapeCount {
		if name := sc.name(forms[sh].key, 0, forms[sh].name); u.shapes[sh] && name != "" {
			s.drawShape(sh, spot{b.x0 + 1900, y - 200})
			room := b.x1 - b.x0 - keySample - 1200
			for i, line := range wrap(clean(name), small, room) {
				y += 780 * min(i, 1)
				s.say(spot{b.x0 + 800 + keySample, y}, line, small, false, room)
			}
			y += rowHigh
		}
	}
	y += 200
	for _, r := range sc.Remarks {
		for _, line := range wrap(clean(r), small, b.x1-b.x0-1000) {
			if y > b.y1-500 {
				break
			}
			s.say(spot{b.x0 + 500, y}, line, small, false, b.x1-b.x0)
			y += 780
		}
		y += 250
	}
	return s.below(list, box{b.x0 + 500, y, b.x1 - 300, b.y1 - 300}, more)
}

// name is what the key calls a style or shape; of the second and third system it
// may be given as key.1 and key.2.
func (sc *Scene) name(key string, set int, own string) string {
	if set > 0 {
		key += "." + string(rune('0'+set))
	}
	if n := sc.Names[key]; n != "" {
		return n
	}
	return own
}

func (s *sheet) keyLine(st Style, set int, name string, at spot) {
	g := &s.groups[frame]
	g.marks = path(g.marks, class(st, set), false, spot{at.x, at.y - 200}, spot{at.x + keySample, at.y - 200})
	s.say(spot{at.x + keySample + 300, at.y}, name, small, false, s.side.x1-at.x-keySample-800)
}

// drawShape draws a symbol into the frame.
func (s *sheet) drawShape(sh Shape, at spot) {
	keep := s.room
	s.room = newRoom(s.side)
	s.drawMark(frame, sh, at, nil)
	s.room = keep
}

// class is that of a line's style and system.
func class(st Style, set int) string {
	switch {
	case set == 1:
		return pens[st].key + " s1"
	case set > 1:
		return pens[st].key + " s2"
	}
	return pens[st].key
}

// below lists notes in what is left of the column, and returns those that found no room.
func (s *sheet) below(list []Note, b box, more string) []Note {
	if len(list) == 0 || b.y1-b.y0 < 4000 {
		return list
	}
	rest := s.column(list, box{b.x0, b.y0, b.x1, b.y1 - 900})
	if len(rest) > 0 {
		s.say(spot{b.x0, b.y1 - 200}, more, small, true, b.x1-b.x0)
	}
	return rest
}

// listed are all lines of the list: the notes, then the labels that found no room.
func listed(notes []Note, missing []string) []Note {
	var list []Note
	if len(notes) > 0 {
		list = append(list, Note{Text: "Findings (filled ring: fails; open ring: to settle):"})
	}
	list = append(list, notes...)
	if len(missing) > 0 {
		list = append(list, Note{Text: "Labels that found no room beside their place:"})
	}
	for _, m := range missing {
		list = append(list, Note{Text: m})
	}
	return list
}

// listSheets holds what found no room beside the drawings.
func listSheets(p Paper, o *Options, list []Note) []*sheet {
	var out []*sheet
	for len(list) > 0 {
		s := newSheet(p, o, false)
		s.scale = "list, no scale"
		s.side = box{margin, margin, s.size.x - margin, s.block.y0}
		in := s.side
		const columns = 4
		wide := (in.x1 - in.x0) / columns
		for c := range columns {
			if len(list) > 0 {
				list = s.column(list, box{in.x0 + c*wide + 500, in.y0 + 500, in.x0 + (c+1)*wide - 300, in.y1 - 500})
			}
		}
		out = append(out, s)
	}
	return out
}

// column lists notes in one column and returns those that are left. At least one goes
// in, cut short if need be.
func (s *sheet) column(list []Note, b box) []Note {
	y := b.y0 + 700
	for i := range list {
		n := &list[i]
		wide := n.ring() - ringLeast // beyond the room of a ring
		lines := wrap(clean(n.Text), small, b.x1-b.x0-noteIndent-wide)
		if most := (b.y1-b.y0)/740 - 2; len(lines) > most {
			lines = append(lines[:most-1], "…")
		}
		high := len(lines)*740 + 160
		if n.Key != "" {
			high = max(1100+wide, high+150)
		}
		if y+high-740 > b.y1 && i > 0 {
			return list[i:]
		}
		if n.Key != "" {
			s.ring(frame, Note{Key: n.Key, Bad: n.Bad}, spot{b.x0 + 450 + wide/2, y - 200 + wide/2})
		}
		head, indent := n.Key == "" && strings.HasSuffix(n.Text, ":"), noteIndent+wide
		if head {
			indent = 0
		}
		for k, line := range lines {
			s.say(spot{b.x0 + indent, y + k*740}, line, small, head, b.x1)
		}
		y += high
	}
	return nil
}
