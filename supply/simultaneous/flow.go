package simultaneous

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
)

// A Group is a number of like fixtures, each of which draws Flow with the
// given probability at a moment of the peak, independently of the others.
type Group struct {
	Count       int        `json:"count"`
	Probability float64    `json:"probability"`
	Flow        units.Flow `json:"flow"`
}

// A Flow is the exact distribution of the total flow of groups of
// fixtures, on a lattice of whole steps of flow. It is immutable and safe for
// concurrent use.
type Flow struct {
	step units.Flow
	unit int64     // steps from one mass to the next: what the flows have in common
	low  int64     // units at mass[0]
	mass []float64 // probability of each total
	most int64     // greatest possible total, steps
	some float64   // probability that anything is in use
	mean float64   // m3/s
	sd   float64   // standard deviation, m3/s
}

// A Quantile is a total flow that is not exceeded with a given confidence.
type Quantile struct {
	Flow        units.Flow `json:"flow"`
	Steps       int64      `json:"steps"`       // Flow in steps of the lattice: exact
	Probability float64    `json:"probability"` // that this flow is not exceeded, at least the confidence asked for
}

const (
	// maxLattice bounds the totals that are not as good as impossible.
	maxLattice = 1 << 24
	// maxWork bounds the products of a convolution: about two seconds of work.
	maxWork = 1 << 31
	// maxTotal bounds the sum of all flows, in steps.
	maxTotal = 1 << 53
	// trimmed is the probability left out at either end of a convolution.
	trimmed = 1e-21
)

// New works out the distribution of the total flow of groups.
// step is the unit of the lattice, for example a hundredth of a gallon a minute;
// every flow must be a whole number of steps, to a millionth of one. Totals
// at either end that together are less likely than 1e-19 are left out; nothing
// else is approximated.
//
// All faults of all groups are reported together: counts 1 to 1e9, probabilities
// 0 to 1, flows more than 0. Groups that would spread over more than 16 million
// different totals, or take more than two thousand million products, are refused.
//
// Source: the binomial law within a group ([FixturesInUse]), and convolution
// between groups, which are independent.
func New(groups []Group, step units.Flow) (*Flow, error) {
	return NewContext(context.Background(), groups, step)
}

// NewContext is [New] that stops once the context is done, with its error and how far it was.
func NewContext(ctx context.Context, groups []Group, step units.Flow) (*Flow, error) {
	w := patience.NewWork(ctx, "flow")
	steps, most, err := latticeSteps(groups, step)
	if err != nil {
		return nil, err
	}
	s := &Flow{step: step, mass: []float64{1}, most: most}
	for _, k := range steps {
		s.unit = gcd(s.unit, k)
	}
	mean, variance, none := moments(groups)
	s.mean, s.sd, s.some = mean, math.Sqrt(variance), -math.Expm1(none)

	var spare, binomial []float64
	work := int64(0)
	// Small steps first: the totals then stay few the longest.
	order := make([]int, len(groups))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(steps[a], steps[b]) })
	for _, i := range order {
		g := groups[i]
		var first int
		binomial, first = appendBinomial(binomial[:0], g.Count, g.Probability)
		stride := int(steps[i] / s.unit)
		if span := float64(len(s.mass)) + float64(float64(stride)*float64(len(binomial)-1)); span > maxLattice {
			return nil, fmt.Errorf("group %d: the totals spread over %.3g steps, more than %d: %w", i, span, maxLattice,
				units.ErrRange)
		}
		if work += int64(len(s.mass)) * int64(len(binomial)); work > maxWork {
			return nil, fmt.Errorf("group %d: the groups make more than %d combinations: %w", i, int64(maxWork), units.ErrRange)
		}
		out := convolve(w, spare, s.mass, binomial, stride)
		if w.Err() != nil {
			return nil, w.Err()
		}
		spare = s.mass[:0]
		s.mass = out
		s.low += int64(first) * int64(stride)
		s.trim()
	}
	return s, nil
}

