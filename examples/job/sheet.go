package job

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// sheet is a CSV file with a line of heads, which stand in any order. Lines that begin with #
// are remarks. Its faults name the line and the column.
type sheet struct {
	name, item string
	in         *csv.Reader
	at         map[string]int // column of each head
	row        []string       // the last that was read
	faults     faults.List
}

// maxSheet is the greatest sheet that is read.
const maxSheet = 8 << 20

// readSheet reads the line of heads, of which so many may not be left out.
func readSheet(name, item string, r io.Reader, heads []string, needed int) (*sheet, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxSheet+1))
	if err != nil {
		return nil, err
	}
	if len(text) > maxSheet {
		return nil, fmt.Errorf("%s: more than %d bytes", name, maxSheet)
	}
	s := &sheet{name: name, item: item, in: csv.NewReader(bytes.NewReader(text)), at: map[string]int{}}
	s.in.Comment, s.in.TrimLeadingSpace, s.in.FieldsPerRecord = '#', true, -1
	all := strings.Join(heads, ", ")
	if !s.next() && s.faults.Len() == 0 {
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
	return s, s.faults.Err()
}

// next reads a row. It returns false at the end, and where the file is no CSV, which is a fault.
func (s *sheet) next() bool {
	var err error
	s.row, err = s.in.Read()
	if bad, ok := errors.AsType[*csv.ParseError](err); ok {
		s.faults.Add(units.Fault{File: s.name, Line: bad.Line, Column: bad.Column, Item: s.item, Err: bad.Err})
	}
	return err == nil
}

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
