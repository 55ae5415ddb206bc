package tables

import (
	"slices"
	"sort"
	"strings"
)

// Table is one table of a shelf as read from its file, cell by cell in the printed
// text. A Table does not change and may be used by many at once.
type Table struct {
	id   string
	file string // as faults name it
	text string // of the file, for the place of a fault
	header
	columns []Column
	keys    []int // columns that name a row
	op      int   // column of an amendment's operation, or -1
	section int   // column of a row's own section, or -1
	note    int   // column of notes, or -1
	src     int
	status  int

	cells    []string // row by row
	statuses []Status
	starts   []int32 // offset of each row's line in text; nil for an amended table
	places   []place // where each row of an amended table was written; else nil
	dropped  []place // rows of amendments that dropped rows
	base     *Table  // what an amended table was made from
	batch    *int    // of an amendment: the call of With that laid it

	source    *Source
	documents map[string]*Source
	quoted    *citationRecord // of a table made for a citation that was read from JSON; else nil
}

// place is a row of a file, of the table's own or of an amendment's, and the row
// that an amendment replaced.
type place struct {
	table    *Table
	row      int
	replaced Citation
}

// Column is a column of a table.
type Column struct {
	Name  string `json:"name"`           // in snake_case
	Unit  string `json:"unit,omitzero"`  // as printed in brackets; "" for words
	About string `json:"about,omitzero"` // what it means, from the header
}

// String returns the head of the column: name[unit], or the name of words.
func (c Column) String() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + "[" + c.Unit + "]"
}

// ID returns the id, set/table.
func (t *Table) ID() string { return t.id }

// Set returns the part of the id before the slash.
func (t *Table) Set() string { set, _, _ := strings.Cut(t.id, "/"); return set }

// Title returns what the table is about.
func (t *Table) Title() string { return t.title }

// Section returns where in its source the table stands.
func (t *Table) Section() string { return t.header.section }

// Source returns the document the table comes from. Single rows may have others.
func (t *Table) Source() Source {
	if t.source == nil {
		return Source{}
	}
	return *t.source
}

// Boundary returns whether a value equal to a limit still fits.
func (t *Table) Boundary() Boundary { return t.boundary }

// Interpolation returns how values between rows are to be had.
func (t *Table) Interpolation() Interpolation { return t.interpolation }

// Verified returns how the figures were checked, a sentence an item.
func (t *Table) Verified() []string { return slices.Clone(t.verified) }

// Notes returns the notes of the header.
func (t *Table) Notes() []string { return slices.Clone(t.notes) }

// Columns returns the columns in order, src and status last.
func (t *Table) Columns() []Column { return slices.Clone(t.columns) }

// Keys returns the names of the columns that name a row.
func (t *Table) Keys() []string { return slices.Clone(t.keyNames) }

// Column returns the index of a column, or -1.
func (t *Table) Column(name string) int {
	return slices.IndexFunc(t.columns, func(c Column) bool { return c.Name == name })
}

// Len returns the number of rows.
func (t *Table) Len() int { return len(t.statuses) }

// Cell returns the printed text of a cell. It panics if there is no such row or
// column, as an index of a slice does.
func (t *Table) Cell(row, column int) string {
	return t.row(row)[column]
}

// row returns the cells of a row, not to be changed.
func (t *Table) row(i int) []string {
	n := len(t.columns)
	return t.cells[i*n : (i+1)*n : (i+1)*n]
}

// Cite returns the citation of a row.
func (t *Table) Cite(row int) Citation {
	if row < 0 || row >= t.Len() {
		return Citation{}
	}
	return Citation{t, row}
}

// Find returns the row whose key cells are these, compared as numbers where they
// are numbers: 1-1/4 finds 1.25.
func (t *Table) Find(key ...string) (row int, ok bool) {
	if len(key) != len(t.keys) {
		return 0, false
	}
	return sort.Find(t.Len(), func(i int) int {
		cells := t.row(i)
		for n, k := range t.keys {
			if c := compareCells(key[n], cells[k]); c != 0 {
				return c
			}
		}
		return 0
	})
}

// place returns where a row was written.
func (t *Table) place(row int) place {
	if t.places != nil {
		return t.places[row]
	}
	return place{t, row, Citation{}}
}

// Amended reports whether amendments set, added or dropped rows of the table.
func (t *Table) Amended() bool { return t.places != nil }

// Dropped returns what the dropping rows of amendments cite: their document, and
// the key that is gone.
func (t *Table) Dropped() []Citation {
	var list []Citation
	for _, p := range t.dropped {
		list = append(list, Citation{p.table, p.row})
	}
	return list
}

// where returns the file, line and column of a cell. A column of -1 is the row.
func (t *Table) where(row, column int) (file string, line, col int) {
	p := t.place(row)
	u := p.table
	start := int(u.starts[p.row])
	line, _ = position(u.text, start)
	if column >= 0 {
		name := t.columns[column].Name
		if n := u.Column(name); n >= 0 {
			end := strings.IndexByte(u.text[start:], '\n')
			if end < 0 {
				end = len(u.text) - start
			}
			col = cellColumn(u.text[start:start+end], n)
		}
	}
	return u.file, line, col
}

// keyCells returns the cells that name a row.
func (t *Table) keyCells(row int) []string {
	key := make([]string, len(t.keys))
	for n, k := range t.keys {
		key[n] = t.Cell(row, k)
	}
	return key
}

// key returns the key of a row as people read it: "size 3 in, grade 0.25 in/ft".
func (t *Table) key(row int) string {
	var b strings.Builder
	cells := t.row(row)
	for _, k := range t.keys {
		if cells[k] == "" {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(", ")
		}
		b.WriteString(strings.ReplaceAll(t.columns[k].Name, "_", " "))
		b.WriteByte(' ')
		b.WriteString(t.columns[k].quantity(cells[k]))
	}
	return b.String()
}

// quantity returns a cell with the column's unit, as parsers of quantities read it.
func (c Column) quantity(cell string) string {
	if c.Unit == "" || c.Unit == "1" {
		return cell
	}
	return string(c.appendQuantity(nil, cell))
}

func (c Column) appendQuantity(b []byte, cell string) []byte {
	switch {
	case c.Unit == "" || c.Unit == "1" || isValueWord(cell):
		return append(b, cell...)
	case c.Unit == oneInN:
		return append(append(b, "1:"...), cell...)
	}
	return append(append(append(b, cell...), ' '), c.Unit...)
}

// Words that stand for something other than a value.
const (
	notPermitted = "-"
	unlimited    = "unlimited"
	oneInN       = "1:n"
)

// MarshalText returns the id, so that what holds a table can be written as JSON.
func (t *Table) MarshalText() ([]byte, error) { return []byte(t.ID()), nil }
