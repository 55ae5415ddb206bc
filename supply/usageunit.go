package supply

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/tables"
)

// A usage unit is a room of one household, such as its bathroom, whose outlets one
// person uses. A code that adds up the flows of outlets takes only the greatest few
// of each unit to run at once.

// unitDraw is what one fixture of a usage unit draws on a line, each of count.
type unitDraw struct {
	fixture int32
	count   int32
	each    FixtureUnits
}

// unitDraws are the draws on a line by usage unit, and what they come to if each
// unit runs only its greatest few.
type unitDraws struct {
	units map[int32][]unitDraw
	most  FixtureUnits
}

// mostAtOnce returns the sum of the greatest n draws of a usage unit.
func mostAtOnce(draws []unitDraw, n int) FixtureUnits {
	sorted := slices.Clone(draws)
	slices.SortFunc(sorted, func(a, b unitDraw) int { return cmp.Compare(b.each, a.each) })
	var sum FixtureUnits
	for _, d := range sorted {
		k := min(int(d.count), n)
		sum += FixtureUnits(k) * d.each
		n -= k
	}
	return sum
}

// usageUnits works out, for every run, what its outlets draw at most if each usage
// unit runs only its greatest few.
type usageUnits struct {
	atOnce int
	cite   tables.Citation // of atOnce
	most   []FixtureUnits  // by point
}

// usageUnits returns nil where no fixture states a usage unit, or the code has no
// rule about them.
func (l *Layout) usageUnits(c *Code, items []item) *usageUnits {
	rule, ok := c.Rule("usage-unit-outlets")
	n, isNumber := rule.number()
	if !ok || !isNumber || n < 1 || !slices.ContainsFunc(l.data.Fixtures, func(f LayoutFixture) bool { return f.UsageUnit != "" }) {
		return nil
	}
	u := &usageUnits{atOnce: int(n), cite: rule.Citation, most: make([]FixtureUnits, l.Len())}
	units := map[string]int32{}
	held := make([]unitDraws, l.Len())
	alone := make([]FixtureUnits, l.Len()) // of fixtures in no unit
	for i := range items {
		name := l.data.Fixtures[i].UsageUnit
		if _, known := units[name]; !known && name != "" {
			units[name] = int32(len(units))
		}
		for _, port := range [...]struct {
			at   int32
			each FixtureUnits
		}{{l.cold[i], items[i].Each.Cold}, {l.hot[i], items[i].Each.Hot}} {
			if port.at < 0 || port.each == 0 {
				continue
			}
			if name == "" {
				alone[port.at] += FixtureUnits(items[i].Count) * port.each
				continue
			}
			held[port.at].put(units[name], unitDraw{int32(i), int32(items[i].Count), port.each}, u.atOnce)
		}
	}
	for k := len(l.order) - 1; k >= 0; k-- {
		i := l.order[k]
		u.most[i] = alone[i] + held[i].most
		p := l.parent[i]
		if p < 0 {
			continue
		}
		alone[p] += alone[i]
		// The lesser of the two goes into the greater.
		into, from := &held[p], &held[i]
		if len(into.units) < len(from.units) {
			*into, *from = *from, *into
		}
		for unit, draws := range from.units {
			for _, d := range draws {
				into.put(unit, d, u.atOnce)
			}
		}
		*from = unitDraws{}
	}
	return u
}

// put adds a draw; a fixture that is there already draws more, by its other port.
func (u *unitDraws) put(unit int32, d unitDraw, atOnce int) {
	if u.units == nil {
		u.units = map[int32][]unitDraw{}
	}
	list := u.units[unit]
	u.most -= mostAtOnce(list, atOnce)
	i := slices.IndexFunc(list, func(x unitDraw) bool { return x.fixture == d.fixture })
	if i >= 0 {
		list[i].each += d.each
	} else {
		list = append(list, d)
		u.units[unit] = list
	}
	u.most += mostAtOnce(list, atOnce)
}
