package lesson_test

import (
	"encoding/json"
	"fmt"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/tables"
)

// One number, with the row that decided it and how far that may be trusted.
func ExampleEngine_Answer() {
	e := lesson.New(tables.Embedded())
	reply, ok := e.Answer([]byte(`{"id":"a","ask":"trap-arm","code":"ipc-2021","size":"2 in"}`), lesson.Options{})
	var line struct {
		Answer map[string]struct {
			Value            float64
			Unit             string
			Standing, Source string
		}
	}
	if err := json.Unmarshal(reply, &line); err != nil {
		fmt.Println(err)
	}
	a := line.Answer["max_length"]
	fmt.Println(ok, a.Value, a.Unit, a.Standing)
	fmt.Println(a.Source)
	// Output:
	// true 8 ft read
	// International Plumbing Code 2021, Table 909.1: size 2 in
}

// A class, of which one answer cannot be read: all else is marked.
func ExampleEngine_MarkClass() {
	paper := []byte(`{"id":"g1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`)
	class, err := lesson.ParseClass([]byte(`{"students":[
		{"name":"Ann","answers":{"g1":{"fall":"9 3/8 in"}}},
		{"name":"Bo","answers":{"g1":{"fall":"9 in"}}},
		{"name":"Cy","answers":{"g1":{"fall":"nine"}}}]}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	sheet, err := lesson.New(tables.Embedded()).MarkClass(paper, class)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range sheet.Students {
		v := s.Verdicts[0]
		fmt.Printf("%s: right %d, slip %q, refused %q\n", s.Name, s.Right, v.Likely, v.Refused)
	}
	// Output:
	// Ann: right 1, slip "", refused ""
	// Bo: right 0, slip "2 % taken for 1/4 in/ft", refused ""
	// Cy: right 0, slip "", refused "fall: quantity \"nine\", byte 0: a number is missing"
}
