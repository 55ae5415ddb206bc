package drains

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What the drains of the workshop are told, and what would mend them. IPC 2021 Table
// 710.1(1): 36 dfu on 3 in at 1/8 in per ft, 42 at 1/4; 21 on 2 in, from 1/4 on.
func TestDrains(t *testing.T) {
	codes := map[string]*dwv.Code{"firm": firmCode(t, "ipc-2021"), "recalled": mustCode(t, "ipc-2021")}
	// small lays S2 of 3 in at 2 %, which the code is recalled to take as 1/4 in per ft.
	small := func(l *Data, load dwv.FixtureUnits) {
		pt(l, "S2").Run.Size, pt(l, "S2").Run.Grade = 3*in, slope.OneIn(50)
		pt(l, "LA").Reserved = load - 5*dwv.FixtureUnit // the closet and the lavatory are 5
	}
	// closet changes the bend of the closet, which is of 4 in before a drain of 3 in.
	closet := func(edit func(wc *Point)) func(l *Data) {
		return func(l *Data) { pt(l, "WC").Run.ClosetBend = false; edit(pt(l, "WC")) }
	}
	raised := func(by units.Length) func(l *Data) {
		return func(l *Data) { l.Systems[0].Outlet.Invert += by }
	}
	thousandth := in / 1000
	interceptor := func(n Interceptor) func(l *Data) {
		return func(l *Data) { n.Kind = "solids"; pt(l, "C1").Interceptor = &n }
	}
	const gpm, gal = units.USGallonPerMinute, units.USGallon
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"a larger size carries it", "firm", func(l *Data) { pt(l, "WC").Fixture.Count = 12; pt(l, "S2").Run.Size = 3 * in },
			`fail|drain-load|S2|49 dfu|42 dfu|-7 dfu|Lay 4".`},
		{"no size carries it", "firm", func(l *Data) { pt(l, "LA").Reserved = 20_000 * dwv.FixtureUnit },
			"fail|drain-load|S1|20005 dfu|216 dfu|-19789 dfu|Lay a larger pipe, or a steeper one."},
		{"the flatter column carries it", "recalled", func(l *Data) { small(l, 36*dwv.FixtureUnit) },
			"pass|drain-load|S2|36 dfu|36 dfu|0 dfu"},
		{"only the steeper column does", "recalled", func(l *Data) { small(l, 36_001*dwv.FixtureUnit/1000) },
			"ask|drain-load|S2|36.001 dfu|42 dfu|5.999 dfu|taken as 1/4 in/ft"},
		{"the least grade is asked about", "recalled", func(l *Data) {
			pt(l, "S3").Run.Size, pt(l, "S3").Run.Grade = 2*in, slope.OneIn(50)
		}, "pass|drain-load|S3|1 dfu|21 dfu|20 dfu"},

		{"twice the least grade", "firm", func(*Data) {},
			"pass|drain-grade|S1|1/4 in/ft|1/8 in/ft|1/8 in/ft|falls 1/4 in/ft; at least 1/8 in/ft."},
		{"one closet", "firm", func(*Data) {}, "pass|drain-closets|WV|1|-|-|carries one water closet"},
		{"two closets", "firm", func(l *Data) { pt(l, "WC").Fixture.Count = 2 },
			"pass|drain-closets|WV|2|-|-|carries 2 water closets"},
		{"of the trap's own size", "firm", func(l *Data) { pt(l, "LA").Trap.Size, pt(l, "LA").Run.Size = 2*in, 2*in },
			"nothing of fixture-drain-size at LA"},

		{"perhaps a closet bend", "firm", closet(func(*Point) {}),
			`fail|size-reduction|WC|3"|4"|-1"|mark it so; else lay 4" from there on.`},
		{"a closet on 3 in", "firm", func(l *Data) {
			closet(func(wc *Point) { wc.Run.Size = 3 * in })(l)
			pt(l, "WV").Run.Size = 2 * in
		}, `fail|size-reduction|WC|2"|3"|-1"|!closet bend`},
		{"no closet", "firm", closet(func(wc *Point) { wc.Fixture.Kind, wc.Fixture.Use = "shower", tables.Private }),
			`fail|size-reduction|WC|3"|4"|-1"|!closet bend`},
		{"a closet and more", "firm", func(l *Data) {
			closet(func(*Point) {})(l)
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "WX", To: "WC", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}})
		}, `fail|size-reduction|WC|3"|4"|-1"|!closet bend`},

		// The floor drain is 19.716 in below the cover of 2 in under the slab.
		{"an outlet of the drain's size", "firm", func(*Data) {}, `pass|outlet-size|SO|4"|4"|0"|!too small`},
		{"the larger of two at the outlet", "firm", func(l *Data) { pt(l, "FD").To = "SO" }, `pass|outlet-size|SO|4"|4"|0"`},
		{"how much too high", "firm", raised(24 * in), `fail|gravity-depth|soil|-2.284"|2"|-4.284"|Lower the outlet by 4.284"`},
		{"by how much", "firm", raised(24 * in), `fail|gravity-depth|soil|-2.284"|2"|-4.284"|The outlet of system soil is 4.284" too high`},
		{"cover", "firm", func(*Data) {}, `pass|drain-cover|FD|1'-9.716"|2"|1'-7.716"|is 1'-9.716"; at least 2".`},
		{"an inch too near the slab", "firm", raised(20716 * thousandth),
			`fail|drain-cover|FD|1"|2"|-1"|is 1"; at least 2": 1" too little.`},
		{"under the very slab", "firm", raised(21716 * thousandth),
			`fail|drain-cover|FD|0"|2"|-2"|is 0"; at least 2": 2" too little.`},
		{"an inch into the slab", "firm", raised(22716 * thousandth),
			`fail|drain-cover|FD|-1"|2"|-3"|stands 1" into the slab`},
		// Bores of 4.026 and 3.068 in, invert to invert.
		{"a branch in the flow of the main", "firm", func(*Data) {}, `pass|join-level|S2|0.958"|-|-|its crown 0.958" below`},

		{"a riser has no crown to join at", "firm", func(*Data) {}, "nothing of join-level at SP"},
		{"nor has a branch into one", "firm", func(*Data) {}, "nothing of join-level at LA"},
		{"admitted for what it carries", "firm", func(l *Data) { l.Systems[1].Admits = []string{"clay", "standpipe"} },
			"pass|system-apart|CS|-|-|-"},
		{"carries what is not admitted", "firm", func(l *Data) { l.Systems[1].Admits = []string{"standpipe", "oil"} },
			"fail|system-apart|CS|-|-|-"},
		{"carries nothing named", "firm", func(l *Data) { l.Systems[1].Admits = []string{"clay"} },
			"fail|system-apart|SP|-|-|-"},

		{"by volume and time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal, Retention: 120}),
			"pass|interceptor-capacity|C1|-|-|-"},
		{"too small for the time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal, Retention: 121.5}),
			"fail|interceptor-capacity|C1|40 gal|40.5 gal|-0.5 gal"},
		{"by the rated flow, time without volume", "firm",
			interceptor(Interceptor{Inflow: 20 * gpm, Rated: 20 * gpm, Retention: 120}), "pass|interceptor-capacity|C1|-|-|-"},
		{"by the rated flow, volume without time", "firm",
			interceptor(Interceptor{Inflow: 20 * gpm, Rated: 20 * gpm, Volume: 40 * gal}), "pass|interceptor-capacity|C1|-|-|-"},
		{"volume without time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal}),
			"ask|interceptor-capacity|C1|-|-|-|Neither"},
		{"time without volume", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Retention: 120}),
			"ask|interceptor-capacity|C1|-|-|-|Neither"},
		{"no flow given", "firm", interceptor(Interceptor{Rated: 20 * gpm}),
			"ask|interceptor-capacity|C1|-|-|-|The flow into"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{}), tt.want)
		})
	}
}

