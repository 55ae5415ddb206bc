package supply

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/thousandths"
)

// FixtureUnits is a water supply load, as a whole number of thousandths of a
// fixture unit: codes print at most two decimals, so sums and comparisons with a
// row of a table are exact (ten times 0.7 is 7). It is also used for the loading
// units of European standards, and for the sums of outlet flows, in L/s, of those that
// count no units. Supply and drainage fixture units are different things and different
// types. Values a file or a caller may hand in lie within 0
// and [MaxFixtureUnits].
//
// The text form is "2.2 wsfu"; "2.2 lu", "0.15 L/s" and a bare number are read too.
type FixtureUnits int64

// FixtureUnit is one water supply fixture unit: 7*supply.FixtureUnit.
const FixtureUnit FixtureUnits = 1000

// flowUnit is what loads are counted in by a code that adds up flows.
const flowUnit = "L/s"

// MaxFixtureUnits is the greatest load that is accepted: a thousand million units.
const MaxFixtureUnits = 1_000_000_000 * FixtureUnit

// ErrFixtureUnits is wrapped by every error about a load that cannot be.
var ErrFixtureUnits = errors.New("not a load in fixture units")

// Valid reports whether u lies within 0 and MaxFixtureUnits.
func (u FixtureUnits) Valid() bool { return 0 <= u && u <= MaxFixtureUnits }

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

// share returns u times a share in thousandths, rounded up to a thousandth.
func (u FixtureUnits) share(thousandths FixtureUnits) FixtureUnits {
	return (u*thousandths + FixtureUnit - 1) / FixtureUnit
}

// ParseFixtureUnits reads "2.2 wsfu", "3 lu", "0.15 L/s" or a bare "4": digits, at most three
// decimals, an optional unit. A sign, an exponent, a fourth decimal and another
// unit are refused.
func ParseFixtureUnits(s string) (FixtureUnits, error) {
	v, err := thousandths.Parse(s, int64(MaxFixtureUnits), "wsfu", "lu", flowUnit)
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

// AppendText appends the text form, such as "0.5 wsfu".
func (u FixtureUnits) AppendText(b []byte) ([]byte, error) { return u.append(b, "wsfu"), nil }

func (u FixtureUnits) append(b []byte, unit string) []byte {
	return thousandths.Append(b, int64(u), unit)
}

// In returns the text with another name for the unit, such as "lu".
func (u FixtureUnits) In(unit string) string { return string(u.append(nil, unit)) }

// MarshalText returns the text form.
func (u FixtureUnits) MarshalText() ([]byte, error) { return u.append(nil, "wsfu"), nil }

// UnmarshalText reads the text form as [ParseFixtureUnits] does.
func (u *FixtureUnits) UnmarshalText(b []byte) error {
	v, err := ParseFixtureUnits(string(b))
	if err != nil {
		return err
	}
	*u = v
	return nil
}

// String returns the text form, such as "2.2 wsfu".
func (u FixtureUnits) String() string { return u.In("wsfu") }
