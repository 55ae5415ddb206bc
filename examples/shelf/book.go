package shelf

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"html/template"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
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
	ID, Document string // the document is "" where a set is a subject, such as pipes
	Tables       []bookTable
}

// Name returns what the set is called.
func (s bookSet) Name() string {
	if s.Document == "" {
		return strings.ToUpper(s.ID[:1]) + strings.ReplaceAll(s.ID[1:], "-", " ")
	}
	return s.Document
}

// bookTable is a table as the page prints it.
type bookTable struct {
	ID, Anchor, Title, Document, Section string
	Read                                 string // by how a value between rows is had
	Notes                                []string
	Heads                                []bookHead
	HasNotes                             bool // of rows
	Rows                                 []bookRow
	Disagreements                        []string
	ReadBy                               []string
	Decides                              []string // where rows of it decide answers
	Unread                               string   // why nothing reads it
}

type bookHead struct{ Name, Unit, About string }

type bookRow struct {
	ID       string // of a single figure: its place on the page
	Rule     string // of a single figure, in words
	Section  string // of a single figure
	What     string // of a single figure
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

// standings are the words of the pages for each status; the head of a page explains them.
var standings = map[tables.Status]string{
	tables.Read2: "seen twice", tables.Read: "seen once", tables.Computed: "computed",
	tables.Disputed: "disputed", tables.Practice: "practice", tables.Memory: "recalled",
}

// bookOf gathers the pages of a shelf.
type book struct {
	shelf         *tables.Shelf
	unread        map[string]string // set/table or set/table:rule, to why
	readBy        map[string][]string
	decides       map[string][]string
	disagreements map[string][]string
}

func newBook(shelf *tables.Shelf) (*book, error) {
	b := &book{shelf, map[string]string{}, map[string][]string{}, map[string][]string{}, map[string][]string{}}
	why := map[string]string{}
	families, err := tables.Load[judgedFamily](shelf, "comparison/not-judged-families")
	if err != nil {
		return nil, err
	}
	for _, f := range families.All() {
		why[f.Family] = f.Why
	}
	rows, err := tables.Load[notJudged](shelf, "comparison/not-judged")
	if err != nil {
		return nil, err
	}
	for _, r := range rows.All() {
		b.unread[r.Rows] = why[r.Family]
	}
	records, err := csv.NewReader(strings.NewReader(readByText)).ReadAll()
	if err != nil {
		return nil, err
	}
	for _, r := range records[1:] {
		b.readBy[r[0]] = append(b.readBy[r[0]], r[1])
	}
	deciding, err := decidingRows(shelf)
	if err != nil {
		return nil, err
	}
	for _, w := range decidingPlaces {
		for _, d := range deciding {
			if id := d.cite.Table(); d.where == w.where && !slices.Contains(b.decides[id], w.name) {
				b.decides[id] = append(b.decides[id], w.name)
			}
		}
	}
	apart, err := tables.Load[disagreement](shelf, "comparison/disagreements")
	if err != nil {
		return nil, err
	}
	for i, d := range apart.All() {
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
			list = append(list, bookSet{ID: table.Set()})
		}
		s := &list[len(list)-1]
		if table.Source().ID == s.ID {
			s.Document = table.Source().String()
		}
		s.Tables = append(s.Tables, b.table(table))
	}
	return list, nil
}

