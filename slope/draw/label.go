package draw

import "cmp"

// label is text that looks for room beside its place.
type label struct {
	group int
	lines []string
	bold  bool    // the first line in bold
	at    []spot  // places it may stand at, tried in order
	reach int     // how far the symbol there reaches
	first int     // the side to try first, counted in compass
	rings []Note  // instead of text: rings in a row
	ids   [][]int // groups of each ring
	over  bool    // lies on lines of its own, which break off behind it
	with  []label // flags of other things at the same place, which stand below it
}

// stacked joins the flags of one place, so that they stand together.
func stacked(flags []label) []label {
	index := map[spot]int{}
	var out []label
	for _, l := range flags {
		if k, ok := index[l.at[0]]; ok {
			out[k].with = append(out[k].with, l)
			out[k].reach = max(out[k].reach, l.reach)
			continue
		}
		index[l.at[0]] = len(out)
		out = append(out, l)
	}
	return out
}

// apart are the flags of a stack, each for itself.
func (l *label) apart() []label {
	first := *l
	first.with = nil
	return append([]label{first}, l.with...)
}

// compass lists the eight sides of a place, in the order they are tried.
var compass = [8]spot{{1, 0}, {-1, 0}, {1, -1}, {1, 1}, {-1, -1}, {-1, 1}, {0, -1}, {0, 1}}

// wind are the ways to lead from a place, in thousandths.
var wind = [32]spot{
	{924, -383}, {924, 383}, {-924, -383}, {-924, 383}, {383, -924}, {-383, -924}, {383, 924}, {-383, 924},
	{707, -707}, {707, 707}, {-707, -707}, {-707, 707}, {1000, 0}, {-1000, 0}, {0, -1000}, {0, 1000},
	{981, 195}, {831, 556}, {556, 831}, {195, 981}, {-195, 981}, {-556, 831}, {-831, 556}, {-981, 195},
	{-981, -195}, {-831, -556}, {-556, -831}, {-195, -981}, {195, -981}, {556, -831}, {831, -556}, {981, -195},
}

// far are the lengths of leaders, in hundredths of a point.
var far = [13]int{900, 1250, 1600, 2100, 2600, 3300, 4000, 5000, 6000, 7500, 9000, 11000, 13000}

const (
	leading             = 690 // from base line to base line
	ascent              = 460 // of small text above its base line, and what else may be drawn above it
	descent             = 140
	ringLeast, ringMost = 1000, 4000 // width of a ring
	widest              = 12500
)

// size returns how much room the label takes.
func (l *label) size() (w, h int) {
	if len(l.rings) > 0 {
		n := len(l.rings)
		return l.ring() * min(n, ringRow), l.ring() * ((n + ringRow - 1) / ringRow)
	}
	lines := 0
	for _, part := range l.apart() {
		for i, s := range part.lines {
			w = max(w, width(s, small, part.bold && i == 0))
		}
		lines += len(part.lines)
	}
	return w, leading*(lines-1) + ascent + descent
}

const ringRow = 5 // rings side by side

// place finds room for a label and draws it. Places beside the symbol come first, then the best place
// that a leader reaches, then places close to a line that is not its own, then leaders across
// others, then places on the label's own lines. It reports false if there is no room at all.
func (s *sheet) place(l label) bool {
	if s.near(&l, aside, false) || s.lead(&l, false) || s.near(&l, 0, false) {
		return true
	}
	if s.lead(&l, true) || s.near(&l, 0, true) {
		s.poor++
		return true
	}
	return false
}

// aside is how far a label keeps from lines that are not its own, so that it is read with its own.
const aside = 200

// near draws the label beside its place, so far from other lines; with own, on lines of its own
// if need be.
func (s *sheet) near(l *label, gap int, own bool) bool {
	w, h := l.size()
	for _, at := range l.at {
		for k := range compass {
			b := beside(at, compass[(k+l.first)%len(compass)], l.reach+100, w, h)
			if s.room.free(b, l.group, gap, own) {
				l.over = own
				s.write(l, b)
				return true
			}
		}
	}
	return false
}

// lead draws the label at the end of a leader, which may go across others if need be.
func (s *sheet) lead(l *label, across bool) bool {
	at, p, b, bad := s.reached(l, across)
	if bad == unreached {
		return false
	}
	if bad > tangled {
		s.poor++
	}
	s.room.addLine(leader, at, p, l.group)
	g := &s.groups[l.group]
	g.lines = path(g.lines, "h", false, at, p)
	s.write(l, b)
	return true
}

