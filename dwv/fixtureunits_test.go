package dwv_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
)

// milli is a thousandth of a unit.
const milli = dwv.FixtureUnit / 1000

func TestFixtureUnitsText(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want dwv.FixtureUnits
		text string
	}{
		{"4 dfu", 4000, "4 dfu"}, {"0.5 dfu", 500, "0.5 dfu"}, {"0.70dfu", 700, "0.7 dfu"}, {"172.8", 172800, "172.8 dfu"}, {"3 fu", 3000, "3 dfu"},
		{" 1.125 dfu ", 1125, "1.125 dfu"}, {"0", 0, "0 dfu"}, {"0.001", 1, "0.001 dfu"}, {"007", 7000, "7 dfu"}, {"1000000000 dfu", dwv.MaxFixtureUnits / milli, "1000000000 dfu"},
	} {
		got, err := dwv.ParseFixtureUnits(tt.in)
		if err != nil || got != tt.want*milli || got.String() != tt.text {
			t.Errorf("%q: %d %q, %v, want %d %q", tt.in, int64(got), got, err, int64(tt.want*milli), tt.text)
		}
	}
	for _, in := range []string{"", " ", "dfu", ".5", "5.", "1.2345", "0.7000", "-1", "-0", "+1", "1e3", "1,000", "4 gpm", "4 wsfu", "4 du", "NaN", "Inf", "0x10", "1 1", "1/2",
		"1000000000.001", "99999999999999999999999", strings.Repeat("1", 1000), "١"} {
		if got, err := dwv.ParseFixtureUnits(in); !errors.Is(err, dwv.ErrFixtureUnits) {
			t.Errorf("%q: %v, %v", in, got, err)
		}
	}
	if s := (-1500 * milli).String(); s != "-1.5 dfu" {
		t.Errorf("a margin that is missing prints %q", s)
	}
}

func TestFixtureUnitsJSON(t *testing.T) {
	type load struct{ Load dwv.FixtureUnits }
	b, err := json.Marshal(load{2500 * milli})
	if err != nil || string(b) != `{"Load":"2.5 dfu"}` {
		t.Errorf("%s, %v", b, err)
	}
	var l load
	if err := json.Unmarshal(b, &l); err != nil || l.Load != 2500*milli {
		t.Errorf("%v, %v", l, err)
	}
	if err := json.Unmarshal([]byte(`{"Load":"1.2345 dfu"}`), &l); !errors.Is(err, dwv.ErrFixtureUnits) {
		t.Errorf("%v", err)
	}
}

func TestFixtureUnitsSums(t *testing.T) {
	if _, err := dwv.MaxFixtureUnits.Add(1); !errors.Is(err, dwv.ErrFixtureUnits) {
		t.Errorf("%v", err)
	}
	if _, err := dwv.FixtureUnit.Add(-1); !errors.Is(err, dwv.ErrFixtureUnits) {
		t.Errorf("%v", err)
	}
	if u, err := dwv.MustParseFixtureUnits("0.5").Times(7); err != nil || u != 3500*milli {
		t.Errorf("%v, %v", u, err)
	}
	for _, n := range []int{-1, math.MaxInt} {
		if _, err := dwv.FixtureUnit.Times(n); !errors.Is(err, dwv.ErrFixtureUnits) {
			t.Errorf("%d: %v", n, err)
		}
	}
	if u, err := dwv.FixtureUnits(0).Times(math.MaxInt); err != nil || u != 0 {
		t.Errorf("%v, %v", u, err)
	}
}

// Over all sums of n equal tenths up to 10, n to 200, adding one at a time comes to
// what the decimal product is.
func TestTenthsAddUp(t *testing.T) {
	for tenths := range 101 {
		unit := dwv.FixtureUnits(tenths) * dwv.FixtureUnit / 10
		var sum dwv.FixtureUnits
		for n := range 200 {
			if sum != dwv.FixtureUnits(tenths*n)*100*milli {
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
	for _, s := range []string{"4 dfu", "0.5", "1.2345 dfu", "-1", "1e9", "999999999999999999999999 dfu", "12.", "0.001fu", "dfu", "7 wsfu", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		u, err := dwv.ParseFixtureUnits(s)
		if err != nil {
			if u != 0 || !errors.Is(err, dwv.ErrFixtureUnits) {
				t.Fatalf("%q: %v, %v", s, u, err)
			}
			return
		}
		if back, err := dwv.ParseFixtureUnits(u.String()); !u.Valid() || err != nil || back != u {
			t.Fatalf("%q: %v comes back as %v, %v", s, u, back, err)
		}
	})
}
