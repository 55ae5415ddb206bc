// Command edition copies a set of the shelf to a new edition of its document, with its lines in the
// lists about the shelf. Of the new edition nothing was seen yet: what was read of the old one is
// memory in the copy, and its sources are gone.
//
//	go run ./internal/edition ipc-2021 ipc-2024 2024
package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

func main() {
	if len(os.Args) != 4 {
		fmt.Fprintln(os.Stderr, "usage: go run ./internal/edition OLD-SET NEW-SET EDITION, such as ipc-2021 ipc-2024 2024")
		os.Exit(2)
	}
	c := edition{root: ".", old: os.Args[1], id: os.Args[2], year: os.Args[3]}
	if err := c.write(); err != nil {
		fmt.Fprintln(os.Stderr, "edition:", err)
		os.Exit(1)
	}
	fmt.Printf("Wrote tables/data/%s and its lines in the lists about the shelf. Change the figures that moved,\n"+
		"name the set in the two lists of codes of README.md, add a line to CHANGELOG.md, then\n"+
		"run bash .ci/update and the tests.\n", c.id)
}

// edition is a set to be copied.
type edition struct {
	root    string // of the module
	old, id string // sets
	year    string // of the new edition
}

// data is a file of the shelf.
func (c *edition) data(name ...string) string {
	return filepath.Join(append([]string{c.root, "tables", "data"}, name...)...)
}

