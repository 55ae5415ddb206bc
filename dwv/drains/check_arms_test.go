package drains

import (
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// UPC 2021 1002.3: an arm may turn 90 degrees without a cleanout, one of 3 in and
// larger 135. IPC has no such rule.
func TestTrapArmTurn(t *testing.T) {
	// elbow puts a bend of the angle between the sink and its vent.
	elbow := func(l *Data, degrees float64) *Point {
		pt(l, "CS").To, pt(l, "CS").Run.Length, pt(l, "CS").Run.Bearing = "CS2", ft, Degrees(degrees)
		sys := &l.Systems[1]
		sys.Points = append(sys.Points, Point{ID: "CS2", To: "CT", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 2 * in, Material: "pvc-dwv", Bearing: Degrees(0)}})
		return pt(l, "CS2")
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"straight on", "upc-2021", func(l *Data) { elbow(l, 0) }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"a quarter turn", "upc-2021", func(l *Data) { elbow(l, 90) }, "pass|trap-arm-turn|CS|90 deg|90 deg|0 deg"},
		{"a thousandth more", "upc-2021", func(l *Data) { elbow(l, 269.999) }, "fail|trap-arm-turn|CS|90.001 deg|90 deg|-0.001 deg"},
		{"a thousandth more, IPC", "ipc-2021", func(l *Data) { elbow(l, 269.999) }, "none of trap-arm-turn"},
		{"a cleanout at the turn", "upc-2021", func(l *Data) { elbow(l, 120).Cleanout = &Cleanout{} }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"the vent at the turn", "upc-2021", func(l *Data) { elbow(l, 120); vent(l, "VC").From = "CS2" }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"3 in", "upc-2021", func(l *Data) { elbow(l, 135).Run.Size = 3 * in; pt(l, "CS").Run.Size = 3 * in }, "pass|trap-arm-turn|CS|135 deg|135 deg|0 deg"},
		{"3 in, a thousandth more", "upc-2021", func(l *Data) { elbow(l, 135.001).Run.Size = 3 * in; pt(l, "CS").Run.Size = 3 * in }, "fail|trap-arm-turn|CS|135.001 deg|135 deg|-0.001 deg"},
		{"a bend along it and one at the end", "upc-2021", func(l *Data) { elbow(l, 60).Run.Fittings = []string{"eighth-bend"} }, "fail|trap-arm-turn|CS|105 deg|90 deg|-15 deg"},
		{"a fitting that is no bend", "upc-2021", func(l *Data) { elbow(l, 60).Run.Fittings = []string{"wye"} }, "none of trap-arm-turn"},
		{"a quarter turn and a fitting that is no bend", "upc-2021", func(l *Data) {
			elbow(l, 90).Run.Fittings = []string{"wye"}
		}, "none of trap-arm-turn"},
		{"no bearing", "upc-2021", func(l *Data) { elbow(l, 60).Run.Bearing = Bearing{} }, "none of trap-arm-turn"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{})
			wantFinding(t, got, tt.want)
			if rule, none := strings.CutPrefix(tt.want, "none of "); none {
				for _, f := range got {
					if f.Rule == rule && f.Place == "CS" {
						t.Errorf("%v", f)
					}
				}
			}
		})
	}
}

