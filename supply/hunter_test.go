package supply_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func hunterFixture(t testing.TB, name string) supply.HunterFixture {
	t.Helper()
	list, err := supply.HunterFixtures(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		if f.Fixture == name {
			return f
		}
	}
	t.Fatalf("no fixture %q", name)
	return supply.HunterFixture{}
}

func TestHunterFixtures(t *testing.T) {
	for _, c := range []struct {
		name        string
		flow        units.Flow
		probability float64
		weight      float64
	}{
		{"water-closet-valve", 27 * gpm, 0.03, 10},
		{"water-closet-tank", 4 * gpm, 0.2, 5},
		{"bathtub", 8 * gpm, 1.0 / 15, 4},
	} {
		f := hunterFixture(t, c.name)
		if !proof.Near(float64(f.Flow), float64(c.flow), 1e-12) || !proof.Near(f.Probability, c.probability, 1e-14) ||
			f.Weight != c.weight || len(f.Citations) != 4 {
			t.Errorf("%+v", f)
		}
	}
}

type inUseRow struct {
	Fixture string `table:"fixture"`
	Count   int    `table:"count"`
	InUse   int    `table:"in_use"`
}

// The shelf's table of numbers in use was worked out elsewhere from the same
// parameters.
func TestHunterInUseTable(t *testing.T) {
	rows, err := tables.Load[inUseRow](tables.Embedded(), "hunter/supply-in-use")
	if err != nil {
		t.Fatal(err)
	}
	for i := range rows.Len() {
		r := rows.At(i)
		f := hunterFixture(t, r.Fixture)
		if m, err := simultaneous.FixturesInUse(r.Count, f.Probability, supply.HunterConfidence); err != nil || m != r.InUse {
			t.Errorf("%d of %s: %d in use, table %d, %v", r.Count, r.Fixture, m, r.InUse, err)
		}
	}
	served, err := tables.Load[inUseRow](tables.Embedded(), "hunter/supply-most-served")
	if err != nil {
		t.Fatal(err)
	}
	for i := range served.Len() {
		r := served.At(i)
		f := hunterFixture(t, r.Fixture)
		m, _ := simultaneous.FixturesInUse(r.Count, f.Probability, supply.HunterConfidence)
		more, _ := simultaneous.FixturesInUse(r.Count+1, f.Probability, supply.HunterConfidence)
		if m != r.InUse || more != r.InUse+1 {
			t.Errorf("%d of %s: %d in use, with one more %d, table %d", r.Count, r.Fixture, m, more, r.InUse)
		}
	}
	if rows.Len() < 100 || served.Len() < 100 {
		t.Errorf("%d and %d rows", rows.Len(), served.Len())
	}
}

