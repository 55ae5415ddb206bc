package job

import (
	"strconv"
	"strings"
)

// Quantity is a figure as people read it, with its unit: `2 in`, `9'-4"`, `98.17 ft`,
// "14 dfu", "level". So it stands in JSON; [Quantity.Value] reads the number off it.
type Quantity string

// Value returns the number that the text says, and its unit. Feet and inches are in
// inches, a grade of one in so many in "1:n"; ok is false of words.
func (q Quantity) Value() (value float64, unit string, ok bool) {
	text := string(q)
	sign := 1.0
	if rest, minus := strings.CutPrefix(text, "-"); minus {
		sign, text = -1, rest
	}
	if feet, rest, found := strings.Cut(text, "'-"); found {
		inches, closed := strings.CutSuffix(rest, `"`)
		f, okFeet := number(feet)
		in, okInches := number(inches)
		return sign * (12*f + in), "in", closed && okFeet && okInches
	}
	if n, found := strings.CutPrefix(text, "1:"); found {
		v, ok := number(n)
		return sign * v, "1:n", ok
	}
	if n, found := strings.CutPrefix(text, "DN "); found {
		v, ok := number(n)
		return v, "DN", ok
	}
	if n, found := strings.CutSuffix(text, `"`); found {
		v, ok := number(n)
		return sign * v, "in", ok
	}
	i := strings.LastIndexByte(text, ' ')
	if i < 0 {
		v, ok := number(text)
		return sign * v, "", ok
	}
	v, ok := number(text[:i])
	return sign * v, text[i+1:], ok
}

// number reads 3, 0.25, 1/4, 1 1/4 and 1-1/4.
func number(text string) (float64, bool) {
	whole, part, mixed := strings.Cut(strings.ReplaceAll(text, "-", " "), " ")
	if !mixed {
		whole, part = "0", whole
	}
	w, err := strconv.ParseFloat(whole, 64)
	if err != nil {
		return 0, false
	}
	num, den, isFraction := strings.Cut(part, "/")
	n, err := strconv.ParseFloat(num, 64)
	if err != nil || !isFraction {
		return w + n, err == nil && !mixed
	}
	d, err := strconv.ParseFloat(den, 64)
	return w + n/d, err == nil && d != 0
}
