package simultaneous_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/units"
)

const gpm = units.USGallonPerMinute

// By definition: the cumulative probability reaches the confidence at m and not
// at m-1. gonum's incomplete beta function is the oracle.
func TestFixturesInUseByDefinition(t *testing.T) {
	wrong := 0
	for _, n := range []int{1, 2, 3, 7, 10, 50, 100, 1000, 1075, 1100, 5000, 20_000, 1_000_000} {
		for _, p := range []float64{1e-6, 0.001, 0.01, 0.03, 0.067, 0.2, 0.5, 0.75, 0.9, 0.998575, 0.999999} {
			for _, c := range []float64{0.0005, 0.01, 0.1, 0.5, 0.9, 0.95, 0.99, 0.995, 0.999, 0.999999} {
				m, err := simultaneous.FixturesInUse(n, p, c)
				if err != nil {
					t.Fatal(err)
				}
				d := distuv.Binomial{N: float64(n), P: p}
				// The oracle itself is good to about 1e-11 at large n.
				if d.CDF(float64(m)) < c-1e-10 || m > 0 && d.CDF(float64(m-1)) > c+1e-10 {
					wrong++
					t.Errorf("n %d p %g at %g: %d, with cumulative %.12g and %.12g under it", n, p, c, m, d.CDF(float64(m)),
						d.CDF(float64(m-1)))
				}
			}
		}
	}
	// The plain recurrence from (1-p)^n gives 5000 here.
	if m, _ := simultaneous.FixturesInUse(5000, 0.998575, 0.0005); m != 4983 {
		t.Errorf("n 5000, p 0.998575 at 0.0005: %d, want 4983", m)
	}
	if m, err := simultaneous.FixturesInUse(1_000_000_000, 0.5, 0.5); err != nil || m != 500_000_000 {
		t.Errorf("the median of a thousand million at a half: %d, %v", m, err)
	}
}

