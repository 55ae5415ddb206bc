package supply

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// FixtureUnits is a water supply load in fixture units, exact to a thousandth, in the
// loading units of European standards, or in the sums of outlet flows, in L/s, of those
// that count no units; its methods and its text form, such as "2.2 wsfu", are those of
// [tables.FixtureUnits]. 7 units are 7*supply.FixtureUnit: a bare number is no load and is
// refused. Loads of drainage are another type.
type FixtureUnits = tables.FixtureUnits[tables.WaterLoad]

// One water supply fixture unit, and the greatest load that is accepted, a thousand million.
const (
	FixtureUnit     FixtureUnits = tables.FixtureUnit
	MaxFixtureUnits FixtureUnits = tables.MaxFixtureUnits
)

// thousandth of a fixture unit.
const thousandth = FixtureUnit / 1000

// What codes count loads in: a code that adds up flows counts these.
const (
	fixtureUnit = "wsfu"
	loadingUnit = "lu"
	flowUnit    = "L/s"
)

// ParseFixtureUnits reads "2.2 wsfu", "3 lu", "0.15 L/s" or a bare "4" as
// [tables.ParseFixtureUnits] does.
func ParseFixtureUnits(s string) (FixtureUnits, error) {
	return tables.ParseFixtureUnits[tables.WaterLoad](s)
}

// CodeLoad is a load with the unit that its code counts in: fixture units, the loading units
// of EN 806-3 and BS 6700, or L/s where the flows of outlets are added up. Its text, as %v and
// JSON write it, says the unit; its FixtureUnits is the count, to reckon and compare with.
type CodeLoad struct {
	FixtureUnits
	unit string // empty: wsfu
}

// String returns the load in its unit, such as "2.2 wsfu", "3 lu" or "0.15 L/s".
func (l CodeLoad) String() string { return l.In(cmp.Or(l.unit, fixtureUnit)) }

// MarshalText returns the text of String.
func (l CodeLoad) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// AppendText appends the text of String.
func (l CodeLoad) AppendText(b []byte) ([]byte, error) { return append(b, l.String()...), nil }

// UnmarshalText reads what [ParseFixtureUnits] reads, and keeps the unit.
func (l *CodeLoad) UnmarshalText(text []byte) error {
	u, err := ParseFixtureUnits(string(text))
	if err != nil {
		return err
	}
	l.FixtureUnits, l.unit = u, ""
	for _, unit := range [...]string{loadingUnit, flowUnit} {
		if strings.HasSuffix(strings.TrimSpace(string(text)), unit) {
			l.unit = unit
		}
	}
	return nil
}

// counted returns a load in the unit of the code.
func (c *Code) counted(u FixtureUnits) CodeLoad {
	if c.unit == fixtureUnit {
		return CodeLoad{FixtureUnits: u}
	}
	return CodeLoad{u, c.unit}
}

// shareOf returns u times a share of 0 to 1, rounded up to a thousandth.
func shareOf(u, share FixtureUnits) FixtureUnits {
	n := (u/thousandth)*(share/thousandth) + 999
	return n / 1000 * thousandth
}

// fixtureRow is what a row of a code's table of fixture loads answers.
type fixtureRow struct {
	Ports       string                    `table:"ports"`
	Cold        tables.Cell[FixtureUnits] `table:"cold"`
	Hot         tables.Cell[FixtureUnits] `table:"hot"`
	Total       tables.Cell[FixtureUnits] `table:"total"`
	Progressive string                    `table:"progressive"`
}

// ladder holds loads that fall with the number of fixtures on a line.
type ladder struct {
	name  string
	added []FixtureUnits // by the first, second, ... fixture; the last serves the rest
	cites []tables.Citation
}

// of returns the load of n fixtures on one line, and the row of the last.
func (l *ladder) of(n int) (FixtureUnits, tables.Citation) {
	var sum FixtureUnits
	for i, a := range l.added {
		if n <= i {
			return sum, l.cites[max(n-1, 0)]
		}
		sum += a
	}
	last := len(l.added) - 1
	return sum + FixtureUnits(n-len(l.added))*l.added[last], l.cites[last]
}

type ladderRow struct {
	Ladder string       `table:"ladder"`
	Nth    int          `table:"nth"`
	Added  FixtureUnits `table:"added"`
}

