package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// cleanoutRow is the least cleanout of a pipe.
type cleanoutRow struct {
	size, cleanout units.Length
	larger         bool
	cite           tables.Citation
}

type cleanoutRecord struct {
	Size     units.Length `table:"size"`
	Cleanout units.Length `table:"cleanout"`
	Larger   string       `table:"larger,optional"`
}

func (c *Code) loadCleanouts(shelf *tables.Shelf) error {
	rows, err := table[cleanoutRecord](c, shelf, "cleanout-size", "size")
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		c.cleanout = append(c.cleanout, cleanoutRow{r.Size, r.Cleanout, r.Larger == "yes", rows.Cite(i)})
	}
	return nil
}

// CleanoutSize returns the least cleanout of a pipe of a size. Where they stand is
// in the rules whose ids begin with cleanout-.
func (c *Code) CleanoutSize(pipe units.Length) (units.Length, tables.Citation, error) {
	var sizes []units.Length
	for i := range c.cleanout {
		r := &c.cleanout[i]
		if r.size == pipe || r.larger && pipe > r.size {
			return r.cleanout, r.cite, nil
		}
	}
	for _, r := range c.cleanout {
		sizes = append(sizes, r.size)
	}
	if len(sizes) == 0 {
		return 0, tables.Citation{}, c.fault("cleanout", "", ErrNotInCode, "no table cleanout-size")
	}
	return 0, tables.Citation{}, c.fault("cleanout", "size", ErrOutsideTable, "no row for %s; the table has %s", FormatSize(pipe), listSizes(sizes))
}

// CleanoutClearance returns the clear space in front of a cleanout of a pipe of a
// size.
func (c *Code) CleanoutClearance(pipe units.Length) (units.Length, tables.Citation, error) {
	id := "cleanout-clearance-small"
	if from, _, err := c.RuleLength("cleanout-clearance-large-from"); err == nil && from.Kind == tables.Value && pipe >= from.Value {
		id = "cleanout-clearance-large"
	}
	cell, cite, err := c.RuleLength(id)
	if err == nil && cell.Kind != tables.Value {
		err = c.fault("cleanout", "", ErrNotInCode, "rule %q is %v", id, cell.Kind)
	}
	return cell.Value, cite, err
}
