package units

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
)

func TestCheckedArithmetic(t *testing.T) {
	sum := func(l ...Length) func() (Length, error) { return func() (Length, error) { return Sum(l...) } }
	for _, c := range []struct {
		name string
		run  func() (Length, error)
		want Length
		ok   bool
	}{
		{"add", func() (Length, error) { return (3 * Foot).Add(-6 * Inch) }, 30 * Inch, true},
		{"add to the limit", func() (Length, error) { return (MaxLength - 1).Add(1) }, MaxLength, true},
		{"add past the limit", func() (Length, error) { return MaxLength.Add(1) }, 0, false},
		{"add past the lower limit", func() (Length, error) { return (-MaxLength).Add(-1) }, 0, false},
		{"add what would wrap", func() (Length, error) { return Length(math.MaxInt64).Add(math.MaxInt64) }, 0, false},
		{"add an invalid one", func() (Length, error) { return Inches(math.NaN()).Add(Inch) }, 0, false},
		{"sum of nothing", sum(), 0, true},
		{"sum", sum(Foot, Inch, -tick), 13*Inch - tick, true},
		{"sum with a high middle", sum(MaxLength, MaxLength, -MaxLength), MaxLength, true},
		{"sum past the limit", sum(MaxLength, 1), 0, false},
		{"sum with an invalid one", sum(math.MinInt64, Inch), 0, false},
		{"mul", func() (Length, error) { return (Inch / 4).Mul(-48) }, -Foot, true},
		{"mul past the limit", func() (Length, error) { return MaxLength.Mul(2) }, 0, false},
		{"mul that would wrap to a valid length", func() (Length, error) { return Length(1 << 32).Mul(1 << 32) }, 0,
			false},
		{"37 ft 6 in at 1/4 in per ft", func() (Length, error) { return (450 * Inch).Scale(1, 48) }, 9*Inch + 24*tick,
			true},
		{"scale to a half, even", func() (Length, error) { return Length(5).Scale(1, 2) }, 2, true},
		{"scale to a half, odd", func() (Length, error) { return Length(7).Scale(1, 2) }, 4, true},
		{"scale negative", func() (Length, error) { return Length(-7).Scale(1, 2) }, -4, true},
		{"scale by two negatives", func() (Length, error) { return Length(-7).Scale(-3, -1) }, -21, true},
		{"scale by zero", func() (Length, error) { return Foot.Scale(1, 0) }, 0, false},
		{"scale by the extremes", func() (Length, error) { return Foot.Scale(math.MinInt64, math.MinInt64) }, Foot,
			true},
		{"scale through 128 bits", func() (Length, error) { return MaxLength.Scale(math.MaxInt64, math.MaxInt64) },
			MaxLength, true},
		{"scale an invalid one", func() (Length, error) { return Length(math.MaxInt64).Scale(1, 1<<62) }, 0, false},
	} {
		got, err := c.run()
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("%s: %s, %v; want %s, %v", c.name, got, err, c.want, c.ok)
		}
		if err != nil && !errors.Is(err, ErrRange) && c.name != "scale by zero" {
			t.Errorf("%s: %v does not match ErrRange", c.name, err)
		}
	}
}

func randomLength(r *rand.Rand) Length { return Length(r.Uint64()) >> r.IntN(63) }

// Big integers are the judge of everything that goes through 128 bits.
func TestArithmeticAgainstBigIntegers(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	limit := big.NewInt(int64(MaxLength))
	valid := func(x *big.Int) bool { return x.CmpAbs(limit) <= 0 }
	for range 50_000 {
		a, b, c := randomLength(r), randomLength(r), randomLength(r)
		want := new(big.Int).Add(big.NewInt(int64(a)), big.NewInt(int64(b)))
		if got, err := a.Add(b); (err == nil) != (a.Valid() && b.Valid() && valid(want)) || err == nil &&
			big.NewInt(int64(got)).Cmp(want) != 0 {
			t.Fatalf("%d + %d = %d, %v", a, b, got, err)
		}
		want.Add(want, big.NewInt(int64(c)))
		if got, err := Sum(a, b, c); (err == nil) != (a.Valid() && b.Valid() && c.Valid() && valid(want)) ||
			err == nil && big.NewInt(int64(got)).Cmp(want) != 0 {
			t.Fatalf("%d + %d + %d = %d, %v", a, b, c, got, err)
		}
		if c != 0 {
			q := roundToInt(new(big.Rat).Mul(new(big.Rat).SetInt64(int64(a)), big.NewRat(int64(b), int64(c))))
			if got, err := a.Scale(int64(b), int64(c)); (err == nil) != (a.Valid() && valid(q)) || err == nil &&
				big.NewInt(int64(got)).Cmp(q) != 0 {
				t.Fatalf("%d * %d / %d = %d, %v, want %v", a, b, c, got, err, q)
			}
		}
	}
}

