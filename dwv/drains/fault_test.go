package drains

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/trapweir/trapweir/units"
)

// circle is n points of which each drains to the next and the last to the first.
func circle(n int) string {
	var points []string
	for i := range n {
		points = append(points, fmt.Sprintf(`{"id":"P%02d","to":"P%02d","run":{"length":"4 ft","grade":"2%%"}}`, i, (i+1)%n))
	}
	return strings.Join(points, ",\n")
}

func TestParseLayoutFaults(t *testing.T) {
	const head = `{"finished_floor":"100 ft","systems":[{"id":"s","kind":"soil",
"outlet":{"id":"O","kind":"sewer","invert":"96 ft"},
"points":[
`
	const tail = "\n]}]}"
	point := func(s string) string { return head + s + tail }
	code := mustCode(t, "ipc-2021")
	tests := []struct{ name, text, want string }{
		{"unknown fixture", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"1/4 in/ft"},"fixture":{"fixture":"samovar"}}`),
			`f:4:85: point "A": fixture.fixture: ipc-2021: fixture: not in the code: no drainage load for "samovar"; the code rates `},
		{"cycle", point(`{"id":"A","to":"B","run":{"length":"4 ft","grade":"2%"}},
{"id":"B","to":"C","run":{"length":"4 ft","grade":"2%"}},
{"id":"C","to":"A","run":{"length":"4 ft","grade":"2%"}},
{"id":"D","to":"A","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:16: point "A": to: drains in a circle: A -> B -> C -> A`},
		{"itself", point(`{"id":"A","to":"A","run":{"length":"4 ft","grade":"2%"}},{"id":"B","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:16: point "A": to: drains in a circle: A -> A`},
		{"no outlet", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}]}`,
			`f:1:37: system "s": outlet: missing: a system has one
f:1:86: point "A": to: no point or outlet "O"`},
		{"two outlets", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","outlet":[{"id":"O"},{"id":"P"}],"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}]}`,
			`f:1:70: system "s": outlet: wrong type: a list where an object is needed
f:1:119: point "A": to: no point or outlet "O"`},
		{"second outlet", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}},
{"id":"B","run":{"length":"4 ft","grade":"2%"}}`),
			`f:5:1: point "B": to: missing, and a system has one outlet: name the point or the outlet it drains to`},
		{"missing grade", point(`{"id":"A","to":"O","run":{"length":"4 ft"}}`),
			`f:4:1: point "A": grade: missing or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft`},
		{"level", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"0%"}}`),
			`f:4:51: point "A": grade: missing or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft`},
		{"rising", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"-1/4 in/ft"}}`),
			`f:4:51: point "A": grade: -1/4 in/ft rises in the direction of flow`},
		{"negative length", point(`{"id":"W3","to":"O","run":{"length":"-4 ft","grade":"2%"}}`),
			`f:4:37: point "W3": length: -4'-0" is negative`},
		{"missing length", point(`{"id":"A","to":"O","run":{"grade":"2%"}}`),
			`f:4:1: point "A": length: missing or zero; a vertical run may state its top instead; "plan", or on_plan among the defaults, takes it from the coordinates of both ends of a straight flat run`},
		{"top and length", point(`{"id":"A","to":"O","run":{"length":"4 ft","vertical":true,"top":"1 ft"}}`),
			`f:4:36: point "A": length: the top of the riser says how long it is: state one of them`},
		{"top of a flat run", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%","top":"1 ft"}}`),
			`f:4:62: point "A": top: a flat run has none: mark a riser vertical`},
		{"top below the foot", point(`{"id":"A","to":"O","run":{"vertical":true,"top":"-4 ft"}}`),
			`f:4:49: point "A": top: -4'-0" above the floor is no higher than the foot of the riser, at -4'-0"`},
		{"missing run", point(`{"id":"A","to":"O"}`),
			`f:4:1: point "A": length: missing or zero; a vertical run may state its top instead; "plan", or on_plan among the defaults, takes it from the coordinates of both ends of a straight flat run` +
				"\n" +
				`f:4:1: point "A": grade: missing or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft`},
		{"orphan", point(`{"id":"A","to":"X","run":{"length":"4 ft","grade":"2%"}},{"id":"B","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:16: point "A": to: no point or outlet "X"`},
		{"wrong unit", point(`{"id":"A","to":"O","run":{"length":"4 gal","grade":"2%"}}`),
			`f:4:36: point "A": length: `},
		{"bare number", point(`{"id":"A","to":"O","run":{"length":4,"grade":"2%"}}`),
			`f:4:36: point "A": length: wrong type: 4 is a bare number: write a text with its unit`},
		{"duplicate id", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}},
{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:5:7: point "A": id: "A" is the id of two points`},
		{"id of the outlet", point(`{"id":"O","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:7: point "O": id: "O" is the id of two points`},
		{"unknown field", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%","lenght":"4 ft"},"colour":"red"}`),
			`f:4:56: point "A": lenght: unknown field: did you mean "length"?
f:4:73: point "A": colour: unknown field`},
		{"field of the run at its point", point(`{"id":"A","to":"O","length":"4 ft","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:20: point "A": length: unknown field here: it is a field of "run"`},
		{"repeated field", point(`{"id":"A","to":"O","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:4:20: point "A": to: given twice`},
		{"truncated", head + `{"id":"A",`, `f:4:10: not valid JSON: unexpected end of JSON input`},
		{"other system", `{"finished_floor":"0 ft","systems":[
{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"0 ft"},"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]},
{"id":"w","kind":"waste","outlet":{"id":"P","kind":"sewer","invert":"0 ft"},"points":[{"id":"B","to":"A","run":{"length":"4 ft","grade":"2%"}},{"id":"C","to":"P","run":{"length":"4 ft","grade":"2%"}}]}]}`,
			`f:3:102: point "B": to: "A" belongs to system "s"`},
		{"many at once", point(`{"id":"A","to":"O","run":{"length":"-4 ft","grade":"2 furlongs"},"fixture":{"fixture":"sink","count":0}},
{"id":"","to":"X","run":{"length":"4 ft","vertical":true,"grade":"2%","part":"drain"},"continuous":"-1 gpm"}`),
			`f:4:52: point "A": grade: `},
		{"kinds", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"sewage","outlet":{"id":"O","kind":"pond","invert":"0 ft"},"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}]}`,
			`f:1:54: system "s": kind: "sewage": write one of soil, waste, clear-water, storm
f:1:89: system "s": outlet.kind: "pond": write one of sewer, drain, tank, sump`},
		{"not an object", `[]`, `f:1:1: layout: wrong type: a list where an object is needed`},
		{"vents", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"0 ft"},"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}],
"vents":[{"id":"V1","kind":"individual","from":"Z","to":"V2","runs":[{"length":"4 ft","direction":"up"}]},
{"id":"V2","kind":"branch","to":"V3","runs":[{"length":"4 ft","direction":"sideways"}]},
{"id":"V3","kind":"wet","from":"A","to":"V2","runs":[{"length":"4 ft","rise":"5 ft","direction":"up"}]},
{"id":"V4","kind":"relief","terminal":{},"runs":[]}]}`,
			`f:3:75: vent "V2": run 1: direction: "sideways": write one of up, horizontal, below-floor, down
f:4:78: vent "V3": run 1: rise: it rises 5'-0" over a length of 4'-0"
f:4:1: vent "V3": through: missing: a wet vent names the last point it vents
f:2:48: vent "V1": from: no point "Z"
f:3:33: vent "V2": to: drains in a circle: the vents that join it never reach the open air
f:5:49: vent "V4": runs: missing
f:5:1: vent "V4": from: missing: it vents nothing: name a point of take-off or join another vent to it`},
		{"things without id", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"0 ft"},"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]},
{"id":"w","kind":"waste","outlet":{"id":"P","kind":"sewer","invert":"0 ft"},"points":[{"id":"B","to":"P","run":{"length":"4 ft","grade":"2%"}},
{"to":"P","run":{"length":"-4 ft","grade":"2%"},"pump":1}]}],
"vents":[{"id":"V","kind":"individual","from":"A","terminal":{},"runs":[{"length":"4 ft","direction":"up"}]},
{"kind":"individual","from":"A","terminal":{},"sail":1,"runs":[{"length":"4 ft","direction":"up"},{"length":"4 ft","direction":"up","sail":1}]}],
"footings":[{"id":"F","kind":"under","run":"A","bottom":"3 ft"},
{"kind":"under","run":"A","bottom":"3 ft","wall":1}]}`,
			`f:3:1: point 2 of system 2: id: missing
f:3:27: point 2 of system 2: length: -4'-0" is negative
f:3:49: point 2 of system 2: pump: unknown field
f:5:1: vent 2: id: missing
f:5:47: vent 2: sail: unknown field
f:5:133: vent 2: run 2: sail: unknown field
f:7:1: footing 2: id: missing
f:7:43: footing 2: wall: unknown field`},
		{"words", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":7,"outlet":{"id":"O","kind":"sewer","invert":"0 ft"},"points":[
{"id":5,"to":"O","run":{"length":"4 ft","grade":"2%"}},
{"id":"","to":"O","run":{"length":"4 ft","grade":"2%"}}]}]}`,
			`f:1:54: system "s": kind: wrong type: a number where text is needed
