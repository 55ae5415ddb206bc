package tables_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"testing"

	"gonum.org/v1/gonum/interp"

	"github.com/trapweir/trapweir/tables"
)

type point struct {
	X float64 `table:"x[1]"`
	Y float64 `table:"y[1]"`
}

// points makes rows of x and y under the given header lines.
func points(tb testing.TB, header string, xy ...float64) *tables.Rows[point] {
	tb.Helper()
	text := "# id: town/drain\n# title: Points\n# source: code\n# key: x\n" + header + "x[1],y[1],src,status\n"
	for i := 0; i < len(xy); i += 2 {
		text += fmt.Sprintf("%v,%v,,read\n", xy[i], xy[i+1])
	}
	rows, err := tables.Load[point](shelfOf(text), "town/drain")
	if err != nil {
		tb.Fatal(err)
	}
	return rows
}

func limitOf(p *point) (float64, bool) { return p.Y, true }

// TestSteps checks the boundary rule at, below and above every limit.
func TestSteps(t *testing.T) {
	for _, c := range []struct {
		boundary string
		x        float64
		row      int
		ok       bool
	}{
		{"at most", -1, 0, true}, {"at most", 0, 0, true}, {"at most", 21, 0, true}, {"at most", math.Nextafter(21, 22), 1, true},
		{"at most", 42, 1, true}, {"at most", 42.5, 3, true}, {"at most", 216, 3, true}, {"at most", 217, 0, false},
		{"at most", math.Inf(1), 0, false}, {"at most", math.Inf(-1), 0, true}, {"at most", math.NaN(), 0, false},
		{"below", 20.9, 0, true}, {"below", 21, 1, true}, {"below", 42, 3, true}, {"below", 215, 3, true}, {"below", 216, 0, false}, {"below", math.NaN(), 0, false},
	} {
		// Two rows hold 42: the first of them is the smaller pipe.
		s, err := tables.NewSteps(points(t, "# boundary: "+c.boundary+"\n", 2, 21, 3, 42, 3.5, 42, 4, 216), limitOf)
		if err != nil {
			t.Fatal(err)
		}
		if row, ok := s.Find(c.x); row != c.row || ok != c.ok {
			t.Errorf("%s %v: got row %d %v, want %d %v", c.boundary, c.x, row, ok, c.row, c.ok)
		}
	}
}

func TestStepsSkipAndRefuse(t *testing.T) {
	rows := points(t, "", 1, 5, 2, 4, 3, 9)
	if _, err := tables.NewSteps(rows, limitOf); !errors.Is(err, tables.ErrOrder) {
		t.Errorf("falling limits give %v", err)
	}
	s, err := tables.NewSteps(rows, func(p *point) (float64, bool) { return p.Y, p.X != 2 })
	if err != nil {
		t.Fatal(err)
	}
	if row, ok := s.Find(6); row != 2 || !ok || s.Len() != 2 {
		t.Errorf("got %d %v", row, ok)
	}
	if row, limit := s.Row(1); row != 2 || limit != 9 {
		t.Errorf("got %d %v", row, limit)
	}
	if _, err := tables.NewSteps(rows, func(p *point) (float64, bool) { return math.NaN(), true }); !errors.Is(err, tables.ErrCell) {
		t.Errorf("a limit that is no number gives %v", err)
	}
	empty, err := tables.NewSteps(rows, func(*point) (float64, bool) { return 0, false })
	if _, ok := empty.Find(0); ok || err != nil {
		t.Error("a row in no rows")
	}
}

// TestCurve compares with gonum's piecewise linear interpolation, inside the range.
func TestCurve(t *testing.T) {
	xs, ys := []float64{1, 2, 5, 8, 13}, []float64{3, 5, 6.5, 6.5, 20}
	var xy []float64
	for i := range xs {
		xy = append(xy, xs[i], ys[i])
	}
	c, err := tables.NewCurve(points(t, "# interpolation: linear\n", xy...), func(p *point) (float64, float64, bool) { return p.X, p.Y, true })
	if err != nil {
		t.Fatal(err)
	}
	var want interp.PiecewiseLinear
	if err := want.Fit(xs, ys); err != nil {
		t.Fatal(err)
	}
	for x := 1.0; x <= 13; x += 1.0 / 64 {
		y, row, next, err := c.At(x)
		if err != nil || math.Abs(y-want.Predict(x)) > 1e-14*math.Abs(y) {
			t.Errorf("at %v: %v %v, want %v", x, y, err, want.Predict(x))
		}
		if xs[row] > x || xs[next] < x || slices.Contains(xs, x) != (row == next) {
			t.Errorf("at %v: rows %d and %d", x, row, next)
		}
	}
	for _, x := range []float64{math.Nextafter(1, 0), math.Nextafter(13, 14), math.NaN(), math.Inf(1), math.Inf(-1)} {
		if y, _, _, err := c.At(x); !errors.Is(err, tables.ErrRange) || y != 0 {
			t.Errorf("at %v: %v %v", x, y, err)
		}
	}
	if lo, hi := c.Range(); lo != 1 || hi != 13 {
		t.Errorf("range %v to %v", lo, hi)
	}
}

