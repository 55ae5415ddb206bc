package dwv

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestGravityInterceptor: the volume for a load at each side of a row of UPC 2021, Table 1014.3.6, as it is on the shelf.
func TestGravityInterceptor(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	for load, want := range map[FixtureUnits]units.Volume{0: 500, 8 * FixtureUnit: 500, 8*FixtureUnit + milli: 750,
		35 * FixtureUnit: 1000, 2640 * FixtureUnit: 15000} {
		got, cite, err := upc.GravityInterceptor(load)
		if err != nil || got != want*units.USGallon || cite.IsZero() {
			t.Errorf("%v: %v, %v, want %v gal", load, got, err, want)
		}
	}
	for _, tt := range []struct {
		code *Code
		load FixtureUnits
		want error
	}{
		{upc, 2640*FixtureUnit + milli, tables.ErrOutsideTable}, {upc, -milli, tables.ErrQuery},
		{mustCode(t, "ipc-2021"), FixtureUnit, tables.ErrNotInCode},
	} {
		if got, _, err := tt.code.GravityInterceptor(tt.load); !errors.Is(err, tt.want) {
			t.Errorf("%v, %v: %v, %v", tt.code, tt.load, got, err)
		}
	}
}
