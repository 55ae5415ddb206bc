package units

import (
	"strings"
	"unicode/utf8"
)

// maxText is the longest text a parser looks at.
const maxText = 128

// fault is a ParseError in the making. It is a value so that reading a good
// text allocates nothing.
type fault struct {
	err    error
	reason string
	at     int
}

func (f *fault) set(err error, at int, reason string) bool {
	f.err, f.at, f.reason = err, at, reason
	return false
}

// parseError copies the text, so a caller's buffer is not kept alive by it.
func (f *fault) parseError(quantity, text string) *ParseError {
	if len(text) > maxText {
		text = text[:maxText] + "…"
	}
	return &ParseError{Quantity: quantity, Text: strings.Clone(text), Offset: f.at, Reason: f.reason, Err: f.err}
}

// skipSpace returns the index of the first byte at or after i that is not a
// space (ASCII space, tab or line end, or one of the no-break and thin spaces). It is
// small enough to be inlined; most calls find no space.
func skipSpace(s string, i int) int {
	if i < len(s) && (s[i] <= ' ' || s[i] >= utf8.RuneSelf) {
		return skipSpaces(s, i)
	}
	return i
}

func skipSpaces(s string, i int) int { return len(s) - len(strings.TrimLeftFunc(s[i:], isSpace)) }

func isSpace(r rune) bool {
	switch r {
	case ' ', '\t', '\n', '\r', '\u00a0', '\u2009', '\u200a', '\u202f':
		return true
	}
	return false
}

// trimSpace returns the end of s without trailing spaces.
func trimSpace(s string) int { return len(strings.TrimRightFunc(s, isSpace)) }

// scanSign reads one optional leading sign.
func scanSign(s string, i int) (next int, neg bool) {
	if i < len(s) {
		switch {
		case s[i] == '-':
			return i + 1, true
		case s[i] == '+':
			return i + 1, false
		case strings.HasPrefix(s[i:], "−"):
			return i + len("−"), true
		}
	}
	return i, false
}

// dash returns the length of the joining dash at i, or 0.
func dash(s string, i int) int {
	if i >= len(s) {
		return 0
	}
	if s[i] == '-' {
		return 1
	}
	if s[i] == 0xe2 {
		for _, d := range [...]string{"‐", "‑", "–"} {
			if strings.HasPrefix(s[i:], d) {
				return len(d)
			}
		}
	}
	return 0
}

const (
	hintComma    = "a comma is not accepted: write a point for decimals and no mark between thousands"
	hintImproper = "a fraction must be below one: a space or dash before it may be missing"
	hintDigits   = "more than 19 significant digits"
)

// scanNumber reads a number without sign: 12, 12.5, .5, 1.2e-3, 3/8, 6 3/8,
// 6-3/8, 6⅜, ³⁄₈.
func scanNumber(s string, i int, n *number, f *fault) (next int, ok bool) {
	start := i
	i, mant, digits := scanDigits(s, i, 0, 0)
	if digits > 19 {
		return start, f.set(ErrRange, start, hintDigits)
	}
	n.mant, n.wide = mant, uint8(min(i-start, 255))
	whole := i > start
	if i == len(s) {
		if !whole {
			return i, f.set(ErrSyntax, i, "a number is missing")
		}
		return i, true
	}
	switch c := s[i]; {
	case c == '\'' || c == '"':
		if whole {
			return i, true
		}
	case c == '.':
		return scanDecimals(s, i, digits, n, f)
	case c == ',':
		return i, f.set(ErrSyntax, i, hintComma)
	case (c == 'e' || c == 'E') && whole:
		return scanExponent(s, i, n, f)
	}
	return scanFraction(s, i, whole, n, f)
}

// scanDigits reads the digits at i, which go on with a number of so many significant digits.
func scanDigits(s string, i int, mant uint64, digits int) (next int, _ uint64, _ int) {
	for ; i < len(s) && s[i]-'0' <= 9; i++ {
		if mant != 0 || s[i] != '0' {
			digits++
		}
		mant = mant*10 + uint64(s[i]-'0')
	}
	return i, mant, digits
}

// scanWhole reads the digits at i as a whole number, of one that is too great for any use 2^32.
func scanWhole(s string, i int) (next int, v uint64) {
	for ; i < len(s) && s[i]-'0' <= 9; i++ {
		v = min(v*10+uint64(s[i]-'0'), 1<<32)
	}
	return i, v
}

func scanDecimals(s string, i, digits int, n *number, f *fault) (next int, ok bool) {
	point := i
	i, mant, digits := scanDigits(s, i+1, n.mant, digits)
	if i == point+1 {
		return point, f.set(ErrSyntax, point, "digits are missing after the point")
	}
	if digits > 19 {
		return point, f.set(ErrRange, point, hintDigits)
	}
	n.mant, n.exp = mant, int16(point+1-i)
	if i < len(s) {
		switch s[i] {
		case ',':
			return i, f.set(ErrSyntax, i, hintComma)
		case '.':
			return i, f.set(ErrSyntax, i, "a second point: write no mark between thousands")
		case 'e', 'E':
			return scanExponent(s, i, n, f)
		}
	}
	return i, true
}

const (
	maxExponent  = 400
	hintExponent = "the exponent is too great"
)

