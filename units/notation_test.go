package units

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestNotation(t *testing.T) {
	for _, c := range []struct {
		n    Notation
		l    Length
		want string
	}{
		{Notation{}, long, `37'-6 3/8"`},
		{Notation{Spelled: true}, long, `37 ft 6 3/8 in`},
		{Notation{}, 0, `0'-0"`},
		{Notation{NoZeroFeet: true}, 0, `0"`},
		{Notation{}, 24 * tick, `0'-0 3/8"`},
		{Notation{NoZeroFeet: true}, 24 * tick, `3/8"`},
		{Notation{NoZeroFeet: true}, 37*Foot + 24*tick, `37'-0 3/8"`},
		{Notation{Spelled: true, NoZeroFeet: true}, 6 * Inch, `6 in`},
		{Notation{}, -long, `-37'-6 3/8"`},
		{Notation{}, -tick / 2, `0'-0"`}, // no sign before nothing
		{Notation{Form: FractionalInches}, long, `450 3/8"`},
		{Notation{Form: FractionalInches}, -24 * tick, `-3/8"`},
		{Notation{Form: FractionalInches, Spelled: true}, long, `450 3/8 in`},
		{Notation{Form: DecimalFeet, Places: 2}, long, `37.53'`},
		{Notation{Form: DecimalFeet, Places: 5, Spelled: true}, long, `37.53125 ft`},
		{Notation{Form: DecimalFeet}, long, `38'`},
		{Notation{Form: DecimalInches, Places: 3}, 15_791_180, `0.622"`},
		{Notation{Form: DecimalInches, Places: 2}, -15_791_180, `-0.62"`},
		{Notation{Form: DecimalMillimetres, Places: 1}, long, `11439.5 mm`},
		{Notation{Form: DecimalCentimetres, Places: 2}, long, `1143.95 cm`},
		{Notation{Form: DecimalMetres, Places: 3}, long, `11.440 m`},
		{Notation{Form: DecimalMetres, Places: 3}, 11_440 * Millimetre, `11.440 m`},
		{Notation{Form: DecimalMetres, Places: 2}, 5 * Millimetre, `0.00 m`},
		{Notation{Form: DecimalMetres, Places: 2, Rounding: HalfUp}, 5 * Millimetre, `0.01 m`},
		// 4 ft less a hair is 4 ft, not 3'-12"; and 11.9988 in is a foot.
		{Notation{}, 4*Foot - 1, `4'-0"`},
		{Notation{}, Inches(11.9988), `1'-0"`},
		{Notation{Rounding: Down}, 4*Foot - 1, `3'-11 15/16"`},
		{Notation{NoZeroFeet: true}, Foot - 1, `1'-0"`},
		// Nearest 1/2 to 1/64 of 6 27/64 in, and the ways to round the half 6 13/32.
		{Notation{Nearest: 1}, 6*Inch + 27*tick, `0'-6"`},
		{Notation{Nearest: 2}, 6*Inch + 27*tick, `0'-6 1/2"`},
		{Notation{Nearest: 4}, 6*Inch + 27*tick, `0'-6 1/2"`},
		{Notation{Nearest: 8}, 6*Inch + 27*tick, `0'-6 3/8"`},
		{Notation{Nearest: 16}, 6*Inch + 27*tick, `0'-6 7/16"`},
		{Notation{Nearest: 32}, 6*Inch + 27*tick, `0'-6 7/16"`},
		{Notation{Nearest: 64}, 6*Inch + 27*tick, `0'-6 27/64"`},
		{Notation{Rounding: HalfEven}, 6*Inch + 26*tick, `0'-6 3/8"`},
		{Notation{Rounding: HalfUp}, 6*Inch + 26*tick, `0'-6 7/16"`},
		{Notation{Rounding: HalfDown}, 6*Inch + 26*tick, `0'-6 3/8"`},
		{Notation{Rounding: Up}, 6*Inch + 25*tick, `0'-6 7/16"`},
		{Notation{Rounding: Down}, 6*Inch + 27*tick, `0'-6 3/8"`},
		{Notation{Rounding: HalfEven}, 6*Inch + 30*tick, `0'-6 1/2"`},
		{Notation{Rounding: HalfUp}, -6*Inch - 26*tick, `-0'-6 7/16"`},
		{Notation{Rounding: HalfDown}, -6*Inch - 26*tick, `-0'-6 3/8"`},
		// The ends of the integers.
		{Notation{Form: DecimalMetres, Places: 3}, math.MaxInt64, `9223372036.855 m`},
		{Notation{Form: DecimalMetres, Places: 3}, math.MinInt64, `-9223372036.855 m`},
		{Notation{Form: DecimalMillimetres, Places: 6}, math.MinInt64, `-9223372036854.775808 mm`},
		{Notation{Nearest: 64}, math.MaxInt64, `30260406945'-0 47/64"`},
		// A notation that does not exist.
		{Notation{Nearest: 3}, long, `%!(units.Notation)`},
		{Notation{Nearest: 128}, long, `%!(units.Notation)`},
		{Notation{Nearest: -1}, long, `%!(units.Notation)`},
		{Notation{Form: 99}, long, `%!(units.Notation)`},
		{Notation{Rounding: 99}, long, `%!(units.Notation)`},
		{Notation{Form: DecimalFeet, Places: 6}, long, `%!(units.Notation)`},
		{Notation{Form: DecimalMillimetres, Places: 7}, long, `%!(units.Notation)`},
		{Notation{Form: DecimalFeet, Places: -1}, long, `%!(units.Notation)`},
	} {
		if got := c.n.Format(c.l); got != c.want {
			t.Errorf("%+v: %d is %s, want %s", c.n, int64(c.l), got, c.want)
		}
	}
}

