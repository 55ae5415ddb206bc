package drains

import (
	"fmt"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// stack is a drain D with the parts of a stack of 9 ft each on it, from the foot up, and a lavatory LV beside S2, where that
// is no top.
func stack(parts ...string) *Data {
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}})
	points, to := &l.Systems[0].Points, "D"
	for _, id := range parts {
		*points = append(*points, Point{ID: id, To: to, Run: Run{Length: 9 * ft, Vertical: true, Size: 3 * in}})
		to = id
	}
	lv := lavatory("LV", Run{Length: 3 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}, nil)
	lv.To = "S2"
	*points = append(*points, lv)
	return l
}

// TestUnderDryTop: what stands over the lavatory at S2 is vent, though drawn as drain; what something drains into,
// stands on or that lies flat is drain.
func TestUnderDryTop(t *testing.T) {
	for _, c := range []struct {
		name string
		from string
		edit func(l *Data)
		want string
	}{
		{"under a piece of pipe", "S3", func(*Data) {}, "S3"}, {"two dry pieces", "S4", func(*Data) {}, "S2"},
		{"in the stack", "S2", func(*Data) {}, "S2"},
		{"a fixture on it", "S4", func(l *Data) { pt(l, "S4").Fixture = pt(l, "LV").Fixture }, "S4"},
		{"a fixture on the next", "S4", func(l *Data) { pt(l, "S3").Fixture = pt(l, "LV").Fixture }, "S3"},
		{"a flat piece", "S4", func(l *Data) { pt(l, "S4").Run.Vertical, pt(l, "S4").Run.Grade = false, slope.PerFoot(in/4) }, "S4"},
		{"a branch into it", "S4", func(l *Data) { pt(l, "LV").To = "S4" }, "S4"},
		{"one branch into the next", "S4", func(l *Data) { pt(l, "LV").To = "S3" }, "S3"},
		{"nothing drains in", "S4", func(l *Data) { pt(l, "LV").To = "D" }, "S1"},
	} {
		l := stack("S1", "S2", "S3", "S4")
		c.edit(l)
		tree := mustIndex(t, l)
		if got := tree.point(tree.underDryTop(tree.index[c.from], true)).ID; got != c.want {
			t.Errorf("%s: from %s to %s, want %s", c.name, c.from, got, c.want)
		}
	}
}

// TestPastStacks: by the UPC a vent is measured to the air. V, 6 ft long, ends in the stack at S2; from there 9 ft of
// S3 lead up to the stack vent of 5 ft: 20 ft in all. W, 2 ft long, joins V 4 ft along and goes on 2 ft and those 14:
// 18 ft. Where no stack vent is drawn nothing is added.
func TestPastStacks(t *testing.T) {
	for vented, want := range map[bool][2]units.Length{true: {20 * ft, 18 * ft}, false: {6 * ft, 4 * ft}} {
		l := stack("S1", "S2", "S3")
		second := *pt(l, "LV")
		second.ID = "LW"
		l.Systems[0].Points = append(l.Systems[0].Points, second)
		l.Vents = []Vent{
			{ID: "V", Kind: VentIndividual, From: "LV", To: "S2", Runs: []VentRun{{Length: 6 * ft, Direction: VentUp}}},
			{ID: "W", Kind: VentIndividual, From: "LW", To: "V", At: &VentJoin{Station: new(4 * ft)},
				Runs: []VentRun{{Length: 2 * ft, Direction: VentHorizontal}}},
		}
		if vented {
			l.Vents = append(l.Vents, Vent{ID: "SV", Kind: VentStackVent, From: "S3", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 5 * ft, Direction: VentUp}}})
		}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "upc-2021"))
		for k, id := range []string{"V", "W"} {
			if v, _ := s.Vent(id); v.Length != want[k] {
				t.Errorf("stack vent %v: %s is %v long, want %v", vented, id, v.Length, want[k])
			}
		}
	}
}

