package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// stackLengthRow is the greatest length of a vertical drain of one size.
type stackLengthRow struct {
	size units.Length
	most tables.Cell[units.Length]
	cite tables.Citation
}

type stackLengthRecord struct {
	Size units.Length              `table:"size"`
	Most tables.Cell[units.Length] `table:"max_length"`
}

func (c *Code) loadStackLengths(shelf *tables.Shelf) error {
	rows, err := table[stackLengthRecord](c, shelf, "stack-lengths", "size")
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		c.stacks = append(c.stacks, stackLengthRow{r.Size, r.Most, rows.Cite(i)})
	}
	return nil
}

// StackLength returns how long a vertical drain of a size may be: a value, unlimited
// where the code sets none, or not permitted. A code without such a table is
// [tables.ErrNotInCode], a size the table does not print [tables.ErrOutsideTable]: nothing is read
// between the rows. Horizontal drains have no greatest length in any code of the
// shelf; that of a vent is part of [Code.VentSize].
func (c *Code) StackLength(size units.Length) (tables.Cell[units.Length], tables.Citation, error) {
	c = c.there()
	var none tables.Cell[units.Length]
	if size <= 0 || size > maxPipeSize {
		return none, tables.Citation{}, c.fault("stack length", "size", tables.ErrQuery, "%s", FormatSize(size))
	}
	for i := range c.stacks {
		if r := &c.stacks[i]; r.size == size {
			return r.most, r.cite, nil
		}
	}
	if len(c.stacks) == 0 {
		return none, tables.Citation{}, c.fault("stack length", "", tables.ErrNotOnShelf, "no table stack-lengths")
	}
	sizes := make([]units.Length, len(c.stacks))
	for i, r := range c.stacks {
		sizes[i] = r.size
	}
	return none, tables.Citation{}, c.fault("stack length", "size", tables.ErrOutsideTable,
		"no row for %s; the table has %s",
		FormatSize(size), listSizes(sizes))
}
