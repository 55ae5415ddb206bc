package command_test

import (
	"bytes"
	"flag"
	"io"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/command"
)

func TestLine(t *testing.T) {
	line := command.Line{Name: "dig", Args: "[flags] trench.json", Text: "Digs.", Example: "dig -deep trench.json",
		Status: "1 if it caves in", Most: 1}
	for _, tt := range []struct {
		args         string
		files        string
		deep, done   bool
		status       int
		out, errText string
	}{
		{args: "a.json -deep", files: "a.json", deep: true},
		{args: "-deep a.json", files: "a.json", deep: true},
		{args: ""},
		{args: "-h", done: true, out: "dig -deep trench.json\n\nExit status: 1 if it caves in.\n"},
		{args: "a.json b.json", done: true, status: command.Refused, errText: "one file too many"},
		{args: "-wide", done: true, status: command.Refused, errText: "-wide"},
	} {
		var out, errs bytes.Buffer
		flags := &flag.FlagSet{}
		deep := flags.Bool("deep", false, "dig `deep`")
		files, status, done := line.Parse(flags, strings.Fields(tt.args), &out, &errs)
		if strings.Join(files, " ") != tt.files || status != tt.status || done != tt.done || *deep != tt.deep {
			t.Errorf("%q: %v, %d, %v, deep %v", tt.args, files, status, done, *deep)
		}
		if !strings.Contains(out.String(), tt.out) || !strings.Contains(errs.String(), tt.errText) {
			t.Errorf("%q: %s%s", tt.args, out.String(), errs.String())
		}
	}
}

// Quantities are in us or si; an answer is printed as text or as JSON, and its status says
// whether all is as it should be.
func TestUnitsAndPrint(t *testing.T) {
	line := command.Line{Name: "dig"}
	for _, tt := range []struct {
		args, system, out string
		good              bool
		status            int
	}{
		{"", "", "deep\n", true, command.Done},
		{"-units si", "si", "deep\n", false, command.Fails},
		{"-units si -json", "si", "\"deep\"\n", true, command.Done},
		{"-units ell", "", "", true, command.Refused},
	} {
		var out, errs bytes.Buffer
		flags := &flag.FlagSet{}
		system, asJSON := command.Units(flags), flags.Bool("json", false, "")
		_, status, done := line.Parse(flags, strings.Fields(tt.args), &out, &errs)
		if !done {
			status = line.Print(*asJSON, "deep", func(w io.Writer) { io.WriteString(w, "deep\n") }, tt.good, &out, &errs)
		}
		if status != tt.status || out.String() != tt.out || !done && *system != tt.system {
			t.Errorf("%q: status %d, %q, %s", tt.args, status, out.String(), errs.String())
		}
	}
}

func TestFold(t *testing.T) {
	var out strings.Builder
	w := command.Fold(&out)
	long := "  - " + strings.Repeat("word ", 30) + "end"
	for _, part := range []string{"short  line\n" + long[:50], long[50:] + "\n", strings.Repeat("x", 200) + "\n", "cut"} {
		if n, err := w.Write([]byte(part)); n != len(part) || err != nil {
			t.Fatal(n, err)
		}
	}
	want := "short  line\n  - " + strings.Repeat("word ", 22) + "word\n    " + strings.Repeat("word ", 7) + "end\n" +
		strings.Repeat("x", 200) + "\n"
	if got := out.String(); got != strings.ReplaceAll(want, "word \n", "word\n") {
		t.Errorf("%q", got)
	}
}

// TestNoStatus: help of a program that only ends well says nothing of how it ends.
func TestNoStatus(t *testing.T) {
	var out bytes.Buffer
	line := command.Line{Name: "dig", Text: "Digs."}
	line.Parse(&flag.FlagSet{}, []string{"-h"}, &out, io.Discard)
	if text := out.String(); strings.Contains(text, "status") || !strings.Contains(text, "Digs.") {
		t.Error(text)
	}
}

// TestFoldAtTheEdge: a line may have 118 characters, one that goes on as many with what it stands in.
func TestFoldAtTheEdge(t *testing.T) {
	tens := strings.Repeat("123456789 ", 11) // 110 characters, the last a blank
	for _, c := range []struct{ line, want string }{
		{tens + "12345678", tens + "12345678"},
		{tens + "ä2345678", tens + "ä2345678"},
		{tens + "123456789", tens[:109] + "\n  123456789"},
		{tens + "12345678 1", tens + "12345678\n  1"},
		{tens + "123456789 " + tens[:100] + "123456", tens[:109] + "\n  " + tens + "123456"},
		{tens + "123456789 " + tens[:100] + "1234567", tens[:109] + "\n  " + tens[:109] + "\n  1234567"},
		{" " + tens + "1234567 " + tens + "12345", " " + tens + "1234567\n   " + tens + "12345"},
		{" " + tens + "1234567 " + tens + "123456", " " + tens + "1234567\n   " + tens[:109] + "\n   123456"},
	} {
		var out strings.Builder
		if _, err := io.WriteString(command.Fold(&out), c.line+"\n"); err != nil || out.String() != c.want+"\n" {
			t.Errorf("%s: %v\n%swant\n%s", c.line, err, out.String(), c.want)
		}
	}
}
