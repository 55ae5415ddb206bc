package main

import (
	"io"
	"testing"
)

// BenchmarkReport is the demonstration from its file to the printed page.
func BenchmarkReport(b *testing.B) {
	for b.Loop() {
		j, err := readJob(hall, "hall/hall.json", "")
		if err != nil {
			b.Fatal(err)
		}
		r, err := report(j, "", printer{})
		if err != nil {
			b.Fatal(err)
		}
		if err := r.print(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
