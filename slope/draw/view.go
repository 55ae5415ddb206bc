package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
)

// flat is a place of the drawing before it is scaled to paper: nanometres to the
// right and up.
type flat struct{ u, v int64 }

// onPlan looks down.
func onPlan(p Point) flat { return flat{int64(p.X), int64(p.Y)} }

// inIsometric looks so that X runs up to the right and Y up to the left, both at 30
// degrees, and Z up, all three at one scale.
func inIsometric(p Point) flat { return aslant(0)(p) }

// slants are the angles at which Y may run up to the left, in the order in which they are tried,
// with their cosine and sine in millionths.
var slants = [...]struct{ cos, sin int64 }{
	{866_025, 500_000}, {809_017, 587_785}, {913_545, 406_737}, {743_145, 669_131}, {951_057, 309_017}, // 30 36 24 42 18
}

// aslant looks so that X runs up to the right at 30 degrees, Y up to the left at a slant, and Z
// up, all three at one scale.
func aslant(slant int) func(Point) flat {
	x, y := slants[0], slants[slant]
	return func(p Point) flat {
		return flat{int64(p.X)/1000*x.cos/1000 - int64(p.Y)/1000*y.cos/1000,
			int64(p.X)/1000*x.sin/1000 + int64(p.Y)/1000*y.sin/1000 + int64(p.Z)}
	}
}

// upright is a piece of pipe that stands upright in the picture.
type upright struct {
	at     Point // on plan
	u      int64
	lo, hi int64
}

// slant returns the first of the slants at which the fewest pieces of upright pipe lie over
// others that stand elsewhere: two that stand at 45 degrees to one another on plan lie over one another
// at 30 degrees.
func (s *Scene) slant(w *patience.Work) int {
	best, fewest := 0, -1
	for k := range slants {
		if !w.Goes(k, len(slants), "angles tried") {
			break
		}
		if n := overlapping(s.uprights(aslant(k))); fewest < 0 || n < fewest {
			best, fewest = k, n
		}
	}
	return best
}

func (s *Scene) uprights(look func(Point) flat) []upright {
	var list []upright
	for i := range s.Lines {
		path := s.Lines[i].Path
		for k := range len(path) - 1 {
			if a, b := path[k], path[k+1]; a.X == b.X && a.Y == b.Y && a.Z != b.Z {
				f, g := look(a), look(b)
				list = append(list, upright{Point{X: a.X, Y: a.Y}, f.u, min(f.v, g.v), max(f.v, g.v)})
			}
		}
	}
	return list
}

// overlapping counts the pieces that lie over the next one of another place.
func overlapping(list []upright) (n int) {
	const apart, much = int64(units.Inch), int64(units.Foot / 2)
	slices.SortFunc(list, func(a, b upright) int { return cmp.Or(cmp.Compare(a.u, b.u), cmp.Compare(a.lo, b.lo)) })
	for i := range list {
		for k := i + 1; k < len(list) && k < i+nearby && list[k].u-list[i].u < apart; k++ {
			if a, b := &list[i], &list[k]; a.at != b.at && min(a.hi, b.hi)-max(a.lo, b.lo) > much {
				n++
			}
		}
	}
	return n
}

const nearby = 50 // pieces on one line that are looked at, of the many that a tall stack may have

// extent is the least upright rectangle about some places.
type extent struct {
	lo, hi flat
	any    bool
}

func (e *extent) take(p flat) {
	if !e.any {
		e.lo, e.hi, e.any = p, p, true
		return
	}
	e.lo = flat{min(e.lo.u, p.u), min(e.lo.v, p.v)}
	e.hi = flat{max(e.hi.u, p.u), max(e.hi.v, p.v)}
}

// extentOf is that of a path.
func extentOf(path []flat) (e extent) {
	for _, f := range path {
		e.take(f)
	}
	return e
}

// window is the part of a drawing that one sheet shows, and where it shows it.
type window struct {
	scale int64 // 1:scale
	left  int64 // what lies at the left edge of the paper's drawing area
	top   int64
	at    spot // upper left corner of the drawing area on paper
}

// paper is the length on paper of one in the drawing, in hundredths of a point: a
// point is 1/72 in.
func paper(nm, scale int64) int {
	n, d := nm*9, 31750*scale
	if n < 0 {
		return -int((-n + d/2) / d)
	}
	return int((n + d/2) / d)
}

