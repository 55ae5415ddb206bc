package dwv

import (
	"cmp"
	"errors"
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// bySize is a table of a code whose rows are by the size of pipe, ascending.
type bySize[T any] struct {
	rows *tables.Rows[T]
	size func(*T) (size units.Length, larger bool) // larger: the row is for all larger pipe too
}

// loadBySize reads a table by size; a set that lacks it has an empty one.
func loadBySize[T any](c *Code, shelf *tables.Shelf, name string, size func(*T) (units.Length, bool)) (
	bySize[T], error) {
	rows, err := table[T](c, shelf, name, "size")
	return bySize[T]{rows, size}, err
}

func (t *bySize[T]) len() int { return t.rows.Len() }

// find returns the row of a size. An error is about the item, if there is one, or the table of
// that name.
func (t *bySize[T]) find(c *Code, item, name string, size units.Length) (row T, cite tables.Citation, err error) {
	for i := range t.len() {
		if at, larger := t.size(t.rows.At(i)); at == size || larger && size > at {
			return *t.rows.At(i), t.rows.Cite(i), nil
		}
	}
	if t.len() == 0 {
		return row, cite, c.fault(item, "", tables.ErrNotOnShelf, "no table %s", name)
	}
	return row, cite, c.fault(cmp.Or(item, name), "size", tables.ErrOutsideTable, "%s", noRow(size, t.sizes()))
}

// sizes are those that the table has rows for.
func (t *bySize[T]) sizes() []units.Length {
	var sizes []units.Length
	for i := range t.len() {
		size, _ := t.size(t.rows.At(i))
		sizes = append(sizes, size)
	}
	return sizes
}

// list writes the sizes of the table.
func (t *bySize[T]) list() string { return listSizes(t.sizes()) }

// noRow says that a table has no row for a size, and which of its rows is likely meant: the
// pipe of 4 in is sold as DN 100 and, by its outside, as 110 mm, that of 3 in as DN 75 or DN 80.
// Made sizes lie more than a tenth apart.
func noRow(size units.Length, sizes []units.Length) string {
	meant := ""
	for _, s := range sizes {
		if off := max(s-size, size-s); 10*off < max(s, size) {
			meant = "write " + FormatSize(s) + ", if that is meant; "
		}
	}
	return "no row for " + FormatSize(size) + "; " + meant + "the table has " + listSizes(sizes)
}

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

// sizedTables are the vent methods of a code that limit the load of a size.
type sizedTables struct {
	common      bySize[commonVentRecord]
	wet         bySize[wetVentRecord]
	wasteStack  bySize[wasteStackRecord]
	combination bySize[combinationRecord]
}

// loadCell is a cell of a table of greatest loads.
type loadCell = tables.Cell[FixtureUnits]

type commonVentRecord struct {
	Size units.Length `table:"size"`
	Load loadCell     `table:"upper_load"`
}

type wetVentRecord struct {
	Size units.Length `table:"size"`
	Load loadCell     `table:"max_load"`
}

type wasteStackRecord struct {
	Size     units.Length `table:"size"`
	Interval loadCell     `table:"interval_load"`
	Stack    loadCell     `table:"stack_load"`
}

type combinationRecord struct {
	Size   units.Length `table:"size"`
	Branch loadCell     `table:"branch_load"`
	Drain  loadCell     `table:"drain_load"`
}

// loadSized reads the tables whose rows are by size, or by load, and are looked up as printed.
func (c *Code) loadSized(shelf *tables.Shelf) error {
	var errs [10]error
	t := &c.sized
	c.traps, errs[0] = loadBySize(c, shelf, "trap-loads",
		func(r *trapLoadRecord) (units.Length, bool) { return r.Size, false })
	c.arms, errs[1] = loadBySize(c, shelf, "trap-arm",
		func(r *armRecord) (units.Length, bool) { return r.Size, r.Larger == "yes" })
	c.stacks, errs[2] = loadBySize(c, shelf, "stack-lengths",
		func(r *stackLengthRecord) (units.Length, bool) { return r.Size, false })
	t.common, errs[3] = loadBySize(c, shelf, "common-vent",
		func(r *commonVentRecord) (units.Length, bool) { return r.Size, false })
	t.wet, errs[4] = loadBySize(c, shelf, "wet-vent",
		func(r *wetVentRecord) (units.Length, bool) { return r.Size, false })
	t.wasteStack, errs[5] = loadBySize(c, shelf, "waste-stack-vent",
		func(r *wasteStackRecord) (units.Length, bool) { return r.Size, false })
	t.combination, errs[6] = loadBySize(c, shelf, "combination-vent",
		func(r *combinationRecord) (units.Length, bool) { return r.Size, false })
	c.cleanout, errs[7] = loadBySize(c, shelf, "cleanout-size",
		func(r *cleanoutRecord) (units.Length, bool) { return r.Size, r.Larger == "yes" })
	c.spacing, errs[8] = table[spacingRecord](c, shelf, "cleanout-spacing", "size_from")
	c.gravity, errs[9] = table[gravityRecord](c, shelf, "gravity-interceptor", "load")
	return errors.Join(errs[:]...)
}

// smallest returns the smallest size whose limit holds a load, with an error the largest
// there is.
func smallest[T any](c *Code, t *bySize[T], name string, load FixtureUnits, cell func(T) loadCell) (units.Length,
	LoadLimit, error) {
	if !load.Valid() {
		return 0, LoadLimit{}, c.refuse(name, "load", load.Check())
	}
	var size units.Length
	var l LoadLimit
	for i := range t.len() {
		r := t.rows.At(i)
		size, _ = t.size(r)
		if l = (LoadLimit{cell(*r), t.rows.Cite(i)}); l.Holds(load) {
			return size, l, nil
		}
	}
	if t.len() == 0 {
		_, _, err := t.find(c, "", name, 0)
		return 0, LoadLimit{}, err
	}
	return size, l, c.fault(name, "load", tables.ErrOutsideTable, "%v is over the last row, %v on %s", load, l.Max.Value,
		FormatSize(size))
}

// The limits that the tables print.
func upperLoad(r commonVentRecord) loadCell { return r.Load }
func wetLoad(r wetVentRecord) loadCell      { return r.Load }
func stackLoad(r wasteStackRecord) loadCell { return r.Stack }

// CommonVentLimit returns the greatest load of the upper of two fixture drains that
// share a vent at different levels, by the size of the drain between them.
func (c *Code) CommonVentLimit(size units.Length) (LoadLimit, error) {
	c = c.there()
	r, cite, err := c.sized.common.find(c, "", "common-vent", size)
	return LoadLimit{r.Load, cite}, err
}

// WetVentLimit returns the greatest load on a horizontal wet vent of a size.
func (c *Code) WetVentLimit(size units.Length) (LoadLimit, error) {
	c = c.there()
	r, cite, err := c.sized.wet.find(c, "", "wet-vent", size)
	return LoadLimit{r.Load, cite}, err
}

// CommonVentSize returns the smallest drain between two fixtures at different levels
// that vents the lower one under the load of the upper. A load over the last row is
// [tables.ErrOutsideTable], beside the largest size.
func (c *Code) CommonVentSize(load FixtureUnits) (units.Length, LoadLimit, error) {
	c = c.there()
	return smallest(c, &c.sized.common, "common-vent", load, upperLoad)
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
	return smallest(c, &c.sized.wet, "wet-vent", load, wetLoad)
}

// WasteStackVentLimits returns what a waste stack that vents itself may carry: in
// one branch interval, and in all.
func (c *Code) WasteStackVentLimits(size units.Length) (interval, stack LoadLimit, err error) {
	c = c.there()
	r, cite, err := c.sized.wasteStack.find(c, "", "waste-stack-vent", size)
	return LoadLimit{r.Interval, cite}, LoadLimit{r.Stack, cite}, err
}

// WasteStackVentSize returns the smallest waste stack that vents itself for a load. One over
// the last row is [ErrOutsideTable], beside the largest size.
func (c *Code) WasteStackVentSize(load FixtureUnits) (units.Length, LoadLimit, error) {
	c = c.there()
	return smallest(c, &c.sized.wasteStack, "waste-stack-vent", load, stackLoad)
}

// CombinationVentLimits returns what a combination drain and vent may carry: where
// it joins a branch or stack, and where it joins a building drain.
func (c *Code) CombinationVentLimits(size units.Length) (branch, drain LoadLimit, err error) {
	c = c.there()
	r, cite, err := c.sized.combination.find(c, "", "combination-vent", size)
	return LoadLimit{r.Branch, cite}, LoadLimit{r.Drain, cite}, err
}
