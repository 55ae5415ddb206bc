package drains

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

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
	return &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "s", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 94 * ft}, Points: runs}}}
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
		Point{ID: "C", Run: Run{Length: 10 * ft, Material: "cast-iron-no-hub", Fittings: []string{"eighth-bend"}},
			Fixture: &tables.Fixture{Kind: "floor-drain", Count: 1, Size: 3 * in}},
	), TakeOffOptions{Stick: 10 * ft})
	if err != nil {
		t.Fatal(err)
	}
	wantPipe := []PipeItem{
		{"abs-dwv", 3 * in, 12 * ft, 12 * ft, 2}, {"cast-iron-no-hub", 3 * in, 10 * ft, 10 * ft, 1},
		{"pvc-dwv", 3 * in, 35 * ft, 35 * ft, 4},
	}
	if diff := cmp.Diff(wantPipe, got.Pipe); diff != "" {
		t.Errorf("pipe (-want +got):\n%s", diff)
	}
	wantFittings := []FittingItem{
		{"cleanout", "abs-dwv", 3 * in, 2 * in, 1}, {"cleanout", "pvc-dwv", 3 * in, 0, 1},
		{"cleanout-cover", "", 2 * in, 0, 1}, {"cleanout-cover", "", 3 * in, 0, 1},
		{"combination-wye-eighth-bend", "abs-dwv", 3 * in, 0, 1}, {"combination-wye-eighth-bend", "pvc-dwv", 3 * in, 0, 1},
		{"coupling", "abs-dwv", 3 * in, 0, 1}, {"coupling", "pvc-dwv", 3 * in, 0, 3},
		{"eighth-bend", "cast-iron-no-hub", 3 * in, 0, 1},
		{"floor-drain-body", "", 3 * in, 0, 1},
		{"p-trap", "cast-iron-no-hub", 3 * in, 0, 1}, {"test-cap", "", 3 * in, 0, 1}, {"test-plug", "", 3 * in, 0, 1},
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

// TestTakeOffByPlace: the fittings stand where they are counted, and all of them but the
// couplings stand somewhere.
func TestTakeOffByPlace(t *testing.T) {
	got, err := takeOff(t, straight(
		Point{ID: "A", Run: Run{Length: 35 * ft, Material: "pvc-dwv"}, Cleanout: &Cleanout{}},
		Point{ID: "C", Run: Run{Length: 10 * ft, Material: "pvc-dwv", Fittings: []string{"eighth-bend"}},
			Fixture: &tables.Fixture{Kind: "floor-drain", Count: 1, Size: 3 * in}},
	), TakeOffOptions{Stick: 10 * ft, ByPlace: true})
	if err != nil {
		t.Fatal(err)
	}
	at := map[string][]string{}
	sum := map[string]int{}
	for _, f := range got.Places {
		at[f.Place] = append(at[f.Place], f.Kind)
		sum[f.Kind] += f.Count
	}
	want := map[string][]string{"A": {"cleanout", "cleanout-cover", "combination-wye-eighth-bend"},
		"C": {"eighth-bend", "p-trap", "floor-drain-body", "test-cap"}, "O": {"test-plug"}}
	if diff := cmp.Diff(want, at); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for _, f := range got.Fittings {
		if f.Kind != "coupling" && sum[f.Kind] != f.Count {
			t.Errorf("%d of %s, of which %d in a place", f.Count, f.Kind, sum[f.Kind])
		}
	}
	if plain, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: ft}}), TakeOffOptions{}); err != nil ||
		plain.Places != nil {
		t.Errorf("places that nobody asked for: %v, %v", plain.Places, err)
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
	if diff := cmp.Diff([]FittingItem{{"cleanout", "", 4 * in, 0, 1}, {"cleanout-cover", "", 4 * in, 0, 1},
		{"combination-wye-eighth-bend", "", 4 * in, 0, 1},
		{"reducer", "", 4 * in, 3 * in, 1}, {"test-plug", "", 4 * in, 0, 1}}, got.Fittings); diff != "" {
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
		if _, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: ft}}),
			TakeOffOptions{WastePercent: percent}); !errors.Is(err, units.ErrRange) {
			t.Errorf("%d percent: %v", percent, err)
		}
	}
}

