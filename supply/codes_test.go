package supply

import (
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// TestCodes: every code of the shelf says what it is and what it covers, and its fixtures
// have labels.
func TestCodes(t *testing.T) {
	list, err := Codes(tables.Embedded())
	if err != nil || len(list) < 9 {
		t.Fatalf("%v, %v", list, err)
	}
	for _, c := range list {
		if c.Title == "" || len(c.Covers) == 0 {
			t.Errorf("%+v", c)
		}
	}
	if !slices.Contains(mustCode(t, "ipc-2021").Fixtures(), tables.Choice{ID: "kitchen-sink", Label: "Kitchen sink"}) {
		t.Errorf("%v", mustCode(t, "ipc-2021").Fixtures())
	}
}
