package units

import "strings"

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
	if !ok {
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
			return 0, f.set(ErrAmbiguous, rest, "a point after the feet mark: inches begin with a digit, decimal feet have their mark behind")
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
	case !exact && n.den != 0:
		return 0, f.set(ErrRange, at, "the fraction is no whole number of nanometres: write it to 1/64 or with decimals")
	}
	return l, true
}

// lengthUnit reads the unit mark at i. The unit is 0 if there is none.
func lengthUnit(s string, i int) (unit Length, next int) {
	if i >= len(s) {
		return 0, i
	}
	switch c := s[i]; {
	case c == '\'':
		if i+1 < len(s) && s[i+1] == '\'' {
			return Inch, i + 2
		}
		return Foot, i + 1
	case c == '"':
		return Inch, i + 1
	case c == 0xe2 || c == 0xc2 || c == 0xca:
		for _, p := range [...]string{"′", "’", "‘", "´", "ʹ"} {
			if strings.HasPrefix(s[i:], p) {
				if strings.HasPrefix(s[i+len(p):], p) {
					return Inch, i + 2*len(p)
				}
				return Foot, i + len(p)
			}
		}
		for _, p := range [...]string{"″", "”", "“", "ʺ"} {
			if strings.HasPrefix(s[i:], p) {
				return Inch, i + len(p)
			}
		}
	}
	end := i
	if s[i] == 0xc2 || s[i] == 0xce { // µ, μ
		end = min(i+2, len(s))
	}
	for end < len(s) && s[end]|0x20 >= 'a' && s[end]|0x20 <= 'z' {
		end++
	}
	switch s[i:end] {
	case "ft", "FT", "Ft", "feet", "FEET", "foot", "FOOT":
		unit = Foot
	case "in", "IN", "In", "inch", "INCH", "inches", "INCHES":
		unit = Inch
	case "mm":
		unit = Millimetre
	case "cm":
		unit = Centimetre
	case "m":
		unit = Metre
	case "km":
		unit = 1000 * Metre
	case "um", "µm", "μm":
		unit = Micrometre
	case "nm":
		unit = Nanometre
	case "mil":
		unit = Inch / 1000
	case "yd", "YD":
		unit = Yard
	case "mi":
		unit = 5280 * Foot
	default:
		return 0, i
	}
	// ft. and in. are abbreviations with a point.
	if (unit == Foot || unit == Inch) && end-i == 2 && end < len(s) && s[end] == '.' {
		end++
	}
	return unit, end
}

func unknownLengthUnit(s string, i int, f *fault) bool {
	switch {
	case dash(s, i) > 0 || s[i]-'0' <= 9:
		return f.set(ErrAmbiguous, i, "two numbers and no mark between them: mark feet with ' or ft and inches with \" or in")
	case s[i] == ',':
		return f.set(ErrSyntax, i, hintComma)
	}
	return f.set(ErrUnit, i, "not a unit of length: use ft, in, yd, mi, mm, cm, m or km (metric symbols in lower case)")
}
