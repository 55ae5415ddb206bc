package drains

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestWasherBranch: the 2 in drain of a washer enters a branch of at least 3 in (IPC 2021
// 406.2). Pipe is a branch from where a second fixture drains in: one that stands on the
// joint, a second washer at the same place, what joins by a drain of its own. A stub that
// nothing drains into makes none, nor does a load that is to come to the washer's own
// place alone.
func TestWasherBranch(t *testing.T) {
	washer := tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Public}
	tray := tables.Fixture{Kind: "laundry-tray", Count: 1}
	drain := tables.Fixture{Kind: "emergency-floor-drain", Count: 1}
	branch := func(id string, f *tables.Fixture) Point { return Point{ID: id, To: "B", Fixture: f} }
	two := washer
	two.Count = 2
	for _, tt := range []struct {
		name string
		at   *tables.Fixture // stands at the joint B
		more []Point
		at3  string // the first point from which 3 in is asked for
	}{
		{"alone", nil, []Point{branch("W", &washer)}, ""},
		{"a tray joins", nil, []Point{branch("W", &washer), branch("T", &tray)}, "B"},
		{"a drain of no load joins", nil, []Point{branch("W", &washer), branch("T", &drain)}, "B"},
		{"a tray on the joint", &tray, []Point{branch("W", &washer)}, "B"},
		{"a washer on the joint", &washer, []Point{branch("T", &tray)}, "B"},
		{"a washer on the joint alone", &washer, nil, ""},
		{"two on one point", nil, []Point{branch("W", &two)}, "W"},
		{"a dead stub", nil, []Point{branch("W", &washer), branch("X", nil)}, ""},
		{"a stub with a load to come", nil, []Point{branch("W", &washer), {ID: "X", To: "B", Reserved: dwv.FixtureUnit}},
			"B"},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}, Fixture: tt.at})
		l.Systems[0].Points = append(l.Systems[0].Points, tt.more...)
		for i := range l.Systems[0].Points {
			l.Systems[0].Points[i].Run = Run{Length: 9 * ft, Grade: l.Systems[0].Points[0].Run.Grade}
		}
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		from := ""
		for _, id := range []string{"A", "B", "W"} {
			if r, ok := s.Of(id); ok && r.Decided == DecidedByFixtureDrain && r.Required == 3*in {
				from = id
			}
		}
		if from != tt.at3 {
			t.Errorf("%s: 3 in from %q, want from %q", tt.name, from, tt.at3)
		}
	}
}

// TestMainDrainUnderSmallOutlet: an outlet drawn too small does not make the drain small:
// up to the main cleanout it keeps the 4 in with which it comes to the outlet.
func TestMainDrainUnderSmallOutlet(t *testing.T) {
	for outlet, want := range map[units.Length]units.Length{0: 4 * in, 3 * in: 4 * in, 4 * in: 4 * in, 6 * in: 6 * in} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Size: 4 * in}},
			Point{ID: "B", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{Main: true}})
		l.Systems[0].Outlet.Size = outlet
		pt(l, "B").Run.Size = 0
		if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("B"); r.Size != want {
			t.Errorf("outlet of %v: %v at the main cleanout, want %v", outlet, r.Size, want)
		}
		pt(l, "B").Run.Size = 3 * in
		found := false
		for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
			found = found || f.Rule == "main-drain-undiminished" && f.Place == "B" && f.Verdict == tables.Fail && f.Limit == want
		}
		if !found {
			t.Errorf("outlet of %v: 3 in at the main cleanout is not found", outlet)
		}
	}
}

// TestVentOfSteadyFlow: 10 gpm that enter where no fixture stands count 20 units (IPC
// 709.3), on the drain and for the vent they reach.
func TestVentOfSteadyFlow(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}},
		Point{ID: "C", Run: Run{Length: 9 * ft}, Continuous: 10 * units.USGallonPerMinute},
		Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
	l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	if v := s.Vents()[0]; v.Load != 21*dwv.FixtureUnit || v.Fixtures != 1 {
		t.Errorf("the vent serves %v and %d fixtures", v.Load, v.Fixtures)
	}
}

