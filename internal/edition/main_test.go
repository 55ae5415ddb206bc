package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// newEdition copies the shelf and the lists about it into a directory, and there a set.
func newEdition(t *testing.T, old, id string) fs.FS {
	t.Helper()
	c := edition{root: t.TempDir(), old: old, id: id, year: "2024"}
	for _, folder := range []string{"tables/data", "tables/testdata/second", "internal/proof"} {
		if err := os.CopyFS(filepath.Join(c.root, folder), os.DirFS("../../"+folder)); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile("../../tables/testdata/no-second.csv")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(c.root, "tables/testdata/no-second.csv"), data, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := c.write(); err != nil {
		t.Fatal(err)
	}
	for file, want := range map[string]string{
		"tables/data/" + id + "/sources.csv":       id + ",",
		"tables/data/comparison/not-judged.csv":    id + "/rules:",
		"tables/testdata/no-second.csv":            id + "/fixtures,copied from " + old,
		"internal/proof/documents.csv":             id + ",",
		"internal/proof/rule_sources.csv":          "dwv,standpipe-height," + id + ",",
		"tables/data/" + id + "/trap-arm.csv":      "# source: " + id,
		"tables/data/" + id + "/supply-tables.csv": id + "/supply-fixture-units,no",
	} {
		text, err := os.ReadFile(filepath.Join(c.root, file))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), want) {
			t.Errorf("%s: %q is not in %s", id, want, file)
		}
	}
	if err := c.write(); err == nil {
		t.Error("a set that is on the shelf is written over")
	}
	return os.DirFS(c.data())
}

// A new edition is a copied folder: it loads, sizes the workshop as the old one does,
// says that its rows were not seen, and leaves the old one as it was.
func TestNewEdition(t *testing.T) {
	data, err := os.ReadFile("../../dwv/drains/testdata/workshop.json")
	if err != nil {
		t.Fatal(err)
	}
	lodge, err := os.ReadFile("../../supply/testdata/lodge.json")
	if err != nil {
		t.Fatal(err)
	}
	for old, id := range map[string]string{"ipc-2021": "ipc-trial", "upc-2021": "upc-trial"} {
		shelf := tables.Open(newEdition(t, old, id))
		for _, err := range shelf.All() {
			if err != nil {
				t.Fatalf("%s: %v", id, err)
			}
		}
		was, err := dwv.LoadCode(shelf, old)
		if err != nil {
			t.Fatal(err)
		}
		now, err := dwv.LoadCode(shelf, id)
		if err != nil {
			t.Fatal(err)
		}
		l, err := drains.Parse("workshop.json", data, was, now)
		if err != nil {
			t.Fatal(err)
		}
		var sizes [2]*drains.Sizing
		for i, code := range []*dwv.Code{was, now} {
			if sizes[i], err = l.Size(code, drains.Options{}); err != nil {
				t.Fatal(err)
			}
		}
		for _, point := range []string{"S1", "S2", "S3", "FD", "LA", "WC"} {
			a, okA := sizes[0].Of(point)
			b, okB := sizes[1].Of(point)
			if a.Required != b.Required || !okA || !okB {
				t.Errorf("%s at %s: %v, and %v under %s", id, point, b.Required, a.Required, old)
			}
		}
		findings, err := sizes[1].Check(drains.CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		cited := 0
		for i := range findings {
			c := findings[i].Citation
			if c.IsZero() || strings.Contains(c.Table(), old) {
				continue
			}
			cited++
			if c.Status().Firm() && c.Status() != tables.Computed && findings[i].Verdict != tables.Ask {
				t.Errorf("%s: a row nobody has seen decides: %v", id, &findings[i])
			}
		}
		if cited == 0 {
			t.Errorf("%s: no finding rests on its rows", id)
		}
		water, err := supply.LoadCode(shelf, id)
		if err != nil {
			t.Fatal(err)
		}
		w, err := supply.Parse("lodge.json", lodge, water)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Size(water, supply.Options{}); err != nil {
			t.Errorf("%s: %v", id, err)
		}
	}
}
