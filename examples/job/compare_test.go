package job

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestOneSize(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"3 in", "DN 80", true}, {"4 in", "DN 100", true}, {"3 in", "4 in", false}, {"1 1/4 in", "1 1/2 in", false},
		{"22 x 1.0 mm", "22 x 1.0 mm", true}, {"22 x 1.0 mm", "28 x 1.0 mm", false},
	} {
		if got := oneSize(tt.a, tt.b); got != tt.want {
			t.Errorf("%s and %s: %v", tt.a, tt.b, got)
		}
	}
}

// TestCompareCodesStops: it tells of each code before it is judged, and judges no more once it is stopped.
func TestCompareCodesStops(t *testing.T) {
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var told []string
	o := Options{Tell: func(text string) {
		if told = append(told, text); len(told) == 2 {
			stop()
		}
	}}
	if _, err := j.CompareCodes(ctx, []string{"ipc-2021", "upc-2021", "nspc-2018"}, o); !errors.Is(err, context.Canceled) {
		t.Errorf("not stopped: %v", err)
	}
	if d := cmp.Diff([]string{"ipc-2021, code 1 of 3", "upc-2021, code 2 of 3"}, told); d != "" {
		t.Error(d)
	}
}