// TestArmNotStated: a vent that takes off where the fixture stands says nothing of the
// trap arm. Whether it is a crown vent, under two diameters from the weir (IPC 2021
// 909.3), and whether it is too far are questions until the arm is given: 1 in of 2 in pipe
// is a crown vent, 3 ft are lawful, 9 ft are over the 8 of the table.
func TestArmNotStated(t *testing.T) {
	for _, tt := range []struct {
		trap      *Trap
		least, at string
	}{
		{nil, "ask", "ask"}, {&Trap{Seal: 2 * in}, "ask", "ask"}, {&Trap{Arm: in}, "fail", "pass"},
		{&Trap{Arm: 3 * ft}, "pass", "pass"}, {&Trap{Arm: 9 * ft}, "pass", "fail"},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}},
			Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in}, Trap: tt.trap,
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "S", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
		got := map[string]string{}
		for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
			if f.Place == "S" {
				got[f.Rule] = f.Verdict.String()
			}
		}
		if got["trap-arm-min-length"] != tt.least || got["trap-arm-length"] != tt.at {
			t.Errorf("%+v: %s as a crown vent and %s in length, want %s and %s", tt.trap, got["trap-arm-min-length"],
				got["trap-arm-length"], tt.least, tt.at)
		}
	}
}

// TestUnknownSizes: a load kept for later on a drain flatter than every row of the table,
// at a place where nothing else gives a size, is told of and takes nothing else down.
func TestUnknownSizes(t *testing.T) {
	for _, load := range []dwv.FixtureUnits{0, 5 * dwv.FixtureUnit, 5000 * dwv.FixtureUnit} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "X", Run: Run{Length: 9 * ft}, Reserved: load})
		for _, id := range []string{"A", "X"} {
			pt(l, id).Run.Size = 0
		}
		pt(l, "X").Run.Grade, _ = pt(l, "X").Run.Grade.Scale(1, 16)
		l.TrenchWidth = 18 * in
		for _, code := range codesUnderTest(t) {
			s := mustSize(t, l, code)
			if _, err := s.TestPlans(TestOptions{Head: ft}); err != nil {
				t.Errorf("%v of load: %v", load, err)
			}
			if _, err := s.TakeOff(TakeOffOptions{Stick: 10 * ft}); err != nil {
				t.Errorf("%v of load: %v", load, err)
			}
			found := false
			for _, f := range mustCheck(t, l, code) {
				found = found || f.Place == "X" && f.Rule == "drain-grade" && f.Verdict != tables.Pass
			}
			if !found {
				t.Errorf("%v, %v of load: a sixteenth of the grade is not found", code, load)
			}
		}
	}
}