func TestFixturesInUseTiesAndEnds(t *testing.T) {
	for _, c := range []struct {
		n          int
		p, c       float64
		want       int
		why        string
		wantErrors bool
	}{
		{n: 1, p: 0.01, c: 0.99, want: 0, why: "99 % of the time nothing runs: a tie reaches"},
		{n: 2, p: 0.1, c: 0.81, want: 0, why: "0.9 squared is a tie"},
		{n: 3, p: 0.1, c: 0.729, want: 0, why: "0.9 cubed is a tie"},
		{n: 3, p: 0.1, c: 0.972, want: 1, why: "0.729 + 0.243"},
		{n: 9, p: 0, c: 0.99, want: 0, why: "never in use"},
		{n: 9, p: 1, c: 0.01, want: 9, why: "always in use"},
		{n: 9, p: 0.3, c: 1, want: 9, why: "certainty takes all"},
		{n: 1, p: 0.95e-12, c: 1 - 1e-12, want: 0, why: "idle but for 0.95 in 1e12"},
		{n: 1, p: 1.05e-12, c: 1 - 1e-12, want: 1, why: "idle but for 1.05 in 1e12, which is more than is left"},
		{n: 1, p: 0.2, c: 0.9, want: 1, why: "0.8 does not reach"},
		// (1 - 1e-9) to the power of 1e9 is e^(-1 - 5e-10) = 0.3678794409875.
		{n: 1_000_000_000, p: 1e-9, c: 0.3678794409865, want: 0, why: "just under the chance of none"},
		{n: 1_000_000_000, p: 1e-9, c: 0.3678794409885, want: 1, why: "just over it"},
	} {
		if m, err := simultaneous.FixturesInUse(c.n, c.p, c.c); err != nil || m != c.want {
			t.Errorf("n %d p %g at %g: %d, %v, want %d: %s", c.n, c.p, c.c, m, err, c.want, c.why)
		}
	}
	for _, c := range []struct {
		n    int
		p, c float64
	}{{0, 0.1, 0.9}, {-4, 0.1, 0.9}, {5, -0.1, 0.9}, {5, 1.1, 0.9}, {5, math.NaN(), 0.9}, {5, 0.1, 0}, {5, 0.1, 1.01},
		{5, 0.1, math.NaN()}, {1_000_000_001, 0.1, 0.9}} {
		if _, err := simultaneous.FixturesInUse(c.n, c.p, c.c); !errors.Is(err, units.ErrRange) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// As near to certainty as a float64 comes, where rounding may keep a sum from ever
// getting there: no more than all are in use.
func TestInUseNearCertainty(t *testing.T) {
	c := math.Nextafter(1, 0)
	for _, n := range []int{1, 2, 3, 5, 9, 40, 200, 1000, 5000} {
		for _, p := range []float64{0.01, 0.07, 0.1, 0.3, 0.7, 0.9, 0.99, 0.998575, 0.999999} {
			m, err := simultaneous.FixturesInUse(n, p, c)
			if err != nil || m < 0 || m > n {
				t.Errorf("n %d p %g: %d, %v", n, p, m, err)
			}
			s, err := simultaneous.New([]simultaneous.Group{{n, p, gpm}, {1, p, 3 * gpm}}, gpm)
			if err != nil {
				t.Fatal(err)
			}
			for _, quantile := range []func(float64) (simultaneous.Quantile, error){s.Quantile, s.QuantileInUse} {
				if q, err := quantile(c); err != nil || q.Steps < 0 || q.Steps > int64(n)+3 || q.Probability > 1 {
					t.Errorf("n %d p %g: %+v, %v", n, p, q, err)
				}
			}
		}
	}
}

// enumerate lists every combination of fixtures in exact rational arithmetic.
func enumerate(groups []simultaneous.Group, stepGPM float64) map[int64]*big.Rat {
	dist := map[int64]*big.Rat{0: big.NewRat(1, 1)}
	for _, g := range groups {
		p := new(big.Rat)
		p.SetString(fmt.Sprint(g.Probability)) // the decimal that was written
		q := new(big.Rat).Sub(big.NewRat(1, 1), p)
		k := int64(math.Round(float64(g.Flow/gpm) / stepGPM))
		for range g.Count {
			next := map[int64]*big.Rat{}
			add := func(at int64, v *big.Rat) {
				if next[at] == nil {
					next[at] = new(big.Rat)
				}
				next[at].Add(next[at], v)
			}
			for at, v := range dist {
				add(at, new(big.Rat).Mul(v, q))
				add(at+k, new(big.Rat).Mul(v, p))
			}
			dist = next
		}
	}
	return dist
}

func exactQuantile(dist map[int64]*big.Rat, confidence string, used bool) int64 {
	c, _ := new(big.Rat).SetString(confidence)
	var most int64
	for at := range dist {
		most = max(most, at)
	}
	none := new(big.Rat)
	if used && dist[0] != nil {
		none = dist[0]
	}
	want := new(big.Rat).Mul(c, new(big.Rat).Sub(big.NewRat(1, 1), none))
	total := new(big.Rat)
	for at := int64(0); at <= most; at++ {
		if v := dist[at]; v != nil && !(used && at == 0) {
			total.Add(total, v)
			if total.Cmp(want) >= 0 {
				return at
			}
		}
	}
	return most
}

func TestSimultaneousFlowAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		var groups []simultaneous.Group
		for range 1 + r.IntN(3) {
			groups = append(groups, simultaneous.Group{
				Count:       1 + r.IntN(5),
				Probability: float64(r.IntN(100)) / 100,
				Flow:        units.Flow(float64(1+r.IntN(400))/100) * gpm,
			})
		}
		s, err := simultaneous.New(groups, gpm/100)
		if err != nil {
			t.Fatal(err)
		}
		dist := enumerate(groups, 0.01)
		for _, text := range []string{"0.25", "0.5", "0.81", "0.9", "0.99", "0.999"} {
			c := proof.Number(t, text)
			got, err := s.Quantile(c)
			if want := exactQuantile(dist, text, false); err != nil || got.Steps != want {
				t.Errorf("%v at %s: %d steps, want %d, %v", groups, text, got.Steps, want, err)
			}
			used, err := s.QuantileInUse(c)
			if s.InUse() == 0 {
				if !errors.Is(err, units.ErrNoSolution) {
					t.Errorf("nothing in use: %v", err)
				}
				continue
			}
			if want := exactQuantile(dist, text, true); err != nil || used.Steps != want {
				t.Errorf("%v in use at %s: %d steps, want %d, %v", groups, text, used.Steps, want, err)
			}
		}
	}
}

