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

func resistance(t testing.TB, f hydraulics.Friction) hydraulics.Resistance {
	t.Helper()
	r, err := f.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// flowAtReynolds searches the few numbers about a flow for the one that has the
// Reynolds number to the last digit.
func flowAtReynolds(t testing.TB, r *hydraulics.Resistance, re float64) units.Flow {
	t.Helper()
	one, err := r.Loss(1e-5)
	if err != nil {
		t.Fatal(err)
	}
	q := re / one.Reynolds * 1e-5
	for range 8 {
		q = math.Nextafter(q, 0)
	}
	for range 17 {
		if l, err := r.Loss(units.Flow(q)); err == nil && l.Reynolds == re {
			return units.Flow(q)
		}
		q = math.Nextafter(q, 1)
	}
	t.Fatalf("no flow has a Reynolds number of %v", re)
	return 0
}

// At a Reynolds number of 2000 flow is still laminar, at 4000 it is turbulent.
func TestRegimeEdges(t *testing.T) {
	d := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Length: units.Metre, Water: water(t, 15)}
	r := resistance(t, d)
	for _, c := range []struct {
		re   float64
		want hydraulics.Notes
	}{
		{2000, hydraulics.NoteLaminar}, {4000, 0},
	} {
		q := flowAtReynolds(t, &r, c.re)
		if l, err := r.Loss(q); err != nil || l.Notes != c.want {
			t.Errorf("Re %v: %q, %v", c.re, l.Notes, err)
		}
	}
	for _, c := range []struct {
		q    units.Flow
		want hydraulics.Notes
	}{
		{flowAtReynolds(t, &r, 2000) * (1 + 1e-9), hydraulics.NoteTransitional},
		{flowAtReynolds(t, &r, 4000) * (1 - 1e-9), hydraulics.NoteTransitional},
	} {
		if l, err := r.Loss(c.q); err != nil || l.Notes != c.want {
			t.Errorf("Re %v: %q, %v", l.Reynolds, l.Notes, err)
		}
	}
	// Hazen and Williams' formula is of turbulent flow: from 4000 on nothing is said.
	h := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 2 * units.Inch, Length: units.Metre, C: 140,
		Water: water(t, 15)}
	r = resistance(t, h)
	q := flowAtReynolds(t, &r, 4000)
	if l, err := r.Loss(q); err != nil || l.Notes != 0 {
		t.Errorf("Hazen-Williams at Re 4000: %q, %v", l.Notes, err)
	}
	if l, err := r.Loss(q * (1 - 1e-9)); err != nil || l.Notes != hydraulics.NoteHazenWilliamsNotTurbulent {
		t.Errorf("Hazen-Williams short of Re 4000: %q, %v", l.Notes, err)
	}
	// Without a viscosity there is no Reynolds number to speak of.
	h.Water = hydraulics.Water{Density: 999}
	r = resistance(t, h)
	if l, err := r.Loss(q / 10); err != nil || l.Notes != 0 || l.Reynolds != 0 {
		t.Errorf("no viscosity: Re %v, %q, %v", l.Reynolds, l.Notes, err)
	}
}

