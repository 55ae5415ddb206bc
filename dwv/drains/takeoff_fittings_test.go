package drains

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What a take-off counts more and less when something is named or drawn otherwise.
func TestTakeOffFittings(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	count := func(edit func(l *Data)) map[string]int {
		l := mustLayout(t, "workshop.json")
		edit(l)
		mustBuild(t, l)
		got, err := mustSize(t, l, code).TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]int{}
		for _, f := range got.Fittings {
			out[f.Kind] += f.Count
		}
		for _, j := range got.Joints {
			out["joints"] += j.Count
		}
		return out
	}
	plain := count(func(*Data) {})
	for _, c := range []struct {
		name string
		edit func(l *Data)
		want map[string]int // beside the plain layout
	}{
		{"two bends named on a run", func(l *Data) { pt(l, "S3").Run.Fittings = []string{"eighth-bend", "eighth-bend"} }, map[string]int{"eighth-bend": 2, "joints": 4}},
		{"a capped closet has no flange yet", func(l *Data) { pt(l, "WC").Capped = true }, map[string]int{"closet-flange": -1, "cap": 1, "test-cap": -1}},
		{"a cleanout more, its size not given", func(l *Data) { pt(l, "S2").Cleanout = &Cleanout{} }, map[string]int{"cleanout": 1, "combination-wye-eighth-bend": 1, "joints": 5}},
		// At S2 the floor drain's wye is named another; in line at SPT an eighth bend is.
		{"a branch fitting named", func(l *Data) { pt(l, "FD").Run.Into = "combination-wye-eighth-bend" }, map[string]int{"wye": -1, "combination-wye-eighth-bend": 1}},
		{"a bend in line named", func(l *Data) { pt(l, "SPT").Run.Into = "sixth-bend" }, map[string]int{"eighth-bend": -1, "sixth-bend": 1}},
		{"an odd turn", func(l *Data) { pt(l, "SPT").Run.Bearing = Degrees(60) }, map[string]int{"eighth-bend": -1, "bend of 30 deg": 1}},
		// 4 in into 3 in is a closet bend; 3 in into 3 in goes straight on.
		{"a closet drain of the size of the next", func(l *Data) { pt(l, "WC").Run.Size = 3 * in }, map[string]int{"closet-bend": -1, "joints": -2}},
		{"no turn", func(l *Data) { pt(l, "SPT").Run.Bearing = Degrees(90) }, map[string]int{"eighth-bend": -1, "joints": -2}},
	} {
		got := count(c.edit)
		diff := map[string]int{}
		for _, m := range []map[string]int{plain, got} {
			for kind := range m {
				if d := got[kind] - plain[kind]; d != 0 {
					diff[kind] = d
				}
			}
		}
		if d := cmp.Diff(c.want, diff); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
	}
}

// The fitting for each turn between two runs.
func TestBendsAndBranches(t *testing.T) {
	flat, up := &Point{}, &Point{Run: Run{Vertical: true}}
	for _, c := range []struct {
		from, into   *Point
		turn         int32
		bend, branch string
	}{
		{flat, flat, -1, "", "wye"}, {flat, flat, 0, "", "wye"}, {flat, flat, 11_250, "thirty-second-bend", "wye"},
		{flat, flat, 45_000, "eighth-bend", "wye"}, {flat, flat, 45_001, "bend of 45.001 deg", "combination-wye-eighth-bend"},
		{flat, flat, 90_000, "long-sweep", "combination-wye-eighth-bend"},
		{up, flat, -1, "long-sweep", "combination-wye-eighth-bend"}, {flat, up, -1, "quarter-bend", "sanitary-tee"}, {up, up, -1, "", "combination-wye-eighth-bend"},
	} {
		if got := bend(c.from, c.into, c.turn); got != c.bend {
			t.Errorf("turn %d, vertical %v to %v: %q, want %q", c.turn, c.from.Run.Vertical, c.into.Run.Vertical, got, c.bend)
		}
		if got := branchFitting(c.from, c.into, c.turn); got != c.branch {
			t.Errorf("branch at %d, vertical %v to %v: %q, want %q", c.turn, c.from.Run.Vertical, c.into.Run.Vertical, got, c.branch)
		}
	}
}