f:2:7: point 1 of system 1: id: wrong type: a number where text is needed
f:3:7: point 2 of system 1: id: missing`},
		{"circle of twelve", point(circle(12)), `f:4:18: point "P00": to: drains in a circle: P00 -> P01 -> P02 -> P03 -> P04 -> P05 -> P06 -> P07 -> P08 -> P09 -> P10 -> P11 -> P00`},
		{"circle of thirteen", point(circle(13)), `f:4:18: point "P00": to: drains in a circle: P00 -> P01 -> P02 -> P03 -> P04 -> P05 -> P06 -> P07 -> P08 -> P09 -> P10 -> P11 -> 1 more -> P00`},
		{"two circles", point(`{"id":"H","to":"C","run":{"length":"4 ft","grade":"2%"}},
{"id":"A","to":"B","run":{"length":"4 ft","grade":"2%"}},
{"id":"B","to":"A","run":{"length":"4 ft","grade":"2%"}},
{"id":"D","to":"C","run":{"length":"4 ft","grade":"2%"}},
{"id":"C","to":"D","run":{"length":"4 ft","grade":"2%"}},
{"id":"E","to":"O","run":{"length":"4 ft","grade":"2%"}}`),
			`f:5:16: point "A": to: drains in a circle: A -> B -> A
