package slope_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// shots makes a survey with a shot every 10 ft, inverts in inches over a datum.
func shots(inches ...float64) []slope.Shot {
	out := make([]slope.Shot, len(inches))
	for i, x := range inches {
		out[i] = slope.Shot{Station: units.Length(i) * 10 * units.Foot, Invert: units.Inches(x)}
	}
	return out
}

// A line meant to fall 1/4 in/ft, 2 1/2 in each 10 ft, surveyed at 0, 2 1/2, 3, 3,
// 1, 8, 15 in: from 10 ft it is shallow, from 20 ft flat, from 30 ft back-graded,
// and water stands behind 30 ft, 2 in deep at 40 ft, up to where the rise of 7 in
// from 40 to 50 ft passes 3 in again: 2/7 of the way, 42.857 ft.
//
// Laid again it needs 1/4 in/ft between two shots: 10 to 50 ft rise 5 1/2 in of 10
// wanted, 10 to 60 ft 12 1/2 of 12 1/2, which is just enough. Up to 50 ft even the
// outlet gives only 8 of 12 1/2.
func TestAsBuiltByHand(t *testing.T) {
	design := profile(t, slope.Line{Reaches: []slope.Reach{{Run: 60 * units.Foot, Grade: slope.OneIn(48)}}})
	survey := slope.Survey{Shots: shots(0, 2.5, 3, 3, 1, 8, 15), Design: design, Tolerance: units.Inch / 4,
		Least: slope.OneIn(48)}
	got, err := survey.AsBuilt()
	if err != nil {
		t.Fatal(err)
	}
	var kinds []slope.Fall
	var short []float64
	for _, s := range got.Stretches {
		kinds, short = append(kinds, s.Kind), append(short, s.Short.Inches())
	}
	if diff := cmp.Diff([]slope.Fall{slope.Falls, slope.Shallow, slope.Flat, slope.BackGraded, slope.Falls,
		slope.Falls}, kinds); diff != "" {
		t.Errorf("kinds (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]float64{0, 2, 2.5, 4.5, 0, 0}, short); diff != "" {
		t.Errorf("short (-want +got):\n%s", diff)
	}
	to := 40*units.Foot + units.Length(math.RoundToEven(float64(10*units.Foot)*2/7))
	if diff := cmp.Diff([]slope.Belly{{From: 30 * units.Foot, To: to, Low: 40 * units.Foot, Depth: 2 * units.Inch}},
		got.Bellies); diff != "" {
		t.Errorf("bellies (-want +got):\n%s", diff)
	}
	// On the line from 2 1/2 in at 10 ft to 15 in at 60 ft: 5 at 20, 7 1/2 at 30, 10
	// at 40, 12 1/2 at 50 ft. The most it moves is 9 in up at 40 ft.
	want := []slope.Mend{{
		FaultFrom: 10 * units.Foot, FaultTo: 40 * units.Foot, From: 10 * units.Foot, To: 60 * units.Foot,
		Grade: slope.OneIn(48),
		Raise: 9 * units.Inch, RaiseAt: 40 * units.Foot, Possible: true,
	}}
	if diff := cmp.Diff(want, got.Mends); diff != "" {
		t.Errorf("mends (-want +got):\n%s", diff)
	}
	var off []float64
	within := 0
	for _, p := range got.Points {
		off = append(off, p.Off.Inches())
		if p.Within {
			within++
		}
	}
	if diff := cmp.Diff([]float64{0, 0, -2, -4.5, -9, -4.5, 0}, off); diff != "" || within != 3 {
		t.Errorf("%d within (-want +got):\n%s", within, diff)
	}
	for text, part := range map[string]string{
		got.Stretches[3].String(): "30.00 to 40.00 ft: back-graded by 2.00 in, 4.50 in short",
		got.Stretches[0].String(): "0.00 to 10.00 ft: falls 2.50 in, 2.08 %",
		got.Stretches[2].String(): "20.00 to 30.00 ft: flat, 2.50 in short",
		got.Bellies[0].String():   "30.00 to 42.86 ft: belly, 2.00 in deep at 40.00 ft",
		got.Mends[0].String(): "10.00 to 40.00 ft: lay again from 10.00 to 60.00 ft at 2.08 %, raising it up to " +
			"9.00 in at 40.00 ft",
	} {
		if !strings.Contains(text, part) {
			t.Errorf("%q has no %q", text, part)
		}
	}
}

func TestAsBuiltFixedShots(t *testing.T) {
	// Cast in at 50 ft, the part below cannot use what lies above: between 0 and
	// 50 ft it has 8 in of the 12 1/2 it wants.
	survey := slope.Survey{Shots: shots(0, 2.5, 3, 3, 1, 8, 15), Least: slope.OneIn(48)}
	survey.Shots[5].Fixed = true
	got, err := survey.AsBuilt()
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Mends) != 1 || got.Mends[0].Possible || got.Mends[0].Short != mustLength("4 1/2 in") {
		t.Errorf("%+v", got.Mends)
	}
	if s := got.Mends[0].String(); !strings.Contains(s, "cannot be mended") || !strings.Contains(s, "4.50 in") {
		t.Errorf("%q", s)
	}
	// Cast in at 20 ft: below it 10 to 20 ft cannot be had, 0 to 20 ft wants 5 in of
	// 3; above it, 3 in to 15 in over 40 ft is more than the 10 in wanted.
	survey.Shots[5].Fixed, survey.Shots[2].Fixed = false, true
	if got, err = survey.AsBuilt(); err != nil {
		t.Fatal(err)
	}
	if len(got.Mends) != 2 || got.Mends[0].Possible || got.Mends[0].Short != 2*units.Inch || !got.Mends[1].Possible ||
		got.Mends[1].From != 20*units.Foot || got.Mends[1].To != 60*units.Foot {
		t.Errorf("%+v", got.Mends)
	}
}

