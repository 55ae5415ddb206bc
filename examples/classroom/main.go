// Classroom prints a lesson for a class of plumbing apprentices: a sheet of problems with
// figures, its key with the working, and the score sheet of what the class handed in.
//
//	go run ./examples/classroom                        # the lesson of this directory
//	go run ./examples/classroom -dir out               # as files, with a figure for each problem that has one
//	go run ./examples/classroom -lesson my.jsonl -class my.json
//
// A lesson is a file of problem lines, each with an id (go run ./examples/problems -kinds
// lists the kinds); a class file holds {"students":[{"name":…,"answers":{id:{answer:…}}}]}.
// The students of this directory are invented. Package lesson does the work.
//
// Exit status: 0 printed, 1 an answer of the class could not be marked, 2 not run.
//
// The answers are calculations for practice. What is built is decided by the code in
// force, the local authority and a licensed practitioner.
package main

import (
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

//go:embed lesson.jsonl
var ownLesson []byte

//go:embed class.json
var ownClass []byte

var line = command.Line{Name: "classroom", Args: "[flags]",
	Text:    "Prints a sheet of problems, its key and the marks of a class.",
	Example: "go run ./examples/classroom -dir out",
	Status:  "0 printed, 1 an answer of the class could not be marked, 2 not run"}

func main() { os.Exit(program(os.Args[1:], os.Stdout, os.Stderr)) }

// settings are what the flags choose.
type settings struct {
	lesson, class, dir, title string
	force                     bool
}

// program runs it and returns its exit status.
func program(args []string, out, errs io.Writer) int {
	out, errs = visible.Writer(out), visible.Writer(errs)
	var s settings
	flags := &flag.FlagSet{}
	flags.StringVar(&s.lesson, "lesson", "", "file of problem lines; absent: the lesson of the demonstration")
	flags.StringVar(&s.class, "class", "",
		"file of what the class handed in; absent: five invented students, with their own lesson")
	flags.StringVar(&s.dir, "dir", "", "directory to write the sheet, the key, the marks and the figures to")
	flags.StringVar(&s.title, "title", "Grade, trap arms, loads, demand and friction", "title of the sheet")
	flags.BoolVar(&s.force, "force", false, "write over files that are there")
	if _, status, done := line.Parse(flags, args, out, errs); done {
		return status
	}
	refused, err := s.run(out)
	if err != nil {
		return line.Fail(errs, command.Refused, err)
	}
	if refused > 0 {
		return line.Fail(errs, command.Fails, fmt.Errorf("%d answers could not be marked; the score sheet says why", refused))
	}
	return command.Done
}

// run makes everything before it writes anything. It returns how many answers were refused.
func (s *settings) run(out io.Writer) (refused int, err error) {
	problems, students, err := s.read()
	if err != nil {
		return 0, err
	}
	engine := lesson.New(tables.Embedded())
	sheet, key, err := engine.Paper(s.title, problems)
	if err != nil {
		return 0, err
	}
	files := []file{{name: "sheet.txt", text: sheet}, {name: "key.txt", text: key}}
	if students != nil {
		scores, err := engine.MarkClass(problems, students)
		if err != nil {
			return 0, err
		}
		refused = scores.Refused()
		files = append(files, file{name: "marks.txt", text: scores.String()})
	}
	if s.dir == "" {
		for _, f := range files {
			if _, err := fmt.Fprintf(out, "=== %s\n\n%s\n", f.name, f.text); err != nil {
				return 0, err
			}
		}
		return refused, nil
	}
	figures, err := figuresOf(engine, problems, s.title)
	if err != nil {
		return 0, err
	}
	files = append(files, file{name: "sheet.html", text: lesson.Page(s.title, sheet, drawn(figures))},
		file{name: "key.html", text: lesson.Page(s.title, key, nil)})
	var all []command.File
	for _, f := range append(files, figures...) {
		all = append(all, command.File{Name: filepath.Join(s.dir, f.name), Text: f.text})
	}
	return refused, command.Write(all, s.force, out)
}

// drawn returns the figures by the problem that they belong to.
func drawn(figures []file) map[string]string {
	out := map[string]string{}
	for _, f := range figures {
		out[f.of] += f.text[strings.Index(f.text, "<svg"):]
	}
	return out
}

// read returns the lesson and the class, which has none where only a lesson is named.
func (s *settings) read() (problems []byte, students []lesson.Student, err error) {
	problems, class := ownLesson, ownClass
	if s.lesson != "" {
		if problems, err = os.ReadFile(s.lesson); err != nil {
			return nil, nil, err
		}
		class = nil
	}
	if s.class != "" {
		if class, err = os.ReadFile(s.class); err != nil {
			return nil, nil, err
		}
	}
	if class != nil {
		students, err = lesson.ParseClass(class)
	}
	return problems, students, err
}

// file is one that is written.
type file struct {
	name, text string
	of         string // the problem that a figure belongs to
}
