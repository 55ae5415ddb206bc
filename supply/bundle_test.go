package supply_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// checkFit judges places by distances alone.
func checkFit(t *testing.T, b supply.Bundle, fit supply.BundleFit) {
	t.Helper()
	if len(fit.Centres) != len(b.Lines) {
		t.Fatalf("%d places for %d lines", len(fit.Centres), len(b.Lines))
	}
	const slack = 3e-9
	for i, c := range fit.Centres {
		if d := math.Hypot(c.X.Metres(), c.Y.Metres()) + b.Lines[i].Metres()/2; d > b.Bore.Metres()/2+slack {
			t.Errorf("line %d stands %g m out of the bore", i, d-b.Bore.Metres()/2)
		}
		for j := range i {
			o := fit.Centres[j]
			if d := math.Hypot((c.X - o.X).Metres(), (c.Y - o.Y).Metres()); d < (b.Lines[i].Metres()+b.Lines[j].Metres())/2-slack {
				t.Errorf("lines %d and %d overlap by %g m", i, j, (b.Lines[i].Metres()+b.Lines[j].Metres())/2-d)
			}
		}
	}
}

// The least bore for equal lines, in diameters of a line. 2, 3, 4, 6, 7 and 8 are in
// closed form; all are those of R. L. Graham and others, Discrete Mathematics 181
// (1998) 139, as recalled.
var equalCircles = []struct {
	n     int
	ratio float64
}{
	{1, 1}, {2, 2}, {3, 1 + 2/math.Sqrt(3)}, {4, 1 + math.Sqrt2}, {5, 1 + 1/math.Sin(math.Pi/5)}, {6, 3}, {7, 3},
	{8, 1 + 1/math.Sin(math.Pi/7)}, {9, 1 + math.Sqrt(2*(2+math.Sqrt2))},
}

func TestBundleOfEqualLines(t *testing.T) {
	for _, c := range equalCircles {
		b := supply.Bundle{}
		for range c.n {
			b.Lines = append(b.Lines, units.Inch)
		}
		b.Bore = units.Inches(c.ratio) + 2
		fit, err := b.Fit()
		if err != nil || fit.Verdict != tables.Pass {
			t.Errorf("%d in %.4f: %v, %s, %v", c.n, c.ratio, fit.Verdict, fit.Reason, err)
			continue
		}
		checkFit(t, b, fit)
		b.Bore = units.Inches(c.ratio * 0.999)
		if fit, err := b.Fit(); err != nil || fit.Verdict == tables.Pass || c.n <= 3 && fit.Verdict != tables.Fail {
			t.Errorf("%d in less: %v, %s, %v", c.n, fit.Verdict, fit.Reason, err)
		}
		if fill, err := b.Fill(); err != nil || !proof.Near(fill, float64(c.n)/math.Pow(b.Bore.Inches(), 2), 1e-12) {
			t.Errorf("%d: fill %v, %v", c.n, fill, err)
		}
	}
}

// Three unlike lines: the least bore lies between two neighbouring ones by
// bisection over Fit itself, and equals the known cases.
func TestBundleOfThree(t *testing.T) {
	for _, c := range []struct {
		lines [3]float64
		want  float64 // bore
	}{
		{[3]float64{2, 2, 4.0 / 3}, 4},       // just the gap
		{[3]float64{2, 2, 0.5}, 4},           // the gap is wide enough
		{[3]float64{3, 2, 1}, 5},             // the gap of 3 and 2 takes 30/19
		{[3]float64{3, 2, 30.0 / 19}, 5},     // just the gap
		{[3]float64{2, 2, 1.6}, 4.067873408}, // 2/(2 sqrt(3.5)-3.25)
	} {
		b := supply.Bundle{Lines: []units.Length{units.Inches(c.lines[1]), units.Inches(c.lines[0]), units.Inches(c.lines[2])}}
		b.Bore = units.Inches(c.want) + 40
		fit, err := b.Fit()
		if err != nil || fit.Verdict != tables.Pass {
			t.Errorf("%v in %v: %v, %s, %v", c.lines, c.want, fit.Verdict, fit.Reason, err)
			continue
		}
		checkFit(t, b, fit)
		b.Bore = units.Inches(c.want) - 100*units.Nanometre
		if fit, err := b.Fit(); err != nil || fit.Verdict != tables.Fail {
			t.Errorf("%v in less than %v: %v, %s, %v", c.lines, c.want, fit.Verdict, fit.Reason, err)
		}
	}
}

