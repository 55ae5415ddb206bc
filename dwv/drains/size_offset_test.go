package drains_test

import (
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// offsetLayout is a stack of two storeys with a horizontal offset of two runs, into
// which a branch comes. upper is the height of the pipe above the offset.
const offsetLayout = `{"finished_floor": "0 ft", "systems": [{"id": "soil", "kind": "soil",
 "outlet": {"id": "street", "kind": "sewer", "invert": "-5 ft"},
 "points": [
  {"id": "drain", "to": "street", "run": {"length": "20 ft", "grade": "1/4 in/ft"}},
  {"id": "yard", "to": "street", "run": {"length": "4 ft", "grade": "1/4 in/ft"}},
  {"id": "beside", "to": "drain", "run": {"length": "4 ft", "grade": "1/4 in/ft"}},
  {"id": "lower", "to": "drain", "run": {"length": "12 ft", "vertical": true}},
  {"id": "offset-2", "to": "lower", "above_floor": true, "run": {"length": "3 ft", "grade": "1/4 in/ft"}},
  {"id": "offset-1", "to": "offset-2", "above_floor": true, "run": {"length": "3 ft", "grade": "1/4 in/ft"}},
  {"id": "joins", "to": "offset-2", "above_floor": true, "run": {"length": "3 ft", "grade": "1/4 in/ft"},
   "fixture": {"fixture": "lavatory", "use": "public"}},
  {"id": "upper", "to": "offset-1", "run": {"length": %q, "vertical": true}},
  {"id": "bath", "to": "upper", "above_floor": true, "run": {"length": "3 ft", "grade": "1/4 in/ft"},
   "fixture": {"fixture": "bathtub", "count": 10}}
 ]}]}`

// The offset of a stack is sized as a building drain by the International Plumbing
// Code, 710.1.1: 3 in carries 42 units at 1/4 in per ft there, and 20 as a branch
// (Tables 710.1(1) and 710.1(2)). A drop of less than a storey is no stack.
func TestStackOffset(t *testing.T) {
	load := func(id string) *dwv.Code {
		c, err := dwv.LoadCode(tables.Embedded(), id)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	ipc, upc := load("ipc-2021"), load("upc-2021")
	for _, tt := range []struct {
		code  *dwv.Code
		upper string
		part  dwv.Part
		size  units.Length // of offset-2, 21 units
	}{
		{ipc, "10 ft", dwv.Drain, 3 * units.Inch},
		{ipc, "8 ft", dwv.Drain, 3 * units.Inch}, // a storey, by the height of a branch interval
		{ipc, "7.99 ft", dwv.Branch, 4 * units.Inch},
		{ipc, "4 ft", dwv.Branch, 4 * units.Inch},
		{upc, "10 ft", dwv.Branch, 3 * units.Inch}, // the code has one table for both
	} {
		l, err := drains.Parse("offset", []byte(fmt.Sprintf(offsetLayout, tt.upper)), tt.code)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(tt.code, drains.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, id := range []string{"offset-1", "offset-2"} {
			if r, _ := s.Of(id); r.Part != tt.part {
				t.Errorf("%v, %s above: %s is a %v, want %v", tt.code, tt.upper, id, r.Part, tt.part)
			}
		}
		for _, id := range []string{"drain", "yard", "beside"} {
			if r, _ := s.Of(id); r.Part != dwv.Drain {
				t.Errorf("%v: %s is a %v", tt.code, id, r.Part)
			}
		}
		for _, id := range []string{"joins", "bath"} {
			if r, _ := s.Of(id); r.Part != dwv.Branch {
				t.Errorf("%v: %s is a %v", tt.code, id, r.Part)
			}
		}
		if r, _ := s.Of("offset-2"); r.Size != tt.size {
			t.Errorf("%v, %s above: %v, %v, want %v", tt.code, tt.upper, r.Size, r.Decided, tt.size)
		}
	}
}
