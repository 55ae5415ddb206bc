package job

import (
	"bytes"
	"encoding/json"
	"testing"
)

// TestQuantityJSON: number, unit and text, all three; of words the text alone.
func TestQuantityJSON(t *testing.T) {
	for q, want := range map[Quantity]string{
		"98.17 ft":              `{"value":98.17,"unit":"ft","text":"98.17 ft"}`,
		`9'-4"`:                 `{"value":112,"unit":"in","text":"9'-4\""}`,
		"level":                 `{"text":"level"}`,
		"-0.5 psi":              `{"value":-0.5,"unit":"psi","text":"-0.5 psi"}`,
		"\u00fcber <b> \x01 \\": ``,
	} {
		b, err := q.MarshalJSON()
		var back struct{ Text string }
		if err != nil || json.Unmarshal(b, &back) != nil || back.Text != string(q) {
			t.Errorf("%q: %s, %v", q, b, err)
		}
		if q != "\u00fcber <b> \x01 \\" && string(b) != want {
			t.Errorf("%q is %s, want %s", q, b, want)
		}
	}
	got := string(quantityLines([]byte("{\n  \"a\": {\n    \"value\": 1,\n    \"unit\": \"ft\",\n    \"text\": \"1 ft\"\n  },\n  \"b\": {\n    \"text\": \"level\"\n  }\n}\n")))
	if want := "{\n  \"a\": {\"value\": 1, \"unit\": \"ft\", \"text\": \"1 ft\"},\n  \"b\": {\"text\": \"level\"}\n}\n"; got != want {
		t.Errorf("%s", got)
	}
}

// TestReportReadsBack: a client of the JSON reads it into the same types.
func TestReportReadsBack(t *testing.T) {
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := r.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	var back Report
	if err := json.Unmarshal(b.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	if len(back.Drains) != len(r.Drains) || back.Drains[0].Required != r.Drains[0].Required ||
		back.Drains[0].Length != r.Drains[0].Length || back.Counts != r.Counts ||
		len(back.Findings.Ask()) != len(r.Findings.Ask()) || len(back.Materials.Pipe) != len(r.Materials.Pipe) {
		t.Errorf("it reads back as %+v", back)
	}
}
