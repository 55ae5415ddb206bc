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

// A hydrant test of 74 psi static and 62 psi at 500 gpm, by hand: at the flow tested 62; at
// half of it 12 x 0.5^1.85 = 3.329 less than 74; at twice 12 x 2^1.85 = 43.26 less; at 1500 gpm
// 12 x 3^1.85 = 91.6 less, which the main does not give.
func TestStreetPressure(t *testing.T) {
	const gpm = units.USGallonPerMinute
	for _, tc := range []struct{ flow, want float64 }{{0, 74}, {250, 70.671}, {500, 62}, {1000, 30.740}, {1500, -17.592}} {
		got, err := hydraulics.StreetPressure(74*psi, 62*psi, 500*gpm, units.Flow(tc.flow)*gpm)
		if err != nil || math.Abs(float64(got/psi)-tc.want) > 0.001 {
			t.Errorf("%v gpm: %v psi, %v, want %v", tc.flow, float64(got/psi), err, tc.want)
		}
	}
	for _, bad := range []func() (units.Pressure, error){
		func() (units.Pressure, error) { return hydraulics.StreetPressure(60*psi, 62*psi, 500*gpm, gpm) },
		func() (units.Pressure, error) { return hydraulics.StreetPressure(74*psi, 62*psi, 0, gpm) },
		func() (units.Pressure, error) { return hydraulics.StreetPressure(74*psi, 62*psi, 500*gpm, -gpm) },
		func() (units.Pressure, error) {
			return hydraulics.StreetPressure(units.Pressure(math.NaN()), 62*psi, 500*gpm, gpm)
		},
	} {
		if p, err := bad(); !errors.Is(err, units.ErrRange) {
			t.Errorf("%v, %v", p, err)
		}
	}
}
