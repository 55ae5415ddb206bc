package slope

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// The angles of common drainage fittings, in degrees. Every function takes any
// other angle up to 90 as well.
const (
	ThirtySecondBend = 11.25 // 1/32 of a circle
	SixteenthBend    = 22.5  // 1/16
	EighthBend       = 45.0  // 1/8
	SixthBend        = 60.0  // 1/6
	FifthBend        = 72.0  // 1/5
	QuarterBend      = 90.0  // 1/4
)

// sinTan returns the sine and tangent of an angle in degrees, 0 < a <= 90; the
// tangent of 90 degrees is infinite.
func sinTan(degrees float64) (sin, tan float64, err error) {
	if !(degrees > 0 && degrees <= 90) {
		return 0, 0, fmt.Errorf("angle: %w: %v degrees: more than 0 and up to 90", units.ErrRange, degrees)
	}
	switch degrees {
	case 90:
		return 1, math.Inf(1), nil
	case 45:
		return math.Sqrt2 / 2, 1, nil
	case 30:
		return 0.5, 1 / math.Sqrt(3), nil
	}
	a := degrees * math.Pi / 180
	return math.Sin(a), math.Tan(a), nil
}

// OffsetFactors returns travel and advance for each unit of offset, the constants
// of a fitting: 1 / sin a and 1 / tan a, for 0 < a <= 90 degrees.
func OffsetFactors(degrees float64) (travel, advance float64, err error) {
	sin, tan, err := sinTan(degrees)
	if err != nil {
		return 0, 0, err
	}
	return 1 / sin, 1 / tan, nil
}

// Offset is a pipe taken aside by two equal bends and on in its old direction.
type Offset struct {
	// True is the distance between the two parallel lines.
	True units.Length `json:"true"`
	// Travel is the length of the slanting part, centre to centre of the bends.
	Travel units.Length `json:"travel"`
	// Advance is what the offset gains along the old direction, centre to centre;
	// also setback.
	Advance units.Length `json:"advance"`
}

// NewOffset returns the offset of two bends of an angle, 0 < a <= 90 degrees, to
// the nearest nanometre:
//
//	travel = offset / sin a        advance = offset / tan a
//
// Source: plane trigonometry.
func NewOffset(offset units.Length, degrees float64) (Offset, error) {
	if err := checkPositive("offset", offset); err != nil {
		return Offset{}, err
	}
	return offsetOf(float64(offset), degrees)
}

// offsetOf takes the offset in nanometres unrounded, so that travel and advance
// are rounded once.
func offsetOf(offset, degrees float64) (Offset, error) {
	sin, tan, err := sinTan(degrees)
	if err != nil {
		return Offset{}, err
	}
	direct, err1 := nearest("offset", offset)
	travel, err2 := nearest("travel", offset/sin)
	advance, err3 := nearest("advance", offset/tan)
	if err := firstOf(err1, err2, err3); err != nil {
		return Offset{}, err
	}
	return Offset{direct, travel, advance}, nil
}

// RollingOffset is an offset that goes both up and aside.
type RollingOffset struct {
	Offset
	// Roll is the angle in degrees by which the bends are turned up from lying
	// flat: 0 for no rise, 90 for no side.
	Roll float64 `json:"roll"`
}

// NewRollingOffset returns the offset of two bends of an angle, 0 < a <= 90
// degrees, that rises by rise and goes aside by side:
//
//	true offset = sqrt(rise² + side²)        roll = atan(rise / side)
//
// Source: plane trigonometry.
func NewRollingOffset(rise, side units.Length, degrees float64) (RollingOffset, error) {
	if err := firstOf(checkSize("rise", rise), checkSize("side", side)); err != nil {
		return RollingOffset{}, err
	}
	if rise == 0 && side == 0 {
		return RollingOffset{}, fmt.Errorf("rise and side: %w: one must be more than zero", units.ErrRange)
	}
	r, s := float64(rise), float64(side)
	o, err := offsetOf(hypot(r, s), degrees)
	if err != nil {
		return RollingOffset{}, err
	}
	return RollingOffset{o, math.Atan2(r, s) * 180 / math.Pi}, nil
}

// hypot is plain, since math.Hypot has assembly that may differ in the last bit.
func hypot(x, y float64) float64 { return math.Sqrt(float64(x*x) + float64(y*y)) }

// ParallelOffset returns the start difference of parallel pipes that make the
// same offset and keep their spread, centre to centre: each pipe starts its
// first bend, along its run, this much away from where its neighbour does.
//
//	difference = spread · tan(a / 2)
//
// The travel of all of them is the same. Source: plane trigonometry.
func ParallelOffset(spread units.Length, degrees float64) (units.Length, error) {
	_, _, err := sinTan(degrees)
	if err := firstOf(checkSize("spread", spread), err); err != nil {
		return 0, err
	}
	return nearest("difference", float64(spread)*tanHalf(degrees))
}

// BendTakeOff returns the centre-to-end dimension of a bend without hub, from the
// radius of its centre line: radius · tan(a / 2). A fitting with hubs adds its
// straight parts; take the maker's dimension.
func BendTakeOff(radius units.Length, degrees float64) (units.Length, error) {
	_, _, err := sinTan(degrees)
	if err := firstOf(checkSize("radius", radius), err); err != nil {
		return 0, err
	}
	return nearest("take-off", float64(radius)*tanHalf(degrees))
}

func tanHalf(degrees float64) float64 {
	if degrees == 90 {
		return 1
	}
	return math.Tan(degrees / 2 * math.Pi / 180)
}

// CutLength returns the length to cut a pipe between two fittings: the distance
// between their centres less the take-off of each. The take-off is what the
// fitting covers from its centre to the end of the pipe: for a hub, centre to the
// bottom of the socket. Fittings that would overlap are an error that says by how
// much.
func CutLength(centreToCentre units.Length, takeOffs ...units.Length) (units.Length, error) {
	var list faults.List
	list.Note("", "", checkSize("centre to centre", centreToCentre))
	cut := centreToCentre
	for i, t := range takeOffs {
		if !list.Note(fmt.Sprintf("fitting %d", i+1), "", checkSize("take-off", t)) {
			continue
		}
		if cut -= t; !cut.Valid() {
			cut = -units.MaxLength
		}
	}
	if err := list.Err(); err != nil {
		return 0, err
	}
	if cut < 0 {
		return 0, fmt.Errorf("cut length: %w: the fittings need %s more than there is", units.ErrRange, show(-cut))
	}
	return cut, nil
}

// Sticks returns how many whole pipe lengths a run takes, the piece cut from one
// more for the rest, and the scrap left of that; both are zero when the run ends
// at a joint.
func Sticks(run, stick units.Length) (whole int64, last, scrap units.Length, err error) {
	if err := firstOf(checkSize("run", run), checkPositive("stick", stick)); err != nil {
		return 0, 0, 0, err
	}
	if last = run % stick; last > 0 {
		scrap = stick - last
	}
	return int64(run / stick), last, scrap, nil
}
