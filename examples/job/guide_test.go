package job

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
)

// fieldNames lists the fields of a schema, each once.
func fieldNames(s *strictjson.Schema, into map[string]bool) {
	if s.Items != nil {
		fieldNames(s.Items, into)
	}
	for name, p := range s.Properties {
		into[name] = true
		fieldNames(p, into)
	}
}

// TestGuide: the guide names every field of a layout file, and each step of its small job
// is a job with a report.
func TestGuide(t *testing.T) {
	guide, err := os.ReadFile("../underslab/README.md")
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	fieldNames(schema(), names)
	told := map[string]bool{}
	for _, m := range regexp.MustCompile("`([a-z_]+)`").FindAllSubmatch(guide, -1) {
		told[string(m[1])] = true
	}
	for name := range names {
		if !told[name] {
			t.Errorf("the guide does not name %s", name)
		}
	}
	steps := regexp.MustCompile("(?s)```json\n(.*?)```").FindAllSubmatch(guide, -1)
	if len(steps) != 5 {
		t.Fatalf("%d steps", len(steps))
	}
	for i, s := range steps {
		j, err := Read(fstest.MapFS{"step.json": {Data: s[1]}}, "step.json", "")
		if err != nil {
			t.Fatalf("step %d: %v", i+1, err)
		}
		r, err := j.Report("", Options{})
		if err != nil {
			t.Fatalf("step %d: %v", i+1, err)
		}
		// What the guide says of each step: one fail, two, then none.
		if want := []int{1, 2, 0, 0, 0}[i]; r.Counts.Fail != want {
			t.Errorf("step %d: %d fails, want %d: %v", i+1, r.Counts.Fail, want, r.Findings.Fail())
		}
	}
	// Each row of the tables says what a field is, and what holds without it or that it is needed.
	rows := regexp.MustCompile("(?m)^\\| (`[^|]*) \\| ([^|]*) \\| ?([^|]*)\\|$").FindAllStringSubmatch(string(guide), -1)
	if len(rows) < 50 {
		t.Errorf("%d rows of fields", len(rows))
	}
	for _, row := range rows {
		holdsAll := regexp.MustCompile("^`(points|receptor|systems|run)`").MatchString(row[1])
		if row[2] == "" || strings.TrimSpace(row[3]) == "" && !strings.Contains(row[2], "needed") && !holdsAll {
			t.Errorf("%s: %q, without it %q", row[1], row[2], row[3])
		}
	}
}

// TestStart: the jobs to begin with are ones in which nothing fails, and one of them is metric.
func TestStart(t *testing.T) {
	for text, metric := range map[string]bool{string(Start()): false, string(StartMetric()): true} {
		j, err := Read(fstest.MapFS{"start.json": {Data: []byte(text)}}, "start.json", "")
		if err != nil {
			t.Fatal(err)
		}
		if j.Metric("") != metric {
			t.Errorf("metric: %v", !metric)
		}
		r, err := j.Report("", Options{SI: metric})
		if err != nil {
			t.Fatal(err)
		}
		for f := range r.made.findings.all() {
			if f.Verdict == tables.Fail {
				t.Errorf("%v", f)
			}
		}
	}
}
