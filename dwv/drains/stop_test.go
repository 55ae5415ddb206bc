package drains

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
)

// TestOneSystemStops: one system of 2500 points that is called off while it is sized says in which of its passes,
// or after how many points of one, each in turn: by fixture units five passes and eight more, in two of which it
// looks up after 1000 and 2000 points; by EN 12056-2 six and three, and between them 2500 points at once.
func TestOneSystemStops(t *testing.T) {
	d := &Data{FinishedFloor: 100 * ft}
	sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 90 * ft}}
	for i := range 2500 {
		sys.Points = append(sys.Points, Point{ID: fmt.Sprint("L", i), To: "O",
			Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private},
			Run:     Run{Length: 4 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}})
	}
	d.Systems = []System{sys}
	l := mustNew(t, d)
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	passes := func(from, to, of int) (list []string) {
		for k := from; k < to; k++ {
			list = append(list, fmt.Sprintf("size: stopped in system 1 of 1, after %d of %d passes: context canceled", k, of))
		}
		return list
	}
	const begun = "size: stopped in system 1 of 1: context canceled"
	points := func(in string, k ...int) (list []string) {
		for _, n := range k {
			list = append(list, fmt.Sprintf("size: stopped%s after %d of 2500 points: context canceled", in, n))
		}
		return list
	}
	for name, c := range map[string]struct {
		size func(context.Context) (*Sizing, error)
		want []string
	}{
		"fixture units": {
			func(ctx context.Context) (*Sizing, error) {
				return l.SizeContext(ctx, mustCode(t, "ipc-2021"), Options{})
			},
			slices.Concat([]string{begun}, passes(1, 5, 5), points(" in system 1 of 1,", 1000, 2000), // as loads are summed
				[]string{begun}, passes(1, 5, 8), points(" in system 1 of 1,", 1000, 2000), passes(5, 8, 8)), // as runs are sized
		},
		"EN 12056-2": {
			func(ctx context.Context) (*Sizing, error) {
				return l.SizeEuropeanContext(ctx, standard, EuropeanOptions{})
			},
			slices.Concat([]string{begun}, passes(1, 6, 6), points("", 0, 1000, 2000), []string{begun}, passes(1, 3, 3)),
		},
	} {
		want := c.want
		for after, said := range want {
			ctx := patience.Of(int64(after))
			s, err := c.size(ctx)
			if !errors.Is(err, context.Canceled) || s != nil || err.Error() != said {
				t.Errorf("%s: after %d questions: %v, want %s", name, after, err, said)
			}
		}
		ctx := patience.Of(int64(len(want)))
		if s, err := c.size(ctx); err != nil || s.Len() != 2500 {
			t.Errorf("%s: after %d questions it still asks: %v", name, len(want), err)
		}
	}
}
