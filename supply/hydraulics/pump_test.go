package hydraulics

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// 100 gpm against 100 ft at 70 %: water horsepower 100 x 100/3960 = 2.525, 3.608 at the
// shaft (62.37 lb/ft3).
func TestPumpPower(t *testing.T) {
	p, err := PumpPower(100*units.USGallonPerMinute, 100*units.Head(0.3048), 0.7, 999.1)
	if hp := float64(p / units.Horsepower); err != nil || math.Abs(hp-3.608) > 0.01 {
		t.Errorf("%v hp, %v", hp, err)
	}
	for _, eff := range []float64{0, 1.1, math.NaN()} {
		if _, err := PumpPower(1, 1, eff, 1000); !errors.Is(err, units.ErrRange) {
			t.Errorf("efficiency %v: %v", eff, err)
		}
	}
}

// 90 psi static, 65 psi at 1000 gpm leaves 20 psi at 1748 gpm by hand:
// (70/25)^(1/1.85) = 1.7447.
func TestMainTest(t *testing.T) {
	psi, gpm := units.PoundForcePerSquareInch, units.USGallonPerMinute
	m := MainTest{Static: 90 * psi, Residual: 65 * psi, At: 1000 * gpm}
	for flow, want := range map[units.Flow]float64{0: 90, 1000: 65, 1744.7: 20} {
		p, err := m.Pressure(flow * gpm)
		if got := float64(p / psi); err != nil || math.Abs(got-want) > 0.01 {
			t.Errorf("%v gpm: %v psi, %v", flow, got, err)
		}
	}
	if _, err := m.Pressure(2100 * gpm); !errors.Is(err, units.ErrRange) {
		t.Errorf("more than the main has: %v", err)
	}
	m.Residual = 91 * psi
	if _, err := m.Pressure(gpm); !errors.Is(err, units.ErrRange) {
		t.Errorf("residual above static: %v", err)
	}
}
