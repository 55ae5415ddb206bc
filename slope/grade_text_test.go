package slope_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func ratio(t *testing.T, rise, run int64) slope.Grade {
	t.Helper()
	g, err := slope.Ratio(rise, run)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestParseSpellings(t *testing.T) {
	tests := []struct {
		text      string
		rise, run int64
	}{
		{"1/4 in/ft", 1, 48}, {"0.25 in/ft", 1, 48}, {".25 in/ft", 1, 48}, {`1/4" per ft`, 1, 48},
		{"1/4 in per foot", 1, 48},
		{"1/4 inch per foot", 1, 48}, {"¼ in/ft", 1, 48}, {"¼″/ft", 1, 48}, {`1/4"/'`, 1, 48}, {"1/4 in. / ft.", 1, 48},
		{"1/4in/ft", 1, 48},
		{"1⁄4 IN/FT", 1, 48}, {"1 1/2 in/ft", 1, 8}, {"1-1/2 in/ft", 1, 8}, {"1½ in/ft", 1, 8}, {"1 ½ in/ft", 1, 8},
		{"2 in per 8 ft", 1, 48},
		{"6 in per 20 ft", 1, 40}, {"1/2 in per 2 1/2 ft", 1, 60}, {"25 mm per 3 m", 1, 120},
		{"2%", 1, 50}, {"2 %", 1, 50}, {"2\u202f%", 1, 50}, {"2 percent", 1, 50}, {"2 per cent", 1, 50},
		{"1.04 %", 13, 1250}, {"33 1/3 %", 1, 3}, {"2e0 %", 1, 50}, {"20E-1 %", 1, 50}, {"1e-9 %", 1, 100_000_000_000},
		{"2 %\n", 1, 50}, {"2\r\n%", 1, 50}, {"1/2 %", 1, 200},
		{"10 ‰", 1, 100}, {"10 per mille", 1, 100},
		{"1:48", 1, 48}, {"1 : 48", 1, 48}, {"1 in 48", 1, 48}, {"1:48.5", 2, 97}, {"3:144", 1, 48}, {"1:1", 1, 1},
		{"20.8 mm/m", 13, 625}, {"2 cm/m", 1, 50}, {"0.02 ft/ft", 1, 50}, {"0.02 m/m", 1, 50},
		{"20 mm per metre", 1, 50}, {"20 millimeters per meter", 1, 50},
		{"level", 0, 1}, {"Level", 0, 1}, {"0 %", 0, 1}, {"0 in/ft", 0, 1}, {"-0 %", 0, 1}, {"0/4 in/ft", 0, 1},
		{"-2 %", -1, 50}, {"−2 %", -1, 50}, {"- 1/4 in/ft", 0, 0}, {"-1:48", -1, 48}, {"+2 %", 1, 50}, {" 2 % ", 1, 50},
	}
	for _, tt := range tests {
		g, err := slope.Parse(tt.text)
		if tt.run == 0 {
			if err == nil {
				t.Errorf("Parse(%q) = %v, want an error", tt.text, g)
			}
			continue
		}
		if err != nil {
			t.Errorf("Parse(%q): %v", tt.text, err)
			continue
		}
		if want := ratio(t, tt.rise, tt.run); g != want {
			t.Errorf("Parse(%q) = %v, want %v", tt.text, g, want)
		}
	}
}

func TestParseRefusals(t *testing.T) {
	tests := []struct {
		text   string
		offset int
		reason string
		class  error
	}{
		{"", 0, "no grade", units.ErrSyntax}, {"0.02", 4, "number alone", units.ErrUnit},
		{"1/48", 4, "number alone", units.ErrUnit}, {"2", 1, "number alone", units.ErrUnit},
		{"1/4 in", 6, "needs its run", units.ErrUnit}, {"1/4 in/", 7, "unknown unit", units.ErrUnit},
		{"1/4 in/ft/ft", 9, "nothing may follow", units.ErrSyntax}, {"2 % 3", 4, "nothing may follow", units.ErrSyntax},
		{"1 in 8 ft", 7, "one in a number, or", units.ErrAmbiguous},
		{"1:48 ft", 5, "one in a number, or", units.ErrAmbiguous}, {"1:0", 2, "must be positive", units.ErrSyntax},
		{"1:", 2, "positive number", units.ErrSyntax}, {"1:-48", 2, "positive number", units.ErrSyntax},
		{"2:1", 2, "fall first", units.ErrAmbiguous}, {"48:1", 3, "fall first", units.ErrAmbiguous},
		{"1,5 %", 1, "comma", units.ErrSyntax}, {"1.5,0 %", 3, "comma", units.ErrSyntax},
		{"1,000:48000", 1, "comma", units.ErrSyntax},
		{"--2 %", 1, "one sign", units.ErrSyntax}, {"2. %", 1, "after the point", units.ErrSyntax},
		{"1/0 in/ft", 1, "denominator", units.ErrSyntax}, {"1 5/4 in/ft", 3, "below one", units.ErrAmbiguous},
		{"1 4/4 in/ft", 3, "below one", units.ErrAmbiguous}, {"11/4 in/ft", 2, "space or dash", units.ErrAmbiguous},
		{"1 1 in/ft", 2, "unknown unit", units.ErrUnit}, {"2 deg", 2, "angle", units.ErrUnit},
		{"2°", 1, "angle", units.ErrUnit}, {"NaN %", 0, "number", units.ErrSyntax},
		{"Inf %", 0, "number", units.ErrSyntax}, {"1e999 %", 1, "exponent", units.ErrRange},
		{"1e-300 %", 0, "does not fit", units.ErrRange},
		{"vertical", 0, "a vertical run has no grade", units.ErrSyntax}, {"vertically", 0, "number", units.ErrSyntax},
		{"2 furlongs/ft", 2, "unknown unit", units.ErrUnit}, {"1/4 in/0 ft", 8, "must be positive", units.ErrSyntax},
		{"99999999999999999999 %", 0, "digits", units.ErrRange}, {"0.00000000000000000001 %", 0, "fit", units.ErrRange},
		{"levels", 0, "number", units.ErrSyntax}, {"levelz", 0, "number", units.ErrSyntax},
		{"1 /4 in/ft", 2, "unknown unit", units.ErrUnit}, {"1/4 inz/ft", 4, "unknown unit", units.ErrUnit},
		{"1/4 inper ft", 4, "unknown unit", units.ErrUnit}, {strings.Repeat(" ", 129), 0, "too long", units.ErrRange},
		{strings.Repeat(" ", 128), 128, "no grade", units.ErrSyntax},
	}
	for _, tt := range tests {
		_, err := slope.Parse(tt.text)
		var pe *units.ParseError
		if !errors.As(err, &pe) || pe.Quantity != "grade" {
			t.Errorf("Parse(%q) error = %v, want a ParseError", tt.text, err)
			continue
		}
		if !errors.Is(err, tt.class) {
			t.Errorf("Parse(%q): %v is not classed as %v", tt.text, err, tt.class)
		}
		if len(tt.text) <= 128 && pe.Text != tt.text {
			t.Errorf("Parse(%q) cuts it to %q", tt.text, pe.Text)
		}
		if pe.Offset != tt.offset || !strings.Contains(pe.Reason, tt.reason) {
			t.Errorf("Parse(%q): %d %q, want %d %q", tt.text, pe.Offset, pe.Reason, tt.offset, tt.reason)
		}
	}
}

func TestString(t *testing.T) {
	for _, text := range []string{
		"level", "1/4 in/ft", "-1/4 in/ft", "1/8 in/ft", "3/64 in/ft", "2 %", "1.04 %", "0.5 %", "2.5 %", "1:60",
		"-1:60", "13:625", "12 in/ft", "1:9223372036854775807",
		"9223372036854775807:9223372036854775807", "9223372036854775807 ft per 7 ft",
		"9223372036854775807 ft per 9223372036854775805 ft", "0.000001 %", "20 %", "1.25 %",
		"9223372036854775807 ft per 768 ft",
	} {
		want := text
		switch text {
		case "13:625":
			want = "2.08 %"
		case "9223372036854775807:9223372036854775807":
			want = "12 in/ft"
		case "9223372036854775807 ft per 7 ft": // the numerator is 7*7*73*127*337*92737*649657
			want = "1317624576693539401 ft per 1 ft"
		case "9223372036854775807 ft per 768 ft": // the greatest whole number of 1/64 in per ft
			want = "144115188075855871 63/64 in/ft"
		}
		if got := slope.MustParse(text).String(); got != want {
			t.Errorf("%q prints %q, want %q", text, got, want)
		}
	}
}

func TestText(t *testing.T) {
	quarter, two := slope.MustParse("1/4 in/ft"), slope.MustParse("2 %")
	tests := []struct {
		g         slope.Grade
		n         slope.Notation
		precision int
		want      string
	}{
		{quarter, slope.FractionPerFoot, 16, "1/4 in/ft"}, {two, slope.FractionPerFoot, 16, "1/4 in/ft"},
		{two, slope.FractionPerFoot, 64, "15/64 in/ft"},
		{two, slope.InchesPerFoot, 2, "0.24 in/ft"}, {quarter, slope.FeetPerFoot, 4, "0.0208 ft/ft"},
		{quarter, slope.InPercent, 2, "2.08 %"},
		{quarter, slope.InPercent, 4, "2.0833 %"}, {quarter, slope.InPerMille, 1, "20.8 ‰"},
		{quarter, slope.MillimetresPerMetre, 1, "20.8 mm/m"},
		{quarter, slope.OneInN, 0, "1:48"}, {slope.MustParse("1.04 %"), slope.OneInN, 1, "1:96.2"},
		{quarter.Neg(), slope.InPercent, 1, "-2.1 %"},
		{quarter.Neg(), slope.OneInN, 0, "-1:48"},
		{slope.Grade{}, slope.OneInN, 0, "level"}, {slope.Grade{}, slope.InPercent, 1, "0.0 %"},
		{quarter.Neg(), slope.FractionPerFoot, 8, "-1/4 in/ft"},
		{slope.OneIn(12), slope.FractionPerFoot, 1, "1 in/ft"},
		{quarter, slope.OneInN + 1, 1, "grade out of range: notation 7 is unknown"},
		{slope.MustParse("2.5 %"), slope.InPercent, 0, "2 %"}, {slope.MustParse("3.5 %"), slope.InPercent, 0, "4 %"},
	}
	for _, tt := range tests {
		if got := tt.g.Text(tt.n, tt.precision); got != tt.want {
			t.Errorf("%v in notation %d to %d: %q, want %q", tt.g, tt.n, tt.precision, got, tt.want)
		}
	}
	for _, bad := range []int{0, 3, 65, 128, -2} {
		if got := quarter.Text(slope.FractionPerFoot, bad); !strings.Contains(got, "power of two") {
			t.Errorf("precision %d: %q", bad, got)
		}
	}
	if got := quarter.Text(slope.InPercent, 18); got != "2.083333333333333333 %" {
		t.Errorf("18 places: %q", got)
	}
	if got := quarter.Text(slope.InPercent, 19); !strings.Contains(got, "19 decimal places") {
		t.Errorf("19 places: %q", got)
	}
	if r, err := two.Rounded(slope.FractionPerFoot, 16); err != nil || r != quarter || two.Compare(r) >= 0 {
		t.Errorf("2 %% in sixteenths is %v, %v", r, err)
	}
}

func TestFormatVerbs(t *testing.T) {
	g := slope.MustParse("1/4 in/ft")
	for format, want := range map[string]string{
		"%v": "1/4 in/ft", "%s": "1/4 in/ft", "%q": `"1/4 in/ft"`, "%f": "2.08 %", "%.4f": "2.0833 %",
		"%12v|": "   1/4 in/ft|", "%-12v|": "1/4 in/ft   |",
		"%#v": `slope.MustParse("1/4 in/ft")`, "%.16v": "1/4 in/ft", "%.2s": "0 in/ft", "%i": "0.250 in/ft",
		"%.2i": "0.25 in/ft", "%m": "20.8 mm/m", "%+v": "+1/4 in/ft", "%+.1f": "+2.1 %",
		"%.3v": "grade out of range: a fraction of an inch has a power of two up to 64 below it, not 3",
		"%d":   "%!d(slope.Grade=1/4 in/ft)", "%.99f": "grade out of range: 99 decimal places: 0 to 18",
	} {
		if got := fmt.Sprintf(format, g); got != want {
			t.Errorf("%s gives %q, want %q", format, got, want)
		}
	}
	if got := fmt.Sprintf("%+v", slope.MustParse("9 in/ft")); got != "+9 in/ft" {
		t.Errorf("nine inches with their sign: %q", got)
	}
	if got := fmt.Sprintf("%+.1f", slope.Grade{}); got != "+0.0 %" {
		t.Errorf("level with its sign: %q", got)
	}
}

func TestTextRoundTrip(t *testing.T) {
	in := map[string]slope.Grade{"a": slope.MustParse("1/4 in/ft"), "b": {}, "c": slope.MustParse("-1:77")}
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"a":"1/4 in/ft","b":"level","c":"-1:77"}`; string(b) != want {
		t.Errorf("JSON %s, want %s", b, want)
	}
	var out map[string]slope.Grade
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	for k := range in {
		if in[k] != out[k] {
			t.Errorf("%s: %v came back as %v", k, in[k], out[k])
		}
	}
	var g slope.Grade
	if err := json.Unmarshal([]byte("0.02"), &g); err == nil {
		t.Error("a bare JSON number was taken as a grade")
	}
	if err := g.UnmarshalText(nil); err == nil {
		t.Error("empty text was taken as a grade")
	}
	if _, err := slope.OneIn(0).MarshalText(); err == nil {
		t.Error("one in 0 was written")
	}
}

func TestAccessors(t *testing.T) {
	g := slope.OneIn(50)
	if g.Percent() != 2 || g.PerMille() != 20 || g.PerFoot() != units.Inch*24/100 {
		t.Errorf("1:50 is %v %%, %v per mille, %v in/ft", g.Percent(), g.PerMille(), g.PerFoot().Inches())
	}
	if n, err := g.OneIn(); n != 50 || err != nil {
		t.Errorf("one in %v, %v", n, err)
	}
	if n, err := slope.MustParse("-1.04 %").OneIn(); math.Abs(n+96.153846) > 5e-7 || err != nil {
		t.Errorf("-1.04 %% is one in %v, %v", n, err)
	}
	for text, want := range map[string]string{"1:16": "0.0625", "1:3125": "0.00032", "-1:40": "-0.025", "100 %": "1",
		"level": "0", "1:9223372036854775808": ""} {
		g, err := slope.Parse(text)
		if (err == nil) != (want != "") {
			t.Fatal(text, err)
		}
		if d, ok := g.ExactDecimal(); want != "" && (!ok || d.String() != want) {
			t.Errorf("%s is %s, %v, want %s", text, d, ok, want)
		}
	}
	for _, tt := range []struct {
		text   string
		places int32
		want   string
	}{{"2.5 %", 2, "0.02"}, {"3.5 %", 2, "0.04"}, {"-2.5 %", 2, "-0.02"}, {"2.51 %", 2, "0.03"}, {"1:3", 5, "0.33333"},
		{"2:3", 5, "0.66667"}, {"1:3", -1, "0"}} {
		if d := slope.MustParse(tt.text).Decimal(tt.places); d.String() != tt.want {
			t.Errorf("%s to %d places is %s, want %s", tt.text, tt.places, d, tt.want)
		}
	}
	if _, err := (slope.Grade{}).OneIn(); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("level is one in: %v", err)
	}
	if d := slope.OneIn(48).Decimal(6).String(); d != "0.020833" {
		t.Errorf("1:48 is %s", d)
	}
	if _, ok := slope.OneIn(48).ExactDecimal(); ok {
		t.Error("1:48 has an exact decimal")
	}
	if d, ok := slope.MustParse("1.04 %").ExactDecimal(); !ok || d.String() != "0.0104" {
		t.Errorf("1.04 %% is %s, %v", d, ok)
	}
	if g, err := slope.FromDecimal(decimal.RequireFromString("0.0104")); err != nil || g != slope.MustParse("1.04 %") {
		t.Errorf("0.0104 is %v, %v", g, err)
	}
	if g, err := slope.Percent(1.04); err != nil || g != slope.MustParse("1.04 %") {
		t.Errorf("Percent(1.04) is %v, %v", g, err)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, 1e-300} {
		if g, err := slope.Percent(x); err == nil {
			t.Errorf("Percent(%v) = %v", x, g)
		}
	}
	// tan 45 degrees is 1; the angle of 1:48 is atan(1/48) = 1.19349 degrees.
	if d := slope.OneIn(1).Degrees(); math.Abs(d-45) > 1e-12 {
		t.Errorf("1:1 is %v degrees", d)
	}
	if d := slope.OneIn(48).Degrees(); math.Abs(d-1.19349) > 5e-6 {
		t.Errorf("1:48 is %v degrees", d)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"1/4 in/ft", "0.25 in/ft", `1 1/2" per 3 ft`, "2 %", "-10 ‰", "1:48", "1 in 48", "level",
		"33 1/3 %", "7 m per 3 m", "¼″/′", "1⁄8 in/ft", "1:9223372036854775807"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		g, err := slope.Parse(s)
		if err != nil {
			return
		}
		back, err := slope.Parse(g.String())
		if err != nil || back != g {
			t.Fatalf("%q is %v, which reads back as %v, %v", s, g, back, err)
		}
	})
}

