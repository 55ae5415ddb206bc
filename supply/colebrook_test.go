package supply

import (
	"math"
	"testing"
)

func TestColebrookConv(t *testing.T) {
	worst := 0.0
	for lr := math.Log10(2000); lr <= 15; lr += 0.01 {
		for _, rr := range []float64{0, 1e-9, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.03, 0.05} {
			re := math.Pow(10, lr)
			x := colebrook(re, rr)
			r := x + twoByLn10*math.Log(rr/3.7+2.51/re*x)
			if e := math.Abs(r) / x; e > worst {
				worst = e
				t.Log(re, rr, e)
			}
		}
	}
}
func BenchmarkColebrook(b *testing.B) {
	for b.Loop() {
		Colebrook(123456, 0.0007)
	}
}