// TestJoinPlaces: a vent joins another at a station along it, up to its end, or at a height: 10 ft over the floor at
// 100 ft are 12 ft along one that starts at 98 ft and rises.
func TestJoinPlaces(t *testing.T) {
	for station, ok := range map[units.Length]bool{20 * ft: true, 20*ft + nm: false} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, nil), lavatory("B", Run{Length: 9 * ft}, nil))
		l.Vents = []Vent{upright("V", "A", VentIndividual), upright("W", "B", VentIndividual)}
		l.Vents[1].To, l.Vents[1].Terminal, l.Vents[1].At = "V", nil, &VentJoin{Station: &station}
		if err := buildErr(l); (err == nil) != ok {
			t.Errorf("%v along 20 ft: %v", station, err)
		}
		if !ok {
			continue
		}
		l.Vents[1].At = &VentJoin{Height: 10 * ft}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		h := ventHeights{start: []units.Length{98 * ft, 98 * ft}, end: []units.Length{118 * ft, 103 * ft}}
		if got := s.ventStation(1, h); got != 12*ft {
			t.Errorf("10 ft over the floor: %v along", got)
		}
	}
}

// TestStackFoot: of the IPC a stack vent goes by all of its stack, down through an offset to its foot; a stack on a
// branch of another ends at that branch.
func TestStackFoot(t *testing.T) {
	l := stack("S1", "S2")
	quarter := slope.PerFoot(in / 4)
	above := func(id, to string, run Run) Point { return Point{ID: id, To: to, Run: run, AboveFloor: true} }
	lv := lavatory("LT", Run{Length: 3 * ft, Grade: quarter, Size: 2 * in}, nil)
	lv.To, lv.AboveFloor = "T", true
	l.Systems[0].Points = append(l.Systems[0].Points, above("OF", "S1", Run{Length: 3 * ft, Grade: quarter, Size: 3 * in}),
		above("B", "S1", Run{Length: 3 * ft, Grade: quarter, Size: 3 * in}),
		above("T", "B", Run{Length: 4 * ft, Vertical: true, Size: 3 * in}), lv)
	pt(l, "S2").To, pt(l, "S2").AboveFloor, pt(l, "LV").AboveFloor = "OF", true, true
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	for from, want := range map[string]string{"S2": "S1", "S1": "S1", "T": "T"} {
		if got := s.id(s.stackFoot(s.tree.index[from])); got != want {
			t.Errorf("the foot of %s is %s, want %s", from, got, want)
		}
	}
}

// TestFirstUncounted: of what vents serve that the code rates not at all a vent names the first by its id, of its own
// or of those that join it.
func TestFirstUncounted(t *testing.T) {
	for _, c := range [][2]string{{"CBA", "A"}, {"ABC", "A"}, {"BAC", "A"}, {"-BA", "A"}, {"-AB", "A"}, {"B-A", "A"}, {"BA-", "A"},
		{"--A", "A"}, {"A--", "A"}, {"---", ""}} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}})
		for k, id := range strings.Split(c[0], "") {
			p := lavatory(id, Run{Length: 3 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}, nil)
			if p.To = "D"; id == "-" {
				p.ID = fmt.Sprint("L", k)
			} else {
				p.Fixture.Kind = "thing"
			}
			l.Systems[0].Points = append(l.Systems[0].Points, p)
			v := upright(fmt.Sprint("V", k), p.ID, VentIndividual)
			if k < 2 {
				v.To, v.Terminal = "V2", nil
			}
			l.Vents = append(l.Vents, v)
		}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		if got := s.vents[2].short; got != c[1] {
			t.Errorf("%s: %q, want %q", c[0], got, c[1])
		}
	}
}

// TestReliefAlone: a relief vent has the rims of what drains past it, 32 in over the floor, also where another relief
// vent farther up serves that, and there is no vent of another kind.
func TestReliefAlone(t *testing.T) {
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "E", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil))
	pt(l, "A").FloodRim = 32 * in
	l.Vents = []Vent{upright("V", "D", VentRelief), upright("W", "E", VentRelief)}
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	if rims := s.vents[0].rims; !rims.known() || rims.highest != 100*ft+32*in {
		t.Errorf("%+v", rims)
	}
}

