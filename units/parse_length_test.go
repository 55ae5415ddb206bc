package units

import (
	"errors"
	"strings"
	"testing"
)

// In sixty-fourths of an inch, so that each can be worked by hand: 37 ft 6 3/8 in
// is (37*12 + 6)*64 + 24.
const tick = Inch / 64

const long = (450*64 + 24) * tick

var spellings = []struct {
	text string
	want Length
}{
	// Feet, inches and a fraction, every way it is written.
	{`37'-6 3/8"`, long},
	{`37'-6-3/8"`, long},
	{`37' 6 3/8"`, long},
	{`37' 6-3/8`, long},
	{`37'6 3/8"`, long},
	{`37' - 6 3/8"`, long},
	{`37'- 6 3/8"`, long},
	{`37'–6 3/8"`, long},
	{`37'-6 24/64"`, long},
	{`37'-6 3/8''`, long},
	{`37'-6 3/8 in`, long},
	{`37'-6.375"`, long},
	{`37 ft 6 3/8 in`, long},
	{`37 ft 6-3/8 in`, long},
	{`37 ft. 6 3/8 in.`, long},
	{`37ft6 3/8in`, long},
	{`37ft-6 3/8in`, long},
	{`37 FT 6 3/8 IN`, long},
	{`37 feet 6 3/8 inches`, long},
	{`37 Ft 6 3/8 In`, long},
	{`  37'-6 3/8"  `, long},
	{"37'-6 3/8\"\n", long},
	{"\r\n37 ft\r\n6 3/8 in\t", long},
	{"37\u00a0ft\u00a06\u202f3/8\u2009in", long},
	// Typographic primes and fractions.
	{`37′-6⅜″`, long},
	{`37’-6⅜”`, long},
	{`37‘ 6 ⅜“`, long},
	{`37´-6⅜''`, long},
	{`37′6⅜′′`, long},
	{`37ʹ6⅜ʺ`, long},
	{`37'-6 3⁄8"`, long},
	{`37'-6³⁄₈"`, long},
	{`37'-6 ³/₈"`, long},
	{`37'-6-⅜"`, long},
	{`37'-6 3∕8"`, long},
	{`6⅜"`, (6*64 + 24) * tick},
	{`⅜"`, 24 * tick},
	{`⅟8"`, 8 * tick},
	{`½`, 32 * tick},
	{`⅓ ft`, 4 * Inch},
	// A fraction without a mark is in inches.
	{`3/8`, 24 * tick},
	{`3/4`, 48 * tick},
	{`6 3/8`, (6*64 + 24) * tick},
	{`6-3/8`, (6*64 + 24) * tick},
	{`6⅜`, (6*64 + 24) * tick},
	{`1-1/2in`, 96 * tick},
	// The fraction belongs to the inches, not to the whole.
	{`5' 3/4"`, 60*Inch + 48*tick},
	{`5'-0 3/4"`, 60*Inch + 48*tick},
	{`5'-3/4"`, 60*Inch + 48*tick},
	{`60 ft 1 in`, 721 * Inch},
	{`10in`, 10 * Inch},
	{`2"`, 2 * Inch},
	{`2'`, 2 * Foot},
	{`6'4`, 76 * Inch},
	{`6'04"`, 76 * Inch},
	{`12'-00"`, 144 * Inch},
	{`6''`, 6 * Inch},
	{`1/64"`, tick},
	{`0/8"`, 0},
	{`6 1/2'`, 78 * Inch},
	{`6 1/2 ft`, 78 * Inch},
	// One sign for the whole.
	{`-0'-3"`, -3 * Inch},
	{`-1' 2"`, -14 * Inch},
	{`-1'-2"`, -14 * Inch},
	{`-0' 1"`, -1 * Inch},
	{`−3/8"`, -24 * tick},
	{`+3"`, 3 * Inch},
	{`-2.5 ft`, -30 * Inch},
	// Decimals.
	{`37.53125 ft`, long},
	{`37.53125'`, long},
	{`450.375 in`, long},
	{`450.375"`, long},
	{`.5 in`, Inch / 2},
	{`0.01 ft`, 3_048_000},
	{`0.001 ft`, 304_800},
	{`24 in`, 2 * Foot},
	{`0.6217 in`, 15_791_180},
	// Metric.
	{`11.44 m`, 11_440 * Millimetre},
	{`2500 mm`, 2500 * Millimetre},
	{`2500mm`, 2500 * Millimetre},
	{`50 mm`, 50 * Millimetre},
	{`12.7 cm`, 5 * Inch},
	{`1 km`, 1000 * Metre},
	{`1000 km`, MaxLength},
	{`1.5e-6 m`, 1500},
	{`1.5E-6 m`, 1500},
	{`1.5 um`, 1500},
	{`1.5 µm`, 1500},
	{`5 mil`, 127 * Micrometre},
	{`3 yd`, 108 * Inch},
	{`1 mi`, 63_360 * Inch},
	// To the nearest nanometre, half to even; also where there are many digits.
	{`0.0000015 mm`, 2},
	{`0.00000050000001 mm`, 1},
	{`1234567890123456789e-20 m`, 12_345_679},
	{`0.3333333333333333333 m`, 333_333_333},
	{`1e2 mm`, 100 * Millimetre},
	{`1e15 nm`, MaxLength},
	{`1250000000000000000e-21 m`, 1_250_000},
}

