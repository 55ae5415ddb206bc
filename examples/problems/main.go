package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

func main() { os.Exit(program(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// settings are what the flags choose.
type settings struct {
	working, kinds, force bool
	quiz                  lesson.QuizOptions
	ask, key              string
	paper, title          string
	students, class       string
}

// quizFlags and paperFlags are what goes with -quiz and with -paper.
var (
	quizFlags  = []string{"seed", "ask", "level", "code", "units"}
	paperFlags = []string{"title", "students", "mark"}
)

func (s *settings) flags(flags *flag.FlagSet) {
	flags.BoolVar(&s.working, "working", false, "add the steps of each answer")
	flags.BoolVar(&s.kinds, "kinds", false, "list the kinds of problem and their fields")
	flags.IntVar(&s.quiz.Number, "quiz", 0, "write this `number` of fresh problem lines instead of answering any")
	flags.Uint64Var(&s.quiz.Seed, "seed", 1, "`seed` of the quiz; the same seed gives the same quiz")
	flags.StringVar(&s.ask, "ask", "", "`kinds` of problem of the quiz, parted by commas; without it a mix of all")
	flags.IntVar(&s.quiz.Level, "level", 0,
		"`level` of the quiz: 1 one step, 2 a table or a formula, 3 several steps; 0 any")
	flags.StringVar(&s.quiz.Code, "code", "", "`code` that the quiz asks by, such as upc-2021")
	flags.StringVar(&s.quiz.Units, "units", "us", "`units` of the quiz, us or si")
	flags.StringVar(&s.key, "answers", "quiz-answers.jsonl", "`file` to write the answers of the quiz to")
	flags.StringVar(&s.paper, "paper", "",
		"`directory` to write a sheet and its key to, as text and as pages, of the quiz or "+
			"of the lines read; with -mark the one they were written to")
	flags.StringVar(&s.title, "title", "Problems", "with -paper: `title` of the sheet")
	flags.StringVar(&s.students, "students", "",
		"with -paper and -quiz: `names` parted by commas; each gets a paper of their own")
	flags.StringVar(&s.class, "mark", "", "with -paper: class `file` to mark; prints the score sheet")
	flags.BoolVar(&s.force, "force", false, "write over files that are there")
}

// stray says which flag was given beside what it does not go with, "" for none.
func (s *settings) stray(flags *flag.FlagSet, files []string) (stray string) {
	flags.Visit(func(f *flag.Flag) {
		switch quiz := s.quiz.Number != 0; {
		case !quiz && slices.Contains(quizFlags, f.Name):
			stray = "-" + f.Name + " goes with -quiz"
		case s.paper == "" && slices.Contains(paperFlags, f.Name):
			stray = "-" + f.Name + " goes with -paper"
		case f.Name == "answers" && (!quiz || s.paper != ""):
			stray = "-answers goes with -quiz, and not with -paper, which writes a key"
		case f.Name == "force" && !quiz && s.paper == "":
			stray = "-force goes with -quiz and -paper"
		}
	})
	switch {
	case stray != "":
	case s.quiz.Number != 0 && len(files) > 0:
		stray = "-quiz reads no file, and " + files[0] + " is named"
	case s.students != "" && s.quiz.Number == 0:
		stray = "-students goes with -quiz: papers of their own are drawn"
	case s.class != "" && (s.quiz.Number != 0 || len(files) > 0):
		stray = "-mark reads the paper of -paper, and no quiz or file"
	}
	return stray
}

// program runs it and returns its exit status: 0 when every line was
// answered, 1 when one was not, 2 when it could not run at all.
func program(args []string, in io.Reader, out, errs io.Writer) int {
	terminal := errs
	errs = visible.Writer(errs)
	var s settings
	flags := &flag.FlagSet{}
	s.flags(flags)
	files, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	if stray := s.stray(flags, files); stray != "" {
		return line.Fail(errs, command.Refused, errors.New(stray))
	}
	if s.ask != "" {
		s.quiz.Kinds = strings.Split(s.ask, ",")
	}
	engine := lesson.New(tables.Embedded())
	var err error
	switch {
	case s.kinds:
		err = engine.WriteGuide(out)
	case s.class != "":
		status, err = s.mark(engine, out)
	case s.paper != "":
		err = s.writePapers(engine, files, in, out)
	case s.quiz.Number != 0:
		err = s.writeQuiz(engine, out)
	default:
		return s.answer(engine, files, in, out, terminal)
	}
	if err != nil {
		return line.Fail(errs, command.Refused, err)
	}
	return status
}

// answer answers the lines of the files named, or of the input.
func (s *settings) answer(engine *lesson.Engine, names []string, in io.Reader, out, errs io.Writer) (status int) {
	if !command.Terminal(out) { // where the answers show by themselves how far it is
		out = &counter{Writer: out, tell: command.Progress(errs, "problems")}
	}
	errs = visible.Writer(errs)
	answer := func(name string, r io.Reader) {
		ok, err := engine.Run(r, out, lesson.Options{Working: s.working})
		if err != nil {
			line.Fail(errs, command.Fails, fmt.Errorf("%s: %w", name, err))
		}
		if err != nil || !ok {
			status = command.Fails
		}
	}
	if len(names) == 0 {
		if command.Terminal(in) {
			fmt.Fprintln(errs, "problems: waiting for problem lines, one JSON object a line, ended by end of file; "+
				"-h shows an example")
		}
		answer("standard input", in)
	}
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			status = line.Fail(errs, command.Fails, err)
			continue
		}
		answer(name, f)
		f.Close()
	}
	return status
}

// counter tells how many lines were written through it.
type counter struct {
	io.Writer
	lines int
	tell  func(text string)
}

func (c *counter) Write(b []byte) (int, error) {
	c.lines += bytes.Count(b, []byte("\n"))
	c.tell(fmt.Sprintf("%d lines answered", c.lines))
	return c.Writer.Write(b)
}

// writeQuiz writes a quiz, and its answers to a file. The file is only made once
// the quiz is whole.
func (s *settings) writeQuiz(e *lesson.Engine, out io.Writer) error {
	var questions, answers bytes.Buffer
	if err := e.Quiz(s.quiz, &questions, &answers); err != nil {
		return err
	}
	key := []command.File{{Name: s.key, Text: answers.String()}}
	if err := command.Write(key, s.force, io.Discard); err != nil {
		return fmt.Errorf("%w, -answers names another file", err)
	}
	_, err := out.Write(questions.Bytes())
	return err
}

var line = command.Line{Name: "problems", Args: "[flags] [file ...]", Most: math.MaxInt,
	Text: "Reads problem lines, one JSON object a line, from standard input or the files named,\n" +
		"and answers each with a line:",
	Example: example, Status: "0 all lines answered, 1 one was not, 2 not run"}

// example is a line and its answer, for who has never seen one.
const example = `echo '{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}' | go run ./examples/problems
  {"id":1,"answer":{"fall":{"value":9.375,"unit":"in"}}}

-kinds lists every kind with its inputs, answers and an example.

  problems -quiz 10 -level 1 -units si                        ten fresh problems, their answers in a file
  problems -quiz 10 -seed 7 -paper exam                       a sheet and its key, to print
  problems -quiz 10 -seed 7 -paper exam -students Ann,Ben     a paper of their own for each
  problems -paper exam -mark class.json                       the score sheet of what they handed in

A class file: {"students":[{"name":"Ann","answers":{"q1":{"fall":"9 3/8 in"}}}]}`
