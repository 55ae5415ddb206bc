package drains

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestRulesDeclared: every rule that a check judges by is declared, and every rule
// declared is judged by.
func TestRulesDeclared(t *testing.T) { findingtest.Declared(t, ".", Rules()) }

// TestDroppedRows: a town that drops a row is named by each check that rests on it, at
// the job, whatever else the check finds; a row that another amendment puts back is not.
func TestDroppedRows(t *testing.T) {
	asked := func(c *dwv.Code) (out []string) {
		for _, f := range checkAllWays(t, mustLayout(t, "workshop.json"), c, CheckOptions{}) {
			if strings.Contains(f.Reason, "drops the row") {
				out = append(out, f.Verdict.String()+" "+f.Rule+" at "+f.Place+": "+f.Reason)
			}
		}
		return out
	}
	const end = ", on which this check rests: it goes by the rows that are left, and judges nothing where there are none."
	got := asked(amendedCode(t, "ipc-2021", "drop,cleanout-spacing,,,,,\ndrop,cleanout-turn-single,,,,,\ndrop,size-reduction,,,,,\n"))
	want := []string{
		"ask size-reduction at the layout: Ordinance of the town (2024) drops the row \"a drain gets smaller in the direction of flow\"" + end,
		"ask outlet-size at the layout: Ordinance of the town (2024) drops the row \"a drain gets smaller in the direction of flow\"" + end,
		"ask cleanout-spacing at the layout: Ordinance of the town (2024) drops the row \"cleanouts along horizontal drains, at most apart\"" + end,
		"ask cleanout-turn at the layout: Ordinance of the town (2024) drops the row \"a horizontal turn of more needs a cleanout\"" + end,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	county := fstest.MapFS{
		"sources.csv":                {Data: []byte("id,title,publisher,edition,year,url,note\ncounty,Ordinance of the county,,,2024,,\n")},
		"ipc-2021/trap-arm.csv":      {Data: []byte("# id: ipc-2021/trap-arm\n# source: county\nop,size[in],status\ndrop,2,\n")},
		"ipc-2021/cleanout-size.csv": {Data: []byte("# id: ipc-2021/cleanout-size\n# source: county\nop,size[in],status\ndrop,2,\n")},
	}
	shelf, err := tables.Embedded().With(county)
	if err != nil {
		t.Fatal(err)
	}
	back, err := shelf.With(fstest.MapFS{
		"sources.csv":           {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"ipc-2021/trap-arm.csv": {Data: []byte("# id: ipc-2021/trap-arm\n# source: town\nop,size[in],max_length[ft],status\nadd,2,8,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	for shelf, want := range map[*tables.Shelf]string{shelf: "trap-vented trap-arm-length trap-arm-min-length trap-arm-grade cleanout-size", back: "cleanout-size"} {
		code, err := dwv.LoadCode(shelf, "ipc-2021")
		if err != nil {
			t.Fatal(err)
		}
		var rules []string
		for _, f := range asked(code) {
			rules = append(rules, strings.Fields(f)[1])
		}
		if strings.Join(rules, " ") != want {
			t.Errorf("%q, want %q", rules, want)
		}
	}
}

// TestRestsOn holds the list to the one from which the account of the rules is made.
func TestRestsOn(t *testing.T) {
	f, err := os.Open("../../internal/proof/rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	for _, r := range rows {
		if r[0] == "dwv" && r[2] != "" {
			want = append(want, r[1]+": "+r[2])
		}
	}
	for _, r := range rules() {
		if r.rests != "" {
			got = append(got, r.id+": "+r.rests)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("what rules of rule.go rest on is not what internal/proof/rules.csv says that checks rest on (-there +here):\n%s", diff)
	}
}

// TestCheckTwoAtOnce: a large layout checked in two halves at once gives the problems that it
// gives checked in one go, and the same list every time.
func TestCheckTwoAtOnce(t *testing.T) {
	l := mustBuild(t, villageLayout(3*manyPoints))
	code := townCode(t, "upc-2021")
	byText := cmp.Comparer(func(a, b tables.Citation) bool { return a == b })
	once, err := checkOf(l, code, CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	var last []tables.Finding
	for range 3 {
		all, err := checkOf(l, code, CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if last != nil {
			if diff := cmp.Diff(last, all, byText); diff != "" {
				t.Fatalf("another list (-first +now):\n%.1000s", diff)
			}
		}
		last = all
	}
	var problems []tables.Finding
	rules := map[string]bool{}
	for _, f := range last {
		if rules[f.Rule] = true; f.Verdict != tables.Pass {
			problems = append(problems, f)
		}
	}
	if diff := cmp.Diff(once, problems, byText); diff != "" || len(once) < 100 {
		t.Errorf("%d problems (-in one go +of two halves):\n%.1000s", len(once), diff)
	}
	for _, rule := range strings.Fields("drain-load drain-cover trap-arm-length cleanout-reach vent-size vent-open") {
		if !rules[rule] {
			t.Errorf("no finding of %s", rule)
		}
	}
}

// firmCode is a code every row of which counts as seen in print, with some rules of a
// town.
func firmCode(t testing.TB, id string) *dwv.Code {
	t.Helper()
	return firmCodeOn(t, tables.Embedded(), id)
}

func firmCodeOn(t testing.TB, shelf *tables.Shelf, id string) *dwv.Code {
	t.Helper()
	own := map[string][3]string{
		"floor-drain-unvented-reach": {"25", "ft", "1"},
		"below-ground-min-size":      {"2", "in", "2"},
		"cleanout-stack-base":        {"1", "count", "3"},
		"stub-up-min-height":         {"6", "in", "4"},
	}
	c, err := dwv.LoadCode(edges.FirmShelfOn(t, shelf, edges.Own{id + "/rules": own}, id), id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// An edge is a rule of [Sizing.Check] at its limit and one step past it.
type edge struct {
	rule, code, place string
	both              func(l *Data) // what the two have in common
	at, past          func(l *Data)
	verdict           tables.Verdict // past it; 0 is Fail
	opt               Options
	// note: the rule has no limit to break; past it there is a finding, at it none. assumed:
	// past it there is none, but an assumption.
	note, assumed bool
}

// margin returns the margin of a finding of a layout, which has one.
func margin(t *testing.T, l *Data, c *dwv.Code, rule, place string) units.Length {
	t.Helper()
	l = mustBuild(t, copyLayout(l))
	for _, f := range mustCheck(t, l, c) {
		if f.Rule != rule || f.Place != place {
			continue
		}
		switch m := f.Margin.(type) {
		case units.Length:
			return m
		case Depth:
			return units.Length(m)
		}
	}
	t.Fatalf("no margin of %s at %s", rule, place)
	return 0
}

// TestEdgesOfRules judges each rule at the very limit, where it holds, and the least
// step past it, where it does not: a nanometre, a thousandth of a fixture unit, a
// size, one fixture, a thousandth of a degree; where the rule is a sentence, with and
// without what it asks.
func TestEdgesOfRules(t *testing.T) {
	all, codes := edgesOfRules(t)
	record := edges.ReadRecord(t, "../../internal/proof/rules.csv", "dwv")
	tried := map[string]bool{}
	for _, e := range all {
		tried[e.rule] = true
		t.Run(e.rule+"/"+e.code, func(t *testing.T) {
			for _, past := range []bool{false, true} {
				l := e.layout(t, past)
				found := checkAllWays(t, mustBuild(t, l), codes[e.code], CheckOptions{}, e.opt)
				e.held(t, past, found, record)
			}
		})
	}
	record.Check(t, "drains.TestEdgesOfRules", ruleIDs(), tried)
}

// layout is the workshop with the rule at its limit, or a step past it.
func (e *edge) layout(t *testing.T, past bool) *Data {
	l := mustLayout(t, "workshop.json")
	if e.both != nil {
		e.both(l)
	}
	if past {
		e.past(l)
	} else {
		e.at(l)
	}
	return l
}

// held holds what was found of a layout at the limit, or past it.
func (e *edge) held(t *testing.T, past bool, found []tables.Finding, record edges.Record) {
	want := e.verdict
	if want == 0 {
		want = tables.Fail
	}
	broken := e.assumed
	for _, f := range found {
		if e.assumed && past && f.Rule == e.rule {
			t.Errorf("no assumption: %v", f)
		}
		if f.Rule != e.rule || f.Place != e.place {
			continue
		}
		broken = broken || f.Verdict == want || e.note
		if !past && (f.Verdict != tables.Pass || e.note) {
			t.Errorf("at the limit: %v", f)
		}
		if f.Verdict == tables.Fail && f.Citation.IsZero() && OwnLimit(f.Rule) == "" {
			t.Errorf("fails by no row and no limit of the job: %v", f)
		}
		if !f.Citation.IsZero() && !record.Holds(e.rule, f.Citation) {
			t.Errorf("rests on %v, which internal/proof/rules.csv does not name", f.Citation)
		}
	}
	if past && !broken {
		t.Errorf("one step past the limit nothing is wrong")
	}
}

// edgesOfRules are the rules at their limits, and the codes that they are judged by.
func edgesOfRules(t *testing.T) (all []edge, codes map[string]*dwv.Code) {
	const ipc, upc, mass = "ipc-2021", "upc-2021", "massachusetts-248cmr"
	codes = map[string]*dwv.Code{ipc: firmCode(t, ipc), upc: firmCode(t, upc)}
	codes[mass] = firmCodeOn(t, massachusettsArms(t), ipc)
	keep := func(*Data) {}
	circuit := func(l *Data) {
		*vent(l, "VW") = Vent{ID: "VW", Kind: VentCircuit, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
	}
	wet := func(l *Data) { circuit(l); vent(l, "VW").Kind = VentWet }
	common := func(l *Data) {
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "LT2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 2 * in}},
			Point{ID: "LB", To: "LT2", Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4)}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		pt(l, "LT").To, pt(l, "LT").Run.Length = "LT2", 3*ft
		vent(l, "VL").Kind, vent(l, "VL").Through = VentCommon, "LT2"
	}
	branch := func(l *Data) { // a second fixture on the lavatory's arm
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "LA2", To: "LB", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}},
			Point{ID: "LB", To: "LT", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}})
		pt(l, "LA").To = "LB"
	}
	// stackFoot lets a branch join the drain some way down from the foot of a stack of a
	// storey that serves two fixtures.
	stackFoot := func(way units.Length) func(l *Data) {
		return func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "LB", To: "LT", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}},
				Point{ID: "NB", To: "S2", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			pt(l, "S3").Run.Length, pt(l, "LT").Run.Length = way, 8*ft
		}
	}
	footing := func(f Footing) func(l *Data) { return func(l *Data) { l.Footings[1] = f } }
	// shift lets a change grow until a margin is used up to the nanometre, and then by
	// one more.
	shift := func(code, rule, place string, both func(l *Data), change func(l *Data, by units.Length)) (at, past func(l *Data)) {
		l := mustLayout(t, "workshop.json")
		both(l)
		m := margin(t, l, codes[code], rule, place)
		return func(l *Data) { change(l, m) }, func(l *Data) { change(l, m+nm) }
	}
	raise := func(l *Data, by units.Length) { l.Systems[0].Outlet.Invert += by }
	depthAt, depthPast := shift(ipc, "gravity-depth", "soil", keep, raise)
	level := func(l *Data) {
		for i := range l.Systems[0].Points {
			l.Systems[0].Points[i].Run.Join = slope.AtInvert
		}
	}
	coverAt, coverPast := shift(ipc, "drain-cover", "FD", level, raise)
	flatAt, flatPast := shift(ipc, "vent-flat", "VL", keep, func(l *Data, by units.Length) { vent(l, "VL").Runs[0].Length -= by })
	planeAt, planePast := shift(ipc, "footing-plane", "F2", keep, func(l *Data, by units.Length) { l.Footings[1].Distance -= by })
	under := footing(Footing{ID: "F2", Kind: FootingUnder, Run: "S3", Along: 4 * ft, Bottom: 10 * in, Clear: 3 * in})
	underAt, underPast := shift(ipc, "footing-clearance", "F2", under, func(l *Data, by units.Length) { l.Footings[1].Bottom += by })
	thick := footing(Footing{ID: "F2", Kind: FootingThickening, Run: "S3", Along: 4 * ft, Bottom: 10 * in})
	thickAt, thickPast := shift(ipc, "slab-thickening", "F2", thick, func(l *Data, by units.Length) { l.Footings[1].Bottom += by })

	// A 3 in closet drain (bore 3.068 in) joins a 2 in one (2.067 in) at the crown, and
	// has to drop by the difference so that its invert is not below the other's.
	wide := func(l *Data) { pt(l, "S2").Run.Size, pt(l, "WV").Run.Join = 2*in, slope.AtCrown }

	all = []edge{
		// Loads and sizes: 42 dfu on 3 in at 1/4 in per ft, 6 in one interval of 2 in.
		{rule: "drain-load", code: ipc, place: "S2", both: func(l *Data) { pt(l, "WC").Fixture.Count = 10; pt(l, "S2").Run.Size = 3 * in },
			at: func(l *Data) { pt(l, "WC").Reserved = dwv.FixtureUnit }, past: func(l *Data) { pt(l, "WC").Reserved = dwv.FixtureUnit * 1001 / 1000 }},
		{rule: "stack-interval-load", code: ipc, place: "LT", at: func(l *Data) { pt(l, "LA").Reserved = 5 * dwv.FixtureUnit }, past: func(l *Data) { pt(l, "LA").Reserved = 5 * dwv.FixtureUnit * 1001 / 1000 }},
		{rule: "drain-closets", code: upc, place: "WV", at: func(l *Data) { pt(l, "WC").Fixture.Count = 3 }, past: func(l *Data) { pt(l, "WC").Fixture.Count = 4 }},
		{rule: "fixture-drain-size", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Trap.Size = in * 3 / 2 }, past: func(l *Data) { pt(l, "LA").Trap.Size = 2 * in }},
		{rule: "below-ground-size", code: ipc, place: "S3", at: func(l *Data) { pt(l, "S3").Run.Size = 2 * in }, past: func(l *Data) { pt(l, "S3").Run.Size = in * 3 / 2 }},
		{rule: "size-reduction", code: ipc, place: "S3", at: func(l *Data) { pt(l, "S3").Run.Size, pt(l, "S2").Run.Size = 4*in, 4*in }, past: func(l *Data) { pt(l, "S3").Run.Size, pt(l, "S2").Run.Size = 4*in, 3*in }},
		// A stack of 6 in at its foot, for 241 dfu in one interval, is of 3 in or more above.
		{rule: "drain-size", code: ipc, place: "LT", both: func(l *Data) {
			pt(l, "LT").To = "LF"
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "LF", To: "S3", Reserved: 240 * dwv.FixtureUnit, Run: Run{Length: 2 * ft, Vertical: true, Material: "pvc-dwv"}})
		}, at: func(l *Data) { pt(l, "LT").Run.Size = 3 * in }, past: func(l *Data) { pt(l, "LT").Run.Size = in * 5 / 2 }},
		{rule: "main-drain-undiminished", code: ipc, place: "S1", at: keep, past: func(l *Data) { pt(l, "S1").Run.Size = 3 * in }},
		{rule: "outlet-size", code: ipc, place: "SO", at: keep, past: func(l *Data) { l.Systems[0].Outlet.Size = 3 * in }},

		// Grades and levels. 2 % counts as 1/4 in per ft where the pair is in print; what
		// is less than 4 % under the limit is asked about.
		{rule: "drain-grade", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Run.Grade = slope.OneIn(50) }, past: func(l *Data) { pt(l, "LA").Run.Grade = slope.PerFoot(ft/50 - nm) }, verdict: tables.Ask},
		{rule: "drain-grade", code: ipc, place: "LA", at: keep, past: func(l *Data) { pt(l, "LA").Run.Grade = slope.PerFoot(6*units.Millimetre + 93*units.Micrometre) }},
		{rule: "interceptor-grade", code: ipc, place: "FD", both: func(l *Data) { pt(l, "S1").Interceptor = &Interceptor{Kind: "grease", Rated: 1, Inflow: 1} },
			at: func(l *Data) { pt(l, "FD").Run.Grade = slope.OneIn(50) }, past: func(l *Data) { pt(l, "FD").Run.Grade = slope.PerFoot(ft/50 - nm) }, verdict: tables.Ask},
		{rule: "gravity-depth", code: ipc, place: "soil", at: depthAt, past: depthPast},
		{rule: "drain-cover", code: ipc, place: "FD", both: level, at: coverAt, past: coverPast},
		{rule: "join-level", code: ipc, place: "WV", both: func(l *Data) { pt(l, "S2").Run.Size, pt(l, "S1").Run.Size = 4*in, 4*in }, at: func(l *Data) { pt(l, "WV").Run.Join = slope.AtSpringline }, past: keep, note: true},
		{rule: "join-level", code: ipc, place: "WV", both: wide, at: func(l *Data) { pt(l, "WV").Run.Drop = 1001 * in / 1000 }, past: func(l *Data) { pt(l, "WV").Run.Drop = 1001*in/1000 - nm }},
		{rule: "system-apart", code: ipc, place: "LA", at: keep, past: func(l *Data) { pt(l, "LA").Carries = "clay" }},
		{rule: "interceptor-capacity", code: ipc, place: "C1", at: func(l *Data) { pt(l, "C1").Interceptor.Inflow = 20 * units.USGallonPerMinute }, past: func(l *Data) { pt(l, "C1").Interceptor.Inflow = 20.001 * units.USGallonPerMinute }},

		{rule: "interceptor-capacity", code: ipc, place: "C1", both: func(l *Data) {
			*pt(l, "C1").Interceptor = Interceptor{Kind: "solids", Inflow: 20 * units.USGallonPerMinute, Retention: 90 * units.Second}
		}, at: func(l *Data) { pt(l, "C1").Interceptor.Volume = 30 * units.USGallon }, past: func(l *Data) { pt(l, "C1").Interceptor.Volume = 29.999 * units.USGallon }},

		// Traps
		{rule: "trap-vented", code: ipc, place: "SP", at: keep, past: func(l *Data) { l.Vents = l.Vents[:3] }},
		{rule: "trap-arm-length", code: ipc, place: "CS", at: func(l *Data) { pt(l, "CS").Run.Length = 8 * ft }, past: func(l *Data) { pt(l, "CS").Run.Length = 8*ft + nm }},
		{rule: "trap-arm-length", code: upc, place: "CS", at: func(l *Data) { pt(l, "CS").Run.Length = 5 * ft }, past: func(l *Data) { pt(l, "CS").Run.Length = 5*ft + nm }},
		{rule: "trap-arm-min-length", code: ipc, place: "LA", both: func(l *Data) { pt(l, "LA").Trap.Arm = 0 }, at: func(l *Data) { pt(l, "LA").Run.Length = 3 * in }, past: func(l *Data) { pt(l, "LA").Run.Length = 3*in - nm }},
		{rule: "trap-arm-grade", code: mass, place: "CS", at: keep, past: func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in/4 + nm) }},
		{rule: "trap-arm-fall", code: ipc, place: "CS", at: func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in) }, past: func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in + nm) }},
		{rule: "trap-arm-riser", code: ipc, place: "CS", at: keep, past: func(l *Data) { vent(l, "VC").From = "C1" }},
		{rule: "trap-arm-shared", code: ipc, place: "LA", at: keep, past: branch, verdict: tables.Ask},
		{rule: "trap-size", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Trap.Size = in * 5 / 4 }, past: func(l *Data) { pt(l, "LA").Trap.Size = in }},
		{rule: "trap-seal", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Trap.Seal = 2 * in }, past: func(l *Data) { pt(l, "LA").Trap.Seal = 2*in - nm }},
		{rule: "trap-seal", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Trap.Seal = 4 * in }, past: func(l *Data) { pt(l, "LA").Trap.Seal = 4*in + nm }},
		{rule: "trap-tail", code: ipc, place: "LA", at: func(l *Data) { pt(l, "LA").Trap.Tail = 24 * in }, past: func(l *Data) { pt(l, "LA").Trap.Tail = 24*in + nm }},
		{rule: "floor-drain-unvented", code: ipc, place: "FD", at: func(l *Data) { pt(l, "FD").Run.Length = 25 * ft }, past: func(l *Data) { pt(l, "FD").Run.Length = 25*ft + nm }},
		{rule: "floor-drain-unvented", code: ipc, place: "FD", at: keep, past: func(l *Data) { pt(l, "FD").Drip = true }},
		{rule: "floor-drain-unvented", code: ipc, place: "FD", at: keep, past: func(l *Data) { pt(l, "FD").Receptor = &Receptor{} }},
		{rule: "floor-drain-receptor", code: ipc, place: "FD", at: keep, past: func(l *Data) {
			pt(l, "FD").Receptor = &Receptor{}
			l.Vents = append(l.Vents, Vent{ID: "VF", Kind: VentIndividual, From: "FD", Size: 2 * in, Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}})
		}, note: true},
		{rule: "floor-drain-primer", code: ipc, place: "FD", at: keep, past: func(l *Data) { pt(l, "FD").Primer = false }, verdict: tables.Ask},
		{rule: "floor-drain-rim", code: ipc, place: "FD", at: func(l *Data) { pt(l, "FD").RimBelow = units.Millimetre }, past: func(l *Data) { pt(l, "FD").RimBelow = 0 }, verdict: tables.Ask},
		{rule: "standpipe-height", code: ipc, place: "SP", at: func(l *Data) { pt(l, "SP").Receptor.Standpipe = 42 * in }, past: func(l *Data) { pt(l, "SP").Receptor.Standpipe = 42*in + nm }},
		{rule: "standpipe-height", code: ipc, place: "SP", at: func(l *Data) { pt(l, "SP").Receptor.Standpipe = 18 * in }, past: func(l *Data) { pt(l, "SP").Receptor.Standpipe = 18*in - nm }},
		{rule: "standpipe-trap-height", code: upc, place: "SP", at: func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = 6 * in }, past: func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = 6*in - nm }},
		{rule: "standpipe-trap-height", code: upc, place: "SP", at: func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = 18 * in }, past: func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = 18*in + nm }},

		{rule: "stack-length", code: upc, place: "LT", at: func(l *Data) { pt(l, "LT").Run.Length = 85 * ft }, past: func(l *Data) { pt(l, "LT").Run.Length = 85*ft + nm }},

		// Vents: half the drain, a size more over 40 ft, 2 ft of which VL has more than the 8 ft below its join; 12
		// dfu may vent wet on 3 in.
		{rule: "vent-size", code: ipc, place: "VW", both: func(l *Data) { vent(l, "VW").Size, vent(l, "VL").At = in*3/2, &VentJoin{Station: new(8 * ft)} }, at: func(l *Data) { vent(l, "VW").Runs[0].Length = 38 * ft }, past: func(l *Data) { vent(l, "VW").Runs[0].Length = 38*ft + nm }},
		// VL starts at 102 ft 5-1/2 in and rises 4 ft; six inches are let go.
		{rule: "vent-join", code: ipc, place: "VL", at: func(l *Data) { vent(l, "VL").At = &VentJoin{Height: 83*in + in/2} }, past: func(l *Data) { vent(l, "VL").At = &VentJoin{Height: 83*in + in/2 + nm} }, verdict: tables.Ask},
		{rule: "vent-flat-share", code: upc, place: "VL", at: func(l *Data) { vent(l, "VL").Runs[1].Length = 15 * ft }, past: func(l *Data) { vent(l, "VL").Runs[1].Length = 15*ft + nm }},
		{rule: "vent-flat", code: ipc, place: "VL", at: flatAt, past: flatPast},
		{rule: "vent-below-floor", code: ipc, place: "VW", at: keep, past: func(l *Data) {
			vent(l, "VW").Runs = []VentRun{{Length: nm, Direction: VentBelowFloor}, {Length: 16 * ft, Direction: VentUp}}
		}},
		{rule: "vent-take-off", code: ipc, place: "VW", at: keep, past: func(l *Data) {
			vent(l, "VW").Runs = []VentRun{{Length: nm, Direction: VentHorizontal}, {Length: 16 * ft, Direction: VentUp}}
		}, verdict: tables.Ask},
		{rule: "wet-vent-load", code: ipc, place: "WV", both: wet, at: func(l *Data) { pt(l, "WC").Fixture.Count = 3 }, past: func(l *Data) { pt(l, "WC").Fixture.Count, pt(l, "WC").Reserved = 3, dwv.FixtureUnit/1000 }},
		{rule: "wet-vent-fixtures", code: ipc, place: "VW", both: wet, at: keep, past: func(l *Data) { *pt(l, "WC").Fixture = tables.Fixture{Kind: "kitchen-sink", Count: 1} }},
		{rule: "common-vent-load", code: ipc, place: "LT", both: common, at: func(l *Data) { pt(l, "LA").Reserved = 3 * dwv.FixtureUnit }, past: func(l *Data) { pt(l, "LA").Reserved = 3 * dwv.FixtureUnit * 1001 / 1000 }},
		{rule: "common-vent-load", code: ipc, place: "VL", both: func(l *Data) { vent(l, "VL").Kind = VentCommon }, at: func(l *Data) { pt(l, "LA").Fixture.Count = 2 }, past: func(l *Data) { pt(l, "LA").Fixture.Count = 3 }, verdict: tables.Ask},
		{rule: "circuit-vent-fixtures", code: ipc, place: "VW", both: circuit, at: func(l *Data) { pt(l, "WC").Fixture.Count = 7 }, past: func(l *Data) { pt(l, "WC").Fixture.Count = 8 }},
		{rule: "circuit-vent-grade", code: ipc, place: "WV", both: circuit, at: func(l *Data) { pt(l, "WV").Run.Grade = slope.PerFoot(in) }, past: func(l *Data) { pt(l, "WV").Run.Grade = slope.PerFoot(in + nm) }},
		{rule: "vent-terminal", code: ipc, place: "VW", at: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 6 * in }, past: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 6*in - nm }},
		{rule: "vent-terminal", code: ipc, place: "VW", both: func(l *Data) { vent(l, "VW").Terminal.UsedRoof = true }, at: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 7 * ft }, past: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 7*ft - nm }},
		{rule: "vent-terminal", code: upc, place: "VW", opt: Options{Frost: true}, at: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 10 * in }, past: func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 10*in - nm }},
		{rule: "vent-open", code: ipc, place: "the layout", both: fourInch, at: keep, past: func(l *Data) { vent(l, "VW").Size = in * 3 / 2 }},
		{rule: "future-vent", code: ipc, place: "CS", both: func(l *Data) { pt(l, "CS").Capped = true; vent(l, "VC").Size = in * 5 / 4 }, at: keep, past: func(l *Data) { pt(l, "CS").Run.Size = 3 * in }},

		// Cleanouts
		{rule: "cleanout-upper-end", code: upc, place: "S3", both: func(l *Data) {
			pt(l, "S1").Cleanout.TwoWay = false
			pt(l, "S2").Cleanout = &Cleanout{}
			*pt(l, "LA").Fixture = tables.Fixture{Kind: "shower", Count: 1}
		}, at: func(l *Data) { pt(l, "S3").Run.Length = 5*ft - nm }, past: func(l *Data) { pt(l, "S3").Run.Length = 5*ft + nm }},
		{rule: "cleanout-spacing", code: ipc, place: "S1", at: func(l *Data) { pt(l, "S3").Run.Length = 92 * ft }, past: func(l *Data) { pt(l, "S3").Run.Length = 92*ft + nm }},
		{rule: "cleanout-turn", code: ipc, place: "S2", both: func(l *Data) { pt(l, "WC").Capped = true }, at: func(l *Data) { pt(l, "S3").Run.Bearing = Degrees(45) }, past: func(l *Data) { pt(l, "S3").Run.Bearing, pt(l, "WV").Run.Bearing = Degrees(44.999), Degrees(44.999) }},
		{rule: "cleanout-turn", code: upc, place: "S2", both: func(l *Data) {
			pt(l, "WC").Run.Bearing = Degrees(315)
			pt(l, "WV").Run.Bearing = Degrees(0)
			pt(l, "S3").Run.Bearing = Degrees(45)
		}, at: keep, past: func(l *Data) { pt(l, "S2").Run.Bearing = Degrees(90.001) }},
		{rule: "cleanout-stack-base", code: ipc, place: "LT", at: func(l *Data) { pt(l, "LT").Cleanout = &Cleanout{} }, past: keep},
		{rule: "cleanout-junction", code: ipc, place: "SO", both: func(l *Data) { pt(l, "S1").ThroughWall = false }, at: func(l *Data) { pt(l, "S1").Run.Length = 10 * ft }, past: func(l *Data) { pt(l, "S1").Run.Length = 10*ft + nm }},
		{rule: "cleanout-both-ways", code: ipc, place: "S1", at: keep, past: func(l *Data) { pt(l, "S1").Cleanout.TwoWay = false }, assumed: true},
		{rule: "cleanout-size", code: ipc, place: "S1", at: func(l *Data) { pt(l, "S1").Cleanout.Size = 4 * in }, past: func(l *Data) { pt(l, "S1").Cleanout.Size = in * 7 / 2 }},
		{rule: "cleanout-clearance", code: ipc, place: "S1", at: func(l *Data) { pt(l, "S1").Cleanout.Clearance = 18 * in }, past: func(l *Data) { pt(l, "S1").Cleanout.Clearance = 18*in - nm }},
		{rule: "cleanout-reach", code: ipc, place: "FD", both: func(l *Data) { l.CableReach = 10 * ft; pt(l, "S2").Cleanout = &Cleanout{TwoWay: true} }, at: keep, past: func(l *Data) { pt(l, "FD").Run.Length = 20*ft + nm }},
		{rule: "cleanout-main", code: ipc, place: "soil", at: keep, past: func(l *Data) { pt(l, "S1").Cleanout.Main, l.Systems[0].Outlet.Size = false, 6*in }, verdict: tables.Ask},

		// Site
		{rule: "drain-material", code: ipc, place: "soil", at: keep, past: func(l *Data) { pt(l, "S1").Run.Material = "bamboo" }, verdict: tables.Ask},
		{rule: "drain-becomes-sewer", code: ipc, place: "S1", at: func(l *Data) { pt(l, "S1").Run.Length = 30 * in }, past: func(l *Data) { pt(l, "S1").Run.Length, l.SewerCover = 30*in+nm, in }, verdict: tables.Ask},
		{rule: "fitting-turn", code: ipc, place: "S3", at: func(l *Data) { pt(l, "S3").Run.Into = "wye" }, past: func(l *Data) { pt(l, "S3").Run.Into = "sanitary-tee" }},
		{rule: "stack-base-branch", code: ipc, place: "NB", at: stackFoot(20 * in), past: stackFoot(20*in - nm)},
		{rule: "footing-clearance", code: ipc, place: "F2", both: under, at: underAt, past: underPast},
		{rule: "footing-sleeve", code: ipc, place: "F1", at: keep, past: func(l *Data) { l.Footings[0].Sleeve = 5 * in }},
		{rule: "footing-plane", code: ipc, place: "F2", at: planeAt, past: planePast},
		{rule: "stub-up", code: ipc, place: "S3", at: func(l *Data) { pt(l, "S3").StubUp = 6 * in }, past: func(l *Data) { pt(l, "S3").StubUp = 6*in - nm }},
		{rule: "slab-thickening", code: ipc, place: "F2", both: thick, at: thickAt, past: thickPast},
	}
	return all, codes
}

