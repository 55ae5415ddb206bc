package supply

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// square is a ring of four equal sides with one draw at the far corner.
func square(fixtures ...LayoutFixture) LayoutData {
	side := Point{Length: 100 * units.Foot, Size: units.Inch}
	at := func(id, from string) Point { p := side; p.ID, p.From = id, from; return p }
	entry := at("A", "street")
	entry.Device = &Device{Kind: "other", Loss: 3 * units.PoundForcePerSquareInch}
	return LayoutData{
		Source: Source{ID: "street", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(60)},
		Pipe:   LinePipes{Cold: "copper-l"},
		Points: []Point{entry, at("B", "A"), at("C", "A"), at("D", "B")},
		Fixtures: append([]LayoutFixture{{ID: "F", Fixture: Fixture{Kind: "water-closet", Count: 2, Use: Public, Control: Tank, Style: "close coupled"}, Cold: "D"}},
			fixtures...),
		Links: []Link{{ID: "K", Between: [2]string{"C", "D"}, Length: 100 * units.Foot, Size: units.Inch}},
	}
}

func ringOf(t *testing.T, d LayoutData) (*Analysis, *Ring) {
	t.Helper()
	return ringUnder(t, mustCode(t, "ipc-2021"), d)
}

func ringUnder(t *testing.T, c *Code, d LayoutData) (*Analysis, *Ring) {
	t.Helper()
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := a.Ring()
	if err != nil {
		t.Fatal(err)
	}
	return a, r
}

// Even sides carry half each, and half the flow loses 2^-1.85 of the head (1/0.54).
func TestRingSquare(t *testing.T) {
	a, r := ringOf(t, square())
	q := a.Runs[3].Flow
	if got := float64(r.Links[0].Flow / q); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("the link carries %v of the flow", got)
	}
	for i, want := range []float64{1, 0.5, 0.5, 0.5} {
		if got := float64(r.Runs[i] / q); math.Abs(got-want) > 1e-9 {
			t.Errorf("run %s carries %v of the flow, want %v", a.Layout.Point(i).ID, got, want)
		}
	}
	// All of the flow passes the device at A, either way.
	if math.Abs(float64(r.Out[0]-a.Runs[0].Out)) > 1e-3 {
		t.Errorf("%v at A, %v in the analysis", r.Out[0], a.Runs[0].Out)
	}
	tree, ring := a.Runs[0].Out-a.Runs[3].Out, r.Out[0]-r.Out[3]
	if got, want := float64(ring/tree), math.Pow(0.5, 1/0.54); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the ring loses %v of the tree's loss, want %v", got, want)
	}
	if r.Continuity > 1e-9 || r.Energy > 1e-9 {
		t.Errorf("left unbalanced: %v, %v", r.Continuity, r.Energy)
	}
}

// Draws are shared out by load: what goes in comes out, and no point is worse off
// than with the link shut.
func TestRingDraws(t *testing.T) {
	d := square(LayoutFixture{ID: "G", Fixture: Fixture{Kind: "lavatory", Count: 3, Use: Public}, Cold: "B"})
	d.Points[1].Continuous = 2 * units.USGallonPerMinute
	a, r := ringOf(t, d)
	if got, want := float64(r.Runs[0]), float64(a.Runs[0].Flow); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the main carries %v, demand is %v", got, want)
	}
	for _, i := range []int{0, 2, 3} {
		if r.Out[i] < a.Runs[i].Out-1e-6 && i != 2 {
			t.Errorf("%s: %v with the ring open, %v with it shut", a.Layout.Point(i).ID, r.Out[i], a.Runs[i].Out)
		}
	}
}

// regulated is the square with a regulator at the entry.
func regulated(set units.Pressure) LayoutData {
	d := square()
	d.Points[0].Device = &Device{Kind: "regulator", Set: set, FallOff: 2 * units.PoundForcePerSquareInch}
	return d
}

