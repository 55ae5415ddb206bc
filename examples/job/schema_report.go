package job

import (
	"encoding"
	"math"
	"reflect"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// ReportSchema returns the JSON Schema of a report as [Report.WriteJSON] writes it.
func ReportSchema() ([]byte, error) { return reportSchema().Text() }

func reportSchema() *strictjson.Schema {
	s := schemaOf(reflect.TypeFor[Report]())
	s.Schema, s.Title = "https://json-schema.org/draft/2020-12/schema", "Report on one rough-in"
	return s
}

// schemaOf is the schema of what encoding/json writes of a type.
func schemaOf(t reflect.Type) *strictjson.Schema {
	switch {
	case t == reflect.TypeFor[Quantity]():
		return &strictjson.Schema{Type: "string",
			Description: `a quantity with its unit, such as "2 in", "9'-4\"" or "98.17 ft", or a word`}
	case t.Implements(reflect.TypeFor[encoding.TextMarshaler]()):
		return &strictjson.Schema{Type: "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return schemaOf(t.Elem())
	case reflect.Slice:
		return &strictjson.Schema{Type: "array", Items: schemaOf(t.Elem())}
	case reflect.Bool:
		return &strictjson.Schema{Type: "boolean"}
	case reflect.Int:
		least, most := 0, math.MaxInt32
		return &strictjson.Schema{Type: "integer", Minimum: &least, Maximum: &most}
	case reflect.Struct:
		return schemaOfStruct(t)
	default:
		return &strictjson.Schema{Type: "string"}
	}
}

func schemaOfStruct(t reflect.Type) *strictjson.Schema {
	closed := false
	s := &strictjson.Schema{Type: "object", Properties: map[string]*strictjson.Schema{}, Additional: &closed}
	for i := range t.NumField() {
		name := jsonName(t.Field(i))
		if name == "" {
			continue
		}
		s.Properties[name] = schemaOf(t.Field(i).Type)
		if _, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); options == "" {
			s.Required = append(s.Required, name)
		}
	}
	if t == reflect.TypeFor[FindingSection]() { // which writes its passes beside the rest
		s.Properties["pass"] = s.Properties["fail"]
		s.Required = append(s.Required, "pass")
	}
	return s
}
