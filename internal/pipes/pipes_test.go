package pipes

import (
	"math"
	"slices"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func shelf(t *testing.T) *Shelf {
	t.Helper()
	p, err := New(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// mil is a thousandth of an inch.
const mil = units.Inch / 1000

// TestFind holds pipes against the dimensions of their standards: 4 in pipe of ASTM D2665
// is 4.500 in outside with a wall of 0.237.
func TestFind(t *testing.T) {
	p := shelf(t)
	for range 2 { // asked for anew, and again
		for _, c := range []struct {
			material   string
			size       units.Length
			bore, wall units.Length
		}{
			{"pvc-dwv", 4 * units.Inch, 4026 * mil, 237 * mil},
			{"pvc-dwv", 2 * units.Inch, 2067 * mil, 154 * mil},
			{"pvc-dwv", 2 * units.Inch, 2067 * mil, 154 * mil},
			{"abs-dwv", 2 * units.Inch, 2067 * mil, 154 * mil},
			{"pvc-dwv", 5 * units.Inch, 5 * units.Inch, 0},       // not made
			{"stoneware", 4 * units.Inch, 4 * units.Inch, 0},     // not on the shelf
			{"pvc-sdr35", 4 * units.Inch, 3975 * mil, 120 * mil}, // 4.215 outside
		} {
			got, err := p.Find(c.material, c.size)
			if want := (slope.Pipe{Bore: c.bore, Wall: c.wall}); err != nil || got != want {
				t.Errorf("%s %v: %v, %v, want %v", c.material, c.size, got, err, want)
			}
		}
	}
	got := p.Sizes("pvc-dwv")
	if !slices.Contains(got, 4*units.Inch) || !slices.IsSorted(got) || p.Sizes("copper-l") != nil {
		t.Errorf("sizes looked at: %v", got)
	}
}

func TestFamilies(t *testing.T) {
	p := shelf(t)
	for use, has := range map[string][2]string{"drain": {"pvc-dwv", "copper-l"}, "supply": {"copper-l", "pvc-dwv"}} {
		names := p.Families(use)
		if !slices.Contains(names, has[0]) || slices.Contains(names, has[1]) || !slices.IsSorted(names) {
			t.Errorf("%s: %v", use, names)
		}
		var choices []string
		for _, c := range p.Choices(use) {
			choices = append(choices, c.ID)
			if f, ok := p.Family(c.ID); !ok || f.Use != use || f.What != c.Label || c.Label == "" {
				t.Errorf("%v: %v, %t", c, f, ok)
			}
		}
		if !slices.Equal(names, choices) {
			t.Errorf("%s: families %v, choices %v", use, names, choices)
		}
	}
	if f, ok := p.Family("stoneware"); ok {
		t.Error(f)
	}
}

// TestCement: forty joints of 3 in pipe to a quart of cement, eighty to one of primer.
func TestCement(t *testing.T) {
	p := shelf(t)
	const quart = 0.946352946 / 1000 // cubic metres
	for _, c := range []struct {
		material       string
		size           units.Length
		cement, primer float64
	}{
		{"pvc-dwv", 3 * units.Inch, quart / 40, quart / 80}, {"abs-dwv", 3 * units.Inch, quart / 40, 0},
		{"pvc-dwv", 2 * units.Inch, quart / 60, quart / 120}, {"copper-dwv", 3 * units.Inch, 0, 0},
		{"pvc-dwv", 7 * units.Inch, 0, 0}, {"stoneware", 3 * units.Inch, 0, 0},
	} {
		got, err := p.Cement(c.material, c.size)
		if err != nil || math.Abs(float64(got.Cement)-c.cement) > 1e-12 || math.Abs(float64(got.Primer)-c.primer) > 1e-12 ||
			(got.Citation.IsZero() != (c.cement == 0)) {
			t.Errorf("%s %v: %v, %v", c.material, c.size, got, err)
		}
	}
}

// TestOwnShelf: a shelf may have no pipes.
func TestOwnShelf(t *testing.T) {
	if p, err := New(tables.Open(fstest.MapFS{})); err != nil || len(p.Families("drain")) != 0 {
		t.Errorf("%v, %v", p, err)
	} else if c, err := p.Cement("pvc-dwv", 3*units.Inch); err != nil || c != (Cement{}) {
		t.Errorf("%v, %v", c, err)
	}
}

// TestManyAtOnce: the results of a calculation are asked by many at once, and what they
// ask of its pipes is then found at once too.
func TestManyAtOnce(t *testing.T) {
	p := shelf(t)
	var wg sync.WaitGroup
	for _, name := range p.Families("drain") {
		wg.Go(func() {
			for n := range units.Length(20_000) { // each not as the last, so that it is looked up
				if _, err := p.Find(name, n%2*units.Inch); err != nil {
					t.Error(err)
				}
			}
			p.Sizes(name)
		})
	}
	wg.Wait()
	if got, err := p.Find("pvc-dwv", 4*units.Inch); err != nil || got.Bore != 4026*mil || len(p.Sizes("pvc-dwv")) == 0 {
		t.Errorf("%v, %v", got, err)
	}
}