// What a leader is as bad as, in hundredths of a point of its length: each line of others that it goes
// over, and a label at its end that stands nearer than so to one.
const (
	overLine = 1500
	byLine   = 1000
	besides  = 500

	tangled   = 12000     // as bad as this a label is placed poorly
	unreached = 1_000_000 // no place at all
)

// reached finds the best place that a leader of a label reaches: of those that are open the shortest, that
// goes over few lines of others and ends beside none. at is where it begins, p where it ends, b the
// label's box, and best how bad it is.
func (s *sheet) reached(l *label, across bool) (at, p spot, b box, best int) {
	w, h := l.size()
	gap := aside
	best = unreached
	if across {
		gap = 0
	}
	for _, from := range l.at {
		for _, f := range far {
			if s.room.looks < 0 || f >= best {
				break
			}
			for _, d := range wind {
				to := spot{from.x + d.x*f/1000, from.y + d.y*f/1000}
				side := spot{cmp.Compare(d.x, 0), 0}
				if d.x == 0 {
					side.y = cmp.Compare(d.y, 0)
				}
				end := beside(to, side, 80, w, h)
				if !s.room.free(end, l.group, gap, false) {
					continue
				}
				over, open := s.room.clear(from, to, l.group, across)
				bad := f + overLine*over
				if open && bad < best && !s.room.free(end, l.group, besides, false) {
					bad += byLine
				}
				if open && bad < best {
					at, p, b, best = from, to, end, bad
				}
			}
		}
	}
	return at, p, b, best
}

// beside returns the box of w by h on one side of a place.
func beside(at, side spot, gap, w, h int) box {
	x, y := at.x-w/2, at.y-h/2
	switch side.x {
	case 1:
		x = at.x + gap
	case -1:
		x = at.x - gap - w
	}
	if side.y != 0 && side.x != 0 {
		gap = gap * 7 / 10
	}
	switch side.y {
	case 1:
		y = at.y + gap
	case -1:
		y = at.y - gap - h
	}
	return box{x, y, x + w, y + h}
}

// write draws the label into its box.
func (s *sheet) write(l *label, b box) {
	s.room.add(solid, box{b.x0 - 150, b.y0 - 20, b.x1 + 150, b.y1 + 20}, l.group) // so that words do not run together
	if len(l.rings) > 0 {
		for i, n := range l.rings {
			r := l.ring()
			at := spot{b.x0 + r*(i%ringRow) + r/2, b.y0 + r*(i/ringRow) + r/2}
			s.ring(l.ids[i][0], n, at)
			for _, id := range l.ids[i][1:] { // what shares the ring is found by its own id
				g := &s.groups[id]
				g.marks = circle(g.marks, "", at, n.ring()/2-40)
			}
		}
		return
	}
	g := &s.groups[l.group]
	if l.over {
		g.marks = path(g.marks, "p", true, b.corners()...)
	}
	y, left := b.y0+ascent, len(l.at) > 0 && b.x1 < l.at[0].x
	for _, part := range l.apart() {
		g := &s.groups[part.group]
		for i, line := range part.lines {
			class, x := "", b.x0
			if part.bold && i == 0 {
				class = "b"
			}
			if left { // its lines end beside their place
				x = b.x1 - width(line, small, class != "")
			}
			g.marks = text(g.marks, spot{x, y}, line, small, class)
			y += leading
		}
	}
}

// ring is how wide the ring of a note is: as its key asks.
func (n *Note) ring() int {
	return min(max(ringLeast, width(clean(n.Key), small, n.Bad)+250), ringMost)
}

// ring is the width of the widest ring of a block.
func (l *label) ring() int {
	w := 0
	for i := range l.rings {
		w = max(w, l.rings[i].ring())
	}
	return w
}

// ring draws the ring of a note.
func (s *sheet) ring(group int, n Note, at spot) {
	g := &s.groups[group]
	g.link = n.Link
	class, word := "w", ""
	if n.Bad {
		class, word = "f", "k"
	}
	g.marks = circle(g.marks, class, at, n.ring()/2-40)
	key := fit(clean(n.Key), small, n.Bad, ringMost-250)
	g.marks = text(g.marks, spot{at.x - width(key, small, n.Bad)/2, at.y + 215}, key, small, word)
}
