package units_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/units"
)

func TestRangeError(t *testing.T) {
	err := fmt.Errorf("point %q: %w", "wc",
		&units.RangeError{Name: "depth ratio", Value: "1.2", Allowed: "greater than 0 and at most 1"})
	if want := `point "wc": depth ratio: 1.2 is not greater than 0 and at most 1`; err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
	if !errors.Is(err, units.ErrRange) || errors.Is(err, units.ErrUnit) {
		t.Error("a RangeError matches ErrRange and no other")
	}
	if r, ok := errors.AsType[*units.RangeError](err); !ok || r.Name != "depth ratio" {
		t.Errorf("found %v, %v", r, ok)
	}
}
