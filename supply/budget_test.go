package supply_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/units"
)

const psi = units.PoundForcePerSquareInch

func TestPressureBudget(t *testing.T) {
	b := supply.PressureBudget{
		Street: 60 * psi, Rise: 30 * units.Foot, Required: 20 * psi, Length: 200 * units.Foot, Density: 1000,
		Losses: []supply.NamedLoss{{"meter", 6 * psi}, {"backflow preventer", 9 * psi}},
	}
	got, err := b.Left()
	if err != nil {
		t.Fatal(err)
	}
	// 30 ft are 9.144 m of 9806.65 Pa.
	static := 9.144 * 9806.65
	left := 25*float64(psi) - static
	if !proof.Near(float64(got.Static), static, 1e-14) || !proof.Near(float64(got.Losses), float64(15*psi), 1e-14) || !proof.Near(float64(got.Left), left, 1e-12) || !proof.Near(float64(got.PerMetre), left/60.96, 1e-12) {
		t.Errorf("%+v", got)
	}
	// Every pressure is spent or left.
	if sum := got.Static + got.Losses + b.Required + got.Left; !proof.Near(float64(sum), float64(b.Street), 1e-14) {
		t.Errorf("%v of %v", sum, b.Street)
	}
	b.Rise = -30 * units.Foot
	down, err := b.Left()
	if err != nil || down.Static != -got.Static || down.Left <= got.Left {
		t.Errorf("%+v, %v", down, err)
	}
	b.Street = 10 * psi
	if short, err := b.Left(); err != nil || short.Left >= 0 {
		t.Errorf("%+v, %v", short, err)
	}
	nan := units.Pressure(math.NaN())
	for _, c := range []struct {
		name  string
		spoil func(b *supply.PressureBudget)
	}{
		{"street", func(b *supply.PressureBudget) { b.Street = nan }},
		{"street", func(b *supply.PressureBudget) { b.Street = -1 }},
		{"required", func(b *supply.PressureBudget) { b.Required = nan }},
		{"length", func(b *supply.PressureBudget) { b.Length = 0 }},
		{"density", func(b *supply.PressureBudget) { b.Density = 0 }},
		{"rise", func(b *supply.PressureBudget) { b.Rise = units.Feet(math.Inf(1)) }},
		{`loss 0 "filter"`, func(b *supply.PressureBudget) { b.Losses = []supply.NamedLoss{{"filter", nan}} }},
	} {
		bad := b
		c.spoil(&bad)
		if _, err := bad.Left(); !errors.Is(err, units.ErrRange) || !contains(err, c.name) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func ExamplePressureBudget_Left() {
	w, err := supply.WaterAt(units.Fahrenheit(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	left, err := supply.PressureBudget{
		Street: 60 * units.PoundForcePerSquareInch, Rise: 24 * units.Foot, Required: 20 * units.PoundForcePerSquareInch,
		Losses:  []supply.NamedLoss{{Name: "meter", Loss: 5 * units.PoundForcePerSquareInch}},
		Length:  150 * units.Foot,
		Density: w.Density,
	}.Left()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f psi for friction, %.2f psi per 100 ft\n",
		float64(left.Left/units.PoundForcePerSquareInch), float64(left.PerMetre/units.PoundForcePerSquareInch)*30.48)
	// Output: 24.61 psi for friction, 16.40 psi per 100 ft
}

func TestPipe(t *testing.T) {
	// 10 gpm in 1.025 in: 231*10/60 in3/s over pi/4 1.025² in2.
	v, err := supply.Velocity(10*gpm, units.Inches(1.025))
	if want := 231.0 * 10 / 60 / (math.Pi / 4 * 1.025 * 1.025) * 0.0254; err != nil || !proof.Near(float64(v), want, 1e-13) {
		t.Errorf("%v, want %v, %v", float64(v), want, err)
	}
	if q, err := supply.FlowAtVelocity(v, units.Inches(1.025)); err != nil || !proof.Near(float64(q/gpm), 10, 1e-13) {
		t.Errorf("%v gpm, %v", float64(q/gpm), err)
	}
	if d, err := supply.BoreForVelocity(10*gpm, v); err != nil || d.Bore != units.Inches(1.025) || !proof.Near(d.Metres, 1.025*0.0254, 1e-13) || d.Velocity != v {
		t.Errorf("%+v, %v", d, err)
	}
	p, err := supply.PressureOfHead(10, 998)
	if err != nil || !proof.Near(float64(p), 10*998*9.80665, 1e-15) {
		t.Errorf("%v, %v", float64(p), err)
	}
	if h, err := supply.HeadOfPressure(p, 998); err != nil || !proof.Near(float64(h), 10, 1e-15) {
		t.Errorf("%v, %v", float64(h), err)
	}
	vol, err := supply.PipeVolume(units.Inches(0.785), 12*units.Foot)
	if err != nil || !proof.Near(float64(vol), math.Pi/4*0.785*0.785*144*0.0254*0.0254*0.0254, 1e-13) {
		t.Errorf("%v, %v", float64(vol), err)
	}
	if l, err := supply.PipeLengthForVolume(units.Inches(0.785), vol); err != nil || l != 12*units.Foot {
		t.Errorf("%v, %v", l, err)
	}
	nan := math.NaN()
	for i, err := range []error{
		second(supply.Velocity(units.Flow(nan), units.Inch)), second(supply.Velocity(1, 0)),
		second(supply.FlowAtVelocity(-1, units.Inch)), second(supply.FlowAtVelocity(1, -units.Inch)),
		second(supply.BoreForVelocity(0, 1)), second(supply.BoreForVelocity(1, 0)), second(supply.BoreForVelocity(1e5, 1e-5)),
		second(supply.PressureOfHead(units.Head(nan), 1000)), second(supply.PressureOfHead(1, 0)), second(supply.PressureOfHead(1e305, 1e5)),
		second(supply.HeadOfPressure(units.Pressure(math.Inf(-1)), 1000)), second(supply.HeadOfPressure(1, -1)),
		second(supply.PipeLengthForVolume(units.Millimetre, 1e9)), second(supply.PipeLengthForVolume(0, 1)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("%d: %v", i, err)
		}
	}
}
