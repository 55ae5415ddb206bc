package strictjson

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// scanner goes through a JSON text once. What breaks the rules of JSON, or a limit,
// moves it to the end of the text and is kept: all that follows then finds nothing.
type scanner struct {
	data  []byte
	all   string // the same as data, if texts are parts of it; else each is a copy of its own
	pos   int
	seen  int // so far the text may be read before the context is asked again
	left  int // values that may still come
	depth int // brackets that are open
	limit Limits
	fail  error
	at    int  // where it failed
	off   bool // because its context is done
}

// longest is how many bytes one text or number may have: to read it takes no time worth stopping.
const longest = 1 << 20

var errLong = fmt.Errorf("%w: a text or a number of over %d bytes", ErrTooBig, longest)

func (s *scanner) stop(err error) {
	if s.fail == nil {
		s.fail, s.at = err, min(s.pos, len(s.data))
	}
	s.pos = len(s.data)
}

// stretch is how many bytes are read between two looks at the context.
const stretch = 1 << 16

// holds reports whether there is a byte at a place that comes: there is none once the context is done.
func (s *scanner) holds(i int) bool { return i < s.seen || s.further(i) }

// further is holds for a place up to which nothing has been read.
func (s *scanner) further(i int) bool {
	if i >= len(s.data) || s.fail != nil {
		return false
	}
	if ctx := s.limit.Context; ctx != nil && ctx.Err() != nil {
		s.off = true
		s.stop(fmt.Errorf("reading: stopped after %d of %d bytes: %w", i, len(s.data), ctx.Err()))
		return false
	}
	s.seen = min(i+stretch, len(s.data))
	return true
}

// peek returns the byte that comes, 0 at the end.
func (s *scanner) peek() byte {
	if s.holds(s.pos) {
		return s.data[s.pos]
	}
	return 0
}

func (s *scanner) space() {
	for s.holds(s.pos) {
		switch s.data[s.pos] {
		case ' ', '\n', '\t', '\r':
			s.pos++
		default:
			return
		}
	}
}

// value stands at the start of the next value and returns its kind.
func (s *scanner) value() Kind {
	s.space()
	if s.left--; s.left < 0 {
		s.stop(fmt.Errorf("%w: more than %d values", ErrTooBig, s.limit.Values))
	}
	switch c := s.peek(); {
	case c == '{':
		return Object
	case c == '[':
		return Array
	case c == '"':
		return String
	case c == 't' || c == 'f':
		return Bool
	case c == '-' || '0' <= c && c <= '9':
		return Number
	case c != 'n':
		s.stop(ErrSyntax)
	}
	return Null
}

// open goes into an object or list and reports whether it has members.
func (s *scanner) open(closer byte) bool {
	if s.depth++; s.depth > s.limit.Depth {
		s.stop(fmt.Errorf("%w: nested deeper than %d", ErrTooBig, s.limit.Depth))
		return false
	}
	s.pos++
	s.space()
	if s.peek() == closer {
		s.depth--
		s.pos++
		return false
	}
	return s.holds(s.pos) || s.short()
}

// next goes past the comma to the next member, or past the closing bracket.
func (s *scanner) next(closer byte) bool {
	s.space()
	switch s.peek() {
	case ',':
		s.pos++
		s.space()
		return s.holds(s.pos) || s.short()
	case closer:
		s.depth--
		s.pos++
		return false
	}
	s.stop(ErrSyntax)
	return false
}

// short is what is wrong with a text that ends too early.
func (s *scanner) short() bool {
	s.stop(ErrSyntax)
	return false
}

// name reads the name of a member and the colon after it, and returns where it stands.
func (s *scanner) name() (start, end int, escaped bool) {
	if s.peek() != '"' {
		s.stop(ErrSyntax)
		return s.pos, s.pos, false
	}
	start, end, escaped = s.quoted()
	s.space()
	if s.peek() != ':' {
		s.stop(ErrSyntax)
		return s.pos, s.pos, false
	}
	s.pos++
	return start, end, escaped
}

