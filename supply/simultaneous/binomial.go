package simultaneous

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
)

// maxCount is the greatest number of fixtures in one group.
const maxCount = 1_000_000_000

// FixturesInUse returns the smallest m such that, of count fixtures that are each
// in use with the given probability at a moment, independently, m or fewer are
// in use with at least the given confidence: the quantile of the binomial
// distribution. Hunter's rule takes a confidence of 0.99.
//
// count is 1 to 1e9, probability 0 to 1, confidence more than 0 and at most 1.
// Short of the confidence by less than 1e-13 counts as reaching it, so that
// decimal inputs that tie are a tie.
//
// It stays right where the chance that none is in use, (1-p)^n, is too small for
// a float64: there the sum starts at the most likely number.
//
// Source: R. B. Hunter, Methods of Estimating Loads in Plumbing Systems, National
// Bureau of Standards BMS 65 (1940); the distribution is J. Bernoulli's (1713).
func FixturesInUse(count int, probability, confidence float64) (int, error) {
	if err := checkGroup(count, probability, confidence); err != nil {
		return 0, err
	}
	return binomialQuantile(count, probability, confidence), nil
}

func checkGroup(count int, probability, confidence float64) error {
	return errors.Join(checkCount(count), argument.Probability.Check("probability", probability),
		argument.Confidence.Check("confidence", confidence))
}

func checkCount(count int) error {
	s := argument.Between(1, maxCount, "")
	return s.Check("count", float64(count))
}

// shortfall is how far under the confidence a cumulative probability may lie
// through rounding and still reach it. Near certainty it shrinks with what is left.
func shortfall(confidence float64) float64 {
	return min(1e-13, 1e-3*(1-confidence))
}

func binomialQuantile(n int, p, confidence float64) int {
	if p == 0 {
		return 0
	}
	if p == 1 || confidence == 1 {
		return n
	}
	want := confidence - shortfall(confidence)
	term := noneInUse(n, p)
	if term < 1e-300 {
		return binomialFromMode(n, p, want)
	}
	total := term
	ratio := p / (1 - p)
	m := 0
	for ; total < want && m < n; m++ {
		term = float64(term * (ratio * float64(n-m) / float64(m+1)))
		total += term
	}
	return m
}

// noneInUse returns (1-p)^n. For few fixtures the power is quicker; for many, the
// rounding of 1-p would show.
func noneInUse(n int, p float64) float64 {
	if n <= 200 {
		return math.Pow(1-p, float64(n))
	}
	return math.Exp(float64(n) * math.Log1p(-p))
}

// negligible is the weight, relative to the most likely term, below which terms
// are left out. A float64 confidence cannot tell.
const negligible = 1e-22

// binomialFromMode sums weights relative to the term at the mean, which is the most
// likely or next to it.
func binomialFromMode(n int, p, want float64) int {
	mode := int(float64(n) * p)
	ratio := p / (1 - p)
	w, low, below := 1.0, mode, 0.0
	for low > 0 && w > negligible {
		w = float64(w * (float64(low) / (float64(n-low+1) * ratio)))
		low--
		below += w
	}
	first := w
	total := below + 1
	w = 1
	for k := mode; k < n && w > negligible; k++ {
		w = float64(w * (ratio * float64(n-k) / float64(k+1)))
		total += w
	}
	want *= total
	// Up again from the low end, so that only like-sized positives are added.
	w, below = first, first
	m := low
	for ; below < want && m < n; m++ {
		w = float64(w * (ratio * float64(n-m) / float64(m+1)))
		below += w
	}
	return m
}

// appendBinomial appends the probabilities of low, low+1, ... in use to b and
// returns low. Terms under negligible of the greatest are left out.
func appendBinomial(b []float64, n int, p float64) ([]float64, int) {
	switch p {
	case 0:
		return append(b, 1), 0
	case 1:
		return append(b, 1), n
	}
	mode := int(float64(n) * p) // or next to it
	ratio := p / (1 - p)
	low, w := mode, 1.0
	for low > 0 && w > negligible {
		w *= float64(low) / (float64(n-low+1) * ratio)
		low--
	}
	from, total := len(b), 0.0
	// The terms below the mode are the same recurrence, written from the mode down.
	w = 1
	for range mode - low + 1 {
		b = append(b, 0)
	}
	for k := mode; ; k-- {
		b[from+k-low] = w
		total += w
		if k == low {
			break
		}
		w = float64(w * (float64(k) / (float64(n-k+1) * ratio)))
	}
	w = 1
	for k := mode; k < n && w > negligible; k++ {
		w = float64(w * (ratio * float64(n-k) / float64(k+1)))
		b = append(b, w)
		total += w
	}
	for i := from; i < len(b); i++ {
		b[i] /= total
	}
	return b, low
}