// Sticks are counted as far as every machine counts: 2^31 - 1.
func TestTakeOffSticks(t *testing.T) {
	const stick = units.Millimetre / 100
	for length, ok := range map[units.Length]bool{(1<<31 - 1) * stick: true, 1 << 31 * stick: false} {
		got, err := takeOff(t, straight(Point{ID: "A", Run: Run{Length: length}}), TakeOffOptions{Stick: stick})
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

// gathered lets the vent of the sink, of 1-1/4 in, and that of the standpipe end in a third that takes off nowhere.
func gathered(standpipe, both units.Length) func(l *Data) {
	return func(l *Data) {
		for id, size := range map[string]units.Length{"VC": 5 * in / 4, "VP": standpipe} {
			v := vent(l, id)
			v.Size, v.To, v.Terminal = size, "VG", nil
		}
		l.Vents = append(l.Vents, Vent{ID: "VG", Kind: VentBranch, Size: both, Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}}})
	}
}

// What a take-off counts more and less when something is named or drawn otherwise.
func TestTakeOffFittings(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	count := func(edit func(l *Data)) map[string]int {
		l := mustLayout(t, "workshop.json")
		edit(l)
		mustBuild(t, l)
		got, err := mustSize(t, l, code).TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]int{}
		for _, f := range got.Fittings {
			out[f.Kind] += f.Count
		}
		for _, j := range got.Joints {
			out["joints"] += j.Count
		}
		return out
	}
	plain := count(func(*Data) {})
	for _, c := range []struct {
		name string
		edit func(l *Data)
		want map[string]int // beside the plain layout
	}{
		{"two bends named on a run", func(l *Data) { pt(l, "S3").Run.Fittings = []string{"eighth-bend", "eighth-bend"} },
			map[string]int{"eighth-bend": 2, "joints": 4}},
		{"a capped closet has no flange yet", func(l *Data) { pt(l, "WC").Capped = true },
			map[string]int{"closet-flange": -1, "cap": 1, "test-cap": -1}},
		{"a cleanout more, its size not given", func(l *Data) { pt(l, "S2").Cleanout = &Cleanout{} },
			map[string]int{"cleanout": 1, "cleanout-cover": 1, "combination-wye-eighth-bend": 1, "joints": 5}},
		// At S2 the floor drain's wye is named another; in line at SPT an eighth bend is.
		{"a branch fitting named", func(l *Data) { pt(l, "FD").Run.Into = "combination-wye-eighth-bend" },
			map[string]int{"wye": -1, "combination-wye-eighth-bend": 1}},
		{"a bend in line named", func(l *Data) { pt(l, "SPT").Run.Into = "sixth-bend" },
			map[string]int{"eighth-bend": -1, "sixth-bend": 1}},
		{"an odd turn", func(l *Data) { pt(l, "SPT").Run.Bearing = Degrees(60) },
			map[string]int{"eighth-bend": -1, "bend of 30 deg": 1}},
		// 4 in into 3 in is a closet bend; 3 in into 3 in goes straight on.
		{"a closet drain of the size of the next", func(l *Data) { pt(l, "WC").Run.Size = 3 * in },
			map[string]int{"closet-bend": -1, "joints": -2}},
		// Two floor drains have two of the 2 in traps, each reduced from the drain of 3 in: two joints at each.
		{"two floor drains on one drain", func(l *Data) { pt(l, "FD").Fixture.Count = 2 },
			map[string]int{"p-trap": 1, "reducer": 1, "floor-drain-body": 1, "test-cap": 1, "joints": 4}},
		// A vent from them leaves by a wye, and rises through floor and roof.
		{"two floor drains and a vent", func(l *Data) {
			pt(l, "FD").Fixture.Count = 2
			l.Vents = append(l.Vents, Vent{ID: "VF", Kind: VentIndividual, From: "FD", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}})
		}, map[string]int{"p-trap": 1, "reducer": 1, "floor-drain-body": 1, "test-cap": 2, "joints": 7, "wye": 1,
			"vent-flashing": 1}},
		{"a footing whose sleeve is not given", func(l *Data) { l.Footings[0].Sleeve = 0 }, map[string]int{"sleeve": -1}},
		// Two vents through the roof become one that begins at the first of them by a bend and takes on the second by a
		// tee. The bend has its second joint on the vent that it begins, the tee three; a reducer two more.
		{"vents gathered in one as large", gathered(5*in/4, 5*in/4),
			map[string]int{"vent-flashing": -1, "vent-bend": 1, "vent-tee": 1, "joints": 4}},
		{"vents gathered in a larger one", gathered(5*in/4, 3*in/2),
			map[string]int{"vent-flashing": -1, "vent-bend": 1, "vent-tee": 1, "reducer": 1, "joints": 6}},
		{"vents gathered, the second as large", gathered(3*in/2, 3*in/2),
			map[string]int{"vent-flashing": -1, "vent-bend": 1, "vent-tee": 1, "reducer": 1, "joints": 6}},
		{"no turn", func(l *Data) { pt(l, "SPT").Run.Bearing = Degrees(90) },
			map[string]int{"eighth-bend": -1, "joints": -2}},
	} {
		got := count(c.edit)
		diff := map[string]int{}
		for _, m := range []map[string]int{plain, got} {
			for kind := range m {
				if d := got[kind] - plain[kind]; d != 0 {
					diff[kind] = d
				}
			}
		}
		if d := cmp.Diff(c.want, diff); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
	}
}

