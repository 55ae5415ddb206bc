// Package plan holds places and directions on plan, which layouts of drains and of water
// lines share.
package plan

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/units"
)

// Position is a place on plan, by any two axes at right angles: x to the right,
// y ahead.
type Position struct {
	X units.Length `json:"x" read:"need"`
	Y units.Length `json:"y" read:"need"`
}

// Toward returns the place at a distance in a direction.
func (p Position) Toward(b Bearing, distance units.Length) Position {
	angle := b.Degrees() * math.Pi / 180
	along := func(x float64) units.Length { return units.Length(math.Round(x * float64(distance))) }
	return Position{p.X + along(math.Sin(angle)), p.Y + along(math.Cos(angle))}
}

// To returns the distance on plan to another place.
func (p Position) To(q Position) units.Length {
	return units.Length(math.Round(math.Hypot(float64(q.X-p.X), float64(q.Y-p.Y))))
}

// Bearing is a direction on plan, clockwise from ahead (the y axis), in whole
// thousandths of a degree from 0 up to, not including, 360. The zero Bearing is
// no bearing; [Degrees](0) is ahead. Bearings compare with ==.
type Bearing struct{ mdegPlus1 int32 }

const fullTurn = 360_000

// ErrBearing is wrapped by every error about a bearing.
var ErrBearing = errors.New("not a bearing")

// Degrees makes a bearing from degrees, to the nearest thousandth; whole turns
// are dropped. It is no bearing if x is not a number or beyond ±1e6.
func Degrees(x float64) Bearing {
	m := math.RoundToEven(x * 1000)
	if !(math.Abs(m) <= 1e9) {
		return Bearing{}
	}
	r := int64(m) % fullTurn
	if r < 0 {
		r += fullTurn
	}
	return Bearing{int32(r) + 1}
}

// Equal reports whether two bearings are one, as == does.
func (b Bearing) Equal(c Bearing) bool { return b == c }

// Compare orders bearings by their angle, no bearing first.
func (b Bearing) Compare(c Bearing) int { return cmp.Compare(b.mdegPlus1, c.mdegPlus1) }

// IsZero reports whether b is no bearing.
func (b Bearing) IsZero() bool { return b.mdegPlus1 == 0 }

// Degrees returns b in degrees, 0 for no bearing.
func (b Bearing) Degrees() float64 { return float64(max(b.mdegPlus1-1, 0)) / 1000 }

// Turn returns the angle between two bearings, 0 to 180 degrees, in thousandths
// of a degree, and false if either is no bearing.
func (b Bearing) Turn(c Bearing) (mdeg int32, ok bool) {
	if b.IsZero() || c.IsZero() {
		return 0, false
	}
	d := b.mdegPlus1 - c.mdegPlus1
	if d < 0 {
		d = -d
	}
	return min(d, fullTurn-d), true
}

// BearingOf returns the bearing from one place to another, no bearing if they
// are the same.
func BearingOf(from, to Position) Bearing {
	dx, dy := float64(to.X-from.X), float64(to.Y-from.Y)
	if dx == 0 && dy == 0 {
		return Bearing{}
	}
	return Degrees(math.Atan2(dx, dy) * 180 / math.Pi)
}

// String writes "45 deg", or "" for no bearing.
func (b Bearing) String() string {
	if b.IsZero() {
		return ""
	}
	return strconv.FormatFloat(b.Degrees(), 'f', -1, 64) + " deg"
}

// MarshalText writes the bearing as String does.
func (b Bearing) MarshalText() ([]byte, error) { return []byte(b.String()), nil }

// UnmarshalText reads "45 deg", "-22.5 deg" or "" for no bearing.
func (b *Bearing) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	if s == "" {
		*b = Bearing{}
		return nil
	}
	num, ok := strings.CutSuffix(s, "deg")
	if !ok {
		num, ok = strings.CutSuffix(s, "°")
	}
	if !ok || len(num) > 32 {
		return fmt.Errorf("%w: %.40q: write degrees as in \"45 deg\"", ErrBearing, s)
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(num), 64)
	if err != nil || !(math.Abs(x) <= 360) {
		return fmt.Errorf("%w: %.40q: degrees must be a number within ±360", ErrBearing, s)
	}
	*b = Degrees(x)
	return nil
}
