package slope

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// Trench is a straight stretch of trench. Its cross-section is a trapezoid that
// stands on its narrow side.
//
// Trench walls kill. The volumes and batters here say nothing about whether a
// trench stands: sloping, shoring and shielding, spoil kept back from the edge, a
// way out, gas and water in the trench, and buried services are for a competent
// person on the site and the law that binds it. Digging below and beside footings
// is for an engineer; the planes of [Solid] only show where to ask one.
type Trench struct {
	// Length is the horizontal length.
	Length units.Length `json:"length"`
	// Width is the width of the bottom.
	Width units.Length `json:"width"`
	// DepthLower and DepthUpper are the depths at the two ends.
	DepthLower units.Length `json:"depth_lower"`
	DepthUpper units.Length `json:"depth_upper"`
	// Batter is how far each side leans out, over the depth: level (zero) stands
	// upright, 1:1 at 45 degrees. How steep a side may stand is for the soil and
	// the law to say, not for this package.
	Batter Grade `json:"batter"`
}

func (t Trench) check() error {
	return firstOf(checkPositive("length", t.Length), checkPositive("width", t.Width),
		checkSize("lower depth", t.DepthLower), checkSize("upper depth", t.DepthUpper), t.Batter.checkBatter())
}

func (g Grade) checkBatter() error {
	if g.rise < 0 {
		return fmt.Errorf("batter: %w: %v leans in", ErrGrade, g)
	}
	return checkGrade(g)
}

// area returns the area of the section below a height over the bottom, in square
// metres.
func (t Trench) area(height units.Length) float64 {
	h := height.Metres()
	return (t.Width.Metres() + float64(t.Batter.Float()*h)) * h
}

// Volume returns the volume of the trench by average end area: the length times
// half the sum of the areas at its ends. It is exact for upright sides, and too
// much for battered ones whose depths differ.
//
// Source: common earthwork practice.
func (t Trench) Volume() (units.Volume, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if t.Batter.rise == 0 {
		// One rounding: the depths are added exactly.
		return units.Volume(float64(t.Length) * float64(t.Width) * float64(t.DepthLower+t.DepthUpper) / 2e27), nil
	}
	return AverageEndArea(t.Length, units.Area(t.area(t.DepthLower)), units.Area(t.area(t.DepthUpper)))
}

// PrismoidalVolume returns the volume of the trench by the prismoidal formula,
// which is right for battered sides too when the depth changes evenly from end
// to end.
func (t Trench) PrismoidalVolume() (units.Volume, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	middle := units.Area(t.area(half(t.DepthLower + t.DepthUpper)))
	return Prismoidal(t.Length, units.Area(t.area(t.DepthLower)), middle, units.Area(t.area(t.DepthUpper)))
}

// TopWidths returns the widths at the surface at the two ends.
func (t Trench) TopWidths() (lower, upper units.Length, err error) {
	if err := t.check(); err != nil {
		return 0, 0, err
	}
	lower, upper = t.Batter.Over(t.DepthLower), t.Batter.Over(t.DepthUpper)
	if err := firstOf(check("batter", lower), check("batter", upper)); err != nil { // before it is doubled
		return 0, 0, err
	}
	lower, upper = t.Width+2*lower, t.Width+2*upper
	return lower, upper, firstOf(check("top width", lower), check("top width", upper))
}

// AverageEndArea returns the volume between two cross-sections:
//
//	V = L (A1 + A2) / 2
func AverageEndArea(length units.Length, a1, a2 units.Area) (units.Volume, error) {
	if err := firstOf(checkSize("length", length), checkArea("first area", a1),
		checkArea("second area", a2)); err != nil {
		return 0, err
	}
	return units.Volume(length.Metres() * float64(a1+a2) / 2), nil
}

// Prismoidal returns the volume between two cross-sections with the one in the
// middle:
//
//	V = L (A1 + 4 Am + A2) / 6
func Prismoidal(length units.Length, a1, middle, a2 units.Area) (units.Volume, error) {
	if err := firstOf(checkSize("length", length), checkArea("first area", a1), checkArea("middle area", middle),
		checkArea("second area", a2)); err != nil {
		return 0, err
	}
	return units.Volume(length.Metres() * (float64(a1+a2) + float64(4*float64(middle))) / 6), nil
}

func checkArea(what string, a units.Area) error {
	if err := checkNumber(what, float64(a)); err != nil {
		return err
	}
	if a < 0 {
		return fmt.Errorf("%s: %w: %v m2 is negative", what, units.ErrRange, float64(a))
	}
	return nil
}

// Depth is the depth of a trench at a distance along it.
type Depth struct {
	Distance units.Length `json:"distance"`
	Depth    units.Length `json:"depth"`
}

// TrenchAlong returns the volume of a trench of one width through a row of
// depths, by average end area from each to the next. Distances must grow, or stay
// for a step in the bottom. All faults are reported together.
func TrenchAlong(width units.Length, batter Grade, depths []Depth) (units.Volume, error) {
	var list faults.List
	list.Note("", "", checkPositive("width", width), batter.checkBatter())
	for i, d := range depths {
		note(&list, "depth", i, "", "", check("distance", d.Distance), checkSize("depth", d.Depth))
		if i > 0 && d.Distance < depths[i-1].Distance {
			list.Addf(itemName("depth", i, ""), "distance", "%w: it lies before the one above it", units.ErrRange)
		}
	}
	if err := list.Err(); err != nil {
		return 0, err
	}
	var sum units.Volume
	for i := 1; i < len(depths); i++ {
		a, b := depths[i-1], depths[i]
		if a.Distance == b.Distance {
			continue
		}
		v, err := Trench{b.Distance - a.Distance, width, a.Depth, b.Depth, batter}.Volume()
		note(&list, "depth", i, "", "", err)
		sum += v
	}
	return faults.Result(sum, list.Err())
}