// The fitting for each turn between two runs.
func TestBendsAndBranches(t *testing.T) {
	flat, up := &Point{}, &Point{Run: Run{Vertical: true}}
	for _, c := range []struct {
		from, into   *Point
		turn         int32
		bend, branch string
	}{
		{flat, flat, -1, "", "wye"}, {flat, flat, 0, "", "wye"}, {flat, flat, 11_250, "thirty-second-bend", "wye"},
		{flat, flat, 45_000, "eighth-bend", "wye"}, {flat, flat, 45_001, "bend of 45.001 deg", "combination-wye-eighth-bend"},
		{flat, flat, 90_000, "long-sweep", "combination-wye-eighth-bend"},
		{up, flat, -1, "long-sweep", "combination-wye-eighth-bend"}, {flat, up, -1, "quarter-bend", "sanitary-tee"},
		{up, up, -1, "", "combination-wye-eighth-bend"},
	} {
		if got := bend(c.from, c.into, c.turn); got != c.bend {
			t.Errorf("turn %d, vertical %v to %v: %q, want %q", c.turn, c.from.Run.Vertical, c.into.Run.Vertical, got, c.bend)
		}
		if got := branchFitting(c.from, c.into, c.turn); got != c.branch {
			t.Errorf("branch at %d, vertical %v to %v: %q, want %q", c.turn, c.from.Run.Vertical, c.into.Run.Vertical, got,
				c.branch)
		}
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
	// combination. The inverts of S3 to S2 and S2 to S1 are level: eccentric. Tees where arms meet risers and vents: LT, CT, SP. Reducers: S3 to
	// S2, S2 to S1, SP to SPT, and where the vents of 1-1/4 in leave LT, CT and SP, which are
	// 2 in, and where the 2 in trap of the floor drain meets its 3 in drain. Three vents go through
	// the roof. Couplings: one for each full stick but the last. The floor drain has its body,
	// trap and primer. For the test both outlets are plugged; the closet, the floor drain, the
	// three risers through the floor and the closet's vent are capped. The two-way cleanout has
	// an adapter with its plug, and a cover.
	wantFittings := map[string]int{
		"closet-flange": 1, "closet-bend": 1, "two-way-cleanout": 1, "coupling": 9, "eighth-bend": 1, "wye": 3,
		"combination-wye-eighth-bend": 1,
		"long-sweep":                  2, "reducer": 5, "eccentric-reducer": 2, "cleanout": 1, "cleanout-cover": 1,
		"floor-drain-body": 1,
		"trap-primer":      1, "test-plug": 2, "sanitary-tee": 3, "vent-tee": 1, "vent-bend": 1, "vent-flashing": 3,
		"p-trap": 1, "trap-primer-connection": 1, "test-cap": 6, "sleeve": 1,
	}
	if diff := cmp.Diff(wantFittings, count); diff != "" {
		t.Errorf("fittings (-want +got):\n%s", diff)
	}
	for _, f := range got.Fittings {
		if f.Kind == "vent-tee" && (f.Size != 2*in || f.Branch != 5*in/4) {
			t.Errorf("the vent of 1-1/4 in joins one of 2 in by %+v", f)
		}
	}
	for _, j := range got.Joints {
		if j.Material == "pvc-dwv" && j.Size == 3*in {
			// 40 joints to a quart of cement and 80 to one of primer: common practice.
			if want := units.USGallon / 4 * units.Volume(float64(j.Count)/40); math.Abs(float64(j.Cement-want)) > 1e-12 ||
				j.Citation.Status() != tables.Practice {
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
	if got, err = lv.sizing.TakeOff(TakeOffOptions{}); err != nil || len(got.Trenches.Shallow) != 1 ||
		len(got.Trenches.Missing) != 1 {
		t.Errorf("a trench in the slab: %+v, %v", got.Trenches, err)
	}
	l.Systems[0].Outlet.Invert, l.TrenchWidth = 7*ft, 0
	mustBuild(t, l)
	lv = mustLevels(t, l, mustSize(t, l, mustCode(t, "ipc-2021")))
	if got, err = lv.sizing.TakeOff(TakeOffOptions{}); err != nil || got.Trenches.Excavation != 0 ||
		len(got.Trenches.Missing) != 1 || got.Trenches.Length == 0 {
		t.Errorf("a trench of no stated width: %+v, %v", got.Trenches, err)
	}
}

// TestRisersToTheFloor: the invert at the end of 10 ft lies 6 ft less 2-1/2 in under the floor. The stub of a lavatory goes on
// 18 in over the floor, the body of a floor drain ends 1/2 in under it; two of a kind take two pipes.
func TestRisersToTheFloor(t *testing.T) {
	const up = 6*ft - 5*in/2
	for _, c := range []struct {
		at     Point
		want   units.Length
		joints int // of a sweep under the stub, or of each trap
	}{
		{Point{Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}, StubUp: 18 * in}, up + 18*in, 2},
		{Point{Fixture: &tables.Fixture{Kind: "floor-drain", Count: 2, Size: 3 * in}, RimBelow: in / 2}, 2 * (up - in/2), 4},
	} {
		c.at.ID, c.at.Run.Length = "A", 10*ft
		got, err := takeOff(t, straight(c.at), TakeOffOptions{})
		if err != nil || len(got.Risers) != 1 || got.Risers[0].Net != c.want || got.Joints[0].Count != c.joints {
			t.Errorf("%s: %+v, want %v and %d joints; %v", c.at.Fixture.Kind, got, c.want, c.joints, err)
		}
	}
}

// TestDoubleWyeJoints: two branches turn into a drain by 45 degrees from either side, by a double wye. It has three joints
// where
// nothing comes from straight behind, and four where a drain does.
func TestDoubleWyeJoints(t *testing.T) {
	for _, behind := range []bool{false, true} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Bearing: Degrees(90)}}, Point{ID: "B",
			Run: Run{Length: 9 * ft, Bearing: Degrees(45)}},
			Point{ID: "C", Run: Run{Length: 9 * ft, Bearing: Degrees(135)}}, Point{ID: "D", Run: Run{Length: 9 * ft,
				Bearing: Degrees(90)}})
		pt(l, "C").To, pt(l, "D").To = "A", "A"
		want := 4
		if !behind {
			l.Systems[0].Points, want = l.Systems[0].Points[:3], 3
		}
		got, err := takeOff(t, mustBuild(t, l), TakeOffOptions{})
		if err != nil || len(got.Joints) != 1 || got.Joints[0].Count != want {
			t.Errorf("a drain behind %v: %+v, want %d joints; %v", behind, got, want, err)
		}
	}
}