func TestAsBuiltResolution(t *testing.T) {
	// Rods read to 1/8 in: a rise or fall of an eighth is flat, and so shallow a
	// pool is not told.
	survey := slope.Survey{Shots: shots(0, 0.125, 0, 5), Least: slope.OneIn(96), Resolution: units.Inch / 8}
	got, err := survey.AsBuilt()
	if err != nil {
		t.Fatal(err)
	}
	if got.Stretches[0].Kind != slope.Flat || got.Stretches[1].Kind != slope.Flat || len(got.Bellies) != 0 {
		t.Errorf("%+v", got)
	}
	survey.Resolution = units.Inch / 16
	if got, err = survey.AsBuilt(); err != nil || got.Stretches[0].Kind != slope.Shallow ||
		got.Stretches[1].Kind != slope.BackGraded || len(got.Bellies) != 1 {
		t.Errorf("%+v, %v", got, err)
	}
}

// A limit met exactly is met; of two equal lows the first is told; a mend that only
// lowers does not speak of raising.
func TestAsBuiltLimits(t *testing.T) {
	design := profile(t, slope.Line{Reaches: []slope.Reach{{Run: 30 * units.Foot, Grade: slope.OneIn(96)}}})
	survey := slope.Survey{Shots: shots(1, 1, 2.5, 3.75), Design: design, Tolerance: units.Inch, Least: slope.OneIn(96)}
	got, err := survey.AsBuilt()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []bool{true, true, true, true} { // 1, -1/4, 0, 0 in off
		if got.Points[i].Within != want {
			t.Errorf("shot %d: %+v", i+1, got.Points[i])
		}
	}
	survey.Shots[0].Invert, survey.Shots[2].Invert = -units.Inch, units.Inch*3/2
	if got, err = survey.AsBuilt(); err != nil || !got.Points[0].Within || !got.Points[2].Within {
		t.Errorf("an inch low: %+v, %v", got.Points, err)
	}
	survey.Shots[0].Invert--
	survey.Shots[2].Invert--
	if got, err = survey.AsBuilt(); err != nil || got.Points[0].Within || got.Points[2].Within {
		t.Errorf("a hair more: %+v, %v", got.Points, err)
	}
	if got, err = (slope.Survey{Shots: shots(5, 2, 3, 2, 9)}).AsBuilt(); err != nil || len(got.Bellies) != 1 ||
		got.Bellies[0].Low != 10*units.Foot {
		t.Errorf("two lows: %+v, %v", got.Bellies, err)
	}
	// From 0 to 6 in, the line stands at 2 and 4: a hump at 10 ft.
	if got, err = (slope.Survey{Shots: shots(0, 5, 4, 6), Least: slope.OneIn(60)}).AsBuilt(); err != nil ||
		len(got.Mends) != 1 {
		t.Fatalf("a hump: %+v, %v", got, err)
	}
	m := got.Mends[0]
	if m.Lower != 3*units.Inch || m.LowerAt != 10*units.Foot || m.Raise != 0 || m.RaiseAt != 0 {
		t.Errorf("a hump: %+v", m)
	}
	if s := m.String(); !strings.Contains(s, "lowering it up to 3.00 in at 10.00 ft") ||
		strings.Contains(s, "raising") {
		t.Errorf("a hump: %q", s)
	}
	// Of two equal moves the first is told: from 0 to 6 in, at 2 and at 4 in.
	for _, tt := range []struct {
		shots        []float64
		raise, lower units.Length
	}{{[]float64{0, 1, 3, 6}, units.Inch, 0}, {[]float64{0, 3, 5, 6}, 0, units.Inch}} {
		if got, err = (slope.Survey{Shots: shots(tt.shots...), Least: slope.OneIn(60)}).AsBuilt(); err != nil ||
			len(got.Mends) != 1 {
			t.Fatalf("%v: %+v, %v", tt.shots, got, err)
		}
		m := got.Mends[0]
		if m.Raise != tt.raise || m.Lower != tt.lower || max(m.RaiseAt, m.LowerAt) != 10*units.Foot ||
			min(m.RaiseAt, m.LowerAt) != 0 {
			t.Errorf("%v: %+v", tt.shots, m)
		}
	}
	for n, ok := range map[int]bool{1: false, 2: true, slope.MaxShots: true, slope.MaxShots + 1: false} {
		_, err := slope.Survey{Shots: shots(make([]float64, n)...)}.AsBuilt()
		if (err == nil) != ok {
			t.Errorf("%d shots: %v", n, err)
		}
	}
}

