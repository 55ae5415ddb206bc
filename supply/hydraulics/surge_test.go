package hydraulics_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func contains(err error, text string) bool {
	return err != nil && strings.Contains(err.Error(), text)
}

func TestSurge(t *testing.T) {
	p := hydraulics.SurgePipe{Bore: 100 * units.Millimetre, Wall: 5 * units.Millimetre, Modulus: 3e9, Restraint: 1,
		BulkModulus: 2.19e9, Density: 998}
	a, err := p.WaveSpeed()
	// A pulse of stretched wall and squeezed water: 1/(rho a²) = 1/K + D c/(E e).
	if err != nil || !proof.Near(1/(998*float64(a)*float64(a)), 1/2.19e9+0.1/(3e9*0.005), 1e-13) {
		t.Errorf("%v, %v", float64(a), err)
	}
	rigid := p
	rigid.Restraint = 0
	if a, err := rigid.WaveSpeed(); err != nil || !proof.Near(float64(a), math.Sqrt(2.19e9/998), 1e-15) {
		t.Errorf("rigid: %v, %v", float64(a), err)
	}
	rise, err := p.PressureRise(1.5)
	if err != nil || !proof.Near(float64(rise), 998*float64(a)*1.5, 1e-15) {
		t.Errorf("%v, %v", float64(rise), err)
	}
	critical, err := p.CriticalTime(90 * units.Metre)
	if err != nil || !proof.Near(float64(critical), 180/float64(a), 1e-15) {
		t.Errorf("%v, %v", float64(critical), err)
	}
	for _, c := range []struct {
		closing units.Duration
		share   float64
	}{{0, 1}, {critical, 1}, {2 * critical, 0.5}, {10 * critical, 0.1}} {
		got, err := p.SlowPressureRise(1.5, 90*units.Metre, c.closing)
		if err != nil || !proof.Near(float64(got), c.share*float64(rise), 1e-14) {
			t.Errorf("closing in %v: %v of %v, %v", float64(c.closing), float64(got), float64(rise), err)
		}
	}
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		spoil func(p *hydraulics.SurgePipe)
	}{
		{"bore", func(p *hydraulics.SurgePipe) { p.Bore = 0 }},
		{"wall", func(p *hydraulics.SurgePipe) { p.Wall = 0 }},
		{"modulus", func(p *hydraulics.SurgePipe) { p.Modulus = units.Pressure(nan) }},
		{"restraint", func(p *hydraulics.SurgePipe) { p.Restraint = 2.01 }},
		{"bulk modulus", func(p *hydraulics.SurgePipe) { p.BulkModulus = units.Pressure(math.Inf(1)) }},
		{"density", func(p *hydraulics.SurgePipe) { p.Density = -1 }},
	} {
		bad := p
		c.spoil(&bad)
		for _, err := range []error{second(bad.WaveSpeed()), second(bad.PressureRise(1)), second(bad.CriticalTime(1)),
			second(bad.SlowPressureRise(1, 1, 1))} {
			if !errors.Is(err, units.ErrRange) || !contains(err, c.name) {
				t.Errorf("%s: %v", c.name, err)
			}
		}
	}
	for _, err := range []error{second(p.PressureRise(units.Velocity(nan))), second(p.PressureRise(-1)),
		second(p.CriticalTime(0)), second(p.SlowPressureRise(1, units.Metre, -1))} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

// Printed constants of the plastic pipe trade, by the formula with the basis that the
// file says was found for them: every one within its rounding.
func TestPublishedSurgeConstants(t *testing.T) {
	var ledger proof.Ledger
	for _, row := range proof.ReadCSV(t, "surge_published.csv") {
		od, wall := proof.Number(t, row["od_in"]), proof.Number(t, row["wall_in"])
		bulk := units.Pressure(proof.Number(t, row["bulk_modulus_psi"])) * psi
		// The density at which sound runs through a rigid pipe as fast as the source says.
		rigid := units.Velocity(proof.Number(t, row["rigid_ft_s"])) * units.FootPerSecond
		p := hydraulics.SurgePipe{
			Bore: units.Inches(od - 2*wall), Wall: units.Inches(wall), Restraint: 1,
			Modulus:     units.Pressure(proof.Number(t, row["modulus_psi"])) * psi,
			BulkModulus: bulk, Density: units.Density(float64(bulk) / float64(rigid*rigid)),
		}
		a, err := p.WaveSpeed()
		if err != nil {
			t.Fatal(err)
		}
		got := float64(a/units.FootPerSecond) / proof.Number(t, row["gravity_ft_s2"]) / proof.Number(t, row["ft_per_psi"])
		ledger.Add(proof.Value{Source: "PVC and CPVC engineering design data, Table I", Case: row["material"] + " " +
			row["schedule"], Answer: row["size"] + ", psi for 1 ft/s",
			Ours: got, Printed: row["printed"]})
		if math.Abs(got-proof.Number(t, row["printed"])) > 0.05 {
			t.Errorf("%s schedule %s %s: %.3f psi, printed %s", row["material"], row["schedule"], row["size"], got,
				row["printed"])
		}
	}
	ledger.Keep(t, "testdata/proof-surge.csv")
}
