package tables

import (
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
)

// Boundary says whether a value equal to a row's limit still fits.
type Boundary uint8

// AtMost takes a value equal to the limit, Below does not.
const (
	AtMost Boundary = iota
	Below
)

var boundaries = enum.Words[Boundary]{What: "boundary",
	Words: []string{"at most", "below"}}

// String returns "at most" or "below".
func (b Boundary) String() string { return boundaries.String(b) }

// MarshalText returns the text of String.
func (b Boundary) MarshalText() ([]byte, error) { return boundaries.Marshal(b) }

// UnmarshalText reads the text of String.
func (b *Boundary) UnmarshalText(text []byte) error { return boundaries.Unmarshal(text, b) }

// Interpolation says how a value between two rows is to be had.
type Interpolation uint8

// None: only what is printed counts. Linear: on the straight line between two
// rows. NextSize: the next greater row.
const (
	None Interpolation = iota
	Linear
	NextSize
)

var interpolations = enum.Words[Interpolation]{What: "interpolation",
	Words: []string{"none", "linear", "next size"}}

// String returns "none", "linear" or "next size".
func (i Interpolation) String() string { return interpolations.String(i) }

// MarshalText returns the text of String.
func (i Interpolation) MarshalText() ([]byte, error) { return interpolations.Marshal(i) }

// UnmarshalText reads the text of String.
func (i *Interpolation) UnmarshalText(text []byte) error { return interpolations.Unmarshal(text, i) }

// header is what the "# key: value" lines say.
type header struct {
	id            string
	title         string
	sourceID      string
	section       string
	keyNames      []string
	boundary      Boundary
	interpolation Interpolation
	monotone      []monotoneRule
	excepts       []exception
	about         []described
	verified      []string
	notes         []string
	rows          int // how many there are; -1: not said
	rowsLine      int
}

// described says what a column means.
type described struct {
	column, about string
	line          int
}

// monotoneRule: column never falls (or, if down, never rises) as key grows.
type monotoneRule struct {
	column, key string
	down        bool
	line        int
}

// exception excuses one row from a monotone rule.
type exception struct {
	column string
	key    []string
	reason string
	source string
	line   int
	used   bool
}

// parseHeader reads the header lines and returns the first line after them.
func (f *file) parseHeader(h *header) (line string, start int, ok bool) {
	var seen []string
	h.rows = -1
	for line, start, ok = f.next(); ok && line[0] == '#'; line, start, ok = f.next() {
		key, value, found := strings.Cut(line[1:], ":")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		switch {
		case !found:
			f.faults.report(f.line, 1, "", ErrHeader, "%q is not `# key: value`", line)
			continue
		case value == "":
			f.faults.report(f.line, 1, key, ErrHeader, "no value")
			continue
		}
		switch key {
		case "verified":
			h.verified = append(h.verified, value)
			continue
		case "note":
			h.notes = append(h.notes, value)
			continue
		case "monotone":
			f.parseMonotone(h, value)
			continue
		case "except":
			f.parseException(h, value)
			continue
		}
		if slices.Contains(seen, key) {
			f.faults.report(f.line, 1, key, ErrHeader, "is given twice")
			continue
		}
		seen = append(seen, key)
		f.setHeader(h, key, value)
	}
	return line, start, ok
}

// setHeader reads a header line whose key may stand once.
func (f *file) setHeader(h *header, key, value string) {
	switch key {
	case "id":
		h.id = value
	case "title":
		h.title = value
	case "source":
		h.sourceID = value
	case "section":
		h.section = value
	case "key":
		h.keyNames = splitList(value, ",")
	case "rows":
		n, err := strconv.Atoi(value)
		if err != nil || n < 0 || value != strconv.Itoa(n) {
			f.faults.report(f.line, 1, key, ErrHeader, "%q is not a number of rows", value)
			return
		}
		h.rows, h.rowsLine = n, f.line
	case "boundary":
		var ok bool
		if h.boundary, ok = boundaries.Find(value); !ok {
			f.faults.report(f.line, 1, key, ErrHeader, "%q is neither `at most` nor `below`", value)
		}
	case "interpolation":
		var ok bool
		if h.interpolation, ok = interpolations.Find(value); !ok {
			f.faults.report(f.line, 1, key, ErrHeader, "%q is none of `none`, `linear`, `next size`", value)
		}
	default:
		name, isColumn := strings.CutPrefix(key, "column ")
		if !isColumn {
			f.faults.report(f.line, 1, key, ErrHeader, "unknown key")
			return
		}
		h.about = append(h.about, described{strings.TrimSpace(name), value, f.line})
	}
}

func splitList(s, sep string) []string {
	parts := strings.Split(s, sep)
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return slices.DeleteFunc(parts, func(p string) bool { return p == "" })
}

// parseMonotone reads "column up with key; column down with key".
func (f *file) parseMonotone(h *header, value string) {
	for _, rule := range splitList(value, ";") {
		w := strings.Fields(rule)
		if len(w) != 4 || w[1] != "up" && w[1] != "down" || w[2] != "with" {
			f.faults.report(f.line, 1, "monotone", ErrHeader,
				"%q is not `column up with key` or `column down with key`", rule)
			continue
		}
		h.monotone = append(h.monotone, monotoneRule{w[0], w[3], w[1] == "down", f.line})
	}
}

// parseException reads "column at key cell, key cell: reason (source)".
func (f *file) parseException(h *header, value string) {
	head, reason, ok := strings.Cut(value, ":")
	column, at, ok2 := strings.Cut(strings.TrimSpace(head), " at ")
	reason = strings.TrimSpace(reason)
	open := strings.LastIndexByte(reason, '(')
	if !ok || !ok2 || open < 1 || !strings.HasSuffix(reason, ")") {
		f.faults.report(f.line, 1, "except", ErrHeader, "%q is not `column at key cell, key cell: reason (source)`",
			value)
		return
	}
	h.excepts = append(h.excepts, exception{
		column: column,
		key:    splitList(at, ","),
		reason: strings.TrimSpace(reason[:open]),
		source: reason[open+1 : len(reason)-1],
		line:   f.line,
	})
}
