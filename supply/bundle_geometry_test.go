package supply

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Crossings of two circles stand at the two distances, one on either side of the line
// between the centres; circles that only touch have one.
func TestCrossings(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	for range 200 {
		c0, c1 := place{r.Float64(), r.Float64()}, place{r.Float64(), r.Float64()}
		d := math.Hypot(c1.x-c0.x, c1.y-c0.y)
		r0 := d * (0.6 + r.Float64())
		r1 := math.Abs(d-r0) + (d+r0-math.Abs(d-r0))*(0.1+0.8*r.Float64())
		got := crossings(c0, r0, c1, r1)
		if len(got) != 2 {
			t.Fatalf("%d crossings", len(got))
		}
		side := func(s place) float64 { return (c1.x-c0.x)*(s.y-c0.y) - (c1.y-c0.y)*(s.x-c0.x) }
		if side(got[0])*side(got[1]) >= 0 {
			t.Errorf("both crossings on one side: %v", got)
		}
		for _, s := range got {
			if a, b := math.Hypot(s.x-c0.x, s.y-c0.y), math.Hypot(s.x-c1.x, s.y-c1.y); math.Abs(a-r0) > 1e-12 || math.Abs(b-r1) > 1e-12 {
				t.Errorf("%v is %v and %v away, want %v and %v", s, a, b, r0, r1)
			}
		}
	}
	for _, c := range []struct {
		name       string
		c1         place
		r0, r1     float64
		n          int
		first      place
		firstKnown bool
	}{
		{"touching", place{3, 0}, 1, 2, 1, place{1, 0}, true},
		{"one inside the other, touching", place{1, 0}, 3, 2, 1, place{3, 0}, true},
		{"apart", place{3, 0}, 1, 1.9, 0, place{}, false},
		{"one inside the other", place{1, 0}, 3, 1.9, 0, place{}, false},
		{"small ones apart", place{2.5e-6, 0}, 1e-6, 1e-6, 0, place{}, false},
		{"one centre", place{}, 1, 1, 0, place{}, false},
		{"no circle", place{1, 0}, -1, 1, 0, place{}, false},
		{"no circle either", place{1, 0}, 1, -1, 0, place{}, false},
	} {
		got := crossings(place{}, c.r0, c.c1, c.r1)
		if len(got) != c.n {
			t.Errorf("%s: %v", c.name, got)
			continue
		}
		if c.firstKnown && math.Hypot(got[0].x-c.first.x, got[0].y-c.first.y) > 1e-12 {
			t.Errorf("%s: %v, want %v", c.name, got[0], c.first)
		}
	}
}

// The least circle around three, in radii. Of 1, 1 and 2/3, 3/2, 1 and 15/19 the third
// just fills the gap; three of 1 need 1 + 2/sqrt 3.
func TestThreeAround(t *testing.T) {
	for _, c := range []struct{ a, b, c, want float64 }{
		{1, 1, 1, 1 + 2/math.Sqrt(3)}, {1, 1, 2. / 3, 2}, {1, 1, 0.5, 2}, {1, 1, 0.6, 2}, {3, 2, 30. / 19, 5}, {3, 2, 1.5, 5}, {3, 2, 0.1, 5},
		{0.03, 0.02, 0.015, 0.05}, {0.03, 0.02, 0.01, 0.05},
	} {
		if got := threeAround(c.a, c.b, c.c); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%v, %v, %v: %v, want %v", c.a, c.b, c.c, got, c.want)
		}
	}
}

// Places for the next line: free, each once, from the wall inwards.
func TestSpots(t *testing.T) {
	// Two lines of 1 at opposite ends of a bore of 3 (radii). A third of 1 stands at the
	// wall beside either, or in between, where it touches both: at (0, 0) once.
	p := &packing{bore: 3, r: []float64{1, 1, 1}, at: []place{{2, 0}, {-2, 0}}, slack: 1e-9, left: packingTries}
	got := p.spots(1)
	h := math.Sqrt(3)
	want := []place{{1, h}, {1, -h}, {-1, h}, {-1, -h}, {0, 0}}
	if len(got) != len(want) {
		t.Fatalf("%v, want %v in some order", got, want)
	}
	for _, w := range want {
		if !slices.ContainsFunc(got, func(s place) bool { return math.Hypot(s.x-w.x, s.y-w.y) < 1e-9 }) {
			t.Errorf("%v is missing of %v", w, got)
		}
	}
	if last := got[len(got)-1]; math.Hypot(last.x, last.y) > 1e-9 {
		t.Errorf("the middle does not come last: %v", got)
	}
	// A fourth of 0.9 beside lines that leave different depths.
	p = &packing{bore: 3, r: []float64{1, 1, 1, 0.9}, at: []place{{2, 0}, {1, h}, {-2, 0}}, slack: 1e-9, left: packingTries}
	got = p.spots(0.9)
	for i, s := range got {
		if i > 0 && math.Hypot(s.x, s.y) > math.Hypot(got[i-1].x, got[i-1].y)+p.slack {
			t.Errorf("%v is farther out than the one before: %v", s, got)
		}
		for _, o := range got[:i] {
			if math.Hypot(s.x-o.x, s.y-o.y) < p.slack {
				t.Errorf("%v twice", s)
			}
		}
	}
	if len(got) < 4 {
		t.Errorf("%d places", len(got))
	}
}

