package supply

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
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
	keys      []fixtureKey // of fixtures
	ladders   []ladder
	share     FixtureUnits // of the total on each of two supplies, thousandths; 0: not given
	shareCite tables.Citation
	curves    [2]*demandCurve // by System
	outlets   *outletTable
	flows     *outletTable // outlet flows where outlets lacks them
	sizes     *sizeTable
	velocity  *velocityTable
	byLoad    *pipeByLoadTable
	hotLength *hotLengthTable
	hotVolume *ruleTable
	byUnits   *unitPipes
	peak      *peakTable
	leftOut   *tables.Rows[leftOutRow] // of usage units; nil: none
	taps      *tables.Rows[meterRow]
	rules     *ruleTable
	pipes     catalogue
	devices   deviceTables
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
	var codes []string
	for _, id := range ids {
		if set, ok := strings.CutSuffix(id, partsTable); ok {
			codes = append(codes, set)
		}
	}
	return codes, nil
}

// LoadCode binds the water supply tables of a code, such as "ipc-2021". An id that
// is not on the shelf is [ErrNotInCode], with the ids that are.
func LoadCode(shelf *tables.Shelf, id string) (*Code, error) {
	rows, err := tables.Load[part](shelf, id+partsTable)
	if errors.Is(err, tables.ErrNotFound) {
		codes, listErr := codeIDs(shelf)
		if listErr != nil {
			return nil, listErr
		}
		return nil, fmt.Errorf("%w: code %q: %swater supply tables are on the shelf for %s", ErrNotInCode,
			fixture.Shorten(id),
			visible.Meant(id, codes), strings.Join(codes, ", "))
	}
	if err != nil {
		return nil, fmt.Errorf("code %q: %w", id, err)
	}
	c := &Code{id: id, source: rows.Table().Source(), unit: "wsfu", pipes: catalogue{shelf: shelf}}
	c.pipes.inch = sync.OnceValue(c.inchBores)
	for i := range rows.Len() {
		p := *rows.At(i)
		p.cite = rows.Cite(i)
		c.parts = append(c.parts, p)
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
		{"outlet-flow", func(s *tables.Shelf, id string) (err error) {
			c.outlets,
				err = loadOutlets(s, id)
			return err
		}},
		{"flow-only", func(s *tables.Shelf, id string) (err error) { c.flows, err = loadOutlets(s, id); return err }},
		{"min-size", c.loadSizes},
		{"velocity", c.loadVelocity},
		{"pipe-by-load", c.loadPipeByLoad},
		{"pipe-by-units", c.loadPipeByUnits},
		{"peak-flow", func(s *tables.Shelf, id string) (err error) { c.peak, err = loadPeak(s, id); return err }},
		{"usage-unit", func(s *tables.Shelf, id string) (err error) {
			c.leftOut, err = tables.Load[leftOutRow](s, id)
			return err
		}},
		{"tap-loss", c.loadTaps},
		{"hot-length", c.loadHotLength},
		{"hot-volume", func(s *tables.Shelf, id string) (err error) { c.hotVolume, err = newRules(s, id); return err }},
	} {
		if p := c.part(load.part); p != nil {
			if err := load.load(shelf, p.Table); err != nil {
				return nil, fmt.Errorf("code %q: %s: %w", id, load.part, err)
			}
		}
	}
	return c, nil
}

func (c *Code) part(name string) *part {
	if i := slices.IndexFunc(c.parts, func(p part) bool { return p.Part == name }); i >= 0 {
		return &c.parts[i]
	}
	return nil
}

// ID returns the id of the code, such as "ipc-2021".
func (c *Code) ID() string { return c.id }

// Source returns the document of the code.
func (c *Code) Source() tables.Source { return c.source }

// LoadUnit returns what the code counts loads in: "wsfu", "lu" for loading units, or
// "L/s" where it counts no units and adds up the flows of the outlets.
func (c *Code) LoadUnit() string { return c.unit }

// A StandIn is a part of a code that a table of another document answers.
type StandIn struct {
	Part     string          // what is looked up
	Table    string          // id of the table that answers
	Reason   string          // why
	Citation tables.Citation // of the row that says so
}

// StandIns lists the parts of the code that a table of another document answers.
func (c *Code) StandIns() []StandIn {
	var list []StandIn
	for _, p := range c.parts {
		if p.StandIn {
			list = append(list, StandIn{p.Part, p.Table, p.cite.Note(), p.cite})
		}
	}
	return list
}

// missing is the error of a part that the code does not have.
func (c *Code) missing(what string) error {
	return fmt.Errorf("%w: %s has no table of %s", ErrNotInCode, c.id, what)
}