// A drain that vents is sized for that: IPC 2021 Table 912.3 gives a wet vent of 2 in
// 4 units, one of 2-1/2 in 6, one of 3 in 12, where the drain alone would carry 21 on
// 2 in; Table 911.3 gives the pipe between two fixtures 1 unit on 1-1/2 in. UPC 2021
// 908.1 wants 2 in of an upright wet vent, and a size more than the drain of the upper
// fixture; 908.2.2 gives a flat one of 2 in 4 units. What the check says of the sizes
// must not be that they are too small.
func TestSizeOfWhatVents(t *testing.T) {
	flat := func(load string) func(l *Data) {
		return func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in,
				Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
			wc := pt(l, "WC")
			wc.Fixture, wc.Run.ClosetBend, wc.Run.Size = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private},
				false, 0
			pt(l, "WV").Run.Size = 0
			if err := pt(l, "WV").Reserved.UnmarshalText([]byte(load)); err != nil {
				panic(err)
			}
		}
	}
	first := func(load string) func(l *Data) { // drawn before all other points
		return func(l *Data) {
			flat(load)(l)
			points := l.Systems[0].Points
			k := slices.IndexFunc(points, func(p Point) bool { return p.ID == "WV" })
			points[0], points[k] = points[k], points[0]
		}
	}
	quarter := slope.PerFoot(in / 4)
	upright := func(upper units.Length) func(l *Data) {
		return func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "L2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Material: "pvc-dwv"}},
				Point{ID: "LB", To: "L2", Run: Run{Length: 2 * ft, Grade: quarter, Material: "pvc-dwv"},
					Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			lt := pt(l, "LT")
			lt.To, lt.Run.Length, lt.Run.Size = "L2", 6*ft, 0
			pt(l, "LA").Run.Size, pt(l, "LA").Trap.Size = 0, upper
			vent(l, "VL").Kind, vent(l, "VL").Through = VentWet, "L2"
		}
	}
	loaded := func(l *Data) {
		upright(in * 3 / 2)(l)
		pt(l, "LA").Reserved = 2 * dwv.FixtureUnit
	}
	// Two fixtures at the take-off, the larger drain drawn last.
	twoAbove := func(l *Data) {
		upright(0)(l)
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "LX", To: "LT", Run: Run{Length: ft, Grade: quarter, Material: "pvc-dwv"}, Trap: &Trap{Size: 2 * in},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
	}
	// A larger drain comes in lower down, on a vent that goes on.
	lower := func(l *Data) {
		upright(0)(l)
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "L3", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Material: "pvc-dwv"}})
		pt(l, "L2").To, vent(l, "VL").Through = "L3", "L3"
		pt(l, "LB").Trap = &Trap{Size: 2 * in}
	}
	common := func(load string) func(l *Data) {
		return func(l *Data) {
			upright(0)(l)
			vent(l, "VL").Kind = VentCommon
			if err := pt(l, "LA").Reserved.UnmarshalText([]byte(load)); err != nil {
				panic(err)
			}
		}
	}
	// Below the end of its stretch a vent asks for nothing.
	belowFlat := func(l *Data) {
		flat("3 dfu")(l)
		pt(l, "WV").To, vent(l, "VW").Through = "WM", "WM"
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "WM", To: "S2", Run: Run{Length: ft, Grade: quarter, Material: "pvc-dwv"}, Reserved: dwv.FixtureUnit})
	}
	belowCommon := func(l *Data) {
		common("0 dfu")(l)
		pt(l, "L2").Reserved = 4 * dwv.FixtureUnit
	}
	// The run between the ends of a stretch is of it too: two lavatories of 1 dfu above it.
	between := func(l *Data) {
		lower(l)
		vent(l, "VL").Kind, pt(l, "LB").Trap = VentCommon, nil
	}
	tests := []struct {
		code, at string
		edit     func(l *Data)
		want     string // size and decision
		rule     string // of the check, that must not fail for its size
	}{
		{"ipc-2021", "WV", flat("3 dfu"), `2" by load`, "wet-vent-load"}, // 1 dfu of the lavatory beside
		{"ipc-2021", "WV", flat("3.001 dfu"), `2 1/2" by what it vents`, "wet-vent-load"},
		{"ipc-2021", "WV", first("3.001 dfu"), `2 1/2" by what it vents`, "wet-vent-load"},
		{"ipc-2021", "WM", belowFlat, `2" by load`, "wet-vent-load"},      // 5 units
		{"ipc-2021", "L2", belowCommon, `2" by load`, "common-vent-load"}, // 6 units
		{"ipc-2021", "WV", flat("5 dfu"), `2 1/2" by what it vents`, "wet-vent-load"},
		{"ipc-2021", "WV", flat("5.001 dfu"), `3" by what it vents`, "wet-vent-load"},
		{"ipc-2021", "WV", flat("11.001 dfu"), `4" by what it vents`, "wet-vent-load"},
		{"upc-2021", "WV", flat("3 dfu"), `2" by load`, "wet-vent-load"},
		{"upc-2021", "WV", flat("3.001 dfu"), `3" by what it vents`, "wet-vent-load"},
		{"upc-2021", "LT", upright(0), `2" by what it vents`, "wet-vent-vertical-size"},
		{"upc-2021", "LT", upright(2 * in), `2 1/2" by what it vents`, "wet-vent-vertical-size"},
		// a drain of 3 units is 2 in, though its trap is 1-1/2
		{"upc-2021", "LT", loaded, `2 1/2" by what it vents`, "wet-vent-vertical-size"},
		// a size more is asked over one fixture only
		{"upc-2021", "LT", twoAbove, `2" by not smaller than the pipe above it`, "wet-vent-vertical-size"},
		{"upc-2021", "L2", lower, `2" by not smaller than the pipe above it`, "wet-vent-vertical-size"},
		{"ipc-2021", "L2", between, `2" by what it vents`, "common-vent-load"},
		{"ipc-2021", "L3", between, `2" by not smaller than the pipe above it`, "common-vent-load"},
		{"ipc-2021", "LT", common("0 dfu"), `1 1/2" by load`, "common-vent-load"},
		{"ipc-2021", "LT", common("0.001 dfu"), `2" by what it vents`, "common-vent-load"},
		// it has no such table
		{"upc-2021", "LT", common("0.001 dfu"), `2" by not smaller than the pipe above it`, "common-vent-load"},
	}
	for _, tt := range tests {
		l := mustLayout(t, "workshop.json")
		tt.edit(l)
		l = mustBuild(t, l)
		code := mustCode(t, tt.code)
		s, err := sizeOf(l, code)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := s.Of(tt.at)
		if got := fmt.Sprintf("%v by %v", r.Required, r.Decided); got != tt.want {
			t.Errorf("%s: %s carries %v on %s, want %s", tt.code, tt.at, r.Load, got, tt.want)
		}
		if r.Problem != "" {
			t.Errorf("%s: %s: %s", tt.code, tt.at, r.Problem)
		}
		if strings.HasSuffix(tt.want, "what it vents") && (r.Citation.IsZero() || r.Size != r.Required) {
			t.Errorf("%s: %s: %v by %v", tt.code, tt.at, r.Size, r.Citation)
		}
		found, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			if f.Rule == tt.rule && (f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail) {
				t.Errorf("%s: %v", tt.code, f)
			}
		}
	}
}

