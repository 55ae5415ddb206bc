package hydraulics_test

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func TestPipe(t *testing.T) {
	// 10 gpm in 1.025 in: 231*10/60 in3/s over pi/4 1.025² in2.
	v, err := hydraulics.Velocity(10*gpm, units.Inches(1.025))
	if want := 231.0 * 10 / 60 / (math.Pi / 4 * 1.025 * 1.025) * 0.0254; err != nil ||
		!proof.Near(float64(v), want, 1e-13) {
		t.Errorf("%v, want %v, %v", float64(v), want, err)
	}
	if q, err := hydraulics.FlowAtVelocity(v, units.Inches(1.025)); err != nil || !proof.Near(float64(q/gpm), 10, 1e-13) {
		t.Errorf("%v gpm, %v", float64(q/gpm), err)
	}
	if d, err := hydraulics.BoreForVelocity(10*gpm, v); err != nil || d.Bore != units.Inches(1.025) ||
		!proof.Near(d.Metres, 1.025*0.0254, 1e-13) || d.Velocity != v {
		t.Errorf("%+v, %v", d, err)
	}
	p, err := hydraulics.PressureOfHead(10, 998)
	if err != nil || !proof.Near(float64(p), 10*998*9.80665, 1e-15) {
		t.Errorf("%v, %v", float64(p), err)
	}
	if h, err := hydraulics.HeadOfPressure(p, 998); err != nil || !proof.Near(float64(h), 10, 1e-15) {
		t.Errorf("%v, %v", float64(h), err)
	}
	vol, err := hydraulics.PipeVolume(units.Inches(0.785), 12*units.Foot)
	if err != nil || !proof.Near(float64(vol), math.Pi/4*0.785*0.785*144*0.0254*0.0254*0.0254, 1e-13) {
		t.Errorf("%v, %v", float64(vol), err)
	}
	if l, err := hydraulics.PipeLengthForVolume(units.Inches(0.785), vol); err != nil || l != 12*units.Foot {
		t.Errorf("%v, %v", l, err)
	}
	nan := math.NaN()
	for i, err := range []error{
		second(hydraulics.Velocity(units.Flow(nan), units.Inch)), second(hydraulics.Velocity(1, 0)),
		second(hydraulics.FlowAtVelocity(-1, units.Inch)), second(hydraulics.FlowAtVelocity(1, -units.Inch)),
		second(hydraulics.BoreForVelocity(0, 1)), second(hydraulics.BoreForVelocity(1, 0)),
		second(hydraulics.BoreForVelocity(1e5, 1e-5)),
		second(hydraulics.PressureOfHead(units.Head(nan), 1000)), second(hydraulics.PressureOfHead(1, 0)),
		second(hydraulics.PressureOfHead(1e305, 1e5)),
		second(hydraulics.HeadOfPressure(units.Pressure(math.Inf(-1)), 1000)), second(hydraulics.HeadOfPressure(1, -1)),
		second(hydraulics.PipeLengthForVolume(units.Millimetre, 1e9)), second(hydraulics.PipeLengthForVolume(0, 1)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("%d: %v", i, err)
		}
	}
}
