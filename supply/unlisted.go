package supply

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/units"
)

// What the tables of a code do not answer is no reason to answer nothing: the place is
// worked out by the nearest that is known, and [Analysis.Check] asks there.

// answersWithout puts what is known in place of a load that the code does not give:
// where it tells apart what the layout leaves open, the greatest of its rows; where it
// lists a fixture or this kind of it nowhere, the fixture's own flow. It reports
// whether there is such an answer: a word that no code on the shelf knows has none.
func (c *Code) answersWithout(f *Fixture, it *item, err error) bool {
	it.loadErr = err
	it.ladder = -1
	if c.fixtures == nil {
		return false
	}
	if errors.Is(err, ErrNotStated) {
		rows, err := candidates(c.keys, f, c.id)
		if err != nil {
			return false
		}
		greatest := -1.0
		for _, row := range rows {
			e, err := c.entryAt(f, row)
			if v := max(e.Each.Total, e.Each.Cold, e.Each.Hot).Units(); err == nil && v > greatest {
				greatest, it.FixtureLoad = v, e
			}
		}
		return greatest >= 0
	}
	it.own = true
	return errors.Is(err, ErrNotInCode) && c.knows(f.Kind)
}

// statedLoad is the load of one fixture as the layout states it, in the unit of the code;
// with an error if the code counts in another, and empty if the layout states none.
func (l *Layout) statedLoad(i int, c *Code) (it item) {
	f := &l.data.Fixtures[i]
	if f.Load == "" {
		return it
	}
	load, unit, err := parseLoad(f.Load)
	if err == nil && unit != c.unit {
		err = fmt.Errorf("%w: the layout states %s, and the code counts %s", ErrNotInCode, f.Load, c.unit)
	}
	if err != nil {
		it.loadErr = err
		return it
	}
	it.ladder, it.ports = -1, "both"
	it.Each = Load{Cold: load, Hot: load, Total: load}
	if c.share > 0 {
		it.Each.Cold, it.Each.Hot = load.share(c.share), load.share(c.share)
	}
	switch {
	case l.hot[i] < 0:
		it.Each.Cold, it.Each.Hot, it.ports = load, 0, "cold"
	case l.cold[i] < 0:
		it.Each.Cold, it.Each.Hot, it.ports = 0, load, "hot"
	}
	return it
}

// parseLoad reads a load with its unit, wsfu or lu, above zero.
func parseLoad(s string) (load FixtureUnits, unit string, err error) {
	load, err = ParseFixtureUnits(s)
	_, unit, _ = strings.Cut(strings.TrimSpace(s), " ")
	if unit = strings.TrimSpace(unit); err == nil && (load <= 0 || unit != "wsfu" && unit != "lu") {
		err = fmt.Errorf("%w: %q: a load has its unit, such as 3 wsfu or 2 lu", ErrFixtureUnits, fixture.Shorten(s))
	}
	return load, unit, err
}

// knows reports whether a fixture is a word of this code or of another on the shelf.
func (c *Code) knows(kind string) bool {
	has := func(c *Code) bool {
		lists := [][]fixtureKey{c.keys}
		if c.outlets != nil {
			lists = append(lists, c.outlets.keys)
		}
		if c.flows != nil {
			lists = append(lists, c.flows.keys)
		}
		if c.sizes != nil {
			lists = append(lists, c.sizes.keys)
		}
		return slices.ContainsFunc(lists, func(keys []fixtureKey) bool {
			return slices.ContainsFunc(keys, func(k fixtureKey) bool { return k.kind == kind && kind != anyFixture })
		})
	}
	if has(c) {
		return true
	}
	ids, err := codeIDs(c.pipes.shelf)
	return err == nil && slices.ContainsFunc(ids, func(id string) bool {
		other, err := LoadCode(c.pipes.shelf, id)
		return err == nil && has(other)
	})
}

// carriedOn is the demand of a load over the table or in a gap of it, by the straight
// line through the two nearest rows that hold a figure.
func (v *demandCurve) carriedOn(load FixtureUnits) Demand {
	lo, hi := -1, -1
	for i := range v.loads {
		switch {
		case math.IsNaN(v.flows[i]):
		case hi < 0 || v.loads[hi] < load:
			lo, hi = hi, i
		}
	}
	if lo < 0 { // one figure alone
		lo = hi
	}
	d := Demand{Load: load, Flow: units.Flow(v.flows[hi]), Citation: v.rows.Cite(v.index[lo]),
		Next: v.rows.Cite(v.index[hi])}
	if lo != hi {
		share := float64(load-v.loads[lo]) / float64(v.loads[hi]-v.loads[lo])
		d.Flow = units.Flow(v.flows[lo] + float64(share*(v.flows[hi]-v.flows[lo])))
	}
	return d
}
