package slope

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"

	"github.com/shopspring/decimal"
)

// String returns g so that [Parse] reads the same grade back: inches per foot
// where a foot falls a whole number of 1/64 in, else percent where that ends
// within nine decimals, else a ratio; "level" for none.
func (g Grade) String() string { return string(g.appendTo(nil)) }

// AppendText appends the text of [Grade.String].
func (g Grade) AppendText(b []byte) ([]byte, error) {
	if !g.Valid() {
		return b, fmt.Errorf("%w: not a grade", ErrGrade)
	}
	return g.appendTo(b), nil
}

// MarshalText returns the text of [Grade.String].
func (g Grade) MarshalText() ([]byte, error) { return g.AppendText(nil) }

// UnmarshalText reads what [Parse] reads. Empty text is refused.
func (g *Grade) UnmarshalText(text []byte) error {
	h, err := Parse(string(text))
	if err != nil {
		return err
	}
	*g = h
	return nil
}

func (g Grade) appendTo(b []byte) []byte {
	switch {
	case !g.Valid():
		return append(b, "not a grade"...)
	case g.rise == 0:
		return append(b, "level"...)
	}
	if g.rise < 0 {
		b = append(b, '-')
	}
	rise, run := abs(g.rise), uint64(g.run)
	// A fraction of an inch per foot: 12*64*rise must be a multiple of run.
	if n, ok := times(rise, 12*64, run); ok {
		return append(appendFraction(b, n, 64), " in/ft"...)
	}
	if n, ok := times(rise, 100_000_000_000, run); ok {
		return append(appendDecimal(b, n, 9), " %"...)
	}
	if rise < run {
		b = strconv.AppendUint(b, rise, 10)
		b = append(b, ':')
		return strconv.AppendUint(b, run, 10)
	}
	// Parse refuses 9:7, which might be a bank, so that it is spelled out.
	b = strconv.AppendUint(b, rise, 10)
	b = append(b, " ft per "...)
	b = strconv.AppendUint(b, run, 10)
	return append(b, " ft"...)
}

// times returns x*m/d where that is a whole number that fits.
func times(x, m, d uint64) (uint64, bool) {
	hi, lo := bits.Mul64(x, m)
	if hi >= d {
		return 0, false
	}
	q, r := bits.Div64(hi, lo, d)
	return q, r == 0 && q <= math.MaxInt64
}

// appendFraction appends n/den as a mixed number in lowest terms.
func appendFraction(b []byte, n, den uint64) []byte {
	whole, part := n/den, n%den
	if whole > 0 || part == 0 {
		b = strconv.AppendUint(b, whole, 10)
		if part == 0 {
			return b
		}
		b = append(b, ' ')
	}
	part, den = reduce(part, den)
	b = strconv.AppendUint(b, part, 10)
	b = append(b, '/')
	return strconv.AppendUint(b, den, 10)
}

// appendDecimal appends n/10^places without trailing zeros.
func appendDecimal(b []byte, n uint64, places int) []byte {
	scale := uint64(1)
	for range places {
		scale *= 10
	}
	b = strconv.AppendUint(b, n/scale, 10)
	if n %= scale; n > 0 {
		b = append(b, '.')
	}
	for ; n > 0; n %= scale {
		scale /= 10
		b = append(b, byte('0'+n/scale))
	}
	return b
}

// Notation is a way to write a grade.
type Notation uint8

// The notations of [Grade.Text].
const (
	FractionPerFoot     Notation = iota // 1/4 in/ft
	InchesPerFoot                       // 0.25 in/ft
	FeetPerFoot                         // 0.0208 ft/ft
	InPercent                           // 2.08 %
	InPerMille                          // 20.8 ‰
	MillimetresPerMetre                 // 20.8 mm/m
	OneInN                              // 1:48
)

var notations = [...]struct {
	per    int64 // units of fall in one unit of run
	suffix string
}{
	FractionPerFoot:     {12, " in/ft"},
	InchesPerFoot:       {12, " in/ft"},
	FeetPerFoot:         {1, " ft/ft"},
	InPercent:           {100, " %"},
	InPerMille:          {1000, " ‰"},
	MillimetresPerMetre: {1000, " mm/m"},
	OneInN:              {1, ""},
}