func TestSimultaneousFlowOfOneKindIsBinomial(t *testing.T) {
	for _, n := range []int{1, 40, 900, 30_000} {
		for _, p := range []float64{0.004, 0.3, 0.5, 0.95} {
			s, err := simultaneous.New([]simultaneous.Group{{n, p, 2.25 * gpm}}, gpm/100)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []float64{0.01, 0.5, 0.99, 0.9999, 1} {
				m, _ := simultaneous.FixturesInUse(n, p, c)
				q, err := s.Quantile(c)
				if err != nil || q.Steps != int64(m)*225 || q.Probability < c-1e-12 {
					t.Errorf("n %d p %g at %g: %d steps (%v), want %d of 225, %v", n, p, c, q.Steps, q.Probability, m, err)
				}
				if f, err := s.NotExceeded(q.Flow); err != nil || !proof.Near(f, q.Probability, 1e-12) {
					t.Errorf("not exceeded at the quantile: %v, %v, want %v", f, err, q.Probability)
				}
			}
		}
	}
}

// Properties: more fixtures never lower the unconditioned demand, more confidence
// never lowers either, and mean and deviation are those of the formula.
func TestSimultaneousFlowProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		groups := []simultaneous.Group{
			{1 + r.IntN(60), r.Float64() / 4, 1.5 * gpm},
			{1 + r.IntN(60), r.Float64() / 4, 2.2 * gpm},
			{1 + r.IntN(9), r.Float64() / 4, 25 * gpm},
		}
		s, err := simultaneous.New(groups, gpm/100)
		if err != nil {
			t.Fatal(err)
		}
		bigger := append([]simultaneous.Group(nil), groups...)
		i := r.IntN(3)
		bigger[i].Count++
		more, err := simultaneous.New(bigger, gpm/100)
		if err != nil {
			t.Fatal(err)
		}
		last, lastUsed := int64(0), int64(0)
		for _, c := range []float64{0.1, 0.5, 0.9, 0.95, 0.99, 0.995, 0.999, 0.99999, 1} {
			a, _ := s.Quantile(c)
			b, _ := more.Quantile(c)
			u, _ := s.QuantileInUse(c)
			if a.Steps < last || b.Steps < a.Steps || u.Steps < lastUsed || u.Steps < a.Steps {
				t.Errorf("%v at %g: %d after %d, with one more %d, in use %d after %d", groups, c, a.Steps, last, b.Steps, u.Steps,
					lastUsed)
			}
			last, lastUsed = a.Steps, u.Steps
		}
	}
}

// Adding a seldom used small fixture lowers the demand in use: known and kept.
func TestDemandInUseMayFall(t *testing.T) {
	one := []simultaneous.Group{{1, 0.01, 10 * gpm}}
	two := append(one, simultaneous.Group{Count: 10, Probability: 0.2, Flow: gpm})
	a, _ := simultaneous.New(one, gpm/100)
	b, _ := simultaneous.New(two, gpm/100)
	qa, _ := a.QuantileInUse(0.9)
	qb, _ := b.QuantileInUse(0.9)
	if qa.Steps != 1000 || qb.Steps >= qa.Steps {
		t.Errorf("%d, then %d steps", qa.Steps, qb.Steps)
	}
}

