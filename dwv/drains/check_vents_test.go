package drains

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestVentFindings wants all that is found of a rule at a place, and nothing else. In
// the workshop the take-off of VL lies 29 1/2 in above the floor, on top of the riser
// LT; that of VC 27 1/4 in above it, on the riser CT above an interceptor that drops 2 in; that of VW at the centre of a 3 in
// drain (bore 3.068 in) whose invert lies 31 3/4 in below the floor, 30.216 in below it.
func TestVentFindings(t *testing.T) {
	codes := map[string]*dwv.Code{"ipc": firmCode(t, "ipc-2021"), "upc": firmCode(t, "upc-2021")}
	up := func(x units.Length) VentRun { return VentRun{Length: x, Direction: VentUp} }
	flat := func(x units.Length) VentRun { return VentRun{Length: x, Direction: VentHorizontal} }
	runs := func(id string, list ...VentRun) func(l *Data) { return func(l *Data) { vent(l, id).Runs = list } }
	quarter := slope.PerFoot(in / 4)
	basin := func(l *Data, id, to string, rim units.Length) {
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: id, To: to, Run: Run{Length: ft, Grade: quarter},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, FloodRim: rim})
	}
	// VL and VC join a branch vent that runs flat first and starts at the higher of them.
	branch := func(l *Data) {
		b := Vent{ID: "VB", Kind: VentBranch, Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{flat(ft), up(ft)}}
		l.Vents = append([]Vent{b}, l.Vents...)
		vent(l, "VL").To, vent(l, "VC").To, vent(l, "VC").Terminal = "VB", "VB", nil
		vent(l, "VC").Runs = []VentRun{up(12 * ft)}
	}
	for _, tt := range []struct {
		name, code  string
		edit        func(l *Data)
		rule, place string
		want        string // lines; "" for none
		reason      string // part of what the finding says
	}{
		// 70 in over 99 in is a little flatter than 45 degrees, 99 in over 140 in a little steeper.
		{"flatter than 45 degrees", "ipc", runs("VW", VentRun{Length: 99 * in, Rise: 70 * in, Direction: VentUp}, up(9*ft)),
			"vent-flat", "VW", "ask|vent-flat|VW|-|-|-", `8'-3" long and drawn as going up, rises 5'-10" only`},
		{"steeper than 45 degrees", "ipc", runs("VW", VentRun{Length: 140 * in, Rise: 99 * in, Direction: VentUp}, up(9*ft)),
			"vent-flat", "VW", "", ""},
		{"flat at the very floor", "ipc", runs("VW", up(in*30216/1000), flat(2*ft), up(9*ft)), "vent-flat", "VW",
			`fail|vent-flat|VW|-2'-7"|6"|-3'-1"`, "flood rim"},
		{"flat below the floor", "ipc", runs("VW", up(in*29216/1000), flat(2*ft), up(9*ft)), "vent-flat", "VW",
			`fail|vent-flat|VW|-2'-8"|6"|-3'-2"`, `A flat run of vent VW, 2'-0" long, starts 1" below the floor`},
		{"no flood rim", "ipc", func(l *Data) { pt(l, "LA").FloodRim = 0 }, "vent-flat", "VL", "ask|vent-flat|VL|-|-|-",
			`flat 6'-5 1/2" above the floor`},
		{"the higher rim of two", "ipc", func(l *Data) { basin(l, "LB", "LT", 40*in) }, "vent-flat", "VL",
			`pass|vent-flat|VL|3'-1 1/2"|6"|2'-7 1/2"`, "flood rim"},
		{"the higher rim of three", "ipc", func(l *Data) { basin(l, "LB", "LT", 20*in); basin(l, "LC", "LT", 0) },
			"vent-flat", "VL", `pass|vent-flat|VL|3'-10 1/2"|6"|3'-4 1/2"`, "flood rim"},
		{"the higher rim of a vent that joins", "ipc", runs("VW", up(in*60216/1000), flat(2*ft), up(9*ft)), "vent-flat",
			"VW", `fail|vent-flat|VW|-1"|6"|-7"`, "flood rim"},
		{"the higher rim of its own", "ipc", func(l *Data) {
			runs("VW", up(in*60216/1000), flat(2*ft), up(9*ft))(l)
			pt(l, "WC").FloodRim = 32 * in
		}, "vent-flat", "VW", `fail|vent-flat|VW|-2"|6"|-8"`, "flood rim"},
		{"from the higher of those that join", "ipc", branch, "vent-flat", "VB",
			`pass|vent-flat|VB|11'-3 1/4"|6"|10'-9 1/4"`, "flood rim"},
		// What drains past the take-off of a relief vent would fill it: the lavatory, whose rim stands at 31 in. S3 needs
		// 2 in (bore 2.067), so that VR starts 97 ft 6.5335 in up; it runs flat at 103 ft 6 in, 11 in above the rim.
		{"the rim of what drains past a relief vent", "ipc", func(l *Data) {
			l.Vents = append(l.Vents, Vent{ID: "VR", Kind: VentRelief, From: "S3", To: "VW",
				Runs: []VentRun{up(in * 714665 / 10000), flat(ft), up(9 * ft)}})
		}, "vent-flat", "VR", `pass|vent-flat|VR|11"|6"|5"`, "flood rim"},
		// VW ends at 113 ft 5.784 in; VL, which starts at 102 ft 5.5 in, may end 6 in higher and still be meant to meet
		// it: 11 ft 6.284 in up. It joins 11 ft 4.784 in above its own rim, at 31 in; that of the closet is at 15 in.
		{"as high over the end of the vent joined as may be", "ipc", runs("VL", up(11*ft+in*6284/1000), flat(6*ft)), "vent-join",
			"VL", `pass|vent-join|VL|11'-4.784"|6"|10'-10.784"`, "flood rims"},
		{"higher", "ipc", runs("VL", up(11*ft+in*6285/1000), flat(6*ft)), "vent-join", "VL", "ask|vent-join|VL|-|-|-",
			`end 13'-11.785" above the floor`},
		{"roof not given", "ipc", func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 0 }, "vent-terminal", "VW",
			"ask|vent-terminal|VW|-|-|-", "how far vent VW stands above the roof"},

		// UPC 2021 904.1: as much section as the drain required, here of 4 in for its load.
		// What is drawn larger, or kept up to a main cleanout, asks for no more vent: 3 in
		// do for the closet.
		{"a larger drain than required", "upc", func(l *Data) { twoInch(l); pt(l, "S1").Reserved = 0 }, "vent-open",
			"the layout", "pass|vent-open|the layout|-|-|-", `have 177 % of the section of the largest drain required, 3"; at least 100 %`},
		{"four of 2 in", "upc", func(l *Data) { twoInch(l); vent(l, "VL").Size = 2 * in }, "vent-open", "the layout",
			"pass|vent-open|the layout|-|-|-", `have 100 % of the section of the largest drain required, 4"; at least 100 %`},
		{"three of 2 in and one of 1-1/2 in", "upc", func(l *Data) { twoInch(l); vent(l, "VL").Size = in * 3 / 2 },
			"vent-open", "the layout", "fail|vent-open|the layout|-|-|-", "have 89 %"},
		{"only vents to the air count", "upc", func(l *Data) {
			twoInch(l)
			vent(l, "VL").Size, vent(l, "VL").To, vent(l, "VL").Terminal = 2*in, "VW", nil
		}, "vent-open", "the layout", "fail|vent-open|the layout|-|-|-", "have 75 %"},
		{"no vent to the air for the first system", "upc", func(l *Data) { fourInch(l); l.Vents = l.Vents[2:] }, "vent-open",
			"the layout", "fail|vent-open|the layout|-|-|-", "have 28 %"},

		{"two that are of no bathroom", "ipc", func(l *Data) {
			vent(l, "VW").Kind, vent(l, "VW").Through = VentWet, "S2"
			*pt(l, "WC").Fixture = tables.Fixture{Kind: "kitchen-sink", Count: 1}
			for _, id := range []string{"KA", "KB"} {
				basin(l, id, "WV", 0)
				pt(l, id).Fixture = &tables.Fixture{Kind: map[string]string{"KA": "drinking-fountain", "KB": "lavatory"}[id],
					Count: 1, Use: tables.Private}
			}
		}, "wet-vent-fixtures", "VW", "fail|wet-vent-fixtures|VW|-|-|-", "The drinking fountain at KA drains"},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{})
			var want []string
			if tt.want != "" {
				want = []string{tt.want}
			}
			if diff := gocmp.Diff(want, linesOf(got, tt.rule, tt.place)); diff != "" {
				t.Errorf("%s at %s (-want +got):\n%s", tt.rule, tt.place, diff)
			} else if want != nil {
				if r := reasonOf(t, got, tt.rule, tt.place); !strings.Contains(r, tt.reason) {
					t.Errorf("%q does not say %q", r, tt.reason)
				}
			}
		})
	}
}

