package tables

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

type (
	drainUnits = FixtureUnits[DrainLoad]
	waterUnits = FixtureUnits[WaterLoad]
)

func TestFixtureUnitsText(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want drainUnits // thousandths
		text string
	}{
		{"4 dfu", 4000, "4 dfu"}, {"0.5 dfu", 500, "0.5 dfu"}, {"0.70dfu", 700, "0.7 dfu"},
		{"172.8", 172800, "172.8 dfu"}, {"3 fu", 3000, "3 dfu"}, {" 1.125 dfu ", 1125, "1.125 dfu"},
		{"0", 0, "0 dfu"}, {"0.001", 1, "0.001 dfu"}, {"0.05", 50, "0.05 dfu"}, {"007", 7000, "7 dfu"},
		{"1000000000 dfu", MaxFixtureUnits / thousandth, "1000000000 dfu"},
	} {
		got, err := ParseFixtureUnits[DrainLoad](tt.in)
		if err != nil || got != tt.want*thousandth || got.String() != tt.text {
			t.Errorf("%q: %d %q, %v, want %d %q", tt.in, int64(got), got, err, int64(tt.want*thousandth), tt.text)
		}
	}
	for in, want := range map[string]string{"2.2 wsfu": "2.2 wsfu", "3 lu": "3 wsfu", "0.15 L/s": "0.15 wsfu", "7.0": "7 wsfu"} {
		u, err := ParseFixtureUnits[WaterLoad](in)
		if err != nil || u.String() != want {
			t.Errorf("%q: %v, %v", in, u, err)
		}
	}
	if u, err := ParseFixtureUnits[DischargeLoad]("2.5 du"); err != nil || u.String() != "2.5 du" || u.In("L/s") != "2.5 L/s" {
		t.Errorf("%v, %v", u, err)
	}
	for _, in := range []string{"", " ", "dfu", ".5", "5.", "1.2345", "0.7000", "-1", "-0", "+1", "1e3", "1,000", "4 gpm",
		"4 wsfu", "4 du", "NaN", "Inf", "0x10", "1 1", "1/2", "1..5", "1.-5", "1000000000.001", "99999999999999999999999",
		"9999999999999999999.999", strings.Repeat("1", 1000), "١"} {
		if got, err := ParseFixtureUnits[DrainLoad](in); got != 0 || !errors.Is(err, ErrFixtureUnits) {
			t.Errorf("%q: %v, %v", in, got, err)
		}
	}
	if _, err := ParseFixtureUnits[WaterLoad]("4 dfu"); !errors.Is(err, ErrFixtureUnits) {
		t.Errorf("a load of drains is read as one of water: %v", err)
	}
	if s := drainUnits(-1500 * thousandth).String(); s != "-1.5 dfu" {
		t.Errorf("a margin that is missing prints %q", s)
	}
}

func TestFixtureUnitsJSON(t *testing.T) {
	type load struct {
		Drain drainUnits
		Water waterUnits
	}
	b, err := json.Marshal(load{2500 * thousandth, 200 * thousandth})
	if err != nil || string(b) != `{"Drain":"2.5 dfu","Water":"0.2 wsfu"}` {
		t.Errorf("%s, %v", b, err)
	}
	var l load
	if err := json.Unmarshal(b, &l); err != nil || l.Drain != 2500*thousandth || l.Water != 200*thousandth {
		t.Errorf("%v, %v", l, err)
	}
	if err := json.Unmarshal([]byte(`{"Drain":"1.2345 dfu"}`), &l); !errors.Is(err, ErrFixtureUnits) {
		t.Errorf("%v", err)
	}
}

