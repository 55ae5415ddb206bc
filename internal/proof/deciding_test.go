package proof_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// Which rows of the shelf decide the demonstration and the job files of the
// repository, under the two model codes, counted by finding, is kept beside the
// program that audits the shelf and walks a reader through it.
func TestDecidingRows(t *testing.T) {
	deciding := proof.NewDeciding()
	of := func(where string, findings []tables.Finding) {
		for _, f := range findings {
			deciding.Row(where, f.Citation.Table(), f.Citation.Row())
		}
	}
	jobs, err := filepath.Glob("../../dwv/drains/testdata/jobs/*.json")
	if err != nil || len(jobs) < 200 {
		t.Fatalf("%d layouts, %v", len(jobs), err)
	}
	jobs = append(jobs, "../../dwv/drains/testdata/workshop.json", "../../examples/asbuilt/clinic.json",
		"../../examples/compare/bakery.json", "../../examples/compare/bakery-b.json",
		"../../examples/fit/boathouse.json", "../../examples/job/start.json", "../../examples/embed/drain.json")
	const demo = "../../examples/underslab/hall/hall.json"
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		of("demo", drainFindings(t, demo, id))
		of("demo", waterFindings(t, demo, id))
		for _, name := range jobs {
			of("jobs", drainFindings(t, name, id))
		}
		for _, name := range []string{"../../supply/testdata/lodge.json", "../../examples/job/start.json"} {
			of("jobs", waterFindings(t, name, id))
		}
	}
	deciding.Keep(t, "../../examples/shelf/deciding.csv", "demo", "jobs")
}

// half reads a layout file, or the half of it that a job file has under a name.
func half(t *testing.T, name, part string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var job map[string]json.RawMessage
	if err := json.Unmarshal(data, &job); err != nil {
		t.Fatal(err)
	}
	if job["drainage"] != nil {
		return job[part]
	}
	return data
}

func drainFindings(t *testing.T, name, id string) []tables.Finding {
	t.Helper()
	code, err := dwv.LoadCode(tables.Embedded(), id)
	if err != nil {
		t.Fatal(err)
	}
	l, err := drains.Parse(name, half(t, name, "drainage"), code)
	if err != nil {
		t.Fatal(err)
	}
	s, err := l.Size(code, drains.Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.Check(drains.CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func waterFindings(t *testing.T, name, id string) []tables.Finding {
	t.Helper()
	code, err := supply.LoadCode(tables.Embedded(), id)
	if err != nil {
		t.Fatal(err)
	}
	l, err := supply.Parse(name, half(t, name, "water"), code)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Size(code, supply.Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := a.Check(supply.CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}
