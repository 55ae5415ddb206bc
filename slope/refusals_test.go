package slope_test

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func TestVulgarFractions(t *testing.T) {
	for text, want := range map[string]string{
		"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
		"⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
	} {
		for _, unit := range []string{" in/ft", " %"} {
			if g, err := slope.Parse(text + unit); err != nil || g != slope.MustParse(want+unit) {
				t.Errorf("%s%s: %v, %v", text, unit, g, err)
			}
			if g, err := slope.Parse("2" + text + unit); err != nil || g != slope.MustParse("2 "+want+unit) {
				t.Errorf("2%s%s: %v, %v", text, unit, g, err)
			}
		}
	}
	if g, err := slope.Parse("1:½"); err == nil {
		t.Errorf("1:½ is %v", g)
	}
	if g, err := slope.Parse("½:24"); err != nil || g != slope.OneIn(48) {
		t.Errorf("½:24 is %v, %v", g, err)
	}
	if g, err := slope.Parse("1 in ½ ft"); err == nil {
		t.Errorf("1 in ½ ft is %v", g)
	}
}

func TestParseErrorText(t *testing.T) {
	_, err := slope.Parse("0.02")
	if err == nil || !strings.HasPrefix(err.Error(), `grade "0.02", byte 4: a number alone does not say of what`) {
		t.Errorf("%v", err)
	}
	_, err = slope.Parse(strings.Repeat("é", 500))
	if err == nil || len(err.Error()) > 250 || !strings.Contains(err.Error(), "too long") {
		t.Errorf("%v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("MustParse took 0.02")
		}
	}()
	slope.MustParse("0.02")
}

// What a ratio of two int64 cannot hold is refused, by whichever way it comes.
func TestParseOverflow(t *testing.T) {
	for _, text := range []string{
		"18446744073709551615 in/ft", "9223372036854775808 ft/ft", "9223372036854775807 ft/in",
		"1 in/9223372036854775807 ft", "1:9223372036854775808",
		"9223372036854775807 1/3 %", "18446744073709551600 1/3 %", "9223372036854775807½ ft/ft",
		"1/18446744073709551616 %", "99999999999999999999/3 %",
		"0.0000000000000000001 %", "1/9223372036854775807 %", "1/3 in/18446744073709551600.5 ft",
		"1.00000000000000000000 %", "18446744073709551.610 %",
	} {
		if g, err := slope.Parse(text); !errors.Is(err, units.ErrRange) {
			t.Errorf("%s is %v, %v", text, g, err)
		}
	}
	for _, text := range []string{"1/0.5 in/ft", "1/ in/ft", "0/0 %", "1 1/ %"} {
		if g, err := slope.Parse(text); err == nil {
			t.Errorf("%s is %v", text, g)
		}
	}
	for text, want := range map[string]string{"2 0/4 %": "2 %", "18446744073709551.60 %": "184467440737095.516 ft/ft",
		"0 1/4 in/ft": "1/4 in/ft", "9223372036854775807 ft/9223372036854775807 ft": "100 %"} {
		if g, err := slope.Parse(text); err != nil || g != slope.MustParse(want) {
			t.Errorf("%s is %v, %v", text, g, err)
		}
	}
}

func TestConstructorRefusals(t *testing.T) {
	for _, text := range []string{"1e19", "1e-19", "1e1001", "1e-1001", "12345678901234567890", "0.1234567890123456789",
		"9223372036854775808", "0." + strings.Repeat("1", 1001)} {
		if g, err := slope.FromDecimal(decimal.RequireFromString(text)); !errors.Is(err, slope.ErrGrade) {
			t.Errorf("%s is %v, %v", text, g, err)
		}
	}
	if g, err := slope.FromDecimal(decimal.RequireFromString("-0.020")); err != nil || g != slope.MustParse("-2 %") {
		t.Errorf("-0.020 is %v, %v", g, err)
	}
	if g, err := slope.FromDecimal(decimal.RequireFromString("0.02" + strings.Repeat("0", 50))); err != nil ||
		g != slope.MustParse("2 %") {
		t.Errorf("0.02 with many zeros is %v, %v", g, err)
	}
	none := slope.OneIn(0)
	_, err1 := none.Add(slope.OneIn(1))
	_, err2 := slope.OneIn(1).Sub(none)
	_, err3 := none.Scale(1, 1)
	_, err4 := none.Rounded(slope.InPercent, 2)
	_, err5 := slope.OneIn(1).Rounded(99, 2)
	_, err6 := slope.OneIn(1).Rounded(slope.InPercent, -1)
	_, err7 := slope.MustParse("9223372036854775807 ft per 1 ft").Rounded(slope.FractionPerFoot, 64)
	_, err8 := slope.Ratio(1, -1)
	_, err9 := slope.Of(units.Foot, 0)
	for i, err := range []error{err1, err2, err3, err4, err5, err6, err7, err8, err9} {
		if !errors.Is(err, slope.ErrGrade) {
			t.Errorf("refusal %d: %v", i+1, err)
		}
	}
	if s := fmt.Sprintf("%v %f %+v", none, none, none); !strings.Contains(s, "not a grade") ||
		strings.Contains(s, "+not") {
		t.Errorf("%q", s)
	}
}