func TestSimultaneousFlowRefuses(t *testing.T) {
	good := simultaneous.Group{Count: 5, Probability: 0.1, Flow: 2 * gpm}
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		groups []simultaneous.Group
		step   units.Flow
	}{
		{"no groups", nil, gpm / 100},
		{"no step", []simultaneous.Group{good}, 0},
		{"step not a number", []simultaneous.Group{good}, units.Flow(nan)},
		{"off the lattice", []simultaneous.Group{good, {5, 0.1, 2.005 * gpm}}, gpm / 100},
		{"flow negative", []simultaneous.Group{{5, 0.1, -gpm}}, gpm / 100},
		{"flow not a number", []simultaneous.Group{{5, 0.1, units.Flow(nan)}}, gpm / 100},
		{"probability", []simultaneous.Group{{5, 1.5, gpm}}, gpm / 100},
		{"count", []simultaneous.Group{{0, 0.5, gpm}}, gpm / 100},
		{"too wide", []simultaneous.Group{{1_000_000_000, 0.5, 1000 * gpm}, good}, gpm / 100},
		{"too many", []simultaneous.Group{{1_000_000_000, 0.5, gpm}, {1_000_000_000, 0.5, 2 * gpm}}, gpm},
		{"overflow", []simultaneous.Group{{1_000_000_000, 0.5, 1e5}, {1_000_000_000, 0.5, 1e5}}, gpm / 1e9},
	} {
		if _, err := simultaneous.New(c.groups, c.step); !errors.Is(err, units.ErrRange) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Limits of the lattice: flows to a millionth of a step, sums of 2^53 steps, 2^24
// totals.
func TestSimultaneousFlowLimits(t *testing.T) {
	const step = 1. / (1 << 53)
	for _, c := range []struct {
		name   string
		groups []simultaneous.Group
		step   units.Flow
		ok     bool
	}{
		{"nearly a hundred steps", []simultaneous.Group{{1, 0.5, 100.0000009}}, 1, true},
		{"not quite a hundred", []simultaneous.Group{{1, 0.5, 100.0000011}}, 1, false},
		{"2^53 steps", []simultaneous.Group{{1, 0.5, 1}}, step, true},
		{"a flow of more", []simultaneous.Group{{1, 0.5, 2}}, step, false},
		{"a sum of more", []simultaneous.Group{{1, 0.5, 1}, {1, 0.5, step}}, step, false},
		{"two of them", []simultaneous.Group{{2, 0.5, 1}}, step, false},
		{"2^24 totals", []simultaneous.Group{{1, 0.5, 1e-3}, {1, 0.5, (1<<24 - 2) * 1e-3}}, 1e-3, true},
		{"one more", []simultaneous.Group{{1, 0.5, 1e-3}, {1, 0.5, (1<<24 - 1) * 1e-3}}, 1e-3, false},
	} {
		s, err := simultaneous.New(c.groups, c.step)
		if (err == nil) != c.ok || err != nil && !errors.Is(err, units.ErrRange) {
			t.Errorf("%s: %v", c.name, err)
		}
		if err != nil {
			continue
		}
		var most float64
		for _, g := range c.groups {
			most += float64(g.Count) * float64(g.Flow)
		}
		if got := float64(s.Greatest()); !proof.Near(got, most, 1e-6) {
			t.Errorf("%s: greatest %v, want %v", c.name, got, most)
		}
	}
}

func TestNormalFlow(t *testing.T) {
	groups := []simultaneous.Group{{100, 0.02, 1.5 * gpm}, {80, 0.045, 2 * gpm}}
	// By hand: mean 3 + 7.2, variance 4.41 + 13.752, z 2.3263478740408408.
	got, err := simultaneous.NormalFlow(groups, 0.99)
	if want := 10.2 + 2.3263478740408408*math.Sqrt(4.41+13.752); err != nil || !proof.Near(float64(got/gpm), want, 1e-12) {
		t.Errorf("%.12g gpm, want %.12g, %v", float64(got/gpm), want, err)
	}
	if h, err := simultaneous.HunterNumber(groups); err != nil || !proof.Near(h, 5.6, 1e-14) {
		t.Errorf("Hunter's number %v, %v", h, err)
	}
	// With many fixtures in use the three agree.
	many := []simultaneous.Group{{2000, 0.05, 1.5 * gpm}, {2000, 0.05, 2 * gpm}}
	s, err := simultaneous.New(many, gpm/100)
	if err != nil {
		t.Fatal(err)
	}
	exact, _ := s.Quantile(0.99)
	normal, _ := simultaneous.NormalFlow(many, 0.99)
	used, _ := simultaneous.NormalFlowInUse(many, 0.99)
	if !proof.Near(float64(normal), float64(exact.Flow), 0.005) || !proof.Near(float64(used), float64(normal), 1e-9) {
		t.Errorf("exact %v, normal %v, in use %v gpm", float64(exact.Flow/gpm), float64(normal/gpm), float64(used/gpm))
	}
	// By hand: M 1, S 1.8, P0 0.59049.
	if q, err := simultaneous.NormalFlowInUse([]simultaneous.Group{{5, 0.1, 2 * gpm}}, 0.99); err != nil ||
		!proof.Near(float64(q/gpm), 5.90173126363611, 1e-12) {
		t.Errorf("five fixtures: %v gpm, %v", float64(q/gpm), err)
	}
	// Given that one fixture is in use, its flow does not vary.
	if q, err := simultaneous.NormalFlowInUse([]simultaneous.Group{{1, 0.01, 3 * gpm}}, 0.99); err != nil ||
		!proof.Near(float64(q/gpm), 3, 1e-6) {
		t.Errorf("one fixture: %v gpm, %v", float64(q/gpm), err)
	}
	if _, err := simultaneous.NormalFlowInUse([]simultaneous.Group{{1, 0, gpm}}, 0.99); !errors.Is(err,
		units.ErrNoSolution) {
		t.Errorf("never in use: %v", err)
	}
	for _, c := range []float64{0, 1, -1, math.NaN()} {
		if _, err := simultaneous.NormalFlow(groups, c); !errors.Is(err, units.ErrRange) {
			t.Errorf("confidence %v: %v", c, err)
		}
	}
}

func ExampleNew() {
	groups := []simultaneous.Group{
		{Count: 10, Probability: 0.02, Flow: 1.5 * units.USGallonPerMinute}, // lavatories
		{Count: 6, Probability: 0.045, Flow: 2.0 * units.USGallonPerMinute}, // showers
		{Count: 10, Probability: 0.01, Flow: 3.0 * units.USGallonPerMinute}, // tank closets
	}
	s, err := simultaneous.New(groups, units.USGallonPerMinute/100)
	if err != nil {
		fmt.Println(err)
		return
	}
	q, _ := s.Quantile(0.99)
	used, _ := s.QuantileInUse(0.99)
	fmt.Printf("%.2f gpm, or %.2f gpm when something runs\n", float64(q.Steps)/100, float64(used.Steps)/100)
	// Output: 6.00 gpm, or 7.00 gpm when something runs
}

func BenchmarkFixturesInUse(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		b.Run(fmt.Sprintf("n=%d/ours", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m, _ := simultaneous.FixturesInUse(n, 0.05, 0.99)
				sink = float64(m)
			}
		})
		b.Run(fmt.Sprintf("n=%d/floor", n), func(b *testing.B) {
			for b.Loop() {
				p, q := 0.05, 0.95
				term := math.Pow(q, float64(n))
				total := term
				m := 0
				for ; total < 0.99 && m < n; m++ {
					term *= p / q * float64(n-m) / float64(m+1)
					total += term
				}
				sink = float64(m)
			}
		})
	}
}

