package dwv

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Code is one edition of a plumbing code, its tables bound to lookups. It is made
// by [LoadCode], does not change, and may be used by many at once. Lookups that
// succeed allocate nothing.
//
// A lookup answers with the row that decided, as a [tables.Citation]. A row that
// was only recalled still answers; its status says so, and a check that rests on
// it comes out as ask.
type Code struct {
	id     string
	shelf  *tables.Shelf // that it was loaded from
	source tables.Source

	fixtures    *fixture.Rows
	fixtureRows []fixtureRow // by the row of the table
	kindList    []string
	traps       bySize[trapLoadRecord] // fixtures rated by their trap
	flows       []flowStep             // intermittent flow
	rate        rateRule               // continuous flow
	sixUnit     FixtureUnits           // a trap of this load counts as a closet; 0: none does
	parts       [partCount]capacities
	nominal     []cited[nominalRecord]
	closets     [partCount][]cited[closetRecord]
	ventClos    []cited[closetRecord]
	grades      [partCount][]cited[minGradeRecord]
	arms        bySize[armRecord]
	stacks      bySize[stackLengthRecord]
	gravity     *tables.Rows[gravityRecord] // gravity grease interceptors; nil if the set has none
	vents       ventTables
	made        []units.Length        // sizes in which pipe is made, ascending
	lengths     map[string]lengthRule // rules with a length
	// Three of them that are asked for at every run or vent.
	belowGround, ventMin, ventLong lengthRule
	rules                          *tables.RuleSet // nil if the set has none
	sized                          sizedTables
	cleanout                       bySize[cleanoutRecord]
	spacing                        *tables.Rows[spacingRecord]
	turns                          map[turnKey]cited[turnRecord]
	pipes                          map[string]PipeStandard
	dropped                        []tables.Change // rows that amendments took away
}

// LoadCode binds the tables of a set to lookups: "ipc-2021", "upc-2021", or any
// other directory of the shelf in the same form. A table the set does not have
// leaves its lookups answering [tables.ErrNotInCode]; a set without fixtures, pipe sizes,
// trap arms and vents is no code. All faults of all tables come back together.
// A set holds one edition: where a province prints other figures in some tables, it
// is another set.
//
// The tables of a set are fixtures, fixture-drain-minima, trap-loads,
// intermittent-flow, building-drain, building-sewer, branches-and-stacks,
// grade-factors, nominal-grades, water-closets, min-grade, trap-arm, vent-sizes,
// vent-min-size, stack-lengths, common-vent, wet-vent, waste-stack-vent,
// combination-vent, cleanout-size, cleanout-spacing, fitting-turns, pipe-standards,
// gravity-interceptor and rules. Their headers say what
// each column means.
func LoadCode(shelf *tables.Shelf, id string) (*Code, error) {
	if shelf == nil {
		return nil, fmt.Errorf("code %q: %w: no shelf", id, tables.ErrQuery)
	}
	c := &Code{id: id, shelf: shelf}
	var errs []error
	note := func(err error) {
		if err != nil && !errors.Is(err, tables.ErrNotFound) {
			errs = append(errs, err)
		}
	}
	for _, load := range []func(*tables.Shelf) error{
		c.loadRules, c.loadFixtures, c.loadFlows, c.loadSizes, c.loadNominal, c.loadClosets, c.loadMinGrades, c.loadSized,
		c.loadVents, c.loadTurns, c.loadPipes,
	} {
		note(load(shelf))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, fmt.Errorf("code %q: %w", id, err)
	}
	if _, err := shelf.Table(europeanID + "/discharge-units"); err == nil && id == europeanID {
		return nil, fmt.Errorf("code %q: %w as a code of fixture units: it sizes by flow; load it with "+
			"en12056.LoadStandard and size layouts with drains.Layout.SizeEuropean", id, tables.ErrNotFound)
	}
	if len(c.fixtureRows) == 0 && !c.parts[Drain].any() && !c.parts[Branch].any() && c.arms.len() == 0 &&
		len(c.vents.any) == 0 && len(c.vents.byDrain) == 0 {
		sets := setsWithFixtures(shelf)
		if _, err := shelf.Table(europeanID + "/discharge-units"); err == nil {
			sets = append(sets, europeanID) // whose own package is named when it is asked for
		}
		missing := &codes.NoCode{ID: id, What: "a code of drains", Codes: sets}
		if codes.Holds(shelf, id+"/supply-tables") {
			missing.Hint = "it is a code of water, which supply.LoadCode loads"
		}
		return nil, missing
	}
	return c, nil
}

