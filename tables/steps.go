package tables

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// Steps finds the first row of a table whose limit holds a value. Make one with
// [NewSteps]; a lookup allocates nothing.
type Steps[K cmp.Ordered] struct {
	limits []K
	rows   []int32
	below  bool
}

// NewSteps gathers the limits of the rows that keep accepts, in the order of the
// table, under the table's boundary rule. The limits must not fall. To look a load
// up in one column of a table keyed by size and grade, keep accepts the rows of
// that grade.
func NewSteps[T any, K cmp.Ordered](r *Rows[T], keep func(*T) (limit K, ok bool)) (Steps[K], error) {
	s := Steps[K]{below: r.table.boundary == Below}
	for i := range r.rows {
		limit, ok := keep(&r.rows[i])
		if !ok {
			continue
		}
		if limit != limit {
			return Steps[K]{}, r.table.rowFault(i, ErrCell, "the limit is not a number")
		}
		if n := len(s.limits); n > 0 && limit < s.limits[n-1] {
			return Steps[K]{}, r.table.rowFault(i, ErrOrder, fmt.Sprintf("limit %v comes after %v", limit, s.limits[n-1]))
		}
		s.limits = append(s.limits, limit)
		s.rows = append(s.rows, int32(i))
	}
	return s, nil
}

func (t *Table) rowFault(row int, cause error, why string) error {
	var l faultList
	l.reportCell(t, row, -1, "", cause, "%s", why)
	return l.Err()
}

// Find returns the first row whose limit is at least x (above x, if the table's
// boundary is below). ok is false if no row holds x, or x is not a number.
func (s *Steps[K]) Find(x K) (row int, ok bool) {
	limits := s.limits
	lo, hi := 0, len(limits)
	if s.below {
		for lo < hi {
			if m := int(uint(lo+hi) >> 1); limits[m] > x {
				hi = m
			} else {
				lo = m + 1
			}
		}
	} else {
		for lo < hi {
			if m := int(uint(lo+hi) >> 1); limits[m] >= x {
				hi = m
			} else {
				lo = m + 1
			}
		}
	}
	if lo == len(limits) {
		return 0, false
	}
	return int(s.rows[lo]), true
}

// Len returns how many rows the steps have.
func (s *Steps[K]) Len() int { return len(s.limits) }

// Row returns the row of step i, and its limit.
func (s *Steps[K]) Row(i int) (row int, limit K) { return int(s.rows[i]), s.limits[i] }

// Curve gives values between the rows of a table whose interpolation is linear.
// Make one with [NewCurve]; a lookup allocates nothing.
type Curve struct {
	x, y []float64
	rows []int32
}

// NewCurve gathers the points that keep accepts, in the order of the table. There
// must be two at least, and x must rise. A table that does not declare linear
// interpolation is refused.
func NewCurve[T any](r *Rows[T], keep func(*T) (x, y float64, ok bool)) (Curve, error) {
	if r.table.interpolation != Linear {
		l := faultList{file: r.table.file}
		l.report(0, 0, "interpolation", ErrHeader, "is %v, a curve needs linear", r.table.interpolation)
		return Curve{}, l.Err()
	}
	var c Curve
	for i := range r.rows {
		x, y, ok := keep(&r.rows[i])
		if !ok {
			continue
		}
		if x-x != 0 || y-y != 0 {
			return Curve{}, r.table.rowFault(i, ErrCell, "the point is not finite")
		}
		if n := len(c.x); n > 0 && x <= c.x[n-1] {
			return Curve{}, r.table.rowFault(i, ErrOrder, fmt.Sprintf("%v comes after %v", x, c.x[n-1]))
		}
		c.x, c.y, c.rows = append(c.x, x), append(c.y, y), append(c.rows, int32(i))
	}
	if len(c.x) < 2 {
		l := faultList{file: r.table.file}
		l.report(0, 0, "", ErrRange, "a curve needs two points, there are %d", len(c.x))
		return Curve{}, l.Err()
	}
	return c, nil
}

// Range returns the least and the greatest x.
func (c *Curve) Range() (least, greatest float64) { return c.x[0], c.x[len(c.x)-1] }

// At returns y on the line between the two rows about x, and those rows; they are
// the same row if x is on it. Outside the range, and for x not a number, the error
// is a [*RangeError]. Nothing is extrapolated.
func (c *Curve) At(x float64) (y float64, row, next int, err error) {
	lo, hi := 0, len(c.x)
	for lo < hi {
		if m := int(uint(lo+hi) >> 1); c.x[m] >= x {
			hi = m
		} else {
			lo = m + 1
		}
	}
	if lo == len(c.x) || lo == 0 && c.x[0] != x {
		return 0, 0, 0, &RangeError{x, c.x[0], c.x[len(c.x)-1]}
	}
	row = int(c.rows[lo])
	if c.x[lo] == x {
		return c.y[lo], row, row, nil
	}
	f := (x - c.x[lo-1]) / (c.x[lo] - c.x[lo-1])
	y = c.y[lo-1] + float64(f*(c.y[lo]-c.y[lo-1]))
	return y, int(c.rows[lo-1]), row, nil
}

// RangeError says that a value lies outside what a table covers. It matches
// [ErrRange].
type RangeError struct{ Value, Least, Greatest float64 }

// Error names the value and the range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%v: %g is not in %g to %g", ErrRange, e.Value, e.Least, e.Greatest)
}

// Is matches ErrRange.
func (e *RangeError) Is(target error) bool { return errors.Is(ErrRange, target) }

// Distinct returns the different values that keep accepts, ascending: the sizes or
// the grades a table has columns for.
func Distinct[T any, K cmp.Ordered](r *Rows[T], keep func(*T) (K, bool)) []K {
	var list []K
	for i := range r.rows {
		if k, ok := keep(&r.rows[i]); ok {
			list = append(list, k)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}
