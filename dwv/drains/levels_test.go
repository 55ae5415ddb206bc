package drains

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func mustLevels(t testing.TB, l *Data, s *Sizing) *Levels {
	t.Helper()
	return s.Levels()
}

// TestLevels holds inverts to sums done by hand: 1/4 in a foot over 6, 8, 8, 3 and
// 2 ft is 1 1/2, 2, 2, 3/4 and 1/2 in, and 1/8 in a foot over 20 ft 2 1/2 in.
func TestLevels(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	hundredths := func(feet, inches float64) units.Length { return units.Feet(feet) + units.Inches(inches) }
	for _, tt := range []struct {
		point        string
		lower, upper units.Length
		above        bool
	}{
		{"S1", hundredths(97, 0), hundredths(97, 1.5), false},
		{"S2", hundredths(97, 1.5), hundredths(97, 3.5), false},
		{"S3", hundredths(97, 3.5), hundredths(97, 5.5), false},
		{"WV", hundredths(97, 3.5), hundredths(97, 4.25), false},
		{"WC", hundredths(97, 4.25), hundredths(97, 4.75), false},
		{"FD", hundredths(97, 3.5), hundredths(97, 6), false},
		{"LT", hundredths(97, 5.5), hundredths(102, 5.5), false},
		{"LA", hundredths(102, 5.5), hundredths(102, 6.25), true},
		// The interceptor at C1 drops 2 in.
		{"C1", hundredths(97, 0), hundredths(97, 1.25), false},
		{"SPT", hundredths(97, 3.25), hundredths(97, 4), false},
		{"SP", hundredths(97, 4), hundredths(100, 4), false},
	} {
		v, ok := lv.Of(tt.point)
		if !ok || v.Lower.Invert != tt.lower || v.Upper.Invert != tt.upper || v.AboveFloor != tt.above {
			t.Errorf("%s: %v to %v (above %v), want %v to %v (%v)", tt.point, v.Lower.Invert, v.Upper.Invert, v.AboveFloor, tt.lower, tt.upper, tt.above)
		}
	}
	// S1: 4 in pipe has a bore of 4.026 and a wall of 0.237 in (pipes/pvc-dwv), the
	// slab 5 in and the bedding 4 in.
	v, _ := lv.Of("S1")
	want := slope.Levels{
		Invert: hundredths(97, 1.5), Springline: hundredths(97, 3.513), Crown: hundredths(97, 5.526), Top: hundredths(97, 5.763),
		Bottom: hundredths(97, 1.263), TrenchBottom: hundredths(96, 9.263), InvertDepth: units.Inches(34.5),
		Cover: units.Inches(30.237), SlabClearance: units.Inches(25.237), TrenchDepth: units.Inches(33.737),
	}
	if diff := cmp.Diff(want, v.Upper); diff != "" {
		t.Errorf("S1 (-want +got):\n%s", diff)
	}
	// 2 in of cover are asked for.
	if want := units.Inches(23.237); v.Spare != want {
		t.Errorf("S1 may rise %v, want %v", v.Spare, want)
	}
	if spare, at, ok := lv.Spare("soil"); !ok || at != "FD" || spare != units.Inches(19.716) {
		t.Errorf("the soil system may rise %v at %s", spare, at)
	}
	if _, _, ok := lv.Spare("storm"); ok {
		t.Error("a system that is not there has depth to spare")
	}
}

// TestJoinAtCrown: bores of 4.026 and 3.068 in differ by 0.958 in.
func TestJoinAtCrown(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	pt(l, "S2").Run.Join = slope.AtCrown
	mustBuild(t, l)
	lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	v, _ := lv.Of("S2")
	if want := 97*units.Foot + units.Inches(2.458); v.Lower.Invert != want {
		t.Errorf("joined at %v, want %v", v.Lower.Invert, want)
	}
	down, _ := lv.Of("S1")
	if v.Lower.Crown != down.Upper.Crown {
		t.Errorf("crowns at %v and %v", v.Lower.Crown, down.Upper.Crown)
	}
}