// Lines laid out first are found to fit.
func TestBundleFindsWhatIsThere(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	asked := 0
	for range 300 {
		// Drop circles at random into a bore of 1 m until eight stand.
		type circle struct{ x, y, r float64 }
		var in []circle
		for tries := 0; len(in) < 3+r.IntN(6) && tries < 4000; tries++ {
			c := circle{r.Float64() - 0.5, r.Float64() - 0.5, 0.05 + 0.12*r.Float64()}
			ok := math.Hypot(c.x, c.y)+c.r <= 0.5
			for _, o := range in {
				ok = ok && math.Hypot(c.x-o.x, c.y-o.y) >= c.r+o.r
			}
			if ok {
				in = append(in, c)
			}
		}
		b := supply.Bundle{Bore: units.Metre}
		for _, c := range in {
			b.Lines = append(b.Lines, units.Metres(2*c.r))
		}
		fit, err := b.Fit()
		if err != nil || fit.Verdict == tables.Fail {
			t.Errorf("%v: %v, %s, %v", b.Lines, fit.Verdict, fit.Reason, err)
		} else if fit.Verdict == tables.Ask {
			asked++
		} else {
			checkFit(t, b, fit)
		}
	}
	if asked > 3 {
		t.Errorf("%d of 300 bundles that fit were not found to", asked)
	}
}

func TestBundleCheck(t *testing.T) {
	b := supply.Bundle{
		Bore:  4 * units.Inch,
		Lines: []units.Length{units.Inches(1.125), units.Inches(1.125), units.Inches(0.875), units.Inch / 2},
		Bends: []float64{90, 90, 45},
	}
	list, err := b.Check(tables.Embedded())
	if err != nil || len(list) != 3 {
		t.Fatal(list, err)
	}
	// The share was seen in print, the bends were not, so that they ask whatever the figures.
	if list[0].Citation.Row() != "rule fill-three-or-more-lines" || list[1].Citation.Row() != "rule bends-between-pulls" || list[0].Verdict != tables.Pass || list[1].Verdict != tables.Ask {
		t.Errorf("%+v", list)
	}
	if list[0].Value.String() != "22.2 %" || list[0].Limit.String() != "40.0 %" || list[1].Margin.String() != "135" {
		t.Errorf("%v of %v, margin %v", list[0].Value, list[0].Limit, list[1].Margin)
	}
	if list[2].Rule != "sleeve-fit" || list[2].Verdict != tables.Pass {
		t.Errorf("%+v", list[2])
	}
	for _, c := range []struct {
		lines int
		rule  string
	}{{1, "fill-one-line"}, {2, "fill-two-lines"}} {
		b.Lines = b.Lines[:c.lines]
		if list, err := b.Check(tables.Embedded()); err != nil || list[0].Citation.Row() != "rule "+c.rule {
			b.Lines = b.Lines[:cap(b.Lines)]
			t.Errorf("%d lines: %+v, %v", c.lines, list, err)
		}
		b.Lines = b.Lines[:4]
	}
	for _, bad := range []supply.Bundle{
		{}, {Bore: units.Inch}, {Bore: units.Inch, Lines: []units.Length{0}}, {Bore: -1, Lines: []units.Length{1}},
		{Bore: units.Inch, Lines: make([]units.Length, 41)},
		{Bore: units.Inch, Lines: []units.Length{1}, Bends: []float64{math.NaN()}}, {Bore: units.Inch, Lines: []units.Length{1}, Bends: []float64{-5}},
	} {
		if _, err := bad.Check(tables.Embedded()); !errors.Is(err, units.ErrRange) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if _, err := (supply.Bundle{}).Fit(); !errors.Is(err, units.ErrRange) {
		t.Errorf("fit: %v", err)
	}
	if _, err := (supply.Bundle{}).Fill(); !errors.Is(err, units.ErrRange) {
		t.Errorf("fill: %v", err)
	}
}

func ExampleBundle_Fit() {
	b := supply.Bundle{
		Bore:  3 * units.Inch,
		Lines: []units.Length{units.Inches(1.375), units.Inches(1.375), units.Inches(0.875), units.Inch / 2}, // the last is the rope
	}
	fit, err := b.Fit()
	if err != nil {
		fmt.Println(err)
		return
	}
	fill, _ := b.Fill()
	fmt.Printf("%v: %s %.0f %% of the bore.\n", fit.Verdict, fit.Reason, 100*fill)
	// Output: pass: A place was found for every line. 53 % of the bore.
}

// A bundle that is tight and many ends in a question, and soon.
func TestBundleGivesUp(t *testing.T) {
	b := supply.Bundle{Bore: units.Inches(7.02)}
	for range 40 {
		b.Lines = append(b.Lines, units.Inch)
	}
	fit, err := b.Fit()
	if err != nil || fit.Verdict != tables.Ask {
		t.Errorf("%v, %s, %v", fit.Verdict, fit.Reason, err)
	}
}
