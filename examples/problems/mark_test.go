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

// TestFaults keeps the messages of lines that cannot be answered: each names the
// field and what is allowed.
func TestFaults(t *testing.T) {
	in, err := os.ReadFile("testdata/faults.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	out, _ := solveText(t, string(in), options{})
	golden(t, "faults.golden", out)
}
