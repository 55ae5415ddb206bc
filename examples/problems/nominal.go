package main

import (
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
	d, err := units.ParseLength(bore)
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
