package supply

import (
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// Quantities as findings put them, from the definitions of the units: the foot is 0.3048 m,
// the gallon 3.785412 L, the pound-force a square inch 6.894757 kPa, the Btu/h 0.293071 W.
func TestTradeUnits(t *testing.T) {
	for _, tc := range []struct {
		got          func(trade) fmt.Stringer
		metric, trad string
	}{
		{func(t trade) fmt.Stringer { return t.pressure(100 * units.PoundForcePerSquareInch) }, "689.5 kPa", "100 psi"},
		{func(t trade) fmt.Stringer { return t.velocity(10 * units.FootPerSecond) }, "3.05 m/s", "10 ft/s"},
		{func(t trade) fmt.Stringer { return t.flow(10 * units.USGallonPerMinute) }, "0.631 L/s", "10 gpm"},
		{func(t trade) fmt.Stringer { return t.volume(10 * units.USGallon) }, "37.85 L", "10 gal"},
		{func(t trade) fmt.Stringer { return t.power(1000 * units.BtuPerHour) }, "293 W", "1000 Btu/h"},
		{func(t trade) fmt.Stringer { return t.head(units.Head(3.048)) }, "3.05 m", "10 ft"},
		{func(t trade) fmt.Stringer { return t.temperature(units.Fahrenheit(212)) }, "100 degC", "212 degF"},
		{func(t trade) fmt.Stringer { return t.difference(10) }, "10 K", "18 degF"},
		{func(t trade) fmt.Stringer { return t.length(10 * units.Foot) }, "3.048 m", `10'-0"`},
	} {
		if m, c := tc.got(trade{metric: true}).String(), tc.got(trade{}).String(); m != tc.metric || c != tc.trad {
			t.Errorf("%s and %s, want %s and %s", m, c, tc.metric, tc.trad)
		}
	}
}
