package units

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
)

// Every type says the same through each of its text methods, and knows its own
// name, its units and its metric unit.
func TestEachTypeIsWiredToItsKind(t *testing.T) {
	var v every
	if err := json.Unmarshal([]byte(everyJSON), &v); err != nil {
		t.Fatal(err)
	}
	metric := map[string]string{
		"Area": "1.11 m2", "Volume": "6.06 L", "Flow": "0.789 L/s", "Velocity": "2.44 m/s", "Pressure": "414 kPa",
		"Head": "42.2 m", "Mass": "11.3 kg",
		"Density": "1e+03 kg/m3", "DynamicViscosity": "0.001 Pa-s", "KinematicViscosity": "9.29e-07 m2/s",
		"Power": "1.17e+04 W", "HeatFlowPerLength": "11.5 W/m",
		"Conductivity": "0.04 W/m-K", "HeatTransferCoefficient": "10 W/m2-K", "SpecificHeat": "4.18 kJ/kg-K",
		"Duration": "90 s", "Temperature": "15.6 degC", "TemperatureDifference": "5.56 K",
	}
	fields := reflect.ValueOf(v)
	for i := range fields.NumField() {
		x := fields.Field(i).Interface()
		name, _, _ := strings.Cut(strings.TrimPrefix(fmt.Sprintf("%#v", x), "units."), "(")
		text := x.(fmt.Stringer).String()
		marshalled, err := x.(encoding.TextMarshaler).MarshalText()
		if err != nil || string(marshalled) != text {
			t.Errorf("%s: marshals as %s, %v, prints %s", name, marshalled, err, text)
		}
		if b, err := x.(encoding.TextAppender).AppendText([]byte("x")); err != nil || string(b) != "x"+text {
			t.Errorf("%s: appends %s, %v", name, b, err)
		}
		if got := fmt.Sprintf("%v|%s", x, x); got != text+"|"+text {
			t.Errorf("%s: formats as %s, prints %s", name, got, text)
		}
		if _, ok := x.(Quantity); ok || name == "Length" {
			continue
		}
		if got, want := fmt.Sprintf("%#v", x), fmt.Sprintf("units.%s(%v)", name, fields.Field(i).Float()); got != want {
			t.Errorf("%s, want %s", got, want)
		}
		if got := fmt.Sprintf("%#.3g", x); got != metric[name] {
			t.Errorf("%s: %s, want %s", name, got, metric[name])
		}
	}
}

// In takes every type, each in a unit only its kind has.
func TestInTakesEveryType(t *testing.T) {
	check := func(v float64, err error) {
		t.Helper()
		if err != nil || v < 6.999999 || v > 7.000001 {
			t.Errorf("%v %v", v, err)
		}
	}
	check(In(7*Yard, "yd"))
	check(In(7*SquareFoot, "sq ft"))
	check(In(7*CubicYard, "yd3"))
	check(In(7*CubicFootPerMinute, "cfm"))
	check(In(7*FootPerSecond, "fps"))
	check(In(7*Bar, "bar"))
	check(In(7*FootOfHead, "ft"))
	check(In(7*Pound, "lb"))
	check(In(7*PoundPerCubicFoot, "pcf"))
	check(In(7*Centipoise, "cP"))
	check(In(7*Centistokes, "cSt"))
	check(In(7*Horsepower, "hp"))
	check(In(7*BtuPerHourFoot, "Btu/h-ft"))
	check(In(7*BtuPerHourFootFahrenheit, "Btu/h-ft-degF"))
	check(In(7*BtuPerHourSquareFootFahrenheit, "Btu/h-ft2-degF"))
	check(In(7*BtuPerPoundFahrenheit, "Btu/lb-degF"))
	check(In(7*Hour, "h"))
	check(In(Fahrenheit(7), "degF"))
	check(In(7*FahrenheitDifference, "degF"))
}

func TestFractionCharacters(t *testing.T) {
	for text, want := range map[string][2]int64{
		"½": {1, 2}, "⅓": {1, 3}, "⅔": {2, 3}, "¼": {1, 4}, "¾": {3, 4}, "⅕": {1, 5}, "⅖": {2, 5}, "⅗": {3, 5},
		"⅘": {4, 5}, "⅙": {1, 6}, "⅚": {5, 6},
		"⅐": {1, 7}, "⅛": {1, 8}, "⅜": {3, 8}, "⅝": {5, 8}, "⅞": {7, 8}, "⅑": {1, 9}, "⅒": {1, 10},
		"¹⁄₂": {1, 2}, "²⁄₃": {2, 3}, "³⁄₄": {3, 4}, "⁴⁄₅": {4, 5}, "⁵⁄₆": {5, 6}, "⁶⁄₇": {6, 7}, "⁷⁄₈": {7, 8},
		"⁸⁄₉": {8, 9}, "⁹⁄₁₀": {9, 10}, "¹⁰⁄₁₁": {10, 11},
		"⁰⁄₃": {0, 3}, "15⁄16": {15, 16}, "¹⁵/₁₆": {15, 16}, "⅟16": {1, 16}, "⅟9": {1, 9}, "4/9": {4, 9},
		"¹⁄10": {1, 10}, "⅟₁₆": {1, 16},
	} {
		q, err := ParseQuantity(text + " gal")
		if err != nil {
			t.Error(err)
			continue
		}
		if q.n.mant != 0 || int64(q.n.num) != want[0] || int64(q.n.den) != want[1] {
			t.Errorf("%s is read as %d and %d/%d", text, q.n.mant, q.n.num, q.n.den)
		}
		if r, err := MustParseQuantity("2 " + text + " gal").Rat("gal"); err != nil ||
			r.Sub(r, q.n.rat()).RatString() != "2" {
			t.Errorf("2 %s is read as 2 off by %v, %v", text, r, err)
		}
	}
}
