package job

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"unicode/utf8"

	"github.com/trapweir/trapweir/tables"
)

// Quantity is a figure as people read it, with its unit: `2 in`, `9'-4"`, `98.17 ft`,
// "14 dfu", "level". In JSON the number and the unit stand beside the text.
type Quantity string

// MarshalJSON writes {"value": 98.17, "unit": "ft", "text": "98.17 ft"}; of a word the
// text alone. The number is the one that the text says.
func (q Quantity) MarshalJSON() ([]byte, error) { return q.object(`{"value":`) }

// Size is a nominal size. It is the name of a pipe, and no measure of it: 2 in pipe is
// nowhere two inches wide.
type Size string

// MarshalJSON writes {"nominal": 2, "unit": "in", "text": "2 in"}.
func (s Size) MarshalJSON() ([]byte, error) { return Quantity(s).object(`{"nominal":`) }

// UnmarshalJSON reads what MarshalJSON writes.
func (q *Quantity) UnmarshalJSON(data []byte) error { return readText(data, (*string)(q)) }

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Size) UnmarshalJSON(data []byte) error { return readText(data, (*string)(s)) }

// readText reads the text of a quantity.
func readText(data []byte, to *string) error {
	var x struct {
		Text string `json:"text"`
	}
	err := json.Unmarshal(data, &x)
	if err == nil {
		*to = x.Text
	}
	return err
}

func (q Quantity) object(first string) ([]byte, error) {
	b := make([]byte, 0, 64)
	if v, unit, ok := q.Value(); ok {
		b = append(b, first...)
		b = strconv.AppendFloat(b, math.Round(v*1e9)/1e9, 'f', -1, 64)
		b = append(b, `,"unit":`...)
		b = appendQuoted(b, unit)
		b = append(b, `,"text":`...)
	} else {
		b = append(b, `{"text":`...)
	}
	return append(appendQuoted(b, string(q)), '}'), nil
}

// appendQuoted appends a text as JSON has it.
func appendQuoted(b []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf {
			quoted, err := json.Marshal(text)
			if err != nil {
				return append(b, `""`...)
			}
			return append(b, quoted...)
		}
	}
	return append(append(append(b, '"'), text...), '"')
}

// quantityLines puts each quantity of indented JSON on a line of its own.
func quantityLines(text []byte) []byte {
	out := make([]byte, 0, len(text))
	inside := false
	for line := range bytes.Lines(text) {
		word := bytes.TrimLeft(line, " ")
		switch {
		case bytes.HasPrefix(word, []byte(`"value": `)), bytes.HasPrefix(word, []byte(`"nominal": `)),
			bytes.HasPrefix(word, []byte(`"text": `)):
			if bytes.HasSuffix(out, []byte("{\n")) {
				out, inside = out[:len(out)-1], true
			}
		case inside && word[0] == '}':
			out, inside = append(out, word...), false
			continue
		}
		if !inside {
			out = append(out, line...)
			continue
		}
		if !bytes.HasSuffix(out, []byte("{")) {
			out = append(out, ' ')
		}
		out = append(out, bytes.TrimRight(word, "\n")...)
	}
	return out
}

// Value returns the number that the text says, and its unit: see [tables.NumberOf].
func (q Quantity) Value() (value float64, unit string, ok bool) { return tables.NumberOf(string(q)) }
