package main

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// readByText names the checks that rest on each table or single figure; a test of the
// module writes it.
//
//go:embed read-by.csv
var readByText string

// bookText is the page of a set, the page of documents and the index, as templates.
//
//go:embed book.html
var bookText string

var bookPages = template.Must(template.New("book").Parse(bookText))

// bookSet is the page of one set.
type bookSet struct {
	ID, Document string
	Tables       []bookTable
}

// bookTable is a table as the page prints it.
type bookTable struct {
	ID, Anchor, Title, Document, Section string
	Read                                 string // by how a value between rows is had
	Notes                                []string
	Heads                                []bookHead
	Rows                                 []bookRow
	Disagreements                        []string
	ReadBy                               []string
	Unread                               string // why nothing reads it
}

type bookHead struct{ Name, Unit, About string }

type bookRow struct {
	Cells    []string
	Standing string
	Note     string
	Sources  []string // ids
	Doubt    bool
	Unread   string
}

// bookEntry is a line of an index: what it speaks of, and the places.
type bookEntry struct {
	Word   string
	Places []bookPlace
}

type bookPlace struct{ Name, Link string }

// standings says of each status what it means, for the pages.
var standings = map[tables.Status]string{
	tables.Read2: "seen in two sources", tables.Read: "seen in one source", tables.Computed: "computed from other rows",
	tables.Disputed: "sources disagree, the safer is here", tables.Practice: "common practice, no source",
	tables.Memory: "recalled, not seen in print",
}

// bookOf gathers the pages of a shelf.
type book struct {
	shelf         *tables.Shelf
	unread        map[string]string // set/table or set/table:rule, to why
	readBy        map[string][]string
	disagreements map[string][]string
}

func newBook(shelf *tables.Shelf) (*book, error) {
	b := &book{shelf, map[string]string{}, map[string][]string{}, map[string][]string{}}
	why := map[string]string{}
	families, err := tables.Load[judgedFamily](shelf, "comparison/not-judged-families")
	if err != nil {
		return nil, err
	}
	for i := range families.Len() {
		why[families.At(i).Family] = families.At(i).Why
	}
	rows, err := tables.Load[notJudged](shelf, "comparison/not-judged")
	if err != nil {
		return nil, err
	}
	for i := range rows.Len() {
		b.unread[rows.At(i).Rows] = why[rows.At(i).Family]
	}
	records, err := csv.NewReader(strings.NewReader(readByText)).ReadAll()
	if err != nil {
		return nil, err
	}
	for _, r := range records[1:] {
		b.readBy[r[0]] = append(b.readBy[r[0]], r[1])
	}
	apart, err := tables.Load[disagreement](shelf, "comparison/disagreements")
	if err != nil {
		return nil, err
	}
	for i := range apart.Len() {
		d := apart.At(i)
		b.disagreements[d.Table] = append(b.disagreements[d.Table],
			fmt.Sprintf("%s, %s: here %s, %s in %v: %s", strings.ReplaceAll(d.Row, "|", ", "), d.Column, d.Here,
				d.There, apart.Cite(i).Source(), d.Reason))
	}
	return b, nil
}

// sets gathers the pages, by id.
func (b *book) sets() ([]bookSet, error) {
	var list []bookSet
	for table, err := range b.shelf.All() {
		if err != nil {
			return nil, err
		}
		if n := len(list); n == 0 || list[n-1].ID != table.Set() {
			list = append(list, bookSet{ID: table.Set(), Document: table.Source().String()})
		}
		s := &list[len(list)-1]
		s.Tables = append(s.Tables, b.table(table))
	}
	return list, nil
}