// A trap that goes unvented is told how far it goes.
func TestUnventedWords(t *testing.T) {
	for _, tt := range []struct {
		edit        func(l *Data)
		place, want string
	}{
		{func(l *Data) { pt(l, "S2").Fixture = &tables.Fixture{Kind: "lavatory", Count: 1} }, "S2", "The trap of S2 reaches S2 without meeting a vent of its own."},
		{func(l *Data) { pt(l, "FD").Fixture.Kind = "shower" }, "FD", "The trap of FD reaches S2 without meeting a vent of its own."},
		{func(l *Data) { l.Vents = nil }, "LA", "The trap of LA reaches the outlet without meeting a vent of its own."},
	} {
		l := mustLayout(t, "workshop.json")
		tt.edit(l)
		if got := reasonOf(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "trap-vented", tt.place); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}

// arm lays the lavatory's arm to its vent of a size and length, from a trap of a size.
func arm(l *Data, size, trap, length units.Length) {
	la := pt(l, "LA")
	la.Run.Size, la.Trap.Size = size, trap
	la.Trap.Arm = length - la.Run.Length
}

// Massachusetts 248 CMR 10.16, Table 1: a 2 in arm falls 1/4 in per ft at most. The
// rest of the layout is judged by another code, since that set has no fixtures.
func TestTrapArmGrade(t *testing.T) {
	ipc := codeOn(t, massachusettsArms(t), "ipc-2021")
	tests := []struct {
		name string
		edit func(l *Data)
		want string
	}{
		{"at the ceiling", func(*Data) {}, "pass|trap-arm-grade|CS|1/4 in/ft|1/4 in/ft|level"},
		{"steeper", func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in / 2) }, "fail|trap-arm-grade|CS|1/2 in/ft|1/4 in/ft|-1/4 in/ft"},
		{"the least steeper", func(l *Data) {
			pt(l, "CS").Run.Grade = slope.PerFoot(in * 17 / 64)
		}, "fail|trap-arm-grade|CS|17/64 in/ft|1/4 in/ft|-1/64 in/ft|6.25 % too steep"},
		{"steep farther down the arm", func(l *Data) {
			pt(l, "CS").To = "CS2"
			l.Systems[1].Points = append(l.Systems[1].Points, Point{ID: "CS2", To: "CT", Run: Run{Length: ft, Grade: slope.PerFoot(in), Size: 2 * in}})
		}, "fail|trap-arm-grade|CS|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"steep below the vent", func(l *Data) { pt(l, "C1").Run.Grade = slope.PerFoot(in) }, "none of trap-arm-grade"},
		{"steep before the run", func(l *Data) { pt(l, "LA").Trap.Fall = in }, "fail|trap-arm-grade|LA|2 in/ft|1/4 in/ft|-1 3/4 in/ft"},
		{"flatter before the run", func(l *Data) { pt(l, "LA").Run.Grade, pt(l, "LA").Trap.Fall = slope.PerFoot(in), in/16 },
			"fail|trap-arm-grade|LA|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"as the run, before a vent at it", func(l *Data) {
			vent(l, "VL").From = "LA"
			pt(l, "LA").Run.Grade = slope.PerFoot(in)
		}, "fail|trap-arm-grade|LA|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"a closet", func(l *Data) { pt(l, "WC").Run.Grade = slope.PerFoot(in) }, "none of trap-arm-grade"},
		{"before the run, of the size of the run", func(l *Data) { pt(l, "CS").Trap = &Trap{Arm: ft, Fall: in} }, "fail|trap-arm-grade|CS|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"a trap of a size without a row", func(l *Data) { pt(l, "LA").Trap.Size = in * 5 / 4 }, "nothing of trap-arm-grade at LA"},
		{"no way to a vent at the trap", func(l *Data) {
			vent(l, "VC").From = "CS"
			slices.SortFunc(l.Vents, func(a, b Vent) int { return strings.Compare(a.ID, b.ID) }) // VC, the first
			pt(l, "CS").Trap, pt(l, "CS").Run.Grade = &Trap{Size: 2 * in}, slope.PerFoot(in)
		}, "nothing of trap-arm-grade at CS"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), ipc, CheckOptions{}), tt.want)
		})
	}
	l := mustLayout(t, "workshop.json")
	pt(l, "CS").Run.Grade = slope.PerFoot(in)
	for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
		if f.Rule == "trap-arm-grade" {
			t.Errorf("a code without the column: %v", f)
		}
	}
	// A table with a greatest grade for the arms of 1-1/2 in, and none for those of 2 in.
	text := strings.Replace(edges.TableText(t, "massachusetts-248cmr/trap-arm", "ipc-2021"), "\n2,6,0.25,", "\n2,6,,", 1)
	part := codeOn(t, edges.ShelfWith(t, map[string]string{"ipc-2021/trap-arm": text}), "ipc-2021")
	pt(l, "LA").Run.Grade = slope.PerFoot(in)
	got := checkAllWays(t, mustBuild(t, l), part, CheckOptions{})
	wantFinding(t, got, "fail|trap-arm-grade|LA|1 in/ft|1/4 in/ft|-3/4 in/ft")
	wantFinding(t, got, "nothing of trap-arm-grade at CS")
}

