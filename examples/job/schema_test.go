package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
)

// misfits lists what of a value does not fit a schema.
func misfits(s *strictjson.Schema, v any, at string) (out []string) {
	kind := "null"
	switch x := v.(type) {
	case string:
		kind = "string"
	case bool:
		kind = "boolean"
	case float64:
		if kind = "number"; s.Type == "integer" && x >= float64(*s.Minimum) && x <= float64(*s.Maximum) {
			kind = "integer"
		}
	case []any:
		kind = "array"
		for i := range x {
			if s.Items != nil {
				out = append(out, misfits(s.Items, x[i], fmt.Sprintf("%s[%d]", at, i))...)
			}
		}
	case map[string]any:
		kind = "object"
		for name, m := range x {
			if p := s.Properties[name]; p == nil {
				out = append(out, at+"."+name+" is not in the schema")
			} else {
				out = append(out, misfits(p, m, at+"."+name)...)
			}
		}
		for _, name := range s.Required {
			if _, ok := x[name]; !ok {
				out = append(out, at+"."+name+" is required")
			}
		}
	}
	if kind != s.Type {
		out = append(out, fmt.Sprintf("%s is %s, not %s", at, kind, s.Type))
	}
	return out
}

// TestSchema: the schema kept beside the program is the one that the tags make, and
// says of layouts what the decoder says.
func TestSchema(t *testing.T) {
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, "../underslab/layout.schema.json", string(text))
	var s strictjson.Schema
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	read := func(text []byte) any {
		var v any
		if err := json.Unmarshal(text, &v); err != nil {
			t.Fatal(err)
		}
		return v
	}
	demo, err := fs.ReadFile(hall, "hall/hall.json")
	if err != nil {
		t.Fatal(err)
	}
	if bad := misfits(&s, read(demo), "hall"); bad != nil {
		t.Errorf("the demonstration does not fit: %q", bad)
	}
	for _, c := range []struct{ text, want string }{
		{`{"job": {"name": "x"}}`, "f.job.code is required"},
		{`{"job": {"code": "x", "kode": "y"}}`, "f.job.kode is not in the schema"},
		{`{"job": {"code": 1}}`, "f.job.code is number, not string"},
		{`{"job": {"code": "x"}, "water": {"source": {"id": "S"}, "water": {"cold": "50 degF"}, "points": []}}`, "f.water.source.pressure is required"},
		{`{"job": {"code": "x"}, "drainage": {"finished_floor": "1 ft", "systems": [{"points": [{"run": {}, "fixture": {"count": 0}}]}]}}`,
			"f.drainage.systems[0].points[0].fixture.count is number, not integer"},
	} {
		if bad := misfits(&s, read([]byte(c.text)), "f"); !slices.Contains(bad, c.want) {
			t.Errorf("%s: %q", c.text, bad)
		}
	}
}

// TestReportSchema: the schema kept beside the program is the one that the types make, and
// reports fit it: of the demonstration, of each half, under another code.
func TestReportSchema(t *testing.T) {
	text, err := ReportSchema()
	if err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, "../underslab/report.schema.json", string(text))
	var s strictjson.Schema
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	steepJob, err := Read(fstest.MapFS{"steep.json": {Data: []byte(steep(2))}}, "steep.json", "")
	if err != nil {
		t.Fatal(err)
	}
	half, err := steepJob.Report("upc-2021", Options{AllPasses: true})
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]*Report{
		"demo": reportOf(t, "", newPrinter(false, true)), "upc": reportOf(t, "upc-2021", newPrinter(true, true)), "half": half,
	} {
		var b bytes.Buffer
		if err := r.WriteJSON(&b); err != nil {
			t.Fatal(err)
		}
		fits(t, &s, name, b.Bytes())
		ids := map[string]bool{}
		for _, f := range append(append(r.Findings.Pass(), r.Findings.Fail()...), r.Findings.Ask()...) {
			if f.ID == "" || ids[f.ID] {
				t.Errorf("%s: the id %q stands twice", name, f.ID)
			}
			ids[f.ID] = true
			if (f.Verdict == tables.Ask) != (f.SettledBy != 0) {
				t.Errorf("%s: %s is %v and settled by %v", name, f.ID, f.Verdict, f.SettledBy)
			}
		}
	}
}