// LoadRules binds the single rules of a set that sizes by another method than fixture
// units, such as EN 12056-2 (see dwv/en12056): what it has on fixtures, pipe and vents is
// read elsewhere, and its lookups answer [tables.ErrNotInCode] here. A set without a table of rules
// is [tables.ErrNotFound].
func LoadRules(shelf *tables.Shelf, id string) (*Code, error) {
	if shelf == nil {
		return nil, fmt.Errorf("code %q: %w: no shelf", id, tables.ErrQuery)
	}
	c := &Code{id: id, shelf: shelf}
	table, err := shelf.Table(id + "/rules")
	if err == nil {
		c.source = table.Source()
		err = c.loadRules(shelf)
	}
	if err != nil {
		return nil, fmt.Errorf("code %q: %w", visible.Shorten(id), err)
	}
	return c, nil
}

// europeanID is the set of the European method, see dwv/en12056.
const europeanID = "en12056-2"

// codeIDs returns the ids of the codes on a shelf by which drains can be sized.
func codeIDs(shelf *tables.Shelf) ([]string, error) {
	ids, err := shelf.IDs()
	if err != nil {
		return nil, err
	}
	var sets []string
	for _, id := range ids {
		set, ok := strings.CutSuffix(id, "/fixtures")
		if ok && (slices.Contains(ids, set+"/building-drain") || slices.Contains(ids, set+"/branches-and-stacks")) {
			sets = append(sets, set)
		}
	}
	return sets, nil
}

// setsWithFixtures lists the codes of a shelf for a message.
func setsWithFixtures(shelf *tables.Shelf) []string {
	sets, err := codeIDs(shelf)
	if err != nil || len(sets) == 0 {
		return []string{"no code"}
	}
	return sets
}

// ID returns the id of the set on the shelf, such as "ipc-2021".
func (c *Code) ID() string {
	if c == nil {
		return ""
	}
	return c.id
}

// String returns the id.
func (c *Code) String() string { return c.ID() }

// Shelf returns the shelf that the code was loaded from.
func (c *Code) Shelf() *tables.Shelf { return c.there().shelf }

// Source returns the document of the code, with its edition.
func (c *Code) Source() tables.Source { return c.there().source }

// table reads a table of the set, or returns nil if the set does not have it. Its
// key must be the one given: a table that tells apart more, such as two editions,
// would have its rows mixed up.
func table[T any](c *Code, shelf *tables.Shelf, name, key string) (*tables.Rows[T], error) {
	rows, err := tables.Load[T](shelf, c.id+"/"+name)
	if errors.Is(err, tables.ErrNotFound) {
		return nil, nil
	}
	if err == nil {
		if got := strings.Join(rows.Table().Keys(), ", "); got != key {
			return nil, fmt.Errorf("%s: %w: the key is %q, a code's is %q", rows.Table().ID(), tables.ErrQuery, got, key)
		}
	}
	if err == nil {
		c.noteDropped(rows.Table())
	}
	if err == nil && c.source.ID == "" {
		c.source = rows.Table().Source()
	}
	return rows, err
}

// noteDropped keeps what amendments dropped from a table of the code.
func (c *Code) noteDropped(t *tables.Table) {
	for _, change := range t.Changes() {
		if change.Op == "drop" {
			c.dropped = append(c.dropped, change)
		}
	}
}

// Dropped returns the rows that amendments took away from the tables of the code.
func (c *Code) Dropped() []tables.Change { return slices.Clone(c.there().dropped) }

// fault makes the error of a lookup: the code, the item and field asked for, and
// why there is no answer.
func (c *Code) fault(item, field string, cause error, format string, args ...any) error {
	return c.refuse(item, field, fmt.Errorf("%w: "+format, append([]any{cause}, args...)...))
}

