package dwv

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/thousandths"
)

// FixtureUnits is a drainage load in fixture units, as a whole number of
// thousandths: codes print at most two decimals, so sums and comparisons with
// a limit are exact (ten times 0.7 is 7). Drainage and supply fixture units are
// different things and different types. Values a file or a caller may hand in lie
// within 0 and [MaxFixtureUnits].
//
// The text form is "4 dfu" or "0.5 dfu"; "4 fu" and a bare number are read too.
type FixtureUnits int64

// FixtureUnit is one drainage fixture unit: 7*dwv.FixtureUnit.
//
// A load is a multiple of its thousandth, and a bare 7 is none: it is refused wherever a
// load is asked for.
const FixtureUnit FixtureUnits = thousandths.Unit

// MaxFixtureUnits is the greatest load that is accepted: a thousand million units.
const MaxFixtureUnits = 1_000_000_000 * FixtureUnit

// ErrFixtureUnits is wrapped by every error about a load that cannot be.
var ErrFixtureUnits = errors.New("not a load in fixture units")

// Valid reports whether u is a whole number of thousandths within 0 and MaxFixtureUnits.
//
// A number of units written without FixtureUnit, such as 250, is not: it would be a
// small part of one.
func (u FixtureUnits) Valid() bool { return thousandths.Valid(int64(u), int64(MaxFixtureUnits)) }

// refusal tells why u is not Valid.
func (u FixtureUnits) refusal() string {
	return thousandths.Refusal(int64(u), int64(MaxFixtureUnits), "dfu", "dwv.FixtureUnit")
}

// Units returns u as a number of fixture units.
func (u FixtureUnits) Units() float64 { return float64(u) / float64(FixtureUnit) }

// Add returns u + v, or an error when the sum or either part is not Valid.
func (u FixtureUnits) Add(v FixtureUnits) (FixtureUnits, error) {
	if !u.Valid() || !v.Valid() || u+v > MaxFixtureUnits {
		return 0, fmt.Errorf("%w: %v + %v is outside 0 to %v", ErrFixtureUnits, u, v, MaxFixtureUnits)
	}
	return u + v, nil
}

// Times returns n*u, or an error when the product or u is not Valid.
func (u FixtureUnits) Times(n int) (FixtureUnits, error) {
	if !u.Valid() || n < 0 || u > 0 && int64(n) > int64(MaxFixtureUnits/u) {
		return 0, fmt.Errorf("%w: %d times %v is outside 0 to %v", ErrFixtureUnits, n, u, MaxFixtureUnits)
	}
	return FixtureUnits(n) * u, nil
}

// scaled returns u*ratio/1000, or false when it is not a whole number of
// thousandths or is too great.
func (u FixtureUnits) scaled(ratio int64) (FixtureUnits, bool) {
	n := int64(u) / thousandths.Step
	if !u.Valid() || ratio < 0 || ratio > 0 && n > int64(MaxFixtureUnits)/ratio {
		return 0, false
	}
	p := n * ratio
	scaled := FixtureUnits(p/1000) * thousandths.Step
	return scaled, p%1000 == 0 && scaled.Valid()
}

// ParseFixtureUnits reads "4 dfu", "0.5 dfu", "4 fu" or a bare "4": digits, at most three
// decimals, an optional unit. A sign, an exponent, a fourth decimal and another
// unit are refused.
func ParseFixtureUnits(s string) (FixtureUnits, error) {
	v, err := thousandths.Parse(s, int64(MaxFixtureUnits), "dfu", "fu")
	if err != nil {
		return 0, fmt.Errorf("%w: %q: %w", ErrFixtureUnits, fixture.Shorten(s), err)
	}
	return FixtureUnits(v), nil
}

// MustParseFixtureUnits is ParseFixtureUnits for tests and constants; it panics
// on an error.
func MustParseFixtureUnits(s string) FixtureUnits {
	u, err := ParseFixtureUnits(s)
	if err != nil {
		panic(err)
	}
	return u
}

// AppendText appends the text form, such as "0.5 dfu".
func (u FixtureUnits) AppendText(b []byte) ([]byte, error) { return u.appendTo(b), nil }

func (u FixtureUnits) appendTo(b []byte) []byte { return thousandths.Append(b, int64(u), "dfu") }

// MarshalText returns the text form.
func (u FixtureUnits) MarshalText() ([]byte, error) { return u.appendTo(nil), nil }

// UnmarshalText reads the text form as [ParseFixtureUnits] does.
func (u *FixtureUnits) UnmarshalText(b []byte) error {
	v, err := ParseFixtureUnits(string(b))
	if err != nil {
		return err
	}
	*u = v
	return nil
}

// String returns the text form.
func (u FixtureUnits) String() string { return string(u.appendTo(nil)) }
