package dwv

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Load is the load of one kind of fixture, and what the code asks of its drain.
type Load struct {
	Units FixtureUnits `json:"units"` // of all of them: Each times the count
	Each  FixtureUnits `json:"each"`  // of one
	// TrapSize is the least trap. Zero: as the outlet of the fixture.
	TrapSize units.Length `json:"trap_size"`
	// MinDrain is the least drain beyond the trap, MinBranch the least branch or
	// stack that it joins. Zero: the code asks nothing beyond its tables.
	MinDrain  units.Length `json:"min_drain"`
	MinBranch units.Length `json:"min_branch"`
	// Closets is how many water closets there are in all of them. A trap that the
	// code counts like one (UPC: six fixture units or more) is one.
	Closets int `json:"closets"`
	// Citation is the row that gives the load, DrainCitation the one that gives
	// MinDrain and MinBranch.
	Citation      tables.Citation `json:"citation,omitzero"`
	DrainCitation tables.Citation `json:"drain_citation,omitzero"`
}

// fixtureRow is what one row of the table of fixtures answers.
type fixtureRow struct {
	size              units.Length
	load              FixtureUnits
	byTrap, other     bool
	trap              units.Length
	closets           tables.Cell[int]
	drain, branch     units.Length
	cite, drainsCited tables.Citation
}

// fixtureRecord is a row as the table prints it; for which fixtures it is, package fixture
// reads.
type fixtureRecord struct {
	Row        string                    `table:"row"`
	Size       tables.Cell[units.Length] `table:"size,optional"`
	Load       tables.Cell[FixtureUnits] `table:"load"`
	Trap       tables.Cell[units.Length] `table:"trap,optional"`
	Closets    tables.Cell[int]          `table:"closets[1],optional"`
	OtherSizes string                    `table:"other_sizes,optional"`
}

type minimaRecord struct {
	Row       string                    `table:"row"`
	MinDrain  tables.Cell[units.Length] `table:"min_drain"`
	MinBranch tables.Cell[units.Length] `table:"min_branch"`
}

// Bathrooms returns how many bathrooms, with bath or shower, and how many half ones,
// with closet and lavatory alone, a kind of fixture stands for: "bathroom-group",
// "half-bathroom-group", and as the IRC counts them "bathroom-groups-2-5", two and a
// half.
func Bathrooms(kind string) (full, half int) {
	switch kind {
	case "bathroom-group":
		return 1, 0
	case "half-bathroom-group":
		return 0, 1
	}
	number, ok := strings.CutPrefix(kind, "bathroom-groups-")
	if !ok {
		return 0, 0
	}
	if whole, ok := strings.CutSuffix(number, "-5"); ok {
		number, half = whole, 1
	}
	full, err := strconv.Atoi(number)
	if err != nil || full < 1 || full > 100 {
		return 0, 0
	}
	return full, half
}

// ClosetsOf returns how many water closets a kind of fixture is or contains, whatever
// the table of a code leaves out.
func ClosetsOf(kind string) int {
	if kind == "water-closet" {
		return 1
	}
	full, half := Bathrooms(kind)
	return full + half
}