// A finding that rests on two rows of one standing cites the one named first: the count
// of branch intervals, not how high one is.
func TestCitesTheRuleFirst(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\nset,vent-stack-intervals,5,count,2,town,read\n")
	for _, f := range mustCheck(t, mustBuild(t, tower(5)), code) {
		if f.Rule == "vent-stack-needed" && f.Citation.Row() != "rule vent-stack-intervals" {
			t.Errorf("%v", f.Citation)
		}
	}
}

// An outlet that takes one drain of its size and is too small for another, drawn larger
// than its load asks for, fails and does not pass as well.
func TestOutletOfTwoDrains(t *testing.T) {
	for size, want := range map[units.Length]string{
		4 * in: `pass|outlet-size|SO|4"|4"|0"`,
		6 * in: `fail|outlet-size|SO|4"|6"|-2"`,
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, "FD").To, pt(l, "FD").Run.Size = "SO", size
		var got []string
		for _, f := range mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")) {
			if f.Rule == "outlet-size" && f.Place == "SO" {
				got = append(got, line(f))
			}
		}
		if len(got) != 1 || got[0] != want {
			t.Errorf("a drain of %v at the outlet of 4 in: %q, want %q", size, got, want)
		}
	}
}

// The IRC rates several bathrooms as one (Table P3004.1, recalled): two and a half are
// three closets. No closet goes on less than 3 in, nor into a waste system.
func TestBathroomGroups(t *testing.T) {
	code := mustCode(t, "irc-2021")
	closets := map[string]int{
		"bathroom-group": 1, "half-bathroom-group": 1, "bathroom-groups-1-5": 2, "bathroom-groups-2": 2,
		"bathroom-groups-2-5": 3,
		"bathroom-groups-3":   3, "bathroom-groups-3-5": 4, "lavatory": 0, "kitchen-group": 0, "laundry-group": 0,
	}
	for _, fixture := range code.Fixtures() {
		kind := fixture.ID
		if _, ok := closets[kind]; !ok && strings.Contains(kind, "bath") && kind != "bathtub" {
			t.Errorf("what of %s?", kind)
		}
	}
	for kind, want := range closets {
		f := tables.Fixture{Kind: kind, Count: 1, Flush: 1.6 * units.USGallon}
		if want == 0 {
			f.Flush = 0
		}
		load, err := code.FixtureLoad(f)
		if err != nil || load.Closets != want {
			t.Errorf("%s: %d closets, %v; want %d", kind, load.Closets, err, want)
		}
		for _, size := range []units.Length{2 * in, 0} {
			l := mustBuild(t, &Data{FinishedFloor: 100 * ft,
				Systems: []System{{ID: "S", Kind: Waste, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 4 * in},
					Points: []Point{{ID: "P", To: "O", Fixture: &f,
						Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4), Size: size, Material: "pvc-dwv"}}}}}})
			s := mustSize(t, l, code)
			r, _ := s.Of("P")
			if r.Closets != want || want > 0 && r.Required != 3*in {
				t.Errorf("%s: %d closets, %v required", kind, r.Closets, r.Required)
			}
			says := map[string]bool{}
			for _, f := range mustCheck(t, l, code) {
				if f.Place == "P" && failed(&f) {
					says[f.Rule] = true
				}
			}
			if says["drain-closets"] != (want > 0 && size > 0) || says["system-apart"] != (want > 0) {
				t.Errorf("%s on %v: %v", kind, size, says)
			}
		}
	}
}

