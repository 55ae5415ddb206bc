package slope_test

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func mustLength(s string) units.Length { return units.MustParse[units.Length](s) }

// Hand-checked falls, runs and grades: 12 in per ft, 16 parts an inch.
func TestFallsByHand(t *testing.T) {
	tests := []struct{ run, grade, fall string }{
		{"37 ft 6 in", "1/4 in/ft", "9 3/8 in"},      // 37.5 / 4
		{"37 ft 6 in", "1/8 in/ft", "4 11/16 in"},    // 37.5 / 8
		{"37 ft 6 in", "2 %", "9 in"},                // 450 in / 50
		{"10 ft", "1/4 in/ft", "2 1/2 in"},           //
		{"18 ft 9 in", "1/2 in/ft", "9 3/8 in"},      // 18.75 / 2
		{"6 ft", "1/4 in/ft", "1 1/2 in"},            // one bore of a 1 1/2 in trap arm
		{"100 ft", "1 %", "1 ft"},                    //
		{"100 ft", "1.04 %", "12.48 in"},             // 1/8 in/ft is 12 1/2 in
		{"100 ft", "1/8 in/ft", "12 1/2 in"},         //
		{"48 ft", "1:48", "1 ft"},                    //
		{"1 in", "1 in 48", "0.0208333333333333 in"}, // 25 400 000 / 48 = 529 166.67 nm
		{"30 m", "1:60", "500 mm"},                   //
		{"30 m", "20 mm/m", "600 mm"},                //
		{"7.2 m", "1:40", "180 mm"},                  //
		{"250 m", "5 ‰", "1.25 m"},                   //
		{"50 ft", "level", "0 in"},                   //
		{"50 ft", "-1/4 in/ft", "-12 1/2 in"},        //
	}
	for _, tt := range tests {
		got := slope.MustParse(tt.grade).Over(mustLength(tt.run))
		if d := got - mustLength(tt.fall); d < -1 || d > 1 || d != 0 && !strings.HasPrefix(tt.grade, "1 in") {
			t.Errorf("%s at %s falls %v in, want %s", tt.run, tt.grade, got.Inches(), tt.fall)
		}
	}
}

func TestRunForByHand(t *testing.T) {
	tests := []struct{ fall, grade, run string }{
		{"11 in", "1/4 in/ft", "44 ft"}, {"11 in", "1/8 in/ft", "88 ft"}, {"11 in", "2 %", "45 ft 10 in"},
		{"1 1/2 in", "1/4 in/ft", "6 ft"},
		{"625 mm", "1:80", "50 m"}, {"-12 1/2 in", "-1/4 in/ft", "50 ft"}, {"0 in", "1 %", "0 in"},
		{"2 in", "200 %", "1 in"},
	}
	for _, tt := range tests {
		got, err := slope.MustParse(tt.grade).RunFor(mustLength(tt.fall))
		if err != nil || got != mustLength(tt.run) {
			t.Errorf("%s at %s takes %v ft, %v, want %s", tt.fall, tt.grade, got.Feet(), err, tt.run)
		}
	}
	for _, bad := range []struct{ fall, grade string }{{"1 in", "level"}, {"0 in", "level"}, {"1 in", "-1 %"},
		{"-1 in", "1 %"}, {"1000 km", "0.0001 %"}} {
		if got, err := slope.MustParse(bad.grade).RunFor(mustLength(bad.fall)); !errors.Is(err, slope.ErrGrade) {
			t.Errorf("%s at %s takes %v, %v", bad.fall, bad.grade, got, err)
		}
	}
	if _, err := slope.OneIn(0).RunFor(units.Inch); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("one in 0: %v", err)
	}
}

