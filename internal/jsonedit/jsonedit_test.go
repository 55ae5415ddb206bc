package jsonedit

import (
	"encoding/json"
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
