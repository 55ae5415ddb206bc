package supply

import (
	"errors"
	"strings"
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
	// What costs the same at any flow costs it while none is known; a tap without flow nothing.
	for kind, want := range map[string]float64{"reduced-pressure": 15, "tap": 0} {
		if got, err := c.DeviceLoss(&Device{Kind: kind, Size: 2 * units.Inch}, 0); err != nil || roundTo(float64(got.Loss/psi)) != want {
			t.Errorf("%s without flow: %+v, %v", kind, got, err)
		}
	}
	// The row that is cited is that of the flow, or the last below it.
	for flow, want := range map[float64]string{0.5: "flow 1.0 gpm", 1: "flow 1.0 gpm", 1.9: "flow 1.0 gpm", 2: "flow 2.0 gpm", 19.9: "flow 19.0 gpm", 20: "flow 20.0 gpm", 30: "flow 20.0 gpm"} {
		got, err := c.DeviceLoss(&Device{Kind: "meter", Size: 5 * units.Inch / 8}, units.Flow(flow)*gpm)
		if err != nil || !strings.HasSuffix(got.Citation.Row(), want) || !strings.HasPrefix(got.Citation.Row(), "size 0.625 in") {
			t.Errorf("%v gpm through 5/8 in: by %s, %v", flow, got.Citation.Row(), err)
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
