package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// TestReports keeps the printed demonstration: a change in any figure of it is
// seen, and is either meant or a fault.
func TestReports(t *testing.T) {
	for _, tt := range []struct {
		file string
		args []string
	}{
		{"report-us.txt", nil},
		{"report-si.txt", []string{"-units", "si"}},
		{"report-upc.txt", []string{"-code", "upc-2021"}},
		{"report-us.json", []string{"-json"}},
	} {
		t.Run(tt.file, func(t *testing.T) {
			var out, errs bytes.Buffer
			if status := run(t.Context(), tt.args, &out, &errs); status != 0 {
				t.Fatalf("status %d: %s", status, errs.String())
			}
			golden.Keep(t, filepath.Join("testdata", tt.file), out.String())
		})
	}
}

// TestCommand runs the program on files as a user does.
func TestCommand(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good, err := hall.ReadFile("hall/hall.json")
	if err != nil {
		t.Fatal(err)
	}
	good = bytes.Replace(good, []byte(`"amendments": ["town"]`), []byte(`"amendments": []`), 1)
	nonsense := bytes.Repeat([]byte("nonsense "), 100<<20/9)
	tests := []struct {
		name   string
		args   []string
		status int
		errs   string
	}{
		{"a file of one's own", []string{write("mine.json", good)}, 0, ""},
		{"strict", []string{"-strict"}, 1, ""},
		{"flags after the file", []string{write("after.json", good), "-strict", "-units", "si"}, 1, ""},
		{"help", []string{"-h"}, 0, ""},
		{"two files", []string{"a.json", "-json", "b.json"}, 2, "one file too many"},
		{"half a file", []string{write("half.json", good[:len(good)/2])}, 2, "half.json:"},
		{"empty file", []string{write("empty.json", nil)}, 2, "empty.json:1:1"},
		{"empty layout", []string{write("blank.json", []byte("{}"))}, 2, "job"},
		{"100 MB of nonsense", []string{write("big.json", nonsense)}, 2, "too big"},
		{"10 MB of nonsense", []string{write("less.json", nonsense[:10<<20])}, 2, "less.json:1:"},
		{"deep", []string{write("deep.json", bytes.Repeat([]byte("["), 1<<20))}, 2, "nested deeper"},
		{"no such file", []string{filepath.Join(dir, "none.json")}, 2, "none.json"},
		{"no such code", []string{"-code", "atlantis-1"}, 2, "atlantis-1"},
		{"no such units", []string{"-units", "cubits"}, 2, "us or si"},
		{"no such flag", []string{"-frobnicate"}, 2, "frobnicate"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			var out, errs bytes.Buffer
			if got := run(t.Context(), tt.args, &out, &errs); got != tt.status {
				t.Errorf("status %d, want %d: %.300s", got, tt.status, errs.String())
			}
			if !strings.Contains(errs.String(), tt.errs) {
				t.Errorf("no %q in %.300s", tt.errs, errs.String())
			}
			if tt.status == 2 && out.Len() > 0 {
				t.Errorf("a report was printed: %.100s", out.String())
			}
		})
	}
}

// TestSameBytes runs the demonstration twice: nothing may depend on map order.
func TestSameBytes(t *testing.T) {
	var first string
	for i := range 3 {
		var out bytes.Buffer
		if status := run(t.Context(), []string{"-json", "-code", "upc-2021"}, &out, &out); status != 0 {
			t.Fatal(out.String())
		}
		if i == 0 {
			first = out.String()
		} else if out.String() != first {
			t.Fatal("two runs differ")
		}
	}
	var r struct {
		Findings struct {
			Summary         string
			Fail, Ask, Pass []json.RawMessage
		}
	}
	if err := json.Unmarshal([]byte(first), &r); err != nil {
		t.Fatal(err)
	}
	f := &r.Findings
	if got := fmt.Sprintf("%d fail, %d ask, %d pass", len(f.Fail), len(f.Ask), len(f.Pass)); got != f.Summary || len(f.Pass) == 0 {
		t.Errorf("the JSON holds %s, its summary says %s", got, f.Summary)
	}
}