// Names that count bathrooms, and names that do not.
func TestBathroomsOfAKind(t *testing.T) {
	for kind, want := range map[string]string{"bathroom-groups-2": "2 0", "bathroom-groups-2-5": "2 1",
		"bathroom-groups-x": "0 0", "bathroom-groups-0": "0 0", "bathtub": "0 0"} {
		full, half := dwv.Bathrooms(kind)
		if got := fmt.Sprintf("%d %d", full, half); got != want {
			t.Errorf("%s: %s, want %s", kind, got, want)
		}
	}
}

// UPC Table 703.2 note 4: sources have three closets on a flat 3 in drain, and five.
// Three pass by both; of four the figures differ, so the drawn pipe is asked about with
// both said; what is not drawn is laid by the three.
func TestClosetsOfWhichSourcesDisagree(t *testing.T) {
	code := mustCode(t, "upc-2021")
	for _, tt := range []struct {
		closets int
		drawn   units.Length
		size    units.Length
		verdict tables.Verdict
	}{
		{3, 3 * in, 3 * in, tables.Pass},
		{4, 3 * in, 4 * in, tables.Ask},
		{4, 0, 4 * in, tables.Pass},
	} {
		l := mustBuild(t, &Data{FinishedFloor: 100 * ft,
			Systems: []System{{ID: "S", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToDrain, Invert: 95 * ft, Size: 4 * in},
				Points: []Point{{ID: "P", To: "O", Fixture: &tables.Fixture{Kind: "water-closet", Count: tt.closets,
					Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon},
					Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4), Size: tt.drawn, Material: "pvc-dwv"}}}}}})
		s := mustSize(t, l, code)
		if r, _ := s.Of("P"); r.Required != tt.size {
			t.Errorf("%d closets require %v, want %v", tt.closets, r.Required, tt.size)
		}
		found := 0
		for _, f := range mustCheck(t, l, code) {
			if f.Rule != "drain-closets" || f.Place != "P" {
				continue
			}
			found++
			if f.Verdict != tt.verdict || f.Verdict == tables.Ask &&
				!(strings.Contains(f.Reason, "limit 3") && strings.Contains(f.Reason, "five")) {
				t.Errorf("%d closets on %v: %v, want %v", tt.closets, tt.drawn, f, tt.verdict)
			}
		}
		if found != 1 {
			t.Errorf("%d closets: %d findings", tt.closets, found)
		}
	}
	// A question without a layout keeps its size.
	if r, err := code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 12 * dwv.FixtureUnit, Closets: 4,
		Grade: slope.PerFoot(in / 4)}); err != nil || r.Size != 4*in {
		t.Errorf("four closets by themselves: %v, %v", r.Size, err)
	}
}

