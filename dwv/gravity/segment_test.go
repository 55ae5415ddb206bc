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
