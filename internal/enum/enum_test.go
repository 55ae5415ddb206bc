package enum

import (
	"errors"
	"testing"
)

type size uint8

var errSize = errors.New("no size")

func TestWords(t *testing.T) {
	for name, w := range map[string]Words[size]{
		"from zero":  {What: "size", Err: errSize, Words: []string{"small", "large"}},
		"from one":   {What: "size", Err: errSize, Words: []string{"", "small", "large"}},
		"not stated": {What: "size", Err: errSize, Words: []string{"", "small", "large"}, Blank: true},
	} {
		first := size(len(w.Words) - 2)
		for i, word := range []string{"small", "large"} {
			v := size(99)
			if err := w.Unmarshal([]byte(word), &v); err != nil || v != first+size(i) {
				t.Errorf("%s: %s is %d, %v", name, word, v, err)
			}
			if text, err := w.Marshal(v); err != nil || string(text) != word || w.String(v) != word || !w.Has(v) {
				t.Errorf("%s: %d is %s, %v, or %s", name, v, text, err, w.String(v))
			}
		}
		var v size
		err := w.Unmarshal(nil, &v)
		if (err == nil) != (w.Words[0] == "") || v != 0 || w.Has(0) != (name != "from one") {
			t.Errorf("%s: nothing is %v, %v", name, v, err)
		}
		for text, want := range map[string]string{
			"Large":  `no size: size "Large": did you mean large?`,
			"small ": `no size: size "small ": did you mean small?`,
			"huge\n": `no size: size "huge\n": choose small, large`,
		} {
			if err := w.Unmarshal([]byte(text), &v); err == nil || err.Error() != want || !errors.Is(err, errSize) ||
				v != 0 {
				t.Errorf("%s: %q is %v, %v", name, text, v, err)
			}
		}
		beyond := first + 2
		if _, err := w.Marshal(beyond); !errors.Is(err, errSize) {
			t.Errorf("%s: %d marshals, %v", name, beyond, err)
		}
	}
	w := Words[size]{What: "size", Words: []string{"", "small"}}
	if got := w.String(0) + ", " + w.String(7) + ", " +
		w.Check(7).Error(); got != "size 0, size 7, size 7 is unknown: choose small" {
		t.Error(got)
	}
}
