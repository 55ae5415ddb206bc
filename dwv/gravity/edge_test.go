package gravity

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func TestWettedArea(t *testing.T) {
	// Half of a 2 m circle.
	f, err := Pipe{2 * units.Metre, slope.OneIn(100), 0.013}.AtDepth(0.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area", float64(f.WettedArea()), math.Pi/2, 1e-14)
	near(t, "flow over area", float64(f.Flow)/float64(f.WettedArea()), float64(f.Velocity), 1e-13)
}

// A stack that runs full is the edge; StackBoreFor undoes StackCapacity.
func TestStackEdges(t *testing.T) {
	full, err := StackCapacity(4*units.Inch, 1)
	if err != nil {
		t.Fatal(err)
	}
	// 27.8 d^(8/3) at 4 in: 27.8 * 40.3174736 gpm.
	near(t, "full stack", full.Flow.In(units.USGallonPerMinute), 27.8*40.31747359663594, 1e-10)
	most := 0.0
	for ulps := -20; ulps <= 20; ulps++ {
		share := 1 + float64(ulps)*0x1p-52
		s, err := StackFill(4*units.Inch, full.Flow*units.Flow(share))
		if err == nil {
			most = max(most, s.Fill)
		} else if !errors.Is(err, units.ErrRange) {
			t.Fatal(err)
		}
	}
	if most != 1 {
		t.Errorf("the greatest fill that is taken is %v, want 1", most)
	}
	for _, fill := range []float64{7. / 24, 1. / 3, 1} {
		s, err := StackCapacity(3*units.Inch, fill)
		if err != nil {
			t.Fatal(err)
		}
		bore, err := StackBoreFor(s.Flow, fill)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "bore", bore.Inches(), 3, 1e-7)
	}
	_, err = StackFill(4*units.Inch, 2*full.Flow)
	if err == nil || !strings.Contains(err.Error(), "at most "+argument.Litres(full.Flow)+", which fills the stack") {
		t.Errorf("twice what fills it: %v; it is filled by %s", err, argument.Litres(full.Flow))
	}
	if _, err := StackCapacity(3*units.Inch, 0); !errors.Is(err, units.ErrRange) {
		t.Errorf("a stack without water: %v", err)
	}
	for _, c := range []struct {
		q    units.Flow
		fill float64
	}{{0, 0.25}, {-1, 0.25}, {units.Flow(math.NaN()), 0.25}, {1, 0}, {1, 1.01}} {
		if _, err := StackBoreFor(c.q, c.fill); !errors.Is(err, units.ErrRange) {
			t.Errorf("%v, %v: %v", c.q, c.fill, err)
		}
	}
}

// The greatest n is 1, included.
func TestRoughnessEdge(t *testing.T) {
	if _, _, err := (Pipe{units.Metre, slope.OneIn(100), 1}).Full(); err != nil {
		t.Errorf("n of 1: %v", err)
	}
	if _, _, err := (Pipe{units.Metre, slope.OneIn(100), 1.0000001}).Full(); !errors.Is(err, units.ErrRange) {
		t.Errorf("n above 1: %v", err)
	}
}

func TestCriticalGradeEdges(t *testing.T) {
	for _, n := range []float64{0, -0.01, 1.01, math.NaN(), math.Inf(1)} {
		if _, err := CriticalGrade(units.Metre, 1, n); !errors.Is(err, units.ErrRange) {
			t.Errorf("n of %v: %v", n, err)
		}
	}
	if s, err := CriticalGrade(units.Metre, 1, 1); err != nil || !(s > 0) {
		t.Errorf("n of 1: %v, %v", s, err)
	}
	if _, err := CriticalGrade(units.Metre, 0, 0.013); !errors.Is(err, units.ErrRange) {
		t.Errorf("no flow: %v", err)
	}
}

func TestGradeFromFloatEdges(t *testing.T) {
	for _, s := range []float64{0x1p-62, 0x1p61, 0.02, 1} {
		g, err := gradeFromFloat(s)
		if err != nil || g.Float() != s {
			t.Errorf("%v: %v, %v", s, g.Float(), err)
		}
	}
	for _, s := range []float64{0x1p-64, 0x1p63, 0, -1, math.NaN(), math.Inf(1)} {
		if g, err := gradeFromFloat(s); !errors.Is(err, units.ErrRange) {
			t.Errorf("%v: %v, %v", s, g, err)
		}
	}
}