// TestTestPlan: water 10 ft over the riser that ends at 102 ft 5 1/2 in stands at
// 112 ft 5 1/2 in, 15 ft 5 1/2 in over the outlet: 4.7117 m, 46.21 kPa. The pipes
// hold 12.730 in2 x 96 in + 7.3927 x 372 + 3.3556 x 156 = 4495.6 in3, 19.46 gal.
func TestTestPlan(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	code := mustCode(t, "ipc-2021")
	lv := mustLevels(t, l, mustSize(t, l, code))
	plans, err := lv.sizing.TestPlans(TestOptions{})
	if err != nil {
		t.Fatal(err)
	}
	p := plans[0]
	if p.System != "soil" || p.Surface != 112*ft+5*in+in/2 || p.Head != 10*ft || p.Hold != 15*60 || p.Highest != "LT" || p.Lowest != "SO" {
		t.Errorf("got %+v", p)
	}
	if got := float64(p.Pressure) / 1000; math.Abs(got-46.21) > 0.005 {
		t.Errorf("pressure %.3f kPa, want 46.21", got)
	}
	if got := float64(p.Volume / units.USGallon); math.Abs(got-19.46) > 0.005 {
		t.Errorf("volume %.3f gal, want 19.46", got)
	}
	if len(p.Points) != 7 || p.Points[0].Point != "S1" || p.Points[0].Head != 15*ft+4*in {
		t.Errorf("points %+v", p.Points)
	}
	if p.Citation.IsZero() || p.Citation.Row() != "rule test-water-head" {
		t.Errorf("cites %v", p.Citation)
	}
	whole, err := lv.sizing.TestPlans(TestOptions{WholeSystem: true, Head: 5 * ft})
	if err != nil || len(whole[0].Points) != 8 || whole[0].Head != 5*ft {
		t.Errorf("whole system: %+v, %v", whole, err)
	}
	if _, err := lv.sizing.TestPlans(TestOptions{Head: -1}); err == nil {
		t.Error("a negative head is taken")
	}
}

func TestTakeOff(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	code := mustCode(t, "ipc-2021")
	lv := mustLevels(t, l, mustSize(t, l, code))
	got, err := lv.sizing.TakeOff(TakeOffOptions{WastePercent: 10, Stick: 10 * ft})
	if err != nil {
		t.Fatal(err)
	}
	// 4 in: 6 + 2 ft. 3 in: 8 + 3 + 20 + 5 + 3 ft. 2 in: 8 + 5 + 5 + 2 + 3 ft.
	want := []PipeItem{
		{"pvc-dwv", in * 3 / 2, 3 * ft, 3*ft + ft*3/10, 1},
		{"pvc-dwv", 2 * in, 23 * ft, 25*ft + ft*3/10, 3},
		{"pvc-dwv", 3 * in, 39 * ft, 42*ft + ft*9/10, 5},
		{"pvc-dwv", 4 * in, 8 * ft, 8*ft + ft*8/10, 1},
	}
	if diff := cmp.Diff(want, got.Pipe); diff != "" {
		t.Errorf("pipe (-want +got):\n%s", diff)
	}
	count := map[string]int{}
	for _, f := range got.Fittings {
		count[f.Kind] += f.Count
	}
	// At S2 the lavatory's drain comes straight on, the closet's and the floor
	// drain's join by wyes, and a third takes the closet's vent. At C1 the
	// standpipe's drain turns by an eighth bend and the sink's riser joins by a
	// combination. Tees where arms meet risers and vents: LT, CT, SP. Reducers: S3 to
	// S2, S2 to S1, SP to SPT, and where the vents of 1-1/4 in leave LT, CT and SP, which are
	// 2 in. Couplings: one for each full stick but the last. The floor drain has its trap
	// and primer below the slab; it and the closet are capped for the test.
	wantFittings := map[string]int{
		"closet-flange": 1, "closet-bend": 1, "two-way-cleanout": 1, "coupling": 9, "eighth-bend": 1, "wye": 3, "combination-wye-eighth-bend": 1,
		"long-sweep": 2, "reducer": 6, "sanitary-tee": 3, "vent-tee": 1, "vent-bend": 1,
		"p-trap": 1, "trap-primer-connection": 1, "test-cap": 2, "sleeve": 1,
	}
	if diff := cmp.Diff(wantFittings, count); diff != "" {
		t.Errorf("fittings (-want +got):\n%s", diff)
	}
	for _, j := range got.Joints {
		if j.Material == "pvc-dwv" && j.Size == 3*in {
			// 40 joints to a quart of cement and 80 to one of primer: common practice.
			if want := units.USGallon / 4 * units.Volume(float64(j.Count)/40); math.Abs(float64(j.Cement-want)) > 1e-12 || j.Citation.Status() != tables.Practice {
				t.Errorf("%d joints take %v of cement, want %v (%v)", j.Count, j.Cement, want, j.Citation)
			}
		}
	}
}

