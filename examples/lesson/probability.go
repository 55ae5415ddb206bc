package lesson

import (
	"fmt"
	"math"
	"strings"

	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/units"
)

func solveInUse(p *problem) {
	n, chance, confidence := countOf(p.fields, "count", 1, maxCount), p.number("probability", probability),
		p.number("confidence", fraction)
	m, err := simultaneous.FixturesInUse(n, chance, confidence)
	if p.unanswered(err) {
		return
	}
	p.add("in_use", plain(float64(m)))
	p.formula("in use = smallest m with sum over k = 0..m of C(n,k) p^k (1-p)^(n-k) at least the confidence")
	p.equation("mean in use", plain(float64(n)*chance), "n p", "%d x %s", n, short(chance))
	p.equation("standard deviation", plain(math.Sqrt(float64(n)*chance*(1-chance))), "sqrt(n p (1 - p))",
		"sqrt(%d x %s x (1 - %s))",
		n, short(chance), short(chance))
	p.results()
	p.source("binomial law; R. B. Hunter, National Bureau of Standards BMS 65 (1940)")
}

func solveFlowProbability(p *problem) {
	duration := read[units.Duration](p, p.fields, "duration", positive)
	interval := read[units.Duration](p, p.fields, "interval", positive)
	x, err := simultaneous.UseProbability(duration, interval)
	if p.unanswered(err) {
		return
	}
	p.add("probability", plain(x))
	p.equation("probability", plain(x), "duration / interval", "%s / %s", seconds(duration), seconds(interval))
	p.source("R. B. Hunter, National Bureau of Standards BMS 65 (1940)")
}

func solveDemandExact(p *problem) {
	confidence := p.number("confidence", fraction)
	given := p.fields.Bool("given_use")
	var groups []simultaneous.Group
	unit := ""
	var step units.Flow
	for f := range p.each("groups", "group") {
		g := simultaneous.Group{Count: countOf(f, "count", 1, maxCount), Flow: read[units.Flow](p, f, "flow", positive),
			Probability: numberOf(f, "probability", probability)}
		if u := unitOf(f.Text("flow")); g.Flow > 0 {
			if unit == "" {
				unit = u
				if err := step.UnmarshalText([]byte("0.01 " + u)); err != nil {
					f.Fault("flow", err)
				}
			} else if u != unit {
				f.Faultf("flow", "in %s where the first group is in %s: give all flows in one unit", u, unit)
			}
		}
		groups = append(groups, g)
	}
	if !p.ready() {
		return
	}
	if work := convolutionWork(groups, step); work > maxConvolution {
		p.fields.Faultf("groups", "about %.0g sums to add up, at most %.0g: give fewer groups, or flows with fewer "+
			"digits", work, float64(maxConvolution))
		return
	}
	s, err := simultaneous.New(groups, step)
	if p.failAt("groups", err) {
		return
	}
	q, err := s.Quantile(confidence)
	if given {
		q, err = s.QuantileInUse(confidence)
	}
	if p.failAt("groups", err) {
		return
	}
	p.add("flow", p.flowValue(q.Flow))
	p.source("binomial law within a group, convolution between groups")
	if !p.working {
		return
	}
	p.formula("smallest total flow whose cumulative probability reaches the confidence; groups convolved on steps " +
		"of 0.01 " + unit)
	for _, g := range groups {
		p.step("%d fixtures of %s, each in use with probability %s", g.Count, p.flowValue(g.Flow), short(g.Probability))
	}
	var sum []string
	for _, g := range groups {
		sum = append(sum, fmt.Sprintf("%d x %s x %v", g.Count, short(g.Probability), p.flowValue(g.Flow)))
	}
	p.equation("mean", p.flowValue(s.Mean()), "sum of n p q", "%s", strings.Join(sum, " + "))
	p.step("mean %s, standard deviation %s, all together %s", p.flowValue(s.Mean()), p.flowValue(s.StandardDeviation()),
		p.flowValue(s.Greatest()))
	p.step("probability of not more than %s: %s", p.flowValue(q.Flow), short(q.Probability))
	p.results()
}

// unitOf returns the unit at the end of a quantity's text.
func unitOf(s string) string {
	return strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(s), "0123456789.+-/ eE"))
}

// maxConvolution bounds the work of one line, to a few seconds.
const maxConvolution = 2e9

// convolutionWork estimates how many products the exact distribution takes: for
// each group, the likely totals so far times the likely numbers of it in use.
func convolutionWork(groups []simultaneous.Group, step units.Flow) float64 {
	// Outside ten standard deviations nothing is left of a binomial law but crumbs.
	const deviations = 20
	var work, variance, totals float64
	for _, g := range groups {
		n, p, flow := float64(g.Count), g.Probability, float64(g.Flow/step)
		v := n * p * (1 - p)
		used := min(n, deviations*math.Sqrt(v)) + 1
		work += (min(totals, deviations*math.Sqrt(variance)) + 1) * used
		variance += v * flow * flow
		totals += n * flow
	}
	return work
}