// Lines that fill the bore to the last nanometre stand in it, and so do as many as are
// looked for.
func TestBundleFitsExactly(t *testing.T) {
	const in = units.Inch
	many := make([]units.Length, maxBundleLines)
	for i := range many {
		many[i] = in / 4
	}
	for _, c := range []struct {
		name  string
		bore  units.Length
		lines []units.Length
		want  tables.Verdict
	}{
		{"one", in, []units.Length{in}, tables.Pass},
		{"one a nanometre or three too wide", in - 3, []units.Length{in}, tables.Fail},
		{"two", 2 * in, []units.Length{in, in}, tables.Pass},
		{"two unlike, the lesser first", 5 * in, []units.Length{2 * in, 3 * in}, tables.Pass},
		{"two in less", 2*in - 3, []units.Length{in, in}, tables.Fail},
		{"three in a row, the gap takes the third", 4 * in, []units.Length{2 * in, in * 6 / 5, 2 * in}, tables.Pass},
		{"three unlike", 5 * in, []units.Length{in * 14 / 10, 2 * in, 3 * in}, tables.Pass},
		{"as many as are looked for", 4 * in, many, tables.Pass},
		{"more than the bore has area", 2*in - 3, []units.Length{in, in, in, in, in}, tables.Fail},
	} {
		b := Bundle{Bore: c.bore, Lines: c.lines}
		fit, err := b.Fit()
		if err != nil || fit.Verdict != c.want {
			t.Errorf("%s: %v, %s, %v", c.name, fit.Verdict, fit.Reason, err)
			continue
		}
		for i, s := range fit.Centres {
			if d := math.Hypot(s.X.Metres(), s.Y.Metres()) + c.lines[i].Metres()/2 - c.bore.Metres()/2; d > 3e-9 {
				t.Errorf("%s: line %d stands %v m out of the bore", c.name, i, d)
			}
			for j, o := range fit.Centres[:i] {
				if d := math.Hypot((s.X-o.X).Metres(), (s.Y-o.Y).Metres()) - (c.lines[i]+c.lines[j]).Metres()/2; d < -3e-9 {
					t.Errorf("%s: lines %d and %d overlap by %v m", c.name, i, j, -d)
				}
			}
		}
	}
}

// Fill of three lines of 1 in: 3 of 9 parts of a bore of 3 in, 3 of 6.25 of one of
// 2 1/2 in, where 40 % is customary, so that more is asked about; bends of 360 degrees are, and 361 are not. What
// does not pass says what would mend it, what holds does not.
func TestBundleFindings(t *testing.T) {
	const in = units.Inch
	for _, c := range []struct {
		bore                units.Length
		bends               []float64
		fill, bend          tables.Verdict
		fillMargin, bendGap string
	}{
		{3 * in, []float64{90, 90, 90, 90}, tables.Pass, tables.Pass, "6.7 %", "0"},
		{in * 5 / 2, []float64{90, 90, 90, 91}, tables.Ask, tables.Fail, "-8.0 %", "-1"},
	} {
		b := Bundle{Bore: c.bore, Lines: []units.Length{in, in, in}, Bends: c.bends}
		list, err := b.Check(tables.Embedded())
		if err != nil {
			t.Fatal(err)
		}
		// The bends rest on a figure from memory: what they are if the book agrees.
		if list[0].Verdict != c.fill || list[1].IfConfirmed != c.bend || list[0].Margin.String() != c.fillMargin || list[1].Margin.String() != c.bendGap {
			t.Errorf("%v: %v, %v; margins %v, %v", c.bore, list[0].Verdict, list[1].IfConfirmed, list[0].Margin, list[1].Margin)
		}
		for _, f := range list {
			if (f.Fix != "") != (f.Verdict != tables.Pass) {
				t.Errorf("%s is %v: %q", f.Rule, f.Verdict, f.Fix)
			}
		}
	}
}
