package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// circuitRow is four closets in a row on a branch, B1 to B4, which enters a stack at
// ST by way of B5; a lavatory drains into the stack from the floor above.
func circuitRow() *Data {
	quarter := slope.PerFoot(in / 4)
	flat := func(id, to string) Point {
		return Point{ID: id, To: to, Run: Run{Length: 3 * ft, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}}
	}
	up := func(id, to string) Point {
		return Point{ID: id, To: to, Run: Run{Length: 9 * ft, Vertical: true, Size: 4 * in, Material: "pvc-dwv"}}
	}
	l := &Data{FinishedFloor: 100 * ft, Systems: []System{{
		ID: "soil", Kind: Soil, Outlet: Outlet{ID: "SO", Kind: ToSewer, Invert: 90 * ft, Size: 4 * in},
		Points: []Point{up("ST", "SO"), up("ST2", "ST"), flat("UB", "ST2"), flat("B5", "ST"), flat("B4", "B5"), flat("B3", "B4"), flat("B2", "B3"), flat("B1", "B2")},
	}}}
	sys := &l.Systems[0]
	for _, n := range []string{"1", "2", "3", "4"} {
		p := flat("WC"+n, "B"+n)
		p.Fixture = &tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Public, Control: tables.Valve, Flush: 1.6 * units.USGallon}
		sys.Points = append(sys.Points, p)
	}
	pt(l, "UB").Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
	rise := []VentRun{{Length: 12 * ft, Direction: VentUp}}
	l.Vents = []Vent{
		{ID: "RV", Kind: VentRelief, From: "B5", To: "CV", Runs: rise},
		{ID: "CV", Kind: VentCircuit, From: "B1", Through: "B4", Runs: rise, Terminal: &Terminal{AboveRoof: ft}},
		{ID: "UV", Kind: VentIndividual, From: "UB", To: "CV", Runs: rise},
	}
	return l
}

// IPC 2021 914: eight fixtures, the take-off between the two fixture drains farthest
// upstream, a relief vent from four closets on where the stack takes waste from above,
// and 4 dfu into it at most.
func TestCircuitVents(t *testing.T) {
	lav := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
	wet := func(l *Data, to string, vertical bool, f *tables.Fixture) {
		p := Point{ID: "RW", To: to, Run: Run{Length: 2 * ft, Vertical: vertical, Size: 3 * in}, Fixture: f}
		if !vertical {
			p.Run.Grade = slope.PerFoot(in / 4)
		}
		l.Systems[0].Points = append(l.Systems[0].Points, p)
		vent(l, "RV").From = "RW"
	}
	tests := []struct {
		name string
		edit func(l *Data)
		want string
	}{
		{"between the first two", func(*Data) {}, "pass|circuit-vent-take-off|CV|1|1|0"},
		{"at the second", func(l *Data) { vent(l, "CV").From = "B2" }, "fail|circuit-vent-take-off|CV|2|1|-1"},
		{"at the last", func(l *Data) { vent(l, "CV").From = "B4" }, "fail|circuit-vent-take-off|CV|4|1|-3"},
		{"at the dead end", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "B0", To: "B1", Run: pt(l, "B1").Run})
			vent(l, "CV").From = "B0"
		}, "fail|circuit-vent-take-off|CV|0|1|1"},
		{"two drawn as one", func(l *Data) { pt(l, "WC1").Fixture = &tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Public} }, "ask|circuit-vent-take-off|CV|-|-|-"},
		{"one kept for later comes first", func(l *Data) { pt(l, "WC1").Fixture = nil; pt(l, "WC1").Reserved = dwv.FixtureUnit }, "pass|circuit-vent-take-off|CV|1|1|0"},
		{"only one fixture", func(l *Data) {
			for _, id := range []string{"WC2", "WC3", "WC4"} {
				pt(l, id).Fixture = nil
			}
		}, "ask|circuit-vent-take-off|CV|-|-|-"},
		{"another circuit vent upstream", func(l *Data) {
			vent(l, "CV").Through = "B2"
			l.Vents = append(l.Vents, Vent{ID: "C2", Kind: VentCircuit, From: "B3", Through: "B4", To: "CV", Runs: vent(l, "CV").Runs})
		}, "pass|circuit-vent-take-off|C2|1|1|0"},

		{"relieved", func(*Data) {}, "pass|circuit-vent-relief|CV|4|-|-"},
		{"relieved at the last fixture", func(l *Data) { vent(l, "RV").From = "B4" }, "pass|circuit-vent-relief|CV|4|-|-"},
		{"a vent on the branch takes no waste", func(l *Data) { vent(l, "RV").From = "B4" }, "nothing of circuit-relief-load at RV"},
		{"relieved too far upstream", func(l *Data) { vent(l, "RV").From = "B3" }, "fail|circuit-vent-relief|CV|4|-|-"},
		{"relieved below the stack's foot", func(l *Data) { vent(l, "RV").From = "ST" }, "fail|circuit-vent-relief|CV|4|-|-"},
		{"no relief vent", func(l *Data) { vent(l, "RV").Kind = VentIndividual }, "fail|circuit-vent-relief|CV|4|-|-"},
		{"three closets", func(l *Data) { vent(l, "RV").Kind = VentIndividual; pt(l, "WC4").Fixture = lav }, "none of circuit-vent-relief"},
		{"two closets at one point", func(l *Data) {
			vent(l, "RV").Kind = VentIndividual
			pt(l, "WC4").Fixture = lav
			pt(l, "WC2").Fixture.Count = 2
		}, "fail|circuit-vent-relief|CV|4|-|-"},
		{"nothing from above", func(l *Data) { vent(l, "RV").Kind = VentIndividual; pt(l, "UB").Fixture = nil }, "none of circuit-vent-relief"},
		{"into a drain, not a stack", func(l *Data) {
			vent(l, "RV").Kind = VentIndividual
			pt(l, "ST").Run.Vertical = false
			pt(l, "ST").Run.Grade = slope.PerFoot(in / 4)
		}, "none of circuit-vent-relief"},
		{"by a riser with a lavatory", func(l *Data) { wet(l, "B5", true, lav) }, "pass|circuit-vent-relief|CV|4|-|-"},
		{"by a riser at the last fixture", func(l *Data) { wet(l, "B4", true, lav) }, "pass|circuit-relief-load|RV|1 dfu|4 dfu|3 dfu"},
		{"by a branch", func(l *Data) { wet(l, "B5", false, lav) }, "pass|circuit-relief-load|RV|1 dfu|4 dfu|3 dfu"},
		{"by a branch at the last fixture", func(l *Data) { wet(l, "B4", false, lav) }, "fail|circuit-vent-relief|CV|4|-|-"},
		{"by a dry vent and a wet one", func(l *Data) {
			wet(l, "B5", true, &tables.Fixture{Kind: "lavatory", Count: 5, Use: tables.Public})
			l.Vents = append(l.Vents, Vent{ID: "ZV", Kind: VentRelief, From: "B5", To: "CV", Runs: vent(l, "CV").Runs})
		}, "none of circuit-relief-load"},
		{"by two dry vents at one point", func(l *Data) {
			l.Vents = append(l.Vents, Vent{ID: "RA", Kind: VentRelief, From: "B5", To: "CV", Runs: vent(l, "CV").Runs})
		}, `pass|circuit-vent-relief|CV|4|-|-|relieved by vent RA`},
		{"by two wet vents at one point", func(l *Data) {
			wet(l, "B5", true, &tables.Fixture{Kind: "lavatory", Count: 4, Use: tables.Public})
			other := *pt(l, "RW")
			other.ID, other.Fixture = "RX", &tables.Fixture{Kind: "lavatory", Count: 2, Use: tables.Public}
			l.Systems[0].Points = append(l.Systems[0].Points, other)
			l.Vents = append(l.Vents, Vent{ID: "RA", Kind: VentRelief, From: "RX", To: "CV", Runs: vent(l, "CV").Runs})
		}, "pass|circuit-relief-load|RA|2 dfu|4 dfu|2 dfu"},
		{"four units into it", func(l *Data) { wet(l, "B5", true, &tables.Fixture{Kind: "lavatory", Count: 4, Use: tables.Public}) }, "pass|circuit-relief-load|RV|4 dfu|4 dfu|0 dfu"},
		{"five units into it", func(l *Data) { wet(l, "B5", true, &tables.Fixture{Kind: "lavatory", Count: 5, Use: tables.Public}) }, "fail|circuit-relief-load|RV|5 dfu|4 dfu|-1 dfu"},
	}
	seen := amendedCode(t, "ipc-2021", "set,circuit-vent-take-off,yes,,4,town,read\n")
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := circuitRow()
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), seen, CheckOptions{}), tt.want)
		})
	}
}