func TestAsBuiltEnds(t *testing.T) {
	// The pipe never rises over the lip again.
	got, err := slope.Survey{Shots: shots(5, 3, 4)}.AsBuilt()
	if err != nil || len(got.Bellies) != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	b := got.Bellies[0]
	if !b.Open || b.From != 0 || b.To != 20*units.Foot || b.Low != 10*units.Foot || b.Depth != 2*units.Inch ||
		!strings.Contains(b.String(), "beyond the last shot") {
		t.Errorf("%+v", b)
	}
	if len(got.Mends) != 1 || got.Mends[0].Possible || got.Mends[0].Short != units.Inch {
		t.Errorf("%+v", got.Mends)
	}
	// A drop: two shots at one station against the two inverts of the design.
	design := profile(t, house())
	survey := slope.Survey{Design: design, Tolerance: units.Inch / 8, Least: slope.OneIn(96), Shots: []slope.Shot{
		{Station: 0, Invert: mustLength("96'")}, {Station: 40 * units.Foot, Invert: mustLength("96'-10 1/8\"")},
		{Station: 40 * units.Foot, Invert: mustLength("97'")},
		{Station: 64 * units.Foot, Invert: mustLength("97'-3 3/16\"")},
	}}
	if got, err = survey.AsBuilt(); err != nil {
		t.Fatal(err)
	}
	if p := got.Points; !p[1].Within || p[1].Off != units.Inch/8 || !p[2].Within || p[2].Off != 0 || p[3].Within {
		t.Errorf("%+v", p)
	}
	if got.Stretches[1].Kind != slope.Falls || got.Stretches[1].Grade() != (slope.Grade{}) ||
		got.Stretches[1].String() != "40.00 ft: drops 1.88 in" || len(got.Mends) != 0 {
		t.Errorf("%+v", got)
	}
}

// A line wants 2 1/2 in each 10 ft and has a drop of 2 in at 40 ft; from its top to
// 50 ft it is flat. Where the next 10 ft give 5 in, 20 ft above the drop are laid
// again; where they give 4 1/2, they need half an inch of the drop.
func TestMendAboveADrop(t *testing.T) {
	for _, tt := range []struct {
		last  float64
		lower units.Length
	}{{17, 0}, {16.5, 2 * units.Inch}} {
		got, err := slope.Survey{Least: slope.OneIn(48), Shots: []slope.Shot{
			{}, {Station: 40 * units.Foot, Invert: 10 * units.Inch},
			{Station: 40 * units.Foot, Invert: 12 * units.Inch},
			{Station: 50 * units.Foot, Invert: 12 * units.Inch},
			{Station: 60 * units.Foot, Invert: units.Inches(tt.last)},
		}}.AsBuilt()
		if err != nil || len(got.Mends) != 1 {
			t.Fatalf("%+v, %v", got, err)
		}
		m := got.Mends[0]
		if !m.Possible || m.From != 40*units.Foot || m.To != 60*units.Foot || m.Lower != tt.lower {
			t.Errorf("%v in: %+v", tt.last, m)
		}
	}
}