// convolve spreads mass by the terms of a binomial that are stride apart, into
// the storage of into. Four terms go in one pass, so that a total is read and written
// once for four products.
func convolve(w *patience.Work, into, mass, binomial []float64, stride int) []float64 {
	n := len(mass) + stride*(len(binomial)-1)
	if cap(into) < n {
		// Room for the groups to come, so that few allocate.
		into = make([]float64, n, max(n, min(2*n, maxLattice)))
	} else {
		into = into[:n]
		clear(into)
	}
	k := 0
	if span := 3 * stride; span < len(mass) {
		for ; k+4 <= len(binomial) && w.GoesBetween(k, len(binomial), "numbers of a group in use"); k += 4 {
			spread4(into[k*stride:][:len(mass)+span], mass, (*[4]float64)(binomial[k:]), stride)
		}
	}
	for ; k < len(binomial) && w.GoesBetween(k, len(binomial), "numbers of a group in use"); k++ {
		spread(into[k*stride:], mass, binomial[k])
	}
	return into
}

// spread adds w times mass to to.
func spread(to, mass []float64, w float64) {
	to = to[:len(mass)]
	for j, v := range mass {
		to[j] += float64(w * v)
	}
}

// spread4 adds four terms that are stride apart, the first of them from the start of
// to. The three strides at either end, where not all four meet, go one by one.
func spread4(to, mass []float64, w *[4]float64, stride int) {
	span := 3 * stride
	for k, x := range w {
		spread(to[k*stride:], mass[:span-k*stride], x)
		spread(to[len(mass):], mass[len(mass)-k*stride:], x)
	}
	inner := to[span:len(mass)]
	n := len(inner)
	m0, m1, m2, m3 := mass[span:][:n], mass[2*stride:][:n], mass[stride:][:n], mass[:n]
	w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
	for j, v := range inner {
		inner[j] = v + (float64(w0*m0[j]) + float64(w1*m1[j])) + (float64(w2*m2[j]) + float64(w3*m3[j]))
	}
}

// trim drops the ends that are as good as impossible. All masses come to 1, so that
// some are left.
func (s *Flow) trim() {
	i, below := 0, 0.0
	for below+s.mass[i] < trimmed {
		below += s.mass[i]
		i++
	}
	j, above := len(s.mass), 0.0
	for above+s.mass[j-1] < trimmed {
		above += s.mass[j-1]
		j--
	}
	s.mass, s.low = s.mass[i:j], s.low+int64(i)
}

// Quantile returns the smallest total whose cumulative probability reaches the
// confidence, which is more than 0 and at most 1; 1 gives the greatest possible
// total. Short of the confidence by less than 1e-13 counts as reaching it.
func (s *Flow) Quantile(confidence float64) (Quantile, error) {
	if err := argument.Confidence.Check("confidence", confidence); err != nil {
		return Quantile{}, err
	}
	if s == nil || len(s.mass) == 0 {
		return Quantile{}, argument.NoSolution("flow: New makes one")
	}
	return s.quantile(confidence, false), nil
}

// QuantileInUse is [Flow.Quantile] given that at least one fixture is
// in use. In a small system, where mostly nothing flows, this is the demand that
// matters. It can fall when a fixture is added; the unconditioned one cannot.
//
// Source: S. Buchberger, T. Omaghomi, T. Wolfe, J. Hewitt, D. Cole, Peak Water
// Demand Study (2017).
func (s *Flow) QuantileInUse(confidence float64) (Quantile, error) {
	if err := argument.Confidence.Check("confidence", confidence); err != nil {
		return Quantile{}, err
	}
	if s == nil || s.some == 0 {
		return Quantile{}, argument.NoSolution("demand in use: nothing is ever in use")
	}
	return s.quantile(confidence, true), nil
}

