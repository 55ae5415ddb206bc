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

// A grade that is too flat is a fault of the grade: IPC 2021 Table 704.1 wants 1/8 in
// per ft of 3 to 6 in and 1/4 of smaller pipe, Table 710.1(1) gives one closet 3 in at
// both, and a larger pipe that may lie flatter is no cure. One finding says so. By hand:
// 3.5 dfu do not go on 1-1/2 in (3 at 1/4), so on 2 in; 22 dfu go on 2-1/2 in (24).
func TestGradeTooFlat(t *testing.T) {
	grade := func(text string) (g slope.Grade) {
		if err := g.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		return g
	}
	for _, tt := range []struct {
		name, code, grade string
		closet            bool
		load              dwv.FixtureUnits
		size              units.Length
		says              []string // verdict and rule of all that is no pass on the run
	}{
		{"closet, lawful", "ipc-2021", "1/8 in/ft", true, 0, 3 * in, nil},
		{"closet at 1 %", "ipc-2021", "1 %", true, 0, 3 * in, []string{"ask drain-grade"}},
		{"closet at 0.9 %", "ipc-2021", "0.9 %", true, 0, 3 * in, []string{"fail drain-grade"}},
		{"closet, flatter than the table", "ipc-2021", "1/32 in/ft", true, 0, 3 * in, []string{"fail drain-grade"}},
		{"50 dfu at 1 %", "ipc-2021", "1 %", true, 50 * dwv.FixtureUnit, 4 * in, []string{"ask drain-grade"}},
		{"800 dfu at 1/16: a lawful 8 in", "ipc-2021", "1/16 in/ft", true, 800 * dwv.FixtureUnit, 8 * in, nil},
		{"small pipe at 1/8", "ipc-2021", "1/8 in/ft", false, 7 * dwv.FixtureUnit / 2, 2 * in, []string{"fail drain-grade"}},
		{"22 dfu at 1/8", "ipc-2021", "1/8 in/ft", false, 22 * dwv.FixtureUnit, 5 * in / 2, []string{"fail drain-grade"}},
		{"2 % stays a question", "ipc-2021", "2 %", false, 3 * dwv.FixtureUnit, 3 * in / 2, []string{"ask drain-grade"}},
		{"a division of 1/4 in per ft", "ipc-2021", "2.0833 %", false, 3 * dwv.FixtureUnit, 3 * in / 2, nil},
		{"closet at 1/8 under a code that wants 1/4", "upc-2021", "1/8 in/ft", true, 0, 3 * in, []string{"fail drain-grade"}},
	} {
		code := mustCode(t, tt.code)
		l := &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 8 * in},
			Points: []Point{{ID: "P", To: "O", Reserved: tt.load, Run: Run{Length: 5 * ft, Grade: grade(tt.grade), Material: "pvc-dwv"}}}}}}
		if tt.closet {
			l.Systems[0].Points[0].Fixture = &tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
		}
		l = mustBuild(t, l)
		s := mustSize(t, l, code)
		if r, _ := s.Of("P"); r.Required != tt.size || r.Size != tt.size || r.Problem != "" {
			t.Errorf("%s: %v, want %v; %s", tt.name, r.Required, tt.size, r.Problem)
		}
		var says []string
		for _, f := range mustCheck(t, l, code) {
			if f.Place == "P" && f.Verdict != tables.Pass && slices.Contains([]string{"drain-load", "drain-grade", "drain-size", "drain-closets", "size-reduction"}, f.Rule) {
				says = append(says, fmt.Sprintf("%v %s", f.Verdict, f.Rule))
			}
		}
		if !slices.Equal(says, tt.says) {
			t.Errorf("%s: %q, want %q", tt.name, says, tt.says)
		}
	}
}

// A size that the table lets carry nothing is used by no share of it.
func TestRunThatCarriesNothing(t *testing.T) {
	const drain = "# key: size, grade\nsize[in],grade[in/ft],max_load[dfu],src,status\n3,0.25,0,,read\n4,0.25,40,,read\n"
	fixtures := fixtureHead + "p,a,,,,,,2,,,,read\n"
	l := mustBuild(t, straight(Point{ID: "A", Capped: true, Run: Run{Length: 9 * ft}}))
	if r, _ := mustSize(t, l, mustOwnCode(t, map[string]string{"fixtures": fixtures, "building-drain": drain})).Of("A"); r.Used != 0 || r.Capacity != 0 || r.CapacityCitation.IsZero() {
		t.Errorf("%+v", r)
	}
}

