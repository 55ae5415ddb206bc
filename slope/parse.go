package slope

import (
	"errors"
	"math"
	"math/bits"
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/units"
)

// Parse reads a grade as it is written on drawings:
//
//	1/4 in/ft   0.25 in/ft   1/4" per ft   1 1/2 in per foot   6 in per 20 ft
//	2 %   1.04 percent   10 ‰   20.8 mm/m   2 cm/m   0.02 ft/ft
//	1:48   1 in 48   level
//
// A leading minus makes it rise. Numbers are decimals with a point, fractions below
// one, or mixed numbers, as [units.CutNumber] reads them; nothing is rounded. 11/4 is refused, since it is more often
// 1 1/4 with a lost space than two and three quarters. A bare number is refused, since 0.02 and
// 1/48 do not say of what, and so is a ratio with its greater number first, since
// 2:1 means a bank, not a drain. The error is a [*units.ParseError] that matches
// [units.ErrSyntax], [units.ErrAmbiguous], [units.ErrUnit] or [units.ErrRange].
func Parse(s string) (Grade, error) {
	p := parser{text: s}
	g, ok := p.grade()
	if !ok {
		return Grade{}, &units.ParseError{Quantity: "grade", Text: strings.Clone(clip(s)), Offset: p.pos,
			Reason: p.reason, Err: p.err}
	}
	return g, nil
}

// MustParse is Parse for tests and constants: it panics on an error.
func MustParse(s string) Grade {
	g, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return g
}

// maxText is more than the longest text String makes.
const maxText = 128

func clip(s string) string {
	if len(s) <= maxText {
		return s
	}
	return strings.ToValidUTF8(s[:maxText], "") + "…"
}

type parser struct {
	text   string
	pos    int
	reason string
	err    error
}

// ratio is an exact number, zero or more.
type ratio struct{ num, den uint64 }

func (p *parser) fail(err error, reason string) bool {
	p.err, p.reason = err, reason
	return false
}

func (p *parser) grade() (g Grade, ok bool) {
	if len(p.text) > maxText {
		return g, p.fail(units.ErrRange, "too long for a grade")
	}
	p.spaces()
	if p.word("level") {
		return g, p.end()
	}
	if p.peekWord("vertical") {
		return g, p.fail(units.ErrSyntax, "a vertical run has no grade: leave the grade out and mark the run vertical")
	}
	negative := false
	switch {
	case p.skip("-"), p.skip("−"):
		negative = true
	case p.skip("+"):
	}
	n, ok := p.number()
	if !ok {
		return g, false
	}
	p.spaces()
	value, ok := p.measure(n)
	if !ok || !p.end() {
		return Grade{}, false
	}
	if value.num > math.MaxInt64 || value.den > math.MaxInt64 {
		return Grade{}, p.fail(units.ErrRange, tooLong)
	}
	rise, run := int64(value.num), int64(value.den)
	if rise == 0 {
		return Grade{}, true
	}
	if negative {
		rise = -rise
	}
	return Grade{rise, run}, true
}

const (
	tooLong = "does not fit a ratio of two int64"
	how     = "write 1/4 in/ft, 2 %, 10 ‰, 20 mm/m, 1:48 or level"
)

// measure reads what follows the number n and returns the fall over the run.
func (p *parser) measure(n ratio) (ratio, bool) {
	start := p.pos
	switch {
	case p.pos == len(p.text):
		return n, p.fail(units.ErrUnit, "a number alone does not say of what: "+how)
	case p.skip("%"), p.word("percent"), p.word("per cent"):
		return p.over(n, ratio{100, 1})
	case p.skip("‰"), p.word("per mille"), p.word("permille"):
		return p.over(n, ratio{1000, 1})
	case p.skip(":"):
		return p.oneIn(n)
	}
	rise, ok := p.unit()
	if !ok {
		return n, false
	}
	p.spaces()
	switch {
	case p.skip("/"), p.word("per"):
	case rise == units.Inch && strings.EqualFold(strings.TrimSpace(p.text[start:p.pos]), "in") && p.digit():
		return p.oneIn(n)
	default:
		return n, p.fail(units.ErrUnit, "a fall needs its run after / or per: "+how)
	}
	p.spaces()
	each := ratio{1, 1}
	if p.digit() {
		if each, ok = p.number(); !ok {
			return n, false
		}
		if each.num == 0 {
			return n, p.fail(units.ErrSyntax, "the run must be positive")
		}
		p.spaces()
	}
	run, ok := p.unit()
	if !ok {
		return n, false
	}
	if n, ok = p.over(n, each); !ok {
		return n, false
	}
	a, b := reduce(uint64(run), uint64(rise))
	return p.over(n, ratio{a, b})
}

