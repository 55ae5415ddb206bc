package lesson_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/tables"
)

// TestKeyHandedIn: the key of a quiz, handed in as answers, is right throughout; with a value
// that is off it is wrong.
func TestKeyHandedIn(t *testing.T) {
	e := lesson.New(tables.Embedded())
	var paper, key bytes.Buffer
	if err := e.Quiz(lesson.QuizOptions{Number: 300, Seed: 7}, &paper, &key); err != nil {
		t.Fatal(err)
	}
	s := lesson.Student{Name: "Key", Answers: map[string]map[string]json.RawMessage{}}
	for line := range bytes.Lines(key.Bytes()) {
		if bytes.Contains(line, []byte(`"off_by"`)) {
			continue // of a question that is itself a mark
		}
		var r struct {
			ID     string
			Answer map[string]json.RawMessage
		}
		if err := json.Unmarshal(line, &r); err != nil {
			t.Fatal(err)
		}
		s.Answers[r.ID] = r.Answer
	}
	sheet, err := e.MarkClass(paper.Bytes(), []lesson.Student{s})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range sheet.Students[0].Verdicts {
		if !v.Right {
			t.Errorf("%+v", v)
		}
	}
	fall := []byte(`{"id":"q","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`)
	for given, right := range map[string]int{`{"value":9.375,"unit":"in"}`: 1, `{"value":9,"unit":"in"}`: 0, `{"value":9.375,"unit":"ft"}`: 0} {
		s := lesson.Student{Answers: map[string]map[string]json.RawMessage{"q": {"fall": json.RawMessage(given)}}}
		sheet, err := e.MarkClass(fall, []lesson.Student{s})
		if err != nil || sheet.Students[0].Right != right {
			t.Errorf("%s: %+v, %v", given, sheet, err)
		}
	}
}