// quoted reads a text and returns where its inside lies, and whether anything in it
// is escaped.
func (s *scanner) quoted() (start, end int, escaped bool) {
	start = s.pos + 1
	for i := start; s.holds(i); i++ {
		switch c := s.data[i]; {
		case c == '"':
			if i-start > longest {
				s.stop(errLong)
				return start, start, false
			}
			s.pos = i + 1
			return start, i, escaped
		case c == '\\':
			escaped = true
			n := escapeLength(s.data[i:])
			if n == 0 {
				s.pos = i
				s.stop(ErrSyntax)
				return start, start, false
			}
			if lone, long := surrogate(s.data[i:]); lone {
				s.pos = i
				s.stop(ErrHalf)
				return start, start, false
			} else if long > 0 {
				n = long
			}
			i += n - 1
		case c < ' ':
			s.pos = i
			s.stop(ErrSyntax)
			return start, start, false
		}
	}
	s.stop(ErrSyntax)
	return start, start, false
}

// escapeLength returns how long the escape at the start of b is, 0 if it is none.
func escapeLength(b []byte) int {
	if len(b) < 2 {
		return 0
	}
	switch b[1] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		return 2
	case 'u':
		if len(b) < 6 {
			return 0
		}
		for _, c := range b[2:6] {
			if !('0' <= c && c <= '9' || 'a' <= c|0x20 && c|0x20 <= 'f') {
				return 0
			}
		}
		return 6
	}
	return 0
}

// surrogate reports whether an escape is half of a surrogate pair that stands alone, and
// how long the pair is if it is a whole one.
func surrogate(b []byte) (lone bool, long int) {
	half := func(b []byte) rune {
		if escapeLength(b) != 6 || b[0] != '\\' {
			return 0
		}
		n, _ := strconv.ParseUint(string(b[2:6]), 16, 32) // escapeLength has passed it
		return rune(n)
	}
	first := half(b)
	if !utf16.IsSurrogate(first) {
		return false, 0
	}
	if utf16.DecodeRune(first, half(b[6:])) == utf8.RuneError {
		return true, 0
	}
	return false, 12
}

// text returns the text that stands where quoted or name has found one.
func (s *scanner) text(start, end int, escaped bool) string {
	if escaped {
		return string(s.bytes(start, end, true))
	}
	return s.part(start, end)
}

// bytes is text, for who only looks at it: not a copy where nothing is escaped.
func (s *scanner) bytes(start, end int, escaped bool) []byte {
	if !escaped {
		return s.data[start:end]
	}
	var t string
	_ = json.Unmarshal(s.data[start-1:end+1], &t) // quoted has passed it
	return []byte(t)
}

// part returns what is written from one place to another.
func (s *scanner) part(start, end int) string {
	if s.all == "" {
		return string(s.data[start:end])
	}
	return s.all[start:end]
}

// number reads a number and returns it as it is written.
func (s *scanner) number() string {
	start := s.pos
	s.pastNumber()
	return s.part(start, s.pos)
}

func (s *scanner) pastNumber() {
	start := s.pos
	if s.peek() == '-' {
		s.pos++
	}
	if s.peek() == '0' {
		s.pos++
	} else {
		s.digits()
	}
	if s.peek() == '.' {
		s.pos++
		s.digits()
	}
	if c := s.peek(); c == 'e' || c == 'E' {
		s.pos++
		if c := s.peek(); c == '+' || c == '-' {
			s.pos++
		}
		s.digits()
	}
	if s.pos-start > longest && s.fail == nil {
		s.pos = start
		s.stop(errLong)
	}
}

// digits reads one digit and those that follow.
func (s *scanner) digits() {
	start := s.pos
	for c := s.peek(); '0' <= c && c <= '9'; c = s.peek() {
		s.pos++
	}
	if s.pos == start {
		s.stop(ErrSyntax)
	}
}

