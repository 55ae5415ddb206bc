package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

func call(args ...string) (out, errs string, status int) {
	var o, e bytes.Buffer
	status = run(args, &o, &e)
	return o.String(), e.String(), status
}

// TestGolden: the belly at 16 ft up C2 lies at 97'-9 1/2", and its lip 8 ft up C2 at
// 97'-10 1/8": water stands 5/8 in deep.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{"clinic.txt": nil, "clinic-si.txt": {"-units", "si", "-tolerance", "10 mm"}} {
		out, errs, status := call(args...)
		if status != command.Fails || errs != "" {
			t.Fatalf("%v: status %d: %s", args, status, errs)
		}
		golden.Keep(t, filepath.Join("testdata", name), out)
	}
	out, _, _ := call()
	for _, want := range []string{`BELLY: water stands 5/8 in deep at 16'-0" up C2`, "LAY AGAIN", "TOO FLAT", "RISES"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in\n%s", want, out)
		}
	}
}

func TestSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	if _, errs, status := call("-html", file); status != command.Fails {
		t.Fatal(status, errs)
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<svg", "as drawn", "2 1/2 in low", "LAY AGAIN"} {
		if !bytes.Contains(page, []byte(want)) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
	if bytes.Contains(page, []byte("<script")) || bytes.Contains(page, []byte("<?xml")) {
		t.Error("script, or the head of a file, on the sheet")
	}
}

func TestJSON(t *testing.T) {
	out, _, _ := call("-json")
	var s sheet
	if err := json.Unmarshal([]byte(out), &s); err != nil || len(s.Laid.Points) != 10 || len(s.Laid.Lines) != 2 {
		t.Errorf("%v", err)
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
	book := func(lines string) string {
		return file("book.csv", "kind,run,along,reading,elevation\nbenchmark,,,,100 ft\nbacksight,,,4 ft\n"+lines)
	}
	for want, args := range map[string][]string{
		"no such file":        {"-rods", filepath.Join(dir, "none.csv"), "clinic.json"},
		"name one with -rods": {"clinic.json"},
		"book.csv:4:6":        {"-rods", book("shot,X9,0 ft,5 ft\n"), "clinic.json"},
		"-tolerance":          {"-tolerance", "thin"},
		"-units":              {"-units", "rods"},
		"one file too many":   {"a", "b"},
	} {
		out, errs, status := call(args...)
		if status != command.Refused || out != "" || !strings.Contains(errs, want) {
			t.Errorf("%v: status %d: %q %q, want %q", args, status, out, errs, want)
		}
	}
	_, errs, status := call("-rods", book("shot,C1,9 ft,5 ft,\nshot,MH,0 ft,5 ft,\n"), "clinic.json")
	if status != command.Refused || !strings.Contains(errs, "8'-0\" long") && !strings.Contains(errs, "MH") {
		t.Errorf("beyond the run: %d: %s", status, errs)
	}
	if out, _, status := call("-h"); status != command.Done || !strings.Contains(out, line.Example) {
		t.Errorf("-h: status %d: %s", status, out)
	}
}
