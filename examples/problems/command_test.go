package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/tables"
)

func TestExitStatus(t *testing.T) {
	file := t.TempDir() + "/a.jsonl"
	if err := os.WriteFile(file, []byte(`{"ask":"rod","instrument_height":"1 ft","elevation":"0 ft"}`),
		0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		in     string
		status int
	}{
		{nil, "", 0},
		{nil, "{}", 1},
		{[]string{file}, "{}", 0},
		{[]string{file, file + ".none"}, "", 1},
		{[]string{"-nonsense"}, "", 2},
		{[]string{"-kinds"}, "{}", 0},
	} {
		var out, errs bytes.Buffer
		if got := program(c.args, strings.NewReader(c.in), &out, &errs); got != c.status {
			t.Errorf("%v: status %d, want %d; %s", c.args, got, c.status, errs.String())
		}
	}
}

func Example_program() {
	in := `{"id":"a1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`
	status := program([]string{"-working"}, strings.NewReader(in), os.Stdout, os.Stderr)
	fmt.Println("status", status)
	// Output:
	// {"id":"a1","answer":{"fall":{"value":9.375,"unit":"in"}},"working":["given: length 37 ft 6 in, grade 1/4 in/ft","fall = length x grade","  = 37.5 ft x 1/4 in/ft","  = 9.375 in","  rounded: 9 3/8\""]}
	// status 0
}

// TestReadme: what the README shows is what the program answers.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	shown := regexp.MustCompile(`(\{"ask".*\})(?:'.*)?\n    (\{"id":1,"answer".*)\n`).FindAllStringSubmatch(string(text), -1)
	if len(shown) < 2 {
		t.Errorf("%d lines with answers", len(shown))
	}
	for _, m := range shown {
		var out bytes.Buffer
		if program(nil, strings.NewReader(m[1]), &out, io.Discard); strings.TrimSpace(out.String()) != m[2] {
			t.Errorf("%s\n%s, the README says\n%s", m[1], out.String(), m[2])
		}
	}
}

func TestQuizCommand(t *testing.T) {
	key := t.TempDir() + "/key.jsonl"
	var out, errs bytes.Buffer
	if status := program([]string{"-quiz", "4", "-seed", "9", "-ask", "fall", "-answers", key}, nil, &out,
		&errs); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	answers, err := os.ReadFile(key)
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	if _, err := lesson.New(tables.Embedded()).Run(strings.NewReader(out.String()), &want,
		lesson.Options{}); err != nil {
		t.Fatal(err)
	}
	if want.String() != string(answers) {
		t.Errorf("answer file: %s", answers)
	}
	again := []string{"-quiz", "4", "-seed", "9", "-ask", "fall", "-answers", key}
	if status := program(again, nil, &out, &errs); status != 2 || !strings.Contains(errs.String(), "-force writes over it") {
		t.Errorf("written over: status %d, %s", status, errs.String())
	}
	if status := program(append(again, "-force"), nil, &out, &errs); status != 0 {
		t.Errorf("-force: status %d, %s", status, errs.String())
	}
	if status := program([]string{"-quiz", "-4"}, nil, &out, &errs); status != 2 {
		t.Errorf("a quiz of -4: status %d", status)
	}
	if status := program([]string{"-quiz", "4", "-answers", key + "/none"}, nil, &out, &errs); status != 2 {
		t.Errorf("a file for a folder: status %d", status)
	}
}

// What a trainer reads beside a mark, answer by answer.
func TestJudgement(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.375 ` +
			`in"}}`,
			"fall: 9.375 in is right, worked out it is 9.375 in"},
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.3 ` +
			`in"}}`,
			"fall: 9.3 in is right, worked out it is 9.375 in; 0.8 % under"},
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.375 ` +
			`ft"}}`,
			"fall: 9.375 ft is wrong, the answer is 9.375 in; 1100 % over; a usual slip gives it: unit: in for ft"},
		{`{"ask":"mark","problem":{"ask":"inverts","outlet_invert":"95.72 ft","runs":[{"length":"31 ft",` +
			`"grade":"1/4 in/ft","drop":"2 in"}]},"student":{"inverts":["96.366 ft"]}}`,
			"inverts[0]: 96.366 ft is wrong, the answer is 96.5325 ft; 0.166 ft under; a usual slip gives it: " +
				"forgotten drop"},
		{`{"ask":"mark","problem":{"ask":"trap-arm","code":"ipc-2021","size":"2 in"},` +
			`"student":{"max_length":"unlimited"}}`,
			"max_length: unlimited is wrong, the answer is 8 ft"},
		{`{"ask":"mark","problem":{"ask":"network","method":"hazen-williams","nodes":[{"id":"M","head":"100 ft"},` +
			`{"id":"A","demand":"10 gpm"}],"pipes":[{"id":"p","from":"M","to":"A","length":"10 ft","bore":"1 in",` +
			`"c":150}]},"student":{"flows":{"p":"5 gpm"}}}`,
			"flows.p: 5 gpm is wrong, the answer is 10 gpm; 50 % under"},
	} {
		var out bytes.Buffer
		if status := program([]string{"-working"}, strings.NewReader(c.line), &out, io.Discard); status != 0 ||
			!strings.Contains(out.String(), `"`+c.want+`"`) {
			t.Errorf("status %d, no %q in\n%s", status, c.want, out.String())
		}
	}
}