// refuse is the error about a field of an item, with its whole cause.
func (c *Code) refuse(item, field string, cause error) error {
	return &units.Fault{Item: strings.TrimSpace(c.ID() + " " + item), Field: field, Err: cause}
}

// cited is what a row says, and the row.
type cited[T any] struct {
	is   T
	cite tables.Citation
}

// lengthRule is a rule whose value is a length.
type lengthRule = cited[tables.Cell[units.Length]]

// rateRule is fixture units for each unit of flow.
type rateRule struct {
	thousandths int64
	per         units.Flow
	cite        tables.Citation
}

// ratePer is what codes count a continuous flow in.
var ratePer = map[string]units.Flow{"dfu/gpm": units.USGallonPerMinute, "fu/(L/s)": units.LitrePerSecond}

// loadRules reads the single rules of the set, on which other tables rest.
func (c *Code) loadRules(shelf *tables.Shelf) error {
	table, err := shelf.Table(c.id + "/rules")
	if err == nil {
		c.rules, err = shelf.Rules(c.id)
	}
	if err != nil {
		return err
	}
	c.noteDropped(table)
	c.lengths = make(map[string]lengthRule)
	var errs []error
	for i := range c.rules.Len() {
		r := c.rules.At(i)
		switch r.Unit {
		case "in", "ft", "mm", "m":
			l := lengthRule{cite: r.Cite}
			l.is.Kind = r.Kind
			if r.Kind == tables.Value {
				if err := l.is.Value.UnmarshalText([]byte(r.String())); err != nil {
					errs = append(errs, fmt.Errorf("rule %q: %w", r.ID, err))
				}
			}
			c.lengths[r.ID] = l
		}
	}
	c.belowGround, c.ventMin, c.ventLong = c.lengths[ruleBelowGroundMin], c.lengths[ruleVentMinSize],
		c.lengths[ruleVentLong]
	if r, ok := c.rules.Rule(ruleSixUnitTrap); ok && r.Kind == tables.Value {
		u, err := ParseFixtureUnits(r.String())
		errs = append(errs, err)
		c.sixUnit = u
	}
	if r, ok := c.rules.Rule(ruleContinuousFlow); ok && r.Kind == tables.Value {
		u, err := ParseFixtureUnits(r.Value)
		per, known := ratePer[r.Unit]
		if err != nil || !known {
			errs = append(errs, fmt.Errorf("rule %q: %w: want a number of dfu/gpm or fu/(L/s), got %q", r.ID,
				tables.ErrFixtureUnits, r.String()))
		}
		c.rate = rateRule{int64(u / thousandth), per, r.Cite}
	}
	return errors.Join(errs...)
}

// The rules that lookups rest on.
const (
	ruleSixUnitTrap     = "six-unit-trap"
	ruleContinuousFlow  = "continuous-flow-load"
	ruleBranchAsDrain   = "branch-as-drain"
	ruleBelowGroundMin  = "below-ground-min-size"
	ruleClosetArm       = "trap-arm-closet"
	ruleArmMinLength    = "trap-arm-min-length"
	ruleVentMinSize     = "vent-min-size"
	ruleIndividualShare = "individual-vent-min-fraction"
	ruleStackVentShare  = "stack-vent-min-fraction"
	ruleVentLong        = "vent-long-length"
)

// Rule returns a rule of the set by its id, such as "cleanout-spacing": a figure
// that stands in no table. ok is false if the code has no such rule.
func (c *Code) Rule(id string) (r tables.Rule, ok bool) {
	return c.there().rules.Rule(id)
}

// Rules returns all rules of the set, nil if it has none.
func (c *Code) Rules() *tables.RuleSet { return c.there().rules }

// RuleLength returns a rule that is a length in in, ft, mm or m. The cell is a
// value, not permitted ("-"), unlimited (the code sets no limit) or blank (the code
// leaves the figure to others). An id the code does not have is [tables.ErrNotInCode].
func (c *Code) RuleLength(id string) (tables.Cell[units.Length], tables.Citation, error) {
	c = c.there()
	if r, ok := c.lengths[id]; ok {
		return r.is, r.cite, nil
	}
	return tables.Cell[units.Length]{}, tables.Citation{},
		c.fault("", "", tables.ErrNotOnShelf, "no rule %q that is a length", id)
}

