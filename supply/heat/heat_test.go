package heat_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func insulatedTube() heat.Pipe {
	return heat.Pipe{
		Bore: units.Inches(0.785), Wall: units.Inches(0.045), Conductivity: 339,
		Insulation: 25 * units.Millimetre, InsulationConductivity: 0.036,
		Length: 30 * units.Metre, Surroundings: heat.InAir, Film: 10,
	}
}

// Each layer is checked against the numerical integral of dr/(2 pi r k), Simpson's
// rule, rather than against the logarithm.
func TestHeatLossByIntegration(t *testing.T) {
	p := insulatedTube()
	layer := func(from, to, k float64) float64 {
		const n = 2000
		h, sum := (to-from)/n, 0.0
		for i := range n + 1 {
			weight := 2.0 + 2*float64(i%2)
			if i == 0 || i == n {
				weight = 1
			}
			sum += weight / (2 * math.Pi * (from + float64(i)*h) * k)
		}
		return sum * h / 3
	}
	r1 := 0.785 * 0.0254 / 2
	r2 := r1 + 0.045*0.0254
	r3 := r2 + 0.025
	walls := layer(r1, r2, 339) + layer(r2, r3, 0.036)
	for _, c := range []struct {
		name  string
		set   func(p *heat.Pipe)
		outer float64
	}{
		{"film", func(*heat.Pipe) {}, 1 / (2 * math.Pi * r3 * 10)},
		{"at ambient", func(p *heat.Pipe) { p.Surroundings = heat.SurfaceAtAmbient }, 0},
		{"buried", func(p *heat.Pipe) {
			p.Surroundings, p.BurialDepth, p.SoilConductivity = heat.Buried, 450*units.Millimetre, 1.5
		}, math.Log(0.45/r3+math.Sqrt(0.45*0.45/(r3*r3)-1)) / (2 * math.Pi * 1.5)},
	} {
		q := p
		c.set(&q)
		got, err := q.PerLength(units.Celsius(60), units.Celsius(18))
		if want := 42 / (walls + c.outer); err != nil || !proof.Near(float64(got), want, 1e-8) {
			t.Errorf("%s: %.10g W/m, want %.10g, %v", c.name, float64(got), want, err)
		}
		total, err := q.Total(units.Celsius(60), units.Celsius(18))
		if err != nil || !proof.Near(float64(total), 30*float64(got), 1e-14) {
			t.Errorf("%s: total %v, %v", c.name, total, err)
		}
		// Cold water takes up what warm water of the same difference gives.
		gain, err := q.PerLength(units.Celsius(18), units.Celsius(60))
		if err != nil || !proof.Near(float64(gain), -float64(got), 1e-14) {
			t.Errorf("%s: gain %v, %v", c.name, gain, err)
		}
	}
}

func TestCriticalRadius(t *testing.T) {
	r, err := heat.CriticalRadius(0.05, 10)
	if err != nil || r != 5*units.Millimetre {
		t.Fatal(r, err)
	}
	// A thin tube under poor insulation loses most heat at that radius.
	p := heat.Pipe{Bore: 4 * units.Millimetre, Wall: units.Millimetre, Conductivity: 300, Surroundings: heat.InAir,
		Film: 10, InsulationConductivity: 0.05}
	loss := func(thickness units.Length) float64 {
		q := p
		q.Insulation = thickness
		w, err := q.PerLength(units.Celsius(60), units.Celsius(20))
		if err != nil {
			t.Fatal(err)
		}
		return float64(w)
	}
	top := loss(2 * units.Millimetre)
	if top <= loss(0) || top <= loss(1900*units.Micrometre) || top <= loss(2100*units.Micrometre) {
		t.Errorf("bare %v, at the critical radius %v", loss(0), top)
	}
}

