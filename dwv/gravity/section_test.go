package gravity

import (
	"errors"
	"math"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// A wrong derivative only makes a search slower, so that no depth shows it: each is held
// to the quotient of differences of what it is the derivative of.
func TestDerivatives(t *testing.T) {
	const h = 1e-4
	slopeOf := func(f func(float64) float64, x float64) float64 {
		// Five points, with an error of the fourth power of h.
		return (8*(f(x+h)-f(x-h)) - (f(x+2*h) - f(x-2*h))) / (12 * h)
	}
	for name, f := range map[string]func(float64) (y, dy, ddy float64){
		"flow": segmentPower(0.3, 5.0/3, 2.0/3), "area": segmentPower(-1, 1, 0), "traction": segmentPower(2, 7.0/6, 1.0/6),
		"critical flow": criticalFlow(0.7),
	} {
		for _, theta := range []float64{0.2, 0.9, 2, 3.1, 4.5, 5.2, 6} {
			_, dy, ddy := f(theta)
			first := slopeOf(func(x float64) float64 { y, _, _ := f(x); return y }, theta)
			second := slopeOf(func(x float64) float64 { _, dy, _ := f(x); return dy }, theta)
			near(t, name+", first derivative", dy, first, 1e-8*(1+math.Abs(first)))
			near(t, name+", second derivative", ddy, second, 1e-8*(1+math.Abs(second)))
		}
	}
	for _, k := range []float64{1e-4, 0.02, 1.5} {
		force := momentum(k)
		for _, theta := range []float64{0.3, 0.9, 2, 3.1, 4.5, 6} {
			_, dm := force(theta)
			want := slopeOf(func(x float64) float64 { m, _ := force(x); return m }, theta)
			near(t, "momentum", dm, want, 1e-7*(1+math.Abs(want)))
		}
	}
}

// TestFlowAngleStart: what the search starts from lies within 2 % of the angle at which
// the pipe carries the flow, 0.4 % where it carries under 3 % of the full pipe.
func TestFlowAngleStart(t *testing.T) {
	worst, shallow := 0.0, 0.0
	for theta := 1e-6; theta < maxFlowAngle; theta += 0.001 {
		q := elementsOfAngle(theta).FlowRatio()
		off := math.Abs(flowAngleStart(q, math.Log(2*math.Pi*q))/theta - 1)
		if worst = max(worst, off); q < 0.03 {
			shallow = max(shallow, off)
		}
	}
	if !(worst <= 0.02 && shallow <= 0.004) {
		t.Errorf("off by %v, where it is shallow by %v", worst, shallow)
	}
}

// A full pipe has no free surface and a dry one no water: neither has a Froude number.
func TestFroudeWithoutSurface(t *testing.T) {
	full, err := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}.AtDepth(1)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []PartFull{full, {}} {
		if got := f.Froude(); got != 0 {
			t.Errorf("depth %v: %v", f.Elements.Depth, got)
		}
	}
}

// Half of a 4 in bore is 2 in.
func TestDepthOfWater(t *testing.T) {
	f, err := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}.AtDepth(0.5)
	if err != nil || f.Depth() != 2*units.Inch {
		t.Errorf("%v, %v", f.Depth(), err)
	}
}

// The widest pipe and the greatest n are taken; a pipe without roughness is not; a fault
// of one field brings in no other.
func TestPipeEdges(t *testing.T) {
	good := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}
	for _, c := range []struct {
		edit func(p *Pipe)
		want string
	}{
		{func(p *Pipe) { p.Bore = units.MaxLength }, ""},
		{func(p *Pipe) { p.Bore = units.MaxLength + 1 }, "bore: 1e+06 m is not positive and at most 1000 km"},
		{func(p *Pipe) { p.Bore = 1 }, ""},
		{func(p *Pipe) { p.Roughness = 1 }, ""},
		{func(p *Pipe) { p.Bore, p.Roughness = 0, 1 }, "bore: 0 m is not positive and at most 1000 km"},
		{func(p *Pipe) { p.Roughness = 0 }, "roughness n: 0 is not greater than 0 and at most 1"},
	} {
		p := good
		c.edit(&p)
		err := p.Validate()
		q, v, fullErr := p.Full()
		if got := errorText(err); got != c.want || errorText(fullErr) != c.want || (q > 0 && v > 0) != (c.want == "") {
			t.Errorf("%q and %v, %v, %v, want %q", got, q, v, fullErr, c.want)
		}
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// A flow that is next to nothing has no bore of a nanometre, and none at all beside the
// flow of a great pipe.
func TestNextToNoFlow(t *testing.T) {
	if bore, err := BoreFor(1e-27, slope.OneIn(48), 0.013, 0.5); !errors.Is(err, units.ErrRange) {
		t.Errorf("%v, %v", bore, err)
	}
	main := Pipe{10 * units.Metre, slope.OneIn(10), 0.013}
	if f, err := main.AtFlow(math.SmallestNonzeroFloat64); !errors.Is(err, units.ErrRange) {
		t.Errorf("%v, %v", f.Elements.Depth, err)
	}
}

// positive takes every finite number above 0.
// A search that starts elsewhere, or steps by another derivative, comes to the same depth by
// a longer way: the way is held to what it takes.
func TestSearchesAreShort(t *testing.T) {
	most, all, searches := map[string]int{}, map[string]int{}, 0
	for y := 1e-4; y < 0.93; y += 1e-3 {
		e, err := ElementsAt(y)
		if err != nil {
			t.Fatal(err)
		}
		searches++
		traction := e.Area * math.Pow(e.HydraulicRadius, 1./6)
		for name, solve := range map[string]func() (float64, int, error){
			"area": func() (float64, int, error) { return angleForPower(math.Log(8*e.Area), 1, 0) },
			"traction": func() (float64, int, error) {
				return angleForPower(math.Log(traction)+math.Log(8)+math.Log(4)/6, 7.0/6, 1.0/6)
			},
			// Q^2/(g D^5) = (A/D2)^3/(T/D)
			"critical": func() (float64, int, error) { return criticalAngle(math.Sqrt(e.Area * e.Area * e.Area / e.TopWidth)) },
		} {
			theta, n, err := solve()
			if err != nil {
				t.Fatal(err)
			}
			near(t, name, theta/e.Angle, 1, 1e-9)
			most[name] = max(most[name], n)
			all[name] += n
		}
	}
	for name, want := range map[string]struct {
		most int
		mean float64
	}{"area": {5, 3.2}, "traction": {5, 3.2}, "critical": {3, 2.2}} {
		if mean := float64(all[name]) / float64(searches); most[name] > want.most || mean > want.mean {
			t.Errorf(
				"%s: %d evaluations, %.2f in the mean, want at most %d and %v",
				name,
				most[name],
				mean,
				want.most,
				want.mean,
			)
		}
	}
}