// Flags that have no meaning together are refused, not left unheard.
func TestStrayFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-seed", "3"}, "-seed goes with -quiz"},
		{[]string{"-ask", "fall"}, "-ask goes with -quiz"},
		{[]string{"-answers", "a.jsonl"}, "-answers goes with -quiz"},
		{[]string{"-quiz", "2", "lines.jsonl"}, "lines.jsonl is named"},
	} {
		var out, errs bytes.Buffer
		if status := program(c.args, strings.NewReader(""), &out, &errs); status != 2 || out.Len() > 0 ||
			!strings.Contains(errs.String(), c.want) {
			t.Errorf("%v: status %d, %q", c.args, status, errs.String())
		}
	}
}

// TestHelp: -h is an answer, with an example that can be pasted; who reads a file is not
// asked for input.
func TestHelp(t *testing.T) {
	for _, flag := range []string{"-h", "-help"} {
		var out, errs bytes.Buffer
		status := program([]string{flag}, strings.NewReader(""), &out, &errs)
		if status != 0 || errs.Len() > 0 ||
			!strings.Contains(out.String(), `{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`) ||
			!strings.Contains(out.String(), "-kinds") {
			t.Errorf("%s: status %d, %s%s", flag, status, out.String(), errs.String())
		}
	}
}

// TestPapers: a sheet and its key for a class, a paper of their own for each student from one
// seed, the same each time, and the score sheet of what they handed in. Nothing is written
// over unless told.
func TestPapers(t *testing.T) {
	dir := t.TempDir()
	do := func(status int, want string, args ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		if got := program(args, strings.NewReader(""), &out, &errs); got != status || !strings.Contains(out.String()+errs.String(), want) {
			t.Errorf("%v: status %d, want %d and %q:\n%s%s", args, got, status, want, &out, &errs)
		}
		return out.String()
	}
	read := func(name string) string {
		t.Helper()
		data, err := os.ReadFile(dir + "/" + name)
		if err != nil {
			t.Error(err)
		}
		return string(data)
	}
	own := []string{"-quiz", "5", "-ask", "fall,grade", "-seed", "7", "-paper", dir, "-students", "Ann Bell, Ben"}
	do(0, "ann-bell", own...)
	ann, ben := read("ann-bell/paper.jsonl"), read("ben/paper.jsonl")
	if ann == ben || strings.Count(ann, "\n") != 5 || !strings.Contains(read("ann-bell/key.html"), "<!doctype html>") ||
		!strings.Contains(read("ben/sheet.txt"), "5 (q5). A pipe") || strings.Contains(read("ben/sheet.html"), "answer:") {
		t.Errorf("papers:\n%s%s", ann, ben)
	}
	do(2, "-force writes over it", own...)
	do(0, "sheet.html", append(own, "-force")...)
	if read("ann-bell/paper.jsonl") != ann {
		t.Error("the same seed gives another paper")
	}

	// Ann answers her first question by her own key, Ben by hers; Cy has no paper.
	var reply struct {
		Answer map[string]struct {
			Value float64
			Unit  string
		}
	}
	line, _, _ := strings.Cut(ann, "\n")
	text, _ := lesson.New(tables.Embedded()).Answer([]byte(line), lesson.Options{})
	if err := json.Unmarshal(text, &reply); err != nil {
		t.Fatal(err)
	}
	for name, v := range reply.Answer {
		class := fmt.Sprintf(`{"students":[{"name":"Ann Bell","answers":{"q1":{%q:"%v %s"}}},{"name":"Ben","answers":{"q9":{}}},{"name":"Cy"}]}`,
			name, v.Value, v.Unit)
		if v.Unit == "1" {
			class = strings.Replace(class, ` 1"`, `"`, 1)
		}
		if err := os.WriteFile(dir+"/class.json", []byte(class), 0o644); err != nil {
			t.Fatal(err)
		}
		sheet := do(1, "Ann Bell: 1 of 5 right", "-paper", dir, "-mark", dir+"/class.json")
		if !strings.Contains(sheet, "q9: NOT MARKED: the paper has no such question") ||
			!strings.Contains(sheet, "NOT MARKED: no paper of this student is there") || !strings.Contains(sheet, "q1: 2 of 3") {
			t.Error(sheet)
		}
		break
	}

	for want, args := range map[string][]string{
		"-seed goes with -quiz":                         {"-seed", "3"},
		"-level goes with -quiz":                        {"-level", "3"},
		"-title goes with -paper":                       {"-quiz", "3", "-title", "x"},
		"-students goes with -quiz":                     {"-paper", dir, "-students", "Ann"},
		"would share the directory ann":                 {"-quiz", "1", "-paper", dir, "-students", "Ann,ann"},
		`students: "" is no name`:                       {"-quiz", "1", "-paper", dir, "-students", "Ann,"},
		"-mark reads the paper of -paper":               {"-quiz", "1", "-paper", dir, "-mark", "class.json"},
		"nor one of any student of the class":           {"-paper", dir + "/none", "-mark", dir + "/class.json"},
		"-answers goes with -quiz, and not with -paper": {"-quiz", "1", "-paper", dir, "-answers", "x"},
		"no problem line":                               {"-paper", dir + "/empty"},
		`quiz: units "imperial"`:                        {"-quiz", "1", "-units", "imperial"},
	} {
		do(2, want, args...)
	}
	do(0, "-students names", "-h")
}
