package draw_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// TestDrawingStops: a drawing that is called off, before or anywhere on its way, makes no sheet and says how far
// it was; left to end it is drawn as without a context. Of 2500 runs it is asked at 0, 1000 and 2000 as they are
// looked at alone, and once for each sheet of parts.
func TestDrawingStops(t *testing.T) {
	north, bare, far := grid(2500), longDrain(120), longDrain(120)
	for i := range 1200 { // rings of one sheet
		far.Notes = append(far.Notes, draw.Note{Key: fmt.Sprint(i), Places: []draw.Place{{ID: fmt.Sprint("ring", i),
			At: draw.Point{X: units.Length(i) * units.Foot / 2, Z: 95 * units.Foot}}}})
	}
	long := draw.Curve{ID: "curve", At: make([]draw.XY, 5)}
	chart := &draw.Chart{}
	for i := range 1500 {
		long.ID = fmt.Sprint("curve", i)
		chart.Curves = append(chart.Curves, long)
	}
	for name, c := range map[string]struct {
		work  func(context.Context) ([]draw.Sheet, error)
		least int64 // how often the context is asked, at least
		said  []string
	}{
		"plan": {func(ctx context.Context) ([]draw.Sheet, error) { return draw.PlanContext(ctx, north, draw.Options{}) }, 40,
			[]string{"0 of 2500 lines looked at", "1000 of 2500 lines looked at", "2000 of 2500 lines looked at",
				"2000 of 2500 marks looked at", "1000 of 2500 lines dealt to sheets", " sheets of 1:"}},
		"isometric": {func(ctx context.Context) ([]draw.Sheet, error) {
			return draw.IsometricContext(ctx, north, draw.Options{})
		}, 40, []string{"0 of 5 angles tried", "4 of 5 angles tried", "2000 of 2500 lines looked at", " sheets of 1:"}},
		"profile": {func(ctx context.Context) ([]draw.Sheet, error) { return draw.ProfileContext(ctx, bare, draw.Options{}) },
			5, []string{"0 of 4 sheets of a profile", "3 of 4 sheets of a profile", "of 120 lines looked at"}},
		"profile with rings": {func(ctx context.Context) ([]draw.Sheet, error) {
			return draw.ProfileContext(ctx, far, draw.Options{})
		}, 30, []string{"of 4 sheets of a profile", "rings of a sheet"}},
		"graph": {func(ctx context.Context) ([]draw.Sheet, error) { return draw.GraphContext(ctx, chart, draw.Options{}) },
			5, []string{"1000 of 1500 lines looked at", "1000 of 1500 lines of a sheet"}},
	} {
		whole := patience.Of(1 << 40)
		want, err1 := c.work(t.Context())
		got, err2 := c.work(whole)
		if err := errors.Join(err1, err2); err != nil || len(want) != len(got) {
			t.Fatalf("%s: %d and %d sheets, %v", name, len(want), len(got), err)
		}
		for i := range want {
			if !bytes.Equal(want[i].SVG, got[i].SVG) {
				t.Errorf("%s: sheet %s differs within a context", name, want[i].Name)
			}
		}
		asked := whole.Asked()
		if asked < c.least {
			t.Errorf("%s: the context is asked %d times, want %d at least", name, asked, c.least)
		}
		all := ""
		stop := func(after int64) {
			sheets, err := c.work(patience.Of(after))
			if !errors.Is(err, context.Canceled) || !strings.HasPrefix(err.Error(), "draw: stopped after ") || sheets != nil {
				t.Errorf("%s: done after %d of %d questions: %d sheets, %v", name, after, asked, len(sheets), err)
				return
			}
			all += err.Error() + "\n"
		}
		step := int64(1)
		for after := int64(0); after < asked; after += step {
			if asked > 60 { // each of the sheets of many labels asks alike
				step = 1 + after/6
			}
			stop(after)
		}
		lacks := func(said string) bool { return !strings.Contains(all, said) }
		for after := int64(0); after < asked && slices.ContainsFunc(c.said, lacks); after++ {
			stop(after) // sheets are drawn at once: which question comes when is not told beforehand
		}
		for _, said := range c.said {
			if lacks(said) {
				t.Errorf("%s: nowhere stopped after %s:\n%s", name, said, all)
			}
		}
	}
}