func (c *Code) loadFixtures(shelf *tables.Shelf) error {
	rows, err := table[fixtureRecord](c, shelf, "fixtures", "row")
	if rows == nil {
		return err
	}
	minima, err := table[minimaRecord](c, shelf, "fixture-drain-minima", "row")
	if err != nil {
		return err
	}
	least := make(map[string]int)
	for i, m := range minima.All() {
		least[m.Row] = i
	}
	var errs []error
	if c.fixtures, err = fixture.Load(shelf, c.id+"/fixtures"); err != nil {
		errs = append(errs, err)
	}
	c.fixtureRows = make([]fixtureRow, rows.Len())
	for i, rec := range rows.All() {
		row := fixtureRow{
			size: rec.Size.Value, load: rec.Load.Value, trap: rec.Trap.Value, byTrap: rec.Load.Kind == tables.Blank,
			other: rec.OtherSizes == "yes", closets: rec.Closets, cite: rows.Cite(i),
		}
		refuse := func(column, format string, args ...any) {
			file, line := row.cite.File()
			errs = append(errs, &units.Fault{File: file, Line: line, Item: rec.Row, Field: column,
				Err: fmt.Errorf("%w: "+format, append([]any{tables.ErrQuery}, args...)...)})
		}
		if rec.Load.Kind == tables.Unlimited || rec.Load.Kind == tables.NotPermitted {
			refuse("load", "a load is a number, or blank where the trap gives it")
		}
		if rec.Closets.Value < 0 || rec.Closets.Value > 100 {
			refuse("closets", "%d", rec.Closets.Value)
		}
		if m, ok := least[rec.Row]; ok {
			row.drain, row.branch, row.drainsCited = minima.At(m).MinDrain.Value, minima.At(m).MinBranch.Value,
				minima.Cite(m)
			delete(least, rec.Row)
		}
		c.fixtureRows[i] = row
	}
	for name := range least {
		errs = append(errs, fmt.Errorf("%w: fixture-drain-minima names the row %q, which fixtures does not have",
			tables.ErrQuery, name))
	}
	c.kindList = slices.Sorted(slices.Values(c.fixtures.Names()))
	return errors.Join(errs...)
}

// maxPipeSize is far above any nominal pipe size: 10 m.
const maxPipeSize = 10 * units.Metre

// HasFixture tells whether the code rates a kind of fixture.
func (c *Code) HasFixture(kind string) bool { return c.there().fixtures.Has(kind) }

// unlisted is the kind of any fixture that a code's table does not list.
const unlisted = "unlisted"

// FixtureLoad returns the load of a fixture. Where the code tells apart what f does
// not state, the error matches [tables.ErrNotStated], names each such field and lists its
// choices; a kind the code does not rate is [tables.ErrNotInCode].
//
// A row that names a control goes before the rows that name none, and these before it
// where no control is stated: IPC rates a closet with a flushometer tank in a row of its own,
// and one whose control is not stated in the rows by use and flush. A fixture without a
// figure of its own is rated by its trap, which Size must then state.
func (c *Code) FixtureLoad(f tables.Fixture) (Load, error) {
	c = c.there()
	if err := f.Check(); err != nil {
		return Load{}, fmt.Errorf("%s: %w", c.id, err)
	}
	if len(c.fixtureRows) == 0 {
		return Load{}, c.fault("", "fixture", tables.ErrNotOnShelf, "the set has no table of fixtures")
	}
	fit, err := c.fixtures.Fit(&f)
	if err != nil {
		return Load{}, err
	}
	if fit.None() {
		meant, other := cmp.Or(codes.Called(f.Kind, c.kindList), visible.Meant(f.Kind, c.kindList)), ""
		if meant == "" && slices.Contains(c.kindList, unlisted) {
			other = "; what it does not list is \"unlisted\", rated by its trap"
		}
		return Load{}, c.fault("", "fixture", tables.ErrNotInCode,
			"no drainage load for %q; %sthe code rates %s (table %s/fixtures)%s", visible.Shorten(f.Kind), meant,
			visible.Some(c.kindList), c.id, other)
	}
	row := &c.fixtureRows[fit.First()]
	each, cite, closets := row.load, row.cite, row.closets
	var trap units.Length
	switch {
	case row.byTrap, row.other && f.Size != 0 && f.Size != row.size:
		if each, cite, err = c.trapLoad(f, row.trap); err != nil {
			return Load{}, err
		}
		trap = f.Size
	default:
		one, err := fit.One(func(a, b int) bool {
			x, y := &c.fixtureRows[a], &c.fixtureRows[b]
			return x.load == y.load && !x.byTrap && !y.byTrap
		})
		if err != nil {
			return Load{}, err
		}
		// Rows that agree in the load may differ in their standing; the weakest is
		// the one that may be claimed.
		row = &c.fixtureRows[one]
		each, cite, trap, closets = row.load, row.cite, row.trap, row.closets
		for i := range fit.All() {
			r := &c.fixtureRows[i]
			if r.load != each {
				continue
			}
			if r.cite.Status() < cite.Status() {
				cite = r.cite
			}
			if r.drain > row.drain {
				row = r // the stricter of what may be
			}
		}
	}
	total, err := each.Times(f.Count)
	if err != nil {
		return Load{}, c.fault(f.Kind, "count", tables.ErrQuery, "%w", err)
	}
	l := Load{
		Units: total, Each: each, TrapSize: trap, MinDrain: row.drain, MinBranch: row.branch,
		Closets: closets.Value * f.Count, Citation: cite, DrainCitation: row.drainsCited,
	}
	if closets.Kind == tables.Blank {
		l.Closets = ClosetsOf(f.Kind) * f.Count
	}
	if l.Closets == 0 && c.sixUnit > 0 && each >= c.sixUnit {
		l.Closets = f.Count
	}
	return l, nil
}

