package dwv

import (
	"fmt"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// stackLayout makes a stack with a branch of lavatories every so many feet.
func stackLayout(t *testing.T, every units.Length, lavatories ...int) *Layout {
	t.Helper()
	quarter := slope.PerFoot(in / 4)
	l := &Layout{FinishedFloor: 0, Slab: 5 * in, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -6 * ft}, Points: []Point{
		{ID: "D", To: "O", Run: Run{Length: 20 * ft, Grade: quarter}},
	}}}}
	to := "D"
	for k, n := range lavatories {
		id := fmt.Sprintf("T%d", k)
		length := every
		if k == 0 {
			length = 8 * ft
		}
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: id, To: to, Run: Run{Length: length, Vertical: true}},
			Point{ID: fmt.Sprintf("B%d", k), To: id, Run: Run{Length: 3 * ft, Grade: quarter}, Fixture: &Fixture{Kind: "lavatory", Count: n, Use: Public}})
		to = id
	}
	return mustBuild(t, l)
}

// TestBranchIntervals: IPC 2021 Table 710.1(2) lets a 3 in stack carry 48 units with
// up to three branch intervals and 72 with more. Branches 9 ft apart make an
// interval each, 7 ft apart every second one.
func TestBranchIntervals(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		every units.Length
		want  FixtureUnits
	}{{9 * ft, 72 * FixtureUnit}, {8 * ft, 72 * FixtureUnit}, {7 * ft, 48 * FixtureUnit}} {
		l := stackLayout(t, tt.every, 5, 5, 5, 5)
		for s := range l.Systems[0].Points {
			if p := &l.Systems[0].Points[s]; p.Run.Vertical {
				p.Run.Size = 3 * in
			}
		}
		mustBuild(t, l)
		for _, id := range []string{"T0", "T3"} {
			if r, _ := mustSize(t, l, code).Of(id); r.Capacity != tt.want {
				t.Errorf("every %v: %s carries %v, want %v", tt.every, id, r.Capacity, tt.want)
			}
		}
	}
}

// TestStackTop: a stack may shrink upward, but not under half of its foot (Table
// 710.1(2) note b). 100 units ask for 4 in at the foot; the one lavatory on top would
// do with 1-1/2 in and gets 2.
func TestStackTop(t *testing.T) {
	l := stackLayout(t, 9*ft, 50, 49, 1)
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	foot, _ := s.Of("T0")
	top, _ := s.Of("T2")
	if foot.Required != 4*in || top.Required != 2*in || top.Decided != DecidedByStackFoot {
		t.Errorf("foot %v, top %v by %v", foot.Required, top.Required, top.Decided)
	}
}

// TestReceptorLoad: a receptor counts as what drains into it, and as itself at
// least (IPC 709.4). The standpipe by its 2 in trap is 3 units (Table 709.2), a
// commercial washer 3 (Table 709.1).
func TestReceptorLoad(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for n, want := range map[int]FixtureUnits{1: 3 * FixtureUnit, 3: 9 * FixtureUnit} {
		l := mustLayout(t, "workshop.json")
		pt(l, "SP").Receptor.Indirect[0].Count = n
		mustBuild(t, l)
		if r, _ := mustSize(t, l, code).Of("SP"); r.Load != want {
			t.Errorf("%d washers: %v, want %v", n, r.Load, want)
		}
	}
}

// TestVentLengths: VW runs 16 ft to the air; VL runs 10 ft and joins it, so its
// developed length is 26 ft, and VW serves both over the longest, 26 ft, carrying
// 4 + 1 units.
func TestVentLengths(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	l.Vents = append(l.Vents, Vent{ID: "VX", Kind: VentRelief, From: "S3", To: "VW", Runs: []VentRun{{Length: 2 * ft, Direction: VentUp}}})
	for range 2 { // whatever joins last
		mustBuild(t, l)
		s := mustSize(t, l, mustCode(t, "ipc-2021"))
		for id, want := range map[string]units.Length{"VW": 26 * ft, "VL": 26 * ft, "VX": 18 * ft, "VC": 12 * ft} {
			if v, ok := s.Vent(id); !ok || v.Length != want {
				t.Errorf("%s is %v long, want %v", id, v.Length, want)
			}
		}
		if v, _ := s.Vent("VW"); v.Load != 5*FixtureUnit || v.Closets != 1 || v.Drain != 3*in {
			t.Errorf("VW serves %v with %d closets from %v", v.Load, v.Closets, v.Drain)
		}
		slices.Reverse(l.Vents)
	}
}

// TestVentOfReservedLoad: a capped branch with 2 units kept for it has them on its vent
// and, where its flood rim is known, holds the vent to it.
func TestVentOfReservedLoad(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "SH", To: "S3", Capped: true, Reserved: 2 * FixtureUnit, FloodRim: 4 * in,
		Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4)}})
	l.Vents = append(l.Vents, Vent{ID: "VS", Kind: VentIndividual, From: "SH", To: "VW", Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}, {Length: ft, Direction: VentHorizontal}}})
	mustBuild(t, l)
	if v, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Vent("VS"); v.Load != 2*FixtureUnit || v.Fixtures != 1 {
		t.Errorf("VS serves %v of %d", v.Load, v.Fixtures)
	}
	for _, f := range mustCheck(t, l, mustCode(t, "ipc-2021")) {
		if f.Rule == "vent-flat" && f.Place == "VS" && f.Verdict != tables.Pass {
			t.Errorf("%v", f)
		}
	}
}

// TestStackBaseBranch: a branch joins ten pipe diameters below the foot of a stack or
// more (IPC 704.3): 40 in for a 4 in stack.
func TestStackBaseBranch(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		way  units.Length
		want string
	}{
		{39 * in, `fail|stack-base-branch|X|3'-3"|3'-4"|-1"`},
		{40 * in, `pass|stack-base-branch|X|3'-4"|3'-4"|0"`},
	} {
		l := stackLayout(t, 9*ft, 50, 50)
		l.Systems[0].Points[0].Run.Length = tt.way
		quarter := slope.PerFoot(in / 4)
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "E", To: "O", Run: Run{Length: 5 * ft, Grade: quarter}},
			Point{ID: "X", To: "E", Run: Run{Length: 5 * ft, Grade: quarter}, Fixture: &Fixture{Kind: "lavatory", Count: 1, Use: Public}})
		l.Systems[0].Points[0].To = "E"
		mustBuild(t, l)
		found := false
		for _, f := range mustCheck(t, l, code) {
			found = found || line(f) == tt.want
		}
		if !found {
			t.Errorf("%v: no %s", tt.way, tt.want)
		}
	}
}

// TestCableFromBothEnds: 30 ft of cable from each end cover a run of 60 ft, and not
// one of 61.
func TestCableFromBothEnds(t *testing.T) {
	for length, want := range map[units.Length]tables.Verdict{60 * ft: tables.Pass, 61 * ft: tables.Fail} {
		l := mustBuild(t, &Layout{CableReach: 30 * ft, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -9 * ft}, Points: []Point{
			{ID: "A", To: "O", Run: Run{Length: ft, Grade: slope.OneIn(48)}, Cleanout: &Cleanout{TwoWay: true}},
			{ID: "B", To: "A", Run: Run{Length: length, Grade: slope.OneIn(48)}, Cleanout: &Cleanout{}},
		}}}})
		for _, f := range mustCheck(t, l, mustCode(t, "ipc-2021")) {
			if f.Rule == "cleanout-reach" && f.Place == "B" && f.Verdict != want {
				t.Errorf("%v: %v", length, f)
			}
		}
	}
}