// twoInch lets all vents of the workshop end in the air, of 2 in, and its drain need 4.
func twoInch(l *Data) {
	fourInch(l)
	for i := range l.Vents {
		l.Vents[i].To, l.Vents[i].Terminal, l.Vents[i].Size = "", &Terminal{AboveRoof: ft}, 2*in
	}
}

// tower is a stack of so many stories of 9 ft, with a lavatory on each: as many branch
// intervals. Its runs are T1 at the foot, T2 above it and so on; D is the drain.
func tower(stories int) *Data {
	quarter := slope.PerFoot(in / 4)
	sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "SO", Kind: ToSewer, Invert: 90 * ft, Size: 4 * in}}
	sys.Points = append(sys.Points, Point{ID: "D", To: "SO",
		Run: Run{Length: 10 * ft, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}})
	to := "D"
	l := &Data{FinishedFloor: 100 * ft}
	for k := 1; k <= stories; k++ {
		id := fmt.Sprintf("T%d", k)
		sys.Points = append(sys.Points,
			Point{ID: id, To: to, Run: Run{Length: 9 * ft, Vertical: true, Size: 4 * in, Material: "pvc-dwv"}},
			Point{ID: "L" + id, To: id, Run: Run{Length: 2 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv"},
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		to = id
	}
	l.Systems = []System{sys}
	return l
}

// IPC 2021 904.2 and 908.1: from five branch intervals on a vent stack, in stacks of
// more than ten a relief vent at every tenth.
func TestStackVents(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\nset,vent-stack-intervals,5,count,2,town,read\n")
	add := func(l *Data, kind VentKind, from ...string) {
		for _, f := range from {
			l.Vents = append(l.Vents, Vent{ID: "V" + f, Kind: kind, From: f,
				Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}})
		}
	}
	tests := []struct {
		name    string
		stories int
		edit    func(l *Data)
		want    string
	}{
		{"four", 4, func(*Data) {}, "none of vent-stack-needed"},
		{"five", 5, func(*Data) {}, "fail|vent-stack-needed|T1|0|1|-1"},
		{"a vent stack from the foot", 5, func(l *Data) { add(l, VentStack, "T1") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a vent stack from higher up", 5, func(l *Data) { add(l, VentStack, "T2") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a vent stack from the drain", 5, func(l *Data) { add(l, VentStack, "D") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a stack vent is none", 5, func(l *Data) { add(l, VentStackVent, "T5") }, "fail|vent-stack-needed|T1|0|1|-1"},
		{"the foot alone is told", 11, func(*Data) {}, "nothing of vent-stack-needed at T2"},
		{"on the outlet itself", 5, func(l *Data) {
			pt(l, "T1").To = "SO"
			l.Systems[0].Points = l.Systems[0].Points[1:]
		}, "fail|vent-stack-needed|T1|0|1|-1"},
		{"ten", 10, func(l *Data) { add(l, VentStack, "T1") }, "nothing of stack-relief at T1"},
		{"eleven", 11, func(l *Data) { add(l, VentStack, "T1") }, "fail|stack-relief|T1|0|1|-1"},
		{"eleven, relieved", 11, func(l *Data) { add(l, VentRelief, "T2") }, "pass|stack-relief|T1|1|1|0"},
		{"twenty", 20, func(l *Data) { add(l, VentRelief, "T12") }, "pass|stack-relief|T1|1|1|0"},
		{"twenty-one", 21, func(l *Data) { add(l, VentRelief, "T12") }, "fail|stack-relief|T1|1|2|-1"},
		{"twenty-one, relieved twice", 21, func(l *Data) { add(l, VentRelief, "T2", "T12") }, "pass|stack-relief|T1|2|2|0"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := tower(tt.stories)
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), code, CheckOptions{}), tt.want)
		})
	}
	// A town that asks for relief at every no interval, or at every half of one, asks for none.
	for _, every := range [...]string{"0", "0.5"} {
		never := amendedCode(t, "ipc-2021", "set,stack-relief-intervals,"+every+",count,1,town,read\n")
		wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), never), "nothing of stack-relief at T1")
	}
	// The height of a branch interval is recalled, so both are questions.
	wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), mustCode(t, "ipc-2021")), "ask|stack-relief|T1|0|1|-1")
	wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), mustCode(t, "upc-2021")), "none of vent-stack-needed")
}

