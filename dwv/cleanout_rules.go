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

// CleanoutSize returns the least cleanout of a pipe of a size. Where they stand is
// in the rules whose ids begin with cleanout-.
func (c *Code) CleanoutSize(pipe units.Length) (units.Length, tables.Citation, error) {
	c = c.there()
	r, cite, err := c.cleanout.find(c, "cleanout", "cleanout-size", pipe)
	return r.Cleanout, cite, err
}

type spacingRecord struct {
	From    units.Length `table:"size_from"`
	Spacing units.Length `table:"spacing"`
}

// CleanoutSpacing returns how far cleanouts may stand apart along a horizontal
// drain or sewer of a size: by the table cleanout-spacing of codes that go by size,
// by the rules cleanout-spacing and sewer-cleanout-spacing of the others. A code
// that says nothing of it is [tables.ErrNotInCode].
func (c *Code) CleanoutSpacing(part Part, size units.Length) (units.Length, tables.Citation, error) {
	c = c.there()
	if part == Sewer {
		if spacing, cite, ok := c.FindLength("sewer-cleanout-spacing"); ok {
			return spacing, cite, nil
		}
	}
	for i := c.spacing.Len() - 1; i >= 0; i-- {
		if r := c.spacing.At(i); r.From <= size {
			return r.Spacing, c.spacing.Cite(i), nil
		}
	}
	if spacing, cite, ok := c.FindLength("cleanout-spacing"); ok {
		return spacing, cite, nil
	}
	return 0, tables.Citation{}, c.fault("cleanout", "size", tables.ErrNotOnShelf, "no spacing of cleanouts along %s",
		FormatSize(size))
}

// CleanoutClearance returns the clear space in front of a cleanout of a pipe of a
// size.
func (c *Code) CleanoutClearance(pipe units.Length) (units.Length, tables.Citation, error) {
	id := "cleanout-clearance-small"
	if from, _, ok := c.FindLength("cleanout-clearance-large-from"); ok && pipe >= from {
		id = "cleanout-clearance-large"
	}
	cell, cite, err := c.RuleLength(id)
	if err == nil && cell.Kind != tables.Value {
		err = c.fault("cleanout", "", tables.ErrNotInCode, "rule %q is %v", id, cell.Kind)
	}
	return cell.Value, cite, err
}