f:7:16: point "D": to: drains in a circle: D -> C -> D`},
		{"footings", `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"0 ft"},"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]}],
"footings":[{"id":"F","kind":"under","run":"B","bottom":"3 ft"},{"id":"G","kind":"under","run":"A","along":"5 ft","bottom":"3 ft"},{"id":"H","kind":"over","run":"A"}]}`,
			`f:2:44: footing "F": run: no point "B"
f:2:108: footing "G": along: 5'-0" is beyond the end of the run, 4'-0"
f:2:149: footing "H": kind: "over": write one of under, through, beside, thickening
f:2:132: footing "H": bottom: missing: depth of its underside below the finished floor`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l, err := parse("f", []byte(tt.text), code)
			if err == nil || l != nil {
				t.Fatalf("gave %v, %v", l, err)
			}
			got := err.Error()
			// Where the wording is another package's the case ends in a space.
			if strings.HasSuffix(tt.want, " ") {
				if !strings.Contains(got, tt.want) {
					t.Errorf("got\n%s\nwant in it\n%s", got, tt.want)
				}
				return
			}
			want := strings.Split(tt.want, "\n")
			if diff := cmp.Diff(want, strings.Split(got, "\n"),
				cmpopts.SortSlices(func(a, b string) bool { return a < b })); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// TestAllFaultsTogether counts the faults of a layout with many, and finds each
// cause with errors.Is.
func TestAllFaultsTogether(t *testing.T) {
	_, err := parse("f", []byte(`{"finished_floor":"100 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"96 ft"},"points":[
{"id":"A","to":"O","run":{"length":"-4 ft","grade":"2%"}},
{"id":"A","to":"O","run":{"length":"4 ft"}},
{"id":"B","to":"X","run":{"length":"4 ft","grade":"2%"},"color":1},
{"id":"C","to":"D","run":{"length":"4 ft","grade":"2%"}},
{"id":"D","to":"C","run":{"length":"4 ft","grade":"2%"}}]}]}`))
	all, ok := errors.AsType[*units.Faults](err)
	if !ok {
		t.Fatalf("got %v", err)
	}
	if len(all.Faults) != 6 {
		t.Errorf("%d faults:\n%v", len(all.Faults), err)
	}
	for _, cause := range []error{units.ErrRange, ErrMissing, ErrDuplicate, ErrOrphan, ErrCycle} {
		if !errors.Is(err, cause) {
			t.Errorf("no fault is %v:\n%v", cause, err)
		}
	}
	for _, f := range all.Faults {
		if f.File != "f" || f.Line < 2 || f.Column < 1 || f.Item == "" || f.Field == "" {
			t.Errorf("a fault does not say where it is: %+v", f)
		}
	}
}

// TestDefaultGradeToldOnce: a grade among the defaults that cannot be read is told there, and
// not at each run that would have had it.
func TestDefaultGradeToldOnce(t *testing.T) {
	const point = `"points": [{"id": "A", "to": "O", "run": {"length": "9 ft", "material": "pvc-dwv"}}]}]}`
	const outlet = `"outlet": {"id": "O", "kind": "sewer", "invert": "97 ft"}, `
	for _, text := range []string{
		`{"finished_floor": "100 ft", "defaults": {"grade": ".25"}, "systems": [{"id": "s", "kind": "soil", ` + outlet + point,
		`{"finished_floor": "100 ft", "systems": [{"id": "s", "kind": "soil", "defaults": {"grade": ".25"}, ` + outlet + point,
	} {
		_, err := Parse("f", []byte(text))
		if err == nil || !strings.Contains(err.Error(), "write 1/4 in/ft") || strings.Contains(err.Error(), `point "A"`) {
			t.Errorf("%s\n%v", text, err)
		}
	}
}

// TestLengthWithoutUnit: a run 40 nm long is 40 of something that nobody named.
func TestLengthWithoutUnit(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 40}})
	if _, err := New(*l); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "without its unit") {
		t.Errorf("%v", err)
	}
}

// TestApartInLaterSystem: what the second system keeps out is no fixture and carried by nobody, which is told also if the
// first keeps nothing out.
func TestApartInLaterSystem(t *testing.T) {
	_, err := Parse("f", []byte(`{"finished_floor":"0 ft","systems":[
{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-9 ft"},
"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]},
{"id":"w","kind":"waste","refuses":["nonsense"],"outlet":{"id":"P","kind":"sewer","invert":"-9 ft"},
"points":[{"id":"B","to":"P","run":{"length":"4 ft","grade":"2%"}}]}]}`),
		mustCode(t, "ipc-2021"))
	if err == nil || !strings.Contains(err.Error(), `system "w": refuses: "nonsense" is no fixture`) {
		t.Errorf("%v", err)
	}
}

// TestPlanLengthAfterOthers: a run that takes its length from the plan, 3 ft by 4 ft, is 5 ft long and what its fall adds;
// runs that state theirs, or have no place, go before it.
func TestPlanLengthAfterOthers(t *testing.T) {
	const head = `{"finished_floor":"0 ft","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-9 ft",
"at":{"x":"0 ft","y":"0 ft"}},"points":[
`
	const last = `{"id":"B","to":"O","at":{"x":"3 ft","y":"4 ft"},"run":{"length":"plan","grade":"2%"}}]}]}`
	l, err := Parse("f", []byte(head+`{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}},`+last))
	if err != nil {
		t.Fatal(err)
	}
	i, _ := l.Find("B")
	if got := l.Point(i).Run.Length; got < 5*units.Foot || got > 5*units.Foot+units.Inch/64 { // 0.012 in more
		t.Errorf("B is %v long", got)
	}
	// A run that states no length has none, though the plan would tell it.
	for _, length := range []string{`"length":"0 ft",`, ``} {
		_, err = Parse("f", []byte(head+`{"id":"A","to":"O","at":{"x":"3 ft","y":"4 ft"},"run":{`+length+`"grade":"2%"}},`+last))
		if err == nil || !strings.Contains(err.Error(), `point "A": length: `) || strings.Contains(err.Error(), `point "B"`) {
			t.Errorf("%s: %v", length, err)
		}
	}
	_, err = Parse("f", []byte(head+`{"id":"A","to":"O","run":{"length":"plan","grade":"2%"}},`+last))
	if err == nil || !strings.Contains(err.Error(), `point "A": length`) || strings.Contains(err.Error(), `point "B"`) {
		t.Errorf("only A has no place: %v", err)
	}
}

// TestCycleInLaterSystem: a circle is told where it stands, in the sixth line.
func TestCycleInLaterSystem(t *testing.T) {
	_, err := Parse("f", []byte(`{"finished_floor":"0 ft","systems":[
{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-9 ft"},
"points":[{"id":"A","to":"O","run":{"length":"4 ft","grade":"2%"}}]},
{"id":"w","kind":"waste","outlet":{"id":"P","kind":"sewer","invert":"-9 ft"},
"points":[{"id":"C","to":"P","run":{"length":"4 ft","grade":"2%"}},
	{"id":"B","to":"B","run":{"length":"4 ft","grade":"2%"}}]}]}`))
	if err == nil || !strings.HasPrefix(err.Error(), "f:6:") || !strings.Contains(err.Error(),
		`point "B": to: drains in a circle: B -> B`) {
		t.Errorf("%v", err)
	}
}

// TestTooFar: each of the lengths of a point that may be absent is told where it alone is beyond what a length may be.
func TestTooFar(t *testing.T) {
	const far = units.MaxLength + 1
	for field, p := range map[string]Point{"drop": {Run: Run{Length: ft, Drop: far}}, "stub_up": {Run: Run{Length: ft}, StubUp: far},
		"rim_below": {Run: Run{Length: ft}, RimBelow: far}, "flood_rim": {Run: Run{Length: ft}, FloodRim: far}} {
		p.ID = "A"
		if _, err := New(*straight(p)); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), field) {
			t.Errorf("%s: %v", field, err)
		}
	}
}
