package command_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/command"
)

// TestWrite: what is there is written over only if that is asked for, and a refusal writes
// nothing at all.
func TestWrite(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "new", "one.txt"), filepath.Join(dir, "two.txt")
	write := func(text string, force bool) (string, error) {
		var out strings.Builder
		err := command.Write([]command.File{{Name: one, Text: text}, {Name: two, Text: text}}, force, &out)
		return out.String(), err
	}
	holds := func(what string, want ...string) {
		t.Helper()
		for i, name := range []string{one, two} {
			if got, _ := os.ReadFile(name); string(got) != want[i] {
				t.Errorf("%s: %s holds %q, want %q", what, name, got, want[i])
			}
		}
	}
	if out, err := write("first", false); err != nil || out != one+"\n"+two+"\n" {
		t.Errorf("%q, %v", out, err)
	}
	holds("written", "first", "first")
	if err := os.Remove(one); err != nil {
		t.Fatal(err)
	}
	if out, err := write("second", false); err == nil || !strings.Contains(err.Error(), two+" is there: -force") || out != "" {
		t.Errorf("%q, %v", out, err)
	}
	holds("refused", "", "first")
	if out, err := write("third", true); err != nil || out != one+"\n"+two+"\n" {
		t.Errorf("%q, %v", out, err)
	}
	holds("forced", "third", "third")
	if err := command.Write([]command.File{{Name: filepath.Join(two, "three.txt")}}, false, new(strings.Builder)); err == nil {
		t.Error("a folder was made of a file")
	}
	if err := command.Write([]command.File{{Name: dir}}, true, new(strings.Builder)); err == nil {
		t.Error("a file was written over a folder")
	}
}

func TestOpen(t *testing.T) {
	demo := fstest.MapFS{"demo.json": {Data: []byte("demo")}}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.json"), []byte("own"), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	for _, c := range []struct {
		files []string
		want  string
	}{
		{nil, "demo"}, {[]string{"a.json"}, "own"}, {[]string{filepath.Join(dir, "a.json")}, "own"},
	} {
		from, name := command.Open(c.files, demo, "demo.json")
		if got, err := fs.ReadFile(from, name); err != nil || string(got) != c.want {
			t.Errorf("%q: %q, %v", c.files, got, err)
		}
	}
}

func TestRefusals(t *testing.T) {
	line := command.Line{Name: "dig"}
	_, missing := fs.ReadFile(os.DirFS(t.TempDir()), "a.json")
	for _, c := range []struct {
		do   func(*strings.Builder) int
		want string
	}{
		{func(b *strings.Builder) int { return line.Refuse(b, errors.New("too deep")) }, "dig: too deep; -h shows the flags\n"},
		{func(b *strings.Builder) int { return line.Unread(b, errors.New("a.json:3:1: too deep")) }, "a.json:3:1: too deep\n"},
		{func(b *strings.Builder) int {
			return line.Unread(b, fmt.Errorf("reading: stopped after 0 of 9 bytes: %w", context.Canceled))
		}, "dig: reading: stopped after 0 of 9 bytes: context canceled\n"},
		{func(b *strings.Builder) int { return line.Unread(b, missing) }, "dig: a.json: no such file or directory\n"},
	} {
		var b strings.Builder
		if status := c.do(&b); status != command.Refused || b.String() != c.want {
			t.Errorf("status %d, %q, want %q", status, b.String(), c.want)
		}
	}
}
