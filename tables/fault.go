package tables

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// The causes of faults in a file; match with [errors.Is].
var (
	ErrNotFound  = errors.New("not on the shelf")
	ErrName      = errors.New("bad name of a file")
	ErrSyntax    = errors.New("malformed file")
	ErrTooLarge  = errors.New("file exceeds a limit")
	ErrHeader    = errors.New("bad header")
	ErrColumn    = errors.New("bad column")
	ErrUnit      = errors.New("wrong unit")
	ErrCell      = errors.New("bad cell")
	ErrStatus    = errors.New("unknown status")
	ErrSource    = errors.New("unknown or repeated source")
	ErrOrder     = errors.New("rows out of order")
	ErrDuplicate = errors.New("repeated key")
	ErrMonotone  = errors.New("breaks a monotone rule")
	ErrAmendment = errors.New("bad amendment")
	ErrType      = errors.New("bad row type")
)

// Why a code does not answer; match with [errors.Is].
var (
	// ErrNotStated means that the code tells apart what the query leaves open.
	ErrNotStated = errors.New("not stated, and the code tells apart")
	// ErrNotInCode means that the code has no such fixture, part or table.
	ErrNotInCode = errors.New("not in the code")
	// ErrNotOnShelf means that the shelf lacks the table or figure, whatever the code
	// itself says. It is an [ErrNotInCode] too.
	ErrNotOnShelf error = notOnShelf{}
	// ErrOutsideTable means that no row of the table fits.
	ErrOutsideTable = errors.New("outside the table")
	// ErrQuery means that a value of a query to a code cannot be, such as a negative size.
	ErrQuery = errors.New("not possible")
)

type notOnShelf struct{}

func (notOnShelf) Error() string { return "not in our tables" }

// Is makes what the shelf lacks a case of what the code does not answer.
func (notOnShelf) Is(target error) bool { return target == ErrNotInCode }

// faultList gathers the faults of one file.
type faultList struct {
	file string
	faults.List
}

// cellAt is a cell of a table; a column of -1 is the row.
type cellAt struct {
	table       *Table
	row, column int
}

// reportCell adds a fault at a cell of a table, wherever its row was written. Finding the line
// costs a pass over the file, so past what
// a list keeps it is only counted: a file of nothing but faults must not cost the
// square of its length.
func (l *faultList) reportCell(at cellAt, field string, cause error, format string, args ...any) {
	if l.Len() >= faults.Kept {
		l.Add(units.Fault{})
		return
	}
	file, line, col := at.table.where(at.row, at.column)
	l.file = file
	l.report(line, col, field, cause, format, args...)
}

// report adds a fault at a place of the file.
func (l *faultList) report(line, column int, field string, cause error, format string, args ...any) {
	l.Add(units.Fault{File: l.file, Line: line, Column: column, Field: field,
		Err: fmt.Errorf("%w: "+format, append([]any{cause}, args...)...)})
}