// TestUnratedAlike: one closet of which nothing is stated counts from 3 to 6 dfu, and its 3 in
// drain carries 42 (IPC 2021 Table 710.1(1)): whichever it is nothing changes, and it is assumed.
func TestUnratedAlike(t *testing.T) {
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "X", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "water-closet", Count: 1}})
	var assumed []tables.Assumption
	found, err := checkOf(l, firmCode(t, "ipc-2021"), CheckOptions{Assumed: &assumed})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		if f.Rule == "drain-load" && f.Verdict == tables.Ask {
			t.Error(f)
		}
	}
	if !slices.ContainsFunc(assumed, func(a tables.Assumption) bool { return a.Rule == "drain-load" && a.Place == "X" }) {
		t.Errorf("assumed: %v", assumed)
	}
}

// TestUnratedFixture: closets of which nothing is stated have no load in the IPC, and a
// bidet that no row rates has none either. The place is asked about, once, with all that
// carries more than is counted: of these what would pass does not, and what fails fails; the
// rest is judged as ever.
func TestUnratedFixture(t *testing.T) {
	lavatory := tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
	for _, tt := range []struct {
		fixture tables.Fixture
		says    string
	}{
		{tables.Fixture{Kind: "water-closet", Count: 12}, "use: not stated"}, // 36 dfu to 72, and 3 in carries 42
		{tables.Fixture{Kind: "samovar", Count: 1}, "samovar at X: this code has no load for it"},
		{tables.Fixture{Kind: "floor-sink", Count: 1, Size: 9 * in}, "9 in: the code rates traps of"},
	} {
		for _, many := range []int{1, 60} {
			other := lavatory
			other.Count = many
			l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}},
				Point{ID: "X", Run: Run{Length: 9 * ft}, Fixture: &tt.fixture},
				Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: &lavatory})
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "M", To: "D", Run: l.Systems[0].Points[0].Run, Fixture: &other})
			l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "X", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
			got := map[string]string{}
			for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
				if f.Rule == "drain-load" || f.Rule == "vent-size" {
					got[f.Place] = f.Verdict.String() + " " + f.Reason
				}
			}
			// 61 units and more are over what 3 in carries, 42 (IPC 2021 Table 710.1(1)).
			down, branch, waits := "", "pass ", "drains at D carry and the size of vents V wait"
			if many > 1 {
				down, branch, waits = "fail ", "fail ", "The size of vents V waits"
			}
			for place, want := range map[string][2]string{"D": {down, ""}, "X": {"ask ", tt.says}, "L": {"pass ", ""},
				"M": {branch, ""}, "V": {"", ""}} {
				if want[0] == "" && got[place] != "" || !strings.HasPrefix(got[place], want[0]) ||
					!strings.Contains(got[place], want[1]) {
					t.Errorf("%s, %d lavatories: %s: %s, want %v", tt.fixture.Kind, many, place, got[place], want)
				}
			}
			if !strings.Contains(got["X"], waits) {
				t.Errorf("%s: what waits is not named: %s", tt.fixture.Kind, got["X"])
			}
		}
	}
	l := straight(Point{ID: "X", Run: Run{Length: 9 * ft, Size: 2 * in},
		Fixture: &tables.Fixture{Kind: "water-closet", Count: 2}})
	if r, _ := mustSize(t, l, mustCode(t, "ipc-2021")).Of("X"); r.Closets != 2 || r.Required < 3*in {
		t.Errorf("two closets of no known load: %+v", r)
	}
}

// TestUnratedElsewhere makes one fixture of a random layout one that the code does not
// rate: what is said of drains that it does not drain through stays.
func TestUnratedElsewhere(t *testing.T) {
	for _, code := range codesUnderTest(t) {
		for seed := range uint64(15) {
			r := rand.New(rand.NewPCG(seed, 31))
			l := randomLayout(r, 5+r.IntN(40))
			s := r.IntN(2)
			at := slices.IndexFunc(l.Systems[s].Points, func(p Point) bool {
				return p.Fixture != nil &&
					p.Fixture.Kind != "water-closet"
			})
			if at < 0 {
				continue
			}
			on := map[string]bool{}
			for p := &l.Systems[s].Points[at]; ; p = pt(l, p.To) {
				if on[p.ID] = true; p.To == l.Systems[s].Outlet.ID {
					break
				}
			}
			other := copyLayout(l)
			other.Systems[s].Points[at].Fixture = &tables.Fixture{Kind: "samovar", Count: 1}
			loads := func(l *Data) (out []string) {
				for _, f := range checkAllWays(t, l, code, CheckOptions{}) {
					if f.Rule == "drain-load" && !on[f.Place] {
						out = append(out, f.String())
					}
					if f.Rule == "drain-load" && on[f.Place] && f.Verdict == tables.Pass && l == other &&
						!strings.Contains(f.Reason, "trap arm") {
						t.Errorf("%v, seed %d: passed with a load that is not known: %v", code, seed, f)
					}
				}
				return out
			}
			if diff := cmp.Diff(loads(l), loads(other)); diff != "" {
				t.Errorf("%v, seed %d: (-rated +unrated):\n%s", code, seed, diff)
			}
		}
	}
}

