package slope

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/units"
)

// Point is a place in plan.
type Point struct {
	X units.Length `json:"x"`
	Y units.Length `json:"y"`
}

func (p Point) check(what string) error {
	return firstOf(check(what+" x", p.X), check(what+" y", p.Y))
}

// Wall is a framed wall in plan, from A to B.
type Wall struct {
	A Point `json:"a"`
	B Point `json:"b"`
	// Line tells what A and B are on.
	Line WallLine `json:"line"`
	// Frame is the thickness of the frame or of the masonry, without finish.
	Frame units.Length `json:"frame"`
	// FinishLeft and FinishRight are the thicknesses of the finish on the left and
	// right side, seen from A towards B.
	FinishLeft  units.Length `json:"finish_left"`
	FinishRight units.Length `json:"finish_right"`
}

// WallLine is the line of a wall that a drawing gives.
type WallLine uint8

// The lines of a wall.
const (
	WallCentre    WallLine = iota // centre of the frame
	WallLeftFace                  // left face of the frame, seen from A towards B
	WallRightFace                 // right face of the frame
)

// Side is a side of a wall, seen from A towards B.
type Side uint8

// The sides.
const (
	Left Side = iota
	Right
)

// FromLine returns the distance to lay out, from the drawn line of the wall to
// the centre of a stub-up on a side, so that the centre ends up the rough-in
// distance from the finished face of that side. It is what a tape measures before
// there is any finish.
func (w Wall) FromLine(side Side, roughIn units.Length) (units.Length, error) {
	if err := firstOf(checkSize("frame", w.Frame), checkSize("left finish", w.FinishLeft),
		checkSize("right finish", w.FinishRight), checkSize("rough-in", roughIn), sides.Check(side),
		wallLines.Check(w.Line)); err != nil {
		return 0, err
	}
	finish := w.FinishLeft
	if side == Right {
		finish = w.FinishRight
	}
	switch {
	case w.Line == WallCentre:
		return half(w.Frame) + finish + roughIn, nil
	case w.Line == WallLeftFace && side == Left, w.Line == WallRightFace && side == Right:
		return finish + roughIn, nil
	}
	return w.Frame + finish + roughIn, nil
}

// InWall returns the distance to lay out, from the drawn line of the wall to the
// centre of the frame, and the side of the line it lies on: where a stack or a
// vent rises inside the wall.
func (w Wall) InWall() (units.Length, Side, error) {
	if err := firstOf(checkSize("frame", w.Frame), wallLines.Check(w.Line)); err != nil {
		return 0, 0, err
	}
	switch w.Line {
	case WallLeftFace:
		return half(w.Frame), Right, nil
	case WallRightFace:
		return half(w.Frame), Left, nil
	}
	return 0, Left, nil
}

// StubUp returns the place in plan of the centre of a stub-up on a side of the
// wall: along is measured on the wall's line from A, roughIn from the finished
// face. It is exact for walls along X or Y, else to the nearest nanometre.
func (w Wall) StubUp(along units.Length, side Side, roughIn units.Length) (Point, error) {
	out, err := w.FromLine(side, roughIn)
	if err := firstOf(err, check("along", along)); err != nil {
		return Point{}, err
	}
	return w.place(along, out, side)
}

// place returns the point that lies along the line from A and out to a side.
func (w Wall) place(along, out units.Length, side Side) (Point, error) {
	if err := firstOf(w.A.check("a"), w.B.check("b")); err != nil {
		return Point{}, err
	}
	dx, dy := w.B.X-w.A.X, w.B.Y-w.A.Y
	if dx == 0 && dy == 0 {
		return Point{}, fmt.Errorf("wall: %w: a and b are one point", units.ErrRange)
	}
	if side == Right {
		out = -out
	}
	// Left of the direction (ux, uy) is (-uy, ux).
	var p Point
	switch {
	case dy == 0:
		s := units.Length(sign(int64(dx)))
		p = Point{w.A.X + s*along, w.A.Y + s*out}
	case dx == 0:
		s := units.Length(sign(int64(dy)))
		p = Point{w.A.X - s*out, w.A.Y + s*along}
	default:
		l := hypot(float64(dx), float64(dy))
		ux, uy := float64(dx)/l, float64(dy)/l
		a, o := float64(along), float64(out)
		x, err1 := nearest("x", float64(w.A.X)+(float64(ux*a)-float64(uy*o)))
		y, err2 := nearest("y", float64(w.A.Y)+(float64(uy*a)+float64(ux*o)))
		return Point{x, y}, firstOf(err1, err2)
	}
	return p, p.check("stub-up")
}

// vec is a point in space in metres, relative to something near.
type vec struct{ x, y, z float64 }

func (a vec) minus(b vec) vec { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }

func (a vec) plus(b vec, t float64) vec {
	return vec{a.x + float64(b.x*t), a.y + float64(b.y*t), a.z + float64(b.z*t)}
}

func (a vec) dot(b vec) float64 { return float64(a.x*b.x) + float64(a.y*b.y) + float64(a.z*b.z) }

// closest returns the parameters, 0 to 1, of the nearest points of the segments
// p + s·d and q + t·e, and their distance.
func closest(p, d, q, e vec) (s, t, distance float64) {
	r := p.minus(q)
	a, b, c, f, g := d.dot(d), d.dot(e), e.dot(e), d.dot(r), e.dot(r)
	clamp := func(x float64) float64 { return min(max(x, 0), 1) }
	switch {
	case a == 0 && c == 0:
	case a == 0:
		t = clamp(g / c)
	case c == 0:
		s = clamp(-f / a)
	default:
		if den := float64(a*c) - float64(b*b); den > 1e-12*a*c {
			s = clamp((float64(b*g) - float64(c*f)) / den)
		}
		t = (float64(b*s) + g) / c
		if t < 0 || t > 1 {
			t = clamp(t)
			s = clamp((float64(b*t) - f) / a)
		}
	}
	n := p.plus(d, s).minus(q.plus(e, t))
	return s, t, math.Sqrt(n.dot(n))
}
