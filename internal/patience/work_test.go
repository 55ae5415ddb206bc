package patience_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/units"
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

// TestWriteJSON: what is written is what encoding/json writes, its lists member by member; a work that is done writes no
// end, and an error of the writer or of a member is told.
func TestWriteJSON(t *testing.T) {
	type part struct {
		Name string         `json:"name"`
		More []int          `json:"more,omitempty"`
		Raw  *units.Length  `json:"raw,omitempty"`
		Of   map[string]int `json:"of,omitempty"`
	}
	type whole struct {
		Code  string   `json:"code"`
		Parts []part   `json:"parts"`
		Short []string `json:"short,omitempty"`
		Last  string   `json:"last,omitempty"`
		None  []string `json:"none,omitzero"`
	}
	inch := units.Inch
	for _, v := range []any{
		whole{}, whole{Parts: []part{}, None: []string{}}, whole{Code: `a<"b`, Last: "z", Short: []string{"x", "y"}, Parts: []part{{Name: "é"},
			{More: []int{1, 2}, Raw: &inch}, {Of: map[string]int{"a": 1}}}},
		[]part{}, []part(nil), []part{{Name: "one"}, {Name: "two"}}, []units.Length{inch, 0}, struct{}{},
	} {
		want, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var got bytes.Buffer
		if err := patience.NewWork(t.Context(), "parts").WriteJSON(&got, v, "parts"); err != nil || got.String() != string(want) {
			t.Errorf("%s, %v, want %s", &got, err, want)
		}
	}
	many := make([]int, 2500)
	err := patience.NewWork(patience.Of(2), "numbers").WriteJSON(io.Discard, many, "numbers")
	if want := "numbers: stopped after 2000 of 2500 numbers: context canceled"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	if err := patience.NewWork(t.Context(), "").WriteJSON(io.Discard, []float64{1, math.NaN()}, ""); err == nil {
		t.Error("no number is written as one")
	}
	r, w := io.Pipe()
	r.Close()
	if err := patience.NewWork(t.Context(), "").WriteJSON(w, many, ""); !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("into a closed pipe: %v", err)
	}
}