// TestTooMuchToVent: what no size of Table 912.3 takes gets the largest, and is told.
func TestTooMuchToVent(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in,
		Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
	pt(l, "WV").Reserved, pt(l, "WV").Run.Size = 2000*dwv.FixtureUnit, 0
	code := mustCode(t, "ipc-2021")
	largest, _, err := code.WetVentSize(2000 * dwv.FixtureUnit)
	if err == nil || largest == 0 {
		t.Fatalf("%v, %v", largest, err)
	}
	if r, _ := mustSize(t, mustBuild(t, l), code).Of("WV"); r.Problem == "" || r.Required < largest {
		t.Errorf("%v, %q", r.Required, r.Problem)
	}
}

// TestOverlappingWasteStacks: three sinks of 2 dfu enter a stack. One waste stack vent goes from the top to the second, one
// from there to the foot. A waste stack of 2 in takes 4 dfu in all, one of 2-1/2 in 8 (IPC 2021 Table 913.4, from memory):
// what both share is as large as the lower foot asks, with its 6 dfu, whichever is drawn first.
func TestOverlappingWasteStacks(t *testing.T) {
	for _, first := range []string{"upper", "lower"} {
		l := mustLayout(t, "jobs/waste-stack-of-6.json")
		for _, id := range []string{"S1", "S2", "S3", "A"} {
			pt(l, id).Run.Size = 0
		}
		upper, lower := l.Vents[0], l.Vents[0]
		upper.Through, lower.ID, lower.From = "S2", "WL", "S2"
		l.Vents = []Vent{upper, lower}
		if first == "lower" {
			slices.Reverse(l.Vents)
		}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		for id, want := range map[string]units.Length{"S3": 2 * in, "S2": 5 * in / 2, "S1": 5 * in / 2} {
			if r, _ := s.Of(id); r.Required != want {
				t.Errorf("%s drawn first: %s is %v by %v, want %v", first, id, r.Required, r.Decided, want)
			}
		}
	}
}

