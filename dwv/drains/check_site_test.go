package drains

import (
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestSiteFindings wants all that is found of a rule at a place, and nothing else. The
// pipe from S3 has its top at 97 ft 6.721 in, 4 ft from its upper end.
func TestSiteFindings(t *testing.T) {
	bend := func(id, fitting string) func(l *Data) {
		return func(l *Data) { pt(l, id).Run.Fittings = []string{fitting} }
	}
	all := func(material string, part dwv.Part) func(l *Data) {
		return func(l *Data) {
			for i := range l.Systems[0].Points {
				l.Systems[0].Points[i].Run.Material = "pvc-dwv"
			}
			pt(l, "S1").Run.Material, pt(l, "S1").Run.Part = material, part
		}
	}
	sleeve := func(pipe, sleeve units.Length) func(l *Data) {
		return func(l *Data) { pt(l, "S1").Run.Size, l.Footings[0].Sleeve = pipe, sleeve }
	}
	code := firmCode(t, "ipc-2021")
	solid := "pass|drain-material|soil|ASTM D2665|-|-"
	for _, tt := range []struct {
		name        string
		edit        func(l *Data)
		rule, place string
		want        []string
	}{
		{"a tee along a run", bend("S3", "sanitary-tee"), "fitting-turn", "S3",
			[]string{"fail|fitting-turn|S3|sanitary-tee|-|-"}},
		{"a bend along a run", bend("S3", "eighth-bend"), "fitting-turn", "S3",
			[]string{"pass|fitting-turn|S3|eighth-bend|-|-"}},
		{"a bend in the drain of one fixture", bend("LA", "quarter-bend"), "fitting-turn", "LA",
			[]string{"pass|fitting-turn|LA|quarter-bend|-|-"}},
		{"a bend in the drain of one fixture of 3 in", bend("FD", "quarter-bend"), "fitting-turn", "FD",
			[]string{"fail|fitting-turn|FD|quarter-bend|-|-"}},
		{"a bend in a drain of 2 in", func(l *Data) { bend("S3", "quarter-bend")(l); pt(l, "S3").Run.Size = 2 * in },
			"fitting-turn", "S3", []string{"fail|fitting-turn|S3|quarter-bend|-|-"}},
		{"a bend in the drain of one fixture and more", func(l *Data) {
			bend("LA", "quarter-bend")(l)
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "LB", To: "LA", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}})
		}, "fitting-turn", "LA", []string{"fail|fitting-turn|LA|quarter-bend|-|-"}},

		{"sewer pipe as a sewer", all("pvc-sdr35", dwv.Sewer), "drain-material", "soil",
			[]string{solid, "pass|drain-material|soil|ASTM D3034|-|-"}},
		{"sewer pipe below the slab", all("pvc-sdr35", 0), "drain-material", "soil",
			[]string{"fail|drain-material|soil|ASTM D3034|-|-", solid}},
		{"one pipe inside and out", all("pvc-dwv", dwv.Sewer), "drain-material", "soil", []string{solid, solid}},
		{"cellular core below the slab", all("pvc-dwv-cellular", 0), "drain-material", "soil",
			[]string{"ask|drain-material|soil|ASTM F891|-|-", solid}},
		{"cellular core as a sewer", all("pvc-dwv-cellular", dwv.Sewer), "drain-material", "soil",
			[]string{"pass|drain-material|soil|ASTM F891|-|-", solid}},
		{"tube the shelf is silent on", all("copper-dwv", dwv.Sewer), "drain-material", "soil",
			[]string{"ask|drain-material|soil|ASTM B306|-|-", solid}},

		{"under a thickened slab", func(l *Data) {
			l.Footings[1] = Footing{ID: "F2", Kind: FootingThickening, Run: "S3", Along: 4 * ft, Bottom: 10 * in}
		}, "slab-thickening", "F2", []string{`pass|slab-thickening|F2|1'-7.279"|2"|1'-5.279"`}},

		// IPC 2021 305.3: two pipe sizes more, and 15 in is the largest the code names.
		{"a sleeve two sizes up", sleeve(10*in, 15*in), "footing-sleeve", "F1",
			[]string{`pass|footing-sleeve|F1|1'-3"|1'-3"|0"`}},
		{"a sleeve one size up", sleeve(10*in, 12*in), "footing-sleeve", "F1",
			[]string{`fail|footing-sleeve|F1|1'-0"|1'-3"|-3"`}},
		{"no size two sizes up", sleeve(12*in, 15*in), "footing-sleeve", "F1", []string{"ask|footing-sleeve|F1|-|-|-"}},
		{"no size up", sleeve(15*in, 15*in), "footing-sleeve", "F1", []string{"ask|footing-sleeve|F1|-|-|-"}},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), code, CheckOptions{})
			if diff := gocmp.Diff(tt.want, linesOf(got, tt.rule, tt.place)); diff != "" {
				t.Errorf("%s at %s (-want +got):\n%s", tt.rule, tt.place, diff)
			}
		})
	}
}

