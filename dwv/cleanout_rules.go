package dwv

import (
	"slices"

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
	c = c.there()
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
		return 0, tables.Citation{}, c.fault("cleanout", "", tables.ErrNotOnShelf, "no table cleanout-size")
	}
	return 0, tables.Citation{}, c.fault("cleanout", "size", tables.ErrOutsideTable, "no row for %s; the table has %s",
		FormatSize(pipe), listSizes(sizes))
}

// spacingRow is the spacing of cleanouts from a size up.
type spacingRow struct {
	from, spacing units.Length
	cite          tables.Citation
}

type spacingRecord struct {
	From    units.Length `table:"size_from"`
	Spacing units.Length `table:"spacing"`
}

func (c *Code) loadSpacing(shelf *tables.Shelf) error {
	rows, err := table[spacingRecord](c, shelf, "cleanout-spacing", "size_from")
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		c.spacing = append(c.spacing, spacingRow{r.From, r.Spacing, rows.Cite(i)})
	}
	return nil
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
	for _, r := range slices.Backward(c.spacing) {
		if r.from <= size {
			return r.spacing, r.cite, nil
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
