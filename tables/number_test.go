package tables

import (
	"math"
	"strconv"
	"testing"
)

func TestParseNumber(t *testing.T) {
	for s, want := range map[string]float64{
		"0": 0, "21": 21, "0.70": 0.7, "-3.5": -3.5, "1.5e-6": 1.5e-6, "1e3": 1000, "007": 7, "-0": 0,
		"0.1": 0.1, "0.0625": 0.0625, "123456789012345": 123456789012345,
		"4.870370370370370370370370": 4.870370370370370370370370,
		"18446744073709551616":       18446744073709551616, "99999999999999999999999999999999999999": 1e38,
		"0.30000000000000004": 0.30000000000000004,
		"1/2":                 0.5, "3/4": 0.75, "1-1/4": 1.25, "1 1/4": 1.25, "2-15/16": 2.9375, "12-63/64": 12.984375,
	} {
		if got, ok := parseNumber(s); !ok || got != want {
			t.Errorf("%q gives %v %v, want %v", s, got, ok, want)
		}
	}
	for _, s := range []string{
		"", "-", ".", "1.", ".5", "-.5", "--1", "1-", "+1", " 1", "1 ", "1,5", "1_0", "0x1p-2", "inf", "Inf", "NaN",
		"1e", "e5", "1e999", "-1e999", "1.2.3", "1..2", "½", "−1",
		"1/0", "4/4", "5/4", "1/", "/2", "-1/2", "1-/2", "1-1/4-", "1--1/4", "1-1/4/2", "1234567/2", "1 -1/4",
		"1-1.5/2", "12345678901234567890123456789012345678901",
	} {
		if got, ok := parseNumber(s); ok {
			t.Errorf("%q is taken for %v", s, got)
		}
	}
}

func TestCompareCells(t *testing.T) {
	order := []string{"", "-3", "0", "0.5", "1", "1-1/4", "2", "10", "a", "b"}
	for i, a := range order {
		for j, b := range order {
			if got, want := compareCells(a, b), sign(i-j); got != want {
				t.Errorf("%q to %q: %d, want %d", a, b, got, want)
			}
		}
	}
	for _, same := range [][2]string{{"1.25", "1-1/4"}, {"2", "2.0"}, {"0", "-0"}, {"1e3", "1000"}} {
		if compareCells(same[0], same[1]) != 0 || canonical(same[0]) != canonical(same[1]) {
			t.Errorf("%q is not %q", same[0], same[1])
		}
	}
}

func sign(n int) int {
	return min(max(n, -1), 1)
}

// FuzzNumber checks that the short way reads what the long way reads.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"0.70", "21", "-3.5", "1-1/4", "1.5e-6", "123456789012345678", "0.1000000000000000055"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := parseNumber(s)
		if !ok {
			return
		}
		if math.IsNaN(got) || math.IsInf(got, 0) {
			t.Fatalf("%q gives %v", s, got)
		}
		if want, err := strconv.ParseFloat(s, 64); err == nil && got != want {
			t.Fatalf("%q gives %v, strconv has %v", s, got, want)
		}
		if a := math.Abs(got); a != 0 && (a < 1e-9 || a > 1e15) {
			return // its canonical form is too long for a cell
		}
		if c := canonical(s); compareCells(c, s) != 0 || canonical(c) != c {
			t.Fatalf("%q is canonically %q", s, c)
		}
	})
}
