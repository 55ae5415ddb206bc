// Package edges serves the tests that judge every rule at its limit and one step past
// it: a shelf on which every row counts as seen in print, so that a verdict comes from
// the figure and not from its standing, and the record of what each rule rests on.
package edges

import (
	"encoding/csv"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
)

// Own are rules that a town sets, by table ("ipc-2021/rules") and rule id: value, unit
// and section.
type Own map[string]map[string][3]string

// FirmShelf returns the shelf with every row of the sets given restated by a town, as
// read, with some rules of its own.
func FirmShelf(t testing.TB, own Own, sets ...string) *tables.Shelf {
	t.Helper()
	return FirmShelfOn(t, tables.Embedded(), own, sets...)
}

// ShelfWith returns the shelf with whole tables replaced or added: by id, their text.
func ShelfWith(t testing.TB, text map[string]string) *tables.Shelf {
	t.Helper()
	files := fstest.MapFS{}
	for name, file := range dataFiles(t) {
		files[name] = &fstest.MapFile{Data: []byte(file)}
	}
	for id, table := range text {
		files[id+".csv"] = &fstest.MapFile{Data: []byte(table)}
	}
	return tables.Open(files)
}

// TableText returns the file of a table of the shelf as it would be in another set.
func TableText(t testing.TB, id, set string) string {
	t.Helper()
	text, ok := dataFiles(t)[id+".csv"]
	_, name, _ := strings.Cut(id, "/")
	if !ok {
		t.Fatalf("no table %s", id)
	}
	return strings.Replace(text, "# id: "+id, "# id: "+set+"/"+name, 1)
}

// dataFiles reads the shelf that the module is built with, by name.
func dataFiles(t testing.TB) map[string]string {
	t.Helper()
	root := "."
	for range 4 { // a test runs in the folder of its package
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		root = filepath.Join(root, "..")
	}
	files := map[string]string{}
	data := os.DirFS(filepath.Join(root, "tables", "data"))
	err := fs.WalkDir(data, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(data, name)
		files[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// FirmShelfOn is [FirmShelf] over another shelf.
func FirmShelfOn(t testing.TB, shelf *tables.Shelf, own Own, sets ...string) *tables.Shelf {
	t.Helper()
	town := fstest.MapFS{"sources.csv": {Data: []byte(
		"id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")}}
	for table, err := range shelf.All() {
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Contains(sets, table.Set()) {
			continue
		}
		names := slices.Clone(table.Keys())
		rules := own[table.ID()]
		if rules != nil { // whole rows, since the town's own rules come with them
			names = append(names, "value", "unit", "section")
		}
		heads := []string{"op"}
		for _, name := range names {
			heads = append(heads, table.Columns()[table.Column(name)].String())
		}
		lines := [][]string{append(heads, "src", "status")}
		for row := range table.Len() {
			line := []string{"set"}
			for _, name := range names {
				line = append(line, table.Cell(row, table.Column(name)))
			}
			if _, set := rules[line[1]]; set {
				continue
			}
			lines = append(lines, append(line, "town", "read"))
		}
		for rule, c := range rules {
			op := "add"
			if _, ok := table.Find(rule); ok {
				op = "set"
			}
			lines = append(lines, []string{op, rule, c[0], c[1], c[2], "town", "read"})
		}
		if rules != nil {
			slices.SortFunc(lines[1:], func(a, b []string) int { return strings.Compare(a[1], b[1]) })
		}
		var b strings.Builder
		b.WriteString("# id: " + table.ID() + "\n# source: town\n")
		if err := csv.NewWriter(&b).WriteAll(lines); err != nil {
			t.Fatal(err)
		}
		town[table.ID()+".csv"] = &fstest.MapFile{Data: []byte(b.String())}
	}
	firm, err := shelf.With(town)
	if err != nil {
		t.Fatal(err)
	}
	return firm
}

// A Rule says what a rule of a package rests on: tables by their name in a set
// ("trap-arm") or with the set's ("sleeves/rules", "pipes/*"), a colon and the rule id
// behind where it is a single figure; nothing for a rule of the module's own. Edge is
// the test, with its package, that judges it at its limit.
type Rule struct {
	Rests []string
	Edge  string
}

// A Record holds the rules of a package by id.
type Record map[string]Rule

// ReadRecord reads the record of a package from rules.csv of package proof.
func ReadRecord(t testing.TB, path, pack string) Record {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := Record{}
	for _, row := range all[1:] {
		if row[0] == pack {
			out[row[1]] = Rule{strings.Fields(row[2]), row[3]}
		}
	}
	return out
}

// Check fails the test for a rule that the record does not name, and for one whose edge
// is said to be of a test that has not tried it.
func (r Record) Check(t testing.TB, test string, rules []string, tried map[string]bool) {
	t.Helper()
	for _, id := range rules {
		switch rule, ok := r[id]; {
		case !ok:
			t.Errorf("internal/proof/rules.csv has no line for the rule %s: say there what it rests on and which "+
				"test judges "+
				"its edge", id)
		case rule.Edge == test && !tried[id]:
			t.Errorf("no edge of the rule %s: add a layout at its limit and one a step past it", id)
		}
	}
}

// Holds reports whether the record names the row that a finding of a rule cites.
func (r Record) Holds(rule string, c tables.Citation) bool {
	_, table, _ := strings.Cut(c.Table(), "/")
	for _, name := range r[rule].Rests {
		name, id, single := strings.Cut(name, ":")
		of := table
		if strings.Contains(name, "/") {
			of = c.Table()
		}
		if ok, _ := path.Match(name, of); ok && (!single || c.Row() == "rule "+id) {
			return true
		}
	}
	return false
}
