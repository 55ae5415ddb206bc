package strictjson

import (
	"bytes"
	"encoding"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// Place is where an object begins in a document; the zero Place is nowhere.
type Place int

// Raw is a value that is left unread, because another decoder reads it: see
// [Document.Only].
type Raw struct {
	Kind       Kind
	Start, End int // offsets
}

// Given reports whether the value is there.
func (r Raw) Given() bool { return r.End > 0 }

// IsObject reports whether the value is there and is an object.
func (r Raw) IsObject() bool { return r.Given() && r.Kind == Object }

// Decode reads a JSON object into a struct by its tags; item is what messages call
// it. Its error is the one syntax or size fault that kept the text from being read;
// all other faults go to Document.Faults, and what has none is read. With more faults
// than are kept that is an error too, for then nobody looks at the rest.
//
// The tag json names a field, as for encoding/json. The tag read says more, in words
// parted by commas:
//
//	need     it must be there
//	free     a text of any letters, such as a note; others name something and must be seen
//	some     a quantity that is not zero, if it is there
//	size     the same of a nominal size; DN 80 is 80 mm
//	empty    a list with nothing in it is not nil
//	word=W   the text W stands for a quantity that is worked out later
//	inline   messages tell its fields as those of the object around it
//	from=1   a whole number of at least 1
//	to=9     and at most 9
//	else=1   what it is when it is absent
//	zero=F   the field F of the same struct is set if this one is there and zero
//
// The tag item is what messages call a member of a list. Fields are quantities that
// read themselves from text, texts, numbers, true or false, structs and pointers to
// them, lists and arrays of these, and [Raw]. A field that is null is absent, but for a
// whole number, which is not null.
func Decode(name, item string, data []byte, into any, lim Limits) (*Document, error) {
	d := &Document{Name: name, data: data, bad: map[int]bool{}, places: map[string][]Place{}}
	s, err := d.start(lim)
	if err != nil {
		return nil, err
	}
	r := decoder{scanner: s, doc: d}
	d.Root.Kind, d.Root.Offset = s.value(), s.pos
	v := reflect.ValueOf(into).Elem()
	if r.enter(frame{name: item, start: s.pos}); r.is("", d.Root.Kind, Object) {
		r.object(v, planOf(v.Type()))
	}
	if s.end(); s.fail != nil {
		return nil, d.failed(s)
	}
	if d.Faults.Full() {
		return nil, d.Faults.Err()
	}
	return d, nil
}

// decoder reads values into Go.
type decoder struct {
	*scanner
	doc    *Document
	frames []frame
	raw    []byte // the text being read
}

// frame is an object that is being read.
type frame struct {
	name   string // of a part, or of each member of the list it stands in
	number int    // its place in that list, from 1
	start  int    // offset of its bracket
	list   string // the field that the list is
	inline bool
	named  bool // its like have ids
}

func (d *decoder) enter(f frame) { d.frames = append(d.frames, f) }
func (d *decoder) leave()        { d.frames = d.frames[:len(d.frames)-1] }

// item is what messages call the object that is being read.
func (d *decoder) item() string {
	s, number := "", "" // number: of the member of a list that the next one stands in
	for _, f := range d.frames {
		switch {
		case f.inline:
		case f.number > 0 && f.named:
			s = d.named(&f, number)
			number = fmt.Sprintf(" of %s %d", f.name, f.number)
		case f.number > 0:
			s = join(s, fmt.Sprintf("%s %d", f.name, f.number))
		case s == "" || f.start == d.doc.Root.Offset:
			s = f.name
		case len(d.frames) > 1 && s == d.frames[0].name:
			s = f.name // a part of the whole stands for itself
		default:
			s = join(s, f.name)
		}
	}
	return s
}

// named is what messages call a member of a list of things with ids: by its id, or
// else by its place.
func (d *decoder) named(f *frame, in string) string {
	if id, ok := d.doc.Member(Place(f.start+1), "id"); ok && d.data[id] == '"' {
		if t := d.doc.Text(id); t != "" {
			return f.name + " " + visible.Quote(t)
		}
	}
	return fmt.Sprintf("%s %d%s", f.name, f.number, in)
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ": " + b
}

// fault records a fault of a field at an offset, and that what stands there is bad.
func (d *decoder) fault(field string, off int, err error) {
	if d.doc.Faults.Full() {
		d.doc.Faults.Count()
		return
	}
	d.doc.bad[off] = true
	d.doc.FaultAt(off, d.item(), field, err)
}

// is reports whether the value that comes is of a kind; one that is not is a fault, and skipped.
func (d *decoder) is(field string, got, wanted Kind) bool {
	if got == wanted {
		return true
	}
	err := ErrType
	if !d.doc.Faults.Full() { // then it is only counted
		err = fmt.Errorf("%w: %v where %v is needed", ErrType, got, wanted)
	}
	d.fault(field, d.pos, err)
	d.skip(got)
	return false
}

// object reads an object that has been entered, at its bracket.
func (d *decoder) object(v reflect.Value, p *plan) {
	start := d.pos
	var seen uint64
	var strange map[string]bool // names that are no fields
	next := 0
	for more := d.open('}'); more; more = d.next('}') {
		off := d.pos
		name := d.bytes(d.name())
		i := p.find(name, next)
		if i < 0 {
			if strange == nil {
				strange = map[string]bool{}
			}
			d.unknown(string(name), off, p, strange)
			d.skip(d.value())
			continue
		}
		next = i + 1
		f := &p.fields[i]
		if given := uint64(1) << i; seen&given != 0 {
			d.fault(f.name, off, ErrRepeat)
			d.skip(d.value())
			continue
		}
		k := d.value()
		if k == Null && !f.plan.isInt {
			d.word()
			continue
		}
		seen |= uint64(1) << i
		field := v.Field(f.index[0])
		if len(f.index) > 1 {
			field = v.FieldByIndex(f.index)
		}
		d.read(k, field, f)
		if f.zero >= 0 {
			v.Field(f.zero).SetBool(field.IsZero())
		}
	}
	if d.fail != nil {
		return
	}
	for missing := p.need &^ seen; missing != 0; missing &= missing - 1 {
		d.absent(start, p.fields[lowest(missing)].name)
	}
	for _, i := range p.defaults {
		if f := &p.fields[i]; seen&(1<<i) == 0 {
			v.FieldByIndex(f.index).SetInt(int64(f.otherwise))
		}
	}
}

// absent records that a field is missing of an object.
func (d *decoder) absent(start int, field string) {
	if d.doc.Faults.Full() {
		d.doc.Faults.Count()
		return
	}
	d.doc.FaultAt(start, d.item(), field, ErrMissing)
	d.doc.lacks(Place(start+1), field)
}

// unknown records a member that is no field. One given twice is told as that.
func (d *decoder) unknown(name string, off int, p *plan, strange map[string]bool) {
	if d.doc.Faults.Full() {
		d.doc.Faults.Count()
		return
	}
	if strange[name] {
		d.fault(name, off, ErrRepeat)
		return
	}
	strange[name] = true
	names := make([]string, len(p.fields))
	for i := range p.fields {
		names[i] = p.fields[i].name
	}
	if in := fieldsWith(name, p); in != nil {
		d.fault(name, off, fmt.Errorf("%w here: it is a field of %s", ErrUnknown, strings.Join(in, " or ")))
		return
	}
	d.fault(name, off, unknownField(name, names))
}

// fieldsWith names the objects one step farther in that have a field of that name.
func fieldsWith(name string, p *plan) (in []string) {
	for i := range p.fields {
		inner := p.fields[i].plan
		for inner != nil && inner.shape == pointer {
			inner = inner.elem
		}
		if inner == nil || inner.shape != object {
			continue
		}
		if _, has := inner.byName[name]; has {
			in = append(in, strconv.Quote(p.fields[i].name))
		}
	}
	return in
}

// unknownField is [ErrUnknown] with the field that was meant, if one is near.
func unknownField(name string, fields []string) error {
	if near := visible.Nearest(name, fields); near != "" {
		return fmt.Errorf("%w: did you mean %q?", ErrUnknown, near)
	}
	return ErrUnknown
}

// read reads a value of kind k, at which the scanner stands, into a field.
func (d *decoder) read(k Kind, v reflect.Value, f *field) {
	switch p := f.plan; p.shape {
	case quantity:
		d.quantity(k, v, f)
	case words:
		d.words(k, v, f)
	case boolean:
		if d.is(f.name, k, Bool) {
			v.SetBool(d.word() == "true")
		}
	case whole:
		d.whole(k, v, f)
	case decimal:
		d.decimal(k, v, f)
	case raw:
		start := d.pos
		d.skip(k)
		v.Set(reflect.ValueOf(Raw{k, start, d.pos}))
	case pointer:
		v.Set(reflect.New(p.elem.typ))
		d.read(k, v.Elem(), f.elem)
	case object:
		d.part(k, v, f)
	default:
		d.list(k, v, f)
	}
}

func (d *decoder) quantity(k Kind, v reflect.Value, f *field) {
	off := d.pos
	if k == Number {
		d.fault(f.name, off, bareNumber(d.number()))
		return
	}
	if !d.is(f.name, k, String) {
		return
	}
	start, end, escaped := d.quoted()
	text := d.data[start:end]
	if escaped {
		text = []byte(d.doc.Text(off))
	}
	// What reads itself must not keep or change the document.
	d.raw = append(d.raw[:0], bytes.TrimSpace(text)...)
	if f.word != "" && string(d.raw) == f.word {
		return
	}
	if f.size {
		d.raw = millimetres(d.raw)
	}
	err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText(d.raw)
	if err == nil && f.some && v.IsZero() {
		err = nothing(text, f.size)
	}
	if err != nil {
		d.fault(f.name, off, err)
	}
}

// millimetres writes a size that is named DN, which counts in millimetres, as a length.
func millimetres(text []byte) []byte {
	dn, ok := bytes.CutPrefix(text, []byte("DN"))
	dn = bytes.TrimSpace(dn)
	if !ok || len(dn) == 0 || len(dn) > 5 || bytes.ContainsFunc(dn, func(r rune) bool { return r < '0' || r > '9' }) {
		return text
	}
	return append(bytes.Clone(dn), " mm"...)
}

// nothing says why a quantity that came out as zero is refused.
func nothing(text []byte, size bool) error {
	switch {
	case bytes.ContainsAny(text, "123456789"):
		return fmt.Errorf("%w: %s is shorter than can be laid", ErrZero, visible.Quote(string(text)))
	case size:
		return fmt.Errorf("%w: leave the size out to have it worked out", ErrZero)
	}
	return ErrZero
}

func (d *decoder) words(k Kind, v reflect.Value, f *field) {
	off := d.pos
	if !d.is(f.name, k, String) {
		return
	}
	t := d.text(d.quoted())
	v.SetString(t)
	if !f.free && f.name != "id" {
		if err := visible.Word(t); err != nil {
			d.fault(f.name, off, err)
		}
	}
}

func (d *decoder) whole(k Kind, v reflect.Value, f *field) {
	off := d.pos
	got := k.String()
	if k == Number {
		got = d.number()
		n, err := strconv.ParseInt(got, 10, 64)
		if x, _ := strconv.ParseFloat(got, 64); err != nil && x == math.Trunc(x) && math.Abs(x) < 1<<53 {
			n, err = int64(x), nil
		}
		if err == nil && int64(f.from) <= n && n <= int64(f.to) {
			v.SetInt(n)
			return
		}
	} else {
		d.skip(k)
	}
	d.fault(f.name, off, fmt.Errorf("%w: %s where a whole number from %d to %d is needed", ErrType,
		visible.Shorten(got), f.from, f.to))
}

func (d *decoder) decimal(k Kind, v reflect.Value, f *field) {
	off := d.pos
	if !d.is(f.name, k, Number) {
		return
	}
	text := d.number()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		d.fault(f.name, off, fmt.Errorf("%s is out of range", visible.Shorten(text)))
		return
	}
	v.SetFloat(x)
}