// Cooling is checked by stepping the heat balance through time.
func TestCoolingTime(t *testing.T) {
	p := insulatedTube()
	hot, ambient := units.Celsius(60), units.Celsius(20)
	got, err := p.CoolingTime(hot, units.Celsius(40), ambient)
	if err != nil {
		t.Fatal(err)
	}
	w := water(t, 60)
	r, _ := p.Resistance()
	capacity := float64(w.Density) * float64(w.SpecificHeat) * math.Pi / 4 * math.Pow(p.Bore.Metres(), 2)
	temperature, time, dt := 40.0, 0.0, 0.01
	for ; temperature > 20; time += dt {
		middle := temperature - dt/2*temperature/(r*capacity)
		temperature -= dt * middle / (r * capacity)
	}
	if !proof.Near(float64(got), time, 1e-4) {
		t.Errorf("%v s, by steps %v s", float64(got), time)
	}
	if same, err := p.CoolingTime(hot, hot, ambient); err != nil || same != 0 {
		t.Errorf("no cooling takes %v, %v", same, err)
	}
	for _, to := range []units.Temperature{units.Celsius(61), ambient, units.Celsius(19), units.Temperature(math.NaN())} {
		if _, err := p.CoolingTime(hot, to, ambient); !errors.Is(err, units.ErrRange) {
			t.Errorf("to %v: %v", to, err)
		}
	}
}

func TestCompareInsulation(t *testing.T) {
	p := insulatedTube()
	hot, usable, ambient := units.Celsius(60), units.Celsius(40), units.Celsius(20)
	bare := p
	bare.Insulation = 0
	tBare, _ := bare.CoolingTime(hot, usable, ambient)
	tKept, _ := p.CoolingTime(hot, usable, ambient)
	if tBare >= tKept {
		t.Fatal(tBare, tKept)
	}
	for _, c := range []struct {
		interval units.Duration
		want     heat.InsulationVerdict
	}{
		{tBare / 2, heat.HotEitherWay},
		{(tBare + tKept) / 2, heat.InsulationKeepsHot},
		{86_400, heat.PurgedEitherWay},
	} {
		got, err := p.CompareInsulation(hot, usable, ambient, c.interval)
		if err != nil || got.Verdict != c.want || got.Bare != tBare || got.Insulated != tKept || got.Saved <= 0 {
			t.Errorf("every %v s: %+v (%v), want %v, %v", float64(c.interval), got, got.Verdict, c.want, err)
		}
	}
}

func TestHeatLossRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		spoil func(p *heat.Pipe)
	}{
		{"bore", func(p *heat.Pipe) { p.Bore = 0 }},
		{"wall", func(p *heat.Pipe) { p.Wall = -1 }},
		{"conductivity", func(p *heat.Pipe) { p.Conductivity = 0 }},
		{"insulation thickness", func(p *heat.Pipe) { p.Insulation = -1 }},
		{"insulation conductivity", func(p *heat.Pipe) { p.InsulationConductivity = units.Conductivity(nan) }},
		{"film", func(p *heat.Pipe) { p.Film = 0 }},
		{"surroundings", func(p *heat.Pipe) { p.Surroundings = 9 }},
		{"burial depth", func(p *heat.Pipe) {
			p.Surroundings, p.SoilConductivity, p.BurialDepth = heat.Buried, 1, 30*units.Millimetre
		}},
		{"soil conductivity", func(p *heat.Pipe) { p.Surroundings, p.BurialDepth = heat.Buried, units.Metre }},
		{"length", func(p *heat.Pipe) { p.Length = -1 }},
	} {
		p := insulatedTube()
		c.spoil(&p)
		_, err := p.Total(units.Celsius(60), units.Celsius(20))
		if !errors.Is(err, units.ErrRange) || !contains(err, c.name) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, err := insulatedTube().Total(units.Temperature(nan), -1); !contains(err, "water") || !contains(err, "ambient") {
		t.Errorf("temperatures: %v", err)
	}
}