func TestParseLength(t *testing.T) {
	for _, c := range spellings {
		if got, err := Parse[Length](c.text); err != nil || got != c.want {
			t.Errorf("%q = %d, want %d (%v)", c.text, got, c.want, err)
		}
	}
}

// One row of the table is all that a unit of length needs: every spelling of every
// row is read, alone and after a number that touches it.
func TestEveryUnitOfLengthIsRead(t *testing.T) {
	for i := range unitTable[kindLength] {
		u := &unitTable[kindLength][i]
		for s := range strings.FieldsFuncSeq(u.symbol+"|"+u.also, func(r rune) bool { return r == '|' }) {
			want := Length(12 * u.num * 1e9 / u.den)
			for _, text := range []string{"12 " + s, "12" + s, "12 " + s + " "} {
				got, err := Parse[Length](text)
				if u.symbol == "ftUS" {
					if !errors.Is(err, ErrUnit) {
						t.Errorf("%q is %v, %v", text, got, err)
					}
				} else if err != nil || got != want {
					t.Errorf("%q is %v, %v; want %v", text, got, err, want)
				}
			}
			if unit, rest := CutLengthUnit(s + "/ft"); u.symbol != "ftUS" && (12*unit != want || rest != "/ft") {
				t.Errorf("%q begins with %v, then %q", s+"/ft", unit, rest)
			}
		}
	}
}

