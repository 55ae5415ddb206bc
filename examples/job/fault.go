package job

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Fault is one thing wrong with a job, for programs that show where.
type Fault struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`   // from 1
	Column int    `json:"column,omitempty"` // from 1, in bytes
	Item   string `json:"item,omitempty"`   // what is at fault, such as `point "W3"`
	Field  string `json:"field,omitempty"`  // its field, such as "length"
	Reason string `json:"reason"`
}

// Faults takes an error of [Read], [Parse] or [Job.Report] apart into the faults it tells. An
// error that is none is one fault with a reason alone; nil has none.
func Faults(err error) []Fault {
	switch x := err.(type) {
	case nil:
		return nil
	case *units.Fault:
		reason := ""
		if x.Err != nil {
			reason = x.Err.Error()
		}
		return []Fault{{x.File, x.Line, x.Column, x.Item, x.Field, reason}}
	case interface{ Unwrap() []error }:
		var list []Fault
		for _, e := range x.Unwrap() {
			list = append(list, Faults(e)...)
		}
		return list
	}
	return []Fault{{Reason: err.Error()}}
}

// gap is a part of the report that could not be worked, and why. It is told among
// the findings, and the rest of the report stands.
type gap struct {
	part string
	err  error
}

// lack notes a gap, if there is one.
func (g *judged) lack(part string, err error) {
	if err != nil {
		g.gaps = append(g.gaps, gap{part, err})
	}
}

// stopped says what was called off and how far it was, nil if the work goes on: what was called off
// is no gap.
func (g *judged) stopped(ctx context.Context) error {
	stop := ctx.Err()
	if stop == nil {
		return nil
	}
	for _, x := range g.gaps {
		if errors.Is(x.err, stop) {
			return fmt.Errorf("%s: %w", x.part, x.err)
		}
	}
	return fmt.Errorf("report: stopped after the pipes were sized: %w", stop)
}

// findings asks about what could not be worked, each at its own place.
func (x gap) findings() []tables.Finding {
	list := []error{x.err}
	if all, ok := errors.AsType[*units.Faults](x.err); ok {
		list = all.Unwrap()
	}
	out := make([]tables.Finding, 0, len(list))
	for _, err := range list {
		place := x.part
		if f, ok := errors.AsType[*units.Fault](err); ok {
			place = idIn(f.Item, place)
		}
		out = append(out, tables.Finding{Rule: "not-judged", Place: place, Verdict: tables.Ask,
			Reason: "The " + x.part + " could not be worked: " + sentence(err.Error()),
			Fix:    "Put the layout right or choose another code; until then this report says nothing about them."})
	}
	return out
}

// idIn returns the id that an item of a fault quotes, or else what is given.
func idIn(item, otherwise string) string {
	_, quoted, found := strings.Cut(item, `"`)
	if !found {
		return otherwise
	}
	prefix, err := strconv.QuotedPrefix(`"` + quoted)
	if err != nil {
		return otherwise
	}
	id, err := strconv.Unquote(prefix)
	if err != nil {
		return otherwise
	}
	return id
}
