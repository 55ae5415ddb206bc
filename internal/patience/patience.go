// Package patience is for work that stops once its context is done and says how far it was, and for tests
// of it: contexts that bear so many questions and are then done.
package patience

import (
	"context"
	"sync/atomic"
)

// Context is done once it was asked for its error more often than it bears.
type Context struct {
	context.Context
	bears int64
	asked atomic.Int64
}

// Of is a context that bears so many questions.
func Of(n int64) *Context { return &Context{Context: context.Background(), bears: n} }

// Err is nil until there were too many questions.
func (c *Context) Err() error {
	if c.asked.Add(1) > c.bears {
		return context.Canceled
	}
	return nil
}

// Asked is how many questions there were.
func (c *Context) Asked() int64 { return c.asked.Load() }