// A ring behind a regulator hangs on its pressure; the flows are those of the ring
// without it. One that is set above what reaches it changes nothing.
func TestRingBehindRegulator(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	free := square()
	free.Points[0].Device = nil
	_, plain := ringOf(t, free)
	_, held := ringOf(t, regulated(40*psi))
	_, idle := ringOf(t, regulated(80*psi))
	if got := held.Out[0]; got != 38*psi {
		t.Errorf("behind the regulator %v", got)
	}
	for i := range plain.Out {
		if want := plain.Out[i] - plain.Out[0] + 38*psi; math.Abs(float64(held.Out[i]-want)) > 1e-3 {
			t.Errorf("point %d: %v, want %v", i, held.Out[i], want)
		}
		if math.Abs(float64(idle.Out[i]-plain.Out[i])) > 1e-3 || math.Abs(float64(idle.Runs[i]/plain.Runs[i]-1)) > 1e-9 {
			t.Errorf("point %d: an idle regulator: %v and %v, without %v and %v", i, idle.Out[i], idle.Runs[i], plain.Out[i], plain.Runs[i])
		}
	}
	if math.Abs(float64(held.Links[0].Flow/plain.Links[0].Flow-1)) > 1e-9 {
		t.Errorf("the link carries %v, without a regulator %v", held.Links[0].Flow, plain.Links[0].Flow)
	}
}

// A regulator on a branch of a ring: the ring feeds it as any draw, and what is behind
// it, here another ring, hangs on it.
func TestRingBeforeRegulator(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	d := square(LayoutFixture{ID: "G", Fixture: Fixture{Kind: "lavatory", Count: 4, Use: Public}, Cold: "H"})
	side := Point{Length: 50 * units.Foot, Size: units.Inch}
	for _, p := range [][2]string{{"E", "D"}, {"F", "E"}, {"G", "E"}, {"H", "F"}} {
		q := side
		q.ID, q.From = p[0], p[1]
		d.Points = append(d.Points, q)
	}
	branch, _ := ringOf(t, d)
	_, before := ringOf(t, d)
	d.Points[4].Device = &Device{Kind: "regulator", Set: 30 * psi}
	d.Links = append(d.Links, Link{ID: "K2", Between: [2]string{"G", "H"}, Length: 50 * units.Foot, Size: units.Inch})
	_, r := ringOf(t, d)
	if r.Out[4] != 30*psi {
		t.Errorf("behind the regulator %v", r.Out[4])
	}
	// What is upstream does not know of it.
	for i := range 4 {
		if math.Abs(float64(r.Runs[i]/before.Runs[i]-1)) > 1e-9 || math.Abs(float64(r.Out[i]-before.Out[i])) > 1e-3 {
			t.Errorf("%s: %v at %v, without a regulator %v at %v", branch.Layout.Point(i).ID, r.Runs[i], r.Out[i], before.Runs[i], before.Out[i])
		}
	}
	// The second ring: even sides, all drawn at its far corner.
	if got := float64(r.Links[1].Flow / r.Runs[4]); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("the second link carries %v of what passes the regulator", got)
	}
	if r.Out[7] >= r.Out[4] || r.Continuity > 1e-9 || r.Energy > 1e-9 {
		t.Errorf("%v at the far corner; left unbalanced: %v, %v", r.Out[7], r.Continuity, r.Energy)
	}
}

// A line without links behind a ring starts from the ring's pressure.
func TestRingFeedsLine(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	d := square()
	d.Water.Hot = units.Fahrenheit(120)
	d.Pipe.Hot = "copper-l"
	d.Points = append(d.Points, Point{ID: "WH", From: "D", Length: units.Foot, Size: units.Inch, Device: &Device{Kind: "storage-heater", Loss: psi}},
		Point{ID: "H", From: "WH", Length: 20 * units.Foot, Size: units.Inch / 2})
	d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "L", Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Public}, Hot: "H"})
	a, r := ringOf(t, d)
	if got, want := r.Out[5], r.Out[4]-a.Runs[5].loss(); got != want || r.Out[5] <= a.Runs[5].Out {
		t.Errorf("%v at the hot end, want %v; with the link shut %v", got, want, a.Runs[5].Out)
	}
}

func TestRingRefusesRegulator(t *testing.T) {
	d := square()
	d.Points[1].Device = &Device{Kind: "regulator", Set: 40 * units.PoundForcePerSquareInch}
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Ring(); !errors.Is(err, ErrQuery) || !strings.Contains(err.Error(), `regulator at "B"`) || !strings.Contains(err.Error(), "put both ends") {
		t.Errorf("got %v", err)
	}
}
