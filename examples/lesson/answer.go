package lesson

import (
	"math"
	"strconv"
)

// form tells which of the forms an answer has.
type form uint8

const (
	quantityForm form = iota // {"value":x,"unit":"in"}
	textForm                 // "unlimited"
	boolForm                 // true
	listForm                 // [...]
	objectForm               // {...}
)

// value is one answer.
type value struct {
	form  form
	x     float64
	unit  string
	text  string
	yes   bool
	items []value
	// What row of a table decided a quantity, and its trade text if that is asked for.
	standing, source, trade string
	names                   []string // of an object, beside items
}

func text(s string) value { return value{form: textForm, text: s} }

func yes(b bool) value { return value{form: boolForm, yes: b} }

func list(items []value) value { return value{form: listForm, items: items} }

// plain is a number without a unit.
func plain(x float64) value { return value{x: x, unit: "1"} }

// answers is an object of named values, in order.
type answers struct{ value }

func (a *answers) add(name string, v value) {
	a.form = objectForm
	a.names = append(a.names, name)
	a.items = append(a.items, v)
}

// digits is how many significant digits an answer carries.
const digits = 12

// appendNumber writes a finite number with 12 significant digits.
func appendNumber(b []byte, x float64) []byte {
	if x == 0 {
		return append(b, '0') // never -0
	}
	return strconv.AppendFloat(b, x, 'g', digits, 64)
}

// append writes v as JSON.
func (v *value) append(b []byte) []byte {
	switch v.form {
	case textForm:
		return appendText(b, v.text)
	case boolForm:
		return strconv.AppendBool(b, v.yes)
	case listForm, objectForm:
		brackets := "[]"
		if v.form == objectForm {
			brackets = "{}"
		}
		b = append(b, brackets[0])
		for i := range v.items {
			if i > 0 {
				b = append(b, ',')
			}
			if v.form == objectForm {
				b = append(appendText(b, v.names[i]), ':')
			}
			b = v.items[i].append(b)
		}
		return append(b, brackets[1])
	}
	b = append(b, `{"value":`...)
	b = appendNumber(b, v.x)
	b = append(b, `,"unit":`...)
	b = appendText(b, v.unit)
	for _, more := range [...]struct{ key, text string }{
		{`,"text":`, v.trade}, {`,"standing":`, v.standing}, {`,"source":`, v.source},
	} {
		if more.text != "" {
			b = appendText(append(b, more.key...), more.text)
		}
	}
	return append(b, '}')
}

// finite reports whether every number in v is one.
func (v *value) finite() bool {
	for i := range v.items {
		if !v.items[i].finite() {
			return false
		}
	}
	return !math.IsNaN(v.x) && !math.IsInf(v.x, 0)
}

// appendText writes s as a JSON string.
func appendText(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			b = append(b, '\\', c)
		case c < 0x20 || c == 0x7f:
			b = append(b, '\\', 'u', '0', '0', hex[c>>4], hex[c&15])
		default:
			b = append(b, c)
		}
	}
	return append(b, '"')
}
