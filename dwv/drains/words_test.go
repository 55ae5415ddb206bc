package drains

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/tables"
)

// TestWords reads all that is found in all jobs, under every code, as a plumber would.
func TestWords(t *testing.T) {
	jobs, err := filepath.Glob("testdata/jobs/*.json")
	if err != nil || len(jobs) == 0 {
		t.Fatalf("no jobs: %v", err)
	}
	jobs = append(jobs, "testdata/workshop.json")
	codes, err := dwv.Codes(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range codes {
		code := mustCode(t, c.ID)
		var all []tables.Finding
		for _, job := range jobs {
			l := mustLayout(t, strings.TrimPrefix(filepath.ToSlash(job), "testdata/"))
			found, err := checkOf(l, code, CheckOptions{})
			if err != nil {
				continue // a fixture or a size that the code does not know
			}
			all = append(all, found...)
		}
		t.Run(c.ID, func(t *testing.T) { findingtest.Words(t, Rules(), all) })
	}
}
