package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type gravityRecord struct {
	Load   FixtureUnits `table:"load"`
	Volume units.Volume `table:"volume"`
}

// GravityInterceptor returns the least volume of a gravity grease interceptor that a load
// drains into: that of the first row that holds the load. A code without such a table is
// [tables.ErrNotInCode], a load over its last row [tables.ErrOutsideTable].
func (c *Code) GravityInterceptor(load FixtureUnits) (units.Volume, tables.Citation, error) {
	c = c.there()
	const item, field = "gravity interceptor", "load"
	if load < 0 {
		return 0, tables.Citation{}, c.fault(item, field, tables.ErrQuery, "%v", load)
	}
	if c.gravity == nil {
		return 0, tables.Citation{}, c.refuse(item, field, tables.ErrNotInCode)
	}
	for i, r := range c.gravity.All() {
		if load <= r.Load {
			return r.Volume, c.gravity.Cite(i), nil
		}
	}
	return 0, tables.Citation{}, c.fault(item, field, tables.ErrOutsideTable, "%v is more than its last row", load)
}
