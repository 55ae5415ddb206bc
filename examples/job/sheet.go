package job

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// sheet is a CSV file with a line of heads, which stand in any order. Lines that begin with #
// are remarks. Its faults name the line and the column.
type sheet struct {
	name, item string
	work       *patience.Work
	lines      int // how many there are, and
	rows       int // how many rows were read
	in         *csv.Reader
	at         map[string]int // column of each head
	row        []string       // the last that was read
	faults     faults.List
}

// maxSheet is the greatest sheet that is read.
const maxSheet = 8 << 20

// readSheet reads the line of heads, of which so many may not be left out.
func readSheet(ctx context.Context, name, item string, r io.Reader, heads []string, needed int) (*sheet, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxSheet+1))
	if err != nil {
		return nil, err
	}
	if len(text) > maxSheet {
		return nil, fmt.Errorf("%s: more than %d bytes", name, maxSheet)
	}
	s := &sheet{name: name, item: item, work: patience.NewWork(ctx, "reading"),
		lines: bytes.Count(text, []byte("\n")), in: csv.NewReader(bytes.NewReader(text)), at: map[string]int{}}
	s.in.Comment, s.in.TrimLeadingSpace, s.in.FieldsPerRecord = '#', true, -1
	all := strings.Join(heads, ", ")
	if !s.next() && s.err() == nil {
		return nil, fmt.Errorf("%s: no line of heads: %s", name, all)
	}
	for k, h := range s.row {
		s.at[strings.ToLower(strings.TrimSpace(h))] = k
	}
	for _, want := range heads[:needed] {
		if _, ok := s.at[want]; !ok {
			s.fault(want, fmt.Errorf("no such column; the heads are %s", all))
		}
	}
	return s, s.err()
}

// next reads a row. It returns false at the end, where the file is no CSV, which is a fault, and once the work stopped.
func (s *sheet) next() bool {
	if !s.work.GoesBetween(s.rows, s.lines, "lines of "+visible.Quote(s.name)) {
		return false
	}
	s.rows++
	var err error
	s.row, err = s.in.Read()
	if bad, ok := errors.AsType[*csv.ParseError](err); ok {
		s.faults.Add(units.Fault{File: s.name, Line: bad.Line, Column: bad.Column, Item: s.item, Err: bad.Err})
	}
	return err == nil
}

// err says why the work stopped, or what is wrong.
func (s *sheet) err() error { return cmp.Or(s.work.Err(), s.faults.Err()) }

// fault notes what is wrong in a column of the row, or with the whole sheet after the last row.
func (s *sheet) fault(column string, err error) {
	f := units.Fault{File: s.name, Item: s.item, Field: column, Err: err}
	if len(s.row) > 0 {
		f.Line, f.Column = s.in.FieldPos(min(s.at[column], len(s.row)-1))
	}
	s.faults.Add(f)
}

// cell is what the row has in a column, empty if there is no such column.
func (s *sheet) cell(column string) string {
	if k, ok := s.at[column]; ok && k < len(s.row) {
		return strings.TrimSpace(s.row[k])
	}
	return ""
}
