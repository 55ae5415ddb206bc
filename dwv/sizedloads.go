package dwv

import (
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// sizeLoads is a short table of loads by size, ascending.
type sizeLoads struct {
	sizes []units.Length
	loads []FixtureUnits
	cites []tables.Citation
}

// find returns the row of a size, or -1.
func (t *sizeLoads) find(size units.Length) int {
	for i, s := range t.sizes {
		if s == size {
			return i
		}
	}
	return -1
}

// list writes the sizes of the table.
func (t *sizeLoads) list() string { return listSizes(t.sizes) }

func listSizes(sizes []units.Length) string {
	if len(sizes) == 0 {
		return "no size"
	}
	var list []string
	for _, s := range sizes {
		list = append(list, FormatSize(s))
	}
	return strings.Join(list, ", ")
}

type trapLoadRecord struct {
	Size units.Length `table:"size"`
	Load FixtureUnits `table:"load"`
}

func (c *Code) loadTrapLoads(shelf *tables.Shelf) error {
	rows, err := table[trapLoadRecord](c, shelf, "trap-loads", "size")
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		c.traps.sizes = append(c.traps.sizes, r.Size)
		c.traps.loads = append(c.traps.loads, r.Load)
		c.traps.cites = append(c.traps.cites, rows.Cite(i))
	}
	return nil
}

// LoadLimit is the greatest load a table allows a size, and the row that says so.
// A cell that is not permitted allows none, unlimited sets no limit, blank gives
// nothing.
type LoadLimit struct {
	Max      tables.Cell[FixtureUnits] `json:"max"`
	Citation tables.Citation           `json:"citation,omitzero"`
}

// Holds reports whether a load is within the limit.
func (l LoadLimit) Holds(load FixtureUnits) bool {
	switch l.Max.Kind {
	case tables.Value:
		return load <= l.Max.Value
	case tables.Unlimited:
		return true
	}
	return false
}

// limitRow is one row of a table of limits by size.
type limitRow struct {
	size units.Length
	max  [2]tables.Cell[FixtureUnits]
	cite tables.Citation
}

// limitTable is a table of one or two limits by size.
type limitTable struct {
	name string
	rows []limitRow
}

// sizedTables are the vent methods of a code that limit the load of a size.
type sizedTables struct {
	common, wet, wasteStack, combination limitTable
}

type commonVentRecord struct {
	Size units.Length              `table:"size"`
	Load tables.Cell[FixtureUnits] `table:"upper_load"`
}

type wetVentRecord struct {
	Size units.Length              `table:"size"`
	Load tables.Cell[FixtureUnits] `table:"max_load"`
}

type wasteStackRecord struct {
	Size     units.Length              `table:"size"`
	Interval tables.Cell[FixtureUnits] `table:"interval_load"`
	Stack    tables.Cell[FixtureUnits] `table:"stack_load"`
}

type combinationRecord struct {
	Size   units.Length              `table:"size"`
	Branch tables.Cell[FixtureUnits] `table:"branch_load"`
	Drain  tables.Cell[FixtureUnits] `table:"drain_load"`
}

func (c *Code) loadSized(shelf *tables.Shelf) error {
	err := loadLimits(c, shelf, &c.sized.common, "common-vent",
		func(r *commonVentRecord) (units.Length, [2]tables.Cell[FixtureUnits]) {
			return r.Size, [2]tables.Cell[FixtureUnits]{r.Load}
		})
	if err == nil {
		err = loadLimits(c, shelf, &c.sized.wet, "wet-vent",
			func(r *wetVentRecord) (units.Length, [2]tables.Cell[FixtureUnits]) {
				return r.Size, [2]tables.Cell[FixtureUnits]{r.Load}
			})
	}
	if err == nil {
		err = loadLimits(c, shelf, &c.sized.wasteStack, "waste-stack-vent",
			func(r *wasteStackRecord) (units.Length, [2]tables.Cell[FixtureUnits]) {
				return r.Size, [2]tables.Cell[FixtureUnits]{r.Interval, r.Stack}
			})
	}
	if err == nil {
		err = loadLimits(c, shelf, &c.sized.combination, "combination-vent",
			func(r *combinationRecord) (units.Length, [2]tables.Cell[FixtureUnits]) {
				return r.Size, [2]tables.Cell[FixtureUnits]{r.Branch, r.Drain}
			})
	}
	return err
}

