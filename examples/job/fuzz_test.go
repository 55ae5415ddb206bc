package job

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/jsonedit"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

func readSchema(f *testing.F, text []byte, err error) *strictjson.Schema {
	f.Helper()
	var s strictjson.Schema
	if err == nil {
		err = json.Unmarshal(text, &s)
	}
	if err != nil {
		f.Fatal(err)
	}
	return &s
}

func fits(t *testing.T, s *strictjson.Schema, what string, text []byte) {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%s: %v\n%s", what, err, text)
	}
	if bad := misfits(s, v, what); bad != nil {
		t.Fatalf("%.2000q\n%s", bad, text)
	}
}

// quiet fails the test if something of a text would act on a terminal or turn the
// direction of writing.
func quiet(t *testing.T, what, text string) {
	t.Helper()
	for _, r := range text {
		if r != '\n' && r != '\u200c' && r != '\u200d' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) {
			t.Fatalf("%s holds %U:\n%q", what, r, text)
		}
	}
}

// FuzzJob: a file is read or its faults are told, each half of what is read is sized and checked or it is told why
// not, and no finding lacks what readers go by. Codes are loaded once.
func FuzzJob(f *testing.F) {
	f.Add(string(Start()), []byte{})
	f.Add(string(Start()), []byte{3, 1, 40, 90, 7, 200})
	f.Add(steep(2), []byte{9, 4})
	var reader Reader
	f.Fuzz(func(t *testing.T, text string, edits []byte) {
		j, err := reader.Parse("f.json", []byte(jsonedit.Apply(text, edits)), "")
		if err != nil {
			quiet(t, "the message", err.Error())
			return
		}
		var first, second []tables.Finding
		sized, err := j.SizeDrains("")
		if err == nil {
			first, err = sized.Check(drains.CheckOptions{})
		}
		watered, problem := j.SizeWater("", supply.Options{})
		if problem == nil {
			second, problem = watered.Check(supply.CheckOptions{})
		}
		for _, err := range []error{err, problem} {
			if err != nil {
				quiet(t, "why it is not checked", err.Error())
			}
		}
		complete(t, first)
		complete(t, second)
	})
}

// complete fails the test if a finding lacks what readers go by, or has the id of another.
func complete(t *testing.T, list []tables.Finding) {
	t.Helper()
	ids := make(map[string]bool, len(list))
	for i := range list {
		x := &list[i]
		id := x.ID()
		if ids[id] || x.Rule == "" || x.Place == "" || x.Verdict == 0 || x.Reason == "" {
			t.Fatalf("a finding without rule, place, verdict or reason, or with the id of another: %+v", x)
		}
		ids[id] = true
		quiet(t, "a reason", x.Reason)
		quiet(t, "a fix", x.Fix)
	}
}

// FuzzForms: what is read fits the schema of the job file, and its report can be written in
// every form, each of which can be read back.
func FuzzForms(f *testing.F) {
	text, err := Schema()
	schema := readSchema(f, text, err)
	text, err = ReportSchema()
	reportSchema := readSchema(f, text, err)
	f.Add(string(Start()), []byte{})
	f.Add(string(Start()), []byte{3, 1, 40, 90, 7, 200})
	f.Add(steep(2), []byte{9, 4})
	f.Fuzz(func(t *testing.T, text string, edits []byte) {
		text = jsonedit.Apply(text, edits)
		j, err := Parse("f.json", []byte(text), "")
		if err != nil {
			quiet(t, "the message", err.Error())
			return
		}
		fits(t, schema, "job", []byte(text))
		r, err := j.Report("", Options{AllPasses: len(edits)%2 > 0})
		if err != nil {
			quiet(t, "the message", err.Error())
			return
		}
		allForms(t, r, reportSchema)
	})
}

// allForms writes a report in every form and reads each back.
func allForms(t *testing.T, r *Report, schema *strictjson.Schema) {
	t.Helper()
	var b bytes.Buffer
	if err := r.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	fits(t, schema, "report", b.Bytes())
	b.Reset()
	if err := r.Print(&b); err != nil {
		t.Fatal(err)
	}
	quiet(t, "the report", b.String())
	for _, s := range r.Schedules() {
		for _, row := range s.Rows {
			for _, cell := range row {
				if cell != "" && strings.ContainsRune("=+@\t\r", rune(cell[0])) {
					t.Fatalf("%s: a spreadsheet would work out %q", s.Name, cell)
				}
				quiet(t, s.Name, cell)
			}
		}
	}
	readPage(t, pageOf(t, r))
}

// FuzzTexts: whatever a layout calls its job and its points is text on every page.
func FuzzTexts(f *testing.F) {
	text, err := ReportSchema()
	schema := readSchema(f, text, err)
	for _, s := range []string{"</title><script>alert(1)</script>", "=1+1", "\u202eabc", "a\"b'&amp;", "]]>", "%41 #x", "\x1b[2J", "../x", "--><b>"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		quoted, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		j, err := Parse("f.json", []byte(strings.ReplaceAll(`{"job": {"name": TEXT, "address": TEXT, "code": "ipc-2021"},
 "drainage": {"finished_floor": "100 ft", "slab": "5 in", "systems": [{"id": TEXT, "kind": "soil",
  "outlet": {"id": "O", "kind": "sewer", "invert": "97 ft", "at": {"x": "0 ft", "y": "0 ft"}},
  "points": [{"id": TEXT, "to": "O", "at": {"x": "-9 ft", "y": "0 ft"}, "fixture": {"fixture": "lavatory"},
   "run": {"length": "9 ft", "grade": "1/4 in/ft", "bearing": "90 deg"}}]}]},
 "water": {"source": {"id": "S", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"},
  "points": [{"id": TEXT, "from": "S", "length": "9 ft"}],
  "fixtures": [{"id": "L", "cold": TEXT, "fixture": "lavatory"}]}}`, "TEXT", string(quoted))), "")
		if err != nil {
			quiet(t, "the message", err.Error())
			return
		}
		r, err := j.Report("", Options{})
		if err != nil {
			t.Fatal(err)
		}
		allForms(t, r, schema)
	})
}