// TestEarthwork digs one run: 10 ft long, 18 in wide, under a slab of 5 in, its
// invert 2 ft 6 in below the floor at the lower end and 2 1/2 in higher at the upper;
// bedding 4 in, 3 in pipe with a wall of 0.216 in, outside 3.5 in.
//
//	depths: 30 - 5 + 0.216 + 4 = 29.216 in and 26.716 in
//	excavation: 120 x 18 x 27.966 = 60 406.56 in3; bedding: 120 x 18 x 4 = 8 640 in3
//	pipe: 120 x pi/4 x 3.5^2 = 1 154.54 in3; above the bedding and beside the pipe
//	up to its top: 120 x 18 x 3.5 - 1 154.54 = 6 405.46 in3
func TestEarthwork(t *testing.T) {
	l := &Data{
		FinishedFloor: 10 * ft, Slab: 5 * in, Bedding: 4 * in, TrenchWidth: 18 * in,
		Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 7*ft + 6*in}, Points: []Point{
			{ID: "A", To: "O", Run: Run{Length: 10 * ft, Grade: slope.PerFoot(in / 4), Size: 3 * in, Material: "pvc-dwv"}},
		}}},
	}
	mustBuild(t, l)
	lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	got, err := lv.sizing.TakeOff(TakeOffOptions{})
	if err != nil {
		t.Fatal(err)
	}
	e := got.Trenches
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"excavation", float64(e.Excavation / units.CubicInch), 60406.56},
		{"bedding", float64(e.Bedding / units.CubicInch), 8640},
		{"initial", float64(e.Initial / units.CubicInch), 6405.46},
		{"final", float64(e.Final / units.CubicInch), 60406.56 - 8640 - 6405.46 - 1154.54},
	} {
		if math.Abs(c.got-c.want) > 0.01 {
			t.Errorf("%s %.3f in3, want %.3f", c.what, c.got, c.want)
		}
	}
	if e.Length != 10*ft || e.Deepest != units.Inches(29.216) || e.DeepestAt != "O" {
		t.Errorf("got %+v", e)
	}
	l.Systems[0].Outlet.Invert = 9*ft + 6*in
	mustBuild(t, l)
	lv = mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	if got, err = lv.sizing.TakeOff(TakeOffOptions{}); err != nil || len(got.Trenches.Shallow) != 1 || len(got.Trenches.Missing) != 1 {
		t.Errorf("a trench in the slab: %+v, %v", got.Trenches, err)
	}
}

// twin is two runs of one size to one outlet, 10 ft and some more long.
func twin(t *testing.T, first, second string, more [2]units.Length) (*Data, *Levels, *dwv.Code) {
	t.Helper()
	l := straight(Point{ID: first, Run: Run{Length: 10*ft + more[0]}}, Point{ID: second, Run: Run{Length: 10*ft + more[1]}})
	l.Systems[0].Points[1].To = "O"
	mustBuild(t, l)
	code := mustCode(t, "ipc-2021")
	return l, mustLevels(t, l, mustSize(t, l, code)), code
}

// Where two points are the highest, the lowest or the ones that decide, the id that comes
// first is named; where one is higher, that one.
func TestTies(t *testing.T) {
	for _, tt := range []struct {
		first, second string
		more          [2]units.Length
		highest       string
	}{
		{"A", "B", [2]units.Length{}, "A"}, {"B", "A", [2]units.Length{}, "A"},
		{"A", "B", [2]units.Length{0, ft}, "B"}, {"B", "A", [2]units.Length{ft, 0}, "B"}, {"B", "A", [2]units.Length{0, ft}, "A"},
	} {
		_, lv, _ := twin(t, tt.first, tt.second, tt.more)
		// The crown of 3 in pipe 10 or 11 ft up is 72 - 3 - 2 1/2 or 2 3/4 in down.
		want := 66*in + in/2
		if tt.more != [2]units.Length{} {
			want -= in / 4
		}
		if spare, at, ok := lv.Spare("s"); !ok || at != tt.highest || spare != want {
			t.Errorf("%+v: %v to spare at %s", tt, spare, at)
		}
		plans, err := lv.sizing.TestPlans(TestOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if p := plans[0]; p.Highest != tt.highest || p.Lowest != "O" {
			t.Errorf("%+v: highest %s, lowest %s", tt, p.Highest, p.Lowest)
		}
	}
}

// The lowest point is the end of pipe where the water presses most, whatever run comes
// there and in whatever order they are given: the gauge and the plug belong there.
func TestLowestOfTest(t *testing.T) {
	for _, low := range []string{"A", "B"} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * ft}}, Point{ID: "B", Run: Run{Length: 10 * ft}})
		l.Systems[0].Points[1].To = "O"
		for _, id := range []string{"A", "B"} {
			if id != low {
				pt(l, id).Run.Drop = ft
			}
		}
		mustBuild(t, l)
		code := mustCode(t, "ipc-2021")
		lv := mustLevels(t, l, mustSize(t, l, code))
		plans, err := lv.sizing.TestPlans(TestOptions{})
		if err != nil || plans[0].Lowest != "O" || plans[0].Pressure != hydrostatic(plans[0].Surface-l.Systems[0].Outlet.Invert) {
			t.Errorf("%s: %+v, %v", low, plans, err)
		}
	}
}

// What lies beyond a riser is above the floor from the level of the floor on.
func TestAboveFloor(t *testing.T) {
	for riser, above := range map[units.Length]bool{5*ft + 9*in + in/2: true, 5*ft + 9*in + in/2 - nm: false} {
		// D ends 6 ft less 2 1/2 in under the floor.
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}}, Point{ID: "R", Run: Run{Length: riser}}, Point{ID: "X", Run: Run{Length: 3 * ft}})
		pt(l, "R").Run.Vertical, pt(l, "R").Run.Grade = true, slope.Grade{}
		mustBuild(t, l)
		lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
		if v, ok := lv.Of("X"); !ok || v.AboveFloor != above {
			t.Errorf("a riser of %v: above %v at %v", riser, v.AboveFloor, v.Lower.Invert)
		}
	}
}
