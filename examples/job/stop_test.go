package job

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
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

// TestJobReadingStops: a job that is called off while its file and its tables of points are read says how far that
// was and is none; left to end it is read as without a context. Its table has 2500 points, its water lines 2000.
func TestJobReadingStops(t *testing.T) {
	table := "id,to,length,fixture\n"
	for i := range 2500 {
		table += fmt.Sprintf("L%d,O,4 ft,lavatory\n", i)
	}
	lines := ""
	for i := range 2000 {
		lines += fmt.Sprintf(`,{"id": "P%d", "from": "A", "length": "4 ft"}`, i)
	}
	fsys := fstest.MapFS{"points.csv": {Data: []byte(table)}, "job.json": {Data: []byte(`{"job": {"code": "ipc-2021"},
		"point_files": [{"system": "s", "file": "points.csv"}],
		"drainage": {"finished_floor": "100 ft", "defaults": {"grade": "1/4 in/ft", "use": "private"}, "systems": [{"id": "s",
			"kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "90 ft"}}]},
		"water": {"source": {"id": "street", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"},
			"points": [{"id": "A", "from": "street", "length": "4 ft"}` + lines + `]}}`)}}
	whole := patience.Of(1 << 40)
	want, err1 := Read(fsys, "job.json", "")
	got, err2 := ReadContext(whole, fsys, "job.json", "")
	if err := errors.Join(err1, err2); err != nil || got.Drains().Len() != 2500 || got.Water().Len() != 2001 ||
		!reflect.DeepEqual(want.Drains().Data(), got.Drains().Data()) || !reflect.DeepEqual(want.tables, got.tables) {
		t.Fatalf("read otherwise within a context: %v", err)
	}
	asked, all := whole.Asked(), ""
	for after := range asked {
		j, err := ReadContext(patience.Of(after), fsys, "job.json", "")
		if !errors.Is(err, context.Canceled) || j != nil {
			t.Errorf("done after %d of %d questions: %v", after, asked, err)
			continue
		}
		all += err.Error() + "\n"
	}
	for _, said := range []string{"reading: stopped after 0 of", "reading: stopped after 1000 of 2501 lines of \"points.csv\"",
		"layout: stopped after 2000 of 2500 points checked", "stopped after the halves of the job were read"} {
		if !strings.Contains(all, said) {
			t.Errorf("nowhere %s:\n%s", said, all)
		}
	}
	late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer stop()
	if _, err := ReadContext(late, fsys, "job.json", ""); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after its deadline: %v", err)
	}
	if _, err := ParseContext(late, "start.json", Start(), ""); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after its deadline: %v", err)
	}
}

// TestSheetsStop: a list of 2500 prices and a book of 2500 shots are asked for at the head and each 1000 lines whether
// they are to be read on.
func TestSheetsStop(t *testing.T) {
	prices := "what,material,size,branch,unit,price,labour\n"
	book := "kind,run,along,reading,elevation\nbenchmark,,,,100 ft\nbacksight,,,5 ft,\n"
	for i := range 2500 {
		prices += fmt.Sprintf("pipe,m%d,3 in,,ft,1.5,2\n", i)
		book += "shot,B,end,9 ft,\n"
	}
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	book = strings.ReplaceAll(book, "shot,B,", "shot,"+j.Drains().Point(0).ID+",")
	for name, c := range map[string]struct {
		read  func(context.Context) (any, error)
		lines int
	}{
		"prices": {func(ctx context.Context) (any, error) {
			return ReadPricesContext(ctx, "prices", strings.NewReader(prices))
		}, 2501},
		"levels": {func(ctx context.Context) (any, error) {
			return ReadLevelsContext(ctx, "levels", strings.NewReader(book), j.Drains())
		}, 2503},
	} {
		for after, at := range []int{0, 1000, 2000} {
			got, err := c.read(patience.Of(int64(after)))
			want := fmt.Sprintf("reading: stopped after %d of %d lines of %q: context canceled", at, c.lines, name)
			if !errors.Is(err, context.Canceled) || !reflect.ValueOf(got).IsNil() || err.Error() != want {
				t.Errorf("%s: %v, want %s", name, err, want)
			}
		}
		if got, err := c.read(patience.Of(3)); err != nil || reflect.ValueOf(got).IsNil() {
			t.Errorf("%s: %v", name, err)
		}
		late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
		if _, err := c.read(late); !errors.Is(err, context.DeadlineExceeded) {
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