// The conditions of the Hazen-Williams formula hold at their very limits: 2 in, 40 and
// 75 degF, 10 ft/s.
func TestHazenWilliamsLimits(t *testing.T) {
	at := func(bore units.Length, fahrenheit float64, speed units.Velocity) hydraulics.Notes {
		t.Helper()
		w, err := hydraulics.WaterAt(units.Fahrenheit(fahrenheit))
		if err != nil {
			t.Fatal(err)
		}
		r := resistance(t, hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: bore, Length: 10 * units.Metre,
			C: 140, Water: w})
		d := bore.Metres()
		l, err := r.Loss(units.Flow(float64(speed) * math.Pi / 4 * d * d))
		if err != nil {
			t.Fatal(err)
		}
		return l.Notes
	}
	const fps = units.FootPerSecond
	for _, c := range []struct {
		bore       units.Length
		fahrenheit float64
		speed      units.Velocity
		want       hydraulics.Notes
	}{
		{2 * units.Inch, 60, 8 * fps, 0},
		{2*units.Inch - 1, 60, 8 * fps, hydraulics.NoteHazenWilliamsBore},
		{2 * units.Inch, 40, 8 * fps, 0},
		{2 * units.Inch, 39.99, 8 * fps, hydraulics.NoteHazenWilliamsTemperature},
		{2 * units.Inch, 75, 8 * fps, 0},
		{2 * units.Inch, 75.01, 8 * fps, hydraulics.NoteHazenWilliamsTemperature},
		{2 * units.Inch, 60, 10 * fps, 0},
		{2 * units.Inch, 60, 10.00001 * fps, hydraulics.NoteHazenWilliamsVelocity},
	} {
		if got := at(c.bore, c.fahrenheit, c.speed); got != c.want {
			t.Errorf("%v, %v degF, %v: %q, want %q", c.bore, c.fahrenheit, c.speed, got, c.want)
		}
	}
}

// Ranges are closed where they say at most, and every argument out of its range is
// named, none besides.
func TestFrictionRoughnessEdges(t *testing.T) {
	good := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Length: units.Metre, Water: water(t, 15)}
	// In metres 3220 nm is more than 0.05 of 64 400 nm, by rounding.
	for _, bore := range []units.Length{units.Metre, 100 * units.Millimetre, 64_400, 20} {
		f := good
		f.Bore, f.Roughness = bore, bore/20
		if _, err := f.Resistance(); err != nil {
			t.Errorf("a twentieth of %v: %v", bore, err)
		}
		f.Roughness++
		if _, err := f.Resistance(); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "roughness") ||
			bore == 100*units.Millimetre && !strings.Contains(err.Error(), "of the bore, 0.005 m") {
			t.Errorf("a nanometre more than a twentieth of %v: %v", bore, err)
		}
	}
	f := good
	f.Roughness = units.Micrometre
	if _, err := f.Resistance(); err == nil || !strings.Contains(err.Error(), "bore: ") ||
		strings.Contains(err.Error(), "roughness") {
		t.Errorf("no bore: %v", err)
	}
	// A bore is looked for up to 100 m, and 5 m is a twentieth of that.
	f.Roughness = 5*units.Metre + 1
	if _, err := f.BoreForHeadLoss(1, 1); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "roughness") {
		t.Errorf("rougher than any bore: %v", err)
	}
	// So little viscosity makes no Reynolds number.
	f = good
	f.Bore, f.Water.KinematicViscosity = units.Inch, 1e-320
	if _, err := f.Resistance(); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "Reynolds") {
		t.Errorf("a viscosity of 1e-320: %v", err)
	}
	// The greatest and least of everything at once.
	f = hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 100 * units.Metre, Length: 1_000_000 * units.Metre,
		C: 200, K: 1e9, Water: hydraulics.Water{Density: 1e5}}
	r := resistance(t, f)
	if _, err := r.HeadLoss(1e5); err != nil {
		t.Errorf("the greatest of all: %v", err)
	}
	if _, err := r.HeadLoss(units.Flow(math.Nextafter(1e5, 1e6))); !errors.Is(err, units.ErrRange) {
		t.Errorf("a flow above the greatest: %v", err)
	}
	if h, err := hydraulics.HazenWilliamsHeadLoss(1e5, 100*units.Metre, 1_000_000*units.Metre, 1); err != nil || h <= 0 {
		t.Errorf("%v, %v", h, err)
	}
	if h, err := hydraulics.HazenWilliamsHeadLoss(0, units.Inch, 0, 200); err != nil || h != 0 {
		t.Errorf("nothing: %v, %v", h, err)
	}
}