func (p *parser) oneIn(n ratio) (ratio, bool) {
	p.spaces()
	at := p.pos
	if !p.digit() {
		return n, p.fail(units.ErrSyntax, "a ratio needs a positive number after it, as in 1:48")
	}
	run, ok := p.number()
	if !ok {
		return n, false
	}
	p.spaces()
	if p.pos < len(p.text) {
		return n, p.fail(units.ErrAmbiguous, "one in a number, or a fall per run? write 1 in 48 or 1 in per 8 ft")
	}
	if run.num == 0 {
		p.pos = at
		return n, p.fail(units.ErrSyntax, "the run must be positive")
	}
	if hi, lo := bits.Mul64(n.num, run.den); less(run.num, n.den, hi, lo) {
		p.pos = at
		return n, p.fail(units.ErrAmbiguous, "a ratio has the fall first and the greater run after it, as in 1:48")
	}
	return p.over(n, run)
}

// less reports whether a*b < hi:lo.
func less(a, b, hi, lo uint64) bool {
	h, l := bits.Mul64(a, b)
	return h < hi || h == hi && l < lo
}

// over returns n/d in lowest terms; both come in lowest terms.
func (p *parser) over(n, d ratio) (ratio, bool) {
	if n.num == 0 {
		return ratio{0, 1}, true
	}
	a, b := reduce(n.num, d.num)
	c, e := reduce(d.den, n.den)
	h1, num := bits.Mul64(a, c)
	h2, den := bits.Mul64(e, b)
	if h1 != 0 || h2 != 0 {
		return n, p.fail(units.ErrRange, tooLong)
	}
	return ratio{num, den}, true
}

func reduce(a, b uint64) (uint64, uint64) {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x, b / x
}

// number reads 12, 0.25, .25, 1e-3, 1/4, 1 1/4, 1-1/4, ¼ or 1¼, in lowest terms.
func (p *parser) number() (ratio, bool) {
	switch {
	case p.peek("-"), p.peek("+"), p.peek("−"):
		return ratio{}, p.fail(units.ErrSyntax, "one sign is enough")
	case p.pos == len(p.text):
		return ratio{}, p.fail(units.ErrSyntax, "no grade: "+how)
	}
	num, den, rest, err := units.CutNumber(p.text[p.pos:])
	if pe, ok := errors.AsType[*units.ParseError](err); ok {
		p.pos += pe.Offset
		return ratio{}, p.fail(pe.Err, pe.Reason)
	}
	p.pos = len(p.text) - len(rest)
	if p.peek(",") {
		return ratio{}, p.fail(units.ErrSyntax, "a number has no comma")
	}
	if num == 0 {
		return ratio{0, 1}, true
	}
	num, den = reduce(num, den)
	return ratio{num, den}, true
}

// digit reports whether a number comes next.
func (p *parser) digit() bool {
	if p.ascii() {
		c := p.text[p.pos]
		return '0' <= c && c <= '9' || c == '.'
	}
	_, _, _, err := units.CutNumber(p.text[p.pos:])
	return err == nil
}

// unit reads a unit of length by name, in any case, or mark.
func (p *parser) unit() (units.Length, bool) {
	left := p.text[p.pos:]
	word := len(left)
	for i := range left {
		if !isLetter(left[i]) {
			word = i
			break
		}
	}
	u, rest := units.CutLengthUnit(left)
	if u == 0 {
		u, rest = units.CutLengthUnit(strings.ToLower(left[:word]) + left[word:])
	}
	if u != 0 {
		p.pos = len(p.text) - len(rest)
		return u, true
	}
	name := left[:word]
	switch {
	case strings.EqualFold(name, "deg"), strings.EqualFold(name, "degrees"), p.peek("°"):
		return 0, p.fail(units.ErrUnit, "an angle is not an exact grade: "+how)
	case p.peek(","):
		return 0, p.fail(units.ErrSyntax, "a number has no comma")
	}
	return 0, p.fail(units.ErrUnit, "unknown unit: "+how)
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// spaces skips spaces, tabs, and the no-break and thin ones that word
// processors put before a percent sign.
func (p *parser) spaces() {
	if p.ascii() && p.text[p.pos] > ' ' {
		return
	}
	for p.skip(" ") || p.skip("\t") || p.skip("\n") || p.skip("\r") || p.skip("\u00a0") || p.skip("\u202f") ||
		p.skip("\u2009") {
	}
}

// ascii reports whether an ASCII character comes next.
func (p *parser) ascii() bool { return p.pos < len(p.text) && p.text[p.pos] < utf8.RuneSelf }

func (p *parser) peek(s string) bool { return strings.HasPrefix(p.text[p.pos:], s) }

func (p *parser) skip(s string) bool {
	if !p.peek(s) {
		return false
	}
	p.pos += len(s)
	return true
}

// word skips a whole word, in any case.
func (p *parser) word(w string) bool {
	if !p.peekWord(w) {
		return false
	}
	p.pos += len(w)
	return true
}

func (p *parser) peekWord(w string) bool {
	rest := p.text[p.pos:]
	return len(rest) >= len(w) && strings.EqualFold(rest[:len(w)], w) && !(len(rest) > len(w) && isLetter(rest[len(w)]))
}

func (p *parser) end() bool {
	p.spaces()
	if p.pos < len(p.text) {
		return p.fail(units.ErrSyntax, "nothing may follow")
	}
	return true
}
