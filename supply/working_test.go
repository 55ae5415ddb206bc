package supply

import (
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// 25 gpm in 9 ft of 1-1/4 in of copper, with an elbow of 3 ft and a tee to its branch of
// 5 ft 6 in: 17.5 ft at 6.41 psi in 100 ft of 27 gpm, times 25/27 to the 1.852, are 0.97 psi.
func TestWorkingLengths(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines := func(id string) []string {
		i, _ := s.Layout.Find(id)
		return s.Working(i)
	}
	with := func(id, start, end string) {
		t.Helper()
		if !slices.ContainsFunc(lines(id), func(l string) bool { return strings.HasPrefix(l, start) && strings.Contains(l, end) }) {
			t.Errorf("%s: no %s ... %s in\n%s", id, start, end, strings.Join(lines(id), "\n"))
		}
	}
	with("C4", `length: 9'-0" laid + 8'-6" for fittings = 17'-6"`, "")
	with("C4", "friction: ", "17.5 ft: 0.97 psi")
	with("C4", "pressure: 43.00 - 0.97 - 1.30 - 0.00 - 0.00 = ", "")
	// C2 is fed from C1, the first point, with what is left of the source's 62 psi there.
	c1, _ := s.Layout.Find("C1")
	with("C2", "pressure: "+customaryScales.number(s.Runs[c1].Out)+" - ", "")
	// Nothing flows in the return but what is kept up, which is no demand.
	for _, l := range lines("R1") {
		if strings.HasPrefix(l, "velocity") || strings.HasPrefix(l, "friction") {
			t.Errorf("R1: %s", l)
		}
	}
}

// A flow without end stands beside the demand, and a run of no length has no friction.
func TestWorkingContinuous(t *testing.T) {
	d := closets(80, []Point{{ID: "A", From: "main", Length: 0, Continuous: 3 * units.USGallonPerMinute}}, []string{"A"}, nil)
	s := sized(t, mustCode(t, "ipc-2021"), d)
	text := strings.Join(s.Working(0), "\n")
	if !strings.Contains(text, "demand: 27.00 gpm, valve column") || !strings.Contains(text, "continuous flow: 3.00 gpm, added: 30.00 gpm") || strings.Contains(text, "friction: ") {
		t.Error(text)
	}
}

// Why the greatest outlet counts depends on how the code comes to its flows.
func TestWorkingLargest(t *testing.T) {
	tap := room("residential", "hose-bibb")
	tap.Fixtures[0].Size = 15 * units.Millimetre
	basin := room("", "lavatory")
	basin.Pipe.Cold = "ppr-s2-5"
	tank := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
	tank.Fixtures = []LayoutFixture{{ID: "X", Cold: "A", Flow: 12 * units.USGallonPerMinute, Fixture: Fixture{Kind: "water-closet", Count: 1, Use: Private, Control: Tank}}}
	for _, tc := range []struct {
		code string
		d    LayoutData
		want string
	}{{"din1988-300", tap, "which draws more than the formula gives"}, {"en806-3", basin, "the only one"}, {"ipc-2021", tank, "which draws more than the table gives"}} {
		if text := strings.Join(sized(t, mustCode(t, tc.code), tc.d).Working(0), "\n"); !strings.Contains(text, "the greatest single outlet, "+tc.want) {
			t.Errorf("%s:\n%s", tc.code, text)
		}
	}
}
