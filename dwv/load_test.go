package dwv

import (
	"errors"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A plain number for a load is refused loudly, in the layout as in a query: it would be a
// small part of a unit, and sized by the smallest pipe.
func TestPlainLoad(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, load := range []FixtureUnits{1, 5, 250, 1000, 20_000, FixtureUnit + 250} {
		_, drain := c.DrainSize(DrainQuery{Part: Drain, Load: load, Grade: slope.OneIn(48)})
		_, vent := c.VentSize(VentQuery{Part: IndividualVent, Drain: 2 * units.Inch, Load: load, Length: units.Foot})
		for _, err := range []error{drain, vent} {
			if !errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), "*dwv.FixtureUnit") {
				t.Errorf("a load of %d: %v", load, err)
			}
		}
	}
	for _, load := range []FixtureUnits{0, FixtureUnit / 1000, FixtureUnit / 2} {
		if _, err := c.DrainSize(DrainQuery{Part: Drain, Load: load, Grade: slope.OneIn(48)}); err != nil {
			t.Errorf("a load of %v: %v", load, err)
		}
	}
}