// TestHeaderOfStacks: of the IPC a header is sized by all that drains into the stacks whose vents it gathers. S2
// carries the lavatory LV, T2 a second one: 2 dfu, whatever vents come before or after. What joins a stack vent drawn
// without a take-off is not counted twice, and the drain that the header itself takes off is no stack.
func TestHeaderOfStacks(t *testing.T) {
	l := stack("S1", "S2")
	lv := *pt(l, "LV")
	lv.ID, lv.To = "LT", "T2"
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "T1", To: "D", Run: Run{Length: 9 * ft, Vertical: true, Size: 3 * in}},
		Point{ID: "T2", To: "T1", Run: Run{Length: 9 * ft, Vertical: true, Size: 3 * in}}, lv)
	joins := func(id, from, to string, kind VentKind) Vent {
		return Vent{ID: id, Kind: kind, From: from, To: to, Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}
	}
	header := joins("H", "D", "G", VentBranch)
	l.Vents = []Vent{upright("V0", "LV", VentIndividual), joins("SV", "S2", "H", VentStackVent), joins("TV", "T2", "H", VentStackVent),
		header, joins("G", "", "", VentBranch), joins("N", "", "H", VentStackVent), joins("VN", "LT", "N", VentIndividual),
		upright("V9", "LV", VentRelief)}
	l.Vents[4].Terminal = &Terminal{AboveRoof: ft}
	code := mustCode(t, "ipc-2021")
	one := mustSize(t, mustBuild(t, l), code)
	each, _ := one.Of("LV")
	for id, want := range map[string]dwv.FixtureUnits{"SV": 1, "TV": 1, "N": 1, "H": 3, "G": 3} {
		want *= each.Load
		if v, _ := one.Vent(id); v.Load != want || v.Err != nil {
			t.Errorf("%s carries %v, want %v; %v", id, v.Load, want, v.Err)
		}
	}
}

// TestWasteStackVentDecided: the vent of a waste stack of 2 in keeps that (IPC 913.4). By Table 906.1 one of up to 12 dfu may be
// 1-1/4 in to 30 ft and 1-1/2 to 75: of 14 ft the rule decides, of 100 ft the table asks for 2 in itself.
func TestWasteStackVentDecided(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, c := range []struct {
		long   units.Length
		byRule bool
	}{{14 * ft, true}, {100 * ft, false}} {
		l := mustLayout(t, "jobs/waste-stack-of-6.json", code)
		vent(l, "WV").Runs[0].Length = c.long
		v, _ := mustSize(t, mustBuild(t, l), code).Vent("WV")
		if v.Required != 2*in || (v.Citation.Row() == "rule "+ruleWasteStackSize) != c.byRule {
			t.Errorf("of %v: %v by %v", c.long, v.Required, v.Citation)
		}
	}
}

// TestOpenThroughAnother: by AS/NZS 3500.2 the main drain wants a vent to the open air: one that joins another leads
// there if that does, and not if that ends in a valve.
func TestOpenThroughAnother(t *testing.T) {
	code := mustCode(t, "asnzs3500-2")
	for valve, open := range map[bool]bool{false: true, true: false} {
		l := mustLayout(t, "jobs/drain-vent-40-mm.json", code)
		v := vent(l, "V")
		other := *v
		other.ID, other.From, other.Kind = "Z", "", VentBranch
		if v.To, v.Terminal = "Z", nil; valve {
			other.Terminal, other.Valve = nil, &VentValve{}
		}
		l.Vents = append(l.Vents, other)
		s := mustSize(t, mustBuild(t, l), code)
		j := &judge{layout: s.layout, tree: s.tree, sizing: s}
		if got := j.largestOpenAbove()[s.tree.index["A"]]; (got == 40*units.Millimetre) != open {
			t.Errorf("valve %v: %v to the open air", valve, got)
		}
	}
}

// TestReliefAsked: where a code asks for no vent stack up to thirty branch intervals, a stack of eleven is asked for
// its relief vent all the same (IPC 908.1), and of one of ten nothing is.
func TestReliefAsked(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\nset,vent-stack-intervals,30,count,2,town,read\n")
	for stories, want := range map[int]string{11: "fail|stack-relief|T1|0|1|-1", 10: "none of stack-relief"} {
		found := mustCheck(t, mustBuild(t, tower(stories)), code)
		wantFinding(t, found, want)
		wantFinding(t, found, "nothing of vent-stack-needed at T1")
	}
	code = amendedCode(t, "ipc-2021", "set,vent-stack-intervals,0,count,2,town,read\n") // every stack, and no drain
	found := mustCheck(t, mustBuild(t, tower(1)), code)
	wantFinding(t, found, "nothing of vent-stack-needed at D")
	wantFinding(t, found, "ask|vent-stack-needed|T1|0|1|-1")
}

