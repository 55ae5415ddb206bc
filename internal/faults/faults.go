// Package faults gathers everything that is wrong with an input, so that a user
// mends it in one go. A fault names the file and place, the item, the field and
// the cause.
package faults

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// Fault is one thing wrong with an input.
type Fault struct {
	File   string // "" when the input is not a file
	Line   int    // 1-based; 0 when unknown
	Column int    // 1-based, in bytes; 0 when unknown
	Item   string // what is at fault, such as `point "W3"`
	Field  string // its field, such as "length"
	Err    error  // why
}

// record is a fault as JSON has it.
type record struct {
	File   string `json:"file,omitzero"`
	Line   int    `json:"line,omitzero"`
	Column int    `json:"column,omitzero"`
	Item   string `json:"item,omitzero"`
	Field  string `json:"field,omitzero"`
	Reason string `json:"reason"`
}

// MarshalJSON writes the cause as its text.
func (f Fault) MarshalJSON() ([]byte, error) {
	r := record{File: f.File, Line: f.Line, Column: f.Column, Item: f.Item, Field: f.Field}
	if f.Err != nil {
		r.Reason = f.Err.Error()
	}
	return json.Marshal(r)
}

// UnmarshalJSON reads what MarshalJSON wrote; the cause comes back as its text, which
// matches no other error.
func (f *Fault) UnmarshalJSON(data []byte) error {
	var r record
	if err := json.Unmarshal(data, &r); err != nil {
		return err
	}
	*f = Fault{File: r.File, Line: r.Line, Column: r.Column, Item: r.Item, Field: r.Field}
	if r.Reason != "" {
		f.Err = errors.New(r.Reason)
	}
	return nil
}

// Error writes `file:line:column: item: field: cause`, leaving out what is unknown.
// It is one line, unless the cause is several faults, and holds nothing that a
// terminal would obey, whatever the input holds.
func (f *Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(visible.Text(f.File))
		if f.Line > 0 {
			fmt.Fprintf(&b, ":%d", f.Line)
			if f.Column > 0 {
				fmt.Fprintf(&b, ":%d", f.Column)
			}
		}
		b.WriteString(": ")
	}
	for _, s := range [...]string{visible.Text(f.Item), fieldText(f.Field)} {
		if s != "" {
			b.WriteString(s)
			b.WriteString(": ")
		}
	}
	switch {
	case f.Err == nil:
	case several(f.Err):
		b.WriteString(visible.Lines(f.Err.Error()))
	default:
		b.WriteString(visible.Text(f.Err.Error()))
	}
	return b.String()
}

// fieldText quotes a field that no field of ours is called, as an unknown one may be.
func fieldText(s string) string {
	const longest = 60
	for i := range len(s) {
		if c := s[i]; i >= longest || c <= ' ' || c == '"' || c == '\\' || c >= 0x7f {
			return visible.Quote(s)
		}
	}
	return s
}

// several reports whether an error is made of faults, a line each, which are safe.
func several(err error) bool {
	_, ok := errors.AsType[*Errors](err)
	return ok
}

// Unwrap returns the cause.
func (f *Fault) Unwrap() error { return f.Err }

// Kept is how many faults a List keeps; the rest are counted.
const Kept = 1000

// List gathers faults. The zero List is ready to use.
type List struct {
	faults []*Fault
	more   int
}

// Add appends a fault. Past Kept faults it only counts.
func (l *List) Add(f Fault) {
	if len(l.faults) >= Kept {
		l.more++
		return
	}
	l.faults = append(l.faults, &f)
}

// Addf appends a fault of an item's field with a formatted cause; %w wraps.
func (l *List) Addf(item, field, format string, args ...any) {
	l.Add(Fault{Item: item, Field: field, Err: fmt.Errorf(format, args...)})
}

// Full reports whether faults are only counted from now on.
func (l *List) Full() bool { return len(l.faults) >= Kept }

// Count counts a fault that is not kept, because the list is full.
func (l *List) Count() { l.more++ }

// Reset forgets all faults.
func (l *List) Reset() { *l = List{} }

// Len returns how many faults were added.
func (l *List) Len() int { return len(l.faults) + l.more }

// Err returns nil if there are no faults, else an *Errors with all of them.
func (l *List) Err() error {
	if l.Len() == 0 {
		return nil
	}
	return &Errors{Faults: l.faults, More: l.more}
}

// Errors is the error made of every fault of an input.
type Errors struct {
	Faults []*Fault `json:"faults"`
	More   int      `json:"more,omitzero"` // further faults that were counted and not kept
}

// Error writes one fault a line.
func (e *Errors) Error() string {
	var b strings.Builder
	for i, f := range e.Faults {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(f.Error())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\nand %d more faults", e.More)
	}
	return b.String()
}

// Unwrap returns the faults, for errors.Is and errors.As.
func (e *Errors) Unwrap() []error {
	out := make([]error, len(e.Faults))
	for i, f := range e.Faults {
		out[i] = f
	}
	return out
}
