package hydraulics_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func water(t testing.TB, celsius float64) hydraulics.Water {
	t.Helper()
	w, err := hydraulics.WaterAt(units.Celsius(celsius))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Darcy-Weisbach written out for one duty, all from first principles but the
// friction factor, which is found by plain iteration.
func TestDarcyWeisbachIsItsDefinition(t *testing.T) {
	w := water(t, 15)
	const q, d, l, e = 1.2e-3, 0.0265, 42.0, 1.5e-6
	v := q / (math.Pi * d * d / 4)
	re := v * d / float64(w.KinematicViscosity)
	f := 0.02
	for range 100 {
		f = math.Pow(-2*math.Log10(e/d/3.7+2.51/(re*math.Sqrt(f))), -2)
	}
	want := f * l / d * v * v / (2 * 9.80665)
	r, err := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Metres(d), Length: units.Metres(l),
		Roughness: units.Metres(e), Water: w}.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	got, err := r.Loss(q)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"head", float64(got.Head), want},
		{"pressure", float64(got.Pressure), want * 9.80665 * float64(w.Density)},
		{"velocity", float64(got.Velocity), v},
		{"Reynolds", got.Reynolds, re},
		{"friction factor", got.FrictionFactor, f},
	} {
		if !proof.Near(c.got, c.want, 1e-12) {
			t.Errorf("%s: %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
	if got.Notes != 0 {
		t.Errorf("notes: %v", got.Notes)
	}
}

// Laminar flow is Poiseuille's law, exactly: h = 128 nu L Q/(pi g d^4).
func TestLaminarIsPoiseuille(t *testing.T) {
	w := water(t, 60)
	const d, l, q = 0.02, 3.0, 5e-6
	r, err := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Metres(d), Length: units.Metres(l),
		Roughness: units.Millimetres(0.5), Water: w}.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	got, err := r.Loss(q)
	want := 128 * float64(w.KinematicViscosity) * l * q / (math.Pi * 9.80665 * d * d * d * d)
	if err != nil || !proof.Near(float64(got.Head), want, 1e-13) || !got.Notes.Has(hydraulics.NoteLaminar) {
		t.Errorf("%v, want %v, notes %v, %v", float64(got.Head), want, got.Notes, err)
	}
}

func randomFriction(r *rand.Rand) hydraulics.Friction {
	f := hydraulics.Friction{
		Method:    hydraulics.LossMethod(1 + r.IntN(2)),
		Bore:      units.Millimetres(6 + 294*r.Float64()),
		Length:    units.Metres(0.1 + 300*r.Float64()),
		C:         60 + 95*r.Float64(),
		Roughness: units.Micrometre * units.Length(r.IntN(250)),
	}
	f.Water, _ = hydraulics.WaterAt(units.Celsius(100 * r.Float64()))
	if r.IntN(3) == 0 {
		f.K = 20 * r.Float64()
	}
	return f
}

// The inverses give back what went in, over laminar, transitional and turbulent
// flow; the loss rises with flow and length and falls with bore.
func TestLossProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	seen := map[hydraulics.Notes]int{}
	for range 4000 {
		f := randomFriction(r)
		res, err := f.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		// Velocities from 0.5 mm/s to 5 m/s.
		q := units.Flow(5e-4*math.Pow(1e4, r.Float64())) * units.Flow(math.Pi/4*f.Bore.Metres()*f.Bore.Metres())
		loss, err := res.Loss(q)
		if err != nil {
			t.Fatal(err)
		}
		seen[loss.Notes&(hydraulics.NoteLaminar|hydraulics.NoteTransitional)]++
		h := loss.Head
		if back, err := res.FlowForHeadLoss(h); err != nil || !proof.Near(float64(back), float64(q), 2e-12) {
			t.Errorf("%+v: flow %.17g comes back as %.17g, Re %g, %v", f, float64(q), float64(back), loss.Reynolds, err)
		}
		if back, err := res.FlowForPressureLoss(loss.Pressure); err != nil || !proof.Near(float64(back), float64(q), 2e-12) {
			t.Errorf("%+v: flow %.17g comes back from pressure as %.17g, %v", f, float64(q), float64(back), err)
		}
		back, err := f.BoreForHeadLoss(q, h)
		if err != nil || !proof.Near(back.Metres, f.Bore.Metres(), 1e-12) || back.Bore != f.Bore {
			t.Errorf("%+v: bore comes back as %.17g, Re %g, %v", f, back.Metres, loss.Reynolds, err)
		}
		if by, err := f.BoreForPressureLoss(q, loss.Pressure); err != nil || !proof.Near(by.Metres, f.Bore.Metres(), 1e-12) {
			t.Errorf("%+v: bore comes back from pressure as %.17g, %v", f, by.Metres, err)
		}
		if !proof.Near(float64(back.Velocity), float64(loss.Velocity), 1e-11) {
			t.Errorf("velocity %v, want %v", back.Velocity, loss.Velocity)
		}

		more, _ := res.HeadLoss(q * 1.001)
		longer, wider, rougher := f, f, f
		longer.Length += units.Millimetre
		wider.Bore += wider.Bore / 1000
		rougher.Roughness += units.Micrometre
		if a := headLoss(t, longer, q); more <= h || a <= h {
			t.Errorf("%+v: %v is not below %v (more flow) and %v (longer)", f, h, more, a)
		}
		if a := headLoss(t, wider, q); a >= h {
			t.Errorf("%+v: %v is not above %v (wider)", f, h, a)
		}
		if a := headLoss(t, rougher, q); a < h || f.Method == hydraulics.DarcyWeisbach && loss.Reynolds > 4000 && a == h {
			t.Errorf("%+v: %v is not below %v (rougher)", f, h, a)
		}
	}
	if seen[hydraulics.NoteLaminar] < 100 || seen[hydraulics.NoteTransitional] < 50 || seen[0] < 1000 {
		t.Errorf("regimes tried: %v", seen)
	}
}