// TestRunsOnPlan: two points 9 ft apart, the lower due south of the upper, and a run
// between them. An inch in ten feet is 0.9 in here, and an inch is let pass; what differs
// by more contradicts the plan. A run that bends may be longer, and never shorter; bearings
// are held to the same inch at the end of the run: 0.5 degrees aside are 0.94 in, and 0.6
// are 1.13. At 45 degrees 9 ft on plan are 12.73 ft of pipe.
func TestRunsOnPlan(t *testing.T) {
	for _, tt := range []struct {
		name    string
		length  units.Length
		bearing float64
		edit    func(p *Point)
		want    string // verdict, and what the reason says
	}{
		{"as it lies", 9 * ft, 180, nil, "pass 9'-0\""},
		{"at the limit", 9*ft + in, 180, nil, "pass 9'-1\""},
		{"one step longer", 9*ft + in + units.Millimetre, 180, nil, "ask apart. No bend"},
		{"at the limit, shorter", 9*ft - in + units.Millimetre, 180, nil, "pass"},
		{"one step shorter", 9*ft - in - units.Millimetre, 180, nil, "fail 9'-0\" apart"},
		{"feet for inches", 9 * in, 180, nil, "fail 9'-0\" apart"},
		{"longer with a bend", 12 * ft, 180, func(p *Point) { p.Run.Fittings = []string{"eighth-bend"} }, "pass"},
		{"shorter with a bend", 7 * ft, 180, func(p *Point) { p.Run.Fittings = []string{"eighth-bend"} }, "fail"},
		{"no bearing", 9 * ft, -1, nil, "pass"},
		{"opposite", 9 * ft, 0, nil, "ask toward 0 deg; from the coordinates of its ends it flows toward 180 deg."},
		{"aside", 9 * ft, 225, nil, "ask toward 225 deg"},
		{"a hair aside", 9 * ft, 180.5, nil, "pass"},
		{"more than a hair", 9 * ft, 179.4, nil, "ask toward 179.4 deg"},
		{"upright", 9 * ft, 0, func(p *Point) { p.Run.Vertical, p.Run.Grade = true, slope.Grade{} }, ""},
		{"not placed", 7 * ft, 0, func(p *Point) { p.At = nil }, ""},
		{"steep, along the pipe", 12*ft + 8*in + 3*in/4, 180, func(p *Point) { p.Run.Grade = slope.OneIn(1) }, "pass"},
		{"steep, on plan", 9 * ft, 180, func(p *Point) { p.Run.Grade = slope.OneIn(1) }, "fail"},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 5 * ft}}, Point{ID: "B", Run: Run{Length: tt.length}})
		pt(l, "A").At, pt(l, "B").At = &Position{X: 3 * ft, Y: 4 * ft}, &Position{X: 3 * ft, Y: 13 * ft}
		if tt.bearing >= 0 {
			pt(l, "B").Run.Bearing = Degrees(tt.bearing)
		}
		if tt.edit != nil {
			tt.edit(pt(l, "B"))
		}
		var got []string
		for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
			if f.Rule == "run-on-plan" {
				got = append(got, f.Verdict.String()+" "+f.Reason)
			}
		}
		verdict, says, _ := strings.Cut(tt.want, " ")
		if tt.want == "" && len(got) > 0 || tt.want != "" && (len(got) != 1 || !strings.HasPrefix(got[0], verdict+" ") || !strings.Contains(got[0], says)) {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	short := straight(Point{ID: "A", Run: Run{Length: 7 * ft}})
	short.Systems[0].Outlet.At, pt(short, "A").At = &Position{}, &Position{Y: 9 * ft}
	wantFinding(t, mustCheck(t, short, firmCode(t, "ipc-2021")), `fail|run-on-plan|A|7'-0"|9'-0"|-2'-0"|7'-0" long`)
	l := straight(Point{ID: "A", Run: Run{Length: 5 * ft, Bearing: Degrees(90)}})
	l.Systems[0].Outlet.At, pt(l, "A").At = &Position{}, &Position{Y: 50 * ft}
	if got := findingsOf(t, l, "run-on-plan"); len(got) != 2 {
		t.Errorf("length and bearing to an outlet: %q", got)
	}
}