// part reads an object that is a field.
func (d *decoder) part(k Kind, v reflect.Value, f *field) {
	if !d.is(f.name, k, Object) {
		return
	}
	d.enter(frame{name: f.name, start: d.pos, inline: f.inline})
	d.object(v, f.plan)
	d.leave()
}

func (d *decoder) list(k Kind, v reflect.Value, f *field) {
	switch {
	case !d.is(f.name, k, Array):
	case f.plan.shape == array:
		d.array(v, f)
	default:
		d.slice(v, f)
	}
}

// array reads a list that has so many members.
func (d *decoder) array(v reflect.Value, f *field) {
	off, n := d.pos, 0
	for more := d.open(']'); more; more = d.next(']') {
		if k := d.value(); n < v.Len() {
			d.read(k, v.Index(n), f.elem)
		} else {
			d.skip(k)
		}
		n++
	}
	if n != v.Len() && d.fail == nil {
		d.fault(f.name, off, fmt.Errorf("%w: a list of %d where one of %d is needed", ErrType, n, v.Len()))
	}
}

// slice reads a list, and notes where its members begin if they have an id.
func (d *decoder) slice(v reflect.Value, f *field) {
	var places []Place
	elem, start := f.plan.elem, d.pos
	n := 0
	for more := d.open(']'); more; more = d.next(']') {
		k := d.value()
		n++
		d.grow(v, n, start)
		member := v.Index(v.Len() - 1)
		if elem.hasID {
			places = append(places, Place(d.pos+1))
		}
		if elem.shape != object {
			d.read(k, member, f.elem)
			continue
		}
		d.enter(frame{name: f.item, number: n, start: d.pos, list: f.name, named: elem.hasID})
		if d.is("", k, Object) {
			d.object(member, elem)
		}
		d.leave()
	}
	if n == 0 && f.empty {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	}
	if places != nil && !d.doc.Faults.Full() {
		d.doc.places[d.path(f.name)] = places
	}
}

