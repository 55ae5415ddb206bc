package draw

// drawMark draws a mark and takes its room.
func (s *sheet) drawMark(group int, shape Shape, at spot, toward *spot) {
	g := &s.groups[group]
	b, r, class := g.marks, forms[shape].reach, "w"
	if forms[shape].filled {
		class = "f"
	}
	switch shape {
	case Joint, Riser:
		b = circle(b, class, at, r-20)
	case Fixture, Cap:
		b = path(b, class, true, around(at, r-60).corners()...)
	case Cleanout, CleanoutMain:
		b = circle(b, class, at, r-40)
	case CleanoutBoth, CleanoutMainBoth:
		b = circle(circle(b, "w", at, r-40), class, at, r-180)
	case TakeOff:
		b = path(b, "", true, spot{at.x, at.y + r}, spot{at.x - r, at.y - r}, spot{at.x + r, at.y - r})
	case Terminal:
		b = path(b, class, true, spot{at.x, at.y - r}, spot{at.x - r, at.y + r}, spot{at.x + r, at.y + r})
	case Outlet:
		b = path(b, class, true, spot{at.x - r, at.y}, spot{at.x, at.y - r}, spot{at.x + r, at.y}, spot{at.x, at.y + r})
	case Device:
		b = path(b, class, true, around(at, r).corners()...)
		b = path(b, "", false, spot{at.x - r, at.y - r}, spot{at.x + r, at.y + r})
		b = path(b, "", false, spot{at.x - r, at.y + r}, spot{at.x + r, at.y - r})
	case Sleeve:
		b = path(b, "", false, spot{at.x - r, at.y - r}, spot{at.x - r, at.y + r})
		b = path(b, "", false, spot{at.x + r, at.y - r}, spot{at.x + r, at.y + r})
	case Tick:
		top, foot := spot{at.x, at.y - 300}, spot{at.x, at.y + 300}
		b = path(b, "", false, top, foot)
		s.room.addLine(stroke, top, foot, group)
	}
	if toward != nil && *toward != at {
		b = s.pointer(b, group, at, *toward, r)
	}
	g.marks = b
	s.room.add(symbol, around(at, r), group)
}

// pointer draws an arrow from the rim of a symbol towards a place.
func (s *sheet) pointer(b []byte, group int, at, toward spot, r int) []byte {
	dx, dy := unit(toward.x-at.x, toward.y-at.y)
	from := spot{at.x + along(dx, r), at.y + along(dy, r)}
	tip := spot{at.x + along(dx, r+600), at.y + along(dy, r+600)}
	s.room.addLine(stroke, from, tip, group)
	return s.arrow(path(b, "", false, from, tip), group, tip, dx, dy)
}

// arrow draws an arrow head with its tip at a place, and takes its room.
func (s *sheet) arrow(b []byte, group int, tip spot, dx, dy float64) []byte {
	back := spot{tip.x - along(dx, 420), tip.y - along(dy, 420)}
	side := spot{along(-dy, 150), along(dx, 150)}
	l, r := spot{back.x + side.x, back.y + side.y}, spot{back.x - side.x, back.y - side.y}
	s.room.add(symbol, box{min(tip.x, l.x, r.x), min(tip.y, l.y, r.y), max(tip.x, l.x, r.x), max(tip.y, l.y, r.y)},
		group)
	return path(b, "f", true, tip, l, r)
}
