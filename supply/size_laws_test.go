package supply

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// lawCodes turn loads into flow by a table, with ladders, and by a formula.
var lawCodes = []string{"ipc-2021", "upc-2021", "irc-2021", "din1988-300"}

// fittedHouse is a random house with fittings, devices, a regulator here and there and
// a pressure that is often too small for the least sizes.
func fittedHouse(r *rand.Rand, points int) LayoutData {
	psi := units.PoundForcePerSquareInch
	d := randomHouse(r, points, "")
	d.Building = "residential"
	d.Source.Pressure = units.Pressure(30+r.IntN(60)) * psi
	d.Source.Static = 0
	for i := range d.Points {
		p := &d.Points[i]
		p.Length *= 3
		for range r.IntN(3) {
			kind := []string{"elbow-90", "tee-branch", "ball-valve"}[r.IntN(3)]
			t := FittingItem{Fitting: kind, Count: 1 + r.IntN(3)}
			if kind == "ball-valve" {
				t.K = float64(r.IntN(8)) / 4
				t.Length = map[bool]units.Length{true: units.Foot}[t.K == 0]
			}
			p.Fittings = append(p.Fittings, t)
		}
		if p.Device != nil {
			continue
		}
		switch r.IntN(12) {
		case 0:
			p.Device = &Device{Kind: "other", Loss: units.Pressure(r.IntN(8)) * psi}
		case 1:
			p.Device = &Device{Kind: "other", Curve: []CurvePoint{{0, psi / 2}, {units.Flow(30) * units.USGallonPerMinute, 6 * psi}}}
		case 2:
			p.Device = &Device{Kind: "regulator", Set: units.Pressure(30+r.IntN(40)) * psi, FallOff: units.Pressure(r.IntN(6)) * psi}
		}
	}
	for i := range d.Fixtures {
		d.Fixtures[i].UsageUnit = fmt.Sprint("room ", i/4)
	}
	return d
}

// houses calls f with random houses under codes of each kind.
func houses(t *testing.T, seed uint64, n int, f func(r *rand.Rand, c *Code, d LayoutData)) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, seed))
	for _, id := range lawCodes {
		c := mustCode(t, id)
		for range n {
			d := fittedHouse(r, 2+r.IntN(20))
			for i := range d.Fixtures {
				if f := &d.Fixtures[i]; id == "irc-2021" && f.Control == Valve {
					f.Control, f.Style, f.Use = Tank, "", Private // the code lists no flush valves
				}
			}
			f(r, c, d)
		}
	}
}

// What was chosen is what is there: the layout with the sizes drawn in, worked out on
// its own, has the same pressures to the last digit.
func TestSizingIsItsAnalysis(t *testing.T) {
	sized, enlarged := 0, 0
	houses(t, 21, 60, func(_ *rand.Rand, c *Code, d LayoutData) {
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(c, Options{})
		if err != nil {
			t.Fatal(c.ID(), err)
		}
		a, err := s.Layout.Analyse(c, Options{})
		if err != nil {
			t.Fatal(c.ID(), err)
		}
		sized++
		for i := range s.Basis {
			if s.Basis[i] == ByPressure {
				enlarged++
			}
		}
		for i := range a.Runs {
			x, y := a.Runs[i], s.Runs[i]
			if x.Pipe.ID() != y.Pipe.ID() || *x.bore != *y.bore {
				t.Fatalf("%s: run %s: %v %v, chosen %v %v", c.ID(), d.Points[i].ID, x.Pipe.ID(), x.Size, y.Pipe.ID(), y.Size)
			}
			x.Pipe, x.bore, y.Pipe, y.bore = nil, nil, nil, nil
			if x != y {
				t.Fatalf("%s: run %s: worked out anew\n%+v\nas sized\n%+v", c.ID(), d.Points[i].ID, x, y)
			}
		}
	})
	if sized < 200 || enlarged < 100 {
		t.Errorf("%d layouts sized, %d runs enlarged for pressure", sized, enlarged)
	}
}

// sizesAt are the sizes of a layout sized at a pressure of the street, and whether all
// fixtures are served.
func sizesAt(t *testing.T, c *Code, d LayoutData, street units.Pressure) (sizes []units.Length, served bool) {
	t.Helper()
	d.Source.Pressure = street
	s := sized(t, c, d)
	for i := range s.Runs {
		sizes = append(sizes, s.Runs[i].Size)
	}
	return sizes, len(s.Short) == 0
}

// Less pressure in the street never makes a pipe smaller while all are served.
func TestLessPressureNeverSmaller(t *testing.T) {
	pairs := 0
	houses(t, 22, 40, func(r *rand.Rand, c *Code, d LayoutData) {
		high := units.Pressure(50+r.IntN(80)) * units.PoundForcePerSquareInch
		before, served := sizesAt(t, c, d, high)
		for served {
			high -= units.Pressure(1+r.IntN(4)) * units.PoundForcePerSquareInch
			if high <= 0 {
				return
			}
			var now []units.Length
			if now, served = sizesAt(t, c, d, high); !served {
				return
			}
			pairs++
			for i := range now {
				if now[i] < before[i] {
					t.Fatalf("%s: run %s is %v at %v, and %v with more pressure", c.ID(), d.Points[i].ID, now[i], high, before[i])
				}
			}
			before = now
		}
	})
	if pairs < 200 {
		t.Errorf("%d pairs of pressures", pairs)
	}
}

