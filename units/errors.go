package units

import (
	"errors"
	"fmt"
)

// Why a text or a conversion was refused. Match with [errors.Is].
var (
	// ErrSyntax: the text is not a number with a unit.
	ErrSyntax = errors.New("not understood")
	// ErrAmbiguous: the text has two readings.
	ErrAmbiguous = errors.New("ambiguous")
	// ErrUnit: the unit is missing, unknown, or of another quantity.
	ErrUnit = errors.New("wrong unit")
	// ErrRange: the number is too great, too fine, or physically impossible. It is
	// matched by every refusal of a number by a package of this module.
	ErrRange = errors.New("out of range")
)

// ErrNoSolution is matched by the refusal of a question that has no answer in the
// range of a formula, such as a bore for a loss that no pipe can have.
var ErrNoSolution = errors.New("no solution in the range of the formula")

// ParseError tells what a text was refused for and where.
type ParseError struct {
	Quantity string // what was to be read, such as "length"
	Text     string // the whole text (cut if very long)
	Offset   int    // byte offset in the text the reason points at
	Reason   string // what is wrong and what to write instead
	Err      error  // ErrSyntax, ErrAmbiguous, ErrUnit or ErrRange
}

// Error names the quantity, the text, the place and the reason.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%s %q, byte %d: %s", e.Quantity, e.Text, e.Offset, e.Reason)
}

// Unwrap returns the sentinel that classes the fault.
func (e *ParseError) Unwrap() error { return e.Err }

// A RangeError names a number that a formula or a table cannot take, and what it
// takes. It matches [ErrRange].
type RangeError struct {
	Name    string // what the number is, as "depth ratio" or "bore"
	Value   string // as it was refused, with its unit: "1.2", "-3 in"
	Allowed string // with units: "greater than 0 and at most 1"
}

// Error reads "depth ratio: 1.2 is not greater than 0 and at most 1".
func (e *RangeError) Error() string { return e.Name + ": " + e.Value + " is not " + e.Allowed }

// Unwrap returns [ErrRange].
func (e *RangeError) Unwrap() error { return ErrRange }
