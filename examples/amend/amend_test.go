package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

func TestOrdinance(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run(nil, &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	golden.Keep(t, filepath.Join("testdata", "ordinance.txt"), out.String())
}

// TestOwnDirectory lays an amendment from a directory, good and bad.
func TestOwnDirectory(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		file := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("sources.csv", "id,title,publisher,edition,year,url,note\nmine,My notes,,,,,\n")
	write("ipc-2021/rules.csv", "# id: ipc-2021/rules\n# source: mine\nop,rule,value,unit,status\nset,below-ground-min-size,3,in,practice\n")
	var out, errs bytes.Buffer
	if status := run([]string{"-dir", dir}, &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	for _, want := range []string{"was:   value unlimited", "now:   value 3", "after:  3 in, decided by minimum size underground", "My notes: least size of a drain below ground (amends International Plumbing Code 2021) (common practice, no source)"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not in\n%s", want, &out)
		}
	}
	write("ipc-2021/rules.csv", "# id: ipc-2021/rules\n# source: mine\nop,rule,value,unit,status\nset,no-such-rule,3,in,sure\n")
	out.Reset()
	if status := run([]string{"-dir", dir}, &out, &errs); status != 1 {
		t.Errorf("a bad amendment gives status %d", status)
	}
	if want := `amendment 1: ipc-2021/rules.csv:4:23: status: unknown status: "sure"`; !strings.Contains(errs.String(), want) {
		t.Errorf("%q is not in %q", want, &errs)
	}
	errs.Reset()
	if status := run([]string{"-dir", filepath.Join(dir, "none")}, &out, &errs); status != 1 ||
		!strings.HasPrefix(errs.String(), "amend: ") || !strings.Contains(errs.String(), "none") {
		t.Errorf("a folder that is not there gives status %d: %s", status, &errs)
	}
	if status := run([]string{"extra"}, &out, &errs); status != 2 {
		t.Errorf("an argument gives status %d", status)
	}
	if status := run([]string{"-code", "none"}, &out, &errs); status != 1 {
		t.Errorf("an unknown code gives status %d", status)
	}
}

// TestAnotherCode: the ordinance amends the IPC, and says that the UPC stays as it is.
func TestAnotherCode(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run([]string{"-code", "upc-2021"}, &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	if want := "touches no table of upc-2021"; !strings.Contains(out.String(), want) {
		t.Errorf("%q is not in\n%s", want, &out)
	}
	out.Reset()
	if run(nil, &out, &errs); strings.Contains(out.String(), "touches no table") {
		t.Errorf("the code it amends is told to stay:\n%s", &out)
	}
	out.Reset()
	if status := run([]string{"-h"}, &out, &errs); status != 0 || !strings.Contains(out.String(), "-dir mytown") {
		t.Errorf("-h: %d %s", status, &out)
	}
}
