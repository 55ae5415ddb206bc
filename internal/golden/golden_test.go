package golden

import (
	"fmt"
	"os"
	"path/filepath"
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
		// Two lines that stand in both are kept though one that is met sooner would be kept alone.
		{"a\nb\nc\nd\n", "x\nc\nd\na\ny\n", "-1 a\n-2 b\n+1 x\n+4 a\n+5 y\n"},
		{"x\nc\nd\na\ny\n", "a\nb\nc\nd\n", "-1 x\n+1 a\n+2 b\n-4 a\n-5 y\n"},
		{"a\nb\nc\nd\ne\nf\n", "e\nf\na\nc\nd\nx\n", "+1 e\n+2 f\n-2 b\n-5 e\n-6 f\n+6 x\n"},
		{strings.Repeat("w", 1000), "", "-1 " + strings.Repeat("w", 1000) + " (no line end)\n+1  (no line end)\n"},
		{strings.Repeat("w", 1001) + "\n", "\n", "-1 " + strings.Repeat("w", 1000) + "…\n+1 \n"},
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

// told is a test that says what it was told instead of failing.
type told struct {
	testing.TB
	failed, stopped string
}

func (t *told) Helper() {}

func (t *told) Errorf(format string, args ...any) { t.failed += fmt.Sprintf(format, args...) }

func (t *told) Fatal(args ...any) {
	t.stopped = fmt.Sprint(args...)
	panic(t)
}

// TestKeep: a file that holds the text passes, another fails by what differs, none stops the test; to write them anew
// makes the folder too, and stops where that cannot be.
func TestKeep(t *testing.T) {
	dir := t.TempDir()
	file, under := filepath.Join(dir, "kept", "a.txt"), filepath.Join(dir, "kept", "a.txt", "b.txt")
	defer func(was bool) { *update = was }(*update)
	for _, c := range []struct {
		write           bool
		file, text      string
		failed, stopped string
	}{
		{false, file, "one\n", "", "no such file"},
		{true, file, "one\n", "", ""},
		{false, file, "one\n", "", ""},
		{false, file, "two\n", "-1 one\n+1 two\n", ""},
		{true, under, "one\n", "", "not a directory"},
		{true, dir, "one\n", "", "is a directory"},
	} {
		*update = c.write
		var got told
		func() {
			defer func() {
				if x := recover(); x != nil && x != any(&got) {
					panic(x)
				}
			}()
			Keep(&got, c.file, c.text)
		}()
		if (got.failed == "") != (c.failed == "") || !strings.HasSuffix(got.failed, c.failed) ||
			(got.stopped == "") != (c.stopped == "") || !strings.Contains(got.stopped, c.stopped) {
			t.Errorf("%+v: %q, %q", c, got.failed, got.stopped)
		}
	}
	if text, err := os.ReadFile(file); string(text) != "one\n" {
		t.Errorf("%q, %v", text, err)
	}
}
