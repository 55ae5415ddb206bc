package slope_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func TestPlaneByHand(t *testing.T) {
	p := slope.Plane{Ahead: slope.MustParse("2 %"), Across: slope.MustParse("1 %")}
	for _, tt := range []struct{ bearing, percent float64 }{
		{0, 2}, {90, 1}, {180, -2}, {270, -1}, {-90, -1}, {360, 2}, {450, 1}, {-720, 2},
		{60, 2*0.5 + 1*math.Sqrt(3)/2}, {45, 3 * math.Sqrt(2) / 2}, {135, -math.Sqrt(2) / 2},
	} {
		got, err := p.PercentAlong(tt.bearing)
		exact := math.Mod(tt.bearing, 90) == 0
		if err != nil || exact && got != tt.percent || math.Abs(got-tt.percent) > 1e-12 {
			t.Errorf("at %v: %v %%, %v, want %v", tt.bearing, got, err, tt.percent)
		}
	}
	if f := p.FallTo(100*units.Foot, -50*units.Foot); f != mustLength("1.5 ft") {
		t.Errorf("falls %v ft", f.Feet())
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := p.PercentAlong(bad); !errors.Is(err, units.ErrRange) {
			t.Errorf("bearing %v: %v", bad, err)
		}
	}
	if _, err := (slope.Plane{Ahead: slope.OneIn(0)}).PercentAlong(0); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("no grade: %v", err)
	}
}

