package patience

import (
	"context"
	"fmt"
	"iter"
	"sync/atomic"
)

// Between is after how many small steps of a work it looks whether it is to go on.
const Between = 1000

// Work is work that stops once its context is done. Its parts may be done at once. A nil Work goes on for good.
type Work struct {
	name string // as its error begins, such as "drawings"
	ctx  context.Context
	why  atomic.Pointer[error]
}

// NewWork is work of that name within a context.
func NewWork(ctx context.Context, name string) *Work { return &Work{name: name, ctx: ctx} }

// Goes reports whether the work goes on, when so many of so many were done. Once it does not, the first
// that noticed has said how far it was, and what was made is of no use.
func (w *Work) Goes(done, of int, what string) bool {
	if w == nil {
		return true
	}
	if err := w.ctx.Err(); err != nil && w.why.Load() == nil {
		err = fmt.Errorf("%s: stopped after %d of %d %s: %w", w.name, done, of, what, err)
		w.why.CompareAndSwap(nil, &err)
	}
	return w.why.Load() == nil
}

// GoesBetween is Goes for one of many small steps: it looks at the context now and then.
func (w *Work) GoesBetween(done, of int, what string) bool {
	if w == nil || done%Between != 0 {
		return w.Err() == nil
	}
	return w.Goes(done, of, what)
}

// Each counts from nought to one less than of, as long as the work goes on.
func (w *Work) Each(of int, what string) iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := 0; i < of && w.GoesBetween(i, of, what) && yield(i); i++ {
		}
	}
}

// Err says why the work stopped, nil if it did not.
func (w *Work) Err() error {
	if w == nil {
		return nil
	}
	if why := w.why.Load(); why != nil {
		return *why
	}
	return nil
}
