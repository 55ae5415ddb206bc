package jsonedit

import (
	"encoding/json"
	"strconv"
	"strings"
	"testing"
)

func TestApply(t *testing.T) {
	const text = `{"a": [1, "x\"y", true], "b": {"c": null}}`
	if got := Apply(text, nil); got != text {
		t.Error(got)
	}
	if got, want := Apply(text, []byte{0, 3}), `{"1000 km": [1, "x\"y", true], "b": {"c": null}}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	whole := 0
	for a := range 256 {
		for b := range 256 {
			if json.Valid([]byte(Apply(text, []byte{byte(a), byte(b)}))) {
				whole++
			}
		}
	}
	if whole < 256*256/4 {
		t.Errorf("%d of %d edits leave JSON", whole, 256*256)
	}
	if got := Apply("", []byte{1, 2}); got != "" {
		t.Error(got)
	}
}

// TestReach: of a text of a thousand values the edits reach every one, put others in their
// place and change at most sixteen at a time.
func TestReach(t *testing.T) {
	values := make([]string, 1000)
	for i := range values {
		values[i] = strconv.Itoa(5000 + i)
	}
	text := strings.Join(values, "\n")
	reached, moved := map[int]bool{}, map[string]bool{}
	for a := range 256 {
		edits := make([]byte, 40)
		for i := range edits {
			edits[i] = byte(a + 37*(i/2)*(i%2))
		}
		got := strings.Split(Apply(text, edits), "\n")
		if len(got) != len(values) {
			t.Fatalf("%d values become %d", len(values), len(got))
		}
		changed := 0
		for i := range got {
			if got[i] != values[i] {
				reached[i] = true
				moved[got[i]] = true
				changed++
			}
		}
		if changed > 16 {
			t.Errorf("%d values change at a time", changed)
		}
	}
	if len(reached) != len(values) {
		t.Errorf("%d of %d values are reached", len(reached), len(values))
	}
	from := 0
	for v := range moved {
		if n, err := strconv.Atoi(v); err == nil && n >= 5000 {
			from++
		}
	}
	if from < len(values)/2 {
		t.Errorf("%d of %d values are put elsewhere", from, len(values))
	}
}

// TestSixteen: an edit past the sixteenth changes nothing, and one that a corpus keeps goes on to mean the same: of a
// thousand values the first puts the 591st (30 x 53 + 1, less 1000) in place of the 131st, each further one stands 34 on.
func TestSixteen(t *testing.T) {
	values := make([]string, 1000)
	for i := range values {
		values[i] = strconv.Itoa(5000 + i)
	}
	got := strings.Split(Apply(strings.Join(values, "\n"), []byte(strings.Repeat("\x01\x1e", 17))), "\n")
	for k := range 16 {
		values[131+34*k] = "5591"
	}
	if want := strings.Join(values, "\n"); strings.Join(got, "\n") != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
