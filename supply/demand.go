package supply

import (
	"fmt"
	"math"
	"sort"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// System says what most closets on a line use, which chooses the column of a table
// of demand. A line that serves no flushometer valve goes by the tank column, in
// a building with valves too.
type System uint8

// The two systems of demand tables.
const (
	TankSystem  System = iota // flush tanks, or no closets
	ValveSystem               // flushometer valves
)

var demandSystems = enum.Words[System]{What: "system", Err: ErrQuery, Words: []string{"tank", "valve"}}

// String returns "tank" or "valve".
func (s System) String() string { return demandSystems.String(s) }

// MarshalText returns the text of String.
func (s System) MarshalText() ([]byte, error) { return demandSystems.Marshal(s) }

// UnmarshalText reads the text of String.
func (s *System) UnmarshalText(text []byte) error { return demandSystems.Unmarshal(text, s) }

type demandRow struct {
	System string                  `table:"system"`
	Load   FixtureUnits            `table:"load"`
	Demand tables.Cell[units.Flow] `table:"demand"`
}

// demandCurve is one column of a table of demand.
type demandCurve struct {
	rows  *tables.Rows[demandRow]
	index []int // of the rows of the system
	loads []FixtureUnits
	flows []float64 // m3/s; NaN where the shelf holds no figure
}

func (c *Code) loadCurve(shelf *tables.Shelf, id string, system System) error {
	rows, err := tables.Load[demandRow](shelf, id)
	if err != nil {
		return err
	}
	curve := &demandCurve{rows: rows}
	for i := range rows.Len() {
		r := rows.At(i)
		if r.System != system.String() {
			continue
		}
		flow := math.NaN()
		if v, ok := r.Demand.Get(); ok {
			flow = float64(v)
		}
		curve.index = append(curve.index, i)
		curve.loads = append(curve.loads, r.Load)
		curve.flows = append(curve.flows, flow)
	}
	if len(curve.loads) == 0 {
		return fmt.Errorf("%w: %s has no %v column", ErrNotInCode, id, system)
	}
	c.curves[system] = curve
	return nil
}

// Demand is the probable peak flow of a load.
type Demand struct {
	Load   FixtureUnits
	System System
	Flow   units.Flow
	// Citation is the row of the load, or the row below it; Next is the row above,
	// the same row if the load is on it. Both are zero for no load.
	Citation, Next tables.Citation
}

// Demand returns the flow for a load: the row of the table, or the straight line
// between two rows; no load is no flow. Continuous flows are no part of the load
// and are added to the answer by the caller. A load beside the table is
// [ErrOutsideTable] and names the range; a code without such a table is
// [ErrNotInCode].
func (c *Code) Demand(load FixtureUnits, system System) (Demand, error) {
	if !load.Valid() {
		return Demand{}, fmt.Errorf("%w: load %v is outside 0 to %v", ErrQuery, load, MaxFixtureUnits)
	}
	if system > ValveSystem {
		return Demand{}, fmt.Errorf("%w: system %v", ErrQuery, system)
	}
	curve := c.curves[system]
	if curve == nil {
		return Demand{}, c.missing("demand for a " + system.String() + " system")
	}
	d := Demand{Load: load, System: system}
	if load == 0 {
		return d, nil
	}
	i := sort.Search(len(curve.loads), func(i int) bool { return curve.loads[i] >= load })
	if i == len(curve.loads) || i == 0 && curve.loads[0] != load {
		return Demand{}, fmt.Errorf("%w: load %s: the %v column of %s covers %s to %s", ErrOutsideTable,
			load.In(c.unit), system, curve.rows.Table().ID(), curve.loads[0].In(c.unit),
			curve.loads[len(curve.loads)-1].In(c.unit))
	}
	below := i
	if curve.loads[i] != load {
		below--
	}
	lo, hi := curve.flows[below], curve.flows[i]
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return Demand{}, curve.gap(load, below, i, c.unit)
	}
	d.Flow = units.Flow(lo)
	if below != i {
		share := float64(load-curve.loads[below]) / float64(curve.loads[i]-curve.loads[below])
		d.Flow = units.Flow(lo + float64(share*(hi-lo)))
	}
	d.Citation, d.Next = curve.rows.Cite(curve.index[below]), curve.rows.Cite(curve.index[i])
	return d, nil
}

// gap is the error of a load between rows whose figures the shelf does not hold.
func (v *demandCurve) gap(load FixtureUnits, below, above int, unit string) error {
	for below > 0 && math.IsNaN(v.flows[below]) {
		below--
	}
	for above < len(v.loads)-1 && math.IsNaN(v.flows[above]) {
		above++
	}
	return fmt.Errorf("%w: load %s: %s holds no figure between %s and %s", ErrOutsideTable,
		load.In(unit), v.rows.Table().ID(), v.loads[below].In(unit), v.loads[above].In(unit))
}

// Firm reports whether a pass or a fail may rest on the rows of the demand.
func (d Demand) Firm() bool {
	return d.Citation.IsZero() || d.Citation.Status().Firm() && d.Next.Status().Firm()
}

// Why says how the flow was had.
func (d Demand) Why() string {
	switch {
	case d.Citation.IsZero():
		return "no load, no flow"
	case d.Citation == d.Next:
		return d.Citation.String()
	}
	return "between two rows: " + d.Citation.String() + "; and " + d.Next.Row()
}

// roundTo brings a number to a millionth, so that a quantity that came through
// another unit meets the printed figure of a table.
func roundTo(x float64) float64 { return math.Round(x*1e6) / 1e6 }
