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
// given, the words for fixtures must be known to them, as [New] says.
//
// A flat run without bends whose two ends have plan coordinates may have the length "plan":
// as they lie. A length that is not there at all is a fault, for it may be forgotten.
//
// See [Data] and the types it is made of for the fields. Quantities are texts
// with a unit; a field that is not known, or given twice, is a fault.
func Parse(name string, data []byte, codes ...*dwv.Code) (*Layout, error) {
	d, src, err := decode(name, data)
	if err != nil {
		return nil, err
	}
	return newLayout(d, src, codes)
}

// UnmarshalJSON reads the data of a layout strictly: every field must be known and every
// quantity right. What lies across fields is left to [New].
func (l *Data) UnmarshalJSON(data []byte) error {
	d, _, err := decode("", data)
	if err != nil {
		return err
	}
	*l = *d
	return nil
}

// decode reads the data of a layout, with where each part stands in the text.
func decode(name string, data []byte) (*Data, *source, error) {
	d := new(Data)
	doc, err := strictjson.Decode(name, "layout", data, d, layoutLimits)
	if err != nil {
		return nil, nil, err
	}
	src := sourceOf(doc, d)
	src.measure(d)
	return d, src, nil
}

// byPlan stands for the length of a run that its ends on plan give; the tag of
// [Run.Length] names it.
const byPlan = "plan"

// measure gives a length to the runs that leave it to the coordinates of their ends.
func (s *source) measure(l *Data) {
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
