// Package strictjson reads JSON that people write by hand: every unknown or
// repeated field, every wrong type and every text that does not parse is
// reported with file, line, column, item and field, all in one go.
package strictjson

import (
	"context"
	"encoding"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// Kind is the kind of a JSON value.
type Kind uint8

// The kinds of JSON values.
const (
	Null Kind = iota
	Bool
	Number
	String
	Array
	Object
)

var kindNames = [...]string{"null", "true or false", "a number", "text", "a list", "an object"}

// String names the kind as a message to a user would.
func (k Kind) String() string { return kindNames[k] }

// Value is one JSON value and where it stands.
type Value struct {
	Kind    Kind
	Text    string   // the text of a String, the literal of a Number or Bool
	Items   []Value  // of an Array, or the values of an Object
	Names   []string // of an Object, beside Items
	Offset  int      // of its first byte in the document
	End     int      // of the byte after its last
	nameOff []int
}

// Limits bound what is read. A zero field means the default.
type Limits struct {
	Bytes  int // default 64 MiB
	Depth  int // default 32
	Values int // default 20 million

	// Context stops the reading once it is done; nil: nothing does.
	Context context.Context
}

// The causes that callers may want to tell apart.
var (
	ErrSyntax  = errors.New("not valid JSON")
	ErrHalf    = errors.New("half of a surrogate pair stands alone")
	ErrTooBig  = errors.New("input too big")
	ErrUnknown = errors.New("unknown field")
	ErrMissing = errors.New("missing")
	ErrRepeat  = errors.New("given twice")
	ErrType    = errors.New("wrong type")
	ErrZero    = errors.New("it is zero")
)

// Document is a JSON text being read and the faults found in it so far.
type Document struct {
	Name   string
	Root   Value
	Faults faults.List
	data   []byte
	ctx    context.Context
	lines  []int  // offsets of line starts, made when first needed
	text   []byte // the text being parsed

	bad     map[int]bool
	places  map[string][]Place
	lacking map[lack]bool
}

// Parse reads one JSON value as a tree. Its error is the one syntax or size fault
// that kept the text from being read, or why its context ended; all later faults go to Document.Faults.
func Parse(name string, data []byte, lim Limits) (*Document, error) {
	d := &Document{Name: name, data: data}
	s, err := d.start(lim)
	if err != nil {
		return nil, err
	}
	s.all = string(data)
	w := walker{scanner: s}
	d.Root = w.value()
	if s.end(); s.fail != nil {
		return nil, d.failed(s)
	}
	return d, nil
}

// walker builds values. Members are gathered on stacks while their object or list is
// open and moved out, in one piece, when it closes.
type walker struct {
	*scanner
	values []Value
	names  []string
	places []int
	room   room[Value]
	words  room[string]
	spots  room[int]
}

// room hands out pieces of blocks, each twice as long as the one before.
type room[T any] struct {
	block []T
	size  int
}

func (r *room[T]) copy(list []T) []T {
	n := len(list)
	if n == 0 {
		return nil
	}
	if n > len(r.block) {
		r.size = min(max(8, 2*r.size), 1024)
		if n >= r.size {
			return slices.Clone(list)
		}
		r.block = make([]T, r.size)
	}
	out := r.block[:n:n]
	r.block = r.block[n:]
	copy(out, list)
	return out
}

func (w *walker) value() Value {
	v := Value{Kind: w.scanner.value()}
	v.Offset = w.pos
	switch v.Kind {
	case Object, Array:
		closer := byte(']')
		if v.Kind == Object {
			closer = '}'
		}
		values, names := len(w.values), len(w.names)
		for more := w.open(closer); more; more = w.next(closer) {
			if v.Kind == Object {
				w.places = append(w.places, w.pos)
				w.names = append(w.names, w.text(w.name()))
			}
			w.values = append(w.values, w.value())
		}
		v.Items = w.room.copy(w.values[values:])
		v.Names = w.words.copy(w.names[names:])
		v.nameOff = w.spots.copy(w.places[names:])
		w.values, w.names, w.places = w.values[:values], w.names[:names], w.places[:names]
	case String:
		v.Text = w.text(w.quoted())
	case Number:
		v.Text = w.number()
	default:
		if v.Text = w.word(); v.Kind == Null {
			v.Text = ""
		}
	}
	v.End = w.pos
	return v
}

// Only returns a copy of the document in which everything outside v is blank, so
// that another decoder reads v alone and its messages still name the right line
// and column.
func (d *Document) Only(v Raw) []byte {
	out := make([]byte, v.End)
	for i, c := range d.data[:v.Start] {
		out[i] = ' '
		if c == '\n' {
			out[i] = '\n'
		}
	}
	copy(out[v.Start:], d.data[v.Start:v.End])
	return out
}

// FaultAt records a fault at a byte offset of the document.
func (d *Document) FaultAt(offset int, item, field string, err error) {
	line, col := d.position(offset)
	d.Faults.Add(units.Fault{File: d.Name, Line: line, Column: col, Item: item, Field: field, Err: err})
}

func (d *Document) position(offset int) (line, column int) {
	if d.lines == nil {
		d.lines = []int{0}
		for i, c := range d.data {
			if c == '\n' {
				d.lines = append(d.lines, i+1)
			}
		}
	}
	line, begins := slices.BinarySearch(d.lines, offset)
	if begins {
		line++
	}
	return line, offset - d.lines[line-1] + 1
}

// Fields reads the members of an object, remembering which were asked for.
type Fields struct {
	doc  *Document
	v    *Value
	item string
	used uint64       // bit i: member i was asked for
	many map[int]bool // the same for members from 64 on

	first  map[string]int // members by name, of an object with many
	absent []string       // names that were asked for and are not there
}

// Fields starts reading an object that messages call item. A value that is not
// an object is a fault and reads as an empty one. Repeated names are faults.
func (d *Document) Fields(v *Value, item string) *Fields {
	f := &Fields{doc: d, v: v, item: item}
	if v.Kind != Object {
		d.FaultAt(v.Offset, item, "", fmt.Errorf("%w: %v where an object is needed", ErrType, v.Kind))
		f.v = &Value{Kind: Object, Offset: v.Offset}
		return f
	}
	if len(v.Names) > fewMembers {
		f.first = make(map[string]int, len(v.Names))
		for i, n := range v.Names {
			if _, seen := f.first[n]; !seen {
				f.first[n] = i
			}
		}
	}
	for i, n := range v.Names {
		if f.find(n) != i {
			d.FaultAt(v.nameOff[i], item, n, ErrRepeat)
		}
	}
	return f
}

// fewMembers is up to how many members an object is searched from its first to its
// last.
const fewMembers = 24

// find returns the first member of that name, -1 if there is none.
func (f *Fields) find(name string) int {
	if f.first == nil {
		return slices.Index(f.v.Names, name)
	}
	if i, ok := f.first[name]; ok {
		return i
	}
	return -1
}

// Get returns the member of that name, or nil if it is absent or null.
func (f *Fields) Get(name string) *Value {
	i := f.find(name)
	if i < 0 {
		f.absent = append(f.absent, name)
		return nil
	}
	if i < 64 {
		f.used |= 1 << i
	} else {
		if f.many == nil {
			f.many = map[int]bool{}
		}
		f.many[i] = true
	}
	if f.v.Items[i].Kind == Null {
		return nil
	}
	return &f.v.Items[i]
}

// Fault records a fault of the field, at its value if it is there.
func (f *Fields) Fault(name string, err error) {
	off := f.v.Offset
	if i := f.find(name); i >= 0 {
		off = f.v.Items[i].Offset
	}
	f.doc.FaultAt(off, f.item, name, err)
}

// Faultf is Fault with a formatted cause; %w wraps.
func (f *Fields) Faultf(name, format string, args ...any) {
	f.Fault(name, fmt.Errorf(format, args...))
}

// Need records a fault if the field is absent, and reports whether it is there.
func (f *Fields) Need(name string) bool {
	if f.Get(name) == nil {
		f.Fault(name, ErrMissing)
		return false
	}
	return true
}

func (f *Fields) kind(name string, k Kind) *Value {
	v := f.Get(name)
	if v != nil && v.Kind != k {
		f.Faultf(name, "%w: %v where %v is needed", ErrType, v.Kind, k)
		return nil
	}
	return v
}

// Text returns a text field, "" if absent.
func (f *Fields) Text(name string) string {
	if v := f.kind(name, String); v != nil {
		return v.Text
	}
	return ""
}

// Parse reads a text field into a quantity and reports whether it is there and
// good. A bare number is refused: it has no unit.
func (f *Fields) Parse(name string, into encoding.TextUnmarshaler) bool {
	v := f.Get(name)
	if v == nil {
		return false
	}
	var err error
	if f.doc.text, err = v.parse(into, f.doc.text); err != nil {
		f.Fault(name, err)
	}
	return err == nil
}

// Parse reads a text into a quantity. A bare number is refused: it has no unit.
func (v *Value) Parse(into encoding.TextUnmarshaler) error {
	_, err := v.parse(into, nil)
	return err
}

// parse is [Value.Parse] with a buffer that it returns.
func (v *Value) parse(into encoding.TextUnmarshaler, text []byte) ([]byte, error) {
	switch v.Kind {
	case String:
		text = append(text[:0], v.Text...)
		return text, into.UnmarshalText(text)
	case Number:
		return text, bareNumber(v.Text)
	}
	return text, fmt.Errorf("%w: %v where text is needed", ErrType, v.Kind)
}

// bareNumber refuses a number where a quantity is needed.
func bareNumber(text string) error {
	return fmt.Errorf("%w: %s is a bare number: write a text with its unit", ErrType, visible.Shorten(text))
}

// Float returns a number field and whether it is there and good.
func (f *Fields) Float(name string) (float64, bool) {
	v := f.kind(name, Number)
	if v == nil {
		return 0, false
	}
	x, err := strconv.ParseFloat(v.Text, 64)
	if err != nil {
		f.Faultf(name, "%s is out of range", visible.Shorten(v.Text))
		return 0, false
	}
	return x, true
}

// Bool returns a true-or-false field, false if absent.
func (f *Fields) Bool(name string) bool {
	v := f.kind(name, Bool)
	return v != nil && v.Text == "true"
}

// List returns the items of a list field, nil if absent.
func (f *Fields) List(name string) []Value {
	if v := f.kind(name, Array); v != nil {
		return v.Items
	}
	return nil
}

// Object returns an object field, nil if absent.
func (f *Fields) Object(name string) *Value { return f.kind(name, Object) }

// Done records a fault for each field that nobody asked for. One given twice is a
// fault already, and unknown once.
func (f *Fields) Done() {
	for i, n := range f.v.Names {
		asked := i < 64 && f.used&(1<<i) != 0 || i >= 64 && f.many[i]
		if !asked && f.find(n) == i {
			f.doc.FaultAt(f.v.nameOff[i], f.item, n, unknownField(n, f.absent))
		}
	}
}
