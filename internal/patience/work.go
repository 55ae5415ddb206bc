package patience

import (
	"context"
	"fmt"
	"sync/atomic"
)

// Between is after how many small steps of a work it looks whether it is to go on.
const Between = 1000

// Work is work that stops once its context is done. Its parts may be done at once.
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
	if err := w.ctx.Err(); err != nil && w.why.Load() == nil {
		err = fmt.Errorf("%s: stopped after %d of %d %s: %w", w.name, done, of, what, err)
		w.why.CompareAndSwap(nil, &err)
	}
	return w.why.Load() == nil
}

// GoesBetween is Goes for one of many small steps: it looks at the context now and then.
func (w *Work) GoesBetween(done, of int, what string) bool {
	if done%Between != 0 {
		return w.why.Load() == nil
	}
	return w.Goes(done, of, what)
}

// Err says why the work stopped, nil if it did not.
func (w *Work) Err() error {
	if why := w.why.Load(); why != nil {
		return *why
	}
	return nil
}
