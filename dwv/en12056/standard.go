package en12056

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Standard is the European method of sizing drains inside buildings, EN 12056-2,
// bound to its tables. It does not add units to be looked up in a table that
// holds the simultaneity, as American codes do, but flows:
//
//	Qww = K sqrt(sum DU)    Qtot = Qww + Qc + Qp
//
// with a discharge unit DU in litres a second for each appliance, a frequency
// factor K for the use of the building, and continuous and pumped flows Qc and Qp
// added whole. The flow is never less than the largest single discharge unit. A
// Standard is immutable and safe for concurrent use.
//
// Discharge units depend on the system: I, one stack with branches half full; II,
// small branches to 0.7 of the bore; III, branches that run full, each appliance
// on its own; IV, closets and urinals on a stack of their own.
type Standard struct {
	shelf       *tables.Shelf
	appliances  *tables.Rows[applianceRow]
	frequencies *tables.Rows[frequencyRow]
	systems     *tables.Rows[systemRow]
	open        *tables.Rows[branchRow] // unventilated branches
	vented      *tables.Rows[branchRow]
	stacks      *tables.Rows[stackRow]
	drains      *tables.Rows[drainRow]
	single      [2]*tables.Rows[systemIIIRow] // unventilated, ventilated
	rules       *tables.RuleSet
}

// ID is the id of the set of tables that Standard reads.
const ID = "en12056-2"

type applianceRow struct {
	Fixture string                    `table:"fixture"`
	Variant string                    `table:"variant"`
	Flush   tables.Cell[float64]      `table:"flush[L]"`
	Size    tables.Cell[units.Length] `table:"size"`
	System  string                    `table:"system"`
	DU      tables.Cell[float64]      `table:"du[L/s]"`
	DUHigh  tables.Cell[float64]      `table:"du_high[L/s]"`
}

type frequencyRow struct {
	Usage string  `table:"usage"`
	K     float64 `table:"k"`
	What  string  `table:"what"`
}

type systemRow struct {
	System  string               `table:"system"`
	Filling tables.Cell[float64] `table:"filling"`
	What    string               `table:"what"`
}

type branchRow struct {
	System  string                    `table:"system"`
	MaxFlow float64                   `table:"max_flow[L/s]"`
	Size    tables.Cell[units.Length] `table:"size"`
	Vent    tables.Cell[units.Length] `table:"vent,optional"`
	Closets tables.Cell[int64]        `table:"most_closets"`
}

type stackRow struct {
	Vent     string                    `table:"vent"`
	Entry    string                    `table:"entry"`
	Size     units.Length              `table:"size"`
	VentSize tables.Cell[units.Length] `table:"vent_size"`
	MaxFlow  float64                   `table:"max_flow[L/s]"`
}

type drainRow struct {
	Filling  float64      `table:"filling"`
	Grade    slope.Grade  `table:"grade"`
	Size     units.Length `table:"size"`
	MaxFlow  float64      `table:"max_flow[L/s]"`
	Velocity float64      `table:"velocity[m/s]"`
}

// LoadStandard binds the tables of EN 12056-2 on a shelf.
func LoadStandard(shelf *tables.Shelf) (*Standard, error) {
	e := &Standard{shelf: shelf}
	var errs [10]error
	e.appliances, errs[0] = tables.Load[applianceRow](shelf, ID+"/discharge-units")
	e.frequencies, errs[1] = tables.Load[frequencyRow](shelf, ID+"/frequency-factors")
	e.systems, errs[2] = tables.Load[systemRow](shelf, ID+"/systems")
	e.open, errs[3] = tables.Load[branchRow](shelf, ID+"/branch-unventilated")
	e.vented, errs[4] = tables.Load[branchRow](shelf, ID+"/branch-ventilated")
	e.stacks, errs[5] = tables.Load[stackRow](shelf, ID+"/stacks")
	e.drains, errs[6] = tables.Load[drainRow](shelf, ID+"/drain-capacity")
	e.single[0], errs[7] = tables.Load[systemIIIRow](shelf, ID+"/branch-unventilated-system-iii")
	e.single[1], errs[8] = tables.Load[systemIIIRow](shelf, ID+"/branch-ventilated-system-iii")
	e.rules, errs[9] = shelf.Rules(ID)
	if err := errors.Join(errs[:]...); err != nil {
		return nil, fmt.Errorf("EN 12056-2: %w", err)
	}
	return e, nil
}

// ID returns the id of the set on the shelf, [ID].
func (e *Standard) ID() string { return ID }

// String returns the id.
func (e *Standard) String() string { return ID }

// Source returns the document of the standard, with its edition.
func (e *Standard) Source() tables.Source {
	if e = e.there(); e.appliances == nil {
		return tables.Source{}
	}
	return e.appliances.Table().Source()
}

// Shelf returns the shelf that the tables were loaded from.
func (e *Standard) Shelf() *tables.Shelf { return e.there().shelf }

// NotJudged lists by family what stands in the standard's tables and no check reads, and then
// what EN 12056-2 asks of drains inside buildings and the shelf has no row of.
func (e *Standard) NotJudged() ([]tables.Unjudged, error) {
	if e = e.there(); e.shelf == nil {
		return nil, fmt.Errorf("EN 12056-2: %w: not loaded", tables.ErrQuery)
	}
	list, err := e.shelf.NotJudged(ID, tables.Drains)
	return append(list, tables.Unjudged{Family: "what the shelf has no row of", Rows: []string{
		"seals of traps, system III excepted", "access for rodding", "ends of vents above a roof", "air admittance valves",
		"branches near the foot of a stack", "length of vents", "material", "test of the drains",
		"what a country adds to the standard"}}), err
}

// MarshalText returns the id, so that what holds it can be written as JSON.
func (e *Standard) MarshalText() ([]byte, error) { return []byte(ID), nil }

// there returns e, or an empty standard for none: it answers as one that has nothing.
func (e *Standard) there() *Standard {
	if e == nil {
		return new(Standard)
	}
	return e
}
