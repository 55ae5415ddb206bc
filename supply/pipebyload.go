package supply

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type pipeByLoadRow struct {
	PressureMin units.Pressure            `table:"pressure_min"`
	Meter       units.Length              `table:"meter"`
	Size        units.Length              `table:"size"`
	Length      units.Length              `table:"length"`
	Load        tables.Cell[FixtureUnits] `table:"load"`
}

type pipeByLoadTable struct{ rows *tables.Rows[pipeByLoadRow] }

func (c *Code) loadPipeByLoad(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[pipeByLoadRow](shelf, id)
	if err == nil && rows.Len() > 0 {
		c.byLoad = &pipeByLoadTable{rows}
	}
	return err
}

// PipeByLoad is a meter and pipe chosen from a table of greatest loads.
type PipeByLoad struct {
	Meter, Size units.Length
	MaxLoad     FixtureUnits
	Citation    tables.Citation
}

// PipeByLoad returns the first meter and pipe of the code's table whose greatest
// load holds the load, in the group of the pressure and at the developed length to
// the farthest outlet, equal or next longer; nothing is read between rows. least
// leaves out smaller pipes, such as 3/4 in for a building supply. The pressure is
// what the code asks to be used there, after its allowance for height. A pressure
// under the lowest group, a length beyond the table and a load beyond its last row
// are [ErrOutsideTable].
func (c *Code) PipeByLoad(pressure units.Pressure, length units.Length, load FixtureUnits,
	least units.Length) (PipeByLoad, error) {
	if c.byLoad == nil {
		return PipeByLoad{}, c.missing("pipe by load")
	}
	if math.IsNaN(float64(pressure)) || length < 0 || !load.Valid() {
		return PipeByLoad{}, fmt.Errorf("%w: pressure %v, length %v, load %v", ErrQuery, pressure, length, load)
	}
	rows := c.byLoad.rows
	id := rows.Table().ID()
	psi := roundTo(float64(pressure / units.PoundForcePerSquareInch))
	group, column := units.Pressure(-1), units.Length(-1)
	for i := range rows.Len() {
		r := rows.At(i)
		if roundTo(float64(r.PressureMin/units.PoundForcePerSquareInch)) <= psi && r.PressureMin > group {
			group = r.PressureMin
		}
		if r.Length >= length && (column < 0 || r.Length < column) {
			column = r.Length
		}
	}
	if group < 0 {
		return PipeByLoad{}, fmt.Errorf("%w: pressure %v: %s starts at %v", ErrOutsideTable, pressure, id,
			rows.At(0).PressureMin)
	}
	if column < 0 {
		return PipeByLoad{}, fmt.Errorf("%w: length %v is beyond %s", ErrOutsideTable, length, id)
	}
	var most FixtureUnits
	for i := range rows.Len() {
		r := rows.At(i)
		if r.PressureMin != group || r.Length != column || r.Size < least {
			continue
		}
		max, ok := r.Load.Get()
		if !ok {
			continue
		}
		if load <= max {
			return PipeByLoad{r.Meter, r.Size, max, rows.Cite(i)}, nil
		}
		if max > most {
			most = max
		}
	}
	return PipeByLoad{}, fmt.Errorf("%w: load %s: %s ends at %s for this pressure and length", ErrOutsideTable,
		load.In(c.unit), id, most.In(c.unit))
}

type hotLengthRow struct {
	Outlet string       `table:"outlet"`
	Size   units.Length `table:"size"`
	Length units.Length `table:"length"`
}

type hotLengthTable struct{ rows *tables.Rows[hotLengthRow] }

func (c *Code) loadHotLength(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[hotLengthRow](shelf, id)
	if err == nil {
		c.hotLength = &hotLengthTable{rows}
	}
	return err
}

// HotLength is the greatest length of pipe from heated water to an outlet.
type HotLength struct {
	Length   units.Length
	Citation tables.Citation
}

// HotLength returns the greatest length of pipe of a nominal size from heated
// water to an outlet, from the energy table of the code's family. publicLavatory
// asks for the stricter column. A size between two rows takes the greater one, one
// beyond the table its last row.
func (c *Code) HotLength(size units.Length, publicLavatory bool) (HotLength, error) {
	if c.hotLength == nil {
		return HotLength{}, c.missing("greatest hot pipe lengths")
	}
	outlet := "other"
	if publicLavatory {
		outlet = "public-lavatory"
	}
	last := -1
	for i := range c.hotLength.rows.Len() {
		r := c.hotLength.rows.At(i)
		if r.Outlet != outlet {
			continue
		}
		last = i
		if r.Size >= size {
			break
		}
	}
	if last < 0 {
		return HotLength{}, c.missing("greatest hot pipe lengths")
	}
	return HotLength{c.hotLength.rows.At(last).Length, c.hotLength.rows.Cite(last)}, nil
}