// trapLoad rates a fixture by its trap, which is at least the trap given.
func (c *Code) trapLoad(f tables.Fixture, least units.Length) (FixtureUnits, tables.Citation, error) {
	if f.Size == 0 {
		return 0, tables.Citation{}, c.fault(f.Kind, "size", tables.ErrNotStated, "traps of %s", c.traps.list())
	}
	if f.Size < least {
		return 0, tables.Citation{},
			c.fault(f.Kind, "size", tables.ErrOutsideTable, "%s is under the least trap, %s", FormatSize(f.Size),
				FormatSize(least))
	}
	r, cite, err := c.traps.find(c, "", "trap-loads", f.Size)
	if err != nil {
		return 0, tables.Citation{},
			c.fault(f.Kind, "size", tables.ErrOutsideTable, "%s: the code rates traps of %s", FormatSize(f.Size),
				c.traps.list())
	}
	return r.Load, cite, nil
}

func millionths(n int64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%d.%06d", n/1e6, n%1e6), "0"), ".")
}

// Loads returns the exact sum of the loads of fixtures. All faults come back
// together, each with the place of its fixture in the list.
func (c *Code) Loads(list []tables.Fixture) (FixtureUnits, error) {
	var sum FixtureUnits
	var wrong faults.List
	for i, f := range list {
		l, err := c.FixtureLoad(f)
		if err == nil {
			sum, err = sum.Add(l.Units)
		}
		if err != nil {
			wrong.Add(units.Fault{Item: fmt.Sprintf("fixture %d", i+1), Err: err})
		}
	}
	return faults.Result(sum, wrong.Err())
}

// flowStep is a row of the table of intermittent flows.
type flowStep struct {
	to   int64 // millionths of a US gallon a minute
	load FixtureUnits
	cite tables.Citation
}

type flowRecord struct {
	To   units.Flow   `table:"flow_to"`
	Load FixtureUnits `table:"load"`
}

func (c *Code) loadFlows(shelf *tables.Shelf) error {
	rows, err := table[flowRecord](c, shelf, "intermittent-flow", "flow_to")
	for i, r := range rows.All() {
		to, err := c.flowMillionths(r.To, units.USGallonPerMinute)
		if err != nil {
			return fmt.Errorf("intermittent-flow: %w", err)
		}
		c.flows = append(c.flows, flowStep{to, r.Load, rows.Cite(i)})
	}
	return err
}

// flowMillionths brings a flow to millionths of a unit of flow, so that a limit is
// met exactly however the flow was written.
func (c *Code) flowMillionths(q, unit units.Flow) (int64, error) {
	g := float64(q) / float64(unit)
	if !(g >= 0 && g <= 1e6) {
		return 0, c.fault("", "flow", tables.ErrQuery, "not from 0 to 1000000 %s", flowUnit(unit))
	}
	return int64(math.RoundToEven(g * 1e6)), nil
}

func flowUnit(unit units.Flow) string {
	if unit == units.LitrePerSecond {
		return "L/s"
	}
	return "gpm"
}

