package supply

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A HunterFixture is a kind of fixture as Hunter took it in 1940: what it draws, the
// share of the busiest time in which it draws, and the weight he gave it.
type HunterFixture struct {
	Fixture     string
	Flow        units.Flow
	Duration    units.Duration // of one use
	Interval    units.Duration // between uses at the busiest time
	Probability float64        // Duration over Interval
	Weight      float64        // fixture units
	Citations   []tables.Citation
}

type hunterRow struct {
	Fixture   string `table:"fixture"`
	Parameter string `table:"parameter"`
	Value     string `table:"value"`
	Unit      string `table:"unit"`
}

// HunterFixtures returns Hunter's parameters, from the table hunter/supply-parameters.
//
// Source: R. B. Hunter, Methods of Estimating Loads in Plumbing Systems, National
// Bureau of Standards BMS 65 (1940).
func HunterFixtures(shelf *tables.Shelf) ([]HunterFixture, error) {
	const table = "hunter/supply-parameters"
	rows, err := tables.Load[hunterRow](shelf, table)
	if err != nil {
		return nil, fmt.Errorf("parameters of Hunter: %w", err)
	}
	var list []HunterFixture
	for i := range rows.Len() {
		r := rows.At(i)
		if len(list) == 0 || list[len(list)-1].Fixture != r.Fixture {
			list = append(list, HunterFixture{Fixture: r.Fixture})
		}
		f := &list[len(list)-1]
		text := []byte(r.Value + " " + r.Unit)
		switch r.Parameter {
		case "flow":
			err = f.Flow.UnmarshalText(text)
		case "duration":
			err = f.Duration.UnmarshalText(text)
		case "interval":
			err = f.Interval.UnmarshalText(text)
		case "weight":
			var w FixtureUnits
			w, err = ParseFixtureUnits(r.Value)
			f.Weight = w.Units()
		default:
			err = fmt.Errorf("parameter %q is not known", r.Parameter)
		}
		if err != nil {
			return nil, fmt.Errorf("table %s: %s: %s: %w", table, r.Fixture, r.Parameter, err)
		}
		f.Citations = append(f.Citations, rows.Cite(i))
	}
	for i := range list {
		f := &list[i]
		if !(f.Flow > 0 && f.Duration > 0 && f.Interval >= f.Duration && f.Weight > 0) {
			return nil, fmt.Errorf("table %s: %s: a parameter is missing or not positive", table, f.Fixture)
		}
		f.Probability = float64(f.Duration / f.Interval)
	}
	return list, nil
}

// A FixtureUse is the probability and the flow of a fixture in a study of use.
type FixtureUse struct {
	Fixture     string
	Style       string
	Probability float64
	Flow        units.Flow
	Citation    tables.Citation
}

type useRow struct {
	Fixture     string     `table:"fixture"`
	Style       string     `table:"style"`
	Probability float64    `table:"probability"`
	Flow        units.Flow `table:"flow"`
}

// EfficientFixtures returns the probabilities of use and flows of today's
// efficient fixtures in dwellings, from the table peak-demand-2017/supply-parameters.
// They are for dwellings only.
func EfficientFixtures(shelf *tables.Shelf) ([]FixtureUse, error) {
	rows, err := tables.Load[useRow](shelf, "peak-demand-2017/supply-parameters")
	if err != nil {
		return nil, fmt.Errorf("efficient fixtures: %w", err)
	}
	var list []FixtureUse
	for i := range rows.Len() {
		r := rows.At(i)
		list = append(list, FixtureUse{r.Fixture, r.Style, r.Probability, r.Flow, rows.Cite(i)})
	}
	return list, nil
}

// HunterConfidence is the confidence of Hunter's rule: more fixtures than the
// design number may be in use one hundredth of the time.
const HunterConfidence = 0.99

// A DemandComparison sets what a code's table asks for a load beside what the
// probability of simultaneous use gives for the fixtures that make the load. Neither
// is derived from the other. Only the table is approved by the code, where the code
// adopts no other method.
type DemandComparison struct {
	Table  Demand
	Exact  simultaneous.Quantile // not exceeded with the confidence
	InUse  simultaneous.Quantile // the same, given that something runs
	Normal units.Flow            // Wistort's approximation to Exact
	// Over is how much more the table asks than Exact; negative if it asks less.
	Over units.Flow
	// Share is Table over Exact; 0 if Exact is 0.
	Share float64
}

// CompareDemand looks the load up in the code's table and works out the
// distribution of the groups beside it. load is what the code counts for the
// same fixtures; step is the lattice of [simultaneous.New]; the confidence is
// over 0 and under 1.
func (c *Code) CompareDemand(load FixtureUnits, system System, groups []simultaneous.Group, step units.Flow,
	confidence float64) (DemandComparison, error) {
	table, e1 := c.Demand(load, system)
	normal, e2 := simultaneous.NormalFlow(groups, confidence)
	if err := errors.Join(e1, e2); err != nil {
		return DemandComparison{}, err
	}
	s, err := simultaneous.New(groups, step)
	if err != nil {
		return DemandComparison{}, err
	}
	out := DemandComparison{Table: table, Normal: normal}
	if out.Exact, err = s.Quantile(confidence); err != nil {
		return DemandComparison{}, err
	}
	if s.InUse() > 0 {
		if out.InUse, err = s.QuantileInUse(confidence); err != nil {
			return DemandComparison{}, err
		}
	}
	out.Over = table.Flow - out.Exact.Flow
	if out.Exact.Flow > 0 {
		out.Share = float64(table.Flow / out.Exact.Flow)
	}
	return out, nil
}

// CompareHunter puts a load of nothing but f through the binomial law, with
// Hunter's parameters, beside the code's table: load over weight fixtures, the next
// whole number up.
func (c *Code) CompareHunter(load FixtureUnits, system System, f HunterFixture) (DemandComparison, error) {
	weight := FixtureUnits(f.Weight * float64(FixtureUnit))
	if weight <= 0 || !load.Valid() {
		return DemandComparison{}, fmt.Errorf("%w: load %v of fixtures of weight %v", ErrQuery, load, f.Weight)
	}
	n := int((load + weight - 1) / weight)
	return c.CompareDemand(load, system, []simultaneous.Group{{Count: n, Probability: f.Probability, Flow: f.Flow}},
		f.Flow, HunterConfidence)
}
