package drains

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// jobCase is one line of testdata/jobs/*.jsonl: a layout under a code, and what must and
// what must not be found.
type jobCase struct {
	Job  string        `json:"job"`            // layout file beside it, without .json
	Code string        `json:"code"`           // id on the shelf
	Find []jobFinding  `json:"find,omitempty"` // each must be found
	None []jobFinding  `json:"none,omitempty"` // none may be found
	Buys []jobMaterial `json:"buys,omitempty"` // rows of the take-off
	Size []jobSize     `json:"size,omitempty"` // sizes of runs
	// Inverts are those of the ends of runs, to a thousandth of an inch.
	Inverts []jobInvert `json:"inverts,omitempty"`
	// Vents are the developed lengths of vents, to the inch, and the sizes that they need.
	Vents []jobVent `json:"vents,omitempty"`
	Why   string    `json:"why"` // the working by hand
}

// jobFinding describes a finding; what is empty is not looked at. Verdict may name
// several, parted by bars.
type jobFinding struct {
	Verdict string `json:"verdict,omitempty"`
	Rule    string `json:"rule,omitempty"`
	Place   string `json:"place,omitempty"`
	Says    string `json:"says,omitempty"` // a regular expression over reason, fix and citation
}

// jobMaterial is a row of the take-off: pipe with its net length, or fittings counted.
type jobMaterial struct {
	Kind   string `json:"kind"` // of a fitting; "drain", "riser" or "vent" for pipe
	Size   string `json:"size"` // and the branch, as in "4 in x 3 in"
	Count  int    `json:"count,omitempty"`
	Length string `json:"length,omitempty"`
	None   bool   `json:"none,omitempty"` // there is no such row
}

// jobSize is the size laid of a run.
type jobSize struct {
	Run  string `json:"run"`
	Is   string `json:"is"`
	Need string `json:"need,omitempty"` // what the code requires, if that is another
	Load string `json:"load,omitempty"` // what it carries
}

// jobInvert is where a run lies; what is empty is not looked at.
type jobInvert struct {
	Run   string       `json:"run"`
	Lower units.Length `json:"lower,omitzero"`
	Upper units.Length `json:"upper,omitzero"`
}

// jobVent is what a vent comes to; what is empty is not looked at.
type jobVent struct {
	Vent   string `json:"vent"`
	Length string `json:"length,omitempty"`
	Needs  string `json:"needs,omitempty"`
}

// TestJobs runs whole small jobs: at a limit, a step past it, and under a code that does
// not have the rule. Each area has a file of expectations, worked by hand.
func TestJobs(t *testing.T) {
	areas, err := filepath.Glob("testdata/jobs/*.jsonl")
	if err != nil || len(areas) == 0 {
		t.Fatalf("no areas: %v", err)
	}
	for _, area := range areas {
		file, err := os.Open(area)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		for lines := bufio.NewScanner(file); lines.Scan(); {
			var c jobCase
			in := json.NewDecoder(strings.NewReader(lines.Text()))
			in.DisallowUnknownFields()
			if err := in.Decode(&c); err != nil {
				t.Fatalf("%s: %s: %v", area, lines.Text(), err)
			}
			name := strings.TrimSuffix(filepath.Base(area), ".jsonl")
			t.Run(name+"/"+c.Job+"/"+c.Code, c.run)
		}
	}
}

