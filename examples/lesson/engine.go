package lesson

import (
	"bytes"
	"context"
	"io"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

// Engine answers problem lines from the tables of one shelf, which it loads as they are
// asked for. Two goroutines must not use one Engine at once; each may have its own.
type Engine struct{ shelf *codes }

// New returns an engine over a shelf, which may be an amended one. Nothing is read yet: what
// is wrong with a table is told by the answer that asks for it.
func New(shelf *tables.Shelf) *Engine { return &Engine{newCodes(shelf)} }

// Options are what an answer comes with.
type Options struct {
	Working bool // the steps, as a textbook writes them
}

func (e *Engine) with(opt Options) options { return options{working: opt.Working, shelf: e.shelf} }

// Answer answers one problem line. The reply is a JSON object without an end of line; ok
// is false if it is an error.
func (e *Engine) Answer(line []byte, opt Options) (reply []byte, ok bool) {
	reply, ok = answerLine(nil, bytes.TrimSpace(line), 1, e.with(opt))
	return visible.JSON(nil, reply), ok
}

// Run answers the lines of in, one line each on out, and flushes when no more input
// waits. It reports whether every line was answered; its error is one of reading or
// writing.
func (e *Engine) Run(in io.Reader, out io.Writer, opt Options) (ok bool, err error) {
	return run(in, out, e.with(opt))
}

// QuizOptions choose the problems of a quiz.
type QuizOptions struct {
	Number int    // of problems, 1 to 100,000
	Seed   uint64 // the same seed gives the same quiz
	// Kinds are drawn from, all without them; so with a Level, 1 for one step, 2 for a table or a
	// formula with several figures, 3 for several steps. Zero: any.
	Kinds []string
	Level int
	Code  string // the code that problems ask by; "": any that the quiz knows
	Units string // us, the default, or si
}

// Quiz writes fresh problem lines and their answers to key. What the options leave no
// problem of is an error that says so.
func (e *Engine) Quiz(opt QuizOptions, questions, key io.Writer) error {
	return e.QuizContext(context.Background(), opt, questions, key)
}

// QuizContext is [Engine.Quiz] that stops once the context is done, with its error and how far it was.
func (e *Engine) QuizContext(ctx context.Context, opt QuizOptions, questions, key io.Writer) error {
	return quiz(ctx, opt, questions, key, e.with(Options{}))
}
