package tables

import (
	"bytes"
	"cmp"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Numbers returns v for [json.Marshal] with each quantity in it as an object of its
// number, its unit and the text that people read:
//
//	{"value":112,"unit":"in","text":"9'-4\""}
//
// where v alone has the text, which loses nothing but is no number to a program in
// another language. It takes whatever this module can marshal: findings, sizings,
// levels, take-offs, and slices, maps and structs of them. What is text and no quantity, ids
// and words, stays as it is; what v would leave out is left out.
//
// The types of this module read the text and not the object: [Texts] makes the one of the other.
func Numbers(v any) json.Marshaler { return numbers{v} }

// Texts takes JSON that was written through [Numbers] and puts the text of each quantity back
// in place of its object, so that the types of this module read it: for a client in Go of a
// service that answers with numbers. JSON without such objects comes back with the same content.
// An error is one of the JSON.
func Texts(data []byte) ([]byte, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, errors.New("more than one JSON value")
	}
	return json.Marshal(texts(v))
}

func texts(v any) any {
	switch x := v.(type) {
	case []any:
		for i := range x {
			x[i] = texts(x[i])
		}
	case map[string]any:
		_, number := x["value"].(json.Number)
		_, unit := x["unit"].(string)
		if text, ok := x["text"].(string); ok && number && unit && len(x) == 3 {
			return text
		}
		for k := range x {
			x[k] = texts(x[k])
		}
	}
	return v
}

type numbers struct{ v any }

// MarshalJSON writes the value with its quantities as objects.
func (n numbers) MarshalJSON() ([]byte, error) { return appendNumbers(nil, reflect.ValueOf(n.v)) }

// appendQuantity appends the text of a quantity as an object; of a word the text alone.
func appendQuantity(b []byte, text string) ([]byte, error) {
	value, unit, ok := NumberOf(text)
	if !ok || unit == "" {
		return appendJSON(b, text)
	}
	return appendJSON(b, struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
		Text  string  `json:"text"`
	}{math.Round(value*1e9) / 1e9, unit, text})
}

func appendJSON(b []byte, v any) ([]byte, error) {
	text, err := json.Marshal(v)
	return append(b, text...), err
}

// appendNumbers appends v as [json.Marshal] would, but for its quantities.
func appendNumbers(b []byte, v reflect.Value) ([]byte, error) {
	if !v.IsValid() || (v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface) && v.IsNil() {
		return append(b, "null"...), nil
	}
	if v.Kind() == reflect.Interface {
		return appendNumbers(b, v.Elem())
	}
	switch x := v.Interface().(type) {
	case Finding:
		return appendNumbers(b, reflect.ValueOf(x.record()))
	case FieldChange:
		return appendNumbers(b, reflect.ValueOf(x.record()))
	case text:
		return appendQuantity(b, string(x))
	case json.Marshaler:
		// What keeps its fields to itself gives them as plain data.
		if data := method(v, "Data"); data.IsValid() && data.Type().NumIn() == 0 && data.Type().NumOut() == 1 {
			return appendNumbers(b, data.Call(nil)[0])
		}
		return appendJSON(b, x)
	case encoding.TextMarshaler:
		s, err := x.MarshalText()
		if err != nil {
			return b, err
		}
		return appendQuantity(b, string(s))
	}
	switch v.Kind() {
	case reflect.Pointer:
		return appendNumbers(b, v.Elem())
	case reflect.Struct:
		return appendStruct(b, v)
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Array || !v.IsNil() && v.Type().Elem().Kind() != reflect.Uint8 {
			return appendList(b, v)
		}
	case reflect.Map:
		if !v.IsNil() {
			return appendMap(b, v)
		}
	}
	return appendJSON(b, v.Interface())
}

// method returns a method of a value or of its pointer.
func method(v reflect.Value, name string) reflect.Value {
	if v.Kind() == reflect.Pointer {
		return v.MethodByName(name)
	}
	p := reflect.New(v.Type())
	p.Elem().Set(v)
	return p.MethodByName(name)
}

