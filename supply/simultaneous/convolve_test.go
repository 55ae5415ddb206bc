package simultaneous

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
)

// Four terms a pass, and the ends one by one, come to the plain double sum.
func TestConvolve(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 100))
	var spare []float64
	for range 2000 {
		mass := make([]float64, 1+rng.IntN(60))
		terms := make([]float64, 1+rng.IntN(14))
		stride := 1 + rng.IntN(25)
		for i := range mass {
			mass[i] = rng.Float64()
		}
		for i := range terms {
			terms[i] = rng.Float64()
		}
		want := make([]float64, len(mass)+stride*(len(terms)-1))
		for k, w := range terms {
			for j, v := range mass {
				want[k*stride+j] += float64(w * v)
			}
		}
		got := convolve(nil, spare, mass, terms, stride)
		if len(got) != len(want) {
			t.Fatalf("%d totals, want %d", len(got), len(want))
		}
		for i := range want {
			if math.Abs(got[i]-want[i]) > 1e-14*want[i] {
				t.Fatalf("%d totals, %d terms %d apart: at %d: %v, want %v", len(mass), len(terms), stride, i, got[i], want[i])
			}
		}
		spare = got
	}
}

// Totals at either end that together are less likely than 1e-21 take no room.
func TestTrimmedEnds(t *testing.T) {
	s, err := New([]Group{{1000, 0.3, 1}, {1000, 0.3, 7}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, v := range s.mass {
		sum += v
	}
	if first, last := s.mass[0], s.mass[len(s.mass)-1]; first < 1e-24 || last < 1e-24 || first > 1e-20 || last > 1e-20 ||
		math.Abs(sum-1) > 1e-12 {
		t.Errorf("ends of %g and %g, all of %g", first, last, sum)
	}
}

// A million additions of 1e-17 to 1 are each lost alone; kept, they make 1e-11.
func TestKahan(t *testing.T) {
	k := kahan{}
	k.add(1)
	for range 1_000_000 {
		k.add(1e-17)
	}
	if math.Abs(k.sum-(1+1e-11)) > 3e-16 {
		t.Errorf("1 and %v, want 1e-11", k.sum-1)
	}
}

// TestFlowStops: a distribution that is called off is none and says how far it was; of two thousand basins with a
// chance of a half the context is asked before the first four terms and at each thousand.
func TestFlowStops(t *testing.T) {
	const gpm = units.USGallonPerMinute
	groups := []Group{{Count: 1, Probability: 0.5, Flow: gpm}, {Count: 40_000, Probability: 0.5, Flow: gpm}}
	want, err1 := New(groups, gpm)
	whole := patience.Of(1 << 40)
	got, err2 := NewContext(whole, groups, gpm)
	if err := errors.Join(err1, err2); err != nil || !reflect.DeepEqual(want, got) {
		t.Fatalf("otherwise within a context: %v", err)
	}
	all := ""
	for after := range whole.Asked() {
		got, err := NewContext(patience.Of(after), groups, gpm)
		if !errors.Is(err, context.Canceled) || got != nil {
			t.Errorf("after %d of %d questions: %v", after, whole.Asked(), err)
			continue
		}
		all += err.Error() + "\n"
	}
	for _, said := range []string{"flow: stopped after 0 of 2 numbers", "flow: stopped after 1000 of "} {
		if !strings.Contains(all, said) {
			t.Errorf("nowhere %s:\n%s", said, all)
		}
	}
	late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer stop()
	if _, err := NewContext(late, groups, gpm); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after its deadline: %v", err)
	}
}