// TestLengthFromPlan: 3 ft across and 4 ft ahead are 5 ft of pipe. At 1 in 4 they are
// 5.15 ft, at which the crew would cut it. Bends, a missing coordinate and an upright run
// leave the length to be given, as does a length of nothing; and one that is not there at all
// is a fault.
func TestLengthFromPlan(t *testing.T) {
	layout := func(run, at string) string {
		return `{"finished_floor":"100 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"97 ft","at":{"x":"1 ft","y":"1 ft"}},
"points":[{"id":"A","to":"O"` + at + `,"run":{"size":"3 in"` + run + `}}]}]}`
	}
	const placed = `,"at":{"x":"4 ft","y":"5 ft"}`
	for _, tt := range []struct {
		run, at string
		want    units.Length
	}{
		{`,"grade":"1/4 in/ft","length":"plan"`, placed, 5 * ft},
		{`,"grade":"1:4","length":"plan"`, placed, 1570900 * units.Micrometre},
		{`,"grade":"1/4 in/ft","length":"7 ft"`, placed, 7 * ft},
		{`,"grade":"1/4 in/ft","length":"0 ft"`, placed, 0},
		{`,"grade":"1/4 in/ft"`, placed, 0},
		{`,"grade":"1/4 in/ft","length":"plan","fittings":["eighth-bend"]`, placed, 0},
		{`,"grade":"1/4 in/ft","length":"plan"`, ``, 0},
		{`,"grade":"1/4 in/ft","length":"plan"`, `,"at":{"x":"1 ft","y":"1 ft"}`, 0},
		{`,"vertical":true,"length":"plan"`, placed, 0},
	} {
		l, err := parse("f", []byte(layout(tt.run, tt.at)))
		if tt.want == 0 {
			if err == nil || !strings.Contains(err.Error(), "length: missing or zero") &&
				!strings.Contains(err.Error(), "length: it is zero") {
				t.Errorf("%s%s: %v", tt.run, tt.at, err)
			}
			continue
		}
		if err != nil || pt(l, "A").Run.Length != tt.want {
			t.Errorf("%s%s: %v, %v", tt.run, tt.at, err, pt(l, "A").Run.Length)
		}
	}
}

// TestTakenAsOne: 1/4 in per ft is 2.083 %, and 2 % is taken for it; 1/8 is 1.042 %, and 1 %; 3/16 is 1.5625 %, and
// 1.5 %. Of what is no whole sixteenth, as 1 in 133 (0.752 %) or 1 in 60 (1.667 %), a hundredth is let go: down to
// 0.744 % and 1.65 %.
func TestTakenAsOne(t *testing.T) {
	percent := func(p float64) slope.Grade {
		g, err := slope.Percent(p)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	for _, tt := range []struct {
		limit       slope.Grade
		taken, past float64 // in per cent
	}{
		{slope.PerFoot(in / 4), 2, 1.99}, {slope.PerFoot(in / 8), 1, 0.99}, {slope.PerFoot(in * 3 / 16), 1.5, 1.49},
		{slope.OneIn(133), 0.75, 0.74}, {slope.OneIn(60), 1.66, 1.64},
	} {
		if !takenAsOne(percent(tt.taken), tt.limit) || takenAsOne(percent(tt.past), tt.limit) {
			t.Errorf("for %v: %v %% %v, %v %% %v", tt.limit, tt.taken, takenAsOne(percent(tt.taken), tt.limit), tt.past,
				takenAsOne(percent(tt.past), tt.limit))
		}
	}
}

// TestBackwaterAtTheCover: the closet's rim stands 15 in above the floor and its branch has a backwater valve. With the
// cover of the manhole as high as that the sewer cannot reach it, so that it must not drain through the valve (IPC 2021
// 714.1); a step higher it must. Nothing else lies behind the valve.
func TestBackwaterAtTheCover(t *testing.T) {
	for cover, high := range map[units.Length]bool{100*ft + 15*in: true, 100*ft + 15*in + nm: false} {
		for _, valve := range []bool{true, false} {
			l := mustLayout(t, "workshop.json")
			l.UpstreamManhole, pt(l, "WV").Backwater = &cover, valve
			low, above := false, false
			for _, f := range mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")) {
				if f.Rule == "backwater-valve" && f.Place == "soil" && f.Verdict == tables.Fail && strings.Contains(f.Reason, "WC") {
					low, above = low || f.Side == "below", above || f.Side == "above"
				}
			}
			if above != (high && valve) || low != (!high && !valve) {
				t.Errorf("cover at %v, valve %v: too high %v, too low %v", cover, valve, above, low)
			}
		}
	}
}

// TestInletAtHighWater: the inlet of a sump may lie as high as its water rises, and then there is nothing to mend.
func TestInletAtHighWater(t *testing.T) {
	for below, want := range map[units.Length]string{0: `pass|sump-inlet|O|0"|0"|0"|lies 0" above its high water.`,
		-in: `fail|sump-inlet|O|-1"|0"|-1"|Set the pump`} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
		o := &l.Systems[0].Outlet
		o.Kind, o.Sump = ToSump, &Sump{HighWater: new(o.Invert - below)}
		wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), want)
	}
}

