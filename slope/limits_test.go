package slope_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Whatever the notation, the text of a grade is read back, or the grade has none.
func TestTextIsRead(t *testing.T) {
	for _, c := range []struct {
		rise, run int64
		places    int
		want      string
	}{
		{1, 48, 0, "1:48"}, {-1, 48, 2, "-1:48.00"}, {1, 1, 0, "1:1"}, {1, 1, 2, "1:1.00"},
		{2, 1, 1, "1 ft per 0.5 ft"}, {-2, 1, 2, "-1 ft per 0.50 ft"}, {9, 7, 3, "1 ft per 0.778 ft"},
		{9, 7, 0, "1:1"}, {1001, 1000, 2, "1:1.00"}, {1000, 999, 3, "1 ft per 0.999 ft"},
		{3, 1, 0, ""}, {-1000, 1, 2, ""}, {1000, 1, 3, "1 ft per 0.001 ft"},
	} {
		g, err := slope.Ratio(c.rise, c.run)
		if err != nil {
			t.Fatal(err)
		}
		text := g.Text(slope.OneInN, c.places)
		back, err := g.Rounded(slope.OneInN, c.places)
		if c.want == "" {
			if !errors.Is(err, slope.ErrGrade) || !strings.Contains(text, "too steep for one in n") {
				t.Errorf("%v: %q, %v", g, text, err)
			}
			continue
		}
		if text != c.want || err != nil {
			t.Errorf("%v to %d places: %q, want %q, %v", g, c.places, text, c.want, err)
		}
		if again, err := slope.Parse(text); err != nil || again != back {
			t.Errorf("%q reads as %v, %v; want %v", text, again, err, back)
		}
	}
	for n := slope.FractionPerFoot; n <= slope.OneInN; n++ {
		for _, r := range [][2]int64{{1, 48}, {-7, 300}, {3, 2}, {1, 1}, {-17, 16}, {1, 3}} {
			g, err := slope.Ratio(r[0], r[1])
			if err != nil {
				t.Fatal(err)
			}
			places := 4
			if back, err := g.Rounded(n, places); err != nil || math.Abs(back.Float()-g.Float()) > 0.02 {
				t.Errorf("%v in notation %d: %q, %v", g, n, g.Text(n, places), err)
			}
		}
	}
}

// The longest decimal and the greatest exponent that are taken, and one more.
func TestDecimalLimits(t *testing.T) {
	for _, c := range []struct {
		d     decimal.Decimal
		taken bool // for its length; whether it fits a ratio is another matter
	}{
		{decimal.New(0, 1000), true}, {decimal.New(0, 1001), false},
		{decimal.New(0, -1000), true}, {decimal.New(0, -1001), false},
		{decimal.RequireFromString(strings.Repeat("0", 2) + "." + strings.Repeat("5", 1000)), true},
		{decimal.RequireFromString("." + strings.Repeat("5", 1001)), false},
	} {
		_, err := slope.FromDecimal(c.d)
		if long := err != nil && strings.Contains(err.Error(), "is too long"); long == c.taken {
			t.Errorf("%d digits, exponent %d: %v", c.d.NumDigits(), c.d.Exponent(), err)
		}
	}
	nines := decimal.RequireFromString(strings.Repeat("9", 1000))
	if _, err := slope.FromDecimal(nines); !errors.Is(err, slope.ErrGrade) ||
		strings.Contains(err.Error(), "is too long") {
		t.Errorf("1000 digits: %v", err)
	}
	if _, err := slope.FromDecimal(nines.Mul(decimal.New(10, 0)).Add(decimal.New(1, 0))); err == nil ||
		!strings.Contains(err.Error(), "is too long") {
		t.Errorf("1001 digits: %v", err)
	}
}

func TestScaleByNothing(t *testing.T) {
	g := slope.OneIn(48)
	for _, den := range []int64{0, -1} {
		if h, err := g.Scale(1, den); !errors.Is(err, slope.ErrGrade) ||
			!strings.Contains(err.Error(), "times 1 over") {
			t.Errorf("over %d: %v, %v", den, h, err)
		}
	}
}

