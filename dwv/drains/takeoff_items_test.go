package drains

import (
	"errors"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// straight is a drain of runs one after the other, from the outlet up, all 3 in at 1/4 in
// a foot, whose lower end lies 6 ft under the floor.
func straight(runs ...Point) *Data {
	to := "O"
	for i := range runs {
		p := &runs[i]
		p.To, to = to, p.ID
		p.Run.Grade = slope.PerFoot(in / 4)
		if p.Run.Size == 0 {
			p.Run.Size = 3 * in
		}
	}
	return &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 94 * ft}, Points: runs}}}
}

func takeOff(t *testing.T, l *Data, opt TakeOffOptions) (*TakeOff, error) {
	t.Helper()
	return mustSize(t, l, mustCode(t, "ipc-2021")).TakeOff(opt)
}

// TestTakeOffItems: 35 ft of PVC is four 10 ft sticks and three couplings, 12 ft of ABS two
// and one, 10 ft of cast iron a single one. A coupling is two joints, a bend, a trap and a
// cleanout two; a cleanout along the line stands on a combination, three more. 3 in pipe makes 40 joints to a quart of cement and 80 to one of primer
// (common practice), ABS takes no primer and iron neither.
func TestTakeOffItems(t *testing.T) {
	got, err := takeOff(t, straight(
		Point{ID: "A", Run: Run{Length: 35 * ft, Material: "pvc-dwv"}, Cleanout: &Cleanout{}},
		Point{ID: "B", Run: Run{Length: 12 * ft, Material: "abs-dwv"}, Cleanout: &Cleanout{Size: 2 * in}},
		Point{ID: "C", Run: Run{Length: 10 * ft, Material: "cast-iron-no-hub", Fittings: []string{"eighth-bend"}}, Fixture: &dwv.Fixture{Kind: "floor-drain", Count: 1, Size: 3 * in}},
	), TakeOffOptions{Stick: 10 * ft})
	if err != nil {
		t.Fatal(err)
	}
	wantPipe := []PipeItem{
		{"abs-dwv", 3 * in, 12 * ft, 12 * ft, 2}, {"cast-iron-no-hub", 3 * in, 10 * ft, 10 * ft, 1}, {"pvc-dwv", 3 * in, 35 * ft, 35 * ft, 4},
	}
	if diff := cmp.Diff(wantPipe, got.Pipe); diff != "" {
		t.Errorf("pipe (-want +got):\n%s", diff)
	}
	wantFittings := []FittingItem{
		{"cleanout", "abs-dwv", 3 * in, 2 * in, 1}, {"cleanout", "pvc-dwv", 3 * in, 0, 1},
		{"combination-wye-eighth-bend", "abs-dwv", 3 * in, 0, 1}, {"combination-wye-eighth-bend", "pvc-dwv", 3 * in, 0, 1},
		{"coupling", "abs-dwv", 3 * in, 0, 1}, {"coupling", "pvc-dwv", 3 * in, 0, 3},
		{"eighth-bend", "cast-iron-no-hub", 3 * in, 0, 1},
		{"p-trap", "cast-iron-no-hub", 3 * in, 0, 1}, {"test-cap", "", 3 * in, 0, 1},
	}
	if diff := cmp.Diff(wantFittings, got.Fittings); diff != "" {
		t.Errorf("fittings (-want +got):\n%s", diff)
	}
	type joint struct {
		material       string
		count          int
		cement, primer float64 // quarts
	}
	var joints []joint
	for _, j := range got.Joints {
		quarts := func(v units.Volume) float64 { return math.Round(float64(4*v/units.USGallon)*1e9) / 1e9 }
		if j.Cement > 0 != (j.Citation.Status() == tables.Practice) {
			t.Errorf("%s cites %v", j.Material, j.Citation)
		}
		joints = append(joints, joint{j.Material, j.Count, quarts(j.Cement), quarts(j.Primer)})
	}
	want := []joint{{"abs-dwv", 7, 0.175, 0}, {"cast-iron-no-hub", 4, 0, 0}, {"pvc-dwv", 11, 0.275, 0.1375}}
	if diff := cmp.Diff(want, joints, cmp.AllowUnexported(joint{})); diff != "" {
		t.Errorf("joints (-want +got):\n%s", diff)
	}
}

