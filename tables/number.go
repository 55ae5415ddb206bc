package tables

import (
	"cmp"
	"strconv"
	"strings"
)

// parseNumber reads a number as tables print it: 21, 0.70, -3.5, 1.5e-6, and the
// trade's fractions 1/2, 1-1/4 and "1 1/4". Nothing else is a number: no infinity,
// no thousands separator, no leading plus.
func parseNumber(s string) (float64, bool) {
	// Almost every cell is a short decimal: fewer than 16 digits divided by an
	// exact power of ten rounds once, so the result is the nearest float64.
	i, neg := 0, false
	if i < len(s) && s[i] == '-' {
		neg, i = true, 1
	}
	first, digits, decimals, dot := i, 0, 0, false
	var mantissa uint64
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case '0' <= c && c <= '9':
			if digits++; digits > 15 {
				return parseLongNumber(s)
			}
			mantissa = mantissa*10 + uint64(c-'0')
			if dot {
				decimals++
			}
		case c == '.' && !dot && i > first:
			dot = true
		default:
			return parseLongNumber(s)
		}
	}
	if digits == 0 || dot && decimals == 0 {
		return 0, false
	}
	v := float64(mantissa) / powersOfTen[decimals]
	if neg {
		v = -v
	}
	return v, true
}

var powersOfTen = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// maxNumberLength bounds the digits of a number: no table prints more.
const maxNumberLength = 40

func parseLongNumber(s string) (float64, bool) {
	if len(s) > maxNumberLength {
		return 0, false
	}
	if strings.Contains(s, "/") {
		return parseFraction(s)
	}
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case '0' <= c && c <= '9':
		case c == 'e' || c == '-' || c == '.':
			// A point has a digit on either side.
			if c == '.' && (i == 0 || !isDigit(s[i-1]) || i+1 == len(s) || !isDigit(s[i+1])) {
				return 0, false
			}
		default:
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// parseFraction reads n/d, w-n/d and "w n/d".
func parseFraction(s string) (float64, bool) {
	whole := ""
	if i := strings.IndexAny(s, "- "); i > 0 {
		whole, s = s[:i], s[i+1:]
	}
	n, d, _ := strings.Cut(s, "/")
	num, ok1 := parseDigits(n)
	den, ok2 := parseDigits(d)
	w, ok3 := uint64(0), true
	if whole != "" {
		w, ok3 = parseDigits(whole)
	}
	if !ok1 || !ok2 || !ok3 || den == 0 || num >= den {
		return 0, false
	}
	return float64(w*den+num) / float64(den), true
}

// parseDigits reads a whole number of a few digits.
func parseDigits(s string) (uint64, bool) {
	v, err := strconv.ParseUint(s, 10, 64)
	return v, err == nil && len(s) <= 6
}

// compareCells orders key cells: blanks, then numbers by size, then words by
// their bytes.
func compareCells(a, b string) int {
	if a == b {
		return 0
	}
	if a == "" {
		return -1
	}
	if b == "" {
		return 1
	}
	x, okx := parseNumber(a)
	y, oky := parseNumber(b)
	switch {
	case okx && oky:
		return cmp.Compare(x, y)
	case okx:
		return -1
	case oky:
		return 1
	}
	return strings.Compare(a, b)
}

// compareKeys orders two rows by cells that name them: those of the first at some columns, those of
// the second at others.
func compareKeys(row []string, columns []int, other []string, columnsOther []int) int {
	for n, k := range columns {
		if c := compareCells(row[k], other[columnsOther[n]]); c != 0 {
			return c
		}
	}
	return 0
}

// canonical returns one text for all cells that compare as equal.
func canonical(cell string) string {
	if isCanonical(cell) {
		return cell
	}
	if v, ok := parseNumber(cell); ok {
		return strconv.FormatFloat(v+0, 'f', -1, 64) // +0 joins -0 with 0
	}
	return cell
}

// isCanonical reports whether a cell is a short decimal as FormatFloat writes it, or
// is no number. A wrong no costs only time.
func isCanonical(cell string) bool {
	dot := -1
	for i := 0; i < len(cell); i++ {
		if cell[i] == '.' && dot < 0 {
			dot = i
		} else if !isDigit(cell[i]) {
			return false
		}
	}
	n := len(cell)
	if n == 0 || n > 15 || cell[0] == '0' && n > 1 && dot != 1 {
		return false
	}
	return dot < 0 || cell[n-1] != '0'
}
