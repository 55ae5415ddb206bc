package strictjson

import (
	"encoding"
	"fmt"
	"math/bits"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// shape is how a type is read.
type shape uint8

const (
	quantity shape = iota // reads itself from text
	words
	boolean
	whole
	decimal
	raw
	pointer
	object
	slice
	array
)

// plan is what is known of a type.
type plan struct {
	typ    reflect.Type
	shape  shape
	isInt  bool
	elem   *plan // of a pointer, slice or array
	fields []field
	byName map[string]int
	need   uint64 // bit i: fields[i] must be there
	hasID  bool
	// defaults are the fields that are something when they are absent.
	defaults []int
}

// field is a field of a struct.
type field struct {
	name      string
	index     []int
	plan      *plan
	item      string // a member of the list
	inline    bool
	free      bool
	some      bool   // zero is refused
	size      bool   // DN 80 is 80 mm
	empty     bool   // a list with nothing in it is one
	word      string // stands for a quantity that is worked out later
	from, to  int
	otherwise int
	zero      int    // index of the field that says this one is zero and stated, -1 if none
	elem      *field // what a pointer points to, a member of a list or array
}

var plans sync.Map // reflect.Type to *plan

var textReader = reflect.TypeFor[encoding.TextUnmarshaler]()

// planOf returns the plan of a type. A type or a tag that it does not know is a
// mistake of the program.
func planOf(t reflect.Type) *plan {
	if p, ok := plans.Load(t); ok {
		return p.(*plan)
	}
	p := makePlan(t)
	plans.Store(t, p)
	return p
}

func makePlan(t reflect.Type) *plan {
	p := &plan{typ: t}
	switch {
	case reflect.PointerTo(t).Implements(textReader):
		p.shape = quantity
	case t == reflect.TypeFor[Raw]():
		p.shape = raw
	default:
		switch t.Kind() {
		case reflect.String:
			p.shape = words
		case reflect.Bool:
			p.shape = boolean
		case reflect.Int, reflect.Int32, reflect.Int64:
			p.shape, p.isInt = whole, true
		case reflect.Float64:
			p.shape = decimal
		case reflect.Pointer:
			p.shape, p.elem = pointer, planOf(t.Elem())
		case reflect.Slice:
			p.shape, p.elem = slice, planOf(t.Elem())
		case reflect.Array:
			p.shape, p.elem = array, planOf(t.Elem())
		case reflect.Struct:
			p.shape = object
			p.structFields(t, nil)
		default:
			panic(fmt.Sprintf("strictjson: no way to read %v", t))
		}
	}
	return p
}

// structFields adds the fields of a struct, those of embedded ones among them.
func (p *plan) structFields(t reflect.Type, path []int) {
	if p.byName == nil {
		p.byName = map[string]int{}
	}
	for i := range t.NumField() {
		sf := t.Field(i)
		index := append(append([]int(nil), path...), i)
		if sf.Anonymous && sf.Type.Kind() == reflect.Struct && sf.Tag.Get("json") == "" {
			p.structFields(sf.Type, index)
			continue
		}
		name, _, _ := strings.Cut(sf.Tag.Get("json"), ",")
		if name == "" || name == "-" || !sf.IsExported() {
			continue
		}
		f := field{name: name, index: index, plan: planOf(sf.Type), item: sf.Tag.Get("item"),
			from: -1 << 31, to: 1<<31 - 1, zero: -1}
		p.tag(&f, t, sf)
		if f.plan.elem != nil {
			e := f
			e.plan, e.zero = f.plan.elem, -1
			f.elem = &e
		}
		p.hasID = p.hasID || name == "id"
		p.byName[name] = len(p.fields)
		p.fields = append(p.fields, f)
	}
	if len(p.fields) > 64 {
		panic(fmt.Sprintf("strictjson: %v has more than 64 fields", t))
	}
}

// tag reads what the tag of a field says beyond its name.
func (p *plan) tag(f *field, t reflect.Type, sf reflect.StructField) {
	number := func(s string) int {
		n, err := strconv.Atoi(s)
		if err != nil {
			panic(fmt.Sprintf("strictjson: %v.%s: %q is no number", t, sf.Name, s))
		}
		return n
	}
	for word := range strings.SplitSeq(sf.Tag.Get("read"), ",") {
		name, value, _ := strings.Cut(word, "=")
		switch name {
		case "":
		case "need":
			p.need |= 1 << len(p.fields)
		case "free":
			f.free = true
		case "inline":
			f.inline = true
		case "some":
			f.some = true
		case "size":
			f.some, f.size = true, true
		case "empty":
			f.empty = true
		case "word":
			f.word = value
		case "from":
			f.from = number(value)
		case "to":
			f.to = number(value)
		case "else":
			f.otherwise = number(value)
			p.defaults = append(p.defaults, len(p.fields))
		case "zero":
			other, ok := t.FieldByName(value)
			if !ok {
				panic(fmt.Sprintf("strictjson: %v has no field %s", t, value))
			}
			f.zero = other.Index[0]
		default:
			panic(fmt.Sprintf("strictjson: %v.%s: no such word: %q", t, sf.Name, word))
		}
	}
	if f.item == "" && f.plan.shape == slice && f.plan.elem.shape == object {
		panic(fmt.Sprintf("strictjson: %v.%s: a list of objects needs the tag item", t, sf.Name))
	}
}

// find returns the field of that name, -1 if there is none. Members mostly come in
// the order of the fields: next is tried first.
func (p *plan) find(name []byte, next int) int {
	if next < len(p.fields) && p.fields[next].name == string(name) {
		return next
	}
	if i, ok := p.byName[string(name)]; ok {
		return i
	}
	return -1
}

func lowest(mask uint64) int { return bits.TrailingZeros64(mask) }