// word reads true, false or null.
func (s *scanner) word() string {
	for _, w := range [...]string{"true", "false", "null"} {
		if bytes.HasPrefix(s.data[s.pos:], []byte(w)) {
			s.pos += len(w)
			return w
		}
	}
	s.stop(ErrSyntax)
	return ""
}

// skip reads a value of the kind that value returned, and forgets it.
func (s *scanner) skip(k Kind) {
	switch k {
	case Object:
		for more := s.open('}'); more; more = s.next('}') {
			if s.peek() != '"' {
				s.stop(ErrSyntax)
				return
			}
			s.quoted()
			s.space()
			if s.peek() != ':' {
				s.stop(ErrSyntax)
				return
			}
			s.pos++
			s.skip(s.value())
		}
	case Array:
		for more := s.open(']'); more; more = s.next(']') {
			s.skip(s.value())
		}
	case String:
		s.quoted()
	case Number:
		s.pastNumber()
	default:
		s.word()
	}
}

// end makes sure that nothing follows.
func (s *scanner) end() {
	if s.space(); s.holds(s.pos) {
		s.stop(ErrSyntax)
	}
}

// start prepares a document for reading. Its error is what keeps it from being read
// at all.
func (d *Document) start(lim Limits) (*scanner, error) {
	if lim.Bytes == 0 {
		lim.Bytes = 64 << 20
	}
	if lim.Depth == 0 {
		lim.Depth = 32
	}
	if lim.Values == 0 {
		lim.Values = 20_000_000
	}
	if len(d.data) > lim.Bytes {
		return nil, d.refuse(0, fmt.Errorf("%w: %d bytes, at most %d", ErrTooBig, len(d.data), lim.Bytes))
	}
	d.ctx = lim.Context
	s := &scanner{data: d.data, left: lim.Values, limit: lim}
	if s.utf8(); s.fail != nil {
		return nil, d.failed(s)
	}
	if bytes.HasPrefix(d.data, []byte("\ufeff")) {
		s.pos = 3
	}
	return s, nil
}

// utf8 stops at the first byte that is no UTF-8.
func (s *scanner) utf8() {
	const piece = 16 * stretch
	for from := 0; from < len(s.data); {
		if !s.further(from) {
			return
		}
		to := min(from+piece, len(s.data))
		for to < len(s.data) && to > from+piece-utf8.UTFMax && !utf8.RuneStart(s.data[to]) {
			to--
		}
		if !utf8.Valid(s.data[from:to]) {
			s.pos = from + visible.Invalid(string(s.data[from:to]))
			s.stop(fmt.Errorf("%w: not UTF-8", ErrSyntax))
		}
		from = to
	}
	s.seen = 0
}

// refuse returns the one fault that keeps a document from being read.
func (d *Document) refuse(off int, err error) error {
	d.Faults.Reset()
	d.FaultAt(off, "", "", err)
	return d.Faults.Err()
}

// explained is how long a text may be of which encoding/json is asked what is wrong with its syntax: it reads it
// from the beginning, and cannot be stopped.
const explained = 8 << 20

// failed returns what stopped the scanner, in the words of encoding/json where it is
// the syntax: it says why.
func (d *Document) failed(s *scanner) error {
	switch {
	case s.off:
		return s.fail
	case s.fail != ErrSyntax:
		return d.refuse(s.at, s.fail)
	case len(d.data) > explained:
		return d.refuse(s.at, ErrSyntax)
	}
	skip := 0
	if bytes.HasPrefix(d.data, []byte("\ufeff")) {
		skip = 3
	}
	var raw json.RawMessage
	err := json.Unmarshal(d.data[skip:], &raw)
	if err == nil {
		return d.refuse(s.at, ErrSyntax)
	}
	off := 0
	if se, ok := errors.AsType[*json.SyntaxError](err); ok {
		off = max(0, int(se.Offset)-1)
	}
	return d.refuse(skip+off, fmt.Errorf("%w: %s", ErrSyntax, strings.TrimPrefix(err.Error(), "json: ")))
}
