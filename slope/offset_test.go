package slope_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Travel and advance for each inch of offset: cosecant and cotangent as five-place
// tables of trigonometric functions print them. Exact where a root gives them:
// 30 and 60 from the half square, 45 from the square.
func TestOffsetConstants(t *testing.T) {
	for _, tt := range []struct{ degrees, travel, advance float64 }{
		{slope.ThirtySecondBend, 5.12583, 5.02734}, {slope.SixteenthBend, 2.61313, 2.41421}, {30, 2, 1.73205},
		{slope.EighthBend, 1.41421, 1},
		{slope.SixthBend, 1.15470, 0.57735}, {slope.FifthBend, 1.05146, 0.32492}, {slope.QuarterBend, 1, 0},
		{15, 3.86370, 3.73205}, {5, 11.47371, 11.43005},
	} {
		o, err := slope.NewOffset(100*units.Inch, tt.degrees)
		if err != nil {
			t.Fatal(err)
		}
		travel, advance, err := slope.OffsetFactors(tt.degrees)
		if err != nil || math.Abs(travel-tt.travel) > 5e-6 || math.Abs(advance-tt.advance) > 5e-6 {
			t.Errorf("%v degrees: factors %v and %v, %v, want %v and %v", tt.degrees, travel, advance, err, tt.travel,
				tt.advance)
		}
		if math.Abs(o.Travel.Inches()-100*tt.travel) > 0.0005+1e-9 ||
			math.Abs(o.Advance.Inches()-100*tt.advance) > 0.0005+1e-9 {
			t.Errorf("%v degrees: travel %v, advance %v, want %v and %v", tt.degrees, o.Travel.Inches()/100,
				o.Advance.Inches()/100, tt.travel, tt.advance)
		}
	}
}

func TestOffsetsByHand(t *testing.T) {
	if o, err := slope.NewOffset(10*units.Inch, 30); err != nil || o.Travel != 20*units.Inch {
		t.Errorf("10 in at 30 degrees travels %v in, %v", o.Travel.Inches(), err)
	}
	if o, err := slope.NewOffset(10*units.Inch, 45); err != nil || o.Advance != 10*units.Inch {
		t.Errorf("10 in at 45 degrees advances %v in, %v", o.Advance.Inches(), err)
	}
	if o, err := slope.NewOffset(10*units.Inch, 90); err != nil || o.Advance != 0 || o.Travel != 10*units.Inch {
		t.Errorf("10 in at 90 degrees: %+v, %v", o, err)
	}
	// Three, four, five: and 5 ft at 30 degrees travels 10 ft.
	r, err := slope.NewRollingOffset(3*units.Foot, 4*units.Foot, 30)
	if err != nil || r.True != 5*units.Foot || r.Travel != 10*units.Foot || math.Abs(r.Roll-36.8699) > 5e-5 {
		t.Errorf("3 up and 4 aside: %+v, %v", r, err)
	}
	if r, err := slope.NewRollingOffset(0, units.Foot, 45); err != nil || r.True != units.Foot || r.Roll != 0 {
		t.Errorf("no rise: %+v, %v", r, err)
	}
	// tan 22.5 = 0.41421, tan 45 = 1.
	if d, err := slope.ParallelOffset(10*units.Inch, 45); err != nil || math.Abs(d.Inches()-4.1421) > 5e-5 {
		t.Errorf("parallel at 45: %v, %v", d.Inches(), err)
	}
	if d, err := slope.ParallelOffset(10*units.Inch, 90); err != nil || d != 10*units.Inch {
		t.Errorf("parallel at 90: %v, %v", d.Inches(), err)
	}
	if d, err := slope.BendTakeOff(6*units.Inch, 90); err != nil || d != 6*units.Inch {
		t.Errorf("take-off of a quarter bend: %v, %v", d.Inches(), err)
	}
	if d, err := slope.BendTakeOff(10*units.Inch, 45); err != nil || math.Abs(d.Inches()-4.1421) > 5e-5 {
		t.Errorf("take-off of an eighth bend: %v, %v", d.Inches(), err)
	}
	_, err = slope.CutLength(units.Foot, -1, units.Inch, -units.Inch)
	if !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "fitting 1: take-off: out of range: -0.000001 mm is negative") ||
		!strings.Contains(err.Error(), "fitting 3") {
		t.Errorf("negative take-offs: %v", err)
	}
	// 14.1421 in of travel less twice 2 3/4 in.
	o, err := slope.NewOffset(10*units.Inch, 45)
	if err != nil {
		t.Fatal(err)
	}
	if cut, err := slope.CutLength(o.Travel, mustLength("2 3/4 in"), mustLength("2 3/4 in")); err != nil ||
		math.Abs(cut.Inches()-8.6421) > 5e-5 {
		t.Errorf("cut %v in, %v", cut.Inches(), err)
	}
	if cut, err := slope.CutLength(units.Foot); err != nil || cut != units.Foot {
		t.Errorf("no fittings: %v, %v", cut, err)
	}
	if cut, err := slope.CutLength(units.Foot, 6*units.Inch, 6*units.Inch); err != nil || cut != 0 {
		t.Errorf("fittings end to end: %v, %v", cut, err)
	}
	if _, err := slope.CutLength(units.Foot, 7*units.Inch, 6*units.Inch); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "1 in (25.4 mm) more") {
		t.Errorf("fittings overlap: %v", err)
	}
}

func TestOffsetRefusals(t *testing.T) {
	for _, a := range []float64{0, -45, 90.001, 180, math.NaN(), math.Inf(1)} {
		_, err1 := slope.NewOffset(units.Foot, a)
		_, err2 := slope.NewRollingOffset(units.Foot, units.Foot, a)
		_, err3 := slope.ParallelOffset(units.Foot, a)
		_, err4 := slope.BendTakeOff(units.Foot, a)
		_, _, err5 := slope.OffsetFactors(a)
		for _, err := range []error{err1, err2, err3, err4, err5} {
			if !errors.Is(err, units.ErrRange) {
				t.Errorf("%v degrees: %v", a, err)
			}
		}
	}
	_, err1 := slope.NewOffset(0, 45)
	_, err2 := slope.NewOffset(-1, 45)
	_, err3 := slope.NewRollingOffset(0, 0, 45)
	_, err4 := slope.NewRollingOffset(-1, 1, 45)
	_, err5 := slope.NewOffset(units.MaxLength, 1)
	_, err6 := slope.ParallelOffset(-1, 45)
	_, err7 := slope.CutLength(-1)
	_, err8 := slope.CutLength(units.Foot, -1)
	_, _, _, err9 := slope.Sticks(units.Foot, 0)
	for i, err := range []error{err1, err2, err3, err4, err5, err6, err7, err8, err9} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("refusal %d: %v", i+1, err)
		}
	}
}

func TestSticks(t *testing.T) {
	for _, tt := range []struct {
		run, stick, last, scrap string
		whole                   int64
	}{{"30 ft", "10 ft", "0 in", "0 in", 3}, {"31 ft", "10 ft", "1 ft", "9 ft", 3},
		{"3 ft", "10 ft", "3 ft", "7 ft", 0}, {"0 ft", "10 ft", "0 ft", "0 ft", 0}} {
		whole, last, scrap, err := slope.Sticks(mustLength(tt.run), mustLength(tt.stick))
		if err != nil || whole != tt.whole || last != mustLength(tt.last) || scrap != mustLength(tt.scrap) {
			t.Errorf("%s of %s: %d, %v, %v, %v", tt.run, tt.stick, whole, last, scrap, err)
		}
	}
}
