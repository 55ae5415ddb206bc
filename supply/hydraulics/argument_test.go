package hydraulics

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// A refusal says what was given and what is taken, with units where there are any.
func TestArgumentErrors(t *testing.T) {
	_, hot := WaterAt(units.Celsius(101))
	_, cold := WaterAt(units.Celsius(-1))
	_, c := Friction{Method: HazenWilliams, Bore: units.Inch, C: 0.5,
		Water: Water{Density: 1000, KinematicViscosity: 1e-6}}.Resistance()
	_, bore := Velocity(0.001, 0)
	for _, tc := range []struct {
		err   error
		text  string
		value string
	}{
		{hot, "temperature: 101 degC is not at least 0 degC and at most 100 degC", "101 degC"},
		{cold, "temperature: -1 degC is not at least 0 degC and at most 100 degC", "-1 degC"},
		{c, "c: 0.5 is not at least 1 and at most 200", "0.5"},
		{bore, "bore: 0 m is not more than 0 m and at most 100 m", "0 m"},
	} {
		x, ok := errors.AsType[*units.RangeError](tc.err)
		if !ok || x.Error() != tc.text || x.Value != tc.value || !errors.Is(tc.err, units.ErrRange) {
			t.Errorf("got %v, want %s", tc.err, tc.text)
		}
	}
}
