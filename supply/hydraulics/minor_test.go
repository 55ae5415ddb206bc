package hydraulics_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func TestMinorLosses(t *testing.T) {
	// 2 m/s through a globe valve of K 10: 10 * 4/19.6133 m.
	if h, err := hydraulics.MinorHeadLoss(10, 2); err != nil || !proof.Near(float64(h), 40/19.6133, 1e-14) {
		t.Errorf("%v, %v", float64(h), err)
	}
	// K 0.9 at f 0.02 in 50 mm is 2.25 m of pipe, and back.
	l, err := hydraulics.EquivalentLength(0.9, 0.02, 50*units.Millimetre)
	if err != nil || l != 2250*units.Millimetre {
		t.Errorf("%v, %v", l, err)
	}
	if k, err := hydraulics.CoefficientOfLength(l, 0.02, 50*units.Millimetre); err != nil || !proof.Near(k, 0.9, 1e-14) {
		t.Errorf("%v, %v", k, err)
	}
	nan := math.NaN()
	for _, err := range []error{
		second(hydraulics.MinorHeadLoss(-1, 1)), second(hydraulics.MinorHeadLoss(1, -1)),
		second(hydraulics.MinorHeadLoss(nan, 1)),
		second(hydraulics.EquivalentLength(1, 0, units.Inch)), second(hydraulics.EquivalentLength(1e9, 1e-9, units.Metre)),
		second(hydraulics.EquivalentLength(1, nan, units.Inch)),
		second(hydraulics.CoefficientOfLength(-1, 0.02, units.Inch)), second(hydraulics.CoefficientOfLength(1, 0.02, 0)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestDeviceLosses(t *testing.T) {
	curve, err := hydraulics.NewLossCurve([]hydraulics.LossPoint{{0, 2 * psi}, {10 * gpm, 3 * psi}, {20 * gpm, 7 * psi}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		device hydraulics.FlowLoss
		q      units.Flow
		want   units.Pressure
	}{
		{"fixed", hydraulics.FixedLoss(8 * psi), 3 * gpm, 8 * psi},
		{"fixed, no flow", hydraulics.FixedLoss(8 * psi), 0, 8 * psi},
		{"rated, half", hydraulics.RatedLoss{20 * gpm, 12 * psi}, 10 * gpm, 3 * psi},
		{"rated, no flow", hydraulics.RatedLoss{20 * gpm, 12 * psi}, 0, 0},
		{"curve, start", curve, 0, 2 * psi},
		{"curve, between", curve, 5 * gpm, 2.5 * psi},
		{"curve, knot", curve, 10 * gpm, 3 * psi},
		{"curve, second part", curve, 15 * gpm, 5 * psi},
		{"curve, end", curve, 20 * gpm, 7 * psi},
		{"curve, end by rounding", curve, 20 * gpm * (1 + 1e-15), 7 * psi},
	} {
		got, err := c.device.PressureLoss(c.q)
		if err != nil || math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("%s: %v psi, want %v, %v", c.name, float64(got/psi), float64(c.want/psi), err)
		}
	}
	nan := units.Flow(math.NaN())
	for _, err := range []error{
		second(curve.PressureLoss(20.1 * gpm)), second(curve.PressureLoss(-1)), second(curve.PressureLoss(nan)),
		second(hydraulics.LossCurve{}.PressureLoss(0)),
		second(hydraulics.FixedLoss(-1).PressureLoss(0)), second(hydraulics.FixedLoss(1).PressureLoss(nan)),
		second(hydraulics.RatedLoss{0, psi}.PressureLoss(1)), second(hydraulics.RatedLoss{1, -psi}.PressureLoss(1)),
		second(hydraulics.NewLossCurve(nil)), second(hydraulics.NewLossCurve([]hydraulics.LossPoint{{1, 1}})),
		second(hydraulics.NewLossCurve([]hydraulics.LossPoint{{1, 1}, {1, 2}})),
		second(hydraulics.NewLossCurve([]hydraulics.LossPoint{{0, 1}, {nan, 2}})),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

// A water meter by its maker's curve (invented figures): midway between 10 and 20 gpm it
// loses what is midway between 2 and 6 psi. Past its last point nothing is known.
func ExampleNewLossCurve() {
	gpm, psi := units.USGallonPerMinute, units.PoundForcePerSquareInch
	curve, err := hydraulics.NewLossCurve([]hydraulics.LossPoint{
		{Flow: 10 * gpm, Loss: 2 * psi}, {Flow: 20 * gpm, Loss: 6 * psi}, {Flow: 30 * gpm, Loss: 13 * psi},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, err := curve.PressureLoss(15 * gpm)
	fmt.Printf("%.1f psi, %v\n", loss.In(psi), err)
	_, err = curve.PressureLoss(35 * gpm)
	fmt.Println(errors.Is(err, units.ErrRange))
	// Output:
	// 4.0 psi, <nil>
	// true
}
