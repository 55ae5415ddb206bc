package supply

import (
	"math"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestCarriedOn: the table of the NSPC with rows left blank. Its figures in gpm: 13 and 14 units 10 and 10.5, 120 and 140
// units 49 and 53, 750 and 1000 units 170 and 210. In the gap the line through 13 and 14 has 10.5 + 36 x 0.5 = 28.5 at 50
// and 53.5 at 100, that through 120 and 140 has 49 - 70 x 0.2 = 35 and 45: the less counts. Over the table it is
// 210 + 100 x 40/250 = 226 at 1100.
func TestCarriedOn(t *testing.T) {
	without := func(units ...string) (rows []string) {
		for _, u := range units {
			rows = append(rows, "set,tank,"+u+",,,read")
		}
		return rows
	}
	low := []string{"4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14"}
	high := []string{"140", "160", "180", "200", "225", "250", "300", "400", "500", "750", "1000"}
	for _, c := range []struct {
		blank []string
		load  string
		want  float64
	}{
		{[]string{"1000"}, "50", 28.5},
		{[]string{"1000"}, "100", 45},
		{[]string{"1000"}, "1000", 215}, // 500 and 750 units 125 and 170: 170 + 250 x 45/250
		{[]string{"400"}, "1100", 226},
		{low, "4", 25.8},   // 3 alone before it; 49 - 116 x 0.2 by the two behind it
		{low, "50", 35},    // by the two behind it alone
		{high, "50", 28.5}, // by the two before it alone
		{high, "140", 49 + 20*38.5/106},                             // by 14 and 120 units
		{slices.Concat(low, []string{"120"}, high), "50", 3}, // one figure in all
	} {
		code := amendedCode(t, "nspc-2018", "nspc-2018/supply-demand", "system,load[wsfu],demand[gpm],src,status",
			without(c.blank...)...)
		got := code.curves[TankSystem].carriedOn(fu(c.load))
		if math.Abs(got.Flow.In(units.USGallonPerMinute)-c.want) > 1e-9 {
			t.Errorf("%s units without %v: %g gpm, want %g", c.load, c.blank, got.Flow.In(units.USGallonPerMinute), c.want)
		}
	}
}

// TestPortsAlike: behind two regulators of 30 psi the cold port and the hot one have as much: the cold is told.
func TestPortsAlike(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	d := basin(60 * psi)
	d.Points[1].Device, d.Points[3].Device = &Device{Kind: "regulator", Set: 30 * psi}, &Device{Kind: "regulator", Set: 30 * psi}
	a := sized(t, mustCode(t, "ipc-2021"), d).Analyse()
	if x := a.Fixtures()[0]; x.Point != "C2" || x.Available != 30*psi {
		t.Errorf("%s has %v", x.Point, x.Available)
	}
}

// TestDrawnSmallestStays: 27 gpm through 100 ft of 1 in, drawn, and 10 ft left to be sized, in either order, of a stock that
// begins with 1 in. 100 ft of 1.265 in lose 6.41 psi (see boosted); by the 4.87th power of the bore of 1.025 in 17.86, and 10 ft of 1.505 in
// 0.28 in place of 0.64: with 35 psi to be left and 18.3 to be lost there is not enough with 1-1/4 in and enough with 1-1/2.
// It is the other that grows.
func TestDrawnSmallestStays(t *testing.T) {
	const psi, in, ft = units.PoundForcePerSquareInch, units.Inch, units.Foot
	for drawn := range 2 {
		d := boosted(nil, 35+18.3)
		d.Stock = []Stock{{Pipe: "copper-l", Sizes: []units.Length{in, in * 5 / 4, in * 3 / 2, 2 * in}}}
		d.Points[drawn].Size, d.Points[drawn].Length = in, 100*ft
		d.Points[1-drawn].Size, d.Points[1-drawn].Length = 0, 10*ft
		s := sized(t, mustCode(t, "ipc-2021"), d)
		a := s.Analyse()
		if runs := a.runs; runs[drawn].Size != in || runs[1-drawn].Size != in*3/2 || a.fixtures[0].Available < 35*psi {
			t.Errorf("run %d drawn: %v and %v, %v left", drawn, runs[0].Size, runs[1].Size, a.fixtures[0].Available)
		}
	}
}

// TestRingDrawsStatedFlow: what a fixture of a stated flow draws is drawn from the ring that its line is: of a hot ring at the
// corner where it stands, of a cold one at the corner where its heater hangs. So is what is drawn hot without end. Even
// sides carry half of it each.
func TestRingDrawsStatedFlow(t *testing.T) {
	const gpm, ft, in = units.USGallonPerMinute, units.Foot, units.Inch
	heater := Point{ID: "WH", From: "street", Length: ft, Size: in, Device: &Device{Kind: "storage-heater", Loss: 7 * units.Kilopascal}}
	for _, hot := range []bool{true, false} {
		for _, endless := range []units.Flow{0, 2 * gpm} {
			d := square()
			d.Water.Hot, d.Pipe.Hot, d.Points[0].Device = units.Fahrenheit(120), "copper-l", nil
			wh := heater
			if hot { // the ring behind the heater
				d.Points[0].From = "WH"
				d.Points[3].Continuous = endless
				d.Points = append(d.Points, wh)
			} else { // a hot line behind a heater at D
				wh.From = "D"
				d.Points = append(d.Points, wh, Point{ID: "H", From: "WH", Length: 10 * ft, Size: in, Continuous: endless})
			}
			f := &d.Fixtures[0]
			f.Cold, f.Hot, f.Flow = "", map[bool]string{true: "D", false: "H"}[hot], 3*gpm
			f.Fixture = tables.Fixture{Kind: "hose-bibb", Count: 2}
			_, r := ringOf(t, d)
			whole := 6*gpm + endless
			if in, link := float64(r.Runs[0]/whole), float64(r.Links[0].Flow/whole); math.Abs(in-1) > 1e-9 || math.Abs(link-0.5) > 1e-9 {
				t.Errorf("hot ring %v, %v without end: %g of it comes in, %g goes by the link", hot, endless, in, link)
			}
		}
	}
}
