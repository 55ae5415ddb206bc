package drains

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

// TestUnratedFixture: a closet of which nothing is stated has no load in the IPC, and a
// bidet that no row rates has none either. The place is asked about; what lies downstream
// carries more than is counted, so what would pass is asked about too and what fails
// fails; the rest is judged as ever.
func TestUnratedFixture(t *testing.T) {
	lavatory := dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}
	for _, tt := range []struct {
		fixture dwv.Fixture
		says    string
	}{
		{dwv.Fixture{Kind: "water-closet", Count: 1}, "use: not stated"},
		{dwv.Fixture{Kind: "samovar", Count: 1}, "no drainage load for \"samovar\""},
		{dwv.Fixture{Kind: "floor-sink", Count: 1, Size: 9 * in}, "size"},
	} {
		for _, many := range []int{1, 60} {
			other := lavatory
			other.Count = many
			l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "X", Run: Run{Length: 9 * ft}, Fixture: &tt.fixture}, Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: &lavatory})
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "M", To: "D", Run: l.Systems[0].Points[0].Run, Fixture: &other})
			l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "X", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
			got := map[string]string{}
			for _, f := range checkAllWays(t, l, firmCode(t, "ipc-2021"), CheckOptions{}) {
				if f.Rule == "drain-load" || f.Rule == "vent-size" {
					got[f.Place] = f.Verdict.String() + " " + f.Reason
				}
			}
			// 61 units and more are over what 3 in carries, 42 (IPC 2021 Table 710.1(1)).
			down, branch := "ask ", "pass "
			if many > 1 {
				down, branch = "fail ", "fail "
			}
			for place, want := range map[string][2]string{"D": {down, ""}, "X": {"ask ", tt.says}, "L": {"pass ", ""}, "M": {branch, ""}, "V": {"ask ", "stands at X"}} {
				if !strings.HasPrefix(got[place], want[0]) || !strings.Contains(got[place], want[1]) {
					t.Errorf("%s, %d lavatories: %s: %s, want %v", tt.fixture.Kind, many, place, got[place], want)
				}
			}
			if many == 1 && !strings.Contains(got["D"], "X") {
				t.Errorf("%s: what is missing is not named: %s", tt.fixture.Kind, got["D"])
			}
		}
	}
	l := straight(Point{ID: "X", Run: Run{Length: 9 * ft, Size: 2 * in}, Fixture: &dwv.Fixture{Kind: "water-closet", Count: 2}})
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
			at := slices.IndexFunc(l.Systems[s].Points, func(p Point) bool { return p.Fixture != nil && p.Fixture.Kind != "water-closet" })
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
			other.Systems[s].Points[at].Fixture = &dwv.Fixture{Kind: "samovar", Count: 1}
			loads := func(l *Data) (out []string) {
				for _, f := range checkAllWays(t, l, code, CheckOptions{}) {
					if f.Rule == "drain-load" && !on[f.Place] {
						out = append(out, f.String())
					}
					if f.Rule == "drain-load" && on[f.Place] && f.Verdict == tables.Pass && l == other && !strings.Contains(f.Reason, "trap arm") {
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
		for word, misspelt := range map[string]bool{"lavatory": false, "clay": false, "standpipe": false, "lavatary": true, "caly": true, "": true} {
			_, err := parse("f", []byte(layout(field, word)), code)
			want := fmt.Sprintf("f:1:%d: system \"s\": %s: %q is no fixture of ipc-2021, and no point carries it", 66+len(field), field, word)
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