// TestSizesPassedOver: 22 units need 2-1/2 in (24, IPC 2021 Table 710.1(1)), which few counters stock: 3 in are laid where
// nothing is drawn, and that is said. What is drawn of 3 in is not, nor a run that needs 2 in. A drain of 300 units needs
// 5 in (480), and its vent half of that.
func TestSizesPassedOver(t *testing.T) {
	for _, tt := range []struct {
		load  dwv.FixtureUnits
		drawn units.Length
		vent  bool
		said  bool
	}{{22, 0, false, true}, {22, 3 * in, false, false}, {12, 0, false, false}, {300, 5 * in, false, false}, {300, 5 * in, true, true}} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Reserved: tt.load * dwv.FixtureUnit})
		pt(l, "A").Run.Size = tt.drawn
		if tt.vent {
			l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}}}
		}
		var assumed []tables.Assumption
		if _, err := checkOf(mustBuild(t, l), firmCode(t, "ipc-2021"), CheckOptions{Assumed: &assumed},
			Options{SkipSizes: []units.Length{in * 5 / 2}}); err != nil {
			t.Fatal(err)
		}
		said := slices.ContainsFunc(assumed, func(a tables.Assumption) bool { return a.Rule == "drain-size" })
		if said != tt.said {
			t.Errorf("%d units, drawn %v, a vent %v: said %v", tt.load, tt.drawn, tt.vent, said)
		}
	}
}

// TestOverlayOrCover: AS/NZS 3500.2 asks for 25 mm over a pipe, as the printed finding says with its place there. A job that asks
// for as much adds nothing; one that asks for more is held to that.
func TestOverlayOrCover(t *testing.T) {
	code := mustCode(t, "asnzs3500-2")
	for asked, want := range map[units.Length]string{0: "overlay", 25 * units.Millimetre: "overlay", 26 * units.Millimetre: "cover"} {
		l := mustLayout(t, "jobs/overlay-25-mm.json")
		l.MinimumCover = asked
		if r := reasonOf(t, mustCheck(t, mustBuild(t, l), code), "drain-cover", "PAN"); !strings.HasPrefix(r, "The "+want+" from the top") {
			t.Errorf("%v asked by the job: %s", asked, r)
		}
	}
}

// TestInchesForFeet: a length that is a twelfth of the way on plan, or twelve times it, was keyed in the wrong unit, and so was one
// that is a thousandth, a hundredth or a tenth; it counts as that if it is within a fiftieth.
func TestInchesForFeet(t *testing.T) {
	const mm, m = units.Millimetre, units.Metre
	for _, c := range []struct {
		said, way units.Length
		want      string
	}{
		{4 * in, 4 * ft, "feet are meant where it says inches"}, {4 * ft, 4 * in, "inches are meant where it says feet"},
		{5 * mm, 5 * m, "metres are meant where it says millimetres"}, {5 * m, 5 * mm, "millimetres are meant where it says metres"},
		{50 * mm, 5 * m, "metres are meant where it says centimetres"}, {5 * mm, 50 * mm, "centimetres are meant where it says millimetres"},
		{509 * mm / 10, 50 * m, "metres are meant where it says millimetres"}, {51 * mm, 50 * m, ""},
		{491 * mm / 10, 50 * m, "metres are meant where it says millimetres"}, {49 * mm, 50 * m, ""},
		{4 * ft, 4 * ft, ""}, {8 * ft, 4 * ft, ""},
	} {
		if got := inchesForFeet(c.said, c.way); (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%v for %v: %q, want %q", c.said, c.way, got, c.want)
		}
	}
}

// TestJoinsAssumed: that pipes join centre to centre is told where bores differ and nobody says how they join, and only there.
func TestJoinsAssumed(t *testing.T) {
	for _, c := range []struct {
		name string
		size units.Length
		join slope.Join
		told bool
	}{
		{"of one size", 3 * in, slope.JoinNotStated, false}, {"into larger", 2 * in, slope.JoinNotStated, true},
		{"into larger, as stated", 2 * in, slope.AtCrown, false},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft, Size: c.size, Join: c.join}})
		var assumed []tables.Assumption
		if _, err := checkOf(l, mustCode(t, "ipc-2021"), CheckOptions{Assumed: &assumed}); err != nil {
			t.Fatal(err)
		}
		if told := slices.ContainsFunc(assumed, func(a tables.Assumption) bool { return a.Rule == "join-level" }); told != c.told {
			t.Errorf("%s: told %v", c.name, told)
		}
	}
}
