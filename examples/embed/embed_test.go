//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

// TestGolden keeps what the program prints; of the plan, which has tests of its own, that
// it is there.
func TestGolden(t *testing.T) {
	layout, err := os.ReadFile("drain.json")
	if err != nil {
		t.Fatal(err)
	}
	var out, errs, text bytes.Buffer
	if status := run(nil, bytes.NewReader(layout), &out, &errs); status != command.Done {
		t.Fatal(status, errs.String())
	}
	var a map[string]any
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	plan, _ := a["plan"].(string)
	a["plan"] = strings.HasPrefix(plan, "<svg") && strings.HasSuffix(strings.TrimSpace(plan), "</svg>")
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(a); err != nil {
		t.Fatal(err)
	}
	golden.Keep(t, "testdata/answer.json", text.String())
}

func TestJudge(t *testing.T) {
	layout, err := os.ReadFile("drain.json")
	if err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if status := run([]string{"-code", "upc-2021"}, bytes.NewReader(layout), &out, &errs); status != command.Done {
		t.Fatal(status, errs.String())
	}
	var a answer
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	if len(a.Sizes.Runs) != 5 || a.Sizes.Code != "upc-2021" || len(a.Findings) == 0 || !strings.HasPrefix(a.Plan, "<svg") || len(a.Cautions) == 0 {
		t.Errorf("%d runs, %d findings, plan %.20s", len(a.Sizes.Runs), len(a.Findings), a.Plan)
	}
}

func TestBadInput(t *testing.T) {
	for want, tt := range map[string]struct{ in, args string }{
		"layout:1:":         {`{"systems":`, ""},
		"no-such-code":      {"{}", "-code no-such-code"},
		"-wide":             {"{}", "-wide"},
		"one file too many": {"{}", "layout.json"},
	} {
		var out, errs bytes.Buffer
		status := run(strings.Fields(tt.args), strings.NewReader(tt.in), &out, &errs)
		if status != command.Refused || out.Len() > 0 || !strings.Contains(errs.String(), want) {
			t.Errorf("%q: %d %q %q", tt.in, status, out.String(), errs.String())
		}
	}
	var out, errs bytes.Buffer
	if status := run([]string{"-h"}, nil, &out, &errs); status != command.Done || !strings.Contains(out.String(), line.Example) {
		t.Errorf("-h: %d", status)
	}
}
