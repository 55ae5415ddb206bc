package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/strictjson"
)

// layoutLimits bound a layout file. A point takes about 150 bytes and 20 values.
var layoutLimits = strictjson.Limits{Bytes: 1 << 30, Depth: 16, Values: 100_000_000}

// Parse reads a layout from JSON and builds it; name stands for the text
// in messages, as a file name does. All faults are reported together, each
// with line, column, point and field, and then there is no layout. If codes are
// given, the words for fixtures must be known to them, as [Layout.Build] says.
//
// A flat run without bends whose two ends have plan coordinates may have the length "plan":
// as they lie. A length that is not there at all is a fault, for it may be forgotten.
//
// See [Layout] and the types it is made of for the fields. Quantities are texts
// with a unit; a field that is not known, or given twice, is a fault.
func Parse(name string, data []byte, codes ...*dwv.Code) (*Layout, error) {
	l := new(Layout)
	doc, err := strictjson.Decode(name, "layout", data, l, layoutLimits)
	if err != nil {
		return nil, err
	}
	src := sourceOf(doc, l)
	src.measure(l)
	if _, err := l.index(src, codes); err != nil {
		return nil, err
	}
	return l, nil
}

// UnmarshalJSON reads a layout as [Parse] does.
func (l *Layout) UnmarshalJSON(data []byte) error {
	m, err := Parse("", data)
	if err != nil {
		return err
	}
	*l = *m
	return nil
}

// byPlan stands for the length of a run that its ends on plan give; the tag of
// [Run.Length] names it.
const byPlan = "plan"

// measure gives a length to the runs that leave it to the coordinates of their ends.
func (s *source) measure(l *Layout) {
	var at map[string]*Position
	for sys := range l.Systems {
		for p := range l.Systems[sys].Points {
			pt := &l.Systems[sys].Points[p]
			run := &pt.Run
			if run.Length != 0 {
				continue
			}
			length, stated := s.doc.Member(s.point(sys, p), "run.length")
			if !stated || s.doc.Text(length) != byPlan {
				continue
			}
			if at == nil {
				at = l.positions()
			}
			to := at[pt.To]
			if run.Vertical || len(run.Fittings) > 0 || pt.At == nil || to == nil || *pt.At == *to {
				continue // build says that the length is missing, and what "plan" needs
			}
			run.Length = lengthOnPlan(*pt.At, *to, run.Grade.Float())
		}
	}
}