func TestRecirculation(t *testing.T) {
	w := water(t, 50)
	q, err := heat.RecirculationFlow(1500, 5*units.KelvinDifference, w)
	// Heat carried back: q rho cp dT.
	if err != nil || !proof.Near(float64(q)*float64(w.Density)*float64(w.SpecificHeat)*5, 1500, 1e-14) {
		t.Errorf("%v, %v", float64(q), err)
	}
	for _, err := range []error{
		second(heat.RecirculationFlow(-1, 5, w)), second(heat.RecirculationFlow(1, 0, w)),
		second(heat.RecirculationFlow(1, 5, hydraulics.Water{})),
		second(heat.RecirculationFlow(units.Power(math.NaN()), 5, w)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
	r, err := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Inch, Length: 30 * units.Metre, C: 140,
		Water: w}.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	one, _ := r.HeadLoss(q)
	h, err := heat.CirculationHead([]heat.CirculationPart{{q, &r}, {q, &r}, {q, &r}})
	if err != nil || !proof.Near(float64(h), 3*float64(one), 1e-14) {
		t.Errorf("%v, want %v, %v", float64(h), 3*float64(one), err)
	}
	if _, err := heat.CirculationHead([]heat.CirculationPart{{q, nil}, {-q, &r},
		{q, &hydraulics.Resistance{}}}); !errors.Is(err, units.ErrRange) || !contains(err, "part 0") ||
		!contains(err, "part 1") || !contains(err, "part 2") {
		t.Errorf("got %v", err)
	}
}

func TestMixing(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for range 200 {
		cold := units.Celsius(20 * r.Float64())
		hot := cold + units.Temperature(1+60*r.Float64())
		x := r.Float64()
		mixed, err := heat.MixedTemperature(hot, cold, x)
		if err != nil {
			t.Fatal(err)
		}
		back, err := heat.HotFraction(hot, cold, mixed)
		if err != nil || math.Abs(back-x) > 1e-12 {
			t.Errorf("%v: %v, %v", x, back, err)
		}
	}
	for _, c := range []struct{ mixed, want float64 }{{10, 0}, {60, 1}, {35, 0.5}} {
		if x, err := heat.HotFraction(units.Celsius(60), units.Celsius(10), units.Celsius(c.mixed)); err != nil ||
			math.Abs(x-c.want) > 1e-14 {
			t.Errorf("mixed %v: %v, %v", c.mixed, x, err)
		}
	}
	for _, err := range []error{
		second(heat.HotFraction(units.Celsius(60), units.Celsius(10), units.Celsius(61))),
		second(heat.HotFraction(units.Celsius(60), units.Celsius(10), units.Celsius(9))),
		second(heat.HotFraction(units.Celsius(10), units.Celsius(10), units.Celsius(10))),
		second(heat.HotFraction(units.Celsius(10), units.Celsius(60), units.Celsius(30))),
		second(heat.HotFraction(units.Temperature(math.NaN()), 300, 300)),
		second(heat.MixedTemperature(units.Celsius(60), units.Celsius(10), 1.1)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

func TestExpansion(t *testing.T) {
	cold, hot := units.Celsius(10), units.Celsius(60)
	share, err := heat.WaterExpansion(cold, hot)
	if want := 999.70247/983.195824 - 1; err != nil || math.Abs(share-want) > 1e-7 { // IAPWS-95 densities
		t.Errorf("%v, want %v, %v", share, want, err)
	}
	shrunk, err := heat.WaterExpansion(units.Celsius(0), units.Celsius(4))
	if err != nil || shrunk >= 0 {
		t.Errorf("0 to 4 degC: %v, %v", shrunk, err)
	}
	l, err := heat.Expansion(30*units.Metre, 17e-6, 50*units.KelvinDifference)
	if err != nil || l != 25500*units.Micrometre {
		t.Errorf("%v, %v", l, err)
	}
	if l, err := heat.Expansion(30*units.Metre, 17e-6, -50*units.KelvinDifference); err != nil ||
		l != -25500*units.Micrometre {
		t.Errorf("%v, %v", l, err)
	}
	v, err := heat.ExpansionVolume(0.3, cold, hot, 12e-6)
	if want := 0.3 * (share - 3*12e-6*50); err != nil || !proof.Near(float64(v), want, 1e-12) {
		t.Errorf("%v, want %v, %v", float64(v), want, err)
	}
	// By the gas law: the tank holds gas of fill pressure; pushed to the highest it
	// has shrunk by the expansion.
	const atmosphere = 101_325
	tank, err := heat.ExpansionTank(v, 400_000, 900_000, atmosphere)
	if err != nil || !proof.Near(float64(tank)*(400_000+atmosphere), (float64(tank-v))*(900_000+atmosphere), 1e-12) {
		t.Errorf("%v, %v", float64(tank), err)
	}
	nan := math.NaN()
	for _, err := range []error{
		second(heat.WaterExpansion(cold, units.Celsius(101))), second(heat.WaterExpansion(units.Temperature(nan), hot)),
		second(heat.Expansion(-1, 1e-5, 1)), second(heat.Expansion(1, nan, 1)),
		second(heat.Expansion(1, 1e-5, units.TemperatureDifference(math.Inf(1)))),
		second(heat.Expansion(units.MaxLength, 1e-2, 1e12)),
		second(heat.ExpansionVolume(-1, cold, hot, 0)), second(heat.ExpansionVolume(1, cold, hot, -1)),
		second(heat.ExpansionTank(1, 5e5, 5e5, atmosphere)), second(heat.ExpansionTank(1, 6e5, 5e5, atmosphere)),
		second(heat.ExpansionTank(1, 4e5, 5e5, 0)), second(heat.ExpansionTank(units.Volume(nan), 4e5, 5e5, atmosphere)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

func TestWait(t *testing.T) {
	v, err := hydraulics.PipeVolume(units.Inches(0.785), 50*units.Foot)
	if err != nil {
		t.Fatal(err)
	}
	d, err := heat.WaitTime(v, 0.5*gpm)
	if err != nil || !proof.Near(float64(d)*float64(0.5*gpm), float64(v), 1e-15) {
		t.Errorf("%v, %v", float64(d), err)
	}
	for _, err := range []error{
		second(heat.WaitTime(-1, gpm)), second(heat.WaitTime(1, 0)), second(heat.WaitTime(units.Volume(math.NaN()), 1)),
		second(heat.WaitTime(1e9, 1e-320)),
		second(hydraulics.PipeVolume(0, units.Foot)), second(hydraulics.PipeVolume(units.Inch, -1)),
	} {
		if !errors.Is(err, units.ErrRange) {
			t.Errorf("got %v", err)
		}
	}
}

func ExamplePipe_CompareInsulation() {
	tube := heat.Pipe{
		Bore: units.Inches(0.545), Wall: units.Inches(0.040), Conductivity: 339,
		Insulation: units.Inch, InsulationConductivity: 0.036,
		Length: 12 * units.Metre, Surroundings: heat.InAir, Film: 9,
	}
	for _, minutes := range []float64{10, 25, 240} {
		c, err := tube.CompareInsulation(units.Celsius(55), units.Celsius(41), units.Celsius(20), units.Duration(60*minutes))
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("drawn every %.0f min: %v\n", minutes, c.Verdict)
	}
	// Output:
	// drawn every 10 min: usable at the next draw, bare or insulated
	// drawn every 25 min: usable at the next draw only if insulated
	// drawn every 240 min: cold at the next draw, bare or insulated: the pipe is purged either way
}

func second[T any](_ T, err error) error { return err }

func contains(err error, text string) bool {
	return err != nil && strings.Contains(err.Error(), text)
}

func water(t testing.TB, celsius float64) hydraulics.Water {
	t.Helper()
	w, err := hydraulics.WaterAt(units.Celsius(celsius))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

const gpm = units.USGallonPerMinute

// The tank of a closed system: 80 gal of heater, warmed from 40 to 140 degF, may take the
// pressure from 60 to 125 psi.
func ExampleExpansionTank() {
	more, err := heat.ExpansionVolume(80*units.USGallon, units.Fahrenheit(40), units.Fahrenheit(140), 0)
	if err != nil {
		log.Fatal(err)
	}
	const psi = units.PoundForcePerSquareInch
	tank, err := heat.ExpansionTank(more, 60*psi, 125*psi, units.Pressure(101325))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.2f gal more water, a tank of %.1f gal\n", more.In(units.USGallon), tank.In(units.USGallon))
	// Output:
	// 1.37 gal more water, a tank of 2.9 gal
}
