package units

// quickFeetInches reads the spelling most drawings and our own output use, in
// one pass: digits, ', an optional - or space, digits, an optional fraction, an
// optional ". It knows nothing else: for any other text, good or bad, ok is false
// and scanLength decides. A test holds it to scanLength's answers.
func quickFeetInches(s string) (l Length, ok bool) {
	i, neg := 0, false
	if len(s) > 0 && s[0] == '-' {
		i, neg = 1, true
	}
	first := i
	i, feet := scanWhole(s, i)
	if i == first || i-first > 6 || i+1 >= len(s) || s[i] != '\'' {
		return 0, false
	}
	if i++; s[i] == '-' || s[i] == ' ' {
		i++
	}
	first = i
	i, inches := scanWhole(s, i)
	if i == first || i-first > 2 || inches > 11 {
		return 0, false
	}
	l = Length(feet)*Foot + Length(inches)*Inch
	if i+1 < len(s) && (s[i] == ' ' || s[i] == '-') {
		first = i + 1
		bar, num := scanWhole(s, first)
		if bar == first || bar-first > 2 || bar == len(s) || s[bar] != '/' {
			return 0, false
		}
		var den uint64
		first = bar + 1
		if i, den = scanWhole(s, first); i == first || i-first > 2 || num >= den || den&(den-1) != 0 || den > 64 {
			return 0, false
		}
		l += Length(num * (64 / den) * uint64(Inch/64))
	}
	if i < len(s) && s[i] == '"' {
		i++
	}
	if neg {
		l = -l
	}
	return l, i == len(s)
}
