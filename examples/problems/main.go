package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

func main() { os.Exit(command(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// command runs the program and returns its exit status: 0 when every line was
// answered, 1 when one was not, 2 when it could not run at all.
func command(args []string, in io.Reader, out, errs io.Writer) int {
	errs = visible.Writer(errs)
	flags := flag.NewFlagSet("problems", flag.ContinueOnError)
	flags.SetOutput(errs)
	working := flags.Bool("working", false, "add the steps of each answer")
	number := flags.Int("quiz", 0, "write this many fresh problem lines instead of answering any")
	seed := flags.Uint64("seed", 1, "seed of the quiz; the same seed gives the same quiz")
	ask := flags.String("ask", "", "kind of problem of the quiz; empty for a mix")
	key := flags.String("answers", "quiz-answers.jsonl", "file to write the answers of the quiz to")
	force := flags.Bool("force", false, "write over the file of answers if it is there")
	listKinds := flags.Bool("kinds", false, "list the kinds of problem and their fields")
	flags.Usage = func() {}
	engine := lesson.New(tables.Embedded())
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		usage(out, flags)
		return 0
	case err != nil:
		fmt.Fprintf(errs, "problems: -h shows the flags and an example\n")
		return 2
	}
	if *listKinds {
		if err := engine.WriteGuide(out); err != nil {
			fmt.Fprintf(errs, "problems: %v\n", err)
			return 2
		}
		return 0
	}
	stray := "" // what was given beside what it does not go with
	flags.Visit(func(f *flag.Flag) {
		if *number == 0 && (f.Name == "seed" || f.Name == "ask" || f.Name == "answers" || f.Name == "force") {
			stray = "-" + f.Name + " goes with -quiz"
		}
	})
	if *number != 0 && flags.NArg() > 0 {
		stray = "-quiz reads no file, and " + flags.Arg(0) + " is named"
	}
	if stray != "" {
		fmt.Fprintf(errs, "problems: %s\n", stray)
		return 2
	}
	if *number != 0 {
		if err := writeQuiz(engine, *number, *seed, *ask, keyFile{*key, *force}, out); err != nil {
			fmt.Fprintf(errs, "problems: %v\n", err)
			return 2
		}
		return 0
	}
	status := 0
	answer := func(name string, r io.Reader) {
		ok, err := engine.Run(r, out, lesson.Options{Working: *working})
		if err != nil {
			fmt.Fprintf(errs, "problems: %s: %v\n", name, err)
		}
		if err != nil || !ok {
			status = 1
		}
	}
	if flags.NArg() == 0 {
		if isTerminal(in) {
			fmt.Fprintln(errs, "problems: waiting for problem lines, one JSON object a line, ended by end of file; "+
				"-h shows an example")
		}
		answer("standard input", in)
	}
	for _, name := range flags.Args() {
		f, err := os.Open(name)
		if err != nil {
			fmt.Fprintf(errs, "problems: %v\n", err)
			status = 1
			continue
		}
		answer(name, f)
		f.Close()
	}
	return status
}

// writeQuiz writes a quiz, and its answers to a file. The file is only made once
// the quiz is whole.
func writeQuiz(e *lesson.Engine, n int, seed uint64, ask string, key keyFile, out io.Writer) error {
	var questions, answers bytes.Buffer
	if err := e.Quiz(n, seed, ask, &questions, &answers); err != nil {
		return err
	}
	if err := key.write(answers.Bytes()); err != nil {
		return err
	}
	_, err := out.Write(questions.Bytes())
	return err
}

// example is a line and its answer, for who has never seen one.
const example = `Reads problem lines, one JSON object a line, from standard input or the files named,
and answers each with a line:

  echo '{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}' | go run ./examples/problems
  {"id":1,"answer":{"fall":{"value":9.375,"unit":"in"}}}

-kinds lists every kind with its inputs, answers and an example.
Exit status: 0 all lines answered, 1 one was not, 2 not run.

`

func usage(out io.Writer, flags *flag.FlagSet) {
	fmt.Fprint(out, "problems [flags] [file ...]\n\n"+example+visible.Flags(flags))
}

// isTerminal reports whether a person would have to type what is read.
func isTerminal(in io.Reader) bool {
	f, ok := in.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// keyFile is the file of a quiz's answers.
type keyFile struct {
	name  string
	force bool
}

func (k keyFile) write(data []byte) error {
	flags := os.O_WRONLY | os.O_CREATE | os.O_EXCL
	if k.force {
		flags = os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	}
	f, err := os.OpenFile(k.name, flags, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there: -force writes over it, -answers names another", k.name)
	}
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}
