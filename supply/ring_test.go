package supply

import (
	"errors"
	"math"
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
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(mustCode(t, "ipc-2021"), Options{})
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
	if _, err := a.Ring(); !errors.Is(err, ErrQuery) {
		t.Errorf("got %v", err)
	}
}
