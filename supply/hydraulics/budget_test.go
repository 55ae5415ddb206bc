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

func TestPressureBudget(t *testing.T) {
	b := hydraulics.PressureBudget{
		Street: 60 * psi, Rise: 30 * units.Foot, Required: 20 * psi, Length: 200 * units.Foot, Density: 1000,
		Losses: []hydraulics.NamedLoss{{"meter", 6 * psi}, {"backflow preventer", 9 * psi}},
	}
	got, err := b.Left()
	if err != nil {
		t.Fatal(err)
	}
	// 30 ft are 9.144 m of 9806.65 Pa.
	static := 9.144 * 9806.65
	left := 25*float64(psi) - static
	if !proof.Near(float64(got.Static), static, 1e-14) || !proof.Near(float64(got.Losses), float64(15*psi), 1e-14) ||
		!proof.Near(float64(got.Left), left, 1e-12) || !proof.Near(float64(got.PerMetre), left/60.96, 1e-12) {
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
		spoil func(b *hydraulics.PressureBudget)
	}{
		{"street", func(b *hydraulics.PressureBudget) { b.Street = nan }},
		{"street", func(b *hydraulics.PressureBudget) { b.Street = -1 }},
		{"required", func(b *hydraulics.PressureBudget) { b.Required = nan }},
		{"length", func(b *hydraulics.PressureBudget) { b.Length = 0 }},
		{"density", func(b *hydraulics.PressureBudget) { b.Density = 0 }},
		{"rise", func(b *hydraulics.PressureBudget) { b.Rise = units.Feet(math.Inf(1)) }},
		{`loss 0 "filter"`, func(b *hydraulics.PressureBudget) { b.Losses = []hydraulics.NamedLoss{{"filter", nan}} }},
	} {
		bad := b
		c.spoil(&bad)
		if _, err := bad.Left(); !errors.Is(err, units.ErrRange) || !contains(err, c.name) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func ExamplePressureBudget_Left() {
	w, err := hydraulics.WaterAt(units.Fahrenheit(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	left, err := hydraulics.PressureBudget{
		Street: 60 * units.PoundForcePerSquareInch, Rise: 24 * units.Foot, Required: 20 * units.PoundForcePerSquareInch,
		Losses:  []hydraulics.NamedLoss{{Name: "meter", Loss: 5 * units.PoundForcePerSquareInch}},
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
