package drains

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/jsonedit"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// mustLayout reads a layout from testdata.
func mustLayout(t testing.TB, name string, codes ...*dwv.Code) *Data {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	l, err := parse(name, data, codes...)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

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
			`f:4:1: point "A": grade: missing or zero: a horizontal run needs one, such as 1/4 in/ft`},
		{"level", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"0%"}}`),
			`f:4:51: point "A": grade: missing or zero: a horizontal run needs one, such as 1/4 in/ft`},
		{"rising", point(`{"id":"A","to":"O","run":{"length":"4 ft","grade":"-1/4 in/ft"}}`),
			`f:4:51: point "A": grade: -1/4 in/ft rises in the direction of flow`},
		{"negative length", point(`{"id":"W3","to":"O","run":{"length":"-4 ft","grade":"2%"}}`),
			`f:4:37: point "W3": length: -4'-0" is negative`},
		{"missing length", point(`{"id":"A","to":"O","run":{"grade":"2%"}}`),
			`f:4:1: point "A": length: missing or zero; "plan" takes it from the coordinates of both ends of a straight flat run`},
		{"missing run", point(`{"id":"A","to":"O"}`),
			`f:4:1: point "A": run: missing`},
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
			`f:3:75: vent "V2": run 1: direction: "sideways": write one of up, horizontal, below-floor
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
			if diff := cmp.Diff(want, strings.Split(got, "\n"), cmpopts.SortSlices(func(a, b string) bool { return a < b })); diff != "" {
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
	all, ok := errors.AsType[*faults.Errors](err)
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

func TestLayoutRoundTrip(t *testing.T) {
	l := mustLayout(t, "hall.json")
	text, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	var again Layout
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	opts := cmp.Options{cmp.Comparer(func(a, b slope.Grade) bool { return a == b }), cmp.Comparer(func(a, b Bearing) bool { return a == b })}
	if diff := cmp.Diff(*l, again.Data(), opts); diff != "" {
		t.Errorf("(-first +again):\n%s", diff)
	}
	text2, err := json.Marshal(&again)
	if err != nil || string(text) != string(text2) {
		t.Errorf("second text differs: %v\n%s\n%s", err, text, text2)
	}
}

// A layout made in Go is the same, to the last field, once it has been text: lists that are
// not there stay so.
func TestGoLayoutRoundTrip(t *testing.T) {
	l := mustBuild(t, straight(Point{ID: "A", Run: Run{Length: 9 * ft}}))
	text, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	again, err := parse("f", text)
	if err != nil {
		t.Fatal(err)
	}
	opts := cmp.Options{cmp.Comparer(func(a, b slope.Grade) bool { return a == b }), cmp.Comparer(func(a, b Bearing) bool { return a == b })}
	if diff := cmp.Diff(l, again, opts); diff != "" {
		t.Errorf("(-made +read):\n%s", diff)
	}
}

// TestBuildInGo builds a layout without JSON; its faults name no file.
func TestBuildInGo(t *testing.T) {
	l := &Data{
		FinishedFloor: 100 * units.Foot,
		Systems: []System{{
			ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 97 * units.Foot},
			Points: []Point{{ID: "A", To: "O", Run: Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)}, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 2, Use: dwv.Private}}},
		}},
	}
	if err := buildErr(l); err != nil {
		t.Fatal(err)
	}
	s, err := sizeOf(l, mustCode(t, "ipc-2021"))
	if err != nil {
		t.Fatal(err)
	}
	// Two lavatories of 1 dfu each; 1-1/2 in carries 3 dfu at 1/4 in/ft
	// (IPC 2021 Tables 709.1 and 710.1(1)).
	if r := s.At(0); r.Load != 2*dwv.FixtureUnit || r.Size != units.Inch*3/2 {
		t.Errorf("got %v on %v", r.Load, r.Size)
	}
	l.Systems[0].Points[0].Run.Length = -1
	err = buildErr(l)
	if want := `point "A": length: `; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s...", err, want)
	}
	if _, again := sizeOf(l, mustCode(t, "ipc-2021")); again == nil || again.Error() != err.Error() {
		t.Errorf("Build gives %v and Size %v", err, again)
	}
}

// FuzzParseLayout: whatever is read can be written and read again, and judged. Edits
// put values of the text in place of others, so that the judges are reached.
func FuzzParseLayout(f *testing.F) {
	data, err := os.ReadFile("testdata/hall.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(data), []byte{})
	f.Add(string(data), []byte{3, 1, 40, 90, 7, 200})
	for _, s := range []string{``, `{}`, `[]`, `{"systems":[{}]}`, `{"systems":[{"points":[{}]}]}`, `{"vents":[{"runs":[{}]}],"footings":[{}]}`, `{"systems":[{"id":"s","outlet":null,"points":null}]}`,
		`{"finished_floor":"1000 km","systems":[{"id":"s","kind":"soil","outlet":{"id":"O","kind":"sewer","invert":"-1000 km"},"points":[{"id":"A","to":"O","run":{"length":"1000 km","grade":"1:1","drop":"1000 km"}},{"id":"B","to":"A","run":{"length":"1000 km","vertical":true}}]}]}`} {
		f.Add(s, []byte{})
	}
	code := mustCode(f, "ipc-2021")
	f.Fuzz(func(t *testing.T, text string, edits []byte) {
		text = jsonedit.Apply(text, edits)
		l, err := parse("f", []byte(text))
		if err != nil {
			if l != nil {
				t.Fatal("a layout and an error")
			}
			return
		}
		out, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parse("again", out); err != nil {
			t.Fatalf("%v\nfrom %s\nof %s", err, out, text)
		}
		// Whatever can be read can be judged, or says why not.
		if findings, err := checkOf(l, code, CheckOptions{}); err == nil {
			for _, x := range findings {
				if x.Rule == "" || x.Verdict == 0 || ruleOrder(x.Rule) == len(rules) {
					t.Fatalf("finding %+v", x)
				}
			}
		}
	})
}

func TestBearing(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want float64
		text string
	}{{"0 deg", 0, "0 deg"}, {"360 deg", 0, "0 deg"}, {"-22.5 deg", 337.5, "337.5 deg"}, {"90°", 90, "90 deg"}, {"11.25deg", 11.25, "11.25 deg"},
		{"45." + strings.Repeat("0", 29) + "deg", 45, "45 deg"}} {
		var b Bearing
		if err := b.UnmarshalText([]byte(tt.in)); err != nil || b.Degrees() != tt.want || b.IsZero() || b.String() != tt.text {
			t.Errorf("%q: %v, %v (%v)", tt.in, b, b.Degrees(), err)
		}
	}
	for _, in := range []string{"90", "NaN deg", "inf deg", "400 deg", "deg", "9e9 deg", "N 45 E", "45." + strings.Repeat("0", 30) + "deg"} {
		var b Bearing
		if err := b.UnmarshalText([]byte(in)); !errors.Is(err, ErrBearing) {
			t.Errorf("%q: %v, %v", in, b, err)
		}
	}
	for _, tt := range []struct {
		a, b, want float64
	}{{350, 10, 20}, {10, 350, 20}, {0, 180, 180}, {90, 45, 45}, {0, 270, 90}} {
		if m, ok := Degrees(tt.a).turn(Degrees(tt.b)); !ok || float64(m) != 1000*tt.want {
			t.Errorf("turn from %v to %v is %v", tt.a, tt.b, m)
		}
	}
	if _, ok := Degrees(1).turn(Bearing{}); ok {
		t.Error("a turn from no bearing")
	}
	here := Position{X: 5 * units.Foot, Y: 7 * units.Foot}
	for _, tt := range []struct {
		right, ahead units.Length
		want         Bearing
	}{{1, 1, Degrees(45)}, {1, 0, Degrees(90)}, {0, 1, Degrees(0)}, {0, -1, Degrees(180)}, {-1, 0, Degrees(270)}, {-1, 1, Degrees(315)}, {0, 0, Bearing{}}} {
		to := Position{X: here.X + tt.right*units.Foot, Y: here.Y + tt.ahead*units.Foot}
		if b := bearingOf(here, to); b != tt.want {
			t.Errorf("%d to the right and %d ahead is %v, want %v", tt.right, tt.ahead, b, tt.want)
		}
	}
	// A million degrees are 2777 turns and 280.
	if b, c := Degrees(1e6), Degrees(-1e6); b.Degrees() != 280 || c.Degrees() != 80 || !Degrees(1e6+0.001).IsZero() {
		t.Errorf("a million degrees are %v, less so many %v, and a little more %v", b, c, Degrees(1e6+0.001))
	}
}
