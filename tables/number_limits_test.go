package tables

import (
	"strings"
	"testing"
)

// The longest numbers that are read, and points that have no digit on a side.
func TestNumberLimits(t *testing.T) {
	for s, want := range map[string]float64{
		"1/999999": 1.0 / 999999, "999999-1/2": 999999.5,
		"0." + strings.Repeat("0", 37) + "5": 5e-38, // 40 characters
		"0.1234567890123456":                 0.1234567890123456,
		"9007199254740993":                   9007199254740993,
		"1.5e3":                              1500, "-0.5e3": -500,
	} {
		if got, ok := parseNumber(s); !ok || got != want {
			t.Errorf("%s is %v, %v; want %v", s, got, ok, want)
		}
	}
	for _, s := range []string{
		"1/1000000", "1000000-1/2", "0." + strings.Repeat("0", 38) + "5", "1.e5", "-.5e3", "1e.5", "1e5.",
		"12345678901234567.", "-1/2", " 1/2", "1/0", "2/2",
	} {
		if got, ok := parseNumber(s); ok {
			t.Errorf("%q is read as %v", s, got)
		}
	}
}

// One number is one key, however it is written.
func TestCanonical(t *testing.T) {
	for _, same := range [][]string{{"5", "05", "5.0", "5.00"}, {"0.5", "0.50", "1/2", "00.5"},
		{"1.25", "1-1/4", "01.25"}, {"0", "0.0", "00"}} {
		for _, s := range same[1:] {
			if a, b := canonical(same[0]), canonical(s); a != b {
				t.Errorf("%s is %q, %s is %q", same[0], a, s, b)
			}
		}
	}
	if canonical("0.5") == canonical("5") || canonical("05") == canonical("50") {
		t.Error("unlike numbers are one key")
	}
}