// Sums do not depend on order or grouping.
func TestSumIsAssociative(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 2000 {
		lengths := make([]Length, 2+r.IntN(20))
		for i := range lengths {
			lengths[i] = Length(r.Int64N(int64(MaxLength)/20)) - MaxLength/40
		}
		want, err := Sum(lengths...)
		if err != nil {
			t.Fatal(err)
		}
		r.Shuffle(len(lengths), func(i, j int) { lengths[i], lengths[j] = lengths[j], lengths[i] })
		at := r.IntN(len(lengths))
		left, _ := Sum(lengths[:at]...)
		right, _ := Sum(lengths[at:]...)
		if got, err := left.Add(right); err != nil || got != want {
			t.Fatalf("%v: %v, %v, want %v", lengths, got, err, want)
		}
	}
}

func TestRound(t *testing.T) {
	for _, c := range []struct {
		l, step Length
		want    [5]Length // HalfEven, HalfUp, HalfDown, Up, Down
	}{
		{25, 10, [5]Length{20, 30, 20, 30, 20}},
		{35, 10, [5]Length{40, 40, 30, 40, 30}},
		{26, 10, [5]Length{30, 30, 30, 30, 20}},
		{24, 10, [5]Length{20, 20, 20, 30, 20}},
		{30, 10, [5]Length{30, 30, 30, 30, 30}},
		{-25, 10, [5]Length{-20, -30, -20, -30, -20}},
		{-21, 10, [5]Length{-20, -20, -20, -30, -20}},
		{22, 11, [5]Length{22, 22, 22, 22, 22}},
		{27, 11, [5]Length{22, 22, 22, 33, 22}},
		{28, 11, [5]Length{33, 33, 33, 33, 22}},
		{25, 0, [5]Length{25, 25, 25, 25, 25}},
		{25, -3, [5]Length{25, 25, 25, 25, 25}},
		{math.MaxInt64, 10, [5]Length{math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64 - 7}},
		{math.MinInt64, 10, [5]Length{math.MinInt64, math.MinInt64, math.MinInt64, math.MinInt64, math.MinInt64 + 8}},
		{math.MinInt64, math.MaxInt64,
			[5]Length{-math.MaxInt64, -math.MaxInt64, -math.MaxInt64, math.MinInt64, -math.MaxInt64}},
	} {
		for how, want := range c.want {
			if got := c.l.Round(c.step, Rounding(how)); got != want {
				t.Errorf("%d to %d, rounding %d: %d, want %d", int64(c.l), int64(c.step), how, int64(got), int64(want))
			}
		}
	}
}

func TestAbs(t *testing.T) {
	for _, c := range [][2]Length{{5, 5}, {-5, 5}, {0, 0}, {math.MinInt64, math.MaxInt64}} {
		if got := c[0].Abs(); got != c[1] {
			t.Errorf("|%d| = %d", int64(c[0]), int64(got))
		}
	}
}

func TestDecimal(t *testing.T) {
	for _, c := range []struct {
		l, unit Length
		want    string
	}{
		{long, Foot, "37.53125"}, {long, Inch, "450.375"}, {long, Metre, "11.439525"}, {-tick, Inch, "-0.015625"},
		{0, Foot, "0"}, {1, Metre, "0.000000001"},
	} {
		d, err := c.l.Decimal(c.unit)
		if err != nil || d.String() != c.want {
			t.Errorf("%s in %s: %s, %v", c.l, c.unit, d, err)
		}
		if back, err := FromDecimal(d, c.unit); err != nil || back != c.l {
			t.Errorf("%s back: %s, %v", d, back, err)
		}
	}
	for _, c := range []struct{ l, unit Length }{{Millimetre, Inch}, {Inch, 0}} {
		if d, err := c.l.Decimal(c.unit); err == nil {
			t.Errorf("%d in %d: %s", c.l, c.unit, d)
		}
	}
	for _, c := range []struct {
		d    string
		unit Length
	}{{"0.0000000001", Metre}, {"1000001", Metre}, {"-1000001", Metre}, {"1e30", Metre}, {"1e-50", Metre},
		{"0.333333333333", Foot}} {
		if l, err := FromDecimal(decimal.RequireFromString(c.d), c.unit); !errors.Is(err, ErrRange) {
			t.Errorf("%s: %s, %v", c.d, l, err)
		}
	}
}
