package patience

import (
	"bufio"
	"encoding/json"
	"io"
	"reflect"
	"strings"
)

// WriteJSON writes a struct, or a list, as encoding/json does, its lists member by member for as long as the work
// goes on; what calls each of the members of a list. Fields of the struct have a tag json each, and none is embedded.
func (w *Work) WriteJSON(out io.Writer, v any, what string) error {
	j := &jsonWriter{Work: w, out: bufio.NewWriter(out), what: what}
	j.value(reflect.ValueOf(v))
	if err := w.Err(); err != nil {
		return err
	}
	if j.err != nil {
		return j.err
	}
	return j.out.Flush()
}

type jsonWriter struct {
	*Work
	out  *bufio.Writer
	what string
	err  error // the first
}

func (j *jsonWriter) text(s string) {
	if j.err == nil {
		_, j.err = j.out.WriteString(s)
	}
}

func (j *jsonWriter) value(v reflect.Value) {
	switch {
	case v.Kind() == reflect.Slice && !v.IsNil():
		j.list(v)
	case v.Kind() == reflect.Struct:
		j.fields(v)
	default:
		j.whole(v.Interface())
	}
}

// whole writes what is short enough to be written at once.
func (j *jsonWriter) whole(v any) {
	text, err := json.Marshal(v)
	if j.err == nil {
		j.err = err
	}
	j.text(string(text))
}

func (j *jsonWriter) list(v reflect.Value) {
	j.text("[")
	for i := range j.Each(v.Len(), j.what) {
		if i > 0 {
			j.text(",")
		}
		if j.whole(v.Index(i).Addr().Interface()); j.err != nil { // the place, as encoding/json takes it
			return
		}
	}
	j.text("]")
}

func (j *jsonWriter) fields(v reflect.Value) {
	next := "{"
	for i := range v.NumField() {
		name, rest, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		f := v.Field(i)
		empty := f.IsZero() || f.Kind() == reflect.Slice && f.Len() == 0
		if rest == "omitempty" && empty || rest == "omitzero" && f.IsZero() {
			continue
		}
		j.text(next)
		j.whole(name)
		j.text(":")
		j.value(f)
		next = ","
	}
	if next == "{" {
		j.text(next)
	}
	j.text("}")
}