// drawn is the length in the drawing of one on paper.
func drawn(hundredths int, scale int64) int64 { return int64(hundredths) * 31750 * scale / 9 }

func (w *window) spot(p flat) spot {
	return spot{w.at.x + paper(p.u-w.left, w.scale), w.at.y + paper(w.top-p.v, w.scale)}
}

// scales are those that drawings are made to, large to small.
func scales(metric bool) []int64 {
	if metric {
		return []int64{5, 10, 20, 25, 50, 75, 100, 125, 200, 250, 500, 1000, 2000, 5000, 10_000, 50_000, 200_000, 1_000_000}
	}
	return []int64{8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 240, 480, 600, 1200, 2400, 6000, 12_000, 60_000, 240_000,
		1_200_000, 6_000_000}
}

// scaleName is how a scale is called.
func scaleName(scale int64, metric bool) string {
	name := fmt.Sprintf("1:%d", scale)
	switch {
	case metric:
		return name
	case scale <= 192:
		return units.Notation{Form: units.FractionalInches, Nearest: 64}.Format(12*units.Inch/units.Length(scale)) +
			" = 1'-0\" (" + name + ")"
	case scale%12 == 0:
		return fmt.Sprintf("1 in = %d ft (%s)", scale/12, name)
	}
	return name
}

// steps is the distance between the figures along an edge: one, two or five of a
// unit, or tens of them, that take at least so much room.
func steps(scale int64, metric bool, least int) (step units.Length, name func(n int64) string) {
	unit, word := units.Foot, "'"
	if metric {
		unit, word = units.Metre, " m"
	}
	for k := int64(1); ; k *= 10 {
		for _, m := range [...]int64{1, 2, 5} {
			if n := m * k; paper(n*int64(unit), scale) >= least || n > 1_000_000 {
				return units.Length(n) * unit, func(i int64) string { return strconv.FormatInt(i*n, 10) + word }
			}
		}
	}
}

// unit is the direction of a way on paper.
func unit(dx, dy int) (x, y float64) {
	x, y = float64(dx), float64(dy)
	length := math.Sqrt(float64(x*x) + float64(y*y))
	if length == 0 {
		return 0, 0
	}
	return x / length, y / length
}

func along(direction float64, length int) int { return int(math.Round(direction * float64(length))) }

// clip cuts the way from p to q to an upright rectangle; ok is false if nothing is left.
func clip(p, q flat, lo, hi flat) (a, b flat, ok bool) {
	t0, t1 := 0.0, 1.0
	du, dv := float64(q.u-p.u), float64(q.v-p.v)
	for _, e := range [...]struct{ d, room float64 }{
		{-du, float64(p.u - lo.u)}, {du, float64(hi.u - p.u)}, {-dv, float64(p.v - lo.v)}, {dv, float64(hi.v - p.v)},
	} {
		switch {
		case e.d == 0:
			if e.room < 0 {
				return p, q, false
			}
		case e.d < 0:
			t0 = max(t0, e.room/e.d)
		default:
			t1 = min(t1, e.room/e.d)
		}
	}
	if t0 > t1 {
		return p, q, false
	}
	a, b = p, q
	if t0 > 0 {
		a = flat{p.u + int64(math.Round(t0*du)), p.v + int64(math.Round(t0*dv))}
	}
	if t1 < 1 {
		b = flat{p.u + int64(math.Round(t1*du)), p.v + int64(math.Round(t1*dv))}
	}
	return a, b, true
}

// clipArea cuts an area to an upright rectangle, side after side.
func clipArea(at []flat, e extent) []flat {
	for side := range 4 {
		in := func(f flat) int64 { // how far inside
			return [...]int64{f.u - e.lo.u, e.hi.u - f.u, f.v - e.lo.v, e.hi.v - f.v}[side]
		}
		var out []flat
		for i, q := range at {
			p := at[(i+len(at)-1)%len(at)]
			a, b := in(p), in(q)
			if (a >= 0) != (b >= 0) {
				t := float64(a) / float64(a-b)
				out = append(out,
					flat{p.u + int64(math.Round(t*float64(q.u-p.u))), p.v + int64(math.Round(t*float64(q.v-p.v)))})
			}
			if b >= 0 {
				out = append(out, q)
			}
		}
		at = out
	}
	return at
}
