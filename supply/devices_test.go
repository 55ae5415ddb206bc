package supply

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/units"
)

func TestDeviceLoss(t *testing.T) {
	psi, gpm := units.PoundForcePerSquareInch, units.USGallonPerMinute
	c := mustCode(t, "ipc-2021")
	curve := []CurvePoint{{10 * gpm, 2 * psi}, {20 * gpm, 5 * psi}}
	for _, tc := range []struct {
		source string
		d      Device
		gpm    float64
		psi    float64
		beyond bool
	}{
		{"meter sheet, 5/8 in at 20 gpm, its last row", Device{Kind: "meter", Size: 5 * units.Inch / 8}, 20, 15, false},
		{"beyond it by the square: 15 x (30/20)^2", Device{Kind: "meter", Size: 5 * units.Inch / 8}, 30, 33.75, true},
		{"meter sheet, 5/8 in at 1 gpm; half of it at half the flow", Device{Kind: "meter", Size: 5 * units.Inch / 8}, 0.5, 0.1, false},
		{"nothing flows", Device{Kind: "meter", Size: 5 * units.Inch / 8}, 0, 0, false},
		{"IPC E103.3(4), 2 in tap at 140 gpm", Device{Kind: "tap", Size: 2 * units.Inch}, 140, 2.2, false},
		{"IPC E103.3(4), 2 in tap between 100 and 120 gpm", Device{Kind: "tap", Size: 2 * units.Inch}, 110, 1.365, false},
		{"a curve of the layout", Device{Kind: "softener", Curve: curve}, 15, 3.5, false},
		{"its first leg", Device{Kind: "softener", Curve: curve}, 5, 1, false},
		{"a fixed loss", Device{Kind: "filter", Loss: 3 * psi}, 50, 3, false},
		{"the upper end of practice", Device{Kind: "reduced-pressure"}, 5, 15, false},
		{"a regulator, whose cost the layout knows", Device{Kind: "regulator", Set: 50 * psi}, 5, 0, false},
	} {
		got, err := c.DeviceLoss(&tc.d, units.Flow(tc.gpm)*gpm)
		if err != nil || roundTo(float64(got.Loss/psi)) != tc.psi || (got.Beyond > 0) != tc.beyond {
			t.Errorf("%s: %+v, %v; want %v psi", tc.source, got, err, tc.psi)
		}
	}
	for _, d := range []Device{{Kind: "meter", Size: 7 * units.Inch}, {Kind: "kettle"}, {Kind: "tap", Size: units.Foot}} {
		if _, err := c.DeviceLoss(&d, gpm); !errors.Is(err, ErrQuery) {
			t.Errorf("%+v: %v", d, err)
		}
	}
	if _, err := mustCode(t, "upc-2021").DeviceLoss(&Device{Kind: "tap", Size: units.Inch}, gpm); !errors.Is(err, ErrNotInCode) {
		t.Errorf("a code without a table of taps: %v", err)
	}
}
