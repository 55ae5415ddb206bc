package supply

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type peakRow struct {
	Building string     `table:"building"`
	A        float64    `table:"a"`
	B        float64    `table:"b"`
	C        float64    `table:"c"`
	MinSum   units.Flow `table:"min_sum"`
	MaxSum   units.Flow `table:"max_sum"`
}

// PeakFlow is the peak flow of a building by a formula.
type PeakFlow struct {
	Flow     units.Flow
	Citation tables.Citation
}

// PeakFlowOfSum returns the peak flow for a sum of the calculation flows of all
// draw-off points,
//
//	V = a (sum V)^b - c, in L/s, and never more than the sum
//
// with the constants of a kind of building: residential, hospital, hotel, school,
// administration or nursing-home. A sum outside the range of the constants is
// [ErrOutsideTable]. Flows drawn longer than a quarter of an hour are added to the
// answer by the caller.
//
// Source: DIN 1988-300:2012, Table 3.
func PeakFlowOfSum(shelf *tables.Shelf, building string, sum units.Flow) (PeakFlow, error) {
	rows, err := tables.Load[peakRow](shelf, "din1988-300/supply-peak-flow")
	if err != nil {
		return PeakFlow{}, err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		if r.Building != building {
			continue
		}
		s := roundTo(float64(sum / units.LitrePerSecond))
		if !(s >= roundTo(float64(r.MinSum/units.LitrePerSecond)) && s <= roundTo(float64(r.MaxSum/units.LitrePerSecond))) {
			return PeakFlow{}, fmt.Errorf("%w: sum %v: the constants hold from %v to %v", ErrOutsideTable, sum, r.MinSum, r.MaxSum)
		}
		peak := float64(r.A*math.Pow(s, r.B)) - r.C
		return PeakFlow{units.Flow(min(peak, s)) * units.LitrePerSecond, rows.Cite(i)}, nil
	}
	var names []string
	for i := range rows.Len() {
		names = append(names, rows.At(i).Building)
	}
	return PeakFlow{}, fmt.Errorf("%w: building %q: choose %s", ErrNotInCode, fixture.Shorten(building), shortList(names))
}

type unitPipeRow struct {
	Material string                    `table:"material"`
	Bore     units.Length              `table:"bore"`
	Units    FixtureUnits              `table:"units"`
	Pipe     string                    `table:"pipe"`
	Single   tables.Cell[FixtureUnits] `table:"single"`
	Length   tables.Cell[units.Length] `table:"length"`
}

// UnitPipe is a pipe chosen by loading units.
type UnitPipe struct {
	Pipe     string // outside diameter and wall, or DN
	Bore     units.Length
	MaxUnits FixtureUnits
	Citation tables.Citation
}

func (c *Code) loadPipeByUnits(shelf *tables.Shelf, id string) (err error) {
	c.byUnits, err = tables.Load[unitPipeRow](shelf, id)
	return err
}

// PipeForUnits returns the smallest pipe of a material that carries a sum of loading
// units, among them a greatest single one, over a length, by the simplified method
// of the code; simultaneous use is in the table. The length counts only where the
// table limits it.
func (c *Code) PipeForUnits(material string, sum, greatest FixtureUnits, length units.Length) (UnitPipe, error) {
	rows := c.byUnits
	if rows == nil {
		return UnitPipe{}, c.missing("pipe by loading units")
	}
	if !sum.Valid() || !greatest.Valid() || greatest > sum || length < 0 {
		return UnitPipe{}, fmt.Errorf("%w: sum %s, greatest %s, length %v", ErrQuery, sum.In(c.unit), greatest.In(c.unit), length)
	}
	single := map[units.Length]FixtureUnits{} // greatest single unit by bore, where there is a limit
	known := false
	var names []string
	for i := range rows.Len() {
		r := rows.At(i)
		if n := len(names); n == 0 || names[n-1] != r.Material {
			names = append(names, r.Material)
		}
		if r.Material != material {
			continue
		}
		known = true
		if v, ok := r.Single.Get(); ok && v > single[r.Bore] {
			single[r.Bore] = v
		}
	}
	if !known {
		return UnitPipe{}, fmt.Errorf("%w: material %q: choose %s", ErrNotInCode, fixture.Shorten(material), shortList(names))
	}
	for i := range rows.Len() {
		r := rows.At(i)
		if r.Material != material || sum > r.Units {
			continue
		}
		if most, ok := single[r.Bore]; ok && greatest > most {
			continue
		}
		if most, ok := r.Length.Get(); ok && length > most {
			continue
		}
		return UnitPipe{r.Pipe, r.Bore, r.Units, rows.Cite(i)}, nil
	}
	return UnitPipe{}, fmt.Errorf("%w: %s is more than the greatest %s of %s carries", ErrOutsideTable, sum.In(c.unit), material, rows.Table().ID())
}