// K alone: h = K v²/2g. With K 4 and a head of v²/2g at 3 m/s times 4 the flow is 3 m/s
// through the bore, in a small pipe and in a conduit in which a head of 1 m is little.
func TestFlowOfMinorLossAlone(t *testing.T) {
	const h = 4 * 9 / (2 * 9.80665)
	for _, bore := range []units.Length{15 * units.Millimetre, 2 * units.Metre, 20 * units.Metre} {
		for _, method := range []hydraulics.LossMethod{hydraulics.HazenWilliams, hydraulics.DarcyWeisbach} {
			for _, rough := range []units.Length{0, 10 * units.Micrometre} {
				r := resistance(t, hydraulics.Friction{Method: method, Bore: bore, C: 130, Roughness: rough, K: 4,
					Water: water(t, 15)})
				want := 3 * math.Pi / 4 * bore.Metres() * bore.Metres()
				if q, err := r.FlowForHeadLoss(h); err != nil || !proof.Near(float64(q), want, 1e-12) {
					t.Errorf("%v, %v: %v m3/s, want %v, %v", method, bore, float64(q), want, err)
				}
			}
		}
	}
	// Neither length nor K: the fault is not in the flow.
	for _, method := range []hydraulics.LossMethod{hydraulics.HazenWilliams, hydraulics.DarcyWeisbach} {
		r := resistance(t, hydraulics.Friction{Method: method, Bore: units.Inch, C: 130, Water: water(t, 15)})
		if _, err := r.FlowForHeadLoss(1); !errors.Is(err, units.ErrNoSolution) || errors.Is(err, units.ErrRange) {
			t.Errorf("%v: %v", method, err)
		}
	}
}

// Just inside the transition flows come back too, where the ends of the search are. The
// slope of the loss jumps there, which costs digits: to 1e-10.
func TestFlowAtRegimeEdges(t *testing.T) {
	for _, rough := range []units.Length{0, 50 * units.Micrometre} {
		r := resistance(t, hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Length: 10 * units.Metre,
			Roughness: rough, Water: water(t, 15)})
		for _, re := range []float64{2000, 4000} {
			for _, by := range []float64{-1e-6, -1e-10, 0, 1e-10, 1e-6} {
				q := flowAtReynolds(t, &r, re) * units.Flow(1+by)
				h, err := r.HeadLoss(q)
				if err != nil {
					t.Fatal(err)
				}
				if back, err := r.FlowForHeadLoss(h); err != nil || !proof.Near(float64(back), float64(q), 1e-10) {
					t.Errorf("Re %v times 1%+g: %v comes back as %v, %v", re, by, float64(q), float64(back), err)
				}
			}
		}
	}
}

// Two points make a curve, one does not.
func TestLossCurveEdge(t *testing.T) {
	two := []hydraulics.LossPoint{{Flow: 0.001, Loss: 1e4}, {Flow: 0.002, Loss: 4e4}}
	if _, err := hydraulics.NewLossCurve(two); err != nil {
		t.Error(err)
	}
	if _, err := hydraulics.NewLossCurve(two[:1]); !errors.Is(err, units.ErrRange) {
		t.Errorf("one point: %v", err)
	}
}

// The ranges that the friction formulas state are closed at both ends.
func TestFrictionRangeEdges(t *testing.T) {
	w, err := hydraulics.WaterAt(units.Celsius(20))
	if err != nil {
		t.Fatal(err)
	}
	f := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Inch, Length: 0, C: 100, Water: w}
	if r, err := f.Resistance(); err != nil {
		t.Errorf("no length: %v", err)
	} else if l, err := r.Loss(0); err != nil || l.Head != 0 || l.Pressure != 0 {
		t.Errorf("no flow, no length: %+v, %v", l, err)
	}
	f.Length = 100 * units.Metre
	r, err := f.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	l, err := r.Loss(0.0005)
	if err != nil || !proof.Near(float64(l.Pressure), float64(l.Head)*float64(w.Density)*units.StandardGravity, 1e-13) {
		t.Errorf("pressure %v of head %v, %v", float64(l.Pressure), float64(l.Head), err)
	}
	f.Method, f.Roughness = hydraulics.DarcyWeisbach, f.Bore
	if _, err := f.Resistance(); !errors.Is(err, units.ErrRange) {
		t.Errorf("as rough as it is wide: %v", err)
	}
}