// notations yields every valid notation there is.
func notations(yield func(Notation) bool) {
	for form := FeetInches; form <= DecimalMetres; form++ {
		for how := HalfEven; how <= Down; how++ {
			for step := 0; step <= 64; step++ {
				for _, spelled := range []bool{false, true} {
					n := Notation{Form: form, Rounding: how, Spelled: spelled, NoZeroFeet: spelled != (step > 8)}
					if form <= FractionalInches {
						n.Nearest = step
					} else {
						n.Places = step
					}
					if n.Valid() && !yield(n) {
						return
					}
				}
			}
		}
	}
}

// What a notation writes reads back as what it says it shows; a length it holds
// exactly comes back unchanged; the rest is below a step, or below half of one.
func TestNotationReadsBack(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	count := 0
	for n := range notations {
		count++
		step := new(big.Rat).SetFrac64(int64(forms[n.Form].unit), 1)
		switch {
		case n.Form > FractionalInches:
			step.Quo(step, new(big.Rat).SetUint64(powersOfTen[n.Places]))
		case n.Nearest > 0:
			step.Quo(step, new(big.Rat).SetInt64(int64(n.Nearest)))
		default:
			step.Quo(step, big.NewRat(16, 1))
		}
		for range 200 {
			l := Length(r.Int64N(int64(MaxLength) >> r.IntN(50)))
			switch r.IntN(3) {
			case 0:
				l = -l
			case 1:
				l = l / (tick / 2) * (tick / 2)
			}
			shown, rest := n.Rounded(l)
			text := n.Format(l)
			if back, err := Parse[Length](text); err != nil || back != shown {
				t.Fatalf("%+v: %d is %s, read back %d, want %d (%v)", n, l, text, back, shown, err)
			}
			if shown+rest != l {
				t.Fatalf("%+v: %d is shown %d and rest %d", n, l, shown, rest)
			}
			if again, _ := n.Rounded(shown); again != shown || n.Format(shown) != text {
				t.Fatalf("%+v: %d is %s, but shown it is %s", n, l, text, n.Format(shown))
			}
			// Independent of how it is computed: |rest| against the step, in rationals.
			limit := new(big.Rat).Set(step)
			if n.Rounding <= HalfDown {
				limit.Mul(limit, big.NewRat(1, 2))
			}
			if new(big.Rat).SetInt64(int64(rest.Abs())).Cmp(limit) > 0 {
				t.Fatalf("%+v: %d leaves %d", n, l, rest)
			}
			if n.Rounding == Down && shown.Abs() > l.Abs() || n.Rounding == Up && shown.Abs() < l.Abs() {
				t.Fatalf("%+v: %d is shown as %d", n, l, shown)
			}
		}
	}
	if count < 200 {
		t.Errorf("only %d notations", count)
	}
}

// String is exact for every length, on or off the ruler.
func TestLengthStringReadsBack(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 100_000 {
		l := Length(r.Int64N(int64(MaxLength) >> r.IntN(50)))
		switch r.IntN(4) {
		case 0:
			l = -l
		case 1:
			l -= l % tick
		case 2:
			l -= l % 254
		}
		if back, err := Parse[Length](l.String()); err != nil || back != l {
			t.Fatalf("%d prints %s, read back %d (%v)", int64(l), l, back, err)
		}
	}
	for _, c := range []struct {
		l    Length
		want string
	}{
		{0, `0"`}, {tick, `1/64"`}, {15_791_180, `0.6217"`}, {50 * Millimetre, "50 mm"}, {-1, "-0.000001 mm"},
		{127 * Millimetre, `5"`},
		{11_430 * Millimetre, `37'-6"`}, {-3 * Foot, `-3'-0"`}, {254, `0.00001"`}, {MaxLength, "1000000000 mm"},
		{math.MinInt64, "-9223372036854.775808 mm"},
	} {
		if c.l.String() != c.want {
			t.Errorf("%d prints %s, want %s", int64(c.l), c.l, c.want)
		}
	}
}

