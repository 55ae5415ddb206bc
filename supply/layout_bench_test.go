package supply

import (
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// comb makes a layout of about n points: a main with a branch of three points to a
// lavatory every other yard, a hot tree beside it, and a closet at each tenth.
func comb(n int) Data {
	d := Data{
		Source: Source{ID: "street", Pressure: 400 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(50), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(70)},
		Pipe:   LinePipes{Cold: "copper-l", Hot: "copper-l", Recirc: "copper-l"},
	}
	add := func(id, from string, size units.Length) {
		d.Points = append(d.Points, Point{ID: id, From: from, Length: 3 * units.Foot, Size: size, Rise: units.Inch})
	}
	add("M0", "street", 2*units.Inch)
	add("WH", "M0", 2*units.Inch)
	d.Points[1].Device = &Device{Kind: "storage-heater", Loss: units.PoundForcePerSquareInch}
	// A binary main, so that loads stay on the table of demand.
	add("H0", "WH", 2*units.Inch)
	for i := 1; len(d.Points) < n; i++ {
		up := (i - 1) / 2
		add(fmt.Sprintf("M%d", i), fmt.Sprintf("M%d", up), 2*units.Inch)
		add(fmt.Sprintf("H%d", i), fmt.Sprintf("H%d", up), 2*units.Inch)
	}
	leaves := 0
	for i := n / 4; leaves < 1500; i++ {
		if _, ok := d.at(fmt.Sprintf("H%d", i), n); !ok {
			break
		}
		leaves++
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: fmt.Sprintf("L%d", i), Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private},
			Cold: fmt.Sprintf("M%d", i), Hot: fmt.Sprintf("H%d", i)})
	}
	return d
}

func (d *Data) at(id string, n int) (int, bool) {
	var i int
	if _, err := fmt.Sscanf(id[1:], "%d", &i); err != nil {
		return 0, false
	}
	k := 3 + 2*(i-1) + 1
	return k, k < len(d.Points) && k < n+2
}

var sinkAnalysis *Analysis

// BenchmarkAnalyse works out a layout of named points. The floor is a map of the names
// and one sum up and one down the tree.
func BenchmarkAnalyse(b *testing.B) {
	l, err := New(comb(100_000))
	if err != nil {
		b.Fatal(err)
	}
	c := mustCode(b, "ipc-2021")
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if sinkAnalysis, err = l.Analyse(c, Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			index := make(map[string]int32, l.Len())
			for i := range l.data.Points {
				index[l.data.Points[i].ID] = int32(i)
			}
			sum := make([]float64, l.Len())
			for k := len(l.order) - 1; k >= 0; k-- {
				if p := l.parent[l.order[k]]; p >= 0 {
					sum[p] += sum[l.order[k]]
				}
			}
			for _, i := range l.order {
				if p := l.parent[i]; p >= 0 {
					sum[i] += sum[p]
				}
			}
		}
	})
}

// BenchmarkGrowth works out more and more points: the time must grow as they do.
func BenchmarkGrowth(b *testing.B) {
	c := mustCode(b, "ipc-2021")
	grow := func(what string, n int, d Data) {
		b.Run(fmt.Sprintf("%s/n=%d", what, n), func(b *testing.B) {
			l, err := New(d)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if sinkAnalysis, err = l.Analyse(c, Options{}); err == nil && len(d.Links) > 0 {
					_, err = sinkAnalysis.Ring()
				}
				if err == nil && len(d.Recirculation) > 0 {
					_, err = sinkAnalysis.Circulations()
				}
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, n := range []int{1_000, 10_000, 100_000} {
		grow("points-of-water-lines", n, comb(n))
	}
	for _, n := range []int{10, 30, 100} {
		d := plant(n, true)
		for i := range d.Points {
			d.Points[i].Size = 54 * units.Millimetre
		}
		grow("loops-of-a-common-return", n, d)
	}
	for _, n := range []int{100, 1_000, 10_000} {
		open := comb(n) // of no fixture is it said who uses it
		for i := range open.Fixtures {
			open.Fixtures[i].Fixture = tables.Fixture{Kind: "lavatory", Count: 1}
		}
		b.Run(fmt.Sprintf("points-checked-of-open-fixtures/n=%d", n), func(b *testing.B) {
			s := sized(b, c, open)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Check(CheckOptions{ProblemsOnly: true}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, side := range []int{16, 32, 64} {
		grow("points-of-a-ring-grid", side*side, ringGrid(side))
	}
}