// A count of units is not taken for thousandths of them, whatever it is.
func TestFixtureUnitsWithoutUnit(t *testing.T) {
	for n := drainUnits(1); n < thousandth; n++ {
		if n.Valid() {
			t.Fatalf("%d is a load", int64(n))
		}
	}
	for _, head := range []drainUnits{1, 2, 25, 125, 288, 999} { // and the round numbers
		for n := head; n < 1e14; n *= 10 {
			if n.Valid() {
				t.Errorf("%d is a load", int64(n))
			}
		}
	}
	err := drainUnits(100_000).Check()
	if !errors.Is(err, ErrQuery) ||
		!strings.HasSuffix(err.Error(), "100000 is not a load; 100000 units are 100000*dwv.FixtureUnit") {
		t.Errorf("%v", err)
	}
	if err := waterUnits(-FixtureUnit).Check(); err == nil || !strings.HasSuffix(err.Error(),
		"-1 wsfu is not from 0 to 1000000000 wsfu") {
		t.Errorf("%v", err)
	}
	for _, u := range []drainUnits{0, thousandth, FixtureUnit, MaxFixtureUnits} {
		if err := u.Check(); err != nil || !u.Valid() {
			t.Errorf("%v: %v", u, err)
		}
	}
}

// Loads up to a thousand million units are loads, a thousandth more is none.
func TestFixtureUnitsSums(t *testing.T) {
	const most = drainUnits(MaxFixtureUnits)
	for _, c := range []struct {
		u    drainUnits
		n    int
		want drainUnits
		ok   bool
	}{
		{FixtureUnit, 0, 0, true}, {0, 5, 0, true}, {0, math.MaxInt, 0, true}, {500 * thousandth, 7, 3500 * thousandth, true},
		{FixtureUnit, 1_000_000_000, most, true}, {FixtureUnit, 1_000_000_001, 0, false},
		{most, 1, most, true}, {most, 2, 0, false}, {most + 1, 1, 0, false}, {FixtureUnit, math.MaxInt, 0, false},
		{FixtureUnit, -1, 0, false}, {-1, 1, 0, false}, {2, math.MaxInt, 0, false},
	} {
		got, err := c.u.Times(c.n)
		if got != c.want || (err == nil) != c.ok || err != nil && !errors.Is(err, ErrFixtureUnits) {
			t.Errorf("%d times %d: %d, %v", c.n, c.u, got, err)
		}
	}
	for _, c := range []struct {
		u, v, want drainUnits
		ok         bool
	}{
		{most - 3*thousandth, 3 * thousandth, most, true}, {most - 3*thousandth, 4 * thousandth, 0, false},
		{FixtureUnit, 250, 0, false}, {most, 0, most, true}, {0, most, most, true}, {most, most, 0, false},
		{-1, 1, 0, false}, {1, -1, 0, false}, {FixtureUnit, -FixtureUnit, 0, false},
	} {
		got, err := c.u.Add(c.v)
		if got != c.want || (err == nil) != c.ok || err != nil && !errors.Is(err, ErrFixtureUnits) {
			t.Errorf("%d + %d: %d, %v", c.u, c.v, got, err)
		}
	}
}

// Over all sums of n equal tenths up to 10, n to 200, adding one at a time comes to
// what the decimal product is, and each reads as the decimal number.
func TestTenthsAddUp(t *testing.T) {
	for tenths := range 101 {
		unit := drainUnits(tenths) * FixtureUnit / 10
		if unit.Units() != float64(tenths)/10 {
			t.Errorf("%v is %v units", unit, unit.Units())
		}
		var sum drainUnits
		for n := range 200 {
			if sum != drainUnits(tenths*n)*100*thousandth {
				t.Fatalf("%d times %v is %v", n, unit, sum)
			}
			var err error
			if sum, err = sum.Add(unit); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func FuzzParseFixtureUnits(f *testing.F) {
	for _, s := range []string{"4 dfu", "0.5", "1.2345 dfu", "-1", "1e9", "999999999999999999999999 dfu", "12.", "0.001fu",
		"dfu", "7 wsfu", "\xff", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		u, err := ParseFixtureUnits[DrainLoad](s)
		if err != nil {
			if u != 0 || !errors.Is(err, ErrFixtureUnits) {
				t.Fatalf("%q: %v, %v", s, u, err)
			}
			return
		}
		if back, err := ParseFixtureUnits[DrainLoad](u.String()); !u.Valid() || err != nil || back != u {
			t.Fatalf("%q: %v comes back as %v, %v", s, u, back, err)
		}
	})
}
