package drains

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
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
			Point{ID: id, To: to, Run: Run{Length: ft, Grade: quarter}, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}, FloodRim: rim})
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
		{"flatter than 45 degrees", "ipc", runs("VW", VentRun{Length: 99 * in, Rise: 70 * in, Direction: VentUp}, up(9*ft)), "vent-flat", "VW", "ask|vent-flat|VW|-|-|-", `8'-3" drawn as going up rises 5'-10" only`},
		{"steeper than 45 degrees", "ipc", runs("VW", VentRun{Length: 140 * in, Rise: 99 * in, Direction: VentUp}, up(9*ft)), "vent-flat", "VW", "", ""},
		{"flat at the very floor", "ipc", runs("VW", up(in*30216/1000), flat(2*ft), up(9*ft)), "vent-flat", "VW", `fail|vent-flat|VW|-2'-7"|6"|-3'-1"`, "flood rim"},
		{"flat below the floor", "ipc", runs("VW", up(in*29216/1000), flat(2*ft), up(9*ft)), "vent-flat", "VW", `fail|vent-flat|VW|-2'-8"|6"|-3'-2"`, `a flat run of 2'-0" starts 1" below the floor`},
		{"no flood rim", "ipc", func(l *Data) { pt(l, "LA").FloodRim = 0 }, "vent-flat", "VL", "ask|vent-flat|VL|-|-|-", `flat 6'-5 1/2" above the floor`},
		{"the higher rim of two", "ipc", func(l *Data) { basin(l, "LB", "LT", 40*in) }, "vent-flat", "VL", `pass|vent-flat|VL|3'-1 1/2"|6"|2'-7 1/2"`, "flood rim"},
		{"the higher rim of three", "ipc", func(l *Data) { basin(l, "LB", "LT", 20*in); basin(l, "LC", "LT", 0) }, "vent-flat", "VL", `pass|vent-flat|VL|3'-10 1/2"|6"|3'-4 1/2"`, "flood rim"},
		{"the higher rim of a vent that joins", "ipc", runs("VW", up(in*60216/1000), flat(2*ft), up(9*ft)), "vent-flat", "VW", `fail|vent-flat|VW|-1"|6"|-7"`, "flood rim"},
		{"the higher rim of its own", "ipc", func(l *Data) {
			runs("VW", up(in*60216/1000), flat(2*ft), up(9*ft))(l)
			pt(l, "WC").FloodRim = 32 * in
		}, "vent-flat", "VW", `fail|vent-flat|VW|-2"|6"|-8"`, "flood rim"},
		{"from the higher of those that join", "ipc", branch, "vent-flat", "VB", `pass|vent-flat|VB|11'-3 1/4"|6"|10'-9 1/4"`, "flood rim"},
		{"roof not given", "ipc", func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 0 }, "vent-terminal", "VW", "ask|vent-terminal|VW|-|-|-", "how far the vent stands above the roof"},

		// UPC 2021 904.1: as much section as the drain required, here of 4 in for its load.
		// What is drawn larger, or kept up to a main cleanout, asks for no more vent: 3 in
		// do for the closet.
		{"a larger drain than required", "upc", func(l *Data) { twoInch(l); pt(l, "S1").Reserved = 0 }, "vent-open", "Workshop", "pass|vent-open|Workshop|-|-|-", `have 1.778 times the section of the largest drain required, 3", and must have 1 times`},
		{"four of 2 in", "upc", func(l *Data) { twoInch(l); vent(l, "VL").Size = 2 * in }, "vent-open", "Workshop", "pass|vent-open|Workshop|-|-|-", `have 1 times the section of the largest drain required, 4", and must have 1 times`},
		{"three of 2 in and one of 1-1/2 in", "upc", func(l *Data) { twoInch(l); vent(l, "VL").Size = in * 3 / 2 }, "vent-open", "Workshop", "fail|vent-open|Workshop|-|-|-", "have 0.8906 times"},
		{"only vents to the air count", "upc", func(l *Data) {
			twoInch(l)
			vent(l, "VL").Size, vent(l, "VL").To, vent(l, "VL").Terminal = 2*in, "VW", nil
		}, "vent-open", "Workshop", "fail|vent-open|Workshop|-|-|-", "have 0.75 times"},
		{"no vent to the air for the first system", "upc", func(l *Data) { fourInch(l); l.Vents = l.Vents[2:] }, "vent-open", "Workshop", "fail|vent-open|Workshop|-|-|-", "have 0.2812 times"},

		{"two that are of no bathroom", "ipc", func(l *Data) {
			vent(l, "VW").Kind, vent(l, "VW").Through = VentWet, "S2"
			*pt(l, "WC").Fixture = dwv.Fixture{Kind: "kitchen-sink", Count: 1}
			for _, id := range []string{"KA", "KB"} {
				basin(l, id, "WV", 0)
				pt(l, id).Fixture = &dwv.Fixture{Kind: map[string]string{"KA": "drinking-fountain", "KB": "lavatory"}[id], Count: 1, Use: dwv.Private}
			}
		}, "wet-vent-fixtures", "VW", "fail|wet-vent-fixtures|VW|-|-|-", "KA (drinking fountain) drains"},
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
