package strictjson

import (
	"encoding/json"
	"reflect"
)

// Schema is a JSON Schema (draft 2020-12) of what [Decode] reads.
type Schema struct {
	Schema      string             `json:"$schema,omitempty"`
	Title       string             `json:"title,omitempty"`
	Type        string             `json:"type"`
	Description string             `json:"description,omitempty"`
	Minimum     *int               `json:"minimum,omitempty"`
	Maximum     *int               `json:"maximum,omitempty"`
	Default     *int               `json:"default,omitempty"`
	Items       *Schema            `json:"items,omitempty"`
	MinItems    int                `json:"minItems,omitempty"`
	MaxItems    int                `json:"maxItems,omitempty"`
	Properties  map[string]*Schema `json:"properties,omitempty"`
	Required    []string           `json:"required,omitempty"`
	Additional  *bool              `json:"additionalProperties,omitempty"`
}

// SchemaOf returns the schema of a struct, made from the tags that it is read by.
// About says what the text of a type that reads itself holds; parts are the structs
// that other decoders read into the fields that are [Raw].
func SchemaOf(title string, v any, about map[reflect.Type]string, parts map[string]any) *Schema {
	m := schemaMaker{about, parts}
	s := m.of(planOf(reflect.TypeOf(v)), nil)
	s.Schema, s.Title = "https://json-schema.org/draft/2020-12/schema", title
	return s
}

// Text returns the schema as it is published.
func (s *Schema) Text() ([]byte, error) {
	out, err := json.MarshalIndent(s, "", " ")
	return append(out, '\n'), err
}

type schemaMaker struct {
	about map[reflect.Type]string
	parts map[string]any
}

// of returns the schema of a type; f is the field it stands in, if any.
func (m *schemaMaker) of(p *plan, f *field) *Schema {
	switch p.shape {
	case quantity:
		return &Schema{Type: "string", Description: m.about[p.typ]}
	case words:
		return &Schema{Type: "string"}
	case boolean:
		return &Schema{Type: "boolean"}
	case whole:
		s := &Schema{Type: "integer", Minimum: &f.from, Maximum: &f.to}
		if f.otherwise != 0 {
			s.Default = &f.otherwise
		}
		return s
	case decimal:
		return &Schema{Type: "number"}
	case raw:
		return m.of(planOf(reflect.TypeOf(m.parts[f.name])), nil)
	case pointer:
		return m.of(p.elem, f.elem)
	case array:
		return &Schema{Type: "array", Items: m.of(p.elem, f.elem), MinItems: p.typ.Len(), MaxItems: p.typ.Len()}
	case slice:
		return &Schema{Type: "array", Items: m.of(p.elem, f.elem)}
	}
	no := false
	s := &Schema{Type: "object", Properties: map[string]*Schema{}, Additional: &no}
	for i := range p.fields {
		f := &p.fields[i]
		s.Properties[f.name] = m.of(f.plan, f)
		if p.need&(1<<i) != 0 {
			s.Required = append(s.Required, f.name)
		}
	}
	return s
}
