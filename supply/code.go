package supply

import (
	"encoding"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Code is a plumbing code's tables of water supply, bound to lookups. A part that
// a code does not print may be answered by a table of another document; the
// citation then names that document, and [Code.StandIns] lists such parts. A Code
// does not change and may be used by many at once.
type Code struct {
	id     string
	source tables.Source
	unit   string // of loads: wsfu, lu for loading units, or L/s for sums of flows

	parts     []part
	fixtures  *tables.Rows[fixtureRow]
	keys      *fixture.Rows // of fixtures
	ladders   []ladder
	share     FixtureUnits // of the total on each of two supplies, thousandths; 0: not given
	shareCite tables.Citation
	curves    [2]*demandCurve // by System
	outlets   *rated[outletRow]
	flows     *rated[outletRow] // outlet flows where outlets lacks them
	sizes     *rated[sizeRow]
	velocity  *tables.Rows[velocityRow]
	byLoad    *tables.Rows[pipeByLoadRow]
	manifolds *tables.Rows[manifoldRow] // nil: none
	homeRuns  *rated[sizeRow]           // nil: none
	hotLength *tables.Rows[hotLengthRow]
	hotVolume *tables.RuleSet
	byUnits   *unitPipes
	peak      *peakTable
	leftOut   *tables.Rows[leftOutRow] // of usage units; nil: none
	taps      *tables.Rows[meterRow]
	rules     *tables.RuleSet
	pipes     catalogue
	devices   deviceTables
	named     func() []*fixture.Rows // fixtures of every code on the shelf, read when first asked for
}

// part says which table plays which part in a code.
type part struct {
	Part    string `table:"part"`
	Table   string `table:"table"`
	StandIn bool   `table:"stand_in"`
	cite    tables.Citation
}

// partsTable is the name of the table in a set that lists its parts.
const partsTable = "/supply-tables"

// codeIDs returns the ids of the codes on a shelf that hold water supply tables.
func codeIDs(shelf *tables.Shelf) ([]string, error) {
	ids, err := shelf.IDs()
	if err != nil {
		return nil, err
	}
	var sets []string
	for _, id := range ids {
		if set, ok := strings.CutSuffix(id, partsTable); ok {
			sets = append(sets, set)
		}
	}
	return sets, nil
}

// LoadCode binds the water supply tables of a code, such as "ipc-2021". An id that
// is not on the shelf is [tables.ErrNotFound] and [tables.ErrNotInCode], with the ids that are.
func LoadCode(shelf *tables.Shelf, id string) (*Code, error) {
	rows, err := tables.Load[part](shelf, id+partsTable)
	if errors.Is(err, tables.ErrNotFound) {
		ids, listErr := codeIDs(shelf)
		if listErr != nil {
			return nil, listErr
		}
		missing := &codes.NoCode{ID: id, What: "a code of water", Codes: ids}
		for table, load := range map[string]string{"/fixtures": "dwv", "/discharge-units": "en12056"} {
			if codes.Holds(shelf, id+table) {
				missing.Hint = "it is a code of drains, which package " + load + " loads"
			}
		}
		return nil, missing
	}
	if err != nil {
		return nil, fmt.Errorf("code %q: %w", id, err)
	}
	c := &Code{id: id, source: rows.Table().Source(), unit: "wsfu", pipes: catalogue{shelf: shelf}}
	c.pipes.inch, c.pipes.odd = sync.OnceValue(c.inchBores), sync.OnceValue(c.oddSizes)
	c.named = sync.OnceValue(c.listsOfAll)
	for i, r := range rows.All() {
		c.parts = append(c.parts, *r)
		c.parts[i].cite = rows.Cite(i)
	}
	for _, load := range [...]struct {
		part string
		load func(*tables.Shelf, string) error
	}{
		{"rules", c.loadRules},
		{"progressive", c.loadLadders},
		{"fixture-units", c.loadFixtures},
		{"demand-tank", func(s *tables.Shelf, id string) error { return c.loadCurve(s, id, TankSystem) }},
		{"demand-valve", func(s *tables.Shelf, id string) error { return c.loadCurve(s, id, ValveSystem) }},
		{"outlet-flow", into(&c.outlets, loadRated[outletRow])},
		{"flow-only", into(&c.flows, loadRated[outletRow])},
		{"min-size", into(&c.sizes, loadSizes)},
		{"home-run", into(&c.homeRuns, loadSizes)},
		{"velocity", into(&c.velocity, tables.Load[velocityRow])},
		{"pipe-by-load", into(&c.byLoad, tables.Load[pipeByLoadRow])},
		{"manifold", into(&c.manifolds, tables.Load[manifoldRow])},
		{"pipe-by-units", c.loadPipeByUnits},
		{"peak-flow", into(&c.peak, loadPeak)},
		{"usage-unit", into(&c.leftOut, tables.Load[leftOutRow])},
		{"tap-loss", into(&c.taps, tables.Load[meterRow])},
		{"hot-length", into(&c.hotLength, tables.Load[hotLengthRow])},
		{"hot-volume", into(&c.hotVolume, (*tables.Shelf).Rules)},
	} {
		if p := c.part(load.part); p != nil {
			if err := load.load(shelf, p.Table); err != nil {
				return nil, fmt.Errorf("code %q: %s: %w", id, load.part, err)
			}
		}
	}
	return c, nil
}

// into loads a table into a field of a code.
func into[T any](field *T, load func(*tables.Shelf, string) (T, error)) func(*tables.Shelf, string) error {
	return func(shelf *tables.Shelf, id string) (err error) {
		*field, err = load(shelf, id)
		return err
	}
}

func (c *Code) part(name string) *part {
	if i := slices.IndexFunc(c.parts, func(p part) bool { return p.Part == name }); i >= 0 {
		return &c.parts[i]
	}
	return nil
}

// ID returns the id of the code, such as "ipc-2021".
func (c *Code) ID() string {
	if c == nil {
		return ""
	}
	return c.id
}

// String returns the id.
func (c *Code) String() string { return c.ID() }

// Source returns the document of the code.
func (c *Code) Source() tables.Source { return c.there().source }

// LoadUnit returns what the code counts loads in: "wsfu", "lu" for loading units, or
// "L/s" where it counts no units and adds up the flows of the outlets.
func (c *Code) LoadUnit() string { return c.there().unit }

// A StandIn is a part of a code that a table of another document answers.
type StandIn struct {
	Part     string          `json:"part"`              // what is looked up
	Table    string          `json:"table,omitzero"`    // id of the table that answers
	Reason   string          `json:"reason,omitzero"`   // why
	Citation tables.Citation `json:"citation,omitzero"` // of the row that says so
}

// StandIns lists the parts of the code that a table of another document answers.
func (c *Code) StandIns() []StandIn {
	var list []StandIn
	for _, p := range c.there().parts {
		if p.StandIn {
			list = append(list, StandIn{p.Part, p.Table, p.cite.Note(), p.cite})
		}
	}
	return list
}

// missing is the error of a part that the code does not have.
func (c *Code) missing(what string) error {
	return fmt.Errorf("%w: %s has no table of %s", tables.ErrNotOnShelf, c.id, what)
}

// covers names what the parts of a code answer.
var covers = [][2]string{
	{"fixture-units", "fixture loads"},
	{"demand-tank", "demand"},
	{"usage-unit", "usage units"},
	{"peak-flow", "peak flow"},
	{"outlet-flow", "flow and pressure at outlets"},
	{"min-size", "minimum supplies"},
	{"velocity", "velocity"},
	{"pipe-by-load", "pipe by load and length"},
	{"pipe-by-units", "pipe by loading units"},
	{"hot-length", "length of hot lines"},
	{"hot-volume", "volume of hot lines"},
	{"rules", "single rules"},
}

// Codes returns the codes on a shelf that hold water supply tables, by id, with what each
// covers.
func Codes(shelf *tables.Shelf) ([]tables.CodeInfo, error) {
	ids, err := codeIDs(shelf)
	if err != nil {
		return nil, err
	}
	return codes.List(shelf, ids, LoadCode, covers, func(c *Code, part string) bool { return c.part(part) != nil })
}

// Fixtures returns the kinds of fixtures that the code rates, with labels.
func (c *Code) Fixtures() []tables.Choice { return tables.Choices(c.there().keys.Names()...) }

// FixturesOf returns one fixture of a kind in every way in which the code's loads tell it apart, each with the
// use, control, flush or size that its load needs and no more: what a form offers once the kind
// is chosen. The styles that outlets are told apart by are those of [Code.Outlets].
func (c *Code) FixturesOf(kind string) []tables.Fixture {
	c = c.there()
	type answer struct {
		each   loads
		ladder int
		ports  string
	}
	return fixture.Ways(c.keys, kind, nil, func(f tables.Fixture) (answer, bool) {
		l, err := c.load(&f)
		return answer{l.Each, l.ladder, l.ports}, err == nil
	})
}

// Devices returns the kinds of devices that the run of a layout may end in, with labels.
func (c *Code) Devices() ([]tables.Choice, error) {
	if c = c.there(); c.pipes.shelf == nil {
		return nil, fmt.Errorf("%w: no code is given", tables.ErrQuery)
	}
	if err := c.devices.load(c.pipes.shelf); err != nil {
		return nil, err
	}
	return tables.Choices(c.devices.kinds...), nil
}

// DeviceSizes returns the sizes of a kind of device whose losses the shelf has, ascending: what the size of
// the device may be where its loss is not stated. A kind whose loss does not go by size has none.
func (c *Code) DeviceSizes(kind string) ([]units.Length, error) {
	c = c.there()
	if c.pipes.shelf == nil {
		return nil, fmt.Errorf("%w: no code is given", tables.ErrQuery)
	}
	if err := c.knowsDevice(kind); err != nil {
		return nil, err
	}
	size := func(r *meterRow) (units.Length, bool) { return r.Size, true }
	switch kind {
	case "meter":
		return tables.Distinct(c.devices.meters, size), nil
	case "tap":
		return tables.Distinct(c.taps, size), nil
	}
	return tables.Distinct(c.devices.ceiling,
		func(r *ceilingRow) (units.Length, bool) { return r.Size, r.Device == kind }), nil
}

// Shelf returns the shelf that the code was loaded from.
func (c *Code) Shelf() *tables.Shelf { return c.there().pipes.shelf }

var cautions = []string{
	"These are calculations, to be checked by a licensed plumber or engineer against the code in force and the " +
		"rulings of its authority. Nothing here is an approval.",
	"Hot water scalds within seconds at the temperatures that keep a tank safe: limit it at the outlets with devices " +
		"made for it.",
	"A cross-connection can poison a whole street: backflow protection is for the designer and the water purveyor to " +
		"decide.",
	"Test with water, never with compressed air or gas in plastic pipe unless its maker and the code allow it.",
}

// Cautions returns what whoever shows results of this package shows with them.
func Cautions() []string { return slices.Clone(cautions) }

func (c *Code) loadRules(shelf *tables.Shelf, id string) error {
	t, err := shelf.Rules(id)
	if err != nil {
		return err
	}
	c.rules = t
	r, ok := c.Rule("separate-supply-share")
	if !ok {
		return nil
	}
	if c.share, err = ParseFixtureUnits(r.Value); err != nil || c.share > FixtureUnit {
		return fmt.Errorf("%w: %v: %q is not a share of 0 to 1", tables.ErrQuery, r.Cite, r.Value)
	}
	c.shareCite = r.Cite
	return nil
}

// Rule returns a rule of the code by its id: a figure that stands in no table, such as the
// greatest static pressure, "static-pressure-max". ok is false if the code has no such rule.
func (c *Code) Rule(id string) (r tables.Rule, ok bool) { return c.there().rules.Rule(id) }

// ruled returns a rule of the code that is a quantity, and its row; false if the code has none.
func ruled[Q any, P quantity[Q]](c *Code, id string) (value Q, cite tables.Citation, ok bool) {
	return ruleOf[Q, P](c.Rules(), id)
}

// ruleOf is [ruled] of any set of rules. [tables.RuleValue] would make an error of each rule that
// a code does not have, fixture by fixture.
func ruleOf[Q any, P quantity[Q]](rules *tables.RuleSet, id string) (value Q, cite tables.Citation, ok bool) {
	r, ok := rules.Rule(id)
	ok = ok && r.Into(P(&value))
	return value, r.Cite, ok
}

// quantity is a type that reads itself from the text of a rule.
type quantity[Q any] interface {
	*Q
	encoding.TextUnmarshaler
}

// Rules returns all rules of the code, nil if it has none.
func (c *Code) Rules() *tables.RuleSet { return c.there().rules }

// MarshalText returns the id, so that what holds it can be written as JSON.
func (c *Code) MarshalText() ([]byte, error) { return []byte(c.ID()), nil }

// there returns c, or an empty code for none: it answers as one that has nothing.
func (c *Code) there() *Code {
	if c == nil {
		return new(Code)
	}
	return c
}
