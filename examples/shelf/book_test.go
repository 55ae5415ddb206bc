package shelf

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"html"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/tables"
)

// pageRefs reads a page strictly and returns its ids and links; it fails the test where
// the page holds a script or fetches something.
func pageRefs(t *testing.T, name string) (ids map[string]bool, links []string) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	ids = map[string]bool{}
	d := xml.NewDecoder(bytes.NewReader(data))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return ids, links
		}
		if err != nil {
			t.Fatalf("%s is not well formed: %v", name, err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if strings.Contains(" script link iframe object embed img base ", " "+e.Name.Local+" ") {
			t.Errorf("%s has <%s>", name, e.Name.Local)
		}
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "id":
				if ids[a.Value] {
					t.Errorf("%s: two elements have the id %q", name, a.Value)
				}
				ids[a.Value] = true
			case "href":
				links = append(links, a.Value)
			}
		}
	}
}

// The book holds every row of every table, each page is whole by itself, and each link
// leads to a place in the book.
func TestBook(t *testing.T) {
	dir := t.TempDir()
	n, err := Book(dir, tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "*.html"))
	if err != nil || len(pages) != n {
		t.Fatalf("%d pages of %d, %v", len(pages), n, err)
	}
	ids, links := map[string]map[string]bool{}, map[string][]string{}
	for _, p := range pages {
		ids[filepath.Base(p)], links[filepath.Base(p)] = pageRefs(t, p)
	}
	for page, list := range links {
		for _, l := range list {
			to, anchor, _ := strings.Cut(l, "#")
			if to == "" {
				to = page
			}
			if ids[to] == nil || anchor != "" && !ids[to][anchor] {
				t.Errorf("%s: a link leads nowhere: %q", page, l)
			}
		}
	}
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(filepath.Join(dir, table.Set()+".html"))
		if err != nil {
			t.Fatal(err)
		}
		_, name, _ := strings.Cut(table.ID(), "/")
		_, part, _ := strings.Cut(string(data), `<h2 id="`+name+`">`)
		part, _, _ = strings.Cut(part, "<h2 ")
		if got := strings.Count(part, "<tr"); got != table.Len()+1 {
			t.Errorf("%s: %d rows on the page, of %d and the head", table.ID(), got, table.Len())
		}
		for row := range min(table.Len(), 3) {
			for column := range table.Columns() {
				if cell := table.Cell(row, column); !strings.Contains(html.UnescapeString(part),
					standingOr(table, row, column, cell)) {
					t.Errorf("%s: row %d lacks %q", table.ID(), row, cell)
				}
			}
		}
	}
	if data, err := os.ReadFile(filepath.Join(dir, "kentucky-815kar20.html")); err != nil ||
		strings.Contains(string(data), "Checks that rest on it") {
		t.Errorf("checks are said to rest on rows that no answer reads, or %v", err)
	}
	for page, wants := range map[string][]string{
		"upc-2021.html": {"<td>disputed</td>", "stack, 3, max_closets: here 4, 5 in",
			"Checks that rest on it: drain-closets", "Rows of it decide in the demonstration, the job files"},
		"ipc-2021.html": {"No answer reads it: an interceptor is drawn with its capacity",
			"no answer reads it: the layout does not state it"},
		"index.html": {"Table 909.1, Trap to vent", `<a href="ipc-2021.html#rules.wall-sleeve-oversize">305.3, sleeve through`,
			`<dt>trap seal min</dt>`, `<a href="pipes.html">pipes</a>, 30 tables`, `<a href="upc-2021.html#trap-arm">upc-2021</a>`},
	} {
		data, err := os.ReadFile(filepath.Join(dir, page))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range wants {
			if !strings.Contains(string(data), want) {
				t.Errorf("%s lacks %q", page, want)
			}
		}
	}
}

// standingOr returns what the page has for a cell: of the status its meaning, of the
// sources the first.
func standingOr(table *tables.Table, row, column int, cell string) string {
	switch table.Columns()[column].Name {
	case "status":
		return standings[table.Cite(row).Status()]
	case "src":
		return table.Cite(row).Source().ID
	}
	return cell
}