// TestJoinedStack: a vent may end up to 6 in below the stack that it joins, which stands 9 ft from the drain up, or
// above it; no more.
func TestJoinedStack(t *testing.T) {
	for off, asked := range map[units.Length]int{-6 * in: 0, -6*in - nm: 1, 18*ft + 6*in: 0, 18*ft + 6*in + nm: 1, 9 * ft: 0} {
		l := stack("S1", "S2")
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "LV", To: "S1", Runs: []VentRun{{Length: 6 * ft, Direction: VentUp}}}}
		s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
		j := newTestJudge(s)
		j.joinsStack(0, ventHeights{start: []units.Length{0}, end: []units.Length{s.levels.lower[s.tree.index["S1"]] + off}})
		if got := j.Findings(); len(got) != asked {
			t.Errorf("%v over its foot: %v", off, got)
		}
	}
}

// TestValveFarDown: the branch of V1 enters the stack five intervals under its top, with no relief vent (IPC
// 918.3.1): not one of another branch, nor one of the stack farther up; and wherever the stack stands in the list of
// points.
func TestValveFarDown(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	type relief struct {
		from  string
		kind  VentKind
		valve bool
	}
	for relief, asked := range map[relief]bool{{}: true, {"B2", VentRelief, false}: true, {"S3", VentRelief, false}: true,
		{"A", VentRelief, false}: true, {"B1", VentRelief, true}: true, {"X", VentIndividual, false}: true,
		{"B1", VentRelief, false}: false, {"S1", VentRelief, false}: false} {
		l := mustLayout(t, "jobs/valve-5-intervals-down.json", code)
		x := *pt(l, "B1")
		x.ID = "X"
		l.Systems[0].Points = append(l.Systems[0].Points, x)
		if relief.from != "" {
			v := upright("R", relief.from, relief.kind)
			if relief.valve {
				v.Valve, v.Terminal = &VentValve{}, nil
			}
			l.Vents = append(l.Vents, v)
		}
		points := l.Systems[0].Points
		points[0], points[2] = points[2], points[0] // S1 first
		found := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			found = found || f.Rule == ruleValve && f.Place == "V1" && f.Side == "relief" && fails(&f)
		}
		if found != asked {
			t.Errorf("%+v: asked %v", relief, found)
		}
	}
}

// TestIslandLowEnd: the island vent of K starts where its riser ends, at 98'-2 1/4": 48 in over the end of A, which
// is 2-1/4 in over 94 ft. The middle of A lies 1-1/2 in higher than that end. Up 8 in and down 54-1/2 in the low end
// is as high as the middle; an inch more down it lies an inch lower.
func TestIslandLowEnd(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for down, lower := range map[units.Length]units.Length{109 * in / 2: 0, 111 * in / 2: in} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, lavatory("K", Run{Length: 48 * in, Vertical: true, Size: 2 * in}, nil),
			lavatory("W", Run{Length: 9 * ft}, nil))
		pt(l, "K").Run.Grade, pt(l, "W").To = slope.Grade{}, "A"
		l.Vents = []Vent{upright("VW", "W", VentIndividual), {ID: "VK", Kind: VentIsland, From: "K", To: "VW", Drains: "A", Cleanout: true,
			Runs: []VentRun{{Length: 8 * in, Direction: VentUp}, {Length: down, Direction: VentDown}, {Length: 6 * ft, Direction: VentBelowFloor},
				{Length: 9 * ft, Direction: VentUp}}}}
		seen := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule != ruleIsland || f.Side != "drains" {
				continue
			}
			seen = true
			if got, _ := asLength(f.Value); fails(&f) != (lower > 0) || got != lower {
				t.Errorf("%v down: %v", down, f)
			}
		}
		if !seen {
			t.Errorf("%v down: nothing is said", down)
		}
	}
}

// TestUpstreamOfTheDryVent: one fixture may have come to a wet vent before the dry-vented one (IPC 912.2.1): the
// shower S, alone on its branch N. A tub and a second shower that have met before they come in farther down are none
// of them.
func TestUpstreamOfTheDryVent(t *testing.T) {
	code := mustCode(t, "upc-2021")
	for both, want := range map[bool]bool{true: true, false: false} {
		l := mustLayout(t, "jobs/wet-vent-two-upstream.json", code)
		if !both {
			pt(l, "T").To = "P"
			p, s2 := *pt(l, "N"), *pt(l, "S")
			p.ID, p.To, s2.ID, s2.To = "P", "A", "S2", "P"
			l.Systems[0].Points = append(l.Systems[0].Points, p, s2)
		}
		found := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			found = found || f.Rule == "wet-vent-order" && strings.Contains(f.Reason, "upstream of the dry-vented one") && fails(&f)
		}
		if found != want {
			t.Errorf("both upstream %v: found %v", both, found)
		}
	}
}