// A length that no door should let in.
func TestEveryDoorRefusesInvalidLengths(t *testing.T) {
	bad := units.Length(math.MinInt64)
	pipe := slope.Pipe{Bore: units.Inch}
	for name, err := range map[string]error{
		"between":           second(slope.Between(bad, 0, 1)),
		"between run":       second(slope.Between(0, 0, bad)),
		"run for":           second(slope.OneIn(1).RunFor(bad)),
		"instrument height": second(slope.InstrumentHeight(0, bad)),
		"reading":           second(slope.Reading(bad, 0)),
		"setup":             second(slope.Setup{Beam: bad}.Reading(0, 0)),
		"setup station":     second(slope.Setup{}.Reading(bad, 0)),
		"setup elevation":   second(slope.Setup{}.Reading(0, bad)),
		"levels":            second(pipe.Levels(bad, slope.Surface{})),
		"room":              second(slope.Room{Invert: bad}.Left()),
		"room reach":        second(slope.Room{Ceiling: bad}.Reach(slope.OneIn(48))),
		"room steepest":     second(slope.Room{Pipe: slope.Pipe{Wall: bad}}.Steepest(1)),
		"room run":          second(slope.Room{}.Steepest(bad)),
		"room spare":        second(slope.Room{}.Spare(bad, slope.OneIn(48))),
		"room spare drops":  second(slope.Room{Drops: bad}.Spare(1, slope.OneIn(48))),
		"room fall":         second(slope.Room{}.Spare(units.MaxLength, slope.MustParse("200 %"))),
		"room grades":       third(slope.Room{}.SteepestOf(bad, nil)),
		"test head":         second(slope.WaterTestHead(bad, slope.OneIn(48), 0)),
		"test head fall":    second(slope.WaterTestHead(units.MaxLength, slope.MustParse("200 %"), 0)),
		"test head sum":     second(slope.WaterTestHead(units.MaxLength, slope.OneIn(1), 1)),
		"slope length":      second(slope.OneIn(1).SlopeLength(bad)),
		"stakes":            second(slope.Stakes(bad, 0, 1)),
		"stub-up along":     second(slope.Wall{B: pt(1, 0)}.StubUp(bad, slope.Left, 0)),
		"stub-up wall":      second(slope.Wall{B: slope.Point{X: bad}}.StubUp(0, slope.Left, 0)),
		"stub-up off":       second(slope.Wall{B: pt(3, 4)}.StubUp(units.MaxLength, slope.Left, units.MaxLength)),
		"offset":            second(slope.NewOffset(bad, 45)),
		"rolling":           second(slope.NewRollingOffset(bad, 0, 45)),
		"rolling far":       second(slope.NewRollingOffset(units.MaxLength, units.MaxLength, 45)),
		"water":             second(slope.WaterToFill(bad, 1)),
	} {
		if !errors.Is(err, units.ErrRange) && !errors.Is(err, slope.ErrGrade) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err := (slope.Room{Ceiling: 1}).SteepestOf(1, []slope.Grade{slope.OneIn(0)}); !errors.Is(err,
		slope.ErrGrade) {
		t.Errorf("no grade: %v", err)
	}
	// The tops of a trench too deep to be.
	if _, _, err := (slope.Trench{Length: 1, Width: 1, DepthLower: units.MaxLength,
		Batter: slope.OneIn(1)}).TopWidths(); !errors.Is(err, units.ErrRange) {
		t.Errorf("top widths: %v", err)
	}
	// A batter whose lean fills an int64 is not doubled into a small number.
	steep, err := slope.Ratio(math.MaxInt64, 1)
	if err != nil {
		t.Fatal(err)
	}
	if w, _, err := (slope.Trench{Length: units.Metre, Width: units.Metre, DepthLower: units.Metre,
		Batter: steep}).TopWidths(); !errors.Is(err, units.ErrRange) {
		t.Errorf("top widths: %v, %v", w, err)
	}
	// Nor do two such falls make a small one.
	for _, p := range []slope.Plane{{Ahead: steep, Across: steep}, {Ahead: steep.Neg(), Across: steep.Neg()},
		{Ahead: slope.OneIn(0)}} {
		if f := p.FallTo(units.Metre, units.Metre); f.Valid() {
			t.Errorf("%v falls %v", p, f)
		}
	}
	if f := (slope.Plane{Ahead: steep, Across: steep.Neg()}).FallTo(units.Metre, units.Metre); f.Abs() > 1 {
		t.Errorf("falls that cancel: %v", f)
	}
	// What is no grade is not 100 %.
	if g := slope.OneIn(0); !math.IsInf(g.Percent(), 1) || !math.IsInf(g.PerMille(), 1) || !math.IsInf(g.Float(), 1) ||
		g.Degrees() != 90 {
		t.Errorf("no grade: %v %v %v %v", g.Percent(), g.PerMille(), g.Float(), g.Degrees())
	}
	if n, err := slope.OneIn(0).OneIn(); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("no grade is one in %v, %v", n, err)
	}
}