func TestBetween(t *testing.T) {
	g, err := slope.Between(mustLength("102.30 ft"), mustLength("100 ft"), mustLength("115 ft"))
	if err != nil || g != slope.MustParse("2 %") {
		t.Errorf("%v, %v", g, err)
	}
	if g, err := slope.Between(0, units.Foot, 100*units.Foot); err != nil || g != slope.MustParse("-1 %") {
		t.Errorf("a rising run is %v, %v", g, err)
	}
	for _, run := range []units.Length{0, -units.Foot} {
		if _, err := slope.Between(units.Foot, 0, run); !errors.Is(err, units.ErrRange) {
			t.Errorf("run %v: %v", run, err)
		}
	}
}

func TestGradeArithmetic(t *testing.T) {
	p := slope.MustParse
	for _, tt := range []struct{ a, b, sum, difference string }{
		{"1 %", "2 %", "3 %", "-1 %"}, {"1/4 in/ft", "1/8 in/ft", "3/8 in/ft", "1/8 in/ft"},
		{"1:48", "2 %", "49:1200", "1:1200"},
		{"1 %", "-1 %", "level", "2 %"}, {"level", "level", "level", "level"},
	} {
		sum, err1 := p(tt.a).Add(p(tt.b))
		diff, err2 := p(tt.a).Sub(p(tt.b))
		if err1 != nil || err2 != nil || sum != p(tt.sum) || diff != p(tt.difference) {
			t.Errorf("%s and %s: %v %v, %v %v", tt.a, tt.b, sum, err1, diff, err2)
		}
	}
	if g, err := p("1/4 in/ft").Scale(1, 2); err != nil || g != p("1/8 in/ft") {
		t.Errorf("half of 1/4 in/ft is %v, %v", g, err)
	}
	if g, err := p("1/4 in/ft").Scale(0, 2); err != nil || g != (slope.Grade{}) {
		t.Errorf("none of 1/4 in/ft is %v, %v", g, err)
	}
	if _, err := p("1/4 in/ft").Scale(1, 0); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("divided by none: %v", err)
	}
	a, b := p("1:9223372036854775807"), p("1:9223372036854775806")
	if g, err := a.Add(b); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("a sum that fits nowhere is %v", g)
	}
	if p("-1 %").Abs() != p("1 %") || p("1 %").Neg() != p("-1 %") || (slope.Grade{}).Neg() != (slope.Grade{}) {
		t.Error("sign")
	}
}

func TestCompare(t *testing.T) {
	grades := []string{"-2 %", "-1/8 in/ft", "-1 %", "level", "1 %", "1.04 %", "1/8 in/ft", "2 %", "2.08 %",
		"1/4 in/ft", "2.0834 %", "100 %"}
	for i, a := range grades {
		for j, b := range grades {
			want := 0
			if i < j {
				want = -1
			} else if i > j {
				want = 1
			}
			if got := slope.MustParse(a).Compare(slope.MustParse(b)); got != want {
				t.Errorf("%s against %s: %d, want %d", a, b, got, want)
			}
		}
	}
}

