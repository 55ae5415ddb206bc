package lesson

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
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
		Printed   json.Number `json:"printed"`
		Tolerance float64     `json:"tolerance"`
		// Text is what the source prints where the answer is a name, such as "DN 20".
		Text string `json:"text"`
		// Class is why the printed figure may differ: exact, rounding, constants, chart
		// reading, model, rule, own computation; print differs: it must, and Want is
		// right.
		Class         string   `json:"class"`
		Want          *float64 `json:"want"`
		WantTolerance float64  `json:"want_tolerance"`
		Why           string   `json:"why"`
		// Account is the class in the account of proof, where it is not that of Class.
		Account proof.Class `json:"account"`
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

// proofClasses names the classes of testdata/cases.jsonl as the account does.
var proofClasses = map[string]proof.Class{
	"constants": proof.Constants, "chart reading": proof.Chart, "model": proof.Model, "rule": proof.Model,
	"print differs": proof.Misprint,
}

// TestPublishedCases runs every published case through the program and keeps the
// account of them in testdata/proof.csv.
func TestPublishedCases(t *testing.T) {
	shelf := newCodes(tables.Embedded())
	var ledger proof.Ledger
	asked := map[string]bool{}
	for _, c := range loadCases(t) {
		title, _ := c.Source["title"].(string)
		if title == "" || c.Status == "" || c.Verdict == "" {
			t.Errorf("%s: no source, status or verdict", c.Case)
		}
		for i, k := range c.Checks {
			name := fmt.Sprintf("%s/%d", c.Case, i)
			var line struct{ Ask string }
			if err := json.Unmarshal(k.Problem, &line); err != nil {
				t.Fatal(err)
			}
			if k.Class != "own computation" && c.Verdict != "own computation" && c.Verdict != "inputs-only" {
				asked[line.Ask] = true
			}
			out, ok := solveText(t, string(k.Problem), options{shelf: shelf})
			if !ok {
				t.Errorf("%s: %s\n%s", name, k.Problem, out)
				continue
			}
			var reply struct{ Answer map[string]any }
			if err := json.Unmarshal([]byte(out), &reply); err != nil {
				t.Fatal(err)
			}
			if k.Text != "" {
				if reply.Answer[k.Answer] != k.Text {
					t.Errorf("%s: %s\n%v, printed %q", name, k.Problem, reply.Answer[k.Answer], k.Text)
				}
				continue
			}
			got, unit, err := answerAt(reply.Answer, k.Answer)
			if err != nil || unit != k.Unit {
				t.Errorf("%s: %v; unit %q, want %q", name, err, unit, k.Unit)
				continue
			}
			if k.Printed != "" {
				printed, err := k.Printed.Float64()
				if err != nil {
					t.Fatal(err)
				}
				switch near := math.Abs(got-printed) <= k.Tolerance; {
				case k.Class == "print differs" && near:
					t.Errorf("%s: %v is the print, %v, that is wrong", name, got, printed)
				case k.Class != "print differs" && !near:
					t.Errorf("%s: %s\n%v %s, printed %v, %s leaves %v", name, k.Problem, got, unit, printed, k.Class,
						k.Tolerance)
				}
				v := proof.Value{Source: title, Case: c.Case, Answer: k.Answer + " " + k.Unit, Ours: got,
					Printed: k.Printed.String(), Why: k.Why}
				if v.Class = k.Account; v.Class == "" {
					v.Class = proofClasses[k.Class]
				}
				if (k.Class == "exact" || k.Class == "rounding") && len(k.Printed) > 7 {
					v.Within = k.Tolerance // many prints were in another unit
				}
				if k.Class != "own computation" && c.Verdict != "own computation" && c.Verdict != "inputs-only" {
					ledger.Add(v)
				}
			}
			if k.Want != nil && math.Abs(got-*k.Want) > k.WantTolerance {
				t.Errorf("%s: %s\n%v %s, right is %v within %v", name, k.Problem, got, unit, *k.Want, k.WantTolerance)
			}
			if k.Class == "print differs" && (k.Want == nil || k.Why == "") {
				t.Errorf("%s: a print that differs needs the right value and a reason", name)
			}
			if !c.Usable && k.Class != "print differs" && k.Class != "own computation" && k.Class != "constants" &&
				k.Class != "model" {
				t.Errorf("%s: not usable as a test, yet of class %q", name, k.Class)
			}
		}
	}
	ledger.Keep(t, "testdata/proof.csv")
	for _, k := range kindNames() {
		if !asked[k] && k != "mark" { // marks have cases of their own
			t.Errorf("%s: no published case", k)
		}
	}
}
