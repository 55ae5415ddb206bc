package lesson

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// TestMarks keeps verdicts on right, rounded and slipped answers; each line is one
// kind of slip, or a fault of the line.
func TestMarks(t *testing.T) {
	in, err := os.ReadFile("testdata/marks.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	out, _ := solveText(t, string(in), options{})
	golden.Keep(t, filepath.Join("testdata", "marks.golden"), out)
}

// TestFaults keeps the messages of lines that cannot be answered: each names the
// field and what is allowed.
func TestFaults(t *testing.T) {
	in, err := os.ReadFile("testdata/faults.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	out, _ := solveText(t, string(in), options{})
	golden.Keep(t, filepath.Join("testdata", "faults.golden"), out)
}

// Problems to be marked, and their answers by hand.
const (
	markInverts = `{"ask":"inverts","outlet_invert":"636.20 ft","runs":[{"length":"48 ft","grade":"1/4 in/ft"}]}` // 637.20
	// 2 in takes 21
	markSize  = `{"ask":"drain-size","code":"ipc-2021","part":"drain","load":20,"grade":"1/4 in/ft"}`
	markInUse = `{"ask":"in-use","count":400,"probability":0.3,"confidence":0.99}`
	markLoad  = `{"ask":"drainage-load","code":"ipc-2021","fixtures":[{"fixture":"kitchen-sink","count":3}]}` // 3 x 2
	markCuts  = `{"ask":"cut-sheet","benchmark":"100.00 ft","backsight":"5.00 ft","invert":"96.00 ft",` +
		`"grade":"1 %","stations":["0 ft","50 ft"],"ground":["99 ft","99 ft"]}` // beam 105; readings 9, 9.5; cuts 3, 3.5
	markSupply = `{"ask":"supply-load","code":"ipc-2021",` +
		`"fixtures":[{"fixture":"kitchen-sink","count":1,"use":"private"}]}`
	markHalf   = `{"ask":"open-channel","bore":"4 in","grade":"1/4 in/ft","n":0.013,"depth_ratio":0.5}`
	markHead   = `{"ask":"head","head":"100 ft"}`                                                             // 43.3 psi
	markTrench = `{"ask":"trench","length":"54 ft","width":"2 ft","depth_lower":"3 ft","depth_upper":"2 ft"}` // 10 yd3
)

// markCases: right, off and likely are of the last answer.
var markCases = []struct{ problem, student, tolerance, right, off, likely string }{
	{markInverts, `"inverts":["643.20 ft"]`, "", "false", `{"value":6,"unit":"ft"}`, slipNone},
	{markInverts, `"inverts":["637.21 ft"]`, "", "true", `{"value":0.01,"unit":"ft"}`, slipNone},
	{markInverts, `"inverts":["637.22 ft"]`, "", "false", `{"value":0.02,"unit":"ft"}`, slipNone},
	{markInverts, `"inverts":["637.22 ft"]`, "0.02 ft", "true", `{"value":0.02,"unit":"ft"}`, slipNone},
	{markInverts, `"inverts":["637.16 ft"]`, "", "false", `{"value":-0.04,"unit":"ft"}`, slipQuarter},
	{markSize, `"size":"2 in"`, "", "true", `{"value":0,"unit":"in"}`, slipNone},
	{markSize, `"size":"2.01 in"`, "", "false", `{"value":0.01,"unit":"in"}`, slipNone},
	{markSize, `"size":"2 1/2 in"`, "", "false", `{"value":0.5,"unit":"in"}`, slipSizeUp},
	{markSize, `"size":"1 1/2 in"`, "", "false", `{"value":-0.5,"unit":"in"}`, slipSizeDown},
	{markSize, `"max_load":21`, "", "true", `{"value":0,"unit":"dfu"}`, slipNone},
	{markSize, `"max_load":20.9`, "", "false", `{"value":-0.1,"unit":"dfu"}`, slipNone},
	{markInUse, `"in_use":142`, "", "true", `{"value":0,"unit":"1"}`, slipNone},
	{markInUse, `"in_use":143`, "", "false", `{"value":1,"unit":"1"}`, slipNone},
	{markLoad, `"load":6.05`, "", "false", `{"value":0.05,"unit":"dfu"}`, slipNone},
	{markCuts, `"readings":["9.00 ft","9.505 ft"]`, "", "true", `{"value":0.005,"unit":"ft"}`, slipNone},
	{markCuts, `"readings":["9.00 ft","8.5 ft"]`, "", "false", `{"value":-1,"unit":"ft"}`, slipNone},
	{markCuts, `"instrument_height":"95 ft"`, "", "false", `{"value":-10,"unit":"ft"}`, slipSight},
	{markCuts, `"cuts":["3 ft","-3.5 ft"]`, "", "false", `{"value":-7,"unit":"ft"}`, slipSign},
	{markSupply, `"total":2`, "", "false", `{"value":0.6,"unit":"wsfu"}`, slipAdded},
	{markHalf, `"flow":"123.3 gpm"`, "", "false", `{"value":100,"unit":"%"}`, slipFull},
	{markHead, `"pressure":"231 psi"`, "", "false", `{"value":433,"unit":"%"}`, slipHead},
	{markHead, `"pressure":"43.3 psi"`, "2 %", "true", `{"value":-0,"unit":"%"}`, slipNone},
	{markTrench, `"volume":"120 yd3"`, "", "false", `{"value":1100,"unit":"%"}`, slipProduct},
	{markTrench, `"volume":"270 yd3"`, "", "false", `{"value":2600,"unit":"%"}`, "unit: ft3 for yd3"},
}

// markLine is the line that marks a student's answers.
func markLine(problem, student, tolerance string) string {
	if tolerance != "" {
		tolerance = `,"tolerance":"` + tolerance + `"`
	}
	return `{"ask":"mark","problem":` + problem + `,"student":{` + student + `}` + tolerance + `}`
}

// verdicts reads the verdicts on a student's one answer, which may be a list.
func verdicts(t *testing.T, line string) (list []markVerdict) {
	t.Helper()
	var reply struct{ Answer map[string]json.RawMessage }
	out := one(t, line)
	if err := json.Unmarshal([]byte(out), &reply); err != nil || len(reply.Answer) != 1 {
		t.Fatalf("%s\n%s", line, out)
	}
	for _, raw := range reply.Answer {
		if raw[0] != '[' {
			raw = []byte("[" + string(raw) + "]")
		}
		if err := json.Unmarshal(raw, &list); err != nil {
			t.Fatal(err)
		}
	}
	return list
}

type markVerdict struct {
	Right bool
	OffBy struct {
		Value float64
		Unit  string
	} `json:"off_by"`
	Likely string
}

// TestMarkJudges: an answer is judged by what it is. An elevation is not more
// right for a high datum, a size is not nearly right, a count is right or wrong.
// Right answers and slips were worked by hand.
func TestMarkJudges(t *testing.T) {
	for _, c := range markCases {
		list := verdicts(t, markLine(c.problem, c.student, c.tolerance))
		last := list[len(list)-1]
		got := fmt.Sprintf(`{"value":%.3g,"unit":%q}`, last.OffBy.Value, last.OffBy.Unit)
		if last.OffBy.Unit == "%" {
			got = fmt.Sprintf(`{"value":%.0f,"unit":"%%"}`, last.OffBy.Value)
		}
		if fmt.Sprint(last.Right) != c.right || got != c.off || last.Likely != c.likely {
			t.Errorf("%s: %+v, want %s %s %s", c.student, last, c.right, c.off, c.likely)
		}
		for _, v := range list {
			if v.Right && v.Likely != slipNone {
				t.Errorf("%s: right, and likely %s", c.student, v.Likely)
			}
		}
	}
	for _, c := range []struct{ problem, student, tolerance string }{
		{markInverts, `"inverts":["637.2 ft"]`, "1 %"}, {markSize, `"size":"2 in"`, "1 %"},
		{markHead, `"pressure":"43.3 psi"`, "0.01 ft"},
	} {
		out := one(t, markLine(c.problem, c.student, c.tolerance))
		if !strings.Contains(out, `"error":"tolerance: no answer is marked by it`) {
			t.Errorf("%s: a tolerance that judges nothing: %s", c.student, out)
		}
	}
}

// TestMarkCode: an answer that is another code's says whose it is.
func TestMarkCode(t *testing.T) {
	// A private kitchen sink is 1.4 wsfu in the IPC and 1.5 in the UPC, both read.
	out := one(t, markLine(markSupply, `"total":1.5`, ""))
	if !strings.Contains(out, `"likely":"another code: upc-2021"`) {
		t.Error(out)
	}
}

// TestVentForClosets: a vent that the code's row bars for water closets is not the
// answer where there is one (UPC Table 703.2, note 3).
func TestVentForClosets(t *testing.T) {
	const line = `{"ask":"vent-size","code":"upc-2021","part":"individual","drain_size":"3 in","load":4,` +
		`"length":"20 ft"`
	for closets, want := range map[string]string{``: "1.5", `,"water_closets":0`: "1.5", `,"water_closets":1`: "2"} {
		if out := one(t, line+closets+"}"); !strings.Contains(out, `"size":{"value":`+want+`,"unit":"in"`) {
			t.Errorf("%s: %s, want %s in", closets, out, want)
		}
	}
	if out := one(t, line+`,"water_closets":-1}`); !strings.Contains(out, "water_closets") {
		t.Error(out)
	}
}

// moreSlips are lines whose last answer is a slip that markCases have not.
var moreSlips = []struct{ problem, student, likely string }{
	{`{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`, `"fall":"1.125 in"`, slipPercent},
	{`{"ask":"velocity","flow":"20 gpm","bore":"1.025 in"}`, `"velocity":"8.17 ft/s"`, slipNominal},
	{`{"ask":"velocity","flow":"20 gpm","bore":"1.025 in"}`, `"velocity":"1.944 ft/s"`, slipRadius},
	{`{"ask":"inverts","outlet_invert":"100 ft","runs":[{"length":"10 ft","grade":"1/4 in/ft","drop":"2 in"}]}`,
		`"inverts":["100.2083 ft"]`, slipDrop},
	{markSupply, `"total":1.5`, slipCode + "upc-2021"},
	{`{"ask":"minor-loss","k":10,"velocity":"5 ft/s"}`, `"head_loss":"1.184 m"`, slipNone}, // right, in metres
	{`{"ask":"static-residual","static":"90 psi","residual":"65 psi","at":"1000 gpm","wanted":"500 gpm"}`,
		`"pressure":"576.5 psi"`, slipUnit + "kPa for psi"},
}

// TestSlips: each of the sixteen names is found once at least, and what is right is not
// explained as a slip.
func TestSlips(t *testing.T) {
	found := map[string]bool{}
	see := func(v markVerdict) {
		name, _, _ := strings.Cut(v.Likely, ": ")
		found[name] = true
		if v.Right && v.Likely != slipNone {
			t.Errorf("right, and likely %s", v.Likely)
		}
	}
	for _, c := range markCases {
		for _, v := range verdicts(t, markLine(c.problem, c.student, c.tolerance)) {
			see(v)
		}
	}
	for _, c := range moreSlips {
		list := verdicts(t, markLine(c.problem, c.student, ""))
		if last := list[len(list)-1]; last.Likely != c.likely {
			t.Errorf("%s: %+v, want %s", c.student, last, c.likely)
		}
		see(list[len(list)-1])
	}
	want := []string{"2 % taken for 1/4 in/ft", "2.31 the wrong way", "another code", "backsight subtracted",
		"cold plus hot",
		"diameter for radius", "feet times inches", "forgotten drop", "full pipe", "nominal for inside diameter",
		"none", "one size down",
		"one size up", "percent for in/ft", "sign", "unit"}
	if diff := cmp.Diff(want, slices.Sorted(maps.Keys(found))); diff != "" {
		t.Error(diff)
	}
}

// TestRightIsNeverASlip marks the right answers of fresh problems of every kind, and the
// same spoilt by each of some factors: no verdict contradicts itself.
func TestRightIsNeverASlip(t *testing.T) {
	for _, kind := range kindNames() {
		if kind == "mark" || kind == "demand-exact" {
			continue
		}
		var questions, key strings.Builder
		if err := quiz(t.Context(), quizOf(1, 5, kind), &questions, &key, options{shelf: embedded}); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(questions.String()) {
			var reply struct{ Answer map[string]json.RawMessage }
			if err := json.Unmarshal([]byte(one(t, strings.TrimSpace(line))), &reply); err != nil {
				t.Fatal(err)
			}
			for name, raw := range reply.Answer {
				var q struct {
					Value float64
					Unit  string
				}
				if json.Unmarshal(raw, &q) != nil {
					continue
				}
				for _, factor := range []float64{1, 12, -1} {
					given := fmt.Sprintf(`%q:"%.12g %s"`, name, q.Value*factor, q.Unit)
					if q.Unit == "1" {
						given = fmt.Sprintf(`%q:%.12g`, name, q.Value*factor)
					}
					if q.Unit == "in/ft" && factor < 0 || strings.Contains("kg/m3 Pa-s kJ/kg-K", q.Unit) &&
						q.Unit != "1" {
						continue
					}
					for _, v := range verdicts(t, markLine(strings.TrimSpace(line), given, "")) {
						if v.Right != (factor == 1 || q.Value == 0) || v.Right && v.Likely != slipNone {
							t.Errorf("%s%s: %+v", line, given, v)
						}
					}
				}
			}
		}
	}
}

// verdictsIn are the verdicts that an answer is made of, none of one that is no verdict.
func verdictsIn(v *value) (list []*value) {
	if v.isVerdict() {
		return []*value{v}
	}
	for i := range v.items {
		list = append(list, verdictsIn(&v.items[i])...)
	}
	return list
}

// Wrong answers to every kind, worked by hand in one of the usual wrong ways, are told by
// the name of the slip: two slips a kind at least.
func TestTwoSlipsOfEveryKind(t *testing.T) {
	data, err := os.ReadFile("testdata/slips.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]map[string]bool{}
	for line := range strings.Lines(string(data)) {
		var c struct {
			Problem             json.RawMessage
			Answer, Likely, Why string
			Given               json.RawMessage
		}
		if err := json.Unmarshal([]byte(line), &c); err != nil {
			t.Fatal(err)
		}
		var asked struct{ Ask string }
		if err := json.Unmarshal(c.Problem, &asked); err != nil {
			t.Fatal(err)
		}
		marking := markLine(string(c.Problem), fmt.Sprintf("%q:%s", c.Answer, c.Given), "")
		p, err := solveLine([]byte(marking), options{shelf: embedded})
		if err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		for _, v := range verdictsIn(&p.items[slices.Index(p.names, c.Answer)]) {
			if right, likely := v.verdict(); right || likely != c.Likely {
				t.Errorf("%s %s of %s (%s): %v, want %s", asked.Ask, c.Answer, c.Given, c.Why, v, c.Likely)
			}
		}
		if told[asked.Ask] == nil {
			told[asked.Ask] = map[string]bool{}
		}
		told[asked.Ask][c.Likely] = true
	}
	for _, k := range kindNames() {
		want := 2
		if k == "mark" {
			want = 0
		}
		if len(told[k]) < want {
			t.Errorf("%s: slips told: %v", k, slices.Sorted(maps.Keys(told[k])))
		}
	}
}

// A ratio of two units explains an answer only where the problem has such quantities:
// nobody takes liters for gallons on a fall.
func TestNoFarFetchedSlip(t *testing.T) {
	for _, c := range []struct{ problem, student string }{
		// x 3.785
		{`{"ask":"fall","length":"40 ft","grade":"2 %"}`, `"fall":"36.336 in"`},
		// x 2.31^2
		{`{"ask":"rod","instrument_height":"104.5 ft","elevation":"98.25 ft"}`, `"reading":"33.35 ft"`},
		// x 7.48
		{`{"ask":"flow-probability","duration":"9 s","interval":"5 min"}`, `"probability":0.2244`},
		// x 25.4
		{`{"ask":"recirculation","heat_loss":"4940 Btu/h","drop":"10 degF"}`, `"flow":"25.4 gpm"`},
		// x 60
		{`{"ask":"offset","offset":"20 in","angle":45}`, `"travel":"1697.06 in"`},
		// x 2.31
		{`{"ask":"equivalent-length","k":0.69,"friction_factor":0.023,"bore":"1.049 in"}`, `"length":"6.0580 ft"`},
		// x 27
		{`{"ask":"pipe-expansion","length":"100 ft","alpha":"9.4e-6 1/degF","change":"100 degF"}`, `"expansion":"30.456 in"`},
	} {
		for _, v := range verdicts(t, markLine(c.problem, c.student, "")) {
			if v.Right || v.Likely != slipNone {
				t.Errorf("%s %s: %+v", c.problem, c.student, v)
			}
		}
	}
}

// TestHybridUrinal asks for the row by its control; its doubt comes along.
func TestHybridUrinal(t *testing.T) {
	got, _ := New(tables.Embedded()).Answer([]byte(`{"ask":"supply-load","code":"upc-2021","fixtures":[{"fixture":"urinal",`+
		`"count":2,"use":"public","control":"hybrid"}]}`), Options{})
	for _, want := range []string{`"value":2,"unit":"wsfu"`, `"standing":"memory"`, "recalled with little certainty"} {
		if !strings.Contains(string(got), want) {
			t.Errorf("%s lacks %s", got, want)
		}
	}
}

// TestAllAnswersOfAQuestion: a question is right if all it asks for is there and right; what
// is left out is named, and who hands in nothing is not said to have left a part out.
func TestAllAnswersOfAQuestion(t *testing.T) {
	students, err := ParseClass([]byte(`{"students":[{"name":"Ann","answers":{"q":{"travel":"28.28 in","advance":"20 in"}}},
		{"name":"Ben","answers":{"q":{"travel":"28.28 in"}}},{"name":"Cy","answers":{}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := New(tables.Embedded()).MarkClass([]byte(`{"id":"q","ask":"offset","offset":"20 in","angle":45}`),
		students)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{1, 0, 0} {
		if sheet.Students[i].Right != want {
			t.Errorf("%+v, want %d right", sheet.Students[i], want)
		}
	}
	text := sheet.String()
	for _, want := range []string{"Ben: 0 of 1 right\n  q advance: not answered\n",
		"Cy: 0 of 1 right\n  q: not answered\n",
		"q: 2 of 3"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// TestBadStudents wants what cannot be read of a student refused where it stands, and all
// others marked.
func TestBadStudents(t *testing.T) {
	students, err := ParseClass([]byte(`{"students":[
		{"name":"Ann","answers":{"q":{"fall":"2.4 in"}}}, 5, null, {"name":7,"answers":{"q":{"fall":"2.4 in"}}},
		{"name":"Ben","answers":[1]}, {"name":"Cy","answers":{"q":"2.4 in"}}, {"name":"Di","anwsers":{}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := New(tables.Embedded()).MarkClass([]byte(`{"id":"q","ask":"fall","length":"10 ft","grade":"2 %"}`),
		students)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		name    string
		right   int
		refused string
	}{
		{"Ann", 1, ""}, {"Student 2", 0, "not an object"}, {"Student 3", 0, "not an object"},
		{"Student 4", 1, "name: not a text"}, {"Ben", 0, "answers: not an object"}, {"Cy", 0, "not an object"},
		{"Di", 0, "anwsers: unknown field"},
	}
	for i, w := range want {
		m := sheet.Students[i]
		refused := ""
		for _, v := range m.Verdicts {
			refused += v.Refused
		}
		if m.Name != w.name || m.Right != w.right || !strings.HasPrefix(refused, w.refused) || w.refused == "" &&
			refused != "" {
			t.Errorf("%d: %+v, want %+v", i, m, w)
		}
	}
	for _, bad := range []string{`{"students":[]}`, `{"pupils":[]}`, `[]`, `{"students":[{}]} x`} {
		if _, err := ParseClass([]byte(bad)); err == nil {
			t.Errorf("%s is read", bad)
		}
	}
}
