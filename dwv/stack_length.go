package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type stackLengthRecord struct {
	Size units.Length              `table:"size"`
	Most tables.Cell[units.Length] `table:"max_length"`
}

// StackLength returns how long a vertical drain of a size may be: a value, unlimited
// where the code sets none, or not permitted. A code without such a table is
// [tables.ErrNotInCode], a size the table does not print [tables.ErrOutsideTable]: nothing is read
// between the rows. Horizontal drains have no greatest length in any code of the
// shelf; that of a vent is part of [Code.VentSize].
func (c *Code) StackLength(size units.Length) (tables.Cell[units.Length], tables.Citation, error) {
	c = c.there()
	if size <= 0 || size > maxPipeSize {
		return tables.Cell[units.Length]{}, tables.Citation{},
			c.fault("stack length", "size", tables.ErrQuery, "%s", FormatSize(size))
	}
	r, cite, err := c.stacks.find(c, "stack length", "stack-lengths", size)
	return r.Most, cite, err
}