// RuleNumber returns a rule that is a number in the unit named, such as "deg",
// "count", "ratio" or "pipe diameters". One that is blank, not permitted or
// unlimited is an error, as is another unit: look at [Code.Rule] for those.
func (c *Code) RuleNumber(id, unit string) (float64, tables.Citation, error) {
	x, cite, ok := c.FindNumber(id, unit)
	if ok {
		return x, cite, nil
	}
	r, ok := c.Rule(id)
	switch {
	case !ok:
		return 0, tables.Citation{}, c.fault("", "", tables.ErrNotOnShelf, "no rule %q", id)
	case r.Kind != tables.Value || r.Unit != unit:
		return 0, r.Cite, c.fault("", "", tables.ErrNotInCode, "rule %q is %v, not a number of %s", id, r, unit)
	}
	_, err := parseRatio(r.Value)
	return 0, r.Cite, c.fault("", "", tables.ErrQuery, "rule %q: %v", id, err)
}

// FindLength is [Code.RuleLength] where it matters only that the code has no such
// length, or sets no limit.
func (c *Code) FindLength(id string) (x units.Length, cite tables.Citation, ok bool) {
	c = c.there()
	r := c.lengths[id]
	x, ok = r.is.Get()
	return x, r.cite, ok
}

// FindNumber is [Code.RuleNumber] where it matters only that there is no such number.
func (c *Code) FindNumber(id, unit string) (float64, tables.Citation, bool) {
	r, ok := c.Rule(id)
	if !ok || r.Kind != tables.Value || r.Unit != unit {
		return 0, tables.Citation{}, false
	}
	v, err := parseRatio(r.Value)
	if err != nil {
		return 0, tables.Citation{}, false
	}
	return float64(v.num) / float64(v.den), r.Cite, true
}

// RuleGrade returns a rule that is a grade in in/ft.
func (c *Code) RuleGrade(id string) (slope.Grade, tables.Citation, error) {
	r, ok := c.Rule(id)
	if !ok || r.Kind != tables.Value {
		return slope.Grade{}, r.Cite, c.fault("", "", tables.ErrNotOnShelf, "no rule %q that is a grade", id)
	}
	var g slope.Grade
	if err := g.UnmarshalText([]byte(r.String())); err != nil {
		return slope.Grade{}, r.Cite, c.fault("", "", tables.ErrQuery, "rule %q: %v", id, err)
	}
	return g, r.Cite, nil
}

// ratio is an exact number of a rule.
type ratio struct{ num, den int64 }

// of returns r*l, exact or rounded up to the next nanometre.
func (r ratio) of(l units.Length) units.Length {
	n := int64(l) * r.num
	return units.Length((n + r.den - 1) / r.den)
}

// parseRatio reads "0.5", "2" or "1/3", all with few digits.
func parseRatio(s string) (ratio, error) {
	num, den := s, "1"
	if a, b, ok := strings.Cut(s, "/"); ok {
		num, den = a, b
	}
	n, err := ParseFixtureUnits(num) // exact, to three decimals
	if err != nil {
		return ratio{}, fmt.Errorf("%w: %q is not a small number", tables.ErrQuery, s)
	}
	d, err := ParseFixtureUnits(den)
	if err != nil || d == 0 || n > 1000*FixtureUnit || d > 1000*FixtureUnit {
		return ratio{}, fmt.Errorf("%w: %q is not a small number", tables.ErrQuery, s)
	}
	return ratio{int64(n / thousandth), int64(d / thousandth)}, nil
}

// MarshalText returns the id, so that what holds it can be written as JSON.
func (c *Code) MarshalText() ([]byte, error) { return []byte(c.ID()), nil }

// there returns c, or an empty code for none: it answers as one that has nothing.
func (c *Code) there() *Code {
	if c == nil {
		return new(Code)
	}
	return c
}