// Ten groups of a hundred fixtures, flows without a common step above 0.01 gpm.
func BenchmarkSimultaneousFlow(b *testing.B) {
	var groups []simultaneous.Group
	for i := range 10 {
		groups = append(groups, simultaneous.Group{
			Count: 100, Probability: 0.01 + 0.005*float64(i), Flow: units.Flow(1.01+0.37*float64(i)) * gpm,
		})
	}
	b.ReportAllocs()
	for b.Loop() {
		s, err := simultaneous.New(groups, gpm/100)
		if err != nil {
			b.Fatal(err)
		}
		q, _ := s.Quantile(0.99)
		sink = float64(q.Steps)
	}
}

func TestSimultaneousFlowFacts(t *testing.T) {
	s, err := simultaneous.New([]simultaneous.Group{{10, 0.2, 3 * gpm}, {4, 0.5, 2.5 * gpm}, {7, 0, 9 * gpm}}, gpm/100)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: mean 10 (0.2) 3 + 4 (0.5) 2.5, variance 10 (0.16) 9 + 4 (0.25) 6.25; those
	// never in use do not count among the greatest.
	if m := float64(s.Mean() / gpm); !proof.Near(m, 11, 1e-14) {
		t.Errorf("mean %v", m)
	}
	if d := float64(s.StandardDeviation() / gpm); !proof.Near(d, math.Sqrt(14.4+6.25), 1e-14) {
		t.Errorf("deviation %v", d)
	}
	if g := float64(s.Greatest() / gpm); !proof.Near(g, 40, 1e-14) {
		t.Errorf("greatest %v", g)
	}
	if u := s.InUse(); !proof.Near(u, 1-math.Pow(0.8, 10)*math.Pow(0.5, 4), 1e-14) {
		t.Errorf("in use %v", u)
	}
	top, _ := s.Quantile(1)
	if !proof.Near(float64(top.Flow/gpm), 40, 1e-14) {
		t.Errorf("at certainty %v gpm", float64(top.Flow/gpm))
	}
	if top.Steps != 4000 || top.Probability != 1 {
		t.Errorf("%+v", top)
	}
	for _, c := range []struct{ gpm, want float64 }{{-1, 0}, {0, math.Pow(0.8, 10) / 16}, {1e6, 1}} {
		if p, err := s.NotExceeded(units.Flow(c.gpm) * gpm); err != nil || math.Abs(p-c.want) > 1e-14 {
			t.Errorf("not above %v gpm: %v, want %v, %v", c.gpm, p, c.want, err)
		}
	}
	// Given that it runs, a fixture alone is within its own flow for certain.
	one, err := simultaneous.New([]simultaneous.Group{{1, 0.01, 3 * gpm}}, gpm/100)
	if err != nil {
		t.Fatal(err)
	}
	if q, err := one.QuantileInUse(0.5); err != nil || q.Steps != 300 || !proof.Near(q.Probability, 1, 1e-12) {
		t.Errorf("one fixture in use: %+v, %v", q, err)
	}
	// Two of them: one alone 2 (0.1)(0.9) = 0.18 of 0.19.
	two, err := simultaneous.New([]simultaneous.Group{{2, 0.1, 3 * gpm}}, gpm/100)
	if err != nil {
		t.Fatal(err)
	}
	if q, err := two.QuantileInUse(0.5); err != nil || q.Steps != 300 || !proof.Near(q.Probability, 18./19, 1e-12) {
		t.Errorf("two fixtures in use: %+v, %v", q, err)
	}
	for _, c := range []float64{0, -0.1, 1.1, math.NaN()} {
		if _, err := s.Quantile(c); !errors.Is(err, units.ErrRange) {
			t.Errorf("confidence %v: %v", c, err)
		}
		if _, err := s.QuantileInUse(c); !errors.Is(err, units.ErrRange) {
			t.Errorf("confidence %v in use: %v", c, err)
		}
	}
	if _, err := s.NotExceeded(units.Flow(math.NaN())); !errors.Is(err, units.ErrRange) {
		t.Errorf("got %v", err)
	}
	if _, err := simultaneous.HunterNumber(nil); !errors.Is(err, units.ErrRange) {
		t.Errorf("got %v", err)
	}
}

