package gravity

import (
	"math"
	"math/big"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// TestSegment holds theta - sin theta to its series summed with 200 bits, on both
// sides of where the two ways to compute it meet: the first six terms give it to 2e-13.
func TestSegment(t *testing.T) {
	for _, theta := range []float64{1e-3, 0.1, 0.5, 0.7, 0.7499, 0.75, 0.7501, 1, 3, 6} {
		x := new(big.Float).SetPrec(200).SetFloat64(theta)
		square := new(big.Float).Mul(x, x)
		term, sum := new(big.Float).Copy(x), new(big.Float).SetPrec(200)
		for k := int64(2); k < 80; k += 2 {
			term.Mul(term, square)
			term.Quo(term, new(big.Float).SetPrec(200).SetInt64(-k*(k+1)))
			sum.Sub(sum, term)
		}
		want, _ := sum.Float64()
		s, c := math.Sincos(theta / 2)
		if got := segment(theta, s, c); math.Abs(got/want-1) > 2e-13 {
			t.Errorf("theta %v: %v, want %v", theta, got, want)
		}
	}
}

// TestColebrookWhiteEnds: a smooth pipe and one whose roughness is 1/20 of the bore are
// taken, one a nanometre rougher is not.
func TestColebrookWhiteEnds(t *testing.T) {
	bore := 100 * units.Millimetre
	for roughness, ok := range map[units.Length]bool{-1: false, 0: true, bore / 20: true, bore/20 + 1: false} {
		_, _, err := ColebrookWhiteFlow(bore, slope.OneIn(50), roughness, 1.3e-6, 0.5)
		if (err == nil) != ok {
			t.Errorf("roughness %v: %v", roughness, err)
		}
	}
}

// TestColebrookWhiteByFriction: the velocity found in one step is that at which the friction of
// Darcy and Weisbach, with the factor of Colebrook and White found by repetition, uses up the
// fall. In a smooth pipe the viscosity decides alone.
func TestColebrookWhiteByFriction(t *testing.T) {
	for _, k := range []float64{0, 0.03, 0.6, 1.5} { // mm
		for _, nu := range []float64{1.004e-6, 1.31e-6} {
			for _, depth := range []float64{0.3, 0.5, 1} {
				const bore, gravity = 0.146, 9.80665
				fall := 0.01
				grade, err := slope.Percent(100 * fall)
				if err != nil {
					t.Fatal(err)
				}
				_, got, err := ColebrookWhiteFlow(units.Millimetres(1000*bore), grade, units.Millimetres(k), units.KinematicViscosity(nu), depth)
				if err != nil {
					t.Fatal(err)
				}
				angle := 2 * math.Acos(1-2*depth)
				across := bore * (1 - math.Sin(angle)/angle) // four times the hydraulic radius
				low, high := 0.0, 10.0
				for range 60 {
					v, factor := (low+high)/2, 0.02
					for range 60 {
						factor = math.Pow(-2*math.Log10(k/1000/(3.7*across)+2.51*nu/(v*across*math.Sqrt(factor))), -2)
					}
					if factor*v*v/(2*gravity*across) > fall {
						high = v
					} else {
						low = v
					}
				}
				if math.Abs(float64(got)-low) > 1e-6*low {
					t.Errorf("k %v mm, nu %v, depth %v: %v m/s, by friction %v", k, nu, depth, float64(got), low)
				}
			}
		}
	}
}
