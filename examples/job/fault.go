package job

import (
	"errors"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/tables"
)

// joinFaults gathers the errors of the parts of a file.
type joinFaults []error

func (j *joinFaults) add(err error) {
	if err != nil {
		*j = append(*j, err)
	}
}

func (j joinFaults) err() error { return errors.Join(j...) }

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

// findings asks about what could not be worked, each at its own place.
func (x gap) findings() []tables.Finding {
	list := []error{x.err}
	if all, ok := errors.AsType[*faults.Errors](x.err); ok {
		list = all.Unwrap()
	}
	out := make([]tables.Finding, 0, len(list))
	for _, err := range list {
		place := x.part
		if f, ok := errors.AsType[*faults.Fault](err); ok {
			place = idIn(f.Item, place)
		}
		out = append(out, tables.Finding{Rule: "not-judged", Place: place, Verdict: tables.Ask,
			Reason: "the " + x.part + " could not be worked: " + err.Error(),
			Fix:    "mend the layout or choose another code; until then this report says nothing about them"})
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