// The greatest fall that an int64 holds is itself, on both sides of zero.
func TestGreatestFall(t *testing.T) {
	level := slope.OneIn(1)
	for _, run := range []units.Length{math.MaxInt64, -math.MaxInt64, math.MaxInt64 - 1} {
		if got := level.Over(run); got != run {
			t.Errorf("over %d at 1:1: %d", int64(run), int64(got))
		}
	}
}

// Errors of ranges say how far is too far.
func TestRangeInWords(t *testing.T) {
	if _, err := slope.OneIn(1 << 40).RunFor(units.Metre); err == nil ||
		!strings.Contains(err.Error(), "over 1000 km") {
		t.Errorf("run: %v", err)
	}
	l := slope.Line{Outlet: 999e3 * units.Metre,
		Reaches: []slope.Reach{{Run: 2e3 * units.Metre, Grade: slope.OneIn(1), Pipe: slope.Pipe{Bore: units.Foot}}}}
	if _, err := l.Profile(); err == nil || !strings.Contains(err.Error(), "more than 1000 km from zero") {
		t.Errorf("line: %v", err)
	}
	c := slope.Circuit{Benchmark: -999e3 * units.Metre,
		Setups: []slope.LevelSetup{{Backsight: units.Metre, Foresight: 2e3 * units.Metre}}}
	if _, err := c.Elevations(); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "turning point") {
		t.Errorf("circuit: %v", err)
	}
}

// A stake at the end of a reach stands there once.
func TestStakesAtJoints(t *testing.T) {
	reach := slope.Reach{Run: 10 * units.Foot, Grade: slope.OneIn(48), Pipe: slope.Pipe{Bore: units.Foot / 4}}
	p, err := slope.Line{Reaches: []slope.Reach{reach, reach}}.Profile()
	if err != nil {
		t.Fatal(err)
	}
	all, err := p.Every(5 * units.Foot)
	if err != nil {
		t.Fatal(err)
	}
	var got []float64
	for _, s := range all {
		got = append(got, s.Distance.Feet())
	}
	if diff := cmp.Diff([]float64{0, 5, 10, 15, 20}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	// The number of stakes is what counts, wherever the line begins.
	const far = 600 * units.Metre
	if _, err := slope.Stakes(-far, far, units.Millimetre); !errors.Is(err, units.ErrRange) {
		t.Errorf("1.2 million stakes: %v", err)
	}
	for n, ok := range map[units.Length]bool{999_999: true, 1_000_000: false} {
		if stakes, err := slope.Stakes(0, n*units.Millimetre, units.Millimetre); ok != (err == nil) || ok &&
			len(stakes) != 1_000_000 {
			t.Errorf("%d intervals: %d stakes, %v", n, len(stakes), err)
		}
	}
	if stakes, err := slope.Stakes(far, far+9*units.Millimetre, units.Millimetre); err != nil || len(stakes) != 10 {
		t.Errorf("ten stakes far out: %d, %v", len(stakes), err)
	}
}

func TestFollowingSteeperInWords(t *testing.T) {
	f := slope.Following{Result: slope.FollowsSteeper, Percent: 3, PerRun: -1}
	if got := f.Warning(); !strings.Contains(got, "at 3.000 %, steeper") ||
		!strings.Contains(got, "shrink by 1.000 %") {
		t.Error(got)
	}
}

// 100 in of height, less 7 clear, 4 of bore, 1 of wall, 20 of invert and 3 of drops.
func TestRoomLeft(t *testing.T) {
	r := slope.Room{Invert: 20 * units.Inch, Ceiling: 100 * units.Inch, Clearance: 7 * units.Inch,
		Drops: 3 * units.Inch,
		Pipe:  slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch}}
	if left, err := r.Left(); err != nil || left != 65*units.Inch {
		t.Errorf("%v, %v", left, err)
	}
}

// A quotient at the end of 64 bits that rounds up goes to the end of the range: 253921 nm at 145295143558111
// to 2, whose product is 2^65 - 1, fall half a nanometre less than 2^64.
func TestOverAtTheEndOf64Bits(t *testing.T) {
	g, err := slope.Ratio(145295143558111, 2)
	if err != nil {
		t.Fatal(err)
	}
	if fall := g.Over(253921); fall != math.MaxInt64 {
		t.Errorf("the fall is %d", int64(fall))
	}
	if fall := g.Neg().Over(253921); fall != math.MinInt64 {
		t.Errorf("the rise is %d", int64(fall))
	}
}