func (s *Flow) quantile(confidence float64, used bool) Quantile {
	if confidence == 1 {
		return Quantile{units.Flow(s.most) * s.step, s.most, 1}
	}
	whole, from, total := 1.0, 0, kahan{}
	if used {
		whole = s.some
		if s.low == 0 {
			from = 1
		}
	}
	want := (confidence - shortfall(confidence)) * whole
	at := from
	for i := from; i < len(s.mass); i++ {
		at = i
		if total.add(s.mass[i]); total.sum >= want {
			break
		}
	}
	steps := (s.low + int64(at)) * s.unit
	return Quantile{units.Flow(steps) * s.step, steps, min(total.sum/whole, 1)}
}

// NotExceeded returns the probability that the total flow is at most q.
func (s *Flow) NotExceeded(q units.Flow) (float64, error) {
	if s == nil || len(s.mass) == 0 {
		return 0, argument.NoSolution("flow: New makes one")
	}
	if err := argument.CheckFinite("flow", float64(q), "m3/s"); err != nil {
		return 0, err
	}
	// A total that differs from q by rounding only is not above it.
	most := math.Floor(float64(q/s.step)/float64(s.unit) + 1e-9)
	total := kahan{}
	for i := range s.mass {
		if float64(s.low)+float64(i) > most {
			break
		}
		total.add(s.mass[i])
	}
	return min(total.sum, 1), nil
}

// InUse returns the probability that at least one fixture is in use.
func (s *Flow) InUse() float64 {
	if s == nil {
		return 0
	}
	return s.some
}

// Mean returns the mean of the total flow.
func (s *Flow) Mean() units.Flow {
	if s == nil {
		return 0
	}
	return units.Flow(s.mean)
}

// StandardDeviation returns the standard deviation of the total flow.
func (s *Flow) StandardDeviation() units.Flow {
	if s == nil {
		return 0
	}
	return units.Flow(s.sd)
}

// Greatest returns the flow of all fixtures that can be in use together.
func (s *Flow) Greatest() units.Flow {
	if s == nil {
		return 0
	}
	return units.Flow(s.most) * s.step
}

// latticeSteps checks groups and returns their flows in steps, and the sum of all.
func latticeSteps(groups []Group, step units.Flow) (steps []int64, most int64, err error) {
	if err := argument.PositiveFlow.Check("step", float64(step)); err != nil {
		return nil, 0, err
	}
	if len(groups) == 0 {
		return nil, 0, fmt.Errorf("groups: there are none: %w", units.ErrRange)
	}
	steps = make([]int64, len(groups))
	total := 0.0
	var list []error
	for i, g := range groups {
		if err := g.check(); err != nil {
			list = append(list, fmt.Errorf("group %d: %w", i, err))
			continue
		}
		x := float64(g.Flow / step)
		k := math.Round(x)
		if k < 1 || k > maxTotal || math.Abs(x-k) > 1e-6 {
			list = append(list, fmt.Errorf("group %d: flow: %.9g steps is not a whole number of them, at least 1: %w", i, x,
				units.ErrRange))
			continue
		}
		steps[i] = int64(k)
		total += float64(k * float64(g.Count))
		if g.Probability > 0 && total <= maxTotal {
			most += steps[i] * int64(g.Count)
		}
	}
	if total > maxTotal {
		list = append(list, fmt.Errorf("groups: all flows together are %.3g steps, more than %.3g: %w", total,
			float64(maxTotal), units.ErrRange))
	}
	return steps, most, errors.Join(list...)
}

func (g Group) check() error {
	return errors.Join(checkGroup(g.Count, g.Probability, 1), argument.PositiveFlow.Check("flow", float64(g.Flow)))
}

// moments returns the mean and the variance of the total flow, and the logarithm
// of the probability that nothing flows.
func moments(groups []Group) (mean, variance, none float64) {
	for _, g := range groups {
		n, p, q := float64(g.Count), g.Probability, float64(g.Flow)
		mean += float64(n * p * q)
		variance += float64(n * p * (1 - p) * q * q)
		none += float64(n * math.Log1p(-p))
	}
	return mean, variance, none
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// kahan is a sum that keeps the digits an addition drops.
type kahan struct{ sum, lost float64 }

func (k *kahan) add(v float64) {
	y := v - k.lost
	t := k.sum + y
	k.lost = (t - k.sum) - y
	k.sum = t
}
