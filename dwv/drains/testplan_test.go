package drains

import (
	"fmt"
	"math"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/units"
)

// TestRisersFilled: a drain of 10 ft of 3 in pipe at 1/4 in per ft from an invert of 94 ft
// has its crown at 94 ft 5 1/2 in, so the water stands at 104 ft 5 1/2 in. The drain holds
// pi/4 x 9 x 120 = 848.23 in3. A 2 in riser from its upper end, at 94 ft 2 1/2 in, is
// filled although it is drawn as above the floor: 4 ft of it hold 150.80 in3, and of 20 ft
// the 10 ft 3 in under the water 386.42 in3. A gallon is 231 in3.
func TestRisersFilled(t *testing.T) {
	for _, tt := range []struct {
		riser units.Length
		size  units.Length
		want  float64 // in3
	}{
		{0, 0, 848.23}, {4 * ft, 2 * in, 848.23 + 150.80}, {20 * ft, 2 * in, 848.23 + 386.42},
	} {
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}})
		if tt.riser > 0 {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "R", To: "D", Run: Run{Length: tt.riser, Size: tt.size, Vertical: true}, AboveFloor: true},
				Point{ID: "X", To: "R", Run: l.Systems[0].Points[0].Run, AboveFloor: true})
		}
		code := mustCode(t, "ipc-2021")
		plans, err := mustSize(t, l, code).TestPlans(TestOptions{})
		if err != nil {
			t.Fatal(err)
		}
		p := plans[0]
		if got := float64(p.Volume/units.USGallon) * 231; math.Abs(got-tt.want) > 0.01 || p.Highest != "D" || p.Surface != 104*ft+5*in+in/2 {
			t.Errorf("a riser of %v: %.2f in3, want %.2f: %+v", tt.riser, got, tt.want, p)
		}
	}
}

// TestNothingToTest: a system that lies above the floor has no test before the pour, and
// the others have theirs.
func TestNothingToTest(t *testing.T) {
	l := straight(Point{ID: "D", Run: Run{Length: 10 * ft}})
	high := straight(Point{ID: "H", Run: Run{Length: 10 * ft}, AboveFloor: true}).Systems[0]
	high.ID, high.Outlet.ID, high.Points[0].To = "high", "P", "P"
	l.Systems = append([]System{high}, l.Systems...)
	code := mustCode(t, "ipc-2021")
	lv := mustLevels(t, l, mustSize(t, l, code))
	plans, err := lv.sizing.TestPlans(TestOptions{})
	if err != nil || len(plans) != 1 || plans[0].System != "s" {
		t.Errorf("%+v, %v", plans, err)
	}
	if plans, err = lv.sizing.TestPlans(TestOptions{WholeSystem: true}); err != nil || len(plans) != 2 {
		t.Errorf("the whole: %+v, %v", plans, err)
	}
}

// TestManySystems: what is asked of each system costs what that system costs. Of eight
// thousand, each scanning all of them, this took half a minute.
func TestManySystems(t *testing.T) {
	l := &Data{FinishedFloor: 100 * ft}
	for i := range 8000 {
		s := straight(Point{ID: fmt.Sprint("D", i), Run: Run{Length: 10 * ft}}).Systems[0]
		s.ID, s.Outlet.ID, s.Points[0].To = fmt.Sprint("s", i), fmt.Sprint("O", i), fmt.Sprint("O", i)
		l.Systems = append(l.Systems, s)
	}
	code := mustCode(t, "ipc-2021")
	s := mustSize(t, l, code)
	lv := mustLevels(t, l, s)
	for i := range l.Systems {
		id := l.Systems[i].ID
		_, _, sized := s.Total(id)
		_, at, lies := lv.Spare(id)
		_, _, _, ends := lv.Outlet(id)
		if !sized || !lies || !ends || at != l.Systems[i].Points[0].ID {
			t.Fatalf("%s: %v %v %v %s", id, sized, lies, ends, at)
		}
	}
	if plans, err := lv.sizing.TestPlans(TestOptions{}); err != nil || len(plans) != len(l.Systems) {
		t.Errorf("%d plans, %v", len(plans), err)
	}
}

// TestOutletLevel: the outlet's pipe lies at the outlet's invert and has the outlet's
// size, however high above it and however small the drain that ends there.
func TestOutletLevel(t *testing.T) {
	for _, sewer := range []bool{false, true} {
		l := straight(Point{ID: "D", Run: Run{Length: 10 * ft, Drop: 3 * in}})
		l.Slab, l.Systems[0].Outlet.Size = 4*in, 6*in
		if sewer {
			l.Systems[0].Points[0].Run.Part = dwv.Sewer
		}
		lv := mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
		// 6 ft down, less the bore of 6 in, less the slab of 4 in inside.
		want := 6*ft - 6*in - 4*in
		if sewer {
			want += 4 * in
		}
		at, size, outside, ok := lv.Outlet("s")
		if !ok || outside != sewer || size != 6*in || at.Invert != 94*ft || at.Crown != 94*ft+6*in || at.SlabClearance != want {
			t.Errorf("sewer %v: %+v, %v, outside %v", sewer, at, size, outside)
		}
		l.Systems[0].Outlet.Size = 0
		lv = mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
		if at, size, _, _ := lv.Outlet("s"); size != 3*in || at.Crown != 94*ft+3*in {
			t.Errorf("as wide as need be: %+v, %v", at, size)
		}
		if _, _, _, ok := lv.Outlet("none"); ok {
			t.Error("there is no such system")
		}
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
