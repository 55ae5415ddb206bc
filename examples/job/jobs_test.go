package job

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A job is a layout file of testdata/jobs with what must come out of it under a code,
// worked by hand.
type jobCase struct {
	Job    string      `json:"job"`
	Code   string      `json:"code"` // empty: the job's own
	Units  string      `json:"units"`
	Why    string      `json:"why"`
	Expect []jobExpect `json:"expect"`
}

// jobExpect is one thing that must come out: a finding (or none), a run's figures, pipe
// to order, a text in the report.
type jobExpect struct {
	// A finding by its rule, at a place, with a verdict, whose words match says. No
	// verdict: there is none such. If is what an ask would be if the book agrees.
	Rule    string `json:"rule"`
	Place   string `json:"place"`
	Verdict string `json:"verdict"`
	If      string `json:"if"`
	Says    string `json:"says"`
	// A run by its point.
	Run  string       `json:"run"`
	Flow units.Flow   `json:"flow"`
	Size units.Length `json:"size"`
	// Pipe to order: a family in a size, of so much length.
	Order  string       `json:"order"`
	Length units.Length `json:"length"`
	// Texts of the printed report: there, or not there.
	Text   string `json:"text"`
	NoText string `json:"no_text"`
}

// TestJobs works the jobs of testdata/jobs: each at a rule's limit, a step past it, and
// under a code without the rule.
func TestJobs(t *testing.T) {
	lines, err := os.ReadFile("testdata/jobs/expect.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	tried := map[string]bool{}
	for n, line := range bytes.Split(bytes.TrimSpace(lines), []byte("\n")) {
		var c jobCase
		dec := json.NewDecoder(bytes.NewReader(line))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&c); err != nil {
			t.Fatalf("expect.jsonl:%d: %v", n+1, err)
		}
		tried[c.Job] = true
		t.Run(c.Job+"/"+c.Code, func(t *testing.T) {
			if c.Why == "" || len(c.Expect) == 0 {
				t.Error("a case says why, and what it expects")
			}
			j, err := Read(os.DirFS("testdata/jobs"), c.Job+".json", c.Code)
			if err != nil {
				t.Fatal(err)
			}
			r, err := report(context.Background(), j, c.Code, newPrinter(c.Units == "si", true))
			if err != nil {
				t.Fatal(err)
			}
			var text bytes.Buffer
			if err := r.Print(&text); err != nil {
				t.Fatal(err)
			}
			list := slices.Concat(r.made.findings...)
			findingtest.Settled(t, list)
			findingtest.Words(t, slices.Concat(drains.Rules(), supply.Rules()), list)
			for i := range c.Expect {
				c.Expect[i].hold(t, r, text.String())
			}
		})
	}
	files, err := filepath.Glob("testdata/jobs/*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if name := strings.TrimSuffix(filepath.Base(f), ".json"); !tried[name] {
			t.Errorf("%s: nothing is expected of it", name)
		}
	}
}

func (x *jobExpect) hold(t *testing.T, r *Report, text string) {
	t.Helper()
	switch {
	case x.Rule != "":
		x.holdFinding(t, slices.Concat(r.made.findings...))
	case x.Run != "":
		x.holdRun(t, r.made.water.sizing)
	case x.Order != "":
		order, err := r.made.water.sizing.TakeOff(supply.TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range order.Lines {
			if line.Item == x.Order && line.Size == x.Size && line.Length == x.Length {
				return
			}
		}
		t.Errorf("%v of %v %s is not to be ordered: %v", x.Length, x.Size, x.Order, order.Lines)
	case x.Text != "" && !wrapped(x.Text).MatchString(text):
		t.Errorf("%q is not in the report:\n%s", x.Text, text)
	case x.NoText != "" && wrapped(x.NoText).MatchString(text):
		t.Errorf("%q is in the report: %q", x.NoText, wrapped(".*"+x.NoText+".*").FindString(text))
	}
}

// wrapped is a pattern of which each space may be the end of a line of the report and the
// indent of the next.
func wrapped(pattern string) *regexp.Regexp {
	return regexp.MustCompile(strings.NewReplacer(" +", `\s+`, " *", `\s*`, " ", `\s+`).Replace(pattern))
}

func (x *jobExpect) holdFinding(t *testing.T, list []tables.Finding) {
	t.Helper()
	says := regexp.MustCompile("(?i)" + x.Says)
	var others []string
	for i := range list {
		f := &list[i]
		if f.Rule != x.Rule || x.Place != "" && f.Place != x.Place {
			continue
		}
		others = append(others, f.String())
		match := says.MatchString(f.Reason + " " + f.Fix)
		switch {
		case x.Verdict == "" && match:
			t.Errorf("%s at %s: there is one: %v", x.Rule, cmp.Or(x.Place, "any place"), f)
		case f.Verdict.String() == x.Verdict && match && (x.If == "" || f.IfConfirmed.String() == x.If):
			return
		}
	}
	if x.Verdict != "" {
		t.Errorf("no %s of %s at %q that says %q (if confirmed %q): %q", x.Verdict, x.Rule, x.Place, x.Says, x.If, others)
	}
}

func (x *jobExpect) holdRun(t *testing.T, s *supply.Sizing) {
	t.Helper()
	i, ok := s.Layout().Find(x.Run)
	if !ok {
		t.Fatalf("no point %s", x.Run)
	}
	run := s.At(i)
	if x.Flow > 0 && math.Abs(float64(run.Flow/x.Flow)-1) > 0.005 {
		t.Errorf("%s: %v flow, want %v", x.Run, run.Flow, x.Flow)
	}
	if x.Size > 0 && run.Size != x.Size {
		t.Errorf("%s: %v, want %v", x.Run, run.Size, x.Size)
	}
}
