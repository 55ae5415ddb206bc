package supply

import (
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What a code lists of itself is all of it, each once, as its tables have it.
func TestCodeListsItself(t *testing.T) {
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		c := mustCode(t, id)
		rules, err := tables.Embedded().Table(id + "/supply-rules")
		if err != nil {
			t.Fatal(err)
		}
		all := c.Rules()
		if len(all) != rules.Len() {
			t.Fatalf("%s: %d rules, the table has %d", id, len(all), rules.Len())
		}
		for i, r := range all {
			if r.ID != rules.Cell(i, rules.Column("rule")) || r.Value != rules.Cell(i, rules.Column("value")) || r.Citation.IsZero() {
				t.Errorf("%s: rule %d is %+v", id, i, r)
			}
		}
		kinds := c.FixtureKinds()
		if !slices.IsSorted(kinds) || len(slices.Compact(slices.Clone(kinds))) != len(kinds) || !slices.Contains(kinds, "lavatory") || !slices.Contains(kinds, "water-closet") {
			t.Errorf("%s: fixtures %v", id, kinds)
		}
	}
	if rules := mustCode(t, "npc-canada").Rules(); rules != nil {
		t.Errorf("a code without rules lists %v", rules)
	}
}

// Fittings on a link cost pressure and are bought; its pipe is bought too.
func TestLinkFittings(t *testing.T) {
	plain, ring := ringOf(t, square())
	d := square()
	d.Links[0].Fittings = []FittingItem{{Fitting: "elbow-90", Count: 3}, {Fitting: "other", Count: 1, Length: 30 * units.Foot}}
	with, bent := ringOf(t, d)
	if !(bent.Links[0].Flow < ring.Links[0].Flow) || !(bent.Links[0].Flow > 0) {
		t.Errorf("the link carries %v with fittings, %v without", bent.Links[0].Flow, ring.Links[0].Flow)
	}
	// Ten times the length of a fitting is that length as pipe: the flow is the same.
	e := square()
	e.Links[0].Fittings = []FittingItem{{Fitting: "other", Count: 10, Length: 3 * units.Foot}}
	f := square()
	f.Links[0].Length += 30 * units.Foot
	_, a := ringOf(t, e)
	_, b := ringOf(t, f)
	if roundTo(float64(a.Links[0].Flow)*1e3) != roundTo(float64(b.Links[0].Flow)*1e3) {
		t.Errorf("30 ft as fittings: %v, as pipe: %v", a.Links[0].Flow, b.Links[0].Flow)
	}
	count := func(a *Analysis) (pipe units.Length, fittings int) {
		for _, line := range a.lines() {
			switch line.Kind {
			case "pipe":
				pipe += line.Length
			case "fitting":
				fittings += line.Count
			}
		}
		return pipe, fittings
	}
	pipe, none := count(plain)
	same, four := count(with)
	if pipe != 500*units.Foot || same != pipe || none != 0 || four != 4 {
		t.Errorf("%v and %v of pipe, %d and %d fittings", pipe, same, none, four)
	}
}