// TestUnratedOnAnArm: the UPC leaves trap arms out of the loads of drains. Of an appliance that it does not list it knows no
// drain, and says so.
func TestUnratedOnAnArm(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}},
		Point{ID: "S", Run: Run{Length: 3 * ft, Size: 2 * in}, Fixture: &tables.Fixture{Kind: "samovar", Count: 1}})
	l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
	s := mustSize(t, l, mustCode(t, "upc-2021"))
	if r, _ := s.Of("A"); r.Required != 2*in || r.Problem != "the load of S is not counted" {
		t.Errorf("%v, %q", r.Required, r.Problem)
	}
}

// TestBathroomsCounted: closet 3, tub 2 and lavatory 1 are 5 dfu as a group (IPC 2021 Table 709.1), for the whole system and
// wherever the point where the last has joined is drawn. A second bathroom without a vent is no group: 6 more.
func TestBathroomsCounted(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, c := range []struct {
		name string
		edit func(l *Data)
		want dwv.FixtureUnits
	}{
		{"one", func(*Data) {}, 5},
		{"its joint drawn first", func(l *Data) {
			points := l.Systems[0].Points
			points[0], points[1] = points[1], points[0]
		}, 5},
		{"one more without a vent", func(l *Data) {
			for _, id := range []string{"WC", "TUB", "LV"} {
				p := *pt(l, id)
				p.ID, p.To, p.AboveFloor = id+"2", "B", false
				p.Run = pt(l, "WC").Run
				l.Systems[0].Points = append(l.Systems[0].Points, p)
			}
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "B", To: "EX", Run: pt(l, "WC").Run})
		}, 11},
		{"a sink of 2 dfu joins on the way, its joint drawn first", func(l *Data) {
			points := l.Systems[0].Points
			points[0], points[1] = points[1], points[0]
			sink := *pt(l, "TUB")
			sink.ID, sink.Fixture = "SK", &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}
			l.Systems[0].Points = append(l.Systems[0].Points, sink)
			l.Vents = append(l.Vents, Vent{ID: "VS", Kind: VentIndividual, From: "SK", Terminal: &Terminal{AboveRoof: ft}, Size: 2 * in,
				Runs: []VentRun{{Length: 13 * ft, Direction: VentUp}}})
		}, 7},
	} {
		l := mustLayout(t, "jobs/bathroom-on-wet-vent.json", code)
		c.edit(l)
		if load, _, _ := mustSize(t, mustBuild(t, l), code).Total("sanitary"); load != c.want*dwv.FixtureUnit {
			t.Errorf("%s: %v, want %d dfu", c.name, load, c.want)
		}
	}
}

// TestBathroomOfOneStorey: a bathroom whose tub has a vent of its own is a group where the tub has joined, 5 dfu, however
// long its
// runs are; down a stack of one storey of 8 ft the tub comes from another, and all count singly: 6.
func TestBathroomOfOneStorey(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, c := range []struct {
		riser units.Length
		want  dwv.FixtureUnits
	}{{0, 5}, {8*ft - nm, 5}, {8 * ft, 6}} {
		l := mustLayout(t, "jobs/bathroom-tub-vented-apart.json", code)
		for _, id := range []string{"WC", "TUB", "W", "A", "B"} {
			pt(l, id).Run.Length = 12 * ft
		}
		if c.riser > 0 {
			pt(l, "TUB").To = "R"
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Run: Run{Length: c.riser, Vertical: true,
				Size: 2 * in}})
		}
		if load, _, _ := mustSize(t, mustBuild(t, l), code).Total("soil"); load != c.want*dwv.FixtureUnit {
			t.Errorf("a riser of %v: %v, want %d dfu", c.riser, load, c.want)
		}
	}
}

