package tables

import (
	"slices"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

func amendmentFault(t *Table, why string) error {
	l := faultList{file: t.file}
	l.report(0, 0, "", ErrAmendment, "%s", why)
	return l.Err()
}

// amend lays an amendment over a table.
func amend(base, change *Table, batch *int) (*Table, error) {
	l := &faultList{file: change.file}
	t := &Table{
		id: base.id, file: base.file, header: base.header, columns: base.columns, keys: base.keys,
		op: -1, section: base.section, note: base.note, src: base.src, status: base.status,
		base: base, source: base.source, documents: change.documents,
		dropped: slices.Clone(base.dropped),
	}
	change.batch, change.base = batch, base
	t.excepts = append(slices.Clone(base.excepts), change.excepts...)
	if change.Len() == 0 {
		l.report(0, 0, "", ErrAmendment, "no rows: it changes nothing")
	}
	change.match(base, l)
	if err := l.Err(); err != nil {
		return nil, err
	}
	t.merge(base, change, batch, l)
	for _, d := range base.dropped {
		if d.table.batch != batch {
			continue
		}
		// The rows of an amendment ascend by their keys, as those of a table do.
		if j, ok := change.Find(d.table.keyCells(d.row)...); ok {
			l.reportCell(cellAt{change, j, change.keys[0]}, change.Cell(j, 0), ErrAmendment,
				"row %s is dropped by %s too",
				change.key(j), d.table.file)
		}
	}
	if l.Len() == 0 {
		checkMonotone(t, l)
	}
	return faults.Result(t, l.Err())
}

// merge takes the rows of both tables, which ascend by the same keys, in one pass.
func (t *Table) merge(base, change *Table, batch *int, l *faultList) {
	i, j := 0, 0
	for i < base.Len() || j < change.Len() {
		order := -1 // base first
		if i == base.Len() {
			order = 1
		} else if j < change.Len() {
			order = compareKeys(base.row(i), base.keys, change.row(j), change.keys)
		}
		if order < 0 {
			t.keep(base, i)
			i++
			continue
		}
		op := change.Cell(j, 0)
		switch {
		case order > 0 && op != "add":
			l.reportCell(cellAt{change, j, change.keys[0]}, op, ErrAmendment, "the table has no row %s", change.key(j))
		case order > 0:
			change.sane(j, base, -1, l)
			t.take(base, -1, change, j)
		case op == "add":
			l.reportCell(cellAt{change, j, change.keys[0]}, op, ErrAmendment, "the table has a row %s already: use set",
				change.key(j))
			i++
		default:
			if at := base.place(i).table; at.batch != nil && at.batch == batch {
				l.reportCell(cellAt{change, j, change.keys[0]}, op, ErrAmendment, "row %s is amended by %s too",
					change.key(j),
					at.file)
			}
			if op == "set" {
				change.sane(j, base, i, l)
				t.take(base, i, change, j)
			} else {
				t.dropped = append(t.dropped, place{change, j, base.Cite(i)})
			}
			i++
		}
		j++
	}
}

// match binds an amendment's columns to the table's and checks its order.
func (t *Table) match(base *Table, l *faultList) {
	for i, c := range t.columns {
		if i == t.op || i == t.status || i == t.src || i == t.note || i == t.section {
			continue
		}
		n := base.Column(c.Name)
		switch {
		case n < 0:
			l.report(0, 0, c.Name, ErrColumn, "the table has no such column")
		case base.columns[n].Unit != c.Unit:
			l.report(0, 0, c.Name, ErrUnit, "%q, the table has %q", c.Unit, base.columns[n].Unit)
		}
	}
	t.keyNames = base.keyNames
	for _, name := range base.keyNames {
		k := t.Column(name)
		if k < 0 {
			l.report(0, 0, name, ErrColumn, "the amendment lacks this key column")
			continue
		}
		t.keys = append(t.keys, k)
	}
	for _, e := range t.excepts {
		if base.Column(e.column) < 0 || len(e.key) != len(base.keys) {
			l.report(e.line, 0, "except", ErrHeader, "must name a column and one cell for each of %d keys",
				len(base.keys))
		}
	}
	if l.Len() > 0 {
		return
	}
	t.checkKeys(l)
}

// checkKeys checks that the rows ascend and are unique.
func (t *Table) checkKeys(l *faultList) {
	for i := 1; i < t.Len(); i++ {
		switch c := compareKeys(t.row(i-1), t.keys, t.row(i), t.keys); {
		case c > 0:
			l.reportCell(cellAt{t, i, t.keys[0]}, t.columns[t.keys[0]].Name, ErrOrder, "%s comes after %s", t.key(i),
				t.key(i-1))
		case c == 0:
			l.reportCell(cellAt{t, i, t.keys[0]}, t.columns[t.keys[0]].Name, ErrDuplicate, "%s", t.key(i))
		}
	}
}

// isLength reports whether the unit of a column is one of length.
func isLength(unit string) bool {
	size, rest := units.CutLengthUnit(unit)
	return size != 0 && rest == ""
}

// sane looks at row j of an amendment beside the row i of the base that it sets, none
// if that is negative. Figures that no reader expects would switch a check off in
// silence: a rule in another unit, a length that is negative where none was.
func (t *Table) sane(j int, base *Table, i int, l *faultList) {
	unit := base.Column("unit") // of a rule
	for n, c := range base.columns {
		from := t.Column(c.Name)
		if from < 0 {
			continue
		}
		cell, was := t.Cell(j, from), ""
		if i >= 0 {
			was = base.Cell(i, n)
		}
		if n == unit && i >= 0 && cell != was {
			l.reportCell(cellAt{t, j, from}, c.Name, ErrUnit, "%q, and %s is in %q", cell, t.key(j), was)
		}
		in := c.Unit
		if c.Name == "value" && unit >= 0 {
			in = t.unitOf(j, base, i)
		}
		if isLength(in) && negative(cell) && !negative(was) {
			l.reportCell(cellAt{t, j, from}, c.Name, ErrAmendment, "a length of %s %s is negative", cell, in)
		}
	}
}

// unitOf returns the unit of a rule that row j of an amendment sets or adds.
func (t *Table) unitOf(j int, base *Table, i int) string {
	if n := t.Column("unit"); n >= 0 {
		return t.Cell(j, n)
	}
	if i >= 0 {
		return base.Cell(i, base.Column("unit"))
	}
	return ""
}

// negative tells a number below zero from the dash that stands for none.
func negative(cell string) bool { return len(cell) > 1 && cell[0] == '-' }

// Change is what an amendment did to a row.
type Change struct {
	Op  string   `json:"op"`  // "set", "add" or "drop"
	Row Citation `json:"row"` // the row as it is now; of one that is gone the amendment's row
	Was Citation `json:"was"` // the row before, zero if there was none
}

// Changes returns what amendments did to the rows of the table that they left different:
// first those that are there, in the order of the table, then those that are gone.
func (t *Table) Changes() []Change {
	var list []Change
	for i := range t.places {
		switch c := t.Cite(i); {
		case !c.Amended():
		case c.Original().IsZero():
			list = append(list, Change{"add", c, Citation{}})
		default:
			list = append(list, Change{"set", c, c.Original()})
		}
	}
	for _, d := range t.dropped {
		if _, back := t.Find(d.table.keyCells(d.row)...); !back {
			list = append(list, Change{"drop", Citation{d.table, d.row}, d.replaced})
		}
	}
	return list
}

// Amended returns the ids of the tables that amendments changed or brought, sorted.
func (s *Shelf) Amended() ([]string, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	var ids []string
	for ; s.parent != nil; s = s.parent {
		own, err := s.ownIDs()
		if err != nil {
			return nil, err
		}
		ids = append(ids, own...)
	}
	slices.Sort(ids)
	return slices.Compact(ids), nil
}

// keep copies a row of the base.
func (t *Table) keep(base *Table, i int) {
	t.cells = append(t.cells, base.row(i)...)
	t.statuses = append(t.statuses, base.statuses[i])
	t.places = append(t.places, base.place(i))
}

// take writes row j of the amendment, over row i of the base if that is not
// negative. Cells that tell where a row comes from are never kept from the base.
func (t *Table) take(base *Table, i int, change *Table, j int) {
	for n, c := range t.columns {
		from := change.Column(c.Name)
		switch provenance := n == t.src || n == t.note || n == t.section; {
		case from >= 0:
			t.cells = append(t.cells, change.Cell(j, from))
		case i >= 0 && !provenance:
			t.cells = append(t.cells, base.Cell(i, n))
		default:
			t.cells = append(t.cells, "")
		}
	}
	t.statuses = append(t.statuses, change.statuses[j])
	t.places = append(t.places, place{change, j, base.Cite(i)})
}
