package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// wetUse is what one wet vent serves.
type wetUse struct {
	fixtures                   int
	closets, lavatories, baths int
	heaviest                   dwv.FixtureUnits // load of one fixture
	heaviestAt                 int32            // its node; an outlet stands for none
	upper                      int32            // the last of the points that drain in at its take-off
	uppers                     int              // how many there are
}

// wetVents judges each wet vent by how many bathrooms hang on it, and one that
// stands upright by the rules some codes have for those.
func (j *judge) wetVents() {
	use := j.wetUses()
	if use == nil {
		return
	}
	groups, groupsCite, hasGroups := j.number(ruleWetGroups, "count")
	for v := range use {
		if use[v].fixtures == 0 {
			continue
		}
		if hasGroups {
			j.wetGroups(&j.layout.Vents[v], &use[v], int(groups), groupsCite)
		}
		j.uprightWet(int32(v), &use[v])
	}
}

// wetUses counts what each wet vent serves, by vent; nil if there is none.
func (j *judge) wetUses() []wetUse {
	vents, g, t := j.layout.Vents, &j.tree.vents, j.tree
	any := false
	for v := range vents {
		any = any || vents[v].Kind == VentWet && g.from[v] >= 0 && g.thru[v] >= 0
	}
	if !any {
		return nil
	}
	use := make([]wetUse, len(vents))
	for i := int32(t.outlets); int(i) < t.len(); i++ {
		pt, v := t.point(i), j.routes.serving[i]
		if v < 0 || vents[v].Kind != VentWet || pt.Fixture == nil {
			continue
		}
		u, f := &use[v], pt.Fixture
		u.fixtures += f.Count
		switch f.Kind {
		case "water-closet":
			u.closets += f.Count
		case "lavatory":
			u.lavatories += f.Count
		case "bathtub", "shower":
			u.baths += f.Count
		}
		full, half := dwv.Bathrooms(f.Kind)
		u.closets += (full + half) * f.Count
		u.lavatories += (full + half) * f.Count
		u.baths += full * f.Count
		if k := j.sizing.fixture[i]; k >= 0 {
			if each := j.sizing.rated[k].Each; int(u.heaviestAt) < t.outlets || each > u.heaviest ||
				each == u.heaviest && pt.ID < j.id(u.heaviestAt) {
				u.heaviest, u.heaviestAt = each, i
			}
		}
		if j.routes.reached[i] == g.from[v] {
			u.upper = i
			u.uppers++
		}
	}
	return use
}

// wetGroups judges how many bathrooms drain through a wet vent: at least as many as
// there are fixtures of the kind of which each has one.
func (j *judge) wetGroups(x *Vent, u *wetUse, most int, cite tables.Citation) {
	n, what := u.closets, "water closets"
	if u.lavatories > n {
		n, what = u.lavatories, "lavatories"
	}
	if u.baths > n {
		n, what = u.baths, "baths and showers"
	}
	j.counts(on("wet-vent-groups", x.ID, cite), n, most, func() finding.Words {
		return finding.Words{What: what + " on wet vent " + x.ID + ", one to a bathroom",
			Fix: "Vent the fixtures of the other bathrooms apart."}
	})
}

// uprightWet judges a wet vent all of whose drain stands upright, under a code that
// has rules of its own for it.
func (j *judge) uprightWet(v int32, u *wetUse) {
	if !j.code.LimitsUprightWet() || !j.upright(v) {
		return
	}
	t, g, x := j.tree, &j.tree.vents, &j.layout.Vents[v]
	if most, cite, ok := j.length("wet-vent-vertical-length"); ok {
		way := units.Length(0)
		for i := g.from[v]; i != g.thru[v]; i = t.parent[i] {
			way += t.point(i).Run.Length
		}
		finding.AtMost(j.Judge, on("wet-vent-vertical-length", x.ID, cite), way, most,
			finding.Say("The length of the upright wet vent", "too long", "Vent the lower fixtures apart."))
	}
	if most, cite, ok := j.number("wet-vent-vertical-fixtures", "count"); ok {
		j.counts(on("wet-vent-vertical-fixtures", x.ID, cite), u.fixtures, int(most), func() finding.Words {
			return finding.Words{What: "fixtures on upright wet vent " + x.ID, Fix: "Vent the others apart."}
		})
	}
	if rule, ok := j.code.Rule("wet-vent-vertical-fixture-load"); ok && rule.Kind == tables.Value {
		if most, err := dwv.ParseFixtureUnits(rule.String()); err == nil {
			finding.AtMost(j.Judge, on("wet-vent-vertical-load", x.ID, rule.Cite), u.heaviest, most, func() finding.Words {
				return finding.Words{What: j.Text("The load of the heaviest fixture, %s, on the upright wet vent",
					j.id(u.heaviestAt)), Off: "too much", Fix: "Vent it apart."}
			})
		}
	}
	if least, cite, ok := j.length(ruleUprightWetSize); ok {
		if u.uppers == 1 { // and a size more than the drain of the upper fixture
			least = max(least, j.code.MadeSize(j.sizing.fixtureDrain(u.upper), true))
		}
		size := units.MaxLength
		for i := g.from[v]; i != g.thru[v]; i = t.parent[i] {
			size = min(size, j.sizing.size[i])
		}
		j.sizeAtLeast(on("wet-vent-vertical-size", x.ID, cite), size, least,
			finding.Say("The upright wet vent", "", "Lay it larger."))
	}
}

// upright tells whether all the drain that a vent vents stands upright.
func (j *judge) upright(v int32) bool {
	g := &j.tree.vents
	i := g.from[v]
	if i < 0 || i == g.thru[v] {
		return false
	}
	for ; i != g.thru[v]; i = j.tree.parent[i] {
		if int(i) < j.tree.outlets || !j.tree.point(i).Run.Vertical {
			return false
		}
	}
	return true
}
