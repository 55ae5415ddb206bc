// Package enum gives the values of a small type their words, both ways.
package enum

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// Words are the words of a type's values, from zero on.
type Words[T ~uint8] struct {
	What  string   // what the value is, as "use"
	Err   error    // what a refusal matches; nil for none
	Words []string // a blank one is no value, but for Blank
	Blank bool     // the first is blank and stands for what is not stated
}

// Has reports whether v is a value of the type.
func (w *Words[T]) Has(v T) bool {
	return int(v) < len(w.Words) && (w.Words[v] != "" || w.Blank && v == 0)
}

// String returns the word of v; of what is no value, what it was to be and its number.
func (w *Words[T]) String(v T) string {
	if w.Has(v) {
		return w.Words[v]
	}
	return fmt.Sprintf("%s %d", w.What, uint8(v))
}

// Check refuses what is no value, and zero where that is none as not stated.
func (w *Words[T]) Check(v T) error {
	if w.Has(v) {
		return nil
	}
	says := fmt.Sprintf("%s %d is unknown", w.What, uint8(v))
	if v == 0 {
		says = w.What + " is not stated"
	}
	return w.refuse(says + ": choose " + strings.Join(w.Choices(), ", "))
}

// Marshal returns the word of v as text; of the zero value that has none, blank text, so
// that a result without it can be written.
func (w *Words[T]) Marshal(v T) ([]byte, error) {
	if v == 0 && w.Words[0] == "" {
		return nil, nil
	}
	if err := w.Check(v); err != nil {
		return nil, err
	}
	return []byte(w.Words[v]), nil
}

// Find returns the value of a word.
func (w *Words[T]) Find(word string) (v T, ok bool) {
	i := slices.Index(w.Words, word)
	if i < 0 || !w.Has(T(i)) {
		return 0, false
	}
	return T(i), true
}

// Unmarshal sets v to the value of a word, blank as [Words.Marshal] writes it. The refusal of any
// other names the word that
// was meant, where that is plain, or the choices.
func (w *Words[T]) Unmarshal(text []byte, v *T) error {
	found, ok := w.Find(string(text))
	if ok || len(text) == 0 && w.Words[0] == "" {
		*v = found
		return nil
	}
	choices := w.Choices()
	if near := visible.Nearest(string(text), choices); near != "" {
		return w.refuse(fmt.Sprintf("%s %s: did you mean %s?", w.What, visible.Quote(string(text)), near))
	}
	return w.refuse(fmt.Sprintf("%s %s: choose %s", w.What, visible.Quote(string(text)),
		strings.Join(choices, ", ")))
}

// Choices returns the words that are not blank.
func (w *Words[T]) Choices() []string {
	return slices.DeleteFunc(slices.Clone(w.Words), func(s string) bool { return s == "" })
}

func (w *Words[T]) refuse(why string) error {
	if w.Err == nil {
		return fmt.Errorf("%s", why)
	}
	return fmt.Errorf("%w: %s", w.Err, why)
}
