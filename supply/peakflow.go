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

// peakTable holds the constants of a peak flow formula by kind of building.
type peakTable struct{ rows *tables.Rows[peakRow] }

func loadPeak(shelf *tables.Shelf, id string) (*peakTable, error) {
	rows, err := tables.Load[peakRow](shelf, id)
	if err != nil {
		return nil, err
	}
	return &peakTable{rows}, nil
}

func (t *peakTable) buildings() []string {
	names := make([]string, t.rows.Len())
	for i := range names {
		names[i] = t.rows.At(i).Building
	}
	return names
}

// row returns the row of a kind of building.
func (t *peakTable) row(building string) (int, error) {
	if building == "" {
		return 0, fmt.Errorf("building: %w: choose %s", ErrNotStated, shortList(t.buildings()))
	}
	for i := range t.rows.Len() {
		if t.rows.At(i).Building == building {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%w: building %q: choose %s", ErrNotInCode, fixture.Shorten(building),
		shortList(t.buildings()))
}

// under reports whether a sum lies under the range of a row.
func (r *peakRow) under(sum units.Flow) bool { return inLitres(sum) < inLitres(r.MinSum) }

// peak returns the formula's flow for a sum within the range, never more than it.
func (r *peakRow) peak(sum units.Flow) units.Flow {
	s := inLitres(sum)
	return units.Flow(min(float64(r.A*math.Pow(s, r.B))-r.C, s)) * units.LitrePerSecond
}

// inLitres brings a flow to a millionth of a litre a second.
func inLitres(q units.Flow) float64 { return roundTo(float64(q / units.LitrePerSecond)) }

// PeakFlow is the peak flow of a building by a formula.
type PeakFlow struct {
	Flow     units.Flow
	Citation tables.Citation
}

func (t *peakTable) flow(building string, sum units.Flow) (PeakFlow, error) {
	i, err := t.row(building)
	if err != nil {
		return PeakFlow{}, err
	}
	r := t.rows.At(i)
	if s := inLitres(sum); !(s >= inLitres(r.MinSum) && s <= inLitres(r.MaxSum)) {
		return PeakFlow{}, fmt.Errorf("%w: sum %v: the constants hold from %v to %v", ErrOutsideTable, sum, r.MinSum,
			r.MaxSum)
	}
	return PeakFlow{r.peak(sum), t.rows.Cite(i)}, nil
}

// PeakFlow returns the peak flow for a sum of the calculation flows of all draw-off
// points, by the formula of the code; [PeakFlowOfSum] states it. A code without
// one is [ErrNotInCode].
func (c *Code) PeakFlow(building string, sum units.Flow) (PeakFlow, error) {
	if c.peak == nil {
		return PeakFlow{}, c.missing("constants of a peak flow formula")
	}
	return c.peak.flow(building, sum)
}

// Buildings lists the kinds of building that the code's peak flow formula tells
// apart; none where the code has no such formula.
func (c *Code) Buildings() []string {
	if c.peak == nil {
		return nil
	}
	return c.peak.buildings()
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
	t, err := loadPeak(shelf, "din1988-300/supply-peak-flow")
	if err != nil {
		return PeakFlow{}, err
	}
	return t.flow(building, sum)
}
