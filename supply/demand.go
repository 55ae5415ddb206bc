package supply

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// System says what most closets on a line use, which chooses the column of a table
// of demand. A line that serves no flushometer valve goes by the tank column, in
// a building with valves too. One that serves those of urinals alone goes by the column
// of valves, unless the code has the rule tank-column-without-closet-valves.
type System uint8

// The two systems of demand tables.
const (
	TankSystem  System = iota // flush tanks, or no closets
	ValveSystem               // flushometer valves
)

var demandSystems = enum.Words[System]{What: "system", Err: tables.ErrQuery, Words: []string{"tank", "valve"}}

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
	for i, r := range rows.All() {
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
		return fmt.Errorf("%w: %s has no %v column", tables.ErrNotOnShelf, id, system)
	}
	c.curves[system] = curve
	return nil
}

// Demand is the probable peak flow of a load.
type Demand struct {
	Load   CodeLoad   `json:"load"`
	System System     `json:"system"`
	Flow   units.Flow `json:"flow"`
	// Citation is the row of the load, or the row below it; Next is the row above,
	// the same row if the load is on it. Both are zero for no load.
	Citation tables.Citation `json:"citation,omitzero"`
	Next     tables.Citation `json:"next,omitzero"`
}

// Demand returns the flow for a load: the row of the table, or the straight line
// between two rows; no load is no flow. Continuous flows are no part of the load
// and are added to the answer by the caller. A load beside the table is
// [tables.ErrOutsideTable] and names the range; a code without such a table is
// [tables.ErrNotInCode].
func (c *Code) Demand(load FixtureUnits, system System) (Demand, error) {
	c = c.there()
	if !load.Valid() {
		return Demand{}, load.Check()
	}
	if system > ValveSystem {
		return Demand{}, fmt.Errorf("%w: system %v", tables.ErrQuery, system)
	}
	curve := c.curves[system]
	if curve == nil {
		return Demand{}, c.missing("demand for a " + system.String() + " system")
	}
	d := Demand{Load: c.counted(load), System: system}
	if load == 0 {
		return d, nil
	}
	i := sort.Search(len(curve.loads), func(i int) bool { return curve.loads[i] >= load })
	if i == len(curve.loads) || i == 0 && curve.loads[0] != load {
		return Demand{}, fmt.Errorf("%w: load %s: the %v column of %s covers %s to %s", tables.ErrOutsideTable,
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
	return fmt.Errorf("%w: load %s: %s holds no figure between %s and %s", tables.ErrOutsideTable,
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

// What the tables of a code do not answer is no reason to answer nothing: the place is
// worked out by the nearest that is known, and [Analysis.Check] asks there.

// answersWithout puts what is known in place of a load that the code does not give:
// where it tells apart what the layout leaves open, the greatest of its rows; where it
// lists a fixture or this kind of it nowhere, the fixture's own flow. It reports
// whether there is such an answer: a word that no code on the shelf knows has none.
func (c *Code) answersWithout(f *tables.Fixture, it *item, err error) bool {
	it.loadErr = err
	it.ladder = -1
	if c.fixtures == nil {
		it.own = true
		return c.knows(f.Kind)
	}
	if errors.Is(err, tables.ErrNotStated) {
		fit, err := c.fit(c.keys, f)
		if err != nil {
			return false
		}
		greatest := -1.0
		for row := range fit.All() {
			e, err := c.entryAt(f, row)
			if v := max(e.Each.Total, e.Each.Cold, e.Each.Hot).Units(); err == nil && v > greatest {
				greatest, it.entry = v, e
			}
		}
		return greatest >= 0
	}
	it.own = true
	return errors.Is(err, tables.ErrNotInCode) && c.knows(f.Kind)
}

// statedLoad is the load of one fixture as the layout states it, in the unit of the code;
// with an error if the code counts in another, and empty if the layout states none.
func (l *Layout) statedLoad(i int, c *Code) (it item) {
	f := &l.data.Fixtures[i]
	if f.Load == "" {
		return it
	}
	load, unit, err := parseLoad(f.Load)
	if err == nil && unit != c.unit {
		err = fmt.Errorf("%w: the layout states %s, and the code counts %s", tables.ErrNotInCode, f.Load, c.unit)
	}
	if err != nil {
		it.loadErr = err
		return it
	}
	it.ladder, it.ports = -1, "both"
	it.Each = loads{Cold: load, Hot: load, Total: load}
	if c.share > 0 {
		it.Each.Cold, it.Each.Hot = shareOf(load, c.share), shareOf(load, c.share)
	}
	switch {
	case l.hot[i] < 0:
		it.Each.Cold, it.Each.Hot, it.ports = load, 0, "cold"
	case l.cold[i] < 0:
		it.Each.Cold, it.Each.Hot, it.ports = 0, load, "hot"
	}
	return it
}

// parseLoad reads a load with its unit, wsfu or lu, above zero.
func parseLoad(s string) (load FixtureUnits, unit string, err error) {
	load, err = ParseFixtureUnits(s)
	_, unit, _ = strings.Cut(strings.TrimSpace(s), " ")
	if unit = strings.TrimSpace(unit); err == nil && (load <= 0 || unit != "wsfu" && unit != "lu") {
		err = fmt.Errorf("%w: %q: a load has its unit, such as 3 wsfu or 2 lu", tables.ErrFixtureUnits, visible.Shorten(s))
	}
	return load, unit, err
}

// lists are the fixtures that the tables of the code name: loads, outlets and supplies.
func (c *Code) lists() []*fixture.Rows {
	lists := []*fixture.Rows{c.keys}
	if c.outlets != nil {
		lists = append(lists, c.outlets.keys)
	}
	if c.flows != nil {
		lists = append(lists, c.flows.keys)
	}
	if c.sizes != nil {
		lists = append(lists, c.sizes.keys)
	}
	return lists
}

// listsOfAll are the lists of every code on the shelf.
func (c *Code) listsOfAll() (lists []*fixture.Rows) {
	ids, err := codeIDs(c.pipes.shelf)
	if err != nil {
		return nil
	}
	for _, id := range ids {
		if other, err := LoadCode(c.pipes.shelf, id); err == nil {
			lists = append(lists, other.lists()...)
		}
	}
	return lists
}

// knows reports whether a fixture is a word of this code or of another on the shelf.
func (c *Code) knows(kind string) bool {
	has := func(keys *fixture.Rows) bool { return keys.Has(kind) }
	return kind != anyFixture && (slices.ContainsFunc(c.lists(), has) || slices.ContainsFunc(c.named(), has))
}

// carriedOn is the demand of a load over the table or in a gap of it: by the straight line
// through the two rows with figures before it and, in a gap, by that through the two behind
// it, whichever gives less. Demand rises ever more slowly with the load, so that these lines
// lie over the curve, and the chord across the gap lies under it.
func (v *demandCurve) carriedOn(load FixtureUnits) Demand {
	var known []int // rows with a figure
	next := 0       // of known, the first behind the load
	for i := range v.loads {
		if !math.IsNaN(v.flows[i]) {
			if known = append(known, i); v.loads[i] < load {
				next = len(known)
			}
		}
	}
	best := Demand{Flow: units.Flow(math.Inf(1))}
	for _, first := range [...]int{next - 2, next} {
		if first < 0 || first+1 >= len(known) {
			continue
		}
		lo, hi := known[first], known[first+1]
		share := float64(load-v.loads[lo]) / float64(v.loads[hi]-v.loads[lo])
		if flow := units.Flow(v.flows[lo] + float64(share*(v.flows[hi]-v.flows[lo]))); flow < best.Flow {
			best = Demand{Flow: flow, Citation: v.rows.Cite(v.index[lo]), Next: v.rows.Cite(v.index[hi])}
		}
	}
	if best.Citation.IsZero() { // one figure alone
		at := known[max(next-1, 0)]
		best = Demand{Flow: units.Flow(v.flows[at]), Citation: v.rows.Cite(v.index[at]),
			Next: v.rows.Cite(v.index[at])}
	}
	return best
}

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
		return 0, fmt.Errorf("building: %w: choose %s", tables.ErrNotStated, shortList(t.buildings()))
	}
	for i, r := range t.rows.All() {
		if r.Building == building {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%w: building %q: choose %s", tables.ErrNotInCode, visible.Shorten(building),
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
	Flow     units.Flow      `json:"flow"`
	Citation tables.Citation `json:"citation,omitzero"`
}

func (t *peakTable) flow(building string, sum units.Flow) (PeakFlow, error) {
	i, err := t.row(building)
	if err != nil {
		return PeakFlow{}, err
	}
	r := t.rows.At(i)
	if s := inLitres(sum); !(s >= inLitres(r.MinSum) && s <= inLitres(r.MaxSum)) {
		return PeakFlow{}, fmt.Errorf("%w: sum %v: the constants hold from %v to %v", tables.ErrOutsideTable, sum, r.MinSum,
			r.MaxSum)
	}
	return PeakFlow{r.peak(sum), t.rows.Cite(i)}, nil
}

// PeakFlow returns the peak flow for a sum of the calculation flows of all draw-off
// points, by the formula of the code; [PeakFlowOfSum] states it. A code without
// one is [tables.ErrNotInCode].
func (c *Code) PeakFlow(building string, sum units.Flow) (PeakFlow, error) {
	c = c.there()
	if c.peak == nil {
		return PeakFlow{}, c.missing("constants of a peak flow formula")
	}
	return c.peak.flow(building, sum)
}

// Buildings lists the kinds of building that the code's peak flow formula tells
// apart; none where the code has no such formula.
func (c *Code) Buildings() []string {
	c = c.there()
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
// [tables.ErrOutsideTable]. Flows drawn longer than a quarter of an hour are added to the
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

// A HunterFixture is a kind of fixture as Hunter took it in 1940: what it draws, the
// share of the busiest time in which it draws, and the weight he gave it.
type HunterFixture struct {
	Fixture     string            `json:"fixture"`
	Flow        units.Flow        `json:"flow"`
	Duration    units.Duration    `json:"duration"`    // of one use
	Interval    units.Duration    `json:"interval"`    // between uses at the busiest time
	Probability float64           `json:"probability"` // Duration over Interval
	Weight      float64           `json:"weight"`      // fixture units
	Citations   []tables.Citation `json:"citations,omitzero"`
}

type hunterRow struct {
	Fixture   string `table:"fixture"`
	Parameter string `table:"parameter"`
	Value     string `table:"value"`
	Unit      string `table:"unit"`
}

// HunterFixtures returns Hunter's parameters, from the table hunter/supply-parameters.
//
// Source: R. B. Hunter, Methods of Estimating Loads in Plumbing Systems, National
// Bureau of Standards BMS 65 (1940).
func HunterFixtures(shelf *tables.Shelf) ([]HunterFixture, error) {
	const table = "hunter/supply-parameters"
	rows, err := tables.Load[hunterRow](shelf, table)
	if err != nil {
		return nil, fmt.Errorf("parameters of Hunter: %w", err)
	}
	var list []HunterFixture
	for i, r := range rows.All() {
		if len(list) == 0 || list[len(list)-1].Fixture != r.Fixture {
			list = append(list, HunterFixture{Fixture: r.Fixture})
		}
		f := &list[len(list)-1]
		text := []byte(r.Value + " " + r.Unit)
		switch r.Parameter {
		case "flow":
			err = f.Flow.UnmarshalText(text)
		case "duration":
			err = f.Duration.UnmarshalText(text)
		case "interval":
			err = f.Interval.UnmarshalText(text)
		case "weight":
			var w FixtureUnits
			w, err = ParseFixtureUnits(r.Value)
			f.Weight = w.Units()
		default:
			err = fmt.Errorf("parameter %q is not known", r.Parameter)
		}
		if err != nil {
			return nil, fmt.Errorf("table %s: %s: %s: %w", table, r.Fixture, r.Parameter, err)
		}
		f.Citations = append(f.Citations, rows.Cite(i))
	}
	for i := range list {
		f := &list[i]
		if !(f.Flow > 0 && f.Duration > 0 && f.Interval >= f.Duration && f.Weight > 0) {
			return nil, fmt.Errorf("table %s: %s: a parameter is missing or not positive", table, f.Fixture)
		}
		f.Probability = float64(f.Duration / f.Interval)
	}
	return list, nil
}

// A FixtureUse is the probability and the flow of a fixture in a study of use.
type FixtureUse struct {
	Fixture     string          `json:"fixture"`
	Style       string          `json:"style,omitzero"`
	Probability float64         `json:"probability"`
	Flow        units.Flow      `json:"flow"`
	Citation    tables.Citation `json:"citation,omitzero"`
}

type useRow struct {
	Fixture     string     `table:"fixture"`
	Style       string     `table:"style"`
	Probability float64    `table:"probability"`
	Flow        units.Flow `table:"flow"`
}

// EfficientFixtures returns the probabilities of use and flows of today's
// efficient fixtures in dwellings, from the table peak-demand-2017/supply-parameters.
// They are for dwellings only.
func EfficientFixtures(shelf *tables.Shelf) ([]FixtureUse, error) {
	rows, err := tables.Load[useRow](shelf, "peak-demand-2017/supply-parameters")
	if err != nil {
		return nil, fmt.Errorf("efficient fixtures: %w", err)
	}
	var list []FixtureUse
	for i, r := range rows.All() {
		list = append(list, FixtureUse{r.Fixture, r.Style, r.Probability, r.Flow, rows.Cite(i)})
	}
	return list, nil
}

// HunterConfidence is the confidence of Hunter's rule: more fixtures than the
// design number may be in use one hundredth of the time.
const HunterConfidence = 0.99

// A DemandComparison sets what a code's table asks for a load beside what the
// probability of simultaneous use gives for the fixtures that make the load. Neither
// is derived from the other. Only the table is approved by the code, where the code
// adopts no other method.
type DemandComparison struct {
	Table  Demand                `json:"table"`
	Exact  simultaneous.Quantile `json:"exact"`  // not exceeded with the confidence
	InUse  simultaneous.Quantile `json:"in_use"` // the same, given that something runs
	Normal units.Flow            `json:"normal"` // Wistort's approximation to Exact
	// Over is how much more the table asks than Exact; negative if it asks less.
	Over units.Flow `json:"over"`
	// Share is Table over Exact; 0 if Exact is 0.
	Share float64 `json:"share"`
}

// CompareDemand looks the load up in the code's table and works out the
// distribution of the groups beside it. load is what the code counts for the
// same fixtures; step is the lattice of [simultaneous.New]; the confidence is
// over 0 and under 1.
func (c *Code) CompareDemand(load FixtureUnits, system System, groups []simultaneous.Group, step units.Flow,
	confidence float64) (DemandComparison, error) {
	c = c.there()
	table, e1 := c.Demand(load, system)
	normal, e2 := simultaneous.NormalFlow(groups, confidence)
	if err := errors.Join(e1, e2); err != nil {
		return DemandComparison{}, err
	}
	s, err := simultaneous.New(groups, step)
	if err != nil {
		return DemandComparison{}, err
	}
	out := DemandComparison{Table: table, Normal: normal}
	if out.Exact, err = s.Quantile(confidence); err != nil {
		return DemandComparison{}, err
	}
	if s.InUse() > 0 {
		if out.InUse, err = s.QuantileInUse(confidence); err != nil {
			return DemandComparison{}, err
		}
	}
	out.Over = table.Flow - out.Exact.Flow
	if out.Exact.Flow > 0 {
		out.Share = float64(table.Flow / out.Exact.Flow)
	}
	return out, nil
}

// CompareHunter puts a load of nothing but f through the binomial law, with
// Hunter's parameters, beside the code's table: load over weight fixtures, the next
// whole number up.
func (c *Code) CompareHunter(load FixtureUnits, system System, f HunterFixture) (DemandComparison, error) {
	c = c.there()
	weight := FixtureUnits(f.Weight * float64(FixtureUnit))
	if !load.Valid() {
		return DemandComparison{}, load.Check()
	}
	if weight <= 0 {
		return DemandComparison{}, fmt.Errorf("%w: load %v of fixtures of weight %v", tables.ErrQuery, load, f.Weight)
	}
	n := int((load + weight - 1) / weight)
	return c.CompareDemand(load, system, []simultaneous.Group{{Count: n, Probability: f.Probability, Flow: f.Flow}},
		f.Flow, HunterConfidence)
}
