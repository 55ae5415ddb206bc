package job

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/patience"
)

// TestJobStops: work on a job that was called off, before or while it goes on, says so and answers
// nothing; left to end it answers as it does without a context.
func TestJobStops(t *testing.T) {
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	prices, err := ReadPrices("prices", strings.NewReader("what,material,size,branch,unit,price,labour\n"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, work := range map[string]func(context.Context, *bytes.Buffer) error{
		"report": func(ctx context.Context, out *bytes.Buffer) error {
			r, err := j.ReportContext(ctx, "", Options{})
			if err != nil {
				return err
			}
			return r.WriteJSON(out)
		},
		"report under another code": func(ctx context.Context, out *bytes.Buffer) error {
			r, err := j.ReportContext(ctx, "upc-2021", Options{})
			if err != nil {
				return err
			}
			return r.WriteJSON(out)
		},
		"page":     func(ctx context.Context, out *bytes.Buffer) error { return r.WithContext(ctx).WritePage(out) },
		"drawings": func(ctx context.Context, out *bytes.Buffer) error { return r.WithContext(ctx).ZipDrawings(out) },
		"checklist": func(ctx context.Context, out *bytes.Buffer) error {
			return r.WithContext(ctx).WriteChecklist(out)
		},
		"revisions": func(ctx context.Context, out *bytes.Buffer) error {
			c, err := CompareRevisionsContext(ctx, j, j, "", Options{})
			if err == nil {
				out.WriteString(c.Was)
			}
			return err
		},
		"estimate": func(ctx context.Context, out *bytes.Buffer) error {
			e, err := j.EstimateContext(ctx, "", prices, EstimateOptions{})
			if err == nil {
				out.WriteString(strings.Join(e.Unpriced, "\n"))
			}
			return err
		},
	} {
		var want, got bytes.Buffer
		whole := patience.Of(1 << 40)
		if err := errors.Join(work(context.Background(), &want), work(whole, &got)); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d := cmp.Diff(want.String(), got.String()); d != "" || want.Len() == 0 {
			t.Errorf("%s: %s", name, d)
		}
		asked := whole.Asked()
		for after := int64(0); after < asked; after += 1 + asked/8 {
			var none bytes.Buffer
			err := work(patience.Of(after), &none)
			if !errors.Is(err, context.Canceled) || !strings.Contains(err.Error(), "stopped ") || none.Len() > 0 {
				t.Errorf("%s: done after %d of %d: %v, %d bytes", name, after, asked, err, none.Len())
			}
		}
		late, stop := context.WithDeadline(context.Background(), time.Unix(0, 0))
		if err := work(late, new(bytes.Buffer)); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("%s: after its deadline: %v", name, err)
		}
		stop()
	}
}

// TestDrawingStopsInside: a drawing that is called off while it is drawn says which it was and how many were
// done before it.
func TestDrawingStopsInside(t *testing.T) {
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	whole := patience.Of(1 << 40)
	list, err := figures(r.WithContext(whole), false)
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]int{}
	for after := range whole.Asked() {
		_, err := figures(r.WithContext(patience.Of(after)), false)
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("done after %d questions: %v", after, err)
		}
		for i, f := range list {
			if strings.Contains(err.Error(), fmt.Sprintf("drawings: stopped in %s, after %d were drawn: draw: stopped after ",
				f.name, i)) {
				said[f.name]++
			}
		}
	}
	for _, f := range list {
		if said[f.name] == 0 {
			t.Errorf("never stopped in %s: %v", f.name, said)
		}
	}
}