// dryTop is twelve closets that drain into a stack K of 4 in; above it stands a piece of pipe
// TOP that nothing drains into, from which the stack vent goes on.
func dryTop(top units.Length) *Data {
	closet := &tables.Fixture{Kind: "water-closet", Count: 6, Use: tables.Public, Control: tables.Tank,
		Flush: 1.6 * units.USGallon}
	l := straight(Point{ID: "FT", Run: Run{Length: 6 * ft}}, Point{ID: "K", Run: Run{Length: 11 * ft}},
		Point{ID: "C0", Run: Run{Length: 3 * ft}, Fixture: closet})
	p := &l.Systems[0].Points
	*p = append(*p, Point{ID: "C1", To: "K", Run: Run{Length: 4 * ft, Size: 3 * in, Grade: (*p)[0].Run.Grade},
		Fixture: closet},
		Point{ID: "TOP", To: "K", Run: Run{Length: 8 * ft, Size: top, Vertical: true}})
	for i := range *p {
		(*p)[i].Run.Size = 4 * in
	}
	(*p)[4].Run.Size = top
	(*p)[1].Run = Run{Length: 11 * ft, Size: 4 * in, Vertical: true}
	l.Vents = []Vent{{ID: "SV", Kind: VentStackVent, From: "TOP", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}}}
	return l
}

