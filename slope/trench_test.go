package slope_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func near(t *testing.T, what string, got units.Volume, want, unit float64, err error) {
	t.Helper()
	if err != nil || math.Abs(float64(got)/unit-want) > 1e-9*(1+math.Abs(want)) {
		t.Errorf("%s: %.9f, %v, want %v", what, float64(got)/unit, err, want)
	}
}

const (
	cubicFoot = float64(units.CubicFoot)
	cubicYard = float64(units.CubicYard)
)

// 100 ft long, 2 ft wide, 3 ft deep at the lower end and 2.25 ft at the upper:
// 100 * 2 * 2.625 = 525 ft3 = 19 4/9 yd3.
func TestTrenchByHand(t *testing.T) {
	tr := slope.Trench{Length: 100 * units.Foot, Width: 2 * units.Foot, DepthLower: 3 * units.Foot,
		DepthUpper: mustLength("2.25 ft")}
	v, err := tr.Volume()
	near(t, "upright, end areas", v, 525, cubicFoot, err)
	near(t, "in yards", v, 19+4.0/9, cubicYard, err)
	v, err = tr.PrismoidalVolume()
	near(t, "upright, prismoidal", v, 525, cubicFoot, err)

	// Battered 1:2, half a foot out a foot of depth: areas (2 + d/2) d are 10.5 ft2 at
	// 3 ft and 2.5 ft2 at 1 ft. They average 6.5; the middle, 2 ft deep, has 6.
	tr = slope.Trench{Length: 60 * units.Foot, Width: 2 * units.Foot, DepthLower: 3 * units.Foot,
		DepthUpper: units.Foot, Batter: slope.OneIn(2)}
	v, err = tr.Volume()
	near(t, "battered, end areas", v, 60*6.5, cubicFoot, err)
	v, err = tr.PrismoidalVolume()
	near(t, "battered, prismoidal", v, 60*(10.5+4*6+2.5)/6, cubicFoot, err)
	lower, upper, err := tr.TopWidths()
	if err != nil || lower != 5*units.Foot || upper != 3*units.Foot {
		t.Errorf("tops %v, %v, %v", lower, upper, err)
	}
	// Its integral: of (2 + d/2) d for d from 1 to 3, times 60/2 = 30 ft a foot of depth.
	near(t, "battered, integral", v, 30*((9+27.0/6)-(1+1.0/6)), cubicFoot, nil)
}

func TestEndAreas(t *testing.T) {
	sqft := units.SquareFoot
	v, err := slope.AverageEndArea(50*units.Foot, 20*sqft, 30*sqft)
	near(t, "end areas", v, 1250, cubicFoot, err)
	// A pyramid 9 ft high on 100 ft2: end areas would say 450, it has 300.
	v, err = slope.Prismoidal(9*units.Foot, 0, 25*sqft, 100*sqft)
	near(t, "pyramid", v, 300, cubicFoot, err)
	_, err1 := slope.AverageEndArea(-1, 0, 0)
	_, err2 := slope.AverageEndArea(1, -1, 0)
	_, err3 := slope.Prismoidal(1, 0, units.Area(math.NaN()), 0)
	_, err4 := slope.Prismoidal(1, 0, 0, units.Area(math.Inf(1)))
	for i, err := range []error{err1, err2, err3, err4} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("refusal %d: %v", i+1, err)
		}
	}
}

// Depths 2, 3 and 3, a step to 4, and 4 ft at 0, 10, 20, 20 and 30 ft, 2 ft wide:
// 50 + 60 + 80 ft3.
func TestTrenchAlong(t *testing.T) {
	ft := func(x float64) units.Length { return units.Feet(x) }
	v, err := slope.TrenchAlong(2*units.Foot, slope.Grade{},
		[]slope.Depth{{0, ft(2)}, {ft(10), ft(3)}, {ft(20), ft(3)}, {ft(20), ft(4)}, {ft(30), ft(4)}})
	near(t, "along", v, 190, cubicFoot, err)
	v, err = slope.TrenchAlong(2*units.Foot, slope.Grade{}, nil)
	near(t, "nowhere", v, 0, 1, err)
	_, err = slope.TrenchAlong(2*units.Foot, slope.Grade{}, []slope.Depth{{ft(5), ft(2)}, {ft(3), ft(2)}, {ft(8), -1}})
	if !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "depth 2") ||
		!strings.Contains(err.Error(), "depth 3") {
		t.Errorf("%v", err)
	}
}