func TestCurveRefuses(t *testing.T) {
	xy := func(p *point) (float64, float64, bool) { return p.X, p.Y, true }
	if _, err := tables.NewCurve(points(t, "", 1, 2, 2, 3), xy); !errors.Is(err, tables.ErrHeader) {
		t.Errorf("a table that is not to be interpolated gives %v", err)
	}
	const linear = "# interpolation: linear\n"
	for _, n := range [][]float64{nil, {1, 2}} {
		if _, err := tables.NewCurve(points(t, linear, n...), xy); !errors.Is(err, tables.ErrRange) {
			t.Errorf("%d points give %v", len(n)/2, err)
		}
	}
	if c, err := tables.NewCurve(points(t, linear, 1, 2, 2, 3), xy); err != nil {
		t.Errorf("two points give %v", err)
	} else if y, _, _, err := c.At(1.5); err != nil || y != 2.5 {
		t.Errorf("between two points: %v, %v", y, err)
	}
	inf := math.Inf(1)
	for _, bad := range [][2]float64{{inf, 1}, {-inf, 1}, {math.NaN(), 1}, {1, inf}, {1, math.NaN()}} {
		wild := func(*point) (float64, float64, bool) { return bad[0], bad[1], true }
		if _, err := tables.NewCurve(points(t, linear, 1, 2, 2, 3), wild); !errors.Is(err, tables.ErrCell) {
			t.Errorf("a point at %v gives %v", bad, err)
		}
	}
	flat := func(p *point) (float64, float64, bool) { return 1, p.Y, true }
	if _, err := tables.NewCurve(points(t, linear, 1, 2, 2, 3), flat); !errors.Is(err, tables.ErrOrder) {
		t.Errorf("x that does not rise gives %v", err)
	}
}

func TestDistinct(t *testing.T) {
	got := tables.Distinct(points(t, "", 1, 5, 2, 4, 3, 5, 4, 1), func(p *point) (float64, bool) { return p.Y, p.X < 4 })
	if !slices.Equal(got, []float64{4, 5}) {
		t.Errorf("got %v", got)
	}
}

func TestLookupsAllocateNothing(t *testing.T) {
	rows := points(t, "# interpolation: linear\n", 1, 2, 2, 3, 3, 9)
	s, _ := tables.NewSteps(rows, limitOf)
	c, _ := tables.NewCurve(rows, func(p *point) (float64, float64, bool) { return p.X, p.Y, true })
	if n := testing.AllocsPerRun(100, func() {
		row, _ := s.Find(2.5)
		cite := rows.Cite(row)
		if cite.Status() != tables.Read || rows.At(row).X != 2 {
			t.Fatal("wrong row")
		}
		c.At(2.5)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

var sink int

func BenchmarkLookup(b *testing.B) {
	var xy []float64
	for i := range 20 {
		xy = append(xy, float64(i), float64(i*i))
	}
	rows := points(b, "", xy...)
	s, err := tables.NewSteps(rows, limitOf)
	if err != nil {
		b.Fatal(err)
	}
	limits := make([]float64, rows.Len())
	for i := range limits {
		limits[i] = rows.At(i).Y
	}
	b.Run("steps-and-citation", func(b *testing.B) {
		b.ReportAllocs()
		x := 0.0
		for b.Loop() {
			if row, ok := s.Find(x); ok {
				if rows.Cite(row).IsZero() {
					sink++
				}
			}
			if x++; x > 361 {
				x = 0
			}
		}
	})
	b.Run("floor-hand-binary-search", func(b *testing.B) {
		x := 0.0
		for b.Loop() {
			lo, hi := 0, len(limits)
			for lo < hi {
				if m := int(uint(lo+hi) >> 1); limits[m] >= x {
					hi = m
				} else {
					lo = m + 1
				}
			}
			sink += lo
			if x++; x > 361 {
				x = 0
			}
		}
	})
	b.Run("floor-sort-search", func(b *testing.B) {
		x := 0.0
		for b.Loop() {
			sink += sort.SearchFloat64s(limits, x)
			if x++; x > 361 {
				x = 0
			}
		}
	})
}

func BenchmarkCurve(b *testing.B) {
	var xy, xs, ys []float64
	for i := range 20 {
		xs, ys = append(xs, float64(i)), append(ys, float64(i*i))
		xy = append(xy, xs[i], ys[i])
	}
	c, err := tables.NewCurve(points(b, "# interpolation: linear\n", xy...), func(p *point) (float64, float64, bool) { return p.X, p.Y, true })
	if err != nil {
		b.Fatal(err)
	}
	var floor interp.PiecewiseLinear
	if err := floor.Fit(xs, ys); err != nil {
		b.Fatal(err)
	}
	var y float64
	b.Run("curve", func(b *testing.B) {
		b.ReportAllocs()
		x := 0.0
		for b.Loop() {
			v, _, _, _ := c.At(x)
			y += v
			if x += 0.37; x > 19 {
				x = 0
			}
		}
	})
	b.Run("floor-gonum", func(b *testing.B) {
		x := 0.0
		for b.Loop() {
			y += floor.Predict(x)
			if x += 0.37; x > 19 {
				x = 0
			}
		}
	})
	sink += int(y)
}