// A reader confirms one row, corrects another, skips a third and stops: what was read is
// an amendment that the shelf takes, with the name, the book and the date.
func TestVerify(t *testing.T) {
	list, _, err := doubtfulRows(tables.Embedded(), "upc-2021")
	if err != nil || len(list) < 3 {
		t.Fatalf("%d rows in doubt, %v", len(list), err)
	}
	for i := range list[1:] {
		if list[i].times < list[i+1].times {
			t.Error("the rows that decide most do not come first")
		}
	}
	asked := func(c tables.Citation) (n int) {
		for _, cell := range c.Cells() {
			if !strings.Contains(" unit what product title ports ", " "+cell.Column.Name+" ") {
				n++
			}
		}
		return n
	}
	// Another figure: one less, where it is a count.
	other := "no"
	if cells := list[1].cite.Cells(); len(cells) > 0 {
		if n, err := strconv.Atoi(cells[0].Text); err == nil {
			other = strconv.Itoa(n - 1)
		}
	}
	answers := "A. Reader\nUPC 2021, second printing\nyesterday\n2026-03-04\n" +
		strings.Repeat("\n", asked(list[0].cite)) + other + "\n" + strings.Repeat("\n",
		asked(list[1].cite)-1) + "s\nq\n"
	dir := filepath.Join(t.TempDir(), "reading")
	read := func(answers, set, dir string) (string, error) {
		var out strings.Builder
		err := Verify(strings.NewReader(answers), &out, tables.Embedded(), Reading{set, dir, 10})
		return out.String(), err
	}
	out, err := read(answers, "upc-2021", dir)
	if err != nil || !strings.Contains(out, "2 rows read, 1 of them with another figure") {
		t.Error(out, err)
	}
	shelf, err := tables.Embedded().With(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		table, err := shelf.Table(list[i].cite.Table())
		if err != nil {
			t.Fatal(err)
		}
		var key []string
		for _, k := range list[i].cite.Keys() {
			key = append(key, k.Text)
		}
		row, ok := table.Find(key...)
		if c := table.Cite(row); !ok || c.Status() != tables.Read || !c.Amended() ||
			c.Source().Note != "read by A. Reader, 2026-03-04" {
			t.Errorf("%v: %v, %v, %q", key, c, c.Status(), c.Source().Note)
		}
	}
	// A job that names the reading is judged by it.
	start, err := os.ReadFile("../job/start.json")
	if err != nil {
		t.Fatal(err)
	}
	named := strings.Replace(string(start), `"code": "ipc-2021"`, `"code": "upc-2021", "amendments": ["reading"]`, 1)
	if err := os.WriteFile(filepath.Join(filepath.Dir(dir), "job.json"), []byte(named), 0o666); err != nil {
		t.Fatal(err)
	}
	j, err := job.Read(os.DirFS(filepath.Dir(dir)), "job.json", "")
	if err != nil {
		t.Fatal(err)
	}
	table, err := j.Shelf().Table(list[0].cite.Table())
	if err != nil || !table.Amended() {
		t.Errorf("the job is not judged by the reading: %v", err)
	}
	// A reading is not written over.
	if _, err := read(answers, "upc-2021", dir); err == nil || !strings.Contains(err.Error(), "name another directory") {
		t.Error(err)
	}
	// Without a name nothing is written, nor where the answers end before a row does.
	for _, answers := range []string{"", "\n\n\n", "A. Reader\nUPC\n"} {
		if _, err := read(answers, "upc-2021", dir+"2"); err == nil || !strings.Contains(err.Error(), "are needed") {
			t.Errorf("%q: %v", answers, err)
		}
	}
	if out, err := read("A. Reader\nUPC\n2026-03-04\n", "upc-2021", dir+"2"); err != nil ||
		!strings.Contains(out, "nothing is written") {
		t.Error(out, err)
	}
	if _, err := os.Stat(dir + "2"); err == nil {
		t.Error("a reading without a row is written")
	}
	if _, err := read("", "no-such", dir+"2"); err == nil || !strings.Contains(err.Error(), "choose bs6700, ") {
		t.Error(err)
	}
}

// A figure that the shelf would not take is asked again: one that is no number, and one
// that breaks the order of its table.
func TestVerifyAsksAgain(t *testing.T) {
	r := &reader{in: bufio.NewScanner(strings.NewReader("three\n0.5\n6\n")), out: io.Discard, shelf: tables.Embedded(),
		files: reading{set: "irc-2021", name: "A. Reader", book: "IRC 2021", date: "2026-03-04"}}
	table, err := tables.Embedded().Table("irc-2021/branches-and-stacks")
	if err != nil {
		t.Fatal(err)
	}
	row, ok := table.Find("branch", "0", "2")
	if !ok {
		t.Fatal("no branch of 2 in")
	}
	r.row(1, 1, decidingRow{times: 1, cite: table.Cite(row)})
	if r.done || len(r.files.rows) != 1 || r.files.rows[0].changed || r.in.Scan() {
		t.Errorf("%+v, %t", r.files.rows, r.done)
	}
}

// What the table takes as a number and the code wants as a count is asked again.
func TestVerifyAsksForCounts(t *testing.T) {
	table, err := tables.Embedded().Table("upc-2021/water-closets")
	if err != nil {
		t.Fatal(err)
	}
	row, ok := table.Find("drain", "3")
	if !ok {
		t.Fatal("no drain of 3 in")
	}
	r := &reader{in: bufio.NewScanner(strings.NewReader("2.5\n2\n")), out: io.Discard, shelf: tables.Embedded(),
		files: reading{set: "upc-2021", name: "A. Reader", book: "UPC 2021", date: "2026-03-04"}}
	r.row(1, 1, decidingRow{times: 1, cite: table.Cite(row)})
	if r.done || len(r.files.rows) != 1 || r.files.rows[0].figures[0] != "2" {
		t.Errorf("%+v, %t", r.files.rows, r.done)
	}
}