// A larger pipe never lowers a pressure.
func TestLargerPipeNeverLowersPressure(t *testing.T) {
	houses(t, 23, 30, func(r *rand.Rand, c *Code, d LayoutData) {
		s := sized(t, c, d)
		data := s.Layout.data
		data.Points = append([]Point(nil), data.Points...)
		at := r.IntN(len(data.Points))
		family := s.Runs[at].Pipe
		k := family.size(data.Points[at].Size)
		if k+1 == len(family.sizes) {
			return
		}
		data.Points[at].Size = family.sizes[k+1].Size
		l, err := NewLayout(data)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			return // no figures for its fittings at that size
		}
		for i := range a.Runs {
			if a.Runs[i].Out < s.Runs[i].Out {
				t.Fatalf("%s: %s in %v: %s has %v, and had %v", c.ID(), data.Points[at].ID, data.Points[at].Size, data.Points[i].ID, a.Runs[i].Out, s.Runs[i].Out)
			}
		}
	})
}

// One more fixture never lowers a demand.
func TestOneMoreFixtureNeverLowersDemand(t *testing.T) {
	houses(t, 24, 60, func(r *rand.Rand, c *Code, d LayoutData) {
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		more, err := l.flows(c, false)
		if err != nil {
			t.Fatal(err)
		}
		k := r.IntN(len(d.Fixtures))
		fewer := d
		fewer.Fixtures = append(append([]LayoutFixture(nil), d.Fixtures[:k]...), d.Fixtures[k+1:]...)
		if l, err = NewLayout(fewer); err != nil {
			t.Fatal(err)
		}
		less, err := l.flows(c, false)
		if err != nil {
			t.Fatal(err)
		}
		for i := range more {
			if more[i].flow < less[i].flow {
				t.Fatalf("%s: %s carries %v with %+v, and %v without", c.ID(), d.Points[i].ID, more[i].flow, d.Fixtures[k], less[i].flow)
			}
		}
	})
}

// A fitting that costs as much as a length of pipe is that much more pipe: the same
// sizes, and the same fixtures left short. Short names those that lack pressure.
func TestFittingsAreSoMuchMorePipe(t *testing.T) {
	enlarged := 0
	houses(t, 25, 60, func(r *rand.Rand, c *Code, d LayoutData) {
		longer := d
		longer.Points = append([]Point(nil), d.Points...)
		for i := range longer.Points {
			p := &longer.Points[i]
			d.Points[i].Fittings, p.Fittings = nil, nil
			for range r.IntN(3) {
				t := FittingItem{Fitting: "bend", Count: 1 + r.IntN(3), Length: units.Length(1+r.IntN(9)) * units.Foot}
				d.Points[i].Fittings = append(d.Points[i].Fittings, t)
				p.Length += t.Length * units.Length(t.Count)
			}
		}
		fitted, plain := sized(t, c, d), sized(t, c, longer)
		for i := range fitted.Runs {
			if fitted.Basis[i] == ByPressure {
				enlarged++
			}
			if fitted.Runs[i].Size != plain.Runs[i].Size {
				t.Fatalf("%s: %s is %v with fittings, %v with so much more pipe", c.ID(), d.Points[i].ID, fitted.Runs[i].Size, plain.Runs[i].Size)
			}
		}
		for _, s := range []*Sizing{fitted, plain} {
			for i := range s.Fixtures {
				lacks := s.Fixtures[i].Margin() < -1e-5*units.PoundForcePerSquareInch
				if lacks != slices.Contains(s.Short, i) {
					t.Fatalf("%s: fixture %s has %v to spare, short: %v", c.ID(), d.Fixtures[i].ID, s.Fixtures[i].Margin(), !lacks)
				}
			}
		}
	})
	if enlarged < 100 {
		t.Errorf("%d runs enlarged for pressure", enlarged)
	}
}

// No fixture that some code knows takes the answers of another code down: each run has
// a size and a flow, and what the code does not list is asked about.
func TestEveryFixtureUnderEveryCode(t *testing.T) {
	ids, err := codeIDs(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	var kinds []string
	for _, id := range ids {
		for _, kind := range mustCode(t, id).FixtureKinds() {
			if !slices.Contains(kinds, kind) {
				kinds = append(kinds, kind)
			}
		}
	}
	for _, id := range append([]string{"en806-3", "hunter"}, lawCodes...) {
		c := mustCode(t, id)
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
		d.Building = "residential"
		for _, kind := range kinds {
			p := Point{ID: kind, From: "A", Length: units.Foot}
			d.Points = append(d.Points, p)
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: kind, Cold: kind, Fixture: Fixture{Kind: kind, Count: 1}})
		}
		s := sized(t, c, d)
		asked := findingsOf(t, s, "load-not-given")
		for i, kind := range kinds {
			_, err := c.FixtureLoad(d.Fixtures[i].Fixture)
			found := slices.ContainsFunc(asked, func(f tables.Finding) bool { return f.Place == kind })
			if found != (err != nil) || s.Runs[i+1].Size == 0 {
				t.Errorf("%s: %s: asked about: %v; %v", id, kind, found, err)
			}
		}
	}
}

// What passes has nothing less than nothing to spare.
func TestPassesHaveMargins(t *testing.T) {
	passes := 0
	houses(t, 26, 12, func(_ *rand.Rand, c *Code, d LayoutData) {
		list, err := sized(t, c, d).Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			if f.Verdict == tables.Pass && f.Margin != nil {
				if passes++; strings.HasPrefix(f.Margin.String(), "-") {
					t.Errorf("%s: %v, margin %v", c.ID(), f, f.Margin)
				}
			}
		}
	})
	if passes < 500 {
		t.Errorf("%d passes with a margin", passes)
	}
}
