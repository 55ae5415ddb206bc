package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type cleanoutRecord struct {
	Size     units.Length `table:"size"`
	Cleanout units.Length `table:"cleanout"`
	Larger   string       `table:"larger,optional"`
}

func (c *Code) loadCleanouts(shelf *tables.Shelf) (err error) {
	c.cleanout, err = loadBySize(c, shelf, "cleanout-size",
		func(r *cleanoutRecord) (units.Length, bool) { return r.Size, r.Larger == "yes" })
	return err
}

// CleanoutSize returns the least cleanout of a pipe of a size. Where they stand is
// in the rules whose ids begin with cleanout-.
func (c *Code) CleanoutSize(pipe units.Length) (units.Length, tables.Citation, error) {
	c = c.there()
	r, cite, err := c.cleanout.find(c, "cleanout", "cleanout-size", pipe)
	if err != nil {
		return 0, cite, err
	}
	return r.Cleanout, cite, nil
}

type spacingRecord struct {
	From    units.Length `table:"size_from"`
	Spacing units.Length `table:"spacing"`
}

func (c *Code) loadSpacing(shelf *tables.Shelf) (err error) {
	c.spacing, err = table[spacingRecord](c, shelf, "cleanout-spacing", "size_from")
	return err
}

// CleanoutSpacing returns how far cleanouts may stand apart along a horizontal
// drain or sewer of a size: by the table cleanout-spacing of codes that go by size,
// by the rules cleanout-spacing and sewer-cleanout-spacing of the others. A code
// that says nothing of it is [tables.ErrNotInCode].
func (c *Code) CleanoutSpacing(part Part, size units.Length) (units.Length, tables.Citation, error) {
	c = c.there()
	if part == Sewer {
		if r, ok := c.lengths["sewer-cleanout-spacing"]; ok && r.cell.Kind == tables.Value {
			return r.cell.Value, r.cite, nil
		}
	}
	for i := c.spacing.Len() - 1; i >= 0; i-- {
		if r := c.spacing.At(i); r.From <= size {
			return r.Spacing, c.spacing.Cite(i), nil
		}
	}
	if r, ok := c.lengths["cleanout-spacing"]; ok && r.cell.Kind == tables.Value {
		return r.cell.Value, r.cite, nil
	}
	return 0, tables.Citation{}, c.fault("cleanout", "size", tables.ErrNotOnShelf, "no spacing of cleanouts along %s",
		FormatSize(size))
}

// CleanoutClearance returns the clear space in front of a cleanout of a pipe of a
// size.
func (c *Code) CleanoutClearance(pipe units.Length) (units.Length, tables.Citation, error) {
	c = c.there()
	id := "cleanout-clearance-small"
	if from, _, err := c.RuleLength("cleanout-clearance-large-from"); err == nil && from.Kind == tables.Value &&
		pipe >= from.Value {
		id = "cleanout-clearance-large"
	}
	cell, cite, err := c.RuleLength(id)
	if err == nil && cell.Kind != tables.Value {
		err = c.fault("cleanout", "", tables.ErrNotInCode, "rule %q is %v", id, cell.Kind)
	}
	return cell.Value, cite, err
}