// grow makes room for the nth member of a list that starts at an offset: of a long one for as
// many as the rest of the text can hold of such members, within bounds. What will not be used,
// because there are too many faults to go on, takes the place of the one before.
func (d *decoder) grow(v reflect.Value, n, start int) {
	if d.doc.Faults.Full() && v.Len() > 0 {
		v.Index(v.Len() - 1).SetZero()
		return
	}
	if had := n - 1; n > v.Cap() {
		more := max(1, had)
		if had >= 64 {
			more = max(1, min(7*had, (len(d.data)-d.pos)/((d.pos-start)/had)))
		}
		v.Grow(more)
	}
	v.SetLen(n)
}

// path is where a list stands: "points", or "systems.3.points" for that of the fourth
// member of another list.
func (d *decoder) path(name string) string {
	var b strings.Builder
	for _, f := range d.frames[1:] {
		if f.number > 0 {
			fmt.Fprintf(&b, "%s.%d.", f.list, f.number-1)
		}
	}
	return b.String() + name
}

// Places returns where the members of a list of named objects begin, by its path,
// such as "points" or "systems.3.points".
func (d *Document) Places(path string) []Place { return d.places[path] }

// Member returns where the value of a field of an object begins, by a dotted path; a
// number in it counts the members of a list from 0.
func (d *Document) Member(at Place, path string) (offset int, ok bool) {
	if at <= 0 {
		return 0, false
	}
	s := d.scannerAt(int(at) - 1)
	for part := range strings.SplitSeq(path, ".") {
		if !s.goTo(part) {
			return 0, false
		}
	}
	return s.pos, true
}

