// Package thousandths reads and writes fixture units, which are whole numbers of
// thousandths: codes print at most two decimals.
package thousandths

import (
	"errors"
	"strconv"
	"strings"
)

// Parse reads digits with at most three decimals and, optionally, one of the units,
// the first of which also writes the examples in its messages. A sign, an exponent,
// a fourth decimal, another unit and more than limit thousandths are refused; the
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
			if v = v*10 + int64(c-'0'); v > limit {
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
	if v > limit {
		return tooMuch()
	}
	return v, nil
}

// Append appends v thousandths as a decimal without needless zeros, and the unit.
func Append(b []byte, v int64, unit string) []byte {
	n := uint64(v)
	if v < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendUint(b, n/1000, 10)
	if part := n % 1000; part != 0 {
		b = append(b, '.', byte('0'+part/100), byte('0'+part/10%10), byte('0'+part%10))
		for b[len(b)-1] == '0' {
			b = b[:len(b)-1]
		}
	}
	b = append(b, ' ')
	return append(b, unit...)
}