func loadLimits[T any](c *Code, shelf *tables.Shelf, t *limitTable, name string,
	row func(*T) (units.Length, [2]tables.Cell[FixtureUnits])) error {
	t.name = name
	rows, err := table[T](c, shelf, name, "size")
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		size, max := row(rows.At(i))
		t.rows = append(t.rows, limitRow{size, max, rows.Cite(i)})
	}
	return nil
}

// limit returns limit n of a size.
func (c *Code) limit(t *limitTable, size units.Length, n int) (LoadLimit, error) {
	for i := range t.rows {
		if r := &t.rows[i]; r.size == size {
			return LoadLimit{r.max[n], r.cite}, nil
		}
	}
	return LoadLimit{}, c.noRow(t, size)
}

func (c *Code) noRow(t *limitTable, size units.Length) error {
	if len(t.rows) == 0 {
		return c.fault("", "", tables.ErrNotOnShelf, "no table %s", t.name)
	}
	var sizes []units.Length
	for _, r := range t.rows {
		sizes = append(sizes, r.size)
	}
	return c.fault(t.name, "size", tables.ErrOutsideTable, "no row for %s; the table has %s", FormatSize(size),
		listSizes(sizes))
}

// smallest returns the smallest size whose limit n holds a load, with an error the
// largest there is.
func (c *Code) smallest(t *limitTable, load FixtureUnits, n int) (units.Length, LoadLimit, error) {
	if !load.Valid() {
		return 0, LoadLimit{}, c.refuse(t.name, "load", load.Check())
	}
	for i := range t.rows {
		r := &t.rows[i]
		if l := (LoadLimit{r.max[n], r.cite}); l.Holds(load) {
			return r.size, l, nil
		}
	}
	if len(t.rows) == 0 {
		return 0, LoadLimit{}, c.noRow(t, 0)
	}
	last := t.rows[len(t.rows)-1]
	return last.size, LoadLimit{last.max[n], last.cite},
		c.fault(t.name, "load", tables.ErrOutsideTable, "%v is over the last row, %v on %s", load, last.max[n].Value,
			FormatSize(last.size))
}

// CommonVentLimit returns the greatest load of the upper of two fixture drains that
// share a vent at different levels, by the size of the drain between them.
func (c *Code) CommonVentLimit(size units.Length) (LoadLimit, error) {
	c = c.there()
	return c.limit(&c.sized.common, size, 0)
}

// WetVentLimit returns the greatest load on a horizontal wet vent of a size.
func (c *Code) WetVentLimit(size units.Length) (LoadLimit, error) {
	c = c.there()
	return c.limit(&c.sized.wet, size, 0)
}

// CommonVentSize returns the smallest drain between two fixtures at different levels
// that vents the lower one under the load of the upper. A load over the last row is
// [tables.ErrOutsideTable], beside the largest size.
func (c *Code) CommonVentSize(load FixtureUnits) (units.Length, LoadLimit, error) {
	c = c.there()
	return c.smallest(&c.sized.common, load, 0)
}

// LimitsUprightWet tells whether the code has rules of its own for upright wet vents.
func (c *Code) LimitsUprightWet() bool {
	c = c.there()
	_, ok := c.lengths["wet-vent-vertical-length"]
	return ok
}

// WetVentSize returns the smallest horizontal wet vent for a load. One over the last
// row is [tables.ErrOutsideTable], beside the largest size.
func (c *Code) WetVentSize(load FixtureUnits) (units.Length, LoadLimit, error) {
	c = c.there()
	return c.smallest(&c.sized.wet, load, 0)
}

// WasteStackVentLimits returns what a waste stack that vents itself may carry: in
// one branch interval, and in all.
func (c *Code) WasteStackVentLimits(size units.Length) (interval, stack LoadLimit, err error) {
	c = c.there()
	if interval, err = c.limit(&c.sized.wasteStack, size, 0); err == nil {
		stack, err = c.limit(&c.sized.wasteStack, size, 1)
	}
	return interval, stack, err
}

// WasteStackVentSize returns the smallest waste stack that vents itself for a load. One over
// the last row is [ErrOutsideTable], beside the largest size.
func (c *Code) WasteStackVentSize(load FixtureUnits) (units.Length, LoadLimit, error) {
	c = c.there()
	return c.smallest(&c.sized.wasteStack, load, 1)
}

// CombinationVentLimits returns what a combination drain and vent may carry: where
// it joins a branch or stack, and where it joins a building drain.
func (c *Code) CombinationVentLimits(size units.Length) (branch, drain LoadLimit, err error) {
	c = c.there()
	if branch, err = c.limit(&c.sized.combination, size, 0); err == nil {
		drain, err = c.limit(&c.sized.combination, size, 1)
	}
	return branch, drain, err
}
