package hydraulics_test

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func TestColebrookAgainstFluids(t *testing.T) {
	worst := 0.0
	for _, row := range proof.ReadCSV(t, "colebrook_fluids.csv") {
		re, rr, want := proof.Number(t, row["reynolds"]), proof.Number(t, row["relative_roughness"]),
			proof.Number(t, row["friction_factor"])
		got, err := hydraulics.Colebrook(re, rr)
		if err != nil {
			t.Fatal(err)
		}
		worst = max(worst, math.Abs(got/want-1))
		if !proof.Near(got, want, 1e-12) {
			t.Errorf("Re %g, roughness %g: %.16g, want %.16g", re, rr, got, want)
		}
		for _, explicit := range []struct {
			name, column string
			f            func(re, relative float64) (float64, error)
			most, same   float64
		}{
			// fluids writes 5.74 as 6.97^0.9, which is 5.7404.
			{"Swamee-Jain", "swamee_jain", hydraulics.SwameeJain, 0.031, 3e-5},
			{"Haaland", "haaland", hydraulics.Haaland, 0.0151, 1e-9},
		} {
			got, err := explicit.f(re, rr)
			if by := proof.Number(t, row[explicit.column]); err != nil || !proof.Near(got, by, explicit.same) {
				t.Errorf("%s at Re %g, roughness %g: %.10g, fluids %.10g, %v", explicit.name, re, rr, got, by, err)
			}
			// The stated range of both begins at 1e-6, Swamee and Jain's at 5000.
			if err != nil || re >= 5000 && rr >= 1e-6 && !proof.Near(got, want, explicit.most) {
				t.Errorf("%s at Re %g, roughness %g: %.6g, Colebrook %.6g, %v", explicit.name, re, rr, got, want, err)
			}
		}
	}
	t.Logf("largest relative difference %.1e", worst)
}

// The defining equation itself, over a wider range than the stored values.
func FuzzColebrook(f *testing.F) {
	f.Add(4000.0, 0.0)
	f.Add(1e5, 1e-4)
	f.Add(1e15, 0.05)
	f.Add(2000.0, 0.05)
	f.Fuzz(func(t *testing.T, re, rr float64) {
		got, err := hydraulics.Colebrook(re, rr)
		if err != nil {
			if !errors.Is(err, units.ErrRange) || got != 0 {
				t.Fatalf("%v with %v", err, got)
			}
			return
		}
		x := 1 / math.Sqrt(got)
		if r := x + 2*math.Log10(rr/3.7+2.51/re*x); !(math.Abs(r) <= 1e-13*x) {
			t.Errorf("Re %g, roughness %g: 1/sqrt f %g leaves %g", re, rr, x, r)
		}
	})
}

func TestFrictionFactorRegimes(t *testing.T) {
	turbulent, err := hydraulics.Colebrook(4000, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		re, want float64
		notes    hydraulics.Notes
	}{
		{1, 64, hydraulics.NoteLaminar},
		{2000, 0.032, hydraulics.NoteLaminar},
		{2500, 0.032 + (turbulent-0.032)/4, hydraulics.NoteTransitional},
		{3000, (0.032 + turbulent) / 2, hydraulics.NoteTransitional},
		{4000, turbulent, 0},
	} {
		got, notes, err := hydraulics.FrictionFactor(c.re, 0.001)
		if err != nil || !proof.Near(got, c.want, 1e-15) || notes != c.notes {
			t.Errorf("Re %g: %.16g %v %v, want %.16g %v", c.re, got, notes, err, c.want, c.notes)
		}
	}
	// No jump at the limits.
	for _, re := range []float64{2000, 4000} {
		below, _, _ := hydraulics.FrictionFactor(math.Nextafter(re, 0), 0.01)
		above, _, _ := hydraulics.FrictionFactor(math.Nextafter(re, 1e9), 0.01)
		if !proof.Near(below, above, 1e-12) {
			t.Errorf("jump at Re %g: %g, %g", re, below, above)
		}
	}
}

func TestFrictionFactorRefuses(t *testing.T) {
	for _, c := range []struct{ re, rr float64 }{
		{0, 0}, {-1, 0}, {math.Nextafter(1e15, 2e15), 0}, {1e5, math.Nextafter(0.05, 1)}, {math.NaN(), 0}, {math.Inf(1), 0},
		{1e5, -1e-9}, {1e5, 0.0501}, {1e5, math.NaN()},
	} {
		if _, _, err := hydraulics.FrictionFactor(c.re, c.rr); !errors.Is(err, units.ErrRange) {
			t.Errorf("%v: %v", c, err)
		}
		for _, f := range []func(re, relative float64) (float64, error){hydraulics.Colebrook, hydraulics.SwameeJain,
			hydraulics.Haaland} {
			if _, err := f(c.re, c.rr); !errors.Is(err, units.ErrRange) {
				t.Errorf("%v: %v", c, err)
			}
		}
	}
}

// Accepted at the ends of the range, from a smooth pipe in all but laminar flow.
func TestColebrookEnds(t *testing.T) {
	for _, c := range []struct{ re, rr float64 }{{2000, 0}, {2000, 0.05}, {1e15, 0}, {1e15, 0.05}} {
		f, err := hydraulics.Colebrook(c.re, c.rr)
		x := 1 / math.Sqrt(f)
		if off := x + 2*math.Log10(c.rr/3.7+2.51/c.re*x); err != nil || math.Abs(off) > 1e-13*x {
			t.Errorf("%+v: %v is off by %v, %v", c, f, off, err)
		}
	}
	if _, err := hydraulics.Colebrook(math.Nextafter(2000, 0), 0); !errors.Is(err, units.ErrRange) {
		t.Errorf("laminar: %v", err)
	}
}

// BenchmarkColebrook pairs ours with the floor: Newton from Swamee-Jain to 1e-13.
func BenchmarkColebrook(b *testing.B) {
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := hydraulics.Colebrook(123456, 0.0007)
			sink = f
		}
	})
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			sink = colebrookNewton(123456, 0.0007)
		}
	})
}

var sink float64

func colebrookNewton(re, rr float64) float64 {
	a, c := rr/3.7, 2.51/re
	x := -2 * math.Log10(a+5.74/math.Pow(re, 0.9))
	for range 20 {
		u := a + c*x
		step := (x + 2*math.Log10(u)) / (1 + 2/math.Ln10*c/u)
		x -= step
		if math.Abs(step) <= 1e-13*x {
			break
		}
	}
	return 1 / (x * x)
}
