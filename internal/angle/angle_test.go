package angle_test

import (
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/angle"
)

func TestSinCos(t *testing.T) {
	for k := -8; k <= 8; k++ {
		quarter := [...][2]float64{{0, 1}, {1, 0}, {0, -1}, {-1, 0}}[(k+8)%4]
		if sin, cos := angle.SinCos(float64(90 * k)); sin != quarter[0] || cos != quarter[1] {
			t.Errorf("%d quarter turns: %v, %v", k, sin, cos)
		}
	}
	for _, x := range [...]float64{-700, -31, 30, 59.5, 200, 1234} {
		sin, cos := angle.SinCos(x)
		if math.Abs(sin-math.Sin(x*math.Pi/180)) > 1e-14 || math.Abs(cos-math.Cos(x*math.Pi/180)) > 1e-14 {
			t.Errorf("%v degrees: %v, %v", x, sin, cos)
		}
	}
}