// The outside run S1 of the workshop comes up to 97 ft 1 1/2 in; its 4 in pipe has a
// bore of 4.026 in and a wall of 0.237 in, so its top lies at 97 ft 5.763 in. UPC 718.3
// asks 12 in (recalled), IPC 305.4.1 leaves it to the locality.
func TestSewerCover(t *testing.T) {
	ground := func(l *Data, cover string) {
		g := units.MustParse[units.Length]("97 ft 5.763 in") + units.MustParse[units.Length](cover)
		l.Ground = &g
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"12 in", "upc-2021", func(l *Data) { ground(l, "12 in") }, `pass|sewer-cover|S1|1'-0"|1'-0"|0"`},
		{"a mil less", "upc-2021", func(l *Data) { ground(l, "11.999 in") }, `fail|sewer-cover|S1|11.999"|1'-0"|-0.001"`},
		{"the job's", "ipc-2021", func(l *Data) { ground(l, "42 in"); l.SewerCover = 42 * in },
			`pass|sewer-cover|S1|3'-6"|3'-6"|0"`},
		{"under the job's", "ipc-2021", func(l *Data) { ground(l, "41 in"); l.SewerCover = 42 * in },
			`fail|sewer-cover|S1|3'-5"|3'-6"|-1"`},
		{"over the code's, under the job's", "upc-2021", func(l *Data) { ground(l, "41 in"); l.SewerCover = 42 * in },
			`fail|sewer-cover|S1|3'-5"|3'-6"|-1"`},
		{"left to the locality", "ipc-2021", func(l *Data) { ground(l, "20 in") }, "ask|sewer-cover|soil|-|-|-"},
		{"inside the wall", "ipc-2021", func(l *Data) { ground(l, "41 in"); l.SewerCover = 42 * in }, "nothing of sewer-cover at S2"},
		{"no ground", "upc-2021", func(*Data) {}, "ask|sewer-cover|soil|-|-|-"},
		{"nothing outside", "upc-2021", func(l *Data) { pt(l, "S1").Run.Part = 0 }, "none of sewer-cover"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			pt(l, "S1").Run.Part = dwv.Sewer
			tt.edit(l)
			code := mustCode(t, tt.code)
			if tt.code == "upc-2021" {
				code = amendedCode(t, tt.code, "set,sewer-min-cover,12,in,1,town,read\n")
			}
			wantFinding(t, mustCheck(t, mustBuild(t, l), code), tt.want)
		})
	}
	l := mustLayout(t, "workshop.json")
	pt(l, "S1").Run.Part = dwv.Sewer
	ground(l, "12 in")
	wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "upc-2021")), `ask|sewer-cover|S1|1'-0"|1'-0"|0"`)
}

