package lesson

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/tables"
)

// threeProblems are a paper of which the answers are known by hand: 37 ft 6 in at 1/4 in per ft fall 9.375 in; 12 ft
// and 24 ft at 1/4 in per ft above 100 ft bring 3 in and 6 in more; a rod on 95 ft under a beam of 100 ft reads 5 ft,
// so that 6 ft is wrong, and by no usual slip.
const threeProblems = `# a paper

{"id":"g1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}
{"id":"g2","ask":"inverts","outlet_invert":"100 ft","runs":[{"length":"12 ft","grade":"1/4 in/ft"},{"length":"24 ft","grade":"1/4 in/ft"}]}
{"id":"g3","ask":"mark","problem":{"ask":"rod","instrument_height":"100 ft","elevation":"95 ft"},"student":{"reading":"6 ft"}}
`

// TestPaper: the sheet asks and has room for each answer with its unit, and does not tell; the key tells.
func TestPaper(t *testing.T) {
	sheet, key, err := New(tables.Embedded()).Paper("Falls", []byte(threeProblems))
	if err != nil {
		t.Fatal(err)
	}
	want := `Falls

Name ______________________

1 (g1). A pipe 37 ft 6 in long lies at a grade of 1/4 in/ft. How far does the pipe fall over its length?
   fall ____________ in

2 (g2). A drain has its outlet at an invert of 100 ft. Upward from there lie 12 ft at 1/4 in/ft and 24 ft at 1/4 in/ft.` +
		` At what elevation is the invert at the upper end of each run?
   inverts ____________ ft each
`
	if !strings.HasPrefix(sheet, want) {
		t.Errorf("%s", cmp.Diff(want, sheet))
	}
	for _, ask := range []string{"\n3 (g3). ", "   reading: right or wrong ____________ slip ____________\n"} {
		if strings.Count(sheet, ask) != 1 {
			t.Errorf("no %q in\n%s", ask, sheet)
		}
	}
	if strings.Contains(sheet, "9.375") || strings.Contains(sheet, "100.25") {
		t.Error("the sheet tells an answer")
	}
	for _, tell := range []string{"Falls: key\n\n1 (g1). A pipe", "   answer: fall 9.375 in\n",
		"   answer: inverts 100.25 ft; 100.75 ft\n", "   answer: reading is wrong\n"} {
		if strings.Count(key, tell) != 1 {
			t.Errorf("no %q in\n%s", tell, key)
		}
	}
	const good = `{"id":"a","ask":"fall","length":"1 ft","grade":"2 %"}` + "\n"
	for paper, want := range map[string]string{
		"# nothing\n": "no problem line",
		strings.Replace(good, `"id":"a",`, "", 1):    "line 1: id: missing",
		"\n" + strings.Replace(good, "1 ", "-1 ", 1): "line 2: a: length: -1 ft must be more than 0",
		good + good: `line 2: id "a" is there twice`,
		"{\n" + good + `{"id":"b","ask":"fall","length":"1 ft"}`: "; line 3: b: grade: missing",
	} {
		_, _, err := New(tables.Embedded()).Paper("Falls", []byte(paper))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s\n%v, want %s", paper, err, want)
		}
	}
}