func loadIPC(t testing.TB) *supply.Code {
	t.Helper()
	c, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCompareHunter(t *testing.T) {
	c := loadIPC(t)
	valve := hunterFixture(t, "water-closet-valve")
	got, err := c.CompareHunter(1000*supply.FixtureUnit, supply.ValveSystem, valve)
	if err != nil {
		t.Fatal(err)
	}
	// 100 valves, 8 in use: 216 gpm; the table prints 208.
	if !proof.Near(float64(got.Exact.Flow/gpm), 216, 1e-12) || got.Exact.Steps != 8 ||
		!proof.Near(float64(got.Table.Flow/gpm), 208, 1e-9) {
		t.Errorf("binomial %v gpm, table %v gpm", float64(got.Exact.Flow/gpm), float64(got.Table.Flow/gpm))
	}
	if !proof.Near(float64(got.Over/gpm), -8, 1e-9) || !proof.Near(got.Share, 208.0/216, 1e-12) {
		t.Errorf("over %v gpm, share %v", float64(got.Over/gpm), got.Share)
	}
	// A load between whole fixtures takes the next number up.
	odd, err := c.CompareHunter(995*supply.FixtureUnit, supply.ValveSystem, valve)
	if err != nil || odd.Exact != got.Exact {
		t.Errorf("%+v, %v", odd.Exact, err)
	}
	for _, bad := range []supply.FixtureUnits{-1, 1_000_000_001 * supply.FixtureUnit} {
		if _, err := c.CompareHunter(bad, supply.ValveSystem, valve); err == nil {
			t.Errorf("load %v passed", bad)
		}
	}
	if _, err := c.CompareHunter(0, supply.ValveSystem, valve); !errors.Is(err, units.ErrRange) {
		t.Errorf("no load: %v", err)
	}
	if _, err := c.CompareDemand(10*supply.FixtureUnit, supply.TankSystem, nil, gpm/100, 0.99); !errors.Is(err,
		units.ErrRange) {
		t.Errorf("no groups: %v", err)
	}
	if _, err := c.CompareDemand(10*supply.FixtureUnit, supply.TankSystem,
		[]simultaneous.Group{{Count: 1, Probability: 0.5, Flow: gpm}}, gpm/100, 1); !errors.Is(err, units.ErrRange) {
		t.Errorf("certainty: %v", err)
	}
}

// What stands beside the table, by hand.
func TestCompareDemandFields(t *testing.T) {
	c := loadIPC(t)
	got, err := c.CompareDemand(10*supply.FixtureUnit, supply.TankSystem,
		[]simultaneous.Group{{Count: 2, Probability: 0.2, Flow: 3 * gpm}}, gpm/100, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	// None 0.64, one 0.32, both 0.04: 0.96 reaches 0.9; of those in use 8/9 are one alone.
	if got.Exact.Steps != 300 || !proof.Near(got.Exact.Probability, 0.96, 1e-12) || got.InUse.Steps != 600 ||
		got.InUse.Probability != 1 {
		t.Errorf("%+v, in use %+v", got.Exact, got.InUse)
	}
	// Nothing is ever in use: nothing is exact, and no share of it.
	got, err = c.CompareDemand(10*supply.FixtureUnit, supply.TankSystem,
		[]simultaneous.Group{{Count: 1, Probability: 0, Flow: gpm}}, gpm/100, 0.9)
	if err != nil || got.Exact.Flow != 0 || got.InUse != (simultaneous.Quantile{}) || got.Share != 0 ||
		got.Over != got.Table.Flow || got.Over <= 0 {
		t.Errorf("%+v, %v", got, err)
	}
	valve := hunterFixture(t, "water-closet-valve")
	valve.Weight = 0
	if _, err := c.CompareHunter(10*supply.FixtureUnit, supply.ValveSystem, valve); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("without a weight: %v", err)
	}
}

// An amendment may change Hunter's parameters, but a fixture needs all four, more than
// nothing, and no use longer than the time between two.
func TestHunterFixturesAmended(t *testing.T) {
	for _, c := range []struct {
		rows string
		ok   bool
	}{
		{"set,bathtub,interval,60,s,,read", true}, // runs all the time
		{"set,bathtub,interval,59,s,,read", false},
		{"set,bathtub,flow,0,gpm,,read", false},
		{"set,bathtub,duration,0,s,,read", false},
		{"set,bathtub,weight,0,1,,read", false},
		{"drop,bathtub,flow,,,,", false},
		{"drop,bathtub,duration,,,,", false},
		{"drop,bathtub,interval,,,,", false},
		{"drop,bathtub,weight,,,,", false},
	} {
		shelf, err := tables.Embedded().With(fstest.MapFS{
			"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nmudflat-7,Mudflat town ordinance 7,,,2026,,\n")},
			"hunter/supply-parameters.csv": {Data: []byte("# id: hunter/supply-parameters\n# source: mudflat-7\nop,fixture,parameter,value,unit,src,status\n" +
				c.rows + "\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		list, err := supply.HunterFixtures(shelf)
		if (err == nil) != c.ok || err != nil && !strings.Contains(err.Error(), "bathtub") {
			t.Errorf("%s: %v", c.rows, err)
		}
		if c.ok && list[0].Probability != 1 {
			t.Errorf("%s: %v", c.rows, list[0].Probability)
		}
	}
}

func TestEfficientFixtures(t *testing.T) {
	list, err := supply.EfficientFixtures(tables.Embedded())
	if err != nil || len(list) != 11 {
		t.Fatal(len(list), err)
	}
	for _, f := range list {
		if f.Citation.Status().Firm() {
			t.Errorf("%s: recalled figures are given as firm", f.Fixture)
		}
		if f.Fixture == "shower" && (f.Probability != 0.045 || !proof.Near(float64(f.Flow/gpm), 2, 1e-12)) {
			t.Errorf("%+v", f)
		}
	}
}

// Where the code's table asks for more than efficient fixtures of a block of 20
// dwellings draw.
func ExampleCode_CompareDemand() {
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	groups := []simultaneous.Group{
		{Count: 20, Probability: 0.01, Flow: 3.0 * units.USGallonPerMinute},  // tank closets
		{Count: 20, Probability: 0.02, Flow: 1.5 * units.USGallonPerMinute},  // lavatories
		{Count: 20, Probability: 0.045, Flow: 2.0 * units.USGallonPerMinute}, // showers
		{Count: 20, Probability: 0.02, Flow: 2.2 * units.USGallonPerMinute},  // kitchen sinks
	}
	// 20 times 2.2 + 0.7 + 1.4 + 1.4 units.
	load := 114 * supply.FixtureUnit
	c, err := code.CompareDemand(load, supply.TankSystem, groups, units.USGallonPerMinute/100, 0.99)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("table %.1f gpm, probability %.1f gpm, normal approximation %.1f gpm: the table asks %.1f times as much\n",
		float64(c.Table.Flow/units.USGallonPerMinute), float64(c.Exact.Flow/units.USGallonPerMinute),
		float64(c.Normal/units.USGallonPerMinute), c.Share)
	// Output: table 46.6 gpm, probability 11.9 gpm, normal approximation 10.5 gpm: the table asks 3.9 times as much
}

func TestBurnTimes(t *testing.T) {
	shelf := tables.Embedded()
	at := func(f float64) map[string]supply.BurnTime {
		list, err := supply.BurnTimes(shelf, units.Fahrenheit(f))
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]supply.BurnTime{}
		for _, b := range list {
			key := b.List + " " + b.Injury
			if _, twice := out[key]; twice {
				t.Errorf("%s twice at %v degF", key, f)
			}
			out[key] = b
		}
		return out
	}
	// On a row, between two, above the last and under the first of lists.
	if b := at(140)["cpsc-quoted third-degree"]; b.Within != 6 || b.After != 6 {
		t.Errorf("at 140 degF: %+v", b)
	}
	if b := at(135)["cpsc-quoted third-degree"]; b.Within != 30 || b.After != 6 || math.Abs(b.At.Fahrenheit()-130) > 1e-9 {
		t.Errorf("at 135 degF: %+v", b)
	}
	if b := at(200)["cpsc-quoted third-degree"]; b.Within != 2 || b.After != 0 {
		t.Errorf("at 200 degF: %+v", b)
	}
	if _, ok := at(119)["cpsc-quoted third-degree"]; ok {
		t.Error("the list begins at 120 degF")
	}
	if n := len(at(100)); n != 0 {
		t.Errorf("%d lists begin under 100 degF", n)
	}
	// 60 degC is 140 degF.
	list, err := supply.BurnTimes(shelf, units.Celsius(60))
	if err != nil || len(list) < 6 {
		t.Fatal(len(list), err)
	}
	for _, b := range list {
		if b.Within > 6 || b.Citation.IsZero() {
			t.Errorf("%+v", b)
		}
	}
	if _, err := supply.BurnTimes(shelf, units.Temperature(math.NaN())); !errors.Is(err, units.ErrRange) {
		t.Errorf("got %v", err)
	}
}
