package units

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

// The wanted digits are from Python's decimal module at 60 digits, from the definitions
// (foot 0.3048 m, pound 0.45359237 kg, 9.80665 m/s2, gallons 231 in3 and 4.54609 L, US survey foot 1200/3937 m).
func TestConvert(t *testing.T) {
	for _, c := range []struct{ value, from, to, want string }{
		{"1", "psi", "kPa", "6.894757293168361336722673445"},
		{"1", "ft", "ftUS", "0.999998000000000000000000000"},
		{"1", "gal", "L", "3.785411784000000000000000000"},
		{"1", "imp gal", "L", "4.546090000000000000000000000"},
		{"1", "imp gal", "gal", "1.200949925504854929674409235"},
		{"1", "cfs", "gpm", "448.831168831168831168831168831"},
		{"-40", "degF", "degC", "-40.000000000000000000000000000"},
		{"212", "°F", "K", "373.150000000000000000000000000"},
		{"10", "degF", "delta degC", "5.555555555555555555555555556"},
		{"1", "ft of water", "psi", "0.433527504001004249696704554"},
		{"2.5", "yd3", "ft3", "67.500000000000000000000000000"},
		{"0.5", "K", "delta K", "0.500000000000000000000000000"},
	} {
		got, err := Convert(decimal.RequireFromString(c.value), c.from, c.to, 27)
		if err != nil || got.StringFixed(27) != c.want {
			t.Errorf("%s %s = %s %s, want %s (%v)", c.value, c.from, got, c.to, c.want, err)
		}
	}
}

func TestConvertRefuses(t *testing.T) {
	for _, c := range []struct {
		from, to string
		err      error
	}{
		{"ft", "psi", ErrUnit}, {"psi", "psia", ErrUnit}, {"gal", "gpm", ErrUnit}, {"furlongs", "m", ErrUnit},
		{"m", "furlongs", ErrUnit},
		{"degC", "W", ErrUnit}, {"lb", "lb/ft3", ErrUnit},
	} {
		if got, err := Convert(decimal.New(1, 0), c.from, c.to, 3); !errors.Is(err, c.err) {
			t.Errorf("%s to %s: %v, %v", c.from, c.to, got, err)
		}
	}
	if _, err := Convert(decimal.New(-1, 3), "degF", "degC", 3); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
	if _, err := Convert(decimal.New(1, 0), "m", "ft", -1); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
}

func TestQuantity(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		want       float64
	}{
		{`37'-6 3/8"`, "in", 450.375}, {"3/4", "in", 0.75}, {"12.5 gpm", "gph", 750}, {"6 3/8 in", "mm", 161.925},
		{"138.6 ft", "m", 42.24528}, {"100 degC", "degF", 212}, {"18 degF", "delta K", 10},
		{"1 inHg", "Pa", 3386.388640341},
		{"5 ft of water", "in of water", 60}, {"5 ft", "in of water", 60},
		{"-5 ft", "in", -60}, {"-459.67 Fahrenheit", "K", 0}, {"-40 Fahrenheit", "degC", -40},
	} {
		q, err := ParseQuantity(c.text)
		if err != nil {
			t.Error(err)
			continue
		}
		if got, err := q.In(c.unit); err != nil || got != c.want {
			t.Errorf("%s in %s = %v, %v", c.text, c.unit, got, err)
		}
		if back, err := ParseQuantity(q.String()); err != nil || back != q && c.text != `37'-6 3/8"` &&
			c.text != "3/4" {
			t.Errorf("%s prints %s, read back %v %v", c.text, q, back, err)
		}
	}
	for s, reason := range map[string]string{
		"5 psia": "absolute", "5 widgets": "not a unit this package knows", "5": "a unit is missing", "": "no text",
		`5' 14"`: "below 12", "1,000 gpm": "comma", "-459.68 Fahrenheit": "below absolute zero",
	} {
		var pe *ParseError
		if _, err := ParseQuantity(s); !errors.As(err, &pe) || !strings.Contains(pe.Reason, reason) {
			t.Errorf("%s: %v, want %q", s, err, reason)
		}
	}
}

// There and back is exact, through every pair of units of a kind.
func TestConvertIsItsOwnInverse(t *testing.T) {
	for _, x := range []*big.Rat{big.NewRat(0, 1), big.NewRat(7, 3), big.NewRat(123456789, 1000)} {
		for _, from := range Units() {
			for _, to := range Units() {
				if from.Quantity != to.Quantity {
					continue
				}
				y, err := convert(x, from.Symbol, to.Symbol)
				if err != nil {
					t.Fatal(err)
				}
				if back, err := convert(y, to.Symbol, from.Symbol); err != nil || back.Cmp(x) != 0 {
					t.Errorf("%s %s is %s %s, back %s (%v)", x, from.Symbol, y, to.Symbol, back, err)
				}
			}
		}
	}
}

func TestConvertBounds(t *testing.T) {
	for _, d := range []decimal.Decimal{decimal.New(1, 401), decimal.New(1, -1001), decimal.New(1, 0).Shift(4000)} {
		if got, err := Convert(d, "m", "ft", 3); !errors.Is(err, ErrRange) {
			t.Errorf("%v", got)
		}
	}
	if got, err := Convert(decimal.New(1, 0), "m", "ft", 1000); err != nil || len(got.String()) != 1002 {
		t.Error(got, err)
	}
	if _, err := (Quantity{}).In("m"); !errors.Is(err, ErrUnit) {
		t.Error(err)
	}
	if got, err := MustParseQuantity("1e400 km").In("nm"); !errors.Is(err, ErrRange) {
		t.Error(got, err)
	}
	if got, err := MustParseQuantity("5 ft").Decimal("m", 1001); !errors.Is(err, ErrRange) {
		t.Error(got, err)
	}
	if got, err := MustParseQuantity("-500 degF").In("degC"); !errors.Is(err, ErrRange) {
		t.Error(got, err)
	}
	if got, err := MustParseQuantity("-500 degF").In("delta K"); err != nil || math.Abs(got+2500./9) > 1e-12 {
		t.Error(got, err)
	}
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{`37'-6 3/8"`, "3/4", "12.5 gpm", "10 degF", "138.6 ft of water", "5 psia", "1e400 km",
		"0.50 L/s", "2 1/2 gal", "-0 K", "1 nm", "⅜ in"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := ParseQuantity(s)
		if err != nil {
			var pe *ParseError
			if !errors.As(err, &pe) || pe.Offset < 0 || pe.Offset > len(s) || pe.Reason == "" || pe.Err == nil {
				t.Fatalf("%q: bad error %#v", s, err)
			}
			return
		}
		back, err := ParseQuantity(q.String())
		if err != nil {
			t.Fatalf("%q prints %s: %v", s, q, err)
		}
		a, err := q.Rat(q.Unit())
		if err != nil {
			if !errors.Is(err, ErrRange) {
				t.Fatalf("%q: %v", s, err)
			}
			return // below absolute zero, unless it is a difference
		}
		if b, err := back.Rat(q.Unit()); err != nil || a.Cmp(b) != 0 {
			t.Fatalf("%q prints %s, which is %s, not %s (%v)", s, q, b, a, err)
		}
	})
}