var refusals = []struct {
	text   string
	at     int // byte offset of the reason
	err    error
	reason string // part of it
}{
	// Nothing, or not a number.
	{``, 0, ErrSyntax, "no text"},
	{`   `, 3, ErrSyntax, "no text"},
	{`-`, 1, ErrSyntax, "number is missing"},
	{`ft`, 0, ErrSyntax, "number is missing"},
	{`'6"`, 0, ErrSyntax, "number is missing"},
	{`NaN m`, 0, ErrSyntax, "number is missing"},
	{`Inf m`, 0, ErrSyntax, "number is missing"},
	{`.`, 0, ErrSyntax, "digits are missing"},
	{`5. ft`, 1, ErrSyntax, "digits are missing"},
	{`/8"`, 0, ErrSyntax, "numerator is missing"},
	{`⁄8"`, 0, ErrSyntax, "numerator is missing"},
	{`6 3/"`, 4, ErrSyntax, "denominator is missing"},
	{`6 ³⁄"`, 7, ErrSyntax, "denominator is missing"},
	{`3/0"`, 1, ErrSyntax, "zero"},
	{"\xff", 0, ErrSyntax, "number is missing"},
	// No unit.
	{`12`, 2, ErrUnit, "unit is missing"},
	{`12.5`, 4, ErrUnit, "unit is missing"},
	{`0`, 1, ErrUnit, "unit is missing"},
	// Another unit, or a metric one in capitals.
	{`5 gpm`, 2, ErrUnit, "not a unit of length"},
	{`5 ftUS`, 2, ErrUnit, "no whole number of nanometres"},
	{`5 US survey feet`, 2, ErrUnit, "no whole number of nanometres"},
	{`5 MM`, 2, ErrUnit, "lower case"},
	{`5 ma`, 2, ErrUnit, "not a unit of length"},
	{`5 mz`, 2, ErrUnit, "not a unit of length"},
	{`5e`, 1, ErrUnit, "not a unit of length"},
	{`5e-`, 1, ErrUnit, "not a unit of length"},
	{`5e3`, 3, ErrUnit, "unit is missing"},
	{`5/`, 1, ErrUnit, "not a unit of length"},
	{`5 M`, 2, ErrUnit, "lower case"},
	{`5"x`, 2, ErrSyntax, "text follows"},
	{`5 in²`, 4, ErrSyntax, "text follows"},
	{`5 mm.`, 4, ErrSyntax, "text follows"},
	{`5 feet.`, 6, ErrAmbiguous, "point after"},
	{`6'-4" x`, 6, ErrSyntax, "text follows"},
	{`6'-4 x`, 5, ErrUnit, "not a unit of length"},
	// Commas and grouped thousands.
	{`1,200 mm`, 1, ErrSyntax, "comma"},
	{`1.200,5 mm`, 5, ErrSyntax, "comma"},
	{`1.200.000 mm`, 5, ErrSyntax, "second point"},
	{`6 ft, 3 in`, 4, ErrSyntax, "comma"},
	{`12,5 ft`, 2, ErrSyntax, "comma"},
	{`1 200 mm`, 2, ErrAmbiguous, "two numbers"},
	{`1'000`, 2, ErrAmbiguous, "thousands"},
	{`1'234 mm`, 2, ErrAmbiguous, "thousands"},
	// Two readings.
	{`1-1-1/2`, 1, ErrAmbiguous, "two numbers"},
	{`7-0-1/2ft`, 1, ErrAmbiguous, "two numbers"},
	{`63/8"`, 2, ErrAmbiguous, "below one"},
	{`9/8"`, 1, ErrAmbiguous, "below one"},
	{`8/8"`, 1, ErrAmbiguous, "below one"},
	{`6 12/8"`, 4, ErrAmbiguous, "below one"},
	{`5'-6 4/4"`, 6, ErrAmbiguous, "below one"},
	{`5'-6 0/0"`, 6, ErrSyntax, "zero"},
	{`5 9 in`, 2, ErrAmbiguous, "two numbers"},
	{`6 - 3/8"`, 2, ErrAmbiguous, "two numbers"},
	{`6.5' 3"`, 5, ErrAmbiguous, "whole feet"},
	{`6 1/2' 3"`, 7, ErrAmbiguous, "whole feet"},
	{`5'.5"`, 2, ErrAmbiguous, "point after the feet mark"},
	{`5'6'`, 3, ErrAmbiguous, "only inches"},
	{`5' 6 mm`, 5, ErrAmbiguous, "only inches"},
	{`1' -2"`, 3, ErrAmbiguous, "sign"},
	{`1'--2"`, 3, ErrSyntax, "number is missing"},
	{`--2"`, 1, ErrSyntax, "number is missing"},
	{`4 m 20 cm`, 4, ErrSyntax, "text follows"},
	{`6" 3'`, 3, ErrSyntax, "text follows"},
	// Out of range.
	{`5' 12"`, 3, ErrRange, "below 12"},
	{`5' 14"`, 3, ErrRange, "below 12"},
	{`5'-99"`, 3, ErrRange, "below 12"},
	{`1000.0000000005 km`, 0, ErrRange, "1000 km"},
	{`4000000 ft`, 0, ErrRange, "1000 km"},
	{`9e18 m`, 0, ErrRange, "1000 km"},
	{`9999999999999999999e19 m`, 0, ErrRange, "1000 km"},
	{`9999999999999999999 1/64 in`, 0, ErrRange, "1000 km"},
	{`-1e300 m`, 1, ErrRange, "1000 km"},
	{`1e99 m`, 0, ErrRange, "1000 km"},
	{`1e999999999 m`, 1, ErrRange, "exponent"},
	{`99999999999999999999 m`, 0, ErrRange, "digits"},
	{`0.00000000012345678901234567890 m`, 1, ErrRange, "digits"},
	{`1e-9 ft`, 0, ErrRange, "shorter than can be laid"},
	{`0.0000005 mm`, 0, ErrRange, "shorter than can be laid"}, // to the even one, which is none
	{`1e-300 m`, 0, ErrRange, "shorter than can be laid"},
	{`1/999983 nm`, 0, ErrRange, "shorter than can be laid"},
	{`1/3 in`, 0, ErrRange, "nanometres"},
	{`1/128"`, 0, ErrRange, "nanometres"},
	{`3'-6 1/128"`, 3, ErrRange, "nanometres"},
	{`1/1000000"`, 0, ErrRange, "nanometres"},
	{`1/1000001"`, 1, ErrRange, "denominator is too great"},
	{strings.Repeat("1", 200), maxText, ErrSyntax, "too long"},
}