func FuzzString(f *testing.F) {
	f.Add(int64(1), int64(48))
	f.Add(int64(-9), int64(7))
	f.Add(int64(math.MaxInt64), int64(math.MaxInt64-1))
	f.Add(int64(24019198012642646), int64(1)) // 64ths of an inch per foot just past 64 bits
	f.Fuzz(func(t *testing.T, rise, run int64) {
		g, err := slope.Ratio(rise, run)
		if err != nil {
			return
		}
		back, err := slope.Parse(g.String())
		if err != nil || back != g {
			t.Fatalf("%d/%d prints %v, which reads back as %v, %v", rise, run, g, back, err)
		}
	})
}

// Every spelled unit has its own length.
func TestParseUnitNames(t *testing.T) {
	for size, names := range map[units.Length]string{
		units.Inch: "in inch inches", units.Foot: "ft foot feet", units.Yard: "yd yard yards",
		units.Millimetre: "mm millimetre millimetres millimeter millimeters",
		units.Centimetre: "cm centimetre centimetres centimeter centimeters",
		units.Metre:      "m metre metres meter meters",
	} {
		for name := range strings.FieldsSeq(names) {
			want, _ := slope.Of(size, 100*units.Foot)
			if got, err := slope.Parse("1 " + name + " per 100 ft"); err != nil || got != want {
				t.Errorf("1 %s per 100 ft is %v, %v, want %v", name, got, err, want)
			}
		}
	}
}