// TestPage: each problem stands in a section of its own, its figure under it and without what came before the
// drawing; what is text stays text.
func TestPage(t *testing.T) {
	page := Page("Falls <1>", "Falls <1>\n\n1 (g1). A pipe\n   fall\n\n2 (g2). A drain\n\nno (g1) here",
		map[string]string{"g1": "<?xml?><svg>one</svg>"})
	_, body, _ := strings.Cut(page, "<body>")
	want := "\n<section><pre>Falls &lt;1&gt;</pre>\n</section>\n" +
		"<section><pre>1 (g1). A pipe\n   fall</pre>\n<svg>one</svg></section>\n" +
		"<section><pre>2 (g2). A drain</pre>\n</section>\n<section><pre>no (g1) here</pre>\n</section>\n</body></html>\n"
	if d := cmp.Diff(want, body); d != "" || !strings.Contains(page, "<title>Falls &lt;1&gt;</title>") {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// TestScoreSheet: a class whose result was worked by hand. 9 in is the fall at 2 %; Bo answers one problem, and not all
// that another asks; Cy hands in what cannot be read, which is told where it stands.
func TestScoreSheet(t *testing.T) {
	class, err := ParseClass([]byte(`{"students":[
		{"name":"Ann","answers":{"g1":{"fall":"9 3/8 in"},"g2":{"inverts":["100.25 ft","100.75 ft"]}}},
		{"name":"Bo","answers":{"g1":{"fall":"9 in"},"g2":{"inverts":["100.25 ft","100.5 ft"]}}},
		{"name":"Cy","answers":{"g1":{"fall":"nine"},"g2":"none","g9":{"fall":"1 in"}},"age":17},
		{"name":7,"answers":[]}, "Dee",
		{"name":"Eve","answers":{"g1":{"fall":"9 in","pitch":"2 %"}}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	paper := strings.Join(strings.Split(threeProblems, "\n")[:4], "\n")
	sheet, err := New(tables.Embedded()).MarkClass([]byte(paper), class)
	if err != nil {
		t.Fatal(err)
	}
	got := sheet.String()
	for _, want := range []string{
		"Ann: 2 of 2 right\nBo: 0 of 2 right\n  g1 fall: 9 in is wrong; a usual slip gives it: 2 % taken for 1/4 in/ft\n" +
			"  g2 inverts: [\"100.25 ft\",\"100.5 ft\"] is wrong",
		"Cy: 0 of 2 right\n  NOT MARKED: age: unknown field", "  g2: NOT MARKED: not an object such as {\"fall\":\"9 in\"}\n",
		"  g1 fall nine: NOT MARKED: fall: quantity", "  g9: NOT MARKED: the paper has no such question\n",
		"Student 4: 0 of 2 right\n", "NOT MARKED: answers: not an object", "NOT MARKED: name: not a text",
		"Student 5: 0 of 2 right\n  NOT MARKED: not an object such as",
		"Wrong or not answered, by question:\n  g1: 5 of 6\n  g2: 5 of 6\nSlips of the class:\n" +
			"  2 x 2 % taken for 1/4 in/ft\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if n := sheet.Refused(); n != 8 { // age, g2, nine, g9; name, answers; Dee; pitch
		t.Errorf("%d refused", n)
	}
}

// TestAnswerLeftOut: a problem that asks for several answers is right only if all are there and right; a grade of 12 ft
// that falls 3 in is 2.08333 %, 1/4 in per ft, 1 in 48.
func TestAnswerLeftOut(t *testing.T) {
	const paper = `{"id":"g","ask":"grade","length":"12 ft","fall":"3 in"}`
	for answers, want := range map[string]string{
		`"per_foot":"1/4 in/ft","one_in":48,"percent":2.08333`: "A: 1 of 1 right\n\n",
		`"per_foot":"1/4 in/ft","one_in":48`:                   "A: 0 of 1 right\n  g percent: not answered\n\n",
		`"per_foot":"1/4 in/ft","one_in":40,"percent":2.08333`: "A: 0 of 1 right\n  g one_in: 40 is wrong",
		`"per_foot":"1/4 in/ft","one_in":48,"percent":2.08333,` +
			`"fall":1`: "A: 0 of 1 right\n  g fall 1: NOT MARKED",
	} {
		e := New(tables.Embedded())
		sheet, err := e.MarkClass([]byte(paper), []Student{{Name: "A",
			Answers: map[string]map[string]json.RawMessage{"g": answersOf(t, "{"+answers+"}")}}})
		if err != nil || !strings.HasPrefix(sheet.String(), want) {
			t.Errorf("%s: %v\n%v, want %s", answers, err, sheet, want)
		}
	}
	sheet := &ScoreSheet{Questions: []string{"g"}, Students: []Marked{{Name: "A", Right: 1,
		Verdicts: []Verdict{{Question: "g", Answer: "fall", Right: true}}}, {Name: "B"}}}
	if want := "A: 1 of 1 right\nB: 0 of 1 right\n  g: not answered\n\nWrong or not answered, by question:\n" +
		"  g: 1 of 2\nNo usual slip was made.\n"; sheet.String() != want {
		t.Errorf("%s", cmp.Diff(want, sheet.String()))
	}
}

func answersOf(t *testing.T, text string) (m map[string]json.RawMessage) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// TestPapersOfTheirOwn: each student is marked by the paper of their name, and who has none is told so.
func TestPapersOfTheirOwn(t *testing.T) {
	papers := map[string][]byte{"Ann": []byte(`{"id":"a","ask":"fall","length":"4 ft","grade":"1/4 in/ft"}`),
		"Bo": []byte(`{"id":"a","ask":"fall","length":"8 ft","grade":"1/4 in/ft"}` + "\n" +
			`{"id":"b","ask":"fall","length":"4 ft","grade":"1/4 in/ft"}`)}
	inch := func(name, fall string) Student {
		return Student{Name: name, Answers: map[string]map[string]json.RawMessage{"a": answersOf(t, `{"fall":"`+fall+`"}`)}}
	}
	class := []Student{inch("Ann", "1 in"), inch("Bo", "2 in"), inch("Cy", "1 in")}
	sheet, err := New(tables.Embedded()).MarkPapers(papers, class)
	if err != nil {
		t.Fatal(err)
	}
	right := map[string]int{}
	for _, m := range sheet.Students {
		right[m.Name] = m.Right
	}
	if d := cmp.Diff(map[string]int{"Ann": 1, "Bo": 1, "Cy": 0}, right); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"a", "b"}, sheet.Questions); d != "" || sheet.Refused() != 1 {
		t.Errorf("%s\n%d refused", d, sheet.Refused())
	}
	papers["Bo"] = []byte("{")
	if _, err := New(tables.Embedded()).MarkPapers(papers, []Student{inch("Bo", "2 in")}); err == nil ||
		!strings.HasPrefix(err.Error(), "Bo: paper: line 1: ") {
		t.Error(err)
	}
	for file, want := range map[string]string{"": "class file", `{"students":[]}`: "give at least one",
		`{"students":[{}]} x`: "text follows", `{"class":1}`: "unknown field"} {
		if _, err := ParseClass([]byte(file)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", file, err, want)
		}
	}
	for name, want := range map[string]string{"Ann O'Hara-Lee": "ann-o-hara-lee", "../x": "x", "..": "",
		" Zoë 2 ": "zoë-2"} {
		if got := FolderOf(name); got != want {
			t.Errorf("%q goes into %q, want %q", name, got, want)
		}
	}
}