func (b *book) table(table *tables.Table) bookTable {
	out := bookTable{ID: table.ID(), Anchor: path.Base(table.ID()), Title: table.Title(),
		Document: table.Source().String(), Section: table.Section(),
		Read:  howToRead(table),
		Notes: table.Notes(), Disagreements: b.disagreements[table.ID()],
		ReadBy: b.readBy[table.ID()], Unread: b.unread[table.ID()]}
	note, rule := table.Column("note"), table.Column("rule")
	var shown []int
	for i, c := range table.Columns() {
		if c.Name != "src" && c.Name != "status" && c.Name != "note" {
			shown = append(shown, i)
			out.Heads = append(out.Heads, bookHead{c.Name, c.Unit, c.About})
		}
	}
	for i := range table.Len() {
		c := table.Cite(i)
		row := bookRow{Standing: standings[c.Status()], Doubt: !c.Status().Firm()}
		for _, k := range shown {
			row.Cells = append(row.Cells, table.Cell(i, k))
		}
		if note >= 0 {
			row.Note = table.Cell(i, note)
		}
		for _, s := range c.Sources() {
			row.Sources = append(row.Sources, s.ID)
		}
		if rule >= 0 {
			id := table.ID() + ":" + table.Cell(i, rule)
			row.Unread = b.unread[id]
			out.ReadBy = append(out.ReadBy, b.readBy[id]...)
		}
		out.Rows = append(out.Rows, row)
	}
	slices.Sort(out.ReadBy)
	out.ReadBy = slices.Compact(out.ReadBy)
	return out
}

// howToRead says whether a value equal to a limit fits, and what counts between rows.
func howToRead(table *tables.Table) string {
	limit := "a value equal to a limit fits"
	if table.Boundary() == tables.Below {
		limit = "a value equal to a limit no longer fits"
	}
	switch table.Interpolation() {
	case tables.Linear:
		return limit + ", between rows lie straight lines"
	case tables.NextSize:
		return limit + ", a value between two rows takes the greater"
	}
	return limit + ", only what is printed counts"
}

// bySubject is the index of the names of tables over the sets; bySection that of the
// sections of each document.
func bySubject(sets []bookSet) []bookEntry {
	places := map[string][]bookPlace{}
	for _, s := range sets {
		for _, t := range s.Tables {
			places[t.Anchor] = append(places[t.Anchor], bookPlace{s.ID, s.ID + ".html#" + t.Anchor})
		}
	}
	return entries(places)
}

func bySection(sets []bookSet) []bookEntry {
	places := map[string][]bookPlace{}
	for _, s := range sets {
		for _, t := range s.Tables {
			if t.Section != "" {
				places[t.Document] = append(places[t.Document],
					bookPlace{t.Section + ", " + t.Title, s.ID + ".html#" + t.Anchor})
			}
		}
	}
	for _, list := range places {
		slices.SortStableFunc(list, func(a, b bookPlace) int { return strings.Compare(a.Name, b.Name) })
	}
	return entries(places)
}

func entries(places map[string][]bookPlace) []bookEntry {
	var list []bookEntry
	for word, p := range places {
		list = append(list, bookEntry{word, p})
	}
	slices.SortFunc(list, func(a, b bookEntry) int { return strings.Compare(a.Word, b.Word) })
	return list
}

// writeBook writes the shelf as pages into a directory: one a set, one of the
// documents, and an index.
func writeBook(out io.Writer, shelf *tables.Shelf, dir string) error {
	b, err := newBook(shelf)
	if err != nil {
		return err
	}
	sets, err := b.sets()
	if err != nil {
		return err
	}
	documents, err := shelf.Sources()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for _, s := range sets {
		if err := writePage(dir, s.ID, "set", s); err != nil {
			return err
		}
	}
	if err := writePage(dir, "documents", "documents", documents); err != nil {
		return err
	}
	index := struct {
		Version             string
		Sets                []bookSet
		Subjects, Documents []bookEntry
	}{tables.DataVersion, sets, bySubject(sets), bySection(sets)}
	if err := writePage(dir, "index", "index", index); err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%d pages in %s; begin at index.html\n", len(sets)+2, dir)
	return err
}

func writePage(dir, name, page string, data any) error {
	f, err := os.Create(filepath.Join(dir, name+".html"))
	if err != nil {
		return err
	}
	if err := bookPages.ExecuteTemplate(f, page, data); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
