package dwv

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Fixture asks for the load of one or more like fixtures. Only the fields that
// the code in hand distinguishes are looked at, and none is assumed: where the
// code needs a field that is not stated, the error names it and the choices.
type Fixture struct {
	// Kind is the fixture id, such as "water-closet"; [Code.Fixtures] lists
	// those of a code.
	Kind string `json:"fixture"`
	// Count is how many there are, 1 to [MaxFixtures].
	Count   int     `json:"count" read:"from=1,to=1000000,else=1"`
	Use     Use     `json:"use,omitzero"`
	Control Control `json:"control,omitzero"`
	// Flush is the volume of one flush of a closet or urinal. Zero: not stated.
	Flush units.Volume `json:"flush,omitzero"`
	// Size is the trap of a fixture that the code rates by size. Zero: not stated.
	Size units.Length `json:"size,omitzero" read:"size"`
}

// MaxFixtures is the greatest count of one fixture: a million.
const MaxFixtures = 1_000_000

// Use is who uses a fixture: private, public or assembly. The zero Use is not
// stated. It reads and writes itself as those words.
type Use = tables.Use

// The uses that codes tell apart.
const (
	UseNotStated = tables.UseNotStated
	Private      = tables.Private  // a dwelling or a room for one household or guest
	Public       = tables.Public   // a toilet room of a workplace, shop, school
	Assembly     = tables.Assembly // public use in a place of assembly, in rushes
)

// Control is what lets the water of a fixture go: tank, valve, pressure-tank,
// faucet, waterless or hybrid. The zero Control is not stated. It reads and writes itself
// as those words.
type Control = tables.Control

// The controls that codes tell apart.
const (
	ControlNotStated = tables.ControlNotStated
	Tank             = tables.Tank         // gravity flush tank
	Valve            = tables.Valve        // flushometer valve
	PressureTank     = tables.PressureTank // flushometer tank
	Faucet           = tables.Faucet
	Waterless        = tables.Waterless
	Hybrid           = tables.Hybrid // a urinal without water that rinses its drain now and then
)