// TestApartWords: a word that a system admits or refuses is a fixture of some code on the
// shelf, or carried by some point. Any other is a misspelling, and keeps nothing out.
func TestApartWords(t *testing.T) {
	layout := func(field, word string) string {
		return fmt.Sprintf(`{"finished_floor":"100 ft","systems":[{"id":"s","kind":"soil","%s":["%s"],"outlet":{"id":"O","kind":"sewer","invert":"97 ft"},
"points":[{"id":"A","to":"O","carries":"clay","run":{"length":"4 ft","grade":"1/4 in/ft"},"fixture":{"fixture":"lavatory","use":"public"}}]}]}`, field, word)
	}
	code := mustCode(t, "ipc-2021")
	for _, field := range []string{"admits", "refuses"} {
		for word, misspelt := range map[string]bool{"lavatory": false, "clay": false, "standpipe": false, "lavatary": true,
			"caly": true, "": true} {
			_, err := parse("f", []byte(layout(field, word)), code)
			want := fmt.Sprintf("f:1:%d: system \"s\": %s: %q is no fixture of ipc-2021, and no point carries it",
				66+len(field), field, word)
			if misspelt != (err != nil) || misspelt && err.Error() != want {
				t.Errorf("%s %q: %v", field, word, err)
			}
			if err == nil {
				continue
			}
			l, err := parse("f", []byte(layout(field, word)))
			if err != nil {
				t.Fatal(err)
			}
			asked := ""
			for _, f := range checkAllWays(t, l, code, CheckOptions{}) {
				if f.Rule == "system-apart" && f.Place == "s" {
					asked += f.String()
				}
			}
			if !strings.Contains(asked, fmt.Sprintf("%s %q", field, word)) {
				t.Errorf("without a code %s %q: %s", field, word, asked)
			}
		}
	}
}

// UPC 2021 Table 703.2: vertical drains of 2 in up to 85 ft, of 3 in up to 212 ft, of
// 5 in (recalled) up to 390 ft; no row for 10 in. IPC has no such limit.
func TestStackLength(t *testing.T) {
	riser := func(id, to string, length, size units.Length) Point {
		return Point{ID: id, To: to, Run: Run{Length: length, Vertical: true, Size: size, Material: "pvc-dwv"}}
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"at the limit", "upc-2021", func(l *Data) { pt(l, "LT").Run.Length = 85 * ft },
			`pass|stack-length|LT|85'-0"|85'-0"|0"`},
		{"an inch over", "upc-2021", func(l *Data) { pt(l, "LT").Run.Length = 85*ft + in },
			`fail|stack-length|LT|85'-1"|85'-0"|-1"`},
		{"two runs of one size", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 80 * ft
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in))
		}, `fail|stack-length|LT|86'-0"|85'-0"|-1'-0"`},
		{"the upper run is smaller", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 80 * ft
			pt(l, "LT").Run.Size = 3 * in
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in))
		}, `pass|stack-length|LT|80'-0"|212'-0"|132'-0"`},
		{"two come together", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 40 * ft
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in), riser("L3", "LT", 7*ft, 2*in))
		}, `pass|stack-length|LT|47'-0"|85'-0"|38'-0"`},
		{"a recalled row", "upc-2021", func(l *Data) { pt(l, "LT").Run.Size = 5 * in },
			`ask|stack-length|LT|5'-0"|390'-0"|385'-0"`},
		{"a size without a row", "upc-2021", func(l *Data) { pt(l, "LT").Run.Size = 10 * in }, `ask|stack-length|LT|-|-|-`},
		{"IPC", "ipc-2021", func(l *Data) { pt(l, "LT").Run.Length = 500 * ft }, `none of stack-length`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{}), tt.want)
		})
	}
}

