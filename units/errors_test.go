package units_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/units"
)

func TestRangeError(t *testing.T) {
	err := fmt.Errorf("point %q: %w", "wc",
		&units.RangeError{Name: "depth ratio", Value: "1.2", Allowed: "greater than 0 and at most 1"})
	if want := `point "wc": depth ratio: 1.2 is not greater than 0 and at most 1`; err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
	if !errors.Is(err, units.ErrRange) || errors.Is(err, units.ErrUnit) {
		t.Error("a RangeError matches ErrRange and no other")
	}
	if r, ok := errors.AsType[*units.RangeError](err); !ok || r.Name != "depth ratio" {
		t.Errorf("found %v, %v", r, ok)
	}
}

// TestFaultPlace: a fault says as much of its place as is known, and nothing of what is not.
func TestFaultPlace(t *testing.T) {
	for _, tt := range []struct {
		fault units.Fault
		want  string
	}{
		{units.Fault{File: "hall.json", Line: 3, Column: 7, Item: "W3", Field: "length", Err: units.ErrRange},
			"hall.json:3:7: W3: length: " + units.ErrRange.Error()},
		{units.Fault{File: "hall.json", Line: 3, Item: "W3", Err: units.ErrRange}, "hall.json:3: W3: " + units.ErrRange.Error()},
		{units.Fault{File: "hall.json", Column: 7, Field: "length", Err: units.ErrRange}, "hall.json: length: " + units.ErrRange.Error()},
		{units.Fault{Line: 3, Column: 7, Err: units.ErrRange}, units.ErrRange.Error()},
	} {
		if got := tt.fault.Error(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}

// TestCutNumber: the number is exact, as a fraction in its lowest powers of ten, and what follows is left.
func TestCutNumber(t *testing.T) {
	for text, want := range map[string]string{
		"1:48": "1/1 :48", "3/8 in": "3/8  in", "6 3/8:12": "51/8 :12", "6-3/8": "51/8 ",
		"12.5%": "125/10 %", "1.20": "12/10 ", "2e3x": "2000/1 x", "0.0": "0/1 ",
	} {
		num, den, rest, err := units.CutNumber(text)
		if got := fmt.Sprintf("%d/%d %s", num, den, rest); err != nil || got != want {
			t.Errorf("%s: %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "x", "1e40", "0.00000000000000000000001"} {
		if num, den, _, err := units.CutNumber(text); err == nil {
			t.Errorf("%s: %d/%d", text, num, den)
		}
	}
}