// Whatever goes in, a quantile is one by definition.
func FuzzFixturesInUse(f *testing.F) {
	f.Add(100, 0.03, 0.99)
	f.Add(5000, 0.998575, 0.0005)
	f.Add(1_000_000_000, 0.5, 0.999999)
	f.Add(-3, math.NaN(), 2.0)
	f.Fuzz(func(t *testing.T, n int, p, c float64) {
		m, err := simultaneous.FixturesInUse(n, p, c)
		if err != nil {
			if !errors.Is(err, units.ErrRange) || m != 0 {
				t.Fatalf("%d with %v", m, err)
			}
			return
		}
		if m < 0 || m > n {
			t.Fatalf("%d of %d in use", m, n)
		}
		// The oracle's own error grows with the count and near the ends.
		if n > 100_000 || p < 1e-9 || p > 1-1e-9 || c < 1e-6 || c > 1-1e-6 {
			return
		}
		d := distuv.Binomial{N: float64(n), P: p}
		if d.CDF(float64(m)) < c-1e-9 || m > 0 && d.CDF(float64(m-1)) > c+1e-9 {
			t.Errorf("n %d p %g at %g: %d, cumulative %.12g and %.12g under it", n, p, c, m, d.CDF(float64(m)),
				d.CDF(float64(m-1)))
		}
	})
}

var sink float64
