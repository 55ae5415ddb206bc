package faults

import (
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

func TestList(t *testing.T) {
	var l List
	if err := l.Err(); err != nil {
		t.Fatalf("an empty list gives %v", err)
	}
	l.Add(units.Fault{File: "hall.json", Line: 3, Column: 7, Item: `point "W3"`, Field: "length", Err: io.ErrUnexpectedEOF})
	l.Addf("", "to", "cycle through %q", "A")
	err := l.Err()
	want := "hall.json:3:7: point \"W3\": length: unexpected EOF\nto: cycle through \"A\""
	if err.Error() != want {
		t.Errorf("got\n%s\nwant\n%s", err, want)
	}
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the cause is not found by errors.Is")
	}
	if f, ok := errors.AsType[*units.Fault](err); !ok || f.Field != "length" {
		t.Errorf("errors.As gives %v", f)
	}
}

func TestListKeepsCount(t *testing.T) {
	var l List
	for range Kept + 5 {
		l.Addf("a", "b", "c")
	}
	if l.Len() != Kept+5 {
		t.Errorf("Len is %d", l.Len())
	}
	if s := l.Err().Error(); !strings.HasSuffix(s, "\nand 5 more faults") {
		t.Errorf("ends in %q", s[len(s)-30:])
	}
}

// TestListFull: full is full at the last fault that is kept; Count counts, Reset forgets.
func TestListFull(t *testing.T) {
	var l List
	for n := range Kept {
		if l.Full() {
			t.Fatalf("full with %d", n)
		}
		l.Addf("a", "b", "c")
	}
	if !l.Full() {
		t.Errorf("not full with %d", l.Len())
	}
	l.Count()
	l.Count()
	if l.Len() != Kept+2 {
		t.Errorf("%d, with two counted", l.Len())
	}
	if l.Reset(); l.Len() != 0 || l.Err() != nil || l.Full() {
		t.Errorf("after a reset: %d, %v", l.Len(), l.Err())
	}
}
