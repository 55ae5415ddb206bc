package golden

import (
	"fmt"
	"strings"
	"testing"
)

func TestDiff(t *testing.T) {
	for _, c := range []struct{ was, now, want string }{
		{"", "", ""},
		{"a\nb\n", "a\nb\n", ""},
		{"a\nb\nc\n", "a\nB\nc\n", "-2 b\n+2 B\n"},
		{"a\nb\nc\n", "a\nnew\nb\nc\n", "+2 new\n"},
		{"a\nb\nc\n", "a\nc\n", "-2 b\n"},
		{"a\nb\nc\nd\n", "a\nx\nc\ny\n", "-2 b\n+2 x\n-4 d\n+4 y\n"},
		{"a\nb", "a\nb\n", "-2 b (no line end)\n+2 b\n+3  (no line end)\n"},
		{"same\nsame\n", "same\nsame\nsame\n", "+3 same\n"},
	} {
		if got := Diff(c.was, c.now); got != c.want {
			t.Errorf("%q to %q:\n%swant\n%s", c.was, c.now, got, c.want)
		}
	}
	// One changed line of many is told alone; of many changed ones, forty and how many more.
	var was, now strings.Builder
	for i := range 20_000 {
		fmt.Fprintln(&was, i)
	}
	text := was.String()
	if got := Diff(text, strings.Replace(text, "\n777\n", "\nseven\n", 1)); got != "-778 777\n+778 seven\n" {
		t.Errorf("one line of many: %.300s", got)
	}
	for i := range 20_000 {
		fmt.Fprintln(&now, i+50_000)
	}
	got := Diff(text, now.String())
	if strings.Count(got, "\n") != 41 || !strings.HasSuffix(got, "\nand 39960 lines more\n") {
		t.Errorf("all lines: %.300s", got)
	}
}