// TestEnoughByTrap: a vent as large as it must be is asked nothing of the trap that nobody sized (see canada.jsonl).
func TestEnoughByTrap(t *testing.T) {
	code := mustCode(t, "npc-canada")
	for size, asked := range map[units.Length]bool{5 * in / 4: true, 3 * in / 2: false} {
		l := mustLayout(t, "jobs/canada-vent-of-a-dn-40-trap.json", code)
		vent(l, "VU").Size = size
		found := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			found = found || f.Rule == "vent-size" && strings.Contains(f.Reason, "smallest traps")
		}
		if found != asked {
			t.Errorf("a vent of %v: asked %v", size, found)
		}
	}
}

// TestFlatWetJudged: a wet vent that lies flat is judged by its load also under a code that has rules of its own for
// upright ones, as the UPC.
func TestFlatWetJudged(t *testing.T) {
	code := mustCode(t, "upc-2021")
	found := map[string]bool{}
	for _, f := range mustCheck(t, mustLayout(t, "jobs/wet-vent-two-upstream.json", code), code) {
		if f.Rule == "wet-vent-load" {
			found[f.Place] = true
		}
	}
	if !found["M"] || found["L"] { // L stands upright
		t.Errorf("%v", found)
	}
}

// TestBuildingDrainOfCanada: what leads a closet or a stack to the sewer is the building drain, and what joins it a
// branch; a riser with one fixture on it is no stack.
func TestBuildingDrainOfCanada(t *testing.T) {
	code := mustCode(t, "npc-canada")
	for _, c := range []struct {
		name string
		edit func(l *Data)
		want string // parts of A, B and C
	}{
		{"a closet on C", func(*Data) {}, "drain branch drain"},
		{"a stack on C", func(l *Data) {
			*pt(l, "WC").Fixture = tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
			pt(l, "L").Run.Vertical, pt(l, "L").Run.Grade = true, slope.Grade{}
			pt(l, "WC").To = "L"
		}, "drain branch drain"},
		{"B said to be a drain", func(l *Data) { pt(l, "B").Run.Part = dwv.Drain }, "drain drain drain"},
		{"a riser on C", func(l *Data) {
			*pt(l, "WC").Fixture = tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
			pt(l, "L").Run.Vertical, pt(l, "L").Run.Grade = true, slope.Grade{}
		}, "drain branch branch"},
	} {
		l := mustLayout(t, "jobs/canada-branch-of-2-in.json", code)
		c.edit(l)
		s := mustSize(t, mustBuild(t, l), code)
		var got []string
		for _, id := range []string{"A", "B", "C"} {
			r, _ := s.Of(id)
			got = append(got, r.Part.String())
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %v, want %s", c.name, got, c.want)
		}
	}
}

// TestBathroomsOneAfterAnother: by IRC P3004.1 (recalled) one bathroom is 5 dfu, two together 8, three 10, also where
// the third comes in farther down.
func TestBathroomsOneAfterAnother(t *testing.T) {
	code := mustCode(t, "irc-2021")
	l := mustLayout(t, "jobs/bathrooms-three-of-a-house.json", code)
	pt(l, "B3").To = "EX"
	s := mustSize(t, mustBuild(t, l), code)
	for id, want := range map[string]dwv.FixtureUnits{"B1": 5, "B2": 5, "B3": 5, "A": 8, "EX": 10} {
		if r, _ := s.Of(id); r.Load != want*dwv.FixtureUnit {
			t.Errorf("%s carries %v, want %d dfu", id, r.Load, want)
		}
	}
}

