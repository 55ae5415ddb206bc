package drains

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// TestLayoutDoors puts one thing into a good layout that cannot be, and wants the
// field and the reason named; the value beside it that still can be is taken.
func TestLayoutDoors(t *testing.T) {
	const far = units.MaxLength
	nan := math.NaN()
	for _, c := range []struct {
		want string // "" where the layout is taken
		edit func(l *Data)
	}{
		{"layout: finished_floor: ", func(l *Data) { l.FinishedFloor = far + nm }},
		{"layout: slab: ", func(l *Data) { l.Slab = -nm }},
		{"layout: bedding: ", func(l *Data) { l.Bedding = far + nm }},
		{"", func(l *Data) { l.Bedding = 0 }},
		{"layout: trench_width: ", func(l *Data) { l.TrenchWidth = -nm }},
		{"layout: cable_reach: ", func(l *Data) { l.CableReach = -nm }},
		{"", func(l *Data) { l.CableReach = far }},
		{"layout: minimum_cover: ", func(l *Data) { l.MinimumCover = -nm }},
		{"systems: missing", func(l *Data) { l.Systems = nil }},
		{"id: two systems", func(l *Data) { l.Systems[1].ID = l.Systems[0].ID }},
		{"id: missing", func(l *Data) { l.Systems[1].ID = "" }},
		{"id: an id of 201 bytes", func(l *Data) { l.Systems[1].ID = strings.Repeat("x", 201) }},
		{"", func(l *Data) { l.Systems[1].ID = strings.Repeat("x", 200) }},
		{"kind: missing", func(l *Data) { l.Systems[1].Kind = "" }},
		{"outlet: missing", func(l *Data) { l.Systems[1].Outlet = Outlet{} }},
		{"outlet.invert: ", func(l *Data) { l.Systems[1].Outlet.Invert = -far - nm }},
		{"outlet.size: ", func(l *Data) { l.Systems[1].Outlet.Size = maxSize + nm }},
		{"outlet.size: ", func(l *Data) { l.Systems[1].Outlet.Size = -nm }},
		{"points: missing", func(l *Data) { l.Systems[1].Points = nil }},

		{"length: ", func(l *Data) { pt(l, "S3").Run.Length = far + nm }},
		{"is negative", func(l *Data) { pt(l, "S3").Run.Length = -nm }},
		{"length: missing or zero", func(l *Data) { pt(l, "S3").Run.Length = 0 }},
		{"grade: missing or zero", func(l *Data) { pt(l, "S3").Run.Grade = slope.Grade{} }},
		{"rises in the direction of flow", func(l *Data) { pt(l, "S3").Run.Grade = slope.OneIn(48).Neg() }},
		{"is steeper than 45 degrees", func(l *Data) { pt(l, "S3").Run.Grade = slope.PerFoot(ft + nm) }},
		{"", func(l *Data) { pt(l, "S3").Run.Grade = slope.OneIn(1) }},
		{"a vertical run has none", func(l *Data) { pt(l, "LT").Run.Grade = slope.OneIn(48) }},
		{"drop: ", func(l *Data) { pt(l, "S3").Run.Drop = -nm }},
		{"size: ", func(l *Data) { pt(l, "S3").Run.Size = maxSize + nm }},
		{"stub_up: ", func(l *Data) { pt(l, "S3").StubUp = -nm }},
		{"rim_below: ", func(l *Data) { pt(l, "FD").RimBelow = -nm }},
		{"flood_rim: ", func(l *Data) { pt(l, "WC").FloodRim = far + nm }},
		{"join: ", func(l *Data) { pt(l, "S3").Run.Join = 99 }},
		{"part: ", func(l *Data) { pt(l, "S3").Run.Part = dwv.Stack }},
		{"part: ", func(l *Data) { pt(l, "LT").Run.Part = dwv.Branch }},
		{"part: ", func(l *Data) { pt(l, "LT").Run.Part = dwv.StackInterval }},
		{"", func(l *Data) { pt(l, "LT").Run.Part = dwv.Stack }},
		{"size: ", func(l *Data) { pt(l, "S3").Run.Size = -nm }},
		{"", func(l *Data) { pt(l, "S3").Run.Size = maxSize }},
		{"", func(l *Data) { l.Systems[1].Outlet.Size = maxSize }},
		{"id: an id of 201 bytes", func(l *Data) { pt(l, "WC").ID = strings.Repeat("x", 201) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = -1 }},
		{"", func(l *Data) { pt(l, "S3").Continuous = units.Flow(math.Nextafter(1e6, 0)) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = 1e6 }},
		// A point with nothing else on it.
		{"trap.size: ", func(l *Data) { pt(l, "S3").Trap = &Trap{Size: -nm} }},
		{"a receptor is a fixture", func(l *Data) { pt(l, "S3").Receptor = new(Receptor) }},
		{"cleanout.size: ", func(l *Data) { pt(l, "S3").Cleanout = &Cleanout{Size: -nm} }},
		{"interceptor.kind: missing", func(l *Data) { pt(l, "S3").Interceptor = new(Interceptor) }},
		{"continuous: ", func(l *Data) { pt(l, "S3").Continuous = units.Flow(nan) }},
		{"reserved: ", func(l *Data) { pt(l, "S3").Reserved = -1 }},
		{"reserved: ", func(l *Data) { pt(l, "S3").Reserved = dwv.MaxFixtureUnits + 1 }},

		{"fixture.fixture: missing", func(l *Data) { pt(l, "WC").Fixture.Kind = "" }},
		{"fixture.count: 0", func(l *Data) { pt(l, "WC").Fixture.Count = 0 }},
		{"fixture.count: ", func(l *Data) { pt(l, "WC").Fixture.Count = dwv.MaxFixtures + 1 }},
		{"", func(l *Data) { pt(l, "WC").Fixture.Count = dwv.MaxFixtures }},
		{"trap.size: ", func(l *Data) { pt(l, "LA").Trap.Size = -nm }},
		{"trap.arm: ", func(l *Data) { pt(l, "LA").Trap.Arm = -nm }},
		{"trap.fall: ", func(l *Data) { pt(l, "LA").Trap.Fall = -nm }},
		{"trap.seal: ", func(l *Data) { pt(l, "LA").Trap.Seal = -nm }},
		{"trap.tail: ", func(l *Data) { pt(l, "LA").Trap.Tail = -nm }},
		{"cleanout.size: ", func(l *Data) { pt(l, "S1").Cleanout.Size = -nm }},
		{"cleanout.clearance: ", func(l *Data) { pt(l, "S1").Cleanout.Clearance = -nm }},
		{"interceptor.kind: missing", func(l *Data) { pt(l, "C1").Interceptor.Kind = "" }},
		{"interceptor.rated: ", func(l *Data) { pt(l, "C1").Interceptor.Rated = -1 }},
		{"interceptor.inflow: ", func(l *Data) { pt(l, "C1").Interceptor.Inflow = units.Flow(nan) }},
		{"interceptor.volume: ", func(l *Data) { pt(l, "C1").Interceptor.Volume = 1e9 }},
		{"interceptor.retention: ", func(l *Data) { pt(l, "C1").Interceptor.Retention = -1 }},
		{"interceptor.drop: ", func(l *Data) { pt(l, "C1").Interceptor.Drop = -nm }},
		{"receptor.standpipe: ", func(l *Data) { pt(l, "SP").Receptor.Standpipe = -nm }},
		{"receptor.trap_above_floor: ", func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = far + nm }},
		{"a receptor is a fixture", func(l *Data) { pt(l, "SP").Fixture = nil }},
		{"at.x: ", func(l *Data) { pt(l, "S3").At = &Position{X: far + nm} }},
		{"at.y: ", func(l *Data) { pt(l, "S3").At = &Position{Y: -far - nm} }},
		{"", func(l *Data) { pt(l, "S3").At = &Position{X: far, Y: -far} }},

		{"vent 2: id: missing", func(l *Data) { vent(l, "VL").ID = "" }},
		{"length: missing or zero", func(l *Data) { vent(l, "VW").Runs[0].Length = 0 }},
		{"length: -16'-0\" is negative", func(l *Data) { vent(l, "VW").Runs[0].Length = -16 * ft }},
		{"", func(l *Data) { vent(l, "VW").Runs[0].Rise = 16 * ft }},
		{"rise: ", func(l *Data) { vent(l, "VW").Runs[0].Rise = 16*ft + nm }},
		{"", func(l *Data) { vent(l, "VL").Runs[0].Length, vent(l, "VL").Runs[1].Length = 4*ft, far-4*ft }},
		{"runs: longer than", func(l *Data) { vent(l, "VL").Runs[0].Length, vent(l, "VL").Runs[1].Length = 4*ft, far-4*ft+nm }},
		{"no vent or stack \"SO\"", func(l *Data) { vent(l, "VL").To = "SO" }},
		{"point \"S1\" is not on a stack", func(l *Data) { vent(l, "VL").To = "S1" }},
		{"", func(l *Data) { vent(l, "VL").To = "LT" }},
		{"", func(l *Data) { // the first point there is
			vent(l, "VL").To = "LT"
			p := l.Systems[0].Points
			for i := range p {
				if p[i].ID == "LT" {
					p[0], p[i] = p[i], p[0]
				}
			}
		}},
		{"no point \"SO\"", func(l *Data) { vent(l, "VL").From = "SO" }},

		{"two footings", func(l *Data) { l.Footings[1].ID = l.Footings[0].ID }},
		{"run: missing", func(l *Data) { l.Footings[1].Run = "" }},
		{"along: ", func(l *Data) { l.Footings[0].Along = -nm }},
		{"", func(l *Data) { l.Footings[0].Along = pt(l, l.Footings[0].Run).Run.Length }},
		{"is beyond the end of the run", func(l *Data) { l.Footings[0].Along = pt(l, l.Footings[0].Run).Run.Length + nm }},
		{"bottom: missing", func(l *Data) { l.Footings[0].Bottom = 0 }},
		{"distance: ", func(l *Data) { l.Footings[1].Distance = -nm }},
		{"sleeve: ", func(l *Data) { l.Footings[0].Sleeve = maxSize + nm }},
		{"clear: ", func(l *Data) { l.Footings[0].Clear = -nm }},
	} {
		l := mustLayout(t, "workshop.json")
		c.edit(l)
		err := buildErr(l)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("refused: %v", err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// TestLongestSystem: the runs of a system may add up to a million km. The run that
// passes it is named, and no other.
func TestLongestSystem(t *testing.T) {
	for _, tt := range []struct {
		more []units.Length // after a thousand runs of 1000 km
		want []string
	}{
		{nil, nil},
		{[]units.Length{nm}, []string{`point "1000": length: the runs of the system add up to more than a million km`}},
		{[]units.Length{nm, units.MaxLength, nm}, []string{`point "1000": length: the runs of the system add up to more than a million km`}},
	} {
		var points []Point
		for i := range 1000 + len(tt.more) {
			r := Run{Length: units.MaxLength, Grade: slope.OneIn(48)}
			if i >= 1000 {
				r.Length = tt.more[i-1000]
			}
			points = append(points, Point{ID: fmt.Sprint(i), To: "O", Run: r})
		}
		err := buildErr(&Data{Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer}, Points: points}}})
		var got []string
		if err != nil {
			got = strings.Split(err.Error(), "\n")
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%d more (-want +got):\n%s", len(tt.more), diff)
		}
	}
}

// Ids that are missing are not two of one kind.
func TestVentsWithoutIDs(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	vent(l, "VC").ID, vent(l, "VP").ID = "", ""
	if err := buildErr(l); err == nil || strings.Contains(err.Error(), "two vents") {
		t.Errorf("%v", err)
	}
	l = mustLayout(t, "workshop.json")
	vent(l, "VC").ID, vent(l, "VP").ID = "V", "V"
	if err := buildErr(l); err == nil || !strings.Contains(err.Error(), `"V" is the id of two vents`) {
		t.Errorf("%v", err)
	}
}