func headLoss(t testing.TB, f hydraulics.Friction, q units.Flow) units.Head {
	t.Helper()
	r, err := f.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	h, err := r.HeadLoss(q)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// In rough pipe at high Reynolds numbers the loss is near the square of the flow, in
// laminar flow it is linear: the power laws that a slip of a unit would break.
func TestDarcyScales(t *testing.T) {
	w := water(t, 20)
	f := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: 100 * units.Millimetre, Length: 10 * units.Metre,
		Roughness: 5 * units.Millimetre, Water: w}
	if k := float64(headLoss(t, f, 0.2) / headLoss(t, f, 0.1)); !proof.Near(k, 4, 1e-3) {
		t.Errorf("rough pipe, twice the flow: factor %v", k)
	}
	f.Roughness = 0
	if k := float64(headLoss(t, f, 2e-5) / headLoss(t, f, 1e-5)); !proof.Near(k, 2, 1e-13) {
		t.Errorf("laminar flow, twice the flow: factor %v", k)
	}
	// The same Reynolds number and relative roughness: the loss in velocity heads is the same.
	g := f
	g.Bore, g.Length, f.Roughness, g.Roughness = 2*f.Bore, 2*f.Length, units.Millimetre, 2*units.Millimetre
	v1, v2 := 0.05/(0.01*math.Pi/4), 0.1/(0.04*math.Pi/4)
	if k := float64(headLoss(t, g, 0.1)) / (v2 * v2) / (float64(headLoss(t, f, 0.05)) / (v1 * v1)); !proof.Near(k, 1,
		1e-13) {
		t.Errorf("similar pipes: factor %v", k)
	}
}

func TestNotesOfLoss(t *testing.T) {
	const q5fps = 0.000772 // about 5 ft/s in an inch
	cool := water(t, 15)
	for _, c := range []struct {
		name string
		f    hydraulics.Friction
		q    units.Flow
		want hydraulics.Notes
	}{
		{"turbulent in a main", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 4 * units.Inch, C: 140,
			Water: cool}, 0.02, 0},
		{"small bore", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Inch, C: 140, Water: cool}, q5fps,
			hydraulics.NoteHazenWilliamsBore},
		{"exactly two inches", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 2 * units.Inch, C: 140,
			Water: cool}, 0.003, 0},
		{"hot", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 4 * units.Inch, C: 140, Water: water(t, 60)},
			0.02, hydraulics.NoteHazenWilliamsTemperature},
		{"fast", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 4 * units.Inch, C: 140, Water: cool}, 0.04,
			hydraulics.NoteHazenWilliamsVelocity},
		{"a trickle", hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: 4 * units.Inch, C: 140, Water: cool}, 1e-4,
			hydraulics.NoteHazenWilliamsNotTurbulent},
		{"no flow", hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Water: cool}, 0,
			hydraulics.NoteNoFlow},
		{"laminar", hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Water: cool}, 1e-5,
			hydraulics.NoteLaminar},
		{"transitional", hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Water: cool}, 6e-5,
			hydraulics.NoteTransitional},
		{"turbulent", hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Water: cool}, q5fps, 0},
	} {
		c.f.Length = 10 * units.Metre
		r, err := c.f.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		loss, err := r.Loss(c.q)
		if err != nil || loss.Notes != c.want {
			t.Errorf("%s: notes %q, want %q, %v", c.name, loss.Notes, c.want, err)
		}
	}
	n := hydraulics.NoteLaminar | hydraulics.NoteBoiling
	if got := n.Texts(); len(got) != 2 || n.String() != got[0]+"; "+got[1] {
		t.Errorf("texts: %q", got)
	}
	// Every note has its own sentence, and none is left over.
	texts := map[string]bool{}
	for bit := range 32 {
		if s := hydraulics.Notes(1 << bit).String(); s != "" {
			texts[s] = true
		}
	}
	if len(texts) != 8 {
		t.Errorf("%d different sentences", len(texts))
	}
}

