package supply

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A fitting with a coefficient loses k v2/2g: 27 gpm in 1-1/4 in of copper run at 6.892
// ft/s, 0.738 ft or 0.3197 psi of 60 degF water for k of 1; three of k 2 six times that.
func TestFittingCoefficient(t *testing.T) {
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Size: units.Inch * 5 / 4, Fittings: []FittingItem{{Fitting: "strainer", Count: 3, K: 2}}}}, []string{"A"}, nil)
	s := sized(t, mustCode(t, "ipc-2021"), d)
	if got := float64(s.Runs[0].Fittings / units.PoundForcePerSquareInch); got < 6*0.3192 || got > 6*0.3202 || s.Runs[0].Equivalent != 0 {
		t.Errorf("%v psi, and %v of pipe", got, s.Runs[0].Equivalent)
	}
}

// Of the two ports of a fixture the one with less pressure counts: here the cold one, the
// first point, for the hot line falls by 20 ft.
func TestLesserPort(t *testing.T) {
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	for rise, want := range map[units.Length]string{-20 * ft: "A", 20 * ft: "H"} {
		d := LayoutData{Source: Source{ID: "main", Pressure: 80 * psi}, Water: Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(60)},
			Pipe: LinePipes{Cold: "copper-l", Hot: "copper-l"},
			Points: []Point{{ID: "A", From: "main", Length: ft, Size: units.Inch}, {ID: "WH", From: "A", Length: ft, Size: units.Inch, Device: &Device{Kind: "storage-heater", Loss: psi}},
				{ID: "H", From: "WH", Length: 20 * ft, Rise: rise, Size: units.Inch}},
			Fixtures: []LayoutFixture{{ID: "L", Cold: "A", Hot: "H", Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Public}}}}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		f := s.Fixtures[0]
		if got := s.Layout.Point(f.Point).ID; got != want || f.Available != s.Runs[f.Point].Out {
			t.Errorf("hot line rises %v: %v at %s, want %s", rise, f.Available, got, want)
		}
	}
}

// The fixture with least to spare governs, the first of two alike, and none that asks
// for no pressure.
func TestGoverning(t *testing.T) {
	points := []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "main", Length: units.Foot}, {ID: "C", From: "main", Length: 90 * units.Foot, Rise: 90 * units.Foot}}
	washer := LayoutFixture{ID: "CW", Cold: "C", Fixture: Fixture{Kind: "clothes-washer", Count: 1, Use: Private}}
	d := closets(80, points, []string{"A", "B"}, nil)
	d.Fixtures = append(d.Fixtures, washer)
	if s := sized(t, mustCode(t, "ipc-2021"), d); s.Governing != 0 {
		t.Errorf("fixture %d governs", s.Governing)
	}
	d = closets(80, points, nil, nil)
	d.Fixtures = []LayoutFixture{washer}
	if s := sized(t, mustCode(t, "ipc-2021"), d); s.Governing != -1 {
		t.Errorf("fixture %d governs, and asks for nothing", s.Governing)
	}
}

// A layout may rise or fall by 1000 km in all: 250 runs of 4 km.
func TestElevationLimit(t *testing.T) {
	for _, tc := range []struct {
		runs int
		rise units.Length
		more units.Length
		ok   bool
	}{{250, 4000 * units.Metre, 0, true}, {250, -4000 * units.Metre, 0, true}, {250, 4000 * units.Metre, 1, false}, {250, -4000 * units.Metre, -1, false}} {
		d := closets(80, nil, nil, nil)
		for i := range tc.runs {
			p := Point{ID: fmt.Sprint(i), From: "main", Length: 4000 * units.Metre, Rise: tc.rise}
			if i > 0 {
				p.From = fmt.Sprint(i - 1)
			}
			d.Points = append(d.Points, p)
		}
		d.Points = append(d.Points, Point{ID: "end", From: fmt.Sprint(tc.runs - 1), Length: units.Metre, Rise: tc.more})
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.prepare(mustCode(t, "ipc-2021"), Options{}, nil); (err == nil) != tc.ok || err != nil && !errors.Is(err, ErrQuery) {
			t.Errorf("%d runs of %v and %v more: %v", tc.runs, tc.rise, tc.more, err)
		}
	}
}