func (c *edition) write() error {
	if !regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`).MatchString(c.id) {
		return fmt.Errorf("%q: the id of a set has small letters, digits and hyphens", c.id)
	}
	if _, err := os.Stat(c.data(c.id)); err == nil {
		return fmt.Errorf("the set %s is on the shelf", c.id)
	}
	document, err := c.document()
	if err != nil {
		return err
	}
	if err := os.CopyFS(c.data(c.id), os.DirFS(c.data(c.old))); err != nil {
		return err
	}
	tables, err := filepath.Glob(c.data(c.id, "*.csv"))
	if err != nil {
		return err
	}
	for _, name := range tables {
		err = errors.Join(err, c.rewrite(name, c.table))
	}
	return errors.Join(err,
		os.WriteFile(c.data(c.id, "sources.csv"), []byte(document), 0o666),
		c.rewrite(c.data("comparison", "not-judged.csv"), c.notJudged),
		c.rewrite(filepath.Join(c.root, "tables", "testdata", "no-second.csv"), c.noSecond),
		c.rewrite(filepath.Join(c.root, "internal", "proof", "documents.csv"), c.beside(0)),
		c.rewrite(filepath.Join(c.root, "internal", "proof", "rule_sources.csv"), c.beside(2)))
}

func (c *edition) rewrite(name string, change func([]string) ([]string, error)) error {
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	lines, err := change(strings.Split(strings.TrimSuffix(string(data), "\n"), "\n"))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return os.WriteFile(name, []byte(strings.Join(lines, "\n")+"\n"), 0o666)
}

// document is the list of documents of the new set: the row of the old document, in the new edition.
func (c *edition) document() (string, error) {
	for _, name := range []string{c.data(c.old, "sources.csv"), c.data("sources.csv")} {
		data, err := os.ReadFile(name)
		if errors.Is(err, os.ErrNotExist) {
			continue
		} else if err != nil {
			return "", err
		}
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		if err != nil {
			return "", fmt.Errorf("%s: %w", name, err)
		}
		for _, row := range rows[1:] {
			if row[0] == c.old { // id, title, publisher, edition, year, url, note
				row = []string{c.id, row[1], row[2], c.year, c.year, "", "not seen; figures of the edition before stand in"}
				return line(rows[0]) + "\n" + line(row) + "\n", nil
			}
		}
	}
	return "", fmt.Errorf("no sources.csv has the document %s, after which its set is called", c.old)
}

// line is a row of a CSV file.
func line(cells []string) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write(cells) // a builder takes everything
	w.Flush()
	return strings.TrimSuffix(b.String(), "\n")
}

// seen are the ends of rows that rest on a source somebody read, or recalled with one beside.
var seen = regexp.MustCompile(`,([^,"]*,(read2|read|disputed|memory)|[^,"]+,computed)$`)

// table makes a table of the copy one of the new set.
func (c *edition) table(lines []string) ([]string, error) {
	for i, text := range lines {
		switch {
		case strings.HasPrefix(text, "# id: "):
			lines[i] = strings.Replace(text, c.old+"/", c.id+"/", 1)
		case text == "# source: "+c.old:
			lines[i] = "# source: " + c.id
		case strings.HasPrefix(text, "# verified: "):
			lines[i] = "# verified: copied from " + c.old + "; nothing of this edition was seen"
		case !strings.HasPrefix(text, "#"):
			lines[i] = seen.ReplaceAllString(strings.ReplaceAll(text, ","+c.old+"/", ","+c.id+"/"), ",,memory")
		}
	}
	return lines, nil
}

// notJudged adds what nothing reads of the new set: what nothing reads of the old.
func (c *edition) notJudged(lines []string) ([]string, error) {
	var added []string
	for _, text := range lines {
		if after, ok := strings.CutPrefix(text, c.old+"/"); ok {
			added = append(added, c.id+"/"+after)
		}
	}
	for i, text := range lines {
		if after, ok := strings.CutPrefix(text, "# rows: "); ok {
			n, err := strconv.Atoi(after)
			if err != nil {
				return nil, err
			}
			lines[i] = fmt.Sprintf("# rows: %d", n+len(added))
		}
	}
	return inOrder(lines, added), nil
}

// noSecond says of the deciding tables of the new set that no second copy was typed.
func (c *edition) noSecond(lines []string) ([]string, error) {
	names := map[string]bool{}
	for _, text := range lines {
		if after, ok := strings.CutPrefix(text, c.old+"/"); ok {
			names[strings.Split(after, ",")[0]] = true
		}
	}
	second, err := filepath.Glob(filepath.Join(c.root, "tables", "testdata", "second", c.old+"--*.csv"))
	if err != nil {
		return nil, err
	}
	for _, name := range second {
		name = strings.TrimSuffix(strings.TrimPrefix(filepath.Base(name), c.old+"--"), ".csv")
		if strings.Contains(strings.Join(lines, "\n"), "/"+name+",") { // it decides sizes
			names[name] = true
		}
	}
	var added []string
	for name := range names {
		added = append(added, c.id+"/"+name+",copied from "+c.old+"; no copy of this edition was seen")
	}
	return inOrder(lines, added), nil
}

// inOrder puts lines where they belong among those below the header, which ascend.
func inOrder(lines, added []string) []string {
	slices.Sort(added)
	head := slices.IndexFunc(lines, func(text string) bool { return !strings.HasPrefix(text, "#") }) + 1
	for _, text := range added {
		at := slices.IndexFunc(lines[head:], func(there string) bool { return there > text })
		if at < 0 {
			at = len(lines) - head
		}
		lines = slices.Insert(lines, head+at, text)
	}
	return lines
}

// beside returns a change that adds, after each line whose cell at names the old document, one of
// the new, with nothing read in it.
func (c *edition) beside(at int) func([]string) ([]string, error) {
	return func(lines []string) (out []string, err error) {
		for _, text := range lines {
			out = append(out, text)
			if !strings.Contains(text, c.old) {
				continue
			}
			cells, err := csv.NewReader(strings.NewReader(text)).Read()
			if err != nil {
				return nil, err
			}
			if cells[at] != c.old {
				continue
			}
			cells[at] = c.id
			if at == 2 { // package, rule, document, section, standing, shelf, seen_in, weak, note
				if cells[4] == "read" {
					cells[4] = "memory"
				}
				cells[5] = strings.ReplaceAll(cells[5], c.old+"/", c.id+"/")
				cells[6], cells[7] = "", ""
			}
			out = append(out, line(cells))
		}
		return out, nil
	}
}