func ruleIDs() []string {
	var ids []string
	for _, r := range Rules() {
		ids = append(ids, r.ID)
	}
	return ids
}

// judgedEuropean are the rules that a layout under EN 12056-2 is judged by.
var judgedEuropean = strings.Fields("drain-flow discharge-method branch-length branch-drop branch-bends drain-size " +
	"size-reduction main-drain-undiminished outlet-size drain-grade gravity-depth drain-cover join-level run-on-plan " +
	"system-apart interceptor-capacity drain-crossing footing-clearance footing-sleeve slab-thickening dead-end stub-up " +
	"trap-seal vent-size sewer-cover sump-inlet sump-vent backwater-valve cleanout-reach grease-interceptor")

// onlyEuropean are those that no code in fixture units has.
var onlyEuropean = judgedEuropean[:5]

// judgedTable says how many rules of each family a layout is judged by under each code: of
// what the checks know, those of which the code has a row on the shelf, and those that no code
// decides.
func judgedTable(t *testing.T) string {
	shelf := tables.Embedded()
	rests := map[string][]string{}
	for _, r := range rules() {
		rests[r.id] = strings.Fields(r.rests)
	}
	var families []string
	of := map[string][]string{}
	for _, r := range Rules() {
		if of[r.Family] == nil {
			families = append(families, r.Family)
		}
		of[r.Family] = append(of[r.Family], r.ID)
	}
	has := func(code, rule string) bool {
		if code == en12056.ID {
			return slices.Contains(judgedEuropean, rule)
		}
		for _, row := range rests[rule] {
			if single, ok := strings.CutPrefix(row, "rules:"); ok {
				set, err := shelf.Rules(code)
				if err != nil {
					continue
				}
				if _, ok := set.Rule(single); ok {
					return true
				}
			} else if t, err := shelf.Table(code + "/" + row); err == nil && (rule != "trap-size" || t.Column("trap") >= 0) {
				return true
			}
		}
		return len(rests[rule]) == 0 || OwnLimit(rule) != "" && rule != "vent-size" // the job's least vent sizes none
	}
	codes, err := dwv.Codes(shelf)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("| code |")
	for _, f := range families {
		fmt.Fprintf(&b, " %s |", f)
	}
	b.WriteString("\n| --- |" + strings.Repeat(" ---: |", len(families)) + "\n")
	ids := []string{en12056.ID}
	for _, c := range codes {
		ids = append(ids, c.ID)
	}
	slices.Sort(ids)
	for _, id := range ids {
		fmt.Fprintf(&b, "| %s |", id)
		for _, f := range families {
			n, all := 0, 0
			for _, rule := range of[f] {
				if id != en12056.ID && slices.Contains(onlyEuropean, rule) {
					continue
				}
				if all++; has(id, rule) {
					n++
				}
			}
			fmt.Fprintf(&b, " %d of %d |", n, all)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestReadmeJudged keeps the table of what is judged under each code, and shows that the
// list of the European method names rules.
func TestReadmeJudged(t *testing.T) {
	ids := ruleIDs()
	for _, rule := range judgedEuropean {
		if !slices.Contains(ids, rule) {
			t.Errorf("%s is no rule", rule)
		}
	}
	golden.KeepPart(t, "../../README.md", "what is judged", judgedTable(t))
}
