package supply

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/tables"
)

// A usage unit is a room of one household, such as its bathroom, whose outlets one
// person uses. A code that adds up the flows of outlets takes only the greatest few
// of each unit to run at once, and may leave some out of the sum, as a shower beside
// a bath.

// leftOutRow says how many of a fixture in one usage unit the sum of flows counts.
type leftOutRow struct {
	Fixture string `table:"fixture"`
	Beside  string `table:"beside"` // only beside this one; empty: always
	Counted int    `table:"counted"`
}

// unitDraw is what one fixture of a usage unit draws on a line, each of count.
type unitDraw struct {
	fixture int32
	count   int32
	each    FixtureUnits
}

// unitDraws are the draws on a line by usage unit, what the sum of flows counts of
// them, and what they come to if each unit runs only its greatest few.
type unitDraws struct {
	units     map[int32][]unitDraw
	sum, most FixtureUnits
}

// usageUnits works out, for every run, what the sum of flows counts of its outlets,
// and what they draw at most if each usage unit runs only its greatest few.
type usageUnits struct {
	l      *Layout
	left   *tables.Rows[leftOutRow]
	atOnce int
	cite   tables.Citation // of atOnce
	sum    []FixtureUnits  // by point
	most   []FixtureUnits  // by point
}

// usageUnits returns nil where no fixture states a usage unit, or the code has no
// rule about them.
func (l *Layout) usageUnits(c *Code, items []item) *usageUnits {
	rule, ok := c.Rule("usage-unit-outlets")
	n, isNumber := rule.number()
	if !ok || !isNumber || n < 1 || !slices.ContainsFunc(l.data.Fixtures,
		func(f LayoutFixture) bool { return f.UsageUnit != "" }) {
		return nil
	}
	u := &usageUnits{l: l, left: c.leftOut, atOnce: int(n), cite: rule.Citation, sum: make([]FixtureUnits, l.Len()),
		most: make([]FixtureUnits, l.Len())}
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
			u.put(&held[port.at], units[name], unitDraw{int32(i), int32(items[i].Count), port.each})
		}
	}
	for k := len(l.order) - 1; k >= 0; k-- {
		i := l.order[k]
		u.sum[i], u.most[i] = alone[i]+held[i].sum, alone[i]+held[i].most
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
				u.put(into, unit, d)
			}
		}
		*from = unitDraws{}
	}
	return u
}

// put adds a draw; a fixture that is there already draws more, by its other port.
func (u *usageUnits) put(on *unitDraws, unit int32, d unitDraw) {
	if on.units == nil {
		on.units = map[int32][]unitDraw{}
	}
	list := on.units[unit]
	sum, most := u.of(list)
	on.sum, on.most = on.sum-sum, on.most-most
	i := slices.IndexFunc(list, func(x unitDraw) bool { return x.fixture == d.fixture })
	if i >= 0 {
		list[i].each += d.each
	} else {
		list = append(list, d)
		on.units[unit] = list
	}
	sum, most = u.of(list)
	on.sum, on.most = on.sum+sum, on.most+most
}

// of returns the sum of what is counted of the draws of one usage unit, and that of the
// greatest few. Of like fixtures the greatest count.
func (u *usageUnits) of(draws []unitDraw) (sum, most FixtureUnits) {
	sorted := slices.Clone(draws)
	slices.SortFunc(sorted, func(a, b unitDraw) int { return cmp.Compare(b.each, a.each) })
	counted := u.counted(draws)
	left := u.atOnce
	for _, d := range sorted {
		n := int(d.count)
		kind := u.l.data.Fixtures[d.fixture].Kind
		if k, limited := counted[kind]; limited {
			n = min(n, k)
			counted[kind] -= n
		}
		sum += FixtureUnits(n) * d.each
		n = min(n, left)
		left -= n
		most += FixtureUnits(n) * d.each
	}
	return sum, most
}

// counted returns how many of a fixture count, for those that are not all counted.
func (u *usageUnits) counted(draws []unitDraw) map[string]int {
	out := map[string]int{}
	if u.left == nil {
		return out
	}
	has := func(kind string) bool {
		return slices.ContainsFunc(draws, func(d unitDraw) bool { return u.l.data.Fixtures[d.fixture].Kind == kind })
	}
	for i := range u.left.Len() {
		if r := u.left.At(i); r.Beside == "" || has(r.Beside) {
			out[r.Fixture] = r.Counted
		}
	}
	return out
}