// Fill is how a trench is filled again around a pipe.
type Fill struct {
	Pipe Pipe `json:"pipe"`
	// Bedding is the depth of bedding under the barrel.
	Bedding units.Length `json:"bedding"`
	// Initial is the depth of initial backfill over the top of the pipe.
	Initial units.Length `json:"initial"`
}

// Filling holds the volumes of a filled trench, compacted in place. They add up
// to the trench.
type Filling struct {
	Trench  units.Volume `json:"trench"`  // prismoidal
	Bedding units.Volume `json:"bedding"` // under the barrel
	Initial units.Volume `json:"initial"` // haunches, and over the pipe to the initial depth, without the pipe
	Pipe    units.Volume `json:"pipe"`    // outside of the barrel
	Final   units.Volume `json:"final"`   // the rest, up to the surface
}

// Filling divides the volume of a trench among bedding, initial backfill, pipe
// and final backfill. The depths that a standard or a pipe maker demands are the
// caller's to give. It refuses a trench that is too narrow for the pipe, or at
// either end too shallow for bedding, pipe and initial backfill.
func (t Trench) Filling(f Fill) (Filling, error) {
	if err := firstOf(t.check(), f.Pipe.check(), checkPositive("bore", f.Pipe.Bore), checkSize("bedding", f.Bedding),
		checkSize("initial backfill", f.Initial)); err != nil {
		return Filling{}, err
	}
	od := f.Pipe.OutsideDiameter()
	if od > t.Width {
		return Filling{}, fmt.Errorf("width: %w: %s is less than the pipe, %s", units.ErrRange, show(t.Width), show(od))
	}
	zone := f.Bedding + od + f.Initial
	if d := min(t.DepthLower, t.DepthUpper); d < zone {
		return Filling{}, fmt.Errorf("depth: %w: %s is less than bedding, pipe and initial backfill, %s",
			units.ErrRange, show(d), show(zone))
	}
	total, err := t.PrismoidalVolume()
	if err != nil {
		return Filling{}, err
	}
	l, d := t.Length.Metres(), od.Metres()
	out := Filling{
		Trench:  total,
		Bedding: units.Volume(l * t.area(f.Bedding)),
		Pipe:    units.Volume(l * math.Pi / 4 * d * d),
	}
	upTo := units.Volume(l * t.area(zone))
	out.Initial = upTo - out.Bedding - out.Pipe
	out.Final = total - upTo
	return out, nil
}

// Spoil returns the loose volume of earth dug, from its volume in the bank and a
// swell factor of 1 or more. The factor belongs to the soil of the job: 1.25 for
// common earth, a cubic yard in the bank making 1 1/4 in the heap, is an example of
// common practice, without a source that was checked; sand swells less, rock more.
func Spoil(bank units.Volume, swell float64) (units.Volume, error) {
	if err := firstOf(checkNumber("volume", float64(bank)), checkNumber("swell", swell)); err != nil {
		return 0, err
	}
	switch {
	case bank < 0:
		return 0, fmt.Errorf("volume: %w: %v m3 is negative", units.ErrRange, float64(bank))
	case !(swell >= 1 && swell <= 3):
		return 0, fmt.Errorf("swell: %w: %v: a factor from 1 to 3, such as 1.25 for 25 %%", units.ErrRange, swell)
	}
	return bank * units.Volume(swell), nil
}

// WaterToFill returns the water that fills a pipe for a test: its bore times its
// length along the slope, for which the horizontal run is good enough below 10 %.
func WaterToFill(bore, length units.Length) (units.Volume, error) {
	if err := firstOf(checkPositive("bore", bore), checkPositive("length", length)); err != nil {
		return 0, err
	}
	d := bore.Metres()
	return units.Volume(math.Pi / 4 * d * d * length.Metres()), nil
}

// WaterTestHead returns the greatest head of a water test, at its lower plug: the
// fall of the line and the height of the standpipe at its upper end. A plug must
// be rated for it.
func WaterTestHead(run units.Length, g Grade, standpipe units.Length) (units.Length, error) {
	if err := firstOf(checkSize("run", run), checkGrade(g), checkSize("standpipe", standpipe)); err != nil {
		return 0, err
	}
	if g.rise < 0 {
		return 0, fmt.Errorf("grade: %w: %v rises", ErrGrade, g)
	}
	fall := g.Over(run)
	if err := check("fall", fall); err != nil {
		return 0, err
	}
	head := fall + standpipe
	return head, check("head", head)
}

// SlopeLength returns the length of a pipe laid at a grade over a horizontal
// run: sqrt(run² + fall²), to the nearest nanometre.
func (g Grade) SlopeLength(run units.Length) (units.Length, error) {
	if err := firstOf(checkGrade(g), checkSize("run", run)); err != nil {
		return 0, err
	}
	return nearest("length", hypot(float64(run), float64(g.Over(run))))
}
