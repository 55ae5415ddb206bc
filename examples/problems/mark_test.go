package main

import (
	"os"
	"testing"
)

// TestMarks keeps verdicts on right, rounded and slipped answers; each line is one
// kind of slip, or a fault of the line.
func TestMarks(t *testing.T) {
	in, err := os.ReadFile("testdata/marks.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	out, _ := solveText(t, string(in), options{})
	golden(t, "marks.golden", out)
}