// The lookup answers what was typed from the table a second time, and refuses the rest.
func TestStackLengthLookup(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	for _, bad := range []struct {
		size units.Length
		code string
		want error
	}{{10 * in, "upc-2021", tables.ErrOutsideTable}, {3 * in / 4, "upc-2021", tables.ErrOutsideTable},
		{0, "upc-2021", tables.ErrQuery}, {-in, "upc-2021", tables.ErrQuery}, {3 * in, "ipc-2021", tables.ErrNotInCode}} {
		if most, _, err := mustCode(t, bad.code).StackLength(bad.size); !errors.Is(err, bad.want) ||
			most.Kind != tables.Blank {
			t.Errorf("%s, %v: %v, %v, want %v", bad.code, bad.size, most, err, bad.want)
		}
	}
	_, seen, err1 := upc.StackLength(4 * in)
	_, recalled, err2 := upc.StackLength(6 * in)
	if err1 != nil || err2 != nil || !seen.Status().Firm() || recalled.Status().Firm() {
		t.Errorf("standing of 4 in %v, of 6 in %v (%v, %v)", seen.Status(), recalled.Status(), err1, err2)
	}
}

// Clothes washers are counted where they drain in: those that a standpipe or another receptor names, or else the
// standpipe's own one. What else stands at a point is no washer.
func TestWashersAt(t *testing.T) {
	fixture := func(kind string, count int) *tables.Fixture { return &tables.Fixture{Kind: kind, Count: count} }
	two := &Receptor{Indirect: []tables.Fixture{*fixture("clothes-washer", 2), *fixture("dishwasher", 1)}}
	for _, tt := range []struct {
		name string
		pt   Point
		want int
	}{
		{"nothing", Point{}, 0}, {"three washers", Point{Fixture: fixture("clothes-washer", 3)}, 3},
		{"a standpipe", Point{Fixture: fixture("standpipe", 1)}, 1}, {"four standpipes", Point{Fixture: fixture("standpipe", 4)}, 4},
		{"a standpipe of two", Point{Fixture: fixture("standpipe", 1), Receptor: two}, 2},
		{"a floor sink of two", Point{Fixture: fixture("floor-sink", 1), Receptor: two}, 2},
		{"a standpipe that names none", Point{Fixture: fixture("standpipe", 1), Receptor: &Receptor{}}, 1},
		{"five lavatories", Point{Fixture: fixture("lavatory", 5)}, 0},
	} {
		if got := washersAt(&tt.pt); got != tt.want {
			t.Errorf("%s: %d, want %d", tt.name, got, tt.want)
		}
	}
}

// TestWhichever: by IPC 2021 Table 709.1 a water closet of which nothing is stated is 3 units at the least, private and of
// 1.6 gal, and 6 at the most, public and of more; with its use stated 4 to 6 or 3 to 4, with its flush as well one figure.
func TestWhichever(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	const gal = units.USGallon
	for _, tt := range []struct {
		fixture     tables.Fixture
		least, most dwv.FixtureUnits
	}{
		{tables.Fixture{}, 3, 6}, {tables.Fixture{Use: tables.Public}, 4, 6}, {tables.Fixture{Use: tables.Private}, 3, 4},
		{tables.Fixture{Flush: 3.5 * gal}, 4, 6}, {tables.Fixture{Flush: 1.6 * gal}, 3, 4},
		{tables.Fixture{Flush: 3.5 * gal, Use: tables.Public, Control: tables.Tank}, 6, 6},
	} {
		tt.fixture.Kind, tt.fixture.Count = "water-closet", 1
		s := mustSize(t, straight(Point{ID: "X", Run: Run{Length: 9 * ft}, Fixture: &tt.fixture}), code)
		least, most, ok := s.whichever(1)
		load := func(f tables.Fixture) dwv.FixtureUnits {
			r, err := code.FixtureLoad(f)
			if err != nil {
				t.Error(err)
			}
			return r.Each
		}
		if !ok || load(least) != tt.least*dwv.FixtureUnit || load(most) != tt.most*dwv.FixtureUnit {
			t.Errorf("%+v: from %v to %v, %v; want %d to %d", tt.fixture, load(least), load(most), ok, tt.least, tt.most)
		}
	}
}

// TestDropIntoACombination: by IPC 2021 915.2 the drain of a fixture may drop 8 ft into a combination drain and vent, down
// risers and at joins together.
func TestDropIntoACombination(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for drop, want := range map[units.Length]string{8 * ft: "", 9 * ft: `fail|combination-vent|F0|9'-0"|8'-0"|-1'-0"`} {
		l := mustLayout(t, "jobs/floor-drains-at-half-inch.json", code)
		pt(l, "F0").To, pt(l, "F0").Run.Drop = "R0", ft
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R0", To: "A0",
			Run: Run{Length: drop - ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}})
		var got string
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == "combination-vent" && f.Place == "F0" && f.Side == "drop" {
				got += line(f)
			}
		}
		if got != want {
			t.Errorf("a drop of %v: %q, want %q", drop, got, want)
		}
	}
}

