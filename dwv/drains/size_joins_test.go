package drains

import (
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestWasherBranch: the 2 in drain of a washer enters a branch of at least 3 in (IPC 2021
// 406.2). Pipe is a branch from where a second fixture drains in: one that stands on the
// joint, a second washer at the same place, what joins by a drain of its own. A stub that
// nothing drains into makes none, nor does a load that is to come to the washer's own
// place alone.
func TestWasherBranch(t *testing.T) {
	washer := dwv.Fixture{Kind: "clothes-washer", Count: 1, Use: dwv.Public}
	tray := dwv.Fixture{Kind: "laundry-tray", Count: 1}
	drain := dwv.Fixture{Kind: "emergency-floor-drain", Count: 1}
	branch := func(id string, f *dwv.Fixture) Point { return Point{ID: id, To: "B", Fixture: f} }
	two := washer
	two.Count = 2
	for _, tt := range []struct {
		name string
		at   *dwv.Fixture // stands at the joint B
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
		{"a stub with a load to come", nil, []Point{branch("W", &washer), {ID: "X", To: "B", Reserved: dwv.FixtureUnit}}, "B"},
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
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Size: 4 * in}}, Point{ID: "B", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{Main: true}})
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
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "C", Run: Run{Length: 9 * ft}, Continuous: 10 * units.USGallonPerMinute},
		Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}})
	l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
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
		{nil, "ask", "ask"}, {&Trap{Seal: 2 * in}, "ask", "ask"}, {&Trap{Arm: in}, "fail", "pass"}, {&Trap{Arm: 3 * ft}, "pass", "pass"}, {&Trap{Arm: 9 * ft}, "pass", "fail"},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in}, Trap: tt.trap, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}})
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "S", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
		got := map[string]string{}
		for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
			if f.Place == "S" {
				got[f.Rule] = f.Verdict.String()
			}
		}
		if got["trap-arm-min-length"] != tt.least || got["trap-arm-length"] != tt.at {
			t.Errorf("%+v: %s as a crown vent and %s in length, want %s and %s", tt.trap, got["trap-arm-min-length"], got["trap-arm-length"], tt.least, tt.at)
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
