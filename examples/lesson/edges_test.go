package lesson

import (
	"bufio"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// TestEdgesOfLines: lines at the very edge of what is allowed, one past it, and answers that a field more or less
// would turn, worked by hand.
func TestEdgesOfLines(t *testing.T) {
	const mix = `{"ask":"mix","hot":"140 degF","cold":"50 degF","mixed":"`
	for _, c := range []struct{ name, line, want string }{
		{"level where it must fall", `{"ask":"length-for-fall","fall":"1 in","grade":"0 %"}`, "grade: 0 % does not fall"},
		{"all cold", mix + `50 degF"}`, `"hot_fraction":{"value":0,"unit":"1"`},
		{"all hot", mix + `140 degF"}`, `"hot_fraction":{"value":1,"unit":"1"`},
		{"colder than cold", mix + `49.9 degF"}`, "mixed: not between cold and hot"},
		{"hotter than hot", mix + `140.1 degF"}`, "mixed: not between cold and hot"},
		{"stations from 10 ft on", `{"ask":"cut-sheet","benchmark":"100 ft","backsight":"5 ft","invert":"96 ft","grade":"1 %",` +
			`"stations":["10 ft","60 ft"]}`, // beam 105 ft; 50 ft on at 1 % it is half a foot higher or lower
			`"readings":[{"value":9,"unit":"ft"},{"value":9.5,"unit":"ft"}]`},
		{"a loss under a code that is none", `{"ask":"device-loss","device":"meter","size":"3/4 in","flow":"10 gpm","code":"nope"}`,
			`code: `},
		{"a tap without its code", `{"ask":"device-loss","device":"tap","size":"3/4 in","flow":"10 gpm"}`, `code: missing`},
		{"a mark without a student", `{"ask":"mark","problem":{"ask":"head","head":"1 ft"}}`, `student: missing`},
		{"a mark without a problem", `{"ask":"mark","student":{"pressure":"1 psi"}}`, `problem: missing`},
		{"no tolerance, and right", markLine(markInverts, `"inverts":["637.20 ft"]`, "0 ft"),
			`"right":true`},
		{"no tolerance, and a hair off", markLine(markInverts, `"inverts":["637.201 ft"]`, "0 ft"),
			`"right":false`},
		{"a tolerance below none", markLine(markHead, `"pressure":"43.3 psi"`, "-1 ft"), `"-1 ft\" is negative`},
		{"the greatest count", `{"ask":"in-use","count":1000000000,"probability":0.5,"confidence":0.5}`, `"in_use"`},
		{"one more", `{"ask":"in-use","count":1000000001,"probability":0.5,"confidence":0.5}`, "at most 1000000000"},
		{"no coefficient", `{"ask":"pipe-expansion","length":"10 ft","alpha":"0 1/K","change":"10 K"}`, "alpha: "},
	} {
		if got := one(t, c.line); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	most := one(t, `{"ask":"pipe-expansion","length":"10 m","alpha":"0.01 1/K","change":"10 K","units":"si"}`)
	if !strings.Contains(most, `"value":1000,"unit":"mm"`) { // 10 m x 0.01 x 10
		t.Errorf("the greatest coefficient: %s", most)
	}
	two := one(t, markLine(markHead, `"pressur":"43 psi","psi":"43 psi"`, ""))
	if !strings.Contains(two, `\"pressur\"`) || !strings.Contains(two, `\"psi\"`) {
		t.Errorf("of two answers that are none both are told: %s", two)
	}
}

// TestMarkOfWords: an answer in words is right letter by letter and as a text; "unlimited" for a number is wrong,
// other words are no answer at all.
func TestMarkOfWords(t *testing.T) {
	for _, c := range []struct {
		right  value
		given  strictjson.Value
		right2 bool
		fault  bool
	}{
		{text("turbulent"), strictjson.Value{Kind: strictjson.String, Text: "turbulent"}, true, false},
		{text("turbulent"), strictjson.Value{Kind: strictjson.String, Text: "laminar"}, false, false},
		{text("12"), strictjson.Value{Kind: strictjson.Number, Text: "12"}, false, false},
		{value{x: 12, unit: "ft"}, strictjson.Value{Kind: strictjson.String, Text: "unlimited"}, false, false},
		{value{x: 12, unit: "ft"}, strictjson.Value{Kind: strictjson.String, Text: "endless"}, false, true},
	} {
		doc, err := strictjson.Parse("line", []byte(`{}`), strictjson.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		p := &problem{doc: doc, fields: doc.Fields(&doc.Root, "")}
		got := (&marker{p: p}).mark(&c.right, &c.given, []any{"answer"})
		if fault := doc.Faults.Len() > 0; fault != c.fault {
			t.Errorf("%+v for %+v: faults %v", c.given, c.right, doc.Faults.Err())
			continue
		}
		if at := slices.Index(got.names, "right"); !c.fault && (at < 0 || got.items[at].yes != c.right2) {
			t.Errorf("%+v for %+v: %+v", c.given, c.right, got)
		}
	}
}

// TestTitles: standards go by their number, a code by what its tables are cited from, what is on no shelf by its id.
func TestTitles(t *testing.T) {
	for id, want := range map[string]string{"en12056-2": "EN 12056-2", "din1988-300": "DIN 1988-300", "bs6700": "BS 6700",
		"en0": "EN 0", "bs9": "BS 9", "enough": "enough", "ipc-2021": "the International Plumbing Code 2021"} {
		if got := embedded.title(id); got != want {
			t.Errorf("%s is called %q, want %q", id, got, want)
		}
	}
	inches, metric := embedded.nominalSizes("in"), embedded.nominalSizes("DN")
	if !slices.Contains(inches, 4) || slices.Contains(inches, 100) || slices.Contains(metric, 4) {
		t.Errorf("sizes in inches %v, by DN %v", inches, metric)
	}
	if kinds := embedded.listedIn("fixtures", "fixture"); !slices.Contains(kinds, "lavatory") || !slices.IsSorted(kinds) {
		t.Errorf("fixtures of the shelf: %d", len(kinds))
	}
}

// TestScoreOfSlips: the slip that was made most often stands first.
func TestScoreOfSlips(t *testing.T) {
	wrong := func(likely string) Verdict { return Verdict{Question: "1", Answer: "fall", Given: "3", Likely: likely} }
	s := &ScoreSheet{Questions: []string{"1"}, Students: []Marked{
		{Name: "A", Verdicts: []Verdict{wrong("a slip made once")}},
		{Name: "B", Verdicts: []Verdict{wrong("made twice")}}, {Name: "C", Verdicts: []Verdict{wrong("made twice")}}}}
	if got := s.String(); !strings.HasSuffix(got, "Slips of the class:\n  2 x made twice\n  1 x a slip made once\n") {
		t.Errorf("%s", got)
	}
}

// TestSpokenFields: counts and grades as a sentence has them; in metric units no grade but one in inches a foot turns:
// 1/4 in/ft is 2.083 %, to a tenth 2.1.
func TestSpokenFields(t *testing.T) {
	e := New(nil)
	for _, c := range []struct{ kind, name, text, want string }{
		{"vent-size", "water_closets", "1", "1 water closet"}, {"vent-size", "water_closets", "2", "2 water closets"},
		{"stack-size", "intervals", "1", "1 branch interval"}, {"stack-size", "intervals", "0", "0 branch intervals"},
		{"stack", "fill", "0.25", "1/4"}, {"stack", "fill", "0.3", "0.3"}, {"open-channel", "fill", "0.25", "0.25"},
	} {
		if got := e.spoken(c.kind, c.name, &strictjson.Value{Kind: strictjson.Number, Text: c.text}); got != c.want {
			t.Errorf("%s %s of %s: %q, want %q", c.name, c.text, c.kind, got, c.want)
		}
	}
	for given, want := range map[string]string{"1:48": "1:48", "2 %": "2 %", "1/4 in/ft": "2.1 %", "steep": "steep"} {
		if got := metricText("grade", given); got != want {
			t.Errorf("%s in metric units: %s, want %s", given, got, want)
		}
	}
	for given, want := range map[string]string{"72 degF": "22 degC", "212 degF": "100 degC", "32 degF": "0 degC"} {
		if got := metricText("hot", given); got != want {
			t.Errorf("%s in metric units: %s, want %s", given, got, want)
		}
	}
	if got := metricText("drop", "18 degF"); got != "10 K" {
		t.Errorf("a drop of 18 degF: %s", got)
	}
	for given, want := range map[string]string{"1e3": "1000", "12.50": "12.50", "1E15": "1000000000000000", "1e16": "1e16",
		"-2.5e-3": "-0.0025"} {
		if got := decimalText(given); got != want {
			t.Errorf("%s without its exponent: %s, want %s", given, got, want)
		}
	}
	if got := broken("5 m", "at least 1 m and at most 5 m"); got != "at least 1 m" { // five are allowed: what else is broken
		t.Errorf("five of at most five: %s", got)
	}
	if got := broken("6 m", "at least 1 m and at most 5 m"); got != "at most 5 m" {
		t.Errorf("six of at most five: %s", got)
	}
}

// TestLineWaits: an empty line waits as any other.
func TestLineWaits(t *testing.T) {
	for text, want := range map[string]bool{"\n": true, "a\n": true, "a": false, "": false} {
		r := bufio.NewReader(strings.NewReader(text))
		if _, err := r.Peek(1); (err == nil) != (text != "") {
			t.Fatal(err)
		}
		if got := lineWaits(r); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
	long := strings.Repeat(" ", maxLine+1)
	if out, ok := solveText(t, long, options{}); ok || !strings.Contains(out, "line is longer than") {
		t.Errorf("a last line too long, without an end: %v, %q", ok, out)
	}
}

// TestFactorsOfFriction: in a bore of 50 mm, of water of 1e-6 m2/s, 0.02 m/s have a Reynolds number of 1000, so that
// the factor is 64/1000; 0.06 m/s have 3000, between the two laws; 0.1 m/s have 5000, by Colebrook. A flow is the
// speed times 1.963495e-3 m2.
func TestFactorsOfFriction(t *testing.T) {
	for flow, want := range map[string]string{"3.92699081699e-5": "64 / 1000", "1.178097245097e-4": "between 64/Re at Re 2000",
		"1.963495408495e-4": "roughness / D"} {
		line := `{"ask":"friction","method":"darcy-weisbach","length":"100 m","bore":"50 mm","roughness":"0.05 mm","units":"si",` +
			`"viscosity":"1e-6 m2/s","flow":"` + flow + ` m3/s"}`
		out, ok := solveText(t, line, options{working: true})
		if !ok || !strings.Contains(out, want) {
			t.Errorf("%s m3/s: %s, want %s", flow, out, want)
		}
		for _, other := range []string{"64 / 1000", "between 64/Re", "roughness / D"} {
			if strings.Contains(out, other) != strings.HasPrefix(want, other) {
				t.Errorf("%s m3/s: %s also has %s", flow, out, other)
			}
		}
	}
	// A leg of 1 in that takes up 1 in, of 400 000 psi, strained to 2000 psi: guided sqrt(3 x 200) = 24.49 in, free
	// sqrt(1.5 x 200) = 17.32 in.
	for end, want := range map[string]string{``: "24.4948974409", `,"end":"guided"`: "24.4948974409", `,"end":"free"`: "17.3205080709"} {
		if got := one(t, `{"ask":"expansion-leg","expansion":"1 in","diameter":"1 in","modulus":"400000 psi","stress":"2000 psi"`+
			end+`}`); !strings.Contains(got, `"value":`+want) {
			t.Errorf("%s: %s, want %s", end, got, want)
		}
	}
}