func TestParseLengthRefuses(t *testing.T) {
	for _, c := range refusals {
		got, err := Parse[Length](c.text)
		var pe *ParseError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("%q accepted as %s", c.text, got)
		case pe.Offset != c.at, !errors.Is(err, c.err), !strings.Contains(pe.Reason, c.reason), pe.Quantity != "length",
			got != 0:
			t.Errorf("%q: %v (%v), want byte %d, %v, %q", c.text, err, pe.Err, c.at, c.err, c.reason)
		}
	}
}

// The quick path knows a part of the spellings; where it answers, the answer is
// the general scanner's.
func TestQuickFeetInches(t *testing.T) {
	check := func(s string) bool {
		quick, ok := quickFeetInches(s)
		var f fault
		if l, good := scanLength(s, &f); ok && (!good || l != quick) {
			t.Fatalf("%q: quick %d, scanner %d %v", s, quick, l, f)
		}
		return ok
	}
	taken := 0
	// Every text of up to seven pieces of the grammar.
	pieces := []string{"7", "11", "-", " ", "'", "/", `"`}
	var build func(s string, depth int)
	build = func(s string, depth int) {
		if check(s) {
			taken++
		}
		if depth > 0 {
			for _, p := range pieces {
				build(s+p, depth-1)
			}
		}
	}
	build("", 7)
	for _, c := range spellings {
		check(c.text)
	}
	for _, c := range refusals {
		check(c.text)
	}
	for n := range 5 * 768 {
		if s := Length(n * int(tick)).String(); n >= 768 && !check(s) {
			t.Errorf("%s is not taken by the quick path", s)
		}
	}
	if taken < 100 {
		t.Errorf("only %d texts took the quick path", taken)
	}
}

func FuzzParseLength(f *testing.F) {
	for _, c := range spellings {
		f.Add(c.text)
	}
	for _, c := range refusals {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := Parse[Length](s)
		if err != nil {
			var pe *ParseError
			if !errors.As(err, &pe) || pe.Offset < 0 || pe.Offset > len(s) || pe.Reason == "" || pe.Err == nil {
				t.Fatalf("%q: bad error %#v", s, err)
			}
			return
		}
		if !l.Valid() {
			t.Fatalf("%q gives an invalid length %d", s, l)
		}
		if back, err := Parse[Length](l.String()); err != nil || back != l {
			t.Fatalf("%q = %d prints %s, read back %d (%v)", s, l, l, back, err)
		}
		for _, n := range []Notation{{}, {Spelled: true}, {Form: FractionalInches, Nearest: 64},
			{Form: DecimalFeet, Places: 3}, {Form: DecimalMetres, Places: 9, Rounding: Up}} {
			shown, rest := n.Rounded(l)
			back, err := Parse[Length](n.Format(l))
			if !shown.Valid() { // rounded up past the greatest length
				continue
			}
			if err != nil || back != shown || shown+rest != l {
				t.Fatalf("%q = %d in %+v is %s, read back %d, want %d, rest %d (%v)", s, l, n, n.Format(l), back, shown,
					rest, err)
			}
		}
		if q, err := ParseQuantity(s); err == nil {
			if in, err := q.In("nm"); err == nil && q.n.isWhole() && in != float64(l) {
				t.Fatalf("%q is %d as a length, %v nm as a quantity", s, l, in)
			}
		}
	})
}
