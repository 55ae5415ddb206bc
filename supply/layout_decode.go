package supply

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/units"
)

// Parse reads a layout from JSON; name is what messages call the file. Every
// fault is reported in one error, each with file, line, column, item and field:
// unknown and repeated fields, quantities without a unit, unknown points, cycles,
// lengths that cannot be. A layout with faults is not returned in part. If codes are
// given, the pipes must be known to each of them, and the kinds of fixtures, as [New] says.
func Parse(name string, data []byte, codes ...*Code) (*Layout, error) {
	l := new(Layout)
	doc, err := strictjson.Decode(name, "", data, &l.data, strictjson.Limits{})
	if err != nil {
		return nil, err
	}
	fault := faulterOf(doc)
	if err := l.buildFor(codes, fault); err != nil {
		return nil, err
	}
	if err := doc.Faults.Err(); err != nil {
		return nil, err
	}
	return l, nil
}

// faulterOf finds what is at fault in the document. What could not be read is checked
// too, so that all faults come at once; but it is not blamed again for being empty.
func faulterOf(doc *strictjson.Document) faulter {
	dots := strings.NewReplacer("[", ".", "]", "")
	return func(list string, i int, item, field string, err error) {
		at, path := doc.Top(), dots.Replace(field)
		if places := doc.Places(list); i < len(places) {
			at = places[i]
		} else if list != "" {
			at = doc.PlaceOf(at, fmt.Sprintf("%s.%d", list, i))
		} else if item != "" {
			path = item + "." + path
		}
		doc.Fault(at, path, item, field, err)
	}
}

// MarshalJSON writes the layout as [Parse] reads it.
func (l Layout) MarshalJSON() ([]byte, error) { return json.Marshal(&l.data) }

// MarshalJSON writes the device as [Parse] reads it: no loss is a loss of zero.
func (d Device) MarshalJSON() ([]byte, error) {
	type plain Device
	if !d.NoLoss {
		return json.Marshal(plain(d))
	}
	return json.Marshal(struct {
		plain
		Loss units.Pressure `json:"loss"`
	}{plain(d), d.Loss})
}

// MarshalJSON writes the separation as [Parse] reads it: not listed is a listed of false.
func (s Separation) MarshalJSON() ([]byte, error) {
	type plain Separation
	if !s.NotListed {
		return json.Marshal(plain(s))
	}
	return json.Marshal(struct {
		plain
		Listed bool `json:"listed"`
	}{plain(s), false})
}

// UnmarshalJSON reads a layout as [Parse] does, or fails and leaves l as it was.
func (l *Layout) UnmarshalJSON(b []byte) error {
	read, err := Parse("layout", b)
	if err == nil {
		*l = *read
	}
	return err
}

// UnmarshalJSON reads the content of a layout as strictly as [Parse] does, with
// its defaults, or fails and leaves d as it was; [New] checks what it says.
func (d *Data) UnmarshalJSON(b []byte) error {
	var read Data
	doc, err := strictjson.Decode("layout", "", b, &read, strictjson.Limits{})
	if err != nil {
		return err
	}
	if err = doc.Faults.Err(); err == nil {
		*d = read
	}
	return err
}
