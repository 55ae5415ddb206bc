package tables

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
)

// parseTable reads a table, or, if amendment, a file that amends one. Sources are
// looked up in documents.
func parseTable(id, name string, data []byte, documents map[string]*Source) (*Table, error) {
	f := newFile(name, data)
	if err := f.faults.Err(); err != nil {
		return nil, err
	}
	t := &Table{id: id, file: name, text: f.text, op: -1, documents: documents}
	line, _, ok := f.parseHeader(&t.header)
	if !ok {
		f.faults.report(f.line, 0, "", ErrHeader, "no line of column names")
		return nil, f.faults.Err()
	}
	headLine := f.line
	if !f.parseColumns(t, line) {
		return nil, f.faults.Err()
	}
	f.checkHeader(t, headLine)
	f.parseRows(t)
	if f.faults.Len() == 0 {
		checkMonotone(t, &f.faults)
	}
	return faults.Result(t, f.faults.Err())
}

func (f *file) parseColumns(t *Table, line string) bool {
	heads, ok := f.split(nil, line)
	if !ok {
		return false
	}
	if len(heads) > maxColumns {
		f.faults.report(f.line, 0, "", ErrTooLarge, "%d columns, the most is %d", len(heads), maxColumns)
		return false
	}
	t.columns = make([]Column, 0, len(heads))
	for i, head := range heads {
		c, ok := parseColumn(head)
		at := cellColumn(line, i)
		switch {
		case !ok:
			f.faults.report(f.line, at, head, ErrColumn, "not a name in snake_case with its unit in brackets")
		case t.Column(c.Name) >= 0:
			f.faults.report(f.line, at, c.Name, ErrColumn, "stands twice")
		case c.Unit != "" && (c.Name == "op" || c.Name == "note" || c.Name == "src" || c.Name == "status"):
			f.faults.report(f.line, at, c.Name, ErrUnit, "takes no unit")
		}
		t.columns = append(t.columns, c)
	}
	t.section, t.note, t.src, t.status = t.Column("section"), t.Column("note"), t.Column("src"), t.Column("status")
	n := len(heads)
	if t.columns[0].Name == "op" {
		t.op = 0
	} else if t.Column("op") > 0 {
		f.faults.report(f.line, cellColumn(line, t.Column("op")), "op", ErrColumn, "must be the first column")
	}
	switch {
	case t.status != n-1:
		f.faults.report(f.line, 0, "status", ErrColumn, "must be the last column")
	case t.src >= 0 && t.src != n-2, t.src < 0 && t.op < 0:
		f.faults.report(f.line, 0, "src", ErrColumn, "must be the column before status")
	case t.note >= 0 && t.note != n-2 && (t.src < 0 || t.note != n-3):
		f.faults.report(f.line, 0, "note", ErrColumn, "must stand just before src and status")
	}
	for _, d := range t.about {
		if i := t.Column(d.column); i < 0 {
			f.faults.report(d.line, 0, d.column, ErrHeader, "the table has no such column")
		} else {
			t.columns[i].About = d.about
		}
	}
	return f.faults.Len() == 0
}

// parseColumn reads name or name[unit].
func parseColumn(head string) (Column, bool) {
	name, unit, bracket := strings.Cut(head, "[")
	if bracket {
		var ok bool
		if unit, ok = strings.CutSuffix(unit, "]"); !ok || unit == "" || strings.ContainsAny(unit, "[]") ||
			unit != strings.TrimSpace(unit) {
			return Column{}, false
		}
	}
	if name == "" || len(name) > 64 {
		return Column{}, false
	}
	for i := 0; i < len(name); i++ {
		c := name[i]
		if !('a' <= c && c <= 'z' || i > 0 && (isDigit(c) || c == '_')) {
			return Column{}, false
		}
	}
	return Column{Name: name, Unit: unit}, true
}

// checkHeader checks what the header names against the columns and the sources.
func (f *file) checkHeader(t *Table, line int) {
	if t.header.id != t.id {
		f.faults.report(0, 0, "id", ErrHeader, "%q, the file's place makes it %q", t.header.id, t.id)
	}
	if t.source = t.documents[t.sourceID]; t.source == nil {
		f.faults.report(0, 0, "source", ErrSource, "%q is not in any %s", t.sourceID, sourcesFile)
	}
	if t.op >= 0 {
		// The table amended brings the rest.
		if len(t.keyNames) > 0 || len(t.monotone) > 0 {
			f.faults.report(0, 0, "key", ErrHeader, "an amendment keeps the key and the monotone rules of the table")
		}
		return
	}
	if t.title == "" {
		f.faults.report(0, 0, "title", ErrHeader, "is missing")
	}
	if len(t.keyNames) == 0 {
		f.faults.report(0, 0, "key", ErrHeader, "is missing")
	}
	for _, name := range t.keyNames {
		k := t.Column(name)
		if k < 0 || k == t.note || k == t.src || k == t.status || slices.Contains(t.keys, k) {
			f.faults.report(line, 0, name, ErrHeader, "cannot be a key column")
			continue
		}
		t.keys = append(t.keys, k)
	}
	for _, m := range t.monotone {
		if c := t.Column(m.column); c < 0 || t.columns[c].Unit == "" {
			f.faults.report(m.line, 0, m.column, ErrHeader, "the monotone rule needs a column with a unit")
		}
		if !slices.Contains(t.keyNames, m.key) {
			f.faults.report(m.line, 0, m.key, ErrHeader, "the monotone rule needs a key column")
		}
	}
	for _, e := range t.excepts {
		if t.Column(e.column) < 0 || len(e.key) != len(t.keys) {
			f.faults.report(e.line, 0, "except", ErrHeader, "must name a column and one cell for each of %d keys",
				len(t.keys))
		}
		if t.documents[e.source] == nil {
			f.faults.report(e.line, 0, "except", ErrSource, "%q is not in any %s", e.source, sourcesFile)
		}
	}
}

