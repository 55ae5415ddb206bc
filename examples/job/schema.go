package job

import (
	"encoding"
	"math"
	"reflect"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// written says how a text is written, by what it is.
var written = map[reflect.Type]string{
	reflect.TypeFor[units.Length]():                `a length, such as "37 ft 6 in", "3 in" or "11.44 m"`,
	reflect.TypeFor[units.Flow]():                  `a flow, such as "4 gpm" or "0.25 L/s"`,
	reflect.TypeFor[units.Pressure]():              `a gauge pressure, such as "60 psi" or "414 kPa"`,
	reflect.TypeFor[units.Volume]():                `a volume, such as "1.6 gal" or "6 L"`,
	reflect.TypeFor[units.Duration]():              `a time, such as "15 min"`,
	reflect.TypeFor[units.Temperature]():           `a temperature, such as "50 degF" or "10 degC"`,
	reflect.TypeFor[units.TemperatureDifference](): `a difference of temperature, such as "10 degF" or "5 K"`,
	reflect.TypeFor[units.Conductivity]():          `a thermal conductivity, such as "0.04 W/m-K"`,
	reflect.TypeFor[slope.Grade]():                 `a grade, such as "1/4 in/ft", "2 %" or "1:48"`,
	reflect.TypeFor[slope.Join](): `how two pipes meet in height: at invert, at springline or at ` +
		`crown`,
	reflect.TypeFor[drains.Bearing]():   `a bearing on plan, clockwise from ahead (the y axis), such as "90 deg"`,
	reflect.TypeFor[dwv.FixtureUnits](): `fixture units, such as "2 dfu"`,
	reflect.TypeFor[dwv.Part]():         `what a run is: branch, stack, drain or sewer`,
	reflect.TypeFor[tables.Use]():       `who uses it: private, public or assembly`,
	reflect.TypeFor[tables.Control](): `what lets its water go: tank, valve, pressure-tank, faucet, ` +
		`waterless or hybrid`,
}

// schema is the JSON Schema of a layout file, made from the tags it is read by.
func schema() *strictjson.Schema {
	return strictjson.SchemaOf("Layout file of one rough-in", file{}, written,
		map[string]any{"drainage": drains.Data{}, "water": supply.Data{}})
}

// Schema returns the JSON Schema of a layout file.
func Schema() ([]byte, error) { return schema().Text() }

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
		return quantitySchema("value", `a quantity: its number, its unit, and the text that people read, such as 98.17, `+
			`"ft", "98.17 ft"; of a word, such as "level", the text alone. Feet and inches are in inches, 1:48 is 48 "1:n"`)
	case t == reflect.TypeFor[Size]():
		return quantitySchema("nominal", `a nominal size, which names a pipe and measures nothing, such as 2, "in", "2 in"`)
	case t == reflect.TypeFor[FindingSection]():
		return schemaOf(reflect.TypeFor[findingRecord]())
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

func quantitySchema(number, about string) *strictjson.Schema {
	closed := false
	return &strictjson.Schema{Type: "object", Additional: &closed, Required: []string{"text"}, Description: about,
		Properties: map[string]*strictjson.Schema{number: {Type: "number"}, "unit": {Type: "string"},
			"text": {Type: "string"}}}
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
	return s
}