// Sizes and walls of the stock: the smallest of a family is one of it, and one that the
// family does not have is refused.
func TestStockSizes(t *testing.T) {
	mm := units.Millimetre
	for _, tc := range []struct {
		stock Stock
		want  string
	}{
		{Stock{Pipe: "copper-l", Sizes: []units.Length{units.Inch / 4, 2 * units.Inch}}, ""},
		{Stock{Pipe: "copper-l", Sizes: []units.Length{7 * units.Inch}}, "stock of copper-l: size"},
		{Stock{Pipe: "copper-en1057", Sizes: []units.Length{10 * mm, 35 * mm}, Walls: []units.Length{mm, mm}}, ""},
		{Stock{Pipe: "copper-en1057", Sizes: []units.Length{10 * mm, 35 * mm}, Walls: []units.Length{2 * mm, mm}}, "stock of copper-en1057: size 10 mm: wall 2 mm: it comes in 1 mm"},
	} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, []Stock{tc.stock})
		d.Pipe.Cold = tc.stock.Pipe
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.Size(mustCode(t, "ipc-2021"), Options{}); (err == nil) != (tc.want == "") || err != nil && (!strings.Contains(err.Error(), tc.want) || !errors.Is(err, ErrNotInCode)) {
			t.Errorf("%+v: %v", tc.stock, err)
		}
	}
}

// Faults of many runs come together, the first hundred and one of them: of runs without
// a size, of fittings that the table does not know.
func TestFaultsOfRunsTogether(t *testing.T) {
	for _, n := range []int{2, 101, 150} {
		for what, p := range map[string]Point{
			"no size":    {},
			"no fitting": {Pipe: "pex-sdr9", Size: units.Inch, Fittings: []FittingItem{{Fitting: "elbow-9O", Count: 1}}},
		} {
			d := closets(80, nil, nil, nil)
			for i := range n {
				p.ID, p.From, p.Length = fmt.Sprint("P", i), "main", units.Foot
				d.Points = append(d.Points, p)
			}
			l, err := NewLayout(d)
			if err != nil {
				t.Fatal(err)
			}
			_, err = l.Analyse(mustCode(t, "upc-2021"), Options{})
			if err == nil {
				t.Fatalf("%s: no error", what)
			}
			if got := strings.Count(err.Error(), "\n") + 1; got != min(n, 101) {
				t.Errorf("%s: %d faults of %d", what, got, n)
			}
		}
	}
}

// A fitting or a device of which there is no figure is asked about, and what flows past it
// is no pass: no elbow of PEX is listed over 1 in, no tap under the UPC. With a figure of
// the layout's own the fixture passes.
func TestLossesNotCounted(t *testing.T) {
	in, psi := units.Inch, units.PoundForcePerSquareInch
	for _, tc := range []struct {
		what, code string
		p          Point
		ask        bool
	}{
		{"elbow", "ipc-2021", Point{Pipe: "pex-sdr9", Size: 2 * in, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}, true},
		{"elbow of a length", "ipc-2021", Point{Pipe: "pex-sdr9", Size: 2 * in, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1, Length: units.Foot}}}, false},
		{"tap", "upc-2021", Point{Size: 2 * in, Device: &Device{Kind: "tap", Size: in}}, true},
		{"tap of a loss", "upc-2021", Point{Size: 2 * in, Device: &Device{Kind: "tap", Size: in, Loss: psi}}, false},
	} {
		tc.p.ID, tc.p.From, tc.p.Length = "A", "main", units.Foot
		d := closets(80, []Point{tc.p, {ID: "B", From: "A", Length: units.Foot}}, []string{"B"}, nil)
		s := sized(t, mustCode(t, tc.code), d)
		asked, pressure := findingsOf(t, s, "loss-not-counted"), findingsOf(t, s, "fixture-pressure")
		if (len(asked) == 1 && asked[0].Place == "A") != tc.ask || len(asked) > 1 {
			t.Errorf("%s: %v", tc.what, asked)
		}
		if len(pressure) != 1 || (pressure[0].Verdict == tables.Pass) == tc.ask || s.Fixtures[0].Upper != tc.ask {
			t.Errorf("%s: %v", tc.what, pressure)
		}
	}
}