// One depth, or two at one place, are judged too, and the width with them.
func TestTrenchAlongRefuses(t *testing.T) {
	for _, depths := range [][]slope.Depth{{{0, -5}}, {{0, 5}, {0, -5}}, {{math.MinInt64, 5}}} {
		if v, err := slope.TrenchAlong(units.Foot, slope.Grade{}, depths); !errors.Is(err, units.ErrRange) || v != 0 {
			t.Errorf("%v: %v, %v", depths, v, err)
		}
	}
	if _, err := slope.TrenchAlong(-1, slope.OneIn(-1), nil); !errors.Is(err, units.ErrRange) ||
		!errors.Is(err, slope.ErrGrade) {
		t.Errorf("width and batter: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

func third[T, U any](_ T, _ U, err error) error { return err }

// Every name reads back; the number after the last has none.
func TestNames(t *testing.T) {
	type text interface {
		fmt.Stringer
		encoding.TextMarshaler
	}
	check := func(count uint8, of func(uint8) text, read func([]byte) (text, error)) {
		t.Helper()
		seen := map[string]bool{}
		for i := range count {
			b, err := of(i).MarshalText()
			back, err2 := read(b)
			if err != nil || err2 != nil || back != of(i) || string(b) != of(i).String() || seen[string(b)] {
				t.Errorf("%q reads back as %v, %v, %v", b, back, err, err2)
			}
			seen[string(b)] = true
		}
		if b, err := of(count).MarshalText(); !errors.Is(err, units.ErrRange) ||
			!strings.HasSuffix(of(count).String(), fmt.Sprint(" ", count)) {
			t.Errorf("number %d is %q, %v, %v", count, b, of(count), err)
		}
		if _, err := read([]byte("sideways")); !errors.Is(err, units.ErrRange) {
			t.Errorf("sideways: %v", err)
		}
	}
	check(4, func(i uint8) text { return slope.Join(i) },
		func(b []byte) (text, error) { var v slope.Join; err := v.UnmarshalText(b); return v, err })
	check(3, func(i uint8) text { return slope.WallLine(i) },
		func(b []byte) (text, error) { var v slope.WallLine; err := v.UnmarshalText(b); return v, err })
	check(2, func(i uint8) text { return slope.Side(i) },
		func(b []byte) (text, error) { var v slope.Side; err := v.UnmarshalText(b); return v, err })
	check(5, func(i uint8) text { return slope.Follow(i) },
		func(b []byte) (text, error) { var v slope.Follow; err := v.UnmarshalText(b); return v, err })
	check(4, func(i uint8) text { return slope.Fall(i) },
		func(b []byte) (text, error) { var v slope.Fall; err := v.UnmarshalText(b); return v, err })
	check(6, func(i uint8) text { return slope.ConflictKind(i) },
		func(b []byte) (text, error) { var v slope.ConflictKind; err := v.UnmarshalText(b); return v, err })
	for got, want := range map[string]string{
		slope.AtSpringline.String(): "at springline", slope.TooClose.String(): "pipes too close",
		slope.ConflictKind(99).String(): "conflict 99",
		slope.UnderSpread.String():      "trench below the plane of a footing", slope.Join(4).String(): "join 4",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