// TestDryTop: what nothing drains into is part of the stack vent. The vent is 12 ft and
// 8 ft long, serves the 4 in stack and its 48 units, and is at least half of that, 2 in
// (IPC 2021 906.1, 906.2); the dry pipe below it is as large. Where a fixture
// drains in at the top it is a stack, and the vent begins there; it serves the whole stack all
// the same.
func TestDryTop(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	s := mustSize(t, dryTop(0), code)
	v := s.Vents()[0]
	if v.Length != 20*ft || v.Drain != 4*in || v.Load != 48*dwv.FixtureUnit || v.Required != 2*in {
		t.Errorf("the stack vent: %+v", v)
	}
	if r, _ := s.Of("TOP"); r.Size != 2*in || r.Decided == DecidedByVenting { // it needs as much by the foot of the stack
		t.Errorf("the dry top: %+v", r)
	}
	for size, want := range map[units.Length]tables.Verdict{3 * in / 2: tables.Fail, 2 * in: tables.Pass,
		3 * in: tables.Pass} {
		got := tables.Verdict(0)
		for _, f := range checkAllWays(t, dryTop(size), code, CheckOptions{}) {
			if f.Rule == "drain-size" && f.Place == "TOP" && f.Verdict != tables.Pass {
				got = f.Verdict
			}
		}
		if want == tables.Fail && got != want || want == tables.Pass && got != 0 {
			t.Errorf("a dry top drawn %v: %v", size, got)
		}
	}
	l := dryTop(0)
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "L", To: "TOP", Run: pt(l, "C0").Run, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1,
			Use: tables.Public}})
	if v := mustSize(t, l, code).Vents()[0]; v.Length != 12*ft || v.Load != 49*dwv.FixtureUnit {
		t.Errorf("a lavatory at the top: %+v", v)
	}
	// The vent of C1 takes off at the level of K, where the dry pipe begins, and joins 4 ft up it: in the stack vent.
	l = dryTop(0)
	l.Vents = append(l.Vents, Vent{ID: "VC", Kind: VentIndividual, From: "C1", To: "SV",
		Runs: []VentRun{{Length: 4 * ft, Direction: VentUp}, {Length: 2 * ft, Direction: VentHorizontal}}})
	wantFinding(t, checkAllWays(t, mustBuild(t, l), code, CheckOptions{}), "nothing of vent-join at VC")
	// For two lavatories a stack vent of 1-1/4 in does, the least there is. The dry pipe needs more as the top of a stack
	// that may not shrink to less than half (Table 710.1(2) note b), and the vent makes it no smaller.
	l = dryTop(0)
	for _, id := range []string{"C0", "C1"} {
		pt(l, id).Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
	}
	pt(l, "K").Run.Size = 2 * in
	s = mustSize(t, l, code)
	top, _ := s.Of("TOP")
	if v := s.Vents()[0].Required; v != in*5/4 || top.Required != 2*in || top.Decided == DecidedByVenting {
		t.Errorf("a vent of %v on a dry top: %+v", v, top)
	}
	// The dry pipe is vent of whatever kind stands on it: 8 ft and 12 ft.
	l = dryTop(0)
	l.Vents[0].Kind = VentStack
	if v := mustSize(t, l, code).Vents()[0]; v.Length != 20*ft {
		t.Errorf("no stack vent: %+v", v)
	}
}