// What is found of cover, and nothing else, where the code and the job ask for it or do
// not. The drain below the outside run S1 is drawn in two: S0 comes up to 97 ft 3/4 in,
// so it lies 3/4 in deeper.
func TestSewerCoverFound(t *testing.T) {
	const firm, none, free = "set,sewer-min-cover,12,in,1,town,read\n", "drop,sewer-min-cover,,,,,\n",
		"set,sewer-min-cover,unlimited,in,1,town,read\n"
	in20 := `fail|sewer-cover|S1|1'-8"|3'-6"|-1'-10"`
	for _, tt := range []struct {
		name, rows string
		job        units.Length
		want       []string
		reason     string
	}{
		{"the code's alone", firm, 0, []string{`pass|sewer-cover|S1|1'-8"|1'-0"|8"`}, "cover over the pipe outside at S1 is"},
		{"the job's alone", none, 42 * in, []string{in20}, "by the job"},
		{"the job's, the code sets none", free, 42 * in, []string{in20}, "by the job"},
		{"neither's", none, 0, nil, ""},
		{"the code sets none", free, 0, nil, ""},
		{"left to the locality", "", 0, nil, ""},
	} {
		for _, deeper := range []string{"S0", "S1"} { // either is drawn first
			l := mustLayout(t, "workshop.json")
			ground := units.MustParse[units.Length]("97 ft 5.763 in") + 20*in
			l.Ground, l.SewerCover = &ground, tt.job
			s0 := *pt(l, "S1")
			s0.ID, s0.Run.Length, s0.Cleanout, s0.Run.Part = "S0", 3*ft, nil, dwv.Sewer
			s1 := pt(l, "S1")
			s1.To, s1.Run.Length, s1.Run.Part = "S0", 3*ft, dwv.Sewer
			if points := &l.Systems[0].Points; deeper == "S0" {
				*points = append([]Point{s0}, *points...)
			} else {
				*points = append(*points, s0)
			}
			c := mustCode(t, "ipc-2021")
			if tt.rows != "" {
				c = amendedCode(t, "upc-2021", tt.rows)
			}
			got := checkAllWays(t, mustBuild(t, l), c, CheckOptions{})
			if diff := gocmp.Diff(tt.want, linesOf(got, "sewer-cover", "S1")); diff != "" {
				t.Errorf("%s (-want +got):\n%s", tt.name, diff)
			} else if tt.want != nil {
				if r := reasonOf(t, got, "sewer-cover", "S1"); !strings.Contains(r, tt.reason) {
					t.Errorf("%q does not say %q", r, tt.reason)
				}
			}
			asked := linesOf(got, "sewer-cover", "soil")
			if tt.rows != "" && asked != nil {
				t.Errorf("%s: %v", tt.name, asked)
			} else if tt.rows == "" {
				want := `S0, S1 lie outside under 1'-8" of cover at the least`
				if r := reasonOf(t, got, "sewer-cover", "soil"); !strings.Contains(r, want) {
					t.Errorf("%q does not say %q", r, want)
				}
			}
		}
	}
	l := mustLayout(t, "workshop.json")
	pt(l, "S1").Run.Part, pt(l, "S2").Run.Part = dwv.Sewer, dwv.Sewer
	if r := reasonOf(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "sewer-cover",
		"soil"); !strings.HasPrefix(r, "S1, S2 lie outside, and the layout does not say how high the ground is") {
		t.Errorf("no ground: %q", r)
	}
}

// Where the ground lies comes in as text, at the datum too.
func TestGroundInJSON(t *testing.T) {
	text := func(extra string) []byte {
		return []byte(`{"finished_floor":"1 ft",` + extra + `"systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-4 ft"},
"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}]}`)
	}
	l, err := parse("f", text(`"ground":"0 ft","sewer_cover":"3 ft",`))
	if err != nil || l.Ground == nil || *l.Ground != 0 || l.SewerCover != 3*ft {
		t.Errorf("%+v, %v", l, err)
	}
	if l, err := parse("f", text("")); err != nil || l.Ground != nil {
		t.Errorf("no ground: %+v, %v", l, err)
	}
	if _, err := parse("f", text(`"ground":"high","sewer_cover":"-1 in",`)); err == nil ||
		!strings.Contains(err.Error(), "ground: ") || !strings.Contains(err.Error(), "sewer_cover: ") {
		t.Errorf("%v", err)
	}
	far := units.MaxLength + 1
	l = mustLayout(t, "workshop.json")
	l.Ground = &far
	if err := buildErr(l); err == nil || !strings.Contains(err.Error(), "ground: ") {
		t.Errorf("%v", err)
	}
}

