package lesson

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// pipeBore is the inside diameter of a pipe on the shelf and its nominal size.
type pipeBore struct {
	Size units.Length `table:"size"`
	ID   units.Length `table:"id"`
}

// nominalOf returns the nominal size of the pipe that has an inside diameter, the
// nearest within a hundredth of an inch.
func (c *codes) nominalOf(bore string) (size string, ok bool) {
	d, err := units.Parse[units.Length](bore)
	if err != nil {
		return "", false
	}
	if c.bores == nil {
		c.bores = c.loadBores()
	}
	best := units.Inch/100 + 1
	for _, b := range c.bores {
		off := max(b.ID-d, d-b.ID)
		if off < best && b.Size != d {
			best, size = off, b.Size.String()
		}
	}
	return size, size != ""
}

// nominalSizes returns the sizes of pipe on the shelf whose name is in the unit, in
// ascending order.
func (c *codes) nominalSizes(unit string) []float64 {
	if c.bores == nil {
		c.bores = c.loadBores()
	}
	var out []float64
	for _, b := range c.bores {
		if v := nominal(b.Size); v.unit == unit {
			out = append(out, v.x)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// sets returns the names of the sets of tables on the shelf, codes among them.
func (c *codes) sets() []string {
	var out []string
	ids, err := c.shelf.IDs()
	if err != nil {
		return nil
	}
	for _, id := range ids {
		set, _, _ := strings.Cut(id, "/")
		if len(out) == 0 || out[len(out)-1] != set {
			out = append(out, set)
		}
	}
	return out
}

func (c *codes) loadBores() []pipeBore {
	bores := []pipeBore{}
	ids, err := c.shelf.IDs()
	if err != nil {
		return bores
	}
	for _, id := range ids {
		if !strings.HasPrefix(id, "pipes/") {
			continue
		}
		// Tables of the set that list no bores are passed over.
		rows, err := tables.Load[pipeBore](c.shelf, id)
		if err != nil {
			continue
		}
		for i := range rows.Len() {
			bores = append(bores, *rows.At(i))
		}
	}
	return bores
}
