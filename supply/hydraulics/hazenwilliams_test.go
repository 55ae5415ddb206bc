package hydraulics_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// The definition as it is written: V = 1.318 C R^0.63 S^0.54 in feet and seconds,
// solved for S, with none of the library's derived constants.
func definedHeadLoss(q units.Flow, bore, length units.Length, c float64) float64 {
	d := bore.Feet()
	v := float64(q) / (0.3048 * 0.3048 * 0.3048) / (math.Pi / 4 * d * d)
	return length.Metres() * math.Pow(v/(1.318*c*math.Pow(d/4, 0.63)), 1/0.54)
}

func TestHazenWilliamsIsItsDefinition(t *testing.T) {
	for _, bore := range []units.Length{units.Inches(0.475), units.Inches(0.785), 2 * units.Inch, 300 * units.Millimetre} {
		for _, q := range []units.Flow{0.1, 1, 7.5, 50, 900} {
			for _, c := range []float64{60, 130, 140, 150} {
				got, err := hydraulics.HazenWilliamsHeadLoss(q*units.USGallonPerMinute, bore, 100*units.Foot, c)
				want := definedHeadLoss(q*units.USGallonPerMinute, bore, 100*units.Foot, c)
				if err != nil || !proof.Near(float64(got), want, 2e-14) {
					t.Errorf("%v gpm, %v, C %v: %.17g, want %.17g, %v", float64(q), bore, c, float64(got), want, err)
				}
			}
		}
	}
}

// The constants derived in 40-digit arithmetic from the same definition.
func TestHazenWilliamsConstants(t *testing.T) {
	rows := proof.ReadCSV(t, "hazen_williams_constants.csv")
	unit := func(q units.Flow, bore, length units.Length) float64 {
		h, err := hydraulics.HazenWilliamsHeadLoss(q, bore, length, 100)
		if err != nil {
			t.Fatal(err)
		}
		return float64(h) * math.Pow(100, 1/0.54) // C taken out
	}
	tried := 0
	for _, row := range rows {
		if !strings.HasPrefix(row["form"], "hf/L = K") || strings.Contains(row["form"], "nominal") {
			continue
		}
		var got float64
		switch row["units"] {
		case "ft/ft; Q ft3/s; D ft":
			got = unit(units.CubicFootPerSecond, units.Foot, units.Foot) / 0.3048
		case "ft/ft; Q gpm; d in":
			got = unit(units.USGallonPerMinute, units.Inch, units.Foot) / 0.3048
		case "m/m; Q m3/s; D m":
			got = unit(units.CubicMetrePerSecond, units.Metre, units.Metre)
		case "m/m; Q L/s; d mm":
			got = unit(units.LitrePerSecond, units.Millimetre, units.Metre)
		default:
			continue
		}
		want, _, err := big.ParseFloat(row["constant"], 10, 80, big.ToNearestEven)
		if err != nil {
			t.Fatal(err)
		}
		w, _ := want.Float64()
		// The same units appear twice, for the constant 1.318 and for the form it
		// was rounded from, which differs in the fourth digit.
		if proof.Near(got, w, 1e-3) && !proof.Near(got, w, 1e-4) {
			continue
		}
		tried++
		if !proof.Near(got, w, 1e-13) {
			t.Errorf("%s: %.17g, want %.17g", row["units"], got, w)
		}
	}
	if tried != 4 {
		t.Errorf("%d constants compared, want 4", tried)
	}
}

// Rounded forms that are in print, beside the exact one.
func TestHazenWilliamsPublishedForms(t *testing.T) {
	worst := map[string]float64{}
	for _, row := range proof.ReadCSV(t, "hazen_williams_form_comparison.csv") {
		h, err := hydraulics.HazenWilliamsHeadLoss(
			units.Flow(proof.Number(t, row["flow_gpm"]))*units.USGallonPerMinute,
			units.Inches(proof.Number(t, row["id_in"])), units.Foot, proof.Number(t, row["C"]))
		if err != nil {
			t.Fatal(err)
		}
		got := float64(h) / 0.3048
		deviation := proof.Number(t, row["hf_ft_per_ft"])/got - 1
		if want := proof.Number(t, row["rel_dev_from_exact"]); math.Abs(deviation-want) > 6e-6 {
			t.Errorf("%s, %s gpm: deviates %.5f, want %.5f", row["form"], row["flow_gpm"], deviation, want)
		}
		if strings.HasPrefix(row["form"], "exact") && !proof.Near(proof.Number(t, row["hf_ft_per_ft"]), got, 1e-11) {
			t.Errorf("exact form at %s gpm: %.13g, want %s", row["flow_gpm"], got, row["hf_ft_per_ft"])
		}
		worst[row["form"]] = max(worst[row["form"]], math.Abs(deviation))
	}
	for form, d := range worst {
		t.Logf("%-50s up to %.2f %%", form, 100*d)
	}
}

func TestHazenWilliamsRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		q            float64
		bore, length units.Length
		c            float64
		names        []string
	}{
		{nan, units.Inch, units.Foot, 150, []string{"flow"}},
		{inf, units.Inch, units.Foot, 150, []string{"flow"}},
		{-1e-9, units.Inch, units.Foot, 150, []string{"flow"}},
		{1e-3, 0, units.Foot, 150, []string{"bore"}},
		{1e-3, -units.Inch, -units.Foot, nan, []string{"bore", "length", "c"}},
		{-1, units.Inches(nan), units.Feet(inf), 0, []string{"flow", "bore", "length", "c"}},
	} {
		h, err := hydraulics.HazenWilliamsHeadLoss(units.Flow(c.q), c.bore, c.length, c.c)
		if !errors.Is(err, units.ErrRange) || h != 0 {
			t.Errorf("%+v: %v, %v", c, float64(h), err)
			continue
		}
		for _, name := range c.names {
			if !strings.Contains(err.Error(), name+": ") {
				t.Errorf("%+v: %q does not name %s", c, err, name)
			}
		}
	}
}

func TestHazenWilliamsScales(t *testing.T) {
	base, _ := hydraulics.HazenWilliamsHeadLoss(1e-3, units.Inch, 10*units.Metre, 130)
	for _, c := range []struct {
		name         string
		q            units.Flow
		bore, length units.Length
		c, power     float64
	}{
		{"flow", 2e-3, units.Inch, 10 * units.Metre, 130, 1 / 0.54},
		{"bore", 1e-3, 2 * units.Inch, 10 * units.Metre, 130, -2.63 / 0.54},
		{"length", 1e-3, units.Inch, 20 * units.Metre, 130, 1},
	} {
		h, err := hydraulics.HazenWilliamsHeadLoss(c.q, c.bore, c.length, c.c)
		if want := math.Pow(2, c.power); err != nil || !proof.Near(float64(h/base), want, 1e-13) {
			t.Errorf("twice the %s: factor %v, want %v, %v", c.name, float64(h/base), want, err)
		}
	}
}

func ExampleHazenWilliamsHeadLoss() {
	h, err := hydraulics.HazenWilliamsHeadLoss(10*units.USGallonPerMinute, units.Inches(1.025), 100*units.Foot, 150)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f ft\n", float64(h/units.FootOfHead))
	// Output: 6.15 ft
}

// Both floors of a sizing loop: the two-Pow expression and the one-Pow form with
// the pipe's part worked out beforehand.
func BenchmarkHazenWilliams(b *testing.B) {
	q, d, l, c := 0.63e-3, 0.026, 30.0, 150.0
	b.Run("one-shot/ours", func(b *testing.B) {
		b.ReportAllocs()
		bore, length := units.Metres(d), units.Metres(l)
		for b.Loop() {
			h, _ := hydraulics.HazenWilliamsHeadLoss(units.Flow(q), bore, length, c)
			sink = float64(h)
		}
	})
	b.Run("one-shot/floor", func(b *testing.B) {
		for b.Loop() {
			sink = 10.67 * l * math.Pow(q/c, 1.852) * math.Pow(d, -4.8704)
		}
	})
	b.Run("prepared/ours", func(b *testing.B) {
		b.ReportAllocs()
		r, err := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Metres(d), Length: units.Metres(l), C: c,
			Water: hydraulics.Water{Density: 999}}.Resistance()
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			h, _ := r.HeadLoss(units.Flow(q))
			sink = float64(h)
		}
	})
	b.Run("prepared/floor", func(b *testing.B) {
		k := 10.67 * l * math.Pow(c, -1.852) * math.Pow(d, -4.8704)
		for b.Loop() {
			sink = k * math.Pow(q, 1.852)
		}
	})
}