func (c *Code) loadLadders(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[ladderRow](shelf, id)
	if err != nil {
		return err
	}
	for i, r := range rows.All() {
		n := len(c.ladders)
		if n == 0 || c.ladders[n-1].name != r.Ladder {
			c.ladders = append(c.ladders, ladder{name: r.Ladder})
			n++
		}
		l := &c.ladders[n-1]
		if l.added = append(l.added, r.Added); len(l.added) != r.Nth {
			return fmt.Errorf("%w: %s: ladder %q: row %d where %d is due", tables.ErrQuery, id, r.Ladder, r.Nth, len(l.added))
		}
		l.cites = append(l.cites, rows.Cite(i))
	}
	return nil
}

func (c *Code) loadFixtures(shelf *tables.Shelf, id string) error {
	rows, err := loadRated[fixtureRow](shelf, id)
	if err != nil {
		return err
	}
	t := rows.Table()
	if unit := t.Columns()[t.Column("total")].Unit; unit == loadingUnit || unit == flowUnit {
		c.unit = unit
	}
	for i, r := range rows.All() {
		if r.Progressive != "" && c.ladder(r.Progressive) < 0 {
			return fmt.Errorf("%w: %s: no ladder %q", tables.ErrNotInCode, rows.Cite(i), r.Progressive)
		}
		if r.Progressive == "" && r.Total.Kind != tables.Value {
			return fmt.Errorf("%w: %s: neither a total nor a ladder", tables.ErrNotInCode, rows.Cite(i))
		}
	}
	c.fixtures, c.keys = rows.Rows, rows.keys
	return nil
}

func (c *Code) ladder(name string) int {
	return slices.IndexFunc(c.ladders, func(l ladder) bool { return l.name == name })
}

// Load is what a set of fixtures puts on the cold line, on the hot line, and on a
// line that feeds both. The total is not the sum of the other two: a fixture
// rarely draws from both at its full rate.
type Load struct {
	Cold  CodeLoad `json:"cold"`
	Hot   CodeLoad `json:"hot"`
	Total CodeLoad `json:"total"`
}

// loads are a [Load] to reckon with.
type loads struct{ Cold, Hot, Total FixtureUnits }

// counted returns the loads in the unit of the code.
func (l loads) counted(c *Code) Load {
	return Load{c.counted(l.Cold), c.counted(l.Hot), c.counted(l.Total)}
}