// 24 in, 35-24 yards and 1920 sixteenths carry no noise.
func TestLengthsAreExact(t *testing.T) {
	var sum Length
	for range 1920 {
		sum += Inch / 16
	}
	if sum != 10*Foot || MustParse[Length]("24 in") != 2*Foot || MustParse[Length]("24 in").Feet() != 2 ||
		(35-24)*Yard/2 != 198*Inch {
		t.Error("lengths are not exact")
	}
	for n := range 19_200 {
		l := Length(n) * (Inch / 16)
		if l.Inches()*16 != float64(n) {
			t.Fatalf("%d/16 in is %v in", n, l.Inches())
		}
		if Inches(l.Inches()) != l || Feet(l.Feet()) != l || Metres(l.Metres()) != l ||
			Millimetres(l.Millimetres()) != l {
			t.Fatalf("%s does not survive float64", l)
		}
	}
}

func TestFormatLength(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{fmt.Sprintf("%v|%s", long, long), `37'-6 3/8"|37'-6 3/8"`},
		{fmt.Sprint(long), `37'-6 3/8"`},
		{fmt.Sprintf("%q", long), `"37'-6 3/8\""`},
		{fmt.Sprintf("%.4v %.2s", long, long), `37'-6 1/2" 37'-6 1/2"`},
		{fmt.Sprintf("%.3v", long), `%!(units.Notation)`},
		{fmt.Sprintf("%i %.4i %#i %#.1i", long, long, long, long), `450 3/8" 450 1/2" 450.375" 450.4"`},
		{fmt.Sprintf("%f %.4f", long, long), `37.53' 37.5312'`},
		{fmt.Sprintf("%m %.1m %#m %#.3m", long, long, long, long), `11.440 m 11.4 m 11440 mm 11439.525 mm`},
		{fmt.Sprintf("%d", long), `11439525000 nm`},
		{fmt.Sprintf("%#v", long), `units.Length(11439525000)`},
		{fmt.Sprintf("[%14v][%-14v]", long, long), `[    37'-6 3/8"][37'-6 3/8"    ]`},
		{fmt.Sprintf("[%3v]", long), `[37'-6 3/8"]`},
		{fmt.Sprintf("%+v %+v %+.2f", long, -long, long), `+37'-6 3/8" -37'-6 3/8" +37.53'`},
		{fmt.Sprintf("%x", long), `%!x(units.Length=37'-6 3/8")`},
		{fmt.Sprintf("%v", []Length{Inch, Foot}), `[1" 1'-0"]`},
		{fmt.Sprintf("%.20f", long), `%!(units.Notation)`},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
}

func TestMapKeysAndFlags(t *testing.T) {
	m := map[Length]string{}
	if err := json.Unmarshal([]byte(`{"2\"":"two","1 1/2 in":"one and a half"}`), &m); err != nil ||
		m[2*Inch] != "two" || m[3*Inch/2] != "one and a half" {
		t.Error(m, err)
	}
	if text, err := json.Marshal(map[Length]int{2 * Inch: 1}); err != nil || string(text) != `{"2\"":1}` {
		t.Errorf("%s %v", text, err)
	}
}

func TestNoAllocations(t *testing.T) {
	buf := make([]byte, 0, 128)
	var l Length
	var f Flow
	for name, run := range map[string]func(){
		"parse":            func() { l, _ = Parse[Length](`37'-6 3/8"`) },
		"parse words":      func() { l, _ = Parse[Length]("37 ft 6 3/8 in") },
		"parse primes":     func() { l, _ = Parse[Length]("37′ 6⅜″") },
		"parse metric":     func() { l, _ = Parse[Length]("11.44 m") },
		"parse flow":       func() { f, _ = Parse[Flow]("12.5 gpm") },
		"append":           func() { buf = Notation{}.Append(buf[:0], long) },
		"append decimal":   func() { buf = Notation{Form: DecimalFeet, Places: 2}.Append(buf[:0], long) },
		"append exact":     func() { buf, _ = long.AppendText(buf[:0]) },
		"append flow":      func() { buf, _ = (12.5 * USGallonPerMinute).AppendText(buf[:0]) },
		"append text flow": func() { buf, _ = f.AppendText(buf[:0]) },
		"arithmetic":       func() { l, _ = long.Scale(1, 48); l, _ = l.Add(Inch); l = l.Round(tick, HalfEven) },
		"sum":              func() { l, _ = Sum(Inch, Foot, long) },
		"unmarshal":        func() { _ = l.UnmarshalText([]byte(`37'-6 3/8"`)) },
	} {
		if n := testing.AllocsPerRun(100, run); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

// One past the last form is none.
func TestNoSuchForm(t *testing.T) {
	n := Notation{Form: DecimalMetres + 1}
	if n.Valid() || n.Format(Foot) != "%!(units.Notation)" {
		t.Errorf("%s", n.Format(Foot))
	}
}

func TestParseErrorText(t *testing.T) {
	_, err := Parse[Length](`5' 14"`)
	if want := `length "5' 14\"", byte 3: inches after feet must be below 12`; err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	if _, err = Parse[Length](strings.Repeat("9", 5000)); len(err.Error()) > 400 {
		t.Errorf("the message is %d bytes long", len(err.Error()))
	}
}