// A 3 in drain, 3.042 in bore and 0.216 in wall as given, from an invert 24 in
// below the underside of the slab, with 2 in kept clear, has
// 24 - 2 - 3.042 - 0.216 = 18.742 in, less 1 in of drop 17.742 in.
func TestRoom(t *testing.T) {
	room := slope.Room{Invert: 0, Ceiling: mustLength("24 in"), Clearance: mustLength("2 in"), Drops: units.Inch,
		Pipe: slope.Pipe{Bore: mustLength("3.042 in"), Wall: mustLength("0.216 in")}}
	left, err := room.Left()
	if err != nil || left != mustLength("17.742 in") {
		t.Fatalf("left %v in, %v", left.Inches(), err)
	}
	quarter := slope.OneIn(48)
	// 17.742 in at 1/4 in/ft is 70.968 ft.
	reach, err := room.Reach(quarter)
	if err != nil || reach != mustLength("70.968 ft") {
		t.Errorf("reach %v ft, %v", reach.Feet(), err)
	}
	if spare, err := room.Spare(reach, quarter); err != nil || spare != 0 {
		t.Errorf("spare at full reach %v, %v", spare, err)
	}
	if spare, err := room.Spare(mustLength("80 ft"), quarter); err != nil || spare != mustLength("-2.258 in") {
		t.Errorf("spare at 80 ft %v in, %v", spare.Inches(), err)
	}
	// What fits 80 ft is 17.742/960.
	if g, err := room.Steepest(mustLength("80 ft")); err != nil || g != slope.MustParse("17.742 in per 80 ft") {
		t.Errorf("steepest %v, %v", g, err)
	}
	if g, ok, err := room.SteepestOf(mustLength("80 ft"),
		[]slope.Grade{slope.OneIn(48), slope.OneIn(96), slope.OneIn(192)}); err != nil || !ok || g != slope.OneIn(96) {
		t.Errorf("steepest of the table %v, %v, %v", g, ok, err)
	}
	if g, ok, err := room.SteepestOf(mustLength("70.968 ft"),
		[]slope.Grade{slope.OneIn(96), slope.OneIn(48)}); err != nil || !ok || g != slope.OneIn(48) {
		t.Errorf("a grade that fits exactly: %v, %v, %v", g, ok, err)
	}
	if _, ok, err := room.SteepestOf(mustLength("1000 ft"), []slope.Grade{slope.OneIn(48)}); err != nil || ok {
		t.Errorf("none fits: %v, %v", ok, err)
	}
	// The question of the trade, in one line.
	eleven := slope.Room{Ceiling: mustLength("11 in")}
	if reach, err := eleven.Reach(quarter); err != nil || reach != 44*units.Foot {
		t.Errorf("11 in of depth reach %v ft, %v", reach.Feet(), err)
	}
	if reach, err := (slope.Room{}).Reach(quarter); err != nil || reach != 0 {
		t.Errorf("nothing left reaches %v ft, %v", reach.Feet(), err)
	}
	if _, err := eleven.Reach(slope.Grade{}); !errors.Is(err, slope.ErrGrade) ||
		!strings.Contains(err.Error(), "has no end") {
		t.Errorf("level: %v", err)
	}
	low := slope.Room{Ceiling: units.Inch, Pipe: slope.Pipe{Bore: 3 * units.Inch}}
	if _, err := low.Reach(quarter); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), "2 in (50.8 mm) too high") {
		t.Errorf("too low: %v", err)
	}
	// A length that inches to three places would show as none is told exactly.
	for over, want := range map[units.Length]string{12_700: `0.0005" too high`, 12_701: "0.001 in (0.01 mm) too high"} {
		if _, err := (slope.Room{Ceiling: -over}).Reach(quarter); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%d nm too low: %v, want %s", int64(over), err, want)
		}
	}
	if g, err := low.Steepest(100 * units.Inch); err != nil || g != slope.MustParse("-2 %") {
		t.Errorf("too low: %v, %v", g, err)
	}
	room.Clearance = -1
	if _, err := room.Left(); !errors.Is(err, units.ErrRange) {
		t.Errorf("negative clearance: %v", err)
	}
}

// A reach never takes more than there is, and one nanometre on would.
func TestReachIsTight(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 5000 {
		g, err := slope.Ratio(1+r.Int64N(9), 1+r.Int64N(400))
		if err != nil {
			t.Fatal(err)
		}
		left := units.Length(r.Int64N(int64(2 * units.Foot)))
		reach, err := slope.Room{Ceiling: left}.Reach(g)
		if err != nil {
			t.Fatal(err)
		}
		if spare, err := (slope.Room{Ceiling: left}).Steepest(max(reach, 1)); err != nil || reach > 0 &&
			spare.Compare(g) < 0 {
			t.Fatalf("%v nm at %v: the reach %d is too far, %v", left, g, reach, err)
		}
		if more, err := (slope.Room{Ceiling: left}).Steepest(reach + 1); err != nil || more.Compare(g) >= 0 {
			t.Fatalf("%v nm at %v: the reach %d could be longer, %v", left, g, reach, err)
		}
	}
}
