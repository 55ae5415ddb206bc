package patience_test

import (
	"context"
	"errors"
	"testing"

	"github.com/trapweir/trapweir/internal/patience"
)

// TestWork: of 2500 steps a work that is done after two questions is asked at 0, 1000 and 2000, stops at 2000, and
// keeps what it said there, whatever is asked later.
func TestWork(t *testing.T) {
	w := patience.NewWork(patience.Of(2), "drawings")
	steps := 0
	for steps < 2500 && w.GoesBetween(steps, 2500, "points") {
		steps++
	}
	if w.Goes(5, 6, "sheets") || w.GoesBetween(1, 6, "sheets") {
		t.Error("goes on when it was stopped")
	}
	const want = "drawings: stopped after 2000 of 2500 points: context canceled"
	if err := w.Err(); steps != 2000 || !errors.Is(err, context.Canceled) || err.Error() != want {
		t.Errorf("after %d steps: %v", steps, err)
	}
	if w := patience.NewWork(t.Context(), ""); !w.Goes(0, 1, "") || !w.GoesBetween(1, 1, "") || w.Err() != nil {
		t.Errorf("stopped without cause: %v", w.Err())
	}
}