// TestBathroomsAssumedWhereTheyMatter: eight bathrooms one by one are 48 units and need 4 in, as groups 40 and 3 in (IPC 2021
// Table 710.1(1), 42 at 1/4 in per ft). That is said of a size that is not drawn, and not where one bathroom makes 6 units
// or 5: both go on 3 in, the least of a closet.
func TestBathroomsAssumedWhereTheyMatter(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, c := range []struct {
		drawn units.Length
		more  dwv.FixtureUnits
		want  []string
	}{
		{0, 0, []string{"A"}}, {4 * in, 0, nil}, {0, 20, nil}, // 68 and 60 units both need 4 in
	} {
		drawn, want := c.drawn, c.want
		l := mustLayout(t, "jobs/bathrooms-eight-not-drawn.json", code)
		pt(l, "A").Run.Size, pt(l, "B1").Run.Size, pt(l, "A").Reserved = drawn, 0, c.more*dwv.FixtureUnit
		var assumed []tables.Assumption
		if _, err := checkOf(l, code, CheckOptions{Assumed: &assumed}); err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, a := range assumed {
			if a.Rule == "bathroom-group" {
				got = append(got, a.Place)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("with A drawn %v: assumed at %q, want %q", drawn, got, want)
		}
	}
}

// TestBranchToAnOverloadedLine: sixteen floor drains of 2 units are more than a line of 3 in may take as a combination (31,
// IPC 2021 Table 915.3). With a dry vent of its own at one of them the line serves a vented fixture, and the branch of
// another needs none (915.2.3).
func TestBranchToAnOverloadedLine(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for _, vented := range []bool{false, true} {
		l := mustLayout(t, "jobs/floor-drains-16-on-combination.json", code)
		if vented {
			l.Vents = append(l.Vents, Vent{ID: "V1", Kind: VentIndividual, From: "F1", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}})
		}
		branch, line := false, false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == "combination-vent" && f.Place == "F0" {
				branch = branch || f.Side == "dry vent" && f.Verdict == tables.Pass
				line = line || f.Verdict == tables.Fail
			}
		}
		if branch != vented || line == vented {
			t.Errorf("vented %v: by the branch %v, the line too small %v", vented, branch, line)
		}
	}
}

// TestSizeNotAtThatGrade: a table of loads that lets no 3 in lie at 1/8 in per ft fails such a run, though the table of
// grades lets it; where that does not either, it alone tells it.
func TestSizeNotAtThatGrade(t *testing.T) {
	text := strings.Replace(edges.TableText(t, "ipc-2021/building-drain", "ipc-2021"), "\n3,0.125,36,", "\n3,0.125,-,", 1)
	code := firmCodeOn(t, edges.ShelfWith(t, map[string]string{"ipc-2021/building-drain": text}), "ipc-2021")
	l := mustLayout(t, "workshop.json")
	wantFinding(t, mustCheck(t, mustBuild(t, l), code), "fail|drain-load|FD|0 dfu|-|-|may not be laid at that grade at all")
	pt(l, "FD").Run.Grade = slope.PerFoot(in / 16)
	found := mustCheck(t, mustBuild(t, l), code)
	wantFinding(t, found, "nothing of drain-load at FD")
	wantFinding(t, found, "fail|drain-grade|FD|1/16 in/ft|1/8 in/ft|-1/16 in/ft")
}

// TestSmallStack: UPC 2021 Table 703.2 note 2 keeps sinks, urinals and dishwashers of more than one unit off a riser of
// 1-1/2 in, and nothing else: a shower is of two units too.
func TestSmallStack(t *testing.T) {
	code := mustCode(t, "upc-2021")
	for kind, told := range map[string]bool{"kitchen-sink": true, "urinal": true, "dishwasher": true,
		"shower": false, "bathtub": false} {
		l := mustLayout(t, "jobs/sink-on-small-riser.json", code)
		f := pt(l, "S").Fixture
		if f.Kind, f.Use = kind, tables.Private; kind == "urinal" {
			f.Control, f.Flush = tables.Valve, units.USGallon
		}
		s := mustSize(t, mustBuild(t, l), code)
		if r, _ := s.Of("S"); r.Load <= dwv.FixtureUnit {
			t.Errorf("%s: %v", kind, r.Load)
		}
		found := linesOf(mustCheck(t, l, code), "small-stack-load", "S")
		if (len(found) == 1) != told {
			t.Errorf("%s: %q", kind, found)
		}
	}
}