func TestFrictionRefuses(t *testing.T) {
	good := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Length: units.Metre, C: 150,
		Water: water(t, 15)}
	nan := math.NaN()
	for _, c := range []struct {
		name, names string
		spoil       func(f *hydraulics.Friction)
	}{
		{"no method", "loss method", func(f *hydraulics.Friction) { f.Method = 0 }},
		{"bore", "bore", func(f *hydraulics.Friction) { f.Bore = 0 }},
		{"bore negative", "bore", func(f *hydraulics.Friction) { f.Bore = -units.Inch }},
		{"bore not a number", "bore", func(f *hydraulics.Friction) { f.Bore = units.Inches(nan) }},
		{"length", "length", func(f *hydraulics.Friction) { f.Length = -1 }},
		{"K", "k", func(f *hydraulics.Friction) { f.K = -1 }},
		{"K not a number", "k", func(f *hydraulics.Friction) { f.K = nan }},
		{"density", "density", func(f *hydraulics.Friction) { f.Water.Density = 0 }},
		{"viscosity", "kinematic viscosity", func(
			f *hydraulics.Friction) {
			f.Water.KinematicViscosity = units.KinematicViscosity(nan)
		}},
		{"rough", "roughness", func(f *hydraulics.Friction) { f.Roughness = units.Inch / 19 }},
		{"roughness negative", "roughness", func(f *hydraulics.Friction) { f.Roughness = -1 }},
		{"C", "c", func(f *hydraulics.Friction) { f.Method, f.C = hydraulics.HazenWilliams, 0 }},
		{"C not a number", "c", func(f *hydraulics.Friction) { f.Method, f.C = hydraulics.HazenWilliams, nan }},
	} {
		f := good
		c.spoil(&f)
		_, err := f.Resistance()
		if err == nil || !strings.Contains(err.Error(), c.names) || c.names != "loss method" &&
			!errors.Is(err, units.ErrRange) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	r, err := good.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []float64{-1, nan, math.Inf(1)} {
		if _, err := r.HeadLoss(units.Flow(v)); !errors.Is(err, units.ErrRange) {
			t.Errorf("flow %v: %v", v, err)
		}
		if _, err := r.Loss(units.Flow(v)); !errors.Is(err, units.ErrRange) {
			t.Errorf("flow %v: %v", v, err)
		}
		if _, err := r.FlowForHeadLoss(units.Head(v)); !errors.Is(err, units.ErrRange) {
			t.Errorf("head %v: %v", v, err)
		}
		if _, err := r.FlowForPressureLoss(units.Pressure(v)); !errors.Is(err, units.ErrRange) {
			t.Errorf("pressure %v: %v", v, err)
		}
		if _, err := good.BoreForHeadLoss(1e-3, units.Head(v)); !errors.Is(err, units.ErrRange) {
			t.Errorf("head for a bore %v: %v", v, err)
		}
		if _, err := good.BoreForPressureLoss(units.Flow(v), 1e3); !errors.Is(err, units.ErrRange) {
			t.Errorf("flow for a bore %v: %v", v, err)
		}
	}
	if _, err := r.FlowForHeadLoss(0); !errors.Is(err, units.ErrRange) {
		t.Errorf("no head: %v", err)
	}
	none := good
	none.Length = 0
	r, err = none.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.FlowForHeadLoss(1); !errors.Is(err, units.ErrNoSolution) {
		t.Errorf("no length: %v", err)
	}
	if _, err := good.BoreForHeadLoss(1e5, 1e-6); !errors.Is(err, units.ErrNoSolution) {
		t.Errorf("a bore for a loss that none has: %v", err)
	}
	rough := good
	rough.Roughness = 10 * units.Millimetre
	if _, err := rough.BoreForHeadLoss(1e-3, 100); !errors.Is(err, units.ErrNoSolution) {
		t.Errorf("a bore rougher than a twentieth: %v", err)
	}
}

