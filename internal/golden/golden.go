// Package golden holds texts to the files that keep them. Only tests import it.
package golden

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the files that the tests keep")

// Updating reports whether the files are to be written.
func Updating() bool { return *update }

// Keep fails the test where the file does not hold the text, with the lines that
// differ; with -update it writes the file.
func Keep(t testing.TB, file, text string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	kept, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := Diff(string(kept), text); diff != "" {
		t.Errorf("%s is not what it was (-kept +now); if that is meant, run bash .ci/update, or this test with -update\n%s",
			file, diff)
	}
}

// KeepPart is [Keep] for what stands in a file between two comments that name it.
func KeepPart(t testing.TB, file, name, text string) {
	t.Helper()
	kept, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- "+name+" -->\n", "<!-- end of "+name+" -->"
	head, rest, ok := strings.Cut(string(kept), begin)
	_, tail, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatalf("%s has no place between %q and %q", file, begin, end)
	}
	Keep(t, file, head+begin+text+end+tail)
}

const (
	mostShown = 40    // lines that are shown of a difference
	mostCells = 4e6   // of the table that matches lines; past it a stretch counts as changed whole
	mostLine  = 1_000 // bytes that are shown of a line
)

// Diff returns the lines that two texts do not share, each with its number: "-3" is
// of the old one, "+3" of the new. It is empty for equal texts.
func Diff(was, now string) string {
	if was == now {
		return ""
	}
	a, b := strings.SplitAfter(was, "\n"), strings.SplitAfter(now, "\n")
	first := 0
	for first < min(len(a), len(b)) && a[first] == b[first] {
		first++
	}
	ends := 0
	for ends < min(len(a), len(b))-first && a[len(a)-1-ends] == b[len(b)-1-ends] {
		ends++
	}
	out := printer{}
	out.stretch(a[first:len(a)-ends], b[first:len(b)-ends], first+1)
	if out.left > 0 {
		fmt.Fprintf(&out.text, "and %d lines more\n", out.left)
	}
	return out.text.String()
}

type printer struct {
	text        strings.Builder
	shown, left int
}

func (p *printer) line(sign byte, number int, line string) {
	if p.shown++; p.shown > mostShown {
		p.left++
		return
	}
	switch text, ended := strings.CutSuffix(line, "\n"); {
	case len(text) > mostLine:
		line = text[:mostLine] + "…"
	case !ended:
		line = text + " (no line end)"
	default:
		line = text
	}
	fmt.Fprintf(&p.text, "%c%d %s\n", sign, number, line)
}

// stretch prints what differs between lines that begin at a number in both texts: all
// but their longest common sequence.
func (p *printer) stretch(a, b []string, number int) {
	i, j := 0, 0
	for _, m := range append(common(a, b), [2]int{len(a), len(b)}) {
		for ; i < m[0]; i++ {
			p.line('-', number+i, a[i])
		}
		for ; j < m[1]; j++ {
			p.line('+', number+j, b[j])
		}
		i, j = i+1, j+1
	}
}

// common returns the places of a longest common sequence; of stretches too long to
// compare, none.
func common(a, b []string) (matches [][2]int) {
	if float64(len(a))*float64(len(b)) > mostCells {
		return nil
	}
	width := len(b) + 1
	longest := make([]int32, (len(a)+1)*width) // from i and j on
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				longest[i*width+j] = longest[(i+1)*width+j+1] + 1
			} else {
				longest[i*width+j] = max(longest[(i+1)*width+j], longest[i*width+j+1])
			}
		}
	}
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch here := longest[i*width+j]; {
		case a[i] == b[j]:
			matches = append(matches, [2]int{i, j})
			i, j = i+1, j+1
		case longest[(i+1)*width+j] == here:
			i++
		default:
			j++
		}
	}
	return matches
}