// TestVentsNearTheHead: AS/NZS 3500.2 has a drain vented within 10 m of its head, by 50 mm to 30 units and by 65 mm from
// there on. Seven closets are 28 units of 4 each. What reaches the open air through a vent that stands first in the list
// counts as much as what ends there itself.
func TestVentsNearTheHead(t *testing.T) {
	code := mustCode(t, "asnzs3500-2")
	l := mustLayout(t, "jobs/drain-vent-of-a-large-drain.json", code)
	pt(l, "W").Fixture.Count = 7
	for load, want := range map[dwv.FixtureUnits]bool{30 * dwv.FixtureUnit: true, 30_001 * dwv.FixtureUnit / 1000: false} {
		pt(l, "W").Reserved = load - 28*dwv.FixtureUnit
		passes := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			passes = passes || f.Rule == ruleDrainVent && (f.Verdict == tables.Pass || f.IfConfirmed == tables.Pass)
		}
		if passes != want {
			t.Errorf("50 mm for %v: passes %v", load, passes)
		}
	}
	l = mustLayout(t, "jobs/drain-vent-10-m-from-head.json", code)
	open := *vent(l, "V")
	open.ID, open.From, open.Kind = "Z", "", VentBranch
	vent(l, "V").To, vent(l, "V").Terminal = "Z", nil
	l.Vents = append([]Vent{open}, l.Vents...)
	for _, f := range mustCheck(t, mustBuild(t, l), code) {
		if f.Rule == ruleDrainVent && f.Verdict == tables.Fail {
			t.Error(f)
		}
	}
}

// TestVentByTheJob: a vent is held to the least size that the job asks, and one that has none is not.
func TestVentByTheJob(t *testing.T) {
	for size, want := range map[units.Length]int{0: 0, in * 3 / 2: 1, 2*in - nm: 1, 2 * in: 0} {
		j := &judge{Judge: finding.New(order(), finding.Options{ProblemsOnly: true}), layout: &Data{MinimumVent: 2 * in}}
		if j.ventByJob(&VentSize{Vent: "V", Size: size}); len(j.Findings()) != want {
			t.Errorf("a vent of %v where 2 in is the least: %v", size, j.Findings())
		}
	}
}

// TestMeasured: what was added up is given to the inch above, in inches, where a thousandth is none; in millimetres as
// it is.
func TestMeasured(t *testing.T) {
	for job, want := range map[string][3]units.Length{
		"workshop.json":                       {10 * ft, 10 * ft, 10*ft + in},
		"jobs/drain-vent-10-m-from-head.json": {10 * ft, 10*ft + in/1000, 10*ft + in/1000 + nm},
	} {
		l := mustLayout(t, job)
		j := &judge{layout: l, sizing: &Sizing{metric: l.metric()}}
		for k, l := range [3]units.Length{10 * ft, 10*ft + in/1000, 10*ft + in/1000 + nm} {
			if got := j.measured(l); got != want[k] {
				t.Errorf("%s: %v is given as %v, want %v", job, l, got, want[k])
			}
		}
	}
}

// TestIslandPastTheWall: an island vent that has come up again at the wall is a vent like any other. A foot above where
// it lay below the floor it runs flat, lower than the rim of the sink, 36 in up.
func TestIslandPastTheWall(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/island-9-in-up.json", code)
	wantFinding(t, mustCheck(t, l, code), "nothing of vent-flat at VK")
	runs := &vent(l, "VK").Runs
	*runs = slices.Insert(*runs, 3, VentRun{Length: ft, Direction: VentUp}, VentRun{Length: 2 * ft, Direction: VentHorizontal})
	for _, f := range checkAllWays(t, mustBuild(t, l), code, CheckOptions{}) {
		if f.Rule == "vent-flat" && f.Place == "VK" && f.Verdict == tables.Fail {
			return
		}
	}
	t.Error("a flat run below the rim past the wall goes untold")
}

// TestGroupsWhereUpstreamDecides: the last run lies at 1/2 in per ft, at which 3 in would carry the 48 units of eight
// bathrooms (50), and is of 4 in for the run before it. As groups they make 40 units, and 3 in do for both (IPC 2021 Table
// 710.1(1)): half of that is 1-1/2 in, which the vents are.
func TestGroupsWhereUpstreamDecides(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/bathrooms-eight-vents-of-1-1-2.json", code)
	pt(l, "EX").Run.Grade, pt(l, "EX").Cleanout.Main = slope.PerFoot(in/2), false
	s := mustSize(t, mustBuild(t, l), code)
	if r, _ := s.Of("EX"); r.Required != 4*in || r.Decided != DecidedByUpstream {
		t.Errorf("the last run: %+v", r)
	}
	wantFinding(t, mustCheck(t, l, code), "ask|vent-open|the layout|-|-|-|As bathroom groups they need 3")
}
