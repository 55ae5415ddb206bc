// Package command is what the programs of the examples have alike: flags and files in any
// order, -h with an example, where a file is read from.
package command

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// Exit statuses of a program.
const (
	Done    = 0 // it did what it was asked
	Fails   = 1 // it did, and what it found is not as it should be
	Refused = 2 // the command or a file could not be read
)

// Line is a command line, as -h shows it.
type Line struct {
	Name    string // of the program
	Args    string // what stands behind it, such as "[flags] job.json"
	Text    string // what it does, in a sentence or two
	Example string // a whole command
	Status  string // what each exit status says
	Most    int    // files at most
}

// Parse reads flags and files, in whatever order they stand. If done is true the program
// ends with the status: help was asked for, or the command is wrong and the reason printed.
func (l Line) Parse(flags *flag.FlagSet, args []string, out, errs io.Writer) (files []string, status int, done bool) {
	flags.Init(l.Name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	for {
		switch err := flags.Parse(args); {
		case errors.Is(err, flag.ErrHelp):
			fmt.Fprintf(out, "%s %s\n\n%s\n\n  %s\n\n", l.Name, l.Args, l.Text, l.Example)
			if l.Status != "" {
				fmt.Fprintf(out, "Exit status: %s.\n\n", l.Status)
			}
			fmt.Fprint(out, visible.Flags(flags))
			return nil, Done, true
		case err != nil:
			return nil, l.Refuse(errs, err), true
		}
		if flags.NArg() == 0 {
			return files, Done, false
		}
		if files = append(files, flags.Arg(0)); len(files) > l.Most {
			return nil, l.Refuse(errs, fmt.Errorf("%s: one file too many", visible.Quote(flags.Arg(0)))), true
		}
		args = flags.Args()[1:]
	}
}

// Units adds the flag of that name: whether quantities are printed in SI. It is empty where
// nobody says.
func Units(flags *flag.FlagSet) *string {
	name := new(string)
	flags.Var((*unitSystem)(name), "units",
		"us or si; without it si under a code in metric units or for a job written in them, else us")
	return name
}

// unitSystem is us, si or not said.
type unitSystem string

func (u *unitSystem) String() string { return string(*u) }

func (u *unitSystem) Set(s string) error {
	if s != "us" && s != "si" {
		return errors.New("choose us or si")
	}
	*u = unitSystem(s)
	return nil
}

// Print prints an answer as text, or as JSON, and returns the status for it: good tells
// whether all is as it should be.
func (l Line) Print(asJSON bool, answer any, text func(io.Writer), good bool, out, errs io.Writer) int {
	if !asJSON {
		text(visible.Writer(out))
	} else {
		enc := json.NewEncoder(visible.JSONWriter(out))
		enc.SetIndent("", "  ")
		if err := enc.Encode(answer); err != nil {
			return l.Refuse(errs, err)
		}
	}
	if !good {
		return Fails
	}
	return Done
}

// Refuse prints why a command was not done, and returns the status for it.
func (l Line) Refuse(errs io.Writer, err error) int {
	return l.Fail(errs, Refused, fmt.Errorf("%w; -h shows the flags", err))
}

// Fail prints why a command that was read could not be done, and returns the status it is given.
func (l Line) Fail(errs io.Writer, status int, err error) int {
	fmt.Fprintf(visible.Writer(errs), "%s: %v\n", l.Name, err)
	return status
}

// Unread prints why a file was not read, and returns the status for it. What names the place
// of each fault stands as it is, a line each, so that an editor can go there; anything else
// gets the program before it.
func (l Line) Unread(errs io.Writer, err error) int {
	text := err.Error()
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		text = fmt.Sprintf("%s: %s: %v", l.Name, e.Path, e.Err)
	} else if errors.Is(err, context.Canceled) {
		text = l.Name + ": " + text
	}
	fmt.Fprintln(visible.Writer(errs), text)
	return Refused
}

// Open returns the folder of a file, and its name there. Without one it is that of the
// demonstration.
func Open(files []string, demo fs.FS, name string) (fs.FS, string) {
	if len(files) == 0 {
		return demo, name
	}
	dir, base := filepath.Split(files[0])
	if dir == "" {
		dir = "."
	}
	return os.DirFS(dir), base
}

// File is one that a program writes.
type File struct {
	Name string // with its folder
	Text string
}

// Write writes files, makes the folders they lie in and prints their names. Nothing is
// written over a file that is there unless force is given, and then nothing at all.
func Write(files []File, force bool, out io.Writer) error {
	for _, f := range files {
		if _, err := os.Lstat(f.Name); err == nil && !force {
			return fmt.Errorf("%s is there: -force writes over it", f.Name)
		}
	}
	for _, f := range files {
		if err := os.MkdirAll(filepath.Dir(f.Name), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(f.Name, []byte(f.Text), 0o644); err != nil {
			return err
		}
		fmt.Fprintln(out, f.Name)
	}
	return nil
}

// Progress returns what tells, on a terminal, how far long work is: at most once a second,
// and nothing in the first. Where w is a file, a pipe or anything else nothing is told.
func Progress(w io.Writer, program string) func(text string) {
	if Terminal(w) {
		return progress(w, program, time.Now)
	}
	return func(string) {}
}

// Terminal reports whether a person types what is read of this, or sees what is written to it.
func Terminal(stream any) bool {
	f, ok := stream.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// Reading tells, on a terminal, that a program reads its files, if that takes longer than a second; over is called
// when they are read.
func Reading(w io.Writer, program string) (over func()) {
	if !Terminal(w) {
		return func() {}
	}
	timer := time.AfterFunc(time.Second, func() { fmt.Fprintf(w, "%s: reading ...\n", program) })
	return func() { timer.Stop() }
}

func progress(w io.Writer, program string, now func() time.Time) func(text string) {
	last := now()
	return func(text string) {
		if t := now(); t.Sub(last) >= time.Second {
			last = t
			fmt.Fprintf(w, "%s: %s\n", program, text)
		}
	}
}

// pageWidth is how many characters a printed line may have, as in the report.
const pageWidth = 118

// Fold returns a writer that breaks lines too long for the page between words; what
// follows stands two columns farther in than the line began. A last line that does not end
// is not written.
func Fold(out io.Writer) io.Writer { return &folder{out: out} }

type folder struct {
	out  io.Writer
	rest []byte
}

func (f *folder) Write(text []byte) (int, error) {
	f.rest = append(f.rest, text...)
	for {
		line, rest, ended := strings.Cut(string(f.rest), "\n")
		if !ended {
			return len(text), nil
		}
		f.rest = []byte(rest)
		if _, err := io.WriteString(f.out, fold(line)); err != nil {
			return 0, err
		}
	}
}

// fold breaks one line where it must.
func fold(line string) string {
	inner := strings.TrimLeft(line, " ")
	indent := line[:len(line)-len(inner)]
	var b strings.Builder
	used := 0
	for i, word := range strings.Split(inner, " ") {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
			b.WriteString(indent)
			used = len(indent)
		case used+1+n > pageWidth:
			b.WriteString("\n" + indent + "  ")
			used = len(indent) + 2
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	return b.String() + "\n"
}