// ContinuousRate returns how many fixture units the code counts for each US gallon
// a minute of continuous flow.
func (c *Code) ContinuousRate() (perGPM float64, cite tables.Citation, err error) {
	c = c.there()
	if c.rate.cite.IsZero() {
		return 0, tables.Citation{}, c.fault("", "flow", tables.ErrNotOnShelf, "no load for a continuous flow")
	}
	return float64(c.rate.thousandths) / 1000 * float64(units.USGallonPerMinute/c.rate.per), c.rate.cite, nil
}

// ContinuousLoad returns the load of a continuous or semi-continuous flow, such as
// that of a pump or an ejector, at the rate of the code. The flow is taken to a
// millionth of the unit of that rate, a US gallon a minute or a litre a second, and
// the load rounded up to a thousandth of a fixture unit.
func (c *Code) ContinuousLoad(q units.Flow) (Load, error) {
	if _, _, err := c.ContinuousRate(); err != nil {
		return Load{}, err
	}
	g, err := c.flowMillionths(q, c.rate.per)
	if err != nil {
		return Load{}, err
	}
	// Both factors are at most 1e12, so that the quotient fits.
	hi, lo := bits.Mul64(uint64(g), uint64(c.rate.thousandths))
	u, rest := bits.Div64(hi, lo, 1e6)
	if rest > 0 {
		u++
	}
	if u > uint64(MaxFixtureUnits/thousandth) {
		return Load{}, c.fault("", "flow", tables.ErrQuery, "gives more than %v", MaxFixtureUnits)
	}
	load := FixtureUnits(u) * thousandth
	return Load{Units: load, Each: load, Citation: c.rate.cite}, nil
}

// IntermittentLoad returns the load of an intermittent flow from the table of the
// code: that of the next greater row. A code without such a table is
// [tables.ErrNotInCode]; a flow above its last row is [tables.ErrOutsideTable].
func (c *Code) IntermittentLoad(q units.Flow) (Load, error) {
	c = c.there()
	if len(c.flows) == 0 {
		return Load{}, c.fault("", "flow", tables.ErrNotOnShelf, "no table of intermittent flows")
	}
	g, err := c.flowMillionths(q, units.USGallonPerMinute)
	if err != nil {
		return Load{}, err
	}
	for i := range c.flows {
		if s := &c.flows[i]; g <= s.to {
			return Load{Units: s.load, Each: s.load, Citation: s.cite}, nil
		}
	}
	return Load{}, c.fault("", "flow", tables.ErrOutsideTable, "the table ends at %s gpm",
		millionths(c.flows[len(c.flows)-1].to))
}

// FittingsOn returns the names of the fittings that some code of a shelf judges turns by,
// sorted.
func FittingsOn(shelf *tables.Shelf) []string {
	var names []string
	onShelf(shelf, "/fitting-turns", func(r *struct {
		Fitting string `table:"fitting"`
	}) {
		names = append(names, r.Fitting)
	})
	slices.Sort(names)
	return slices.Compact(names)
}

// onShelf calls with each row of the tables of one name in all sets of a shelf.
func onShelf[T any](shelf *tables.Shelf, name string, call func(*T)) {
	ids, _ := shelf.IDs() // of a shelf that cannot be read there are none
	for _, id := range ids {
		if !strings.HasSuffix(id, name) {
			continue
		}
		rows, _ := tables.Load[T](shelf, id)
		for _, r := range rows.All() {
			call(r)
		}
	}
}

// FixtureKindsOn returns the kinds of fixture that the codes of a shelf rate. A table
// that cannot be read says so when its own code is loaded.
func FixtureKindsOn(shelf *tables.Shelf) map[string]bool {
	known := map[string]bool{}
	onShelf(shelf, "/fixtures", func(r *struct {
		Fixture string `table:"fixture"`
	}) {
		for kind := range strings.SplitSeq(r.Fixture, ";") {
			known[kind] = true
		}
	})
	return known
}
