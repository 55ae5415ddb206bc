package drains

import (
	"fmt"
	"slices"
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
			l.Systems[0].Points[0].Fixture = &dwv.Fixture{Kind: "water-closet", Count: 1, Use: dwv.Private, Control: dwv.Tank, Flush: 1.6 * units.USGallon}
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
