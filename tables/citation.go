package tables

import (
	"encoding/json"
	"slices"
	"strings"
)

// Citation names the row of a table that decided an answer. The zero Citation
// cites nothing. Citations compare with ==.
type Citation struct {
	table *Table
	row   int
}

// IsZero reports whether c cites nothing.
func (c Citation) IsZero() bool { return c.table == nil }

// nothing is what the zero Citation cites: a row that says nothing.
var nothing = Table{quoted: &citationRecord{}, source: &Source{}, statuses: []Status{0}, columns: []Column{{}},
	cells: []string{""}, op: -1, section: -1, src: -1, status: -1}

// of returns the table of the row.
func (c Citation) of() *Table {
	if c.table == nil {
		return &nothing
	}
	return c.table
}

// Status returns how far the row may be trusted, 0 for the zero Citation.
func (c Citation) Status() Status { return c.of().statuses[c.row] }

// Table returns the id of the table, set/table.
func (c Citation) Table() string { return c.of().id }

// Section returns where in its source the row stands, "" if the shelf does not say.
func (c Citation) Section() string {
	t := c.of()
	if n := t.section; n >= 0 {
		if s := t.Cell(c.row, n); s != "" {
			return s
		}
	}
	return t.place(c.row).table.header.section
}

// Row returns the key of the row, such as "size 3 in, grade 0.25 in/ft".
func (c Citation) Row() string {
	if q := c.of().quoted; q != nil {
		return q.Row
	}
	return c.table.key(c.row)
}

// Subject says in words what the row is about: of a single figure what it limits, such as
// "depth of seal, at least", of other rows the key.
func (c Citation) Subject() string {
	t := c.of()
	if t.quoted != nil && t.quoted.What != "" {
		return t.quoted.What
	}
	if what := t.Column("what"); what >= 0 && len(t.keys) == 1 && t.columns[t.keys[0]].Name == "rule" {
		if s := t.Cell(c.row, what); s != "" {
			return s
		}
	}
	return c.Row()
}

// Note returns the note of the row, "" if it has none.
func (c Citation) Note() string {
	if t := c.of(); t.note >= 0 {
		return t.Cell(c.row, t.note)
	}
	return ""
}

// Source returns the document the row was taken from, the first if there are
// several. For an amended row it is the amendment's.
func (c Citation) Source() Source {
	if s := c.Sources(); len(s) > 0 {
		return s[0]
	}
	return Source{}
}

// Sources returns every document that gives the row.
func (c Citation) Sources() []Source {
	if c.table == nil {
		return nil
	}
	var list []Source
	if n := c.table.src; n >= 0 {
		for id := range strings.SplitSeq(c.table.Cell(c.row, n), ";") {
			if d := c.table.documents[strings.TrimSpace(id)]; d != nil {
				list = append(list, *d)
			}
		}
	}
	if list == nil {
		list = append(list, *c.table.place(c.row).table.source)
	}
	return list
}

// Amended reports whether an amendment set or added the row; [Citation.Source] then
// names the amendment.
func (c Citation) Amended() bool { return c.of().place(c.row).table.op >= 0 }

// Original returns the row that an amendment replaced, the zero Citation if c is
// not amended or was added.
func (c Citation) Original() Citation { return c.of().place(c.row).replaced }

// File returns the file and line the row was read from.
func (c Citation) File() (name string, line int) {
	if c.of().quoted == nil {
		name, line, _ = c.table.where(c.row, -1)
	}
	return name, line
}

// String writes the citation as a report prints it, for example
//
//	International Plumbing Code 2021, Table 710.1(1): size 3 in, grade 0.25 in/ft
//
// followed by what a reader must know: that an amendment replaced the row, that nobody
// saw it in print or that sources disagree on it, with the note of such a row.
func (c Citation) String() string {
	if q := c.of().quoted; q != nil {
		return q.Text
	}
	var b strings.Builder
	b.WriteString(c.Source().String())
	if s := c.Section(); s != "" {
		b.WriteString(", ")
		b.WriteString(s)
	}
	if r := c.Subject(); r != "" {
		b.WriteString(": ")
		b.WriteString(r)
	}
	if c.Amended() {
		b.WriteString(" (amends ")
		b.WriteString(c.root().String())
		b.WriteByte(')')
	}
	doubt := ""
	switch c.Status() {
	case Memory:
		doubt = "recalled, not seen in print"
	case Practice:
		doubt = "common practice, no source"
	case Disputed:
		doubt = "sources disagree"
	}
	if doubt != "" {
		b.WriteString(" (" + doubt)
		if n := c.Note(); n != "" {
			b.WriteString("; " + n)
		}
		b.WriteByte(')')
	}
	return b.String()
}

// root returns the source of the table before any amendment.
func (c Citation) root() Source {
	t := c.of()
	for t.base != nil {
		t = t.base
	}
	return *t.source
}

// citationRecord is a citation as JSON has it.
type citationRecord struct {
	Text    string `json:"text"`
	Table   string `json:"table"`
	Row     string `json:"row,omitzero"`
	What    string `json:"what,omitzero"` // of a single figure: what it limits
	Section string `json:"section,omitzero"`
	Note    string `json:"note,omitzero"`
	Source  string `json:"source"`
	Status  Status `json:"status"`
	Amended bool   `json:"amended,omitzero"`
}

// MarshalJSON writes what String says, in parts.
func (c Citation) MarshalJSON() ([]byte, error) {
	if c.table == nil {
		return []byte("null"), nil
	}
	return json.Marshal(c.record())
}

func (c Citation) record() citationRecord {
	what := c.Subject()
	if what == c.Row() {
		what = ""
	}
	return citationRecord{c.String(), c.Table(), c.Row(), what, c.Section(), c.Note(), c.Source().ID, c.Status(),
		c.Amended()}
}

// UnmarshalJSON reads what MarshalJSON wrote. The citation says what the first one
// said, and has no cells, file or original: those are on the shelf it came from.
func (c *Citation) UnmarshalJSON(data []byte) error {
	var r *citationRecord
	if err := json.Unmarshal(data, &r); err != nil {
		return err
	}
	*c = Citation{}
	if r != nil {
		c.table = r.table()
	}
	return nil
}

// table is a table of the one row that the record speaks of.
func (r *citationRecord) table() *Table {
	t := &Table{id: r.Table, quoted: r, source: &Source{ID: r.Source}, statuses: []Status{r.Status},
		columns: []Column{{Name: "note"}}, cells: []string{r.Note}, op: -1, section: -1, src: -1, status: -1}
	t.header.section = r.Section
	if r.Amended {
		t.op = 0
	}
	return t
}

// CitedCell is a cell of a cited row with its column.
type CitedCell struct {
	Column Column `json:"column"`
	Text   string `json:"text,omitzero"`
}

// Keys returns the cells of the row that name it. It allocates.
func (c Citation) Keys() []CitedCell {
	t := c.of()
	var list []CitedCell
	for _, k := range t.keys {
		list = append(list, CitedCell{t.columns[k], t.Cell(c.row, k)})
	}
	return list
}

// Cells returns the cells of the row that hold its figures: neither the key, nor
// section, note, src and status. It allocates.
func (c Citation) Cells() []CitedCell {
	t := c.of()
	var list []CitedCell
	for i, column := range t.columns {
		if i == t.op || i == t.section || i == t.note || i == t.src || i == t.status || slices.Contains(t.keys, i) {
			continue
		}
		list = append(list, CitedCell{column, t.Cell(c.row, i)})
	}
	return list
}
