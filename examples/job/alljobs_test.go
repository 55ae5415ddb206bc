package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
)

// allJobs reads the job files kept as tests: those of this package as they are, the layouts of
// drains each under a code that its expectations name.
func allJobs(t *testing.T, each func(name string, r *Report)) {
	t.Helper()
	var reader Reader
	add := func(name string, text []byte) {
		j, err := reader.Parse(name, text, "")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		r, err := j.Report("", Options{SI: j.Metric(""), AllPasses: true})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		each(name, r)
	}
	read := func(pattern string) map[string][]byte {
		files := map[string][]byte{}
		list, err := filepath.Glob(pattern)
		if err != nil || len(list) == 0 {
			t.Fatalf("%s: %v", pattern, err)
		}
		for _, f := range list {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			files[filepath.Base(f)] = text
		}
		return files
	}
	for name, text := range read("testdata/jobs/*.json") {
		add(name, text)
	}
	const drains = "../../dwv/drains/testdata/jobs/"
	code := map[string]string{}
	for _, lines := range read(drains + "*.jsonl") {
		for line := range bytes.Lines(lines) {
			var c struct{ Job, Code string }
			if err := json.Unmarshal(line, &c); err == nil && code[c.Job+".json"] == "" {
				code[c.Job+".json"] = c.Code
			}
		}
	}
	for name, text := range read(drains + "*.json") {
		if c := code[name]; c != "" {
			add(name, fmt.Appendf(nil, `{"job": {"name": %q, "code": %q}, "drainage": %s}`, strings.TrimSuffix(name, ".json"), c, text))
		}
	}
}

// unanswered are questions to the designer that no field of the layout answers: the layout is
// to be drawn otherwise.
var unanswered = []string{slipRule, "not-judged", "home-run", "line-feeds-greater", "drain-vent", "waste-stack-vent", "wet-vent-load"}

// odd is what no line of a report may have: of few of its lines more than the text is looked at, for patterns cost
// a hundred times as much.
var odd = []struct {
	text  string
	times int // so often on the line
	match *regexp.Regexp
}{
	{"%!", 1, nil}, {"<nil>", 1, nil}, {"NaN", 1, nil}, {" ,", 1, nil}, {"Inf", 1, regexp.MustCompile(`\bInf\b`)},
	{"1 ", 1, regexp.MustCompile(`\b1 (cleanouts|runs|pairs|fixtures|figures|places) `)},
	{"..", 1, regexp.MustCompile(`(^|[^.])\.\.([^./]|$)`)},
	{" at ", 2, regexp.MustCompile(`\b(\w+) (\w+) at (\w+) at \b`)},
}

// oddIn returns what of a line is odd, "" if nothing is.
func oddIn(line string) string {
	for _, o := range odd {
		if strings.Count(line, o.text) < o.times {
			continue
		}
		if o.match == nil {
			return o.text
		}
		if m := o.match.FindString(line); m != "" {
			return m
		}
	}
	return ""
}

// TestOddLines: what is looked for in a report is found.
func TestOddLines(t *testing.T) {
	for line, want := range map[string]string{
		"size %!d(string=x)": "%!", "load <nil>": "<nil>", "NaN psi": "NaN", "A , B": " ,", "of Inf psi": "Inf",
		"there are 1 runs here": "1 runs ", "too long..": "g..", "end.. and": "d.. ", "vent V1 at P2 at the wall": "vent V1 at P2 at ",
		"Information at A and at B, 11 runs here, 1 run, see ../job ... 1, 2": "",
	} {
		if got := oddIn(line); got != want {
			t.Errorf("%q: %q, want %q", line, got, want)
		}
	}
}

// TestAllJobs: of every job file that is kept, page one is one sheet, no line is too wide, the
// JSON fits its schema, and what is said is whole sentences, each once.
func TestAllJobs(t *testing.T) {
	text, err := ReportSchema()
	if err != nil {
		t.Fatal(err)
	}
	var s strictjson.Schema
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	n := 0
	allJobs(t, func(name string, r *Report) {
		n++
		wide := printed(t, r, 0)
		front := frontOf(t, wide)
		if len(front) > frontLines {
			t.Errorf("%s: page one has %d lines", name, len(front))
		}
		for width, page := range map[int]string{0: wide, 78: printed(t, r, 78)} {
			if strings.Contains(page, "\n\n\n") {
				t.Errorf("%s: two blank lines in the report", name)
			}
			for i, l := range strings.Split(page, "\n") {
				if m := oddIn(l); m != "" {
					t.Errorf("%s:%d: %q in the report", name, i+1, m)
				}
				most := defaultWidth
				if width > 0 || i < len(front) {
					most = frontWidth
				}
				if utf8.RuneCountInString(l) > most {
					t.Errorf("%s:%d: wider than %d: %s", name, i+1, most, l)
				}
			}
		}
		var b bytes.Buffer
		if err := r.WriteJSON(&b); err != nil {
			t.Fatal(err)
		}
		fits(t, &s, name, b.Bytes())
		ids := map[string]bool{}
		for _, f := range slices.Concat(r.Findings.Pass(), r.Findings.Fail(), r.Findings.Ask()) {
			first, _ := utf8.DecodeRuneInString(f.Reason)
			if ids[f.ID] || unicode.IsLower(first) || !strings.HasSuffix(f.Reason, ".") && !strings.HasSuffix(f.Reason, "?") {
				t.Errorf("%s: %s twice, or no sentence: %s", name, f.ID, f.Reason)
			}
			ids[f.ID] = true
			if f.Verdict == tables.Fail && f.Fix == "" {
				t.Errorf("%s: %s fails without a fix", name, f.ID)
			}
			if (f.Verdict == tables.Ask) != (f.SettledBy != 0) {
				t.Errorf("%s: %s is %v and settled by %v", name, f.ID, f.Verdict, f.SettledBy)
			}
			if f.SettledBy == tables.Designer && stated()[f.Rule] == "" && !slices.Contains(unanswered, f.Rule) {
				t.Errorf("%s: %s names no field of the layout to state", name, f.ID)
			}
		}
	})
	if n < 300 {
		t.Errorf("%d jobs", n)
	}
}