// PlaceOf is Member for an object.
func (d *Document) PlaceOf(at Place, path string) Place {
	if off, ok := d.Member(at, path); ok {
		return Place(off + 1)
	}
	return at
}

// scannerAt returns a scanner of what has been scanned before.
func (d *Document) scannerAt(pos int) *scanner {
	return &scanner{data: d.data, pos: pos, seen: min(pos+stretch, len(d.data)), left: math.MaxInt,
		limit: Limits{Depth: math.MaxInt, Context: d.ctx}}
}

// goTo goes from the start of an object or list to the start of a member's value.
func (s *scanner) goTo(part string) bool {
	closer := s.peek() + 2 // the closing bracket stands two after the opening one
	if closer != '}' && closer != ']' {
		return false
	}
	n := 0
	for more := s.open(closer); more; more = s.next(closer) {
		var here bool
		if closer == '}' {
			here = string(s.bytes(s.name())) == part
		} else {
			here = strconv.Itoa(n) == part
		}
		k := s.value()
		if here {
			return s.fail == nil
		}
		s.skip(k)
		n++
	}
	return false
}

// Fault records a fault of a field of the object at a place, unless it has been told
// already; path is where the field stands in the object.
func (d *Document) Fault(at Place, path, item, field string, err error) {
	if d.Faults.Full() {
		d.Faults.Count()
		return
	}
	if d.Blamed(at, path) {
		return
	}
	offset, found := d.Member(at, path)
	if !found {
		offset = int(at) - 1
	}
	d.FaultAt(offset, item, field, err)
}

// Top is the place of the outermost object.
func (d *Document) Top() Place { return Place(d.Root.Offset + 1) }

// Text returns what is written at the offset of a value, without its quotes if it is
// a text.
func (d *Document) Text(offset int) string {
	s := d.scannerAt(offset)
	k := s.value()
	if k == String {
		return s.text(s.quoted())
	}
	start := s.pos
	s.skip(k)
	return s.part(start, s.pos)
}

// lack is a field that an object should have had.
type lack struct {
	at    Place
	field string
}

func (d *Document) lacks(at Place, field string) {
	if d.lacking == nil {
		d.lacking = map[lack]bool{}
	}
	d.lacking[lack{at, field}] = true
}

// Blamed reports whether a field of an object has been told as a fault already, as
// unreadable or as missing, or what holds it.
func (d *Document) Blamed(at Place, path string) bool {
	if d.bad[int(at)-1] {
		return true
	}
	holder, last := "", path
	if i := strings.LastIndexByte(path, '.'); i >= 0 {
		holder, last = path[:i], path[i+1:]
		if d.Blamed(at, holder) {
			return true
		}
		at = d.PlaceOf(at, holder)
	}
	off, ok := d.Member(at, last)
	return ok && d.bad[off] || d.lacking[lack{at, last}]
}
