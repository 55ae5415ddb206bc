package hydraulics

import (
	"math"
	"os"
	"regexp"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// Every entry of formulas is whole, and its parts say the same of one pipe: the slope is
// that of the loss, the flow undoes it, and the loss falls with the bore as it says.
func TestFormulas(t *testing.T) {
	water := Water{Density: 998, KinematicViscosity: 1e-6}
	pipe := Friction{Bore: units.Inch, Length: 10 * units.Metre, C: 130, Roughness: units.Micrometre, Water: water}
	names := map[string]bool{}
	for m := LossMethod(1); m.formula() != nil; m++ {
		f, name := m.formula(), m.String()
		if names[name] || f.name == "" {
			t.Errorf("method %d has the name %q again", m, name)
		}
		names[name] = true
		var back LossMethod
		if err := back.UnmarshalText([]byte(name)); err != nil || back != m {
			t.Errorf("%s reads back as %v, %v", name, back, err)
		}
		pipe.Method = m
		r, err := pipe.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		for q := 1e-6; q < 1e-2; q *= 3 {
			h, dh := f.slope(r.law, q)
			step := q * 1e-6
			rise := (f.loss(r.law, 0, q+step) - f.loss(r.law, 0, q-step)) / (2 * step)
			if far(f.loss(r.law, 0, q), h, 1e-12) || far(rise, dh, 1e-6) {
				t.Errorf("%s at %v: loss %v or %v, slope %v, want %v", name, q, h, f.loss(r.law, 0, q), dh, rise)
			}
			if low, high := f.flow(r.law, h); q < low*(1-1e-9) || q > high*(1+1e-9) {
				t.Errorf("%s: a loss of %v is that of %v, found %v to %v", name, h, q, low, high)
			}
			d := pipe.Bore.Metres()
			at, power := f.atBore(pipe, q, d)
			wider, _ := f.atBore(pipe, q, d*(1+1e-6))
			if far(at, h, 1e-12) || math.Abs(math.Log(wider/at)/math.Log1p(1e-6)-power) > 1e-3 {
				t.Errorf("%s at %v: %v at the bore, want %v; power %v", name, q, at, h, power)
			}
			if f.bore != nil && far(f.bore(pipe, q, h), d, 1e-9) {
				t.Errorf("%s: a bore of %v loses %v, want %v", name, f.bore(pipe, q, h), h, d)
			}
		}
	}
	if len(names) < 2 {
		t.Errorf("%d formulas", len(names))
	}
	// Each has published cases and a row of where it comes from.
	for _, file := range []string{"testdata/friction_published.csv", "../../internal/proof/formulas.csv"} {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for name := range names {
			if !regexp.MustCompile(`(?i)\b` + regexp.QuoteMeta(name) + `\b`).Match(data) { // "old" is not in "cold"
				t.Errorf("%s has no row of %s", file, name)
			}
		}
	}
}

func far(got, want, tolerance float64) bool { return !(math.Abs(got-want) <= tolerance*math.Abs(want)) }