// The beam falls 1 % ahead. A run laid ahead at 1 % follows it; one laid back
// towards the laser at 1 % must gain 2 %, the sum of both grades; one laid across
// it is level by the beam.
func TestFollow(t *testing.T) {
	one, two := slope.MustParse("1 %"), slope.MustParse("2 %")
	got, err := slope.Plane{Ahead: one}.Follow([]slope.Heading{
		{"ahead", 0, one}, {"back", 180, one}, {"across", 90, one}, {"steep", 0, two},
		{"flat", 0, slope.MustParse("0.5 %")},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []slope.Following{
		{"ahead", 1, 0, slope.FollowsDesign}, {"back", -1, 2, slope.FollowsBackwards},
		{"across", 0, 1, slope.FollowsLevel},
		{"steep", 1, 1, slope.FollowsFlatter}, {"flat", 1, -0.5, slope.FollowsSteeper},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	// Followed and level mean to 1e-9 percent.
	hair := slope.MustParse("0.000000001 %")
	for _, tt := range []struct {
		plane, run slope.Grade
		want       slope.Follow
	}{
		{slope.Grade{}, hair, slope.FollowsDesign},
		{slope.Grade{}, slope.MustParse("0.0000000011 %"), slope.FollowsLevel},
		{hair, one, slope.FollowsLevel}, {hair.Neg(), one, slope.FollowsLevel},
		{slope.MustParse("-0.0000000011 %"), one, slope.FollowsBackwards},
	} {
		if got, err := (slope.Plane{Ahead: tt.plane}).Follow([]slope.Heading{{Grade: tt.run}}); err != nil ||
			got[0].Result != tt.want {
			t.Errorf("%v by a plane of %v: %+v, %v, want %v", tt.run, tt.plane, got, err, tt.want)
		}
	}
	for i, warning := range []string{"", "backwards by 1.000 %", "level", "flatter", "steeper"} {
		if w := got[i].Warning(); !strings.Contains(w, warning) || (w == "") != (warning == "") {
			t.Errorf("%s: %q", got[i].Name, w)
		}
	}
	if _, err := (slope.Plane{}).Follow([]slope.Heading{{"x", math.NaN(), one}}); !errors.Is(err, units.ErrRange) ||
		!strings.Contains(err.Error(), `run 1 "x"`) {
		t.Errorf("%v", err)
	}
	if slope.Follow(9).String() != "follow 9" || slope.FollowsBackwards.String() != "backwards" {
		t.Error("names")
	}
}

// A rod on a pipe that falls 1/4 in/ft reads the same all along a beam of that
// grade, and 1/2 in more each foot along a beam that falls the other way.
func TestReadingsAlongABeam(t *testing.T) {
	quarter := slope.OneIn(48)
	for i := units.Length(0); i <= 50; i++ {
		invert := 100*units.Foot - quarter.Over(i*units.Foot)
		with, err1 := slope.Setup{Beam: 105 * units.Foot, Grade: quarter}.Reading(i*units.Foot, invert)
		against, err2 := slope.Setup{Beam: 105 * units.Foot, Grade: quarter.Neg()}.Reading(i*units.Foot, invert)
		level, err3 := slope.Setup{Beam: 105 * units.Foot}.Reading(i*units.Foot, invert)
		if err1 != nil || err2 != nil || err3 != nil || with != 5*units.Foot ||
			against != 5*units.Foot+i*units.Inch/2 || level != 5*units.Foot+i*units.Inch/4 {
			t.Fatalf("at %d ft: %v, %v, %v", i, with.Inches(), against.Inches(), level.Inches())
		}
	}
	if _, err := (slope.Setup{Grade: slope.OneIn(0)}).Reading(units.Foot, 0); !errors.Is(err, slope.ErrGrade) {
		t.Errorf("no grade: %v", err)
	}
	if _, err := (slope.Setup{Grade: slope.MustParse("100000 %")}).BeamAt(units.MaxLength); !errors.Is(err,
		units.ErrRange) {
		t.Errorf("out of range: %v", err)
	}
	if r, err := slope.Reading(100*units.Foot, 101*units.Foot); err != nil || r != -units.Foot {
		t.Errorf("a point above the beam reads %v, %v", r, err)
	}
}

// By hand: benchmark 100.00 and backsight 4.50 give 104.50. The pipe starts at
// 98.00 and falls 1 %: 97.75 at 0+25, 97.50 at 0+50. The beam falls 1 % too, so
// that every rod reads 6.50, and 6.85 on a bottom 0.35 lower.
func TestCutSheetByHand(t *testing.T) {
	ft := func(x float64) units.Length { return units.Feet(x) }
	sheet := slope.CutSheet{
		Benchmark: ft(100), Backsight: ft(4.5), BeamGrade: slope.MustParse("1 %"), Invert: ft(98),
		Grade:    slope.MustParse("1 %"),
		Stations: []units.Length{ft(10), ft(35), ft(60)}, Ground: []units.Length{ft(101), ft(100.5), ft(97.25)},
		Below: ft(0.35),
	}
	got, err := sheet.Rows()
	want := []slope.CutRow{
		{ft(10), ft(98), ft(104.5), ft(6.5), ft(6.85), ft(101), ft(3), ft(3.35), ""},
		{ft(35), ft(97.75), ft(104.25), ft(6.5), ft(6.85), ft(100.5), ft(2.75), ft(3.1), ""},
		{ft(60), ft(97.5), ft(104), ft(6.5), ft(6.85), ft(97.25), ft(-0.25), ft(0.1), ""},
	}
	if diff := cmp.Diff(want, got); err != nil || diff != "" {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
	if hi, err := sheet.InstrumentHeight(); err != nil || hi != ft(104.5) {
		t.Errorf("instrument height %v, %v", hi, err)
	}
	// With a level the readings grow by the fall of the pipe.
	sheet.BeamGrade, sheet.Ground = slope.Grade{}, nil
	got, err = sheet.Rows()
	if err != nil || got[2].Reading != ft(7) || got[2].Cut != 0 || got[2].Ground != 0 {
		t.Errorf("level: %+v, %v", got, err)
	}
	if rows, err := (slope.CutSheet{Stations: []units.Length{5, 5}}).Rows(); err != nil || len(rows) != 2 {
		t.Errorf("one station twice: %v, %v", rows, err)
	}
	if rows, err := (slope.CutSheet{}).Rows(); err != nil || len(rows) != 0 {
		t.Errorf("an empty sheet: %v, %v", rows, err)
	}
}

// The house line by a beam at 100 ft over its outlet that falls with it at 1/4
// in/ft: 100 ft 10 in at the manhole, where the rod reads 4 ft on both pipes less
// the 2 in of the drop on the one that arrives.
func TestCutRowsOfALine(t *testing.T) {
	stations := profile(t, house()).Stations()
	setup := slope.Setup{Beam: 100 * units.Foot, Grade: slope.OneIn(-48)}
	rows, err := slope.CutRows(setup, stations, lengths("99'", "100'", "100'-6\"", "100'-6\""), 4*units.Inch)
	if err != nil {
		t.Fatal(err)
	}
	want := []slope.CutRow{
		{mustLength("0'"), mustLength("96'"), mustLength("100'"), mustLength("4'"), mustLength("4'-4\""),
			mustLength("99'"), mustLength("3'"), mustLength("3'-4\""), ""},
		{mustLength("40'"), mustLength("96'-10\""), mustLength("100'-10\""), mustLength("4'"), mustLength("4'-4\""),
			mustLength("100'"), mustLength("3'-2\""), mustLength("3'-6\""), "manhole"},
		{mustLength("40'"), mustLength("97'"), mustLength("100'-10\""), mustLength("3'-10\""), mustLength("4'-2\""),
			mustLength("100'"), mustLength("3'"), mustLength("3'-4\""), "manhole"},
		{mustLength("64'"), mustLength("97'-3\""), mustLength("101'-4\""), mustLength("4'-1\""), mustLength("4'-5\""),
			mustLength("100'-6\""), mustLength("3'-3\""), mustLength("3'-7\""), "wye"},
		{mustLength("70'"), mustLength("97'-4 1/2\""), mustLength("101'-5 1/2\""), mustLength("4'-1\""),
			mustLength("4'-5\""), mustLength("100'-6\""), mustLength("3'-1 1/2\""), mustLength("3'-5 1/2\""), "arm"},
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if rows, err := slope.CutRows(setup, stations, nil, 0); err != nil || len(rows) != 5 || rows[0].Cut != 0 {
		t.Errorf("without ground: %v, %v", rows, err)
	}
	_, err1 := slope.CutRows(setup, stations, lengths("99'"), -1)
	_, err2 := slope.CutRows(slope.Setup{Grade: slope.OneIn(0)}, stations[1:2], []units.Length{math.MaxInt64}, 0)
	for want, err := range map[string]error{"1 elevations for 4 stations": err1, "below": err1,
		`station 1 "manhole": ground`: err2, `station 1 "manhole": grade`: err2} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
}

func TestCutSheetFaultsComeTogether(t *testing.T) {
	sheet := slope.CutSheet{
		Benchmark: math.MaxInt64, Grade: slope.OneIn(0), BeamGrade: slope.OneIn(0), Below: -1,
		Stations: []units.Length{5, 3}, Ground: []units.Length{math.MinInt64},
	}
	_, err := sheet.Rows()
	for _, want := range []string{"benchmark", "grade: ", "beam: ", "below", "1 elevations for 2 stations", "station 2",
		"ground 1"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
	_, err = slope.CutSheet{Grade: slope.MustParse("10000 %"), Stations: []units.Length{0, units.MaxLength}}.Rows()
	if !errors.Is(err, units.ErrRange) {
		t.Errorf("a fall out of range: %v", err)
	}
}

// The misclosure of a circuit shows as the difference of its last turning point:
// benchmark 853.63, plus sight 5.32, closing minus sight 5.36 is 0.04 low.
func TestCircuitMisclosure(t *testing.T) {
	c := slope.Circuit{Benchmark: mustLength("853.63 ft"),
		Setups: []slope.LevelSetup{{Backsight: mustLength("5.32 ft"), Foresight: mustLength("5.36 ft")}}}
	got, err := c.Elevations()
	if err != nil || got[0].Turning-c.Benchmark != mustLength("-0.04 ft") {
		t.Errorf("%+v, %v", got, err)
	}
	c.Benchmark = math.MaxInt64
	c.Setups = append(c.Setups, slope.LevelSetup{Backsight: math.MaxInt64},
		slope.LevelSetup{Sights: []units.Length{math.MaxInt64}})
	_, err = c.Elevations()
	for _, want := range []string{"benchmark", "setup 2: backsight", "setup 3: sight"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
}

func ExampleSetup_Reading() {
	quarter := slope.MustParse("1/4 in/ft")
	for _, beam := range []slope.Grade{quarter, quarter.Neg()} {
		s := slope.Setup{Beam: 105 * units.Foot, Grade: beam}
		for _, ft := range []units.Length{0, 10, 20} {
			r, err := s.Reading(ft*units.Foot, 100*units.Foot-quarter.Over(ft*units.Foot))
			if err != nil {
				panic(err)
			}
			fmt.Printf("%v in at %d ft\n", r.Inches(), int64(ft))
		}
	}
	// Output:
	// 60 in at 0 ft
	// 60 in at 10 ft
	// 60 in at 20 ft
	// 60 in at 0 ft
	// 65 in at 10 ft
	// 70 in at 20 ft
}

// A run that climbs from its outlet where the beam falls: each foot lowers the beam by 0.12 in
// and lifts the pipe by 0.25 in.
func ExampleSetup_Reading_climbing() {
	s := slope.Setup{Beam: units.MustParse[units.Length](`104'-2 1/2"`), Grade: slope.MustParse("1 %")}
	pipe := slope.MustParse("1/4 in/ft")
	for _, ft := range []units.Length{0, 10, 20} {
		r, err := s.Reading(ft*units.Foot, 98*units.Foot+pipe.Over(ft*units.Foot))
		if err != nil {
			panic(err)
		}
		fmt.Printf("%v in at %d ft\n", r.Inches(), int64(ft))
	}
	// Output:
	// 74.5 in at 0 ft
	// 70.8 in at 10 ft
	// 67.1 in at 20 ft
}
