package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

func call(args ...string) (out, errs string, status int) {
	var o, e bytes.Buffer
	status = run(context.Background(), args, &o, &e)
	return o.String(), e.String(), status
}

func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{"boathouse.txt": nil, "boathouse-si.txt": {"-units", "si"},
		"boathouse-upc.txt": {"-code", "upc-2021"}} {
		out, errs, status := call(args...)
		if status != command.Fails || errs != "" {
			t.Fatalf("%v: status %d: %s", args, status, errs)
		}
		golden.Keep(t, filepath.Join("testdata", name), out)
	}
}

// TestMended writes the drains with all changes made, and nothing fails of them.
func TestMended(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "mended.json")
	if _, errs, status := call("-drains", file); status != command.Fails {
		t.Fatal(status, errs)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	whole := `{"job": {"name": "mended", "code": "ipc-2021"}, "drainage": ` + string(text) + `}`
	again := filepath.Join(dir, "job.json")
	if err := os.WriteFile(again, []byte(whole), 0o666); err != nil {
		t.Fatal(err)
	}
	out, errs, status := call(again)
	if status != command.Done || !strings.Contains(out, "Nothing fails.") {
		t.Errorf("status %d: %s%s", status, out, errs)
	}
}

func TestJSON(t *testing.T) {
	out, _, _ := call("-json")
	var a struct {
		Limits []drains.Limit
		Fixes  []drains.Fix
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil || len(a.Limits) != 6 || len(a.Fixes) < 6 {
		t.Errorf("%d limits, %d fixes, %v", len(a.Limits), len(a.Fixes), err)
	}
}

func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return name
	}
	water := `{"job":{"name":"w","code":"ipc-2021"},"water":{"source":{"id":"S","static":"60 psi"},"points":[]}}`
	for _, tt := range []struct {
		want string
		args []string
	}{
		{"fit: none.json: no such file", []string{filepath.Join(dir, "none.json")}},
		{"cut.json:1:", []string{file("cut.json", `{"job":`)}},
		{"-units", []string{"-units", "cubits"}},
		{"-wide", []string{"-wide"}},
		{"one file too many", []string{"a.json", "b.json"}},
		{"no-such-code", []string{"-code", "no-such-code"}},
		{"", []string{file("water.json", water)}},
		{`\x1b`, []string{file("esc.json", "{\"job\":{\"name\":\"\\u001b[2J\",\"code\":\"ipc-2021\"},\"drainage\":{\"\\u001b[2J\":1}}")}},
	} {
		out, errs, status := call(tt.args...)
		if status != command.Refused || out != "" || !strings.Contains(errs, tt.want) || strings.Contains(errs, "\x1b") {
			t.Errorf("%v: status %d: %q %q, want %q", tt.args, status, out, errs, tt.want)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if status := run(ctx, nil, &bytes.Buffer{}, &bytes.Buffer{}); status != command.Refused {
		t.Errorf("stopped: status %d", status)
	}
	if out, _, status := call("-h"); status != command.Done || !strings.Contains(out, line.Example) {
		t.Errorf("-h: status %d: %s", status, out)
	}
}