// TestFloorsOfAValve: a branch valve vents the fixtures of one floor, 8 ft of the stack apart at most (IPC 918.3.1);
// one at the top of a stack those of all.
func TestFloorsOfAValve(t *testing.T) {
	for _, c := range []struct {
		code  string
		apart units.Length
		of    ValveType
		told  int
	}{{"ipc-2021", 8 * ft, ValveBranch, 1}, {"ipc-2021", 8*ft - nm, ValveBranch, 0}, {"ipc-2021", 8 * ft, ValveStack, 0},
		{"ipc-2021", 8 * ft, "", 1}, {"upc-2021", 80 * ft, ValveBranch, 0}} { // which has no such rule
		j := newTestJudge(mustSize(t, valved(), mustCode(t, c.code)))
		j.valveUse(&Vent{ID: "V", Kind: VentIndividual, Valve: &VentValve{Type: c.of}}, armSpan{low: 99 * ft, high: 99*ft + c.apart, any: true})
		got := j.Findings()
		if len(got) != c.told || c.told > 0 && got[0].Value != fmt.Stringer(c.apart) {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// TestShareThatLiesFlat: by the UPC a third of the length of a vent may lie flat (904.2): of 15 ft 5 ft, and with
// what carries it on to the air 5 ft in all, or it is asked. A vent that nowhere lies flat, has no greatest length or
// is larger than need be is not judged.
func TestShareThatLiesFlat(t *testing.T) {
	s := mustSize(t, valved(), mustCode(t, "upc-2021"))
	rules := &ventRules{share: cited[float64]{value: 1. / 3, ok: true}}
	for _, c := range []struct {
		flat, onward, most, size units.Length
		want                     string
	}{
		{5 * ft, 0, 15 * ft, 2 * in, "pass"}, {5*ft + in, 0, 15 * ft, 2 * in, "fail"}, {3 * ft, 2 * ft, 15 * ft, 2 * in, "pass"},
		{3 * ft, 4 * ft, 15 * ft, 2 * in, `ask for 3'-0", and with the vents of its size that carry it on to the air for 7'-0"; of the 15'-0"`},
		{0, 9 * ft, 15 * ft, 2 * in, ""}, {9 * ft, 0, 0, 2 * in, ""}, {9 * ft, 0, 15 * ft, 3 * in, ""},
	} {
		j := newTestJudge(s)
		j.Judge = finding.New(order(), finding.Options{})
		s.vents[0] = VentSize{Vent: "V", Flat: c.flat, MaxLength: c.most, Size: c.size, Required: 2 * in}
		j.flatShare(0, c.onward, rules)
		got := ""
		for _, f := range j.Findings() {
			got += f.Verdict.String() + " " + f.Reason
		}
		verdict, says, _ := strings.Cut(c.want, " ")
		if !strings.HasPrefix(got, verdict) || !strings.Contains(got, says) || c.want == "" && got != "" {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// TestClosetsLast: a closet that joins a wet vent where the last of the others does is downstream of none of them,
// and holds.
func TestClosetsLast(t *testing.T) {
	s := mustSize(t, straight(lavatory("A", Run{Length: 9 * ft}, nil), lavatory("B", Run{Length: 9 * ft}, nil)), mustCode(t, "upc-2021"))
	for other, told := range map[int32]int{1: 0, 2: 0, 3: 1} {
		j := newTestJudge(s)
		order := &wetOrder{closet: 1, closetAt: 2, other: 2, otherAt: other}
		if j.closetsLast(&Vent{ID: "V"}, order, tables.Citation{}); len(j.Findings()) != told {
			t.Errorf("at %d of 2: %v", other, j.Findings())
		}
	}
}

// TestRoofInUse: of a vent whose height over a used roof nobody tells that is what is said, of one that is told how
// high it stands.
func TestRoofInUse(t *testing.T) {
	for above, says := range map[units.Length]string{0: "The layout does not say how far vent V stands above the roof",
		ft: `Vent V stands 1'-0" above the roof`} {
		j := newTestJudge(mustSize(t, valved(), mustCode(t, "upc-2021")))
		j.usedRoof(&Vent{ID: "V", Terminal: &Terminal{UsedRoof: true, AboveRoof: above}})
		if got := j.Findings(); len(got) != 1 || !strings.HasPrefix(got[0].Reason, says) {
			t.Errorf("%v: %v", above, got)
		}
	}
}

// TestOneRuleOfOpenVents: the IPC asks for one vent of half the drain, the UPC for the section of the drain in all:
// each says so once.
func TestOneRuleOfOpenVents(t *testing.T) {
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		n := 0
		for _, f := range mustCheck(t, mustLayout(t, "workshop.json"), mustCode(t, id)) {
			if f.Rule == "vent-open" {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s: %d findings", id, n)
		}
	}
}

// TestJoinOverTheRim: V serves a rim 36 in over the floor; what joins it does so 6 in over that (IPC 905.4), at
// 3'-6", and a join at 3'-4" is told to go up to that.
func TestJoinOverTheRim(t *testing.T) {
	l := straight(lavatory("A", Run{Length: 9 * ft}, nil), lavatory("B", Run{Length: 9 * ft}, nil))
	pt(l, "A").FloodRim = 36 * in
	l.Vents = []Vent{upright("V", "A", VentIndividual), upright("W", "B", VentIndividual)}
	l.Vents[1].To, l.Vents[1].Terminal = "V", nil
	for up, told := range map[units.Length]int{40 * in: 1, 42 * in: 0} {
		j := newTestJudge(mustSize(t, mustBuild(t, l), firmCode(t, "ipc-2021")))
		j.joinsAboveRim(1, 0, 100*ft+up)
		if got := j.Findings(); len(got) != told || told > 0 && got[0].Fix != `Carry it up to 3'-6" above the floor before it joins V.` {
			t.Errorf("%v up: %v", up, got)
		}
	}
}

// TestTwoBathroomsOfTen: ten fixtures on one branch, all that two bathrooms have at most, are two: closets (3),
// lavatories (1) and tubs (2) twice and four bidets (1) are 16 dfu, as groups 10.
func TestTwoBathroomsOfTen(t *testing.T) {
	private := func(kind string) *tables.Fixture { return &tables.Fixture{Kind: kind, Count: 1, Use: tables.Private} }
	closet := &tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
	l := straight(Point{ID: "M", Run: Run{Length: 9 * ft, Size: 4 * in}})
	for k, f := range []*tables.Fixture{closet, closet, private("lavatory"), private("lavatory"), private("bathtub"), private("bathtub"),
		private("bidet"), private("bidet"), private("bidet"), private("bidet")} {
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: fmt.Sprint("P", k), To: "M", Fixture: f,
			Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}})
	}
	s := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))
	less, _ := s.ungrouped(0)
	if got := less[s.tree.index["M"]]; got != 6*dwv.FixtureUnit || s.load[0] != 16*dwv.FixtureUnit {
		t.Errorf("%v less of %v", got, s.load[0])
	}
}

// TestIslandToTheAir: an island vent that joins another does so 6 in over the rim of 36 in (IPC 905.4); one that goes
// to the open air, or ends in a valve, joins none.
func TestIslandToTheAir(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for _, c := range []struct {
		ends  string
		asked bool
	}{{"VW", true}, {"terminal", false}, {"valve", false}} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, lavatory("K", Run{Length: 48 * in, Vertical: true, Size: 2 * in}, nil),
			lavatory("W", Run{Length: 9 * ft}, nil))
		pt(l, "K").Run.Grade, pt(l, "W").To, pt(l, "K").FloodRim = slope.Grade{}, "A", 36*in
		vk := Vent{ID: "VK", Kind: VentIsland, From: "K", Drains: "A", Cleanout: true, Runs: []VentRun{{Length: 8 * in, Direction: VentUp},
			{Length: 4 * ft, Direction: VentDown}, {Length: 6 * ft, Direction: VentBelowFloor}, {Length: 4 * ft, Direction: VentUp}}}
		switch c.ends {
		case "terminal":
			vk.Terminal = &Terminal{AboveRoof: ft}
		case "valve":
			vk.Valve = &VentValve{Accessible: true}
		default:
			vk.To = c.ends
		}
		l.Vents = []Vent{upright("VW", "W", VentIndividual), vk}
		asked := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			asked = asked || f.Rule == ruleIsland && strings.Contains(f.Reason, "where the island vent joins")
		}
		if asked != c.asked {
			t.Errorf("to %s: asked %v", c.ends, asked)
		}
	}
}

// newTestJudge judges a sizing, and keeps what it finds.
func newTestJudge(s *Sizing) *judge {
	return &judge{Judge: finding.New(order(), finding.Options{ProblemsOnly: true}), layout: s.layout, tree: s.tree, code: s.code, sizing: s,
		levels: s.levels}
}
