package supply

import (
	"fmt"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Fixture asks for the load of one or more like fixtures. Only the fields that
// the code in hand distinguishes are looked at, and none is assumed: where the
// code needs a field that is not stated, the error names it and the choices.
type Fixture struct {
	// Kind is the fixture id, such as "water-closet"; [Code.FixtureKinds] lists
	// those of a code.
	Kind string `json:"fixture" read:"need"`
	// Count is how many there are, 1 to [MaxFixtures].
	Count   int     `json:"count" read:"from=1,to=1000000,else=1"`
	Use     Use     `json:"use,omitzero"`
	Control Control `json:"control,omitzero"`
	// Flush is the volume of one flush of a closet or urinal. Zero: not stated.
	Flush units.Volume `json:"flush,omitzero"`
	// Size tells fixtures apart that a code rates by the size of their valve or
	// tap. Zero: not stated.
	Size units.Length `json:"size,omitzero"`
	// Style tells outlets apart that a code rates by kind, such as a "siphonic"
	// from a "blowout" closet or a shower with a "mixing valve" from a "plain" one.
	// It plays no part in loads. Empty: not stated.
	Style string `json:"style,omitzero"`
}

// MaxFixtures is the greatest count of one fixture: a million.
const MaxFixtures = 1_000_000

// Use is who uses a fixture: private, public or assembly. The zero Use is not
// stated. It reads and writes itself as those words.
type Use = fixture.Use

// The uses that codes tell apart.
const (
	UseNotStated = fixture.UseNotStated
	Private      = fixture.Private  // a dwelling or a room for one household or guest
	Public       = fixture.Public   // a toilet room of a workplace, shop, school
	Assembly     = fixture.Assembly // public use in a place of assembly, in rushes
)

// Control is what lets the water of a fixture go: tank, valve, pressure-tank,
// faucet or waterless. The zero Control is not stated. It reads and writes itself
// as those words.
type Control = fixture.Control

// The controls that codes tell apart.
const (
	ControlNotStated = fixture.ControlNotStated
	Tank             = fixture.Tank         // gravity flush tank
	Valve            = fixture.Valve        // flushometer valve
	PressureTank     = fixture.PressureTank // flushometer tank
	Faucet           = fixture.Faucet
	Waterless        = fixture.Waterless
)

// The faults of a query to a code, for errors.Is.
var (
	// ErrNotStated means that the code tells apart what the query leaves open.
	ErrNotStated = tables.ErrNotStated
	// ErrNotInCode means that the code has no such fixture, part or table.
	ErrNotInCode = tables.ErrNotInCode
	// ErrOutsideTable means that no row of the table fits.
	ErrOutsideTable = tables.ErrOutsideTable
	// ErrQuery means that a value of the query cannot be.
	ErrQuery = fixture.ErrQuery
)

// check reports what is wrong with the query itself, before any table is asked.
func (f *Fixture) check() error {
	switch {
	case f.Kind == "":
		return fmt.Errorf("%w: fixture: no id", ErrQuery)
	case f.Count < 1 || f.Count > MaxFixtures:
		return fmt.Errorf("%w: fixture %q: count: %d is outside 1 to %d", ErrQuery, f.Kind, f.Count, MaxFixtures)
	case !fixture.Uses.Has(f.Use):
		return fmt.Errorf("%w: fixture %q: use: %v", ErrQuery, f.Kind, f.Use)
	case !fixture.Controls.Has(f.Control):
		return fmt.Errorf("%w: fixture %q: control: %v", ErrQuery, f.Kind, f.Control)
	case !(f.Flush >= 0 && f.Flush <= 1): // cubic metres
		return fmt.Errorf("%w: fixture %q: flush: %v is outside 0 to 1 m3", ErrQuery, f.Kind, f.Flush)
	case f.Size < 0:
		return fmt.Errorf("%w: fixture %q: size: %v is negative", ErrQuery, f.Kind, f.Size)
	}
	return nil
}