// TestEarthworkOfAll: what lies over the floor, what no trench can hold and what has no width to it is left out, and the rest
// is
// counted, whichever is drawn first. B rises by 1 in per ft: from 2-1/2 in over the outlet, which lies 12 in under the floor,
// into the slab of 5.
func TestEarthworkOfAll(t *testing.T) {
	for _, first := range []string{"A", "B", "R"} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * ft}}, Point{ID: "B", Run: Run{Length: 10 * ft}}, Point{ID: "R",
			Run: Run{Length: 4 * ft}})
		l.Slab, l.TrenchWidth, l.Systems[0].Outlet.Invert = 5*in, 18*in, 99*ft
		pt(l, "B").Run.Grade = slope.PerFoot(in)
		pt(l, "R").Run.Vertical, pt(l, "R").Run.Grade = true, slope.Grade{}
		points := l.Systems[0].Points
		slices.SortStableFunc(points, func(a, b Point) int {
			if a.ID == first || b.ID == first {
				return map[bool]int{true: -1, false: 1}[a.ID == first]
			}
			return 0
		})
		got, err := takeOff(t, mustBuild(t, l), TakeOffOptions{})
		if e := &got.Trenches; err != nil || !slices.Equal(e.Missing, []string{"B"}) || e.Length != 20*ft || e.Excavation <= 0 {
			t.Errorf("%s first: %+v, %v", first, e, err)
		}
		l.TrenchWidth = 0
		got, err = takeOff(t, mustBuild(t, l), TakeOffOptions{})
		if e := &got.Trenches; err != nil || len(e.Missing) != 2 || e.Excavation != 0 {
			t.Errorf("%s first, of no width: %+v, %v", first, e, err)
		}
	}
}

