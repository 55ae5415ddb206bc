package lesson

import (
	"bytes"
	"io"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

// Engine answers problem lines from the tables of one shelf, which it loads as they are
// asked for. Two goroutines must not use one Engine at once; each may have its own.
type Engine struct{ shelf *codes }

// New returns an engine over a shelf, which may be an amended one.
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

// Quiz writes n fresh problem lines of a kind, "" for a mix of all, and their answers to
// key. The same seed gives the same quiz.
func (e *Engine) Quiz(n int, seed uint64, ask string, questions, key io.Writer) error {
	return quiz(n, seed, ask, questions, key, e.with(Options{}))
}
