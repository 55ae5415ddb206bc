package slope

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/angle"
	"github.com/trapweir/trapweir/units"
)

// Plane is a plane swept by a laser or a screed, with a grade ahead and a grade
// across. The zero Plane is level.
//
// Ahead falls positive in the direction the plane is set up to face, Across falls
// positive to the right of it. Bearings are in degrees clockwise from ahead,
// seen from above; for plan bearings from north, subtract the bearing of ahead.
//
// [Plane.PercentAlong] is what a pipe at any bearing gets from it, [Plane.Follow] warns of
// runs that would be laid backwards. Along the fall of a beam the reading on a pipe of that
// grade stays the same; down a pipe that falls against it, it grows by the sum of both
// grades per run: [Setup].
type Plane struct {
	Ahead  Grade `json:"ahead"`
	Across Grade `json:"across"`
}

// PercentAlong returns the grade, in percent, that a pipe laid by the plane gets
// at a bearing; negative where the plane rises.
//
//	ahead · cos b + across · sin b
//
// It is exact, but for the division, at multiples of 90 degrees. Source: plane
// geometry.
func (p Plane) PercentAlong(bearing float64) (float64, error) {
	if err := firstOf(checkGrade(p.Ahead), checkGrade(p.Across), checkNumber("bearing", bearing)); err != nil {
		return 0, err
	}
	sin, cos := angle.SinCos(bearing)
	return float64(p.Ahead.Percent()*cos) + float64(p.Across.Percent()*sin), nil
}

// FallTo returns how far the plane falls from where it stands to a point that
// lies ahead and to the right of it, exactly but for rounding each part to the
// nearest nanometre. Like [Grade.Over] it has no error: beyond the range of int64
// it returns a Length that is not valid.
func (p Plane) FallTo(ahead, right units.Length) units.Length {
	a, b := p.Ahead.Over(ahead), p.Across.Over(right)
	switch {
	case a > 0 && b > math.MaxInt64-a:
		return math.MaxInt64
	case a < 0 && b < math.MinInt64-a:
		return math.MinInt64
	}
	return a + b
}

// Steepest returns the greatest grade of the plane in percent, and the bearing in
// degrees, -180 to 180, in which it falls.
//
//	sqrt(ahead² + across²)        atan2(across, ahead)
//
// A grade that is not [Grade.Valid] counts as vertical, an infinite percent.
func (p Plane) Steepest() (percent, bearing float64) {
	a, c := p.Ahead.Percent(), p.Across.Percent()
	return hypot(a, c), math.Atan2(c, a) * 180 / math.Pi
}

// Heading is a run of pipe to be laid by a plane.
type Heading struct {
	Name string `json:"name"`
	// Bearing is the direction in which the run should fall, in degrees clockwise
	// from ahead.
	Bearing float64 `json:"bearing"`
	// Grade is the design grade of the run.
	Grade Grade `json:"grade"`
}

// Following is what becomes of a run that is laid by holding a constant height
// to a plane.
type Following struct {
	Name string `json:"name"`
	// Percent is the grade the run gets, in percent; negative is backwards.
	Percent float64 `json:"percent"`
	// PerRun is by how much the rod reading must change in each unit of run, in
	// percent, going down the run, to lay it at its design grade after all: the
	// design grade less the grade of the plane. Zero along the beam; against it,
	// the sum of both grades.
	PerRun float64 `json:"per_run"`
	Result Follow  `json:"result"`
}

// Follow says how a run that follows a plane turns out.
type Follow uint8

// What becomes of a run that follows a plane.
const (
	FollowsDesign Follow = iota // at its design grade, to 1e-9 percent
	FollowsSteeper
	FollowsFlatter
	FollowsLevel
	FollowsBackwards
)

// Warning says in words what a crew has to know before it follows the plane, or
// nothing if the run gets its grade.
func (f Following) Warning() string {
	run := "the run"
	if f.Name != "" {
		run = fmt.Sprintf("run %q", f.Name)
	}
	reading := fmt.Sprintf("the reading must grow by %.3f %% of the run", f.PerRun)
	if f.Result == FollowsSteeper {
		reading = fmt.Sprintf("the reading must shrink by %.3f %% of the run", -f.PerRun)
	}
	switch f.Result {
	case FollowsBackwards:
		return fmt.Sprintf("following the beam grades %s backwards by %.3f %%; %s", run, -f.Percent, reading)
	case FollowsLevel:
		return fmt.Sprintf("following the beam lays %s level; %s", run, reading)
	case FollowsFlatter:
		return fmt.Sprintf("following the beam lays %s at %.3f %%, flatter than its grade; %s", run, f.Percent, reading)
	case FollowsSteeper:
		return fmt.Sprintf("following the beam lays %s at %.3f %%, steeper than its grade; %s", run, f.Percent, reading)
	}
	return ""
}

// Follow tells for each run what grade it gets when its crew holds a constant
// height to the plane.
func (p Plane) Follow(runs []Heading) ([]Following, error) {
	out := make([]Following, len(runs))
	for i, r := range runs {
		got, err := p.PercentAlong(r.Bearing)
		if err := firstOf(err, checkGrade(r.Grade)); err != nil {
			return nil, fmt.Errorf("%s: %w", itemName("run", i, r.Name), err)
		}
		f := Following{Name: r.Name, Percent: got, PerRun: r.Grade.Percent() - got}
		const same = 1e-9
		switch {
		case math.Abs(f.PerRun) <= same:
			f.Result = FollowsDesign
		case got < -same:
			f.Result = FollowsBackwards
		case got <= same:
			f.Result = FollowsLevel
		case f.PerRun > 0:
			f.Result = FollowsFlatter
		default:
			f.Result = FollowsSteeper
		}
		out[i] = f
	}
	return out, nil
}