// A 100 ft trench, 2 ft wide and 4 ft deep, with a pipe of 1 ft outside diameter on
// half a foot of bedding under one foot of initial backfill: bedding 100 ft3, zone
// to 2.5 ft 500 ft3, pipe 25 pi ft3, final backfill 300 ft3.
func TestFilling(t *testing.T) {
	tr := slope.Trench{Length: 100 * units.Foot, Width: 2 * units.Foot, DepthLower: 4 * units.Foot,
		DepthUpper: 4 * units.Foot}
	fill := slope.Fill{Pipe: slope.Pipe{Bore: 10 * units.Inch, Wall: units.Inch}, Bedding: 6 * units.Inch,
		Initial: units.Foot}
	got, err := tr.Filling(fill)
	near(t, "trench", got.Trench, 800, cubicFoot, err)
	near(t, "bedding", got.Bedding, 100, cubicFoot, err)
	near(t, "pipe", got.Pipe, 25*math.Pi, cubicFoot, err)
	near(t, "initial", got.Initial, 400-25*math.Pi, cubicFoot, err)
	near(t, "final", got.Final, 300, cubicFoot, err)
	full := tr
	full.Width, full.DepthLower, full.DepthUpper = units.Foot, mustLength("2.5 ft"), mustLength("2.5 ft")
	got, err = full.Filling(fill)
	near(t, "filled to the brim", got.Final, 0, cubicFoot, err)
	// With battered sides the parts still make the whole.
	tr.Batter, tr.DepthUpper = slope.OneIn(3), mustLength("3.1 ft")
	got, err = tr.Filling(fill)
	near(t, "sum of parts", got.Bedding+got.Initial+got.Pipe+got.Final, float64(got.Trench), 1, err)
	if got.Bedding <= 100*units.CubicFoot || got.Final <= 0 {
		t.Errorf("battered: %+v", got)
	}
	narrow, shallow, noPipe := tr, tr, fill
	narrow.Width = 11 * units.Inch
	shallow.DepthUpper = mustLength("2.4 ft")
	noPipe.Pipe.Bore = 0
	_, err1 := narrow.Filling(fill)
	_, err2 := shallow.Filling(fill)
	_, err3 := tr.Filling(noPipe)
	for i, err := range []error{err1, err2, err3} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("refusal %d: %v", i+1, err)
		}
	}
}

func TestSpoilAndWater(t *testing.T) {
	v, err := slope.Spoil(20*units.CubicYard, 1.25)
	near(t, "spoil", v, 25, cubicYard, err)
	v, err = slope.Spoil(0, 1)
	near(t, "no spoil", v, 0, 1, err)
	v, err = slope.Spoil(units.CubicYard, 3)
	near(t, "the most", v, 3, cubicYard, err)
	for _, swell := range []float64{0.99, 3.01, 25, math.NaN(), math.Inf(1)} {
		if _, err := slope.Spoil(1, swell); !errors.Is(err, units.ErrRange) {
			t.Errorf("swell %v: %v", swell, err)
		}
	}
	for _, bank := range []units.Volume{-1, units.Volume(math.NaN())} {
		if _, err := slope.Spoil(bank, 1.25); !errors.Is(err, units.ErrRange) {
			t.Errorf("bank %v: %v", bank, err)
		}
	}
	// 4 in bore, 100 ft: 4 pi in2 * 1200 in = 4800 pi in3, 231 in3 a gallon: 65.28 gal.
	v, err = slope.WaterToFill(4*units.Inch, 100*units.Foot)
	near(t, "water", v, 4800*math.Pi/231, float64(units.USGallon), err)
	if _, err := slope.WaterToFill(0, units.Foot); !errors.Is(err, units.ErrRange) {
		t.Errorf("no bore: %v", err)
	}
	// 100 ft at 1/4 in/ft and a 10 ft standpipe: 12 ft 1 in.
	if h, err := slope.WaterTestHead(100*units.Foot, slope.OneIn(48), 10*units.Foot); err != nil ||
		h != mustLength("12'-1\"") {
		t.Errorf("head %v, %v", h, err)
	}
	if _, err := slope.WaterTestHead(units.Foot, slope.OneIn(-48), 0); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("rising: %v", err)
	}
}

func TestTrenchRefusals(t *testing.T) {
	good := slope.Trench{Length: units.Foot, Width: units.Foot, DepthLower: units.Foot, DepthUpper: units.Foot}
	for i, change := range []func(*slope.Trench){
		func(t *slope.Trench) { t.Length = 0 }, func(t *slope.Trench) { t.Width = 0 },
		func(t *slope.Trench) { t.Width = -1 },
		func(t *slope.Trench) { t.DepthLower = -1 }, func(t *slope.Trench) { t.DepthUpper = math.MaxInt64 },
		func(t *slope.Trench) { t.Batter = slope.OneIn(0) }, func(t *slope.Trench) { t.Batter = slope.OneIn(-2) },
	} {
		tr := good
		change(&tr)
		_, err1 := tr.Volume()
		_, err2 := tr.PrismoidalVolume()
		_, _, err3 := tr.TopWidths()
		_, err4 := tr.Filling(slope.Fill{Pipe: slope.Pipe{Bore: units.Inch}})
		for _, err := range []error{err1, err2, err3, err4} {
			if !errors.Is(err, units.ErrRange) && !errors.Is(err, slope.ErrGrade) {
				t.Errorf("change %d: %v", i+1, err)
			}
		}
	}
}

// 3 ft down over 4 ft along is 5 ft of pipe; at 2 % over 100 ft it is 100.02 ft.
func TestSlopeLength(t *testing.T) {
	if l, err := slope.MustParse("75 %").SlopeLength(4 * units.Foot); err != nil || l != 5*units.Foot {
		t.Errorf("%v, %v", l, err)
	}
	if l, err := slope.MustParse("2 %").SlopeLength(100 * units.Foot); err != nil ||
		math.Abs(l.Feet()-100.019998) > 5e-7 {
		t.Errorf("%v, %v", l.Feet(), err)
	}
	if l, err := (slope.Grade{}).SlopeLength(units.MaxLength); err != nil || l != units.MaxLength {
		t.Errorf("the longest: %v, %v", l, err)
	}
	if _, err := slope.MustParse("1 %").SlopeLength(units.MaxLength); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "length: out of range: more than 1000 km") {
		t.Errorf("too long: %v", err)
	}
	if _, err := slope.OneIn(0).SlopeLength(units.Foot); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("%v", err)
	}
}
