package job

import (
	"reflect"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
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
	reflect.TypeFor[drains.Bearing]():   `a bearing on plan, clockwise from north, such as "90 deg"`,
	reflect.TypeFor[dwv.FixtureUnits](): `fixture units, such as "2 dfu"`,
	reflect.TypeFor[dwv.Part]():         `what a run is: branch, stack, drain or sewer`,
	reflect.TypeFor[dwv.Use]():          `who uses it: private, public or assembly`,
	reflect.TypeFor[dwv.Control](): `what lets its water go: tank, valve, pressure-tank, faucet or ` +
		`waterless`,
}

// schema is the JSON Schema of a layout file, made from the tags it is read by.
func schema() *strictjson.Schema {
	return strictjson.SchemaOf("Layout file of one rough-in", file{}, written,
		map[string]any{"drainage": drains.Data{}, "water": supply.Data{}})
}

// Schema returns the JSON Schema of a layout file.
func Schema() ([]byte, error) { return schema().Text() }