// massachusettsArms is the shelf on which the International Plumbing Code has the trap
// arms of Massachusetts, a set without fixtures.
func massachusettsArms(t testing.TB) *tables.Shelf {
	t.Helper()
	text := edges.TableText(t, "massachusetts-248cmr/trap-arm", "ipc-2021")
	return edges.ShelfWith(t, map[string]string{"ipc-2021/trap-arm": text})
}

// TestUnventedCites: a trap without a vent fails by the table that gives its way to one,
// and a pipe through concrete without a sleeve by the rule that asks for it.
func TestUnventedCites(t *testing.T) {
	for code, want := range map[string]string{"ipc-2021": "Table 909.1", "upc-2021": "Table 1002.2"} {
		l := straight(Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in}, Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Private}})
		l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "S", Bottom: 9 * ft}}
		found := 0
		for _, f := range checkAllWays(t, l, mustCode(t, code), CheckOptions{}) {
			if f.Rule == "trap-vented" && f.Verdict == tables.Fail && f.Citation.Section() == want &&
				strings.Contains(f.Fix, "Vent the trap within "+map[string]string{"ipc-2021": `8'-0"`, "upc-2021": `5'-0"`}[code]) {
				found++
			}
			if f.Rule == "footing-sleeve" && f.Verdict == tables.Fail && (code != "ipc-2021" || f.Citation.Section() == "305.3") {
				found++
			}
		}
		if found != 2 {
			t.Errorf("%s: %d of a trap by %s and a sleeve", code, found, want)
		}
	}
}

// TestArmDecidedByTrap: under a code that leaves trap arms out of the loads of drains,
// the trap decides the arm even where the least pipe would carry the load.
func TestArmDecidedByTrap(t *testing.T) {
	run := Run{Length: 3 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}
	l := mustBuild(t, &Data{FinishedFloor: 100 * units.Foot, Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * units.Foot}, Points: []Point{
		{ID: "V", To: "O", Run: run},
		{ID: "L", To: "V", Run: run, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}},
	}}}, Vents: []Vent{{ID: "v", Kind: VentIndividual, From: "V", Terminal: &Terminal{AboveRoof: units.Foot}, Runs: []VentRun{{Length: 9 * units.Foot, Direction: VentUp}}}}})
	s := mustSize(t, l, mustCode(t, "upc-2021"))
	r, ok := s.Of("L")
	if !ok || r.Decided != DecidedByTrap || r.Required != 5*units.Inch/4 {
		t.Errorf("the arm of a lavatory needs %v, by its %v; want 1-1/4 in, by its trap", r.Required, r.Decided)
	}
}

// TestUnventedFloorDrainsOwn: the drain of a floor drain that does without a vent is 450 mm from its trap to where another
// joins (npc-canada 2.5.1.1): over a coupling, not past a fixture that stands on the line, and not past a tee.
func TestUnventedFloorDrainsOwn(t *testing.T) {
	const mm = units.Millimetre
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	for _, c := range []struct {
		name string
		edit func(l *Data, below *Point)
		want string
	}{
		{"a coupling", func(*Data, *Point) {}, `pass|floor-drain-unvented|F|450 mm|450 mm|0"`},
		{"a fixture on the line", func(_ *Data, below *Point) { below.Fixture = lavatory },
			`fail|floor-drain-unvented|F|250 mm|450 mm|-200 mm`},
		{"a tee", func(l *Data, below *Point) {
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "T", To: "C", Run: below.Run, Fixture: lavatory})
		}, `fail|floor-drain-unvented|F|250 mm|450 mm|-200 mm`},
		{"a trap farther back", func(l *Data, below *Point) { pt(l, "F").Trap.Arm = 10 * mm },
			`pass|floor-drain-unvented|F|460 mm|450 mm|10 mm`},
	} {
		l := mustLayout(t, "jobs/floor-drain-450-mm.json")
		below := Point{ID: "C", To: "A", Run: pt(l, "F").Run}
		below.Run.Length, pt(l, "F").To, pt(l, "F").Run.Length = 200*mm, "C", 250*mm
		c.edit(l, &below)
		l.Systems[0].Points = append(l.Systems[0].Points, below)
		if lines := linesOf(mustCheck(t, mustBuild(t, l), mustCode(t, "npc-canada")), "floor-drain-unvented", "F"); !slices.Contains(lines,
			c.want) {
			t.Errorf("%s: %q, want %q", c.name, lines, c.want)
		}
	}
}