func (f *file) parseRows(t *Table) {
	width := len(t.columns)
	rows := strings.Count(strings.TrimSuffix(f.text[f.offset:], "\n"), "\n") + 1
	if rows > maxRows {
		f.faults.report(f.line, 0, "", ErrTooLarge, "more than %d rows", maxRows)
		return
	}
	t.cells = make([]string, 0, rows*width)
	t.statuses = make([]Status, 0, rows)
	t.starts = make([]int32, 0, rows)
	var goodSrc string
	for {
		line, start, ok := f.next()
		if !ok {
			break
		}
		if line[0] == '#' {
			f.faults.report(f.line, 1, "", ErrSyntax, "a header line among the rows")
			continue
		}
		before := len(t.cells)
		t.cells, ok = f.split(t.cells, line)
		if got := len(t.cells) - before; ok && got != width {
			f.faults.report(f.line, 0, "", ErrSyntax, "%d cells under %d columns", got, width)
			ok = false
		}
		if !ok {
			t.cells = t.cells[:before]
			continue
		}
		cells := t.cells[before:]
		drop := t.op == 0 && cells[0] == "drop"
		if t.op == 0 && !drop && cells[0] != "set" && cells[0] != "add" {
			f.faults.report(f.line, 1, "op", ErrAmendment, "%q is none of set, add, drop", cells[0])
		}
		for i, c := range t.columns {
			if c.Unit == "" || isValueWord(cells[i]) {
				continue
			}
			if _, ok := parseNumber(cells[i]); !ok {
				f.faults.report(f.line, cellColumn(line, i), c.Name, ErrCell,
					"%q is not a number, `-`, `unlimited` or blank", cells[i])
			}
		}
		if t.src >= 0 && cells[t.src] != goodSrc {
			if f.checkSrc(t, cells[t.src], cellColumn(line, t.src)) {
				goodSrc = cells[t.src]
			}
		}
		status, known := statuses.Find(cells[t.status])
		if !known && !(drop && cells[t.status] == "") {
			f.faults.report(f.line, cellColumn(line, t.status), "status", ErrStatus, "%q", cells[t.status])
		}
		t.statuses = append(t.statuses, status)
		t.starts = append(t.starts, int32(start))
		if len(t.keys) > 0 {
			f.checkKey(t, cells, line, before)
		}
	}
	// A file cut off at the end of a row reads well; only its count tells.
	if n := len(t.statuses); t.header.rows >= 0 && n != t.header.rows && f.faults.Len() == 0 {
		f.faults.report(t.rowsLine, 1, "rows", ErrHeader, "%d are said, %d are there: is the file cut short?",
			t.header.rows, n)
	}
}

func isValueWord(cell string) bool {
	return cell == "" || cell == notPermitted || cell == unlimited
}

func (f *file) checkSrc(t *Table, cell string, column int) bool {
	ok := true
	for id := range strings.SplitSeq(cell, ";") {
		if id = strings.TrimSpace(id); id != "" && t.documents[id] == nil {
			f.faults.report(f.line, column, "src", ErrSource, "%q is not in any %s", id, sourcesFile)
			ok = false
		}
	}
	return ok
}

// checkKey checks the key of the row just read, and that it follows the one before.
func (f *file) checkKey(t *Table, cells []string, line string, before int) {
	blank := true
	for _, k := range t.keys {
		blank = blank && cells[k] == ""
		if cells[k] == notPermitted || cells[k] == unlimited {
			f.faults.report(f.line, cellColumn(line, k), t.columns[k].Name, ErrCell, "a key cannot be %q", cells[k])
		}
	}
	if blank {
		f.faults.report(f.line, cellColumn(line, t.keys[0]), t.columns[t.keys[0]].Name, ErrCell, "the key is blank")
	}
	if before == 0 {
		return
	}
	last := t.cells[before-len(t.columns) : before]
	for _, k := range t.keys {
		switch compareCells(last[k], cells[k]) {
		case -1:
			return
		case 1:
			f.faults.report(f.line, cellColumn(line, k), t.columns[k].Name, ErrOrder, "%q comes after %q", cells[k],
				last[k])
			return
		}
	}
	f.faults.report(f.line, cellColumn(line, t.keys[0]), t.columns[t.keys[0]].Name, ErrDuplicate, "%s",
		t.key(len(t.statuses)-1))
}