// TestIndirectUnrated: three sinks of 2 dfu discharge into a floor sink beside an appliance that the code does not list: 6 dfu
// count, and what lacks is told.
func TestIndirectUnrated(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "floor-sink", Count: 1, Size: 3 * in},
		Receptor: &Receptor{Indirect: []tables.Fixture{{Kind: "samovar", Count: 1}, {Kind: "kitchen-sink", Count: 3,
			Use: tables.Private}}}})
	if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("A"); r.Load != 6*dwv.FixtureUnit ||
		!strings.Contains(r.Problem, "samovar") {
		t.Errorf("%v, %q", r.Load, r.Problem)
	}
}

// TestDropBelowFloor: what drains into a drop of the building drain is a drain itself; into a stack, for a fixture stands on
// it, it
// is a branch.
func TestDropBelowFloor(t *testing.T) {
	for _, c := range []struct {
		on   *tables.Fixture
		want dwv.Part
	}{{nil, dwv.Drain}, {&tables.Fixture{Kind: "floor-drain", Count: 1, Size: 3 * in}, dwv.Branch}} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "drop", Run: Run{Length: ft}, Fixture: c.on},
			Point{ID: "X", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
		pt(l, "drop").Run.Vertical, pt(l, "drop").Run.Grade = true, slope.Grade{}
		if r, _ := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Of("X"); r.Part != c.want {
			t.Errorf("X is a %v, want a %v", r.Part, c.want)
		}
	}
}

// TestEnters: what comes into a stack at one place is what joins it there and stands on it. The stack above and its offset
// bring
// nothing new; the riser of one fixture is its drain.
func TestEnters(t *testing.T) {
	one, two := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, &tables.Fixture{Kind: "lavatory",
		Count: 2, Use: tables.Public}
	up := func(id, to string, p Point) Point {
		p.ID, p.To, p.Run = id, to, Run{Length: 9 * ft, Vertical: true, Size: 3 * in}
		return p
	}
	flat := func(id, to string, p Point) Point {
		p.ID, p.To, p.Run.Length, p.Run.Grade, p.Run.Size = id, to, 9*ft, slope.PerFoot(in/4), 3*in
		return p
	}
	for name, c := range map[string]struct {
		points []Point
		want   dwv.FixtureUnits
	}{
		"the riser of a fixture":     {[]Point{up("S", "O", Point{Fixture: one})}, 0},
		"of two":                     {[]Point{up("S", "O", Point{Fixture: two})}, 2},
		"of one and what is to come": {[]Point{up("S", "O", Point{Fixture: one, Reserved: 3 * dwv.FixtureUnit})}, 4},
		"of one and a steady flow":   {[]Point{up("S", "O", Point{Fixture: one, Continuous: units.USGallonPerMinute})}, 3},
		"of what is to come alone":   {[]Point{up("S", "O", Point{Reserved: 3 * dwv.FixtureUnit})}, 3},
		"a branch":                   {[]Point{up("S", "O", Point{}), flat("B", "S", Point{Fixture: two, AboveFloor: true})}, 2},
		"a fixture on the stack": {[]Point{up("S", "O", Point{Fixture: one}), flat("B", "S", Point{Fixture: two,
			AboveFloor: true})}, 3},
		"a branch beside the stack above": {[]Point{up("S", "O", Point{}), flat("B", "S", Point{Fixture: two, AboveFloor: true}),
			up("S2", "S", Point{}), flat("C", "S2", Point{Fixture: one, AboveFloor: true})}, 2},
		"a branch beside an offset": {[]Point{up("S", "O", Point{}), flat("B", "S", Point{Fixture: two, AboveFloor: true}),
			flat("OF", "S", Point{AboveFloor: true}), up("S2", "OF", Point{}), flat("C", "S2", Point{Fixture: one,
				AboveFloor: true})}, 2},
		"a drop below the floor": {[]Point{up("S", "O", Point{}), flat("B", "S", Point{Fixture: two})}, 0},
		"no stack":               {[]Point{flat("S", "O", Point{Fixture: two})}, 0},
	} {
		floor := 80 * ft
		if name == "a drop below the floor" {
			floor = 110 * ft
		}
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: floor, Systems: []System{{ID: "s", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 79 * ft}, Points: c.points}}}), mustCode(t, "ipc-2021"))
		if got := s.enters(s.tree.index["S"]); got != c.want*dwv.FixtureUnit {
			t.Errorf("%s: %v, want %d dfu", name, got, c.want)
		}
	}
}

