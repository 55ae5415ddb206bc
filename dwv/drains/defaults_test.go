package drains

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The same layout, with all said at each run and with what is alike said once.
const (
	saidEach = `{"finished_floor": "100 ft", "slab": "4 in", "systems": [{"id": "s", "kind": "soil",
 "outlet": {"id": "O", "kind": "sewer", "invert": "96 ft", "size": "4 in", "material": "abs-dwv", "at": {"x": "10 ft", "y": "0 ft"}}, "points": [
 {"id": "A", "to": "O", "at": {"x": "0 ft", "y": "0 ft"}, "run": {"length": "10 ft", "grade": "2 %", "material": "abs-dwv", "join": "at crown", "bearing": "90 deg"}},
 {"id": "B", "to": "A", "at": {"x": "0 ft", "y": "5 ft"}, "fixture": {"fixture": "floor-drain", "use": "public"},
  "run": {"length": "5 ft", "grade": "1/4 in/ft", "material": "pvc-dwv", "join": "at springline", "bearing": "180 deg"}},
 {"id": "L", "to": "A", "at": {"x": "0 ft", "y": "0 ft"}, "fixture": {"fixture": "lavatory", "use": "private"}, "above_floor": true,
  "run": {"length": "6 ft", "vertical": true, "material": "abs-dwv"}}]}],
 "vents": [{"id": "V", "kind": "individual", "from": "L", "material": "pvc-dwv", "terminal": {"above_roof": "12 in"}, "runs": [{"length": "9 ft", "direction": "up"}]}]}`
	saidOnce = `{"finished_floor": "100 ft", "slab": "4 in", "defaults": {"material": "pvc-dwv", "join": "at springline", "use": "public"}, "systems": [{"id": "s", "kind": "soil",
 "defaults": {"grade": "2 %", "material": "abs-dwv", "join": "at crown", "on_plan": true},
 "outlet": {"id": "O", "kind": "sewer", "invert": "96 ft", "size": "4 in", "at": {"x": "10 ft", "y": "0 ft"}}, "points": [
 {"id": "A", "to": "O", "at": {"x": "0 ft", "y": "0 ft"}},
 {"id": "B", "to": "A", "at": {"x": "0 ft", "y": "5 ft"}, "fixture": {"fixture": "floor-drain"},
  "run": {"grade": "1/4 in/ft", "material": "pvc-dwv", "join": "at springline"}},
 {"id": "L", "to": "A", "at": {"x": "0 ft", "y": "0 ft"}, "fixture": {"fixture": "lavatory", "use": "private"}, "above_floor": true,
  "run": {"length": "6 ft", "vertical": true}}]}],
 "vents": [{"id": "V", "kind": "individual", "from": "L", "terminal": {"above_roof": "12 in"}, "runs": [{"length": "9 ft", "direction": "up"}]}]}`
)

// TestDefaults: what is said once is as if said at each run; what a run says itself stands,
// and the defaults of a system come before those of the layout.
func TestDefaults(t *testing.T) {
	want, err := Parse("each", []byte(saidEach))
	if err != nil {
		t.Fatal(err)
	}
	got, err := Parse("once", []byte(saidOnce))
	if err != nil {
		t.Fatal(err)
	}
	data := got.Data()
	data.Defaults, data.Systems[0].Defaults = nil, nil
	if diff := cmp.Diff(want.Data(), data, cmp.AllowUnexported(Bearing{})); diff != "" {
		t.Errorf("(-each +once):\n%s", diff)
	}
	// Written and read again it is the same, and so through Go.
	text, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Parse("again", text)
	if err != nil {
		t.Fatal(err)
	}
	var plain Data
	if err := json.Unmarshal([]byte(saidOnce), &plain); err != nil {
		t.Fatal(err)
	}
	made, err := New(plain)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range []*Layout{again, made} {
		if diff := cmp.Diff(got.Data(), l.Data(), cmp.AllowUnexported(Bearing{})); diff != "" {
			t.Errorf("(-got +again):\n%s", diff)
		}
	}
	if plain.Systems[0].Points[0].Run.Length != 0 {
		t.Error("New writes into what it was given")
	}
}

// TestDefaultsFaults: without defaults the same is missing, each at its place; a bent run
// has no length on plan.
func TestDefaultsFaults(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{`"on_plan": true`, `"on_plan": false`, `once:4:`},
		{`"on_plan": true`, `"on_plan": false`, `point "A": length: missing`},
		{`"grade": "2 %", `, ``, `point "A": grade: missing`},
		{`"run": {"grade": "1/4 in/ft", `, `"run": {"fittings": ["eighth-bend"], "grade": "1/4 in/ft", `,
			`point "B": length: missing`},
		{`"material": "abs-dwv"`, `"material": 3`, `system "s": defaults`},
		{`"defaults": {"material"`, `"skip_sizes": ["0 in"], "defaults": {"material"`, `skip_sizes`},
		{`"defaults": {"material"`, `"skip_sizes": ["-2 in"], "defaults": {"material"`, `skip_sizes`},
	} {
		if !strings.Contains(saidOnce, c.old) {
			t.Fatalf("no %s", c.old)
		}
		_, err := Parse("once", []byte(strings.Replace(saidOnce, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: no %s in %v", c.new, c.want, err)
		}
	}
}

// TestSkipSizes: 30 dfu at 2 % need 3 in of a building drain (IPC Table 710.1(1)); a
// layout that skips 3 in takes 4 in, and one that draws 3 in has it. What the code requires
// stays.
func TestSkipSizes(t *testing.T) {
	for _, c := range []struct {
		skip, drawn, size string
	}{{"", "", "3\""}, {"3 in", "", "4\""}, {"3 in", "3 in", "3\""}, {"2 in", "", "3\""}} {
		text := strings.Replace(saidOnce, `"defaults": {"material"`, `"skip_sizes": ["`+c.skip+`"], "defaults": {"material"`,
			1)
		text = strings.Replace(text, `"skip_sizes": [""], `, "", 1)
		run := `"reserved": "30 dfu"`
		if c.drawn != "" {
			run += `, "run": {"size": "` + c.drawn + `"}`
		}
		text = strings.Replace(text, `{"id": "A", "to": "O",`, `{"id": "A", "to": "O", `+run+`,`, 1)
		text = strings.Replace(text, `"size": "4 in", "at"`, `"at"`, 1)
		l, err := Parse("skip", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r := s.At(0); r.Size.String() != c.size || r.Required.String() != "3\"" {
			t.Errorf("skipping %q, drawn %q: %v, required %v; want %s", c.skip, c.drawn, r.Size, r.Required, c.size)
		}
	}
}
