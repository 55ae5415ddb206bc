package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/tables"
)

// TestClassroom keeps the sheet, the key and the marks of the demonstration.
func TestClassroom(t *testing.T) {
	var out, errs bytes.Buffer
	status := program(nil, &out, &errs)
	if status != 1 || !strings.Contains(errs.String(), "answers could not be marked") {
		t.Errorf("status %d: %s", status, errs.String())
	}
	golden.Keep(t, filepath.Join("testdata", "classroom.golden"), out.String())
	// Worked by hand: the class makes these slips, each told by name.
	for _, want := range []string{
		"Ilo Brandt: 10 of 10 right", "g1 fall: 9 in is wrong; a usual slip gives it: 2 % taken for 1/4 in/ft",
		"g1 fall: 1 1/8 in is wrong; a usual slip gives it: percent for in/ft",
		"g3 instrument_height: 94.88 ft is wrong; a usual slip gives it: backsight subtracted",
		"l2 total: 2 is wrong; a usual slip gives it: cold plus hot",
		"f1 velocity: 8.17 ft/s is wrong; a usual slip gives it: nominal for inside diameter",
		"l2 total: 1.5 is wrong; a usual slip gives it: another code: upc-2021",
		"a2 size: 2 in is wrong; a usual slip gives it: one size up",
		"f1 speed 7.78 ft/s: NOT MARKED", "x9: NOT MARKED",
		"f2 pressure_loss: 46.6 psi is wrong; a usual slip gives it: 2.31 the wrong way",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q", want)
		}
	}
}

// TestSketches keeps the figures of the guides, one of a problem each: they ask and do not tell, and what stands
// on them is legible.
func TestSketches(t *testing.T) {
	engine := lesson.New(tables.Embedded())
	for name, line := range map[string]string{
		"trench": `"ask":"trench","length":"54 ft","width":"2 ft","depth_lower":"3 ft","depth_upper":"2 ft"`,
		"rod":    `"ask":"rod","instrument_height":"104.5 ft","elevation":"98.25 ft"`,
		"arm":    `"ask":"trap-arm","code":"ipc-2021","size":"2 in"`,
		"stack":  `"ask":"drain-size","code":"ipc-2021","part":"stack","load":180,"intervals":4`,
		"budget": `"ask":"pressure-budget","street":{"static":"70 psi","residual":"55 psi","at":"500 gpm"},"flow":"80 gpm",` +
			`"rise":"20 ft","losses":[{"name":"meter","loss":"4 psi"}],"required":"20 psi","length":"200 ft"`,
	} {
		list, err := figuresOf(engine, []byte(`{"id":"`+name+`",`+line+"}"), "Worked problems")
		if err != nil || len(list) != 1 {
			t.Fatalf("%s: %d figures, %v", name, len(list), err)
		}
		legible.Check(t, name, []byte(list[0].text))
		if !strings.Contains(list[0].text, "?") {
			t.Errorf("%s asks nothing", name)
		}
		golden.Keep(t, filepath.Join("pictures", name+".svg"), list[0].text)
	}
	for _, line := range []string{`{"id":"x","ask":"drain-size","code":"ipc-2021","part":"drain","load":4,"grade":"2 %"}`,
		`{"id":"x","ask":"drain-size","code":"ipc-2021","part":"stack","load":4,"intervals":400}`} {
		if list, err := figuresOf(engine, []byte(line), "Worked problems"); err != nil || len(list) != 0 {
			t.Errorf("%s: %d figures, %v", line, len(list), err)
		}
	}
}

// TestFigures: six problems have a figure, the same bytes each time, that asks and does
// not tell; files are not written over unless told.
func TestFigures(t *testing.T) {
	engine := lesson.New(tables.Embedded())
	once, err1 := figuresOf(engine, ownLesson, "Lesson")
	twice, err2 := figuresOf(engine, ownLesson, "Lesson")
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	var names []string
	for i, f := range once {
		names = append(names, f.name)
		if f != twice[i] || !strings.Contains(f.text, "?<") && !strings.Contains(f.text, "length ?") {
			t.Errorf("%s: not the same twice, or nothing is asked", f.name)
		}
	}
	if got, want := strings.Join(names, " "),
		"figure-g1.svg figure-g2.svg figure-g3.svg figure-a1.svg figure-d1.svg figure-f2.svg"; got != want {
		t.Errorf("figures %s, want %s", got, want)
	}
	sheet, _, err := engine.Paper("Lesson <1>", ownLesson)
	if err != nil {
		t.Fatal(err)
	}
	html := lesson.Page("Lesson <1>", sheet, drawn(once))
	if strings.Count(html, "<svg") != len(once) || strings.Contains(html, "<1>") || strings.Contains(html, "<script") {
		t.Errorf("page: %d figures", strings.Count(html, "<svg"))
	}
	args := []string{"-dir", t.TempDir()}
	var out, errs bytes.Buffer
	if status := program(args, &out, &errs); status != 1 || strings.Count(out.String(), "figure-") != len(once) {
		t.Errorf("%d: %s %s", status, out.String(), errs.String())
	}
	if status := program(args, &out, &errs); status != 2 || !strings.Contains(errs.String(), "-force writes over it") {
		t.Errorf("written over: %d %s", status, errs.String())
	}
	if status := program(append(args, "-force"), &out, &errs); status != 1 {
		t.Errorf("-force: %d %s", status, errs.String())
	}
}

// TestBadInput: nothing is printed of a lesson or a class that is wrong, and the message
// says where.
func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	const good = `{"id":"q","ask":"fall","length":"10 ft","grade":"2 %"}`
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-lesson", put("none.jsonl", "# nothing\n")}, "no problem line"},
		{[]string{"-lesson", put("noid.jsonl", `{"ask":"fall"}`)}, "line 1: id: missing"},
		{[]string{"-lesson", put("twice.jsonl", good+"\n"+good)}, `line 2: id "q" is there twice`},
		{[]string{"-lesson", put("bad.jsonl", good+"\n"+`{"id":"r","ask":"fall","length":"-3 ft","grade":"2 %"}`)},
			"line 2: r: length: -3 ft must be more than 0"},
		{[]string{"-lesson", put("text.jsonl", "hello\n")}, "line 1: not valid JSON"},
		{[]string{"-lesson", filepath.Join(dir, "absent")}, "absent"},
		{[]string{"-class", put("c1.json", "{}")}, "students: empty"},
		{[]string{"-class", put("c3.json", `{"students":[{"name":"A"}]} x`)}, "text follows"},
		{[]string{"-class", put("c4.json", `[`)}, "class file"},
		{[]string{"-nonsense"}, "-h shows the flags"},
		{[]string{"stray.jsonl"}, "\"stray.jsonl\": one file too many"},
	} {
		var out, errs bytes.Buffer
		if status := program(c.args, &out, &errs); status != 2 || out.Len() > 0 ||
			!strings.Contains(errs.String(), c.want) {
			t.Errorf("%v: status %d, %q, want %q", c.args, status, errs.String(), c.want)
		}
	}
	var out, errs bytes.Buffer
	if status := program([]string{"-lesson", put("good.jsonl", good)}, &out, &errs); status != 0 ||
		strings.Contains(out.String(), "marks.txt") {
		t.Errorf("a lesson alone: %d %s", status, errs.String())
	}
	if status := program([]string{"-h"}, &out, &errs); status != 0 {
		t.Errorf("-h: %d", status)
	}
}
