package dwv_test

import (
	"sort"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

var codeSink struct {
	load dwv.Load
	size dwv.SizeResult
	vent dwv.VentResult
	arm  dwv.TrapArm
	n    int
	err  error
}

func BenchmarkLoadCode(b *testing.B) {
	for b.Loop() {
		_, codeSink.err = dwv.LoadCode(tables.Embedded(), "ipc-2021")
	}
}

// BenchmarkFixtureLoad looks a fixture up; the floor is a map of the same kinds.
func BenchmarkFixtureLoad(b *testing.B) {
	c := code(b, "upc-2021")
	closet := tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			codeSink.load, codeSink.err = c.FixtureLoad(closet)
		}
	})
	b.Run("floor", func(b *testing.B) {
		m := map[string]int{}
		for _, fixture := range c.Fixtures() {
			m[fixture.ID] = len(fixture.ID)
		}
		for b.Loop() {
			codeSink.n = m["water-closet"]
		}
	})
}

func BenchmarkDrainSize(b *testing.B) {
	c := code(b, "ipc-2021")
	q := dwv.DrainQuery{Part: dwv.Drain, Load: 200 * dwv.FixtureUnit, Grade: slope.MustParse("1/4 in/ft"), Closets: 2, BelowGround: true}
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			codeSink.size, codeSink.err = c.DrainSize(q)
		}
	})
	b.Run("floor", func(b *testing.B) {
		limits := []int64{1000, 3000, 21000, 24000, 42000, 216000, 480000, 840000, 1920000, 3500000, 5600000, 10000000}
		for b.Loop() {
			codeSink.n = sort.Search(len(limits), func(i int) bool { return limits[i] >= 200_000 })
		}
	})
}

func BenchmarkVentSize(b *testing.B) {
	c := code(b, "ipc-2021")
	q := dwv.VentQuery{Part: dwv.StackVent, Drain: 4 * units.Inch, Load: 140 * dwv.FixtureUnit, Length: 100 * units.Foot}
	for b.Loop() {
		codeSink.vent, codeSink.err = c.VentSize(q)
	}
}

func BenchmarkTrapArm(b *testing.B) {
	c := code(b, "ipc-2021")
	for b.Loop() {
		codeSink.arm, codeSink.err = c.TrapArm(2 * units.Inch)
	}
}
