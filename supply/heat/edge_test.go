package heat_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/units"
)

// A tank that is filled to its highest pressure takes nothing.
func TestExpansionTankEdge(t *testing.T) {
	var argument *units.RangeError
	if _, err := heat.ExpansionTank(0.001, 3e5, 3e5, 1e5); !errors.As(err, &argument) ||
		argument.Name != "highest pressure" {
		t.Errorf("highest equal to fill: %v", err)
	}
	// Gas at 4 bar absolute shrinks to 5: a fifth of the tank is taken up.
	v, err := heat.ExpansionTank(0.001, 3e5, 4e5, 1e5)
	if err != nil || !proof.Near(float64(v), 0.005, 1e-14) {
		t.Errorf("%v, %v", float64(v), err)
	}
}

// A buried pipe lies deeper than its own half: bore 100, wall 5, insulation 20 mm
// makes 75 mm to the surface of the lagging.
func TestBurialDepthEdge(t *testing.T) {
	p := heat.Pipe{Bore: 100 * units.Millimetre, Wall: 5 * units.Millimetre, Conductivity: 400,
		Insulation: 20 * units.Millimetre, InsulationConductivity: 0.04,
		Surroundings: heat.Buried, SoilConductivity: 1.5}
	for _, c := range []struct {
		depth units.Length
		ok    bool
	}{{74 * units.Millimetre, false}, {76 * units.Millimetre, true}} {
		p.BurialDepth = c.depth
		_, err := p.Resistance()
		var argument *units.RangeError
		if (err == nil) != c.ok || err != nil && (!errors.As(err, &argument) || argument.Name != "burial depth") {
			t.Errorf("%v: %v", c.depth, err)
		}
	}
}

// A pipe that is just hot enough when it is used next is hot.
func TestCompareInsulationEdge(t *testing.T) {
	p := heat.Pipe{Bore: 20 * units.Millimetre, Wall: units.Millimetre, Conductivity: 400,
		Insulation: 20 * units.Millimetre, InsulationConductivity: 0.04,
		Surroundings: heat.InAir, Film: 10, Length: units.Metre}
	hot, usable, ambient := units.Celsius(60), units.Celsius(40), units.Celsius(20)
	c, err := p.CompareInsulation(hot, usable, ambient, 60)
	if err != nil {
		t.Fatal(err)
	}
	bare := p
	bare.Insulation, bare.InsulationConductivity = 0, 0
	lost, err1 := bare.Total(hot, ambient)
	kept, err2 := p.Total(hot, ambient)
	if err := errors.Join(err1, err2); err != nil || c.Saved != lost-kept || !(c.Saved > 0 && c.Saved < lost) {
		t.Errorf("saved %v of %v, %v", c.Saved, lost, err)
	}
	for _, k := range []struct {
		interval units.Duration
		want     any
	}{
		{c.Bare, heat.HotEitherWay}, {c.Bare + 1, heat.InsulationKeepsHot},
		{c.Insulated, heat.InsulationKeepsHot}, {c.Insulated + 1, heat.PurgedEitherWay},
	} {
		got, err := p.CompareInsulation(hot, usable, ambient, k.interval)
		if err != nil || any(got.Verdict) != k.want {
			t.Errorf("after %v s: %v, %v, want %v", float64(k.interval), got.Verdict, err, k.want)
		}
	}
}

// A thin tube under thin and poor insulation cools sooner than bare: between the two
// times only the bare one is hot. Radii 3 and 4 mm, k/h 50 mm.
func TestCompareInsulationUnderCriticalRadius(t *testing.T) {
	p := heat.Pipe{Bore: 4 * units.Millimetre, Wall: units.Millimetre, Conductivity: 300, Insulation: units.Millimetre,
		InsulationConductivity: 0.5,
		Surroundings:           heat.InAir, Film: 10, Length: units.Metre}
	hot, usable, ambient := units.Celsius(60), units.Celsius(40), units.Celsius(20)
	c, err := p.CompareInsulation(hot, usable, ambient, 1)
	if err != nil || c.Insulated >= c.Bare || c.Saved >= 0 {
		t.Fatalf("%+v, %v", c, err)
	}
	for _, k := range []struct {
		interval units.Duration
		want     heat.InsulationVerdict
	}{
		{c.Insulated, heat.HotEitherWay}, {c.Insulated + 1e-6, heat.BareKeepsHot}, {c.Bare, heat.BareKeepsHot},
		{c.Bare + 1e-6, heat.PurgedEitherWay},
	} {
		if got, err := p.CompareInsulation(hot, usable, ambient, k.interval); err != nil || got.Verdict != k.want {
			t.Errorf("after %v s: %v, want %v, %v", float64(k.interval), got.Verdict, k.want, err)
		}
	}
	texts := map[string]bool{}
	for v := range heat.BareKeepsHot + 1 {
		texts[v.String()] = true
	}
	if len(texts) != 5 {
		t.Errorf("verdicts read alike: %v", texts)
	}
}

// TestExpansionLeg works the other way: a guided beam of length L whose end moves by d bends
// with the stress 3 E D d / L^2, which is what the leg was asked to keep to; a free end has
// half the stress at the same length. E = 100 GPa, D = 50 mm, d = 10 mm, L = 3 m:
// 3 x 1e11 x 0.05 x 0.01 / 9 = 16.6667 MPa.
func TestExpansionLeg(t *testing.T) {
	const modulus = 100 * units.Gigapascal
	stress := units.Pressure(1.5e8 / 9)
	for _, c := range []struct {
		guided bool
		stress units.Pressure
	}{{true, stress}, {false, stress / 2}} {
		l, err := heat.ExpansionLeg(10*units.Millimetre, 50*units.Millimetre, modulus, c.stress, c.guided)
		if d := l - 3*units.Metre; err != nil || d > units.Micrometre || d < -units.Micrometre {
			t.Errorf("guided %v: %v, %v", c.guided, l, err)
		}
	}
	_, err := heat.ExpansionLeg(0, 50*units.Millimetre, 0, stress, true)
	for _, want := range []string{"expansion", "modulus"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %s in %v", want, err)
		}
	}
	if _, err := heat.ExpansionLeg(1e6*units.Metre, 100*units.Metre, 1e13, 1e-3, true); err == nil {
		t.Error("a leg longer than any length")
	}
}
