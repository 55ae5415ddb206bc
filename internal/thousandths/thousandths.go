// Package thousandths counts, reads and writes fixture units, which are whole numbers of
// thousandths: codes print at most two decimals. A thousandth is counted as a large
// [Step], so that a number of units written into a program without its unit is none.
package thousandths

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Unit is how much one unit counts; a load is a multiple of Step, a thousandth of it.
const (
	Step = 100_000
	Unit = 1000 * Step
)

// Valid tells whether v is a whole number of thousandths from 0 to limit.
func Valid(v, limit int64) bool { return 0 <= v && v <= limit && v%Step == 0 }

// Refusal tells why v is not Valid. A small number is most likely a count of units that
// was written without its unit, of the type named.
func Refusal(v, limit int64, unit, constant string) string {
	if 0 < v && v%Step != 0 {
		return fmt.Sprintf("%d is not a load; %[1]d units are %[1]d*%s", v, constant)
	}
	return fmt.Sprintf("%s is not from 0 to %s", Append(nil, v, unit), Append(nil, limit, unit))
}

// Parse reads digits with at most three decimals and, optionally, one of the units,
// the first of which also writes the examples in its messages. A sign, an exponent,
// a fourth decimal, another unit and more than limit are refused; the
// error is only the reason.
func Parse(s string, limit int64, units ...string) (int64, error) {
	number := strings.TrimSpace(s)
	for _, unit := range units {
		if n, ok := strings.CutSuffix(number, unit); ok {
			number = strings.TrimRight(n, " ")
			break
		}
	}
	malformed := func() (int64, error) {
		return 0, errors.New(`want a number with at most three decimals, such as "0.5 ` + units[0] + `"`)
	}
	tooMuch := func() (int64, error) { return 0, errors.New("more than " + string(Append(nil, limit, units[0]))) }
	if len(number) > 24 {
		return 0, errors.New("too long")
	}
	var v int64
	digits, decimals := 0, -1
	for _, c := range []byte(number) {
		switch {
		case '0' <= c && c <= '9':
			digits++
			if decimals >= 0 {
				if decimals++; decimals > 3 {
					return 0, errors.New("more than three decimals")
				}
			}
			if v = v*10 + int64(c-'0'); v > limit/Step {
				return tooMuch()
			}
		case c == '.' && decimals < 0 && digits > 0:
			decimals = 0
		case c == '-':
			return 0, errors.New("a load is not negative")
		default:
			return malformed()
		}
	}
	if digits == 0 || decimals == 0 {
		return malformed()
	}
	for range 3 - max(decimals, 0) {
		v *= 10
	}
	if v > limit/Step {
		return tooMuch()
	}
	return v * Step, nil
}

// Append appends v as a decimal without needless zeros, and the unit.
func Append(b []byte, v int64, unit string) []byte {
	n := uint64(v)
	if v < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendUint(b, n/Unit, 10)
	if part := n % Unit; part != 0 {
		b = append(b, '.')
		for scale := uint64(Unit / 10); part != 0; scale /= 10 {
			b = append(b, byte('0'+part/scale))
			part %= scale
		}
	}
	b = append(b, ' ')
	return append(b, unit...)
}
