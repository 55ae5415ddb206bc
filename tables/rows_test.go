package tables

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"
	"testing/fstest"
)

// A table that says how many rows it has is refused with one row more or less: a
// file cut off at the end of a row would else pass for a shorter table.
func TestRowsSaid(t *testing.T) {
	const head, rows = "# id: s/t\n# title: T\n# source: doc\n# key: size\n",
		"size[in],load[dfu],src,status\n2,6,,read\n3,20,,read\n"
	sources := &fstest.MapFile{Data: []byte("id,title,publisher,edition,year,url,note\ndoc,Document,,,,,\n")}
	for said, want := range map[string]string{
		"": "", "# rows: 2\n": "",
		"# rows: 1\n": "1 are said, 2 are there", "# rows: 3\n": "3 are said, 2 are there",
		"# rows: 0\n":   "0 are said, 2 are there",
		"# rows: two\n": "is not a number of rows", "# rows: -1\n": "is not a number of rows",
		"# rows: 02\n": "is not a number of rows", "# rows: 2\n# rows: 2\n": "is given twice",
	} {
		_, err := Open(fstest.MapFS{"sources.csv": sources, "s/t.csv": {Data: []byte(head + said + rows)}}).Table("s/t")
		if want == "" && err != nil || want != "" &&
			(!errors.Is(err, ErrHeader) || !strings.Contains(err.Error(), "s/t.csv:") ||
				!strings.Contains(err.Error(), want)) {
			t.Errorf("%q: %v, want %q", said, err, want)
		}
	}
	amendment := "# id: s/t\n# source: doc\n# rows: 2\nop,size[in],load[dfu],src,status\nset,2,7,,read\n"
	shelf, err := Open(fstest.MapFS{"sources.csv": sources,
		"s/t.csv": {Data: []byte(head + rows)}}).With(fstest.MapFS{"s/t.csv": {Data: []byte(amendment)}})
	if err == nil {
		_, err = shelf.Table("s/t")
	}
	if !errors.Is(err, ErrHeader) || !strings.Contains(err.Error(), "2 are said, 1 are there") {
		t.Errorf("amendment: %v", err)
	}
}

// Every table of the module's own shelf says its rows, so that none of them can be
// cut short unseen.
func TestEveryFileSaysItsRows(t *testing.T) {
	data := os.DirFS("data")
	err := fs.WalkDir(data, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".csv" || path.Base(name) == "sources.csv" {
			return err
		}
		text, err := fs.ReadFile(data, name)
		if err == nil && !strings.Contains(string(text), "\n# rows: ") {
			t.Errorf("%s does not say how many rows it has", name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
