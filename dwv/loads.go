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

// fixtureKind is the rows of one fixture id.
type fixtureKind struct {
	rows []fixtureRow
	// named is the controls that some row names; general tells that some row names
	// none.
	named   nameSet
	general bool
}

// nameSet is a set of values of a small enumeration, by bit.
type nameSet uint8

func (s nameSet) has(i uint8) bool { return s>>i&1 == 1 }

// fixtureRow is one row of the table of fixtures.
type fixtureRow struct {
	uses, controls    nameSet // empty: any
	over, to          int64   // flush in millionths of a US gallon; no upper bound: MaxInt64
	size              units.Length
	load              FixtureUnits
	byTrap, other     bool
	trap              units.Length
	closets           int
	drain, branch     units.Length
	cite, drainsCited tables.Citation
}

// fixtureRecord is a row as the table prints it.
type fixtureRecord struct {
	Row        string                    `table:"row"`
	Fixture    string                    `table:"fixture"`
	Use        string                    `table:"use,optional"`
	Control    string                    `table:"control,optional"`
	FlushOver  tables.Cell[float64]      `table:"flush_over[gal],optional"`
	FlushTo    tables.Cell[float64]      `table:"flush_to[gal],optional"`
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

// maxRowsPerKind is the width of the set of rows that a query narrows down.
const maxRowsPerKind = 64

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
	for i := 0; minima != nil && i < minima.Len(); i++ {
		least[minima.At(i).Row] = i
	}
	c.kinds = make(map[string]*fixtureKind)
	var errs []error
	for i := range rows.Len() {
		rec := rows.At(i)
		row := fixtureRow{
			over: -1, to: math.MaxInt64, size: rec.Size.Value, load: rec.Load.Value, trap: rec.Trap.Value,
			byTrap: rec.Load.Kind == tables.Blank, other: rec.OtherSizes == "yes",
			closets: rec.Closets.Value, cite: rows.Cite(i),
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
		var err error
		if row.uses, err = parseNames("use", tables.Uses(), rec.Use); err != nil {
			refuse("use", "%v", err)
		}
		if row.controls, err = parseNames("control", tables.Controls(), rec.Control); err != nil {
			refuse("control", "%v", err)
		}
		if v, ok := rec.FlushOver.Get(); ok {
			row.over = gallonMillionths(v * float64(units.USGallon))
		}
		if v, ok := rec.FlushTo.Get(); ok {
			row.to = gallonMillionths(v * float64(units.USGallon))
		}
		if m, ok := least[rec.Row]; ok {
			row.drain, row.branch, row.drainsCited = minima.At(m).MinDrain.Value, minima.At(m).MinBranch.Value,
				minima.Cite(m)
			delete(least, rec.Row)
		}
		for name := range strings.SplitSeq(rec.Fixture, ";") {
			row := row
			k := c.kinds[name]
			if k == nil {
				k = new(fixtureKind)
				c.kinds[name] = k
				c.kindList = append(c.kindList, name)
			}
			if rec.Closets.Kind == tables.Blank {
				row.closets = ClosetsOf(name)
			}
			k.rows = append(k.rows, row)
			k.named |= row.controls
			k.general = k.general || row.controls == 0
			if len(k.rows) > maxRowsPerKind {
				refuse("fixture", "more than %d rows for %q", maxRowsPerKind, name)
			}
		}
	}
	for name := range least {
		errs = append(errs, fmt.Errorf("%w: fixture-drain-minima names the row %q, which fixtures does not have",
			tables.ErrQuery, name))
	}
	slices.Sort(c.kindList)
	return errors.Join(errs...)
}

// parseNames reads names parted by semicolons into a set.
func parseNames(what string, names []string, s string) (set nameSet, err error) {
	if s == "" {
		return 0, nil
	}
	for name := range strings.SplitSeq(s, ";") {
		i := slices.Index(names, strings.TrimSpace(name))
		if i <= 0 {
			return 0, fmt.Errorf("%w: %s %q", tables.ErrQuery, what, name)
		}
		set |= 1 << i
	}
	return set, nil
}

// gallonMillionths rounds cubic metres to millionths of a US gallon, so that 1.6
// gal is 1.6 gal however it was written.
func gallonMillionths(v float64) int64 {
	return int64(math.RoundToEven(v / float64(units.USGallon) * 1e6))
}

// maxPipeSize is far above any nominal pipe size: 10 m.
const maxPipeSize = 10 * units.Metre

// HasFixture tells whether the code rates a kind of fixture.
func (c *Code) HasFixture(kind string) bool {
	c = c.there()
	return c.kinds[kind] != nil
}

// FixtureLoad returns the load of a fixture. Where the code tells apart what f does
// not state, the error matches [tables.ErrNotStated], names each such field and lists its
// choices; a kind the code does not rate is [tables.ErrNotInCode].
//
// A row that names a control goes before the rows that name none: IPC rates a
// closet with a flushometer tank in a row of its own, and one whose control is not
// stated in the rows by use and flush. A fixture without a figure of its own is
// rated by its trap, which Size must then state.
func (c *Code) FixtureLoad(f tables.Fixture) (Load, error) {
	c = c.there()
	if err := f.Check(); err != nil {
		return Load{}, fmt.Errorf("%s: %w", c.id, err)
	}
	k := c.kinds[f.Kind]
	if k == nil {
		if len(c.kinds) == 0 {
			return Load{}, c.fault("", "fixture", tables.ErrNotOnShelf, "the set has no table of fixtures")
		}
		return Load{}, c.fault("", "fixture", tables.ErrNotInCode,
			"no drainage load for %q; %sthe code rates %s (table %s/fixtures)",
			visible.Shorten(f.Kind),
			cmp.Or(codes.Called(f.Kind, c.kindList), visible.Meant(f.Kind, c.kindList)), visible.Some(c.kindList), c.id)
	}
	left, err := c.narrow(k, f)
	if err != nil {
		return Load{}, err
	}
	row := &k.rows[bits.TrailingZeros64(left)]
	each, cite, trap := row.load, row.cite, row.trap
	switch {
	case row.byTrap, row.other && f.Size != 0 && f.Size != row.size:
		if each, cite, err = c.trapLoad(f, row.trap); err != nil {
			return Load{}, err
		}
		trap = f.Size
	default:
		// Rows that agree in the load may differ in their standing; the weakest is
		// the one that may be claimed.
		for m := left; m != 0; m &= m - 1 {
			r := &k.rows[bits.TrailingZeros64(m)]
			if r.load != each || r.byTrap {
				return Load{}, c.notStated(k, left, f)
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
		Closets: row.closets * f.Count, Citation: cite, DrainCitation: row.drainsCited,
	}
	if l.Closets == 0 && c.sixUnit > 0 && each >= c.sixUnit {
		l.Closets = f.Count
	}
	return l, nil
}

// narrow returns the rows of a kind that fit what f states, as bits.
func (c *Code) narrow(k *fixtureKind, f tables.Fixture) (uint64, error) {
	left := ^uint64(0) >> (maxRowsPerKind - len(k.rows))
	named := f.Control != tables.ControlNotStated && k.named.has(uint8(f.Control))
	keep := func(field string, fits func(*fixtureRow) bool) error {
		was := left
		for m := left; m != 0; m &= m - 1 {
			if i := bits.TrailingZeros64(m); !fits(&k.rows[i]) {
				left &^= 1 << i
			}
		}
		if left == 0 {
			return c.fault(f.Kind, field, tables.ErrNotInCode, "the code has it only for %s", c.choices(k, was, field))
		}
		return nil
	}
	// Rows that name a control serve it alone; the rest serve the others, if any.
	if err := keep("control", func(r *fixtureRow) bool {
		switch {
		case named:
			return r.controls.has(uint8(f.Control))
		case k.general:
			return r.controls == 0
		}
		return f.Control == tables.ControlNotStated
	}); err != nil {
		return 0, err
	}
	if f.Use != tables.UseNotStated {
		if err := keep("use", func(r *fixtureRow) bool { return r.uses == 0 || r.uses.has(uint8(f.Use)) }); err != nil {
			return 0, err
		}
	}
	if f.Flush > 0 {
		flush := gallonMillionths(float64(f.Flush))
		if err := keep("flush", func(r *fixtureRow) bool { return r.over < flush && flush <= r.to }); err != nil {
			return 0, err
		}
	}
	if f.Size != 0 {
		if err := keep("size", func(r *fixtureRow) bool {
			return r.size == 0 || r.other ||
				r.size == f.Size
		}); err != nil {
			return 0, err
		}
	}
	return left, nil
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
	i := c.traps.find(f.Size)
	if i < 0 {
		return 0, tables.Citation{},
			c.fault(f.Kind, "size", tables.ErrOutsideTable, "%s: the code rates traps of %s", FormatSize(f.Size),
				c.traps.list())
	}
	return c.traps.loads[i], c.traps.cites[i], nil
}

// fixtureFields are the fields a code may tell fixtures apart by.
var fixtureFields = [...]string{"use", "control", "flush", "size"}

// notStated makes the error that names every field on which the load still hangs,
// with its choices.
func (c *Code) notStated(k *fixtureKind, left uint64, f tables.Fixture) error {
	stated := [...]bool{f.Use != tables.UseNotStated, f.Control != tables.ControlNotStated, f.Flush > 0, f.Size != 0}
	var list faults.List
	for n, field := range fixtureFields {
		if !stated[n] && k.loadDependsOn(left, n) {
			list.Add(units.Fault{Item: c.id + " " + f.Kind, Field: field,
				Err: fmt.Errorf("%w: %s", tables.ErrNotStated, c.choices(k, left, field))})
		}
	}
	if list.Len() == 0 {
		return c.fault(f.Kind, "", tables.ErrNotStated, "rows that differ in something this package has no field for")
	}
	return list.Err()
}

// loadDependsOn reports whether two of the rows left differ in the load and, of what is
// told apart, in that field alone; or, where the rows are not so regular, whether
// they differ in the field at all.
func (k *fixtureKind) loadDependsOn(left uint64, field int) bool {
	regular, differs := false, false
	for a := left; a != 0; a &= a - 1 {
		for b := a & (a - 1); b != 0; b &= b - 1 {
			x, y := &k.rows[bits.TrailingZeros64(a)], &k.rows[bits.TrailingZeros64(b)]
			apart, alone := x.apart(y)
			if x.load != y.load && alone >= 0 {
				regular = true
				if alone == field {
					return true
				}
			}
			differs = differs || apart[field]
		}
	}
	return !regular && differs
}

// apart tells in which fields two rows differ; alone is the field if there is but
// one, else -1.
func (r *fixtureRow) apart(s *fixtureRow) (fields [len(fixtureFields)]bool, alone int) {
	fields = [...]bool{r.uses != s.uses, r.controls != s.controls, r.over != s.over || r.to != s.to, r.size != s.size}
	alone = -1
	for i, d := range fields {
		switch {
		case d && alone >= 0:
			return fields, -1
		case d:
			alone = i
		}
	}
	return fields, alone
}

// choices lists the different values of a field among the rows left.
func (c *Code) choices(k *fixtureKind, left uint64, field string) string {
	var list []string
	add := func(s string) {
		if s != "" && !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	set := func(s nameSet, names []string) {
		for i := range names {
			if s.has(uint8(i)) {
				add(names[i])
			}
		}
	}
	for m := left; m != 0; m &= m - 1 {
		r := &k.rows[bits.TrailingZeros64(m)]
		switch field {
		case "use":
			set(r.uses, tables.Uses())
		case "control":
			set(r.controls, tables.Controls())
		case "flush":
			switch {
			case r.over >= 0 && r.to < math.MaxInt64:
				add(fmt.Sprintf("over %s to %s gal", millionths(r.over), millionths(r.to)))
			case r.over >= 0:
				add(fmt.Sprintf("over %s gal", millionths(r.over)))
			case r.to < math.MaxInt64:
				add(fmt.Sprintf("%s gal or less", millionths(r.to)))
			}
		case "size":
			if r.size != 0 {
				add(FormatSize(r.size))
			}
		}
	}
	if field == "flush" {
		// A row that is chosen by its control needs no flush.
		for i := range k.rows {
			if k.rows[i].over < 0 && k.rows[i].to == math.MaxInt64 && left>>i&1 == 0 {
				set(k.rows[i].controls, tables.Controls())
			}
		}
	}
	return strings.Join(list, ", ")
}

func millionths(n int64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%d.%06d", n/1e6, n%1e6), "0"), ".")
}

// Loads returns the exact sum of the loads of fixtures. All faults come back
// together, each with the place of its fixture in the list.
func (c *Code) Loads(list []tables.Fixture) (FixtureUnits, error) {
	c = c.there()
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
	if err := wrong.Err(); err != nil {
		return 0, err
	}
	return sum, nil
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
	if rows == nil {
		return err
	}
	for i := range rows.Len() {
		r := rows.At(i)
		to, err := c.flowMillionths(r.To, units.USGallonPerMinute)
		if err != nil {
			return fmt.Errorf("intermittent-flow: %w", err)
		}
		c.flows = append(c.flows, flowStep{to, r.Load, rows.Cite(i)})
	}
	return nil
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
	c = c.there()
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
	ids, err := shelf.IDs()
	if err != nil {
		return nil
	}
	var names []string
	for _, id := range ids {
		if !strings.HasSuffix(id, "/fitting-turns") {
			continue
		}
		rows, err := tables.Load[struct {
			Fitting string `table:"fitting"`
		}](shelf, id)
		for i := 0; err == nil && i < rows.Len(); i++ {
			names = append(names, rows.At(i).Fitting)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// FixtureKindsOn returns the kinds of fixture that the codes of a shelf rate. A table
// that cannot be read says so when its own code is loaded.
func FixtureKindsOn(shelf *tables.Shelf) map[string]bool {
	known := map[string]bool{}
	ids, err := shelf.IDs()
	if err != nil {
		return known
	}
	for _, id := range ids {
		if !strings.HasSuffix(id, "/fixtures") {
			continue
		}
		rows, err := tables.Load[struct {
			Fixture string `table:"fixture"`
		}](shelf, id)
		for i := 0; err == nil && i < rows.Len(); i++ {
			for kind := range strings.SplitSeq(rows.At(i).Fixture, ";") {
				known[kind] = true
			}
		}
	}
	return known
}
