package units

import (
	"strconv"
	"unicode/utf8"
)

// Form is the way a length is written.
type Form uint8

const (
	FeetInches         Form = iota // 37'-6 3/8"
	FractionalInches               // 450 3/8"
	DecimalFeet                    // 37.53'
	DecimalInches                  // 450.38"
	DecimalMillimetres             // 11439.5 mm
	DecimalCentimetres             // 1143.95 cm
	DecimalMetres                  // 11.440 m
)

// Notation is how to write a length: form, precision and rounding. The zero
// Notation writes feet and inches to the nearest sixteenth. Notations are values,
// there is nothing to set globally.
type Notation struct {
	Form Form
	// Nearest is the denominator of the finest fraction of an inch: 1, 2, 4, 8, 16, 32 or 64. 0 means 16.
	// Fractions are reduced. For FeetInches and FractionalInches only.
	Nearest int
	// Places is the number of decimals, written in full, down to steps that are whole nanometres:
	// 0 to 5 for feet and inches, 6 for millimetres, 7 for centimetres, 9 for metres. For the decimal forms only.
	Places   int
	Rounding Rounding
	// Spelled writes ft and in, with spaces (37 ft 6 3/8 in), for marks.
	Spelled bool
	// NoZeroFeet leaves out the feet of a length below one foot in FeetInches: 6 3/8" for 0'-6 3/8".
	NoZeroFeet bool
}

// forms holds what Notation needs to know of each form.
var forms = [...]struct {
	unit          Length
	places        int
	mark, spelled string
}{
	FeetInches:         {Inch, 0, `"`, " in"},
	FractionalInches:   {Inch, 0, `"`, " in"},
	DecimalFeet:        {Foot, 5, "'", " ft"},
	DecimalInches:      {Inch, 5, `"`, " in"},
	DecimalMillimetres: {Millimetre, 6, " mm", " mm"},
	DecimalCentimetres: {Centimetre, 7, " cm", " cm"},
	DecimalMetres:      {Metre, 9, " m", " m"},
}

// Valid reports whether the notation is one that can be written. Writing with
// one that is not yields text like %!(units.Notation), as fmt does for a bad verb.
func (n Notation) Valid() bool {
	if int(n.Form) >= len(forms) || n.Rounding > Down {
		return false
	}
	if n.Form <= FractionalInches {
		d := n.Nearest
		return d >= 0 && d <= 64 && d&(d-1) == 0
	}
	return n.Places >= 0 && n.Places <= forms[n.Form].places
}

// step returns the finest step of a valid notation, and how many make one of
// the form's unit.
func (n Notation) step() (step Length, perUnit uint64) {
	perUnit = 16
	switch {
	case n.Form > FractionalInches:
		perUnit = powersOfTen[n.Places]
	case n.Nearest > 0:
		perUnit = uint64(n.Nearest)
	}
	return forms[n.Form].unit / Length(perUnit), perUnit
}

// Rounded returns the length that the notation writes and what that leaves out:
// l = shown + rest, rest being negative where l was rounded up. A notation that
// is not valid leaves l as it is.
func (n Notation) Rounded(l Length) (shown, rest Length) {
	if !n.Valid() {
		return l, 0
	}
	step, _ := n.step()
	shown = l.Round(step, n.Rounding)
	return shown, l - shown
}

// Format returns l in this notation. What it writes, [Parse] reads as the
// length [Notation.Rounded] returns; an l that the notation holds exactly comes back as it was.
func (n Notation) Format(l Length) string { return string(n.Append(make([]byte, 0, 32), l)) }

// Append appends l in this notation to b.
func (n Notation) Append(b []byte, l Length) []byte {
	if !n.Valid() {
		return append(b, "%!(units.Notation)"...)
	}
	step, per := n.step()
	count := divide(magnitude(int64(l)), uint64(step), n.Rounding)
	if l < 0 && count > 0 {
		b = append(b, '-')
	}
	form := &forms[n.Form]
	mark := form.mark
	if n.Spelled {
		mark = form.spelled
	}
	if n.Form > FractionalInches {
		b = appendUint(b, count/per)
		if n.Places > 0 {
			b = append(b, '.')
			rest := count % per
			for p := per / 10; p > 0; p /= 10 {
				b = append(b, '0'+byte(rest/p%10))
			}
		}
		return append(b, mark...)
	}
	whole, num := count/per, count%per
	feet := whole / 12
	if n.Form == FeetInches {
		whole %= 12
		if feet > 0 || !n.NoZeroFeet {
			b = appendUint(b, feet)
			if n.Spelled {
				b = append(b, " ft "...)
			} else {
				b = append(b, '\'', '-')
			}
		}
	}
	b = appendFraction(b, whole, num, per, n.Form == FeetInches && (feet > 0 || !n.NoZeroFeet))
	return append(b, mark...)
}

// appendFraction writes whole and num/den, reduced; den is a power of two. A
// whole of zero before a fraction is left out, 3/8, but after feet: 37'-0 3/8".
func appendFraction(b []byte, whole, num, den uint64, zero bool) []byte {
	if num == 0 {
		return appendUint(b, whole)
	}
	if whole > 0 || zero {
		b = append(appendUint(b, whole), ' ')
	}
	for num&1 == 0 {
		num, den = num>>1, den>>1
	}
	b = append(appendUint(b, num), '/')
	return appendUint(b, den)
}

// appendUint is strconv.AppendUint with a short cut for small numbers, which
// feet, inches and numerators mostly are.
func appendUint(b []byte, v uint64) []byte {
	switch {
	case v < 10:
		return append(b, '0'+byte(v))
	case v < 100:
		return append(b, '0'+byte(v/10), '0'+byte(v%10))
	}
	return strconv.AppendUint(b, v, 10)
}

// pad appends text to b, filled with spaces to a width in characters.
func pad(b, text []byte, width int, left bool) []byte {
	fill := width - utf8.RuneCount(text)
	if left {
		b = append(b, text...)
	}
	for ; fill > 0; fill-- {
		b = append(b, ' ')
	}
	if !left {
		b = append(b, text...)
	}
	return b
}