// scanExponent reads e-3. An e that no digit follows belongs to the unit.
func scanExponent(s string, i int, n *number, f *fault) (next int, ok bool) {
	j, neg := i+1, false
	if j < len(s) && (s[j] == '-' || s[j] == '+') {
		neg = s[j] == '-'
		j++
	}
	first := j
	j, power := scanWhole(s, j)
	if j == first {
		return i, true
	}
	if power > maxExponent {
		return i, f.set(ErrRange, i, hintExponent)
	}
	e := int(power)
	if neg {
		e = -e
	}
	// What is printed has one digit before the point and must be read again.
	lead := int(n.exp) + e
	for m := n.mant; m > 9; m /= 10 {
		lead++
	}
	if lead > maxExponent || lead < -maxExponent {
		return i, f.set(ErrRange, i, hintExponent)
	}
	n.exp += int16(e)
	return j, true
}

// scanFraction reads what may follow a whole number up to i: the rest of a plain
// fraction (whole is then its numerator), or a separator and a fraction.
func scanFraction(s string, i int, whole bool, n *number, f *fault) (next int, ok bool) {
	if w := slash(s, i); w > 0 {
		if !whole {
			return i, f.set(ErrSyntax, i, "a numerator is missing")
		}
		if s[i] == '/' && (i+1 >= len(s) || s[i+1]-'0' > 9) {
			return i, true // 5 /min: not a fraction, the unit's business
		}
		num := n.mant
		n.mant, n.wide = 0, 0
		return scanDenominator(s, i, i+w, num, n, f)
	}
	j := i
	if whole {
		j = skipSpace(s, i)
		if j == i {
			j += dash(s, i)
		}
	}
	if j >= len(s) {
		return i, true
	}
	if c := s[j]; c-'0' <= 9 {
		k, num := scanWhole(s, j)
		w := slash(s, k)
		if w == 0 {
			return i, true
		}
		return scanDenominator(s, k, k+w, num, n, f)
	} else if c < utf8.RuneSelf {
		if !whole {
			return i, f.set(ErrSyntax, i, "a number is missing")
		}
		return i, true
	}
	return scanTypographic(s, i, j, whole, n, f)
}

// slash returns the length of the fraction bar at i, or 0.
func slash(s string, i int) int {
	switch {
	case i >= len(s):
		return 0
	case s[i] == '/':
		return 1
	case strings.HasPrefix(s[i:], "⁄"), strings.HasPrefix(s[i:], "∕"):
		return 3
	}
	return 0
}

// scanDenominator reads ASCII digits at i under num; bar is where the slash was.
func scanDenominator(s string, bar, i int, num uint64, n *number, f *fault) (next int, ok bool) {
	first := i
	i, den := scanWhole(s, i)
	if i == first {
		return i, f.set(ErrSyntax, i, "a denominator is missing")
	}
	return setFraction(bar, i, num, den, n, f)
}

func setFraction(at, next int, num, den uint64, n *number, f *fault) (int, bool) {
	switch {
	case den == 0:
		return at, f.set(ErrSyntax, at, "a denominator is zero")
	case den > 1e6:
		return at, f.set(ErrRange, at, "the denominator is too great")
	case num >= den:
		return at, f.set(ErrAmbiguous, at, hintImproper)
	}
	n.num, n.den = uint32(num), uint32(den)
	return next, true
}

// scanTypographic reads ⅜, ⅟8 or ³⁄₈ at j; i is where the whole number ended.
func scanTypographic(s string, i, j int, whole bool, n *number, f *fault) (next int, ok bool) {
	r, w := utf8.DecodeRuneInString(s[j:])
	if v, ok := vulgar[r]; ok {
		return setFraction(j, j+w, v[0], v[1], n, f)
	}
	k, num := j, uint64(0)
	if r == '⅟' {
		k, num = j+w, 1
	} else {
		for k < len(s) {
			r, w := utf8.DecodeRuneInString(s[k:])
			d := superscript(r)
			if d < 0 {
				break
			}
			num = min(num*10+uint64(d), 1<<32)
			k += w
		}
		bar := slash(s, k)
		if k == j || bar == 0 {
			if !whole {
				return j, f.set(ErrSyntax, j, "a number is missing")
			}
			return i, true
		}
		k += bar
	}
	first, den := k, uint64(0)
	for k < len(s) {
		r, w := utf8.DecodeRuneInString(s[k:])
		d := int(r) - '₀'
		if r < '₀' || r > '₉' {
			d = int(r) - '0'
			if r < '0' || r > '9' {
				break
			}
		}
		den = min(den*10+uint64(d), 1<<32)
		k += w
	}
	if k == first {
		return k, f.set(ErrSyntax, k, "a denominator is missing")
	}
	return setFraction(j, k, num, den, n, f)
}

func superscript(r rune) int {
	switch {
	case r == '¹':
		return 1
	case r == '²':
		return 2
	case r == '³':
		return 3
	case r == '⁰' || r >= '⁴' && r <= '⁹':
		return int(r - '⁰')
	}
	return -1
}

// vulgar holds the fractions that are one character.
var vulgar = map[rune][2]uint64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4}, '⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5},
	'⅙': {1, 6}, '⅚': {5, 6}, '⅐': {1, 7}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8}, '⅑': {1, 9}, '⅒': {1, 10},
}
