package main

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// A publishedCase is a worked example or table value from a publication, as one
// or more problem lines. Its source, standing and verdict stand beside it in
// testdata/cases.jsonl.
type publishedCase struct {
	Case    string         `json:"case"`
	Title   string         `json:"title"`
	Source  map[string]any `json:"source"`
	Status  string         `json:"status"`
	Verdict string         `json:"verdict"`
	Usable  bool           `json:"usable"`
	Note    string         `json:"note"`
	Checks  []struct {
		Problem json.RawMessage `json:"problem"`
		Answer  string          `json:"answer"` // "inverts[2]", "flows.p1"
		Unit    string          `json:"unit"`
		// Printed is what the source prints, Tolerance what its digits, or the named
		// class of difference, leave open.
		Printed   *float64 `json:"printed"`
		Tolerance float64  `json:"tolerance"`
		// Class is why the printed figure may differ: exact, rounding, constants, chart
		// reading, model, rule, own computation; print differs: it must, and Want is
		// right.
		Class         string   `json:"class"`
		Want          *float64 `json:"want"`
		WantTolerance float64  `json:"want_tolerance"`
		Why           string   `json:"why"`
	} `json:"checks"`
}

func loadCases(t testing.TB) []publishedCase {
	t.Helper()
	data, err := os.ReadFile("testdata/cases.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	var out []publishedCase
	s := bufio.NewScanner(bytes.NewReader(data))
	s.Buffer(nil, 1<<20)
	for s.Scan() {
		var c publishedCase
		d := json.NewDecoder(bytes.NewReader(s.Bytes()))
		d.DisallowUnknownFields()
		if err := d.Decode(&c); err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	return out
}

// answerAt finds a value such as "inverts[2]" or "flows.p1" in a reply.
func answerAt(reply map[string]any, path string) (x float64, unit string, err error) {
	var v any = reply
	for _, step := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		switch w := v.(type) {
		case map[string]any:
			v = w[step]
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(w) {
				return 0, "", fmt.Errorf("no %s", path)
			}
			v = w[i]
		}
	}
	q, ok := v.(map[string]any)
	if !ok {
		return 0, "", fmt.Errorf("no %s in %v", path, reply)
	}
	x, ok = q["value"].(float64)
	unit, _ = q["unit"].(string)
	if !ok {
		return 0, "", fmt.Errorf("%s has no value: %v", path, q)
	}
	return x, unit, nil
}

// TestPublishedCases runs every published case through the program. With -v it
// prints a summary by source.
func TestPublishedCases(t *testing.T) {
	shelf := newCodes(tables.Embedded())
	type tally struct {
		cases, checks int
		worst         float64
		at            string
	}
	sources, classes := map[string]*tally{}, map[string]*tally{}
	count := func(m map[string]*tally, key string) *tally {
		if m[key] == nil {
			m[key] = new(tally)
		}
		return m[key]
	}
	for _, c := range loadCases(t) {
		title, _ := c.Source["title"].(string)
		if title == "" || c.Status == "" || c.Verdict == "" {
			t.Errorf("%s: no source, status or verdict", c.Case)
		}
		source := count(sources, title)
		source.cases++
		for i, k := range c.Checks {
			name := fmt.Sprintf("%s/%d", c.Case, i)
			out, ok := solveText(t, string(k.Problem), options{shelf: shelf})
			if !ok {
				t.Errorf("%s: %s\n%s", name, k.Problem, out)
				continue
			}
			var reply struct{ Answer map[string]any }
			if err := json.Unmarshal([]byte(out), &reply); err != nil {
				t.Fatal(err)
			}
			got, unit, err := answerAt(reply.Answer, k.Answer)
			if err != nil || unit != k.Unit {
				t.Errorf("%s: %v; unit %q, want %q", name, err, unit, k.Unit)
				continue
			}
			off := 0.0
			if k.Printed != nil {
				off = math.Abs(got - *k.Printed)
				switch near := off <= k.Tolerance; {
				case k.Class == "print differs" && near:
					t.Errorf("%s: %v is the print, %v, that is wrong", name, got, *k.Printed)
				case k.Class != "print differs" && !near:
					t.Errorf("%s: %s\n%v %s, printed %v, %s leaves %v", name, k.Problem, got, unit, *k.Printed, k.Class, k.Tolerance)
				}
			}
			if k.Want != nil && math.Abs(got-*k.Want) > k.WantTolerance {
				t.Errorf("%s: %s\n%v %s, right is %v within %v", name, k.Problem, got, unit, *k.Want, k.WantTolerance)
			}
			if k.Class == "print differs" && (k.Want == nil || k.Why == "") {
				t.Errorf("%s: a print that differs needs the right value and a reason", name)
			}
			if !c.Usable && k.Class != "print differs" && k.Class != "own computation" && k.Class != "constants" && k.Class != "model" {
				t.Errorf("%s: not usable as a test, yet of class %q", name, k.Class)
			}
			class := count(classes, k.Class)
			for _, s := range []*tally{source, class} {
				s.checks++
				if k.Printed != nil && *k.Printed != 0 && (k.Class != "print differs" || s == class) && off/math.Abs(*k.Printed) > s.worst {
					s.worst, s.at = off/math.Abs(*k.Printed), name
				}
			}
			class.cases++
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d sources\n", len(sources))
	for _, name := range slices.SortedFunc(maps.Keys(sources), func(x, y string) int { return cmp.Compare(x, y) }) {
		s := sources[name]
		fmt.Fprintf(&b, "%-90.90s %3d cases %3d values  largest difference %.2g %% %s\n", name, s.cases, s.checks, 100*s.worst, s.at)
	}
	for _, name := range slices.Sorted(maps.Keys(classes)) {
		s := classes[name]
		fmt.Fprintf(&b, "class %-20s %3d values  largest difference %.2g %% %s\n", name, s.checks, 100*s.worst, s.at)
	}
	t.Log(b.String())
}