func (b *book) table(table *tables.Table) bookTable {
	out := bookTable{ID: table.ID(), Anchor: path.Base(table.ID()), Title: table.Title(),
		Document: table.Source().String(), Section: table.Section(),
		Read:  howToRead(table),
		Notes: table.Notes(), Disagreements: b.disagreements[table.ID()],
		ReadBy: b.readBy[table.ID()], Decides: b.decides[table.ID()], Unread: b.unread[table.ID()]}
	note, rule := table.Column("note"), table.Column("rule")
	section, what := table.Column("section"), table.Column("what")
	var shown []int
	for i, c := range table.Columns() {
		if c.Name != "src" && c.Name != "status" && c.Name != "note" {
			shown = append(shown, i)
			out.Heads = append(out.Heads, bookHead{strings.ReplaceAll(c.Name, "_", " "), strings.TrimPrefix(c.Unit, "1"),
				c.About})
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
			name := table.Cell(i, rule)
			id := table.ID() + ":" + name
			row.Unread = b.unread[id]
			if row.Unread == "" {
				out.ReadBy = append(out.ReadBy, b.readBy[id]...)
			}
			if section >= 0 && what >= 0 {
				row.ID, row.Rule = out.Anchor+"."+name, strings.ReplaceAll(name, "-", " ")
				row.Section, row.What = table.Cell(i, section), table.Cell(i, what)
			}
		}
		out.HasNotes = out.HasNotes || row.Note != "" || row.Unread != ""
		out.Rows = append(out.Rows, row)
	}
	if out.Unread != "" {
		out.ReadBy = nil // of other sets alone
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

// places gathers where words stand: what each table and each single figure in it is indexed under.
func places(sets []bookSet, of func(s *bookSet, t *bookTable, r *bookRow) (word, name string)) map[string][]bookPlace {
	out := map[string][]bookPlace{}
	for _, s := range sets {
		for _, t := range s.Tables {
			whole := bookRow{ID: t.Anchor, Rule: strings.ReplaceAll(t.Anchor, "-", " "), Section: t.Section, What: t.Title}
			for _, r := range slices.Insert(slices.Clone(t.Rows), 0, whole) {
				if word, name := of(&s, &t, &r); r.ID != "" && name != "" {
					out[word] = append(out[word], bookPlace{name, s.ID + ".html#" + r.ID})
				}
			}
		}
	}
	return out
}

// bySubject is the index of the names of tables and of single figures over the sets;
// bySection that of the sections of each document.
func bySubject(sets []bookSet) []bookEntry {
	return entries(places(sets, func(s *bookSet, _ *bookTable, r *bookRow) (word, name string) { return r.Rule, s.ID }))
}

func bySection(sets []bookSet) []bookEntry {
	list := places(sets, func(_ *bookSet, t *bookTable, r *bookRow) (word, name string) {
		if r.Section == "" {
			return "", ""
		}
		return t.Document, r.Section + ", " + r.What
	})
	for _, of := range list {
		slices.SortStableFunc(of, func(a, b bookPlace) int { return compareSections(a.Name, b.Name) })
	}
	return entries(list)
}

// compareSections orders sections as a book does: numbers by size, a table with the
// section that it stands in.
func compareSections(a, b string) int {
	return visible.CountedAlike(strings.TrimPrefix(a, "Table "), strings.TrimPrefix(b, "Table "))
}

func entries(places map[string][]bookPlace) []bookEntry {
	var list []bookEntry
	for _, word := range slices.Sorted(maps.Keys(places)) {
		list = append(list, bookEntry{word, places[word]})
	}
	return list
}

// Book writes the shelf as pages into a directory: one a set, one of the documents, and
// an index, where to begin. It returns how many.
func Book(dir string, shelf *tables.Shelf) (pages int, err error) {
	b, err := newBook(shelf)
	if err != nil {
		return 0, err
	}
	sets, err := b.sets()
	if err != nil {
		return 0, err
	}
	documents, err := shelf.Sources()
	if err != nil {
		return 0, err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return 0, err
	}
	for _, s := range sets {
		if err := writePage(dir, s.ID, "set", s); err != nil {
			return 0, err
		}
	}
	if err := writePage(dir, "documents", "documents", documents); err != nil {
		return 0, err
	}
	index := struct {
		Version             string
		Sets                []bookSet
		Subjects, Documents []bookEntry
	}{tables.DataVersion, sets, bySubject(sets), bySection(sets)}
	return len(sets) + 2, writePage(dir, "index", "index", index)
}

func writePage(dir, name, page string, data any) error {
	var text bytes.Buffer
	if err := bookPages.ExecuteTemplate(&text, page, data); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, name+".html"), text.Bytes(), 0o666)
}