func TestLossMethodText(t *testing.T) {
	for _, m := range []hydraulics.LossMethod{hydraulics.HazenWilliams, hydraulics.DarcyWeisbach} {
		text, err := m.MarshalText()
		var back hydraulics.LossMethod
		if err != nil || back.UnmarshalText(text) != nil || back != m {
			t.Errorf("%v: %s, %v, %v", m, text, back, err)
		}
	}
	var m hydraulics.LossMethod
	if text, err := m.MarshalText(); err != nil || len(text) != 0 {
		t.Errorf("the zero method: %q, %v", text, err)
	}
	if _, err := hydraulics.LossMethod(9).MarshalText(); err == nil {
		t.Error("a method that is none has a text")
	}
	if err := m.UnmarshalText([]byte("no-such-formula")); err == nil {
		t.Error("a formula that is none was read")
	}
}

func TestResistanceAllocatesNothing(t *testing.T) {
	f := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Length: units.Metre,
		Roughness: units.Micrometre, K: 2, Water: water(t, 15)}
	r, err := f.Resistance()
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() {
		r.Loss(5e-4)
		r.FlowForHeadLoss(2)
		f.Resistance()
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func ExampleFriction_Resistance() {
	w, err := hydraulics.WaterAt(units.Celsius(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	copper := hydraulics.Friction{
		Method:    hydraulics.DarcyWeisbach,
		Bore:      units.Inches(0.785), // type L, 3/4 in
		Length:    50 * units.Foot,
		Roughness: units.Millimetres(0.0015),
		Water:     w,
	}
	r, err := copper.Resistance()
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, _ := r.Loss(6 * units.USGallonPerMinute)
	most, _ := r.FlowForPressureLoss(5 * units.PoundForcePerSquareInch)
	fmt.Printf("%.2f psi at 6 gpm, Reynolds number %.0f; 5 psi carries %.1f gpm\n",
		float64(loss.Pressure/units.PoundForcePerSquareInch), loss.Reynolds, float64(most/units.USGallonPerMinute))
	// Output: 1.69 psi at 6 gpm, Reynolds number 50996; 5 psi carries 11.0 gpm
}

func BenchmarkDarcyWeisbach(b *testing.B) {
	f := hydraulics.Friction{Method: hydraulics.DarcyWeisbach, Bore: units.Inch, Length: 30 * units.Metre,
		Roughness: units.Millimetres(0.0015), Water: water(b, 15)}
	r, err := f.Resistance()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("loss", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			h, _ := r.HeadLoss(6e-4)
			sink = float64(h)
		}
	})
	b.Run("flow", func(b *testing.B) {
		for b.Loop() {
			q, _ := r.FlowForHeadLoss(2)
			sink = float64(q)
		}
	})
	b.Run("bore", func(b *testing.B) {
		for b.Loop() {
			d, _ := f.BoreForHeadLoss(6e-4, 2)
			sink = d.Metres
		}
	})
}

// Any pipe that is accepted loses a finite head that its inverses lead back from.
func FuzzLoss(f *testing.F) {
	f.Add(uint8(1), int64(25_400_000), int64(30_000_000_000), 150.0, int64(1500), 0.0, 1e-6, 5e-4)
	f.Add(uint8(2), int64(25_400_000), int64(30_000_000_000), 150.0, int64(1500), 2.5, 1e-6, 5e-5)
	f.Add(uint8(2), int64(1), int64(1), 0.0, int64(0), math.Inf(1), math.NaN(), -1.0)
	f.Fuzz(func(t *testing.T, method uint8, bore, length int64, c float64, roughness int64, k, nu, q float64) {
		in := hydraulics.Friction{
			Method: hydraulics.LossMethod(method), Bore: units.Length(bore), Length: units.Length(length), C: c,
			Roughness: units.Length(roughness), K: k,
			Water: hydraulics.Water{Density: 999, KinematicViscosity: units.KinematicViscosity(nu)},
		}
		r, err := in.Resistance()
		if err != nil {
			return
		}
		l, err := r.Loss(units.Flow(q))
		if err != nil {
			return
		}
		if h := float64(l.Head); !(h >= 0) {
			t.Fatalf("%+v at %g: head %v", in, q, h)
		}
		if h := float64(l.Head); h < 1e-200 || h > 1e6 || q < 1e-100 {
			return
		}
		back, err := r.FlowForHeadLoss(l.Head)
		if err != nil || !proof.Near(float64(back), q, 1e-9) {
			t.Errorf("%+v at %g: flow comes back as %g, %v", in, q, float64(back), err)
		}
	})
}