// FixtureLoad is the load of an item of like fixtures, alone on their lines.
type FixtureLoad struct {
	tables.Fixture
	Load
	// Each is the load of one alone; the count times it, unless the load falls with
	// the number of fixtures.
	Each     Load            `json:"each"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// entry is what a row says of like fixtures: [FixtureLoad] to reckon with.
type entry struct {
	tables.Fixture
	loads
	Each     loads
	Citation tables.Citation
	ladder   int    // or -1
	ports    string // cold, hot or both, as the row says
}

// entry finds the row of a fixture and what one of them puts on its lines.
func (c *Code) entry(f *tables.Fixture) (entry, error) {
	if err := f.Check(); err != nil {
		return entry{}, err
	}
	if c.fixtures == nil {
		return entry{}, c.missing("fixture loads")
	}
	row, err := c.rowFor(c.keys, f, func(a, b int) bool {
		x, y := c.fixtures.At(a), c.fixtures.At(b)
		return x.Ports == y.Ports && x.Cold == y.Cold && x.Hot == y.Hot && x.Total == y.Total &&
			x.Progressive == y.Progressive
	})
	if err != nil {
		return entry{}, err
	}
	return c.entryAt(f, row)
}

// entryAt reads a row for a fixture.
func (c *Code) entryAt(f *tables.Fixture, row int) (entry, error) {
	r := c.fixtures.At(row)
	e := entry{Fixture: *f, Citation: c.fixtures.Cite(row), ladder: -1, ports: r.Ports}
	if r.Progressive != "" {
		e.ladder = c.ladder(r.Progressive)
		v, _ := c.ladders[e.ladder].of(1)
		e.Each = loads{Cold: v, Total: v}
		return e, nil
	}
	e.Each.Total = r.Total.Value
	cold, okCold := r.Cold.Get()
	hot, okHot := r.Hot.Get()
	switch {
	case okCold || okHot:
		e.Each.Cold, e.Each.Hot = cold, hot
	case r.Ports == "cold":
		e.Each.Cold = r.Total.Value
	case r.Ports == "hot":
		e.Each.Hot = r.Total.Value
	case c.share == 0:
		return entry{}, fmt.Errorf("%w: fixture %q: %s gives no share of each of two supplies", tables.ErrNotOnShelf,
			f.Kind, c.id)
	default:
		e.Each.Cold = shareOf(r.Total.Value, c.share)
		e.Each.Hot = e.Each.Cold
	}
	return e, nil
}

// FixtureLoad returns the load of an item of like fixtures. Where the code tells
// apart what the query leaves open, the error is [tables.ErrNotStated] and names the field
// and the choices; a fixture or a kind of it that the code does not list is
// [tables.ErrNotInCode].
func (c *Code) FixtureLoad(f tables.Fixture) (FixtureLoad, error) {
	c = c.there()
	e, err := c.load(&f)
	if err != nil {
		return FixtureLoad{}, err
	}
	return e.counted(c), nil
}

// load is the entry of a fixture with the load of all.
func (c *Code) load(f *tables.Fixture) (entry, error) {
	e, err := c.entry(f)
	switch {
	case err != nil:
		return entry{}, err
	case e.ladder >= 0:
		e.Total, e.Citation = c.ladders[e.ladder].of(f.Count)
		e.Cold = e.Total
		return e, nil
	}
	e.loads, err = e.Each.times(f.Count)
	return e, err
}

// counted returns the entry in the unit of the code.
func (e *entry) counted(c *Code) FixtureLoad {
	return FixtureLoad{Fixture: e.Fixture, Load: e.loads.counted(c), Each: e.Each.counted(c), Citation: e.Citation}
}

func (l loads) times(n int) (loads, error) {
	cold, e1 := l.Cold.Times(n)
	hot, e2 := l.Hot.Times(n)
	total, e3 := l.Total.Times(n)
	return loads{cold, hot, total}, cmp.Or(e1, e2, e3)
}

// Loads is the load of a list of fixtures on common lines.
type Loads struct {
	Load
	// Items are the loads of the fixtures in the order given, each as if alone. The
	// sum of those whose load falls with their number is less than their parts.
	Items []FixtureLoad `json:"items"`
	// Progressive are the loads counted by number rather than by item.
	Progressive []ProgressiveLoad `json:"progressive"`
}

// ProgressiveLoad is the load of fixtures whose load falls with their number.
type ProgressiveLoad struct {
	Kind     string          `json:"kind"`
	Count    int             `json:"count"`
	Total    CodeLoad        `json:"total"`
	Citation tables.Citation `json:"citation,omitzero"` // of the last row counted
}

// Loads returns the load of all fixtures together. Every fixture that cannot be
// answered is reported, joined in one error.
func (c *Code) Loads(fixtures []tables.Fixture) (Loads, error) {
	c = c.there()
	var sum loadSum
	out := Loads{Items: make([]FixtureLoad, 0, len(fixtures))}
	var errs []error
	for i := range fixtures {
		item, err := c.load(&fixtures[i])
		if err == nil {
			err = sum.add(&item)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("fixtures[%d]: %w", i, err))
			continue
		}
		out.Items = append(out.Items, item.counted(c))
	}
	if len(errs) > 0 {
		return Loads{}, errors.Join(errs...)
	}
	out.Load, out.Progressive = sum.load(c)
	return out, nil
}

// loadSum gathers loads: those that add up, and counts of those that fall with
// their number.
type loadSum struct {
	plain  loads
	counts [maxLadders]int
}

// maxLadders bounds the kinds of fixture whose load falls with their number.
const maxLadders = 8

func (s *loadSum) add(item *entry) error {
	if item.ladder >= 0 {
		s.counts[item.ladder] += item.Count
		return nil
	}
	for _, p := range [...]struct {
		dst *FixtureUnits
		v   FixtureUnits
	}{{&s.plain.Cold, item.Cold}, {&s.plain.Hot, item.Hot}, {&s.plain.Total, item.Total}} {
		v, err := p.dst.Add(p.v)
		if err != nil {
			return err
		}
		*p.dst = v
	}
	return nil
}

func (s *loadSum) load(c *Code) (Load, []ProgressiveLoad) {
	l := s.plain
	var list []ProgressiveLoad
	for i := range c.ladders {
		if n := s.counts[i]; n > 0 {
			v, cite := c.ladders[i].of(n)
			l.Cold += v
			l.Total += v
			list = append(list, ProgressiveLoad{c.ladders[i].name, n, c.counted(v), cite})
		}
	}
	return l.counted(c), list
}
