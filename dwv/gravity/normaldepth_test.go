package gravity

import (
	"math"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// ratios runs over every flow that a pipe can carry, dense where the solve is
// hard: at nothing, at full, and at the greatest flow.
func ratios(yield func(float64) bool) {
	for e := -280.0; e < -3; e += 0.37 {
		if !yield(math.Pow(10, e)) {
			return
		}
	}
	for q := 1e-3; q < MaxFlowRatio*(1-1.1e-4); q += 1e-4 {
		if !yield(q) {
			return
		}
	}
	for e := -4.0; e > -15; e -= 0.1 {
		if !yield(MaxFlowRatio * (1 - math.Pow(10, e))) {
			return
		}
	}
	yield(MaxFlowRatio)
}

func TestNormalDepthResidual(t *testing.T) {
	worst, most := 0.0, 0
	last := 0.0
	for q := range ratios {
		theta, n, err := angleForFlow(q)
		if err != nil {
			t.Fatalf("ratio %v: %v", q, err)
		}
		if theta < last {
			t.Fatalf("ratio %v: angle %v is less than %v of a smaller flow", q, theta, last)
		}
		last = theta
		worst = max(worst, math.Abs(elementsOfAngle(theta).FlowRatio()/q-1))
		most = max(most, n)
	}
	if worst > 1e-12 {
		t.Errorf("flow residual %g, want at most 1e-12", worst)
	}
	if most > 12 {
		t.Errorf("%d evaluations, want at most 12", most)
	}
	t.Logf("residual %.2g, at most %d evaluations", worst, most)
}

func TestNormalDepthTakesTheLower(t *testing.T) {
	// Both depths of a flow between full and the greatest are found by walking the
	// depth; AtFlow must return the lower of them.
	p := Pipe{4 * units.Inch, slope.PerFoot(units.Inch / 4), 0.013}
	for _, depth := range []float64{0.83, 0.88, 0.93} {
		low, err := p.AtDepth(depth)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.AtFlow(low.Flow)
		if err != nil || math.Abs(got.Elements.Depth-depth) > 1e-9 {
			t.Errorf("depth %v: %v, %v", depth, got.Elements.Depth, err)
		}
	}
	for _, depth := range []float64{0.95, 0.99, 1} {
		high, err := p.AtDepth(depth)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.AtFlow(high.Flow)
		if err != nil || got.Elements.Depth > 0.9382 ||
			math.Abs(got.Elements.FlowRatio()-high.Elements.FlowRatio()) > 1e-12 {
			t.Errorf("the flow of depth %v: %v, %v", depth, got.Elements.Depth, err)
		}
	}
}

func BenchmarkNormalDepth(b *testing.B) {
	flows := []float64{0.003, 0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 1.05, 1.0757}
	b.Run("ours", func(b *testing.B) {
		p := Pipe{4 * units.Inch, slope.PerFoot(units.Inch / 4), 0.013}
		full, _, _ := p.Full()
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			f, err := p.AtFlow(full * units.Flow(flows[i]))
			if err != nil {
				b.Fatal(err)
			}
			sink += f.Elements.Depth
			if i++; i == len(flows) {
				i = 0
			}
		}
	})
	b.Run("solve", func(b *testing.B) {
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			th, _, _ := angleForFlow(flows[i])
			sink += th
			if i++; i == len(flows) {
				i = 0
			}
		}
	})
	// The floor: Halley on K itself from the closed form, written in place with no
	// checks, stopped at 1e-6.
	b.Run("floor", func(b *testing.B) {
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			sink += floorAngle(flows[i] * 0.31171)
			if i++; i == 5 {
				i = 0
			}
		}
	})
}

func floorAngle(k float64) float64 {
	th := 1.5 * math.Pi * math.Sqrt(1-math.Sqrt(1-math.Sqrt(math.Pi*k)))
	const c = 0.049606282874 // 2^(-13/3)
	for range 12 {
		s, co := math.Sincos(th)
		a := th - s
		y := c * math.Exp(5.0/3*math.Log(a)-2.0/3*math.Log(th))
		u, w := (1-co)/a, 1/th
		l := 5.0/3*u - 2.0/3*w
		dy := y * l
		ddy := y * (l*l + 5.0/3*(s/a-u*u) + 2.0/3*w*w)
		f := y - k
		step := 2 * f * dy / (2*dy*dy - f*ddy)
		th -= step
		if math.Abs(step) < 1e-6*th {
			break
		}
	}
	return th
}

var sink float64

// FuzzAtFlow holds every pipe and flow to one of two ends: a depth whose flow is
// that asked for to 1e-9, or an error; and never more than 12 evaluations.
func FuzzAtFlow(f *testing.F) {
	f.Add(int64(101_600_000), int64(1), int64(48), 0.013, 0.5)
	f.Add(int64(1), int64(1), int64(1)<<62, 1e-300, 1e-300)
	f.Add(int64(1)<<49, int64(1)<<62, int64(1), 1.0, 1.0757)
	f.Add(int64(-1), int64(-1), int64(0), math.NaN(), math.Inf(1))
	f.Fuzz(func(t *testing.T, bore, rise, run int64, n, ratio float64) {
		grade, err := slope.Ratio(rise, run)
		if err != nil {
			return
		}
		p := Pipe{units.Length(bore), grade, n}
		full, _, err := p.Full()
		if err != nil || full <= 0 || float64(full) > 1e300 {
			return
		}
		q := full * units.Flow(ratio)
		got, err := p.AtFlow(q)
		if err != nil {
			if ratio > 1e-200 && ratio < MaxFlowRatio && float64(q) > 1e-300 {
				t.Fatalf("%+v at %v of full: %v", p, ratio, err)
			}
			return
		}
		if _, evaluations, err := angleForFlow(float64(q) / float64(full)); err != nil || evaluations > 12 {
			t.Fatalf("%+v at %v of full: %d evaluations, %v", p, ratio, evaluations, err)
		}
		back := float64(full) * got.FlowRatio()
		if !(math.Abs(back-float64(q)) <= 1e-9*float64(q)) {
			t.Fatalf("%+v at %v of full: depth %v carries %v", p, ratio, got.Elements.Depth, back/float64(full))
		}
	})
}
