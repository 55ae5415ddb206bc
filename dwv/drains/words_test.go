package drains

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestNominal: sizes are called as they are bought: in inches, a foot and more too, or by DN. 5 in are 127 mm and 10 in 254 mm, and
// yet no DN; 27.5 mm is neither.
func TestNominal(t *testing.T) {
	const mm = units.Millimetre
	for size, want := range map[units.Length]string{in * 5 / 4: `1 1/4"`, 5 * in: `5"`, 10 * in: `10"`, 12 * in: `12"`, 15 * in: `15"`,
		100 * mm: "DN 100", 32 * mm: "DN 32", 300 * mm: "DN 300", 27*mm + mm/2: "27.5 mm"} {
		if got := nominal(size).String(); got != want {
			t.Errorf("%d nm is %s, want %s", size, got, want)
		}
	}
}

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