// Text returns g in a notation, rounded half to even: precision is the number of
// decimal places (0..18), and for [FractionPerFoot] the denominator of the
// fraction of an inch (a power of two up to 64), which is then reduced. [Parse]
// reads the text, so that one in n steeper than 1:1 is spelled out: 1 ft per 0.50
// ft. What cannot be written so comes out as the text of the error. Rounding
// can hide a shortfall: 2 % in sixteenths is 1/4 in/ft, though it falls less.
// [Grade.Rounded] gives the rounded grade to compare with.
func (g Grade) Text(n Notation, precision int) string {
	b, err := g.appendNotation(nil, n, precision)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

// Rounded returns the grade that [Grade.Text] writes.
func (g Grade) Rounded(n Notation, precision int) (Grade, error) {
	b, err := g.appendNotation(nil, n, precision)
	if err != nil {
		return Grade{}, err
	}
	return Parse(string(b))
}

func (g Grade) appendNotation(b []byte, n Notation, precision int) ([]byte, error) {
	scale := uint64(1)
	switch {
	case !g.Valid():
		return b, fmt.Errorf("%w: not a grade", ErrGrade)
	case int(n) >= len(notations):
		return b, fmt.Errorf("%w: notation %d is unknown", ErrGrade, n)
	case n == FractionPerFoot:
		if precision < 1 || precision > 64 || precision&(precision-1) != 0 {
			return b, fmt.Errorf("%w: a fraction of an inch has a power of two up to 64 below it, not %d", ErrGrade,
				precision)
		}
		scale = uint64(precision)
	case precision < 0 || precision > 18:
		return b, fmt.Errorf("%w: %d decimal places: 0 to 18", ErrGrade, precision)
	}
	if n == OneInN {
		if g.rise == 0 {
			return append(b, "level"...), nil
		}
		if g.rise < 0 {
			b = append(b, '-')
		}
		d := divide(big.NewInt(g.run), new(big.Int).Abs(big.NewInt(g.rise)), int32(precision))
		run := d.StringFixed(int32(precision))
		switch {
		case d.IsZero():
			return nil, fmt.Errorf("%w: %v is too steep for one in n with %d decimal places", ErrGrade, g, precision)
		case d.Cmp(decimal.NewFromInt(1)) < 0: // see appendTo
			return append(append(append(b, "1 ft per "...), run...), " ft"...), nil
		}
		return append(append(b, "1:"...), run...), nil
	}
	per := big.NewInt(notations[n].per)
	rise, run := g.Ratio()
	if n != FractionPerFoot {
		d := divide(per.Mul(per, big.NewInt(rise)), big.NewInt(run), int32(precision))
		return append(append(b, d.StringFixed(int32(precision))...), notations[n].suffix...), nil
	}
	per.Mul(per, big.NewInt(int64(scale)))
	ticks := divide(per.Mul(per, big.NewInt(rise)), big.NewInt(run), 0).BigInt()
	if ticks.Sign() < 0 {
		b = append(b, '-')
		ticks.Abs(ticks)
	}
	if !ticks.IsUint64() {
		return b, fmt.Errorf("%w: %d/%d is too steep for inches per foot", ErrGrade, rise, run)
	}
	return append(appendFraction(b, ticks.Uint64(), scale), notations[n].suffix...), nil
}

// Format implements [fmt.Formatter]:
//
//	%v %s   exact, as String        %.16v   inches per foot to 1/16 in (1, 2, 4 ... 64)
//	%.2f    percent, two places     %.3i    decimal inches per foot
//	%.1m    millimetres per metre   %q      quoted
//	%#v     Go syntax
//
// Without a precision %f has two places, %i three and %m one. Width pads with
// spaces, - pads on the right, + writes the plus sign. [Grade.Text] has more
// notations.
func (g Grade) Format(f fmt.State, verb rune) {
	precision, has := f.Precision()
	text := func(n Notation, otherwise int) string {
		if !has {
			precision = otherwise
		}
		return g.Text(n, precision)
	}
	var s string
	switch {
	case verb == 'v' && f.Flag('#'):
		s = "slope.MustParse(" + strconv.Quote(g.String()) + ")"
	case verb == 'q':
		s = strconv.Quote(g.String())
	case (verb == 'v' || verb == 's') && has:
		s = text(FractionPerFoot, 0)
	case verb == 'v' || verb == 's':
		s = g.String()
	case verb == 'f':
		s = text(InPercent, 2)
	case verb == 'i':
		s = text(InchesPerFoot, 3)
	case verb == 'm':
		s = text(MillimetresPerMetre, 1)
	default:
		s = "%!" + string(verb) + "(slope.Grade=" + g.String() + ")"
	}
	if f.Flag('+') && g.Valid() && g.rise >= 0 && s[0] >= '0' && s[0] <= '9' {
		s = "+" + s
	}
	width, _ := f.Width()
	if f.Flag('-') {
		width = -width
	}
	fmt.Fprintf(f, "%*s", width, s)
}