// A reducer names both ends, the larger first, and a cleanout as wide as its run but one.
func TestTakeOffReducer(t *testing.T) {
	got, err := takeOff(t, straight(
		Point{ID: "A", Run: Run{Length: 5 * ft, Size: 4 * in}, Cleanout: &Cleanout{Size: 4 * in}},
		Point{ID: "B", Run: Run{Length: 5 * ft}},
	), TakeOffOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]FittingItem{{"cleanout", "", 4 * in, 0, 1}, {"combination-wye-eighth-bend", "", 4 * in, 0, 1}, {"reducer", "", 4 * in, 3 * in, 1}}, got.Fittings); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Waste is rounded up to the next nanometre: a tenth of 3 048 000 001 nm is 304 800 000.1.
func TestTakeOffWaste(t *testing.T) {
	for percent, want := range map[int]units.Length{0: 10*ft + nm, 10: 11*ft + 2*nm, 100: 20*ft + 2*nm} {
		got, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: 10*ft + nm}}), TakeOffOptions{WastePercent: percent})
		if err != nil || got.Pipe[0].Gross != want || got.Pipe[0].Net != 10*ft+nm {
			t.Errorf("%d percent: %+v, %v", percent, got, err)
		}
	}
	for _, percent := range []int{-1, 101} {
		if _, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: ft}}), TakeOffOptions{WastePercent: percent}); !errors.Is(err, units.ErrRange) {
			t.Errorf("%d percent: %v", percent, err)
		}
	}
}

// Sticks are counted as far as every machine counts: 2^31 - 1.
func TestTakeOffSticks(t *testing.T) {
	for length, ok := range map[units.Length]bool{1<<31 - 1: true, 1 << 31: false} {
		got, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: length}}), TakeOffOptions{Stick: nm})
		switch {
		case ok && (err != nil || got.Pipe[0].Sticks != math.MaxInt32):
			t.Errorf("%d: %+v, %v", length, got, err)
		case !ok && !errors.Is(err, units.ErrRange):
			t.Errorf("%d: %v", length, err)
		}
	}
}

// A trench is deepest at the lower end of its run. Of two of one depth the one whose id
// comes first is named, in whatever order they were given.
func TestDeepestTrench(t *testing.T) {
	for _, ids := range [][2]string{{"O", "P"}, {"P", "O"}} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * ft}})
		other := straight(Point{ID: "B", Run: Run{Length: 10 * ft}}).Systems[0]
		other.ID, other.Points[0].To = "s2", ids[1]
		l.Systems[0].Points[0].To = ids[0]
		l.Systems[0].Outlet.ID, other.Outlet.ID = ids[0], ids[1]
		l.Systems = append(l.Systems, other)
		got, err := takeOff(t, l, TakeOffOptions{})
		// No wall is known: the invert is 6 ft down, and nothing lies under it.
		if err != nil || got.Trenches.Deepest != 6*ft || got.Trenches.DeepestAt != "O" {
			t.Errorf("%v: %+v, %v", ids, got.Trenches, err)
		}
	}
}

// The upper end of the trench is 72 - 2 1/2 = 69 1/2 in deep and the pipe 3 in, so that 66 1/2
// in of backfill by hand have room, and not a nanometre more.
func TestRoomForInitialBackfill(t *testing.T) {
	for initial, shallow := range map[units.Length][]string{66*in + in/2: nil, 66*in + in/2 + nm: {"A"}} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * ft}})
		l.TrenchWidth = 18 * in
		got, err := takeOff(t, l, TakeOffOptions{Initial: initial})
		if err != nil || cmp.Diff(shallow, got.Trenches.Shallow) != "" || got.Trenches.Missing != nil {
			t.Errorf("%v: %+v, %v", initial, got.Trenches, err)
		}
	}
}