// Where the rule is only recalled, right and wrong are both questions; a code without
// the rules says nothing.
func TestCircuitVentsRecalled(t *testing.T) {
	l := mustBuild(t, circuitRow())
	wantFinding(t, mustCheck(t, l, mustCode(t, "ipc-2021")), "ask|circuit-vent-take-off|CV|1|1|0")
	wantFinding(t, mustCheck(t, l, mustCode(t, "upc-2021")), "ask|circuit-vent-relief|CV|4|-|-")
	for _, f := range mustCheck(t, l, amendedCode(t, "ipc-2021", "drop,circuit-relief-closets,,,,,\ndrop,circuit-vent-take-off,,,,,\n")) {
		if (f.Rule == "circuit-vent-take-off" || f.Rule == "circuit-vent-relief") && !strings.Contains(f.Reason, "drops the row") {
			t.Errorf("found %v", f)
		}
	}
	// Canada asks for the relief vent whatever the closets and the stack, and takes 6
	// units into it (2.5.3.1.3 and 4).
	canada := mustCode(t, "npc-canada")
	for _, tt := range []struct {
		edit func(*Data)
		want string
	}{
		{func(*Data) {}, "pass|circuit-vent-relief|CV|4|-|-"},
		{func(l *Data) { vent(l, "RV").Kind = VentIndividual; pt(l, "WC4").Fixture = nil }, "fail|circuit-vent-relief|CV|3|-|-"},
		{func(l *Data) { vent(l, "RV").Kind = VentIndividual; pt(l, "UB").Fixture = nil }, "fail|circuit-vent-relief|CV|4|-|-"},
		{func(l *Data) {
			vent(l, "RV").Kind = VentIndividual
			pt(l, "ST").Run.Vertical = false
			pt(l, "ST").Run.Grade = slope.PerFoot(in / 4)
		}, "fail|circuit-vent-relief|CV|4|-|-"},
	} {
		l := circuitRow()
		if f := pt(l, "UB").Fixture; f != nil {
			f.Size = in * 5 / 4
		}
		tt.edit(l)
		wantFinding(t, checkAllWays(t, mustBuild(t, l), canada, CheckOptions{}), tt.want)
	}
	problems, err := checkOf(l, mustCode(t, "ipc-2021"), CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range problems {
		if f.Verdict == tables.Pass || f.Rule == "circuit-vent-relief" {
			t.Errorf("a pass among the problems: %v", f)
		}
	}
}
