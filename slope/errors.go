package slope

import (
	"cmp"
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// check returns an error unless v is a length an elevation may have.
func check(what string, v units.Length) error {
	if !v.Valid() {
		return fmt.Errorf("%s: %w: more than %v km from zero", what, units.ErrRange, units.MaxLength.Metres()/1000)
	}
	return nil
}

// checkSize returns an error unless v is zero or more and in range.
func checkSize(what string, v units.Length) error {
	if v < 0 && v.Valid() {
		return fmt.Errorf("%s: %w: %s is negative", what, units.ErrRange, show(v))
	}
	return check(what, v)
}

// checkPositive returns an error unless v is more than zero and in range.
func checkPositive(what string, v units.Length) error {
	if v == 0 {
		return fmt.Errorf("%s: %w: it must be more than zero", what, units.ErrRange)
	}
	return checkSize(what, v)
}

func checkGrade(g Grade) error {
	if !g.Valid() {
		return fmt.Errorf("grade: %w: not a grade", ErrGrade)
	}
	return nil
}

func checkNumber(what string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return fmt.Errorf("%s: %w: %v is not a number", what, units.ErrRange, x)
	}
	return nil
}

// firstOf returns the first error that is one.
func firstOf(errs ...error) error { return cmp.Or(errs...) }

// nearest returns x nanometres as a length, half to even, or an error naming
// what is too long.
func nearest(what string, x float64) (units.Length, error) {
	x = math.RoundToEven(x)
	if !(math.Abs(x) <= float64(units.MaxLength)) {
		return 0, fmt.Errorf("%s: %w: more than %v km", what, units.ErrRange, units.MaxLength.Metres()/1000)
	}
	return units.Length(x), nil
}

// half returns half a length, to the nearest nanometre, half to even.
func half(l units.Length) units.Length { return units.Length(mulDiv(int64(l), 1, 2)) }

// itemName names an entry of a list by its place, counted from one, and its name.
func itemName(kind string, i int, name string) string {
	if name == "" {
		return fmt.Sprintf("%s %d", kind, i+1)
	}
	return fmt.Sprintf("%s %d %q", kind, i+1, name)
}

// note adds errors as faults of an entry of a list, which [itemName] names, and reports whether
// there were none.
func note(list *faults.List, kind string, i int, name, field string, errs ...error) bool {
	return firstOf(errs...) == nil || list.Note(itemName(kind, i, name), field, errs...)
}

// show writes a length for a message, in inches to three decimals and in
// millimetres to two; one that would round to nothing exactly.
func show(l units.Length) string {
	const least = units.Inch / 2000 // rounds to nothing, half to even
	if l != 0 && l.Abs() <= least {
		return l.String()
	}
	round := func(x, scale float64) string {
		return strconv.FormatFloat(math.RoundToEven(x*scale)/scale, 'f', -1, 64)
	}
	return round(l.Inches(), 1000) + " in (" + round(l.Millimetres(), 100) + " mm)"
}
