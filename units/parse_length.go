package units

import (
	"strings"
	"unicode/utf8"
)

func parseLength(s string) (Length, error) {
	if l, ok := quickFeetInches(s); ok {
		return l, nil
	}
	var f fault
	if l, ok := scanLength(s, &f); ok {
		return l, nil
	}
	return 0, f.parseError("length", s)
}

func scanLength(s string, f *fault) (Length, bool) {
	if len(s) > maxText {
		return 0, f.set(ErrSyntax, maxText, "the text is too long for a length")
	}
	i := skipSpace(s, 0)
	if i == len(s) {
		return 0, f.set(ErrSyntax, i, "there is no text")
	}
	i, neg := scanSign(s, i)
	var n number
	at := i
	i, ok := scanNumber(s, i, &n, f)
	switch {
	case ok:
	case strings.HasPrefix(s[at:], "DN"):
		return 0, f.set(ErrUnit, at,
			"DN names a pipe and is no length: write the size as the pipe is sold, such as 22 mm")
	default:
		return 0, false
	}
	mark := skipSpace(s, i)
	unit, i := lengthUnit(s, mark)
	var l Length
	switch unit {
	case Foot:
		if l, ok = lengthOf(&n, Foot, at, f); !ok {
			return 0, false
		}
		rest := skipSpace(s, i)
		if rest == len(s) {
			break
		}
		if !n.isWhole() {
			return 0, f.set(ErrAmbiguous, rest, "inches may follow whole feet only")
		}
		inches, ok := scanInches(s, i, rest, f)
		if !ok {
			return 0, false
		}
		if l += inches; l > MaxLength {
			return 0, f.set(ErrRange, at, tooLong)
		}
	case 0:
		switch {
		case i < len(s):
			return 0, unknownLengthUnit(s, i, f)
		case n.den == 0:
			return 0, f.set(ErrUnit, i, "a unit is missing: write ft, in, mm or m after the number")
		}
		unit = Inch
		fallthrough
	default:
		if l, ok = lengthOf(&n, unit, at, f); !ok {
			return 0, false
		}
		if rest := skipSpace(s, i); rest < len(s) {
			return 0, f.set(ErrSyntax, rest, "text follows the length")
		}
	}
	if neg {
		l = -l
	}
	return l, true
}

// scanInches reads what follows whole feet that ended at i; rest is the first
// byte after i that is no space.
func scanInches(s string, i, rest int, f *fault) (Length, bool) {
	if w := dash(s, rest); w > 0 {
		after := skipSpace(s, rest+w)
		if rest > i && after == rest+w {
			return 0, f.set(ErrAmbiguous, rest, "a sign between feet and inches: one sign stands in front of the whole")
		}
		rest = after
	}
	if rest < len(s) {
		switch s[rest] {
		case ',':
			return 0, f.set(ErrSyntax, rest, hintComma)
		case '.':
			return 0, f.set(ErrAmbiguous, rest,
				"a point after the feet mark: inches begin with a digit, decimal feet have their mark behind")
		}
	}
	var n number
	end, ok := scanNumber(s, rest, &n, f)
	if !ok {
		return 0, false
	}
	if n.wide > 2 {
		return 0, f.set(ErrAmbiguous, rest, "inches after feet are below 12; ' does not group thousands")
	}
	mark := skipSpace(s, end)
	unit, i := lengthUnit(s, mark)
	if unit == 0 && mark < len(s) {
		return 0, unknownLengthUnit(s, mark, f)
	}
	if unit != 0 && unit != Inch {
		return 0, f.set(ErrAmbiguous, mark, "after feet only inches may follow")
	}
	l, ok := lengthOf(&n, Inch, rest, f)
	if !ok {
		return 0, false
	}
	if l >= Foot {
		return 0, f.set(ErrRange, rest, "inches after feet must be below 12")
	}
	if i = skipSpace(s, i); i < len(s) {
		return 0, f.set(ErrSyntax, i, "text follows the length")
	}
	return l, true
}

const tooLong = "longer than 1000 km"

func lengthOf(n *number, unit Length, at int, f *fault) (Length, bool) {
	l, exact, ok := n.times(uint64(unit))
	switch {
	case !ok:
		return 0, f.set(ErrRange, at, tooLong)
	case l == 0 && (n.mant != 0 || n.num != 0):
		return 0, f.set(ErrRange, at, "shorter than can be laid: less than a nanometre")
	case !exact && n.den != 0:
		return 0, f.set(ErrRange, at,
			"the fraction is no whole number of nanometres: write it to 1/64 or with decimals")
	}
	return l, true
}

// CutLengthUnit reads the unit of length that s begins with, a word or a mark (ft, in.,
// ", ′), and returns what follows it; the unit is 0 if there is none. It is for
// texts in which a length stands beside something else, such as 1/4 in/ft.
func CutLengthUnit(s string) (unit Length, rest string) {
	unit, next := lengthUnit(s, 0)
	return unit, s[next:]
}

// lengthUnit reads the unit at i, a word or a mark. The unit is 0 if there is none
// that is a whole number of nanometres.
func lengthUnit(s string, i int) (unit Length, next int) {
	end := i
	for end < len(s) && s[end]|0x20 >= 'a' && s[end]|0x20 <= 'z' {
		end++
	}
	known := spelling()[kindLength]
	if end == i { // a mark, which twice may be another; or µm
		_, w := utf8.DecodeRuneInString(s[i:])
		if end += w; end < len(s) && (s[i:end] == "µ" || s[i:end] == "μ") {
			w = 1
		}
		if _, ok := known[s[i:min(end+w, len(s))]]; ok {
			end = min(end+w, len(s))
		}
	} else if end < len(s) && s[end] == '.' { // in. and ft. are abbreviations
		if _, ok := known[s[i:end+1]]; ok {
			end++
		}
	}
	if n, ok := known[s[i:end]]; ok {
		if unit = unitTable[kindLength][n].length(); unit != 0 {
			return unit, end
		}
	}
	return 0, i
}

// length returns a unit of length; 0 if it is no whole number of nanometres.
func (u *unit) length() Length {
	if nm := u.num * int64(Metre); nm%u.den == 0 {
		return Length(nm / u.den)
	}
	return 0
}

func unknownLengthUnit(s string, i int, f *fault) bool {
	switch {
	case dash(s, i) > 0 || s[i]-'0' <= 9:
		return f.set(ErrAmbiguous, i,
			"two numbers and no mark between them: mark feet with ' or ft and inches with \" or in")
	case s[i] == ',':
		return f.set(ErrSyntax, i, hintComma)
	}
	// A copy, so that the text of a good length need not escape.
	if u, ok := lookup(kindLength, strings.Clone(s[i:trimSpace(s)])); ok {
		return f.set(ErrUnit, i, u.symbol+" is no whole number of nanometres: convert it to ft")
	}
	return f.set(ErrUnit, i, "not a unit of length: use "+unitList(kindLength)+" (metric symbols in lower case)")
}
