package drains

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/units"
)

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
		{"the job's", "ipc-2021", func(l *Data) { ground(l, "42 in"); l.SewerCover = 42 * in }, `pass|sewer-cover|S1|3'-6"|3'-6"|0"`},
		{"under the job's", "ipc-2021", func(l *Data) { ground(l, "41 in"); l.SewerCover = 42 * in }, `fail|sewer-cover|S1|3'-5"|3'-6"|-1"`},
		{"over the code's, under the job's", "upc-2021", func(l *Data) { ground(l, "41 in"); l.SewerCover = 42 * in }, `fail|sewer-cover|S1|3'-5"|3'-6"|-1"`},
		{"left to the locality", "ipc-2021", func(l *Data) { ground(l, "20 in") }, "ask|sewer-cover|soil|-|-|-"},
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
	const firm, none, free = "set,sewer-min-cover,12,in,1,town,read\n", "drop,sewer-min-cover,,,,,\n", "set,sewer-min-cover,unlimited,in,1,town,read\n"
	in20 := `fail|sewer-cover|S1|1'-8"|3'-6"|-1'-10"`
	for _, tt := range []struct {
		name, rows string
		job        units.Length
		want       []string
		reason     string
	}{
		{"the code's alone", firm, 0, []string{`pass|sewer-cover|S1|1'-8"|1'-0"|8"`}, "cover over the pipe outside is"},
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
	pt(l, "S1").Run.Part = dwv.Sewer
	if r := reasonOf(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "sewer-cover", "soil"); !strings.HasPrefix(r, "S1 lie outside, and the layout does not say how high the ground is") {
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
	if _, err := parse("f", text(`"ground":"high","sewer_cover":"-1 in",`)); err == nil || !strings.Contains(err.Error(), "ground: ") || !strings.Contains(err.Error(), "sewer_cover: ") {
		t.Errorf("%v", err)
	}
	far := units.MaxLength + 1
	l = mustLayout(t, "workshop.json")
	l.Ground = &far
	if err := buildErr(l); err == nil || !strings.Contains(err.Error(), "ground: ") {
		t.Errorf("%v", err)
	}
}
