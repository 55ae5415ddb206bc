package units

import (
	"fmt"
	"math"
	"strconv"
)

// Format implements [fmt.Formatter]:
//
//	%v %s   exact, as String        %.16v   feet and inches to 1/16 in (1, 2, 4 ... 64)
//	%i      inches to 1/16 in       %.64i   to 1/64 in
//	%#.3i   decimal inches          %.2f    decimal feet, two places
//	%.3m    metres                  %#.1m   millimetres
//	%d      nanometres              %#v     Go syntax
//	%q      quoted
//
// Width pads with spaces, - pads on the right, + writes the plus sign. For more
// control use a [Notation].
func (l Length) Format(s fmt.State, verb rune) {
	prec, hasPrec := s.Precision()
	places := func(otherwise int) int {
		if hasPrec {
			return prec
		}
		return otherwise
	}
	var buf [64]byte
	b := buf[:0]
	if s.Flag('+') && l >= 0 {
		b = append(b, '+')
	}
	switch {
	case verb == 'v' && s.Flag('#'):
		b = append(strconv.AppendInt(append(buf[:0], "units.Length("...), int64(l), 10), ')')
	case (verb == 'v' || verb == 's') && hasPrec:
		b = Notation{Nearest: prec, NoZeroFeet: true}.Append(b, l)
	case verb == 'v' || verb == 's':
		b = l.append(b)
	case verb == 'q':
		b = strconv.AppendQuote(b, l.String())
	case verb == 'd':
		b = append(strconv.AppendInt(b, int64(l), 10), " nm"...)
	case verb == 'i' && s.Flag('#'):
		b = Notation{Form: DecimalInches, Places: places(3)}.Append(b, l)
	case verb == 'i':
		b = Notation{Form: FractionalInches, Nearest: places(16)}.Append(b, l)
	case verb == 'f':
		b = Notation{Form: DecimalFeet, Places: places(2)}.Append(b, l)
	case verb == 'm' && s.Flag('#'):
		b = Notation{Form: DecimalMillimetres, Places: places(0)}.Append(b, l)
	case verb == 'm':
		b = Notation{Form: DecimalMetres, Places: places(3)}.Append(b, l)
	default:
		b = badVerb(verb, "Length", l.append(nil))
	}
	write(s, b)
}

// formatQuantity is the Format of every float64 quantity: %v and %s write the
// text of String; %f, %e and %g and a %v with precision write the number so in the
// customary unit, with # in the metric one.
func formatQuantity(s fmt.State, verb rune, k kind, v float64) {
	prec, hasPrec := s.Precision()
	var buf [64]byte
	b := buf[:0]
	if s.Flag('+') && (v >= 0 || math.IsNaN(v)) {
		b = append(b, '+')
	}
	switch {
	case verb == 'v' && s.Flag('#'):
		b = append(append(append(buf[:0], "units."...), k.typeName()...), '(')
		b = append(strconv.AppendFloat(b, v, 'g', -1, 64), ')')
	case (verb == 'v' || verb == 's') && !hasPrec:
		b = appendShown(b, k, v)
	case verb == 'q':
		b = strconv.AppendQuote(b, string(appendShown(nil, k, v)))
	case verb == 'f', verb == 'e', verb == 'g', verb == 'v', verb == 's':
		u := &unitTable[k][shown[k][0]]
		if s.Flag('#') && len(shown[k]) > 1 {
			u = &unitTable[k][shown[k][1]]
		}
		form := byte('g')
		if verb == 'f' || verb == 'e' {
			form = byte(verb)
			if !hasPrec {
				prec = 6
			}
		} else if !hasPrec {
			prec = -1
		}
		b = strconv.AppendFloat(b, inUnit(v, u), form, min(prec, 40), 64)
		b = append(append(b, ' '), u.symbol...)
	default:
		b = badVerb(verb, k.typeName(), appendShown(nil, k, v))
	}
	write(s, b)
}

func badVerb(verb rune, name string, text []byte) []byte {
	return fmt.Appendf(nil, "%%!%c(units.%s=%s)", verb, name, text)
}

// write pads b to the width asked for.
func write(s fmt.State, b []byte) {
	if width, ok := s.Width(); ok {
		b = pad(make([]byte, 0, max(width, len(b))), b, width, s.Flag('-'))
	}
	s.Write(b) // fmt.State never fails: it appends to fmt's own buffer
}
