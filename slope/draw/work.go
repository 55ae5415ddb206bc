package draw

import (
	"context"
	"fmt"
	"sync"
)

// work is a drawing in the making, which stops once its context is done.
type work struct {
	ctx context.Context // of the call at work
	mu  sync.Mutex      // sheets are drawn at once
	err error           // why it stopped
}

// between is how many lines, marks or labels are worked between two looks at the context.
const between = 1000

// goes reports whether the work goes on, when so many of so many were done. Once it does not, the first
// that noticed has said how far it was, and what was made is of no use.
func (w *work) goes(done, of int, what string) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if err := w.ctx.Err(); err != nil && w.err == nil {
		w.err = fmt.Errorf("draw: stopped after %d of %d %s: %w", done, of, what, err)
	}
	return w.err == nil
}

// goesBetween is goes for one of many small steps: it looks at the context now and then.
func (w *work) goesBetween(done, of int, what string) bool {
	return done%between != 0 || w.goes(done, of, what)
}