// TestTooFlatAndTooMuch: 4 in pipe may not lie at 1/16 in per ft; at 1/8 it carries 180 dfu (IPC 2021 Table 710.1(1)). With as much
// the grade alone is at fault, with more the load is as well, and what is not counted is asked about.
func TestTooFlatAndTooMuch(t *testing.T) {
	for _, c := range []struct {
		load dwv.FixtureUnits
		kind string
		want string
	}{
		{180, "", "nothing of drain-load at M"}, {181, "", "fail|drain-load|M|181 dfu|180 dfu|-1 dfu"},
		{180, "samovar", "ask|drain-load|K|-|-|-|What the drains at M carry waits for it"},
	} {
		l := straight(Point{ID: "M", Run: Run{Length: 20 * ft, Size: 4 * in}, Reserved: c.load * dwv.FixtureUnit},
			Point{ID: "K", Run: Run{Length: 9 * ft}, Cleanout: &Cleanout{}})
		if c.kind != "" {
			pt(l, "K").Fixture = &tables.Fixture{Kind: c.kind, Count: 1, Use: tables.Private}
		}
		pt(l, "M").Run.Grade = slope.PerFoot(in / 16)
		wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), c.want)
	}
}

// TestFlatBranchLoad: a branch of 2 in on a riser takes 6 dfu at any grade (IPC 2021 Table 710.1(2)): laid at 1/8 in per ft, too flat
// for 2 in, its load passes all the same.
func TestFlatBranchLoad(t *testing.T) {
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "R", Run: Run{Length: 9 * ft, Vertical: true}},
		Point{ID: "B", AboveFloor: true, Run: Run{Length: 4 * ft, Size: 2 * in},
			Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}})
	pt(l, "R").Run.Grade, pt(l, "B").Run.Grade = slope.Grade{}, slope.PerFoot(in/8)
	found := mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021"))
	wantFinding(t, found, "pass|drain-load|B|1 dfu|6 dfu|5 dfu")
	wantFinding(t, found, "fail|drain-grade|B|1/8 in/ft|1/4 in/ft|-1/8 in/ft")
}

// TestBathroomsTooMuch: eight bathrooms whose fixtures count one by one are 8 x 6 = 48 dfu (IPC 2021 Table 709.1: closet 3, lavatory 1,
// bathtub 2), six more than 3 in takes at 1/4 in per ft.
func TestBathroomsTooMuch(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	wantFinding(t, mustCheck(t, mustLayout(t, "jobs/bathrooms-eight-vented-apart.json", code), code),
		"ask|drain-load|A|48 dfu|42 dfu|-6 dfu|with the fixtures of bathrooms one by one")
}

// TestWasherBatteryRows: a code that says how many washers are a battery and not what each then counts, or the other way round, is
// not asked about one.
func TestWasherBatteryRows(t *testing.T) {
	for drop, asked := range map[string]bool{"": true, "washer-battery-count": false, "washer-battery-load": false} {
		code := mustCode(t, "upc-2021")
		if drop != "" {
			code = amendedCode(t, "upc-2021", "drop,"+drop+",,,,,\n")
		}
		got := slices.ContainsFunc(mustCheck(t, mustLayout(t, "jobs/washers-three.json"), code), func(f tables.Finding) bool {
			return f.Rule == "washer-battery" && f.Place != finding.Whole // where the row that is dropped is told
		})
		if got != asked {
			t.Errorf("without %q: asked %v", drop, got)
		}
	}
}

// TestIntervalStruckOut: what a town lets into no branch interval at all, a dash in its table, holds nothing: two lavatories of 1 dfu are
// two too many. The code itself takes 6 dfu in a stack of 2 in (IPC 2021 Table 710.1(2)).
func TestIntervalStruckOut(t *testing.T) {
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"ipc-2021/branches-and-stacks.csv": {Data: []byte("# id: ipc-2021/branches-and-stacks\n# source: town\n" +
			"op,part,over_intervals[1],size[in],max_load[dfu],src,status\nset,stack-interval,0,2,-,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	branch := Run{Length: 3 * ft, Size: 2 * in}
	for want, code := range map[string]*dwv.Code{"pass|stack-interval-load|R|2 dfu|6 dfu|4 dfu": mustCode(t, "ipc-2021"),
		"fail|stack-interval-load|R|2 dfu|0 dfu|-2 dfu": codeOn(t, shelf, "ipc-2021")} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "R", Run: Run{Length: 9 * ft, Vertical: true, Size: 2 * in}},
			Point{ID: "A", AboveFloor: true, Run: branch, Fixture: lavatory}, Point{ID: "B", AboveFloor: true, Run: branch, Fixture: lavatory})
		pt(l, "R").Run.Grade, pt(l, "B").To = slope.Grade{}, "R"
		wantFinding(t, mustCheck(t, mustBuild(t, l), code), want)
	}
}