// TestCapsOfRisers: a riser of two pieces is capped for the test where it comes through the floor, and nowhere else; one that
// has
// a cap needs none.
func TestCapsOfRisers(t *testing.T) {
	for _, capped := range []bool{false, true} {
		l := straight(Point{ID: "R", Run: Run{Length: 9 * ft}, Capped: capped}, Point{ID: "R2", Run: Run{Length: 9 * ft}})
		for _, id := range []string{"R", "R2"} {
			pt(l, id).Run.Vertical, pt(l, id).Run.Grade = true, slope.Grade{}
		}
		want := 1
		if capped {
			l.Systems[0].Points, want = l.Systems[0].Points[:1], 0
		}
		got, err := takeOff(t, mustBuild(t, l), TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range got.Fittings {
			if f.Kind == "test-cap" {
				n += f.Count
			}
		}
		if n != want {
			t.Errorf("capped %v: %d caps for the test, want %d", capped, n, want)
		}
	}
}

// TestTrapAsTheDrain: the NSPC has no sizes of traps on the shelf: that of a shower on a drain of 2 in is counted as wide as that. The
// IPC has 1-1/2 in for it.
func TestTrapAsTheDrain(t *testing.T) {
	for code, want := range map[string]units.Length{"nspc-2018": 2 * in, "ipc-2021": in * 3 / 2} {
		l := straight(Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in, Material: "pvc-dwv"},
			Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Private}})
		list, err := mustSize(t, mustBuild(t, l), mustCode(t, code)).TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list.Fittings {
			if f.Kind == "p-trap" && f.Size != want {
				t.Errorf("%s: a trap of %v, want %v", code, f.Size, want)
			}
		}
	}
}
