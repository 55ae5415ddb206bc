package proof_test

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

// newEdition copies the shelf into a directory, and there a set as DEVELOPERS.md tells:
// the folder but for its list of documents, the id and the source of each file and the
// tables that supply-tables names changed, every status set to memory, and one document
// more.
func newEdition(t *testing.T, old, id string) fs.FS {
	t.Helper()
	dir := t.TempDir()
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	must(os.CopyFS(dir, os.DirFS("../../tables/data")))
	must(os.CopyFS(filepath.Join(dir, id), os.DirFS(filepath.Join(dir, old))))
	must(os.Remove(filepath.Join(dir, id, "sources.csv")))
	files, err := filepath.Glob(filepath.Join(dir, id, "*.csv"))
	must(err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		must(err)
		text := strings.NewReplacer("# id: "+old+"/", "# id: "+id+"/", "# source: "+old+"\n", "# source: "+id+"\n",
			","+old+"/", ","+id+"/", ",read2\n", ",memory\n", ",read\n", ",memory\n").Replace(string(data))
		must(os.WriteFile(name, []byte(text), 0o666))
	}
	must(os.WriteFile(filepath.Join(dir, id, "sources.csv"), []byte("id,title,publisher,edition,year,url,note\n"+id+
		",A code of the next edition,,2024,2024,,not seen\n"), 0o666))
	return os.DirFS(dir)
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
