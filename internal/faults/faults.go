// Package faults gathers everything that is wrong with an input, so that a user
// mends it in one go.
package faults

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// Kept is how many faults a List keeps; the rest are counted.
const Kept = 1000

// List gathers faults. The zero List is ready to use.
type List struct {
	faults []*units.Fault
	more   int
}

// Add appends a fault. Past Kept faults it only counts.
func (l *List) Add(f units.Fault) {
	if len(l.faults) >= Kept {
		l.more++
		return
	}
	l.faults = append(l.faults, &f)
}

// Addf appends a fault of an item's field with a formatted cause; %w wraps.
func (l *List) Addf(item, field, format string, args ...any) {
	l.Add(units.Fault{Item: item, Field: field, Err: fmt.Errorf(format, args...)})
}

// Note appends errors as faults of an item's field, those that are any, and reports whether all
// was well.
func (l *List) Note(item, field string, errs ...error) bool {
	ok := true
	for _, err := range errs {
		if err != nil {
			l.Add(units.Fault{Item: item, Field: field, Err: err})
			ok = false
		}
	}
	return ok
}

// Full reports whether faults are only counted from now on.
func (l *List) Full() bool { return len(l.faults) >= Kept }

// Count counts a fault that is not kept, because the list is full.
func (l *List) Count() { l.more++ }

// Reset forgets all faults.
func (l *List) Reset() { *l = List{} }

// Len returns how many faults were added.
func (l *List) Len() int { return len(l.faults) + l.more }

// Err returns nil if there are no faults, else a *units.Faults with all of them.
func (l *List) Err() error {
	if l.Len() == 0 {
		return nil
	}
	return &units.Faults{Faults: l.faults, More: l.more}
}

// Result returns what was made, and nothing of it where there is an error.
func Result[T any](made T, err error) (T, error) {
	if err != nil {
		var nothing T
		return nothing, err
	}
	return made, nil
}