// Kentucky's 815 KAR 20:090 wants 12 in above the slab; a job may want its own.
func TestStubUps(t *testing.T) {
	kentucky, err := tables.Embedded().Rules("kentucky-815kar20")
	if err != nil {
		t.Fatal(err)
	}
	if r, ok := kentucky.Rule("stub-up-min-height"); !ok || r.String() != "12 in" || !r.Cite.Status().Firm() {
		t.Errorf("Kentucky: %v, %v", r, ok)
	}
	tests := []struct {
		name, rows string
		edit       func(l *Data)
		want       string
	}{
		{"the job's", "", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 8 * in },
			`pass|stub-up|LT|8"|8"|0"`},
		{"under the job's", "", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 8*in - 1 },
			`fail|stub-up|LT|203.199999 mm|8"|-0.000001 mm`},
		{"the code's", "add,stub-up-min-height,12,in,9,town,read\n", func(l *Data) { pt(l, "LT").StubUp = 12 * in },
			`pass|stub-up|LT|1'-0"|1'-0"|0"`},
		{"under the code's", "add,stub-up-min-height,12,in,9,town,read\n",
			func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 10 * in }, `fail|stub-up|LT|10"|1'-0"|-2"`},
		{"over the job's, under the code's", "add,stub-up-min-height,12,in,9,town,read\n",
			func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 10 * in }, `pass|stub-up|LT|10"|8"|2"`},
		{"neither's", "", func(l *Data) { pt(l, "LT").StubUp = 8 * in; pt(l, "LA").StubUp = 3 * in }, `none of stub-up`},
		{"no stub drawn", "", func(l *Data) { l.MinimumStubUp = 8 * in }, `none of stub-up`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			mustBuild(t, l)
			code := mustCode(t, "ipc-2021")
			if tt.rows != "" {
				code = amendedCode(t, "ipc-2021", tt.rows)
			}
			wantFinding(t, mustCheck(t, l, code), tt.want)
		})
	}
	for _, low := range []string{"LT", "LA"} { // the lowest first and last
		l := mustLayout(t, "workshop.json")
		pt(l, "LT").StubUp, pt(l, "LA").StubUp = 8*in, 8*in
		pt(l, low).StubUp = 3 * in
		var assumed []tables.Assumption
		if _, err := mustSize(t, mustBuild(t, l), mustCode(t,
			"ipc-2021")).Check(CheckOptions{Assumed: &assumed}); err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(assumed, func(x tables.Assumption) bool {
			return x.Rule == "stub-up" && strings.HasPrefix(x.Taken,
				`the stubs of LA, LT may stand as drawn, 3" above the floor`)
		}) {
			t.Error(assumed)
		}
	}
}

// Along a vertical run a footing meets the pipe as far down as it says.
func TestFootingAlongRiser(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	clear := func(along units.Length) units.Length {
		l := mustLayout(t, "workshop.json")
		l.Footings = []Footing{{ID: "F", Kind: FootingUnder, Run: "LT", Along: along, Bottom: 10 * in, Clear: in}}
		return margin(t, l, code, "footing-clearance", "F")
	}
	if d := clear(2*ft) - clear(ft); d != ft {
		t.Errorf("a foot farther down the riser has %v more room", d)
	}
}

// TestRiserToTheFloor: a riser of 30 in on a drain 30 in below the floor ends at the floor, where its stub is to stand 12 in higher;
// one of 29 in ends an inch below.
func TestRiserToTheFloor(t *testing.T) {
	for length, want := range map[units.Length]string{30 * in: `2'-6" long, ends 0" above the floor, and`,
		29 * in: `2'-5" long, ends 1" below the floor, and`} {
		l := straight(Point{ID: "A", Run: Run{Length: 4 * ft}}, Point{ID: "R", StubUp: 12 * in, Run: Run{Length: length, Vertical: true}})
		pt(l, "R").Run.Grade, l.FinishedFloor = slope.Grade{}, 94*ft+in+30*in // A rises an inch
		if r := reasonOf(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "stub-up", "R"); !strings.Contains(r, want) {
			t.Errorf("%q does not say %q", r, want)
		}
	}
}