// TestWasteStackSize: two sinks of 2 dfu on a waste stack make it 2 in throughout (IPC 2021 Table 913.4: 2 dfu an interval and 4 in
// all; 1-1/2 in takes 1 and 2), in whatever order the pipes come in and though the upper half is drawn less. The run below it is no
// part of that.
func TestWasteStackSize(t *testing.T) {
	for _, order := range [][]string{{"EX", "A", "S0", "S1", "F1", "S2", "F2"}, {"F2", "S2", "F1", "S1", "S0", "A", "EX"},
		{"EX", "A", "S0", "S1", "S2", "F1", "F2"}} {
		l := mustLayout(t, "jobs/waste-stack-of-4.json", mustCode(t, "ipc-2021"))
		s0 := *pt(l, "S1")
		s0.ID, pt(l, "S1").To = "S0", "S0"
		pt(l, "S1").Run.Size, pt(l, "S2").Run.Size, pt(l, "F1").Run.Size, pt(l, "F2").Run.Size = 0, in*3/2, in*3/2, in*3/2
		points := append(l.Systems[0].Points, s0)
		l.Systems[0].Points = nil
		for _, id := range order {
			at := slices.IndexFunc(points, func(p Point) bool { return p.ID == id })
			l.Systems[0].Points = append(l.Systems[0].Points, points[at])
		}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		for _, id := range []string{"S1", "S2"} {
			if r, _ := s.Of(id); r.Required != 2*in || r.Decided != DecidedByVenting {
				t.Errorf("%v: %s needs %v, by %v", order, id, r.Required, r.Decided)
			}
		}
		// 1-1/2 in takes 4 dfu of a stack of three intervals (Table 710.1(2)), and comes down from a stack drawn so.
		pt(l, "S1").Run.Size = in * 3 / 2
		s = mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		if r, _ := s.Of("S0"); r.Required != in*3/2 {
			t.Errorf("%v: S0 needs %v, by %v", order, r.Required, r.Decided)
		}
	}
}

// TestSmallBranchSize: a branch of 1-1/2 in of the building drain takes two lavatories under the residential code (Table P3005.4.2,
// from memory), of three 2 in are due.
func TestSmallBranchSize(t *testing.T) {
	for lavatories, want := range map[int]units.Length{1: in * 3 / 2, 2: in * 3 / 2, 3: 2 * in} {
		l := mustLayout(t, "jobs/small-branch-three-lavatories.json", mustCode(t, "irc-2021"))
		points := &l.Systems[0].Points
		*points, l.Vents = (*points)[:3+lavatories], l.Vents[:lavatories]
		if r, _ := mustSize(t, mustBuild(t, l), mustCode(t, "irc-2021")).Of("B"); r.Required != want {
			t.Errorf("%d lavatories: %v, want %v", lavatories, r.Required, want)
		}
	}
}