func appendList(b []byte, v reflect.Value) (_ []byte, err error) {
	b = append(b, '[')
	for i := range v.Len() {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = appendNumbers(b, v.Index(i)); err != nil {
			return b, err
		}
	}
	return append(b, ']'), nil
}

func appendMap(b []byte, v reflect.Value) (_ []byte, err error) {
	keys := v.MapKeys()
	name := func(k reflect.Value) string { return fmt.Sprint(k.Interface()) }
	slices.SortFunc(keys, func(x, y reflect.Value) int { return cmp.Compare(name(x), name(y)) })
	b = append(b, '{')
	for i, k := range keys {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = appendJSON(b, name(k)); err != nil {
			return b, err
		}
		if b, err = appendNumbers(append(b, ':'), v.MapIndex(k)); err != nil {
			return b, err
		}
	}
	return append(b, '}'), nil
}

func appendStruct(b []byte, v reflect.Value) (_ []byte, err error) {
	b = append(b, '{')
	first := true
	for _, f := range reflect.VisibleFields(v.Type()) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" || f.Anonymous && name == "" {
			continue // the fields of what is embedded are visible themselves
		}
		x, err := v.FieldByIndexErr(f.Index)
		if err != nil || strings.Contains(options, "omitzero") && isZero(x) ||
			strings.Contains(options, "omitempty") && isEmpty(x) {
			continue
		}
		if !first {
			b = append(b, ',')
		}
		first = false
		if b, err = appendJSON(b, cmp.Or(name, f.Name)); err != nil {
			return b, err
		}
		if b, err = appendNumbers(append(b, ':'), x); err != nil {
			return b, err
		}
	}
	return append(b, '}'), nil
}

func isZero(v reflect.Value) bool {
	if z, ok := v.Interface().(interface{ IsZero() bool }); ok && (v.Kind() != reflect.Pointer || !v.IsNil()) {
		return z.IsZero()
	}
	return v.IsZero()
}

func isEmpty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String:
		return v.Len() == 0
	case reflect.Struct, reflect.Array:
		return false
	}
	return v.IsZero()
}

// NumberOf returns the number that the text of a quantity says, and its unit. Feet and
// inches are in inches, a grade of one in so many in "1:n", a nominal diameter in "DN"; ok is
// false of words.
func NumberOf(text string) (value float64, unit string, ok bool) {
	sign := 1.0
	if rest, minus := strings.CutPrefix(text, "-"); minus {
		sign, text = -1, rest
	}
	if feet, rest, found := strings.Cut(text, "'-"); found {
		inches, closed := strings.CutSuffix(rest, `"`)
		f, okFeet := plainNumber(feet)
		in, okInches := plainNumber(inches)
		return sign * (12*f + in), "in", closed && okFeet && okInches
	}
	number := text
	if n, found := strings.CutPrefix(text, "1:"); found {
		number, unit = n, "1:n"
	} else if n, found := strings.CutPrefix(text, "DN "); found {
		number, unit = n, "DN"
	} else if n, found := strings.CutSuffix(text, `"`); found {
		number, unit = n, "in"
	} else if i := strings.LastIndexByte(text, ' '); i >= 0 {
		number, unit = text[:i], text[i+1:]
	}
	v, ok := plainNumber(number)
	return sign * v, unit, ok
}

// plainNumber reads 3, 0.25, 1/4, 1 1/4 and 1-1/4.
func plainNumber(text string) (float64, bool) {
	whole, part, mixed := strings.Cut(strings.ReplaceAll(text, "-", " "), " ")
	if !mixed {
		whole, part = "0", whole
	}
	num, den, isFraction := strings.Cut(part, "/")
	if !isFraction {
		den = "1"
	}
	w, okWhole := finite(whole)
	n, okNum := finite(num)
	d, okDen := finite(den)
	return w + n/d, okWhole && okNum && okDen && d != 0 && (isFraction || !mixed)
}

// finite reads a number, but not the words for what is none or has no end.
func finite(text string) (float64, bool) {
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}
