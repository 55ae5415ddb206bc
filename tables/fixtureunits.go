package tables

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// FixtureUnits is a load as codes count it, a whole number of thousandths of a unit: codes
// print at most two decimals, so sums and comparisons with a limit are exact (ten times
// 0.7 is 7). K tells what it is a load of, so that one is never taken for another: they are
// dwv.FixtureUnits, supply.FixtureUnits and en12056.DischargeUnits. Values a file or a
// caller may hand in lie within 0 and a thousand million units.
//
// 7 units are written 7*dwv.FixtureUnit. The number within is such that no count of units
// is a load by itself: a bare 7, or 100000, is not [FixtureUnits.Valid] and is refused
// wherever a load is asked for.
//
// The text form is "4 dfu", "2.2 wsfu" or "0.5 du"; a bare number is read too, and so are
// the other names of the unit ("4 fu"; "2.2 lu" and "0.15 L/s", which European codes of
// water count).
type FixtureUnits[K LoadKind] int64

// LoadKind is what a load is of: [DrainLoad], [WaterLoad] or [DischargeLoad].
type LoadKind interface {
	DrainLoad | WaterLoad | DischargeLoad
	words() *loadWords
}

type (
	DrainLoad     struct{} // what fixtures discharge, in drainage fixture units
	WaterLoad     struct{} // what they draw, in water supply fixture units
	DischargeLoad struct{} // what they discharge, in the discharge units of EN 12056-2
)

// loadWords are the names of a unit, the one that is written first, and of its constant.
type loadWords struct {
	units    []string
	constant string
}

var (
	drainWords     = loadWords{[]string{"dfu", "fu"}, "dwv.FixtureUnit"}
	waterWords     = loadWords{[]string{"wsfu", "lu", "L/s"}, "supply.FixtureUnit"}
	dischargeWords = loadWords{[]string{"du"}, "en12056.DischargeUnit"}
)

func (DrainLoad) words() *loadWords     { return &drainWords }
func (WaterLoad) words() *loadWords     { return &waterWords }
func (DischargeLoad) words() *loadWords { return &dischargeWords }

// FixtureUnit is one unit of a load and MaxFixtureUnits the greatest load that is
// accepted, as numbers without a type; the packages that count loads have them typed.
const (
	FixtureUnit     = 1000 * thousandth
	MaxFixtureUnits = 1_000_000_000 * FixtureUnit
)

// thousandth is how a thousandth of a unit is counted: by a prime that is more than any
// count of units on a job, so that neither such a count nor a round number is a multiple of it.
const thousandth = 100_003

// ErrFixtureUnits is wrapped by every error about a load that cannot be.
var ErrFixtureUnits = errors.New("not a load in fixture units")

// Valid reports whether u is a whole number of thousandths within 0 and MaxFixtureUnits.
func (u FixtureUnits[K]) Valid() bool { return 0 <= u && u <= MaxFixtureUnits && u%thousandth == 0 }

// Check tells why u is not [FixtureUnits.Valid], as an [ErrQuery]. A small number is most likely a
// count of units that was written without its unit.
func (u FixtureUnits[K]) Check() error {
	switch {
	case u.Valid():
		return nil
	case u > 0 && u%thousandth != 0:
		var k K
		return fmt.Errorf("%w: load: %d is not a load; %[2]d units are %[2]d*%s", ErrQuery, int64(u), k.words().constant)
	}
	return fmt.Errorf("%w: load: %v is not from 0 to %v", ErrQuery, u, FixtureUnits[K](MaxFixtureUnits))
}

// Units returns u as a number of units.
func (u FixtureUnits[K]) Units() float64 { return float64(u) / FixtureUnit }

// Add returns u + v, or an error when the sum or either part is not Valid.
func (u FixtureUnits[K]) Add(v FixtureUnits[K]) (FixtureUnits[K], error) {
	if !u.Valid() || !v.Valid() || u+v > MaxFixtureUnits {
		return 0, fmt.Errorf("%w: %v + %v is outside 0 to %v", ErrFixtureUnits, u, v, FixtureUnits[K](MaxFixtureUnits))
	}
	return u + v, nil
}

// Times returns n*u, or an error when the product or u is not Valid.
func (u FixtureUnits[K]) Times(n int) (FixtureUnits[K], error) {
	if !u.Valid() || n < 0 || u > 0 && int64(n) > int64(MaxFixtureUnits/u) {
		return 0, fmt.Errorf("%w: %d times %v is outside 0 to %v", ErrFixtureUnits, n, u, FixtureUnits[K](MaxFixtureUnits))
	}
	return FixtureUnits[K](n) * u, nil
}

// ParseFixtureUnits reads "4 dfu", "0.5 dfu" or a bare "4": digits, at most three
// decimals, an optional unit. A sign, an exponent, a fourth decimal and another
// unit are refused as [ErrFixtureUnits].
func ParseFixtureUnits[K LoadKind](s string) (FixtureUnits[K], error) {
	var k K
	names := k.words().units
	number := strings.TrimSpace(s)
	for _, name := range names {
		if n, ok := strings.CutSuffix(number, name); ok {
			number = strings.TrimRight(n, " ")
			break
		}
	}
	refuse := func(why string) (FixtureUnits[K], error) {
		return 0, fmt.Errorf("%w: %q: %s", ErrFixtureUnits, visible.Shorten(s), why)
	}
	whole, decimals, point := strings.Cut(number, ".")
	switch {
	case len(number) > 24:
		return refuse("too long")
	case strings.HasPrefix(number, "-"):
		return refuse("a load is not negative")
	case whole == "" || strings.Trim(whole+decimals, "0123456789") != "" || point && decimals == "":
		return refuse(`want a number with at most three decimals, such as "0.5 ` + names[0] + `"`)
	case len(decimals) > 3:
		return refuse("more than three decimals")
	}
	v, err := strconv.ParseInt(whole+(decimals + "000")[:3], 10, 64)
	if err != nil || v > MaxFixtureUnits/thousandth {
		return refuse("more than " + FixtureUnits[K](MaxFixtureUnits).String())
	}
	return FixtureUnits[K](v) * thousandth, nil
}

// In returns the text with another name for the unit, such as "lu".
func (u FixtureUnits[K]) In(unit string) string { return string(u.append(nil, unit)) }

// append appends u as a decimal without needless zeros, and the unit.
func (u FixtureUnits[K]) append(b []byte, unit string) []byte {
	n := uint64(u)
	if u < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendUint(b, n/FixtureUnit, 10)
	if part := n % FixtureUnit / thousandth; part != 0 {
		b = append(b, '.')
		for scale := uint64(100); part != 0; scale /= 10 {
			b = append(b, byte('0'+part/scale))
			part %= scale
		}
	}
	b = append(b, ' ')
	return append(b, unit...)
}

// AppendText appends the text form, such as "0.5 dfu".
func (u FixtureUnits[K]) AppendText(b []byte) ([]byte, error) {
	var k K
	return u.append(b, k.words().units[0]), nil
}

// MarshalText returns the text form.
func (u FixtureUnits[K]) MarshalText() ([]byte, error) { return u.AppendText(nil) }

// UnmarshalText reads the text form as [ParseFixtureUnits] does.
func (u *FixtureUnits[K]) UnmarshalText(b []byte) error {
	v, err := ParseFixtureUnits[K](string(b))
	if err != nil {
		return err
	}
	*u = v
	return nil
}

// String returns the text form, such as "2.2 wsfu".
func (u FixtureUnits[K]) String() string {
	b, _ := u.AppendText(nil)
	return string(b)
}
