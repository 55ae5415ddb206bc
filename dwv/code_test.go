package dwv_test

import (
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func code(t testing.TB, id string) *dwv.Code {
	t.Helper()
	c, err := dwv.LoadCode(tables.Embedded(), id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestSmoke(t *testing.T) {
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		c := code(t, id)
		for _, k := range c.FixtureKinds() {
			for _, u := range []dwv.Use{0, dwv.Private, dwv.Public, dwv.Assembly} {
				l, err := c.FixtureLoad(dwv.Fixture{Kind: k, Count: 1, Use: u})
				t.Log(k, u, l.Units, l.TrapSize, l.MinDrain, l.Closets, l.Citation, err)
			}
		}
		for _, g := range []string{"1/16 in/ft", "1/8 in/ft", "2%", "1/4 in/ft", "1 in/ft"} {
			r, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 40 * dwv.FixtureUnit, Grade: slope.MustParse(g), Closets: 1})
			t.Log(g, r.Size, r.MaxLoad, r.Why(), r.NextSize, r.NextGrade, r.Citation, err)
		}
		r, err := c.VentSize(dwv.VentQuery{Part: dwv.StackVent, Drain: 3 * units.Inch, Load: 53 * dwv.FixtureUnit, Length: 230 * units.Foot})
		t.Log(r, err)
		a, err := c.TrapArm(2 * units.Inch)
		t.Log(a, err)
	}
}
