package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

func call(args ...string) (out, errs string, status int) {
	var o, e bytes.Buffer
	status = run(context.Background(), args, &o, &e)
	return o.String(), e.String(), status
}

func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"codes.txt":     {"-codes", "ipc-2021,upc-2021,asnzs3500-2"},
		"revisions.txt": {"-revisions"}, "revisions-si.txt": {"-revisions", "-units", "si"},
	} {
		out, errs, status := call(args...)
		if status != command.Fails || errs != "" {
			t.Fatalf("%v: status %d: %s", args, status, errs)
		}
		out, _, _ = strings.Cut(out, "\nNot judged") // which the shelf lists
		golden.Keep(t, filepath.Join("testdata", name), out)
	}
}

// TestEveryCode: without a list the job stands under each code that sizes drains, and none
// gives up on it.
func TestEveryCode(t *testing.T) {
	out, _, _ := call("-json")
	var u job.Comparison
	if err := json.Unmarshal([]byte(out), &u); err != nil {
		t.Fatal(err)
	}
	if len(u.Codes) < 6 || u.Codes[0].Code != "ipc-2021" || len(u.Runs) != 5 {
		t.Errorf("%d codes, %d runs", len(u.Codes), len(u.Runs))
	}
	for _, c := range u.Codes {
		if c.Problem != "" || c.Pass == 0 {
			t.Errorf("%+v", c)
		}
	}
}

// TestAlike: two revisions that are the same, and one code.
func TestAlike(t *testing.T) {
	for _, args := range [][]string{{"bakery.json", "bakery.json"}, {"-codes", "ipc-2021", "bakery.json"}} {
		if out, errs, status := call(args...); status != command.Done {
			t.Errorf("%v: status %d: %s%s", args, status, out, errs)
		}
	}
}

func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	water := filepath.Join(dir, "water.json")
	if err := os.WriteFile(water, []byte(`{"job":{"name":"w","code":"ipc-2021"},"water":{"source":{"id":"M","pressure":"60 psi"},
	 "points":[{"id":"A","from":"M","run":{"length":"10 ft","pipe":"copper-l"},"fixture":{"fixture":"lavatory","use":"public"}}]}}`), 0o666); err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string][]string{
		"no such file":      {filepath.Join(dir, "none.json")},
		"bakery.json":       {"bakery.json", filepath.Join(dir, "none.json")},
		"no-such-code":      {"-codes", "ipc-2021,no-such-code"},
		"-units":            {"-units", "rods"},
		"one file too many": {"a", "b", "c"},
		"name two files":    {"-revisions", "bakery.json"},
	} {
		out, errs, status := call(args...)
		if status != command.Refused || out != "" || errs == "" || want != "bakery.json" && !strings.Contains(errs, want) {
			t.Errorf("%v: status %d: %q %q, want %q", args, status, out, errs, want)
		}
	}
	if _, errs, status := call("bakery.json", water); status != command.Refused {
		t.Errorf("halves that do not match: %d %s", status, errs)
	}
	if out, _, status := call("-h"); status != command.Done || !strings.Contains(out, line.Example) {
		t.Errorf("-h: status %d: %s", status, out)
	}
}