func (c *jobCase) run(t *testing.T) {
	code := mustCode(t, c.Code)
	l := mustLayout(t, "jobs/"+c.Job+".json", code)
	s := mustSize(t, l, code)
	found := checkAllWays(t, l, code, CheckOptions{})
	for _, want := range c.Find {
		if !want.among(found) {
			t.Errorf("not found: %+v (%s); there is%s", want, c.Why, listed(found, want.Rule))
		}
	}
	for _, bad := range c.None {
		if bad.among(found) {
			t.Errorf("found: %+v (%s); there is%s", bad, c.Why, listed(found, bad.Rule))
		}
	}
	for _, want := range c.Size {
		r, ok := s.Of(want.Run)
		need := want.Need
		if need == "" {
			need = want.Is
		}
		if want.Load != "" && r.Load.String() != want.Load {
			t.Errorf("%s carries %v, want %s (%s)", want.Run, r.Load, want.Load, c.Why)
		}
		if !ok || dwv.FormatSize(r.Size) != want.Is || dwv.FormatSize(r.Required) != need {
			t.Errorf("%s is %s and needs %s, want %+v", want.Run, dwv.FormatSize(r.Size), dwv.FormatSize(r.Required),
				want)
		}
	}
	for _, want := range c.Inverts {
		lv, ok := s.Levels().Of(want.Run)
		for _, end := range [][2]units.Length{{lv.Lower.Invert, want.Lower}, {lv.Upper.Invert, want.Upper}} {
			if off := end[0] - end[1]; !ok || end[1] != 0 && max(off, -off) > units.Inch/1000 {
				t.Errorf("an end of %s lies at %v, want %v (%s)", want.Run, end[0], end[1], c.Why)
			}
		}
	}
	for _, want := range c.Vents {
		want.held(t, s, c.Why)
	}
	if len(c.Buys) > 0 {
		c.buys(t, s)
	}
}

// held holds a vent against what it must come to.
func (w jobVent) held(t *testing.T, s *Sizing, why string) {
	t.Helper()
	v, ok := s.Vent(w.Vent)
	off := units.Length(0)
	if w.Length != "" {
		want, err := units.Parse[units.Length](w.Length)
		if err != nil {
			t.Fatal(err)
		}
		off = max(v.Length-want, want-v.Length)
	}
	if !ok || off > in/2 || w.Needs != "" && dwv.FormatSize(v.Required) != w.Needs {
		t.Errorf("%s is %v long and needs %s, want %+v (%s)", w.Vent, v.Length, dwv.FormatSize(v.Required), w, why)
	}
}

func (w jobFinding) among(found []tables.Finding) bool {
	says := regexp.MustCompile("(?i)" + w.Says)
	for _, f := range found {
		if (w.Verdict == "" || strings.Contains("|"+w.Verdict+"|", "|"+f.Verdict.String()+"|")) &&
			(w.Rule == "" || f.Rule == w.Rule) && (w.Place == "" || f.Place == w.Place) &&
			says.MatchString(f.Reason+" "+f.Fix+" "+f.Citation.String()) {
			return true
		}
	}
	return false
}

// listed lists the findings of a rule, or all that do not pass, to tell what there is.
func listed(found []tables.Finding, rule string) string {
	var b strings.Builder
	for _, f := range found {
		if f.Rule == rule || rule == "" && f.Verdict != tables.Pass {
			b.WriteString("\n  " + f.String())
		}
	}
	return b.String()
}

func (c *jobCase) buys(t *testing.T, s *Sizing) {
	list, err := s.TakeOff(TakeOffOptions{})
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]jobMaterial{}
	add := func(m jobMaterial) { have[m.Kind+" "+m.Size] = m }
	for _, x := range list.Pipe {
		add(jobMaterial{Kind: "drain", Size: dwv.FormatSize(x.Size), Length: x.Net.String()})
	}
	for _, x := range list.Risers {
		add(jobMaterial{Kind: "riser", Size: dwv.FormatSize(x.Size), Length: x.Net.String()})
	}
	for _, x := range list.Vents {
		add(jobMaterial{Kind: "vent", Size: dwv.FormatSize(x.Size), Length: x.Net.String()})
	}
	for _, x := range list.Fittings {
		size := dwv.FormatSize(x.Size)
		if x.Branch != 0 {
			size += " x " + dwv.FormatSize(x.Branch)
		}
		add(jobMaterial{Kind: x.Kind, Size: size, Count: x.Count})
	}
	for _, want := range c.Buys {
		got, ok := have[want.Kind+" "+want.Size]
		if ok == want.None || ok && got != want {
			t.Errorf("take-off has %+v, want %+v (%s); of %v", got, want, c.Why, have)
		}
	}
}