func TestAsBuiltFaultsComeTogether(t *testing.T) {
	_, err := slope.Survey{Shots: []slope.Shot{{Station: -1}, {Station: 5, Invert: math.MaxInt64}, {Station: 3},
		{Station: 3}, {Station: 3}}, Tolerance: -1, Resolution: -1, Least: slope.OneIn(-9)}.AsBuilt()
	for _, want := range []string{"tolerance", "resolution", "least grade", "shot 1: station", "shot 2: invert",
		"shot 3: station", "shot 5: station: out of range: a third"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
	if _, err := (slope.Survey{}).AsBuilt(); !errors.Is(err, units.ErrRange) {
		t.Errorf("no shots: %v", err)
	}
	off := slope.Survey{Shots: shots(0, 1), Design: profile(t, slope.Line{})}
	if _, err := off.AsBuilt(); !errors.Is(err, slope.ErrOffLine) || !strings.Contains(err.Error(), "shot 2") {
		t.Errorf("off the design: %v", err)
	}
	if slope.Fall(9).String() != "fall 9" || slope.BackGraded.String() != "back-graded" {
		t.Error("names")
	}
}

// After every possible mend is made, no stretch between mended ends falls short;
// each mend is the shortest there is; and where none is possible, none exists.
func TestMendsAgainstEveryPair(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 52))
	least := slope.OneIn(96)
	enough := func(s []slope.Shot, i, j int) bool {
		g, err := slope.Between(s[j].Invert, s[i].Invert, s[j].Station-s[i].Station)
		return err == nil && g.Compare(least) >= 0
	}
	free := func(s []slope.Shot, i, j int) bool {
		for k := i + 1; k < j; k++ {
			if s[k].Fixed {
				return false
			}
		}
		return true
	}
	for range 3000 {
		survey := slope.Survey{Least: least}
		var at units.Length
		var level float64
		for range 3 + r.IntN(12) {
			survey.Shots = append(survey.Shots,
				slope.Shot{Station: at, Invert: units.Inches(math.Round(level*4) / 4), Fixed: r.IntN(6) == 0})
			at += units.Length(1+r.IntN(10)) * units.Foot
			level += r.Float64()*3 - 0.8
		}
		got, err := survey.AsBuilt()
		if err != nil {
			t.Fatal(err)
		}
		index := map[units.Length]int{}
		for i, s := range survey.Shots {
			index[s.Station] = i
		}
		covered := make([]bool, len(survey.Shots)) // stretch i..i+1 belongs to a fault that has a mend
		end := 0
		for _, m := range got.Mends {
			a, b := index[m.FaultFrom], index[m.FaultTo]
			best, short := units.Length(math.MaxInt64), units.Length(math.MaxInt64)
			for i := 0; i <= a; i++ {
				for j := b; j < len(survey.Shots); j++ {
					if free(survey.Shots, i, j) {
						a, b := survey.Shots[i], survey.Shots[j]
						short = min(short, least.Over(b.Station-a.Station)-(b.Invert-a.Invert))
					}
					if enough(survey.Shots, i, j) && free(survey.Shots, i, j) {
						best = min(best, survey.Shots[j].Station-survey.Shots[i].Station)
					}
				}
			}
			for k := a; k < b; k++ {
				covered[k] = true
			}
			if m.Possible != (best != math.MaxInt64) || m.Possible && m.To-m.From != best {
				t.Fatalf("%+v\n%v, but the shortest is %v ft", survey.Shots, m, best.Feet())
			}
			if !m.Possible {
				if d := m.Short - short; d < -1 || d > 1 {
					t.Fatalf("%+v\n%v, but the least lack is %v in", survey.Shots, m, short.Inches())
				}
				continue
			}
			if i := index[m.From]; i < end {
				t.Fatalf("%+v\nmends overlap: %v", survey.Shots, got.Mends)
			}
			end = index[m.To]
		}
		for i, s := range got.Stretches {
			if s.Kind != slope.Falls && !covered[i] {
				t.Fatalf("%+v\nnothing mends %v", survey.Shots, s)
			}
		}
	}
}

func ExampleSurvey_AsBuilt() {
	survey := slope.Survey{Least: slope.MustParse("1/4 in/ft")}
	for i, inches := range []float64{0, 2.5, 3, 3, 1, 8, 15} {
		survey.Shots = append(survey.Shots,
			slope.Shot{Station: units.Length(i) * 10 * units.Foot, Invert: units.Inches(inches)})
	}
	built, err := survey.AsBuilt()
	if err != nil {
		panic(err)
	}
	for _, s := range built.Stretches {
		if s.Kind != slope.Falls {
			fmt.Println(s)
		}
	}
	fmt.Println(built.Bellies[0])
	fmt.Println(built.Mends[0])
	// Output:
	// 10.00 to 20.00 ft: shallow, 2.00 in short of the least grade
	// 20.00 to 30.00 ft: flat, 2.50 in short of the least grade
	// 30.00 to 40.00 ft: back-graded by 2.00 in, 4.50 in short of the least grade
	// 30.00 to 42.86 ft: belly, 2.00 in deep at 40.00 ft
	// 10.00 to 40.00 ft: lay again from 10.00 to 60.00 ft at 2.08 %, raising it up to 9.00 in at 40.00 ft
}
