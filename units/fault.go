package units

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// A Fault is one thing wrong with a file, a layout or another input. It is an error. As
// JSON it has the cause as text, "reason".
type Fault struct {
	File   string // "" when the input is no file
	Line   int    // from 1; 0 when the fault belongs to no line
	Column int    // from 1, in bytes; 0 when it belongs to no place or to a whole line
	Item   string // what is at fault, such as `point "W3"`; "" in a table
	Field  string // its field, or the column of a table, such as "length"
	Err    error  // the cause; match it with [errors.Is] on the fault
}

// faultRecord is a fault as JSON has it.
type faultRecord struct {
	File   string `json:"file,omitzero"`
	Line   int    `json:"line,omitzero"`
	Column int    `json:"column,omitzero"`
	Item   string `json:"item,omitzero"`
	Field  string `json:"field,omitzero"`
	Reason string `json:"reason"`
}

// MarshalJSON writes the cause as its text.
func (f Fault) MarshalJSON() ([]byte, error) {
	r := faultRecord{File: f.File, Line: f.Line, Column: f.Column, Item: f.Item, Field: f.Field}
	if f.Err != nil {
		r.Reason = f.Err.Error()
	}
	return json.Marshal(r)
}

// UnmarshalJSON reads what MarshalJSON wrote; the cause comes back as its text, which
// matches no other error.
func (f *Fault) UnmarshalJSON(data []byte) error {
	var r faultRecord
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
	_, ok := errors.AsType[*Faults](err)
	return ok
}

// Unwrap returns the cause.
func (f *Fault) Unwrap() error { return f.Err }

// Faults are all the faults found in one go, in the order of the input. They are an error
// of a line for each fault, and [errors.Is] looks into each. To take an error apart:
//
//	var all *units.Faults
//	if errors.As(err, &all) {
//		for _, f := range all.Faults {
//			fmt.Println(f.Line, f.Item, f.Field, f.Err)
//		}
//	}
type Faults struct {
	Faults []*Fault `json:"faults"`        // those that are kept
	More   int      `json:"more,omitzero"` // how many there are beyond those
}

// Error writes one fault a line.
func (e *Faults) Error() string {
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
func (e *Faults) Unwrap() []error {
	out := make([]error, len(e.Faults))
	for i, f := range e.Faults {
		out[i] = f
	}
	return out
}
