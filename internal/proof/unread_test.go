package proof_test

import (
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// openedFiles is a file system that keeps the names of what is opened.
type openedFiles struct {
	fs.FS
	names map[string]bool
}

func (o openedFiles) Open(name string) (fs.File, error) {
	o.names[name] = true
	return o.FS.Open(name)
}

// readByCode tells which tables the codes of both packages read, which are named by a
// table that is read, whose single figures are looked up, and which words stand in the
// packages as texts.
type readByCode struct {
	opened, named map[string]bool
	rules, drains map[string]bool // set/rules and set/supply-rules; those of drainage codes
	words         map[string]bool
	only          map[string]bool // words of one half alone: half and word, parted by a blank
}

func newReadByCode(t *testing.T) readByCode {
	t.Helper()
	r := readByCode{opened: map[string]bool{}, named: map[string]bool{},
		rules: map[string]bool{en12056.ID + "/rules": true}, drains: map[string]bool{}, words: map[string]bool{},
		only: map[string]bool{}}
	shelf := tables.Open(openedFiles{os.DirFS("../../tables/data"), r.opened})
	ids, err := shelf.IDs()
	if err != nil {
		t.Fatal(err)
	}
	clear(r.opened)
	for _, id := range ids {
		// What a set lacks is no fault here: its tables have been looked for.
		set := path.Dir(id)
		if _, err := dwv.LoadCode(shelf, set); err == nil {
			r.rules[set+"/rules"], r.drains[set+"/rules"] = true, true
		}
		if _, err := supply.LoadCode(shelf, set); err == nil {
			r.rules[set+"/supply-rules"] = true
		}
	}
	if _, err := en12056.LoadStandard(shelf); err != nil {
		t.Fatal(err)
	}
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		if name := path.Base(table.ID()); name == "supply-tables" || name == "families" ||
			name == "supply-pipe-design" {
			r.nameIn(table, ids)
		}
	}
	rulesOf := regexp.MustCompile(`\.Rules\("([a-z0-9-]+)"\)`)
	texts := regexp.MustCompile("\"([^\"\\n]*)\"|`([^`]*)`")
	declared := regexp.MustCompile(`(?s)\nvar rules = \[\]rule{.*?\n}\n`)
	for _, dir := range []string{"../../dwv", "../../supply", "../../examples", "../../tables",
		"../../internal/pipes"} {
		err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
			if d != nil && d.IsDir() && dir+"/"+name == "../../examples/shelf" {
				return fs.SkipDir // it prints every table
			}
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			source, err := os.ReadFile(dir + "/" + name)
			source = declared.ReplaceAll(source, nil) // it names what checks rest on, and reads none
			for _, m := range rulesOf.FindAllSubmatch(source, -1) {
				r.rules[string(m[1])+"/rules"] = true
			}
			for _, m := range texts.FindAllSubmatch(source, -1) {
				word := string(m[1]) + string(m[2])
				r.words[word] = true
				r.only[path.Base(dir)+" "+word] = true
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// nameIn notes the tables that a table names in its cells, in full or within a set of
// its subject.
func (r readByCode) nameIn(table *tables.Table, ids []string) {
	for row := range table.Len() {
		for column := range table.Columns() {
			for word := range strings.FieldsSeq(strings.ReplaceAll(table.Cell(row, column), ";", " ")) {
				for _, id := range []string{word, "pipes/" + word, "fittings/" + word} {
					if slices.Contains(ids, id) {
						r.named[id] = true
					}
				}
			}
		}
	}
}

// reads reports whether a table, or a rule of it, is read. A rule is read by its name
// where the rules of its set are looked up, or the set is named.
func (r readByCode) reads(id, rule string) bool {
	if rule == "" {
		return r.opened[id+".csv"] || r.named[id] || r.words[id]
	}
	if !r.rules[id] && !r.named[id] && !r.words[id] && !r.words[path.Dir(id)] {
		return false
	}
	other := "" // half, whose words do not read the rules of a code
	switch {
	case path.Base(id) == "supply-rules":
		other = "dwv "
	case r.drains[id]:
		other = "supply "
	}
	for _, half := range []string{"dwv ", "supply ", "examples ", "tables "} {
		if half != other && r.only[half+rule] {
			return true
		}
	}
	for i := range rule {
		if rule[i] == '-' && r.words[rule[:i+1]] {
			return true // a name that is put together
		}
	}
	return false
}

// unread lists what no answer reads, as set/table or set/table:rule.
func unread(t *testing.T) []string {
	t.Helper()
	r := newReadByCode(t)
	var list []string
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		if table.Set() == "comparison" {
			continue // about the shelf, for print
		}
		rule := table.Column("rule")
		if rule < 0 || len(table.Keys()) != 1 {
			if !r.reads(table.ID(), "") {
				list = append(list, table.ID())
			}
			continue
		}
		for row := range table.Len() {
			if id := table.Cell(row, rule); !r.reads(table.ID(), id) {
				list = append(list, table.ID()+":"+id)
			}
		}
	}
	return list
}

// Each row of the shelf is read by an answer or stands in comparison/not-judged, whose
// families say why; and nothing stands there that is read.
func TestUsedOrSaid(t *testing.T) {
	said, err := tables.Embedded().Table("comparison/not-judged")
	if err != nil {
		t.Fatal(err)
	}
	why, err := tables.Embedded().Table("comparison/not-judged-families")
	if err != nil {
		t.Fatal(err)
	}
	listed, families := map[string]bool{}, map[string]bool{}
	for row := range said.Len() {
		listed[said.Cell(row, said.Column("rows"))] = true
		families[said.Cell(row, said.Column("family"))] = true
	}
	for _, id := range unread(t) {
		if !listed[id] {
			t.Errorf("no answer reads %s: read it, or add it to tables/data/comparison/not-judged.csv", id)
		}
		delete(listed, id)
	}
	for _, id := range slices.Sorted(maps.Keys(listed)) {
		t.Errorf("%s is read, or not on the shelf: take it out of tables/data/comparison/not-judged.csv", id)
	}
	for row := range why.Len() {
		delete(families, why.Cell(row, 0))
	}
	if len(families) > 0 {
		t.Errorf("comparison/not-judged-families does not say why for %v", slices.Sorted(maps.Keys(families)))
	}
}
